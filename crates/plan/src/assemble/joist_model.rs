//! Each joist as a beam: its supports, what holds it sideways, and everything that bears on it.

use fabric::{
    Cut, CutKind, FloorVibration,
    en_338_2016::StrengthClass,
    en_1991_1_3_2003::{ground_snow_uk, roof_snow},
    en_1995_1_1_2004::ServiceClass,
    loads::{JoistPointLoad, SpreadLoad, VariableKind, VariableLoad, load_kn_m2_of_mass},
    national_annex::NationalAnnex,
    timber::{Grade, JoistCheck, Restraint, Section, Sister},
};
use quantities::{
    air::GRAVITY_M_S2,
    format::{number, with_unit},
    math,
};
use setout::Layout;
use survey::Survey;

use crate::{
    assemble::{material::solid, timber::tributary_widths_mm},
    outcome::DeadLoad,
    project::{self, AnnexName, ElementId, GradeId, Layer, LeafKind, Project, RoofKind},
};

/// One joist with everything that bears on it; none where there are no joists.
///
/// Places count from the middle of the bearing at the wall it starts from: the person measures from that wall's inner face.
pub(crate) fn joist_check(
    project: &Project,
    survey: &Survey,
    layout: Option<&Layout>,
    (dead, index): (&[DeadLoad], usize),
) -> Option<JoistCheck> {
    let joists = project.joists.as_ref()?;
    let joist = survey.ceiling.as_ref()?.joists.get(index)?;
    let widths_mm = tributary_widths_mm(survey);
    let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
    let clear_m = joist.line.from.distance_mm(joist.line.to) / 1000.0;
    let bearing_m = joists.bearing_mm / 1000.0;
    let span_m = clear_m + bearing_m;
    // The survey leaves out a joist whose line it cannot place: its own entry is found by name.
    let own = joists.each.iter().find(|own| own.name == joist.name);
    let ends_mm = own.map_or([0.0; 2], |own| own.overhangs_mm);
    let [left_m, right_m] =
        ends_mm.map(|mm| if mm < LEAST_OVERHANG_MM { 0.0 } else { mm / 1000.0 + bearing_m / 2.0 });
    let from_face_m = |mm: f64| left_m + mm / 1000.0 + bearing_m / 2.0;
    // What bears on the bearing itself counts at the support; what lies beyond the joist is refused by the check.
    let at_m = |mm: f64| {
        let at = from_face_m(mm);
        let on_it = left_m - bearing_m..=left_m + span_m + bearing_m;
        if on_it.contains(&at) { at.clamp(left_m, left_m + span_m) } else { at }
    };
    let mut check = JoistCheck::flat_roof(
        &joist.name,
        Section {
            members: joists.members,
            member_width_mm: joists.member_width_mm,
            depth_mm: joists.depth_mm,
        },
        grade(joists.grade.as_ref()),
        span_m,
        widths_mm.get(index).copied().unwrap_or(mean_mm) / 1000.0,
    );
    check.annex = annex(project);
    check.spans_m = spans_m(own.map_or(&[][..], |own| &own.supports_mm), span_m, bearing_m);
    check.overhang_left_m = left_m;
    check.overhang_right_m = right_m;
    check.beyond_bearing_mm = ends_mm.into_iter().fold(f64::INFINITY, f64::min).min(LEAST_OVERHANG_MM);
    check.bearing_mm = joists.bearing_mm;
    let deck = deck_stiffness_nm2_m(project);
    check.restraint = match (deck, joists.blocking_mm) {
        (Some(_), None) => Restraint::Deck,
        (Some(_), Some(every_mm)) => Restraint::DeckAndBlocked(every_mm / 1000.0),
        (None, Some(every_mm)) => Restraint::Blocked(every_mm / 1000.0),
        (None, None) => Restraint::Free,
    };
    check.load_sharing = deck.is_some() && mean_mm <= check.annex.load_sharing_up_to_mm;
    check.permanent = dead
        .iter()
        .filter(|load| !load.on_clips || layout.is_none())
        .map(|load| SpreadLoad { name: load.name.clone(), load_kn_m2: load_kn_m2_of_mass(load.mass_kg_m2) })
        .collect();
    check.points = layout.map_or_else(Vec::new, |layout| {
        layout
            .joist_loads
            .iter()
            .filter(|load| load.joist == index)
            .map(|load| JoistPointLoad {
                name: "clip".to_owned(),
                at_m: at_m(load.at_mm),
                load_kn: load.load_kg * GRAVITY_M_S2 / 1000.0,
            })
            .collect()
    });
    if let Some(own) = own {
        check.points.extend(own.loads.iter().map(|load| JoistPointLoad {
            name: load.name.clone(),
            at_m: at_m(load.at_mm),
            load_kn: load.mass_kg * GRAVITY_M_S2 / 1000.0,
        }));
        check.cuts = own
            .cuts
            .iter()
            .map(|cut| Cut {
                kind: match cut.kind {
                    project::CutKind::TopNotch => CutKind::TopNotch,
                    project::CutKind::BottomNotch => CutKind::BottomNotch,
                    project::CutKind::Hole => CutKind::Hole,
                },
                at_m: from_face_m(cut.at_mm),
                size_mm: cut.size_mm,
                off_centre_mm: cut.off_centre_mm,
            })
            .collect();
        check.sister = own.sister.as_ref().map(|sister| Sister {
            width_mm: sister.width_mm,
            depth_mm: sister.depth_mm,
            grade: match grade(sister.grade.as_ref()) {
                Grade::Known(class) | Grade::Assumed(class) => class,
                Grade::Unknown => StrengthClass::C16,
            },
        });
    }
    if let Some(roof) = &project.roof {
        check.exceptional_snow_kn_m2 = roof.snow_drift_kn_m2.unwrap_or(0.0);
        check.variable = variable_loads(project).map(|(loads, _)| loads).unwrap_or_default();
    }
    if project.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::Floor) {
        check.service_class = ServiceClass::One;
        check.floor = deck.map(|deck_stiffness_nm2_m| FloorVibration {
            floor_width_m: (widths_mm.iter().sum::<f64>() / 1000.0).max(0.5),
            deck_stiffness_nm2_m,
            damping: FLOOR_DAMPING,
        });
    }
    Some(check)
}

