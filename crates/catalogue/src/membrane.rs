//! Felts, foils and sheets that count for vapour and weight, not for sound.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A membrane as it comes on the roll.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Membrane {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Mass, kg/m².
    pub mass_kg_m2: f64,
    /// Equivalent air layer thickness for vapour, m.
    pub sd_m: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// What it is for.
    pub job: MembraneJob,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What a membrane is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MembraneJob {
    /// Keeps rain out, lets little vapour through.
    RoofCovering,
    /// Keeps rain and wind out, lets vapour through.
    Breather,
    /// Keeps indoor vapour out of the construction.
    VapourControl,
    /// Keeps ground damp out.
    DampProof,
}

entries!(MEMBRANES: Membrane);

static MEMBRANES: &[Membrane] = &[
    Membrane {
        id: "felt-3-layer",
        name: "bituminous felt, three layers",
        thickness_mm: 10.0,
        mass_kg_m2: 12.0,
        sd_m: 500.0,
        conductivity_w_m_k: 0.23,
        job: MembraneJob::RoofCovering,
        basis: Typical(
            "vapour factor 50 000 and conductivity 0.23 for bitumen sheet stand in the Spanish building \
             code's catalogue (secondary); mass and thickness from memory",
        ),
    },
    Membrane {
        id: "felt-2-layer",
        name: "bituminous felt, two layers",
        thickness_mm: 7.0,
        mass_kg_m2: 8.5,
        sd_m: 350.0,
        conductivity_w_m_k: 0.23,
        job: MembraneJob::RoofCovering,
        basis: Typical(
            "vapour factor 50 000 and conductivity 0.23 for bitumen sheet stand in the Spanish building \
             code's catalogue (secondary); mass and thickness from memory",
        ),
    },
    Membrane {
        id: "bitumen-sheet-4",
        name: "torched bitumen sheet, 4 mm",
        thickness_mm: 4.0,
        mass_kg_m2: 4.8,
        sd_m: 200.0,
        conductivity_w_m_k: 0.23,
        job: MembraneJob::RoofCovering,
        basis: Typical(
            "vapour factor 50 000 and conductivity 0.23 for bitumen sheet stand in the Spanish building \
             code's catalogue (secondary); mass and thickness from memory",
        ),
    },
    Membrane {
        id: "single-ply-1.5",
        name: "single-ply plastic membrane, 1.5 mm",
        thickness_mm: 1.5,
        mass_kg_m2: 1.9,
        sd_m: 25.0,
        conductivity_w_m_k: 0.16,
        job: MembraneJob::RoofCovering,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "rubber-membrane-1.2",
        name: "rubber roof membrane, 1.2 mm",
        thickness_mm: 1.2,
        mass_kg_m2: 1.4,
        sd_m: 70.0,
        conductivity_w_m_k: 0.25,
        job: MembraneJob::RoofCovering,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "glass-fibre-resin-3",
        name: "glass-fibre reinforced resin roof, 3 mm",
        thickness_mm: 3.0,
        mass_kg_m2: 4.5,
        sd_m: 100.0,
        conductivity_w_m_k: 0.2,
        job: MembraneJob::RoofCovering,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "breather-membrane",
        name: "breather membrane",
        thickness_mm: 0.5,
        mass_kg_m2: 0.15,
        sd_m: 0.05,
        conductivity_w_m_k: 0.2,
        job: MembraneJob::Breather,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "roof-underlay-bitumen",
        name: "bituminous roof underlay",
        thickness_mm: 1.0,
        mass_kg_m2: 1.2,
        sd_m: 20.0,
        conductivity_w_m_k: 0.2,
        job: MembraneJob::RoofCovering,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "polyethylene-sheet-0.125",
        name: "polyethylene sheet 0.125 mm (500 gauge)",
        thickness_mm: 0.125,
        mass_kg_m2: 0.12,
        sd_m: 42.0,
        conductivity_w_m_k: 0.33,
        job: MembraneJob::VapourControl,
        basis: Typical(
            "s_d from memory of EN ISO 10456 Table 5 (0.15 mm: 50 m, 0.25 mm: 100 m); a handbook gives the \
             thinner sheet half of that; this thickness in proportion",
        ),
    },
    Membrane {
        id: "polyethylene-sheet-0.15",
        name: "polyethylene sheet 0.15 mm",
        thickness_mm: 0.15,
        mass_kg_m2: 0.14,
        sd_m: 50.0,
        conductivity_w_m_k: 0.33,
        job: MembraneJob::VapourControl,
        basis: Typical(
            "s_d from memory of EN ISO 10456 Table 5 (0.15 mm: 50 m, 0.25 mm: 100 m); a handbook gives the \
             thinner sheet half of that",
        ),
    },
    Membrane {
        id: "polyethylene-sheet-0.25",
        name: "polyethylene sheet 0.25 mm (1000 gauge)",
        thickness_mm: 0.25,
        mass_kg_m2: 0.23,
        sd_m: 100.0,
        conductivity_w_m_k: 0.33,
        job: MembraneJob::VapourControl,
        basis: Typical(
            "s_d from memory of EN ISO 10456 Table 5 (0.15 mm: 50 m, 0.25 mm: 100 m); a handbook gives the \
             thinner sheet half of that",
        ),
    },
    Membrane {
        id: "polyethylene-sheet-0.3",
        name: "polyethylene damp-proof membrane 0.3 mm (1200 gauge)",
        thickness_mm: 0.3,
        mass_kg_m2: 0.28,
        sd_m: 120.0,
        conductivity_w_m_k: 0.33,
        job: MembraneJob::DampProof,
        basis: Typical(
            "s_d from memory of EN ISO 10456 Table 5 (0.15 mm: 50 m, 0.25 mm: 100 m); a handbook gives the \
             thinner sheet half of that; this thickness in proportion",
        ),
    },
    Membrane {
        id: "aluminium-foil-0.05",
        name: "aluminium foil 0.05 mm",
        thickness_mm: 0.05,
        mass_kg_m2: 0.135,
        sd_m: 1500.0,
        conductivity_w_m_k: 160.0,
        job: MembraneJob::VapourControl,
        basis: Typical("s_d from memory of EN ISO 10456 Table 5"),
    },
    Membrane {
        id: "foil-laminate",
        name: "aluminium foil laminate vapour control layer",
        thickness_mm: 0.3,
        mass_kg_m2: 0.2,
        sd_m: 500.0,
        conductivity_w_m_k: 0.3,
        job: MembraneJob::VapourControl,
        basis: Typical("all numbers from memory of the trade"),
    },
    Membrane {
        id: "kraft-vapour-control",
        name: "reinforced paper vapour control layer",
        thickness_mm: 0.3,
        mass_kg_m2: 0.12,
        sd_m: 5.0,
        conductivity_w_m_k: 0.2,
        job: MembraneJob::VapourControl,
        basis: Typical("all numbers from memory of the trade"),
    },
];
