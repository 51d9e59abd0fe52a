//! The calculations behind the verdicts in the order of the verdict strip, each with where its numbers come from.

use fabric::Checked;
use paper::{
    Extent,
    flow::{Flow, FlowArea, FlowPage},
    table::{Cell, Column, Table},
};
use plan::Plan;
use quantities::format::{number, with_unit};

use super::{
    fabric_pages, pages,
    sound_pages::{self, capital},
};

/// Sound, timber, fixings, damp, air, heights, then survey and the room inside, and the sources.
pub(super) fn calculations(plan: &Plan, area: Extent) -> Vec<FlowPage> {
    let width = FlowArea::columns(area, pages::as_on_a3(3, area)).column_width_mm();
    let mut flow = Flow::new();
    sound_pages::sound(plan, &mut flow, width);
    timber(plan, &mut flow, width);
    fixings(plan, &mut flow, width);
    fabric_pages::heat(plan, &mut flow);
    fabric_pages::damp(plan, &mut flow, width);
    fabric_pages::air(plan, &mut flow, width);
    heights(plan, &mut flow);
    ceiling(plan, &mut flow);
    survey(plan, &mut flow);
    fabric_pages::room(plan, &mut flow, width);
    if !plan.fabric.not_checked.is_empty() {
        flow.heading(1, "Not worked out");
        for sentence in &plan.fabric.not_checked {
            flow.note(sentence.clone());
        }
    }
    materials(plan, &mut flow);
    pages::columns(plan, &flow, area, pages::as_on_a3(3, area))
}

/// Where the numbers of a calculation come from, in small letters under it.
pub(super) fn sources(flow: &mut Flow, basis: &[fabric::Basis]) {
    for one in basis {
        // A symbol keeps its own letters.
        let symbol = one.what.chars().nth(1).is_none_or(|second| !second.is_alphabetic());
        let what = if symbol { one.what.clone() } else { capital(&one.what) };
        let words = format!("{what}: {}.", one.source.trim_end_matches('.'));
        flow.remark(words.replace("\u{1FB1}", "αm").replace("α\u{0304}", "αm"));
    }
}

fn percent(utilisation: f64) -> Cell {
    let cell = Cell::from(format!("{}\u{00A0}%", number(utilisation * 100.0, 0)));
    if utilisation > 1.0 { cell.red() } else { cell }
}

fn timber(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.fabric.joists.is_empty() {
        return;
    }
    flow.heading(1, "Joists");
    flow.note(fabric::STRUCTURAL_CAUTION);
    let mut table = Table::new(vec![
        Column::wide("dead load"),
        Column::right("kg/m²"),
        Column::right("kN/m²"),
        Column::left("on"),
    ]);
    for load in &plan.fabric.dead_loads {
        table.row([
            load.name.clone(),
            number(load.mass_kg_m2, 1),
            number(fabric::loads::load_kn_m2_of_mass(load.mass_kg_m2), 3),
            if load.on_clips { "clips" } else { "joists" }.to_owned(),
        ]);
    }
    flow.table(table);
    let mut table = Table::new(vec![
        Column::left("joist"),
        Column::right("bending"),
        Column::right("shear"),
        Column::right("bearing"),
        Column::right("sag at once"),
        Column::right("sag in the end"),
        Column::right("to spare, kg/m²"),
    ]);
    for (index, joist) in plan.fabric.joists.iter().enumerate() {
        let governs = plan.fabric.governing_joist == Some(index);
        let name = Cell::from(joist.name.clone());
        table.row([
            if governs { name.semibold() } else { name },
            percent(joist.bending.utilisation),
            percent(joist.shear.utilisation),
            percent(joist.bearing.utilisation),
            percent(joist.deflection_at_once.utilisation),
            percent(joist.final_deflection.utilisation),
            number(joist.to_spare.mass_kg_m2, 0).into(),
        ]);
    }
    flow.table(table);
    flow.paragraph(stopped_by(&plan.fabric.joists));
    if let Some(joist) = plan.fabric.governing_joist.and_then(|index| plan.fabric.joists.get(index)) {
        governing_joist(plan, joist, flow, width);
    }
    cuts_and_vibration(plan, flow, width);
    for opening in &plan.fabric.joist_openings {
        joist_opening(plan, opening, flow, width);
    }
    for beam in &plan.fabric.beams {
        flow.heading(
            3,
            format!("{}: beam under {}", capital(&beam.name), counted(beam.joists.len(), "joist")),
        );
        flow.paragraph(carried(&beam.result));
        let mut table = Table::new(used_columns("timber"));
        table.row(used_row(&beam.result));
        pages::small_table(plan, flow, &table, width);
        for note in beam.result.grade_note.iter().chain(&beam.result.notes) {
            if note != fabric::STRUCTURAL_CAUTION {
                flow.point(note.clone());
            }
        }
    }
}

