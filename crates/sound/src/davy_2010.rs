//! Davy, "The improvement of a simple theoretical model for the prediction of the sound insulation of double leaf walls",
//! J. Acoust. Soc. Am. 127 (2010) 841–849: the path through studs, and Davy's closed form of the path through the air.

use num_complex::Complex64;
use quantities::{
    air::{DENSITY_KG_M3, SPEED_OF_SOUND_M_S},
    math,
};

/// What a connection joins, at one frequency.
#[derive(Clone, Copy, Debug)]
pub struct Joined {
    /// Mass of the driven leaf, kg/m².
    pub mass_1: f64,
    /// Mass of the radiating leaf, kg/m².
    pub mass_2: f64,
    /// Critical frequency of the driven leaf, Hz.
    pub critical_1: f64,
    /// Critical frequency of the radiating leaf, Hz.
    pub critical_2: f64,
    /// Mean square velocity of the driven leaf over that of a limp one.
    pub drive: f64,
    /// Power radiated by the radiating leaf over that of a limp one under the same force.
    pub radiation: f64,
}

/// A line connection (stud, channel, batten).
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Compliance of a metre, m²/N; complex: the spring has a loss factor.
    pub compliance_m2_n: Complex64,
    /// Mass of a metre of stud that moves with the driven leaf, kg/m.
    pub mass_kg_m: f64,
    /// Lines a metre, 1/b, 1/m.
    pub per_m: f64,
}

/// Transmission coefficient of line connections at spacing b:
/// `τ = 64 ρ0² c0³ D / {[g² + (4 ω^(3/2) m1 m2 c0 C − g)²] b ω²}`, `g = m1 √ωc2 + m2 √ωc1`, C the compliance of a metre of
/// stud (m²/N), with `D` the product of `drive` and `radiation`, which hold what Davy writes as a function of f/fc: the mean
/// square forced velocity of one leaf and the radiation of the other.
///
/// In mobilities of a metre that is `τ = 4 ρ0² c0 D / (b ω³ m1² m2² |Y1 + Y2 + jωC|²)` with
/// `Y_i = (1 − j)/(4 m_i c0 √(ω/ωc_i))` of an endless plate (Cremer, Heckl and Petersson, *Structure-Borne Sound*, 3rd ed., ch. 5).
/// So written, the stud's own mass M slows the driven leaf where they meet: `Y1 + (1 + jωM Y1)(Y2 + jωC)`; with M = 0 it is Davy's
/// form exactly.
pub fn line_transmission(joined: Joined, frequency_hz: f64, line: Line) -> f64 {
    let omega = math::TAU * frequency_hz;
    let (m1, m2, c) = (joined.mass_1, joined.mass_2, SPEED_OF_SOUND_M_S);
    let mobility = |mass: f64, critical_hz: f64| {
        let bending_speed = c * (frequency_hz / critical_hz).sqrt();
        Complex64::new(1.0, -1.0) / (4.0 * mass * bending_speed)
    };
    let (y1, y2) = (mobility(m1, joined.critical_1), mobility(m2, joined.critical_2));
    let behind = y2 + Complex64::new(0.0, omega) * line.compliance_m2_n;
    let total = y1 + (1.0 + Complex64::new(0.0, omega * line.mass_kg_m) * y1) * behind;
    4.0 * DENSITY_KG_M3 * DENSITY_KG_M3 * c * joined.drive * joined.radiation * line.per_m
        / (omega * omega * omega * m1 * m1 * m2 * m2 * total.norm_sqr().max(1e-60))
}

