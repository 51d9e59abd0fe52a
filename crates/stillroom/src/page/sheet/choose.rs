//! What to build: chosen behind the page, the front drawn, a choice adopted into the file.

use maud::{Markup, html};
use plan::{
    Choice,
    choosing::{
        STAGES,
        outcome::{Built, FrontRow},
    },
};
use quantities::format::{number, with_unit};
use sheets::choosing::{STILL_FAILS, front_on_screen, head, money, said_once, then_words};

use super::{On, figure};
use crate::page::{choosing::Choosing, words::choose as words};

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    html! {
        p.how { (words::HOW) }
        @match &on.spread.choosing {
            Choosing::Running { stage, for_s } => {
                form.notice.busy method="post" action="/stop-choosing" role="status" {
                    p { span #under-way aria-live="off" { (words::under_way(*stage, *for_s)) } " " progress #how-far max=(STAGES.len()) value=(stage) aria-label=(words::HOW) {} }
                    (on.carried())
                    button type="submit" { (words::STOP) }
                }
            }
            Choosing::Idle => (begin(on, words::BEGIN)),
            Choosing::Failed(sentence) => { p.notice.wrong role="alert" { (sentence) } (begin(on, words::AGAIN)) }
            Choosing::Done { text, adopted, choice } => {
                @let fresh = on.spread.text == **text;
                @if adopted.as_deref() == Some(on.spread.text.as_str()) {
                    p.notice role="status" { (words::ADOPTED) }
                } @else if !fresh {
                    p.notice role="status" { (words::OLDER) }
                }
                (begin(on, words::AGAIN))
                (chosen(on, choice, fresh))
            }
        }
    }
}

fn begin(on: &On<'_>, called: &str) -> Markup {
    html! {
        form.ask method="post" action="/begin-choosing" {
            (on.carried())
            button type="submit" { (called) }
        }
    }
}

fn chosen(on: &On<'_>, choice: &Choice, fresh: bool) -> Markup {
    html! {
        p { (words::sure(choice.sure_percent)) }
        div.columns {
            section {
                h2 { (words::TODAY) ", " (money(choice, choice.today.cost)) }
                (margins(&choice.today))
            }
            @if let Some(built) = &choice.chosen {
                section #chosen {
                    h2 { (head(choice)) ", " (money(choice, built.cost)) }
                    (margins(built))
                    @let changed: Vec<_> = built.picks.iter().filter(|pick| pick.candidate != 0).collect();
                    @if changed.is_empty() {
                        p { (words::UNCHANGED) }
                    } @else {
                        ul { @for pick in &changed { li { b { (pick.element) } ": " (pick.name) ", " (money(choice, pick.cost)) } } }
                        (adopt(on, "chosen", words::ADOPT_THIS, fresh))
                    }
                    p { (choice.proof) }
                    @for sentence in choice.verified.iter().flat_map(|whole| &whole.newly_failing) { p.wrong { (sentence) } }
                    @for sentence in choice.verified.iter().flat_map(|whole| &whole.still_failing) { p.wrong { (STILL_FAILS) " " (sentence) } }
                }
            }
        }
        @if !choice.why_not.is_empty() {
            section { h2 { (words::WHY_NOT) } ul { @for sentence in said_once(choice) { li { (sentence) } } }
                @if let Some(by) = choice.all_give_db { p { (words::all_give(&with_unit(by, 1, "dB"))) } }
            }
        }
        (front(on, choice, fresh))
        (headroom(choice))
        (next_steps(on, choice, fresh))
        @if !choice.sensitivity.is_empty() {
            section {
                h2 { (words::IF) }
                p { (words::IF_HOW) }
                ul { @for one in &choice.sensitivity { li { (one.if_so) ": " (then_words(choice, one)) } } }
            }
        }
        @if fresh { p { a href="/dossier.pdf" download { (words::IN_DOSSIER) } } }
        section { h2 { (words::KNOW) } ul { @for note in &choice.notes { li { (note) } } } }
    }
}

fn adopt(on: &On<'_>, which: &str, called: &str, fresh: bool) -> Markup {
    html! {
        form.inline method="post" action="/adopt" {
            (on.carried())
            button type="submit" name="which" value=(which) disabled[!fresh] { (called) }
        }
    }
}

