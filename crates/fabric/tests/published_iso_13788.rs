//! Moisture: ISO 13788 and a published condensation case.

#![allow(
    clippy::float_cmp,
    clippy::unwrap_used,
    reason = "a test stops at a wrong answer; exact values are meant"
)]

use fabric::{
    buildup::{Heat, HeatFlow, Layer, Vapour, Ventilation},
    iso_13788_2012::{
        DELTA_0, HumidityClass, Plane, dew_point_c, excess_pa, frsi, frsi_needed, saturation_pa, vapour_line,
    },
    moisture::{Climate, IndoorClimate, MoistureCheck, MoistureResult, Verdict, check_moisture},
};

#[track_caller]
fn close(ours: f64, printed: f64, half_digit: f64) {
    assert!((ours - printed).abs() <= half_digit, "{ours} where {printed} is printed");
}

/// Saturation pressure by ISO 13788 Annex E (coefficient 265.5 below zero from memory), and against the independent library
/// psychrolib 2.5.0, which uses another formula: within 0.51 % from −20 to 25 °C.
#[test]
fn saturation_pressure() {
    for (t, iso, psychrolib) in [
        (-20.0, 102.74, 103.26),
        (-10.0, 259.33, 259.90),
        (-5.0, 401.18, 401.76),
        (0.0, 610.50, 611.15),
        (5.0, 871.86, 872.49),
        (10.0, 1227.31, 1228.00),
        (15.0, 1704.41, 1705.45),
        (20.0, 2336.95, 2338.80),
        (25.0, 3165.92, 3169.22),
    ] {
        close(saturation_pa(t), iso, 5e-3);
        close(saturation_pa(t) / psychrolib, 1.0, 0.0051);
    }
}

/// Dew points by the inverse of ISO 13788 Annex E, and against psychrolib 2.5.0 to 0.01 °C.
#[test]
fn dew_points() {
    for (t, humidity, iso, psychrolib) in [
        (20.0, 0.50, 9.269, 9.272),
        (20.0, 0.55, 10.691, 10.695),
        (20.0, 0.60, 12.004, 12.007),
        (21.0, 0.60, 12.943, 12.947),
        (18.0, 0.65, 11.327, 11.330),
    ] {
        let dew = dew_point_c(humidity * saturation_pa(t));
        close(dew, iso, 5e-4);
        close(dew, psychrolib, 0.01);
    }
}

/// Internal humidity classes of ISO 13788:2002 Annex A, against the tests of a public condensation program (pachi/condensaciones) at
/// −1 °C, 96 %, surface 19 °C: 36.87790, 49.17214, 61.46637, 73.76061 %. That program's saturation below zero has 267.5 for 265.5, which
/// moves every value by the same 0.015 %; the steps from class to class are free of it.
#[test]
fn humidity_classes_below_zero() {
    let printed = [36.877_901_79, 49.172_137_02, 61.466_372_26, 73.760_607_50];
    let classes = [HumidityClass::One, HumidityClass::Two, HumidityClass::Three, HumidityClass::Four];
    let outdoors = 0.96 * saturation_pa(-1.0);
    let ours = classes.map(|class| 100.0 * (outdoors + excess_pa(class, -1.0)) / saturation_pa(19.0));
    for (ours, printed) in ours.iter().zip(printed) {
        close(*ours, printed, 0.02);
    }
    for (a, b) in ours.windows(2).zip(printed.windows(2)).map(|(a, b)| (a[1] - a[0], b[1] - b[0])) {
        close(a, b, 1e-6);
    }
}

/// The same tests at 5 °C (41.185, 44.259, 47.332, 50.406 %) hold an excess that grows from 0 °C to 20 °C (270 − 13.5 (20 − θ)
/// in that program) where Annex A has it fall (270 − 13.5 θ). The two are mirror images about 10 °C, so the printed values check the
/// size of the excess at 15 °C, and at 5 °C class 1 must give what is printed there for class 3.
#[test]
fn humidity_classes_between_zero_and_twenty() {
    let classes = [HumidityClass::One, HumidityClass::Two, HumidityClass::Three, HumidityClass::Four];
    let outdoors = 0.96 * saturation_pa(5.0);
    for (class, printed) in classes.iter().zip([41.185_230_16, 44.258_788_97, 47.332_347_78, 50.405_906_59]) {
        let ours = 100.0 * (outdoors + excess_pa(*class, 15.0)) / saturation_pa(19.0);
        close(ours, printed, 5e-6);
    }
    let one = 100.0 * (outdoors + excess_pa(HumidityClass::One, 5.0)) / saturation_pa(19.0);
    close(one, 47.332_347_78, 5e-6);
    assert_eq!(excess_pa(HumidityClass::Four, 20.0), 0.0);
}

fn wall() -> Vec<Layer> {
    let layer = |name: &str, thickness_m: f64, lambda: f64, sd_m: f64| Layer {
        name: name.to_owned(),
        thickness_m,
        heat: Heat::Conductivity(lambda),
        vapour: Vapour::AirThickness(sd_m),
        ventilation: Ventilation::None,
        bridge: None,
    };
    vec![
        layer("brick", 0.11, 0.667, 1.10),
        layer("light mortar", 0.01, 0.41, 0.10),
        layer("EPS", 0.03, 0.0375, 0.60),
        layer("block", 0.03, 0.445, 0.30),
        layer("plaster", 0.01, 0.57, 0.06),
    ]
}

