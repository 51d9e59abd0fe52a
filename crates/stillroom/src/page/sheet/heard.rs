//! What is heard where: a spectrum with its band, who lets it through, and what if that were perfect.

use maud::{Markup, html};
use plan::outcome::{
    HeardOutcome,
    heard_words::{self, at_place, part_name, to_spare, verdict_sentence},
};
use quantities::format::{number, with_unit};
use sheets::drawings::screen;

use super::{On, figure, tabs};
use crate::page::words::{hear, heard as words};

/// Parts with less of the sound than this are not told.
const LEAST_SHARE: f64 = 0.005;

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let all = &on.plan.heard;
    let first = all.iter().position(|outcome| outcome.governs).unwrap_or(0);
    let at = if on.query.show.is_empty() && on.query.at == 0 {
        first
    } else {
        on.query.at.min(all.len().saturating_sub(1))
    };
    let links: Vec<(String, String, bool)> = all
        .iter()
        .enumerate()
        .map(|(index, outcome)| {
            let words = format!("{}: {}", outcome.receiver, outcome.source);
            (format!("/heard?show=one&at={index}"), words, index == at)
        })
        .collect();
    html! {
        (tabs(words::PLACES, &links))
        @match all.get(at) {
            None => p.note { (words::NOBODY) },
            Some(outcome) => {
                div.beside {
                    (figure(&screen::heard(on.plan, outcome), &format!("Spectrum {}", at_place(&outcome.receiver)), &[]))
                    div { (numbers(outcome)) (shares(outcome)) }
                }
                (hear(outcome))
            }
        }
        div.columns { (sources(on)) (limits(on)) }
    }
}

fn numbers(outcome: &HeardOutcome) -> Markup {
    let level = &outcome.heard.level_dba;
    html! {
        section {
            h2 { (outcome.receiver) }
            dl.numbers {
                div { dt { (words::LEVEL) } dd { b { (with_unit(level.median_db, 0, "dB(A)")) } } }
                div { dt { (words::BETWEEN) } dd { (number(level.lower_db, 0)) " " (crate::page::words::AND) " " (with_unit(level.upper_db, 0, "dB(A)")) } }
                @if let Some(verdict) = &outcome.heard.verdict {
                    div { dt { (words::UNDER) } dd { (verdict.criterion.label()) ", " (to_spare(verdict.margin.median_db)) } }
                    div { dt { (words::LIKELY) } dd { (with_unit(verdict.confidence * 100.0, 0, "%")) } }
                }
            }
            @if let Some(verdict) = &outcome.heard.verdict {
                @let sentence = verdict_sentence(verdict);
                p.note { (first_upper(&sentence)) "." }
            }
            p.how { (heard_words::NOT_THE_SUM) }
            @for note in &outcome.heard.notes { p.how { (first_upper(note.trim_end_matches('.'))) "." } }
        }
    }
}

fn shares(outcome: &HeardOutcome) -> Markup {
    html! {
        section {
            h2 { (words::WHO) }
            div.scroll tabindex="0" role="group" aria-label=(words::WHO) {
                table {
                    thead { tr {
                        th { (words::PART) } th.r { (words::ALONE) } th.r { (words::SHARE) } th.r { (words::PERFECT) } th.r { (words::GAIN) }
                    } }
                    tbody {
                        @for share in outcome.heard.shares.iter().filter(|share| share.share_dba >= LEAST_SHARE) {
                            tr data-for={ "part-" (share.name) } {
                                th scope="row" { (part_name(&share.name)) }
                                td.r { (number(share.level_dba.median_db, 0)) }
                                td.r { (with_unit(share.share_dba * 100.0, 0, "%")) }
                                td.r { (share.if_perfect_dba.map_or_else(|| "\u{2013}".to_owned(), |level| number(level, 1))) }
                                td.r {
                                    (share.gain_if_perfect_dba(&outcome.heard).map_or_else(|| "\u{2013}".to_owned(), |gain| number(gain, 1)))
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Where one listens; the sounds are made and played by the script.
fn hear(outcome: &HeardOutcome) -> Markup {
    html! {
        section #hear data-receiver=(outcome.receiver) data-making=(hear::MAKING) data-failed=(hear::NOT_MADE)
            data-nobody=(hear::NOBODY) data-changed=(hear::NO_SOUND) data-play=(hear::PLAY) data-stop=(hear::STOP) {
            h2 { (hear::TITLE) }
            p.how { (hear::HOW) }
            noscript { p.note { (hear::NEEDS_SCRIPT) } }
            button type="button" data-part="start" { (hear::START) }
            p role="status" data-part="say" {}
            p data-part="making" hidden {
                span data-part="far" {} " "
                progress data-part="bar" max="1" value="0" aria-label=(hear::HOW_FAR) {} " "
                button type="button" data-part="halt" { (hear::STOP_MAKING) }
            }
            div.boxed.calm data-part="caution" hidden {
                h3 { (hear::CAUTION) }
                p data-part="words" {}
                button type="button" data-part="phrase" { (hear::PLAY_PHRASE) } " "
                button type="button" data-part="set" { (hear::VOLUME_IS_SET) }
            }
            div data-part="play" hidden {
                fieldset data-part="list" { legend.unseen { (hear::WHICH) } }
                button type="button" data-part="turn" { (hear::PLAY) }
            }
        }
    }
}

fn sources(on: &On<'_>) -> Markup {
    html! {
        section {
            h2 { (words::SOURCES) }
            (on.fields(&html! {
                table {
                    thead { tr { th { (words::SOURCE) } th.r { (words::IN_ROOM) } } }
                    tbody {
                        @for at in 0..on.filling.count("source") {
                            @let name = on.filling.typed(&format!("source[{at}].name"));
                            @let taken = on.plan.sources.iter().find(|source| source.name == name);
                            tr {
                                th scope="row" { (name) }
                                td.r {
                                    (on.filling.number(&format!("source[{at}].level_dba"), &format!("{name}, level in dB(A)")))
                                    @if on.filling.typed(&format!("source[{at}].level_dba")).is_empty() {
                                        @if let Some(taken) = taken { small { " " (words::TAKEN) " " (number(taken.level_in_room_dba, 0)) } }
                                    }
                                }
                            }
                        }
                    }
                }
            }))
        }
    }
}

fn limits(on: &On<'_>) -> Markup {
    html! {
        section {
            h2 { (words::LIMITS) }
            (on.fields(&html! {
                table {
                    thead { tr { th { (words::RECEIVER) } th.r { (words::LIMIT_DBA) } th.r { (words::LIMIT_NR) } } }
                    tbody {
                        @for at in 0..on.filling.count("receiver") {
                            @let name = on.filling.typed(&format!("receiver[{at}].name"));
                            tr {
                                th scope="row" { (name) }
                                td.r { (on.filling.number(&format!("receiver[{at}].limit_dba"), &format!("{name}, limit in dB(A)"))) }
                                td.r { (on.filling.number(&format!("receiver[{at}].limit_nr"), &format!("{name}, limit as a noise-rating number"))) }
                            }
                        }
                    }
                }
            }))
        }
    }
}

fn first_upper(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
