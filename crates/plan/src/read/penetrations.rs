//! What goes through an element: cables, pipes, boxes, lamps, hatches, louvres.

use bands::Readings;

use crate::{
    project::{ElementId, Penetrating, Penetration, PenetrationKind},
    read::{
        field::{Field, Slot},
        keyed::keyed,
        reading::Reading,
    },
    schema::Shape,
};

keyed! {
    /// Something that goes through a wall or ceiling, or is let into it.
    pub(crate) struct PenetrationKeys {
        /// Where it is, in words.
        place as "where": String,
        /// The part of the room it is in: "ceiling", a wall or an opening.
        element: ElementId,
        /// What it is.
        kind: PenetrationKind,
        /// How many alike.
        count: u32 [1.0, 1000.0] = 1,
        /// Diameter or width; without it the usual one.
        size_mm: Option<f64> [1.0, 3000.0],
        /// Height, where it is not square.
        height_mm: Option<f64> [1.0, 3000.0],
        /// Whether it is closed: sealant round a cable or pipe, a hood or putty pad behind a box or lamp, a seal round a lid.
        sealed: bool = false,
        /// Level difference D_n,e measured on one, by third-octave band; used instead of a prediction.
        dn_e: Option<Readings> [0.0, 120.0],
    }
}

keyed! {
    /// Something that goes through the element, or is let into it.
    pub(crate) struct ElementPenetrationKeys {
        /// Where it is, in words.
        place as "where": String,
        /// What it is.
        kind: PenetrationKind,
        /// How many alike.
        count: u32 [1.0, 1000.0] = 1,
        /// Diameter or width; without it the usual one.
        size_mm: Option<f64> [1.0, 3000.0],
        /// Height, where it is not square.
        height_mm: Option<f64> [1.0, 3000.0],
        /// Whether it is closed: sealant round a cable or pipe, a hood or putty pad behind a box or lamp, a seal round a lid.
        sealed: bool = false,
        /// Level difference D_n,e measured on one, by third-octave band; used instead of a prediction.
        dn_e: Option<Readings> [0.0, 120.0],
    }
}

impl Field for Penetration {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        PenetrationKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let PenetrationKeys { place, element, kind, count, size_mm, height_mm, sealed, dn_e } =
            PenetrationKeys::decode(slot, reading)?;
        let what = Penetrating { place, kind, count, size_mm, height_mm, sealed, dn_e };
        Some(Self { element, what: checked(what, slot, reading)? })
    }
}

impl Field for Penetrating {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        ElementPenetrationKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let ElementPenetrationKeys { place, kind, count, size_mm, height_mm, sealed, dn_e } =
            ElementPenetrationKeys::decode(slot, reading)?;
        checked(Self { place, kind, count, size_mm, height_mm, sealed, dn_e }, slot, reading)
    }
}

/// Round things have no height; a level difference needs the bands a single number is made of.
fn checked(what: Penetrating, slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Penetrating> {
    let round = matches!(what.kind, PenetrationKind::Cable | PenetrationKind::Pipe | PenetrationKind::Lamp);
    if round && what.height_mm.is_some() {
        reading
            .error(
                "round-has-no-height",
                &format!("{}.height_mm", slot.path),
                format!("A {} is round: it has a `size_mm` and no `height_mm`.", what.kind.word()),
            )
            .help("Take `height_mm` away.");
        return None;
    }
    if let Some(given) = &what.dn_e {
        let missing: Vec<&str> = bands::Band::range(100.0, 3150.0)
            .filter(|band| given.get(*band).is_none())
            .map(bands::Band::nominal)
            .collect();
        if !missing.is_empty() {
            reading
                .error(
                    "missing-bands",
                    &format!("{}.dn_e", slot.path),
                    format!("`dn_e` has no value at {} Hz.", missing.join(", ")),
                )
                .help("Give all third-octave bands from 100 to 3150 Hz, or leave `dn_e` away.");
            return None;
        }
    }
    Some(what)
}
