//! Decay times of constructed decays: known to the constructor, found by the program.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

use bands::Band;
use proof::{
    decay::{Averaged, DecayMethod, average, decay_of_response, interrupted_noise, strokes},
    noise::White,
};
use quantities::math;

const RATE_HZ: f64 = 48_000.0;

/// A response of white noise that falls by 60 dB in `decay_s`, over steady noise at `noise_db`.
fn response(decay_s: f64, noise_db: f64, seconds: f64, seed: u64) -> Vec<f64> {
    let (mut sound, mut noise) = (White::new(seed), White::new(seed + 1000));
    let floor = math::energy_of_db(noise_db / 2.0);
    (0..(seconds * RATE_HZ) as u32)
        .map(|n| {
            let fall = math::energy_of_db(-30.0 * f64::from(n) / RATE_HZ / decay_s);
            0.5 * (sound.next().unwrap() * fall + noise.next().unwrap() * floor)
        })
        .collect()
}

fn band(hz: f64) -> Band {
    Band::from_nominal_hz(hz).unwrap()
}

#[test]
fn decays_of_known_time_are_found_within_three_deviations_in_every_band() {
    for (decay_s, seed) in [(0.25, 1), (0.5, 2), (1.2, 3)] {
        let decay = decay_of_response(&response(decay_s, -75.0, 2.5, seed), RATE_HZ, DecayMethod::Impulse);
        for band in Band::range(100.0, 8000.0) {
            let found = decay.of(band).unwrap();
            let (t, deviation) = (found.t_s.unwrap(), found.deviation_s.unwrap());
            assert!(
                (t - decay_s).abs() < 3.0 * deviation.max(0.004),
                "{} Hz: {t} for {decay_s}",
                band.nominal()
            );
            let t30 = found.t30_s.unwrap();
            assert!((t30 - decay_s).abs() < 3.0 * deviation.max(0.004), "{} Hz: T30 {t30}", band.nominal());
        }
        near_over_bands(&decay, (500.0, 8000.0), decay_s);
    }
}

/// The mean over bands lies within three of its standard deviations.
fn near_over_bands(decay: &proof::Decay, (from_hz, to_hz): (f64, f64), decay_s: f64) {
    let found: Vec<(f64, f64)> = Band::range(from_hz, to_hz)
        .filter_map(|band| decay.of(band))
        .map(|found| (found.t_s.unwrap(), found.deviation_s.unwrap()))
        .collect();
    let count = found.len() as f64;
    let mean = found.iter().map(|(t, _)| t).sum::<f64>() / count;
    let deviation = found.iter().map(|(_, deviation)| deviation * deviation).sum::<f64>().sqrt() / count;
    assert!((mean - decay_s).abs() < 3.0 * deviation, "mean {mean} ± {deviation} s for {decay_s} s");
}

#[test]
fn a_dying_tone_has_its_time_to_half_a_per_cent() {
    for decay_s in [0.3, 0.6, 1.5] {
        for hz in [125.0, 500.0, 2000.0] {
            let band = band(hz);
            let tone: Vec<f64> = (0..120_000)
                .map(|n| {
                    let time_s = f64::from(n) / RATE_HZ;
                    let fall = math::energy_of_db(-30.0 * time_s / decay_s);
                    fall * math::cos(math::TAU * band.centre_hz() * time_s) + 1e-6
                })
                .collect();
            let decay = decay_of_response(&tone, RATE_HZ, DecayMethod::Impulse);
            let found = decay.of(band).unwrap();
            assert!((found.t20_s.unwrap() / decay_s - 1.0).abs() < 0.005, "{hz} Hz: {found:?}");
            assert!((found.t30_s.unwrap() / decay_s - 1.0).abs() < 0.005, "{hz} Hz: {found:?}");
            assert!(found.curvature_percent.unwrap().abs() < 1.0);
        }
    }
}

#[test]
fn noise_under_the_decay_is_compensated_and_where_it_is_too_near_that_is_said() {
    let decay = decay_of_response(&response(0.6, -40.0, 2.0, 11), RATE_HZ, DecayMethod::Sweep);
    near_over_bands(&decay, (1000.0, 5000.0), 0.6);
    assert!(
        Band::range(1000.0, 5000.0).all(|band| decay.of(band).unwrap().t30_s.is_none()),
        "T30 needs 45 dB"
    );
    let loud = decay_of_response(&response(0.6, -25.0, 2.0, 12), RATE_HZ, DecayMethod::Sweep);
    for band in Band::range(1000.0, 5000.0) {
        let found = loud.of(band).unwrap();
        assert!(found.t_s.is_none() && found.flags[0].to_string().contains("over the noise"), "{found:?}");
    }
}

