//! What the script of the page works with.

use plan::Plan;
use serde::Serialize;
use setout::{Layout, Support};

use crate::ceiling_words::{self, joist_name, printed};

/// Everything the script needs.
#[derive(Debug, Serialize)]
pub(super) struct Facts<'a> {
    room: &'a str,
    revision: Option<&'a str>,
    /// The layout every reading belongs to; none where no ceiling is set out.
    stamp: Option<&'a str>,
    /// The corner offsets of boards count from.
    corner: &'a str,
    walls: Vec<WallFacts>,
    clips: Vec<ClipFacts>,
    holds: Vec<HoldFacts<'a>>,
}

/// The marks of a wall, or of a joist where no wall marks a bar's end, in the order the tape meets them.
#[derive(Debug, Serialize)]
struct WallFacts {
    /// The wall by its corners, or the joist by its name.
    wall: String,
    /// The corner of the wall, or the wall, the tape starts from.
    from: String,
    /// The tape starts at the face of a lining beside the corner.
    face: bool,
    joist: bool,
    length_mm: f64,
    marks: Vec<MarkFacts>,
}

/// One mark.
#[derive(Debug, Serialize)]
struct MarkFacts {
    at_mm: f64,
    what: String,
    bar: Option<usize>,
}

/// One clip: where it is meant to sit on its bar, how long that is, and what lies either way along it.
#[derive(Debug, Serialize)]
struct ClipFacts {
    clip: usize,
    along_mm: f64,
    bar_mm: f64,
    before: String,
    after: String,
}

/// A hold point that asks for a figure: which, and what it may be.
#[derive(Debug, Serialize)]
struct HoldFacts<'a> {
    step: &'a str,
    figure: &'a str,
    unit: &'a str,
    least: Option<f64>,
    most: Option<f64>,
    /// How far beyond it a figure may be and still read as what is shown.
    slack: f64,
    /// Whether nothing else is to be seen.
    alone: bool,
}

fn holds(plan: &Plan) -> Vec<HoldFacts<'_>> {
    let in_feet = plan.lengths().in_feet();
    plan.steps
        .iter()
        .filter_map(|step| Some((step, step.hold_point.as_ref()?.limit.as_ref()?)))
        .map(|(step, limit)| HoldFacts {
            step: &step.title,
            figure: &limit.figure,
            unit: &limit.unit,
            least: limit.least,
            most: limit.most,
            slack: limit.slack(in_feet),
            alone: limit.alone,
        })
        .collect()
}

pub(super) fn facts(plan: &Plan) -> Facts<'_> {
    let layout = plan.ceiling.layout.as_ref();
    let to = |length_mm| rounded(plan, length_mm);
    // A wall without marks is no place to stop at.
    let walls = layout
        .iter()
        .flat_map(|layout| &layout.marks)
        .filter(|wall| !wall.marks.is_empty())
        .map(|wall| WallFacts {
            wall: wall.wall.clone(),
            from: wall.from_corner.clone(),
            face: ceiling_words::counts_from_a_lining(plan, wall),
            joist: false,
            length_mm: to(wall.length_mm),
            marks: wall
                .marks
                .iter()
                .map(|mark| MarkFacts {
                    at_mm: to(mark.at_mm),
                    what: ceiling_words::mark_words(plan, mark),
                    bar: mark.bars().next(),
                })
                .collect(),
        })
        .chain(on_joists(plan))
        .collect();
    Facts {
        room: &plan.title.name,
        revision: plan.title.revision.as_deref(),
        stamp: plan.ceiling.stamp.as_deref(),
        corner: layout.map_or("", |layout| layout.frame.corner.as_str()),
        walls,
        clips: layout.map_or_else(Vec::new, |layout| clips(plan, layout)),
        holds: holds(plan),
    }
}

/// To what the page shows: whole millimetres, or a tenth where it makes sixteenths of an inch of them.
fn rounded(plan: &Plan, length_mm: f64) -> f64 {
    if plan.lengths().in_feet() { (length_mm * 10.0).round() / 10.0 } else { length_mm.round() }
}

/// Marks on joists, joist by joist. They are for marking out only: a bar is read at walls.
fn on_joists(plan: &Plan) -> Vec<WallFacts> {
    let mut joists: Vec<WallFacts> = Vec::new();
    let to = |length_mm| rounded(plan, length_mm);
    let mut ties: Vec<_> = plan.ceiling.bar_ties.iter().collect();
    ties.sort_by(|a, b| {
        (a.joist, &a.from_wall).cmp(&(b.joist, &b.from_wall)).then(a.along_mm.total_cmp(&b.along_mm))
    });
    for tie in ties {
        let (name, from) = (joist_name(plan, tie.joist), printed(&tie.from_wall));
        if joists.last().is_none_or(|last| (&last.wall, &last.from) != (&name, &from)) {
            let given = plan.ceiling.given.as_ref().and_then(|given| given.joists.get(tie.joist));
            let length_mm = given.map_or(0.0, |joist| to(joist.from.distance_mm(joist.to)));
            joists.push(WallFacts {
                wall: name,
                from,
                face: false,
                joist: true,
                length_mm,
                marks: Vec::new(),
            });
        }
        if let Some(joist) = joists.last_mut() {
            let at_mm = to(tie.along_mm);
            joist.length_mm = joist.length_mm.max(at_mm);
            joist.marks.push(MarkFacts {
                at_mm,
                what: format!("bar {}, under the joist", tie.bar),
                bar: None,
            });
        }
    }
    joists
}

fn clips(plan: &Plan, layout: &Layout) -> Vec<ClipFacts> {
    layout
        .clips
        .iter()
        .map(|clip| {
            let mut others: Vec<_> = layout.clips.iter().filter(|one| one.bar == clip.bar).collect();
            others.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm));
            let on = |on: Support| support_name(plan, layout, on);
            let before = others.iter().rev().find(|one| one.along_mm < clip.along_mm - 1.0);
            let after = others.iter().find(|one| one.along_mm > clip.along_mm + 1.0);
            ClipFacts {
                clip: clip.number,
                along_mm: (clip.along_mm * 10.0).round() / 10.0,
                bar_mm: layout.bars.get(clip.bar).map_or(0.0, |bar| rounded(plan, bar.length_mm)),
                before: before.map_or_else(|| "the bar's left end".to_owned(), |one| on(one.on)),
                after: after.map_or_else(|| "the bar's right end".to_owned(), |one| on(one.on)),
            }
        })
        .collect()
}

/// What a clip is screwed to, by the name that is chalked on it.
pub(super) fn support_name(plan: &Plan, layout: &Layout, on: Support) -> String {
    match on {
        Support::Joist(index) => joist_name(plan, index),
        Support::Noggin(index) => layout
            .noggins
            .get(index)
            .map_or_else(|| "a noggin".to_owned(), |noggin| format!("noggin {}", noggin.number)),
    }
}
