//! How far a prediction moves with what varies from one delivery and one site to the next.
//!
//! A fixed low-discrepancy sample (a Kronecker lattice of the square roots of primes) over densities, stiffnesses, loss
//! factors, flow resistivities, bridge stiffnesses and leak widths, each with its own normal or log-normal spread: the
//! same element always gives the same answer.

use bands::{
    BAND_COUNT, Band, Spectrum,
    iso_717_1_2020::{Precision, weigh_third_octaves},
};
use quantities::math;
use rayon::prelude::*;

use crate::{
    element::{Bond, BridgeKind, Element, Part},
    error::ElementError,
    family::FamilyParameters,
    prepared::{AirModel, Prepared},
};

/// Builds that are tried. 64 against 1024 moves the percentiles by less than 0.3 dB.
pub const SAMPLE_COUNT: usize = 64;
/// Place of the 10th percentile among the sorted samples.
const TENTH: usize = SAMPLE_COUNT / 10;

/// Distances from the nominal prediction to the 10th and 90th percentile of the sample, dB, all ≥ 0.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    pub(crate) below: Spectrum,
    pub(crate) above: Spectrum,
    pub(crate) rw_below: f64,
    pub(crate) rw_above: f64,
}

impl Spread {
    pub(crate) const NONE: Self = Self {
        below: Spectrum::from_values([0.0; BAND_COUNT]),
        above: Spectrum::from_values([0.0; BAND_COUNT]),
        rw_below: 0.0,
        rw_above: 0.0,
    };
}

/// How far one element's prediction moves: by the sample, or not at all where the element was measured.
///
/// # Errors
/// As [`crate::predict()`].
pub fn spread(element: &Element) -> Result<Spread, ElementError> {
    if element.measured.is_some() { Ok(Spread::NONE) } else { sample(element) }
}

/// Predicts the sample of one element.
fn sample(element: &Element) -> Result<Spread, ElementError> {
    let nominal = Prepared::new(element)?.transmission().reduction_index();
    // Only Rw is asked of every draw; all the ratings together would take most of the time.
    let rw = |r: &Spectrum| {
        weigh_third_octaves(|band| Some(r.get(band)), Precision::Tenth)
            .map_or(0.0, |weighted| weighted.value_db)
    };
    let nominal_rw = rw(&nominal);
    // In their order, so that of several that cannot be built always the same is told.
    let built: Vec<Result<Spectrum, ElementError>> =
        (0..SAMPLE_COUNT).into_par_iter().map(|build| sampled_reduction_index(element, build)).collect();
    let builds = built.into_iter().collect::<Result<Vec<Spectrum>, ElementError>>()?;
    let percentiles = |mut values: Vec<f64>, middle: f64| {
        values.sort_by(f64::total_cmp);
        let low = values.get(TENTH).copied().unwrap_or(middle);
        let high = values.get(SAMPLE_COUNT - 1 - TENTH).copied().unwrap_or(middle);
        ((middle - low).max(0.0), (high - middle).max(0.0))
    };
    let mut spread = Spread::NONE;
    for band in Band::all() {
        let values = builds.iter().map(|r| r.get(band)).collect();
        let (below, above) = percentiles(values, nominal.get(band));
        spread.below.set(band, below);
        spread.above.set(band, above);
    }
    (spread.rw_below, spread.rw_above) = percentiles(builds.iter().map(rw).collect(), nominal_rw);
    Ok(spread)
}

/// R of one build of the sample: the element with every value moved by its own spread. The same `build` gives the same
/// moves, so a room can draw all its elements together.
pub fn sampled_reduction_index(element: &Element, build: usize) -> Result<Spectrum, ElementError> {
    let mut moved = element.clone();
    let mut draw = Draw { build, dimension: 0 };
    for part in &mut moved.parts {
        match part {
            Part::Leaf(leaf) => {
                // Sheets of a leaf come from one delivery.
                let (density, stiffness, loss) = (draw.normal(), draw.normal(), draw.normal());
                for sheet in &mut leaf.sheets {
                    sheet.density_kg_m3 *= factor(density, sheet.spreads.density);
                    sheet.youngs_modulus_pa *= factor(stiffness, sheet.spreads.youngs_modulus);
                    sheet.loss_factor =
                        (sheet.loss_factor * factor(loss, sheet.spreads.loss_factor)).min(1.0);
                }
                if let Bond::Damped { loss_factor } = &mut leaf.bond {
                    *loss_factor = (*loss_factor * factor(loss, 0.3)).min(1.0);
                }
            }
            Part::Cavity(cavity) => {
                let resistivity = draw.normal();
                for fill in &mut cavity.fills {
                    fill.flow_resistivity_pa_s_m2 *= factor(resistivity, fill.flow_resistivity_spread);
                }
            }
        }
    }
    for bridge in &mut moved.bridges {
        let stiffness = factor(draw.normal(), bridge.stiffness_spread);
        match &mut bridge.kind {
            BridgeKind::Clip { stiffness_n_m, .. } | BridgeKind::Tie { stiffness_n_m, .. } => {
                *stiffness_n_m *= stiffness;
            }
            BridgeKind::CommonFrame { stiffness_n_m2, .. } => *stiffness_n_m2 *= stiffness,
            BridgeKind::SteelStud { compliance_m2_n: Some(compliance), .. } => *compliance /= stiffness,
            BridgeKind::SteelStud { steel_thickness_m, .. } => *steel_thickness_m *= stiffness,
            _ => {}
        }
    }
    let leak_factors: Vec<f64> =
        moved.leaks.iter().map(|leak| factor(draw.normal(), leak.size_spread)).collect();
    let prepared = Prepared::with(&moved, &FamilyParameters::default(), AirModel::default(), &leak_factors)?;
    Ok(prepared.transmission().reduction_index())
}

