//! The room on paper, seen from above: what every plan drawing shows, and how it is laid on the sheet.

use geometry::Point as RoomPoint;
use paper::{
    Dash, Extent, Group, Hatch, Ink, Item, Path, Pen, Point, Scale, Scene, View,
    dimension::{RunningDimension, RunningMark, Side, running_dimension_between},
    dxf::ModelSpace,
    hatch, mark,
    point::Direction,
    region::Region,
};
use plan::Plan;
use setout::{Mark, WallMarks};

use crate::ceiling_words;

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    column::{Column, Sample},
    hatches,
    labels::{self, Candidate, Labels},
};

/// Width of the column of words, mm.
pub(super) const COLUMN_MM: f64 = 104.0;
/// Between the plan and the column, mm.
pub(super) const GUTTER_MM: f64 = 7.0;
/// From a wall to its running dimension, mm.
pub(super) const RUN_OFFSET_MM: f64 = 8.0;
/// Words and dimensions on both sides of a room together, mm.
const WORDS_AROUND_MM: f64 = 48.0;
/// Size of figures, mm.
pub(super) const FIGURE_MM: f64 = 2.6;
/// From the middle of a wall's line to figures beside it, mm.
const CLEAR_OF_A_WALL_MM: f64 = 1.2;
/// Between a name and its figures: no exporter may draw it together.
pub(super) const WIDE_SPACE: &str = "\u{A0}\u{A0}\u{A0}";
/// The scales a plan of a room is drawn at; those between 1:25 and 1:100 keep a drawing from taking a third of its sheet.
const SCALES: [f64; 10] = [10.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0, 200.0, 500.0];
/// A second column of words beside the first is at least so wide, mm.
const LEAST_COLUMN_MM: f64 = 84.0;

/// The same in feet and inches, those of an architect's rule: 1, 3/4, 1/2, 3/8, 1/4, 1/8 and 1/16 inch to the foot, and 1:40. Figures are longer in
/// feet, and a step of two between scales would leave half the sheet empty.
const SCALES_IN_FEET: [f64; 8] = [12.0, 16.0, 24.0, 32.0, 40.0, 48.0, 96.0, 192.0];

/// A plan and the view that lays its room on paper.
pub(super) struct RoomPlan<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// From the room to paper.
    pub view: View,
    inside: Region,
}

/// What a drawing is called and how it is read.
pub(super) struct Heading {
    /// File name without ending.
    pub id: String,
    /// What it shows.
    pub title: String,
    /// How it is read.
    pub subtitle: String,
}

/// Draws at the largest usual scale at which the plan fits beside its column.
pub(super) fn compose(
    plan: &Plan,
    heading: Heading,
    draw: impl Fn(&RoomPlan<'_>) -> Vec<Group>,
    write: impl FnOnce(&RoomPlan<'_>, &mut Column<'_>),
) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = Extent::new(0.0, 0.0, width - COLUMN_MM - GUTTER_MM, height);
    let scales: &[f64] = if plan.lengths().in_feet() { &SCALES_IN_FEET } else { &SCALES };
    let laid = lay(plan, area, scales, draw);
    let mut scene = Scene::new(width, height);
    let Some((mut room, mut groups, extent)) = laid else {
        return Drawing {
            id: heading.id,
            title: heading.title,
            subtitle: plan.shown(&heading.subtitle),
            scene,
            scale: None,
            model: None,
        };
    };
    let mut column = Column::new(plan, Extent::new(width - COLUMN_MM, 1.0, width - 0.5, height - 0.5));
    // What the column has no room for goes on beside it, where the drawing leaves paper.
    let free = area.width() - extent.width() - GUTTER_MM;
    let second_mm = free.min(COLUMN_MM);
    if second_mm >= LEAST_COLUMN_MM {
        column.go_on_in(Extent::new(area.right - second_mm, 1.0, area.right, height - 0.5));
    }
    column.foot(room.scale_and_north());
    column.title(&heading.title, &heading.subtitle);
    write(&room, &mut column);
    let right = if column.went_on() { area.right - second_mm - GUTTER_MM } else { area.right };
    move_into(&mut room, &mut groups, extent, Extent { right, ..area });
    scene.extend(groups.into_iter().map(Item::Group));
    scene.add(column.finish());
    Drawing {
        id: heading.id,
        title: heading.title,
        subtitle: plan.shown(&heading.subtitle),
        scene,
        scale: Some(room.view.scale),
        model: Some(ModelSpace::of(&room.view)),
    }
}

