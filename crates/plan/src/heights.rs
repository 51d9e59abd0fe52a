//! The height budget: a chain of dimensions from the ground outside over the roof, and from the floor to the new
//! ceiling.

use quantities::format::with_unit;

use crate::outcome::{HeightLink, Heights, WarmAlternative};

/// Standard uncertainty of one level reading taken with a builder's laser, mm (common practice, no source).
pub const LEVEL_SD_MM: f64 = 2.0;
/// Standard uncertainty of boards, clip and bar together, mm (common practice, no source).
pub const CEILING_BUILD_SD_MM: f64 = 1.5;
/// What the height budget is made from; all lengths in millimetres.
#[derive(Clone, Debug)]
pub struct HeightFacts<'a> {
    /// Underside of the lowest joist above the floor, and its name.
    pub lowest_underside: (f64, &'a str),
    /// The ceiling falls, and is lowest near the joist of that name rather than under it.
    pub falls: bool,
    /// Underside of the highest joist above the floor, and its name.
    pub highest_underside: (f64, &'a str),
    /// Depth of the joists.
    pub joist_depth_mm: f64,
    /// Fill between the joists.
    pub fill_mm: f64,
    /// Firring at the low end and how much it grows to the high end.
    pub firring_mm: (f64, f64),
    /// Layers above the joists, from below to above: name and thickness.
    pub above: Vec<(String, f64)>,
    /// Layers under the joists, from above to below: name and thickness; the first is the clip's drop.
    pub below: Vec<(String, f64)>,
    /// Floor inside above the ground outside.
    pub floor_above_ground_mm: f64,
    /// Height limit above the ground the person states.
    pub limit_above_ground_mm: Option<f64>,
    /// Least headroom the person accepts.
    pub least_headroom_mm: Option<f64>,
    /// The warm roof in place of a cold one, worked out.
    pub warm_roof: Option<&'a WarmAlternative>,
}

/// Draws up the height budget.
pub fn heights(facts: &HeightFacts) -> Heights {
    let mut outside = Vec::new();
    let mut level = -facts.floor_above_ground_mm;
    let mut put = |name: &str, thickness_mm: f64, note: &str| {
        outside.push(HeightLink {
            name: name.to_owned(),
            from_mm: level,
            to_mm: level + thickness_mm,
            note: note.to_owned(),
        });
        level += thickness_mm;
    };
    put("ground to floor", facts.floor_above_ground_mm, "as given");
    let (highest_mm, highest_joist) = facts.highest_underside;
    put("floor to joist", highest_mm, &format!("highest underside, {highest_joist}"));
    put("fibre between joists", facts.fill_mm, "build-up");
    let air_mm = facts.joist_depth_mm - facts.fill_mm;
    put("clear air above fibre", air_mm, "joist depth less fibre");
    let (least_mm, rise_mm) = facts.firring_mm;
    if least_mm + rise_mm > 0.0 {
        put("firring at the high end", least_mm + rise_mm, "least depth and the fall over the joist");
    }
    for (name, thickness_mm) in &facts.above {
        put(name, *thickness_mm, "build-up");
    }
    let roof_top_above_ground_mm = level + facts.floor_above_ground_mm;

    let (lowest_mm, lowest_joist) = facts.lowest_underside;
    let build_mm: f64 = facts.below.iter().map(|(_, thickness)| thickness).sum();
    let headroom_mm = lowest_mm - build_mm;
    let mut inside = vec![HeightLink {
        name: "headroom".to_owned(),
        from_mm: 0.0,
        to_mm: headroom_mm,
        note: if facts.falls {
            format!("where the ceiling falls lowest, near {lowest_joist}")
        } else {
            format!("under {lowest_joist}, the lowest joist")
        },
    }];
    let mut level = headroom_mm;
    for (name, thickness_mm) in facts.below.iter().rev() {
        inside.push(HeightLink {
            name: name.clone(),
            from_mm: level,
            to_mm: level + thickness_mm,
            note: "build-up".to_owned(),
        });
        level += thickness_mm;
    }

    let left_outside_mm = facts.limit_above_ground_mm.map(|limit| limit - roof_top_above_ground_mm);
    let warm_roof = facts.warm_roof.map(|warm| warm_roof_in_words(warm, left_outside_mm));
    Heights {
        outside,
        inside,
        roof_top_above_ground_mm,
        limit_above_ground_mm: facts.limit_above_ground_mm,
        left_outside_mm,
        headroom_mm,
        headroom_sd_mm: (LEVEL_SD_MM * LEVEL_SD_MM + CEILING_BUILD_SD_MM * CEILING_BUILD_SD_MM).sqrt(),
        lowest_joist: lowest_joist.to_owned(),
        least_headroom_mm: facts.least_headroom_mm,
        left_inside_mm: facts.least_headroom_mm.map(|least| headroom_mm - least),
        warm_roof,
    }
}

/// What a warm roof costs in height and whether there is room for it.
fn warm_roof_in_words(warm: &WarmAlternative, left_outside_mm: Option<f64>) -> String {
    let u_value = with_unit(warm.u_w_m2k, 2, "W/(m²\u{00A0}K)");
    let fits = |added_mm: f64| match left_outside_mm {
        Some(left) if left < added_mm => {
            format!("stands {} over the height limit", with_unit(added_mm - left, 0, "mm"))
        }
        Some(left) => format!("leaves {} under the height limit", with_unit(left - added_mm, 0, "mm")),
        None => "has no height limit to meet".to_owned(),
    };
    let one = |roof: &fabric::warm_roof::WarmRoof| {
        format!(
            "{} of insulation above the deck and {}",
            with_unit(roof.insulation_mm, 0, "mm"),
            fits(roof.added_height_mm)
        )
    };
    let (with, without) = match (&warm.with_fibre, &warm.without_fibre) {
        (Some(with), Some(without)) => (one(with), Some(one(without))),
        (Some(with), None) => (one(with), None),
        (None, Some(without)) => {
            return format!(
                "A warm roof no worse than this one ({u_value}) would stay dry only with the fibre between the joists taken out, \
                 which costs sound: it needs {}.",
                one(without)
            );
        }
        (None, None) => {
            return "A warm roof with the insulation looked at (up to 400 mm above the deck) would not stay dry here: keep the ventilated roof."
                .to_owned();
        }
    };
    let instead = without.map_or_else(String::new, |without| {
        format!(" With the fibre taken out, which costs sound, it needs {without}.")
    });
    format!(
        "A warm roof no worse than this one ({u_value}), the fibre left for its sound, needs {with}. It takes nothing from the \
         headroom inside, and no gap has to be kept aired.{instead}"
    )
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "sums of whole millimetres must come out exactly")]
mod tests {
    use super::*;

