//! The frame of a sheet, its title block at the bottom right, and the table of revisions above it.

use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::page::Format;
use crate::point::{Extent, Point};
use crate::scene::{Group, Path, Scene, Text};
use crate::wrap::wrap;

/// What a title block says. Empty words leave their cell out.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct TitleBlock {
    /// The job.
    pub project: String,
    /// What the sheet shows.
    pub sheet_title: String,
    /// Its number among …
    pub number: usize,
    /// … so many sheets.
    pub of: usize,
    /// Scale and paper (`1 : 25 on A3`).
    pub scale: String,
    /// The date as the person gave it.
    pub date: String,
    /// Letter of the revision, and what it stands for.
    pub revision: String,
    /// What the drawing rests on (`11 tapes, corners ± 3 mm`).
    pub survey: String,
    /// What it is not.
    pub caution: String,
}

/// A line of the revision table.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Revision {
    /// Its letter.
    pub letter: String,
    /// Its date as given.
    pub date: String,
    /// What changed.
    pub words: String,
}

/// How much room the title block takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BlockStyle {
    /// Drawings: every cell, 180 mm wide at most.
    Full,
    /// Lists and text: one row across the foot of the sheet.
    Strip,
}

/// A sheet with frame and title block, ready to be drawn on.
#[derive(Clone, Debug, PartialEq)]
pub struct BlankSheet {
    /// The sheet so far.
    pub scene: Scene,
    /// Inside the frame.
    pub frame: Extent,
    /// Title block, revisions included.
    pub block: Extent,
    /// Free room above the title block, 4 mm clear of lines.
    pub area: Extent,
    /// Free room beside the title block at the foot of the sheet; of no width where the block is as wide as the
    /// frame.
    pub beside: Extent,
}

const LABEL_MM: f64 = 2.5;
const VALUE_MM: f64 = 2.9;
const TITLE_MM: f64 = 4.2;
const PAD_MM: f64 = 1.8;
const CLEAR_MM: f64 = 4.0;
const FULL_WIDTH_MM: f64 = 180.0;

/// Draws frame, title block and revisions (the last five, newest lowest) on an empty sheet.
pub fn blank_sheet(
    format: Format,
    block: &TitleBlock,
    revisions: &[Revision],
    style: BlockStyle,
) -> BlankSheet {
    let mut scene = Scene::new(format.width_mm(), format.height_mm());
    let frame = format.frame();
    let mut group = Group::on_layer("title block");
    let taken = match style {
        BlockStyle::Full => {
            let right_half = frame.right - FULL_WIDTH_MM.min(frame.width());
            let low = full_block(&mut group, block, Extent { left: right_half, ..frame });
            revision_table(&mut group, revisions, low)
        }
        BlockStyle::Strip => strip_block(&mut group, block, frame),
    };
    group.add(Path::rectangle(frame, Pen::HEAVY));
    scene.add(group);
    BlankSheet {
        scene,
        frame,
        block: taken,
        area: Extent::new(
            frame.left + CLEAR_MM,
            frame.top + CLEAR_MM,
            frame.right - CLEAR_MM,
            taken.top - CLEAR_MM,
        ),
        beside: Extent::new(
            frame.left + CLEAR_MM,
            taken.top,
            (taken.left - CLEAR_MM).max(frame.left + CLEAR_MM),
            frame.bottom - CLEAR_MM,
        ),
    }
}

struct Cell<'a> {
    label: &'a str,
    lines: Vec<String>,
    size: f64,
    weight: Weight,
    share: f64,
}

impl<'a> Cell<'a> {
    fn new(label: &'a str, words: &str, share: f64) -> Option<Self> {
        let words = words.trim();
        (!words.is_empty()).then(|| Self {
            label,
            lines: vec![words.to_owned()],
            size: VALUE_MM,
            weight: Weight::Regular,
            share,
        })
    }

    fn large(mut self, size: f64) -> Self {
        self.size = size;
        self.weight = Weight::Semibold;
        self
    }

    fn label_height(&self) -> f64 {
        if self.label.is_empty() { 0.0 } else { LABEL_MM * 1.3 }
    }

    fn height(&self) -> f64 {
        2.0 * PAD_MM
            + self.label_height()
            + self.size * font::CAP_HEIGHT
            + self.size * font::LINE_SPACING * (self.lines.len() as f64 - 1.0)
            + self.size * font::DESCENT * 0.5
    }
}

