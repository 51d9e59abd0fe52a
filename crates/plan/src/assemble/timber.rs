//! Loads of roof and ceiling on the joists, clips, bars and screws.

use fabric::{
    Cut, CutKind, FloorVibration,
    en_338_2016::StrengthClass,
    en_1991_1_3_2003::{ground_snow_uk, roof_snow},
    en_1995_1_1_2004::ServiceClass,
    loads::{
        BarLoad, ClipLoad, FixingResult, JoistPointLoad, ScrewLoad, SpreadLoad, VariableKind, VariableLoad,
        check_bar, check_clip, check_screws, load_kn_m2_of_mass,
    },
    national_annex::NationalAnnex,
    timber::{Grade, JoistCheck, JoistResult, Section, Sister, check_joist},
};
use geometry::Point;
use quantities::{
    air::GRAVITY_M_S2,
    format::{number, with_unit},
    math,
};
use setout::Layout;
use survey::Survey;

use crate::{
    assemble::{
        ceiling::hung_boards,
        material::{fibre, solid},
    },
    outcome::DeadLoad,
    project::{self, ElementId, GradeId, Layer, LeafKind, Project, RoofKind},
};

/// Width of a firring piece, mm, and its density, kg/m³ (softwood; common practice).
const FIRRING: (f64, f64) = (47.0, 420.0);
/// Mass of bars and clips where nothing is set out yet, kg/m² (typical of bars at 600 mm, no source).
const PLAIN_METAL_KG_M2: f64 = 1.2;

/// The joists checked and the loads taken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Timber {
    /// Each joist.
    pub(crate) joists: Vec<JoistResult>,
    /// The one used most.
    pub(crate) governing: Option<usize>,
    /// Dead loads.
    pub(crate) dead: Vec<DeadLoad>,
    /// Loads that are not in the check, or that someone should confirm.
    pub(crate) loads_missing: Vec<String>,
    /// What could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

/// Dead loads of the roof and the ceiling, from above to below.
pub(crate) fn dead_loads(
    project: &Project,
    layout: Option<&Layout>,
    spacing_mm: f64,
    run_m: f64,
) -> Vec<DeadLoad> {
    let mut dead = Vec::new();
    let Some(spec) = project.buildup_of(ElementId::Ceiling).map(|buildup| &buildup.element) else {
        return dead;
    };
    let hung = hung_boards(spec).len();
    let last_hung = spec.layers.len().saturating_sub(hung);
    for (index, layer) in spec.layers.iter().enumerate() {
        match layer {
            Layer::Leaf(leaf) => {
                let solid = solid(leaf);
                let on_clips = index >= last_hung && hung > 0;
                dead.push(DeadLoad { name: solid.name.clone(), mass_kg_m2: solid.mass_kg_m2(), on_clips });
            }
            Layer::Cavity(cavity) => {
                if let Some(fibre) = fibre(cavity) {
                    dead.push(DeadLoad {
                        name: fibre.name,
                        mass_kg_m2: fibre.density_kg_m3 * fibre.thickness_m,
                        on_clips: false,
                    });
                }
            }
        }
    }
    if let Some(roof) = &project.roof
        && spacing_mm > 0.0
    {
        let mean_mm = roof.firring_least_mm + roof.fall_mm_per_m * run_m / 2.0;
        if mean_mm > 0.0 {
            let (width_mm, density) = FIRRING;
            dead.push(DeadLoad {
                name: "firrings".to_owned(),
                mass_kg_m2: width_mm * mean_mm * 1e-6 * density / (spacing_mm / 1000.0),
                on_clips: false,
            });
        }
    }
    if hung > 0 {
        let boards: f64 = dead.iter().filter(|load| load.on_clips).map(|load| load.mass_kg_m2).sum();
        let metal = layout.map_or(PLAIN_METAL_KG_M2, |layout| (layout.take_off.mass_kg_m2 - boards).max(0.0));
        dead.push(DeadLoad { name: "bars".to_owned(), mass_kg_m2: metal, on_clips: true });
    }
    dead
}

