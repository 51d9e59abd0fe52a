//! A cavity ready for computing: its spring, its fibre, what its edges take from waves that run along it.

use num_complex::Complex64;
use quantities::{
    air::{DENSITY_KG_M3, IMPEDANCE_PA_S_M, SPEED_OF_SOUND_M_S, STATIC_PRESSURE_PA},
    math,
};

use crate::{
    element::{Cavity, Element, Part},
    family::FamilyParameters,
    lanes::{Complexes, Reals, principal_root},
    miki_1990,
};

/// Layers a cavity may hold besides air.
pub(crate) const MOST_FILLS: usize = 4;
/// Free area of the openings of a vented cavity over its face: 25 mm slots at two sides 4 m apart (common practice).
const VENT_SHARE: f64 = 0.0125;
/// Absorption coefficient of an empty cavity related to its face (Davy 2010).
const EMPTY_ABSORPTION: f64 = 0.1;
/// Most that a wave along an empty cavity can lose in a radian; past it the edges cannot be told from an open end.
const MOST_LATERAL_LOSS: f64 = 1.0;

/// A layer deeper than this, in nepers, would overflow long after it lets nothing through.
const MOST_NEPERS: f64 = 40.0;

/// Least fibre that damps all that runs along a cavity, m and share of its depth: the thinnest, and the least of a cavity's depth, that
/// the published cases hold (25 mm in 70 mm, 90 mm in 330 mm). Below them it is taken to damp in proportion.
const LEAST_FIBRE_M: f64 = 0.025;
const LEAST_FIBRE_SHARE: f64 = 0.25;

/// For an element with less fibre in a cavity than that: the share of the sound that meets no fibre, and the element with those
/// cavities empty.
pub(crate) fn thinly_filled(element: &Element) -> Option<(f64, Element)> {
    let enough = |cavity: &Cavity| {
        let fibre_m: f64 = cavity
            .fills
            .iter()
            .filter(|fill| fill.dynamic_stiffness_n_m3.is_none())
            .map(|fill| fill.thickness_m)
            .sum();
        if fibre_m > 0.0 {
            (fibre_m / LEAST_FIBRE_M).min(fibre_m / (LEAST_FIBRE_SHARE * cavity.depth_m)).min(1.0)
        } else {
            1.0
        }
    };
    let least = element.cavities().map(enough).fold(1.0, f64::min);
    if least >= 1.0 {
        return None;
    }
    let mut unfilled = element.clone();
    for part in &mut unfilled.parts {
        if let Part::Cavity(cavity) = part
            && enough(cavity) < 1.0
        {
            cavity.fills.retain(|fill| fill.dynamic_stiffness_n_m3.is_some());
        }
    }
    Some((1.0 - least, unfilled))
}

/// A cavity between two leaves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PreparedCavity {
    depth: f64,
    fills: [FillLayer; MOST_FILLS],
    fill_count: usize,
    /// Thickness of stiff foam in it, m, and how far it gives, m³/N: a spring in series with the air and fibre beside it.
    stiff_depth: f64,
    stiff_compliance: f64,
    /// Stiffness that acts beside the air, N/m³.
    added_stiffness: f64,
    spring_loss: f64,
    lateral: Lateral,
    /// First frequency at which a wave fits across a bay between studs, Hz; 0 where none divide the cavity.
    across_bay_hz: f64,
    vented: bool,
}

#[derive(Clone, Copy, Debug, Default)]
struct FillLayer {
    thickness: f64,
    flow_resistivity: f64,
    density: f64,
}

/// What a wave along an empty cavity loses.
#[derive(Clone, Copy, Debug)]
enum Lateral {
    /// Studs, close together: a loss factor.
    Studs(f64),
    /// Reveals or battens round the whole element: absorption coefficient times length of edge over area, 1/m.
    Reveals(f64),
}

