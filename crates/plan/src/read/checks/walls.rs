//! One wall for each side of the ring, and the limits they set.

use crate::{
    project::WallId,
    read::{checks::Draft, reading::Reading, room_file::mm},
};

/// Under this a finished room feels low and heads meet lamps, mm (common practice).
const LOW_HEADROOM_MM: f64 = 2000.0;

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    check_ring(draft, reading);
    check_headroom(draft, reading);
    check_date(draft, reading);
}

fn check_ring(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let names = reading.names.walls();
    for (place, name) in names.iter().enumerate() {
        let same: Vec<usize> = draft
            .file
            .wall
            .iter()
            .enumerate()
            .filter(|(_, wall)| wall.between == WallId(place))
            .map(|(index, _)| index)
            .collect();
        if same.is_empty() && !reading.lost_entries("wall") {
            reading
                .error("missing-wall", "survey.corners", format!("The wall {name} has no [[wall]]."))
                .here(format!("{name} is a side of this ring"))
                .help(format!(
                    "Write [[wall]] with between = \"{name}\", its `buildup` and its `height_mm`."
                ));
        }
        let mut indices = same.iter();
        let Some(first) = indices.next() else { continue };
        let there = format!("{}.between", reading.entry("wall", *first));
        for second in indices {
            let here = format!("{}.between", reading.entry("wall", *second));
            let label = reading.label(&there, "the first");
            let line = reading.line_of(&there);
            reading
                .error("repeated", &here, format!("The wall {name} stands here a second time."))
                .here("the second")
                .also(label)
                .help(format!("The first stands in line {line}. Keep one of them."));
        }
    }
}

fn check_headroom(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(headroom) = draft.file.limits.0.as_ref().and_then(|limits| limits.headroom_mm) else { return };
    if headroom < LOW_HEADROOM_MM {
        reading
            .warning("low-headroom", "limits.headroom_mm", format!("A headroom of {} is low.", mm(headroom)))
            .help("Most people want 2000 mm at least under a finished ceiling.");
    }
    let lowest = draft.file.wall.iter().min_by(|a, b| a.height_mm.total_cmp(&b.height_mm));
    if let Some(wall) = lowest.filter(|wall| wall.height_mm <= headroom) {
        let name = draft.wall_name(wall.between);
        reading
            .error(
                "impossible-headroom",
                "limits.headroom_mm",
                format!(
                    "A headroom of {} cannot be kept: the wall {name} is only {} high.",
                    mm(headroom),
                    mm(wall.height_mm)
                ),
            )
            .help("Lower `headroom_mm`, or correct `height_mm` of the wall; the new ceiling goes below it.");
    }
}

fn check_date(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(date) = draft.file.project.0.as_ref().and_then(|title| title.date.as_ref()) else { return };
    let parts: Vec<&str> = date.split('-').collect();
    let number = |text: &str, digits: usize| {
        (text.len() == digits && text.bytes().all(|b| b.is_ascii_digit()))
            .then(|| text.parse::<u32>().ok())
            .flatten()
    };
    let good = match parts.as_slice() {
        [year, month, day] => {
            number(year, 4).is_some()
                && number(month, 2).is_some_and(|m| (1..=12).contains(&m))
                && number(day, 2).is_some_and(|d| (1..=31).contains(&d))
        }
        _ => false,
    };
    if !good {
        reading
            .warning("odd-date", "project.date", "This date is not written year-month-day.")
            .help("Write it as \"2026-03-14\"; it is printed as it stands.");
    }
}
