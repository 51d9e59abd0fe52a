//! The one function that plans a room.

use std::sync::atomic::AtomicBool;

use bands::Ratings;
use setout::{Ceiling, Layout};
use sound::Prediction;
use survey::{Survey, SurveyError};

use crate::{
    assemble::{
        air_path, as_built, ceiling, damp,
        element::{ClipPattern, element_of_file},
        facts, faults, heard, joist_beam, joist_opening, lined, lining, proof, room_air, section, shell,
        survey as adjust, timber, verdicts,
    },
    heights::heights,
    memory::{Memory, Recalling},
    order::{order, price_by_name},
    outcome::{Basis, CeilingOutcome, FabricOutcome, Plan},
    project::{ElementFile, Project},
    steps::{StepFacts, steps},
};

/// Why a room cannot be planned at all: its shape is not known. Everything else that cannot be worked out is told in the
/// plan itself.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The readings give no room.
    #[error(transparent)]
    Survey(#[from] SurveyError),
}

impl PlanError {
    /// Whether a joist does not fit the room, rather than the tapes each other.
    pub fn is_of_a_joist(&self) -> bool {
        matches!(self, Self::Survey(SurveyError::Joist(_)))
    }
}

/// Plans a room: a pure function of the project, the same bit for bit on any number of threads.
///
/// # Errors
/// Only where the tapes give no room; the sentence says which tape to take or check.
pub fn plan(project: &Project) -> Result<Plan, PlanError> {
    let memory = Memory::forgetful();
    let memory = Recalling::exact(&memory);
    plan_with(project, &memory, |project, survey| set_out(project, survey, &memory, &AtomicBool::new(false)))
}

