//! Levels by third octaves as a recording or a meter gives them: any band may be missing.

use bands::{BAND_COUNT, Band, Spectrum};

/// How many third octaves a measurement may hold: 20 Hz and the bands from 25 Hz to 10 kHz.
pub const LEVEL_BAND_COUNT: usize = BAND_COUNT + 1;

/// Levels or level differences in dB in third octaves from 20 Hz to 10 kHz; a band that was not measured is `None`.
///
/// The band of 20 Hz lies below the bands that are predicted and is kept apart from them.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
#[serde(transparent)]
pub struct BandLevels([Option<f64>; LEVEL_BAND_COUNT]);

impl BandLevels {
    /// No band measured.
    pub const NONE: Self = Self([None; LEVEL_BAND_COUNT]);

    /// From a value in dB for each band from 25 Hz on; a value that is not finite counts as not measured.
    pub fn from_fn(mut level_db: impl FnMut(Band) -> Option<f64>) -> Self {
        let mut levels = Self::NONE;
        for band in Band::all() {
            levels.set(band, level_db(band));
        }
        levels
    }

    /// From a value in dB for each place, 0 for 20 Hz to 27 for 10 kHz; a value that is not finite counts as not measured.
    pub(crate) fn from_places(mut level_db: impl FnMut(usize) -> Option<f64>) -> Self {
        let mut levels = Self::NONE;
        for (place, slot) in levels.0.iter_mut().enumerate() {
            *slot = level_db(place).filter(|level| level.is_finite());
        }
        levels
    }

    /// Level in dB at a place, 0 for 20 Hz to 27 for 10 kHz.
    pub(crate) fn at_place(&self, place: usize) -> Option<f64> {
        self.0.get(place).copied().flatten()
    }

    /// Level of a band in dB.
    pub fn get(&self, band: Band) -> Option<f64> {
        self.0.get(band.index() + 1).copied().flatten()
    }

    /// Level in the band of 20 Hz in dB.
    pub fn at_20_hz(&self) -> Option<f64> {
        self.0[0]
    }

    /// Sets the level of a band in dB; a value that is not finite counts as not measured.
    pub fn set(&mut self, band: Band, level_db: Option<f64>) {
        if let Some(place) = self.0.get_mut(band.index() + 1) {
            *place = level_db.filter(|level| level.is_finite());
        }
    }

    /// Sets the level of the band of 20 Hz in dB.
    pub fn set_20_hz(&mut self, level_db: Option<f64>) {
        self.0[0] = level_db.filter(|level| level.is_finite());
    }

    /// Bands from 25 Hz on that were measured, with their levels in dB, from low to high.
    pub fn measured(&self) -> impl Iterator<Item = (Band, f64)> + '_ {
        Band::all().filter_map(|band| self.get(band).map(|level| (band, level)))
    }

    /// Band by band from two measurements; missing where either is.
    #[must_use]
    pub fn zip_with(&self, other: &Self, mut combine: impl FnMut(f64, f64) -> f64) -> Self {
        let mut places = self.0.iter().zip(&other.0);
        let mut levels = Self::NONE;
        for place in &mut levels.0 {
            if let Some((Some(here), Some(there))) = places.next() {
                *place = Some(combine(*here, *there)).filter(|level| level.is_finite());
            }
        }
        levels
    }
}

impl From<Spectrum> for BandLevels {
    fn from(spectrum: Spectrum) -> Self {
        Self::from_fn(|band| Some(spectrum.get(band)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_missing_on_one_side_is_missing_in_the_difference() {
        let inside = BandLevels::from_fn(|band| Some(90.0 + band.nominal_hz() / 1000.0));
        let outside = BandLevels::from_fn(|band| (band.nominal_hz() < 5000.0).then_some(40.0));
        let difference = inside.zip_with(&outside, |a, b| a - b);
        assert_eq!(difference.measured().count(), 23);
        assert_eq!(difference.get(Band::from_nominal_hz(1000.0).unwrap()), Some(51.0));
        assert_eq!(difference.at_20_hz(), None);
    }

    #[test]
    fn a_value_that_is_no_number_counts_as_not_measured() {
        let levels = BandLevels::from_fn(|_| Some(f64::NAN));
        assert_eq!(levels, BandLevels::NONE);
    }
}
