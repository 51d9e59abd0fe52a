//! Signals to play: noise and sweeps, each minute-long one between two markers.

use quantities::math;

use crate::{
    farina_2000::Sweep,
    marker::{End, MARKER_S, marker},
    noise::{Pinking, White},
    pcm_wav,
};

/// Lowest level, dB re full scale.
pub const LOWEST_LEVEL_DB: f64 = -60.0;
/// Highest level, dB re full scale: noise needs 12 dB above it.
pub const HIGHEST_LEVEL_DB: f64 = -12.1;
/// Level where nothing else is asked, dB re full scale.
pub const USUAL_LEVEL_DB: f64 = -20.0;
/// Sampling rates that signals are written at, Hz.
pub const SIGNAL_RATES_HZ: [u32; 4] = [44_100, 48_000, 88_200, 96_000];

/// Largest sample of a noise over its root mean square: 12.04 dB.
const CREST: f64 = 4.0;
/// Silence between a marker and what it marks, s.
const PAUSE_S: f64 = 2.0;
/// Noise between the markers of a one-minute signal, s.
const NOISE_S: f64 = 52.0;
/// Period of a looped signal, s.
const LOOP_S: f64 = 30.0;
/// Length of the sweep, s.
const SWEEP_S: f64 = 30.0;
/// Silence after the sweep, in which the room dies away, s.
const SWEEP_AFTER_S: f64 = 6.0;
/// Sweep from, Hz: below the lowest band.
const SWEEP_FROM_HZ: f64 = 16.0;
/// Sweep to, Hz: above the highest band.
const SWEEP_TO_HZ: f64 = 14_000.0;
/// Bursts of noise to be switched off.
const BURSTS: usize = 6;
/// A burst lasts so long, s.
const BURST_ON_S: f64 = 4.0;
/// Silence after a burst, s.
const BURST_OFF_S: f64 = 4.0;

/// A signal to play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Signal {
    /// Pink noise between markers, one minute in all.
    PinkMinute,
    /// White noise between markers, one minute in all.
    WhiteMinute,
    /// Half a minute of pink noise that joins its own beginning.
    PinkLoop,
    /// Half a minute of white noise that joins its own beginning.
    WhiteLoop,
    /// Exponential sweep between markers.
    Sweep,
    /// Inverse of the sweep, for those who want to convolve elsewhere.
    SweepInverse,
    /// Pink noise switched on and off, for decay times.
    PinkBursts,
}

/// Why a signal cannot be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SignalError {
    /// Too loud, too quiet or no number.
    #[error(
        "a level of {level_db} dB re full scale is not possible; {LOWEST_LEVEL_DB} to {HIGHEST_LEVEL_DB} dB are. Noise needs 12 dB above it."
    )]
    Level {
        /// What was asked, dB.
        level_db: f64,
    },
    /// A rate players do not take.
    #[error("signals are written at 44100, 48000, 88200 or 96000 Hz, not at {rate_hz} Hz.")]
    Rate {
        /// What was asked, Hz.
        rate_hz: u32,
    },
    /// More than a WAV file can hold.
    #[error("the signal is larger than a WAV file can be.")]
    TooLarge,
}

impl Signal {
    /// Every signal.
    pub const ALL: [Self; 7] = [
        Self::PinkMinute,
        Self::WhiteMinute,
        Self::PinkLoop,
        Self::WhiteLoop,
        Self::Sweep,
        Self::SweepInverse,
        Self::PinkBursts,
    ];

