//! The silenced air path: a lined duct or a baffle box, its loss by band, its pressure drop and its own noise.

use bands::{BAND_COUNT, Spectrum};
use quantities::{air::SPEED_OF_SOUND_M_S, format::with_unit, math};
use serde::Serialize;

use crate::{
    Basis, FabricError,
    error::in_range,
    sabine_1940, vdi_2081_2001,
    wells_1958::{self, Chamber},
};

/// A straight rectangular duct lined on all four sides.
#[derive(Clone, Debug, PartialEq)]
pub struct LinedDuct {
    /// Its mark.
    pub name: String,
    /// Clear width inside the lining, m.
    pub width_m: f64,
    /// Clear height inside the lining, m.
    pub height_m: f64,
    /// Lined length, m.
    pub length_m: f64,
    /// Absorption coefficient of the lining by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
    /// Lined right-angle bends; each counts as pressure loss and, above cut-on, as loss of sound.
    pub bends: u32,
    /// Air carried, L/s.
    pub air_l_s: f64,
}

/// A lined box with an inlet and an outlet that do not face each other.
#[derive(Clone, Debug, PartialEq)]
pub struct BaffleBox {
    /// Its mark.
    pub name: String,
    /// Inner length, m.
    pub length_m: f64,
    /// Inner width, m.
    pub width_m: f64,
    /// Inner height, m.
    pub height_m: f64,
    /// Area of the outlet, m².
    pub outlet_m2: f64,
    /// Slant distance from the middle of the inlet to the middle of the outlet, m.
    pub distance_m: f64,
    /// Angle of that line to the inlet's axis, degrees, 0 to 89.
    pub angle_deg: f64,
    /// Absorption coefficient of the lining by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
    /// Air carried, L/s.
    pub air_l_s: f64,
}

/// How a silenced air path makes noise of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SelfNoise {
    /// Slow enough to be unheard in a quiet room.
    Silent,
    /// May be heard in a quiet room.
    Audible,
    /// Will hiss.
    Loud,
}

/// A silenced air path in numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirPathResult {
    /// Its mark.
    pub name: String,
    /// Insertion loss by band, dB.
    pub insertion_loss_db: Spectrum,
    /// Velocity of the air in the narrowest clear section, m/s.
    pub velocity_m_s: f64,
    /// Whether it makes noise of its own.
    pub self_noise: SelfNoise,
    /// Sound power of its flow by band, dB re 1 pW: of the clear section, without grilles and bends.
    pub flow_noise_power_db: Spectrum,
    /// Pressure drop, Pa.
    pub pressure_drop_pa: f64,
    /// Area of the narrowest clear section, m².
    pub area_m2: f64,
    /// Above this frequency sound beams straight through a straight duct, Hz; none for a box.
    pub beams_above_hz: Option<f64>,
    /// What the method leaves out here.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

impl AirPathResult {
    /// The air path as a small element of a wall, by its element-normalised level difference, dB:
    /// D_n,e = ΔL + 10 lg(A₀/S) with A₀ = 10 m² (ISO 10140-1 Annex E) and S the clear section.
    pub fn normalised_level_difference_db(&self) -> Spectrum {
        let by_area_db = math::db_of_energy(REFERENCE_ABSORPTION_M2 / self.area_m2);
        self.insertion_loss_db.map(|_, loss| loss + by_area_db)
    }
}

/// Reference absorption area A₀, m².
const REFERENCE_ABSORPTION_M2: f64 = 10.0;

/// A box that was found by [`smallest_baffle_box`].
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FoundBox {
    /// Inner length, m.
    pub length_m: f64,
    /// Inner width, m.
    pub width_m: f64,
    /// Inner height, m.
    pub height_m: f64,
    /// What it does.
    pub result: AirPathResult,
}

