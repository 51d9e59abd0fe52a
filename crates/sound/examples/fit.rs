//! Fits the family parameters on the published cases, or leaves each case out in turn.
//!
//! `cargo run -p sound --example fit` prints parameters a little better than the defaults, if it finds any; they are then rounded and typed
//! into `src/family.rs` by hand. `cargo run -p sound --example fit -- cross-validate` writes `tests/reference/cross_validation.txt`; with the name
//! of a family after it, only the group of that family is done again.

#![allow(clippy::print_stdout, reason = "a program for the developer")]

#[path = "../tests/cases/mod.rs"]
mod cases;
#[path = "../tests/cases/comparison.rs"]
mod comparison;

use std::{fmt::Write as _, fs, io, path::Path};

use cases::Case;
use quantities::math;
use rayon::prelude::*;
use sound::{AirModel, family::FamilyParameters};

/// Parameters fitted for each group of families, together where they share some.
const GROUPS: [(&[&str], &[&str]); 2] = [
    (
        &["stud wall", "glazing", "door", "floor"],
        &[
            "mounting_loss",
            "empty_spring_loss",
            "filled_spring_loss",
            "stud_cavity_loss",
            "reveal_absorption",
            "timber_bay_stiffness",
            "steel_bay_stiffness",
            "bridge_radiation",
            "timber_compliance",
            "steel_compliance",
            "steel_thickness_power",
            "steel_web_power",
            "steel_frequency_power",
            "channel_compliance",
            "channel_frequency_power",
            "clip_frequency_power",
            "staggered_share",
            "double_share",
            "frame_share",
        ],
    ),
    (&["masonry"], &["masonry_edge_loss", "masonry_edge_power"]),
];

fn main() -> io::Result<()> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let all = cases::load(&fs::read_to_string(here.join("tests/reference/cases.txt"))?);
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let cross_validate = arguments.first().is_some_and(|argument| argument == "cross-validate");
    let only = arguments.get(1);
    let kept = fs::read_to_string(here.join("tests/reference/cross_validation.txt")).unwrap_or_default();
    let mut lines = String::from(
        "# Single numbers of each case predicted with parameters fitted on all other cases of its group.\n\
         # Written by: cargo run -p sound --example fit -- cross-validate\n# family | case | measured | predicted\n",
    );
    for (families, names) in GROUPS {
        if cross_validate && only.is_some_and(|only| !families.contains(&only.as_str())) {
            let of_group =
                |line: &&str| families.iter().any(|family| line.starts_with(&format!("{family} |")));
            for line in kept.lines().filter(of_group) {
                let _ = writeln!(lines, "{line}");
            }
            continue;
        }
        let group: Vec<&Case> = all.iter().filter(|case| families.contains(&case.family.as_str())).collect();
        if !cross_validate {
            let (fitted, cost) = fit(&group, names, FamilyParameters::default(), 40);
            println!("{families:?}: cost {cost:.3}");
            let mut fitted = fitted;
            for name in names {
                println!("    {name}: {:.4};", fitted.get_mut(name).copied().unwrap_or(0.0));
            }
            continue;
        }
        let left_out: Vec<String> = (0..group.len())
            .into_par_iter()
            .map(|place| {
                let rest: Vec<&Case> = group
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != place)
                    .map(|(_, case)| *case)
                    .collect();
                let (fitted, _) = fit(&rest, names, FamilyParameters::default(), 2);
                let compared = comparison::compare(group[place], &fitted, AirModel::Layers);
                compared.single.map_or(String::new(), |(measured, predicted)| {
                    format!("{} | {} | {measured} | {predicted}\n", compared.family, compared.name)
                })
            })
            .collect();
        for line in left_out {
            let _ = write!(lines, "{line}");
        }
    }
    if cross_validate {
        fs::write(here.join("tests/reference/cross_validation.txt"), lines)?;
    }
    Ok(())
}

/// Lowers the cost by changing one parameter after the other in steps of its logarithm, halved where neither way helps.
fn fit(cases: &[&Case], names: &[&str], start: FamilyParameters, rounds: usize) -> (FamilyParameters, f64) {
    let cost = |parameters: &FamilyParameters| {
        let compared: Vec<_> =
            cases.iter().map(|case| comparison::compare(case, parameters, AirModel::Layers)).collect();
        comparison::cost(&compared)
    };
    let mut best = start;
    let mut lowest = cost(&best);
    let mut steps = vec![0.3; names.len()];
    for _ in 0..rounds {
        let mut moved = false;
        for (name, step) in names.iter().zip(&mut steps) {
            let mut helped = false;
            for direction in [1.0, -1.0] {
                let mut tried = best;
                if let Some(value) = tried.get_mut(name) {
                    *value *= math::exp(direction * *step);
                }
                let found = cost(&tried);
                if found < lowest - 1e-5 {
                    (lowest, best, helped) = (found, tried, true);
                    break;
                }
            }
            moved |= helped;
            *step *= if helped { 1.2 } else { 0.5 };
        }
        if !moved && steps.iter().all(|step| *step < 0.02) {
            break;
        }
    }
    (best, lowest)
}
