//! The one scene model that every exporter reads.

use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
use quantities::math;

/// A drawing of a given size: millimetres of paper, x to the right, y down.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Scene {
    /// Width in mm.
    pub width_mm: f64,
    /// Height in mm.
    pub height_mm: f64,
    /// What is drawn, the first lowest.
    pub items: Vec<Item>,
}

impl Scene {
    /// An empty scene of a size in millimetres.
    pub const fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { width_mm, height_mm, items: Vec::new() }
    }

    /// Adds one item on top.
    pub fn add(&mut self, item: impl Into<Item>) {
        self.items.push(item.into());
    }

    /// Adds several items on top.
    pub fn extend(&mut self, items: impl IntoIterator<Item = Item>) {
        self.items.extend(items);
    }

    /// The rectangle round everything drawn (text by its measured width), `None` if nothing is.
    pub fn drawn_extent(&self) -> Option<Extent> {
        extent_of(&self.items)
    }

    /// The scene as one group moved to a place on another sheet.
    pub fn placed(self, left_mm: f64, top_mm: f64) -> Group {
        let mut group = Group { items: self.items, ..Group::default() };
        group.shift(left_mm, top_mm);
        group
    }

    /// Puts all that is read in it otherwise: texts, and sentences shown when one points at a group.
    pub fn put_words(&mut self, put: &mut dyn FnMut(&mut String)) {
        put_words(&mut self.items, put);
    }
}

fn put_words(items: &mut [Item], put: &mut dyn FnMut(&mut String)) {
    for item in items {
        match item {
            Item::Group(group) => group.put_words(put),
            Item::Text(text) => put(&mut text.words),
            Item::Path(_) | Item::Strokes(_) | Item::Dots(_) | Item::Circle(_) | Item::Arc(_) => {}
        }
    }
}

/// Anything that can be drawn.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// Items that belong together.
    Group(Group),
    /// A polyline or a closed polygon, one straight line included.
    Path(Path),
    /// Many thin lines with one pen: hatches, grids.
    Strokes(Strokes),
    /// Many equal filled dots: the sand of a sand-filled board.
    Dots(Dots),
    /// A circle.
    Circle(Circle),
    /// Part of a circle.
    Arc(Arc),
    /// One line of text.
    Text(Text),
}

/// Items that belong together: a layer in the DXF, a `<g>` in the SVG.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Group {
    /// Layer name in plain words (`wall plate marks`); empty: the layer of the group around it.
    pub layer: String,
    /// Identifier a page can find it by; unique within a scene.
    pub id: Option<String>,
    /// A sentence shown when one points at it.
    pub title: Option<String>,
    /// What is drawn, the first lowest.
    pub items: Vec<Item>,
}

impl Group {
    /// An empty group on a layer.
    pub fn on_layer(layer: impl Into<String>) -> Self {
        Self { layer: layer.into(), ..Self::default() }
    }

    /// The same group with an identifier a page can find.
    #[must_use]
    pub fn with_id(mut self, id: impl Into<String>) -> Self {
        self.id = Some(id.into());
        self
    }

    /// The same group with a sentence shown when one points at it.
    #[must_use]
    pub fn with_title(mut self, title: impl Into<String>) -> Self {
        self.title = Some(title.into());
        self
    }

    /// Adds one item on top.
    pub fn add(&mut self, item: impl Into<Item>) {
        self.items.push(item.into());
    }

    /// Adds several items on top.
    pub fn extend(&mut self, items: impl IntoIterator<Item = Item>) {
        self.items.extend(items);
    }

    /// Puts all that is read in it otherwise: texts, and sentences shown when one points at a group.
    pub fn put_words(&mut self, put: &mut dyn FnMut(&mut String)) {
        if let Some(title) = &mut self.title {
            put(title);
        }
        put_words(&mut self.items, put);
    }

    /// Moves everything in it right by `dx` and down by `dy` mm.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        for item in &mut self.items {
            item.shift(dx, dy);
        }
    }

    /// The rectangle round everything drawn, `None` if nothing is.
    pub fn drawn_extent(&self) -> Option<Extent> {
        extent_of(&self.items)
    }
}

/// A polyline or a polygon.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Path {
    /// Its points in order.
    pub points: Vec<Point>,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// Pen of the outline, if it has one.
    pub pen: Option<Pen>,
    /// Ink of the inside, if it is filled.
    pub fill: Option<Ink>,
}

impl Path {
    /// A straight line.
    pub fn line(from: Point, to: Point, pen: Pen) -> Self {
        Self { points: vec![from, to], closed: false, pen: Some(pen), fill: None }
    }

    /// An open polyline.
    pub fn open(points: impl IntoIterator<Item = Point>, pen: Pen) -> Self {
        Self { points: points.into_iter().collect(), closed: false, pen: Some(pen), fill: None }
    }

    /// A closed polygon with an outline.
    pub fn closed(points: impl IntoIterator<Item = Point>, pen: Pen) -> Self {
        Self { points: points.into_iter().collect(), closed: true, pen: Some(pen), fill: None }
    }

