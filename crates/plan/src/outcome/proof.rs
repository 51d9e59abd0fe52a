//! What was measured, held against what was planned, and which fault explains the difference.

use bands::Band;
use serde::Serialize;
use sound::ranged::DEVIATIONS_TO_90TH as TO_90TH;

use crate::{
    outcome::Standing,
    project::{Fault, Stage},
};

/// Everything measuring has shown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProofOutcome {
    /// At each receiver that was measured, measured against planned.
    pub differences: Vec<ProvedDifference>,
    /// Single A-weighted readings of a meter without bands, held against the plan.
    pub single: Vec<SingleReading>,
    /// How the sound dies away in the room itself as measured, a sentence each.
    pub decays: Vec<String>,
    /// Which fault explains what was measured after the work; none where nothing was.
    pub diagnosis: Option<ProofDiagnosis>,
    /// Faults the plan is worked out with, a sentence each.
    pub as_proved: Vec<String>,
    /// What could not be judged, a sentence each.
    pub not_judged: Vec<String>,
    /// The recordings that were worked out, each with its level over time; drawn, and not written out.
    #[serde(skip)]
    pub recordings: Vec<RecordingOverTime>,
}

/// A recording that a measurement names, over time.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordingOverTime {
    /// Its file.
    pub file: String,
    /// What it is of: `the level inside, after the work`.
    pub words: String,
    /// Its levels.
    pub analysis: proof::Analysis,
}

/// A single A-weighted reading at one receiver: it checks the sum and cannot tell what is wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SingleReading {
    /// The receiver.
    pub receiver: String,
    /// When it was measured.
    pub when: Stage,
    /// The sound of the plan that is taken to have been on.
    pub sound: String,
    /// Level on the side of the source, dB(A); none where none was measured: then the plan's own level is taken.
    pub source_dba: Option<f64>,
    /// Level at the receiver, the background taken off, dB(A).
    pub received_dba: f64,
    /// Whether the background hides more: the true level is at most this.
    pub at_most: bool,
    /// Measured difference, or the level itself where the side of the source was not measured, dB(A).
    pub measured_dba: f64,
    /// Standard uncertainty, dB.
    pub deviation_db: f64,
    /// The same as planned, dB(A).
    pub planned_dba: f64,
    /// 10th percentile of the planned, dB(A).
    pub planned_lower_dba: f64,
    /// 90th percentile of the planned, dB(A).
    pub planned_upper_dba: f64,
    /// The level it makes, held against the receiver's limit in dB(A), where there is one.
    pub level: Option<MeasuredLevel>,
    /// What it means, in a sentence.
    pub sentence: String,
}

/// A measured level difference at one receiver against the planned one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProvedDifference {
    /// The receiver.
    pub receiver: String,
    /// `D` from the room to the receiver, `D2m` from outdoors into it.
    pub quantity: &'static str,
    /// When it was measured.
    pub when: Stage,
    /// Band by band, lowest first.
    pub bands: Vec<ProvedBand>,
    /// Whether the background was never measured.
    pub background_unknown: bool,
    /// Standardised rating of the difference, where decay times of the receiver's room were measured.
    pub rating: Option<ProvedRating>,
    /// Apparent sound reduction index of the shared wall or ceiling, or of the wall outside, where what it needs was measured.
    pub reduction: Option<ProvedRating>,
    /// By how much the sound of the plan is quieter on the other side, A-weighted.
    pub against_sound: Option<AgainstSound>,
    /// The same held against the receiver's limit.
    pub level: Option<MeasuredLevel>,
    /// What it means, in a sentence.
    pub sentence: String,
}

/// One band of a measured difference.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProvedBand {
    /// The band.
    pub band: Band,
    /// Level on the side of the source, dB.
    pub source_db: f64,
    /// Level at the receiver, the background taken off, dB.
    pub received_db: f64,
    /// Level of the background there, dB.
    pub background_db: Option<f64>,
    /// Measured difference, dB.
    pub difference_db: f64,
    /// Its standard uncertainty, dB.
    pub deviation_db: f64,
    /// Whether the background hides more: the difference is at least this.
    pub at_least: bool,
    /// Planned difference, dB.
    pub planned_db: f64,
    /// 10th percentile of the planned difference, dB.
    pub planned_lower_db: f64,
    /// 90th percentile of the planned difference, dB.
    pub planned_upper_db: f64,
    /// Difference before the work, dB.
    pub before_db: Option<f64>,
    /// What the work has gained, dB.
    pub gain_db: Option<f64>,
    /// Standard uncertainty of the gain, dB.
    pub gain_deviation_db: Option<f64>,
}

