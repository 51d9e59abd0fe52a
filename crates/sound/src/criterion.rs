//! What a receiver must not hear: limits in dB(A), noise-rating curves, backgrounds, and how sure it is that
//! they hold.

use bands::{Band, OctaveBand, Octaves, Spectrum, iec_61672_1::a_weighting_db, iso_389_7, noise_rating};
use quantities::{
    format::{number, round_to, with_unit},
    math,
};
use serde::Serialize;

use crate::{
    ranged::RangedValue,
    room_error::RoomError,
    sampled::{ByBand, SILENCE_DB},
};

/// How the threshold of hearing (ISO 389-7, free field) enters a comparison with a background.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HearingThreshold {
    /// Only the background counts.
    #[default]
    NotUsed,
    /// A band under the threshold cannot be heard, whatever the background: either is enough.
    AlsoHides,
    /// Every band must lie under the threshold as well.
    MustAlsoHold,
}

/// What a receiver's level is held against. Construct it through the functions, which check the values.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[expect(clippy::large_enum_variant, reason = "a handful of receivers; a box would only hide the spectrum")]
pub enum Criterion {
    /// An A-weighted level.
    LimitDba {
        /// Highest level allowed, dB(A).
        limit_dba: f64,
    },
    /// A noise-rating curve, octaves 31.5 Hz to 8 kHz.
    NoiseRating {
        /// Number N of the curve.
        number: f64,
    },
    /// A background in every band, less a margin.
    UnderBackground {
        /// Background, dB in each band.
        background_db: Spectrum,
        /// How far under it the sound must lie, dB.
        margin_db: f64,
        /// How the threshold of hearing enters.
        threshold: HearingThreshold,
    },
}

/// Margin for a sound that nobody hears: at least 10 dB under the background in every band.
pub const INAUDIBLE_MARGIN_DB: f64 = 10.0;

impl Criterion {
    /// A limit in dB(A), −20 to 140.
    pub fn limit_dba(limit_dba: f64) -> Result<Self, RoomError> {
        RoomError::in_range("limit", "the level", limit_dba, "dB(A)", (-20.0, 140.0))?;
        Ok(Self::LimitDba { limit_dba })
    }

    /// A noise-rating curve, NR 0 to 130.
    pub fn noise_rating(number: f64) -> Result<Self, RoomError> {
        RoomError::in_range("limit", "the noise rating", number, "", (0.0, 130.0))?;
        Ok(Self::NoiseRating { number })
    }

    /// A background with a margin in dB (negative: the sound may exceed it), −20 to 40.
    pub fn under_background(
        background_db: Spectrum,
        margin_db: f64,
        threshold: HearingThreshold,
    ) -> Result<Self, RoomError> {
        RoomError::in_range("background", "the margin", margin_db, "dB", (-20.0, 40.0))?;
        for (band, level) in background_db.iter() {
            let quantity = format!("level at {} Hz", band.nominal());
            RoomError::in_range("background", &quantity, level, "dB", (-60.0, 140.0))?;
        }
        Ok(Self::UnderBackground { background_db, margin_db, threshold })
    }

    /// Inaudible: every band at least 10 dB under the background, or under the threshold of hearing.
    pub fn inaudible(background_db: Spectrum) -> Result<Self, RoomError> {
        Self::under_background(background_db, INAUDIBLE_MARGIN_DB, HearingThreshold::AlsoHides)
    }

    /// The criterion in a few words: `45 dB(A)`, `NR 25`, `10 dB under the background`.
    pub fn label(&self) -> String {
        match self {
            Self::LimitDba { limit_dba } => with_unit(*limit_dba, 0, "dB(A)"),
            Self::NoiseRating { number: n } => format!("NR {}", number(*n, 0)),
            Self::UnderBackground { margin_db, .. } if *margin_db > 0.0 => {
                format!("{} under the background", with_unit(*margin_db, 0, "dB"))
            }
            Self::UnderBackground { margin_db, .. } if *margin_db < 0.0 => {
                format!("{} over the background", with_unit(-margin_db, 0, "dB"))
            }
            Self::UnderBackground { .. } => "the background in every band".to_owned(),
        }
    }

