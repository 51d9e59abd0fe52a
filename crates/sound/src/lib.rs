//! Airborne sound insulation of elements, their sum, and what is heard where.
//!
//! [`element`] holds what a build-up is made of (leaves, cavities, bridges, leaks), [`predict`](crate::predict) what
//! it does. The modules named after a standard or a paper hold its formulas; the modules named after a thing of the trade
//! call them.

// One element
pub mod element;
pub mod error;
pub mod predict;

// The room
pub mod composite;
pub mod criterion;
pub mod inwards;
pub mod iso_12354_3_2017;
pub mod iso_12354_4_2017;
pub mod iso_9613_1_1993;
pub mod iso_9613_2_1996;
pub mod outdoors;

pub use element::Element;
pub use error::ElementError;
pub use predict::{Prediction, predict};
