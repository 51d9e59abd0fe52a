//! Wells R. J. (1958), Acoustical plenum chambers, Noise Control 4, 9–15, as handbooks quote it.

use quantities::math;

/// A chamber as the formula sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chamber {
    /// Area of the outlet A_o, m².
    pub outlet_m2: f64,
    /// Slant distance from inlet to outlet s, m.
    pub distance_m: f64,
    /// Angle of that line to the inlet's axis θ, rad.
    pub angle_rad: f64,
    /// Inner area of the chamber A, m².
    pub lined_m2: f64,
}

/// Insertion loss, dB: ΔL = −10 lg[A_o (cos θ/(2π s²) + (1 − α)/(α A))]; minus infinity without absorption.
pub fn insertion_loss_db(chamber: &Chamber, absorption: f64) -> f64 {
    let straight = math::cos(chamber.angle_rad) / (2.0 * math::PI * chamber.distance_m * chamber.distance_m);
    let around = (1.0 - absorption) / (absorption * chamber.lined_m2);
    -math::db_of_energy(chamber.outlet_m2 * (straight + around))
}
