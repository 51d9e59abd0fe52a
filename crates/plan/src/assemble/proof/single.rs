//! Single A-weighted readings: they check the sum, and cannot tell what is wrong.

use bands::energy_average_db;
use proof::iso_12999_1_2020::{Situation, standard_uncertainty_db};
use quantities::{
    format::{number, with_unit},
    math,
};

use crate::{
    assemble::{
        heard::Listening,
        proof::{
            Known,
            compare::{TO_90TH, together},
            forward::Forward,
            governing_sound, levels_of, stage_words,
        },
        verdicts::capital,
    },
    outcome::{heard_words::at_place, proof::SingleReading},
    project::{Measured, Place, Project, Stage},
};

/// What a plain meter is off, and what another way of playing changes, dB (judgement: a class 2 meter, ±1.4 dB, and a drummer).
const METER_DB: f64 = 1.5;
/// What a source is louder or quieter by than the plan takes it, where its level was not measured, dB (judgement).
const SOURCE_DB: f64 = 4.0;

/// The readings at every receiver where bands are missing on one side at least.
pub(super) fn readings(
    known: &Known<'_>,
    forward: &Forward<'_>,
    listening: &Listening,
    has_bands: &dyn Fn(usize, Stage) -> bool,
) -> Vec<SingleReading> {
    let all =
        (0..known.project.receivers.len()).flat_map(|place| [(place, Stage::After), (place, Stage::Before)]);
    all.filter(|(place, stage)| !has_bands(*place, *stage))
        .filter_map(|(place, stage)| reading(known, forward, listening, (place, stage)))
        .collect()
}

/// Energy average of what was measured of one kind, dB(A): single readings, and the sums of bands.
fn level_dba(project: &Project, what: Measured, receiver: &str, stage: Stage) -> Option<f64> {
    let levels = project
        .measurements
        .iter()
        .enumerate()
        .filter(|(_, one)| one.what == what && one.when == stage && one.on_wall.is_none())
        .filter(|(_, one)| one.receiver.as_deref().is_none_or(|name| name == receiver))
        .filter_map(|(place, one)| {
            one.level_dba.or_else(|| {
                let taken = levels_of(project, place, one).filter(|taken| taken.levels.calibrated)?;
                let bands = taken.levels.bands;
                let weighted: Vec<f64> = bands
                    .measured()
                    .map(|(band, level)| level + bands::iec_61672_1::a_weighting_db(band))
                    .collect();
                (!weighted.is_empty()).then(|| bands::energy_sum_db(weighted))
            })
        });
    energy_average_db(levels)
}

/// Whether a reading with the source on is lower than its own background by more than two readings scatter: that cannot be.
pub(super) fn below_background(project: &Project, receiver: &str, when: Stage) -> bool {
    let of = |what: Measured| level_dba(project, what, receiver, when);
    of(Measured::Receiver)
        .zip(of(Measured::Background))
        .is_some_and(|(raw, behind)| raw < behind - super::BELOW_BACKGROUND_DB)
}

fn reading(
    known: &Known<'_>,
    forward: &Forward<'_>,
    listening: &Listening,
    (place, when): (usize, Stage),
) -> Option<SingleReading> {
    let project = known.project;
    let receiver = project.receivers.get(place)?;
    let (sound, level) = governing_sound(known, listening, place)?;
    let raw_dba = level_dba(project, Measured::Receiver, &receiver.name, when)?;
    if below_background(project, &receiver.name, when) {
        return None;
    }
    let inwards = receiver.place == Place::Inside;
    let side = if inwards { Measured::Outside } else { Measured::Inside };
    let source_dba = level_dba(project, side, &receiver.name, when);
    let (received_dba, at_most) = match level_dba(project, Measured::Background, &receiver.name, when) {
        Some(background) => {
            let corrected = proof::iso_16283_1_2014::without_background(raw_dba, background);
            (corrected.level_db, corrected.limit)
        }
        None => (raw_dba, false),
    };
    let planned = forward.planned(forward.listener(&receiver.name)?)?;
    let there = |difference: &bands::Spectrum| level.minus(difference).total_a_db();
    let weights: Vec<(f64, f64)> = level
        .minus(&planned.0)
        .a_weighted()
        .iter()
        .map(|(band, level)| {
            (math::energy_of_db(level), standard_uncertainty_db(Situation::SameBuilding, band))
        })
        .collect();
    let bands_db = together(&weights);
    let own_db = if source_dba.is_some() { METER_DB } else { SOURCE_DB };
    let deviation_db = (bands_db * bands_db + own_db * own_db).sqrt();
    let planned_levels = [there(&planned.0), there(&planned.2), there(&planned.1)];
    let (measured_dba, planned_dba) = match source_dba {
        Some(source) => (source - received_dba, planned_levels.map(|one| level.total_a_db() - one)),
        None => (received_dba, planned_levels),
    };
    let [middle, one, other] = planned_dba;
    let mut outcome = SingleReading {
        receiver: receiver.name.clone(),
        when,
        sound,
        source_dba,
        received_dba,
        at_most,
        measured_dba,
        deviation_db,
        planned_dba: middle,
        planned_lower_dba: one.min(other),
        planned_upper_dba: one.max(other),
        sentence: String::new(),
    };
    outcome.sentence = sentence(&outcome);
    Some(outcome)
}

fn sentence(one: &SingleReading) -> String {
    let half = TO_90TH * one.deviation_db;
    let hides = if one.at_most { ", the background hiding the rest" } else { "" };
    let what = match one.source_dba {
        Some(source) => format!(
            "{} less {} is a difference of {}{} (±\u{00A0}{})",
            with_unit(source, 0, "dB(A)"),
            with_unit(one.received_dba, 0, "dB(A)"),
            if one.at_most { "at least " } else { "" },
            with_unit(one.measured_dba, 0, "dB"),
            number(half, 0)
        ),
        None => format!(
            "{}{} were read (±\u{00A0}{}, for nobody measured how loud the source was)",
            if one.at_most { "at most " } else { "" },
            with_unit(one.received_dba, 0, "dB(A)"),
            number(half, 0)
        ),
    };
    // More difference is better; more level is worse.
    let better = if one.source_dba.is_some() { 1.0 } else { -1.0 };
    let meaning = if one.when == Stage::Before {
        "that was before the work"
    } else if one.measured_dba + half < one.planned_lower_dba
        || one.measured_dba - half > one.planned_upper_dba
    {
        if better * (one.measured_dba - one.planned_dba) > 0.0 {
            "the room does better than planned, if it was this sound"
        } else if one.at_most {
            "the background hides the rest"
        } else {
            "more gets through than planned; measure by bands to see what"
        }
    } else {
        "as a sum that agrees"
    };
    capital(&format!(
        "{} {}, one reading{hides}: {what}; planned for the {} are {}, four times in five {} to {}: {meaning}. One number checks the \
         sum; it cannot tell what lets the sound through.",
        at_place(&one.receiver),
        stage_words(one.when),
        one.sound,
        number(one.planned_dba, 0),
        number(one.planned_lower_dba, 0),
        number(one.planned_upper_dba, 0)
    ))
}
