//! Door leaves, perimeter gaps and their seals.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    PlateSpread,
    entry::entries,
};

/// A door leaf, without its gaps.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Door {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Mass of the leaf, kg/m².
    pub mass_kg_m2: f64,
    /// Young's modulus of a solid plate of this thickness that bends as the leaf does, GPa.
    pub equivalent_youngs_modulus_gpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Loss factor as hung.
    pub loss_factor: f64,
    /// How far the above vary.
    pub spread: PlateSpread,
    /// Measured sound reduction by octave, (nominal Hz, dB), lowest first; empty where none is published. With
    /// the seals the test had.
    pub measured_r_db: &'static [(f64, f64)],
    /// Thermal transmittance of the leaf, W/(m² K).
    pub transmittance_w_m2_k: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What is left open round a door, window or board, as one slit all the way round.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seal {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Width of the equivalent slit, mm: the open gap that lets through what the sealed joint lets through.
    pub slit_width_mm: f64,
    /// Length of the way through the joint, mm.
    pub depth_mm: f64,
    /// Natural logarithm of the standard factor between one fitting and another (0.7: half to double).
    pub width_spread: f64,
    /// Where it belongs.
    pub place: SealPlace,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// Where a seal belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SealPlace {
    /// Round a leaf or sash that opens.
    Opening,
    /// Round a board, frame or pipe that does not move.
    Fixed,
}

entries!(DOORS: Door);
entries!(SEALS: Seal);
static DOORS: &[Door] = &[];
static SEALS: &[Seal] = &[];
