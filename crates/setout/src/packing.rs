//! The plane the bars are brought to, and the packer above each clip.
//!
//! Three ways, by two rules: one plane dead level (both 0); the clips anywhere in a band so high above the level plane
//! ([`crate::Rules::flatness_mm`]); the plane itself falling to one side ([`crate::Rules::fall_mm_per_m`]). Whatever the rules
//! leave open is chosen for the least packing in all.

use geometry::Plane;

use crate::layout::{Clip, Level, Support};
use crate::ring;
use crate::{Ceiling, Joist, Point};

/// Steps of each of the two nested searches for the plane's slopes: each narrows the range by a third, so 60 leave less
/// than a ten-thousandth of a micrometre over 100 m.
const SEARCH_STEPS: usize = 60;

/// A clip follows a face that is less than this out of level over its timber's width \[mm\] (common practice, no source).
pub(crate) const TWIST_MM: f64 = 2.0;

/// A place to pack: where, and the height of the timber there \[mm\].
pub(crate) type Packed = (Point, f64);

/// Height of the timber above a clip: the middle of the joist's underside, for a noggin the mean of its joists, and for one between two walls that of the
/// joist nearest to it, which it is set level with \[mm\].
pub(crate) fn timber_mm(ceiling: &Ceiling, joists: &[usize], at: Point) -> Option<f64> {
    if joists.is_empty() {
        let away = |joist: &Joist| ring::distance_to_segment(at, joist.from, joist.to);
        return ceiling
            .joists
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))
            .and_then(|nearest| nearest.underside_mm(at));
    }
    let heights: Vec<f64> =
        joists.iter().filter_map(|&j| ceiling.joists.get(j)).filter_map(|j| j.underside_mm(at)).collect();
    (!heights.is_empty()).then(|| heights.iter().sum::<f64>() / heights.len() as f64)
}

/// What to do where a joist is twisted: its packers are told for the middle of its face.
pub(crate) fn twisted(ceiling: &Ceiling, clips: &[Clip]) -> Option<String> {
    let mut names: Vec<&str> = Vec::new();
    let mut most_mm: f64 = 0.0;
    for clip in clips {
        let Support::Joist(index) = clip.on else { continue };
        let Some(joist) = ceiling.joists.get(index) else { continue };
        let rise_mm = joist.cross_rise_mm(clip.at).abs();
        if rise_mm < TWIST_MM {
            continue;
        }
        most_mm = most_mm.max(rise_mm);
        if !names.contains(&joist.name.as_str()) {
            names.push(&joist.name);
        }
    }
    let (verb, whose) = if names.len() == 1 { ("is", "its") } else { ("are", "their") };
    (!names.is_empty()).then(|| {
        format!(
            "{} {verb} twisted: {whose} underside is up to {most_mm:.0} mm out of level across; a packer of two figures is that thick at the \
             low and at the high edge of the timber (a wedge, or two packers), so that the clip sits level",
            names.join(", ")
        )
    })
}

/// The plane of the bars; none unless every joist has a reading. `kept` is the plane of what is already fixed.
pub(crate) fn level(ceiling: &Ceiling, clips: &[Packed], kept: Option<Plane>) -> Option<Level> {
    if ceiling.joists.iter().any(|j| j.undersides.is_empty()) {
        return None;
    }
    let readings: Vec<(usize, Packed)> = ceiling
        .joists
        .iter()
        .enumerate()
        .flat_map(|(i, j)| j.undersides.iter().map(move |r| (i, (r.at, r.height_mm))))
        .collect();
    let lowest_underside_mm = readings.iter().map(|(_, (_, h))| *h).fold(f64::INFINITY, f64::min);
    let flatness_mm = ceiling.rules.flatness_mm;
    let dead_level = Plane::level(lowest_underside_mm);
    let limits: Vec<Packed> = readings.iter().map(|r| r.1).chain(clips.iter().copied()).collect();
    let packing = |plane: Plane| total_mm(clips, plane, flatness_mm);
    let plane = kept.unwrap_or_else(|| {
        let fall = ceiling.rules.fall_mm_per_m / 1000.0;
        if fall <= 0.0 || clips.is_empty() {
            return dead_level;
        }
        // Level whenever a fall saves nothing that a packer could show.
        let falling = least_packing(&limits, clips, fall, flatness_mm);
        let saved = packing(dead_level) - packing(falling);
        if saved < ceiling.rules.packer_step_mm { dead_level } else { falling }
    });
    let lowest_joist = readings
        .iter()
        .min_by(|a, b| (a.1.1 - plane.height_mm(a.1.0)).total_cmp(&(b.1.1 - plane.height_mm(b.1.0))))?
        .0;
    let boards_mm: f64 = ceiling.layers.iter().map(|l| l.thickness_mm).sum();
    let lowest_mm = ceiling.corners.iter().map(|c| plane.height_mm(c.at)).fold(f64::INFINITY, f64::min);
    Some(Level {
        lowest_underside_mm,
        lowest_joist,
        plane,
        fall_mm_per_m: plane.fall_mm_per_m(),
        flatness_mm,
        spacer_block_mm: (ceiling.clip.drop_mm - flatness_mm).max(0.0),
        face_mm: lowest_mm - ceiling.clip.drop_mm - boards_mm,
        thickest_packer_mm: 0.0,
        packing_mm: 0.0,
        packing_dead_level_mm: clips
            .iter()
            .map(|(_, height)| packer(ceiling, lowest_underside_mm, 0.0, *height))
            .sum(),
    })
}

