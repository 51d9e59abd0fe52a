//! What one element is made of, outside to inside, in SI units.
//!
//! An [`Element`] is plain data: anything may be typed into it, and [`Prepared::new`](crate::Prepared::new)
//! (called by [`predict`](crate::predict::predict)) refuses what cannot be built, with a sentence.

use bands::{Readings, Spectrum};
use serde::Serialize;

/// One wall, roof, ceiling, window or door, with everything that lets sound through it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Element {
    /// What the person calls it, used in messages.
    pub name: String,
    /// Width between its supports, m.
    pub width_m: f64,
    /// Height (or span) between its supports, m.
    pub height_m: f64,
    /// Leaves and cavities in turn, outside to inside; it begins and ends with a leaf.
    pub parts: Vec<Part>,
    /// What ties the leaves together besides the air between them.
    pub bridges: Vec<Bridge>,
    /// Joints, holes and seals.
    pub leaks: Vec<Leak>,
    /// Where it stands: this decides how much energy a heavy leaf loses at its edges.
    pub mounting: Mounting,
    /// A measured spectrum that replaces the calculation.
    pub measured: Option<Measured>,
}

impl Default for Element {
    /// An element with no parts, 4 m wide and 2.5 m high (the usual 10 m² test opening), in the laboratory.
    fn default() -> Self {
        Self {
            name: String::new(),
            width_m: 4.0,
            height_m: 2.5,
            parts: Vec::new(),
            bridges: Vec::new(),
            leaks: Vec::new(),
            mounting: Mounting::Laboratory,
            measured: None,
        }
    }
}

impl Element {
    /// Area, m².
    pub fn area_m2(&self) -> f64 {
        self.width_m * self.height_m
    }

    /// Its leaves, outermost first.
    pub fn leaves(&self) -> impl Iterator<Item = &Leaf> {
        self.parts.iter().filter_map(|part| if let Part::Leaf(leaf) = part { Some(leaf) } else { None })
    }

    /// Its cavities, outermost first.
    pub fn cavities(&self) -> impl Iterator<Item = &Cavity> {
        self.parts.iter().filter_map(|part| if let Part::Cavity(cavity) = part { Some(cavity) } else { None })
    }

    /// Mass of leaves and fills, kg/m². Studs, bars and clips are not in it.
    pub fn mass_kg_m2(&self) -> f64 {
        self.parts
            .iter()
            .map(|part| match part {
                Part::Leaf(leaf) => leaf.mass_kg_m2(),
                Part::Cavity(cavity) => cavity.fills.iter().map(|f| f.thickness_m * f.density_kg_m3).sum(),
            })
            .sum()
    }

    /// Depth over all parts, m.
    pub fn depth_m(&self) -> f64 {
        self.parts
            .iter()
            .map(|part| match part {
                Part::Leaf(leaf) => leaf.thickness_m(),
                Part::Cavity(cavity) => cavity.depth_m,
            })
            .sum()
    }
}

/// A leaf or the space between two leaves.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// Something that moves as one: a board, a double board, a pane, a masonry wall.
    Leaf(Leaf),
    /// Air, with or without fibre in it.
    Cavity(Cavity),
}

/// Sheets that move as one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leaf {
    /// What the person calls it.
    pub name: String,
    /// Sheets, outside to inside.
    pub sheets: Vec<Sheet>,
    /// How the sheets are joined.
    pub bond: Bond,
    /// Which theory it follows.
    pub kind: LeafKind,
}

impl Leaf {
    /// A thin leaf of sheets screwed to each other.
    pub fn thin(name: impl Into<String>, sheets: Vec<Sheet>) -> Self {
        Self { name: name.into(), sheets, bond: Bond::Loose, kind: LeafKind::Thin }
    }

    /// A masonry or concrete leaf; plaster and render count as further sheets.
    pub fn masonry(name: impl Into<String>, sheets: Vec<Sheet>) -> Self {
        Self { name: name.into(), sheets, bond: Bond::Glued, kind: LeafKind::Masonry }
    }

    /// Mass of all sheets, kg/m².
    pub fn mass_kg_m2(&self) -> f64 {
        self.sheets.iter().map(Sheet::mass_kg_m2).sum()
    }

