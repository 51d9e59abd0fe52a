//! Readings of what is fixed, and the layout mended round it.

use setout::{
    Ceiling, Layout,
    as_built::{AddedBar, BarReading, BoardReading, ClipReading, Readings, mend},
    check::{Breach, Rule},
};

use crate::{
    assemble::verdicts::{ended, sentence},
    outcome::{AsBuiltOutcome, FoundBar, Plan, SkippedClip, Standing},
    project::{Project, WallId},
};

/// The layout to go on with; and what was found, or why the readings are not counted. The planned layout where nothing is
/// fixed yet.
pub(crate) struct GoOn {
    pub(crate) layout: Layout,
    pub(crate) as_built: Option<AsBuiltOutcome>,
    pub(crate) refused: Option<String>,
}

/// Mends the planned layout round what is fixed. `stamp` is the planned layout's own: readings that name another are not
/// counted, however little the two may differ.
pub(crate) fn mended(project: &Project, given: &Ceiling, planned: Layout, stamp: &str) -> GoOn {
    let Some(readings) = readings(project, &planned) else {
        return GoOn { layout: planned, as_built: None, refused: None };
    };
    let given_stamp = project.as_built.as_ref().and_then(|as_built| as_built.stamp.as_deref());
    if let Some(theirs) = given_stamp
        && theirs.trim() != stamp
    {
        let refused = format!(
            "the readings of what is fixed belong to the layout with the stamp {}, but today's has the stamp {stamp}: bars, clips, joints or \
             boards have other places now, so the readings are not counted; take survey, rules and stock back to what they were, or hold \
             what is fixed against today's marks, read it anew and write stamp = \"{stamp}\"",
            theirs.trim()
        );
        return GoOn { layout: planned, as_built: None, refused: Some(refused) };
    }
    let found = match mend(given, &planned, &readings) {
        Ok(found) => found,
        Err(error) => {
            let refused = format!("nothing is mended round what is fixed: {error}");
            return GoOn { layout: planned, as_built: None, refused: Some(refused) };
        }
    };
    let found_bars = found.built.layout.bars.iter().enumerate().map(|(at, bar)| {
        let was = planned.bars.get(at).map(|was| [was.from, was.to]);
        let fixed = found.built.fixed_bars.contains(&bar.number);
        FoundBar {
            bar: bar.number,
            from: bar.from,
            to: bar.to,
            planned: was,
            off_mm: was.filter(|_| fixed).map(|_| found.off_mm(&planned, bar.number).abs()),
        }
    });
    let outcome = AsBuiltOutcome {
        found_bars: found_bars.collect(),
        stamped: given_stamp.is_some(),
        asks: found.built.asks(),
        fixed_bars: found.built.fixed_bars,
        added_bars: found.built.added_bars,
        skipped_clips: planned
            .clips
            .iter()
            .filter(|clip| found.built.skipped_clips.contains(&clip.number))
            .filter_map(|clip| {
                Some(SkippedClip { clip: clip.number, bar: planned.bars.get(clip.bar)?.number })
            })
            .collect(),
        fixed_clips: found.built.fixed_clips,
        boards_up: found.built.boards_up,
        breaches: found.built.breaches,
        move_back: found.move_back,
        could_move: found.could_move,
        difference: found.difference,
    };
    GoOn { layout: found.layout, as_built: Some(outcome), refused: None }
}

fn readings(project: &Project, planned: &Layout) -> Option<Readings> {
    let given = project.as_built.as_ref()?.counted();
    // The layout may name a wall the other way round.
    let wall_of = |wall: WallId| {
        let name = project.survey.wall_name(wall);
        let turned = name.split_once('-').map(|(a, b)| format!("{b}-{a}")).unwrap_or_default();
        let known = |wall: &str| planned.marks.iter().any(|m| m.wall == wall);
        if !known(&name) && known(&turned) { turned } else { name }
    };
    let readings = Readings {
        bars: given
            .bar
            .iter()
            .map(|one| BarReading { bar: one.bar as usize, wall: wall_of(one.wall), at_mm: one.at_mm })
            .collect(),
        clips: given
            .clip
            .iter()
            .filter(|one| !one.skipped)
            .map(|one| {
                let clip = one.clip as usize;
                let mark = planned.clips.iter().find(|c| c.number == clip).map_or(0.0, |c| c.along_mm);
                ClipReading { clip, along_mm: one.along_mm.unwrap_or(mark) }
            })
            .collect(),
        skipped: given.clip.iter().filter(|one| one.skipped).map(|one| one.clip as usize).collect(),
        boards: given
            .board
            .iter()
            .map(|one| BoardReading {
                piece: one.piece.clone(),
                off_along_mm: one.off_along_mm,
                off_across_mm: one.off_across_mm,
            })
            .collect(),
        added: given
            .added_bar
            .iter()
            .map(|one| AddedBar {
                ends: [(wall_of(one.from_wall), one.from_mm), (wall_of(one.to_wall), one.to_mm)],
                clips_mm: one.clips_mm.clone(),
            })
            .collect(),
    };
    (readings != Readings::default()).then_some(readings)
}

/// What the readings of fixed parts come to, for the verdict.
pub(super) fn words(plan: &Plan) -> (String, Standing) {
    if plan.ceiling.as_built_refused.is_some() {
        let words = "what is fixed not counted: its readings belong to another layout";
        return (words.to_owned(), Standing::Open);
    }
    let Some(found) = &plan.ceiling.as_built else { return ("every rule kept".to_owned(), Standing::Holds) };
    if let Some(bar) = found.move_back.first() {
        let others = if found.move_back.len() > 1 { " and others" } else { "" };
        return (format!("once bar {}{others} moved back", bar.bar), Standing::Fails);
    }
    match found.refused_readings() {
        0 => {}
        1 => return ("one reading of what is fixed fits nothing".to_owned(), Standing::Open),
        more => return (format!("{more} readings of what is fixed fit nothing"), Standing::Open),
    }
    if found.breaches.is_empty() {
        let words = if found.boards_up.is_empty() {
            "every rule kept, what is fixed with them"
        } else {
            "every rule kept, but for what boards that are up may take: joints 3 mm open, staggers 10 mm less"
        };
        return (words.to_owned(), Standing::Holds);
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

/// What the readings say, and what to do. `stamp` is the planned layout's.
pub(super) fn findings(
    found: &AsBuiltOutcome,
    stamp: Option<&str>,
    put: &mut impl FnMut(Standing, &'static str, String),
) {
    if let (false, Some(stamp)) = (found.stamped, stamp) {
        put(
            Standing::Holds,
            "ceiling",
            format!(
                "The readings of what is fixed carry no stamp: write stamp = \"{stamp}\" under [as_built], and they are never taken for \
                 those of another layout."
            ),
        );
    }
    if let Some(asks) = &found.asks {
        put(Standing::Open, "ceiling", format!("As built: {}", ended(asks)));
    }
    for back in &found.move_back {
        put(Standing::Fails, "ceiling", sentence(&back.sentence));
    }
    for stays in &found.could_move {
        put(Standing::Close, "ceiling", sentence(&stays.sentence));
    }
    for (breach, count) in once(&found.breaches) {
        if breach.rule == Rule::Reading {
            put(Standing::Open, "ceiling", format!("As built: {}", ended(&breach.sentence)));
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
            "As built: {} fixed; of the {} marks that remain {} stay. The layout shown is the one to go on with.",
            found.fixed_words(),
            difference.marks_to_keep,
            difference.marks_kept
        ),
    );
}
