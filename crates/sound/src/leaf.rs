//! A leaf ready for computing: mass, stiffness, losses.

use quantities::{air, math};

use crate::{
    element::{Bond, Element, Leaf, LeafKind, Mounting, Sheet},
    family::FamilyParameters,
    iso_12354_1_2017::{self, Edges, Monolithic},
    lanes::{Complexes, Reals},
};

/// Mean absorption coefficient of the edges of a heavy leaf in a building (ISO 12354-1:2017 Annex C: between 0.05 and 0.5
/// depending on the junctions; a tee junction of equal masses is near 0.15).
const IN_SITU_EDGE_ABSORPTION: f64 = 0.15;
/// Mass the laboratory loss of heavy leaves is stated for, kg/m².
const REFERENCE_MASS_KG_M2: f64 = 300.0;
/// Frequency it is stated for, Hz.
const LABORATORY_REFERENCE_HZ: f64 = 500.0;

/// Most that the edges of a test opening add, −: ISO 12354-1:2017 prints 0.13 for 365 mm of aerated block at 50 Hz, the highest of its examples.
const MOST_EDGE_LOSS: f64 = 0.15;

/// What a leaf does with a pressure difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PreparedLeaf {
    /// Mass, kg/m².
    pub(crate) mass: f64,
    /// Critical frequency in its soft direction, Hz; infinite for a limp leaf.
    pub(crate) fc: f64,
    /// Total loss factor as mounted.
    pub(crate) eta: f64,
    /// Square root of the stiffness along the ribs or the grain over that across, 1 for a leaf without.
    pub(crate) root_ratio: f64,
    /// `f/fc` across the ribs or the grain over that with the stiffness `fc` stands for.
    pub(crate) across: f64,
    /// `4.05 t/cL`, s: how soon shear makes the leaf softer (ISO 12354-1:2017 Annex B, thick elements).
    pub(crate) shear_time: f64,
    /// Specific airflow resistance of a porous leaf, Pa s/m.
    pub(crate) flow_resistance: Option<f64>,
    /// What ISO 12354-1 needs of a masonry leaf.
    pub(crate) masonry: Option<Masonry>,
}

/// A masonry leaf: what ISO 12354-1 needs of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Masonry {
    pub(crate) monolithic: Monolithic,
    pub(crate) internal_loss: f64,
    pub(crate) mounting: MasonryMounting,
}

impl PreparedLeaf {
    pub(crate) fn new(leaf: &Leaf, element: &Element, family: &FamilyParameters) -> Self {
        let mass = leaf.mass_kg_m2();
        let stiffness = bending_stiffness(leaf);
        let internal = internal_loss(leaf);
        let grain = Grain::of(leaf);
        let omega_c =
            air::SPEED_OF_SOUND_M_S * air::SPEED_OF_SOUND_M_S * (mass / stiffness.max(1e-12)).sqrt();
        let fc = if matches!(leaf.kind, LeafKind::Limp) { f64::INFINITY } else { omega_c / math::TAU };
        let masonry = matches!(leaf.kind, LeafKind::Masonry).then(|| {
            let thickness = leaf.thickness_m();
            // Longitudinal wave speed of the plate that has this mass and stiffness.
            let speed = (12.0 * stiffness / (thickness * thickness * mass)).sqrt();
            Masonry {
                monolithic: Monolithic {
                    width_m: element.width_m,
                    height_m: element.height_m,
                    mass_kg_m2: mass,
                    critical_frequency_hz: iso_12354_1_2017::critical_frequency_hz(speed, thickness),
                    longitudinal_impedance_kg_m2_s: mass / thickness * speed,
                },
                internal_loss: internal,
                mounting: match element.mounting {
                    Mounting::Laboratory => MasonryMounting::Laboratory {
                        edge_loss: family.masonry_edge_loss
                            * math::powf(mass / REFERENCE_MASS_KG_M2, -family.masonry_edge_power),
                    },
                    Mounting::InSitu => MasonryMounting::InSitu(Edges::InSitu {
                        absorption_length_m: 2.0
                            * (element.width_m + element.height_m)
                            * IN_SITU_EDGE_ABSORPTION,
                    }),
                },
            }
        });
        Self {
            mass,
            fc,
            eta: if masonry.is_some() { internal } else { internal + family.mounting_loss },
            root_ratio: grain.root_ratio,
            across: grain.across,
            shear_time: shear_time(leaf),
            flow_resistance: if let LeafKind::Porous { flow_resistance_pa_s_m } = leaf.kind {
                Some(flow_resistance_pa_s_m)
            } else {
                None
            },
            masonry,
        }
    }

