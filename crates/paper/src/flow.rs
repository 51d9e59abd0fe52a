//! Headings, paragraphs, notes, tables and drawings that run over columns and pages.

use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::page::Bookmark;
use crate::point::{Extent, Point};
use crate::scene::{Group, Item, Path, Scene, Text};
use crate::table::{RowKind, Strip, Table, set_line};
use crate::wrap::{Span, wrap_spans};

/// Sizes of letters in a flow, mm.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct FlowSizes {
    /// Headings of level 1.
    pub first_heading_mm: f64,
    /// Headings of level 2.
    pub second_heading_mm: f64,
    /// Headings of level 3 and below.
    pub third_heading_mm: f64,
    /// Paragraphs.
    pub text_mm: f64,
    /// Captions and remarks.
    pub small_mm: f64,
}

impl Default for FlowSizes {
    fn default() -> Self {
        Self {
            first_heading_mm: 5.6,
            second_heading_mm: 4.0,
            third_heading_mm: 3.1,
            text_mm: 3.1,
            small_mm: 2.6,
        }
    }
}

/// What runs over the pages.
#[derive(Clone, Debug, Default)]
pub struct Flow {
    pub(crate) blocks: Vec<Block>,
    sizes: FlowSizes,
}

#[derive(Clone, Debug)]
pub(crate) enum Block {
    Heading { level: u8, words: String },
    Words { spans: Vec<Span>, size_mm: f64, mark: Mark },
    Table(Table),
    Drawing { drawing: Box<Scene>, caption: String },
    Gap(f64),
    NewColumn,
    NewPage,
}

/// What stands at the left of some words.
#[derive(Clone, Debug)]
pub(crate) enum Mark {
    Nothing,
    /// A bullet or a number, the words set in beside it.
    Sign(String),
    /// A bar along all lines.
    Bar(Ink),
}

/// Where a flow may run: an area of the page cut into columns.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct FlowArea {
    /// The area of every page.
    pub area: Extent,
    /// Number of columns, at least one.
    pub columns: usize,
    /// Between columns, mm.
    pub gutter_mm: f64,
}

impl FlowArea {
    /// One column as wide as the area.
    pub fn single(area: Extent) -> Self {
        Self { area, columns: 1, gutter_mm: 0.0 }
    }

    /// Several columns 8 mm apart.
    pub fn columns(area: Extent, columns: usize) -> Self {
        Self { area, columns: columns.max(1), gutter_mm: 8.0 }
    }

    /// Width of one column, mm.
    pub fn column_width_mm(&self) -> f64 {
        let count = self.columns.max(1) as f64;
        ((self.area.width() - self.gutter_mm * (count - 1.0)) / count).max(10.0)
    }
}

/// One page of a flow.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FlowPage {
    /// What is drawn, in the coordinates of the page.
    pub group: Group,
    /// Its headings, for the outline; levels begin at 2 so that the sheet itself is level 1.
    pub headings: Vec<Bookmark>,
    /// How far down the last column is used, mm from the top of the page.
    pub used_to_mm: f64,
}

impl Flow {
    /// An empty flow with the usual sizes.
    pub fn new() -> Self {
        Self::default()
    }

    /// An empty flow with sizes of one's own.
    pub fn with_sizes(sizes: FlowSizes) -> Self {
        Self { blocks: Vec::new(), sizes }
    }

    /// Adds a heading of level 1 to 3; it never stands alone at the foot of a column.
    pub fn heading(&mut self, level: u8, words: impl Into<String>) -> &mut Self {
        self.add(Block::Heading { level: level.max(1), words: words.into() })
    }

    /// Adds a paragraph.
    pub fn paragraph(&mut self, words: impl Into<String>) -> &mut Self {
        self.paragraph_of(vec![Span::new(words)])
    }

    /// Adds a paragraph of spans.
    pub fn paragraph_of(&mut self, spans: Vec<Span>) -> &mut Self {
        let size_mm = self.sizes.text_mm;
        self.add(Block::Words { spans, size_mm, mark: Mark::Nothing })
    }

