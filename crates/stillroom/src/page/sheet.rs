//! One module a sheet of the register.

pub(crate) mod built;
pub(crate) mod ceiling;
pub(crate) mod choose;
pub(crate) mod fabric;
pub(crate) mod heard;
pub(crate) mod order;
pub(crate) mod proof;
pub(crate) mod raw;
pub(crate) mod room;
pub(crate) mod steps;

use std::fmt::Write as _;

use maud::{Markup, PreEscaped, html};
use paper::{Scene, svg};
use plan::{Plan, Project};

use super::{desk::Spread, fields::Filling, words};

/// What is asked for behind the address of a sheet.
#[derive(Clone, Debug, Default, serde::Deserialize)]
#[serde(default)]
pub(crate) struct Query {
    /// Which of several drawings.
    pub(crate) show: String,
    /// Which of several places or build-ups, from 0.
    pub(crate) at: usize,
    /// Bar to try.
    pub(crate) bar: Option<usize>,
    /// Corner to try.
    pub(crate) corner: Option<String>,
    /// How far it is tried, as typed.
    pub(crate) off: String,
    /// To the right, as typed.
    pub(crate) right: String,
    /// Up, as typed.
    pub(crate) up: String,
}

/// What a sheet is drawn from.
pub(crate) struct On<'a> {
    /// Text, version, state.
    pub(crate) spread: &'a Spread,
    /// The plan.
    pub(crate) plan: &'a Plan,
    /// The file as read, where it has no errors.
    pub(crate) project: Option<&'a Project>,
    /// What fields are filled from.
    pub(crate) filling: &'a Filling<'a>,
    /// What is asked for.
    pub(crate) query: &'a Query,
    /// Address with what is asked for, to come back to.
    pub(crate) here: &'a str,
}

impl On<'_> {
    /// What every form carries: the text it was drawn from, and where to come back to.
    pub(crate) fn carried(&self) -> Markup {
        html! {
            input type="hidden" name="version" value=(self.spread.version);
            input type="hidden" name="page" value=(self.here);
        }
    }

    /// Fields that are written as soon as one is changed; the button serves a browser without scripts.
    pub(crate) fn fields(&self, inside: &Markup) -> Markup {
        html! {
            form.fields method="post" action="/set" {
                (self.carried())
                (inside)
                button.take-over type="submit" { (words::TAKE_OVER) }
            }
        }
    }
}

/// Pixels a millimetre of a drawing takes on the page: its smallest words, 2.5 mm, are then 12 pixels high.
const PIXELS_PER_MM: f64 = 4.8;

/// A drawing on the page. `facts` are read by the script: how to come from the drawing to the room.
pub(crate) fn figure(scene: &Scene, name: &str, facts: &[(&str, String)]) -> Markup {
    let mut open = String::from("<figure class=\"drawn\" tabindex=\"0\" role=\"group\"");
    for (fact, value) in facts {
        let _ = write!(open, " data-{fact}=\"{}\"", html! { (value) }.into_string());
    }
    let _ = write!(open, " aria-label=\"{}\">", html! { (name) }.into_string());
    let (wide, high) = (scene.width_mm * PIXELS_PER_MM, scene.height_mm * PIXELS_PER_MM);
    let sized = format!("class=\"drawing\" width=\"{wide:.0}\" height=\"{high:.0}\"");
    let drawing = svg::write(scene).replacen("class=\"drawing\"", &sized, 1);
    html! {
        (PreEscaped(open))
        (PreEscaped(drawing))
        (PreEscaped("</figure>"))
    }
}

/// Links between the drawings of one sheet.
pub(crate) fn tabs(name: &str, links: &[(String, String, bool)]) -> Markup {
    html! {
        nav.tabs aria-label=(name) {
            @for (address, words, here) in links {
                a href=(address) aria-current=[here.then_some("true")] { (words) }
            }
        }
    }
}
