//! What stands out of the sound: whether it is quiet enough, what lets most through, and where to begin.

use std::fmt::Write as _;

use quantities::format::with_unit;
use sound::{criterion::Status, flanking::FLANKING_NAME, share::Share};

use crate::{
    assemble::{
        proof::proof_verdict,
        verdicts::{capital, ended, sentence},
    },
    outcome::{
        HeardOutcome, Plan, Standing,
        heard_words::{lets_through, to_spare, verdict_sentence},
    },
};

/// Gains that differ by no more than this are the same within any prediction, dB.
const SAME_GAIN_DB: f64 = 0.3;
/// A smaller gain is no place to begin, dB.
const WORTH_BEGINNING_DB: f64 = 0.5;
/// A larger miss is not mended part by part, dB (common practice).
const LARGE_MISS_DB: f64 = 10.0;

/// A sentence for the governing sound of every receiver.
pub(crate) fn findings(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    let faulty = plan.proof.as_ref().is_some_and(|proof| !proof.as_proved.is_empty());
    for heard in plan.heard.iter().filter(|heard| heard.governs) {
        let verdict = heard.heard.verdict.as_ref();
        let measured = proof_verdict::measured_level(plan, &heard.receiver);
        let predicted = verdict.map_or(Standing::Open, |verdict| match verdict.status {
            Status::Holds => Standing::Holds,
            Status::Close => Standing::Close,
            Status::Fails => Standing::Fails,
        });
        let mut words =
            format!("{}, {}: {}", capital(&heard.receiver), heard.source, ended(&lets_through(&heard.heard)));
        // What was measured decides; the prediction stands beside it by its name.
        let standing = measured.map_or(predicted, |level| level.standing);
        if let Some(level) = measured {
            let _ = write!(words, " Measured: {} against {}.", to_spare(level.margin_db), level.limit);
        }
        if let Some(verdict) = verdict {
            words.push(' ');
            let said = verdict_sentence(verdict);
            words.push_str(&match measured {
                Some(_) if faulty => sentence(&format!("predicted with the faults kept: {said}")),
                Some(_) => sentence(&format!("predicted, before measuring: {said}")),
                None => sentence(&said),
            });
        }
        if standing != Standing::Holds {
            for advice in begin_with(plan, heard) {
                words.push(' ');
                words.push_str(&advice);
            }
        }
        put(standing, "sound", words);
    }
    bridged(plan, put);
}

/// Clips bridged by a screw are a fault somebody tries, or has found.
fn bridged(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    if let Some(refused) = &plan.ceiling.bridged_clips_refused {
        put(Standing::Open, "sound", sentence(refused));
    }
    if let Some(words) = plan.ceiling.bridged_words() {
        put(Standing::Close, "sound", sentence(&words));
    }
}

/// A part and what making it perfect would gain against the receiver's criterion, dB.
struct Gain<'a> {
    share: &'a Share,
    gain_db: f64,
}

fn gains(outcome: &HeardOutcome) -> Vec<Gain<'_>> {
    let heard = &outcome.heard;
    let curve = heard
        .verdict
        .as_ref()
        .map(|verdict| &verdict.criterion)
        .filter(|criterion| !matches!(criterion, sound::criterion::Criterion::LimitDba { .. }));
    heard
        .shares
        .iter()
        .filter_map(|share| {
            let gain_db = match curve {
                // A curve is held against the median of every band, so the gain is that of the band that then decides.
                Some(criterion) => {
                    criterion.margin(share.if_perfect_db.as_ref()?).margin_db
                        - criterion.margin(heard.level.median_db()).margin_db
                }
                None => share.gain_if_perfect_dba(heard)?,
            };
            gain_db.is_finite().then_some(Gain { share, gain_db })
        })
        .collect()
}

/// Where to begin, in sentences.
fn begin_with(plan: &Plan, outcome: &HeardOutcome) -> Vec<String> {
    let gains = gains(outcome);
    let best_db = gains.iter().map(|one| one.gain_db).fold(0.0, f64::max);
    let missing_db = outcome.heard.verdict.as_ref().map_or(0.0, |verdict| -verdict.margin.median_db);
    // A gain under a curve is that of the band that then decides, not of the level.
    let quieter = |db: f64| match outcome.heard.verdict.as_ref().map(|verdict| &verdict.criterion) {
        None | Some(sound::criterion::Criterion::LimitDba { .. }) => {
            format!("{} quieter there", with_unit(db, 0, "dB(A)"))
        }
        Some(curve) => {
            format!("{} quieter there in what decides against {}", with_unit(db, 0, "dB"), curve.label())
        }
    };
    let mut advice = Vec::new();
    if best_db >= WORTH_BEGINNING_DB {
        let mut tied: Vec<&Gain<'_>> =
            gains.iter().filter(|one| one.gain_db >= best_db - SAME_GAIN_DB).collect();
        tied.sort_by_key(|one| rank(plan, &one.share.name));
        if tied.iter().any(|one| one.share.name == FLANKING_NAME) {
            advice.push(format!(
                "Without what is assumed to go round the shared part along walls, floor and ceiling it would be {}: \
                 have that measured, and line what leads it, before adding to the shared part.",
                quieter(best_db)
            ));
        }
        let names: Vec<String> = tied
            .iter()
            .filter(|one| one.share.name != FLANKING_NAME)
            .map(|one| format!("the {}", one.share.name))
            .collect();
        match names.split_last() {
            None => {}
            Some((only, [])) => advice.push(format!(
                "If {only} let nothing through, it would be {}{}.",
                quieter(best_db),
                if advice.is_empty() { ": start with it" } else { " too" }
            )),
            Some((last, others)) => advice.push(format!(
                "If {} or {last} let nothing through, it would be about {}, whichever of them it is: start with the one \
                 that is easiest to better.",
                others.join(", "),
                quieter(best_db)
            )),
        }
    }
    if missing_db > LARGE_MISS_DB {
        let quieter = plan.sources.iter().any(|source| source.name == outcome.source);
        advice.push(format!(
            "{} more are needed: that takes a room within the room{}.",
            with_unit(missing_db, 0, "dB"),
            if quieter { ", or a quieter instrument" } else { "" }
        ));
    }
    // What rounds to nothing is no miss anybody could close.
    let remaining_db = missing_db - best_db;
    if missing_db > 0.0 && remaining_db >= 0.05 && gains.len() > 1 {
        advice.push(format!(
            "No single part closes the miss: with the best of them perfect, {} would remain; it takes more than one part.",
            with_unit(remaining_db, 1, "dB")
        ));
    }
    advice
}

/// What is named first where several gain the same: doors, windows, air paths and slits before ceiling and walls.
fn rank(plan: &Plan, name: &str) -> u8 {
    let opening = plan.openings.iter().find(|opening| opening.name == name);
    match opening.map(|opening| opening.kind) {
        Some("door") => 0,
        Some("window") => 1,
        Some(_) => 2,
        None if name.starts_with("wall ") => 5,
        None if name == "ceiling" => 4,
        None => 3,
    }
}
