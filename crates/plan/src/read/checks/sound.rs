//! Sources, receivers, the fence and sounds from outside.

use crate::{
    project::{ElementId, Faces, Place, RoofKind, WallId},
    read::{
        checks::{Draft, report_repeated_names},
        reading::Reading,
        wording::shown,
    },
};

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let file = draft.file;
    report_repeated_names("source", "name", file.source.iter().map(|s| s.name.as_str()), reading);
    report_repeated_names("receiver", "name", file.receiver.iter().map(|r| r.name.as_str()), reading);
    report_repeated_names(
        "outside_sound",
        "name",
        file.outside_sound.iter().map(|s| s.name.as_str()),
        reading,
    );
    for (index, receiver) in file.receiver.iter().enumerate() {
        let entry = reading.entry("receiver", index);
        match receiver.place {
            Place::Outside { wall, .. } => {
                let what = format!("The receiver \"{}\"", shown(&receiver.name));
                check_outdoors(&what, wall, &format!("{entry}.wall"), draft, reading);
                if file.source.is_empty() && !reading.has("source") {
                    reading
                        .error(
                            "missing-source",
                            &entry,
                            format!("{what} listens outdoors, but there is no [[source]]."),
                        )
                        .help("Write what is played in the room as a [[source]].");
                }
            }
            Place::NextDoor(dwelling) => {
                let what = format!("The receiver \"{}\"", shown(&receiver.name));
                let path = format!("{entry}.behind");
                let (fits, help) = match dwelling.shared {
                    ElementId::Wall(wall) => (
                        file.wall
                            .iter()
                            .find(|given| given.between == wall)
                            .is_none_or(|given| matches!(given.faces, Faces::Building | Faces::Neighbour)),
                        "Write `faces = \"building\"` or `faces = \"neighbour\"` at that [[wall]], or name another.",
                    ),
                    ElementId::Ceiling => (
                        file.roof.as_ref().is_none_or(|roof| roof.kind == RoofKind::Floor),
                        "Write `kind = \"floor\"` in [roof] where people live above, or name a wall.",
                    ),
                    ElementId::Opening(_) => (true, ""),
                };
                if !fits {
                    reading
                        .error(
                            "open-air-behind",
                            &path,
                            format!("{what} is in a room behind it, but the file says that open air or soil is there."),
                        )
                        .help(help);
                }
                if file.source.is_empty() && !reading.has("source") {
                    reading
                        .error(
                            "missing-source",
                            &entry,
                            format!("{what} listens next door, but there is no [[source]]."),
                        )
                        .help("Write what is played in the room as a [[source]].");
                }
            }
            Place::Inside => {
                if file.outside_sound.is_empty() && !reading.has("outside_sound") {
                    reading
                        .error(
                            "missing-outside-sound",
                            &entry,
                            format!(
                                "The receiver \"{}\" listens inside, but no [[outside_sound]] comes in.",
                                shown(&receiver.name)
                            ),
                        )
                        .help(
                            "Write what comes in from outside, such as the street, as an [[outside_sound]].",
                        );
                }
            }
        }
    }
    if let Some(fence) = &file.fence {
        check_outdoors("The fence", fence.wall, "fence.wall", draft, reading);
    }
    for (index, sound) in file.outside_sound.iter().enumerate() {
        let entry = reading.entry("outside_sound", index);
        let what = format!("The outside sound \"{}\"", shown(&sound.name));
        if sound.walls.is_empty() && !reading.lost_entries(&format!("{entry}.walls")) {
            reading
                .error("no-walls", &format!("{entry}.walls"), format!("{what} falls on no wall."))
                .help("Name at least one wall, such as walls = [\"A-B\"].");
        }
        for (at, wall) in sound.walls.iter().enumerate() {
            let path = reading.entry(&format!("{entry}.walls"), at);
            if sound.walls.iter().take(at).any(|earlier| earlier == wall) {
                let wall = draft.wall_name(*wall);
                reading
                    .error("repeated", &path, format!("{what} names the wall {wall} twice."))
                    .help("Name each wall once.");
            } else {
                check_outdoors(&what, *wall, &path, draft, reading);
            }
        }
    }
}

/// What lies outdoors cannot lie in front of a wall that has no outdoors.
fn check_outdoors(what: &str, wall: WallId, path: &str, draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let faces = draft.file.wall.iter().find(|entry| entry.between == wall).map(|entry| entry.faces);
    let behind = match faces {
        Some(Faces::Building) => "another part of the building",
        Some(Faces::Neighbour) => "a neighbour's building",
        Some(Faces::Ground) => "soil",
        Some(Faces::Outside) | None => return,
    };
    let wall = draft.wall_name(wall);
    reading
        .error(
            "not-outdoors",
            path,
            format!("{what} lies before the wall {wall}, but behind that wall is {behind}."),
        )
        .help("Name a wall that faces outside, or correct `faces` of the wall.");
}
