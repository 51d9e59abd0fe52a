//! Files that are broken, strange or no recordings at all: a sentence each, never a panic.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

mod sound_files;

use std::io::{Cursor, Read, Seek, SeekFrom};

use bands::Band;
use proof::{AnalysisSettings, Container, Fault, Recording, RecordingError, analyse, analyse_recording};
use proptest::prelude::*;
use sound_files::{Wav, aiff, flac, noise, short, sixteen};

fn refused(bytes: Vec<u8>) -> RecordingError {
    let error = analyse(Cursor::new(bytes)).unwrap_err();
    let sentence = error.to_string();
    assert!(sentence.ends_with('.') && sentence.len() > 20, "{sentence}");
    error
}

#[test]
fn broken_headers_get_a_sentence_each() {
    let whole = sixteen(noise(1));
    assert_eq!(refused(Vec::new()), RecordingError::Empty);
    assert_eq!(refused(b"Fridge: hums\nDoor: rattles\n".to_vec()), RecordingError::Text);
    assert!(matches!(refused(whole.file()[..30].to_vec()), RecordingError::Damaged { .. }));
    assert!(matches!(refused(whole.file()[..44].to_vec()), RecordingError::Damaged { .. }));
    let three = Wav { bits: 3, bytes: 1, ..sixteen(noise(1)) };
    assert!(refused(three.file()).to_string().contains("3 bits"));
    let none = Wav { channels: 0, ..sixteen(noise(1)) };
    assert_eq!(refused(none.file()), RecordingError::NoChannels);
    let slow = Wav { rate_hz: 4000, ..sixteen(noise(1)) };
    assert_eq!(refused(slow.file()), RecordingError::Rate { found_hz: 4000 });
    let coded = Wav { tag: 2, ..sixteen(noise(1)) };
    assert!(refused(coded.file()).to_string().contains("coded"));
    let empty = Wav { data: Vec::new(), ..sixteen(noise(1)) };
    assert_eq!(refused(empty.file()), RecordingError::Empty);
    let many = Wav { channels: 100, ..sixteen(noise(1)) };
    assert!(refused(many.file()).to_string().contains("100 channels"));
    let missing = AnalysisSettings { channel: Some(1), ..AnalysisSettings::default() };
    let recording = Recording::open(Cursor::new(whole.file())).unwrap();
    assert_eq!(
        analyse_recording(recording, &missing).unwrap_err(),
        RecordingError::NoSuchChannel { asked: 2, channels: 1 }
    );
}

#[test]
fn a_file_that_ends_early_gives_what_it_holds_and_says_so() {
    let mut file = sixteen(noise(20)).file();
    file.truncate(file.len() - 48_000 * 2 * 4 - 1);
    let found = analyse(Cursor::new(file)).unwrap();
    assert!((found.duration_s - 16.0).abs() < 0.001);
    assert!(matches!(found.faults[..], [Fault::EndsEarly { missing_s }] if (missing_s - 4.0).abs() < 0.001));
    assert!(found.is_usable());
}

#[test]
fn a_size_that_was_never_written_is_read_to_the_end() {
    for size in [0, u32::MAX] {
        let whole = sixteen(noise(16));
        let mut file = whole.header(*b"RIFF", 0, size, &[]);
        file.extend(&whole.data);
        let found = analyse(Cursor::new(file)).unwrap();
        assert!((found.duration_s - 16.0).abs() < 1e-9 && found.faults.is_empty(), "{:?}", found.faults);
    }
}

