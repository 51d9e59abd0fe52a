//! Words put where they are easiest to read: not on each other, not on a line if there is any other place.

use paper::{Baseline, Extent, Group, Ink, Item, Path, Pen, Point, Text, font, mark, point::Direction};

/// Clear paper kept round a label, mm.
const CLEAR_MM: f64 = 0.7;
/// A label this far from what it names is led to it, mm.
const LED_MM: f64 = 4.5;
/// What standing on a line in full ink costs.
const STRONG_LINE: f64 = 6.0;
/// What a leader through another label costs, a label on another's leader, and a leader across another: each reads as if it belonged to the
/// other.
const LEADER_THROUGH_LABEL: f64 = 30.0;
const ON_LEADER: f64 = 30.0;
const LEADERS_CROSS: f64 = 20.0;
/// What standing on another label costs.
const ON_LABEL: f64 = 200.0;

/// Places labels one after the other; each keeps clear of what was watched and of the labels before it.
#[derive(Default)]
pub(super) struct Labels {
    boxes: Vec<Box4>,
    lines: Vec<Line>,
    leaders: Vec<[Point; 2]>,
    placed: Group,
}

type Quad = [Point; 4];

/// A quadrangle kept clear, with the upright rectangle round it.
struct Box4 {
    quad: Quad,
    around: Extent,
}

impl Box4 {
    fn of(quad: Quad) -> Option<Self> {
        Extent::round(quad).map(|around| Self { quad, around })
    }
}

struct Line {
    from: Point,
    to: Point,
    around: Extent,
    cost: f64,
}

/// One way to write a label: some lines of text and, perhaps, a sign they belong to.
#[derive(Clone, Debug, Default)]
pub(super) struct Candidate {
    /// Lines of text.
    pub texts: Vec<Text>,
    /// What else is drawn with them, kept clear like a text.
    pub sign: Option<Group>,
    /// A thin line from what is named to the label, where that is some way off.
    pub leader: Option<[Point; 2]>,
    /// What choosing it costs, beside what it stands on: below 1 for a matter of taste.
    pub cost: f64,
}

impl Candidate {
    /// One line of text.
    pub(super) fn text(text: Text) -> Self {
        Self { texts: vec![text], ..Self::default() }
    }

    fn quads(&self) -> Vec<Quad> {
        let mut quads: Vec<Quad> = self.texts.iter().map(|text| text.corners(CLEAR_MM)).collect();
        quads.extend(
            self.sign.as_ref().and_then(Group::drawn_extent).map(|extent| extent.inset(-CLEAR_MM).corners()),
        );
        quads
    }
}

impl Labels {
    /// An empty sheet whose labels go on a layer.
    pub(super) fn on_layer(layer: &str) -> Self {
        Self { placed: Group::on_layer(layer), ..Self::default() }
    }

    /// Labels will keep clear of the lines and words of a group; hatches and fills do not count.
    pub(super) fn watch(&mut self, group: &Group) {
        for item in &group.items {
            match item {
                Item::Group(group) => self.watch(group),
                Item::Path(path) => {
                    let Some(pen) = path.pen else { continue };
                    for pair in path.points.windows(2) {
                        if let [from, to] = pair {
                            self.watch_line(*from, *to, pen);
                        }
                    }
                    if let (true, Some(first), Some(last)) =
                        (path.closed, path.points.first(), path.points.last())
                    {
                        self.watch_line(*last, *first, pen);
                    }
                }
                Item::Text(text) => self.boxes.extend(Box4::of(text.corners(CLEAR_MM))),
                Item::Circle(_) | Item::Arc(_) => {
                    self.boxes.extend(item.drawn_extent().and_then(|extent| Box4::of(extent.corners())));
                }
                Item::Strokes(_) | Item::Dots(_) => {}
            }
        }
    }

    fn watch_line(&mut self, from: Point, to: Point, pen: Pen) {
        let cost = match pen.ink {
            Ink::Ink | Ink::Red => STRONG_LINE,
            Ink::Grey => 4.0,
            Ink::Light => 1.0,
            Ink::Wash | Ink::Blush | Ink::Paper => 0.1,
        };
        if let Some(around) = Extent::round([from, to]) {
            self.lines.push(Line { from, to, around, cost });
        }
    }

    /// Puts the cheapest of the candidates, the first of several equally cheap.
    pub(super) fn put(&mut self, candidates: impl IntoIterator<Item = Candidate>) {
        self.put_below(candidates, f64::INFINITY);
    }

    /// The same for a label that is left out where it would stand on another label.
    pub(super) fn put_off_words(&mut self, candidates: impl IntoIterator<Item = Candidate>) {
        self.put_below(candidates, ON_LABEL);
    }

