//! What the strip of verdicts says of the ceiling's layout.

use quantities::format::with_unit;

use super::{open, verdict};
use crate::assemble::as_built;
use crate::outcome::{Plan, Standing, Verdict};

/// Packing a clip can stand on; more is a misread level or another way of hanging (common practice, no source), mm.
const MOST_PACKING_MM: f64 = 60.0;
/// What lies this much nearer to the middle of all readings than the oddest does not share its mistake.
const ALONE: f64 = 0.5;

/// Whether all that the setting out needs is there, and no layout keeps the limits.
pub(super) fn no_layout(plan: &Plan) -> bool {
    plan.ceiling.given.is_some() && plan.ceiling.layout.is_none()
}

/// Said where the ceiling can be set out within no limits given.
pub(super) const NO_LAYOUT: &str = "no ceiling keeps the limits: see the ceiling";

pub(super) fn layout(plan: &Plan) -> Verdict {
    let Some(layout) = &plan.ceiling.layout else {
        if let (true, Some(why)) = (no_layout(plan), &plan.ceiling.not_planned) {
            return verdict(
                "ceiling",
                "no\u{00A0}layout".to_owned(),
                why.clone(),
                Standing::Fails,
                "ceiling",
            );
        }
        return open(
            "ceiling",
            plan.ceiling.not_planned.as_deref().unwrap_or("nothing to set out"),
            "ceiling",
        );
    };
    let boards: usize = layout.take_off.boards.iter().map(|count| count.sheets).sum();
    if let Some(breach) = plan.ceiling.breaches.first() {
        return verdict(
            "ceiling",
            match plan.ceiling.breaches.len() {
                1 => "1\u{00A0}breach".to_owned(),
                more => format!("{more}\u{00A0}breaches"),
            },
            breach.sentence.clone(),
            Standing::Fails,
            "ceiling",
        );
    }
    let heaviest = layout.take_off.boards.iter().map(|count| count.sheet_mass_kg).fold(0.0, f64::max);
    if heaviest > plan.limits.lift_kg {
        return verdict(
            "ceiling",
            with_unit(heaviest, 0, "kg"),
            format!(
                "the heaviest board, over the {} that may be lifted",
                with_unit(plan.limits.lift_kg, 0, "kg")
            ),
            Standing::Fails,
            "ceiling",
        );
    }
    if let Some(level) = &layout.level
        && level.thickest_packer_mm > MOST_PACKING_MM
    {
        return verdict(
            "ceiling",
            with_unit(layout.take_off.mass_kg_m2, 1, "kg/m²"),
            format!(
                "packers up to {}: {}",
                with_unit(level.thickest_packer_mm, 0, "mm"),
                odd_level(plan).unwrap_or_else(|| "check the level readings".to_owned())
            ),
            Standing::Fails,
            "ceiling",
        );
    }
    let (mut words, mut standing) = as_built::words(plan);
    // Nothing set out on a survey that does not hold together can hold.
    if !plan.survey.global_test.passed && standing != Standing::Fails {
        words = format!("{words}; but the tapes do not agree: settle the survey first");
        standing = Standing::Open;
    }
    verdict(
        "ceiling",
        with_unit(layout.take_off.mass_kg_m2, 1, "kg/m²"),
        format!("{boards} boards, {} bars, {} clips, {words}", layout.take_off.bars, layout.take_off.clips),
        standing,
        "ceiling",
    )
}

/// The one level reading so far from all others that it is more likely misread than true, in a sentence without a full stop.
pub(super) fn odd_level(plan: &Plan) -> Option<String> {
    let ceiling = plan.survey.ceiling.as_ref()?;
    let mut heights: Vec<f64> =
        ceiling.joists.iter().flat_map(survey::Joist::readings).map(|one| one.above_floor_mm).collect();
    heights.sort_by(f64::total_cmp);
    let middle_mm = *heights.get(heights.len() / 2)?;
    let mut off: Vec<(f64, &str, usize, f64)> = Vec::new();
    for joist in &ceiling.joists {
        for edge in [&joist.undersides, &joist.other_edge] {
            let each = edge.iter().enumerate();
            off.extend(each.map(|(at, one)| {
                ((one.above_floor_mm - middle_mm).abs(), joist.name.as_str(), at, one.above_floor_mm)
            }));
        }
    }
    off.sort_by(|a, b| b.0.total_cmp(&a.0));
    let [(most_mm, name, at, height_mm), (next_mm, ..), _, ..] = off.as_slice() else { return None };
    if *most_mm <= MOST_PACKING_MM || *next_mm > most_mm * ALONE {
        return None;
    }
    let which = match at {
        0 => "first",
        1 => "second",
        2 => "third",
        _ => "one later",
    };
    Some(format!(
        "the {which} level reading of joist {name} puts it {} {} all others: read it again",
        with_unit(*most_mm, 0, "mm"),
        if *height_mm < middle_mm { "below" } else { "above" }
    ))
}
