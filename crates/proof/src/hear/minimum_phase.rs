//! A filter of given magnitude that starts at once: its phase is the smallest a causal filter of that magnitude can have.
//!
//! The logarithm of the magnitude is taken back to the time axis, its negative half folded onto the positive one, and the exponential of
//! what that gives is the filter (Oppenheim and Schafer, *Discrete-Time Signal Processing*, the real cepstrum).

use num_complex::Complex;
use quantities::math;

use super::transform::Transform;

/// The filter's spectrum from its gain in dB in each bin.
pub(crate) fn filter(gain_db: &[f64], transform: &Transform) -> Vec<Complex<f64>> {
    let to_nepers = math::LN_10 / 20.0;
    let logarithm = gain_db.iter().map(|gain| Complex::new(gain * to_nepers, 0.0)).collect();
    let mut cepstrum = transform.inverse(logarithm);
    let half = transform.size() / 2;
    for (at, value) in cepstrum.iter_mut().enumerate() {
        *value *= if at == 0 || at == half {
            1.0
        } else if at < half {
            2.0
        } else {
            0.0
        };
    }
    transform
        .forward(&cepstrum)
        .into_iter()
        .map(|bin| {
            let size = math::exp(bin.re);
            let (sin, cos) = math::sin_cos(bin.im);
            Complex::new(size * cos, size * sin)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A filter 1 + a z⁻¹ with |a| < 1 has the smallest phase already: from its magnitude alone it comes back.
    #[test]
    fn a_filter_of_smallest_phase_comes_back() {
        let transform = Transform::at_least(1024);
        let exact = transform.forward(&[1.0, -0.6, 0.2]);
        let gain_db: Vec<f64> = exact.iter().map(|bin| 10.0 * math::log10(bin.norm_sqr())).collect();
        let response = transform.inverse(filter(&gain_db, &transform));
        for (value, expected) in response.iter().zip([1.0, -0.6, 0.2, 0.0, 0.0]) {
            assert!((value - expected).abs() < 1e-9, "{value} {expected}");
        }
    }
}
