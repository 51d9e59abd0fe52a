//! What must hold for any build-up: no panic, no NaN, more mass is never much worse, the same answer twice.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where it fails")]

use bands::Band;
use proptest::prelude::*;
use sound::element::{
    Bond, Bridge, BridgeKind, Cavity, Element, Fill, Leaf, LeafKind, Leak, LeakKind, Mounting, Part,
    SealClass, Sheet,
};

fn sheet() -> impl Strategy<Value = Sheet> {
    (0.0005..0.3_f64, 50.0..8000.0_f64, 300.0..5500.0_f64)
        .prop_map(|(thickness, density, speed)| Sheet::from_wave_speed("sheet", thickness, density, speed))
}

fn leaf() -> impl Strategy<Value = Leaf> {
    let kinds = prop_oneof![
        Just(LeafKind::Thin),
        Just(LeafKind::Masonry),
        Just(LeafKind::Limp),
        (1.0..500.0_f64).prop_map(|stiffness_ratio| LeafKind::Orthotropic { stiffness_ratio }),
        (10.0..1e5_f64).prop_map(|flow_resistance_pa_s_m| LeafKind::Porous { flow_resistance_pa_s_m }),
    ];
    let bonds = prop_oneof![Just(Bond::Loose), Just(Bond::Glued), Just(Bond::Damped { loss_factor: 0.2 })];
    (prop::collection::vec(sheet(), 1..4), bonds, kinds).prop_map(|(sheets, bond, kind)| Leaf {
        name: "leaf".into(),
        sheets,
        bond,
        kind,
    })
}

fn cavity() -> impl Strategy<Value = Cavity> {
    (0.004..0.6_f64, any::<bool>(), 0.1..1.0_f64, 500.0..2e5_f64, any::<bool>()).prop_map(
        |(depth, filled, share, resistivity, vented)| {
            let mut cavity = Cavity::empty(depth);
            cavity.vented = vented;
            if filled {
                cavity.fills.push(Fill::fibre("fibre", depth * share, resistivity, 20.0));
            }
            cavity
        },
    )
}

fn bridge(inner: usize) -> impl Strategy<Value = Option<Bridge>> {
    let kinds = prop_oneof![
        Just(BridgeKind::TimberStud { spacing_m: 0.4 }),
        Just(BridgeKind::SteelStud {
            spacing_m: 0.6,
            steel_thickness_m: 0.0006,
            web_depth_m: 0.07,
            compliance_m2_n: None
        }),
        Just(BridgeKind::DoubleStud { spacing_m: 0.6 }),
        Just(BridgeKind::Clip { stiffness_n_m: 2e5, loss_factor: 0.1, per_m2: 2.0, bar_spacing_m: 0.6 }),
        Just(BridgeKind::Dab { per_m2: 5.0, area_m2: 0.01 }),
        Just(BridgeKind::Tie { stiffness_n_m: 5e6, per_m2: 2.5 }),
        Just(BridgeKind::RigidPoint { count: 3.0 }),
        Just(BridgeKind::CommonFrame { length_m: 6.0, stiffness_n_m2: 1e7 }),
    ];
    prop::option::of(kinds).prop_map(move |kind| kind.map(|kind| Bridge::between(0, inner, "bridge", kind)))
}