/// The room, what is drawn of it, and the extent of that, at the largest of the scales at which it fits an area, or the last.
fn lay<'a>(
    plan: &'a Plan,
    area: Extent,
    scales: &[f64],
    draw: impl Fn(&RoomPlan<'_>) -> Vec<Group>,
) -> Option<(RoomPlan<'a>, Vec<Group>, Extent)> {
    let last = scales.len().checked_sub(1)?;
    for (at, &denominator) in scales.iter().enumerate() {
        let room = RoomPlan::at_scale(plan, Scale::one_to(denominator));
        // Words take room too, but a room larger than the area needs no trial.
        let walls = Extent::round(room.corners()).unwrap_or_default();
        if at < last && (walls.width() > area.width() || walls.height() > area.height()) {
            continue;
        }
        let groups = draw(&room);
        let extent =
            groups.iter().filter_map(Group::drawn_extent).reduce(|all, one| all.with(one)).unwrap_or(walls);
        let fits = extent.width() <= area.width() && extent.height() <= area.height();
        if fits || at == last {
            return Some((room, groups, extent));
        }
    }
    None
}

/// Moves what is drawn into the middle of an area, and the room's view with it.
fn move_into(room: &mut RoomPlan<'_>, groups: &mut [Group], extent: Extent, area: Extent) {
    let (to, from) = (area.centre(), extent.centre());
    let shift = (to.x - from.x, to.y - from.y);
    for group in groups {
        group.shift(shift.0, shift.1);
    }
    room.view.on_paper = room.view.on_paper.moved(shift.0, shift.1);
    room.inside = Region::inside(&room.corners());
}

