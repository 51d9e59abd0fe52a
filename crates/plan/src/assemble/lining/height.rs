//! How high a lining is: to what really stands over it, not to the height of the wall on paper.

use geometry::{Point, Polygon, Segment};
use quantities::format::with_unit;
use survey::Survey;

use crate::{
    assemble::{ceiling, lined, material::solid},
    outcome::CeilingOutcome,
    project::{self, LiningBuilt, Project},
};

/// Joists are looked at this far before the face of a lining, mm: its head track and its boards come under them.
const BEFORE_THE_FACE_MM: f64 = 50.0;

/// Height of a lining, mm, and a sentence where it is less than asked for: joists above it hang lower, or the finished ceiling.
///
/// # Errors
/// A sentence where no height is known.
pub(super) fn height(
    project: &Project,
    survey: &Survey,
    set_out: &CeilingOutcome,
    given: &project::Lining,
) -> Result<(f64, Option<String>), String> {
    let name = project.survey.wall_name(given.wall);
    let of_wall = project.walls.get(given.wall.0).map(|wall| wall.height_mm);
    let hung_mm = match given.built {
        LiningBuilt::BeforeCeiling => 0.0,
        LiningBuilt::AfterCeiling => hung_mm(project),
    };
    let asked_mm = given
        .height_mm
        .or_else(|| of_wall.map(|height| height - hung_mm))
        .ok_or_else(|| format!("The height of wall {name} is missing: write a [[wall]] or `height_mm`."))?;
    let over = match given.built {
        LiningBuilt::BeforeCeiling => lowest_joist(project, survey, given),
        LiningBuilt::AfterCeiling => face_over(survey, set_out, given)
            .map(|face| ("the finished ceiling".to_owned(), face))
            .or_else(|| {
                let (joist, height) = lowest_joist(project, survey, given)?;
                Some((format!("the ceiling under {joist}"), height - hung_mm))
            }),
    };
    let Some((what, over_mm)) = over.filter(|(_, over_mm)| *over_mm < asked_mm - 0.5) else {
        return Ok((asked_mm, None));
    };
    let asked = if given.height_mm.is_some() { "asked for" } else { "of the wall" };
    let told = (given.height_mm.is_some() || given.built == LiningBuilt::BeforeCeiling).then(|| {
        format!(
            "it is {} high, not the {} {asked}: {what} comes down to there",
            with_unit(over_mm, 0, "mm"),
            with_unit(asked_mm, 0, "mm")
        )
    });
    Ok((over_mm, told))
}

/// The lowest joist over a lining: its name, and the height of its underside there, mm; none without levels.
fn lowest_joist(project: &Project, survey: &Survey, given: &project::Lining) -> Option<(String, f64)> {
    let ceiling = survey.ceiling.as_ref()?;
    let depth_mm = lined::depth_mm(project, given) + BEFORE_THE_FACE_MM;
    let wall = survey.walls.get(given.wall.0)?;
    let (from, to) = (survey.corners.get(wall.from)?.at, survey.corners.get(wall.to)?.at);
    let inwards = (to - from).unit()?.left();
    // Either way round: the side on which the room lies.
    let middle = from.toward(to, 0.5);
    let inwards = if survey.polygon.contains(middle + inwards * 10.0) { inwards } else { inwards * -1.0 };
    let heights = ceiling.joists.iter().flat_map(|joist| {
        let reach = inwards * (depth_mm + joist.width_mm / 2.0);
        let band = Polygon::new(&[from, to, to + reach, from + reach]).ok();
        let over = band.map_or_else(Vec::new, |band| band.clip_line(joist.line.from, joist.line.to));
        let places = over.into_iter().flat_map(|(a, b)| places_on(joist, a, b));
        places.filter_map(|at| Some((&joist.name, joist.lower_edge_mm(at)?))).collect::<Vec<_>>()
    });
    heights.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(name, height)| (format!("joist {name}"), height))
}

/// Both ends of a stretch of a joist, and the readings between: in between the underside is straight.
fn places_on(joist: &survey::Joist, a: Point, b: Point) -> Vec<Point> {
    let stretch = Segment { from: a, to: b };
    let on_line = |one: &survey::Underside| joist.line.point_at(joist.line.running_mm(one.at));
    let between = joist.undersides.iter().map(on_line).filter(|at| stretch.distance_mm(*at) < 1.0);
    [a, b].into_iter().chain(between).collect()
}

/// Lowest height of the finished face along a wall, mm; none where the ceiling is not levelled.
fn face_over(survey: &Survey, set_out: &CeilingOutcome, given: &project::Lining) -> Option<f64> {
    let level = set_out.layout.as_ref()?.level.as_ref()?;
    let ceiling = set_out.given.as_ref()?;
    let wall = survey.walls.get(given.wall.0)?;
    let hangs_mm = ceiling.clip.drop_mm + ceiling.layers.iter().map(|layer| layer.thickness_mm).sum::<f64>();
    let ends = [survey.corners.get(wall.from)?.at, survey.corners.get(wall.to)?.at];
    Some(ends.map(|at| level.plane.height_mm(at)).into_iter().fold(f64::INFINITY, f64::min) - hangs_mm)
}

/// How far the ceiling hangs under the joists, mm; 0 where none does.
fn hung_mm(project: &Project) -> f64 {
    let Some(buildup) = project.buildup_of(project::ElementId::Ceiling) else { return 0.0 };
    if !ceiling::hangs_on_clips(&buildup.element) {
        return 0.0;
    }
    let layers = &buildup.element.layers;
    let cavity = layers.iter().rposition(|layer| matches!(layer, project::Layer::Cavity(_)));
    layers
        .iter()
        .skip(cavity.unwrap_or(layers.len()))
        .map(|layer| match layer {
            project::Layer::Cavity(cavity) => cavity.depth_mm,
            project::Layer::Leaf(leaf) => solid(leaf).depth_m() * 1000.0,
        })
        .sum()
}
