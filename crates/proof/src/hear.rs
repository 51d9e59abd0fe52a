//! Hear it: a sound as it would be heard at a receiver, by the predicted level difference, the decay of the room and the background
//! there, all versions at their true levels to each other.
//!
//! Inside these modules a sound is a pressure in pascals. One [`Scale`] for all versions turns it into samples; what full scale
//! stands for is written into every file.

pub mod flac;
mod minimum_phase;
mod noise;
pub mod synthesis;
mod transform;
pub mod wav;

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::math;
use serde::Serialize;

use crate::{BandLevels, Block, Recording, RecordingError, pcm_wav::LARGEST_24_BIT};
use noise::Noise;
use transform::{Bins, Transform};

/// Longest sound that is rendered, s: it is transformed as a whole (judgement).
pub const LONGEST_S: f64 = 60.0;
/// Rates accepted, Hz.
pub const RATES_HZ: (u32, u32) = (8_000, 192_000);
/// Reference pressure, Pa.
const REFERENCE_PA: f64 = 20e-6;
/// Share of the energy that comes as late field, where the sound leaves the room through its surfaces (judgement: few stand near the
/// source).
const LATE_SHARE: f64 = 0.7;
/// Decay times rendered, s (judgement).
const DECAY_S: (f64, f64) = (0.08, 4.0);
/// Room left behind the sound for filters and tail to end in, s.
const END_S: f64 = 1.0;
/// How often the gains of the bands are put right.
const ROUNDS: usize = 12;
/// Gains a filter may have, dB (judgement).
const GAIN_DB: (f64, f64) = (-180.0, 60.0);
/// Part of full scale the loudest sample of all versions reaches: 3 dB below.
const PEAK: f64 = 0.707_945_784_384_138;

/// A sound to listen to, one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// Samples, full scale ±1.
    pub samples: Vec<f32>,
    /// Rate, Hz.
    pub rate_hz: u32,
}

/// Why a sound cannot be rendered, in a sentence.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HearError {
    /// Nothing in it.
    #[error("The sound is empty or silent: give a recording with something in it.")]
    Silent,
    /// Samples that are no numbers.
    #[error("The sound has a sample that is no number: export it again as plain WAV.")]
    NoNumber,
    /// A rate nobody uses.
    #[error("The sound has a rate of {0} Hz, which must lie from 8000 to 192000 Hz: export it at 48000 Hz.")]
    Rate(u32),
    /// A sound that has no energy at all where the wanted spectrum is loudest.
    #[error("The sound has nothing in the bands in which it should be loudest.")]
    WrongColour,
    /// More than a file can hold.
    #[error("The sound is larger than a WAV file can be: cut out the minute that matters.")]
    TooLarge,
    /// The encoder failed.
    #[error("The FLAC cannot be written: {0}.")]
    Flac(String),
}

impl Sound {
    /// The first [`LONGEST_S`] of a recording, its channels averaged; also how long the recording says it is, s.
    pub fn of_recording(mut recording: Recording) -> Result<(Self, Option<f64>), RecordingError> {
        let rate_hz = recording.format().sample_rate_hz;
        let whole_s = recording.format().duration_s();
        let most = (LONGEST_S * f64::from(rate_hz)) as usize;
        let mut samples: Vec<f32> = Vec::new();
        let mut block = Block::new();
        while samples.len() < most && recording.next_block(&mut block)? {
            let count = block.first().map_or(0, Vec::len);
            let share = 1.0 / block.len().max(1) as f64;
            samples.extend(
                (0..count.min(most - samples.len())).map(|at| {
                    (share * block.iter().filter_map(|channel| channel.get(at)).sum::<f64>()) as f32
                }),
            );
        }
        if samples.is_empty() {
            return Err(RecordingError::Empty);
        }
        Ok((Self { samples, rate_hz }, whole_s))
    }
}

/// A sound as pressure in the room, Pa.
#[derive(Clone, Debug, PartialEq)]
pub struct Pressure {
    /// Pressure, Pa.
    pub pa: Vec<f64>,
    /// Rate, Hz.
    pub rate_hz: u32,
}

/// What lies between the sound and the ear.
#[derive(Clone, Debug, PartialEq)]
pub struct Between {
    /// Level in the room less level at the receiver, dB.
    pub difference_db: Spectrum,
    /// Decay time of the room by band, s; none: none is added.
    pub decay_s: Option<[f64; BAND_COUNT]>,
    /// Background at the receiver, dB.
    pub background_db: Option<Spectrum>,
}

