//! `stillroom plan`: the whole plan of a room.

use std::{io::IsTerminal, path::Path, process::ExitCode};

use anyhow::{Context, Result};
use sheets::terminal::{Setting, summary};

use crate::{commands::read_room, files, report};

/// Plans a room file and prints, or writes, what was asked for. Exit code 1 if the file has errors or gives no room.
pub(crate) fn run(room: &Path, out: Option<&Path>, json: bool) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let plan =
        plan::plan(&project).with_context(|| format!("{} cannot be planned.", files::short_name(room)))?;
    if let Some(folder) = out {
        for file in sheets::files(&plan)? {
            files::write_whole(&folder.join(&file.path), &file.bytes)?;
        }
    }
    if json {
        report::say(&serde_json::to_string_pretty(&plan)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    report::say(&summary(&plan, setting()))?;
    report::say(&match out {
        Some(folder) => format!(
            "\nWhere to look\n  {}  everything on paper\n  {}  each drawing (SVG, DXF)\n  {}  each list (CSV)\n  {}  the whole \
             plan (JSON)",
            folder.join("dossier.pdf").display(),
            folder.join("drawings").display(),
            folder.join("lists").display(),
            folder.join("plan.json").display()
        ),
        None => format!(
            "\nFor drawings and lists: stillroom plan {} --out {}",
            report::typed(room),
            report::typed(&room.with_file_name("sheets"))
        ),
    })?;
    Ok(ExitCode::SUCCESS)
}

/// Width and style for standard output.
pub(crate) fn setting() -> Setting {
    let terminal = std::io::stdout().is_terminal();
    let width = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok()).unwrap_or(100);
    Setting { width, styled: terminal && std::env::var_os("NO_COLOR").is_none() }
}
