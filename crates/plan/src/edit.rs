//! Writing single values into a room or element file, keeping its comments, its order and its spacing.
//!
//! A path is written as the diagnostics print it: `limits.headroom_mm`, `joist[2].up_from_laser_mm`,
//! `survey.tape[0]`; entries of a list count from 0.

mod entries;

use std::fmt;

pub use entries::{Contents, append_entry, insert_entry, move_entry};
use thiserror::Error;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

/// A value to write.
#[derive(Clone, Debug, PartialEq)]
pub enum NewValue {
    /// A number; whole ones are written without a point.
    Number(f64),
    /// `true` or `false`.
    YesNo(bool),
    /// Text, written in quotes.
    Text(String),
    /// A list in square brackets.
    List(Vec<NewValue>),
    /// Keys with their values in braces.
    Keys(Vec<(String, NewValue)>),
}

impl From<f64> for NewValue {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<bool> for NewValue {
    fn from(yes: bool) -> Self {
        Self::YesNo(yes)
    }
}

impl From<&str> for NewValue {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl<T: Into<Self>> From<Vec<T>> for NewValue {
    fn from(list: Vec<T>) -> Self {
        Self::List(list.into_iter().map(Into::into).collect())
    }
}

/// Why a file could not be changed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum EditError {
    /// The text is no TOML; the reader says where and why.
    #[error(
        "Nothing was written: the file is no TOML as it stands. Put right what the check of the file names first, then change it again."
    )]
    Unreadable,
    /// The path is not written as a path.
    #[error("`{0}` is no path to a key. Write it like limits.headroom_mm or joist[2].from_mm.")]
    BadPath(String),
    /// There is nothing at the path.
    #[error("The file has no `{0}`.")]
    Missing(String),
    /// What stands at the path is of another sort.
    #[error("`{path}` is {found}, not {expected}.")]
    WrongSort {
        /// The path.
        path: String,
        /// What stands there.
        found: &'static str,
        /// What was needed.
        expected: &'static str,
    },
    /// The value is not a number that can be written.
    #[error("The value for `{0}` is no usable number.")]
    NotANumber(String),
}

/// Sets the value of a key. A key that is not there is added at the end of its table, a table that is not there at the
/// end of the file. The comment behind a value stays. Entries of a list of tables are not made: see [`add_entry`].
pub fn set(text: &str, path: &str, value: impl Into<NewValue>) -> Result<String, EditError> {
    let mut document = Document::open(text)?;
    let steps = steps(path)?;
    let value = toml_value(&value.into(), path)?;
    let Some((last, tables)) = steps.split_last() else { return Err(EditError::BadPath(path.to_owned())) };
    let end = document.last_position() + 1;
    match last {
        Step::Key(key) => {
            let table = table_at(document.toml.as_table_mut(), tables, path, Some(end))?;
            set_key(table, key, value, path)?;
        }
        Step::Entry(key, index) => {
            let table = table_at(document.toml.as_table_mut(), tables, path, None)?;
            let item = table.get_mut(key).ok_or_else(|| EditError::Missing(path.to_owned()))?;
            let found = sort_of(item);
            let list = item.as_array_mut().ok_or_else(|| wrong_sort(path, found, "a list of values"))?;
            let slot = list.get_mut(*index).ok_or_else(|| EditError::Missing(path.to_owned()))?;
            replace_value(slot, value);
        }
    }
    Ok(document.close())
}

