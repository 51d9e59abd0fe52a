//! ISO 12354-1:2017, Annex B (monolithic elements) and Annex C (total loss factor).
//!
//! The equations are those that reproduce all 105 printed values of Annex L; air is the standard's own, and
//! frequencies are nominal ones.

use quantities::math;

/// Speed of sound the standard computes with, m/s.
pub const SPEED_OF_SOUND_M_S: f64 = 340.0;
/// Characteristic impedance that reproduces Annex L, Pa s/m (1.29 · 340).
const IMPEDANCE_PA_S_M: f64 = 439.0;
/// Impedance of the thick-element ceiling that reproduces Annex L, Pa s/m.
const CEILING_IMPEDANCE_PA_S_M: f64 = 399.0;

/// A monolithic element of masonry or concrete.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Monolithic {
    /// Longer or shorter side, m.
    pub width_m: f64,
    /// The other side, m.
    pub height_m: f64,
    /// Mass, kg/m².
    pub mass_kg_m2: f64,
    /// Critical frequency, Hz.
    pub critical_frequency_hz: f64,
    /// Density times the speed of longitudinal waves, kg/(m² s), for the thick-element ceiling.
    pub longitudinal_impedance_kg_m2_s: f64,
}

/// How an element loses energy besides inside itself and by radiation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edges {
    /// In a laboratory: `η = η_int + m'/(485 √f)` (Annex C).
    Laboratory,
    /// In a building: the sum of edge length times absorption coefficient of the edge for bending waves, m.
    InSitu {
        /// `Σ l_k α_k`, m.
        absorption_length_m: f64,
    },
}

/// Critical frequency of a plate from the speed of longitudinal waves, Hz: `fc = c0²/(1.8 cL t)`.
pub fn critical_frequency_hz(longitudinal_speed_m_s: f64, thickness_m: f64) -> f64 {
    SPEED_OF_SOUND_M_S * SPEED_OF_SOUND_M_S / (1.8 * longitudinal_speed_m_s * thickness_m)
}

/// Radiation factor for forced waves, σ_f (Annex B, after Sewell), at most 2:
/// `0.5 [ln(k0 √(l1 l2)) − Λ]`,
/// `Λ = −0.964 − (0.5 + l2/(π l1)) ln(l2/l1) + 5 l2/(2π l1) − 1/(4π l1 l2 k0²)`, l1 the longer side.
pub fn forced_radiation_factor(width_m: f64, height_m: f64, frequency_hz: f64) -> f64 {
    let (l1, l2) = if width_m >= height_m { (width_m, height_m) } else { (height_m, width_m) };
    let k0 = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
    let lambda = -0.964 - (0.5 + l2 / (math::PI * l1)) * math::ln(l2 / l1) + 5.0 * l2 / (math::TAU * l1)
        - 1.0 / (4.0 * math::PI * l1 * l2 * k0 * k0);
    (0.5 * (math::ln(k0 * (l1 * l2).sqrt()) - lambda)).clamp(0.01, 2.0)
}

impl Monolithic {
    /// Radiation factor for free bending waves, σ (Annex B), at most 2.
    pub fn free_radiation_factor(&self, frequency_hz: f64) -> f64 {
        let (l1, l2, f, fc, c0) = (
            self.width_m.max(self.height_m),
            self.width_m.min(self.height_m),
            frequency_hz,
            self.critical_frequency_hz,
            SPEED_OF_SOUND_M_S,
        );
        let sigma_1 = if f > fc { 1.0 / (1.0 - fc / f).sqrt() } else { f64::INFINITY };
        let sigma_2 = 4.0 * l1 * l2 * (f / c0) * (f / c0);
        let sigma_3 = (math::TAU * f * (l1 + l2) / (16.0 * c0)).sqrt();
        let f11 = c0 * c0 / (4.0 * fc) * (1.0 / (l1 * l1) + 1.0 / (l2 * l2));
        let sigma = if f11 <= fc / 2.0 {
            let free = if f >= fc { sigma_1 } else { below_coincidence(l1, l2, f, fc) };
            if f < f11 { free.min(sigma_2) } else { free }
        } else if f < fc && sigma_2 < sigma_3 {
            sigma_2
        } else if f > fc && sigma_1 < sigma_3 {
            sigma_1
        } else {
            sigma_3
        };
        sigma.clamp(1e-6, 2.0)
    }

