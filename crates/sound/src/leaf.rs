//! A leaf ready for computing: mass, stiffness, losses.

use num_complex::Complex64;
use quantities::{air, math};

use crate::{
    element::{Bond, Element, Leaf, LeafKind, Mounting, Sheet},
    family::FamilyParameters,
    iso_12354_1_2017::{Edges, Monolithic},
};

/// Mean absorption coefficient of the edges of a heavy leaf in a building (ISO 12354-1:2017 Annex C: between 0.05 and 0.5
/// depending on the junctions; a tee junction of equal masses is near 0.15).
const IN_SITU_EDGE_ABSORPTION: f64 = 0.15;

/// What a leaf does with a pressure difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PreparedLeaf {
    /// Mass, kg/m².
    pub(crate) mass: f64,
    /// Critical frequency in its soft direction, Hz; infinite for a limp leaf.
    pub(crate) fc: f64,
    /// Total loss factor as mounted.
    pub(crate) eta: f64,
    /// Square root of the stiffness ratio of an orthotropic leaf, 1 for any other.
    pub(crate) root_ratio: f64,
    /// Specific airflow resistance of a porous leaf, Pa s/m.
    pub(crate) flow_resistance: Option<f64>,
    /// What ISO 12354-1 needs of a masonry leaf.
    pub(crate) masonry: Option<Masonry>,
}

/// A masonry leaf after ISO 12354-1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Masonry {
    pub(crate) monolithic: Monolithic,
    pub(crate) internal_loss: f64,
    pub(crate) edges: Edges,
}

/// How a leaf is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Held {
    /// At its edges only.
    Edges,
    /// Screwed to studs, joists or bars as well.
    Studs,
}

impl PreparedLeaf {
    pub(crate) fn new(leaf: &Leaf, element: &Element, held: Held, family: &FamilyParameters) -> Self {
        let mass = leaf.mass_kg_m2();
        let stiffness = bending_stiffness(leaf);
        let internal = internal_loss(leaf);
        let omega_c =
            air::SPEED_OF_SOUND_M_S * air::SPEED_OF_SOUND_M_S * (mass / stiffness.max(1e-12)).sqrt();
        let fc = if matches!(leaf.kind, LeafKind::Limp) { f64::INFINITY } else { omega_c / math::TAU };
        let friction =
            if leaf.sheets.len() > 1 && leaf.bond == Bond::Loose { family.friction_loss } else { 0.0 };
        let fixing = if held == Held::Studs { family.fixing_loss } else { 0.0 };
        let masonry = matches!(leaf.kind, LeafKind::Masonry).then(|| {
            let edges = match element.mounting {
                Mounting::Laboratory => Edges::Laboratory,
                Mounting::InSitu => Edges::InSitu {
                    absorption_length_m: 2.0 * (element.width_m + element.height_m) * IN_SITU_EDGE_ABSORPTION,
                },
            };
            let thickness = leaf.thickness_m();
            // Longitudinal impedance of the plate that has this mass and stiffness.
            let density = mass / thickness;
            let speed = (12.0 * stiffness / (thickness * thickness * mass)).sqrt();
            Masonry {
                monolithic: Monolithic {
                    width_m: element.width_m,
                    height_m: element.height_m,
                    mass_kg_m2: mass,
                    critical_frequency_hz: crate::iso_12354_1_2017::critical_frequency_hz(speed, thickness),
                    longitudinal_impedance_kg_m2_s: density * speed,
                },
                internal_loss: internal,
                edges,
            }
        });
        Self {
            mass,
            fc,
            eta: if masonry.is_some() {
                internal
            } else {
                internal + family.mounting_loss + fixing + friction
            },
            root_ratio: if let LeafKind::Orthotropic { stiffness_ratio } = leaf.kind {
                stiffness_ratio.sqrt()
            } else {
                1.0
            },
            flow_resistance: if let LeafKind::Porous { flow_resistance_pa_s_m } = leaf.kind {
                Some(flow_resistance_pa_s_m)
            } else {
                None
            },
            masonry,
        }
    }

    /// Loss factor at a frequency: that of masonry depends on it.
    pub(crate) fn loss_factor(&self, frequency_hz: f64) -> f64 {
        self.masonry.map_or(self.eta, |masonry| masonry.total_loss_factor(frequency_hz))
    }

