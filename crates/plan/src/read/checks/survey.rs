//! The ring of corners and the tapes.

use ::survey::TieReading;

use crate::{
    assemble::survey::input,
    project::{CornerId, Survey},
    read::{
        checks::Draft,
        reading::Reading,
        room_file::mm,
        wording::{list_names, plain, shown},
    },
};

/// How much a reading may exceed what geometry allows before it is called impossible, mm.
const SLACK_MM: f64 = 30.0;
/// Farther apart than this, floor and ceiling are worth a second look, mm.
const OUT_OF_PLUMB_MM: f64 = 80.0;

/// Whether a list of corners can be a ring: at least three, each once, each a short plain name.
pub(crate) fn ring_is_sound(corners: &[String]) -> bool {
    let distinct =
        corners.iter().enumerate().all(|(at, corner)| !corners.iter().take(at).any(|other| other == corner));
    corners.len() >= 3 && distinct && corners.iter().all(|corner| is_plain(corner))
}

fn is_plain(corner: &str) -> bool {
    !corner.is_empty() && corner.chars().count() <= 8 && corner.chars().all(char::is_alphanumeric)
}

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    check_corners(reading);
    let Some(survey) = draft.survey() else { return };
    if reading.names.corners.is_empty() {
        return;
    }
    let before = reading.count_of_errors();
    check_each_tape(survey, reading);
    if survey.tape.is_empty() && !reading.has("survey.tape") {
        reading
            .error("missing-reading", "survey", "The survey has no tape.")
            .help("Write a [[survey.tape]] for every wall and for the diagonals: from, to, and the length near the ceiling.");
    } else if !reading.lost_entries("survey.tape") {
        if !reading.lost_entries("survey.tie") {
            check_coverage(survey, reading);
        }
        check_triangles(survey, reading);
    }
    check_ties(survey, reading);
    check_bows(survey, reading);
    let complete = !["survey.tape", "survey.tie"].into_iter().any(|list| reading.lost_entries(list));
    if complete && reading.count_of_errors() == before {
        check_signs(survey, reading);
    }
}

/// A tie on the wrong side of its line makes a room that no other reading fits.
fn check_signs(survey: &Survey, reading: &mut Reading<'_>) {
    let Some(found) = ::survey::wrong_sign(&input(survey, None)) else { return };
    let key = match found.reading {
        TieReading::Along => "along_mm",
        TieReading::Offset => "offset_mm",
    };
    let Some(&first) = found.ties.first() else { return };
    let path = format!("{}.{key}", reading.entry("survey.tie", first));
    let mut letters = found.sentence.chars();
    let start: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let help = match found.ties.len() {
        1 => format!("Write `{key} = {}`.", plain(found.would_be_mm)),
        _ => "Turn the sign of every `offset_mm`, or write the other way round as `round` under [survey]."
            .to_owned(),
    };
    reading
        .error("wrong-sign", &path, format!("{start}{}.", letters.as_str()))
        .here("the sign is turned")
        .help(help);
}

fn check_corners(reading: &mut Reading<'_>) {
    if !reading.has("survey.corners") || reading.complained_about("survey.corners") {
        return;
    }
    let corners = reading.names.written_corners.clone();
    if corners.len() < 3 {
        let count = corners.len();
        reading
            .error(
                "too-few-corners",
                "survey.corners",
                format!("A room has at least three corners; here stand {count}."),
            )
            .help(
                "Name every corner in the order of the ring, such as corners = [\"A\", \"B\", \"C\", \"D\"].",
            );
    }
    for (at, corner) in corners.iter().enumerate() {
        let path = format!("survey.corners[{at}]");
        if corners.iter().take(at).any(|other| other == corner) {
            reading
                .error("repeated", &path, format!("The corner `{}` stands twice in the ring.", shown(corner)))
                .help("Name each corner once; the ring closes by itself.");
        } else if !is_plain(corner) {
            reading
                .error("bad-corner-name", &path, format!("`{}` cannot be the name of a corner.", shown(corner)))
                .help("Use one to eight letters or digits, such as \"A\" or \"A1\": walls are named A-B after them.");
        }
    }
}