/// A single number by ISO 717-1 with its standard uncertainties by ISO 12999-1.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProvedRating {
    /// `DnT,w`, `D2m,nT,w`, `R′w` or `R′45°,w`.
    pub name: &'static str,
    /// The number, dB.
    pub value_db: f64,
    /// Whether bands that count are only limits set by the background: the true number is this or more, and the uncertainties are not its own.
    pub at_least: bool,
    /// Standard uncertainty if the bands err apart, dB.
    pub uncorrelated_db: f64,
    /// Standard uncertainty if they err as one, dB.
    pub correlated_db: f64,
    /// The number with C, dB.
    pub with_c_db: Option<f64>,
    /// The number with Ctr, dB.
    pub with_ctr_db: Option<f64>,
}

/// An A-weighted difference for one sound, measured and planned, over the bands that were measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AgainstSound {
    /// The sound.
    pub sound: String,
    /// Measured, dB(A).
    pub measured_dba: f64,
    /// Its standard uncertainty, dB.
    pub deviation_db: f64,
    /// Whether a band that counts is limited by the background: at least this.
    pub at_least: bool,
    /// Planned, dB(A).
    pub planned_dba: f64,
    /// 10th percentile of the planned, dB(A), all bands at theirs.
    pub planned_lower_dba: f64,
    /// 90th percentile of the planned, dB(A), all bands at theirs.
    pub planned_upper_dba: f64,
    /// What the work has gained, dB(A), and its standard uncertainty, where it was measured before too.
    pub gain_dba: Option<(f64, f64)>,
}

/// The level at a receiver as measuring gives it, held against the limit there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredLevel {
    /// The sound, at the level the plan takes it to have.
    pub sound: String,
    /// Level at the receiver, dB(A).
    pub level_dba: f64,
    /// Standard uncertainty of the measurement, dB.
    pub deviation_db: f64,
    /// What it is held against.
    pub limit: String,
    /// Whether the background hides more, so that the level is at most this.
    pub at_most: bool,
    /// What is to spare, dB; negative: what is missing.
    pub margin_db: f64,
    /// How the check came out.
    pub standing: Standing,
    /// How many bands were not measured and are taken as planned.
    pub bands_as_planned: usize,
}

impl ProvedBand {
    /// Half of the range the measured difference lies in four times in five, dB.
    pub fn half_db(&self) -> f64 {
        TO_90TH * self.deviation_db
    }
}

impl MeasuredLevel {
    /// Half of the range the level lies in four times in five, dB.
    pub fn half_db(&self) -> f64 {
        TO_90TH * self.deviation_db
    }

    /// What stands for bands that were not measured, in a sentence; none where all were.
    pub fn missing_words(&self) -> Option<String> {
        match self.bands_as_planned {
            0 => None,
            1 => Some("One band was not measured and counts as planned.".to_owned()),
            some => Some(format!("{some} bands were not measured and count as planned.")),
        }
    }

    /// How it came out: `holds, 3.1 dB to spare`, or that the background hides it.
    pub fn outcome_words(&self) -> String {
        if self.at_most && self.standing == Standing::Open {
            "not shown: the background hides the rest".to_owned()
        } else {
            format!("{}, {}", self.standing.word(), crate::outcome::heard_words::to_spare(self.margin_db))
        }
    }

    /// `69 dB(A)`, or `at most 69 dB(A)`.
    pub fn figure(&self) -> String {
        let most = if self.at_most { "at most " } else { "" };
        format!("{most}{}", quantities::format::with_unit(self.level_dba, 0, "dB(A)"))
    }
}

/// The explanations of what was measured, the likeliest first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProofDiagnosis {
    /// What it comes to, in a sentence or two.
    pub sentence: String,
    /// How many bands at all receivers it rests on.
    pub observations: usize,
    /// How many of them are limits set by the background.
    pub limits: usize,
    /// Whether even the likeliest explanation fits badly.
    pub fits_nothing: bool,
    /// The explanations.
    pub explanations: Vec<RankedFault>,
    /// How many further ones have less than one chance in a hundred each.
    pub unlikely: usize,
}