    /// Impedance per area to a wave whose trace along the leaf has `sin² θ`, Pa s/m:
    /// `Z = jωm [1 − (f/fc)² (1 + jη) sin⁴ θ]` (Cremer 1942); a porous leaf lets air past it.
    #[inline]
    pub(crate) fn impedance(&self, at: LeafAt, sin_squared: f64) -> Complex64 {
        let bending = at.ratio_squared * sin_squared * sin_squared;
        let solid = Complex64::new(at.omega_mass * bending * at.eta, at.omega_mass * (1.0 - bending));
        match self.flow_resistance {
            None => solid,
            Some(resistance) => solid * resistance / (solid + resistance),
        }
    }

    /// What of the impedance does not depend on the angle; `azimuth` is the squared cosine of the angle to the ribs.
    pub(crate) fn at(&self, frequency_hz: f64, azimuth: f64) -> LeafAt {
        let ratio = frequency_hz / self.fc * (azimuth * self.root_ratio + 1.0 - azimuth);
        LeafAt {
            omega_mass: math::TAU * frequency_hz * self.mass,
            ratio_squared: ratio * ratio,
            eta: self.loss_factor(frequency_hz),
        }
    }

    /// Bending stiffness over mass, B/m, m⁴/s²: `(c0²/ωc)²`.
    pub(crate) fn stiffness_over_mass(&self) -> f64 {
        let root = air::SPEED_OF_SOUND_M_S * air::SPEED_OF_SOUND_M_S / (math::TAU * self.fc);
        root * root
    }
}

impl Masonry {
    pub(crate) fn total_loss_factor(&self, frequency_hz: f64) -> f64 {
        self.monolithic.total_loss_factor(self.internal_loss, self.edges, frequency_hz)
    }

    /// R by Annex B in the band of a nominal frequency, dB.
    pub(crate) fn reduction_index_db(&self, nominal_hz: f64) -> f64 {
        self.monolithic.reduction_index_db(self.total_loss_factor(nominal_hz), nominal_hz)
    }
}

/// A leaf at one frequency and azimuth.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct LeafAt {
    pub(crate) omega_mass: f64,
    /// `(f/fc)²`.
    pub(crate) ratio_squared: f64,
    pub(crate) eta: f64,
}

/// Bending stiffness of a sheet per width, N m: `E t³ / (12 (1 − ν²))`.
fn sheet_stiffness(sheet: &Sheet) -> f64 {
    let t = sheet.thickness_m;
    sheet.youngs_modulus_pa * t * t * t / (12.0 * (1.0 - sheet.poisson * sheet.poisson))
}

/// Bending stiffness of the whole leaf per width, N m: the sum where sheets slip, about the common neutral axis where they
/// are glued.
fn bending_stiffness(leaf: &Leaf) -> f64 {
    let own: f64 = leaf.sheets.iter().map(sheet_stiffness).sum();
    if leaf.bond != Bond::Glued || leaf.sheets.len() < 2 {
        return own;
    }
    let modulus = |sheet: &Sheet| sheet.youngs_modulus_pa / (1.0 - sheet.poisson * sheet.poisson);
    let (mut position, mut first, mut extension) = (0.0, 0.0, 0.0);
    for sheet in &leaf.sheets {
        let weight = modulus(sheet) * sheet.thickness_m;
        first += weight * (position + sheet.thickness_m / 2.0);
        extension += weight;
        position += sheet.thickness_m;
    }
    let axis = first / extension.max(1e-12);
    position = 0.0;
    let mut composite = own;
    for sheet in &leaf.sheets {
        let arm = position + sheet.thickness_m / 2.0 - axis;
        composite += modulus(sheet) * sheet.thickness_m * arm * arm;
        position += sheet.thickness_m;
    }
    composite
}

/// Internal loss factor of the leaf: that of the damping layer, or of the sheets weighted by their stiffness.
fn internal_loss(leaf: &Leaf) -> f64 {
    if let Bond::Damped { loss_factor } = leaf.bond {
        return loss_factor;
    }
    let (mut weighted, mut total) = (0.0, 0.0);
    for sheet in &leaf.sheets {
        let stiffness = sheet_stiffness(sheet).max(1e-12);
        weighted += stiffness * sheet.loss_factor;
        total += stiffness;
    }
    weighted / total.max(1e-12)
}
