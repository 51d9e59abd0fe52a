//! All single-number ratings a spectrum allows, in one go.

use serde::Serialize;

use crate::{
    Band, OctaveBand, OctaveReadings, Readings, Spectrum, astm_e413,
    iso_717_1_2020::{
        self as iso, Precision,
        Range::{self, From50To3150, From50To5000, From100To3150, From100To5000},
        SoundSpectrum::{self, One, Two},
    },
};

/// Single-number ratings of a spectrum of R, R', Dn, DnT or D (the keys speak of R, the procedure is the same).
///
/// Whole decibels as ISO 717-1:2020 and ASTM E413 state them; `…_exact_db` are the 0.1 dB forms. A term is absent
/// where the spectrum lacks a band it needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ratings {
    /// Weighted sound reduction index Rw, dB.
    pub rw_db: i32,
    /// Spectrum adaptation term C (A-weighted pink noise), dB.
    pub c_db: i32,
    /// Spectrum adaptation term Ctr (urban traffic), dB.
    pub ctr_db: i32,
    /// C over 50 Hz to 3150 Hz, dB.
    pub c50_3150_db: Option<i32>,
    /// C over 50 Hz to 5000 Hz, dB.
    pub c50_5000_db: Option<i32>,
    /// C over 100 Hz to 5000 Hz, dB.
    pub c100_5000_db: Option<i32>,
    /// Ctr over 50 Hz to 3150 Hz, dB.
    pub ctr50_3150_db: Option<i32>,
    /// Ctr over 50 Hz to 5000 Hz, dB.
    pub ctr50_5000_db: Option<i32>,
    /// Ctr over 100 Hz to 5000 Hz, dB.
    pub ctr100_5000_db: Option<i32>,
    /// Sound transmission class, dB; only for third octaves up to 4 kHz.
    pub stc_db: Option<i32>,
    /// Sum of unfavourable deviations under the shifted reference curve, dB.
    pub unfavourable_sum_db: f64,
    /// Nominal frequency of the band furthest under the shifted reference curve, Hz.
    pub binding_hz: Option<f64>,
    /// Rw in steps of 0.1 dB.
    pub rw_exact_db: f64,
    /// C to 0.1 dB.
    pub c_exact_db: f64,
    /// Ctr to 0.1 dB.
    pub ctr_exact_db: f64,
    /// C over 50 Hz to 3150 Hz to 0.1 dB.
    pub c50_3150_exact_db: Option<f64>,
    /// C over 50 Hz to 5000 Hz to 0.1 dB.
    pub c50_5000_exact_db: Option<f64>,
    /// C over 100 Hz to 5000 Hz to 0.1 dB.
    pub c100_5000_exact_db: Option<f64>,
    /// Ctr over 50 Hz to 3150 Hz to 0.1 dB.
    pub ctr50_3150_exact_db: Option<f64>,
    /// Ctr over 50 Hz to 5000 Hz to 0.1 dB.
    pub ctr50_5000_exact_db: Option<f64>,
    /// Ctr over 100 Hz to 5000 Hz to 0.1 dB.
    pub ctr100_5000_exact_db: Option<f64>,
}

impl Ratings {
    /// The rating as the standard writes it: `52 (−1; −5) dB`.
    pub fn rw_c_ctr(&self) -> String {
        let signed = |value: i32| quantities::format::number(f64::from(value), 0);
        let no_break = quantities::format::NO_BREAK_SPACE;
        format!(
            "{}{no_break}({};{no_break}{}){no_break}dB",
            signed(self.rw_db),
            signed(self.c_db),
            signed(self.ctr_db)
        )
    }
}

/// Why a spectrum has no rating, as a sentence for the person.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RatingError {
    /// Bands without a value.
    #[error(
        "{rating} needs a value in every {width} from {from} to {to} Hz; {missing} Hz {verb} none. Measure or type {pronoun}.",
        missing = in_words(bands),
        verb = if bands.len() == 1 { "has" } else { "have" },
        pronoun = if bands.len() == 1 { "it" } else { "them" }
    )]
    Missing {
        /// The rating asked for: `Rw` or `STC`.
        rating: &'static str,
        /// `third octave` or `octave`.
        width: &'static str,
        /// Lowest band the rating needs, nominal.
        from: &'static str,
        /// Highest band the rating needs, nominal.
        to: &'static str,
        /// Nominal frequencies without a value, lowest first.
        bands: Vec<&'static str>,
    },
    /// A value that cannot be a sound insulation.
    #[error("{value_db} dB at {band} Hz is no sound insulation (−100 to 400 dB): correct that reading.")]
    Implausible {
        /// Nominal frequency of the value.
        band: &'static str,
        /// The value, dB.
        value_db: f64,
    },
}

