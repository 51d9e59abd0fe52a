//! `stillroom schema`: the JSON Schema of a file format.

use std::process::ExitCode;

use anyhow::Result;

use crate::report;

/// The formats that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Format {
    /// A room file
    Room,
    /// An element file
    Element,
    /// The plan that `plan --json` writes
    Plan,
    /// The choice that `choose --json` writes
    Choice,
}

/// Prints a schema.
pub(crate) fn run(format: Format) -> Result<ExitCode> {
    let schema = match format {
        Format::Room => plan::schema::room_schema(),
        Format::Element => plan::schema::element_schema(),
        Format::Plan => {
            report::say(plan::schema::plan_schema())?;
            return Ok(ExitCode::SUCCESS);
        }
        Format::Choice => {
            report::say(plan::schema::choice_schema())?;
            return Ok(ExitCode::SUCCESS);
        }
    };
    report::say(&serde_json::to_string_pretty(&schema)?)?;
    Ok(ExitCode::SUCCESS)
}
