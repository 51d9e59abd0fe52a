//! Boards and other leaf materials that come by the sheet.

use serde::Serialize;

use crate::{Basis, PlateSpread, Vapour, entry::entries, sheet_table::SHEETS};

/// A board or other leaf material, one thickness of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What it is made of.
    pub family: SheetFamily,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Young's modulus as a plate bends, GPa; of boards with a grain the mean of both directions.
    pub youngs_modulus_gpa: f64,
    /// Bending stiffness along its length over that across, 1 without a grain; of a profiled sheet along its ribs over that of the plain
    /// sheet, whose stiffness is then the one stated.
    pub along_over_across: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Internal loss factor, without what its fixings and edges take.
    pub loss_factor: f64,
    /// Loss factor of the board fixed in place, with what fixings and edges take (Bies, Hansen & Howard 2017, Table
    /// C.1, gives it for gypsum, wood, glass and steel; typical for the others).
    pub loss_factor_in_place: f64,
    /// How far the above vary.
    pub spread: PlateSpread,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Vapour resistance.
    pub vapour: Vapour,
    /// Sizes it is commonly sold in.
    pub formats: &'static [Format],
    /// Its long edges.
    pub edge: Edge,
    /// Whether a cut edge must be taped at once (a loose filling runs out).
    pub tape_cut_edges: bool,
    /// Whether it burns.
    pub combustible: bool,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a sheet is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SheetFamily {
    /// Gypsum plasterboard and gypsum fibreboard.
    Gypsum,
    /// Wood-based boards and boarding.
    Wood,
    /// Cement-bonded, fibre-cement, calcium silicate, magnesia.
    Mineral,
    /// Card or fibre boxes filled with sand.
    SandFilled,
    /// Sheet metal.
    Metal,
    /// Sheet metal in ribs: roof decks and claddings.
    Profiled,
    /// Limp heavy sheets.
    Barrier,
    /// Soft fibre boards.
    SoftFibre,
}

/// A size a sheet is sold in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Format {
    /// Long side, mm.
    pub length_mm: f64,
    /// Short side, mm.
    pub width_mm: f64,
}

/// Long edges of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Edge {
    /// Square.
    Square,
    /// Tapered for a filled and taped joint.
    Tapered,
    /// Tongue and groove.
    TongueAndGroove,
}

impl Sheet {
    /// Mass of the sheet, kg/m².
    pub fn mass_kg_m2(&self) -> f64 {
        self.density_kg_m3 * self.thickness_mm / 1000.0
    }

    /// Quasi-longitudinal speed in the plate, `c_L = [E / (ρ (1 − ν²))]^½`, m/s.
    pub fn plate_speed_m_s(&self) -> f64 {
        (self.youngs_modulus_gpa * 1e9 / (self.density_kg_m3 * (1.0 - self.poisson * self.poisson))).sqrt()
    }
}

entries!(SHEETS: Sheet);
