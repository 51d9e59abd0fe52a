//! Drawings, lists and documents from a plan.
//!
//! A sheet never computes: every number on it stands in the [`Plan`](plan::Plan). [`files`] gives everything there is
//! to write, each with its name; [`terminal::summary`] what is printed at once.

pub mod choosing;
pub mod dossier;
pub mod drawings;
pub mod lists;
pub mod recorded;
pub mod shown;
pub mod site;
pub mod terminal;

mod bundle;
mod ceiling_words;
mod list_lengths;
mod proof_lists;
pub mod proof_words;

pub use bundle::{SheetFile, files, files_with};
