//! What is fixed, and what changes for it.

use paper::{Dash, Extent, Group, Ink, Path, Pen, Point, mark};
use plan::{Plan, outcome::AsBuiltOutcome};
use setout::{
    Layout, Piece,
    as_built::{Change, ChangeKind},
    check::Rule,
};

use super::{
    Drawing,
    bars::{BAR, band, bar_numbers, bar_of, number_bar},
    column::{Column, Sample},
    labels::{Candidate, Labels},
    room_plan::{FIGURE_MM, Heading, RoomPlan, capital, compose, put_along},
    runs::Runs,
};
use crate::ceiling_words;

/// Half the width of the cross of a clip, mm.
const CLIP_MM: f64 = 1.2;
/// A bar less than this off its marks is drawn on them, mm.
const SHOWN_MM: f64 = 0.5;
/// What changes is drawn with this pen, where it was with the other.
const NOW: Pen = Pen::BOLD.in_ink(Ink::Red);
const WAS: Pen = Pen::THIN.in_ink(Ink::Grey).dashed(Dash::Dashed);

/// What was found and how to go on, where something is fixed.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let (Some(layout), Some(found)) = (plan.ceiling.layout.as_ref(), plan.ceiling.as_built.as_ref()) else {
        return Vec::new();
    };
    let before = Heading {
        id: "as-built-found".to_owned(),
        title: "As built, before: what was found".to_owned(),
        subtitle: format!(
            "Seen from above. Fixed so far: {}. Grey is what is still to fix, where the plan has it; red rings are what would break a \
             rule if the rest went on as planned.",
            found.fixed_words()
        ),
    };
    let after = Heading {
        id: "as-built".to_owned(),
        title: "As built, after: how to go on".to_owned(),
        subtitle: format!(
            "Seen from above. {}; of the {} marks that remain {} stay. The other sheets show this layout, too; bars \
             and pieces keep their numbers. Dimensions in mm are those of the bars still to fix.",
            found.stays_words(),
            found.difference.marks_to_keep,
            found.difference.marks_kept
        ),
    };
    vec![
        compose(plan, before, |room| draw_found(room, layout, found), |_, column| write_found(found, column)),
        compose(
            plan,
            after,
            |room| draw(room, layout, found),
            |room, column| write(room, layout, found, column),
        ),
    ]
}

fn bar_width(room: &RoomPlan<'_>) -> f64 {
    room.plan.ceiling.given.as_ref().map_or(0.0, |given| room.view.length(given.bar.face_width_mm))
}

