//! Third-octave levels of a recording: `cargo run -p proof --example levels -- recording.wav`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use std::{env, error::Error, fs::File};

use proof::analyse;

fn main() -> Result<(), Box<dyn Error>> {
    let path = env::args().nth(1).ok_or("which recording?")?;
    let found = analyse(File::open(&path)?)?;
    println!("{path}: {:.1} s, {} Hz, {} channels", found.duration_s, found.sample_rate_hz, found.channels);
    for fault in &found.faults {
        println!("  {fault}");
    }
    for (band, level_db) in found.bands.measured() {
        println!("{:>6} Hz  {level_db:6.1} dB re full scale", band.nominal());
    }
    Ok(())
}
