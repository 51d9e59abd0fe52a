//! What a joist check accepts.

use crate::{
    CutKind, FabricError, en_1990_2002,
    error::in_range,
    timber::{JoistCheck, Restraint},
};

/// Refuses a joist that cannot be: see the fields of [`JoistCheck`] for their ranges.
pub(crate) fn validate(check: &JoistCheck) -> Result<(), FabricError> {
    let name = &check.name;
    let of = |part: &str| format!("the {part} of joist {name}");
    if check.spans_m.is_empty() {
        return Err(FabricError::TooFew { what: format!("joist {name}"), of: "span", least: 1 });
    }
    let measure = "measure from the middle of one bearing to the middle of the next";
    for &span in &check.spans_m {
        in_range(of("span"), span, (0.1, 20.0), "m", measure)?;
    }
    for overhang in [check.overhang_left_m, check.overhang_right_m] {
        if overhang != 0.0 {
            in_range(of("overhang"), overhang, (0.02, 10.0), "m", "leave out what is shorter than 20 mm")?;
        }
    }
    in_range(
        of("carried width"),
        check.tributary_m,
        (0.05, 10.0),
        "m",
        "half the way to the joist on each side",
    )?;
    in_range(
        of("number of members"),
        f64::from(check.section.members),
        (1.0, 6.0),
        "",
        "count the timbers side by side",
    )?;
    in_range(of("member width"), check.section.member_width_mm, (15.0, 500.0), "mm", "measure one timber")?;
    in_range(of("depth"), check.section.depth_mm, (40.0, 1000.0), "mm", "measure the timber")?;
    in_range(
        of("bearing"),
        check.bearing_mm,
        (10.0, 1000.0),
        "mm",
        "a joist needs at least 35 to 40 mm of bearing",
    )?;
    in_range(of("length beyond the bearing"), check.beyond_bearing_mm, (0.0, 10_000.0), "mm", "0 for none")?;
    if let Some(sister) = check.sister {
        in_range(of("sister's width"), sister.width_mm, (15.0, 500.0), "mm", "measure the timber")?;
        in_range(of("sister's depth"), sister.depth_mm, (40.0, 1000.0), "mm", "measure the timber")?;
    }
    if let Restraint::Blocked(every_m) | Restraint::DeckAndBlocked(every_m) = check.restraint {
        in_range(of("blocking distance"), every_m, (0.05, 20.0), "m", "measure between the noggings")?;
    }
    for load in &check.permanent {
        in_range(
            format!("the load {:?} on joist {name}", load.name),
            load.load_kn_m2,
            (0.0, 50.0),
            "kN/m²",
            "give weights, not minus; check the unit",
        )?;
    }
    let length_m = check.spans_m.iter().sum::<f64>() + check.overhang_left_m + check.overhang_right_m;
    for load in &check.points {
        in_range(
            format!("the load {:?} on joist {name}", load.name),
            load.load_kn,
            (0.0, 100.0),
            "kN",
            "give weights, not minus; check the unit",
        )?;
        in_range(
            format!("the place of {:?} on joist {name}", load.name),
            load.at_m,
            (0.0, length_m),
            "m",
            "it must hang on the joist",
        )?;
    }
    if check.variable.len() > en_1990_2002::MOST_VARIABLES {
        in_range(
            of("number of variable loads"),
            check.variable.len() as f64,
            (0.0, 4.0),
            "",
            "add loads of one kind together",
        )?;
    }
    for load in &check.variable {
        in_range(of("variable load"), load.spread_kn_m2, (0.0, 50.0), "kN/m²", "check the unit")?;
        in_range(of("concentrated load"), load.point_kn, (0.0, 100.0), "kN", "check the unit")?;
    }
    in_range(of("exceptional snow"), check.exceptional_snow_kn_m2, (0.0, 50.0), "kN/m²", "0 for none")?;
    for cut in &check.cuts {
        in_range(
            format!("the place of the {} in joist {name}", cut.kind.name()),
            cut.at_m,
            (0.0, length_m),
            "m",
            "measure from the joist's left end",
        )?;
        let reach =
            cut.size_mm + 2.0 * cut.off_centre_mm.abs() * f64::from(u8::from(cut.kind == CutKind::Hole));
        if !reach.is_finite() || reach >= check.section.depth_mm {
            return Err(FabricError::CutTooDeep {
                name: format!("joist {name}"),
                kind: cut.kind.name(),
                cut_mm: cut.size_mm,
                depth_mm: check.section.depth_mm,
            });
        }
        in_range(
            format!("the {} in joist {name}", cut.kind.name()),
            cut.size_mm,
            (0.0, 1000.0),
            "mm",
            "give its depth or diameter",
        )?;
    }
    if let Some(floor) = check.floor {
        in_range(of("floor's width"), floor.floor_width_m, (0.5, 100.0), "m", "measure across the joists")?;
        in_range(
            of("deck's stiffness"),
            floor.deck_stiffness_nm2_m,
            (10.0, 1e7),
            "N m²/m",
            "18 mm OSB has about 2000",
        )?;
        in_range(of("floor's damping"), floor.damping, (0.005, 0.1), "", "0.02 in the UK")?;
    }
    Ok(())
}
