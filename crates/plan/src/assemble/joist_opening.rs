//! Hatches and rooflights through the joists: trimmers, the whole joists that carry them, and the hole in the ceiling.

use fabric::{
    loads::JoistPointLoad,
    timber::Section,
    trimmer::{TrimmedOpening, TrimmedResult, check_trimmed_opening},
};
use geometry::Point;
use quantities::air::GRAVITY_M_S2;
use survey::{Joist, Survey};

use crate::{
    assemble::joist_model::joist_check,
    outcome::{DeadLoad, JoistOpeningOutcome},
    project::{JoistOpening, Project},
};

/// The cut joists of an opening and the whole ones beside them, by their places in the survey, in the order across.
struct Row {
    before: usize,
    cut: Vec<usize>,
    after: usize,
}

/// Every opening of the file, or a sentence of what is wrong with it.
pub(crate) fn joist_openings(
    project: &Project,
    survey: &Survey,
    dead: &[DeadLoad],
) -> Vec<Result<JoistOpeningOutcome, String>> {
    let openings = project.joists.as_ref().map_or(&[][..], |joists| &joists.openings);
    openings.iter().map(|opening| checked(project, survey, dead, opening)).collect()
}

/// The holes the openings make in the ceiling; those that cannot be placed are left out, and told in the joists' part.
pub(crate) fn holes(project: &Project, survey: &Survey) -> Vec<Vec<Point>> {
    let openings = project.joists.as_ref().map_or(&[][..], |joists| &joists.openings);
    openings
        .iter()
        .filter_map(|opening| outline(project, survey, opening, &row(survey, opening).ok()?))
        .collect()
}

fn checked(
    project: &Project,
    survey: &Survey,
    dead: &[DeadLoad],
    opening: &JoistOpening,
) -> Result<JoistOpeningOutcome, String> {
    let row = row(survey, opening)?;
    let joists = project.joists.as_ref().ok_or("There are no joists.")?;
    let name_of = |index: usize| joist(survey, index).map_or_else(String::new, |joist| joist.name.clone());
    let width_mm = (place(survey, row.after) - place(survey, row.before)).abs();
    let section = |members: u32, section: Section| Section { members, ..section };
    let mut worst: Option<TrimmedResult> = None;
    for index in [row.before, row.after] {
        // The ceiling's weight is spread here: which clips the cut pieces carry is settled when they are cut.
        let Some(beside) = joist_check(project, survey, None, (dead, index)) else { continue };
        let own = beside.name.clone();
        let check = TrimmedOpening {
            from_m: (opening.from_mm + joists.bearing_mm / 2.0) / 1000.0,
            length_m: opening.length_mm / 1000.0,
            width_m: width_mm / 1000.0,
            on_trimmers: on_trimmers(project, survey, opening, &row),
            trimmer: section(opening.trimmer_members, beside.section),
            trimming: section(opening.trimming_members.unwrap_or(joists.members), beside.section),
            joist: fabric::timber::JoistCheck { name: opening.name.clone(), ..beside },
        };
        let mut result = check_trimmed_opening(&check).map_err(|error| error.to_string())?;
        result.trimming.name = format!("{own} beside {}", opening.name);
        let used = |result: &TrimmedResult| result.trimming.governing.utilisation;
        if worst.as_ref().is_none_or(|kept| used(&result) > used(kept)) {
            worst = Some(result);
        }
    }
    let mut result = worst.ok_or("There are no joists.")?;
    let mut cut = row.cut.clone();
    cut.sort_unstable();
    result.notes.push(
        "Counted with the ceiling's weight spread evenly over the joists, not clip by clip.".to_owned(),
    );
    Ok(JoistOpeningOutcome {
        name: opening.name.clone(),
        between: [name_of(row.before.min(row.after)), name_of(row.before.max(row.after))],
        cut: cut.into_iter().map(name_of).collect(),
        width_mm,
        result,
        outline: outline(project, survey, opening, &row).unwrap_or_default(),
    })
}

