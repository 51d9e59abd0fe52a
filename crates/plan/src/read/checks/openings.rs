//! Openings and vents fit into their walls and do not meet.

use crate::{
    project::{OpeningKind, WallId},
    read::{
        checks::{Draft, report_repeated_names},
        reading::Reading,
        room_file::mm,
        wording::shown,
    },
};

/// What a reveal may be out by before it is said to leave the wall, mm.
const SLACK_MM: f64 = 5.0;
/// A side farther out of true than this share of its length is more often a slip.
const ODD_SHARE_OFF: f64 = 0.05;
/// A higher threshold than this is odd for a door, mm.
const HIGH_THRESHOLD_MM: f64 = 300.0;

/// A rectangle in a wall.
struct Patch {
    title: String,
    entry: String,
    width_key: &'static str,
    wall: WallId,
    from_mm: f64,
    to_mm: f64,
    foot_mm: f64,
    head_mm: f64,
}

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let file = draft.file;
    report_repeated_names("opening", "name", file.opening.iter().map(|o| o.name.as_str()), reading);
    report_repeated_names("vent", "name", file.vent.iter().map(|v| v.name.as_str()), reading);
    let walls = reading.names.walls();
    for (index, opening) in file.opening.iter().enumerate() {
        let entry = reading.entry("opening", index);
        if opening.name == "ceiling" || walls.contains(&opening.name) {
            reading
                .error(
                    "taken-name",
                    &format!("{entry}.name"),
                    format!("An opening cannot be called \"{}\".", shown(&opening.name)),
                )
                .help("The ceiling and the walls have that name already. Take another, such as \"window\".");
        }
        for (key, off_mm, over_mm) in [
            ("near_lean_mm", opening.near_lean_mm, opening.height_mm),
            ("far_lean_mm", opening.far_lean_mm, opening.height_mm),
            ("head_fall_mm", opening.head_fall_mm, opening.width_mm),
            ("sill_fall_mm", opening.sill_fall_mm, opening.width_mm),
        ] {
            let Some(off_mm) = off_mm.filter(|off_mm| off_mm.abs() > ODD_SHARE_OFF * over_mm) else {
                continue;
            };
            reading
                .warning(
                    "far-out-of-true",
                    &format!("{entry}.{key}"),
                    format!(
                        "A side of \"{}\" is {} out of true over {}.",
                        shown(&opening.name),
                        mm(off_mm.abs()),
                        mm(over_mm)
                    ),
                )
                .help("It is what the side is off over its own length, by plumb line or level: read it again. A slip, or not a wall to trust?");
        }
        if opening.kind == OpeningKind::Door && opening.sill_mm > HIGH_THRESHOLD_MM {
            reading
                .warning(
                    "high-threshold",
                    &format!("{entry}.sill_mm"),
                    format!("A threshold of {} is high for a door.", mm(opening.sill_mm)),
                )
                .help("`sill_mm` is the height of the lower edge above the floor.");
        }
    }
    let patches = patches(draft, reading);
    for patch in &patches {
        check_in_wall(patch, draft, reading);
    }
    for (index, patch) in patches.iter().enumerate() {
        for earlier in patches.iter().take(index) {
            let beside = patch.to_mm <= earlier.from_mm || earlier.to_mm <= patch.from_mm;
            let above = patch.head_mm <= earlier.foot_mm || earlier.head_mm <= patch.foot_mm;
            if patch.wall == earlier.wall && !beside && !above {
                let label = reading.label(&earlier.entry, "the other");
                let common = patch.to_mm.min(earlier.to_mm) - patch.from_mm.max(earlier.from_mm);
                let wall = draft.wall_name(patch.wall);
                reading
                    .error(
                        "overlap",
                        &format!("{}.from_corner_mm", patch.entry),
                        format!(
                            "{} and {} overlap by {} in the wall {wall}.",
                            sentence_start(&patch.title),
                            earlier.title,
                            mm(common)
                        ),
                    )
                    .also(label)
                    .help(if patch.width_key == "width_mm" && earlier.width_key == "width_mm" {
                        "Check `from_corner_mm` and the widths: both count from the wall's first corner. Two doors or windows one \
                         behind the other are one opening whose build-up has a layer, a cavity and a layer, each layer with its own \
                         `seal`."
                    } else {
                        "Check `from_corner_mm` and the widths: both count from the wall's first corner."
                    });
            }
        }
    }
}

