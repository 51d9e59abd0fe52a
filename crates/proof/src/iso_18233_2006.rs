//! ISO 18233:2006, *Application of new measurement methods in building and room acoustics*: impulse responses by swept sine.

use num_complex::Complex64;
use quantities::math;
use realfft::RealFftPlanner;

use crate::{
    BandLevels, LEVEL_BAND_COUNT,
    farina_2000::Sweep,
    filter_bank::{BandSignal, halvings, split},
    iec_61260_1_2014::mid_band_hz,
    iso_3382_2_2008::THIRD_OCTAVE_BANDWIDTH,
    lundeby_1995,
};

/// Part of the response that is kept before its onset, s: what the filters ring backwards, and a little more.
const BEFORE_S: f64 = 0.1;
/// Longest response that is kept, s (judgement: as long as the silence after the sweep).
const LONGEST_RESPONSE_S: f64 = 6.0;
/// Harmonics that are told apart.
pub const HARMONICS: u32 = 4;

/// So high a harmonic is taken for none (judgement).
const NOISE_ORDER: u32 = 32;

/// Impulse response and what was found besides.
#[derive(Clone, Debug, PartialEq)]
pub struct SweptResponse {
    /// The response; 1 is what goes out of the file played coming back unchanged. It begins [`onset_s`](Self::onset_s) before its
    /// first sound.
    pub samples: Vec<f64>,
    /// Sampling rate, Hz.
    pub sample_rate_hz: f64,
    /// Time from the beginning of `samples` to the first sound, s.
    pub onset_s: f64,
    /// Energy of the second harmonic and those after it, dB re the response: distortion of the loudspeaker, which no longer
    /// touches the levels. None of one that does not stand out of the noise.
    pub harmonics_db: Vec<Option<f64>>,
}

/// Levels of a response in third octaves.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SweptLevels {
    /// Gain from the file played to the recording, dB; differences of two such gains are level differences.
    pub gains: BandLevels,
    /// Integrated response over the noise left in it, dB.
    pub effective_snr: BandLevels,
    /// The gain is at most this, dB: by the noise left in the response, for bands in which it does not stand clear.
    pub at_most: BandLevels,
    /// Level over the background that pink noise as loud as the sweep would have had, dB; where the background was recorded.
    pub plain_snr: BandLevels,
    /// What the sweep won over plain noise of the same level: the difference of the two, dB.
    pub won: BandLevels,
}

/// Deconvolves a recording in which the sweep begins at `sweep_at_s`, with the recorder's clock `clock_ratio` times the player's.
///
/// The spectrum is divided by that of the sweep, over the band of the sweep, which is the inverse filter of Farina with its
/// ripple taken out; what the loudspeaker adds as harmonics arrives before the response and is cut off with its past. None where
/// the recording does not hold the sweep.
pub fn deconvolve(
    recording: &[f64],
    sweep: &Sweep,
    sweep_at_s: f64,
    clock_ratio: f64,
) -> Option<SweptResponse> {
    let rate_hz = sweep.sample_rate_hz;
    let played = sweep.samples();
    let from = sweep_at_s - BEFORE_S;
    let wanted = played.len() + ((BEFORE_S + LONGEST_RESPONSE_S) * rate_hz) as usize;
    let aligned = resampled(recording, from * rate_hz, clock_ratio, wanted);
    if aligned.len() < played.len() {
        return None;
    }
    let size = smooth_size(aligned.len().max(played.len()));
    let mut planner = RealFftPlanner::<f64>::new();
    let (forward, inverse) = (planner.plan_fft_forward(size), planner.plan_fft_inverse(size));
    let transform = |mut samples: Vec<f64>| {
        samples.resize(size, 0.0);
        let mut lines = forward.make_output_vec();
        forward.process(&mut samples, &mut lines).is_ok().then_some(lines)
    };
    let sweep_lines = transform(played.clone())?;
    let mut lines = transform(aligned.clone())?;
    let line_hz = rate_hz / size as f64;
    for (at, (line, sweep_line)) in lines.iter_mut().zip(&sweep_lines).enumerate() {
        let hz = at as f64 * line_hz;
        let gate = edge(hz, sweep.from_hz) * (1.0 - edge(hz, sweep.to_hz / BAND_EDGE));
        *line = if gate > 0.0 && sweep_line.norm_sqr() > 0.0 {
            *line / *sweep_line * (gate / size as f64)
        } else {
            Complex64::ZERO
        };
    }
    let mut response = inverse.make_output_vec();
    inverse.process(&mut lines, &mut response).ok()?;
    let before = (BEFORE_S * rate_hz) as usize;
    let kept = (aligned.len() - played.len()).min(size);
    let harmonics_db = harmonics(&response, sweep, before);
    response.truncate(kept.max(before + 1));
    let onset_s = onset(&response, rate_hz);
    Some(SweptResponse { samples: response, sample_rate_hz: rate_hz, onset_s, harmonics_db })
}