#[test]
fn a_bent_decay_is_called_curved() {
    let early = response(0.3, -90.0, 3.0, 21);
    let late = response(1.5, -90.0, 3.0, 22);
    let both: Vec<f64> = early.iter().zip(&late).map(|(a, b)| a + 0.05 * b).collect();
    let decay = decay_of_response(&both, RATE_HZ, DecayMethod::Impulse);
    let found = decay.of(band(2000.0)).unwrap();
    assert!(found.curvature_percent.unwrap() > 10.0, "{found:?}");
    assert!(found.flags.iter().any(|flag| flag.to_string().contains("bends")));
}

#[test]
fn strokes_in_a_recording_are_found_and_averaged() {
    let mut samples: Vec<f64> = White::new(5).take(30_000).map(|x| x * 1e-5).collect();
    for seed in 31..36 {
        samples.extend(response(0.4, -80.0, 1.5, seed));
    }
    let decay = strokes(&samples, RATE_HZ).unwrap();
    assert_eq!(decay.decays, 5);
    near_over_bands(&decay, (400.0, 5000.0), 0.4);
    let low = decay.octave_63.t_s.unwrap();
    assert!((low / 0.4 - 1.0).abs() < 0.25, "octave of 63 Hz: {low}");
    assert_eq!(strokes(&White::new(1).take(200_000).collect::<Vec<_>>(), RATE_HZ), None);
    assert_eq!(strokes(&[], RATE_HZ), None);
}

#[test]
fn noise_that_is_switched_off_gives_the_time_of_its_decay() {
    let mut samples = Vec::new();
    for seed in 41..47 {
        // Noise in a room: each moment's noise goes on and dies away, so what is heard after the stop is a decay.
        samples.extend(White::new(seed).take(96_000).map(|x| x * 0.1));
        samples.extend(response(0.5, -70.0, 1.5, seed + 50).iter().map(|x| x * 0.2));
    }
    let decay = interrupted_noise(&samples, RATE_HZ).unwrap();
    assert_eq!(decay.decays, 6);
    for band in Band::range(250.0, 5000.0) {
        let found = decay.of(band).unwrap();
        let (t, deviation) = (found.t_s.unwrap(), found.deviation_s.unwrap());
        assert!((t - 0.5).abs() < 3.5 * deviation, "{} Hz: {t} ± {deviation}", band.nominal());
    }
    near_over_bands(&decay, (500.0, 5000.0), 0.5);
    assert_eq!(interrupted_noise(&White::new(1).take(200_000).collect::<Vec<_>>(), RATE_HZ), None);
}

#[test]
fn positions_are_averaged_arithmetically() {
    let one = decay_of_response(&response(0.4, -75.0, 2.0, 61), RATE_HZ, DecayMethod::Impulse);
    let two = decay_of_response(&response(0.6, -75.0, 2.0, 62), RATE_HZ, DecayMethod::Impulse);
    let both = average(&[one.clone(), two.clone()], Averaged::Positions).unwrap();
    let at = band(1000.0);
    assert_eq!(both.positions, 2);
    let expected = f64::midpoint(one.t_s(at).unwrap(), two.t_s(at).unwrap());
    assert!((both.t_s(at).unwrap() - expected).abs() < 1e-12);
    assert_eq!(average(&[], Averaged::Positions), None);
}

#[test]
fn a_dry_room_is_told_from_a_ringing_filter() {
    let decay = decay_of_response(&response(0.05, -90.0, 1.0, 71), RATE_HZ, DecayMethod::Impulse);
    let low = decay.of(band(63.0)).unwrap();
    assert!(low.flags.iter().any(|flag| flag.to_string().contains("as short as a third octave")), "{low:?}");
}

/// Where a stroke stands 50 dB over the noise, the noise is now and then taken for the end of the decay; what comes of that is not given.
#[test]
fn no_time_is_given_that_the_noise_has_made() {
    let mut given = 0;
    for seed in 0..60 {
        let decay = decay_of_response(&response(0.3, -50.0, 2.0, 700 + seed), RATE_HZ, DecayMethod::Impulse);
        for (band, of) in decay.iter().filter(|(band, _)| band.nominal_hz() >= 100.0) {
            for time_s in [of.edt_s, of.t30_s].into_iter().flatten() {
                assert!(time_s < 1.3, "seed {seed}, {} Hz: {time_s} s", band.nominal());
                given += 1;
            }
        }
    }
    assert!(given > 300, "{given}");
}
