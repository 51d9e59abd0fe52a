//! The build, step by step, with what must be right before going on.

use maud::{Markup, html};
use quantities::format::number;

use super::On;
use crate::page::words::steps as words;

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    html! {
        ol.steps {
            @for step in &on.plan.steps {
                li value=(step.number) {
                    h2 { (step.title) }
                    p.how { (words::PEOPLE) " " (step.people) ", " (number(step.hours, 1)) "\u{a0}" (words::HOURS) }
                    @for line in &step.text { p { (line) } }
                    @for caution in &step.cautions { p.caution { (caution) } }
                    @if let Some(hold) = &step.hold_point {
                        div.boxed {
                            p { b { (words::HOLD) ": " } (hold.measure) ", " (words::WITH) " " (hold.with) ", " (words::WITHIN) " " b { (hold.tolerance) } "." }
                            p { (words::OTHERWISE) ": " (hold.otherwise) }
                        }
                    }
                }
            }
        }
    }
}