    /// Total loss factor (Annex C): internal, radiated to both sides, and lost at the edges.
    pub fn total_loss_factor(&self, internal: f64, edges: Edges, frequency_hz: f64) -> f64 {
        match edges {
            Edges::Laboratory => internal + self.mass_kg_m2 / (485.0 * frequency_hz.sqrt()),
            Edges::InSitu { absorption_length_m } => {
                let sigma = self.free_radiation_factor(frequency_hz);
                let area = self.width_m * self.height_m;
                internal
                    + 2.0 * IMPEDANCE_PA_S_M * sigma / (math::TAU * frequency_hz * self.mass_kg_m2)
                    + SPEED_OF_SOUND_M_S * absorption_length_m
                        / (math::PI * math::PI * area * (frequency_hz * self.critical_frequency_hz).sqrt())
            }
        }
    }

    /// The part of τ below the critical frequency that free bending waves carry, which reflect at the edges of the element and radiate there
    /// (Annex B): `q π fc σ²/(2 f η)`; 0 from the critical frequency up, where the forced wave and the free one are the same.
    pub fn resonant_transmission(&self, total_loss_factor: f64, frequency_hz: f64) -> f64 {
        let (f, fc) = (frequency_hz, self.critical_frequency_hz);
        if f >= fc {
            return 0.0;
        }
        let ratio = 2.0 * IMPEDANCE_PA_S_M / (math::TAU * f * self.mass_kg_m2);
        let sigma = self.free_radiation_factor(f);
        ratio * ratio * math::PI * fc * sigma * sigma / (2.0 * f * total_loss_factor.max(1e-6))
    }

    /// Sound reduction index R in the third-octave band of a nominal frequency, dB (Annex B):
    /// `τ = q [2 σ_f (1 − f²/fc²)^−2 + π fc σ²/(2 f η)]` below fc, `q π σ²/(2η)` in its band,
    /// `q π fc σ²/(2 f η)` above, with `q = (2ρ0c0/(2π f m'))²`; never above
    /// `20 lg(ρ cL/(4 ρ0c0)) + 10 lg(η/0.02)`.
    pub fn reduction_index_db(&self, total_loss_factor: f64, frequency_hz: f64) -> f64 {
        let (f, fc, eta) = (frequency_hz, self.critical_frequency_hz, total_loss_factor);
        let q = {
            let ratio = 2.0 * IMPEDANCE_PA_S_M / (math::TAU * f * self.mass_kg_m2);
            ratio * ratio
        };
        let sigma = self.free_radiation_factor(f);
        let half_band = math::powf(10.0, 0.05);
        let tau = if fc > f / half_band && fc < f * half_band {
            q * math::PI * sigma * sigma / (2.0 * eta)
        } else if f > fc {
            q * math::PI * fc * sigma * sigma / (2.0 * f * eta)
        } else {
            let mass = 1.0 - (f / fc) * (f / fc);
            q * (2.0 * forced_radiation_factor(self.width_m, self.height_m, f) / (mass * mass)
                + math::PI * fc * sigma * sigma / (2.0 * f * eta))
        };
        let ceiling = 20.0
            * math::log10(self.longitudinal_impedance_kg_m2_s / (4.0 * CEILING_IMPEDANCE_PA_S_M))
            + 10.0 * math::log10(eta / 0.02);
        (-math::db_of_energy(tau.min(1.0))).min(ceiling.max(0.0))
    }
}

/// Leppington's radiation factor of free waves below the critical frequency:
/// `2 (l1+l2)/(l1 l2) (c0/fc) δ1 + δ2`.
fn below_coincidence(l1: f64, l2: f64, f: f64, fc: f64) -> f64 {
    let c0 = SPEED_OF_SOUND_M_S;
    let lambda = (f / fc).sqrt();
    let rest = 1.0 - lambda * lambda;
    let delta_1 = (rest * math::ln((1.0 + lambda) / (1.0 - lambda)) + 2.0 * lambda)
        / (4.0 * math::PI * math::PI * rest * rest.sqrt());
    let delta_2 = if f > fc / 2.0 {
        0.0
    } else {
        8.0 * c0 * c0 * (1.0 - 2.0 * lambda * lambda)
            / (fc * fc * math::powi(math::PI, 4) * l1 * l2 * lambda * rest.sqrt())
    };
    2.0 * (l1 + l2) / (l1 * l2) * (c0 / fc) * delta_1 + delta_2
}
