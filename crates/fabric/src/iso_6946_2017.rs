//! EN ISO 6946:2017, Building components and building elements, thermal resistance and thermal transmittance.

use crate::{
    Basis, FabricError,
    buildup::{Heat, HeatFlow, Layer, Ventilation},
    error::in_range,
    heat::{AirGaps, LayerResistance, UValue, UValueCheck},
};

/// Outer surface resistance R_se, m² K/W, Table 7.
pub const RSE: f64 = 0.04;

/// Inner surface resistance R_si, m² K/W, Table 7: 0.10 upwards, 0.13 horizontally, 0.17 downwards.
pub const fn rsi(flow: HeatFlow) -> f64 {
    match flow {
        HeatFlow::Upwards => 0.10,
        HeatFlow::Horizontal => 0.13,
        HeatFlow::Downwards => 0.17,
    }
}

/// Thermal resistance of an unventilated air layer with high-emissivity surfaces, m² K/W, Table 8 (values from memory),
/// by its thickness in m; straight between the table's thicknesses, constant beyond 300 mm.
pub fn air_layer(thickness_m: f64, flow: HeatFlow) -> f64 {
    // Thickness in mm, then upwards, horizontal, downwards.
    const TABLE: [[f64; 4]; 9] = [
        [0.0, 0.00, 0.00, 0.00],
        [5.0, 0.11, 0.11, 0.11],
        [7.0, 0.13, 0.13, 0.13],
        [10.0, 0.15, 0.15, 0.15],
        [15.0, 0.16, 0.17, 0.17],
        [25.0, 0.16, 0.18, 0.19],
        [50.0, 0.16, 0.18, 0.21],
        [100.0, 0.16, 0.18, 0.22],
        [300.0, 0.16, 0.18, 0.23],
    ];
    let value = |row: &[f64; 4]| match flow {
        HeatFlow::Upwards => row[1],
        HeatFlow::Horizontal => row[2],
        HeatFlow::Downwards => row[3],
    };
    let thickness_mm = thickness_m * 1000.0;
    for pair in TABLE.windows(2) {
        let [below, above] = pair else { continue };
        if thickness_mm <= above[0] {
            let share = ((thickness_mm - below[0]) / (above[0] - below[0])).max(0.0);
            return value(below) + share * (value(above) - value(below));
        }
    }
    TABLE.last().map_or(0.0, value)
}

/// Total resistance of a build-up with a slightly ventilated air layer, eq. (12):
/// R = (1500 − A_v)/1000 R_u + (A_v − 500)/1000 R_v, with A_v in mm².
pub fn slightly_ventilated(openings_mm2: f64, unventilated_m2k_w: f64, well_ventilated_m2k_w: f64) -> f64 {
    (1500.0 - openings_mm2) / 1000.0 * unventilated_m2k_w
        + (openings_mm2 - 500.0) / 1000.0 * well_ventilated_m2k_w
}

/// Layers that count: those inside the innermost well-ventilated air layer, and whether there is one (6.9.4).
pub fn counted(layers: &[Layer]) -> (&[Layer], bool) {
    let vented = layers
        .iter()
        .rposition(|layer| matches!(layer.heat, Heat::Air) && layer.ventilation == Ventilation::Well);
    match vented.and_then(|at| layers.get(at + 1..)) {
        Some(inner) => (inner, true),
        None => (layers, false),
    }
}

/// Thermal resistance of a layer's main material, air layers as unventilated.
pub fn layer_resistance(layer: &Layer, flow: HeatFlow) -> f64 {
    layer.resistance_m2k_w().unwrap_or_else(|| air_layer(layer.thickness_m, flow))
}

/// Upper limit of the total resistance, eq. (5): 1/R″ = Σ f_q/R_q over every way through the bridged layers.
/// `others` is the sum of all unbridged layers and both surfaces; each bridged layer is (R main, R bridge, share of bridge).
pub fn upper_limit(others_m2k_w: f64, bridged: &[(f64, f64, f64)]) -> f64 {
    let bridged = bridged.get(..bridged.len().min(MOST_BRIDGED)).unwrap_or(bridged);
    let conductance: f64 = (0..1_usize << bridged.len())
        .map(|path| {
            let (mut share, mut resistance) = (1.0, others_m2k_w);
            for (i, &(main, bridge, fraction)) in bridged.iter().enumerate() {
                let through_bridge = path >> i & 1 == 1;
                share *= if through_bridge { fraction } else { 1.0 - fraction };
                resistance += if through_bridge { bridge } else { main };
            }
            share / resistance
        })
        .sum();
    1.0 / conductance
}

