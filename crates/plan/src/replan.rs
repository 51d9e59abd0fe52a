//! Planning a room again after an edit: steps whose inputs stayed as they were are taken from a [`Memory`].

use std::sync::atomic::{AtomicBool, Ordering};

use survey::Survey;

use crate::{
    Plan, PlanError, Project,
    assemble::ceiling,
    memory::{Key, Memory, Recalling},
    outcome::CeilingOutcome,
    plan_room::{not_set_out, plan_with, refuse_bridged_clips, set_out},
    project::ElementId,
};

/// What to do where the ceiling of the room has not been set out before, or the range of an element is not known yet.
#[derive(Clone, Copy, Debug)]
pub enum Unknown<'a> {
    /// Set it out now; where the flag is set meanwhile, go on with the best layout found by then.
    SetOut(&'a AtomicBool),
    /// Do not search: let the newest layout of a ceiling with as many corners, joists and layers of board stand in, for the range of an
    /// element that of the newest like it, for the modes those of the newest plan, for what was measured its newest judgement, and in a room that
    /// was surveyed anew for what is heard what was heard before.
    StandIn,
}

/// Whose layout a plan shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CeilingState {
    /// This ceiling's own, as a fresh plan would have it.
    SetOut,
    /// That of an earlier ceiling, or none yet: it is still to be set out.
    StandsIn,
    /// This ceiling's own, from a search that was ended early.
    EndedEarly,
}

/// A plan, and what of it is still another's.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each says of one thing whether it waits, whatever the others do"
)]
pub struct Replanned {
    /// The plan.
    pub plan: Plan,
    /// Whose layout it shows.
    pub ceiling: CeilingState,
    /// Whether the range of some element is still that of a like one; its best estimate is its own, unless the room was surveyed anew: then it may
    /// be that of the element as large as it was.
    pub ranges_stand_in: bool,
    /// Whether what is heard somewhere is still that of the room as it was surveyed before.
    pub heard_stands_in: bool,
    /// Whether what was measured is still held against an earlier plan, or not judged yet.
    pub proof_stands_in: bool,
    /// Whether the room's modes are still those over its earlier plan.
    pub modes_stand_in: bool,
}

impl Replanned {
    /// Whether all of the plan is the room's own, as a fresh plan would have it.
    pub fn is_settled(&self) -> bool {
        let stands_in =
            self.ranges_stand_in || self.heard_stands_in || self.proof_stands_in || self.modes_stand_in;
        self.ceiling == CeilingState::SetOut && !stands_in
    }
}

/// Plans a room with what the memory holds. Where [`Replanned::is_settled`], the plan equals that of [`crate::plan`] bit for bit.
///
/// # Errors
/// As [`crate::plan`].
pub fn replan(project: &Project, memory: &Memory, unknown: Unknown<'_>) -> Result<Replanned, PlanError> {
    let mut state = CeilingState::SetOut;
    let memory = match unknown {
        Unknown::StandIn => Recalling::quick(memory),
        Unknown::SetOut(_) => Recalling::exact(memory),
    };
    let plan = plan_with(project, &memory, |project, survey| {
        let (outcome, found) = ceiling_of(project, survey, &memory, unknown);
        state = found;
        outcome
    })?;
    Ok(Replanned {
        plan,
        ceiling: state,
        ranges_stand_in: memory.ranges_stood_in(),
        heard_stands_in: memory.heard_stood_in(),
        proof_stands_in: memory.proof_stood_in(),
        modes_stand_in: memory.modes_stood_in(),
    })
}

fn ceiling_of(
    project: &Project,
    survey: &Survey,
    memory: &Recalling<'_>,
    unknown: Unknown<'_>,
) -> (CeilingOutcome, CeilingState) {
    let given = ceiling::ceiling(project, survey);
    // All that setting out, and looking whether its clips overload a joist, depends on.
    let key = Key::of(&(
        (&given, &project.rules, project.ceiling.bridged_clips, &project.as_built, survey),
        (
            &project.roof,
            &project.joists,
            &project.stock.without_prices(),
            project.buildup_of(ElementId::Ceiling),
        ),
        &project.linings,
    ));
    if let Some(known) = memory.ceilings.get(&key) {
        return (known, CeilingState::SetOut);
    }
    match (unknown, &given) {
        (Unknown::StandIn, Ok(given)) => {
            let stand_in =
                memory.ceilings.newest(|known| known.given.as_ref().is_some_and(|g| alike(g, given)));
            let own = CeilingOutcome {
                given: Some(given.clone()),
                not_planned: Some("The ceiling is being set out.".to_owned()),
                ..not_set_out(project, survey)
            };
            let outcome = match stand_in {
                Some(known) => {
                    let clips = known.layout.as_ref().map(|layout| layout.clips.len());
                    let mut outcome = CeilingOutcome {
                        given: own.given,
                        bridged_clips: own.bridged_clips,
                        wall_gaps: own.wall_gaps,
                        ..known
                    };
                    if let Some(clips) = clips {
                        refuse_bridged_clips(&mut outcome, clips);
                    }
                    outcome
                }
                None => own,
            };
            (outcome, CeilingState::StandsIn)
        }
        // What is missing is said at once: nothing is searched for.
        (Unknown::StandIn, Err(_)) => {
            let outcome = set_out(project, survey, memory, &AtomicBool::new(false));
            (outcome, CeilingState::SetOut)
        }
        (Unknown::SetOut(stop), _) => {
            let outcome = set_out(project, survey, memory, stop);
            if stop.load(Ordering::Relaxed) {
                return (outcome, CeilingState::EndedEarly);
            }
            if memory.remembers() {
                memory.ceilings.put(key, outcome.clone());
            }
            (outcome, CeilingState::SetOut)
        }
    }
}

/// Whether the layout of one ceiling can stand in for that of another: what it points at by number is there in both.
fn alike(one: &setout::Ceiling, other: &setout::Ceiling) -> bool {
    one.joists.len() == other.joists.len()
        && one.corners.len() == other.corners.len()
        && one.layers.len() == other.layers.len()
}
