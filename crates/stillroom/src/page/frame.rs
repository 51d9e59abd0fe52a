//! What stands round every sheet: the verdict strip, the register, the title block.

use maud::{DOCTYPE, Markup, html};
use plan::{
    Plan,
    outcome::{Finding, Standing, Verdict},
};

use super::{
    desk::{Ceiling, Spread},
    fields::Kept,
    manner::Manner,
    words::{self, Title},
};

/// One sheet of the register.
pub(crate) struct Sheet {
    /// Its address.
    pub(crate) address: &'static str,
    /// What it is called.
    pub(crate) title: Title,
    /// Chapters of the plan whose verdicts and findings lead here.
    pub(crate) chapters: &'static [&'static str],
}

/// The sheets in the order of the job.
pub(crate) const SHEETS: [Sheet; 10] = [
    Sheet { address: "/room", title: words::ROOM, chapters: &["survey"] },
    Sheet { address: "/built", title: words::BUILT, chapters: &[] },
    Sheet { address: "/heard", title: words::HEARD, chapters: &["sound"] },
    Sheet { address: "/choose", title: words::CHOOSE, chapters: &[] },
    Sheet { address: "/ceiling", title: words::CEILING, chapters: &["ceiling"] },
    Sheet { address: "/fabric", title: words::FABRIC, chapters: &["fabric"] },
    Sheet { address: "/order", title: words::ORDER, chapters: &["order"] },
    Sheet { address: "/steps", title: words::STEPS, chapters: &[] },
    Sheet { address: "/proof", title: words::PROOF, chapters: &["proof"] },
    Sheet { address: "/file", title: words::RAW, chapters: &[] },
];

fn address_of(chapter: &str) -> &'static str {
    SHEETS.iter().find(|sheet| sheet.chapters.contains(&chapter)).map_or("/room", |sheet| sheet.address)
}

/// Where a verdict is told in full: at its receiver, or at the part of a sheet that speaks of it.
fn why(plan: &Plan, verdict: &Verdict) -> String {
    let sheet = address_of(verdict.chapter);
    if sheet == "/heard" {
        let own = |one: &plan::outcome::HeardOutcome| one.governs && one.receiver == verdict.about;
        return plan
            .heard
            .iter()
            .position(own)
            .map_or_else(|| sheet.to_owned(), |at| format!("/heard?show=one&at={at}"));
    }
    let place = match verdict.about.as_str() {
        "headroom" | "roof height" => "#heights",
        "damp" => "#damp",
        "fresh air" => "#air",
        _ if sheet == "/fabric" && verdict.about != "joists" => "#fixings",
        _ => "",
    };
    format!("{sheet}{place}")
}

/// The whole page round a sheet.
pub(crate) fn page(
    spread: &Spread,
    (address, here): (&str, &str),
    kept: Option<&Kept>,
    (file, manner): (&str, Manner),
    sheet: &Markup,
) -> Markup {
    let plan = spread.reading.plan.as_deref();
    let name = plan.map_or("", |plan| plan.title.name.as_str());
    let own = SHEETS.iter().position(|one| one.address == address);
    let title = own.and_then(|at| SHEETS.get(at)).map_or("", |one| one.title.long);
    let busy = spread.busy();
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " \u{2013} " (name) }
                link rel="stylesheet" href="/assets/page.css";
                link rel="icon" href="/assets/mark.svg" type="image/svg+xml";
                @for script in ["page", "proof", "hear"] { script src=(format!("/assets/{script}.js")) defer {} }
            }
            body data-version=(spread.version) data-drawn=(spread.drawn) data-busy=[busy.then_some("yes")]
                data-gone=(words::GONE) data-lost=(words::LOST) data-arrows=(words::ARROWS) {
                a.skip href="#sheet" { (words::SKIP) }
                header #strip aria-label=(words::STRIP) { (strip(spread, plan, name, manner)) }
                nav #register aria-label=(words::REGISTER) { (register(address)) }
                main #sheet tabindex="-1" {
                    (notices(spread, kept))
                    h1 {
                        (title)
                        @if waits_on(spread, address) { " " small.waits role="status" { (words::FOLLOWS) } }
                    }
                    (sheet)
                    @if let Some(plan) = plan { (findings(plan, address)) }
                }
                footer #foot { (title_block(spread, plan, own, (file, manner, here))) }
            }
        }
    }
}

