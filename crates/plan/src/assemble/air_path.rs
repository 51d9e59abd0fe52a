//! Silenced ways for air: what each lets through, and the smallest box that would do.

use bands::{BAND_COUNT, Spectrum};
use fabric::{
    duct::{
        AirPathResult, BaffleBox, LinedDuct, SelfNoise, WantedBox, baffle_box, lined_duct,
        smallest_baffle_box_that,
    },
    room::RoomResult,
};
use quantities::{format::with_unit, math};
use rayon::prelude::*;
use sound::criterion::Criterion;

use crate::{
    assemble::surfaces::{Octaves, PLASTERED_WALL, thirds},
    memory::Recalling,
    outcome::{FanDuty, HeardOutcome, VentOutcome},
    project::{Project, Vent, VentKind, VentWay},
};

/// Absorption of a lining of 25 mm of fibre behind a cloth, octaves 63 Hz to 8 kHz (typical, no source).
const LINING_25: Octaves = [0.05, 0.12, 0.30, 0.60, 0.80, 0.85, 0.85, 0.80];
/// Absorption of a lining of 50 mm.
const LINING_50: Octaves = [0.10, 0.22, 0.60, 0.90, 0.95, 0.95, 0.90, 0.90];
/// From this thickness a lining counts as 50 mm, mm.
const THICK_LINING_MM: f64 = 40.0;
/// An air path shall stay this far under a receiver's limit, so that it adds no more than 0.4 dB to what the rest may let
/// through, dB.
const UNDER_LIMIT_DB: f64 = 10.0;
/// The longest box that is looked for, m.
const LONGEST_BOX_M: f64 = 1.2;

/// Loss, velocity and pressure drop of each vent, in the order of the file.
pub(crate) fn air_paths(project: &Project) -> Vec<Result<AirPathResult, String>> {
    project.vents.iter().map(|vent| air_path(project, vent)).collect()
}

pub(crate) fn air_path(project: &Project, vent: &Vent) -> Result<AirPathResult, String> {
    let air_l_s = air_l_s(project, vent);
    let result = match (vent.kind, [vent.box_length_mm, vent.box_width_mm, vent.box_height_mm]) {
        (VentKind::BaffleBox, [Some(length_mm), Some(width_mm), Some(height_mm)]) => {
            baffle_box(&BaffleBox::end_to_end(
                &wanted(vent, air_l_s, lining(vent)),
                [length_mm / 1000.0, width_mm / 1000.0, height_mm / 1000.0],
                vent.duct_height_mm / 1000.0,
            ))
        }
        _ => lined_duct(&LinedDuct {
            name: vent.name.clone(),
            width_m: vent.duct_width_mm / 1000.0,
            height_m: vent.duct_height_mm / 1000.0,
            length_m: vent.lined_length_mm / 1000.0,
            absorption: lining(vent),
            bends: vent.bends,
            air_l_s,
        }),
    };
    result.map_err(|error| error.to_string())
}

fn lining(vent: &Vent) -> [f64; BAND_COUNT] {
    thirds(match &vent.lining {
        Some(_) if vent.lining_mm >= THICK_LINING_MM => &LINING_50,
        Some(_) => &LINING_25,
        None => &PLASTERED_WALL,
    })
}

fn wanted(vent: &Vent, air_l_s: f64, absorption: [f64; BAND_COUNT]) -> WantedBox {
    WantedBox {
        name: vent.name.clone(),
        absorption,
        outlet_m2: vent.duct_width_mm * vent.duct_height_mm * 1e-6,
        air_l_s,
        longest_m: LONGEST_BOX_M,
    }
}

/// The vents of one way share the fresh air equally.
fn air_l_s(project: &Project, vent: &Vent) -> f64 {
    let same = project.vents.iter().filter(|other| other.air == vent.air).count();
    project.room_use.as_ref().map_or(0.0, |used| used.fresh_air_l_s) / same.max(1) as f64
}

