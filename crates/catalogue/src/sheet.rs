//! Boards and other leaf materials that come by the sheet.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    PlateSpread, Vapour,
    entry::entries,
};

/// A board or other leaf material, one thickness of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
    /// Poisson's ratio.
    pub poisson: f64,
    /// Internal loss factor.
    pub loss_factor: f64,
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

const fn size(length_mm: f64, width_mm: f64) -> Format {
    Format { length_mm, width_mm }
}

const GYPSUM_SIZES: &[Format] =
    &[size(2400.0, 1200.0), size(1800.0, 900.0), size(2700.0, 1200.0), size(3000.0, 1200.0)];
const HEAVY_GYPSUM_SIZES: &[Format] = &[size(2400.0, 1200.0), size(1800.0, 900.0), size(1200.0, 900.0)];
const SAND_FILLED_SIZES: &[Format] = &[size(1200.0, 800.0), size(1250.0, 625.0)];
const WOOD_SIZES: &[Format] = &[size(2440.0, 1220.0)];
const FLOORING_SIZES: &[Format] = &[size(2400.0, 600.0)];
const METAL_SIZES: &[Format] = &[size(2500.0, 1250.0), size(2000.0, 1000.0)];
const ROLL_SIZES: &[Format] = &[size(5000.0, 1200.0)];

const GYPSUM_VAPOUR: Vapour = Vapour::Factor { dry: 10.0, wet: 4.0 };
const TIGHT: Vapour = Vapour::AirLayer { sd_m: 1500.0 };

const GYPSUM_SPREAD: PlateSpread = PlateSpread { density: 0.04, youngs_modulus: 0.25, loss_factor: 0.3 };
const WOOD_SPREAD: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.2, loss_factor: 0.4 };
const MINERAL_SPREAD: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.25, loss_factor: 0.4 };
const METAL_SPREAD: PlateSpread = PlateSpread { density: 0.02, youngs_modulus: 0.03, loss_factor: 0.6 };
const LIMP_SPREAD: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.4, loss_factor: 0.4 };

static SHEETS: [Sheet; 1] =
    [Sheet { id: "plasterboard-12.5", name: "plasterboard 12.5 mm", thickness_mm: 12.5, ..PLASTERBOARD }];

const HOPKINS_BOARD: Basis = Published(
    "Hopkins, Sound Insulation (2007), Table A2 (gypsum from flue gas and natural, density, speed, loss factor); \
     conductivity and vapour factor from memory of EN ISO 10456; sizes common practice",
);

const PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 12.5,
    density_kg_m3: 680.0,
    youngs_modulus_gpa: 2.027,
    poisson: 0.3,
    loss_factor: 0.0125,
    spread: GYPSUM_SPREAD,
    conductivity_w_m_k: 0.21,
    vapour: GYPSUM_VAPOUR,
    formats: GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: HOPKINS_BOARD,
};
