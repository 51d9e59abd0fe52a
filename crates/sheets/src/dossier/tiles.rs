//! A drawing on sheets smaller than itself, at its full scale: parted where nothing is drawn, as between a plan and its words; a chart that has
//! no scale lies down and is made smaller; where something else lies across everywhere, on several sheets to be glued together.

use paper::{Extent, Group, Ink, Item, Path, Pen, Point, Text, page::Window, title_block::BlankSheet};

use crate::drawings::Drawing;

/// Neighbouring parts show at least so much of the same, mm.
pub(super) const LEAST_OVERLAP_MM: f64 = 7.0;
/// Room above a part for the words and the marks to glue by, mm.
const HEAD_MM: f64 = 9.0;
const WORDS_MM: f64 = 2.6;
/// Blank between what is drawn and the frame, mm; of parts that are glued, as far as they have it to spare.
const BLANK_MM: f64 = 3.0;
/// A part is never narrower than this share of the room: it would be a sheet with next to nothing on it.
const LEAST_SHARE: f64 = 0.25;

/// A part of a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tile {
    /// The part that is seen, in millimetres of the drawing.
    seen: Extent,
    /// Which of how many, from 1.
    part: usize,
    of: usize,
    /// Millimetres of the sheet for one of the drawing.
    scale: f64,
    /// Whether it is glued to its neighbours.
    glued: bool,
    /// Where the next part begins, in millimetres of the drawing, if it is glued on.
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
        if let Some(parts) = parted(drawing, whole, room.width()).filter(|parts| parts.len() <= of) {
            let of = parts.len();
            let each = parts.into_iter().enumerate();
            return each
                .map(|(index, seen)| Self {
                    seen,
                    part: index + 1,
                    of,
                    scale: 1.0,
                    glued: false,
                    next_from: None,
                })
                .collect();
        }
        // As much blank at the two outer sides as the parts have to spare.
        let spare_mm = seen + step * of.saturating_sub(1) as f64 - wide;
        let blank_mm = if of > 1 { (spare_mm / 2.0).clamp(0.0, BLANK_MM) } else { 0.0 };
        let wide = wide + 2.0 * blank_mm;
        let from =
            |index: usize| whole.left - blank_mm + (wide - seen) * index as f64 / (of - 1).max(1) as f64;
        (0..of)
            .map(|index| Self {
                seen: Extent { left: from(index), right: from(index) + seen.min(wide), ..whole },
                part: index + 1,
                of,
                scale: 1.0,
                glued: true,
                next_from: (index + 1 < of).then(|| from(index + 1)),
            })
            .collect()
    }

    /// The whole of a drawing that has no scale, as small as it must be for a sheet: none where it has one, or need not be.
    pub(super) fn shrunk(drawing: &Drawing, standing: &BlankSheet, lying: &BlankSheet) -> Option<Self> {
        if drawing.scale.is_some()
            || Self::of(drawing, standing).iter().all(|tile| !tile.glued || tile.of == 1)
        {
            return None;
        }
        let room = room(lying).inset(BLANK_MM);
        let seen = drawing.scene.drawn_extent()?.inset(-0.2);
        let scale = (room.width() / seen.width()).min(room.height() / seen.height()).min(1.0);
        Some(Self { seen, part: 1, of: 1, scale, glued: false, next_from: None })
    }

    /// Lays the part on its sheet, with the words and the marks to glue by.
    pub(super) fn place(&self, drawing: &Drawing, blank: &mut BlankSheet) -> Window {
        let room = room(blank);
        let spare = Point::new(
            room.width() - self.seen.width() * self.scale,
            room.height() - self.seen.height() * self.scale,
        );
        // What stands whole on its sheet begins at the top, as on any other.
        let down = if self.of > 1 { (spare.y * 0.3).max(0.0) } else { 0.0 };
        let corner = Point::new(room.left + (spare.x / 2.0).max(0.0), room.top + down);
        if self.of > 1 {
            blank.scene.add(self.marks(corner, blank.frame));
        }
        Window { scene: drawing.scene.clone(), seen: self.seen, corner, scale: self.scale }
    }

    fn marks(&self, corner: Point, frame: Extent) -> Group {
        let mut group = Group::on_layer("marks to glue by");
        let mut words = format!("Part {} of {}.", self.part, self.of);
        if self.part > 1 && self.glued {
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

/// The parts of a drawing wider than the room, parted where nothing is drawn and each with a blank to both sides; none where it fits or cannot be
/// parted so.
fn parted(drawing: &Drawing, whole: Extent, room_mm: f64) -> Option<Vec<Extent>> {
    if whole.width() <= room_mm {
        return None;
    }
    let mut drawn = Vec::new();
    leaves(&drawing.scene.items, &mut drawn);
    drawn.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Stretches that something is drawn over, from left to right.
    let mut stretches: Vec<(f64, f64)> = Vec::new();
    for (left, right) in drawn {
        match stretches.last_mut() {
            Some(last) if left <= last.1 + 1e-6 => last.1 = last.1.max(right),
            _ => stretches.push((left, right)),
        }
    }
    let most = room_mm - 2.0 * BLANK_MM;
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for (left, right) in stretches {
        match parts.last_mut() {
            Some(last) if right - last.0 <= most => last.1 = right,
            _ => parts.push((left, right)),
        }
    }
    let fit = parts.iter().all(|(left, right)| (LEAST_SHARE * room_mm..=most).contains(&(right - left)));
    let seen = |(left, right): (f64, f64)| Extent { left: left - 0.2, right: right + 0.2, ..whole };
    (fit && parts.len() > 1).then(|| parts.into_iter().map(seen).collect())
}

/// From where to where everything that is drawn reaches, groups taken apart.
fn leaves(items: &[Item], drawn: &mut Vec<(f64, f64)>) {
    for item in items {
        match item {
            Item::Group(group) => leaves(&group.items, drawn),
            other => drawn.extend(other.drawn_extent().map(|extent| (extent.left, extent.right))),
        }
    }
}

/// From one side of the frame to the other, so that two sheets are as wide as a large one.
fn room(blank: &BlankSheet) -> Extent {
    Extent { top: blank.frame.top + HEAD_MM, bottom: blank.block.top - 4.0, ..blank.frame }
}
