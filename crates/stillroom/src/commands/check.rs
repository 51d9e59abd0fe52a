//! `stillroom check`: diagnostics only.

use std::{path::Path, process::ExitCode};

use anyhow::Result;

use crate::{commands::attached, files, report};

/// Tells what is wrong in a room file; exit code 1 if there is an error.
pub(crate) fn run(room: &Path) -> Result<ExitCode> {
    let text = files::read_text(room)?;
    let name = files::short_name(room);
    let (project, found) = plan::read::read_with(&text, &name, &attached(&text, room));
    report::say(&report::diagnostics(&name, &text, &found))?;
    Ok(if project.is_some() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}
