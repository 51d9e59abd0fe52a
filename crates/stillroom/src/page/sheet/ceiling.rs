//! The ceiling: bars and clips or a layer of boards, the marks beside it, a bar tried off its mark.

use maud::{Markup, html};
use paper::{Dash, Group, Ink, Path, Pen};
use plan::tried::{self, Breach, Place, TriedBar};
use quantities::format::{number, with_unit};
use sheets::drawings::screen::{self, AsBuiltOnScreen, RoomDrawing};

use super::{On, figure, tabs};
use crate::page::{
    manner::length_of,
    words::{self as all_words, ceiling as words},
};

/// A joint's gap and what rounding leaves: pieces nearer to a place than this meet there, mm.
const MEETS_MM: f64 = 8.0;
/// What is asked for to see how to go on round what hangs.
const AS_BUILT: &str = "as-built";

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let Some(layout) = &on.plan.ceiling.layout else {
        let why = on.plan.ceiling.not_planned.as_deref().unwrap_or_default();
        return html! { p.note { (why) } };
    };
    let layer = on
        .query
        .show
        .parse::<usize>()
        .ok()
        .filter(|wanted| layout.layers.iter().any(|l| l.number == *wanted));
    let hangs = if on.query.show == AS_BUILT { screen::as_built(on.plan) } else { None };
    let plain = layer.is_none() && hangs.is_none();
    let mut links = vec![("/ceiling".to_owned(), words::BARS.to_owned(), plain)];
    links.extend(layout.layers.iter().map(|one| {
        let here = layer == Some(one.number);
        (
            format!("/ceiling?show={}", one.number),
            format!("{} {}: {}", words::LAYER, one.number, one.material),
            here,
        )
    }));
    if on.plan.ceiling.as_built.is_some() {
        links.push((format!("/ceiling?show={AS_BUILT}"), words::AS_BUILT.to_owned(), hangs.is_some()));
    }
    if let Some(hangs) = &hangs {
        return html! { (tabs(words::VIEW, &links)) (as_built(hangs)) };
    }
    let tried = on.query.bar.map(|bar| try_bar(on, bar));
    let take_off = &layout.take_off;
    html! {
        (tabs(words::VIEW, &links))
        p.how {
            (words::bars_and_clips(take_off.bars, take_off.clips))
            @for boards in &take_off.boards { (words::boards(boards.pieces, boards.sheets, &boards.material)) }
            (words::hung(take_off.mass_kg_m2))
        }
        div.beside.listed {
            @match layer {
                Some(number) => (boards(on, number)),
                None => (bars(on, tried.as_ref().and_then(|tried| tried.as_ref().ok()))),
            }
            div {
                (breaches(on))
                @match layer {
                    Some(number) => (pieces(on, number)),
                    None => { (trial(on, tried.as_ref())) (marks(on)) }
                }
            }
        }
        (rules(on))
    }
}

/// What was found, and how to go on: a drawing each with its sentences beside it.
fn as_built(hangs: &AsBuiltOnScreen) -> Markup {
    html! {
        section {
            h2 { (words::GO_ON) }
            div.beside {
                (figure(&hangs.after.scene, words::GO_ON, &[]))
                ul { @for sentence in &hangs.changes { li { (first_upper(sentence)) "." } } }
            }
        }
        section {
            h2 { (words::FOUND) }
            div.beside {
                (figure(&hangs.found.scene, words::FOUND, &[]))
                @if hangs.breaches.is_empty() { p.how { (words::NOTHING_BROKEN) } } @else {
                    div { p.how { (words::WOULD_BREAK) } ul { @for sentence in &hangs.breaches { li { (first_upper(sentence)) "." } } } }
                }
            }
        }
    }
}

fn bars(on: &On<'_>, tried: Option<&TriedBar>) -> Markup {
    let (Some(mut drawing), Some(layout)) = (screen::bars_and_clips(on.plan), &on.plan.ceiling.layout) else {
        return html! {};
    };
    if let Some(tried) = tried {
        drawing.scene.add(overlay(&drawing, tried));
    }
    let across = layout.frame.across;
    figure(
        &drawing.scene,
        "Bars and clips, seen from above",
        &[
            ("mm", drawing.view.scale.denominator().to_string()),
            ("drag", "bar".to_owned()),
            // On paper y runs down.
            ("across", format!("{} {}", across.x_mm, -across.y_mm)),
        ],
    )
}

