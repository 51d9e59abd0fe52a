//! Corners, walls, build-ups and openings as other keys name them.

use crate::{
    project::{BuildupId, CornerId, ElementId, OpeningId, WallId},
    read::{
        field::{Field, Slot},
        nearest::nearest,
        reading::Reading,
        wording::{list_names, shown},
    },
    schema::Shape,
};

impl Field for CornerId {
    fn shape() -> Shape {
        Shape::Corner
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let name = slot.text(reading, "the name of a corner in quotes, such as \"A\"")?;
        let corners = &reading.names.corners;
        if corners.is_empty() {
            return None;
        }
        let found = corners.iter().position(|corner| corner == name).map(CornerId);
        if found.is_none() {
            let known = list_names(corners.iter().map(String::as_str), 26);
            reading
                .error("unknown-corner", &slot.path, format!("The ring has no corner `{}`.", shown(name)))
                .here("not a corner of the ring")
                .help(format!(
                    "The corners are {known}. A further corner must stand in `corners` of [survey]."
                ));
        }
        found
    }
}

impl Field for WallId {
    fn shape() -> Shape {
        Shape::Wall
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let name = slot.text(reading, "the name of a wall in quotes, such as \"A-B\"")?;
        find_wall(name, &slot.path, reading)
    }
}

/// The wall of a name; reports a name that is none. Says nothing while the ring itself is wrong.
fn find_wall(name: &str, path: &str, reading: &mut Reading<'_>) -> Option<WallId> {
    let walls = reading.names.walls();
    if walls.is_empty() {
        return None;
    }
    if let Some(index) = walls.iter().position(|wall| wall == name) {
        return Some(WallId(index));
    }
    let known = list_names(walls.iter().map(String::as_str), 26);
    let ends: Vec<&str> = name.split('-').map(str::trim).collect();
    let turned = match ends.as_slice() {
        [from, to] => {
            walls.iter().find(|wall| **wall == format!("{to}-{from}") || **wall == format!("{from}-{to}"))
        }
        _ => None,
    };
    let (message, help) = if let Some(wall) = turned {
        let name = shown(name);
        (
            format!("`{name}` is not how that wall is named."),
            format!(
                "Write \"{wall}\": a wall is named in the order of the ring, and running dimensions start from its \
                 first corner."
            ),
        )
    } else if ends.iter().all(|end| reading.names.corners.iter().any(|corner| corner == end)) {
        (format!("`{}` is no wall of the ring.", shown(name)), format!("The walls are {known}."))
    } else {
        (format!("There is no wall `{}`.", shown(name)), format!("The walls are {known}."))
    };
    reading.error("unknown-wall", path, message).here("no wall of the ring").help(help);
    None
}

impl Field for BuildupId {
    fn shape() -> Shape {
        Shape::Buildup
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let name = slot.text(reading, "the id of a [[buildup]] in quotes")?;
        let buildups = &reading.names.buildups;
        let found = buildups.iter().position(|id| id == name).map(BuildupId);
        if found.is_none() {
            let near = nearest(name, buildups.iter().map(String::as_str)).map(str::to_owned);
            let known = list_names(buildups.iter().map(String::as_str), 16);
            let help = match (near, known.is_empty()) {
                (Some(near), _) => format!("Did you mean \"{near}\"? The build-ups are {known}."),
                (None, false) => format!("The build-ups are {known}."),
                (None, true) => "Write a [[buildup]] with this `id`.".to_owned(),
            };
            reading
                .error("unknown-buildup", &slot.path, format!("There is no build-up `{}`.", shown(name)))
                .here("no [[buildup]] has this id")
                .help(help);
        }
        found
    }
}

impl Field for ElementId {
    fn shape() -> Shape {
        Shape::Element
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let name = slot.text(reading, "\"ceiling\", the name of a wall, or the name of an opening")?;
        if name == "ceiling" {
            return Some(Self::Ceiling);
        }
        if let Some(index) = reading.names.openings.iter().position(|opening| opening == name) {
            return Some(Self::Opening(OpeningId(index)));
        }
        let walls = reading.names.walls();
        if let Some(index) = walls.iter().position(|wall| wall == name) {
            return Some(Self::Wall(WallId(index)));
        }
        if walls.is_empty() {
            return None;
        }
        let openings = reading.names.openings.clone();
        let known: Vec<&str> =
            std::iter::once("ceiling").chain(walls.iter().chain(&openings).map(String::as_str)).collect();
        let near = nearest(name, known.iter().copied());
        let list = list_names(known.iter().copied(), 32);
        reading
            .error("unknown-element", &slot.path, format!("The room has no part `{}`.", shown(name)))
            .here("no part of the room")
            .help(match near {
                Some(near) => format!("Did you mean \"{near}\"? The parts are {list}."),
                None => format!("The parts are {list}."),
            });
        None
    }
}
