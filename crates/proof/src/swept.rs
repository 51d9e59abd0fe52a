//! A recording of the sweep signal: markers found, clocks brought together, response, levels and decay times.

use bands::Band;
use quantities::math;
use realfft::RealFftPlanner;

use crate::{
    BandLevels, Sensitivity,
    decay::{Decay, DecayMethod, decay_of_response},
    iso_18233_2006::{SweptLevels, SweptResponse, deconvolve, levels},
    marker::{Found, Markers, clock_ratio},
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

/// From so much distortion on a loudspeaker is overdriven, as a share of the amplitude (judgement: far over what one gives within its range).
pub const OVERDRIVEN: f64 = 0.1;

impl SweepMeasurement {
    /// The harmonics together as a share of the response's amplitude; none where none stands out.
    pub fn distortion(&self) -> Option<f64> {
        let energy: f64 = self.harmonics_db.iter().flatten().map(|db| math::energy_of_db(*db)).sum();
        (energy > 0.0).then(|| energy.sqrt())
    }

    /// What is said of a loudspeaker that was overdriven; none where it was not.
    pub fn overdriven(&self) -> Option<String> {
        let share = self.distortion().filter(|share| *share >= OVERDRIVEN)?;
        Some(format!(
            "The loudspeaker was overdriven: harmonics of {} % of the sound itself. The sweep's levels are told apart from them; noise played as \
             loud is not. Play softer.",
            quantities::format::number(100.0 * share, 0)
        ))
    }
}

/// Why a recording gives no response.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SweepError {
    /// No marker.
    #[error(
        "the start marker of the sweep is not in it. Record from before the signal begins, play louder, or go closer."
    )]
    NoMarker,
    /// Something that looks like a marker, and no sweep behind it.
    #[error(
        "what looks like the start marker of the sweep is followed by no sweep. Record the whole signal `sweep`, from before the first chirp \
         until after the last."
    )]
    NoSweep,
    /// It ends too soon.
    #[error(
        "the recording ends before the sweep does. Record until the two falling chirps at the end have been heard."
    )]
    TooShort,
    /// It begins too late.
    #[error(
        "the recording begins after the sweep did: its end is there, with the end marker, and its start marker and lowest bands are not. Start the \
         recorder before the first chirp and record the whole signal again."
    )]
    BegunLate,
}

/// Level difference from two recordings of the sweep, one on either side, from their integrated responses (ISO 18233:2006).
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SweptDifference {
    /// Gain on the side of the source less gain on the other, dB.
    pub difference_db: BandLevels,
    /// The response on the receiving side over the noise left in it, dB.
    pub clear_by_db: BandLevels,
    /// What plain noise as loud as the sweep would have stood over the background there, dB.
    pub plain_db: BandLevels,
    /// What the sweep won over plain noise on the receiving side, dB.
    pub won_db: BandLevels,
    /// Bands in which the response stands less than [`LEAST_CLEAR_DB`] over its noise, or cannot be seen in it: the difference is at least
    /// what stands there.
    pub at_least: Vec<Band>,
    /// Bands in which the response on the side of the source does not stand clear: no difference is given.
    pub source_hidden: Vec<Band>,
}

/// Less than this over its noise a response gives a limit only, dB (after ISO 16283-1:2014, 9.2).
pub const LEAST_CLEAR_DB: f64 = 6.0;

impl SweptLevels {
    fn is_clear(&self, band: Band) -> bool {
        // No noise at all is clear too.
        self.gains.get(band).is_some()
            && self.effective_snr.get(band).is_none_or(|clear| clear >= LEAST_CLEAR_DB)
    }

    /// The same of a calibrated recorder: the level that the sweep at full scale would have at the microphone, dB re 20 µPa. Two of them are
    /// compared whatever the gains of the recorders were, as long as the sweep was played at one level.
    #[must_use]
    pub fn calibrated_by(&self, sensitivity: Sensitivity) -> Self {
        let raised =
            |levels: &BandLevels| levels.zip_with(levels, |level, _| level + sensitivity.full_scale_db);
        Self { gains: raised(&self.gains), at_most: raised(&self.at_most), ..self.clone() }
    }

