//! Tables set like a good timetable: light rules, columns aligned, figures under figures, the head repeated on every
//! page.

use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::point::Point;
use crate::scene::{Anchor, Group, Item, Path, Text};
use crate::wrap::{Line, Span, wrap_spans};

/// Where the words of a column stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    /// At its left edge: words.
    #[default]
    Left,
    /// At its right edge: figures with the same number of decimals.
    Right,
    /// In its middle: marks.
    Centre,
    /// With the decimal points under each other.
    Decimal,
}

/// How wide a column is.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Width {
    /// As wide as its widest cell, less if the table would not fit.
    #[default]
    Natural,
    /// So many millimetres.
    Fixed(f64),
    /// A share of what the others leave.
    Share(f64),
}

/// A column.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Column {
    /// Its head; may be empty.
    pub head: String,
    /// Where its words stand.
    pub align: Align,
    /// How wide it is.
    pub width: Width,
}

impl Column {
    /// A column of words as wide as they are.
    pub fn left(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Left, width: Width::Natural }
    }

    /// A column of figures.
    pub fn right(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Right, width: Width::Natural }
    }

    /// A column of figures with the decimal points under each other.
    pub fn decimal(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Decimal, width: Width::Natural }
    }

    /// A column of marks.
    pub fn centred(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Centre, width: Width::Natural }
    }

    /// A column of words that takes what the others leave.
    pub fn wide(head: impl Into<String>) -> Self {
        Self { head: head.into(), align: Align::Left, width: Width::Share(1.0) }
    }

    /// The same column with another width.
    #[must_use]
    pub fn with_width(mut self, width: Width) -> Self {
        self.width = width;
        self
    }
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Cell {
    /// Its words.
    pub spans: Vec<Span>,
}

impl Cell {
    /// The same cell in red.
    #[must_use]
    pub fn red(self) -> Self {
        self.in_ink(Ink::Red)
    }

    /// The same cell in grey.
    #[must_use]
    pub fn grey(self) -> Self {
        self.in_ink(Ink::Grey)
    }

    /// The same cell in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        for span in &mut self.spans {
            span.ink = ink;
        }
        self
    }

    /// The same cell in semibold.
    #[must_use]
    pub fn semibold(mut self) -> Self {
        for span in &mut self.spans {
            span.weight = Weight::Semibold;
        }
        self
    }

    fn plain(&self) -> String {
        self.spans.iter().map(|span| span.words.as_str()).collect()
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self { spans: vec![Span::new(words)] }
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Self { spans: vec![Span::new(words)] }
    }
}

impl From<Vec<Span>> for Cell {
    fn from(spans: Vec<Span>) -> Self {
        Self { spans }
    }
}

/// What a row is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RowKind {
    /// An ordinary row.
    #[default]
    Plain,
    /// A heading over the rows that follow: its first cell runs across the table, semibold.
    Heading,
    /// A sum: semibold under a stronger rule.
    Total,
}

/// A row.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Row {
    /// Its cells; missing ones are empty, those too many are left out.
    pub cells: Vec<Cell>,
    /// What it is.
    pub kind: RowKind,
    /// Identifier a page can find it by.
    pub id: Option<String>,
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Size of the letters, mm.
    pub size_mm: f64,
}