/// Modal damping ratio of a floor (UK NA to BS EN 1995-1-1, from memory).
const FLOOR_DAMPING: f64 = 0.02;
/// Load of a loft that only stores things, kN/m², and its concentrated load, kN (UK practice, from memory).
const LOFT: (f64, f64) = (0.25, 0.9);

/// A shorter overhang carries nothing worth a span of its own, mm; it lengthens the contact in bearing.
const LEAST_OVERHANG_MM: f64 = 30.0;

/// From support to support, m: `supports_mm` from the inner face of the wall the joist starts from.
pub(crate) fn spans_m(supports_mm: &[f64], span_m: f64, bearing_m: f64) -> Vec<f64> {
    let mut spans = Vec::new();
    let mut last = 0.0;
    for at in supports_mm.iter().map(|mm| mm / 1000.0 + bearing_m / 2.0).chain([span_m]) {
        spans.push(at - last);
        last = at;
    }
    spans
}

/// The annex the file names.
pub(crate) fn annex(project: &Project) -> NationalAnnex {
    match project.roof.as_ref().map(|roof| roof.national_annex) {
        Some(AnnexName::Recommended) => NationalAnnex::RECOMMENDED,
        Some(AnnexName::UnitedKingdom) | None => NationalAnnex::UNITED_KINGDOM,
    }
}

/// Bending stiffness across the joists of the boards that lie on them, N m² per metre: the sum of E d³/12 of each sheet; none
/// without a board. The boards on the joists are those next to the cavity the joists cross, or to the outermost one where the file
/// names none.
pub(crate) fn deck_stiffness_nm2_m(project: &Project) -> Option<f64> {
    let spec = &project.buildup_of(ElementId::Ceiling)?.element;
    let crossed = |layer: &Layer| matches!(layer, Layer::Cavity(cavity) if cavity.timbers.is_some());
    let cavity = spec
        .layers
        .iter()
        .position(crossed)
        .or_else(|| spec.layers.iter().position(|layer| matches!(layer, Layer::Cavity(_))))?;
    let stiffness: f64 = spec
        .layers
        .iter()
        .take(cavity)
        .rev()
        .map_while(|layer| if let Layer::Leaf(leaf) = layer { Some(solid(leaf)) } else { None })
        .filter(|solid| solid.kind == LeafKind::Board)
        .map(|solid| {
            let d = solid.thickness_m;
            solid.youngs_modulus_pa * d * d * d / 12.0 * f64::from(solid.sheets)
        })
        .sum();
    (stiffness > 0.0).then_some(stiffness)
}

