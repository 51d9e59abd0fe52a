//! How one value of the file becomes one field: numbers, words, text, lists and tables.

use std::ops::Range;

use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

use crate::{
    diagnostic::OutOfRange,
    read::{
        Attached,
        nearest::nearest,
        reading::{Reading, joined, table_title},
        wording::{example, list_names, list_words, plain, shown},
    },
    schema::{Shape, Table, unit_of},
};

/// Something a key of the file can hold.
pub(crate) trait Field: Sized {
    /// Whether a table without the key is incomplete.
    const REQUIRED: bool = true;
    /// Whether it is a table of its own, written `[key]` or `[[key]]`.
    const IS_TABLE: bool = false;

    /// What it is, for messages, schema and reference.
    fn shape() -> Shape;

    /// The value of a key that is not there.
    fn absent() -> Option<Self> {
        None
    }

    /// What stands in for a value that could not be read and was reported.
    fn after_error() -> Option<Self> {
        None
    }

    /// Reads the value; reports and returns nothing where it cannot be read.
    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self>;
}

/// A struct whose fields are keys of a table.
pub(crate) trait Keyed: Sized {
    /// The keys it knows.
    const NAMES: &'static [&'static str];

    /// The keys in full.
    fn table() -> Table;

    /// Reads all keys of a table; reports everything wrong, then returns nothing if anything needed is.
    fn decode_rows(rows: &Rows<'_, '_>, reading: &mut Reading<'_>) -> Option<Self>;
}

/// A key, what it says and its range.
pub(crate) struct KeyText {
    pub(crate) name: &'static str,
    pub(crate) about: &'static str,
    pub(crate) range: Option<(f64, f64)>,
}

/// A value and the key it belongs to.
pub(crate) struct Slot<'a, 'i> {
    /// Path of the value: `survey.tape[0].floor_mm`.
    pub(crate) path: String,
    /// Name of the key.
    pub(crate) key: &'a str,
    /// What the key says.
    pub(crate) about: &'a str,
    /// Range its numbers must lie in.
    pub(crate) range: Option<(f64, f64)>,
    /// The value.
    pub(crate) value: &'a Spanned<DeValue<'i>>,
}

impl<'a, 'i> Slot<'a, 'i> {
    /// The value as a table.
    pub(crate) fn rows(&self, reading: &mut Reading<'_>) -> Option<Rows<'a, 'i>> {
        match self.value.get_ref() {
            DeValue::Table(table) => Some(Rows { path: self.path.clone(), table, span: self.value.span() }),
            DeValue::Array(list) if list.iter().all(|v| v.get_ref().is_table()) && !list.is_empty() => {
                let key = table_title(&self.path);
                reading
                    .error("one-table", &self.path, format!("There can be only one {key}."))
                    .help(format!("Write the header with single brackets, {key}, once in the file."));
                None
            }
            _ => {
                self.wrong_type(reading, "a table of keys");
                None
            }
        }
    }

    /// The value as one of some words.
    pub(crate) fn word<T>(
        &self,
        reading: &mut Reading<'_>,
        words: &[(&'static str, &'static str)],
        from_word: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let text = self.text(reading, &format!("one of the words {}", list_words(words)))?;
        let known = from_word(text);
        if known.is_none() {
            let near = nearest(text, words.iter().map(|(word, _)| *word));
            reading
                .error("unknown-word", &self.path, format!("`{}` cannot be \"{}\".", self.key, shown(text)))
                .here("not a known word")
                .help(match near {
                    Some(word) => format!("Did you mean \"{word}\"? Known are {}.", list_words(words)),
                    None => format!("Write {}.", list_words(words)),
                });
        }
        known
    }

