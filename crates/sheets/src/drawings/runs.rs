//! The running dimensions of all walls of a plan: in bays and notches one moves out of the way of another, and where there is no
//! place for its figures it is left to the list of marks.

use paper::{Extent, Group, Item, Point};
use setout::{Mark, WallMarks};

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
    /// Places the running dimensions of walls, the longest wall first; `words` gives the name of a mark, or `None` to leave
    /// it out.
    pub(super) fn place(
        room: &RoomPlan<'_>,
        walls: &[WallMarks],
        words: impl Fn(&Mark) -> Option<String>,
    ) -> Self {
        let mut order: Vec<&WallMarks> = walls.iter().collect();
        order.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
        let mut taken = Strokes::default();
        taken.gather(&room.walls());
        let mut runs = Self { shown: Vec::new(), listed: Vec::new() };
        for wall in order {
            let mut best: Option<(f64, Run, Strokes)> = None;
            for (step, offset_mm) in OFFSETS_MM.into_iter().enumerate() {
                let Some(run) = room.running(wall, offset_mm, &words) else { break };
                let mut strokes = Strokes::default();
                strokes.gather(&run.group);
                let cost = step as f64 * STEP + strokes.cost_among(&taken, room);
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

/// Words and lines on the paper.
#[derive(Default)]
struct Strokes {
    boxes: Vec<Quad>,
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
                    self.boxes.extend(item.drawn_extent().map(|extent: Extent| extent.corners()));
                }
                Item::Strokes(_) | Item::Dots(_) => {}
            }
        }
    }

    fn cost_among(&self, taken: &Self, room: &RoomPlan<'_>) -> f64 {
        let mut cost = 0.0;
        for own in &self.boxes {
            cost += WORDS_ON_WORDS * taken.boxes.iter().filter(|other| quads_meet(own, other)).count() as f64;
            let crossed = taken.lines.iter().filter(|(from, to)| line_meets(*from, *to, own)).count();
            let inside = own.iter().filter(|corner| room.is_inside(**corner)).count();
            cost += WORDS_ON_LINE * (crossed + inside) as f64;
        }
        for (from, to) in &self.lines {
            let through = taken.boxes.iter().filter(|other| line_meets(*from, *to, other)).count();
            cost += WORDS_ON_LINE * through as f64;
        }
        cost
    }
}
