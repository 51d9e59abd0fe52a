//! What a recording holds, told apart: a sweep, strokes or noise that is switched off.

use quantities::format::with_unit;

use super::{
    Decay, DecayMethod,
    events::{Events, interrupted_noise_at, strokes_at},
};
use crate::{
    marker::{Markers, clock_ratio},
    signals::{NOISE_AFTER_MARKER_S, NOISE_MARKERS_APART_S},
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
                if markers.start.is_some_and(|start| {
                    error == SweepError::TooShort && runs_along(samples, sample_rate_hz, start)
                }) {
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
        None => match (events.first_stroke_s(), events.first_stop_s()) {
            (Some(_), None) => strokes_at(part, sample_rate_hz, &events).ok_or(DecayError::Nothing),
            (None, Some(_)) => interrupted_noise_at(part, sample_rate_hz, &events).ok_or(DecayError::Nothing),
            (Some(stroke_s), Some(stop_s)) => {
                let before_s = from as f64 / sample_rate_hz;
                Err(DecayError::Unclear { stroke_s: stroke_s + before_s, stop_s: stop_s + before_s })
            }
            (None, None) => Err(DecayError::Nothing),
        },
    }
}

/// The part between the two markers of a one-minute signal, so that the chirps are not taken for what decays, with the sample it begins at; all of
/// it where there are none. One marker alone is not believed: noise that begins and ends can look a little like one.
fn between_markers(samples: &[f64], sample_rate_hz: f64, markers: Markers) -> (usize, &[f64]) {
    let at = |time_s: f64| (time_s.max(0.0) * sample_rate_hz) as usize;
    let both = markers.start.zip(markers.finish);
    both.filter(|(start, finish)| clock_ratio(*start, *finish, NOISE_MARKERS_APART_S).is_some())
        .and_then(|(start, finish)| {
            let from = at(start.at_s + NOISE_AFTER_MARKER_S);
            Some((from, samples.get(from..at(finish.at_s - 0.05))?))
        })
        .unwrap_or((0, samples))
}
