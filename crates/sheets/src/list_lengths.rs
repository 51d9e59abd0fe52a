//! Lengths in lists: plain numbers of millimetres, or feet and inches as the plan's title says.

use plan::{Plan, outcome::OrderLine};

use crate::lists::{List, n};

impl List {
    /// Names no column by a unit its lengths are not in, and puts the lengths of sentences as the plan's title says.
    pub(crate) fn show(&mut self, plan: &Plan) {
        let mut rows = self.rows.iter_mut();
        for word in rows.next().into_iter().flatten() {
            *word = match word.strip_suffix("_mm_per_m") {
                Some(fall) => format!("{fall}_in_10_ft"),
                None => word.strip_suffix("_mm").unwrap_or(word).to_owned(),
            };
        }
        for cell in rows.flatten() {
            *cell = plan.shown(cell).replace('\u{a0}', " ");
        }
    }
}

/// A length for a table: a plain number of millimetres, or feet and inches with their marks.
pub(crate) fn length(plan: &Plan, length_mm: f64, decimals: u32) -> String {
    if !plan.lengths().in_feet() || !length_mm.is_finite() {
        return n(length_mm, decimals);
    }
    plan.lengths().figure(length_mm, decimals as usize)
}

/// The same of a length nobody measures.
pub(crate) fn fine(plan: &Plan, length_mm: f64, decimals: u32) -> String {
    if !plan.lengths().in_feet() || !length_mm.is_finite() {
        return n(length_mm, decimals);
    }
    plan.lengths().fine(length_mm, decimals as usize)
}

/// A fall for a table.
pub(crate) fn fall(plan: &Plan, mm_per_m: f64) -> String {
    if !plan.lengths().in_feet() || !mm_per_m.is_finite() {
        return n(mm_per_m, 1);
    }
    plan.lengths().fall(mm_per_m, 1)
}

/// What stands between several lengths in one cell: those in feet have spaces of their own.
pub(crate) fn between(plan: &Plan) -> &'static str {
    if plan.lengths().in_feet() { "; " } else { " " }
}

/// What a line of the order is for; packers by thickness as they are told.
pub fn order_detail(plan: &Plan, line: &OrderLine) -> String {
    let packers = plan.ceiling.layout.iter().flat_map(|layout| &layout.take_off.packers);
    let packers: Vec<_> = packers.filter(|packer| packer.thickness_mm > 0.0).collect();
    if line.what != "Packers" || packers.is_empty() || !plan.lengths().in_feet() {
        return line.detail.clone();
    }
    let told = crate::ceiling_words::packers(plan, packers).into_iter();
    told.map(|(thick, count)| format!("{count} of {thick}")).collect::<Vec<_>>().join(", ")
}
