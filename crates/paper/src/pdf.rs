//! PDF: every page of a document with its bookmarks, the faces embedded as subsets, the same bytes every time.

use crate::exporter::{Exporter, PaperError};
use crate::font::{self, Weight};
use crate::ink::{Dash, Ink, Pen, Tone};
use crate::page::{Bookmark, Document, DocumentPage, Window};
use crate::point::Point;
use crate::scene::{Arc, Circle, Dots, Item, Path, Scene, Strokes, Text};
use crate::svg::KNOCK_OUT_MARGIN_MM;
use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point as PdfPoint, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

/// How one scene is written as a PDF of one page.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pdf {
    /// The paper it lies on.
    pub tone: Tone,
}

impl Exporter for Pdf {
    fn ending(&self) -> &'static str {
        "pdf"
    }

    fn export(&self, scene: &Scene) -> Result<Vec<u8>, PaperError> {
        let page = DocumentPage::new(scene.clone(), "");
        write(&Document { tone: self.tone, pages: vec![page], ..Document::new("Drawing") })
    }
}

/// Points of 1/72 inch in a millimetre.
const POINTS_PER_MM: f32 = 72.0 / 25.4;
/// Part of the radius at which the handles of a quarter circle stand: 4/3 (√2 − 1).
const QUARTER_HANDLE: f64 = 0.552_284_749_830_793_4;

/// Writes a document; the same bytes for the same document.
///
/// Fails with a sentence if there is no page, a page has no usable size, or a face cannot be embedded.
pub fn write(document: &Document) -> Result<Vec<u8>, PaperError> {
    if document.pages.is_empty() {
        return Err(PaperError::NoPage);
    }
    let faces = Faces::load()?;
    let mut pdf = krilla::Document::new();
    pdf.set_metadata(metadata(document));
    for (index, page) in document.pages.iter().enumerate() {
        let (width_mm, height_mm) = Document::page_size_mm(&page.scene, index + 1)?;
        let (width, height) = (width_mm as f32 * POINTS_PER_MM, height_mm as f32 * POINTS_PER_MM);
        let settings = PageSettings::from_wh(width, height).ok_or(PaperError::PageSize {
            page: index + 1,
            width_mm,
            height_mm,
        })?;
        let mut leaf = pdf.start_page_with(settings);
        let mut surface = leaf.surface();
        surface.push_transform(&Transform::from_scale(POINTS_PER_MM, POINTS_PER_MM));
        let mut drawing = Drawing { surface: &mut surface, tone: document.tone, faces: &faces };
        if document.tone != Tone::White {
            let sheet = crate::point::Extent::new(0.0, 0.0, width_mm, height_mm);
            drawing.path(&Path::filled(sheet.corners(), Ink::Paper));
        }
        drawing.items(&page.scene.items);
        for window in &page.windows {
            drawing.window(window);
        }
        surface.pop();
        surface.finish();
        leaf.finish();
    }
    if let Some(outline) = outline(&document.pages) {
        pdf.set_outline(outline);
    }
    pdf.finish().map_err(|error| PaperError::Pdf(format!("{error:?}")))
}

fn metadata(document: &Document) -> Metadata {
    let mut metadata = Metadata::new().title(document.title.clone());
    if !document.subject.is_empty() {
        metadata = metadata.description(document.subject.clone());
    }
    if !document.creator.is_empty() {
        metadata = metadata.creator(document.creator.clone());
    }
    if !document.language.is_empty() {
        metadata = metadata.language(document.language.clone());
    }
    metadata
}

/// Bookmarks nested by their level; `None` without any.
fn outline(pages: &[DocumentPage]) -> Option<Outline> {
    let flat: Vec<(usize, &Bookmark)> = pages
        .iter()
        .enumerate()
        .flat_map(|(index, page)| page.bookmarks.iter().map(move |bookmark| (index, bookmark)))
        .collect();
    if flat.is_empty() {
        return None;
    }
    let mut outline = Outline::new();
    for node in nested(&flat) {
        outline.push_child(node);
    }
    Some(outline)
}

fn nested(mut flat: &[(usize, &Bookmark)]) -> Vec<OutlineNode> {
    let mut nodes = Vec::new();
    while let [(page, head), rest @ ..] = flat {
        let under = rest.iter().take_while(|(_, bookmark)| bookmark.level > head.level).count();
        let (children, after) = rest.split_at(under);
        let top = if head.top_mm.is_finite() { head.top_mm as f32 * POINTS_PER_MM } else { 0.0 };
        let destination = XyzDestination::new(*page, PdfPoint::from_xy(0.0, top));
        let mut node = OutlineNode::new(head.words.clone(), destination);
        for child in nested(children) {
            node.push_child(child);
        }
        nodes.push(node);
        flat = after;
    }
    nodes
}

