//! What a recording holds, told apart: a sweep, strokes or noise that is switched off.

use quantities::format::with_unit;

use super::{
    Decay, DecayMethod,
    events::{Events, interrupted_noise_at, strokes_at},
};
use crate::{
    marker::{Found, Markers, clock_ratio},
    signals::{NOISE_AFTER_MARKER_S, NOISE_MARKERS_APART_S, NOISE_PAUSE_S},
    swept::{SweepError, measure_between, runs_along},
};

/// Why a recording gives no decay time, in one sentence that says what to do.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DecayError {
    /// Nothing in it that decays.
    #[error(
        "there is no drum stroke, no switched-off noise and no sweep in it that stands clear of the background. Hit harder, 3 s apart, with \
         the recorder running before the first."
    )]
    Nothing,
    /// A one-minute signal that was cut before its noise was switched off.
    #[error(
        "it holds a one-minute signal from its start marker on, and the recording ends before the noise is switched off: there is no decay in \
         it. Record until after the two falling chirps, or play `pink-bursts`."
    )]
    NeverSwitchedOff,
    /// Both strokes and switched-off noise.
    #[error(
        "it can be taken for two things: a stroke after {} and noise that is switched off after {}. Say which it is.",
        with_unit(*stroke_s, 1, "s"),
        with_unit(*stop_s, 1, "s")
    )]
    Unclear {
        /// Time of the first stroke, s.
        stroke_s: f64,
        /// Time of the first switching-off, s.
        stop_s: f64,
    },
    /// Strokes were asked for.
    #[error(
        "no stroke in it leaps 30 dB over the background and falls again at once. Hit harder, 3 s apart, with the recorder running before \
         the first."
    )]
    NoStroke,
    /// Switched-off noise was asked for.
    #[error(
        "nowhere in it is steady noise of at least 1 s switched off and falls by 15 dB. Play louder, and let the recorder run on."
    )]
    NoSwitchedOffNoise,
    /// A sweep was asked for, or there is one that is cut off.
    #[error(transparent)]
    Sweep(#[from] SweepError),
}

/// Decay times of a recording that is held whole, of the kind that is stated; of none stated it is found: a sweep by its marker and its
/// response, strokes and switched-off noise by the level over time. What could be both is refused, and so is a sweep that ends too soon.
pub fn measure(samples: &[f64], sample_rate_hz: f64, kind: Option<DecayMethod>) -> Result<Decay, DecayError> {
    let markers = Markers::of(samples, sample_rate_hz);
    if matches!(kind, None | Some(DecayMethod::Sweep)) {
        match (measure_between(samples, sample_rate_hz, markers), kind) {
            (Ok(measured), _) => return Ok(measured.decay),
            (Err(error), Some(_)) => return Err(DecayError::Sweep(error)),
            (Err(error), None) => {
                // Its own tones would pass for strokes.
                if error == SweepError::BegunLate
                    || markers.start.is_some_and(|start| {
                        error == SweepError::TooShort && runs_along(samples, sample_rate_hz, start)
                    })
                {
                    return Err(DecayError::Sweep(error));
                }
            }
        }
    }
    let (from, part) = between_markers(samples, sample_rate_hz, markers);
    let events = Events::of(part, sample_rate_hz);
    match kind {
        Some(DecayMethod::Impulse) => strokes_at(part, sample_rate_hz, &events).ok_or(DecayError::NoStroke),
        Some(_) => interrupted_noise_at(part, sample_rate_hz, &events).ok_or(DecayError::NoSwitchedOffNoise),
        None if events.is_bursts() => {
            interrupted_noise_at(part, sample_rate_hz, &events).ok_or(DecayError::Nothing)
        }
        None => match (events.first_stroke_s(), events.first_stop_s()) {
            (Some(_), None) => strokes_at(part, sample_rate_hz, &events).ok_or(DecayError::Nothing),
            (None, Some(_)) => interrupted_noise_at(part, sample_rate_hz, &events).ok_or(DecayError::Nothing),
            (Some(stroke_s), Some(stop_s)) => {
                let before_s = from as f64 / sample_rate_hz;
                Err(DecayError::Unclear { stroke_s: stroke_s + before_s, stop_s: stop_s + before_s })
            }
            // The end marker is not in it: the recording ends within the noise.
            (None, None) if from > 0 && from + part.len() == samples.len() => {
                Err(DecayError::NeverSwitchedOff)
            }
            (None, None) => Err(DecayError::Nothing),
        },
    }
    .map(|mut decay| {
        for one in &mut decay.left_out {
            one.at_s += from as f64 / sample_rate_hz;
        }
        decay
    })
}

/// A marker as clear as this is believed alone, if noise stands where it should beside it (judgement): noise that begins and ends in a room has
/// reached 7.2, a single stroke in a minute 20.
const CLEAR_ALONE: f64 = 12.0;
/// Blocks of noise in which its steadiness is judged, s (judgement).
const BLOCK_S: f64 = 0.05;
/// Blocks of steady noise lie within this factor of their mean (judgement: 8 dB).
const STEADY_WITHIN: f64 = 6.3;
/// The noise stands over the pause beside it by this factor (judgement: 10 dB).
const OVER_PAUSE: f64 = 10.0;

/// The part between the two markers of a one-minute signal, so that the chirps are not taken for what decays, with the sample it begins at; all of
/// it where there are none. One marker alone is believed only where it is very clear and steady noise stands beside it: strokes and noise that
/// begins and ends can look a little like one.
fn between_markers(samples: &[f64], sample_rate_hz: f64, markers: Markers) -> (usize, &[f64]) {
    let at = |time_s: f64| ((time_s.max(0.0) * sample_rate_hz) as usize).min(samples.len());
    let part = |from_s: f64, to_s: f64| samples.get(at(from_s)..at(to_s)).unwrap_or_default();
    let pair = markers
        .start
        .zip(markers.finish)
        .is_some_and(|(start, finish)| clock_ratio(start, finish, NOISE_MARKERS_APART_S).is_some());
    let block = (BLOCK_S * sample_rate_hz) as usize;
    let stands = |one: &Found, noise: &[f64], pause: &[f64]| {
        pair || (one.clearness > CLEAR_ALONE && is_steady(noise, block, OVER_PAUSE * mean_square(pause)))
    };
    let from = markers
        .start
        .filter(|start| {
            let noise_s = start.at_s + NOISE_AFTER_MARKER_S;
            stands(start, part(noise_s + 0.2, noise_s + 1.2), part(noise_s - 0.8, noise_s - 0.2))
        })
        .map_or(0, |start| at(start.at_s + NOISE_AFTER_MARKER_S));
    let to = markers
        .finish
        .filter(|finish| {
            let noise_s = finish.at_s - NOISE_PAUSE_S;
            stands(finish, part(noise_s - 1.2, noise_s - 0.2), part(finish.at_s - 0.6, finish.at_s - 0.1))
        })
        .map_or(samples.len(), |finish| at(finish.at_s - 0.05));
    samples.get(from..to).map_or((0, samples), |part| (from, part))
}

/// Whether noise goes on evenly and stands over a mean square.
fn is_steady(noise: &[f64], block: usize, over: f64) -> bool {
    let mean = mean_square(noise);
    block > 0
        && noise.len() > 10 * block
        && mean > over
        && noise.chunks_exact(block).all(|block| {
            let of_block = mean_square(block);
            of_block < STEADY_WITHIN * mean && STEADY_WITHIN * of_block > mean
        })
}

fn mean_square(samples: &[f64]) -> f64 {
    samples.iter().map(|x| x * x).sum::<f64>() / samples.len().max(1) as f64
}