/// A cavity at one frequency.
#[derive(Clone, Copy, Debug)]
pub(crate) enum CavityAt {
    /// Fibre anywhere in it damps what runs along it, so it answers each spot on its own, and one transfer matrix serves all
    /// angles.
    Local(Transfer),
    /// Empty: waves run along it in step with the incident wave, `k_z = k0 √(1 − jη − sin² θ)`.
    Oblique {
        /// `k0` over the stiffening, 1/m.
        wave_number: Complex64,
        /// `ρ0c0` times the stiffening, Pa s/m.
        impedance: Complex64,
        /// Depth, m.
        depth: f64,
        /// Loss factor η of waves along it.
        loss: f64,
        /// How far waves run across the bays between studs too, 0 not to 1 freely.
        across_bays: f64,
        /// Share of `sin² θ` that waves along it can follow.
        follows: f64,
        /// Velocity that stiff foam in it gives way by, over the pressure, m/(Pa s).
        gives: Complex64,
    },
}

/// Pressure and velocity on the outer side of a layer from those on the inner: `[a b; c d]`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Transfer {
    pub(crate) a: Complex64,
    pub(crate) b: Complex64,
    pub(crate) c: Complex64,
    pub(crate) d: Complex64,
}

/// Several of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Transfers {
    pub(crate) a: Complexes,
    pub(crate) b: Complexes,
    pub(crate) c: Complexes,
    pub(crate) d: Complexes,
}

impl Transfers {
    pub(crate) const NONE: Self = Self::all(Transfer::NONE);

    /// The same for all angles.
    #[inline(always)]
    const fn all(one: Transfer) -> Self {
        Self {
            a: Complexes::all(one.a),
            b: Complexes::all(one.b),
            c: Complexes::all(one.c),
            d: Complexes::all(one.d),
        }
    }

    /// Layers of a fluid for waves that cross it under these cosines, its impedance and wave number those across it: see
    /// [`Transfer::layer`].
    #[inline(always)]
    fn layers((wave_number, impedance): (Complex64, Complex64), cosine: Complexes, thickness: f64) -> Self {
        let kd = Complexes::all(wave_number * thickness) * cosine;
        let kd = Complexes { im: kd.im.map(|im| im.clamp(-MOST_NEPERS, MOST_NEPERS)), ..kd };
        let (sin, cos) = kd.sin_cos();
        let j_sin = sin.times_j();
        Self {
            a: cos,
            b: Complexes::all(impedance) * cosine.inverse() * j_sin,
            c: Complexes::all(impedance.inv()) * cosine * j_sin,
            d: cos,
        }
    }

    /// These and, on their inner side, a spring: see [`Transfer::spring`].
    #[inline(always)]
    fn then_springs(self, gives: Complex64) -> Self {
        let gives = Complexes::all(gives);
        Self { a: self.a + self.b * gives, c: self.c + self.d * gives, ..self }
    }
}

impl PreparedCavity {
    /// `edge_per_area` is the length of edge over area (1/m) where no studs divide the cavity, none where they do; `bay_m` the width of
    /// the closed bays between studs.
    pub(crate) fn new(
        cavity: &Cavity,
        edge_per_area: Option<f64>,
        bay_m: Option<f64>,
        added_stiffness: f64,
        family: &FamilyParameters,
    ) -> Self {
        let mut fills = [FillLayer::default(); MOST_FILLS];
        let mut fill_count = 0;
        let soft = || cavity.fills.iter().filter(|fill| fill.dynamic_stiffness_n_m3.is_none());
        let stiff =
            || cavity.fills.iter().filter_map(|fill| Some((fill.thickness_m, fill.dynamic_stiffness_n_m3?)));
        for (slot, fill) in fills.iter_mut().zip(soft()) {
            *slot = FillLayer {
                thickness: fill.thickness_m,
                flow_resistivity: fill.flow_resistivity_pa_s_m2,
                density: fill.density_kg_m3,
            };
            fill_count += 1;
        }
        Self {
            depth: cavity.depth_m,
            fills,
            fill_count,
            stiff_depth: stiff().map(|(thickness, _)| thickness).sum(),
            stiff_compliance: stiff().map(|(_, stiffness)| 1.0 / stiffness.max(1.0)).sum(),
            added_stiffness,
            spring_loss: if fill_count == 0 { family.empty_spring_loss } else { family.filled_spring_loss },
            lateral: match edge_per_area {
                Some(per_area) => {
                    Lateral::Reveals(cavity.edge_absorption.unwrap_or(family.reveal_absorption) * per_area)
                }
                None => Lateral::Studs(family.stud_cavity_loss),
            },
            across_bay_hz: bay_m.map_or(0.0, |bay| SPEED_OF_SOUND_M_S / (2.0 * bay)),
            vented: cavity.vented,
        }
    }

