//! The calculations behind the verdicts, and where their numbers come from.

use fabric::Checked;
use paper::{
    flow::Flow,
    table::{Cell, Column, Table},
};
use plan::Plan;
use quantities::format::{number, with_unit};

use super::sound_pages::capital;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Survey, timber, fixings, heat, damp, air, room.
pub(super) fn calculations(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    survey(plan, &mut flow);
    timber(plan, &mut flow);
    fixings(plan, &mut flow);
    heat(plan, &mut flow);
    damp(plan, &mut flow);
    air(plan, &mut flow);
    room(plan, &mut flow);
    if !plan.fabric.not_checked.is_empty() {
        flow.heading(1, "Not worked out");
        for sentence in &plan.fabric.not_checked {
            flow.point(sentence.clone());
        }
    }
    flow
}

fn survey(plan: &Plan, flow: &mut Flow) {
    let survey = &plan.survey;
    flow.heading(1, "Survey");
    flow.paragraph(survey.quality.clone());
    let mut table = Table::new(vec![
        Column::left("tape"),
        Column::right("read"),
        Column::right("adjusted"),
        Column::right("residual"),
        Column::right("in its sd"),
    ]);
    for (index, reading) in survey.readings.iter().enumerate() {
        let suspect = survey.suspect.as_ref().is_some_and(|suspect| suspect.reading == index);
        let height = if reading.height == survey::Height::Floor { " (floor)" } else { "" };
        let name = Cell::from(format!("{}{height}", reading.name));
        let standard = reading.standardised_residual.filter(|_| reading.used);
        let cells = [
            if suspect { name.red() } else { name },
            number(reading.reading_mm, 0).into(),
            number(reading.adjusted_mm, 1).into(),
            if reading.used { number(reading.residual_mm, 1).into() } else { Cell::from("not used").grey() },
            standard.map_or_else(|| Cell::from("–"), |value| number(value, 1).into()),
        ];
        table.row(cells);
    }
    flow.table(table);
    let mut table = Table::new(vec![
        Column::left("corner"),
        Column::right("x, mm"),
        Column::right("y, mm"),
        Column::right("± mm"),
        Column::right("angle"),
        Column::right("out of square, mm/m"),
    ]);
    for corner in &survey.corners {
        table.row([
            corner.name.clone(),
            number(corner.at.x_mm, 0),
            number(corner.at.y_mm, 0),
            number(2.0 * corner.sd_mm, 1),
            format!("{}°", number(corner.angle_deg, 2)),
            corner.out_of_square_mm_per_m.map_or_else(|| "–".to_owned(), |value| number(value, 1)),
        ]);
    }
    flow.table(table);
    for pair in &survey.opposite_walls {
        let name = |index: usize| survey.walls.get(index).map_or("", |wall| wall.name.as_str());
        flow.point(format!(
            "{} and {}: {} apart at one end, {} at the other; their lengths differ by {}.",
            name(pair.first),
            name(pair.second),
            with_unit(pair.apart_at_first_corner_mm, 0, "mm"),
            with_unit(pair.apart_at_second_corner_mm, 0, "mm"),
            with_unit(pair.difference_mm.abs(), 0, "mm")
        ));
    }
}

