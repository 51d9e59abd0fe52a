//! Heat and moisture of the ceiling's build-up and of the outside walls'.

use fabric::{
    Basis, FabricError,
    buildup::{Heat, HeatFlow, Layer as FabricLayer, Vapour, Ventilation},
    cold_roof::{ColdRoofVentilation, VentilationRule, check_cold_roof},
    heat::{AirGaps, UValue, UValueCheck, u_value},
    iso_13788_2012::{HumidityClass as Class, NOTIONAL_LAYER_M2K_W, excess_pa, saturation_pa},
    moisture::{
        Climate as FabricClimate, IndoorClimate, MoistureCheck, MoistureResult, check_moisture,
        check_moisture_as_built,
    },
    warm_roof::{WarmRoofSpec, warm_roof},
};

use catalogue::{Fill, Membrane, find};
use quantities::format::with_unit;

use crate::{
    assemble::{
        fabric_findings::damp_amount,
        material::{Solid, VapourOf, fibre, plaster, solid},
    },
    outcome::{WallFabric, WarmAlternative},
    project::{
        ElementId, ElementSpec, Faces, FillGaps, HumidityClass, Layer, LeafKind, Project, RoofKind, WallId,
    },
};

/// Thermal conductivity of softwood joists, W/(m K) (EN ISO 10456, from memory).
const SOFTWOOD_LAMBDA: f64 = 0.13;
/// Openings up to which a layer of air counts as still, and from which it carries outside air, mm² per m or m²
/// (EN ISO 6946:2017 6.9).
const STILL_MM2: f64 = 500.0;
const WELL_VENTILATED_MM2: f64 = 1500.0;
/// What a warm roof would be insulated with, an entry of the catalogue.
const WARM_INSULATION: &str = "rigid-foam-foil-32kg";
/// What would lie under it, an entry of the catalogue.
const WARM_VAPOUR_CONTROL: &str = "foil-laminate";

