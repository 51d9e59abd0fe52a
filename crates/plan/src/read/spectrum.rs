//! Measured spectra: typed into the file, or in a file of their own.

use bands::{Band, Readings};
use toml::de::DeValue;

use crate::{
    diagnostic::Diagnostic,
    read::{
        Attached,
        field::{Field, Slot},
        reading::{Reading, joined},
        wording::{list_names, plain, shown},
    },
    schema::Shape,
};

impl Field for Readings {
    fn shape() -> Shape {
        Shape::Spectrum
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let DeValue::Table(table) = slot.value.get_ref() else {
            slot.wrong_type(reading, "a table of bands, such as { \"100\" = 25.0, \"125\" = 27.5 }");
            return None;
        };
        let mut readings = Self::default();
        let mut all_good = true;
        for (name, value) in table {
            let path = format!("{}.{}", slot.path, name.get_ref());
            reading.note_standing(&path, name.span(), value.span());
            let band = name.get_ref().trim().parse::<f64>().ok().and_then(band_of);
            let item = Slot { path, key: slot.key, about: slot.about, range: slot.range, value };
            let number = item.number(reading);
            if band.is_none() {
                let message = format!("`{}` is no third-octave band.", shown(name.get_ref()));
                reading
                    .error_at("unknown-band", name.span(), Some(&item.path), message)
                    .here("not a band")
                    .help(band_help(name.get_ref()));
            }
            match (band, number) {
                (Some(band), Some(number)) => {
                    readings.insert(band, number);
                }
                _ => all_good = false,
            }
        }
        if table.is_empty() {
            reading
                .error("empty-spectrum", &slot.path, format!("`{}` has no band.", slot.key))
                .help("Write at least one band and its value, such as { \"100\" = 25.0 }.");
            return None;
        }
        all_good.then_some(readings)
    }
}

/// The band of a nominal frequency as typed; an octave's or a rounded one counts only where it is a nominal one.
fn band_of(frequency_hz: f64) -> Option<Band> {
    Band::all().find(|band| (band.nominal_hz() - frequency_hz).abs() < 1e-6)
}

fn band_help(typed: &str) -> String {
    let near = typed.trim().parse::<f64>().ok().filter(|f| f.is_finite() && *f > 0.0).and_then(|frequency| {
        Band::all().min_by(|a, b| {
            let away = |band: &Band| (band.nominal_hz() / frequency).max(frequency / band.nominal_hz());
            away(a).total_cmp(&away(b))
        })
    });
    match near {
        Some(band) => format!("The nearest is \"{}\".", band.nominal()),
        None => {
            format!("The bands are {}.", list_names(Band::all().map(Band::nominal), bands::BAND_COUNT))
        }
    }
}

/// Reads a spectrum from comma-separated text with the columns `frequency_hz,value_db`.
///
/// One row a third-octave band; empty rows and rows that start with `#` count nothing; the header may be missing.
/// Values from −50 to 200 dB. Returns no readings if any diagnostic is an error.
pub fn read_spectrum(text: &str, file_name: &str) -> (Option<Readings>, Vec<Diagnostic>) {
    let (text, byte_order_mark) = super::without_byte_order_mark(text);
    let none = Attached::new();
    let mut reading = Reading::new(text, file_name, &none);
    let mut readings = Readings::default();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let row = line.trim();
        let start = at + (line.len() - line.trim_start().len());
        at += line.len();
        if row.is_empty() || row.starts_with('#') || row.starts_with("frequency") {
            continue;
        }
        let span = start..start + row.len();
        let cells: Vec<&str> = row.split([',', ';', '\t']).map(str::trim).collect();
        let numbers: Vec<Option<f64>> = cells.iter().map(|cell| cell.parse::<f64>().ok()).collect();
        let [Some(frequency_hz), Some(value_db)] = numbers.as_slice() else {
            reading
                .error_at("bad-row", span, None, format!("`{}` is no row of a spectrum.", shown(row)))
                .help("Write the band in hertz, a comma, and the value in decibels with a point: 125,27.5");
            continue;
        };
        if !(-50.0..=200.0).contains(value_db) {
            let message = format!("{} dB cannot be: a value must lie from -50 to 200 dB.", plain(*value_db));
            reading.error_at("out-of-range", span, None, message).help("Check the reading.");
            continue;
        }
        let Some(band) = band_of(*frequency_hz) else {
            let message = format!("{} Hz is no third-octave band.", shown(&plain(*frequency_hz)));
            reading.error_at("unknown-band", span, None, message).help(band_help(&plain(*frequency_hz)));
            continue;
        };
        if readings.insert(band, *value_db).is_some() {
            let message = format!("The band {} Hz stands here a second time.", band.nominal());
            reading.error_at("repeated", span, None, message).help("Keep one row for each band.");
        }
    }
    if readings.is_empty() && !reading.has_errors() {
        reading
            .error_at("empty-spectrum", 0..0, None, "The file holds no spectrum.")
            .help("Write one row for each band, such as 125,27.5 under the header frequency_hz,value_db.");
    }
    let good = !reading.has_errors();
    (good.then_some(readings), super::shifted(reading.finish(), byte_order_mark))
}

/// The spectrum of a key `measured`, or of the file that `measured_csv` names.
pub(crate) fn measured(
    typed: Option<Readings>,
    csv: Option<&str>,
    path: &str,
    reading: &mut Reading<'_>,
) -> Option<Readings> {
    let Some(name) = csv else { return typed };
    let key = joined(path, "measured_csv");
    if typed.is_some() {
        reading
            .error("either-or", &key, "`measured` and `measured_csv` both stand here.")
            .help("Keep one of them: the values in this file, or the name of the file that has them.");
        return None;
    }
    let Some(text) = reading.attached.get(name) else {
        reading
            .error("missing-file", &key, format!("The file `{}` was not found.", shown(name)))
            .here("no such file")
            .help("Put it into the folder of this file, with rows such as 125,27.5 under the header frequency_hz,value_db.");
        return None;
    };
    let (readings, found) = read_spectrum(text, name);
    if let Some(first) = found.first() {
        let message = format!("`{}`, line {}: {}", shown(name), first.line, first.message);
        let help = first.help.clone();
        reading.error("bad-file", &key, message).help_if(help);
    }
    readings
}
