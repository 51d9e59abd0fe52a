//! A cold flat roof: air above the fill, let in and out at both ends of every bay.

use serde::Serialize;

use crate::{Basis, FabricError, error::in_range};

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
    /// Bays that lack an opening at one end or both; none where nobody looked.
    pub closed_bays: Option<u32>,
}

/// One rule of the ventilation of a cold roof, and whether it is kept.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VentilationRule {
    /// The rule.
    pub rule: String,
    /// What there is, mm or a number of bays; none where it is not known.
    pub found: Option<f64>,
    /// What there must be.
    pub needed: f64,
    /// Whether it is kept; none where what there is is not known.
    pub kept: Option<bool>,
    /// What to do if not.
    pub remedy: String,
    /// Where the rule comes from.
    pub basis: Basis,
}

/// The rules of ventilation of a cold flat roof: gap, openings at both ends, every bay, length of the run.
///
/// Errors: a measure below zero or beyond reason.
pub fn check_cold_roof(roof: &ColdRoofVentilation) -> Result<Vec<VentilationRule>, FabricError> {
    let measure = |what: &str, value: f64| {
        in_range(what, value, (0.0, 2000.0), "mm", "measure the clear air, not the timber")
    };
    measure("the gap above the fill", roof.gap_mm)?;
    measure("the opening at the lower end", roof.inlet_mm)?;
    measure("the opening at the upper end", roof.outlet_mm)?;
    in_range("the length of the roof's bays", roof.run_m, (0.1, 100.0), "m", "from opening to opening")?;
    let [gap_mm, opening_mm] = least_mm(roof.run_m);
    let long = roof.run_m > SHORT_RUN_M;
    let source = if long {
        "BS 5250 for runs of 5 to 10 m (from memory: confirm)"
    } else {
        "BS 5250, as two texts quote it"
    };
    let at_least = |rule: &str, found: f64, needed: f64, remedy: &str| VentilationRule {
        rule: rule.to_owned(),
        found: Some(found),
        needed,
        kept: Some(found >= needed),
        remedy: remedy.to_owned(),
        basis: Basis::new(rule, source),
    };
    Ok(vec![
        at_least(
            "clear air above the fill, mm",
            roof.gap_mm,
            gap_mm,
            "Take out fill or use thinner, denser slabs; counter-battens under the deck also open the gap.",
        ),
        at_least(
            "continuous opening at the lower end, mm (25 mm is 25 000 mm² of free area per metre; a mesh takes some of it)",
            roof.inlet_mm,
            opening_mm,
            "Open the eaves to a continuous slot and keep it clear of fill.",
        ),
        at_least(
            "continuous opening at the upper end, mm (25 mm is 25 000 mm² of free area per metre; a mesh takes some of it)",
            roof.outlet_mm,
            opening_mm,
            "Open the far end too: without a way out no air moves.",
        ),
        VentilationRule {
            rule: "bays closed at one end or both".to_owned(),
            found: roof.closed_bays.map(f64::from),
            needed: 0.0,
            kept: roof.closed_bays.map(|closed| closed == 0),
            remedy: "Every bay needs its own way in and out: drill no joists, add cross-battens above them instead.".to_owned(),
            basis: Basis::new("every bay ventilated at both ends", "BS 5250, as a book chapter quotes it"),
        },
        VentilationRule {
            rule: "length of the bays, m, no more than".to_owned(),
            found: Some(roof.run_m),
            needed: LONGEST_RUN_M,
            kept: Some(roof.run_m <= LONGEST_RUN_M),
            remedy: "Longer than 10 m no simple rule holds: use a warm roof.".to_owned(),
            basis: Basis::new("longest run that the rule covers", "BS 5250 (from memory: confirm)"),
        },
    ])
}

/// Clear air above the fill and continuous opening at either end that a cold flat roof needs, by the length of its bays from opening to
/// opening \[mm\]: 50 and 25 up to 5 m (BS 5250, as two texts quote it), 60 and 30 beyond (from memory: confirm).
pub fn least_mm(run_m: f64) -> [f64; 2] {
    if run_m > SHORT_RUN_M { [60.0, 30.0] } else { [50.0, 25.0] }
}

const SHORT_RUN_M: f64 = 5.0;
const LONGEST_RUN_M: f64 = 10.0;

/// Stands on every sheet of a cold flat roof.
pub const COLD_ROOF_CAUTION: &str = "Cold flat roofs go wrong more often than others: NHBC no longer recommends them and Scottish guidance does not endorse them. A warm roof, with the insulation above the deck, is the safer choice where the height allows.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_roof_needs_grows_beyond_five_metres() {
        assert_eq!(
            [4.0, 5.0, 5.01, 9.0].map(least_mm),
            [[50.0, 25.0], [50.0, 25.0], [60.0, 30.0], [60.0, 30.0]]
        );
    }

    #[test]
    fn each_rule_is_judged_and_says_what_to_do() {
        let roof = ColdRoofVentilation {
            gap_mm: 40.0,
            inlet_mm: 25.0,
            outlet_mm: 0.0,
            run_m: 4.0,
            closed_bays: Some(2),
        };
        let kept: Vec<_> = check_cold_roof(&roof).unwrap().iter().map(|rule| rule.kept).collect();
        assert_eq!(kept, [false, true, false, false, true].map(Some));
        let longer = ColdRoofVentilation {
            gap_mm: 50.0,
            inlet_mm: 25.0,
            outlet_mm: 25.0,
            run_m: 6.0,
            closed_bays: None,
        };
        let kept: Vec<_> = check_cold_roof(&longer).unwrap().iter().map(|rule| rule.kept).collect();
        assert_eq!(kept, [Some(false), Some(false), Some(false), None, Some(true)]);
        assert!(check_cold_roof(&ColdRoofVentilation { gap_mm: -1.0, ..longer }).is_err());
    }
}
