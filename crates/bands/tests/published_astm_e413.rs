//! Sound transmission classes against printed results.

mod reference;

use bands::{
    Band, Readings,
    astm_e413::{StcLimit, classify},
};
use reference::spectrum;

/// Laboratory report OL 05-1056 (2005, ASTM E90): STC 46 with the deficiencies 2, 2, 3, 8, 2, 1, 6, 5 at 125, 200, 315,
/// 400, 500, 630, 2000, 2500 Hz printed; the 8 dB rule holds it.
#[test]
fn laboratory_report_ol05_1056() {
    let readings =
        spectrum(include_str!("reference/orfield_OL05-1056_16gyp_13fibreboard_38x89wood_610_R13.csv"));
    let stc = classify(|band| readings.get(band)).unwrap();
    assert_eq!((stc.stc_db, stc.deficiency_sum_db, stc.largest_deficiency_db), (46, 29, 8));
    let held: Vec<(f64, i32)> =
        stc.deficiencies_db.iter().map(|(band, db)| (band.nominal_hz(), *db)).collect();
    assert_eq!(
        held,
        [(125.0, 2), (200.0, 2), (315.0, 3), (400.0, 8), (500.0, 2), (630.0, 1), (2000.0, 6), (2500.0, 5)]
    );
    assert_eq!(stc.limit, StcLimit::OneBand(Band::from_nominal_hz(400.0).unwrap()));
}

/// Laboratory report OL15-1013 (2015, ASTM E90): STC 50 printed; sum 20 and 8 dB at 2500 Hz worked out.
#[test]
fn laboratory_report_ol15_1013() {
    let readings =
        spectrum(include_str!("reference/orfield_OL15-1013_2x16gyp_92steel20ga_610_R13_1x16gyp.csv"));
    let stc = classify(|band| readings.get(band)).unwrap();
    assert_eq!((stc.stc_db, stc.deficiency_sum_db, stc.largest_deficiency_db), (50, 20, 8));
    assert_eq!(stc.limit, StcLimit::OneBand(Band::from_nominal_hz(2500.0).unwrap()));
}

/// Test vector of a general acoustics library: STC 25 (sum 29, largest 4).
#[test]
fn library_vector() {
    let readings: Readings = Band::range(125.0, 4000.0)
        .zip([18.0, 18.0, 17.0, 17.0, 20.0, 21.0, 22.0, 23.0, 25.0, 26.0, 26.0, 25.0, 25.0, 26.0, 30.0, 31.0])
        .collect();
    let stc = classify(|band| readings.get(band)).unwrap();
    assert_eq!((stc.stc_db, stc.deficiency_sum_db, stc.largest_deficiency_db), (25, 29, 4));
}

/// The spectrum of ISO 717-1:2020 Annex C: STC 29 (sum 24, largest 7), worked out independently.
#[test]
fn iso_717_1_annex_c_spectrum() {
    let readings = spectrum(include_str!("reference/iso717_1_annexC_example.csv"));
    let stc = classify(|band| readings.get(band)).unwrap();
    assert_eq!((stc.stc_db, stc.deficiency_sum_db, stc.largest_deficiency_db), (29, 24, 7));
}
