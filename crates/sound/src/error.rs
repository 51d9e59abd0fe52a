//! What can be wrong with an element, in sentences.

/// Why an element cannot be predicted. Each message says what is wrong, where, and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ElementError {
    /// No leaf at all.
    #[error("{element}: has no leaf. Add at least one board, pane or wall")]
    NoLeaf {
        /// Name of the element.
        element: String,
    },
    /// Two cavities, or a cavity at the face, or two leaves in a row.
    #[error("{element}: {what}. {remedy}")]
    Order {
        /// Name of the element.
        element: String,
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: String,
    },
    /// A number out of its range.
    #[error("{element}: {place}: {fault}. {remedy}")]
    Value {
        /// Name of the element.
        element: String,
        /// Which part.
        place: String,
        /// The quantity with its unit, what was given and what is possible.
        fault: String,
        /// What to do.
        remedy: &'static str,
    },
    /// The fills need more room than there is.
    #[error(
        "{element}: {place}: the fill is {fill_mm} mm thick but the cavity only {cavity_mm} mm deep. Use a thinner fill or make the cavity deeper"
    )]
    FillTooDeep {
        /// Name of the element.
        element: String,
        /// Which cavity.
        place: String,
        /// Fill, mm.
        fill_mm: String,
        /// Cavity, mm.
        cavity_mm: String,
    },
    /// A bridge to a leaf that is not there.
    #[error(
        "{element}: {place}: joins leaves {outer} and {inner}, but the element has {count}. Name two different leaves that exist, counted from 0 outside"
    )]
    BridgeLeaves {
        /// Name of the element.
        element: String,
        /// Which bridge.
        place: String,
        /// Outer leaf.
        outer: usize,
        /// Inner leaf.
        inner: usize,
        /// How many leaves there are.
        count: usize,
    },
    /// A measured spectrum with missing bands.
    #[error(
        "{element}: the measured spectrum has no value at {missing}. Give every third octave from 100 Hz to 3150 Hz"
    )]
    MeasuredBands {
        /// Name of the element.
        element: String,
        /// The missing bands.
        missing: String,
    },
    /// No single number follows from the spectrum.
    #[error("{element}: {reason}")]
    Rating {
        /// Name of the element.
        element: String,
        /// Why, as a sentence.
        reason: String,
    },
}
