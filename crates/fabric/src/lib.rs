//! Does it hold, does it stay dry, can one breathe in it.
//!
//! Loads and timber ([`loads`], [`beam`], [`timber`], [`trimmer`]), heat and moisture ([`buildup`], [`heat`], [`moisture`],
//! [`cold_roof`], [`warm_roof`]), fresh air ([`air`], [`duct`]) and the room inside ([`room`], [`plan_modes`]). Everything is handed in as plain numbers with their units: loads,
//! spans, layers, areas. The crate knows nothing of room files, catalogues, board layouts or prices.
//!
//! A formula of a standard or paper stands in the module named after it and its year; the modules of the trade
//! call those. Every result carries its [`Basis`], so that a sheet can print where each number comes from.
//!
//! What it says about structure is a guide, not a structural design: a structural engineer confirms it.

pub mod air;
pub mod beam;
pub mod buildup;
pub mod cold_roof;
pub mod duct;
pub mod en_16798_1_2019;
pub mod en_1990_2002;
pub mod en_1991_1_1_2002;
pub mod en_1991_1_3_2003;
pub mod en_1995_1_1_2004;
pub mod en_338_2016;
pub mod heat;
pub mod iso_13788_2012;
pub mod iso_6946_2017;
pub mod loads;
pub mod moisture;
pub mod national_annex;
pub mod persily_de_jonge_2017;
pub mod plan_modes;
pub mod room;
pub mod sabine_1940;
pub mod timber;
pub mod trimmer;
pub mod vdi_2081_2001;
pub mod warm_roof;
pub mod wells_1958;

mod basis;
mod checked;
mod error;
mod joist;
mod joist_input;
mod joist_notes;
mod notches;
mod section;
mod to_spare;
mod vapour_tight;
mod vibration;

pub use basis::{Basis, STRUCTURAL_CAUTION};
pub use checked::Checked;
pub use error::FabricError;
pub use notches::{Cut, CutKind, CutResult};
pub use vapour_tight::VAPOUR_TIGHT_SD_M;
pub use vibration::{FloorVibration, VibrationResult};
