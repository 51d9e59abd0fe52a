//! Dimensions as a site drawing has them: slashes, not arrows; running dimensions from a ringed origin; chains.

use crate::font;
use crate::ink::{Dash, Ink, Pen};
use crate::point::{Direction, Point};
use crate::scene::{Anchor, Baseline, Circle, Group, Path, Text};
use crate::spread::{Wish, spread};
use crate::wrap::wrap;

/// Size of the figures unless said otherwise, mm.
pub const FIGURE_SIZE_MM: f64 = 2.8;
/// Half the length of a slash along either axis of its square, mm.
const SLASH_REACH_MM: f64 = 1.0;
/// How far a dimension line runs on past its last slash, mm.
const OVERSHOOT_MM: f64 = 1.4;
/// Gap between the thing measured and its extension line, mm.
const EXTENSION_GAP_MM: f64 = 1.2;
/// From a dimension line to the foot of the figures above it, mm.
const FIGURE_RISE_MM: f64 = 1.1;
/// From a running dimension line to the beginning of a label that stands where it wishes, mm.
const LABEL_REACH_MM: f64 = 2.2;
/// The same for labels moved aside, which need a leader, mm.
const LED_LABEL_REACH_MM: f64 = 5.5;
/// Longest line of a caption at the origin, mm.
const CAPTION_WIDTH_MM: f64 = 25.0;
/// Beyond the paper either way: no limit to where labels may move.
const FAR_MM: f64 = 1e5;

/// Which side of a line, walking along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// To the left (above a line that runs to the right).
    Left,
    /// To the right (below a line that runs to the right).
    Right,
}

impl Side {
    /// The direction away from a line on this side.
    pub fn away(self, along: Direction) -> Direction {
        match self {
            Self::Left => along.left(),
            Self::Right => along.right(),
        }
    }
}

/// One dimension between two points.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Dimension {
    /// The first point measured.
    pub from: Point,
    /// The second point measured.
    pub to: Point,
    /// Distance of the dimension line from the line between the points, mm.
    pub offset_mm: f64,
    /// On which side of the way from the first to the second.
    pub side: Side,
    /// The figures.
    pub label: String,
    /// Ink of line and figures.
    pub ink: Ink,
    /// Size of the figures, mm.
    pub size_mm: f64,
}

impl Dimension {
    /// A dimension in drawing ink, its line `offset_mm` to the left of the way from the first point to the second.
    pub fn new(from: Point, to: Point, offset_mm: f64, label: impl Into<String>) -> Self {
        Self {
            from,
            to,
            offset_mm,
            side: Side::Left,
            label: label.into(),
            ink: Ink::Ink,
            size_mm: FIGURE_SIZE_MM,
        }
    }
}

/// Draws a dimension: extension lines, the line with slashes, the figures above it as one reads them; figures wider
/// than the line stand beyond its second end.
pub fn dimension(it: &Dimension) -> Group {
    let mut group = Group::on_layer("dimensions");
    let along = Direction::between(it.from, it.to);
    let away = it.side.away(along);
    let (from, to) = (it.from.along(away, it.offset_mm), it.to.along(away, it.offset_mm));
    let pen = Pen::THIN.in_ink(it.ink);
    if it.offset_mm.abs() > EXTENSION_GAP_MM {
        let (gap, end) = if it.offset_mm > 0.0 {
            (EXTENSION_GAP_MM, it.offset_mm + OVERSHOOT_MM)
        } else {
            (-EXTENSION_GAP_MM, it.offset_mm - OVERSHOOT_MM)
        };
        for point in [it.from, it.to] {
            let faint = Pen::FINE.in_ink(faint_of(it.ink));
            group.add(Path::line(point.along(away, gap), point.along(away, end), faint));
        }
    }
    let size = font::drawn_size_mm(it.size_mm);
    let width = font::width_mm(&it.label, size, font::Weight::Regular);
    let length = from.distance_to(to);
    let fits = width + 2.0 <= length;
    let tail = if fits { OVERSHOOT_MM } else { OVERSHOOT_MM + width + 1.5 };
    group.add(Path::line(from.along(along.back(), OVERSHOOT_MM), to.along(along, tail), pen));
    slash(&mut group, from, along, it.ink);
    slash(&mut group, to, along, it.ink);
    let middle =
        if fits { from.middle(to) } else { to.along(along, OVERSHOOT_MM + f64::midpoint(width, 1.0)) };
    group.add(figures_above(middle, along, &it.label, (size, it.ink)));
    group
}