    /// How far a level lies under the criterion, dB, and the band that decides.
    ///
    /// Positive: room to spare. For dB(A) the deciding band is the one that carries the most; for a curve the octave,
    /// and for a background the band, with the least to spare.
    pub fn margin(&self, level_db: &Spectrum) -> Margin {
        match self {
            Self::LimitDba { limit_dba } => {
                let weighted = level_db.map(|band, level| level + a_weighting_db(band));
                let loudest = least(weighted.iter().map(|(band, level)| (-level, band)));
                Margin { margin_db: limit_dba - weighted.total_db(), deciding_band: loudest.deciding_band }
            }
            Self::NoiseRating { number } => {
                let octaves = Octaves::of_levels(level_db);
                least(OctaveBand::all().filter_map(|octave| {
                    let middle = octave.thirds().nth(1)?;
                    Some((noise_rating::curve_db(*number, octave) - octaves.get(octave), middle))
                }))
            }
            Self::UnderBackground { background_db, margin_db, threshold } => {
                least(level_db.iter().map(|(band, level)| {
                    let masked = background_db.get(band) - margin_db - level;
                    let unheard = iso_389_7::free_field_db(band) - level;
                    let spare = match threshold {
                        HearingThreshold::NotUsed => masked,
                        HearingThreshold::AlsoHides => masked.max(unheard),
                        HearingThreshold::MustAlsoHold => masked.min(unheard),
                    };
                    (spare, band)
                }))
            }
        }
    }
}

impl Criterion {
    /// What is to spare at each point of a sample of energies by band and A-weighted, dB, as [`Criterion::margin`] gives it for the levels of these energies.
    ///
    /// What is to spare is what the fullest band, octave or sum lacks of what is allowed there: one logarithm for a point.
    pub(crate) fn margins_db(&self, energies: &ByBand, energies_dba: &[f64]) -> Vec<f64> {
        let silence = math::energy_of_db(SILENCE_DB);
        let mut fullest = vec![0.0_f64; energies_dba.len()];
        let mut fill = |energies: &mut dyn Iterator<Item = f64>, allowed_db: f64| {
            let allowed = math::energy_of_db(allowed_db);
            for (fullest, energy) in fullest.iter_mut().zip(energies) {
                *fullest = fullest.max(energy.max(silence) / allowed);
            }
        };
        match self {
            Self::LimitDba { limit_dba } => fill(&mut energies_dba.iter().copied(), *limit_dba),
            Self::NoiseRating { number } => {
                for octave in OctaveBand::all() {
                    let thirds: Vec<&Vec<f64>> =
                        octave.thirds().map(|band| &energies[band.index()]).collect();
                    let sum = |point: usize| thirds.iter().filter_map(|third| third.get(point)).sum();
                    fill(&mut (0..energies_dba.len()).map(sum), noise_rating::curve_db(*number, octave));
                }
            }
            Self::UnderBackground { background_db, margin_db, threshold } => {
                for band in Band::all() {
                    let masked_db = background_db.get(band) - margin_db;
                    let unheard_db = iso_389_7::free_field_db(band);
                    let allowed_db = match threshold {
                        HearingThreshold::NotUsed => masked_db,
                        HearingThreshold::AlsoHides => masked_db.max(unheard_db),
                        HearingThreshold::MustAlsoHold => masked_db.min(unheard_db),
                    };
                    fill(&mut energies[band.index()].iter().copied(), allowed_db);
                }
            }
        }
        fullest.into_iter().map(|fullest| -math::db_of_energy(fullest)).collect()
    }
}

/// How far a level lies under a criterion.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Margin {
    /// What is to spare, dB; negative: what is missing.
    pub margin_db: f64,
    /// The band that decides; for a noise-rating curve the middle band of the octave.
    pub deciding_band: Option<Band>,
}

/// Whether a criterion is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Met, with the limit beyond the 90th percentile of the level.
    Holds,
    /// The limit lies between the 10th and the 90th percentile.
    Close,
    /// Missed, with the limit below the 10th percentile.
    Fails,
}

/// A criterion held against a level and its uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// The criterion.
    pub criterion: Criterion,
    /// Holds, close or fails.
    pub status: Status,
    /// What is to spare, dB; negative: what is missing.
    pub margin: RangedValue,
    /// Probability that it holds, 0 to 1.
    pub confidence: f64,
    /// The band that decides, at the median level.
    pub deciding_band: Option<Band>,
    /// The verdict in a sentence.
    pub sentence: String,
}

