//! ISO 717-1:2020, *Rating of sound insulation in buildings and of building elements, Part 1: Airborne*.
//!
//! Reference curve (Table 3), sound spectra no. 1 and no. 2 with their enlarged ranges (Tables 4 and B.1), the shift of
//! the curve (4.4) and the spectrum adaptation terms (4.5). Whole-decibel form and the 0.1 dB form used for a
//! statement of uncertainty.

use quantities::math;
use serde::Serialize;

use crate::{Band, OctaveBand, RatingError};

/// Sum of unfavourable deviations allowed over the 16 third octaves, dB (4.4).
pub const ALLOWED_THIRD_OCTAVE_SUM_DB: f64 = 32.0;
/// Sum of unfavourable deviations allowed over the 5 octaves, dB (4.4).
pub const ALLOWED_OCTAVE_SUM_DB: f64 = 10.0;

/// Whether ratings are given in whole decibels or, for a statement of uncertainty, in steps of 0.1 dB.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Precision {
    /// Curve shifted in 1 dB steps, terms rounded to 1 dB: the ratings people quote.
    Whole,
    /// Curve shifted in 0.1 dB steps, terms rounded to 0.1 dB: for comparing designs and stating uncertainty.
    Tenth,
}

/// The sound a spectrum adaptation term stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SoundSpectrum {
    /// Spectrum no. 1, A-weighted pink noise: living, speech, music, fast road, rail near by. Gives C.
    One,
    /// Spectrum no. 2, A-weighted urban road traffic: also bass-heavy music. Gives Ctr.
    Two,
}

/// The bands a spectrum adaptation term runs over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Range {
    /// 100 Hz to 3150 Hz (octaves 125 Hz to 2 kHz): C and Ctr.
    #[serde(rename = "100-3150")]
    From100To3150,
    /// 50 Hz to 3150 Hz (octaves 63 Hz to 2 kHz).
    #[serde(rename = "50-3150")]
    From50To3150,
    /// 50 Hz to 5000 Hz (octaves 63 Hz to 4 kHz).
    #[serde(rename = "50-5000")]
    From50To5000,
    /// 100 Hz to 5000 Hz (octaves 125 Hz to 4 kHz).
    #[serde(rename = "100-5000")]
    From100To5000,
}

impl Range {
    /// All four ranges, the core one first.
    pub const ALL: [Self; 4] =
        [Self::From100To3150, Self::From50To3150, Self::From50To5000, Self::From100To5000];

    /// Third-octave bands of the range, lowest first.
    pub fn third_octaves(self) -> impl Iterator<Item = Band> + Clone {
        let (from, to) = match self {
            Self::From100To3150 => (100.0, 3150.0),
            Self::From50To3150 => (50.0, 3150.0),
            Self::From50To5000 => (50.0, 5000.0),
            Self::From100To5000 => (100.0, 5000.0),
        };
        Band::range(from, to)
    }

    /// Octave bands of the range, lowest first.
    pub fn octaves(self) -> impl Iterator<Item = OctaveBand> + Clone {
        let (from, to) = match self {
            Self::From100To3150 => (125.0, 2000.0),
            Self::From50To3150 => (63.0, 2000.0),
            Self::From50To5000 => (63.0, 4000.0),
            Self::From100To5000 => (125.0, 4000.0),
        };
        OctaveBand::range(from, to)
    }
}

/// A shifted reference curve: the weighted value and how it came about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weighted<B> {
    /// Value of the shifted curve at 500 Hz, dB: Rw, R'w, DnT,w… after what was rated.
    pub value_db: f64,
    /// Sum of the unfavourable deviations under the shifted curve, dB.
    pub unfavourable_sum_db: f64,
    /// Bands under the shifted curve and by how many dB, lowest band first.
    pub unfavourable_db: Vec<(B, f64)>,
    /// The band furthest under the shifted curve (the lowest of equals), if any is under it.
    pub binding: Option<B>,
}

