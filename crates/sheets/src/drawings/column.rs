//! The column beside a drawing: what it is called, how it is read, its tables and notes.

use paper::{
    Baseline, Extent, Group, Hatch, Ink, Item, Path, Pen, Point, Text, Weight, font, hatch, table::Table,
    wrap::wrap,
};
use plan::Plan;

use super::{ROOM_FOR_DRAWING_MM, is_small};

/// Size of the letters, mm.
const SIZE_MM: f64 = 2.7;
/// Width of a sample in the legend, mm.
const SAMPLE_MM: f64 = 12.0;

/// Words and tables one below another, top down.
pub(super) struct Column<'a> {
    plan: &'a Plan,
    group: Group,
    left: f64,
    width: f64,
    top: f64,
    bottom: f64,
    full: bool,
    next: Option<Extent>,
    went_on: bool,
}

/// A heading this near to the foot goes over into the second column, if there is one, mm.
const UNDER_A_HEADING_MM: f64 = 24.0;

/// What a column on small paper leaves free at the right end, mm.
const OFF_THE_FRAME_MM: f64 = 5.0;

/// How a line of the legend is drawn.
pub(super) enum Sample {
    /// A line.
    Line(Pen),
    /// A band with a line along its middle.
    Band {
        /// Pen of its edges.
        edge: Pen,
        /// Ink inside.
        fill: Ink,
        /// Pen of its middle line, if it has one.
        middle: Option<Pen>,
    },
    /// A surface.
    Surface {
        /// Pen of its outline.
        edge: Pen,
        /// Its hatch.
        hatch: Hatch,
        /// Ink of the hatch.
        ink: Ink,
    },
    /// A sign drawn round the middle of the sample.
    Sign(Box<dyn Fn(Point) -> Group>),
}

impl<'a> Column<'a> {
    /// An empty column; what is written in it is shown as the plan's title says.
    ///
    /// Two small sheets glued together have hardly more room than a large one: at the right end a column leaves some free, so that it does not
    /// touch the frame.
    pub(super) fn new(plan: &'a Plan, room: Extent) -> Self {
        let at_the_end = room.right > ROOM_FOR_DRAWING_MM[0] - OFF_THE_FRAME_MM;
        let free_mm = if is_small(plan.title.paper) && at_the_end { OFF_THE_FRAME_MM } else { 0.0 };
        Self {
            plan,
            group: Group::on_layer("notes"),
            left: room.left,
            width: room.width() - free_mm,
            top: room.top,
            bottom: room.bottom,
            full: false,
            next: None,
            went_on: false,
        }
    }

    /// Gives a second column for what the first has no room for.
    pub(super) fn go_on_in(&mut self, room: Extent) {
        self.next = Some(room);
    }

    /// Whether anything stands in the second column.
    pub(super) fn went_on(&self) -> bool {
        self.went_on
    }

    /// Goes on in the second column, if there is one still empty.
    fn go_on(&mut self) -> bool {
        let Some(room) = self.next.take() else { return false };
        self.went_on = true;
        (self.left, self.width, self.top, self.bottom) = (room.left, room.width(), room.top, room.bottom);
        true
    }

    /// The name of the drawing and how it is read.
    pub(super) fn title(&mut self, title: &str, subtitle: &str) {
        self.words(title, 4.6, Weight::Semibold, Ink::Ink);
        self.words(subtitle, SIZE_MM, Weight::Regular, Ink::Grey);
        self.gap(2.0);
    }

    /// A heading over what follows.
    pub(super) fn heading(&mut self, words: &str) {
        if self.top + UNDER_A_HEADING_MM > self.bottom {
            self.go_on();
        }
        self.gap(1.6);
        self.words(words, 3.0, Weight::Semibold, Ink::Ink);
        self.gap(0.4);
    }

    /// A note.
    pub(super) fn note(&mut self, words: &str) {
        self.words(words, SIZE_MM, Weight::Regular, Ink::Ink);
        self.gap(0.8);
    }

    /// A note on what is wrong or must be done.
    pub(super) fn warning(&mut self, words: &str) {
        self.words(words, SIZE_MM, Weight::Regular, Ink::Red);
        self.gap(0.8);
    }

