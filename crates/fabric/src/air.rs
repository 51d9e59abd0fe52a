//! Fresh air: carbon dioxide, vapour and heat of the people in a room over a session.

use quantities::{air::ZERO_CELSIUS_K, format::with_unit, math};
use serde::Serialize;

use crate::{Basis, FabricError, en_16798_1_2019, error::in_range, persily_de_jonge_2017 as persily};

/// What people do, with the activity level of each.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Activity {
    /// Sitting and listening, 1.0 met.
    Sitting,
    /// Sitting and playing an instrument, 2.0 met.
    Playing,
    /// Standing, singing, teaching, 1.5 met.
    Standing,
    /// Moving about, light work, 2.0 met.
    Moving,
    /// Drumming or dancing, 3.8 met.
    Drumming,
    /// Anything else by its metabolic rate, met, 0.7 to 10.
    Met(f64),
}

/// Some people who do the same.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct People {
    /// How many.
    pub count: u32,
    /// What they do.
    pub activity: Activity,
}

/// What is needed for an air check.
#[derive(Clone, Debug, PartialEq)]
pub struct AirCheck {
    /// Volume of air in the room, m³, 1 to 100 000.
    pub volume_m3: f64,
    /// Who is in it.
    pub people: Vec<People>,
    /// Length of a session, h, 0.05 to 24.
    pub session_h: f64,
    /// Fresh air, L/s; none: there is no way in or out.
    pub fresh_air_l_s: Option<f64>,
    /// Limit of carbon dioxide, ppm.
    pub limit_ppm: f64,
    /// Carbon dioxide outdoors, ppm.
    pub outdoor_ppm: f64,
    /// Carbon dioxide in the room when the session starts, ppm.
    pub start_ppm: f64,
    /// Inside temperature, °C.
    pub inside_c: f64,
    /// Heat of lamps, amplifiers and the like, W.
    pub equipment_w: f64,
}

/// Carbon dioxide at one time of the session.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirAt {
    /// Since the start, min.
    pub minute: f64,
    /// With the fresh air, ppm.
    pub ventilated_ppm: f64,
    /// Sealed, ppm.
    pub sealed_ppm: f64,
}

/// Carbon dioxide, vapour and heat of a session.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirResult {
    /// Carbon dioxide given off by all people, L/s at the inside temperature.
    pub co2_l_s: f64,
    /// At the end of the session with the fresh air, ppm: the peak, where it started below the steady value.
    pub end_ppm: f64,
    /// The highest of the session, ppm.
    pub peak_ppm: f64,
    /// Where it would settle, ppm.
    pub steady_ppm: f64,
    /// At the end of the session with the room sealed, ppm.
    pub sealed_end_ppm: f64,
    /// When the sealed room passes the limit, min; none: not within the session.
    pub sealed_passes_limit_min: Option<f64>,
    /// When the ventilated room passes the limit, min; none: not within the session.
    pub passes_limit_min: Option<f64>,
    /// Fresh air that keeps to the limit until the end of the session, L/s.
    pub needed_l_s: f64,
    /// Fresh air that keeps to it however long it lasts, L/s.
    pub needed_steady_l_s: f64,
    /// The rate for these people by EN 16798-1 category II, L/s.
    pub category_ii_l_s: f64,
    /// Air changes per hour.
    pub air_changes_per_h: f64,
    /// Vapour given off by all people, g/h.
    pub vapour_g_h: f64,
    /// Excess of vapour pressure over outdoors in the steady state, Pa; the figure for a moisture check.
    pub vapour_excess_pa: f64,
    /// Heat of people and equipment, W.
    pub heat_w: f64,
    /// How far the fresh air alone would let the room warm above outdoors, K, with no loss through the fabric.
    pub warming_k: f64,
    /// The session minute by minute (at most 121 points).
    pub course: Vec<AirAt>,
    /// Whether the limit is kept to the end of the session.
    pub kept: bool,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Carbon dioxide, vapour and heat of a session.
