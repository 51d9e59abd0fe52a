//! Damp: condensation inside a build-up month by month, its drying, mould on the surface, and what moving a
//! vapour-tight layer would do.

use serde::Serialize;

use crate::{
    Basis, FabricError,
    buildup::{self, HeatFlow, Layer},
    error::in_range,
    iso_6946_2017,
    iso_13788_2012::{self, HumidityClass, Year, saturation_pa},
    section::{self, AirOfMonth, Section},
    vapour_tight,
};

/// Monthly means outdoors, January first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Climate {
    /// Where they come from, as it is printed.
    pub name: String,
    /// Air temperature, °C.
    pub temperature_c: [f64; 12],
    /// Relative humidity, per cent.
    pub humidity_percent: [f64; 12],
}

/// The air inside.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IndoorClimate {
    /// A humidity class of ISO 13788 Annex A and an inside temperature, °C.
    Class {
        /// How much moisture the use brings.
        class: HumidityClass,
        /// Inside temperature, °C.
        temperature_c: f64,
    },
    /// The same all year: measured, or a stated boundary.
    Constant {
        /// Inside temperature, °C.
        temperature_c: f64,
        /// Relative humidity, per cent.
        humidity_percent: f64,
    },
    /// Measured month by month, January first.
    Measured {
        /// Inside temperature, °C.
        temperature_c: [f64; 12],
        /// Relative humidity, per cent.
        humidity_percent: [f64; 12],
    },
    /// From the vapour people give off and the fresh air: p_i = p_e + excess.
    Excess {
        /// Inside temperature, °C.
        temperature_c: f64,
        /// Excess of vapour pressure over outdoors, Pa (see [`crate::air::vapour_excess_pa`]).
        excess_pa: f64,
    },
}

/// What is needed for a moisture check.
#[derive(Clone, Debug, PartialEq)]
pub struct MoistureCheck {
    /// What it is, as it is printed.
    pub name: String,
    /// Layers from outside to inside.
    pub layers: Vec<Layer>,
    /// Which way heat flows.
    pub flow: HeatFlow,
    /// Outdoors.
    pub outdoors: Climate,
    /// Indoors.
    pub indoors: IndoorClimate,
    /// Layers with more thermal resistance than this are cut into notional ones, m² K/W; none: not cut.
    pub subdivide_over_m2k_w: Option<f64>,
}

/// How a year of moisture ends, ISO 13788:2012 6.4 to 6.6.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// No month condenses.
    Dry,
    /// It condenses in winter and is dry again within the year.
    DriesOut,
    /// What condenses stays: it grows wetter year by year.
    StaysWet,
}

/// From here on water may run off a surface that does not drink it, g/m² (note in EN ISO 13788:2012 6.4, from memory: confirm).
pub const MAY_RUN_OFF_G_M2: f64 = 200.0;
/// No more than this may gather even where it dries again in summer, g/m² (DIN 4108-3, from memory: confirm).
pub const TOO_MUCH_G_M2: f64 = 1000.0;

/// One plane where moisture gathers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CondensingPlane {
    /// Between which layers, or how deep in which.
    pub place: String,
    /// Distance from the outside of the counted build-up, m.
    pub depth_m: f64,
    /// Condensed (or, minus, evaporated) in each month, g/m², January first.
    pub monthly_g_m2: [f64; 12],
    /// Moisture there at the end of each month, g/m², January first.
    pub gathered_g_m2: [f64; 12],
    /// Most of the year, g/m².
    pub peak_g_m2: f64,
    /// Month of the most, 1 for January.
    pub peak_month: u8,
    /// Whether it is dry again within the year.
    pub dries: bool,
}

/// The section in one month, for drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Profile {
    /// Month, 1 for January.
    pub month: u8,
    /// Distance from the outside of the counted build-up at each interface, m.
    pub x_m: Vec<f64>,
    /// Vapour resistance up to there as air-layer thickness s_d, m.
    pub sd_m: Vec<f64>,
    /// Temperature there, °C.
    pub temperature_c: Vec<f64>,
    /// Saturation pressure there, Pa.
    pub saturation_pa: Vec<f64>,
    /// Vapour pressure there, Pa.
    pub vapour_pa: Vec<f64>,
    /// Name of the layer that ends at each interface; empty for the outer surface.
    pub layer: Vec<String>,
}

