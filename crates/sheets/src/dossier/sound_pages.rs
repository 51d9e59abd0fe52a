//! What is heard at each receiver, what lets it through, and what each element does.

use paper::{
    flow::Flow,
    table::{Cell, Column, Table},
};
use plan::{Plan, outcome::HeardOutcome};
use quantities::format::{number, with_unit};

/// Receivers and elements.
pub(super) fn sound(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    if plan.heard.is_empty() && plan.elements.is_empty() {
        return flow;
    }
    flow.heading(1, "What is heard");
    for source in &plan.sources {
        flow.paragraph(format!(
            "{}: {} in the room. {}",
            capital(&source.name),
            with_unit(source.level_in_room_dba, 0, "dB(A)"),
            source.basis
        ));
    }
    for heard in &plan.heard {
        receiver(heard, &mut flow);
    }
    flow.heading(1, "Elements");
    flow.paragraph(
        "Sound reduction index R of each element alone, in the building, without the gaps and seals in it: those are parts of \
         their own in the shares. Below 50 Hz and above 5 kHz no laboratory data stand behind the numbers.",
    );
    let mut table = Table::new(vec![
        Column::left("element"),
        Column::right("m²"),
        Column::right("kg/m²"),
        Column::left("Rw (C; Ctr)"),
        Column::right("C50-5000"),
        Column::right("Ctr,50-5000"),
        Column::right("STC"),
        Column::wide("f0, fc"),
    ]);
    for element in &plan.elements {
        let ratings = element.ratings.as_ref();
        let signed =
            |value: Option<i32>| value.map_or_else(|| "–".to_owned(), |value| number(f64::from(value), 0));
        let mut notes: Vec<String> = element
            .prediction
            .resonances
            .iter()
            .map(|resonance| format!("f0 {}", with_unit(resonance.frequency_hz, 0, "Hz")))
            .collect();
        notes.extend(
            element
                .prediction
                .critical_frequencies
                .iter()
                .map(|critical| format!("fc {}", with_unit(critical.fc_hz, 0, "Hz"))),
        );
        table.row([
            Cell::from(element.name.clone()),
            number(element.area_m2, 1).into(),
            number(element.prediction.mass_kg_m2, 0).into(),
            ratings.map_or_else(|| "–".to_owned(), bands::Ratings::rw_c_ctr).into(),
            signed(ratings.and_then(|one| one.c50_5000_db)).into(),
            signed(ratings.and_then(|one| one.ctr50_5000_db)).into(),
            signed(ratings.and_then(|one| one.stc_db)).into(),
            notes.join(", ").into(),
        ]);
    }
    flow.table(table);
    for element in &plan.elements {
        if element.prediction.advice.is_empty() {
            continue;
        }
        flow.heading(3, capital(&element.name));
        for sentence in &element.prediction.advice {
            flow.point(sentence.clone());
        }
    }
    flow
}

fn receiver(outcome: &HeardOutcome, flow: &mut Flow) {
    let place = outcome
        .distance_m
        .map_or_else(|| "inside".to_owned(), |distance| format!("{} out", with_unit(distance, 1, "m")));
    flow.heading(2, format!("{}, {}: {}", capital(&outcome.receiver), place, outcome.source));
    let level = &outcome.heard.level_dba;
    flow.paragraph(format!(
        "{}, nine times in ten between {} and {}. {}",
        with_unit(level.median_db, 0, "dB(A)"),
        number(level.lower_db, 0),
        number(level.upper_db, 0),
        outcome.heard.sentence
    ));
    if let Some(verdict) = &outcome.heard.verdict {
        flow.paragraph(format!(
            "{} It holds with a confidence of {}\u{00A0}%.",
            verdict.sentence,
            number(verdict.confidence * 100.0, 0)
        ));
    }
    let mut table = Table::new(vec![
        Column::wide("part"),
        Column::right("dB(A) alone"),
        Column::right("share"),
        Column::right("dB(A) if it were perfect"),
    ]);
    for share in outcome.heard.shares.iter().filter(|share| share.share_dba >= 0.005) {
        table.row([
            share.name.clone(),
            number(share.level_dba.median_db, 0),
            format!("{}\u{00A0}%", number(share.share_dba * 100.0, 0)),
            share.if_perfect_dba.map_or_else(|| "–".to_owned(), |level| number(level, 1)),
        ]);
    }
    flow.table(table);
    for note in &outcome.heard.notes {
        flow.remark(note.clone());
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
