//! From the text of a file to a project, with every error found in one run.

pub(crate) mod catalogue_names;
pub(crate) mod checks;
mod element_file;
pub(crate) mod field;
mod gaps;
pub(crate) mod keyed;
mod layers;
mod nearest;
pub use nearest::nearest_few;
mod penetrations;
pub(crate) mod reading;
mod receivers;
mod room_file;
mod room_names;
mod spectrum;
mod syntax;
pub(crate) mod wording;

use std::collections::BTreeMap;

use toml::de::DeTable;

pub use spectrum::read_spectrum;

use crate::{
    diagnostic::Diagnostic,
    project::{ElementFile, Project},
    schema::{Shape, Table},
};
use field::Keyed;
use reading::{Reading, table_title};

/// Texts of the files that a room or element file names (`measured_csv = "…"`), by the name as written there.
pub type Attached = BTreeMap<String, String>;

/// Reads a room file that names no other file. The project is there only if no diagnostic is an error.
///
/// `file_name` is only repeated in the diagnostics. They come in the order of the text, all of them in one run.
pub fn read(text: &str, file_name: &str) -> (Option<Project>, Vec<Diagnostic>) {
    read_with(text, file_name, &Attached::new())
}

/// Reads a room file with the texts of the files it names; [`attachments`] says which.
pub fn read_with(text: &str, file_name: &str, attached: &Attached) -> (Option<Project>, Vec<Diagnostic>) {
    decode(text, file_name, attached, room_file::room)
}

/// Reads an element file with the texts of the files it names; [`attachments`] says which. The element is there only
/// if no diagnostic is an error.
pub fn read_element(
    text: &str,
    file_name: &str,
    attached: &Attached,
) -> (Option<ElementFile>, Vec<Diagnostic>) {
    decode(text, file_name, attached, element_file::element)
}

/// Names of the files a room or element file wants to be read with it, in the order of the text, each once.
pub fn attachments(text: &str) -> Vec<String> {
    let (text, _) = without_byte_order_mark(text);
    let (document, _) = DeTable::parse_recoverable(text);
    let mut found = Vec::new();
    let mut add = |table: &DeTable<'_>| {
        if let Some((at, name)) =
            table.get("measured_csv").and_then(|v| v.get_ref().as_str().map(|name| (v.span().start, name)))
        {
            found.push((at, name.to_owned()));
        }
    };
    add(document.get_ref());
    for list in ["buildup", "source"] {
        let entries = document.get_ref().get(list).and_then(|value| value.get_ref().as_array());
        for entry in entries.into_iter().flatten().filter_map(|entry| entry.get_ref().as_table()) {
            add(entry);
        }
    }
    found.sort();
    let mut names: Vec<String> = Vec::new();
    for (_, name) in found {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// The keys of a room file.
pub(crate) fn room_table() -> Table {
    room_file::RoomFile::table()
}

/// The keys of an element file.
pub(crate) fn element_table() -> Table {
    element_file::ElementKeys::table()
}

/// Tables of a room file that know a key, other than the one at `path`, as a person names them.
pub(crate) fn tables_with_key(key: &str, path: &str) -> Vec<String> {
    fn search(table: &Table, at: &str, key: &str, found: &mut Vec<String>) {
        for known in &table.keys {
            if known.name == key && !at.is_empty() {
                found.push(table_title(at));
            }
            let here = if at.is_empty() { known.name.to_owned() } else { format!("{at}.{}", known.name) };
            match &known.shape {
                Shape::Table(inner) => search(inner, &here, key, found),
                Shape::List(of, _) => match &**of {
                    Shape::Table(inner) => search(inner, &format!("{here}[0]"), key, found),
                    Shape::Kinds(kinds) => {
                        for (_, inner) in kinds {
                            search(inner, &format!("{here}[0]"), key, found);
                        }
                    }
                    _ => {}
                },
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    search(&room_table(), "", key, &mut found);
    let own = table_title(path);
    found.retain(|title| *title != own);
    found
}

fn decode<T>(
    text: &str,
    file_name: &str,
    attached: &Attached,
    read: impl FnOnce(&DeTable<'_>, &mut Reading<'_>) -> Option<T>,
) -> (Option<T>, Vec<Diagnostic>) {
    let (text, byte_order_mark) = without_byte_order_mark(text);
    let mut reading = Reading::new(text, file_name, attached);
    let (document, errors) = DeTable::parse_recoverable(text);
    syntax::report(&errors, text, &mut reading);
    let value = read(document.get_ref(), &mut reading);
    let value = value.filter(|_| !reading.has_errors());
    (value, shifted(reading.finish(), byte_order_mark))
}

/// The text without a byte-order mark, and the mark's length.
pub(crate) fn without_byte_order_mark(text: &str) -> (&str, usize) {
    text.strip_prefix('\u{feff}').map_or((text, 0), |rest| (rest, '\u{feff}'.len_utf8()))
}

/// Places counted in the text without its byte-order mark, as places of the whole text.
pub(crate) fn shifted(mut found: Vec<Diagnostic>, by: usize) -> Vec<Diagnostic> {
    for label in found.iter_mut().flat_map(|diagnostic| &mut diagnostic.labels) {
        label.span = label.span.start + by..label.span.end + by;
    }
    found
}
