//! The accuracy report must say what the program does now, and the stated bands must hold.

#[path = "cases/mod.rs"]
mod cases;
#[path = "cases/comparison.rs"]
mod comparison;
#[path = "cases/report.rs"]
mod report;

use std::path::Path;

const CASES: &str = include_str!("reference/cases.txt");
const LEFT_OUT: &str = include_str!("reference/cross_validation.txt");

#[test]
fn report_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/accuracy-sound.md");
    let written = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        written == report::report(CASES, LEFT_OUT),
        "docs/accuracy-sound.md is stale: run `cargo run -p sound --example accuracy`"
    );
}

/// Every case left out in turn is in the file, so that its totals speak of all.
#[test]
fn cross_validation_names_every_fitted_case() {
    let cases = cases::load(CASES);
    for case in
        cases.iter().filter(|c| ["stud wall", "glazing", "floor", "masonry"].contains(&c.family.as_str()))
    {
        let compared =
            comparison::compare(case, &sound::family::FamilyParameters::default(), sound::AirModel::Layers);
        let line = format!("{} | {} | ", case.family, case.name);
        assert!(compared.single.is_none() || LEFT_OUT.contains(&line), "{} is missing", case.name);
    }
}

/// The stated 80 % band holds 75 to 90 % of the published values, bands and single numbers.
#[test]
fn stated_bands_hold_what_they_state() {
    let cases = cases::load(CASES);
    let (mut bands, mut held, mut singles, mut singles_held) = (0, 0, 0, 0);
    for case in &cases {
        let found = report::inside(case);
        bands += found.bands;
        held += found.bands_held;
        singles += found.singles;
        singles_held += found.singles_held;
    }
    let share = |part: usize, of: usize| 100.0 * part as f64 / of as f64;
    assert!((75.0..=90.0).contains(&share(held, bands)), "{held} of {bands} band values");
    assert!(
        (75.0..=90.0).contains(&share(singles_held, singles)),
        "{singles_held} of {singles} single numbers"
    );
}