/// The room alone, without a column of words, as large as a width of paper allows, and the view that lays it there.
pub(super) fn compose_alone(
    plan: &Plan,
    [width_mm, height_mm]: [f64; 2],
    draw: impl Fn(&RoomPlan<'_>) -> Vec<Group>,
) -> Option<(Scene, View)> {
    // Placing words is what takes time, so it is drawn once, at a scale guessed from the room; how wide the words make it matters little
    // where a page can scroll.
    let bounds = plan.survey.polygon.bounds();
    let (wide, high) = (bounds.most.x_mm - bounds.least.x_mm, bounds.most.y_mm - bounds.least.y_mm);
    let across = wide / (width_mm - WORDS_AROUND_MM).max(20.0);
    let scale = across.max(high / (height_mm - WORDS_AROUND_MM).max(20.0));
    let anywhere = Extent::new(0.0, 0.0, width_mm, height_mm);
    let (mut room, mut groups, extent) = lay(plan, anywhere, &[scale], draw)?;
    let sheet = Extent::new(0.0, 0.0, extent.width() + 2.0, extent.height() + 2.0);
    move_into(&mut room, &mut groups, extent, sheet);
    let mut scene = Scene::new(sheet.width(), sheet.height());
    scene.extend(groups.into_iter().map(Item::Group));
    Some((scene, room.view))
}

impl<'a> RoomPlan<'a> {
    fn at_scale(plan: &'a Plan, scale: Scale) -> Self {
        let bounds = plan.survey.polygon.bounds();
        let middle = bounds.middle();
        let view = View::new(scale, [middle.x_mm, middle.y_mm], Point::new(0.0, 0.0));
        let ring: Vec<Point> =
            plan.survey.corners.iter().map(|corner| view.place(corner.at.x_mm, corner.at.y_mm)).collect();
        Self { plan, view, inside: Region::inside(&ring) }
    }

    /// A point of the room on paper.
    pub(super) fn at(&self, point: RoomPoint) -> Point {
        self.view.place(point.x_mm, point.y_mm)
    }

    /// Several points of the room on paper.
    pub(super) fn all(&self, points: &[RoomPoint]) -> Vec<Point> {
        points.iter().map(|point| self.at(*point)).collect()
    }

    /// The corners on paper, in ring order.
    pub(super) fn corners(&self) -> Vec<Point> {
        self.plan.survey.corners.iter().map(|corner| self.at(corner.at)).collect()
    }

    /// Whether a point of the paper lies in the room.
    pub(super) fn is_inside(&self, point: Point) -> bool {
        self.inside.contains(point)
    }

    /// The walls, heavy.
    pub(super) fn walls(&self) -> Group {
        let mut group = Group::on_layer("walls");
        group.add(Path::closed(self.corners(), Pen::HEAVY));
        group
    }

    /// What linings built before the ceiling take of the room, from the walls to their faces.
    pub(super) fn linings(&self) -> Group {
        let mut group = Group::on_layer("linings");
        for ring in self.lined_bands() {
            group.extend(hatch::fill(&ring, Hatch::MineralFibre, Ink::Light));
            group.add(Path::closed(ring, Pen::THIN.in_ink(Ink::Grey)));
        }
        group
    }

    /// What the sign of a lining means, where there is one.
    pub(super) fn lining_legend(&self, column: &mut Column<'_>) {
        if !self.lined_bands().is_empty() {
            let sample = Sample::Surface {
                edge: Pen::THIN.in_ink(Ink::Grey),
                hatch: Hatch::MineralFibre,
                ink: Ink::Light,
            };
            column.legend(&sample, "lining, built before the ceiling");
        }
    }

    fn lined_bands(&self) -> Vec<[Point; 4]> {
        let Some(given) = self.plan.ceiling.given.as_ref().filter(|given| !given.shell.is_empty()) else {
            return Vec::new();
        };
        let n = given.corners.len();
        let built = self.plan.linings.iter().filter(|lining| lining.before_ceiling && lining.depth_mm > 0.0);
        let walls = built.filter_map(|lining| (0..n).find(|wall| given.wall_name(*wall) == lining.wall));
        walls
            .filter_map(|wall| {
                let next = (wall + 1) % n;
                let (face, behind) = (&given.corners, &given.shell);
                let ring = [face.get(wall)?.at, face.get(next)?.at, *behind.get(next)?, *behind.get(wall)?];
                Some(ring.map(|p| self.at(p)))
            })
            .collect()
    }

    /// The sides of each joist as dashes behind everything.
    pub(super) fn joists(&self) -> Group {
        let mut group = Group::on_layer("joists");
        let pen = Pen::FINE.in_ink(Ink::Light).dashed(Dash::Dashed);
        for joist in self.plan.survey.ceiling.iter().flat_map(|ceiling| &ceiling.joists) {
            let Some(along) = joist.line.along().unit() else { continue };
            for side in [0.5, -0.5] {
                let aside = along.left() * (joist.width_mm * side);
                let (from, to) = (joist.line.from + aside, joist.line.to + aside);
                for inside in self.plan.survey.polygon.clip_line(from, to) {
                    for (from, to) in hatches::uncut(self.plan, &joist.name, inside) {
                        group.add(Path::line(self.at(from), self.at(to), pen));
                    }
                }
            }
        }
        group
    }

    /// From the walls outwards: the direction away from the room on the side of a line between two points of its edge.
    pub(super) fn outwards(&self, from: Point, to: Point) -> Direction {
        let along = Direction::between(from, to);
        if self.is_inside(from.middle(to).along(along.left(), 0.2)) { along.right() } else { along.left() }
    }

    /// The names of the corners, outside, on the line that halves the angle.
    pub(super) fn corner_names(&self, labels: &mut Labels) {
        let corners = self.corners();
        let count = corners.len();
        for (index, corner) in self.plan.survey.corners.iter().enumerate() {
            let (Some(&before), Some(&here), Some(&after)) = (
                corners.get((index + count - 1) % count),
                corners.get(index),
                corners.get((index + 1) % count),
            ) else {
                continue;
            };
            let (one, two) = (self.outwards(before, here), self.outwards(here, after));
            let tip = here.moved(one.x() + two.x(), one.y() + two.y());
            let away = Direction::between(here, tip);
            let candidates = (0..90_u32).map(|step| {
                let reach = 5.6 + f64::from(step / 5) * 1.2;
                let aside = [0.0, 2.0, -2.0, 5.0, -5.0].get(step as usize % 5).copied().unwrap_or(0.0);
                let at = here.along(away, reach).along(away.left(), aside);
                let text = mark::label(at, corner.name.as_str(), 4.4).semibold();
                Candidate { texts: vec![text], sign: None, leader: None, cost: f64::from(step) * 0.03 }
            });
            labels.put(candidates);
        }
    }

    /// The running dimension of a wall, `offset_mm` of paper from it, with those of its marks that are wanted; `words` gives
    /// the name of a mark, or `None` to leave it out. `None` where no mark is wanted.
    pub(super) fn running(
        &self,
        wall: &WallMarks,
        offset_mm: f64,
        words: impl Fn(&Mark) -> Option<String>,
    ) -> Option<Run> {
        let (first, second) = wall.wall.split_once('-')?;
        let to_name = if wall.from_corner == first { second } else { first };
        // Where linings are built first, the tape is hooked at their faces.
        let corner = |name: &str| Some(self.at(ceiling_words::corner_at(self.plan, name)?));
        let (from, to) = (corner(&wall.from_corner)?, corner(to_name)?);
        let along = Direction::between(from, to);
        // Outside the wall itself, however thick the lining before it.
        let bare = |name: &str, face: Point| self.plan.survey.corner(name).map_or(face, |c| self.at(c.at));
        let walls = [bare(&wall.from_corner, from), bare(to_name, to)];
        let away = self.outwards(walls[0], walls[1]);
        let behind = |wall: Point, face: Point| (wall.x - face.x) * away.x() + (wall.y - face.y) * away.y();
        let lined = behind(walls[0], from).max(behind(walls[1], to)).max(0.0);
        let (from, to) = (from.along(away, lined), to.along(away, lined));
        let labels = if (away.x() - along.left().x()).abs() + (away.y() - along.left().y()).abs() < 1e-6 {
            Side::Left
        } else {
            Side::Right
        };
        let reads_outwards = (away.angle_deg() - away.reading_angle_deg()).abs() < 1.0;
        let label = |at_mm: f64, words: &str| {
            let figures = self.plan.lengths().figure(at_mm, 0);
            if words.is_empty() {
                figures
            } else if reads_outwards {
                format!("{figures}{WIDE_SPACE}{words}")
            } else {
                format!("{words}{WIDE_SPACE}{figures}")
            }
        };
        let mut marks: Vec<RunningMark> = wall
            .marks
            .iter()
            .filter_map(|mark| {
                let words = words(mark)?;
                let at = self.view.length(mark.at_mm);
                Some(RunningMark::new(at, label(mark.at_mm, &words)).reaching(offset_mm - 0.8))
            })
            .collect();
        if marks.is_empty() {
            return None;
        }
        let length = self.view.length(wall.length_mm);
        marks.push(RunningMark::new(length, label(wall.length_mm, to_name)));
        let origin = from.along(away, offset_mm);
        // At a corner that stands into the room the other wall goes on across the end of the line: no figure stands on it.
        let stands_in = |corner: Point, beyond: Direction| self.is_inside(corner.along(beyond, 0.5));
        let low = if stands_in(from, along.back()) { CLEAR_OF_A_WALL_MM } else { f64::NEG_INFINITY };
        let high = if stands_in(to, along) { length - CLEAR_OF_A_WALL_MM } else { f64::INFINITY };
        let mut group = running_dimension_between(
            &RunningDimension {
                origin,
                along,
                labels,
                length_mm: length,
                marks,
                caption: String::new(),
                size_mm: FIGURE_MM,
            },
            (low, high),
        );
        for (corner, end) in [(from, origin), (to, to.along(away, offset_mm))] {
            let faint = Pen::FINE.in_ink(Ink::Grey);
            group.add(Path::line(corner.along(away, 1.2), end.along(away.back(), 1.1), faint));
        }
        Some(Run { group, from, along, away, length, origin: ceiling_words::origin(self.plan, wall) })
    }

    /// The parts of a plan drawing that stand at the foot of its column.
    fn scale_and_north(&self) -> Vec<Group> {
        let mut all = Vec::new();
        if let Some(north) = self.plan.title.north_deg {
            all.push(mark::north_point(Point::new(0.0, 0.0), north, 6.0));
        }
        all.push(mark::scale_bar(Point::new(0.0, 0.0), self.view.scale, 60.0, self.plan.lengths()));
        all
    }
}

/// A running dimension along a wall.
pub(super) struct Run {
    /// What is drawn.
    pub group: Group,
    from: Point,
    along: Direction,
    away: Direction,
    length: f64,
    /// Where it counts from: `A`.
    origin: String,
}

impl Run {
    /// Says between the wall and its dimension from which corner it runs.
    pub(super) fn say_origin(&self, labels: &mut Labels) {
        let words = format!("from {}", self.origin);
        let turn = labels::reading_turn_deg(self.along);
        let candidates = (0..40_u32).map(|step| {
            let reach = 8.0 + f64::from(step) * 1.5;
            let at = self.from.along(self.along, reach).along(self.away, RUN_OFFSET_MM * 0.52);
            let text = mark::label(at, words.as_str(), FIGURE_MM).turned(turn).in_ink(Ink::Grey);
            let past = if reach > self.length - 6.0 { 50.0 } else { 0.0 };
            Candidate { texts: vec![text], sign: None, leader: None, cost: f64::from(step) * 0.01 + past }
        });
        labels.put(candidates);
    }
}

/// A wall's or tape's name as it is printed: `A–B`.
pub(super) fn printed(line: &str) -> String {
    line.replace('-', "–")
}

/// Words of a material or rule that begin a sentence.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Figures along a line of the drawing, on either side of it; left out where they would stand on others.
pub(super) fn put_along(labels: &mut Labels, from: Point, to: Point, words: &str, ink: Ink) {
    labels.put_off_words(labels::along(from, to, words, FIGURE_MM).into_iter().map(|mut candidate| {
        for text in &mut candidate.texts {
            text.ink = ink;
        }
        candidate
    }));
}

/// A small filled dot that a figure belongs to.
pub(super) fn dot(at: Point, radius_mm: f64) -> Item {
    Item::Circle(paper::Circle { centre: at, radius_mm, pen: None, fill: Some(Ink::Ink) })
}
