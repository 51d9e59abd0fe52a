//! A cavity ready for computing: its spring, its fibre, what its edges absorb.

use num_complex::Complex64;
use quantities::{
    air::{DENSITY_KG_M3, IMPEDANCE_PA_S_M, SPEED_OF_SOUND_M_S},
    math,
};

use crate::{element::Cavity, family::FamilyParameters, miki_1990};

/// Layers a cavity may hold besides air.
const MOST_FILLS: usize = 4;
/// Free area of the openings of a vented cavity over its face: 25 mm slots at two sides 4 m apart (common practice).
const VENT_SHARE: f64 = 0.0125;

/// A cavity between two leaves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PreparedCavity {
    pub(crate) depth: f64,
    /// Thickness (m), flow resistivity (Pa s/m²), density (kg/m³) of each fill.
    fills: [(f64, f64, f64); MOST_FILLS],
    fill_count: usize,
    /// Stiffness that acts beside the air, N/m³.
    pub(crate) added_stiffness: f64,
    spring_loss: f64,
    /// Absorption coefficient of the empty cavity related to its face.
    empty_absorption: f64,
    pub(crate) vented: bool,
}

/// Pressure and velocity on the outer side from those on the inner: `[a b; c a']`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Transfer {
    pub(crate) a: Complex64,
    pub(crate) b: Complex64,
    pub(crate) c: Complex64,
    pub(crate) d: Complex64,
}

/// A cavity at one frequency.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CavityAt {
    pub(crate) transfer: Transfer,
    /// Absorption of the cavity field related to its face; above 1 for deep fibre.
    pub(crate) absorption: f64,
}

impl PreparedCavity {
    /// `edge_per_area` is the length of edge a square metre, 1/m.
    pub(crate) fn new(
        cavity: &Cavity,
        edge_per_area: f64,
        added_stiffness: f64,
        family: &FamilyParameters,
    ) -> Self {
        let mut fills = [(0.0, 0.0, 0.0); MOST_FILLS];
        let soft = cavity.fills.iter().filter(|f| f.thickness_m > 0.0);
        let mut fill_count = 0;
        for (slot, fill) in fills.iter_mut().zip(soft) {
            *slot = (fill.thickness_m, fill.flow_resistivity_pa_s_m2, fill.density_kg_m3);
            fill_count += 1;
        }
        let filled: f64 = fills.iter().map(|f| f.0).sum::<f64>() / cavity.depth_m;
        let edge = cavity.edge_absorption.unwrap_or(family.edge_absorption);
        Self {
            depth: cavity.depth_m,
            fills,
            fill_count,
            added_stiffness: added_stiffness
                + cavity.fills.iter().filter_map(|f| f.dynamic_stiffness_n_m3).sum::<f64>(),
            spring_loss: family.empty_spring_loss
                + filled.min(1.0) * (family.filled_spring_loss - family.empty_spring_loss),
            empty_absorption: family.leaf_absorption + edge * edge_per_area * cavity.depth_m,
            vented: cavity.vented,
        }
    }

    fn fills(&self) -> &[(f64, f64, f64)] {
        self.fills.get(..self.fill_count).unwrap_or(&[])
    }

    /// Stiffness of the air spring with all that acts beside it, at low frequency, N/m³.
    pub(crate) fn stiffness(&self) -> f64 {
        let filled: f64 = self.fills().iter().map(|f| f.0).sum();
        // Air in fibre is compressed isothermally.
        let compliance = (self.depth - filled) / (DENSITY_KG_M3 * SPEED_OF_SOUND_M_S * SPEED_OF_SOUND_M_S)
            + filled / 101_325.0;
        1.0 / compliance.max(1e-12) + self.added_stiffness
    }

    /// The cavity at a frequency. The field in it is taken as locally reacting: studs and edges keep waves from running
    /// along it in step with the incident wave, and what does run along it is the reverberant path.
    pub(crate) fn at(&self, frequency_hz: f64) -> CavityAt {
        let k0 = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
        let mut filled = 0.0;
        let mut fibre_absorption = 0.0;
        let mut layers = [(Complex64::new(0.0, 0.0), Complex64::new(0.0, 0.0), 0.0); MOST_FILLS];
        for (slot, &(thickness, resistivity, density)) in layers.iter_mut().zip(self.fills()) {
            let (z, k) = miki_1990::limp_fibre(frequency_hz, resistivity, density);
            *slot = (z, k, thickness);
            filled += thickness;
            fibre_absorption += -8.0 * k.im * thickness;
        }
        let absorption = self.empty_absorption + fibre_absorption;
        let air = self.depth - filled;
        // Springs beside the air act while the cavity is shallow against the wave.
        let shallow = {
            let kd = k0 * self.depth;
            1.0 / (1.0 + kd * kd)
        };
        let spring = DENSITY_KG_M3 * SPEED_OF_SOUND_M_S * SPEED_OF_SOUND_M_S / self.depth;
        let stiffening = 1.0 + self.added_stiffness / spring * shallow;
        let bulk = (Complex64::new(stiffening, stiffening * self.spring_loss * shallow)).sqrt();
        let lateral = self.empty_absorption / (8.0 * k0.max(1e-9) * self.depth) * 2.0;
        let mut transfer = Transfer {
            a: Complex64::new(1.0, 0.0),
            b: Complex64::new(0.0, 0.0),
            c: Complex64::new(0.0, 0.0),
            d: Complex64::new(1.0, 0.0),
        };
        for &(z, k, thickness) in layers.get(..self.fill_count).unwrap_or(&[]) {
            transfer = transfer.then(Transfer::layer(z * bulk, k / bulk, thickness));
        }
        if air > 1e-6 {
            let loss = Complex64::new(1.0, -lateral.min(0.5) / 2.0);
            let z = IMPEDANCE_PA_S_M * bulk;
            transfer = transfer.then(Transfer::layer(z, k0 * loss / bulk, air));
        }
        CavityAt { transfer, absorption: absorption + if self.vented { VENT_SHARE } else { 0.0 } }
    }

    /// Share of the face that is open to the outside.
    pub(crate) fn vent_share(&self) -> f64 {
        if self.vented { VENT_SHARE } else { 0.0 }
    }
}

impl Transfer {
    /// A fluid layer at normal incidence: `[cos kd, jZ sin kd; (j/Z) sin kd, cos kd]`.
    fn layer(z: Complex64, k: Complex64, thickness: f64) -> Self {
        // e^±jkd of fibre deeper than a few attenuation lengths would overflow long before it could matter.
        let kd = k * thickness;
        let kd = Complex64::new(kd.re, kd.im.clamp(-40.0, 40.0));
        let (sin_re, cos_re) = math::sin_cos(kd.re);
        let grow = math::exp(kd.im);
        let shrink = 1.0 / grow;
        let (sinh, cosh) = (0.5 * (grow - shrink), 0.5 * (grow + shrink));
        let sin = Complex64::new(sin_re * cosh, cos_re * sinh);
        let cos = Complex64::new(cos_re * cosh, -sin_re * sinh);
        let j = Complex64::new(0.0, 1.0);
        Self { a: cos, b: j * z * sin, c: j * sin / z, d: cos }
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

impl CavityAt {
    /// No cavity: an array's empty place.
    pub(crate) const NONE: Self = Self {
        transfer: Transfer {
            a: Complex64::new(1.0, 0.0),
            b: Complex64::new(0.0, 0.0),
            c: Complex64::new(0.0, 0.0),
            d: Complex64::new(1.0, 0.0),
        },
        absorption: 1.0,
    };
}
