//! Pages written as a PDF: tagged, with title, language and bookmarks, and the same bytes for the same pages.

use crate::sheet::NotMade;
use crate::sheet::flow::Frame;
use crate::sheet::leaf::{At, Bookmark, Ink, Leaf, Mark, Paint, Piece, Role};
use crate::sheet::letters::{FontId, Glyph, Letters};
use crate::sheet::packed::packed;
use krilla::color::luma;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::graphic::Graphic;
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, Node, Tag, TagGroup, TagKind, TagTree};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use std::num::NonZeroU16;

/// What the file says about itself.
pub(super) struct About {
    pub(super) title: String,
    pub(super) description: String,
    /// The set's own, so that the same set makes the same bytes: year, month, day.
    pub(super) date: Option<(u16, u8, u8)>,
}

const LANGUAGE: &str = "en";
/// A quarter of a circle as one curve: how far along the tangents its handles lie.
const QUARTER: f32 = 0.552_285;

/// # Errors
/// Where the PDF library refuses what was drawn, which would be a fault in this room.
pub(super) fn write(leaves: &[Leaf], frame: Frame, about: About, letters: &Letters) -> Result<Vec<u8>, NotMade> {
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish();
    let configuration = configuration.map_err(|error| NotMade::new(format!("{error:?}")))?;
    let mut document = Document::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    let fonts = Fonts::read()?;
    let (wide, high) = frame.page;
    let settings = PageSettings::from_wh(wide, high).ok_or_else(|| NotMade::new("the page has no size".into()))?;
    let mut tags = Tags::default();
    for leaf in leaves {
        let mut page = document.start_page_with(settings.clone());
        let mut surface = page.surface();
        for piece in &leaf.pieces {
            draw_piece(&mut surface, piece, &fonts, letters, &mut tags);
        }
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tags.tree());
    document.set_outline(outline(leaves));
    document.set_metadata(metadata(about));
    let pdf = document.finish().map_err(|error| NotMade::new(error.to_string()))?;
    Ok(packed(&pdf).unwrap_or(pdf))
}

fn metadata(about: About) -> Metadata {
    let metadata = Metadata::new()
        .title(about.title)
        .description(about.description)
        .creator("Footlights".into())
        .language(LANGUAGE.into());
    match about.date {
        Some((year, month, day)) => metadata.creation_date(DateTime::new(year).month(month).day(day)),
        None => metadata,
    }
}

fn outline(leaves: &[Leaf]) -> Outline {
    let mut outline = Outline::new();
    for (page, leaf) in leaves.iter().enumerate() {
        for Bookmark { words, y } in &leaf.bookmarks {
            let place = XyzDestination::new(page, Point::from_xy(0.0, *y));
            outline.push_child(OutlineNode::new(words.clone(), place));
        }
    }
    outline
}

/// The reading order: the title, then a section for each second heading with all that follows it.
#[derive(Default)]
struct Tags {
    above: Vec<TagGroup>,
    sections: Vec<Vec<TagGroup>>,
}

impl Tags {
    fn add(&mut self, role: &Role, id: Identifier) {
        if matches!(role, Role::Heading(2, _)) {
            self.sections.push(Vec::new());
        }
        let groups = self.sections.last_mut().unwrap_or(&mut self.above);
        let kind: TagKind = match role {
            Role::Heading(level, title) => {
                let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                Tag::Hn(level, Some(title.clone())).into()
            }
            Role::MoreWords => {
                if let Some(before) = groups.last_mut() {
                    return before.push(id);
                }
                Tag::P.into()
            }
            Role::Words => Tag::P.into(),
            Role::Figure(alt) => Tag::Figure(Some(alt.clone())).into(),
            Role::Furniture => return,
        };
        groups.push(TagGroup::with_children(kind, vec![id.into()]));
    }

    fn tree(self) -> TagTree {
        let mut tree = TagTree::new().with_lang(Some(LANGUAGE.into()));
        self.above.into_iter().for_each(|group| tree.push(group));
        for groups in self.sections {
            let children = groups.into_iter().map(Node::from).collect();
            tree.push(TagGroup::with_children(Tag::Section, children));
        }
        tree
    }
}

fn draw_piece(surface: &mut Surface<'_>, piece: &Piece, fonts: &Fonts, letters: &Letters, tags: &mut Tags) {
    if piece.marks.is_empty() {
        return;
    }
    let content = match piece.role {
        Role::Furniture => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        Role::Heading(..) | Role::Words | Role::MoreWords | Role::Figure(_) => ContentTag::Other,
    };
    let id = surface.start_tagged(content);
    surface.push_transform(&transform(piece.at, piece.scale));
    for mark in &piece.marks {
        draw_mark(surface, mark, fonts, letters);
    }
    surface.pop();
    surface.end_tagged();
    tags.add(&piece.role, id);
}

/// To a hundredth of a point, which no printer shows: long fractions fill the file.
fn rounded(points: f32) -> f32 {
    (points * 100.0).round() / 100.0
}

fn transform((x, y): At, scale: f32) -> Transform {
    Transform::from_row(scale, 0.0, 0.0, scale, rounded(x), rounded(y))
}

/// The library keeps each stream once.
fn draw_stamp(surface: &mut Surface<'_>, at: At, marks: &[Mark], fonts: &Fonts, letters: &Letters) {
    let mut builder = surface.stream_builder();
    let mut inner = builder.surface();
    for mark in marks {
        draw_mark(&mut inner, mark, fonts, letters);
    }
    inner.finish();
    let stamp = Graphic::new(builder.finish(), false);
    surface.push_transform(&transform(at, 1.0));
    surface.draw_graphic(stamp);
    surface.pop();
}

