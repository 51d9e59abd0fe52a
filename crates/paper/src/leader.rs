//! Notes beside a drawing, each led to what it names, none on another.

use crate::dimension::Side;
use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::point::Point;
use crate::scene::{Anchor, Circle, Group, Path, Text};
use crate::spread::{Wish, spread_in_order};
use crate::wrap::wrap;

/// One note.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Note {
    /// What it names.
    pub at: Point,
    /// Its first words, semibold; may be empty.
    pub head: String,
    /// What it says, wrapped to the column.
    pub words: String,
    /// Its ink.
    pub ink: Ink,
}

impl Note {
    /// A plain note in drawing ink.
    pub fn new(at: Point, words: impl Into<String>) -> Self {
        Self { at, head: String::new(), words: words.into(), ink: Ink::Ink }
    }

    /// The same note under a semibold head.
    #[must_use]
    pub fn headed(mut self, head: impl Into<String>) -> Self {
        self.head = head.into();
        self
    }

    /// The same note in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}

/// A column of notes beside a drawing.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NoteColumn {
    /// The notes, in any order.
    pub notes: Vec<Note>,
    /// On which side of the drawing the column stands.
    pub side: Side,
    /// The edge of the column that faces the drawing, mm from the left of the paper.
    pub edge_mm: f64,
    /// Highest place for words, mm from the top of the paper.
    pub top_mm: f64,
    /// Lowest place for words, mm; a column with too much to say runs on below it.
    pub bottom_mm: f64,
    /// Width of the column, mm.
    pub width_mm: f64,
    /// Size of the letters, mm.
    pub size_mm: f64,
}

/// How long the level part of a leader is before the words, mm.
const LEVEL_MM: f64 = 4.0;
/// Between the end of a leader and the words, mm.
const GAP_MM: f64 = 1.0;
/// Between one note and the next, mm.
const NOTE_GAP_MM: f64 = 1.6;

struct Block<'a> {
    note: &'a Note,
    head: Vec<String>,
    lines: Vec<String>,
    height: f64,
}

/// Draws the notes: words in a column in an order in which no two leaders cross, each with a leader that ends in a
/// dot on what it names.
pub fn note_column(it: &NoteColumn) -> Group {
    let mut group = Group::on_layer("notes");
    let size = font::drawn_size_mm(it.size_mm);
    let line_height = size * font::LINE_SPACING;
    let mut blocks: Vec<Block<'_>> = it
        .notes
        .iter()
        .filter(|note| note.at.is_finite())
        .map(|note| {
            let wrapped = |words: &str, weight| {
                if words.is_empty() { Vec::new() } else { wrap(words, size, weight, it.width_mm) }
            };
            let head = wrapped(&note.head, Weight::Semibold);
            let lines = wrapped(&note.words, Weight::Regular);
            let height = line_height * (head.len() + lines.len()).max(1) as f64;
            Block { note, head, lines, height }
        })
        .collect();
    blocks.sort_by(|a, b| a.note.at.y.total_cmp(&b.note.at.y));
    let outwards = if it.side == Side::Right { 1.0 } else { -1.0 };
    let elbow_x = it.edge_mm - outwards * (GAP_MM + LEVEL_MM);
    let places = settle(&mut blocks, elbow_x, it);

    for (block, &place) in blocks.iter().zip(&places) {
        let first_line = place - block.height / 2.0 + line_height / 2.0;
        let ink = block.note.ink;
        let pen = Pen::THIN.in_ink(if ink == Ink::Ink { Ink::Grey } else { ink });
        let end = Point::new(it.edge_mm - outwards * GAP_MM, first_line);
        // Paper on both sides of the leader and round its dot keeps them legible on hatches and solid layers.
        let leader = [block.note.at, Point::new(elbow_x, first_line), end];
        group.add(Path::open(leader, Pen::new(0.7).in_ink(Ink::Paper)));
        group.add(Circle { centre: block.note.at, radius_mm: 0.85, pen: None, fill: Some(Ink::Paper) });
        group.add(Path::open(leader, pen));
        group.add(Circle { centre: block.note.at, radius_mm: 0.55, pen: None, fill: Some(ink) });
        let anchor = if it.side == Side::Right { Anchor::Start } else { Anchor::End };
        let heads = block.head.iter().map(|words| (words, Weight::Semibold));
        let lines = block.lines.iter().map(|words| (words, Weight::Regular));
        for (row, (words, weight)) in heads.chain(lines).enumerate() {
            let foot = first_line + row as f64 * line_height + size * font::CAP_HEIGHT / 2.0;
            let text = Text::new(Point::new(it.edge_mm, foot), words.as_str(), size);
            group.add(text.in_weight(weight).anchored(anchor).in_ink(ink));
        }
    }
    group
}

