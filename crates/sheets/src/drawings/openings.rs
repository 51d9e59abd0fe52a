//! Windows, doors and air paths in the walls of a plan.

use paper::{
    Group, Ink, Path, Pen, Point,
    table::{Column as TableColumn, Table},
};
use plan::outcome::OpeningOutcome;

use super::{
    labels::{self, Labels},
    room_plan::{FIGURE_MM, RoomPlan},
};

/// Half the distance of the two lines of a window, mm of paper.
const HALF_REVEAL_MM: f64 = 0.7;

/// Every opening as a break in its wall: two thin lines for a window, one for a door or an air path.
pub(super) fn openings(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("openings");
    for opening in &room.plan.openings {
        let Some((from, to)) = ends(room, opening) else { continue };
        let out = room.outwards(from, to);
        group.add(Path::line(from, to, Pen::new(Pen::HEAVY.width_mm + 0.3).in_ink(Ink::Paper)));
        let offsets: &[f64] =
            if opening.kind == "window" { &[-HALF_REVEAL_MM, HALF_REVEAL_MM] } else { &[HALF_REVEAL_MM] };
        for offset in offsets {
            group.add(Path::line(from.along(out, *offset), to.along(out, *offset), Pen::THIN));
        }
        for end in [from, to] {
            group.add(Path::line(
                end.along(out, -HALF_REVEAL_MM * 1.6),
                end.along(out, HALF_REVEAL_MM * 1.6),
                Pen::MEDIUM,
            ));
        }
    }
    group
}

/// The name of each opening beside it, inside the room.
pub(super) fn names(room: &RoomPlan<'_>, labels: &mut Labels) {
    for opening in &room.plan.openings {
        let Some((from, to)) = ends(room, opening) else { continue };
        let middle = Point::new(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
        let inside = middle.along(room.outwards(from, to), -2.0);
        labels.put(labels::around(inside, &opening.name, FIGURE_MM, &[2.4, 4.0, 6.0, 9.0]));
    }
}

/// Where each opening is, in figures; none without openings.
pub(super) fn table(room: &RoomPlan<'_>) -> Option<Table> {
    if room.plan.openings.is_empty() {
        return None;
    }
    let mut table = Table::new(vec![
        TableColumn::left("opening"),
        TableColumn::left("wall"),
        TableColumn::right("from corner"),
        TableColumn::right("size"),
        TableColumn::right("sill"),
    ]);
    for opening in &room.plan.openings {
        let wall = room.plan.survey.walls.get(opening.wall).map_or("", |wall| wall.name.as_str());
        table.row([
            opening.name.clone(),
            wall.replace('-', "–"),
            room.plan.lengths().figure(opening.from_corner_mm, 0),
            format!(
                "{}\u{A0}×\u{A0}{}",
                room.plan.lengths().figure(opening.width_mm, 0),
                room.plan.lengths().figure(opening.height_mm, 0)
            ),
            room.plan.lengths().figure(opening.sill_mm, 0),
        ]);
    }
    Some(table)
}

/// Both ends of an opening on paper.
fn ends(room: &RoomPlan<'_>, opening: &OpeningOutcome) -> Option<(Point, Point)> {
    let survey = &room.plan.survey;
    let wall = survey.walls.get(opening.wall)?;
    let (from, to) = (survey.corners.get(wall.from)?.at, survey.corners.get(wall.to)?.at);
    let along = (to - from).unit()?;
    let near = from + along * opening.from_corner_mm;
    let far = near + along * opening.width_mm;
    Some((room.at(near), room.at(far)))
}

/// How openings are brought true and walls that bow get a straight edge, a sentence each.
pub(crate) fn true_words(plan: &plan::Plan) -> Vec<String> {
    let lengths = plan.lengths();
    let mm = |value: f64| lengths.figure(value, 0);
    let unit = if lengths.in_feet() { "" } else { " mm" };
    let mut out = Vec::new();
    for opening in &plan.openings {
        let Some(t) = opening.brought_true else { continue };
        let sides = [
            ("near reveal", "foot", "head", t.near),
            ("far reveal", "foot", "head", t.far),
            ("under the lintel", "near end", "far end", t.head),
            ("over the sill", "near end", "far end", t.sill),
        ];
        let packed: Vec<String> = sides
            .iter()
            .filter(|(_, _, _, taper)| taper.first_mm.max(taper.second_mm) >= 0.5)
            .map(|(side, first, second, taper)| {
                format!(
                    "{side} {} at the {first}, {} at the {second}",
                    mm(taper.first_mm),
                    mm(taper.second_mm)
                )
            })
            .collect();
        out.push(if packed.is_empty() {
            format!("The {} is true as it is.", opening.name)
        } else {
            format!(
                "The {} is {}\u{A0}×\u{A0}{} when brought true: packers or scribes in mm, tapering: {}.",
                opening.name,
                mm(t.width_mm),
                mm(t.height_mm),
                packed.join("; ")
            )
        });
    }
    for batten in &plan.battens {
        let at: Vec<String> = batten.fixings_mm.iter().map(|x| mm(*x)).collect();
        let packers: Vec<String> = batten.packers_mm.iter().map(|x| lengths.figure(*x, 1)).collect();
        out.push(format!(
            "Batten to wall {}: {} of {}{unit}, fixed at {}{unit} from an end of each, packers {}{unit} there; or scribe it.",
            batten.wall.replace('-', "–"),
            if batten.lengths == 1 { "one length".to_owned() } else { format!("{} lengths", batten.lengths) },
            mm(batten.length_mm),
            at.join(", "),
            packers.join(", ")
        ));
    }
    out.iter().map(|words| plan.shown(words)).collect()
}