    /// Adds a remark in small grey letters: a source, an assumption.
    pub fn remark(&mut self, words: impl Into<String>) -> &mut Self {
        let size_mm = self.sizes.small_mm;
        self.add(Block::Words {
            spans: vec![Span::new(words).in_ink(Ink::Grey)],
            size_mm,
            mark: Mark::Nothing,
        })
    }

    /// Adds a point of a list.
    pub fn point(&mut self, words: impl Into<String>) -> &mut Self {
        self.numbered("–", vec![Span::new(words)])
    }

    /// Adds a point with a number or sign of its own: `3`, `✓`.
    pub fn numbered(&mut self, sign: impl Into<String>, spans: Vec<Span>) -> &mut Self {
        let size_mm = self.sizes.text_mm;
        self.add(Block::Words { spans, size_mm, mark: Mark::Sign(sign.into()) })
    }

    /// Adds a note with a bar along it, in drawing ink.
    pub fn note(&mut self, words: impl Into<String>) -> &mut Self {
        let size_mm = self.sizes.text_mm;
        self.add(Block::Words { spans: vec![Span::new(words)], size_mm, mark: Mark::Bar(Ink::Ink) })
    }

    /// Adds what must be done or is wrong: red words with a red bar.
    pub fn warning(&mut self, words: impl Into<String>) -> &mut Self {
        let spans = vec![Span::new(words).in_ink(Ink::Red)];
        let size_mm = self.sizes.text_mm;
        self.add(Block::Words { spans, size_mm, mark: Mark::Bar(Ink::Red) })
    }

    /// Adds a table; its head is repeated where it runs on.
    pub fn table(&mut self, table: Table) -> &mut Self {
        self.add(Block::Table(table))
    }

    /// Adds a drawing with a caption (empty for none). One wider than the column is not made smaller: what is drawn
    /// to scale stays to scale, so give it a page of its own.
    pub fn drawing(&mut self, drawing: Scene, caption: impl Into<String>) -> &mut Self {
        self.add(Block::Drawing { drawing: Box::new(drawing), caption: caption.into() })
    }

    /// Adds room, mm.
    pub fn gap(&mut self, height_mm: f64) -> &mut Self {
        self.add(Block::Gap(if height_mm.is_finite() { height_mm.max(0.0) } else { 0.0 }))
    }

    /// Goes on in the next column; where there is but one, below.
    pub fn new_column(&mut self) -> &mut Self {
        self.add(Block::NewColumn)
    }

    /// Goes on on the next page.
    pub fn new_page(&mut self) -> &mut Self {
        self.add(Block::NewPage)
    }

    /// Whether nothing was added.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    /// Lays everything out; at least one page. Nothing is clipped: what is higher than a column stands alone in one.
    pub fn pages(&self, area: FlowArea) -> Vec<FlowPage> {
        let width = area.column_width_mm();
        let mut packer = Packer::new(area);
        // Where there is but one column, the next would be a page with as little on it.
        let goes_on = |block: &&Block| area.columns > 1 || !matches!(block, Block::NewColumn);
        let blocks = self.blocks.iter().filter(goes_on);
        let chunks: Vec<Chunk> =
            blocks.flat_map(|block| self.cut(block, width, area.area.height())).collect();
        let mut rest = chunks.as_slice();
        while let [first, ..] = rest {
            let bound = rest.iter().take_while(|chunk| chunk.keeps_next).count() + 1;
            let (together, after) = rest.split_at(bound.min(rest.len()));
            if first.breaks == Breaks::No {
                packer.make_room_for(together);
            }
            for chunk in together {
                packer.place(chunk);
            }
            rest = after;
        }
        packer.finish()
    }

    fn add(&mut self, block: Block) -> &mut Self {
        self.blocks.push(block);
        self
    }

    fn cut(&self, block: &Block, width: f64, height: f64) -> Vec<Chunk> {
        match block {
            Block::Heading { level, words } => self.cut_heading(*level, words, width),
            Block::Words { spans, size_mm, mark } => cut_words(spans, *size_mm, mark, width),
            Block::Table(table) => cut_table(table, width, height),
            Block::Drawing { drawing, caption } => self.cut_drawing(drawing, caption, width),
            Block::Gap(height) => {
                vec![Chunk {
                    strip: Strip { height_mm: *height, ..Strip::default() },
                    vanishes: true,
                    ..Chunk::default()
                }]
            }
            Block::NewColumn => vec![Chunk { breaks: Breaks::Column, ..Chunk::default() }],
            Block::NewPage => vec![Chunk { breaks: Breaks::Page, ..Chunk::default() }],
        }
    }

