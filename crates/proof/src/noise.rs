//! White and pink noise that is the same on every machine.

use quantities::math;

/// White noise with a mean square of 1 and a crest of 10.8 dB: each sample the sum of four uniform numbers.
///
/// The numbers come from a counter through the mixing function of Steele, Lea and Flood, *Fast splittable pseudorandom
/// number generators* (2014); integers only, so that the samples are the same everywhere.
#[derive(Clone, Debug)]
pub struct White {
    state: u64,
}

impl White {
    /// A sequence of its own for every seed.
    pub const fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next whole number of 64 random bits.
    pub const fn next_bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.state ^ (self.state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }
}

impl Iterator for White {
    type Item = f64;

    fn next(&mut self) -> Option<f64> {
        let bits = self.next_bits();
        // Four numbers of 16 bits: their sum has the variance 4 (2³² − 1)/12 about 2 · 65 535.
        let sum: u64 = (0..4).map(|part| (bits >> (16 * part)) & 0xFFFF).sum();
        Some((sum as f64 - 131_070.0) / 37_837.227)
    }
}

/// White noise made pink: 3 dB less in every octave, level within 0.5 dB from 20 Hz to 11 kHz
/// at 44.1 kHz and more.
///
/// A chain of first-order sections whose poles and zeros alternate, evenly over the logarithm of frequency.
#[derive(Clone, Debug)]
pub struct Pinking {
    sections: Vec<(f64, f64, f64)>,
    gain: f64,
}

/// Ratio of the frequencies of neighbouring poles.
const POLE_RATIO: f64 = 4.0;
/// Frequency of the lowest pole, Hz.
const LOWEST_POLE_HZ: f64 = 2.0;

impl Pinking {
    /// For a sampling rate, with a gain of 1 at 1 kHz.
    pub fn new(sample_rate_hz: f64) -> Self {
        let place = |hz: f64| math::exp(-math::TAU * hz / sample_rate_hz);
        let mut sections = Vec::new();
        let mut pole_hz = LOWEST_POLE_HZ;
        while pole_hz < sample_rate_hz {
            sections.push((place(pole_hz), place(pole_hz * POLE_RATIO.sqrt()), 0.0));
            pole_hz *= POLE_RATIO;
        }
        let mut filter = Self { sections, gain: 1.0 };
        filter.gain = 1.0 / filter.magnitude(1000.0 / sample_rate_hz);
        filter
    }

    /// The next pink sample for a white one.
    pub fn next(&mut self, white: f64) -> f64 {
        let mut signal = white * self.gain;
        for (pole, zero, state) in &mut self.sections {
            let inner = signal + *pole * *state;
            signal = inner - *zero * *state;
            *state = inner;
        }
        signal
    }

    /// Magnitude at a frequency in parts of the sampling rate.
    pub fn magnitude(&self, frequency: f64) -> f64 {
        let (sine, cosine) = math::sin_cos(math::TAU * frequency);
        let delay = num_complex::Complex64::new(cosine, -sine);
        self.sections.iter().fold(self.gain, |product, (pole, zero, _)| {
            product * ((1.0 - delay * *zero) / (1.0 - delay * *pole)).norm()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_noise_has_mean_square_one_and_no_memory() {
        let samples: Vec<f64> = White::new(7).take(1_000_000).collect();
        let mean_square = samples.iter().map(|x| x * x).sum::<f64>() / 1e6;
        let neighbours = samples.windows(2).map(|pair| pair[0] * pair[1]).sum::<f64>() / 1e6;
        let peak = samples.iter().fold(0.0_f64, |peak, x| peak.max(x.abs()));
        assert!((mean_square - 1.0).abs() < 0.005 && neighbours.abs() < 0.004, "{mean_square} {neighbours}");
        assert!(peak < 3.47, "crest {peak}");
        assert_eq!(White::new(0).next_bits(), 0xE220_A839_7B1D_CDAF);
    }

    #[test]
    fn pink_noise_falls_by_three_decibels_an_octave() {
        for rate in [44_100.0, 48_000.0, 96_000.0] {
            let filter = Pinking::new(rate);
            for step in 0..=80 {
                let hz = 20.0 * math::powf(10.0, f64::from(step) / 29.6);
                if hz < 11_300.0 {
                    let level = 20.0 * math::log10(filter.magnitude(hz / rate));
                    let wished = -10.0 * math::log10(hz / 1000.0);
                    assert!((level - wished).abs() < 0.5, "{rate} {hz}: {level} for {wished}");
                }
            }
        }
    }
}
