//! Spectra, octaves and readings: what they hold comes back, sums and averages are those of ISO 16283-1 and IEC 61672-1.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test stops at once; what is put in comes back to the last digit"
)]

use bands::{
    BAND_COUNT, Band, OCTAVE_COUNT, OctaveBand, OctaveReadings, Octaves, Readings, Spectrum,
    energy_average_db, energy_sum_db,
};

fn band(nominal_hz: f64) -> Band {
    Band::from_nominal_hz(nominal_hz).unwrap()
}

fn octave(nominal_hz: f64) -> OctaveBand {
    OctaveBand::from_nominal_hz(nominal_hz).unwrap()
}

/// A value in every band that no other band has.
fn rising() -> Spectrum {
    Spectrum::from_fn(|band| 20.0 + 1.5 * band.index() as f64)
}

#[track_caller]
fn near(is: f64, wanted: f64) {
    assert!((is - wanted).abs() < 1e-3, "{is} for {wanted}");
}

#[test]
fn a_spectrum_gives_back_what_it_holds() {
    let listed: Vec<(Band, f64)> = rising().iter().collect();
    assert_eq!(listed.len(), BAND_COUNT);
    assert!(
        listed
            .iter()
            .enumerate()
            .all(|(at, &(band, value))| band.index() == at && value == 20.0 + 1.5 * at as f64)
    );
    let readings = rising().to_readings();
    assert_eq!(readings.len(), BAND_COUNT);
    assert_eq!(readings.to_spectrum(), Some(rising()));
    assert_eq!(readings.iter().collect::<Vec<_>>(), listed);
}

#[test]
fn spectra_are_subtracted_added_and_shifted_band_by_band() {
    let (one, other) = (rising(), Spectrum::from_fn(|band| 3.0 + band.index() as f64));
    let at = band(100.0);
    assert_eq!(one.get(at), 29.0);
    assert_eq!(one.minus(&other).get(at), 20.0);
    assert_eq!(one.plus_correction(&other).get(at), 38.0);
    assert_eq!(one.shifted(-2.5).get(at), 26.5);
}

#[test]
fn one_value_that_is_no_number_makes_a_spectrum_not_finite() {
    assert!(rising().is_finite());
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut spectrum = rising();
        spectrum.set(band(500.0), value);
        assert!(!spectrum.is_finite());
    }
}

/// IEC 61672-1:2013 Table 3: A −19.1 dB and C −0.3 dB at 100 Hz, both 0 at 1 kHz; A 1.0 dB and C −0.5 dB at 4 kHz (3.15 kHz).
#[test]
fn tones_are_weighted_as_iec_61672_1_table_3() {
    let tone = |hz: f64| {
        let mut spectrum = Spectrum::flat(-200.0);
        spectrum.set(band(hz), 70.0);
        spectrum
    };
    near(tone(100.0).total_a_db(), 50.9);
    near(tone(100.0).total_c_db(), 69.7);
    near(tone(1000.0).total_a_db(), 70.0);
    near(tone(1000.0).total_c_db(), 70.0);
    near(tone(31.5).total_c_db(), 67.0);
    let readings: Readings = [(band(100.0), 70.0), (band(1000.0), 50.9)].into_iter().collect();
    // Two equal levels after weighting: 3.01 dB more than one.
    near(readings.total_a_db(), 53.910);
    assert_eq!(Readings::default().total_a_db(), f64::NEG_INFINITY);
}

/// ISO 16283-1:2014, 3.1: levels of 60 and 70 dB average to 67.404 dB and add up to 70.414 dB.
#[test]
fn energies_average_and_add_as_iso_16283_1() {
    near(energy_average_db([60.0, 70.0]).unwrap(), 67.404);
    near(energy_average_db([64.2]).unwrap(), 64.2);
    assert_eq!(energy_average_db([]), None);
    near(energy_sum_db([60.0, 70.0]), 70.414);
    assert_eq!(energy_sum_db([]), f64::NEG_INFINITY);
    assert_eq!(Spectrum::energy_average(&[]), None);
}

#[test]
fn readings_are_put_in_replaced_and_counted() {
    let mut readings = Readings::default();
    assert!(readings.is_empty());
    assert_eq!(readings.insert(band(125.0), 41.0), None);
    assert!(!readings.is_empty());
    assert_eq!(readings.insert(band(125.0), 43.5), Some(41.0));
    assert_eq!((readings.len(), readings.get(band(125.0)), readings.get(band(160.0))), (1, Some(43.5), None));

    let mut octaves = OctaveReadings::default();
    assert!(octaves.is_empty());
    assert_eq!(octaves.insert(octave(125.0), 41.0), None);
    assert!(!octaves.is_empty());
    assert_eq!(octaves.insert(octave(125.0), 43.5), Some(41.0));
    assert_eq!(
        (octaves.len(), octaves.get(octave(125.0)), octaves.get(octave(250.0))),
        (1, Some(43.5), None)
    );
    assert_eq!(octaves.iter().collect::<Vec<_>>(), [(octave(125.0), 43.5)]);
}

#[test]
fn bands_without_a_reading_take_the_nearest() {
    let readings: Readings = [(band(100.0), 30.0), (band(400.0), 40.0)].into_iter().collect();
    let filled = readings.to_spectrum_filled().unwrap();
    for (hz, value) in
        [(25.0, 30.0), (100.0, 30.0), (200.0, 30.0), (250.0, 40.0), (400.0, 40.0), (10_000.0, 40.0)]
    {
        assert_eq!(filled.get(band(hz)), value, "{hz} Hz");
    }
    assert_eq!(Readings::default().to_spectrum_filled(), None);
    assert_eq!(readings.to_spectrum(), None);
}

/// Thirds of 30, 40 and 50 dB: as reductions 10 lg 3 over −10 lg (10⁻³ + 10⁻⁴ + 10⁻⁵) = 34.318 dB, as levels 50.453 dB.
#[test]
fn three_thirds_make_an_octave() {
    let mut thirds: Readings =
        [(band(100.0), 30.0), (band(125.0), 40.0), (band(160.0), 50.0)].into_iter().collect();
    thirds.insert(band(200.0), 35.0);
    let reductions = OctaveReadings::of_reductions(&thirds);
    assert_eq!(reductions.len(), 1, "an octave with a third missing is none");
    near(reductions.get(octave(125.0)).unwrap(), 34.318);
    let levels = OctaveReadings::of_levels(&thirds);
    assert_eq!(levels.len(), 1);
    near(levels.get(octave(125.0)).unwrap(), 50.453);
    let whole = thirds.to_spectrum_filled().unwrap();
    near(Octaves::of_reductions(&whole).get(octave(125.0)), 34.318);
    near(Octaves::of_levels(&whole).get(octave(125.0)), 50.453);
}

#[test]
fn octaves_give_back_what_they_hold() {
    let octaves = Octaves::from_fn(|octave| 10.0 + 2.0 * octave.index() as f64);
    let listed: Vec<(OctaveBand, f64)> = octaves.iter().collect();
    assert_eq!(listed.len(), OCTAVE_COUNT);
    assert!(
        listed
            .iter()
            .enumerate()
            .all(|(at, &(octave, value))| octave.index() == at && value == 10.0 + 2.0 * at as f64)
    );
    assert_eq!(octaves.to_readings().iter().collect::<Vec<_>>(), listed);
    assert_eq!(octaves.to_readings().len(), OCTAVE_COUNT);
}
