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
pub(crate) fn run(room: &Path, out: Option<&Path>, json: bool) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let choosing = Progress::of("Choosing what to build");
    let choice = plan::choose(&project)
        .with_context(|| format!("For {} nothing can be chosen.", files::short_name(room)))?;
    drop(choosing);
    if let Some(folder) = out {
        write_all(folder, &sheets::choosing::files(&choice))?;
    }
    if json {
        report::say(&serde_json::to_string_pretty(&choice)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    report::say(&sheets::choosing::summary(&choice, setting().width))?;
    if out.is_none() && !progress::is_quiet() {
        report::say(&format!(
            "\nFor the front and the lists: stillroom choose {} --out {}",
            report::typed(room),
            report::typed(&room.with_file_name("choice"))
        ))?;
    }
    Ok(ExitCode::SUCCESS)
}
