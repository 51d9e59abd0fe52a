//! A linear programme whose columns come one by one: the least Σ c x with A x = b, x ≥ 0, by the revised simplex method with the
//! inverse of the basis at hand.
//!
//! Small and own because it must give the prices of the rows (the dual values), by which new columns are found; what is built on
//! its floating point numbers is proved again in whole ones.

/// A column: its cost and its entries by row.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    pub(crate) cost: f64,
    pub(crate) entries: Vec<(usize, f64)>,
}

/// The programme with its basis.
pub(crate) struct Programme {
    wanted: Vec<f64>,
    columns: Vec<Column>,
    /// The column that stands in each row, and its value.
    basis: Vec<usize>,
    value: Vec<f64>,
    in_basis: Vec<bool>,
    /// Row by row.
    inverse: Vec<f64>,
    pivots: usize,
}

/// A reduced cost or an entry below this is taken for nothing.
const NOTHING: f64 = 1e-9;
/// Pivots after which the inverse is worked out anew.
const PIVOTS_UNTIL_ANEW: usize = 100;
/// Pivots without gain after which the first column that gains is taken, which cannot go round in circles (Bland).
const PIVOTS_WITHOUT_GAIN: usize = 40;

impl Programme {
    /// A programme of rows `wanted` (none below 0), each with a column of its own of the cost given and entry 1: the first basis.
    pub(crate) fn new(wanted: Vec<f64>, costs: &[f64]) -> Self {
        let rows = wanted.len();
        let columns =
            costs.iter().enumerate().map(|(row, &cost)| Column { cost, entries: vec![(row, 1.0)] }).collect();
        let mut inverse = vec![0.0; rows * rows];
        for row in 0..rows {
            inverse[row * rows + row] = 1.0;
        }
        Self {
            value: wanted.clone(),
            wanted,
            columns,
            basis: (0..rows).collect(),
            in_basis: vec![true; rows],
            inverse,
            pivots: 0,
        }
    }

    /// Adds a column and gives its number.
    pub(crate) fn add(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.in_basis.push(false);
        self.columns.len() - 1
    }

    /// Improves until no column at hand gains any more, or so many pivots are done.
    pub(crate) fn settle(&mut self, most_pivots: usize) {
        let mut without_gain = 0;
        for _ in 0..most_pivots {
            let prices = self.prices();
            let first = without_gain >= PIVOTS_WITHOUT_GAIN;
            let Some(entering) = self.entering(&prices, first) else { return };
            let Some(step) = self.pivot(entering, first) else { return };
            without_gain = if step > NOTHING { 0 } else { without_gain + 1 };
        }
    }

    /// What a unit of each row costs at the margin.
    pub(crate) fn prices(&self) -> Vec<f64> {
        let rows = self.wanted.len();
        let mut prices = vec![0.0; rows];
        for (row, &column) in self.basis.iter().enumerate() {
            let cost = self.columns[column].cost;
            if cost != 0.0 {
                for (price, entry) in prices.iter_mut().zip(&self.inverse[row * rows..(row + 1) * rows]) {
                    *price += cost * entry;
                }
            }
        }
        prices
    }

    /// Columns above nothing and how much of each.
    pub(crate) fn solution(&self) -> Vec<(usize, f64)> {
        let mut used: Vec<(usize, f64)> = self
            .basis
            .iter()
            .copied()
            .zip(self.value.iter().copied())
            .filter(|(_, x)| *x > NOTHING)
            .collect();
        used.sort_by_key(|(column, _)| *column);
        used
    }

    /// Cost of the solution.
    pub(crate) fn cost(&self) -> f64 {
        self.basis.iter().zip(&self.value).map(|(&column, x)| self.columns[column].cost * x).sum()
    }

