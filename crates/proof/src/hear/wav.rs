//! WAV files: 24 bits, one channel, with what they are written into their LIST chunk; and plain ones read.

use std::io::Cursor;

use hound::{SampleFormat, WavReader, WavSpec, WavWriter};

use super::{About, HearError, Sound};

/// Writes samples of 24 bits as a WAV file with its title and comment.
pub fn write(samples: &[i32], rate_hz: u32, about: &About) -> Result<Vec<u8>, HearError> {
    let failed = |error: hound::Error| HearError::Unreadable(format!("The WAV cannot be written: {error}."));
    let spec =
        WavSpec { channels: 1, sample_rate: rate_hz, bits_per_sample: 24, sample_format: SampleFormat::Int };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut bytes, spec).map_err(failed)?;
    for sample in samples {
        writer.write_sample(*sample).map_err(failed)?;
    }
    writer.finalize().map_err(failed)?;
    let mut bytes = bytes.into_inner();
    if bytes.len() % 2 == 1 {
        bytes.push(0);
    }
    bytes.extend(list_chunk(about));
    let size = u32::try_from(bytes.len().saturating_sub(8)).unwrap_or(u32::MAX);
    if let Some(place) = bytes.get_mut(4..8) {
        place.copy_from_slice(&size.to_le_bytes());
    }
    Ok(bytes)
}

/// `LIST` of the kind `INFO`: name, comment, software.
fn list_chunk(about: &About) -> Vec<u8> {
    let mut inside = b"INFO".to_vec();
    for (id, text) in
        [(b"INAM", about.title.as_str()), (b"ICMT", about.comment.as_str()), (b"ISFT", "Stillroom")]
    {
        let mut words = text.as_bytes().to_vec();
        words.push(0);
        inside.extend(id);
        inside.extend(u32::try_from(words.len()).unwrap_or(0).to_le_bytes());
        if words.len() % 2 == 1 {
            words.push(0);
        }
        inside.extend(words);
    }
    let mut chunk = b"LIST".to_vec();
    chunk.extend(u32::try_from(inside.len()).unwrap_or(0).to_le_bytes());
    chunk.extend(inside);
    chunk
}

/// Reads a WAV file of any depth; several channels are averaged.
pub fn read(bytes: &[u8], name: &str) -> Result<Sound, HearError> {
    let failed = |error: hound::Error| {
        HearError::Unreadable(format!(
            "`{name}` is no WAV file that can be read ({error}): export it as WAV, 16 or 24 bits."
        ))
    };
    let mut reader = WavReader::new(Cursor::new(bytes)).map_err(failed)?;
    let spec = reader.spec();
    let samples: Vec<f32> = match spec.sample_format {
        SampleFormat::Float => reader.samples::<f32>().collect::<Result<_, _>>().map_err(failed)?,
        SampleFormat::Int => {
            let full = (1_i64 << (u32::from(spec.bits_per_sample.clamp(1, 32)) - 1)) as f64;
            reader
                .samples::<i32>()
                .map(|sample| sample.map(|value| (f64::from(value) / full) as f32))
                .collect::<Result<_, _>>()
                .map_err(failed)?
        }
    };
    let channels = usize::from(spec.channels.max(1));
    let mono = samples.chunks(channels).map(|frame| frame.iter().sum::<f32>() / channels as f32).collect();
    Ok(Sound { samples: mono, rate_hz: spec.sample_rate })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_and_says_what_it_is() {
        let samples = [0, 1_000_000, -8_388_607, 8_388_607, 5];
        let about = About { title: "Fence, as planned".to_owned(), comment: "full scale 94 dB".to_owned() };
        let bytes = write(&samples, 48_000, &about).unwrap();
        let size = u32::from_le_bytes(bytes[4..8].try_into().unwrap());
        assert_eq!(size as usize + 8, bytes.len());
        let has = |words: &str| bytes.windows(words.len()).any(|window| window == words.as_bytes());
        assert!(has("INAM") && has("Fence, as planned") && has("full scale 94 dB"));
        let sound = read(&bytes, "x.wav").unwrap();
        assert_eq!(sound.rate_hz, 48_000);
        for (value, sample) in sound.samples.iter().zip(samples) {
            assert!((f64::from(*value) * 8_388_608.0 - f64::from(sample)).abs() < 1.0);
        }
    }

    #[test]
    fn what_is_no_wav_gets_a_sentence() {
        for bytes in [&b""[..], b"RIFF", b"this is a text file called .wav", b"RIFF\x10\0\0\0WAVEfmt "] {
            let error = read(bytes, "my.wav").unwrap_err().to_string();
            assert!(error.starts_with("`my.wav` is no WAV file"), "{error}");
        }
    }
}
