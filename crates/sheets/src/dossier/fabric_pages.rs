//! Heat, damp, fresh air and the room inside.

use bands::Band;
use fabric::moisture::{MONTH_NAMES, MoistureResult, TOO_MUCH_G_M2, Verdict};
use paper::{
    flow::Flow,
    table::{Cell, Column, Table},
};
use plan::Plan;
use quantities::format::{number, with_unit};

use super::{calculations::sources, pages, sound_pages::capital};
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

/// Heat and damp of the build-ups of outside walls.
fn walls(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.fabric.walls.is_empty() {
        return;
    }
    flow.heading(3, "Outside walls");
    let mut table = Table::new(vec![
        Column::wide("build-up, walls"),
        Column::right("U, W/(m²\u{00A0}K)"),
        Column::right("most, g/m²"),
        Column::left("year"),
    ]);
    for wall in &plan.fabric.walls {
        let moisture = wall.moisture.as_ref();
        table.row([
            Cell::from(format!("{}: {}", wall.buildup, wall.walls.join(", ").replace('-', "–"))),
            number(wall.u_value.u_w_m2k, 2).into(),
            moisture.map_or_else(|| "–".to_owned(), |moisture| number(moisture.peak_g_m2, 0)).into(),
            moisture.map_or_else(
                || Cell::from("not checked").grey(),
                |moisture| {
                    let cell = Cell::from(year_word(moisture.verdict));
                    let too_much =
                        moisture.verdict == Verdict::StaysWet || moisture.peak_g_m2 > TOO_MUCH_G_M2;
                    if too_much { cell.red() } else { cell }
                },
            ),
        ]);
    }
    pages::small_table(plan, flow, &table, width);
    for wall in &plan.fabric.walls {
        let Some(moisture) = &wall.moisture else { continue };
        for plane in &moisture.planes {
            flow.point(format!(
                "{}, {}: {} at most, in {}; {}.",
                wall.buildup,
                plane.place,
                with_unit(plane.peak_g_m2, 0, "g/m²"),
                month(plane.peak_month),
                if plane.dries { "dry again within the year" } else { "never dry again" }
            ));
        }
        if !moisture.moved.is_empty() {
            moved(plan, &wall.buildup, moisture, flow, width);
        }
    }
}

fn year_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Dry => "dry",
        Verdict::DriesOut => "dries out",
        Verdict::StaysWet => "stays wet",
    }
}

/// A warm roof in place of the cold one.
fn warm_roof(plan: &Plan, flow: &mut Flow, width: f64) {
    let Some(warm) = &plan.fabric.warm_roof else { return };
    flow.heading(3, "A warm roof instead");
    flow.paragraph(format!(
        "The thinnest insulation above the deck that reaches U {} and stays dry:",
        with_unit(warm.u_w_m2k, 2, "W/(m²\u{00A0}K)")
    ));
    let mut table = Table::new(vec![
        Column::wide("fibre between the joists"),
        Column::right("insulation, mm"),
        Column::right("higher by, mm"),
        Column::right("U"),
        Column::left("year"),
    ]);
    for (words, roof) in [("stays, for its sound", &warm.with_fibre), ("taken out", &warm.without_fibre)] {
        match roof {
            Some(roof) => table.row([
                words.to_owned(),
                plan.lengths().figure(roof.insulation_mm, 0),
                plan.lengths().figure(roof.added_height_mm, 0),
                number(roof.u_value.u_w_m2k, 2),
                year_word(roof.moisture.verdict).to_owned(),
            ]),
            None => table.row([
                words.to_owned(),
                format!("none up to {}", plan.lengths().figure(400.0, 0)),
                "–".to_owned(),
                "–".to_owned(),
                "–".to_owned(),
            ]),
        };
    }
    pages::small_table(plan, flow, &table, width);
    let mut said: Vec<&str> = Vec::new();
    for note in warm.with_fibre.iter().chain(&warm.without_fibre).flat_map(|roof| &roof.notes) {
        if !said.contains(&note.as_str()) {
            said.push(note);
            flow.point(note.clone());
        }
    }
    if let Some(roof) = warm.with_fibre.as_ref().or(warm.without_fibre.as_ref()) {
        sources(flow, &roof.basis);
    }
}

