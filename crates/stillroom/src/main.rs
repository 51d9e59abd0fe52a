//! Stillroom: from tape measures to a plan for a room that keeps loud sound in and outside noise out.

mod cli;
mod commands;
mod files;
mod locale;
mod page;
mod progress;
mod report;
mod version;

use std::process::ExitCode;

use clap::Parser;

use cli::{Cli, Command};

fn main() -> ExitCode {
    let cli = Cli::parse();
    progress::set_quiet(cli.quiet);
    let outcome = match cli.command {
        Command::Demo { into, paper } => commands::demo::run(&into, paper.map(Into::into)),
        Command::New { dir } => commands::new::run(&dir),
        Command::Check { room } => commands::check::run(&room),
        Command::Plan { room, out, choose, json, paper } => {
            commands::plan::run(&room, out.as_deref(), (json, choose), paper.map(Into::into))
        }
        Command::Proof { room, json, keep } => commands::proof::run(&room, json, keep),
        Command::Hear { room, out, from } => commands::hear::run(&room, &out, from.as_deref()),
        Command::Choose { room, out, json, write } => {
            commands::choose::run(&room, out.as_deref(), (json, write))
        }
        Command::Open { room, port, no_browser, lan, lan_address } => {
            commands::open::run(&room, port, no_browser, (lan, lan_address))
        }
        Command::TakeIn { room, readings, anyway } => commands::take_in::run(&room, &readings, anyway),
        Command::Element { file, json } => commands::element::run(&file, json),
        Command::Rate { file, json } => commands::rate::run(&file, json),
        Command::Catalogue { kind } => commands::catalogue::run(kind.as_deref()),
        Command::Signals { dir, level, rate } => commands::signals::run(&dir, level, rate),
        Command::Levels { files, calibration, calibration_level, background, channel, out, json } => {
            commands::levels::run(&commands::levels::Asked {
                files,
                calibration: calibration.zip(calibration_level),
                background,
                channel,
                out,
                json,
            })
        }
        Command::Decay { files, kind, channel, json } => commands::decay::run(&files, kind, channel, json),
        Command::Schema { format } => commands::schema::run(format),
        Command::Completions { shell } => commands::completions::run(shell),
        Command::Manual { dir } => commands::manual::run(&dir),
    };
    match outcome {
        Ok(code) => code,
        Err(error) if report::is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            report::failure(&error);
            ExitCode::from(1)
        }
    }
}
