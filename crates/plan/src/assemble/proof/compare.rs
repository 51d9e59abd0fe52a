//! One measured difference held against the planned one, before against after, and against the limit.

use bands::{Band, Spectrum};
use proof::{
    BandLevels,
    difference::LevelDifference,
    iso_12999_1_2020::{Situation, standard_uncertainty_db},
    iso_16283_1_2014::standardised_db,
};
use quantities::{
    format::{number, with_unit},
    math,
};

use crate::{
    assemble::{
        heard::Listening,
        proof::{
            At, filled,
            forward::{Forward, Known},
            governing_sound, reduction, stage_words,
        },
        verdicts::capital,
    },
    outcome::{
        Standing,
        proof::{AgainstSound, MeasuredLevel, ProvedBand, ProvedDifference, ProvedRating},
    },
    project::{Place, Stage},
};

/// Share of the variance that all bands of a measurement have in common.
const COMMON: f64 = proof::diagnosis::COMMON_MEASUREMENT_VARIANCE;
/// Distance of the 90th percentile of a normal distribution from its middle, in standard deviations.
pub(super) const TO_90TH: f64 = sound::ranged::DEVIATIONS_TO_90TH;

/// A difference that lets nothing through, dB.
const LETS_NOTHING_DB: f64 = 200.0;
/// A level that adds nothing to any sum, dB.
const HIDES_NOTHING_DB: f64 = -100.0;
/// Half of the energy, dB.
const HALF_DB: f64 = 3.0;

/// The outcome at one receiver: what was measured after the work, or before it where nothing was after.
pub(super) fn compared(
    known: &Known<'_>,
    forward: &Forward<'_>,
    listening: &Listening,
    at: &At,
    not_judged: &mut Vec<String>,
) -> Option<ProvedDifference> {
    let receiver = known.project.receivers.get(at.receiver)?;
    let (measured, when) = match (&at.after, &at.before) {
        (Some(after), _) => (after, Stage::After),
        (None, Some(before)) => (before, Stage::Before),
        (None, None) => return None,
    };
    let before = at.before.as_ref().filter(|_| when == Stage::After);
    let planned = forward.planned(at.listener)?;
    let bands: Vec<ProvedBand> = measured
        .difference_db
        .measured()
        .filter_map(|(band, _)| one_band(band, measured, before, &planned))
        .collect();
    let sound = governing_sound(known, listening, at.receiver);
    let against_sound = sound.as_ref().map(|(name, level)| against(name, level, &bands));
    let level = sound.as_ref().and_then(|(name, level)| {
        // What was not measured after the work counts as planned; before it nothing is planned, and nothing counts.
        let otherwise = match when {
            Stage::After => planned.0,
            Stage::Before => Spectrum::flat(LETS_NOTHING_DB),
        };
        let mut found = measured_level(listening, &receiver.name, (name, level), measured, &otherwise)?;
        if when == Stage::Before {
            found.bands_as_planned = 0;
        }
        Some(found)
    });
    let mut outcome = ProvedDifference {
        receiver: receiver.name.clone(),
        quantity: if receiver.place == Place::Inside { "D2m" } else { "D" },
        when,
        background_unknown: measured.background_unknown,
        rating: rating(known, at.receiver, when, measured),
        reduction: reduction::apparent(known, at.receiver, when, measured, not_judged),
        against_sound,
        level,
        sentence: String::new(),
        bands,
    };
    let faulty = known.project.faults().next().is_some();
    outcome.sentence = sentence(&outcome, faulty);
    Some(outcome)
}

fn one_band(
    band: Band,
    measured: &LevelDifference,
    before: Option<&LevelDifference>,
    (planned, lower, upper): &(Spectrum, Spectrum, Spectrum),
) -> Option<ProvedBand> {
    let difference_db = measured.difference_db.get(band)?;
    let before_db = before.and_then(|before| before.difference_db.get(band));
    // The same people with the same equipment: the error of the procedure is nearly the same twice.
    let again = standard_uncertainty_db(Situation::SamePeople, band);
    Some(ProvedBand {
        band,
        source_db: measured.source_db.get(band)?,
        received_db: measured.received_db.get(band)?,
        background_db: measured.background_db.get(band),
        difference_db,
        deviation_db: measured.deviation_db.get(band)?,
        at_least: measured.at_least.contains(&band),
        planned_db: planned.get(band),
        planned_lower_db: lower.get(band),
        planned_upper_db: upper.get(band),
        before_db,
        gain_db: before_db.map(|before| difference_db - before),
        gain_deviation_db: before_db.map(|_| again * std::f64::consts::SQRT_2),
    })
}

