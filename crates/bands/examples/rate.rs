//! Rates the worked wall of ISO 717-1:2020 Annex C: `cargo run -p bands --example rate`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use bands::{Band, RatingError, Readings, rate};

/// Sound reduction index of the example of Annex C, 100 to 3150 Hz, dB.
const R_DB: [f64; 16] =
    [20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6, 28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5];

fn main() -> Result<(), RatingError> {
    let mut readings = Readings::default();
    for (band, r_db) in Band::range(100.0, 3150.0).zip(R_DB) {
        readings.insert(band, r_db);
    }
    println!("Rw (C; Ctr) = {}", rate(&readings)?.rw_c_ctr());
    Ok(())
}
