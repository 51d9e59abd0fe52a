//! Half-band filters of two all-pass branches, after L. Gazsi, *Explicit formulas for lattice wave digital filters*,
//! IEEE Transactions on Circuits and Systems 32 (1985), and R. A. Valenzuela and A. G. Constantinides, *Digital signal
//! processing schemes for efficient interpolation and decimation*, IEE Proceedings G 130 (1983).
//!
//! `H(z) = ½ [A₀(z²) + z⁻¹ A₁(z²)]`, each branch a product of `(a + z⁻²)/(1 + a z⁻²)`. The coefficients follow from the
//! elliptic filter by its nome q; the two branches are power complementary, so that a stop band of 87 dB leaves a pass
//! band flat to a hundred-millionth of a decibel.

use quantities::math;

/// Coefficients in one filter: 87 dB from 0.3 of the sampling rate on.
pub const COEFFICIENTS: usize = 5;
/// End of the pass band in parts of the sampling rate that goes in.
pub const PASS_END: f64 = 0.2;
/// Beginning of the stop band in parts of the sampling rate that goes in.
pub const STOP_BEGIN: f64 = 0.5 - PASS_END;

/// States below this are taken as zero, so that silence is not computed in denormal numbers, which are slow.
pub(crate) const STILL: f64 = 1e-100;

/// Halves a sampling rate.
#[derive(Clone, Debug)]
pub(crate) struct HalfBand {
    coefficients: [f64; COEFFICIENTS],
    inputs: [f64; COEFFICIENTS],
    outputs: [f64; COEFFICIENTS],
    waiting: Option<f64>,
}

impl HalfBand {
    pub(crate) fn new() -> Self {
        Self {
            coefficients: coefficients(),
            inputs: [0.0; COEFFICIENTS],
            outputs: [0.0; COEFFICIENTS],
            waiting: None,
        }
    }

    /// Appends every second sample of the filtered signal to `half`; an odd sample waits for the next call.
    pub(crate) fn halve(&mut self, samples: &[f64], half: &mut Vec<f64>) {
        let mut rest = samples;
        if let (Some(older), Some((newer, after))) = (self.waiting, rest.split_first()) {
            self.waiting = None;
            rest = after;
            half.push(self.pair(older, *newer));
        }
        let (pairs, odd) = rest.as_chunks::<2>();
        half.extend(pairs.iter().map(|&[older, newer]| self.pair(older, newer)));
        if let [odd] = odd {
            self.waiting = Some(*odd);
        }
        for state in self.inputs.iter_mut().chain(&mut self.outputs) {
            if state.abs() < STILL {
                *state = 0.0;
            }
        }
    }

    #[inline]
    fn pair(&mut self, older: f64, newer: f64) -> f64 {
        let [a0, a1, a2, a3, a4] = self.coefficients;
        let [x0, x1, x2, x3, x4] = self.inputs;
        let [y0, y1, y2, y3, y4] = self.outputs;
        let v0 = x0 + a0 * (newer - y0);
        let v2 = x2 + a2 * (v0 - y2);
        let v4 = x4 + a4 * (v2 - y4);
        let v1 = x1 + a1 * (older - y1);
        let v3 = x3 + a3 * (v1 - y3);
        self.inputs = [newer, older, v0, v1, v2];
        self.outputs = [v0, v1, v2, v3, v4];
        0.5 * (v4 + v3)
    }
}

/// Magnitude of the filter at a frequency in parts of the sampling rate that goes in.
pub fn magnitude(frequency: f64) -> f64 {
    let (sine, cosine) = math::sin_cos(math::TAU * frequency);
    let delay = num_complex::Complex64::new(cosine, -sine);
    let squared = delay * delay;
    let mut branches = [num_complex::Complex64::ONE, delay];
    for (at, a) in coefficients().into_iter().enumerate() {
        if let Some(branch) = branches.get_mut(at % 2) {
            *branch *= (squared + a) / (squared * a + 1.0);
        }
    }
    let [first, second] = branches;
    0.5 * (first + second).norm()
}

/// With `k = tan²(π PASS_END)` and the nome `q = e (1 + 2e⁴ + 15e⁸ + 150e¹²)`, `e = ½ (1 − ⁴√(1−k²)) / (1 + ⁴√(1−k²))`,
/// n = 2·COEFFICIENTS + 1 and c = 1 …: `w = 2 ⁴√q Σ (−1)ⁱ q^(i(i+1)) sin((2i+1)πc/n) / (1 + 2 Σ (−1)ⁱ q^(i²) cos(2πic/n))`,
/// `x = √((1 − w²k)(1 − w²/k)) / (1 + w²)`, `a = (1 − x)/(1 + x)`.
fn coefficients() -> [f64; COEFFICIENTS] {
    let edge = math::tan(math::PI * PASS_END);
    let k = edge * edge;
    let root = (1.0 - k * k).sqrt().sqrt();
    let e = 0.5 * (1.0 - root) / (1.0 + root);
    let e4 = math::powi(e, 4);
    let q = e * (1.0 + e4 * (2.0 + e4 * (15.0 + 150.0 * e4)));
    let n = f64::from(2 * COEFFICIENTS as u32 + 1);
    let mut c = 0.0;
    [0.0; COEFFICIENTS].map(|_: f64| {
        c += 1.0;
        let (mut upper, mut lower, mut sign) = (0.0, 0.5, 1.0);
        for i in 0..8_i32 {
            let angle = math::PI * c / n;
            upper += sign * math::powi(q, i * (i + 1)) * math::sin(f64::from(2 * i + 1) * angle);
            if i > 0 {
                lower += sign * math::powi(q, i * i) * math::cos(f64::from(2 * i) * angle);
            }
            sign = -sign;
        }
        let w = upper * q.sqrt().sqrt() / lower;
        let w2 = w * w;
        let x = ((1.0 - w2 * k) * (1.0 - w2 / k)).sqrt() / (1.0 + w2);
        (1.0 - x) / (1.0 + x)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stop_band_holds_and_the_pass_band_is_flat() {
        for step in 0..=1000 {
            let part = f64::from(step) / 1000.0;
            let passed = 20.0 * math::log10(magnitude(PASS_END * part));
            let stopped = 20.0 * math::log10(magnitude(STOP_BEGIN + (0.5 - STOP_BEGIN) * part));
            assert!(passed.abs() < 1e-7, "{passed} dB at {part}");
            assert!(stopped < -86.9, "{stopped} dB at {part}");
        }
    }

    #[test]
    fn a_tone_passes_as_its_magnitude_says_in_pieces_of_any_length() {
        for frequency in [0.01, 0.15, 0.24, 0.26] {
            let tone: Vec<f64> = (0..8000).map(|n| math::sin(math::TAU * frequency * f64::from(n))).collect();
            let (mut whole, mut pieces) = (Vec::new(), Vec::new());
            HalfBand::new().halve(&tone, &mut whole);
            let mut filter = HalfBand::new();
            for piece in tone.chunks(37) {
                filter.halve(piece, &mut pieces);
            }
            assert_eq!(whole, pieces);
            let late = &whole[2000..4000];
            let rms = (late.iter().map(|y| y * y).sum::<f64>() / 2000.0).sqrt() * 2.0_f64.sqrt();
            assert!((rms - magnitude(frequency)).abs() < 0.002, "{frequency}: {rms}");
        }
    }
}
