//! The reader of WAV files: RIFF and its 64-bit forms RF64 and BW64 (EBU Tech 3306, ITU-R BS.2088), with the extensible
//! format block.

use std::io::{Read, Seek, SeekFrom};

use super::{Block, Bytes, Container, RecordingError, RecordingFormat};

/// Frames handed on at once.
const BLOCK_FRAMES: usize = 16_384;
/// A data size that a writer did not know: read to the end of the file.
const UNKNOWN_SIZE: u64 = 0xFFFF_FFFF;
/// More chunks before the sound than any recorder writes.
const MOST_CHUNKS: usize = 4096;

const PCM: u16 = 1;
const FLOAT: u16 = 3;
const EXTENSIBLE: u16 = 0xFFFE;

/// A WAV file whose data chunk is being read.
pub(super) struct Wav {
    reader: Box<dyn Bytes>,
    coding: Coding,
    frame_bytes: usize,
    left_bytes: u64,
    buffer: Vec<u8>,
}

/// How one sample is written, always least byte first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Coding {
    Unsigned8,
    Signed16,
    Signed24,
    Signed32,
    Float32,
    Float64,
}

struct FormatBlock {
    coding: Coding,
    channels: usize,
    sample_rate_hz: u32,
    bits: u32,
}

impl Wav {
    /// Reads the header and stands before the first sample. `length` is that of the whole file in bytes.
    pub(super) fn open(
        mut reader: Box<dyn Bytes>,
        length: u64,
    ) -> Result<(Self, RecordingFormat), RecordingError> {
        let mut at = 12_u64;
        let mut format = None;
        let mut wide_data_bytes = None;
        for _ in 0..MOST_CHUNKS {
            if at + 8 > length {
                break;
            }
            reader.seek(SeekFrom::Start(at))?;
            let mut head = [0; 8];
            reader.read_exact(&mut head)?;
            let [a, b, c, d, size @ ..] = head;
            let size = u64::from(u32::from_le_bytes(size));
            match &[a, b, c, d] {
                b"ds64" => wide_data_bytes = Some(wide_size(&mut reader)?),
                b"fmt " => format = Some(format_block(&mut reader, size)?),
                b"data" => {
                    let Some(format) = format else {
                        return Err(damaged("the sound stands before the block that says how it is written"));
                    };
                    let size = match wide_data_bytes {
                        Some(wide) if size == UNKNOWN_SIZE => wide,
                        _ => size,
                    };
                    return Self::at_data(reader, &format, size, length - at - 8);
                }
                _ => {}
            }
            at += 8 + size + size % 2;
        }
        Err(damaged(if format.is_some() {
            "it ends before the sound begins"
        } else {
            "the block that says how the sound is written is missing"
        }))
    }

    fn at_data(
        reader: Box<dyn Bytes>,
        format: &FormatBlock,
        size: u64,
        there: u64,
    ) -> Result<(Self, RecordingFormat), RecordingError> {
        let frame_bytes = format.channels * format.coding.bytes();
        // A recorder that lost its power leaves no size behind, or the largest one.
        let unknown = size == UNKNOWN_SIZE || (size == 0 && there > 0);
        let left_bytes = if unknown { there } else { size.min(there) };
        if left_bytes < frame_bytes as u64 {
            return Err(if size == 0 {
                RecordingError::Empty
            } else {
                damaged("it ends before the sound begins")
            });
        }
        let promised = if unknown { there } else { size };
        let about = RecordingFormat {
            container: Container::Wav,
            sample_rate_hz: format.sample_rate_hz,
            channels: format.channels,
            bits: format.bits,
            floating: matches!(format.coding, Coding::Float32 | Coding::Float64),
            frames: Some(promised / frame_bytes as u64),
        };
        Ok((Self { reader, coding: format.coding, frame_bytes, left_bytes, buffer: Vec::new() }, about))
    }

    /// Appends the next frames to the channels of `block`; false at the end.
    pub(super) fn next_block(&mut self, block: &mut Block) -> Result<bool, RecordingError> {
        let wanted = (BLOCK_FRAMES * self.frame_bytes) as u64;
        self.buffer.clear();
        self.reader.by_ref().take(wanted.min(self.left_bytes)).read_to_end(&mut self.buffer)?;
        self.left_bytes -= self.buffer.len() as u64;
        let whole = self.buffer.len() / self.frame_bytes * self.frame_bytes;
        if whole == 0 {
            return Ok(false);
        }
        let frames = self.buffer.get(..whole).unwrap_or_default();
        let bytes = self.coding.bytes();
        for (at, channel) in block.iter_mut().enumerate() {
            let samples = frames.chunks_exact(self.frame_bytes).filter_map(|frame| frame.get(at * bytes..));
            self.coding.decode(samples, channel);
        }
        Ok(true)
    }
}