/// A fault less likely than this is not worth sending anybody to, 0 to 1.
const WORTH_LOOKING: f64 = 0.1;
/// Where *as planned* is the likeliest, faults that are all less likely than this give no alarm, 0 to 1.
const WORTH_ALARM: f64 = 0.2;
/// Under this chance of being measured so far off, a fault does not explain what was measured well, 0 to 1.
const POOR_FIT: f64 = 0.05;
/// To how many places somebody is sent at once.
const MOST_PLACES: usize = 3;

impl ProofDiagnosis {
    /// Whether nothing speaks for a fault beyond those the plan has in it already: *as planned* is the likeliest, fits, and no fault reaches
    /// one chance in five.
    pub fn no_further_fault(&self) -> bool {
        let first = self.explanations.first();
        first.is_some_and(|first| first.size.is_none())
            && !self.fits_nothing
            && self
                .explanations
                .iter()
                .filter(|one| one.size.is_some())
                .all(|one| one.probability < WORTH_ALARM)
    }

    /// Whether the likeliest stands alone and only comes nearest: it fits badly, or its size is at the end of those tried.
    pub fn nearest_only(&self) -> bool {
        let alone = self.explanations.iter().filter(|one| one.leads).count() == 1;
        alone
            && self.explanations.first().is_some_and(|first| {
                let at_the_end = first.size.as_ref().is_some_and(|size| size.at_the_end);
                first.size.is_some() && (self.fits_nothing || at_the_end || first.fit < POOR_FIT)
            })
    }

    /// The fault that may be written into the file as proved: it explains best what was measured, alone, and well.
    ///
    /// # Errors
    /// A sentence why none may.
    pub fn to_keep(&self) -> Result<&RankedFault, String> {
        let Some(first) = self.explanations.first() else {
            return Err(
                "Nothing was measured after the work that a fault could explain: nothing is kept.".to_owned()
            );
        };
        let leading = self.explanations.iter().filter(|one| one.leads).count();
        if leading > 1 {
            return Err(format!(
                "What was measured cannot tell {leading} explanations apart: nothing is kept. Look at the places named, or measure at a further \
                 receiver; what you find you can write into [as_proved] yourself."
            ));
        }
        if self.nearest_only() {
            return Err(format!(
                "None of the faults that were tried explains well what was measured, \"{}\" only comes nearest: nothing is kept. What you find \
                 you can write into [as_proved] yourself.",
                first.name
            ));
        }
        Ok(first)
    }

    /// The explanations somebody is sent to look for: of those that lead, the likeliest if it is one, and the others from one in ten on.
    pub fn advised(&self) -> impl Iterator<Item = &RankedFault> {
        self.explanations
            .iter()
            .enumerate()
            .filter(|(_, one)| one.leads && one.size.is_some())
            .filter(|(at, one)| *at == 0 || one.probability >= WORTH_LOOKING)
            .map(|(_, one)| one)
            .take(MOST_PLACES)
    }
}

impl RankedFault {
    /// Its name with a capital.
    fn called(&self) -> String {
        let mut letters = self.name.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }

    /// Where to look for it, by its name.
    pub fn look_words(&self) -> String {
        format!("{}; where to look: {}", self.called(), self.look)
    }

    /// How to tell it, by its name.
    pub fn tell_words(&self) -> String {
        format!("{}; how to tell: {}", self.called(), self.tell)
    }
}

/// One explanation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RankedFault {
    /// What it is.
    pub name: String,
    /// How likely it is, given that one of the explanations is true, 0 to 1.
    pub probability: f64,
    /// Whether it cannot be told from the likeliest, or is it.
    pub leads: bool,
    /// Its size.
    pub size: Option<FaultSize>,
    /// The fault at its likeliest size, as it can be kept; none for *as planned* and for background.
    pub fault: Option<Fault>,
    /// Chance that differences this far off are measured if it is true, 0 to 1.
    pub fit: f64,
    /// Where to look.
    pub look: String,
    /// How to tell by ear or hand.
    pub tell: String,
    /// What mending it would gain at each receiver.
    pub gains: Vec<MendGain>,
}

/// How large a fault is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FaultSize {
    /// The middle, in `unit`.
    pub median: f64,
    /// 10th percentile.
    pub lower: f64,
    /// 90th percentile.
    pub upper: f64,
    /// Unit of all three.
    pub unit: &'static str,
    /// Decimals worth printing.
    pub decimals: usize,
    /// Whether it may well be beyond the sizes that were tried.
    pub at_the_end: bool,
}

/// What mending a fault would gain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MendGain {
    /// The receiver.
    pub receiver: String,
    /// The gain, dB(A).
    pub gain_dba: f64,
}
