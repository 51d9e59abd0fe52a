//! Gomperts, "The sound insulation of circular and slit-shaped apertures", Acustica 14 (1964) 1–16, and Gomperts and Kihlman,
//! Acustica 18 (1967) 144–150, as Hopkins, *Sound Insulation* (2007), eq. 4.99 prints them.

use quantities::{
    air::{DENSITY_KG_M3, IMPEDANCE_PA_S_M, SPEED_OF_SOUND_M_S},
    math,
};

/// Transmission coefficient of a straight open slit of the given width and depth in a diffuse field, related to its own
/// area. May exceed 1 at resonance.
///
/// `τ = m K cos²(Ke) / (2n² {sin²(KX+2Ke)/cos²(Ke) + (K²/2n²)[1 + cos(KX) cos(KX+2Ke)]})`, `K = k w`, `X = d/w`,
/// `e = (1/π)(ln(8/K) − 0.57722)`; m = 8; n = 1 in the middle of a wall, 0.5 at an edge. For K up to about 1; above that
/// the wide-slit value 1 is approached and returned.
pub fn slit_transmission(frequency_hz: f64, width_m: f64, depth_m: f64, at_edge: bool) -> f64 {
    lossy(frequency_hz, Slit { width_m, depth_m, at_edge, resistance: 0.0 })
}

/// The same with the viscosity of air, which Gomperts and Kihlman (1967) add: a resistance over ρ0c0 of
/// `12 μ d/(w² ρ0 c0)` (Poiseuille) in narrow slits and `(d/w) √(2 μ ω/ρ0)/c0` (boundary layers) in wide ones beside the
/// radiation resistance K/n. It takes the resonances out of slits below half a millimetre.
pub fn viscous_slit_transmission(frequency_hz: f64, width_m: f64, depth_m: f64, at_edge: bool) -> f64 {
    resisted_slit_transmission(frequency_hz, Slit { width_m, depth_m, at_edge, resistance: 0.0 })
}

/// A slit with something in its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slit {
    /// Width, m.
    pub width_m: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Whether it lies in an edge between two faces.
    pub at_edge: bool,
    /// Flow resistance over ρ0c0 besides that of its walls.
    pub resistance: f64,
}

/// The same with the flow resistance of bends or cloth in the slit added.
pub fn resisted_slit_transmission(frequency_hz: f64, slit: Slit) -> f64 {
    let Slit { width_m, depth_m, resistance, .. } = slit;
    let narrow = 12.0 * VISCOSITY_PA_S * depth_m / (width_m * width_m * IMPEDANCE_PA_S_M);
    let omega = math::TAU * frequency_hz;
    let wide = depth_m / width_m * (2.0 * VISCOSITY_PA_S * omega / DENSITY_KG_M3).sqrt() / SPEED_OF_SOUND_M_S;
    let walls = (narrow * narrow + wide * wide).sqrt();
    lossy(frequency_hz, Slit { resistance: walls + resistance, ..slit })
}

/// Dynamic viscosity of air at 20 °C, Pa s.
const VISCOSITY_PA_S: f64 = 1.81e-5;

fn lossy(frequency_hz: f64, slit: Slit) -> f64 {
    let Slit { width_m, depth_m, at_edge, resistance } = slit;
    let k = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
    let big_k = k * width_m;
    if big_k > 1.0 {
        return 1.0;
    }
    let m = 8.0;
    let n = if at_edge { 0.5 } else { 1.0 };
    let x = depth_m / width_m;
    let e = (math::ln(8.0 / big_k) - 0.577_22) / math::PI;
    let cos_e = math::cos(big_k * e);
    let through = big_k * x + 2.0 * big_k * e;
    let sin_through = math::sin(through);
    let loss = sin_through * sin_through / (cos_e * cos_e)
        + (big_k / n + resistance) * (big_k / n + resistance) / 2.0
            * (1.0 + math::cos(big_k * x) * math::cos(through));
    let narrow = m * big_k * cos_e * cos_e / (2.0 * n * n * loss);
    // Wider than half a radian of the wave it opens towards a window, which lets all through.
    let open = (2.0 * big_k - 1.0).clamp(0.0, 1.0);
    narrow + open * (1.0 - narrow)
}
