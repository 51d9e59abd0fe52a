//! A pair of chirps that marks where a signal begins or ends, and how it is found again in a recording.
//!
//! At the beginning both chirps rise, the first faster than the second; at the end the same backwards. They run from 150 Hz to
//! 3 kHz, which still comes through a good wall. Found by correlation with the noise made white first: in white noise at 48 kHz the marker may lie 25 dB below the
//! noise. Two recordings so need no cable between them to be laid over each other.

use std::io::{Read, Seek};

use quantities::math;
use realfft::RealFftPlanner;

use crate::{Block, Recording, RecordingError, gazsi_1985::HalfBand, recording::is_sound};

/// Length of a marker, s.
pub const MARKER_S: f64 = 2.0;
/// How much of a recording is looked through, s (judgement).
pub const LONGEST_LOOK_S: f64 = 600.0;

/// Length of the quicker chirp, s: two of one length would fit each other half, a second off.
const QUICK_S: f64 = 0.75;
/// Lowest frequency of the chirps, Hz.
const FROM_HZ: f64 = 150.0;
/// Highest frequency of the chirps, Hz.
const TO_HZ: f64 = 3000.0;
/// Fade of each chirp at either end, as a part of its length.
const FADE: f64 = 0.1;
/// Height of the correlation over its spread from which a marker is believed: steady noise reaches it once in 10¹⁰ tries. Noise that begins and
/// ends in a room has reached 7.2: one marker alone proves nothing.
const BELIEVED: f64 = 6.5;
/// The search runs at the lowest halved rate from here on, Hz.
const LEAST_SEARCH_RATE_HZ: f64 = 7900.0;

/// Which end of a signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// Its beginning: two rising chirps.
    Start,
    /// Its end: two falling chirps.
    Finish,
}

/// A marker as found.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Found {
    /// Time of its first sample, s.
    pub at_s: f64,
    /// Height of the correlation over its spread; from 6.5 on it is believed.
    pub clearness: f64,
}

/// Samples of a marker with a peak of 1.
pub fn marker(end: End, sample_rate_hz: f64) -> Vec<f64> {
    let mut samples = rising(QUICK_S, sample_rate_hz);
    samples.extend(rising(MARKER_S - QUICK_S, sample_rate_hz));
    if end == End::Finish {
        samples.reverse();
    }
    samples
}

/// A chirp that rises evenly: `sin 2π(f₁t + (f₂ − f₁)t²/2T)`.
fn rising(length_s: f64, sample_rate_hz: f64) -> Vec<f64> {
    let count = (length_s * sample_rate_hz).round() as usize;
    (0..count)
        .map(|n| {
            let part = n as f64 / count as f64;
            let time_s = n as f64 / sample_rate_hz;
            let near = (part.min(1.0 - part) / FADE).min(1.0);
            let phase = math::TAU * time_s * (FROM_HZ + 0.5 * (TO_HZ - FROM_HZ) * part);
            (0.5 - 0.5 * math::cos(math::PI * near)) * math::sin(phase)
        })
        .collect()
}

/// The two markers of a recording, looked for once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Markers {
    /// The one before the signal.
    pub start: Option<Found>,
    /// The one after it.
    pub finish: Option<Found>,
}

impl Markers {
    /// Both markers of samples that are held whole.
    pub fn of(samples: &[f64], sample_rate_hz: f64) -> Self {
        Self {
            start: find(samples, sample_rate_hz, End::Start),
            finish: find(samples, sample_rate_hz, End::Finish),
        }
    }
}

/// Finds a marker in samples that are held whole; none where there is none to be believed.
pub fn find(samples: &[f64], sample_rate_hz: f64, end: End) -> Option<Found> {
    let most = (LONGEST_LOOK_S * sample_rate_hz) as usize;
    let samples = samples.get(..most.min(samples.len()))?;
    let (sought, _) = slowed(&marker(end, sample_rate_hz), sample_rate_hz);
    let (heard, rate_hz) = slowed(samples, sample_rate_hz);
    find_slowed(&heard, rate_hz, &sought)
}

fn find_slowed(heard: &[f64], rate_hz: f64, sought: &[f64]) -> Option<Found> {
    if heard.len() < sought.len() {
        return None;
    }
    let correlation = Correlator::new(sought).whitened(heard);
    let mean_square = correlation.iter().map(|c| c * c).sum::<f64>() / correlation.len().max(1) as f64;
    let (at, height) = correlation
        .iter()
        .enumerate()
        .fold((0, 0.0), |best, (at, &c)| if c > best.1 { (at, c) } else { best });
    let clearness = height / mean_square.sqrt().max(f64::MIN_POSITIVE);
    if clearness.is_nan() || clearness < BELIEVED {
        return None;
    }
    // A parabola through the peak and its neighbours places it between samples.
    let beside = |offset: isize| at.checked_add_signed(offset).and_then(|at| correlation.get(at)).copied();
    let shift = match (beside(-1), beside(1)) {
        (Some(before), Some(after)) if 2.0 * height - before - after > 0.0 => {
            0.5 * (after - before) / (2.0 * height - before - after)
        }
        _ => 0.0,
    };
    Some(Found { at_s: (at as f64 + shift) / rate_hz, clearness })
}

