//! What is wrong with a recording, found in its samples and said in words.

use quantities::format::with_unit;

/// Shorter recordings give no level that can be relied on, s: ISO 16283-1:2014 asks for 6 s from 100 Hz (from memory).
pub const SHORTEST_S: f64 = 6.0;
/// Shorter recordings give no level below 100 Hz that can be relied on, s: ISO 16283-1:2014 asks for 15 s (from memory).
pub const SHORTEST_LOW_S: f64 = 15.0;

/// Samples in a row at the same greatest value that count as clipped (judgement).
const CLIPPED_RUN: u32 = 3;
/// A single sample from here on, full scale being 1, is at the end of what a converter can say (judgement).
const FULL_SCALE: f64 = 0.9999;
/// A flat top counts as clipped where it is reached by a step of at least this part of it (judgement).
const STEEP: f64 = 0.01;
/// Zeros in a row that count as a dropout, s (judgement).
const DROPOUT_S: f64 = 0.001;
/// More zeros in a row are a pause in what was played, s (judgement).
const PAUSE_S: f64 = 0.5;
/// A run of zeros is a dropout where the sound before it was louder than this mean square: 20 dB over the last of 16 bits (judgement).
const DROPOUT_BESIDE: f64 = 1e-7;
/// Steady part beyond which a recording is told to have one, full scale being 1 (judgement).
const STEADY: f64 = 0.01;
/// Samples that are looked at together.
const CHUNK: usize = 64;

/// One fault of a recording. Channels count from 1.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Fault {
    /// The sound was louder than the recorder could take.
    Clipped {
        /// Which channel.
        channel: usize,
        /// Samples that stand at the limit.
        samples: u64,
        /// First time, s.
        first_s: f64,
    },
    /// Pieces of silence inside sound.
    Dropouts {
        /// Which channel.
        channel: usize,
        /// How many.
        count: u64,
        /// First time, s.
        first_s: f64,
        /// Longest, ms.
        longest_ms: f64,
    },
    /// Nothing but zeros in one channel while others have sound; it is left out.
    SilentChannel {
        /// Which channel.
        channel: usize,
    },
    /// Nothing but zeros.
    Silent,
    /// Samples that are no numbers, or far beyond any sound; they were taken as zero.
    NotNumbers {
        /// Which channel.
        channel: usize,
        /// How many.
        samples: u64,
        /// First time, s.
        first_s: f64,
    },
    /// A steady part, as a faulty microphone input gives it; the bands are not touched by it.
    SteadyPart {
        /// Which channel.
        channel: usize,
        /// Its size, full scale being 1.
        part: f64,
    },
    /// Too short for the levels asked of it.
    TooShort {
        /// Its length, s.
        duration_s: f64,
    },
    /// The file holds less than it promises.
    EndsEarly {
        /// What is missing, s.
        missing_s: f64,
    },
    /// So quiet that the steps of the converter are heard in it.
    LowGain {
        /// Its level re full scale, dB.
        level_db: f64,
        /// Bits of a sample.
        bits: u32,
    },
    /// Noise that was steady when played changes its level and keeps the new one.
    LevelStep {
        /// When, s.
        at_s: f64,
        /// By how much, dB; negative where it falls.
        by_db: f64,
    },
    /// Sampled so slowly that the highest bands cannot be in it.
    LacksHighBands {
        /// Samples a second, Hz.
        sample_rate_hz: u32,
        /// Nominal frequency of the lowest band that is missing, Hz.
        from_hz: f64,
    },
    /// Bands in which the sound does not stand clear of the background.
    NearBackground {
        /// Nominal frequencies, Hz.
        bands_hz: Vec<f64>,
        /// The smallest distance found, dB.
        least_db: f64,
    },
}

impl Fault {
    /// The same fault in a recording of which what was looked at begins `by_s` later.
    pub(crate) fn later(mut self, by_s: f64) -> Self {
        if let Self::Clipped { first_s, .. }
        | Self::Dropouts { first_s, .. }
        | Self::NotNumbers { first_s, .. }
        | Self::LevelStep { at_s: first_s, .. } = &mut self
        {
            *first_s += by_s;
        }
        self
    }

