//! The most value from one sheet when every piece may be cut as often as wanted: P. C. Gilmore and R. E. Gomory, *The theory
//! and computation of knapsack functions*, Operations Research 14, 1966, on the grid of normal patterns of J. E. Beasley,
//! *Algorithms for unconstrained two-dimensional guillotine cutting*, Journal of the Operational Research Society 36, 1985.

use super::board::Rect;

/// A piece as it may be laid, kerf included.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Way {
    /// Which piece.
    pub(crate) piece: usize,
    /// Whether it is laid turned.
    pub(crate) turned: bool,
    pub(crate) length: i64,
    pub(crate) width: i64,
    pub(crate) value: f64,
}

/// F(x, y): the most value of a rectangle, for all lengths and widths that pieces add up to.
pub(crate) struct MostValue {
    across: Vec<i64>,
    up: Vec<i64>,
    value: Vec<f64>,
    how: Vec<How>,
}

/// What gives a rectangle its value.
#[derive(Clone, Copy, Debug)]
enum How {
    Nothing,
    Way(usize),
    /// Cut upright after this place of `across`.
    Upright(usize),
    /// Cut along after this place of `up`.
    Along(usize),
}

impl MostValue {
    /// F(x, y) = max { value of a piece that fits, max F(x₁, y) + F(x − x₁, y), max F(x, y₁) + F(x, y − y₁) }.
    pub(crate) fn of(length: i64, width: i64, ways: &[Way]) -> Self {
        let across = normal_patterns(ways.iter().map(|way| way.length), length);
        let up = normal_patterns(ways.iter().map(|way| way.width), width);
        let size = across.len() * up.len();
        let mut table = Self { across, up, value: vec![0.0; size], how: vec![How::Nothing; size] };
        for i in 0..table.across.len() {
            for j in 0..table.up.len() {
                table.fill(i, j, ways);
            }
        }
        table
    }

    fn fill(&mut self, i: usize, j: usize, ways: &[Way]) {
        let (x, y) = (self.across[i], self.up[j]);
        let (mut most, mut how) = (0.0, How::Nothing);
        for (at, way) in ways.iter().enumerate() {
            if way.length <= x && way.width <= y && way.value > most {
                (most, how) = (way.value, How::Way(at));
            }
        }
        for cut in (1..i).take_while(|&cut| 2 * self.across[cut] <= x) {
            let rest = place_below(&self.across, x - self.across[cut]);
            let value = self.value[self.cell(cut, j)] + self.value[self.cell(rest, j)];
            if value > most {
                (most, how) = (value, How::Upright(cut));
            }
        }
        for cut in (1..j).take_while(|&cut| 2 * self.up[cut] <= y) {
            let rest = place_below(&self.up, y - self.up[cut]);
            let value = self.value[self.cell(i, cut)] + self.value[self.cell(i, rest)];
            if value > most {
                (most, how) = (value, How::Along(cut));
            }
        }
        let cell = self.cell(i, j);
        self.value[cell] = most;
        self.how[cell] = how;
    }

    fn cell(&self, i: usize, j: usize) -> usize {
        i * self.up.len() + j
    }

    /// The most value of a rectangle of any size.
    pub(crate) fn at(&self, length: i64, width: i64) -> f64 {
        if length < 0 || width < 0 {
            return 0.0;
        }
        self.value[self.cell(place_below(&self.across, length), place_below(&self.up, width))]
    }

    /// Lengths that pieces add up to, from 0 to the sheet's.
    pub(crate) fn across(&self) -> &[i64] {
        &self.across
    }

    /// Widths that pieces add up to.
    pub(crate) fn up(&self) -> &[i64] {
        &self.up
    }

    /// The pieces that give the whole sheet its value, and where they lie.
    pub(crate) fn layout(&self, ways: &[Way]) -> Vec<(usize, Rect)> {
        let mut placed = Vec::new();
        let mut work = vec![(self.across.len() - 1, self.up.len() - 1, 0, 0)];
        while let Some((i, j, x, y)) = work.pop() {
            match self.how[self.cell(i, j)] {
                How::Nothing => {}
                How::Way(at) => {
                    let (length, width) = (ways[at].length, ways[at].width);
                    placed.push((at, Rect { x, y, length, width }));
                }
                How::Upright(cut) => {
                    let rest = place_below(&self.across, self.across[i] - self.across[cut]);
                    work.push((rest, j, x + self.across[cut], y));
                    work.push((cut, j, x, y));
                }
                How::Along(cut) => {
                    let rest = place_below(&self.up, self.up[j] - self.up[cut]);
                    work.push((i, rest, x, y + self.up[cut]));
                    work.push((i, cut, x, y));
                }
            }
        }
        placed
    }
}

/// Sums of the sides, each as often as wanted, from 0 up to `most`, which is added itself.
fn normal_patterns(sides: impl Iterator<Item = i64>, most: i64) -> Vec<i64> {
    let mut sides: Vec<i64> = sides.filter(|side| *side > 0 && *side <= most).collect();
    sides.sort_unstable();
    sides.dedup();
    let mut sums = std::collections::BTreeSet::from([0]);
    let mut next = Some(0);
    while let Some(sum) = next {
        for side in &sides {
            if sum + side <= most {
                sums.insert(sum + side);
            }
        }
        next = sums.range(sum + 1..).next().copied();
    }
    sums.insert(most);
    sums.into_iter().collect()
}

/// The place of the largest entry that is at most `value`; entries start with 0.
fn place_below(sorted: &[i64], value: i64) -> usize {
    sorted.partition_point(|entry| *entry <= value).saturating_sub(1)
}
