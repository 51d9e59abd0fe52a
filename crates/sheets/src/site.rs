//! The page for the site: one file with everything of one ceiling, that works from a phone's own storage with no network.
//!
//! It shows one mark at a time as large as the screen allows, lists clips with their packers, boards with their cuts and noggins,
//! ticks off the steps, and keeps every reading on the phone in a log that is only added to. A small file takes them home, where
//! `stillroom take-in` adds them to the room file; it names the layout by its stamp. The page loads nothing: style, script, drawings
//! and faces stand in it.

mod facts;
mod parts;

use std::fmt::Write as _;

use paper::{ink::Tone, svg};
use plan::Plan;

use crate::shown;

const STYLE: &str = include_str!("site/site.css");
/// The log of readings, then the page round it: one script, in words a phone of five years ago knows.
const SCRIPT: [&str; 2] = [include_str!("site/asks.js"), include_str!("site/site.js")];
const LOG: &str = include_str!("site/log.js");
/// Decimals as the reader's browser writes them.
const NUMBERS: &str = include_str!("site/numbers.js");
/// How lengths are shown and typed, in the script.
const IN_MM: &str = include_str!("site/mm.js");
const IN_FEET: &str = include_str!("site/feet.js");
/// Feet and inches are longer than millimetres: smaller figures, and keys for their marks.
const FEET_STYLE: &str = "#figure{font-size:48px;font-size:clamp(48px,15vw,110px)}\n.rows .big{font-size:44px}\n#typed{font-size:44px}\n";

/// The whole page; the same plan gives the same page, byte for byte. Lengths are shown and typed as the plan's title says; what it keeps
/// and gives is in millimetres.
pub fn page(plan: &Plan) -> String {
    let feet = plan.lengths().in_feet();
    let mut page = String::from("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    // Nothing may be fetched from anywhere, whatever a browser would like to.
    page.push_str(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; script-src \
         'unsafe-inline'; font-src data:; img-src data:\">\n",
    );
    let _ = writeln!(page, "<title>{} \u{2013} on site</title>", escaped(&plan.title.name));
    let _ = writeln!(
        page,
        "<style>\n{}\n:root{{{}}}\n@media (prefers-color-scheme:dark){{:root{{{}color-scheme:dark}}}}\n{}\n{STYLE}{}</style>",
        svg::font_face_css(),
        svg::ink_variables_css(Tone::Warm),
        svg::ink_variables_css(Tone::Dark),
        svg::ink_rules_css(Tone::Warm),
        if feet { FEET_STYLE } else { "" }
    );
    page.push_str("</head>\n<body>\n");
    let head = page.len();
    parts::header(&mut page, plan);
    page.push_str("<main>\n");
    parts::marks(&mut page);
    parts::clips(&mut page, plan);
    parts::boards(&mut page, plan);
    parts::lists(&mut page, plan);
    parts::steps(&mut page, plan);
    parts::kept(&mut page);
    page.push_str("</main>\n");
    parts::asks(&mut page);
    if feet {
        let body = page.split_off(head);
        page.push_str(&shown::in_html(&body, &mut |words, put| put.push_str(&plan.shown(words))));
    }
    let facts = serde_json::to_string(&facts::facts(plan)).unwrap_or_else(|_| "null".to_owned());
    // Within a script element only its own end could end it.
    let _ = writeln!(
        page,
        "<script type=\"application/json\" id=\"facts\">{}</script>\n<script>\n{}</script>\n</body>\n</html>",
        facts.replace('<', "\\u003c"),
        [LOG, NUMBERS, if feet { IN_FEET } else { IN_MM }].into_iter().chain(SCRIPT).collect::<String>()
    );
    page
}

fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '&' => text.push_str("&amp;"),
            '"' => text.push_str("&quot;"),
            other => text.push(other),
        }
    }
    text
}
