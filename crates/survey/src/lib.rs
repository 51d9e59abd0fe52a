//! Tape and level readings adjusted to a room with its uncertainty.
//!
//! [`adjust`] takes what was read off tape, laser and straightedge ([`Input`]) and gives the room ([`Survey`]): corners
//! by weighted least squares, how sure each is, which reading is most likely wrong, joists and ceiling plane.
//! This crate knows nothing of boards, bars or sound.

mod adjust;
mod baarda_1968;
mod ceiling;
mod check;
mod chi_square;
mod error;
mod in_sight;
mod input;
mod network;
mod next_tape;
mod normal_equations;
mod result;
mod shape;
mod sight;
mod sights;
mod start_shape;
pub mod true_opening;
mod wrong_sign;

pub use adjust::{LEAST_CHANCE, adjust};
pub use baarda_1968::{CRITICAL_STANDARDISED_RESIDUAL, NON_CENTRALITY};
pub use ceiling::{Ceiling, Joist, Underside};
pub use check::{CORNERS, TAPE_MM};
pub use error::SurveyError;
pub use input::{Bow, FOOT_SD_MM, Height, Input, JoistReading, OnWall, Sense, Tape, Tie, TieReading};
pub use result::{
    Corner, Ellipse, FloorCheck, GlobalTest, NextTape, OppositeWalls, OtherShape, Reading, Survey, Suspect,
    Tied, Wall,
};
pub use sights::PLUMB_SD_MM;
pub use wrong_sign::{WrongSign, wrong_sign};
