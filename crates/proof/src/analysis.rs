//! A recording to levels: by third octaves, weighted, over time.

use std::io::{Read, Seek};

use bands::Band;
use quantities::math;

use crate::{
    BandLevels, Block, LEVEL_BAND_COUNT, Recording, RecordingError,
    calibration::Sensitivity,
    faults::{Fault, SHORTEST_LOW_S},
    iec_61260_1_2014::bands_at_rate,
    level_step::lasting_step,
    meter::{Meter, Readout},
    statistics::{Percentiles, mean_square_db, percentiles},
};

/// Step of the levels from which percentiles are taken and of the finest history, s.
pub const STEP_S: f64 = 0.125;
/// Longest recording times its channels that is taken, h: the levels over time are kept in memory, 6.4 MB an hour.
pub const MOST_CHANNEL_HOURS: u64 = 24;
/// Most entries of a history: longer recordings get longer steps.
pub const MOST_HISTORY: usize = 4800;
/// Most columns of a spectrogram: longer recordings get longer columns.
pub const MOST_COLUMNS: usize = 1200;

/// What 0 dB stands for.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reference {
    /// Sound pressure levels, re 20 µPa, by a calibrator or a stated sensitivity.
    SoundPressure,
    /// Levels re full scale: a mean square of 1 is 0 dB, so a sine at full scale is −3.0 dB. Only differences between
    /// recordings of the same chain and gain mean anything.
    FullScale,
}

/// How a recording is to be analysed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AnalysisSettings {
    /// Sensitivity of the chain; none: levels re full scale.
    pub sensitivity: Option<Sensitivity>,
    /// The one channel to take, counted from 0; none: the energy mean of all that are not silent.
    pub channel: Option<usize>,
    /// The stretch to take, from and to in seconds; none: all of it.
    pub stretch_s: Option<(f64, f64)>,
    /// Whether what is taken is noise that was steady when played: then a lasting step in its level is a fault.
    pub steady: bool,
}

/// Levels of a recording. Every level is a sound pressure level or re full scale as [`Analysis::reference`] says, dB.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Analysis {
    /// Equivalent level in each band over the whole recording (IEC 61260-1 class 1 filters), dB.
    pub bands: BandLevels,
    /// Level exceeded in 10 % of the time, from levels with time weighting F taken eight times a second in the mean, out of time with any beat, dB.
    pub l10: BandLevels,
    /// Level exceeded in 50 % of the time, dB.
    pub l50: BandLevels,
    /// Level exceeded in 90 % of the time: the steady background, dB.
    pub l90: BandLevels,
    /// Highest level with time weighting F, dB.
    pub lmax_fast: BandLevels,
    /// Levels of the whole sound.
    pub total: TotalLevels,
    /// Length, s.
    pub duration_s: f64,
    /// Samples a second, Hz.
    pub sample_rate_hz: u32,
    /// How many channels the file has.
    pub channels: usize,
    /// Which of them were taken, counted from 1.
    pub channels_taken: Vec<usize>,
    /// What 0 dB stands for.
    pub reference: Reference,
    /// What is wrong with the recording.
    pub faults: Vec<Fault>,
    /// A-weighted level over time.
    pub history: History,
    /// Level of each band over time.
    pub spectrogram: Spectrogram,
}

/// Levels over all frequencies, weighted in the time domain (IEC 61672-1:2013); none where there is no sound.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct TotalLevels {
    /// Equivalent A-weighted level LAeq, dB(A).
    pub laeq_db: Option<f64>,
    /// Equivalent C-weighted level LCeq, dB(C).
    pub lceq_db: Option<f64>,
    /// Highest A-weighted level with time weighting F, LAFmax, dB(A).
    pub lafmax_db: Option<f64>,
    /// Highest A-weighted level with time weighting S, LASmax, dB(A).
    pub lasmax_db: Option<f64>,
    /// LAF exceeded in 10 % of the time, dB(A).
    pub la10_db: Option<f64>,
    /// LAF exceeded in 50 % of the time, dB(A).
    pub la50_db: Option<f64>,
    /// LAF exceeded in 90 % of the time, dB(A).
    pub la90_db: Option<f64>,
}

/// A level over time.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct History {
    /// Length of a step, s.
    pub step_s: f64,
    /// LAF at the end of each step; the highest of them where steps were joined; none in silence, dB(A).
    pub laf_db: Vec<Option<f64>>,
}

