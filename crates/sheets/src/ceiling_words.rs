//! Noggins, marks on joists and linings in the way, in words for drawings, lists and pages.

use plan::{Plan, outcome::AsBuiltOutcome};
use setout::{Clip, Mark, Noggin, NogginEnd, PackerCount, WallMarks, as_built::ChangeKind};

/// One noggin as it is listed.
pub(crate) struct NogginWords {
    /// `J15 to J16`, `J3 to wall D–E`.
    pub(crate) between: String,
    /// `1 234 on J15 from wall A–B`.
    pub(crate) place: String,
}

impl NogginWords {
    /// Its place with what it is for; a noggin from wall to wall has no place along a joist.
    pub(crate) fn place_and(&self, why: &str) -> String {
        if self.place.is_empty() { why.to_owned() } else { format!("{}; {why}", self.place) }
    }
}

/// The words of a noggin.
pub(crate) fn noggin(plan: &Plan, noggin: &Noggin) -> NogginWords {
    let hold = plan.ceiling.noggin_holds.iter().find(|hold| hold.number == noggin.number);
    let Some(hold) = hold else { return NogginWords { between: String::new(), place: String::new() } };
    let name = |end: &NogginEnd| match (end.joist, &end.at_wall) {
        (Some(joist), _) => joist_name(plan, joist),
        (None, Some(wall)) => format!("wall {}", printed(wall)),
        (None, None) => "nothing".to_owned(),
    };
    let [left, right] = &hold.ends;
    let place = hold.ends.iter().find_map(|end| {
        Some(format!(
            "{} on {} from wall {}",
            plan.lengths().figure(end.along_mm?, 0),
            joist_name(plan, end.joist?),
            printed(end.from_wall.as_ref()?)
        ))
    });
    NogginWords { between: format!("{} to {}", name(left), name(right)), place: place.unwrap_or_default() }
}

/// The packer of a clip: `12`, under a twisted joist `6–18`, at its low and at its high edge; `None` where no level was read.
pub(crate) fn packer(plan: &Plan, clip: &Clip) -> Option<String> {
    let lengths = plan.lengths();
    let edges = plan.ceiling.given.as_ref().and_then(|given| clip.packer_edges_mm(given));
    match edges.map(|edges| edges.map(|edge| lengths.figure(edge, 0))) {
        Some([low, high]) if low != high => Some(format!("{low}–{high}")),
        _ => clip.packer_mm.map(|packer| lengths.figure(packer, 0)),
    }
}

/// Packers by thickness, each thickness as it is told with how many: two that are a sixteenth of an inch alike are one to whoever cuts them.
pub(crate) fn packers<'a>(
    plan: &Plan,
    packers: impl IntoIterator<Item = &'a PackerCount>,
) -> Vec<(String, usize)> {
    let mut told: Vec<(String, usize)> = Vec::new();
    for packer in packers {
        let figure = plan.lengths().figure(packer.thickness_mm, 0);
        match told.last_mut() {
            Some((known, count)) if *known == figure => *count += packer.count,
            _ => told.push((figure, packer.count)),
        }
    }
    told
}

/// How to go on round what is fixed, a sentence each without a full stop: bars to move back first, each told once; last those that may be
/// moved to spare something.
pub(crate) fn changes(found: &AsBuiltOutcome) -> Vec<&str> {
    let told = |sentence: &str| {
        found.difference.changes.iter().any(|c| c.kind == ChangeKind::BarBack && c.sentence == sentence)
    };
    let back = found.move_back.iter().map(|back| back.sentence.as_str());
    let others = found.difference.sentences.iter().map(String::as_str).filter(|sentence| !told(sentence));
    let could = found.could_move.iter().map(|stays| stays.sentence.as_str());
    back.chain(others).chain(could).collect()
}

/// The name of a joist.
pub(crate) fn joist_name(plan: &Plan, joist: usize) -> String {
    let joists = plan.ceiling.given.as_ref().map_or(&[][..], |given| &given.joists);
    joists.get(joist).map_or_else(String::new, |joist| joist.name.clone())
}

