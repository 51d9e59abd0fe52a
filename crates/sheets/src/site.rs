//! The page for the site: one file with everything of one ceiling, that works from a phone's own storage with no network.
//!
//! It shows one mark at a time as large as the screen allows, ticks off the steps, and keeps every reading on the phone until it is
//! taken home as a small file that `stillroom take-in` adds to the room file. It loads nothing: style, script, drawings and faces
//! stand in it.

use std::fmt::Write as _;

use paper::{ink::Tone, svg};
use plan::Plan;
use quantities::format::{number, with_unit};
use serde::Serialize;

use crate::drawings::screen;

const STYLE: &str = include_str!("site/site.css");
const SCRIPT: &str = include_str!("site/site.js");

/// What the script of the page works with.
#[derive(Debug, Serialize)]
struct Facts<'a> {
    /// Under this name the phone keeps the readings of this room.
    keeps: String,
    room: &'a str,
    revision: Option<&'a str>,
    walls: Vec<WallFacts>,
}

/// The marks of a wall in the order the tape meets them.
#[derive(Debug, Serialize)]
struct WallFacts {
    wall: String,
    from: String,
    length_mm: f64,
    marks: Vec<MarkFacts>,
}

/// One mark.
#[derive(Debug, Serialize)]
struct MarkFacts {
    at_mm: f64,
    what: String,
    bar: Option<usize>,
}

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
    header(&mut page, plan);
    marks(&mut page);
    steps(&mut page, plan);
    drawings(&mut page, plan);
    readings(&mut page);
    let facts = serde_json::to_string(&facts(plan)).unwrap_or_else(|_| "null".to_owned());
    // Within a script element only its own end could end it.
    let _ = writeln!(
        page,
        "<script type=\"application/json\" id=\"facts\">{}</script>\n<script>\n{SCRIPT}</script>\n</body>\n</html>",
        facts.replace('<', "\\u003c")
    );
    page
}

fn header(page: &mut String, plan: &Plan) {
    let revision =
        plan.title.revision.as_ref().map_or_else(String::new, |words| format!(", revision {words}"));
    let _ = writeln!(
        page,
        "<header><h1>{}</h1><p>on site{}</p></header>\n<nav aria-label=\"Parts of this page\">\
         <a href=\"#mark\">mark</a> <a href=\"#steps\">steps</a> <a href=\"#drawings\">drawings</a> <a href=\"#readings\">readings</a></nav>",
        escaped(&plan.title.name),
        escaped(&revision)
    );
}

fn marks(page: &mut String) {
    page.push_str(
        "<main>\n<section id=\"mark\" aria-label=\"Next mark\">\n<p class=\"where\"><select id=\"wall\" aria-label=\"Wall\"></select></p>\n\
         <svg id=\"tape\" viewBox=\"0 0 100 14\" role=\"img\" aria-label=\"The wall with its marks\"></svg>\n\
         <p id=\"figure\" aria-live=\"polite\"></p>\n<p id=\"what\"></p>\n<p id=\"gap\"></p>\n\
         <div class=\"two\"><button type=\"button\" id=\"back\">back</button><button type=\"button\" id=\"next\">next mark</button></div>\n\
         <form id=\"keys\" hidden>\n<label for=\"read\">fixed at, mm</label>\n<output id=\"read\">\u{a0}</output>\n<div class=\"keys\" id=\"pad\"></div>\n</form>\n\
         <button type=\"button\" id=\"type\" class=\"wide\">type where it was fixed</button>\n<p id=\"said\" role=\"status\"></p>\n</section>\n",
    );
}

fn steps(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"steps\">\n<h2>Steps</h2>\n<ol>\n");
    for step in &plan.steps {
        let _ = writeln!(
            page,
            "<li><label><input type=\"checkbox\" data-step=\"{}\"> <b>{}</b></label><p class=\"how\">{} {}, {}</p>",
            step.number,
            escaped(&step.title),
            step.people,
            if step.people == 1 { "person" } else { "people" },
            with_unit(step.hours, 1, "h")
        );
        for line in &step.text {
            let _ = writeln!(page, "<p>{}</p>", escaped(line));
        }
        for caution in &step.cautions {
            let _ = writeln!(page, "<p class=\"red\">{}</p>", escaped(caution));
        }
        if let Some(hold) = &step.hold_point {
            let _ = writeln!(
                page,
                "<div class=\"hold\"><p><b>Hold point:</b> {}, with {}</p><p class=\"within\">{}</p><p>If it is out: {}</p></div>",
                escaped(&hold.measure),
                escaped(&hold.with),
                escaped(&hold.tolerance),
                escaped(&hold.otherwise)
            );
        }
        page.push_str("</li>\n");
    }
    page.push_str("</ol>\n</section>\n");
}

fn drawings(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"drawings\">\n<h2>Drawings</h2>\n");
    let layers = plan.ceiling.layout.iter().flat_map(|layout| &layout.layers);
    let boards = layers.filter_map(|layer| {
        screen::boards_of_layer(plan, layer.number)
            .map(|drawing| (format!("Boards, layer {}", layer.number), drawing))
    });
    let bars = screen::bars_and_clips(plan).map(|drawing| ("Bars and clips".to_owned(), drawing));
    for (number_of, (title, drawing)) in bars.into_iter().chain(boards).enumerate() {
        // Names of parts must be unique on one page of several drawings.
        let text = svg::write(&drawing.scene).replace(" id=\"", &format!(" id=\"d{number_of}-"));
        let _ = writeln!(
            page,
            "<details><summary>{}</summary><div class=\"drawn\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">{text}</div></details>",
            escaped(&title),
            escaped(&title)
        );
    }
    page.push_str("</section>\n");
}

fn readings(page: &mut String) {
    page.push_str(
        "<section id=\"readings\">\n<h2>Readings</h2>\n<p>They stay on this phone until you clear them. Take the file home and add it with \
         <code>stillroom take-in room.toml readings.toml</code>.</p>\n<ul id=\"list\"></ul>\n<p><a id=\"file\" class=\"button\" \
         download=\"readings.toml\" href=\"#\">readings as a file</a></p>\n<p><button type=\"button\" id=\"clear\">clear what was taken home</button></p>\n\
         </section>\n</main>\n",
    );
}

fn facts(plan: &Plan) -> Facts<'_> {
    let walls = plan
        .ceiling
        .layout
        .iter()
        .flat_map(|layout| &layout.marks)
        .map(|wall| WallFacts {
            wall: wall.wall.clone(),
            from: wall.from_corner.clone(),
            length_mm: wall.length_mm.round(),
            marks: wall
                .marks
                .iter()
                .map(|mark| MarkFacts {
                    at_mm: mark.at_mm.round(),
                    what: mark.what.clone(),
                    bar: mark.what.split(", ").find_map(|part| part.strip_prefix("bar ")?.parse().ok()),
                })
                .collect(),
        })
        .collect();
    Facts {
        keeps: format!("stillroom {} {}", plan.title.name, number(plan.survey.area_mm2, 0)),
        room: &plan.title.name,
        revision: plan.title.revision.as_deref(),
        walls,
    }
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
