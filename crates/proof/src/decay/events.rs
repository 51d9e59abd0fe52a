//! Strokes and switched-off noise found in a recording.

use quantities::math;

use super::{
    Averaged, BandDecay, Curve, Decay, DecayFlag, DecayMethod, LeftOut, WhyLeftOut, average,
    decay_of_response, octave_squares, of_curve, squared_backwards,
};
use crate::{LEVEL_BAND_COUNT, iec_61260_1_2014::mid_band_hz, iso_3382_2_2008 as iso, lundeby_1995};

/// Step in which a recording is looked through, s (judgement).
const STEP_S: f64 = 0.005;
/// A stroke rises at least so far over the noise, dB (judgement).
const STROKE_OVER_NOISE_DB: f64 = 30.0;
/// A rise of at least so far is named as a stroke that was left out, dB (judgement).
const NAMED_OVER_NOISE_DB: f64 = 20.0;
/// A stroke rises at least so far within 50 ms, dB (judgement).
const STROKE_RISE_DB: f64 = 15.0;
/// A stroke stands at least so far over the mean of the quarter of a second before it, dB (judgement): low bands that beat in a tail leap up from
/// a hole, but not over what was before.
const STROKE_OVER_BEFORE_DB: f64 = 10.0;
/// Two strokes nearer than this are one, s (judgement).
const ONE_STROKE_S: f64 = 0.2;
/// The time after a stroke that is needed at least, s (judgement).
const LEAST_AFTER_S: f64 = 0.4;
/// The time after a stroke, or after noise is switched off, that is used at most, s (judgement).
const MOST_AFTER_S: f64 = 6.0;
/// Noise must have been steady for this long before it is switched off, s (judgement).
const STEADY_BEFORE_S: f64 = 1.0;
/// What is left out before sound comes back, s …
const BEFORE_NEXT_S: f64 = 0.15;
/// … and what the filter rings, bandwidth times length (judgement both).
const BEFORE_NEXT_BT: f64 = 6.0;
/// The fall after a stroke is looked for over this time, s (judgement): in less, noise that has just begun may fall by chance.
const FALL_S: f64 = 0.8;
/// Sound that rises or falls faster is no steady noise, dB/s (judgement): after a stroke it falls by 60 dB in the decay time.
const MOST_SLOPE_DB_S: f64 = 7.0;
/// After a stroke the level falls faster than this, dB/s (judgement): a decay time of 7.5 s. What rings on longer is not told from noise that
/// has just begun.
const STROKE_FALLS_DB_S: f64 = -8.0;
/// In a dry room a stroke is gone after this time, s …
const GONE_AFTER_S: f64 = 0.1;
/// … by at least this, dB (judgement): from a decay time of 0.3 s on the slope shows.
const GONE_DB: f64 = 20.0;
/// Noise stands clear of the background by this in a band that counts, dB …
const HEARD_DB: f64 = 10.0;
/// … and in at least so many third octaves (judgement both).
const LEAST_BANDS: usize = 6;
/// Noise that is switched off falls at least so far, dB (judgement).
const SWITCHED_OFF_DB: f64 = 15.0;

/// Bursts that are told by their even distance are at least so many …
const LEAST_BURSTS: usize = 3;
/// … their distances differ by less, s …
const EVEN_S: f64 = 0.5;
/// … and the levels before they are switched off, dB (judgement all).
const EVEN_DB: f64 = 6.0;

/// What happens in a recording, by its level over time.
pub(super) struct Events {
    /// Where strokes begin, in steps.
    strokes: Vec<usize>,
    /// Where something rose like a stroke and not far enough: step and how far, dB.
    faint: Vec<(usize, f64)>,
    /// Where noise is switched off and where sound comes back, in steps.
    stops: Vec<(usize, usize)>,
    /// Whether there are several of these, equally spaced and from equal levels.
    even: bool,
    steps: usize,
}

impl Events {
    pub(super) fn of(samples: &[f64], sample_rate_hz: f64) -> Self {
        let levels = short_levels(samples, sample_rate_hz);
        let (strokes, faint) = stroke_starts(&levels);
        let stops = switch_offs(&levels);
        let even = evenly_switched_off(&levels, &stops);
        Self { strokes, faint, stops, even, steps: levels.len() }
    }

    /// Whether it is noise switched off again and again at equal distances and from equal levels, and strokes are fewer: a bang in the pauses is
    /// a bang.
    pub(super) fn is_bursts(&self) -> bool {
        self.even && self.strokes.len() < self.stops.len()
    }

    /// Time of the first stroke, s.
    pub(super) fn first_stroke_s(&self) -> Option<f64> {
        self.strokes.first().map(|&step| step as f64 * STEP_S)
    }