    fn fills(&self) -> &[FillLayer] {
        self.fills.get(..self.fill_count).unwrap_or(&[])
    }

    fn filled_depth(&self) -> f64 {
        self.fills().iter().map(|fill| fill.thickness).sum()
    }

    /// Depth that neither fibre nor foam takes, m.
    fn air_depth(&self) -> f64 {
        (self.depth - self.filled_depth() - self.stiff_depth).max(0.0)
    }

    /// Stiffness of the air spring with all that acts beside it, at low frequency, N/m³: air in fibre is compressed isothermally.
    pub(crate) fn stiffness(&self) -> f64 {
        let filled = self.filled_depth();
        let compliance = self.air_depth() / (DENSITY_KG_M3 * SPEED_OF_SOUND_M_S * SPEED_OF_SOUND_M_S)
            + filled / STATIC_PRESSURE_PA
            + self.stiff_compliance;
        1.0 / compliance.max(1e-12) + self.added_stiffness
    }

    /// The cavity at a frequency, for waves along its studs.
    pub(crate) fn at(&self, frequency_hz: f64) -> CavityAt {
        let k0 = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
        // Springs beside the air, and its own loss, act while the cavity is shallow against the wave.
        let kd = k0 * self.depth;
        let shallow = 1.0 / (1.0 + kd * kd);
        let air_spring = DENSITY_KG_M3 * SPEED_OF_SOUND_M_S * SPEED_OF_SOUND_M_S / self.depth;
        let stiffening = 1.0 + self.added_stiffness / air_spring * shallow;
        let root = principal_root(Complex64::new(stiffening, stiffening * self.spring_loss * shallow));
        let omega = math::TAU * frequency_hz;
        let gives =
            Complex64::new(0.0, omega * self.stiff_compliance) / Complex64::new(1.0, self.spring_loss);
        if self.fill_count == 0 {
            let loss = match self.lateral {
                Lateral::Studs(loss) => loss,
                // What a wave along the cavity loses in a radian where its edges absorb: c0 α U/(4 ω S).
                Lateral::Reveals(absorption) => absorption / (4.0 * k0),
            };
            return CavityAt::Oblique {
                wave_number: k0 / root,
                impedance: IMPEDANCE_PA_S_M * root,
                depth: self.air_depth(),
                gives,
                loss: loss.min(MOST_LATERAL_LOSS),
                across_bays: {
                    let ratio = frequency_hz / self.across_bay_hz.max(1e-9);
                    let fourth = (ratio * ratio * ratio * ratio).min(1e12);
                    fourth / (1.0 + fourth)
                },
                follows: 1.0,
            };
        }
        let mut transfer = Transfer::NONE;
        for fill in self.fills() {
            let (z, k) = miki_1990::limp_fibre(frequency_hz, fill.flow_resistivity, fill.density);
            transfer = transfer.then(Transfer::layer(z * root, k / root, fill.thickness));
        }
        let air = self.air_depth();
        if air > 1e-6 {
            transfer = transfer.then(Transfer::layer(IMPEDANCE_PA_S_M * root, k0 / root, air));
        }
        CavityAt::Local(transfer.then(Transfer::spring(gives)))
    }

    /// Clear depth, m.
    pub(crate) fn depth(&self) -> f64 {
        self.depth
    }

    /// Share of the face that is open to the outside.
    pub(crate) fn vent_share(&self) -> f64 {
        if self.vented { VENT_SHARE } else { 0.0 }
    }

    /// Absorption coefficient of the cavity related to its face, as Sharp's and Davy's models were published with: 1 with
    /// fibre, 0.1 without, or what its lined edges bring if that is more; open vents take all.
    pub(crate) fn absorption(&self) -> f64 {
        if self.vented || self.fill_count > 0 {
            return 1.0;
        }
        match self.lateral {
            Lateral::Studs(_) => EMPTY_ABSORPTION,
            Lateral::Reveals(absorption) => (absorption * self.depth).clamp(EMPTY_ABSORPTION, 1.0),
        }
    }