/// Packing of a clip under timber of a height, over a plane of a height there and its band \[mm\]: the thinnest step of the
/// packers that brings it into the band, and where none does the one nearest to it.
pub(crate) fn packer(ceiling: &Ceiling, plane_mm: f64, band_mm: f64, timber_mm: f64) -> f64 {
    let step = ceiling.rules.packer_step_mm;
    let most = (timber_mm - plane_mm).max(0.0);
    let least = (most - band_mm).max(0.0);
    let thinnest = (least / step - 1e-9).ceil().max(0.0) * step;
    if thinnest <= most + 1e-9 { thinnest } else { (f64::midpoint(least, most) / step).round() * step }
}

fn total_mm(clips: &[Packed], plane: Plane, band_mm: f64) -> f64 {
    clips.iter().map(|(at, height)| (height - plane.height_mm(*at) - band_mm).max(0.0)).sum()
}

/// The plane nowhere above `limits` with the least sum of packers under `clips`, its fall at most `fall` \[mm/mm\].
///
/// For given slopes the highest plane packs least; its height is the least of linear functions of the slopes, hence concave, each
/// packer the larger of 0 and a convex function, hence convex, and so their sum: two nested searches by thirds find its least.
fn least_packing(limits: &[Packed], clips: &[Packed], fall: f64, band_mm: f64) -> Plane {
    let middle = clips.iter().fold(Point::default(), |sum, (p, _)| sum + *p) * (1.0 / clips.len() as f64);
    let plane = |slope_x: f64, slope_y: f64| {
        let height_mm = limits
            .iter()
            .map(|(p, z)| z - slope_x * (p.x_mm - middle.x_mm) - slope_y * (p.y_mm - middle.y_mm))
            .fold(f64::INFINITY, f64::min);
        let height_at_origin_mm = height_mm - slope_x * middle.x_mm - slope_y * middle.y_mm;
        Plane { height_at_origin_mm, slope_x, slope_y }
    };
    let best_slope_y = |slope_x: f64| {
        let steepest = (fall * fall - slope_x * slope_x).max(0.0).sqrt();
        least(-steepest, steepest, |slope_y| total_mm(clips, plane(slope_x, slope_y), band_mm))
    };
    let (slope_x, _) = least(-fall, fall, |slope_x| best_slope_y(slope_x).1);
    plane(slope_x, best_slope_y(slope_x).0)
}

/// Where a convex function is least between two ends, and how small.
fn least(from: f64, to: f64, function: impl Fn(f64) -> f64) -> (f64, f64) {
    let (mut low, mut high) = (from, to);
    for _ in 0..SEARCH_STEPS {
        let third = (high - low) / 3.0;
        if function(low + third) > function(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    let middle = f64::midpoint(low, high);
    (middle, function(middle))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test stops at once")]
mod tests {
    use super::*;

    #[test]
    fn no_plane_of_a_grid_of_slopes_packs_less() {
        // Undersides that sag and twist; a clip at each of the places.
        let places: Vec<Packed> = (0..6)
            .flat_map(|i| {
                (0..4).map(move |k| {
                    let (x, y) = (f64::from(i) * 600.0, f64::from(k) * 900.0);
                    let wave = f64::from((i * 7 + k * 5) % 9);
                    (Point::new(x, y), 2400.0 + x * 0.0021 - y * 0.0012 + wave)
                })
            })
            .collect();
        for (fall, band) in [(0.002, 0.0), (0.002, 3.0), (0.004, 1.5)] {
            let found = least_packing(&places, &places, fall, band);
            assert!(found.fall_mm_per_m() <= fall * 1000.0 + 1e-9);
            let total = total_mm(&places, found, band);
            for (x, y) in (-40..=40).flat_map(|x| (-40..=40).map(move |y| (f64::from(x), f64::from(y)))) {
                let (slope_x, slope_y) = (x * fall / 40.0, y * fall / 40.0);
                if slope_x * slope_x + slope_y * slope_y > fall * fall {
                    continue;
                }
                let under = places
                    .iter()
                    .map(|(p, z)| z - slope_x * p.x_mm - slope_y * p.y_mm)
                    .fold(f64::INFINITY, f64::min);
                let grid = Plane { height_at_origin_mm: under, slope_x, slope_y };
                assert!(total <= total_mm(&places, grid, band) + 1e-6, "{fall} {band}: {x} {y}");
            }
            let level = Plane::level(places.iter().map(|p| p.1).fold(f64::INFINITY, f64::min));
            assert!(total < total_mm(&places, level, band) - 1.0, "{fall} {band}");
        }
    }
}
