//! Turns every page of a set into pictures, cell by cell, so that they can be looked at as they will be seen.
//!
//! `cargo run --example pictures -- SET PLAYER THEME COLUMNSxROWS OUT_FOLDER [ACTION…]` writes one PNG picture for each
//! page on the way of the actions. Among the actions `notice=WORDS`, `port=NAME` (`NAME-` for a lost one), `clock=BPM`
//! and `keys` change the status. GLYPHS names the glyphs.

#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a tool for the people who build the screen"
)]

use footlights::plan::{Planned, solve};
use footlights::screen::{Glyphs, Look, PortStatus, Screen, Status, Theme};
use footlights::sequencer::{Action, Sequencer, cue};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};
use ratatui::symbols::pixel::{OCTANTS, QUADRANTS, SEXTANTS};
use skrifa::MetadataProvider;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use std::io::Write;
use std::path::Path;

const CELL: (usize, usize) = (8, 16);

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let reading = footlights::setlist::read(Path::new(&args[0]), Some(Path::new(&args[1])))
        .unwrap_or_else(|report| panic!("{report}"));
    let theme = Theme::parse(&args[2]).unwrap();
    let (columns, rows) = args[3].split_once('x').unwrap();
    let (columns, rows): (u16, u16) = (columns.parse().unwrap(), rows.parse().unwrap());
    let out = Path::new(&args[4]);
    let plan = solve(&reading.set).unwrap();
    let planned = Planned { set: reading.set, plan };
    let glyphs = std::env::var("GLYPHS")
        .ok()
        .and_then(|name| Glyphs::parse(&name))
        .unwrap_or_default();
    let look = Look {
        theme,
        glyphs,
        guitar: reading.rig.guitar,
        left_handed: reading.rig.left_handed,
        ..Look::default()
    };
    let mut status = Status::default();
    let mut screen = Screen::new(look);
    let mut sequencer = Sequencer::open(&planned);
    for (place, word) in std::iter::once("open")
        .chain(args[5..].iter().map(String::as_str))
        .enumerate()
    {
        match word.split_once('=') {
            Some(("notice", words)) => status.notice = Some(words.into()),
            Some(("port", name)) => status.ports.push(PortStatus {
                alive: !name.ends_with('-'),
                name: name.trim_end_matches('-').into(),
            }),
            Some(("clock", bpm)) => status.measured_bpm = bpm.parse().ok(),
            _ if word == "keys" => status.help = true,
            _ => {
                if let Ok(action) = Action::parse(word) {
                    let _ = sequencer.apply(&planned, &action);
                }
            }
        }
        let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
        screen.draw(&cue(&planned, sequencer.state()), &status, &mut buffer);
        std::fs::write(out.join(format!("{place:02}.png")), png(&picture(&buffer, theme))).unwrap();
    }
}

/// Rows of pixels, three bytes each.
struct Pixels {
    width: usize,
    height: usize,
    bytes: Vec<u8>,
}

/// A PNG file of eight bits a channel. Source: W3C Portable Network Graphics, third edition, from memory.
fn png(pixels: &Pixels) -> Vec<u8> {
    let mut lines = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    for line in pixels.bytes.chunks(pixels.width * 3) {
        // Each line begins with its filter: none.
        lines.write_all(&[0]).and_then(|()| lines.write_all(line)).unwrap();
    }
    let size = [pixels.width as u32, pixels.height as u32]
        .map(u32::to_be_bytes)
        .concat();
    let header = [&size[..], &[8, 2, 0, 0, 0]].concat();
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    for (name, data) in [
        (b"IHDR", header),
        (b"IDAT", lines.finish().unwrap()),
        (b"IEND", Vec::new()),
    ] {
        let named = [&name[..], &data].concat();
        let mut sum = flate2::Crc::new();
        sum.update(&named);
        file.extend((data.len() as u32).to_be_bytes());
        file.extend(named);
        file.extend(sum.sum().to_be_bytes());
    }
    file
}

fn picture(buffer: &Buffer, theme: Theme) -> Pixels {
    let (width, height) = (
        usize::from(buffer.area.width) * CELL.0,
        usize::from(buffer.area.height) * CELL.1,
    );
    let mut bytes = vec![0_u8; width * height * 3];
    let font = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/screen/fonts/text-bold.ttf")).unwrap();
    for (place, cell) in buffer.content.iter().enumerate() {
        let (column, row) = (
            place % usize::from(buffer.area.width),
            place / usize::from(buffer.area.width),
        );
        let (mut ink, mut ground) = (rgb(cell.fg, true, theme), rgb(cell.bg, false, theme));
        if cell.modifier.contains(Modifier::REVERSED) {
            std::mem::swap(&mut ink, &mut ground);
        }
        let cover = cover(cell.symbol().chars().next().unwrap_or(' '), &font);
        for y in 0..CELL.1 {
            for x in 0..CELL.0 {
                let part = cover[y * CELL.0 + x];
                let at = ((row * CELL.1 + y) * width + column * CELL.0 + x) * 3;
                for channel in 0..3 {
                    bytes[at + channel] =
                        (f32::from(ground[channel]) * (1.0 - part) + f32::from(ink[channel]) * part) as u8;
                }
            }
        }
    }
    Pixels { width, height, bytes }
}

fn rgb(color: Color, ink: bool, _theme: Theme) -> [u8; 3] {
    match color {
        Color::Indexed(index @ 16..=231) => {
            let step = |n: u8| if n == 0 { 0 } else { 55 + 40 * n };
            [(index - 16) / 36, (index - 16) / 6 % 6, (index - 16) % 6].map(step)
        }
        Color::Indexed(index @ 232..) => [8 + 10 * (index - 232); 3],
        _ if ink => [200; 3],
        _ => [0; 3],
    }
}

