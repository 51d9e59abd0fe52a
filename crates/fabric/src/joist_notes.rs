//! Notes and sources under a joist check.

use crate::{
    Basis, STRUCTURAL_CAUTION,
    en_338_2016::StrengthClass,
    joist::Evaluation,
    timber::{JoistCheck, Restraint},
};

/// What a person must know besides the numbers.
pub(crate) fn notes(check: &JoistCheck, evaluation: &Evaluation) -> Vec<String> {
    let mut notes = vec![STRUCTURAL_CAUTION.to_owned()];
    if check.section.members > 1 {
        notes.push(format!(
            "The {} members are taken as sharing the load: bolt them together with M12 bolts at 600 mm, staggered, 50 mm washers both sides (common practice), or have the load's path looked at.",
            check.section.members
        ));
    }
    if check.sister.is_some() {
        notes.push(
            "The sister member is taken along the whole span and shares by stiffness; its bearing is not counted: bolt it as the members above, jacked so that it carries before the ceiling is hung."
                .to_owned(),
        );
    }
    let most_lifted = evaluation
        .combinations
        .iter()
        .filter(|c| c.least_reaction_kn < -1e-6)
        .min_by(|a, b| a.least_reaction_kn.total_cmp(&b.least_reaction_kn));
    if let Some(lifted) = most_lifted {
        notes.push(format!(
            "Under {} a support is lifted with {:.2} kN: hold the joist down there.",
            lifted.name, -lifted.least_reaction_kn
        ));
    }
    match check.restraint {
        Restraint::Free => notes.push(
            "Nothing holds its upper edge sideways: the reduction for buckling is taken over the whole span. Noggings of the joists' full depth would raise it."
                .to_owned(),
        ),
        Restraint::Blocked(every_m) => notes.push(format!(
            "Held sideways only by its noggings, {every_m:.2} m apart: they must be of the joists' full depth and fixed."
        )),
        Restraint::Deck | Restraint::DeckAndBlocked(_) => {}
    }
    if check.restraint == Restraint::Deck
        && (check.spans_m.len() > 1 || check.overhang_left_m + check.overhang_right_m > 0.0)
    {
        notes.push(
            "Where the joist hogs, its lower edge is pressed and the deck does not hold it: the reduction for buckling is taken there for the whole bay."
                .to_owned(),
        );
    }
    if check.load_sharing && !check.shares_load() {
        notes.push(format!(
            "The joists stand more than {} mm apart: no sharing of load between them is counted.",
            check.annex.load_sharing_up_to_mm
        ));
    }
    if check.floor.is_none() {
        notes.push("Vibration was not checked: the joist is taken as no floor.".to_owned());
    }
    notes.push("Wind lifting the roof and the wall plate's own fixing were not checked.".to_owned());
    notes
}

/// Where the numbers of a joist check come from.
pub(crate) fn basis(check: &JoistCheck, grade: StrengthClass) -> Vec<Basis> {
    let annex = &check.annex;
    let mut list = vec![
        Basis::new(format!("strength and stiffness of {}", grade.name()), "EN 338:2016 Table 1"),
        Basis::new(
            format!(
                "combinations with {} on permanent and {} on variable loads",
                annex.gamma_g, annex.gamma_q
            ),
            "EN 1990:2002 eq. (6.10)",
        ),
        Basis::new("choices of the country", annex.source),
        Basis::new(
            "imposed load of a roof that is only mended does not act with snow",
            "EN 1991-1-1:2002 3.3.2(1)",
        ),
        Basis::new(
            "concentrated load in place of the spread one, for strength only",
            "EN 1991-1-1:2002 6.2.1(3), 6.3.4.2",
        ),
        Basis::new(
            "k_mod, k_def, k_h, k_sys, k_cr",
            "EN 1995-1-1:2004 Tables 3.1, 3.2, 3.2(3), 6.6, 6.1.7(2)",
        ),
        Basis::new(
            "bearing, contact length up to 30 mm longer each side",
            "EN 1995-1-1:2004 6.1.5 (from memory: confirm)",
        ),
        Basis::new("lateral buckling", "EN 1995-1-1:2004 6.3.3"),
        Basis::new(
            "final deflection with creep, shear deflection by 1.2 M/(G A)",
            "EN 1995-1-1:2004 2.2.3; Timoshenko",
        ),
        Basis::new(
            format!(
                "limits of deflection span/{} at once, span/{} in the end; overhangs half of that",
                annex.instantaneous_ratio,
                if check.brittle_ceiling { annex.final_ratio_brittle } else { annex.final_ratio_plain }
            ),
            "EN 1995-1-1:2004 Table 7.2; IStructE Technical Guidance Note 18 (2012) Table 5",
        ),
        Basis::new("own weight from the mean density", "EN 338:2016 Table 1; g = 9.81 m/s²"),
    ];
    if check.floor.is_some() {
        list.push(Basis::new(
            "vibration of a floor",
            "EN 1995-1-1:2004 7.3.3; UK NA Table NA.6 (limits from memory: confirm)",
        ));
    }
    if !check.cuts.is_empty() {
        list.push(Basis::new(
            "notches and holes: what is left in bending and shear, k_v at a notched support",
            "EN 1995-1-1:2004 6.5.2; permitted zones common practice",
        ));
    }
    list
}
