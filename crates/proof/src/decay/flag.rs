//! What speaks against a decay time.

use quantities::format::with_unit;

/// One reason to doubt a decay time, or why there is none.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum DecayFlag {
    /// Nothing that decays.
    NoDecay,
    /// The noise lies too high.
    NoiseTooNear {
        /// Level of the beginning over the noise, dB.
        range_db: f64,
    },
    /// The decay bends.
    Curved {
        /// Degree of curvature, %.
        percent: f64,
    },
    /// The decay is not a straight line.
    NotStraight {
        /// Non-linearity, ‰.
        non_linearity: f64,
    },
    /// The later part says another time than the whole, as no room has it.
    Contradicts {
        /// T20, s.
        t20_s: f64,
        /// T30, s.
        t30_s: f64,
    },
    /// Of several strokes or places some give a time far off the others.
    OneLeftOut {
        /// The first time that was left out, s.
        left_out_s: f64,
        /// Mean of the others, s.
        others_s: f64,
        /// How many were left out.
        left: usize,
        /// Of how many.
        of: usize,
    },
    /// The room is so dry that the filter is heard with it.
    FilterRings {
        /// Shortest time this band shows reliably, s.
        shortest_s: f64,
    },
}

impl DecayFlag {
    /// How bad it is beside others of its kind: the larger, the worse.
    pub fn badness(&self) -> f64 {
        match self {
            Self::NoDecay => 0.0,
            Self::NoiseTooNear { range_db } => -range_db,
            Self::Curved { percent } => percent.abs(),
            Self::NotStraight { non_linearity } => *non_linearity,
            Self::FilterRings { shortest_s } => *shortest_s,
            Self::Contradicts { t20_s, t30_s } => t20_s / t30_s,
            Self::OneLeftOut { left_out_s, others_s, .. } => {
                (left_out_s / others_s).max(others_s / left_out_s)
            }
        }
    }
}

impl std::fmt::Display for DecayFlag {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoDecay => f.write_str("No decay is heard here."),
            Self::NoiseTooNear { range_db } => write!(
                f,
                "The sound begins only {} over the noise; T20 needs 35 dB. Hit harder or play louder.",
                with_unit(*range_db, 0, "dB")
            ),
            Self::Curved { percent } => write!(
                f,
                "The decay bends: the later part of it makes T30 {} {} than T20. One part of the room dies away first, then another; the \
                 ± is opened until it holds both.",
                with_unit(percent.abs(), 0, "%"),
                if *percent > 0.0 { "longer" } else { "shorter" }
            ),
            Self::NotStraight { non_linearity } => write!(
                f,
                "The level does not fall along a straight line: one explains {} of its fall, 99 % is asked. Single modes of the room; the \
                 ± is opened for it.",
                with_unit(100.0 - 0.1 * non_linearity, 1, "%")
            ),
            Self::Contradicts { t20_s, t30_s } => write!(
                f,
                "T20 would be {} and T30 {}: no room does that, so another sound is in it, and no time is given.",
                with_unit(*t20_s, 2, "s"),
                with_unit(*t30_s, 2, "s")
            ),
            Self::OneLeftOut { left_out_s, others_s, left: 1, of } => write!(
                f,
                "One of {of} times, {}, is far off the {} of the others and is left out.",
                with_unit(*left_out_s, 2, "s"),
                with_unit(*others_s, 2, "s")
            ),
            Self::OneLeftOut { left_out_s, others_s, left, of } => write!(
                f,
                "{left} of {of} times, the first {}, are far off the {} of the others and are left out.",
                with_unit(*left_out_s, 2, "s"),
                with_unit(*others_s, 2, "s")
            ),
            Self::FilterRings { shortest_s } => write!(
                f,
                "Times under {} are as short as a third octave itself rings here: take the time as rough.",
                with_unit(*shortest_s, 2, "s")
            ),
        }
    }
}
