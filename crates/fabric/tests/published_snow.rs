//! Snow by the UK annex to EN 1991-1-3.

#![allow(clippy::float_cmp, reason = "a test stops at a wrong answer; exact values are meant")]

use fabric::en_1991_1_3_2003::{EXCEPTIONAL, ground_snow_uk, roof_snow, shape_mu1};

/// UK NA to BS EN 1991-1-3 eq. (NA.1) with the corrigendum of June 2007; the first point reproduces a published roof calculation
/// (0.34, 0.27 and 0.67 kN/m² printed), the others are computed.
#[test]
fn ground_and_roof_snow_of_four_places() {
    for (zone, altitude_m, ground, roof) in [
        (3.0, 14.0, 0.336, 0.269),
        (3.0, 100.0, 0.500, 0.400),
        (4.0, 200.0, 0.790, 0.632),
        (2.0, 50.0, 0.305, 0.244),
    ] {
        let sk = ground_snow_uk(zone, altitude_m).unwrap();
        assert!((sk - ground).abs() <= 5e-4, "{zone} {altitude_m}: {sk}");
        assert!((roof_snow(sk, 1.5) - roof).abs() <= 5e-4);
    }
    let sk = ground_snow_uk(3.0, 14.0).unwrap();
    assert!((EXCEPTIONAL * sk - 0.67).abs() <= 5e-3);
}

/// EN 1991-1-3:2003 Table 5.2: μ₁ = 0.8 up to 30°, then falling to 0 at 60°.
#[test]
fn shape_coefficient() {
    assert_eq!([0.0, 30.0, 45.0, 60.0, 80.0].map(shape_mu1), [0.8, 0.8, 0.4, 0.0, 0.0]);
}
