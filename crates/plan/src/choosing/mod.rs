//! What to build: candidates of every element, chosen exactly, planned whole.

mod adopt;
mod boards;
mod ceiling;
mod field;
mod fronts;
mod limits;
mod offers;
mod openings;
pub mod outcome;
mod predicting;
mod prices;
mod proposal;
mod ringing;
mod settling;
mod sounding;
mod strength;
mod telling;
#[cfg(test)]
mod tests;
mod walls;
mod watch;
mod whole;
mod writing;

use std::sync::atomic::AtomicBool;

use crate::{
    PlanError,
    assemble::{faults, lined},
    memory::Memory,
    outcome::Plan,
    project::Project,
    replan::{Unknown, replan},
};

pub use adopt::adopt;
pub use outcome::Choice;
pub use watch::{STAGES, Watch, Work};
pub use writing::{Changes, WriteError};

/// Chooses what to build for a room: a pure function of the project, the same on any number of threads. It plans the room as it stands
/// and as chosen, and costs some seconds; planning itself never calls it.
///
/// # Errors
/// Only where the tapes give no room.
pub fn choose(project: &Project) -> Result<Choice, PlanError> {
    choose_with_changes(project).map(|(choice, _)| choice)
}

/// The same, with what the choice changes, to be written into the room file.
///
/// # Errors
/// Only where the tapes give no room.
pub fn choose_with_changes(project: &Project) -> Result<(Choice, Changes), PlanError> {
    let (watch, memory) = (Watch::default(), Memory::new());
    let plan = watch.timed(Work::Standing, || plan_whole(project, &memory))?;
    let lined = as_planned(project);
    let room = settling::Room { file: project, lined: &lined, plan: &plan, memory: &memory, watch: &watch };
    Ok(telling::tell(&room, field::Field::new(&room)))
}

/// As [`choose()`], watched; none where it was stopped. A stage that has begun is ended first.
///
/// # Errors
/// As [`choose()`].
pub fn choose_watched(project: &Project, watch: &Watch) -> Result<Option<Choice>, PlanError> {
    let memory = Memory::new();
    let plan = watch.timed(Work::Standing, || plan_whole(project, &memory))?;
    if watch.stopped() {
        return Ok(None);
    }
    watch.begins(1);
    let lined = as_planned(project);
    let room = settling::Room { file: project, lined: &lined, plan: &plan, memory: &memory, watch };
    let field = field::Field::new(&room);
    if watch.stopped() {
        return Ok(None);
    }
    watch.begins(2);
    let (choice, _) = telling::tell(&room, field);
    Ok((!watch.stopped()).then_some(choice))
}

/// As it is planned: with the allowances that were proved, and every lined wall made of wall, cavity and boards.
fn as_planned(project: &Project) -> Project {
    lined::with_linings(&faults::with_allowances(project)).into_owned()
}

fn plan_whole(project: &Project, memory: &Memory) -> Result<Plan, PlanError> {
    // A ceiling that was set out before, as under another lining of a wall, is not set out again.
    let replanned = replan(project, memory, Unknown::SetOut(&AtomicBool::new(false)))?;
    Ok(replanned.plan)
}