    /// Thickness of all sheets, m.
    pub fn thickness_m(&self) -> f64 {
        self.sheets.iter().map(|sheet| sheet.thickness_m).sum()
    }
}

/// How the sheets of a leaf are joined.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bond {
    /// Screwed or nailed: the sheets slip, their bending stiffnesses add.
    Loose,
    /// Bedded or glued all over: one composite plate.
    Glued,
    /// Joined by a soft damping layer all over: the stiffnesses add and the leaf has the loss factor given
    /// (laminated glass about 0.05 to 0.3, boards with a damping compound about 0.1 to 0.3).
    Damped {
        /// Loss factor of the joined leaf, 0 to 1.
        loss_factor: f64,
    },
}

/// Which theory a leaf follows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeafKind {
    /// A sheet that is thin against its bending wavelength: board, glass, metal, timber panel.
    Thin,
    /// Masonry or concrete after ISO 12354-1:2017 Annex B.
    Masonry,
    /// A profiled sheet or a board on close ribs: stiffer one way than the other.
    Orthotropic {
        /// Bending stiffness along the ribs over that of the plain sheet, at least 1.
        stiffness_ratio: f64,
    },
    /// A leaf that air can pass through: bare clinker block, wood wool, a pinboard.
    Porous {
        /// Specific airflow resistance of the whole leaf, Pa s/m.
        flow_resistance_pa_s_m: f64,
    },
    /// A heavy limp sheet: lead, loaded vinyl, a membrane.
    Limp,
}

/// One sheet of one material.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// What the person calls it.
    pub name: String,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Young's modulus in bending, Pa; of a sheet with a grain the geometric mean of both directions.
    pub youngs_modulus_pa: f64,
    /// Bending stiffness along the grain (of a paper-faced board: along its length) over that across it, 1 to 1000; 1 without a grain.
    pub along_over_across: f64,
    /// Poisson's ratio, 0 to 0.49.
    pub poisson: f64,
    /// Internal loss factor of the material, without what the mounting adds, 0 to 1.
    pub loss_factor: f64,
    /// How far the values vary from one delivery to the next.
    pub spreads: Spreads,
}

impl Sheet {
    /// Mass, kg/m².
    pub fn mass_kg_m2(&self) -> f64 {
        self.thickness_m * self.density_kg_m3
    }

    /// A sheet from the speed of quasi-longitudinal waves in the plate, `c_L = √(E/(ρ(1−ν²)))` in m/s, which
    /// handbooks print instead of Young's modulus (Hopkins, *Sound Insulation*, 2007, Table A2).
    pub fn from_wave_speed(
        name: impl Into<String>,
        thickness_m: f64,
        density_kg_m3: f64,
        c_l_m_s: f64,
    ) -> Self {
        let poisson: f64 = 0.2;
        Self {
            name: name.into(),
            thickness_m,
            density_kg_m3,
            youngs_modulus_pa: density_kg_m3 * c_l_m_s * c_l_m_s * (1.0 - poisson * poisson),
            along_over_across: 1.0,
            poisson,
            loss_factor: 0.01,
            spreads: Spreads::default(),
        }
    }
}

/// Standard deviations of a material's values, as a fraction of the value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spreads {
    /// Of the density.
    pub density: f64,
    /// Of Young's modulus.
    pub youngs_modulus: f64,
    /// Of the loss factor.
    pub loss_factor: f64,
}

impl Default for Spreads {
    /// Density 3 %, stiffness 15 %, loss factor 30 % (judgement, from the scatter between handbooks).
    fn default() -> Self {
        Self { density: 0.03, youngs_modulus: 0.15, loss_factor: 0.3 }
    }
}

/// The space between two leaves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cavity {
    /// Clear depth, m.
    pub depth_m: f64,
    /// Fibre in it; together no deeper than the cavity.
    pub fills: Vec<Fill>,
    /// Open to the outside air, as a ventilated roof is: the leaf outside it then has gaps and carries no pressure in the
    /// cavity at low frequency.
    pub vented: bool,
    /// Absorption coefficient of its edges or reveals, 0 to 1; none: what an untreated edge has.
    pub edge_absorption: Option<f64>,
}