/// Adds an entry at the end of a list of tables, `[[list]]`, with its keys in the order given. The list is made, at the
/// end of the file, if there is none.
pub fn add_entry(text: &str, list: &str, keys: &[(&str, NewValue)]) -> Result<String, EditError> {
    let mut document = Document::open(text)?;
    let steps = steps(list)?;
    let Some((Step::Key(name), tables)) = steps.split_last() else {
        return Err(EditError::BadPath(list.to_owned()));
    };
    let end = document.last_position() + 1;
    let mut entry = Table::new();
    for (key, value) in keys {
        entry.insert(key, Item::Value(toml_value(value, key)?));
    }
    let table = table_at(document.toml.as_table_mut(), tables, list, Some(end))?;
    match table.get_mut(name) {
        None => {
            entry.set_position(Some(end));
            let mut entries = ArrayOfTables::new();
            entries.push(entry);
            table.insert(name, Item::ArrayOfTables(entries));
        }
        Some(item) => {
            let found = sort_of(item);
            let entries =
                item.as_array_of_tables_mut().ok_or_else(|| wrong_sort(list, found, "a list of tables"))?;
            entries.push(entry);
        }
    }
    Ok(document.close())
}

/// Takes away a key, a table, or one entry of a list of tables. Comments above it move to what follows; comments within
/// it go with it.
pub fn remove(text: &str, path: &str) -> Result<String, EditError> {
    let mut document = Document::open(text)?;
    let steps = steps(path)?;
    let missing = || EditError::Missing(path.to_owned());
    let Some((last, tables)) = steps.split_last() else { return Err(EditError::BadPath(path.to_owned())) };
    let table = table_at(document.toml.as_table_mut(), tables, path, None)?;
    let orphaned = match last {
        Step::Key(key) => {
            let place = table.iter().position(|(name, _)| name == key).ok_or_else(missing)?;
            let position = table.position().unwrap_or(0);
            let (removed_key, item) = table.remove_entry(key).ok_or_else(missing)?;
            match item {
                Item::Table(removed) => Orphaned::of_table(&removed),
                Item::ArrayOfTables(list) => list.iter().next().and_then(Orphaned::of_table),
                _ => {
                    let above =
                        removed_key.leaf_decor().prefix().and_then(|p| p.as_str()).unwrap_or_default();
                    let comment = above.to_owned();
                    let settled = !comment.contains('#') || give_to_key(table, place, &comment);
                    (!settled).then_some(Orphaned { comment, position })
                }
            }
        }
        Step::Entry(key, index) => {
            let item = table.get_mut(key).ok_or_else(missing)?;
            let found = sort_of(item);
            if let Some(list) = item.as_array_of_tables_mut() {
                if *index >= list.len() {
                    return Err(missing());
                }
                let orphaned = Orphaned::of_table(&list.remove(*index));
                if list.is_empty() {
                    table.remove(key);
                }
                orphaned
            } else {
                let list = item.as_array_mut().ok_or_else(|| wrong_sort(path, found, "a list"))?;
                if *index >= list.len() {
                    return Err(missing());
                }
                list.remove(*index);
                None
            }
        }
    };
    if let Some(orphaned) = orphaned {
        orphaned.settle(&mut document.toml);
    }
    Ok(document.close())
}

/// The document and how its text is written.
struct Document {
    toml: DocumentMut,
    byte_order_mark: bool,
    carriage_returns: bool,
}

impl Document {
    fn open(text: &str) -> Result<Self, EditError> {
        let (plain, mark) = crate::read::without_byte_order_mark(text);
        let toml = plain.replace("\r\n", "\n").parse::<DocumentMut>().map_err(|_| EditError::Unreadable)?;
        Ok(Self { toml, byte_order_mark: mark > 0, carriage_returns: plain.contains("\r\n") })
    }

    fn last_position(&self) -> isize {
        fn last(table: &Table, so_far: isize) -> isize {
            let own = table.position().unwrap_or(0).max(so_far);
            table.iter().fold(own, |most, (_, item)| match item {
                Item::Table(inner) => last(inner, most),
                Item::ArrayOfTables(list) => list.iter().fold(most, |most, inner| last(inner, most)),
                _ => most,
            })
        }
        last(self.toml.as_table(), 0)
    }