/// One month in numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthResult {
    /// Month, 1 for January.
    pub month: u8,
    /// Outdoors: temperature, °C, and vapour pressure, Pa.
    pub outdoor_c: f64,
    /// Vapour pressure outdoors, Pa.
    pub outdoor_pa: f64,
    /// Indoors: temperature, °C.
    pub indoor_c: f64,
    /// Vapour pressure indoors, Pa.
    pub indoor_pa: f64,
    /// Relative humidity indoors, per cent.
    pub indoor_percent: f64,
    /// Condensed in all planes in the month, g/m²; minus: more evaporated.
    pub condensed_g_m2: f64,
    /// Gathered in all planes at the end of the month, g/m².
    pub gathered_g_m2: f64,
    /// Inner surface temperature with R_si 0.25, °C.
    pub surface_c: f64,
    /// Relative humidity at that surface, per cent.
    pub surface_percent: f64,
    /// Temperature factor that keeps the surface below 80 %.
    pub frsi_needed: f64,
}

/// What moving one vapour-tight layer to another place would do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MovedLayer {
    /// Which layer.
    pub layer: String,
    /// Where it would lie: just inside of this layer; empty: outermost.
    pub inside_of: String,
    /// Whether this is where it lies now.
    pub as_built: bool,
    /// Most moisture of the year in all planes, g/m².
    pub peak_g_m2: f64,
    /// How the year ends.
    pub verdict: Verdict,
}

/// A layer that hardly lets vapour through.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VapourTightLayer {
    /// Its name.
    pub layer: String,
    /// Its s_d, m.
    pub sd_m: f64,
    /// Share of the build-up's thermal resistance that lies on its warm side, 0 to 1.
    pub warm_share: f64,
}

/// Damp in a build-up over a year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoistureResult {
    /// What it is.
    pub name: String,
    /// How the year ends.
    pub verdict: Verdict,
    /// The planes where moisture gathers, outside first.
    pub planes: Vec<CondensingPlane>,
    /// The twelve months, January first.
    pub months: Vec<MonthResult>,
    /// Most moisture of the year in all planes, g/m².
    pub peak_g_m2: f64,
    /// The month that condenses most, or, where none does, the one nearest to it; 1 for January.
    pub governing_month: u8,
    /// The section in the governing month.
    pub profile: Profile,
    /// Temperature factor of the inner surface where it is coldest, f_Rsi = 1 − 0.25 U.
    pub frsi: f64,
    /// The greatest f_Rsi any month needs, and which month, 1 for January.
    pub frsi_needed: f64,
    /// Month that needs it, 1 for January.
    pub frsi_month: u8,
    /// Whether the surface stays below 80 % in every month.
    pub mould_safe: bool,
    /// Vapour-tight layers, outside first.
    pub vapour_tight: Vec<VapourTightLayer>,
    /// What moving each of them would do; where there is none and it condenses, what a sheet laid at each place would do.
    pub moved: Vec<MovedLayer>,
    /// Where the method does not apply.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Condensation, drying and mould over a year.
///
/// Errors: no layers, a layer or an indoor climate outside its ranges, a build-up without any vapour resistance.
pub fn check_moisture(check: &MoistureCheck) -> Result<MoistureResult, FabricError> {
    checked(check, true)
}

/// The same without what moving a layer would do ([`MoistureResult::moved`] is empty): several times as quick, for looking through many build-ups.
///
/// Errors: as [`check_moisture`].
pub fn check_moisture_as_built(check: &MoistureCheck) -> Result<MoistureResult, FabricError> {
    checked(check, false)
}

