//! Why no layout can be given, in a sentence that says what to do.

use thiserror::Error;

/// Why a ceiling cannot be set out.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum SetoutError {
    /// An input makes no sense.
    #[error("{what}: {sentence}")]
    Input {
        /// Which input: `corners`, `joist J4`, `layer 2`, `rules.bar_gap_mm`.
        what: String,
        /// What is wrong and what to do.
        sentence: String,
    },
    /// The inputs make sense, but no layout within the family searched keeps every limit.
    #[error("{sentence}")]
    NoLayout {
        /// The limit in the way: `min_strip_mm`.
        limit: String,
        /// The value at which a layout exists, as far as the search went; none when it found none.
        relax_to_mm: Option<f64>,
        /// What is wrong and what to do.
        sentence: String,
    },
}

impl SetoutError {
    pub(crate) fn input(what: impl Into<String>, sentence: impl Into<String>) -> Self {
        Self::Input { what: what.into(), sentence: sentence.into() }
    }
}
