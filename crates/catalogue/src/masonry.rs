//! Bricks, blocks, concrete, and what is spread on them.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    Vapour,
    entry::entries,
};

/// A masonry, concrete, plaster or screed layer, one thickness of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Masonry {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What it is.
    pub family: MasonryFamily,
    /// Thickness without plaster or render, mm.
    pub thickness_mm: f64,
    /// Density with its mortar, kg/m³.
    pub density_kg_m3: f64,
    /// Quasi-longitudinal speed as a plate, m/s.
    pub longitudinal_speed_m_s: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Internal loss factor, without edge losses.
    pub loss_factor: f64,
    /// How far the above vary.
    pub spread: MasonrySpread,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Vapour resistance.
    pub vapour: Vapour,
    /// Whether sound and air pass through its pores while it is bare: plaster or paint it on one face at least.
    pub porous_bare: bool,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a masonry layer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MasonryFamily {
    /// Fired clay.
    Brick,
    /// Concrete or calcium silicate blocks.
    Block,
    /// Stone.
    Stone,
    /// In-situ or precast concrete.
    Concrete,
    /// Plaster or render spread on a wall: adds to the leaf it is on.
    Coat,
    /// Screed on a floor.
    Screed,
}

/// Relative standard uncertainties of a masonry layer (0.1 is 10 %).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MasonrySpread {
    /// Of the density, and so of the mass.
    pub density: f64,
    /// Of the longitudinal speed.
    pub longitudinal_speed: f64,
    /// Of the loss factor.
    pub loss_factor: f64,
}

impl Masonry {
    /// Mass of the layer, kg/m².
    pub fn mass_kg_m2(&self) -> f64 {
        self.density_kg_m3 * self.thickness_mm / 1000.0
    }

    /// Young's modulus that goes with density and speed, `E = ρ c_L² (1 − ν²)`, GPa.
    pub fn youngs_modulus_gpa(&self) -> f64 {
        let speed = self.longitudinal_speed_m_s;
        self.density_kg_m3 * speed * speed * (1.0 - self.poisson * self.poisson) / 1e9
    }
}

entries!(MASONRY: Masonry);
static MASONRY: [Masonry; 0] = [];