/// Band levels over time.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Spectrogram {
    /// Length of a column, s.
    pub step_s: f64,
    /// Equivalent levels of each step, dB.
    pub columns: Vec<BandLevels>,
}

impl Analysis {
    /// Whether nothing found forbids using the levels.
    pub fn is_usable(&self) -> bool {
        !self.faults.iter().any(Fault::spoils)
    }
}

/// Analyses a recording of any length up to [`MOST_CHANNEL_HOURS`], uncalibrated, all channels together.
pub fn analyse<R: Read + Seek + Send + Sync + 'static>(reader: R) -> Result<Analysis, RecordingError> {
    analyse_recording(Recording::open(reader)?, &AnalysisSettings::default())
}

/// Analyses a recording as the settings say. It is read in blocks: the memory needed does not grow with the sound, only
/// with the levels kept of it.
pub fn analyse_recording(
    mut recording: Recording,
    settings: &AnalysisSettings,
) -> Result<Analysis, RecordingError> {
    let format = recording.format().clone();
    let wanted: Vec<usize> = match settings.channel {
        Some(channel) if channel >= format.channels => {
            return Err(RecordingError::NoSuchChannel { asked: channel + 1, channels: format.channels });
        }
        Some(channel) => vec![channel],
        None => (0..format.channels).collect(),
    };
    let rate_hz = f64::from(format.sample_rate_hz);
    let most_frames =
        MOST_CHANNEL_HOURS * 3600 * u64::from(format.sample_rate_hz) / wanted.len().max(1) as u64;
    let within = |frames: u64| {
        if frames <= most_frames {
            return Ok(());
        }
        let hours = frames * wanted.len() as u64 / (3600 * u64::from(format.sample_rate_hz));
        Err(RecordingError::TooLong {
            hours: hours.max(MOST_CHANNEL_HOURS + 1),
            most_hours: MOST_CHANNEL_HOURS,
        })
    };
    within(recording.format().frames.filter(|_| !promises_nonsense(&recording)).unwrap_or(0))?;
    let mut meters: Vec<Meter> = wanted.iter().map(|_| Meter::new(rate_hz)).collect();
    let mut block = Block::new();
    let (mut frames, mut passed) = (0_u64, 0_u64);
    let (first, end) = settings.stretch_s.map_or((0, u64::MAX), |(from_s, to_s)| {
        ((from_s.max(0.0) * rate_hz) as u64, (to_s.max(0.0) * rate_hz) as u64)
    });
    while recording.next_block(&mut block)? {
        let length = block.first().map_or(0, Vec::len) as u64;
        if (first, end) != (0, u64::MAX) {
            keep(&mut block, first.saturating_sub(passed), end.saturating_sub(passed));
            passed += length;
        }
        for (meter, &channel) in meters.iter_mut().zip(&wanted) {
            if let Some(samples) = block.get_mut(channel) {
                meter.push(samples);
            }
        }
        frames += block.first().map_or(0, Vec::len) as u64;
        within(frames)?;
    }
    if frames == 0 {
        return Err(RecordingError::Empty);
    }
    let duration_s = frames as f64 / rate_hz;
    let (taken, faults) = judge(&meters, &wanted, &recording, duration_s);
    let readouts: Vec<Readout> = meters
        .into_iter()
        .zip(&wanted)
        .filter(|(_, channel)| taken.contains(channel))
        .map(|(meter, _)| meter.read_out())
        .collect();
    let offset_db = settings.sensitivity.map_or(0.0, |sensitivity| sensitivity.full_scale_db);
    let mut analysis = levels(&readouts, offset_db);
    let step = steady_step(&analysis.history).filter(|_| settings.steady);
    analysis.duration_s = duration_s;
    analysis.sample_rate_hz = format.sample_rate_hz;
    analysis.channels = format.channels;
    analysis.channels_taken = taken.iter().map(|channel| channel + 1).collect();
    if settings.sensitivity.is_some() {
        analysis.reference = Reference::SoundPressure;
    }
    // Times count from the beginning of the file, not of the stretch that was taken.
    analysis.faults =
        faults.into_iter().chain(step).map(|fault| fault.later(first as f64 / rate_hz)).collect();
    Ok(analysis)
}

/// A lasting step in a level over time, without the first second of it.
fn steady_step(history: &History) -> Option<Fault> {
    let rising = (1.0 / history.step_s.max(STEP_S)).ceil() as usize;
    let levels: Vec<f64> = history.laf_db.iter().skip(rising).map(|level| level.unwrap_or(-200.0)).collect();
    let step = lasting_step(&levels, history.step_s)?;
    Some(Fault::LevelStep { at_s: step.at_s + rising as f64 * history.step_s, by_db: step.by_db })
}

