//! The proof: what was measured against what was planned, the faults that explain it, and a place to drop recordings on.

use bands::Band;
use maud::{Markup, html};
use plan::outcome::{
    Standing,
    heard_words::to_spare,
    proof::{MeasuredLevel, ProofDiagnosis, ProofOutcome, ProvedDifference},
};
use quantities::format::{number, with_unit};
use sheets::{
    drawings::screen,
    proof_words::{gains_line, likely, rating_lines, single_lines, size_words},
};

use super::{On, figure};
use crate::page::{edits::of, words::proof as words};

/// Explanations that are told.
const MOST_EXPLANATIONS: usize = 6;
/// Bands a meter shows, Hz.
const TYPED_HZ: (f64, f64) = (50.0, 5000.0);

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let proof = on.plan.proof.as_ref();
    html! {
        @if on.spread.reading.listening { p.notice.busy role="status" { (words::LISTENED_TO) } }
        @match proof {
            None => {
                p.note { (words::NOTHING_YET) }
                ol { @for step in words::FIRST { li { (step) } } }
            }
            Some(proof) => (outcome(on, proof)),
        }
        (measured(on))
        (add(on))
    }
}

fn outcome(on: &On<'_>, proof: &ProofOutcome) -> Markup {
    html! {
        @if let Some(diagnosis) = &proof.diagnosis { (explained(on, diagnosis)) }
        @for one in &proof.differences { (difference(one)) }
        @for line in proof.single.iter().flat_map(single_lines).chain(proof.decays.iter().cloned()) { p.note { (line) } }
        @for sentence in &proof.not_judged { p.note { (sentence) } }
        @if !proof.as_proved.is_empty() { (kept(on, &proof.as_proved)) }
    }
}

