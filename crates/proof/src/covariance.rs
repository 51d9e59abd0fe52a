//! Normal distributions of many bands at once: a covariance matrix factored, and what it makes likely.

use quantities::math;

/// Least variance of a value, dB²: nothing measured or predicted is surer than 0.1 dB.
pub(crate) const LEAST_VARIANCE: f64 = 0.01;

/// A symmetric positive definite matrix as its lower factor `Σ = L Lᵀ`, row by row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Factored {
    size: usize,
    lower: Vec<f64>,
}

impl Factored {
    /// Factors a covariance matrix given by its entries; the least variance is added on the diagonal.
    pub(crate) fn new(size: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let mut lower = vec![0.0; size * size];
        for row in 0..size {
            for column in 0..=row {
                let (before, this) = lower.split_at_mut(row * size);
                let dot: f64 = if column < row {
                    let other = before.get(column * size..column * size + column).unwrap_or_default();
                    this.iter().zip(other).map(|(a, b)| a * b).sum()
                } else {
                    this.iter().take(column).map(|a| a * a).sum()
                };
                let rest = entry(row, column) - dot;
                let value = if column < row {
                    let pivot = before.get(column * size + column).copied().unwrap_or(1.0);
                    rest / pivot
                } else {
                    (rest + LEAST_VARIANCE).max(LEAST_VARIANCE).sqrt()
                };
                if let Some(slot) = this.get_mut(column) {
                    *slot = value;
                }
            }
        }
        Self { size, lower }
    }

    /// `L⁻¹ r`: residuals turned into independent ones of variance one.
    pub(crate) fn whitened(&self, residuals: &[f64]) -> Vec<f64> {
        let mut out: Vec<f64> = Vec::with_capacity(self.size);
        for (row, residual) in residuals.iter().enumerate().take(self.size) {
            let line = self.lower.get(row * self.size..row * self.size + row + 1).unwrap_or_default();
            let dot: f64 = line.iter().zip(&out).map(|(a, b)| a * b).sum();
            out.push((residual - dot) / line.last().copied().unwrap_or(1.0));
        }
        out
    }

    /// Squared distance `rᵀ Σ⁻¹ r`.
    pub(crate) fn square_distance(&self, residuals: &[f64]) -> f64 {
        self.whitened(residuals).iter().map(|value| value * value).sum()
    }

    /// `ln det Σ`.
    pub(crate) fn log_determinant(&self) -> f64 {
        (0..self.size)
            .map(|row| 2.0 * math::ln(self.lower.get(row * self.size + row).copied().unwrap_or(1.0)))
            .sum()
    }
}

/// Logarithm of the share of a standard normal distribution below a value.
pub(crate) fn log_normal_share(value: f64) -> f64 {
    if value < -6.0 {
        // Mills' ratio, good to a few per cent there.
        return -0.5 * value * value - math::ln(-value) - 0.5 * math::ln(math::TAU);
    }
    math::ln((0.5 * (1.0 + math::erf(value * std::f64::consts::FRAC_1_SQRT_2))).max(1e-300))
}

/// Share of a chi-square distribution above a value (Wilson and Hilferty 1931).
pub(crate) fn chi_square_above(value: f64, freedom: f64) -> f64 {
    if freedom < 1.0 {
        return 1.0;
    }
    let spread = (2.0 / (9.0 * freedom)).sqrt();
    let z = (math::cbrt((value / freedom).max(0.0)) - (1.0 - 2.0 / (9.0 * freedom))) / spread;
    0.5 * (1.0 - math::erf(z * std::f64::consts::FRAC_1_SQRT_2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 2 × 2 matrix by hand: Σ = [[4, 2], [2, 3]], det 8, Σ⁻¹ = [[3, −2], [−2, 4]]/8; r = (1, 2) gives (3 − 8 + 16)/8 = 1.375.
    #[test]
    fn two_by_two_by_hand() {
        let matrix = [[4.0 - LEAST_VARIANCE, 2.0], [2.0, 3.0 - LEAST_VARIANCE]];
        let factored = Factored::new(2, |a, b| matrix[a][b]);
        assert!((factored.square_distance(&[1.0, 2.0]) - 1.375).abs() < 1e-12);
        assert!((factored.log_determinant() - math::ln(8.0)).abs() < 1e-12);
    }

    #[test]
    fn tails_of_the_normal_and_chi_square_distributions() {
        assert!((log_normal_share(0.0) - math::ln(0.5)).abs() < 1e-12);
        assert!((log_normal_share(-5.999) - log_normal_share(-6.001)).abs() < 0.06);
        assert!(log_normal_share(-1e3).is_finite());
        // 5 % points of tables: 18.31 at 10, 37.57 at 25.
        assert!((chi_square_above(18.31, 10.0) - 0.05).abs() < 0.002);
        assert!((chi_square_above(37.65, 25.0) - 0.05).abs() < 0.002);
    }
}