/// Which check stops more mass from being hung, joist by joist where they differ.
fn stopped_by(joists: &[fabric::timber::JoistResult]) -> String {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for joist in joists {
        let question = joist.to_spare.stopped_by.name();
        match groups.iter_mut().find(|(known, _)| *known == question) {
            Some((_, names)) => names.push(&joist.name),
            None => groups.push((question, vec![&joist.name])),
        }
    }
    let words: Vec<String> = match groups.as_slice() {
        [(question, _)] => vec![format!("{question} in every joist")],
        several => {
            several.iter().map(|(question, names)| format!("{question} in {}", names.join(", "))).collect()
        }
    };
    format!("More than that is stopped by {}.", words.join("; by "))
}

/// Notches and holes, and vibration where the joists are a floor too.
fn cuts_and_vibration(plan: &Plan, flow: &mut Flow, width: f64) {
    let joists = &plan.fabric.joists;
    if joists.iter().any(|joist| !joist.cuts.is_empty()) {
        flow.heading(3, "Notches and holes");
        let mut table = Table::new(vec![Column::left("joist"), Column::wide("cut"), Column::right("used")]);
        for joist in joists {
            for cut in &joist.cuts {
                table.row([
                    Cell::from(joist.name.clone()),
                    format!("{}: {}", cut.name, cut.note).into(),
                    percent(cut.utilisation),
                ]);
            }
        }
        pages::small_table(plan, flow, &table, width);
    }
    if joists.iter().any(|joist| joist.vibration.is_some()) {
        flow.heading(3, "Vibration of the floor");
        let mut table = Table::new(vec![
            Column::left("joist"),
            Column::right("first mode, Hz"),
            Column::right("sag under 1 kN, mm"),
            Column::right("allowed, mm"),
            Column::right("used"),
        ]);
        for (joist, vibration) in joists.iter().filter_map(|joist| Some((joist, joist.vibration.as_ref()?))) {
            table.row([
                Cell::from(joist.name.clone()),
                number(vibration.frequency_hz, 1).into(),
                plan.lengths().fine(vibration.point_deflection_mm_kn, 2).into(),
                plan.lengths().fine(vibration.limit_mm_kn, 2).into(),
                percent(vibration.utilisation),
            ]);
        }
        pages::small_table(plan, flow, &table, width);
    }
}

/// A hatch or rooflight: its trimmers and trimming joists.
fn joist_opening(plan: &Plan, opening: &plan::outcome::JoistOpeningOutcome, flow: &mut Flow, width: f64) {
    flow.heading(3, format!("{}: opening through the joists", capital(&opening.name)));
    flow.paragraph(format!(
        "Between {}, {} from middle to middle; cut short: {}.",
        opening.between.join(" and "),
        plan.lengths().with_unit(opening.width_mm, 0),
        if opening.cut.is_empty() { "none".to_owned() } else { opening.cut.join(", ") }
    ));
    let mut table = Table::new(used_columns("timber"));
    for joist in opening.result.trimmers.iter().chain(std::iter::once(&opening.result.trimming)) {
        table.row(used_row(joist));
    }
    pages::small_table(plan, flow, &table, width);
    for note in &opening.result.notes {
        flow.point(note.clone());
    }
}

/// Columns of a table that says how much of each timber is used.
fn used_columns(what: &str) -> Vec<Column> {
    vec![
        Column::wide(what),
        Column::right("bending"),
        Column::right("shear"),
        Column::right("bearing"),
        Column::right("sag in the end"),
    ]
}

fn used_row(joist: &fabric::timber::JoistResult) -> [Cell; 5] {
    [
        Cell::from(joist.name.clone()),
        percent(joist.bending.utilisation),
        percent(joist.shear.utilisation),
        percent(joist.bearing.utilisation),
        percent(joist.final_deflection.utilisation),
    ]
}

