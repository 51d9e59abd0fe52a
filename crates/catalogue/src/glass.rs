//! Single panes of glass.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    PlateSpread,
    entry::entries,
};

/// A single pane, plain or laminated.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
    /// Loss factor of the pane in its frame, with what the bedding takes.
    pub loss_factor_in_place: f64,
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

static PANES: &[Glass] = &[
    at("glass-3", "glass 3 mm", 3.0, FLOAT),
    at("glass-4", "glass 4 mm", 4.0, FLOAT),
    at("glass-5", "glass 5 mm", 5.0, FLOAT),
    at("glass-6", "glass 6 mm", 6.0, FLOAT),
    at("glass-8", "glass 8 mm", 8.0, FLOAT),
    at("glass-10", "glass 10 mm", 10.0, FLOAT),
    at("glass-12", "glass 12 mm", 12.0, FLOAT),
    at("glass-15", "glass 15 mm", 15.0, FLOAT),
    at("glass-19", "glass 19 mm", 19.0, FLOAT),
    Glass { density_kg_m3: 2415.0, ..at("laminated-glass-6.4", "laminated glass 6.4 mm", 6.4, LAMINATED) },
    Glass { density_kg_m3: 2340.0, ..at("laminated-glass-6.8", "laminated glass 6.8 mm", 6.8, LAMINATED) },
    Glass { density_kg_m3: 2435.0, ..at("laminated-glass-8.4", "laminated glass 8.4 mm", 8.4, LAMINATED) },
    Glass { density_kg_m3: 2377.0, ..at("laminated-glass-8.8", "laminated glass 8.8 mm", 8.8, LAMINATED) },
    Glass { density_kg_m3: 2399.0, ..at("laminated-glass-10.8", "laminated glass 10.8 mm", 10.8, LAMINATED) },
    Glass { density_kg_m3: 2415.0, ..at("laminated-glass-12.8", "laminated glass 12.8 mm", 12.8, LAMINATED) },
    Glass { density_kg_m3: 2435.0, ..at("laminated-glass-16.8", "laminated glass 16.8 mm", 16.8, LAMINATED) },
    Glass {
        density_kg_m3: 2340.0,
        ..at("acoustic-laminated-glass-6.8", "acoustic laminated glass 6.8 mm", 6.8, ACOUSTIC)
    },
    Glass {
        density_kg_m3: 2377.0,
        ..at("acoustic-laminated-glass-8.8", "acoustic laminated glass 8.8 mm", 8.8, ACOUSTIC)
    },
    Glass {
        density_kg_m3: 2399.0,
        ..at("acoustic-laminated-glass-10.8", "acoustic laminated glass 10.8 mm", 10.8, ACOUSTIC)
    },
    Glass {
        density_kg_m3: 2415.0,
        ..at("acoustic-laminated-glass-12.8", "acoustic laminated glass 12.8 mm", 12.8, ACOUSTIC)
    },
    Glass {
        density_kg_m3: 2435.0,
        ..at("acoustic-laminated-glass-16.8", "acoustic laminated glass 16.8 mm", 16.8, ACOUSTIC)
    },
];

/// A kind of glass at one thickness.
const fn at(id: &'static str, name: &'static str, thickness_mm: f64, glass: Glass) -> Glass {
    Glass { id, name, thickness_mm, ..glass }
}

const FLOAT: Glass = Glass {
    id: "",
    name: "",
    thickness_mm: 0.0,
    density_kg_m3: 2500.0,
    youngs_modulus_gpa: 63.706,
    poisson: 0.24,
    loss_factor: 0.0045,
    loss_factor_in_place: 0.02,
    spread: PlateSpread { density: 0.01, youngs_modulus: 0.05, loss_factor: 0.5 },
    laminated: false,
    conductivity_w_m_k: 1.0,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor the middle of 0.003 to 0.006); loss in \
         place from Bies, Hansen & Howard (2017), Table C.1; conductivity from memory of EN ISO 10456",
    ),
};

const LAMINATED: Glass = Glass {
    youngs_modulus_gpa: 50.0,
    loss_factor: 0.05,
    loss_factor_in_place: 0.07,
    spread: PlateSpread { density: 0.02, youngs_modulus: 0.15, loss_factor: 0.5 },
    laminated: true,
    basis: Typical(
        "plain glass with a clear interlayer: stiffness and loss at 20 °C from memory, both fall or rise \
         with warmth; density worked out from glass and interlayer",
    ),
    ..FLOAT
};

const ACOUSTIC: Glass = Glass {
    youngs_modulus_gpa: 30.0,
    loss_factor: 0.2,
    loss_factor_in_place: 0.22,
    spread: PlateSpread { density: 0.02, youngs_modulus: 0.25, loss_factor: 0.4 },
    laminated: true,
    basis: Typical(
        "plain glass with a soft interlayer: stiffness and loss at 20 °C from memory, both fall or rise \
         with warmth; density worked out from glass and interlayer",
    ),
    ..FLOAT
};