    /// Gains in the bands in which the response stands clear of its noise, dB: what a source is taken from.
    pub fn clear_gains(&self) -> BandLevels {
        BandLevels::from_fn(|band| self.gains.get(band).filter(|_| self.is_clear(band)))
    }

    /// Gains, and in the bands in which the response does not stand clear the most it can be, dB; with a list of those bands.
    pub fn gains_or_limits(&self) -> (BandLevels, Vec<Band>) {
        let mut limits = Vec::new();
        let gains = BandLevels::from_fn(|band| {
            if self.is_clear(band) {
                return self.gains.get(band);
            }
            limits.push(band);
            self.at_most.get(band)
        });
        limits.retain(|band| gains.get(*band).is_some());
        (gains, limits)
    }
}

/// The level difference of two recordings of the same sweep, played at the same level and recorded at the same gain, or each with its own
/// [`calibrated_by`](SweptLevels::calibrated_by).
///
/// Where the receiving response does not stand [`LEAST_CLEAR_DB`] over its noise, the difference is a limit: the source less the most that
/// noise can hide. Where the response of the source does not stand clear itself there is no difference.
pub fn swept_difference(source: &SweptLevels, receiving: &SweptLevels) -> SweptDifference {
    let inside = source.clear_gains();
    let (outside, mut at_least) = receiving.gains_or_limits();
    let difference_db = inside.zip_with(&outside, |inside, outside| inside - outside);
    at_least.retain(|band| difference_db.get(*band).is_some());
    let source_hidden =
        outside.measured().map(|(band, _)| band).filter(|band| inside.get(*band).is_none()).collect();
    SweptDifference {
        difference_db,
        clear_by_db: receiving.effective_snr,
        plain_db: receiving.plain_snr,
        won_db: receiving.won,
        at_least,
        source_hidden,
    }
}

/// The peak of a response stands so many times over what is left at its end; of noise, where no sweep was, it reaches about five (judgement:
/// between the two).
const CLEAR_PEAK: f64 = 8.0;

/// Whether what was deconvolved is a response: it has its peak where the sweep should have begun.
fn is_response(response: &SweptResponse) -> bool {
    let rate_hz = response.sample_rate_hz;
    let at = |time_s: f64| (time_s.max(0.0) * rate_hz) as usize;
    let near = response.samples.get(at(response.onset_s)..at(response.onset_s + 0.1)).unwrap_or_default();
    let peak = near.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs()));
    // The last quarter is noise, or a tail that has long died away.
    let late = response.samples.get(response.samples.len() / 4 * 3..).unwrap_or_default();
    let mean_square = late.iter().map(|x| x * x).sum::<f64>() / late.len().max(1) as f64;
    peak > CLEAR_PEAK * mean_square.sqrt() && peak > 0.0
}

/// Stretches in which the frequency of a sweep is looked for, s (judgement: half an octave of it).
const STRETCH_S: f64 = 1.5;
/// A sweep has this share of a stretch's energy where it should be; of noise at most a third lies there (judgement).
const ALONG: f64 = 0.6;
/// Stretches that are quieter than the loudest by more are no sound of the signal, dB (judgement).
const QUIET_DB: f64 = 25.0;

/// Whether what stands behind a start marker runs along the sweep, however soon it was cut: in most stretches in which something is heard, its
/// energy lies about the frequency the sweep has there. Noise between the same markers does not.
pub(crate) fn runs_along(recording: &[f64], sample_rate_hz: f64, start: Found) -> bool {
    runs_along_from(recording, sample_rate_hz, start.at_s + SWEEP_AFTER_MARKER_S)
}

