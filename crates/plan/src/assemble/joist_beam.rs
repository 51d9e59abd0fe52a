//! Beams under the joists: each with what its joists really bring, and whatever else carries them and is not known.

use fabric::{
    loads::{JoistPointLoad, VariableKind, VariableLoad},
    timber::{JoistCheck, JoistResult, Restraint, Section, check_joist},
};
use geometry::{Point, Polygon, Segment};
use quantities::format::{number, with_unit};
use survey::Survey;

use crate::{
    assemble::joist_model::{annex, grade, spans_m, variable_loads},
    outcome::BeamOutcome,
    project::{Beam, Project},
};

/// A joist's support belongs to a beam when their places differ by no more, mm.
const SAME_PLACE_MM: f64 = 0.5;
/// Supports closer than this are one, m.
const LEAST_BAY_M: f64 = 0.1;

/// Where a joist lies on something between its walls, and what it brings there.
struct Carried<'a> {
    joist: &'a str,
    at: Point,
    permanent_kn: f64,
    variable_kn: f64,
}

/// The beams of the file, and what else carries joists.
#[derive(Debug, Default)]
pub(crate) struct Under {
    /// Beams that were checked.
    pub(crate) checked: Vec<BeamOutcome>,
    /// A sentence for each beam that was not.
    pub(crate) open: Vec<String>,
    /// A sentence for each line of supports that is no beam of the file.
    pub(crate) else_carried: Vec<String>,
}

/// Every beam of the file checked, or a sentence of what is wrong with it.
pub(crate) fn beams(project: &Project, survey: &Survey, joists: &[JoistResult]) -> Under {
    let mut under = Under::default();
    let Some(common) = &project.joists else { return under };
    for beam in &common.beams {
        match checked(project, survey, joists, beam) {
            Ok(outcome) => under.checked.push(outcome),
            Err(sentence) => under.open.push(sentence),
        }
    }
    let mut places_mm: Vec<f64> = common.each.iter().flat_map(|joist| &joist.supports_mm).copied().collect();
    places_mm.sort_by(f64::total_cmp);
    places_mm.dedup_by(|a, b| (*a - *b).abs() <= SAME_PLACE_MM);
    for at_mm in places_mm {
        if common.beams.iter().any(|beam| (beam.at_mm - at_mm).abs() <= SAME_PLACE_MM) {
            continue;
        }
        let carried = carried(project, survey, joists, at_mm);
        let most_kn = carried.iter().map(|one| one.permanent_kn + one.variable_kn).fold(0.0, f64::max);
        if most_kn > 0.0 {
            under.else_carried.push(format!(
                "What carries the joists at {} (`support_mm`) is not checked: it must take {} from a joist, {} in all, without safety factors. Enter a timber beam as `[[joists.beam]]`; for a wall or steel ask a structural engineer.",
                with_unit(at_mm, 0, "mm"),
                with_unit(most_kn, 1, "kN"),
                with_unit(carried.iter().map(|one| one.permanent_kn + one.variable_kn).sum(), 1, "kN")
            ));
        }
    }
    under
}

fn carried<'a>(
    project: &Project,
    survey: &Survey,
    joists: &'a [JoistResult],
    at_mm: f64,
) -> Vec<Carried<'a>> {
    let (Some(common), Some(ceiling)) = (&project.joists, &survey.ceiling) else { return Vec::new() };
    let one = |joist: &survey::Joist| {
        let own = common.each.iter().find(|own| own.name == joist.name)?;
        let place = own.supports_mm.iter().position(|mm| (mm - at_mm).abs() <= SAME_PLACE_MM)?;
        let result = joists.iter().find(|result| result.name == joist.name)?;
        let load = result.supports.get(place + 1)?;
        let unit = (joist.line.to - joist.line.from).unit()?;
        Some(Carried {
            joist: &result.name,
            at: joist.line.from + unit * at_mm,
            permanent_kn: load.permanent_kn.max(0.0),
            variable_kn: (load.most_kn - load.permanent_kn).max(0.0),
        })
    };
    ceiling.joists.iter().filter_map(one).collect()
}