    fn cut_heading(&self, level: u8, words: &str, width: f64) -> Vec<Chunk> {
        let (size, before) = match level {
            1 => (self.sizes.first_heading_mm, 7.0),
            2 => (self.sizes.second_heading_mm, 5.5),
            _ => (self.sizes.third_heading_mm, 4.0),
        };
        let size = font::drawn_size_mm(size);
        let lines = wrap_spans(&[Span::semibold(words)], size, width);
        let line_height = size * 1.22;
        let mut strip =
            Strip { height_mm: lines.len() as f64 * line_height + size * 0.3, ..Strip::default() };
        for (row, line) in lines.iter().enumerate() {
            let foot = row as f64 * line_height + size * 0.9;
            set_line(&mut strip.items, line, Point::new(0.0, foot), size);
        }
        vec![Chunk {
            strip,
            before_mm: before,
            keeps_next: true,
            heading: Some((level, words.to_owned())),
            ..Chunk::default()
        }]
    }

    fn cut_drawing(&self, drawing: &Scene, caption: &str, width: f64) -> Vec<Chunk> {
        let mut group = drawing.clone().placed(((width - drawing.width_mm) / 2.0).max(0.0), 0.0);
        "drawing".clone_into(&mut group.layer);
        let strip =
            Strip { height_mm: drawing.height_mm.max(0.0), items: vec![group.into()], ..Strip::default() };
        let mut chunks =
            vec![Chunk { strip, before_mm: 2.5, keeps_next: !caption.is_empty(), ..Chunk::default() }];
        if !caption.is_empty() {
            let spans = [Span::new(caption).in_ink(Ink::Grey)];
            chunks.extend(cut_words(&spans, self.sizes.small_mm, &Mark::Nothing, width));
        }
        chunks
    }
}

/// Something that is not broken, with what it asks of its neighbours.
#[derive(Clone, Debug, Default)]
struct Chunk {
    strip: Strip,
    /// Room above it, left out at the top of a column, mm.
    before_mm: f64,
    keeps_next: bool,
    /// Left out at the top of a column.
    vanishes: bool,
    heading: Option<(u8, String)>,
    /// The head to repeat if it comes first in a column.
    table_head: Option<Strip>,
    breaks: Breaks,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Breaks {
    #[default]
    No,
    Column,
    Page,
}

fn cut_words(spans: &[Span], size_mm: f64, mark: &Mark, width: f64) -> Vec<Chunk> {
    let size = font::drawn_size_mm(size_mm);
    let indent = match mark {
        Mark::Nothing => 0.0,
        Mark::Sign(sign) => {
            let sign_width = font::width_mm(sign, size, Weight::Semibold);
            (sign_width + 1.8).max(size * 1.6)
        }
        Mark::Bar(_) => 3.2,
    };
    let lines = wrap_spans(spans, size, width - indent);
    let line_height = size * font::LINE_SPACING;
    let count = lines.len();
    lines
        .iter()
        .enumerate()
        .map(|(row, line)| {
            let mut strip = Strip { height_mm: line_height, ..Strip::default() };
            set_line(&mut strip.items, line, Point::new(indent, size * 0.95), size);
            match mark {
                Mark::Sign(sign) if row == 0 => {
                    let text = Text::new(Point::new(0.0, size * 0.95), &**sign, size);
                    let numbered = sign.chars().any(char::is_alphanumeric);
                    strip.items.push(if numbered { text.semibold() } else { text }.into());
                }
                Mark::Bar(ink) => {
                    let pen = Pen::new(0.6).in_ink(*ink);
                    let (top, foot) = (Point::new(0.6, 0.0), Point::new(0.6, line_height));
                    strip.items.push(Path::line(top, foot, pen).into());
                }
                _ => {}
            }
            let list = matches!(mark, Mark::Sign(_));
            Chunk {
                strip,
                before_mm: if row > 0 {
                    0.0
                } else if list {
                    size * 0.28
                } else {
                    size * 0.62
                },
                // Neither the first nor the last line of a paragraph stands alone.
                keeps_next: row + 1 < count && (row == 0 || row + 2 == count),
                ..Chunk::default()
            }
        })
        .collect()
}

fn cut_table(table: &Table, width: f64, height: f64) -> Vec<Chunk> {
    let laid = table.lay_out(width);
    let mut chunks = Vec::new();
    let head = laid.head.clone();
    if let Some(head) = laid.head {
        chunks.push(Chunk { strip: head, before_mm: 2.5, keeps_next: true, ..Chunk::default() });
    }
    let first_before = if head.is_some() { 0.0 } else { 2.5 };
    let highest = height - head.as_ref().map_or(0.0, |head| head.height_mm);
    for (index, strip) in laid.rows.into_iter().enumerate() {
        let keeps_next = laid.row_kinds.get(index) == Some(&RowKind::Heading)
            || laid.row_kinds.get(index + 1) == Some(&RowKind::Total);
        let parts = strip.cut_to(highest, table.size_mm);
        let count = parts.len();
        for (part, strip) in parts.into_iter().enumerate() {
            chunks.push(Chunk {
                strip,
                before_mm: if index == 0 && part == 0 { first_before } else { 0.0 },
                keeps_next: keeps_next && part + 1 == count,
                table_head: if index == 0 && part == 0 { None } else { head.clone() },
                ..Chunk::default()
            });
        }
    }
    chunks
}

struct Packer {
    area: FlowArea,
    pages: Vec<FlowPage>,
    column: usize,
    y: f64,
    fresh: bool,
}

impl Packer {
    fn new(area: FlowArea) -> Self {
        Self { area, pages: vec![FlowPage::default()], column: 0, y: area.area.top, fresh: true }
    }

