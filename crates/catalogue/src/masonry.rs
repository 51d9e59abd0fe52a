//! Bricks, blocks, concrete, and what is spread on them.

use serde::Serialize;

use crate::{
    Basis::{self, Published, Typical},
    Vapour,
    entry::entries,
};

/// A masonry, concrete, plaster or screed layer, one thickness of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
    /// Airflow resistivity of a bare porous wall, Pa s/m²; none for one that is tight.
    ///
    /// Of the order that makes a bare lightweight block wall 5 to 10 dB, a dense one 1 to 3 dB worse than a plastered one (common practice; the
    /// numbers typical, no source).
    pub fn bare_resistivity_pa_s_m2(&self) -> Option<f64> {
        self.porous_bare.then_some(if self.density_kg_m3 > 1700.0 { DENSE_PA_S_M2 } else { LIGHT_PA_S_M2 })
    }

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

const LIGHT_PA_S_M2: f64 = 75_000.0;
const DENSE_PA_S_M2: f64 = 200_000.0;

entries!(MASONRY: Masonry);

static MASONRY: &[Masonry] = &[
    at("brick-102", "brick 102 mm", 102.5, BRICK),
    at("brick-215", "brick 215 mm", 215.0, BRICK),
    at("brick-327", "brick 327 mm", 327.5, BRICK),
    at("engineering-brick-102", "engineering brick 102 mm", 102.5, ENGINEERING_BRICK),
    at("engineering-brick-215", "engineering brick 215 mm", 215.0, ENGINEERING_BRICK),
    at("aggregate-block-dense-75", "dense aggregate block 75 mm", 75.0, DENSE_BLOCK),
    at("aggregate-block-dense-100", "dense aggregate block 100 mm", 100.0, DENSE_BLOCK),
    at("aggregate-block-dense-140", "dense aggregate block 140 mm", 140.0, DENSE_BLOCK),
    at("aggregate-block-dense-190", "dense aggregate block 190 mm", 190.0, DENSE_BLOCK),
    at("aggregate-block-dense-215", "dense aggregate block 215 mm", 215.0, DENSE_BLOCK),
    at("aggregate-block-light-75", "lightweight aggregate block 75 mm", 75.0, LIGHT_BLOCK),
    at("aggregate-block-light-100", "lightweight aggregate block 100 mm", 100.0, LIGHT_BLOCK),
    at("aggregate-block-light-140", "lightweight aggregate block 140 mm", 140.0, LIGHT_BLOCK),
    at("aggregate-block-light-190", "lightweight aggregate block 190 mm", 190.0, LIGHT_BLOCK),
    at("aggregate-block-light-215", "lightweight aggregate block 215 mm", 215.0, LIGHT_BLOCK),
    at("aerated-block-75", "aerated concrete block 75 mm", 75.0, AERATED_BLOCK),
    at("aerated-block-100", "aerated concrete block 100 mm", 100.0, AERATED_BLOCK),
    at("aerated-block-140", "aerated concrete block 140 mm", 140.0, AERATED_BLOCK),
    at("aerated-block-150", "aerated concrete block 150 mm", 150.0, AERATED_BLOCK),
    at("aerated-block-200", "aerated concrete block 200 mm", 200.0, AERATED_BLOCK),
    at("aerated-block-215", "aerated concrete block 215 mm", 215.0, AERATED_BLOCK),
    at("aerated-block-300", "aerated concrete block 300 mm", 300.0, AERATED_BLOCK),
    at("aerated-block-365", "aerated concrete block 365 mm", 365.0, AERATED_BLOCK),
    at("calcium-silicate-block-100", "calcium silicate block 100 mm", 100.0, CALCIUM_SILICATE),
    at("calcium-silicate-block-150", "calcium silicate block 150 mm", 150.0, CALCIUM_SILICATE),
    at("calcium-silicate-block-175", "calcium silicate block 175 mm", 175.0, CALCIUM_SILICATE),
    at("calcium-silicate-block-200", "calcium silicate block 200 mm", 200.0, CALCIUM_SILICATE),
    at("calcium-silicate-block-240", "calcium silicate block 240 mm", 240.0, CALCIUM_SILICATE),
    at("hollow-clay-block-100", "hollow clay block 100 mm", 100.0, HOLLOW_CLAY),
    at("hollow-clay-block-140", "hollow clay block 140 mm", 140.0, HOLLOW_CLAY),
    at("hollow-clay-block-200", "hollow clay block 200 mm", 200.0, HOLLOW_CLAY),
    at("stone-300", "stone 300 mm", 300.0, STONE),
    at("stone-450", "stone 450 mm", 450.0, STONE),
    at("concrete-75", "concrete 75 mm", 75.0, CONCRETE),
    at("concrete-100", "concrete 100 mm", 100.0, CONCRETE),
    at("concrete-150", "concrete 150 mm", 150.0, CONCRETE),
    at("concrete-200", "concrete 200 mm", 200.0, CONCRETE),
    at("concrete-220", "concrete 220 mm", 220.0, CONCRETE),
    at("concrete-250", "concrete 250 mm", 250.0, CONCRETE),
    at("gypsum-plaster-3", "gypsum plaster 3 mm", 3.0, GYPSUM_PLASTER),
    at("gypsum-plaster-13", "gypsum plaster 13 mm", 13.0, GYPSUM_PLASTER),
    at("render-10", "cement render 10 mm", 10.0, CEMENT_RENDER),
    at("render-13", "cement render 13 mm", 13.0, CEMENT_RENDER),
    at("render-15", "cement render 15 mm", 15.0, CEMENT_RENDER),
    at("render-20", "cement render 20 mm", 20.0, CEMENT_RENDER),
    at("lime-plaster-20", "lime plaster 20 mm", 20.0, LIME_PLASTER),
    at("screed-50", "screed 50 mm", 50.0, SCREED),
    at("screed-65", "screed 65 mm", 65.0, SCREED),
    at("screed-75", "screed 75 mm", 75.0, SCREED),
];

