//! Joists: where they run, how far apart, and what was levelled.

use crate::{
    project::{CutKind, Joist, Joists, WallId},
    read::{
        checks::{Draft, report_repeated_names},
        reading::Reading,
        room_file::mm,
        wording::shown,
    },
};

/// Wider spacing than this is unusual for the joists of a small roof, mm.
const WIDE_SPACING_MM: f64 = 900.0;
/// Closer spacing than this is unusual, mm.
const CLOSE_SPACING_MM: f64 = 150.0;
/// A larger spread of readings along one joist is worth a second look, mm.
const LARGE_SAG_MM: f64 = 60.0;
/// A larger difference between joist and wall height is worth a second look, mm.
const HEIGHTS_APART_MM: f64 = 150.0;
/// A shorter span is none, mm.
const LEAST_SPAN_MM: f64 = 100.0;
/// What a joist may stand beyond a wall's end before it is called so, mm.
const SLACK_MM: f64 = 5.0;

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(joists) = draft.joists else { return };
    report_repeated_names("joist", "name", draft.file.joist.iter().map(|j| j.name.as_str()), reading);
    if draft.file.joist.is_empty() && !reading.has("joist") {
        reading
            .error("missing-joist", "joists", "[joists] says what the joists are, but there is no [[joist]].")
            .help("Write a [[joist]] with `name`, `from_mm` and `to_mm` for each of them.");
    }
    // Entries of the project's list match those of the file's only while none was left out.
    if joists.each.len() != draft.file.joist.len() {
        return;
    }
    for (index, joist) in joists.each.iter().enumerate() {
        let entry = reading.entry("joist", index);
        check_ends(joist, &entry, draft, reading);
        check_span(joist, &entry, draft, reading);
        check_levels(joist, &entry, draft, reading);
        check_cuts(joist, joists.depth_mm, &entry, reading);
        check_supports(joist, &entry, reading);
    }
    check_openings(joists, reading);
    check_posts(joists, reading);
    check_spacing(joists, reading);
}

fn check_ends(joist: &Joist, entry: &str, draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let name = shown(&joist.name);
    if joist.from_wall == joist.to_wall {
        let wall = draft.wall_name(joist.from_wall);
        reading
            .error(
                "same-wall",
                entry,
                format!("The joist \"{name}\" starts and ends at the same wall {wall}."),
            )
            .help("Name the wall it reaches as `to_wall`.");
    }
    for (wall, at, key) in
        [(joist.from_wall, joist.from_mm, "from_mm"), (joist.to_wall, joist.to_mm, "to_mm")]
    {
        let Some(length) = draft.wall_length_mm(wall) else { continue };
        if at > length + SLACK_MM {
            let wall = draft.wall_name(wall);
            let corner = wall.split('-').next().unwrap_or_default();
            reading
                .error(
                    "beyond-wall",
                    &format!("{entry}.{key}"),
                    format!(
                        "The joist \"{name}\" lies {} along the wall {wall}, which is only {} long.",
                        mm(at),
                        mm(length)
                    ),
                )
                .here("beyond the wall's end")
                .help(format!(
                    "`{key}` counts from corner {corner}. Read it again, or name another wall; if it is right, the tape of wall {wall} is \
                     too short: take that again."
                ));
        }
    }
}

/// A joist between two walls that meet, with both ends at their common corner, has no span.
fn check_span(joist: &Joist, entry: &str, draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(survey) = draft.survey() else { return };
    let ends = |wall: WallId, at_mm: f64| {
        let (first, last) = survey.wall_corners(wall);
        let to_last_mm = draft.wall_length_mm(wall).map(|length_mm| (length_mm - at_mm).abs());
        [(first, Some(at_mm)), (last, to_last_mm)]
    };
    for (corner, from_mm) in ends(joist.from_wall, joist.from_mm) {
        for (other, to_mm) in ends(joist.to_wall, joist.to_mm) {
            let (Some(from_mm), Some(to_mm)) = (from_mm, to_mm) else { continue };
            if corner == other && from_mm.max(to_mm) < LEAST_SPAN_MM {
                let name = shown(&joist.name);
                reading
                    .error(
                        "no-span",
                        entry,
                        format!("The joist \"{name}\" starts and ends in one corner of the room: its span is nothing."),
                    )
                    .help("Check `from_mm` and `to_mm`, and the walls they are counted along.");
            }
        }
    }
}

