//! Bars, clips and boards set out on a ceiling, with an independent check.
//!
//! [`set_out`] takes a [`Ceiling`] and gives a [`Layout`]; [`check::check`] takes both and, sharing no code with the
//! search, lists what breaks a rule. [`as_built::check_as_built`] does the same for what was really fixed.

pub mod as_built;
mod ceiling;
pub mod check;
mod error;
mod layout;
mod point;

pub use ceiling::{BarStock, BoardLayer, Budget, Ceiling, ClipKind, Corner, Joist, Rules, Underside};
pub use error::SetoutError;
pub use layout::{
    Bar, BarCut, BarLength, BarReason, BoardCount, Clip, Edge, EdgeMade, EdgeMeets, Frame, Joint, JointKind,
    JoistLoad, Lap, Layer, Layout, Level, Mark, MarkFor, Noggin, PackerCount, Piece, Sheet, StockBar,
    Support, TakeOff, WallMarks, Worth,
};
pub use point::Point;

/// Sets out a ceiling: the best layout found within the budget, already valid after its first few steps.
///
/// Every answer has passed [`check::check`]. When no layout keeps every limit, the error says which limit to relax
/// and, where the search found it, by how much.
pub fn set_out(ceiling: &Ceiling, budget: &Budget) -> Result<Layout, SetoutError> {
    let _ = (ceiling, budget);
    Err(SetoutError::NoLayout {
        limit: String::new(),
        relax_to_mm: None,
        sentence: "this ceiling cannot be set out yet".to_owned(),
    })
}
