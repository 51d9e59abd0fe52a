//! Third-octave and octave bands, spectra, level arithmetic, weightings, single-number ratings and
//! noise-rating curves. Knows nothing of materials or rooms.

mod band;
mod octave;
mod ratings;
mod spectrum;

pub mod astm_e413;
pub mod iec_61672_1;
pub mod iso_389_7;
pub mod iso_717_1_2020;
pub mod noise_rating;

pub use band::{BAND_COUNT, Band};
pub use noise_rating::NoiseRating;
pub use octave::{OCTAVE_COUNT, OctaveBand, OctaveReadings, Octaves};
pub use ratings::{RatingError, Ratings, rate, rate_octaves, rate_spectrum};
pub use spectrum::{Readings, Spectrum, energy_average_db, energy_sum_db};
