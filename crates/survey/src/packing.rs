//! Packers that bring every bar to one plane.

use geometry::{Plane, Point};
use serde::Serialize;

use crate::Ceiling;

/// How level the finished ceiling has to be.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flatness {
    /// Dead level, through the lowest underside.
    Level,
    /// A plane that may fall up to so many mm per metre, where that saves packing.
    MayFall {
        /// Steepest fall, mm per metre; 0 is level.
        mm_per_m: f64,
    },
}

/// A clip under a joist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClipPlace {
    /// Joist, by its place in the list.
    pub joist: usize,
    /// Place on the plan.
    pub at: Point,
}

/// The plane in which all clips start, and the packer above each.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Packing {
    /// The plane, heights above the floor: nowhere above an underside.
    pub plane: Plane,
    /// Packer between joist and clip, mm, in the order of the clips; 0 or more.
    pub packers_mm: Vec<f64>,
    /// Sum of the packers, mm.
    pub total_mm: f64,
    /// Thickest packer, mm.
    pub thickest_mm: f64,
    /// Clips on joists without a level reading: their packers are 0 here and must be measured.
    pub not_measured: Vec<usize>,
}

/// Steps of the search for the plane of least packing in each of two nested searches: each third of a step narrows the
/// range by 2/3, so 90 leave a part in 10¹⁵.
const SEARCH_STEPS: usize = 90;

impl Ceiling {
    /// The packer above each clip, so that all clips start in one plane and no joist comes below it.
    ///
    /// The plane touches the lowest underside: every reading and every clip counts, since bars pass under the joist
    /// between clips too. With [`Flatness::MayFall`] it is the one of least total packing whose steepest fall stays
    /// within the limit.
    pub fn packing(&self, clips: &[ClipPlace], flatness: Flatness) -> Packing {
        let at_clips: Vec<Option<f64>> =
            clips.iter().map(|clip| self.underside_mm(clip.joist, clip.at)).collect();
        let measured: Vec<(Point, f64)> = clips
            .iter()
            .zip(&at_clips)
            .filter_map(|(clip, height)| height.map(|height| (clip.at, height)))
            .collect();
        let mut limits = measured.clone();
        limits.extend(self.joists.iter().flat_map(|j| j.undersides.iter().map(|u| (u.at, u.above_floor_mm))));
        let plane = match flatness {
            Flatness::MayFall { mm_per_m }
                if mm_per_m > 0.0 && mm_per_m.is_finite() && !measured.is_empty() =>
            {
                least_packing(&limits, &measured, mm_per_m / 1000.0)
            }
            _ => Plane::level(limits.iter().map(|(_, height)| *height).fold(f64::INFINITY, f64::min)),
        };
        let plane = if plane.height_at_origin_mm.is_finite() { plane } else { Plane::level(0.0) };
        let packers_mm: Vec<f64> = clips
            .iter()
            .zip(&at_clips)
            .map(|(clip, height)| height.map_or(0.0, |height| (height - plane.height_mm(clip.at)).max(0.0)))
            .collect();
        Packing {
            plane,
            total_mm: packers_mm.iter().sum(),
            thickest_mm: packers_mm.iter().copied().fold(0.0, f64::max),
            packers_mm,
            not_measured: at_clips
                .iter()
                .enumerate()
                .filter(|(_, h)| h.is_none())
                .map(|(at, _)| at)
                .collect(),
        }
    }
}

/// The plane below all `limits` that lies highest at the mean of the clips (so the sum of the packers is least), its fall
/// at most `fall` mm per mm.
///
/// For given slopes the height is a minimum of linear functions of them, so it is concave: two nested three-way searches
/// find the best slopes.
fn least_packing(limits: &[(Point, f64)], clips: &[(Point, f64)], fall: f64) -> Plane {
    let mean = clips.iter().fold(Point::default(), |sum, (p, _)| sum + *p) * (1.0 / clips.len() as f64);
    let height_at_mean = |slope_x: f64, slope_y: f64| {
        limits
            .iter()
            .map(|(p, z)| z - slope_x * (p.x_mm - mean.x_mm) - slope_y * (p.y_mm - mean.y_mm))
            .fold(f64::INFINITY, f64::min)
    };
    let best_slope_y = |slope_x: f64| {
        let steepest = (fall * fall - slope_x * slope_x).max(0.0).sqrt();
        highest(-steepest, steepest, |slope_y| height_at_mean(slope_x, slope_y))
    };
    let (slope_x, _) = highest(-fall, fall, |slope_x| best_slope_y(slope_x).1);
    let (slope_y, height) = best_slope_y(slope_x);
    let level = height_at_mean(0.0, 0.0);
    // Level whenever sloping saves nothing that a packer could show.
    let (slope_x, slope_y, height) =
        if height - level < 0.01 { (0.0, 0.0, level) } else { (slope_x, slope_y, height) };
    Plane { height_at_origin_mm: height - slope_x * mean.x_mm - slope_y * mean.y_mm, slope_x, slope_y }
}

/// Where a concave function is highest between two ends, and how high.
fn highest(from: f64, to: f64, function: impl Fn(f64) -> f64) -> (f64, f64) {
    let (mut low, mut high) = (from, to);
    for _ in 0..SEARCH_STEPS {
        let third = (high - low) / 3.0;
        if function(low + third) < function(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    let middle = f64::midpoint(low, high);
    (middle, function(middle))
}