fn governing_joist(plan: &Plan, joist: &fabric::timber::JoistResult, flow: &mut Flow, width: f64) {
    flow.heading(3, format!("{}, the joist used most", joist.name));
    flow.paragraph(format!(
        "{} at {}\u{00A0}% under {}. Final deflection {} of {} allowed (span/{}).",
        capital(joist.governing.question.name()),
        number(joist.governing.utilisation * 100.0, 0),
        joist.governing.under,
        plan.lengths().fine_with_unit(joist.final_deflection.deflection_mm, 1),
        plan.lengths().fine_with_unit(joist.final_deflection.limit_mm, 1),
        number(joist.final_deflection.limit_ratio, 0)
    ));
    flow.paragraph(carried(joist));
    let factors = &joist.factors;
    flow.paragraph(format!(
        "Factors: kh {}, ksys {}, kcr {}, kcrit {}, kdef {}, γM {}.",
        number(factors.kh, 2),
        number(factors.ksys, 2),
        number(factors.kcr, 2),
        number(factors.kcrit, 2),
        number(factors.kdef, 2),
        number(factors.gamma_m, 2)
    ));
    let mut table = Table::new(vec![
        Column::wide("combination"),
        Column::right("kmod"),
        Column::right("M, kNm"),
        Column::right("V, kN"),
        Column::right("bending"),
        Column::right("shear"),
    ]);
    for combination in &joist.combinations {
        table.row([
            Cell::from(combination.name.clone()),
            number(combination.kmod, 1).into(),
            number(combination.moment_knm, 2).into(),
            number(combination.shear_kn, 2).into(),
            percent(combination.bending),
            percent(combination.shear),
        ]);
    }
    pages::small_table(plan, flow, &table, width);
    for note in
        joist.grade_note.iter().chain(joist.notes.iter().filter(|note| *note != fabric::STRUCTURAL_CAUTION))
    {
        flow.point(note.clone());
    }
    sources(flow, &joist.basis);
}

/// Spans, overhangs and what each support carries, in a sentence.
fn carried(joist: &fabric::timber::JoistResult) -> String {
    let metres = |list: &[f64]| list.iter().map(|m| number(*m, 2)).collect::<Vec<_>>().join(" + ");
    let over: Vec<f64> = joist.overhangs_m.iter().copied().filter(|m| *m > 0.0).collect();
    let over = if over.is_empty() { String::new() } else { format!(", overhang {}\u{00A0}m", metres(&over)) };
    let loads: Vec<String> = joist
        .supports
        .iter()
        .map(|support| format!("{} to {}", number(support.least_kn, 2), number(support.most_kn, 2)))
        .collect();
    format!(
        "Span {}\u{00A0}m from middle to middle of its bearings{over}. Its supports carry {}\u{00A0}kN, least to most, without safety \
         factors.",
        metres(&joist.spans_m),
        loads.join("; ")
    )
}

fn fixings(plan: &Plan, flow: &mut Flow, width: f64) {
    let fixings: Vec<_> =
        plan.fabric.clip.iter().chain(&plan.fabric.bar).chain(&plan.fabric.screws).collect();
    if fixings.is_empty() {
        return;
    }
    flow.heading(1, "Clips, bars and screws");
    let mut table = Table::new(vec![
        Column::left("carries most"),
        Column::right("load"),
        Column::right("rated"),
        Column::wide("result"),
    ]);
    for fixing in &fixings {
        let result = match &fixing.checked {
            Checked::Holds { utilisation } => {
                Cell::from(format!("holds, {}\u{00A0}%", number(utilisation * 100.0, 0)))
            }
            Checked::Fails { utilisation } => {
                Cell::from(format!("fails, {}\u{00A0}%", number(utilisation * 100.0, 0))).red()
            }
            Checked::Open { missing } => Cell::from(missing.clone()).grey(),
        };
        table.row([
            Cell::from(fixing.name.clone()),
            with_unit(fixing.mass, if fixing.mass < 1.0 { 2 } else { 1 }, fixing.unit).into(),
            fixing.rated.map_or_else(|| Cell::from("–"), |rated| with_unit(rated, 1, fixing.unit).into()),
            result,
        ]);
    }
    pages::small_table(plan, flow, &table, width);
    if let Some(first) = fixings.first() {
        sources(flow, &first.basis);
    }
}

fn heights(plan: &Plan, flow: &mut Flow) {
    let Some(heights) = &plan.heights else { return };
    flow.heading(1, "Headroom and roof");
    flow.paragraph(format!(
        "Headroom {} ±\u{00A0}{} {}. The roof stands {} above the ground at its highest. The chain of heights \
         is drawn on its own sheet.",
        plan.lengths().with_unit(heights.headroom_mm, 0),
        plan.lengths().figure(2.0 * heights.headroom_sd_mm, 0),
        heights.inside.first().map_or("", |link| link.note.as_str()),
        plan.lengths().with_unit(heights.roof_top_above_ground_mm, 0)
    ));
    flow.remark("Uncertainty: a level read with a builder's laser ± 2 mm, boards, clip and bar together ± 1.5 mm, one standard deviation each (common practice).");
}

