//! Door leaves, perimeter gaps and their seals.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    PlateSpread,
    entry::entries,
};

/// A door leaf, without its gaps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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

static DOORS: &[Door] = &[
    Door {
        id: "solid-timber-44",
        name: "solid hardwood door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 25.0,
        equivalent_youngs_modulus_gpa: 2.5,
        poisson: 0.3,
        loss_factor: 0.04,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 2.4,
        basis: Typical("all numbers from memory of the trade"),
    },
    Door {
        id: "hardwood-54",
        name: "hardwood door, 54 mm",
        thickness_mm: 54.0,
        mass_kg_m2: 20.0,
        equivalent_youngs_modulus_gpa: 2.5,
        poisson: 0.3,
        loss_factor: 0.04,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 20.0),
            (250.0, 25.0),
            (500.0, 22.0),
            (1000.0, 27.0),
            (2000.0, 31.0),
            (4000.0, 35.0),
        ],
        transmittance_w_m2_k: 2.0,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "hardwood-66",
        name: "hardwood door, 66 mm",
        thickness_mm: 66.0,
        mass_kg_m2: 44.0,
        equivalent_youngs_modulus_gpa: 3.0,
        poisson: 0.3,
        loss_factor: 0.04,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 24.0),
            (250.0, 26.0),
            (500.0, 33.0),
            (1000.0, 38.0),
            (2000.0, 41.0),
            (4000.0, 46.0),
        ],
        transmittance_w_m2_k: 1.8,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "solid-core-44",
        name: "solid-core flush door, veneered, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 25.0,
        equivalent_youngs_modulus_gpa: 2.5,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 22.0),
            (250.0, 26.0),
            (500.0, 29.0),
            (1000.0, 26.0),
            (2000.0, 26.0),
            (4000.0, 32.0),
        ],
        transmittance_w_m2_k: 2.2,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "solid-core-54",
        name: "solid-core flush door, 54 mm",
        thickness_mm: 54.0,
        mass_kg_m2: 32.0,
        equivalent_youngs_modulus_gpa: 2.5,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 1.9,
        basis: Typical("all numbers from memory of the trade"),
    },
    Door {
        id: "hollow-core-43",
        name: "hollow-core flush door, 43 mm",
        thickness_mm: 43.0,
        mass_kg_m2: 9.0,
        equivalent_youngs_modulus_gpa: 1.4,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 12.0),
            (250.0, 13.0),
            (500.0, 14.0),
            (1000.0, 16.0),
            (2000.0, 18.0),
            (4000.0, 24.0),
        ],
        transmittance_w_m2_k: 2.2,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6 (with the cracks of a door \
             as usually hung); stiffness, loss and heat from memory",
        ),
    },
    Door {
        id: "hollow-core-44",
        name: "hollow wooden door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 7.0,
        equivalent_youngs_modulus_gpa: 1.4,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 14.0),
            (250.0, 19.0),
            (500.0, 23.0),
            (1000.0, 18.0),
            (2000.0, 17.0),
            (4000.0, 21.0),
        ],
        transmittance_w_m2_k: 2.2,
        basis: Published(
            "measured octaves: Rossing (ed.), Springer Handbook of Acoustics (2014), Table 11.4; mass: \
             Harris (1995), Table 31.6; stiffness, loss and heat from memory",
        ),
    },
    Door {
        id: "laminated-flush-44",
        name: "plastic-faced flush door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 20.0,
        equivalent_youngs_modulus_gpa: 2.0,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 14.0),
            (250.0, 18.0),
            (500.0, 17.0),
            (1000.0, 23.0),
            (2000.0, 18.0),
            (4000.0, 19.0),
        ],
        transmittance_w_m2_k: 2.2,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "steel-two-skin-35",
        name: "two-skin metal door, 35 mm",
        thickness_mm: 35.0,
        mass_kg_m2: 16.0,
        equivalent_youngs_modulus_gpa: 25.0,
        poisson: 0.3,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 26.0),
            (250.0, 26.0),
            (500.0, 28.0),
            (1000.0, 32.0),
            (2000.0, 32.0),
            (4000.0, 40.0),
        ],
        transmittance_w_m2_k: 3.5,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "steel-hollow-44",
        name: "hollow steel door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 25.0,
        equivalent_youngs_modulus_gpa: 30.0,
        poisson: 0.3,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 24.0),
            (250.0, 23.0),
            (500.0, 29.0),
            (1000.0, 31.0),
            (2000.0, 24.0),
            (4000.0, 40.0),
        ],
        transmittance_w_m2_k: 3.0,
        basis: Published(
            "measured octaves: Rossing (ed.), Springer Handbook of Acoustics (2014), Table 11.4; mass: \
             Harris (1995), Table 31.6; stiffness, loss and heat from memory",
        ),
    },
    Door {
        id: "steel-filled-44",
        name: "filled steel door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 35.0,
        equivalent_youngs_modulus_gpa: 30.0,
        poisson: 0.3,
        loss_factor: 0.05,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 26.0),
            (250.0, 34.0),
            (500.0, 40.0),
            (1000.0, 48.0),
            (2000.0, 44.0),
            (4000.0, 52.0),
        ],
        transmittance_w_m2_k: 1.5,
        basis: Published(
            "measured octaves: Rossing (ed.), Springer Handbook of Acoustics (2014), Table 11.4; mass, \
             stiffness, loss and heat from memory",
        ),
    },
    Door {
        id: "steel-acoustic-100",
        name: "steel door, damped skins, absorbent core, gaskets, 100 mm",
        thickness_mm: 100.0,
        mass_kg_m2: 94.0,
        equivalent_youngs_modulus_gpa: 40.0,
        poisson: 0.3,
        loss_factor: 0.1,
        spread: LEAF,
        measured_r_db: &[
            (125.0, 43.0),
            (250.0, 47.0),
            (500.0, 51.0),
            (1000.0, 54.0),
            (2000.0, 52.0),
            (4000.0, 50.0),
        ],
        transmittance_w_m2_k: 1.0,
        basis: Published(
            "measured octaves and mass: Bies, Hansen & Howard (2017), Table 7.6; stiffness, loss and heat \
             from memory",
        ),
    },
    Door {
        id: "composite-44",
        name: "foam-cored composite front door, 44 mm",
        thickness_mm: 44.0,
        mass_kg_m2: 16.0,
        equivalent_youngs_modulus_gpa: 3.0,
        poisson: 0.3,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 1.2,
        basis: Typical("all numbers from memory of the trade"),
    },
    Door {
        id: "plastic-panel-28",
        name: "plastic panel door, 28 mm foam-cored panel",
        thickness_mm: 28.0,
        mass_kg_m2: 9.0,
        equivalent_youngs_modulus_gpa: 2.0,
        poisson: 0.35,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 1.5,
        basis: Typical("all numbers from memory of the trade"),
    },
    Door {
        id: "ledged-boarded-35",
        name: "ledged and boarded timber door",
        thickness_mm: 22.0,
        mass_kg_m2: 12.0,
        equivalent_youngs_modulus_gpa: 2.0,
        poisson: 0.3,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 3.0,
        basis: Typical("all numbers from memory of the trade; joints between boards not counted"),
    },
    Door {
        id: "steel-garage-door",
        name: "single-skin steel up-and-over garage door",
        thickness_mm: 0.7,
        mass_kg_m2: 7.0,
        equivalent_youngs_modulus_gpa: 199.6,
        poisson: 0.28,
        loss_factor: 0.02,
        spread: METAL,
        measured_r_db: &[],
        transmittance_w_m2_k: 5.8,
        basis: Typical("all numbers from memory of the trade; ribs not counted"),
    },
    Door {
        id: "sectional-garage-door-40",
        name: "foam-cored sectional garage door, 40 mm",
        thickness_mm: 40.0,
        mass_kg_m2: 11.0,
        equivalent_youngs_modulus_gpa: 12.0,
        poisson: 0.3,
        loss_factor: 0.03,
        spread: LEAF,
        measured_r_db: &[],
        transmittance_w_m2_k: 1.2,
        basis: Typical("all numbers from memory of the trade"),
    },
];

