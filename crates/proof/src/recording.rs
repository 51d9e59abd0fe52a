//! Recordings: opened from any reader, handed on block by block, so that hours need no more memory than seconds.

mod coded;
mod error;
mod wav;

use std::io::{Read, Seek, SeekFrom};

use coded::Coded;
pub use error::RecordingError;
use wav::Wav;

/// Slowest sampling that is taken, Hz (judgement): below it no band that matters is left.
pub const LOWEST_RATE_HZ: u32 = 8000;
/// Fastest sampling that is taken, Hz.
pub const HIGHEST_RATE_HZ: u32 = 768_000;
/// Most channels that are taken.
pub const MOST_CHANNELS: usize = 64;
/// A sample further from zero than this, full scale being 1, is no sound but a damaged file: 120 dB over full scale.
pub const LARGEST_SAMPLE: f64 = 1e6;

/// What kind of file a recording is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Container {
    /// RIFF WAVE, also in its 64-bit forms.
    Wav,
    /// Free lossless audio codec.
    Flac,
    /// Audio interchange file format, also with compression type field.
    Aiff,
}

/// What a recording says of itself.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RecordingFormat {
    /// Kind of file.
    pub container: Container,
    /// Samples a second in each channel, Hz.
    pub sample_rate_hz: u32,
    /// How many channels.
    pub channels: usize,
    /// Bits of a sample; of the container where the file says no more.
    pub bits: u32,
    /// Whether samples are floating-point numbers, which can go beyond full scale.
    pub floating: bool,
    /// Samples in each channel by the file's own word; none where it does not say.
    pub frames: Option<u64>,
}

impl RecordingFormat {
    /// Length by the file's own word, s.
    pub fn duration_s(&self) -> Option<f64> {
        self.frames.map(|frames| frames as f64 / f64::from(self.sample_rate_hz))
    }
}

/// Samples of every channel for a stretch of time, full scale being 1; all channels equally long.
pub type Block = Vec<Vec<f64>>;

/// A recording that is being read.
pub struct Recording {
    source: Source,
    format: RecordingFormat,
    read: u64,
}

enum Source {
    Wav(Wav),
    Coded(Coded),
}

/// Whatever bytes can be read from and moved about in.
pub(crate) trait Bytes: Read + Seek + Send + Sync {}
impl<R: Read + Seek + Send + Sync> Bytes for R {}

impl Recording {
    /// Opens a recording: WAV (PCM of 8 to 32 bits, floating point of 32 and 64 bits, RF64, extensible), FLAC or AIFF.
    ///
    /// What a file is is told from its first bytes, never from its name. Needs at least 8 kHz and one channel. The error
    /// is one sentence for the person who made the recording.
    pub fn open<R: Read + Seek + Send + Sync + 'static>(reader: R) -> Result<Self, RecordingError> {
        let mut reader: Box<dyn Bytes> = Box::new(reader);
        let length = reader.seek(SeekFrom::End(0))?;
        reader.seek(SeekFrom::Start(0))?;
        let mut head = Vec::with_capacity(16);
        reader.by_ref().take(16).read_to_end(&mut head)?;
        reader.seek(SeekFrom::Start(0))?;
        let (source, format) = match kind_of(&head)? {
            Container::Wav => {
                let (wav, format) = Wav::open(reader, length)?;
                (Source::Wav(wav), format)
            }
            container => {
                let (coded, format) = Coded::open(reader, length, container)?;
                (Source::Coded(coded), format)
            }
        };
        within_limits(&format)?;
        Ok(Self { source, format, read: 0 })
    }

    /// What the file says of itself.
    pub fn format(&self) -> &RecordingFormat {
        &self.format
    }

    /// Fills `block` with the next stretch of every channel; false at the end.
    ///
    /// A sample that is no number, or beyond [`LARGEST_SAMPLE`], is handed on as it stands: whoever measures counts it.
    pub fn next_block(&mut self, block: &mut Block) -> Result<bool, RecordingError> {
        block.resize_with(self.format.channels, Vec::new);
        for channel in block.iter_mut() {
            channel.clear();
        }
        let more = match &mut self.source {
            Source::Wav(wav) => wav.next_block(block)?,
            Source::Coded(coded) => coded.next_block(block)?,
        };
        self.read += block.first().map_or(0, |channel| channel.len() as u64);
        Ok(more)
    }

    /// Seconds that the file promises and does not hold; none where it is whole or was not yet read to its end.
    pub fn missing_s(&self) -> Option<f64> {
        let promised = self.format.frames?;
        let missing = promised.checked_sub(self.read).filter(|&frames| frames > 0)?;
        Some(missing as f64 / f64::from(self.format.sample_rate_hz))
    }

    /// Reads one channel whole, or its first `most_s` seconds, with what is no number set to zero.
    ///
    /// Meant for sweeps, decays and markers, which need the samples together: eight bytes a sample.
    pub fn read_channel(mut self, channel: usize, most_s: f64) -> Result<Vec<f64>, RecordingError> {
        if channel >= self.format.channels {
            return Err(RecordingError::NoSuchChannel { asked: channel + 1, channels: self.format.channels });
        }
        let most = (most_s.clamp(0.0, 1e6) * f64::from(self.format.sample_rate_hz)) as usize;
        let mut samples = Vec::new();
        let mut block = Block::new();
        while samples.len() < most && self.next_block(&mut block)? {
            if let Some(stretch) = block.get(channel) {
                samples.extend(stretch.iter().map(|&sample| if is_sound(sample) { sample } else { 0.0 }));
            }
        }
        samples.truncate(most);
        if samples.is_empty() {
            return Err(RecordingError::Empty);
        }
        Ok(samples)
    }
}