fn difference(one: &ProvedDifference) -> Markup {
    html! {
        section.proved {
            h2 { (one.receiver) }
            div.beside {
                div {
                    (figure(&screen::proof(one), &format!("Measured and planned difference, {}", one.receiver), &[]))
                    p.how { (words::HATCHED) }
                }
                div {
                    p.note { (one.sentence) }
                    @if let Some(level) = &one.level {
                        p {
                            (level.sound) ": " b { (level.figure()) } " ±\u{a0}" (with_unit(level.half_db(), 1, "dB")) ", "
                            em.fails[matches!(level.standing, Standing::Fails | Standing::Close)] { (level.standing.word()) }
                            " " (words::AGAINST_LIMIT) " " (level.limit) " (" (if level.standing == Standing::Open { level.outcome_words() } else { to_spare(level.margin_db) }) ")"
                        }
                    }
                    @if let Some(words) = one.level.as_ref().and_then(MeasuredLevel::missing_words) { p.how { (words) } }
                    @for line in rating_lines(one) { p { (line) } }
                    details {
                        summary { (words::NUMBERS) }
                        div.scroll tabindex="0" role="group" aria-label=(words::NUMBERS) {
                            table.narrow {
                                thead { tr { th.r { (words::BAND_HZ) } th.r { (words::MEASURED_DB) } th.r { (words::PLANNED_DB) } th.r { (words::BETWEEN) } } }
                                tbody {
                                    @for band in &one.bands {
                                        tr {
                                            th.r scope="row" { (band.band.nominal()) }
                                            td.r { @if band.at_least { "≥\u{a0}" } (number(band.difference_db, 1)) " ±\u{a0}" (number(band.half_db(), 1)) }
                                            td.r { (number(band.planned_db, 1)) }
                                            td.r { (number(band.planned_lower_db, 1)) " " (crate::page::words::AND) " " (number(band.planned_upper_db, 1)) }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn explained(on: &On<'_>, diagnosis: &ProofDiagnosis) -> Markup {
    let first = diagnosis.to_keep().ok().filter(|first| first.fault.is_some());
    // What only comes nearest is not likely, and nothing is promised of mending it.
    let nearest = diagnosis.nearest_only();
    html! {
        section #explained {
            h2 { (words::EXPLAINS) }
            p.note { (diagnosis.sentence) }
            div.scroll tabindex="0" role="group" aria-label=(words::EXPLAINS) {
                table.explained {
                    thead { tr { th { (words::LIKELY) } th { (words::EXPLANATION) } th { (words::SIZE) } } }
                    tbody {
                        @for one in diagnosis.explanations.iter().take(MOST_EXPLANATIONS) {
                            tr {
                                td.likely { svg.share width="60" height="7" aria-hidden="true" { rect.f-ink width=(format!("{:.0}", 60.0 * one.probability)) height="7" {} } " " @if nearest && one.leads { (words::NEAREST) } @else { (likely(one.probability)) } }
                                th scope="row" { @if one.leads { b { (one.name) } } @else { (one.name) } }
                                td { (one.size.as_ref().map_or_else(|| "\u{2013}".to_owned(), |size| size_words(size, on.filling.manner.lengths))) }
                            }
                        }
                    }
                }
            }
            @for one in diagnosis.advised() {
                p { (one.look_words()) }
                p { (one.tell_words()) }
                @if let Some(gains) = gains_line(one).filter(|_| !nearest) { p.how { (gains) } }
            }
            @if first.is_some() {
                form method="post" action="/keep-fault" { (on.carried()) button type="submit" { (words::KEEP) } }
            }
        }
    }
}

fn kept(on: &On<'_>, sentences: &[String]) -> Markup {
    html! {
        section {
            h2 { (words::KEPT) }
            ul {
                @for (at, sentence) in sentences.iter().enumerate() {
                    li {
                        (sentence) " "
                        @if sentences.len() == on.filling.count("as_proved.fault") {
                            form.inline method="post" action="/forget" {
                                (on.carried())
                                input type="hidden" name="entry" value=(format!("as_proved.fault[{at}]"));
                                button.plain type="submit" { (words::MENDED) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Every measurement of the file, with what its recording is good for.
fn measured(on: &On<'_>) -> Markup {
    let count = on.filling.count("measurement");
    html! {
        @if count > 0 {
            section {
                h2 { (words::MEASURED) }
                div.scroll tabindex="0" role="group" aria-label=(words::MEASURED) {
                    table.measured {
                        thead { tr {
                            th { (words::WHAT) } th { (words::WHEN) } th { (words::PLACE) } th { (words::POSITION) } th { (words::FROM) } th {}
                        } }
                        tbody { @for at in 0..count { (measurement(on, at)) } }
                    }
                }
            }
        }
    }
}

fn measurement(on: &On<'_>, at: usize) -> Markup {
    let path = format!("measurement[{at}]");
    let typed = |key: &str| on.filling.typed(&format!("{path}.{key}"));
    let file = typed("file");
    let said = on.spread.reading.said.iter().find(|(place, _)| *place == at);
    let when = if typed("when").is_empty() { "after".to_owned() } else { typed("when") };
    html! {
        tr {
            th scope="row" { (typed("what")) @if !typed("source").is_empty() { br; span.how { (typed("source")) } } }
            td { (when) @if !typed("date").is_empty() { br; time.how datetime=(typed("date")) { (typed("date")) } } }
            td { (typed("receiver")) }
            td { (typed("position")) }
            td {
                @if file.is_empty() { (words::TYPED) } @else { (file) }
                @for more in [typed("chain"), typed("note")].iter().filter(|more| !more.is_empty()) { br; span.how { (more) } }
                @for sentence in said.iter().flat_map(|(_, said)| said) { p.wrong { (sentence) } }
            }
            td.acts {
                form.inline method="post" action="/forget" {
                    (on.carried())
                    input type="hidden" name="entry" value=(path);
                    button type="submit" title=(words::FORGET) aria-label=(format!("{}: {} {}", words::FORGET, typed("what"), at + 1)) { "×" }
                }
            }
        }
    }
}

fn add(on: &On<'_>) -> Markup {
    let kept = on.filling.kept.filter(|kept| kept.path == words::FORM);
    let was = |name: &str| kept.and_then(|kept| of(&kept.pairs, name)).unwrap_or_default();
    let no_chain = kept.is_some_and(|kept| kept.sentence == words::NEEDS_CHAIN);
    let choice = |name: &str, called: &str, options: &[(String, String)]| {
        html! {
            label { (called) " "
                select name=(name) { @for (word, words) in options { option value=(word) selected[kept.is_some() && was(name) == word] { (words) } } }
            }
        }
    };
    let owned = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
        pairs.iter().map(|(word, words)| ((*word).to_owned(), (*words).to_owned())).collect()
    };
    let places: Vec<(String, String)> = (0..on.filling.count("receiver"))
        .map(|at| on.filling.typed(&format!("receiver[{at}].name")))
        .map(|name| (name.clone(), name))
        .chain([(String::new(), words::THIS_ROOM.to_owned())])
        .collect();
    html! {
        section {
            h2 #add { (words::ADD) }
            form.drop #measured method="post" action="/measured" enctype="multipart/form-data" data-large=(words::too_large("{}")) {
                input type="hidden" name="page" value="/proof";
                @if let Some(kept) = kept { p.notice.wrong role="alert" { (kept.sentence) } }
                div.ask {
                    (choice("what", words::WHAT, &owned(&words::WHATS)))
                    (choice("when", words::WHEN, &owned(&words::WHENS)))
                    (choice("receiver", words::PLACE, &places))
                }
                div.ask {
                    label { (words::POSITION) " " input type="text" name="position" maxlength="80" value=(was("position")); }
                    label { (words::SOURCE) " " input type="text" name="source" maxlength="80" value=(was("source")); }
                    label { input type="checkbox" name="corner" checked[!was("corner").is_empty()]; " " (words::CORNER) }
                    label { (words::DATE) " " input type="date" name="date" value=(was("date")); }
                    (choice("decay_of", words::DECAY_OF, &owned(&words::DECAYS)))
                }
                div.dropped {
                    label { (words::DROP) " " input type="file" name="recording" multiple accept=".wav,.flac,.aif,.aiff,audio/*" data-most="209715200"; }
                    p.how { (words::ADD_HOW) }
                    label { (words::CHAIN) " " input type="text" name="chain" maxlength="80" value=(was("chain"))
                        aria-describedby="chain-how" aria-invalid=[no_chain.then_some("true")] data-need=(words::NEEDS_CHAIN); }
                    p.how #chain-how { (words::CHAIN_HOW) }
                    div.ask {
                        label { (words::CALIBRATOR) " " input type="file" name="calibration" accept=".wav,.flac,.aif,.aiff,audio/*" data-most="209715200"; }
                        label { (words::CALIBRATOR_DB) " " input.number type="text" inputmode="decimal" name="calibration_db" value=(was("calibration_db")); }
                    }
                }
                details open[kept.is_some_and(|kept| kept.pairs.iter().any(|(name, typed)| name.starts_with("l:") && !typed.is_empty()))] {
                    summary { (words::TYPE) }
                    div.bands {
                        @for band in Band::range(TYPED_HZ.0, TYPED_HZ.1) {
                            @let name = format!("l:{}", band.nominal());
                            label { span { (band.nominal()) "\u{a0}" (words::BAND_HZ) }
                                input.number type="text" inputmode="decimal" autocomplete="off" name=(name) value=(was(&name)); }
                        }
                    }
                }
                button type="submit" { (words::STORE) }
            }
        }
    }
}
