//! Loads: what hangs on a clip, a screw, a bar, and what a joist carries.

use quantities::air::GRAVITY_M_S2;
use serde::Serialize;

use crate::{Basis, Checked, FabricError, error::in_range};

/// A permanent load spread over an area: one layer of the roof or ceiling.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpreadLoad {
    /// What it is, as it is printed in the list of loads.
    pub name: String,
    /// Weight per area, kN/m², 0 to 50.
    pub load_kn_m2: f64,
}

/// A permanent load at one place of a joist: a clip, a trimmed joist, a light.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JoistPointLoad {
    /// What it is.
    pub name: String,
    /// Where along the joist, m from the left end of the joist.
    pub at_m: f64,
    /// Its weight, kN, 0 to 100.
    pub load_kn: f64,
}

/// What a variable load comes from; its factors are in the national annex table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum VariableKind {
    /// Someone on the roof to mend it: imposed load of category H, EN 1991-1-1 6.3.4.
    RoofImposed,
    /// Snow.
    Snow,
    /// A floor that people live on: imposed load of category A, EN 1991-1-1 6.3.1.
    Floor,
    /// A store room: imposed load of category E, EN 1991-1-1 6.3.2.
    Store,
}

/// A variable load as handed in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VariableLoad {
    /// Where it comes from.
    pub kind: VariableKind,
    /// Spread over the area, kN/m², 0 to 50.
    pub spread_kn_m2: f64,
    /// The alternative concentrated load Q_k, kN, put where it is worst; 0 for none.
    pub point_kn: f64,
}

/// What one clip carries, from its own share of the ceiling.
#[derive(Clone, Debug, PartialEq)]
pub struct ClipLoad {
    /// The clip's mark.
    pub name: String,
    /// Its tributary area, m².
    pub area_m2: f64,
    /// Mass of everything it carries, kg/m².
    pub ceiling_kg_m2: f64,
    /// What it may carry by the maker's figure, kg, with the maker's own safety already in it; none: not known.
    pub rated_kg: Option<f64>,
}

/// What the screw of a layer that has most to hold carries.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewLoad {
    /// The layer or piece, as it is printed.
    pub name: String,
    /// Share of the layer that this screw holds, m², 0 to 10.
    pub area_m2: f64,
    /// Mass of the layer, kg/m².
    pub layer_kg_m2: f64,
    /// What one screw may carry by the maker's figure, kg; none: not known.
    pub rated_kg: Option<f64>,
}

/// What a bar carries between two clips.
#[derive(Clone, Debug, PartialEq)]
pub struct BarLoad {
    /// The bar's mark.
    pub name: String,
    /// The longest distance between two clips, m.
    pub span_m: f64,
    /// Width of ceiling it carries, m.
    pub tributary_m: f64,
    /// Mass of everything it carries, kg/m².
    pub ceiling_kg_m2: f64,
    /// Mass per metre it may carry at this clip distance by the maker's figure, kg/m; none: not known.
    pub rated_kg_m: Option<f64>,
}

/// The load of one fixing or bar, and whether it holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FixingResult {
    /// The mark or layer.
    pub name: String,
    /// Mass carried: kg for a clip or a screw, kg/m for a bar.
    pub mass: f64,
    /// Its unit, `kg` or `kg/m`.
    pub unit: &'static str,
    /// The same as a force: N, or N/m for a bar.
    pub force_n: f64,
    /// The capacity it was held against, in the unit of `mass`.
    pub rated: Option<f64>,
    /// Whether it holds; open where the maker's figure is missing.
    pub checked: Checked,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Weight per area of a mass per area: kN/m² of kg/m², with g = 9.81 m/s².
pub fn load_kn_m2_of_mass(mass_kg_m2: f64) -> f64 {
    mass_kg_m2 * GRAVITY_M_S2 / 1000.0
}

/// Mass per area of a weight per area: kg/m² of kN/m², with g = 9.81 m/s².
pub fn mass_kg_m2_of_load(load_kn_m2: f64) -> f64 {
    load_kn_m2 * 1000.0 / GRAVITY_M_S2
}