    /// Time of the first switching-off, s.
    pub(super) fn first_stop_s(&self) -> Option<f64> {
        self.stops.first().map(|&(stop, _)| stop as f64 * STEP_S)
    }
}

/// Where strokes begin: the level leaps up and falls again at once. Those that rise too little stand apart, with how far they rise, dB.
fn stroke_starts(levels: &[f64]) -> (Vec<usize>, Vec<(usize, f64)>) {
    let Some(noise_db) = noise_level(levels) else { return (Vec::new(), Vec::new()) };
    let steps = |time_s: f64| (time_s / STEP_S) as usize;
    let before = steps(0.05);
    let mut starts: Vec<usize> = Vec::new();
    for (at, &level) in levels.iter().enumerate() {
        if level <= noise_db + NAMED_OVER_NOISE_DB {
            continue;
        }
        let earlier = levels.get(at.saturating_sub(before)..at).unwrap_or_default();
        let quietest = earlier.iter().copied().fold(f64::INFINITY, f64::min).max(noise_db);
        let rises = at == 0 || level > quietest + STROKE_RISE_DB;
        let stands_out = || {
            let earlier = levels.get(at.saturating_sub(steps(0.25))..at.saturating_sub(2));
            earlier
                .filter(|earlier| !earlier.is_empty())
                .is_none_or(|earlier| level > mean_level(earlier) + STROKE_OVER_BEFORE_DB)
        };
        let falls = || {
            slope_db_s(levels, at + before / 2, at + steps(FALL_S))
                .is_some_and(|slope| slope < STROKE_FALLS_DB_S)
                || dies_at_once(levels, at)
        };
        let apart = starts.last().is_none_or(|&last| at > last + steps(ONE_STROKE_S));
        if rises && apart && stands_out() && falls() {
            starts.push(at);
        }
    }
    let over = |at: usize| {
        let first = levels.get(at..(at + steps(ONE_STROKE_S)).min(levels.len())).unwrap_or_default();
        first.iter().copied().fold(f64::NEG_INFINITY, f64::max) - noise_db
    };
    let (clear, faint): (Vec<usize>, Vec<usize>) =
        starts.into_iter().partition(|&at| over(at) > STROKE_OVER_NOISE_DB);
    (clear, faint.into_iter().map(|at| (at, over(at))).collect())
}

/// Level of the mean energy, dB.
fn mean_level(levels: &[f64]) -> f64 {
    math::db_of_energy(
        levels.iter().copied().map(math::energy_of_db).sum::<f64>() / levels.len().max(1) as f64,
    )
}

/// Whether the sound is gone soon after a step and stays away: in a dry room it lies in the noise before a slope could be seen.
fn dies_at_once(levels: &[f64], at: usize) -> bool {
    let steps = |time_s: f64| (time_s / STEP_S) as usize;
    let (gone, until) = (at + steps(GONE_AFTER_S), at + steps(LEAST_AFTER_S));
    let Some((first, rest)) = levels.get(at..gone).zip(levels.get(gone..until)) else { return false };
    let peak = first.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    rest.iter().all(|level| *level < peak - GONE_DB)
}

/// Slope of the level between two steps, dB/s; none where there are too few.
fn slope_db_s(levels: &[f64], from: usize, to: usize) -> Option<f64> {
    let part = levels.get(from..to.min(levels.len())).filter(|part| part.len() >= 20)?;
    let points = part.iter().enumerate().map(|(at, &level)| (at as f64 * STEP_S, level));
    lundeby_1995::Line::through(points).map(|line| line.slope)
}

/// Decays after the strokes in a recording that is held whole, averaged; none where there is no stroke.
pub fn strokes(samples: &[f64], sample_rate_hz: f64) -> Option<Decay> {
    strokes_at(samples, sample_rate_hz, &Events::of(samples, sample_rate_hz))
}

