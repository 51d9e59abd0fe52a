//! What holds boards: studs, clips, bars, wall ties.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A stud.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stud {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What it is made of.
    pub material: StudMaterial,
    /// Depth across the wall, mm.
    pub depth_mm: f64,
    /// Width of the face the board bears on, mm.
    pub width_mm: f64,
    /// Compliance of the stud between its faces per metre of its length, m²/N; 0 is rigid.
    pub compliance_m2_n: f64,
    /// Relative standard uncertainty of the compliance.
    pub compliance_spread: f64,
    /// Mass, kg/m.
    pub mass_kg_m: f64,
    /// Thermal conductivity of its material, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a stud is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StudMaterial {
    /// Sawn or regularised softwood.
    Timber,
    /// Cold-rolled steel channel.
    Steel,
}

/// A clip or hanger that carries a bar. No working load: that is the maker's to declare.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Clip {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// From the face of the joist or wall to the back of the bar, mm.
    pub drop_mm: f64,
    /// Dynamic stiffness along the pull, N/m.
    pub stiffness_n_m: f64,
    /// Relative standard uncertainty of the stiffness.
    pub stiffness_spread: f64,
    /// Loss factor.
    pub loss_factor: f64,
    /// Whether it isolates at all.
    pub resilient: bool,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// A furring bar, channel or batten that boards are screwed to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bar {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What it is.
    pub family: BarFamily,
    /// Width of the face the board bears on, mm.
    pub width_mm: f64,
    /// Depth from the back to the face, mm.
    pub depth_mm: f64,
    /// Length it is commonly sold in, mm.
    pub stock_length_mm: f64,
    /// Mass, kg/m.
    pub mass_kg_m: f64,
    /// Compliance of a line bridge through the bar per metre of its length, m²/N; 0 where the bar itself is rigid.
    pub compliance_m2_n: f64,
    /// Relative standard uncertainty of the compliance.
    pub compliance_spread: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a bar is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BarFamily {
    /// Hat-shaped furring bar, carried by clips.
    Furring,
    /// Channel with one sprung flange, screwed to joists or studs.
    ResilientChannel,
    /// Primary channel that carries furring bars.
    Primary,
    /// Timber batten.
    Batten,
}

/// A wall tie between two leaves of masonry.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tie {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Dynamic stiffness of one tie, N/m.
    pub stiffness_n_m: f64,
    /// Relative standard uncertainty of the stiffness.
    pub stiffness_spread: f64,
    /// Ties per square metre as usually built.
    pub number_per_m2: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(STUDS: Stud);
entries!(CLIPS: Clip);
entries!(BARS: Bar);
entries!(TIES: Tie);

static STUDS: &[Stud] = &[
    Stud {
        id: "timber-stud-38x63",
        name: "timber stud 38 × 63 mm",
        material: StudMaterial::Timber,
        depth_mm: 63.0,
        width_mm: 38.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 1.01,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-38x89",
        name: "timber stud 38 × 89 mm",
        material: StudMaterial::Timber,
        depth_mm: 89.0,
        width_mm: 38.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 1.42,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x75",
        name: "timber stud 47 × 75 mm",
        material: StudMaterial::Timber,
        depth_mm: 75.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 1.48,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x100",
        name: "timber stud 47 × 100 mm",
        material: StudMaterial::Timber,
        depth_mm: 100.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 1.97,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x125",
        name: "timber stud 47 × 125 mm",
        material: StudMaterial::Timber,
        depth_mm: 125.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 2.47,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x150",
        name: "timber stud 47 × 150 mm",
        material: StudMaterial::Timber,
        depth_mm: 150.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 2.96,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x175",
        name: "timber stud 47 × 175 mm",
        material: StudMaterial::Timber,
        depth_mm: 175.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 3.45,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "timber-stud-47x200",
        name: "timber stud 47 × 200 mm",
        material: StudMaterial::Timber,
        depth_mm: 200.0,
        width_mm: 47.0,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        mass_kg_m: 3.95,
        conductivity_w_m_k: 0.13,
        basis: Typical("sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid"),
    },
    Stud {
        id: "steel-stud-48",
        name: "light steel stud 48 mm",
        material: StudMaterial::Steel,
        depth_mm: 48.0,
        width_mm: 35.0,
        compliance_m2_n: 1e-6,
        compliance_spread: 0.5,
        mass_kg_m: 0.6,
        conductivity_w_m_k: 50.0,
        basis: Typical(STEEL_STUD),
    },
    Stud {
        id: "steel-stud-60",
        name: "light steel stud 60 mm",
        material: StudMaterial::Steel,
        depth_mm: 60.0,
        width_mm: 35.0,
        compliance_m2_n: 1e-6,
        compliance_spread: 0.5,
        mass_kg_m: 0.66,
        conductivity_w_m_k: 50.0,
        basis: Typical(STEEL_STUD),
    },
    Stud {
        id: "steel-stud-70",
        name: "light steel stud 70 mm",
        material: StudMaterial::Steel,
        depth_mm: 70.0,
        width_mm: 35.0,
        compliance_m2_n: 1e-6,
        compliance_spread: 0.5,
        mass_kg_m: 0.72,
        conductivity_w_m_k: 50.0,
        basis: Typical(STEEL_STUD),
    },
    Stud {
        id: "steel-stud-92",
        name: "light steel stud 92 mm",
        material: StudMaterial::Steel,
        depth_mm: 92.0,
        width_mm: 35.0,
        compliance_m2_n: 1e-6,
        compliance_spread: 0.5,
        mass_kg_m: 0.83,
        conductivity_w_m_k: 50.0,
        basis: Typical(STEEL_STUD),
    },
    Stud {
        id: "steel-stud-146",
        name: "light steel stud 146 mm",
        material: StudMaterial::Steel,
        depth_mm: 146.0,
        width_mm: 35.0,
        compliance_m2_n: 1e-6,
        compliance_spread: 0.5,
        mass_kg_m: 1.1,
        conductivity_w_m_k: 50.0,
        basis: Typical(STEEL_STUD),
    },
    Stud {
        id: "heavy-steel-stud-92",
        name: "steel stud 92 mm, 0.9 mm metal",
        material: StudMaterial::Steel,
        depth_mm: 92.0,
        width_mm: 41.0,
        compliance_m2_n: 4e-7,
        compliance_spread: 0.5,
        mass_kg_m: 1.35,
        conductivity_w_m_k: 50.0,
        basis: Typical("compliance assumed well under that of a light stud; mass from memory of the trade"),
    },
    Stud {
        id: "heavy-steel-stud-146",
        name: "steel stud 146 mm, 0.9 mm metal",
        material: StudMaterial::Steel,
        depth_mm: 146.0,
        width_mm: 41.0,
        compliance_m2_n: 4e-7,
        compliance_spread: 0.5,
        mass_kg_m: 1.8,
        conductivity_w_m_k: 50.0,
        basis: Typical("compliance assumed well under that of a light stud; mass from memory of the trade"),
    },
];