fn timber(plan: &Plan, flow: &mut Flow) {
    if plan.fabric.joists.is_empty() {
        return;
    }
    flow.heading(1, "Joists");
    flow.warning(fabric::STRUCTURAL_CAUTION);
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
        Column::right("at once"),
        Column::right("final"),
        Column::right("to spare, kg/m²"),
    ]);
    for (index, joist) in plan.fabric.joists.iter().enumerate() {
        let governs = plan.fabric.governing_joist == Some(index);
        let percent = |utilisation: f64| {
            let cell = Cell::from(format!("{}\u{00A0}%", number(utilisation * 100.0, 0)));
            if utilisation > 1.0 { cell.red() } else { cell }
        };
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
    let Some(joist) = plan.fabric.governing_joist.and_then(|index| plan.fabric.joists.get(index)) else {
        return;
    };
    flow.heading(3, format!("{}, the joist used most", joist.name));
    flow.paragraph(format!(
        "{} at {}\u{00A0}% under {}. Final deflection {} of {} allowed (span/{}). Factors: kh {}, ksys {}, kcr {}, kcrit {}, kdef \
         {}, γM {}.",
        capital(joist.governing.question.name()),
        number(joist.governing.utilisation * 100.0, 0),
        joist.governing.under,
        with_unit(joist.final_deflection.deflection_mm, 1, "mm"),
        with_unit(joist.final_deflection.limit_mm, 1, "mm"),
        number(joist.final_deflection.limit_ratio, 0),
        number(joist.factors.kh, 2),
        number(joist.factors.ksys, 2),
        number(joist.factors.kcr, 2),
        number(joist.factors.kcrit, 2),
        number(joist.factors.kdef, 2),
        number(joist.factors.gamma_m, 2)
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
            combination.name.clone(),
            number(combination.kmod, 1),
            number(combination.moment_knm, 2),
            number(combination.shear_kn, 2),
            format!("{}\u{00A0}%", number(combination.bending * 100.0, 1)),
            format!("{}\u{00A0}%", number(combination.shear * 100.0, 1)),
        ]);
    }
    flow.table(table);
    for note in joist.grade_note.iter().chain(&joist.notes) {
        flow.point(note.clone());
    }
}

fn fixings(plan: &Plan, flow: &mut Flow) {
    let fixings: Vec<_> =
        plan.fabric.clip.iter().chain(&plan.fabric.bar).chain(&plan.fabric.screws).collect();
    if fixings.is_empty() {
        return;
    }
    flow.heading(1, "Clips, bars and screws");
    let mut table = Table::new(vec![
        Column::left("the one that carries most"),
        Column::right("load"),
        Column::right("rated"),
        Column::wide("result"),
    ]);
    for fixing in fixings {
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
    flow.table(table);
}

fn heat(plan: &Plan, flow: &mut Flow) {
    let Some(u) = &plan.fabric.u_value else { return };
    flow.heading(1, "Heat");
    flow.paragraph(format!(
        "U {} of the ceiling and roof (upper limit of the resistance {}, lower {}).",
        with_unit(u.u_w_m2k, 2, "W/(m²\u{00A0}K)"),
        with_unit(u.upper_m2k_w, 2, "m²\u{00A0}K/W"),
        with_unit(u.lower_m2k_w, 2, "m²\u{00A0}K/W")
    ));
    for note in &u.notes {
        flow.point(note.clone());
    }
}

fn damp(plan: &Plan, flow: &mut Flow) {
    if let Some(moisture) = &plan.fabric.moisture {
        flow.heading(1, "Damp");
        flow.paragraph(match moisture.verdict {
            fabric::moisture::Verdict::Dry => "No month condenses inside the build-up.".to_owned(),
            fabric::moisture::Verdict::DriesOut => format!(
                "It condenses in winter, at most {}, and is dry again within the year.",
                with_unit(moisture.peak_g_m2, 0, "g/m²")
            ),
            fabric::moisture::Verdict::StaysWet => {
                format!(
                    "It grows wetter year by year, {} at the most.",
                    with_unit(moisture.peak_g_m2, 0, "g/m²")
                )
            }
        });
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
            flow.heading(3, "What moving a vapour-tight layer would do");
            let mut table = Table::new(vec![
                Column::left("layer"),
                Column::wide("just inside of"),
                Column::right("most, g/m²"),
                Column::left("year"),
            ]);
            for moved in &moisture.moved {
                let place = if moved.inside_of.is_empty() {
                    "nothing: outermost".to_owned()
                } else {
                    moved.inside_of.clone()
                };
                let year = match moved.verdict {
                    fabric::moisture::Verdict::Dry => Cell::from("dry"),
                    fabric::moisture::Verdict::DriesOut => Cell::from("dries out"),
                    fabric::moisture::Verdict::StaysWet => Cell::from("stays wet").red(),
                };
                let layer = Cell::from(moved.layer.clone());
                table.row([
                    if moved.as_built { layer.semibold() } else { layer },
                    if moved.as_built { format!("{place} (as planned)") } else { place }.into(),
                    number(moved.peak_g_m2, 0).into(),
                    year,
                ]);
            }
            flow.table(table);
        }
        for note in &moisture.notes {
            flow.point(note.clone());
        }
    }
    for rule in &plan.fabric.ventilation {
        let words = format!(
            "{}: {} found, {} needed.",
            capital(&rule.rule),
            number(rule.found, 0),
            number(rule.needed, 0)
        );
        if rule.kept {
            flow.point(words);
        } else {
            flow.warning(format!("{words} {}", rule.remedy));
        }
    }
}