/// Uncertainty of an energy sum whose bands weigh `weights`, half of the variance common to all bands.
pub(super) fn together(weights: &[(f64, f64)]) -> f64 {
    let sum: f64 = weights.iter().map(|(weight, _)| weight).sum();
    let moved = |(weight, deviation): &(f64, f64)| weight / sum.max(1e-300) * deviation;
    let linear: f64 = weights.iter().map(moved).sum();
    let squares: f64 = weights.iter().map(|one| moved(one) * moved(one)).sum();
    (COMMON * linear * linear + (1.0 - COMMON) * squares).sqrt()
}

/// A-weighted difference for a sound over the measured bands.
fn against(name: &str, level: &Spectrum, bands: &[ProvedBand]) -> AgainstSound {
    let weighted = level.a_weighted();
    let inside: f64 = bands.iter().map(|one| math::energy_of_db(weighted.get(one.band))).sum();
    let through = |difference: &dyn Fn(&ProvedBand) -> Option<f64>| -> Option<f64> {
        let mut sum = 0.0;
        for one in bands {
            sum += math::energy_of_db(weighted.get(one.band) - difference(one)?);
        }
        Some(math::db_of_energy(inside.max(1e-30) / sum.max(1e-30)))
    };
    let energies = |difference: &dyn Fn(&ProvedBand) -> f64, deviation: &dyn Fn(&ProvedBand) -> f64| {
        let list: Vec<(f64, f64)> = bands
            .iter()
            .map(|one| (math::energy_of_db(weighted.get(one.band) - difference(one)), deviation(one)))
            .collect();
        list
    };
    let weights = energies(&|one| one.difference_db, &|one| one.deviation_db);
    let sum: f64 = weights.iter().map(|(weight, _)| weight).sum();
    let limited: f64 =
        bands.iter().zip(&weights).filter(|(one, _)| one.at_least).map(|(_, (weight, _))| weight).sum();
    let measured_dba = through(&|one| Some(one.difference_db)).unwrap_or(0.0);
    let gain_dba = through(&|one| one.before_db).map(|before| {
        let deviation =
            together(&energies(&|one| one.difference_db, &|one| one.gain_deviation_db.unwrap_or(0.0)));
        (measured_dba - before, deviation)
    });
    AgainstSound {
        sound: name.to_owned(),
        measured_dba,
        deviation_db: together(&weights),
        at_least: limited > 0.5 * sum,
        planned_dba: through(&|one| Some(one.planned_db)).unwrap_or(0.0),
        planned_lower_dba: through(&|one| Some(one.planned_lower_db)).unwrap_or(0.0),
        planned_upper_dba: through(&|one| Some(one.planned_upper_db)).unwrap_or(0.0),
        gain_dba,
    }
}

/// The level at the receiver by the measured difference, held against the limit there.
fn measured_level(
    listening: &Listening,
    receiver: &str,
    (name, level): (&str, &Spectrum),
    measured: &LevelDifference,
    planned: &Spectrum,
) -> Option<MeasuredLevel> {
    let heard = listening.heard.iter().find(|one| one.receiver == receiver && one.governs)?;
    let criterion = &heard.heard.verdict.as_ref()?.criterion;
    let there = level.minus(&filled(&measured.difference_db, planned));
    let weights: Vec<(f64, f64)> = there
        .a_weighted()
        .iter()
        .map(|(band, level)| {
            let deviation = measured.deviation_db.get(band);
            (
                math::energy_of_db(level),
                deviation.unwrap_or_else(|| standard_uncertainty_db(Situation::Laboratories, band)),
            )
        })
        .collect();
    let deviation_db = together(&weights);
    let margin_db = criterion.margin(&there).margin_db;
    // What is surely there: bands that are only limits may hold nothing at all.
    let surely =
        there.map(|band, level| if measured.at_least.contains(&band) { HIDES_NOTHING_DB } else { level });
    let surely_db = criterion.margin(&surely).margin_db;
    let limited = !measured.at_least.is_empty();
    let standing = if margin_db > TO_90TH * deviation_db {
        Standing::Holds
    } else if surely_db < -TO_90TH * deviation_db {
        Standing::Fails
    } else if limited && surely_db > TO_90TH * deviation_db {
        // Whether it holds hangs on what the background hides.
        Standing::Open
    } else {
        Standing::Close
    };
    let half = there.total_a_db() - surely.total_a_db() > HALF_DB;
    Some(MeasuredLevel {
        sound: name.to_owned(),
        level_dba: there.total_a_db(),
        deviation_db,
        limit: criterion.label(),
        at_most: limited && (half || standing == Standing::Open),
        margin_db,
        standing,
        bands_as_planned: bands::BAND_COUNT - measured.difference_db.measured().count(),
    })
}

