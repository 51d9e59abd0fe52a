//! What errors drawn in dB make of energies, kept for the receivers and plans that ask for the same again.

use std::sync::{Arc, Mutex, PoisonError};

use bands::{BAND_COUNT, Band};
use quantities::math;

use crate::sampled::{ByBand, by_band, errors_of, scaled};

/// Whether an error makes a level louder or an insulation better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sense {
    Adds,
    Takes,
}

/// Spreads are told apart by so much, dB.
const SPREAD_STEP_DB: f64 = 1e-6;
/// Factors kept, a quarter of a megabyte each.
const FACTORS: usize = 64;

/// Spreads below and above the median, in steps, band by band.
type Spreads = [(i64, i64); BAND_COUNT];
/// What factors hang on.
type Key = (usize, Sense, Spreads);

/// What the errors of a kind make of a unit of energy, given the spread of each band below and above the median.
///
/// The same spreads come again at every receiver and in every plan of a room, so the newest are kept. They depend on nothing else.
pub(crate) fn factors(
    kind: usize,
    sense: Sense,
    exact: bool,
    spread: impl Fn(Band) -> (f64, f64),
) -> Arc<ByBand> {
    static KEPT: Mutex<Vec<(Key, Arc<ByBand>)>> = Mutex::new(Vec::new());
    if exact {
        return Arc::new(std::array::from_fn(|_| vec![1.0]));
    }
    let mut steps: Spreads = [(0, 0); BAND_COUNT];
    for (slot, band) in steps.iter_mut().zip(Band::all()) {
        let (below, above) = spread(band);
        *slot = ((below / SPREAD_STEP_DB).round() as i64, (above / SPREAD_STEP_DB).round() as i64);
    }
    let key = (kind, sense, steps);
    {
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = kept.iter().rposition(|(known, _)| *known == key) {
            // The one used last is forgotten last.
            let used = kept.remove(at);
            let found = Arc::clone(&used.1);
            kept.push(used);
            return found;
        }
    }
    let errors = errors_of(kind);
    let sign = match sense {
        Sense::Adds => 1.0,
        Sense::Takes => -1.0,
    };
    let made: Arc<ByBand> = Arc::new(by_band(|band| {
        let (below, above) = steps[band.index()];
        let spread = (below as f64 * SPREAD_STEP_DB, above as f64 * SPREAD_STEP_DB);
        errors.of(band).iter().map(|&error| math::energy_of_db(sign * scaled(error, spread))).collect()
    }));
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    kept.push((key, Arc::clone(&made)));
    if kept.len() > FACTORS {
        kept.remove(0);
    }
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_are_the_same_whoever_asked_before() {
        let spread = |band: Band| (1.0 + band.index() as f64 / 10.0, 2.0);
        let direct = |band: Band, point: usize| {
            let error = errors_of(5).of(band)[point];
            math::energy_of_db(-scaled(error, spread(band)))
        };
        let first = factors(5, Sense::Takes, false, spread);
        for other in 0..2 * FACTORS {
            let _ = factors(5, Sense::Takes, false, |_| (3.0 + other as f64, 1.0));
        }
        let again = factors(5, Sense::Takes, false, spread);
        assert!(!Arc::ptr_eq(&first, &again), "it should have been forgotten");
        assert_eq!(first, again);
        for (band, point) in Band::all().zip([0, 3, 500, 1017].into_iter().cycle()) {
            let (made, direct) = (first[band.index()][point], direct(band, point));
            assert!((made / direct - 1.0).abs() < 1e-5, "{made} {direct}");
        }
        assert!(factors(0, Sense::Adds, true, |_| (0.0, 0.0)).iter().all(|band| band == &[1.0]));
    }
}