/// A clip by its own tributary area against the maker's figure.
///
/// Errors: an area or mass below zero or not finite.
pub fn check_clip(clip: &ClipLoad) -> Result<FixingResult, FabricError> {
    let what = |part: &str| format!("the {part} of clip {}", clip.name);
    let area_m2 = in_range(what("area"), clip.area_m2, (0.0, 100.0), "m²", "set the clips out again")?;
    let ceiling_kg_m2 = in_range(
        what("ceiling mass"),
        clip.ceiling_kg_m2,
        (0.0, 1000.0),
        "kg/m²",
        "check the masses of the boards",
    )?;
    let mass = area_m2 * ceiling_kg_m2;
    fixing(&clip.name, mass, "kg", clip.rated_kg, "what one clip may carry")
}

/// The screw of a layer that has most to hold, by its own share, against the maker's figure for one screw.
///
/// Errors: an area or mass below zero or beyond reason.
pub fn check_screw(screw: &ScrewLoad) -> Result<FixingResult, FabricError> {
    let what = |part: &str| format!("the {part} of {}", screw.name);
    let area_m2 = in_range(what("share"), screw.area_m2, (0.0, 10.0), "m²", "set the screws closer")?;
    let layer_kg_m2 =
        in_range(what("mass"), screw.layer_kg_m2, (0.0, 1000.0), "kg/m²", "check the masses of the boards")?;
    let mass = area_m2 * layer_kg_m2;
    fixing(&screw.name, mass, "kg", screw.rated_kg, "what one screw may carry in this bar")
}

/// A bar between its clips, by the width of ceiling it carries, against the maker's figure.
///
/// Errors: a span, width or mass below zero.
pub fn check_bar(bar: &BarLoad) -> Result<FixingResult, FabricError> {
    let what = |part: &str| format!("the {part} of bar {}", bar.name);
    in_range(what("clip distance"), bar.span_m, (0.0, 10.0), "m", "set the clips out again")?;
    let width_m =
        in_range(what("width carried"), bar.tributary_m, (0.0, 10.0), "m", "set the bars out again")?;
    let ceiling_kg_m2 = in_range(
        what("ceiling mass"),
        bar.ceiling_kg_m2,
        (0.0, 1000.0),
        "kg/m²",
        "check the masses of the boards",
    )?;
    let mass = width_m * ceiling_kg_m2;
    fixing(&bar.name, mass, "kg/m", bar.rated_kg_m, "what the bar may carry per metre at this clip distance")
}

fn fixing(
    name: &str,
    mass: f64,
    unit: &'static str,
    rated: Option<f64>,
    figure: &str,
) -> Result<FixingResult, FabricError> {
    let checked = match rated {
        Some(rated) => {
            let rated = in_range(
                format!("{figure} ({name})"),
                rated,
                (1e-6, 1e6),
                unit,
                "enter the maker's figure, or leave it out",
            )?;
            Checked::against(mass, rated)
        }
        None => Checked::open(figure),
    };
    Ok(FixingResult {
        name: name.to_owned(),
        mass,
        unit,
        force_n: mass * GRAVITY_M_S2,
        rated,
        checked,
        basis: vec![
            Basis::new("load by the area this fixing itself carries", "statics; g = 9.81 m/s²"),
            Basis::new("capacity", "the maker's figure, with the maker's own safety in it; never assumed"),
        ],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clip_without_a_figure_stays_open() {
        let clip = ClipLoad { name: "K1".to_owned(), area_m2: 0.48, ceiling_kg_m2: 33.0, rated_kg: None };
        let result = check_clip(&clip).unwrap();
        assert!((result.mass - 15.84).abs() < 1e-12);
        assert!(matches!(&result.checked, Checked::Open { missing } if missing.contains("maker's figure")));
        let light = check_clip(&ClipLoad { rated_kg: Some(15.0), ..clip.clone() }).unwrap();
        assert!(light.checked.fails());
        let strong = check_clip(&ClipLoad { rated_kg: Some(16.0), ..clip }).unwrap();
        assert_eq!(strong.checked.utilisation(), Some(15.84 / 16.0));
    }

    /// By hand: a bar every 600 mm, a screw every 230 mm, 13.5 kg/m²: 0.6 · 0.23 · 13.5 = 1.863 kg.
    #[test]
    fn a_screw_holds_its_own_share() {
        let screw = ScrewLoad {
            name: "face layer".to_owned(),
            area_m2: 0.6 * 0.23,
            layer_kg_m2: 13.5,
            rated_kg: Some(1.8),
        };
        let result = check_screw(&screw).unwrap();
        assert!((result.mass - 1.863).abs() < 1e-12 && result.checked.fails());
        assert!(check_screw(&ScrewLoad { area_m2: f64::NAN, ..screw }).is_err());
    }
}
