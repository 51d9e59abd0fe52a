//! What would come of a bar fixed beside its mark: tried on the finished layout, nothing written.

use serde::Serialize;
use setout::{
    Point,
    as_built::{BarReading, Readings, check_as_built},
};

use survey::Survey;

use crate::{Plan, Project};

/// A bar farther than this from its mark is no slip, mm.
const FARTHEST_MM: f64 = 500.0;

/// A place in the room, mm.
pub use setout::Point as Place;
/// A rule that is broken.
pub use setout::check::Breach;

/// A bar beside its mark, and what the independent check says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TriedBar {
    /// Number of the bar.
    pub bar: usize,
    /// How far it was moved across, mm; plus away from the corner the layout starts from.
    pub off_mm: f64,
    /// One end of its middle line, mm.
    pub from: Point,
    /// The other end, mm.
    pub to: Point,
    /// Gap to the bar before it there, between middles, mm; none where there is none.
    pub gap_before_mm: Option<f64>,
    /// Gap to the bar after it, mm.
    pub gap_after_mm: Option<f64>,
    /// Readings that would say so: wall and running dimension, mm.
    pub readings: Vec<(String, f64)>,
    /// Rules it breaks that the layout kept.
    pub breaches: Vec<Breach>,
}

/// Tries a bar off its mark by a distance across the bars.
///
/// # Errors
/// A sentence where there is no layout, no such bar, the distance is no number or over half a metre, or the bar runs up to no wall with a mark.
pub fn bar(plan: &Plan, number: usize, off_mm: f64) -> Result<TriedBar, String> {
    let (Some(given), Some(layout)) = (&plan.ceiling.given, &plan.ceiling.layout) else {
        return Err("No ceiling is set out yet, so no bar can be moved.".to_owned());
    };
    let index = layout.bars.iter().position(|bar| bar.number == number).ok_or_else(|| {
        format!("There is no bar {number}; the layout has bars 1 to {}.", layout.bars.len())
    })?;
    if !off_mm.is_finite() || off_mm.abs() > FARTHEST_MM {
        return Err("A bar can be tried up to 500\u{00A0}mm from its mark.".to_owned());
    }
    let readings: Vec<BarReading> = layout
        .marks
        .iter()
        .filter_map(|wall| {
            let mark = wall.marks.iter().find(|mark| mark.is_of_bar(number))?;
            let from = plan.survey.corner(&wall.from_corner)?.at;
            let (one, two) = wall.wall.split_once('-')?;
            let other = plan.survey.corner(if one == wall.from_corner { two } else { one })?.at;
            let along = (other - from).unit()?;
            // Along a wall that is not square to the bars the mark moves farther than the bar.
            let share = along.dot(layout.frame.across);
            (share.abs() > 0.2).then(|| BarReading {
                bar: number,
                wall: wall.wall.clone(),
                at_mm: mark.at_mm + off_mm / share,
            })
        })
        .collect();
    if readings.is_empty() {
        return Err(format!(
            "Bar {number} runs up to no wall with a mark for it, so a place beside its mark cannot be read."
        ));
    }
    let written = readings.iter().map(|one| (one.wall.clone(), one.at_mm)).collect();
    let built = check_as_built(given, layout, &Readings { bars: readings, ..Readings::default() });
    let kept_before = &plan.ceiling.breaches;
    let breaches =
        built.breaches.iter().filter(|one| !kept_before.iter().any(|known| known == *one)).cloned().collect();
    let bar = built.layout.bars.get(index).ok_or("The bar was lost in the check.")?;
    let middle = |place: usize| {
        let bar = built.layout.bars.get(place)?;
        Some(layout.frame.frame_from_room(bar.from.toward(bar.to, 0.5)).y_mm)
    };
    let gap = |one: Option<f64>, two: Option<f64>| Some((two? - one?).abs());
    Ok(TriedBar {
        bar: number,
        off_mm,
        from: bar.from,
        to: bar.to,
        gap_before_mm: index.checked_sub(1).and_then(|before| gap(middle(before), middle(index))),
        gap_after_mm: gap(middle(index), middle(index + 1)),
        readings: written,
        breaches,
    })
}

/// Tapes that would put a corner of the adjusted room somewhere else.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TriedCorner {
    /// Name of the corner.
    pub corner: String,
    /// Where it would stand.
    pub at: Place,
    /// Its two neighbours along the walls, the one before it first.
    pub neighbours: [Place; 2],
    /// Path of each reading in the room file, such as `survey.tape[2].ceiling_mm`, what it is called, and what it would read, mm.
    pub readings: Vec<(String, String, f64)>,
}

/// What the tapes to a corner would read if the corner stood off its place; the others stay where they are. Each reading keeps what
/// it missed by.
///
/// # Errors
/// A sentence where there is no such corner, the way is no number or over two metres, or no tape runs to it.
pub fn corner(
    project: &Project,
    survey: &Survey,
    name: &str,
    (right_mm, up_mm): (f64, f64),
) -> Result<TriedCorner, String> {
    let index = survey
        .corners
        .iter()
        .position(|corner| corner.name == name)
        .ok_or_else(|| format!("The room has no corner {name}."))?;
    if !(right_mm.is_finite() && up_mm.is_finite()) || right_mm.abs().max(up_mm.abs()) > 2000.0 {
        return Err("A corner can be moved up to 2\u{00A0}m.".to_owned());
    }
    let place = |corner: usize| {
        let at = survey.corners.get(corner)?.at;
        Some(if corner == index { Point::new(at.x_mm + right_mm, at.y_mm + up_mm) } else { at })
    };
    let mut readings = Vec::new();
    for (at, tape) in project.survey.tape.iter().enumerate() {
        if tape.from.0 != index && tape.to.0 != index {
            continue;
        }
        let (Some(from), Some(to)) = (place(tape.from.0), place(tape.to.0)) else { continue };
        let (Some(was_from), Some(was_to)) = (survey.corners.get(tape.from.0), survey.corners.get(tape.to.0))
        else {
            continue;
        };
        let change = (to - from).length_mm() - (was_to.at - was_from.at).length_mm();
        let line = format!(
            "{}\u{2013}{}",
            project.survey.corner_name(tape.from),
            project.survey.corner_name(tape.to)
        );
        for (key, read) in [("ceiling_mm", tape.ceiling_mm), ("floor_mm", tape.floor_mm)] {
            if let Some(read) = read {
                readings.push((format!("survey.tape[{at}].{key}"), line.clone(), (read + change).round()));
            }
        }
    }
    if readings.is_empty() {
        return Err(format!("No tape runs to corner {name}."));
    }
    let of = |corner: usize| place(corner).unwrap_or_default();
    let count = survey.corners.len().max(1);
    let neighbours = [of((index + count - 1) % count), of((index + 1) % count)];
    Ok(TriedCorner { corner: name.to_owned(), at: of(index), neighbours, readings })
}
