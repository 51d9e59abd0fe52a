//! Spectra over the third-octave bands.

use std::collections::BTreeMap;

use quantities::{format::round_to, math};
use serde::{Serialize, ser::SerializeMap};

use crate::{BAND_COUNT, Band};

/// A value in decibels for every band from 25 Hz to 10 kHz.
///
/// Levels have no `+`: [`Spectrum::energy_sum`] adds energies. Written out as an object from nominal band to
/// dB, rounded to 0.01.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spectrum([f64; BAND_COUNT]);

impl Spectrum {
    /// The same value in every band.
    pub fn flat(value_db: f64) -> Self {
        Self([value_db; BAND_COUNT])
    }

    /// A value computed for each band.
    pub fn from_fn(value_db: impl FnMut(Band) -> f64) -> Self {
        let mut values = [0.0; BAND_COUNT];
        for (slot, value) in values.iter_mut().zip(Band::all().map(value_db)) {
            *slot = value;
        }
        Self(values)
    }

    /// Values in band order, 25 Hz first.
    pub fn from_values(values_db: [f64; BAND_COUNT]) -> Self {
        Self(values_db)
    }

    /// Values in band order, 25 Hz first.
    pub fn values_db(&self) -> &[f64; BAND_COUNT] {
        &self.0
    }

    /// The value in a band, dB.
    pub fn get(&self, band: Band) -> f64 {
        self.0[band.index()]
    }

    /// Replaces the value in a band.
    pub fn set(&mut self, band: Band, value_db: f64) {
        self.0[band.index()] = value_db;
    }

    /// Bands with their values, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = (Band, f64)> + '_ {
        Band::all().map(|band| (band, self.get(band)))
    }

    /// A new value for each band from the old one.
    #[must_use]
    pub fn map(&self, mut value_db: impl FnMut(Band, f64) -> f64) -> Self {
        Self::from_fn(|band| value_db(band, self.get(band)))
    }

    /// Band by band difference `self − other`, dB.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.map(|band, value| value - other.get(band))
    }

    /// Band by band arithmetic sum `self + other`, dB: for corrections, never for two levels.
    #[must_use]
    pub fn plus_correction(&self, other: &Self) -> Self {
        self.map(|band, value| value + other.get(band))
    }

    /// Level of the two sounds together, band by band.
    #[must_use]
    pub fn energy_sum(&self, other: &Self) -> Self {
        self.map(|band, value| {
            math::db_of_energy(math::energy_of_db(value) + math::energy_of_db(other.get(band)))
        })
    }

    /// Level of all bands together, dB.
    pub fn total_db(&self) -> f64 {
        math::db_of_energy(self.0.iter().map(|&value| math::energy_of_db(value)).sum())
    }

    /// The same values as readings of every band.
    pub fn to_readings(&self) -> Readings {
        self.iter().collect()
    }
}

impl Serialize for Spectrum {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.to_readings().serialize(serializer)
    }
}

/// Values in decibels for some of the bands: a measured or typed spectrum.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings(BTreeMap<Band, f64>);

impl Readings {
    /// The value in a band, if there is one.
    pub fn get(&self, band: Band) -> Option<f64> {
        self.0.get(&band).copied()
    }

    /// Sets the value of a band and returns the one it had.
    pub fn insert(&mut self, band: Band, value_db: f64) -> Option<f64> {
        self.0.insert(band, value_db)
    }

    /// Bands with their values, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = (Band, f64)> + '_ {
        self.0.iter().map(|(&band, &value)| (band, value))
    }

    /// How many bands have a value.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether no band has a value.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromIterator<(Band, f64)> for Readings {
    fn from_iter<I: IntoIterator<Item = (Band, f64)>>(items: I) -> Self {
        Self(items.into_iter().collect())
    }
}

impl Serialize for Readings {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.len()))?;
        for (band, value) in self.iter() {
            map.serialize_entry(band.nominal(), &round_to(value, 2))?;
        }
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_equal_sounds_are_three_decibels_louder() {
        let one = Spectrum::flat(60.0);
        let two = one.energy_sum(&one);
        assert!((two.get(Band::at(5).unwrap()) - 63.0103).abs() < 1e-4);
        assert!((one.total_db() - (60.0 + 10.0 * math::log10(27.0))).abs() < 1e-9);
    }
}
