//! The file as it is written, with what is wrong beside its lines.

use maud::{Markup, html};
use plan::Severity;

use crate::page::{desk::Spread, fields::Kept, words::raw as words};

/// The sheet; it is there for a file with errors too.
pub(crate) fn draw(spread: &Spread, kept: Option<&Kept>) -> Markup {
    let own = kept.filter(|kept| kept.path == "text");
    let text = own.map_or(spread.text.as_str(), |kept| kept.typed.as_str());
    let found = own.map_or(&spread.reading.found, |kept| &kept.found);
    html! {
        p.how { (words::HOW) }
        div.beside.raw {
            form #raw method="post" action="/text" {
                input type="hidden" name="version" value=(spread.version);
                input type="hidden" name="page" value="/file";
                @if let Some(kept) = own { p.wrong role="alert" { (kept.sentence) } }
                div #unsaved.notice role="status" hidden data-same=(words::UNSAVED) data-changed=(words::UNSAVED_CHANGED) {
                    p {}
                    button type="button" { (words::DROP_UNSAVED) }
                }
                div.written {
                    pre.lines aria-hidden="true" {
                        @for line in 1..=text.lines().count().max(1) { (line) "\n" }
                    }
                    textarea name="text" aria-label=(words::TEXT) spellcheck="false" autocomplete="off" rows="40" wrap="off" { "\n" (text) }
                }
                button type="submit" { (words::SAVE) }
            }
            section {
                h2 { (words::FOUND) }
                @if found.is_empty() { p { (words::NOTHING_WRONG) } }
                ul.diagnostics {
                    @for one in found {
                        li.wrong[one.severity == Severity::Error] {
                            a href={ "#line-" (one.line) } data-line=(one.line) { (words::LINE) " " (one.line) }
                            " " (one.message)
                            @if let Some(help) = &one.help { " " (help) }
                        }
                    }
                }
            }
        }
    }
}