///
/// Errors: a volume, time or limit outside its range; people with no way for air in or out.
pub fn check_air(check: &AirCheck) -> Result<AirResult, FabricError> {
    validate(check)?;
    let people: f64 = check.people.iter().map(|group| f64::from(group.count)).sum();
    let sum = |per_person: fn(Activity) -> f64| -> f64 {
        check.people.iter().map(|group| f64::from(group.count) * per_person(group.activity)).sum()
    };
    let co2_l_s = persily::co2_l_s_at(sum(co2_of), check.inside_c);
    let sealed =
        Balance { volume_m3: check.volume_m3, co2_l_s, air_l_s: 0.0, outdoor_ppm: check.outdoor_ppm };
    let air_l_s = check.fresh_air_l_s.unwrap_or(0.0);
    if people > 0.0 && air_l_s <= 0.0 {
        return Err(FabricError::NoAirPath {
            people,
            limit_ppm: check.limit_ppm,
            minutes_to_limit: sealed
                .seconds_to(check.start_ppm, check.limit_ppm)
                .map_or(0.0, |seconds| (seconds / 60.0).floor()),
        });
    }
    let open = Balance { air_l_s, ..sealed };
    let session_s = check.session_h * 3600.0;
    let end_ppm = open.after(check.start_ppm, session_s);
    let heat_people_w = sum(heat_of);
    let heat_w = heat_people_w + check.equipment_w;
    let vapour_g_h = sum(vapour_of);
    let within = |seconds: Option<f64>| seconds.filter(|&s| s <= session_s).map(|s| s / 60.0);
    let needed_steady_l_s = co2_l_s * 1e6 / (check.limit_ppm - check.outdoor_ppm);
    let kept = end_ppm <= check.limit_ppm;
    let needed_l_s = needed(&sealed, check, session_s, needed_steady_l_s);
    Ok(AirResult {
        co2_l_s,
        end_ppm,
        peak_ppm: end_ppm.max(check.start_ppm),
        steady_ppm: open.steady_ppm().unwrap_or(check.start_ppm),
        sealed_end_ppm: sealed.after(check.start_ppm, session_s),
        sealed_passes_limit_min: within(sealed.seconds_to(check.start_ppm, check.limit_ppm)),
        passes_limit_min: within(open.seconds_to(check.start_ppm, check.limit_ppm)),
        needed_l_s,
        needed_steady_l_s,
        category_ii_l_s: people * en_16798_1_2019::CATEGORY_II_L_S,
        air_changes_per_h: air_l_s * 3.6 / check.volume_m3,
        vapour_g_h,
        vapour_excess_pa: vapour_excess_pa(vapour_g_h, air_l_s, check.inside_c),
        heat_w,
        warming_k: if air_l_s > 0.0 { heat_w / (HEAT_OF_AIR_J_LK * air_l_s) } else { 0.0 },
        course: course(&open, &sealed, check.start_ppm, session_s),
        kept,
        notes: notes(check, kept, needed_l_s, heat_w, vapour_g_h),
        basis: basis(),
    })
}

/// A room whose air is well mixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Volume V, m³.
    pub volume_m3: f64,
    /// Carbon dioxide given off G, L/s.
    pub co2_l_s: f64,
    /// Fresh air Q, L/s; 0 for a sealed room.
    pub air_l_s: f64,
    /// Carbon dioxide outdoors C_o, ppm.
    pub outdoor_ppm: f64,
}

impl Balance {
    /// Carbon dioxide after a time, ppm: C(t) = C_o + (G/Q)(1 − e^(−Qt/V)) + (C_0 − C_o) e^(−Qt/V); sealed: C_0 + G t/V.
    pub fn after(&self, start_ppm: f64, seconds: f64) -> f64 {
        match self.steady_ppm() {
            Some(steady) => {
                let left = math::exp(-self.air_l_s / 1000.0 * seconds / self.volume_m3);
                steady + (start_ppm - steady) * left
            }
            None => start_ppm + self.co2_l_s / 1000.0 * seconds / self.volume_m3 * 1e6,
        }
    }

    /// Where it settles, ppm: C_o + G/Q; none for a sealed room.
    pub fn steady_ppm(&self) -> Option<f64> {
        (self.air_l_s > LEAST_AIR_L_S).then(|| self.outdoor_ppm + self.co2_l_s / self.air_l_s * 1e6)
    }

    /// When it passes a limit, s; none if it never does.
    pub fn seconds_to(&self, start_ppm: f64, limit_ppm: f64) -> Option<f64> {
        if start_ppm >= limit_ppm {
            return Some(0.0);
        }
        match self.steady_ppm() {
            Some(steady) if steady <= limit_ppm => None,
            Some(steady) => {
                let share = (steady - limit_ppm) / (steady - start_ppm);
                Some(-math::ln(share) * self.volume_m3 / (self.air_l_s / 1000.0))
            }
            None if self.co2_l_s > 0.0 => {
                Some((limit_ppm - start_ppm) * 1e-6 * self.volume_m3 / (self.co2_l_s / 1000.0))
            }
            None => None,
        }
    }
}