    fn height_of(chunks: &[Chunk], fresh: bool) -> f64 {
        let mut fresh = fresh;
        chunks
            .iter()
            .map(|chunk| {
                if fresh && chunk.vanishes {
                    return 0.0;
                }
                let head =
                    if fresh { chunk.table_head.as_ref().map_or(0.0, |head| head.height_mm) } else { 0.0 };
                let before = if fresh { 0.0 } else { chunk.before_mm };
                fresh = false;
                head + before + chunk.strip.height_mm
            })
            .sum()
    }

    /// Goes on in the next column if these do not fit together here but would fit there.
    fn make_room_for(&mut self, together: &[Chunk]) {
        let here = self.area.area.bottom - self.y;
        let needed = Self::height_of(together, self.fresh);
        let whole = Self::height_of(together, true);
        let reach = self.area.area.height() + 1e-6;
        // A long table bound by nothing but its head must still begin here if head and first row fit.
        if needed > here + 1e-6 && !self.fresh && whole <= reach {
            self.next_column();
        }
    }

    fn place(&mut self, chunk: &Chunk) {
        match chunk.breaks {
            Breaks::Column => {
                if !self.fresh {
                    self.next_column();
                }
                return;
            }
            Breaks::Page => {
                if !(self.fresh && self.column == 0) {
                    self.next_page();
                }
                return;
            }
            Breaks::No => {}
        }
        let needed = Self::height_of(std::slice::from_ref(chunk), self.fresh);
        if !self.fresh && self.y + needed > self.area.area.bottom + 1e-6 {
            self.next_column();
        }
        if self.fresh {
            if chunk.vanishes {
                return;
            }
            if let Some(head) = &chunk.table_head {
                self.set(head);
            }
        } else {
            self.y += chunk.before_mm;
        }
        let top = self.y;
        self.set(&chunk.strip);
        if let (Some((level, words)), Some(page)) = (&chunk.heading, self.pages.last_mut()) {
            page.headings.push(Bookmark { words: words.clone(), level: level + 1, top_mm: top });
        }
    }

    fn set(&mut self, strip: &Strip) {
        let left =
            self.area.area.left + self.column as f64 * (self.area.column_width_mm() + self.area.gutter_mm);
        let mut group = Group { items: strip.items.clone(), id: strip.id.clone(), ..Group::default() };
        group.shift(left, self.y);
        self.y += strip.height_mm;
        self.fresh = false;
        if let Some(page) = self.pages.last_mut() {
            if group.id.is_some() {
                page.group.add(Item::Group(group));
            } else {
                page.group.extend(group.items);
            }
            page.used_to_mm = self.y;
        }
    }