    fn close(self) -> String {
        let mut text = self.toml.to_string();
        if self.carriage_returns {
            text = text.replace('\n', "\r\n");
        }
        if self.byte_order_mark {
            text.insert(0, '\u{feff}');
        }
        text
    }
}

/// A comment whose table was taken away, and where that table stood.
struct Orphaned {
    comment: String,
    position: isize,
}

impl Orphaned {
    fn of_table(table: &Table) -> Option<Self> {
        let above = table.decor().prefix().and_then(|prefix| prefix.as_str())?;
        above
            .contains('#')
            .then(|| Self { comment: above.to_owned(), position: table.position().unwrap_or(0) })
    }

    /// Puts the comment above the next table, or at the end of the file.
    fn settle(self, document: &mut DocumentMut) {
        let mut next = None;
        next_position(document.as_table(), self.position, &mut next);
        let settled =
            next.is_some_and(|position| give_to_table(document.as_table_mut(), position, &self.comment));
        if !settled {
            let trailing = document.trailing().as_str().unwrap_or_default().to_owned();
            document.set_trailing(format!("{}{trailing}", self.comment));
        }
    }
}

fn next_position(table: &Table, after: isize, next: &mut Option<isize>) {
    for (_, item) in table {
        let tables: Vec<&Table> = match item {
            Item::Table(inner) => vec![inner],
            Item::ArrayOfTables(list) => list.iter().collect(),
            _ => continue,
        };
        for inner in tables {
            if let Some(position) = inner.position().filter(|p| *p > after && !inner.is_implicit()) {
                *next = Some(next.map_or(position, |known| known.min(position)));
            }
            next_position(inner, after, next);
        }
    }
}

fn give_to_table(table: &mut Table, position: isize, comment: &str) -> bool {
    for (_, item) in table.iter_mut() {
        let tables: Vec<&mut Table> = match item {
            Item::Table(inner) => vec![inner],
            Item::ArrayOfTables(list) => list.iter_mut().collect(),
            _ => continue,
        };
        for inner in tables {
            if inner.position() == Some(position) && !inner.is_implicit() {
                let above =
                    inner.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("\n").to_owned();
                let joined = format!("{}{}", comment, above.trim_start_matches('\n'));
                inner.decor_mut().set_prefix(joined);
                return true;
            }
            if give_to_table(inner, position, comment) {
                return true;
            }
        }
    }
    false
}

/// Puts a comment above the first value at or after a place in a table.
fn give_to_key(table: &mut Table, place: usize, comment: &str) -> bool {
    let Some((mut key, _)) = table.iter_mut().skip(place).find(|(_, item)| item.is_value()) else {
        return false;
    };
    let above = key.leaf_decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or_default().to_owned();
    key.leaf_decor_mut().set_prefix(format!("{comment}{above}"));
    true
}

#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    Entry(String, usize),
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Key(key) => f.write_str(key),
            Self::Entry(key, index) => write!(f, "{key}[{index}]"),
        }
    }
}

fn steps(path: &str) -> Result<Vec<Step>, EditError> {
    let bad = || EditError::BadPath(path.to_owned());
    let plain =
        |key: &str| !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    path.split('.')
        .map(|part| match part.split_once('[') {
            None if plain(part) => Ok(Step::Key(part.to_owned())),
            Some((key, index)) if plain(key) => {
                let index = index.strip_suffix(']').and_then(|digits| digits.parse().ok()).ok_or_else(bad)?;
                Ok(Step::Entry(key.to_owned(), index))
            }
            _ => Err(bad()),
        })
        .collect()
}

