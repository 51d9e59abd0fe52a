//! Text laid out on sheets: columns side by side, and one text above another in other columns.

use paper::{
    Extent,
    flow::{Flow, FlowArea, FlowPage},
};

/// A flow in columns; nothing for an empty one.
pub(super) fn columns(flow: &Flow, area: Extent, count: usize) -> Vec<FlowPage> {
    if flow.is_empty() { Vec::new() } else { flow.pages(FlowArea::columns(area, count)) }
}

/// A flow across the sheet, then another in columns below it where there is room, else on sheets of its own.
pub(super) fn above(top: &Flow, below: &Flow, area: Extent, count: usize) -> Vec<FlowPage> {
    let mut pages = columns(top, area, 1);
    if below.is_empty() {
        return pages;
    }
    let Some(last) = pages.last_mut() else { return columns(below, area, count) };
    let room = Extent { top: last.used_to_mm + 8.0, ..area };
    if room.bottom - room.top < 50.0 {
        pages.extend(columns(below, area, count));
        return pages;
    }
    let mut rest = columns(below, room, count).into_iter();
    if let Some(first) = rest.next() {
        last.group.add(first.group);
        last.headings.extend(first.headings);
    }
    // What did not fit is laid out anew on whole sheets only if it is little; the flow breaks it where it must.
    pages.extend(rest.map(|page| raised(page, area.top - room.top)));
    pages
}

/// A page of a flow that was broken for less room than it now has, moved up to the top of the sheet.
fn raised(mut page: FlowPage, by_mm: f64) -> FlowPage {
    page.group.shift(0.0, by_mm);
    for heading in &mut page.headings {
        heading.top_mm += by_mm;
    }
    page.used_to_mm += by_mm;
    page
}

/// The least height at which a flow stays on one page of so many columns, so that they end level; `None` if it needs more
/// than one page.
pub(super) fn level_columns(flow: &Flow, area: Extent, count: usize) -> Option<FlowPage> {
    let page_at = |height: f64| -> Option<FlowPage> {
        let mut pages = columns(flow, Extent { bottom: area.top + height, ..area }, count);
        if pages.len() == 1 { pages.pop() } else { None }
    };
    page_at(area.height())?;
    let (mut too_low, mut enough) = (10.0, area.height());
    for _ in 0..12 {
        let middle = f64::midpoint(too_low, enough);
        if page_at(middle).is_some() { enough = middle } else { too_low = middle }
    }
    page_at(enough)
}
