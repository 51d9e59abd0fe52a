//! What people do in the room, for air and moisture.

use serde::Serialize;

use crate::{
    Basis::{self, Typical},
    entry::entries,
};

/// What one person does, and what they give to the air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Activity {
    /// Kebab-case id.
    pub id: &'static str,
    /// Plain name.
    pub name: &'static str,
    /// Metabolic rate, met.
    pub met: f64,
    /// Carbon dioxide breathed out, L/s at 0 °C and 101 kPa.
    pub co2_l_s: f64,
    /// Water vapour given off at 20 °C, g/h.
    pub moisture_g_h: f64,
    /// Heat given off, W.
    pub heat_w: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(ACTIVITIES: Activity);

const ADULT: &str = "carbon dioxide by G = 0.000484 · BMR · M L/s of Persily & de Jonge (2017) for the man \
                     of 85 kg worked out there (BMR 7.73 MJ/day); metabolic rates from memory of published \
                     compendia of physical activities; moisture assumed; heat at 58.2 W/m² a met and 1.9 m² \
                     of skin";

static ACTIVITIES: &[Activity] = &[
    Activity {
        id: "sleeping",
        name: "sleeping",
        met: 0.95,
        co2_l_s: 0.00355,
        moisture_g_h: 40.0,
        heat_w: 105.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "sitting",
        name: "sitting quietly, listening",
        met: 1.0,
        co2_l_s: 0.00374,
        moisture_g_h: 45.0,
        heat_w: 111.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "reading",
        name: "reading, desk work",
        met: 1.2,
        co2_l_s: 0.00449,
        moisture_g_h: 50.0,
        heat_w: 133.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-guitar",
        name: "playing guitar, seated",
        met: 2.0,
        co2_l_s: 0.00748,
        moisture_g_h: 80.0,
        heat_w: 221.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-strings",
        name: "playing strings or woodwind",
        met: 2.1,
        co2_l_s: 0.00786,
        moisture_g_h: 90.0,
        heat_w: 232.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-piano",
        name: "playing the piano",
        met: 2.3,
        co2_l_s: 0.00861,
        moisture_g_h: 95.0,
        heat_w: 254.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-brass",
        name: "playing brass",
        met: 2.0,
        co2_l_s: 0.00748,
        moisture_g_h: 95.0,
        heat_w: 221.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-standing",
        name: "playing in a band, standing",
        met: 3.0,
        co2_l_s: 0.01122,
        moisture_g_h: 140.0,
        heat_w: 332.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "playing-drums",
        name: "playing the drums",
        met: 3.8,
        co2_l_s: 0.01422,
        moisture_g_h: 190.0,
        heat_w: 420.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "singing-standing",
        name: "singing, standing",
        met: 2.0,
        co2_l_s: 0.00748,
        moisture_g_h: 90.0,
        heat_w: 221.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "light-bench-work",
        name: "light work at a bench",
        met: 2.0,
        co2_l_s: 0.00748,
        moisture_g_h: 90.0,
        heat_w: 221.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "heavy-bench-work",
        name: "sawing, planing, lifting",
        met: 3.5,
        co2_l_s: 0.01309,
        moisture_g_h: 180.0,
        heat_w: 387.0,
        basis: Typical(ADULT),
    },
    Activity {
        id: "exercise",
        name: "exercise",
        met: 6.0,
        co2_l_s: 0.02245,
        moisture_g_h: 320.0,
        heat_w: 663.0,
        basis: Typical(ADULT),
    },
];
