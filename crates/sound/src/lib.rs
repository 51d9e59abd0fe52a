//! Airborne sound insulation of elements, their sum, and what is heard where.
//!
//! [`element`] holds what a build-up is made of (leaves, cavities, bridges, leaks), [`predict`](mod@crate::predict) what
//! it does. The modules named after a standard or a paper hold its formulas; the modules named after a thing of the trade
//! call them.

#![allow(
    clippy::inline_always,
    reason = "left to the compiler, parts of the innermost loop over the angles stay calls, and it takes a third longer"
)]

// One element
pub mod davy_2010;
pub mod element;
pub mod error;
pub mod family;
pub mod gomperts_1964;
pub mod iso_12354_1_2017;
pub mod miki_1990;
pub mod model_spread;
pub mod predict;
pub mod prepared;
pub mod sharp_1978;
pub mod spread;
pub mod wilson_soroka_1965;

mod advice;
mod bridge;
mod cavity;
mod check;
mod davy_2009;
mod diffuse;
mod lanes;
mod leaf;
mod leak;
mod limits;
mod measured;
mod model_spread_table;
mod quadrature;

// The room
pub mod absorption;
pub mod composite;
pub mod criterion;
pub mod draws;
pub mod en_12354_1_2000;
pub mod en_12354_3_2000;
pub mod en_12354_4_2000;
mod error_factors;
pub mod flanking;
pub mod inwards;
pub mod iso_9613_1_1993;
pub mod iso_9613_2_1996;
mod latin_hypercube;
pub mod outdoors;
mod patches;
pub mod paths;
pub mod place;
pub mod ranged;
pub mod room_error;
mod sampled;
mod screening;
pub mod share;

pub use element::Element;
pub use error::ElementError;
pub use predict::{Prediction, predict, predict_with};
pub use prepared::{AirModel, Prepared, Transmission};
pub use spread::Spread;
