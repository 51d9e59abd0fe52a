//! `stillroom open`: the local page.

use std::{
    net::Ipv4Addr,
    path::Path,
    process::{Command, ExitCode, Stdio},
};

use anyhow::Result;

use crate::{page, report};

/// Opens a room file as a page in the browser and answers until Ctrl+C.
pub(crate) fn run(
    room: &Path,
    port: u16,
    no_browser: bool,
    (lan, address): (bool, Option<Ipv4Addr>),
) -> Result<ExitCode> {
    let network = if lan { Some(page::own_address(address)?) } else { None };
    let opened = page::open(room, port, network)?;
    let shown = !no_browser && show(&opened.address);
    report::say(&format!(
        "{}\n{}Ctrl+C ends it; the file on disk is always up to date.",
        opened.address,
        if shown { "" } else { "Open this address in a browser of this machine. " }
    ))?;
    if let Some(for_phone) = &opened.for_phone {
        report::say(for_phone)?;
    }
    opened.serve()?;
    Ok(ExitCode::SUCCESS)
}

/// Asks the system to show an address; whether it could be asked.
fn show(address: &str) -> bool {
    let (program, first): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(target_os = "windows") {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    Command::new(program)
        .args(first)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .is_ok()
}
