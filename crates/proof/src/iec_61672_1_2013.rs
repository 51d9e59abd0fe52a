//! IEC 61672-1:2013, *Sound level meters*: weightings A and C as filters of samples, and time weightings F and S.

use bands::iec_61672_1::{POLE_1_HZ, POLE_2_HZ, POLE_3_HZ, POLE_4_HZ};
use num_complex::Complex64;
use quantities::math;

use crate::gazsi_1985::STILL;

/// Time constant of time weighting F, s (clause 5.8).
pub const FAST_S: f64 = 0.125;
/// Time constant of time weighting S, s (clause 5.8).
pub const SLOW_S: f64 = 1.0;

/// Acceptance limits of class 1 for a frequency weighting at the nominal third octave nearest a frequency, dB (Table 3,
/// value from memory); minus infinity where only too high a reading is limited.
pub fn class_1_limits_db(nominal_hz: f64) -> (f64, f64) {
    const NONE: f64 = f64::NEG_INFINITY;
    // (Up to this nominal frequency, lower limit, upper limit).
    const LIMITS: [(f64, f64, f64); 14] = [
        (12.5, NONE, 2.5),
        (16.0, -4.0, 2.0),
        (20.0, -2.0, 2.0),
        (25.0, -1.5, 2.0),
        (31.5, -1.5, 1.5),
        (800.0, -1.0, 1.0),
        (1000.0, -0.7, 0.7),
        (4000.0, -1.0, 1.0),
        (5000.0, -1.5, 1.5),
        (6300.0, -2.0, 1.5),
        (8000.0, -2.5, 1.5),
        (10_000.0, -3.0, 2.0),
        (12_500.0, -5.0, 2.0),
        (16_000.0, -16.0, 2.5),
    ];
    LIMITS
        .into_iter()
        .find(|(up_to_hz, ..)| nominal_hz <= up_to_hz * 1.01)
        .map_or((NONE, 3.0), |(_, lower, upper)| (lower, upper))
}

/// Frequency at which the sampled pole at 12.2 kHz has exactly the magnitude of the analogue one, in parts of the
/// sampling rate: chosen so that the worst deviation up to 11 kHz is least over the usual rates.
const MATCHED_AT: f64 = 0.4;

/// Weightings C and A of one signal: A is C with two more high-pass sections, so both cost three sections.
#[derive(Clone, Debug)]
pub(crate) struct Weightings {
    low: Section,
    high: Section,
    more: Section,
    gain_c: f64,
    gain_a: f64,
}

/// Sums of the squares of a stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct WeightedSquares {
    pub(crate) a: f64,
    pub(crate) c: f64,
}

impl Weightings {
    /// For a sampling rate, normalised to 0 dB at 1 kHz.
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let pass = |pole_hz| high_pass(pole_hz, sample_rate_hz);
        let end = low_pass(POLE_4_HZ, sample_rate_hz);
        let mut weightings = Self {
            low: Section::of(pass(POLE_1_HZ), pass(POLE_1_HZ)),
            high: Section::of(end, end),
            more: Section::of(pass(POLE_2_HZ), pass(POLE_3_HZ)),
            gain_c: 1.0,
            gain_a: 1.0,
        };
        let (c, a) = weightings.magnitudes(1000.0 / sample_rate_hz);
        (weightings.gain_c, weightings.gain_a) = (1.0 / c, 1.0 / a);
        weightings
    }

    /// Magnitudes of C and A at a frequency in parts of the sampling rate.
    pub(crate) fn magnitudes(&self, frequency: f64) -> (f64, f64) {
        let c = self.low.magnitude(frequency) * self.high.magnitude(frequency);
        (self.gain_c * c, self.gain_a * c * self.more.magnitude(frequency))
    }

    /// Filters a stretch and sums the squares.
    pub(crate) fn squares(&mut self, samples: &[f64]) -> WeightedSquares {
        let (mut low, mut high, mut more) = (self.low, self.high, self.more);
        let mut sum = WeightedSquares::default();
        for &sample in samples {
            let c = high.next(low.next(sample));
            let a = more.next(c);
            sum.c += c * c;
            sum.a += a * a;
        }
        (self.low, self.high, self.more) = (low.stilled(), high.stilled(), more.stilled());
        WeightedSquares { a: sum.a * self.gain_a * self.gain_a, c: sum.c * self.gain_c * self.gain_c }
    }
}