/// A mark of a running dimension.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RunningMark {
    /// Distance from the origin in mm of paper.
    pub at_mm: f64,
    /// Its figures.
    pub label: String,
    /// Ink of slash and figures: red for what must be done.
    pub ink: Ink,
    /// Length of a faint line from the mark towards the drawing (away from the labels), mm; 0 for none.
    pub reach_mm: f64,
}

impl RunningMark {
    /// A mark in drawing ink without a line towards the drawing.
    pub fn new(at_mm: f64, label: impl Into<String>) -> Self {
        Self { at_mm, label: label.into(), ink: Ink::Ink, reach_mm: 0.0 }
    }

    /// The same mark in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    /// The same mark with a faint line towards the drawing.
    #[must_use]
    pub fn reaching(mut self, reach_mm: f64) -> Self {
        self.reach_mm = reach_mm;
        self
    }
}

/// A running dimension: all distances from one ringed origin.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RunningDimension {
    /// The ringed origin.
    pub origin: Point,
    /// Which way it runs.
    pub along: Direction,
    /// On which side the labels stand.
    pub labels: Side,
    /// Length of the line, mm; it is drawn at least to the last mark.
    pub length_mm: f64,
    /// The marks, in any order.
    pub marks: Vec<RunningMark>,
    /// Words at the origin (`from corner A, along wall A–E`); empty for none.
    pub caption: String,
    /// Size of the figures, mm.
    pub size_mm: f64,
}

/// Draws a running dimension. Labels stand square to the line; where marks crowd, the labels spread by as little as
/// possible and leaders show whose they are.
pub fn running_dimension(it: &RunningDimension) -> Group {
    running_dimension_between(it, (-FAR_MM, FAR_MM))
}

/// The same with labels kept between two distances from the origin, mm: where another wall stands across an end of the line.
pub fn running_dimension_between(it: &RunningDimension, labels_mm: (f64, f64)) -> Group {
    let mut group = Group::on_layer("running dimensions");
    let away = it.labels.away(it.along);
    let size = font::drawn_size_mm(it.size_mm);
    let marks: Vec<&RunningMark> = it.marks.iter().filter(|mark| mark.at_mm.is_finite()).collect();
    let end = marks.iter().fold(it.length_mm.max(0.0), |end, mark| end.max(mark.at_mm));
    let begin = marks.iter().fold(0.0_f64, |begin, mark| begin.min(mark.at_mm));
    let ring = 1.1;
    let first = if begin < 0.0 { begin - OVERSHOOT_MM } else { ring };
    let pen = Pen::THIN.in_ink(Ink::Grey);
    group.add(Path::line(
        it.origin.along(it.along, first),
        it.origin.along(it.along, end + OVERSHOOT_MM),
        pen,
    ));
    group.add(Circle { centre: it.origin, radius_mm: ring, pen: Some(Pen::MEDIUM), fill: Some(Ink::Paper) });

    let wishes: Vec<Wish> = marks.iter().map(|mark| Wish { at: mark.at_mm, room: size * 1.18 }).collect();
    let places = spread(&wishes, labels_mm.0.max(-FAR_MM), labels_mm.1.min(FAR_MM));
    let moved = marks.iter().zip(&places).any(|(mark, place)| (mark.at_mm - place).abs() > 0.25);
    let reach = if moved { LED_LABEL_REACH_MM } else { LABEL_REACH_MM };
    for (mark, place) in marks.iter().zip(places) {
        let on_line = it.origin.along(it.along, mark.at_mm);
        if mark.reach_mm > 0.0 {
            let faint = Pen::FINE.in_ink(faint_of(mark.ink)).dashed(Dash::Short);
            let towards = away.back();
            group.add(Path::line(
                on_line.along(towards, OVERSHOOT_MM),
                on_line.along(towards, mark.reach_mm),
                faint,
            ));
        }
        slash(&mut group, on_line, it.along, mark.ink);
        let label_at = it.origin.along(it.along, place).along(away, reach);
        if moved {
            let elbow = on_line.along(away, 1.5);
            let before = label_at.along(away.back(), 1.6);
            let end = label_at.along(away.back(), 0.6);
            let leader = Pen::FINE.in_ink(softer(mark.ink));
            group.add(Path::open([on_line, elbow, before, end], leader));
        }
        group.add(square_label(label_at, away, &mark.label, (size, mark.ink)));
    }
    if !it.caption.is_empty() {
        caption(&mut group, it, size);
    }
    group
}

