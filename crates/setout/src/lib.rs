//! Bars, clips and boards set out on a ceiling, with an independent check.
//!
//! [`set_out`] takes a [`Ceiling`] and gives a [`Layout`]; [`check::check`] takes both and, sharing no code with the
//! search, lists what breaks a rule. [`as_built::check_as_built`] does the same for what was really fixed.

pub mod as_built;
mod assemble;
mod bars;
mod bound;
mod bound_together;
mod carry;
mod ceiling;
pub mod check;
mod clips;
mod combine;
mod draft;
mod draft_clips;
mod error;
mod found;
mod laps;
mod layout;
pub mod lining;
mod marks;
mod noggins;
mod packing;
mod pieces;
mod refused;
mod relax;
mod ring;
mod room;
mod screws;
mod search;
mod shared;
mod sheets;
mod shifts;
mod stamp;
mod strips;
mod take_off;
mod ties;
mod under_joints;
mod worth;

use std::sync::atomic::AtomicBool;

pub use ceiling::{
    Aim, BarStock, BoardLayer, Budget, Ceiling, ClipKind, Corner, Joist, Rules, Underside, widest_through_mm,
};
pub use error::SetoutError;
pub use geometry::Point;
pub use layout::{
    Bar, BarCut, BarLength, BarReason, BegunSheet, BoardCount, Clip, Edge, EdgeMade, EdgeMeets, Frame, Joint,
    JointKind, JoistLoad, Lap, Layer, Layout, Level, Mark, MarkFor, Noggin, PackerCount, Piece, Sheet,
    StockBar, Support, TakeOff, WallMarks, cut_from,
};
pub use noggins::{NogginEnd, NogginHold, noggin_holds};
pub use screws::screws_along;
pub use ties::{BarTie, bar_ties};
pub use worth::Worth;

/// Sets out a ceiling: the best layout found within the budget, already valid after its first few steps.
///
/// Every answer is put through [`check::check`]; [`Layout::breaches`] is what it found. When no layout keeps every limit, the error says which limit to relax
/// and, where the search found it, by how much.
pub fn set_out(ceiling: &Ceiling, budget: &Budget) -> Result<Layout, SetoutError> {
    set_out_until(ceiling, budget, &AtomicBool::new(false))
}

/// As [`set_out`], but ends soon after `stop` is set, with the best layout found so far.
///
/// Left alone it gives the same layout every time, on any number of threads; interrupted, what it had by then.
pub fn set_out_until(ceiling: &Ceiling, budget: &Budget, stop: &AtomicBool) -> Result<Layout, SetoutError> {
    let room =
        room::Room::new(ceiling).map_err(|error| refused::beyond_what_fits(ceiling, error, *budget))?;
    let site = draft::Site::new(ceiling, &room);
    let mut found = search::search(&site, *budget, stop)?;
    site.cut_again(&mut found.draft);
    let mut layout = assemble::assemble(&site, &found, None);
    layout.breaches = check::check(ceiling, &layout);
    Ok(layout)
}