/// Finds an order without crossing leaders by changing places of any two that cross (which shortens both together,
/// so it ends), and gives the middles of the blocks.
fn settle(blocks: &mut [Block<'_>], elbow_x: f64, it: &NoteColumn) -> Vec<f64> {
    let size = font::drawn_size_mm(it.size_mm);
    let half_line = size * font::LINE_SPACING / 2.0;
    let middles = |blocks: &[Block<'_>]| {
        let wishes: Vec<Wish> = blocks
            .iter()
            .map(|block| Wish {
                // The first line should stand level with what it names.
                at: block.note.at.y + block.height / 2.0 - half_line,
                room: block.height + NOTE_GAP_MM,
            })
            .collect();
        spread_in_order(&wishes, it.top_mm, it.bottom_mm.max(it.top_mm))
    };
    let mut places = middles(blocks);
    for _ in 0..blocks.len() * blocks.len() {
        let elbow = |blocks: &[Block<'_>], index: usize| {
            let block = blocks.get(index)?;
            let place = places.get(index)?;
            Some((block.note.at, Point::new(elbow_x, place - block.height / 2.0 + half_line)))
        };
        let crossing = (0..blocks.len()).find_map(|first| {
            (first + 1..blocks.len()).find_map(|second| {
                let (a, b) = elbow(blocks, first)?;
                let (c, d) = elbow(blocks, second)?;
                cross(a, b, c, d).then_some((first, second))
            })
        });
        let Some((first, second)) = crossing else { break };
        blocks.swap(first, second);
        places = middles(blocks);
    }
    places
}

fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    side(a, b, c) * side(a, b, d) < -1e-9 && side(c, d, a) * side(c, d, b) < -1e-9
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Item;

    fn column(side: Side) -> NoteColumn {
        let at = [(30.0, 40.0), (32.0, 40.5), (10.0, 41.0), (50.0, 39.0), (28.0, 42.0)];
        NoteColumn {
            notes: at
                .iter()
                .map(|&(x, y)| {
                    Note::new(Point::new(x, y), "a layer of the build-up with a long name").headed("12.5")
                })
                .collect(),
            side,
            edge_mm: if side == Side::Right { 70.0 } else { 0.0 },
            top_mm: 10.0,
            bottom_mm: 120.0,
            width_mm: 40.0,
            size_mm: 2.8,
        }
    }

    #[test]
    fn notes_stand_apart_and_leaders_do_not_cross() {
        for side in [Side::Right, Side::Left] {
            let group = note_column(&column(side));
            let mut extents = Vec::new();
            let mut leaders = Vec::new();
            for item in &group.items {
                match item {
                    Item::Text(text) => extents.push(text.extent()),
                    Item::Path(path) => leaders.push((path.points[0], path.points[1])),
                    _ => {}
                }
            }
            for (at, one) in extents.iter().enumerate() {
                assert!(extents[at + 1..].iter().all(|other| !one.overlaps(other)));
            }
            for (at, &(a, b)) in leaders.iter().enumerate() {
                assert!(leaders[at + 1..].iter().all(|&(c, d)| !cross(a, b, c, d)), "{side:?}");
            }
        }
    }
}
