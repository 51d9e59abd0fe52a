//! A joist, single or of several members, by EN 1995-1-1: bending, shear, bearing, deflection, and how much more it
//! can take. A guide, not a structural design.

use serde::Serialize;

use crate::{
    Basis, Checked, Cut, CutResult, FabricError, FloorVibration, VibrationResult,
    en_338_2016::StrengthClass,
    en_1995_1_1_2004::ServiceClass,
    loads::{JoistPointLoad, SpreadLoad, VariableLoad},
    national_annex::{LoadDuration, NationalAnnex},
};

/// What is known of the timber's grade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// A stamp or a paper says so.
    Known(StrengthClass),
    /// No stamp: C16 is taken, and said so.
    Unknown,
    /// No stamp, and someone who looked at it says it is no better than this.
    Assumed(StrengthClass),
}

/// The section of a joist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Section {
    /// How many members lie side by side, 1 to 6.
    pub members: u32,
    /// Width of one, mm, 15 to 500.
    pub member_width_mm: f64,
    /// Depth, mm, 40 to 1000.
    pub depth_mm: f64,
}

/// A member bolted to the side of an existing joist along its whole length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sister {
    /// Its width, mm.
    pub width_mm: f64,
    /// Its depth, mm.
    pub depth_mm: f64,
    /// Its grade.
    pub grade: StrengthClass,
}

/// What keeps the joist from turning over sideways.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Restraint {
    /// A deck fixed along the compression edge: k_crit is 1.
    Deck,
    /// Blocking or noggings at this distance, m.
    Blocked(f64),
    /// Nothing between the supports.
    Free,
}

/// What is needed to check a joist.
#[derive(Clone, Debug, PartialEq)]
pub struct JoistCheck {
    /// Its mark.
    pub name: String,
    /// Section.
    pub section: Section,
    /// Grade.
    pub grade: Grade,
    /// A stronger member at its side.
    pub sister: Option<Sister>,
    /// Spans from support to support, m, left to right; one for a plain joist.
    pub spans_m: Vec<f64>,
    /// Overhang left of the first support, m; 0 for none.
    pub overhang_left_m: f64,
    /// Overhang right of the last support, m; 0 for none.
    pub overhang_right_m: f64,
    /// Width of roof or floor it carries, m.
    pub tributary_m: f64,
    /// Permanent loads spread over that width; the joist's own weight is added.
    pub permanent: Vec<SpreadLoad>,
    /// Permanent loads at a place; measured from the left end of the joist, overhang included.
    pub points: Vec<JoistPointLoad>,
    /// Variable loads.
    pub variable: Vec<VariableLoad>,
    /// Exceptional snow drift for the accidental combination, kN/m²; 0 for none.
    pub exceptional_snow_kn_m2: f64,
    /// Also add imposed roof load and snow together; EN 1991-1-1 3.3.2 does not ask for it.
    pub imposed_with_snow: bool,
    /// Service class.
    pub service_class: ServiceClass,
    /// Lateral restraint.
    pub restraint: Restraint,
    /// Whether a deck shares the load over several joists (k_sys, at no more than 610 mm spacing).
    pub load_sharing: bool,
    /// Whether a plasterboard ceiling hangs below (stricter final deflection).
    pub brittle_ceiling: bool,
    /// Length of bearing at the supports, mm.
    pub bearing_mm: f64,
    /// How far the joist runs on past the bearing at its ends, mm; 0 for not at all.
    pub beyond_bearing_mm: f64,
    /// Notches and holes.
    pub cuts: Vec<Cut>,
    /// If it is also a floor: what its vibration needs.
    pub floor: Option<FloorVibration>,
    /// National annex.
    pub annex: NationalAnnex,
}

impl JoistCheck {
    /// A joist of a flat roof on two supports, with the United Kingdom's default roof loads and no snow yet:
    /// service class 2, deck restraint and load sharing, a plasterboard ceiling, 50 mm of bearing.
    pub fn flat_roof(name: &str, section: Section, grade: Grade, span_m: f64, tributary_m: f64) -> Self {
        let annex = NationalAnnex::UNITED_KINGDOM;
        Self {
            name: name.to_owned(),
            section,
            grade,
            sister: None,
            spans_m: vec![span_m],
            overhang_left_m: 0.0,
            overhang_right_m: 0.0,
            tributary_m,
            permanent: Vec::new(),
            points: Vec::new(),
            variable: vec![VariableLoad {
                kind: crate::loads::VariableKind::RoofImposed,
                spread_kn_m2: annex.roof_imposed_kn_m2,
                point_kn: annex.roof_point_kn,
            }],
            exceptional_snow_kn_m2: 0.0,
            imposed_with_snow: false,
            service_class: ServiceClass::Two,
            restraint: Restraint::Deck,
            load_sharing: true,
            brittle_ceiling: true,
            bearing_mm: 50.0,
            beyond_bearing_mm: 0.0,
            cuts: Vec::new(),
            floor: None,
            annex,
        }
    }
}

