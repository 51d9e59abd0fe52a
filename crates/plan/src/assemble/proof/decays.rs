//! Decay times that were measured next door, held against the one the file states.

use std::fmt::Write as _;

use bands::Band;
use quantities::format::with_unit;

use crate::{
    assemble::{
        proof::{Known, reduction, stage_words},
        verdicts::capital,
    },
    outcome::heard_words::at_place,
    project::{Measured, Place, Project, Stage},
};

/// From this factor on a measured decay time is another than the stated one (judgement: a room half furnished).
const UNLIKE: f64 = 1.6;
/// Bands whose mean is held against the stated one number, Hz (judgement: those a room is usually described by).
const FROM_TO_HZ: (f64, f64) = (200.0, 2500.0);

/// A sentence for every room next door whose decay time was measured and is not what `room_decay_s` says.
pub(super) fn unlike_stated(project: &Project) -> Vec<String> {
    let mut told = Vec::new();
    for receiver in &project.receivers {
        let Place::NextDoor(dwelling) = receiver.place else { continue };
        let mean = |when: Stage| {
            let decay_s = reduction::decay_s(project, receiver, when);
            let (from, to) = FROM_TO_HZ;
            let all: Vec<f64> = Band::range(from, to).filter_map(decay_s).collect();
            (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
        };
        let Some(measured_s) = mean(Stage::After).or_else(|| mean(Stage::Before)) else { continue };
        let factor = measured_s / dwelling.decay_s;
        if factor < UNLIKE && factor > 1.0 / UNLIKE {
            continue;
        }
        told.push(format!(
            "{} the sound dies away in {} as measured (mean of 200 to 2500 Hz), and the file says {}: the plan, and what is planned here, \
             reckon with that. Write the measured time as the `room_decay_s` of the receiver.",
            capital(&at_place(&receiver.name)),
            with_unit(measured_s, 2, "s"),
            with_unit(dwelling.decay_s, 2, "s")
        ));
    }
    told
}

/// How the sound dies away in the room itself, as measured and as the plan has it, a sentence for each stage that was measured.
pub(super) fn of_this_room(known: &Known<'_>) -> Vec<String> {
    let project = known.project;
    let (from, to) = FROM_TO_HZ;
    let mut told = Vec::new();
    for stage in [Stage::Before, Stage::After] {
        let all: Vec<f64> = project
            .measurements
            .iter()
            .enumerate()
            .filter(|(_, one)| one.what == Measured::Decay && one.when == stage && one.receiver.is_none())
            .filter_map(|(place, _)| project.decay_of(place))
            .flat_map(|decay| Band::range(from, to).filter_map(|band| decay.get(band)).collect::<Vec<f64>>())
            .collect();
        if all.is_empty() {
            continue;
        }
        let measured_s = all.iter().sum::<f64>() / all.len() as f64;
        let mut words = format!(
            "In the room the sound dies away in {} {} as measured (mean of 200 to 2500 Hz)",
            with_unit(measured_s, 2, "s"),
            stage_words(stage)
        );
        let planned: Vec<f64> = known
            .room
            .iter()
            .flat_map(|room| &room.decay)
            .filter(|one| (from..=to).contains(&one.band.nominal_hz()))
            .map(|one| one.eyring_s)
            .collect();
        if stage == Stage::After && !planned.is_empty() {
            let planned_s = planned.iter().sum::<f64>() / planned.len() as f64;
            let _ = write!(words, ", planned unfurnished were {}", with_unit(planned_s, 2, "s"));
        }
        if let Some(used) = project.room_use.as_ref().filter(|_| stage == Stage::After) {
            let _ = write!(
                words,
                ", wanted are {}: {}",
                with_unit(used.wanted_decay_s, 2, "s"),
                if measured_s > UNLIKE.sqrt() * used.wanted_decay_s {
                    "more must be hung in it that absorbs"
                } else if measured_s * UNLIKE.sqrt() < used.wanted_decay_s {
                    "it is drier than wanted"
                } else {
                    "that is near enough"
                }
            );
        }
        told.push(format!(
            "{words}. The levels of the sources in the plan still reckon with its own absorption."
        ));
    }
    told
}
