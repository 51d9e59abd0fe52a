//! Hatches and rooflights through the joists: the hole, its trimmers, the joists cut for it.

use geometry::{Point as RoomPoint, Polygon};
use paper::{Group, Ink, Path, Pen};
use plan::Plan;

use super::{
    labels::{Candidate, Labels, block},
    room_plan::{FIGURE_MM, RoomPlan},
};

/// Every hole with its diagonals, and the trimmers at its two ends.
pub(super) fn group(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("openings");
    for opening in openings(room.plan) {
        let [near_left, near_right, far_right, far_left] = opening.outline[..] else { continue };
        let mut one = Group::default().with_title(opening.name.clone());
        for (from, to, inside) in [(near_left, near_right, far_left), (far_left, far_right, near_left)] {
            let Some(out) = (from - inside).unit() else { continue };
            let outer = [from + out * TRIMMER_MM, to + out * TRIMMER_MM];
            let band = [from, to, outer[1], outer[0]].map(|p| room.at(p));
            one.add(Path::closed(band, Pen::THIN).with_fill(Ink::Paper));
        }
        one.add(Path::closed(room.all(&opening.outline), Pen::MEDIUM).with_fill(Ink::Paper));
        let faint = Pen::FINE.in_ink(Ink::Grey);
        one.add(Path::line(room.at(near_left), room.at(far_right), faint));
        one.add(Path::line(room.at(near_right), room.at(far_left), faint));
        group.add(one);
    }
    group
}

/// The name and the clear size of every hole, in it.
pub(super) fn names(room: &RoomPlan<'_>, labels: &mut Labels) {
    for opening in openings(room.plan) {
        let [a, b, c, d] = opening.outline[..] else { continue };
        let (across, along) = (a.toward(b, 0.5).distance_mm(c.toward(d, 0.5)), a.distance_mm(b));
        let size = room.plan.lengths().size(&[along, across]);
        let middle = room.at(a.toward(c, 0.5));
        let texts = block(middle, &[opening.name.as_str(), &size], FIGURE_MM, 0.0);
        labels.put_off_words([Candidate { texts, sign: None, leader: None, cost: 0.0 }]);
    }
}

/// What is left of a joist's edge where it is cut for a hole.
pub(super) fn uncut(
    plan: &Plan,
    joist: &str,
    (from, to): (RoomPoint, RoomPoint),
) -> Vec<(RoomPoint, RoomPoint)> {
    let mut parts = vec![(from, to)];
    for opening in openings(plan).filter(|opening| opening.cut.iter().any(|cut| cut == joist)) {
        let Ok(hole) = Polygon::new(&opening.outline) else { continue };
        parts = parts
            .into_iter()
            .flat_map(|(from, to)| match hole.clip_line(from, to).first() {
                Some(&(start, end)) => vec![(from, start), (end, to)],
                None => vec![(from, to)],
            })
            .filter(|(from, to)| from.distance_mm(*to) > 1.0)
            .collect();
    }
    parts
}

fn openings(plan: &Plan) -> impl Iterator<Item = &plan::outcome::JoistOpeningOutcome> {
    plan.fabric.joist_openings.iter()
}

/// A trimmer is drawn this thick: two timbers, as they commonly are, mm.
const TRIMMER_MM: f64 = 90.0;