/// Rows from the foot upwards: caution; scale, date, revision, survey; project, title, number.
fn full_block(group: &mut Group, block: &TitleBlock, room: Extent) -> Extent {
    let sheet = sheet_number(block);
    let rows = [
        vec![Cell::new("", &block.caution, 1.0).map(|cell| Cell { size: LABEL_MM, ..cell })],
        vec![
            Cell::new("scale", &block.scale, 1.0),
            Cell::new("date", &block.date, 0.95),
            Cell::new("revision", &block.revision, 1.35),
            Cell::new("drawn from", &block.survey, 1.7),
        ],
        vec![
            Cell::new("project", &block.project, 1.5),
            Cell::new("drawing", &block.sheet_title, 2.3).map(|cell| cell.large(TITLE_MM)),
            Cell::new("sheet", &sheet, 0.8).map(|cell| cell.large(TITLE_MM)),
        ],
    ];
    let mut bottom = room.bottom;
    for row in rows {
        let cells: Vec<Cell<'_>> = row.into_iter().flatten().collect();
        bottom = draw_row(group, cells, Extent { bottom, ..room });
    }
    let taken = Extent { top: bottom, ..room };
    group.add(Path::rectangle(taken, Pen::BOLD));
    taken
}

/// One row across the foot; a caution, if there is one, in a row of its own below it.
fn strip_block(group: &mut Group, block: &TitleBlock, frame: Extent) -> Extent {
    let sheet = sheet_number(block);
    let mut bottom = frame.bottom;
    if let Some(caution) = Cell::new("", &block.caution, 1.0) {
        bottom = draw_row(group, vec![Cell { size: LABEL_MM, ..caution }], Extent { bottom, ..frame });
    }
    let wide = frame.width() > 250.0;
    let cells = [
        Cell::new("project", &block.project, 1.5),
        Cell::new("document", &block.sheet_title, 2.0).map(|cell| cell.large(3.4)),
        Cell::new("scale", &block.scale, 0.8),
        Cell::new("drawn from", &block.survey, 1.6).filter(|_| wide),
        Cell::new("date", &block.date, 0.8),
        Cell::new("revision", &block.revision, 1.0),
        Cell::new("sheet", &sheet, 0.75).map(|cell| cell.large(3.4)),
    ];
    let top = draw_row(group, cells.into_iter().flatten().collect(), Extent { bottom, ..frame });
    let taken = Extent { top, ..frame };
    group.add(Path::line(Point::new(frame.left, top), Point::new(frame.right, top), Pen::BOLD));
    taken
}

fn sheet_number(block: &TitleBlock) -> String {
    match (block.number, block.of) {
        (0, _) => String::new(),
        (number, 0) => number.to_string(),
        (number, of) => format!("{number}\u{A0}of\u{A0}{of}"),
    }
}

/// Draws a row of cells that ends at the foot of the room and gives its top. Every word wraps inside its cell.
fn draw_row(group: &mut Group, mut cells: Vec<Cell<'_>>, room: Extent) -> f64 {
    let whole: f64 = cells.iter().map(|cell| cell.share).sum();
    if whole <= 0.0 {
        return room.bottom;
    }
    for cell in &mut cells {
        let width = room.width() * cell.share / whole - 2.0 * PAD_MM;
        let words = cell.lines.join(" ");
        cell.lines = wrap(&words, cell.size, cell.weight, width);
        // A long title is set smaller before it takes a third line.
        while cell.lines.len() > 2 && cell.size > 3.0 {
            cell.size -= 0.3;
            cell.lines = wrap(&words, cell.size, cell.weight, width);
        }
    }
    let height = cells.iter().map(Cell::height).fold(0.0, f64::max);
    let top = room.bottom - height;
    let mut left = room.left;
    for (index, cell) in cells.iter().enumerate() {
        let width = room.width() * cell.share / whole;
        if index > 0 {
            group.add(Path::line(Point::new(left, top), Point::new(left, room.bottom), Pen::THIN));
        }
        let mut foot = top + PAD_MM;
        if !cell.label.is_empty() {
            let at = Point::new(left + PAD_MM, foot + LABEL_MM * font::CAP_HEIGHT);
            group.add(Text::new(at, cell.label, LABEL_MM).in_ink(Ink::Grey));
            foot += cell.label_height();
        }
        foot += cell.size * font::CAP_HEIGHT;
        for line in &cell.lines {
            let at = Point::new(left + PAD_MM, foot);
            let ink = if cell.label.is_empty() { Ink::Grey } else { Ink::Ink };
            group.add(Text::new(at, line.as_str(), cell.size).in_weight(cell.weight).in_ink(ink));
            foot += cell.size * font::LINE_SPACING;
        }
        left += width;
    }
    group.add(Path::line(Point::new(room.left, top), Point::new(room.right, top), Pen::THIN));
    top
}