fn check_each_tape(survey: &Survey, reading: &mut Reading<'_>) {
    for (index, tape) in survey.tape.iter().enumerate() {
        let entry = reading.entry("survey.tape", index);
        let pair = pair_name(survey, tape.from, tape.to);
        if tape.from == tape.to {
            let corner = survey.corner_name(tape.from);
            reading
                .error(
                    "same-corner",
                    &format!("{entry}.to"),
                    format!("This tape goes from corner `{corner}` to itself."),
                )
                .help("Name the corner at the other end of the tape.");
        }
        let has = |key: &str| reading.has(&format!("{entry}.{key}"));
        if !has("floor_mm") && !has("ceiling_mm") {
            reading
                .error("missing-reading", &entry, format!("The tape {pair} has no reading."))
                .here("no `floor_mm`, no `ceiling_mm`")
                .help("Write the length as `floor_mm`, as `ceiling_mm`, or both; the ceiling is set out from the latter.");
        }
        if let (Some(floor), Some(ceiling)) = (tape.floor_mm, tape.ceiling_mm) {
            let apart = (floor - ceiling).abs();
            if apart > OUT_OF_PLUMB_MM {
                reading
                    .warning(
                        "floor-and-ceiling",
                        &format!("{entry}.ceiling_mm"),
                        format!("The tape {pair} differs by {} between floor and ceiling.", mm(apart)),
                    )
                    .help("That is much for walls to lean. Read the tape again.");
            }
        }
    }
}

fn check_ties(survey: &Survey, reading: &mut Reading<'_>) {
    for (index, tie) in survey.tie.iter().enumerate() {
        let entry = reading.entry("survey.tie", index);
        let line = pair_name(survey, tie.from, tie.to);
        let corner = survey.corner_name(tie.corner);
        if tie.from == tie.to {
            let start = survey.corner_name(tie.from);
            reading
                .error(
                    "same-corner",
                    &format!("{entry}.to"),
                    format!("This line goes from corner `{start}` to itself."),
                )
                .help("Name the corner at the other end of the line.");
        } else if tie.corner == tie.from || tie.corner == tie.to {
            reading
                .error(
                    "same-corner",
                    &format!("{entry}.corner"),
                    format!("Corner `{corner}` is an end of the line {line} it is tied to."),
                )
                .help("Tie another corner to this line; the line itself is measured by a [[survey.tape]].");
        }
        if tie.along_mm.is_none()
            && tie.offset_mm.is_none()
            && !["along_mm", "offset_mm"].iter().any(|key| reading.has(&format!("{entry}.{key}")))
        {
            reading
                .error("missing-reading", &entry, format!("The tie of corner `{corner}` to {line} has no reading."))
                .here("no `along_mm`, no `offset_mm`")
                .help("Write the running dimension as `along_mm`, the distance off the line as `offset_mm`, or both.");
        }
    }
}

/// How many dimensions tie a corner to lines, or are taken from a line that ends in it.
fn ties_of(survey: &Survey, corner: CornerId) -> usize {
    let touching = survey.tie.iter().filter(|tie| [tie.corner, tie.from, tie.to].contains(&corner));
    touching.map(|tie| usize::from(tie.along_mm.is_some()) + usize::from(tie.offset_mm.is_some())).sum()
}