/// Insertion loss, velocity and pressure drop of a lined duct.
///
/// Sabine's formula per metre below the frequency of beaming c/d (d the longer clear side); above it the loss is taken as
/// falling with 1/f. Lined bends add by their width. No more than 40 dB in all: beyond that sound goes through the
/// walls of the duct.
///
/// Errors: a clear width, height, length or absorption outside its range.
pub fn lined_duct(duct: &LinedDuct) -> Result<AirPathResult, FabricError> {
    let of = |part: &str| format!("the {part} of {}", duct.name);
    let width_m = in_range(of("clear width"), duct.width_m, (0.02, 5.0), "m", "measure inside the lining")?;
    let height_m =
        in_range(of("clear height"), duct.height_m, (0.02, 5.0), "m", "measure inside the lining")?;
    let length_m = in_range(of("lined length"), duct.length_m, (0.0, 100.0), "m", "of the lined part")?;
    valid_lining(&duct.name, &duct.absorption, duct.air_l_s)?;
    let area_m2 = width_m * height_m;
    let perimeter_m = 2.0 * (width_m + height_m);
    let widest_m = width_m.max(height_m);
    let beams_above_hz = SPEED_OF_SOUND_M_S / widest_m;
    let insertion_loss_db = Spectrum::from_fn(|band| {
        let alpha = duct.absorption.get(band.index()).copied().unwrap_or(0.0);
        let straight = sabine_1940::attenuation_db_m(alpha, perimeter_m, area_m2) * length_m;
        let beamed = straight * (beams_above_hz / band.centre_hz()).min(1.0);
        (beamed + f64::from(duct.bends) * lined_bend_db(band.centre_hz(), widest_m)).min(MOST_DB)
    });
    let velocity_m_s = duct.air_l_s / 1000.0 / area_m2;
    let hydraulic_m = 4.0 * area_m2 / perimeter_m;
    let losses = FRICTION * length_m / hydraulic_m + LOSS_IN_AND_OUT + LOSS_BEND * f64::from(duct.bends);
    Ok(AirPathResult {
        name: duct.name.clone(),
        insertion_loss_db,
        velocity_m_s,
        self_noise: self_noise(velocity_m_s),
        flow_noise_power_db: vdi_2081_2001::straight_duct_power_by_band_db(velocity_m_s, area_m2),
        pressure_drop_pa: losses * dynamic_pa(velocity_m_s),
        area_m2,
        beams_above_hz: Some(beams_above_hz),
        notes: path_notes(velocity_m_s, true),
        basis: vec![
            Basis::new(
                "loss of a lined duct",
                "Sabine (1940), J. Acoust. Soc. Am. 12, 53 (from memory: confirm)",
            ),
            flow_noise_basis(),
            Basis::new("lined bends; cap of 40 dB; loss above the frequency of beaming", "common practice"),
            Basis::new(
                "pressure drop by friction and bends",
                "Darcy–Weisbach, friction factor 0.03 for a lining",
            ),
        ],
    })
}

/// Insertion loss, velocity and pressure drop of a baffle box, by Wells; never below 0 nor above 40 dB.
///
/// Errors: a size, angle or absorption outside its range.
pub fn baffle_box(chamber: &BaffleBox) -> Result<AirPathResult, FabricError> {
    let of = |part: &str| format!("the {part} of {}", chamber.name);
    let size =
        |part: &str, value: f64| in_range(of(part), value, (0.05, 10.0), "m", "measure inside the lining");
    let length_m = size("length", chamber.length_m)?;
    let width_m = size("width", chamber.width_m)?;
    let height_m = size("height", chamber.height_m)?;
    in_range(of("distance from inlet to outlet"), chamber.distance_m, (0.05, 20.0), "m", "middle to middle")?;
    in_range(
        of("angle"),
        chamber.angle_deg,
        (0.0, 89.0),
        "°",
        "between the inlet's axis and the line to the outlet",
    )?;
    let lined_m2 = 2.0 * (length_m * width_m + width_m * height_m + length_m * height_m);
    in_range(
        of("outlet area"),
        chamber.outlet_m2,
        (1e-4, lined_m2 / 4.0),
        "m²",
        "it must fit into a wall of the box",
    )?;
    valid_lining(&chamber.name, &chamber.absorption, chamber.air_l_s)?;
    let wells = Chamber {
        outlet_m2: chamber.outlet_m2,
        distance_m: chamber.distance_m,
        angle_rad: chamber.angle_deg * math::PI / 180.0,
        lined_m2,
    };
    let insertion_loss_db = Spectrum::from_fn(|band| {
        let alpha = chamber.absorption.get(band.index()).copied().unwrap_or(0.0);
        if alpha <= 0.0 { 0.0 } else { wells_1958::insertion_loss_db(&wells, alpha).clamp(0.0, MOST_DB) }
    });
    let velocity_m_s = chamber.air_l_s / 1000.0 / chamber.outlet_m2;
    let first_mode_hz = SPEED_OF_SOUND_M_S / (2.0 * length_m.max(width_m).max(height_m));
    let mut notes = path_notes(velocity_m_s, false);
    notes.push(format!(
        "Below about {} the box is shorter than half a wave and the formula is no more than an estimate.",
        with_unit(first_mode_hz, 0, "Hz")
    ));
    Ok(AirPathResult {
        name: chamber.name.clone(),
        insertion_loss_db,
        velocity_m_s,
        self_noise: self_noise(velocity_m_s),
        flow_noise_power_db: vdi_2081_2001::straight_duct_power_by_band_db(velocity_m_s, chamber.outlet_m2),
        pressure_drop_pa: 2.0 * LOSS_IN_AND_OUT * dynamic_pa(velocity_m_s),
        area_m2: chamber.outlet_m2,
        beams_above_hz: None,
        notes,
        basis: vec![
            Basis::new(
                "loss of a lined chamber",
                "Wells (1958), Noise Control 4, 9, as a handbook quotes it",
            ),
            flow_noise_basis(),
            Basis::new("cap of 40 dB", "common practice"),
            Basis::new("pressure drop: into and out of the box twice", "loss factors 0.5 and 1.0"),
        ],
    })
}

