//! What to build: candidates of every element, chosen exactly, planned whole.

mod boards;
mod ceiling;
mod field;
mod openings;
pub mod outcome;
mod prices;
mod proposal;
mod sounding;
mod strength;
mod telling;
mod walls;

use crate::{PlanError, project::Project};

pub use outcome::Choice;

/// Chooses what to build for a room: a pure function of the project, the same on any number of threads. It plans the room as it stands
/// and as chosen, and costs about a second; planning itself never calls it.
///
/// # Errors
/// Only where the tapes give no room.
pub fn choose(project: &Project) -> Result<Choice, PlanError> {
    let plan = crate::plan(project)?;
    let field = field::Field::new(project, &plan);
    Ok(telling::tell(project, &plan, field))
}
