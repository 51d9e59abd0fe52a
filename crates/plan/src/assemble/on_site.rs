//! What the log of the site says beside the places of bars, clips and boards: clips that were skipped, steps done, hold points.

use crate::{
    assemble::verdicts::ended,
    outcome::{Plan, Standing},
    project::{AsBuilt, FixedClip, HeldPoint},
};

/// Tells what was skipped, what came out of its tolerance, and how far the build is.
pub(super) fn findings(
    given: Option<&AsBuilt>,
    plan: &Plan,
    put: &mut impl FnMut(Standing, &'static str, String),
) {
    let Some(given) = given.map(AsBuilt::counted) else { return };
    if plan.ceiling.as_built_refused.is_none() {
        for clip in given.clip.iter().filter(|clip| clip.skipped) {
            let (standing, sentence) = skipped(plan, clip);
            put(standing, "ceiling", sentence);
        }
    }
    let in_feet = plan.lengths().in_feet();
    let step_of = |title: &str| plan.steps.iter().find(|step| step.title == title);
    for held in &given.hold {
        let hold = step_of(&held.step).and_then(|step| step.hold_point.as_ref());
        match hold {
            None => put(
                Standing::Open,
                "ceiling",
                format!(
                    "A hold point was read for a step \u{201c}{}\u{201d}, but no step of this plan with a hold point is called so.",
                    held.step
                ),
            ),
            Some(hold) if !hold.is_within(&held.measured, held.within, in_feet) => put(
                Standing::Fails,
                "ceiling",
                format!(
                    "The hold point of the step \u{201c}{}\u{201d} is out: {} was measured, {} is asked for; {}",
                    held.step,
                    held.measured,
                    hold.tolerance,
                    ended(&hold.otherwise)
                ),
            ),
            Some(_) => {}
        }
    }
    let done = given.step.iter().filter(|step| step.done && step_of(&step.step).is_some()).count();
    if done + given.hold.len() > 0 {
        let of = |held: &HeldPoint| step_of(&held.step).and_then(|step| step.hold_point.as_ref());
        let keeps = |held: &&HeldPoint| {
            of(held).map_or(held.within, |hold| hold.is_within(&held.measured, held.within, in_feet))
        };
        let within = given.hold.iter().filter(keeps).count();
        put(
            Standing::Holds,
            "ceiling",
            format!(
                "On site: {done} of {} steps done; {} hold points read, {within} of them within what they allow.",
                plan.steps.len(),
                given.hold.len()
            ),
        );
    }
}

fn skipped(plan: &Plan, clip: &FixedClip) -> (Standing, String) {
    let why =
        clip.why.as_ref().map_or_else(String::new, |why| format!(" ({})", why.trim().trim_end_matches('.')));
    let number = clip.clip;
    let mut found = plan.ceiling.as_built.iter().flat_map(|found| &found.skipped_clips);
    let bar = found.find(|one| one.clip == number as usize).map(|one| one.bar);
    match bar {
        Some(bar) => (
            Standing::Holds,
            format!(
                "Clip {number} of bar {bar} was skipped on site{why}: its neighbours carry what it would have carried; where that is too \
                 much, or they are too far apart, the sheet As built says what to add before boards go up."
            ),
        ),
        None => (
            Standing::Open,
            format!(
                "Clip {number} is said to be skipped{why}, but the layout has no clip {number}: look up its number."
            ),
        ),
    }
}
