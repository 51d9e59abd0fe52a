//! Cavity fills and insulation.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    Vapour,
    entry::entries,
};

/// A cavity fill or insulation; its thickness is chosen in the build-up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fill {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What it is.
    pub family: FillFamily,
    /// Density as built in, kg/m³.
    pub density_kg_m3: f64,
    /// Air flow resistivity, Pa s/m². Of a closed-cell foam a number so high that it absorbs nothing.
    pub flow_resistivity_pa_s_m2: f64,
    /// Relative standard uncertainty of the flow resistivity (0.3 is 30 %).
    pub flow_resistivity_spread: f64,
    /// Open share of the volume, 0 to 1.
    pub porosity: f64,
    /// Whether its cells are closed: it insulates heat but absorbs no sound, and stiffens a cavity it fills.
    pub closed_cell: bool,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Vapour resistance.
    pub vapour: Vapour,
    /// Whether it burns.
    pub combustible: bool,
    /// Thicknesses it is commonly sold in, mm.
    pub thicknesses_mm: &'static [f64],
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a fill is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FillFamily {
    /// Glass or rock fibre.
    MineralWool,
    /// Wood, cellulose, sheep's wool, polyester.
    OtherFibre,
    /// Foam that air passes through.
    OpenFoam,
    /// Foam that air does not pass through.
    ClosedFoam,
}

impl Fill {
    /// Mass of a thickness, kg/m².
    pub fn mass_kg_m2(&self, thickness_mm: f64) -> f64 {
        self.density_kg_m3 * thickness_mm / 1000.0
    }
}

entries!(FILLS: Fill);
static FILLS: [Fill; 0] = [];
