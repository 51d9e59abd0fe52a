//! The build, step by step, with hold points and cautions.

use paper::{flow::Flow, wrap::Span};
use plan::Plan;
use quantities::format::number;

/// The steps in their order.
pub(super) fn steps(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    if plan.steps.is_empty() {
        return flow;
    }
    flow.heading(1, "Build, step by step");
    flow.paragraph(
        "In the order of what must be true first. A hold point is measured before going on. Hours are rough and common practice, \
         for all people together at the work.",
    );
    for step in &plan.steps {
        flow.heading(2, format!("{}  {}", step.number, step.title));
        flow.remark(format!(
            "{} {}, about {}\u{00A0}h",
            step.people,
            if step.people == 1 { "person" } else { "people" },
            number(step.hours, 1)
        ));
        for sentence in &step.text {
            flow.point(sentence.clone());
        }
        if let Some(hold) = &step.hold_point {
            flow.paragraph_of(vec![
                Span::semibold("Hold point. "),
                Span::new(format!(
                    "Measure {} with {}: {}. If not: {}.",
                    hold.measure, hold.with, hold.tolerance, hold.otherwise
                )),
            ]);
        }
        for caution in &step.cautions {
            flow.warning(*caution);
        }
    }
    flow
}
