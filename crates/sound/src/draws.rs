//! The fixed errors every level at a receiver is drawn with, for choosing among build-ups by the same draws.

use bands::Band;
use quantities::math;

use crate::lanes::{LANES, Reals};

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

/// What comes through of `common`, one for each draw, where the errors of a kind in a band are taken from an insulation that is 0 dB at its
/// median.
pub fn through(kind: usize, band: Band, below_and_above_db: (f64, f64), common: &[f64]) -> Vec<f64> {
    let errors = errors(kind, band);
    let mut passed = Vec::with_capacity(common.len());
    for (errors, common) in errors.chunks(LANES).zip(common.chunks(LANES)) {
        let mut lanes = Reals::all(0.0);
        for (lane, &error) in lanes.0.iter_mut().zip(errors) {
            *lane = -scaled(error, below_and_above_db) * (math::LN_10 / 10.0);
        }
        passed.extend(common.iter().zip(lanes.exp().0).map(|(common, factor)| common * factor));
    }
    passed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_taken_from_an_insulation_let_more_or_less_through() {
        let common: Vec<f64> = (0..DRAWS).map(|draw| 1.0 + draw as f64).collect();
        let band = Band::all().nth(7).unwrap();
        let passed = through(FIRST_GROUP, band, (2.0, 1.5), &common);
        assert_eq!(passed.len(), DRAWS);
        for ((passed, common), error) in passed.iter().zip(&common).zip(errors(FIRST_GROUP, band)) {
            let exact = common * math::energy_of_db(-scaled(*error, (2.0, 1.5)));
            assert!((passed / exact - 1.0).abs() < 1e-14, "{passed} {exact}");
        }
    }
}