/// An A-weighted insulation against one sound spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AgainstSpectrum<B> {
    /// `X_A = −10 lg Σ 10^((L_i − X_i)/10)`, dB, not rounded.
    pub insulation_db: f64,
    /// The band that lets the largest share of the A-weighted sound through (the lowest of equals).
    pub loudest: B,
}

/// Reference curve of Table 3 for third octaves, dB; none outside 100 Hz to 3150 Hz.
pub fn reference_third_octave_db(band: Band) -> Option<f64> {
    const CURVE: [f64; 16] =
        [33.0, 36.0, 39.0, 42.0, 45.0, 48.0, 51.0, 52.0, 53.0, 54.0, 55.0, 56.0, 56.0, 56.0, 56.0, 56.0];
    band.index().checked_sub(FIRST_CORE_THIRD).and_then(|at| CURVE.get(at)).copied()
}

/// Reference curve of Table 3 for octaves, dB; none outside 125 Hz to 2 kHz.
pub fn reference_octave_db(octave: OctaveBand) -> Option<f64> {
    const CURVE: [f64; 5] = [36.0, 45.0, 52.0, 55.0, 56.0];
    octave.index().checked_sub(FIRST_CORE_OCTAVE).and_then(|at| CURVE.get(at)).copied()
}

/// Level of a sound spectrum in a third octave, dB, A-weighted and normalised to 0 dB(A) overall (Tables 4 and B.1);
/// none outside the range.
pub fn spectrum_third_octave_db(spectrum: SoundSpectrum, range: Range, band: Band) -> Option<f64> {
    const ONE_100_3150: [f64; 16] = [
        -29.0, -26.0, -23.0, -21.0, -19.0, -17.0, -15.0, -13.0, -12.0, -11.0, -10.0, -9.0, -9.0, -9.0, -9.0,
        -9.0,
    ];
    const ONE_50_3150: [f64; 19] = [
        -40.0, -36.0, -33.0, -29.0, -26.0, -23.0, -21.0, -19.0, -17.0, -15.0, -13.0, -12.0, -11.0, -10.0,
        -9.0, -9.0, -9.0, -9.0, -9.0,
    ];
    const ONE_TO_5000: [f64; 21] = [
        -41.0, -37.0, -34.0, -30.0, -27.0, -24.0, -22.0, -20.0, -18.0, -16.0, -14.0, -13.0, -12.0, -11.0,
        -10.0, -10.0, -10.0, -10.0, -10.0, -10.0, -10.0,
    ];
    const TWO: [f64; 21] = [
        -25.0, -23.0, -21.0, -20.0, -20.0, -18.0, -16.0, -15.0, -14.0, -13.0, -12.0, -11.0, -9.0, -8.0, -9.0,
        -10.0, -11.0, -13.0, -15.0, -16.0, -18.0,
    ];
    if !range.third_octaves().any(|in_range| in_range == band) {
        return None;
    }
    let from_50 = band.index().checked_sub(FIRST_ENLARGED_THIRD)?;
    match (spectrum, range) {
        (SoundSpectrum::One, Range::From100To3150) => {
            band.index().checked_sub(FIRST_CORE_THIRD).and_then(|at| ONE_100_3150.get(at)).copied()
        }
        (SoundSpectrum::One, Range::From50To3150) => ONE_50_3150.get(from_50).copied(),
        (SoundSpectrum::One, Range::From50To5000 | Range::From100To5000) => ONE_TO_5000.get(from_50).copied(),
        (SoundSpectrum::Two, _) => TWO.get(from_50).copied(),
    }
}

