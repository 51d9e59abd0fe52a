//! Composites, façades and flanking held against printed examples.

#![allow(clippy::unwrap_used, reason = "a test that cannot set up its case must fail")]

use bands::{Band, OctaveBand, OctaveReadings, Spectrum, rate_octaves};
use sound::{
    composite::{Part, composite_reduction, total_area_m2},
    en_12354_1_2000::{apparent_reduction_db, standardised_difference_db},
    en_12354_3_2000,
    ranged::RangedSpectrum,
};

/// Octave values, 125 Hz first, on the third-octave bands of the same name; other bands 60 dB.
fn octaves(values_db: &[f64]) -> RangedSpectrum {
    let mut spectrum = Spectrum::flat(60.0);
    for (octave, value) in OctaveBand::range(125.0, 4000.0).zip(values_db) {
        spectrum.set(Band::from_nominal_hz(octave.nominal_hz()).unwrap(), *value);
    }
    RangedSpectrum::exact("example", spectrum).unwrap()
}

fn flat(r_db: f64, area_m2: f64, name: &str) -> Part {
    Part::with_area(name, name, RangedSpectrum::exact(name, Spectrum::flat(r_db)).unwrap(), area_m2).unwrap()
}

fn any_band(parts: &[Part], area_m2: f64) -> f64 {
    composite_reduction("wall", parts, area_m2).unwrap().get(Band::from_nominal_hz(500.0).unwrap())
}

/// Arenas & Crocker (Wiley 2020), chapter 12, examples 12.13 and 12.16.
#[test]
fn arenas_and_crocker_composites() {
    let wall = [flat(59.0, 9.5, "brick"), flat(35.0, 1.08, "glass")];
    assert!((any_band(&wall, total_area_m2(&wall)) - 44.8).abs() <= 0.05);
    let door = [flat(50.0, 0.99, "door"), flat(0.0, 0.01, "gap")];
    let reduction = any_band(&door, 1.0);
    assert!((reduction - 20.0).abs() <= 0.05, "{reduction}");
    assert!((80.0 - reduction - 60.0).abs() <= 0.05);
}

/// Insulation left when a part of a wall is open, recomputed from the composite formula by an independent hand.
#[test]
fn caps_by_open_area() {
    for (wall, open_percent, printed) in [
        (50.0, 0.01, 39.6),
        (50.0, 0.1, 30.0),
        (50.0, 1.0, 20.0),
        (50.0, 5.0, 13.0),
        (30.0, 0.01, 29.6),
        (30.0, 0.1, 27.0),
        (30.0, 1.0, 19.6),
        (30.0, 5.0, 12.9),
    ] {
        let parts = [flat(wall, 100.0 - open_percent, "wall"), flat(0.0, open_percent, "opening")];
        let computed = any_band(&parts, 100.0);
        assert!((computed - printed).abs() <= 0.051, "{wall} dB, {open_percent} %: {computed} for {printed}");
    }
}

/// EN 12354-3:2000 Annex F: R′ of a façade of a wall, two windows and an air inlet. The standard prints 35.4 and 37.5
/// at 1 and 2 kHz where its own inputs give 35.8 and 38.0; the single numbers come out either way.
#[test]
fn en_12354_3_annex_f() {
    let parts = [
        Part::with_area("wall", "wall", octaves(&[41.0, 46.0, 52.0, 58.0, 64.0]), 6.0).unwrap(),
        Part::with_area("window 2", "window", octaves(&[23.0, 22.0, 30.0, 36.0, 37.0]), 4.5).unwrap(),
        Part::with_area("window 3", "window", octaves(&[24.0, 27.0, 30.0, 33.0, 30.0]), 0.5).unwrap(),
        Part::small("inlet", "inlet", octaves(&[28.0, 23.0, 25.0, 38.0, 44.0])),
    ];
    let apparent = composite_reduction("façade", &parts, 11.3).unwrap();
    let mut rated = OctaveReadings::default();
    let mut difference = OctaveReadings::default();
    for (octave, printed) in OctaveBand::range(125.0, 2000.0).zip([24.4, 21.5, 24.9, 35.8, 38.0]) {
        let r = apparent.get(Band::from_nominal_hz(octave.nominal_hz()).unwrap());
        assert!((r - printed).abs() <= 0.05, "{} Hz: {r} for {printed}", octave.nominal());
        rated.insert(octave, r);
        difference.insert(octave, en_12354_3_2000::standardised_difference_db(r, 0.0, 50.0, 11.3));
    }
    let ratings = rate_octaves(&rated).unwrap();
    assert_eq!((ratings.rw_db, ratings.ctr_db), (31, -3));
    assert_eq!(rate_octaves(&difference).unwrap().rw_db, 33);
}

/// EN 12354-1:2000 Annex H.3: a separating wall with four flanking elements, R′w 52.2 (52 after rounding) and
/// DnT,w 54.
#[test]
fn en_12354_1_annex_h_3() {
    let paths = [
        65.5, 66.0, 66.0, // floor: Ff, Fd, Df
        64.5, 64.8, 64.8, // ceiling
        61.1, 62.7, 62.7, // façade
        73.0, 67.2, 67.2, // internal wall
    ];
    let apparent = apparent_reduction_db(57.0, &paths);
    assert!((apparent - 52.2).abs() <= 0.05, "{apparent}");
    assert!((standardised_difference_db(apparent, 50.0, 11.5) - 54.0).abs() <= 0.5);
}

/// ISO 12354-1:2017 Annex L.10: thirteen paths, R′w 57.0.
#[test]
fn iso_12354_1_annex_l_10() {
    let paths = [76.3, 75.3, 82.7, 81.7, 65.7, 64.0, 64.7, 63.0, 72.1, 71.9, 71.1, 70.9];
    let apparent = apparent_reduction_db(69.3, &paths);
    assert!((apparent - 57.0).abs() <= 0.05, "{apparent}");
}

/// ISO 12354-1:2017 Annex L.2.1: a timber-frame floor, direct 65, flanking 69 and 74, R′ 63.
#[test]
fn iso_12354_1_annex_l_2() {
    assert!((apparent_reduction_db(65.0, &[69.0, 74.0]) - 63.0).abs() <= 0.5);
}
