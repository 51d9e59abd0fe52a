//! Single A-weighted readings: they check the sum, and cannot tell what is wrong.

use bands::{Band, energy_average_db};
use proof::{
    BandLevels,
    iso_12999_1_2020::{Situation, standard_uncertainty_db},
};
use quantities::{
    format::{number, with_unit},
    math,
};
use sound::criterion::Criterion;

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
    outcome::{
        Standing,
        heard_words::at_place,
        proof::{MeasuredLevel, SingleReading},
    },
    project::{Measured, Measurement, Place, Project, Receiver, Stage},
};

/// What a plain meter is off, and what another way of playing changes, dB (judgement: a class 2 meter, ±1.4 dB, and a drummer).
const METER_DB: f64 = 1.5;
/// What a source is louder or quieter by than the plan takes it, where its level was not measured, dB (judgement).
const SOURCE_DB: f64 = 4.0;

/// Bands that make a level in dB(A), Hz: the sum of fewer leaves out what may count most (judgement: those a single number is rated from).
const SUMMED_HZ: (f64, f64) = (100.0, 3150.0);
/// More missing bands than this are only counted (judgement).
const MOST_LISTED: usize = 5;

/// The readings at every receiver where bands are missing on one side at least; `by_bands` are the places and stages where none is.
pub(super) fn readings(
    known: &Known<'_>,
    forward: &Forward<'_>,
    listening: &Listening,
    by_bands: &[(usize, Stage)],
    not_judged: &mut Vec<String>,
) -> Vec<SingleReading> {
    let mut found = Vec::new();
    let all =
        (0..known.project.receivers.len()).flat_map(|place| [(place, Stage::After), (place, Stage::Before)]);
    for (place, stage) in all.filter(|one| !by_bands.contains(one)) {
        not_judged.extend(not_summed(known.project, place, stage));
        found.extend(reading(known, forward, listening, (place, stage)));
    }
    found
}

/// Bands of [`SUMMED_HZ`] that were not measured.
fn lacking(levels: &BandLevels) -> Vec<Band> {
    let (from, to) = SUMMED_HZ;
    Band::range(from, to).filter(|band| levels.get(*band).is_none()).collect()
}

/// Why bands make no level in dB(A) where the other side, or the level they are the background of, is a single reading.
fn not_summed(project: &Project, place: usize, when: Stage) -> Option<String> {
    let receiver = project.receivers.get(place)?;
    let side = side_of_source(receiver);
    let of = |what: Measured| of_kind(project, what, &receiver.name, when);
    let reads_dba = |what: Measured| of(what).any(|(_, one)| one.level_dba.is_some());
    let by_bands = |what: Measured| {
        let none = level_dba(project, what, &receiver.name, when).is_none();
        of(what).filter(|_| none).find_map(|(at, one)| levels_of(project, at, one))
    };
    let (what, taken) =
        [(Measured::Receiver, side), (side, Measured::Receiver), (Measured::Background, Measured::Receiver)]
            .into_iter()
            .filter(|(_, other)| reads_dba(*other))
            .find_map(|(what, _)| Some((what, by_bands(what)?)))?;
    let (from, to) = (number(SUMMED_HZ.0, 0), with_unit(SUMMED_HZ.1, 0, "Hz"));
    let missing: Vec<&str> = lacking(&taken.levels.bands).iter().map(|band| band.nominal()).collect();
    let why = if !taken.levels.calibrated {
        "it is not calibrated. Give its `calibration_file` and `calibration_db`, or record both sides with one gain".to_owned()
    } else if missing.len() > MOST_LISTED {
        format!(
            "{} of the bands from {from} to {to} lack. Measure them all, or read dB(A) there too",
            missing.len()
        )
    } else {
        let lack = if missing.len() == 1 { "lacks" } else { "lack" };
        format!(
            "{} {lack}. Measure all bands from {from} to {to}, or read dB(A) there too",
            in_hz(&missing.join(", "))
        )
    };
    Some(format!(
        "{} {} the level \"{}\" by bands makes no level in dB(A) to hold against a single reading: {why}.",
        capital(&at_place(&receiver.name)),
        stage_words(when),
        what.word()
    ))
}

