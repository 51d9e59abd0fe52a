//! One module a command.

pub(crate) mod catalogue;
pub(crate) mod check;
pub(crate) mod choose;
pub(crate) mod completions;
pub(crate) mod decay;
pub(crate) mod demo;
pub(crate) mod difference;
pub(crate) mod element;
pub(crate) mod hear;
pub(crate) mod levels;
pub(crate) mod manual;
pub(crate) mod new;
pub(crate) mod open;
pub(crate) mod plan;
pub(crate) mod proof;
pub(crate) mod rate;
pub(crate) mod recorded;
pub(crate) mod schema;
pub(crate) mod signals;
pub(crate) mod take_in;

use std::{collections::BTreeMap, path::Path};

use anyhow::Result;

use crate::{files, report};

/// Texts of the tables a room or element file names, read from the folder it lies in. A name that leads out of the folder
/// or cannot be read is left out; the reader then says so at its place.
pub(crate) fn attached(text: &str, file: &Path) -> BTreeMap<String, String> {
    let folder = file.parent().unwrap_or(Path::new(""));
    let mut texts = BTreeMap::new();
    for name in ::plan::read::attachments(text) {
        if let Ok(content) = files::inside(folder, &name).and_then(|path| files::read_text(&path)) {
            texts.insert(name, content);
        }
    }
    texts
}

/// Reads a room file and tells what was found in it; none if it has errors.
pub(crate) fn read_room(room: &Path) -> Result<Option<::plan::Project>> {
    let text = files::read_text(room)?;
    let name = files::short_name(room);
    if let Some(sentence) = other_format(&text, &name, false) {
        anyhow::bail!(sentence);
    }
    let (project, found) = ::plan::read::read_with(&text, &name, &attached(&text, room));
    if project.is_none() {
        report::warn(&report::diagnostics(&name, &text, &found));
    } else if !found.is_empty() {
        report::remark(&report::diagnostics(&name, &text, &found));
    }
    Ok(project.map(|project| recorded::with_recordings(project, room)))
}

/// A file given to the command that reads the other format, in a sentence: an element has its layers at the top level, a room
/// has a survey.
pub(crate) fn other_format(text: &str, name: &str, wants_element: bool) -> Option<String> {
    let has = |header: &str| text.lines().any(|line| line.trim_start().starts_with(header));
    let room = has("[survey]") || has("[[survey.") || has("[[wall]]");
    let element = has("[[layer]]");
    match (room, element) {
        (true, false) if wants_element => {
            Some(format!("{name} is a room file: use `stillroom plan` or `stillroom check` for it."))
        }
        (false, true) if !wants_element => {
            Some(format!("{name} is an element file, one build-up alone: use `stillroom element` for it."))
        }
        _ => None,
    }
}