const LEAF: PlateSpread = PlateSpread { density: 0.1, youngs_modulus: 0.4, loss_factor: 0.5 };
const METAL: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.1, loss_factor: 0.6 };

static SEALS: &[Seal] = &[
    Seal {
        id: "unsealed",
        name: "unsealed rebate, as usually hung",
        slit_width_mm: 1.2,
        depth_mm: 40.0,
        width_spread: 0.4,
        place: SealPlace::Opening,
        basis: Typical(
            "open width fitted to doors with and without seals in Harris (1995), Table 31.6, and Bies, Hansen & Howard (2017), Table 7.6",
        ),
    },
    Seal {
        id: "unsealed-threshold",
        name: "bare gap under a door",
        slit_width_mm: 6.0,
        depth_mm: 44.0,
        width_spread: 0.4,
        place: SealPlace::Opening,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "brush-seal",
        name: "brush seal",
        slit_width_mm: 0.9,
        depth_mm: 40.0,
        width_spread: 0.5,
        place: SealPlace::Opening,
        basis: Typical(
            "open width fitted to doors with and without seals in Harris (1995), Table 31.6, and Bies, Hansen & Howard (2017), Table 7.6",
        ),
    },
    Seal {
        id: "worn-seal",
        name: "worn or ill-adjusted seal",
        slit_width_mm: 0.7,
        depth_mm: 40.0,
        width_spread: 0.6,
        place: SealPlace::Opening,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "drop-seal",
        name: "drop-down threshold seal",
        slit_width_mm: 0.4,
        depth_mm: 40.0,
        width_spread: 0.6,
        place: SealPlace::Opening,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "compression-seal",
        name: "one compression seal all round",
        slit_width_mm: 0.5,
        depth_mm: 40.0,
        width_spread: 0.6,
        place: SealPlace::Opening,
        basis: Typical(
            "open width fitted to doors with and without seals in Harris (1995), Table 31.6, and Bies, Hansen & Howard (2017), Table 7.6",
        ),
    },
    Seal {
        id: "double-compression-seal",
        name: "two compression seals all round, adjusted",
        slit_width_mm: 0.1,
        depth_mm: 40.0,
        width_spread: 0.7,
        place: SealPlace::Opening,
        basis: Typical(
            "open width fitted to doors with and without seals in Harris (1995), Table 31.6, and Bies, Hansen & Howard (2017), Table 7.6",
        ),
    },
    Seal {
        id: "magnetic-seal",
        name: "magnetic seal all round, adjusted",
        slit_width_mm: 0.08,
        depth_mm: 40.0,
        width_spread: 0.7,
        place: SealPlace::Opening,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "open-joint",
        name: "open joint",
        slit_width_mm: 3.0,
        depth_mm: 15.0,
        width_spread: 0.4,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "foam-only",
        name: "gap filled with expanding foam only",
        slit_width_mm: 0.4,
        depth_mm: 60.0,
        width_spread: 0.6,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "dried-out-sealant",
        name: "cracked or dried-out filler",
        slit_width_mm: 0.3,
        depth_mm: 15.0,
        width_spread: 0.6,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "tape-and-fill",
        name: "taped and filled board joint",
        slit_width_mm: 0.01,
        depth_mm: 15.0,
        width_spread: 0.7,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "sealant",
        name: "flexible sealant to full depth of the gap",
        slit_width_mm: 0.005,
        depth_mm: 10.0,
        width_spread: 0.8,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
    Seal {
        id: "sealant-two-layers",
        name: "flexible sealant in each layer, joints staggered",
        slit_width_mm: 0.001,
        depth_mm: 25.0,
        width_spread: 0.8,
        place: SealPlace::Fixed,
        basis: Typical("equivalent width assumed; workmanship decides, measure where it matters"),
    },
];