impl Pressure {
    /// A sound at a level, dB(A) averaged over its whole length; a longer one is cut after [`LONGEST_S`].
    pub fn at_level(sound: &Sound, level_dba: f64) -> Result<Self, HearError> {
        let raw = Self::of(sound)?;
        let gain = math::powf(10.0, (level_dba - raw.total_dba()) / 20.0);
        Ok(raw.scaled(gain))
    }

    /// A sound coloured so that its third-octave levels over its whole length are those of a spectrum, dB, less what the
    /// silence behind every rendered version takes from the mean: the level over the rendered file is that of the spectrum.
    ///
    /// One filter that starts at once does it, no band is raised by more than 60 dB, and what lies above the highest band is taken away.
    pub fn with_levels(sound: &Sound, levels_db: &Spectrum) -> Result<Self, HearError> {
        let raw = Self::of(sound)?;
        let count = raw.pa.len();
        let transform = Transform::at_least(count + (END_S * f64::from(raw.rate_hz)) as usize);
        let bins = Bins::new(raw.rate_hz, transform.size());
        let dry = transform.forward(&raw.pa);
        let longer = count as f64 + END_S * f64::from(raw.rate_hz);
        let wanted = |band: Band| {
            let mean_square = REFERENCE_PA * REFERENCE_PA * math::energy_of_db(levels_db.get(band));
            Some(0.5 * mean_square * transform.size() as f64 * longer)
        };
        // First to the same total, so that the gains of the bands stay within what a filter may have.
        let total: f64 = Band::all().filter_map(wanted).sum();
        let own: f64 = dry.iter().map(num_complex::Complex::norm_sqr).sum();
        let first = (total / own.max(1e-300)).sqrt();
        let mut coloured: Vec<num_complex::Complex<f64>> = dry.iter().map(|bin| bin * first).collect();
        let gains = fitted_gains(&coloured, &bins, &wanted, Spectrum::flat(0.0));
        let mut curve = bins.curve(&gains);
        bins.cut_above_the_bands(&mut curve);
        for (bin, filter) in coloured.iter_mut().zip(&minimum_phase::filter(&curve, &transform)) {
            *bin *= filter;
        }
        let mut pa = transform.inverse(coloured);
        pa.truncate(count);
        let shaped = Self { pa, rate_hz: raw.rate_hz };
        let behind = math::db_of_energy(longer / count.max(1) as f64);
        let off = shaped.banded_dba() - behind - levels_db.total_a_db();
        if off.abs() > 1.0 {
            return Err(HearError::WrongColour);
        }
        // What the filter rings beyond the end is cut off; the total is put right to the last.
        Ok(shaped.scaled(math::powf(10.0, -off / 20.0)))
    }

