//! Holds predictions against the published cases.

#![allow(
    dead_code,
    missing_docs,
    unreachable_pub,
    clippy::expect_used,
    reason = "shared by tests and the programs that fit; each uses its own part"
)]

use bands::{OctaveBand, OctaveReadings, Octaves, Spectrum, astm_e413, rate_octaves, rate_spectrum};
use sound::{AirModel, Prepared, family::FamilyParameters, model_spread::Kind};

use super::cases::Case;

/// One case, measured and predicted.
#[derive(Clone, Debug)]
pub struct Compared {
    pub family: String,
    pub name: String,
    pub source: String,
    pub kind: Kind,
    /// STC where it is printed, else Rw from octaves: measured and predicted.
    pub single: Option<(f64, f64)>,
    /// The predicted single number without its steps of 1 dB, for fitting.
    pub smooth: Option<f64>,
    /// Nominal frequency (Hz), whether an octave, measured, predicted.
    pub bands: Vec<(f64, bool, f64, f64)>,
    pub assumed: String,
}

/// Bands that count: third octaves 100 to 3150 Hz, octaves 125 to 2000 Hz.
pub fn counts(frequency_hz: f64, octave: bool) -> bool {
    if octave { (125.0..=2000.0).contains(&frequency_hz) } else { (100.0..=3150.0).contains(&frequency_hz) }
}

/// Predicts a case and sets it beside what was measured.
pub fn compare(case: &Case, family: &FamilyParameters, model: AirModel) -> Compared {
    let prepared = Prepared::with(&case.element, family, model, &[]).expect("a published case can be built");
    let r = prepared.transmission().reduction_index();
    let octaves = Octaves::of_reductions(&r);
    let mut bands: Vec<(f64, bool, f64, f64)> = case
        .octaves
        .iter()
        .map(|(octave, value)| (octave.nominal_hz(), true, *value, octaves.get(*octave)))
        .collect();
    bands.extend(case.thirds.iter().map(|(band, value)| (band.nominal_hz(), false, *value, r.get(*band))));
    Compared {
        family: case.family.clone(),
        name: case.name.clone(),
        source: case.source.clone(),
        kind: Kind::of(&case.element),
        single: single_number(case, &r, &octaves),
        smooth: smooth_single_number(case, &r, &octaves),
        bands,
        assumed: case.assumed.clone(),
    }
}

fn single_number(case: &Case, r: &Spectrum, octaves: &Octaves) -> Option<(f64, f64)> {
    if let Some(stc) = case.stc {
        return Some((stc, f64::from(rate_spectrum(r).ok()?.stc_db?)));
    }
    let measured: OctaveReadings = case.octaves.iter().copied().collect();
    let predicted: OctaveReadings =
        OctaveBand::range(125.0, 2000.0).map(|octave| (octave, octaves.get(octave))).collect();
    Some((f64::from(rate_octaves(&measured).ok()?.rw_db), f64::from(rate_octaves(&predicted).ok()?.rw_db)))
}

/// STC in steps of 0.1 dB (with the 3 dB of deficiencies that rounding spectra to whole decibels forgives on average), or Rw to 0.1 dB.
fn smooth_single_number(case: &Case, r: &Spectrum, octaves: &Octaves) -> Option<f64> {
    if case.stc.is_none() {
        let predicted: OctaveReadings =
            OctaveBand::range(125.0, 2000.0).map(|octave| (octave, octaves.get(octave))).collect();
        return Some(rate_octaves(&predicted).ok()?.rw_exact_db);
    }
    let fits = |stc: f64| {
        let (mut sum, mut largest) = (0.0, 0.0_f64);
        for band in astm_e413::third_octaves() {
            let contour = f64::from(astm_e413::contour_db(band).unwrap_or(0));
            let deficiency = (stc + contour - r.get(band)).max(0.0);
            sum += deficiency;
            largest = largest.max(deficiency);
        }
        sum <= 35.0 && largest <= 8.3
    };
    (0..1200).map(|tenth| f64::from(tenth) / 10.0).take_while(|stc| fits(*stc)).last()
}

/// Sum of squared errors that the fit lowers: of single numbers, and of the bands of each case as one.
pub fn cost(compared: &[Compared]) -> f64 {
    let huber = |error: f64, knee: f64| {
        let size = error.abs();
        if size < knee { size * size } else { knee * (2.0 * size - knee) }
    };
    let (mut sum, mut weight) = (0.0, 0.0);
    for case in compared {
        if let Some(((measured, _), predicted)) = case.single.zip(case.smooth) {
            sum += huber(predicted - measured, 4.0);
            weight += 1.0;
        }
        let counted: Vec<f64> = case.bands.iter().filter(|b| counts(b.0, b.1)).map(|b| b.3 - b.2).collect();
        if !counted.is_empty() {
            sum += counted.iter().map(|error| huber(*error, 8.0)).sum::<f64>() / counted.len().max(3) as f64;
            weight += 1.0;
        }
    }
    sum / f64::max(weight, 1.0)
}

/// Totals of a family.
#[derive(Clone, Copy, Debug, Default)]
pub struct Totals {
    pub singles: usize,
    pub bias: f64,
    pub mean_absolute: f64,
    pub p90: f64,
    pub bands: usize,
    pub rms: f64,
}

/// Totals over some cases.
pub fn totals<'a>(compared: impl Iterator<Item = &'a Compared> + Clone) -> Totals {
    let errors: Vec<f64> = compared.clone().filter_map(|c| c.single).map(|(m, p)| p - m).collect();
    let mut sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let count = errors.len().max(1) as f64;
    let place = ((sizes.len() as f64 * 0.9).ceil() as usize).saturating_sub(1);
    let squares: Vec<f64> = compared
        .flat_map(|c| c.bands.iter())
        .filter(|b| counts(b.0, b.1))
        .map(|b| (b.3 - b.2) * (b.3 - b.2))
        .collect();
    Totals {
        singles: errors.len(),
        bias: errors.iter().sum::<f64>() / count,
        mean_absolute: sizes.iter().sum::<f64>() / count,
        p90: sizes.get(place).copied().unwrap_or(0.0),
        bands: squares.len(),
        rms: (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt(),
    }
}

/// Families in the order of the file.
pub fn families(compared: &[Compared]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for case in compared {
        if !found.contains(&case.family) {
            found.push(case.family.clone());
        }
    }
    found
}
