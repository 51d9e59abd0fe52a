//! A drawing on sheets smaller than itself: at its full scale, on several sheets to be glued together.

use paper::{Extent, Group, Ink, Path, Pen, Point, Text, page::Window, title_block::BlankSheet};

use crate::drawings::Drawing;

/// Neighbouring parts show at least so much of the same, mm.
pub(super) const LEAST_OVERLAP_MM: f64 = 7.0;
/// Room above a part for the words and the marks to glue by, mm.
const HEAD_MM: f64 = 9.0;
const WORDS_MM: f64 = 2.6;

/// A part of a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tile {
    /// The part that is seen, in millimetres of the drawing.
    seen: Extent,
    /// Which of how many, from 1.
    part: usize,
    of: usize,
    /// Where the next part begins, in millimetres of the drawing.
    next_from: Option<f64>,
}

impl Tile {
    /// The parts of a drawing, from left to right: one where it fits.
    pub(super) fn of(drawing: &Drawing, blank: &BlankSheet) -> Vec<Self> {
        let room = room(blank);
        let whole = drawing.scene.drawn_extent().unwrap_or(Extent::new(0.0, 0.0, 1.0, 1.0)).inset(-0.2);
        let (wide, seen) = (whole.width(), room.width());
        let step = (seen - LEAST_OVERLAP_MM).max(1.0);
        let of = if wide <= seen { 1 } else { ((wide - seen) / step - 1e-9).ceil().max(0.0) as usize + 1 };
        let from = |index: usize| whole.left + (wide - seen) * index as f64 / (of - 1).max(1) as f64;
        (0..of)
            .map(|index| Self {
                seen: Extent { left: from(index), right: from(index) + seen.min(wide), ..whole },
                part: index + 1,
                of,
                next_from: (index + 1 < of).then(|| from(index + 1)),
            })
            .collect()
    }

    /// Lays the part on its sheet, with the words and the marks to glue by.
    pub(super) fn place(&self, drawing: &Drawing, blank: &mut BlankSheet) -> Window {
        let room = room(blank);
        let spare = Point::new(room.width() - self.seen.width(), room.height() - self.seen.height());
        let down = (spare.y * 0.3).max(0.0);
        let corner = Point::new(room.left + (spare.x / 2.0).max(0.0), room.top + down);
        if self.of > 1 {
            blank.scene.add(self.marks(corner, blank.frame));
        }
        Window { scene: drawing.scene.clone(), seen: self.seen, corner }
    }

    fn marks(&self, corner: Point, frame: Extent) -> Group {
        let mut group = Group::on_layer("marks to glue by");
        let mut words = format!("Part {} of {}.", self.part, self.of);
        if self.part > 1 {
            words += " Cut it along the left line of the frame and glue that edge on the two marks of the part before.";
        }
        if let Some(from) = self.next_from {
            words += " The next part is glued on the two marks of this one.";
            let x = corner.x + from - self.seen.left;
            let foot = corner.y + self.seen.height();
            for (top, bottom) in [(corner.y - 3.5, corner.y - 0.5), (foot + 0.5, foot + 3.5)] {
                group.add(Path::line(Point::new(x, top), Point::new(x, bottom), Pen::MEDIUM));
            }
        }
        let at = Point::new(frame.left + 3.0, frame.top + 4.4);
        group.add(Text::new(at, words, WORDS_MM).in_ink(Ink::Grey));
        group
    }
}

/// From one side of the frame to the other, so that two sheets are as wide as a large one.
fn room(blank: &BlankSheet) -> Extent {
    Extent { top: blank.frame.top + HEAD_MM, bottom: blank.block.top - 4.0, ..blank.frame }
}
