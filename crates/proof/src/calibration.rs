//! Sensitivity of a recording chain from the tone of a sound calibrator.

use std::io::{Read, Seek};

use quantities::{format::with_unit, math};
use realfft::RealFftPlanner;

use crate::{
    Recording, RecordingError,
    faults::{Fault, Watch},
};

/// Shortest steady stretch of tone that is taken, s (judgement).
pub const SHORTEST_TONE_S: f64 = 3.0;
/// Most of a recording that is looked through for the tone, s.
pub const LONGEST_LOOK_S: f64 = 120.0;
/// Frequencies that sound calibrators give, Hz (IEC 60942).
pub const CALIBRATOR_HZ: [f64; 2] = [1000.0, 250.0];

/// A frame that is looked at, s.
const FRAME_S: f64 = 0.5;
/// Levels of neighbouring frames in one tone differ by no more, dB (judgement).
const STEADY_DB: f64 = 0.1;
/// Levels within one tone differ by no more from end to end, dB (judgement).
const SPREAD_DB: f64 = 0.3;
/// Part of the energy from 100 Hz on that must lie in the tone (judgement).
const PURE: f64 = 0.9;
/// Distance from the calibrator's nominal frequency that is accepted, as a part of it (judgement).
const OFF_NOMINAL: f64 = 0.05;

/// How loud full scale is.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Sensitivity {
    /// Sound pressure level that a mean square of 1 (full scale) stands for, dB re 20 µPa.
    pub full_scale_db: f64,
}

/// A calibrator's tone as found.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct CalibrationTone {
    /// Its frequency, Hz.
    pub frequency_hz: f64,
    /// Its level re full scale, dB.
    pub level_db: f64,
    /// Where the steady stretch begins, s.
    pub from_s: f64,
    /// How long it is steady, s.
    pub duration_s: f64,
    /// Difference between its loudest and its quietest half second, dB.
    pub spread_db: f64,
    /// Part of the energy from 100 Hz on that is not the tone, dB re the tone.
    pub remainder_db: f64,
}

/// Why a recording gives no calibration.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// It cannot be read.
    #[error(transparent)]
    Recording(#[from] RecordingError),
    /// A stated level no calibrator has.
    #[error("{stated_db} dB is no level of a calibrator. State what is printed on it, such as 94 or 114 dB.")]
    Level {
        /// What was stated, dB.
        stated_db: f64,
    },
    /// No steady tone.
    #[error(
        "no steady tone of at least 3 s is in it. Push the calibrator fully onto the microphone, wait until it is steady and \
         record 10 s."
    )]
    NoTone,
    /// A tone no calibrator gives.
    #[error(
        "its steady tone is at {frequency_hz:.0} Hz; calibrators give 1000 or 250 Hz. Is this the recording of the calibrator?"
    )]
    Frequency {
        /// Its frequency, Hz.
        frequency_hz: f64,
    },
    /// The tone is clipped.
    #[error(
        "the tone is clipped, so its level is not known. Lower the gain, and record the calibrator and everything else anew."
    )]
    Clipped,
}

impl CalibrationTone {
    /// What full scale stands for, if the tone's level at the microphone is `stated_db`.
    pub fn sensitivity(&self, stated_db: f64) -> Result<Sensitivity, CalibrationError> {
        if !(60.0..=160.0).contains(&stated_db) {
            return Err(CalibrationError::Level { stated_db });
        }
        Ok(Sensitivity { full_scale_db: stated_db - self.level_db })
    }

    /// One sentence on what was found.
    pub fn sentence(&self) -> String {
        format!(
            "Calibrator tone of {} found, steady for {} within {}; the rest lies {} below it.",
            with_unit(self.frequency_hz, 1, "Hz"),
            with_unit(self.duration_s, 1, "s"),
            with_unit(self.spread_db, 2, "dB"),
            with_unit(-self.remainder_db, 0, "dB")
        )
    }
}

