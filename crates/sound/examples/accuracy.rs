//! Writes `docs/accuracy-sound.md`: every published case, measured and predicted.
//!
//! `cargo run -p sound --example accuracy`

#[path = "../tests/cases/mod.rs"]
mod cases;
#[path = "../tests/cases/comparison.rs"]
mod comparison;
#[path = "../tests/cases/report.rs"]
mod report;

use std::{fs, io, path::Path};

fn main() -> io::Result<()> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let cases = fs::read_to_string(here.join("tests/reference/cases.txt"))?;
    let left_out = fs::read_to_string(here.join("tests/reference/cross_validation.txt"))?;
    let docs = here.join("../../docs");
    fs::create_dir_all(&docs)?;
    fs::write(docs.join("accuracy-sound.md"), report::report(&cases, &left_out))
}
