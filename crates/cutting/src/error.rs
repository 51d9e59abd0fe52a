//! Why an order cannot be cut.

/// Why an order cannot be cut; each says what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CuttingError {
    /// A measure that is not a positive number.
    #[error("{what} has a measure that is not a positive number of millimetres; check it")]
    Measure {
        /// Piece or stock, by label.
        what: String,
    },
    /// A price below nothing or not a number.
    #[error("the price of {what} is not a number of nothing or more; correct it or leave it out")]
    Price {
        /// Stock, by name.
        what: String,
    },
    /// Nothing to cut from.
    #[error("there is no stock to cut from; add at least one")]
    NoStock,
    /// A piece larger than any stock.
    #[error(
        "piece {piece} is larger than any stock it could be cut from; the largest it could take is {largest}"
    )]
    TooLarge {
        /// Piece, by label.
        piece: String,
        /// The largest stock, in words.
        largest: String,
    },
    /// Not enough stock of limited number.
    #[error("the stock at hand does not give all pieces: {left} of {pieces} are left over; allow more of it")]
    NotEnoughStock {
        /// Pieces that found no place.
        left: usize,
        /// Pieces in all.
        pieces: usize,
    },
    /// Measures with no common step to speak of.
    #[error(
        "the sides of these pieces add up to too many different lengths to try all; round them to whole millimetres"
    )]
    TooFine,
}