fn checked(check: &MoistureCheck, with_moves: bool) -> Result<MoistureResult, FabricError> {
    buildup::validate(&check.layers)?;
    let air = section::monthly_air(check)?;
    let (layers, vented) = iso_6946_2017::counted(&check.layers);
    if layers.is_empty() {
        return Err(FabricError::TooFew {
            what: format!("{}, inside its ventilated air layer,", check.name),
            of: "layer",
            least: 1,
        });
    }
    let section = Section::new(layers, check, vented);
    in_range(
        format!("the vapour resistance of {}", check.name),
        section.total_sd_m(),
        (1e-4, 1e7),
        "m",
        "give μ or s_d of at least one layer",
    )?;
    let year = iso_13788_2012::year(&section.months(&air));
    let planes = condensing_planes(&section, &year);
    let u_w_m2k = 1.0 / section.total_m2k_w;
    let frsi = iso_13788_2012::frsi(u_w_m2k);
    let months = months(&air, &year, frsi);
    let (frsi_needed, frsi_month) =
        months.iter().fold(
            (0.0, 1),
            |worst: (f64, u8), m| if m.frsi_needed > worst.0 { (m.frsi_needed, m.month) } else { worst },
        );
    let governing = governing_month(&section, &air, &year, &months);
    let tight = vapour_tight::tight_layers(&section, layers);
    let mut moved = if with_moves { vapour_tight::moved(layers, check, &air, vented) } else { Vec::new() };
    if with_moves && moved.is_empty() && year.condenses {
        moved = vapour_tight::added(layers, check, &air, vented);
    }
    Ok(MoistureResult {
        name: check.name.clone(),
        verdict: verdict(&year),
        peak_g_m2: peak_g_m2(&year),
        governing_month: governing as u8 + 1,
        profile: profile(&section, &air, &year, governing),
        frsi,
        frsi_needed,
        frsi_month,
        mould_safe: frsi >= frsi_needed,
        vapour_tight: tight,
        moved,
        notes: notes(check, &air, vented),
        basis: basis(check),
        planes,
        months,
    })
}

impl Climate {
    /// Twelve monthly means, January first.
    ///
    /// Errors: a list that has not twelve months, a temperature or humidity outside its range.
    pub fn new(name: &str, temperature_c: &[f64], humidity_percent: &[f64]) -> Result<Self, FabricError> {
        let twelve = |what: &str, list: &[f64]| {
            <[f64; 12]>::try_from(list).map_err(|_| FabricError::NotTwelveMonths {
                what: format!("the {what} of the climate {name:?}"),
                count: list.len(),
            })
        };
        let climate = Self {
            name: name.to_owned(),
            temperature_c: twelve("temperature", temperature_c)?,
            humidity_percent: twelve("humidity", humidity_percent)?,
        };
        climate.validate()?;
        Ok(climate)
    }

    pub(crate) fn validate(&self) -> Result<(), FabricError> {
        for (month, (&t, &h)) in self.temperature_c.iter().zip(&self.humidity_percent).enumerate() {
            let of =
                |what: &str| format!("the {what} of {} in the climate {:?}", MONTH_NAMES[month], self.name);
            in_range(of("temperature"), t, (-60.0, 50.0), "°C", "give the month's mean")?;
            in_range(of("humidity"), h, (1.0, 100.0), "%", "give the month's mean relative humidity")?;
        }
        Ok(())
    }
}

/// English names of the months, January first.
pub const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

pub(crate) fn verdict(year: &Year) -> Verdict {
    match (year.condenses, year.stays_wet) {
        (false, _) => Verdict::Dry,
        (true, false) => Verdict::DriesOut,
        (true, true) => Verdict::StaysWet,
    }
}

pub(crate) fn peak_g_m2(year: &Year) -> f64 {
    year.gathered_kg_m2.iter().map(|planes| planes.iter().sum::<f64>() * 1000.0).fold(0.0, f64::max)
}

fn condensing_planes(section: &Section, year: &Year) -> Vec<CondensingPlane> {
    let count = section.x_m.len();
    let of = |lists: &[Vec<f64>], plane: usize| -> [f64; 12] {
        std::array::from_fn(|month| {
            lists.get(month).and_then(|list| list.get(plane)).map_or(0.0, |kg| kg * 1000.0)
        })
    };
    (0..count)
        .filter_map(|plane| {
            let gathered_g_m2 = of(&year.gathered_kg_m2, plane);
            let peak_g_m2 = gathered_g_m2.iter().copied().fold(0.0, f64::max);
            (peak_g_m2 > 0.0).then(|| CondensingPlane {
                place: section.place(plane),
                depth_m: section.x_m.get(plane).copied().unwrap_or(0.0),
                monthly_g_m2: of(&year.condensed_kg_m2, plane),
                peak_month: gathered_g_m2
                    .iter()
                    .position(|&g| g >= peak_g_m2)
                    .map_or(1, |month| month as u8 + 1),
                peak_g_m2,
                dries: gathered_g_m2.iter().any(|&g| g <= 0.0),
                gathered_g_m2,
            })
        })
        .collect()
}