impl Coding {
    fn bytes(self) -> usize {
        match self {
            Self::Unsigned8 => 1,
            Self::Signed16 => 2,
            Self::Signed24 => 3,
            Self::Signed32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }

    /// Appends samples to a channel; each slice begins with the bytes of one sample.
    fn decode<'a>(self, samples: impl Iterator<Item = &'a [u8]>, channel: &mut Vec<f64>) {
        match self {
            Self::Unsigned8 => channel.extend(
                samples.filter_map(|s| s.first()).map(|&byte| (f64::from(byte) - 128.0) * (1.0 / 128.0)),
            ),
            Self::Signed16 => channel.extend(
                samples
                    .filter_map(|s| s.first_chunk())
                    .map(|&word| f64::from(i16::from_le_bytes(word)) * (1.0 / 32_768.0)),
            ),
            Self::Signed24 => {
                channel.extend(samples.filter_map(|s| s.first_chunk::<3>()).map(|&[low, middle, high]| {
                    f64::from(i32::from_le_bytes([0, low, middle, high])) * (1.0 / 2_147_483_648.0)
                }));
            }
            Self::Signed32 => channel.extend(
                samples
                    .filter_map(|s| s.first_chunk())
                    .map(|&word| f64::from(i32::from_le_bytes(word)) * (1.0 / 2_147_483_648.0)),
            ),
            Self::Float32 => channel.extend(
                samples.filter_map(|s| s.first_chunk()).map(|&word| f64::from(f32::from_le_bytes(word))),
            ),
            Self::Float64 => {
                channel.extend(samples.filter_map(|s| s.first_chunk()).map(|&word| f64::from_le_bytes(word)));
            }
        }
    }
}

/// Size of the data in the block of 64-bit sizes: the second of its numbers.
fn wide_size(reader: &mut Box<dyn Bytes>) -> Result<u64, RecordingError> {
    let mut sizes = [0; 16];
    reader.read_exact(&mut sizes).map_err(|_| damaged("its block of 64-bit sizes is cut off"))?;
    let [_, _, _, _, _, _, _, _, data @ ..] = sizes;
    Ok(u64::from_le_bytes(data))
}

fn format_block(reader: &mut Box<dyn Bytes>, size: u64) -> Result<FormatBlock, RecordingError> {
    let cut_off = || damaged("the block that says how the sound is written is cut off");
    let mut block = Vec::new();
    reader.by_ref().take(size.min(40)).read_to_end(&mut block)?;
    let word = |at: usize| {
        block
            .get(at..)
            .and_then(<[u8]>::first_chunk)
            .map(|&word| u16::from_le_bytes(word))
            .ok_or_else(cut_off)
    };
    let channels = usize::from(word(2)?);
    let sample_rate_hz = u32::from(word(4)?) | u32::from(word(6)?) << 16;
    let (frame_bytes, bits) = (usize::from(word(12)?), word(14)?);
    let tag = match word(0)? {
        // The true format is the first word of the identifier that ends the extensible block.
        EXTENSIBLE => word(24)?,
        tag => tag,
    };
    if channels == 0 {
        return Err(RecordingError::NoChannels);
    }
    if !frame_bytes.is_multiple_of(channels) {
        return Err(damaged("its frames do not divide into its channels"));
    }
    let coding = match (tag, frame_bytes / channels, bits) {
        (PCM, 1, 8) => Coding::Unsigned8,
        (PCM, 2, 9..=16) => Coding::Signed16,
        (PCM, 3, 17..=24) => Coding::Signed24,
        (PCM, 4, 17..=32) => Coding::Signed32,
        (FLOAT, 4, 32) => Coding::Float32,
        (FLOAT, 8, 64) => Coding::Float64,
        (PCM, ..) => {
            return Err(RecordingError::Unsupported { what: format!("Its samples have {bits} bits.") });
        }
        (FLOAT, ..) => {
            return Err(RecordingError::Unsupported {
                what: format!("Its floating-point samples have {bits} bits; 32 and 64 are taken."),
            });
        }
        (tag, ..) => {
            return Err(RecordingError::Unsupported {
                what: format!("Its samples are coded (WAVE format {tag}), not plain numbers."),
            });
        }
    };
    Ok(FormatBlock { coding, channels, sample_rate_hz, bits: u32::from(bits) })
}

fn damaged(what: &str) -> RecordingError {
    RecordingError::Damaged { what: what.to_owned() }
}
