//! The sweep through known filters, noise and clocks: what was put in comes out.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

mod rooms;

use std::io::Cursor;

use bands::Band;
use proof::{
    Recording,
    noise::White,
    signals::{SWEEP_AFTER_MARKER_S, Signal},
    swept::{SweepError, SweepMeasurement, measure_sweep, swept_difference},
};
use quantities::math;
use rooms::played_into;

const RATE_HZ: f64 = 48_000.0;

/// The signal as a loudspeaker plays it: silence before it, then the signal at −20 dB.
fn played() -> Vec<f64> {
    let mut samples = vec![0.0; 30_000];
    samples.extend(Signal::Sweep.samples(48_000, -20.0).unwrap());
    samples.resize(samples.len() + 20_000, 0.0);
    samples
}

fn with_noise(samples: &[f64], rms: f64, seed: u64) -> Vec<f64> {
    samples.iter().zip(White::new(seed)).map(|(x, noise)| x + rms * noise).collect()
}

/// Delay, gain and one reflection: `y[n] = g (x[n − d] + r x[n − d − e])`.
fn through(samples: &[f64], gain: f64, delay: usize, reflection: (f64, usize)) -> Vec<f64> {
    let (r, e) = reflection;
    (0..samples.len())
        .map(|n| {
            let at = |lag: usize| n.checked_sub(lag).and_then(|n| samples.get(n)).copied().unwrap_or(0.0);
            gain * (at(delay) + r * at(delay + e))
        })
        .collect()
}

fn gain_at(measured: &SweepMeasurement, band: Band) -> f64 {
    // What was played stands at −20 dB + 3 dB for the crest of a sine.
    measured.levels.gains.get(band).unwrap() + 20.0 - 3.0103
}

#[test]
fn a_gain_comes_out_to_a_tenth_of_a_decibel_under_noise() {
    let recorded = with_noise(&through(&played(), 0.01, 1000, (0.0, 1)), 3e-4, 5);
    let measured = measure_sweep(&recorded, RATE_HZ).unwrap();
    for band in Band::range(25.0, 10_000.0) {
        let found = gain_at(&measured, band);
        assert!((found + 40.0).abs() < 0.1, "{} Hz: {found}", band.nominal());
    }
    assert!((measured.marker_at_s - 31_000.0 / RATE_HZ).abs() < 1e-4);
    assert!(measured.clock_ppm.unwrap().abs() < 1.0, "{:?}", measured.clock_ppm);
}

#[test]
fn a_reflection_gives_the_comb_of_its_formula() {
    let (r, e) = (0.5, 24);
    let measured = measure_sweep(&through(&played(), 0.1, 500, (r, e)), RATE_HZ).unwrap();
    for band in Band::range(50.0, 10_000.0) {
        // The mean of |1 + r e^(−jωe)|² over the band, weighed by the filter, from its formula.
        let response = proof::filter_bank::Response::new(band.index() + 1, RATE_HZ);
        let (mut sum, mut weight) = (0.0, 0.0);
        let steps = 3000;
        for n in 0..steps {
            let hz = band.centre_hz() * math::powf(10.0, (f64::from(n) / f64::from(steps) - 0.5) * 0.4);
            if hz < 13_000.0 {
                let squared = math::powi(response.magnitude(hz), 2) * hz;
                let comb = 1.0 + r * r + 2.0 * r * math::cos(math::TAU * hz * e as f64 / RATE_HZ);
                sum += squared * comb;
                weight += squared;
            }
        }
        let expected = -20.0 + math::db_of_energy(sum / weight);
        let found = gain_at(&measured, band);
        assert!((found - expected).abs() < 0.1, "{} Hz: {found} for {expected}", band.nominal());
    }
}

#[test]
fn a_level_difference_deep_in_noise_is_found_and_what_the_sweep_won_is_shown() {
    // Through a good wall: the sweep 60 dB down, the noise 17 dB over it.
    let inside = measure_sweep(&through(&played(), 0.5, 100, (0.0, 1)), RATE_HZ).unwrap();
    let outside =
        measure_sweep(&with_noise(&through(&played(), 0.0005, 900, (0.0, 1)), 4e-4, 8), RATE_HZ).unwrap();
    let difference = inside.levels.gains.zip_with(&outside.levels.gains, |a, b| a - b);
    for band in Band::range(50.0, 5000.0) {
        let found = difference.get(band).unwrap();
        assert!((found - 60.0).abs() < 0.5, "{} Hz: {found}", band.nominal());
        let won = outside.levels.won.get(band).unwrap();
        assert!(won > 10.0, "{} Hz: won {won}", band.nominal());
    }
}