/// Whether something a sheet shows is still that of before an edit, and follows.
fn waits_on(spread: &Spread, sheet: &str) -> bool {
    let reading = &spread.reading;
    match sheet {
        "/built" => reading.ranging,
        "/heard" => reading.ranging || reading.hearing || reading.judging,
        "/fabric" => reading.ranging || reading.hearing,
        "/proof" => reading.hearing || reading.judging,
        _ => false,
    }
}

fn strip(spread: &Spread, plan: Option<&Plan>, name: &str, manner: Manner) -> Markup {
    html! {
        div.brand {
            strong { (words::PROGRAM) }
            span { (name) }
            @if let Some(count) = plan.and_then(|plan| words::not_holding(plan.verdicts.iter().map(|one| one.standing))) {
                span.count { (count) }
            }
            (turns(spread))
        }
        ol.verdicts {
            @for (plan, verdict) in plan.iter().flat_map(|plan| plan.verdicts.iter().map(move |one| (*plan, one))) {
                @let address = why(plan, verdict);
                @let waits = spread.reading.not_planned.is_some()
                    || spread.reading.ceiling == Ceiling::BeingSetOut && hangs_on_layout(verdict)
                    || matches!(address_of(verdict.chapter), sheet @ ("/heard" | "/proof") if waits_on(spread, sheet));
                li class={ "s-" (verdict.standing.word()) } { (cell(verdict, &address, waits, manner)) }
            }
        }
    }
}

/// The two ways through the texts the file had.
fn turns(spread: &Spread) -> Markup {
    html! {
        form.turns method="post" action="/undo" {
            input type="hidden" name="version" value=(spread.version);
            button type="submit" disabled[!spread.can_undo] accesskey="z" { (words::UNDO) }
            button type="submit" formaction="/redo" disabled[!spread.can_redo] { (words::REDO) }
        }
    }
}

/// Whether a verdict may change once the ceiling is set out: what hangs from joists and clips, and what is bought for it.
fn hangs_on_layout(verdict: &Verdict) -> bool {
    let fabric = verdict.chapter == "fabric";
    verdict.chapter == "ceiling"
        || verdict.chapter == "order"
        || fabric && (verdict.about.contains("joist") || verdict.about.contains("clip"))
}

fn cell(verdict: &Verdict, address: &str, waits: bool, manner: Manner) -> Markup {
    let standing = verdict.standing.word();
    html! {
        a class={ "verdict " (standing) @if waits { " waits" } } href=(address) {
            span.about { (verdict.about) }
            span.figure {
                b { (verdict.figure) }
                @if let Some(uncertainty) = verdict.uncertainty_shown(manner.lengths) { " " small { (uncertainty) } }
            }
            span.meaning {
                i.sample aria-hidden="true" {}
                em title=(verdict.standing.meaning()) { (standing) }
                " " (verdict.meaning)
            }
        }
    }
}

fn register(address: &str) -> Markup {
    html! {
        ol {
            @for (number, sheet) in (1..).zip(&SHEETS) {
                li {
                    a href=(sheet.address) aria-current=[(sheet.address == address).then_some("page")] {
                        b { (number) } " " span { (sheet.title.short) }
                    }
                }
            }
        }
    }
}

fn notices(spread: &Spread, kept: Option<&Kept>) -> Markup {
    let reading = &spread.reading;
    html! {
        @if let Some(notice) = &spread.notice {
            form.notice method="post" action="/read" role="status" {
                p { (notice) }
                input type="hidden" name="version" value=(spread.version);
                button type="submit" { (words::READ_IT) }
            }
        }
        @if let Some(kept) = kept.filter(|kept| kept.path.is_empty()) {
            p.notice.wrong role="alert" { (kept.sentence) }
        }
        @if let Some(why) = &reading.not_planned { p.notice.wrong role="alert" { (why) } }
        @match reading.ceiling {
            Ceiling::SetOut => {}
            Ceiling::EndedEarly => p.notice role="status" { (words::ENDED_EARLY) },
            Ceiling::BeingSetOut => {
                form.notice.busy method="post" action="/end-search" role="status" {
                    @let first = reading.plan.as_ref().is_some_and(|plan| plan.ceiling.layout.is_none());
                    p { (if first { words::BEING_SET_OUT_FIRST } else { words::BEING_SET_OUT }) }
                    input type="hidden" name="version" value=(spread.version);
                    button type="submit" { (words::END_SEARCH) }
                }
            }
        }
    }
}

