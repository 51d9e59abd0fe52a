//! Single panes of glass.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    PlateSpread,
    entry::entries,
};

/// A single pane, plain or laminated.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Glass {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Thickness with interlayers, mm.
    pub thickness_mm: f64,
    /// Density, kg/m³; of a laminated pane the mean with its interlayer.
    pub density_kg_m3: f64,
    /// Young's modulus as the pane bends, GPa; of a laminated pane the effective one at room temperature.
    pub youngs_modulus_gpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Internal loss factor, at room temperature.
    pub loss_factor: f64,
    /// How far the above vary.
    pub spread: PlateSpread,
    /// Whether panes are bonded by an interlayer.
    pub laminated: bool,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

impl Glass {
    /// Mass of the pane, kg/m².
    pub fn mass_kg_m2(&self) -> f64 {
        self.density_kg_m3 * self.thickness_mm / 1000.0
    }

    /// Quasi-longitudinal speed in the pane, `c_L = [E / (ρ (1 − ν²))]^½`, m/s.
    pub fn plate_speed_m_s(&self) -> f64 {
        (self.youngs_modulus_gpa * 1e9 / (self.density_kg_m3 * (1.0 - self.poisson * self.poisson))).sqrt()
    }
}

entries!(PANES: Glass);
static PANES: &[Glass] = &[];
