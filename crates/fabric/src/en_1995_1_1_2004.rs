//! EN 1995-1-1:2004 + A1 + A2, Design of timber structures: the factors and formulas for rectangular solid softwood.

use quantities::math;
use serde::Serialize;

use crate::national_annex::LoadDuration;

/// Service class, 2.3.1.3.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ServiceClass {
    /// Heated and dry: timber at about 12 %.
    One,
    /// Covered, not always heated: up to 20 %. A cold flat roof.
    Two,
    /// Open to the weather.
    Three,
}

/// Modification factor k_mod of solid timber, Table 3.1.
pub const fn kmod(class: ServiceClass, duration: LoadDuration) -> f64 {
    let [permanent, long, medium, short, instantaneous] = match class {
        ServiceClass::One | ServiceClass::Two => [0.60, 0.70, 0.80, 0.90, 1.10],
        ServiceClass::Three => [0.50, 0.55, 0.65, 0.70, 0.90],
    };
    match duration {
        LoadDuration::Permanent => permanent,
        LoadDuration::Long => long,
        LoadDuration::Medium => medium,
        LoadDuration::Short => short,
        LoadDuration::Instantaneous => instantaneous,
    }
}

/// Creep factor k_def of solid timber, Table 3.2.
pub const fn kdef(class: ServiceClass) -> f64 {
    match class {
        ServiceClass::One => 0.6,
        ServiceClass::Two => 0.8,
        ServiceClass::Three => 2.0,
    }
}

/// Crack factor for shear k_cr of solid timber, 6.1.7(2).
pub const KCR: f64 = 0.67;

/// System strength factor k_sys, 6.6, where a deck shares the load over several joists.
pub const KSYS: f64 = 1.1;

/// Least factor k_c,90, 6.1.5(3); more is allowed only for supports far apart along the grain.
pub const KC90: f64 = 1.0;

/// Shear-correction factor of a rectangle, 6/5.
pub const SHEAR_FORM_FACTOR: f64 = 1.2;

/// Size factor for bending k_h = min((150/h)^0.2, 1.3) below 150 mm, otherwise 1; eq. (3.1). Depth in mm.
pub fn kh(depth_mm: f64) -> f64 {
    if depth_mm < 150.0 { math::powf(150.0 / depth_mm, 0.2).min(1.3) } else { 1.0 }
}

/// Design strength X_d = k_mod X_k / γ_M, eq. (2.14).
pub fn design_value(characteristic: f64, kmod: f64, gamma_m: f64) -> f64 {
    kmod * characteristic / gamma_m
}

/// Bending stress of a rectangle σ_m = 6 M / (b h²), N/mm²; M in N mm, b and h in mm.
pub fn bending_stress(moment_nmm: f64, width_mm: f64, depth_mm: f64) -> f64 {
    6.0 * moment_nmm / (width_mm * depth_mm * depth_mm)
}

/// Shear stress of a rectangle τ = 3 V / (2 b_ef h) with b_ef = k_cr b, eq. (6.13a), N/mm²; V in N.
pub fn shear_stress(force_n: f64, width_mm: f64, depth_mm: f64) -> f64 {
    1.5 * force_n / (KCR * width_mm * depth_mm)
}

/// Effective length of contact in bearing, 6.1.5(1): on each side the actual length grows by 30 mm, but by no
/// more than the timber beyond it a, the length itself l, or half the distance to the next bearing l₁/2. All mm.
pub fn bearing_length(length_mm: f64, beyond_mm: f64, clear_to_next_mm: f64) -> f64 {
    let added = |beyond: f64| 30.0_f64.min(beyond).min(length_mm).min(clear_to_next_mm / 2.0).max(0.0);
    length_mm + added(beyond_mm) + added(clear_to_next_mm)
}

/// Critical bending stress of a softwood rectangle σ_m,crit = 0.78 b² E_0.05 / (h l_ef), eq. (6.32), N/mm²; lengths in mm,
/// E_0.05 in N/mm².
pub fn critical_stress(width_mm: f64, depth_mm: f64, e0_05_n_mm2: f64, effective_length_mm: f64) -> f64 {
    0.78 * width_mm * width_mm * e0_05_n_mm2 / (depth_mm * effective_length_mm)
}

/// Relative slenderness for bending λ_rel,m = √(f_m,k / σ_m,crit), eq. (6.30).
pub fn relative_slenderness(fm_k_n_mm2: f64, critical_n_mm2: f64) -> f64 {
    (fm_k_n_mm2 / critical_n_mm2).sqrt()
}

/// Lateral buckling factor k_crit, eq. (6.34): 1 up to λ_rel,m = 0.75; 1.56 − 0.75 λ up to 1.4; 1/λ² beyond.
pub fn kcrit(slenderness: f64) -> f64 {
    if slenderness <= 0.75 {
        1.0
    } else if slenderness <= 1.4 {
        1.56 - 0.75 * slenderness
    } else {
        1.0 / (slenderness * slenderness)
    }
}

