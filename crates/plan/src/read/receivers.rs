//! Receivers: in the room or straight out from a wall.

use crate::{
    project::{BackgroundId, Dwelling, ElementId, Place, Receiver, WallId},
    read::{
        field::{Field, Slot},
        keyed::keyed,
        reading::Reading,
        wording::shown,
    },
    schema::Shape,
};

keyed! {
    /// A place where it must be quiet: outdoors, straight out from a wall; in a room that shares a wall or the ceiling; or in the room itself.
    pub(crate) struct ReceiverKeys {
        /// Its name, unique.
        name: String,
        /// Whether it is in the room itself; then it has no `wall` and no distance.
        inside: bool = false,
        /// Outdoors: the wall it lies straight out from.
        wall: Option<WallId>,
        /// Outdoors: along that wall from its first corner; minus or beyond its end is allowed.
        along_mm: Option<f64> [-500_000.0, 500_000.0],
        /// Outdoors: how far out from that wall; a receiver stands in front of it.
        distance_m: Option<f64> [0.2, 2000.0],
        /// Outdoors: above the ground.
        height_m: Option<f64> [0.0, 60.0],
        /// Next door or above: the wall, or "ceiling", that its room shares with this one.
        behind: Option<ElementId>,
        /// Next door or above: volume of its room.
        room_volume_m3: Option<f64> [5.0, 2000.0],
        /// Next door or above: decay time of its room; furnished rooms have about 0.5 s.
        room_decay_s: f64 [0.1, 5.0] = 0.5,
        /// Next door or above: allowance for sound that goes round the shared element along walls, floor and ceiling.
        flanking_db: f64 [0.0, 40.0] = 5.0,
        /// Highest level.
        limit_dba: Option<f64> [0.0, 120.0],
        /// Highest noise-rating curve.
        limit_nr: Option<f64> [0.0, 100.0],
        /// Spectrum of the quiet there without the room, from the catalogue.
        background: Option<BackgroundId>,
        /// Level of the quiet there without the room.
        background_dba: Option<f64> [0.0, 100.0],
        /// By how much the room must stay below that quiet in every band; needs `background` and `background_dba`.
        margin_db: Option<f64> [-20.0, 40.0],
    }
}

impl Field for Receiver {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        ReceiverKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let keys = ReceiverKeys::decode(slot, reading)?;
        let place = place(&keys, slot, reading);
        let has = |key: &str, reading: &Reading<'_>| reading.has(&format!("{}.{key}", slot.path));
        let targets = ["limit_dba", "limit_nr", "margin_db"];
        if !targets.iter().any(|key| has(key, reading)) {
            reading
                .error("missing-limit", &slot.path, format!("The receiver \"{}\" has no limit.", shown(&keys.name)))
                .help("Write at least one of `limit_dba`, `limit_nr` and `margin_db`: how quiet must it be there?");
        }
        if has("margin_db", reading) {
            for key in ["background", "background_dba"] {
                if !has(key, reading) {
                    reading
                        .error(
                            "missing-background",
                            &format!("{}.margin_db", slot.path),
                            format!("`margin_db` counts from the quiet at the receiver, but the key `{key}` is missing."),
                        )
                        .help(format!("Write `{key}`, or use `limit_dba` instead of `margin_db`."));
                }
            }
        }
        Some(Self {
            name: keys.name,
            place: place?,
            limit_dba: keys.limit_dba,
            limit_nr: keys.limit_nr,
            background: keys.background,
            background_dba: keys.background_dba,
            margin_db: keys.margin_db,
        })
    }
}

fn place(keys: &ReceiverKeys, slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Place> {
    let outdoors = ["wall", "along_mm", "distance_m", "height_m"];
    let path = |key: &str| format!("{}.{key}", slot.path);
    if keys.inside {
        let stray = outdoors.into_iter().find(|key| reading.has(&path(key)));
        if let Some(key) = stray {
            reading
                .error("inside-or-outside", &path(key), format!("A receiver inside the room has no `{key}`."))
                .help("Take it away, or take `inside = true` away.");
            return None;
        }
        return Some(Place::Inside);
    }
    if let Some(shared) = keys.behind {
        if let Some(key) = outdoors.into_iter().find(|key| reading.has(&path(key))) {
            reading
                .error(
                    "behind-or-outside",
                    &path(key),
                    format!("A receiver behind a wall or ceiling has no `{key}`."),
                )
                .help("Take it away, or take `behind` away.");
            return None;
        }
        if matches!(shared, ElementId::Opening(_)) {
            reading
                .error(
                    "behind-an-opening",
                    &path("behind"),
                    "A room lies behind a wall or the ceiling, not behind an opening.",
                )
                .help("Write the wall, such as `behind = \"A-B\"`, or `behind = \"ceiling\"`.");
            return None;
        }
        let Some(volume_m3) = keys.room_volume_m3 else {
            if !reading.has(&path("room_volume_m3")) {
                reading
                    .error("missing-volume", &slot.path, format!("The room of \"{}\" needs its volume.", shown(&keys.name)))
                    .help("Write `room_volume_m3`: length times width times height of the room behind, in metres.");
            }
            return None;
        };
        let dwelling =
            Dwelling { shared, volume_m3, decay_s: keys.room_decay_s, flanking_db: keys.flanking_db };
        return Some(Place::NextDoor(dwelling));
    }
    if let Some(key) =
        ["room_volume_m3", "room_decay_s", "flanking_db"].into_iter().find(|key| reading.has(&path(key)))
    {
        if !reading.has(&path("behind")) {
            reading
                .error(
                    "behind-what",
                    &path(key),
                    format!("`{key}` is of a room next door or above, but `behind` is missing."),
                )
                .help("Write the shared wall, such as `behind = \"A-B\"`, or `behind = \"ceiling\"`.");
        }
        return None;
    }
    let missing: Vec<String> =
        outdoors.iter().filter(|key| !reading.has(&path(key))).map(|key| format!("`{key}`")).collect();
    if !missing.is_empty() {
        let title = shown(&keys.name);
        let message = if missing.len() == outdoors.len() {
            format!("Where is the receiver \"{title}\"?")
        } else {
            format!("The receiver \"{title}\" needs {} too.", missing.join(", "))
        };
        reading
            .error("missing-place", &slot.path, message)
            .help("Outdoors it needs `wall`, `along_mm`, `distance_m` and `height_m`; next door or above `behind` and `room_volume_m3`; in the room write `inside = true`.");
        return None;
    }
    Some(Place::Outside {
        wall: keys.wall?,
        along_mm: keys.along_mm?,
        distance_m: keys.distance_m?,
        height_m: keys.height_m?,
    })
}