/// Where the response begins: the first sample within 20 dB of the greatest, looked for near where it should be, less a
/// hundredth of a second.
fn onset(response: &[f64], rate_hz: f64) -> f64 {
    let at = |time_s: f64| (time_s * rate_hz) as usize;
    let near = response.get(at(0.5 * BEFORE_S)..at(1.5 * BEFORE_S)).unwrap_or_default();
    let most = near.iter().fold(0.0_f64, |most, sample| most.max(sample.abs()));
    let first = near.iter().position(|sample| sample.abs() >= 0.1 * most).unwrap_or(0);
    0.5 * BEFORE_S + first as f64 / rate_hz - 0.01
}

/// Levels of a response to a sweep by integration over its decay, less the noise in it (clause 7). `quiet` is a stretch of the
/// recording without the sweep, for the comparison with plain noise as loud as the sweep; it may be empty.
pub fn levels(response: &SweptResponse, quiet: &[f64], sweep: &Sweep) -> SweptLevels {
    let rate_hz = response.sample_rate_hz;
    // A unit impulse through the same filters: what an unchanged signal would give.
    let mut unit = vec![0.0; (4.0 * rate_hz) as usize];
    if let Some(first) = unit.first_mut() {
        *first = 1.0;
    }
    let units = energies(&split(&unit, rate_hz));
    let mut found = [Integrated::default(); LEVEL_BAND_COUNT];
    for signal in split(&response.samples, rate_hz) {
        let squares: Vec<f64> = signal.samples.iter().map(|x| x * x).collect();
        if let Some(slot) = found.get_mut(signal.place) {
            let bandwidth_hz = THIRD_OCTAVE_BANDWIDTH * mid_band_hz(signal.place);
            *slot = integrated(&squares, signal.rate_hz, (response.onset_s, bandwidth_hz));
        }
    }
    let of = |place: usize| found.get(place).copied().unwrap_or_default();
    let gains = BandLevels::from_places(|place| {
        let unit = units.get(place).copied().flatten()?;
        // A band at half the rate has half as many samples of the same size, and a unit half as high.
        Some(math::db_of_energy(of(place).energy? / unit))
    });
    let at_most = BandLevels::from_places(|place| {
        let unit = units.get(place).copied().flatten()?;
        Some(math::db_of_energy(of(place).at_most? / unit))
    });
    let effective_snr = BandLevels::from_places(|place| of(place).clear_db);
    // A sweep of peak 1 has a mean square of ½, evenly over the logarithm of frequency as pink noise has.
    let in_band = 0.5 * math::LN_10 / 10.0 / math::ln(sweep.to_hz / sweep.from_hz);
    let background = energies(&split(quiet, rate_hz));
    let plain_snr = BandLevels::from_places(|place| {
        let halved = math::powi(2.0, halvings(place, rate_hz).cast_signed());
        let noise = background.get(place).copied().flatten()? * halved / quiet.len() as f64;
        Some(gains.at_place(place)? + math::db_of_energy(in_band / noise))
    });
    let won = effective_snr.zip_with(&plain_snr, |effective, plain| effective - plain);
    SweptLevels { gains, effective_snr, at_most, plain_snr, won }
}

/// Intervals in which the end of a response is looked for are at least so long, s (judgement).
const INTERVAL_S: f64 = 0.02;
/// … and so long that a band's noise is calm in them: bandwidth times length (judgement).
const INTERVAL_BT: f64 = 4.0;
/// Sound is what stands this many times over the noise in such an interval (judgement).
const OVER_NOISE: f64 = 4.0;

