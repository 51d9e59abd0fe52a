//! ISO 9613-2:1996, Attenuation of sound during propagation outdoors, Part 2: general method of calculation.
//!
//! Written for octave bands; a third-octave band takes the ground formula of the octave it lies in and its
//! own wavelength and air absorption.

use bands::Band;
use quantities::math;
use serde::Serialize;

/// Speed of sound for wavelengths, m/s, as the worked cases of ISO/TR 17534-3:2015 use it with nominal
/// frequencies.
pub const SPEED_OF_SOUND_M_S: f64 = 340.0;
/// Largest Dz behind one edge, dB (clause 7.4).
pub const SINGLE_EDGE_CAP_DB: f64 = 20.0;
/// Largest Dz behind two edges, dB (clause 7.4).
pub const DOUBLE_EDGE_CAP_DB: f64 = 25.0;
/// C2 of equation 14, where the reflections from the ground are part of the result.
const C2: f64 = 20.0;
/// Estimated accuracy of an A-weighted level downwind within 1 km, ± dB, mean height of source and receiver
/// up to 5 m (Table 5).
pub const ACCURACY_LOW_DB: f64 = 3.0;
/// The same for a mean height from 5 to 30 m and a distance up to 100 m (Table 5).
pub const ACCURACY_HIGH_NEAR_DB: f64 = 1.0;

/// Geometrical divergence, dB: `Adiv = 20 lg(d/d0) + 11`, d0 = 1 m (equation 7, with its constant as printed;
/// 10 lg 4π is 10.99). `distance_m` above 0.
pub fn divergence_db(distance_m: f64) -> f64 {
    20.0 * math::log10(distance_m) + 11.0
}

/// Heights and ground of one path from a source to a receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundPath {
    /// Height of the source above the ground, m.
    pub source_height_m: f64,
    /// Height of the receiver above the ground, m.
    pub receiver_height_m: f64,
    /// Distance seen on plan d_p, m.
    pub plan_distance_m: f64,
    /// Ground factors of the three regions.
    pub ground: GroundFactors,
}

/// Ground factors G, 0 for hard ground (paving, water) to 1 for porous (lawn, earth) (clause 7.3.1).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GroundFactors {
    /// Next to the source, over 30 times its height: Gs.
    pub source: f64,
    /// Between: Gm.
    pub middle: f64,
    /// Next to the receiver, over 30 times its height: Gr.
    pub receiver: f64,
}

impl GroundFactors {
    /// The same ground everywhere.
    pub fn even(ground_factor: f64) -> Self {
        Self { source: ground_factor, middle: ground_factor, receiver: ground_factor }
    }
}

/// Ground attenuation of the general method, dB: `Agr = As + Ar + Am` (equation 9 and Table 3).
///
/// | octave | As or Ar | Am |
/// |---|---|---|
/// | 63 Hz | −1.5 | −3q |
/// | 125 to 1000 Hz | −1.5 + G·a′(h), b′(h), c′(h), d′(h) | −3q(1 − Gm) |
/// | 2000 to 8000 Hz | −1.5 (1 − G) | −3q(1 − Gm) |
///
/// `q = 0` where `dp ≤ 30 (hs + hr)`, else `1 − 30 (hs + hr)/dp`. Bands below the 63 Hz octave take its row.
pub fn ground_attenuation_db(band: Band, path: &GroundPath) -> f64 {
    let GroundPath { source_height_m, receiver_height_m, plan_distance_m, ground } = *path;
    let reach = 30.0 * (source_height_m + receiver_height_m);
    let q = if plan_distance_m <= reach { 0.0 } else { 1.0 - reach / plan_distance_m };
    let middle = if band.index() < FIRST_BAND_OF_125 { -3.0 * q } else { -3.0 * q * (1.0 - ground.middle) };
    let end = |height_m: f64, ground_factor: f64| match band.index() {
        0..FIRST_BAND_OF_125 => -1.5,
        FIRST_BAND_OF_125..FIRST_BAND_OF_2000 => {
            -1.5 + ground_factor * ground_shape(band, height_m, plan_distance_m)
        }
        _ => -1.5 * (1.0 - ground_factor),
    };
    end(source_height_m, ground.source) + end(receiver_height_m, ground.receiver) + middle
}

/// Place of the 100 Hz band, the lowest of the 125 Hz octave.
const FIRST_BAND_OF_125: usize = 6;
/// Place of the 1600 Hz band, the lowest of the 2000 Hz octave.
const FIRST_BAND_OF_2000: usize = 18;