/// Bars where they were found, where the plan had them, and what would break a rule.
pub(super) fn draw_found(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome) -> Vec<Group> {
    let width = bar_width(room);
    let mut groups = vec![room.joists(), boards_up(room, layout, found)];
    let mut bars = Group::on_layer("bars");
    let mut off = Vec::new();
    for bar in &found.found_bars {
        let (from, to) = (room.at(bar.from), room.at(bar.to));
        if !found.fixed_bars.contains(&bar.bar) {
            bars.add(Path::closed(band(from, to, width), Pen::FINE.in_ink(Ink::Light)));
            bars.add(Path::line(from, to, BAR.in_ink(Ink::Light)));
            continue;
        }
        bars.add(Path::closed(band(from, to, width), Pen::MEDIUM).with_fill(Ink::Light));
        bars.add(Path::line(from, to, BAR));
        if let (Some([a, b]), Some(off_mm)) = (bar.planned, bar.off_mm)
            && off_mm >= SHOWN_MM
        {
            bars.add(Path::line(room.at(a), room.at(b), WAS));
            off.push((from, to, off_mm));
        }
    }
    groups.push(bars);
    let mut rings = Group::on_layer("breaches");
    for breach in found.breaches.iter().filter(|breach| breach.rule != Rule::Reading) {
        let pen = Some(Pen::BOLD.in_ink(Ink::Red));
        let mut one = Group::default().with_title(breach.sentence.clone());
        one.add(paper::Circle { centre: room.at(breach.at), radius_mm: 3.0, pen, fill: None });
        rings.add(one);
    }
    groups.push(rings);
    groups.push(room.walls());
    let mut labels = Labels::on_layer("text");
    for group in &groups {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    numbers_of_found(room, found, &mut labels);
    for (from, to, off_mm) in off {
        put_along(
            &mut labels,
            from,
            to,
            &format!("{} off", room.plan.lengths().with_unit(off_mm, 0)),
            Ink::Red,
        );
    }
    groups.push(labels.finish());
    groups
}

/// The numbers of the bars as they were found.
fn numbers_of_found(room: &RoomPlan<'_>, found: &AsBuiltOutcome, labels: &mut Labels) {
    for bar in &found.found_bars {
        number_bar(room, bar.bar, (bar.from, bar.to), labels);
    }
}

/// What stays and what changes.
pub(super) fn draw(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome) -> Vec<Group> {
    let width = bar_width(room);
    let mut groups = vec![room.joists(), boards_up(room, layout, found)];
    let mut bars = Group::on_layer("bars");
    for bar in &layout.bars {
        let (from, to) = (room.at(bar.from), room.at(bar.to));
        if found.fixed_bars.contains(&bar.number) {
            bars.add(Path::closed(band(from, to, width), Pen::MEDIUM).with_fill(Ink::Light));
        } else {
            bars.add(Path::closed(band(from, to, width), Pen::FINE.in_ink(Ink::Light)));
        }
        bars.add(Path::line(from, to, BAR));
    }
    groups.push(bars);
    let mut changes = Group::on_layer("changes");
    for change in &found.difference.changes {
        changes.add(drawn(room, change));
    }
    groups.push(changes);
    groups.push(room.walls());
    let runs = runs(room, layout, found);
    groups.extend(runs.groups());
    let mut labels = Labels::on_layer("text");
    for group in &groups {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    runs.say_origins(&mut labels);
    names_of_boards_up(room, layout, found, &mut labels);
    bar_numbers(room, layout, &mut labels);
    groups.push(labels.finish());
    groups
}

/// The marks of the bars that are still to fix, or to move.
fn runs(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome) -> Runs {
    Runs::place(room, &layout.marks, |mark| {
        let number = bar_of(&mark.what)?;
        let bar: usize = number.parse().ok()?;
        let done = found.fixed_bars.contains(&bar) && !found.move_back.iter().any(|moved| moved.bar == bar);
        (!done).then(|| format!("bar {number}"))
    })
}

fn boards_up(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome) -> Group {
    let mut group = Group::on_layer("boards");
    for piece in layout.layers.iter().flat_map(|layer| &layer.pieces) {
        if found.boards_up.contains(&piece.name) {
            group.add(Path::closed(room.all(&piece.outline), Pen::MEDIUM).with_fill(Ink::Wash));
        }
    }
    group
}

/// The names of the boards that are up, those of the layer seen: one that has to come down is found by them.
fn names_of_boards_up(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome, labels: &mut Labels) {
    let up = |piece: &&Piece| found.boards_up.contains(&piece.name);
    let mut seen = layout.layers.iter().rev().map(|layer| layer.pieces.iter().filter(up).collect::<Vec<_>>());
    let Some(pieces) = seen.find(|pieces| !pieces.is_empty()) else { return };
    for piece in pieces {
        let outline = room.all(&piece.outline);
        let Some(extent) = Extent::round(outline.iter().copied()) else { continue };
        let middle = extent.centre();
        let ways = (0..25_u32).map(|step| {
            let part = |of: u32| (f64::from(of) - 2.0) / 6.0;
            let at = Point::new(
                middle.x + part(step % 5) * extent.width(),
                middle.y + part(step / 5) * extent.height(),
            );
            let away = part(step % 5).abs() + part(step / 5).abs();
            Candidate {
                cost: away,
                ..Candidate::text(mark::label(at, piece.name.as_str(), FIGURE_MM).semibold())
            }
        });
        labels.put_off_words(ways);
    }
}

fn drawn(room: &RoomPlan<'_>, change: &Change) -> Group {
    let mut group = Group::default().with_title(change.sentence.clone());
    let (from, to) = (room.at(change.from), room.at(change.to));
    let was = change.was.map(|[a, b]| (room.at(a), room.at(b)));
    match change.kind {
        ChangeKind::ClipFixed => group.add(mark::cross(from, CLIP_MM, Pen::MEDIUM)),
        ChangeKind::ClipAdded => group.add(mark::cross(from, CLIP_MM, NOW)),
        ChangeKind::ClipLeftOut => group.add(mark::cross(from, CLIP_MM, Pen::THIN.in_ink(Ink::Grey))),
        // Where the plan had a bar that stays is on the sheet of what was found.
        ChangeKind::Piece | ChangeKind::BarFixed => {}
        ChangeKind::BarBack
        | ChangeKind::BarMoved
        | ChangeKind::BarAdded
        | ChangeKind::Joint
        | ChangeKind::LongJoint => {
            if let Some((a, b)) = was {
                group.add(Path::line(a, b, WAS));
            }
            group.add(Path::line(from, to, NOW));
        }
    }
    group
}

fn write_found(found: &AsBuiltOutcome, column: &mut Column<'_>) {
    column.legend(
        &Sample::Band { edge: Pen::MEDIUM, fill: Ink::Light, middle: Some(BAR) },
        "bar that is fixed, where it was found",
    );
    let faint = Pen::FINE.in_ink(Ink::Light);
    column.legend(
        &Sample::Band { edge: faint, fill: Ink::Paper, middle: Some(BAR.in_ink(Ink::Light)) },
        "bar still to fix, as planned",
    );
    if found.found_bars.iter().any(|bar| bar.off_mm.is_some_and(|off| off >= SHOWN_MM)) {
        column.legend(&Sample::Line(WAS), "where the plan had a bar that is off its marks");
    }
    if !found.boards_up.is_empty() {
        column.legend(&Sample::Band { edge: Pen::MEDIUM, fill: Ink::Wash, middle: None }, "board that is up");
    }
    if let Some(asks) = &found.asks {
        column.warning(&format!("{}.", capital(asks)));
    }
    column.heading("What would break a rule");
    if found.breaches.is_empty() {
        column.note("Nothing: what is fixed keeps every rule.");
    }
    let mut said: Vec<&str> = Vec::new();
    for breach in &found.breaches {
        if !said.contains(&breach.sentence.as_str()) {
            said.push(&breach.sentence);
            column.warning(&format!("{}.", capital(&breach.sentence)));
        }
    }
}

fn write(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome, column: &mut Column<'_>) {
    column.legend(
        &Sample::Band { edge: Pen::MEDIUM, fill: Ink::Light, middle: Some(BAR) },
        "bar that is fixed",
    );
    column.legend(
        &Sample::Band { edge: Pen::FINE.in_ink(Ink::Light), fill: Ink::Paper, middle: Some(BAR) },
        "bar still to fix",
    );
    column.legend(&Sample::Line(NOW), "new place of a bar or joint");
    column.legend(&Sample::Line(WAS), "where it was");
    runs(room, layout, found).tell(column);
    column.heading("How to go on");
    let changes = ceiling_words::changes(found);
    for (at, sentence) in changes.iter().enumerate() {
        let words = format!("{}.", capital(sentence));
        // Bars to move back come first.
        if at < found.move_back.len() {
            column.warning(&words);
        } else {
            column.note(&words);
        }
    }
    if changes.is_empty() {
        column.note("As planned: nothing changes.");
    }
    match found.difference.more_boards {
        0 => {}
        1 => column.note("One board more to buy than planned."),
        more if more > 0 => column.note(&format!("{more} boards more to buy than planned.")),
        fewer => column.note(&format!("{} boards fewer than planned.", -fewer)),
    }
}
