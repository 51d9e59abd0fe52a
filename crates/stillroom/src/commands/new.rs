//! `stillroom new`: a starter file for the person's own room.

use std::{path::Path, process::ExitCode};

use anyhow::{Result, bail};

use crate::{files, report};

/// Writes the starter file; never over an existing one.
pub(crate) fn run(dir: &Path) -> Result<ExitCode> {
    let room = dir.join("room.toml");
    if room.exists() {
        bail!("`{}` is there already and stays as it is. Choose another folder.", room.display());
    }
    files::write_whole(&room, plan::starter::starter_text().as_bytes())?;
    report::say(&format!(
        "Wrote {}: a plain room with four walls, every key explained.\n\
         Put in your own tapes, then look it through with\n\n  stillroom check {0}\n\nand plan it with\n\n  \
         stillroom plan {0} --out {1}",
        report::typed(&room),
        report::typed(&dir.join("sheets"))
    ))?;
    Ok(ExitCode::SUCCESS)
}
