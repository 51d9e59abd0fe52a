//! ISO 389-7, *Reference threshold of hearing under free-field and diffuse-field listening conditions*.

use crate::{BAND_COUNT, Band, OctaveBand, Spectrum};

/// Threshold of hearing in a free field, both ears, facing the sound, at a third octave, dB.
///
/// Values of ISO 226:2023 Table 1 (threshold T_f), which agree with the free-field threshold of ISO 389-7:2019: half
/// of young people with normal hearing hear a pure tone of this level. Wide sounds spread over several bands can
/// be heard a little below it.
///
/// ```
/// use bands::{Band, iso_389_7::free_field_db};
/// assert_eq!(free_field_db(Band::from_nominal_hz(1000.0).unwrap()), 2.4);
/// ```
pub fn free_field_db(band: Band) -> f64 {
    FREE_FIELD_DB[band.index()]
}

/// Threshold of hearing in a free field over all bands, dB.
pub fn free_field() -> Spectrum {
    Spectrum::from_values(FREE_FIELD_DB)
}

/// Threshold of hearing in a diffuse field at an octave, dB (ISO 389-7:2005, Table 1); none below 125 Hz.
pub fn diffuse_field_db(octave: OctaveBand) -> Option<f64> {
    const FROM_125: [f64; 7] = [22.1, 11.4, 3.8, 0.8, -1.5, -3.8, 6.8];
    octave.index().checked_sub(2).and_then(|at| FROM_125.get(at)).copied()
}

const FREE_FIELD_DB: [f64; BAND_COUNT] = [
    68.7, 59.5, 51.1, 44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.6, 6.2, 4.4, 3.0, 2.2, 2.4, 3.5, 1.7,
    -1.3, -4.2, -6.0, -5.4, -1.5, 6.0, 12.6, 13.9,
];
