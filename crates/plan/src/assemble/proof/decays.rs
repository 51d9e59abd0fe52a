//! Decay times that were measured next door, held against the one the file states.

use bands::Band;
use quantities::format::with_unit;

use crate::{
    assemble::{proof::reduction, verdicts::capital},
    outcome::heard_words::at_place,
    project::{Place, Project, Stage},
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