fn month(number: u8) -> &'static str {
    usize::from(number).checked_sub(1).and_then(|index| MONTHS.get(index)).copied().unwrap_or("–")
}

fn air(plan: &Plan, flow: &mut Flow) {
    if let Some(air) = &plan.fabric.air {
        flow.heading(1, "Fresh air");
        flow.paragraph(format!(
            "Carbon dioxide reaches {} in the session with the planned air, {} with the room sealed. {} keep to the limit for the \
             session, {} for ever. {} air changes an hour; people and equipment give {}.",
            with_unit(air.peak_ppm, 0, "ppm"),
            with_unit(air.sealed_end_ppm, 0, "ppm"),
            with_unit(air.needed_l_s, 0, "l/s"),
            with_unit(air.needed_steady_l_s, 0, "l/s"),
            number(air.air_changes_per_h, 1),
            with_unit(air.heat_w, 0, "W")
        ));
        for note in &air.notes {
            flow.point(note.clone());
        }
    }
    for path in &plan.fabric.air_paths {
        flow.paragraph(format!(
            "{}: {} at its narrowest, {} pressure drop.",
            capital(&path.name),
            with_unit(path.velocity_m_s, 1, "m/s"),
            with_unit(path.pressure_drop_pa, 1, "Pa")
        ));
        for note in &path.notes {
            flow.point(note.clone());
        }
    }
}

fn room(plan: &Plan, flow: &mut Flow) {
    let Some(room) = &plan.fabric.room else { return };
    flow.heading(1, "The room inside");
    flow.paragraph(format!(
        "Decay time {} in the middle octaves as the room stands empty. Below {} single modes are heard.",
        with_unit(room.middle_s, 2, "s"),
        with_unit(room.schroeder_hz, 0, "Hz")
    ));
    let modes: Vec<String> =
        room.modes.iter().take(8).map(|mode| with_unit(mode.frequency_hz, 0, "Hz")).collect();
    if !modes.is_empty() {
        flow.paragraph(format!("First modes: {}.", modes.join(", ")));
    }
    for note in &room.notes {
        flow.point(note.clone());
    }
}

/// Where the numbers come from.
pub(super) fn sources(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    flow.heading(1, "Sources");
    let mut table = Table::new(vec![Column::wide("what"), Column::wide("source")]);
    for basis in &plan.basis {
        table.row([basis.what.clone(), basis.source.clone()]);
    }
    flow.table(table);
    let mut table = Table::new(vec![Column::wide("material"), Column::wide("source of its data")]);
    let mut seen: Vec<&str> = Vec::new();
    for layer in plan.buildups.iter().flat_map(|buildup| &buildup.layers) {
        if !layer.basis.is_empty() && !seen.contains(&layer.name.as_str()) {
            seen.push(&layer.name);
            table.row([layer.name.clone(), layer.basis.clone()]);
        }
    }
    flow.table(table);
    flow
}