struct Faces {
    regular: Font,
    semibold: Font,
}

impl Faces {
    fn load() -> Result<Self, PaperError> {
        let load = |weight: Weight, name: &'static str| {
            Font::new(weight.file().to_vec().into(), 0).ok_or(PaperError::Face(name))
        };
        Ok(Self { regular: load(Weight::Regular, "regular")?, semibold: load(Weight::Semibold, "semibold")? })
    }

    fn of(&self, weight: Weight) -> Font {
        match weight {
            Weight::Regular => self.regular.clone(),
            Weight::Semibold => self.semibold.clone(),
        }
    }
}

struct Drawing<'surface, 'page> {
    surface: &'surface mut Surface<'page>,
    tone: Tone,
    faces: &'surface Faces,
}

impl Drawing<'_, '_> {
    fn items(&mut self, items: &[Item]) {
        for item in items.iter().filter(|item| item.is_drawable()) {
            match item {
                Item::Group(group) => self.items(&group.items),
                Item::Path(path) => self.path(path),
                Item::Strokes(strokes) => self.strokes(strokes),
                Item::Dots(dots) => self.dots(dots),
                Item::Circle(circle) => self.circle(circle),
                Item::Arc(arc) => self.arc(arc),
                Item::Text(text) => self.text(text),
            }
        }
    }

    fn window(&mut self, window: &Window) {
        let place = window.on_page();
        let mut builder = PathBuilder::new();
        trace(&mut builder, &place.corners(), true);
        let Some(edge) = builder.finish() else { return };
        let scale = window.scale;
        let (across, down) = (place.left - window.seen.left * scale, place.top - window.seen.top * scale);
        self.surface.push_clip_path(&edge, &FillRule::NonZero);
        self.surface.push_transform(&Transform::from_translate(across as f32, down as f32));
        self.surface.push_transform(&Transform::from_scale(scale as f32, scale as f32));
        self.items(&window.scene.items);
        self.surface.pop();
        self.surface.pop();
        self.surface.pop();
    }

    fn path(&mut self, path: &Path) {
        let mut builder = PathBuilder::new();
        trace(&mut builder, &path.points, path.closed);
        let join = if path.closed { LineJoin::Miter } else { LineJoin::Round };
        self.draw(builder, path.pen.as_ref(), path.fill, (join, LineCap::Butt));
    }

    fn strokes(&mut self, strokes: &Strokes) {
        let mut builder = PathBuilder::new();
        for line in strokes.lines.iter().filter(|line| line.len() > 1) {
            trace(&mut builder, line, false);
        }
        self.draw(builder, Some(&strokes.pen), None, (LineJoin::Round, LineCap::Butt));
    }

    /// Dots are very short strokes with round ends; some readers leave out strokes of no length at all.
    fn dots(&mut self, dots: &Dots) {
        let mut builder = PathBuilder::new();
        for centre in &dots.centres {
            builder.move_to((centre.x - 0.005) as f32, centre.y as f32);
            builder.line_to((centre.x + 0.005) as f32, centre.y as f32);
        }
        let pen = Pen { width_mm: dots.diameter_mm, dash: Dash::Solid, ink: dots.ink };
        self.draw(builder, Some(&pen), None, (LineJoin::Round, LineCap::Round));
    }

    fn circle(&mut self, circle: &Circle) {
        let mut builder = PathBuilder::new();
        let turn = Turn { centre: circle.centre, radius: circle.radius_mm };
        turn.trace(&mut builder, 0.0, 360.0);
        builder.close();
        self.draw(builder, circle.pen.as_ref(), circle.fill, (LineJoin::Round, LineCap::Butt));
    }

    fn arc(&mut self, arc: &Arc) {
        let mut builder = PathBuilder::new();
        Turn { centre: arc.centre, radius: arc.radius_mm }.trace(&mut builder, arc.from_deg, arc.sweep_deg);
        self.draw(builder, Some(&arc.pen), None, (LineJoin::Round, LineCap::Butt));
    }

