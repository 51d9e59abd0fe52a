//! The first sheet: the verdicts, what to do, and what is in the dossier.

use paper::{
    Dash, Extent, Group, Ink, Path, Pen, Point, Text, Weight,
    flow::{Flow, FlowArea},
    title_block::BlankSheet,
    wrap::{Span, wrap},
};
use plan::{
    Plan,
    outcome::{Standing, Verdict},
};

const CELL_HEIGHT_MM: f64 = 31.0;
const CELLS_A_ROW: usize = 5;

/// Draws the first sheet.
pub(super) fn draw(plan: &Plan, sheet: &mut BlankSheet) {
    let area = sheet.area;
    let mut group = Group::on_layer("text");
    group.add(Text::new(Point::new(area.left, area.top + 9.0), plan.title.name.clone(), 9.0).semibold());
    if let Some(place) = &plan.title.place {
        let mut text = Text::new(Point::new(area.left, area.top + 16.0), place.clone(), 3.6);
        text.ink = Ink::Grey;
        group.add(text);
    }
    let mut top = area.top + 22.0;
    for row in plan.verdicts.chunks(CELLS_A_ROW) {
        let width = area.width() / CELLS_A_ROW as f64;
        for (index, verdict) in row.iter().enumerate() {
            let left = area.left + width * index as f64;
            cell(&mut group, verdict, Extent::new(left, top, left + width, top + CELL_HEIGHT_MM));
        }
        let right = area.left + width * row.len() as f64;
        for y in [top, top + CELL_HEIGHT_MM] {
            group.add(Path::line(Point::new(area.left, y), Point::new(right, y), Pen::MEDIUM));
        }
        top += CELL_HEIGHT_MM;
    }
    sheet.scene.add(group);
    let mut flow = Flow::new();
    flow.heading(2, "What stands out");
    for finding in &plan.findings {
        let mut span = Span::new(finding.sentence.clone());
        if matches!(finding.standing, Standing::Fails | Standing::Close) {
            span = span.in_ink(Ink::Red);
        }
        flow.numbered(mark(finding.standing), vec![span]);
    }
    let room = Extent::new(area.left, top + 6.0, area.right, area.bottom);
    // What does not fit here stands in the calculations again, beside its numbers.
    if let Some(page) = flow.pages(FlowArea::columns(room, 2)).into_iter().next() {
        sheet.scene.add(page.group);
    }
}

fn mark(standing: Standing) -> &'static str {
    match standing {
        Standing::Fails | Standing::Close => "!",
        Standing::Open => "?",
        Standing::Holds => "–",
    }
}

fn cell(group: &mut Group, verdict: &Verdict, extent: Extent) {
    let ink = match verdict.standing {
        Standing::Holds => Ink::Ink,
        Standing::Close | Standing::Fails => Ink::Red,
        Standing::Open => Ink::Grey,
    };
    let left = extent.left + 2.5;
    let mut label = Text::new(Point::new(left, extent.top + 5.5), verdict.about.clone(), 3.0);
    label.ink = Ink::Grey;
    group.add(label);
    let mut figure = Text::new(Point::new(left, extent.top + 12.5), verdict.figure.clone(), 5.4);
    figure.ink = ink;
    if verdict.standing != Standing::Open {
        figure = figure.semibold();
    }
    let beside = left + figure.width_mm() + 1.8;
    group.add(figure);
    if let Some(uncertainty) = &verdict.uncertainty {
        let mut text = Text::new(Point::new(beside, extent.top + 12.5), uncertainty.clone(), 3.0);
        text.ink = Ink::Grey;
        group.add(text);
    }
    // The line sample: solid holds, dashed red close or fails, dotted grey open.
    let sample = extent.top + 17.0;
    let pen = match verdict.standing {
        Standing::Holds => Pen::HEAVY,
        Standing::Close | Standing::Fails => Pen::HEAVY.dashed(Dash::Dashed).in_ink(Ink::Red),
        Standing::Open => Pen::HEAVY.dashed(Dash::Dotted).in_ink(Ink::Grey),
    };
    group.add(Path::line(Point::new(left, sample), Point::new(left + 8.0, sample), pen));
    let mut word = Text::new(Point::new(left + 10.0, sample + 1.1), verdict.standing.word(), 3.0);
    word.ink = ink;
    group.add(word);
    let lines = wrap(&verdict.meaning, 2.9, Weight::Regular, extent.width() - 5.0);
    for (index, line) in lines.iter().take(3).enumerate() {
        let at = Point::new(left, extent.top + 21.8 + 3.7 * index as f64);
        group.add(Text::new(at, line.clone(), 2.9));
    }
    group.add(Path::line(
        Point::new(extent.right, extent.top),
        Point::new(extent.right, extent.bottom),
        Pen::THIN.in_ink(Ink::Light),
    ));
}