fn checked(
    project: &Project,
    survey: &Survey,
    joists: &[JoistResult],
    beam: &Beam,
) -> Result<BeamOutcome, String> {
    let not = |why: &str| format!("The beam {} is not checked: {why}", beam.name);
    let carried = carried(project, survey, joists, beam.at_mm);
    let (Some(first), Some(last)) = (carried.first(), carried.last()) else {
        return Err(not("no joist that was checked lies on it."));
    };
    let (from, to) = ends(survey, first.at, last.at)
        .ok_or_else(|| not("its line between its first and last joist does not cross the room."))?;
    let line = Segment { from, to };
    let bearing_m = beam.bearing_mm / 1000.0;
    let whole_m = line.length_mm() / 1000.0 + bearing_m;
    let at_m = |point: Point| (line.running_mm(point) / 1000.0 + bearing_m / 2.0).clamp(0.0, whole_m);
    let spans_m = spans_m(&beam.posts_mm, whole_m, bearing_m);
    if spans_m.iter().any(|span| *span < LEAST_BAY_M) {
        return Err(not(&format!(
            "a post of it (`post_mm`) lies beyond its end; it is {} long between the walls.",
            with_unit(line.length_mm(), 0, "mm")
        )));
    }
    let places: Vec<f64> = carried.iter().map(|one| at_m(one.at)).collect();
    let gap_m = places.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(LEAST_BAY_M, f64::max);
    let variables = variable_loads(project).map(|(loads, _)| loads).unwrap_or_default();
    let heaviest = variables.iter().max_by(|a, b| a.spread_kn_m2.total_cmp(&b.spread_kn_m2));
    let variable_kn_m = carried.iter().map(|one| one.variable_kn).sum::<f64>() / whole_m;
    let drift = project.roof.as_ref().and_then(|roof| roof.snow_drift_kn_m2).unwrap_or(0.0);
    let section =
        Section { members: beam.members, member_width_mm: beam.member_width_mm, depth_mm: beam.depth_mm };
    // Along the beam a load per area over one metre of width is a load per length.
    let mut check = JoistCheck::flat_roof(&beam.name, section, grade(beam.grade.as_ref()), whole_m, 1.0);
    check.annex = annex(project);
    check.spans_m = spans_m;
    check.bearing_mm = beam.bearing_mm;
    check.load_sharing = false;
    check.restraint = Restraint::Blocked(gap_m);
    check.points = carried
        .iter()
        .zip(&places)
        .map(|(one, &at_m)| JoistPointLoad { name: one.joist.to_owned(), at_m, load_kn: one.permanent_kn })
        .collect();
    check.variable = vec![VariableLoad {
        kind: heaviest.map_or(VariableKind::RoofImposed, |load| load.kind),
        spread_kn_m2: variable_kn_m,
        point_kn: 0.0,
    }];
    let spread_kn_m2 = heaviest.map_or(0.0, |load| load.spread_kn_m2);
    check.exceptional_snow_kn_m2 =
        if spread_kn_m2 > 0.0 { drift / spread_kn_m2 * variable_kn_m } else { 0.0 };
    let mut result = check_joist(&check).map_err(|error| not(&format!("{error}.")))?;
    // The others speak of a joist under its deck.
    result.notes.retain(|note| note.contains("members are taken") || note.contains("is lifted"));
    result.notes.push(
        "What people and snow bring through the joists is counted as spread along the beam; what stays is counted joist by joist.".to_owned(),
    );
    result.notes.push(format!(
        "Fix every joist to it, so that it cannot tip: that is counted. The joists are counted as if it did not give; its own limit of deflection keeps that near. Its ends and posts carry up to {}: walls, padstones and footings under them are not checked.",
        with_unit(result.supports.iter().map(|support| support.most_kn).fold(0.0, f64::max), 1, "kN")
    ));
    result.notes.push(format!(
        "It lies below the joists and {} deep: the ceiling is not set out round it.",
        number(beam.depth_mm, 0)
    ));
    Ok(BeamOutcome {
        name: beam.name.clone(),
        joists: carried.iter().map(|one| one.joist.to_owned()).collect(),
        from,
        to,
        result,
    })
}

/// Ends of the part of the beam's line inside the room that its first joist lies on.
fn ends(survey: &Survey, first: Point, last: Point) -> Option<(Point, Point)> {
    let corners: Vec<Point> = survey.corners.iter().map(|corner| corner.at).collect();
    let room = Polygon::new(&corners).ok()?;
    let along = (last - first).unit()?;
    let far_mm = survey.perimeter_mm;
    room.clip_line(first - along * far_mm, first + along * far_mm)
        .into_iter()
        .find(|(from, to)| Segment { from: *from, to: *to }.distance_mm(first) < 1.0)
}