/// Variable loads by the kind of the roof, and a sentence for each that is left out or should be confirmed.
pub(crate) fn variable_loads(project: &Project) -> Result<(Vec<VariableLoad>, Vec<String>), String> {
    let Some(roof) = &project.roof else {
        let sentence = "What lies over the joists is not known: enter `[roof]` with its kind, or neither snow nor anyone on it is \
                        counted.";
        return Ok((Vec::new(), vec![sentence.to_owned()]));
    };
    let mut missing = Vec::new();
    let annex = annex(project);
    let (kind, usual_kn_m2, point_kn) = match roof.kind {
        RoofKind::ColdFlat | RoofKind::WarmFlat => {
            (VariableKind::RoofImposed, annex.roof_imposed_kn_m2, annex.roof_point_kn)
        }
        RoofKind::Loft => (VariableKind::Store, LOFT.0, LOFT.1),
        RoofKind::Floor => (VariableKind::Floor, annex.floor_imposed_kn_m2, annex.floor_point_kn),
    };
    let mut loads =
        vec![VariableLoad { kind, spread_kn_m2: roof.imposed_kn_m2.unwrap_or(usual_kn_m2), point_kn }];
    if let Some(given) = roof.imposed_kn_m2.filter(|given| *given < usual_kn_m2) {
        missing.push(format!(
            "`roof.imposed_kn_m2` is {} where {} is usual: have the lower load confirmed, or leave the key away.",
            number(given, 2),
            with_unit(usual_kn_m2, 2, "kN/m²")
        ));
    }
    // A loft or a floor lies under another roof, which carries the snow.
    if matches!(roof.kind, RoofKind::Loft | RoofKind::Floor) {
        return Ok((loads, missing));
    }
    let ground_kn_m2 = match (roof.snow_ground_kn_m2, roof.snow_zone) {
        (Some(ground_kn_m2), _) => {
            if ground_kn_m2 <= 0.0 {
                missing.push(
                    "`roof.snow_ground_kn_m2` is nothing: have it confirmed that no snow lies there."
                        .to_owned(),
                );
            }
            ground_kn_m2
        }
        (None, Some(_)) if roof.national_annex == AnnexName::Recommended => {
            missing.push(
                "Snow is not counted: the zones are those of the United Kingdom; enter `roof.snow_ground_kn_m2` for a roof elsewhere.".to_owned(),
            );
            return Ok((loads, missing));
        }
        (None, Some(zone)) => {
            if roof.altitude_m.is_none() {
                missing.push("Snow is counted as at sea level: enter `roof.altitude_m`.".to_owned());
            }
            ground_snow_uk(f64::from(zone), roof.altitude_m.unwrap_or(0.0).max(0.0))
                .map_err(|error| error.to_string())?
        }
        (None, None) => {
            missing.push(
                "Snow is not counted: enter `roof.snow_zone` from the national map, or `roof.snow_ground_kn_m2`."
                    .to_owned(),
            );
            return Ok((loads, missing));
        }
    };
    let pitch_deg = math::atan(roof.fall_mm_per_m / 1000.0).to_degrees();
    loads.push(VariableLoad {
        kind: VariableKind::Snow,
        spread_kn_m2: roof_snow(ground_kn_m2, pitch_deg),
        point_kn: 0.0,
    });
    Ok((loads, missing))
}

pub(crate) fn grade(id: Option<&GradeId>) -> Grade {
    id.and_then(|id| StrengthClass::from_name(id.as_str()).ok()).map_or(Grade::Unknown, Grade::Known)
}