/// Deviation of the sampled weightings A and C from the formulas of Annex E at a frequency below half the sampling rate, dB.
pub fn weighting_deviations_db(sample_rate_hz: f64, frequency_hz: f64) -> (f64, f64) {
    let (c, a) = Weightings::new(sample_rate_hz).magnitudes(frequency_hz / sample_rate_hz);
    (
        20.0 * math::log10(a) - bands::iec_61672_1::a_weighting_at_db(frequency_hz),
        20.0 * math::log10(c) - bands::iec_61672_1::c_weighting_at_db(frequency_hz),
    )
}

/// Part of the difference to a new mean square that an exponential time weighting takes up over a stretch:
/// `1 − e^(−t/τ)`.
pub(crate) fn uptake(stretch_s: f64, time_constant_s: f64) -> f64 {
    1.0 - math::exp(-stretch_s / time_constant_s)
}

/// `(b0 + b1 z⁻¹)/(1 + a1 z⁻¹)`.
#[derive(Clone, Copy, Debug)]
struct First {
    b0: f64,
    b1: f64,
    a1: f64,
}

/// `s/(s + ω)` by the bilinear transform, its pole prewarped.
fn high_pass(pole_hz: f64, sample_rate_hz: f64) -> First {
    let k = math::tan(math::PI * pole_hz / sample_rate_hz);
    let b0 = 1.0 / (1.0 + k);
    First { b0, b1: -b0, a1: (k - 1.0) / (k + 1.0) }
}

/// `ω/(s + ω)` with its pole where sampling puts it, `e^(−ω/f_s)`, and the magnitude matched at 0 Hz and at
/// [`MATCHED_AT`]: the bilinear transform would have nothing left at half the sampling rate.
fn low_pass(pole_hz: f64, sample_rate_hz: f64) -> First {
    let pole = math::exp(-math::TAU * pole_hz / sample_rate_hz);
    let ratio = MATCHED_AT * sample_rate_hz / pole_hz;
    let cosine = math::cos(math::TAU * MATCHED_AT);
    // b0 + b1 = 1 − pole, and |b0 + b1 z⁻¹|² is known at the matched frequency: a quadratic for b0.
    let sum = 1.0 - pole;
    let wanted = (1.0 - 2.0 * pole * cosine + pole * pole) / (1.0 + ratio * ratio);
    let product = (sum * sum - wanted) / (2.0 * (1.0 - cosine));
    let b0 = 0.5 * (sum + (sum * sum - 4.0 * product).max(0.0).sqrt());
    First { b0, b1: sum - b0, a1: -pole }
}

/// A second-order section in transposed direct form II with its state.
#[derive(Clone, Copy, Debug)]
struct Section {
    b: [f64; 3],
    a: [f64; 2],
    s: [f64; 2],
}

impl Section {
    fn of(one: First, other: First) -> Self {
        Self {
            b: [one.b0 * other.b0, one.b0 * other.b1 + one.b1 * other.b0, one.b1 * other.b1],
            a: [one.a1 + other.a1, one.a1 * other.a1],
            s: [0.0; 2],
        }
    }

    #[inline]
    fn next(&mut self, input: f64) -> f64 {
        let output = self.b[0] * input + self.s[0];
        self.s[0] = self.b[1] * input - self.a[0] * output + self.s[1];
        self.s[1] = self.b[2] * input - self.a[1] * output;
        output
    }

    fn stilled(mut self) -> Self {
        self.s = self.s.map(|state| if state.abs() < STILL { 0.0 } else { state });
        self
    }

    fn magnitude(&self, frequency: f64) -> f64 {
        let (sine, cosine) = math::sin_cos(math::TAU * frequency);
        let delay = Complex64::new(cosine, -sine);
        let above = delay * (delay * self.b[2] + self.b[1]) + self.b[0];
        let below = delay * (delay * self.a[1] + self.a[0]) + 1.0;
        (above / below).norm()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tone_comes_out_as_the_magnitudes_say() {
        let rate = 48_000.0;
        for hz in [50.0, 1000.0, 8000.0] {
            let tone: Vec<f64> =
                (0..96_000).map(|n| math::sin(math::TAU * hz * f64::from(n) / rate)).collect();
            let mut weightings = Weightings::new(rate);
            weightings.squares(&tone[..48_000]);
            let squares = weightings.squares(&tone[48_000..]);
            let (c, a) = weightings.magnitudes(hz / rate);
            assert!((squares.a / 24_000.0 / (a * a) - 1.0).abs() < 1e-6);
            assert!((squares.c / 24_000.0 / (c * c) - 1.0).abs() < 1e-6);
        }
    }
}