fn element() -> impl Strategy<Value = Element> {
    (1..4_usize, any::<bool>())
        .prop_flat_map(|(leaves, in_situ)| {
            (
                prop::collection::vec(leaf(), leaves),
                prop::collection::vec(cavity(), leaves - 1),
                bridge(leaves.saturating_sub(1)),
                (0.5..8.0_f64, 0.5..5.0_f64),
                any::<bool>(),
                Just(in_situ),
            )
        })
        .prop_map(|(leaves, cavities, bridge, (width_m, height_m), leaks, in_situ)| {
            let count = leaves.len();
            let mut parts = Vec::new();
            let mut cavities = cavities.into_iter();
            for leaf in leaves {
                if !parts.is_empty() {
                    parts.extend(cavities.next().map(Part::Cavity));
                }
                parts.push(Part::Leaf(leaf));
            }
            let seal = Leak {
                name: "seal".into(),
                leaf: None,
                kind: LeakKind::Seal { length_m: 3.0, gap: SealClass::Brush.gap() },
                size_spread: 0.5,
            };
            Element {
                name: "any".into(),
                width_m,
                height_m,
                parts,
                bridges: bridge.into_iter().filter(|_| count > 1).collect(),
                leaks: if leaks { vec![seal] } else { Vec::new() },
                mounting: if in_situ { Mounting::InSitu } else { Mounting::Laboratory },
                measured: None,
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Any build-up has a finite R in every band, inside its own stated band, and no path beats the whole.
    #[test]
    fn any_build_up_has_finite_answers(element in element()) {
        let prediction = sound::predict(&element).unwrap();
        for band in Band::all() {
            let r = prediction.r_db.get(band);
            prop_assert!(r.is_finite() && r > -60.0, "{} at {}", r, band.nominal());
            prop_assert!(prediction.lower_db.get(band) <= r && r <= prediction.upper_db.get(band));
            prop_assert!(r <= prediction.paths_db.air_db.get(band) + 1e-9);
        }
        prop_assert_eq!(prediction.limits.len(), 27);
    }

    /// Twice the same element is twice the same answer, to the bit.
    #[test]
    fn the_same_answer_twice(element in element()) {
        prop_assert_eq!(sound::predict(&element), sound::predict(&element));
    }

    /// A limp leaf of twice the mass gains 5 to 6.1 dB wherever it is heavy against the air.
    #[test]
    fn limp_mass_gains_six_decibels(mass in 5.0..100.0_f64) {
        let limp = |mass: f64| {
            let mut leaf = Leaf::thin("limp", vec![Sheet::from_wave_speed("limp", 0.01, mass / 0.01, 500.0)]);
            leaf.kind = LeafKind::Limp;
            let element = Element { name: "limp".into(), parts: vec![Part::Leaf(leaf)], ..Element::default() };
            sound::Prepared::new(&element).unwrap().transmission().reduction_index()
        };
        let gain = limp(2.0 * mass).minus(&limp(mass));
        for band in Band::range(200.0, 5000.0) {
            prop_assert!((4.5..6.1).contains(&gain.get(band)), "{} at {}", gain.get(band), band.nominal());
        }
    }
}

fn board(count: usize) -> Part {
    Part::Leaf(Leaf::thin(
        "board",
        vec![Sheet::from_wave_speed("plasterboard", 0.0125, 690.0, 1810.0); count],
    ))
}

fn rw(element: &Element) -> i32 {
    sound::predict(element).unwrap().ratings.rw_db
}

fn wall(cavity: Cavity, kind: Option<BridgeKind>, boards: usize) -> Element {
    Element {
        name: "wall".into(),
        parts: vec![board(boards), Part::Cavity(cavity), board(boards)],
        bridges: kind.into_iter().map(|kind| Bridge::between(0, 1, "bridge", kind)).collect(),
        ..Element::default()
    }
}

#[test]
fn fibre_helps_a_separated_wall() {
    let kind = BridgeKind::DoubleStud { spacing_m: 0.6 };
    let empty = rw(&wall(Cavity::empty(0.2), Some(kind.clone()), 2));
    let filled = rw(&wall(Cavity::filled(0.2, Fill::fibre("wool", 0.18, 7000.0, 14.0)), Some(kind), 2));
    assert!((4..=20).contains(&(filled - empty)), "{empty} {filled}");
}

#[test]
fn a_bridged_clip_spoils_a_ceiling() {
    let cavity = || Cavity::filled(0.2, Fill::fibre("wool", 0.15, 7000.0, 14.0));
    let clip = BridgeKind::Clip { stiffness_n_m: 2e5, loss_factor: 0.1, per_m2: 1.5, bar_spacing_m: 0.6 };
    let sound_one = wall(cavity(), Some(clip), 2);
    let mut faulty = sound_one.clone();
    faulty.bridges.push(Bridge::between(0, 1, "long screws", BridgeKind::RigidPoint { count: 20.0 }));
    assert!(rw(&faulty) + 3 <= rw(&sound_one), "{} {}", rw(&faulty), rw(&sound_one));
}

#[test]
fn a_slit_spoils_a_heavy_wall() {
    let mut element = Element {
        name: "wall".into(),
        parts: vec![Part::Leaf(Leaf::masonry(
            "brick",
            vec![Sheet::from_wave_speed("brick", 0.215, 1900.0, 2700.0)],
        ))],
        ..Element::default()
    };
    let tight = rw(&element);
    let kind =
        LeakKind::Slit { length_m: 4.0, width_m: 0.005, depth_m: 0.2, filling_pa_s_m2: None, at_edge: true };
    element.leaks.push(Leak { name: "head joint".into(), leaf: None, kind, size_spread: 0.5 });
    let prediction = sound::predict(&element).unwrap();
    assert!(prediction.ratings.rw_db + 10 < tight);
    assert!(prediction.advice[0].contains("head joint"), "{:?}", prediction.advice);
}

#[test]
fn board_on_dabs_can_make_a_wall_worse() {
    let block = || Leaf::masonry("block", vec![Sheet::from_wave_speed("block", 0.1, 1400.0, 2400.0)]);
    let bare = Element { name: "bare".into(), parts: vec![Part::Leaf(block())], ..Element::default() };
    let lined = Element {
        name: "lined".into(),
        parts: vec![Part::Leaf(block()), Part::Cavity(Cavity::empty(0.012)), board(1)],
        bridges: vec![Bridge::between(0, 1, "dabs", BridgeKind::Dab { per_m2: 5.0, area_m2: 0.01 })],
        ..Element::default()
    };
    let band = Band::from_nominal_hz(250.0).unwrap();
    let (bare, lined) = (sound::predict(&bare).unwrap(), sound::predict(&lined).unwrap());
    assert!(lined.r_db.get(band) < bare.r_db.get(band));
}

#[test]
fn a_third_leaf_in_a_shallow_cavity_hurts_low_frequencies() {
    let double = wall(Cavity::filled(0.2, Fill::fibre("wool", 0.15, 7000.0, 14.0)), None, 2);
    let half = || Part::Cavity(Cavity::filled(0.0938, Fill::fibre("wool", 0.07, 7000.0, 14.0)));
    let triple = Element {
        name: "triple".into(),
        parts: vec![board(2), half(), board(1), half(), board(1)],
        ..Element::default()
    };
    let band = Band::from_nominal_hz(80.0).unwrap();
    let (double, triple) = (sound::predict(&double).unwrap(), sound::predict(&triple).unwrap());
    assert!(triple.r_db.get(band) < double.r_db.get(band));
    assert_eq!(triple.resonances.len(), 2);
}

#[test]
fn a_measured_spectrum_is_used_as_it_stands() {
    let readings = Band::range(100.0, 3150.0).map(|band| (band, 47.3)).collect();
    let element = Element {
        name: "door".into(),
        measured: Some(sound::element::Measured { readings, standard_uncertainty_db: Some(1.5) }),
        ..Element::default()
    };
    let prediction = sound::predict(&element).unwrap();
    let band = Band::from_nominal_hz(500.0).unwrap();
    assert!((prediction.r_db.get(band) - 47.3).abs() < 1e-9);
    assert!(
        (prediction.upper_db.get(band) - prediction.lower_db.get(band) - 2.0 * 1.28155 * 1.5).abs() < 1e-3
    );
}