/// What stands between the sheets of the ceiling and the survey: linings built first.
pub(crate) fn linings_in_the_way(plan: &Plan) -> Vec<String> {
    let first = plan.linings.iter().filter(|lining| lining.before_ceiling && lining.depth_mm > 0.0);
    let mut words: Vec<String> = first
        .map(|lining| {
            format!(
                "The lining of wall {} is built first: the ceiling ends at its face, {} before the wall.",
                printed(&lining.wall),
                plan.lengths().with_unit(lining.depth_mm, 0)
            )
        })
        .collect();
    if words.is_empty() {
        return words;
    }
    let marks = plan.ceiling.layout.iter().flat_map(|layout| &layout.marks);
    let shorter: Vec<String> = marks
        .filter_map(|wall| {
            let turned: Vec<&str> = wall.wall.rsplit('-').collect();
            let own = plan.survey.walls.iter().find(|w| w.name == wall.wall || w.name == turned.join("-"))?;
            let differs = (own.length_mm - wall.length_mm).abs() >= 1.0;
            differs.then(|| {
                format!(
                    "{} is {} long here and {} on the survey",
                    printed(&own.name),
                    plan.lengths().figure(wall.length_mm, 0),
                    plan.lengths().figure(own.length_mm, 0)
                )
            })
        })
        .collect();
    if !shorter.is_empty() {
        words.push(format!("Walls beside it count from that face: {}.", shorter.join(", ")));
    }
    words
}

/// The name of what comes through the ceiling, by its place in the layout's marks from 1: `hatch`.
pub(crate) fn opening_name(plan: &Plan, number: usize) -> String {
    let rings = plan.ceiling.given.as_ref().map_or(&[][..], |given| &given.obstructions);
    let ring = number.checked_sub(1).and_then(|at| rings.get(at));
    let named = plan.fabric.joist_openings.iter().find(|opening| Some(&opening.outline) == ring);
    named.map_or_else(|| format!("opening {number}"), |opening| opening.name.clone())
}

/// What a mark stands for, openings by their names.
pub(crate) fn mark_words(plan: &Plan, mark: &Mark) -> String {
    let words = mark.what.split(", ").map(|what| {
        let number = what.strip_prefix("side of opening ").and_then(|number| number.parse().ok());
        number.map_or_else(
            || what.to_owned(),
            |number: usize| format!("side of {}", opening_name(plan, number)),
        )
    });
    words.collect::<Vec<String>>().join(", ")
}

/// A corner of the ceiling: at the faces of linings that are built first, else the survey's own.
pub(crate) fn corner_at(plan: &Plan, name: &str) -> Option<geometry::Point> {
    let given = plan.ceiling.given.iter().flat_map(|given| &given.corners).find(|corner| corner.name == name);
    given.map(|corner| corner.at).or_else(|| Some(plan.survey.corner(name)?.at))
}

/// Whether the marks of a wall count from the face of a lining that stands before the wall beside it, not from the corner itself.
pub(crate) fn counts_from_a_lining(plan: &Plan, wall: &WallMarks) -> bool {
    let Some((first, second)) = wall.wall.split_once('-') else { return false };
    let other = if wall.from_corner == first { second } else { first };
    let (Some(at), Some(bare), Some(end)) = (
        corner_at(plan, &wall.from_corner),
        plan.survey.corner(&wall.from_corner).map(|corner| corner.at),
        corner_at(plan, other),
    ) else {
        return false;
    };
    (end - at).unit().is_some_and(|along| (at - bare).dot(along).abs() >= 1.0)
}

/// Where the marks of a wall count from: `A`, or `A, at the lining's face`.
pub(crate) fn origin(plan: &Plan, wall: &WallMarks) -> String {
    if counts_from_a_lining(plan, wall) {
        format!("{}, at the lining's face", wall.from_corner)
    } else {
        wall.from_corner.clone()
    }
}

/// Corner names joined by a dash as it is printed.
pub(crate) fn printed(name: &str) -> String {
    name.replace('-', "–")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_noggin_without_a_place_says_only_why() {
        let words = |place: &str| NogginWords { between: String::new(), place: place.to_owned() };
        assert_eq!(words("").place_and("no joist here"), "no joist here");
        assert_eq!(
            words("412 on J3 from wall A–B").place_and("no joist"),
            "412 on J3 from wall A–B; no joist"
        );
    }
}
