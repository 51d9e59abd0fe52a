//! Readings of what is fixed, and the layout mended round it.

use setout::{
    Ceiling, Layout,
    as_built::{BarReading, BoardReading, ClipReading, Readings, mend},
    check::{Breach, Rule},
};

use crate::{
    assemble::verdicts::sentence,
    outcome::{AsBuiltOutcome, Plan, Standing},
    project::Project,
};

/// The layout to go on with, and what was found; the planned one where nothing is fixed yet.
pub(crate) fn mended(
    project: &Project,
    given: &Ceiling,
    planned: Layout,
) -> (Layout, Option<AsBuiltOutcome>) {
    let Some(readings) = readings(project, &planned) else { return (planned, None) };
    let Ok(found) = mend(given, &planned, &readings) else { return (planned, None) };
    let outcome = AsBuiltOutcome {
        fixed_bars: found.built.fixed_bars,
        fixed_clips: found.built.fixed_clips,
        boards_up: found.built.boards_up,
        breaches: found.built.breaches,
        move_back: found.move_back,
        difference: found.difference,
    };
    (found.layout, Some(outcome))
}

fn readings(project: &Project, planned: &Layout) -> Option<Readings> {
    let given = project.as_built.as_ref()?;
    let readings = Readings {
        bars: given
            .bar
            .iter()
            .map(|one| {
                // The layout may name a wall the other way round.
                let name = project.survey.wall_name(one.wall);
                let turned = name.split_once('-').map(|(a, b)| format!("{b}-{a}")).unwrap_or_default();
                let known = |wall: &str| planned.marks.iter().any(|m| m.wall == wall);
                BarReading {
                    bar: one.bar as usize,
                    wall: if !known(&name) && known(&turned) { turned } else { name },
                    at_mm: one.at_mm,
                }
            })
            .collect(),
        clips: given
            .clip
            .iter()
            .map(|one| ClipReading { clip: one.clip as usize, along_mm: one.along_mm })
            .collect(),
        boards: given
            .board
            .iter()
            .map(|one| BoardReading {
                piece: one.piece.clone(),
                off_along_mm: one.off_along_mm,
                off_across_mm: one.off_across_mm,
            })
            .collect(),
    };
    let any = !(readings.bars.is_empty() && readings.clips.is_empty() && readings.boards.is_empty());
    any.then_some(readings)
}

/// What the readings of fixed parts come to, for the verdict.
pub(super) fn words(plan: &Plan) -> (String, Standing) {
    let Some(found) = &plan.ceiling.as_built else { return ("every rule kept".to_owned(), Standing::Holds) };
    if let Some(bar) = found.move_back.first() {
        let others = if found.move_back.len() > 1 { " and others" } else { "" };
        return (format!("once bar {}{others} moved back", bar.bar), Standing::Fails);
    }
    if found.breaches.is_empty() {
        return ("every rule kept, what is fixed with them".to_owned(), Standing::Holds);
    }
    ("mended round what is fixed".to_owned(), Standing::Close)
}

/// Every sentence once, with how often it is said.
fn once(breaches: &[Breach]) -> Vec<(&Breach, usize)> {
    let mut out: Vec<(&Breach, usize)> = Vec::new();
    for breach in breaches {
        match out.iter_mut().find(|(known, _)| known.sentence == breach.sentence) {
            Some((_, count)) => *count += 1,
            None => out.push((breach, 1)),
        }
    }
    out
}

/// What the readings say, and what to do.
pub(super) fn findings(found: &AsBuiltOutcome, put: &mut impl FnMut(Standing, &'static str, String)) {
    for back in &found.move_back {
        put(Standing::Fails, "ceiling", sentence(&back.sentence));
    }
    for (breach, count) in once(&found.breaches) {
        if breach.rule == Rule::Reading {
            put(Standing::Fails, "ceiling", format!("As built: {}.", breach.sentence));
        } else {
            put(
                Standing::Close,
                "ceiling",
                format!(
                    "As built: {}{}; the sheet As built says how to go on.",
                    breach.sentence,
                    if count > 1 { format!(" ({count} times)") } else { String::new() }
                ),
            );
        }
    }
    let difference = &found.difference;
    put(
        Standing::Holds,
        "ceiling",
        format!(
            "As built: {} bars and {} boards are fixed; of the {} marks that remain {} stay. The layout shown is the one to go on with.",
            found.fixed_bars.len(),
            found.boards_up.len(),
            difference.marks_to_keep,
            difference.marks_kept
        ),
    );
}
