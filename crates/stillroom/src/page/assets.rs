//! What the page loads beside itself; all of it is in the program.

use axum::{
    extract::Path,
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};
use paper::{Weight, ink::Tone, svg};

const STYLE: &str = include_str!("assets/page.css");
const SCRIPT: &str = include_str!("assets/page.js");
const PROOF: &str = include_str!("assets/proof.js");
const HEAR: &str = include_str!("assets/hear.js");
const MARK: &str = include_str!("assets/mark.svg");

/// Sends one of our own files.
pub(crate) async fn send(Path(name): Path<String>) -> Response {
    let (kind, bytes) = match name.as_str() {
        "page.css" => ("text/css; charset=utf-8", style().into_bytes()),
        "page.js" => ("text/javascript; charset=utf-8", SCRIPT.as_bytes().to_vec()),
        "proof.js" => ("text/javascript; charset=utf-8", PROOF.as_bytes().to_vec()),
        "hear.js" => ("text/javascript; charset=utf-8", HEAR.as_bytes().to_vec()),
        "mark.svg" => ("image/svg+xml", MARK.as_bytes().to_vec()),
        "regular.ttf" => ("font/ttf", Weight::Regular.file().to_vec()),
        "semibold.ttf" => ("font/ttf", Weight::Semibold.file().to_vec()),
        _ => return StatusCode::NOT_FOUND.into_response(),
    };
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "no-cache")], bytes).into_response()
}

/// The style sheet with the inks of light and dark paper, the same that the drawings are printed with.
fn style() -> String {
    let (warm, dark) = (svg::ink_variables_css(Tone::Warm), svg::ink_variables_css(Tone::Dark));
    format!(
        ":root{{{warm}color-scheme:light}}\
         @media (prefers-color-scheme:dark){{:root:not([data-paper=light]){{{dark}color-scheme:dark}}}}\
         :root[data-paper=dark]{{{dark}color-scheme:dark}}\n{}\n{STYLE}",
        svg::ink_rules_css(Tone::Warm)
    )
}