fn ceiling(plan: &Plan, flow: &mut Flow) {
    let Some(layout) = &plan.ceiling.layout else { return };
    flow.heading(1, "Ceiling");
    let off = &layout.take_off;
    flow.paragraph(format!(
        "{}, {} bars, {} clips, {}: {}, {}. The heaviest clip carries {}.",
        with_unit(off.area_m2, 1, "m²"),
        off.bars,
        off.clips,
        counted(off.noggins, "noggin"),
        with_unit(off.mass_kg, 0, "kg"),
        with_unit(off.mass_kg_m2, 1, "kg/m²"),
        with_unit(off.heaviest_clip_kg, 1, "kg")
    ));
    if plan.ceiling.breaches.is_empty() {
        flow.paragraph("A second check, written apart from the setting out, found every rule kept.");
    }
    for breach in &plan.ceiling.breaches {
        flow.warning(breach.sentence.clone());
    }
    if layout.proved_fewest_boards {
        flow.point("No layout of the family searched needs fewer boards: proved.");
    }
    if !layout.family.is_empty() {
        flow.remark(format!("Family searched: {}", layout.family));
    }
    for note in &layout.notes {
        flow.point(format!("{}.", capital(note.trim_end_matches('.'))));
    }
}

/// `1 noggin`, `3 noggins`.
pub(super) fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

fn survey(plan: &Plan, flow: &mut Flow) {
    let survey = &plan.survey;
    flow.heading(1, "Survey");
    flow.paragraph(survey.quality.clone());
    let mut table = Table::new(vec![
        Column::left("tape"),
        Column::right("read"),
        Column::right("adjusted"),
        Column::right("missed by"),
        Column::right("in its sd"),
    ]);
    for (index, reading) in survey.readings.iter().enumerate() {
        let suspect = survey.suspect.as_ref().is_some_and(|suspect| suspect.reading == index);
        let height = if reading.height == survey::Height::Floor { " (floor)" } else { "" };
        let name = Cell::from(format!("{}{height}", reading.name.replace('-', "–")));
        let standard = reading.standardised_residual.filter(|_| reading.used);
        table.row([
            if suspect { name.red() } else { name },
            plan.lengths().figure(reading.reading_mm, 0).into(),
            plan.lengths().figure(reading.adjusted_mm, 1).into(),
            if reading.used {
                plan.lengths().fine(reading.residual_mm, 1).into()
            } else {
                Cell::from("not used").grey()
            },
            standard.map_or_else(|| Cell::from("–"), |value| number(value, 1).into()),
        ]);
    }
    flow.table(table);
    let mut table = Table::new(vec![
        Column::left("corner"),
        Column::right("x, mm"),
        Column::right("y, mm"),
        Column::right("one sd, mm"),
        Column::right("angle"),
        Column::right("out of square, mm/m"),
    ]);
    for corner in &survey.corners {
        table.row([
            corner.name.clone(),
            plan.lengths().figure(corner.at.x_mm, 0),
            plan.lengths().figure(corner.at.y_mm, 0),
            plan.lengths().fine(corner.sd_mm, 1),
            format!("{}°", number(corner.angle_deg, 2)),
            corner.out_of_square_mm_per_m.map_or_else(|| "–".to_owned(), |fall| plan.lengths().fall(fall, 1)),
        ]);
    }
    flow.table(table);
    for basis in plan.basis.iter().filter(|basis| basis.what.starts_with("corners")) {
        flow.remark(format!("{}: {}.", capital(&basis.what), basis.source));
    }
}

/// Where the data of the materials come from.
fn materials(plan: &Plan, flow: &mut Flow) {
    let mut table = Table::new(vec![
        Column::wide("material").with_width(paper::table::Width::Share(0.7)),
        Column::wide("source of its data").with_width(paper::table::Width::Share(1.6)),
    ]);
    let mut seen: Vec<&str> = Vec::new();
    for layer in plan.buildups.iter().flat_map(|buildup| &buildup.layers) {
        if !layer.basis.is_empty() && !seen.contains(&layer.name.as_str()) {
            seen.push(&layer.name);
            table.row([layer.name.clone(), layer.basis.clone()]);
        }
    }
    if !table.rows.is_empty() {
        flow.heading(1, "Materials");
        flow.table(table);
    }
}