/// What stands on the cut joists, brought to the near and the far trimmer by the lever of each piece; measured across from the whole
/// joist before the opening. What stood where the opening is goes to both.
fn on_trimmers(
    project: &Project,
    survey: &Survey,
    opening: &JoistOpening,
    row: &Row,
) -> [Vec<JoistPointLoad>; 2] {
    let mut arriving = [Vec::new(), Vec::new()];
    let Some(joists) = &project.joists else { return arriving };
    let half_bearing_mm = joists.bearing_mm / 2.0;
    for &index in &row.cut {
        let Some(line) = joist(survey, index) else { continue };
        let at_m = (place(survey, index) - place(survey, row.before)).abs() / 1000.0;
        let near_mm = opening.from_mm;
        let far_mm = opening.from_mm + opening.length_mm;
        let length_mm = line.line.from.distance_mm(line.line.to);
        let own = joists.each.iter().filter(|own| own.name == line.name).flat_map(|own| &own.loads);
        for load in own {
            let from_start = (load.at_mm + half_bearing_mm) / (near_mm + half_bearing_mm).max(1.0);
            let from_end =
                (length_mm + half_bearing_mm - load.at_mm) / (length_mm + half_bearing_mm - far_mm).max(1.0);
            let shares = if load.at_mm <= near_mm {
                [from_start, 0.0]
            } else if load.at_mm >= far_mm {
                [0.0, from_end]
            } else {
                [1.0, 1.0]
            };
            for (list, share) in arriving.iter_mut().zip(shares) {
                if share > 0.0 {
                    list.push(JoistPointLoad {
                        name: load.name.clone(),
                        at_m,
                        load_kn: share.min(1.0) * load.mass_kg * GRAVITY_M_S2 / 1000.0,
                    });
                }
            }
        }
    }
    arriving
}

fn joist(survey: &Survey, index: usize) -> Option<&Joist> {
    survey.ceiling.as_ref()?.joists.get(index)
}

/// Unit vectors along the joists and across them, by the first.
fn directions(survey: &Survey) -> Option<(Point, Point)> {
    let first = joist(survey, 0)?;
    let along = (first.line.to - first.line.from).unit()?;
    Some((along, along.left()))
}

/// Place of a joist's middle across all of them, mm.
fn place(survey: &Survey, index: usize) -> f64 {
    let (Some(joist), Some((_, across))) = (joist(survey, index), directions(survey)) else { return 0.0 };
    (joist.line.from + (joist.line.to - joist.line.from) * 0.5).dot(across)
}

fn row(survey: &Survey, opening: &JoistOpening) -> Result<Row, String> {
    let count = survey.ceiling.as_ref().map_or(0, |ceiling| ceiling.joists.len());
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| place(survey, a).total_cmp(&place(survey, b)).then(a.cmp(&b)));
    let is_cut = |index: &usize| joist(survey, *index).is_some_and(|joist| opening.cut.contains(&joist.name));
    let first = order.iter().position(is_cut);
    let last = order.iter().rposition(is_cut);
    let (Some(first), Some(last)) = (first, last) else {
        return Err(format!("The opening {} cuts no joist that was surveyed.", opening.name));
    };
    let cut: Vec<usize> = order.iter().skip(first).take(last + 1 - first).copied().collect();
    if !cut.iter().all(is_cut) {
        return Err(format!(
            "The joists cut for the opening {} do not lie next to each other: name every joist between the first and the last.",
            opening.name
        ));
    }
    match (first.checked_sub(1).and_then(|at| order.get(at)), order.get(last + 1)) {
        (Some(&before), Some(&after)) => Ok(Row { before, cut, after }),
        _ => Err(format!(
            "The opening {} has no whole joist on one side to carry its trimmers: move it by one joist, or ask a structural engineer for a bearing on the wall.",
            opening.name
        )),
    }
}

/// The hole between the timbers, anticlockwise from the near edge.
fn outline(project: &Project, survey: &Survey, opening: &JoistOpening, row: &Row) -> Option<Vec<Point>> {
    let members = f64::from(opening.trimming_members.unwrap_or(project.joists.as_ref()?.members));
    let half_mm = members * project.joists.as_ref()?.member_width_mm / 2.0;
    let (along, across) = directions(survey)?;
    let start_mm = joist(survey, *row.cut.first()?)?.line.from.dot(along);
    let at = |index: usize, from_mm: f64, inwards: f64| {
        let line = joist(survey, index)?.line;
        let unit = (line.to - line.from).unit()?;
        let slope = unit.dot(along);
        let way_mm =
            (start_mm + from_mm - line.from.dot(along)) / if slope.abs() > 0.1 { slope } else { 1.0 };
        Some(line.from + unit * way_mm + across * (half_mm * inwards))
    };
    let (near, far) = (opening.from_mm, opening.from_mm + opening.length_mm);
    Some(vec![
        at(row.before, near, 1.0)?,
        at(row.after, near, -1.0)?,
        at(row.after, far, -1.0)?,
        at(row.before, far, 1.0)?,
    ])
}
