//! Cavity fills and insulation.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    Vapour,
    entry::entries,
};

/// A cavity fill or insulation; its thickness is chosen in the build-up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
    /// Dynamic modulus of a closed-cell foam that touches both leaves, MPa; none for a fill air passes through, which adds no stiffness of its own.
    ///
    /// Expanded polystyrene 3.9 (78 MN/m³ at 50 mm: Hopkins, *Sound Insulation*, 2007, Table A3); denser and foiled foams 10 (typical,
    /// no source).
    pub fn dynamic_modulus_mpa(&self) -> Option<f64> {
        match self.id {
            "expanded-polystyrene-20kg" => Some(3.9),
            _ if self.closed_cell => Some(10.0),
            _ => None,
        }
    }

    /// Mass of a thickness, kg/m².
    pub fn mass_kg_m2(&self, thickness_mm: f64) -> f64 {
        self.density_kg_m3 * thickness_mm / 1000.0
    }
}

entries!(FILLS: Fill);

const WOOL: &str = "flow resistivity between the fit σ = 3.18e-9 ρ^1.53 / d² of Bies & Hansen with fibres \
                    of 5 to 7 µm and makers' data, from memory; conductivity from memory of makers' data; \
                    vapour factor 1";

static FILLS: &[Fill] = &[
    Fill {
        id: "mineral-wool-10kg",
        name: "mineral wool 10 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 10.0,
        flow_resistivity_pa_s_m2: 4000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.99,
        closed_cell: false,
        conductivity_w_m_k: 0.044,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[50.0, 75.0, 100.0, 150.0, 200.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-12kg",
        name: "mineral wool 12 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 12.0,
        flow_resistivity_pa_s_m2: 5500.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.99,
        closed_cell: false,
        conductivity_w_m_k: 0.042,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[50.0, 75.0, 100.0, 150.0, 200.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-14kg",
        name: "mineral wool 14 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 14.0,
        flow_resistivity_pa_s_m2: 7000.0,
        flow_resistivity_spread: 0.25,
        porosity: 0.99,
        closed_cell: false,
        conductivity_w_m_k: 0.04,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[50.0, 75.0, 100.0, 150.0],
        basis: Typical(
            "glass wool of 13 to 15 kg/m³ is about 7000 Pa s/m² in makers' data (secondary); conductivity \
             from memory",
        ),
    },
    Fill {
        id: "mineral-wool-20kg",
        name: "mineral wool 20 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 20.0,
        flow_resistivity_pa_s_m2: 9500.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.99,
        closed_cell: false,
        conductivity_w_m_k: 0.037,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-33kg",
        name: "mineral wool 33 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 33.0,
        flow_resistivity_pa_s_m2: 14000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.985,
        closed_cell: false,
        conductivity_w_m_k: 0.036,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-45kg",
        name: "mineral wool 45 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 45.0,
        flow_resistivity_pa_s_m2: 18000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.98,
        closed_cell: false,
        conductivity_w_m_k: 0.035,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[30.0, 50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-60kg",
        name: "mineral wool 60 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 60.0,
        flow_resistivity_pa_s_m2: 26000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.975,
        closed_cell: false,
        conductivity_w_m_k: 0.035,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[25.0, 30.0, 50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-80kg",
        name: "mineral wool 80 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 80.0,
        flow_resistivity_pa_s_m2: 37000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.97,
        closed_cell: false,
        conductivity_w_m_k: 0.035,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-100kg",
        name: "mineral wool 100 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 100.0,
        flow_resistivity_pa_s_m2: 50000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.96,
        closed_cell: false,
        conductivity_w_m_k: 0.036,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "mineral-wool-140kg",
        name: "mineral wool 140 kg/m³",
        family: FillFamily::MineralWool,
        density_kg_m3: 140.0,
        flow_resistivity_pa_s_m2: 80000.0,
        flow_resistivity_spread: 0.35,
        porosity: 0.945,
        closed_cell: false,
        conductivity_w_m_k: 0.038,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: false,
        thicknesses_mm: &[25.0, 30.0, 50.0],
        basis: Typical(WOOL),
    },
    Fill {
        id: "cellulose-50kg",
        name: "cellulose, blown in",
        family: FillFamily::OtherFibre,
        density_kg_m3: 50.0,
        flow_resistivity_pa_s_m2: 9000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.95,
        closed_cell: false,
        conductivity_w_m_k: 0.039,
        vapour: Vapour::Factor { dry: 2.0, wet: 2.0 },
        combustible: true,
        thicknesses_mm: &[100.0, 150.0, 200.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "wood-fibre-50kg",
        name: "flexible wood fibre batts",
        family: FillFamily::OtherFibre,
        density_kg_m3: 50.0,
        flow_resistivity_pa_s_m2: 7000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.96,
        closed_cell: false,
        conductivity_w_m_k: 0.038,
        vapour: Vapour::Factor { dry: 2.0, wet: 2.0 },
        combustible: true,
        thicknesses_mm: &[50.0, 80.0, 100.0, 140.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "wood-fibre-board-160kg",
        name: "rigid wood fibre board",
        family: FillFamily::OtherFibre,
        density_kg_m3: 160.0,
        flow_resistivity_pa_s_m2: 60000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.88,
        closed_cell: false,
        conductivity_w_m_k: 0.042,
        vapour: Vapour::Factor { dry: 5.0, wet: 5.0 },
        combustible: true,
        thicknesses_mm: &[22.0, 40.0, 60.0, 80.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "sheep-wool-18kg",
        name: "sheep's wool batts",
        family: FillFamily::OtherFibre,
        density_kg_m3: 18.0,
        flow_resistivity_pa_s_m2: 2500.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.985,
        closed_cell: false,
        conductivity_w_m_k: 0.038,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: true,
        thicknesses_mm: &[50.0, 75.0, 100.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "polyester-wool-20kg",
        name: "polyester wool batts",
        family: FillFamily::OtherFibre,
        density_kg_m3: 20.0,
        flow_resistivity_pa_s_m2: 3500.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.985,
        closed_cell: false,
        conductivity_w_m_k: 0.038,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: true,
        thicknesses_mm: &[50.0, 75.0, 100.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "cotton-wool-25kg",
        name: "recycled cotton batts",
        family: FillFamily::OtherFibre,
        density_kg_m3: 25.0,
        flow_resistivity_pa_s_m2: 6000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.98,
        closed_cell: false,
        conductivity_w_m_k: 0.039,
        vapour: Vapour::Factor { dry: 1.0, wet: 1.0 },
        combustible: true,
        thicknesses_mm: &[45.0, 100.0],
        basis: Typical("all numbers from memory of the trade"),
    },
    Fill {
        id: "melamine-foam-10kg",
        name: "open-cell melamine foam",
        family: FillFamily::OpenFoam,
        density_kg_m3: 10.0,
        flow_resistivity_pa_s_m2: 13500.0,
        flow_resistivity_spread: 0.2,
        porosity: 0.99,
        closed_cell: false,
        conductivity_w_m_k: 0.035,
        vapour: Vapour::Factor { dry: 2.0, wet: 2.0 },
        combustible: true,
        thicknesses_mm: &[30.0, 50.0, 70.0, 100.0],
        basis: Published(
            "flow resistivity the middle of 10500 to 17500 Pa s/m² in Cox & D'Antonio, Acoustic Absorbers \
             and Diffusers, Table 6.2; the rest from memory",
        ),
    },
    Fill {
        id: "polyurethane-foam-30kg",
        name: "open-cell polyurethane foam",
        family: FillFamily::OpenFoam,
        density_kg_m3: 30.0,
        flow_resistivity_pa_s_m2: 8000.0,
        flow_resistivity_spread: 0.3,
        porosity: 0.97,
        closed_cell: false,
        conductivity_w_m_k: 0.04,
        vapour: Vapour::Factor { dry: 3.0, wet: 3.0 },
        combustible: true,
        thicknesses_mm: &[30.0, 50.0, 100.0],
        basis: Published(
            "flow resistivity the middle of 4500 to 12900 Pa s/m² in Cox & D'Antonio, Acoustic Absorbers \
             and Diffusers, Table 6.2; the rest from memory",
        ),
    },
    Fill {
        id: "felt-fibre-80kg",
        name: "textile fibre felt",
        family: FillFamily::OtherFibre,
        density_kg_m3: 80.0,
        flow_resistivity_pa_s_m2: 50000.0,
        flow_resistivity_spread: 0.3,
        porosity: 0.93,
        closed_cell: false,
        conductivity_w_m_k: 0.045,
        vapour: Vapour::Factor { dry: 2.0, wet: 2.0 },
        combustible: true,
        thicknesses_mm: &[10.0, 20.0],
        basis: Published(
            "flow resistivity the middle of 26000 to 73300 Pa s/m² in Cox & D'Antonio, Acoustic Absorbers \
             and Diffusers, Table 6.2; the rest from memory",
        ),
    },
    Fill {
        id: "rigid-foam-foil-32kg",
        name: "rigid closed-cell foam, foil faces",
        family: FillFamily::ClosedFoam,
        density_kg_m3: 32.0,
        flow_resistivity_pa_s_m2: 1000000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.03,
        closed_cell: true,
        conductivity_w_m_k: 0.022,
        vapour: Vapour::Factor { dry: 10000.0, wet: 10000.0 },
        combustible: true,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0, 120.0, 150.0],
        basis: Typical(
            "all numbers from memory of the trade; the foil faces set the vapour factor; flow resistivity \
             stands for closed cells",
        ),
    },
    Fill {
        id: "expanded-polystyrene-20kg",
        name: "expanded polystyrene",
        family: FillFamily::ClosedFoam,
        density_kg_m3: 20.0,
        flow_resistivity_pa_s_m2: 1000000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.03,
        closed_cell: true,
        conductivity_w_m_k: 0.036,
        vapour: Vapour::Factor { dry: 60.0, wet: 60.0 },
        combustible: true,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0],
        basis: Typical(
            "vapour factor from memory of EN ISO 10456, the rest from memory of the trade; flow resistivity \
             stands for closed cells",
        ),
    },
    Fill {
        id: "extruded-polystyrene-35kg",
        name: "extruded polystyrene",
        family: FillFamily::ClosedFoam,
        density_kg_m3: 35.0,
        flow_resistivity_pa_s_m2: 1000000.0,
        flow_resistivity_spread: 0.5,
        porosity: 0.02,
        closed_cell: true,
        conductivity_w_m_k: 0.033,
        vapour: Vapour::Factor { dry: 150.0, wet: 150.0 },
        combustible: true,
        thicknesses_mm: &[25.0, 50.0, 75.0, 100.0],
        basis: Typical(
            "vapour factor from memory of EN ISO 10456, the rest from memory of the trade; flow resistivity \
             stands for closed cells",
        ),
    },
];
