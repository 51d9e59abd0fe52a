//! One- and two-dimensional stock cutting with bounds.
//!
//! Bars and trims are cut from lengths ([`bars`]), boards from sheets by straight cuts from edge to edge
//! ([`sheets`]). Every answer says what it costs, the least any answer could cost, and whether the two meet; a
//! `verify` beside each recomputes the answer from the order alone.

pub mod bars;
mod cover;
mod error;
mod hundredths;
pub mod sheets;

pub use error::CuttingError;