/// What the plan says beside its numbers that belongs to this sheet, worst first.
fn findings(plan: &Plan, address: &str) -> Markup {
    let own: Vec<&Finding> =
        plan.findings.iter().filter(|finding| address_of(finding.chapter) == address).collect();
    html! {
        @if !own.is_empty() {
            section.findings {
                h2 { (words::TO_DO) }
                p.meanings {
                    @for (at, one) in Standing::ALL.into_iter().enumerate() {
                        @if at > 0 { " \u{b7} " }
                        b { (one.word()) } ": " (one.meaning())
                    }
                    " \u{b7} " (Standing::RANGES)
                }
                ul {
                    @for finding in own {
                        li class=(finding.standing.word()) {
                            @if finding.standing != Standing::Holds { em { (finding.standing.word()) } " " }
                            (finding.sentence)
                        }
                    }
                }
            }
        }
    }
}

fn title_block(
    spread: &Spread,
    plan: Option<&Plan>,
    own: Option<usize>,
    (file, manner, here): (&str, Manner, &str),
) -> Markup {
    let sheet =
        own.and_then(|at| SHEETS.get(at).map(|sheet| format!("{} \u{b7} {}", at + 1, sheet.title.short)));
    html! {
        dl {
            div { dt { (words::SHEET) } dd { (sheet.unwrap_or_default()) } }
            @if let Some(plan) = plan {
                div { dt { (words::SURVEY) } dd { (quality(plan)) } }
                @if let Some(revision) = &plan.title.revision {
                    div { dt { (words::REVISION) } dd { (revision_words(revision)) } }
                }
            }
            div { dt { (words::FILE) } dd { (words::file_of_lines(file, spread.text.lines().count())) } }
            div { dt { (words::PAPER) } dd { button.plain #paper type="button" { (words::TURN_PAPER) } } }
            div {
                dt { (words::LENGTHS) }
                dd {
                    form.inline method="post" action="/lengths" {
                        input type="hidden" name="page" value=(here);
                        button.plain type="submit" title=(words::FEET_HOW) { (if manner.lengths.in_feet() { words::IN_MM } else { words::IN_FEET }) }
                    }
                }
            }
            @if plan.is_some() {
                div {
                    dt { (words::TAKE_AWAY) }
                    dd {
                        a href="/dossier.pdf" download { (words::DOSSIER) } ", "
                        a href="/site.html" download { (words::SITE_PAGE) }
                        @if spread.phone { ", " a href="/phone" data-plain="" { (words::lan::LINK) } }
                    }
                }
            }
        }
        p { (words::CAUTION) span { " " (words::CAUTION_MORE) } }
    }
}

/// A revision; one that is called by its day is a day.
fn revision_words(revision: &str) -> Markup {
    let day = revision.get(..10).filter(|day| {
        day.char_indices()
            .all(|(at, letter)| if at == 4 || at == 7 { letter == '-' } else { letter.is_ascii_digit() })
    });
    html! {
        @match day {
            Some(day) => { time datetime=(day) { (day) } (revision.get(10..).unwrap_or_default()) }
            None => (revision),
        }
    }
}

fn quality(plan: &Plan) -> String {
    let verdict = plan.verdicts.iter().find(|verdict| verdict.chapter == "survey");
    let tapes = plan.survey.readings.len();
    verdict.map_or_else(
        || format!("{tapes} readings"),
        |verdict| format!("{tapes} readings, corners {} (95\u{a0}%)", verdict.figure),
    )
}
