//! Units in names and types, the constants of air, and the one `math` module.
//!
//! Everything inside the physics is SI. A bare `f64` that crosses a crate boundary carries its unit in its name
//! (`thickness_mm`, `mass_kg_m2`). This crate knows nothing of rooms, sound or boards.

pub mod air;
pub mod feet_inches;
pub mod format;
pub mod lengths;
pub mod math;
pub mod numerals;
pub mod reader;