    /// What free bending waves add below the critical frequency to the τ the forced ones give: they reflect at the edges of an element
    /// `width_m` by `height_m` and radiate there (ISO 12354-1:2017 Annex B). 0 for limp, porous and ribbed leaves.
    pub(crate) fn resonant(&self, width_m: f64, height_m: f64, frequency_hz: f64) -> f64 {
        if !self.fc.is_finite() || self.flow_resistance.is_some() || frequency_hz >= self.fc {
            return 0.0;
        }
        let plate = Monolithic {
            width_m,
            height_m,
            mass_kg_m2: self.mass,
            critical_frequency_hz: self.fc,
            longitudinal_impedance_kg_m2_s: 0.0,
        };
        let radiated = 2.0 * air::IMPEDANCE_PA_S_M * plate.free_radiation_factor(frequency_hz)
            / (math::TAU * frequency_hz * self.mass);
        let eta = self.loss_factor(frequency_hz) + radiated;
        let near = frequency_hz / self.fc;
        plate.resonant_transmission(eta, frequency_hz) * (1.0 - near * near)
    }

    /// Loss factor at a frequency: that of masonry depends on it.
    pub(crate) fn loss_factor(&self, frequency_hz: f64) -> f64 {
        self.masonry.map_or(self.eta, |masonry| masonry.total_loss_factor(frequency_hz))
    }

    /// Impedance per area to waves whose traces along the leaf have these `sin² θ`, Pa s/m:
    /// `Z = jωm [1 − (f/fc)² (1 + jη) sin⁴ θ]` (Cremer 1942); a porous leaf lets air past it.
    #[inline(always)]
    pub(crate) fn impedances(&self, at: LeafAt, sin_squared: Reals) -> Complexes {
        let bending = sin_squared * sin_squared * at.ratio_squared;
        let solid = Complexes {
            re: bending * (at.omega_mass * at.eta),
            im: (Reals::all(1.0) - bending) * at.omega_mass,
        };
        match self.flow_resistance {
            None => solid,
            Some(resistance) => solid * resistance * (solid + Reals::all(resistance)).inverse(),
        }
    }

    /// What of the impedance does not depend on the angle, for a leaf alike in all directions.
    pub(crate) fn at(&self, frequency_hz: f64) -> LeafAt {
        let slow = self.shear_time * frequency_hz;
        let shear = slow + (1.0 + slow * slow).sqrt();
        let ratio = frequency_hz / (self.fc * shear);
        LeafAt {
            omega_mass: math::TAU * frequency_hz * self.mass,
            ratio,
            ratio_squared: ratio * ratio,
            eta: self.loss_factor(frequency_hz),
        }
    }

    /// The same in a direction: `azimuth` is the squared cosine of the angle to the ribs.
    pub(crate) fn facing(&self, at: LeafAt, azimuth: f64) -> LeafAt {
        let direction = self.across * (azimuth * self.root_ratio + 1.0 - azimuth);
        let ratio = at.ratio * direction;
        LeafAt { ratio_squared: ratio * ratio, ..at }
    }

    /// Critical frequencies along and across ribs or grain, the lower first, Hz.
    pub(crate) fn critical_range_hz(&self) -> (f64, f64) {
        (self.fc / (self.across * self.root_ratio), self.fc / self.across)
    }

    /// Whether Annex B gives its τ whole.
    pub(crate) fn by_annex_b(&self) -> bool {
        self.masonry.is_some_and(|masonry| matches!(masonry.mounting, MasonryMounting::InSitu(_)))
    }

