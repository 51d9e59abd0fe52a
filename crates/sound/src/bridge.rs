//! Bridges ready for computing: how many, how soft, and what they add to the spring of the cavity.

use num_complex::Complex64;
use quantities::math;

use crate::{
    davy_2010::{self, Joined, Line},
    element::{Bridge, BridgeKind, Element},
    family::FamilyParameters,
    leaf::PreparedLeaf,
};

/// A bridge between two leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PreparedBridge {
    pub(crate) outer: usize,
    pub(crate) inner: usize,
    pub(crate) shape: Shape,
    radiation: f64,
}

/// Line or points, and the spring of each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Shape {
    /// Lines, with the compliance of a metre, m²/N; from 500 Hz up it falls with `f^−power`.
    Lines { per_m: f64, compliance: f64, loss_factor: f64, power: f64, mass: f64 },
    /// Points, with the compliance of one, m/N; above 63 Hz it falls with `f^−power`.
    Points { per_m2: f64, compliance: f64, loss_factor: f64, power: f64 },
}

/// Steel thickness and web depth the compliance of steel studs is stated for, m.
const REFERENCE_STEEL: (f64, f64) = (0.000_5, 0.09);
/// Frequency the compliance of lines is stated at, and the lowest it is followed to, Hz.
const LINE_REFERENCE_HZ: f64 = 500.0;
const LINE_LOWEST_HZ: f64 = 50.0;
/// Frequency up to which a clip is as stiff as its maker measures it, Hz.
const CLIP_REFERENCE_HZ: f64 = 63.0;
/// Stiffness of a screw or bracket straight through: rigid against any board, N/m.
const RIGID_POINT_STIFFNESS: f64 = 1e9;
/// Softwood of studs and joists (C24 mean density, EN 338:2016), kg/m³, and their usual width, m.
const TIMBER_DENSITY_KG_M3: f64 = 420.0;
const TIMBER_WIDTH_M: f64 = 0.045;
/// Steel, kg/m³, and the two flanges of a stud, m; a load-bearing stud, kg/m.
const STEEL_DENSITY_KG_M3: f64 = 7800.0;
const STEEL_FLANGES_M: f64 = 0.08;
const STEEL_STUD_KG_M: f64 = 2.5;
/// Young's modulus of set adhesive over its working length, Pa/m (1 GPa over 15 mm).
const DAB_STIFFNESS_PER_AREA: f64 = 6.7e10;

