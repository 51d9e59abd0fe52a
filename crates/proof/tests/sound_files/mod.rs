//! Files of sound made by hand, to be broken.

use proof::noise::White;

/// A WAV file by hand: format tag, channels, rate, bits, container bytes of a sample, data.
pub(crate) struct Wav {
    pub(crate) tag: u16,
    pub(crate) channels: u16,
    pub(crate) rate_hz: u32,
    pub(crate) bits: u16,
    pub(crate) bytes: u16,
    pub(crate) data: Vec<u8>,
}

impl Wav {
    pub(crate) fn header(&self, riff: [u8; 4], size: u32, data_size: u32, extra: &[u8]) -> Vec<u8> {
        let frame = self.channels * self.bytes;
        let mut file = Vec::new();
        file.extend(riff);
        file.extend(size.to_le_bytes());
        file.extend(b"WAVE");
        file.extend(extra);
        file.extend(b"fmt ");
        file.extend(16_u32.to_le_bytes());
        file.extend(self.tag.to_le_bytes());
        file.extend(self.channels.to_le_bytes());
        file.extend(self.rate_hz.to_le_bytes());
        file.extend((self.rate_hz * u32::from(frame)).to_le_bytes());
        file.extend(frame.to_le_bytes());
        file.extend(self.bits.to_le_bytes());
        file.extend(b"data");
        file.extend(data_size.to_le_bytes());
        file
    }

    pub(crate) fn file(&self) -> Vec<u8> {
        let size = self.data.len() as u32;
        let mut file = self.header(*b"RIFF", size + 36, size, &[]);
        file.extend(&self.data);
        file
    }
}

pub(crate) fn sixteen(samples: impl IntoIterator<Item = f64>) -> Wav {
    let data = samples.into_iter().flat_map(|x| ((x * 32_768.0).round() as i16).to_le_bytes()).collect();
    Wav { tag: 1, channels: 1, rate_hz: 48_000, bits: 16, bytes: 2, data }
}

pub(crate) fn noise(seconds: usize) -> impl Iterator<Item = f64> {
    White::new(1).take(48_000 * seconds).map(|x| 0.1 * x)
}

/// With the shorter last block counted as the least, as this encoder does it: the reader copes.
pub(crate) fn flac(samples: &[i32]) -> Vec<u8> {
    use flacenc::{bitsink::ByteSink, component::BitRepr, error::Verify, source::MemSource};
    let config = flacenc::config::Encoder::default().into_verified().map_err(|(_, error)| error).unwrap();
    let source = MemSource::from_samples(samples, 1, 16, 48_000);
    let stream = flacenc::encode_with_fixed_block_size(&config, source, config.block_size)
        .unwrap_or_else(|_| panic!("it is encoded"));
    let mut sink = ByteSink::new();
    stream.write(&mut sink).unwrap_or_else(|_| panic!("it is written"));
    sink.as_slice().to_vec()
}

pub(crate) fn aiff(samples: &[i32]) -> Vec<u8> {
    let data: Vec<u8> = samples.iter().flat_map(|&x| (x as i16).to_be_bytes()).collect();
    let mut file = b"FORM".to_vec();
    file.extend((data.len() as u32 + 46).to_be_bytes());
    file.extend(b"AIFFCOMM");
    file.extend(18_u32.to_be_bytes());
    file.extend(1_u16.to_be_bytes());
    file.extend((samples.len() as u32).to_be_bytes());
    file.extend(16_u16.to_be_bytes());
    // 48 000 Hz as an 80-bit number.
    file.extend([0x40, 0x0E, 0xBB, 0x80, 0, 0, 0, 0, 0, 0]);
    file.extend(b"SSND");
    file.extend((data.len() as u32 + 8).to_be_bytes());
    file.extend([0; 8]);
    file.extend(data);
    file
}

/// A sixteenth of a second of noise: 0 as WAV, 1 as FLAC, else as AIFF.
pub(crate) fn short(kind: usize) -> Vec<u8> {
    let samples: Vec<i32> = noise(1).take(3000).map(|x| (x * 32_768.0).round() as i32).collect();
    match kind {
        0 => sixteen(noise(1).take(3000)).file(),
        1 => flac(&samples),
        _ => aiff(&samples),
    }
}