#[test]
fn a_clock_100_parts_in_a_million_fast_is_measured_and_taken_out() {
    let straight = through(&played(), 0.1, 0, (0.3, 2400));
    let read = |ppm: f64| drifted(&straight, ppm);
    let reference = measure_sweep(&straight, RATE_HZ).unwrap();
    for ppm in [100.0, -100.0] {
        let measured = measure_sweep(&read(ppm), RATE_HZ).unwrap();
        assert!((measured.clock_ppm.unwrap() - ppm).abs() < 1.0, "{:?}", measured.clock_ppm);
        for band in Band::range(50.0, 4000.0) {
            let off = gain_at(&measured, band) - gain_at(&reference, band);
            assert!(off.abs() < 0.1, "{} Hz at {ppm}: {off}", band.nominal());
        }
        let height = |measured: &SweepMeasurement| {
            measured.response.samples.iter().fold(0.0_f64, |most, x| most.max(x.abs()))
        };
        assert!(height(&measured) > 0.9 * height(&reference), "the response is as sharp as without drift");
    }
}

/// As a recorder takes it down whose clock runs `ppm` fast. Lagrange's cubic, on a signal far enough below half the sampling rate.
fn drifted(straight: &[f64], ppm: f64) -> Vec<f64> {
    let step = 1.0 / (1.0 + ppm * 1e-6);
    (0..straight.len() - 10)
        .map(|n| {
            let at = n as f64 * step;
            let (whole, t) = (at.floor() as usize, at - at.floor());
            let x =
                |k: isize| whole.checked_add_signed(k).and_then(|k| straight.get(k)).copied().unwrap_or(0.0);
            x(-1) * -t * (t - 1.0) * (t - 2.0) / 6.0 + x(0) * (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0
                - x(1) * (t + 1.0) * t * (t - 2.0) / 2.0
                + x(2) * (t + 1.0) * t * (t - 1.0) / 6.0
        })
        .collect()
}

/// One recorder inside, another outside whose clock runs 100 parts in a million off; a wall that is a known filter (a gain and a reflection), and
/// noise outside in which plain levels would drown.
#[test]
fn the_difference_of_two_recordings_is_that_of_the_wall_under_noise_and_drift() {
    let (r, e) = (0.4, 17);
    let inside = measure_sweep(&drifted(&through(&played(), 0.5, 100, (0.0, 1)), -100.0), RATE_HZ).unwrap();
    let behind = drifted(&through(&played(), 0.005, 700, (r, e)), 100.0);
    let outside = measure_sweep(&with_noise(&behind, 4e-4, 21), RATE_HZ).unwrap();
    let found = swept_difference(&inside.levels, &outside.levels);
    let (mut exact, mut drowned) = (0, 0);
    for band in Band::range(50.0, 4000.0) {
        let response = proof::filter_bank::Response::new(band.index() + 1, RATE_HZ);
        let (mut sum, mut weight) = (0.0, 0.0);
        for n in 0..3000 {
            let hz = band.centre_hz() * math::powf(10.0, (f64::from(n) / 3000.0 - 0.5) * 0.4);
            let squared = math::powi(response.magnitude(hz), 2) * hz;
            sum += squared * (1.0 + r * r + 2.0 * r * math::cos(math::TAU * hz * e as f64 / RATE_HZ));
            weight += squared;
        }
        let expected = 40.0 - math::db_of_energy(sum / weight);
        let off = (found.difference_db.get(band).unwrap() - expected).abs();
        let clear = found.clear_by_db.get(band).unwrap();
        // The energy of n dB over its noise is known to about 10^(−n/20): a tenth of a decibel from 36 dB on.
        if clear > 36.0 {
            exact += 1;
            assert!(off < 0.1, "{} Hz: {off} dB off at {clear}", band.nominal());
        } else {
            assert!(off < 0.5, "{} Hz: {off} dB off at {clear}", band.nominal());
        }
        drowned += u32::from(found.plain_db.get(band).unwrap() < 6.0);
        assert!(found.won_db.get(band).unwrap() > 10.0);
    }
    assert!(exact > 3 && drowned > 3, "{exact} {drowned}");
    assert!(found.at_least.is_empty(), "{:?}", found.at_least);
}

/// The sweep as a loudspeaker plays it that adds second and third harmonics, as shares of the amplitude.
fn bent(second: f64, third: f64) -> Vec<f64> {
    let peak = 0.1 * 2.0_f64.sqrt();
    let with_harmonics = |x: &f64| {
        let u = x / peak;
        0.1 * (x + peak * (second * (2.0 * u * u - 1.0) + third * (4.0 * u * u * u - 3.0 * u)))
    };
    played().iter().map(with_harmonics).collect()
}

#[test]
fn distortion_is_told_from_the_response() {
    // A loudspeaker with 3 % of second and 1 % of third harmonic.
    let measured = measure_sweep(&bent(0.03, 0.01), RATE_HZ).unwrap();
    for (found, expected) in measured.harmonics_db.iter().zip([-30.46, -40.0]) {
        // The harmonic stands over k times the band at 1/k of the width: within 1.5 dB of its amplitude.
        let found = found.unwrap();
        assert!((found - expected).abs() < 1.5, "{found} for {expected}");
    }
    for band in Band::range(50.0, 10_000.0) {
        assert!((gain_at(&measured, band) + 20.0).abs() < 0.15, "{} Hz", band.nominal());
    }
}

#[test]
fn a_room_in_the_way_gives_the_decay_that_its_response_has() {
    // White noise that dies away by 60 dB in 0.4 s, and a sweep through it by blocks.
    let mut random = White::new(77);
    let room: Vec<f64> = (0..28_800)
        .map(|n| 0.02 * math::energy_of_db(-30.0 * f64::from(n) / RATE_HZ / 0.4) * random.next().unwrap())
        .collect();
    let recorded = played_into(&played(), &room, played().len());
    let measured = measure_sweep(&with_noise(&recorded, 3e-6, 2), RATE_HZ).unwrap();
    let direct = proof::decay::decay_of_response(&room, RATE_HZ, proof::DecayMethod::Impulse);
    for band in Band::range(63.0, 8000.0) {
        let (swept, known) = (measured.decay.t_s(band).unwrap(), direct.t_s(band).unwrap());
        assert!((swept / known - 1.0).abs() < 0.03, "{} Hz: {swept} for {known}", band.nominal());
    }
}

#[test]
fn what_holds_no_sweep_is_said() {
    let noise: Vec<f64> = White::new(4).take(400_000).collect();
    assert_eq!(measure_sweep(&noise, RATE_HZ).unwrap_err(), SweepError::NoMarker);
    assert_eq!(measure_sweep(&[], RATE_HZ).unwrap_err(), SweepError::NoMarker);
    // Another signal between the same markers.
    let pink = Signal::PinkMinute.samples(48_000, -20.0).unwrap();
    assert_eq!(measure_sweep(&pink, RATE_HZ).unwrap_err(), SweepError::NoSweep);
    let cut: Vec<f64> = played().into_iter().take(600_000).collect();
    assert_eq!(measure_sweep(&cut, RATE_HZ).unwrap_err(), SweepError::TooShort);
}

#[test]
fn the_written_signal_is_what_is_measured() {
    let file = Cursor::new(Signal::Sweep.wav(48_000, -20.0).unwrap());
    let samples = Recording::open(file).unwrap().read_channel(0, 100.0).unwrap();
    let measured = measure_sweep(&samples, RATE_HZ).unwrap();
    assert!(measured.marker_at_s.abs() < 1e-5);
    assert!((SWEEP_AFTER_MARKER_S - 4.0).abs() < 1e-9);
}

/// Two recorders of different gain, each with its calibrator, give the difference of the wall; without the calibrators the gains are in it.
#[test]
fn gains_of_calibrated_recorders_fall_out() {
    let sound = played();
    let of = |gain: f64| {
        let heard: Vec<f64> = sound.iter().map(|x| gain * x).collect();
        measure_sweep(&with_noise(&heard, 1e-6, 3), RATE_HZ).unwrap().levels
    };
    // 12 dB more gain at the receiver: full scale stands for 12 dB less there.
    let (inside, outside) = (of(0.1), of(0.01 * math::powf(10.0, 12.0 / 20.0)));
    let calibrated = |levels: &proof::iso_18233_2006::SweptLevels, full_scale_db: f64| {
        levels.calibrated_by(proof::Sensitivity { full_scale_db })
    };
    let plain = swept_difference(&inside, &outside);
    let true_to_level = swept_difference(&calibrated(&inside, 120.0), &calibrated(&outside, 108.0));
    for band in Band::range(50.0, 5000.0) {
        assert!((plain.difference_db.get(band).unwrap() - 8.0).abs() < 0.1, "{} Hz", band.nominal());
        assert!((true_to_level.difference_db.get(band).unwrap() - 20.0).abs() < 0.1, "{} Hz", band.nominal());
        // How clear it stands is no level.
        assert_eq!(true_to_level.clear_by_db.get(band), plain.clear_by_db.get(band));
    }
}

/// What is told of a loudspeaker: its harmonics together, and whether it was overdriven; of one without, nothing.
#[test]
fn an_overdriven_loudspeaker_is_told() {
    let told = |second: f64, third: f64| {
        let measured = measure_sweep(&bent(second, third), RATE_HZ).unwrap();
        (measured.distortion(), measured.overdriven())
    };
    let (slight, said) = told(0.03, 0.01);
    assert!((slight.unwrap() / 0.0316 - 1.0).abs() < 0.2, "{slight:?}");
    assert_eq!(said, None);
    let (strong, said) = told(0.15, 0.05);
    assert!((strong.unwrap() / 0.158 - 1.0).abs() < 0.2, "{strong:?}");
    assert!(said.is_some_and(|words| words.contains("overdriven")));
    let (none, said) = told(0.0, 0.0);
    assert!(none.is_none_or(|share| share < 1e-3), "{none:?}");
    assert_eq!(said, None);
}