impl RatingError {
    /// Whether a value can be a sound insulation: a number between −100 dB and 400 dB. (Below 0 dB where a slit
    /// resonates; far above what can be measured in predictions of heavy double walls.)
    pub(crate) fn is_plausible(value_db: f64) -> bool {
        (-100.0..=400.0).contains(&value_db)
    }

    pub(crate) fn check_third_octaves(
        rating: &'static str,
        bands: impl Iterator<Item = Band> + Clone,
        value_db: &impl Fn(Band) -> Option<f64>,
    ) -> Result<(), Self> {
        let labelled = bands.map(|band| (band.nominal(), value_db(band)));
        Self::check(rating, "third octave", labelled)
    }

    pub(crate) fn check_octaves(
        rating: &'static str,
        octaves: impl Iterator<Item = OctaveBand> + Clone,
        value_db: &impl Fn(OctaveBand) -> Option<f64>,
    ) -> Result<(), Self> {
        let labelled = octaves.map(|octave| (octave.nominal(), value_db(octave)));
        Self::check(rating, "octave", labelled)
    }

    fn check(
        rating: &'static str,
        width: &'static str,
        values: impl Iterator<Item = (&'static str, Option<f64>)> + Clone,
    ) -> Result<(), Self> {
        let missing = values.clone().filter(|(_, value)| value.is_none()).map(|(label, _)| label);
        let missing: Vec<&'static str> = missing.collect();
        if !missing.is_empty() {
            let from = values.clone().next().map_or("", |(label, _)| label);
            let to = values.last().map_or("", |(label, _)| label);
            return Err(Self::Missing { rating, width, from, to, bands: missing });
        }
        for (band, value) in values {
            if let Some(value_db) = value.filter(|&value| !Self::is_plausible(value)) {
                return Err(Self::Implausible { band, value_db });
            }
        }
        Ok(())
    }
}

/// Every rating that third-octave values allow. Needs 100 Hz to 3150 Hz; more bands give more terms.
///
/// # Errors
/// A sentence naming the bands without a value, or the reading that is no insulation.
///
/// ```
/// use bands::{Band, Readings, rate};
/// let readings: Readings = Band::range(50.0, 5000.0).map(|band| (band, 40.0)).collect();
/// let ratings = rate(&readings)?;
/// assert_eq!((ratings.rw_db, ratings.c_db, ratings.ctr_db), (40, 0, 0));
/// assert!(ratings.c50_5000_db.is_some() && ratings.stc_db.is_some());
///
/// let some: Readings = Band::range(125.0, 2500.0).map(|band| (band, 40.0)).collect();
/// assert!(rate(&some).unwrap_err().to_string().contains("100 and 3150 Hz"));
/// # Ok::<(), bands::RatingError>(())
/// ```
pub fn rate(readings: &Readings) -> Result<Ratings, RatingError> {
    rate_third_octaves(|band| readings.get(band))
}

/// Every rating of a full spectrum; see [`rate`].
pub fn rate_spectrum(spectrum: &Spectrum) -> Result<Ratings, RatingError> {
    rate_third_octaves(|band| Some(spectrum.get(band)))
}

/// Every rating that octave values allow. Needs 125 Hz to 2 kHz; no STC. ISO 717-1:2020 allows octaves for field
/// measurements only: a rating from octaves may differ by a decibel or so from that of third octaves.
///
/// # Errors
/// A sentence naming the octaves without a value, or the reading that is no insulation.
pub fn rate_octaves(readings: &OctaveReadings) -> Result<Ratings, RatingError> {
    let value = |octave: OctaveBand| readings.get(octave);
    let whole = iso::weigh_octaves(value, Precision::Whole)?;
    let exact = iso::weigh_octaves(value, Precision::Tenth)?;
    let against = |spectrum, range| iso::against_octaves(value, spectrum, range).map(|sum| sum.insulation_db);
    Ok(Ratings::from_parts(
        (&whole, whole.binding.map(OctaveBand::nominal_hz)),
        exact.value_db,
        against,
        None,
    ))
}

fn rate_third_octaves(value: impl Fn(Band) -> Option<f64>) -> Result<Ratings, RatingError> {
    let whole = iso::weigh_third_octaves(&value, Precision::Whole)?;
    let exact = iso::weigh_third_octaves(&value, Precision::Tenth)?;
    let against =
        |spectrum, range| iso::against_third_octaves(&value, spectrum, range).map(|sum| sum.insulation_db);
    let stc = astm_e413::classify(&value).ok().map(|stc| stc.stc_db);
    Ok(Ratings::from_parts((&whole, whole.binding.map(Band::nominal_hz)), exact.value_db, against, stc))
}

impl Ratings {
    fn from_parts<B>(
        (whole, binding_hz): (&iso::Weighted<B>, Option<f64>),
        rw_exact_db: f64,
        against: impl Fn(SoundSpectrum, Range) -> Option<f64>,
        stc_db: Option<i32>,
    ) -> Self {
        let term = |spectrum, range| {
            against(spectrum, range).map(|insulation| {
                iso::adaptation_term_db(insulation, whole.value_db, Precision::Whole) as i32
            })
        };
        let exact = |spectrum, range| {
            against(spectrum, range)
                .map(|insulation| iso::adaptation_term_db(insulation, rw_exact_db, Precision::Tenth))
        };
        Self {
            rw_db: whole.value_db as i32,
            // The core bands were checked when the curve was shifted, so these two are always there.
            c_db: term(One, From100To3150).unwrap_or_default(),
            ctr_db: term(Two, From100To3150).unwrap_or_default(),
            c50_3150_db: term(One, From50To3150),
            c50_5000_db: term(One, From50To5000),
            c100_5000_db: term(One, From100To5000),
            ctr50_3150_db: term(Two, From50To3150),
            ctr50_5000_db: term(Two, From50To5000),
            ctr100_5000_db: term(Two, From100To5000),
            stc_db,
            unfavourable_sum_db: whole.unfavourable_sum_db,
            binding_hz,
            rw_exact_db,
            c_exact_db: exact(One, From100To3150).unwrap_or_default(),
            ctr_exact_db: exact(Two, From100To3150).unwrap_or_default(),
            c50_3150_exact_db: exact(One, From50To3150),
            c50_5000_exact_db: exact(One, From50To5000),
            c100_5000_exact_db: exact(One, From100To5000),
            ctr50_3150_exact_db: exact(Two, From50To3150),
            ctr50_5000_exact_db: exact(Two, From50To5000),
            ctr100_5000_exact_db: exact(Two, From100To5000),
        }
    }
}

fn in_words(labels: &[&'static str]) -> String {
    match labels {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_names_exactly_the_missing_bands() {
        let mut readings: Readings = Band::range(100.0, 3150.0).map(|band| (band, 40.0)).collect();
        assert!(rate(&readings).is_ok());
        readings = readings.iter().filter(|(band, _)| ![6, 14].contains(&band.index())).collect();
        let sentence = rate(&readings).unwrap_err().to_string();
        assert_eq!(
            sentence,
            "Rw needs a value in every third octave from 100 to 3150 Hz; 100 and 630 Hz have none. Measure or type them."
        );
        let octaves: OctaveReadings = OctaveBand::range(125.0, 1000.0).map(|octave| (octave, 40.0)).collect();
        let sentence = rate_octaves(&octaves).unwrap_err().to_string();
        assert_eq!(
            sentence,
            "Rw needs a value in every octave from 125 to 2000 Hz; 2000 Hz has none. Measure or type it."
        );
    }

    #[test]
    fn a_rating_is_written_as_the_standard_writes_it() {
        let mut ratings = rate_spectrum(&Spectrum::flat(40.0)).unwrap();
        (ratings.rw_db, ratings.c_db, ratings.ctr_db) = (52, -1, -5);
        assert_eq!(ratings.rw_c_ctr(), "52\u{a0}(−1;\u{a0}−5)\u{a0}dB");
    }

    #[test]
    fn a_reading_that_is_no_insulation_is_an_error() {
        for wrong in [f64::NAN, f64::INFINITY, -300.0, 1e12] {
            let mut spectrum = Spectrum::flat(40.0);
            spectrum.set(Band::from_nominal_hz(250.0).unwrap(), wrong);
            let sentence = rate_spectrum(&spectrum).unwrap_err().to_string();
            assert!(sentence.contains("at 250 Hz"), "{sentence}");
        }
    }

    #[test]
    fn a_wrong_band_outside_the_core_only_removes_its_terms() {
        let mut spectrum = Spectrum::flat(40.0);
        spectrum.set(Band::from_nominal_hz(50.0).unwrap(), f64::NAN);
        let ratings = rate_spectrum(&spectrum).unwrap();
        assert_eq!(ratings.c50_5000_db, None);
        assert!(ratings.c100_5000_db.is_some());
    }
}
