//! WAV files: 24 bits, one channel, with what they are written into their LIST chunk.

use super::{About, HearError};
use crate::pcm_wav;

/// Writes samples of 24 bits as a WAV file with its title and comment.
pub fn write(samples: &[i32], rate_hz: u32, about: &About) -> Result<Vec<u8>, HearError> {
    pcm_wav::write(samples, rate_hz, &list_chunk(about)).ok_or(HearError::TooLarge)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_says_what_it_is() {
        let about = About { title: "Fence, as planned".to_owned(), comment: "full scale 94 dB".to_owned() };
        let bytes = write(&[0, 1_000_000, -8_388_607, 8_388_607, 5], 48_000, &about).unwrap();
        let size = u32::from_le_bytes(bytes[4..8].try_into().unwrap());
        assert_eq!(size as usize + 8, bytes.len());
        let has = |words: &str| bytes.windows(words.len()).any(|window| window == words.as_bytes());
        assert!(has("INAM") && has("Fence, as planned") && has("full scale 94 dB"));
    }
}