/// Notches and holes leave timber.
fn check_cuts(joist: &Joist, depth_mm: f64, entry: &str, reading: &mut Reading<'_>) {
    let list = format!("{entry}.cut");
    for (index, cut) in joist.cuts.iter().enumerate() {
        let off_mm = if cut.kind == CutKind::Hole { 2.0 * cut.off_centre_mm.abs() } else { 0.0 };
        if cut.size_mm + off_mm < depth_mm {
            continue;
        }
        let what = if cut.kind == CutKind::Hole { "hole" } else { "notch" };
        let cut_entry = reading.entry(&list, index);
        reading
            .error(
                "cut-too-deep",
                &format!("{cut_entry}.size_mm"),
                format!(
                    "A {what} of {} leaves no timber in the joist \"{}\", which is {} deep.",
                    mm(cut.size_mm),
                    shown(&joist.name),
                    mm(depth_mm)
                ),
            )
            .help("Measure it again. A joist that is cut through must be replaced or carried by a trimmer.");
    }
}

/// Supports between the walls are in order and apart from each other and from the wall they are counted from.
fn check_supports(joist: &Joist, entry: &str, reading: &mut Reading<'_>) {
    let own = format!("{entry}.support_mm");
    let path = if reading.has(&own) {
        own
    } else {
        let shared = ["joists.support_mm", "joists.beam"].into_iter().find(|key| reading.has(key));
        shared.unwrap_or("joists").to_owned()
    };
    let mut last_mm = 0.0;
    for &at_mm in &joist.supports_mm {
        if at_mm < last_mm + LEAST_SPAN_MM && !reading.complained_about(&path) {
            reading
                .error(
                    "support-too-near",
                    &path,
                    format!(
                        "A support of the joist \"{}\" at {} lies less than {} beyond the one before it.",
                        shown(&joist.name),
                        mm(at_mm),
                        mm(LEAST_SPAN_MM)
                    ),
                )
                .help("Write the middles of the supports in growing order, counted from the inner face of the wall the joists start from.");
            return;
        }
        last_mm = at_mm;
    }
}

/// Posts under a beam stand in order and apart from each other and from the wall.
fn check_posts(joists: &Joists, reading: &mut Reading<'_>) {
    for (index, beam) in joists.beams.iter().enumerate() {
        let mut last_mm = 0.0;
        for &at_mm in &beam.posts_mm {
            if at_mm < last_mm + LEAST_SPAN_MM {
                let path = format!("{}.post_mm", reading.entry("joists.beam", index));
                reading
                    .error(
                        "post-too-near",
                        &path,
                        format!(
                            "A post under the beam \"{}\" at {} stands less than {} beyond the one before it.",
                            shown(&beam.name),
                            mm(at_mm),
                            mm(LEAST_SPAN_MM)
                        ),
                    )
                    .help("Write the middles of the posts in growing order, counted from the inner face of the wall at the beam's start.");
                break;
            }
            last_mm = at_mm;
        }
    }
}

/// Openings name joists there are.
fn check_openings(joists: &Joists, reading: &mut Reading<'_>) {
    for (index, opening) in joists.openings.iter().enumerate() {
        let path = format!("{}.cut", reading.entry("joists.opening", index));
        let name = shown(&opening.name);
        if opening.cut.is_empty() {
            reading
                .error("no-joist-cut", &path, format!("The opening \"{name}\" cuts no joist."))
                .help("Name the joists that are cut; one that fits between two joists needs no trimmers and no entry.");
        }
        for cut in &opening.cut {
            if !joists.each.iter().any(|joist| joist.name == *cut) {
                reading
                    .error(
                        "unknown-joist",
                        &path,
                        format!(
                            "The opening \"{name}\" cuts the joist \"{}\", which is no [[joist]].",
                            shown(cut)
                        ),
                    )
                    .help("Write the names as they stand in the [[joist]] tables.");
            }
        }
    }
}