#[test]
fn every_coding_gives_the_same_levels() {
    let samples: Vec<f64> = noise(16).collect();
    let reference = analyse(Cursor::new(sixteen(samples.clone()).file())).unwrap();
    let level = reference.bands.get(Band::from_nominal_hz(1000.0).unwrap()).unwrap();
    let of = |tag: u16, bits: u16, bytes: u16, code: &dyn Fn(f64) -> Vec<u8>| {
        let data = samples.iter().flat_map(|&x| code(x)).collect();
        Wav { tag, channels: 1, rate_hz: 48_000, bits, bytes, data }
    };
    let twenty_four = |x: f64| ((x * 8_388_608.0) as i32).to_le_bytes()[..3].to_vec();
    let wavs = [
        of(1, 24, 3, &twenty_four),
        of(1, 32, 4, &|x| ((x * 2_147_483_648.0) as i32).to_le_bytes().to_vec()),
        of(3, 32, 4, &|x| (x as f32).to_le_bytes().to_vec()),
        of(3, 64, 8, &|x| x.to_le_bytes().to_vec()),
        of(1, 8, 1, &|x| vec![((x * 128.0).round() + 128.0) as u8]),
    ];
    for wav in &wavs {
        let found = analyse(Cursor::new(wav.file())).unwrap();
        let found = found.bands.get(Band::from_nominal_hz(1000.0).unwrap()).unwrap();
        let within = if wav.bits == 8 { 0.05 } else { 0.001 };
        assert!((found - level).abs() < within, "{} bits: {found} for {level}", wav.bits);
    }
    // The 64-bit form, with its sizes in a block of its own.
    let whole = sixteen(samples.clone());
    let mut sizes = b"ds64".to_vec();
    sizes.extend(28_u32.to_le_bytes());
    sizes.extend((whole.data.len() as u64 + 72).to_le_bytes());
    sizes.extend((whole.data.len() as u64).to_le_bytes());
    sizes.extend((samples.len() as u64).to_le_bytes());
    sizes.extend(0_u32.to_le_bytes());
    let mut wide = whole.header(*b"RF64", u32::MAX, u32::MAX, &sizes);
    wide.extend(&whole.data);
    wide.extend(b"LIST\x04\0\0\0INFO");
    let found = analyse(Cursor::new(wide)).unwrap();
    assert_eq!(found.bands, reference.bands);
    assert!(found.faults.is_empty());
    // The extensible form.
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 48_000,
        bits_per_sample: 24,
        sample_format: hound::SampleFormat::Int,
    };
    let mut file = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut file, spec).unwrap();
    for x in &samples {
        writer.write_sample((x * 8_388_608.0) as i32).unwrap();
        writer.write_sample(0).unwrap();
    }
    writer.finalize().unwrap();
    let found = analyse(Cursor::new(file.into_inner())).unwrap();
    assert_eq!(found.channels_taken, [1]);
    assert!(matches!(found.faults[..], [Fault::SilentChannel { channel: 2 }]));
    let found = found.bands.get(Band::from_nominal_hz(1000.0).unwrap()).unwrap();
    assert!((found - level).abs() < 0.001);
}

#[test]
fn flac_and_aiff_give_the_same_levels_as_wav() {
    let samples: Vec<i32> = noise(16).map(|x| (x * 32_768.0).round() as i32).collect();
    let wav = analyse(Cursor::new(sixteen(noise(16)).file())).unwrap();
    let flac = flac(&samples);
    assert_eq!(Recording::open(Cursor::new(flac.clone())).unwrap().format().container, Container::Flac);
    let found = analyse(Cursor::new(flac.clone())).unwrap();
    assert_eq!(found.bands, wav.bands);
    assert_eq!(found.faults, []);
    let cut = analyse(Cursor::new(flac[..flac.len() / 2].to_vec())).unwrap();
    assert!(cut.faults.iter().any(|fault| matches!(fault, Fault::EndsEarly { .. })), "{:?}", cut.faults);
    let aiff = aiff(&samples);
    let found = analyse(Cursor::new(aiff.clone())).unwrap();
    assert_eq!(found.bands, wav.bands);
    assert!(Recording::open(Cursor::new(aiff[..20].to_vec())).is_err());
}

