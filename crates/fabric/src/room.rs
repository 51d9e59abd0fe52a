//! The room inside: decay time from its surfaces, first modes, and how much absorption to add.

use bands::{BAND_COUNT, Band};
use quantities::{air::SPEED_OF_SOUND_M_S, format::with_unit, math};
use serde::Serialize;

use crate::{Basis, FabricError, error::in_range};

/// One surface of the room, or a thing with an absorbing area.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomSurface {
    /// Name as it is printed.
    pub name: String,
    /// Area, m².
    pub area_m2: f64,
    /// Absorption coefficient by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
}

/// What is needed for the room inside.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomInside {
    /// Volume of air, m³.
    pub volume_m3: f64,
    /// Mean length, width and height of the room, m.
    pub mean_size_m: [f64; 3],
    /// Surfaces.
    pub surfaces: Vec<RoomSurface>,
    /// Absorbing area of people and furniture by band, m², 25 Hz first.
    pub extra_area_m2: [f64; BAND_COUNT],
    /// Decay time wanted for the use, s.
    pub wanted_s: f64,
}

/// Decay time in one band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DecayTime {
    /// Band, by its nominal frequency.
    pub band: Band,
    /// Equivalent absorption area of all surfaces, m².
    pub area_m2: f64,
    /// Decay time by Sabine, s.
    pub sabine_s: f64,
    /// Decay time by Eyring, s.
    pub eyring_s: f64,
    /// Absorption area to add for the wanted decay time, m²; 0 if there is enough.
    pub to_add_m2: f64,
}

/// One mode of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomMode {
    /// Frequency, Hz.
    pub frequency_hz: f64,
    /// Half waves along length, width and height, or, for a plan of any shape, the number of the plan's mode and
    /// the half waves of the height.
    pub order: Vec<u32>,
    /// `axial`, `tangential`, `oblique`, or `plan`.
    pub kind: &'static str,
}

/// The room inside, in numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomResult {
    /// The surfaces counted, each with its area, m².
    pub surfaces: Vec<(String, f64)>,
    /// Decay time by band, lowest first.
    pub decay: Vec<DecayTime>,
    /// Mean decay time 500 Hz to 1 kHz (500, 630, 800, 1000), by Eyring, s.
    pub middle_s: f64,
    /// Schroeder frequency with that decay time, Hz: modes stand alone below it.
    pub schroeder_hz: f64,
    /// Modes of the mean rectangle up to the Schroeder frequency (at most 40), lowest first.
    pub modes: Vec<RoomMode>,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Decay time, modes and what to add.
///
/// Errors: a volume, size or absorption outside its range; no surfaces.
pub fn room_inside(room: &RoomInside) -> Result<RoomResult, FabricError> {
    validate(room)?;
    let total_m2: f64 = room.surfaces.iter().map(|surface| surface.area_m2).sum();
    let decay: Vec<DecayTime> = Band::all()
        .map(|band| {
            let at = |list: &[f64; BAND_COUNT]| list.get(band.index()).copied().unwrap_or(0.0);
            let extra_m2 = at(&room.extra_area_m2);
            let absorbing: f64 = room.surfaces.iter().map(|s| s.area_m2 * at(&s.absorption)).sum();
            let area_m2 = (absorbing + extra_m2).max(LEAST_AREA_M2);
            let mean = (absorbing / total_m2).min(MOST_MEAN_ABSORPTION);
            let eyring_m2 = (-total_m2 * math::ln(1.0 - mean) + extra_m2).max(LEAST_AREA_M2);
            DecayTime {
                band,
                area_m2,
                sabine_s: decay_s(room.volume_m3, area_m2),
                eyring_s: decay_s(room.volume_m3, eyring_m2),
                to_add_m2: (decay_s(room.volume_m3, 1.0) / room.wanted_s - area_m2).max(0.0),
            }
        })
        .collect();
    let middle: Vec<f64> = decay
        .iter()
        .filter(|d| (500.0..=1000.0).contains(&d.band.nominal_hz()))
        .map(|d| d.eyring_s)
        .collect();
    let middle_s = middle.iter().sum::<f64>() / middle.len().max(1) as f64;
    let schroeder_hz = 2000.0 * (middle_s / room.volume_m3).sqrt();
    Ok(RoomResult {
        modes: rectangle_modes(room.mean_size_m, schroeder_hz),
        notes: notes(room, &decay),
        surfaces: room.surfaces.iter().map(|surface| (surface.name.clone(), surface.area_m2)).collect(),
        decay,
        middle_s,
        schroeder_hz,
        basis: vec![
            Basis::new(
                "decay time 55.3 V/(c A)",
                "Sabine; EN 12354-6:2003 eq. (5) without the air's own loss",
            ),
            Basis::new("decay time with A = −S ln(1 − ᾱ)", "Eyring (1930), J. Acoust. Soc. Am. 1, 217"),
            Basis::new("Schroeder frequency 2000 √(T/V)", "Schroeder (1962), J. Audio Eng. Soc. 10, 219"),
            Basis::new("modes of the mean rectangle", "closed form for rigid walls"),
        ],
    })
}