    /// Its name as a file, without the ending.
    pub const fn name(self) -> &'static str {
        match self {
            Self::PinkMinute => "pink-minute",
            Self::WhiteMinute => "white-minute",
            Self::PinkLoop => "pink-loop",
            Self::WhiteLoop => "white-loop",
            Self::Sweep => "sweep",
            Self::SweepInverse => "sweep-inverse",
            Self::PinkBursts => "pink-bursts",
        }
    }

    /// What it is for, one sentence.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::PinkMinute => {
                "One minute of pink noise between two markers: level differences inside to outside."
            }
            Self::WhiteMinute => {
                "One minute of white noise between two markers: where the high bands drown outside."
            }
            Self::PinkLoop => {
                "Pink noise without a seam: set the player to repeat and walk round with a meter."
            }
            Self::WhiteLoop => "White noise without a seam: for listening at joints and seals.",
            Self::Sweep => {
                "A slow sweep between two markers: level differences where noise drowns outside, and decay times."
            }
            Self::SweepInverse => "The inverse of the sweep, for convolving by other means; not for playing.",
            Self::PinkBursts => "Pink noise switched off six times: decay times.",
        }
    }

    /// Its samples at a level in dB re full scale (a mean square of 1 is 0 dB).
    pub fn samples(self, sample_rate_hz: u32, level_db: f64) -> Result<Vec<f64>, SignalError> {
        if !(LOWEST_LEVEL_DB..=HIGHEST_LEVEL_DB).contains(&level_db) {
            return Err(SignalError::Level { level_db });
        }
        if !SIGNAL_RATES_HZ.contains(&sample_rate_hz) {
            return Err(SignalError::Rate { rate_hz: sample_rate_hz });
        }
        let rate_hz = f64::from(sample_rate_hz);
        let rms = math::energy_of_db(level_db / 2.0);
        let mut samples = match self {
            Self::PinkMinute => between_markers(&pink(NOISE_S, rate_hz), rate_hz, PAUSE_S),
            Self::WhiteMinute => between_markers(&white(NOISE_S, rate_hz), rate_hz, PAUSE_S),
            Self::PinkLoop => pink(LOOP_S, rate_hz),
            Self::WhiteLoop => white(LOOP_S, rate_hz),
            Self::Sweep => {
                let sweep: Vec<f64> =
                    played_sweep(rate_hz).samples().iter().map(|x| x * std::f64::consts::SQRT_2).collect();
                between_markers(&sweep, rate_hz, SWEEP_AFTER_S)
            }
            Self::SweepInverse => {
                // As loud as fits: what convolves with it sets the level anew.
                let inverse = played_sweep(rate_hz).inverse();
                let most = inverse.iter().fold(0.0_f64, |most, x| most.max(x.abs())).max(f64::MIN_POSITIVE);
                return Ok(inverse.iter().map(|x| 0.5 * x / most).collect());
            }
            Self::PinkBursts => bursts(rate_hz),
        };
        for sample in &mut samples {
            *sample *= rms;
        }
        Ok(samples)
    }

    /// It as a WAV file with 24 bits and the plain header.
    pub fn wav(self, sample_rate_hz: u32, level_db: f64) -> Result<Vec<u8>, SignalError> {
        let most = f64::from(pcm_wav::LARGEST_24_BIT);
        let samples: Vec<i32> = self
            .samples(sample_rate_hz, level_db)?
            .iter()
            .map(|sample| (sample * 8_388_608.0).round().clamp(-most, most) as i32)
            .collect();
        pcm_wav::write(&samples, sample_rate_hz, &[]).ok_or(SignalError::TooLarge)
    }
}

/// The sweep as it is played, or as much of it as a recorder at another rate can hold.
pub fn played_sweep(sample_rate_hz: f64) -> Sweep {
    let to_hz = SWEEP_TO_HZ.min(0.45 * sample_rate_hz);
    let duration_s = SWEEP_S * math::ln(to_hz / SWEEP_FROM_HZ) / math::ln(SWEEP_TO_HZ / SWEEP_FROM_HZ);
    Sweep { from_hz: SWEEP_FROM_HZ, to_hz, duration_s, sample_rate_hz }
}

/// Time from the beginning of the first marker to the sweep, s.
pub const SWEEP_AFTER_MARKER_S: f64 = MARKER_S + PAUSE_S;
/// Silence between the noise of a one-minute signal and either marker, s.
pub const NOISE_PAUSE_S: f64 = PAUSE_S;
/// Length of the sweep itself, s.
pub const SWEEP_LENGTH_S: f64 = SWEEP_S;
/// Time from the beginning of the first marker to that of the last in the sweep signal, s.
pub const SWEEP_MARKERS_APART_S: f64 = MARKER_S + PAUSE_S + SWEEP_S + SWEEP_AFTER_S;
/// Time from the beginning of the first marker to the noise of a one-minute signal, s.
pub const NOISE_AFTER_MARKER_S: f64 = MARKER_S + PAUSE_S;
/// Length of the noise in a one-minute signal, s.
pub const NOISE_LENGTH_S: f64 = NOISE_S;
/// Time from the beginning of the first marker to that of the last in a one-minute signal, s.
pub const NOISE_MARKERS_APART_S: f64 = MARKER_S + PAUSE_S + NOISE_S + PAUSE_S;

fn count(seconds: f64, rate_hz: f64) -> usize {
    (seconds * rate_hz).round() as usize
}