/// A response that does not stand clear of its noise is looked for over this time, s: a room of 3 s has given nine tenths of its energy (judgement).
const HIDDEN_S: f64 = 0.5;
/// So many standard deviations of the noise over what is found there, a response could still be (judgement).
const AT_MOST_DEVIATIONS: f64 = 2.0;

/// One band of a response.
#[derive(Clone, Copy, Default)]
struct Integrated {
    /// Energy without the noise.
    energy: Option<f64>,
    /// Its ratio to the noise over the same time, dB.
    clear_db: Option<f64>,
    /// The energy is at most this.
    at_most: Option<f64>,
}

/// The most energy a response can have of which no more than `energy` was found in noise of the energy `hidden`, over a time in which the
/// band has `freedom` (bandwidth times length): noise of that length scatters by √(1/BT), and its product with the response by √(2/BT).
fn most(energy: f64, hidden: f64, freedom: f64) -> f64 {
    let found = energy.max(0.0);
    let variance = (hidden * hidden + 2.0 * found * hidden) / freedom.max(1.0);
    found + AT_MOST_DEVIATIONS * variance.sqrt()
}

/// Energy of the response, without its noise, its ratio to the noise over the same time, and the most it can be.
fn integrated(squares: &[f64], rate_hz: f64, (onset_s, bandwidth_hz): (f64, f64)) -> Integrated {
    let Some(after) = squares.get((onset_s * rate_hz) as usize..) else { return Integrated::default() };
    let crossing = lundeby_1995::crossing(after, rate_hz);
    // Where no decay is seen, the later half is noise.
    let later = after.get(after.len() / 2..).unwrap_or_default();
    let noise =
        crossing.map_or_else(|| later.iter().sum::<f64>() / later.len().max(1) as f64, |found| found.noise);
    let interval = ((INTERVAL_BT / bandwidth_hz).max(INTERVAL_S) * rate_hz).ceil().max(1.0) as usize;
    let heard = after
        .chunks_exact(interval)
        .rposition(|chunk| chunk.iter().sum::<f64>() > OVER_NOISE * noise * interval as f64)
        .map_or(interval, |last| (last + 2) * interval);
    let crossed = crossing.map_or(0, |found| (found.at_s * rate_hz) as usize);
    // An echo after the decay has sunk into the noise belongs to the response too.
    let end = heard.max(crossed).clamp(1, after.len().max(1)).min(after.len());
    let window = after.get(..end).unwrap_or_default();
    let hidden = noise * window.len() as f64;
    let beyond = crossing.filter(|_| crossed >= heard).map_or(0.0, |found| found.beyond);
    let energy = window.iter().sum::<f64>() - hidden + beyond;
    let long = after.get(..end.max((HIDDEN_S * rate_hz) as usize)).unwrap_or(after);
    let hidden_long = noise * long.len() as f64;
    let over =
        most(long.iter().sum::<f64>() - hidden_long, hidden_long, bandwidth_hz * long.len() as f64 / rate_hz);
    // Never less than what a response as loud as the noise would have given.
    let at_most = over.max(energy.max(0.0) + hidden);
    let at_most = (at_most > 0.0).then_some(at_most);
    if energy.is_nan() || energy <= 0.0 {
        return Integrated { at_most, ..Integrated::default() };
    }
    let clear_db = (hidden > 0.0).then(|| math::db_of_energy(energy / hidden));
    Integrated { energy: Some(energy), clear_db, at_most }
}

fn energies(signals: &[BandSignal]) -> [Option<f64>; LEVEL_BAND_COUNT] {
    let mut energies = [None; LEVEL_BAND_COUNT];
    for signal in signals {
        if let Some(slot) = energies.get_mut(signal.place) {
            *slot = Some(signal.samples.iter().map(|x| x * x).sum::<f64>());
        }
    }
    energies
}

