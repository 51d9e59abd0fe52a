//! What the fabric comes to: timber, fixings, heat, damp, air and the room inside.

use fabric::{
    air::AirResult,
    cold_roof::VentilationRule,
    duct::{AirPathResult, FoundBox},
    heat::UValue,
    loads::FixingResult,
    moisture::MoistureResult,
    room::{RoomMode, RoomResult},
    timber::JoistResult,
    trimmer::TrimmedResult,
    warm_roof::WarmRoof,
};
use serde::Serialize;

use crate::project::{VentKind, VentWay};

/// Timber, fixings, heat, damp, air and the room inside.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FabricOutcome {
    /// Each joist, in the order of the file.
    pub joists: Vec<JoistResult>,
    /// Which of them is used most.
    pub governing_joist: Option<usize>,
    /// Loads that are not in the check of the joists, or that someone should confirm, a sentence each.
    pub loads_missing: Vec<String>,
    /// Timbers that are not checked, a sentence each; they stand in `not_checked` too.
    pub timber_open: Vec<String>,
    /// Dead loads taken, with their masses, kg/m².
    pub dead_loads: Vec<DeadLoad>,
    /// The clip that carries most.
    pub clip: Option<FixingResult>,
    /// The bar that carries most.
    pub bar: Option<FixingResult>,
    /// The screws of each layer.
    pub screws: Vec<FixingResult>,
    /// Thermal transmittance of the ceiling's build-up.
    pub u_value: Option<UValue>,
    /// Damp in the ceiling's build-up.
    pub moisture: Option<MoistureResult>,
    /// Rules of ventilation of a cold roof.
    pub ventilation: Vec<VentilationRule>,
    /// Carbon dioxide, vapour, heat.
    pub air: Option<AirResult>,
    /// Each silenced air path.
    pub air_paths: Vec<AirPathResult>,
    /// Decay time and modes.
    pub room: Option<RoomResult>,
    /// What could not be worked out, a sentence each.
    pub not_checked: Vec<String>,
    /// Modes of the room's own plan, under the new ceiling and without it.
    pub modes: Option<PlanModes>,
    /// The warm roof in place of a ventilated cold one.
    pub warm_roof: Option<WarmAlternative>,
    /// Heat and damp of each build-up of outside walls.
    pub walls: Vec<WallFabric>,
    /// Hatches and rooflights through the joists.
    pub joist_openings: Vec<JoistOpeningOutcome>,
    /// Timber beams under the joists.
    pub beams: Vec<BeamOutcome>,
    /// What each silenced air path does for the room, in the order of `air_paths`.
    pub vents: Vec<VentOutcome>,
    /// What the fan must deliver through both ways; none without vents or fresh air.
    pub fan: Option<FanDuty>,
}

/// What a fan must deliver.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FanDuty {
    /// Air, l/s.
    pub air_l_s: f64,
    /// Against this pressure of the silenced paths together, Pa; grilles, filters and plain ducts come on top.
    pub pressure_pa: f64,
}

/// Modes of the prism over the room's own plan, and what lowering the ceiling does to them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanModes {
    /// Clear height under the new ceiling, m.
    pub height_m: f64,
    /// First modes under the new ceiling, lowest first.
    pub modes: Vec<RoomMode>,
    /// First mode of the height under the new ceiling, c/(2H), Hz.
    pub height_mode_hz: f64,
    /// Clear height to the joists without the new ceiling, m; none without joist levels.
    pub bare_height_m: Option<f64>,
    /// First modes without the new ceiling; empty without joist levels.
    pub bare_modes: Vec<RoomMode>,
    /// First mode of the height without the new ceiling, Hz.
    pub bare_height_mode_hz: Option<f64>,
    /// Below it single modes are heard, Hz.
    pub schroeder_hz: Option<f64>,
    /// What it all means, a sentence each.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<fabric::Basis>,
}

/// A warm roof in place of the ventilated cold one, against the height there is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WarmAlternative {
    /// With the fibre left between the joists, for its sound; none where no thickness up to 400 mm keeps it dry.
    pub with_fibre: Option<WarmRoof>,
    /// With the fibre taken out.
    pub without_fibre: Option<WarmRoof>,
    /// The U-value both must reach: the cold roof's own, W/(m² K).
    pub u_w_m2k: f64,
}

/// Heat and damp of a build-up of outside walls.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallFabric {
    /// The build-up's name.
    pub buildup: String,
    /// The walls made of it, such as `B-C`.
    pub walls: Vec<String>,
    /// Thermal transmittance.
    pub u_value: UValue,
    /// Moisture over a year; none without climate and use.
    pub moisture: Option<MoistureResult>,
}

/// A hatch or rooflight through the joists, checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JoistOpeningOutcome {
    /// What it is called.
    pub name: String,
    /// The whole joists at its sides.
    pub between: [String; 2],
    /// The joists cut short.
    pub cut: Vec<String>,
    /// Between the middles of the whole joists, mm.
    pub width_mm: f64,
    /// Trimmers and trimming joists.
    pub result: TrimmedResult,
    /// Its corners on the plan inside the timbers, mm.
    pub outline: Vec<geometry::Point>,
}

/// A timber beam under the joists, checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BeamOutcome {
    /// What it is called.
    pub name: String,
    /// The joists that lie on it.
    pub joists: Vec<String>,
    /// Its start at the inner face of a wall, mm.
    pub from: geometry::Point,
    /// Its end at the inner face of a wall, mm.
    pub to: geometry::Point,
    /// The beam as a joist is checked; what its supports carry stands in it.
    pub result: JoistResult,
}

/// What a silenced air path does for the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VentOutcome {
    /// Its name.
    pub name: String,
    /// What silences it: `duct` or `baffle-box`.
    pub kind: VentKind,
    /// Which way the air goes: `supply` or `extract`.
    pub air: VentWay,
    /// Air it carries, l/s.
    pub air_l_s: f64,
    /// Level of its flow's own noise in the room, dB(A), without grilles and fan; none where the room's absorption is not known.
    pub flow_noise_dba: Option<f64>,
    /// By how much its sound stays under what it may add where it is tightest, dB; minus: it lets too much through; none
    /// where no receiver has a limit.
    pub margin_db: Option<f64>,
    /// The receiver where it is tightest.
    pub tightest_at: Option<String>,
    /// The smallest lined box in its place that keeps every receiver's limit.
    pub smallest_box: Option<FoundBox>,
    /// What it all means, a sentence each.
    pub notes: Vec<String>,
}

/// One dead load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DeadLoad {
    /// What it is.
    pub name: String,
    /// Its mass, kg/m².
    pub mass_kg_m2: f64,
    /// Whether the clips carry it.
    pub on_clips: bool,
}