/// Lower limit, eqs (6) and (7): every bridged layer as its parts in parallel.
pub fn lower_limit(others_m2k_w: f64, bridged: &[(f64, f64, f64)]) -> f64 {
    others_m2k_w + bridged.iter().map(|&layer| in_parallel(layer)).sum::<f64>()
}

/// Correction for gaps or fasteners: ΔU = coefficient × (R₁/R_tot)², eqs (F.2) and (F.3), with the total resistance of the
/// combined method, which errs towards more loss.
pub fn correction(coefficient_w_m2k: f64, insulation_m2k_w: f64, total_m2k_w: f64) -> f64 {
    let ratio = insulation_m2k_w / total_m2k_w;
    coefficient_w_m2k * ratio * ratio
}

const MOST_BRIDGED: usize = 8;

fn in_parallel((main, bridge, fraction): (f64, f64, f64)) -> f64 {
    if main <= 0.0 || bridge <= 0.0 {
        return 0.0;
    }
    1.0 / ((1.0 - fraction) / main + fraction / bridge)
}

/// The counted layers as limits of the total resistance.
struct Limits {
    upper: f64,
    lower: f64,
    layers: Vec<LayerResistance>,
}

fn limits(layers: &[Layer], flow: HeatFlow, surfaces: f64) -> Limits {
    let mut others = surfaces;
    let mut bridged = Vec::new();
    let mut listed = Vec::new();
    for layer in layers {
        let main = layer_resistance(layer, flow);
        let r = match layer.bridge {
            Some(bridge) if bridge.fraction > 0.0 && layer.thickness_m > 0.0 && main > 0.0 => {
                let part = (main, layer.thickness_m / bridge.lambda_w_mk, bridge.fraction);
                bridged.push(part);
                in_parallel(part)
            }
            _ => {
                others += main;
                main
            }
        };
        listed.push(LayerResistance { name: layer.name.clone(), r_m2k_w: Some(r) });
    }
    Limits { upper: upper_limit(others, &bridged), lower: lower_limit(others, &bridged), layers: listed }
}

pub(crate) fn combined_method(check: &UValueCheck) -> Result<UValue, FabricError> {
    let inside = rsi(check.flow);
    let mut notes = Vec::new();
    let (layers, vented) = counted(&check.layers);
    // A well-ventilated layer ends the build-up: its inner face has the surface resistance of still air.
    let outside = if vented { inside } else { RSE };
    let mut found = limits(layers, check.flow, inside + outside);
    let slight = layers.iter().enumerate().find_map(|(at, layer)| match layer.ventilation {
        Ventilation::Slight { openings_mm2 } if matches!(layer.heat, Heat::Air) => Some((at, openings_mm2)),
        _ => None,
    });
    if let Some((at, openings_mm2)) = slight {
        let well = limits(layers.get(at + 1..).unwrap_or_default(), check.flow, 2.0 * inside);
        found.upper = slightly_ventilated(openings_mm2, found.upper, well.upper);
        found.lower = slightly_ventilated(openings_mm2, found.lower, well.lower);
        notes.push("A slightly ventilated air layer: between closed and well ventilated by the area of its openings.".to_owned());
    }
    if vented {
        notes.push(
            "The well-ventilated air layer ends the calculation: what lies outside it does not insulate."
                .to_owned(),
        );
    }
    let bridges = layers.iter().filter(|layer| layer.bridge.is_some()).count();
    if bridges > MOST_BRIDGED {
        notes.push(
            "More than eight bridged layers: the outer eight are counted one against the other.".to_owned(),
        );
    }
    let total = f64::midpoint(found.upper, found.lower);
    let u_uncorrected = 1.0 / total;
    let insulation = layers
        .iter()
        .filter(|layer| !matches!(layer.heat, Heat::Air))
        .map(|layer| (layer_resistance(layer, check.flow), layer.thickness_m))
        .fold((0.0, 0.0), |best: (f64, f64), part| if part.0 > best.0 { part } else { best });
    let gaps = correction(gap_coefficient(check.air_gaps), insulation.0, total);
    let fasteners = match check.fasteners {
        Some(fasteners) if insulation.1 > 0.0 => {
            in_range(
                "the fasteners' conductivity",
                fasteners.lambda_w_mk,
                (0.01, 500.0),
                "W/(m K)",
                "steel 50, stainless 17",
            )?;
            in_range(
                "the fasteners' cross-section",
                fasteners.area_mm2,
                (0.0, 10_000.0),
                "mm²",
                "of one fastener",
            )?;
            in_range("the fasteners per m²", fasteners.per_m2, (0.0, 1000.0), "", "count them")?;
            in_range(
                "the fasteners' depth",
                fasteners.depth_share,
                (0.0, 1.0),
                "",
                "share of the insulation they pass",
            )?;
            let alpha = 0.8 * fasteners.depth_share;
            let coefficient =
                alpha * fasteners.lambda_w_mk * fasteners.area_mm2 * 1e-6 * fasteners.per_m2 / insulation.1;
            correction(coefficient, insulation.0, total)
        }
        _ => 0.0,
    };
    let mut listed: Vec<LayerResistance> = check
        .layers
        .iter()
        .take(check.layers.len() - layers.len())
        .map(|layer| LayerResistance { name: layer.name.clone(), r_m2k_w: None })
        .collect();
    listed.extend(found.layers);
    Ok(UValue {
        u_w_m2k: u_uncorrected + gaps + fasteners,
        u_uncorrected_w_m2k: u_uncorrected,
        upper_m2k_w: found.upper,
        lower_m2k_w: found.lower,
        total_m2k_w: total,
        greatest_error_percent: 100.0 * (found.upper - found.lower) / (2.0 * total),
        surface_m2k_w: (inside, outside),
        gaps_w_m2k: gaps,
        fasteners_w_m2k: fasteners,
        layers: listed,
        notes,
        basis: vec![
            Basis::new("combined method: mean of upper and lower limit", "EN ISO 6946:2017 6.7.2"),
            Basis::new(
                "surface and air-layer resistances",
                "EN ISO 6946:2017 Tables 7 and 8 (from memory: confirm)",
            ),
            Basis::new("well-ventilated air layers", "EN ISO 6946:2017 6.9.4"),
            Basis::new("corrections for gaps and fasteners", "EN ISO 6946:2017 Annex F"),
        ],
    })
}

