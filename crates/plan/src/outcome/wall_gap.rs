//! The gap the boards keep from a wall, and why.

use quantities::format::with_unit;
use serde::Serialize;

/// The gap the boards keep from one wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallGap {
    /// The wall, such as `A-B`.
    pub wall: String,
    /// The gap, mm.
    pub gap_mm: f64,
    /// How well the place of the wall is known, at its least sure end, one standard deviation, mm.
    pub sd_mm: f64,
    /// How far it bulges into the room, mm; 0 where it does not.
    pub bulge_mm: f64,
}

impl WallGap {
    /// `13 mm at wall B–C (it bulges 4 mm, its place known to ±4.2 mm)`: twice the standard deviation, as every ± of a length.
    pub fn words(&self) -> String {
        let known = format!("its place known to ±{}", with_unit(2.0 * self.sd_mm, 1, "mm"));
        let why = if self.bulge_mm > 0.0 {
            format!("it bulges {}, {known}", with_unit(self.bulge_mm, 0, "mm"))
        } else {
            known
        };
        format!("{} at wall {} ({why})", with_unit(self.gap_mm, 0, "mm"), self.wall.replace('-', "–"))
    }
}
