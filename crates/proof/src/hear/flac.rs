//! FLAC files: 24 bits, one channel, with their title and comment as tags.

use flacenc::{bitsink::ByteSink, component::BitRepr, component::MetadataBlockData, error::Verify};

use super::{About, HearError};

/// Where the header states the shortest and the longest block, two bytes each.
const SHORTEST_BLOCK: usize = 8;
const LONGEST_BLOCK: usize = 10;
/// Number of the metadata block that holds the tags.
const TAGS: u8 = 4;

/// Writes samples of 24 bits as a FLAC file with its title and comment.
pub fn write(samples: &[i32], rate_hz: u32, about: &About) -> Result<Vec<u8>, HearError> {
    let failed = |what: String| HearError::Flac(what);
    let config = flacenc::config::Encoder::default()
        .into_verified()
        .map_err(|(_, error)| failed(error.to_string()))?;
    let rate = usize::try_from(rate_hz).map_err(|error| failed(error.to_string()))?;
    let source = flacenc::source::MemSource::from_samples(samples, 1, 24, rate);
    let mut stream = flacenc::encode_with_fixed_block_size(&config, source, config.block_size)
        .map_err(|error| failed(error.to_string()))?;
    stream.add_metadata_block(
        MetadataBlockData::new_unknown(TAGS, &tags(about)).map_err(|error| failed(error.to_string()))?,
    );
    let mut sink = ByteSink::new();
    stream.write(&mut sink).map_err(|error| failed(error.to_string()))?;
    let mut bytes = sink.as_slice().to_vec();
    // The shortest block is stated without the last one (RFC 9639, 8.2); the encoder counts it in, and strict readers then take the whole
    // file for another kind.
    if let Some(header) = bytes.get_mut(SHORTEST_BLOCK..LONGEST_BLOCK + 2) {
        header.copy_within(LONGEST_BLOCK - SHORTEST_BLOCK.., 0);
    }
    Ok(bytes)
}

/// Tags as FLAC keeps them: lengths in little-endian order, then `KEY=words`.
fn tags(about: &About) -> Vec<u8> {
    let mut block = Vec::new();
    let mut put = |text: &str| {
        block.extend(u32::try_from(text.len()).unwrap_or(0).to_le_bytes());
        block.extend(text.as_bytes());
    };
    put("Stillroom");
    let entries = [format!("TITLE={}", about.title), format!("DESCRIPTION={}", about.comment)];
    let count = u32::try_from(entries.len()).unwrap_or(0).to_le_bytes();
    let mut whole = block;
    whole.extend(count);
    for entry in entries {
        whole.extend(u32::try_from(entry.len()).unwrap_or(0).to_le_bytes());
        whole.extend(entry.as_bytes());
    }
    whole
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use symphonia::{
        core::{
            codecs::audio::AudioDecoderOptions,
            formats::{FormatOptions, TrackType, probe::Hint},
            io::{MediaSourceStream, MediaSourceStreamOptions},
            meta::MetadataOptions,
        },
        default::{get_codecs, get_probe},
    };

    use super::*;

    #[test]
    fn a_flac_is_read_back_bit_by_bit() {
        let samples: Vec<i32> = (0..9_000).map(|at| ((at * 7919) % 16_000_000) - 8_000_000).collect();
        let about = About { title: "Fence".to_owned(), comment: "full scale 94 dB".to_owned() };
        let bytes = write(&samples, 48_000, &about).unwrap();
        assert!(bytes.starts_with(b"fLaC"));
        assert!(bytes.windows(17).any(|window| window == b"DESCRIPTION=full "));

        let stream =
            MediaSourceStream::new(Box::new(Cursor::new(bytes)), MediaSourceStreamOptions::default());
        let mut reader = get_probe()
            .probe(&Hint::new(), stream, FormatOptions::default(), MetadataOptions::default())
            .unwrap();
        let track = reader.default_track(TrackType::Audio).unwrap();
        let parameters = track.codec_params.as_ref().and_then(|one| one.audio()).unwrap();
        let mut decoder =
            get_codecs().make_audio_decoder(parameters, &AudioDecoderOptions::default()).unwrap();
        let mut read: Vec<f64> = Vec::new();
        while let Ok(Some(packet)) = reader.next_packet() {
            let mut planes: Vec<Vec<f64>> = Vec::new();
            decoder.decode(&packet).unwrap().copy_to_vecs_planar(&mut planes);
            read.extend(&planes[0]);
        }
        assert_eq!(read.len(), samples.len());
        for (value, sample) in read.iter().zip(&samples) {
            assert!((value * 8_388_608.0 - f64::from(*sample)).abs() < 0.5, "{value} {sample}");
        }
    }
}
