//! Levels that are exceeded in a part of the time.

use quantities::math;

/// L10, L50 and L90, dB; none where there is nothing, or silence at that place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Percentiles {
    pub(crate) l10: Option<f64>,
    pub(crate) l50: Option<f64>,
    pub(crate) l90: Option<f64>,
}

/// From mean squares of equal steps; between two steps straight over the level.
pub(crate) fn percentiles(mean_squares: impl Iterator<Item = f64>) -> Percentiles {
    let mut sorted: Vec<f64> = mean_squares.collect();
    sorted.sort_by(f64::total_cmp);
    let exceeded = |part: f64| {
        let last = sorted.len().checked_sub(1)?;
        let place = (1.0 - part) * last as f64;
        let (below, above) = (place.floor() as usize, place.ceil() as usize);
        let lower = mean_square_db(*sorted.get(below)?)?;
        let upper = mean_square_db(*sorted.get(above)?)?;
        Some(lower + (place - place.floor()) * (upper - lower))
    };
    Percentiles { l10: exceeded(0.1), l50: exceeded(0.5), l90: exceeded(0.9) }
}

/// Level of a mean square re 1, dB; none for silence.
pub(crate) fn mean_square_db(mean_square: f64) -> Option<f64> {
    (mean_square > 1e-30).then(|| math::db_of_energy(mean_square))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_per_cent_of_the_time_lie_above_l10() {
        let found = percentiles((0..=100).map(|step| math::energy_of_db(f64::from(step))));
        for (level, expected) in [(found.l10, 90.0), (found.l50, 50.0), (found.l90, 10.0)] {
            assert!((level.unwrap() - expected).abs() < 1e-9);
        }
        assert_eq!(percentiles([].into_iter()), Percentiles::default());
        assert_eq!(percentiles([0.0].into_iter()).l50, None);
    }
}
