//! Proof by measuring: recordings to third-octave levels, decay times and level differences, and a diagnosis against
//! a prediction. Knows audio files and nothing of rooms, polygons or materials.

mod band_levels;

pub use band_levels::{BandLevels, LEVEL_BAND_COUNT};
