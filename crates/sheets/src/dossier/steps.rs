//! The build, step by step: a card a step, its hold point boxed with a box to tick.

use paper::{
    Anchor, Extent, Group, Ink, Path, Pen, Point, Text, Weight,
    flow::FlowPage,
    font,
    table::{Cell, Column, Table},
    wrap::{Span, wrap, wrap_spans},
};
use plan::{Plan, outcome::Step};
use quantities::format::{number, with_unit};

use super::{
    heading,
    pages::{as_on_a3, tied},
};

const GUTTER_MM: f64 = 9.0;
/// Text of a card begins so far from its left edge, under its title.
const INDENT_MM: f64 = 10.0;
/// Sizes of the text, the largest that takes no more sheets than the smallest is used, mm.
const TEXT_MM: [f64; 4] = [3.6, 3.4, 3.2, 3.0];
const CARD_GAP_MM: f64 = 5.0;

/// The steps in their order.
pub(super) fn steps(plan: &Plan, area: Extent) -> Vec<FlowPage> {
    if plan.steps.is_empty() {
        return Vec::new();
    }
    let width = column_width(area);
    let laid: Vec<Vec<Card>> = TEXT_MM
        .iter()
        .map(|&size| {
            let overview = overview(plan, width, size);
            std::iter::once(overview)
                .chain(plan.steps.iter().map(|step| card(plan, step, width, size)))
                .collect()
        })
        .collect();
    let sheets = laid.iter().map(|cards| pack(cards, area, area.height()).len()).min().unwrap_or(1);
    let Some(cards) = laid.iter().find(|cards| pack(cards, area, area.height()).len() <= sheets) else {
        return Vec::new();
    };
    // Columns no fuller than needed for that many sheets, so that the last is not left half empty.
    let mut height = area.height();
    while height > 80.0 && pack(cards, area, height - 3.0).len() <= sheets {
        height -= 3.0;
    }
    pack(cards, area, height)
}

fn columns(area: Extent) -> usize {
    as_on_a3(3, area)
}

fn column_width(area: Extent) -> f64 {
    let count = columns(area) as f64;
    (area.width() - GUTTER_MM * (count - 1.0)) / count
}

/// Something drawn from (0, 0) down.
struct Card {
    group: Group,
    height: f64,
    title: String,
}

fn pack(cards: &[Card], area: Extent, height: f64) -> Vec<FlowPage> {
    let (columns, width) = (columns(area), column_width(area));
    let mut pages = vec![FlowPage::default()];
    let (mut column, mut y) = (0, 0.0);
    for (index, card) in cards.iter().enumerate() {
        if y > 0.0 && y + card.height > height {
            y = 0.0;
            column += 1;
            if column == columns {
                column = 0;
                pages.push(FlowPage::default());
            }
        }
        let Some(page) = pages.last_mut() else { break };
        let mut group = card.group.clone();
        let top = area.top + y;
        group.shift(area.left + column as f64 * (width + GUTTER_MM), top);
        page.group.add(group);
        page.headings.push(heading(&card.title, if index == 0 { 1 } else { 2 }, top));
        page.used_to_mm = top + card.height;
        y += card.height + CARD_GAP_MM;
    }
    pages
}

/// Words set one below another.
struct Setter {
    group: Group,
    y: f64,
    width: f64,
    size: f64,
}

impl Setter {
    fn new(width: f64, size: f64) -> Self {
        Self { group: Group::on_layer("text"), y: 0.0, width, size }
    }

    /// Lines of words from `left`, with a sign before the first.
    fn words(&mut self, spans: &[Span], sign: &str, (left, right): (f64, f64)) {
        let line_height = self.size * font::LINE_SPACING;
        for (row, line) in wrap_spans(spans, self.size, right - left).iter().enumerate() {
            let foot = self.y + self.size * 0.95;
            if row == 0 && !sign.is_empty() {
                self.group.add(Text::new(Point::new(left - 4.0, foot), sign, self.size));
            }
            let mut x = left;
            for span in &line.spans {
                let text = Text::new(Point::new(x, foot), span.words.clone(), self.size)
                    .in_weight(span.weight)
                    .in_ink(span.ink);
                x += text.width_mm();
                self.group.add(text);
            }
            self.y += line_height;
        }
    }
}

