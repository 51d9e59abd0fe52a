//! Fresh air, and the room inside: decay time and modes.

use fabric::{
    air::{Activity as FabricActivity, AirCheck, AirResult, People, check_air},
    plan_modes::{modes_over_plan, plan_eigenvalues},
    room::{RoomInside, RoomResult, room_inside},
};
use quantities::{air::SPEED_OF_SOUND_M_S, format::with_unit};
use survey::Survey;

use catalogue::{Activity as ActivityEntry, find};

use crate::{
    assemble::surfaces::{Octaves, surfaces, thirds},
    memory::Recalling,
    outcome::{Heights, PlanModes},
    project::{Project, RoomUse},
};

/// Carbon dioxide outdoors, ppm (about 2020; common practice).
const OUTDOOR_PPM: f64 = 420.0;
/// Decay time wanted in a small practice room for loud playing, s (DIN 18041 group A3 and ISO 23591 speak of 0.3 to
/// 0.6 s in rooms of this size; from memory).
const WANTED_DECAY_S: f64 = 0.35;

/// Absorbing area of a standing person, m².
const PERSON: Octaves = [0.10, 0.12, 0.25, 0.45, 0.70, 0.80, 0.80, 0.75];

/// Clear height of the room used for its volume, m: the headroom where there is one, else the lowest wall.
pub(crate) fn clear_height_m(project: &Project, headroom_mm: Option<f64>) -> f64 {
    let wall_mm = project.walls.iter().map(|wall| wall.height_mm).fold(f64::INFINITY, f64::min);
    headroom_mm.unwrap_or(if wall_mm.is_finite() { wall_mm } else { 2400.0 }).max(100.0) / 1000.0
}

/// Volume of air, m³.
pub(crate) fn volume_m3(survey: &Survey, height_m: f64) -> f64 {
    survey.area_mm2 * 1e-6 * height_m
}

/// Decay time, modes and absorption to add.
pub(crate) fn room(project: &Project, survey: &Survey, height_m: f64) -> Result<RoomResult, String> {
    let people = project.room_use.as_ref().map_or(1, |used| used.people);
    let mut extra_area_m2 = thirds(&PERSON);
    for area in &mut extra_area_m2 {
        *area *= f64::from(people);
    }
    let (length_m, width_m) = mean_sides_m(survey);
    room_inside(&RoomInside {
        volume_m3: volume_m3(survey, height_m),
        mean_size_m: [length_m, width_m, height_m],
        surfaces: surfaces(project, survey, height_m),
        extra_area_m2,
        wanted_s: project.room_use.as_ref().map_or(WANTED_DECAY_S, |used| used.wanted_decay_s),
    })
    .map_err(|error| error.to_string())
}

/// Sides of the rectangle with the room's area and the proportions of its bounds, m.
fn mean_sides_m(survey: &Survey) -> (f64, f64) {
    let xs = survey.corners.iter().map(|corner| corner.at.x_mm);
    let ys = survey.corners.iter().map(|corner| corner.at.y_mm);
    let span = |values: &mut dyn Iterator<Item = f64>| {
        let (low, high) =
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        (high - low).max(1.0) / 1000.0
    };
    let (across, up) = (span(&mut xs.into_iter()), span(&mut ys.into_iter()));
    let scale = (survey.area_mm2 * 1e-6 / (across * up)).max(0.01).sqrt();
    (across * scale, up * scale)
}

/// Carbon dioxide, vapour and heat of a session.
pub(crate) fn air(project: &Project, volume_m3: f64) -> Result<AirResult, String> {
    let Some(used) = &project.room_use else {
        return Err(
            "Fresh air is not checked: enter `use` with people, what they do, and for how long.".to_owned()
        );
    };
    check_air(&AirCheck {
        volume_m3,
        people: people(used),
        session_h: used.hours,
        fresh_air_l_s: (used.fresh_air_l_s > 0.0).then_some(used.fresh_air_l_s),
        limit_ppm: used.co2_limit_ppm,
        outdoor_ppm: OUTDOOR_PPM,
        start_ppm: OUTDOOR_PPM,
        inside_c: used.inside_temperature_c,
        equipment_w: used.equipment_w,
    })
    .map_err(|error| error.to_string())
}

/// Those who do it at once, and the others, who sit.
fn people(used: &RoomUse) -> Vec<People> {
    let active = used.at_once.unwrap_or(used.people).min(used.people);
    let mut people = vec![People { count: active, activity: activity(used.activity.as_str()) }];
    if used.people > active {
        people.push(People { count: used.people - active, activity: FabricActivity::Sitting });
    }
    people
}

