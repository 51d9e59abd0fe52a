//! People, fresh air and climate.

use crate::read::keyed::{keyed, words};

keyed! {
    /// Who uses the room, and the air they get.
    pub struct RoomUse {
        /// How many people.
        people: u32 [1, 200],
        /// What they do.
        activity: Activity,
        /// How long without a break.
        hours: f64 [0.1, 24.0],
        /// Who they are, in words.
        volume_note: Option<String>,
        /// Fresh air for all of them together, while the room is used.
        fresh_air_l_s: f64 [0.0, 5000.0],
        /// Highest carbon dioxide.
        co2_limit_ppm: f64 [500.0, 5000.0] = 1500.0,
        /// Air temperature inside.
        inside_temperature_c: f64 [5.0, 35.0] = 20.0,
        /// How damp the use makes the room, EN ISO 13788.
        humidity_class: HumidityClass = HumidityClass::Three,
    }
}

words! {
    /// What people do in the room.
    pub enum Activity {
        /// Sitting still, listening.
        Listening = "listening",
        /// Sitting, talking or at a desk.
        Talking = "talking",
        /// Playing an instrument sitting or standing.
        Playing = "playing",
        /// Singing.
        Singing = "singing",
        /// Drumming.
        Drumming = "drumming",
        /// Dancing.
        Dancing = "dancing",
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
