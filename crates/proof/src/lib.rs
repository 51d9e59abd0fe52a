//! Proof by measuring: recordings to third-octave levels, decay times and level differences, and a diagnosis against
//! a prediction. Knows audio files and nothing of rooms, polygons or materials.

mod band_levels;
mod covariance;
mod measured_levels;

// What was measured against what was predicted
pub mod diagnosis;
pub mod difference;
pub mod iso_12999_1_2020;
pub mod iso_16283_1_2014;
pub mod iso_16283_3_2016;

// What it sounds like
pub mod hear;

pub use band_levels::{BandLevels, LEVEL_BAND_COUNT};
pub use measured_levels::MeasuredLevels;