    /// A line of the legend.
    pub(super) fn legend(&mut self, sample: &Sample, words: &str) {
        let line = SIZE_MM * font::LINE_SPACING;
        let words = self.plan.shown(words);
        if self.top + line * 4.0 > self.bottom {
            self.go_on();
        }
        let lines = wrap(&words, SIZE_MM, Weight::Regular, self.width - SAMPLE_MM - 3.0);
        if !self.has_room(line * lines.len() as f64) {
            return;
        }
        let middle_y = self.top + line * 0.5;
        let extent = Extent::new(self.left, middle_y - 1.3, self.left + SAMPLE_MM, middle_y + 1.3);
        let centre = extent.centre();
        let across =
            |pen: Pen| Path::line(Point::new(extent.left, centre.y), Point::new(extent.right, centre.y), pen);
        match sample {
            Sample::Line(pen) => self.group.add(across(*pen)),
            Sample::Band { edge, fill, middle } => {
                let band = Extent { top: centre.y - 0.8, bottom: centre.y + 0.8, ..extent };
                self.group.add(Path::rectangle(band, *edge).with_fill(*fill));
                if let Some(pen) = middle {
                    self.group.add(across(*pen));
                }
            }
            Sample::Surface { edge, hatch, ink } => {
                self.group.extend(hatch::fill(&extent.corners(), *hatch, *ink));
                self.group.add(Path::rectangle(extent, *edge));
            }
            Sample::Sign(draw) => self.group.add(draw(centre)),
        }
        for (row, words) in lines.iter().enumerate() {
            let at = Point::new(self.left + SAMPLE_MM + 3.0, middle_y + line * row as f64);
            self.group.add(Text::new(at, words.as_str(), SIZE_MM).on(Baseline::Middle));
        }
        self.top += line * lines.len() as f64 + 0.9;
    }

    /// A table; of one that would not fit above what is left as many rows as there is room for, the rest in the second column, or the
    /// words that say where it is. `keep_mm` is left free below it where there is no second column.
    pub(super) fn table(&mut self, mut table: Table, rest: &str, keep_mm: f64) {
        let size = SIZE_MM.min(table.size_mm);
        table.size_mm = size;
        table.reword(&|words| self.plan.shown(words));
        let keep_mm = if self.next.is_some() { 0.0 } else { keep_mm };
        let room = self.bottom - self.top - keep_mm;
        let mut over = Vec::new();
        loop {
            let (group, height) = table.draw(Point::new(self.left, self.top), self.width);
            if height <= room {
                self.group.add(group);
                self.top += height + 0.8;
                break;
            }
            let Some(row) = table.rows.pop() else { break };
            over.push(row);
            if table.rows.is_empty() {
                break;
            }
        }
        if over.is_empty() {
            return;
        }
        let none = table.rows.is_empty();
        over.reverse();
        if self.go_on() {
            table.rows = over;
            self.table(table, rest, keep_mm);
        } else if none {
            let words = rest.replacen("the rest stand", "there is no room for them here: they stand", 1);
            self.words(&words, SIZE_MM, Weight::Regular, Ink::Grey);
        } else if !rest.is_empty() {
            self.words(rest, SIZE_MM, Weight::Regular, Ink::Grey);
        }
    }

    /// Things drawn side by side at the foot of the column; words written afterwards end above them.
    pub(super) fn foot(&mut self, groups: Vec<Group>) {
        let mut left = self.left;
        let mut highest = 0.0_f64;
        for mut group in groups {
            let Some(extent) = group.drawn_extent() else { continue };
            group.shift(left - extent.left, self.bottom - extent.bottom);
            left += extent.width() + 8.0;
            highest = highest.max(extent.height());
            self.group.add(group);
        }
        self.bottom -= highest + 2.0;
    }

    /// Whether so much more fits above the foot. The first time it does not, a last line says that there is more.
    fn has_room(&mut self, height_mm: f64) -> bool {
        let line = SIZE_MM * font::LINE_SPACING;
        if !self.full && self.top + height_mm + line > self.bottom && !self.go_on() {
            self.full = true;
            let at = Point::new(self.left, self.top + line * 0.5);
            let text = Text::new(at, "There is more: see the lists of this plan.", SIZE_MM);
            self.group.add(text.in_ink(Ink::Grey).on(Baseline::Middle));
        }
        !self.full
    }

    /// Empty paper.
    pub(super) fn gap(&mut self, height_mm: f64) {
        self.top += height_mm;
    }

    fn words(&mut self, words: &str, size: f64, weight: Weight, ink: Ink) {
        if words.is_empty() {
            return;
        }
        let line = size * font::LINE_SPACING;
        // Wrapped for the column it stands in: words that do not end in the first go over whole.
        let lines = wrap(&self.plan.shown(words), size, weight, self.width).len();
        if self.top + line * (lines + 1) as f64 > self.bottom {
            self.go_on();
        }
        for words in wrap(&self.plan.shown(words), size, weight, self.width) {
            if !self.has_room(line) {
                return;
            }
            let at = Point::new(self.left, self.top + line * 0.5);
            self.group.add(Text::new(at, words, size).in_weight(weight).in_ink(ink).on(Baseline::Middle));
            self.top += line;
        }
    }

    /// Everything in the column.
    pub(super) fn finish(self) -> Item {
        Item::Group(self.group)
    }
}
