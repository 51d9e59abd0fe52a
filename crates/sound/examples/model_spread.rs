//! Learns from the published cases how far the model itself is off, and writes `src/model_spread_table.rs`.
//!
//! `cargo run -p sound --example model_spread`
//!
//! For each kind of build-up and octave: the 80 % quantile of the absolute error over 1.28, which is the standard deviation where errors
//! are normal and is not carried off by a few misprints; drawn towards that of all kinds where there are few data; and widened by how much
//! worse cases are predicted when they are left out of the fit.

#[path = "../tests/cases/mod.rs"]
mod cases;
#[path = "../tests/cases/comparison.rs"]
mod comparison;

use std::{fmt::Write as _, fs, io, path::Path};

use bands::{Band, OctaveBand};
use sound::{AirModel, family::FamilyParameters, model_spread::Kind};

const KINDS: [Kind; 5] =
    [Kind::SingleLeaf, Kind::Masonry, Kind::Framed, Kind::LightDouble, Kind::HeavyDouble];
/// Octaves of the table: 63 Hz to 4 kHz.
const OCTAVES_HZ: [f64; 7] = [63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0];
/// As many data of all kinds stand behind each value as this.
const DRAW_TOWARDS_ALL: f64 = 10.0;
/// Left out of the fit, single numbers err by this much more (`tests/reference/cross_validation.txt` against `docs/accuracy-sound.md`).
const LEFT_OUT: f64 = 1.1;
const NORMAL_90: f64 = 1.281_551_565_544_6;

fn main() -> io::Result<()> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let cases = cases::load(&fs::read_to_string(here.join("tests/reference/cases.txt"))?);
    let family = FamilyParameters::default();
    let compared: Vec<_> =
        cases.iter().map(|case| comparison::compare(case, &family, AirModel::Layers)).collect();
    let errors = |kind: Option<Kind>, hz: f64| -> Vec<f64> {
        compared
            .iter()
            .filter(|case| kind.is_none_or(|kind| case.kind == kind))
            .flat_map(|case| case.bands.iter())
            .filter(|band| octave_of(band.0, band.1) == Some(hz))
            .map(|band| (band.3 - band.2).abs())
            .collect()
    };
    let singles = |kind: Option<Kind>| -> Vec<f64> {
        compared
            .iter()
            .filter(|case| kind.is_none_or(|kind| case.kind == kind))
            .filter_map(|case| case.single)
            .map(|(measured, predicted)| (predicted - measured).abs())
            .collect()
    };
    let mut text = String::from(
        "//! Written by `cargo run -p sound --example model_spread` from `tests/reference/cases.txt`; not by hand.\n\n\
         use crate::model_spread::Kind;\n\n\
         /// Standard deviation of the model, dB, and the number of data behind it, at 63 Hz to 4 kHz in octaves.\n\
         #[rustfmt::skip]\npub(crate) const BANDS: [(Kind, [(f64, usize); 7]); 5] = [\n",
    );
    for kind in KINDS {
        let _ = write!(text, "    (Kind::{kind:?}, [");
        for hz in OCTAVES_HZ {
            let (value, count) = spread(errors(Some(kind), hz), errors(None, hz));
            let comma = if hz < 4000.0 { ", " } else { "" };
            let _ = write!(text, "({value:.1}, {count}){comma}");
        }
        let _ = writeln!(text, "]),");
    }
    text.push_str("];\n\n/// The same for the single number.\n#[rustfmt::skip]\npub(crate) const SINGLE_NUMBERS: [(Kind, f64, usize); 5] = [\n");
    for kind in KINDS {
        let (value, count) = spread(singles(Some(kind)), singles(None));
        let _ = writeln!(text, "    (Kind::{kind:?}, {value:.1}, {count}),");
    }
    text.push_str("];\n");
    fs::write(here.join("src/model_spread_table.rs"), text)
}

fn octave_of(frequency_hz: f64, octave: bool) -> Option<f64> {
    if octave {
        return OCTAVES_HZ.into_iter().find(|hz| (hz - frequency_hz).abs() < 1.0);
    }
    Band::from_nominal_hz(frequency_hz).map(|band| OctaveBand::of(band).nominal_hz())
}

fn spread(own: Vec<f64>, all: Vec<f64>) -> (f64, usize) {
    let count = own.len();
    let (own, all) = (deviation(own), deviation(all));
    let weight = count as f64;
    let pooled = (weight * own * own + DRAW_TOWARDS_ALL * all * all) / (weight + DRAW_TOWARDS_ALL);
    (pooled.sqrt() * LEFT_OUT, count)
}

fn deviation(mut errors: Vec<f64>) -> f64 {
    if errors.is_empty() {
        return 0.0;
    }
    errors.sort_by(f64::total_cmp);
    let place = ((errors.len() as f64 * 0.8).ceil() as usize).saturating_sub(1);
    errors.get(place).copied().unwrap_or(0.0) / NORMAL_90
}
