//! What a wall, ceiling, window or door is made of, shared by room files and element files.

use bands::Readings;
use serde::Serialize;

use crate::{
    project::{FillId, GapFilling, GapShape, MaterialId, Penetrating, ProductId, SealId},
    read::keyed::words,
};

/// A build-up of a room file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Buildup {
    /// Its short name in the file, unique.
    pub id: String,
    /// What it is made of.
    pub element: ElementSpec,
}

/// What an element is made of: layers from outside to inside, and what joins them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ElementSpec {
    /// What it is called on sheets.
    pub name: String,
    /// Layers, outside first. Never empty unless `measured` is given; starts and ends with a leaf; no two
    /// cavities touch.
    pub layers: Vec<Layer>,
    /// What crosses the cavities.
    pub bridges: Vec<Bridge>,
    /// Sound reduction index measured on this very element, dB in third-octave bands; used instead of a
    /// prediction in the bands it has.
    pub measured: Option<Readings>,
    /// Standard uncertainty of each measured value, 0.1 to 10 dB; `None`: that of a laboratory.
    pub measured_uncertainty_db: Option<f64>,
}

/// One layer of an element.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layer {
    /// A solid: board, masonry, glass or membrane.
    Leaf(Leaf),
    /// Air, with or without fibre.
    Cavity(Cavity),
}

/// A solid layer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leaf {
    /// What sort of solid, key `kind`.
    pub kind: LeafKind,
    /// What sheets call it; `None` where the catalogue's name serves.
    pub name: Option<String>,
    /// Catalogue entry; `None` where the person's own data make the whole layer.
    pub material: Option<MaterialId>,
    /// The person's own data; each given value replaces the catalogue's.
    pub own: OwnSheet,
    /// Thickness, 0.05 to 1000 mm; `None` where the catalogue's applies.
    pub thickness_mm: Option<f64>,
    /// How many equal sheets lie on each other, 1 to 8.
    pub sheets: u32,
    /// How the sheets hold to each other and to the layer before.
    pub bond: Bond,
    /// What seals it all round where it is a door or sash of its own, one of several behind each other.
    pub seal: Option<SealId>,
    /// Plaster on the outer face, 0 to 60 mm.
    pub plaster_outside_mm: f64,
    /// Plaster on the inner face, 0 to 60 mm.
    pub plaster_inside_mm: f64,
}

/// What a person knows of a sheet, wall or pane of their own.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OwnSheet {
    /// Density, 5 to 12 000 kg/m³.
    pub density_kg_m3: Option<f64>,
    /// Mass of one sheet per area, 0.05 to 1500 kg/m².
    pub mass_kg_m2: Option<f64>,
    /// Young's modulus, 0.001 to 300 GPa.
    pub youngs_modulus_gpa: Option<f64>,
    /// Internal loss factor, 0.001 to 1.
    pub loss_factor: Option<f64>,
    /// Poisson's ratio, 0 to 0.49.
    pub poisson: Option<f64>,
    /// Bending stiffness along ribs or grain over that across, 1 to 100 000.
    pub along_over_across: Option<f64>,
    /// Airflow resistance from face to face of a layer air passes through, 10 to 1 000 000 000 Pa·s/m.
    pub flow_resistance_pa_s_m: Option<f64>,
    /// Thermal conductivity, 0.005 to 500 W/(m K).
    pub conductivity_w_m_k: Option<f64>,
    /// Vapour resistance factor μ, 1 to 10 000 000.
    pub vapour_factor: Option<f64>,
    /// Vapour resistance of one sheet as the depth of an equal layer of air, 0 to 100 000 m; goes before `vapour_factor`.
    pub vapour_sd_m: Option<f64>,
}

words! {
    /// How tightly fibre fits, EN ISO 6946:2017 Table F.1.
    pub enum FillGaps {
        /// Tight: no gap worth naming.
        None = "none",
        /// Gaps that go from its warm to its cold face.
        Through = "through",
        /// Such gaps, and air can pass behind it on its warm side.
        ThroughAndBehind = "through-and-behind",
    }
}

/// Air between two leaves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cavity {
    /// Clear distance between the leaves, 1 to 2000 mm.
    pub depth_mm: f64,
    /// Whether outside air moves through it.
    pub vented: bool,
    /// Openings to the outside of a cavity that is not `vented`, 0 to 100 000 mm² on each metre of a wall or each square metre
    /// of a roof, for heat (ISO 6946).
    pub openings_mm2: Option<f64>,
    /// How tightly the fibre fits, for heat.
    pub fill_gaps: FillGaps,
    /// Fibre in it, from the catalogue; `None` with a `flow_resistivity_pa_s_m2` is fibre of the person's own.
    pub fill: Option<FillId>,
    /// Thickness of the fibre, mm; 0 without fibre, never above `depth_mm`.
    pub fill_mm: f64,
    /// Airflow resistivity of the fibre, 500 to 200 000 Pa·s/m², where the person knows it.
    pub flow_resistivity_pa_s_m2: Option<f64>,
    /// Density of the fibre, 5 to 400 kg/m³, where the person knows it.
    pub density_kg_m3: Option<f64>,
    /// Dynamic stiffness of a stiff fill that touches both leaves, 0.1 to 10 000 MN/m³, where the person knows it.
    pub dynamic_stiffness_mn_m3: Option<f64>,
    /// Timbers that cross this layer, for heat, key `bridge`.
    pub timbers: Option<CavityTimbers>,
    /// Whether the edge of the cavity is lined with something absorbent.
    pub lined_reveals: bool,
}