    fn of(sound: &Sound) -> Result<Self, HearError> {
        let rate_hz = sound.rate_hz;
        if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate_hz) {
            return Err(HearError::Rate(rate_hz));
        }
        let most = (LONGEST_S * f64::from(rate_hz)) as usize;
        let pa: Vec<f64> = sound.samples.iter().take(most).map(|sample| f64::from(*sample)).collect();
        if pa.iter().any(|sample| !sample.is_finite()) {
            return Err(HearError::NoNumber);
        }
        let raw = Self { pa, rate_hz };
        // As loud as if a sample of 1 were 1 Pa: what lies under −120 dB re full scale is no sound.
        if raw.total_dba() < -26.0 {
            return Err(HearError::Silent);
        }
        Ok(raw)
    }

    fn scaled(self, gain: f64) -> Self {
        Self { pa: self.pa.iter().map(|pressure| pressure * gain).collect(), rate_hz: self.rate_hz }
    }

    /// A-weighted level averaged over the whole length, as a meter reads it, dB(A) (the formula of IEC 61672-1:2013, annex E, at every
    /// frequency of the transform).
    pub fn total_dba(&self) -> f64 {
        let count = self.pa.len();
        let transform = Transform::at_least(count);
        let step_hz = f64::from(self.rate_hz) / transform.size() as f64;
        let energy: f64 = transform
            .forward(&self.pa)
            .iter()
            .enumerate()
            .skip(1)
            .map(|(bin, value)| {
                let weight_db = bands::iec_61672_1::a_weighting_at_db(bin as f64 * step_hz);
                value.norm_sqr() * math::energy_of_db(weight_db)
            })
            .sum();
        let mean_square = 2.0 * energy / (transform.size() as f64 * count.max(1) as f64);
        math::db_of_energy((mean_square / (REFERENCE_PA * REFERENCE_PA)).max(1e-30))
    }

    /// The same summed from the third octaves from 25 Hz to 10 kHz, each weighted at its middle, as plans are.
    fn banded_dba(&self) -> f64 {
        let levels = self.levels();
        let weighted =
            levels.measured().map(|(band, level)| level + bands::iec_61672_1::a_weighting_db(band));
        bands::energy_sum_db(weighted.collect::<Vec<f64>>())
    }

    /// Third-octave levels averaged over the whole length, dB; bands above half the rate are missing.
    pub fn levels(&self) -> BandLevels {
        let count = self.pa.len();
        let transform = Transform::at_least(count);
        let bins = Bins::new(self.rate_hz, transform.size());
        let spectrum = transform.forward(&self.pa);
        BandLevels::from_fn(|band| {
            let range = bins.of(band)?;
            let energy: f64 = spectrum.get(range)?.iter().map(num_complex::Complex::norm_sqr).sum();
            let mean_square = 2.0 * energy / (transform.size() as f64 * count.max(1) as f64);
            Some(math::db_of_energy((mean_square / (REFERENCE_PA * REFERENCE_PA)).max(1e-30)))
        })
    }

    /// Highest pressure, Pa.
    pub fn peak_pa(&self) -> f64 {
        self.pa.iter().fold(0.0, |peak, pressure| f64::max(peak, pressure.abs()))
    }

    /// The sound as it arrives at a receiver. Its third-octave levels are those of this sound less the difference; the time between its strokes is
    /// filled by the decay of the room. All versions of one sound have one length and begin at the same instant.
    #[must_use]
    pub fn heard(&self, between: &Between) -> Self {
        let rate = f64::from(self.rate_hz);
        let length = self.pa.len() + (END_S * rate) as usize;
        let transform = Transform::at_least(length + (2.0 * END_S * rate) as usize);
        let bins = Bins::new(self.rate_hz, transform.size());
        let dry = transform.forward(&self.pa);
        let mut wet = dry.clone();
        if let Some(decay_s) = &between.decay_s {
            let room = transform.forward(&late_field(decay_s, self.rate_hz, &transform, &bins));
            for (bin, room) in wet.iter_mut().zip(&room) {
                *bin *= room;
            }
        }
        let whole: f64 = dry.iter().map(num_complex::Complex::norm_sqr).sum::<f64>().max(1e-300);
        let wanted = |band: Band| {
            let range = bins.of(band)?;
            let source: f64 = dry.get(range)?.iter().map(num_complex::Complex::norm_sqr).sum();
            // A band with nothing in it says nothing.
            let loss = math::energy_of_db(-between.difference_db.get(band));
            (source >= 1e-12 * whole).then_some(source * loss)
        };
        let start = between.difference_db.map(|_, difference| -difference);
        let gains = fitted_gains(&wet, &bins, &wanted, start);
        let filter = minimum_phase::filter(&bins.curve(&gains), &transform);
        for (bin, filter) in wet.iter_mut().zip(&filter) {
            *bin *= filter;
        }
        let mut pa = transform.inverse(wet);
        pa.truncate(length);
        if let Some(background) = &between.background_db {
            let noise = noise::shaped(background, &transform, &bins);
            for (pressure, noise) in pa.iter_mut().zip(&noise) {
                *pressure += noise;
            }
        }
        Self { pa, rate_hz: self.rate_hz }
    }
}

