//! How far the model itself is off, learned from published laboratory data by `examples/model_spread.rs`.
//!
//! [`data_behind`] says how many published values stand behind a number. Below 50 Hz and above 5 kHz nothing does: there the spread
//! of the nearest octave grows by 3 dB an octave.

use bands::{Band, OctaveBand};

use crate::{
    element::{BridgeKind, Element, LeafKind},
    model_spread_table::{BANDS, SINGLE_NUMBERS},
};

/// Kinds of build-up whose errors differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One thin leaf.
    SingleLeaf,
    /// One heavy leaf.
    Masonry,
    /// Two or more thin leaves on studs, channels or clips.
    Framed,
    /// Two or more thin leaves held at their edges only: glazing, doors with a lobby.
    LightDouble,
    /// A heavy leaf and another.
    HeavyDouble,
}

/// Growth of the spread where no data are, dB an octave.
const BEYOND_DATA_DB: f64 = 3.0;
/// Spread where the table has no row; no kind is without one.
const UNKNOWN_DB: f64 = 5.0;

impl Kind {
    /// The kind of an element.
    pub fn of(element: &Element) -> Self {
        let leaves = element.leaves().count();
        let heavy = element.leaves().any(|leaf| matches!(leaf.kind, LeafKind::Masonry));
        let framed = element.bridges.iter().any(|bridge| {
            !matches!(bridge.kind, BridgeKind::CommonFrame { .. } | BridgeKind::RigidPoint { .. })
        });
        match (heavy, leaves) {
            (false, ..=1) => Self::SingleLeaf,
            (true, ..=1) => Self::Masonry,
            (false, _) if framed => Self::Framed,
            (false, _) => Self::LightDouble,
            (true, _) => Self::HeavyDouble,
        }
    }
}

/// Standard deviation of the model in a band, dB.
pub fn spread_db(kind: Kind, band: Band) -> f64 {
    let octave = OctaveBand::of(band).index();
    // The table begins at 63 Hz, the second octave, and ends at 4 kHz.
    let place = octave.clamp(1, 7) - 1;
    let beyond = octave.abs_diff(octave.clamp(1, 7)) as f64;
    row(kind).and_then(|row| row.get(place)).map_or(UNKNOWN_DB, |(spread, _)| *spread)
        + beyond * BEYOND_DATA_DB
}

/// How many published values the spread of a band rests on (of its kind; with few, the other kinds weigh in).
pub fn data_behind(kind: Kind, band: Band) -> usize {
    let octave = OctaveBand::of(band).index();
    if !(1..=7).contains(&octave) {
        return 0;
    }
    row(kind).and_then(|row| row.get(octave - 1)).map_or(0, |(_, count)| *count)
}

/// Standard deviation of the single number, dB.
pub fn single_number_spread_db(kind: Kind) -> f64 {
    SINGLE_NUMBERS.iter().find(|row| row.0 == kind).map_or(UNKNOWN_DB, |row| row.1)
}

/// How many published single numbers that rests on.
pub fn single_numbers_behind(kind: Kind) -> usize {
    SINGLE_NUMBERS.iter().find(|row| row.0 == kind).map_or(0, |row| row.2)
}

fn row(kind: Kind) -> Option<&'static [(f64, usize); 7]> {
    BANDS.iter().find(|row| row.0 == kind).map(|row| &row.1)
}