/// Every corner must hang on two readings at least, the ring on enough of them to be stiff.
fn check_coverage(survey: &Survey, reading: &mut Reading<'_>) {
    let corners = survey.corners.len();
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for tape in &survey.tape {
        let pair = (tape.from.0.min(tape.to.0), tape.from.0.max(tape.to.0));
        if pair.0 != pair.1 && !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    let mut loose = false;
    for corner in 0..corners {
        let tapes = pairs.iter().filter(|(a, b)| *a == corner || *b == corner).count();
        if tapes + ties_of(survey, CornerId(corner)) < 2 {
            loose = true;
            let name = survey.corner_name(CornerId(corner));
            let counted = if tapes == 0 { "no tape reaches it" } else { "only one tape reaches it" };
            let others: Vec<&str> = (0..corners)
                .filter(|other| {
                    *other != corner && !pairs.contains(&(corner.min(*other), corner.max(*other)))
                })
                .map(|other| survey.corner_name(CornerId(other)))
                .collect();
            reading
                .error(
                    "missing-reading",
                    "survey.corners",
                    format!("Corner `{name}` cannot be placed: {counted}."),
                )
                .help(format!(
                    "Measure from `{name}` to those of {} to which the tape runs free through the room, not through a wall.",
                    list_names(others, 26)
                ));
        }
    }
    let needed = 2 * corners - 3;
    if loose {
        return;
    }
    let tied: usize = survey
        .tie
        .iter()
        .map(|tie| usize::from(tie.along_mm.is_some()) + usize::from(tie.offset_mm.is_some()))
        .sum();
    let have = pairs.len() + tied;
    let of_ties = if tied == 0 { String::new() } else { format!(" and {tied} dimensions of ties") };
    if have < needed {
        // A wall can always be taped; of the others nobody knows yet which run free.
        let is_wall = |(a, b): &(usize, usize)| b - a == 1 || b - a == corners - 1;
        let mut open: Vec<(usize, usize)> = (0..corners)
            .flat_map(|a| (a + 1..corners).map(move |b| (a, b)))
            .filter(|pair| !pairs.contains(pair))
            .collect();
        open.sort_by_key(|pair| !is_wall(pair));
        let missing: Vec<String> =
            open.into_iter().map(|(a, b)| pair_name(survey, CornerId(a), CornerId(b))).collect();
        reading
            .error(
                "missing-reading",
                "survey.corners",
                format!(
                    "A ring of {corners} corners needs at least {needed} lengths between corners; here are {}{of_ties}.",
                    pairs.len()
                ),
            )
            .help(format!(
                "Measure {} more of these, such as run free through the room and not through a wall; where too few do, tie a corner to a line \
                 with [[survey.tie]]: {}.",
                needed - have,
                list_names(missing.iter().map(String::as_str), 20)
            ));
    } else if have == needed && corners > 3 {
        reading
            .warning(
                "nothing-to-spare",
                "survey.corners",
                format!(
                    "{} lengths{of_ties} just place {corners} corners: a wrong reading would not be noticed.",
                    pairs.len()
                ),
            )
            .help("Measure one more diagonal.");
    }
}

/// No length can exceed the way round over a third corner.
fn check_triangles(survey: &Survey, reading: &mut Reading<'_>) {
    let corners = survey.corners.len();
    for (index, tape) in survey.tape.iter().enumerate() {
        let (from, to) = (tape.from, tape.to);
        let Some(length) = tape.ceiling_mm.or(tape.floor_mm) else { continue };
        let shortest = (0..corners)
            .map(CornerId)
            .filter(|over| *over != from && *over != to)
            .filter_map(|over| {
                let (first, second) = (taped(survey, from, over)?, taped(survey, over, to)?);
                Some((first + second, over))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((way, over)) = shortest else { continue };
        if from != to && length > way + SLACK_MM {
            let entry = reading.entry("survey.tape", index);
            let key = if tape.ceiling_mm.is_some() { "ceiling_mm" } else { "floor_mm" };
            let corner = survey.corner_name(over);
            let (first, second) = (pair_name(survey, from, over), pair_name(survey, over, to));
            let pair = pair_name(survey, from, to);
            reading
                .error(
                    "impossible-length",
                    &format!("{entry}.{key}"),
                    format!(
                        "The tape {pair} cannot be {}: over corner `{corner}` it is only {}.",
                        mm(length),
                        mm(way)
                    ),
                )
                .here("longer than the way round")
                .help(format!("One of {pair}, {first} and {second} is wrong. Read them again."));
        }
    }
}

/// Length taped between two corners, ceiling first.
fn taped(survey: &Survey, a: CornerId, b: CornerId) -> Option<f64> {
    survey
        .tape
        .iter()
        .find(|tape| (tape.from, tape.to) == (a, b) || (tape.from, tape.to) == (b, a))
        .and_then(|tape| tape.ceiling_mm.or(tape.floor_mm))
}

fn check_bows(survey: &Survey, reading: &mut Reading<'_>) {
    for (index, bow) in survey.bow.iter().enumerate() {
        if survey.bow.iter().take(index).any(|earlier| earlier.wall == bow.wall) {
            let path = format!("{}.wall", reading.entry("survey.bow", index));
            let wall = survey.wall_name(bow.wall);
            reading
                .error("repeated", &path, format!("The bow of wall {wall} stands here a second time."))
                .help("Keep the larger gap.");
        }
    }
}

fn pair_name(survey: &Survey, from: CornerId, to: CornerId) -> String {
    format!("{}-{}", survey.corner_name(from), survey.corner_name(to))
}
