//! Bars and clips: where every bar lies, where every clip is screwed, with what packing.

use std::collections::BTreeSet;

use paper::{
    Dash, Extent, Group, Hatch, Ink, Item, Path, Pen, Point, hatch, mark,
    point::Direction,
    table::{Column as TableColumn, Table},
};
use plan::{Plan, outcome::Standing};
use quantities::format::with_unit;
use setout::{Bar, BarReason, Layout, MarkFor, Noggin};

use crate::ceiling_words;

use super::{
    Drawing,
    column::{Column, Sample},
    hatches,
    labels::{Candidate, Labels, along, around},
    room_plan::{FIGURE_MM, Heading, RoomPlan, WIDE_SPACE, capital, compose},
    runs::Runs,
};

/// Half the width of the cross of a clip, mm.
const CLIP_MM: f64 = 0.95;
/// Heights in the column: a heading with the head of its table, a row, the notes at the end; and the most that is kept below the
/// table of bars, mm.
const HEAD_OF_A_TABLE_MM: f64 = 13.0;
const ROW_MM: f64 = 5.4;
const NOTES_MM: f64 = 30.0;
const MOST_KEPT_MM: f64 = 130.0;
/// Half the width of the sign of a noggin, mm.
const NOGGIN_MM: f64 = 0.9;
/// What the number of a bar costs beside it: less than standing on words, more than any line of the bar it belongs to.
const BESIDE_ITS_BAR: f64 = 150.0;
/// A bar shorter than this on paper is hidden by its number, mm.
const SHORT_BAR_MM: f64 = 12.0;
/// Pen of a bar's middle line.
pub(super) const BAR: Pen = Pen::THIN.dashed(Dash::Chain);

/// The drawing of bars and clips, if there is a layout.
pub(super) fn drawing(plan: &Plan) -> Option<Drawing> {
    let layout = plan.ceiling.layout.as_ref()?;
    let heading = Heading {
        id: "bars-and-clips".to_owned(),
        title: "Bars and clips".to_owned(),
        subtitle: format!(
            "Seen from above, as the floor plan lies: left here is left on the floor. {} bars, {} clips. \
             Dimensions in mm from the ringed corner of each wall to the middle of the bar or joist.",
            layout.bars.len(),
            layout.clips.len()
        ),
    };
    Some(compose(plan, heading, |room| draw(room, layout), |room, column| write(room, layout, column)))
}

