//! The fixed errors every level at a receiver is drawn with, for choosing among build-ups by the same draws.

use bands::Band;
use quantities::math;

use crate::ranged::RangedSpectrum;

/// How many draws there are.
pub const DRAWS: usize = crate::latin_hypercube::SAMPLE_SIZE;
/// Kind of the error of the source.
pub const SOURCE: usize = 0;
/// Kind of the error of the way.
pub const WAY: usize = 1;
/// Kind of the error of the first group of parts; the groups follow in the order in which parts are given.
pub const FIRST_GROUP: usize = 2;

/// The standard normal errors of a kind in a band, one for each draw; past the kinds that are told apart an earlier one comes again.
pub fn errors(kind: usize, band: Band) -> &'static [f64] {
    crate::sampled::errors_of(kind).of(band)
}

/// An error scaled by the spread below (for a negative error) or above the median.
pub fn scaled(error: f64, below_and_above_db: (f64, f64)) -> f64 {
    crate::sampled::scaled(error, below_and_above_db)
}

/// `10^(−R/10)` in each band and draw, with the errors of a kind.
pub fn energies(r: &RangedSpectrum, kind: usize) -> Vec<Vec<f64>> {
    Band::all()
        .map(|band| {
            let (median, spread) = (r.median_db().get(band), r.deviations_db(band));
            let each = errors(kind, band).iter();
            each.map(|&error| math::energy_of_db(-median - scaled(error, spread))).collect()
        })
        .collect()
}

/// Adds the product of two energies, weighted, draw by draw.
pub fn add_product(sum: &mut [f64], weight: f64, one: &[f64], other: &[f64]) {
    for ((sum, one), other) in sum.iter_mut().zip(one).zip(other) {
        *sum += weight * one * other;
    }
}
