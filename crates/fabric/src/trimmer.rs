//! A hatch or rooflight: joists cut short, a trimmer across their ends, and the two trimming joists that carry it.

use quantities::format::with_unit;
use serde::Serialize;

use crate::{
    FabricError,
    error::in_range,
    loads::{JoistPointLoad, SpreadLoad},
    timber::{JoistCheck, JoistResult, Section, check_joist},
};

/// An opening in a row of joists on two supports.
#[derive(Clone, Debug, PartialEq)]
pub struct TrimmedOpening {
    /// The plain joist of that row: its span, width carried, loads, class.
    pub joist: JoistCheck,
    /// From the left support to the near edge of the opening, m.
    pub from_m: f64,
    /// Clear length of the opening along the joists, m.
    pub length_m: f64,
    /// Distance between the trimming joists, middle to middle, m.
    pub width_m: f64,
    /// Loads that the cut joists bring to the left and to the right trimmer besides roof and ceiling; measured from the middle of
    /// one trimming joist.
    pub on_trimmers: [Vec<JoistPointLoad>; 2],
    /// Section of the trimmers.
    pub trimmer: Section,
    /// Section of the trimming joists.
    pub trimming: Section,
}

/// The trimmed opening checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrimmedResult {
    /// The trimmer at the left edge, then the one at the right; each carries half of the cut joists' length on its side.
    pub trimmers: Vec<JoistResult>,
    /// One trimming joist.
    pub trimming: JoistResult,
    /// Notes for the person.
    pub notes: Vec<String>,
}

/// Checks trimmers and trimming joists.
///
/// The cut joists bring half of their load to the trimmer, taken as spread, and what stands on them at its place; each trimmer brings
/// half of its load to each trimming joist, of its permanent loads the heavier end. There the variable part arrives as a permanent load of the same size times γ_Q/γ_G, which gives the strength combinations
/// their full load (and errs on the safe side in creep and with the permanent loads alone).
///
/// Errors: a joist of more than one span or with overhangs, an opening off the joist, whatever [`check_joist`] refuses.
pub fn check_trimmed_opening(opening: &TrimmedOpening) -> Result<TrimmedResult, FabricError> {
    let joist = &opening.joist;
    let name = &joist.name;
    let [span_m] = joist.spans_m.as_slice() else {
        return Err(FabricError::CannotStand {
            what: format!("the opening at {name}"),
            why: "an opening is worked out for joists of one span only: ask a structural engineer".to_owned(),
        });
    };
    if joist.overhang_left_m > 0.0 || joist.overhang_right_m > 0.0 {
        return Err(FabricError::CannotStand {
            what: format!("the opening at {name}"),
            why: "an opening is worked out for joists without overhangs only: ask a structural engineer"
                .to_owned(),
        });
    }
    let of = |part: &str| format!("the {part} of the opening at {name}");
    let measure = "measure from the middle of the left bearing";
    in_range(of("start"), opening.from_m, (0.0, *span_m), "m", measure)?;
    let past_m = opening.from_m + opening.length_m - span_m;
    if past_m > 1e-9 && opening.length_m.is_finite() {
        return Err(FabricError::BadShape {
            what: name.clone(),
            why: format!(
                "the opening reaches {} past the far bearing of its joists; make it shorter or let it start nearer to their first end",
                with_unit(past_m * 1000.0, 0, "mm")
            ),
        });
    }
    in_range(of("length"), opening.length_m, (0.05, *span_m), "m", measure)?;
    in_range(of("width"), opening.width_m, (0.2, 5.0), "m", "between the trimming joists, middle to middle")?;
    let pieces = [opening.from_m, span_m - opening.from_m - opening.length_m];
    let mut trimmers = Vec::new();
    let mut arriving = Vec::new();
    for ((piece_m, points), (side, at_m)) in pieces
        .into_iter()
        .zip(&opening.on_trimmers)
        .zip([("left", opening.from_m), ("right", opening.from_m + opening.length_m)])
    {
        if piece_m < LEAST_PIECE_M {
            continue;
        }
        let trimmer = JoistCheck {
            name: format!("{side} trimmer at {name}"),
            section: opening.trimmer,
            sister: None,
            spans_m: vec![opening.width_m],
            tributary_m: piece_m / 2.0,
            points: points.clone(),
            cuts: Vec::new(),
            floor: None,
            // Hung in joist hangers: bearing is the hanger's matter, taken at its least length.
            bearing_mm: HANGER_BEARING_MM,
            ..joist.clone()
        };
        let result = check_joist(&trimmer)?;
        // The heavier end stands for both.
        let permanent = result.supports.iter().map(|support| support.permanent_kn).fold(0.0, f64::max);
        let variable_kn_m2 = joist.variable.iter().map(|load| load.spread_kn_m2).fold(0.0, f64::max);
        let variable = variable_kn_m2 * trimmer.tributary_m * opening.width_m / 2.0;
        let share = joist.annex.gamma_q / joist.annex.gamma_g;
        arriving.push(JoistPointLoad {
            name: trimmer.name.clone(),
            at_m,
            load_kn: permanent + variable * share,
        });
        trimmers.push(result);
    }
    let mut points = joist.points.clone();
    points.extend(arriving);
    let trimming = check_joist(&JoistCheck {
        name: format!("trimming joist beside the opening at {name}"),
        section: opening.trimming,
        points,
        permanent: joist
            .permanent
            .iter()
            .map(|load| SpreadLoad { name: load.name.clone(), load_kn_m2: load.load_kn_m2 })
            .collect(),
        ..joist.clone()
    })?;
    Ok(TrimmedResult {
        trimmers,
        trimming,
        notes: vec![
            "Hang trimmers and cut joists in hangers of the members' full width and depth, every hole nailed; prop the cut joists before the saw.".to_owned(),
            "Trimming joists and trimmers are usually doubled (common practice); bolt the members together.".to_owned(),
        ],
    })
}