impl Table {
    /// A table with letters of 2.8 mm and no rows.
    pub fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new(), size_mm: 2.8 }
    }

    /// Adds an ordinary row.
    pub fn row<C: Into<Cell>>(&mut self, cells: impl IntoIterator<Item = C>) -> &mut Row {
        self.push(RowKind::Plain, cells)
    }

    /// Adds a heading over the rows that follow.
    pub fn heading(&mut self, words: impl Into<Cell>) {
        self.push(RowKind::Heading, [words]);
    }

    /// Adds a sum.
    pub fn total<C: Into<Cell>>(&mut self, cells: impl IntoIterator<Item = C>) -> &mut Row {
        self.push(RowKind::Total, cells)
    }

    fn push<C: Into<Cell>>(&mut self, kind: RowKind, cells: impl IntoIterator<Item = C>) -> &mut Row {
        let row = Row { cells: cells.into_iter().map(Into::into).collect(), kind, id: None };
        self.rows.push_mut(row)
    }

    /// Draws the whole table, its top left corner at a point, and gives its height in mm.
    pub fn draw(&self, corner: Point, width_mm: f64) -> (Group, f64) {
        let laid = self.lay_out(width_mm);
        let mut group = Group::on_layer("tables");
        let mut top = corner.y;
        for strip in laid.head.into_iter().chain(laid.rows) {
            let mut strip_group = Group { items: strip.items, id: strip.id, ..Group::default() };
            strip_group.shift(corner.x, top);
            top += strip.height_mm;
            group.add(strip_group);
        }
        (group, top - corner.y)
    }

    /// The table cut into rows at a width; flows place them one below another.
    pub(crate) fn lay_out(&self, width_mm: f64) -> LaidTable {
        let size = font::drawn_size_mm(self.size_mm);
        let widths = self.column_widths(width_mm, size);
        let fractions: Vec<f64> =
            (0..self.columns.len()).map(|index| self.widest_fraction(index, size)).collect();
        let setter =
            Setter { table: self, size, gap: self.gap_mm(width_mm), widths: &widths, fractions: &fractions };
        let has_head = self.columns.iter().any(|column| !column.head.is_empty());
        LaidTable {
            head: has_head.then(|| setter.head()),
            rows: self.rows.iter().map(|row| setter.row(row)).collect(),
            row_kinds: self.rows.iter().map(|row| row.kind).collect(),
        }
    }

    /// Between columns; less in a narrow table, where the gaps would take more than a third.
    fn gap_mm(&self, width_mm: f64) -> f64 {
        let gaps = (self.columns.len().max(2) - 1) as f64;
        if width_mm.is_finite() { COLUMN_GAP_MM.min(width_mm.max(0.0) * 0.3 / gaps) } else { COLUMN_GAP_MM }
    }

    fn column_widths(&self, width_mm: f64, size: f64) -> Vec<f64> {
        let gaps = self.gap_mm(width_mm) * (self.columns.len().max(1) - 1) as f64;
        let room = (width_mm - gaps).max(size);
        let mut widths: Vec<f64> = Vec::with_capacity(self.columns.len());
        let mut least: Vec<f64> = Vec::with_capacity(self.columns.len());
        for (index, column) in self.columns.iter().enumerate() {
            let (natural, narrowest) = self.natural_width(index, size);
            match column.width {
                Width::Natural => {
                    widths.push(natural);
                    least.push(narrowest);
                }
                Width::Fixed(fixed) => {
                    let fixed = if fixed.is_finite() { fixed.max(size) } else { natural };
                    widths.push(fixed);
                    least.push(fixed);
                }
                Width::Share(_) => {
                    widths.push(narrowest);
                    least.push(narrowest);
                }
            }
        }
        let used: f64 = widths.iter().sum();
        if used <= room {
            let share = |column: &Column| match column.width {
                Width::Share(share) if share.is_finite() => share.max(0.0),
                _ => 0.0,
            };
            let whole: f64 = self.columns.iter().map(share).sum();
            if whole > 0.0 {
                for (width, column) in widths.iter_mut().zip(&self.columns) {
                    *width += (room - used) * share(column) / whole;
                }
            }
            return widths;
        }
        // Too wide: columns give way in proportion to what they can spare, and below their longest word only when
        // all have given what they can.
        let spare: f64 = widths.iter().zip(&least).map(|(width, least)| (width - least).max(0.0)).sum();
        let needed = used - room;
        if spare > 0.0 {
            let part = (needed / spare).min(1.0);
            for (width, least) in widths.iter_mut().zip(&least) {
                *width -= (*width - least).max(0.0) * part;
            }
        }
        let still: f64 = widths.iter().sum();
        if still > room {
            for width in &mut widths {
                *width *= room / still;
            }
        }
        widths
    }

    /// Width of a column's widest cell, and of its longest word, mm.
    fn natural_width(&self, index: usize, size: f64) -> (f64, f64) {
        let measure = |words: &str, weight: Weight| {
            let widest_word =
                words.split([' ', '\n']).map(|word| font::width_mm(word, size, weight)).fold(0.0, f64::max);
            let widest_line =
                words.split('\n').map(|line| font::width_mm(line, size, weight)).fold(0.0, f64::max);
            (widest_line, widest_word)
        };
        let head =
            self.columns.get(index).map_or((0.0, 0.0), |column| measure(&column.head, Weight::Regular));
        let align = self.columns.get(index).map(|column| column.align).unwrap_or_default();
        let mut whole = 0.0_f64;
        let mut fraction = 0.0_f64;
        let mut result = head;
        for row in self.rows.iter().filter(|row| row.kind != RowKind::Heading) {
            let Some(cell) = row.cells.get(index) else { continue };
            let weight = heaviest(cell, row.kind);
            let (line, word) = measure(&cell.plain(), weight);
            result = (result.0.max(line), result.1.max(word));
            if align == Align::Decimal {
                let words = cell.plain();
                let (before, after) = split_decimal(&words);
                whole = whole.max(font::width_mm(before, size, weight));
                fraction = fraction.max(font::width_mm(after, size, weight));
            }
        }
        if align == Align::Decimal {
            let both = whole + fraction;
            result = (result.0.max(both), result.1.max(both));
        }
        (result.0.max(size) + 0.01, result.1.max(size) + 0.01)
    }

    fn widest_fraction(&self, index: usize, size: f64) -> f64 {
        if self.columns.get(index).is_none_or(|column| column.align != Align::Decimal) {
            return 0.0;
        }
        self.rows
            .iter()
            .filter(|row| row.kind != RowKind::Heading)
            .filter_map(|row| row.cells.get(index).map(|cell| (cell, row.kind)))
            .map(|(cell, kind)| font::width_mm(split_decimal(&cell.plain()).1, size, heaviest(cell, kind)))
            .fold(0.0, f64::max)
    }
}

