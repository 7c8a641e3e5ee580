//! The plan against oracles: a brute force over all plans, a general shortest-path library, and what must hold of any.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test writes files and may fail"
)]

mod evening;
mod oracle;

use evening::{Dice, Evening};
use footlights::music::Fret;
use footlights::plan::{CalledSong, CannotPlan, Choice, Cost, Deciding, Plan, Planned, called_fret, reasons, solve};
use footlights::setlist::{Seconds, Set};
use oracle::{Figures, Frets, Prices, all_plans, allowed, choices};
use std::path::PathBuf;

/// Small sets that are held against the brute force.
const SMALL_SETS: u64 = 2000;
/// Plans of one small set at most.
const MOST_PLANS: usize = 1500;

/// Reads sets as the program does: from a file.
struct Desk {
    _folder: tempfile::TempDir,
    file: PathBuf,
}

impl Desk {
    fn new() -> Desk {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("set.yaml");
        Desk { _folder: folder, file }
    }

    fn read(&self, evening: &Evening) -> Set {
        std::fs::write(&self.file, evening.file()).unwrap();
        footlights::setlist::read(&self.file, None)
            .unwrap_or_else(|report| panic!("{report}\n{}", evening.file()))
            .set
    }
}

/// A set that is small enough for the brute force, with all its plans.
fn small(seed: u64) -> (Evening, Vec<Frets>) {
    let mut dice = Dice::new(seed);
    loop {
        let (players, songs, highest) = (1 + dice.roll(4), 1 + dice.roll(5), dice.roll(12) as u8);
        let evening = Evening::random(&mut dice, players, songs, highest);
        let sizes = (0..songs)
            .flat_map(|song| allowed(&evening, song))
            .map(|frets| frets.len());
        if sizes.product::<usize>() <= MOST_PLANS {
            let plans = all_plans(&evening);
            return (evening, plans);
        }
    }
}

fn large(dice: &mut Dice) -> Evening {
    let players = 1 + dice.roll(3);
    let (songs, highest) = (5 + dice.roll(20), [11, 11, 4][players - 1]);
    let mut evening = Evening::random(dice, players, songs, highest);
    for song in 0..songs {
        let cannot: Vec<bool> = allowed(&evening, song).iter().map(Vec::is_empty).collect();
        for (pin, cannot) in evening.songs[song].pins.iter_mut().zip(cannot) {
            *pin = pin.filter(|_| !cannot);
        }
    }
    evening
}

fn figures(cost: Cost) -> Figures {
    [cost.unplayable, cost.clashes, cost.rushed, cost.effort]
}

fn frets(set: &Set, plan: &Plan) -> Frets {
    let song = |id| (0..set.players.len()).map(move |player| plan.fret(id, player).number());
    set.song_ids().flat_map(song).collect()
}

#[test]
fn the_plan_is_the_first_of_the_best_among_all_plans() {
    let desk = Desk::new();
    for seed in 0..SMALL_SETS {
        let (evening, plans) = small(seed);
        let prices = Prices::of(&evening);
        let best = plans.iter().min_by_key(|plan| prices.plan(&evening, plan));
        let set = desk.read(&evening);
        match (solve(&set), best) {
            (Ok(plan), Some(best)) => {
                assert_eq!(&frets(&set, &plan), best, "seed {seed}\n{}", evening.file());
                assert_eq!(
                    figures(plan.cost),
                    prices.plan(&evening, best),
                    "seed {seed}\n{}",
                    evening.file()
                );
            }
            (Err(CannotPlan::PinsUnmet(unmet)), None) => {
                let unmet: Vec<(usize, usize)> = unmet.iter().map(|pin| (pin.song.index(), pin.player)).collect();
                let empty = (0..evening.songs.len()).flat_map(|song| {
                    let frets = allowed(&evening, song).into_iter().enumerate();
                    frets
                        .filter(|(_, frets)| frets.is_empty())
                        .map(move |(player, _)| (song, player))
                });
                assert_eq!(unmet, empty.collect::<Vec<_>>(), "seed {seed}\n{}", evening.file());
            }
            (plan, best) => panic!("seed {seed}: {plan:?} {best:?}\n{}", evening.file()),
        }
    }
}

