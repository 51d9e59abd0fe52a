//! Why no room can be drawn from the readings.

/// Why no room can be drawn from the readings; each says what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SurveyError {
    /// A number of corners outside 3 to 40, or two corners of one name.
    #[error("{0}")]
    Corners(String),
    /// A reading that cannot be one.
    #[error("{0}")]
    Reading(String),
    /// Tapes that contradict each other beyond any error of reading.
    #[error("{0}")]
    Contradiction(String),
    /// Too few readings for one shape.
    #[error("{sentence}")]
    NotFixed {
        /// What is missing and which tape to take first.
        sentence: String,
        /// The tape that fixes most, by corner places.
        tape: (usize, usize),
        /// How many readings are missing at least.
        missing: usize,
    },
    /// A joist that does not lie in the room, or a level reading that cannot be one.
    #[error("{0}")]
    Joist(String),
}
