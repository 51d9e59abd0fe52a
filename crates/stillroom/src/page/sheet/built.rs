//! What it is built of: one build-up in section, its layers to move, swap and thicken.

use catalogue::{Door, Entry, Fill, Glass, Masonry, Membrane, Sheet, find};
use maud::{Markup, html};
use plan::outcome::BuildupOutcome;
use quantities::format::number;
use sheets::drawings::screen;

use super::{On, figure, tabs};
use crate::page::words::built as words;

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let at = on.query.at.min(on.plan.buildups.len().saturating_sub(1));
    let links: Vec<(String, String, bool)> = on
        .plan
        .buildups
        .iter()
        .enumerate()
        .map(|(index, buildup)| (format!("/built?at={index}"), buildup.name.clone(), index == at))
        .collect();
    html! {
        (tabs(words::BUILDUPS, &links))
        @if let Some(buildup) = on.plan.buildups.get(at) {
            p.how {
                (words::depth_and_mass(&buildup.name, buildup.depth_mm, buildup.mass_kg_m2))
            }
            @if let Some((scene, scale)) = screen::section_of(on.plan, at) {
                (figure(&scene, &format!("Section of {}, 1 : {}", buildup.name, number(scale.denominator(), 1)), &[
                    ("drag", "layer".to_owned()),
                    ("list", format!("buildup[{at}].layer")),
                ]))
            }
            (layers(on, at))
            (made_of_it(on, buildup))
        }
    }
}

fn layers(on: &On<'_>, at: usize) -> Markup {
    let list = format!("buildup[{at}].layer");
    let count = on.filling.count(&list);
    html! {
        section {
            h2 { (words::LAYERS) }
            p.how { (words::LAYERS_HOW) }
            div.scroll tabindex="0" role="group" aria-label=(words::LAYERS) {
                form.fields #layers method="post" action="/set" {
                    (on.carried())
                    input type="hidden" name="list" value=(list);
                    table.layers {
                        thead { tr {
                            th { (words::KIND) } th { (words::MATERIAL) } th.r { (on.filling.manner.heading(words::SIZE)) } th.r { (words::SHEETS) }
                            th { (words::FILL) } th.r { (on.filling.manner.heading(words::FILL_MM)) } th {}
                        } }
                        tbody {
                            @for layer in 0..count { (row(on, &list, layer, count)) }
                        }
                    }
                    button.take-over type="submit" { (crate::page::words::TAKE_OVER) }
                }
            }
            form.ask method="post" action="/layer" {
                (on.carried())
                input type="hidden" name="list" value=(list);
                input type="hidden" name="layer" value=(count);
                span { (words::ADD) }
                button type="submit" name="do" value="add-board" { (words::ADD_BOARD) }
                button type="submit" name="do" value="add-cavity" { (words::ADD_CAVITY) }
            }
        }
    }
}

fn row(on: &On<'_>, list: &str, layer: usize, count: usize) -> Markup {
    let path = format!("{list}[{layer}]");
    let key = |key: &str| format!("{path}.{key}");
    let kind = on.filling.typed(&key("kind"));
    let cavity = kind == "cavity";
    let nth = format!("layer {}", layer + 1);
    let say = |what: &str| format!("{nth}, {what}");
    html! {
        // Plaster, sheets and the air over fibre are drawn apart.
        tr data-for=(format!("layer-{layer} layer-{layer}-1 layer-{layer}-2 layer-{layer}-3")) {
            th scope="row" { (kind) }
            @if cavity {
                td {}
                td.r { (on.filling.number(&key("depth_mm"), &say("depth"))) }
                td {}
                td { (on.filling.choice(&key("fill"), &say(words::FILL), &fills())) }
                td.r { (on.filling.number(&key("fill_mm"), &say(&on.filling.manner.heading(words::FILL_MM)))) }
            } @else {
                td { (on.filling.choice(&key("material"), &say(words::MATERIAL), &materials(&kind))) }
                td.r { (on.filling.number_or(&key("thickness_mm"), &say("thickness"), sold_mm(&kind, &on.filling.typed(&key("material"))))) }
                td.r { (on.filling.number_or(&key("sheets"), &say(words::SHEETS), Some(1.0))) }
                td {} td {}
            }
            td.acts {
                (act(layer, "up", "↑", &say(words::OUTWARDS), layer == 0))
                (act(layer, "down", "↓", &say(words::INWARDS), layer + 1 == count))
                (act(layer, "remove", "×", &say(words::AWAY), false))
            }
        }
    }
}

fn act(layer: usize, act: &str, sign: &str, name: &str, not: bool) -> Markup {
    html! {
        button type="submit" formaction={ "/layer?layer=" (layer) "&do=" (act) } aria-label=(name) title=(name)
            disabled[not] { (sign) }
    }
}

fn named<E: Entry>() -> impl Iterator<Item = (String, String)> {
    E::all().iter().map(|entry| (entry.id().to_owned(), entry.name().to_owned()))
}

/// How thick one sheet of a material is sold, mm: what an empty field stands for.
fn sold_mm(kind: &str, material: &str) -> Option<f64> {
    match kind {
        "board" => find::<Sheet>(material).map(|sheet| sheet.thickness_mm),
        "glass" => find::<Glass>(material).map(|pane| pane.thickness_mm),
        "membrane" => find::<Membrane>(material).map(|skin| skin.thickness_mm),
        _ => None,
    }
}

/// What a layer of a kind can be made of.
fn materials(kind: &str) -> Vec<(String, String)> {
    let own = std::iter::once((String::new(), words::OWN.to_owned()));
    match kind {
        "board" => own.chain(named::<Sheet>()).chain(named::<Door>()).collect(),
        "masonry" => own.chain(named::<Masonry>()).collect(),
        "glass" => own.chain(named::<Glass>()).collect(),
        "membrane" => own.chain(named::<Membrane>()).collect(),
        _ => Vec::new(),
    }
}

fn fills() -> Vec<(String, String)> {
    std::iter::once((String::new(), words::NONE.to_owned())).chain(named::<Fill>()).collect()
}

fn made_of_it(on: &On<'_>, buildup: &BuildupOutcome) -> Markup {
    let own: Vec<_> = on.plan.elements.iter().filter(|element| element.buildup == buildup.name).collect();
    let mut advice: Vec<&str> = Vec::new();
    for line in own.iter().flat_map(|element| &element.prediction.advice) {
        if !advice.contains(&line.as_str()) {
            advice.push(line);
        }
    }
    html! {
        @if !own.is_empty() {
            section {
                h2 { (words::MADE_OF_IT) }
                table.narrow {
                    thead { tr { th { (words::ELEMENT) } th.r { "m²" } th.r { (words::RW) } } }
                    tbody {
                        @for element in &own {
                            tr {
                                th scope="row" { (element.name) }
                                td.r { (number(element.area_m2, 1)) }
                                td.r {
                                    @if let Some(ratings) = &element.ratings {
                                        (ratings.rw_c_ctr().replace("\u{a0}dB", "").replace(" dB", ""))
                                        " ±\u{a0}"
                                        (number((element.prediction.rw_upper_db - element.prediction.rw_lower_db) / 2.0, 0))
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
        @if !advice.is_empty() {
            section { h2 { (words::LIMITS) } ul { @for line in advice { li { (line) } } } }
        }
    }
}