    /// A filled polygon without an outline.
    pub fn filled(points: impl IntoIterator<Item = Point>, fill: Ink) -> Self {
        Self { points: points.into_iter().collect(), closed: true, pen: None, fill: Some(fill) }
    }

    /// An upright rectangle with an outline.
    pub fn rectangle(extent: Extent, pen: Pen) -> Self {
        Self::closed(extent.corners(), pen)
    }

    /// The same path, its inside filled.
    #[must_use]
    pub fn with_fill(mut self, fill: Ink) -> Self {
        self.fill = Some(fill);
        self
    }
}

/// Many open polylines with one pen.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Strokes {
    /// The polylines.
    pub lines: Vec<Vec<Point>>,
    /// Their pen.
    pub pen: Pen,
}

/// Many equal filled dots.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Dots {
    /// Where they are.
    pub centres: Vec<Point>,
    /// Their diameter in mm.
    pub diameter_mm: f64,
    /// Their ink.
    pub ink: Ink,
}

/// A circle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Its radius in mm.
    pub radius_mm: f64,
    /// Pen of the outline, if it has one.
    pub pen: Option<Pen>,
    /// Ink of the inside, if it is filled.
    pub fill: Option<Ink>,
}

/// Part of a circle, drawn anticlockwise as seen on paper.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Arc {
    /// Its centre.
    pub centre: Point,
    /// Its radius in mm.
    pub radius_mm: f64,
    /// Where it begins, degrees anticlockwise from the right.
    pub from_deg: f64,
    /// How far it runs anticlockwise, degrees, above 0 and up to 360.
    pub sweep_deg: f64,
    /// Its pen.
    pub pen: Pen,
}

impl Arc {
    /// A point of the circle at an angle in degrees, anticlockwise from the right as seen on paper.
    pub fn point_at(&self, angle_deg: f64) -> Point {
        let (sine, cosine) = math::sin_cos(angle_deg * math::PI / 180.0);
        self.centre.moved(self.radius_mm * cosine, -self.radius_mm * sine)
    }
}

/// Which part of a line of text stands at its point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// Its beginning.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Which height of a line of text stands at its point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Baseline {
    /// The line the letters stand on.
    #[default]
    Foot,
    /// Half the height of a capital.
    Middle,
    /// The top of a capital.
    Top,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Text {
    /// Where it stands.
    pub at: Point,
    /// The words; control characters are left out.
    pub words: String,
    /// Size of the font in mm (a capital is 0.698 of it); drawn at least [`font::SMALLEST_TEXT_MM`] large.
    pub size_mm: f64,
    /// Regular or semibold.
    pub weight: Weight,
    /// Which part stands at `at`.
    pub anchor: Anchor,
    /// Which height stands at `at`.
    pub baseline: Baseline,
    /// Turned anticlockwise round `at`, degrees.
    pub turn_deg: f64,
    /// Its ink.
    pub ink: Ink,
    /// Whether the paper shows round it, so that it never lies on a line.
    pub knock_out: bool,
}

impl Text {
    /// A regular line of text in drawing ink that begins at a point.
    pub fn new(at: Point, words: impl Into<String>, size_mm: f64) -> Self {
        Self {
            at,
            words: words.into(),
            size_mm,
            weight: Weight::Regular,
            anchor: Anchor::Start,
            baseline: Baseline::Foot,
            turn_deg: 0.0,
            ink: Ink::Ink,
            knock_out: false,
        }
    }

    /// The same text in semibold.
    #[must_use]
    pub fn semibold(mut self) -> Self {
        self.weight = Weight::Semibold;
        self
    }

    /// The same text in a given weight.
    #[must_use]
    pub fn in_weight(mut self, weight: Weight) -> Self {
        self.weight = weight;
        self
    }

    /// The same text with its middle at its point.
    #[must_use]
    pub fn centred(mut self) -> Self {
        self.anchor = Anchor::Middle;
        self
    }

    /// The same text anchored otherwise.
    #[must_use]
    pub fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// The same text standing at another height.
    #[must_use]
    pub fn on(mut self, baseline: Baseline) -> Self {
        self.baseline = baseline;
        self
    }

    /// The same text in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    /// The same text turned anticlockwise by degrees.
    #[must_use]
    pub fn turned(mut self, turn_deg: f64) -> Self {
        self.turn_deg = turn_deg;
        self
    }

    /// The same text with the paper showing round it.
    #[must_use]
    pub fn knocked_out(mut self) -> Self {
        self.knock_out = true;
        self
    }

    /// The size an exporter draws, never under [`font::SMALLEST_TEXT_MM`].
    pub fn drawn_size_mm(&self) -> f64 {
        font::drawn_size_mm(self.size_mm)
    }

    /// The words without control characters, as an exporter draws them.
    pub fn drawn_words(&self) -> String {
        self.words
            .chars()
            .map(|c| if c == '\n' || c == '\t' { ' ' } else { c })
            .filter(|c| !c.is_control())
            .collect()
    }

