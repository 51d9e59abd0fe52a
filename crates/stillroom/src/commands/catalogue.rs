//! `stillroom catalogue`: what the catalogue holds, each entry with where its numbers come from.

use std::{fmt::Write as _, process::ExitCode};

use anyhow::{Result, bail};
use catalogue::{
    Activity, Background, Bar, Clip, Covering, Door, Entry, Fill, Glass, Kind, Masonry, Membrane,
    OutdoorSound, Seal, Sheet, Source, Stud, Tie, TimberGrade,
};

use crate::report;

/// Lists every kind, or the entries of one.
pub(crate) fn run(kind: Option<&str>) -> Result<ExitCode> {
    let mut text = String::new();
    match kind {
        None => {
            let _ = writeln!(text, "Kinds; `stillroom catalogue KIND` lists one of them.\n");
            for kind in Kind::ALL {
                let _ = writeln!(text, "  {:<18}{} entries", name(kind), catalogue::ids(kind).len());
            }
        }
        Some(wanted) => {
            let Some(kind) = Kind::ALL.into_iter().find(|&kind| name(kind) == wanted.to_lowercase()) else {
                let names: Vec<String> = Kind::ALL.into_iter().map(name).collect();
                bail!("The catalogue has no kind `{wanted}`. It has: {}.", names.join(", "));
            };
            list(kind, &mut text);
        }
    }
    report::say(&text)?;
    Ok(ExitCode::SUCCESS)
}

/// The kind as it is typed: the trade word with dashes.
fn name(kind: Kind) -> String {
    kind.word().replace(' ', "-")
}

fn list(kind: Kind, text: &mut String) {
    match kind {
        Kind::Sheet => entries::<Sheet>(text),
        Kind::Masonry => entries::<Masonry>(text),
        Kind::Fill => entries::<Fill>(text),
        Kind::Membrane => entries::<Membrane>(text),
        Kind::Glass => entries::<Glass>(text),
        Kind::Door => entries::<Door>(text),
        Kind::Seal => entries::<Seal>(text),
        Kind::Stud => entries::<Stud>(text),
        Kind::Clip => entries::<Clip>(text),
        Kind::Bar => entries::<Bar>(text),
        Kind::Tie => entries::<Tie>(text),
        Kind::TimberGrade => entries::<TimberGrade>(text),
        Kind::Covering => entries::<Covering>(text),
        Kind::Source => entries::<Source>(text),
        Kind::OutdoorSound => entries::<OutdoorSound>(text),
        Kind::Background => entries::<Background>(text),
        Kind::Activity => entries::<Activity>(text),
    }
}

fn entries<E: Entry>(text: &mut String) {
    for entry in E::all() {
        let _ = writeln!(text, "{}\n    {}\n    {}", entry.id(), entry.name(), entry.basis().text());
    }
}
