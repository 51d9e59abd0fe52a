//! `stillroom manual`: the manual pages.

use std::{path::Path, process::ExitCode};

use anyhow::Result;
use clap::CommandFactory;

use crate::{cli::Cli, files, report};

/// Writes `stillroom.1` and a page for each command.
pub(crate) fn run(dir: &Path) -> Result<ExitCode> {
    let pages = pages()?;
    for (name, page) in &pages {
        files::write_whole(&dir.join(name), page)?;
    }
    report::say(&format!(
        "Wrote {} manual pages. Read the first with: man -l {}",
        pages.len(),
        report::typed(&dir.join("stillroom.1"))
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// Name and text of every page.
fn pages() -> Result<Vec<(String, Vec<u8>)>> {
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut pages = vec![page("stillroom", program.clone())?];
    for command in program.get_subcommands() {
        let name = format!("stillroom-{}", command.get_name());
        pages.push(page(&name, command.clone())?);
    }
    Ok(pages)
}

/// One page. No date stands on it: the same program writes the same pages on any day.
fn page(name: &str, command: clap::Command) -> Result<(String, Vec<u8>)> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command)
        .title(name.to_owned())
        .manual("Stillroom")
        .source(format!("stillroom {}", env!("CARGO_PKG_VERSION")))
        .render(&mut text)?;
    Ok((format!("{name}.1"), text))
}
