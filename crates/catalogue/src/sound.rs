//! Sounds: sources in the room, sounds from outside, background.

use bands::Spectrum;
use serde::Serialize;

use crate::{
    Basis,
    entry::entries,
    outdoor_table::{BACKGROUNDS, OUTDOOR_SOUNDS},
    source_table::SOURCES,
};

/// A source of sound in the room.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Source {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// What the spectrum is a level of.
    pub quantity: SourceQuantity,
    /// Total, dB(A), averaged over playing.
    pub level_db_a: f64,
    /// Third-octave levels, dB, that add up to the total.
    pub spectrum: Spectrum,
    /// Standard spread of the total from one player, instrument or room to another, dB.
    pub level_spread_db: f64,
    /// C-weighted peak over the average total, dB: 20 and more for percussion.
    pub peak_over_average_db: f64,
    /// Loudest A-weighted moment (fast) over the average total, dB.
    pub maximum_over_average_db: f64,
    /// Whether it also shakes the floor it stands on, which an airborne prediction leaves out.
    pub shakes_the_floor: bool,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// What the spectrum of a source is a level of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceQuantity {
    /// Sound power level re 1 pW.
    SoundPower,
    /// Sound pressure level in a small furnished room (15 to 50 m³), away from the source.
    LevelInRoom,
    /// Sound pressure level at 1 m in front, without a room.
    LevelAtOneMetre,
}

/// A sound from outside, at the building.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OutdoorSound {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Typical total at the building without its reflection, dB(A), averaged; give the site's own where known.
    pub level_db_a: f64,
    /// Third-octave levels, dB, that add up to the total.
    pub spectrum: Spectrum,
    /// Standard spread of the total from site to site, dB.
    pub level_spread_db: f64,
    /// Loudest moment over the average, dB.
    pub maximum_over_average_db: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// Background sound outdoors: what is there nine tenths of the time (L90).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Background {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Total, dB(A), L90; give the site's own where known.
    pub level_db_a: f64,
    /// Third-octave levels, dB, that add up to the total.
    pub spectrum: Spectrum,
    /// Standard spread of the total from site to site, dB.
    pub level_spread_db: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

impl Source {
    /// The spectrum at another total, dB(A).
    pub fn spectrum_at(&self, level_db_a: f64) -> Spectrum {
        self.spectrum.shifted(level_db_a - self.level_db_a)
    }
}

impl OutdoorSound {
    /// The spectrum at another total, dB(A).
    pub fn spectrum_at(&self, level_db_a: f64) -> Spectrum {
        self.spectrum.shifted(level_db_a - self.level_db_a)
    }
}

impl Background {
    /// The spectrum at another total, dB(A).
    pub fn spectrum_at(&self, level_db_a: f64) -> Spectrum {
        self.spectrum.shifted(level_db_a - self.level_db_a)
    }
}

entries!(SOURCES: Source);
entries!(OUTDOOR_SOUNDS: OutdoorSound);
entries!(BACKGROUNDS: Background);
