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

const STYLE: &str = include_str!("site/site.css");
/// The log of readings, then the page round it: one script, in words a phone of five years ago knows.
const SCRIPT: [&str; 3] =
    [include_str!("site/log.js"), include_str!("site/asks.js"), include_str!("site/site.js")];

/// The whole page; the same plan gives the same page, byte for byte.
pub fn page(plan: &Plan) -> String {
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
        "<style>\n{}\n:root{{{}}}\n@media (prefers-color-scheme:dark){{:root{{{}color-scheme:dark}}}}\n{}\n{STYLE}</style>",
        svg::font_face_css(),
        svg::ink_variables_css(Tone::Warm),
        svg::ink_variables_css(Tone::Dark),
        svg::ink_rules_css(Tone::Warm)
    );
    page.push_str("</head>\n<body>\n");
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
    let facts = serde_json::to_string(&facts::facts(plan)).unwrap_or_else(|_| "null".to_owned());
    // Within a script element only its own end could end it.
    let _ = writeln!(
        page,
        "<script type=\"application/json\" id=\"facts\">{}</script>\n<script>\n{}</script>\n</body>\n</html>",
        facts.replace('<', "\\u003c"),
        SCRIPT.concat()
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
