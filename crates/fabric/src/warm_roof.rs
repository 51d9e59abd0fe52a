//! The warm roof in place of a ventilated cold one: insulation above the deck, no gap to ventilate, and the height it
//! costs.

use serde::Serialize;

use crate::{
    Basis, FabricError, VAPOUR_TIGHT_SD_M,
    buildup::{Heat, Layer, Ventilation},
    error::in_range,
    heat::{AirGaps, UValue, UValueCheck, u_value},
    iso_6946_2017,
    moisture::{MoistureCheck, MoistureResult, Verdict, check_moisture},
};

/// What the warm roof would be made of.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmRoofSpec {
    /// Insulation above the deck, its thickness left open: name, λ in W/(m K), μ.
    pub insulation: (String, f64, f64),
    /// Vapour control layer under it: name and s_d, m.
    pub vapour_control: (String, f64),
    /// U-value to reach, W/(m² K), 0.05 to 2; the cold roof's own for a fair comparison.
    pub u_w_m2k: f64,
    /// Whether the fibre between the joists stays for its sound; it keeps the deck colder.
    pub keep_fill: bool,
}

/// The warm roof, worked out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WarmRoof {
    /// Insulation above the deck, mm, in steps of 10.
    pub insulation_mm: f64,
    /// Height it adds above the deck compared with the cold roof, mm.
    pub added_height_mm: f64,
    /// Its U-value.
    pub u_value: UValue,
    /// Its year of moisture.
    pub moisture: MoistureResult,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// The thinnest warm roof (steps of 10 mm up to 400 mm) that reaches the U-value and is dry again within the
/// year with no more than a trace of moisture in between; none if there is none.
///
/// The cold roof's layers outside its ventilated gap, but for the deck, become the covering; the gap becomes still air; sheets that
/// are vapour-tight go from below, where the new vapour control layer replaces them.
///
/// Errors: a cold roof without a well-ventilated gap under a deck; anything [`check_moisture`] refuses.
pub fn warm_roof(cold: &MoistureCheck, spec: &WarmRoofSpec) -> Result<Option<WarmRoof>, FabricError> {
    in_range(
        "the U-value to reach",
        spec.u_w_m2k,
        (0.05, 2.0),
        "W/(m² K)",
        "0.15 to 0.3 is usual for a roof",
    )?;
    for steps in 2..=MOST_STEPS {
        let insulation_mm = f64::from(steps) * STEP_MM;
        let layers = warm_layers(cold, spec, insulation_mm / 1000.0)?;
        let u_value = u_value(&UValueCheck {
            layers: layers.clone(),
            flow: cold.flow,
            air_gaps: AirGaps::None,
            fasteners: None,
        })?;
        if u_value.u_w_m2k > spec.u_w_m2k {
            continue;
        }
        let moisture = check_moisture(&MoistureCheck { layers, ..cold.clone() })?;
        if moisture.verdict != Verdict::StaysWet && moisture.peak_g_m2 <= TRACE_G_M2 {
            return Ok(Some(WarmRoof {
                insulation_mm,
                added_height_mm: insulation_mm,
                notes: notes(spec, insulation_mm / 1000.0 / spec.insulation.1, cold),
                u_value,
                moisture,
                basis: vec![
                    Basis::new("U-value", "EN ISO 6946:2017"),
                    Basis::new(
                        "dry again within the year, no more than 50 g/m² in between",
                        "EN ISO 13788:2012",
                    ),
                    Basis::new("insulation above the deck, no ventilation", "common practice of warm roofs"),
                ],
            }));
        }
    }
    Ok(None)
}

/// A trace of moisture under the covering, which dries again within the year, is no fault, g/m² (common practice).
const TRACE_G_M2: f64 = 50.0;
/// Share of the thermal resistance that practice keeps above a deck with fibre below it (common practice).
const LEAST_SHARE_ABOVE: f64 = 2.0 / 3.0;
const STEP_MM: f64 = 10.0;
const MOST_STEPS: u32 = 40;

