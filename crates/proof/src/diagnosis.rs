//! Which single fault explains what was measured: statistics alone, handed what each fault would make of the differences.
//!
//! The forward model stands in tables: for each candidate the predicted level differences over a row of sizes, with what every
//! independent error of the prediction would move them by. What its size does not tell is averaged over. For a size the measured differences are normal about the
//! prediction, with the full covariance of prediction and measurement; integrated over the size under its prior that
//! is the evidence of the candidate. Candidates within a factor of [`TELL_APART`] of the best, and those it takes to hold
//! [`HELD_TOGETHER`] of the probability, cannot be told from it.

mod fit;

use bands::{BAND_COUNT, Band};
use serde::Serialize;

pub use fit::diagnose;

/// Evidence ratio from which one explanation is told from another: 3 is *positive*, 20 *strong* (Kass and Raftery 1995).
pub const TELL_APART: f64 = 3.0;
/// What the explanations that are named must hold together of the probability: one alone is named only where it holds as much
/// (judgement).
pub const HELD_TOGETHER: f64 = 0.8;
/// Share of the prior on *as planned*; the candidates share the rest (judgement: one room in two is built as drawn).
pub const AS_PLANNED_PRIOR: f64 = 0.5;
/// Share of the variance of a measurement that all bands of one place have in common: gain, position, wind (judgement).
pub const COMMON_MEASUREMENT_VARIANCE: f64 = 0.5;
/// Chance under which measured differences are said to fit no explanation (judgement).
pub const FITS_NOTHING: f64 = 0.01;

/// One measured level difference.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Observed {
    /// The place it holds for, counted from 0.
    pub place: usize,
    /// Its band.
    pub band: Band,
    /// The difference, dB.
    pub difference_db: f64,
    /// Standard uncertainty of the measurement, dB.
    pub deviation_db: f64,
    /// Whether the background hides more: the true difference is this or larger.
    pub at_least: bool,
}

/// What a prediction says of every observation, in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// The difference, dB.
    pub difference_db: Vec<f64>,
    /// For each independent source of error (a build-up, a leak, the way to a place) by how many dB one standard deviation of it moves each
    /// difference. The same sources in the same order for every size of a candidate.
    pub moved_by_db: Vec<Vec<f64>>,
}

/// A candidate fault over a row of sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What it is called.
    pub name: String,
    /// Sizes, rising, above zero, in the fault's own unit; the prior is even in their logarithm from the first to the last.
    pub sizes: Vec<f64>,
    /// What each size predicts.
    pub predicted: Vec<Predicted>,
    /// The same where something that its size does not tell is otherwise (how deep a gap goes, whether it lies in a corner). Often none.
    /// Before anything is measured `predicted` is as likely as all of these together, and they among themselves.
    pub otherwise: Vec<Vec<Predicted>>,
    /// Its weight among the candidates before anything is measured, above zero; 1 is usual.
    pub weight: f64,
}

/// Everything a diagnosis rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// What was measured.
    pub observed: Vec<Observed>,
    /// What the plan predicts without any fault.
    pub as_planned: Predicted,
    /// The candidates.
    pub candidates: Vec<Candidate>,
    /// Correlation of one error of the prediction between bands.
    pub band_correlation: [[f64; BAND_COUNT]; BAND_COUNT],
}

/// One explanation with how likely it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// Its place among the candidates; none: as planned.
    pub candidate: Option<usize>,
    /// What it is called.
    pub name: String,
    /// Its probability, given that one of the explanations is true, 0 to 1.
    pub probability: f64,
    /// Size with its 10th and 90th percentile, in the fault's own unit; none as planned.
    pub size: Option<Size>,
    /// Logarithm of its evidence over that of *as planned*.
    pub log_evidence: f64,
    /// Chance that differences this far off are measured if it is true, 0 to 1.
    pub fit: f64,
    /// Whether it cannot be told from the likeliest.
    pub like_the_first: bool,
}

/// A fitted size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Size {
    /// The middle.
    pub median: f64,
    /// 10th percentile.
    pub lower: f64,
    /// 90th percentile.
    pub upper: f64,
    /// Whether the likeliest size is the largest (or smallest) that was tried.
    pub at_the_end: bool,
}

/// All explanations, the likeliest first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnosis {
    /// Explanations in falling probability.
    pub explanations: Vec<Explanation>,
    /// How many observations it rests on.
    pub observations: usize,
    /// How many of them are limits.
    pub limits: usize,
    /// Whether even the likeliest explanation fits badly.
    pub fits_nothing: bool,
}

impl Diagnosis {
    /// The likeliest explanation and those that cannot be told from it.
    pub fn leading(&self) -> impl Iterator<Item = &Explanation> {
        self.explanations.iter().filter(|one| one.like_the_first)
    }

    /// Whether more than one explanation is left.
    pub fn cannot_tell(&self) -> bool {
        self.leading().count() > 1
    }
}
