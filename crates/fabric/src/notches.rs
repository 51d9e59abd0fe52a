//! Notches and holes in a joist.

use serde::Serialize;

/// What was cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CutKind {
    /// From the upper edge.
    TopNotch,
    /// From the lower edge.
    BottomNotch,
    /// Through the middle.
    Hole,
}

/// A notch or a hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// What was cut.
    pub kind: CutKind,
    /// Its middle, m from the left end of the joist.
    pub at_m: f64,
    /// Depth of the notch or diameter of the hole, mm.
    pub size_mm: f64,
    /// For a hole: its middle above the middle of the depth, mm.
    pub off_centre_mm: f64,
}

/// A notch or hole judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CutResult {
    /// What and where.
    pub name: String,
    /// Whether it lies in the zone and within the size that need no calculation.
    pub permitted: bool,
    /// Bending or notched shear utilisation of what is left, whichever is worse.
    pub utilisation: f64,
    /// Under which combination.
    pub under: String,
    /// What to do, if anything.
    pub note: String,
}