fn months(air: &[AirOfMonth; 12], year: &Year, frsi: f64) -> Vec<MonthResult> {
    air.iter()
        .enumerate()
        .map(|(month, air)| {
            let sum =
                |lists: &[Vec<f64>]| lists.get(month).map_or(0.0, |list| list.iter().sum::<f64>() * 1000.0);
            let surface_c = air.outdoor_c + frsi * (air.indoor_c - air.outdoor_c);
            MonthResult {
                month: month as u8 + 1,
                outdoor_c: air.outdoor_c,
                outdoor_pa: air.outdoor_pa,
                indoor_c: air.indoor_c,
                indoor_pa: air.indoor_pa,
                indoor_percent: 100.0 * air.indoor_pa / saturation_pa(air.indoor_c),
                condensed_g_m2: sum(&year.condensed_kg_m2),
                gathered_g_m2: sum(&year.gathered_kg_m2),
                surface_c,
                surface_percent: (100.0 * air.indoor_pa / saturation_pa(surface_c)).min(100.0),
                frsi_needed: iso_13788_2012::frsi_needed(air.outdoor_c, air.indoor_c, air.indoor_pa),
            }
        })
        .collect()
}

/// The month that condenses most; where none does, the one whose vapour comes nearest to saturation inside the build-up.
fn governing_month(section: &Section, air: &[AirOfMonth; 12], year: &Year, months: &[MonthResult]) -> usize {
    let most = |values: Vec<f64>| {
        values.iter().enumerate().fold((0, f64::NEG_INFINITY), |best, (month, &value)| {
            if value > best.1 { (month, value) } else { best }
        })
    };
    let (wettest, amount) = most(months.iter().map(|m| m.condensed_g_m2).collect());
    if amount > 0.0 {
        return wettest;
    }
    let nearness = air
        .iter()
        .zip(&year.lines)
        .map(|(air, line)| {
            let temperatures = section.temperatures(air);
            temperatures.iter().zip(&line.vapour_pa).map(|(&t, p)| p / saturation_pa(t)).fold(0.0, f64::max)
        })
        .collect();
    most(nearness).0
}

fn profile(section: &Section, air: &[AirOfMonth; 12], year: &Year, month: usize) -> Profile {
    let temperature_c = section.temperatures(air.get(month).unwrap_or(&air[0]));
    Profile {
        month: month as u8 + 1,
        x_m: section.x_m.clone(),
        sd_m: section.sd_m.clone(),
        saturation_pa: temperature_c.iter().map(|&t| saturation_pa(t)).collect(),
        vapour_pa: year.lines.get(month).map(|line| line.vapour_pa.clone()).unwrap_or_default(),
        layer: section.ends.iter().map(|(name, _, _)| name.clone()).collect(),
        temperature_c,
    }
}

fn notes(check: &MoistureCheck, air: &[AirOfMonth; 12], vented: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if vented {
        notes.push(
            "The calculation ends at the ventilated gap: the air in it is taken as outdoor air, so the gap must stay clear and open at both ends."
                .to_owned(),
        );
    }
    if air.iter().any(|air| air.capped) {
        notes.push(
            "In some months this use would bring the indoor air to saturation; it is held there. More fresh air comes first.".to_owned(),
        );
    }
    if air.iter().any(|air| air.outdoor_pa > air.indoor_pa) {
        notes.push("In some months it is damper outside than in: vapour moves inwards then.".to_owned());
    }
    if check.layers.iter().any(|layer| layer.bridge.is_some()) {
        notes.push("Counted through the fill: the timbers that cross it are colder on their inner face than this shows.".to_owned());
    }
    notes.push(
        "The method knows only vapour moving by diffusion. It does not know damp air through gaps (a hole for a cable carries more than the whole ceiling), wind-driven rain, vapour driven inwards in summer by sun on a wet outer face, water built in, or what timber and brick store."
            .to_owned(),
    );
    notes
}

