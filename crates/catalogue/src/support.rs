//! What holds boards: studs, clips, bars, wall ties.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// A stud.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize)]
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
static STUDS: &[Stud] = &[];
static CLIPS: &[Clip] = &[];
static BARS: &[Bar] = &[];
static TIES: &[Tie] = &[];