/// Plans a room with the steps a memory keeps, its ceiling set out as it is told.
pub(crate) fn plan_with(
    project: &Project,
    memory: &Recalling<'_>,
    set_out: impl FnOnce(&Project, &Survey) -> CeilingOutcome + Send,
) -> Result<Plan, PlanError> {
    let proved = faults::with_allowances(project);
    let project = proved.as_ref();
    let survey = adjust::adjusted(project)?;
    memory.begin(&survey);
    // From here on every lined wall is made of wall, cavity and boards.
    let lined = lined::with_linings(project);
    let project = lined.as_ref();
    let (ceiling, (walls, shape)) = rayon::join(
        || set_out(project, &survey),
        || (shell::walls_and_openings(project, &survey, memory), room_air::plan_shape(&survey, memory)),
    );
    let layout = ceiling.layout.as_ref();
    let timber = timber::timber(project, &survey, layout, memory);
    let widths_mm = timber::tributary_widths_mm(&survey);
    let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
    let joist_fraction = match &project.joists {
        Some(joists) if mean_mm > 0.0 => joists.width_mm() / mean_mm,
        _ => 0.0,
    };
    let damp = damp::damp(project, joist_fraction, facts::longest_joist_m(&survey));
    let height_facts = facts::height_facts(project, &survey, &ceiling, damp.warm_roof.as_ref());
    let heights = height_facts.as_ref().map(heights);
    let clear_m = room_air::clear_height_m(project, heights.as_ref().map(|heights| heights.headroom_mm));
    let volume_m3 = room_air::volume_m3(&survey, clear_m);
    let mut not_checked = timber.not_checked.clone();
    let mut timber_open = timber.open.clone();
    let joist_openings = joist_opening::joist_openings(project, &survey, &timber.dead)
        .into_iter()
        .filter_map(|opening| opening.map_err(|sentence| timber_open.push(sentence)).ok())
        .collect();
    let under = joist_beam::beams(project, &survey, &timber.joists);
    timber_open.extend(under.open);
    not_checked.extend(timber_open.iter().cloned().chain(under.else_carried));
    let wall_fabric = damp::walls(project, &mut not_checked);
    let mut keep = |sentence: String| not_checked.push(sentence);
    let room = room_air::room(project, &survey, clear_m).map_err(&mut keep).ok();
    let air = room_air::air(project, volume_m3).map_err(&mut keep).ok();
    let air_paths: Vec<_> =
        air_path::air_paths(project).into_iter().filter_map(|path| path.map_err(&mut keep).ok()).collect();
    let schroeder_hz = room.as_ref().map(|room| room.schroeder_hz);
    let modes = shape
        .and_then(|shape| room_air::modes(&shape, clear_m, heights.as_ref(), schroeder_hz))
        .map_err(&mut keep)
        .ok();
    not_checked.extend(air_path::missing_way(project));
    not_checked.extend(damp.not_checked.iter().cloned());
    let clips = layout.map(|layout| ClipPattern {
        per_m2: layout.clips.len() as f64 / layout.take_off.area_m2.max(0.1),
        bar_spacing_m: layout.take_off.area_m2.max(0.1) / layout.take_off.bar_length_m.max(0.1),
    });
    let shell = shell::shell(
        project,
        [shell::roof(project, &survey, clips, ceiling.bridged_clips, memory), walls],
        &air_paths,
        memory,
    );
    let roof_top_m =
        heights.as_ref().map_or_else(|| clear_m + 0.3, |heights| heights.roof_top_above_ground_mm / 1000.0);
    let listening = heard::listening(project, &survey, &shell, (room.as_ref(), roof_top_m), memory);
    let known = proof::Known {
        project,
        survey: &survey,
        clips,
        shell: &shell,
        room: room.as_ref(),
        volume_m3,
        roof_top_m,
    };
    let judge = || proof::proof(&known, &listening);
    let proof = if project.measurements.is_empty() {
        judge()
    } else {
        memory.judged(&proof::measured_in(project), &proof::hangs_on(&known), judge, || {
            proof::not_judged_yet(project)
        })
    };
    not_checked.extend(shell.not_checked.iter().cloned());
    not_checked.extend(listening.not_checked);
    let vents = air_path::vents(project, &air_paths, &listening.heard, room.as_ref(), memory);
    let fan = air_path::fan(project, &air_paths);
    let (clip, bar, screws, fixing_notes) =
        layout.map_or((None, None, Vec::new(), Vec::new()), |layout| timber::fixings(project, layout));
    not_checked.extend(fixing_notes);
    let order_facts = facts::order_facts(project, &survey, &ceiling);
    let mut order = order_facts.as_ref().map_or_else(|| facts::empty_order(project), order);
    let openings = facts::openings(project);
    let linings = lining::linings(project, &survey, &ceiling, &openings);
    let step_facts = facts::step_facts(project, &survey, &ceiling);
    let steps = steps(&StepFacts { linings: lining::step_facts(project, &linings), ..step_facts });
    lining::add_to_order(project, &linings, &mut order);
    let unknown_prices = price_by_name(&project.stock, &mut order);
    let mut plan = Plan {
        format: 1,
        title: project.title.clone(),
        limits: project.limits.clone(),
        verdicts: Vec::new(),
        findings: Vec::new(),
        heights,
        linings,
        battens: facts::battens(project, &survey),
        openings,
        buildups: project
            .buildups
            .iter()
            .enumerate()
            .map(|(index, buildup)| section::section(project, index, buildup))
            .collect(),
        ceiling,
        elements: shell.elements,
        penetrations: facts::penetrations(project),
        sources: listening.sources,
        heard: listening.heard,
        fabric: FabricOutcome {
            joists: timber.joists,
            governing_joist: timber.governing,
            loads_missing: timber.loads_missing,
            dead_loads: timber.dead,
            clip,
            bar,
            screws,
            u_value: damp.u_value,
            moisture: damp.moisture,
            ventilation: damp.ventilation,
            air,
            air_paths,
            room,
            not_checked,
            modes,
            warm_roof: damp.warm_roof,
            walls: wall_fabric,
            joist_openings,
            beams: under.checked,
            timber_open,
            vents,
            fan,
        },
        proof,
        order,
        steps,
        basis: Vec::new(),
        survey,
    };
    plan.basis = basis(&plan);
    let sealed = project.room_use.as_ref().is_some_and(|used| used.people > 0 && used.fresh_air_l_s <= 0.0);
    plan.verdicts = verdicts::verdicts(&plan, sealed);
    plan.findings = verdicts::findings(&plan, project.rules.perimeter_gap_mm, project.as_built.as_ref());
    plan.findings.extend(unknown_prices);
    memory.end(&plan.survey);
    Ok(plan)
}

/// The adjusted room alone: what the tapes are worth, before anything else is planned.
///
/// # Errors
/// Where the tapes give no room; the sentence says which tape to take or check.
pub fn survey_of(project: &Project) -> Result<Survey, PlanError> {
    Ok(adjust::adjusted(project)?)
}

/// The stamp of the layout the room file gives today, whatever was read of it so far; none where no ceiling is set out.
///
/// # Errors
/// Where the tapes give no room; the sentence says which tape to take or check.
pub fn layout_stamp(project: &Project) -> Result<Option<String>, PlanError> {
    let proved = faults::with_allowances(project);
    let survey = adjust::adjusted(proved.as_ref())?;
    let mut bare = lined::with_linings(proved.as_ref()).into_owned();
    bare.as_built = None;
    let memory = Memory::forgetful();
    Ok(set_out(&bare, &survey, &Recalling::exact(&memory), &AtomicBool::new(false)).stamp)
}

