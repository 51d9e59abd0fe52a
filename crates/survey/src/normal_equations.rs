//! Symmetric positive definite matrices of the size a room has: sums in a fixed order, the same bits everywhere.

/// Relative size below which a pivot counts as nothing: a direction the readings do not fix.
const LEAST_PIVOT: f64 = 1e-9;

/// A square matrix.
#[derive(Clone, Debug)]
pub(crate) struct Square {
    size: usize,
    cells: Vec<f64>,
}

impl Square {
    pub(crate) fn zero(size: usize) -> Self {
        Self { size, cells: vec![0.0; size * size] }
    }

    pub(crate) fn size(&self) -> usize {
        self.size
    }

    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        self.cells[row * self.size + column]
    }

    pub(crate) fn set(&mut self, row: usize, column: usize, value: f64) {
        self.cells[row * self.size + column] = value;
    }

    pub(crate) fn add(&mut self, row: usize, column: usize, value: f64) {
        self.cells[row * self.size + column] += value;
    }

    /// a · M · b.
    pub(crate) fn between(&self, a: &[f64], b: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (row, weight) in a.iter().enumerate() {
            if *weight != 0.0 {
                let along: f64 = b.iter().enumerate().map(|(column, x)| self.at(row, column) * x).sum();
                sum += weight * along;
            }
        }
        sum
    }

    /// M · N for two matrices of one size.
    pub(crate) fn times(&self, other: &Self) -> Self {
        let mut product = Self::zero(self.size);
        for row in 0..self.size {
            for inner in 0..self.size {
                let left = self.at(row, inner);
                if left != 0.0 {
                    for column in 0..self.size {
                        product.add(row, column, left * other.at(inner, column));
                    }
                }
            }
        }
        product
    }

    /// Cholesky factor of the matrix scaled to a diagonal of ones; `None` when it is not positive definite.
    pub(crate) fn factor(&self) -> Option<Factor> {
        let n = self.size;
        let mut scale = Vec::with_capacity(n);
        for at in 0..n {
            let diagonal = self.at(at, at);
            if diagonal <= 0.0 || !diagonal.is_finite() {
                return None;
            }
            scale.push(1.0 / diagonal.sqrt());
        }
        let mut lower = Self::zero(n);
        for row in 0..n {
            for column in 0..=row {
                let mut sum = self.at(row, column) * scale[row] * scale[column];
                let (one, other) = (row * n, column * n);
                for (a, b) in lower.cells[one..one + column].iter().zip(&lower.cells[other..other + column]) {
                    sum -= a * b;
                }
                if row == column {
                    if sum <= LEAST_PIVOT {
                        return None;
                    }
                    lower.set(row, row, sum.sqrt());
                } else {
                    lower.set(row, column, sum / lower.at(column, column));
                }
            }
        }
        Some(Factor { lower, scale })
    }

    /// The inverse; `None` when the matrix is not positive definite.
    pub(crate) fn inverse(&self) -> Option<Self> {
        let factor = self.factor()?;
        let mut inverse = Self::zero(self.size);
        for column in 0..self.size {
            let mut unit = vec![0.0; self.size];
            unit[column] = 1.0;
            for (row, value) in factor.solve(&unit).into_iter().enumerate() {
                inverse.set(row, column, value);
            }
        }
        Some(inverse)
    }
}

/// A Cholesky factor with the scaling of its matrix.
pub(crate) struct Factor {
    lower: Square,
    scale: Vec<f64>,
}

impl Factor {
    /// x of M x = b.
    pub(crate) fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.lower.size;
        let mut x: Vec<f64> = b.iter().zip(&self.scale).map(|(b, s)| b * s).collect();
        for row in 0..n {
            let done: f64 = (0..row).map(|k| self.lower.at(row, k) * x[k]).sum();
            x[row] = (x[row] - done) / self.lower.at(row, row);
        }
        for row in (0..n).rev() {
            let done: f64 = (row + 1..n).map(|k| self.lower.at(k, row) * x[k]).sum();
            x[row] = (x[row] - done) / self.lower.at(row, row);
        }
        x.iter().zip(&self.scale).map(|(x, s)| x * s).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inverse_undoes_its_matrix() {
        let mut m = Square::zero(3);
        for (row, cells) in [[4.0, 1.0, -2.0], [1.0, 3.0, 0.5], [-2.0, 0.5, 5.0]].iter().enumerate() {
            for (column, cell) in cells.iter().enumerate() {
                m.set(row, column, *cell);
            }
        }
        let unit = m.times(&m.inverse().unwrap());
        for row in 0..3 {
            for column in 0..3 {
                let expected = if row == column { 1.0 } else { 0.0 };
                assert!((unit.at(row, column) - expected).abs() < 1e-14);
            }
        }
        m.set(2, 2, 0.0);
        assert!(m.inverse().is_none());
    }
}