    /// Whether the levels cannot be used because of it; else they can be, with care.
    pub fn spoils(&self) -> bool {
        match self {
            Self::Clipped { .. } | Self::Dropouts { .. } | Self::Silent => true,
            Self::TooShort { duration_s } => *duration_s < SHORTEST_S,
            _ => false,
        }
    }
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Clipped { channel, samples, first_s } => write!(
                f,
                "Channel {channel} is clipped: {} at the limit, first after {}. Record again with less gain; the loudest \
                 moment should stay 6 dB below full scale.",
                if *samples == 1 { "1 sample stands".to_owned() } else { format!("{samples} samples stand") },
                with_unit(*first_s, 1, "s")
            ),
            Self::Dropouts { channel, count, first_s, longest_ms } => write!(
                f,
                "Channel {channel} drops out {}, first after {}, up to {} long. Check the cable and the card, and record \
                 again.",
                if *count == 1 { "once".to_owned() } else { format!("{count} times") },
                with_unit(*first_s, 1, "s"),
                with_unit(*longest_ms, 0, "ms")
            ),
            Self::SilentChannel { channel } => write!(
                f,
                "Channel {channel} is silent and is left out of the levels. If a microphone was plugged in there, check it."
            ),
            Self::Silent => f.write_str(
                "The recording is silent: nothing but zeros. Check the microphone and record again.",
            ),
            Self::NotNumbers { channel, samples, first_s } => write!(
                f,
                "Channel {channel} holds {} no sound, first after {}; taken as silence. Copy the file again from the \
                 recorder.",
                if *samples == 1 {
                    "1 sample that is".to_owned()
                } else {
                    format!("{samples} samples that are")
                },
                with_unit(*first_s, 1, "s")
            ),
            Self::SteadyPart { channel, part } => write!(
                f,
                "Channel {channel} has a steady part of {} of full scale. The levels are not touched, but there is less \
                 room before it clips: check the microphone input.",
                with_unit(100.0 * part, 1, "%")
            ),
            Self::TooShort { duration_s } if *duration_s < SHORTEST_S => write!(
                f,
                "The recording is {} long: too short for steady levels. Record at least {}.",
                with_unit(*duration_s, 1, "s"),
                with_unit(SHORTEST_LOW_S, 0, "s")
            ),
            Self::TooShort { duration_s } => write!(
                f,
                "The recording is {} long: too short for steady levels below 100 Hz. Record at least {}.",
                with_unit(*duration_s, 1, "s"),
                with_unit(SHORTEST_LOW_S, 0, "s")
            ),
            Self::EndsEarly { missing_s } => write!(
                f,
                "The file ends {} before it says it does; what is there was used. Copy it from the recorder again.",
                with_unit(*missing_s, 1, "s")
            ),
            Self::LowGain { level_db, bits } => write!(
                f,
                "The recording is very quiet ({} re full scale): the steps of its {bits} bits are heard in it. Record with \
                 more gain or with 24 bits.",
                with_unit(*level_db, 0, "dB")
            ),
            Self::LevelStep { at_s, by_db } => write!(
                f,
                "The level {} by {} after {} and stays there: automatic gain, or something moved. It is two measurements in \
                 one: fix the gain and record again.",
                if *by_db < 0.0 { "falls" } else { "rises" },
                with_unit(by_db.abs(), 0, "dB"),
                with_unit(*at_s, 0, "s")
            ),
            Self::LacksHighBands { sample_rate_hz, from_hz } => write!(
                f,
                "At {} samples a second it holds no band from {} on: LAeq, LCeq and the other totals lack them and are too low. \
                 Record with 44,100 or 48,000.",
                quantities::format::number(f64::from(*sample_rate_hz), 0),
                with_unit(*from_hz, 0, "Hz")
            ),
            Self::NearBackground { bands_hz, least_db } => {
                let bands: Vec<String> = bands_hz
                    .iter()
                    .map(|hz| quantities::format::number(*hz, usize::from((30.0..33.0).contains(hz))))
                    .collect();
                write!(
                    f,
                    "The sound is hardly above the background at {} (least {}): the true level there is at most what was \
                     read. Play louder, or wait until it is quieter outside.",
                    with_unit_text(&bands.join(", "), "Hz"),
                    with_unit(*least_db, 1, "dB")
                )
            }
        }
    }
}

fn with_unit_text(text: &str, unit: &str) -> String {
    format!("{text}{}{unit}", quantities::format::NO_BREAK_SPACE)
}

/// Whether a sample stands exactly at the greatest so far: a limit repeats itself to the last bit.
fn at_peak(size: f64, peak: f64) -> bool {
    size.total_cmp(&peak).is_eq()
}