/// Words before the origin, in lines short enough to stay on the side of the labels, clear of the drawing.
fn caption(group: &mut Group, it: &RunningDimension, size: f64) {
    let away = it.labels.away(it.along);
    let at = it.origin.along(it.along.back(), 2.8);
    let lines = wrap(&it.caption, size, font::Weight::Regular, CAPTION_WIDTH_MM);
    let line_height = size * 1.25;
    let upright = it.along.x().abs() < 0.5;
    let anchor = match (upright, if upright { away.x() < 0.0 } else { it.along.x() > 0.0 }) {
        (_, true) => Anchor::End,
        (_, false) => Anchor::Start,
    };
    let sideways = if upright { -2.4 * away.x().signum() } else { 0.0 };
    // Below an origin that runs up the first line comes first; above one that runs down the last line comes last.
    let block = (lines.len() as f64 - 1.0) * line_height;
    let first = if !upright {
        -block / 2.0
    } else if it.along.y() < 0.0 {
        size * font::CAP_HEIGHT / 2.0
    } else {
        -block - size * font::CAP_HEIGHT / 2.0
    };
    for (row, words) in lines.into_iter().enumerate() {
        let place = at.moved(sideways, first + row as f64 * line_height);
        group.add(
            Text::new(place, words, size)
                .anchored(anchor)
                .on(Baseline::Middle)
                .in_ink(Ink::Grey)
                .knocked_out(),
        );
    }
}

/// One link of a chain of dimensions.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Link {
    /// Its length in mm of paper.
    pub length_mm: f64,
    /// Its figures, and its name if the chain names its links (`150 roof covering`).
    pub label: String,
    /// Ink of line and figures.
    pub ink: Ink,
}

impl Link {
    /// A link in drawing ink.
    pub fn new(length_mm: f64, label: impl Into<String>) -> Self {
        Self { length_mm, label: label.into(), ink: Ink::Ink }
    }

    /// The same link in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}

/// How a chain writes its figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChainLabels {
    /// Along the line, above it as one reads it; what does not fit is led out to a second row.
    Along,
    /// Square to the line, spread where links are short: the chain of heights.
    Square,
}

/// Dimensions end to end.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Chain {
    /// Where the first link begins.
    pub start: Point,
    /// Which way it runs.
    pub along: Direction,
    /// On which side square labels and led-out labels stand.
    pub side: Side,
    /// How the figures are written.
    pub labels: ChainLabels,
    /// The links.
    pub links: Vec<Link>,
    /// Length of a faint line from every joint towards the drawing, mm; 0 for none.
    pub reach_mm: f64,
    /// Size of the figures, mm.
    pub size_mm: f64,
}

