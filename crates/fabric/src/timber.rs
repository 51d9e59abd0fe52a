//! A joist, single or of several members, by EN 1995-1-1: bending, shear, bearing, deflection, and how much more it
//! can take. A guide, not a structural design.

use serde::Serialize;

use crate::{
    Basis, Checked, Cut, CutResult, FabricError, FloorVibration, VibrationResult,
    en_338_2016::StrengthClass,
    en_1995_1_1_2004::{self as ec5, ServiceClass},
    joist::Model,
    joist_input, joist_notes,
    loads::{JoistPointLoad, SpreadLoad, VariableLoad},
    national_annex::{LoadDuration, NationalAnnex},
    to_spare,
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
    /// A deck, and blocking or noggings at this distance, m, that hold the lower edge too.
    DeckAndBlocked(f64),
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

impl JoistCheck {
    /// Whether k_sys may be used: a deck shares the load and the joists stand no further apart than the annex allows.
    pub(crate) fn shares_load(&self) -> bool {
        self.load_sharing && self.tributary_m * 1000.0 <= self.annex.load_sharing_up_to_mm
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

/// What one support carries, with characteristic loads (no partial factors): the figure for the beam or wall below.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SupportLoad {
    /// Where, m from the left end of the joist.
    pub at_m: f64,
    /// Of the permanent loads alone, kN.
    pub permanent_kn: f64,
    /// The most of any arrangement, kN.
    pub most_kn: f64,
    /// The least of any arrangement, kN; minus: the joist pulls upwards.
    pub least_kn: f64,
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
    /// Spans from support to support, m, left to right.
    pub spans_m: Vec<f64>,
    /// Overhang left of the first and right of the last support, m; 0 for none.
    pub overhangs_m: [f64; 2],
    /// What holds it sideways.
    pub restraint: Restraint,
    /// What each support carries, left to right.
    pub supports: Vec<SupportLoad>,
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
pub fn check_joist(check: &JoistCheck) -> Result<JoistResult, FabricError> {
    joist_input::validate(check)?;
    let (grade, grade_note) = match check.grade {
        Grade::Known(class) => (class, None),
        Grade::Unknown => (
            StrengthClass::C16,
            Some(
                "The timber's grade is not known: C16 is taken. Have it graded on site before relying on it."
                    .to_owned(),
            ),
        ),
        Grade::Assumed(class) => (
            class,
            Some(format!(
                "The timber's grade is not known: {} is taken on someone's word. Have it graded on site.",
                class.name()
            )),
        ),
    };
    let model = Model::new(check, grade);
    let evaluation = model.evaluate(check, 0.0)?;
    let vibration = check.floor.map(|floor| to_spare::vibrate(check, &model, &floor, 0.0));
    // What is sure to fail governs over a vibration, which may be only open.
    let sure = to_spare::worst(&evaluation, None);
    let governing =
        if sure.utilisation > 1.0 { sure.clone() } else { to_spare::worst(&evaluation, vibration.as_ref()) };
    let to_spare = to_spare::mass_to_spare(check, &model, &governing)?;
    let factors = model.parts.first().map_or_else(JoistFactors::none, |part| JoistFactors {
        kh: part.kh,
        ksys: model.ksys,
        kcr: ec5::KCR,
        kcrit: part.kcrit.0,
        kdef: ec5::kdef(check.service_class),
        gamma_m: check.annex.gamma_m_solid_timber,
    });
    let open = vibration.as_ref().and_then(|v| match &v.checked {
        Checked::Open { .. } => Some(v.checked.clone()),
        _ => None,
    });
    let checked = match open {
        Some(open) if sure.utilisation <= 1.0 => open,
        _ => Checked::of(governing.utilisation),
    };
    Ok(JoistResult {
        name: check.name.clone(),
        grade,
        grade_note,
        spans_m: check.spans_m.clone(),
        overhangs_m: [check.overhang_left_m, check.overhang_right_m],
        restraint: check.restraint,
        supports: model.support_loads(check)?,
        self_weight_kn_m: model.self_weight_n_m / 1000.0,
        permanent_kn_m2: check.permanent.iter().map(|load| load.load_kn_m2).sum(),
        points_kn: check.points.iter().map(|load| load.load_kn).sum(),
        notes: joist_notes::notes(check, &evaluation),
        combinations: evaluation.combinations,
        bending: evaluation.bending,
        shear: evaluation.shear,
        bearing: evaluation.bearing,
        deflection_at_once: evaluation.at_once,
        final_deflection: evaluation.in_the_end,
        factors,
        cuts: evaluation.cuts,
        vibration,
        governing,
        checked,
        to_spare,
        basis: joist_notes::basis(check, grade),
    })
}

impl JoistFactors {
    const fn none() -> Self {
        Self { kh: 1.0, ksys: 1.0, kcr: ec5::KCR, kcrit: 1.0, kdef: 0.0, gamma_m: 1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{CutKind, loads};

    fn joist() -> JoistCheck {
        let section = Section { members: 1, member_width_mm: 47.0, depth_mm: 195.0 };
        let mut joist = JoistCheck::flat_roof("J1", section, Grade::Known(StrengthClass::C24), 3.6, 0.4);
        joist.permanent = vec![SpreadLoad { name: "roof and ceiling".to_owned(), load_kn_m2: 1.1 }];
        joist
    }

    #[test]
    fn an_unknown_grade_is_taken_as_c16_and_said_so() {
        let result = check_joist(&JoistCheck { grade: Grade::Unknown, ..joist() }).unwrap();
        assert_eq!(result.grade, StrengthClass::C16);
        assert!(result.grade_note.unwrap().contains("C16"));
    }

    #[test]
    fn what_is_to_spare_brings_the_joist_to_its_limit_and_no_further() {
        let plain = joist();
        let result = check_joist(&plain).unwrap();
        assert!(result.checked.holds());
        let more = |share: f64| {
            let mut loaded = plain.clone();
            loaded.permanent.push(SpreadLoad {
                name: "more".to_owned(),
                load_kn_m2: loads::load_kn_m2_of_mass(result.to_spare.mass_kg_m2 * share),
            });
            check_joist(&loaded).unwrap()
        };
        assert!(more(1.0).checked.holds());
        assert!(more(1.001).checked.fails());
        assert_eq!(more(1.001).governing.question, result.to_spare.stopped_by);
    }

    #[test]
    fn two_members_side_by_side_carry_twice() {
        let one = check_joist(&joist()).unwrap();
        let mut doubled = joist();
        doubled.section.members = 2;
        doubled.tributary_m = 0.8;
        let two = check_joist(&doubled).unwrap();
        assert!((one.final_deflection.deflection_mm - two.final_deflection.deflection_mm).abs() < 1e-9);
        assert!(two.notes.iter().any(|note| note.contains("bolt")));
    }

    #[test]
    fn a_sister_takes_its_share_by_stiffness() {
        let mut sistered = joist();
        sistered.sister = Some(Sister { width_mm: 47.0, depth_mm: 195.0, grade: StrengthClass::C24 });
        let mut doubled = joist();
        doubled.section.members = 2;
        let (a, b) = (check_joist(&sistered).unwrap(), check_joist(&doubled).unwrap());
        assert!((a.bending.utilisation - b.bending.utilisation).abs() < 1e-9);
        assert!(a.bearing.utilisation > b.bearing.utilisation);
    }

    #[test]
    fn a_notch_at_mid_span_weakens_and_one_too_deep_is_refused() {
        let mut notched = joist();
        notched.cuts = vec![Cut { kind: CutKind::BottomNotch, at_m: 1.8, size_mm: 60.0, off_centre_mm: 0.0 }];
        let result = check_joist(&notched).unwrap();
        let cut = result.cuts.first().unwrap();
        assert!(cut.utilisation > result.bending.utilisation);
        assert!(!cut.permitted);
        notched.cuts =
            vec![Cut { kind: CutKind::BottomNotch, at_m: 1.8, size_mm: 200.0, off_centre_mm: 0.0 }];
        let error = check_joist(&notched).unwrap_err();
        assert!(error.to_string().contains("200 mm deep in a joist 195 mm deep"), "{error}");
    }

    #[test]
    fn an_overhang_that_lifts_the_far_end_says_hold_it_down() {
        let mut over = joist();
        over.spans_m = vec![1.0];
        over.overhang_right_m = 1.5;
        let result = check_joist(&over).unwrap();
        assert!(result.notes.iter().any(|note| note.contains("hold the joist down")), "{:?}", result.notes);
        assert!(result.factors.kcrit <= 1.0);
    }

    #[test]
    fn a_floor_is_checked_for_vibration() {
        let mut floor = joist();
        floor.floor =
            Some(FloorVibration { floor_width_m: 4.0, deck_stiffness_nm2_m: 2000.0, damping: 0.02 });
        let result = check_joist(&floor).unwrap();
        let vibration = result.vibration.unwrap();
        assert!((5.0..40.0).contains(&vibration.frequency_hz), "{vibration:?}");
    }

    #[test]
    fn joists_far_apart_share_nothing() {
        let near = check_joist(&joist()).unwrap();
        let far = check_joist(&JoistCheck { tributary_m: 0.65, ..joist() }).unwrap();
        assert!(near.factors.ksys > 1.05 && far.factors.ksys < 1.05);
        assert!(far.notes.iter().any(|note| note.contains("610 mm")));
    }

    #[test]
    fn a_span_of_nothing_is_refused_in_a_sentence() {
        let error = check_joist(&JoistCheck { spans_m: vec![0.0], ..joist() }).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the span of joist J1 is 0 m, which is outside 0.1 to 20 m: measure from the middle of one bearing to the middle of the next"
        );
    }
}