impl Cavity {
    /// An empty, closed cavity.
    pub fn empty(depth_m: f64) -> Self {
        Self { depth_m, fills: Vec::new(), vented: false, edge_absorption: None }
    }

    /// A closed cavity with one fill.
    pub fn filled(depth_m: f64, fill: Fill) -> Self {
        Self { depth_m, fills: vec![fill], vented: false, edge_absorption: None }
    }
}

/// Fibre or foam in a cavity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fill {
    /// What the person calls it.
    pub name: String,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Airflow resistivity, Pa s/m².
    pub flow_resistivity_pa_s_m2: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Dynamic stiffness of a stiff foam, N/m³: a spring in series with the air and fibre beside it. None for soft fibre.
    pub dynamic_stiffness_n_m3: Option<f64>,
    /// Standard deviation of the flow resistivity as a fraction of it.
    pub flow_resistivity_spread: f64,
}

impl Fill {
    /// Soft fibre that adds no stiffness, with a spread of 30 % in its flow resistivity.
    pub fn fibre(
        name: impl Into<String>,
        thickness_m: f64,
        flow_resistivity_pa_s_m2: f64,
        density_kg_m3: f64,
    ) -> Self {
        Self {
            name: name.into(),
            thickness_m,
            flow_resistivity_pa_s_m2,
            density_kg_m3,
            dynamic_stiffness_n_m3: None,
            flow_resistivity_spread: 0.3,
        }
    }
}

/// What ties two leaves together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bridge {
    /// What the person calls it.
    pub name: String,
    /// The two leaves it joins, counted from the outside, 0 the outermost.
    pub leaves: (usize, usize),
    /// What it is.
    pub kind: BridgeKind,
    /// Standard deviation of its stiffness as a fraction of it.
    pub stiffness_spread: f64,
}

impl Bridge {
    /// A bridge between two leaves, with a spread of 25 % in its stiffness.
    pub fn between(outer: usize, inner: usize, name: impl Into<String>, kind: BridgeKind) -> Self {
        Self { name: name.into(), leaves: (outer, inner), kind, stiffness_spread: 0.25 }
    }
}

/// The kinds of bridge.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BridgeKind {
    /// Timber studs, joists or battens with both leaves fixed to them.
    TimberStud {
        /// Centre to centre, m.
        spacing_m: f64,
    },
    /// Steel studs with both leaves fixed to them.
    SteelStud {
        /// Centre to centre, m.
        spacing_m: f64,
        /// Thickness of the steel, m (25 gauge 0.00045, 20 gauge 0.0009, load-bearing 0.0015).
        steel_thickness_m: f64,
        /// Depth of the web between the leaves, m.
        web_depth_m: f64,
        /// Compliance of a metre of stud, m²/N, where it is known; none: from steel thickness and depth.
        compliance_m2_n: Option<f64>,
    },
    /// Two sets of timber studs on one common plate: the leaves share only head and sole.
    StaggeredStud {
        /// Centre to centre on one side, m.
        spacing_m: f64,
    },
    /// Two separate frames on one floor: they share only what stands under and around them.
    DoubleStud {
        /// Centre to centre on one side, m.
        spacing_m: f64,
    },
    /// Resilient steel channels between the studs or joists and one leaf.
    ResilientChannel {
        /// Studs or joists, centre to centre, m.
        stud_spacing_m: f64,
        /// Channels, centre to centre, m.
        channel_spacing_m: f64,
        /// Whether the studs behind are steel (which adds their own spring).
        steel_studs: bool,
    },
    /// Furring bars on resilient clips.
    Clip {
        /// Dynamic stiffness of one clip under its load, N/m.
        stiffness_n_m: f64,
        /// Loss factor of the clip, 0 to 1.
        loss_factor: f64,
        /// Clips a square metre.
        per_m2: f64,
        /// Bars, centre to centre, m.
        bar_spacing_m: f64,
    },
    /// Wall ties.
    Tie {
        /// Dynamic stiffness of one tie, N/m.
        stiffness_n_m: f64,
        /// Ties a square metre.
        per_m2: f64,
    },
    /// Dabs of adhesive behind a board.
    Dab {
        /// Dabs a square metre.
        per_m2: f64,
        /// Area of one dab, m².
        area_m2: f64,
    },
    /// A screw or bracket that goes straight through: a bridged clip.
    RigidPoint {
        /// How many in the whole element.
        count: f64,
    },
    /// A frame both leaves sit in: the rebates of a double window, the rails of a door.
    CommonFrame {
        /// Length of the frame, m.
        length_m: f64,
        /// Stiffness of a metre of gasket, putty or spacer between pane and frame, N/m².
        stiffness_n_m2: f64,
    },
}

