//! FLAC and AIFF through the decoding library.

use std::io::{Read, Seek, SeekFrom};

use symphonia::{
    core::{
        audio::Channels,
        codecs::audio::{
            AudioDecoder, AudioDecoderOptions,
            well_known::{CODEC_ID_PCM_F32BE, CODEC_ID_PCM_F64BE},
        },
        errors::Error,
        formats::{FormatOptions, FormatReader, TrackType},
        io::{MediaSource, MediaSourceStream, MediaSourceStreamOptions},
    },
    default::{
        formats::{AiffReader, FlacReader},
        get_codecs,
    },
};

use super::{Block, Bytes, Container, MOST_CHANNELS, RecordingError, RecordingFormat};

/// Frames handed on at once at least, as long as there are as many: packets can be short.
const LEAST_BLOCK_FRAMES: usize = 8192;
/// Packets in a row that may be damaged before the file is given up.
const MOST_DAMAGED: usize = 64;

/// Most bits of a sample.
const MOST_BITS: u16 = 64;

/// A coded recording that is being read.
pub(super) struct Coded {
    reader: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    sample_rate_hz: u32,
    packet: Block,
}

impl Coded {
    /// Reads the header and makes the decoder. `length` is that of the whole file in bytes.
    pub(super) fn open(
        mut reader: Box<dyn Bytes>,
        length: u64,
        container: Container,
    ) -> Result<(Self, RecordingFormat), RecordingError> {
        let mended = if container == Container::Flac { one_block_size(&mut reader)? } else { None };
        if container == Container::Aiff {
            channels_of_aiff(&mut reader)?;
        }
        reader.seek(SeekFrom::Start(0))?;
        let stream = MediaSourceStream::new(
            Box::new(Measured { reader, length, at: 0, mended }),
            MediaSourceStreamOptions::default(),
        );
        // What the file is, is known: the library's own search would look for labels at its end and stumble over short files.
        let options = FormatOptions::default();
        let reader: Box<dyn FormatReader> = match container {
            Container::Aiff => Box::new(AiffReader::try_new(stream, options).map_err(sentence)?),
            _ => Box::new(FlacReader::try_new(stream, options).map_err(sentence)?),
        };
        let track = reader.default_track(TrackType::Audio).ok_or(RecordingError::NoChannels)?;
        let parameters = track
            .codec_params
            .as_ref()
            .and_then(|parameters| parameters.audio())
            .ok_or(RecordingError::NoChannels)?;
        let sample_rate_hz = parameters.sample_rate.unwrap_or(0);
        let bits = parameters.bits_per_coded_sample.or(parameters.bits_per_sample).unwrap_or(0);
        let format = RecordingFormat {
            container,
            sample_rate_hz,
            channels: parameters.channels.as_ref().map_or(0, Channels::count),
            bits,
            floating: [CODEC_ID_PCM_F32BE, CODEC_ID_PCM_F64BE].contains(&parameters.codec),
            frames: track.num_frames.filter(|&frames| frames > 0),
        };
        let (track, options) = (track.id, AudioDecoderOptions::default());
        let decoder = get_codecs().make_audio_decoder(parameters, &options).map_err(sentence)?;
        Ok((Self { reader, decoder, track, sample_rate_hz, packet: Block::new() }, format))
    }

    /// Appends the next packets to the channels of `block`; false at the end.
    pub(super) fn next_block(&mut self, block: &mut Block) -> Result<bool, RecordingError> {
        let mut damaged = 0;
        while block.first().is_none_or(|channel| channel.len() < LEAST_BLOCK_FRAMES) {
            let packet = match self.reader.next_packet() {
                Ok(Some(packet)) => packet,
                Ok(None) => break,
                // A file that was cut off gives what it holds; that it is short is told by who counts the frames.
                Err(Error::IoError(error)) if error.kind() == std::io::ErrorKind::UnexpectedEof => break,
                Err(error) => return Err(sentence(error)),
            };
            if packet.track_id != self.track {
                continue;
            }
            match self.decoder.decode(&packet) {
                Ok(decoded) => {
                    let spec = decoded.spec();
                    if spec.rate() != self.sample_rate_hz || spec.channels().count() != block.len() {
                        return Err(RecordingError::Damaged {
                            what: "its rate or its number of channels changes on the way".to_owned(),
                        });
                    }
                    decoded.copy_to_vecs_planar(&mut self.packet);
                    for (channel, samples) in block.iter_mut().zip(&self.packet) {
                        channel.extend_from_slice(samples);
                    }
                    damaged = 0;
                }
                Err(Error::DecodeError(what)) => {
                    damaged += 1;
                    if damaged > MOST_DAMAGED {
                        return Err(sentence(Error::DecodeError(what)));
                    }
                }
                Err(Error::IoError(error)) if error.kind() == std::io::ErrorKind::UnexpectedEof => break,
                Err(error) => return Err(sentence(error)),
            }
        }
        Ok(block.first().is_some_and(|channel| !channel.is_empty()))
    }
}