/// A sentence for the way that no vent goes, if people use the room.
pub(crate) fn missing_way(project: &Project) -> Option<String> {
    let has = |way: VentWay| project.vents.iter().any(|vent| vent.air == way);
    if project.room_use.is_none() || project.vents.is_empty() {
        return None;
    }
    match (has(VentWay::Supply), has(VentWay::Extract)) {
        (true, false) => Some(
            "No vent takes used air out: in a tight room as much must leave as comes in. Enter the extract as a `[[vent]]` with `air = \"extract\"`."
                .to_owned(),
        ),
        (false, true) => Some(
            "No vent brings fresh air in: what is drawn out is drawn in through cracks, and its sound with it. Enter the inlet as a `[[vent]]` with `air = \"supply\"`."
                .to_owned(),
        ),
        _ => None,
    }
}

/// What each vent does for the room, once it is known what is heard.
pub(crate) fn vents(
    project: &Project,
    paths: &[AirPathResult],
    heard: &[HeardOutcome],
    room: Option<&RoomResult>,
    memory: &Recalling<'_>,
) -> Vec<VentOutcome> {
    project
        .vents
        .par_iter()
        .filter_map(|vent| paths.iter().find(|path| path.name == vent.name).map(|path| (vent, path)))
        .map(|(vent, path)| VentOutcome {
            flow_noise_dba: room.map(|room| flow_noise_dba(path, room)),
            ..vent_outcome(project, (vent, path), heard, memory)
        })
        .collect()
}

fn vent_outcome(
    project: &Project,
    (vent, path): (&Vent, &AirPathResult),
    heard: &[HeardOutcome],
    memory: &Recalling<'_>,
) -> VentOutcome {
    let air_l_s = air_l_s(project, vent);
    let through = let_through(vent, heard);
    let now = through.first().map(|(margin_db, one)| (*margin_db, one.receiver.to_owned()));
    let lining = if vent.lining.is_some() { lining(vent) } else { thirds(&LINING_50) };
    let smallest_box = now.as_ref().and_then(|_| {
        let wanted = wanted(vent, air_l_s, lining);
        memory.recall(&memory.boxes, &(&wanted, &path.insertion_loss_db, &through), || {
            smallest_baffle_box_that(&wanted, |loss_db| {
                let gain_db = loss_db.minus(&path.insertion_loss_db);
                through.iter().all(|(_, one)| one.margin_db(&gain_db) >= 0.0)
            })
            .ok()
            .flatten()
        })
    });
    let mut notes = Vec::new();
    if let Some((margin_db, receiver)) = &now {
        notes.push(if (0.0..1.0).contains(margin_db) {
            format!("It just stays 10 dB under the limit at {receiver}, where it matters most.")
        } else if *margin_db >= 0.0 {
            format!(
                "It may let {} more through before it counts at {receiver} (10 dB under the limit there).",
                with_unit(*margin_db, 0, "dB")
            )
        } else {
            format!(
                "It lets {} too much through to stay 10 dB under the limit at {receiver}: give it more lining, or a box.",
                with_unit(-margin_db, 0, "dB")
            )
        });
        notes.push(match &smallest_box {
            Some(found) => format!(
                "The smallest lined box in its place that keeps every limit is {} × {} × {} inside the lining, inlet low at one \
                 end, outlet high at the other; it drops {}.",
                with_unit(found.length_m * 1000.0, 0, "mm"),
                with_unit(found.width_m * 1000.0, 0, "mm"),
                with_unit(found.height_m * 1000.0, 0, "mm"),
                with_unit(found.result.pressure_drop_pa, 1, "Pa")
            ),
            None => format!(
                "No single lined box up to {} long keeps every limit in its place: use a lined duct, or two boxes one after the other.",
                with_unit(LONGEST_BOX_M, 1, "m")
            ),
        });
    }
    if path.self_noise != SelfNoise::Silent {
        let area_cm2 = air_l_s / 1000.0 / QUIET_M_S * 1e4;
        notes.push(format!(
            "Its own noise of flowing air may be heard: {} would keep it silent.",
            with_unit(area_cm2.ceil(), 0, "cm² of clear opening")
        ));
    }
    VentOutcome {
        name: vent.name.clone(),
        kind: vent.kind,
        air: vent.air,
        air_l_s,
        flow_noise_dba: None,
        margin_db: now.as_ref().map(|(margin_db, _)| *margin_db),
        tightest_at: now.map(|(_, receiver)| receiver),
        smallest_box,
        notes,
    }
}