/// Whether a sample can be sound at all.
pub(crate) fn is_sound(sample: f64) -> bool {
    sample.abs() <= LARGEST_SAMPLE
}

fn within_limits(format: &RecordingFormat) -> Result<(), RecordingError> {
    if format.channels == 0 {
        return Err(RecordingError::NoChannels);
    }
    if format.channels > MOST_CHANNELS {
        return Err(RecordingError::Unsupported {
            what: format!("It has {} channels; up to {MOST_CHANNELS} are taken.", format.channels),
        });
    }
    if !(LOWEST_RATE_HZ..=HIGHEST_RATE_HZ).contains(&format.sample_rate_hz) {
        return Err(RecordingError::Rate { found_hz: format.sample_rate_hz });
    }
    Ok(())
}

/// Tells the kind of a file from its first bytes; what is known and cannot be taken gets a sentence of its own.
fn kind_of(head: &[u8]) -> Result<Container, RecordingError> {
    let at = |from: usize, word: &[u8]| head.get(from..from + word.len()) == Some(word);
    if head.is_empty() {
        return Err(RecordingError::Empty);
    }
    if (at(0, b"RIFF") || at(0, b"RF64") || at(0, b"BW64")) && at(8, b"WAVE") {
        return Ok(Container::Wav);
    }
    if at(0, b"fLaC") {
        return Ok(Container::Flac);
    }
    if at(0, b"FORM") && (at(8, b"AIFF") || at(8, b"AIFC")) {
        return Ok(Container::Aiff);
    }
    let lossy = [
        (at(4, b"ftyp"), "MPEG-4 audio, as telephones write it"),
        (at(0, b"OggS"), "an Ogg file"),
        (at(0, b"ID3"), "MPEG audio with a label before it"),
        (at(0, b"#!AMR"), "telephone speech"),
        (head.len() > 1 && head[0] == 0xFF && head[1] & 0xE0 == 0xE0, "MPEG audio"),
    ];
    if let Some((_, what)) = lossy.iter().find(|(is, _)| *is) {
        return Err(RecordingError::Lossy { what });
    }
    let text = head.iter().all(|&byte| byte >= 0x20 || matches!(byte, b'\t' | b'\n' | b'\r'));
    Err(if text { RecordingError::Text } else { RecordingError::Unknown })
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    fn refused(bytes: &[u8]) -> RecordingError {
        Recording::open(Cursor::new(bytes.to_vec())).err().expect("refused")
    }

    #[test]
    fn what_is_no_recording_gets_its_own_sentence() {
        assert_eq!(refused(b""), RecordingError::Empty);
        assert_eq!(refused(b"frequency_hz,value_db\n100,20\n"), RecordingError::Text);
        assert_eq!(refused(&[0, 1, 2, 3, 4]), RecordingError::Unknown);
        assert!(refused(b"\0\0\0\x20ftypM4A ").to_string().contains("telephones"));
        assert!(refused(&[0xFF, 0xFB, 0x90, 0]).to_string().contains("MPEG"));
        for bytes in [&b"fLaC"[..], b"FORM\0\0\0\x10AIFF", b"RIFF\x10\0\0\0WAVE"] {
            assert!(!refused(bytes).to_string().is_empty());
        }
    }
}
