//! Fields of a page: each stands for one key of the room file.

use maud::{Markup, html};
use plan::{
    OutOfRange,
    edit::{self, Contents, NewValue},
};

use super::{
    desk::Refusal,
    manner::{Manner, is_length, length_of},
    words,
};

/// Which value a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// A number.
    Number,
    /// A word or text.
    Text,
}

impl Sort {
    fn letter(self) -> char {
        match self {
            Self::Number => 'n',
            Self::Text => 't',
        }
    }
}

/// An edit that was not made: it stays in its field with the sentence beside it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kept {
    /// The key whose field it was; empty for one that has no field.
    pub(crate) path: String,
    /// What was typed.
    pub(crate) typed: String,
    /// What is wrong.
    pub(crate) sentence: String,
    /// Every line that is wrong, where a whole text was given.
    pub(crate) found: Vec<plan::Diagnostic>,
    /// Everything typed, where the sentence belongs to a form as a whole.
    pub(crate) pairs: Box<[(String, String)]>,
    /// A number out of its range: told with the name of the field it was typed in, where there is one.
    pub(crate) range: Option<Box<OutOfRange>>,
}

/// What fields are filled from.
pub(crate) struct Filling<'a> {
    /// The file, or nothing where it is no TOML.
    pub(crate) contents: Option<Contents>,
    /// An edit that was not made.
    pub(crate) kept: Option<&'a Kept>,
    /// How numbers are shown.
    pub(crate) manner: Manner,
}

impl Filling<'_> {
    /// What a field shows, and what is wrong with it. `name` is what the field is called.
    fn of(&self, path: &str, name: &str) -> (String, Option<String>) {
        match self.kept.filter(|kept| kept.path == path) {
            Some(kept) => {
                let sentence = kept.range.as_deref().map(|range| words::out_of_range(name, range));
                (kept.typed.clone(), Some(sentence.unwrap_or_else(|| kept.sentence.clone())))
            }
            None => (self.typed(path), None),
        }
    }

    /// What stands in the file at a path; nothing where there is none.
    pub(crate) fn typed(&self, path: &str) -> String {
        self.contents.as_ref().and_then(|contents| contents.typed(path)).unwrap_or_default()
    }

    /// How many entries a list has.
    pub(crate) fn count(&self, list: &str) -> usize {
        self.contents.as_ref().map_or(0, |contents| contents.count(list))
    }

    /// A field for a number; `name` is what a screen reader says.
    pub(crate) fn number(&self, path: &str, name: &str) -> Markup {
        self.number_sent_as(&format!("n:{path}"), path, &id_of(path), name)
    }

    /// A field for a number that stands for `standard` while it is empty.
    pub(crate) fn number_or(&self, path: &str, name: &str, standard: Option<f64>) -> Markup {
        let shown = standard.map(|value| self.manner.field(path, &value.to_string()));
        self.drawn((&format!("n:{path}"), path, &id_of(path)), name, shown.as_deref())
    }

    /// A field for a number that is sent under a name of its own.
    pub(crate) fn number_sent_as(&self, sent: &str, path: &str, id: &str, name: &str) -> Markup {
        self.drawn((sent, path, id), name, None)
    }

    fn drawn(&self, (sent, path, id): (&str, &str, &str), name: &str, while_empty: Option<&str>) -> Markup {
        let (value, wrong) = match self.of(path, name) {
            (value, None) => (self.manner.field(path, &value), None),
            refused => refused,
        };
        html! {
            input type="text" inputmode="decimal" class="number" autocomplete="off" id=(id) name=(sent)
                value=(value) placeholder=[while_empty] aria-label=(name) aria-invalid=[wrong.as_ref().map(|_| "true")]
                aria-describedby=[wrong.as_ref().map(|_| format!("{id}-wrong"))];
            @if let Some(sentence) = wrong { p.wrong id=(format!("{id}-wrong")) role="alert" { (sentence) } }
        }
    }

    /// A field to choose a word in; `options` are the words and what they are called.
    pub(crate) fn choice(&self, path: &str, name: &str, options: &[(String, String)]) -> Markup {
        let (value, wrong) = self.of(path, name);
        let id = id_of(path);
        let known = options.iter().any(|(word, _)| *word == value);
        html! {
            select id=(id) name=(format!("t:{path}")) aria-label=(name) aria-invalid=[wrong.as_ref().map(|_| "true")]
                aria-describedby=[wrong.as_ref().map(|_| format!("{id}-wrong"))] {
                @if !known { option value=(value) selected { (value) } }
                @for (word, called) in options {
                    option value=(word) selected[*word == value] { (called) }
                }
            }
            @if let Some(sentence) = wrong { p.wrong id=(format!("{id}-wrong")) role="alert" { (sentence) } }
        }
    }
}

