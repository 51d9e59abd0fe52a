//! Heat, damp, fresh air and the room inside.

use fabric::moisture::{MONTH_NAMES, MoistureResult, Verdict};
use paper::{
    flow::Flow,
    table::{Cell, Column, Table},
};
use plan::Plan;
use quantities::format::{number, with_unit};

use super::{calculations::sources, sound_pages::capital};
use crate::drawings::damp_in_words;

/// Thermal transmittance.
pub(super) fn heat(plan: &Plan, flow: &mut Flow) {
    let Some(u) = &plan.fabric.u_value else { return };
    flow.heading(1, "Heat");
    flow.paragraph(format!(
        "U {} through roof and ceiling. Thermal resistance between {} and {}.",
        with_unit(u.u_w_m2k, 2, "W/(m²\u{00A0}K)"),
        number(u.lower_m2k_w, 2),
        with_unit(u.upper_m2k_w, 2, "m²\u{00A0}K/W")
    ));
    for note in &u.notes {
        flow.point(note.clone());
    }
    sources(flow, &u.basis);
}

/// Damp month by month, and the ventilation of a cold roof.
pub(super) fn damp(plan: &Plan, flow: &mut Flow) {
    if plan.fabric.moisture.is_none() && plan.fabric.ventilation.is_empty() {
        return;
    }
    flow.heading(1, "Damp");
    if let Some(moisture) = &plan.fabric.moisture {
        inside(moisture, flow);
    }
    if plan.fabric.ventilation.is_empty() {
        return;
    }
    flow.heading(3, "Ventilation of the cold roof");
    let mut table = Table::new(vec![Column::wide("rule"), Column::right("found"), Column::right("needed")]);
    for rule in &plan.fabric.ventilation {
        let found = Cell::from(number(rule.found, 0));
        table.row([
            Cell::from(rule.rule.clone()),
            if rule.kept { found } else { found.red() },
            number(rule.needed, 0).into(),
        ]);
    }
    flow.table(table);
    for rule in plan.fabric.ventilation.iter().filter(|rule| !rule.kept) {
        flow.warning(format!("{}: {}", capital(&rule.rule), rule.remedy));
    }
    let mut said: Vec<&str> = Vec::new();
    for rule in &plan.fabric.ventilation {
        if !said.contains(&rule.basis.source.as_str()) {
            said.push(&rule.basis.source);
            flow.remark(format!("{}.", rule.basis.source));
        }
    }
}

fn inside(moisture: &MoistureResult, flow: &mut Flow) {
    flow.paragraph(damp_in_words(moisture));
    flow.paragraph(format!(
        "Temperature factor of the inner surface {}, needed {} in {}: {}.",
        number(moisture.frsi, 3),
        number(moisture.frsi_needed, 3),
        month(moisture.frsi_month),
        if moisture.mould_safe { "no mould" } else { "mould must be expected" }
    ));
    let mut table = Table::new(vec![
        Column::left("month"),
        Column::right("outside, °C"),
        Column::right("outside, Pa"),
        Column::right("inside, Pa"),
        Column::right("condensed, g/m²"),
        Column::right("gathered, g/m²"),
    ]);
    for one in &moisture.months {
        table.row([
            month(one.month).to_owned(),
            number(one.outdoor_c, 1),
            number(one.outdoor_pa, 0),
            number(one.indoor_pa, 0),
            number(one.condensed_g_m2, 1),
            number(one.gathered_g_m2, 1),
        ]);
    }
    flow.table(table);
    if !moisture.moved.is_empty() {
        moved(moisture, flow);
    }
    for note in &moisture.notes {
        flow.point(note.clone());
    }
    sources(flow, &moisture.basis);
}

fn moved(moisture: &MoistureResult, flow: &mut Flow) {
    flow.heading(3, "If a vapour-tight layer lay elsewhere");
    let mut table = Table::new(vec![
        Column::wide("layer, and just inside of what"),
        Column::right("most, g/m²"),
        Column::left("year"),
    ]);
    let mut last = "";
    for moved in &moisture.moved {
        if moved.layer != last {
            table.heading(moved.layer.clone());
            last = &moved.layer;
        }
        let place = if moved.inside_of.is_empty() { "outermost" } else { &moved.inside_of };
        let year = match moved.verdict {
            Verdict::Dry => Cell::from("dry"),
            Verdict::DriesOut => Cell::from("dries out"),
            Verdict::StaysWet => Cell::from("stays wet"),
        };
        let cells: [Cell; 3] = [
            if moved.as_built { format!("{place} (as planned)") } else { place.to_owned() }.into(),
            number(moved.peak_g_m2, 0).into(),
            if moved.as_built && moved.verdict == Verdict::StaysWet { year.red() } else { year },
        ];
        table.row(cells);
    }
    flow.table(table);
}

fn month(number: u8) -> &'static str {
    usize::from(number).checked_sub(1).and_then(|index| MONTH_NAMES.get(index)).copied().unwrap_or("–")
}

/// Carbon dioxide, heat, and the silenced air paths.
pub(super) fn air(plan: &Plan, flow: &mut Flow) {
    if let Some(air) = &plan.fabric.air {
        flow.heading(1, "Fresh air");
        flow.paragraph(format!(
            "Carbon dioxide reaches {} in the session with the planned air, {} with the room sealed. {} keep to the limit for the \
             session, {} for ever. {} air changes an hour; people and equipment give {}.",
            with_unit(air.peak_ppm, 0, "ppm"),
            with_unit(air.sealed_end_ppm, 0, "ppm"),
            with_unit(air.needed_l_s, 1, "l/s"),
            with_unit(air.needed_steady_l_s, 1, "l/s"),
            number(air.air_changes_per_h, 1),
            with_unit(air.heat_w, 0, "W")
        ));
        for note in &air.notes {
            flow.point(note.clone());
        }
        sources(flow, &air.basis);
    }
    for path in &plan.fabric.air_paths {
        flow.heading(3, capital(&path.name));
        flow.paragraph(format!(
            "{} at its narrowest, {} pressure drop.",
            with_unit(path.velocity_m_s, 1, "m/s"),
            with_unit(path.pressure_drop_pa, 1, "Pa")
        ));
        for note in &path.notes {
            flow.point(note.clone());
        }
        sources(flow, &path.basis);
    }
}

/// Decay time and modes.
pub(super) fn room(plan: &Plan, flow: &mut Flow) {
    let Some(room) = &plan.fabric.room else { return };
    flow.heading(1, "The room inside");
    flow.paragraph(format!(
        "Decay time {} in the middle octaves as the room stands empty. Below {} single modes are heard.",
        with_unit(room.middle_s, 2, "s"),
        with_unit(room.schroeder_hz, 0, "Hz")
    ));
    let modes: Vec<String> = room.modes.iter().take(8).map(|mode| number(mode.frequency_hz, 0)).collect();
    if !modes.is_empty() {
        flow.paragraph(format!("First modes at {} Hz.", modes.join(", ")));
    }
    for note in &room.notes {
        flow.point(note.clone());
    }
    sources(flow, &room.basis);
}
