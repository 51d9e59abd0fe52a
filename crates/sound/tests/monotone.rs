//! Where physics says that more helps or harms, more never does the opposite: properties, not evidence.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use bands::Band;
use proptest::prelude::*;
use sound::element::{Cavity, Element, Fill, Leaf, Leak, LeakKind, Part, Sheet};

fn single(thickness: f64, density: f64, speed: f64) -> Element {
    Element {
        name: "leaf".into(),
        width_m: 3.0,
        height_m: 2.4,
        parts: vec![Part::Leaf(Leaf::thin(
            "leaf",
            vec![Sheet::from_wave_speed("sheet", thickness, density, speed)],
        ))],
        ..Element::default()
    }
}

fn double(density: f64, depth: f64) -> Element {
    let leaf = |density: f64| {
        Part::Leaf(Leaf::thin("leaf", vec![Sheet::from_wave_speed("board", 0.0125, density, 1800.0)]))
    };
    let fill = Fill::fibre("fibre", depth * 0.7, 9000.0, 20.0);
    Element {
        name: "wall".into(),
        width_m: 3.0,
        height_m: 2.4,
        parts: vec![leaf(700.0), Part::Cavity(Cavity::filled(depth, fill)), leaf(density)],
        ..Element::default()
    }
}

fn r_db(element: &Element) -> bands::Spectrum {
    sound::Prepared::new(element).unwrap().transmission().reduction_index()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Stiffness grows with the mass here, so that the critical frequency stays; well below it mass alone counts.
    #[test]
    fn a_denser_leaf_never_has_less_r_below_half_its_critical_frequency(
        thickness in 0.006..0.03_f64, density in 300.0..1500.0_f64, speed in 1500.0..3000.0_f64, more in 1.02..2.5_f64,
    ) {
        let (light, heavy) = (single(thickness, density, speed), single(thickness, density * more, speed));
        let fc_hz = sound::predict(&light).unwrap().critical_frequencies[0].fc_hz;
        let (light, heavy) = (r_db(&light), r_db(&heavy));
        for band in Band::all().filter(|band| (100.0..fc_hz / 2.0).contains(&band.centre_hz())) {
            prop_assert!(heavy.get(band) >= light.get(band), "{} at {}", heavy.get(band) - light.get(band), band.nominal());
        }
    }

    /// Between twice the resonance and half the critical frequency a double leaf is controlled by its masses.
    #[test]
    fn a_denser_second_leaf_never_has_less_r_between_resonance_and_coincidence(
        density in 300.0..1200.0_f64, depth in 0.08..0.3_f64, more in 1.02..2.0_f64,
    ) {
        let (light, heavy) = (double(density, depth), double(density * more, depth));
        let about = sound::predict(&light).unwrap();
        let fc_hz = about.critical_frequencies.iter().map(|one| one.fc_hz).fold(f64::INFINITY, f64::min);
        let from_hz = 2.0 * about.resonances[0].frequency_hz;
        let (light, heavy) = (r_db(&light), r_db(&heavy));
        for band in Band::all().filter(|band| (from_hz..fc_hz / 2.0).contains(&band.centre_hz())) {
            prop_assert!(heavy.get(band) >= light.get(band), "{} at {}", heavy.get(band) - light.get(band), band.nominal());
        }
    }

    /// More holes let more through in every band.
    #[test]
    fn more_holes_never_have_more_r(diameter in 0.001..0.05_f64, depth in 0.01..0.3_f64, count in 1.0..10.0_f64, more in 1.05..20.0_f64) {
        let with = |count: f64| {
            let mut element = double(700.0, 0.1);
            let kind = LeakKind::Hole { diameter_m: diameter, depth_m: depth, count, filling_pa_s_m2: None };
            element.leaks.push(Leak { name: "holes".into(), leaf: None, kind, size_spread: 0.3 });
            r_db(&element)
        };
        let (few, many) = (with(count), with(count * more));
        for band in Band::all() {
            prop_assert!(many.get(band) <= few.get(band) + 1e-12, "{}", band.nominal());
        }
    }

    /// A longer joint of the same width lets more through in every band.
    #[test]
    fn a_longer_joint_never_has_more_r(width in 1e-5..0.005_f64, depth in 0.01..0.3_f64, length in 0.1..4.0_f64, more in 1.05..5.0_f64) {
        let with = |length_m: f64| {
            let mut element = double(700.0, 0.1);
            let kind = LeakKind::Slit { length_m, width_m: width, depth_m: depth, filling_pa_s_m2: None, at_edge: true };
            element.leaks.push(Leak { name: "joint".into(), leaf: None, kind, size_spread: 0.3 });
            r_db(&element)
        };
        let (short, long) = (with(length), with(length * more));
        for band in Band::all() {
            prop_assert!(long.get(band) <= short.get(band) + 1e-12, "{}", band.nominal());
        }
    }
}