/// Whether samples that are held whole are clipped; `channel` counts from 1.
pub fn clipped(samples: &[f64], sample_rate_hz: f64, channel: usize) -> Option<Fault> {
    let mut watch = Watch::default();
    for chunk in samples.chunks(1 << 16) {
        watch.look(&mut chunk.to_vec(), sample_rate_hz);
    }
    let faults = watch.faults(channel, sample_rate_hz);
    faults.into_iter().find(|fault| matches!(fault, Fault::Clipped { .. }))
}

/// Bands in which a level is less than 6 dB over the background, if there are any.
pub fn near_background(levels: &crate::BandLevels, background: &crate::BandLevels) -> Option<Fault> {
    /// Up to this distance the standards give no full correction, dB (ISO 16283-1:2014, 9.2).
    const CLEAR_DB: f64 = 6.0;
    let over = levels.zip_with(background, |level, noise| level - noise);
    let near: Vec<(f64, f64)> = over
        .at_20_hz()
        .map(|db| (20.0, db))
        .into_iter()
        .chain(over.measured().map(|(band, db)| (band.nominal_hz(), db)))
        .filter(|&(_, db)| db < CLEAR_DB)
        .collect();
    let least_db = near.iter().map(|&(_, db)| db).reduce(f64::min)?;
    Some(Fault::NearBackground { bands_hz: near.iter().map(|&(hz, _)| hz).collect(), least_db })
}

/// Watches the samples of one channel as they pass.
#[derive(Clone, Debug, Default)]
pub(crate) struct Watch {
    seen: u64,
    sum: f64,
    squares: f64,
    peak: f64,
    run_at_peak: u32,
    before: f64,
    steep: bool,
    clipped: u64,
    clipped_first: u64,
    zeros: u64,
    mean_square_before: f64,
    dropouts: u64,
    dropout_first: u64,
    dropout_longest: u64,
    not_numbers: u64,
    not_numbers_first: u64,
}

impl Watch {
    /// Looks at samples, and sets to zero what is no sound.
    pub(crate) fn look(&mut self, samples: &mut [f64], sample_rate_hz: f64) {
        for chunk in samples.chunks_mut(CHUNK) {
            let (mut sum, mut squares, mut peak, mut zeros, mut strange) = (0.0, 0.0, 0.0_f64, 0_u32, 0_u32);
            for &sample in chunk.iter() {
                let size = sample.abs();
                sum += sample;
                squares += sample * sample;
                peak = if size > peak { size } else { peak };
                zeros += u32::from(size == 0.0);
                strange += u32::from(!crate::recording::is_sound(sample));
            }
            if strange > 0 {
                self.replace(chunk);
                (sum, squares, peak) = chunk.iter().fold((0.0, 0.0, 0.0), |(sum, squares, peak), &sample| {
                    (sum + sample, squares + sample * sample, sample.abs().max(peak))
                });
            }
            if peak >= self.peak.max(f64::MIN_POSITIVE) || peak >= FULL_SCALE {
                self.look_at_peak(chunk);
            } else {
                self.run_at_peak = 0;
                self.before = chunk.last().map_or(0.0, |sample| sample.abs());
            }
            if zeros > 0 || self.zeros > 0 {
                self.look_at_zeros(chunk, sample_rate_hz);
            }
            self.mean_square_before = squares / chunk.len() as f64;
            self.sum += sum;
            self.squares += squares;
            self.seen += chunk.len() as u64;
        }
    }

    /// Mean square of all samples.
    pub(crate) fn mean_square(&self) -> f64 {
        if self.seen == 0 { 0.0 } else { self.squares / self.seen as f64 }
    }

    /// Whether there was nothing but zeros.
    pub(crate) fn is_silent(&self) -> bool {
        self.squares == 0.0
    }

    /// What was found, for a channel counted from 1.
    pub(crate) fn faults(&self, channel: usize, sample_rate_hz: f64) -> Vec<Fault> {
        let time = |sample: u64| sample as f64 / sample_rate_hz;
        let mut faults = Vec::new();
        if self.clipped > 0 {
            let first_s = time(self.clipped_first);
            faults.push(Fault::Clipped { channel, samples: self.clipped, first_s });
        }
        if self.dropouts > 0 {
            faults.push(Fault::Dropouts {
                channel,
                count: self.dropouts,
                first_s: time(self.dropout_first),
                longest_ms: 1000.0 * time(self.dropout_longest),
            });
        }
        if self.not_numbers > 0 {
            let first_s = time(self.not_numbers_first);
            faults.push(Fault::NotNumbers { channel, samples: self.not_numbers, first_s });
        }
        let part = if self.seen == 0 { 0.0 } else { (self.sum / self.seen as f64).abs() };
        if part > STEADY {
            faults.push(Fault::SteadyPart { channel, part });
        }
        faults
    }