/// The tried bar in red pencil, and a ring at each rule it breaks.
fn overlay(drawing: &RoomDrawing, tried: &TriedBar) -> Group {
    let at = |point: plan::tried::Place| drawing.view.place(point.x_mm, point.y_mm);
    let red = Pen::BOLD.in_ink(Ink::Red);
    let mut group = Group::on_layer("tried");
    group.add(Path::line(at(tried.from), at(tried.to), red.dashed(Dash::Dashed)));
    for breach in &tried.breaches {
        group.add(paper::Circle { centre: at(breach.at), radius_mm: 2.6, pen: Some(red), fill: None });
    }
    group
}

fn boards(on: &On<'_>, layer: usize) -> Markup {
    screen::boards_of_layer(on.plan, layer).map_or_else(
        || html! {},
        |drawing| figure(&drawing.scene, &format!("Boards of layer {layer}, seen from above"), &[]),
    )
}

fn breaches(on: &On<'_>) -> Markup {
    html! {
        @if !on.plan.ceiling.breaches.is_empty() {
            section.boxed {
                h2 { (words::BREACHES) }
                ul { @for sentence in told(on, &on.plan.ceiling.breaches) { li { (sentence) } } }
            }
        }
    }
}

/// Breaches in sentences: the same one once, with how often it comes and the pieces it speaks of.
fn told(on: &On<'_>, breaches: &[Breach]) -> Vec<String> {
    let mut groups: Vec<(&str, usize, Vec<String>)> = Vec::new();
    for breach in breaches {
        let at = groups.iter().position(|(sentence, ..)| *sentence == breach.sentence).unwrap_or_else(|| {
            groups.push((&breach.sentence, 0, Vec::new()));
            groups.len() - 1
        });
        if let Some((_, count, pieces)) = groups.get_mut(at) {
            *count += 1;
            pieces.extend(pieces_at(on, breach));
        }
    }
    groups
        .into_iter()
        .map(|(sentence, count, pieces)| words::breach(&first_upper(sentence), count, &pieces))
        .collect()
}

/// The pieces of a layer that meet where it breaks a rule, such as `1-03 and 1-04`; none for what is not of a layer.
fn pieces_at(on: &On<'_>, breach: &Breach) -> Option<String> {
    let number: usize = breach.what.strip_prefix("layer ")?.parse().ok()?;
    let layer = on.plan.ceiling.layout.as_ref()?.layers.iter().find(|layer| layer.number == number)?;
    let meets = |outline: &[Place]| {
        let next = outline.iter().cycle().skip(1);
        outline.iter().zip(next).any(|(from, to)| {
            let along = *to - *from;
            let share = ((breach.at - *from).dot(along) / along.dot(along).max(1e-9)).clamp(0.0, 1.0);
            (breach.at - (*from + along * share)).length_mm() < MEETS_MM
        })
    };
    let names: Vec<&str> =
        layer.pieces.iter().filter(|piece| meets(&piece.outline)).map(|piece| piece.name.as_str()).collect();
    (!names.is_empty()).then(|| names.join(" and "))
}

fn try_bar(on: &On<'_>, bar: usize) -> Result<TriedBar, String> {
    let typed = on.query.off.trim();
    let off_mm =
        if typed.is_empty() { 0.0 } else { length_of(typed).ok_or_else(|| all_words::no_length(typed))? };
    tried::bar(on.plan, bar, off_mm)
}

fn trial(on: &On<'_>, tried: Option<&Result<TriedBar, String>>) -> Markup {
    let bars = on.plan.ceiling.layout.iter().flat_map(|layout| &layout.bars);
    html! {
        section #tried {
            h2 { (words::TRY) }
            p.how { (words::TRY_HOW) }
            form.ask method="get" action="/ceiling" {
                label { (words::BAR) " "
                    select name="bar" {
                        @for bar in bars {
                            option value=(bar.number) selected[on.query.bar == Some(bar.number)] { (bar.number) }
                        }
                    }
                }
                label { (on.filling.manner.heading(words::OFF)) " " input.number type="text" inputmode="decimal" name="off" value=(on.query.off); }
                button type="submit" { (words::ASK) }
            }
            @match tried {
                None => {}
                Some(Err(sentence)) => p.note.wrong role="alert" { (sentence) },
                Some(Ok(tried)) => (outcome(on, tried)),
            }
        }
    }
}

