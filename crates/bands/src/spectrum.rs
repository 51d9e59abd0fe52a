//! Spectra over the third-octave bands.

use std::collections::BTreeMap;

use quantities::{format::round_to, math};
use serde::{Serialize, ser::SerializeMap};

use crate::{BAND_COUNT, Band, iec_61672_1};

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
    pub const fn from_values(values_db: [f64; BAND_COUNT]) -> Self {
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

    /// Level of all bands together, A-weighted by the table of IEC 61672-1, dB(A).
    ///
    /// ```
    /// use bands::{Band, Spectrum};
    /// let mut hum = Spectrum::flat(-100.0);
    /// hum.set(Band::from_nominal_hz(100.0).unwrap(), 60.0);
    /// assert!((hum.total_a_db() - 40.9).abs() < 0.001);
    /// ```
    pub fn total_a_db(&self) -> f64 {
        self.a_weighted().total_db()
    }

    /// Level of all bands together, C-weighted by the table of IEC 61672-1, dB(C).
    pub fn total_c_db(&self) -> f64 {
        self.map(|band, value| value + iec_61672_1::c_weighting_db(band)).total_db()
    }

    /// The spectrum with weighting A added in each band, dB(A).
    #[must_use]
    pub fn a_weighted(&self) -> Self {
        self.map(|band, value| value + iec_61672_1::a_weighting_db(band))
    }

    /// The same number of decibels added in every band.
    #[must_use]
    pub fn shifted(&self, by_db: f64) -> Self {
        self.map(|_, value| value + by_db)
    }

    /// Whether every value is a finite number.
    pub fn is_finite(&self) -> bool {
        self.0.iter().all(|value| value.is_finite())
    }

    /// Energy average of several spectra, such as levels at several places:
    /// `L = 10 lg [(1/n) Σ 10^(L_i/10)]` (ISO 16283-1:2014, 3.1); none of none.
    ///
    /// ```
    /// use bands::{Band, Spectrum};
    /// let average = Spectrum::energy_average(&[Spectrum::flat(60.0), Spectrum::flat(70.0)]).unwrap();
    /// assert!((average.values_db()[0] - 67.404).abs() < 0.001);
    /// ```
    pub fn energy_average(spectra: &[Self]) -> Option<Self> {
        (!spectra.is_empty()).then(|| {
            Self::from_fn(|band| {
                energy_average_db(spectra.iter().map(|spectrum| spectrum.get(band))).unwrap_or(0.0)
            })
        })
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

    /// Which bands of a range have no value, lowest first.
    ///
    /// ```
    /// use bands::{Band, Readings};
    /// let readings: Readings = Band::range(63.0, 3150.0).map(|band| (band, 30.0)).collect();
    /// let missing = readings.missing(50.0, 3150.0);
    /// assert_eq!(missing, Band::from_nominal_hz(50.0).into_iter().collect::<Vec<_>>());
    /// ```
    pub fn missing(&self, from_nominal_hz: f64, to_nominal_hz: f64) -> Vec<Band> {
        Band::range(from_nominal_hz, to_nominal_hz).filter(|band| !self.0.contains_key(band)).collect()
    }

    /// Energy average over several measurements, in the bands that all of them have.
    ///
    /// ```
    /// use bands::{Band, Readings};
    /// let corner: Readings = Band::range(50.0, 80.0).map(|band| (band, 56.0)).collect();
    /// let middle: Readings = Band::range(63.0, 80.0).map(|band| (band, 50.0)).collect();
    /// let average = Readings::energy_average(&[corner, middle]);
    /// assert_eq!(average.len(), 2);
    /// ```
    #[must_use]
    pub fn energy_average(measurements: &[Self]) -> Self {
        Band::all()
            .filter_map(|band| {
                let levels = measurements.iter().map(|one| one.get(band)).collect::<Option<Vec<f64>>>()?;
                energy_average_db(levels).map(|average| (band, average))
            })
            .collect()
    }

    /// A full spectrum: bands without a value take that of the nearest band that has one (the lower of two equally
    /// near); none where no band has a value. For showing and for computing on where the ends are marked as assumed.
    pub fn to_spectrum_filled(&self) -> Option<Spectrum> {
        let nearest = |band: Band| {
            self.iter().min_by_key(|(other, _)| other.index().abs_diff(band.index())).map(|(_, value)| value)
        };
        (!self.is_empty()).then(|| Spectrum::from_fn(|band| nearest(band).unwrap_or(0.0)))
    }

    /// The full spectrum, if every band has a value.
    pub fn to_spectrum(&self) -> Option<Spectrum> {
        (self.len() == BAND_COUNT).then(|| Spectrum::from_fn(|band| self.get(band).unwrap_or(0.0)))
    }

    /// Level of the bands that have a value together, A-weighted, dB(A); minus infinity where there is none.
    pub fn total_a_db(&self) -> f64 {
        let weighted = self.iter().map(|(band, value)| value + iec_61672_1::a_weighting_db(band));
        math::db_of_energy(weighted.map(math::energy_of_db).sum())
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

/// Energy average of levels, `L = 10 lg [(1/n) Σ 10^(L_i/10)]`; none of none.
pub fn energy_average_db(levels_db: impl IntoIterator<Item = f64>) -> Option<f64> {
    let (count, sum) = levels_db
        .into_iter()
        .fold((0_u32, 0.0), |(count, sum), level| (count + 1, sum + math::energy_of_db(level)));
    (count > 0).then(|| math::db_of_energy(sum / f64::from(count)))
}

/// Level of several sounds together, `L = 10 lg Σ 10^(L_i/10)`; minus infinity of none.
pub fn energy_sum_db(levels_db: impl IntoIterator<Item = f64>) -> f64 {
    math::db_of_energy(levels_db.into_iter().map(math::energy_of_db).sum())
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