fn draw_mark(surface: &mut Surface<'_>, mark: &Mark, fonts: &Fonts, letters: &Letters) {
    match mark {
        Mark::Words {
            at,
            face,
            size,
            ink,
            words,
        } => {
            fill(surface, *ink);
            // A blank ends each piece of words, so that no two run together when read aloud or copied.
            let words = format!("{words} ");
            let glyphs: Vec<Glyph> = letters.glyphs(*face, &words).collect();
            fonts.draw(surface, *at, *size, &glyphs);
        }
        Mark::Lines { lines, width, ink } => {
            let mut path = PathBuilder::new();
            for (from, to) in lines {
                path.move_to(rounded(from.0), rounded(from.1));
                path.line_to(rounded(to.0), rounded(to.1));
            }
            stroke(surface, rounded(*width), *ink);
            draw_path(surface, path.finish());
        }
        Mark::Stamp { at, marks } => draw_stamp(surface, *at, marks, fonts, letters),
        Mark::Plate {
            at,
            wide,
            high,
            radius,
            paint,
        } => {
            match paint {
                Paint::Filled(ink) => fill(surface, *ink),
                Paint::Outlined(width) => stroke(surface, rounded(*width), Ink::Black),
            }
            draw_path(surface, plate(*at, *wide, *high, *radius));
        }
    }
}

fn draw_path(surface: &mut Surface<'_>, path: Option<Path>) {
    // None is a path without length, of which nothing can be seen.
    if let Some(path) = path {
        surface.draw_path(&path);
    }
}

fn fill(surface: &mut Surface<'_>, ink: Ink) {
    surface.set_stroke(None);
    surface.set_fill(Some(Fill {
        paint: colour(ink).into(),
        ..Fill::default()
    }));
}

fn stroke(surface: &mut Surface<'_>, width: f32, ink: Ink) {
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: colour(ink).into(),
        width,
        line_cap: LineCap::Butt,
        ..Stroke::default()
    }));
}

fn colour(ink: Ink) -> luma::Color {
    match ink {
        Ink::Black => luma::Color::black(),
        Ink::White => luma::Color::white(),
        Ink::Grey => luma::Color::new(128),
    }
}

/// A rectangle with round corners, which with a radius of half its height is a capsule and of half of both a dot.
fn plate((x, y): At, wide: f32, high: f32, radius: f32) -> Option<Path> {
    let mut path = PathBuilder::new();
    let at = |across: f32, down: f32| (rounded(x + across), rounded(y + down));
    let (r, h) = (radius, radius * (1.0 - QUARTER));
    // Clockwise from the upper left: where each side begins and ends, and the corner's handles after it.
    let sides = [
        [at(r, 0.0), at(wide - r, 0.0), at(wide - h, 0.0), at(wide, h)],
        [at(wide, r), at(wide, high - r), at(wide, high - h), at(wide - h, high)],
        [at(wide - r, high), at(r, high), at(h, high), at(0.0, high - h)],
        [at(0.0, high - r), at(0.0, r), at(0.0, h), at(h, 0.0)],
    ];
    let [[start, ..], ..] = sides;
    path.move_to(start.0, start.1);
    for (side, [begin, end, handle, next]) in sides.into_iter().enumerate() {
        if begin != end {
            path.line_to(end.0, end.1);
        }
        if radius > 0.0 {
            let [corner, ..] = sides[(side + 1) % sides.len()];
            path.cubic_to(handle.0, handle.1, next.0, next.1, corner.0, corner.1);
        }
    }
    path.close();
    path.finish()
}

/// The fonts as the PDF library has them; only the letters that are used are embedded.
struct Fonts {
    text: Font,
    bold: Font,
    accidentals: Font,
}

impl Fonts {
    fn read() -> Result<Fonts, NotMade> {
        let [text, bold, accidentals] = FontId::ALL.map(|id| Font::new(id.bytes().into(), 0));
        match (text, bold, accidentals) {
            (Some(text), Some(bold), Some(accidentals)) => Ok(Fonts {
                text,
                bold,
                accidentals,
            }),
            _ => Err(NotMade::new("a font cannot be embedded".into())),
        }
    }

    /// Letters side by side from a place on their baseline on, font by font.
    fn draw(&self, surface: &mut Surface<'_>, (x, y): At, size: f32, glyphs: &[Glyph]) {
        let mut x = x;
        for run in glyphs.chunk_by(|a, b| a.font == b.font) {
            let Some(first) = run.first() else { continue };
            let font = match first.font {
                FontId::Text => &self.text,
                FontId::Bold => &self.bold,
                FontId::Accidentals => &self.accidentals,
            };
            let mut text = String::new();
            let placed = run.iter().map(|glyph| {
                let start = text.len();
                text.push(glyph.letter);
                let id = GlyphId::new(glyph.id.to_u32());
                KrillaGlyph::new(id, glyph.advance, 0.0, 0.0, 0.0, start..text.len(), None)
            });
            let placed: Vec<KrillaGlyph> = placed.collect();
            surface.draw_glyphs(
                Point::from_xy(rounded(x), rounded(y)),
                &placed,
                font.clone(),
                &text,
                rounded(size),
                false,
            );
            x += size * run.iter().map(|glyph| glyph.advance).sum::<f32>();
        }
    }
}