pub(super) fn strokes_at(samples: &[f64], sample_rate_hz: f64, events: &Events) -> Option<Decay> {
    let starts = &events.strokes;
    let steps = |time_s: f64| (time_s / STEP_S) as usize;
    let at_s = |step: usize| step as f64 * STEP_S;
    let mut left_out: Vec<LeftOut> = Vec::new();
    let (mut decays, mut hidden): (Vec<Decay>, Vec<Decay>) = (Vec::new(), Vec::new());
    for (at, &start) in starts.iter().enumerate() {
        // Begin a little early, so that the onset is inside, and end before the next stroke.
        let from = sample_at(start.saturating_sub(4), sample_rate_hz);
        let next = starts.get(at + 1).copied();
        let to = next.map_or(events.steps, |next| next.saturating_sub(6)).min(start + steps(MOST_AFTER_S));
        let after_s = at_s(to.saturating_sub(start));
        let why = if to <= start + steps(LEAST_AFTER_S) {
            if next.is_some() {
                WhyLeftOut::NextTooSoon { after_s }
            } else {
                WhyLeftOut::EndsTooSoon { after_s }
            }
        } else {
            let stroke =
                samples.get(from..sample_at(to, sample_rate_hz).min(samples.len())).unwrap_or_default();
            let decay = decay_of_response(stroke, sample_rate_hz, DecayMethod::Impulse);
            if decay.iter().any(|(_, band)| band.t_s.is_some()) {
                decays.push(decay);
                continue;
            }
            hidden.push(decay);
            WhyLeftOut::NoBand
        };
        left_out.push(LeftOut { at_s: at_s(start), why });
    }
    if decays.is_empty() {
        // None gives a time: what they tell of each band is kept all the same.
        decays = hidden;
        left_out.retain(|one| one.why != WhyLeftOut::NoBand);
    }
    left_out.extend(
        events
            .faint
            .iter()
            .map(|&(step, over_db)| LeftOut { at_s: at_s(step), why: WhyLeftOut::Faint { over_db } }),
    );
    left_out.sort_by(|one, other| one.at_s.total_cmp(&other.at_s));
    average(&decays, Averaged::Repeats).map(|decay| Decay { left_out, ..decay })
}

/// Decays after each switching-off of noise in a recording that is held whole: the squares of all are averaged, then one
/// time is taken in each band; none where noise is nowhere switched off.
pub fn interrupted_noise(samples: &[f64], sample_rate_hz: f64) -> Option<Decay> {
    interrupted_noise_at(samples, sample_rate_hz, &Events::of(samples, sample_rate_hz))
}

pub(super) fn interrupted_noise_at(samples: &[f64], sample_rate_hz: f64, events: &Events) -> Option<Decay> {
    let stops = &events.stops;
    if stops.is_empty() {
        return None;
    }
    // After the last stop too the sound may come back: the recording was ended within a burst.
    let shortest = stops.iter().map(|&(stop, on_again)| on_again.saturating_sub(stop)).min().unwrap_or(0);
    let after_s = (shortest as f64 * STEP_S).min(MOST_AFTER_S);
    let squared = squared_backwards(samples, sample_rate_hz);
    let stops_s: Vec<f64> = stops.iter().map(|&(stop, _)| stop as f64 * STEP_S).collect();
    let mut bands = vec![BandDecay::default(); LEVEL_BAND_COUNT];
    for signal in &squared {
        if let Some(slot) = bands.get_mut(signal.place) {
            let bandwidth_hz = iso::THIRD_OCTAVE_BANDWIDTH * mid_band_hz(signal.place);
            *slot = after_stops(&signal.samples, signal.rate_hz, bandwidth_hz, (&stops_s, after_s));
        }
    }
    let octave_63 = octave_squares(&squared).map_or_else(BandDecay::default, |(squares, rate_hz)| {
        after_stops(&squares, rate_hz, 0.707 * mid_band_hz(5), (&stops_s, after_s))
    });
    // What stops in a few bands only is a tone or a sweep, not noise.
    let heard = bands.iter().filter(|band| band.range_db.is_some_and(|range| range > HEARD_DB)).count();
    (heard >= LEAST_BANDS).then_some(Decay {
        method: DecayMethod::InterruptedNoise,
        decays: stops.len(),
        positions: 1,
        bands,
        octave_63,
        left_out: Vec::new(),
    })
}

/// The averaged decay of one band after the stops.
fn after_stops(
    squares: &[f64],
    rate_hz: f64,
    bandwidth_hz: f64,
    (stops_s, after_s): (&[f64], f64),
) -> BandDecay {
    let none = || BandDecay { flags: vec![DecayFlag::NoDecay], ..BandDecay::default() };
    // Long enough to calm the noise, short against what the filter itself needs to die away.
    let interval = ((0.4 / bandwidth_hz).clamp(0.005, 0.05) * rate_hz).round().max(1.0) as usize;
    let interval_s = interval as f64 / rate_hz;
    // A filter that runs backwards rings before the next burst too, and a burst needs a moment to be heard as on.
    let before_next_s = (BEFORE_NEXT_S + BEFORE_NEXT_BT / bandwidth_hz).min(0.5 * after_s);
    let steps = ((after_s - before_next_s) / interval_s) as usize;
    let mut sums = vec![0.0; steps];
    let mut steady = 0.0;
    for &stop_s in stops_s {
        let stop = (stop_s * rate_hz) as usize;
        let before = stop.saturating_sub((STEADY_BEFORE_S * rate_hz) as usize);
        let Some(on) = squares.get(before..stop).filter(|on| !on.is_empty()) else { return none() };
        steady += on.iter().sum::<f64>() / on.len() as f64;
        let Some(off) = squares.get(stop..) else { return none() };
        for (slot, chunk) in sums.iter_mut().zip(off.chunks_exact(interval)) {
            *slot += chunk.iter().sum::<f64>() / interval as f64;
        }
    }
    let tail = sums.get(steps - steps / 5..).unwrap_or_default();
    let noise = tail.iter().sum::<f64>() / tail.len().max(1) as f64;
    if !(steady > 0.0 && noise >= 0.0 && steady > noise) {
        return none();
    }
    // Sound and background are independent: the energy of the background is taken off.
    let own = steady - noise;
    let curve: Vec<f64> = sums.iter().map(|sum| (sum - noise) / own).collect();
    let about = Curve {
        rate_hz: 1.0 / interval_s,
        bandwidth_hz,
        range_db: math::db_of_energy(steady / noise.max(1e-15 * steady)),
        decays: stops_s.len() as f64,
        ragged: true,
    };
    of_curve(&curve, &about)
}

