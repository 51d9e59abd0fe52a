//! `stillroom plan`: the whole plan of a room.

use std::{io::IsTerminal, path::Path, process::ExitCode};

use anyhow::{Context, Result};
use plan::{Plan, Project, project::Paper};
use sheets::terminal::{Setting, summary};

use crate::{
    commands::read_room,
    files, locale,
    progress::{self, Progress},
    report,
};

/// Plans a room file and prints, or writes, what was asked for. Exit code 1 if the file has errors or gives no room.
/// With `choose` it also chooses what to build, for the dossier.
pub(crate) fn run(
    room: &Path,
    out: Option<&Path>,
    (json, choose): (bool, bool),
    paper: Option<Paper>,
) -> Result<ExitCode> {
    let Some(mut project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    if let Some(paper) = paper {
        project.title.paper = paper;
    }
    let plan = planned(&project, room)?;
    if let Some(folder) = out {
        let choice = if choose {
            let _choosing = Progress::of("Choosing what to build");
            Some(plan::choose(&project)?)
        } else {
            None
        };
        let drawing = Progress::of("Drawing the sheets");
        let files = sheets::files_with(&plan, choice.as_ref())?;
        drop(drawing);
        write_all(folder, &files)?;
    }
    if json {
        report::say(&serde_json::to_string_pretty(&plan)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    report::say(&summary(&plan, setting()))?;
    if progress::is_quiet() {
        return Ok(ExitCode::SUCCESS);
    }
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

/// Plans a room that has been read from a file.
pub(crate) fn planned(project: &Project, room: &Path) -> Result<Plan> {
    let _progress = Progress::of("Planning the room");
    plan::plan(project).with_context(|| format!("{} cannot be planned.", files::short_name(room)))
}

/// Writes sheets below a folder.
pub(crate) fn write_all(folder: &Path, sheets: &[sheets::SheetFile]) -> Result<()> {
    let progress = Progress::of_parts("Writing the sheets", sheets.len());
    for file in sheets {
        files::write_whole(&folder.join(&file.path), &file.bytes)?;
        progress.part();
    }
    Ok(())
}

/// Width and style for standard output.
pub(crate) fn setting() -> Setting {
    let terminal = std::io::stdout().is_terminal();
    let width = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok()).unwrap_or(100);
    Setting {
        width,
        styled: terminal && report::colour_wanted(),
        decimals: locale::decimals(),
        day_order: locale::day_order(),
    }
}
