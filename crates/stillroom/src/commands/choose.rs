//! `stillroom choose`: what to build, and what each decibel costs.

use std::{path::Path, process::ExitCode};

use anyhow::{Context, Result};

use crate::{
    commands::{
        plan::{setting, write_all},
        read_room,
    },
    files,
    progress::{self, Progress},
    report,
};

/// Chooses and prints, or writes, what was asked for. Exit code 1 if the file has errors or gives no room.
/// With `write` the choice goes into the room file, if it keeps every limit.
pub(crate) fn run(room: &Path, out: Option<&Path>, (json, write): (bool, bool)) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let lengths = project.title.lengths.shown();
    let choosing = Progress::of("Choosing what to build");
    let (choice, changes) = plan::choose_with_changes(&project)
        .with_context(|| format!("For {} nothing can be chosen.", files::short_name(room)))?;
    drop(choosing);
    if let Some(folder) = out {
        write_all(folder, &sheets::choosing::files(&choice, lengths))?;
    }
    let written = if write { put(room, &project, &choice, &changes)? } else { Ok(String::new()) };
    let code = ExitCode::from(u8::from(written.is_err()));
    let words = written.unwrap_or_else(|refused| refused);
    if json {
        if write {
            report::warn(&words);
        }
        report::say(&serde_json::to_string_pretty(&choice)?)?;
        return Ok(code);
    }
    let decimals = project.title.numbers.map(plan::project::NumbersIn::shown);
    report::say_figures(&sheets::choosing::summary(&choice, setting().width, lengths), decimals)?;
    if out.is_none() && !progress::is_quiet() {
        report::say(&format!(
            "\nFor the front and the lists: stillroom choose {} --out {}",
            report::typed(room),
            report::typed(&room.with_file_name("choice"))
        ))?;
    }
    if write {
        report::say(&format!("\n{words}"))?;
    }
    Ok(code)
}

/// Puts the choice into the room file; what was done, or why not, in a sentence.
fn put(
    room: &Path,
    project: &plan::project::Project,
    choice: &plan::Choice,
    changes: &plan::choosing::Changes,
) -> Result<Result<String, String>> {
    let name = files::short_name(room);
    if !choice.holds {
        return Ok(Err(format!(
            "Nothing was written: no set was found that keeps every limit. Loosen what stands in the way in `{name}`, then choose again."
        )));
    }
    let failing = choice.verified.iter().flat_map(|whole| &whole.newly_failing).next();
    if let Some(sentence) = failing {
        return Ok(Err(format!(
            "Nothing was written: planned whole, what is chosen fails. {sentence} Rule that out in `{name}` (`[choose]`, `leave`, a limit or a \
             size of board), then choose again."
        )));
    }
    if changes.is_empty() {
        return Ok(Ok(format!("`{name}` is as chosen already: nothing was written.")));
    }
    let text = files::read_text(room)?;
    Ok(match changes.written(&text, project) {
        Ok(text) => {
            files::write_own(room, text.as_bytes())?;
            Ok(format!("The choice stands in `{name}` now: stillroom plan {}", report::typed(room)))
        }
        Err(error) => Err(format!("`{name}` was left as it is. {error}")),
    })
}
