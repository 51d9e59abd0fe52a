//! ISO 12999-1:2020, *Determination and application of measurement uncertainties in building acoustics, Part 1: Sound
//! insulation*.
//!
//! Standard uncertainties of measured third octaves (Table 2; situation A as Annex B lists it, situations B and C from memory)
//! and of single numbers by Annex B: `u = √(Σ (wi ui)²)` where bands err apart, the change of the rating when all bands move
//! together where they err as one.

use bands::{
    Band, Readings,
    iso_717_1_2020::{
        Precision, Range, SoundSpectrum, against_third_octaves, spectrum_third_octave_db, weigh_third_octaves,
    },
};
use quantities::math;
use serde::Serialize;

/// Where the same thing is measured again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Situation {
    /// A: a like element in another laboratory by other people.
    Laboratories,
    /// B: the same building by other people with other equipment.
    SameBuilding,
    /// C: the same building by the same people with the same equipment, soon after.
    SamePeople,
}

const FIRST_BAND_HZ: f64 = 50.0;
const LAST_BAND_HZ: f64 = 5000.0;
const LABORATORIES_DB: [f64; 21] =
    [6.8, 4.6, 3.8, 3.0, 2.7, 2.4, 2.1, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.9, 2.0, 2.4, 2.8];
const SAME_BUILDING_DB: [f64; 21] =
    [4.0, 3.6, 3.2, 2.8, 2.4, 2.0, 1.8, 1.6, 1.4, 1.2, 1.1, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.3, 1.6, 1.9, 2.2];
const SAME_PEOPLE_DB: [f64; 21] =
    [2.0, 1.8, 1.6, 1.4, 1.2, 1.0, 0.9, 0.8, 0.7, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6];

/// Standard uncertainty of a third octave, dB; outside 50 Hz to 5 kHz that of the nearest band (our reading).
pub fn standard_uncertainty_db(situation: Situation, band: Band) -> f64 {
    let table = match situation {
        Situation::Laboratories => &LABORATORIES_DB,
        Situation::SameBuilding => &SAME_BUILDING_DB,
        Situation::SamePeople => &SAME_PEOPLE_DB,
    };
    let place = Band::range(FIRST_BAND_HZ, LAST_BAND_HZ)
        .zip(table)
        .min_by_key(|(other, _)| other.index().abs_diff(band.index()));
    place.map_or(0.0, |(_, value)| *value)
}

/// Standard uncertainty of a weighted value (Rw, R′w, DnT,w), dB (Table 3; B and C from memory).
pub fn weighted_uncertainty_db(situation: Situation) -> f64 {
    match situation {
        Situation::Laboratories => 1.2,
        Situation::SameBuilding => 0.9,
        Situation::SamePeople => 0.4,
    }
}

/// Coverage factor of 95 % of a normal distribution, both sides.
pub const COVERAGE_95: f64 = 1.96;

/// A single number of a measured spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Rating {
    /// The weighted value alone, by the reference curve.
    Weighted,
    /// The weighted value plus a spectrum adaptation term: the A-weighted insulation against that sound.
    Against(SoundSpectrum, Range),
}

/// A single number with what its bands' uncertainties make of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RatedUncertainty {
    /// The number, dB, to 0.1 dB.
    pub value_db: f64,
    /// Standard uncertainty if the bands err apart, dB.
    pub uncorrelated_db: f64,
    /// Standard uncertainty if all bands err as one, dB.
    pub correlated_db: f64,
}

/// Rates a spectrum and carries the uncertainties of its bands over (Annex B); none where a band that the rating needs is
/// missing.
///
/// Apart: the weighted value moves by `1/n` for each of the n bands below the curve, the A-weighted one by
/// `wi = 10^((Li − Ri)/10)/Σ`. As one: half the difference between the rating of `R + u` and that of `R − u`.
pub fn rated(
    values: &Readings,
    uncertainty_db: impl Fn(Band) -> f64,
    rating: Rating,
) -> Option<RatedUncertainty> {
    let value_db = value(values, rating)?;
    let moved = |sign: f64| -> Readings {
        values.iter().map(|(band, value)| (band, value + sign * uncertainty_db(band))).collect()
    };
    let correlated_db = (value(&moved(1.0), rating)? - value(&moved(-1.0), rating)?) / 2.0;
    let weights: Vec<(Band, f64)> = match rating {
        Rating::Weighted => {
            let weighted = weigh_third_octaves(|band| values.get(band), Precision::Tenth).ok()?;
            let count = weighted.unfavourable_db.len().max(1) as f64;
            weighted.unfavourable_db.iter().map(|(band, _)| (*band, 1.0 / count)).collect()
        }
        Rating::Against(spectrum, range) => {
            let energies: Vec<(Band, f64)> = range
                .third_octaves()
                .filter_map(|band| {
                    let level = spectrum_third_octave_db(spectrum, range, band)?;
                    Some((band, math::energy_of_db(level - values.get(band)?)))
                })
                .collect();
            let sum: f64 = energies.iter().map(|(_, energy)| energy).sum();
            energies.into_iter().map(|(band, energy)| (band, energy / sum.max(f64::MIN_POSITIVE))).collect()
        }
    };
    let squares: f64 = weights
        .iter()
        .map(|(band, weight)| {
            let moved = weight * uncertainty_db(*band);
            moved * moved
        })
        .sum();
    Some(RatedUncertainty { value_db, uncorrelated_db: squares.sqrt(), correlated_db })
}

fn value(values: &Readings, rating: Rating) -> Option<f64> {
    match rating {
        Rating::Weighted => weigh_third_octaves(|band| values.get(band), Precision::Tenth)
            .ok()
            .map(|weighted| weighted.value_db),
        Rating::Against(spectrum, range) => against_third_octaves(|band| values.get(band), spectrum, range)
            .map(|against| (against.insulation_db * 10.0).round() / 10.0),
    }
}
