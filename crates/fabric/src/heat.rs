//! U-value of a build-up.

use serde::Serialize;

use crate::{
    Basis, FabricError,
    buildup::{self, HeatFlow, Layer},
};

/// What is needed for a U-value.
#[derive(Clone, Debug, PartialEq)]
pub struct UValueCheck {
    /// Layers from outside to inside.
    pub layers: Vec<Layer>,
    /// Which way heat flows.
    pub flow: HeatFlow,
    /// Gaps in the main thermal insulation.
    pub air_gaps: AirGaps,
    /// Metal fasteners through the main thermal insulation.
    pub fasteners: Option<Fasteners>,
}

/// Gaps between or behind the insulation, ISO 6946:2017 Table F.1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AirGaps {
    /// None, or only minor ones: ΔU″ = 0.
    #[default]
    None,
    /// Gaps from the warm to the cold side, but no air passing behind: ΔU″ = 0.01 W/(m² K).
    Through,
    /// Gaps from the warm to the cold side with air passing behind: ΔU″ = 0.04 W/(m² K).
    ThroughAndBehind,
}

/// Metal fasteners through an insulating layer, ISO 6946:2017 F.3.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fasteners {
    /// Conductivity of the fastener, W/(m K); steel 50, stainless 17.
    pub lambda_w_mk: f64,
    /// Cross-section of one, mm².
    pub area_mm2: f64,
    /// How many per m².
    pub per_m2: f64,
    /// How much of the insulation's thickness it passes, 0 to 1.
    pub depth_share: f64,
}

/// A U-value and how it came about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UValue {
    /// Thermal transmittance with corrections U_c, W/(m² K).
    pub u_w_m2k: f64,
    /// Without corrections, W/(m² K).
    pub u_uncorrected_w_m2k: f64,
    /// Upper limit of the total thermal resistance, m² K/W.
    pub upper_m2k_w: f64,
    /// Lower limit, m² K/W.
    pub lower_m2k_w: f64,
    /// Total thermal resistance: their mean, m² K/W.
    pub total_m2k_w: f64,
    /// Greatest relative error of the method here, per cent: (upper − lower) / (2 total).
    pub greatest_error_percent: f64,
    /// Surface resistances used, inside and outside, m² K/W.
    pub surface_m2k_w: (f64, f64),
    /// Correction for gaps, W/(m² K).
    pub gaps_w_m2k: f64,
    /// Correction for fasteners, W/(m² K).
    pub fasteners_w_m2k: f64,
    /// Thermal resistance of each counted layer, outside to inside, m² K/W, bridged ones as the lower limit has them.
    pub layers: Vec<LayerResistance>,
    /// What the method leaves out here.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// One layer of a U-value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LayerResistance {
    /// Name of the layer.
    pub name: String,
    /// Thermal resistance, m² K/W; none for layers outside a well-ventilated one, which do not count.
    pub r_m2k_w: Option<f64>,
}

/// U-value by the combined method of ISO 6946:2017.
///
/// Errors: no layers, or a layer outside its ranges.
pub fn u_value(check: &UValueCheck) -> Result<UValue, FabricError> {
    buildup::validate(&check.layers)?;
    crate::iso_6946_2017::combined_method(check)
}
