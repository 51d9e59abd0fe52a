//! Third-octave and octave bands, spectra, level arithmetic, weightings, single-number ratings and
//! noise-rating curves. Knows nothing of materials or rooms.

mod band;
mod spectrum;

pub use band::{BAND_COUNT, Band};
pub use spectrum::{Readings, Spectrum};