/// Level of a sound spectrum in an octave, dB, A-weighted and normalised to 0 dB(A) overall (Tables 4 and B.1); none
/// outside the range.
///
/// The values of the enlarged ranges at 63 Hz and 4 kHz are from memory; they agree with the energy sums of the
/// third-octave columns.
pub fn spectrum_octave_db(spectrum: SoundSpectrum, range: Range, octave: OctaveBand) -> Option<f64> {
    const ONE_TO_2000: [f64; 6] = [-31.0, -21.0, -14.0, -8.0, -5.0, -4.0];
    const ONE_TO_4000: [f64; 7] = [-32.0, -22.0, -15.0, -9.0, -6.0, -5.0, -5.0];
    const TWO: [f64; 7] = [-18.0, -14.0, -10.0, -7.0, -4.0, -6.0, -11.0];
    if !range.octaves().any(|in_range| in_range == octave) {
        return None;
    }
    let from_63 = octave.index().checked_sub(FIRST_ENLARGED_OCTAVE)?;
    match (spectrum, range) {
        (SoundSpectrum::One, Range::From100To3150 | Range::From50To3150) => ONE_TO_2000.get(from_63).copied(),
        (SoundSpectrum::One, Range::From50To5000 | Range::From100To5000) => ONE_TO_4000.get(from_63).copied(),
        (SoundSpectrum::Two, _) => TWO.get(from_63).copied(),
    }
}

/// Weighted value of 16 third-octave values, 100 Hz to 3150 Hz (4.4).
///
/// Values are first reduced to one decimal. The reference curve is shifted in steps towards them until the sum of
/// unfavourable deviations is as large as possible but not more than 32.0 dB; the value is the shifted curve at
/// 500 Hz. The same procedure rates R, R', Dn, DnT and their outdoor forms.
///
/// # Errors
/// [`RatingError::Missing`] names the bands without a value, [`RatingError::Implausible`] a value that is no insulation.
///
/// ```
/// use bands::iso_717_1_2020::{Precision, reference_third_octave_db, weigh_third_octaves};
/// // A spectrum lying on the reference curve itself rates 54: 2 dB under it in 16 bands is allowed.
/// let weighted = weigh_third_octaves(reference_third_octave_db, Precision::Whole)?;
/// assert_eq!(weighted.value_db, 54.0);
/// assert_eq!(weighted.unfavourable_sum_db, 32.0);
/// # Ok::<(), bands::RatingError>(())
/// ```
pub fn weigh_third_octaves(
    value_db: impl Fn(Band) -> Option<f64>,
    precision: Precision,
) -> Result<Weighted<Band>, RatingError> {
    let bands: Vec<Band> = Range::From100To3150.third_octaves().collect();
    RatingError::check_third_octaves("Rw", bands.iter().copied(), &value_db)?;
    let values = bands.iter().filter_map(|&band| value_db(band).map(tenths)).collect::<Vec<_>>();
    let curve =
        bands.iter().filter_map(|&band| reference_third_octave_db(band).map(tenths)).collect::<Vec<_>>();
    Ok(shift_curve(&bands, &values, &curve, tenths(ALLOWED_THIRD_OCTAVE_SUM_DB), precision))
}

/// Weighted value of 5 octave values, 125 Hz to 2 kHz: as [`weigh_third_octaves`] with 10.0 dB allowed. For field
/// measurements only (4.4).
pub fn weigh_octaves(
    value_db: impl Fn(OctaveBand) -> Option<f64>,
    precision: Precision,
) -> Result<Weighted<OctaveBand>, RatingError> {
    let octaves: Vec<OctaveBand> = Range::From100To3150.octaves().collect();
    RatingError::check_octaves("Rw", octaves.iter().copied(), &value_db)?;
    let values = octaves.iter().filter_map(|&octave| value_db(octave).map(tenths)).collect::<Vec<_>>();
    let curve =
        octaves.iter().filter_map(|&octave| reference_octave_db(octave).map(tenths)).collect::<Vec<_>>();
    Ok(shift_curve(&octaves, &values, &curve, tenths(ALLOWED_OCTAVE_SUM_DB), precision))
}

/// A-weighted insulation of third-octave values against a sound spectrum, `X_A = −10 lg Σ 10^((L_i − X_i)/10)` (4.5),
/// values reduced to one decimal first; none where a band of the range has no plausible value.
pub fn against_third_octaves(
    value_db: impl Fn(Band) -> Option<f64>,
    spectrum: SoundSpectrum,
    range: Range,
) -> Option<AgainstSpectrum<Band>> {
    let levels = range
        .third_octaves()
        .map(|band| (band, spectrum_third_octave_db(spectrum, range, band), value_db(band)));
    insulation_against(levels)
}

