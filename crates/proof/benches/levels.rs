//! How fast a recording becomes levels: an hour of 48 kHz mono on one core, beside SciPy's second-order sections where
//! Python with SciPy is there. Goals: 300 times real time (500 wished) and 5 times the reference.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench prints its times and stops at an error"
)]

use std::{hint::black_box, io::Cursor, process::Command, time::Instant};

use proof::{
    iso_18233_2006::deconvolve,
    noise::White,
    signals::{SWEEP_AFTER_MARKER_S, Signal, played_sweep},
    swept::measure_sweep,
};

const GOAL: f64 = 300.0;
const GOAL_OVER_REFERENCE: f64 = 5.0;
const GOAL_SWEEP_S: f64 = 0.5;
const MINUTES: u32 = 60;

fn main() {
    sweeps();
    let wav = hour_of_noise();
    let times = (0..3).map(|_| {
        let start = Instant::now();
        let levels = proof::analyse(Cursor::new(wav.clone())).unwrap();
        black_box(&levels);
        start.elapsed().as_secs_f64()
    });
    let best_s = times.fold(f64::INFINITY, f64::min);
    let speed = f64::from(MINUTES) * 60.0 / best_s;
    let word = if speed >= GOAL { "kept" } else { "MISSED" };
    println!(
        "levels of {MINUTES} minutes at 48 kHz: {best_s:.2} s, {speed:.0} times real time, goal {GOAL:.0}, {word}"
    );
    match reference_speed() {
        Some(reference) => {
            let ratio = speed / reference;
            let word = if ratio >= GOAL_OVER_REFERENCE { "kept" } else { "MISSED" };
            println!(
                "SciPy sosfilt, 28 bands, A and C, same rate: {reference:.0} times real time; ratio {ratio:.1}, goal \
                 {GOAL_OVER_REFERENCE:.0}, {word}"
            );
        }
        None => println!("no Python with SciPy here: the reference was not run"),
    }
}

/// A recorded sweep of 30 s: markers, clock, response, levels and decay; the deconvolution alone has the goal.
fn sweeps() {
    let mut recorded = vec![0.0; 20_000];
    recorded.extend(Signal::Sweep.samples(48_000, -20.0).unwrap());
    let sweep = played_sweep(48_000.0);
    let at_s = 20_000.0 / 48_000.0 + SWEEP_AFTER_MARKER_S;
    let start = Instant::now();
    black_box(deconvolve(&recorded, &sweep, at_s, 1.0001).unwrap());
    let alone_s = start.elapsed().as_secs_f64();
    let word = if alone_s <= GOAL_SWEEP_S { "kept" } else { "MISSED" };
    println!("sweep of 30 s deconvolved: {alone_s:.2} s, goal {GOAL_SWEEP_S} s, {word}");
    let start = Instant::now();
    black_box(measure_sweep(&recorded, 48_000.0).unwrap());
    println!("the same with markers, levels and decay: {:.2} s", start.elapsed().as_secs_f64());
}

/// An hour of white noise in 16 bits.
fn hour_of_noise() -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 48_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for sample in White::new(1).take(48_000 * 60 * MINUTES as usize) {
        writer.write_sample((sample * 3000.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

/// Speed of 28 third-octave filters of three sections with A and C and the mean square of each, times real time.
fn reference_speed() -> Option<f64> {
    const SCRIPT: &str = "
import time, numpy as np
from scipy import signal
fs = 48000
x = np.random.default_rng(1).standard_normal(60 * fs)
bands = [1000 * 10 ** ((i - 17) / 10) for i in range(28)]
soses = [signal.butter(3, [f / 10 ** 0.05, f * 10 ** 0.05], 'bandpass', fs=fs, output='sos') for f in bands]
soses += [signal.butter(3, 12000, fs=fs, output='sos'), signal.butter(2, 12000, fs=fs, output='sos')]
best = 1e9
for _ in range(2):
    start = time.perf_counter()
    for sos in soses:
        y = signal.sosfilt(sos, x)
        np.mean(y * y)
    best = min(best, time.perf_counter() - start)
print(60 / best)
";
    let output = Command::new("python3").args(["-c", SCRIPT]).env("OMP_NUM_THREADS", "1").output().ok()?;
    String::from_utf8(output.stdout).ok()?.trim().parse().ok()
}