fn all_year(outdoor_c: f64, outdoor_percent: f64) -> MoistureResult {
    check_moisture(&MoistureCheck {
        name: "published wall".to_owned(),
        layers: wall(),
        flow: HeatFlow::Horizontal,
        outdoors: Climate::new("the same all year", &[outdoor_c; 12], &[outdoor_percent; 12]).unwrap(),
        indoors: IndoorClimate::Constant { temperature_c: 20.0, humidity_percent: 55.0 },
        subdivide_over_m2k_w: None,
    })
    .unwrap()
}

/// The published condensation case of pachi/condensaciones: five layers, 5 °C 96 % outside, 20 °C 55 % inside: temperatures, pressures,
/// and 31.397530 g/m² in a month of 30 days at two planes (15.8649 and 15.5326, computed). A method with one plane misses it.
#[test]
fn condensation_at_two_planes_of_a_published_wall() {
    let result = all_year(5.0, 96.0);
    let profile = &result.profile;
    let temperatures =
        [5.482_211_47, 7.470_339_72, 7.764_371_10, 17.408_600_50, 18.221_316_46, 18.432_812_72];
    let saturation = [901.649, 1034.139, 1055.122, 1987.365, 2091.709, 2119.637];
    for (ours, printed) in profile.temperature_c.iter().zip(temperatures) {
        close(*ours, printed, 5e-9);
    }
    for (ours, printed) in profile.saturation_pa.iter().zip(saturation) {
        close(*ours, printed, 5e-4);
    }
    let first = result.months.first().unwrap();
    close(first.outdoor_pa, 836.989_940, 5e-6);
    close(first.indoor_pa, 1_285.323_13, 5e-6);

    let planes: Vec<Plane> = profile
        .sd_m
        .iter()
        .zip(&profile.saturation_pa)
        .map(|(&sd_m, &saturation_pa)| Plane { sd_m, saturation_pa })
        .collect();
    let line = vapour_line(&planes, first.outdoor_pa, first.indoor_pa, &[]);
    let month_g = line.rate_kg_m2_s.iter().map(|rate| rate * 2_592_000.0 * 1000.0).collect::<Vec<_>>();
    close(month_g.iter().sum(), 31.397_53, 5e-7);
    close(month_g[1], 15.8649, 5e-5);
    close(month_g[2], 15.5326, 5e-5);
    assert!(month_g.iter().enumerate().all(|(i, &g)| i == 1 || i == 2 || g == 0.0));

    let places: Vec<&str> = result.planes.iter().map(|plane| plane.place.as_str()).collect();
    assert_eq!(places, ["between brick and light mortar", "between light mortar and EPS"]);
    close(first.condensed_g_m2, 31.397_53 * 31.0 / 30.0, 1e-6);
    assert_eq!(result.verdict, Verdict::StaysWet);
}

/// The same wall's straight vapour line, had nothing condensed: 836.990, 1065.308, 1086.064, 1210.601, 1272.869, 1285.323 Pa.
#[test]
fn straight_vapour_line_of_the_published_wall() {
    let planes: Vec<Plane> =
        [0.0, 1.1, 1.2, 1.8, 2.1, 2.16].map(|sd_m| Plane { sd_m, saturation_pa: 5000.0 }).to_vec();
    let line = vapour_line(&planes, 836.989_940, 1_285.323_13, &[]);
    for (ours, printed) in
        line.vapour_pa.iter().zip([836.990, 1065.308, 1086.064, 1210.601, 1272.869, 1285.323])
    {
        close(*ours, printed, 5e-4);
    }
    assert_eq!(DELTA_0, 2e-10);
}

/// The same wall with 10.7 °C and 79 % outside: no condensation.
#[test]
fn no_condensation_in_a_warm_month() {
    let result = all_year(10.7, 79.0);
    assert_eq!(result.verdict, Verdict::Dry);
    assert!(result.planes.is_empty());
    assert_eq!(result.peak_g_m2, 0.0);
}

/// The same wall's temperature factor 0.79907855 (U 0.80368578), and what it must be: 0.60574531 at 55 % inside, 0.93079365 at 75 %, where it
/// fails. The source takes a rounded saturation pressure of 2337 Pa at 20 °C for these two; the unrounded 2336.95 moves them by
/// 2.2e-5.
#[test]
fn temperature_factor_of_the_inner_surface() {
    close(frsi(0.803_685_78), 0.799_078_55, 5e-9);
    close(frsi_needed(5.0, 20.0, 0.55 * 2337.0), 0.605_745_31, 5e-9);
    close(frsi_needed(5.0, 20.0, 0.75 * 2337.0), 0.930_793_65, 5e-9);
    let result = all_year(5.0, 96.0);
    close(result.frsi, 0.799_078_55, 5e-9);
    close(result.frsi_needed, 0.605_745_31, 2.5e-5);
    assert!(result.mould_safe);
    assert!(result.frsi < frsi_needed(5.0, 20.0, 0.75 * saturation_pa(20.0)));
}