/// A-weighted insulation of octave values against a sound spectrum: as [`against_third_octaves`].
pub fn against_octaves(
    value_db: impl Fn(OctaveBand) -> Option<f64>,
    spectrum: SoundSpectrum,
    range: Range,
) -> Option<AgainstSpectrum<OctaveBand>> {
    let levels =
        range.octaves().map(|octave| (octave, spectrum_octave_db(spectrum, range, octave), value_db(octave)));
    insulation_against(levels)
}

/// Spectrum adaptation term `C_j = X_A,j − X_w`, dB, with X_A rounded first to the same precision as X_w (4.5).
pub fn adaptation_term_db(insulation_db: f64, weighted_db: f64, precision: Precision) -> f64 {
    let steps_of = |value: f64| match precision {
        Precision::Whole => tenths(value / 10.0) * 10,
        Precision::Tenth => tenths(value),
    };
    (steps_of(insulation_db) - steps_of(weighted_db)) as f64 / 10.0
}

const FIRST_CORE_THIRD: usize = 6;
const FIRST_ENLARGED_THIRD: usize = 3;
const FIRST_CORE_OCTAVE: usize = 2;
const FIRST_ENLARGED_OCTAVE: usize = 1;

/// Whole tenths of a decibel, a half rounded up: `XX,XYZZ…` becomes `XX,X` for Y < 5 and `XX,X + 0,1` for Y ≥ 5
/// (4.4, footnote). Whole tenths make the sum of deviations exact.
fn tenths(value_db: f64) -> i64 {
    (value_db * 10.0 + 0.5).floor() as i64
}

fn shift_curve<B: Copy>(
    bands: &[B],
    values: &[i64],
    curve: &[i64],
    allowed: i64,
    precision: Precision,
) -> Weighted<B> {
    let step = match precision {
        Precision::Whole => 10,
        Precision::Tenth => 1,
    };
    let deviation = |shift: i64, value: i64, reference: i64| (reference + shift - value).max(0);
    let sum_at = |shift: i64| -> i64 {
        values.iter().zip(curve).map(|(&value, &reference)| deviation(shift, value, reference)).sum()
    };
    let lowest = values.iter().zip(curve).map(|(value, reference)| value - reference).min().unwrap_or(0);
    let mut shift = lowest.div_euclid(step) * step;
    while sum_at(shift + step) <= allowed {
        shift += step;
    }
    let unfavourable: Vec<(B, i64)> = bands
        .iter()
        .zip(values.iter().zip(curve))
        .map(|(&band, (&value, &reference))| (band, deviation(shift, value, reference)))
        .filter(|&(_, under)| under > 0)
        .collect();
    let mut furthest: Option<(B, i64)> = None;
    for &(band, under) in &unfavourable {
        if furthest.is_none_or(|(_, most)| under > most) {
            furthest = Some((band, under));
        }
    }
    Weighted {
        // The curves are read at 500 Hz, where both stand at 52 dB.
        value_db: (CURVE_AT_500_HZ + shift) as f64 / 10.0,
        unfavourable_sum_db: sum_at(shift) as f64 / 10.0,
        unfavourable_db: unfavourable.into_iter().map(|(band, under)| (band, under as f64 / 10.0)).collect(),
        binding: furthest.map(|(band, _)| band),
    }
}

const CURVE_AT_500_HZ: i64 = 520;

