//! Which MIDI ports are open: those that match are taken as they come, and told of when they go.

use crate::pedal::PortId;
use crate::pedal::midi_system::{Found, Listening, MidiSystem, Output};
use crate::pedal::port::{News, Teller};

/// The ports that the player's file, or the command line, asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Parts of the inputs' names; empty for any.
    pub inputs: Vec<String>,
    /// A part of the output's name; none for no output.
    pub output: Option<String>,
}

/// All ports that are held, and were.
pub(super) struct Patchbay<M> {
    system: M,
    wanted: Wanted,
    teller: Teller,
    /// The number of the first input; the others follow.
    first: PortId,
    inputs: Vec<Input>,
    output: Option<(Found, Box<dyn Output>)>,
}

/// An input by its name, which it keeps when it goes and comes back.
struct Input {
    name: String,
    open: Option<(Found, Listening)>,
}

/// What ALSA calls the cable that leads from any program to any other: a message would come twice (from memory).
const THROUGH: &str = "Midi Through";

impl<M: MidiSystem> Patchbay<M> {
    pub(super) fn new(system: M, wanted: Wanted, first: PortId, teller: Teller) -> Patchbay<M> {
        Patchbay {
            system,
            wanted,
            teller,
            first,
            inputs: Vec::new(),
            output: None,
        }
    }

    /// Looks at the ports there are: closes those that have gone, opens those that have come.
    pub(super) fn look(&mut self) {
        let mut there = self.system.inputs();
        self.close_inputs(&there);
        there.retain(|found| self.wanted.takes(&found.name));
        for found in there {
            self.take(found);
        }
        self.look_at_output();
    }

    /// The system's MIDI has gone, and every port with it.
    pub(super) fn lose_all(&mut self) {
        self.close_inputs(&[]);
        self.output = None;
    }

    /// Sends a message. Where the output is not there it is not sent: nothing waits for it.
    pub(super) fn send(&mut self, bytes: &[u8]) {
        if let Some((_, output)) = &mut self.output
            && !output.send(bytes)
        {
            self.output = None;
        }
    }

    fn close_inputs(&mut self, there: &[Found]) {
        for place in 0..self.inputs.len() {
            let open = &mut self.inputs[place].open;
            if open.as_ref().is_some_and(|(found, _)| !there.contains(found)) {
                *open = None;
                self.tell(place, News::Gone);
            }
        }
    }

    /// Opens an input, under the number it had when a port of that name was open before.
    fn take(&mut self, found: Found) {
        let held = |input: &Input| input.open.as_ref().is_some_and(|(held, _)| *held == found);
        if self.inputs.iter().any(held) {
            return;
        }
        let again = |input: &Input| input.name == found.name && input.open.is_none();
        let before = self.inputs.iter().position(again);
        let place = before.unwrap_or(self.inputs.len());
        let Some(port) = self.number(place) else { return };
        let Some(listening) = self.system.listen(&found, port, self.teller.clone()) else {
            return;
        };
        let name = found.name.clone();
        let news = News::Here(name.as_str().into());
        let open = Some((found, listening));
        match before {
            Some(place) => self.inputs[place].open = open,
            None => self.inputs.push(Input { name, open }),
        }
        self.tell(place, news);
    }

    fn look_at_output(&mut self) {
        let Some(part) = &self.wanted.output else { return };
        let there = self.system.outputs();
        if self.output.as_ref().is_some_and(|(found, _)| there.contains(found)) {
            return;
        }
        self.output = there
            .into_iter()
            .find(|found| has_part(&found.name, part))
            .and_then(|found| {
                let output = self.system.open_output(&found)?;
                Some((found, output))
            });
    }

    fn number(&self, place: usize) -> Option<PortId> {
        let place = u16::try_from(place).ok()?;
        self.first.0.checked_add(place).map(PortId)
    }

    fn tell(&self, place: usize, news: News) {
        if let Some(port) = self.number(place) {
            // Where nobody listens any more, the patchbay is about to go too.
            self.teller.tell(port, news);
        }
    }
}

impl Wanted {
    /// Whether an input of this name is one of them.
    pub fn takes(&self, name: &str) -> bool {
        if self.inputs.is_empty() {
            return !has_part(name, THROUGH);
        }
        self.inputs.iter().any(|part| has_part(name, part))
    }
}