/// Finds the calibrator's tone in one channel of a recording, counted from 0.
pub fn calibration_tone<R: Read + Seek + Send + Sync + 'static>(
    reader: R,
    channel: usize,
) -> Result<CalibrationTone, CalibrationError> {
    let recording = Recording::open(reader)?;
    let rate_hz = f64::from(recording.format().sample_rate_hz);
    let mut samples = recording.read_channel(channel, LONGEST_LOOK_S)?;
    let tone = tone_in(&samples, rate_hz)?;
    let from = (tone.from_s * rate_hz) as usize;
    let to = from + (tone.duration_s * rate_hz) as usize;
    let mut watch = Watch::default();
    if let Some(stretch) = samples.get_mut(from..to) {
        watch.look(stretch, rate_hz);
    }
    if watch.faults(1, rate_hz).iter().any(|fault| matches!(fault, Fault::Clipped { .. })) {
        return Err(CalibrationError::Clipped);
    }
    Ok(tone)
}

/// Finds the longest steady tone in samples.
pub fn tone_in(samples: &[f64], sample_rate_hz: f64) -> Result<CalibrationTone, CalibrationError> {
    let frames = frames(samples, sample_rate_hz);
    let mut best: Option<&[Frame]> = None;
    let mut start = 0;
    for end in 1..=frames.len() {
        while let Some(run) = frames.get(start..end).filter(|run| !is_steady(run)) {
            start += 1;
            if run.len() <= 1 {
                break;
            }
        }
        if let Some(run) = frames.get(start..end)
            && run.len() > best.map_or(0, <[Frame]>::len)
        {
            best = Some(run);
        }
    }
    let run = best.ok_or(CalibrationError::NoTone)?;
    let duration_s = (run.len() + 1) as f64 * FRAME_S / 2.0;
    if duration_s < SHORTEST_TONE_S {
        return Err(CalibrationError::NoTone);
    }
    let count = run.len() as f64;
    let frequency_hz = run.iter().map(|frame| frame.frequency_hz).sum::<f64>() / count;
    let tone = run.iter().map(|frame| frame.tone).sum::<f64>() / count;
    let all = run.iter().map(|frame| frame.all).sum::<f64>() / count;
    if !CALIBRATOR_HZ.iter().any(|nominal| (frequency_hz / nominal - 1.0).abs() < OFF_NOMINAL) {
        return Err(CalibrationError::Frequency { frequency_hz });
    }
    let (least, most) = spread(run);
    Ok(CalibrationTone {
        frequency_hz,
        level_db: math::db_of_energy(tone),
        from_s: run.first().map_or(0.0, |frame| frame.from_s),
        duration_s,
        spread_db: math::db_of_energy(most / least),
        remainder_db: math::db_of_energy(((all - tone) / tone).max(1e-12)),
    })
}

/// Half a second of sound: mean squares of the strongest tone and of everything from 100 Hz on.
#[derive(Clone, Copy, Debug)]
struct Frame {
    from_s: f64,
    frequency_hz: f64,
    tone: f64,
    all: f64,
}

fn is_steady(run: &[Frame]) -> bool {
    let (least, most) = spread(run);
    let low = run.iter().map(|frame| frame.frequency_hz).fold(f64::INFINITY, f64::min);
    let high = run.iter().map(|frame| frame.frequency_hz).fold(0.0, f64::max);
    let pure = run.iter().all(|frame| frame.tone > PURE * frame.all && frame.tone > 1e-12);
    let even = run.windows(2).all(|pair| match pair {
        [a, b] => math::db_of_energy(a.tone / b.tone).abs() <= STEADY_DB,
        _ => true,
    });
    pure && even && high / low < 1.005 && math::db_of_energy(most / least) <= SPREAD_DB
}

fn spread(run: &[Frame]) -> (f64, f64) {
    let least = run.iter().map(|frame| frame.tone).fold(f64::INFINITY, f64::min);
    let most = run.iter().map(|frame| frame.tone).fold(0.0, f64::max);
    (least.max(1e-30), most.max(1e-30))
}