fn warm_layers(
    cold: &MoistureCheck,
    spec: &WarmRoofSpec,
    insulation_m: f64,
) -> Result<Vec<Layer>, FabricError> {
    let (inner, vented) = iso_6946_2017::counted(&cold.layers);
    let outer = cold.layers.get(..cold.layers.len().saturating_sub(inner.len())).unwrap_or_default();
    let (gap_m, deck, covering) = match outer {
        [covering @ .., deck, gap] if vented => (gap.thickness_m, deck, covering),
        _ => {
            return Err(FabricError::TooFew {
                what: format!("{}, to be turned into a warm roof,", cold.name),
                of: "well-ventilated gap under a deck",
                least: 1,
            });
        }
    };
    let (name, lambda, mu) = &spec.insulation;
    let mut layers = covering.to_vec();
    layers.push(Layer::solid(name, insulation_m, *lambda, *mu));
    layers.push(Layer::sheet(&spec.vapour_control.0, 0.0005, spec.vapour_control.1));
    layers.push(deck.clone());
    let mut still_m = gap_m;
    let mut rest = inner;
    if let [fill, others @ ..] = inner
        && !spec.keep_fill
    {
        still_m += fill.thickness_m;
        rest = others;
    }
    layers.push(Layer::air("still air between the joists", still_m, Ventilation::None));
    layers.extend(
        rest.iter()
            .filter(|layer| matches!(layer.heat, Heat::Air) || layer.sd_m() < VAPOUR_TIGHT_SD_M)
            .cloned(),
    );
    Ok(layers)
}

fn notes(spec: &WarmRoofSpec, above_m2k_w: f64, cold: &MoistureCheck) -> Vec<String> {
    let mut notes = vec![
        "Close the old openings airtight: outside air below the insulation would make it worthless."
            .to_owned(),
    ];
    if spec.keep_fill {
        notes.push(
            "Fibre left between the joists keeps the deck colder than the insulation intends: the thickness given already counts that.".to_owned(),
        );
        let (inner, _) = iso_6946_2017::counted(&cold.layers);
        let below_m2k_w =
            inner.first().map_or(0.0, |fibre| iso_6946_2017::layer_resistance(fibre, cold.flow));
        if above_m2k_w < LEAST_SHARE_ABOVE * (above_m2k_w + below_m2k_w) {
            let wanted_mm =
                (LEAST_SHARE_ABOVE / (1.0 - LEAST_SHARE_ABOVE) * below_m2k_w * spec.insulation.1 * 100.0)
                    .ceil()
                    * 10.0;
            notes.push(format!(
                "Only {:.0} % of the resistance lies above the deck, which this sum of diffusion allows; practice keeps two thirds there against the damp air that leaks: {wanted_mm:.0} mm with the fibre left in.",
                100.0 * above_m2k_w / (above_m2k_w + below_m2k_w)
            ));
        }
    }
    notes.push(
        "The heavier, sealed deck also helps against sound; the ceiling below hangs as before.".to_owned(),
    );
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        buildup::HeatFlow,
        moisture::{Climate, IndoorClimate},
    };

    fn cold() -> MoistureCheck {
        MoistureCheck {
            name: "roof".to_owned(),
            layers: vec![
                Layer::sheet("felt", 0.01, 500.0),
                Layer::solid("deck", 0.018, 0.13, 50.0),
                Layer::air("gap", 0.05, Ventilation::Well),
                Layer::solid("fibre", 0.1, 0.04, 1.0),
                Layer::sheet("polyethylene", 0.0002, 100.0),
                Layer::solid("board", 0.015, 0.25, 10.0),
            ],
            flow: HeatFlow::Upwards,
            outdoors: Climate::new(
                "invented",
                &[4.2, 4.4, 6.5, 8.7, 11.9, 14.8, 16.9, 16.6, 14.1, 10.7, 7.2, 4.9],
                &[88.0, 85.0, 81.0, 77.0, 76.0, 76.0, 76.0, 78.0, 81.0, 85.0, 88.0, 89.0],
            )
            .unwrap(),
            indoors: IndoorClimate::Constant { temperature_c: 20.0, humidity_percent: 55.0 },
            subdivide_over_m2k_w: Some(0.25),
        }
    }

    fn spec(keep_fill: bool) -> WarmRoofSpec {
        WarmRoofSpec {
            insulation: ("rigid foam".to_owned(), 0.025, 60.0),
            vapour_control: ("bitumen-aluminium".to_owned(), 1500.0),
            u_w_m2k: 0.3,
            keep_fill,
        }
    }

    #[test]
    fn fibre_left_below_is_ruled_by_damp_and_not_by_the_u_value() {
        let bare = warm_roof(&cold(), &spec(false)).unwrap().unwrap();
        assert!(bare.u_value.u_w_m2k <= 0.3);
        assert_ne!(bare.moisture.verdict, Verdict::StaysWet);
        let lax = WarmRoofSpec { u_w_m2k: 1.0, ..spec(true) };
        let filled = warm_roof(&cold(), &lax).unwrap().unwrap();
        assert!(filled.insulation_mm > STEP_MM * 2.0, "{}", filled.insulation_mm);
        assert!(filled.u_value.u_w_m2k < 0.35);
    }

    #[test]
    fn a_roof_without_a_gap_is_refused() {
        let mut closed = cold();
        closed.layers.remove(2);
        assert!(warm_roof(&closed, &spec(false)).is_err());
    }
}