/// Were the sets tame, the test above would say little.
#[test]
fn the_random_sets_clash_rush_tie_and_have_unplayable_keys_and_pins() {
    let mut seen = [0; 7];
    for seed in 0..SMALL_SETS / 4 {
        let (evening, plans) = small(seed);
        let prices = Prices::of(&evening);
        let costs: Vec<Figures> = plans.iter().map(|plan| prices.plan(&evening, plan)).collect();
        let least = costs.iter().min();
        let [unplayable, clashes, rushed, effort] = least.copied().unwrap_or_default();
        let ties = costs.iter().filter(|cost| Some(*cost) == least).count();
        let pinned = evening.songs.iter().flat_map(|song| &song.pins).any(Option::is_some);
        let marks = [
            unplayable > 0,
            clashes > 0,
            rushed > 0,
            effort > 0,
            ties > 1,
            pinned,
            plans.is_empty(),
        ];
        seen = std::array::from_fn(|mark| seen[mark] + u64::from(marks[mark]));
    }
    assert!(seen.iter().all(|&sets| sets >= 20), "{seen:?}");
}

/// Source: the crate `pathfinding` 4, Dijkstra over (song, frets of all players).
#[test]
fn large_sets_cost_what_a_shortest_path_costs() {
    let desk = Desk::new();
    for seed in 0..25 {
        let evening = large(&mut Dice::new(seed));
        let prices = Prices::of(&evening);
        let set = desk.read(&evening);
        let plan = solve(&set).unwrap();
        assert_eq!(
            figures(plan.cost),
            shortest(&evening, &prices),
            "seed {seed}\n{}",
            evening.file()
        );
        let own = prices.plan(&evening, &frets(&set, &plan));
        assert_eq!(own, figures(plan.cost), "seed {seed}\n{}", evening.file());
    }
}

/// Four figures that add up and are compared in order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Sum(Figures);

impl std::ops::Add for Sum {
    type Output = Sum;
    fn add(self, other: Sum) -> Sum {
        Sum(std::array::from_fn(|figure| self.0[figure] + other.0[figure]))
    }
}

impl pathfinding::num_traits::Zero for Sum {
    fn zero() -> Sum {
        Sum::default()
    }

    fn is_zero(&self) -> bool {
        *self == Sum::default()
    }
}

fn shortest(evening: &Evening, prices: &Prices) -> Figures {
    let joint: Vec<Vec<Vec<u8>>> = (0..evening.songs.len())
        .map(|song| choices(&allowed(evening, song)))
        .collect();
    // A node is how many songs are behind, and the place of the last one's frets among its choices.
    let onward = |&(song, place): &(usize, usize)| {
        let before = song.checked_sub(1).map(|before| &joint[before][place][..]);
        let next = joint.get(song).into_iter().flatten().enumerate();
        let step =
            |(place, frets): (usize, &Vec<u8>)| ((song + 1, place), Sum(prices.song(evening, song, before, frets)));
        next.map(step).collect::<Vec<_>>()
    };
    let path = pathfinding::directed::dijkstra::dijkstra(&(0, 0), onward, |&(song, _)| song == joint.len());
    path.unwrap().1.0
}

#[test]
fn more_freedom_never_costs_more() {
    let desk = Desk::new();
    let cost = |evening: &Evening| solve(&desk.read(evening)).unwrap().cost;
    for seed in 100..200 {
        let mut dice = Dice::new(seed);
        let evening = large(&mut dice);
        let bound = cost(&evening);
        let (song, player) = (dice.roll(evening.songs.len()), dice.roll(evening.players.len()));
        let mut unpinned = evening.clone();
        unpinned.songs[song].pins[player] = None;
        let mut longer = evening.clone();
        longer.songs[song].gap += 1 + dice.roll(10) as u32;
        let mut reaching = evening.clone();
        reaching.players[player].highest_fret = (evening.players[player].highest_fret + 1).min(11);
        for (what, freer) in [
            ("a pin less", unpinned),
            ("a longer gap", longer),
            ("a higher fret", reaching),
        ] {
            assert!(cost(&freer) <= bound, "{what}, seed {seed}\n{}", evening.file());
        }
        assert_eq!(cost(&evening), bound, "the same again, seed {seed}");
    }
}

#[test]
fn the_second_best_is_the_best_plan_with_another_fret_there_and_the_right_figure_decides() {
    let desk = Desk::new();
    for seed in 0..SMALL_SETS / 4 {
        let (evening, plans) = small(seed);
        let set = desk.read(&evening);
        let Ok(plan) = solve(&set) else { continue };
        let prices = Prices::of(&evening);
        let costs: Vec<Figures> = plans.iter().map(|plan| prices.plan(&evening, plan)).collect();
        let taken = frets(&set, &plan);
        let planned = Planned { set, plan };
        for (id, whys) in reasons(&planned) {
            for (player, why) in whys.iter().enumerate() {
                let song = id.index();
                let fret = |plan: &Frets| plan[song * whys.len() + player];
                let others = plans.iter().zip(&costs).filter(|(plan, _)| fret(plan) != fret(&taken));
                let best = others.clone().map(|(_, cost)| *cost).min();
                let bests: Vec<u8> = others
                    .filter(|(_, cost)| Some(**cost) == best)
                    .map(|(plan, _)| fret(plan))
                    .collect();
                let place = format!("seed {seed}, song {song}, player {player}: {why:?}\n{}", evening.file());
                assert_eq!(why.taken.fret.number(), fret(&taken), "{place}");
                match why.second {
                    Some(Choice { fret, .. }) => {
                        assert!(bests.contains(&fret.number()), "{bests:?} {place}");
                        let decides = decides(&why.deciding);
                        assert_eq!(
                            Some(decides),
                            differs(figures(planned.plan.cost), best.unwrap()),
                            "{place}"
                        );
                    }
                    None => assert_eq!(best, None, "{place}"),
                }
            }
        }
    }
}

