//! What goes through a wall or ceiling, or is let into it.

use bands::Readings;
use serde::Serialize;

use crate::{project::ElementId, read::keyed::words};

/// Something that goes through an element of the room, or is let into it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Penetration {
    /// The element it is in.
    pub element: ElementId,
    /// What it is.
    pub what: Penetrating,
}

/// Something that goes through an element, or is let into it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Penetrating {
    /// Where it is, in words, key `where`.
    pub place: String,
    /// What it is.
    pub kind: PenetrationKind,
    /// How many alike, 1 to 1000.
    pub count: u32,
    /// Diameter or width, 1 to 3000 mm; `None`: the usual one.
    pub size_mm: Option<f64>,
    /// Height, 1 to 3000 mm, where it is no square.
    pub height_mm: Option<f64>,
    /// Whether it is closed tightly.
    pub sealed: bool,
    /// Level difference D_n,e measured on one, dB in third-octave bands; used instead of a prediction.
    pub dn_e: Option<Readings>,
}

words! {
    /// What goes through an element, or is let into it.
    pub enum PenetrationKind {
        /// A cable through all leaves, in a hole 10 mm wide.
        Cable = "cable",
        /// A pipe of 32 mm through all leaves, in a hole 5 mm larger all round.
        Pipe = "pipe",
        /// A socket or switch box 75 mm wide, let into the leaf inside.
        SocketBox = "socket-box",
        /// A lamp 75 mm wide, let into the leaf inside.
        Lamp = "lamp",
        /// A lid of 600 mm in the leaf inside.
        Hatch = "hatch",
        /// A louvre of 200 mm through all leaves, 45 % of it open.
        Louvre = "louvre",
    }
}
