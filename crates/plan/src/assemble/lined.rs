//! Walls with a lining: how deep it is, where its face stands, and what the wall is made of with it.

use std::borrow::Cow;

use catalogue::{Bar as BarEntry, Clip as ClipEntry, Sheet, find};
use geometry::{Point, Segment, intersection_of_lines};
use survey::Survey;

use crate::project::{
    Bond, Bridge, BridgeKind, Buildup, BuildupId, Cavity, FillGaps, Layer, Leaf, LeafKind, Lining,
    LiningBuilt, LiningKind, OwnSheet, Project, WallId,
};

/// Depth behind the boards of studs that stand clear of the wall, where none is given, mm (common practice: a stud of 50 mm, 20 mm
/// clear).
const BEHIND_STUDS_MM: f64 = 70.0;
/// The same of bars on clips where neither is in the stock, mm (typical, no source).
const BEHIND_BARS_MM: f64 = 40.0;
/// Sine of the turn below which two walls go on straight.
const STRAIGHT_SINE: f64 = 0.05;

/// Clear depth between the wall and the back of the boards, mm.
pub(crate) fn cavity_mm(project: &Project, lining: &Lining) -> f64 {
    lining.cavity_mm.unwrap_or_else(|| match lining.kind {
        LiningKind::Studs => BEHIND_STUDS_MM,
        LiningKind::Clips => {
            let clip = project.stock.clip.as_ref().and_then(|clip| find::<ClipEntry>(clip.product.as_str()));
            let bar = project.stock.bar.as_ref().and_then(|bar| find::<BarEntry>(bar.product.as_str()));
            clip.zip(bar).map_or(BEHIND_BARS_MM, |(clip, bar)| clip.drop_mm + bar.depth_mm)
        }
    })
}

/// Depth from the wall to the face of the lining, mm.
pub(crate) fn depth_mm(project: &Project, lining: &Lining) -> f64 {
    let boards: f64 = lining
        .layer
        .iter()
        .filter_map(|layer| {
            Some(find::<Sheet>(layer.material.as_str())?.thickness_mm * f64::from(layer.sheets))
        })
        .sum();
    cavity_mm(project, lining) + boards
}

/// Whether any lining that counts takes something of the room.
pub(crate) fn faces_stand_off(project: &Project, counts: impl Fn(&Lining) -> bool) -> bool {
    project.linings.iter().any(|lining| counts(lining) && depth_mm(project, lining) > 0.0)
}

/// Corners of the room between the faces of the linings that `counts` says count, in the order of the survey.
///
/// # Errors
/// A sentence where a lining ends on a wall that goes straight on.
pub(crate) fn faces(
    project: &Project,
    survey: &Survey,
    counts: impl Fn(&Lining) -> bool,
) -> Result<Vec<Point>, String> {
    let points = survey.points();
    let n = points.len();
    let mut depths = vec![0.0; n];
    for lining in project.linings.iter().filter(|lining| counts(lining)) {
        if let Some(depth) = depths.get_mut(lining.wall.0) {
            // It is measured from where the wall comes nearest: a bulge moves the whole face into the room.
            let bow_mm = survey.walls.get(lining.wall.0).and_then(|wall| wall.bow_mm).unwrap_or(0.0);
            *depth = depth_mm(project, lining) + (-bow_mm).max(0.0);
        }
    }
    if depths.iter().all(|depth| *depth <= 0.0) {
        return Ok(points);
    }
    let doubled: f64 = points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.cross(*b)).sum();
    let sense = if doubled < 0.0 { -1.0 } else { 1.0 };
    let face = |wall: usize| -> Option<Segment> {
        let (from, to) = (*points.get(wall % n)?, *points.get((wall + 1) % n)?);
        let inward = (to - from).unit()?.left() * (sense * depths.get(wall % n).copied()?);
        Some(Segment { from: from + inward, to: to + inward })
    };
    (0..n)
        .map(|corner| {
            let (Some(before), Some(after)) = (face(corner + n - 1), face(corner)) else {
                return Err("A wall without length cannot be lined.".to_owned());
            };
            let (u, v) = (before.along(), after.along());
            let sine = u.cross(v).abs() / (u.length_mm() * v.length_mm()).max(1.0);
            let straight = sine < STRAIGHT_SINE && u.dot(v) > 0.0;
            if straight && before.to.distance_mm(after.from) > 1.0 {
                let name = survey.corners.get(corner).map_or("", |corner| corner.name.as_str());
                return Err(format!(
                    "At corner {name} the wall goes on straight, but the depth of its lining changes: line both parts alike."
                ));
            }
            let meeting = if straight { None } else { intersection_of_lines(before, after) };
            Ok(meeting.unwrap_or(after.from))
        })
        .collect()
}

