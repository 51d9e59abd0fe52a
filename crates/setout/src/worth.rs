//! How good a layout is.

use serde::Serialize;

use crate::Aim;

/// How good a layout is: less is better, compared from the first field to the last unless [`crate::Rules::prefer`] says otherwise; what
/// joists carry too much always comes second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Worth {
    /// Sheets bought, all layers.
    pub boards: usize,
    /// What hangs on joists beyond what they may carry, all together \[kg, rounded up\].
    pub overload_kg: usize,
    /// Slivers: pieces whose mean width or length is under the minimum though their greatest is not.
    pub slivers: usize,
    /// Pieces, all layers.
    pub pieces: usize,
    /// Cuts, to the next half metre.
    pub cut_half_metres: usize,
    /// Bars.
    pub bars: usize,
    /// Clips and noggins.
    pub clips: usize,
}

impl Worth {
    /// The figures in an order of aims, to compare layouts by.
    pub fn by(&self, order: &[Aim; 6]) -> [usize; 6] {
        order.map(|aim| match aim {
            Aim::Boards => self.boards,
            Aim::Slivers => self.slivers,
            Aim::Pieces => self.pieces,
            Aim::Cuts => self.cut_half_metres,
            Aim::Bars => self.bars,
            Aim::Clips => self.clips,
        })
    }

    /// The figures to compare layouts by: what is asked for first, what joists carry too much, then the rest.
    pub fn rank(&self, order: &[Aim; 6]) -> [usize; 7] {
        let [first, rest @ ..] = self.by(order);
        let [second, third, fourth, fifth, sixth] = rest;
        [first, self.overload_kg, second, third, fourth, fifth, sixth]
    }
}
