//! Davy, "The forced radiation efficiency of finite size flat panels that are excited by incident sound",
//! J. Acoust. Soc. Am. 126 (2009) 694–702.

use quantities::{air::SPEED_OF_SOUND_M_S, math};

use crate::lanes::Reals;

/// Exponent with which the plane-wave term and the small-panel term join (after eq. 29 of the paper).
const W: f64 = 1.3;
/// Constant of the grazing term.
const BETA: f64 = 0.124;

/// Radiation efficiency of a finite panel forced by a plane wave, prepared for one frequency.
///
/// `σ = 1 / √(g² + q²)` with `g = cos θ` up to the limiting angle `cos θ_l = w √(π/(2ka))`, and from there to grazing
/// `g = h − (h/cos θ_l − 1) cos θ`, where `1/h = (2/3) √(2ka/π) − β` and `q = 2π/(k² S)`; a is half the mean side
/// (2S over the perimeter), S the area.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ForcedRadiation {
    cos_limit: f64,
    slope: f64,
    h: f64,
    q_squared: f64,
}

impl ForcedRadiation {
    /// For a panel of `width_m` by `height_m` at `frequency_hz`.
    pub(crate) fn new(width_m: f64, height_m: f64, frequency_hz: f64) -> Self {
        let area = width_m * height_m;
        let half_side = area / (width_m + height_m);
        let k = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
        let ka = k * half_side;
        let cos_limit = (W * (math::PI / (2.0 * ka)).sqrt()).min(1.0);
        let h = 1.0 / ((2.0 / 3.0) * (2.0 * ka / math::PI).sqrt() - BETA).max(0.5);
        let q = math::TAU / (k * k * area);
        Self { cos_limit, slope: h / cos_limit - 1.0, h, q_squared: q * q }
    }

    /// Radiation efficiency σ at the cosine of an angle of incidence.
    #[inline(always)]
    pub(crate) fn at(&self, cos_theta: f64) -> f64 {
        // Both are worked out, so that several angles can be taken at once.
        let near_grazing = self.h - self.slope * cos_theta;
        let g = if cos_theta >= self.cos_limit { cos_theta } else { near_grazing };
        1.0 / (g * g + self.q_squared).sqrt()
    }

    /// The same at several at once.
    #[inline(always)]
    pub(crate) fn at_each(&self, cos_theta: Reals) -> Reals {
        cos_theta.map(|cosine| self.at(cosine))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{iso_12354_1_2017::forced_radiation_factor, quadrature::NODES_20};

    /// The diffuse average follows Sewell's formula, which ISO 12354-1 prints, where that holds (ka above 1).
    #[test]
    fn diffuse_average_follows_sewell() {
        for (width, height) in [(4.0, 2.5), (3.2, 3.2), (1.5, 1.25)] {
            for frequency in [100.0, 200.0, 400.0, 800.0] {
                let panel = ForcedRadiation::new(width, height, frequency);
                let mean: f64 = NODES_20.iter().map(|(x, w)| w * panel.at(*x)).sum();
                // The standard stops at 2, the paper does not.
                let sewell = forced_radiation_factor(width, height, frequency);
                let difference = math::db_of_energy(mean / sewell);
                assert!(
                    sewell > 1.999 || difference.abs() < 0.6,
                    "{width} x {height} at {frequency}: {mean} {sewell}"
                );
            }
        }
    }
}
