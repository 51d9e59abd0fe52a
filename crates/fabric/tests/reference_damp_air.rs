//! Saturation pressure and dew point against an independent psychrometrics library.

use fabric::iso_13788_2012::{dew_point_c, saturation_pa};

/// psychrolib 2.5.0 by `oracles/damp_air_psychrolib.py`, −20 to 40 °C, 30 to 90 %. The two use different formulas (ISO 13788 rounds its
/// coefficients), so they agree to 0.51 % in pressure and, from −10 °C dew point upwards, to 0.02 °C in dew point.
#[test]
fn saturation_and_dew_point_of_an_independent_library() {
    let mut compared = 0;
    for line in include_str!("reference/damp_air.csv").lines().skip(2) {
        let values: Vec<f64> = line.split(',').map(|value| value.parse().unwrap()).collect();
        let [temperature, humidity, saturation, dew] = values[..] else { panic!("{line}") };
        let ours = saturation_pa(temperature);
        assert!((ours / saturation - 1.0).abs() < 0.0051, "{temperature} °C: {ours} against {saturation}");
        if dew > -10.0 {
            let ours = dew_point_c(humidity * ours);
            assert!((ours - dew).abs() < 0.02, "{temperature} °C {humidity}: {ours} against {dew}");
            compared += 1;
        }
    }
    assert!(compared > 30);
}
