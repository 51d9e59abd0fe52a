//! Finding the wrong reading: W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands Geodetic
//! Commission, Publications on Geodesy 2 (5), Delft 1968.

/// Standardised residual above which a reading is suspected: a sound one gets there once in a thousand
/// (two-sided normal, α₀ = 0.001).
pub const CRITICAL_STANDARDISED_RESIDUAL: f64 = 3.29;
/// Shift of the standardised residual that is noticed four times in five at α₀ = 0.001: δ₀ = 3.29 + 0.84.
pub const NON_CENTRALITY: f64 = 4.13;
/// Redundancy below which nothing checks a reading.
pub(crate) const LEAST_REDUNDANCY: f64 = 1e-6;
/// How much better one reading must explain the disagreement than another to be told from it, as the difference
/// of their squared standardised residuals: odds of 20 to 1, 2 ln 20.
pub(crate) const TOLD_APART: f64 = 5.99;

/// Standardised residual w = v / (σ √r); `None` when nothing checks the reading.
pub(crate) fn standardised_residual(residual_mm: f64, sd_mm: f64, redundancy: f64) -> Option<f64> {
    (redundancy > LEAST_REDUNDANCY).then(|| residual_mm / (sd_mm * redundancy.sqrt()))
}

/// Smallest error that is noticed four times in five, ∇₀ = δ₀ σ / √r, mm.
pub(crate) fn least_findable_mm(sd_mm: f64, redundancy: f64) -> Option<f64> {
    (redundancy > LEAST_REDUNDANCY).then(|| NON_CENTRALITY * sd_mm / redundancy.sqrt())
}

/// What the other readings say this one should have been, mm: l + v / r, the value that leaves it no say.
pub(crate) fn should_be_mm(reading_mm: f64, residual_mm: f64, redundancy: f64) -> f64 {
    reading_mm + residual_mm / redundancy
}

/// A reading that may be wrong and those that explain the disagreement nearly as well.
pub(crate) struct Snooped {
    pub(crate) sight: usize,
    pub(crate) standardised: f64,
    pub(crate) rivals: Vec<usize>,
}

/// The reading with the largest standardised residual, if it is beyond the critical value.
pub(crate) fn snoop(standardised: &[Option<f64>]) -> Option<Snooped> {
    let mut order: Vec<(usize, f64)> =
        standardised.iter().enumerate().filter_map(|(at, w)| w.map(|w| (at, w))).collect();
    order.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()).then(a.0.cmp(&b.0)));
    let &(sight, top) = order.first()?;
    if top.abs() <= CRITICAL_STANDARDISED_RESIDUAL {
        return None;
    }
    let rivals =
        order.iter().skip(1).filter(|(_, w)| top * top - w * w < TOLD_APART).map(|(at, _)| *at).collect();
    Some(Snooped { sight, standardised: top, rivals })
}
