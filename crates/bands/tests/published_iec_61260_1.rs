//! Band edges and places of IEC 61260-1:2014: base-ten exact frequencies, edges half a band to either side.

#![allow(clippy::unwrap_used, reason = "a test stops at a wrong answer")]

use bands::{Band, OctaveBand};

/// IEC 61260-1:2014, 5.2 and 5.4: fm = 1000 G^(x/3), edges fm G^(∓1/6), with G = 10^(3/10).
#[test]
fn edges_lie_half_a_band_from_the_middle() {
    for (band, x) in Band::all().zip(-16_i32..) {
        let exact = |thirds: f64| 1000.0 * quantities::math::powf(10.0, 0.3 * thirds / 3.0);
        for (ours, at) in [
            (band.lower_edge_hz(), f64::from(x) - 0.5),
            (band.centre_hz(), f64::from(x)),
            (band.upper_edge_hz(), f64::from(x) + 0.5),
        ] {
            assert!((ours / exact(at) - 1.0).abs() < 1e-9, "{band:?}: {ours} for {}", exact(at));
        }
    }
    // As such tables print the band of 1 kHz.
    let band = Band::from_nominal_hz(1000.0).unwrap();
    assert!((band.lower_edge_hz() - 891.25).abs() < 0.005 && (band.upper_edge_hz() - 1122.02).abs() < 0.005);
}

/// An edge belongs to the band above it, and what lies outside belongs to none.
#[test]
fn every_frequency_belongs_to_one_band() {
    for (below, above) in Band::all().zip(Band::all().skip(1)) {
        // The two bands reckon their common edge apart; either side of it is sure.
        assert_eq!(Band::containing_hz(below.upper_edge_hz() * (1.0 - 1e-9)), Some(below));
        assert_eq!(Band::containing_hz(above.lower_edge_hz() * (1.0 + 1e-9)), Some(above));
    }
    let (first, last) = (Band::all().next().unwrap(), Band::all().next_back().unwrap());
    assert_eq!(Band::containing_hz(first.lower_edge_hz()), Some(first));
    assert_eq!(Band::containing_hz(last.upper_edge_hz()), None);
    assert_eq!(Band::containing_hz(first.lower_edge_hz() * 0.999), None);
}

#[test]
fn places_count_from_the_lowest_and_end() {
    for (at, octave) in OctaveBand::all().enumerate() {
        assert_eq!(OctaveBand::at(at), Some(octave));
    }
    assert_eq!(OctaveBand::at(OctaveBand::all().len()), None);
    for (at, band) in Band::all().enumerate() {
        assert_eq!(Band::at(at), Some(band));
    }
    assert_eq!(Band::at(Band::all().len()), None);
}