    /// The value as text.
    pub(crate) fn text(&self, reading: &mut Reading<'_>, expected: &str) -> Option<&'a str> {
        if let DeValue::String(text) = self.value.get_ref() {
            Some(text)
        } else {
            self.wrong_type(reading, expected);
            None
        }
    }

    /// The value as a number, in its range.
    pub(crate) fn number(&self, reading: &mut Reading<'_>) -> Option<f64> {
        let number = match self.value.get_ref() {
            DeValue::Integer(whole) => {
                i64::from_str_radix(whole.as_str(), whole.radix()).ok().map(|n| n as f64)
            }
            DeValue::Float(number) => number.as_str().parse::<f64>().ok(),
            // A length may be written as it was taped: 8' 4 3/16".
            DeValue::String(text)
                if unit_of(self.key) == Some("mm") && quantities::feet_inches::parse_mm(text).is_some() =>
            {
                quantities::feet_inches::parse_mm(text)
            }
            DeValue::String(text) => {
                if unit_of(self.key) == Some("mm") && quantities::feet_inches::groups_thousands(text) {
                    let help = "Write no comma within a number: `1200`, or `100'` for feet.".to_owned();
                    self.wrong_type(reading, "a number").help_if(Some(help));
                    return None;
                }
                let help = text
                    .trim()
                    .parse::<f64>()
                    .ok()
                    .filter(|n| n.is_finite())
                    .map(|n| format!("Leave the quotes away: `{} = {}`.", self.key, plain(n)));
                self.wrong_type(reading, "a number").help_if(help);
                return None;
            }
            _ => {
                self.wrong_type(reading, "a number");
                return None;
            }
        };
        let (least, most) = self.range.unwrap_or((f64::MIN, f64::MAX));
        match number {
            Some(number) if least <= number && number <= most => Some(number),
            _ => {
                self.out_of_range(reading, number);
                None
            }
        }
    }

    fn out_of_range(&self, reading: &mut Reading<'_>, number: Option<f64>) {
        let (least, most) = self.range.unwrap_or((f64::MIN, f64::MAX));
        let unit = unit_of(self.key).map_or_else(String::new, |unit| format!(" {unit}"));
        let meant = number.and_then(|n| self.other_unit(n, least, most));
        let range = OutOfRange {
            number: number.filter(|n| n.is_finite()).map(|n| format!("{}{unit}", plain(n))),
            least: plain(least),
            most: format!("{}{unit}", plain(most)),
            meant: meant.map(|(meant, number)| (meant, plain(number))),
            about: self.about.to_owned(),
        };
        let help = match &range.meant {
            Some((meant, number)) => {
                format!("If that was meant in {meant}, write `{} = {number}`.", self.key)
            }
            None => format!("`{}`: {}", self.key, self.about),
        };
        let told = range.told(&format!("`{}`", self.key));
        reading
            .error("out-of-range", &self.path, told)
            .here(format!("from {} to {}", plain(least), plain(most)))
            .help(help)
            .range = Some(range);
    }

    /// In what the number may have been meant, and the same in the unit the key wants, when that would fit.
    fn other_unit(&self, number: f64, least: f64, most: f64) -> Option<(&'static str, f64)> {
        let fits = |n: f64| n != 0.0 && least <= n && n <= most;
        let (factor, meant) = match unit_of(self.key)? {
            "mm" if fits(number * 1000.0) && number.abs() < 100.0 => (1000.0, "metres"),
            "mm" if fits(number * 10.0) => (10.0, "centimetres"),
            "m" if fits(number / 1000.0) => (0.001, "millimetres"),
            _ => return None,
        };
        Some((meant, number * factor))
    }

    /// Reports that the value is of the wrong sort.
    pub(crate) fn wrong_type<'r>(
        &self,
        reading: &'r mut Reading<'_>,
        expected: &str,
    ) -> &'r mut crate::Diagnostic {
        let found = match self.value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        reading
            .error(
                "wrong-type",
                &self.path,
                format!("`{}` must be {expected}; here stands {found}.", self.key),
            )
            .here(format!("{found} stands here"))
            .help(format!("`{}`: {}", self.key, self.about))
    }
}

/// A table of the file and its path.
pub(crate) struct Rows<'a, 'i> {
    /// Path of the table: `survey.tape[0]`.
    pub(crate) path: String,
    /// Its keys.
    pub(crate) table: &'a DeTable<'i>,
    /// Where it stands: its header, or its braces.
    pub(crate) span: Range<usize>,
}

impl Rows<'_, '_> {
    /// Path of one of its keys.
    pub(crate) fn path_of(&self, key: &str) -> String {
        joined(&self.path, key)
    }