/// The standardised difference rated, where decay times of the receiver's room are known.
fn rating(
    known: &Known<'_>,
    receiver: usize,
    when: Stage,
    measured: &LevelDifference,
) -> Option<ProvedRating> {
    let receiver = known.project.receivers.get(receiver)?;
    let inwards = receiver.place == Place::Inside;
    if matches!(receiver.place, Place::Outside { .. }) {
        return None;
    }
    let decay_s = reduction::decay_s(known.project, receiver, when);
    let standardised =
        BandLevels::from_fn(|band| Some(standardised_db(measured.difference_db.get(band)?, decay_s(band)?)));
    let name = if inwards { "D2m,nT,w" } else { "DnT,w" };
    reduction::rated_as(name, &standardised, measured)
}

/// Which bands let more through than plan and measurement together leave room for.
fn bands_below(bands: &[ProvedBand]) -> String {
    let below: Vec<&ProvedBand> = bands
        .iter()
        .filter(|one| !one.at_least && one.difference_db + TO_90TH * one.deviation_db < one.planned_lower_db)
        .collect();
    match below.as_slice() {
        [] => String::new(),
        [one] => format!("clearly more gets through at {}", with_unit(one.band.nominal_hz(), 0, "Hz")),
        [first, .., last] => format!(
            "clearly more gets through in {} bands from {} to {}",
            below.len(),
            first.band.nominal(),
            with_unit(last.band.nominal_hz(), 0, "Hz")
        ),
    }
}

/// What it means, in a sentence.
fn sentence(outcome: &ProvedDifference, faulty: bool) -> String {
    let Some(against) = &outcome.against_sound else {
        return format!("Measured at {} in {} bands.", outcome.receiver, outcome.bands.len());
    };
    let way = if outcome.quantity == "D2m" { "Into the room" } else { "To the" };
    let place = if outcome.quantity == "D2m" { String::new() } else { format!(" {}", outcome.receiver) };
    let least = if against.at_least { "at least " } else { "" };
    let mut text = format!(
        "{way}{place} {} {} loses {least}{}, A-weighted (±\u{00A0}{}), {}",
        if outcome.quantity == "D2m" { "the" } else { "the sound of the" },
        against.sound,
        with_unit(against.measured_dba, 0, "dB"),
        number(TO_90TH * against.deviation_db, 0),
        stage_words(outcome.when),
    );
    let less = against.planned_dba - against.measured_dba;
    let inside = against.measured_dba >= against.planned_lower_dba - TO_90TH * against.deviation_db
        && against.measured_dba <= against.planned_upper_dba + TO_90TH * against.deviation_db;
    if outcome.when == Stage::After {
        let planned = format!(
            "{} were {}, four times in five {} to {}",
            if faulty { "planned with the faults kept" } else { "planned" },
            number(against.planned_dba, 0),
            number(against.planned_lower_dba, 0),
            number(against.planned_upper_dba, 0)
        );
        let meaning = if against.at_least {
            "the background hides the rest"
        } else if inside {
            "as a whole that agrees"
        } else if less > 0.0 {
            "the room lets more through than planned"
        } else {
            "the room does better than planned"
        };
        let below = bands_below(&outcome.bands);
        let joined = match (below.is_empty(), less > 0.0 && !inside) {
            (true, _) => String::new(),
            (false, true) => format!("; {below}"),
            (false, false) => format!(", but {below}"),
        };
        text = format!("{text}; {planned}: {meaning}{joined}");
    }
    if let Some((gain, deviation)) = against.gain_dba {
        text = format!(
            "{text}. The work has gained {} (±\u{00A0}{})",
            with_unit(gain, 0, "dB"),
            number(TO_90TH * deviation, 0)
        );
    }
    if outcome.background_unknown {
        text.push_str(". The background was not measured: other sound may be in it");
    }
    capital(&text) + "."
}