    /// Bending stiffness over mass, B/m, m⁴/s²: `(c0²/ωc)²`.
    pub(crate) fn stiffness_over_mass(&self) -> f64 {
        let root = air::SPEED_OF_SOUND_M_S * air::SPEED_OF_SOUND_M_S / (math::TAU * self.fc);
        root * root
    }
}

impl Masonry {
    /// Total loss factor. In a building by Annex C; in a test opening by the loss fitted on published walls, because the
    /// `m'/(485 √f)` of Annex C made 300 kg/m² and more 10 dB better than measured, and 100 kg/m² 10 dB worse.
    fn total_loss_factor(&self, frequency_hz: f64) -> f64 {
        match self.mounting {
            MasonryMounting::Laboratory { edge_loss } => {
                let edges = edge_loss * LABORATORY_REFERENCE_HZ / frequency_hz;
                self.internal_loss + edges.min(MOST_EDGE_LOSS)
            }
            MasonryMounting::InSitu(edges) => {
                self.monolithic.total_loss_factor(self.internal_loss, edges, frequency_hz)
            }
        }
    }

    /// R by Annex B in the band of a nominal frequency, dB; none in a laboratory, where the layers do better.
    pub(crate) fn annex_b_db(&self, nominal_hz: f64) -> Option<f64> {
        match self.mounting {
            MasonryMounting::Laboratory { .. } => None,
            MasonryMounting::InSitu(_) => {
                Some(self.monolithic.reduction_index_db(self.total_loss_factor(nominal_hz), nominal_hz))
            }
        }
    }
}

/// How a heavy leaf loses energy at its edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum MasonryMounting {
    /// In a test opening: loss factor at 500 Hz, falling as 1/f.
    Laboratory {
        /// At 500 Hz.
        edge_loss: f64,
    },
    /// In a building.
    InSitu(Edges),
}

/// A leaf at one frequency and azimuth.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct LeafAt {
    pub(crate) omega_mass: f64,
    /// `f/fc` alike in all directions.
    ratio: f64,
    /// `(f/fc)²`.
    pub(crate) ratio_squared: f64,
    pub(crate) eta: f64,
}

/// How a leaf bends in different directions: `B(φ) = (√B_along cos² φ + √B_across sin² φ)²`.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Grain {
    /// `√(B_along/B_across)`.
    root_ratio: f64,
    /// `√(B_across/B)` with B the stiffness the critical frequency is stated for.
    across: f64,
}

impl Grain {
    /// Of ribs, whose plain sheet is the stiffness across them, and of the grain of the sheets, whose stiffness is the geometric mean;
    /// sheets lie with their grain in line.
    fn of(leaf: &Leaf) -> Self {
        if let LeafKind::Orthotropic { stiffness_ratio } = leaf.kind {
            return Self { root_ratio: stiffness_ratio.sqrt(), across: 1.0 };
        }
        let (mut along, mut across, mut mean) = (0.0, 0.0, 0.0);
        for sheet in &leaf.sheets {
            let (own, root) = (sheet_stiffness(sheet), sheet.along_over_across.max(1e-6).sqrt());
            along += own * root;
            across += own / root;
            mean += own;
        }
        let ratio = |of: f64, over: f64| if over > 0.0 { (of / over).sqrt() } else { 1.0 };
        Self { root_ratio: ratio(along, across), across: ratio(across, mean) }
    }
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

/// `4.05 t/cL`, s: the mean over the sheets by their bending stiffness (a felt on a board has no say), of the whole thickness where they are glued.
fn shear_time(leaf: &Leaf) -> f64 {
    let glued = leaf.bond == Bond::Glued;
    let total = leaf.thickness_m();
    let (mut weighted, mut stiffness) = (0.0, 0.0);
    for sheet in &leaf.sheets {
        let plate = sheet.youngs_modulus_pa / (sheet.density_kg_m3 * (1.0 - sheet.poisson * sheet.poisson));
        let thickness = if glued { total } else { sheet.thickness_m };
        let own = sheet_stiffness(sheet).max(1e-12);
        weighted += own * 4.05 * thickness / plate.sqrt().max(1.0);
        stiffness += own;
    }
    weighted / stiffness.max(1e-12)
}