/// Modes of a rectangular room with rigid walls up to a frequency, lowest first, at most 40:
/// f = (c/2) √((l/L)² + (m/W)² + (n/H)²).
pub fn rectangle_modes(size_m: [f64; 3], up_to_hz: f64) -> Vec<RoomMode> {
    let highest =
        |size: f64| (2.0 * size * up_to_hz / SPEED_OF_SOUND_M_S).floor().clamp(0.0, MOST_ORDER) as u32;
    let [length, width, height] = size_m;
    let mut modes = Vec::new();
    for l in 0..=highest(length) {
        for m in 0..=highest(width) {
            for n in 0..=highest(height) {
                let part = |order: u32, size: f64| f64::from(order) / size;
                let (a, b, c) = (part(l, length), part(m, width), part(n, height));
                let frequency_hz = SPEED_OF_SOUND_M_S / 2.0 * (a * a + b * b + c * c).sqrt();
                let along = [l, m, n].iter().filter(|&&order| order > 0).count();
                let kind = match along {
                    0 => continue,
                    1 => "axial",
                    2 => "tangential",
                    _ => "oblique",
                };
                if frequency_hz <= up_to_hz {
                    modes.push(RoomMode { frequency_hz, order: vec![l, m, n], kind });
                }
            }
        }
    }
    modes.sort_by(|a, b| a.frequency_hz.total_cmp(&b.frequency_hz).then_with(|| a.order.cmp(&b.order)));
    modes.truncate(MOST_MODES);
    modes
}

/// Decay time of a volume with an absorption area, s: T = 24 ln 10 V/(c A).
fn decay_s(volume_m3: f64, area_m2: f64) -> f64 {
    24.0 * math::LN_10 * volume_m3 / (SPEED_OF_SOUND_M_S * area_m2)
}

/// A room with less absorption area does not exist, m²: its air and its cracks have as much.
const LEAST_AREA_M2: f64 = 0.05;
/// Beyond this mean absorption Eyring's logarithm means nothing.
const MOST_MEAN_ABSORPTION: f64 = 0.99;
const MOST_MODES: usize = 40;
const MOST_ORDER: f64 = 60.0;

fn validate(room: &RoomInside) -> Result<(), FabricError> {
    in_range("the room's volume of air", room.volume_m3, (1.0, 1e5), "m³", "check the survey")?;
    in_range(
        "the decay time wanted",
        room.wanted_s,
        (0.05, 20.0),
        "s",
        "0.2 to 0.4 for drums, 0.4 to 0.6 for speech",
    )?;
    for (size, what) in room.mean_size_m.iter().zip(["length", "width", "height"]) {
        in_range(format!("the room's mean {what}"), *size, (0.5, 200.0), "m", "check the survey")?;
    }
    if room.surfaces.is_empty() {
        return Err(FabricError::TooFew { what: "the room".to_owned(), of: "surface", least: 1 });
    }
    for surface in &room.surfaces {
        in_range(
            format!("the area of {}", surface.name),
            surface.area_m2,
            (1e-6, 1e5),
            "m²",
            "check the survey",
        )?;
        for &alpha in &surface.absorption {
            in_range(
                format!("an absorption coefficient of {}", surface.name),
                alpha,
                (0.0, 1.0),
                "",
                "measured values above 1 count as 1",
            )?;
        }
    }
    for &area in &room.extra_area_m2 {
        in_range("the absorbing area of people and furniture", area, (0.0, 1e5), "m²", "0 for none")?;
    }
    Ok(())
}

fn notes(room: &RoomInside, decay: &[DecayTime]) -> Vec<String> {
    let mut notes = Vec::new();
    let most = decay.iter().filter(|d| (125.0..=4000.0).contains(&d.band.nominal_hz())).fold(
        (0.0, ""),
        |most: (f64, &str), d| {
            if d.to_add_m2 > most.0 { (d.to_add_m2, d.band.nominal()) } else { most }
        },
    );
    if most.0 > 0.0 {
        notes.push(format!(
            "For a decay of {} add up to {} of absorption, most at {} Hz.",
            with_unit(room.wanted_s, 2, "s"),
            with_unit(most.0, 1, "m²"),
            most.1
        ));
    } else {
        notes
            .push(format!("There is enough absorption for a decay of {}.", with_unit(room.wanted_s, 2, "s")));
    }
    notes.push(
        "Sabine and Eyring take the sound as coming from everywhere: below the Schroeder frequency, and with all absorption on one surface, the room will differ."
            .to_owned(),
    );
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(alpha: f64) -> RoomInside {
        RoomInside {
            volume_m3: 40.0,
            mean_size_m: [5.0, 3.6, 2.2],
            surfaces: vec![RoomSurface {
                name: "all".to_owned(),
                area_m2: 74.0,
                absorption: [alpha; BAND_COUNT],
            }],
            extra_area_m2: [0.0; BAND_COUNT],
            wanted_s: 0.3,
        }
    }

    #[test]
    fn sabine_and_eyring_agree_where_little_is_absorbed() {
        let live = room_inside(&room(0.01)).unwrap().decay[10];
        assert!((live.sabine_s / live.eyring_s - 1.0).abs() < 0.006);
        let dead = room_inside(&room(0.5)).unwrap().decay[10];
        assert!(dead.eyring_s < 0.8 * dead.sabine_s);
        assert!((live.sabine_s - 0.161 * 40.0 / 0.74).abs() < 0.01);
    }

    #[test]
    fn what_is_to_add_gives_the_decay_that_was_wanted() {
        let mut more = room(0.05);
        let first = room_inside(&more).unwrap();
        more.extra_area_m2 = std::array::from_fn(|i| first.decay[i].to_add_m2);
        let second = room_inside(&more).unwrap();
        assert!(second.decay.iter().all(|d| (d.sabine_s - 0.3).abs() < 1e-9));
    }

    #[test]
    fn the_first_mode_lies_along_the_length() {
        let modes = rectangle_modes([5.0, 3.6, 2.2], 120.0);
        assert_eq!(modes[0].order, [1, 0, 0]);
        assert!((modes[0].frequency_hz - 34.32).abs() < 1e-9);
        assert_eq!(modes[0].kind, "axial");
        assert!(room_inside(&room(0.0)).unwrap().middle_s.is_finite());
    }
}
