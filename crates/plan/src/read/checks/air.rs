//! People need a way for air.

use crate::read::{checks::Draft, reading::Reading, wording::plain};

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
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