/// Heat and moisture of the ceiling.
#[derive(Clone, Debug, Default)]
pub(crate) struct Damp {
    /// Thermal transmittance.
    pub(crate) u_value: Option<UValue>,
    /// Moisture over a year.
    pub(crate) moisture: Option<MoistureResult>,
    /// Rules of ventilation of a cold roof.
    pub(crate) ventilation: Vec<VentilationRule>,
    /// The warm roof in its place.
    pub(crate) warm_roof: Option<WarmAlternative>,
    /// What could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

/// The air outside and inside, month by month.
struct BothAirs {
    outdoors: FabricClimate,
    indoors: IndoorClimate,
}

/// Outside as the climate says; inside as measured, else by the humidity class of the use.
fn air_on_both_sides(project: &Project) -> Option<BothAirs> {
    let climate = project.climate.as_ref()?;
    let indoors = match (&project.indoor_climate, &project.room_use) {
        (Some(measured), _) => IndoorClimate::Measured {
            temperature_c: measured.temperature_c,
            humidity_percent: measured.humidity_percent,
        },
        (None, Some(used)) => IndoorClimate::Class {
            class: class(used.humidity_class),
            temperature_c: used.inside_temperature_c,
        },
        (None, None) => return None,
    };
    Some(BothAirs {
        outdoors: FabricClimate {
            name: climate.name.clone(),
            temperature_c: climate.temperature_c,
            humidity_percent: climate.humidity_percent,
        },
        indoors,
    })
}

/// Air below and above a ceiling under a storey of a dwelling: that storey is taken to be heated as evenly as the room, and as
/// damp as a dwelling is (class 3 of EN ISO 13788:2012 Annex A), so vapour has no cold side to go to.
fn heated_above(air: BothAirs) -> BothAirs {
    let percent = |class: Class, temperature_c: &[f64; 12]| {
        std::array::from_fn(|month| {
            let outdoor_c = air.outdoors.temperature_c[month];
            let outdoor_pa = saturation_pa(outdoor_c) * air.outdoors.humidity_percent[month] / 100.0;
            let vapour_pa = outdoor_pa + excess_pa(class, outdoor_c);
            (100.0 * vapour_pa / saturation_pa(temperature_c[month])).min(100.0)
        })
    };
    let temperature_c = match air.indoors {
        IndoorClimate::Measured { temperature_c, .. } => temperature_c,
        IndoorClimate::Class { temperature_c, .. }
        | IndoorClimate::Constant { temperature_c, .. }
        | IndoorClimate::Excess { temperature_c, .. } => [temperature_c; 12],
    };
    let above_percent = percent(Class::Three, &temperature_c);
    let indoors = match air.indoors {
        IndoorClimate::Class { class, .. } => {
            IndoorClimate::Measured { temperature_c, humidity_percent: percent(class, &temperature_c) }
        }
        other => other,
    };
    BothAirs {
        outdoors: FabricClimate {
            name: "the heated storey above, as damp as a dwelling (assumed)".to_owned(),
            temperature_c,
            humidity_percent: above_percent,
        },
        indoors,
    }
}

/// Timber crossing the fibre is left out: ISO 13788 is one-dimensional, and the fibre is the part that condenses.
fn moisture_check(name: &str, layers: Vec<FabricLayer>, flow: HeatFlow, air: &BothAirs) -> MoistureCheck {
    MoistureCheck {
        name: name.to_owned(),
        layers: layers.into_iter().map(|layer| FabricLayer { bridge: None, ..layer }).collect(),
        flow,
        outdoors: air.outdoors.clone(),
        indoors: air.indoors.clone(),
        subdivide_over_m2k_w: Some(NOTIONAL_LAYER_M2K_W),
    }
}

/// Condensation along the fibre, and mould where the surface is coldest: along the fibre or along the timber that crosses it.
fn checked(
    name: &str,
    layers: Vec<FabricLayer>,
    flow: HeatFlow,
    air: &BothAirs,
) -> Result<MoistureResult, FabricError> {
    checked_by(check_moisture, (name, layers), flow, air)
}

/// The same by the whole check or a shorter one.
fn checked_by(
    check_moisture: fn(&MoistureCheck) -> Result<MoistureResult, FabricError>,
    (name, layers): (&str, Vec<FabricLayer>),
    flow: HeatFlow,
    air: &BothAirs,
) -> Result<MoistureResult, FabricError> {
    let timber: Option<Vec<FabricLayer>> = layers.iter().any(|layer| layer.bridge.is_some()).then(|| {
        let line = |layer: &FabricLayer| match layer.bridge {
            Some(bridge) => FabricLayer {
                heat: Heat::Conductivity(bridge.lambda_w_mk),
                ventilation: Ventilation::None,
                bridge: None,
                ..layer.clone()
            },
            None => layer.clone(),
        };
        layers.iter().map(line).collect()
    });
    let mut result = check_moisture(&moisture_check(name, layers, flow, air))?;
    if let Some(timber) = timber
        && let Ok(along) = check_moisture(&moisture_check(name, timber, flow, air))
        && along.frsi < result.frsi
    {
        result.frsi = along.frsi;
        result.mould_safe = along.frsi >= result.frsi_needed;
    }
    Ok(result)
}

/// The thinnest warm roofs of a common rigid foam over a foil that reach the cold roof's U-value and stay dry.
fn warm_alternative(cold: &MoistureCheck, u_w_m2k: f64) -> Option<WarmAlternative> {
    let foam = find::<Fill>(WARM_INSULATION)?;
    let foil = find::<Membrane>(WARM_VAPOUR_CONTROL)?;
    let mu = match foam.vapour {
        catalogue::Vapour::Factor { dry, .. } => dry,
        catalogue::Vapour::AirLayer { .. } => 1.0,
    };
    let spec = |keep_fill| WarmRoofSpec {
        insulation: (foam.name.to_owned(), foam.conductivity_w_m_k, mu),
        vapour_control: (foil.name.to_owned(), foil.sd_m),
        u_w_m2k,
        keep_fill,
    };
    let worked_out = |keep_fill| warm_roof(cold, &spec(keep_fill)).ok().flatten();
    Some(WarmAlternative { with_fibre: worked_out(true), without_fibre: worked_out(false), u_w_m2k })
}

/// Heat and damp of each build-up that outside walls are made of, in the order of the file; what could not be worked out goes to
/// `not_checked`.
pub(crate) fn walls(project: &Project, not_checked: &mut Vec<String>) -> Vec<WallFabric> {
    let air = air_on_both_sides(project);
    let mut list = Vec::new();
    for (index, buildup) in project.buildups.iter().enumerate() {
        let walls: Vec<String> = project
            .walls
            .iter()
            .enumerate()
            .filter(|(_, wall)| wall.faces == Faces::Outside && wall.buildup.0 == index)
            .map(|(wall, _)| project.element_name(ElementId::Wall(WallId(wall))))
            .collect();
        let layers = layers(&buildup.element, 0.0);
        if walls.is_empty() || layers.is_empty() {
            continue;
        }
        let check = UValueCheck {
            layers: layers.clone(),
            flow: HeatFlow::Horizontal,
            air_gaps: air_gaps(&buildup.element),
            fasteners: None,
        };
        let moisture =
            air.as_ref().map(|air| checked(&buildup.element.name, layers, HeatFlow::Horizontal, air));
        match (u_value(&check), moisture.transpose()) {
            (Ok(u_value), Ok(moisture)) => {
                list.push(WallFabric { buildup: buildup.element.name.clone(), walls, u_value, moisture });
            }
            (Err(error), _) | (_, Err(error)) => not_checked.push(error.to_string()),
        }
    }
    list
}

/// Works out heat and moisture of the ceiling; `joist_fraction` is the share of the area the joists take.
pub(crate) fn damp(project: &Project, joist_fraction: f64, bay_m: f64) -> Damp {
    let mut damp = Damp::default();
    let Some(buildup) = project.buildup_of(ElementId::Ceiling) else { return damp };
    let layers = layers(&buildup.element, joist_fraction);
    match u_value(&UValueCheck {
        layers: layers.clone(),
        flow: HeatFlow::Upwards,
        air_gaps: air_gaps(&buildup.element),
        fasteners: None,
    }) {
        Ok(result) => damp.u_value = Some(result),
        Err(error) => damp.not_checked.push(error.to_string()),
    }
    let under_a_storey = project.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::Floor);
    match air_on_both_sides(project).map(|air| if under_a_storey { heated_above(air) } else { air }) {
        Some(air) => {
            let check = moisture_check(&buildup.element.name, layers.clone(), HeatFlow::Upwards, &air);
            match checked(&buildup.element.name, layers, HeatFlow::Upwards, &air) {
                Ok(result) => damp.moisture = Some(result),
                Err(error) => damp.not_checked.push(error.to_string()),
            }
            if let (Some(cold), RoofKind::ColdFlat) =
                (&damp.u_value, project.roof.as_ref().map_or(RoofKind::Loft, |roof| roof.kind))
            {
                damp.warm_roof = warm_alternative(&check, cold.u_w_m2k);
            }
        }
        None => damp.not_checked.push(
            "Damp is not checked: enter `climate` (twelve monthly means), and `use` (temperature and humidity class) or `indoor_climate` (measured)."
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
                outlet_mm: roof.vent_opening_far_mm.unwrap_or(roof.vent_opening_mm),
                run_m: bay_m,
                closed_bays: roof.closed_bays.map(|closed| closed + bays_closed_by_openings(project)),
            }) {
                Ok(rules) => {
                    damp.ventilation = rules;
                    damp.not_checked.extend(bays_not_looked_into(project));
                }
                Err(error) => damp.not_checked.push(error.to_string()),
            }
        } else {
            damp.ventilation.push(VentilationRule {
                rule: "outside air above the fibre of a cold flat roof".to_owned(),
                found: Some(0.0),
                needed: roof.vent_gap_mm,
                kept: Some(false),
                remedy: "No cavity of the ceiling's build-up is `vented`: leave a gap with openings at both ends of every bay, or build a warm roof.".to_owned(),
                basis: Basis {
                    what: "air above the fibre".to_owned(),
                    source: "common practice: a cold flat roof is aired above its insulation".to_owned(),
                },
            });
        }
    }
    damp
}