/// Excess of vapour pressure over outdoors in the steady state, Pa: Δp = (G/Q) R_v T with R_v = 461.5 J/(kg K); 0 without vapour,
/// and no more than 5000 Pa.
pub fn vapour_excess_pa(vapour_g_h: f64, air_l_s: f64, inside_c: f64) -> f64 {
    const GAS_CONSTANT_VAPOUR: f64 = 461.5;
    const MOST_PA: f64 = 5000.0;
    if vapour_g_h <= 0.0 {
        return 0.0;
    }
    let kg_s = vapour_g_h / 1000.0 / 3600.0;
    let m3_s = air_l_s.max(LEAST_AIR_L_S) / 1000.0;
    (kg_s / m3_s * GAS_CONSTANT_VAPOUR * (inside_c + ZERO_CELSIUS_K)).min(MOST_PA)
}

impl Activity {
    /// Activity level, met. Sitting 1.0 and moving 2.0 as the paper's table is quoted; playing and drumming by the Compendium of
    /// Physical Activities 2011 (from memory); standing and singing between.
    pub const fn met(self) -> f64 {
        match self {
            Self::Sitting => 1.0,
            Self::Standing => 1.5,
            Self::Playing | Self::Moving => 2.0,
            Self::Drumming => 3.8,
            Self::Met(met) => met,
        }
    }
}

/// Below this the room counts as sealed, L/s: a keyhole.
const LEAST_AIR_L_S: f64 = 1e-6;
/// Density times specific heat of air, J per litre and kelvin.
const HEAT_OF_AIR_J_LK: f64 = quantities::air::DENSITY_KG_M3 * 1006.0 / 1000.0;
/// One met of an adult of 1.8 m², W (58.2 W/m², ISO 8996).
const MET_W: f64 = 58.2 * 1.8;
/// Mass of the adult whose breath is taken, kg: the paper's example.
const ADULT_KG: f64 = 85.0;

fn co2_of(activity: Activity) -> f64 {
    persily::co2_l_s(persily::basal_rate_man_30_60(ADULT_KG), activity.met())
}

fn heat_of(activity: Activity) -> f64 {
    activity.met() * MET_W
}

/// Vapour of one adult, g/h, from the latent part of his heat at 20 °C (CIBSE Guide A Table 6.3, from memory), straight between
/// its rows.
fn vapour_of(activity: Activity) -> f64 {
    // Total heat, latent heat, W.
    const TABLE: [[f64; 2]; 6] =
        [[0.0, 0.0], [115.0, 25.0], [140.0, 40.0], [235.0, 105.0], [265.0, 125.0], [440.0, 250.0]];
    /// Latent heat of evaporation, W h per gram.
    const LATENT_WH_G: f64 = 2450.0 / 3600.0;
    let heat = heat_of(activity);
    let latent = TABLE
        .windows(2)
        .find_map(|pair| match pair {
            [a, b] if heat <= b[0] => Some(a[1] + (b[1] - a[1]) * (heat - a[0]) / (b[0] - a[0])),
            _ => None,
        })
        // Beyond the table as steeply as in its last row.
        .unwrap_or_else(|| 250.0 + (heat - 440.0) * (250.0 - 125.0) / (440.0 - 265.0));
    latent / LATENT_WH_G
}

/// Fresh air that keeps to the limit until the end: halving between none and the steady rate.
fn needed(sealed: &Balance, check: &AirCheck, session_s: f64, steady_l_s: f64) -> f64 {
    let end = |air_l_s: f64| Balance { air_l_s, ..*sealed }.after(check.start_ppm, session_s);
    if end(0.0) <= check.limit_ppm {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, steady_l_s);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if end(middle) <= check.limit_ppm { high = middle } else { low = middle }
    }
    high
}

fn course(open: &Balance, sealed: &Balance, start_ppm: f64, session_s: f64) -> Vec<AirAt> {
    const MOST_POINTS: f64 = 120.0;
    let steps = (session_s / 60.0).ceil().clamp(1.0, MOST_POINTS) as u32;
    (0..=steps)
        .map(|step| {
            let seconds = session_s * f64::from(step) / f64::from(steps);
            AirAt {
                minute: seconds / 60.0,
                ventilated_ppm: open.after(start_ppm, seconds),
                sealed_ppm: sealed.after(start_ppm, seconds),
            }
        })
        .collect()
}

