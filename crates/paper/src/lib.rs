//! A scene in millimetres of paper, text measuring, page layout, and its exporters.
//!
//! One way through: somebody who knows what is to be drawn builds a [`Scene`] (lines, hatches, text, groups that
//! carry a layer name), with a [`View`] from the millimetres of a room to the millimetres of the paper and the
//! draughting items of the trade ([`dimension`], [`leader`], [`mark`], [`chart`], [`table`]). The exporters
//! [`svg`], [`pdf`] and [`dxf`] are siblings that read the same scene: what one shows, all show.
//!
//! * Lengths are millimetres of paper; x runs to the right, y runs **down**, the origin is the top left corner.
//! * Text is never smaller than [`font::SMALLEST_TEXT_MM`] and never clipped: it wraps, or flows on.
//! * Meaning is carried by line weight, line type and hatch; the one pencil red says *must be done* or *is wrong*.
//!
//! This crate knows nothing of rooms, boards or sound.

pub mod axis;
pub mod chart;
mod chart_frame;
pub mod dimension;
pub mod dxf;
pub mod exporter;
pub mod flow;
pub mod font;
pub mod hatch;
mod hatch_ground;
mod hatch_pattern;
pub mod ink;
pub mod leader;
pub mod mark;
pub mod page;
pub mod pdf;
mod plain_chart;
pub mod point;
pub mod proof_reading;
pub mod region;
mod reword;
pub mod scene;
pub mod share_bars;
pub mod spread;
pub mod svg;
pub mod table;
pub mod title_block;
pub mod view;
pub mod wrap;

pub use exporter::{Exporter, PaperError};
pub use font::Weight;
pub use hatch::Hatch;
pub use ink::{Dash, Ink, Pen};
pub use page::{Document, DocumentPage, Format, Orientation, PaperSize, Window};
pub use point::{Extent, Point};
pub use scene::{Anchor, Arc, Baseline, Circle, Dots, Group, Item, Path, Scene, Strokes, Text};
pub use view::{Scale, View};