/// Frames that overlap by half, through a Hann window.
fn frames(samples: &[f64], sample_rate_hz: f64) -> Vec<Frame> {
    let length = (FRAME_S * sample_rate_hz) as usize / 2 * 2;
    if length < 64 || samples.len() < length {
        return Vec::new();
    }
    let window: Vec<f64> =
        (0..length).map(|n| 0.5 - 0.5 * math::cos(math::TAU * n as f64 / length as f64)).collect();
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let mut spectrum = transform.make_output_vec();
    let mut windowed = transform.make_input_vec();
    let mut found = Vec::new();
    // The mean square of the window is 3/8; a one-sided spectrum has every line twice.
    let scale = 2.0 / (0.375 * length as f64 * length as f64);
    let bin_hz = sample_rate_hz / length as f64;
    let lowest = (100.0 / bin_hz) as usize;
    for at in (0..=samples.len() - length).step_by(length / 2) {
        let Some(frame) = samples.get(at..at + length) else { break };
        for ((slot, sample), weight) in windowed.iter_mut().zip(frame).zip(&window) {
            *slot = sample * weight;
        }
        if transform.process(&mut windowed, &mut spectrum).is_err() {
            break;
        }
        let power: Vec<f64> = spectrum.iter().map(num_complex::Complex::norm_sqr).collect();
        let peak = (lowest..power.len().saturating_sub(4)).max_by(|&a, &b| power[a].total_cmp(&power[b]));
        let Some(peak) = peak.filter(|&peak| peak >= 4) else { continue };
        let lines = power.get(peak - 4..=peak + 4).unwrap_or_default();
        let tone: f64 = lines.iter().sum();
        let middle: f64 = lines.iter().enumerate().map(|(n, p)| (n as f64 - 4.0) * p).sum();
        let all: f64 = power.iter().skip(lowest).sum();
        found.push(Frame {
            from_s: at as f64 / sample_rate_hz,
            frequency_hz: (peak as f64 + if tone > 0.0 { middle / tone } else { 0.0 }) * bin_hz,
            tone: tone * scale,
            all: all * scale,
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE_HZ: f64 = 48_000.0;

    fn tone(hz: f64, level_db: f64, seconds: u32) -> Vec<f64> {
        let peak = (2.0 * math::energy_of_db(level_db)).sqrt();
        (0..seconds * 48_000).map(|n| peak * math::sin(math::TAU * hz * f64::from(n) / RATE_HZ)).collect()
    }

    #[test]
    fn a_tone_between_handling_noises_is_found_with_its_level() {
        let mut samples: Vec<f64> =
            (0..96_000).map(|n| 0.2 * math::sin(f64::from(n) * f64::from(n) * 1e-6)).collect();
        samples.extend(tone(1002.4, -23.4, 8));
        samples.extend((0..48_000).map(|n| 0.1 * math::sin(f64::from(n % 9973 * (n % 97)))));
        let found = tone_in(&samples, RATE_HZ).unwrap();
        assert!((found.level_db + 23.4).abs() < 0.01, "{found:?}");
        assert!((found.frequency_hz - 1002.4).abs() < 0.1);
        assert!((found.from_s - 2.0).abs() < 0.51 && found.duration_s > 7.0);
        let sensitivity = found.sensitivity(94.0).unwrap();
        assert!((sensitivity.full_scale_db - 117.4).abs() < 0.01);
        assert!(found.sensitivity(9.4).is_err());
    }

    #[test]
    fn what_is_no_calibrator_is_refused() {
        let noise: Vec<f64> = crate::noise::White::new(1).take(480_000).collect();
        assert_eq!(tone_in(&noise, RATE_HZ), Err(CalibrationError::NoTone));
        assert_eq!(tone_in(&tone(1000.0, -20.0, 2), RATE_HZ), Err(CalibrationError::NoTone));
        assert_eq!(tone_in(&[], RATE_HZ), Err(CalibrationError::NoTone));
        assert_eq!(tone_in(&vec![0.0; 480_000], RATE_HZ), Err(CalibrationError::NoTone));
        assert!(matches!(tone_in(&tone(440.0, -20.0, 5), RATE_HZ), Err(CalibrationError::Frequency { .. })));
        let fading: Vec<f64> = tone(1000.0, -20.0, 10)
            .iter()
            .enumerate()
            .map(|(n, x)| x * (1.0 - n as f64 / 500_000.0))
            .collect();
        assert_eq!(tone_in(&fading, RATE_HZ), Err(CalibrationError::NoTone));
    }
}