/// Checks every joist with the point loads its clips really make.
pub(crate) fn timber(project: &Project, survey: &Survey, layout: Option<&Layout>) -> Timber {
    let mut timber = Timber::default();
    let (Some(joists), Some(ceiling)) = (&project.joists, &survey.ceiling) else {
        timber.not_checked.push(
            "The joists are not checked: enter `joists` and each `[[joist]]` with its running dimensions."
                .to_owned(),
        );
        return timber;
    };
    let widths_mm = tributary_widths_mm(survey);
    let run_m =
        ceiling.joists.iter().map(|joist| joist.line.from.distance_mm(joist.line.to)).fold(0.0, f64::max)
            / 1000.0;
    let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
    timber.dead = dead_loads(project, layout, mean_mm, run_m);
    match variable_loads(project) {
        Ok((_, missing)) => timber.loads_missing = missing,
        Err(sentence) => timber.loads_missing.push(sentence),
    }
    timber.not_checked.extend(timber.loads_missing.iter().cloned());
    for index in 0..ceiling.joists.len() {
        let Some(check) = joist_check(project, survey, layout, (&timber.dead, index)) else { continue };
        match check_joist(&check) {
            Ok(mut result) => {
                let name = &result.name;
                for opening in joists.openings.iter().filter(|opening| opening.cut.contains(name)) {
                    result.notes.push(format!(
                        "It is cut for {}: checked here as if it were whole, which its pieces bear more easily.",
                        opening.name
                    ));
                }
                timber.joists.push(result);
            }
            Err(error) => timber.not_checked.push(error.to_string()),
        }
    }
    timber.governing = (0..timber.joists.len()).max_by(|a, b| {
        timber.joists[*a].governing.utilisation.total_cmp(&timber.joists[*b].governing.utilisation)
    });
    timber
}

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
    let at_m = |from_face_mm: f64| (from_face_mm / 1000.0 + bearing_m / 2.0).clamp(0.0, span_m);
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
    check.bearing_mm = joists.bearing_mm;
    check.load_sharing = mean_mm <= 610.0;
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
    // The survey leaves out a joist whose line it cannot place: its own entry is found by name.
    if let Some(own) = joists.each.iter().find(|own| own.name == joist.name) {
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
                at_m: cut.at_mm / 1000.0 + bearing_m / 2.0,
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
    if project.roof.is_some() {
        check.variable = variable_loads(project).map(|(loads, _)| loads).unwrap_or_default();
    }
    if project.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::Floor) {
        check.service_class = ServiceClass::One;
        check.floor = deck_stiffness_nm2_m(project).map(|deck_stiffness_nm2_m| FloorVibration {
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

/// Bending stiffness across the joists of the boards that lie on them, N m² per metre: the sum of E d³/12 of each sheet; none
/// without a board.
fn deck_stiffness_nm2_m(project: &Project) -> Option<f64> {
    let spec = &project.buildup_of(ElementId::Ceiling)?.element;
    let stiffness: f64 = spec
        .layers
        .iter()
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
fn variable_loads(project: &Project) -> Result<(Vec<VariableLoad>, Vec<String>), String> {
    let Some(roof) = &project.roof else {
        let sentence = "What lies over the joists is not known: enter `[roof]` with its kind, or neither snow nor anyone on it is \
                        counted.";
        return Ok((Vec::new(), vec![sentence.to_owned()]));
    };
    let mut missing = Vec::new();
    let annex = NationalAnnex::UNITED_KINGDOM;
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

fn grade(id: Option<&GradeId>) -> Grade {
    id.and_then(|id| StrengthClass::from_name(id.as_str()).ok()).map_or(Grade::Unknown, Grade::Known)
}

/// Width of roof each joist carries, mm: half way to its neighbours at mid-span, and to the wall at the ends.
pub(crate) fn tributary_widths_mm(survey: &Survey) -> Vec<f64> {
    let Some(ceiling) = &survey.ceiling else { return Vec::new() };
    let lines: Vec<(Point, Point)> =
        ceiling.joists.iter().map(|joist| (joist.line.from, joist.line.to)).collect();
    let Some((from, to)) = lines.first() else { return Vec::new() };
    let Some(along) = (*to - *from).unit() else { return vec![0.0; lines.len()] };
    let across = along.left();
    let place = |(from, to): &(Point, Point)| (*from + (*to - *from) * 0.5).dot(across);
    let corners: Vec<f64> = survey.corners.iter().map(|corner| corner.at.dot(across)).collect();
    let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
    let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let places: Vec<f64> = lines.iter().map(place).collect();
    places
        .iter()
        .map(|&here| {
            let below = places.iter().copied().filter(|&p| p < here - 1.0).fold(f64::NEG_INFINITY, f64::max);
            let above = places.iter().copied().filter(|&p| p > here + 1.0).fold(f64::INFINITY, f64::min);
            let left = if below.is_finite() { (here - below) / 2.0 } else { (here - low).max(0.0) };
            let right = if above.is_finite() { (above - here) / 2.0 } else { (high - here).max(0.0) };
            left + right
        })
        .collect()
}

/// Clip, bar and screws against the makers' figures.
pub(crate) fn fixings(
    project: &Project,
    layout: &Layout,
) -> (Option<FixingResult>, Option<FixingResult>, Vec<FixingResult>, Vec<String>) {
    let mut not_checked = Vec::new();
    let mut keep = |result: Result<FixingResult, fabric::FabricError>| match result {
        Ok(result) => Some(result),
        Err(error) => {
            not_checked.push(error.to_string());
            None
        }
    };
    let worst = layout.clips.iter().max_by(|a, b| a.load_kg.total_cmp(&b.load_kg));
    let clip = worst.and_then(|clip| {
        keep(check_clip(&ClipLoad {
            name: format!("clip {}", clip.number),
            area_m2: clip.area_m2,
            ceiling_kg_m2: if clip.area_m2 > 0.0 { clip.load_kg / clip.area_m2 } else { 0.0 },
            rated_kg: project.stock.clip.as_ref().and_then(|clip| clip.rated_load_kg),
        }))
    });
    let bar = widest_bar(layout).and_then(|(number, span_m, tributary_m)| {
        keep(check_bar(&BarLoad {
            name: format!("bar {number}"),
            span_m,
            tributary_m,
            ceiling_kg_m2: layout.take_off.mass_kg_m2,
            rated_kg_m: project.stock.bar.as_ref().and_then(|bar| bar.capacity_kg_m),
        }))
    });
    // The screws of every layer reach the bars, so each layer hangs on its own.
    let screws = layout
        .take_off
        .boards
        .iter()
        .filter_map(|count| {
            keep(check_screws(&ScrewLoad {
                name: format!("screws of layer {}", count.layer),
                mass_kg: count.mass_kg,
                screws: count.screws as u32,
                rated_kg: project.stock.bar.as_ref().and_then(|bar| bar.screw_capacity_kg),
            }))
        })
        .collect();
    (clip, bar, screws, not_checked)
}

/// The bar that carries most per metre: its number, its longest clip gap and the width it carries, m.
fn widest_bar(layout: &Layout) -> Option<(usize, f64, f64)> {
    let frame = &layout.frame;
    let mut places: Vec<(usize, f64)> = layout
        .bars
        .iter()
        .map(|bar| {
            let middle = bar.from + (bar.to - bar.from) * 0.5;
            (bar.number, frame.frame_from_room(middle).y_mm)
        })
        .collect();
    places.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut widest: Option<(usize, f64)> = None;
    for (index, (number, here)) in places.iter().enumerate() {
        let before =
            index.checked_sub(1).and_then(|i| places.get(i)).map_or(0.0, |place| (here - place.1) / 2.0);
        let after = places.get(index + 1).map_or(0.0, |place| (place.1 - here) / 2.0);
        if widest.is_none_or(|(_, width)| before + after > width) {
            widest = Some((*number, before + after));
        }
    }
    let (number, width_mm) = widest?;
    let bar = layout.bars.iter().position(|bar| bar.number == number)?;
    let mut along: Vec<f64> =
        layout.clips.iter().filter(|clip| clip.bar == bar).map(|clip| clip.along_mm).collect();
    along.sort_by(f64::total_cmp);
    let span_mm = along.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    Some((number, span_mm / 1000.0, width_mm / 1000.0))
}