impl Verdict {
    /// From the margins of a sample of equally likely levels, in rising order, and the deciding band.
    pub(crate) fn from_margins(
        criterion: &Criterion,
        sorted_margins_db: &[f64],
        deciding_band: Option<Band>,
    ) -> Self {
        let margin = crate::sampled::percentiles(sorted_margins_db);
        let holding = sorted_margins_db.iter().filter(|margin| **margin >= 0.0).count();
        let confidence = match sorted_margins_db.len() {
            0 | 1 => holding as f64,
            // The sample cannot tell rarer than one half of its step.
            count => ((holding as f64) / count as f64).clamp(0.5 / count as f64, 1.0 - 0.5 / count as f64),
        };
        let status = if margin.lower_db >= 0.0 {
            Status::Holds
        } else if margin.upper_db < 0.0 {
            Status::Fails
        } else {
            Status::Close
        };
        let sentence = sentence(criterion, status, &margin, confidence, deciding_band);
        let confidence = round_to(confidence, 3);
        Self { criterion: criterion.clone(), status, margin, confidence, deciding_band, sentence }
    }
}

fn sentence(
    criterion: &Criterion,
    status: Status,
    margin: &RangedValue,
    confidence: f64,
    band: Option<Band>,
) -> String {
    let label = criterion.label();
    let db = |value: f64| with_unit(value, 1, "dB");
    let mut decides =
        band.map_or("no band".to_owned(), |band| format!("{}\u{a0}Hz", band.nominal())) + " decides";
    if band.is_some_and(outside_validated_range) {
        decides.push_str(", a band outside the validated range");
    }
    // A shortfall is called one: nobody has to read a minus sign.
    let spare = |value: f64| {
        if value < 0.0 { format!("{} over", db(-value)) } else { format!("{} to spare", db(value)) }
    };
    let between =
        format!("four times in five between {} and {}", spare(margin.lower_db), spare(margin.upper_db));
    match status {
        Status::Holds => format!("meets {label} with {}, {between}; {decides}", spare(margin.median_db)),
        Status::Close => format!(
            "too close to call against {label}: {}, {between}, holds with {} likelihood; {decides}",
            spare(margin.median_db),
            with_unit(confidence * 100.0, 0, "%")
        ),
        Status::Fails => format!("misses {label}: {}, {between}; {decides}", spare(margin.median_db)),
    }
}

/// Below 50 Hz and above 5 kHz no laboratory data stands behind a prediction.
fn outside_validated_range(band: Band) -> bool {
    band.nominal_hz() < 50.0 || band.nominal_hz() > 5000.0
}

/// A level beside the background without it, in the way of BS 4142. Shown for information: the assessment
/// itself, with its context, is for a competent person.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BackgroundComparison {
    /// Level of the sound alone, dB(A).
    pub specific_dba: RangedValue,
    /// Addition for its character, dB: tones, beats, starts and stops.
    pub character_db: f64,
    /// Background LA90, dB(A).
    pub background_dba: f64,
    /// Rating level less background, dB.
    pub excess: RangedValue,
    /// The comparison in a sentence.
    pub sentence: String,
}

/// Rating level (specific level plus an addition for character) less the background LA90 (BS 4142:2014+A1:2019,
/// clauses 9 and 11: around +10 dB a significant, around +5 dB an adverse impact is likely, depending on context;
/// values from memory).
///
/// `character_db` runs from 0 to 18 (6 dB for tones, 9 dB for impulses, 3 dB otherwise, clause 9.2), the background
/// from 0 to 100 dB(A); others give a sentence.
pub fn compare_with_background(
    specific_dba: RangedValue,
    character_db: f64,
    background_dba: f64,
) -> Result<BackgroundComparison, RoomError> {
    RoomError::in_range("background", "the addition for character", character_db, "dB", (0.0, 18.0))?;
    RoomError::in_range("background", "the level", background_dba, "dB(A)", (0.0, 100.0))?;
    let over = |level: f64| level + character_db - background_dba;
    let excess = RangedValue {
        median_db: over(specific_dba.median_db),
        lower_db: over(specific_dba.lower_db),
        upper_db: over(specific_dba.upper_db),
    };
    let side = if excess.median_db < 0.0 { "below" } else { "above" };
    let sentence = format!(
        "for information: the rating level lies {} {side} the background ({} to {}); the assessment is for a competent person",
        with_unit(excess.median_db.abs(), 0, "dB"),
        number(excess.lower_db, 0),
        with_unit(excess.upper_db, 0, "dB")
    );
    Ok(BackgroundComparison { specific_dba, character_db, background_dba, excess, sentence })
}

/// The smallest margin and its band; the lowest band of equals.
fn least(margins: impl Iterator<Item = (f64, Band)>) -> Margin {
    let mut found = Margin { margin_db: f64::INFINITY, deciding_band: None };
    for (margin_db, band) in margins {
        if margin_db < found.margin_db {
            found = Margin { margin_db, deciding_band: Some(band) };
        }
    }
    found
}
