//! The project file, its diagnostics, and the one function that plans it.
//!
//! [`read::read`] turns the text of a room file into a [`project::Project`] and a list of
//! [`diagnostic::Diagnostic`]s; no file is opened here.

mod assemble;
pub mod choosing;
pub mod diagnostic;
pub mod edit;
pub mod heights;
pub mod memory;
pub mod order;
pub mod outcome;
mod plan_room;
pub mod project;
pub mod read;
pub mod reference;
pub mod replan;
pub mod schema;
pub mod starter;
pub mod steps;
pub mod take_in;
pub mod tried;
pub mod versions;

pub use choosing::{Choice, choose, choose_with_changes};
pub use diagnostic::{Diagnostic, OutOfRange, Severity};
pub use memory::Memory;
pub use outcome::Plan;
pub use plan_room::{ElementReport, PlanError, layout_stamp, plan, plan_element, survey_of};
pub use project::Project;
pub use read::{read, read_element};
pub use replan::{CeilingState, Replanned, Unknown, replan};