    /// Reads one key.
    pub(crate) fn take<T: Field>(
        &self,
        reading: &mut Reading<'_>,
        key: &KeyText,
        default: Option<T>,
    ) -> Option<T> {
        let path = self.path_of(key.name);
        let Some((name, value)) = self.table.get_key_value(key.name) else {
            return default.or_else(T::absent).or_else(|| {
                self.report_missing(reading, key, &T::shape());
                T::after_error()
            });
        };
        reading.note_standing(&path, name.span(), value.span());
        let slot = Slot { path, key: key.name, about: key.about, range: key.range, value };
        T::decode(&slot, reading).or_else(T::after_error)
    }

    /// The text of a key, if it is there and text: for messages and for choosing what to read.
    pub(crate) fn peek_text(&self, key: &str) -> Option<&str> {
        self.table.get(key).and_then(|value| value.get_ref().as_str())
    }

    /// How a person names this table: its header and, where it has one, its name.
    pub(crate) fn title(&self) -> String {
        let title = table_title(&self.path);
        let name = ["name", "id", "between", "where"].iter().find_map(|key| self.peek_text(key));
        match (name, self.path.ends_with(']')) {
            (Some(name), true) => format!("{title} \"{}\"", shown(name)),
            _ => title,
        }
    }

    /// Reports each key that is not one of the known.
    pub(crate) fn report_unknown_keys(&self, reading: &mut Reading<'_>, known: &[&'static str]) {
        for (name, value) in self.table {
            let key: &str = name.get_ref();
            if known.contains(&key) {
                continue;
            }
            let path = self.path_of(key);
            reading.note_standing(&path, name.span(), value.span());
            let what = if value.get_ref().is_table() || is_list_of_tables(value.get_ref()) {
                "table"
            } else {
                "key"
            };
            let near = nearest(key, known.iter().copied().filter(|k| !self.table.contains_key(*k)))
                .or_else(|| nearest(key, known.iter().copied()));
            if let Some(near) = near {
                reading.note_suggested(self.path_of(near));
            }
            let elsewhere = crate::read::tables_with_key(key, &self.path);
            let help = match (near, elsewhere.first()) {
                (Some(near), _) => format!("Did you mean `{near}`?"),
                (None, Some(table)) => format!("`{key}` belongs in {table}."),
                (None, None) => format!("Known here are {}.", list_names(known.iter().copied(), 24)),
            };
            let title = self.title();
            let message = if self.path.is_empty() {
                format!("The file has no {what} `{}`.", shown(key))
            } else {
                format!("{title} has no {what} `{}`.", shown(key))
            };
            reading.error_at("unknown-key", name.span(), Some(&path), message).here("not known").help(help);
        }
    }

    fn report_missing(&self, reading: &mut Reading<'_>, key: &KeyText, shape: &Shape) {
        if reading.was_suggested(&self.path_of(key.name)) {
            return;
        }
        let title = self.title();
        let example = example(shape, key, reading);
        let message = match shape {
            Shape::Table(_) if self.path.is_empty() => format!("The table [{}] is missing.", key.name),
            _ if self.path.is_empty() => format!("The key `{}` is missing at the top of the file.", key.name),
            _ => format!("{title} needs the key `{}`.", key.name),
        };
        let path = self.path_of(key.name);
        reading
            .error_at("missing-key", self.span.clone(), Some(&path), message)
            .here(format!("`{}` is missing", key.name))
            .help(format!("{} {example}", key.about));
    }
}

fn is_list_of_tables(value: &DeValue<'_>) -> bool {
    value.as_array().is_some_and(|list| !list.is_empty() && list.iter().all(|v| v.get_ref().is_table()))
}

impl Field for f64 {
    fn shape() -> Shape {
        Shape::Number
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        slot.number(reading)
    }
}

impl Field for u32 {
    fn shape() -> Shape {
        Shape::Whole
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let number = slot.number(reading)?;
        if number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number) {
            Some(number as u32)
        } else {
            reading
                .error(
                    "not-whole",
                    &slot.path,
                    format!("`{}` must be a whole number, not {}.", slot.key, plain(number)),
                )
                .help(format!("Write `{} = {}`.", slot.key, plain(number.abs().round())));
            None
        }
    }
}

impl Field for bool {
    fn shape() -> Shape {
        Shape::YesNo
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let value = slot.value.get_ref().as_bool();
        if value.is_none() {
            slot.wrong_type(reading, "true or false, without quotes");
        }
        value
    }
}

/// Longest text a key may hold, in characters.
const LONGEST_TEXT: usize = 400;