/// A way for air to go straight through.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leak {
    /// What the person calls it.
    pub name: String,
    /// The one leaf it goes through, 0 the outermost, where it goes through that leaf only: the seal of one of two doors with a lobby
    /// between them, a socket box in a lining. What passes is in the cavity then, not yet on the other side. None: straight through.
    pub leaf: Option<usize>,
    /// What it is.
    pub kind: LeakKind,
    /// Standard deviation of its width or area as a fraction of it: workmanship.
    pub size_spread: f64,
}

/// The kinds of leak.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeakKind {
    /// A joint.
    Slit {
        /// Length along the face, m.
        length_m: f64,
        /// Width of the gap, m.
        width_m: f64,
        /// Depth from one side to the other, m.
        depth_m: f64,
        /// Airflow resistivity of fibre or foam packed into it, Pa s/m²; none: open.
        filling_pa_s_m2: Option<f64>,
        /// Whether it lies in an edge between two faces rather than in the middle of one.
        at_edge: bool,
    },
    /// Round holes: cables, pipes, screws, lights.
    Hole {
        /// Diameter, m.
        diameter_m: f64,
        /// Depth, m.
        depth_m: f64,
        /// How many.
        count: f64,
        /// Airflow resistivity of what is packed into it, Pa s/m²; none: open.
        filling_pa_s_m2: Option<f64>,
    },
    /// The seal of a door or a sash.
    Seal {
        /// Length of the seal, m.
        length_m: f64,
        /// What of it stays open.
        gap: SealGap,
    },
    /// A louvre, trickle vent or lined air path of known element-normalised level difference.
    Device {
        /// Level difference D_n,e of one, dB (ISO 10140-2; reference area 10 m²).
        dn_e_db: Spectrum,
        /// How many.
        count: f64,
    },
    /// A light cover in place of the build-up: the back of a socket box, the can of a lamp, the lid of a hatch.
    Panel {
        /// Area of one, m².
        area_m2: f64,
        /// Its mass, kg/m².
        mass_kg_m2: f64,
        /// How many.
        count: f64,
    },
    /// The pores of a bare block or board over the whole face, closed by the first coat of plaster or paint.
    Pores {
        /// Airflow resistivity, Pa s/m².
        flow_resistivity_pa_s_m2: f64,
        /// Way through them, m.
        depth_m: f64,
    },
}

/// What a rebate with its seal leaves open: a slit with two bends in it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SealGap {
    /// Width of the equivalent open slit, m.
    pub width_m: f64,
    /// Depth of the joint, m: the thickness of leaf or sash.
    pub depth_m: f64,
    /// Whether a brush or a lip lies across it, which stops high frequencies better than an open slit of the same effect.
    pub lip: bool,
}

/// How good the seal of a door or a sash is: each is a residual gap (fitted to doors with and without seals in Harris,
/// 3rd ed., Table 31.6, and Bies, 5th ed., Table 7.6).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SealClass {
    /// As usually hung, no seal: 1.2 mm open all round.
    None,
    /// Brush: 0.9 mm open.
    Brush,
    /// One soft compression seal, touching nearly everywhere: 0.5 mm open.
    Compression,
    /// Two compression seals and a drop seal: 0.1 mm open.
    DoubleCompression,
}

/// Where an element stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mounting {
    /// In a test opening: total loss factor of heavy leaves after ISO 12354-1:2017 Annex C for laboratories.
    Laboratory,
    /// In a building: energy also leaves through the adjoining heavy structure.
    InSitu,
}

/// A measured spectrum that replaces the calculation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// Sound reduction index in third octaves; at least 100 Hz to 3150 Hz without a gap.
    pub readings: Readings,
    /// Standard uncertainty of each value, dB; none: that of a laboratory by ISO 12999-1:2020.
    pub standard_uncertainty_db: Option<f64>,
}