/// The project with each lined wall made of wall, cavity and boards. A wall whose build-up ends with a cavity and these very boards
/// has the lining in it already.
pub(crate) fn with_linings(project: &Project) -> Cow<'_, Project> {
    let mut lined = Cow::Borrowed(project);
    for lining in &project.linings {
        let Some(own) =
            project.walls.get(lining.wall.0).and_then(|wall| project.buildups.get(wall.buildup.0))
        else {
            continue;
        };
        if has_it_already(own, lining) {
            continue;
        }
        let buildup = lined_buildup(project, own, lining);
        let changed = lined.to_mut();
        changed.buildups.push(buildup);
        let id = BuildupId(changed.buildups.len() - 1);
        if let Some(wall) = changed.walls.get_mut(lining.wall.0) {
            wall.buildup = id;
        }
    }
    lined
}

fn has_it_already(buildup: &Buildup, lining: &Lining) -> bool {
    let layers = &buildup.element.layers;
    let Some(cavity) = layers.iter().rposition(|layer| matches!(layer, Layer::Cavity(_))) else {
        return false;
    };
    let boards: Vec<&str> = layers
        .iter()
        .skip(cavity + 1)
        .filter_map(|layer| match layer {
            Layer::Leaf(leaf) if leaf.kind == LeafKind::Board => {
                leaf.material.as_ref().map(crate::project::MaterialId::as_str)
            }
            _ => None,
        })
        .collect();
    let own: Vec<&str> = lining.layer.iter().map(|layer| layer.material.as_str()).collect();
    !own.is_empty() && boards == own
}

fn lined_buildup(project: &Project, own: &Buildup, lining: &Lining) -> Buildup {
    let wall = project.survey.wall_name(lining.wall);
    let mut element = own.element.clone();
    element.name = format!("{}, lined on {wall}", element.name);
    // What was measured was the bare wall.
    element.measured = None;
    element.measured_uncertainty_db = None;
    let cavities = element.layers.iter().filter(|layer| matches!(layer, Layer::Cavity(_))).count();
    let depth_mm = cavity_mm(project, lining);
    element.layers.push(Layer::Cavity(Cavity {
        depth_mm,
        vented: false,
        openings_mm2: None,
        fill_gaps: FillGaps::None,
        fill: lining.fill.clone(),
        fill_mm: lining.fill.as_ref().map_or(0.0, |_| lining.fill_mm.unwrap_or(depth_mm).min(depth_mm)),
        flow_resistivity_pa_s_m2: None,
        density_kg_m3: None,
        dynamic_stiffness_mn_m3: None,
        timbers: None,
        lined_reveals: false,
    }));
    for layer in &lining.layer {
        element.layers.push(Layer::Leaf(Leaf {
            kind: LeafKind::Board,
            name: None,
            material: Some(layer.material.material()),
            own: OwnSheet::default(),
            thickness_mm: None,
            sheets: layer.sheets,
            bond: Bond::Screwed,
            seal: None,
            plaster_outside_mm: 0.0,
            plaster_inside_mm: 0.0,
        }));
    }
    // Studs of an independent row touch the wall nowhere; clips do.
    if lining.kind == LiningKind::Clips {
        element.bridges.push(Bridge {
            kind: BridgeKind::Clip,
            cavity: cavities,
            product: project.stock.clip.as_ref().map(|clip| clip.product.product()),
            spacing_mm: None,
            per_m2: None,
            count: None,
            bar_spacing_mm: None,
            steel_mm: None,
            steel_studs: false,
            frame_length_m: None,
            dab_area_m2: None,
            stiffness_mn_m: None,
            frame_stiffness_mn_m2: None,
            compliance_m2_n: None,
            loss_factor: None,
        });
    }
    Buildup { id: format!("{}-lined-{wall}", own.id), element }
}

/// Whether a wall has a lining that is built before the ceiling.
pub(crate) fn is_lined_first(project: &Project, wall: WallId) -> bool {
    project.linings.iter().any(|lining| lining.wall == wall && lining.built == LiningBuilt::BeforeCeiling)
}
