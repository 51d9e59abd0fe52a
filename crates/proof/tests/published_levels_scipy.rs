//! Levels of constructed signals against an independent library: SciPy's filters at the full sampling rate and weightings by
//! whole spectra (`oracles/levels_scipy.py`).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::io::Cursor;

use bands::Band;
use proof::{Analysis, noise::White};
use quantities::math;

const REFERENCE: &str = include_str!("reference/levels_scipy.csv");

fn samples(signal: &str, rate_hz: u32) -> Vec<f64> {
    let count = rate_hz as usize * 6;
    let noise = |seed: u64| White::new(seed).take(count);
    let time = |n: usize| n as f64 / f64::from(rate_hz);
    match (signal, rate_hz) {
        ("white", 48_000) => noise(1).map(|x| 0.1 * x).collect(),
        ("white", 44_100) => noise(2).map(|x| 0.1 * x).collect(),
        ("white", 16_000) => noise(3).map(|x| 0.1 * x).collect(),
        ("rumble", _) => noise(4)
            .scan(0.0, |state, x| {
                *state = 0.999 * *state + 0.01 * x;
                Some(*state)
            })
            .collect(),
        ("clicks", _) => noise(5)
            .enumerate()
            .map(|(n, x)| {
                let within = time(n) * 4.0;
                0.3 * x * math::exp(-(within - within.floor()) * 30.0)
            })
            .collect(),
        _ => panic!("{signal} at {rate_hz} Hz"),
    }
}

fn analysed(signal: &str, rate_hz: u32) -> Analysis {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: rate_hz,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut file = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut file, spec).unwrap();
    for sample in samples(signal, rate_hz) {
        writer.write_sample(sample as f32).unwrap();
    }
    writer.finalize().unwrap();
    proof::analyse(Cursor::new(file.into_inner())).unwrap()
}

/// SciPy 1.17: every band within 0.05 dB, and what the bilinear transform at another rate changes of a noise's level is part of
/// it. A and C within 0.2 dB: in white noise, most of whose energy lies above 10 kHz, the sampled pole at 12.2 kHz tells (0.14 dB
/// at 48 kHz).
#[test]
fn levels_are_those_of_scipy() {
    let mut known: Option<(String, u32, Analysis)> = None;
    let mut rows = 0;
    for line in REFERENCE.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [signal, rate, band, level] = cells[..] else { panic!("{line}") };
        let (rate_hz, expected): (u32, f64) = (rate.parse().unwrap(), level.parse().unwrap());
        if known.as_ref().is_none_or(|(name, hz, _)| name != signal || *hz != rate_hz) {
            known = Some((signal.to_owned(), rate_hz, analysed(signal, rate_hz)));
        }
        let analysis = &known.as_ref().unwrap().2;
        let (found, within) = match band {
            "A" => (analysis.total.laeq_db, 0.2),
            "C" => (analysis.total.lceq_db, 0.2),
            "0" => (analysis.bands.at_20_hz(), 0.05),
            place => (analysis.bands.get(Band::at(place.parse::<usize>().unwrap() - 1).unwrap()), 0.05),
        };
        let found = found.unwrap();
        assert!((found - expected).abs() <= within, "{line}: {found:.4}");
        rows += 1;
    }
    assert!(rows > 140, "{rows}");
}
