//! Text laid out on sheets: columns side by side, and one text above another in other columns.

use paper::{
    Extent, Point, Scene,
    flow::{Flow, FlowArea, FlowPage},
    table::Table,
};
use plan::Plan;

/// A flow in columns, its lengths shown as the plan's title says; nothing for an empty one.
pub(super) fn columns(plan: &Plan, flow: &Flow, area: Extent, count: usize) -> Vec<FlowPage> {
    if flow.is_empty() {
        return Vec::new();
    }
    if plan.lengths().in_feet() {
        return flow.reworded(&|words| plan.shown(words)).pages(FlowArea::columns(area, count));
    }
    flow.pages(FlowArea::columns(area, count))
}

/// Columns that are about as wide as so many on an A3 sheet lying.
pub(super) fn as_on_a3(count: usize, area: Extent) -> usize {
    const A3_MM: f64 = 392.0;
    const GUTTER_MM: f64 = 8.0;
    let share = (area.width() + GUTTER_MM) / (A3_MM + GUTTER_MM);
    ((count as f64 * share).round() as usize).max(1)
}

/// A flow across the sheet, then another in columns below it where there is room, else on sheets of its own.
pub(super) fn above(plan: &Plan, top: &Flow, below: &Flow, area: Extent, count: usize) -> Vec<FlowPage> {
    let mut pages = columns(plan, top, area, 1);
    if below.is_empty() {
        return pages;
    }
    let Some(last) = pages.last_mut() else { return columns(plan, below, area, count) };
    let room = Extent { top: last.used_to_mm + 8.0, ..area };
    // Broken for little room, a long text would leave the sheets after it as empty.
    if room.bottom - room.top < 50.0 || count == 1 {
        pages.extend(columns(plan, below, area, count));
        return pages;
    }
    let mut rest = columns(plan, below, room, count).into_iter();
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

/// Units that are never parted from the number before them.
const UNITS: [&str; 16] =
    ["mm", "m", "m²", "m³", "kg", "kg/m²", "g/m²", "l/s", "h", "min", "Hz", "kHz", "dB", "dB(A)", "ppm", "%"];

/// The same words with every number tied to the unit after it, so that no line breaks between them.
pub(super) fn tied(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut number_before = false;
    for (index, word) in words.split(' ').enumerate() {
        if index > 0 {
            let bare = word.trim_end_matches(|letter: char| ",.;:)".contains(letter) && letter != ')');
            let unit = UNITS.contains(&bare) || UNITS.contains(&bare.trim_end_matches(')'));
            text.push(if number_before && unit { '\u{00A0}' } else { ' ' });
        }
        text.push_str(word);
        number_before = word.chars().next_back().is_some_and(|letter| letter.is_ascii_digit());
    }
    text
}

/// A small table in one piece: it moves to the next column rather than part from its head.
pub(super) fn small_table(plan: &Plan, flow: &mut Flow, table: &Table, width_mm: f64) {
    let mut table = table.clone();
    table.reword(&|words| plan.shown(words));
    let (group, height) = table.draw(Point::new(0.0, 0.0), width_mm);
    let mut scene = Scene::new(width_mm, height);
    scene.add(group);
    flow.drawing(scene, "");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_tied_to_their_units_alone() {
        assert_eq!(
            tied("with 1 m straightedge, 20 % or less"),
            "with 1\u{00A0}m straightedge, 20\u{00A0}% or less"
        );
        assert_eq!(tied("put up 12 pieces (5 mm)."), "put up 12 pieces (5\u{00A0}mm).");
    }
}