/// Between columns, mm.
const COLUMN_GAP_MM: f64 = 3.6;
/// Above and below the words of a row, mm.
const ROW_PAD_MM: f64 = 1.25;

/// A table cut into rows, each with its own items at zero.
pub(crate) struct LaidTable {
    pub(crate) head: Option<Strip>,
    pub(crate) rows: Vec<Strip>,
    pub(crate) row_kinds: Vec<RowKind>,
}

/// A part of a column of text that is not broken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Strip {
    pub(crate) height_mm: f64,
    pub(crate) items: Vec<Item>,
    pub(crate) id: Option<String>,
}

impl Strip {
    /// The strip itself, or, if it is higher than a column, parts of it cut between lines of its letters.
    pub(crate) fn cut_to(self, highest_mm: f64, size_mm: f64) -> Vec<Self> {
        let line_height = font::drawn_size_mm(size_mm) * font::LINE_SPACING;
        let lines = ((highest_mm - 2.0 * ROW_PAD_MM) / line_height).floor();
        if self.height_mm <= highest_mm || lines < 1.0 {
            return vec![self];
        }
        let part = lines * line_height;
        let count = ((self.height_mm - 2.0 * ROW_PAD_MM) / part).ceil().max(1.0);
        let mut parts: Vec<Self> = (0..count as u32)
            .map(|index| {
                let height = (self.height_mm - f64::from(index) * part).min(part + 2.0 * ROW_PAD_MM);
                Self { height_mm: height.max(0.0), id: self.id.clone(), items: Vec::new() }
            })
            .collect();
        for mut item in self.items {
            let top = match &item {
                Item::Text(text) => text.at.y - ROW_PAD_MM,
                other => other.drawn_extent().map_or(0.0, |extent| extent.bottom) - 2.0 * ROW_PAD_MM,
            };
            let index = (top / part - 1e-9).floor().clamp(0.0, count - 1.0);
            item.shift(0.0, -index * part);
            if let Some(strip) = parts.get_mut(index as usize) {
                strip.items.push(item);
            }
        }
        parts
    }
}

