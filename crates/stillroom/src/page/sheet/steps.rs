//! The build, step by step, with what must be right before going on, what came from the site, and a place to bring it to.

use maud::{Markup, html};
use plan::{
    Project,
    outcome::{HoldPoint, Step},
    project::{AsBuilt, HeldPoint},
};
use quantities::format::number;

use super::On;
use crate::page::words::steps as words;

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let read = on.project.and_then(|project| project.as_built.as_ref()).map(AsBuilt::counted);
    html! {
        (take_in(on))
        @if let (Some(read), Some(project)) = (&read, on.project) { (from_site(on, project, read)) }
        ol.steps {
            @for step in &on.plan.steps { (one(on, step, read.as_ref())) }
        }
    }
}

fn one(on: &On<'_>, step: &Step, read: Option<&AsBuilt>) -> Markup {
    let done = read.is_some_and(|read| read.step.iter().any(|one| one.done && one.step == step.title));
    let held = read.and_then(|read| read.hold.iter().find(|one| one.step == step.title));
    let in_feet = on.spread.reading.plan.as_deref().is_some_and(|plan| plan.lengths().in_feet());
    let is_out = step
        .hold_point
        .as_ref()
        .zip(held)
        .is_some_and(|(hold, held)| !hold.is_within(&held.measured, held.within, in_feet));
    html! {
        li value=(step.number) {
            h2 {
                (step.title)
                @if done && is_out { " " em.fails { (words::DONE_BUT_OUT) } } @else if done { " " span.tick { "\u{2713} " (words::DONE) } }
            }
            p.how { (words::PEOPLE) " " (step.people) ", " (number(step.hours, 1)) "\u{a0}" (words::HOURS) }
            @for line in &step.text { p { (line) } }
            @for caution in &step.cautions { p.caution { (caution) } }
            @if let Some(hold) = &step.hold_point {
                div.boxed {
                    p { b { (words::HOLD) ": " } (hold.measure) ", " (words::WITH) " " (hold.with) "." }
                    p { (words::RIGHT_IF) " " b { (hold.tolerance) } "." }
                    p { (words::OTHERWISE) ": " (hold.otherwise) "." }
                    @if let Some(held) = held { (measured(on, hold, held)) }
                }
            }
        }
    }
}

fn measured(on: &On<'_>, hold: &HoldPoint, held: &HeldPoint) -> Markup {
    // As the plan judges it, in the unit of the room file.
    let in_feet = on.spread.reading.plan.as_deref().is_some_and(|plan| plan.lengths().in_feet());
    let within = hold.is_within(&held.measured, held.within, in_feet);
    let came = if within { words::IS_WITHIN } else { words::IS_OUT };
    html! {
        p.measured-here { (words::MEASURED) ": " b { (held.measured.replace(" mm", "\u{a0}mm")) } ", " em.fails[!within] { (came) } }
    }
}

fn from_site(on: &On<'_>, project: &Project, read: &AsBuilt) -> Markup {
    let wall = |wall| project.survey.wall_name(wall);
    let m = on.filling.manner;
    let steps = &on.plan.steps;
    let known = |title: &str| steps.iter().any(|step| step.title == title);
    let done = read.step.iter().filter(|one| one.done && known(&one.step)).count();
    html! {
        section #from-site {
            h2 { (words::FROM_SITE) }
            p { (words::how_far(done, steps.len(), read.hold.len())) }
            div.columns.few {
                @if !read.bar.is_empty() || !read.added_bar.is_empty() {
                    table {
                        caption { (words::BARS) }
                        thead { tr { th { (words::BAR) } th { (words::WALL) } th.r { (m.heading(words::AT)) } } }
                        tbody {
                            @for one in &read.bar {
                                tr { th scope="row" { (one.bar) } td { (wall(one.wall)) } td.r { (m.length(one.at_mm, 1)) } }
                            }
                            @for one in &read.added_bar {
                                @for (wall, at_mm) in [(wall(one.from_wall), one.from_mm), (wall(one.to_wall), one.to_mm)] {
                                    tr { th scope="row" { (words::ADDED) } td { (wall) } td.r { (m.length(at_mm, 1)) } }
                                }
                            }
                        }
                    }
                }
                @if !read.clip.is_empty() {
                    table {
                        caption { (words::CLIPS) }
                        thead { tr { th { (words::CLIP) } th { (m.heading(words::ALONG)) } } }
                        tbody {
                            @for one in &read.clip {
                                tr.red[one.skipped] {
                                    th scope="row" { (one.clip) }
                                    td {
                                        @match (one.skipped, one.along_mm) {
                                            (true, _) => { (words::SKIPPED) },
                                            (false, Some(along_mm)) => (m.length(along_mm, 1)),
                                            (false, None) => (words::ON_ITS_MARK),
                                        }
                                        @if let Some(why) = &one.why { ", " (why) }
                                    }
                                }
                            }
                        }
                    }
                }
                @if !read.board.is_empty() {
                    table {
                        caption { (words::BOARDS) }
                        thead { tr { th { (words::PIECE) } th.r { (m.heading(words::OFF_ALONG)) } th.r { (m.heading(words::OFF_ACROSS)) } } }
                        tbody {
                            @for one in &read.board {
                                tr { th scope="row" { (one.piece) } td.r { (m.signed(one.off_along_mm, 1)) } td.r { (m.signed(one.off_across_mm, 1)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn take_in(on: &On<'_>) -> Markup {
    let kept = on.filling.kept.filter(|kept| kept.path == words::FORM);
    html! {
        section {
            form.drop #readings method="post" action="/readings" enctype="multipart/form-data" data-large=(words::too_large("{}")) {
                input type="hidden" name="version" value=(on.spread.version);
                @if let Some(kept) = kept { p.notice.wrong role="alert" { (kept.sentence) } }
                details open[kept.is_some()] {
                    summary { (words::TAKE) }
                    div.dropped {
                        label { (words::DROP) " " input type="file" name="readings" accept=".toml,text/plain" data-most="2097152"; }
                        p.how { (words::TAKE_HOW) }
                        @if kept.is_some() {
                            label.block { input type="checkbox" name="anyway"; " " (words::ANYWAY) }
                        }
                        button type="submit" { (words::TAKE_IN) }
                    }
                }
            }
        }
    }
}
