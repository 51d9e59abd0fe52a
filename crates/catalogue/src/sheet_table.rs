//! The boards and other sheets of the catalogue.

use crate::{
    Basis::Typical,
    Edge, Sheet, SheetFamily,
    sheet_material::{
        ALUMINIUM, BARRIER_MAT, BIRCH_PLYWOOD, CALCIUM_SILICATE, CEMENT_PARTICLE, CHIPBOARD,
        DENSE_PLASTERBOARD, FIBRE_CEMENT, FIRE_PLASTERBOARD, GYPSUM_FIBREBOARD, HARDBOARD, LEAD, MAGNESIA,
        MDF, MOISTURE_PLASTERBOARD, NATURAL_PLASTERBOARD, OSB, PLANK_SIZES, PLASTERBOARD, SAND_FILLED,
        SOFT_FIBREBOARD, SOFTWOOD_BOARDING, SOFTWOOD_PLYWOOD, STEEL,
    },
};

pub(crate) static SHEETS: &[Sheet] = &[
    at("plasterboard-9.5", "plasterboard 9.5 mm", 9.5, PLASTERBOARD),
    at("plasterboard-12.5", "plasterboard 12.5 mm", 12.5, PLASTERBOARD),
    at("plasterboard-15", "plasterboard 15 mm", 15.0, PLASTERBOARD),
    Sheet {
        formats: PLANK_SIZES,
        edge: Edge::Square,
        ..at("plasterboard-19", "plasterboard plank 19 mm", 19.0, PLASTERBOARD)
    },
    at(
        "natural-gypsum-plasterboard-12.5",
        "plasterboard of natural gypsum 12.5 mm",
        12.5,
        NATURAL_PLASTERBOARD,
    ),
    at("moisture-plasterboard-12.5", "moisture-resistant plasterboard 12.5 mm", 12.5, MOISTURE_PLASTERBOARD),
    at("moisture-plasterboard-15", "moisture-resistant plasterboard 15 mm", 15.0, MOISTURE_PLASTERBOARD),
    at("fire-plasterboard-12.5", "fire-resistant plasterboard 12.5 mm", 12.5, FIRE_PLASTERBOARD),
    at("fire-plasterboard-15", "fire-resistant plasterboard 15 mm", 15.0, FIRE_PLASTERBOARD),
    at("dense-plasterboard-12.5", "dense plasterboard 12.5 mm", 12.5, DENSE_PLASTERBOARD),
    at("dense-plasterboard-15", "dense plasterboard 15 mm", 15.0, DENSE_PLASTERBOARD),
    at("gypsum-fibreboard-10", "gypsum fibreboard 10 mm", 10.0, GYPSUM_FIBREBOARD),
    at("gypsum-fibreboard-12.5", "gypsum fibreboard 12.5 mm", 12.5, GYPSUM_FIBREBOARD),
    at("gypsum-fibreboard-15", "gypsum fibreboard 15 mm", 15.0, GYPSUM_FIBREBOARD),
    at("sand-filled-board-10", "sand-filled board 10 mm", 10.0, SAND_FILLED),
    at("sand-filled-board-15", "sand-filled board 15 mm", 15.0, SAND_FILLED),
    at("cement-particleboard-12", "cement-bonded particleboard 12 mm", 12.0, CEMENT_PARTICLE),
    at("cement-particleboard-18", "cement-bonded particleboard 18 mm", 18.0, CEMENT_PARTICLE),
    at("fibre-cement-board-6", "fibre-cement board 6 mm", 6.0, FIBRE_CEMENT),
    at("fibre-cement-board-9", "fibre-cement board 9 mm", 9.0, FIBRE_CEMENT),
    at("fibre-cement-board-12", "fibre-cement board 12 mm", 12.0, FIBRE_CEMENT),
    at("calcium-silicate-board-9", "calcium silicate board 9 mm", 9.0, CALCIUM_SILICATE),
    at("calcium-silicate-board-12", "calcium silicate board 12 mm", 12.0, CALCIUM_SILICATE),
    at("calcium-silicate-board-15", "calcium silicate board 15 mm", 15.0, CALCIUM_SILICATE),
    at("magnesia-board-9", "magnesia board 9 mm", 9.0, MAGNESIA),
    at("magnesia-board-12", "magnesia board 12 mm", 12.0, MAGNESIA),
    at("osb-9", "oriented strand board 9 mm", 9.0, OSB),
    at("osb-11", "oriented strand board 11 mm", 11.0, OSB),
    at("osb-15", "oriented strand board 15 mm", 15.0, OSB),
    at("osb-18", "oriented strand board 18 mm", 18.0, OSB),
    at("osb-22", "oriented strand board 22 mm", 22.0, OSB),
    at("birch-plywood-6", "birch plywood 6 mm", 6.0, BIRCH_PLYWOOD),
    at("birch-plywood-9", "birch plywood 9 mm", 9.0, BIRCH_PLYWOOD),
    at("birch-plywood-12", "birch plywood 12 mm", 12.0, BIRCH_PLYWOOD),
    at("birch-plywood-18", "birch plywood 18 mm", 18.0, BIRCH_PLYWOOD),
    at("birch-plywood-24", "birch plywood 24 mm", 24.0, BIRCH_PLYWOOD),
    at("plywood-6", "softwood plywood 6 mm", 6.0, SOFTWOOD_PLYWOOD),
    at("plywood-9", "softwood plywood 9 mm", 9.0, SOFTWOOD_PLYWOOD),
    at("plywood-12", "softwood plywood 12 mm", 12.0, SOFTWOOD_PLYWOOD),
    at("plywood-18", "softwood plywood 18 mm", 18.0, SOFTWOOD_PLYWOOD),
    at("plywood-25", "softwood plywood 25 mm", 25.0, SOFTWOOD_PLYWOOD),
    at("chipboard-18", "flooring chipboard 18 mm", 18.0, CHIPBOARD),
    at("chipboard-22", "flooring chipboard 22 mm", 22.0, CHIPBOARD),
    at("mdf-6", "medium-density fibreboard 6 mm", 6.0, MDF),
    at("mdf-9", "medium-density fibreboard 9 mm", 9.0, MDF),
    at("mdf-12", "medium-density fibreboard 12 mm", 12.0, MDF),
    at("mdf-18", "medium-density fibreboard 18 mm", 18.0, MDF),
    at("mdf-25", "medium-density fibreboard 25 mm", 25.0, MDF),
    at("softwood-boarding-14", "softwood boarding, tongue and groove 14 mm", 14.0, SOFTWOOD_BOARDING),
    at("softwood-boarding-19", "softwood boarding, tongue and groove 19 mm", 19.0, SOFTWOOD_BOARDING),
    at("softwood-boarding-25", "softwood boarding, tongue and groove 25 mm", 25.0, SOFTWOOD_BOARDING),
    at("hardboard-3", "hardboard 3 mm", 3.0, HARDBOARD),
    at("hardboard-6", "hardboard 6 mm", 6.0, HARDBOARD),
    at("soft-fibreboard-12", "soft wood fibreboard 12 mm", 12.0, SOFT_FIBREBOARD),
    at("soft-fibreboard-18", "soft wood fibreboard 18 mm", 18.0, SOFT_FIBREBOARD),
    at("soft-fibreboard-22", "soft wood fibreboard 22 mm", 22.0, SOFT_FIBREBOARD),
    at("steel-sheet-0.5", "steel sheet 0.5 mm", 0.5, STEEL),
    at("steel-sheet-0.7", "steel sheet 0.7 mm", 0.7, STEEL),
    at("steel-sheet-1", "steel sheet 1 mm", 1.0, STEEL),
    at("steel-sheet-1.5", "steel sheet 1.5 mm", 1.5, STEEL),
    at("steel-sheet-2", "steel sheet 2 mm", 2.0, STEEL),
    at("steel-sheet-3", "steel sheet 3 mm", 3.0, STEEL),
    at("aluminium-sheet-0.7", "aluminium sheet 0.7 mm", 0.7, ALUMINIUM),
    at("aluminium-sheet-1", "aluminium sheet 1 mm", 1.0, ALUMINIUM),
    at("aluminium-sheet-2", "aluminium sheet 2 mm", 2.0, ALUMINIUM),
    at("lead-sheet-1.32", "lead sheet 1.32 mm", 1.32, LEAD),
    at("lead-sheet-1.8", "lead sheet 1.8 mm", 1.8, LEAD),
    at("lead-sheet-2.24", "lead sheet 2.24 mm", 2.24, LEAD),
    at("barrier-mat-2.5", "limp barrier mat 2.5 mm", 2.5, BARRIER_MAT),
    at("barrier-mat-5", "limp barrier mat 5 mm", 5.0, BARRIER_MAT),
    profiled("profiled-steel-20-0.5", "profiled steel sheet, ribs 20 mm, steel 0.5 mm", 0.5, (1.15, 2900.0)),
    profiled("profiled-steel-35-0.7", "profiled steel deck, ribs 35 mm, steel 0.7 mm", 0.7, (1.25, 4500.0)),
    profiled(
        "profiled-steel-100-0.9",
        "profiled steel deck, ribs 100 mm, steel 0.9 mm",
        0.9,
        (1.5, 22_000.0),
    ),
];

/// Steel in ribs: mass over that of the plain sheet, and stiffness along the ribs over that of the plain sheet. A trapezoid of height h with
/// a share s of its sheet in each flange bends with about `12 s (h/2)² · 2/t²` of it: s = 0.3 (typical, no source).
const fn profiled(
    id: &'static str,
    name: &'static str,
    thickness_mm: f64,
    (mass, stiffness): (f64, f64),
) -> Sheet {
    Sheet {
        id,
        name,
        thickness_mm,
        family: SheetFamily::Profiled,
        density_kg_m3: STEEL.density_kg_m3 * mass,
        along_over_across: stiffness,
        basis: Typical(
            "steel: Hopkins, Sound Insulation (2007), Table A2; mass and stiffness of the ribs from their shape, \
             typical",
        ),
        ..STEEL
    }
}

/// A material at one thickness.
const fn at(id: &'static str, name: &'static str, thickness_mm: f64, material: Sheet) -> Sheet {
    Sheet { id, name, thickness_mm, ..material }
}