fn margins(built: &Built) -> Markup {
    html! {
        table {
            thead { tr { th { (words::PLACE) } th { (words::SOUND) } th.r { (words::SPARE) } } }
            tbody {
                @for row in &built.margins {
                    tr.red[row.margin_db < 0.0] {
                        th scope="row" { (row.receiver) }
                        td { (row.source) ", " (row.criterion) }
                        td.r { (signed(row.margin_db)) }
                    }
                }
            }
        }
    }
}

fn front(on: &On<'_>, choice: &Choice, fresh: bool) -> Markup {
    html! {
        @if choice.front.len() > 1 {
            section {
                h2 { (words::FRONT) }
                (figure(&front_on_screen(choice), words::FRONT, &[]))
                div.scroll tabindex="0" role="group" aria-label=(words::FRONT) {
                    table.front {
                        thead { tr { th.r { (words::COST) } th.r { (words::MARGIN) } th { (words::CHANGES) } th {} } }
                        tbody { @for (at, row) in choice.front.iter().enumerate() { (front_row(on, choice, (at, row), fresh)) } }
                    }
                }
            }
        }
    }
}

fn front_row(on: &On<'_>, choice: &Choice, (at, row): (usize, &FrontRow), fresh: bool) -> Markup {
    html! {
        tr {
            td.r { (money(choice, row.cost)) }
            td.r { (signed(row.margin_db)) }
            td {
                @if !row.proved { small { (words::UNPROVED) } " " }
                @if row.changes.is_empty() { (words::NOTHING) }
                @for change in &row.changes { span.block { (change) } }
                @if choice.knee == Some(at) { small { (words::KNEE) } }
            }
            td.acts { @if !row.changes.is_empty() { (adopt(on, &format!("front-{at}"), words::ADOPT, fresh)) } }
        }
    }
}

fn headroom(choice: &Choice) -> Markup {
    html! {
        @if !choice.headroom_front.is_empty() {
            section {
                h2 { (words::HEADROOM) }
                table.narrow {
                    thead { tr { th.r { (words::DEPTH) } th.r { (words::MARGIN) } th {} } }
                    tbody {
                        @for row in &choice.headroom_front {
                            tr {
                                td.r { (with_unit(row.drop_mm, 0, "mm")) }
                                td.r { (signed(row.margin_db)) }
                                td { @if !row.proved { small { (words::UNPROVED) } } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn next_steps(on: &On<'_>, choice: &Choice, fresh: bool) -> Markup {
    html! {
        @if !choice.next_steps.is_empty() {
            section {
                h2 { (words::NEXT) }
                div.scroll tabindex="0" role="group" aria-label=(words::NEXT) {
                    table.front {
                        thead { tr {
                            th { (words::ELEMENT) } th { (words::BECOMES) } th.r { (words::COST) } th.r { (words::GAIN) } th.r { (words::MARGIN) } th {}
                        } }
                        tbody {
                            @for (at, step) in choice.next_steps.iter().enumerate() {
                                tr {
                                    th scope="row" { (step.element) }
                                    td { (step.becomes) }
                                    td.r { (money(choice, step.cost)) }
                                    td.r { (number(step.gain_db, 1)) }
                                    td.r { (signed(step.margin_db)) }
                                    td.acts { @if at == 0 { (adopt(on, "next-0", words::ADOPT, fresh)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn signed(value: f64) -> String {
    let words = number(value, 1);
    if value > 0.0 && words != "0.0" { format!("+{words}") } else { words }
}

/// The changes that a button stands for, `element: candidate`; none where there is no such choice.
pub(crate) fn changes(choice: &Choice, which: &str) -> Option<Vec<String>> {
    if which == "chosen" {
        let picks = &choice.chosen.as_ref()?.picks;
        let changed = picks.iter().filter(|pick| pick.candidate != 0);
        return Some(changed.map(|pick| format!("{}: {}", pick.element, pick.name)).collect());
    }
    let at = |list: &str| which.strip_prefix(list)?.parse::<usize>().ok();
    if let Some(row) = at("front-") {
        return choice.front.get(row).map(|row| row.changes.clone());
    }
    // Each step goes on from the one before.
    let last = at("next-")?;
    choice
        .next_steps
        .get(..=last)
        .map(|steps| steps.iter().map(|step| format!("{}: {}", step.element, step.becomes)).collect())
}
