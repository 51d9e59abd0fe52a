//! Slits and holes, of a room and of an element alone.

use crate::{
    project::{ElementGap, ElementId, Gap, GapFilling, GapShape},
    read::{
        field::{Field, Slot},
        keyed::keyed,
        reading::Reading,
    },
    schema::Shape,
};

keyed! {
    /// A slit or hole that stays after sealing. A slit has `length_m` and `width_mm`, a round hole `hole_mm`.
    pub(crate) struct GapKeys {
        /// Where it is, in words.
        place as "where": String,
        /// The part of the room it is in: "ceiling", a wall or an opening.
        element: ElementId,
        /// Length of a slit.
        length_m: Option<f64> [0.01, 500.0],
        /// Width of a slit.
        width_mm: Option<f64> [0.001, 100.0],
        /// Diameter of a round hole.
        hole_mm: Option<f64> [0.5, 500.0],
        /// How deep the sound must go through it.
        depth_mm: f64 [1.0, 2000.0],
        /// What it is filled with.
        filling: GapFilling = GapFilling::Nothing,
    }
}

keyed! {
    /// A slit or hole in the element. A slit has `length_m` and `width_mm`, a round hole `hole_mm`.
    pub(crate) struct ElementGapKeys {
        /// Where it is, in words.
        place as "where": String,
        /// Length of a slit.
        length_m: Option<f64> [0.01, 500.0],
        /// Width of a slit.
        width_mm: Option<f64> [0.001, 100.0],
        /// Diameter of a round hole.
        hole_mm: Option<f64> [0.5, 500.0],
        /// How deep the sound must go through it.
        depth_mm: f64 [1.0, 2000.0],
        /// What it is filled with.
        filling: GapFilling = GapFilling::Nothing,
    }
}

impl Field for Gap {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        GapKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let keys = GapKeys::decode(slot, reading)?;
        let shape = gap_shape(keys.length_m, keys.width_mm, keys.hole_mm, slot, reading)?;
        let GapKeys { place, element, depth_mm, filling, .. } = keys;
        Some(Self { place, element, shape, depth_mm, filling })
    }
}

impl Field for ElementGap {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        ElementGapKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let keys = ElementGapKeys::decode(slot, reading)?;
        let shape = gap_shape(keys.length_m, keys.width_mm, keys.hole_mm, slot, reading)?;
        let ElementGapKeys { place, depth_mm, filling, .. } = keys;
        Some(Self { place, shape, depth_mm, filling })
    }
}

fn gap_shape(
    length_m: Option<f64>,
    width_mm: Option<f64>,
    hole_mm: Option<f64>,
    slot: &Slot<'_, '_>,
    reading: &mut Reading<'_>,
) -> Option<GapShape> {
    match (length_m, width_mm, hole_mm) {
        (Some(length_m), Some(width_mm), None) => return Some(GapShape::Slit { length_m, width_mm }),
        (None, None, Some(diameter_mm)) => return Some(GapShape::Hole { diameter_mm }),
        _ => {}
    }
    let has = |key: &str| reading.has(&format!("{}.{key}", slot.path));
    let (length, width, hole) = (has("length_m"), has("width_mm"), has("hole_mm"));
    let message = match (length, width, hole) {
        (false, false, false) => "A gap needs its size.",
        (true, false, false) => "A slit needs the key `width_mm` beside `length_m`.",
        (false, true, false) => "A slit needs the key `length_m` beside `width_mm`.",
        (_, _, true) if length || width => "A gap cannot be a slit and a round hole at once.",
        // All that is needed is there, but a value is wrong: that has been reported.
        _ => return None,
    };
    reading
        .error("missing-gap-size", &slot.path, message)
        .help("Write `length_m` and `width_mm` for a slit, or `hole_mm` for a round hole.");
    None
}
