//! Recordings as a new user makes them: at 44.1 kHz, begun late, stopped early, with a bang in between, with a recorder that turns its gain down.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a trial prints its figures and stops at the first thing that is missing"
)]

mod rooms;

use std::io::Cursor;

use bands::Band;
use proof::{
    AnalysisSettings, Fault, Recording, analyse_recording,
    decay::{DecayError, DecayMethod, WhyLeftOut, decay_of_response, measure},
    noise::White,
    pcm_wav,
    signals::Signal,
    swept::{SweepError, measure_sweep},
};
use quantities::math;

const RATE: u32 = 44_100;
const RATE_HZ: f64 = 44_100.0;

/// Strokes at their times in a recording of some length, over white noise at `noise_db` re the first moment of a stroke.
fn strokes(times_s: &[f64], length_s: f64, decay_s: f64, noise_db: f64) -> Vec<f64> {
    // A decay of unit energy begins with this mean square.
    let first = 6.0 * math::LN_10 / (decay_s * RATE_HZ);
    let floor = math::energy_of_db(noise_db / 2.0) * first.sqrt();
    let mut samples: Vec<f64> =
        White::new(77).take((length_s * RATE_HZ) as usize).map(|x| x * floor).collect();
    for (seed, time_s) in times_s.iter().enumerate() {
        let from = (time_s * RATE_HZ) as usize;
        for (slot, x) in samples.iter_mut().skip(from).zip(rooms::falling(decay_s, RATE_HZ, 60 + seed as u64))
        {
            *slot += x;
        }
    }
    samples
}

/// A signal of the program in a room, with silence before it and noise under it.
fn heard(signal: Signal, decay_s: f64, before_s: f64) -> Vec<f64> {
    let mut played = vec![0.0; (before_s * RATE_HZ) as usize];
    played.extend(signal.samples(RATE, -20.0).unwrap());
    let length = played.len() + RATE as usize;
    let mut heard = rooms::played_into(&played, &rooms::falling(decay_s, RATE_HZ, 5), length);
    for (slot, x) in heard.iter_mut().zip(White::new(9)) {
        *slot += 1e-5 * x;
    }
    heard
}

#[test]
fn every_stroke_counts_wherever_it_stands() {
    for (times_s, length_s) in [
        (vec![2.0, 5.0, 8.0, 11.0, 14.0], 20.0),
        (vec![2.0, 5.0, 8.0, 11.0, 14.0], 15.2),
        (vec![3.0], 9.0),
        (vec![2.0], 6.0),
        (vec![40.0, 43.0, 46.0], 48.0),
    ] {
        let samples = strokes(&times_s, length_s, 0.5, -70.0);
        let found = measure(&samples, RATE_HZ, None).unwrap();
        assert_eq!(
            (found.method, found.decays, found.left_out.len()),
            (DecayMethod::Impulse, times_s.len(), 0),
            "{times_s:?} in {length_s} s"
        );
        for band in Band::range(160.0, 5000.0) {
            let one = found.of(band).unwrap();
            let (time_s, deviation_s) = (one.t_s.unwrap(), one.deviation_s.unwrap());
            assert!(
                (time_s - 0.5).abs() < 3.5 * deviation_s,
                "{} Hz: {time_s} ± {deviation_s}",
                band.nominal()
            );
        }
        let low_s = found.of(Band::from_nominal_hz(63.0).unwrap()).unwrap().t_s;
        assert!(low_s.is_none_or(|low_s| (0.25..0.9).contains(&low_s)), "{low_s:?}");
    }
}

#[test]
fn a_stroke_that_is_left_out_is_named_with_the_reason() {
    let mut samples = strokes(&[2.0, 5.0, 8.0, 8.35, 11.8], 12.0, 0.3, -70.0);
    // One far too soft.
    for (slot, x) in samples.iter_mut().skip(6 * RATE as usize + 22_050).zip(rooms::falling(0.3, RATE_HZ, 3))
    {
        *slot += 0.0063 * x;
    }
    let found = measure(&samples, RATE_HZ, None).unwrap();
    assert_eq!(found.decays, 3, "{:?}", found.left_out);
    let told: Vec<(f64, bool)> =
        found.left_out.iter().map(|one| (one.at_s, matches!(one.why, WhyLeftOut::Faint { .. }))).collect();
    assert_eq!(told.len(), 3, "{:?}", found.left_out);
    assert!(told.iter().any(|(at_s, faint)| *faint && (at_s - 6.5).abs() < 0.02), "{told:?}");
    assert!(matches!(found.left_out[1].why, WhyLeftOut::NextTooSoon { .. }), "{:?}", found.left_out);
    assert!(matches!(found.left_out[2].why, WhyLeftOut::EndsTooSoon { .. }), "{:?}", found.left_out);
    for one in &found.left_out {
        assert!(one.to_string().contains("left out") && one.to_string().ends_with('.'), "{one}");
    }
}