/// Cuts a block to the samples from `first` up to `end`.
fn keep(block: &mut Block, first: u64, end: u64) {
    for channel in block {
        channel.truncate(end.min(channel.len() as u64) as usize);
        channel.drain(..first.min(channel.len() as u64) as usize);
    }
}

/// Whether the file promises more frames than its kind can hold in earnest, as a recorder that lost power may.
fn promises_nonsense(recording: &Recording) -> bool {
    recording.format().duration_s().is_some_and(|duration_s| duration_s > 1e6)
}

/// Which channels are taken, and every fault of the recording.
fn judge(
    meters: &[Meter],
    wanted: &[usize],
    recording: &Recording,
    duration_s: f64,
) -> (Vec<usize>, Vec<Fault>) {
    let format = recording.format();
    let rate_hz = f64::from(format.sample_rate_hz);
    let all_silent = meters.iter().all(|meter| meter.watch.is_silent());
    let mut taken = Vec::new();
    let mut faults = Vec::new();
    if all_silent {
        faults.push(Fault::Silent);
    }
    for (meter, &channel) in meters.iter().zip(wanted) {
        if meter.watch.is_silent() && !all_silent {
            faults.push(Fault::SilentChannel { channel: channel + 1 });
        } else {
            taken.push(channel);
            faults.extend(meter.watch.faults(channel + 1, rate_hz));
        }
    }
    if duration_s < SHORTEST_LOW_S {
        faults.push(Fault::TooShort { duration_s });
    }
    // Place 0 is the band of 20 Hz, before the first of the bands.
    let missing = bands_at_rate(rate_hz).checked_sub(1).and_then(|served| Band::all().nth(served));
    if let Some(band) = missing.filter(|_| !all_silent) {
        let from_hz = band.nominal_hz();
        faults.push(Fault::LacksHighBands { sample_rate_hz: format.sample_rate_hz, from_hz });
    }
    // The header's number of frames may be a block off in some writers; a tenth of a second is not worth a word.
    if let Some(missing_s) = recording.missing_s().filter(|&missing_s| missing_s > 0.1) {
        faults.push(Fault::EndsEarly { missing_s });
    }
    let mean = meters.iter().map(|meter| meter.watch.mean_square()).fold(0.0, f64::max);
    if let Some(level_db) = mean_square_db(mean)
        && !format.floating
        && (8..=32).contains(&format.bits)
    {
        // Noise of rounding to steps of 2^(1−bits): a twelfth of a step squared.
        let steps_db = -6.0206 * (f64::from(format.bits) - 1.0) - 10.7918;
        if level_db < steps_db + 20.0 {
            faults.push(Fault::LowGain { level_db, bits: format.bits });
        }
    }
    (taken, faults)
}

