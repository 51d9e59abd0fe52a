//! Tape and level readings adjusted to a room with its uncertainty.
//!
//! [`adjust`] takes what was read off tape, laser and straightedge ([`Input`]) and gives the room ([`Survey`]): corners
//! by weighted least squares, how sure each is, which reading is most likely wrong, joists and ceiling plane.

mod ceiling;
mod error;
mod input;
mod result;

pub use ceiling::{Ceiling, Joist, Underside};
pub use error::SurveyError;
pub use input::{Bow, Height, Input, JoistReading, OnWall, Sense, Tape};
pub use result::{
    Corner, Ellipse, FloorCheck, GlobalTest, NextTape, OppositeWalls, OtherShape, Reading, Survey, Suspect,
    Wall,
};
