//! What the sheets of the catalogue are made of: one row a material, thickness left open.

use crate::{
    Basis::{Published, Typical},
    Edge, Format, PlateSpread, Sheet, SheetFamily, Vapour,
};

const fn size(length_mm: f64, width_mm: f64) -> Format {
    Format { length_mm, width_mm }
}

const GYPSUM_SIZES: &[Format] =
    &[size(2400.0, 1200.0), size(1800.0, 900.0), size(2700.0, 1200.0), size(3000.0, 1200.0)];
const HEAVY_GYPSUM_SIZES: &[Format] = &[size(2400.0, 1200.0), size(1800.0, 900.0), size(1200.0, 900.0)];
pub(crate) const PLANK_SIZES: &[Format] = &[size(2400.0, 600.0)];
const GYPSUM_FIBRE_SIZES: &[Format] = &[size(2400.0, 1200.0), size(1500.0, 1000.0)];
const SAND_FILLED_SIZES: &[Format] = &[size(1200.0, 800.0), size(1250.0, 625.0)];
const CEMENT_SIZES: &[Format] = &[size(2400.0, 1200.0), size(1200.0, 600.0)];
const WOOD_SIZES: &[Format] = &[size(2440.0, 1220.0)];
const SOFT_FIBRE_SIZES: &[Format] = &[size(2440.0, 1220.0), size(2500.0, 600.0)];
const FLOORING_SIZES: &[Format] = &[size(2400.0, 600.0)];
const BOARDING_SIZES: &[Format] = &[size(3000.0, 120.0), size(4800.0, 120.0)];
const METAL_SIZES: &[Format] = &[size(2500.0, 1250.0), size(2000.0, 1000.0)];
const ROLL_SIZES: &[Format] = &[size(3000.0, 1200.0)];

/// As foil 0.05 mm thick in EN ISO 10456, from memory: nothing gets through but at the joints.
const TIGHT: Vapour = Vapour::AirLayer { sd_m: 1500.0 };

// Published readings of one material differ: plasterboard 2.1 GPa (Bies, Hansen & Howard) to 4.1 GPa (Vigran),
// 650 to 860 kg/m³. The spreads are a judgement on those.
const GYPSUM: PlateSpread = PlateSpread { density: 0.04, youngs_modulus: 0.25, loss_factor: 0.3 };
const WOOD: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.2, loss_factor: 0.4 };
const BOARDING: PlateSpread = PlateSpread { density: 0.08, youngs_modulus: 0.4, loss_factor: 0.5 };
const MINERAL: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.25, loss_factor: 0.4 };
const METAL: PlateSpread = PlateSpread { density: 0.02, youngs_modulus: 0.03, loss_factor: 0.6 };
const LEAD_SHEET: PlateSpread = PlateSpread { density: 0.02, youngs_modulus: 0.15, loss_factor: 0.5 };
const LIMP: PlateSpread = PlateSpread { density: 0.05, youngs_modulus: 0.5, loss_factor: 0.4 };

pub(crate) const PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 680.0,
    youngs_modulus_gpa: 2.0273,
    along_over_across: 1.8,
    poisson: 0.3,
    loss_factor: 0.0125,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.21,
    vapour: Vapour::Factor { dry: 10.0, wet: 4.0 },
    formats: GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2, board of flue-gas and natural gypsum; loss in place \
         from Bies, Hansen & Howard (2017), Table C.1; conductivity and vapour factor from memory of EN ISO \
         10456, sizes common practice",
    ),
};

pub(crate) const NATURAL_PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 860.0,
    youngs_modulus_gpa: 1.7375,
    along_over_across: 1.8,
    poisson: 0.3,
    loss_factor: 0.0141,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 10.0, wet: 4.0 },
    formats: GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2, board of natural gypsum; loss in place from Bies, \
         Hansen & Howard (2017), Table C.1; conductivity and vapour factor from memory of EN ISO 10456, \
         sizes common practice",
    ),
};

