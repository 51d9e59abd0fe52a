//! The running dimensions of all walls of a plan: in bays and notches one moves out of the way of another, and where there is no
//! place for its figures it is left to the list of marks.

use paper::{Extent, Group, Item, Point};
use setout::{Mark, MarkFor, WallMarks};

use super::{
    column::Column,
    labels::{Labels, line_meets, quads_meet},
    room_plan::{RUN_OFFSET_MM, RoomPlan, Run, printed},
};

/// How far from their wall running dimensions are tried, mm, nearest first.
const OFFSETS_MM: [f64; 8] = [RUN_OFFSET_MM, 11.0, 15.0, 20.0, 26.0, 33.0, 41.0, 50.0];
/// What figures on figures cost; nothing worth it is drawn.
const WORDS_ON_WORDS: f64 = 1000.0;
/// What figures on a line, a line through figures, or figures inside the room cost.
const WORDS_ON_LINE: f64 = 300.0;
/// What each step farther from the wall costs.
const STEP: f64 = 1.0;

type Quad = [Point; 4];

/// Running dimensions that are drawn, and walls whose marks stand in the list only.
pub(super) struct Runs {
    shown: Vec<Run>,
    listed: Vec<String>,
}

impl Runs {
    /// Places the running dimensions of walls; `words` gives the name of a mark, or `None` to leave it out. Two walls of a notch may ask for one
    /// place: then the wall that is marked comes before the one that only tells where joists are, or the longest before the others, whichever
    /// leaves fewer walls to the list.
    pub(super) fn place(
        room: &RoomPlan<'_>,
        walls: &[WallMarks],
        words: impl Fn(&Mark) -> Option<String>,
    ) -> Self {
        let marked = |wall: &WallMarks| {
            let made = |mark: &&Mark| !matches!(mark.of, MarkFor::ClipRow(_)) && words(mark).is_some();
            wall.marks.iter().filter(made).count()
        };
        let mut by_length: Vec<&WallMarks> = walls.iter().collect();
        by_length.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
        let longest_first = Self::place_in_order(room, &by_length, &words);
        if longest_first.listed.is_empty() {
            return longest_first;
        }
        let mut by_marks = by_length;
        by_marks.sort_by_key(|wall| marked(wall) == 0);
        let marked_first = Self::place_in_order(room, &by_marks, &words);
        let lost = |runs: &Self| {
            let marks = walls.iter().filter(|wall| runs.listed.contains(&printed(&wall.wall))).map(&marked);
            (runs.listed.len(), marks.sum::<usize>())
        };
        if lost(&marked_first) < lost(&longest_first) { marked_first } else { longest_first }
    }

    /// Places them one after the other in the order given.
    fn place_in_order(
        room: &RoomPlan<'_>,
        order: &[&WallMarks],
        words: &impl Fn(&Mark) -> Option<String>,
    ) -> Self {
        let mut walls = Strokes::default();
        walls.gather(&room.walls());
        let mut taken = Strokes::default();
        let mut runs = Self { shown: Vec::new(), listed: Vec::new() };
        for wall in order {
            let mut best: Option<(f64, Run, Strokes)> = None;
            for (step, offset_mm) in OFFSETS_MM.into_iter().enumerate() {
                let Some(run) = room.running(wall, offset_mm, words) else { break };
                let mut strokes = Strokes::default();
                strokes.gather(&run.group);
                let cost =
                    step as f64 * STEP + strokes.cost_among(&taken) + strokes.cost_at_walls(&walls, room);
                if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                    best = Some((cost, run, strokes));
                }
                if cost < (step + 1) as f64 * STEP {
                    break;
                }
            }
            match best {
                Some((cost, run, strokes)) if cost < WORDS_ON_LINE => {
                    taken.boxes.extend(strokes.boxes);
                    taken.signs.extend(strokes.signs);
                    taken.lines.extend(strokes.lines);
                    runs.shown.push(run);
                }
                Some(_) => runs.listed.push(printed(&wall.wall)),
                None => {}
            }
        }
        runs
    }

    /// What is drawn.
    pub(super) fn groups(&self) -> impl Iterator<Item = Group> + '_ {
        self.shown.iter().map(|run| run.group.clone())
    }

    /// Says between each wall and its dimension from which corner it runs.
    pub(super) fn say_origins(&self, labels: &mut Labels) {
        for run in &self.shown {
            run.say_origin(labels);
        }
    }

    /// Tells whose marks stand in the list only.
    pub(super) fn tell(&self, column: &mut Column<'_>) {
        let Some((last, others)) = self.listed.split_last() else { return };
        let walls = if others.is_empty() {
            format!("wall {last}")
        } else {
            format!("walls {} and {last}", others.join(", "))
        };
        column.note(&format!(
            "There is no room here for the figures of {walls}: they stand in the list of marks."
        ));
    }
}

