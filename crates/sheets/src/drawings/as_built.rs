//! What is fixed, and what changes for it.

use paper::{Dash, Group, Ink, Path, Pen, mark};
use plan::{Plan, outcome::AsBuiltOutcome};
use setout::{
    Layout,
    as_built::{Change, ChangeKind},
};

use super::{
    Drawing,
    bars::{BAR, band, bar_numbers},
    column::{Column, Sample},
    labels::Labels,
    room_plan::{Heading, RoomPlan, capital, compose},
};

/// Half the width of the cross of a clip, mm.
const CLIP_MM: f64 = 1.2;
/// What changes is drawn with this pen, where it was with the other.
const NOW: Pen = Pen::BOLD.in_ink(Ink::Red);
const WAS: Pen = Pen::THIN.in_ink(Ink::Grey).dashed(Dash::Dashed);

/// The drawing of the difference between plan and mended layout, where something is fixed.
pub(super) fn drawing(plan: &Plan) -> Option<Drawing> {
    let layout = plan.ceiling.layout.as_ref()?;
    let found = plan.ceiling.as_built.as_ref()?;
    let heading = Heading {
        id: "as-built".to_owned(),
        title: "As built".to_owned(),
        subtitle: format!(
            "Seen from above. What is fixed ({}) stays; of the {} marks that remain {} stay. The \
             other sheets show the layout to go on with; bars and pieces keep their numbers.",
            found.fixed_words(),
            found.difference.marks_to_keep,
            found.difference.marks_kept
        ),
    };
    Some(compose(plan, heading, |room| draw(room, layout, found), |_, column| write(found, column)))
}

fn draw(room: &RoomPlan<'_>, layout: &Layout, found: &AsBuiltOutcome) -> Vec<Group> {
    let width =
        room.plan.ceiling.given.as_ref().map_or(0.0, |given| room.view.length(given.bar.face_width_mm));
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
    let mut labels = Labels::on_layer("text");
    for group in &groups {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    bar_numbers(room, layout, &mut labels);
    groups.push(labels.finish());
    groups
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

fn drawn(room: &RoomPlan<'_>, change: &Change) -> Group {
    let mut group = Group::default().with_title(change.sentence.clone());
    let (from, to) = (room.at(change.from), room.at(change.to));
    let was = change.was.map(|[a, b]| (room.at(a), room.at(b)));
    match change.kind {
        ChangeKind::ClipFixed => group.add(mark::cross(from, CLIP_MM, Pen::MEDIUM)),
        ChangeKind::ClipAdded => group.add(mark::cross(from, CLIP_MM, NOW)),
        ChangeKind::ClipLeftOut => group.add(mark::cross(from, CLIP_MM, Pen::THIN.in_ink(Ink::Grey))),
        ChangeKind::Piece => {}
        ChangeKind::BarFixed => {
            if let Some((a, b)) = was {
                group.add(Path::line(a, b, WAS));
            }
        }
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

fn write(found: &AsBuiltOutcome, column: &mut Column) {
    column.legend(
        &Sample::Band { edge: Pen::MEDIUM, fill: Ink::Light, middle: Some(BAR) },
        "bar that is fixed",
    );
    column.legend(
        &Sample::Band { edge: Pen::FINE.in_ink(Ink::Light), fill: Ink::Paper, middle: Some(BAR) },
        "bar still to fix",
    );
    column.legend(&Sample::Line(NOW), "new place of a bar or joint");
    column.legend(&Sample::Line(WAS), "where the plan had it");
    if !found.breaches.is_empty() {
        column.heading("What would break a rule");
        let mut said: Vec<&str> = Vec::new();
        for breach in &found.breaches {
            if !said.contains(&breach.sentence.as_str()) {
                said.push(&breach.sentence);
                column.warning(&format!("{}.", capital(&breach.sentence)));
            }
        }
    }
    if let Some(asks) = &found.asks {
        column.warning(&format!("{}.", capital(asks)));
    }
    column.heading("How to go on");
    for back in &found.move_back {
        column.warning(&format!("{}.", capital(&back.sentence)));
    }
    if found.difference.sentences.is_empty() {
        column.note("As planned: nothing changes.");
    }
    for sentence in &found.difference.sentences {
        column.note(&format!("{}.", capital(sentence)));
    }
    match found.difference.more_boards {
        0 => {}
        1 => column.note("One board more to buy than planned."),
        more if more > 0 => column.note(&format!("{more} boards more to buy than planned.")),
        fewer => column.note(&format!("{} boards fewer than planned.", -fewer)),
    }
}
