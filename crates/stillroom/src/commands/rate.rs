//! `stillroom rate`: ratings of a typed spectrum.

use std::{fmt::Write as _, path::Path, process::ExitCode};

use anyhow::Result;
use bands::{Band, OctaveBand, OctaveReadings, Ratings, Readings};
use serde::Serialize;

use crate::{files, report};

/// A spectrum as typed.
#[derive(Serialize)]
#[serde(untagged)]
enum Typed {
    Thirds(Readings),
    Octaves(OctaveReadings),
}

#[derive(Serialize)]
struct Output {
    file: String,
    bands: &'static str,
    spectrum_db: Typed,
    #[serde(flatten)]
    ratings: Ratings,
}

/// Rates the table in a file.
pub(crate) fn run(file: &Path, json: bool) -> Result<ExitCode> {
    let name = files::short_name(file);
    let text = files::read_text(file)?;
    let typed = read_table(&text).map_err(|sentence| anyhow::anyhow!("{name}: {sentence}"))?;
    let (ratings, width) = match &typed {
        Typed::Thirds(readings) => (bands::rate(readings), "third-octave"),
        Typed::Octaves(readings) => (bands::rate_octaves(readings), "octave"),
    };
    let ratings = ratings.map_err(|error| anyhow::anyhow!("{name}: {error}"))?;
    if json {
        let output = Output { file: name, bands: width, spectrum_db: typed, ratings };
        report::say(&serde_json::to_string_pretty(&output)?)?;
    } else {
        report::say_figures(&in_words(&name, width, &ratings), None)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn in_words(name: &str, width: &str, ratings: &Ratings) -> String {
    let mut text = format!("{name}, {width} bands\n\n");
    let mut line = |label: &str, value: String| {
        let _ = writeln!(text, "  {label:<14}{value}");
    };
    line("Rw (C; Ctr)", ratings.rw_c_ctr());
    let extended = [
        ("C50-3150", ratings.c50_3150_db),
        ("C50-5000", ratings.c50_5000_db),
        ("C100-5000", ratings.c100_5000_db),
        ("Ctr,50-3150", ratings.ctr50_3150_db),
        ("Ctr,50-5000", ratings.ctr50_5000_db),
        ("Ctr,100-5000", ratings.ctr100_5000_db),
    ];
    for (label, value) in extended {
        if let Some(value) = value {
            line(label, quantities::format::with_unit(f64::from(value), 0, "dB"));
        }
    }
    match ratings.stc_db {
        Some(stc) => line("STC", stc.to_string()),
        None => line("STC", "needs third octaves from 125 to 4000 Hz".to_owned()),
    }
    line("Rw exact", quantities::format::with_unit(ratings.rw_exact_db, 1, "dB"));
    line(
        "unfavourable",
        format!("{} under the curve", quantities::format::with_unit(ratings.unfavourable_sum_db, 1, "dB")),
    );
    if let Some(hz) = ratings.binding_hz {
        line("binds at", quantities::format::with_unit(hz, 0, "Hz"));
    }
    text
}

/// Reads the columns `frequency_hz,value_db`. Lines that begin with `#` are notes; a semicolon or a tab may stand for
/// the comma.
fn read_table(text: &str) -> Result<Typed, String> {
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or("");
    let delimiter = [b';', b'\t'].into_iter().find(|mark| first.as_bytes().contains(mark)).unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .comment(Some(b'#'))
        .delimiter(delimiter)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows: Vec<(u64, f64, f64)> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| format!("the table cannot be read: {error}"))?;
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |at: usize| record.get(at).unwrap_or("");
        let number = |at: usize| {
            let cell = cell(at);
            let cell = if delimiter == b',' { cell.to_owned() } else { cell.replace(',', ".") };
            cell.parse::<f64>().ok().filter(|value| value.is_finite())
        };
        match (number(0), number(1)) {
            (Some(frequency_hz), Some(value_db)) => rows.push((line, frequency_hz, value_db)),
            _ if rows.is_empty()
                && number(0).is_none()
                && cell(0).starts_with(|c: char| c.is_alphabetic()) => {}
            (frequency, _) => {
                let which = usize::from(frequency.is_some());
                let what = ["a frequency in Hz", "a value in dB"][which];
                return Err(format!(
                    "line {line}: `{}` is not {what}. Write one band a line, such as `125,36.2`.",
                    cell(which)
                ));
            }
        }
    }
    if rows.is_empty() {
        return Err("there is no band in it. Write one band a line, such as `125,36.2`.".to_owned());
    }
    if rows.iter().all(|row| OctaveBand::from_nominal_hz(row.1).is_some()) {
        let mut readings = OctaveReadings::default();
        for (line, frequency_hz, value_db) in rows {
            if let Some(octave) = OctaveBand::from_nominal_hz(frequency_hz)
                && readings.insert(octave, value_db).is_some()
            {
                return Err(twice(line, octave.nominal()));
            }
        }
        return Ok(Typed::Octaves(readings));
    }
    let mut readings = Readings::default();
    for (line, frequency_hz, value_db) in rows {
        let Some(band) = Band::from_nominal_hz(frequency_hz) else {
            let below = Band::all().rfind(|band| band.nominal_hz() <= frequency_hz);
            let above = Band::all().find(|band| band.nominal_hz() >= frequency_hz);
            let near = match (below, above) {
                (Some(low), Some(high)) => {
                    format!("the nearest bands are {} and {} Hz", low.nominal(), high.nominal())
                }
                (None, Some(high)) => format!("the lowest band is {} Hz", high.nominal()),
                (Some(low), None) => format!("the highest band is {} Hz", low.nominal()),
                (None, None) => "give the middle of a third octave".to_owned(),
            };
            return Err(format!("line {line}: {frequency_hz} Hz is no third-octave band; {near}."));
        };
        if readings.insert(band, value_db).is_some() {
            return Err(twice(line, band.nominal()));
        }
    }
    Ok(Typed::Thirds(readings))
}

fn twice(line: u64, nominal: &str) -> String {
    format!("line {line}: {nominal} Hz stands twice. Keep one of the two.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_and_octaves_are_told_apart() {
        assert!(matches!(read_table("frequency_hz,value_db\n125,20\n250,30\n"), Ok(Typed::Octaves(_))));
        assert!(matches!(read_table("frequency_hz;value_db\n100;20,5\n125;21,5\n"), Ok(Typed::Thirds(_))));
        assert!(matches!(read_table("# a note\n100,20\n125,30\n"), Ok(Typed::Thirds(_))));
    }

    #[test]
    fn each_mistake_has_its_sentence() {
        let sentence = |text: &str| read_table(text).err().unwrap_or_default();
        assert!(sentence("").contains("no band in it"));
        assert!(sentence("100,20\n100,21\n").contains("stands twice"));
        assert!(sentence("100,20\n110,21\n").contains("nearest bands are 100 and 125 Hz"));
        assert!(sentence("100,loud\n").contains("not a value in dB"));
        assert!(sentence("100,20\nabc,3\n").contains("not a frequency"));
    }
}