impl PreparedBridge {
    pub(crate) fn new(bridge: &Bridge, element: &Element, family: &FamilyParameters) -> Self {
        let micro = 1e-6;
        let depth = depth_between(element, bridge.leaves);
        let timber_mass = family.stud_mass_share * TIMBER_DENSITY_KG_M3 * TIMBER_WIDTH_M * depth;
        let lines = |spacing: f64, compliance: f64, loss_factor: f64, mass: f64| Shape::Lines {
            per_m: 1.0 / spacing,
            compliance,
            loss_factor,
            power: 0.0,
            mass,
        };
        let shape = match bridge.kind {
            BridgeKind::TimberStud { spacing_m } => {
                lines(spacing_m, family.timber_compliance * micro, 0.05, timber_mass)
            }
            BridgeKind::SteelStud { spacing_m, steel_thickness_m, web_depth_m, compliance_m2_n } => {
                let compliance = compliance_m2_n.unwrap_or_else(|| {
                    family.steel_compliance
                        * micro
                        * math::powf(REFERENCE_STEEL.0 / steel_thickness_m, family.steel_thickness_power)
                        * math::powf(web_depth_m / REFERENCE_STEEL.1, family.steel_web_power)
                });
                Shape::Lines {
                    per_m: 1.0 / spacing_m,
                    compliance,
                    loss_factor: 0.05,
                    power: family.steel_frequency_power,
                    mass: family.stud_mass_share
                        * STEEL_DENSITY_KG_M3
                        * steel_thickness_m
                        * (web_depth_m + STEEL_FLANGES_M),
                }
            }
            // Leaves on separate studs meet only at head and sole.
            BridgeKind::StaggeredStud { .. } => lines(
                0.5 * element.height_m / family.staggered_share,
                family.timber_compliance * micro,
                0.05,
                0.0,
            ),
            BridgeKind::DoubleStud { .. } => lines(
                0.5 * element.height_m / family.double_share,
                family.timber_compliance * micro,
                0.05,
                0.0,
            ),
            BridgeKind::ResilientChannel { stud_spacing_m, channel_spacing_m, steel_studs } => {
                let steel = if steel_studs { family.steel_compliance * micro } else { 0.0 };
                // Channels cross the studs: one spring where they meet, so as many as there are crossings.
                let crossings = 1.0 / (stud_spacing_m * channel_spacing_m);
                let per_line = crossings * channel_spacing_m;
                Shape::Lines {
                    per_m: 1.0 / channel_spacing_m,
                    compliance: family.channel_compliance * micro * (1.0 / 0.6) / per_line + steel,
                    loss_factor: 0.1,
                    power: family.channel_frequency_power,
                    mass: if steel_studs { family.stud_mass_share * STEEL_STUD_KG_M } else { timber_mass },
                }
            }
            BridgeKind::Clip { stiffness_n_m, loss_factor, per_m2, .. } => {
                let power = family.clip_frequency_power;
                Shape::Points { per_m2, compliance: 1.0 / stiffness_n_m, loss_factor, power }
            }
            BridgeKind::Tie { stiffness_n_m, per_m2 } => {
                Shape::Points { per_m2, compliance: 1.0 / stiffness_n_m, loss_factor: 0.02, power: 0.0 }
            }
            BridgeKind::Dab { per_m2, area_m2 } => Shape::Points {
                per_m2,
                compliance: 1.0 / (DAB_STIFFNESS_PER_AREA * area_m2),
                loss_factor: 0.02,
                power: 0.0,
            },
            BridgeKind::RigidPoint { count } => Shape::Points {
                per_m2: count / element.area_m2(),
                compliance: 1.0 / RIGID_POINT_STIFFNESS,
                loss_factor: 0.01,
                power: 0.0,
            },
            BridgeKind::CommonFrame { length_m, stiffness_n_m2 } => {
                lines(element.area_m2() / (length_m * family.frame_share), 1.0 / stiffness_n_m2, 0.1, 0.0)
            }
        };
        Self {
            outer: bridge.leaves.0.min(bridge.leaves.1),
            inner: bridge.leaves.0.max(bridge.leaves.1),
            shape,
            radiation: family.bridge_radiation,
        }
    }

    /// τ through this bridge from its outer leaf to its inner.
    ///
    /// `drive` is the mean square velocity of the outer leaf, `point` and `line` the radiation of the inner, each over that of
    /// a limp leaf.
    pub(crate) fn transmission(
        &self,
        leaves: (&PreparedLeaf, &PreparedLeaf),
        drive: f64,
        (point, line): (f64, f64),
        frequency_hz: f64,
    ) -> f64 {
        let joined = |radiation: f64| Joined {
            mass_1: leaves.0.mass,
            mass_2: leaves.1.mass,
            critical_1: leaves.0.fc.min(1e6),
            critical_2: leaves.1.fc.min(1e6),
            drive,
            radiation: radiation * self.radiation,
        };
        let spring = |compliance: f64, loss: f64| compliance / Complex64::new(1.0, loss);
        match self.shape {
            Shape::Lines { per_m, compliance, loss_factor, power, mass } => {
                let falling = if power > 0.0 {
                    math::powf(frequency_hz.max(LINE_LOWEST_HZ) / LINE_REFERENCE_HZ, -power)
                } else {
                    1.0
                };
                davy_2010::line_transmission(
                    joined(line),
                    frequency_hz,
                    Line {
                        compliance_m2_n: spring(compliance * falling, loss_factor),
                        mass_kg_m: mass,
                        per_m,
                    },
                )
            }
            Shape::Points { per_m2, compliance, loss_factor, power } => {
                let falling = if power > 0.0 && frequency_hz > CLIP_REFERENCE_HZ {
                    math::powf(frequency_hz / CLIP_REFERENCE_HZ, -power)
                } else {
                    1.0
                };
                davy_2010::point_transmission(
                    joined(point),
                    frequency_hz,
                    spring(compliance * falling, loss_factor),
                    per_m2,
                )
            }
        }
    }
}