struct Setter<'a> {
    table: &'a Table,
    size: f64,
    gap: f64,
    widths: &'a [f64],
    fractions: &'a [f64],
}

impl Setter<'_> {
    fn head(&self) -> Strip {
        let cells: Vec<Vec<Line>> = self
            .table
            .columns
            .iter()
            .zip(self.widths)
            .map(|(column, &width)| {
                wrap_spans(&[Span::new(&*column.head).in_ink(Ink::Grey)], self.size, width)
            })
            .collect();
        let mut strip = self.set(&cells, true);
        self.rule(&mut strip, 0.0, Pen::new(0.25));
        strip
    }

    fn row(&self, row: &Row) -> Strip {
        let heading = row.kind == RowKind::Heading;
        let semibold = row.kind != RowKind::Plain;
        let in_weight = |cell: &Cell| {
            let cell = cell.clone();
            if semibold { cell.semibold() } else { cell }
        };
        let full = self.full_width();
        let mut strip = if heading {
            let words = row.cells.first().map(in_weight).unwrap_or_default();
            let lines = wrap_spans(&words.spans, self.size, full);
            let mut strip = self.set(&[lines], false);
            // Room above a heading parts it from the rows before.
            for item in &mut strip.items {
                item.shift(0.0, ROW_PAD_MM);
            }
            strip.height_mm += ROW_PAD_MM;
            strip
        } else {
            let empty = Cell::default();
            let cells: Vec<Vec<Line>> = self
                .widths
                .iter()
                .enumerate()
                .map(|(index, &width)| {
                    let cell = in_weight(row.cells.get(index).unwrap_or(&empty));
                    wrap_spans(&cell.spans, self.size, width)
                })
                .collect();
            self.set(&cells, false)
        };
        if row.kind == RowKind::Total {
            let (left, right) = (Point::new(0.0, 0.0), Point::new(full, 0.0));
            strip.items.push(Path::line(left, right, Pen::new(0.25)).into());
        } else {
            self.rule(&mut strip, 0.0, Pen::FINE.in_ink(Ink::Light));
        }
        strip.id.clone_from(&row.id);
        strip
    }

    fn full_width(&self) -> f64 {
        let gaps = self.gap * (self.widths.len().max(1) - 1) as f64;
        self.widths.iter().sum::<f64>() + gaps
    }

    fn rule(&self, strip: &mut Strip, above_foot: f64, pen: Pen) {
        let y = strip.height_mm - above_foot;
        strip.items.push(Path::line(Point::new(0.0, y), Point::new(self.full_width(), y), pen).into());
    }

    /// Sets the lines of every cell of a row; those of a head stand on its foot, others hang from the top.
    fn set(&self, cells: &[Vec<Line>], stands: bool) -> Strip {
        let line_height = self.size * font::LINE_SPACING;
        let most = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        let height = most as f64 * line_height - self.size * (font::LINE_SPACING - 1.0) + 2.0 * ROW_PAD_MM;
        let mut strip = Strip { height_mm: height, ..Strip::default() };
        let mut left = 0.0;
        for (index, lines) in cells.iter().enumerate() {
            let width = if cells.len() == 1 && self.widths.len() > 1 {
                self.full_width()
            } else {
                self.widths.get(index).copied().unwrap_or(0.0)
            };
            let align = self.table.columns.get(index).map(|column| column.align).unwrap_or_default();
            let drop = if stands { (most - lines.len()) as f64 * line_height } else { 0.0 };
            for (row, line) in lines.iter().enumerate() {
                let foot = ROW_PAD_MM + drop + row as f64 * line_height + self.size * 0.83;
                let fraction = self.fractions.get(index).copied().unwrap_or(0.0);
                let begin = match align {
                    Align::Left => left,
                    Align::Right => left + width - line.width_mm,
                    Align::Centre => left + (width - line.width_mm) / 2.0,
                    Align::Decimal if stands || lines.len() > 1 => left + width - line.width_mm,
                    Align::Decimal => {
                        let words: String = line.spans.iter().map(|span| span.words.as_str()).collect();
                        let weight = line.spans.first().map(|span| span.weight).unwrap_or_default();
                        let before = font::width_mm(split_decimal(&words).0, self.size, weight);
                        left + width - fraction - before
                    }
                };
                set_line(&mut strip.items, line, Point::new(begin, foot), self.size);
            }
            left += width + self.gap;
        }
        strip
    }
}

