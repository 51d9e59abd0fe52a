//! A recording of the sweep signal: markers found, clocks brought together, response, levels and decay times.

use crate::{
    decay::{Decay, DecayMethod, decay_of_response},
    iso_18233_2006::{SweptLevels, SweptResponse, deconvolve, levels},
    marker::{End, clock_ratio, find},
    signals::{SWEEP_AFTER_MARKER_S, SWEEP_MARKERS_APART_S, played_sweep},
};

/// Clocks that differ by less are taken as equal where the later marker is not found, parts in a million: what two recorders of
/// today differ by.
pub const USUAL_DRIFT_PPM: f64 = 50.0;

/// What a recording of the sweep gives.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SweepMeasurement {
    /// Gains in third octaves and how clear they stand of the noise.
    pub levels: SweptLevels,
    /// Decay times.
    pub decay: Decay,
    /// Energy of the harmonics of distortion from the second on, dB re the response.
    pub harmonics_db: Vec<Option<f64>>,
    /// Where the first marker begins, s.
    pub marker_at_s: f64,
    /// How clearly the first marker was found; from 6.5 on it is believed.
    pub marker_clearness: f64,
    /// Recorder's clock against the player's, parts in a million; none where the last marker was not found.
    pub clock_ppm: Option<f64>,
    /// The response.
    #[serde(skip)]
    pub response: SweptResponse,
}

/// Why a recording gives no response.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SweepError {
    /// No marker.
    #[error(
        "the start marker of the sweep is not in it. Record from before the signal begins, play louder, or go closer."
    )]
    NoMarker,
    /// It ends too soon.
    #[error(
        "the recording ends before the sweep does. Record until the two falling chirps at the end have been heard."
    )]
    TooShort,
}

/// Takes a recording of [`Signal::Sweep`](crate::signals::Signal::Sweep) apart. It is held whole; at any rate from 8 kHz on.
pub fn measure_sweep(recording: &[f64], sample_rate_hz: f64) -> Result<SweepMeasurement, SweepError> {
    let start = find(recording, sample_rate_hz, End::Start).ok_or(SweepError::NoMarker)?;
    let finish = find(recording, sample_rate_hz, End::Finish);
    let ratio = finish.and_then(|finish| clock_ratio(start, finish, SWEEP_MARKERS_APART_S));
    let stretch = ratio.unwrap_or(1.0);
    let sweep = played_sweep(sample_rate_hz);
    let sweep_at_s = start.at_s + SWEEP_AFTER_MARKER_S * stretch;
    let response = deconvolve(recording, &sweep, sweep_at_s, stretch).ok_or(SweepError::TooShort)?;
    let stretch_of = |from_s: f64, to_s: f64| {
        let at = |time_s: f64| (time_s.max(0.0) * sample_rate_hz) as usize;
        recording.get(at(from_s)..at(to_s)).unwrap_or_default()
    };
    // The last second before the sweep is background; the marker has died away by then.
    let quiet = stretch_of(sweep_at_s - 1.0, sweep_at_s);
    Ok(SweepMeasurement {
        levels: levels(&response, quiet, &sweep),
        decay: decay_of_response(&response.samples, sample_rate_hz, DecayMethod::Sweep),
        harmonics_db: response.harmonics_db.clone(),
        marker_at_s: start.at_s,
        marker_clearness: start.clearness,
        clock_ppm: ratio.map(|ratio| 1e6 * (ratio - 1.0)),
        response,
    })
}
