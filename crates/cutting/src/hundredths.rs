//! Lengths as whole hundredths of a millimetre, so that what fits does not hang on rounding.

/// Hundredths of a millimetre in a millimetre.
const PER_MM: f64 = 100.0;
/// Slack of a conversion, in hundredths: far below any saw, far above rounding.
const SLACK: f64 = 1e-4;

/// A length rounded up (a piece, a kerf).
pub(crate) fn up(length_mm: f64) -> i64 {
    (length_mm * PER_MM - SLACK).ceil() as i64
}

/// A length rounded down (stock).
pub(crate) fn down(length_mm: f64) -> i64 {
    (length_mm * PER_MM + SLACK).floor() as i64
}

/// Back to millimetres.
pub(crate) fn mm(hundredths: i64) -> f64 {
    hundredths as f64 / PER_MM
}

/// Costs as whole numbers with the size of one: prices as hundredths of the currency's unit, or sizes as they are.
pub(crate) fn whole_costs(prices: &[Option<f64>], sizes: &[i64]) -> (Vec<i64>, bool) {
    let priced: Option<Vec<i64>> =
        prices.iter().map(|price| price.map(|price| (price * PER_MM).round() as i64)).collect();
    match priced {
        Some(costs) => (costs, true),
        None => (sizes.to_vec(), false),
    }
}