/// The table the steps lead to; made where it is missing if `new_position` says where new tables go.
fn table_at<'t>(
    mut table: &'t mut Table,
    steps: &[Step],
    path: &str,
    new_position: Option<isize>,
) -> Result<&'t mut Table, EditError> {
    for step in steps {
        table = match step {
            Step::Key(key) => {
                if !table.contains_key(key) {
                    let Some(position) = new_position else {
                        return Err(EditError::Missing(path.to_owned()));
                    };
                    let mut made = Table::new();
                    made.set_position(Some(position));
                    table.insert(key, Item::Table(made));
                }
                let item = table.get_mut(key).ok_or_else(|| EditError::Missing(path.to_owned()))?;
                let found = sort_of(item);
                item.as_table_mut()
                    .ok_or_else(|| wrong_sort(&step.to_string(), found, "a table under a header"))?
            }
            Step::Entry(key, index) => {
                let item = table.get_mut(key).ok_or_else(|| EditError::Missing(path.to_owned()))?;
                let found = sort_of(item);
                let list = item
                    .as_array_of_tables_mut()
                    .ok_or_else(|| wrong_sort(&step.to_string(), found, "a list of tables"))?;
                list.get_mut(*index).ok_or_else(|| EditError::Missing(path.to_owned()))?
            }
        };
    }
    Ok(table)
}

fn set_key(table: &mut Table, key: &str, value: Value, path: &str) -> Result<(), EditError> {
    match table.get_mut(key) {
        None => {
            table.insert(key, Item::Value(value));
            Ok(())
        }
        Some(Item::Value(old)) => {
            replace_value(old, value);
            Ok(())
        }
        Some(item) => Err(wrong_sort(path, sort_of(item), "a value")),
    }
}

/// Puts a new value where the old one stood, with the old one's spacing and comment.
fn replace_value(old: &mut Value, mut new: Value) {
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

fn toml_value(value: &NewValue, path: &str) -> Result<Value, EditError> {
    Ok(match value {
        NewValue::Number(number) if !number.is_finite() => {
            return Err(EditError::NotANumber(path.to_owned()));
        }
        NewValue::Number(number) if number.fract() == 0.0 && number.abs() < 9e15 => {
            Value::from(*number as i64)
        }
        NewValue::Number(number) => Value::from(*number),
        NewValue::YesNo(yes) => Value::from(*yes),
        NewValue::Text(text) => Value::from(text.as_str()),
        NewValue::List(list) => {
            let mut array = Array::new();
            for item in list {
                array.push(toml_value(item, path)?);
            }
            Value::Array(array)
        }
        NewValue::Keys(keys) => {
            let mut table = InlineTable::new();
            for (key, item) in keys {
                table.insert(key, toml_value(item, path)?);
            }
            Value::InlineTable(table)
        }
    })
}

fn sort_of(item: &Item) -> &'static str {
    match item {
        Item::None => "nothing",
        Item::Table(_) => "a table",
        Item::ArrayOfTables(_) => "a list of tables",
        Item::Value(Value::Array(_)) => "a list of values",
        Item::Value(Value::InlineTable(_)) => "a table in braces",
        Item::Value(_) => "a value",
    }
}

