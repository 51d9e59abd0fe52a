//! Proof by measuring: recordings to third-octave levels, decay times and level differences, and a diagnosis against
//! a prediction. Knows audio files and nothing of rooms, polygons or materials.

mod analysis;
mod band_levels;
mod covariance;
mod level_step;
mod measured_levels;

// What was measured against what was predicted
pub mod diagnosis;
pub mod difference;
pub mod iso_12999_1_2020;
pub mod iso_16283_1_2014;
pub mod iso_16283_3_2016;

// What it sounds like
pub mod hear;
mod meter;
mod recording;
mod statistics;

pub mod calibration;
pub mod decay;
pub mod farina_2000;
pub mod faults;
pub mod filter_bank;
pub mod gazsi_1985;
pub mod iec_61260_1_2014;
pub mod iec_61672_1_2013;
pub mod iso_18233_2006;
pub mod iso_3382_2_2008;
pub mod lundeby_1995;
pub mod marker;
pub mod noise;
pub mod pcm_wav;
pub mod signals;
pub mod swept;

pub use analysis::{
    Analysis, AnalysisSettings, History, MOST_CHANNEL_HOURS, MOST_COLUMNS, MOST_HISTORY, Reference, STEP_S,
    Spectrogram, TotalLevels, analyse, analyse_recording, energy_mean,
};
pub use band_levels::{BandLevels, LEVEL_BAND_COUNT};
pub use calibration::Sensitivity;
pub use decay::{BandDecay, Decay, DecayFlag, DecayMethod};
pub use faults::Fault;
pub use measured_levels::MeasuredLevels;
pub use recording::{
    Block, Container, HIGHEST_RATE_HZ, LARGEST_SAMPLE, LOWEST_RATE_HZ, MOST_CHANNELS, Recording,
    RecordingError, RecordingFormat,
};
