//! `stillroom completions`: what a shell needs so that its Tab key knows the commands.

use std::process::ExitCode;

use anyhow::Result;
use clap::CommandFactory;

use crate::{cli::Cli, report};

/// Prints the completions of a shell.
pub(crate) fn run(shell: clap_complete::Shell) -> Result<ExitCode> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "stillroom", &mut text);
    report::say(&String::from_utf8(text)?)?;
    Ok(ExitCode::SUCCESS)
}