fn outcome(on: &On<'_>, tried: &TriedBar) -> Markup {
    let gaps: Vec<String> = [tried.gap_before_mm, tried.gap_after_mm]
        .into_iter()
        .flatten()
        .map(|gap| with_unit(gap, 0, "mm"))
        .collect();
    html! {
        div.boxed[!tried.breaches.is_empty()] role="status" {
            p {
                (words::off_its_mark(tried.bar, tried.off_mm, &gaps))
            }
            @if tried.breaches.is_empty() {
                p { (words::KEEPS) }
            } @else {
                ul { @for sentence in told(on, &tried.breaches) { li { (sentence) } } }
            }
            form method="post" action="/fixed" {
                (on.carried())
                input type="hidden" name="bar" value=(tried.bar);
                input type="hidden" name="off" value=(tried.off_mm);
                button type="submit" title=(words::FIXED_HOW) { (words::FIXED) } " "
                a href="/ceiling" { (words::BACK) }
            }
        }
    }
}

fn marks(on: &On<'_>) -> Markup {
    html! {
        @for wall in on.plan.ceiling.layout.iter().flat_map(|layout| &layout.marks) {
            section {
                h2 { (words::MARKS) " " (wall.wall.replace('-', "\u{2013}")) ", " (words::FROM) " " (wall.from_corner) }
                table.marks {
                    thead { tr { th.r { (on.filling.manner.heading(words::AT)) } th { (words::WHAT) } } }
                    tbody {
                        @for mark in &wall.marks {
                            tr data-for=[bar_of(&mark.what).map(|bar| format!("bar-{bar}"))] {
                                td.r { (on.filling.manner.length(mark.at_mm, 0)) }
                                th scope="row" {
                                    @match bar_of(&mark.what) {
                                        Some(bar) => a href={ "#bar-" (bar) } { (mark.what) },
                                        None => (mark.what),
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

fn bar_of(what: &str) -> Option<&str> {
    what.split(", ").find_map(|part| part.strip_prefix("bar "))
}

fn pieces(on: &On<'_>, layer: usize) -> Markup {
    let pieces = on
        .plan
        .ceiling
        .layout
        .iter()
        .flat_map(|layout| &layout.layers)
        .filter(|one| one.number == layer)
        .flat_map(|one| one.pieces.iter().map(move |piece| (piece, one.sheet_of(piece))));
    html! {
        section {
            h2 { (words::PIECES) }
            table {
                thead { tr {
                    th { (words::PIECE) } th.r { (on.filling.manner.heading(words::LONG)) } th.r { (on.filling.manner.heading(words::WIDE)) } th.r { (words::MASS) } th.r { (words::SHEET) }
                } }
                tbody {
                    @for (piece, sheet) in pieces {
                        tr data-for={ "piece-" (piece.name) } {
                            th scope="row" { a href={ "#piece-" (piece.name) } { (piece.name) } }
                            td.r { (on.filling.manner.length(piece.length_mm, 0)) }
                            td.r { (on.filling.manner.length(piece.width_mm, 0)) }
                            td.r { (number(piece.mass_kg, 1)) }
                            td.r {
                                @if let Some(sheet) = sheet { (words::sheet_of(sheet.sheet, (sheet.layer != layer).then_some(sheet.layer))) }
                                @if piece.whole { ", " (words::WHOLE) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The rules one changes most often.
fn rules(on: &On<'_>) -> Markup {
    let rules = [
        ("bar_gap_mm", "widest gap of bars, mm"),
        ("clip_gap_mm", "widest gap of clips, mm"),
        ("perimeter_gap_mm", "gap to the walls, mm"),
        ("stagger_rows_mm", "joints of strips apart, mm"),
        ("stagger_layers_mm", "joints of layers apart, mm"),
        ("least_strip_mm", "narrowest strip, mm"),
    ];
    html! {
        section {
            h2 { (words::RULES) }
            (on.fields(&html! {
                div.columns.few {
                    @for (key, name) in rules {
                        p.pair { span { (on.filling.manner.heading(name)) } (on.filling.number(&format!("rules.{key}"), &on.filling.manner.heading(name))) }
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
