//! Critical frequencies and resonances against handbook values.

use sound::element::{Cavity, Element, Leaf, Part, Sheet};

/// Hopkins, *Sound Insulation* (2007), Table A2: fc·h (Hz m) of plates for c0 = 343 m/s, three printed digits; the speed of sound here
/// (343.2 m/s) moves them by 0.1 %.
#[test]
fn hopkins_critical_frequencies() {
    let table = [
        ("glass", 2500.0, 5200.0, 12.5),
        ("concrete", 2200.0, 3800.0, 17.1),
        ("plasterboard, natural gypsum", 860.0, 1490.0, 43.5),
        ("plasterboard", 680.0, 1810.0, 35.8),
        ("OSB", 590.0, 2570.0, 25.2),
        ("chipboard", 760.0, 2200.0, 29.5),
    ];
    for (name, density, speed, product) in table {
        let thickness = 0.01;
        let leaf = Leaf::thin(name, vec![Sheet::from_wave_speed(name, thickness, density, speed)]);
        let element = Element { name: name.into(), parts: vec![Part::Leaf(leaf)], ..Element::default() };
        let fc = sound::predict(&element).unwrap().critical_frequencies[0].fc_hz;
        assert!((fc * thickness - product).abs() < 0.005 * product, "{name}: {}", fc * thickness);
    }
}

/// Mass–air–mass resonance of two free leaves, `(1/2π) √(ρ0c0² (m1 + m2)/(d m1 m2))`, computed to 0.1 Hz by a second hand; air of 20 °C.
#[test]
fn mass_air_mass_resonances() {
    for (mass, depth, expected) in
        [(12.16, 0.1, 76.9), (10.9, 0.089, 86.0), (8.5, 0.05, 130.0), (22.0, 0.2, 40.4)]
    {
        let leaf = || {
            Part::Leaf(Leaf::thin(
                "leaf",
                vec![Sheet::from_wave_speed("leaf", 0.0125, mass / 0.0125, 1800.0)],
            ))
        };
        let element = Element {
            name: "double".into(),
            parts: vec![leaf(), Part::Cavity(Cavity::empty(depth)), leaf()],
            ..Element::default()
        };
        let f0 = sound::predict(&element).unwrap().resonances[0].frequency_hz;
        assert!((f0 - expected).abs() < 0.003 * expected, "{mass} kg/m², {depth} m: {f0} for {expected}");
    }
}