    /// Measured width in mm.
    pub fn width_mm(&self) -> f64 {
        font::width_mm(&self.words, self.drawn_size_mm(), self.weight)
    }

    /// The point the line of letters begins at, on its foot line, before it is turned round `at`.
    pub fn start(&self) -> Point {
        let back = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        let down = match self.baseline {
            Baseline::Foot => 0.0,
            Baseline::Middle => 0.5,
            Baseline::Top => 1.0,
        };
        self.at.moved(-back * self.width_mm(), down * font::CAP_HEIGHT * self.drawn_size_mm())
    }

    /// The four corners of the box round the letters (descenders included), `margin_mm` larger, turned as the
    /// text is.
    pub fn corners(&self, margin_mm: f64) -> [Point; 4] {
        let start = self.start();
        let size = self.drawn_size_mm();
        let upright = Extent::new(
            start.x - margin_mm,
            start.y - font::CAP_HEIGHT * size - margin_mm,
            start.x + self.width_mm() + margin_mm,
            start.y + font::DESCENT * size + margin_mm,
        );
        let (sine, cosine) = math::sin_cos(self.turn_deg * math::PI / 180.0);
        upright.corners().map(|corner| {
            let (dx, dy) = (corner.x - self.at.x, corner.y - self.at.y);
            self.at.moved(dx * cosine + dy * sine, dy * cosine - dx * sine)
        })
    }

    /// The upright rectangle round the letters.
    pub fn extent(&self) -> Extent {
        Extent::round(self.corners(0.0)).unwrap_or_default()
    }
}

impl Item {
    /// Moves it right by `dx` and down by `dy` mm.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        let shift_all = |points: &mut Vec<Point>| {
            for point in points {
                *point = point.moved(dx, dy);
            }
        };
        match self {
            Self::Group(group) => group.shift(dx, dy),
            Self::Path(path) => shift_all(&mut path.points),
            Self::Strokes(strokes) => strokes.lines.iter_mut().for_each(shift_all),
            Self::Dots(dots) => shift_all(&mut dots.centres),
            Self::Circle(circle) => circle.centre = circle.centre.moved(dx, dy),
            Self::Arc(arc) => arc.centre = arc.centre.moved(dx, dy),
            Self::Text(text) => text.at = text.at.moved(dx, dy),
        }
    }

    /// The rectangle round what it draws, `None` if it draws nothing.
    pub fn drawn_extent(&self) -> Option<Extent> {
        let around = |centre: Point, radius: f64| {
            Extent::round([centre.moved(-radius, -radius), centre.moved(radius, radius)])
        };
        match self {
            Self::Group(group) => group.drawn_extent(),
            Self::Path(path) => Extent::round(path.points.iter().copied()),
            Self::Strokes(strokes) => Extent::round(strokes.lines.iter().flatten().copied()),
            Self::Dots(dots) => Extent::round(dots.centres.iter().copied()),
            Self::Circle(circle) => around(circle.centre, circle.radius_mm),
            Self::Arc(arc) => around(arc.centre, arc.radius_mm),
            Self::Text(text) => Extent::round(text.corners(0.0)),
        }
    }

    /// Whether every number in it (groups aside) is an ordinary number within 10 km of paper; exporters leave out
    /// what is not.
    pub fn is_drawable(&self) -> bool {
        let near = |number: f64| number.is_finite() && number.abs() <= 1e7;
        let all_near = |points: &[Point]| points.iter().all(|p| near(p.x) && near(p.y));
        match self {
            Self::Group(_) => true,
            Self::Path(path) => path.points.len() > 1 && all_near(&path.points),
            Self::Strokes(strokes) => strokes.lines.iter().all(|line| all_near(line)),
            Self::Dots(dots) => near(dots.diameter_mm) && dots.diameter_mm > 0.0 && all_near(&dots.centres),
            Self::Circle(circle) => {
                all_near(&[circle.centre]) && near(circle.radius_mm) && circle.radius_mm > 0.0
            }
            Self::Arc(arc) => {
                all_near(&[arc.centre])
                    && near(arc.radius_mm)
                    && arc.radius_mm > 0.0
                    && near(arc.from_deg)
                    && arc.sweep_deg > 0.0
                    && arc.sweep_deg <= 360.0
            }
            Self::Text(text) => all_near(&[text.at]) && near(text.turn_deg) && !text.words.trim().is_empty(),
        }
    }
}

fn extent_of(items: &[Item]) -> Option<Extent> {
    items.iter().filter_map(Item::drawn_extent).reduce(|all, one| all.with(one))
}

macro_rules! item_from {
    ($($kind:ident),*) => {
        $(impl From<$kind> for Item {
            fn from(it: $kind) -> Self {
                Self::$kind(it)
            }
        })*
    };
}
item_from!(Group, Path, Strokes, Dots, Circle, Arc, Text);