    fn entering(&self, prices: &[f64], first: bool) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (at, column) in self.columns.iter().enumerate() {
            if self.in_basis[at] {
                continue;
            }
            let gain =
                column.entries.iter().map(|&(row, entry)| prices[row] * entry).sum::<f64>() - column.cost;
            if gain > NOTHING && best.is_none_or(|(most, _)| gain > most) {
                best = Some((gain, at));
                if first {
                    break;
                }
            }
        }
        best.map(|(_, at)| at)
    }

    /// Brings a column into the basis; how far it went up, `None` when nothing holds it.
    fn pivot(&mut self, entering: usize, first: bool) -> Option<f64> {
        let rows = self.wanted.len();
        if self.pivots >= PIVOTS_UNTIL_ANEW {
            self.pivots = 0;
            self.invert();
        }
        let column: Vec<f64> = (0..rows)
            .map(|row| {
                let inverse = &self.inverse[row * rows..(row + 1) * rows];
                self.columns[entering].entries.iter().map(|&(at, entry)| inverse[at] * entry).sum()
            })
            .collect();
        let mut leaving: Option<(f64, usize)> = None;
        for (row, &up) in column.iter().enumerate() {
            if up <= NOTHING {
                continue;
            }
            let step = self.value[row].max(0.0) / up;
            let better = leaving.is_none_or(|(least, other)| {
                step < least - 1e-12
                    || (step <= least + 1e-12
                        && if first { self.basis[row] < self.basis[other] } else { up > column[other] })
            });
            if better {
                leaving = Some((step, row));
            }
        }
        let (step, out) = leaving?;
        for (value, up) in self.value.iter_mut().zip(&column) {
            *value -= step * up;
        }
        self.value[out] = step;
        let pivot = column[out];
        let lead: Vec<f64> =
            self.inverse[out * rows..(out + 1) * rows].iter().map(|entry| entry / pivot).collect();
        for (row, own) in self.inverse.chunks_exact_mut(rows).enumerate() {
            if row == out {
                own.copy_from_slice(&lead);
            } else if column[row] != 0.0 {
                for (entry, by) in own.iter_mut().zip(&lead) {
                    *entry -= column[row] * by;
                }
            }
        }
        self.in_basis[self.basis[out]] = false;
        self.in_basis[entering] = true;
        self.basis[out] = entering;
        self.pivots += 1;
        Some(step)
    }

    /// Works the inverse and the values out of the basis anew (Gauss and Jordan, largest pivot first); leaves them when it is singular.
    fn invert(&mut self) {
        let rows = self.wanted.len();
        let mut left = vec![0.0; rows * rows];
        for (at, &column) in self.basis.iter().enumerate() {
            for &(row, entry) in &self.columns[column].entries {
                left[row * rows + at] = entry;
            }
        }
        let mut right = vec![0.0; rows * rows];
        for row in 0..rows {
            right[row * rows + row] = 1.0;
        }
        for at in 0..rows {
            let largest = (at..rows)
                .max_by(|&a, &b| left[a * rows + at].abs().total_cmp(&left[b * rows + at].abs()))
                .filter(|&row| left[row * rows + at].abs() > NOTHING);
            let Some(largest) = largest else { return };
            for matrix in [&mut left, &mut right] {
                for k in 0..rows {
                    matrix.swap(at * rows + k, largest * rows + k);
                }
            }
            let pivot = left[at * rows + at];
            for matrix in [&mut left, &mut right] {
                matrix[at * rows..(at + 1) * rows].iter_mut().for_each(|entry| *entry /= pivot);
            }
            let (own_left, own_right) =
                (left[at * rows..(at + 1) * rows].to_vec(), right[at * rows..(at + 1) * rows].to_vec());
            for row in (0..rows).filter(|row| *row != at) {
                let factor = left[row * rows + at];
                if factor == 0.0 {
                    continue;
                }
                for (matrix, own) in [(&mut left, &own_left), (&mut right, &own_right)] {
                    for (entry, by) in matrix[row * rows..(row + 1) * rows].iter_mut().zip(own) {
                        *entry -= factor * by;
                    }
                }
            }
        }
        self.inverse = right;
        for row in 0..rows {
            self.value[row] = self.inverse[row * rows..(row + 1) * rows]
                .iter()
                .zip(&self.wanted)
                .map(|(entry, wanted)| entry * wanted)
                .sum();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Least 3x + 2y + 4z with x + y ≥ 4, y + z ≥ 3, x + z ≥ 5: x = 3, y = 1, z = 2, by solving the three equations.
    #[test]
    fn a_small_one_and_its_prices() {
        let mut programme = Programme::new(vec![4.0, 3.0, 5.0], &[100.0; 3]);
        for (cost, rows) in [(3.0, [0, 2]), (2.0, [0, 1]), (4.0, [1, 2])] {
            programme.add(Column { cost, entries: rows.map(|row| (row, 1.0)).to_vec() });
        }
        for row in 0..3 {
            programme.add(Column { cost: 0.0, entries: vec![(row, -1.0)] });
        }
        programme.settle(100);
        assert!((programme.cost() - 19.0).abs() < 1e-9, "{}", programme.cost());
        let prices = programme.prices();
        let worth = 4.0 * prices[0] + 3.0 * prices[1] + 5.0 * prices[2];
        assert!((worth - 19.0).abs() < 1e-9, "{prices:?}");
        programme.invert();
        assert!((programme.cost() - 19.0).abs() < 1e-9, "{}", programme.cost());
        let solution: Vec<f64> = programme.solution().into_iter().map(|(_, x)| x).collect();
        assert!(solution.iter().zip([3.0, 1.0, 2.0]).all(|(a, b)| (a - b).abs() < 1e-9), "{solution:?}");
    }
}