/// Something that joins two leaves across a cavity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bridge {
    /// What it is.
    pub kind: BridgeKind,
    /// Which cavity it crosses, 0 for the outermost. Key `cavity` counts from 1; without it the innermost.
    pub cavity: usize,
    /// Catalogue entry.
    pub product: Option<ProductId>,
    /// Distance between lines, or between points along a line, 50 to 3000 mm.
    pub spacing_mm: Option<f64>,
    /// Points per area, 0.1 to 60 per m².
    pub per_m2: Option<f64>,
    /// How many in the whole element, 1 to 10 000, for single screws or brackets.
    pub count: Option<u32>,
    /// Distance between the bars or channels that lie across, 50 to 3000 mm.
    pub bar_spacing_mm: Option<f64>,
    /// Thickness of the steel of a stud, 0.3 to 4 mm.
    pub steel_mm: Option<f64>,
    /// Whether the studs behind channels are of steel.
    pub steel_studs: bool,
    /// Length of a frame that both leaves sit in, 0.1 to 200 m.
    pub frame_length_m: Option<f64>,
    /// Area of one dab of adhesive, 0.0001 to 1 m².
    pub dab_area_m2: Option<f64>,
    /// Dynamic stiffness of one point, 0.001 to 1000 MN/m.
    pub stiffness_mn_m: Option<f64>,
    /// Dynamic stiffness of one metre of a frame's gasket or putty, 0.001 to 10 000 MN/m².
    pub frame_stiffness_mn_m2: Option<f64>,
    /// Compliance of one line per length, 0 to 0.001 m²/N.
    pub compliance_m2_n: Option<f64>,
    /// Loss factor, 0.001 to 2.
    pub loss_factor: Option<f64>,
}

/// A build-up alone, from an element file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ElementFile {
    /// What it is made of.
    pub element: ElementSpec,
    /// Width, 0.1 to 50 m; the laboratory's 4.0 without it.
    pub width_m: f64,
    /// Height, 0.1 to 20 m; the laboratory's 2.5 without it.
    pub height_m: f64,
    /// How its edges are held.
    pub mounting: Mounting,
    /// What seals it all round, as a door or a window.
    pub seal: Option<SealId>,
    /// Slits and holes in it, key `gap`.
    pub gaps: Vec<ElementGap>,
    /// What goes through it, key `penetration`.
    pub penetrations: Vec<Penetrating>,
}

/// A slit or hole in an element that stands alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ElementGap {
    /// Where it is, in words, key `where`.
    pub place: String,
    /// Its opening.
    pub shape: GapShape,
    /// How deep the sound must go through it, 1 to 2000 mm.
    pub depth_mm: f64,
    /// What it is filled with.
    pub filling: GapFilling,
}

words! {
    /// A sort of solid layer.
    pub enum LeafKind {
        /// A board or sheet, a door leaf.
        Board = "board",
        /// Brick, block, concrete.
        Masonry = "masonry",
        /// A pane.
        Glass = "glass",
        /// A thin skin: felt, foil, paper.
        Membrane = "membrane",
    }
}

words! {
    /// How sheets hold to each other.
    pub enum Bond {
        /// Screwed: the sheets slip on each other.
        Screwed = "screwed",
        /// Glued over the whole face: they bend as one.
        Glued = "glued",
        /// Joined by a damping compound.
        Damped = "damped",
    }
}

words! {
    /// Timbers that cross a layer.
    pub enum CavityTimbers {
        /// The joists of the room file.
        Joists = "joists",
        /// Timber studs.
        Studs = "studs",
    }
}

words! {
    /// What joins two leaves.
    pub enum BridgeKind {
        /// Timber studs, both leaves on the same stud.
        TimberStud = "timber-stud",
        /// Light steel studs, both leaves on the same stud.
        SteelStud = "steel-stud",
        /// Studs that touch one leaf only, on a plate they share.
        StaggeredStuds = "staggered-studs",
        /// Two frames that touch nowhere.
        DoubleStuds = "double-studs",
        /// Springy channels across the studs or joists.
        ResilientChannel = "resilient-channel",
        /// Bars on springy clips.
        Clip = "clip",
        /// Ties between two masonry leaves.
        WallTie = "wall-tie",
        /// Dabs of adhesive.
        Dab = "dab",
        /// Single screws or brackets that go straight through.
        RigidPoint = "rigid-point",
        /// A frame that both leaves sit in.
        CommonFrame = "common-frame",
        /// Nothing.
        None = "none",
    }
}

words! {
    /// How the edges of an element are held.
    pub enum Mounting {
        /// In the opening of a laboratory.
        Laboratory = "laboratory",
        /// In a building.
        Building = "building",
    }
}