/// Energy of each harmonic from the second on, re the response, dB.
fn harmonics(response: &[f64], sweep: &Sweep, onset: usize) -> Vec<Option<f64>> {
    let size = response.len();
    let place = |order: u32| {
        let lead = (sweep.harmonic_lead_s(order) * sweep.sample_rate_hz) as usize;
        (size + onset).checked_sub(lead).map(|at| at % size)
    };
    let energy = |from: usize, count: usize| -> f64 {
        (0..count).filter_map(|n| response.get((from + n) % size)).map(|x| x * x).sum()
    };
    // Half of what lies between the last two harmonics holds each of them without its neighbour.
    let gap_s = sweep.harmonic_lead_s(HARMONICS + 2) - sweep.harmonic_lead_s(HARMONICS + 1);
    let count = (0.5 * gap_s * sweep.sample_rate_hz) as usize;
    let early = count / 8;
    let whole = energy((onset + size - early) % size, count);
    // Where only a harmonic far above those told would lie there is noise.
    let noise = place(NOISE_ORDER).map_or(0.0, |from| energy(from, count));
    (2..=HARMONICS + 1)
        .map(|order| {
            let from = (place(order)? + size - early) % size;
            let found = energy(from, count);
            let stands_out = whole > 0.0 && found > 2.0 * noise;
            stands_out.then(|| math::db_of_energy((found - noise) / whole))
        })
        .collect()
}

/// Width of the soft edges of the band that is kept, as a ratio of frequencies.
const BAND_EDGE: f64 = 1.06;

/// Rises from 0 at a frequency to 1 at [`BAND_EDGE`] times it.
fn edge(hz: f64, at_hz: f64) -> f64 {
    let part = ((hz / at_hz - 1.0) / (BAND_EDGE - 1.0)).clamp(0.0, 1.0);
    0.5 - 0.5 * math::cos(math::PI * part)
}

/// Taps of the interpolation to either side.
const REACH: usize = 16;
/// From the sample before a place to the first tap.
const REACH_BACK: i64 = 15;
/// Places between two samples for which the taps are kept; between them they are taken straight.
const PHASES: usize = 512;

/// `count` samples beginning at sample `from` (which may lie before the recording: silence), `ratio` recorded samples apart; fewer
/// where the recording ends. Windowed-sinc interpolation, flat to 0.42 of the sampling rate.
fn resampled(recording: &[f64], from: f64, ratio: f64, count: usize) -> Vec<f64> {
    let table = taps();
    let last = recording.len() as f64;
    let mut samples = Vec::with_capacity(count);
    for n in 0..count {
        let at = from + n as f64 * ratio;
        if at >= last {
            break;
        }
        let whole = at.floor();
        let phase = (at - whole) * PHASES as f64;
        let (row, part) = (phase as usize, phase - phase.floor());
        let begin = whole as i64 - REACH_BACK;
        let near = usize::try_from(begin).ok().and_then(|begin| recording.get(begin..begin + 2 * REACH));
        let (Some(taps), Some(next)) = (table.get(row), table.get(row + 1)) else { break };
        let sample = match near {
            Some(near) => {
                near.iter().zip(taps.iter().zip(next)).map(|(x, (a, b))| x * (a + part * (b - a))).sum()
            }
            None => (0_u8..)
                .zip(taps.iter().zip(next))
                .filter_map(|(tap, (a, b))| {
                    let sample = recording.get(usize::try_from(begin + i64::from(tap)).ok()?)?;
                    Some(sample * (a + part * (b - a)))
                })
                .sum(),
        };
        samples.push(sample);
    }
    samples
}

fn taps() -> Vec<[f64; 2 * REACH]> {
    (0..=PHASES)
        .map(|row| {
            let phase = row as f64 / PHASES as f64;
            let mut taps = [0.0; 2 * REACH];
            for (tap, slot) in taps.iter_mut().enumerate() {
                let away = tap as f64 - (REACH as f64 - 1.0) - phase;
                let sinc =
                    if away.abs() < 1e-12 { 1.0 } else { math::sin(math::PI * away) / (math::PI * away) };
                let x = away / REACH as f64;
                // Blackman's window.
                let window = 0.42 + 0.5 * math::cos(math::PI * x) + 0.08 * math::cos(math::TAU * x);
                *slot = if x.abs() < 1.0 { sinc * window } else { 0.0 };
            }
            taps
        })
        .collect()
}

/// The next length that transforms fast: 2ᵃ, 3·2ᵃ or 9·2ᵃ.
fn smooth_size(least: usize) -> usize {
    let power = least.max(16).next_power_of_two();
    [power / 16 * 9, power / 4 * 3, power].into_iter().find(|&size| size >= least).unwrap_or(power)
}
