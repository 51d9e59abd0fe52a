//! What the noise hides of a difference by sweeps: the limit that is given is safe, whatever the noise.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

mod rooms;

use bands::Band;
use proof::{
    iso_18233_2006::{SweptLevels, deconvolve, levels},
    noise::White,
    signals::{SWEEP_AFTER_MARKER_S, Signal, played_sweep},
    swept::swept_difference,
};
use quantities::math;
use rooms::played_into;

const RATE_HZ: f64 = 48_000.0;
/// Silence before the signal, samples.
const BEFORE: usize = 60_000;

/// The sweep in a room that decays by 60 dB in `t_s`, with a direct sound; without noise.
fn in_room(t_s: f64, seed: u64) -> Vec<f64> {
    let mut played = vec![0.0; BEFORE];
    played.extend(Signal::Sweep.samples(48_000, -20.0).unwrap());
    played.resize(played.len() + 60_000, 0.0);
    let mut random = White::new(seed);
    let mut room: Vec<f64> = (0..(t_s * RATE_HZ) as usize)
        .map(|n| 0.01 * math::energy_of_db(-30.0 * n as f64 / RATE_HZ / t_s) * random.next().unwrap())
        .collect();
    room[0] += 0.1;
    played_into(&played, &room, played.len())
}

/// Levels by the response, the sweep's place being known: white noise drowns the markers before it drowns every band.
fn measured(recording: &[f64]) -> SweptLevels {
    let sweep = played_sweep(RATE_HZ);
    let at_s = BEFORE as f64 / RATE_HZ + SWEEP_AFTER_MARKER_S;
    levels(&deconvolve(recording, &sweep, at_s, 1.0).unwrap(), &[], &sweep)
}

/// Outside, the same response 55 dB down under white noise of many strengths: the true difference is 55 dB in every band, and nearly every
/// limit lies under it; no band is left out.
#[test]
fn a_limit_is_under_the_truth_in_nineteen_cases_of_twenty() {
    const LOSS_DB: f64 = 55.0;
    let (mut limits, mut safe, mut worst, mut near) = (0, 0, f64::MIN, 0);
    for (seed, t_s) in [(1_u64, 0.2), (2, 0.4), (3, 0.8), (4, 1.5), (5, 0.4), (6, 0.8)] {
        let sound = in_room(t_s, seed);
        let inside = measured(&sound);
        for (step, noise_db) in (0_u64..).zip([-47.0, -42.0, -37.0]) {
            let (gain, rms) = (math::powf(10.0, -LOSS_DB / 20.0), math::powf(10.0, noise_db / 20.0));
            let noise = White::new(100 * seed + step);
            let outside: Vec<f64> = sound.iter().zip(noise).map(|(x, n)| gain * x + rms * n).collect();
            let outside = measured(&outside);
            let found = swept_difference(&inside, &outside);
            for band in Band::range(25.0, 10_000.0) {
                assert!(found.difference_db.get(band).is_some(), "{} Hz is missing", band.nominal());
            }
            for band in &found.at_least {
                let over = found.difference_db.get(*band).unwrap() - LOSS_DB;
                limits += 1;
                safe += u32::from(over <= 0.0);
                near += u32::from(over > -10.0);
                worst = f64::max(worst, over);
            }
        }
    }
    println!("{safe} of {limits} limits safe, {near} within 10 dB, worst {worst:.2} dB over the truth");
    assert!(limits > 60, "{limits}");
    assert!(f64::from(safe) >= 0.95 * f64::from(limits), "{safe} of {limits}, worst {worst}");
}
