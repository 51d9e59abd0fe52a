//! Which of a joist's checks governs, and when a vibration that cannot be judged leaves it open.

#![allow(clippy::unwrap_used, reason = "a test stops at a wrong answer")]

use fabric::{
    Checked, FloorVibration,
    en_338_2016::StrengthClass,
    loads::{SpreadLoad, VariableKind, VariableLoad},
    timber::{Grade, JoistCheck, JoistQuestion, JoistResult, Section, check_joist},
};

/// A floor joist of C24, 47 mm wide at 400 mm, under a load that stays.
fn floor(depth_mm: f64, span_m: f64, permanent_kn_m2: f64) -> JoistResult {
    let section = Section { members: 1, member_width_mm: 47.0, depth_mm };
    let mut joist = JoistCheck::flat_roof("floor", section, Grade::Known(StrengthClass::C24), span_m, 0.4);
    joist.permanent = vec![SpreadLoad { name: "G".to_owned(), load_kn_m2: permanent_kn_m2 }];
    joist.variable = vec![VariableLoad { kind: VariableKind::RoofImposed, spread_kn_m2: 0.6, point_kn: 0.0 }];
    joist.floor = Some(FloorVibration { floor_width_m: 4.0, deck_stiffness_nm2_m: 2000.0, damping: 0.02 });
    check_joist(&joist).unwrap()
}

fn strongest(result: &JoistResult) -> f64 {
    [&result.bending, &result.shear, &result.bearing].iter().map(|one| one.utilisation).fold(0.0, f64::max)
}

/// Below 8 Hz (EN 1995-1-1, 7.3.3) a floor that is strong and stiff enough is open, not passed; its vibration governs.
#[test]
fn a_slow_floor_that_is_strong_enough_is_open() {
    let result = floor(245.0, 5.6, 0.6);
    let vibration = result.vibration.as_ref().unwrap();
    assert!(vibration.frequency_hz < 8.0 && vibration.utilisation > 1.0, "{vibration:?}");
    assert!(strongest(&result) < 1.0, "{}", strongest(&result));
    assert!(result.deflection_at_once.utilisation < 1.0 && result.final_deflection.utilisation < 1.0);
    assert!(matches!(result.checked, Checked::Open { .. }), "{:?}", result.checked);
    assert_eq!(result.governing.question, JoistQuestion::Vibration);
}

/// What is sure to fail is told as failing, though the vibration is open and further over its limit.
#[test]
fn a_slow_floor_that_is_too_weak_fails() {
    let result = floor(97.0, 4.4, 0.6);
    let vibration = result.vibration.as_ref().unwrap();
    assert!(matches!(vibration.checked, Checked::Open { .. }), "{vibration:?}");
    assert!(vibration.utilisation > result.governing.utilisation, "{:?}", result.governing);
    assert!(result.governing.utilisation > 1.0 && result.governing.question != JoistQuestion::Vibration);
    assert!(
        matches!(result.checked, Checked::Fails { utilisation } if (utilisation - result.governing.utilisation).abs() < 1e-12),
        "{:?}",
        result.checked
    );
}

/// Stiff and quick, the floor holds in every check.
#[test]
fn a_quick_floor_holds() {
    let result = floor(220.0, 2.4, 0.4);
    assert!(result.vibration.as_ref().unwrap().frequency_hz > 8.0);
    assert!(matches!(result.checked, Checked::Holds { .. }), "{:?}", result.checked);
}

/// As they stand on the sheets and in the plan as JSON.
#[test]
fn every_check_has_its_own_name() {
    let all = [
        (JoistQuestion::Bending, "bending"),
        (JoistQuestion::Shear, "shear"),
        (JoistQuestion::Bearing, "bearing"),
        (JoistQuestion::DeflectionAtOnce, "deflection at once"),
        (JoistQuestion::FinalDeflection, "final deflection"),
        (JoistQuestion::Cut, "notch or hole"),
        (JoistQuestion::Vibration, "vibration"),
    ];
    for (question, name) in all {
        assert_eq!(question.name(), name);
    }
}
