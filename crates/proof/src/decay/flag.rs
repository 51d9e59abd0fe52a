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
                "The decay bends (curvature {}): first one part of the room dies away, then another; take the time as rough.",
                with_unit(*percent, 0, "%")
            ),
            Self::NotStraight { non_linearity } => write!(
                f,
                "The decay is no straight line (non-linearity {}): single modes of the room; take the time as rough.",
                with_unit(*non_linearity, 0, "‰")
            ),
            Self::FilterRings { shortest_s } => write!(
                f,
                "Times under {} are as short as a third octave itself rings here: take the time as rough.",
                with_unit(*shortest_s, 2, "s")
            ),
        }
    }
}
