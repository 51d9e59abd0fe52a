//! What a person may get wrong, and the sentence for it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where it fails")]

use bands::{Band, Readings};
use sound::element::{
    Bridge, BridgeKind, Cavity, Element, Fill, Leaf, Leak, LeakKind, Measured, Part, Sheet,
};

fn board() -> Leaf {
    Leaf::thin("board", vec![Sheet::from_wave_speed("plasterboard", 0.0125, 690.0, 1810.0)])
}

fn wall() -> Element {
    Element {
        name: "wall".into(),
        parts: vec![Part::Leaf(board()), Part::Cavity(Cavity::empty(0.1)), Part::Leaf(board())],
        ..Element::default()
    }
}

#[track_caller]
fn check(change: impl Fn(&mut Element), words: &[&str]) {
    let mut element = wall();
    change(&mut element);
    let sentence = sound::predict(&element).expect_err("must be refused").to_string();
    for word in words {
        assert!(sentence.contains(word), "{word} is not in: {sentence}");
    }
}

fn leaf(element: &mut Element, place: usize) -> &mut Leaf {
    match &mut element.parts[place] {
        Part::Leaf(leaf) => leaf,
        Part::Cavity(_) => panic!("no leaf there"),
    }
}

fn cavity(element: &mut Element) -> &mut Cavity {
    match &mut element.parts[1] {
        Part::Cavity(cavity) => cavity,
        Part::Leaf(_) => panic!("no cavity there"),
    }
}

#[test]
fn a_right_wall_is_taken() {
    assert!(sound::predict(&wall()).is_ok());
}

#[test]
fn each_mistake_has_its_sentence() {
    check(|e| e.parts.clear(), &["wall", "no leaf"]);
    check(|e| leaf(e, 0).sheets[0].density_kg_m3 = 0.0, &["board", "density_kg_m3 is 0", "without mass"]);
    check(|e| leaf(e, 0).sheets.clear(), &["board", "no sheets"]);
    check(|e| leaf(e, 2).sheets[0].thickness_m = -0.01, &["thickness_m"]);
    check(|e| leaf(e, 2).sheets[0].youngs_modulus_pa = f64::NAN, &["youngs_modulus_pa", "not a number"]);
    check(|e| leaf(e, 2).sheets[0].poisson = 0.6, &["poisson is 0.60"]);
    check(|e| cavity(e).depth_m = -0.1, &["cavity 1", "depth_m is −0.10"]);
    check(
        |e| cavity(e).fills.push(Fill::fibre("wool", 0.15, 7000.0, 15.0)),
        &["150 mm thick", "100 mm deep"],
    );
    check(|e| cavity(e).fills.push(Fill::fibre("wool", 0.05, 0.0, 15.0)), &["flow_resistivity", "is 0"]);
    check(|e| e.parts.insert(1, Part::Cavity(Cavity::empty(0.05))), &["two cavities"]);
    check(|e| e.parts.insert(1, Part::Leaf(board())), &["two leaves", "nothing between"]);
    check(|e| e.parts.push(Part::Cavity(Cavity::empty(0.05))), &["begins or ends with a cavity"]);
    check(|e| e.width_m = 0.0, &["its size", "width_m is 0"]);
    check(
        |e| {
            let kind =
                BridgeKind::Clip { stiffness_n_m: 0.0, loss_factor: 0.1, per_m2: 2.0, bar_spacing_m: 0.6 };
            e.bridges.push(Bridge::between(0, 1, "clips", kind));
        },
        &["clips", "stiffness_n_m is 0", "cannot carry"],
    );
    check(
        |e| e.bridges.push(Bridge::between(0, 3, "studs", BridgeKind::TimberStud { spacing_m: 0.6 })),
        &["studs", "leaves 0 and 3", "has 2"],
    );
    check(
        |e| e.bridges.push(Bridge::between(0, 1, "studs", BridgeKind::TimberStud { spacing_m: 0.0 })),
        &["studs", "spacing_m is 0"],
    );
    check(
        |e| {
            let kind = LeakKind::Slit {
                length_m: 2.0,
                width_m: -0.001,
                depth_m: 0.1,
                filling_pa_s_m2: None,
                at_edge: false,
            };
            e.leaks.push(Leak { name: "head joint".into(), leaf: None, kind, size_spread: 0.5 });
        },
        &["head joint", "width_m"],
    );
    check(
        |e| {
            let readings: Readings = Band::range(100.0, 3150.0)
                .filter(|band| band.nominal() != "500")
                .map(|band| (band, 40.0))
                .collect();
            e.measured = Some(Measured { readings, standard_uncertainty_db: None });
        },
        &["measured spectrum", "500 Hz"],
    );
}
