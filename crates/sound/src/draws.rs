//! The fixed errors every level at a receiver is drawn with, for choosing among build-ups by the same draws.

use bands::Band;

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
