//! The first sheet: the verdicts, what stands out, and what is in the dossier.

use paper::{
    Dash, Extent, Group, Ink, Path, Pen, Point, Scale, Text, View, Weight,
    flow::{Flow, FlowPage},
    mark,
    table::{Cell, Column, Table, Width},
    title_block::BlankSheet,
    wrap::wrap,
};
use plan::{
    Plan,
    outcome::{Finding, Standing, Verdict},
};

use super::{IndexLine, pages};

const CELL_HEIGHT_MM: f64 = 30.0;
/// Verdicts are about so wide, mm.
const CELL_WIDTH_MM: f64 = 65.0;
/// Sizes of the table of contents, the first that has room is used, mm.
const CONTENTS_MM: [f64; 3] = [2.8, 2.6, 2.5];
/// A narrower sheet has the contents below the verdicts, and the findings on sheets of their own.
const NARROW_MM: f64 = 300.0;
/// From the top of the sheet's free room to the verdicts, mm.
const HEAD_MM: f64 = 19.0;
/// From line to line of what the words of the verdicts mean, and the size of its letters, mm.
const WORDS_MM: f64 = 3.7;
const WORDS_SIZE_MM: f64 = 2.6;
/// Width of the findings, mm.
const FINDINGS_MM: f64 = 196.0;

/// Draws the first sheet.
pub(super) fn draw(plan: &Plan, index: &[IndexLine], sheet: &mut BlankSheet) {
    let area = sheet.area;
    let mut group = Group::on_layer("text");
    group.add(Text::new(Point::new(area.left, area.top + 7.5), plan.title.name.clone(), 9.0).semibold());
    if let Some(place) = &plan.title.place {
        group.add(Text::new(Point::new(area.left, area.top + 14.0), place.clone(), 3.6).in_ink(Ink::Grey));
    }
    let mut top = area.top + HEAD_MM;
    let cells = cells_a_row(area);
    let width = area.width() / cells as f64;
    for row in plan.verdicts.chunks(cells) {
        for (index, verdict) in row.iter().enumerate() {
            let left = area.left + width * index as f64;
            cell(
                &mut group,
                plan,
                verdict,
                Extent::new(left, top, left + width, top + CELL_HEIGHT_MM),
                index > 0,
            );
        }
        group.add(Path::line(Point::new(area.left, top), Point::new(area.right, top), Pen::MEDIUM));
        top += CELL_HEIGHT_MM;
    }
    group.add(Path::line(Point::new(area.left, top), Point::new(area.right, top), Pen::MEDIUM));
    for (at, line) in meanings(area).into_iter().enumerate() {
        let place = Point::new(area.left, top + WORDS_MM * (at as f64 + 1.1));
        group.add(Text::new(place, line, WORDS_SIZE_MM).in_ink(Ink::Grey));
    }
    sheet.scene.add(group);
    let findings = sorted(plan);
    let shown = on_cover(plan, sheet, &findings);
    if let Some(page) =
        findings_pages(plan, sheet, findings.get(..shown).unwrap_or_default()).into_iter().next()
    {
        sheet.scene.add(page.group);
    }
    contents(plan, index, sheet, top + below_verdicts_mm(area));
}

/// What the words of the verdicts mean, in as many lines as it takes.
fn meanings(area: Extent) -> Vec<String> {
    let each = Standing::ALL.map(|one| format!("{}: {}", one.word(), one.meaning()));
    let all = format!("{} \u{b7} {}", each.join(" \u{b7} "), Standing::RANGES);
    wrap(&all, WORDS_SIZE_MM, Weight::Regular, area.width())
}

/// From the verdicts to what stands below them, mm.
fn below_verdicts_mm(area: Extent) -> f64 {
    WORDS_MM * meanings(area).len() as f64 + 5.3
}

/// What the sheets of [`overflow`] are called.
pub(super) fn findings_title(area: Extent) -> &'static str {
    if is_narrow(area) { "What stands out" } else { "What stands out, continued" }
}

/// Findings that have no room on the first sheet.
pub(super) fn overflow(plan: &Plan, sheet: &BlankSheet, area: Extent) -> Vec<FlowPage> {
    let findings = sorted(plan);
    let left = findings.get(on_cover(plan, sheet, &findings)..).unwrap_or_default();
    if left.is_empty() {
        return Vec::new();
    }
    pages::columns(plan, &listed(left, findings_title(sheet.area)), area, pages::as_on_a3(2, area))
}

/// How many findings have room on the first sheet.
fn on_cover(plan: &Plan, sheet: &BlankSheet, findings: &[&Finding]) -> usize {
    if is_narrow(sheet.area) {
        return 0;
    }
    let fits =
        |count: &usize| findings_pages(plan, sheet, findings.get(..*count).unwrap_or_default()).len() < 2;
    (0..=findings.len()).rev().find(fits).unwrap_or(0)
}