/// Most revisions shown.
const MOST_REVISIONS: usize = 5;

fn revision_table(group: &mut Group, revisions: &[Revision], block: Extent) -> Extent {
    let shown = revisions.iter().skip(revisions.len().saturating_sub(MOST_REVISIONS));
    let mut bottom = block.top;
    let columns = [block.left + PAD_MM, block.left + 12.0, block.left + 38.0];
    for revision in shown.rev() {
        let lines = wrap(&revision.words, LABEL_MM, Weight::Regular, block.right - columns[2] - PAD_MM);
        let line_height = LABEL_MM * font::LINE_SPACING;
        let top = bottom - lines.len() as f64 * line_height - 1.2;
        let first_foot = top + 1.1 + LABEL_MM * font::CAP_HEIGHT;
        let words = [revision.letter.as_str(), revision.date.as_str()];
        for (&left, words) in columns.iter().zip(words) {
            group.add(Text::new(Point::new(left, first_foot), words, LABEL_MM));
        }
        for (row, line) in lines.iter().enumerate() {
            let at = Point::new(columns[2], first_foot + row as f64 * line_height);
            group.add(Text::new(at, line.as_str(), LABEL_MM));
        }
        group.add(Path::line(
            Point::new(block.left, top),
            Point::new(block.right, top),
            Pen::FINE.in_ink(Ink::Light),
        ));
        bottom = top;
    }
    if bottom < block.top {
        let top = bottom - LABEL_MM * font::LINE_SPACING - 1.2;
        let foot = top + 1.1 + LABEL_MM * font::CAP_HEIGHT;
        for (&left, words) in columns.iter().zip(["rev", "date", "what changed"]) {
            group.add(Text::new(Point::new(left, foot), words, LABEL_MM).in_ink(Ink::Grey));
        }
        bottom = top;
        group.add(Path::rectangle(Extent { top: bottom, bottom: block.top, ..block }, Pen::THIN));
    }
    Extent { top: bottom, ..block }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Item;

    fn long() -> TitleBlock {
        let words =
            "a very long line of words that no title block was ever made for, and then some more of it";
        TitleBlock {
            project: words.to_owned(),
            sheet_title: words.to_owned(),
            number: 4,
            of: 12,
            scale: "1 : 25 on A3".to_owned(),
            date: words.to_owned(),
            revision: words.to_owned(),
            survey: words.to_owned(),
            caution: words.repeat(4),
        }
    }

    #[test]
    fn words_of_any_length_stay_inside_the_frame() {
        let revisions = vec![
            Revision {
                letter: "A".to_owned(),
                date: "3 March".to_owned(),
                words: "first issue".repeat(30)
            };
            7
        ];
        for format in [
            Format::A3_LANDSCAPE,
            Format::A3_PORTRAIT,
            Format::A4_LANDSCAPE,
            Format::A4_PORTRAIT,
            Format::LETTER_PORTRAIT,
            Format::TABLOID_LANDSCAPE,
        ] {
            for style in [BlockStyle::Full, BlockStyle::Strip] {
                let sheet = blank_sheet(format, &long(), &revisions, style);
                let drawn = sheet.scene.drawn_extent().unwrap();
                assert!(sheet.frame.holds(&drawn), "{format:?} {style:?} {drawn:?}");
                assert!(sheet.area.bottom <= sheet.block.top);
            }
        }
    }

    #[test]
    fn cells_without_words_are_left_out() {
        let block = TitleBlock { project: "room".to_owned(), ..TitleBlock::default() };
        let sheet = blank_sheet(Format::A4_PORTRAIT, &block, &[], BlockStyle::Full);
        let Item::Group(group) = &sheet.scene.items[0] else { panic!("no group") };
        let texts = group.items.iter().filter(|item| matches!(item, Item::Text(_))).count();
        assert_eq!(texts, 2);
    }
}
