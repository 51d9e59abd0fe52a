//! Fresh air, the silenced air path, and the room inside.

use bands::{BAND_COUNT, Band};
use fabric::{
    air::{Activity as FabricActivity, AirCheck, AirResult, People, check_air},
    duct::{AirPathResult, LinedDuct, lined_duct},
    room::{RoomInside, RoomResult, RoomSurface, room_inside},
};
use quantities::math;
use survey::Survey;

use catalogue::{Activity as ActivityEntry, find};

use crate::project::{OpeningKind, Project, RoomUse};

/// Carbon dioxide outdoors, ppm (about 2020; common practice).
const OUTDOOR_PPM: f64 = 420.0;
/// Heat of lamps and small equipment, W (typical, no source).
const EQUIPMENT_W: f64 = 100.0;
/// Decay time wanted in a small practice room for loud playing, s (DIN 18041 group A3 and ISO 23591 speak of 0.3 to
/// 0.6 s in rooms of this size; from memory).
const WANTED_DECAY_S: f64 = 0.35;

/// Octave absorption coefficients 63 Hz to 8 kHz of a kind of surface (typical, no source).
type Octaves = [f64; 8];
const BOARDS_ON_CLIPS: Octaves = [0.25, 0.18, 0.10, 0.06, 0.05, 0.05, 0.05, 0.05];
const PLASTERED_WALL: Octaves = [0.01, 0.01, 0.02, 0.02, 0.03, 0.04, 0.05, 0.05];
const FLOOR: Octaves = [0.02, 0.02, 0.03, 0.03, 0.04, 0.05, 0.06, 0.06];
const GLAZING: Octaves = [0.20, 0.15, 0.08, 0.05, 0.04, 0.03, 0.02, 0.02];
const DOOR: Octaves = [0.14, 0.12, 0.08, 0.06, 0.06, 0.06, 0.06, 0.06];
/// Absorbing area of a standing person, m².
const PERSON: Octaves = [0.10, 0.12, 0.25, 0.45, 0.70, 0.80, 0.80, 0.75];
/// Lining of a duct, 25 mm of fibre behind a cloth.
const LINING_25: Octaves = [0.05, 0.12, 0.30, 0.60, 0.80, 0.85, 0.85, 0.80];
/// Lining of a duct, 50 mm.
const LINING_50: Octaves = [0.10, 0.22, 0.60, 0.90, 0.95, 0.95, 0.90, 0.90];

/// From this thickness a lining counts as 50 mm, mm.
const THICK_LINING_MM: f64 = 40.0;

/// Coefficients for every third octave from octave values, straight between octave middles, flat beyond them.
fn thirds(octaves: &Octaves) -> [f64; BAND_COUNT] {
    let mut values = [0.0; BAND_COUNT];
    for (slot, band) in values.iter_mut().zip(Band::all()) {
        let place = math::log2(band.centre_hz() / 63.0).clamp(0.0, 7.0);
        let low = (place.floor() as usize).min(6);
        let part = place - low as f64;
        *slot = octaves[low] * (1.0 - part) + octaves[low + 1] * part;
    }
    values
}

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
    let floor_m2 = survey.area_mm2 * 1e-6;
    let mut surfaces = vec![
        RoomSurface {
            name: "ceiling, boards on clips".to_owned(),
            area_m2: floor_m2,
            absorption: thirds(&BOARDS_ON_CLIPS),
        },
        RoomSurface { name: "floor".to_owned(), area_m2: floor_m2, absorption: thirds(&FLOOR) },
    ];
    let mut walls_m2 = survey.perimeter_mm / 1000.0 * height_m;
    for opening in &project.openings {
        let area_m2 = opening.width_mm * opening.height_mm * 1e-6;
        walls_m2 -= area_m2;
        let octaves = if opening.kind == OpeningKind::Window { &GLAZING } else { &DOOR };
        surfaces.push(RoomSurface { name: opening.name.clone(), area_m2, absorption: thirds(octaves) });
    }
    surfaces.push(RoomSurface {
        name: "walls, plastered".to_owned(),
        area_m2: walls_m2.max(0.0),
        absorption: thirds(&PLASTERED_WALL),
    });
    let people = project.room_use.as_ref().map_or(1, |used| used.people);
    let mut extra_area_m2 = thirds(&PERSON);
    for area in &mut extra_area_m2 {
        *area *= f64::from(people);
    }
    let (length_m, width_m) = mean_sides_m(survey);
    room_inside(&RoomInside {
        volume_m3: volume_m3(survey, height_m),
        mean_size_m: [length_m, width_m, height_m],
        surfaces,
        extra_area_m2,
        wanted_s: WANTED_DECAY_S,
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
        equipment_w: EQUIPMENT_W,
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

/// The activity with the metabolic rate nearest to the catalogue's.
fn activity(id: &str) -> FabricActivity {
    match find::<ActivityEntry>(id).map_or(1.2, |activity| activity.met) {
        met if met < 1.1 => FabricActivity::Sitting,
        met if met < 1.35 => FabricActivity::Playing,
        met if met < 1.75 => FabricActivity::Standing,
        met if met < 2.5 => FabricActivity::Moving,
        _ => FabricActivity::Drumming,
    }
}

/// Each silenced air path.
pub(crate) fn air_paths(project: &Project) -> Vec<Result<AirPathResult, String>> {
    let each_l_s = project.room_use.as_ref().map_or(0.0, |used| used.fresh_air_l_s);
    project
        .vents
        .iter()
        .map(|vent| {
            let octaves = match &vent.lining {
                Some(_) if vent.lining_mm >= THICK_LINING_MM => &LINING_50,
                Some(_) => &LINING_25,
                None => &PLASTERED_WALL,
            };
            lined_duct(&LinedDuct {
                name: vent.name.clone(),
                width_m: vent.duct_width_mm / 1000.0,
                height_m: vent.duct_height_mm / 1000.0,
                length_m: vent.lined_length_mm / 1000.0,
                absorption: thirds(octaves),
                bends: vent.bends,
                air_l_s: each_l_s,
            })
            .map_err(|error| error.to_string())
        })
        .collect()
}