/// a′(h), b′(h), c′(h) or d′(h) of Table 3, dB.
fn ground_shape(band: Band, height_m: f64, plan_distance_m: f64) -> f64 {
    let h2 = height_m * height_m;
    let near = 1.0 - math::exp(-plan_distance_m / 50.0);
    match (band.index() - FIRST_BAND_OF_125) / 3 {
        0 => {
            let far = 1.0 - math::exp(-2.8e-6 * plan_distance_m * plan_distance_m);
            let above = height_m - 5.0;
            1.5 + 3.0 * math::exp(-0.12 * above * above) * near + 5.7 * math::exp(-0.09 * h2) * far
        }
        1 => 1.5 + 8.6 * math::exp(-0.09 * h2) * near,
        2 => 1.5 + 14.0 * math::exp(-0.46 * h2) * near,
        _ => 1.5 + 5.0 * math::exp(-0.9 * h2) * near,
    }
}

/// Ground attenuation of the simple method for A-weighted levels over mostly porous ground, dB:
/// `Agr = 4.8 − (2 hm/d)(17 + 300/d) ≥ 0` (equation 10); it goes with [`solid_angle_index_db`].
pub fn ground_attenuation_simple_db(mean_height_m: f64, distance_m: f64) -> f64 {
    (4.8 - 2.0 * mean_height_m / distance_m * (17.0 + 300.0 / distance_m)).max(0.0)
}

/// Apparent gain by reflections on the ground near the source, dB, for the simple method:
/// `DΩ = 10 lg{1 + [dp² + (hs − hr)²]/[dp² + (hs + hr)²]}` (equation 11).
pub fn solid_angle_index_db(source_height_m: f64, receiver_height_m: f64, plan_distance_m: f64) -> f64 {
    let (below, above) = (source_height_m - receiver_height_m, source_height_m + receiver_height_m);
    let plan = plan_distance_m * plan_distance_m;
    math::db_of_energy(1.0 + (plan + below * below) / (plan + above * above))
}

/// A path over or round edges between a source and a receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiffractedPath {
    /// Straight distance from source to receiver d, m.
    pub direct_m: f64,
    /// Source to the first edge d_ss, m.
    pub source_to_edge_m: f64,
    /// Last edge to the receiver d_sr, m.
    pub edge_to_receiver_m: f64,
    /// First edge to the last e, m; 0 for one edge.
    pub between_edges_m: f64,
    /// Whether the path goes round vertical edges, where weather plays no part (K_met = 1).
    pub round_the_side: bool,
    /// Whether the receiver is seen past the edge: z is then counted negative.
    pub in_sight: bool,
}

impl DiffractedPath {
    /// How much longer the path is than the straight line z, m, negative where the receiver is in sight
    /// (equations 16 and 17 with the lengths measured along the path itself).
    pub fn extra_length_m(&self) -> f64 {
        let along = self.source_to_edge_m + self.between_edges_m + self.edge_to_receiver_m;
        let extra = (along - self.direct_m).max(0.0);
        if self.in_sight { -extra } else { extra }
    }
}

/// Effect of screening, dB: `Dz = 10 lg[3 + (C2/λ) C3 z Kmet]` with C2 = 20 (equation 14), over the top at most 20 dB
/// behind one edge and 25 dB behind two, never below 0. Round the side there is no cap (ISO/TR 17534-3:2015, clause
/// 5, by its worked cases).
///
/// `C3 = 1` for one edge, `[1 + (5λ/e)²]/[⅓ + (5λ/e)²]` for two (equation 15).
/// `Kmet = exp{−(1/2000) √[dss dsr d/(2z)]}` over the top where z > 0, else 1 (equation 18).
pub fn screening_db(wavelength_m: f64, path: &DiffractedPath) -> f64 {
    let z = path.extra_length_m();
    let two_edges = path.between_edges_m > 0.0;
    let c3 = if two_edges {
        let ratio = 5.0 * wavelength_m / path.between_edges_m;
        (1.0 + ratio * ratio) / (1.0 / 3.0 + ratio * ratio)
    } else {
        1.0
    };
    let weather = if z > 0.0 && !path.round_the_side {
        let product = path.source_to_edge_m * path.edge_to_receiver_m * path.direct_m;
        math::exp(-(product / (2.0 * z)).sqrt() / 2000.0)
    } else {
        1.0
    };
    let within = 3.0 + C2 / wavelength_m * c3 * z * weather;
    let cap = match (path.round_the_side, two_edges) {
        (true, _) => f64::INFINITY,
        (false, true) => DOUBLE_EDGE_CAP_DB,
        (false, false) => SINGLE_EDGE_CAP_DB,
    };
    if within <= 1.0 { 0.0 } else { math::db_of_energy(within).min(cap) }
}
