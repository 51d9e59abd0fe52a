//! The chi-square distribution for whole degrees of freedom, by its finite sums.

use quantities::math;

/// Chance that the sum of `degrees` squared standard normal errors is at least `sum`.
///
/// Q(x; ν) = e^(−x/2) Σₖ (x/2)^k / k!, k = 0 … ν/2 − 1, for even ν; for odd ν
/// erfc(√(x/2)) + e^(−x/2) Σₖ (x/2)^(k−1/2) / Γ(k + 1/2), k = 1 … (ν−1)/2
/// (Abramowitz and Stegun 1964, 26.4.4 and 26.4.5). 1 for no degrees of freedom.
pub(crate) fn chance_of_at_least(sum: f64, degrees: usize) -> f64 {
    if degrees == 0 || sum <= 0.0 {
        return 1.0;
    }
    let half = sum / 2.0;
    let (mut total, mut term, first) = if degrees.is_multiple_of(2) {
        let term = math::exp(-half);
        (term, term, 1)
    } else {
        // The term k = 0 of the odd series, before its first factor is multiplied in.
        let term = math::exp(-half) / (math::PI * half).sqrt();
        (1.0 - math::erf(half.sqrt()), term, 0)
    };
    for k in first..degrees / 2 {
        let divisor = if degrees.is_multiple_of(2) { k as f64 } else { k as f64 + 0.5 };
        term *= half / divisor;
        total += term;
    }
    total.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper percentage points as every table prints them (Abramowitz and Stegun 1964, table 26.8).
    #[test]
    fn tabulated_percentage_points() {
        for (degrees, sum, chance) in [
            (1, 3.84146, 0.05),
            (1, 6.63490, 0.01),
            (2, 9.21034, 0.01),
            (3, 11.3449, 0.01),
            (4, 13.2767, 0.01),
            (5, 15.0863, 0.01),
            (7, 14.0671, 0.05),
            (10, 23.2093, 0.01),
            (30, 50.8922, 0.01),
        ] {
            assert!((chance_of_at_least(sum, degrees) - chance).abs() < 2e-6, "{degrees} degrees");
        }
        assert!((chance_of_at_least(0.0, 3) - 1.0).abs() < 1e-15);
        assert!(chance_of_at_least(1e6, 5) >= 0.0);
    }
}
