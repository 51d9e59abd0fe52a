//! Damp: condensation inside a build-up month by month, its drying, mould on the surface, and what moving a
//! vapour-tight layer would do.

use serde::Serialize;

use crate::{
    Basis, FabricError,
    buildup::{HeatFlow, Layer},
    iso_13788_2012::HumidityClass,
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

/// Ventilation of a cold flat roof above the fill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColdRoofVentilation {
    /// Clear depth of air above the fill, mm.
    pub gap_mm: f64,
    /// Continuous opening at the lower end of every bay, mm (mm × 1000 = mm² of free area per metre).
    pub inlet_mm: f64,
    /// The same at the upper end, mm.
    pub outlet_mm: f64,
    /// Length of the bays from opening to opening, m.
    pub run_m: f64,
    /// Bays that lack an opening at one end or both.
    pub closed_bays: u32,
}

/// One rule of the ventilation of a cold roof, and whether it is kept.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VentilationRule {
    /// The rule.
    pub rule: String,
    /// What there is, mm or a number of bays.
    pub found: f64,
    /// What there must be.
    pub needed: f64,
    /// Whether it is kept.
    pub kept: bool,
    /// What to do if not.
    pub remedy: String,
    /// Where the rule comes from.
    pub basis: Basis,
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
    /// Temperature factor of the inner surface, f_Rsi = 1 − 0.25 U.
    pub frsi: f64,
    /// The greatest f_Rsi any month needs, and which month, 1 for January.
    pub frsi_needed: f64,
    /// Month that needs it, 1 for January.
    pub frsi_month: u8,
    /// Whether the surface stays below 80 % in every month.
    pub mould_safe: bool,
    /// Vapour-tight layers, outside first.
    pub vapour_tight: Vec<VapourTightLayer>,
    /// What moving each of them would do.
    pub moved: Vec<MovedLayer>,
    /// Where the method does not apply.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Condensation, drying and mould over a year.
///
/// Errors: no layers, a layer or an indoor climate outside its ranges.
pub fn check_moisture(_check: &MoistureCheck) -> Result<MoistureResult, FabricError> {
    Err(FabricError::TooFew { what: "the build-up".to_owned(), of: "method", least: 1 })
}

/// The rules of ventilation of a cold flat roof: gap, openings at both ends of every bay.
///
/// Errors: a measure below zero.
pub fn check_cold_roof(_roof: &ColdRoofVentilation) -> Result<Vec<VentilationRule>, FabricError> {
    Err(FabricError::TooFew { what: "the roof".to_owned(), of: "method", least: 1 })
}

impl Climate {
    /// Twelve monthly means, January first.
    ///
    /// Errors: a list that has not twelve months, a temperature or humidity outside its range.
    pub fn new(name: &str, temperature_c: &[f64], humidity_percent: &[f64]) -> Result<Self, FabricError> {
        let twelve = |what: &str, list: &[f64]| {
            <[f64; 12]>::try_from(list).map_err(|_| FabricError::NotTwelveMonths {
                what: format!("{what} of {name}"),
                count: list.len(),
            })
        };
        Ok(Self {
            name: name.to_owned(),
            temperature_c: twelve("the temperature", temperature_c)?,
            humidity_percent: twelve("the humidity", humidity_percent)?,
        })
    }
}
