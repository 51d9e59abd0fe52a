//! Roof coverings and other finishes as a dead load.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A covering or finish as a load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Covering {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Load to reckon with, kN/m² of its own surface: the high end of the usual.
    pub load_kn_m2: f64,
    /// Low end of the usual, kN/m²: where less load is worse.
    pub load_low_kn_m2: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(COVERINGS: Covering);
static COVERINGS: &[Covering] = &[];
