//! WAV files with the plain header that every player and recorder reads: PCM, one channel, 24 bits.
//!
//! Common libraries write `WAVE_FORMAT_EXTENSIBLE` from 24 bits on, which older players refuse.

/// Largest sample of 24 bits.
pub const LARGEST_24_BIT: i32 = 8_388_607;

/// Bytes of a sample.
const BYTES: u32 = 3;
/// Bytes from the word `RIFF` to the first sample.
const HEADER_BYTES: u32 = 44;

/// A WAV file of one channel with 24 bits, with further whole chunks of even length behind the sound. None where it would be larger than the
/// 4 GB that a WAV file can say.
///
/// Samples beyond ±8 388 607 are held there.
pub fn write(samples: &[i32], rate_hz: u32, chunks_behind: &[u8]) -> Option<Vec<u8>> {
    let data_bytes = u32::try_from(samples.len()).ok()?.checked_mul(BYTES)?;
    let padded = data_bytes + data_bytes % 2;
    let whole =
        padded.checked_add(HEADER_BYTES - 8)?.checked_add(u32::try_from(chunks_behind.len()).ok()?)?;
    let mut bytes = Vec::with_capacity(whole as usize + 8);
    bytes.extend(b"RIFF");
    bytes.extend(whole.to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    // PCM, one channel.
    bytes.extend([1, 0, 1, 0]);
    bytes.extend(rate_hz.to_le_bytes());
    bytes.extend(rate_hz.checked_mul(BYTES)?.to_le_bytes());
    // Bytes of a frame, bits of a sample.
    bytes.extend([3, 0, 24, 0]);
    bytes.extend(b"data");
    bytes.extend(data_bytes.to_le_bytes());
    for sample in samples {
        let [low, middle, high, _] = (*sample).clamp(-LARGEST_24_BIT, LARGEST_24_BIT).to_le_bytes();
        bytes.extend([low, middle, high]);
    }
    bytes.resize(bytes.len() + (padded - data_bytes) as usize, 0);
    bytes.extend(chunks_behind);
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::Recording;

    #[test]
    fn what_is_written_is_read_back_and_has_the_plain_header() {
        for count in [3, 4] {
            let samples: Vec<i32> = [0, 1_000_000, -8_388_607, i32::MAX].into_iter().take(count).collect();
            let bytes = write(&samples, 48_000, b"").unwrap();
            assert_eq!(bytes[20..22], [1, 0], "PCM, not extensible");
            assert_eq!(u32::from_le_bytes(bytes[4..8].try_into().unwrap()) as usize + 8, bytes.len());
            assert_eq!(bytes.len() % 2, 0);
            let recording = Recording::open(Cursor::new(bytes)).unwrap();
            let format = recording.format().clone();
            assert_eq!((format.bits, format.channels, format.sample_rate_hz), (24, 1, 48_000));
            let read = recording.read_channel(0, 1.0).unwrap();
            assert_eq!(read.len(), count);
            for (value, sample) in read.iter().zip(samples) {
                let expected = f64::from(sample.min(LARGEST_24_BIT)) / 8_388_608.0;
                assert!((value - expected).abs() < 1e-9, "{value} {expected}");
            }
        }
    }
}