/// Transmission coefficient of point connections (screws, clips, ties), `per_m2` of them:
/// `τ = 4 ρ0² n D / (π ω² m1² m2² |Y1 + Y2 + jωC|²)`, `Y = c0²/(8 m ... ωc)` the point mobility of an endless plate,
/// `Y_i = 1/(8 √(B_i m_i)) = ωc_i/(8 m_i c0²)`; derived as the line is, from the power a point force radiates,
/// `ρ0 F²/(2π c0 m²)` (Cremer, Heckl and Petersson, *Structure-Borne Sound*, 3rd ed., ch. 7).
pub fn point_transmission(joined: Joined, frequency_hz: f64, compliance_m_n: Complex64, per_m2: f64) -> f64 {
    let omega = math::TAU * frequency_hz;
    let (m1, m2, c) = (joined.mass_1, joined.mass_2, SPEED_OF_SOUND_M_S);
    let own = math::TAU * (joined.critical_1 / m1 + joined.critical_2 / m2) / (8.0 * c * c);
    let mobility = own + Complex64::new(0.0, omega) * compliance_m_n;
    4.0 * DENSITY_KG_M3 * DENSITY_KG_M3 * per_m2 * joined.drive * joined.radiation
        / (math::PI * omega * omega * m1 * m1 * m2 * m2 * mobility.norm_sqr().max(1e-60))
}

/// Two leaves and their cavity, for the closed form.
#[derive(Clone, Copy, Debug)]
pub struct AirPath {
    /// Masses of the leaves, kg/m².
    pub masses: (f64, f64),
    /// Mean square velocity of each leaf over that of a limp one, which stands for `(1 − (f/fc)²)^−2`.
    pub drives: (f64, f64),
    /// Mass–air–mass resonance, Hz.
    pub resonance_hz: f64,
    /// Absorption coefficient of the cavity, 0 to 1.
    pub absorption: f64,
    /// Half the mean side of the element, m.
    pub half_side_m: f64,
}

/// Davy's closed form: below two thirds of the resonance the mass law of both leaves together; above the resonance
/// `τ = (1 − x) / [(ā + α a1 a2 x)(ā + α a1 a2)]` with `x = cos² θ_l = max(0.9/(k a), cos² 61°)`,
/// `a_i = ω m_i/(2ρ0c0)` reduced towards coincidence and `ā = (a1 m2/m1 + a2 m1/m2)/2`; between them level over log frequency.
pub fn air_transmission(path: AirPath, frequency_hz: f64) -> f64 {
    let f0 = path.resonance_hz;
    let low = 2.0 * f0 / 3.0;
    if frequency_hz <= low {
        return below_resonance(path, frequency_hz);
    }
    if frequency_hz >= f0 {
        return above_resonance(path, frequency_hz);
    }
    let share = math::ln(frequency_hz / low) / math::ln(1.5);
    let (from, to) = (math::ln(below_resonance(path, low)), math::ln(above_resonance(path, f0)));
    math::exp(from + share * (to - from))
}

/// `cos² θ_l`.
fn limiting_cosine_squared(path: AirPath, frequency_hz: f64) -> f64 {
    let ka = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S * path.half_side_m;
    (0.9 / ka).clamp(0.235, 1.0 - 1e-3)
}

fn below_resonance(path: AirPath, frequency_hz: f64) -> f64 {
    let x = limiting_cosine_squared(path, frequency_hz);
    let a = math::PI * frequency_hz * (path.masses.0 + path.masses.1) / (DENSITY_KG_M3 * SPEED_OF_SOUND_M_S);
    let a2 = a * a;
    math::ln((1.0 + a2) / (1.0 + a2 * x)) / a2
}

fn above_resonance(path: AirPath, frequency_hz: f64) -> f64 {
    let x = limiting_cosine_squared(path, frequency_hz);
    let scale = math::PI * frequency_hz / (DENSITY_KG_M3 * SPEED_OF_SOUND_M_S);
    let (m1, m2) = path.masses;
    let a1 = scale * m1 / path.drives.0.max(1e-12).sqrt();
    let a2 = scale * m2 / path.drives.1.max(1e-12).sqrt();
    let mean = 0.5 * (a1 * m2 / m1 + a2 * m1 / m2);
    let product = path.absorption * a1 * a2;
    (1.0 - x) / ((mean + product * x) * (mean + product))
}
