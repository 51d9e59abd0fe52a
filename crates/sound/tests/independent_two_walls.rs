//! Two stud walls against a second working in Python (`oracles/sound_two_walls.py`): 40 000 angles at equal steps instead of a
//! quadrature rule, formulas typed again from the papers.

use bands::Band;
use sound::element::{Bridge, BridgeKind, Cavity, Element, Fill, Leaf, Part, Sheet};

fn leaf(count: usize) -> Part {
    Part::Leaf(Leaf::thin(
        "board",
        vec![Sheet::from_wave_speed("plasterboard", 0.0125, 690.0, 1810.0); count],
    ))
}

#[test]
fn brute_force_agrees_within_a_twentieth_of_a_decibel() {
    let size = Element { width_m: 3.6, height_m: 2.4, ..Element::default() };
    let a = Element {
        parts: vec![leaf(1), Part::Cavity(Cavity::empty(0.089)), leaf(2)],
        bridges: vec![Bridge::between(0, 1, "studs", BridgeKind::TimberStud { spacing_m: 0.6 })],
        ..size.clone()
    };
    let wool = Fill::fibre("wool", 0.15, 7000.0, 14.0);
    let b = Element { parts: vec![leaf(2), Part::Cavity(Cavity::filled(0.2, wool)), leaf(2)], ..size };
    let [a, b] = [a, b].map(|wall| sound::Prepared::new(&wall).unwrap().transmission().reduction_index());
    let mut count = 0;
    for line in include_str!("reference/two_walls.csv").lines().filter(|line| !line.starts_with(['#', 'b'])) {
        let values: Vec<f64> = line.split(',').map(|value| value.parse().unwrap()).collect();
        let band = Band::at(values[0] as usize).unwrap();
        for (found, expected) in [(a.get(band), values[1]), (b.get(band), values[2])] {
            assert!((found - expected).abs() < 0.05, "{} Hz: {found} for {expected}", band.nominal());
            count += 1;
        }
    }
    assert_eq!(count, 42);
}