fn overview(plan: &Plan, width: f64, size: f64) -> Card {
    let mut set = Setter::new(width, size);
    set.group.add(Text::new(Point::new(0.0, 5.0), "Build, step by step", 5.6).semibold());
    set.y = 9.5;
    set.words(
        &[Span::new(
            "In the order of what must be true first. At a hold point, measure and tick before going on. Hours are rough and common \
             practice, for all people together at the work.",
        )],
        "",
        (0.0, width),
    );
    set.y += 3.0;
    let mut table = Table::new(vec![
        Column::right("step"),
        Column::wide(""),
        Column::right("people"),
        Column::right("hours"),
    ]);
    for step in &plan.steps {
        table.row([
            Cell::from(step.number.to_string()).semibold(),
            step.title.clone().into(),
            step.people.to_string().into(),
            number(step.hours, 1).into(),
        ]);
    }
    let hours: f64 = plan.steps.iter().map(|step| step.hours).sum();
    let most = plan.steps.iter().map(|step| step.people).max().unwrap_or(0);
    table.size_mm = size.min(3.0);
    table.total([
        String::new(),
        "together, and most people at once".to_owned(),
        most.to_string(),
        number(hours, 1),
    ]);
    let (drawn, height) = table.draw(Point::new(0.0, set.y), set.width);
    set.group.add(drawn);
    Card { group: set.group, height: set.y + height, title: "Steps at a glance".to_owned() }
}

fn card(plan: &Plan, step: &Step, width: f64, size: f64) -> Card {
    let mut set = Setter::new(width, size);
    set.group.add(Path::line(Point::new(0.0, 0.0), Point::new(width, 0.0), Pen::MEDIUM));
    let people = format!(
        "{}\u{00A0}{}, {}",
        step.people,
        if step.people == 1 { "person" } else { "people" },
        with_unit(step.hours, 1, "h")
    );
    let right = Text::new(Point::new(width, 5.4), people, 2.8).anchored(Anchor::End).in_ink(Ink::Grey);
    let title_room = width - INDENT_MM - right.width_mm() - 4.0;
    set.group.add(right);
    set.group.add(Text::new(Point::new(0.0, 5.6), step.number.to_string(), 5.4).semibold());
    set.y = 5.6;
    for (row, line) in wrap(&step.title, 3.8, Weight::Semibold, title_room).into_iter().enumerate() {
        if row > 0 {
            set.y += 3.8 * 1.25;
        }
        set.group.add(Text::new(Point::new(INDENT_MM, set.y), line, 3.8).semibold());
    }
    set.y += 2.6;
    for sentence in &step.text {
        set.words(&[Span::new(tied(&plan.shown(sentence)))], "–", (INDENT_MM, width));
        set.y += 0.7;
    }
    if let Some(hold) = &step.hold_point {
        set.y += 1.6;
        let top = set.y;
        set.y += 1.9;
        let inner = (INDENT_MM + 2.6, width - 2.6);
        let line = |head: &str, words: String| {
            [Span::semibold(format!("{head} ")), Span::new(tied(&plan.shown(&words)))]
        };
        set.words(&line("Hold point: measure", format!("{}, with {}.", hold.measure, hold.with)), "", inner);
        set.words(&line("Right if", format!("{}.", hold.tolerance)), "", inner);
        set.words(&line("If not,", format!("{}.", hold.otherwise)), "", inner);
        set.y += 1.3;
        let frame = Extent::new(INDENT_MM, top, width, set.y);
        set.group.add(Path::rectangle(frame, Pen::MEDIUM));
        let tick = Extent::new(1.2, top, 1.2 + 5.4, top + 5.4);
        set.group.add(Path::rectangle(tick, Pen::BOLD));
        set.y += 0.8;
    }
    for caution in &step.cautions {
        set.y += 1.4;
        let top = set.y;
        set.words(&[Span::new(tied(&plan.shown(caution)))], "", (INDENT_MM + 2.6, width));
        let bar = Point::new(INDENT_MM + 0.6, top + 0.3);
        set.group.add(Path::line(bar, Point::new(bar.x, set.y - 0.5), Pen::new(0.9)));
    }
    Card { group: set.group, height: set.y + 1.0, title: format!("{}  {}", step.number, step.title) }
}
