//! Felts, foils and sheets that count for vapour and weight, not for sound.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A membrane as it comes on the roll.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Membrane {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Mass, kg/m².
    pub mass_kg_m2: f64,
    /// Equivalent air layer thickness for vapour, m.
    pub sd_m: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// What it is for.
    pub job: MembraneJob,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a membrane is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MembraneJob {
    /// Keeps rain out, lets little vapour through.
    RoofCovering,
    /// Keeps rain and wind out, lets vapour through.
    Breather,
    /// Keeps indoor vapour out of the construction.
    VapourControl,
    /// Keeps ground damp out.
    DampProof,
}

entries!(MEMBRANES: Membrane);
static MEMBRANES: [Membrane; 0] = [];
