//! Beams against an independent finite-element beam solver.

use std::collections::BTreeMap;

use fabric::beam::{Beam, BeamLoads, BeamResponse, solve_beam};

const EI: f64 = 1.25e6;

struct Case {
    name: &'static str,
    beam: Beam,
    loads: BeamLoads,
}

fn case(
    name: &'static str,
    (length_m, supports_m): (f64, &[f64]),
    (left_fixed, right_fixed): (bool, bool),
    points: &[(f64, f64)],
    spread: &[(f64, f64, f64)],
) -> Case {
    Case {
        name,
        beam: Beam {
            length_m,
            supports_m: supports_m.to_vec(),
            left_fixed,
            right_fixed,
            ei_nm2: EI,
            shear_stiffness_n: f64::INFINITY,
        },
        loads: BeamLoads { points: points.to_vec(), spread: spread.to_vec() },
    }
}

/// The cases of `oracles/beams_pynite.py`, in its order.
fn cases() -> Vec<Case> {
    let free = (false, false);
    vec![
        case("one span with spread", (3.6, &[0.0, 3.6]), free, &[], &[(0.0, 3.6, 1005.0)]),
        case(
            "one span with three clips",
            (3.9, &[0.0, 3.9]),
            free,
            &[(0.55, 410.0), (1.62, 395.0), (3.05, 430.0)],
            &[(0.0, 3.9, 520.0)],
        ),
        case("one span with part spread", (4.2, &[0.0, 4.2]), free, &[], &[(0.9, 2.7, 1800.0)]),
        case(
            "two spans with clips in both",
            (6.3, &[0.0, 2.9, 6.3]),
            free,
            &[(1.1, 900.0), (4.7, 1400.0), (5.9, 350.0)],
            &[(0.0, 6.3, 600.0)],
        ),
        case("two spans with one loaded", (6.0, &[0.0, 3.0, 6.0]), free, &[], &[(0.0, 3.0, 1500.0)]),
        case(
            "three spans with alternate",
            (8.1, &[0.0, 2.4, 5.5, 8.1]),
            free,
            &[(4.0, 700.0)],
            &[(0.0, 2.4, 900.0), (5.5, 8.1, 900.0)],
        ),
        case("span and overhang", (4.6, &[0.0, 3.4]), free, &[(4.6, 800.0)], &[(0.0, 4.6, 450.0)]),
        case(
            "overhang at both ends",
            (5.2, &[0.8, 4.1]),
            free,
            &[(0.0, 300.0), (2.3, 1200.0)],
            &[(0.0, 5.2, 350.0)],
        ),
        case("built in, free tip", (1.7, &[]), (true, false), &[(1.2, 950.0)], &[(0.0, 1.7, 400.0)]),
        case("built in and propped", (3.3, &[3.3]), (true, false), &[(1.4, 1100.0)], &[(0.0, 3.3, 700.0)]),
        case("built in at both ends", (2.8, &[]), (true, true), &[(0.9, 1600.0)], &[(0.4, 2.0, 1000.0)]),
        case("clip beside a support", (3.0, &[0.0, 3.0]), free, &[(0.004, 5000.0), (2.6, 640.0)], &[]),
    ]
}

/// PyNiteFEA 3.2.0 by `oracles/beams_pynite.py`: reactions, and moments and deflections at 41 places of twelve beams, to 1e-7 of the
/// largest value of each beam.
#[test]
fn twelve_beams_of_an_independent_solver() {
    let mut reference: BTreeMap<(&str, &str), Vec<(f64, f64)>> = BTreeMap::new();
    let rows: Vec<(String, String, f64, f64)> = include_str!("reference/beams.csv")
        .lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("case,"))
        .map(|line| {
            let mut fields: Vec<&str> = line.rsplitn(4, ',').collect();
            fields.reverse();
            let [name, quantity, at, value] = fields.as_slice() else { panic!("{line}") };
            let name = name.trim_matches('"').to_owned();
            (name, (*quantity).to_owned(), at.parse().unwrap(), value.parse().unwrap())
        })
        .collect();
    for (name, quantity, at, value) in &rows {
        reference.entry((name, quantity)).or_default().push((*at, *value));
    }
    let cases = cases();
    assert_eq!(reference.len(), 3 * cases.len());
    for Case { name, beam, loads } in &cases {
        let response = solve_beam(beam, loads).unwrap();
        let reactions = &reference[&(*name, "reaction_n")];
        assert_eq!(reactions.len(), response.reactions_n.len(), "{name}");
        let largest = reactions.iter().map(|(_, value)| value.abs()).fold(0.0, f64::max);
        for (ours, (_, theirs)) in response.reactions_n.iter().zip(reactions) {
            assert!((ours - theirs).abs() <= 1e-7 * largest, "{name}: reaction {ours} against {theirs}");
        }
        let moment = |r: &BeamResponse, at: f64| r.moment_nm(at);
        let deflection = |r: &BeamResponse, at: f64| r.deflection_m(at).0;
        compare(name, &response, &reference[&(*name, "moment_nm")], moment);
        compare(name, &response, &reference[&(*name, "deflection_m")], deflection);
    }
}

#[track_caller]
fn compare(
    name: &str,
    response: &BeamResponse,
    reference: &[(f64, f64)],
    ours: impl Fn(&BeamResponse, f64) -> f64,
) {
    let largest = reference.iter().map(|(_, value)| value.abs()).fold(0.0, f64::max);
    assert!(reference.len() == 41 && largest > 0.0, "{name}");
    for &(at, theirs) in reference {
        let value = ours(response, at);
        assert!((value - theirs).abs() <= 1e-7 * largest, "{name} at {at}: {value} against {theirs}");
    }
}
