//! IEC 61260-1:2014, *Octave-band and fractional-octave-band filters*: third-octave bands, what class 1 asks of a filter,
//! and filters that keep it.

use quantities::math;

use crate::band_levels::LEVEL_BAND_COUNT;

/// Octave ratio, `G = 10^(3/10)` (clause 5.2).
pub const OCTAVE_RATIO: f64 = 1.995_262_314_968_879_6;

/// Exact mid-band frequency of the band at a place of [`BandLevels`](crate::BandLevels), 0 for 20 Hz to 27 for 10 kHz:
/// `f_m = 1000 G^(x/3)` Hz (clause 5.4).
pub fn mid_band_hz(place: usize) -> f64 {
    1000.0 * math::powf(10.0, (place as f64 - 17.0) / 10.0)
}

/// Lower and upper band-edge frequencies, `f_m G^(−1/6)` and `f_m G^(1/6)` Hz (clause 5.5).
pub fn band_edges_hz(place: usize) -> (f64, f64) {
    let half = math::powf(10.0, 0.05);
    (mid_band_hz(place) / half, mid_band_hz(place) * half)
}

/// Least and greatest relative attenuation that class 1 permits at a frequency divided by the mid-band frequency, dB
/// (Table 1 carried to third octaves by formulas 9 and 10; between its points formula 11, straight over `lg Ω`).
///
/// At the band edge itself the tighter 2.0 dB to 5.0 dB of the 1995 edition are taken. Beyond the last point the least
/// attenuation stays 70 dB. Infinite where nothing limits it.
pub fn class_1_limits_db(ratio: f64) -> (f64, f64) {
    const NONE: f64 = f64::INFINITY;
    // (Exponent x of the octave-band breakpoint G^x, least, greatest) from the middle to the edge, and beyond it.
    const WITHIN: [(f64, f64, f64); 5] =
        [(0.0, -0.4, 0.4), (0.125, -0.4, 0.5), (0.25, -0.4, 0.7), (0.375, -0.4, 1.4), (0.5, -0.4, 5.0)];
    const BEYOND: [(f64, f64, f64); 5] =
        [(0.5, 2.0, 5.0), (1.0, 16.6, NONE), (2.0, 40.5, NONE), (3.0, 60.0, NONE), (4.0, 70.0, NONE)];
    let ratio = if ratio < 1.0 { 1.0 / ratio } else { ratio };
    let table = if ratio < breakpoint(0.5) { WITHIN } else { BEYOND };
    for pair in table.windows(2) {
        if let [(from, least_a, most_a), (to, least_b, most_b)] = *pair {
            let (a, b) = (breakpoint(from), breakpoint(to));
            if ratio <= b {
                let part = math::ln(ratio / a) / math::ln(b / a);
                let most = if most_b.is_finite() { most_a + part * (most_b - most_a) } else { NONE };
                return (least_a + part * (least_b - least_a), most);
            }
        }
    }
    (70.0, NONE)
}

/// Third-octave breakpoint of an octave-band one:
/// `Ω_h(1/b) = 1 + [(G^(1/2b) − 1)/(G^(1/2) − 1)] (Ω_h(1/1) − 1)` (formula 9), b = 3; below the middle its reciprocal.
pub fn breakpoint(octave_exponent: f64) -> f64 {
    let power = |exponent: f64| math::powf(OCTAVE_RATIO, exponent);
    1.0 + (power(1.0 / 6.0) - 1.0) / (power(0.5) - 1.0) * (power(octave_exponent) - 1.0)
}

/// Highest mid-band frequency that a filter of [`SHORT`] sections serves within class 1, in parts of the sampling rate:
/// above it the bilinear transform flattens the lower skirt.
pub(crate) const SHORT_LIMIT: f64 = 0.23;
/// Highest mid-band frequency served within class 1 by [`LONG`] sections, in parts of the sampling rate.
pub(crate) const LONG_LIMIT: f64 = 0.43;
/// Second-order sections of the usual filter: a Butterworth band pass of order six.
pub(crate) const SHORT: usize = 3;
/// Second-order sections of the filter near the top of a recording: order eight.
pub(crate) const LONG: usize = 4;

/// How many bands a recording at a sampling rate serves, counted from 20 Hz.
pub fn bands_at_rate(sample_rate_hz: f64) -> usize {
    (0..LEVEL_BAND_COUNT).take_while(|&place| mid_band_hz(place) <= LONG_LIMIT * sample_rate_hz).count()
}