/// Whether the roof stays dry with the ceiling of the file: nothing stays from year to year, nothing runs off, no mould; none where
/// damp is not checked.
pub(crate) fn ceiling_stays_dry(project: &Project, joist_fraction: f64) -> Option<bool> {
    let buildup = project.buildup_of(ElementId::Ceiling)?;
    let air = air_on_both_sides(project)?;
    let layers = layers(&buildup.element, joist_fraction);
    let named = (buildup.element.name.as_str(), layers);
    let result = checked_by(check_moisture_as_built, named, HeatFlow::Upwards, &air).ok()?;
    let dries = !matches!(result.verdict, fabric::moisture::Verdict::StaysWet);
    Some(dries && result.mould_safe && damp_amount(&result).is_none())
}

/// A hatch's trimmers close the bays on both sides of each joist they cut.
fn bays_closed_by_openings(project: &Project) -> u32 {
    let openings = project.joists.as_ref().map_or(&[][..], |joists| &joists.openings);
    openings.iter().map(|opening| opening.cut.len() as u32 + 1).sum()
}

/// A sentence where nobody said whether the bays are open, with the ends where outside air cannot come in straight.
fn bays_not_looked_into(project: &Project) -> Option<String> {
    let roof = project.roof.as_ref().filter(|roof| roof.closed_bays.is_none())?;
    let joists = project.joists.as_ref()?;
    let mut inner: Vec<String> = joists
        .each
        .iter()
        .flat_map(|joist| [joist.from_wall, joist.to_wall])
        .filter(|wall| project.walls.get(wall.0).is_some_and(|wall| wall.faces != Faces::Outside))
        .map(|wall| project.element_name(ElementId::Wall(wall)))
        .collect();
    inner.sort();
    inner.dedup();
    let inner = if inner.is_empty() {
        String::new()
    } else {
        format!(" At wall {} there is no outside to open them to.", inner.join(", "))
    };
    Some(format!(
        "Whether each bay of the roof is open at both ends, with {} of slot, is not known: look into every one and enter `roof.closed_bays`, 0 for none.{inner}",
        with_unit(roof.vent_opening_mm, 0, "mm")
    ))
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

/// The worst fit of the fibre in any cavity.
fn air_gaps(spec: &ElementSpec) -> AirGaps {
    let worst = spec.layers.iter().filter_map(|layer| match layer {
        Layer::Cavity(cavity) if cavity.fill_mm > 0.0 => Some(cavity.fill_gaps),
        _ => None,
    });
    match worst.max() {
        Some(FillGaps::ThroughAndBehind) => AirGaps::ThroughAndBehind,
        Some(FillGaps::Through) => AirGaps::Through,
        Some(FillGaps::None) | None => AirGaps::None,
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
                    let (name, ventilation) = match cavity.openings_mm2.unwrap_or(0.0) {
                        _ if cavity.vented => ("vented air", Ventilation::Well),
                        openings if openings >= WELL_VENTILATED_MM2 => ("vented air", Ventilation::Well),
                        openings_mm2 if openings_mm2 > STILL_MM2 => {
                            ("hardly vented air", Ventilation::Slight { openings_mm2 })
                        }
                        _ => ("air", Ventilation::None),
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
