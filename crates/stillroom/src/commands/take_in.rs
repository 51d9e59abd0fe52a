//! `stillroom take-in`: readings from the site page, added to the room file.

use std::{path::Path, process::ExitCode};

use anyhow::{Context, Result};
use plan::{Severity, take_in::Today};

use crate::{commands::attached, files, report};

/// Adds the readings of a file to a room file; nothing in it is changed. Exit code 1 where they cannot be used, or are of another room
/// or layout and it was not said that they are to be taken in `anyway`.
pub(crate) fn run(room: &Path, readings: &Path, anyway: bool) -> Result<ExitCode> {
    let text = files::read_text(room)?;
    let given = files::read_text(readings)?;
    let name = files::short_name(room);
    let (project, found) = plan::read::read_with(&text, &name, &attached(&text, room));
    let Some(project) = project else {
        report::warn(&report::diagnostics(&name, &text, &found));
        report::warn(&format!("Nothing was taken in: `{}` has to be put right first.", room.display()));
        return Ok(ExitCode::from(1));
    };
    let today = Today {
        room: project.title.name.clone(),
        stamp: plan::layout_stamp(&project).with_context(|| format!("{name} cannot be planned."))?,
    };
    let taken = plan::take_in::take_in_of(&text, &given, &today, anyway)?;
    if plan::take_in::reads_hold_points(&given) {
        let plan = plan::plan(&project).with_context(|| format!("{name} cannot be planned."))?;
        plan::take_in::figures_where_asked(&given, &plan)?;
    }
    let (_, found) = plan::read::read_with(&taken.text, &name, &attached(&taken.text, room));
    if found.iter().any(|one| one.severity == Severity::Error) {
        report::warn(&report::diagnostics(&name, &taken.text, &found));
        report::warn(&format!("Nothing was taken in: `{}` is as it was.", room.display()));
        return Ok(ExitCode::from(1));
    }
    if taken.added > 0 {
        files::write_own(room, taken.text.as_bytes())?;
    }
    let readings =
        |count: usize| if count == 1 { "1 reading".to_owned() } else { format!("{count} readings") };
    for note in &taken.notes {
        report::say(note)?;
    }
    report::say(&format!(
        "{} taken in{}.\nThe plan mended round them: stillroom plan {}",
        readings(taken.added),
        if taken.known > 0 {
            format!(", {} stood there already", readings(taken.known))
        } else {
            String::new()
        },
        report::typed(room)
    ))?;
    Ok(ExitCode::SUCCESS)
}