pub(super) fn draw(room: &RoomPlan<'_>, layout: &Layout) -> Vec<Group> {
    let mut groups = vec![room.linings(), room.joists()];
    groups.push(hatches::group(room));
    groups.push(noggins(room, layout));
    let bands = bands(room, layout);
    groups.push(bands);
    groups.push(middle_lines(room, layout));
    groups.push(clips(room, layout));
    groups.push(room.walls());
    let runs = runs(room, layout);
    let along_walls: Vec<Group> = runs.groups().collect();
    let unnamed = unnamed_joists(room, &along_walls);
    groups.extend(along_walls);
    groups.push(breaches(room));
    let mut labels = Labels::on_layer("text");
    for group in &groups {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    runs.say_origins(&mut labels);
    hatches::names(room, &mut labels);
    bar_numbers(room, layout, &mut labels);
    packers(room, layout, &mut labels);
    for (from, to, name) in unnamed {
        labels.put_off_words(along(room.at(from), room.at(to), &name, FIGURE_MM));
    }
    groups.push(labels.finish());
    groups
}

/// Joists no figure along a wall names, since no clip is on them or their wall has no room for figures: noggins are measured on them too.
fn unnamed_joists(
    room: &RoomPlan<'_>,
    along_walls: &[Group],
) -> Vec<(geometry::Point, geometry::Point, String)> {
    fn words(items: &[Item], all: &mut BTreeSet<String>) {
        for item in items {
            match item {
                Item::Group(group) => words(&group.items, all),
                Item::Text(text) => all.extend(text.words.split(WIDE_SPACE).map(str::to_owned)),
                _ => {}
            }
        }
    }
    let mut named = BTreeSet::new();
    for group in along_walls {
        words(&group.items, &mut named);
    }
    let joists = room.plan.ceiling.given.iter().flat_map(|given| &given.joists);
    joists
        .filter(|joist| !named.contains(&joist.name))
        .map(|joist| (joist.from, joist.to, joist.name.clone()))
        .collect()
}

fn runs(room: &RoomPlan<'_>, layout: &Layout) -> Runs {
    Runs::place(room, &layout.marks, |mark| {
        if let Some(bar) = bar_of(&mark.what) {
            return Some(format!("bar {bar}"));
        }
        match mark.of {
            MarkFor::ClipRow(joist) => joist_name(room, joist),
            MarkFor::Opening(number) => Some(ceiling_words::opening_name(room.plan, number)),
            _ => None,
        }
    })
}

/// The number of the bar a mark's words name.
pub(super) fn bar_of(what: &str) -> Option<&str> {
    what.split(", ").find_map(|part| part.strip_prefix("bar "))
}

fn joist_name(room: &RoomPlan<'_>, joist: usize) -> Option<String> {
    room.plan.ceiling.given.as_ref()?.joists.get(joist).map(|joist| joist.name.clone())
}

/// The faces of the bars: grey bands, those along walls with a drawn edge, laps darker.
fn bands(room: &RoomPlan<'_>, layout: &Layout) -> Group {
    let mut group = Group::on_layer("bars");
    let width =
        room.plan.ceiling.given.as_ref().map_or(0.0, |given| room.view.length(given.bar.face_width_mm));
    for bar in &layout.bars {
        let (from, to) = (room.at(bar.from), room.at(bar.to));
        let edge = match bar.reason {
            BarReason::Perimeter => Pen::THIN,
            BarReason::Joint | BarReason::Field => Pen::FINE.in_ink(Ink::Light),
        };
        let mut one = Group::default().with_id(format!("bar-{}", bar.number)).with_title(title(room, bar));
        one.add(Path::closed(band(from, to, width), edge).with_fill(Ink::Wash));
        let along = Direction::between(from, to);
        for lap in &bar.laps {
            let ends = (room.view.length(lap.from_mm), room.view.length(lap.to_mm));
            let lap = band(from.along(along, ends.0), from.along(along, ends.1), width * 1.25);
            one.extend(hatch::fill(&lap, Hatch::Steel, Ink::Light));
            one.add(Path::closed(lap, Pen::THIN));
        }
        group.add(one);
    }
    group
}

fn title(room: &RoomPlan<'_>, bar: &Bar) -> String {
    format!("bar {}, {} long", bar.number, room.plan.lengths().with_unit(bar.length_mm, 0))
}

pub(super) fn band(from: Point, to: Point, width: f64) -> [Point; 4] {
    let aside = Direction::between(from, to).left();
    let half = width / 2.0;
    [from.along(aside, half), to.along(aside, half), to.along(aside, -half), from.along(aside, -half)]
}

fn middle_lines(room: &RoomPlan<'_>, layout: &Layout) -> Group {
    let mut group = Group::on_layer("bars");
    for bar in &layout.bars {
        group.add(Path::line(room.at(bar.from), room.at(bar.to), BAR));
    }
    group
}

fn clips(room: &RoomPlan<'_>, layout: &Layout) -> Group {
    let mut group = Group::on_layer("clips");
    for clip in &layout.clips {
        let cross = mark::cross(room.at(clip.at), CLIP_MM, Pen::MEDIUM);
        let unit = if room.plan.lengths().in_feet() { "" } else { "\u{a0}mm" };
        let packer = ceiling_words::packer(room.plan, clip)
            .map_or_else(String::new, |packer| format!(", packer {packer}{unit}"));
        group.add(cross.with_id(format!("clip-{}", clip.number)).with_title(format!(
            "clip {}, {}{packer}",
            clip.number,
            with_unit(clip.load_kg, 1, "kg")
        )));
    }
    group
}

/// Short timbers: two sides and a diagonal, from joist to joist.
fn noggins(room: &RoomPlan<'_>, layout: &Layout) -> Group {
    let mut group = Group::on_layer("noggins");
    for noggin in &layout.noggins {
        let (from, to) = noggin_ends(room, layout, noggin);
        let [a, b, c, d] = band(from, to, NOGGIN_MM * 2.0);
        let mut one = Group::default().with_id(format!("noggin-{}", noggin.number)).with_title(format!(
            "noggin {}, {}: {}",
            noggin.number,
            room.plan.lengths().with_unit(noggin.length_mm, 0),
            noggin.why
        ));
        one.add(Path::closed([a, b, c, d], Pen::THIN));
        one.add(Path::line(a, c, Pen::FINE));
        group.add(one);
    }
    group
}

/// A noggin lies along the bars, from what holds one end to what holds the other; what would reach through a wall is not drawn.
fn noggin_ends(room: &RoomPlan<'_>, layout: &Layout, noggin: &Noggin) -> (Point, Point) {
    let (from, to) = noggin_line(room, layout, noggin);
    let inside = room.plan.survey.polygon.clip_line(from, to);
    let near = |part: &(geometry::Point, geometry::Point)| {
        geometry::Segment { from: part.0, to: part.1 }.distance_mm(noggin.at)
    };
    let (from, to) =
        inside.into_iter().min_by(|a, b| near(a).total_cmp(&near(b))).unwrap_or((noggin.at, noggin.at));
    (room.at(from), room.at(to))
}

fn noggin_line(room: &RoomPlan<'_>, layout: &Layout, noggin: &Noggin) -> (geometry::Point, geometry::Point) {
    let along = layout.frame.along;
    let hold = room.plan.ceiling.noggin_holds.iter().find(|hold| hold.number == noggin.number);
    let half = noggin.length_mm / 2.0;
    let [left, right] =
        hold.map_or([half, half], |hold| [hold.ends[0].from_clip_mm, hold.ends[1].from_clip_mm]);
    (noggin.at + along * -left, noggin.at + along * right)
}

/// What breaks a rule: red rings.
fn breaches(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("breaches");
    for breach in &room.plan.ceiling.breaches {
        let pen = Some(Pen::BOLD.in_ink(Ink::Red));
        group.add(paper::Circle { centre: room.at(breach.at), radius_mm: 3.0, pen, fill: None });
    }
    group
}

/// Each bar's number in a ring on it, near both ends of a long one.
pub(super) fn bar_numbers(room: &RoomPlan<'_>, layout: &Layout, labels: &mut Labels) {
    for bar in &layout.bars {
        number_bar(room, bar.number, (bar.from, bar.to), labels);
    }
}

/// One bar's number on it, near both ends of a long one.
pub(super) fn number_bar(
    room: &RoomPlan<'_>,
    number: usize,
    (from, to): (geometry::Point, geometry::Point),
    labels: &mut Labels,
) {
    let (from, to) = (room.at(from), room.at(to));
    let length = from.distance_to(to);
    number_on(labels, number, (from, to), if length < 40.0 { length / 2.0 } else { 6.0 });
    if length >= 90.0 {
        number_on(labels, number, (to, from), 6.0);
    }
}

fn number_on(labels: &mut Labels, number: usize, (from, to): (Point, Point), start: f64) {
    let along = Direction::between(from, to);
    let length = from.distance_to(to);
    // A ring would hide a bar this short.
    let hidden = if length < SHORT_BAR_MM { BESIDE_ITS_BAR + 10.0 } else { 0.0 };
    let words = number.to_string();
    let ringed = |at: Point, leader: Option<[Point; 2]>, cost: f64| Candidate {
        texts: Vec::new(),
        sign: Some(mark::ringed(at, &words, FIGURE_MM, Ink::Ink)),
        leader,
        cost,
    };
    let on_bar = (0..50_u32).map(|step| {
        let at = from.along(along, (start + f64::from(step) * 0.8).min(length * 0.7));
        ringed(at, None, hidden + f64::from(step) * 0.05)
    });
    // Short bars that lie close leave no place on them: then beside, led to the bar.
    let beside = (0..24_u32).map(|step| {
        let foot = from.along(along, length * [0.5, 0.3, 0.7].get(step as usize % 3).copied().unwrap_or(0.5));
        let away = if step % 2 == 0 { along.left() } else { along.right() };
        let reach = 4.0 + f64::from(step / 3) * 1.5;
        let leader = [foot, foot.along(away, reach - 2.0)];
        ringed(foot.along(away, reach), Some(leader), BESIDE_ITS_BAR + f64::from(step) * 0.1)
    });
    labels.put(on_bar.chain(beside));
}

fn packers(room: &RoomPlan<'_>, layout: &Layout, labels: &mut Labels) {
    let inside = |mut ways: Vec<Candidate>| {
        for way in &mut ways {
            let outside = way.texts.iter().filter(|text| !room.is_inside(text.at)).count();
            way.cost += 5.0 * outside as f64;
        }
        ways
    };
    let reaches = [1.7, 2.6, 3.6, 4.8, 6.2, 8.0, 10.0, 12.5, 15.0];
    for noggin in &layout.noggins {
        // Each is told by its number in the list: rather far off, led to it, than without.
        let farther: Vec<f64> = reaches.iter().copied().chain([18.0, 21.0, 25.0]).collect();
        let ways = around(room.at(noggin.at), &format!("N{}", noggin.number), FIGURE_MM, &farther);
        labels.put_off_words(inside(ways));
    }
    for clip in &layout.clips {
        if let Some(packer) = ceiling_words::packer(room.plan, clip) {
            // Two figures on each other read as one that is wrong: none is better.
            labels.put_off_words(inside(around(room.at(clip.at), &packer, FIGURE_MM, &reaches)));
        }
    }
}

fn write(room: &RoomPlan<'_>, layout: &Layout, column: &mut Column<'_>) {
    legend(layout, column);
    room.lining_legend(column);
    runs(room, layout).tell(column);
    for breach in &room.plan.ceiling.breaches {
        column.warning(&breach.sentence);
    }
    column.heading("Bars");
    let mut table = Table::new(vec![
        TableColumn::right("bar"),
        TableColumn::left(""),
        TableColumn::right("length"),
        TableColumn::left("made of, from its left end"),
    ]);
    for bar in &layout.bars {
        let made_of: Vec<String> =
            bar.lengths.iter().map(|one| room.plan.lengths().figure(one.to_mm - one.from_mm, 0)).collect();
        let kind = match bar.reason {
            BarReason::Perimeter => "wall",
            BarReason::Joint => "joint",
            BarReason::Field => "field",
        };
        table.row([
            bar.number.to_string(),
            kind.to_owned(),
            room.plan.lengths().figure(bar.length_mm, 0),
            made_of.join(" + "),
        ]);
    }
    // Bars stand on the drawing and in their list; what holds a noggin and where a bar has its second mark, only here.
    let tables = [layout.noggins.len(), room.plan.ceiling.bar_ties.len()];
    let kept_mm: f64 = tables
        .into_iter()
        .filter(|rows| *rows > 0)
        .map(|rows| HEAD_OF_A_TABLE_MM + ROW_MM * rows as f64)
        .sum();
    column.table(table, "the rest stand in the list of bars", (NOTES_MM + kept_mm).min(MOST_KEPT_MM));
    if !layout.noggins.is_empty() {
        column.heading("Noggins");
        let ties_mm = HEAD_OF_A_TABLE_MM + ROW_MM * room.plan.ceiling.bar_ties.len() as f64;
        column.table(
            noggin_table(room.plan, layout),
            "the rest stand in the list of noggins",
            (NOTES_MM + ties_mm).min(MOST_KEPT_MM / 2.0),
        );
    }
    if !room.plan.ceiling.bar_ties.is_empty() {
        column.heading("Marks on joists, where no wall marks a bar's end");
        column.table(tie_table(room.plan), "the rest stand in the list of marks", 26.0);
    }
    for words in ceiling_words::linings_in_the_way(room.plan) {
        column.note(&words);
    }
    if let Some(level) = &layout.level {
        let joist = joist_name(room, level.lowest_joist).unwrap_or_else(|| "not named".to_owned());
        column.note(&level.sentence(&joist));
    }
    for finding in &room.plan.findings {
        // Linings have sheets of their own, and breaches stand here already.
        let elsewhere = finding.sentence.starts_with("Lining of wall")
            || room.plan.ceiling.breaches.iter().any(|b| finding.sentence.contains(&capital(&b.sentence)));
        if finding.chapter == "ceiling" && finding.standing == Standing::Fails && !elsewhere {
            column.warning(&finding.sentence);
        }
    }
    for note in &layout.notes {
        column.note(&capital(note));
    }
}

fn noggin_table(plan: &Plan, layout: &Layout) -> Table {
    let mut table = Table::new(vec![
        TableColumn::left("noggin"),
        TableColumn::right("length"),
        TableColumn::left("from – to"),
        TableColumn::left("its middle"),
    ]);
    for noggin in &layout.noggins {
        let words = ceiling_words::noggin(plan, noggin);
        table.row([
            format!("N{}", noggin.number),
            plan.lengths().figure(noggin.length_mm, 0),
            words.between,
            words.place,
        ]);
    }
    table
}

fn tie_table(plan: &Plan) -> Table {
    let mut table = Table::new(vec![
        TableColumn::right("bar"),
        TableColumn::left("on joist"),
        TableColumn::left("from wall"),
        TableColumn::right(if plan.lengths().in_feet() { "at" } else { "mm" }),
    ]);
    for tie in &plan.ceiling.bar_ties {
        table.row([
            tie.bar.to_string(),
            ceiling_words::joist_name(plan, tie.joist),
            ceiling_words::printed(&tie.from_wall),
            plan.lengths().figure(tie.along_mm, 0),
        ]);
    }
    table
}

fn legend(layout: &Layout, column: &mut Column<'_>) {
    let fill = Ink::Wash;
    let middle = Some(BAR);
    column.legend(
        &Sample::Band { edge: Pen::FINE.in_ink(Ink::Light), fill, middle },
        "bar, its number in a ring",
    );
    column.legend(&Sample::Band { edge: Pen::THIN, fill, middle }, "perimeter bar");
    if layout.bars.iter().any(|bar| !bar.laps.is_empty()) {
        column.legend(&Sample::Band { edge: Pen::THIN, fill: Ink::Light, middle }, "lap of two lengths");
    }
    let packed = layout.clips.iter().any(|clip| clip.packer_mm.is_some());
    column.legend(
        &Sample::Sign(Box::new(|at| mark::cross(at, CLIP_MM, Pen::MEDIUM))),
        if packed {
            "clip; the figure is its packer, mm (where there is none: see the list of clips)"
        } else {
            "clip"
        },
    );
    if !layout.noggins.is_empty() {
        column.legend(
            &Sample::Sign(Box::new(|at| {
                let mut group = Group::default();
                let extent = Extent::new(at.x - 5.0, at.y - NOGGIN_MM, at.x + 5.0, at.y + NOGGIN_MM);
                let [a, _, c, _] = extent.corners();
                group.add(Path::rectangle(extent, Pen::THIN));
                group.add(Path::line(a, c, Pen::FINE));
                group.add(mark::cross(at, CLIP_MM, Pen::MEDIUM));
                group
            })),
            "noggin N1, N2 … between joists, over its clip",
        );
    }
    column.legend(&Sample::Line(Pen::FINE.in_ink(Ink::Light).dashed(Dash::Dashed)), "joist above (J1, J2 …)");
    column.legend(
        &Sample::Sign(Box::new(|at| {
            let mut group = Group::default();
            group.add(paper::Circle {
                centre: at.moved(-5.0, 0.0),
                radius_mm: 1.1,
                pen: Some(Pen::MEDIUM),
                fill: Some(Ink::Paper),
            });
            group.add(Path::line(at.moved(-3.9, 0.0), at.moved(5.0, 0.0), Pen::THIN.in_ink(Ink::Grey)));
            group
        })),
        "running dimension: hook the tape at the ring",
    );
}