/// A material at one thickness.
const fn at(id: &'static str, name: &'static str, thickness_mm: f64, material: Masonry) -> Masonry {
    Masonry { id, name, thickness_mm, ..material }
}

const FIRM: MasonrySpread = MasonrySpread { density: 0.04, longitudinal_speed: 0.08, loss_factor: 0.4 };
const WIDE: MasonrySpread = MasonrySpread { density: 0.08, longitudinal_speed: 0.12, loss_factor: 0.5 };
const AERATED: MasonrySpread = MasonrySpread { density: 0.12, longitudinal_speed: 0.09, loss_factor: 0.4 };

const BRICK: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Brick,
    thickness_mm: 0.0,
    density_kg_m3: 1750.0,
    longitudinal_speed_m_s: 2700.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: WIDE,
    conductivity_w_m_k: 0.77,
    vapour: Vapour::Factor { dry: 16.0, wet: 10.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (density the middle of 1500 to 2000, loss factor an \
         estimate there); conductivity and vapour factor from memory of EN ISO 10456",
    ),
};

const ENGINEERING_BRICK: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Brick,
    thickness_mm: 0.0,
    density_kg_m3: 2200.0,
    longitudinal_speed_m_s: 3000.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: WIDE,
    conductivity_w_m_k: 1.0,
    vapour: Vapour::Factor { dry: 50.0, wet: 50.0 },
    porous_bare: false,
    basis: Typical("all numbers from memory of the trade"),
};

const DENSE_BLOCK: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Block,
    thickness_mm: 0.0,
    density_kg_m3: 2000.0,
    longitudinal_speed_m_s: 3200.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: FIRM,
    conductivity_w_m_k: 1.3,
    vapour: Vapour::Factor { dry: 15.0, wet: 10.0 },
    porous_bare: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); conductivity and \
         vapour factor from memory",
    ),
};

const LIGHT_BLOCK: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Block,
    thickness_mm: 0.0,
    density_kg_m3: 1400.0,
    longitudinal_speed_m_s: 2200.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: FIRM,
    conductivity_w_m_k: 0.5,
    vapour: Vapour::Factor { dry: 10.0, wet: 6.0 },
    porous_bare: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); conductivity and \
         vapour factor from memory",
    ),
};