/// Draws the spans of a line one after another from a point of its foot line.
pub(crate) fn set_line(items: &mut Vec<Item>, line: &Line, from: Point, size_mm: f64) {
    let mut x = from.x;
    for span in &line.spans {
        let text = Text::new(Point::new(x, from.y), &*span.words, size_mm);
        items.push(text.in_weight(span.weight).in_ink(span.ink).anchored(Anchor::Start).into());
        x += font::width_mm(&span.words, size_mm, span.weight);
    }
}

fn heaviest(cell: &Cell, kind: RowKind) -> Weight {
    if kind == RowKind::Plain {
        cell.spans.iter().map(|span| span.weight).max().unwrap_or_default()
    } else {
        Weight::Semibold
    }
}

/// A number before its decimal point, and from the point on.
fn split_decimal(words: &str) -> (&str, &str) {
    let digits_end = words.find('.').filter(|&at| {
        words.get(at + 1..).is_some_and(|rest| rest.starts_with(|next: char| next.is_ascii_digit()))
    });
    let at = digits_end.unwrap_or_else(|| {
        // Without a point, the unit or whatever follows the figures stands where the decimals would.
        words.rfind(|c: char| c.is_ascii_digit()).map_or(words.len(), |at| at + 1)
    });
    (words.get(..at).unwrap_or(words), words.get(at..).unwrap_or(""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::point::Extent;

    fn marks() -> Table {
        let mut table = Table::new(vec![
            Column::right("from corner A"),
            Column::wide("what"),
            Column::decimal("kg"),
            Column::centred("done"),
        ]);
        table.heading("Wall plate A–E");
        table.row(["95", "perimeter bar", "1.25", "✓"]);
        table.row(["2\u{202F}380", "bar 5, board joint, and a remark that is long enough to wrap", "12", ""]);
        table.row([Cell::from("640").red(), "bar 2".into(), "3.5".into()]);
        table.total(["", "all", "16.75"]);
        table
    }

    #[test]
    fn a_table_stays_in_its_width_whatever_it_is() {
        for width in [20.0, 30.0, 60.0, 120.0] {
            let (group, height) = marks().draw(Point::new(5.0, 5.0), width);
            let drawn = group.drawn_extent().unwrap();
            let room = Extent::new(5.0, 5.0, 5.0 + width, 5.0 + height);
            assert!(room.holds(&drawn), "{width}: {drawn:?}");
        }
    }

    #[test]
    fn decimal_points_stand_under_each_other() {
        let (group, _) = marks().draw(Point::default(), 100.0);
        let mut at = Vec::new();
        for strip in &group.items {
            let Item::Group(strip) = strip else { continue };
            for item in &strip.items {
                let Item::Text(text) = item else { continue };
                if ["1.25", "12", "3.5"].contains(&text.words.as_str()) {
                    let before = split_decimal(&text.words).0;
                    at.push(text.at.x + font::width_mm(before, 2.8, Weight::Regular));
                }
            }
        }
        assert_eq!(at.len(), 3);
        assert!(at.iter().all(|x| (x - at[0]).abs() < 1e-9), "{at:?}");
    }

    #[test]
    fn a_number_is_split_at_its_point() {
        assert_eq!(split_decimal("12.50 kg"), ("12", ".50 kg"));
        assert_eq!(split_decimal("12 kg"), ("12", " kg"));
        assert_eq!(split_decimal("–"), ("–", ""));
        assert_eq!(split_decimal("approx."), ("approx.", ""));
    }

    #[test]
    fn an_empty_table_is_nothing() {
        let (group, height) = Table::new(Vec::new()).draw(Point::default(), 100.0);
        assert!(group.items.is_empty() && height.abs() < 1e-12);
    }
}