fn levels(readouts: &[Readout], offset_db: f64) -> Analysis {
    let count = readouts.len().max(1) as f64;
    let mean = |value: &dyn Fn(&Readout) -> f64| readouts.iter().map(value).sum::<f64>() / count;
    let level = |mean_square: f64| mean_square_db(mean_square).map(|level_db| level_db + offset_db);
    let shift = |level_db: Option<f64>| level_db.map(|level_db| level_db + offset_db);
    let together = |of: &dyn Fn(&Readout) -> &Vec<f32>| -> Vec<f64> {
        let count = readouts.iter().map(|readout| of(readout).len()).min().unwrap_or(0);
        (0..count).map(|at| mean(&|readout| of(readout).get(at).copied().map_or(0.0, f64::from))).collect()
    };
    let fast_a = together(&|readout| &readout.fast_a);
    let a = percentiles(settled(&together(&|readout| &readout.sampled_a)).iter().copied());
    let total = TotalLevels {
        laeq_db: level(mean(&|readout| readout.a_mean)),
        lceq_db: level(mean(&|readout| readout.c_mean)),
        lafmax_db: level(mean(&|readout| readout.a_fast_most)),
        lasmax_db: level(mean(&|readout| readout.a_slow_most)),
        la10_db: shift(a.l10),
        la50_db: shift(a.l50),
        la90_db: shift(a.l90),
    };
    let over_time = |of: &dyn Fn(&crate::meter::BandReadout) -> &Vec<f32>| -> Vec<Vec<f32>> {
        (0..LEVEL_BAND_COUNT)
            .map(|place| {
                let of_place =
                    |readout: &'_ Readout| readout.bands.get(place).map_or(0, |band| of(band).len());
                let shortest = readouts.iter().map(of_place).min().unwrap_or(0);
                (0..shortest)
                    .map(|step| {
                        mean(&|readout| {
                            let steps = readout.bands.get(place).map(of);
                            steps.and_then(|steps| steps.get(step)).copied().map_or(0.0, f64::from)
                        }) as f32
                    })
                    .collect()
            })
            .collect()
    };
    let band_steps = over_time(&|band| &band.steps);
    let of_band: Vec<Percentiles> = over_time(&|band| &band.fast)
        .iter()
        .map(|steps| percentiles(settled(steps).iter().copied().map(f64::from)))
        .collect();
    let by_place = |value: &dyn Fn(usize) -> Option<f64>| BandLevels::from_places(value);
    let of =
        |place: usize, value: &dyn Fn(&Percentiles) -> Option<f64>| shift(of_band.get(place).and_then(value));
    let served = |place: usize| readouts.iter().all(|readout| place < readout.bands.len());
    let band_mean = |place: usize, value: &dyn Fn(&crate::meter::BandReadout) -> f64| {
        level(mean(&|readout| readout.bands.get(place).map_or(0.0, value)))
    };
    Analysis {
        bands: by_place(&|place| served(place).then(|| band_mean(place, &|band| band.mean))?),
        l10: by_place(&|place| of(place, &|p| p.l10)),
        l50: by_place(&|place| of(place, &|p| p.l50)),
        l90: by_place(&|place| of(place, &|p| p.l90)),
        lmax_fast: by_place(&|place| served(place).then(|| band_mean(place, &|band| band.fast_most))?),
        total,
        duration_s: 0.0,
        sample_rate_hz: 0,
        channels: 0,
        channels_taken: Vec::new(),
        reference: Reference::FullScale,
        faults: Vec::new(),
        history: history(&fast_a, offset_db),
        spectrogram: spectrogram(&band_steps, offset_db),
    }
}

/// Levels over time without the first second, in which a time weighting still rises from silence; of short ones without the first tenth.
fn settled<T>(steps: &[T]) -> &[T] {
    let rising = ((1.0 / STEP_S) as usize).min(steps.len() / 10);
    steps.get(rising..).unwrap_or(steps)
}

fn history(fast_a: &[f64], offset_db: f64) -> History {
    let joined = fast_a.len().div_ceil(MOST_HISTORY).max(1);
    History {
        step_s: STEP_S * joined as f64,
        laf_db: fast_a
            .chunks(joined)
            .map(|chunk| {
                let most = chunk.iter().copied().fold(0.0, f64::max);
                mean_square_db(most).map(|level_db| to_hundredths(level_db + offset_db))
            })
            .collect(),
    }
}

fn spectrogram(band_steps: &[Vec<f32>], offset_db: f64) -> Spectrogram {
    let steps = band_steps.iter().map(Vec::len).filter(|&steps| steps > 0).min().unwrap_or(0);
    let joined = steps.div_ceil(MOST_COLUMNS).max(1);
    let columns = (0..steps.div_ceil(joined))
        .map(|column| {
            BandLevels::from_places(|place| {
                let chunk = band_steps.get(place)?.chunks(joined).nth(column)?;
                let mean = chunk.iter().copied().map(f64::from).sum::<f64>() / chunk.len().max(1) as f64;
                mean_square_db(mean).map(|level_db| to_hundredths(level_db + offset_db))
            })
        })
        .collect();
    Spectrogram { step_s: STEP_S * joined as f64, columns }
}

/// A level over time to a hundredth of a decibel: what is drawn and written out needs no more.
fn to_hundredths(level_db: f64) -> f64 {
    quantities::format::round_to(level_db, 2)
}

/// Energy mean of the levels of several recordings, band by band, where all have the band; for positions.
pub fn energy_mean(levels: &[BandLevels]) -> BandLevels {
    BandLevels::from_places(|place| {
        let all: Option<Vec<f64>> = levels.iter().map(|one| one.at_place(place)).collect();
        let all = all.filter(|all| !all.is_empty())?;
        let mean = all.iter().copied().map(math::energy_of_db).sum::<f64>() / all.len() as f64;
        Some(math::db_of_energy(mean))
    })
}