/// Names are matched without regard to case, as one types them from memory.
fn has_part(name: &str, part: &str) -> bool {
    name.to_lowercase().contains(&part.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedal::midi_system::{MockMidiSystem, MockOutput};
    use crate::pedal::port::PortEvent;
    use crossbeam_channel::{Receiver, unbounded};
    use std::sync::{Arc, Mutex};

    /// The ports that the mocked system has, as `name@id` or `name@id#plug`, and what was sent to its outputs.
    #[derive(Clone, Default)]
    struct Plugs {
        inputs: Arc<Mutex<Vec<&'static str>>>,
        outputs: Arc<Mutex<Vec<&'static str>>>,
        closed: Arc<Mutex<Vec<String>>>,
        sent: Arc<Mutex<Vec<Vec<u8>>>>,
    }

    /// Notes when it is dropped.
    struct Open(String, Arc<Mutex<Vec<String>>>);

    impl Drop for Open {
        fn drop(&mut self) {
            self.1.lock().unwrap().push(std::mem::take(&mut self.0));
        }
    }

    fn found(ports: &Mutex<Vec<&'static str>>) -> Vec<Found> {
        let found = |port: &&str| {
            let (name, id) = port.split_once('@').unwrap();
            let (id, plug) = id.split_once('#').unwrap_or((id, ""));
            Found {
                id: id.into(),
                name: name.into(),
                plug: plug.parse().ok(),
            }
        };
        ports.lock().unwrap().iter().map(found).collect()
    }

    fn mocked(plugs: &Plugs) -> MockMidiSystem {
        let mut system = MockMidiSystem::new();
        let ports = plugs.inputs.clone();
        system.expect_inputs().returning(move || found(&ports));
        let ports = plugs.outputs.clone();
        system.expect_outputs().returning(move || found(&ports));
        let closed = plugs.closed.clone();
        system.expect_listen().returning(move |found, port, teller| {
            if found.name.contains("busy") {
                return None;
            }
            // The first thing that a port says is a message of its own number.
            teller.tell(port, News::Bytes(crate::pedal::Chunk::new(&[0xC0, port.0 as u8])));
            Some(Box::new(Open(found.id.clone(), closed.clone())))
        });
        let sent = plugs.sent.clone();
        system.expect_open_output().returning(move |found| {
            let mut output = MockOutput::new();
            let sent = sent.clone();
            let works = !found.name.contains("broken");
            output.expect_send().returning(move |bytes| {
                sent.lock().unwrap().push(bytes.to_vec());
                works
            });
            Some(Box::new(output))
        });
        system
    }

    struct Stand {
        plugs: Plugs,
        patchbay: Patchbay<MockMidiSystem>,
        events: Receiver<PortEvent>,
    }

    fn stand(inputs: &[&str], output: Option<&str>) -> Stand {
        let plugs = Plugs::default();
        let wanted = Wanted {
            inputs: inputs.iter().map(|part| (*part).into()).collect(),
            output: output.map(Into::into),
        };
        let (to, events) = unbounded();
        let teller = Teller::new(move |event| to.send(event).is_ok());
        Stand {
            patchbay: Patchbay::new(mocked(&plugs), wanted, PortId(2), teller),
            plugs,
            events,
        }
    }

    impl Stand {
        /// What is told when the system has these inputs.
        fn look(&mut self, inputs: &[&'static str]) -> Vec<String> {
            *self.plugs.inputs.lock().unwrap() = inputs.to_vec();
            self.patchbay.look();
            self.told()
        }

        fn told(&self) -> Vec<String> {
            let told = self.events.try_iter().map(|event| match event.news {
                News::Bytes(chunk) => format!("{} {chunk:?}", event.port.0),
                News::Here(name) => format!("{} here {name}", event.port.0),
                News::Gone => format!("{} gone", event.port.0),
            });
            told.collect()
        }
    }

    const NOTHING: [&str; 0] = [];

    #[test]
    fn any_input_is_every_one_but_the_through_cable() {
        let mut stand = stand(&[], None);
        let told = stand.look(&["Midi Through:Midi Through Port-0@14:0", "Stomper@20:0", "Keys@24:0"]);
        assert_eq!(told, ["2 [C0, 02]", "2 here Stomper", "3 [C0, 03]", "3 here Keys"]);
        assert_eq!(
            stand.look(&["Keys@24:0", "Stomper@20:0"]),
            NOTHING,
            "they are held already"
        );
    }

    #[test]
    fn inputs_that_are_named_are_taken_by_a_part_of_the_name() {
        let mut stand = stand(&["stomp", "Through"], None);
        let told = stand.look(&["Midi Through@14:0", "The Stomper@20:0", "Keys@24:0"]);
        assert_eq!(
            told,
            ["2 [C0, 02]", "2 here Midi Through", "3 [C0, 03]", "3 here The Stomper"]
        );
    }

    #[test]
    fn a_port_that_goes_and_comes_back_keeps_its_number_though_the_system_marks_it_anew() {
        let mut stand = stand(&[], None);
        stand.look(&["Stomper@20:0", "Keys@24:0"]);
        assert_eq!(stand.look(&["Keys@24:0"]), ["2 gone"]);
        assert_eq!(*stand.plugs.closed.lock().unwrap(), ["20:0"]);
        assert_eq!(stand.look(&["Keys@24:0"]), NOTHING, "told once");
        let told = stand.look(&["Keys@24:0", "Stomper@28:0"]);
        assert_eq!(told, ["2 [C0, 02]", "2 here Stomper"]);
        let told = stand.look(&["Keys@24:0", "Stomper@20:0"]);
        assert_eq!(told, ["2 gone", "2 [C0, 02]", "2 here Stomper"], "quicker than we look");
    }

    #[test]
    fn a_port_that_was_pulled_and_is_back_under_the_same_mark_before_we_look_is_opened_anew() {
        let mut stand = stand(&[], None);
        stand.look(&["Stomper@20:0#7", "Keys@24:0#8"]);
        assert_eq!(stand.look(&["Stomper@20:0#7", "Keys@24:0#8"]), NOTHING);
        let told = stand.look(&["Stomper@20:0#9", "Keys@24:0#8"]);
        assert_eq!(told, ["2 gone", "2 [C0, 02]", "2 here Stomper"]);
    }

    #[test]
    fn two_ports_of_one_name_are_two() {
        let mut stand = stand(&[], None);
        stand.look(&["Stomper@20:0", "Stomper@24:0"]);
        assert_eq!(stand.look(&["Stomper@20:0"]), ["3 gone"]);
        assert_eq!(
            stand.look(&["Stomper@20:0", "Stomper@28:0"]),
            ["3 [C0, 03]", "3 here Stomper"]
        );
    }

    #[test]
    fn a_port_that_cannot_be_opened_is_tried_again() {
        let mut stand = stand(&[], None);
        assert_eq!(stand.look(&["busy@20:0"]), NOTHING);
        assert_eq!(stand.look(&["Stomper@20:0"]), ["2 [C0, 02]", "2 here Stomper"]);
    }

    #[test]
    fn when_the_systems_midi_goes_every_port_goes() {
        let mut stand = stand(&[], None);
        stand.look(&["Stomper@20:0", "Keys@24:0"]);
        stand.patchbay.lose_all();
        assert_eq!(stand.told(), ["2 gone", "3 gone"]);
    }

    #[test]
    fn what_is_sent_goes_to_the_output_once_and_a_missing_one_holds_nothing_up() {
        let mut stand = stand(&[], Some("amp"));
        stand.look(&[]);
        stand.patchbay.send(&[0xC0, 1]);
        *stand.plugs.outputs.lock().unwrap() = vec!["Keys@24:0", "Big Amp@28:0"];
        stand.look(&[]);
        stand.patchbay.send(&[0xC0, 2]);
        stand.patchbay.send(&[0xC0, 3]);
        stand.plugs.outputs.lock().unwrap().clear();
        stand.look(&[]);
        stand.patchbay.send(&[0xC0, 4]);
        assert_eq!(*stand.plugs.sent.lock().unwrap(), [[0xC0, 2], [0xC0, 3]]);
    }

    #[test]
    fn an_output_that_fails_is_opened_anew_at_the_next_look() {
        let mut stand = stand(&[], Some("amp"));
        *stand.plugs.outputs.lock().unwrap() = vec!["broken amp@28:0"];
        stand.look(&[]);
        stand.patchbay.send(&[0xC0, 1]);
        stand.patchbay.send(&[0xC0, 2]);
        stand.look(&[]);
        stand.patchbay.send(&[0xC0, 3]);
        assert_eq!(*stand.plugs.sent.lock().unwrap(), [[0xC0, 1], [0xC0, 3]]);
    }

    #[test]
    fn no_output_is_looked_for_where_none_is_wanted() {
        let mut system = MockMidiSystem::new();
        system.expect_inputs().times(1).returning(Vec::new);
        system.expect_outputs().never();
        let mut patchbay = Patchbay::new(system, Wanted::default(), PortId(0), Teller::new(|_| true));
        patchbay.look();
    }
}