const fn gap_coefficient(gaps: AirGaps) -> f64 {
    match gaps {
        AirGaps::None => 0.0,
        AirGaps::Through => 0.01,
        AirGaps::ThroughAndBehind => 0.04,
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "these values must come out exactly")]
mod tests {
    use super::*;
    use crate::heat::u_value;

    fn check(layers: Vec<Layer>) -> UValueCheck {
        UValueCheck { layers, flow: HeatFlow::Upwards, air_gaps: AirGaps::None, fasteners: None }
    }

    fn roof(ventilation: Ventilation) -> Vec<Layer> {
        vec![
            Layer::solid("deck", 0.018, 0.13, 50.0),
            Layer::air("gap", 0.05, ventilation),
            Layer::solid("fibre", 0.1, 0.04, 1.0),
            Layer::solid("board", 0.015, 0.25, 10.0),
        ]
    }

    #[test]
    fn a_ventilated_gap_ends_the_build_up() {
        let found = u_value(&check(roof(Ventilation::Well))).unwrap();
        assert!((found.total_m2k_w - (0.10 + 2.5 + 0.06 + 0.10)).abs() < 1e-12);
        assert_eq!(found.layers.iter().filter(|layer| layer.r_m2k_w.is_none()).count(), 2);
    }

    #[test]
    fn slight_ventilation_lies_between_closed_and_open() {
        let total = |v| u_value(&check(roof(v))).unwrap().total_m2k_w;
        let (closed, open) = (total(Ventilation::None), total(Ventilation::Well));
        assert!((total(Ventilation::Slight { openings_mm2: 500.0 }) - closed).abs() < 1e-12);
        assert!((total(Ventilation::Slight { openings_mm2: 1500.0 }) - open).abs() < 1e-12);
        assert!(
            (total(Ventilation::Slight { openings_mm2: 1000.0 }) - f64::midpoint(closed, open)).abs() < 1e-12
        );
    }

    #[test]
    fn the_table_of_air_layers_is_met_and_crossed_straight() {
        assert_eq!(air_layer(0.025, HeatFlow::Horizontal), 0.18);
        assert!((air_layer(0.0125, HeatFlow::Upwards) - 0.155).abs() < 1e-12);
        assert_eq!(air_layer(1.0, HeatFlow::Downwards), 0.23);
    }
}