/// The recording ends while the room still rings: what is there of the decay gives its time, not a shorter one.
#[test]
fn a_stroke_may_be_cut_off_before_its_tail_is_in_the_noise() {
    let (mut sum, mut count, mut given) = (0.0, 0.0, 0);
    for after_s in [0.45, 0.6, 0.8] {
        let samples = strokes(&[2.0], 2.0 + after_s, 0.7, -90.0);
        let found = measure(&samples, RATE_HZ, None).unwrap();
        for band in Band::range(400.0, 5000.0) {
            let one = found.of(band).unwrap();
            if let (Some(time_s), Some(deviation_s)) = (one.t_s, one.deviation_s) {
                assert!(
                    (time_s - 0.7).abs() < 4.0 * deviation_s,
                    "{after_s} s, {} Hz: {time_s}",
                    band.nominal()
                );
                sum += time_s / 0.7;
                count += 1.0;
                given += 1;
            }
        }
    }
    println!("cut tails: {:.3} of the true time in {given} bands", sum / count);
    assert!(given >= 20 && (sum / count - 1.0).abs() < 0.05, "{}", sum / count);
}

#[test]
fn bursts_are_bursts_whatever_bangs_in_a_pause() {
    let mut samples = heard(Signal::PinkBursts, 0.6, 2.0);
    let found = measure(&samples, RATE_HZ, None).unwrap();
    assert_eq!((found.method, found.decays), (DecayMethod::InterruptedNoise, 6));
    // A door in the third pause.
    let from = (26.5 * RATE_HZ) as usize;
    for (slot, x) in samples.iter_mut().skip(from).zip(rooms::falling(0.3, RATE_HZ, 8)) {
        *slot += 2.0 * x;
    }
    let found = measure(&samples, RATE_HZ, None).map(|found| (found.method, found.decays));
    assert_eq!(found, Ok((DecayMethod::InterruptedNoise, 6)));
}

/// Low bands of a tail beat: they fall into holes and leap out of them by more than a stroke rises.
#[test]
fn a_tail_that_beats_is_no_stroke() {
    for (seed, beat_hz) in [(1_u64, 1.5), (2, 2.0), (3, 2.5), (4, 3.0)] {
        let played = Signal::PinkBursts.samples(RATE, -20.0).unwrap();
        let mut response = rooms::falling(0.4, RATE_HZ, seed);
        response.resize((1.6 * RATE_HZ) as usize, 0.0);
        for (n, slot) in response.iter_mut().enumerate() {
            let time_s = n as f64 / RATE_HZ;
            let fall = math::energy_of_db(-30.0 * time_s / 0.9);
            let tone = |hz: f64| math::sin(math::TAU * hz * time_s);
            *slot += 0.003 * fall * (tone(52.0) + tone(52.0 + beat_hz));
        }
        let heard = rooms::played_into(&played, &response, played.len() + RATE as usize);
        let heard: Vec<f64> = heard.iter().zip(White::new(4)).map(|(x, noise)| x + 1e-5 * noise).collect();
        let found = measure(&heard, RATE_HZ, None).map(|found| (found.method, found.decays));
        assert_eq!(found, Ok((DecayMethod::InterruptedNoise, 6)), "beat of {beat_hz} Hz");
    }
}

#[test]
fn a_sweep_begun_late_is_called_that() {
    let whole = heard(Signal::Sweep, 0.5, 1.0);
    for from_s in [3.5, 6.0, 10.0, 20.0] {
        let late = &whole[(from_s * RATE_HZ) as usize..];
        let found = measure(late, RATE_HZ, None).map(|found| found.method);
        assert_eq!(found, Err(DecayError::Sweep(SweepError::BegunLate)), "from {from_s} s");
        assert_eq!(measure_sweep(late, RATE_HZ).unwrap_err(), SweepError::BegunLate);
    }
}

#[test]
fn a_minute_that_is_cut_before_its_noise_ends_has_no_decay() {
    for stop_s in [14.0, 20.0, 40.0] {
        let minute = heard(Signal::PinkMinute, 0.5, 3.0);
        let cut = &minute[..(stop_s * RATE_HZ) as usize];
        let found = measure(cut, RATE_HZ, None).map(|found| found.method);
        assert_eq!(found, Err(DecayError::NeverSwitchedOff), "stopped after {stop_s} s");
    }
    let late = &heard(Signal::PinkMinute, 0.5, 3.0)[12 * RATE as usize..];
    let found = measure(late, RATE_HZ, None).map(|found| (found.method, found.decays));
    assert_eq!(found, Ok((DecayMethod::InterruptedNoise, 1)));
}

