//! ASTM E413, *Classification for Rating Sound Insulation*: the sound transmission class STC.

use serde::Serialize;

use crate::{Band, RatingError};

/// Sum of deficiencies allowed over the 16 bands, dB.
pub const ALLOWED_SUM_DB: i32 = 32;
/// Deficiency allowed in any one band, dB.
pub const ALLOWED_IN_ONE_BAND_DB: i32 = 8;

/// Which rule keeps the contour from going one decibel higher.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StcLimit {
    /// The sum of deficiencies would pass 32 dB.
    Sum,
    /// This band would be more than 8 dB under the contour (the lowest such band).
    OneBand(Band),
}

/// A sound transmission class and how it came about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SoundTransmissionClass {
    /// STC: the fitted contour at 500 Hz, dB.
    pub stc_db: i32,
    /// Sum of the deficiencies under the fitted contour, dB.
    pub deficiency_sum_db: i32,
    /// Largest deficiency in one band, dB.
    pub largest_deficiency_db: i32,
    /// Bands under the fitted contour and by how many dB, lowest band first.
    pub deficiencies_db: Vec<(Band, i32)>,
    /// The rule that stops the contour.
    pub limit: StcLimit,
}

/// Bands of the classification, 125 Hz to 4 kHz.
pub fn third_octaves() -> impl Iterator<Item = Band> + Clone {
    Band::range(125.0, 4000.0)
}

/// The contour in a band relative to its value at 500 Hz, dB; none outside 125 Hz to 4 kHz.
pub fn contour_db(band: Band) -> Option<i32> {
    const CONTOUR: [i32; 16] = [-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4];
    const FIRST: usize = 7;
    band.index().checked_sub(FIRST).and_then(|at| CONTOUR.get(at)).copied()
}

/// STC of transmission losses in the 16 third octaves from 125 Hz to 4 kHz.
///
/// Values are first rounded to whole decibels. The contour is the highest for which the deficiencies add up to no
/// more than 32 dB and none is more than 8 dB.
///
/// # Errors
/// [`RatingError::Missing`] names the bands without a value, [`RatingError::Implausible`] a value that is no insulation.
///
/// ```
/// use bands::{Band, astm_e413};
/// let stc = astm_e413::classify(|band| astm_e413::contour_db(band).map(|db| f64::from(db + 50)))?;
/// assert_eq!(stc.stc_db, 52); // 2 dB under the contour in each of 16 bands
/// # Ok::<(), bands::RatingError>(())
/// ```
pub fn classify(loss_db: impl Fn(Band) -> Option<f64>) -> Result<SoundTransmissionClass, RatingError> {
    RatingError::check_third_octaves("STC", third_octaves(), &loss_db)?;
    let bands: Vec<(Band, i32)> = third_octaves()
        .filter_map(|band| {
            let whole = (loss_db(band)? + 0.5).floor() as i32;
            Some((band, whole - contour_db(band)?))
        })
        .collect();
    let deficiencies = |stc: i32| bands.iter().map(move |&(band, reach)| (band, (stc - reach).max(0)));
    let limit_at = |stc: i32| {
        deficiencies(stc)
            .find(|&(_, under)| under > ALLOWED_IN_ONE_BAND_DB)
            .map(|(band, _)| StcLimit::OneBand(band))
            .or((deficiencies(stc).map(|(_, under)| under).sum::<i32>() > ALLOWED_SUM_DB)
                .then_some(StcLimit::Sum))
    };
    let mut stc = bands.iter().map(|&(_, reach)| reach).min().unwrap_or(0);
    let limit = loop {
        match limit_at(stc + 1) {
            Some(limit) => break limit,
            None => stc += 1,
        }
    };
    Ok(SoundTransmissionClass {
        stc_db: stc,
        deficiency_sum_db: deficiencies(stc).map(|(_, under)| under).sum(),
        largest_deficiency_db: deficiencies(stc).map(|(_, under)| under).max().unwrap_or(0),
        deficiencies_db: deficiencies(stc).filter(|&(_, under)| under > 0).collect(),
        limit,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_dip_is_held_by_the_eight_decibel_rule() {
        let dip = Band::from_nominal_hz(1000.0).unwrap();
        let loss = |band: Band| Some(f64::from(contour_db(band)? + if band == dip { 40 } else { 60 }));
        let stc = classify(loss).unwrap();
        assert_eq!(stc.stc_db, 48);
        assert_eq!(stc.limit, StcLimit::OneBand(dip));
        assert_eq!(stc.deficiencies_db, vec![(dip, 8)]);
    }

    #[test]
    fn missing_bands_are_named() {
        let error = classify(|band| (band.nominal_hz() < 3000.0).then_some(40.0)).unwrap_err();
        assert!(error.to_string().contains("3150 and 4000 Hz"), "{error}");
    }
}