/// Log-normal factor of a relative spread, never below a fifth or above five.
fn factor(normal: f64, spread: f64) -> f64 {
    math::exp((normal * spread.max(0.0)).clamp(-1.609, 1.609))
}

struct Draw {
    build: usize,
    dimension: usize,
}

/// Square roots of the first primes: their multiples fill the unit interval evenly and independently of each other.
const PRIMES: [f64; 32] = [
    2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0, 43.0, 47.0, 53.0, 59.0, 61.0,
    67.0, 71.0, 73.0, 79.0, 83.0, 89.0, 97.0, 101.0, 103.0, 107.0, 109.0, 113.0, 127.0, 131.0,
];

impl Draw {
    /// The next standard normal value of this build.
    fn normal(&mut self) -> f64 {
        let prime = PRIMES.get(self.dimension % PRIMES.len()).copied().unwrap_or(2.0);
        // Past the list the same roots come again, shifted by a third.
        let shift = (self.dimension / PRIMES.len()) as f64 / 3.0;
        self.dimension += 1;
        let turn = (self.build as f64 + 0.5) * prime.sqrt() + shift;
        normal_quantile(turn - turn.floor())
    }
}

/// Quantile of the standard normal distribution, by Acklam's rational approximation (relative error below 1.2e−9).
fn normal_quantile(share: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969683028665376e+01,
        2.209460984245205e+02,
        -2.759285104469687e+02,
        1.383_577_518_672_69e2,
        -3.066479806614716e+01,
        2.506628277459239e+00,
    ];
    const B: [f64; 5] = [
        -5.447609879822406e+01,
        1.615858368580409e+02,
        -1.556989798598866e+02,
        6.680131188771972e+01,
        -1.328068155288572e+01,
    ];
    const C: [f64; 6] = [
        -7.784894002430293e-03,
        -3.223964580411365e-01,
        -2.400758277161838e+00,
        -2.549732539343734e+00,
        4.374664141464968e+00,
        2.938163982698783e+00,
    ];
    const D: [f64; 4] =
        [7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00, 3.754408661907416e+00];
    let horner = |coefficients: &[f64], x: f64| coefficients.iter().fold(0.0, |sum, c| sum * x + c);
    let p = share.clamp(1e-9, 1.0 - 1e-9);
    let tail = |q: f64| horner(&C, q) / (horner(&D, q) * q + 1.0);
    if p < 0.02425 {
        tail((-2.0 * math::ln(p)).sqrt())
    } else if p > 1.0 - 0.02425 {
        -tail((-2.0 * math::ln(1.0 - p)).sqrt())
    } else {
        let q = p - 0.5;
        let r = q * q;
        horner(&A, r) * q / (horner(&B, r) * r + 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_the_normal_distribution() {
        for (share, value) in
            [(0.5, 0.0), (0.9, 1.281_551_565_5), (0.1, -1.281_551_565_5), (0.99, 2.326_347_874)]
        {
            assert!((normal_quantile(share) - value).abs() < 1e-8);
        }
    }

    #[test]
    fn draws_have_mean_zero_and_spread_one() {
        for dimension in [0, 7, 31, 40] {
            let values: Vec<f64> =
                (0..SAMPLE_COUNT).map(|build| Draw { build, dimension }.normal()).collect();
            let mean = values.iter().sum::<f64>() / SAMPLE_COUNT as f64;
            let square = values.iter().map(|v| v * v).sum::<f64>() / SAMPLE_COUNT as f64;
            assert!(mean.abs() < 0.13 && (square - 1.0).abs() < 0.2, "{dimension}: {mean} {square}");
        }
    }
}
