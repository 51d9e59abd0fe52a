//! Noise that is the same every time.

use bands::{Band, Spectrum};
use num_complex::Complex;
use quantities::math;

use super::{
    REFERENCE_PA,
    transform::{Bins, Transform},
};

/// Numbers that look random and are the same on every machine (SplitMix64: Steele, Lea and Flood 2014).
pub(crate) struct Noise(u64);

impl Noise {
    /// One of many rows of numbers.
    pub(crate) fn new(row: u64) -> Self {
        Self(row.wrapping_mul(0xD1B5_4A32_D192_ED03))
    }

    /// Even between 0 and 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normal with mean zero and variance one.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * math::ln(self.even().max(1e-18))).sqrt();
        radius * math::cos(math::TAU * self.even())
    }
}

/// Steady noise with the levels of a spectrum, Pa: in each band all bins as strong, their phases any.
pub(crate) fn shaped(levels_db: &Spectrum, transform: &Transform, bins: &Bins) -> Vec<f64> {
    let mut spectrum = vec![Complex::new(0.0, 0.0); bins.count()];
    let mut source = Noise::new(7);
    let size = transform.size() as f64;
    for band in Band::all() {
        let Some(range) = bins.of(band) else { continue };
        let mean_square = REFERENCE_PA * REFERENCE_PA * math::energy_of_db(levels_db.get(band));
        let each = size * (mean_square / (2.0 * range.len() as f64)).sqrt();
        for at in range {
            let (sin, cos) = math::sin_cos(math::TAU * source.even());
            if let Some(bin) = spectrum.get_mut(at) {
                *bin = Complex::new(each * cos, each * sin);
            }
        }
    }
    transform.inverse(spectrum)
}
