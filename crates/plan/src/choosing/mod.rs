//! What to build: candidates of every element, chosen exactly, planned whole.

mod boards;
mod ceiling;
mod field;
mod limits;
mod offers;
mod openings;
pub mod outcome;
mod prices;
mod proposal;
mod settling;
mod sounding;
mod strength;
mod telling;
#[cfg(test)]
mod tests;
mod walls;
mod writing;

use std::sync::atomic::AtomicBool;

use crate::{
    PlanError,
    assemble::{faults, lined},
    memory::Memory,
    outcome::Plan,
    plan_room::{plan_with, set_out},
    project::Project,
};

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
    // As it is planned: with the allowances that were proved, and every lined wall made of wall, cavity and boards.
    let allowed = faults::with_allowances(project);
    let lined = lined::with_linings(&allowed);
    let field = field::Field::new(&lined, &plan, &memory);
    let room = settling::Room { file: project, lined: &lined, plan: &plan, memory: &memory };
    Ok(telling::tell(&room, field))
}

fn plan_whole(project: &Project, memory: &Memory) -> Result<Plan, PlanError> {
    plan_with(project, memory, |project, survey| set_out(project, survey, &AtomicBool::new(false)))
}