/// Effective length for lateral buckling of a beam on two supports under a spread load put on its compression
/// edge, Table 6.1 with its note: 0.9 l + 2 h, mm.
pub fn effective_length_mm(span_mm: f64, depth_mm: f64) -> f64 {
    0.9 * span_mm + 2.0 * depth_mm
}

/// Reduction k_v of shear strength at a square notch over a support, on the side of the support, eqs (6.62) and (6.63):
/// k_v = k_n / (√h (√(α(1 − α)) + 0.8 (x/h) √(1/α − α²))), at most 1, with k_n = 5 for solid timber and
/// α = h_ef/h; h, h_ef and x (from the line of the support to the notch's corner) in mm. 0 where nothing is left.
pub fn notch_factor(depth_mm: f64, left_mm: f64, corner_mm: f64) -> f64 {
    const KN: f64 = 5.0;
    let alpha = left_mm / depth_mm;
    if alpha <= 0.0 {
        return 0.0;
    }
    if alpha >= 1.0 {
        return 1.0;
    }
    let root =
        (alpha * (1.0 - alpha)).sqrt() + 0.8 * corner_mm / depth_mm * (1.0 / alpha - alpha * alpha).sqrt();
    (KN / (depth_mm.sqrt() * root)).min(1.0)
}

/// Fundamental frequency of a rectangular floor on two supports, f₁ = π/(2 l²) √((EI)_l / m), eq. (7.5), Hz; (EI)_l in
/// N m² per metre of width, m in kg/m².
pub fn floor_frequency_hz(span_m: f64, stiffness_nm2_m: f64, mass_kg_m2: f64) -> f64 {
    math::PI / (2.0 * span_m * span_m) * (stiffness_nm2_m / mass_kg_m2).sqrt()
}

/// Number of modes up to 40 Hz, n₄₀ = {((40/f₁)² − 1)(b/l)⁴ (EI)_l/(EI)_b}^0.25, eq. (7.7); 0 from 40 Hz upwards.
pub fn modes_below_40(frequency_hz: f64, width_over_span: f64, stiffness_ratio: f64) -> f64 {
    let ratio = 40.0 / frequency_hz;
    math::powf(((ratio * ratio - 1.0) * math::powi(width_over_span, 4) * stiffness_ratio).max(0.0), 0.25)
}

/// Velocity response to a unit impulse v = 4 (0.4 + 0.6 n₄₀)/(m b l + 200), eq. (7.6), m/(N s²).
pub fn impulse_velocity(modes: f64, mass_kg_m2: f64, width_m: f64, span_m: f64) -> f64 {
    4.0 * (0.4 + 0.6 * modes) / (mass_kg_m2 * width_m * span_m + 200.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notched_support_by_hand() {
        // h 200, h_ef 150, x 50 mm: α 0.75; √(α(1−α)) = 0.43301; 0.8·0.25·√(1/0.75 − 0.5625) = 0.17559.
        assert!((notch_factor(200.0, 150.0, 50.0) - 5.0 / (200.0_f64.sqrt() * 0.608_606)).abs() < 1e-5);
        assert!(notch_factor(200.0, 200.0, 50.0) > 0.999);
        assert!(notch_factor(200.0, 0.0, 50.0) < 0.001);
    }

    #[test]
    fn a_floor_by_hand() {
        // 47x225 C24 at 400 mm over 4 m, 60 kg/m²: (EI)_l = 1.22686e6 N m²/m, f₁ = π/32 · √20447.7 = 14.04 Hz.
        let frequency = floor_frequency_hz(4.0, 11e9 * 0.047 * 0.225 * 0.225 * 0.225 / 12.0 / 0.4, 60.0);
        assert!((frequency - 14.04).abs() < 0.005, "{frequency}");
        // (40/14.04)² − 1 = 7.117; b/l = 1; (EI)_l/(EI)_b = 600: n₄₀ = 4270^0.25 = 8.08.
        let modes = modes_below_40(14.04, 1.0, 600.0);
        assert!((modes - 8.08).abs() < 0.01, "{modes}");
        assert!((impulse_velocity(8.08, 60.0, 4.0, 4.0) - 4.0 * 5.248 / 1160.0).abs() < 1e-5);
    }

    #[test]
    fn bearing_grows_no_further_than_there_is_timber() {
        let length = |beyond| bearing_length(50.0, beyond, 3000.0);
        assert!((length(0.0) - 80.0).abs() < 1e-9);
        assert!((length(12.0) - 92.0).abs() < 1e-9);
        assert!((length(500.0) - 110.0).abs() < 1e-9);
        assert!((bearing_length(20.0, 500.0, 3000.0) - 60.0).abs() < 1e-9);
    }
}