fn is_narrow(area: Extent) -> bool {
    area.width() < NARROW_MM
}

fn cells_a_row(area: Extent) -> usize {
    ((area.width() / CELL_WIDTH_MM).round() as usize).max(1)
}

fn findings_pages(plan: &Plan, sheet: &BlankSheet, findings: &[&Finding]) -> Vec<FlowPage> {
    let area = sheet.area;
    let top = area.top
        + HEAD_MM
        + CELL_HEIGHT_MM * plan.verdicts.len().div_ceil(cells_a_row(area)) as f64
        + below_verdicts_mm(area);
    // The findings stand left of the title block and may use the whole height.
    let room = Extent::new(area.left, top, area.left + FINDINGS_MM, sheet.frame.bottom - 4.0);
    pages::columns(plan, &listed(findings, "What stands out"), room, 1)
}

/// Findings, the worst first.
fn sorted(plan: &Plan) -> Vec<&Finding> {
    let rank = |standing: Standing| match standing {
        Standing::Fails => 0,
        Standing::Close => 1,
        Standing::Open => 2,
        Standing::Holds => 3,
    };
    let mut sorted: Vec<_> = plan.findings.iter().collect();
    sorted.sort_by_key(|finding| rank(finding.standing));
    sorted
}

fn listed(findings: &[&Finding], title: &str) -> Flow {
    let mut flow = Flow::new();
    if findings.is_empty() {
        return flow;
    }
    flow.heading(2, title);
    let mut table = Table::new(vec![Column::left("").with_width(Width::Fixed(12.0)), Column::wide("")]);
    table.size_mm = 3.3;
    for finding in findings {
        let word = match finding.standing {
            Standing::Holds => Cell::from("note").grey(),
            Standing::Open => Cell::from("open").grey(),
            other => Cell::from(other.word()).semibold().red(),
        };
        table.row([word, pages::tied(&finding.sentence).into()]);
    }
    flow.table(table);
    flow
}

fn contents(plan: &Plan, index: &[IndexLine], sheet: &mut BlankSheet, top: f64) {
    let area = sheet.area;
    let left = if is_narrow(area) { area.left } else { area.left + FINDINGS_MM + 10.0 };
    let mut group = Group::on_layer("text");
    group.add(Text::new(Point::new(left, top + 3.6), "Contents", 4.0).semibold());
    let table_of = |lines: &[IndexLine], size_mm: f64| {
        let mut table = Table::new(vec![Column::right("sheet"), Column::wide(""), Column::right("scale")]);
        table.size_mm = size_mm;
        for line in lines {
            table.row([
                Cell::from(line.number.clone()).semibold(),
                line.title.clone().into(),
                Cell::from(line.scale.clone()).grey(),
            ]);
        }
        table
    };
    let (from, width) = (top + 7.0, area.right - left);
    let room = area.bottom - from;
    let plan_width = 62.0;
    let (one, height) =
        table_of(index, CONTENTS_MM[0]).draw(Point::new(left, from), width - plan_width - 8.0);
    if height <= room {
        group.add(one);
        let place =
            Extent::new(area.right - plan_width, top + 2.0, area.right, (top + 78.0).min(area.bottom));
        group.add(key_plan(plan, place));
    } else {
        // More columns, then smaller letters, until all of it has room.
        let tries = [2, 3].into_iter().flat_map(|count| CONTENTS_MM.map(|size_mm| (count, size_mm)));
        let laid = tries.map(|(count, size_mm)| {
            let column = (width - 8.0 * (count - 1) as f64) / count as f64;
            let lines = index.chunks(index.len().div_ceil(count).max(1)).enumerate();
            let drawn = lines.map(|(at, lines)| {
                let corner = Point::new(left + at as f64 * (column + 8.0), from);
                table_of(lines, size_mm).draw(corner, column)
            });
            drawn.collect::<Vec<_>>()
        });
        let mut laid = laid.peekable();
        while let Some(tables) = laid.next() {
            let height = tables.iter().map(|(_, height)| *height).fold(0.0, f64::max);
            if height <= room || laid.peek().is_none() {
                for (table, _) in tables {
                    group.add(table);
                }
                break;
            }
        }
    }
    sheet.scene.add(group);
}