fn wrong_sort(path: &str, found: &'static str, expected: &'static str) -> EditError {
    EditError::WrongSort { path: path.to_owned(), found, expected }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_keeps_its_comment() {
        let text = "# top\n[limits]\nheadroom_mm = 2250   # standing\nlift_kg = 40\n\n# end\n";
        let changed = set(text, "limits.headroom_mm", 2200.0).unwrap();
        assert_eq!(changed, "# top\n[limits]\nheadroom_mm = 2200   # standing\nlift_kg = 40\n\n# end\n");
    }

    #[test]
    fn new_keys_and_tables_are_added_at_the_end() {
        let text = "[limits]\nlift_kg = 40 # two people\n\n[[wall]]\nbetween = \"A-B\"\n";
        let changed = set(text, "limits.headroom_mm", 2200.5).unwrap();
        assert_eq!(
            changed,
            "[limits]\nlift_kg = 40 # two people\nheadroom_mm = 2200.5\n\n[[wall]]\nbetween = \"A-B\"\n"
        );
        let changed = set(text, "site.ground_factor", 1.0).unwrap();
        assert_eq!(changed, format!("{text}\n[site]\nground_factor = 1\n"));
    }

    #[test]
    fn entries_come_and_go() {
        let text =
            "# walls\n[[wall]]\nbetween = \"A-B\"\n\n# second\n[[wall]]\nbetween = \"B-C\"\n\n[roof]\n";
        let added =
            add_entry(text, "wall", &[("between", "C-A".into()), ("height_mm", 2300.0.into())]).unwrap();
        assert_eq!(
            added,
            "# walls\n[[wall]]\nbetween = \"A-B\"\n\n# second\n[[wall]]\nbetween = \"B-C\"\n\n[[wall]]\nbetween = \
             \"C-A\"\nheight_mm = 2300\n\n[roof]\n"
        );
        let removed = remove(text, "wall[1]").unwrap();
        assert_eq!(removed, "# walls\n[[wall]]\nbetween = \"A-B\"\n\n# second\n[roof]\n");
        let first = remove(text, "wall[0]").unwrap();
        assert_eq!(first, "# walls\n# second\n[[wall]]\nbetween = \"B-C\"\n\n[roof]\n");
    }

    #[test]
    fn comments_above_a_removed_key_move_on() {
        let text = "[a]\n# one\nx = 1\n# two\ny = 2\n\n[b]\nz = 3\n";
        assert_eq!(remove(text, "a.x").unwrap(), "[a]\n# one\n# two\ny = 2\n\n[b]\nz = 3\n");
        assert_eq!(remove(text, "a.y").unwrap(), "[a]\n# one\nx = 1\n# two\n[b]\nz = 3\n");
    }

    #[test]
    fn one_reading_of_a_list_can_be_set() {
        let text = "[[joist]]\nup_from_laser_mm = [1138, 1133, 1146] # left\n";
        let changed = set(text, "joist[0].up_from_laser_mm[1]", 1135.0).unwrap();
        assert_eq!(changed, "[[joist]]\nup_from_laser_mm = [1138, 1135, 1146] # left\n");
        let changed = set(text, "joist[0].up_from_laser_mm", vec![1.0, 2.5]).unwrap();
        assert_eq!(changed, "[[joist]]\nup_from_laser_mm = [1, 2.5] # left\n");
    }

    #[test]
    fn line_ends_and_byte_order_mark_stay() {
        let text = "\u{feff}[limits]\r\nlift_kg = 40 # two\r\n";
        assert_eq!(set(text, "limits.lift_kg", 35.0).unwrap(), "\u{feff}[limits]\r\nlift_kg = 35 # two\r\n");
    }

    #[test]
    fn what_cannot_be_done_is_said() {
        let text = "[limits]\nlift_kg = 40\n[[wall]]\nheight_mm = 1\n";
        let said = |result: Result<String, EditError>| result.unwrap_err().to_string();
        assert_eq!(said(set(text, "limits", 1.0)), "`limits` is a table, not a value.");
        assert_eq!(said(set(text, "wall[3].height_mm", 1.0)), "The file has no `wall[3].height_mm`.");
        assert_eq!(said(remove(text, "limits.headroom_mm")), "The file has no `limits.headroom_mm`.");
        assert_eq!(
            said(set(text, "limits.lift_kg", f64::NAN)),
            "The value for `limits.lift_kg` is no usable number."
        );
        assert!(matches!(set("a = ", "b", 1.0), Err(EditError::Unreadable)));
        assert!(matches!(set(text, "a..b", 1.0), Err(EditError::BadPath(_))));
        assert!(matches!(set(text, "a[x", 1.0), Err(EditError::BadPath(_))));
        assert!(matches!(set(text, "", 1.0), Err(EditError::BadPath(_))));
        assert!(matches!(set(text, "limits.lift_kg.deep", 1.0), Err(EditError::WrongSort { .. })));
    }
}