fn basis(check: &MoistureCheck) -> Vec<Basis> {
    let mut basis = vec![
        Basis::new("condensation and drying month by month", "EN ISO 13788:2012 clause 6"),
        Basis::new("saturation pressure, dew point", "EN ISO 13788:2012 Annex E"),
        Basis::new("surface humidity below 80 %, f_Rsi = 1 − 0.25 U", "EN ISO 13788:2012 clause 5"),
        Basis::new(
            "surface and air-layer resistances",
            "EN ISO 6946:2017 Tables 7 and 8 (from memory: confirm)",
        ),
        Basis::new(format!("monthly climate: {}", check.outdoors.name), "as entered"),
    ];
    match &check.indoors {
        IndoorClimate::Class { .. } => {
            basis.push(Basis::new("indoor humidity class, its upper limit", "EN ISO 13788:2012 Annex A"));
        }
        IndoorClimate::Excess { .. } => {
            basis.push(Basis::new("indoor vapour from the people and the fresh air", "mass balance"));
        }
        IndoorClimate::Constant { .. } | IndoorClimate::Measured { .. } => {
            basis.push(Basis::new("indoor climate", "as entered"));
        }
    }
    basis
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buildup::Ventilation;

    fn check(layers: Vec<Layer>, inside_percent: f64) -> MoistureResult {
        check_moisture(&MoistureCheck {
            name: "roof".to_owned(),
            layers,
            flow: HeatFlow::Upwards,
            outdoors: Climate::new(
                "invented",
                &[4.2, 4.4, 6.5, 8.7, 11.9, 14.8, 16.9, 16.6, 14.1, 10.7, 7.2, 4.9],
                &[88.0, 85.0, 81.0, 77.0, 76.0, 76.0, 76.0, 78.0, 81.0, 85.0, 88.0, 89.0],
            )
            .unwrap(),
            indoors: IndoorClimate::Constant { temperature_c: 20.0, humidity_percent: inside_percent },
            subdivide_over_m2k_w: Some(iso_13788_2012::NOTIONAL_LAYER_M2K_W),
        })
        .unwrap()
    }

    fn unvented(deck_mu: f64) -> Vec<Layer> {
        vec![
            Layer::solid("deck", 0.018, 0.13, deck_mu),
            Layer::solid("fibre", 0.12, 0.04, 1.0),
            Layer::solid("board", 0.015, 0.25, 10.0),
        ]
    }

    #[test]
    fn what_condenses_in_winter_leaves_in_summer_or_stays() {
        let open = check(unvented(50.0), 55.0);
        assert_eq!(open.verdict, Verdict::DriesOut);
        let balance: f64 = open.months.iter().map(|m| m.condensed_g_m2).sum();
        assert!(balance.abs() < 1e-9, "{balance}");
        assert!(open.peak_g_m2 > 1.0 && open.planes.iter().all(|plane| plane.dries));

        let tight = check(unvented(50_000.0), 75.0);
        assert_eq!(tight.verdict, Verdict::StaysWet);
        let left: f64 = tight.months.iter().map(|m| m.condensed_g_m2).sum();
        assert!(left > 1.0);
        assert!(tight.planes.iter().any(|plane| plane.place == "between deck and fibre"));
    }

    #[test]
    fn a_sheet_on_the_warm_side_keeps_the_roof_dry_and_on_the_cold_side_does_not() {
        let mut layers = unvented(50.0);
        layers.insert(2, Layer::sheet("polyethylene", 0.0002, 100.0));
        let result = check(layers, 60.0);
        assert_eq!(result.verdict, Verdict::Dry);
        let moved = |inside_of: &str| result.moved.iter().find(|m| m.inside_of == inside_of).unwrap();
        assert!(moved("fibre").as_built);
        assert!(moved("deck").peak_g_m2 > 10.0 * moved("board").peak_g_m2 + 1.0);
        assert!(result.vapour_tight.iter().any(|tight| tight.warm_share < 0.1));
    }

    #[test]
    fn without_a_sheet_each_place_of_one_is_tried() {
        let result = check(unvented(50.0), 60.0);
        assert_eq!(result.verdict, Verdict::DriesOut);
        assert!(result.moved[0].as_built && (result.moved[0].peak_g_m2 - result.peak_g_m2).abs() < 1e-9);
        let inside_of = |name: &str| result.moved.iter().find(|m| m.inside_of == name).unwrap();
        // The same sheet as part of the build-up, behind the fibre.
        let mut layers = unvented(50.0);
        layers.insert(2, Layer::sheet("polyethylene", 0.0002, 100.0));
        assert!((inside_of("fibre").peak_g_m2 - check(layers, 60.0).peak_g_m2).abs() < 1e-9);
        assert!(inside_of("deck").peak_g_m2 > inside_of("fibre").peak_g_m2);
    }

    #[test]
    fn a_ventilated_gap_ends_the_section() {
        let mut layers = unvented(50_000.0);
        layers.insert(1, Layer::air("gap", 0.05, Ventilation::Well));
        let result = check(layers, 55.0);
        assert!(result.profile.layer.iter().all(|name| name != "deck"));
        assert!(result.notes.iter().any(|note| note.contains("ends at the ventilated gap")));
    }
}
