//! Levels exceeded in a part of the time, of strokes in time with the clock.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

use std::{f64::consts::TAU, io::Cursor};

use proof::{Analysis, analyse};
use quantities::math;

const RATE_HZ: u32 = 48_000;

/// Bursts of 1 kHz, where A is 0 dB, 60 ms each, this far apart and from `from_s` on.
fn strokes(apart_s: f64, from_s: f64) -> Vec<f64> {
    (0..60 * RATE_HZ)
        .map(|n| {
            let t = f64::from(n) / f64::from(RATE_HZ);
            let on = (t + from_s) % apart_s < 0.06;
            math::sin(TAU * 1000.0 * t) * if on { 0.3 } else { 0.003 }
        })
        .collect()
}

fn analysed(samples: &[f64]) -> Analysis {
    let mut file = Cursor::new(Vec::new());
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE_HZ,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut wav = hound::WavWriter::new(&mut file, spec).unwrap();
    for sample in samples {
        wav.write_sample(*sample as f32).unwrap();
    }
    wav.finalize().unwrap();
    analyse(Cursor::new(file.into_inner())).unwrap()
}

/// IEC 61672-1 time weighting F of every sample, and the levels that all of them after the first second exceed in 10, 50 and 90 %.
fn every_sample(samples: &[f64]) -> [f64; 3] {
    let uptake = 1.0 - math::exp(-1.0 / (0.125 * f64::from(RATE_HZ)));
    let mut fast = 0.0;
    let mut all: Vec<f64> = samples
        .iter()
        .map(|x| {
            fast += uptake * (x * x - fast);
            fast
        })
        .skip(RATE_HZ as usize)
        .collect();
    all.sort_by(f64::total_cmp);
    [0.9, 0.5, 0.1].map(|place| math::db_of_energy(all[(place * (all.len() - 1) as f64) as usize]))
}

/// However the strokes lie to the clock, the levels are those of all samples; within 0.4 dB, which is what some 480 of them leave open.
#[test]
fn strokes_in_time_with_the_clock_do_not_deceive_it() {
    for (apart_s, from_s) in [(0.5, 0.0), (0.5, 0.09), (0.25, 0.0), (0.25, 0.05), (0.47, 0.0), (0.125, 0.03)]
    {
        let samples = strokes(apart_s, from_s);
        let found = analysed(&samples).total;
        let found = [found.la10_db, found.la50_db, found.la90_db].map(Option::unwrap);
        for (found, expected) in found.into_iter().zip(every_sample(&samples)) {
            assert!((found - expected).abs() < 0.4, "{apart_s} s, {from_s} s: {found} for {expected}");
        }
    }
}
