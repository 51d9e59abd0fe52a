//! The nine octave bands from 31.5 Hz to 8 kHz and values over them.

use std::collections::BTreeMap;

use quantities::{format::round_to, math};
use serde::{Serialize, ser::SerializeMap};

use crate::{Band, Readings, Spectrum, energy_sum_db};

/// How many octave bands an [`Octaves`] holds: 31.5 Hz to 8 kHz.
pub const OCTAVE_COUNT: usize = 9;

const NOMINAL: [&str; OCTAVE_COUNT] = ["31.5", "63", "125", "250", "500", "1000", "2000", "4000", "8000"];
const NOMINAL_HZ: [f64; OCTAVE_COUNT] = [31.5, 63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0];

/// One octave band, 31.5 Hz to 8 kHz, made of three neighbouring third-octave bands (IEC 61260-1:2014).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OctaveBand(u8);

impl OctaveBand {
    /// The octave at 31.5 Hz.
    pub const LOWEST: Self = Self(0);

    /// All octave bands, lowest first.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> + ExactSizeIterator + Clone {
        (0..OCTAVE_COUNT as u8).map(Self)
    }

    /// Octave bands from one nominal frequency to another, both included; empty where either is no octave.
    pub fn range(from_nominal_hz: f64, to_nominal_hz: f64) -> impl Iterator<Item = Self> + Clone {
        let ends = Self::from_nominal_hz(from_nominal_hz).zip(Self::from_nominal_hz(to_nominal_hz));
        let (from, end) = ends.map_or((0, 0), |(a, b)| (a.0, b.0 + 1));
        (from..end).map(Self)
    }

    /// The octave at a place, 0 for 31.5 Hz to 8 for 8 kHz.
    pub fn at(index: usize) -> Option<Self> {
        (index < OCTAVE_COUNT).then_some(Self(index as u8))
    }

    /// The octave of a nominal frequency, or of any frequency within half a per cent of a nominal or exact one.
    pub fn from_nominal_hz(frequency_hz: f64) -> Option<Self> {
        Self::all().find(|octave| {
            let near = |reference: f64| (frequency_hz / reference - 1.0).abs() < 0.005;
            near(octave.nominal_hz()) || near(octave.centre_hz())
        })
    }

    /// The octave a third-octave band belongs to.
    ///
    /// ```
    /// use bands::{Band, OctaveBand};
    /// let band = Band::from_nominal_hz(160.0).unwrap();
    /// assert_eq!(OctaveBand::of(band).nominal(), "125");
    /// ```
    pub fn of(band: Band) -> Self {
        Self((band.index() / 3) as u8)
    }

    /// Its three third-octave bands, lowest first.
    pub fn thirds(self) -> impl Iterator<Item = Band> + Clone {
        let first = self.index() * 3;
        (first..first + 3).filter_map(Band::at)
    }

    /// Place among the octaves, 0 for 31.5 Hz to 8 for 8 kHz.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }

    /// Nominal frequency as a label, such as `31.5` or `1000`.
    pub fn nominal(self) -> &'static str {
        NOMINAL[self.index()]
    }

    /// Nominal frequency in hertz, for display and for standards that compute with it.
    pub fn nominal_hz(self) -> f64 {
        NOMINAL_HZ[self.index()]
    }

    /// Exact mid-band frequency in hertz, `1000 · 10^(3n/10)` (IEC 61260-1:2014, 5.4).
    pub fn centre_hz(self) -> f64 {
        1000.0 * math::powf(10.0, 0.3 * (f64::from(self.0) - 5.0))
    }
}

impl Serialize for OctaveBand {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.nominal())
    }
}

/// A value in decibels for every octave band from 31.5 Hz to 8 kHz.
///
/// Written out as an object from nominal octave to dB, rounded to 0.01.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Octaves([f64; OCTAVE_COUNT]);

impl Octaves {
    /// A value computed for each octave.
    pub fn from_fn(mut value_db: impl FnMut(OctaveBand) -> f64) -> Self {
        let mut values = [0.0; OCTAVE_COUNT];
        for (slot, octave) in values.iter_mut().zip(OctaveBand::all()) {
            *slot = value_db(octave);
        }
        Self(values)
    }

    /// Values in order, 31.5 Hz first.
    pub const fn from_values(values_db: [f64; OCTAVE_COUNT]) -> Self {
        Self(values_db)
    }

    /// Octave levels of a third-octave level spectrum: the energies of three thirds add,
    /// `L_oct = 10 lg Σ 10^(L_i/10)`.
    ///
    /// ```
    /// use bands::{Octaves, Spectrum};
    /// let octaves = Octaves::of_levels(&Spectrum::flat(60.0));
    /// assert!((octaves.values_db()[0] - 64.771).abs() < 0.001);
    /// ```
    pub fn of_levels(thirds: &Spectrum) -> Self {
        Self::from_fn(|octave| {
            math::db_of_energy(octave.thirds().map(|band| math::energy_of_db(thirds.get(band))).sum())
        })
    }

    /// Octave sound reduction of a third-octave one: the transmitted shares average,
    /// `R_oct = −10 lg [Σ 10^(−R_i/10) / 3]` (ISO 10140-2, octave results from third octaves).
    ///
    /// ```
    /// use bands::{Octaves, Spectrum};
    /// let octaves = Octaves::of_reductions(&Spectrum::flat(40.0));
    /// assert!((octaves.values_db()[0] - 40.0).abs() < 1e-9);
    /// ```
    pub fn of_reductions(thirds: &Spectrum) -> Self {
        Self::from_fn(|octave| {
            let sum: f64 = octave.thirds().map(|band| math::energy_of_db(-thirds.get(band))).sum();
            -math::db_of_energy(sum / 3.0)
        })
    }

