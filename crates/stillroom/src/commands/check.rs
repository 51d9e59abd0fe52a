//! `stillroom check`: diagnostics only.

use std::{path::Path, process::ExitCode};

use anyhow::Result;
use plan::Project;
use proof::Recording;

use crate::{
    commands::{attached, other_format},
    files, report,
};

/// Tells what is wrong in a room file, in its words, in its tapes and with the recordings it names; exit code 1 if there is an error.
pub(crate) fn run(room: &Path) -> Result<ExitCode> {
    let text = files::read_text(room)?;
    let name = files::short_name(room);
    if let Some(sentence) = other_format(&text, &name, false) {
        anyhow::bail!(sentence);
    }
    let (project, found) = plan::read::read_with(&text, &name, &attached(&text, room));
    report::say(&report::diagnostics(&name, &text, &found))?;
    let Some(project) = project else { return Ok(ExitCode::from(1)) };
    let all_there = recordings(&project, room)?;
    let none: [&str; 0] = [];
    let shown = |words: &str| project.title.lengths.shown().in_words(words, &none);
    match plan::survey_of(&project) {
        Ok(survey) => {
            // What is suspected stands in it.
            report::say(&format!("The tapes: {}", shown(&survey.quality)))?;
            Ok(ExitCode::from(u8::from(!all_there)))
        }
        Err(error) => {
            // A joist that does not fit is no fault of the tapes.
            let what = if error.is_of_a_joist() {
                "The joists do not fit the room:"
            } else {
                "The tapes give no room."
            };
            report::say(&format!("{what} {}", shown(&error.to_string())))?;
            Ok(ExitCode::from(1))
        }
    }
}

/// Opens every recording the file names, without listening to it. Whether all of them can be opened.
fn recordings(project: &Project, room: &Path) -> Result<bool> {
    let folder = room.parent().unwrap_or(Path::new(""));
    let mut named: Vec<&str> = Vec::new();
    for (_, one) in project.recordings() {
        for file in [&one.file, &one.calibration_file].into_iter().flatten() {
            if !named.contains(&file.as_str()) {
                named.push(file);
            }
        }
    }
    let open = |file: &str| -> Result<()> {
        Recording::open(files::open_sound(&files::inside(folder, file)?)?)?;
        Ok(())
    };
    let mut missing = 0;
    for file in &named {
        if let Err(error) = open(file) {
            missing += 1;
            report::warn(&format!("{file}: {}", report::in_a_line(&error)));
        }
    }
    match (named.len(), missing) {
        (0, _) => {}
        (all, 0) => report::say(&format!("Recordings: {all} named, all of them can be opened."))?,
        (all, missing) => report::say(&format!("Recordings: of {all} named {missing} cannot be opened."))?,
    }
    Ok(missing == 0)
}
