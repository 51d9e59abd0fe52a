//! ISO 16283-1:2014, *Field measurement of sound insulation in buildings and of building elements, Part 1: Airborne sound
//! insulation*.
//!
//! The formulas, band by band. The core range is 100 to 3150 Hz, optionally 50 to 5000 Hz.

use bands::{Band, energy_average_db};
use quantities::math;

use crate::BandLevels;

/// Reference decay time T0, s.
pub const REFERENCE_DECAY_S: f64 = 0.5;
/// Room volumes below this, rounded to the nearest cubic metre, want the low-frequency procedure, m³.
pub const SMALL_ROOM_M3: f64 = 25.0;
/// From this margin over the background no correction is made, dB (9.2; value from memory).
pub const NO_CORRECTION_FROM_DB: f64 = 10.0;
/// Up to this margin the correction is fixed and the result a limit, dB (9.2; value from memory).
pub const LIMIT_UP_TO_DB: f64 = 6.0;
/// The fixed correction, dB: what a margin of 6 dB gives (9.2; value from memory).
pub const FIXED_CORRECTION_DB: f64 = 1.3;

/// Level difference `D = L1 − L2`, dB.
pub fn level_difference_db(source_db: f64, receiving_db: f64) -> f64 {
    source_db - receiving_db
}

/// Standardised level difference `DnT = D + 10 lg(T/T0)`, T0 = 0.5 s, dB; the decay time in s, above zero.
pub fn standardised_db(difference_db: f64, decay_s: f64) -> f64 {
    difference_db + math::db_of_energy(decay_s / REFERENCE_DECAY_S)
}

/// Absorption area of the receiving room by Sabine, `A = 0.16 V/T`, m².
pub fn absorption_area_m2(volume_m3: f64, decay_s: f64) -> f64 {
    0.16 * volume_m3 / decay_s
}

/// Apparent sound reduction index `R′ = D + 10 lg(S/A)`, dB; S the area of the common element, m².
pub fn apparent_reduction_db(difference_db: f64, area_m2: f64, absorption_m2: f64) -> f64 {
    difference_db + math::db_of_energy(area_m2 / absorption_m2)
}

/// A level freed of the background.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corrected {
    /// The level of the sound alone, dB.
    pub level_db: f64,
    /// Whether the background hides so much that it can only be said: no more than this.
    pub limit: bool,
}

/// Frees a level of the background: by 10 dB and more as it is, between 6 and 10 dB
/// `L = 10 lg(10^(Lsb/10) − 10^(Lb/10))`, at 6 dB and less 1.3 dB taken off and the result a limit.
pub fn without_background(signal_and_background_db: f64, background_db: f64) -> Corrected {
    let margin = signal_and_background_db - background_db;
    if margin >= NO_CORRECTION_FROM_DB {
        Corrected { level_db: signal_and_background_db, limit: false }
    } else if margin > LIMIT_UP_TO_DB {
        let energy = math::energy_of_db(signal_and_background_db) - math::energy_of_db(background_db);
        Corrected { level_db: math::db_of_energy(energy), limit: false }
    } else {
        Corrected { level_db: signal_and_background_db - FIXED_CORRECTION_DB, limit: true }
    }
}

/// Energy average over positions, `L = 10 lg[(1/n) Σ 10^(Li/10)]`, in the bands that all of them have.
pub fn energy_average(positions: &[BandLevels]) -> BandLevels {
    let average = |level_of: &dyn Fn(&BandLevels) -> Option<f64>| {
        let levels = positions.iter().map(level_of).collect::<Option<Vec<f64>>>()?;
        energy_average_db(levels)
    };
    let mut levels = BandLevels::from_fn(|band| average(&|one| one.get(band)));
    levels.set_20_hz(average(&BandLevels::at_20_hz));
    levels
}

/// Whether a room wants the low-frequency procedure: its volume, rounded to the nearest cubic metre, lies under 25 m³.
pub fn wants_low_frequency_procedure(volume_m3: f64) -> bool {
    volume_m3.round() < SMALL_ROOM_M3
}

/// The bands of the low-frequency procedure: 50, 63 and 80 Hz.
pub fn low_frequency_bands() -> impl Iterator<Item = Band> + Clone {
    Band::range(50.0, 80.0)
}

/// Level of a small room at low frequency, `LLF = 10 lg[(10^(Lcorner/10) + 2·10^(L/10))/3]`, dB: the highest corner and
/// the average of the usual positions.
pub fn low_frequency_level_db(highest_corner_db: f64, average_db: f64) -> f64 {
    math::db_of_energy((math::energy_of_db(highest_corner_db) + 2.0 * math::energy_of_db(average_db)) / 3.0)
}

/// Highest level of the corners band by band, in the bands that all of them have.
pub fn highest_corner(corners: &[BandLevels]) -> BandLevels {
    BandLevels::from_fn(|band| {
        let levels = corners.iter().map(|one| one.get(band)).collect::<Option<Vec<f64>>>()?;
        levels.into_iter().reduce(f64::max)
    })
}

/// Average level of a room: over its positions, in a small room at 50 to 80 Hz with its corners.
pub fn room_level(positions: &[BandLevels], corners: &[BandLevels], volume_m3: Option<f64>) -> BandLevels {
    let mut level = energy_average(positions);
    if volume_m3.is_some_and(wants_low_frequency_procedure) && !corners.is_empty() {
        let highest = highest_corner(corners);
        for band in low_frequency_bands() {
            if let (Some(corner), Some(average)) = (highest.get(band), level.get(band)) {
                level.set(band, Some(low_frequency_level_db(corner, average)));
            }
        }
    }
    level
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At a margin of 6 dB the formula gives what the fixed correction takes off, 1.256 dB, printed 1.3.
    #[test]
    fn the_fixed_correction_is_that_of_six_decibels() {
        let close = without_background(46.001, 40.0);
        assert!(!close.limit && (46.001 - close.level_db - FIXED_CORRECTION_DB).abs() < 0.05);
        assert!(without_background(46.0, 40.0).limit);
        assert_eq!(without_background(50.0, 40.0), Corrected { level_db: 50.0, limit: false });
        let seven = without_background(47.0, 40.0);
        assert!((math::energy_of_db(seven.level_db) + 1e4 - math::energy_of_db(47.0)).abs() < 1e-6);
    }

    #[test]
    fn positions_average_by_energy_where_all_have_the_band() {
        let low = BandLevels::from_fn(|_| Some(60.0));
        let high = BandLevels::from_fn(|band| (band.nominal_hz() > 100.0).then_some(70.0));
        let average = energy_average(&[low, high]);
        let at = |hz| Band::from_nominal_hz(hz).and_then(|band| average.get(band));
        assert_eq!(at(50.0), None);
        assert!((at(1000.0).unwrap() - 67.403_626).abs() < 1e-5);
        assert_eq!(energy_average(&[]), BandLevels::NONE);
    }
}