/// A band pass as second-order sections `(1 − z⁻²)/(1 + a₁z⁻¹ + a₂z⁻²)`, the whole times `gain`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct BandPass {
    pub(crate) gain: f64,
    pub(crate) sections: Vec<(f64, f64)>,
}

impl BandPass {
    /// Butterworth band pass of twice as many poles as sections, brought to the sampling rate by the bilinear transform
    /// with both edges prewarped, so that the edges are exact: 3.01 dB.
    ///
    /// Low-pass poles `p = e^(jπ(2i+n+1)/2n)` become the roots of `s² − pBs + W² = 0`, `B = W₂ − W₁`, `W² = W₁W₂`,
    /// `W = tan(πf/f_s)`; then `z = (1 + s)/(1 − s)`.
    pub(crate) fn third_octave(place: usize, sample_rate_hz: f64, section_count: usize) -> Self {
        use num_complex::Complex64;
        let (lower_hz, upper_hz) = band_edges_hz(place);
        let warp = |hz: f64| math::tan(math::PI * hz / sample_rate_hz);
        let (w1, w2) = (warp(lower_hz), warp(upper_hz));
        let (width, middle2) = (w2 - w1, w1 * w2);
        let order = section_count as f64;
        let to_z = |s: Complex64| (Complex64::ONE + s) / (Complex64::ONE - s);
        let mut sections = Vec::with_capacity(section_count);
        // Of each conjugate pair of low-pass poles the upper one gives two band-pass poles; the real pole gives one.
        for i in 0..section_count.div_ceil(2) {
            let angle = math::PI * (2.0 * i as f64 + order + 1.0) / (2.0 * order);
            let (sine, cosine) = math::sin_cos(angle);
            let real = 2 * i + 1 == section_count;
            let pole = Complex64::new(cosine, if real { 0.0 } else { sine });
            let half = pole * (0.5 * width);
            let root = (half * half - middle2).sqrt();
            for s in [half + root, half - root].into_iter().take(if real { 1 } else { 2 }) {
                let z = to_z(s);
                sections.push((-2.0 * z.re, z.norm_sqr()));
            }
        }
        let mut filter = Self { gain: 1.0, sections };
        let middle = math::atan2(middle2.sqrt(), 1.0) / math::PI;
        filter.gain = 1.0 / filter.magnitude(middle);
        filter
    }

    /// Magnitude at a frequency in parts of the sampling rate.
    pub(crate) fn magnitude(&self, frequency: f64) -> f64 {
        let (sine, cosine) = math::sin_cos(math::TAU * frequency);
        let delay = num_complex::Complex64::new(cosine, -sine);
        let delay2 = delay * delay;
        self.sections.iter().fold(self.gain, |product, &(a1, a2)| {
            product * ((1.0 - delay2) / (1.0 + delay * a1 + delay2 * a2)).norm()
        })
    }

    /// Filters samples in place, from rest.
    pub(crate) fn run(&self, samples: &mut [f64]) {
        for sample in samples.iter_mut() {
            *sample *= self.gain;
        }
        for &(a1, a2) in &self.sections {
            let (mut s1, mut s2) = (0.0, 0.0);
            for sample in samples.iter_mut() {
                let (input, output) = (*sample, *sample + s1);
                s1 = s2 - a1 * output;
                s2 = -input - a2 * output;
                // Ends the tail before denormal numbers, which are slow.
                if s1.abs() + s2.abs() < crate::gazsi_1985::STILL {
                    (s1, s2) = (0.0, 0.0);
                }
                *sample = output;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_lie_at_three_decibels_and_the_middle_is_not_changed() {
        for (place, rate, sections) in [(17, 48_000.0, SHORT), (27, 44_100.0, SHORT), (27, 32_000.0, LONG)] {
            let filter = BandPass::third_octave(place, rate, sections);
            let attenuation = |hz: f64| -20.0 * math::log10(filter.magnitude(hz / rate));
            let (lower, upper) = band_edges_hz(place);
            assert!((attenuation(lower) - 3.0103).abs() < 1e-4);
            assert!((attenuation(upper) - 3.0103).abs() < 1e-4);
            assert!(attenuation(mid_band_hz(place)).abs() < 0.01);
        }
    }
}