    fn next_column(&mut self) {
        if self.column + 1 < self.area.columns {
            self.column += 1;
            self.y = self.area.area.top;
            self.fresh = true;
        } else {
            self.next_page();
        }
    }

    fn next_page(&mut self) {
        self.pages.push(FlowPage::default());
        self.column = 0;
        self.y = self.area.area.top;
        self.fresh = true;
    }

    fn finish(self) -> Vec<FlowPage> {
        self.pages
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Column;

    fn area() -> FlowArea {
        FlowArea::columns(Extent::new(14.0, 14.0, 196.0, 240.0), 2)
    }

    fn texts(page: &FlowPage) -> Vec<String> {
        fn gather(items: &[Item], all: &mut Vec<String>) {
            for item in items {
                match item {
                    Item::Text(text) => all.push(text.words.clone()),
                    Item::Group(group) => gather(&group.items, all),
                    _ => {}
                }
            }
        }
        let mut all = Vec::new();
        gather(&page.group.items, &mut all);
        all
    }

    #[test]
    fn a_long_table_repeats_its_head_and_loses_no_row() {
        let mut table = Table::new(vec![Column::right("mark"), Column::wide("what")]);
        for mark in 0..200 {
            table.row([mark.to_string(), format!("bar {mark}")]);
        }
        let mut flow = Flow::new();
        flow.heading(1, "Marks").table(table);
        let pages = flow.pages(area());
        assert!(pages.len() > 1);
        let all: Vec<String> = pages.iter().flat_map(texts).collect();
        for mark in 0..200 {
            assert_eq!(all.iter().filter(|words| **words == format!("bar {mark}")).count(), 1);
        }
        let heads = all.iter().filter(|words| *words == "mark").count();
        assert!(heads >= 2 * pages.len() - 1, "{heads} heads on {} pages", pages.len());
    }

    #[test]
    fn nothing_leaves_the_area_and_headings_keep_their_text() {
        let mut flow = Flow::new();
        for section in 0..30 {
            flow.heading(2, format!("Section {section}"));
            flow.paragraph(
                "The first layer is fixed with its joints away from those of the second. "
                    .repeat(1 + section % 7),
            );
            flow.warning("Two people lift a board; wear goggles under the saw.");
            flow.numbered("12", vec![Span::semibold("Hold point. "), Span::new("Measure the gap.")]);
        }
        let area = area();
        for page in flow.pages(area) {
            let drawn = page.group.drawn_extent().unwrap();
            assert!(area.area.holds(&drawn), "{drawn:?}");
            for heading in &page.headings {
                assert!(heading.top_mm + 10.0 < area.area.bottom, "{heading:?} stands alone");
            }
        }
    }

    #[test]
    fn a_row_higher_than_a_page_runs_on_without_losing_a_word() {
        let words: Vec<String> = (0..900).map(|word| format!("word{word}")).collect();
        let mut table = Table::new(vec![Column::right("mark"), Column::wide("what")]);
        table.row(["1".to_owned(), words.join(" ")]);
        table.row(["2", "after"]);
        let mut flow = Flow::new();
        flow.table(table);
        let area = FlowArea::single(Extent::new(10.0, 10.0, 80.0, 110.0));
        let pages = flow.pages(area);
        assert!(pages.len() > 2);
        for page in &pages {
            assert!(area.area.holds(&page.group.drawn_extent().unwrap()));
        }
        let all = pages.iter().flat_map(texts).collect::<Vec<_>>().join(" ");
        let found: Vec<&str> = all.split(' ').filter(|word| word.starts_with("word")).collect();
        assert_eq!(found, words);
    }

    #[test]
    fn what_is_too_high_stands_alone_and_an_empty_flow_is_one_page() {
        let mut flow = Flow::new();
        flow.paragraph("before").drawing(Scene::new(50.0, 900.0), "high").paragraph("after");
        assert_eq!(flow.pages(FlowArea::single(Extent::new(0.0, 0.0, 100.0, 100.0))).len(), 3);
        assert_eq!(Flow::new().pages(area()).len(), 1);
    }
}