/// Damp month by month, and the ventilation of a cold roof.
pub(super) fn damp(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.fabric.moisture.is_none() && plan.fabric.ventilation.is_empty() {
        return;
    }
    flow.heading(1, "Damp");
    if let Some(moisture) = &plan.fabric.moisture {
        inside(plan, moisture, flow, width);
    }
    ventilation(plan, flow, width);
    warm_roof(plan, flow, width);
    walls(plan, flow, width);
}

fn ventilation(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.fabric.ventilation.is_empty() {
        return;
    }
    flow.heading(3, "Ventilation of the cold roof");
    let mut table = Table::new(vec![Column::wide("rule"), Column::right("found"), Column::right("needed")]);
    for rule in &plan.fabric.ventilation {
        let figure = |value: f64| {
            if rule.rule.contains(", mm") { plan.lengths().figure(value, 0) } else { number(value, 0) }
        };
        let found = rule.found.map_or_else(|| Cell::from("not known").grey(), |found| figure(found).into());
        table.row([
            Cell::from(rule.rule.clone()),
            if rule.kept == Some(false) { found.red() } else { found },
            figure(rule.needed).into(),
        ]);
    }
    pages::small_table(plan, flow, &table, width);
    for rule in plan.fabric.ventilation.iter().filter(|rule| rule.kept == Some(false)) {
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

fn inside(plan: &Plan, moisture: &MoistureResult, flow: &mut Flow, width: f64) {
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
        moved(plan, "", moisture, flow, width);
    }
    for note in &moisture.notes {
        flow.point(note.clone());
    }
    sources(flow, &moisture.basis);
}

/// What another place of each vapour-tight layer would do; `of` is the build-up, where it is not the ceiling's.
fn moved(plan: &Plan, of: &str, moisture: &MoistureResult, flow: &mut Flow, width: f64) {
    let of = if of.is_empty() { String::new() } else { format!("{of}: ") };
    flow.heading(3, capital(&format!("{of}if a vapour-tight layer lay elsewhere")));
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
        let year = Cell::from(year_word(moved.verdict));
        let cells: [Cell; 3] = [
            if moved.as_built { format!("{place} (as planned)") } else { place.to_owned() }.into(),
            number(moved.peak_g_m2, 0).into(),
            if moved.as_built && moved.verdict == Verdict::StaysWet { year.red() } else { year },
        ];
        table.row(cells);
    }
    pages::small_table(plan, flow, &table, width);
}

fn month(number: u8) -> &'static str {
    usize::from(number).checked_sub(1).and_then(|index| MONTH_NAMES.get(index)).copied().unwrap_or("–")
}

/// Carbon dioxide, heat, and the silenced air paths.
pub(super) fn air(plan: &Plan, flow: &mut Flow, width: f64) {
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
        let vent = plan.fabric.vents.iter().find(|vent| vent.name == path.name);
        let own_noise = vent.and_then(|vent| vent.flow_noise_dba).map_or_else(String::new, |level_dba| {
            let level = if level_dba < FAINTEST_DBA {
                format!("under {}", with_unit(FAINTEST_DBA, 0, "dB(A)"))
            } else {
                with_unit(level_dba, 0, "dB(A)")
            };
            format!(" The flow's own noise in the room: {level}, without grille and fan.")
        });
        flow.paragraph(format!(
            "{} at its narrowest, {} pressure drop.{own_noise}",
            with_unit(path.velocity_m_s, 1, "m/s"),
            with_unit(path.pressure_drop_pa, 1, "Pa")
        ));
        for note in vent.iter().flat_map(|vent| &vent.notes).chain(&path.notes) {
            flow.point(note.clone());
        }
        sources(flow, &path.basis);
    }
    insertion_loss(plan, flow, width);
}

/// A fainter noise is told as no more than this, dB(A).
const FAINTEST_DBA: f64 = 10.0;
/// Third octaves at the middles of the octaves that tables show, Hz.
const SHOWN_HZ: [f64; 7] = [63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0];

