//! People need a way for air, and a vent needs the sizes of its kind.

use crate::{
    project::{Vent, VentKind},
    read::{checks::Draft, reading::Reading, room_file::mm, wording::plain, wording::shown},
};

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    for (index, vent) in draft.file.vent.iter().enumerate() {
        let entry = reading.entry("vent", index);
        check_kind(vent, &entry, reading);
    }
    let Some(room_use) = &draft.file.room_use else { return };
    let people =
        if room_use.people == 1 { "One person".to_owned() } else { format!("{} people", room_use.people) };
    if draft.file.vent.is_empty() && !reading.has("vent") && room_use.fresh_air_l_s > 0.0 {
        reading
            .error(
                "no-air-path",
                "use.fresh_air_l_s",
                format!(
                    "{people} shall get {} l/s of fresh air, but the room has no air path.",
                    plain(room_use.fresh_air_l_s)
                ),
            )
            .here("through what?")
            .help("Write a [[vent]] for it. A tight room without one is not safe to stay in.");
    } else if room_use.fresh_air_l_s <= 0.0 {
        reading
            .warning("no-fresh-air", "use.fresh_air_l_s", format!("{people} get no fresh air."))
            .help("Plan 8 to 10 l/s for each person and a [[vent]] that brings it.");
    }
}

/// A baffle box has its three inner sizes and nothing of a duct; a duct has nothing of a box.
fn check_kind(vent: &Vent, entry: &str, reading: &mut Reading<'_>) {
    let name = shown(&vent.name);
    let sizes = [
        ("box_length_mm", vent.box_length_mm),
        ("box_width_mm", vent.box_width_mm),
        ("box_height_mm", vent.box_height_mm),
    ];
    if vent.kind == VentKind::Duct {
        for (key, _) in sizes.iter().filter(|(_, size)| size.is_some()) {
            reading
                .error(
                    "key-of-another-kind",
                    &format!("{entry}.{key}"),
                    format!("`{key}` belongs to a baffle box, but the vent \"{name}\" is a duct."),
                )
                .help("Write `kind = \"baffle-box\"`, or take the key away.");
        }
        return;
    }
    for key in ["lined_length_mm", "bends"] {
        let path = format!("{entry}.{key}");
        if reading.has(&path) {
            reading
                .error(
                    "key-of-another-kind",
                    &path,
                    format!("`{key}` belongs to a duct, but the vent \"{name}\" is a baffle box."),
                )
                .help("Take it away: the box is worked out alone.");
        }
    }
    for (key, size) in sizes {
        if size.is_none() && !reading.has(&format!("{entry}.{key}")) {
            reading
                .error("missing-key", entry, format!("The baffle box \"{name}\" has no `{key}`."))
                .help("Write its clear length, width and height inside the lining.");
        }
    }
    let fits = [
        ("box_width_mm", vent.box_width_mm, vent.duct_width_mm),
        ("box_height_mm", vent.box_height_mm, vent.duct_height_mm),
    ];
    for (key, size, opening_mm) in fits {
        if let Some(size_mm) = size
            && size_mm < opening_mm
        {
            reading
                .error(
                    "box-too-small",
                    &format!("{entry}.{key}"),
                    format!(
                        "The baffle box \"{name}\" is {} inside, smaller than its inlet of {}.",
                        mm(size_mm),
                        mm(opening_mm)
                    ),
                )
                .help("A box must be larger than what opens into it, or it silences nothing.");
        }
    }
}
