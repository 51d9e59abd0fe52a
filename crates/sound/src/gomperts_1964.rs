//! Gomperts, "The sound insulation of circular and slit-shaped apertures", Acustica 14 (1964) 1–16, and Gomperts and Kihlman,
//! Acustica 18 (1967) 144–150, as Hopkins, *Sound Insulation* (2007), eq. 4.99 prints them.

use quantities::{air::SPEED_OF_SOUND_M_S, math};

/// Transmission coefficient of a straight open slit of the given width and depth in a diffuse field, related to its own
/// area. May exceed 1 at resonance.
///
/// `τ = m K cos²(Ke) / (2n² {sin²(KX+2Ke)/cos²(Ke) + (K²/2n²)[1 + cos(KX) cos(KX+2Ke)]})`, `K = k w`, `X = d/w`,
/// `e = (1/π)(ln(8/K) − 0.57722)`; m = 8; n = 1 in the middle of a wall, 0.5 at an edge. For K up to about 1; above that
/// the wide-slit value 1 is approached and returned.
pub fn slit_transmission(frequency_hz: f64, width_m: f64, depth_m: f64, at_edge: bool) -> f64 {
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
        + big_k * big_k / (2.0 * n * n) * (1.0 + math::cos(big_k * x) * math::cos(through));
    m * big_k * cos_e * cos_e / (2.0 * n * n * loss)
}