const AERATED_BLOCK: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Block,
    thickness_mm: 0.0,
    density_kg_m3: 600.0,
    longitudinal_speed_m_s: 1900.0,
    poisson: 0.2,
    loss_factor: 0.0125,
    spread: AERATED,
    conductivity_w_m_k: 0.16,
    vapour: Vapour::Factor { dry: 10.0, wet: 6.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (density the middle of 400 to 800, speed 1600 to 2300 \
         there); conductivity and vapour factor from memory of EN ISO 10456",
    ),
};

const CALCIUM_SILICATE: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Block,
    thickness_mm: 0.0,
    density_kg_m3: 1800.0,
    longitudinal_speed_m_s: 2500.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: FIRM,
    conductivity_w_m_k: 1.0,
    vapour: Vapour::Factor { dry: 20.0, wet: 15.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2; conductivity and vapour factor from memory of EN ISO \
         10456",
    ),
};

const HOLLOW_CLAY: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Block,
    thickness_mm: 0.0,
    density_kg_m3: 900.0,
    longitudinal_speed_m_s: 2000.0,
    poisson: 0.2,
    loss_factor: 0.015,
    spread: WIDE,
    conductivity_w_m_k: 0.3,
    vapour: Vapour::Factor { dry: 10.0, wet: 5.0 },
    porous_bare: false,
    basis: Typical(
        "all numbers from memory of the trade; thin hollow blocks bend differently along and across",
    ),
};

const STONE: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Stone,
    thickness_mm: 0.0,
    density_kg_m3: 2300.0,
    longitudinal_speed_m_s: 3000.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: WIDE,
    conductivity_w_m_k: 1.7,
    vapour: Vapour::Factor { dry: 50.0, wet: 40.0 },
    porous_bare: false,
    basis: Typical("all numbers from memory of the trade (sandstone and limestone in mortar)"),
};

const CONCRETE: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Concrete,
    thickness_mm: 0.0,
    density_kg_m3: 2200.0,
    longitudinal_speed_m_s: 3800.0,
    poisson: 0.2,
    loss_factor: 0.005,
    spread: FIRM,
    conductivity_w_m_k: 1.65,
    vapour: Vapour::Factor { dry: 120.0, wet: 70.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); conductivity and \
         vapour factor from memory of EN ISO 10456",
    ),
};

const GYPSUM_PLASTER: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Coat,
    thickness_mm: 0.0,
    density_kg_m3: 650.0,
    longitudinal_speed_m_s: 1610.0,
    poisson: 0.2,
    loss_factor: 0.012,
    spread: WIDE,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 10.0, wet: 6.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); conductivity and \
         vapour factor from memory of EN ISO 10456",
    ),
};

const CEMENT_RENDER: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Coat,
    thickness_mm: 0.0,
    density_kg_m3: 1600.0,
    longitudinal_speed_m_s: 2450.0,
    poisson: 0.2,
    loss_factor: 0.013,
    spread: FIRM,
    conductivity_w_m_k: 1.0,
    vapour: Vapour::Factor { dry: 10.0, wet: 6.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2, mortar; conductivity and vapour factor from memory of \
         EN ISO 10456",
    ),
};

const LIME_PLASTER: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Coat,
    thickness_mm: 0.0,
    density_kg_m3: 1600.0,
    longitudinal_speed_m_s: 1700.0,
    poisson: 0.2,
    loss_factor: 0.015,
    spread: WIDE,
    conductivity_w_m_k: 0.8,
    vapour: Vapour::Factor { dry: 10.0, wet: 6.0 },
    porous_bare: false,
    basis: Typical(
        "stiffness and loss from memory of the trade; conductivity and vapour factor from memory of EN ISO \
         10456",
    ),
};

const SCREED: Masonry = Masonry {
    id: "",
    name: "",
    family: MasonryFamily::Screed,
    thickness_mm: 0.0,
    density_kg_m3: 2000.0,
    longitudinal_speed_m_s: 3250.0,
    poisson: 0.2,
    loss_factor: 0.01,
    spread: FIRM,
    conductivity_w_m_k: 1.4,
    vapour: Vapour::Factor { dry: 50.0, wet: 50.0 },
    porous_bare: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); conductivity and \
         vapour factor from memory",
    ),
};
