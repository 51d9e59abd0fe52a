//! What limits each band.

use bands::Band;
use serde::Serialize;

use crate::{
    cavity::PreparedCavity,
    element::Element,
    prepared::{Prepared, Transmission},
};

/// What limits a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// Mass: only more of it helps.
    Mass,
    /// Bending stiffness and size of the element, below its first mode.
    Stiffness,
    /// Resonance of the leaves on the air between them.
    Resonance,
    /// Sound that runs about in the cavity.
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

/// Bands a resonance is felt in, as multiples of its frequency.
const NEAR_RESONANCE: (f64, f64) = (0.7, 1.45);
/// Bands coincidence is felt in, as multiples of the critical frequency.
const NEAR_COINCIDENCE: (f64, f64) = (0.7, 1.8);

/// What limits each band of an element.
pub(crate) fn limits(element: &Element, prepared: Option<&Prepared>, paths: &Transmission) -> Vec<BandLimit> {
    Band::all()
        .map(|band| BandLimit {
            band,
            what: limit(element, prepared, paths, band),
            outside_validated_range: band.nominal_hz() < 50.0 || band.nominal_hz() > 5000.0,
        })
        .collect()
}

fn limit(element: &Element, prepared: Option<&Prepared>, paths: &Transmission, band: Band) -> Limit {
    let i = band.index();
    let (air, bridge, leak) = (paths.air[i], paths.bridge[i], paths.leak[i]);
    if leak > air + bridge {
        return Limit::Leak;
    }
    if element.measured.is_some() {
        return Limit::Measured;
    }
    let Some(prepared) = prepared else { return Limit::Measured };
    let f = band.nominal_hz();
    let near = |centre: f64, range: (f64, f64)| f > centre * range.0 && f < centre * range.1;
    let coincidence = prepared.leaves.iter().any(|leaf| {
        let (along, across) = leaf.critical_range_hz();
        f > along * NEAR_COINCIDENCE.0 && f < across * NEAR_COINCIDENCE.1
    });
    let resonance = (0..prepared.cavities.len())
        .filter_map(|gap| prepared.resonance_hz(gap))
        .any(|f0| near(f0, NEAR_RESONANCE));
    if resonance && air > bridge {
        Limit::Resonance
    } else if coincidence {
        Limit::Coincidence
    } else if bridge > air {
        Limit::Bridge
    } else if resonance {
        Limit::Resonance
    } else if empty_cavity(prepared) && f > highest_resonance_hz(prepared) {
        Limit::Cavity
    } else if f < first_mode_hz(element, prepared) {
        Limit::Stiffness
    } else {
        Limit::Mass
    }
}

fn empty_cavity(prepared: &Prepared) -> bool {
    prepared.cavities.iter().any(PreparedCavity::is_empty)
}

fn highest_resonance_hz(prepared: &Prepared) -> f64 {
    (0..prepared.cavities.len()).filter_map(|gap| prepared.resonance_hz(gap)).fold(0.0, f64::max)
}

/// First bending mode of a single heavy or stiff leaf, Hz: `c0²/(4 fc) (1/l1² + 1/l2²)`; 0 for lighter build-ups, whose first
/// mode lies below all bands.
fn first_mode_hz(element: &Element, prepared: &Prepared) -> f64 {
    let [leaf] = prepared.leaves.as_slice() else { return 0.0 };
    let c = quantities::air::SPEED_OF_SOUND_M_S;
    let (w, h) = (element.width_m, element.height_m);
    c * c / (4.0 * leaf.fc) * (1.0 / (w * w) + 1.0 / (h * h))
}
