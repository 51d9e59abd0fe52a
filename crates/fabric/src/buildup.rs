//! A build-up as heat and vapour see it: layers from outside to inside.

use serde::Serialize;

use crate::{FabricError, error::in_range};

/// How a layer resists heat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heat {
    /// By its thickness and its thermal conductivity λ, W/(m K), 0.001 to 500.
    Conductivity(f64),
    /// By a thermal resistance R given outright, m² K/W, 0 to 50: a thin sheet, an air layer of known R.
    Resistance(f64),
    /// A layer of still air: R by ISO 6946 for its thickness, the direction of heat and its ventilation.
    Air,
}

/// How a layer resists water vapour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Vapour {
    /// By its thickness and its vapour resistance factor μ (air: 1), 1 to 10⁷. An air layer counts as s_d 0.01 m
    /// whatever is given (ISO 13788).
    Factor(f64),
    /// By its equivalent air-layer thickness s_d, m, 0 to 10⁵: a membrane, a paint.
    AirThickness(f64),
}

/// How an air layer is open to the outside, ISO 6946:2017 6.9.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ventilation {
    /// Closed, or openings up to 500 mm² per metre of length (vertical) or per m² of surface (horizontal).
    #[default]
    None,
    /// Openings of 500 to 1500 mm² per metre or per m²; the area is given.
    Slight {
        /// Area of the openings, mm² per metre of length for a vertical layer, per m² for a horizontal one.
        openings_mm2: f64,
    },
    /// Openings of 1500 mm² per metre or per m² or more: the layer carries outdoor air.
    Well,
}

/// Another material that crosses a layer, such as the joists between the fibre.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LayerBridge {
    /// Share of the area it takes, 0 to 0.9.
    pub fraction: f64,
    /// Its thermal conductivity λ, W/(m K).
    pub lambda_w_mk: f64,
}

/// One layer, as heat and vapour see it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Layer {
    /// Name as it is printed.
    pub name: String,
    /// Thickness, m, 0 to 2; a membrane may be 0.
    pub thickness_m: f64,
    /// Thermal side.
    pub heat: Heat,
    /// Vapour side.
    pub vapour: Vapour,
    /// Ventilation, for an air layer.
    pub ventilation: Ventilation,
    /// Timbers or studs that cross it.
    pub bridge: Option<LayerBridge>,
}

/// Which way heat flows, for surface resistances.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeatFlow {
    /// Through a roof or ceiling.
    Upwards,
    /// Through a wall.
    Horizontal,
    /// Through a floor.
    Downwards,
}

impl Layer {
    /// A solid layer by its conductivity and vapour resistance factor.
    pub fn solid(name: impl Into<String>, thickness_m: f64, lambda_w_mk: f64, mu: f64) -> Self {
        Self {
            name: name.into(),
            thickness_m,
            heat: Heat::Conductivity(lambda_w_mk),
            vapour: Vapour::Factor(mu),
            ventilation: Ventilation::None,
            bridge: None,
        }
    }

    /// A thin sheet with an equivalent air-layer thickness s_d and no thermal resistance of its own.
    pub fn sheet(name: impl Into<String>, thickness_m: f64, sd_m: f64) -> Self {
        Self {
            name: name.into(),
            thickness_m,
            heat: Heat::Resistance(0.0),
            vapour: Vapour::AirThickness(sd_m),
            ventilation: Ventilation::None,
            bridge: None,
        }
    }

    /// A layer of air.
    pub fn air(name: impl Into<String>, thickness_m: f64, ventilation: Ventilation) -> Self {
        Self {
            name: name.into(),
            thickness_m,
            heat: Heat::Air,
            vapour: Vapour::Factor(1.0),
            ventilation,
            bridge: None,
        }
    }

    /// The same layer crossed by timbers or studs.
    #[must_use]
    pub fn crossed_by(self, fraction: f64, lambda_w_mk: f64) -> Self {
        Self { bridge: Some(LayerBridge { fraction, lambda_w_mk }), ..self }
    }

    /// Equivalent air-layer thickness s_d = μ d, m (ISO 13788:2012 eq. 4).
    pub fn sd_m(&self) -> f64 {
        match self.vapour {
            Vapour::Factor(mu) => mu * self.thickness_m,
            Vapour::AirThickness(sd_m) => sd_m,
        }
    }

    /// Thermal resistance of the layer's main material, m² K/W; none where it depends on the direction of heat
    /// ([`Heat::Air`]).
    pub fn resistance_m2k_w(&self) -> Option<f64> {
        match self.heat {
            Heat::Conductivity(lambda) => Some(self.thickness_m / lambda),
            Heat::Resistance(r) => Some(r),
            Heat::Air => None,
        }
    }

    /// Refuses what cannot be: see the fields for their ranges.
    pub fn validate(&self) -> Result<(), FabricError> {
        let what = |part: &str| format!("the {part} of {}", self.name);
        in_range(what("thickness"), self.thickness_m, (0.0, 2.0), "m", "layers are given in metres here")?;
        match self.heat {
            Heat::Conductivity(lambda) => {
                in_range(
                    what("conductivity"),
                    lambda,
                    (0.001, 500.0),
                    "W/(m K)",
                    "take it from the data sheet",
                )?;
            }
            Heat::Resistance(r) => {
                in_range(
                    what("thermal resistance"),
                    r,
                    (0.0, 50.0),
                    "m² K/W",
                    "take it from the data sheet",
                )?;
            }
            Heat::Air => {}
        }
        match self.vapour {
            Vapour::Factor(mu) => in_range(
                what("vapour resistance factor"),
                mu,
                (1.0, 1e7),
                "",
                "still air has 1 and nothing has less: take μ from the data sheet",
            )?,
            Vapour::AirThickness(sd_m) => in_range(
                what("vapour resistance s_d"),
                sd_m,
                (0.0, 1e5),
                "m",
                "a vapour resistance cannot be negative: take s_d from the data sheet",
            )?,
        };
        if let Ventilation::Slight { openings_mm2 } = self.ventilation {
            in_range(
                what("opening area"),
                openings_mm2,
                (500.0, 1500.0),
                "mm²",
                "below 500 the layer counts as closed, above 1500 as well ventilated",
            )?;
        }
        if let Some(bridge) = self.bridge {
            in_range(what("bridged share"), bridge.fraction, (0.0, 0.9), "", "width of timber over spacing")?;
            in_range(
                what("bridge's conductivity"),
                bridge.lambda_w_mk,
                (0.001, 500.0),
                "W/(m K)",
                "softwood has 0.13",
            )?;
        }
        Ok(())
    }
}

/// Refuses an empty build-up and any layer that cannot be.
pub(crate) fn validate(layers: &[Layer]) -> Result<(), FabricError> {
    if layers.is_empty() {
        return Err(FabricError::TooFew { what: "the build-up".to_owned(), of: "layer", least: 1 });
    }
    layers.iter().try_for_each(Layer::validate)
}