/// Gain of each band, dB, so that the filtered sound has the wanted energy (sum of squares of its bins) in each; a band of which nothing is
/// wanted keeps the gain it starts with.
fn fitted_gains(
    sound: &[num_complex::Complex<f64>],
    bins: &Bins,
    wanted: &dyn Fn(Band) -> Option<f64>,
    start: Spectrum,
) -> Spectrum {
    let energies: Vec<f64> = sound.iter().map(num_complex::Complex::norm_sqr).collect();
    let mut gains = start.map(|_, gain| gain.clamp(GAIN_DB.0, GAIN_DB.1));
    for _ in 0..ROUNDS {
        let curve = bins.curve(&gains);
        let mut next = gains;
        for band in Band::all() {
            let (Some(range), Some(wanted)) = (bins.of(band), wanted(band)) else { continue };
            let values = energies.get(range.clone()).unwrap_or_default().iter();
            let curve = curve.get(range).unwrap_or_default().iter();
            let filtered: f64 =
                values.zip(curve).map(|(value, gain)| value * math::energy_of_db(*gain)).sum();
            let off = math::db_of_energy(wanted.max(1e-300)) - math::db_of_energy(filtered.max(1e-300));
            next.set(band, (gains.get(band) + off.clamp(-12.0, 12.0)).clamp(GAIN_DB.0, GAIN_DB.1));
        }
        gains = next;
    }
    gains
}

/// Impulse response of the room: what goes straight, and a late field of noise that decays by each octave's own time.
fn late_field(decay_s: &[f64; BAND_COUNT], rate_hz: u32, transform: &Transform, bins: &Bins) -> Vec<f64> {
    let rate = f64::from(rate_hz);
    let longest = decay_s.iter().copied().fold(DECAY_S.0, f64::max).min(DECAY_S.1);
    let length = ((longest * rate) as usize).min(transform.size() / 2);
    let mut source = Noise::new(3);
    let white: Vec<f64> = (0..length).map(|_| source.normal()).collect();
    let spectrum = transform.forward(&white);
    let mut late = vec![0.0; length];
    for octave in bands::OctaveBand::all() {
        let thirds: Vec<Band> = octave.thirds().collect();
        let (Some(first), Some(last)) = (thirds.first(), thirds.last()) else { continue };
        let mean =
            thirds.iter().filter_map(|band| decay_s.get(band.index())).sum::<f64>() / thirds.len() as f64;
        let seconds = if mean.is_finite() { mean.clamp(DECAY_S.0, DECAY_S.1) } else { DECAY_S.0 };
        let range = bins.between(first.lower_edge_hz(), last.upper_edge_hz());
        let mut part = vec![num_complex::Complex::new(0.0, 0.0); spectrum.len()];
        for at in range {
            if let (Some(slot), Some(value)) = (part.get_mut(at), spectrum.get(at)) {
                *slot = *value;
            }
        }
        // 60 dB in the decay time; every octave starts with an energy such that the sum over time is the same.
        let rate_of_fall = 3.0 * math::LN_10 / (seconds * rate);
        let start = (2.0 * rate_of_fall).sqrt();
        for (at, (slot, value)) in late.iter_mut().zip(transform.inverse(part)).enumerate() {
            *slot += value * start * math::exp(-rate_of_fall * at as f64);
        }
    }
    let energy: f64 = late.iter().map(|value| value * value).sum::<f64>().max(1e-30);
    let gain = (LATE_SHARE / energy).sqrt();
    for value in &mut late {
        *value *= gain;
    }
    if let Some(first) = late.first_mut() {
        *first += (1.0 - LATE_SHARE).sqrt();
    }
    late
}

/// What full scale stands for, the same for all versions.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Scale {
    /// Level of a sine that just reaches full scale, dB.
    pub full_scale_db: f64,
}

impl Scale {
    /// The scale at which the loudest of all versions stays 3 dB below full scale.
    pub fn for_all<'a>(versions: impl IntoIterator<Item = &'a Pressure>) -> Self {
        let peak = versions.into_iter().map(Pressure::peak_pa).fold(1e-9, f64::max);
        let full_pa = peak / PEAK;
        Self { full_scale_db: 20.0 * math::log10(full_pa / (REFERENCE_PA * std::f64::consts::SQRT_2)) }
    }

    /// Samples of 24 bits.
    pub fn samples(&self, pressure: &Pressure) -> Vec<i32> {
        let full_pa = REFERENCE_PA * std::f64::consts::SQRT_2 * math::powf(10.0, self.full_scale_db / 20.0);
        let most = f64::from(LARGEST_24_BIT);
        pressure.pa.iter().map(|value| (value / full_pa * most).round().clamp(-most, most) as i32).collect()
    }
}

/// What is written into a file beside the sound.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct About {
    /// What it is.
    pub title: String,
    /// The settings and how to listen.
    pub comment: String,
}