impl Field for String {
    fn shape() -> Shape {
        Shape::Text
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        if let DeValue::Datetime(date) = slot.value.get_ref() {
            return Some(date.to_string());
        }
        let text = slot.text(reading, "text in quotes")?;
        let wrong = if text.trim().is_empty() {
            "is empty"
        } else if text.chars().count() > LONGEST_TEXT {
            "is longer than 400 letters"
        } else if text.chars().any(char::is_control) {
            "holds a line break or another sign that cannot be printed"
        } else {
            return Some(text.to_owned());
        };
        reading
            .error("bad-text", &slot.path, format!("`{}` {wrong}.", slot.key))
            .help("Write one short line of text in quotes, or leave the key away if it is not needed.");
        None
    }
}

impl<T: Field> Field for Option<T> {
    const REQUIRED: bool = false;
    const IS_TABLE: bool = T::IS_TABLE;

    fn shape() -> Shape {
        T::shape()
    }

    fn absent() -> Option<Self> {
        Some(None)
    }

    fn after_error() -> Option<Self> {
        Some(None)
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        T::decode(slot, reading).map(Some)
    }
}

impl<T: Field> Field for Vec<T> {
    const REQUIRED: bool = !T::IS_TABLE;

    fn shape() -> Shape {
        Shape::List(Box::new(T::shape()), None)
    }

    fn absent() -> Option<Self> {
        T::IS_TABLE.then(Vec::new)
    }

    fn after_error() -> Option<Self> {
        Some(Vec::new())
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let DeValue::Array(list) = slot.value.get_ref() else {
            if T::IS_TABLE && slot.value.get_ref().is_table() {
                let title = table_title(&slot.path);
                reading
                    .error(
                        "many-tables",
                        &slot.path,
                        format!("{title} needs double brackets: there can be several."),
                    )
                    .help(format!("Write [{title}]."));
            } else {
                slot.wrong_type(reading, "a list in square brackets");
            }
            return None;
        };
        let mut kept = Vec::new();
        let mut items = Vec::new();
        for (index, value) in list.iter().enumerate() {
            let path = format!("{}[{index}]", slot.path);
            reading.note_standing(&path, value.span(), value.span());
            let item = Slot { path, key: slot.key, about: slot.about, range: slot.range, value };
            if let Some(item) = T::decode(&item, reading) {
                kept.push(index);
                items.push(item);
            }
        }
        reading.note_kept(&slot.path, kept, list.len());
        Some(items)
    }
}

impl<const N: usize> Field for [f64; N] {
    fn shape() -> Shape {
        Shape::List(Box::new(Shape::Number), Some(N))
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let wanted = if N == 12 {
            "one number for each month, January first".to_owned()
        } else {
            format!("{N} numbers")
        };
        let DeValue::Array(list) = slot.value.get_ref() else {
            slot.wrong_type(reading, &format!("a list of {wanted}"));
            return None;
        };
        if list.len() != N {
            let count = list.len();
            reading
                .error(
                    "wrong-count",
                    &slot.path,
                    format!("`{}` must be {wanted}; here stand {count}.", slot.key),
                )
                .help(format!("Write {N} numbers in square brackets, separated by commas."));
            return None;
        }
        let numbers: Vec<f64> = Vec::<f64>::decode(slot, reading)?;
        numbers.try_into().ok()
    }
}

/// A table that must be there, yet whose faults must not hide those of other tables.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct Needed<T>(pub(crate) Option<T>);

impl<T: Field> Field for Needed<T> {
    const IS_TABLE: bool = T::IS_TABLE;

    fn shape() -> Shape {
        T::shape()
    }

    fn after_error() -> Option<Self> {
        Some(Self(None))
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        T::decode(slot, reading).map(|value| Self(Some(value)))
    }
}

/// A table that may be left away because all its keys have defaults.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct OrDefaults<T>(pub(crate) T);

impl<T: Keyed + Field> Field for OrDefaults<T> {
    const REQUIRED: bool = false;
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        T::shape()
    }

    fn absent() -> Option<Self> {
        let attached = Attached::new();
        let mut reading = Reading::new("", "", &attached);
        let rows = Rows { path: String::new(), table: &DeTable::new(), span: 0..0 };
        T::decode_rows(&rows, &mut reading).map(Self)
    }

    fn after_error() -> Option<Self> {
        Self::absent()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        T::decode(slot, reading).map(Self)
    }
}