const STEEL_STUD: &str = "compliance 1e-6 m²/N per metre from memory of Davy's papers, at low and middle \
                          frequencies: it falls with frequency, differs with metal thickness; mass from \
                          memory of the trade";

static CLIPS: &[Clip] = &[
    Clip {
        id: "resilient-clip",
        name: "rubber isolation clip",
        drop_mm: 25.0,
        stiffness_n_m: 80000.0,
        stiffness_spread: 0.4,
        loss_factor: 0.1,
        resilient: true,
        basis: Typical(CLIP),
    },
    Clip {
        id: "resilient-clip-low",
        name: "low rubber isolation clip",
        drop_mm: 15.0,
        stiffness_n_m: 120000.0,
        stiffness_spread: 0.4,
        loss_factor: 0.1,
        resilient: true,
        basis: Typical(CLIP),
    },
    Clip {
        id: "resilient-clip-soft",
        name: "soft rubber isolation clip",
        drop_mm: 38.0,
        stiffness_n_m: 45000.0,
        stiffness_spread: 0.4,
        loss_factor: 0.12,
        resilient: true,
        basis: Typical(CLIP),
    },
    Clip {
        id: "rubber-hanger",
        name: "rubber hanger",
        drop_mm: 100.0,
        stiffness_n_m: 60000.0,
        stiffness_spread: 0.4,
        loss_factor: 0.1,
        resilient: true,
        basis: Typical(CLIP),
    },
    Clip {
        id: "spring-hanger",
        name: "spring and rubber hanger",
        drop_mm: 140.0,
        stiffness_n_m: 12000.0,
        stiffness_spread: 0.3,
        loss_factor: 0.04,
        resilient: true,
        basis: Typical(CLIP),
    },
    Clip {
        id: "steel-bracket",
        name: "rigid steel bracket",
        drop_mm: 25.0,
        stiffness_n_m: 5000000.0,
        stiffness_spread: 0.5,
        loss_factor: 0.02,
        resilient: false,
        basis: Typical("stiffness assumed, high enough to count as rigid"),
    },
];

const CLIP: &str = "stiffness and loss assumed, about 8 to 15 Hz under the usual load; take the maker's \
                    dynamic stiffness and working load";

