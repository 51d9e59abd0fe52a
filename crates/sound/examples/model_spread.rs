//! Learns from the published cases how far the model itself is off, and writes `src/model_spread_table.rs`.
//!
//! `cargo run -p sound --example model_spread`
//!
//! For each kind of build-up and octave: the 80 % quantile, over 1.28, of what of each error the spread of its materials does not
//! explain, which is the standard deviation where errors are normal and is not carried off by a few misprints; drawn towards that of all kinds where there are few data; and widened by how much
//! worse cases are predicted when they are left out of the fit.

#[path = "../tests/cases/mod.rs"]
mod cases;
#[path = "../tests/cases/comparison.rs"]
mod comparison;

use std::{fmt::Write as _, fs, io, path::Path};

use bands::{Band, OctaveBand};
use sound::{
    AirModel, Prediction,
    family::FamilyParameters,
    model_spread::{self, Kind},
    predict,
};

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
    let predicted: Vec<Prediction> = cases
        .iter()
        .map(|case| predict(&case.element).map_err(io::Error::other))
        .collect::<Result<_, io::Error>>()?;
    let paired = || compared.iter().zip(&predicted);
    let errors = |kind: Option<Kind>, hz: f64| -> Vec<f64> {
        paired()
            .filter(|(case, _)| kind.is_none_or(|kind| case.kind == kind))
            .flat_map(|(case, predicted)| case.bands.iter().map(move |band| (case, predicted, band)))
            .filter(|(_, _, band)| octave_of(band.0, band.1) == Some(hz))
            .filter_map(|(case, predicted, &(hz, _, measured, value))| {
                let band = Band::from_nominal_hz(hz)?;
                let model = model_spread::spread_db(case.kind, band);
                let r = predicted.r_db.get(band);
                let reach = (r - predicted.lower_db.get(band), predicted.upper_db.get(band) - r);
                Some(unexplained(value - measured, reach, model))
            })
            .collect()
    };
    let singles = |kind: Option<Kind>| -> Vec<f64> {
        paired()
            .filter(|(case, _)| kind.is_none_or(|kind| case.kind == kind))
            .filter_map(|(case, predicted)| {
                let (measured, value) = case.single?;
                let model = model_spread::single_number_spread_db(case.kind);
                let r = predicted.ratings.rw_exact_db;
                let reach = (r - predicted.rw_lower_db, predicted.rw_upper_db - r);
                Some(unexplained(value - measured, reach, model))
            })
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

/// What the spread of materials leaves of an error (predicted less measured, dB): `reach` is how far the stated band goes down and up, in
/// which the model's own deviation of now is joined with that spread.
fn unexplained(error: f64, reach: (f64, f64), model: f64) -> f64 {
    let reach = if error > 0.0 { reach.0 } else { reach.1 };
    let own = NORMAL_90 * model;
    let materials = (reach * reach - own * own).max(0.0);
    (error * error - materials).max(0.0).sqrt()
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
