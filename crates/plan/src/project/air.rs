//! People, fresh air and climate.

use crate::{
    project::ActivityId,
    read::{
        field::{Field, Slot},
        keyed::keyed,
        reading::Reading,
    },
    schema::Shape,
};

keyed! {
    /// Who uses the room, and the air they get.
    pub struct RoomUse {
        /// How many people.
        people: u32 [1.0, 200.0],
        /// What they do.
        activity: ActivityId,
        /// How many of them do it at once while the others sit; without it all of them.
        at_once: Option<u32> [1.0, 200.0],
        /// How long without a break.
        hours: f64 [0.1, 24.0],
        /// Who they are, in words.
        volume_note: Option<String>,
        /// Fresh air for all of them together, while the room is used.
        fresh_air_l_s: f64 [0.0, 1000.0],
        /// Highest carbon dioxide.
        co2_limit_ppm: f64 [500.0, 5000.0] = 1500.0,
        /// Air temperature inside.
        inside_temperature_c: f64 [5.0, 35.0] = 20.0,
        /// Heat of lamps, amplifiers and the like.
        equipment_w: f64 [0.0, 20_000.0] = 100.0,
        /// Decay time wanted: 0.3 to 0.4 s for drums, 0.4 to 0.6 s for speech and lessons.
        wanted_decay_s: f64 [0.1, 3.0] = 0.35,
        /// How damp the use makes the room, EN ISO 13788.
        humidity_class: HumidityClass [1.0, 5.0] = HumidityClass::Three,
    }
}

/// Internal humidity class of EN ISO 13788.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(into = "u8")]
pub enum HumidityClass {
    /// Unused buildings, storage of dry goods.
    One,
    /// Offices, dwellings with normal occupancy and ventilation.
    Two,
    /// Buildings with unknown occupancy.
    Three,
    /// Sports halls, kitchens, canteens.
    Four,
    /// Special buildings: laundry, brewery, swimming pool.
    Five,
}

impl From<HumidityClass> for u8 {
    fn from(class: HumidityClass) -> Self {
        match class {
            HumidityClass::One => 1,
            HumidityClass::Two => 2,
            HumidityClass::Three => 3,
            HumidityClass::Four => 4,
            HumidityClass::Five => 5,
        }
    }
}

impl Field for HumidityClass {
    fn shape() -> Shape {
        Shape::Whole
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        match u32::decode(slot, reading)? {
            1 => Some(Self::One),
            2 => Some(Self::Two),
            3 => Some(Self::Three),
            4 => Some(Self::Four),
            _ => Some(Self::Five),
        }
    }
}

keyed! {
    /// The air inside as it was measured, monthly means, January first; used for damp in place of the humidity class.
    pub struct IndoorClimate {
        /// How it was measured, in words.
        name: Option<String>,
        /// Air temperature of each month.
        temperature_c: [f64; 12] [-10.0, 45.0],
        /// Relative humidity of each month.
        humidity_percent: [f64; 12] [5.0, 100.0],
    }
}

keyed! {
    /// Monthly means outside, January first.
    pub struct Climate {
        /// Where they are from.
        name: String,
        /// Air temperature of each month.
        temperature_c: [f64; 12] [-50.0, 50.0],
        /// Relative humidity of each month.
        humidity_percent: [f64; 12] [5.0, 100.0],
    }
}