/// What [`smallest_baffle_box_that`] looks for.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedBox {
    /// Its mark.
    pub name: String,
    /// Absorption coefficient of the lining by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
    /// Area of inlet and outlet each, m².
    pub outlet_m2: f64,
    /// Air carried, L/s.
    pub air_l_s: f64,
    /// The longest side there is room for, m, 0.2 to 3.
    pub longest_m: f64,
}

/// The box of least volume, in steps of 50 mm up to `longest_m`, that loses at least `wanted_db` in every band; inlet and outlet
/// lie at opposite ends, one at the bottom, one at the top. None if no box does.
///
/// Errors: as [`baffle_box`].
pub fn smallest_baffle_box(
    name: &str,
    absorption: &[f64; BAND_COUNT],
    (outlet_m2, air_l_s): (f64, f64),
    wanted_db: &Spectrum,
    longest_m: f64,
) -> Result<Option<FoundBox>, FabricError> {
    let wanted = WantedBox { name: name.to_owned(), absorption: *absorption, outlet_m2, air_l_s, longest_m };
    smallest_baffle_box_that(&wanted, |loss_db| {
        loss_db.iter().all(|(band, loss)| loss >= wanted_db.get(band))
    })
}

/// The box of least volume, in steps of 50 mm, whose insertion loss is enough by the caller's own test, such as a level at a
/// receiver; inlet and outlet lie at opposite ends, one at the bottom, one at the top. None if no box does.
///
/// Errors: as [`baffle_box`].
pub fn smallest_baffle_box_that(
    wanted: &WantedBox,
    enough: impl Fn(&Spectrum) -> bool,
) -> Result<Option<FoundBox>, FabricError> {
    const STEP_M: f64 = 0.05;
    let longest_m = in_range("the longest box", wanted.longest_m, (0.2, 3.0), "m", "what there is room for")?;
    in_range("the outlet area of the box", wanted.outlet_m2, (1e-4, 1.0), "m²", "of the clear opening")?;
    let opening_m = wanted.outlet_m2.sqrt();
    let steps = (longest_m / STEP_M).floor() as u32;
    let sizes: Vec<f64> =
        (4..=steps).map(|i| f64::from(i) * STEP_M).filter(|&m| m > opening_m + 0.04).collect();
    let mut best: Option<(f64, FoundBox)> = None;
    for &length_m in &sizes {
        for &height_m in sizes.iter().filter(|&&h| h <= length_m) {
            for &width_m in sizes.iter().filter(|&&w| w <= length_m) {
                let volume = length_m * height_m * width_m;
                if best.as_ref().is_some_and(|(least, _)| volume >= *least) {
                    continue;
                }
                let result =
                    baffle_box(&BaffleBox::end_to_end(wanted, [length_m, width_m, height_m], opening_m))?;
                if enough(&result.insertion_loss_db) {
                    best = Some((volume, FoundBox { length_m, width_m, height_m, result }));
                }
            }
        }
    }
    Ok(best.map(|(_, found)| found))
}

impl BaffleBox {
    /// A box of inner length, width and height, m, with inlet and outlet at opposite ends, one at the bottom and one at the top, each
    /// `opening_height_m` high.
    pub fn end_to_end(
        wanted: &WantedBox,
        [length_m, width_m, height_m]: [f64; 3],
        opening_height_m: f64,
    ) -> Self {
        let up_m = (height_m - opening_height_m).max(0.0);
        Self {
            name: wanted.name.clone(),
            length_m,
            width_m,
            height_m,
            outlet_m2: wanted.outlet_m2,
            distance_m: (length_m * length_m + up_m * up_m).sqrt(),
            angle_deg: math::atan2(up_m, length_m) * 180.0 / math::PI,
            absorption: wanted.absorption,
            air_l_s: wanted.air_l_s,
        }
    }
}