    /// Whether nothing in it takes sound out.
    pub(crate) fn is_empty(&self) -> bool {
        self.fill_count == 0
    }
}

impl CavityAt {
    /// No cavity: an array's empty place.
    pub(crate) const NONE: Self = Self::Local(Transfer::NONE);

    /// The same for another direction: `azimuth` is the squared cosine of the angle between studs and incident wave. Below the first
    /// frequency at which half a wave fits between two studs, waves run along the bays but not across them.
    pub(crate) fn facing(self, azimuth: f64) -> Self {
        match self {
            Self::Oblique { wave_number, impedance, depth, loss, across_bays, gives, .. } => {
                let follows = azimuth + (1.0 - azimuth) * across_bays;
                Self::Oblique { wave_number, impedance, depth, loss, across_bays, follows, gives }
            }
            local @ Self::Local(_) => local,
        }
    }

    /// Whether its transfer matrix depends on the angle.
    #[inline(always)]
    pub(crate) fn is_oblique(&self) -> bool {
        matches!(self, Self::Oblique { .. })
    }

    /// Transfer matrices for waves whose traces have these `sin² θ`.
    #[inline(always)]
    pub(crate) fn transfers(&self, sin_squared: Reals) -> Transfers {
        match *self {
            Self::Local(transfer) => Transfers::all(transfer),
            Self::Oblique { wave_number, impedance, depth, loss, follows, gives, .. } => {
                let along = sin_squared * follows;
                let cosine = Complexes { re: Reals::all(1.0) - along, im: Reals::all(-loss) };
                let cosine = Complexes { re: cosine.re.map(|re| re.max(0.0)), ..cosine }.root_of_right_half();
                let air = Transfers::layers((wave_number, impedance), cosine, depth);
                if gives.im > 0.0 { air.then_springs(gives) } else { air }
            }
        }
    }
}

impl Transfer {
    pub(crate) const NONE: Self = Self {
        a: Complex64::new(1.0, 0.0),
        b: Complex64::new(0.0, 0.0),
        c: Complex64::new(0.0, 0.0),
        d: Complex64::new(1.0, 0.0),
    };

    /// A fluid layer: `[cos kd, jZ sin kd; (j/Z) sin kd, cos kd]` (Allard and Atalla, *Propagation of Sound in Porous Media*,
    /// 2nd ed., ch. 11).
    fn layer(z: Complex64, k: Complex64, thickness: f64) -> Self {
        let kd = k * thickness;
        let kd = Complex64::new(kd.re, kd.im.clamp(-MOST_NEPERS, MOST_NEPERS));
        let (sin_re, cos_re) = math::sin_cos(kd.re);
        let grow = math::exp(kd.im);
        let shrink = 1.0 / grow;
        let (sinh, cosh) = (0.5 * (grow - shrink), 0.5 * (grow + shrink));
        let sin = Complex64::new(sin_re * cosh, cos_re * sinh);
        let cos = Complex64::new(cos_re * cosh, -sin_re * sinh);
        let j_sin = Complex64::new(-sin.im, sin.re);
        Self { a: cos, b: z * j_sin, c: j_sin / z, d: cos }
    }

    /// A spring without mass: both sides have one pressure, and their velocities differ by what it gives.
    fn spring(gives: Complex64) -> Self {
        Self { c: gives, ..Self::NONE }
    }

    fn then(self, inner: Self) -> Self {
        Self {
            a: self.a * inner.a + self.b * inner.c,
            b: self.a * inner.b + self.b * inner.d,
            c: self.c * inner.a + self.d * inner.c,
            d: self.c * inner.b + self.d * inner.d,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A layer split in two is the same layer.
    #[test]
    fn layers_join() {
        let (z, k) = (Complex64::new(600.0, -250.0), Complex64::new(12.0, -6.0));
        let whole = Transfer::layer(z, k, 0.1);
        let joined = Transfer::layer(z, k, 0.03).then(Transfer::layer(z, k, 0.07));
        for (a, b) in [(whole.a, joined.a), (whole.b, joined.b), (whole.c, joined.c), (whole.d, joined.d)] {
            assert!((a - b).norm() < 1e-9 * a.norm());
        }
    }
}
