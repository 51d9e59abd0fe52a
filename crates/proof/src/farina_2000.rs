//! Exponential sweeps after A. Farina, *Simultaneous measurement of impulse response and distortion with a swept-sine
//! technique*, 108th AES Convention (2000), preprint 5093.

use quantities::math;

/// An exponential sweep.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Sweep {
    /// Frequency it begins at, Hz.
    pub from_hz: f64,
    /// Frequency it ends at, Hz; below half the sampling rate.
    pub to_hz: f64,
    /// Its length, s.
    pub duration_s: f64,
    /// Sampling rate, Hz.
    pub sample_rate_hz: f64,
}

/// Fade at either end, as a part of the length up to [`LONGEST_FADE_S`].
const FADE_PART: f64 = 0.02;
/// Longest fade, s.
const LONGEST_FADE_S: f64 = 0.2;

impl Sweep {
    /// `x(t) = sin { (ω₁T / ln(ω₂/ω₁)) [e^((t/T) ln(ω₂/ω₁)) − 1] }` with a peak of 1, faded gently at both ends.
    pub fn samples(&self) -> Vec<f64> {
        let rate = math::ln(self.to_hz / self.from_hz);
        let scale = math::TAU * self.from_hz * self.duration_s / rate;
        let count = self.length();
        let fade = ((FADE_PART * self.duration_s).min(LONGEST_FADE_S) * self.sample_rate_hz).max(1.0);
        (0..count)
            .map(|n| {
                let part = n as f64 / (self.duration_s * self.sample_rate_hz);
                let near = (n.min(count - 1 - n) as f64 / fade).min(1.0);
                let swell = 0.5 - 0.5 * math::cos(math::PI * near);
                swell * math::sin(scale * (math::exp(part * rate) - 1.0))
            })
            .collect()
    }

    /// The inverse: the sweep backwards in time, falling by 6 dB an octave as the frequency falls, so that sweep and inverse
    /// convolved give an impulse of height 1, limited to the band of the sweep.
    pub fn inverse(&self) -> Vec<f64> {
        let rate = math::ln(self.to_hz / self.from_hz);
        let count = self.length() as f64;
        let mut inverse: Vec<f64> = self.samples();
        let mut height = 0.0;
        for (n, sample) in inverse.iter_mut().enumerate() {
            // What was swept at time t has the weight e^((t/T − 1) ln(ω₂/ω₁)).
            let weight = math::exp((n as f64 / count - 1.0) * rate);
            height += *sample * *sample * weight;
            *sample *= weight;
        }
        inverse.reverse();
        for sample in &mut inverse {
            *sample /= height;
        }
        inverse
    }

    /// How much earlier than the response the k-th harmonic of distortion arrives: `Δt = T ln k / ln(ω₂/ω₁)` s.
    pub fn harmonic_lead_s(&self, order: u32) -> f64 {
        self.duration_s * math::ln(f64::from(order.max(1))) / math::ln(self.to_hz / self.from_hz)
    }

    /// Samples of the sweep.
    pub fn length(&self) -> usize {
        (self.duration_s * self.sample_rate_hz) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sweep_and_inverse_give_an_impulse() {
        let sweep = Sweep { from_hz: 50.0, to_hz: 3500.0, duration_s: 1.0, sample_rate_hz: 8000.0 };
        let (samples, inverse) = (sweep.samples(), sweep.inverse());
        let product = |lag: usize| -> f64 {
            // At lag `length − 1` sweep and inverse lie on each other.
            (0..=lag).filter_map(|n| Some(samples.get(n)? * inverse.get(lag - n)?)).sum()
        };
        let middle = sweep.length() - 1;
        assert!((product(middle) - 1.0).abs() < 1e-9);
        for away in [5, 37, 400] {
            assert!(product(middle + away).abs() < 0.05, "{away}: {}", product(middle + away));
            assert!((product(middle + away) - product(middle - away)).abs() < 0.02);
        }
        assert!((sweep.harmonic_lead_s(2) - math::ln(2.0) / math::ln(70.0)).abs() < 1e-12);
    }
}