fn in_hz(words: &str) -> String {
    format!("{words}{}Hz", quantities::format::NO_BREAK_SPACE)
}

fn side_of_source(receiver: &Receiver) -> Measured {
    if receiver.place == Place::Inside { Measured::Outside } else { Measured::Inside }
}

/// Measurements of one kind that hold for a receiver, with their places in the file.
fn of_kind<'a>(
    project: &'a Project,
    what: Measured,
    receiver: &'a str,
    stage: Stage,
) -> impl Iterator<Item = (usize, &'a Measurement)> {
    project
        .measurements
        .iter()
        .enumerate()
        .filter(move |(_, one)| one.what == what && one.when == stage && one.on_wall.is_none())
        .filter(move |(_, one)| one.receiver.as_deref().is_none_or(|name| name == receiver))
}

/// Energy average of what was measured of one kind, dB(A): single readings, and the sums of bands where all of [`SUMMED_HZ`] are there.
fn level_dba(project: &Project, what: Measured, receiver: &str, stage: Stage) -> Option<f64> {
    let levels = of_kind(project, what, receiver, stage).filter_map(|(place, one)| {
        one.level_dba.or_else(|| {
            let taken = levels_of(project, place, one).filter(|taken| taken.levels.calibrated)?;
            let bands = taken.levels.bands;
            lacking(&bands).is_empty().then(|| {
                bands::energy_sum_db(
                    bands.measured().map(|(band, level)| level + bands::iec_61672_1::a_weighting_db(band)),
                )
            })
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
    let source_dba = level_dba(project, side_of_source(receiver), &receiver.name, when);
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
        level: None,
        sentence: String::new(),
    };
    outcome.level = against_limit(listening, &level, &outcome);
    outcome.sentence = sentence(&outcome);
    Some(outcome)
}

/// The level a reading makes with the sound as loud as the plan takes it, held against the receiver's limit in dB(A).
fn against_limit(
    listening: &Listening,
    source: &bands::Spectrum,
    one: &SingleReading,
) -> Option<MeasuredLevel> {
    let heard = listening.heard.iter().find(|heard| heard.receiver == one.receiver && heard.governs)?;
    let criterion = &heard.heard.verdict.as_ref()?.criterion;
    let Criterion::LimitDba { limit_dba } = criterion else { return None };
    let level_dba = match one.source_dba {
        Some(_) => source.total_a_db() - one.measured_dba,
        None => one.received_dba,
    };
    let margin_db = limit_dba - level_dba;
    let half_db = TO_90TH * one.deviation_db;
    let standing = if margin_db > half_db {
        Standing::Holds
    } else if one.at_most {
        Standing::Open
    } else if margin_db < -half_db {
        Standing::Fails
    } else {
        Standing::Close
    };
    Some(MeasuredLevel {
        sound: one.sound.clone(),
        level_dba,
        deviation_db: one.deviation_db,
        limit: criterion.label(),
        at_most: one.at_most,
        margin_db,
        standing,
        bands_as_planned: 0,
    })
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
    // Two ranges that err independently: they differ where the step is larger than both together.
    let planned_half = if one.measured_dba < one.planned_dba {
        one.planned_dba - one.planned_lower_dba
    } else {
        one.planned_upper_dba - one.planned_dba
    };
    let together = (half * half + planned_half * planned_half).sqrt();
    // More difference is better; more level is worse.
    let better = if one.source_dba.is_some() { 1.0 } else { -1.0 };
    let meaning = if one.when == Stage::Before {
        "that was before the work"
    } else if (one.measured_dba - one.planned_dba).abs() > together {
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
