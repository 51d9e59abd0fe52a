//! What to build, in words: the chosen set, what each decibel costs, the next best steps, what stands in the way.

use paper::{
    Extent,
    flow::{Flow, FlowPage},
    table::{Cell, Column, Table},
};
use plan::{
    Choice, Plan,
    choosing::outcome::{Built, FrontRow},
};
use quantities::format::{number, with_unit};

use super::pages;
use crate::choosing::{
    STILL_FAILS, cost_words, head, is_chosen, money, said_once, signed, spare, then_words, used_words,
};

/// What to build, in columns.
pub(super) fn what_to_build(plan: &Plan, choice: &Choice, area: Extent) -> Vec<FlowPage> {
    let mut flow = Flow::new();
    flow.remark(format!(
        "{} ways of building were looked at, {} of them beaten by no other. A limit counts as kept if it is kept {:.0} times in a hundred. \
         All other sheets show the room as its file has it.",
        choice.candidates, choice.left, choice.sure_percent
    ));
    if let Some(chosen) = &choice.chosen {
        set(plan, choice, chosen, &mut flow);
    }
    margins(choice, &mut flow);
    why_not(choice, &mut flow);
    steps(choice, &mut flow);
    front(
        choice,
        "What each decibel costs",
        "cost",
        (&choice.front, |row| money(choice, row.cost)),
        &mut flow,
    );
    let depth = |row: &FrontRow| plan.lengths().with_unit(row.drop_mm, 0);
    let over = "What each decibel takes of the headroom";
    front(choice, over, "below the joists", (&choice.headroom_front, depth), &mut flow);
    if !choice.sensitivity.is_empty() {
        flow.heading(1, "If");
        for one in &choice.sensitivity {
            flow.paragraph(format!("{}: {}.", one.if_so, then_words(choice, one)));
        }
    }
    if !choice.notes.is_empty() {
        flow.heading(1, "To know of the choice");
        for note in &choice.notes {
            flow.point(note.clone());
        }
    }
    pages::columns(plan, &flow, area, pages::as_on_a3(2, area))
}

/// The chosen set, what it uses of each limit, and what is proved of it.
fn set(plan: &Plan, choice: &Choice, chosen: &Built, flow: &mut Flow) {
    flow.heading(1, format!("{}, {}", head(choice), cost_words(choice, chosen)));
    let changed: Vec<_> = chosen.picks.iter().filter(|pick| pick.candidate != 0).collect();
    if !changed.is_empty() {
        let mut table =
            Table::new(vec![Column::left("element"), Column::wide("becomes"), Column::right("cost")]);
        for pick in changed {
            table.row([pick.element.clone(), pick.name.clone(), money(choice, pick.cost)]);
        }
        flow.table(table);
    }
    let kept: Vec<&str> =
        chosen.picks.iter().filter(|pick| pick.candidate == 0).map(|pick| pick.element.as_str()).collect();
    if !kept.is_empty() {
        flow.paragraph(format!("As it is: {}.", kept.join(", ")));
    }
    for used in &chosen.uses {
        let lengths = plan.lengths();
        flow.paragraph(format!(
            "{}: {} of {}.",
            crate::drawings::capital(&used.name),
            used_words(used.used, &used.unit, lengths, false),
            used_words(used.most, &used.unit, lengths, true)
        ));
    }
    flow.paragraph(choice.proof.clone());
    for sentence in choice.verified.iter().flat_map(|verified| &verified.newly_failing) {
        flow.warning(format!("Planned whole it fails: {sentence}"));
    }
    for sentence in choice.verified.iter().flat_map(|verified| &verified.still_failing) {
        flow.warning(format!("{STILL_FAILS} {sentence}"));
    }
}

/// What is to spare at each receiver, in the file and as chosen.
fn margins(choice: &Choice, flow: &mut Flow) {
    if choice.today.margins.is_empty() {
        return;
    }
    flow.heading(1, "To spare under each limit, dB");
    let mut table = Table::new(vec![
        Column::left("place"),
        Column::left("sound"),
        Column::wide("limit"),
        Column::decimal("in the file"),
        Column::decimal("as chosen"),
    ]);
    for today in &choice.today.margins {
        let chosen = choice.chosen.iter().flat_map(|chosen| &chosen.margins).find(|row| {
            row.receiver == today.receiver && row.source == today.source && row.criterion == today.criterion
        });
        let told = |margin_db: Option<f64>| {
            let cell = Cell::from(margin_db.map_or_else(String::new, signed));
            if margin_db.is_some_and(|margin| margin < 0.0) { cell.red() } else { cell }
        };
        table.row([
            Cell::from(today.receiver.clone()),
            Cell::from(today.source.clone()),
            Cell::from(today.criterion.clone()),
            told(Some(today.margin_db)),
            told(chosen.map(|row| row.margin_db)),
        ]);
    }
    flow.table(table);
}

fn why_not(choice: &Choice, flow: &mut Flow) {
    if choice.why_not.is_empty() {
        return;
    }
    flow.heading(1, "Why not every limit");
    for sentence in said_once(choice) {
        flow.point(sentence);
    }
    if let Some(by_db) = choice.all_give_db {
        flow.point(format!("All limits of sound together would have to give {}.", with_unit(by_db, 1, "dB")));
    }
}

fn steps(choice: &Choice, flow: &mut Flow) {
    if choice.next_steps.is_empty() {
        return;
    }
    flow.heading(1, "The next best steps from what is in the file");
    let mut table = Table::new(vec![
        Column::right(""),
        Column::left("element"),
        Column::wide("becomes"),
        Column::right("cost"),
        Column::decimal("gains, dB"),
        Column::right("then"),
    ]);
    for (place, step) in choice.next_steps.iter().enumerate() {
        table.row([
            (place + 1).to_string(),
            step.element.clone(),
            step.becomes.clone(),
            money(choice, step.cost),
            number(step.gain_db, 1),
            spare(step.margin_db),
        ]);
    }
    flow.table(table);
}

/// A front as figures: what it takes, what is to spare, which point is chosen and which is the knee.
fn front(
    choice: &Choice,
    title: &str,
    over: &str,
    (rows, taken): (&[FrontRow], impl Fn(&FrontRow) -> String),
    flow: &mut Flow,
) {
    if rows.is_empty() {
        return;
    }
    flow.heading(1, title);
    let mut table = Table::new(vec![Column::right(over), Column::right("smallest margin"), Column::wide("")]);
    let knee = choice.knee.and_then(|at| choice.front.get(at));
    for row in rows {
        let own = if choice.holds { "as chosen" } else { "the nearest" };
        let marks = [
            is_chosen(choice, row).then_some(own),
            (knee == Some(row)).then_some("knee: beyond it a decibel grows dear"),
            (!row.proved).then_some("not proved to be the least"),
        ];
        let marks: Vec<&str> = marks.into_iter().flatten().collect();
        table.row([taken(row), spare(row.margin_db), marks.join("; ")]);
    }
    flow.table(table);
}