    fn replace(&mut self, chunk: &mut [f64]) {
        for (at, sample) in chunk.iter_mut().enumerate() {
            if !crate::recording::is_sound(*sample) {
                if self.not_numbers == 0 {
                    self.not_numbers_first = self.seen + at as u64;
                }
                self.not_numbers += 1;
                *sample = 0.0;
            }
        }
    }

    fn look_at_peak(&mut self, chunk: &[f64]) {
        for (at, &sample) in chunk.iter().enumerate() {
            let size = sample.abs();
            let full = (FULL_SCALE..=1.0).contains(&size);
            if size > self.peak && !(full && self.peak >= FULL_SCALE) {
                // What stood at a lower level was no limit after all.
                self.clipped = 0;
            }
            if size > self.peak || (self.run_at_peak == 0 && (full || at_peak(size, self.peak))) {
                self.run_at_peak = 1;
                self.steep = size - self.before > STEEP * size;
            } else if full || at_peak(size, self.peak) {
                self.run_at_peak += 1;
            } else {
                self.run_at_peak = 0;
            }
            self.peak = size.max(self.peak);
            self.before = size;
            // The crest of a slow tone is flat too, but it is reached gently.
            if self.run_at_peak >= CLIPPED_RUN && (full || self.steep) && size > 0.0 {
                if self.clipped == 0 {
                    self.clipped_first = (self.seen + at as u64 + 1).saturating_sub(u64::from(CLIPPED_RUN));
                }
                self.clipped += if self.run_at_peak == CLIPPED_RUN { u64::from(CLIPPED_RUN) } else { 1 };
            }
        }
    }

