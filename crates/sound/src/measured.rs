//! A measured spectrum in place of a prediction.

use bands::{Band, Spectrum};

use crate::element::Measured;

/// Standard deviation of reproducibility between laboratories, 50 Hz to 5 kHz, dB (ISO 12999-1:2020, Table 2, situation A, as its
/// Annex B prints it).
const REPRODUCIBILITY_DB: [f64; 21] =
    [6.8, 4.6, 3.8, 3.0, 2.7, 2.4, 2.1, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.8, 1.9, 2.0, 2.4, 2.8];
/// The same of Rw, dB.
const SINGLE_NUMBER_REPRODUCIBILITY_DB: f64 = 1.2;
/// Added for a band that was not measured, dB.
const EXTRAPOLATED_DB: f64 = 3.0;

/// The measured values; where a band was not measured, the model moved so that it meets the nearest measured band, or with
/// no model that band's value.
pub(crate) fn spectrum(measured: &Measured, model: Option<&Spectrum>) -> Spectrum {
    Spectrum::from_fn(|band| {
        if let Some(value) = measured.readings.get(band) {
            return value;
        }
        let nearest = measured.readings.iter().min_by_key(|(other, _)| other.index().abs_diff(band.index()));
        match (nearest, model) {
            (Some((other, value)), Some(model)) => value + model.get(band) - model.get(other),
            (Some((_, value)), None) => value,
            (None, _) => 0.0,
        }
    })
}

/// Standard uncertainty of a band, dB.
pub(crate) fn standard_uncertainty_db(measured: &Measured, band: Band) -> f64 {
    let own = measured.standard_uncertainty_db.unwrap_or_else(|| {
        let place = band.index().saturating_sub(3).min(REPRODUCIBILITY_DB.len() - 1);
        REPRODUCIBILITY_DB.get(place).copied().unwrap_or(2.0)
    });
    if measured.readings.get(band).is_some() { own } else { own + EXTRAPOLATED_DB }
}

/// Standard uncertainty of Rw, dB.
pub(crate) fn single_number_uncertainty_db(measured: &Measured) -> f64 {
    measured.standard_uncertainty_db.unwrap_or(SINGLE_NUMBER_REPRODUCIBILITY_DB)
}