/// Depth of the cavities between two leaves, m.
fn depth_between(element: &Element, leaves: (usize, usize)) -> f64 {
    let (outer, inner) = (leaves.0.min(leaves.1), leaves.0.max(leaves.1));
    element
        .cavities()
        .enumerate()
        .filter(|(gap, _)| *gap >= outer && *gap < inner)
        .map(|(_, c)| c.depth_m)
        .sum()
}

/// Stiffness a bridge adds to the air spring between its leaves at low frequency, N/m³.
///
/// Springs add their own. Studs hold the leaves along lines: between them each leaf bends as a strip, and its first mode
/// `f = (π/2) √(B/m)/b²` (simply supported) to 2.25 times that (clamped) adds `m ω²`, the two leaves in series: the primary
/// structural resonance of stud walls (Lin and Garrelick, JASA 61 (1977); Bradley and Birta, NRC Canada, 2001).
pub(crate) fn added_stiffness(
    bridge: &Bridge,
    prepared: &PreparedBridge,
    leaves: (&PreparedLeaf, &PreparedLeaf),
    family: &FamilyParameters,
) -> f64 {
    let bay = |spacing: f64| {
        let strip = |leaf: &PreparedLeaf| {
            let omega = math::TAU * 0.5 * math::PI * leaf.stiffness_over_mass().sqrt() / (spacing * spacing);
            leaf.mass * omega * omega
        };
        let (a, b) = (strip(leaves.0), strip(leaves.1));
        a * b / (a + b).max(1e-12)
    };
    match bridge.kind {
        BridgeKind::TimberStud { spacing_m } => family.timber_bay_stiffness * bay(spacing_m),
        BridgeKind::SteelStud { spacing_m, .. } => family.steel_bay_stiffness * bay(spacing_m),
        // Between dabs a board bends as between studs.
        BridgeKind::Dab { per_m2, .. } => family.timber_bay_stiffness * bay(1.0 / per_m2.sqrt()),
        BridgeKind::StaggeredStud { .. } | BridgeKind::DoubleStud { .. } | BridgeKind::CommonFrame { .. } => {
            0.0
        }
        // Points hold the leaves where they stand; between them the leaves bend, however stiff the points.
        BridgeKind::RigidPoint { .. } => {
            let per_m2 = if let Shape::Points { per_m2, .. } = prepared.shape { per_m2 } else { 0.0 };
            if per_m2 > 0.0 { family.timber_bay_stiffness * bay(1.0 / per_m2.sqrt()) } else { 0.0 }
        }
        BridgeKind::ResilientChannel { .. } | BridgeKind::Clip { .. } | BridgeKind::Tie { .. } => {
            let own = match prepared.shape {
                // Near resonance (80 Hz) the line is as soft as it is there.
                Shape::Lines { per_m, compliance, power, .. } => {
                    per_m / (compliance * math::powf(80.0 / LINE_REFERENCE_HZ, -power))
                }
                Shape::Points { per_m2, compliance, .. } => per_m2 / compliance,
            };
            let between = match bridge.kind {
                BridgeKind::Clip { bar_spacing_m, .. } => family.timber_bay_stiffness * bay(bar_spacing_m),
                BridgeKind::Tie { per_m2, .. } => family.timber_bay_stiffness * bay(1.0 / per_m2.sqrt()),
                _ => f64::INFINITY,
            };
            1.0 / (1.0 / own.max(1e-9) + 1.0 / between.max(1e-9))
        }
    }
}
