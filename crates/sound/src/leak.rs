//! Joints, holes and seals: what goes straight through with the air.

use bands::{Band, Spectrum};
use num_complex::Complex64;
use quantities::{air::IMPEDANCE_PA_S_M, math};

use crate::{
    element::{Element, Leak, LeakKind, SealClass, SealGap},
    gomperts_1964, miki_1990, wilson_soroka_1965,
};

/// Reference area of element-normalised level differences, m² (ISO 10140-2).
const DEVICE_REFERENCE_AREA_M2: f64 = 10.0;
/// Flow resistance of a rebate over ρ0c0: it takes the resonance out of the gap, which no measured door shows.
const REBATE_RESISTANCE: f64 = 0.1;
/// Depth of the joint a seal closes, m: the thickness of a usual leaf or sash.
const SEAL_DEPTH_M: f64 = 0.04;
/// Frequency above which a brush or lip across the gap adds its own mass to what must be moved, Hz (fitted on the sealed doors of
/// Bies, 5th ed., Table 7.6, and Rossing, Table 11.4, which gain 8 to 15 dB at 4 kHz over an open slit).
const LIP_HZ: f64 = 4000.0;

impl SealClass {
    /// What it leaves open.
    pub fn gap(self) -> SealGap {
        let width_m = match self {
            Self::None => 0.001_2,
            Self::Brush => 0.000_9,
            Self::Compression => 0.000_5,
            Self::DoubleCompression => 0.000_1,
        };
        SealGap { width_m, depth_m: SEAL_DEPTH_M, lip: self != Self::None }
    }
}

/// τ of all leaks that go straight through, together, related to the area of the element, per band. `size_factors` multiply width or area.
pub(crate) fn transmission(element: &Element, size_factors: &[f64]) -> Option<Spectrum> {
    let single = element.leaves().nth(1).is_none();
    together(element, size_factors, |leak| leak.leaf.is_none() || single)
}

/// τ of what leaks through one leaf of several into the cavity beside it, related to the area of the element.
pub(crate) fn through_leaf(element: &Element, size_factors: &[f64], place: usize) -> Option<Spectrum> {
    element.leaves().nth(1)?;
    together(element, size_factors, |leak| leak.leaf == Some(place))
}

fn together(
    element: &Element,
    size_factors: &[f64],
    counts: impl Fn(&Leak) -> bool + Copy,
) -> Option<Spectrum> {
    element.leaks.iter().any(counts).then(|| {
        Spectrum::from_fn(|band| {
            element
                .leaks
                .iter()
                .enumerate()
                .filter(|(_, leak)| counts(leak))
                .map(|(place, leak)| {
                    one(leak, size_factors.get(place).copied().unwrap_or(1.0), element.area_m2(), band)
                })
                .sum()
        })
    })
}

/// τ of one leak related to the area of the element.
fn one(leak: &Leak, factor: f64, area_m2: f64, band: Band) -> f64 {
    match &leak.kind {
        LeakKind::Slit { length_m, width_m, depth_m, filling_pa_s_m2, at_edge } => {
            let width = width_m * factor;
            let open =
                average(band, |f| gomperts_1964::viscous_slit_transmission(f, width, *depth_m, *at_edge));
            let tau = filling_pa_s_m2.map_or(open, |sigma| open.min(filled(band, sigma, *depth_m)));
            tau * length_m * width / area_m2
        }
        LeakKind::Hole { diameter_m, depth_m, count, filling_pa_s_m2 } => {
            let diameter = diameter_m * factor.sqrt();
            let open = average(band, |f| wilson_soroka_1965::hole_transmission(f, diameter, *depth_m));
            let tau = filling_pa_s_m2.map_or(open, |sigma| open.min(filled(band, sigma, *depth_m)));
            tau * count * 0.25 * math::PI * diameter * diameter / area_m2
        }
        LeakKind::Seal { length_m, gap } => seal_transmission(band, *length_m, *gap, factor) / area_m2,
        LeakKind::Device { dn_e_db, count } => {
            count * DEVICE_REFERENCE_AREA_M2 / area_m2 * math::energy_of_db(-dn_e_db.get(band)) * factor
        }
        LeakKind::Panel { area_m2: own, mass_kg_m2, count } => {
            panel(band, *mass_kg_m2) * count * own * factor / area_m2
        }
        LeakKind::Pores { flow_resistivity_pa_s_m2, depth_m } => {
            filled(band, (flow_resistivity_pa_s_m2 / factor).max(50.0), *depth_m)
        }
    }
}