fn check_levels(joist: &Joist, entry: &str, draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let name = shown(&joist.name);
    let levels = &joist.up_from_laser_mm;
    let path = format!("{entry}.up_from_laser_mm");
    if levels.is_empty() {
        return;
    }
    let other = &joist.other_edge_up_from_laser_mm;
    if !other.is_empty() && other.len() != levels.len() {
        reading
            .error(
                "wrong-count",
                &format!("{entry}.other_edge_up_from_laser_mm"),
                format!(
                    "The two edges of the joist \"{name}\" have {} and {} readings.",
                    levels.len(),
                    other.len()
                ),
            )
            .help("Read both edges at the same places.");
    }
    let laser_key = "survey.laser_above_floor_mm";
    if !reading.has(laser_key) && reading.has("survey") && !reading.complained_about(laser_key) {
        reading
            .error(
                "missing-key",
                laser_key,
                "The joists are levelled from a laser line, but the height of that line is missing.",
            )
            .help("Write `laser_above_floor_mm` in [survey]: the height of the line above the floor.");
    }
    let (least, most) =
        levels.iter().fold((f64::MAX, f64::MIN), |(a, b), level| (a.min(*level), b.max(*level)));
    if most - least > LARGE_SAG_MM {
        reading
            .warning(
                "large-sag",
                &path,
                format!("The readings of the joist \"{name}\" lie {} apart.", mm(most - least)),
            )
            .help("That is much for one timber. Read them again.");
    }
    let laser = draft.survey().and_then(|survey| survey.laser_above_floor_mm);
    if let (Some(laser), Some(height)) = (laser, draft.wall_height_mm(joist.from_wall)) {
        let underside = laser + least;
        if (underside - height).abs() > HEIGHTS_APART_MM {
            let wall = draft.wall_name(joist.from_wall);
            reading
                .warning(
                    "heights-differ",
                    &path,
                    format!(
                        "The joist \"{name}\" lies {} above the floor by the laser, but the wall {wall} is {} high.",
                        mm(underside),
                        mm(height)
                    ),
                )
                .help("Check the reading, `laser_above_floor_mm` and `height_mm` of the wall.");
        }
    }
}

/// Joists in a row of the same two walls neither touch nor cross.
fn check_spacing(joists: &Joists, reading: &mut Reading<'_>) {
    let mut rows: Vec<(WallId, Vec<usize>)> = Vec::new();
    for (index, joist) in joists.each.iter().enumerate() {
        match rows.iter_mut().find(|(wall, _)| *wall == joist.from_wall) {
            Some((_, row)) => row.push(index),
            None => rows.push((joist.from_wall, vec![index])),
        }
    }
    for (_, mut row) in rows {
        row.sort_by(|a, b| start(joists, *a).total_cmp(&start(joists, *b)));
        let mut said_wide = false;
        for (earlier, later) in row.iter().zip(row.iter().skip(1)) {
            let (Some(first), Some(second)) = (joists.each.get(*earlier), joists.each.get(*later)) else {
                continue;
            };
            let path = format!("{}.from_mm", reading.entry("joist", *later));
            let pair = format!("\"{}\" and \"{}\"", shown(&first.name), shown(&second.name));
            let apart = second.from_mm - first.from_mm;
            if apart < joists.width_mm() {
                let label =
                    reading.label(&format!("{}.from_mm", reading.entry("joist", *earlier)), "the other");
                reading
                    .error(
                        "overlap",
                        &path,
                        format!(
                            "The joists {pair} lie in each other: {} apart, and {} wide.",
                            mm(apart),
                            mm(joists.width_mm())
                        ),
                    )
                    .also(label)
                    .help("`from_mm` is the running dimension to the middle of each. Read them again.");
            } else if apart < CLOSE_SPACING_MM || (apart > WIDE_SPACING_MM && !said_wide) {
                said_wide = apart > WIDE_SPACING_MM;
                reading
                    .warning("odd-spacing", &path, format!("The joists {pair} lie {} apart.", mm(apart)))
                    .help("That is unusual. Was a joist left out, or a reading mistyped?");
            }
            // A wall that could not be read stands for the first one: nothing is known of where such a joist ends.
            let known = |index: usize| {
                !reading.complained_about(&format!("{}.to_wall", reading.entry("joist", index)))
            };
            if first.to_wall == second.to_wall
                && known(*earlier)
                && known(*later)
                && second.to_mm > first.to_mm - joists.width_mm()
            {
                let label =
                    reading.label(&format!("{}.to_mm", reading.entry("joist", *earlier)), "the other");
                let said = if second.to_mm > first.to_mm + joists.width_mm() {
                    "cross"
                } else {
                    "meet at their far ends"
                };
                reading
                    .error(
                        "overlap",
                        &format!("{}.to_mm", reading.entry("joist", *later)),
                        format!("The joists {pair} {said}."),
                    )
                    .also(label)
                    .help("Along opposite walls of a ring, running dimensions go in opposite directions: as one grows, the other falls.");
            }
        }
    }
}

fn start(joists: &Joists, index: usize) -> f64 {
    joists.each.get(index).map_or(0.0, |joist| joist.from_mm)
}