/// How much of each pixel a sign covers.
fn cover(sign: char, font: &[u8]) -> Vec<f32> {
    let (w, h) = CELL;
    let area =
        |test: &dyn Fn(usize, usize) -> bool| (0..w * h).map(|at| f32::from(u8::from(test(at % w, at / w)))).collect();
    let part = |x: usize, y: usize, across: usize, down: usize| y * down / h * across + x * across / w;
    let dots = |pattern: usize, across, down| area(&|x, y| pattern >> part(x, y, across, down) & 1 == 1);
    let among = |signs: &[char]| signs.iter().position(|known| *known == sign);
    if let Some(pattern) = among(&QUADRANTS) {
        return dots(pattern, 2, 2);
    }
    if let Some(pattern) = among(&SEXTANTS) {
        return dots(pattern, 2, 3);
    }
    if let Some(pattern) = among(&OCTANTS) {
        return dots(pattern, 2, 4);
    }
    if let Some((_, arms)) = LINES.iter().find(|(known, _)| *known == sign) {
        let (middle, half) = (w / 2, h / 2);
        return area(&|x, y| {
            let arm = |at: u8, level: bool, reaches: bool| {
                let off = if level { y.abs_diff(half) } else { x.abs_diff(middle) };
                reaches && (at == 1 && off == 0 || at == 2 && off == 1)
            };
            arm(arms[0], false, y <= half)
                || arm(arms[1], true, x >= middle)
                || arm(arms[2], false, y >= half)
                || arm(arms[3], true, x <= middle)
        });
    }
    match sign {
        '▒' => area(&|x, y| (x + y) % 2 == 0),
        '►' => area(&|x, y| y.abs_diff(h / 2) * 2 <= (w - 1 - x)),
        '◄' => area(&|x, y| y.abs_diff(h / 2) * 2 <= x),
        '•' => area(&|x, y| x.abs_diff(w / 2).pow(2) + y.abs_diff(h / 2).pow(2) <= 6),
        _ => letter(sign, font),
    }
}

/// Lines by their arms: up, right, down, left; 1 single, 2 double.
const LINES: [(char, [u8; 4]); 16] = [
    ('┼', [1, 1, 1, 1]),
    ('├', [1, 1, 1, 0]),
    ('┤', [1, 0, 1, 1]),
    ('─', [0, 1, 0, 1]),
    ('│', [1, 0, 1, 0]),
    ('┬', [0, 1, 1, 1]),
    ('┴', [1, 1, 0, 1]),
    ('┌', [0, 1, 1, 0]),
    ('┐', [0, 0, 1, 1]),
    ('└', [1, 1, 0, 0]),
    ('┘', [1, 0, 0, 1]),
    ('║', [2, 0, 2, 0]),
    ('╓', [0, 1, 2, 0]),
    ('╙', [2, 1, 0, 0]),
    ('╖', [0, 0, 2, 1]),
    ('═', [0, 2, 0, 2]),
];

fn letter(sign: char, font: &[u8]) -> Vec<f32> {
    let font = skrifa::raw::FontRef::new(font).unwrap();
    let mut raster = ab_glyph_rasterizer::Rasterizer::new(CELL.0, CELL.1);
    let id = font.charmap().map(sign).unwrap_or_default();
    let advance = font
        .glyph_metrics(Size::new(1.0), LocationRef::default())
        .advance_width(id)
        .unwrap_or(0.6);
    let scale = (13.0_f32).min(CELL.0 as f32 / advance.max(0.1));
    let mut pen = Pen {
        raster: &mut raster,
        scale: (scale, 13.0),
        at: (0.0, 0.0),
        start: (0.0, 0.0),
    };
    if let Some(glyph) = font.outline_glyphs().get(id) {
        let _ = glyph.draw(DrawSettings::unhinted(Size::new(1.0), LocationRef::default()), &mut pen);
    }
    let mut cover = vec![0.0; CELL.0 * CELL.1];
    raster.for_each_pixel(|at, part| {
        if let Some(pixel) = cover.get_mut(at) {
            *pixel = part.min(1.0);
        }
    });
    cover
}

struct Pen<'r> {
    raster: &'r mut ab_glyph_rasterizer::Rasterizer,
    scale: (f32, f32),
    at: (f32, f32),
    start: (f32, f32),
}

impl Pen<'_> {
    fn place(&self, (x, y): (f32, f32)) -> ab_glyph_rasterizer::Point {
        let (w, h) = (CELL.0 as f32, CELL.1 as f32);
        ab_glyph_rasterizer::point(
            (x * self.scale.0).clamp(0.0, w - 0.01),
            (h - 4.0 - y * self.scale.1).clamp(0.0, h - 0.01),
        )
    }
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        (self.at, self.start) = ((x, y), (x, y));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.raster.draw_line(self.place(self.at), self.place((x, y)));
        self.at = (x, y);
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.raster
            .draw_quad(self.place(self.at), self.place((cx, cy)), self.place((x, y)));
        self.at = (x, y);
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.raster.draw_cubic(
            self.place(self.at),
            self.place((ax, ay)),
            self.place((bx, by)),
            self.place((x, y)),
        );
        self.at = (x, y);
    }
    fn close(&mut self) {
        self.raster.draw_line(self.place(self.at), self.place(self.start));
    }
}