/// The activity at the metabolic rate of its entry in the catalogue.
fn activity(id: &str) -> FabricActivity {
    find::<ActivityEntry>(id).map_or(FabricActivity::Sitting, |activity| FabricActivity::Met(activity.met))
}

/// How many modes are printed.
const MODES_SHOWN: usize = 20;

/// Eigenvalues of the room's own plan, 1/m²; they take longest and wait for no height.
pub(crate) fn plan_shape(survey: &Survey, memory: &Recalling<'_>) -> Result<Vec<f64>, String> {
    let corners_m: Vec<(f64, f64)> =
        survey.corners.iter().map(|corner| (corner.at.x_mm / 1000.0, corner.at.y_mm / 1000.0)).collect();
    memory.shape(&corners_m, || plan_eigenvalues(&corners_m).map_err(|error| error.to_string()))
}

/// Modes over the plan under the new ceiling and, where the joists were levelled, up to their lowest underside.
pub(crate) fn modes(
    shape: &[f64],
    height_m: f64,
    heights: Option<&Heights>,
    schroeder_hz: Option<f64>,
) -> Result<PlanModes, String> {
    let at = |height_m: f64| modes_over_plan(shape, height_m, MODES_SHOWN).map_err(|error| error.to_string());
    let modes = at(height_m)?;
    let height_mode_hz = SPEED_OF_SOUND_M_S / (2.0 * height_m);
    let bare_height_m = heights.and_then(|heights| heights.inside.last()).map(|link| link.to_mm / 1000.0);
    let bare_modes = bare_height_m.map_or(Ok(Vec::new()), at)?;
    let bare_height_mode_hz = bare_height_m.map(|height_m| SPEED_OF_SOUND_M_S / (2.0 * height_m));
    let mut notes = Vec::new();
    if let (Some(bare_m), Some(bare_hz)) = (bare_height_m, bare_height_mode_hz) {
        let drop_mm = (bare_m - height_m) * 1000.0;
        notes.push(format!(
            "The new ceiling hangs {} below the lowest joist: the first mode of the height moves from {} to {}. The modes of the \
             plan stay where they are.",
            with_unit(drop_mm, 0, "mm"),
            with_unit(bare_hz, 1, "Hz"),
            with_unit(height_mode_hz, 1, "Hz")
        ));
    }
    if bare_height_m.is_some() {
        notes.push(
            "The Schroeder frequency hardly moves with the ceiling's height: decay and volume fall together, and only the absorbing area \
             counts."
                .to_owned(),
        );
    }
    if let Some(schroeder_hz) = schroeder_hz {
        let below = modes.iter().filter(|mode| mode.frequency_hz < schroeder_hz).count();
        let all = modes.last().is_some_and(|mode| mode.frequency_hz < schroeder_hz);
        notes.push(format!(
            "{}{below} of these modes lie below the Schroeder frequency of {}, where each is heard alone: put absorption that \
             works there into the corners.",
            if all { "All " } else { "" },
            with_unit(schroeder_hz, 0, "Hz")
        ));
    }
    if let Some((low, high)) = closest_pair(&modes) {
        notes.push(format!(
            "The modes at {} and {} lie closest together of the first eight: expect one loud note there.",
            with_unit(low, 1, "Hz"),
            with_unit(high, 1, "Hz")
        ));
    }
    Ok(PlanModes {
        height_m,
        modes,
        height_mode_hz,
        bare_height_m,
        bare_modes,
        bare_height_mode_hz,
        schroeder_hz,
        notes,
        basis: vec![fabric::Basis::new(
            "modes of the room's own plan",
            "finite elements with quadratic triangles over the surveyed corners, rigid walls, times the closed form for the height",
        )],
    })
}

/// The closest neighbours among the first eight modes, where they lie within a semitone of each other.
fn closest_pair(modes: &[fabric::room::RoomMode]) -> Option<(f64, f64)> {
    const SEMITONE: f64 = 1.059_463;
    modes
        .iter()
        .take(8)
        .zip(modes.iter().take(8).skip(1))
        .map(|(a, b)| (a.frequency_hz, b.frequency_hz))
        .filter(|(low, high)| *low > 0.0 && high / low < SEMITONE)
        .min_by(|a, b| (a.1 / a.0).total_cmp(&(b.1 / b.0)))
}
