//! What is heard at each receiver, what lets it through, and what each element does.

use paper::{
    flow::Flow,
    table::{Column, Table},
};
use plan::{
    Plan,
    outcome::{
        HeardOutcome,
        heard_words::{part_name, to_spare, verdict_sentence},
    },
};
use quantities::format::{number, with_unit};

use super::pages;

/// Receivers and elements.
pub(super) fn sound(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.heard.is_empty() && plan.elements.is_empty() {
        return;
    }
    flow.heading(1, "Sound");
    for source in &plan.sources {
        flow.paragraph(format!(
            "{}: {} in the room.",
            capital(&source.name),
            with_unit(source.level_in_room_dba, 0, "dB(A)")
        ));
        flow.remark(format!("{}.", capital(source.basis.trim_end_matches('.'))));
    }
    for heard in plan.heard.iter().filter(|heard| heard.governs) {
        receiver(plan, heard, flow, width);
    }
    others(plan, flow, width);
    elements(plan, flow);
    let mut methods: Vec<&str> = Vec::new();
    for method in plan.elements.iter().flat_map(|element| &element.prediction.method) {
        if !methods.contains(&method.as_str()) {
            methods.push(method);
        }
    }
    for method in methods {
        flow.remark(method);
    }
    for basis in plan
        .basis
        .iter()
        .filter(|basis| basis.what.starts_with("sound out") || basis.what.starts_with("sound from"))
    {
        flow.remark(format!("{}: {}.", capital(&basis.what), basis.source));
    }
}

fn receiver(plan: &Plan, outcome: &HeardOutcome, flow: &mut Flow, width: f64) {
    let place = match (outcome.distance_m, &outcome.behind) {
        (Some(distance), _) => format!(", {} out", with_unit(distance, 1, "m")),
        (None, Some(shared)) => format!(", behind the {shared}"),
        (None, None) => String::new(),
    };
    flow.heading(2, format!("{}{place}: {}", capital(&outcome.receiver), outcome.source));
    let level = &outcome.heard.level_dba;
    flow.paragraph(format!(
        "{}, four times in five between {} and {}.",
        with_unit(level.median_db, 0, "dB(A)"),
        number(level.lower_db, 0),
        number(level.upper_db, 0)
    ));
    if let Some(verdict) = &outcome.heard.verdict {
        flow.paragraph(format!("{}.", capital(verdict_sentence(verdict).trim_end_matches('.'))));
    }
    let mut table = Table::new(vec![
        Column::wide("part"),
        Column::right("alone, dB(A)"),
        Column::right("share"),
        Column::right("if it were perfect, dB(A)"),
    ]);
    let mut small = 0;
    for share in &outcome.heard.shares {
        if share.share_dba < 0.005 {
            small += 1;
            continue;
        }
        table.row([
            part_name(&share.name).to_owned(),
            number(share.level_dba.median_db, 0),
            format!("{}\u{00A0}%", number(share.share_dba * 100.0, 0)),
            share.if_perfect_dba.map_or_else(|| "–".to_owned(), |level| number(level, 1)),
        ]);
    }
    pages::small_table(plan, flow, &table, width);
    if small > 0 {
        flow.remark(format!(
            "{small} more {} under half a per cent each.",
            if small == 1 { "part lets through" } else { "parts let through" }
        ));
    }
    for note in &outcome.heard.notes {
        flow.remark(format!("{}.", capital(note.trim_end_matches('.'))));
    }
}

/// Sounds that do not govern, a line each.
fn others(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.heard.iter().all(|heard| heard.governs) {
        return;
    }
    flow.heading(2, "Quieter sounds");
    let mut table = Table::new(vec![
        Column::wide("at"),
        Column::left("sound"),
        Column::right("dB(A)"),
        Column::right("10 to 90\u{00A0}%"),
        Column::right("against the limit"),
    ]);
    for outcome in plan.heard.iter().filter(|heard| !heard.governs) {
        let level = &outcome.heard.level_dba;
        table.row([
            outcome.receiver.clone(),
            outcome.source.clone(),
            number(level.median_db, 0),
            format!("{} to {}", number(level.lower_db, 0), number(level.upper_db, 0)),
            outcome
                .heard
                .verdict
                .as_ref()
                .map_or_else(|| "–".to_owned(), |verdict| to_spare(verdict.margin.median_db)),
        ]);
    }
    pages::small_table(plan, flow, &table, width);
}

fn elements(plan: &Plan, flow: &mut Flow) {
    if plan.elements.is_empty() {
        return;
    }
    flow.heading(2, "Elements");
    if let Some(words) = plan.ceiling.bridged_words() {
        flow.paragraph(format!("{}.", capital(&words)));
    }
    flow.paragraph(
        "Each alone, in the building, without the gaps and seals in it: those are parts of their own in the shares. Below 50 Hz and \
         above 5 kHz no laboratory data stand behind the numbers.",
    );
    let mut table = Table::new(vec![
        Column::wide("element"),
        Column::right("m²"),
        Column::right("kg/m²"),
        Column::left("Rw (C; Ctr), dB"),
        Column::right("Rw from"),
        Column::right("to"),
        Column::right("STC"),
    ]);
    for element in &plan.elements {
        let prediction = &element.prediction;
        let rating = element.ratings.as_ref().map_or_else(
            || "–".to_owned(),
            |ratings| ratings.rw_c_ctr().trim_end_matches("dB").trim_end().to_owned(),
        );
        table.row([
            element.name.clone(),
            number(element.area_m2, 1),
            number(prediction.mass_kg_m2, 0),
            rating,
            number(prediction.rw_lower_db, 0),
            number(prediction.rw_upper_db, 0),
            element
                .ratings
                .as_ref()
                .and_then(|one| one.stc_db)
                .map_or_else(|| "–".to_owned(), |value| number(f64::from(value), 0)),
        ]);
    }
    flow.table(table);
    penetrations(plan, flow);
    let mut advised: Vec<(&[String], Vec<&str>)> = Vec::new();
    for element in plan.elements.iter().filter(|element| !element.prediction.advice.is_empty()) {
        let advice = element.prediction.advice.as_slice();
        match advised.iter_mut().find(|(sentences, _)| *sentences == advice) {
            Some((_, names)) => names.push(&element.name),
            None => advised.push((advice, vec![&element.name])),
        }
    }
    for (sentences, names) in advised {
        flow.heading(3, capital(&names.join(", ")));
        for sentence in sentences {
            flow.point(sentence.clone());
        }
    }
}

/// What goes through the elements or is let into them.
fn penetrations(plan: &Plan, flow: &mut Flow) {
    if plan.penetrations.is_empty() {
        return;
    }
    flow.heading(3, "What goes through them");
    for one in &plan.penetrations {
        let closing = if one.sealed { String::new() } else { format!("; to close it: {}", one.how_closed()) };
        flow.point(format!("{}: {}{closing}.", capital(&one.element), one.words()));
    }
}

/// The same words with a capital at the beginning.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