/// Draws a chain of dimensions.
pub fn chain(it: &Chain) -> Group {
    let mut group = Group::on_layer("dimensions");
    let away = it.side.away(it.along);
    let size = font::drawn_size_mm(it.size_mm);
    let links: Vec<&Link> = it.links.iter().filter(|link| link.length_mm.is_finite()).collect();
    let total: f64 = links.iter().map(|link| link.length_mm).sum();
    let begin = it.start.along(it.along.back(), OVERSHOOT_MM);
    group.add(Path::line(begin, it.start.along(it.along, total + OVERSHOOT_MM), Pen::THIN.in_ink(Ink::Grey)));

    let mut middles = Vec::with_capacity(links.len());
    let mut position = 0.0;
    let joint = |group: &mut Group, position: f64| {
        let point = it.start.along(it.along, position);
        if it.reach_mm > 0.0 {
            let towards = away.back();
            let faint = Pen::FINE.in_ink(Ink::Light);
            group.add(Path::line(
                point.along(towards, OVERSHOOT_MM),
                point.along(towards, it.reach_mm),
                faint,
            ));
        }
        slash(group, point, it.along, Ink::Ink);
    };
    joint(&mut group, position);
    for link in &links {
        middles.push(position + link.length_mm / 2.0);
        if link.ink != Ink::Ink {
            let (from, to) = (position, position + link.length_mm);
            let pen = Pen::MEDIUM.in_ink(link.ink);
            group.add(Path::line(it.start.along(it.along, from), it.start.along(it.along, to), pen));
        }
        position += link.length_mm;
        joint(&mut group, position);
    }
    match it.labels {
        ChainLabels::Square => square_labels(&mut group, it, &links, &middles),
        ChainLabels::Along => labels_along(&mut group, it, &links, (&middles, size)),
    }
    group
}

fn square_labels(group: &mut Group, it: &Chain, links: &[&Link], middles: &[f64]) {
    let away = it.side.away(it.along);
    let size = font::drawn_size_mm(it.size_mm);
    let wishes: Vec<Wish> = middles.iter().map(|&at| Wish { at, room: size * 1.3 }).collect();
    let places = spread(&wishes, -FAR_MM, FAR_MM);
    let moved = middles.iter().zip(&places).any(|(middle, place)| (middle - place).abs() > 0.25);
    let reach = if moved { LED_LABEL_REACH_MM + 1.0 } else { LABEL_REACH_MM };
    for ((link, &middle), place) in links.iter().zip(middles).zip(places) {
        let label_at = it.start.along(it.along, place).along(away, reach);
        if moved {
            let on_line = it.start.along(it.along, middle);
            let path = [
                on_line.along(away, 0.8),
                on_line.along(away, 1.8),
                label_at.along(away.back(), 1.8),
                label_at.along(away.back(), 0.7),
            ];
            group.add(Path::open(path, Pen::FINE.in_ink(softer(link.ink))));
        }
        group.add(square_label(label_at, away, &link.label, (size, link.ink)));
    }
}

fn labels_along(group: &mut Group, it: &Chain, links: &[&Link], (middles, size): (&[f64], f64)) {
    let away = it.side.away(it.along);
    let width = |link: &Link| font::width_mm(&link.label, size, font::Weight::Regular);
    let mut led = Vec::new();
    for (link, &middle) in links.iter().zip(middles) {
        if width(link) + 1.6 <= link.length_mm {
            let at = it.start.along(it.along, middle);
            group.add(figures_above(at, it.along, &link.label, (size, link.ink)));
        } else {
            led.push((*link, middle));
        }
    }
    // The second row stands clear of the first, on the chain's side.
    let wishes: Vec<Wish> =
        led.iter().map(|(link, middle)| Wish { at: *middle, room: width(link) + 1.8 }).collect();
    let row = size * 2.1 + FIGURE_RISE_MM;
    for ((link, middle), place) in led.iter().zip(spread(&wishes, -FAR_MM, FAR_MM)) {
        let at = it.start.along(it.along, place).along(away, row);
        let on_line = it.start.along(it.along, *middle);
        let pen = Pen::FINE.in_ink(softer(link.ink));
        group.add(Path::line(on_line.along(away, 0.6), at.along(away.back(), size * 0.62), pen));
        let text = Text::new(at, &*link.label, size)
            .centred()
            .on(Baseline::Middle)
            .turned(it.along.reading_angle_deg())
            .in_ink(link.ink)
            .knocked_out();
        group.add(text);
    }
}

/// Figures whose middle stands above a point of a line, turned with it.
fn figures_above(at: Point, along: Direction, label: &str, (size, ink): (f64, Ink)) -> Text {
    let turn = along.reading_angle_deg();
    // Above as one reads it: to the left of the way the words run.
    let reads_forward = (along.angle_deg() - turn).abs() < 1.0;
    let up = if reads_forward { along.left() } else { along.right() };
    Text::new(at.along(up, FIGURE_RISE_MM), label, size).centred().turned(turn).in_ink(ink).knocked_out()
}