    fn put_below(&mut self, candidates: impl IntoIterator<Item = Candidate>, most: f64) {
        let mut best: Option<(f64, Candidate)> = None;
        for candidate in candidates {
            let least = best.as_ref().map_or(f64::INFINITY, |(least, _)| *least);
            if candidate.cost >= least {
                continue;
            }
            let cost = candidate.cost + self.cost_of(&candidate);
            if best.as_ref().is_none_or(|(least, _)| cost < *least - 1e-9) {
                let free = cost < 1e-9;
                best = Some((cost, candidate));
                if free {
                    break;
                }
            }
        }
        let Some((_, candidate)) = best.filter(|(cost, _)| *cost < most) else { return };
        self.boxes.extend(candidate.quads().into_iter().filter_map(Box4::of));
        if let Some([from, to]) = candidate.leader {
            if let Some(around) = Extent::round([from, to]) {
                self.lines.push(Line { from, to, around, cost: ON_LEADER });
            }
            self.leaders.push([from, to]);
            self.placed.add(Path::line(from, to, Pen::FINE.in_ink(Ink::Grey)));
        }
        self.placed.items.extend(candidate.sign.map(Item::Group));
        self.placed.items.extend(candidate.texts.into_iter().map(|text| Item::Text(text.knocked_out())));
    }

    fn cost_of(&self, candidate: &Candidate) -> f64 {
        let mut cost = 0.0;
        for quad in candidate.quads() {
            let Some(around) = Extent::round(quad) else { continue };
            let on = |other: &&Box4| touches(&other.around, &around) && quads_meet(&quad, &other.quad);
            cost += ON_LABEL * self.boxes.iter().filter(on).count() as f64;
            for line in &self.lines {
                if touches(&line.around, &around) && line_meets(line.from, line.to, &quad) {
                    cost += line.cost;
                }
            }
        }
        if let Some([from, to]) = candidate.leader {
            let through = |other: &&Box4| line_meets(from, to, &other.quad);
            cost += LEADER_THROUGH_LABEL * self.boxes.iter().filter(through).count() as f64;
            let across = |[a, b]: &&[Point; 2]| segments_cross((from, to), (*a, *b));
            cost += LEADERS_CROSS * self.leaders.iter().filter(across).count() as f64;
        }
        cost
    }

    /// Everything put so far.
    pub(super) fn finish(self) -> Group {
        self.placed
    }
}

/// A label round a point: beside, above, below it, then farther off.
pub(super) fn around(at: Point, words: &str, size_mm: f64, reaches_mm: &[f64]) -> Vec<Candidate> {
    let size = font::drawn_size_mm(size_mm);
    let mut all = Vec::new();
    for &reach in reaches_mm {
        for (right, down) in [(1, -1), (1, 1), (-1, -1), (-1, 1), (0, -1), (0, 1), (1, 0), (-1, 0)]
            .map(|(x, y)| (f64::from(x), f64::from(y)))
        {
            let half = font::width_mm(words, size, paper::Weight::Regular) / 2.0;
            let away = if right.abs() > 0.5 && down.abs() > 0.5 { reach * 0.75 } else { reach };
            let middle = at.moved(right * (half + away), down * (size * font::CAP_HEIGHT / 2.0 + away));
            let mut one = Candidate::text(Text::new(middle, words, size).centred().on(Baseline::Middle));
            one.cost = all.len() as f64 * 0.01;
            if reach >= LED_MM {
                one.cost += 0.3;
                let end = middle.moved(-right * (half + 0.5), -down * (size * font::CAP_HEIGHT / 2.0 + 0.5));
                one.leader = Some([at.along(Direction::between(at, end), 1.0), end]);
            }
            all.push(one);
        }
    }
    all
}

/// The turn at which words along a direction are read from below or, a little past upright too, from the right, degrees.
pub(super) fn reading_turn_deg(direction: Direction) -> f64 {
    let turn = direction.reading_angle_deg();
    if turn < -80.0 { turn + 180.0 } else { turn }
}

/// Words along a line, raised clear of it on its upper side as one reads, then on the other; at the middle first.
pub(super) fn along(from: Point, to: Point, words: &str, size_mm: f64) -> Vec<Candidate> {
    let direction = Direction::between(from, to);
    let turn = reading_turn_deg(direction);
    let up = if (direction.angle_deg() - turn).abs() < 1.0 { direction.left() } else { direction.right() };
    let size = font::drawn_size_mm(size_mm);
    let length = from.distance_to(to);
    let mut all = Vec::new();
    for step in 0..17_i32 {
        // 0, +1, −1, +2, −2 …
        let place = f64::from((step + 1) / 2) * if step % 2 == 0 { 1.0 } else { -1.0 };
        let at = from.along(direction, length * (0.5 + place * 0.05));
        for side in [1.0, -1.0] {
            let middle = at.along(up, side * (size * font::CAP_HEIGHT / 2.0 + 1.0));
            let mut one =
                Candidate::text(Text::new(middle, words, size).centred().on(Baseline::Middle).turned(turn));
            one.cost = f64::from(step) * 0.02 + if side < 0.0 { 0.015 } else { 0.0 };
            all.push(one);
        }
    }
    all
}