pub(crate) const FIRE_PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 800.0,
    youngs_modulus_gpa: 2.9412,
    along_over_across: 1.8,
    poisson: 0.3,
    loss_factor: 0.0125,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 10.0, wet: 4.0 },
    formats: GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2, glass-fibre board (density, speed); loss factor taken \
         from plain board; loss in place from Bies, Hansen & Howard (2017), Table C.1; conductivity and \
         vapour factor from memory of EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const DENSE_PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 850.0,
    youngs_modulus_gpa: 3.125,
    along_over_across: 1.8,
    poisson: 0.3,
    loss_factor: 0.0125,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 10.0, wet: 4.0 },
    formats: HEAVY_GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical(
        "density from memory (EN 520 type D is 800 kg/m³ or more), speed of glass-fibre board in Hopkins \
         (2007) Table A2; loss in place from Bies, Hansen & Howard (2017), Table C.1; conductivity and \
         vapour factor from memory of EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const MOISTURE_PLASTERBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 720.0,
    youngs_modulus_gpa: 2.1465,
    along_over_across: 1.8,
    poisson: 0.3,
    loss_factor: 0.0125,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 10.0, wet: 4.0 },
    formats: GYPSUM_SIZES,
    edge: Edge::Tapered,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical(
        "density from memory, speed of plain board in Hopkins (2007) Table A2; conductivity and vapour \
         factor from memory of EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const GYPSUM_FIBREBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Gypsum,
    thickness_mm: 0.0,
    density_kg_m3: 1150.0,
    youngs_modulus_gpa: 3.8,
    along_over_across: 1.0,
    poisson: 0.3,
    loss_factor: 0.012,
    loss_factor_in_place: 0.05,
    spread: GYPSUM,
    conductivity_w_m_k: 0.32,
    vapour: Vapour::Factor { dry: 13.0, wet: 13.0 },
    formats: GYPSUM_FIBRE_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const SAND_FILLED: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::SandFilled,
    thickness_mm: 0.0,
    density_kg_m3: 1200.0,
    youngs_modulus_gpa: 0.3,
    along_over_across: 1.0,
    poisson: 0.3,
    loss_factor: 0.1,
    loss_factor_in_place: 0.15,
    spread: LIMP,
    conductivity_w_m_k: 0.17,
    vapour: Vapour::Factor { dry: 10.0, wet: 10.0 },
    formats: SAND_FILLED_SIZES,
    edge: Edge::Square,
    tape_cut_edges: true,
    combustible: true,
    basis: Typical(
        "mass from memory of the trade (about 18 kg/m² at 15 mm); stiffness and loss assumed (loose sand in \
         card)",
    ),
};

pub(crate) const CEMENT_PARTICLE: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Mineral,
    thickness_mm: 0.0,
    density_kg_m3: 1250.0,
    youngs_modulus_gpa: 4.5,
    along_over_across: 1.0,
    poisson: 0.25,
    loss_factor: 0.012,
    loss_factor_in_place: 0.05,
    spread: MINERAL,
    conductivity_w_m_k: 0.23,
    vapour: Vapour::Factor { dry: 50.0, wet: 30.0 },
    formats: CEMENT_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical(
        "density, stiffness and loss from memory; conductivity and vapour factor from memory of EN ISO 10456",
    ),
};

pub(crate) const FIBRE_CEMENT: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Mineral,
    thickness_mm: 0.0,
    density_kg_m3: 1500.0,
    youngs_modulus_gpa: 8.0,
    along_over_across: 1.0,
    poisson: 0.25,
    loss_factor: 0.01,
    loss_factor_in_place: 0.04,
    spread: MINERAL,
    conductivity_w_m_k: 0.35,
    vapour: Vapour::Factor { dry: 150.0, wet: 100.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const CALCIUM_SILICATE: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Mineral,
    thickness_mm: 0.0,
    density_kg_m3: 900.0,
    youngs_modulus_gpa: 3.5,
    along_over_across: 1.0,
    poisson: 0.25,
    loss_factor: 0.012,
    loss_factor_in_place: 0.05,
    spread: MINERAL,
    conductivity_w_m_k: 0.2,
    vapour: Vapour::Factor { dry: 12.0, wet: 6.0 },
    formats: GYPSUM_FIBRE_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const MAGNESIA: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Mineral,
    thickness_mm: 0.0,
    density_kg_m3: 1000.0,
    youngs_modulus_gpa: 5.0,
    along_over_across: 1.0,
    poisson: 0.25,
    loss_factor: 0.015,
    loss_factor_in_place: 0.05,
    spread: MINERAL,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 20.0, wet: 10.0 },
    formats: GYPSUM_FIBRE_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const OSB: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 590.0,
    youngs_modulus_gpa: 3.5462,
    along_over_across: 2.5,
    poisson: 0.3,
    loss_factor: 0.01,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.13,
    vapour: Vapour::Factor { dry: 50.0, wet: 30.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); loss in place as \
         plywood in Bies, Hansen & Howard (2017), Table C.1; conductivity and vapour factor from memory of \
         EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const BIRCH_PLYWOOD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 710.0,
    youngs_modulus_gpa: 9.5768,
    along_over_across: 1.4,
    poisson: 0.3,
    loss_factor: 0.016,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.17,
    vapour: Vapour::Factor { dry: 200.0, wet: 70.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2; loss in place from Bies, Hansen & Howard (2017), Table \
         C.1; conductivity and vapour factor from memory of EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const SOFTWOOD_PLYWOOD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 600.0,
    youngs_modulus_gpa: 8.3,
    along_over_across: 2.0,
    poisson: 0.3,
    loss_factor: 0.01,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.13,
    vapour: Vapour::Factor { dry: 200.0, wet: 70.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Published(
        "Bies, Hansen & Howard (2017), Table C.1, fir plywood (Poisson's ratio assumed); conductivity and \
         vapour factor from memory of EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const CHIPBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 760.0,
    youngs_modulus_gpa: 3.3473,
    along_over_across: 1.0,
    poisson: 0.3,
    loss_factor: 0.01,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.14,
    vapour: Vapour::Factor { dry: 50.0, wet: 15.0 },
    formats: FLOORING_SIZES,
    edge: Edge::TongueAndGroove,
    tape_cut_edges: false,
    combustible: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); loss in place as \
         plywood in Bies, Hansen & Howard (2017), Table C.1; conductivity and vapour factor from memory of \
         EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const MDF: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 760.0,
    youngs_modulus_gpa: 4.5325,
    along_over_across: 1.0,
    poisson: 0.3,
    loss_factor: 0.01,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.14,
    vapour: Vapour::Factor { dry: 20.0, wet: 12.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor an estimate there); loss in place as \
         plywood in Bies, Hansen & Howard (2017), Table C.1; conductivity and vapour factor from memory of \
         EN ISO 10456, sizes common practice",
    ),
};

