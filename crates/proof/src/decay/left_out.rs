//! Strokes of a recording that were not counted.

use quantities::format::with_unit;

/// A stroke that was not counted.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LeftOut {
    /// Its time, s.
    pub at_s: f64,
    /// Why.
    #[serde(flatten)]
    pub why: WhyLeftOut,
}

/// Why a stroke was not counted.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case", tag = "why")]
pub enum WhyLeftOut {
    /// The next stroke comes too soon.
    NextTooSoon {
        /// The time to it, s.
        after_s: f64,
    },
    /// The recording ends too soon.
    EndsTooSoon {
        /// What is left of it, s.
        after_s: f64,
    },
    /// It does not rise far enough over the noise.
    Faint {
        /// How far it rises, dB.
        over_db: f64,
    },
    /// In no band does it stand far enough over the noise.
    NoBand,
}

impl std::fmt::Display for LeftOut {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "The stroke after {} is left out: ", with_unit(self.at_s, 1, "s"))?;
        match &self.why {
            WhyLeftOut::NextTooSoon { after_s } => {
                write!(f, "the next comes only {} later. Hit 3 s apart.", with_unit(*after_s, 1, "s"))
            }
            WhyLeftOut::EndsTooSoon { after_s } => write!(
                f,
                "the recording ends only {} later. Let it run on for 3 s after the last.",
                with_unit(*after_s, 1, "s")
            ),
            WhyLeftOut::Faint { over_db } => {
                write!(f, "it rises only {} over the noise. Hit harder.", with_unit(*over_db, 0, "dB"))
            }
            WhyLeftOut::NoBand => f.write_str(
                "in no band does it stand 35 dB over the noise. Hit harder, or wait until it is quieter.",
            ),
        }
    }
}