/// One build-up alone, predicted.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ElementReport {
    /// Its name.
    pub name: String,
    /// Width, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
    /// Single-number ratings of the prediction.
    #[serde(flatten)]
    pub ratings: Ratings,
    /// The prediction.
    #[serde(flatten)]
    pub prediction: Prediction,
}

/// Predicts one build-up alone.
///
/// # Errors
/// A sentence for anything that cannot be built.
pub fn plan_element(file: &ElementFile) -> Result<ElementReport, String> {
    let element = element_of_file(file);
    let prediction = sound::predict(&element).map_err(|error| error.to_string())?;
    let ratings = bands::rate_spectrum(&prediction.r_db).map_err(|error| error.to_string())?;
    Ok(ElementReport {
        name: element.name,
        width_m: element.width_m,
        height_m: element.height_m,
        ratings,
        prediction,
    })
}

/// The ceiling as handed to the setting out, and the layout or why there is none.
struct Laid {
    given: Option<Ceiling>,
    planned: Result<Layout, String>,
}

impl Laid {
    /// `allowed_kg` is what each joist may carry, where that is known.
    fn out(project: &Project, survey: &Survey, allowed_kg: &[Option<f64>], stop: &AtomicBool) -> Self {
        match ceiling::ceiling(project, survey) {
            Ok(mut given) => {
                for (joist, allowed_kg) in given.joists.iter_mut().zip(allowed_kg) {
                    joist.allowed_kg = *allowed_kg;
                }
                Self { planned: ceiling::layout(project, &given, stop), given: Some(given) }
            }
            Err(sentence) => Self { given: None, planned: Err(sentence) },
        }
    }
}

/// Rounds in which the ceiling is laid out again with what each joist may carry; where its clips stand counts too, so what it may
/// carry is known better after each.
const SPARING_ROUNDS: usize = 3;