#[test]
fn what_is_no_number_is_silenced_and_told() {
    let mut samples: Vec<f32> = noise(16).map(|x| x as f32).collect();
    (samples[5], samples[6], samples[7]) = (f32::NAN, f32::INFINITY, 1e30);
    let data = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
    let wav = Wav { tag: 3, channels: 1, rate_hz: 48_000, bits: 32, bytes: 4, data };
    let found = analyse(Cursor::new(wav.file())).unwrap();
    assert!(matches!(found.faults[..], [Fault::NotNumbers { samples: 3, .. }]));
    assert!(found.bands.measured().count() == 27 && found.total.laeq_db.is_some());
    let all = Wav { data: vec![f32::NAN.to_le_bytes(); 48_000].concat(), ..wav };
    let found = analyse(Cursor::new(all.file())).unwrap();
    assert!(!found.is_usable() && found.bands.measured().count() == 0);
}

#[test]
fn silence_and_a_single_sample_are_told() {
    let found = analyse(Cursor::new(sixteen(vec![0.0; 48_000 * 16]).file())).unwrap();
    assert!(matches!(found.faults[..], [Fault::Silent]));
    assert_eq!(found.bands.measured().count(), 0);
    let found = analyse(Cursor::new(sixteen([0.5]).file())).unwrap();
    assert!(found.faults.iter().any(|fault| matches!(fault, Fault::TooShort { .. })) && !found.is_usable());
}

/// A file of zeros as long as asked, without holding it.
struct Long {
    header: Vec<u8>,
    length: u64,
    at: u64,
}

impl Read for Long {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        let left = (self.length - self.at.min(self.length)).min(bytes.len() as u64) as usize;
        for (n, byte) in bytes.iter_mut().take(left).enumerate() {
            let at = self.at as usize + n;
            *byte = self.header.get(at).copied().unwrap_or((at % 251) as u8 & 0x0F);
        }
        self.at += left as u64;
        Ok(left)
    }
}

impl Seek for Long {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.at = match to {
            SeekFrom::Start(at) => at,
            SeekFrom::End(back) => self.length.saturating_add_signed(back),
            SeekFrom::Current(by) => self.at.saturating_add_signed(by),
        };
        Ok(self.at)
    }
}

fn long(hours: u64, rate_hz: u32) -> Long {
    let wav = Wav { rate_hz, data: Vec::new(), ..sixteen([]) };
    let bytes = hours * 3600 * u64::from(rate_hz) * 2;
    let mut sizes = b"ds64".to_vec();
    sizes.extend(28_u32.to_le_bytes());
    sizes.extend((bytes + 72).to_le_bytes());
    sizes.extend(bytes.to_le_bytes());
    sizes.extend((bytes / 2).to_le_bytes());
    sizes.extend(0_u32.to_le_bytes());
    let header = wav.header(*b"RF64", u32::MAX, u32::MAX, &sizes);
    Long { length: header.len() as u64 + bytes, header, at: 0 }
}

#[test]
fn two_hours_are_taken_and_more_than_a_day_is_refused_at_once() {
    let found = analyse(long(2, 8000)).unwrap();
    assert!((found.duration_s - 7200.0).abs() < 1e-6);
    assert!(found.history.laf_db.len() <= proof::MOST_HISTORY);
    assert!(found.spectrogram.columns.len() <= proof::MOST_COLUMNS);
    let too_long = analyse(long(25, 48_000)).unwrap_err();
    assert!(matches!(too_long, RecordingError::TooLong { hours: 25, .. }), "{too_long}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_bytes_never_panic(head in 0_usize..5, bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let start: &[u8] = [&b""[..], b"RIFF\0\0\0\0WAVE", b"RF64\xFF\xFF\xFF\xFFWAVEds64", b"fLaC", b"FORM\0\0\0\x80AIFF"][head];
        let file = [start, &bytes].concat();
        if let Err(error) = analyse(Cursor::new(file)) {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn a_changed_byte_or_a_lost_end_never_panics(
        kind in 0_usize..3, at in 0_usize..400, value in any::<u8>(), end in 0.0_f64..1.0,
    ) {
        let mut file = short(kind);
        if let Some(byte) = file.get_mut(at % 120) {
            *byte = value;
        }
        file.truncate((file.len() as f64 * (1.0 - end * end * end)) as usize);
        if let Ok(found) = analyse(Cursor::new(file)) {
            prop_assert!(found.bands.measured().all(|(_, level)| level.is_finite()));
        }
    }
}
