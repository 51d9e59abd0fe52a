//! A sheet as the packer sees it: whole hundredths of a millimetre, the kerf added to pieces and sheets alike, so that
//! rectangles that touch leave room for the saw.

use super::{Sides, Turn};

/// A rectangle, kerf included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rect {
    pub(crate) x: i64,
    pub(crate) y: i64,
    pub(crate) length: i64,
    pub(crate) width: i64,
}

impl Rect {
    pub(crate) fn right(self) -> i64 {
        self.x + self.length
    }

    pub(crate) fn top(self) -> i64 {
        self.y + self.width
    }

    pub(crate) fn area(self) -> i64 {
        self.length * self.width
    }
}

/// A piece to place, kerf included.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Item {
    pub(crate) piece: usize,
    pub(crate) length: i64,
    pub(crate) width: i64,
    pub(crate) may_turn: bool,
    pub(crate) needs: Sides,
}

impl Item {
    /// Length and width as laid.
    pub(crate) fn laid(&self, turn: Turn) -> (i64, i64) {
        match turn {
            Turn::None | Turn::Half => (self.length, self.width),
            Turn::Quarter | Turn::ThreeQuarter => (self.width, self.length),
        }
    }

    /// Turns that make a difference.
    pub(crate) fn turns(&self) -> &'static [Turn] {
        let plain = self.needs == Sides::NONE;
        match (self.may_turn && !(plain && self.length == self.width), plain) {
            (false, true) => &[Turn::None],
            (true, true) => &[Turn::None, Turn::Quarter],
            (false, false) => &[Turn::None, Turn::Half],
            (true, false) => &[Turn::None, Turn::Half, Turn::Quarter, Turn::ThreeQuarter],
        }
    }

    /// Whether it fits a rectangle in one of its turns.
    pub(crate) fn fits(&self, length: i64, width: i64) -> bool {
        (self.length <= length && self.width <= width)
            || (self.may_turn && self.width <= length && self.length <= width)
    }
}

/// A kind of sheet, kerf included.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Board {
    pub(crate) length: i64,
    pub(crate) width: i64,
    pub(crate) cost: i64,
    pub(crate) available: Option<usize>,
    pub(crate) factory: Sides,
}

impl Board {
    pub(crate) fn whole(&self) -> Rect {
        Rect { x: 0, y: 0, length: self.length, width: self.width }
    }

    /// Which factory edges of the sheet a rectangle lies on.
    pub(crate) fn factory_edges_of(&self, rect: Rect) -> Sides {
        Sides {
            left: self.factory.left && rect.x == 0,
            right: self.factory.right && rect.right() == self.length,
            bottom: self.factory.bottom && rect.y == 0,
            top: self.factory.top && rect.top() == self.width,
        }
    }
}

/// A piece in place, kerf included.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    pub(crate) piece: usize,
    pub(crate) rect: Rect,
    pub(crate) turn: Turn,
}

/// A sheet with pieces on it.
#[derive(Clone, Debug)]
pub(crate) struct Laid {
    pub(crate) stock: usize,
    pub(crate) placed: Vec<Placed>,
}

/// Sides of a piece as they lie after a turn.
pub(crate) fn turned(sides: Sides, turn: Turn) -> Sides {
    match turn {
        Turn::None => sides,
        Turn::Quarter => Sides { bottom: sides.left, right: sides.bottom, top: sides.right, left: sides.top },
        Turn::Half => Sides { right: sides.left, top: sides.bottom, left: sides.right, bottom: sides.top },
        Turn::ThreeQuarter => {
            Sides { top: sides.left, left: sides.bottom, bottom: sides.right, right: sides.top }
        }
    }
}

/// Whether every side wanted is given.
pub(crate) fn given(wanted: Sides, have: Sides) -> bool {
    (!wanted.left || have.left)
        && (!wanted.right || have.right)
        && (!wanted.bottom || have.bottom)
        && (!wanted.top || have.top)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_brings_the_left_side_to_the_bottom() {
        let left = Sides { left: true, ..Sides::NONE };
        assert!(turned(left, Turn::Quarter).bottom);
        assert!(turned(left, Turn::Half).right);
        assert!(turned(left, Turn::ThreeQuarter).top);
        let twice = turned(turned(left, Turn::Quarter), Turn::Quarter);
        assert_eq!(twice, turned(left, Turn::Half));
    }
}