/// T30 and T20 of single responses 48 to 60 dB over the noise: in the mean the true time, and inside ± nineteen times in twenty.
#[test]
fn noise_near_the_decay_does_not_lengthen_it() {
    for noise_db in [-48.0, -50.0, -60.0] {
        let (mut t20, mut t30, mut inside) = ((0.0, 0.0), (0.0, 0.0), (0, 0));
        for seed in 0..12 {
            let mut response = rooms::falling(0.6, RATE_HZ, 300 + seed);
            let first = (response.iter().take(4410).map(|x| x * x).sum::<f64>() / 4410.0).sqrt();
            // The mean over the first tenth of a second lies some 4.3 dB under the beginning.
            let floor = first * math::energy_of_db(0.5 * noise_db + 2.15);
            response.resize(2 * RATE as usize, 0.0);
            for (slot, x) in response.iter_mut().zip(White::new(900 + seed)) {
                *slot += floor * x;
            }
            let found = decay_of_response(&response, RATE_HZ, DecayMethod::Impulse);
            for band in Band::range(500.0, 8000.0) {
                let one = found.of(band).unwrap();
                let add = |sum: &mut (f64, f64), time_s: Option<f64>| {
                    if let Some(time_s) = time_s {
                        *sum = (sum.0 + time_s / 0.6, sum.1 + 1.0);
                    }
                };
                add(&mut t20, one.t20_s);
                add(&mut t30, one.t30_s);
                if let (Some(time_s), Some(deviation_s)) = (one.t30_s, one.t30_deviation_s) {
                    inside.1 += 1;
                    inside.0 += i32::from((time_s - 0.6).abs() <= 2.0 * deviation_s);
                }
            }
        }
        let (t20, t30) = ((t20.0 / t20.1, t20.1), (t30.0 / t30.1, t30.1));
        println!(
            "{noise_db} dB: T20 {:.4} of the true time ({}), T30 {:.4} ({}), inside {} of {}",
            t20.0, t20.1, t30.0, t30.1, inside.0, inside.1
        );
        assert!((t20.0 - 1.0).abs() < 0.01, "{noise_db} dB: T20 {}", t20.0);
        assert!(t30.1 > 60.0 && (t30.0 - 1.0).abs() < 0.01, "{noise_db} dB: T30 {}", t30.0);
        assert!(20 * inside.0 >= 19 * inside.1, "{noise_db} dB: {inside:?}");
    }
}

fn wav(samples: &[f64], rate_hz: u32) -> Recording {
    let whole: Vec<i32> = samples.iter().map(|x| (x * 8_388_608.0) as i32).collect();
    Recording::open(Cursor::new(pcm_wav::write(&whole, rate_hz, &[]).unwrap())).unwrap()
}

#[test]
fn a_gain_that_steps_within_steady_noise_is_told() {
    let noise = Signal::PinkLoop.samples(RATE, -20.0).unwrap();
    let steady = AnalysisSettings { steady: true, ..AnalysisSettings::default() };
    let told = |samples: &[f64], settings: &AnalysisSettings| {
        let faults = analyse_recording(wav(samples, RATE), settings).unwrap().faults;
        faults.into_iter().find(|fault| matches!(fault, Fault::LevelStep { .. }))
    };
    assert_eq!(told(&noise, &steady), None);
    for (factor, by_db) in [(0.5, -6.02), (0.7079, -3.0), (1.4125, 3.0)] {
        let mut stepped = noise.clone();
        for x in stepped.iter_mut().skip(12 * RATE as usize) {
            *x *= factor;
        }
        let Some(Fault::LevelStep { at_s, by_db: found_db }) = told(&stepped, &steady) else {
            panic!("a step of {by_db} dB is not told")
        };
        assert!((at_s - 12.0).abs() < 0.5 && (found_db - by_db).abs() < 0.4, "{found_db} dB at {at_s} s");
        assert_eq!(
            told(&stepped, &AnalysisSettings::default()),
            None,
            "what is not known to be steady may step"
        );
    }
}

#[test]
fn what_a_slow_rate_lacks_is_told() {
    let noise: Vec<f64> = White::new(1).take(160_000).map(|x| 0.05 * x).collect();
    let faults =
        |rate_hz: u32| analyse_recording(wav(&noise, rate_hz), &AnalysisSettings::default()).unwrap().faults;
    let [Fault::LacksHighBands { from_hz, .. }] = faults(8000)[..] else { panic!("{:?}", faults(8000)) };
    assert!((from_hz - 4000.0).abs() < 1.0, "{from_hz}");
    assert!(!faults(44_100).iter().any(|fault| matches!(fault, Fault::LacksHighBands { .. })));
}