/// A path as an id of the page.
pub(crate) fn id_of(path: &str) -> String {
    format!("f-{}", path.replace(['.', '['], "-").replace(']', ""))
}

/// A number as people type it: with a decimal comma or point, with spaces in thousands.
pub(crate) fn number_of(typed: &str) -> Option<f64> {
    let plain: String = typed
        .chars()
        .filter(|letter| !matches!(letter, ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '\u{2019}' | '\''))
        .map(|letter| match letter {
            ',' => '.',
            '\u{2212}' | '\u{2013}' => '-',
            other => other,
        })
        .collect();
    if plain.matches('.').count() > 1 || plain.chars().any(char::is_alphabetic) {
        return None;
    }
    plain.parse::<f64>().ok().filter(|number| number.is_finite())
}

/// Whether a number as typed may have a mark between thousands: `2,600`, and `2.600` where decimals have a comma. Read as a decimal it would be
/// a thousand times too small.
pub(crate) fn may_group(typed: &str, comma: bool) -> bool {
    let groups = |mark: char| {
        let mut parts = typed.trim().split(mark);
        let first = parts.next().unwrap_or_default().trim_start_matches(['-', '\u{2212}', '\u{2013}']);
        let digits = |part: &str| part.chars().take_while(char::is_ascii_digit).count();
        let rest: Vec<&str> = parts.collect();
        !rest.is_empty()
            && (1..=3).contains(&digits(first))
            && !first.starts_with('0')
            && rest.iter().all(|part| digits(part) == 3)
    };
    groups(',') || comma && groups('.')
}

/// Writes what fields hold into a text: only those that differ from it. An emptied field takes its key away. `manner` is the one in which the
/// fields were shown.
///
/// # Errors
/// The path and what was typed, with the sentence.
#[allow(clippy::result_large_err, reason = "one refusal an edit, with all a person typed")]
pub(crate) fn write(
    text: &str,
    fields: &[(Sort, String, String)],
    manner: Manner,
) -> Result<String, (Kept, Refusal)> {
    let mut now = text.to_owned();
    for (sort, path, typed) in fields {
        let refused = |sentence: String| {
            let kept = Kept {
                path: path.clone(),
                typed: typed.clone(),
                sentence: sentence.clone(),
                ..Kept::default()
            };
            (kept, Refusal::new(sentence))
        };
        let contents = Contents::open(&now).map_err(|error| refused(error.to_string()))?;
        let stands = contents.typed(path);
        let changed = if typed.trim().is_empty() {
            match stands {
                None => continue,
                Some(_) => edit::remove(&now, path),
            }
        } else {
            let value = match sort {
                Sort::Number => {
                    let length = is_length(path);
                    let number = if length { length_of(typed) } else { number_of(typed) };
                    let number = number.filter(|_| !may_group(typed, manner.comma)).ok_or_else(|| {
                        refused(if length {
                            words::no_length(typed)
                        } else {
                            words::no_number(typed, manner.comma)
                        })
                    })?;
                    // A field that shows sixteenths is not written because it was shown so.
                    if stands.as_deref().is_some_and(|stands| length && manner.field(path, stands) == *typed)
                    {
                        continue;
                    }
                    if stands
                        .as_deref()
                        .and_then(number_of)
                        .is_some_and(|old| old.to_bits() == number.to_bits())
                    {
                        continue;
                    }
                    // Of inches come more decimals than any tape has; what was typed in millimetres stays as it was typed.
                    let of_inches = length && number_of(typed).is_none();
                    NewValue::Number(if of_inches { quantities::format::round_to(number, 2) } else { number })
                }
                Sort::Text => {
                    if stands.as_deref() == Some(typed.as_str()) {
                        continue;
                    }
                    NewValue::Text(typed.clone())
                }
            };
            edit::set(&now, path, value)
        };
        now = changed.map_err(|error| refused(error.to_string()))?;
    }
    Ok(now)
}

