//! The project file, its diagnostics, and the one function that plans it.
//!
//! [`read::read`] turns the text of a room file into a [`project::Project`] and a list of
//! [`diagnostic::Diagnostic`]s; no file is opened here.

pub mod diagnostic;
pub mod edit;
pub mod project;
pub mod read;
pub mod schema;
pub mod starter;

pub use diagnostic::{Diagnostic, Severity};
pub use project::Project;
pub use read::{read, read_element};