    /// Values in order, 31.5 Hz first.
    pub fn values_db(&self) -> &[f64; OCTAVE_COUNT] {
        &self.0
    }

    /// The value in an octave, dB.
    pub fn get(&self, octave: OctaveBand) -> f64 {
        self.0[octave.index()]
    }

    /// Replaces the value in an octave.
    pub fn set(&mut self, octave: OctaveBand, value_db: f64) {
        self.0[octave.index()] = value_db;
    }

    /// Octaves with their values, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = (OctaveBand, f64)> + '_ {
        OctaveBand::all().map(|octave| (octave, self.get(octave)))
    }

    /// A new value for each octave from the old one.
    #[must_use]
    pub fn map(&self, mut value_db: impl FnMut(OctaveBand, f64) -> f64) -> Self {
        Self::from_fn(|octave| value_db(octave, self.get(octave)))
    }

    /// Level of all octaves together, dB.
    pub fn total_db(&self) -> f64 {
        math::db_of_energy(self.0.iter().map(|&value| math::energy_of_db(value)).sum())
    }

    /// The same values as readings of every octave.
    pub fn to_readings(&self) -> OctaveReadings {
        self.iter().collect()
    }

    /// Third-octave levels that give these octave levels, each third carrying a third of the energy.
    pub fn to_thirds_of_levels(&self) -> Spectrum {
        let share_db = math::db_of_energy(3.0);
        Spectrum::from_fn(|band| self.get(OctaveBand::of(band)) - share_db)
    }
}

impl Serialize for Octaves {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.to_readings().serialize(serializer)
    }
}

/// Values in decibels for some of the octave bands: a measured or typed octave spectrum.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OctaveReadings(BTreeMap<OctaveBand, f64>);

impl OctaveReadings {
    /// Octave sound reduction of the octaves whose three thirds all have a value, as [`Octaves::of_reductions`].
    ///
    /// ```
    /// use bands::{Band, OctaveReadings, Readings};
    /// let thirds: Readings = Band::range(100.0, 3150.0).map(|band| (band, 40.0)).collect();
    /// assert_eq!(OctaveReadings::of_reductions(&thirds).len(), 5);
    /// ```
    pub fn of_reductions(thirds: &Readings) -> Self {
        Self::of_whole_octaves(thirds, |values| {
            let sum: f64 = values.iter().map(|&value| math::energy_of_db(-value)).sum();
            -math::db_of_energy(sum / 3.0)
        })
    }

    /// Octave levels of the octaves whose three thirds all have a value, as [`Octaves::of_levels`].
    pub fn of_levels(thirds: &Readings) -> Self {
        Self::of_whole_octaves(thirds, |values| energy_sum_db(values.iter().copied()))
    }

    fn of_whole_octaves(thirds: &Readings, together: impl Fn(&[f64]) -> f64) -> Self {
        OctaveBand::all()
            .filter_map(|octave| {
                let values = octave.thirds().map(|band| thirds.get(band)).collect::<Option<Vec<f64>>>()?;
                Some((octave, together(&values)))
            })
            .collect()
    }

    /// The value in an octave, if there is one.
    pub fn get(&self, octave: OctaveBand) -> Option<f64> {
        self.0.get(&octave).copied()
    }

    /// Sets the value of an octave and returns the one it had.
    pub fn insert(&mut self, octave: OctaveBand, value_db: f64) -> Option<f64> {
        self.0.insert(octave, value_db)
    }

    /// Octaves with their values, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = (OctaveBand, f64)> + '_ {
        self.0.iter().map(|(&octave, &value)| (octave, value))
    }

    /// How many octaves have a value.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether no octave has a value.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromIterator<(OctaveBand, f64)> for OctaveReadings {
    fn from_iter<I: IntoIterator<Item = (OctaveBand, f64)>>(items: I) -> Self {
        Self(items.into_iter().collect())
    }
}

impl Serialize for OctaveReadings {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.len()))?;
        for (octave, value) in self.iter() {
            map.serialize_entry(octave.nominal(), &round_to(value, 2))?;
        }
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_third_belongs_to_the_octave_that_lists_it() {
        for octave in OctaveBand::all() {
            assert_eq!(octave.thirds().count(), 3);
            assert!(octave.thirds().all(|band| OctaveBand::of(band) == octave));
            let middle = octave.thirds().nth(1).unwrap();
            assert_eq!(middle.nominal(), octave.nominal());
            assert!((middle.centre_hz() / octave.centre_hz() - 1.0).abs() < 1e-12);
            assert_eq!(OctaveBand::from_nominal_hz(octave.nominal_hz()), Some(octave));
        }
        assert_eq!(OctaveBand::range(125.0, 4000.0).count(), 6);
    }

    #[test]
    fn octave_levels_keep_the_total() {
        let thirds = Spectrum::from_fn(|band| 40.0 + band.index() as f64);
        let octaves = Octaves::of_levels(&thirds);
        assert!((octaves.total_db() - thirds.total_db()).abs() < 1e-9);
        assert!((octaves.to_thirds_of_levels().total_db() - thirds.total_db()).abs() < 1e-9);
    }

    #[test]
    fn the_weakest_third_rules_an_octave_of_reductions() {
        let mut thirds = Spectrum::flat(60.0);
        let weak = Band::from_nominal_hz(1000.0).unwrap();
        thirds.set(weak, 30.0);
        let octave = Octaves::of_reductions(&thirds).get(OctaveBand::of(weak));
        assert!((octave - (30.0 + 4.7625)).abs() < 0.001, "{octave}");
    }
}
