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
mod whole;
mod writing;

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

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
    let memory = Memory::new();
    let plan = plan_whole(project, &memory)?;
    let lined = as_planned(project);
    let field = field::Field::new(&lined, &plan, &memory);
    let room = settling::Room { file: project, lined: &lined, plan: &plan, memory: &memory };
    Ok(telling::tell(&room, field))
}

/// The parts of choosing, in their order.
pub const STAGES: [&str; 3] = [
    "planning the room as it stands",
    "predicting every way of building",
    "choosing, and planning the choice whole",
];

/// Looks on while something is chosen, and may stop it.
#[derive(Debug, Default)]
pub struct Watch {
    /// Set from outside: nothing further is begun.
    pub stop: AtomicBool,
    /// Which of [`STAGES`] is under way, from 0.
    pub stage: AtomicUsize,
}

/// As [`choose()`], watched; none where it was stopped. A stage that has begun is ended first.
///
/// # Errors
/// As [`choose()`].
pub fn choose_watched(project: &Project, watch: &Watch) -> Result<Option<Choice>, PlanError> {
    let stopped = || watch.stop.load(Ordering::Relaxed);
    let memory = Memory::new();
    let plan = plan_whole(project, &memory)?;
    if stopped() {
        return Ok(None);
    }
    watch.stage.store(1, Ordering::Relaxed);
    let lined = as_planned(project);
    let field = field::Field::new(&lined, &plan, &memory);
    if stopped() {
        return Ok(None);
    }
    watch.stage.store(2, Ordering::Relaxed);
    let room = settling::Room { file: project, lined: &lined, plan: &plan, memory: &memory };
    let (choice, _) = telling::tell(&room, field);
    Ok((!stopped()).then_some(choice))
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