/// τ of a small limp cover at normal incidence, `1/|1 + jωm/(2ρ0c0)|²`: small against the wave, it knows no angles.
fn panel(band: Band, mass_kg_m2: f64) -> f64 {
    let reactance = math::PI * band.centre_hz() * mass_kg_m2 / IMPEDANCE_PA_S_M;
    1.0 / (1.0 + reactance * reactance)
}

/// Area-weighted τ of a residual gap in a rebate, m²: a slit with the resistance of two bends in its way, and a lip across it.
fn seal_transmission(band: Band, length_m: f64, gap: SealGap, factor: f64) -> f64 {
    let width_m = gap.width_m * factor;
    let tau = average(band, |f| {
        gomperts_1964::resisted_slit_transmission(
            f,
            gomperts_1964::Slit {
                width_m,
                depth_m: gap.depth_m,
                at_edge: true,
                resistance: REBATE_RESISTANCE,
            },
        )
    });
    let above = if gap.lip { band.centre_hz() / LIP_HZ } else { 0.0 };
    tau * length_m * width_m / (1.0 + above * above)
}

/// Mean over the band at five frequencies.
fn average(band: Band, tau: impl Fn(f64) -> f64) -> f64 {
    let steps = [-0.04, -0.02, 0.0, 0.02, 0.04];
    steps.iter().map(|step| tau(band.centre_hz() * math::powf(10.0, *step))).sum::<f64>() / steps.len() as f64
}

/// τ of a plug of fibre or open foam at normal incidence, from its own area to its own area (a fluid layer between two
/// half spaces; the frame at rest).
fn filled(band: Band, flow_resistivity: f64, depth_m: f64) -> f64 {
    let f = band.centre_hz();
    let (z, k) = miki_1990::relative_impedance_and_wave_number(f, flow_resistivity);
    let kd = k * (math::TAU * f / quantities::air::SPEED_OF_SOUND_M_S * depth_m);
    // Past 17 nepers (150 dB) nothing is left to compute.
    let attenuation = (-kd.im).min(17.0);
    let (sin_re, cos_re) = math::sin_cos(kd.re);
    let (grow, shrink) = (math::exp(attenuation), math::exp(-attenuation));
    let (sinh, cosh) = (0.5 * (grow - shrink), 0.5 * (grow + shrink));
    let sin = Complex64::new(sin_re * cosh, -cos_re * sinh);
    let cos = Complex64::new(cos_re * cosh, sin_re * sinh);
    let j = Complex64::new(0.0, 1.0);
    let total = 2.0 * cos + j * sin * (z + 1.0 / z);
    4.0 / total.norm_sqr()
}

#[cfg(test)]
#[allow(clippy::panic, reason = "a test")]
mod tests {
    use super::*;

    /// Pores let low frequencies through as their resistance says, `(1 + R/(2ρ0c0))^−2`, and less and less of the high ones.
    #[test]
    fn pores_are_a_resistance_at_low_frequencies() {
        let at = |hz: f64| {
            let band = Band::from_nominal_hz(hz).unwrap_or_else(|| panic!("{hz} Hz is a band"));
            filled(band, 20_000.0, 0.05)
        };
        let resistance = 1.0 + 1000.0 / (2.0 * IMPEDANCE_PA_S_M);
        let expected = -math::db_of_energy(1.0 / (resistance * resistance));
        // Miki's fit is a little off the resistance it starts from at the lowest frequencies.
        assert!(
            (-math::db_of_energy(at(25.0)) - expected).abs() < 1.5,
            "{} {expected}",
            -math::db_of_energy(at(25.0))
        );
        assert!(at(100.0) > at(1000.0) && at(1000.0) > 2.0 * at(4000.0));
    }

    /// A cover follows the mass law at normal incidence, `20 lg(π f m/ρ0c0)`: 10.9 kg/m² at 500 Hz 32.3 dB (Bies, 5th ed., Sharp's design points);
    /// without mass it lets everything through.
    #[test]
    fn covers_follow_the_mass_law() {
        let band = Band::from_nominal_hz(500.0).unwrap_or_else(|| panic!("500 Hz is a band"));
        let r = -math::db_of_energy(panel(band, 10.9));
        let law = 20.0 * math::log10(math::PI * band.centre_hz() * 10.9 / IMPEDANCE_PA_S_M);
        assert!((r - law).abs() < 0.01 && (r - 32.3).abs() < 0.2, "{r} {law}");
        assert!(panel(band, 0.0) > 0.999);
    }
}
