//! What to build: candidates of every element, chosen exactly, planned whole.

pub mod adopt;
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

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

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

/// As [`choose`], watched; none where it was stopped. A stage that has begun is ended first.
///
/// # Errors
/// As [`choose`].
pub fn choose_watched(project: &Project, watch: &Watch) -> Result<Option<Choice>, PlanError> {
    let stopped = || watch.stop.load(Ordering::Relaxed);
    let plan = crate::plan(project)?;
    if stopped() {
        return Ok(None);
    }
    watch.stage.store(1, Ordering::Relaxed);
    let field = field::Field::new(project, &plan);
    if stopped() {
        return Ok(None);
    }
    watch.stage.store(2, Ordering::Relaxed);
    let choice = telling::tell(project, &plan, field);
    Ok((!stopped()).then_some(choice))
}
