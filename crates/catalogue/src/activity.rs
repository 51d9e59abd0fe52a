//! What people do in the room, for air and moisture.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// What one person does, and what they give to the air.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Activity {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Metabolic rate, met.
    pub met: f64,
    /// Carbon dioxide breathed out, L/s at 0 °C and 101 kPa.
    pub co2_l_s: f64,
    /// Water vapour given off, g/h.
    pub moisture_g_h: f64,
    /// Heat given off, W.
    pub heat_w: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(ACTIVITIES: Activity);
static ACTIVITIES: &[Activity] = &[];