/// Level of the flow's own noise in the room, dB(A): L = L_W + 10 lg(4/A) in each band.
fn flow_noise_dba(path: &AirPathResult, room: &RoomResult) -> f64 {
    Spectrum::from_fn(|band| {
        let area_m2 = room.decay.iter().find(|decay| decay.band == band).map_or(10.0, |decay| decay.area_m2);
        path.flow_noise_power_db.get(band) + math::db_of_energy(4.0 / area_m2.max(0.5))
    })
    .total_a_db()
}

/// What the fan must press against: one supply and one extract after the other, the worst of each way.
pub(crate) fn fan(project: &Project, paths: &[AirPathResult]) -> Option<FanDuty> {
    let worst = |way: VentWay| {
        project
            .vents
            .iter()
            .filter(|vent| vent.air == way)
            .filter_map(|vent| paths.iter().find(|path| path.name == vent.name))
            .map(|path| path.pressure_drop_pa)
            .fold(0.0, f64::max)
    };
    let air_l_s = project.room_use.as_ref().map(|used| used.fresh_air_l_s).filter(|air| *air > 0.0)?;
    (!paths.is_empty())
        .then(|| FanDuty { air_l_s, pressure_pa: worst(VentWay::Supply) + worst(VentWay::Extract) })
}

/// Up to this velocity an opening is unheard in a quiet room, m/s (common practice).
const QUIET_M_S: f64 = 1.5;

/// What a vent lets through to one receiver, and what it may add there.
#[derive(Debug)]
struct LetThrough<'a> {
    receiver: &'a str,
    level_db: Spectrum,
    may_add: MayAdd<'a>,
}

#[derive(Debug)]
enum MayAdd<'a> {
    Dba(f64),
    Bands(&'a Spectrum),
}

impl LetThrough<'_> {
    /// Distance from what it may add, dB, with its loss raised by `gain_db`; infinite where nothing is asked of any band.
    fn margin_db(&self, gain_db: &Spectrum) -> f64 {
        let level_db = self.level_db.minus(gain_db);
        let to_limit_db = match &self.may_add {
            MayAdd::Dba(limit_dba) => limit_dba - level_db.total_a_db(),
            MayAdd::Bands(allowed_db) => allowed_db
                .iter()
                .map(|(band, allowed)| allowed - level_db.get(band))
                .filter(|margin| margin.is_finite())
                .fold(f64::INFINITY, f64::min),
        };
        to_limit_db - UNDER_LIMIT_DB
    }
}

/// What the vent lets through to every receiver with a limit it counts at, the tightest first with its margin, dB.
fn let_through<'a>(vent: &Vent, heard: &'a [HeardOutcome]) -> Vec<(f64, LetThrough<'a>)> {
    let mut all: Vec<(f64, LetThrough<'a>)> = heard
        .iter()
        .filter_map(|outcome| {
            let share = outcome.heard.shares.iter().find(|share| share.name == vent.name)?;
            let verdict = outcome.heard.verdict.as_ref()?;
            let may_add = match (&verdict.criterion, &outcome.criterion_db) {
                (Criterion::LimitDba { limit_dba }, _) => MayAdd::Dba(*limit_dba),
                (_, Some(criterion_db)) => MayAdd::Bands(criterion_db),
                _ => return None,
            };
            Some(LetThrough { receiver: &outcome.receiver, level_db: *share.level_db.median_db(), may_add })
        })
        .map(|one| (one.margin_db(&Spectrum::flat(0.0)), one))
        .filter(|(margin_db, _)| margin_db.is_finite())
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}
