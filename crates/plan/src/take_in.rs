//! Readings taken on site, added to a room file: nothing that stands there is changed or taken away.

use thiserror::Error;

use crate::edit::{self, Contents, EditError, NewValue};

/// Why a file of readings was not taken in; the room file is as it was.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum TakeInError {
    /// The readings are no TOML, or the room file is none.
    #[error("{0} holds no readings that can be read: {1}")]
    Unreadable(&'static str, EditError),
    /// There is nothing to take in.
    #[error(
        "The file has no reading in it. A reading is a [[as_built.bar]], [[as_built.clip]], [[as_built.added_bar]] or [[as_built.board]]."
    )]
    Empty,
    /// One reading lacks something.
    #[error("Reading {number} of [[as_built.{list}]] has no usable `{key}`.")]
    Missing {
        /// Which reading, from 1.
        number: usize,
        /// `bar`, `clip`, `added_bar` or `board`.
        list: &'static str,
        /// The key.
        key: &'static str,
    },
}

/// A room file with the readings added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenIn {
    /// Its new text.
    pub text: String,
    /// How many readings were added.
    pub added: usize,
    /// How many stood there already, word for word, and were not added again.
    pub known: usize,
}

/// What a reading of each list says, the numbers first.
const LISTS: [(&str, &[(&str, Sort)]); 4] = [
    ("bar", &[("bar", Sort::Number), ("wall", Sort::Text), ("at_mm", Sort::Number)]),
    ("clip", &[("clip", Sort::Number), ("along_mm", Sort::Number)]),
    (
        "added_bar",
        &[
            ("from_wall", Sort::Text),
            ("from_mm", Sort::Number),
            ("to_wall", Sort::Text),
            ("to_mm", Sort::Number),
        ],
    ),
    ("board", &[("piece", Sort::Text), ("off_along_mm", Sort::Optional), ("off_across_mm", Sort::Optional)]),
];

#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    Number,
    Text,
    Optional,
}

/// Adds the readings of a file to the text of a room file. Taken in twice, a file adds nothing the second time.
///
/// # Errors
/// Where either text is no TOML, there is no reading, or one lacks a value. Whether the values can be used, the reader of the room file says.
pub fn take_in(room: &str, readings: &str) -> Result<TakenIn, TakeInError> {
    let found = Contents::open(readings).map_err(|error| TakeInError::Unreadable("The file", error))?;
    let mut taken = TakenIn { text: room.to_owned(), added: 0, known: 0 };
    for (list, keys) in LISTS {
        let path = format!("as_built.{list}");
        for at in 0..found.count(&path) {
            let mut entry: Vec<(&str, NewValue)> = Vec::new();
            let mut typed: Vec<Option<String>> = Vec::new();
            for &(key, sort) in keys {
                let words = found.typed(&format!("{path}[{at}].{key}"));
                let value = words.as_deref().and_then(|words| match sort {
                    Sort::Text => Some(NewValue::from(words)),
                    Sort::Number | Sort::Optional => words
                        .replace('_', "")
                        .parse::<f64>()
                        .ok()
                        .filter(|n| n.is_finite())
                        .map(NewValue::from),
                });
                match value {
                    Some(value) => entry.push((key, value)),
                    None if sort == Sort::Optional && words.is_none() => {}
                    None => return Err(TakeInError::Missing { number: at + 1, list, key }),
                }
                typed.push(words);
            }
            let here = Contents::open(&taken.text)
                .map_err(|error| TakeInError::Unreadable("The room file", error))?;
            let same = |old: usize| {
                keys.iter().zip(&typed).all(|(&(key, _), new)| {
                    let stands = here.typed(&format!("{path}[{old}].{key}"));
                    let number =
                        |words: &Option<String>| words.as_deref().and_then(|w| w.parse::<f64>().ok());
                    stands == *new
                        || (number(&stands).is_some()
                            && number(&stands).map(f64::to_bits) == number(new).map(f64::to_bits))
                })
            };
            if (0..here.count(&path)).any(same) {
                taken.known += 1;
                continue;
            }
            taken.text = edit::add_entry(&taken.text, &path, &entry)
                .map_err(|error| TakeInError::Unreadable("The room file", error))?;
            taken.added += 1;
        }
    }
    if taken.added + taken.known == 0 {
        return Err(TakeInError::Empty);
    }
    Ok(taken)
}

#[cfg(test)]
mod tests {
    use super::*;

    const READINGS: &str = "format = 1\n\n[[as_built.bar]]\nbar = 2\nwall = \"A-B\"\nat_mm = 742\n\n[[as_built.board]]\npiece = \"1-07\"\n";

    #[test]
    fn readings_are_added_once_and_nothing_is_lost() {
        let room = "# my room\n[limits]\nlift_kg = 40 # two\n\n[[as_built.bar]]\nbar = 1\nwall = \"A-B\"\nat_mm = 96.5\n";
        let taken = take_in(room, READINGS).unwrap();
        assert_eq!((taken.added, taken.known), (2, 0));
        assert!(taken.text.starts_with(room));
        assert!(taken.text.contains("bar = 2\nwall = \"A-B\"\nat_mm = 742\n"));
        let again = take_in(&taken.text, READINGS).unwrap();
        assert_eq!((again.added, again.known), (0, 2));
        assert_eq!(again.text, taken.text);
    }

    #[test]
    fn what_cannot_be_taken_in_is_said() {
        let said = |readings: &str| take_in("[limits]\n", readings).unwrap_err().to_string();
        assert!(said("bar = ").contains("holds no readings"));
        assert!(said("format = 1\n").contains("no reading in it"));
        let missing = said("[[as_built.bar]]\nbar = 1\nwall = \"A-B\"\n");
        assert_eq!(missing, "Reading 1 of [[as_built.bar]] has no usable `at_mm`.");
        assert!(said("[[as_built.clip]]\nclip = 1\nalong_mm = \"far\"\n").contains("`along_mm`"));
    }
}
