//! Reads the committed reference spectra: lines of nominal frequency and value, comments with `#`.

use bands::{Band, Readings};

/// Readings of a reference file; every line of values must be read.
pub(crate) fn spectrum(csv: &str) -> Readings {
    let lines: Vec<&str> =
        csv.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_digit())).collect();
    let readings: Readings = lines
        .iter()
        .filter_map(|line| {
            let (band, value) = line.split_once(',')?;
            Some((Band::from_nominal_hz(band.parse().ok()?)?, value.trim().parse().ok()?))
        })
        .collect();
    assert!(
        readings.len() == lines.len() && lines.len() >= 16,
        "{} of {} lines read",
        readings.len(),
        lines.len()
    );
    readings
}

/// Readings of 16 values from 100 Hz.
#[allow(dead_code, reason = "not every test file has values in this form")]
pub(crate) fn core_readings(values: [f64; 16]) -> Readings {
    Band::range(100.0, 3150.0).zip(values).collect()
}
