//! Does it hold, stay dry, and can one breathe in it.

use maud::{Markup, html};
use quantities::format::{number, with_unit};
use sheets::drawings::screen;

use super::{On, figure};
use crate::page::words::fabric as words;

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let fabric = &on.plan.fabric;
    html! {
        div.columns {
            (joists(on))
            div { (fixings(on)) (limits(on)) (air(on)) }
        }
        @for (at, (title, scene)) in screen::damp(on.plan).into_iter().enumerate() {
            section id=[(at == 0).then_some("damp")] { h2 { (title) } div.wide { (figure(&scene, &title, &[])) } }
        }
        @if !fabric.not_checked.is_empty() {
            section { h2 { (words::OPEN) } ul.open { @for sentence in &fabric.not_checked { li { (sentence) } } } }
        }
    }
}

/// The word for what is out of order; what holds says nothing, since the strip may call it close.
fn standing(fails: bool, utilisation: Option<f64>) -> &'static str {
    match (fails, utilisation) {
        (true, _) => "fails",
        (false, Some(_)) => "",
        (false, None) => "open",
    }
}

fn joists(on: &On<'_>) -> Markup {
    let beams = on.plan.fabric.beams.iter().map(|beam| &beam.result);
    html! {
        section {
            h2 { (words::JOISTS) }
            table {
                thead { tr { th { (words::JOIST) } th.r { (words::USED) } th { (words::GOVERNS) } th { (words::STANDING) } } }
                tbody {
                    @for joist in on.plan.fabric.joists.iter().chain(beams) {
                        @let word = standing(joist.checked.fails(), joist.checked.utilisation());
                        tr.red[word == "fails"] {
                            th scope="row" { (joist.name) }
                            td.r { (number(joist.governing.utilisation * 100.0, 0)) }
                            td { (joist.governing.question.name()) }
                            td { (word) }
                        }
                    }
                }
            }
        }
    }
}

fn fixings(on: &On<'_>) -> Markup {
    let fabric = &on.plan.fabric;
    html! {
        section #fixings {
            h2 { (words::FIXINGS) }
            table {
                tbody {
                    @for fixing in fabric.clip.iter().chain(&fabric.bar).chain(&fabric.screws) {
                        @let word = standing(fixing.checked.fails(), fixing.checked.utilisation());
                        tr.red[word == "fails"] {
                            th scope="row" { (fixing.name) }
                            td.r { (with_unit(fixing.mass, 1, fixing.unit)) }
                            td.r { @if let Some(rated) = fixing.rated { "of " (with_unit(rated, 1, fixing.unit)) } }
                            td { (word) }
                        }
                    }
                }
            }
        }
    }
}

fn limits(on: &On<'_>) -> Markup {
    let keys = [
        ("use.people", words::PEOPLE),
        ("use.fresh_air_l_s", words::FRESH),
        ("limits.headroom_mm", words::HEADROOM),
        ("limits.money", words::SPEND),
    ];
    html! {
        section {
            h2 { (words::LIMITS) }
            (on.fields(&html! {
                @for (path, name) in keys {
                    p.pair { span { (on.filling.manner.heading(name)) } (on.filling.number(path, &on.filling.manner.heading(name))) }
                }
            }))
        }
    }
}

fn air(on: &On<'_>) -> Markup {
    let fabric = &on.plan.fabric;
    html! {
        section #air {
            h2 { (words::AIR) }
            dl.numbers {
                @if let Some(air) = &fabric.air {
                    div { dt { (words::PEAK) } dd { (with_unit(air.peak_ppm, 0, "ppm")) } }
                    div { dt { (words::SEALED) } dd { (with_unit(air.sealed_end_ppm, 0, "ppm")) } }
                    div { dt { (words::NEEDED) } dd { (with_unit(air.needed_l_s, 0, "l/s")) } }
                }
                @if let Some(u) = &fabric.u_value {
                    div { dt { (words::U_VALUE) } dd { (with_unit(u.u_w_m2k, 2, "W/(m²\u{a0}K)")) } }
                }
                @if let Some(room) = &fabric.room {
                    div { dt { (words::DECAY) } dd { (with_unit(room.middle_s, 2, "s")) } }
                }
            }
        }
    }
}