fn insulation_against<B: Copy>(
    levels: impl Iterator<Item = (B, Option<f64>, Option<f64>)>,
) -> Option<AgainstSpectrum<B>> {
    let mut sum = 0.0;
    let mut loudest: Option<(B, f64)> = None;
    for (band, level, value) in levels {
        let value = value.filter(|value| RatingError::is_plausible(*value))?;
        let through = math::energy_of_db(level? - tenths(value) as f64 / 10.0);
        sum += through;
        if loudest.is_none_or(|(_, most)| through > most) {
            loudest = Some((band, through));
        }
    }
    loudest.map(|(loudest, _)| AgainstSpectrum { insulation_db: -math::db_of_energy(sum), loudest })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sound_spectra_add_up_to_0_db_a() {
        for spectrum in [SoundSpectrum::One, SoundSpectrum::Two] {
            for range in Range::ALL {
                let thirds: f64 = range
                    .third_octaves()
                    .filter_map(|band| spectrum_third_octave_db(spectrum, range, band))
                    .map(math::energy_of_db)
                    .sum();
                let octaves: f64 = range
                    .octaves()
                    .filter_map(|octave| spectrum_octave_db(spectrum, range, octave))
                    .map(math::energy_of_db)
                    .sum();
                // Printed in whole decibels: a half at most in each band; the core octaves of no. 1 add up to −0.36.
                assert!(math::db_of_energy(thirds).abs() < 0.36, "{spectrum:?} {range:?}");
                assert!(math::db_of_energy(octaves).abs() < 0.36, "{spectrum:?} {range:?}");
            }
        }
    }

    #[test]
    fn a_half_tenth_is_rounded_up() {
        assert_eq!(tenths(16.25), 163);
        assert_eq!(tenths(16.24999), 162);
        assert_eq!(tenths(-0.05), 0);
        assert_eq!(tenths(1.15), 12);
    }

    #[test]
    fn the_band_furthest_below_binds() {
        let dip = Band::from_nominal_hz(2500.0).unwrap();
        let value = |band: Band| Some(if band == dip { 30.0 } else { reference_third_octave_db(band)? });
        let weighted = weigh_third_octaves(value, Precision::Whole).unwrap();
        assert_eq!(weighted.binding, Some(dip));
        assert!(weighted.unfavourable_sum_db <= ALLOWED_THIRD_OCTAVE_SUM_DB);
    }

    /// On the curve itself each band is 2 dB under it, the lowest binds; one 1.5 dB lower binds instead.
    #[test]
    fn what_lies_under_the_curve_is_told_in_decibels() {
        let on_it = weigh_third_octaves(reference_third_octave_db, Precision::Whole).unwrap();
        let all: Vec<(Band, f64)> = Range::From100To3150.third_octaves().map(|band| (band, 2.0)).collect();
        assert_eq!(on_it.unfavourable_db, all);
        assert_eq!(on_it.binding, Band::from_nominal_hz(100.0));
        let dip = Band::from_nominal_hz(630.0).unwrap();
        let lower = |band: Band| Some(reference_third_octave_db(band)? - if band == dip { 1.5 } else { 0.0 });
        let weighted = weigh_third_octaves(lower, Precision::Whole).unwrap();
        assert_eq!((weighted.value_db, weighted.binding), (53.0, Some(dip)));
        assert!(weighted.unfavourable_db.contains(&(dip, 2.5)));
    }

    /// Against sound no. 1 over 125 Hz to 2 kHz with 40 dB in every octave: 40 dB and the 0.36 dB its printed levels lack of 0 dB; the
    /// octave whose level is highest lets most through, the lower of two that let the same through.
    #[test]
    fn the_octave_that_lets_most_through_is_named() {
        let octave = |hz: f64| OctaveBand::from_nominal_hz(hz).unwrap();
        let against = |value: &dyn Fn(OctaveBand) -> Option<f64>| {
            against_octaves(value, SoundSpectrum::One, Range::From100To3150)
        };
        let flat = against(&|_| Some(40.0)).unwrap();
        assert!((flat.insulation_db - 40.36).abs() < 0.005, "{}", flat.insulation_db);
        assert_eq!(flat.loudest, octave(2000.0));
        // As much through in every octave: the lowest.
        let level = |octave| spectrum_octave_db(SoundSpectrum::One, Range::From100To3150, octave);
        let even = against(&|octave| Some(60.0 + level(octave)?)).unwrap();
        assert_eq!(even.loudest, octave(125.0));
        let weak = against(&|band| Some(if band == octave(250.0) { 10.0 } else { 60.0 })).unwrap();
        assert_eq!(weak.loudest, octave(250.0));
        assert_eq!(against(&|band| (band != octave(500.0)).then_some(40.0)), None);
    }
}