/// Insertion loss of every air path by band, and what the fan must do.
fn insertion_loss(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.fabric.air_paths.is_empty() {
        return;
    }
    flow.heading(3, "Insertion loss of the air paths, dB");
    let bands: Vec<Band> = SHOWN_HZ.iter().filter_map(|hz| Band::from_nominal_hz(*hz)).collect();
    let mut columns = vec![Column::wide("third octave, Hz")];
    columns.extend(bands.iter().map(|band| Column::right(band.nominal())));
    let mut table = Table::new(columns);
    for path in &plan.fabric.air_paths {
        let mut row = vec![path.name.clone()];
        row.extend(bands.iter().map(|band| number(path.insertion_loss_db.get(*band), 0)));
        table.row(row);
    }
    pages::small_table(plan, flow, &table, width);
    if let Some(fan) = plan.fabric.fan {
        flow.paragraph(format!(
            "The fan must carry {} against {} of these paths; grilles, filters and plain ducts come on top.",
            with_unit(fan.air_l_s, 0, "l/s"),
            with_unit(fan.pressure_pa, 1, "Pa")
        ));
    }
}

/// Decay time by band, and what was counted for it.
fn decay(plan: &Plan, room: &fabric::room::RoomResult, flow: &mut Flow, width: f64) {
    let mut table = Table::new(vec![
        Column::wide("third octave, Hz"),
        Column::right("Sabine, s"),
        Column::right("Eyring, s"),
        Column::right("absorbs, m²"),
        Column::right("to add, m²"),
    ]);
    for band in SHOWN_HZ.iter().filter_map(|hz| Band::from_nominal_hz(*hz)) {
        if let Some(at) = room.decay.iter().find(|decay| decay.band == band) {
            table.row([
                band.nominal().to_owned(),
                number(at.sabine_s, 2),
                number(at.eyring_s, 2),
                number(at.area_m2, 1),
                number(at.to_add_m2, 1),
            ]);
        }
    }
    pages::small_table(plan, flow, &table, width);
    let counted: Vec<String> =
        room.surfaces.iter().map(|(name, m2)| format!("{name} {}", with_unit(*m2, 1, "m²"))).collect();
    flow.remark(format!(
        "Counted: {}; coefficients typical, no source.",
        counted.join(", ").replace('-', "–")
    ));
}

/// Decay time and modes.
pub(super) fn room(plan: &Plan, flow: &mut Flow, width: f64) {
    let Some(room) = &plan.fabric.room else { return };
    flow.heading(1, "The room inside");
    flow.paragraph(format!(
        "Decay time {} in the middle octaves, unfurnished, with its people in it. Below {} single modes are heard.",
        with_unit(room.middle_s, 2, "s"),
        with_unit(room.schroeder_hz, 0, "Hz")
    ));
    decay(plan, room, flow, width);
    if let Some(modes) = &plan.fabric.modes {
        plan_modes(modes, flow);
        return finish_room(room, flow);
    }
    let modes: Vec<String> = room.modes.iter().take(8).map(|mode| number(mode.frequency_hz, 0)).collect();
    if !modes.is_empty() {
        flow.paragraph(format!("First modes at {} Hz.", modes.join(", ")));
    }
    finish_room(room, flow);
}

fn finish_room(room: &fabric::room::RoomResult, flow: &mut Flow) {
    for note in &room.notes {
        flow.point(note.clone());
    }
    sources(flow, &room.basis);
}

/// Modes over the room's own plan, with the new ceiling and without it.
fn plan_modes(modes: &plan::outcome::PlanModes, flow: &mut Flow) {
    let list = |modes: &[fabric::room::RoomMode]| -> String {
        modes.iter().take(8).map(|mode| number(mode.frequency_hz, 0)).collect::<Vec<_>>().join(", ")
    };
    flow.paragraph(format!(
        "First modes under the new ceiling ({} clear) at {} Hz.",
        with_unit(modes.height_m, 2, "m"),
        list(&modes.modes)
    ));
    if let Some(height_m) = modes.bare_height_m.filter(|_| !modes.bare_modes.is_empty()) {
        flow.paragraph(format!(
            "Without it ({} clear) at {} Hz.",
            with_unit(height_m, 2, "m"),
            list(&modes.bare_modes)
        ));
    }
    for note in &modes.notes {
        flow.point(note.clone());
    }
    sources(flow, &modes.basis);
}