/// Looks for both markers in one channel of a recording, counted from 0, without holding it: what is kept is slowed down.
pub fn find_both<R: Read + Seek + Send + Sync + 'static>(
    reader: R,
    channel: usize,
) -> Result<(Option<Found>, Option<Found>), RecordingError> {
    let mut recording = Recording::open(reader)?;
    let about = recording.format().clone();
    if channel >= about.channels {
        return Err(RecordingError::NoSuchChannel { asked: channel + 1, channels: about.channels });
    }
    let full_hz = f64::from(about.sample_rate_hz);
    let count = halvings(full_hz);
    let rate_hz = full_hz / math::powi(2.0, count.cast_signed());
    let mut filters: Vec<HalfBand> = (0..count).map(|_| HalfBand::new()).collect();
    let mut heard: Vec<f64> = Vec::new();
    let mut block = Block::new();
    while (heard.len() as f64) < LONGEST_LOOK_S * rate_hz && recording.next_block(&mut block)? {
        let Some(samples) = block.get_mut(channel) else { break };
        for sample in samples.iter_mut().filter(|sample| !is_sound(**sample)) {
            *sample = 0.0;
        }
        let mut stretch = std::mem::take(samples);
        for filter in &mut filters {
            let mut half = Vec::with_capacity(stretch.len() / 2 + 1);
            filter.halve(&stretch, &mut half);
            stretch = half;
        }
        heard.extend(stretch);
    }
    let found = |end: End| find_slowed(&heard, rate_hz, &slowed(&marker(end, full_hz), full_hz).0);
    Ok((found(End::Start), found(End::Finish)))
}

/// Rate of the recorder's clock against the player's, from both markers: recorded over played length. `1.0001` is a recorder that
/// runs 100 parts in a million fast.
pub fn clock_ratio(start: Found, finish: Found, played_s: f64) -> Option<f64> {
    let ratio = (finish.at_s - start.at_s) / played_s;
    // No clock is off by more than a thousandth: then one of the two markers was another sound.
    ((ratio - 1.0).abs() < 1e-3).then_some(ratio)
}

/// Halved again and again down to the search rate; marker and recording go through the same filters, so that their delays cancel.
fn slowed(samples: &[f64], sample_rate_hz: f64) -> (Vec<f64>, f64) {
    let mut slow = samples.to_vec();
    let mut rate_hz = sample_rate_hz;
    for _ in 0..halvings(sample_rate_hz) {
        let mut half = Vec::with_capacity(slow.len() / 2 + 1);
        HalfBand::new().halve(&slow, &mut half);
        slow = half;
        rate_hz /= 2.0;
    }
    (slow, rate_hz)
}

fn halvings(sample_rate_hz: f64) -> u32 {
    let mut rate_hz = sample_rate_hz / 2.0;
    let mut count = 0;
    while rate_hz >= LEAST_SEARCH_RATE_HZ {
        rate_hz /= 2.0;
        count += 1;
    }
    count
}

/// Correlates blocks with one pattern by Fourier transforms.
struct Correlator {
    size: usize,
    pattern: Vec<num_complex::Complex64>,
    pattern_length: usize,
    planner: RealFftPlanner<f64>,
}

impl Correlator {
    fn new(pattern: &[f64]) -> Self {
        let size = (4 * pattern.len()).next_power_of_two();
        let mut planner = RealFftPlanner::new();
        let spectrum = spectrum(&mut planner, pattern, size);
        Self { size, pattern: spectrum, pattern_length: pattern.len(), planner }
    }