/// Where noise that was steady falls for good, and where sound comes back, in steps.
fn switch_offs(levels: &[f64]) -> Vec<(usize, usize)> {
    let mut sorted = levels.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = |part: f64| sorted.get((part * sorted.len().saturating_sub(1) as f64) as usize).copied();
    let (Some(low), Some(high)) = (at(0.02), at(0.93)) else { return Vec::new() };
    if high - low < SWITCHED_OFF_DB {
        return Vec::new();
    }
    let on = |level: f64| level > high - 8.0;
    let steady = (STEADY_BEFORE_S / STEP_S) as usize;
    let silent = (LEAST_AFTER_S / STEP_S) as usize;
    let mut stops = Vec::new();
    let (mut on_for, mut off_for, mut last_on) = (0_usize, 0_usize, 0_usize);
    let mut open: Option<usize> = None;
    for (step, &level) in levels.iter().enumerate() {
        if on(level) {
            if off_for > silent {
                if let Some(stop) = open.take() {
                    stops.push((stop, step));
                }
                on_for = 0;
            }
            open = None;
            off_for = 0;
            on_for += 1;
            if level > high - 3.0 {
                last_on = step;
            }
        } else {
            let level_before = || {
                slope_db_s(levels, (last_on + 1).saturating_sub(steady), last_on + 1)
                    .is_some_and(|slope| slope.abs() < MOST_SLOPE_DB_S)
            };
            if off_for == 0 && on_for >= steady && level_before() {
                open = Some(last_on + 1);
            }
            off_for += 1;
        }
    }
    if let Some(stop) = open.filter(|_| off_for > silent) {
        stops.push((stop, levels.len()));
    }
    stops
}

/// Whether noise is switched off at least [`LEAST_BURSTS`] times at equal distances and from equal levels.
fn evenly_switched_off(levels: &[f64], stops: &[(usize, usize)]) -> bool {
    let apart: Vec<f64> = stops
        .windows(2)
        .map(|pair| {
            pair.iter().map(|&(stop, _)| stop as f64 * STEP_S).fold(0.0, |before, stop| stop - before)
        })
        .collect();
    let before: Vec<f64> = stops
        .iter()
        .filter_map(|&(stop, _)| levels.get(stop.saturating_sub((STEADY_BEFORE_S / STEP_S) as usize)..stop))
        .map(mean_level)
        .collect();
    let spread = |values: &[f64]| {
        values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            - values.iter().copied().fold(f64::INFINITY, f64::min)
    };
    stops.len() >= LEAST_BURSTS && spread(&apart) < EVEN_S && spread(&before) < EVEN_DB
}

/// The sample a step begins with: steps keep time at every rate.
fn sample_at(step: usize, sample_rate_hz: f64) -> usize {
    (step as f64 * STEP_S * sample_rate_hz) as usize
}

fn short_levels(samples: &[f64], sample_rate_hz: f64) -> Vec<f64> {
    let steps = (samples.len() as f64 / (STEP_S * sample_rate_hz)) as usize;
    (0..steps)
        .filter_map(|step| samples.get(sample_at(step, sample_rate_hz)..sample_at(step + 1, sample_rate_hz)))
        .map(|chunk| {
            let mean = chunk.iter().map(|x| x * x).sum::<f64>() / chunk.len().max(1) as f64;
            math::db_of_energy(mean.max(1e-20))
        })
        .collect()
}

/// Level exceeded in 95 % of the time.
fn noise_level(levels: &[f64]) -> Option<f64> {
    let mut sorted = levels.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 20).copied()
}