/// More than this no single lined path loses: sound goes round it, dB.
const MOST_DB: f64 = 40.0;
/// Friction factor of a lined duct.
const FRICTION: f64 = 0.03;
/// Loss factors of entry and exit together.
const LOSS_IN_AND_OUT: f64 = 1.5;
/// Loss factor of a right-angle bend.
const LOSS_BEND: f64 = 1.2;
/// Up to this velocity an opening is unheard in a quiet room, m/s (common practice).
const SILENT_M_S: f64 = 1.5;
/// Above this it hisses, m/s (common practice).
const LOUD_M_S: f64 = 3.0;

/// Loss of a lined right-angle bend by frequency times width, dB (handbook values from memory).
fn lined_bend_db(frequency_hz: f64, width_m: f64) -> f64 {
    // Up to this product, Hz m; loss, dB.
    const TABLE: [(f64, f64); 4] = [(48.0, 0.0), (96.0, 1.0), (190.0, 6.0), (380.0, 11.0)];
    let product = frequency_hz * width_m;
    TABLE.iter().find(|(up_to, _)| product < *up_to).map_or(10.0, |&(_, loss)| loss)
}

fn self_noise(velocity_m_s: f64) -> SelfNoise {
    if velocity_m_s <= SILENT_M_S {
        SelfNoise::Silent
    } else if velocity_m_s <= LOUD_M_S {
        SelfNoise::Audible
    } else {
        SelfNoise::Loud
    }
}

fn flow_noise_basis() -> Basis {
    Basis::new("noise of the flow", "VDI 2081 Part 1 (2001), straight duct (from memory: confirm)")
}

fn dynamic_pa(velocity_m_s: f64) -> f64 {
    0.5 * quantities::air::DENSITY_KG_M3 * velocity_m_s * velocity_m_s
}

fn path_notes(velocity_m_s: f64, duct: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if self_noise(velocity_m_s) != SelfNoise::Silent {
        notes.push(format!(
            "Air moves at {}: widen the clear section until it is below {} (common practice for a quiet room).",
            with_unit(velocity_m_s, 1, "m/s"),
            with_unit(SILENT_M_S, 1, "m/s")
        ));
    }
    if duct {
        notes.push(
            "Reflection at the open ends helps at low frequencies and is left out, on the safe side."
                .to_owned(),
        );
    }
    notes.push(
        "The fan's own noise is not in this: put it outside the silenced path, on soft mounts.".to_owned(),
    );
    notes
}

fn valid_lining(name: &str, absorption: &[f64; BAND_COUNT], air_l_s: f64) -> Result<(), FabricError> {
    for &alpha in absorption {
        in_range(
            format!("an absorption coefficient of the lining of {name}"),
            alpha,
            (0.0, 1.0),
            "",
            "measured values above 1 count as 1",
        )?;
    }
    in_range(format!("the air through {name}"), air_l_s, (0.0, 1e5), "L/s", "0 or more")?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use bands::Band;

    fn duct() -> LinedDuct {
        LinedDuct {
            name: "inlet".to_owned(),
            width_m: 0.2,
            height_m: 0.2,
            length_m: 1.5,
            absorption: [0.5; BAND_COUNT],
            bends: 0,
            air_l_s: 24.0,
        }
    }

    #[test]
    fn nothing_loses_more_than_the_cap() {
        let long = lined_duct(&LinedDuct { length_m: 50.0, bends: 3, ..duct() }).unwrap();
        assert!(long.insertion_loss_db.iter().all(|(_, loss)| loss <= MOST_DB));
        let short = lined_duct(&duct()).unwrap();
        assert!((short.velocity_m_s - 0.6).abs() < 1e-12);
        assert_eq!(short.self_noise, SelfNoise::Silent);
        let normalised = short.normalised_level_difference_db().minus(&short.insertion_loss_db);
        assert!((normalised.values_db()[0] - 10.0 * math::log10(250.0)).abs() < 1e-9);
        // Beaming begins at 1716 Hz: the loss falls above it.
        let at = |hz| short.insertion_loss_db.get(Band::from_nominal_hz(hz).unwrap());
        assert!(at(4000.0) < at(1000.0));
    }

    #[test]
    fn the_smallest_box_keeps_what_was_asked() {
        let wanted = Spectrum::from_fn(|band| if band.nominal_hz() >= 125.0 { 15.0 } else { 0.0 });
        let found =
            smallest_baffle_box("box", &[0.7; BAND_COUNT], (0.02, 24.0), &wanted, 1.2).unwrap().unwrap();
        assert!(found.result.insertion_loss_db.iter().all(|(band, loss)| loss >= wanted.get(band)));
        let never = smallest_baffle_box("box", &[0.1; BAND_COUNT], (0.02, 24.0), &Spectrum::flat(39.0), 0.4);
        assert_eq!(never, Ok(None));
    }
}