    fn look_at_zeros(&mut self, chunk: &[f64], sample_rate_hz: f64) {
        let shortest = (DROPOUT_S * sample_rate_hz) as u64;
        for (at, &sample) in chunk.iter().enumerate() {
            if sample == 0.0 {
                if self.zeros == 0 && at > 0 {
                    let before = chunk.get(..at).unwrap_or_default();
                    self.mean_square_before = before.iter().map(|x| x * x).sum::<f64>() / at as f64;
                }
                // A run that begins where it was quiet before is a pause, not a dropout.
                self.zeros += u64::from(self.zeros > 0 || self.mean_square_before > DROPOUT_BESIDE);
            } else {
                if self.zeros >= shortest.max(2) && (self.zeros as f64) < PAUSE_S * sample_rate_hz {
                    if self.dropouts == 0 {
                        self.dropout_first = (self.seen + at as u64).saturating_sub(self.zeros);
                    }
                    self.dropouts += 1;
                    self.dropout_longest = self.dropout_longest.max(self.zeros);
                }
                self.zeros = 0;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use quantities::math;

    use super::*;

    const RATE_HZ: f64 = 48_000.0;

    fn tone(hz: f64, peak: f64) -> Vec<f64> {
        (0..48_000).map(|n| peak * math::sin(math::TAU * hz * f64::from(n) / RATE_HZ)).collect()
    }

    fn found(mut samples: Vec<f64>) -> Vec<Fault> {
        let mut watch = Watch::default();
        for piece in samples.chunks_mut(1000) {
            watch.look(piece, RATE_HZ);
        }
        watch.faults(1, RATE_HZ)
    }

    fn as_16_bits(samples: &[f64]) -> Vec<f64> {
        samples.iter().map(|x| (x * 32_768.0).round().clamp(-32_768.0, 32_767.0) / 32_768.0).collect()
    }

    #[test]
    fn a_clean_tone_has_no_fault_even_where_its_crest_is_flat_in_16_bits() {
        for hz in [20.0, 100.0, 1000.0, 12_000.0] {
            assert_eq!(found(as_16_bits(&tone(hz, 0.5))), [], "{hz} Hz");
        }
    }

    #[test]
    fn clipping_is_found_at_full_scale_and_at_a_limit_below_it() {
        let loud = as_16_bits(&tone(500.0, 1.5));
        assert!(matches!(found(loud)[..], [Fault::Clipped { channel: 1, first_s, .. }] if first_s < 0.001));
        let limited: Vec<f64> = tone(500.0, 1.0).iter().map(|x| x.clamp(-0.6, 0.6)).collect();
        assert!(matches!(found(limited)[..], [Fault::Clipped { .. }]));
        let floating = tone(500.0, 3.0);
        assert_eq!(found(floating), [], "floating point goes beyond full scale");
    }

    #[test]
    fn the_first_clipping_is_told_at_its_own_time() {
        // A quiet beginning whose last bit stands at one value, and a limit that is reached later.
        let mut samples: Vec<f64> = (0..48_000).map(|n| f64::from(u8::from(n % 8 < 4)) / 32_768.0).collect();
        samples.extend(as_16_bits(&tone(500.0, 1.5)));
        let [Fault::Clipped { first_s, .. }] = found(samples)[..] else { panic!("clipping expected") };
        assert!((1.0..1.01).contains(&first_s), "{first_s}");
    }

    #[test]
    fn holes_in_sound_are_dropouts_and_pauses_are_not() {
        let mut holes = tone(333.0, 0.3);
        holes[10_000..10_480].fill(0.0);
        holes[30_000..30_096].fill(0.0);
        let [Fault::Dropouts { count: 2, first_s, longest_ms, .. }] = found(holes)[..] else {
            panic!("two dropouts expected")
        };
        assert!((first_s - 10_000.0 / RATE_HZ).abs() < 0.001 && (longest_ms - 10.0).abs() < 0.1);
        let mut pause = tone(333.0, 1e-4);
        pause[10_000..20_000].fill(0.0);
        assert_eq!(found(pause), []);
    }

    #[test]
    fn what_is_no_number_is_counted_and_silenced() {
        let mut samples = tone(1000.0, 0.3);
        (samples[100], samples[101], samples[102]) = (f64::NAN, f64::INFINITY, 1e30);
        let mut watch = Watch::default();
        watch.look(&mut samples, RATE_HZ);
        assert!(samples.iter().all(|x| x.abs() < 0.31));
        assert!(matches!(watch.faults(2, RATE_HZ)[..], [Fault::NotNumbers { channel: 2, samples: 3, .. }]));
        assert!(watch.mean_square().is_finite());
    }

    #[test]
    fn a_steady_part_is_told() {
        let samples: Vec<f64> = tone(1000.0, 0.1).iter().map(|x| x + 0.05).collect();
        let [Fault::SteadyPart { part, .. }] = found(samples)[..] else { panic!("steady part expected") };
        assert!((part - 0.05).abs() < 1e-6);
    }

    #[test]
    fn every_fault_is_a_sentence_with_what_to_do() {
        let faults = [
            Fault::Clipped { channel: 1, samples: 12, first_s: 3.2 },
            Fault::Dropouts { channel: 1, count: 2, first_s: 0.5, longest_ms: 20.0 },
            Fault::SilentChannel { channel: 2 },
            Fault::Silent,
            Fault::NotNumbers { channel: 1, samples: 3, first_s: 0.0 },
            Fault::SteadyPart { channel: 1, part: 0.05 },
            Fault::TooShort { duration_s: 3.0 },
            Fault::TooShort { duration_s: 9.0 },
            Fault::EndsEarly { missing_s: 4.0 },
            Fault::LowGain { level_db: -88.0, bits: 16 },
            Fault::LevelStep { at_s: 20.0, by_db: -6.0 },
            Fault::LacksHighBands { sample_rate_hz: 8000, from_hz: 4000.0 },
            Fault::NearBackground { bands_hz: vec![31.5, 8000.0], least_db: 2.1 },
        ];
        for fault in faults {
            let sentence = fault.to_string();
            assert!(sentence.ends_with('.') && sentence.len() > 60, "{sentence}");
        }
        for one in [
            Fault::Clipped { channel: 1, samples: 1, first_s: 3.2 },
            Fault::Dropouts { channel: 1, count: 1, first_s: 0.5, longest_ms: 20.0 },
            Fault::NotNumbers { channel: 1, samples: 1, first_s: 0.0 },
        ] {
            let sentence = one.to_string();
            assert!(!sentence.contains("1 samples") && !sentence.contains("1 times"), "{sentence}");
        }
        let levels =
            crate::BandLevels::from_fn(|band| Some(if band.nominal_hz() > 4000.0 { 23.0 } else { 40.0 }));
        let background = crate::BandLevels::from_fn(|_| Some(20.0));
        let Some(Fault::NearBackground { bands_hz, least_db }) = near_background(&levels, &background) else {
            panic!("near the background")
        };
        assert_eq!((bands_hz.len(), least_db), (4, 3.0));
        assert_eq!(near_background(&levels, &crate::BandLevels::from_fn(|_| Some(10.0))), None);
    }
}
