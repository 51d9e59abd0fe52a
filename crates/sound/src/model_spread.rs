//! How far the model itself is off, learned from published laboratory data by `examples/accuracy.rs`.

use bands::Band;

use crate::element::{Element, LeafKind};

/// Kinds of build-up whose errors differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One thin leaf.
    SingleLeaf,
    /// One heavy leaf.
    Masonry,
    /// Two or more thin leaves.
    LightDouble,
    /// A heavy leaf and another.
    HeavyDouble,
}

impl Kind {
    /// The kind of an element.
    pub fn of(element: &Element) -> Self {
        let leaves = element.leaves().count();
        let heavy = element.leaves().any(|leaf| matches!(leaf.kind, LeafKind::Masonry));
        match (heavy, leaves) {
            (false, ..=1) => Self::SingleLeaf,
            (true, ..=1) => Self::Masonry,
            (false, _) => Self::LightDouble,
            (true, _) => Self::HeavyDouble,
        }
    }
}

/// Standard deviation of a band, dB.
pub fn spread_db(_kind: Kind, band: Band) -> f64 {
    if band.nominal_hz() < 100.0 || band.nominal_hz() > 3150.0 { 6.0 } else { 4.5 }
}

/// Standard deviation of the single number, dB.
pub fn single_number_spread_db(_kind: Kind) -> f64 {
    2.5
}
