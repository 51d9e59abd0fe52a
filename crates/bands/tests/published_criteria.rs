//! Weightings, threshold of hearing and noise-rating curves against printed tables.

use bands::{
    Band, OctaveBand,
    iec_61672_1::{a_weighting_at_db, a_weighting_db, c_weighting_at_db, c_weighting_db},
    iso_389_7::{diffuse_field_db, free_field_db},
    noise_rating::curve_db,
};

/// The band of a printed frequency.
fn band(nominal_hz: f64) -> Band {
    let bands: Vec<Band> = Band::range(nominal_hz, nominal_hz).collect();
    assert_eq!(bands.len(), 1, "{nominal_hz} Hz is no band");
    bands[0]
}

#[track_caller]
fn same(held: f64, printed: f64) {
    assert!((held - printed).abs() < 1e-9, "{held}, printed {printed}");
}

/// IEC 61672-1:2013 Table 3, weighting A, 50 Hz to 5 kHz and 31.5 Hz, 8 kHz, printed to 0.1 dB: the table held, and
/// the formula of Annex E at the exact frequencies.
#[test]
fn iec_61672_1_weighting_a() {
    let printed = [
        -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0.0, 0.6, 1.0,
        1.2, 1.3, 1.2, 1.0, 0.5,
    ];
    let ends = [(band(31.5), -39.4), (band(8000.0), -1.1)];
    for (band, printed) in Band::range(50.0, 5000.0).zip(printed).chain(ends) {
        same(a_weighting_db(band), printed);
        let exact = a_weighting_at_db(band.centre_hz());
        assert!((exact - printed).abs() <= 0.0505, "{} Hz: {exact}", band.nominal());
    }
}

/// IEC 61672-1:2013 Table 3, weighting C at 50, 63, 125, 4000 and 8000 Hz, printed to 0.1 dB.
#[test]
fn iec_61672_1_weighting_c() {
    for (nominal, printed) in [(50.0, -1.3), (63.0, -0.8), (125.0, -0.2), (4000.0, -0.8), (8000.0, -3.0)] {
        same(c_weighting_db(band(nominal)), printed);
        assert!((c_weighting_at_db(band(nominal).centre_hz()) - printed).abs() <= 0.0505);
    }
}

/// ISO 226:2023 threshold of hearing (the free-field threshold of ISO 389-7), 25 Hz to 10 kHz, printed to 0.1 dB.
#[test]
fn iso_226_2023_threshold() {
    for (nominal, printed) in [
        (25.0, 68.7),
        (31.5, 59.5),
        (40.0, 51.1),
        (50.0, 44.0),
        (63.0, 37.5),
        (80.0, 31.5),
        (100.0, 26.5),
        (125.0, 22.1),
        (160.0, 17.9),
        (200.0, 14.4),
        (250.0, 11.4),
        (315.0, 8.6),
        (400.0, 6.2),
        (500.0, 4.4),
        (630.0, 3.0),
        (800.0, 2.2),
        (1000.0, 2.4),
        (1250.0, 3.5),
        (1600.0, 1.7),
        (2000.0, -1.3),
        (2500.0, -4.2),
        (3150.0, -6.0),
        (4000.0, -5.4),
        (5000.0, -1.5),
        (6300.0, 6.0),
        (8000.0, 12.6),
        (10000.0, 13.9),
    ] {
        same(free_field_db(band(nominal)), printed);
    }
}

/// ISO 389-7:2005 diffuse-field threshold, octaves 125 Hz to 8 kHz, printed to 0.1 dB.
#[test]
fn iso_389_7_2005_diffuse_field() {
    let printed = [22.1, 11.4, 3.8, 0.8, -1.5, -3.8, 6.8];
    for (octave, printed) in OctaveBand::range(125.0, 8000.0).zip(printed) {
        assert_eq!(diffuse_field_db(octave), Some(printed));
    }
    assert_eq!(OctaveBand::from_nominal_hz(63.0).and_then(diffuse_field_db), None);
}

/// AS 1469:1983 constants a and b, quoted in the manual of a public spreadsheet tool: NR 0 and NR 1 give them back.
#[test]
fn as_1469_1983_constants() {
    let printed = [
        (55.4, 0.681),
        (35.5, 0.790),
        (22.0, 0.870),
        (12.0, 0.930),
        (4.8, 0.974),
        (0.0, 1.0),
        (-3.5, 1.015),
        (-6.1, 1.025),
        (-8.0, 1.030),
    ];
    for (octave, (a, b)) in OctaveBand::all().zip(printed) {
        same(curve_db(0.0, octave), a);
        assert!((curve_db(100.0, octave) - curve_db(0.0, octave) - 100.0 * b).abs() < 1e-9);
    }
}

/// Curves NR 25 and NR 35 as drawn, to the whole decibel. Values from memory.
#[test]
fn noise_rating_curves_from_memory() {
    for (number, printed) in [
        (25.0, [72.0, 55.0, 44.0, 35.0, 29.0, 25.0, 22.0, 20.0, 18.0]),
        (35.0, [79.0, 63.0, 52.0, 45.0, 39.0, 35.0, 32.0, 30.0, 28.0]),
    ] {
        for (octave, printed) in OctaveBand::all().zip(printed) {
            let level = curve_db(number, octave);
            assert!((level - printed).abs() <= 0.75, "NR {number} at {} Hz: {level}", octave.nominal());
        }
    }
}
