//! A joist of a flat roof under a heavy ceiling after EN 1995-1-1: `cargo run -p fabric --example joist`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use fabric::timber::{Grade, JoistCheck, Section, check_joist};
use fabric::{FabricError, STRUCTURAL_CAUTION, en_338_2016::StrengthClass, loads::SpreadLoad};

fn main() -> Result<(), FabricError> {
    let section = Section { members: 1, member_width_mm: 47.0, depth_mm: 195.0 };
    let mut joist =
        JoistCheck::flat_roof("J1", section, Grade::Known(StrengthClass::from_name("C24")?), 3.6, 0.4);
    for (name, load_kn_m2) in [("deck and felt", 0.25), ("hung ceiling", 0.32)] {
        joist.permanent.push(SpreadLoad { name: name.to_owned(), load_kn_m2 });
    }
    let found = check_joist(&joist)?;
    println!(
        "{}: {} {:.0} % used",
        found.name,
        found.governing.question.name(),
        100.0 * found.governing.utilisation
    );
    println!(
        "bending {:.0} %, shear {:.0} %",
        100.0 * found.bending.utilisation,
        100.0 * found.shear.utilisation
    );
    println!("{STRUCTURAL_CAUTION}");
    Ok(())
}