/// A stub shorter than this is no joist, m: the trimmer stands on the wall.
const LEAST_PIECE_M: f64 = 0.15;
/// Bearing length of a joist hanger, mm (common practice).
const HANGER_BEARING_MM: f64 = 50.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{en_338_2016::StrengthClass, timber::Grade};

    fn opening() -> TrimmedOpening {
        let single = Section { members: 1, member_width_mm: 47.0, depth_mm: 195.0 };
        let doubled = Section { members: 2, ..single };
        let mut joist = JoistCheck::flat_roof("J4", single, Grade::Known(StrengthClass::C24), 3.6, 0.4);
        joist.permanent = vec![SpreadLoad { name: "roof and ceiling".to_owned(), load_kn_m2: 0.7 }];
        TrimmedOpening {
            joist,
            from_m: 1.2,
            length_m: 0.9,
            width_m: 1.2,
            on_trimmers: [Vec::new(), Vec::new()],
            trimmer: doubled,
            trimming: doubled,
        }
    }

    #[test]
    fn trimming_joists_carry_their_own_width_and_the_trimmers() {
        let opening = opening();
        let result = check_trimmed_opening(&opening).unwrap();
        assert_eq!(result.trimmers.len(), 2);
        let mut plain = opening.joist.clone();
        plain.section = opening.trimming;
        let plain = check_joist(&plain).unwrap();
        assert!(result.trimming.bending.utilisation > plain.bending.utilisation);
        // Half of each trimmer's load arrives: (0.6 + 0.75) m of roof over 0.6 m, and the trimmers' own weight.
        let permanent = 0.7 * (0.6 + 0.75) * 0.6 + 2.0 * result.trimmers[0].self_weight_kn_m * 0.6;
        let variable = 0.6 * (0.6 + 0.75) * 0.6;
        assert!((result.trimming.points_kn - permanent - variable * 1.5 / 1.35).abs() < 1e-9);
    }

    #[test]
    fn an_opening_off_the_joist_is_refused() {
        let off = TrimmedOpening { from_m: 3.2, ..opening() };
        let past_mm = (off.from_m + off.length_m - off.joist.spans_m[0]) * 1000.0;
        let told = check_trimmed_opening(&off).unwrap_err().to_string();
        // How far, in the unit the file is written in, and what to do.
        assert!(told.contains(&format!("reaches {past_mm:.0}\u{a0}mm past the far bearing")), "{told}");
        assert!(told.contains("J4") && told.contains("shorter") && !told.contains("0.05"), "{told}");
    }
}
