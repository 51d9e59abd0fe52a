//! Heat and moisture of the ceiling's build-up.

use fabric::{
    buildup::{Heat, HeatFlow, Layer as FabricLayer, Vapour, Ventilation},
    cold_roof::{ColdRoofVentilation, VentilationRule, check_cold_roof},
    heat::{AirGaps, UValue, UValueCheck, u_value},
    iso_13788_2012::{HumidityClass as Class, NOTIONAL_LAYER_M2K_W},
    moisture::{Climate as FabricClimate, IndoorClimate, MoistureCheck, MoistureResult, check_moisture},
};

use crate::{
    assemble::material::{Solid, VapourOf, fibre, plaster, solid},
    project::{ElementId, ElementSpec, HumidityClass, Layer, LeafKind, Project, RoofKind},
};

/// Thermal conductivity of softwood joists, W/(m K) (EN ISO 10456, from memory).
const SOFTWOOD_LAMBDA: f64 = 0.13;

/// Heat and moisture of the ceiling.
#[derive(Clone, Debug, Default)]
pub(crate) struct Damp {
    /// Thermal transmittance.
    pub(crate) u_value: Option<UValue>,
    /// Moisture over a year.
    pub(crate) moisture: Option<MoistureResult>,
    /// Rules of ventilation of a cold roof.
    pub(crate) ventilation: Vec<VentilationRule>,
    /// What could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

/// Works out heat and moisture of the ceiling; `joist_fraction` is the share of the area the joists take.
pub(crate) fn damp(project: &Project, joist_fraction: f64, bay_m: f64) -> Damp {
    let mut damp = Damp::default();
    let Some(buildup) = project.buildup_of(ElementId::Ceiling) else { return damp };
    let layers = layers(&buildup.element, joist_fraction);
    match u_value(&UValueCheck {
        layers: layers.clone(),
        flow: HeatFlow::Upwards,
        air_gaps: AirGaps::None,
        fasteners: None,
    }) {
        Ok(result) => damp.u_value = Some(result),
        Err(error) => damp.not_checked.push(error.to_string()),
    }
    match (&project.climate, &project.room_use) {
        (Some(climate), Some(used)) => {
            let check = MoistureCheck {
                name: buildup.element.name.clone(),
                // Timber crossing the fibre is left out: ISO 13788 is one-dimensional, and the fibre is the part that
                // condenses.
                layers: layers.into_iter().map(|layer| FabricLayer { bridge: None, ..layer }).collect(),
                flow: HeatFlow::Upwards,
                outdoors: FabricClimate {
                    name: climate.name.clone(),
                    temperature_c: climate.temperature_c,
                    humidity_percent: climate.humidity_percent,
                },
                indoors: IndoorClimate::Class {
                    class: class(used.humidity_class),
                    temperature_c: used.inside_temperature_c,
                },
                subdivide_over_m2k_w: Some(NOTIONAL_LAYER_M2K_W),
            };
            match check_moisture(&check) {
                Ok(result) => damp.moisture = Some(result),
                Err(error) => damp.not_checked.push(error.to_string()),
            }
        }
        _ => damp.not_checked.push(
            "Damp is not checked: enter `climate` (twelve monthly means) and `use` (temperature and humidity class)."
                .to_owned(),
        ),
    }
    if let Some(roof) = &project.roof
        && roof.kind == RoofKind::ColdFlat
    {
        let clear_mm = buildup
            .element
            .layers
            .iter()
            .filter_map(|layer| match layer {
                Layer::Cavity(cavity) if cavity.vented => Some(cavity.depth_mm - cavity.fill_mm),
                _ => None,
            })
            .fold(f64::INFINITY, f64::min);
        if clear_mm.is_finite() {
            match check_cold_roof(&ColdRoofVentilation {
                gap_mm: clear_mm,
                inlet_mm: roof.vent_opening_mm,
                outlet_mm: roof.vent_opening_mm,
                run_m: bay_m,
                closed_bays: 0,
            }) {
                Ok(rules) => damp.ventilation = rules,
                Err(error) => damp.not_checked.push(error.to_string()),
            }
        } else {
            damp.not_checked.push(
                "A cold flat roof needs outside air above the fibre: no cavity of the ceiling's build-up is `vented`."
                    .to_owned(),
            );
        }
    }
    damp
}

fn class(class: HumidityClass) -> Class {
    match class {
        HumidityClass::One => Class::One,
        HumidityClass::Two => Class::Two,
        HumidityClass::Three => Class::Three,
        HumidityClass::Four => Class::Four,
        HumidityClass::Five => Class::Five,
    }
}

/// The layers as heat and vapour see them, from outside to inside. In a vented cavity the air lies outside the fibre.
fn layers(spec: &ElementSpec, joist_fraction: f64) -> Vec<FabricLayer> {
    let mut layers = Vec::new();
    for layer in &spec.layers {
        match layer {
            Layer::Leaf(leaf) => {
                layers.extend(plaster(leaf.plaster_outside_mm).as_ref().map(solid_layer));
                layers.push(solid_layer(&solid(leaf)));
                layers.extend(plaster(leaf.plaster_inside_mm).as_ref().map(solid_layer));
            }
            Layer::Cavity(cavity) => {
                let fibre = fibre(cavity);
                let air_m = (cavity.depth_mm / 1000.0
                    - fibre.as_ref().map_or(0.0, |fibre| fibre.thickness_m))
                .max(0.0);
                if air_m > 0.0005 {
                    let (name, ventilation) = if cavity.vented {
                        ("vented air", Ventilation::Well)
                    } else {
                        ("air", Ventilation::None)
                    };
                    layers.push(FabricLayer::air(name, air_m, ventilation));
                }
                if let Some(fibre) = fibre {
                    let mut fibre_layer = FabricLayer::solid(
                        fibre.name,
                        fibre.thickness_m,
                        fibre.lambda_w_mk,
                        fibre.mu.max(1.0),
                    );
                    if cavity.timbers.is_some() && joist_fraction > 0.0 {
                        fibre_layer = fibre_layer.crossed_by(joist_fraction.min(0.9), SOFTWOOD_LAMBDA);
                    }
                    layers.push(fibre_layer);
                }
            }
        }
    }
    layers
}

fn solid_layer(solid: &Solid) -> FabricLayer {
    let thickness_m = solid.depth_m();
    let vapour = match solid.vapour {
        VapourOf::Factor(mu) => Vapour::Factor(mu.max(1.0)),
        VapourOf::AirLayer(sd_m) => Vapour::AirThickness(sd_m * f64::from(solid.sheets)),
    };
    let heat = if solid.kind == LeafKind::Membrane {
        Heat::Resistance(0.0)
    } else {
        Heat::Conductivity(solid.lambda_w_mk)
    };
    FabricLayer {
        name: solid.name.clone(),
        thickness_m,
        heat,
        vapour,
        ventilation: Ventilation::None,
        bridge: None,
    }
}
