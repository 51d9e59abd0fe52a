//! Miki, "Acoustical properties of porous materials — modifications of Delany-Bazley models", J. Acoust. Soc. Jpn. (E) 11
//! (1990) 19–24, with the limp frame of Panneton, J. Acoust. Soc. Am. 122 (2007) EL217.

use num_complex::Complex64;
use quantities::{
    air::{DENSITY_KG_M3, IMPEDANCE_PA_S_M, SPEED_OF_SOUND_M_S},
    math,
};

use crate::lanes::principal_root;

/// Characteristic impedance over that of air and wave number over that of air, time factor e^(+jωt).
///
/// `Zc = 1 + 0.070 Y^−0.632 − j 0.107 Y^−0.632`, `k = 1 + 0.109 Y^−0.618 − j 0.160 Y^−0.618`, `Y = f/σ`; published
/// for 0.01 < Y < 1.
pub fn relative_impedance_and_wave_number(
    frequency_hz: f64,
    flow_resistivity_pa_s_m2: f64,
) -> (Complex64, Complex64) {
    let y = math::ln(frequency_hz / flow_resistivity_pa_s_m2);
    let a = math::exp(-0.632 * y);
    let b = math::exp(-0.618 * y);
    (Complex64::new(1.0 + 0.070 * a, -0.107 * a), Complex64::new(1.0 + 0.109 * b, -0.160 * b))
}

/// Impedance (Pa s/m) and wave number (1/m) of fibre whose frame moves with the air.
///
/// The equivalent density of the rigid frame, `ρ = Zc k/ω`, is replaced by `(M ρ − ρ0²)/(M + ρ − 2ρ0)` with M the mass of
/// fibre and air together (Panneton 2007, eq. 16); the bulk modulus `Zc ω/k` stays.
pub(crate) fn limp_fibre(
    frequency_hz: f64,
    flow_resistivity_pa_s_m2: f64,
    density_kg_m3: f64,
) -> (Complex64, Complex64) {
    let (z, k) = relative_impedance_and_wave_number(frequency_hz, flow_resistivity_pa_s_m2);
    let rigid_density = z * k * DENSITY_KG_M3;
    let relative_bulk = z / k;
    let total = density_kg_m3 + DENSITY_KG_M3;
    let density = (rigid_density * total - DENSITY_KG_M3 * DENSITY_KG_M3)
        / (rigid_density + (total - 2.0 * DENSITY_KG_M3));
    let relative_density = density / DENSITY_KG_M3;
    let wave_number =
        principal_root(relative_density / relative_bulk) * (math::TAU * frequency_hz / SPEED_OF_SOUND_M_S);
    let impedance = principal_root(relative_density * relative_bulk) * IMPEDANCE_PA_S_M;
    (impedance, wave_number)
}