/// Several lines of words whose block has its middle at a point, the first line semibold.
pub(super) fn block(middle: Point, lines: &[&str], size_mm: f64, turn_deg: f64) -> Vec<Text> {
    let size = font::drawn_size_mm(size_mm);
    let spacing = size * 1.3;
    let (sine, cosine) = quantities::math::sin_cos(turn_deg * quantities::math::PI / 180.0);
    let first = -spacing * (lines.len() as f64 - 1.0) / 2.0;
    lines
        .iter()
        .enumerate()
        .map(|(row, words)| {
            let down = first + spacing * row as f64;
            let text = mark::label(middle.moved(down * sine, down * cosine), *words, size).turned(turn_deg);
            if row == 0 { text.semibold() } else { text }
        })
        .collect()
}

fn touches(one: &Extent, other: &Extent) -> bool {
    one.left <= other.right && other.left <= one.right && one.top <= other.bottom && other.top <= one.bottom
}

/// Whether two convex quadrangles share some area (no straight line parts them).
pub(super) fn quads_meet(one: &[Point; 4], other: &[Point; 4]) -> bool {
    !parted(one, other) && !parted(other, one)
}

/// Whether a side of the first quadrangle parts it from the second.
fn parted(one: &Quad, other: &Quad) -> bool {
    sides(one).any(|(from, to)| {
        let normal = (to.y - from.y, from.x - to.x);
        let height = |p: &Point| normal.0 * (p.x - from.x) + normal.1 * (p.y - from.y);
        let (mut own, mut others) = ((f64::MAX, f64::MIN), (f64::MAX, f64::MIN));
        for (range, quad) in [(&mut own, one), (&mut others, other)] {
            for at in quad.iter().map(height) {
                *range = (if at < range.0 { at } else { range.0 }, if at > range.1 { at } else { range.1 });
            }
        }
        own.1 <= others.0 + 1e-9 || others.1 <= own.0 + 1e-9
    })
}

/// Whether a straight line runs through a convex quadrangle.
pub(super) fn line_meets(from: Point, to: Point, quad: &[Point; 4]) -> bool {
    // A line of no width is a quadrangle of no width; of its own sides only the long one can part.
    let line = [from, to, to, from];
    !parted(quad, &line) && !parted(&line, quad)
}

fn segments_cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let of = |from: Point, to: Point| geometry::Segment {
        from: geometry::Point::new(from.x, from.y),
        to: geometry::Point::new(to.x, to.y),
    };
    of(a, b).meets(of(c, d)).is_some()
}

fn sides(quad: &Quad) -> impl Iterator<Item = (Point, Point)> + '_ {
    quad.iter().copied().zip(quad.iter().copied().cycle().skip(1)).filter(|(from, to)| from != to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_box_is_seen_and_one_beside_it_is_not() {
        let quad = Extent::new(10.0, 10.0, 20.0, 14.0).corners();
        assert!(line_meets(Point::new(0.0, 12.0), Point::new(30.0, 12.0), &quad));
        assert!(line_meets(Point::new(14.0, 11.0), Point::new(15.0, 12.0), &quad));
        assert!(!line_meets(Point::new(0.0, 15.0), Point::new(30.0, 15.0), &quad));
        assert!(!line_meets(Point::new(0.0, 0.0), Point::new(9.0, 30.0), &quad));
        assert!(!line_meets(Point::new(22.0, 10.0), Point::new(26.0, 14.0), &quad));
    }

    #[test]
    fn labels_move_off_lines_and_off_each_other() {
        let mut lines = Group::default();
        lines.add(paper::Path::line(Point::new(0.0, 20.0), Point::new(60.0, 20.0), Pen::THIN));
        let mut labels = Labels::on_layer("text");
        labels.watch(&lines);
        for _ in 0..3 {
            labels.put(around(Point::new(30.0, 20.0), "123", 2.5, &[1.0, 2.0]));
        }
        let quads: Vec<Quad> = labels
            .finish()
            .items
            .iter()
            .filter_map(|item| if let Item::Text(text) = item { Some(text.corners(0.0)) } else { None })
            .collect();
        assert_eq!(quads.len(), 3);
        for (at, quad) in quads.iter().enumerate() {
            assert!(!line_meets(Point::new(0.0, 20.0), Point::new(60.0, 20.0), quad));
            assert!(quads.iter().skip(at + 1).all(|other| !quads_meet(quad, other)));
        }
    }
}
