//! `stillroom check`: diagnostics only.

use std::{path::Path, process::ExitCode};

use anyhow::Result;

use crate::{
    commands::{attached, other_format},
    files, report,
};

/// Tells what is wrong in a room file, in its words and in its tapes; exit code 1 if there is an error.
pub(crate) fn run(room: &Path) -> Result<ExitCode> {
    let text = files::read_text(room)?;
    let name = files::short_name(room);
    if let Some(sentence) = other_format(&text, &name, false) {
        anyhow::bail!(sentence);
    }
    let (project, found) = plan::read::read_with(&text, &name, &attached(&text, room));
    report::say(&report::diagnostics(&name, &text, &found))?;
    let Some(project) = project else { return Ok(ExitCode::from(1)) };
    let none: [&str; 0] = [];
    let shown = |words: &str| project.title.lengths.shown().in_words(words, &none);
    match plan::survey_of(&project) {
        Ok(survey) => {
            // What is suspected stands in it.
            report::say(&format!("The tapes: {}", shown(&survey.quality)))?;
            Ok(ExitCode::SUCCESS)
        }
        Err(error) => {
            report::say(&format!("The tapes give no room. {}", shown(&error.to_string())))?;
            Ok(ExitCode::from(1))
        }
    }
}
