//! From levels on both sides to a level difference with its limits and its uncertainty.

use bands::{Band, Readings};
use serde::Serialize;

use crate::{
    BandLevels,
    iso_12999_1_2020::{Situation, standard_uncertainty_db},
    iso_16283_1_2014::{room_level, without_background},
};

/// Positions of a measurement as the standard wants it (ISO 16283-1:2014, 7.3: at least five; value from memory).
const USUAL_POSITIONS: f64 = 5.0;
/// How many positions what is usual weighs as much as (judgement).
const USUAL_KNOWN: f64 = 4.0;
/// How far levels of one room or place lie apart, dB, below and from 200 Hz on (judgement; below it single modes rule).
const APART_LOW_DB: f64 = 3.5;
const APART_HIGH_DB: f64 = 1.5;
const APART_FROM_HZ: f64 = 200.0;

/// Levels of one side: positions in the room or at the place, and, in a small room, its corners.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// Levels of single positions, dB.
    pub positions: Vec<BandLevels>,
    /// Levels in corners, dB.
    pub corners: Vec<BandLevels>,
    /// Volume of the room, m³; none outdoors.
    pub volume_m3: Option<f64>,
}

impl Side {
    fn level(&self) -> BandLevels {
        room_level(&self.positions, &self.corners, self.volume_m3)
    }

    /// Variance that fewer positions than usual, or positions that lie further apart than usual, add, dB².
    ///
    /// What is usual counts as [`USUAL_KNOWN`] positions seen before, so that two that happen to agree say little.
    fn added_variance(&self, band: Band) -> f64 {
        let count = self.positions.len().max(1) as f64;
        let apart = if band.nominal_hz() < APART_FROM_HZ { APART_LOW_DB } else { APART_HIGH_DB };
        let usual = apart * apart;
        let levels: Vec<f64> = self.positions.iter().filter_map(|one| one.get(band)).collect();
        let mean = levels.iter().sum::<f64>() / levels.len().max(1) as f64;
        let squares: f64 = levels.iter().map(|level| (level - mean) * (level - mean)).sum();
        let freedom = (levels.len() as f64 - 1.0).max(0.0);
        let variance = (USUAL_KNOWN * usual + squares) / (USUAL_KNOWN + freedom);
        (variance / count - usual / USUAL_POSITIONS).max(0.0)
    }
}

/// A measured level difference.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LevelDifference {
    /// Level on the side of the source, dB.
    pub source_db: BandLevels,
    /// Level on the other side, freed of the background, dB.
    pub received_db: BandLevels,
    /// The background there, dB.
    pub background_db: BandLevels,
    /// The difference `D = L1 − L2`, dB.
    pub difference_db: BandLevels,
    /// Standard uncertainty of the difference, dB.
    pub deviation_db: BandLevels,
    /// Bands in which the background hides more: the difference is at least what stands there.
    pub at_least: Vec<Band>,
    /// Whether no background was measured.
    pub background_unknown: bool,
}

impl LevelDifference {
    /// Differences in the bands that were measured, for a rating.
    pub fn readings(&self) -> Readings {
        self.difference_db.measured().collect()
    }
}

/// The level difference of two sides, the background of the receiving side taken off (ISO 16283-1:2014).
///
/// Its uncertainty is that of the same building measured by other people (ISO 12999-1, situation B), widened where there
/// are fewer positions than the standard wants.
pub fn level_difference(source: &Side, receiving: &Side, background: &[BandLevels]) -> LevelDifference {
    let (source_db, raw) = (source.level(), receiving.level());
    let background_db = crate::iso_16283_1_2014::energy_average(background);
    let mut at_least = Vec::new();
    let received_db = BandLevels::from_fn(|band| {
        let level = raw.get(band)?;
        let Some(behind) = background_db.get(band) else { return Some(level) };
        let corrected = without_background(level, behind);
        if corrected.limit {
            at_least.push(band);
        }
        Some(corrected.level_db)
    });
    let difference_db = source_db.zip_with(&received_db, |inside, outside| inside - outside);
    at_least.retain(|band| difference_db.get(*band).is_some());
    let deviation_db = BandLevels::from_fn(|band| {
        difference_db.get(band)?;
        let usual = standard_uncertainty_db(Situation::SameBuilding, band);
        Some((usual * usual + source.added_variance(band) + receiving.added_variance(band)).sqrt())
    });
    LevelDifference {
        source_db,
        received_db,
        background_db,
        difference_db,
        deviation_db,
        at_least,
        background_unknown: background.is_empty(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(level_db: f64) -> BandLevels {
        BandLevels::from_fn(|_| Some(level_db))
    }

    fn side(levels: &[f64]) -> Side {
        Side { positions: levels.iter().map(|level| flat(*level)).collect(), ..Side::default() }
    }

    #[test]
    fn the_background_is_taken_off_and_limits_are_marked() {
        let one = Band::from_nominal_hz(1000.0).unwrap();
        let found = level_difference(&side(&[100.0]), &side(&[48.0]), &[flat(40.0)]);
        assert!((found.difference_db.get(one).unwrap() - 52.749).abs() < 0.001);
        assert!(found.at_least.is_empty());
        let hidden = level_difference(&side(&[100.0]), &side(&[42.0]), &[flat(40.0)]);
        assert_eq!(hidden.at_least.len(), 27);
        assert!((hidden.difference_db.get(one).unwrap() - 59.3).abs() < 1e-9);
        assert!(level_difference(&side(&[100.0]), &side(&[48.0]), &[]).background_unknown);
    }

    #[test]
    fn fewer_positions_are_less_sure() {
        let band = Band::from_nominal_hz(100.0).unwrap();
        let deviation = |count: usize| {
            level_difference(&side(&vec![100.0; count]), &side(&vec![50.0; count]), &[])
                .deviation_db
                .get(band)
                .unwrap()
        };
        assert!(deviation(1) > deviation(2) && deviation(2) > deviation(5));
        assert!((deviation(5) - 2.8).abs() < 1e-12 && (deviation(9) - 2.8).abs() < 1e-12);
    }

    #[test]
    fn positions_far_apart_are_less_sure() {
        let band = Band::from_nominal_hz(1000.0).unwrap();
        let deviation = |levels: &[f64]| {
            level_difference(&side(levels), &side(&[50.0; 5]), &[]).deviation_db.get(band).unwrap()
        };
        let together = deviation(&[100.0, 100.2, 99.8, 100.1, 99.9]);
        let apart = deviation(&[92.0, 96.0, 100.0, 104.0, 108.0]);
        assert!(apart > together + 0.5, "{apart} {together}");
        // Sample variance 40, weighed with 4 usual ones of 2.25: 21.1 over 5 positions, less the usual 0.45.
        let expected = (21.125_f64 / 5.0 - 0.45 + together * together).sqrt();
        assert!((apart - expected).abs() < 1e-9, "{apart} {expected}");
    }
}
