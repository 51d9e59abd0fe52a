//! The room: the survey drawn, its tapes and levels to change, its corners to drag.

use maud::{Markup, html};
use paper::{Circle, Dash, Group, Ink, Path, Pen};
use plan::tried::{self, TriedCorner};
use quantities::format::number;
use sheets::drawings::screen::{self, RoomDrawing};

use super::{On, figure};
use crate::page::{manner::length_of, words::room as words};

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let survey = &on.plan.survey;
    let tried = on.query.corner.as_ref().map(|name| try_corner(on, name));
    let drawing = screen::room(on.plan).map(|mut drawing| {
        if let Some(Ok(moved)) = &tried {
            drawing.scene.add(ghost(&drawing, moved));
        }
        drawing
    });
    html! {
        div.beside {
            div {
                @if let Some(drawing) = drawing {
                    (figure(&drawing.scene, "The room as taped, seen from above", &[
                        ("mm", drawing.view.scale.denominator().to_string()),
                        ("drag", "corner".to_owned()),
                    ]))
                }
                p.note { (survey.quality) }
                @if let Some(suspect) = &survey.suspect { p.note.wrong { (suspect.sentence) } }
                @if let Some(next) = &survey.next_tape { p.note { (next.sentence) } }
            }
            div {
                @if let Some(tried) = &tried { (answer(on, tried)) }
                (tapes(on))
                (corners(on))
            }
        }
        (levels(on))
        @if let Some(scene) = screen::heights_chain(on.plan) {
            section #heights { h2 { (words::HEIGHTS) } div.wide { (figure(&scene, words::HEIGHTS, &[])) } }
        }
    }
}

fn tapes(on: &On<'_>) -> Markup {
    let m = on.filling.manner;
    let survey = &on.plan.survey;
    // The reading that took part: that at the ceiling, where a line was taped at both heights.
    let missed = |from: &str, to: &str| {
        let names = [format!("{from}-{to}"), format!("{to}-{from}")];
        let of_line = || survey.readings.iter().filter(|reading| names.contains(&reading.name));
        of_line().find(|reading| reading.used).or_else(|| of_line().next())
    };
    let suspect = survey.suspect.as_ref().map(|suspect| suspect.name.as_str());
    html! {
        section {
            h2 { (words::TAPES) }
            p.how { (words::TAPES_HOW) }
            (on.fields(&html! {
                table {
                    thead { tr {
                        th { (words::LINE) } th.r { (m.heading(words::AT_CEILING)) } th.r { (m.heading(words::AT_FLOOR)) } th.r { (m.heading(words::MISSED)) }
                    } }
                    tbody {
                        @for at in 0..on.filling.count("survey.tape") {
                            @let path = format!("survey.tape[{at}]");
                            @let from = on.filling.typed(&format!("{path}.from"));
                            @let to = on.filling.typed(&format!("{path}.to"));
                            @let line = format!("{from}\u{2013}{to}");
                            @let read = missed(&from, &to);
                            @let name = read.map_or_else(|| format!("{from}-{to}"), |read| read.name.clone());
                            tr.red[suspect == Some(name.as_str())] data-for={ "tape-" (name) " wall-" (name) } {
                                th scope="row" { (line) }
                                td.r { (on.filling.number(&format!("{path}.ceiling_mm"), &format!("{line} {}", m.heading(words::AT_CEILING)))) }
                                td.r { (on.filling.number(&format!("{path}.floor_mm"), &format!("{line} {}", m.heading(words::AT_FLOOR)))) }
                                td.r { @if let Some(read) = read { (m.signed(read.residual_mm, 1)) } }
                            }
                        }
                    }
                }
            }))
        }
    }
}