    /// Correlation at every place where the pattern lies wholly inside, with the mean spectrum of the sound made flat.
    fn whitened(mut self, sound: &[f64]) -> Vec<f64> {
        let step = self.size - self.pattern_length;
        let starts: Vec<usize> = (0..sound.len()).step_by(step).collect();
        let mut power = vec![0.0; self.pattern.len()];
        for &start in &starts {
            let block = sound.get(start..(start + self.size).min(sound.len())).unwrap_or_default();
            for (sum, line) in power.iter_mut().zip(spectrum(&mut self.planner, block, self.size)) {
                *sum += line.norm_sqr();
            }
        }
        let weights = self.weights(&power);
        let inverse = self.planner.plan_fft_inverse(self.size);
        let places = sound.len() - self.pattern_length + 1;
        let mut correlation = Vec::with_capacity(places);
        for &start in &starts {
            let block = sound.get(start..(start + self.size).min(sound.len())).unwrap_or_default();
            let mut lines = spectrum(&mut self.planner, block, self.size);
            for ((line, pattern), weight) in lines.iter_mut().zip(&self.pattern).zip(&weights) {
                *line *= pattern.conj() * *weight;
            }
            // The first and the last line of a real signal's spectrum are real.
            if let [first, .., last] = lines.as_mut_slice() {
                (first.im, last.im) = (0.0, 0.0);
            }
            let mut product = inverse.make_output_vec();
            if inverse.process(&mut lines, &mut product).is_err() {
                return Vec::new();
            }
            correlation.extend(product.iter().take(step.min(places - correlation.len())));
            if correlation.len() == places {
                break;
            }
        }
        correlation
    }

    /// One over the smoothed power, nothing outside the chirps.
    fn weights(&self, power: &[f64]) -> Vec<f64> {
        // Lines smoothed to either side: about a hundredth of the range.
        let reach = (power.len() / 100).max(1);
        let mut running = vec![0.0];
        for value in power {
            running.push(running.last().copied().unwrap_or(0.0) + value);
        }
        let strongest = self.pattern.iter().map(num_complex::Complex::norm_sqr).fold(0.0, f64::max);
        let most = power.iter().copied().fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        (0..power.len())
            .map(|line| {
                let (from, to) = (line.saturating_sub(reach), (line + reach + 1).min(power.len()));
                let sum = running.get(to).zip(running.get(from)).map_or(0.0, |(upper, lower)| upper - lower);
                let mean = sum / (to - from) as f64;
                let wanted =
                    self.pattern.get(line).is_some_and(|pattern| pattern.norm_sqr() > 0.01 * strongest);
                if wanted { most / mean.max(1e-12 * most) } else { 0.0 }
            })
            .collect()
    }
}

fn spectrum(planner: &mut RealFftPlanner<f64>, samples: &[f64], size: usize) -> Vec<num_complex::Complex64> {
    let forward = planner.plan_fft_forward(size);
    let mut padded = samples.to_vec();
    padded.resize(size, 0.0);
    let mut lines = forward.make_output_vec();
    // Lengths are those the plan was made for, so this cannot fail; a zero spectrum finds nothing.
    if forward.process(&mut padded, &mut lines).is_err() {
        lines.fill(num_complex::Complex64::ZERO);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::noise::White;

    const RATE_HZ: f64 = 48_000.0;

    /// A marker at a place in white noise, `below_db` under it.
    fn hidden(at: usize, below_db: f64, seed: u64) -> Vec<f64> {
        let marker = marker(End::Start, RATE_HZ);
        let mean_square = marker.iter().map(|x| x * x).sum::<f64>() / marker.len() as f64;
        let gain = math::energy_of_db(-below_db / 2.0) / mean_square.sqrt();
        let mut samples: Vec<f64> = White::new(seed).take(480_000).collect();
        for (slot, sample) in samples.iter_mut().skip(at).zip(&marker) {
            *slot += gain * sample;
        }
        samples
    }

    #[test]
    fn a_marker_is_found_25_db_under_white_noise() {
        for seed in 0..6 {
            let at = 100_000 + 7001 * seed as usize;
            let found = find(&hidden(at, 25.0, seed), RATE_HZ, End::Start).unwrap();
            let off = found.at_s * RATE_HZ - at as f64;
            assert!(off.abs() < 5.0, "off by {off} samples, clearness {}", found.clearness);
        }
    }

    #[test]
    fn a_clear_marker_is_placed_within_a_tenth_of_a_sample_and_its_kind_told() {
        let samples = hidden(123_456, -20.0, 3);
        let found = find(&samples, RATE_HZ, End::Start).unwrap();
        assert!((found.at_s * RATE_HZ - 123_456.0).abs() < 0.1, "{}", found.at_s * RATE_HZ);
        let other = find(&samples, RATE_HZ, End::Finish);
        assert!(other.is_none_or(|other| other.clearness < 0.3 * found.clearness), "{other:?} {found:?}");
    }

    #[test]
    fn noise_alone_holds_no_marker() {
        for seed in 10..16 {
            let noise: Vec<f64> = White::new(seed).take(960_000).collect();
            assert_eq!(find(&noise, RATE_HZ, End::Start), None);
        }
        assert_eq!(find(&[], RATE_HZ, End::Start), None);
        assert_eq!(find(&vec![0.0; 200_000], RATE_HZ, End::Start), None);
    }
}
