//! Against another solver: `oracles/choose_ortools.py`.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test stops at the first thing that is wrong"
)]

mod invented;

use choose::{Asked, solve};

/// The least cost equals that of CP-SAT (OR-Tools) on fourteen invented choices, ten with one draw and four with several of which some
/// may fail; where that finds nothing, nothing is found here.
#[test]
fn the_optimum_is_that_of_cp_sat() {
    for case in invented::cases() {
        let problem = invented::problem(&case);
        problem.check().unwrap();
        let solved = solve(&problem, &Asked { nodes: 400_000_000, ..Asked::default() });
        println!("{} nodes, {} held", solved.certificate.nodes, solved.certificate.held);
        let certificate = &solved.certificate;
        assert!(certificate.proved, "{case:?} {certificate:?}");
        assert_eq!(solved.choice.map(|choice| choice.sum.cost as i64), case.cost, "{case:?} {certificate:?}");
    }
}