    fn text(&mut self, text: &Text) {
        if text.knock_out {
            self.path(&Path::filled(text.corners(KNOCK_OUT_MARGIN_MM), Ink::Paper));
        }
        let words = text.drawn_words();
        let glyphs: Vec<KrillaGlyph> = font::glyphs(&words, text.weight)
            .map(|glyph| {
                let range = glyph.begins..glyph.ends;
                KrillaGlyph::new(GlyphId::new(glyph.id), glyph.advance_em as f32, 0.0, 0.0, 0.0, range, None)
            })
            .collect();
        let start = text.start();
        let turned = text.turn_deg.abs() > 1e-6;
        if turned {
            let (x, y) = (text.at.x as f32, text.at.y as f32);
            self.surface.push_transform(&Transform::from_rotate_at(-text.turn_deg as f32, x, y));
        }
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(self.fill(text.ink)));
        self.surface.draw_glyphs(
            PdfPoint::from_xy(start.x as f32, start.y as f32),
            &glyphs,
            self.faces.of(text.weight),
            &words,
            text.drawn_size_mm() as f32,
            false,
        );
        if turned {
            self.surface.pop();
        }
    }

    fn draw(
        &mut self,
        builder: PathBuilder,
        pen: Option<&Pen>,
        fill: Option<Ink>,
        ends: (LineJoin, LineCap),
    ) {
        if pen.is_none() && fill.is_none() {
            return;
        }
        let Some(path) = builder.finish() else { return };
        let fill = fill.map(|ink| self.fill(ink));
        let stroke = pen.map(|pen| self.stroke(pen, ends));
        self.surface.set_fill(fill);
        self.surface.set_stroke(stroke);
        self.surface.draw_path(&path);
    }

    fn fill(&self, ink: Ink) -> Fill {
        Fill { paint: self.colour(ink).into(), ..Fill::default() }
    }

    fn stroke(&self, pen: &Pen, (line_join, line_cap): (LineJoin, LineCap)) -> Stroke {
        let lengths = pen.dash.lengths_mm();
        let dash = (!lengths.is_empty()).then(|| StrokeDash {
            array: lengths.iter().map(|&length| length as f32).collect(),
            offset: 0.0,
        });
        Stroke {
            paint: self.colour(pen.ink).into(),
            width: pen.drawn_width_mm() as f32,
            line_join,
            line_cap: if pen.dash == Dash::Dotted { LineCap::Round } else { line_cap },
            dash,
            ..Stroke::default()
        }
    }

    fn colour(&self, ink: Ink) -> rgb::Color {
        let [red, green, blue] = self.tone.colour(ink);
        rgb::Color::new(red, green, blue)
    }
}

fn trace(builder: &mut PathBuilder, points: &[Point], closed: bool) {
    for (at, point) in points.iter().enumerate() {
        if at == 0 {
            builder.move_to(point.x as f32, point.y as f32);
        } else {
            builder.line_to(point.x as f32, point.y as f32);
        }
    }
    if closed {
        builder.close();
    }
}

struct Turn {
    centre: Point,
    radius: f64,
}

impl Turn {
    /// Draws a part of the circle anticlockwise with one curve for every quarter or less.
    fn trace(&self, builder: &mut PathBuilder, from_deg: f64, sweep_deg: f64) {
        let pieces = (sweep_deg / 90.0).ceil().clamp(1.0, 4.0);
        let step = sweep_deg / pieces;
        // The handle of a quarter, scaled as tan(φ/4) to lesser angles.
        let quarter_tangent = std::f64::consts::SQRT_2 - 1.0;
        let handle =
            QUARTER_HANDLE * quantities::math::tan(step * quantities::math::PI / 720.0) / quarter_tangent;
        let start = self.at(from_deg);
        builder.move_to(start.0, start.1);
        let mut angle = from_deg;
        for _ in 0..pieces as u32 {
            let first = self.with_handle(angle, handle);
            let second = self.with_handle(angle + step, -handle);
            angle += step;
            let end = self.at(angle);
            builder.cubic_to(first.0, first.1, second.0, second.1, end.0, end.1);
        }
    }

    fn at(&self, angle_deg: f64) -> (f32, f32) {
        self.with_handle(angle_deg, 0.0)
    }

    fn with_handle(&self, angle_deg: f64, handle: f64) -> (f32, f32) {
        let (sine, cosine) = quantities::math::sin_cos(angle_deg * quantities::math::PI / 180.0);
        let across = cosine - handle * sine;
        let up = sine + handle * cosine;
        ((self.centre.x + self.radius * across) as f32, (self.centre.y - self.radius * up) as f32)
    }
}
