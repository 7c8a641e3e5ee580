//! The outline fonts: a word drawn into dots at any height, condensed where it must be.

use ab_glyph_rasterizer::{Point, Rasterizer, point};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::raw::FontRef;
use skrifa::{GlyphId, MetadataProvider};

/// DejaVu Sans Condensed 2.37, a subset, and its Bold; their licence stands beside them.
const TEXT: &[u8] = include_bytes!("fonts/text.ttf");
const BOLD: &[u8] = include_bytes!("fonts/text-bold.ttf");
/// `♭` and `♯` of JetBrains Mono ExtraBold 2.242, a subset: the text font's own are too thin to be read from afar.
const ACCIDENTALS: &[u8] = include_bytes!("fonts/accidentals.ttf");
/// How much of a dot must be covered to be inked: a little under half, so that thin strokes hold.
const INKED: f32 = 0.4;
/// A capital's height, a small letter's and a descender's depth in the text fonts, in ems: 1493, 1120 and 492 of 2048
/// units.
pub(super) const CAPITAL: f32 = 0.729;
const SMALL: f32 = 0.547;
const DESCENDER: f32 = 0.24;

pub(super) struct Faces {
    text: FontRef<'static>,
    bold: FontRef<'static>,
    accidentals: FontRef<'static>,
}

/// A word's dots, row by row.
pub(super) struct Dots {
    pub(super) across: usize,
    pub(super) down: usize,
    pub(super) ink: Vec<bool>,
}

/// How a word is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Setting {
    /// A capital's height in whole dots.
    pub(super) capital: u16,
    /// How many dots across are as long as a dot is high, in hundredths; less where the word is condensed.
    pub(super) across_percent: u16,
}

impl Faces {
    /// None where the built-in fonts could not be read, which the tests rule out.
    pub(super) fn new() -> Option<Faces> {
        Some(Faces {
            text: FontRef::new(TEXT).ok()?,
            bold: FontRef::new(BOLD).ok()?,
            accidentals: FontRef::new(ACCIDENTALS).ok()?,
        })
    }

    /// Bold strokes close the eyes of low letters: these come from the lighter face.
    fn glyph(&self, letter: char, capital: u16) -> Option<(&FontRef<'static>, GlyphId)> {
        let font = match letter {
            '♭' | '♯' => &self.accidentals,
            _ if capital < BOLD_FROM => &self.text,
            _ => &self.bold,
        };
        font.charmap()
            .map(letter)
            .filter(|id| id.to_u32() != 0)
            .map(|id| (font, id))
    }

    /// The word's width in ems, with capitals so many dots high; none where a letter is missing.
    pub(super) fn width(&self, word: &str, capital: u16) -> Option<f32> {
        word.chars().map(|letter| self.advance(letter, capital)).sum()
    }

    fn advance(&self, letter: char, capital: u16) -> Option<f32> {
        let (font, id) = self.glyph(letter, capital)?;
        let advance = font
            .glyph_metrics(Size::new(1.0), LocationRef::default())
            .advance_width(id)?;
        Some(if matches!(letter, '♭' | '♯') {
            advance * ACCIDENTAL_WIDTH
        } else {
            advance
        })
    }

    /// Draws a word with its capitals as high as `setting` says, the baseline on a whole dot.
    pub(super) fn draw(&self, word: &str, setting: Setting) -> Option<Dots> {
        let capital = f32::from(setting.capital);
        let scale_y = capital / CAPITAL;
        let scale_x = scale_y * f32::from(setting.across_percent) / 100.0;
        let across = (self.width(word, setting.capital)? * scale_x).ceil() as usize + 1;
        let down = usize::from(setting.capital) + if hangs(word) { descent(setting.capital) } else { 0 };
        let mut raster = Rasterizer::new(across, down);
        let mut origin = 0.0;
        for letter in word.chars() {
            let (font, id) = self.glyph(letter, setting.capital)?;
            let narrow = if matches!(letter, '♭' | '♯') {
                ACCIDENTAL_WIDTH
            } else {
                1.0
            };
            let mut pen = DotPen {
                raster: &mut raster,
                scale_x: scale_x * narrow,
                capital,
                small: (capital * SMALL / CAPITAL).round(),
                origin: point(f32::round(origin), capital),
                at: point(0.0, 0.0),
                start: point(0.0, 0.0),
                limit: point(across as f32, down as f32),
            };
            if let Some(outline) = font.outline_glyphs().get(id) {
                let settings = DrawSettings::unhinted(Size::new(1.0), LocationRef::default());
                outline.draw(settings, &mut pen).ok()?;
            }
            origin += self.advance(letter, setting.capital)? * scale_x;
        }
        let mut ink = vec![false; across * down];
        raster.for_each_pixel(|place, cover| {
            if let Some(dot) = ink.get_mut(place) {
                *dot = cover > INKED;
            }
        });
        Some(Dots { across, down, ink })
    }
}

/// Capitals so many dots high are drawn bold.
const BOLD_FROM: u16 = 24;

/// The accidentals come from a wide face: drawn at this part of their width.
const ACCIDENTAL_WIDTH: f32 = 0.85;

/// Whether some letter hangs below the baseline.
pub(super) fn hangs(word: &str) -> bool {
    word.contains([
        'g', 'j', 'p', 'q', 'y', 'Q', ',', ';', '(', ')', '[', ']', '{', '}', '|', '/', '♯', '♭', '$', '@', '_',
    ]) || !word.is_ascii()
        && word.contains([
            'ç', 'ş', 'ţ', 'ę', 'ą', 'р', 'у', 'ф', 'ц', 'щ', 'д', 'γ', 'η', 'μ', 'ρ', 'φ', 'χ', 'ψ',
        ])
}

/// Dots below the baseline for a capital so many dots high.
pub(super) fn descent(capital: u16) -> usize {
    (f32::from(capital) * DESCENDER / CAPITAL).round().max(1.0) as usize
}

/// Turns a glyph's outline, in ems up from the baseline, into dots down from the top.
struct DotPen<'r> {
    raster: &'r mut Rasterizer,
    scale_x: f32,
    /// A capital's and a small letter's height in whole dots, so that no edge falls between two.
    capital: f32,
    small: f32,
    /// The glyph's left edge and the baseline, in dots.
    origin: Point,
    at: Point,
    start: Point,
    limit: Point,
}

impl DotPen<'_> {
    /// Dots above the baseline: small letters end on a whole dot, as capitals do.
    fn height(&self, y: f32) -> f32 {
        if y <= SMALL {
            y * self.small / SMALL
        } else {
            self.small + (y - SMALL) * (self.capital - self.small) / (CAPITAL - SMALL)
        }
    }

    /// Kept inside the dots: what would stick out (an accent over a capital) is cut flat.
    fn place(&self, x: f32, y: f32) -> Point {
        point(
            (self.origin.x + x * self.scale_x).clamp(0.0, self.limit.x - 0.01),
            (self.origin.y - self.height(y)).clamp(0.0, self.limit.y),
        )
    }
}

impl OutlinePen for DotPen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.place(x, y);
        self.start = self.at;
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let to = self.place(x, y);
        self.raster.draw_line(self.at, to);
        self.at = to;
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let to = self.place(x, y);
        self.raster.draw_quad(self.at, self.place(cx, cy), to);
        self.at = to;
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        let to = self.place(x, y);
        self.raster
            .draw_cubic(self.at, self.place(cx0, cy0), self.place(cx1, cy1), to);
        self.at = to;
    }

    fn close(&mut self) {
        self.raster.draw_line(self.at, self.start);
        self.at = self.start;
    }
}