static BARS: &[Bar] = &[
    Bar {
        id: "furring-bar-22",
        name: "hat-shaped furring bar, 22 mm deep",
        family: BarFamily::Furring,
        width_mm: 34.0,
        depth_mm: 22.0,
        stock_length_mm: 3600.0,
        mass_kg_m: 0.5,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(STEEL_BAR),
    },
    Bar {
        id: "furring-bar-16",
        name: "hat-shaped furring bar, 16 mm deep",
        family: BarFamily::Furring,
        width_mm: 34.0,
        depth_mm: 16.0,
        stock_length_mm: 3600.0,
        mass_kg_m: 0.42,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(STEEL_BAR),
    },
    Bar {
        id: "furring-bar-26",
        name: "wide furring bar, 26 mm deep",
        family: BarFamily::Furring,
        width_mm: 50.0,
        depth_mm: 26.0,
        stock_length_mm: 3600.0,
        mass_kg_m: 0.55,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(STEEL_BAR),
    },
    Bar {
        id: "furring-bar-27",
        name: "furring bar, 60 mm wide, 27 mm deep",
        family: BarFamily::Furring,
        width_mm: 60.0,
        depth_mm: 27.0,
        stock_length_mm: 4000.0,
        mass_kg_m: 0.6,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(STEEL_BAR),
    },
    Bar {
        id: "resilient-channel-16",
        name: "resilient channel, 16 mm deep",
        family: BarFamily::ResilientChannel,
        width_mm: 38.0,
        depth_mm: 16.0,
        stock_length_mm: 3000.0,
        mass_kg_m: 0.32,
        compliance_m2_n: 5e-6,
        compliance_spread: 0.6,
        basis: Typical(
            "compliance assumed, between tests it differs widely (a published survey of ten channels in \
             more than 120 tests found significant spread); the rest from memory",
        ),
    },
    Bar {
        id: "resilient-channel-13",
        name: "resilient channel, 13 mm deep",
        family: BarFamily::ResilientChannel,
        width_mm: 34.0,
        depth_mm: 13.0,
        stock_length_mm: 3000.0,
        mass_kg_m: 0.3,
        compliance_m2_n: 4e-6,
        compliance_spread: 0.6,
        basis: Typical(
            "compliance assumed, between tests it differs widely (a published survey of ten channels in \
             more than 120 tests found significant spread); the rest from memory",
        ),
    },
    Bar {
        id: "primary-channel-45",
        name: "primary channel, 45 mm deep",
        family: BarFamily::Primary,
        width_mm: 15.0,
        depth_mm: 45.0,
        stock_length_mm: 3600.0,
        mass_kg_m: 0.6,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(STEEL_BAR),
    },
    Bar {
        id: "batten-38x19",
        name: "timber batten 38 × 19 mm",
        family: BarFamily::Batten,
        width_mm: 38.0,
        depth_mm: 19.0,
        stock_length_mm: 4800.0,
        mass_kg_m: 0.3,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(
            "sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid; length from memory \
             of the trade",
        ),
    },
    Bar {
        id: "batten-50x25",
        name: "timber batten 50 × 25 mm",
        family: BarFamily::Batten,
        width_mm: 50.0,
        depth_mm: 25.0,
        stock_length_mm: 4800.0,
        mass_kg_m: 0.53,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(
            "sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid; length from memory \
             of the trade",
        ),
    },
    Bar {
        id: "batten-38x38",
        name: "timber batten 38 × 38 mm",
        family: BarFamily::Batten,
        width_mm: 38.0,
        depth_mm: 38.0,
        stock_length_mm: 4800.0,
        mass_kg_m: 0.61,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(
            "sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid; length from memory \
             of the trade",
        ),
    },
    Bar {
        id: "batten-50x50",
        name: "timber batten 50 × 50 mm",
        family: BarFamily::Batten,
        width_mm: 50.0,
        depth_mm: 50.0,
        stock_length_mm: 4800.0,
        mass_kg_m: 1.05,
        compliance_m2_n: 0.0,
        compliance_spread: 0.0,
        basis: Typical(
            "sawn softwood of 420 kg/m³ (C24 mean density, EN 338:2016), taken as rigid; length from memory \
             of the trade",
        ),
    },
];

const STEEL_BAR: &str = "sizes and mass from memory of the trade, stock length the usual one";

static TIES: &[Tie] = &[
    Tie {
        id: "wire-tie",
        name: "light wire tie, type A",
        stiffness_n_m: 1900000.0,
        stiffness_spread: 0.3,
        number_per_m2: 2.5,
        basis: Typical(
            "from memory of the English guidance on resistance to sound: type A under 4.8 MN/m³ at 2.5 \
             ties/m²",
        ),
    },
    Tie {
        id: "stiff-tie",
        name: "heavy strip tie, type B",
        stiffness_n_m: 45000000.0,
        stiffness_spread: 0.4,
        number_per_m2: 2.5,
        basis: Typical(
            "from memory of the English guidance on resistance to sound: type B under 113 MN/m³ at 2.5 \
             ties/m²",
        ),
    },
    Tie {
        id: "resilient-tie",
        name: "resilient wall tie for linings",
        stiffness_n_m: 300000.0,
        stiffness_spread: 0.5,
        number_per_m2: 2.5,
        basis: Typical("stiffness assumed"),
    },
];