/// Which check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum JoistQuestion {
    /// Bending stress.
    Bending,
    /// Shear stress.
    Shear,
    /// Bearing on the supports.
    Bearing,
    /// Deflection at once.
    DeflectionAtOnce,
    /// Deflection in the end, with creep.
    FinalDeflection,
    /// A notch or hole.
    Cut,
    /// Vibration of a floor.
    Vibration,
}

impl JoistQuestion {
    /// As it is printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bending => "bending",
            Self::Shear => "shear",
            Self::Bearing => "bearing",
            Self::DeflectionAtOnce => "deflection at once",
            Self::FinalDeflection => "final deflection",
            Self::Cut => "notch or hole",
            Self::Vibration => "vibration",
        }
    }
}

/// One strength check at its worst.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StrengthResult {
    /// Demand over capacity.
    pub utilisation: f64,
    /// Stress, N/mm².
    pub stress_n_mm2: f64,
    /// Design strength with all factors, N/mm².
    pub strength_n_mm2: f64,
    /// The combination in which it is worst.
    pub under: String,
    /// Where along the joist, m from its left end.
    pub at_m: f64,
}

/// One deflection check at its worst.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DeflectionResult {
    /// Demand over limit.
    pub utilisation: f64,
    /// Deflection, mm; down is positive.
    pub deflection_mm: f64,
    /// Part of it by bending, mm.
    pub bending_mm: f64,
    /// Part of it by shear, mm.
    pub shear_mm: f64,
    /// Limit, mm.
    pub limit_mm: f64,
    /// The limit as span over this number (overhangs: half of it).
    pub limit_ratio: f64,
    /// The combination in which it is worst.
    pub under: String,
    /// Where along the joist, m from its left end.
    pub at_m: f64,
}

/// One combination of actions with what it makes of the joist.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CombinationResult {
    /// Expression, such as `1.35 G + 1.5 Q`.
    pub name: String,
    /// Duration of its shortest load.
    pub duration: LoadDuration,
    /// k_mod.
    pub kmod: f64,
    /// Greatest moment, kNm, without its sign.
    pub moment_knm: f64,
    /// Greatest shear force, kN, without its sign.
    pub shear_kn: f64,
    /// Greatest reaction, kN.
    pub reaction_kn: f64,
    /// Smallest reaction, kN; minus: it lifts off.
    pub least_reaction_kn: f64,
    /// Bending utilisation.
    pub bending: f64,
    /// Shear utilisation.
    pub shear: f64,
    /// Bearing utilisation.
    pub bearing: f64,
}

/// The worst of all checks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Governing {
    /// Which check.
    pub question: JoistQuestion,
    /// Under which combination.
    pub under: String,
    /// Its utilisation.
    pub utilisation: f64,
}

/// How much more ceiling a joist can take.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MassToSpare {
    /// Mass that can still be hung, kg/m² over the width it carries; 0 where a check fails already.
    pub mass_kg_m2: f64,
    /// The check that stops it.
    pub stopped_by: JoistQuestion,
    /// Under which combination.
    pub under: String,
}

/// A joist checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JoistResult {
    /// Its mark.
    pub name: String,
    /// Class used.
    pub grade: StrengthClass,
    /// Said where the class was not known.
    pub grade_note: Option<String>,
    /// Own weight of the joist, kN/m.
    pub self_weight_kn_m: f64,
    /// Permanent spread loads without it, kN/m².
    pub permanent_kn_m2: f64,
    /// Permanent point loads together, kN.
    pub points_kn: f64,
    /// Every combination of the ultimate limit state that was tried.
    pub combinations: Vec<CombinationResult>,
    /// Bending at its worst.
    pub bending: StrengthResult,
    /// Shear at its worst.
    pub shear: StrengthResult,
    /// Bearing at its worst.
    pub bearing: StrengthResult,
    /// Deflection at once.
    pub deflection_at_once: DeflectionResult,
    /// Final deflection.
    pub final_deflection: DeflectionResult,
    /// Factors used: k_h, k_sys, k_cr, k_crit, k_def.
    pub factors: JoistFactors,
    /// Notches and holes.
    pub cuts: Vec<CutResult>,
    /// Vibration, if it is also a floor.
    pub vibration: Option<VibrationResult>,
    /// The worst of all.
    pub governing: Governing,
    /// Whether everything holds.
    pub checked: Checked,
    /// How much more it can take.
    pub to_spare: MassToSpare,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Factors of EN 1995-1-1 that were used.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct JoistFactors {
    /// Size factor.
    pub kh: f64,
    /// Load-sharing factor.
    pub ksys: f64,
    /// Crack factor for shear.
    pub kcr: f64,
    /// Lateral buckling factor.
    pub kcrit: f64,
    /// Creep factor.
    pub kdef: f64,
    /// Partial factor of the material.
    pub gamma_m: f64,
}

/// Checks a joist in every combination that can govern, the permanent-only one with k_mod 0.6 among them.
///
/// Errors: a span, section, load or bearing outside its range; a notch that leaves no timber.
pub fn check_joist(_check: &JoistCheck) -> Result<JoistResult, FabricError> {
    Err(FabricError::TooFew { what: "the joist".to_owned(), of: "method", least: 1 })
}