/// Words, signs such as the ring at an origin, and lines on the paper.
#[derive(Default)]
struct Strokes {
    boxes: Vec<Quad>,
    signs: Vec<Quad>,
    lines: Vec<(Point, Point)>,
}

impl Strokes {
    fn gather(&mut self, group: &Group) {
        for item in &group.items {
            match item {
                Item::Group(group) => self.gather(group),
                Item::Text(text) => self.boxes.push(text.corners(0.4)),
                Item::Path(path) => {
                    self.lines.extend(
                        path.points
                            .windows(2)
                            .filter_map(|pair| if let [from, to] = pair { Some((*from, *to)) } else { None }),
                    );
                    if let (true, Some(first), Some(last)) =
                        (path.closed, path.points.first(), path.points.last())
                    {
                        self.lines.push((*last, *first));
                    }
                }
                Item::Circle(_) | Item::Arc(_) => {
                    self.signs.extend(item.drawn_extent().map(|extent: Extent| extent.corners()));
                }
                Item::Strokes(_) | Item::Dots(_) => {}
            }
        }
    }

    /// Among the running dimensions that are drawn.
    fn cost_among(&self, taken: &Self) -> f64 {
        let words_on_words: usize = self
            .boxes
            .iter()
            .chain(&self.signs)
            .map(|own| taken.boxes.iter().chain(&taken.signs).filter(|other| quads_meet(own, other)).count())
            .sum();
        let on_lines = crossed(&self.boxes, &taken.lines)
            + crossed(&self.signs, &taken.lines)
            + crossed(&taken.boxes, &self.lines)
            + crossed(&taken.signs, &self.lines);
        WORDS_ON_WORDS * words_on_words as f64 + WORDS_ON_LINE * on_lines as f64
    }

    /// At the walls. A ring may stand on a wall: where two walls meet at a corner that stands into the room, the origin along one lies on the
    /// face of the other.
    fn cost_at_walls(&self, walls: &Self, room: &RoomPlan<'_>) -> f64 {
        let words_on_words: usize = self
            .boxes
            .iter()
            .map(|own| walls.boxes.iter().chain(&walls.signs).filter(|other| quads_meet(own, other)).count())
            .sum();
        let inside: usize =
            self.boxes.iter().map(|own| own.iter().filter(|corner| room.is_inside(**corner)).count()).sum();
        let on_lines = crossed(&self.boxes, &walls.lines)
            + crossed(&walls.boxes, &self.lines)
            + crossed(&walls.signs, &self.lines);
        WORDS_ON_WORDS * words_on_words as f64 + WORDS_ON_LINE * (on_lines + inside) as f64
    }
}

/// How many times lines run through boxes.
fn crossed(boxes: &[Quad], lines: &[(Point, Point)]) -> usize {
    boxes.iter().map(|own| lines.iter().filter(|(from, to)| line_meets(*from, *to, own)).count()).sum()
}
