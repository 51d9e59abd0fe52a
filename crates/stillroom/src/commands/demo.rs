//! `stillroom demo`: the whole job on a room of our own.

use std::{path::Path, process::ExitCode};

use anyhow::Result;

use plan::project::Paper;

use crate::{commands, files, report};

const ROOM: &str = include_str!("../../../../examples/percussion-room/room.toml");

/// Puts the demo into a folder, plans it and writes every sheet. A room file already there is kept and planned.
pub(crate) fn run(into: &Path, paper: Option<Paper>) -> Result<ExitCode> {
    let room = into.join("room.toml");
    if room.exists() {
        report::remark(&format!("`{}` is there already: planning it as it is.", room.display()));
    } else {
        files::write_whole(&room, ROOM.as_bytes())?;
    }
    commands::plan::run(&room, Some(&into.join("sheets")), (false, false), paper)
}