/// The room small, with the names of its corners and the north point.
fn key_plan(plan: &Plan, room: Extent) -> Group {
    let mut group = Group::on_layer("key plan");
    let corners: Vec<[f64; 2]> =
        plan.survey.corners.iter().map(|corner| [corner.at.x_mm, corner.at.y_mm]).collect();
    let fold = |pick: fn(&[f64; 2]) -> f64, start: f64, join: fn(f64, f64) -> f64| {
        corners.iter().map(pick).fold(start, join)
    };
    let low = [fold(|c| c[0], f64::INFINITY, f64::min), fold(|c| c[1], f64::INFINITY, f64::min)];
    let high = [fold(|c| c[0], f64::NEG_INFINITY, f64::max), fold(|c| c[1], f64::NEG_INFINITY, f64::max)];
    if corners.len() < 3 || !(low[0] < high[0] && low[1] < high[1]) {
        return group;
    }
    let inner = Extent::new(room.left + 4.0, room.top + 6.0, room.right - 4.0, room.bottom - 14.0);
    let needed = ((high[0] - low[0]) / inner.width()).max((high[1] - low[1]) / inner.height());
    let denominator = Scale::USUAL.into_iter().find(|&n| n >= needed).unwrap_or(1000.0);
    let middle = [f64::midpoint(low[0], high[0]), f64::midpoint(low[1], high[1])];
    let scale = Scale::one_to(denominator);
    let top = inner.top + scale.on_paper_mm(high[1] - low[1]) / 2.0;
    let view = View::new(scale, middle, Point::new(inner.centre().x, top));
    let outline = view.place_all(corners.iter().copied());
    group.add(Path::closed(outline.iter().copied(), Pen::HEAVY));
    let centre = view.place(middle[0], middle[1]);
    for (corner, &at) in plan.survey.corners.iter().zip(&outline) {
        let away = paper::point::Direction::between(centre, at);
        group.add(mark::label(at.along(away, 3.4), corner.name.clone(), 2.8).semibold());
    }
    let foot = top + scale.on_paper_mm(high[1] - low[1]) / 2.0 + 16.0;
    if let Some(north_deg) = plan.title.north_deg {
        group.add(mark::north_point(Point::new(inner.left + 5.0, foot), north_deg, 4.6));
    }
    let words = format!("key plan, {}", scale.words());
    group.add(Text::new(Point::new(inner.left + 14.0, foot + 1.0), words, 2.6).in_ink(Ink::Grey));
    group
}

fn cell(group: &mut Group, plan: &Plan, verdict: &Verdict, extent: Extent, ruled: bool) {
    let ink = match verdict.standing {
        Standing::Holds => Ink::Ink,
        Standing::Close | Standing::Fails => Ink::Red,
        Standing::Open => Ink::Grey,
    };
    let left = extent.left + if ruled { 3.0 } else { 0.0 };
    group.add(Text::new(Point::new(left, extent.top + 5.4), verdict.about.clone(), 3.0).in_ink(Ink::Grey));
    let mut figure =
        Text::new(Point::new(left, extent.top + 12.4), plan.shown(&verdict.figure), 5.6).in_ink(ink);
    if verdict.standing != Standing::Open {
        figure = figure.semibold();
    }
    let beside = left + figure.width_mm() + 1.8;
    group.add(figure);
    if let Some(uncertainty) = verdict.uncertainty_shown(plan.lengths()) {
        let at = Point::new(beside, extent.top + 12.4);
        group.add(Text::new(at, uncertainty, 3.0).in_ink(Ink::Grey));
    }
    // The line sample: solid holds, dashed red close, double red fails, dotted grey open.
    let sample = extent.top + 16.4;
    let (pen, beside): (Pen, &[f64]) = match verdict.standing {
        Standing::Holds => (Pen::HEAVY, &[0.0]),
        Standing::Close => (Pen::HEAVY.dashed(Dash::Dashed).in_ink(Ink::Red), &[0.0]),
        Standing::Fails => (Pen::MEDIUM.in_ink(Ink::Red), &[-0.6, 0.6]),
        Standing::Open => (Pen::HEAVY.dashed(Dash::Dotted).in_ink(Ink::Grey), &[0.0]),
    };
    for aside in beside {
        let y_mm = sample + aside;
        group.add(Path::line(Point::new(left, y_mm), Point::new(left + 8.0, y_mm), pen));
    }
    group.add(Text::new(Point::new(left + 10.0, sample + 1.1), verdict.standing.word(), 3.0).in_ink(ink));
    let lines = wrap(&plan.shown(&verdict.meaning), 3.0, Weight::Regular, extent.right - left - 2.0);
    for (index, line) in lines.iter().take(3).enumerate() {
        let at = Point::new(left, extent.top + 21.4 + 3.7 * index as f64);
        group.add(Text::new(at, line.clone(), 3.0));
    }
    if ruled {
        group.add(Path::line(
            Point::new(extent.left, extent.top),
            Point::new(extent.left, extent.bottom),
            Pen::THIN.in_ink(Ink::Light),
        ));
    }
}