/// Where the clips overload a joist, the ceiling is laid out again with what each joist may carry; kept if no joist is overloaded
/// then.
fn sparing_joists(
    project: &Project,
    survey: &Survey,
    laid: Laid,
    memory: &Recalling<'_>,
    stop: &AtomicBool,
) -> Laid {
    let mut checked = timber::timber(project, survey, laid.planned.as_ref().ok(), memory);
    let Ok(planned) = &laid.planned else { return laid };
    if checked.worst() <= 1.0 {
        return laid;
    }
    let mut allowed_kg = timber::allowed_kg(&checked, survey, planned);
    for _ in 0..SPARING_ROUNDS {
        let other = Laid::out(project, survey, &allowed_kg, stop);
        checked = timber::timber(project, survey, other.planned.as_ref().ok(), memory);
        let Ok(planned) = &other.planned else { break };
        if planned.breaches.is_empty() && checked.worst() <= 1.0 {
            return other;
        }
        let tighter = timber::allowed_kg(&checked, survey, planned);
        let mut changed = false;
        for (known, now) in allowed_kg.iter_mut().zip(tighter) {
            if let (Some(known), Some(now)) = (known.as_mut(), now)
                && now < *known - 0.05
            {
                *known = now;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    laid
}

/// Sets the ceiling out, or ends soon after `stop` is set with the best found so far.
pub(crate) fn set_out(
    project: &Project,
    survey: &Survey,
    memory: &Recalling<'_>,
    stop: &AtomicBool,
) -> CeilingOutcome {
    let laid = sparing_joists(project, survey, Laid::out(project, survey, &[], stop), memory, stop);
    let mut outcome = not_set_out(project, survey);
    let Some(given) = laid.given else {
        outcome.not_planned = laid.planned.err();
        return outcome;
    };
    match laid.planned {
        Ok(planned) => {
            let stamp = planned.stamp();
            let go_on = as_built::mended(project, &given, planned, &stamp);
            refuse_bridged_clips(&mut outcome, go_on.layout.clips.len());
            outcome.breaches.clone_from(&go_on.layout.breaches);
            outcome.noggin_holds = setout::noggin_holds(&given, &go_on.layout);
            outcome.bar_ties = setout::bar_ties(&given, &go_on.layout);
            let now = go_on.as_built.is_some().then(|| go_on.layout.stamp());
            outcome.mended_stamp = now.filter(|now| *now != stamp);
            outcome.layout = Some(go_on.layout);
            outcome.as_built = go_on.as_built;
            outcome.as_built_refused = go_on.refused;
            outcome.stamp = Some(stamp);
        }
        Err(sentence) => outcome.not_planned = Some(sentence),
    }
    outcome.given = Some(given);
    outcome
}

/// Takes no clip as bridged, with the sentence, where more are given than there are.
pub(crate) fn refuse_bridged_clips(outcome: &mut CeilingOutcome, there_are: usize) {
    outcome.bridged_clips_refused = None;
    if outcome.bridged_clips as usize > there_are {
        outcome.bridged_clips_refused = Some(format!(
            "{} clips are given as bridged, but the ceiling has {there_are}: none is taken as bridged; correct `bridged_clips`",
            outcome.bridged_clips
        ));
        outcome.bridged_clips = 0;
    }
}

/// A ceiling without a layout.
pub(crate) fn not_set_out(project: &Project, survey: &Survey) -> CeilingOutcome {
    CeilingOutcome {
        given: None,
        layout: None,
        breaches: Vec::new(),
        not_planned: None,
        as_built: None,
        as_built_refused: None,
        stamp: None,
        mended_stamp: None,
        noggin_holds: Vec::new(),
        bar_ties: Vec::new(),
        wall_gaps: ceiling::wall_gaps(project, survey),
        bridged_clips: project.ceiling.bridged_clips,
        bridged_clips_refused: None,
    }
}

fn basis(plan: &Plan) -> Vec<Basis> {
    let mut basis: Vec<Basis> = Vec::new();
    let mut put = |what: &str, source: &str| {
        let one = Basis { what: what.to_owned(), source: source.to_owned() };
        if !basis.contains(&one) {
            basis.push(one);
        }
    };
    put("corners of the room", "weighted least squares of the tapes with data snooping (Baarda 1968)");
    for element in &plan.elements {
        for method in &element.prediction.method {
            put("sound insulation", method);
        }
    }
    put(
        "level at a receiver",
        "the middle of 1018 draws of source, insulation and way; it lies 1 to 2 dB above the sum of the parts' own middles, because errors upwards weigh more",
    );
    put(
        "sound through a shared wall or ceiling",
        "EN 12354-1:2000 with flanking as a stated allowance on the bare wall: a lining does not quieten what goes round",
    );
    put("sound outdoors", "EN 12354-4:2000 with ISO 9613-1:1993 and ISO 9613-2:1996");
    put("sound from outdoors", "EN 12354-3:2000; the roof taken as exposed as the walls named");
    for source in &plan.sources {
        put(&format!("level of the {}", source.name), &source.basis);
    }
    let fabric = &plan.fabric;
    let from_fabric = fabric
        .joists
        .first()
        .map(|joist| joist.basis.as_slice())
        .into_iter()
        .chain(fabric.u_value.as_ref().map(|u| u.basis.as_slice()))
        .chain(fabric.moisture.as_ref().map(|moisture| moisture.basis.as_slice()))
        .chain(fabric.air.as_ref().map(|air| air.basis.as_slice()))
        .chain(fabric.air_paths.iter().map(|path| path.basis.as_slice()))
        .chain(fabric.room.as_ref().map(|room| room.basis.as_slice()))
        .chain(fabric.modes.as_ref().map(|modes| modes.basis.as_slice()))
        .chain(fabric.clip.as_ref().map(|clip| clip.basis.as_slice()));
    for line in from_fabric.flatten() {
        put(&line.what, &line.source);
    }
    put("setting out, hours and spares", "common practice, no source, unless a rule names one");
    basis
}

/// Hands what is known of a planned room to a trial.
#[cfg(test)]
pub(crate) fn for_trial(project: &Project, run: &dyn Fn(proof::Known<'_>, &heard::Listening)) {
    let survey = adjust::adjusted(project).unwrap();
    let memory = Memory::forgetful();
    let memory = Recalling::exact(&memory);
    let clips = Some(ClipPattern { per_m2: 2.3, bar_spacing_m: 0.55 });
    let air_paths: Vec<_> = air_path::air_paths(project).into_iter().flatten().collect();
    let predicted = [
        shell::roof(project, &survey, clips, project.ceiling.bridged_clips, &memory),
        shell::walls_and_openings(project, &survey, &memory),
    ];
    let shell = shell::shell(project, predicted, &air_paths, &memory);
    let room = room_air::room(project, &survey, 2.3).ok();
    let listening = heard::listening(project, &survey, &shell, (room.as_ref(), 2.75), &memory);
    let known = proof::Known {
        project,
        survey: &survey,
        clips,
        shell: &shell,
        room: room.as_ref(),
        volume_m3: room_air::volume_m3(&survey, 2.3),
        roof_top_m: 2.75,
    };
    run(known, &listening);
}