/// The fields of a form: names begin with the letter of their sort.
pub(crate) fn of_form(pairs: &[(String, String)]) -> Vec<(Sort, String, String)> {
    pairs
        .iter()
        .filter_map(|(name, value)| {
            let (letter, path) = name.split_once(':')?;
            let sort =
                [Sort::Number, Sort::Text].into_iter().find(|sort| letter == sort.letter().to_string())?;
            Some((sort, path.to_owned(), value.clone()))
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::result_large_err, reason = "as above")]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_type_them() {
        for (typed, number) in [
            ("5235", 5235.0),
            (" 5 235 ", 5235.0),
            ("12,5", 12.5),
            ("\u{2212}4", -4.0),
            ("5\u{202f}235", 5235.0),
        ] {
            assert_eq!(number_of(typed), Some(number), "{typed}");
        }
        for typed in ["", "five", "1.2.3", "inf", "NaN", "5o0", "1e400"] {
            assert_eq!(number_of(typed), None, "{typed}");
        }
    }

    #[test]
    fn only_what_differs_is_written() {
        let text = "[limits]\nlift_kg = 40.0 # two\nmoney = 2600\n";
        let field = |path: &str, typed: &str| vec![(Sort::Number, path.to_owned(), typed.to_owned())];
        let write = |text: &str, typed: &[(Sort, String, String)]| write(text, typed, Manner::default());
        assert_eq!(write(text, &field("limits.lift_kg", "40")).unwrap(), text);
        assert_eq!(write(text, &field("limits.money", "")).unwrap(), "[limits]\nlift_kg = 40.0 # two\n");
        assert_eq!(write(text, &field("limits.headroom_mm", " ")).unwrap(), text);
        let (kept, _) = write(text, &field("limits.money", "lots")).unwrap_err();
        assert_eq!((kept.path.as_str(), kept.typed.as_str()), ("limits.money", "lots"));
        assert!(kept.sentence.contains("is no number"));
    }

    /// A mark between thousands is never read as a decimal one.
    #[test]
    fn thousands_are_not_taken_for_decimals() {
        let text = "[limits]\nmoney = 100\nheadroom_mm = 12\n";
        let typed = |path: &str, typed: &str, manner: Manner| {
            write(text, &[(Sort::Number, path.to_owned(), typed.to_owned())], manner)
        };
        let (plain, comma) = (Manner::default(), Manner { comma: true, ..Manner::default() });
        for (money, manner) in [("2,600", plain), ("12,345", plain), ("2.600", comma), ("1,234,567", plain)] {
            let (kept, _) = typed("limits.money", money, manner).unwrap_err();
            assert!(kept.sentence.contains("thousands"), "{money}: {}", kept.sentence);
        }
        for (money, manner, written) in [
            ("0,125", plain, "0.125"),
            ("2600,5", comma, "2600.5"),
            ("2,60", plain, "2.6"),
            ("2.600", plain, "2.6"),
        ] {
            let text = typed("limits.money", money, manner).unwrap();
            assert!(text.contains(&format!("money = {written}\n")), "{money}: {text}");
        }
        // Half an inch over twelve millimetres is another length, and millimetres stay as they were typed.
        assert!(typed("limits.headroom_mm", "1/2\"", plain).unwrap().contains("headroom_mm = 12.7\n"));
        let feet = Manner { lengths: quantities::lengths::Lengths::FeetAndInches, ..Manner::default() };
        assert_eq!(typed("limits.headroom_mm", "1/2\"", feet).unwrap(), text);
        assert!(typed("limits.headroom_mm", "4.232", plain).unwrap().contains("headroom_mm = 4.232\n"));
        assert!(typed("limits.headroom_mm", "4232 mm", feet).unwrap().contains("headroom_mm = 4232"));
        assert!(typed("limits.headroom_mm", "4.232 m", plain).unwrap().contains("headroom_mm = 4232"));
    }
}