/// Where the least and the greatest block size stand in a FLAC file, after its marker and the head of its first block.
const BLOCK_SIZES_AT: u64 = 8;

/// More labels and pictures before the sound than any recorder writes.
const MOST_BLOCKS: usize = 1024;

/// The two bytes that a FLAC file's least block size should be, where it is not.
///
/// Some encoders count the shorter last block as the least. The decoding library then takes a file with blocks of one size for
/// one with blocks of any size and finds no frame in it. RFC 9639, 8.2: the last block is left out. None where all is well, or
/// where the first frame says itself that sizes vary.
fn one_block_size(reader: &mut Box<dyn Bytes>) -> Result<Option<[u8; 2]>, RecordingError> {
    let mut head = Vec::new();
    reader.by_ref().take(12).read_to_end(&mut head)?;
    let Some(&[least_high, least_low, most_high, most_low]) = head.get(8..).and_then(<[u8]>::first_chunk)
    else {
        return Ok(None);
    };
    if [least_high, least_low] == [most_high, most_low] {
        return Ok(None);
    }
    let mut at = 4_u64;
    let mut last = false;
    for _ in 0..MOST_BLOCKS {
        let mut block = Vec::new();
        reader.seek(SeekFrom::Start(at))?;
        reader.by_ref().take(4).read_to_end(&mut block)?;
        let Some(&[kind, high, middle, low]) = block.first_chunk::<4>() else { break };
        at += 4 + u64::from(u32::from_be_bytes([0, high, middle, low]));
        last = kind & 0x80 != 0;
        if last {
            break;
        }
    }
    if !last {
        return Ok(None);
    }
    let mut frame = Vec::new();
    reader.seek(SeekFrom::Start(at))?;
    reader.by_ref().take(2).read_to_end(&mut frame)?;
    Ok((frame == [0xFF, 0xF8]).then_some([most_high, most_low]))
}

/// Looks at the chunks that say how many channels there are: the library multiplies before it looks, and can count over its numbers.
fn channels_of_aiff(reader: &mut Box<dyn Bytes>) -> Result<(), RecordingError> {
    let mut at = 12_u64;
    for _ in 0..MOST_BLOCKS {
        let mut chunk = Vec::new();
        reader.seek(SeekFrom::Start(at))?;
        reader.by_ref().take(16).read_to_end(&mut chunk)?;
        let Some(&[a, b, c, d, long, er, mid, low]) = chunk.first_chunk::<8>() else { break };
        if let ([b'C', b'O', b'M', b'M'], Some(&[high, least])) =
            ([a, b, c, d], chunk.get(8..).and_then(<[u8]>::first_chunk))
        {
            let channels = usize::from(u16::from_be_bytes([high, least]));
            let bits =
                chunk.get(14..).and_then(<[u8]>::first_chunk).map_or(0, |&two| u16::from_be_bytes(two));
            if channels > MOST_CHANNELS || bits > MOST_BITS {
                return Err(RecordingError::Unsupported {
                    what: format!(
                        "It has {channels} channels of {bits} bits; up to {MOST_CHANNELS} of {MOST_BITS} bits are taken."
                    ),
                });
            }
        }
        let length = u64::from(u32::from_be_bytes([long, er, mid, low]));
        // Chunks begin at even places.
        at += 8 + length + length % 2;
    }
    Ok(())
}

/// A reader that knows how long it is, and what to put in the place of a wrong least block size.
struct Measured {
    reader: Box<dyn Bytes>,
    length: u64,
    at: u64,
    mended: Option<[u8; 2]>,
}

impl Read for Measured {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        let count = self.reader.read(bytes)?;
        for (place, byte) in (BLOCK_SIZES_AT..).zip(self.mended.iter().flatten()) {
            let here = place.checked_sub(self.at).and_then(|here| usize::try_from(here).ok());
            if let Some(slot) = here.and_then(|here| bytes.get_mut(..count)?.get_mut(here)) {
                *slot = *byte;
            }
        }
        self.at += count as u64;
        Ok(count)
    }
}

impl Seek for Measured {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.at = self.reader.seek(to)?;
        Ok(self.at)
    }
}

impl MediaSource for Measured {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.length)
    }
}

fn sentence(error: Error) -> RecordingError {
    match error {
        Error::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
            RecordingError::Damaged { what: "it ends before the sound begins".to_owned() }
        }
        Error::IoError(error) => error.into(),
        Error::Unsupported(what) => RecordingError::Unsupported {
            what: format!("It is written in a way that is not taken ({what})."),
        },
        error => RecordingError::Damaged { what: error.to_string() },
    }
}
