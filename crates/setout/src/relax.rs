//! The smallest relaxation: how far a limit must give way until something fits.

/// Steps of the first look between the two ends.
const STEPS: u32 = 20;
/// Fineness of the answer \[mm\].
const FINE_MM: f64 = 0.25;

/// The highest value between `low` and `high`, to the millimetre, at which `works` says yes; none where it says no down to `low`.
///
/// Values are looked at from `high` down in twentieths, then halved between the last no and the first yes: where what works
/// is not one stretch, a higher island narrower than a twentieth may be missed.
pub(crate) fn highest_that_works(low: f64, high: f64, works: impl Fn(f64) -> bool) -> Option<f64> {
    if !(low.is_finite() && high > low) {
        return None;
    }
    let mut no = high;
    let mut yes = None;
    for step in 1..=STEPS {
        let at = high - (high - low) * f64::from(step) / f64::from(STEPS);
        if works(at) {
            yes = Some(at);
            break;
        }
        no = at;
    }
    let mut yes = yes?;
    while no - yes > FINE_MM {
        let middle = f64::midpoint(yes, no);
        if works(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    // A whole number of millimetres, on the side that works.
    let whole = [no.floor(), yes.floor()].into_iter().find(|at| *at >= low && *at < high && works(*at));
    Some(whole.unwrap_or(yes))
}

/// As [`highest_that_works`], upwards: the lowest value that works between `low` and `high`.
pub(crate) fn lowest_that_works(low: f64, high: f64, works: impl Fn(f64) -> bool) -> Option<f64> {
    highest_that_works(-high, -low, |x| works(-x)).map(|x| -x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edge_is_found_to_the_millimetre() {
        assert_eq!(highest_that_works(0.0, 300.0, |x| x <= 217.4), Some(217.0));
        assert_eq!(lowest_that_works(600.0, 1200.0, |x| x >= 655.2), Some(656.0));
        assert_eq!(highest_that_works(0.0, 300.0, |_| false), None);
    }
}
