//! A double stud wall with fibre, predicted: `cargo run -p sound --example stud_wall`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use sound::element::{Bridge, BridgeKind, Cavity, Fill, Leaf, Part, Sheet};
use sound::{Element, ElementError, predict};

fn main() -> Result<(), ElementError> {
    let board = || Sheet::from_wave_speed("plasterboard 12.5 mm", 0.0125, 720.0, 1700.0);
    let leaf = |name: &str| Part::Leaf(Leaf::thin(name, vec![board(), board()]));
    let fibre = Fill::fibre("mineral wool 100 mm", 0.1, 8_000.0, 20.0);
    let wall = Element {
        name: "two rows of studs".to_owned(),
        parts: vec![leaf("outer boards"), Part::Cavity(Cavity::filled(0.2, fibre)), leaf("inner boards")],
        bridges: vec![Bridge::between(0, 1, "two rows of studs", BridgeKind::DoubleStud { spacing_m: 0.6 })],
        ..Element::default()
    };
    let found = predict(&wall)?;
    println!(
        "Rw (C; Ctr) = {}, Rw four times in five {:.0} to {:.0} dB",
        found.ratings.rw_c_ctr(),
        found.rw_lower_db,
        found.rw_upper_db
    );
    for (band, r_db) in found.r_db.iter() {
        println!(
            "{:>6} Hz  {r_db:5.1} dB  ({:.1} to {:.1})",
            band.nominal(),
            found.lower_db.get(band),
            found.upper_db.get(band)
        );
    }
    for sentence in &found.advice {
        println!("{sentence}");
    }
    Ok(())
}
