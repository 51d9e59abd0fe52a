//! Field measurements of sound insulation and their uncertainty against printed results.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

use bands::{
    Band, Readings,
    iso_717_1_2020::{Range, SoundSpectrum},
};
use proof::{
    BandLevels,
    iso_12999_1_2020::{
        COVERAGE_95, Rating, Situation, rated, standard_uncertainty_db, weighted_uncertainty_db,
    },
    iso_16283_1_2014::{
        absorption_area_m2, apparent_reduction_db, highest_corner, low_frequency_level_db, room_level,
        standardised_db, wants_low_frequency_procedure, without_background,
    },
    iso_16283_3_2016::{apparent_reduction_45_db, apparent_reduction_traffic_db},
};

fn band(hz: f64) -> Band {
    Band::from_nominal_hz(hz).unwrap()
}

fn low(levels: [f64; 3]) -> BandLevels {
    let mut bands = BandLevels::NONE;
    for (hz, level) in [50.0, 63.0, 80.0].into_iter().zip(levels) {
        bands.set(band(hz), Some(level));
    }
    bands
}

#[track_caller]
fn printed(value: f64, printed: f64) {
    assert!((value - printed).abs() <= 0.05 + 1e-9, "{value}, printed {printed}");
}

/// ISO 16283-1:2014, low-frequency procedure: a worked sheet of four corners (levels quoted, results computed from the formula, which is
/// from memory).
#[test]
fn iso_16283_1_2014_low_frequency_sheet() {
    let corners =
        [low([56.0, 58.0, 54.0]), low([55.0, 60.0, 53.0]), low([54.0, 57.0, 56.0]), low([53.0, 56.0, 55.0])];
    let highest = highest_corner(&corners);
    for ((hz, corner), (default, result)) in
        [(50.0, 56.0), (63.0, 60.0), (80.0, 56.0)].into_iter().zip([(50.0, 53.0), (52.0, 56.4), (49.0, 52.7)])
    {
        assert_eq!(highest.get(band(hz)), Some(corner));
        printed(low_frequency_level_db(corner, default), result);
    }
    let average = [low([50.0, 52.0, 49.0])];
    printed(room_level(&average, &corners, Some(20.0)).get(band(63.0)).unwrap(), 56.4);
    printed(room_level(&average, &corners, Some(25.0)).get(band(63.0)).unwrap(), 52.0);
    printed(standardised_db(0.0, 0.72), 1.6);
}

/// ISO 16283-1:2014: the volume that triggers the low-frequency procedure, rounded to the nearest cubic metre.
#[test]
fn iso_16283_1_2014_small_rooms() {
    assert!(wants_low_frequency_procedure(24.49));
    assert!(!wants_low_frequency_procedure(24.5));
}

/// ISO 16283-1:2014: background (margins 10 and 6 dB and 1.3 dB from memory), R' with A = 0.16 V/T.
#[test]
fn iso_16283_1_2014_background_and_area() {
    assert!(!without_background(50.0, 40.0).limit);
    let limited = without_background(44.0, 40.0);
    assert!(limited.limit);
    printed(limited.level_db, 42.7);
    printed(without_background(48.0, 40.0).level_db, 47.3);
    printed(absorption_area_m2(62.5, 1.0), 10.0);
    printed(apparent_reduction_db(40.0, 20.0, 10.0), 43.0);
}

/// ISO 16283-3:2016: 60 dB outside, 20 dB inside, S = A = 10 m² (V = 62.5 m³, T = 1.0 s) give R'45 = 38.5 dB and R'tr,s = 37 dB.
#[test]
fn iso_16283_3_2016_worked_example() {
    let absorption = absorption_area_m2(62.5, 1.0);
    printed(apparent_reduction_45_db(60.0, 20.0, 10.0, absorption), 38.5);
    printed(apparent_reduction_traffic_db(60.0, 20.0, 10.0, absorption), 37.0);
}

/// ISO 12999-1:2020 Annex B, Table B.1: ratings 57.4, 56.4, 51.1 and standard uncertainties 1.9, 2.1, 2.6 dB of fully
/// correlated bands; U = 2.35 dB of Rw.
#[test]
fn iso_12999_1_2020_annex_b() {
    let text = include_str!("reference/iso12999_1_annexB_example.csv");
    let values: Readings = text
        .lines()
        .filter_map(|line| {
            let (hz, value) = line.split_once(',')?;
            Some((Band::from_nominal_hz(hz.parse().ok()?)?, value.trim().parse().ok()?))
        })
        .collect();
    assert_eq!(values.len(), 21);
    let u = |band| standard_uncertainty_db(Situation::Laboratories, band);
    for (rating, value, correlated) in [
        (Rating::Weighted, 57.4, 1.9),
        (Rating::Against(SoundSpectrum::One, Range::From50To5000), 56.4, 2.1),
        (Rating::Against(SoundSpectrum::Two, Range::From50To5000), 51.1, 2.6),
    ] {
        let rated = rated(&values, u, rating).unwrap();
        assert!((rated.value_db - value).abs() < 1e-9, "{rated:?}");
        printed(rated.correlated_db, correlated);
        assert!(rated.uncorrelated_db < rated.correlated_db && rated.uncorrelated_db > 0.2, "{rated:?}");
    }
    assert!((weighted_uncertainty_db(Situation::Laboratories) * COVERAGE_95 - 2.35).abs() < 0.005);
}
