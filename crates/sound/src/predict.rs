//! The prediction of one element: what it insulates, how sure that is, what limits it and what to change.

use bands::{Band, Spectrum};
use serde::Serialize;

use crate::{element::Element, error::ElementError};

/// Everything predicted of one element.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prediction {
    /// Sound reduction index R, best estimate, dB.
    pub r_db: Spectrum,
    /// 10th percentile of R, dB.
    pub lower_db: Spectrum,
    /// 90th percentile of R, dB.
    pub upper_db: Spectrum,
    /// Mass–air–mass resonances, outermost cavity first.
    pub resonances: Vec<Resonance>,
    /// Critical frequency of each leaf that has one.
    pub critical_frequencies: Vec<CriticalFrequency>,
    /// Mass of leaves and fills, kg/m².
    pub mass_kg_m2: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// What limits each band.
    pub limits: Vec<BandLimit>,
    /// What to change, in sentences, most worth first.
    pub advice: Vec<String>,
    /// What each path alone would let through.
    pub paths_db: Paths,
    /// Models and sources used, a sentence each.
    pub method: Vec<String>,
}

/// A mass–air–mass resonance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Resonance {
    /// Which cavity, 0 the outermost.
    pub cavity: usize,
    /// Frequency f0, Hz.
    pub frequency_hz: f64,
}

/// Where bending waves in a leaf run as fast as sound along it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriticalFrequency {
    /// Name of the leaf.
    pub leaf: String,
    /// Critical frequency fc, Hz.
    pub fc_hz: f64,
}

/// What limits a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// Mass: only more of it helps.
    Mass,
    /// Bending stiffness and size of the element, below its first modes.
    Stiffness,
    /// Resonance of the leaves on the air between them.
    Resonance,
    /// Sound carried along and across the cavity.
    Cavity,
    /// Studs, clips, ties, frames.
    Bridge,
    /// Bending waves as fast as sound.
    Coincidence,
    /// Air that goes straight through.
    Leak,
    /// A measurement was given.
    Measured,
}

/// What limits one band.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandLimit {
    /// Which band.
    pub band: Band,
    /// What limits it.
    pub what: Limit,
    /// Below 50 Hz or above 5 kHz: no laboratory data stands behind the number.
    pub outside_validated_range: bool,
}

/// What each path alone would let through, as a sound reduction index, dB.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Paths {
    /// Through leaves and cavities.
    pub air_db: Spectrum,
    /// Through studs, clips, ties and frames; none where there are none.
    pub bridge_db: Option<Spectrum>,
    /// Through joints and holes; none where there are none.
    pub leak_db: Option<Spectrum>,
}

/// Predicts one element.
///
/// Returns an error with a sentence for anything that cannot be built.
pub fn predict(element: &Element) -> Result<Prediction, ElementError> {
    if element.leaves().next().is_none() {
        return Err(ElementError::NoLeaf { element: element.name.clone() });
    }
    Ok(Prediction {
        r_db: Spectrum::flat(0.0),
        lower_db: Spectrum::flat(0.0),
        upper_db: Spectrum::flat(0.0),
        resonances: Vec::new(),
        critical_frequencies: Vec::new(),
        mass_kg_m2: element.mass_kg_m2(),
        depth_mm: element.depth_m() * 1000.0,
        limits: Vec::new(),
        advice: Vec::new(),
        paths_db: Paths { air_db: Spectrum::flat(0.0), bridge_db: None, leak_db: None },
        method: Vec::new(),
    })
}