/// The same of a sweep that begins at a time, which may lie before the recording.
fn runs_along_from(recording: &[f64], sample_rate_hz: f64, sweep_at_s: f64) -> bool {
    let sweep = played_sweep(sample_rate_hz);
    let count = (STRETCH_S * sample_rate_hz) as usize;
    let at = |time_s: f64| ((time_s.max(0.0) * sample_rate_hz) as usize).min(recording.len());
    let begun_s = (-sweep_at_s).max(0.0);
    let played = recording.get(at(sweep_at_s)..at(sweep_at_s + sweep.duration_s));
    let Some(played) = played.filter(|played| count > 0 && played.len() >= count) else {
        return false;
    };
    let forward = RealFftPlanner::<f64>::new().plan_fft_forward(count);
    let line_hz = sample_rate_hz / count as f64;
    let octaves_s = math::ln(sweep.to_hz / sweep.from_hz) / sweep.duration_s;
    let at_hz = |time_s: f64| sweep.from_hz * math::exp(octaves_s * (begun_s + time_s));
    // What rings on in the room is a little lower than what is played.
    let stretches: Vec<(f64, f64)> = played
        .chunks_exact(count)
        .enumerate()
        .filter_map(|(at, stretch)| {
            let (low_hz, high_hz) =
                (at_hz((at as f64 - 0.3) * STRETCH_S), at_hz((at as f64 + 1.1) * STRETCH_S));
            let mut lines = forward.make_output_vec();
            forward.process(&mut stretch.to_vec(), &mut lines).ok()?;
            let energy = |from_hz: f64, to_hz: f64| -> f64 {
                let place = |hz: f64| ((hz / line_hz) as usize).min(lines.len());
                let inside = lines.get(place(from_hz)..place(to_hz)).unwrap_or_default();
                inside.iter().map(num_complex::Complex::norm_sqr).sum()
            };
            Some((energy(low_hz, high_hz), energy(0.5 * sweep.from_hz, sample_rate_hz)))
        })
        .collect();
    let loudest = stretches.iter().map(|(_, all)| *all).fold(0.0, f64::max);
    let heard = stretches.iter().filter(|(_, all)| *all > loudest * math::energy_of_db(-QUIET_DB));
    let (along, all) =
        heard.fold((0, 0), |(along, all), (near, whole)| (along + u32::from(*near > ALONG * whole), all + 1));
    2 * along > all
}

/// Takes a recording of [`Signal::Sweep`](crate::signals::Signal::Sweep) apart. It is held whole; at any rate from 8 kHz on.
pub fn measure_sweep(recording: &[f64], sample_rate_hz: f64) -> Result<SweepMeasurement, SweepError> {
    measure_between(recording, sample_rate_hz, Markers::of(recording, sample_rate_hz))
}

/// The same where the markers are known.
pub(crate) fn measure_between(
    recording: &[f64],
    sample_rate_hz: f64,
    markers: Markers,
) -> Result<SweepMeasurement, SweepError> {
    between(recording, sample_rate_hz, markers).map_err(|error| match (error, markers.finish) {
        // A false start marker may make it look cut, or nothing.
        (_, Some(finish))
            if runs_along_from(
                recording,
                sample_rate_hz,
                finish.at_s - SWEEP_MARKERS_APART_S + SWEEP_AFTER_MARKER_S,
            ) =>
        {
            SweepError::BegunLate
        }
        (error, _) => error,
    })
}

fn between(recording: &[f64], sample_rate_hz: f64, markers: Markers) -> Result<SweepMeasurement, SweepError> {
    let start = markers.start.ok_or(SweepError::NoMarker)?;
    let ratio = markers.finish.and_then(|finish| clock_ratio(start, finish, SWEEP_MARKERS_APART_S));
    let stretch = ratio.unwrap_or(1.0);
    let sweep = played_sweep(sample_rate_hz);
    let sweep_at_s = start.at_s + SWEEP_AFTER_MARKER_S * stretch;
    let Some(response) = deconvolve(recording, &sweep, sweep_at_s, stretch) else {
        // Silence put in the place of what is missing: is there the beginning of a sweep at all?
        let mut filled = recording.to_vec();
        filled.resize(filled.len() + sweep.length() + sample_rate_hz as usize, 0.0);
        let begun = deconvolve(&filled, &sweep, sweep_at_s, stretch).is_some_and(|found| is_response(&found));
        return Err(if begun { SweepError::TooShort } else { SweepError::NoSweep });
    };
    if !is_response(&response) {
        return Err(SweepError::NoSweep);
    }
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