fn between_markers(body: &[f64], rate_hz: f64, after_s: f64) -> Vec<f64> {
    let mut samples: Vec<f64> = marked(End::Start, rate_hz);
    samples.resize(samples.len() + count(PAUSE_S, rate_hz), 0.0);
    samples.extend_from_slice(body);
    samples.resize(samples.len() + count(after_s, rate_hz), 0.0);
    samples.extend(marked(End::Finish, rate_hz));
    samples
}

/// A marker about as loud as what it marks.
fn marked(end: End, rate_hz: f64) -> Vec<f64> {
    marker(end, rate_hz).iter().map(|x| x * std::f64::consts::SQRT_2).collect()
}

/// White noise of mean square 1 and limited crest; a period, joining its own beginning.
fn white(seconds: f64, rate_hz: f64) -> Vec<f64> {
    normalised(White::new(1).take(count(seconds, rate_hz)).collect())
}

/// Pink noise of mean square 1 and limited crest. The filter has run through the same white noise once before, so that the end
/// joins the beginning.
fn pink(seconds: f64, rate_hz: f64) -> Vec<f64> {
    let white: Vec<f64> = White::new(2).take(count(seconds, rate_hz)).collect();
    let mut filter = Pinking::new(rate_hz);
    for &sample in &white {
        filter.next(sample);
    }
    normalised(white.iter().map(|&sample| filter.next(sample)).collect())
}

fn bursts(rate_hz: f64) -> Vec<f64> {
    let noise = pink(BURST_ON_S * BURSTS as f64, rate_hz);
    let mut samples = vec![0.0; count(BURST_OFF_S / 2.0, rate_hz)];
    for burst in noise.chunks_exact(count(BURST_ON_S, rate_hz)) {
        samples.extend_from_slice(burst);
        samples.resize(samples.len() + count(BURST_OFF_S, rate_hz), 0.0);
    }
    samples
}

fn normalised(mut samples: Vec<f64>) -> Vec<f64> {
    let mean_square = samples.iter().map(|x| x * x).sum::<f64>() / samples.len().max(1) as f64;
    let rms = mean_square.sqrt().max(f64::MIN_POSITIVE);
    for sample in &mut samples {
        let scaled = *sample / rms;
        // What stands out is folded back: cut off, it would be flat on top and look clipped.
        *sample = if scaled.abs() > CREST {
            scaled.signum() * (2.0 * CREST - scaled.abs()).max(0.0)
        } else {
            scaled
        };
    }
    samples
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_signal_has_its_level_and_stays_within_full_scale() {
        for signal in Signal::ALL {
            let samples = signal.samples(48_000, USUAL_LEVEL_DB).unwrap();
            let peak = samples.iter().fold(0.0_f64, |peak, x| peak.max(x.abs()));
            assert!(peak < 0.51 && peak > 0.1, "{signal:?}: {peak}");
        }
        for signal in [Signal::PinkLoop, Signal::WhiteLoop] {
            let samples = signal.samples(44_100, -30.0).unwrap();
            let mean_square = samples.iter().map(|x| x * x).sum::<f64>() / samples.len() as f64;
            assert!((math::db_of_energy(mean_square) + 30.0).abs() < 0.02);
        }
        let loudest = Signal::PinkMinute.samples(48_000, HIGHEST_LEVEL_DB).unwrap();
        assert!(loudest.iter().all(|x| x.abs() < 1.0));
        assert!((loudest.len() as f64 / 48_000.0 - 60.0).abs() < 0.01);
    }

    #[test]
    fn a_loop_has_no_seam() {
        let samples = Signal::PinkLoop.samples(48_000, -20.0).unwrap();
        // Pink noise moves slowly: were there a seam, the step over it would be of the size of the noise itself.
        let mut doubled = samples.clone();
        doubled.extend_from_slice(&samples);
        let low = |samples: &[f64]| {
            let mut state = 0.0;
            samples
                .iter()
                .map(|x| {
                    state += 0.001 * (x - state);
                    state
                })
                .collect::<Vec<f64>>()
        };
        let slow = low(&doubled);
        let steps: Vec<f64> = slow.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
        let largest = steps[100_000..1_000_000].iter().copied().fold(0.0, f64::max);
        assert!(steps[samples.len() - 2..samples.len() + 2].iter().all(|step| *step <= largest));
    }

    #[test]
    fn what_cannot_be_written_is_said() {
        assert!(Signal::Sweep.samples(48_000, -6.0).unwrap_err().to_string().contains("12 dB"));
        assert!(Signal::Sweep.samples(48_000, f64::NAN).is_err());
        assert!(Signal::Sweep.samples(8000, -20.0).unwrap_err().to_string().contains("44100"));
    }
}