pub(crate) const SOFTWOOD_BOARDING: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 480.0,
    youngs_modulus_gpa: 2.0,
    along_over_across: 20.0,
    poisson: 0.3,
    loss_factor: 0.015,
    loss_factor_in_place: 0.05,
    spread: BOARDING,
    conductivity_w_m_k: 0.13,
    vapour: Vapour::Factor { dry: 50.0, wet: 20.0 },
    formats: BOARDING_SIZES,
    edge: Edge::TongueAndGroove,
    tape_cut_edges: false,
    combustible: true,
    basis: Typical(
        "density from memory; stiffness the geometric mean of C24 along and across the grain (EN 338:2016); \
         vapour factor of solid wood from memory of EN ISO 10456, joints not counted",
    ),
};

pub(crate) const HARDBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Wood,
    thickness_mm: 0.0,
    density_kg_m3: 1000.0,
    youngs_modulus_gpa: 4.0,
    along_over_across: 1.0,
    poisson: 0.3,
    loss_factor: 0.015,
    loss_factor_in_place: 0.05,
    spread: WOOD,
    conductivity_w_m_k: 0.18,
    vapour: Vapour::Factor { dry: 30.0, wet: 20.0 },
    formats: WOOD_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const SOFT_FIBREBOARD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::SoftFibre,
    thickness_mm: 0.0,
    density_kg_m3: 270.0,
    youngs_modulus_gpa: 0.3,
    along_over_across: 1.0,
    poisson: 0.2,
    loss_factor: 0.03,
    loss_factor_in_place: 0.06,
    spread: LIMP,
    conductivity_w_m_k: 0.05,
    vapour: Vapour::Factor { dry: 5.0, wet: 3.0 },
    formats: SOFT_FIBRE_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Typical("all numbers from memory of the trade"),
};

pub(crate) const STEEL: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Metal,
    thickness_mm: 0.0,
    density_kg_m3: 7800.0,
    youngs_modulus_gpa: 199.6449,
    along_over_across: 1.0,
    poisson: 0.28,
    loss_factor: 0.0001,
    loss_factor_in_place: 0.01,
    spread: METAL,
    conductivity_w_m_k: 50.0,
    vapour: TIGHT,
    formats: METAL_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor its upper limit); loss in place from Bies, \
         Hansen & Howard (2017), Table C.1; conductivity from memory of EN ISO 10456",
    ),
};

pub(crate) const ALUMINIUM: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Metal,
    thickness_mm: 0.0,
    density_kg_m3: 2700.0,
    youngs_modulus_gpa: 62.1088,
    along_over_across: 1.0,
    poisson: 0.34,
    loss_factor: 0.001,
    loss_factor_in_place: 0.01,
    spread: METAL,
    conductivity_w_m_k: 160.0,
    vapour: TIGHT,
    formats: METAL_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Published(
        "Hopkins, Sound Insulation (2007), Table A2 (loss factor its upper limit); loss in place assumed as \
         steel; conductivity from memory of EN ISO 10456",
    ),
};

pub(crate) const LEAD: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Metal,
    thickness_mm: 0.0,
    density_kg_m3: 11340.0,
    youngs_modulus_gpa: 12.7,
    along_over_across: 1.0,
    poisson: 0.44,
    loss_factor: 0.015,
    loss_factor_in_place: 0.05,
    spread: LEAD_SHEET,
    conductivity_w_m_k: 35.0,
    vapour: TIGHT,
    formats: ROLL_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: false,
    basis: Typical(
        "stiffness from thickness times critical frequency 55 Hz m in Long, Architectural Acoustics, Table \
         9.1; density and loss from memory",
    ),
};

pub(crate) const BARRIER_MAT: Sheet = Sheet {
    id: "",
    name: "",
    family: SheetFamily::Barrier,
    thickness_mm: 0.0,
    density_kg_m3: 2000.0,
    youngs_modulus_gpa: 0.02,
    along_over_across: 1.0,
    poisson: 0.45,
    loss_factor: 0.2,
    loss_factor_in_place: 0.2,
    spread: LIMP,
    conductivity_w_m_k: 0.25,
    vapour: Vapour::Factor { dry: 20000.0, wet: 20000.0 },
    formats: ROLL_SIZES,
    edge: Edge::Square,
    tape_cut_edges: false,
    combustible: true,
    basis: Typical(
        "mass from memory of the trade (about 5 kg/m² at 2.5 mm); so limp that stiffness hardly counts",
    ),
};
