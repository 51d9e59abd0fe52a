//! Roof coverings and other finishes as a dead load.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A covering or finish as a load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Covering {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Load to reckon with, kN/m² of its own surface: the high end of the usual.
    pub load_kn_m2: f64,
    /// Low end of the usual, kN/m²: where less load is worse.
    pub load_low_kn_m2: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(COVERINGS: Covering);

static COVERINGS: &[Covering] = &[
    Covering {
        id: "felt-3-layer-load",
        name: "three-layer bituminous felt",
        load_kn_m2: 0.15,
        load_low_kn_m2: 0.1,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "felt-3-layer-chippings-load",
        name: "three-layer felt with stone chippings",
        load_kn_m2: 0.35,
        load_low_kn_m2: 0.25,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "single-ply-load",
        name: "single-ply membrane",
        load_kn_m2: 0.03,
        load_low_kn_m2: 0.02,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "rubber-membrane-load",
        name: "rubber membrane",
        load_kn_m2: 0.03,
        load_low_kn_m2: 0.015,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "glass-fibre-resin-load",
        name: "glass-fibre reinforced resin",
        load_kn_m2: 0.08,
        load_low_kn_m2: 0.04,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "gravel-50-load",
        name: "gravel ballast, 50 mm",
        load_kn_m2: 1.0,
        load_low_kn_m2: 0.8,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "green-roof-light-load",
        name: "thin planted roof, wet",
        load_kn_m2: 1.2,
        load_low_kn_m2: 0.6,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "sheet-metal-load",
        name: "standing-seam or profiled sheet metal",
        load_kn_m2: 0.1,
        load_low_kn_m2: 0.05,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "insulated-panel-load",
        name: "foam-cored metal roof panel",
        load_kn_m2: 0.15,
        load_low_kn_m2: 0.1,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "corrugated-bitumen-load",
        name: "corrugated bitumen sheet",
        load_kn_m2: 0.05,
        load_low_kn_m2: 0.03,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "fibre-cement-sheet-load",
        name: "profiled fibre-cement sheet",
        load_kn_m2: 0.2,
        load_low_kn_m2: 0.14,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "slates-load",
        name: "slates with battens",
        load_kn_m2: 0.4,
        load_low_kn_m2: 0.25,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "concrete-tiles-load",
        name: "interlocking concrete tiles with battens",
        load_kn_m2: 0.6,
        load_low_kn_m2: 0.5,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "clay-tiles-load",
        name: "plain clay tiles with battens",
        load_kn_m2: 0.8,
        load_low_kn_m2: 0.65,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "shingles-load",
        name: "bituminous shingles",
        load_kn_m2: 0.12,
        load_low_kn_m2: 0.08,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "cedar-shingles-load",
        name: "cedar shingles",
        load_kn_m2: 0.15,
        load_low_kn_m2: 0.08,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "osb-18-load",
        name: "18 mm oriented strand board deck",
        load_kn_m2: 0.12,
        load_low_kn_m2: 0.1,
        basis: Typical("worked out with 650 kg/m³"),
    },
    Covering {
        id: "softwood-boarding-19-load",
        name: "19 mm softwood boarding",
        load_kn_m2: 0.1,
        load_low_kn_m2: 0.08,
        basis: Typical("worked out with 420 to 500 kg/m³"),
    },
    Covering {
        id: "furring-grid-load",
        name: "light steel furring grid",
        load_kn_m2: 0.03,
        load_low_kn_m2: 0.02,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "solar-panels-load",
        name: "photovoltaic panels with rails",
        load_kn_m2: 0.2,
        load_low_kn_m2: 0.12,
        basis: Typical("from memory of the trade"),
    },
    Covering {
        id: "lights-and-cables-load",
        name: "lights, cables, paint",
        load_kn_m2: 0.05,
        load_low_kn_m2: 0.01,
        basis: Typical("from memory of the trade"),
    },
];