fn patches(draft: &Draft<'_>, reading: &Reading<'_>) -> Vec<Patch> {
    let openings = draft.file.opening.iter().enumerate().map(|(index, opening)| Patch {
        title: format!("the {} \"{}\"", opening.kind.word(), shown(&opening.name)),
        entry: reading.entry("opening", index),
        width_key: "width_mm",
        wall: opening.wall,
        from_mm: opening.from_corner_mm,
        to_mm: opening.from_corner_mm + opening.width_mm,
        foot_mm: opening.sill_mm,
        head_mm: opening.sill_mm + opening.height_mm,
    });
    let vents = draft.file.vent.iter().enumerate().map(|(index, vent)| Patch {
        title: format!("the vent \"{}\"", shown(&vent.name)),
        entry: reading.entry("vent", index),
        width_key: "duct_width_mm",
        wall: vent.wall,
        from_mm: vent.from_corner_mm - vent.duct_width_mm / 2.0,
        to_mm: vent.from_corner_mm + vent.duct_width_mm / 2.0,
        foot_mm: vent.above_floor_mm - vent.duct_height_mm / 2.0,
        head_mm: vent.above_floor_mm + vent.duct_height_mm / 2.0,
    });
    openings.chain(vents).collect()
}

fn check_in_wall(patch: &Patch, draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let wall = draft.wall_name(patch.wall);
    let title = sentence_start(&patch.title);
    let width = patch.to_mm - patch.from_mm;
    if let Some(length) = draft.wall_length_mm(patch.wall) {
        if width > length {
            reading
                .error(
                    "wider-than-wall",
                    &format!("{}.{}", patch.entry, patch.width_key),
                    format!(
                        "{title} is {} wide, but the wall {wall} is only {} long.",
                        mm(width),
                        mm(length)
                    ),
                )
                .help("Check the width, and whether it is in that wall.");
        } else if patch.from_mm < -SLACK_MM || patch.to_mm > length + SLACK_MM {
            let past = (patch.to_mm - length).max(-patch.from_mm);
            let corner = wall.split('-').next().unwrap_or_default();
            reading
                .error(
                    "beyond-wall",
                    &format!("{}.from_corner_mm", patch.entry),
                    format!(
                        "{title} reaches {} beyond the wall {wall}, which is {} long.",
                        mm(past),
                        mm(length)
                    ),
                )
                .help(format!("`from_corner_mm` counts from corner {corner}. Check it and the width."));
        }
    }
    if let Some(height) = draft.wall_height_mm(patch.wall)
        && patch.head_mm > height + SLACK_MM
    {
        let key = if patch.width_key == "width_mm" { "height_mm" } else { "above_floor_mm" };
        reading
            .error(
                "higher-than-wall",
                &format!("{}.{key}", patch.entry),
                format!(
                    "{title} reaches {} above the floor, but the wall {wall} is only {} high.",
                    mm(patch.head_mm),
                    mm(height)
                ),
            )
            .help("Check its height above the floor and its own height.");
    }
    if patch.foot_mm < -SLACK_MM {
        reading
            .error(
                "below-floor",
                &format!("{}.above_floor_mm", patch.entry),
                format!("{title} reaches below the floor."),
            )
            .help("`above_floor_mm` is the height of its middle above the floor.");
    }
}

fn sentence_start(title: &str) -> String {
    let mut letters = title.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