/// A label that runs away from a line.
fn square_label(at: Point, away: Direction, label: &str, (size, ink): (f64, Ink)) -> Text {
    let turn = away.reading_angle_deg();
    let reads_outwards = (away.angle_deg() - turn).abs() < 1.0;
    let anchor = if reads_outwards { Anchor::Start } else { Anchor::End };
    Text::new(at, label, size).anchored(anchor).on(Baseline::Middle).turned(turn).in_ink(ink).knocked_out()
}

/// The slash of the trade across a dimension line: at 45° to the paper, so that all slashes of a drawing are alike;
/// across a line that runs that way itself, at 45° to the line.
fn slash(group: &mut Group, at: Point, along: Direction, ink: Ink) {
    let angle = along.reading_angle_deg();
    let level = if (20.0..=70.0).contains(&angle) { along } else { Direction::RIGHT };
    let up = level.left();
    let from = at.along(level.back(), SLASH_REACH_MM).along(up, -SLASH_REACH_MM);
    let to = at.along(level, SLASH_REACH_MM).along(up, SLASH_REACH_MM);
    group.add(Path::line(from, to, Pen::MEDIUM.in_ink(ink)));
}

fn softer(ink: Ink) -> Ink {
    if ink == Ink::Ink { Ink::Grey } else { ink }
}

fn faint_of(ink: Ink) -> Ink {
    if ink == Ink::Red { Ink::Red } else { Ink::Light }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Item;

    fn texts(group: &Group) -> Vec<&Text> {
        group
            .items
            .iter()
            .filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
            .collect()
    }

    #[test]
    fn crowded_running_labels_never_touch() {
        for along in [Direction::UP, Direction::RIGHT, Direction::DOWN] {
            let group = running_dimension(&RunningDimension {
                origin: Point::new(50.0, 200.0),
                along,
                labels: Side::Left,
                length_mm: 100.0,
                marks: [3.8, 5.0, 5.2, 25.6, 47.0, 48.0, 95.0]
                    .iter()
                    .map(|&at| RunningMark::new(at, format!("{}", at * 25.0)))
                    .collect(),
                caption: String::new(),
                size_mm: 2.8,
            });
            let extents: Vec<_> = texts(&group).iter().map(|text| text.extent()).collect();
            for (at, one) in extents.iter().enumerate() {
                assert!(extents[at + 1..].iter().all(|other| !one.overlaps(other)), "{along:?} {one:?}");
            }
            assert_eq!(extents.len(), 7);
        }
    }

    #[test]
    fn figures_are_read_from_below_or_from_the_right() {
        let corner = Point::new(10.0, 10.0);
        for (to, turn) in [
            (Point::new(60.0, 10.0), 0.0),
            (Point::new(-40.0, 10.0), 0.0),
            (Point::new(10.0, 60.0), 90.0),
            (Point::new(10.0, -40.0), 90.0),
        ] {
            let group = dimension(&Dimension::new(corner, to, 8.0, "1250"));
            assert!((texts(&group)[0].turn_deg - turn).abs() < 1e-9, "{to:?}");
        }
    }

    #[test]
    fn short_links_lead_their_figures_out() {
        let chain_of = |labels| {
            chain(&Chain {
                start: Point::new(20.0, 20.0),
                along: Direction::RIGHT,
                side: Side::Right,
                labels,
                links: vec![Link::new(40.0, "1000"), Link::new(2.0, "50"), Link::new(1.0, "25")],
                reach_mm: 0.0,
                size_mm: 2.8,
            })
        };
        for labels in [ChainLabels::Along, ChainLabels::Square] {
            let group = chain_of(labels);
            let extents: Vec<_> = texts(&group).iter().map(|text| text.extent()).collect();
            assert_eq!(extents.len(), 3);
            assert!(!extents[1].overlaps(&extents[2]) && !extents[0].overlaps(&extents[1]), "{labels:?}");
        }
    }
}