fn validate(check: &AirCheck) -> Result<(), FabricError> {
    in_range("the room's volume of air", check.volume_m3, (1.0, 1e5), "m³", "check the survey")?;
    in_range("the length of a session", check.session_h, (0.05, 24.0), "h", "give hours")?;
    in_range("carbon dioxide outdoors", check.outdoor_ppm, (200.0, 2000.0), "ppm", "420 is usual")?;
    in_range(
        "the limit of carbon dioxide",
        check.limit_ppm,
        (check.outdoor_ppm + 50.0, 10_000.0),
        "ppm",
        "it must lie above what is outdoors; 1000 to 1500 is usual",
    )?;
    in_range(
        "carbon dioxide when the session starts",
        check.start_ppm,
        (check.outdoor_ppm.min(200.0), check.limit_ppm),
        "ppm",
        "air the room first: it starts above its limit",
    )?;
    for group in &check.people {
        in_range(
            "the activity of people",
            group.activity.met(),
            (0.7, 10.0),
            "met",
            "1 sitting, 3.8 drumming",
        )?;
    }
    in_range("the inside temperature", check.inside_c, (-10.0, 45.0), "°C", "give the temperature in use")?;
    in_range("the heat of equipment", check.equipment_w, (0.0, 1e6), "W", "0 for none")?;
    if let Some(air_l_s) = check.fresh_air_l_s {
        in_range("the fresh air", air_l_s, (0.0, 1e5), "L/s", "0 or more")?;
    }
    Ok(())
}

fn notes(check: &AirCheck, kept: bool, needed_l_s: f64, heat_w: f64, vapour_g_h: f64) -> Vec<String> {
    let mut notes = Vec::new();
    if !kept {
        notes.push(format!(
            "Carry at least {} of fresh air, or break for air before the limit is passed.",
            with_unit((needed_l_s * 10.0).ceil() / 10.0, 1, "L/s")
        ));
    }
    if heat_w > 500.0 && check.volume_m3 < 100.0 {
        notes.push(format!(
            "People and equipment heat the room with {}: a heavy, closed room holds it; plan for cooling or for breaks.",
            with_unit(heat_w, 0, "W")
        ));
    }
    if let Some(air_l_s) = check.fresh_air_l_s.filter(|air_l_s| *air_l_s > LEAST_AIR_L_S) {
        if heat_w > 0.0 {
            notes.push(format!(
                "If the fresh air alone had to carry the heat away, the room would settle {} above outdoors; walls and roof take their share.",
                with_unit(heat_w / (HEAT_OF_AIR_J_LK * air_l_s), 0, "K")
            ));
        }
        if vapour_g_h > 0.0 {
            notes.push(format!(
                "They give off {} of vapour: {} more than outdoors while they are there, which the humidity class or the measured climate must cover.",
                with_unit(vapour_g_h, 0, "g/h"),
                with_unit(vapour_excess_pa(vapour_g_h, air_l_s, check.inside_c), 0, "Pa")
            ));
        }
    }
    notes.push("The air is taken as well mixed: blow in at one end, draw out at the other.".to_owned());
    notes.push("Counted for heavy adults; children and light players give less.".to_owned());
    notes
}

fn basis() -> Vec<Basis> {
    vec![
        Basis::new("carbon dioxide of a person", "Persily and de Jonge (2017), Indoor Air 27, 868–879"),
        Basis::new("activity of players", "Compendium of Physical Activities 2011 (from memory: confirm)"),
        Basis::new("carbon dioxide over time", "mass balance of a well-mixed room"),
        Basis::new("fresh air per person", "EN 16798-1:2019 Table B.6, category II (from memory: confirm)"),
        Basis::new("vapour and heat of people", "CIBSE Guide A Table 6.3; ISO 8996 (from memory: confirm)"),
    ]
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "these values must come out exactly")]
mod tests {
    use super::*;

    fn lesson() -> AirCheck {
        AirCheck {
            volume_m3: 40.0,
            people: vec![
                People { count: 1, activity: Activity::Drumming },
                People { count: 2, activity: Activity::Sitting },
            ],
            session_h: 1.5,
            fresh_air_l_s: Some(24.0),
            limit_ppm: 1500.0,
            outdoor_ppm: 420.0,
            start_ppm: 420.0,
            inside_c: 19.0,
            equipment_w: 60.0,
        }
    }

    #[test]
    fn the_rate_needed_brings_the_end_to_the_limit() {
        let result = check_air(&lesson()).unwrap();
        let again = check_air(&AirCheck { fresh_air_l_s: Some(result.needed_l_s), ..lesson() }).unwrap();
        assert!((again.end_ppm - 1500.0).abs() < 1e-3);
        assert!(result.needed_l_s < result.needed_steady_l_s);
    }

    #[test]
    fn people_without_air_get_a_sentence() {
        let error = check_air(&AirCheck { fresh_air_l_s: None, ..lesson() }).unwrap_err();
        let text = error.to_string();
        assert!(text.starts_with("3 people and no way for air in or out"), "{text}");
    }

    #[test]
    fn an_empty_sealed_room_stays_as_it_is() {
        let empty = AirCheck { people: vec![], fresh_air_l_s: None, ..lesson() };
        let result = check_air(&empty).unwrap();
        assert_eq!(result.end_ppm, 420.0);
        assert_eq!(result.needed_l_s, 0.0);
        assert_eq!(result.passes_limit_min, None);
    }
}