/// The first figure that differs, 4 where none does.
fn differs(taken: Figures, second: Figures) -> Option<usize> {
    (0..4).find(|&figure| taken[figure] != second[figure]).or(Some(4))
}

fn decides(deciding: &Deciding) -> usize {
    match deciding {
        Deciding::Keys(_) => 0,
        Deciding::Clashes { .. } => 1,
        Deciding::Rushed(_) => 2,
        Deciding::Effort { .. } => 3,
        Deciding::Tie => 4,
        Deciding::Pinned | Deciding::OnlyFret => panic!("there was a second best"),
    }
}

#[test]
fn a_called_key_takes_the_best_fret_between_what_is_on_and_what_comes() {
    let desk = Desk::new();
    for seed in 0..SMALL_SETS / 4 {
        let mut dice = Dice::new(seed);
        let evening = large(&mut dice);
        let set = desk.read(&evening);
        let plan = solve(&set).unwrap();
        let id = set.song_numbered(1 + dice.roll(evening.songs.len())).unwrap();
        let highest = evening.players[0].highest_fret;
        let any_fret = |dice: &mut Dice| dice.roll(usize::from(highest) + 1) as u8;
        let on = (!dice.one_in(4)).then(|| any_fret(&mut dice));
        let next = set.song_after(id).map(|_| any_fret(&mut dice));
        let semitones = [-2, -1, 0, 1, 3][dice.roll(5)];
        let free = [0, 5, 7, 10, 20][dice.roll(5)];
        let others: Vec<i32> = (1..evening.players.len())
            .map(|player| {
                (
                    i32::from(plan.fret(id, player).number()) + semitones,
                    evening.players[player].highest_fret,
                )
            })
            .filter(|&(fret, highest)| (0..=i32::from(highest)).contains(&fret))
            .map(|(fret, _)| fret)
            .collect();
        let cost = |fret: u8| called_cost(&evening, id.index(), semitones, fret, (on, free), next, &others);
        let best = (0..=highest).min_by_key(|&fret| cost(fret)).unwrap();
        let fret_of = |number: u8| Fret::new(number.into()).unwrap();
        let called = CalledSong {
            song: id,
            semitones,
            on: on.map(fret_of),
            free: Seconds::new(free.into()).unwrap(),
            next: next.map(fret_of),
        };
        let got = called_fret(&Planned { set, plan }, &called).number();
        assert_eq!(got, best, "seed {seed}: {called:?}\n{}", evening.file());
    }
}

/// What a fret costs the first player in a song whose key was called: sounding higher is as having the capo lower, but
/// for the frets themselves, the moves and the others.
fn called_cost(
    evening: &Evening,
    song: usize,
    semitones: i32,
    fret: u8,
    (on, free): (Option<u8>, u32),
    next: Option<u8>,
    others: &[i32],
) -> Figures {
    let player = &evening.players[0];
    let as_written = (i32::from(fret) - semitones).rem_euclid(12) as u8;
    let alone = Evening {
        players: vec![player.clone()],
        songs: vec![evening.songs[song].clone()],
    };
    let [unplayable, _, _, effort] = Prices::of(&alone).plan(&alone, &vec![as_written]);
    let by_frets = player.weights[1] * u64::from(fret);
    let effort = effort - player.weights[1] * u64::from(as_written) + by_frets;
    let next_gap = evening.songs.get(song + 1).map_or(0, |next| next.gap);
    let moves = [on.map(|on| (on, free)), next.map(|next| (next, next_gap))];
    let moves: Vec<u32> = moves
        .into_iter()
        .flatten()
        .filter(|(other, _)| *other != fret)
        .map(|(_, gap)| gap)
        .collect();
    let clashes = others.iter().filter(|&&other| other == i32::from(fret)).count() as u64;
    let rushed = moves.iter().filter(|&&gap| gap < player.seconds_to_move).count() as u64;
    [
        unplayable,
        clashes,
        rushed,
        effort + player.weights[0] * moves.len() as u64,
    ]
}