fn corners(on: &On<'_>) -> Markup {
    let m = on.filling.manner;
    html! {
        section {
            h2 { (words::CORNERS) }
            p.how { (words::CORNERS_HOW) }
            table {
                thead { tr {
                    th { (words::CORNER) } th.r { (m.heading(words::KNOWN_TO)) } th.r { (words::ANGLE) } th.r { (m.heading(words::SQUARE)) }
                } }
                tbody {
                    @for corner in &on.plan.survey.corners {
                        tr data-for={ "corner-" (corner.name) } {
                            th scope="row" { (corner.name) }
                            td.r { "±\u{a0}" (m.fine(2.0 * corner.sd_mm, 1)) }
                            td.r { (number(corner.angle_deg, 1)) }
                            td.r { (corner.out_of_square_mm_per_m.map_or_else(|| "\u{2013}".to_owned(), |fall| m.fall(fall))) }
                        }
                    }
                }
            }
            form.ask method="get" action="/room" {
                label { (words::MOVE) " "
                    select name="corner" {
                        @for corner in &on.plan.survey.corners {
                            option value=(corner.name) selected[on.query.corner.as_deref() == Some(&corner.name)] { (corner.name) }
                        }
                    }
                }
                label { (m.heading(words::RIGHT)) " " input.number type="text" inputmode="decimal" name="right" value=(on.query.right); }
                label { (m.heading(words::UP)) " " input.number type="text" inputmode="decimal" name="up" value=(on.query.up); }
                button type="submit" { (words::SHOW_TAPES) }
            }
        }
    }
}

/// The walls through a corner as it would stand, in red pencil.
fn ghost(drawing: &RoomDrawing, moved: &TriedCorner) -> Group {
    let at = |place: tried::Place| drawing.view.place(place.x_mm, place.y_mm);
    let red = Pen::BOLD.in_ink(Ink::Red);
    let mut group = Group::on_layer("tried");
    for neighbour in moved.neighbours {
        group.add(Path::line(at(neighbour), at(moved.at), red.dashed(Dash::Dashed)));
    }
    group.add(Circle { centre: at(moved.at), radius_mm: 1.8, pen: Some(red), fill: None });
    group
}

/// What came of moving a corner: its tapes as they would read; written only when asked.
fn answer(on: &On<'_>, tried: &Result<TriedCorner, String>) -> Markup {
    let m = on.filling.manner;
    html! {
        section #tried {
            @match tried {
                Err(sentence) => p.note.wrong role="alert" { (sentence) },
                Ok(moved) => div.boxed.calm role="status" { form method="post" action="/corner" {
                    h2 { (words::corner_moved(&moved.corner)) }
                    (on.carried())
                    table {
                        thead { tr { th { (words::LINE) } th.r { (m.heading(words::WOULD_READ)) } } }
                        tbody {
                            @for (path, line, read_mm) in &moved.readings {
                                tr {
                                    th scope="row" { (line) @if path.ends_with("floor_mm") { " " (words::FLOOR) } }
                                    td.r { (m.length(*read_mm, 0)) input type="hidden" name={ "n:" (path) } value=(read_mm); }
                                }
                            }
                        }
                    }
                    p.how { (words::MOVED_HOW) }
                    button type="submit" { (words::REWRITE) } " "
                    a href="/room" { (words::LET_BE) }
                } },
            }
        }
    }
}

fn try_corner(on: &On<'_>, name: &str) -> Result<TriedCorner, String> {
    let way = |typed: &str| {
        if typed.trim().is_empty() {
            return Ok(0.0);
        }
        length_of(typed).ok_or_else(|| crate::page::words::no_length(typed))
    };
    let project = on.project.ok_or_else(|| crate::page::words::FILE_HAS_ERRORS.to_owned())?;
    tried::corner(project, &on.plan.survey, name, (way(&on.query.right)?, way(&on.query.up)?))
}

fn levels(on: &On<'_>) -> Markup {
    let joists = on.filling.count("joist");
    let most =
        (0..joists).map(|at| on.filling.count(&format!("joist[{at}].up_from_laser_mm"))).max().unwrap_or(0);
    html! {
        @if joists > 0 && most > 0 {
            section {
                h2 { (words::JOISTS) }
                p.how { (on.filling.manner.heading(words::JOISTS_HOW)) "." }
                (on.fields(&html! {
                    div.scroll tabindex="0" role="group" aria-label=(words::JOISTS) {
                        table.narrow {
                            thead { tr {
                                th { (words::JOIST) }
                                @for reading in 1..=most { th.r { (words::READING) " " (reading) } }
                            } }
                            tbody {
                                @for at in 0..joists {
                                    @let name = on.filling.typed(&format!("joist[{at}].name"));
                                    @let list = format!("joist[{at}].up_from_laser_mm");
                                    tr {
                                        th scope="row" { (name) }
                                        @for reading in 0..on.filling.count(&list) {
                                            td.r { (on.filling.number(&format!("{list}[{reading}]"),
                                                &format!("{name}, {} {}", words::READING, reading + 1))) }
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
}