    fn facts() -> HeightFacts<'static> {
        HeightFacts {
            lowest_underside: (2333.0, "J1"),
            falls: false,
            highest_underside: (2358.0, "J8"),
            joist_depth_mm: 150.0,
            fill_mm: 100.0,
            firring_mm: (20.0, 98.0),
            above: vec![("deck".to_owned(), 18.0), ("covering".to_owned(), 10.0)],
            below: vec![("clip".to_owned(), 38.0), ("first".to_owned(), 15.0), ("face".to_owned(), 15.0)],
            floor_above_ground_mm: 120.0,
            limit_above_ground_mm: Some(2800.0),
            least_headroom_mm: Some(2250.0),
            warm_roof: None,
        }
    }

    #[test]
    fn both_chains_close() {
        let heights = heights(&facts());
        assert_eq!(heights.roof_top_above_ground_mm, 120.0 + 2358.0 + 150.0 + 118.0 + 28.0);
        assert_eq!(heights.headroom_mm, 2333.0 - 68.0);
        assert_eq!(heights.left_inside_mm, Some(15.0));
        for chain in [&heights.outside, &heights.inside] {
            for pair in chain.windows(2) {
                assert_eq!(pair[0].to_mm, pair[1].from_mm, "{} to {}", pair[0].name, pair[1].name);
            }
        }
        assert_eq!(heights.inside.last().map(|link| link.to_mm), Some(2333.0));
    }
}
