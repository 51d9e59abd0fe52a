//! What a reader sets decimals apart with, and in which order a day is written.
//!
//! Everything is worked out, kept and told with points, days as year-month-day. What goes out to a reader is put into the reader's manner last.
//! Thousands stay apart by a thin space, as ISO 80000-1:2009, 7.3.1 has it: no reader takes it for a decimal sign.

use std::borrow::Cow;

use crate::format::THIN_SPACE;

/// Words after which a number with a point is the number of a place in a document, not a decimal.
const OF_A_DOCUMENT: [&str; 11] = [
    "annex", "chapter", "clause", "clauses", "eq.", "equation", "figure", "section", "table", "tables",
    "version",
];
/// Words between two such numbers of one row.
const GOES_ON: [&str; 4] = [", ", " and ", " to ", "–"];

/// What sets the decimals of a number apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Decimals {
    /// `12.5`
    #[default]
    Point,
    /// `12,5`
    Comma,
}

impl Decimals {
    /// Whether by a comma.
    pub const fn is_comma(self) -> bool {
        matches!(self, Self::Comma)
    }

    /// Words as they were written with points, put into this manner. What stands in backticks is typed as it stands, and so stay names, numbers
    /// of clauses and versions such as `1.2.3`.
    pub fn in_words(self, words: &str) -> Cow<'_, str> {
        if !self.is_comma() || !words.contains('.') {
            return Cow::Borrowed(words);
        }
        let mut shown = String::with_capacity(words.len());
        for (at, part) in words.split('`').enumerate() {
            if at > 0 {
                shown.push('`');
            }
            if at % 2 == 0 {
                with_comma(part, &mut shown);
            } else {
                shown.push_str(part);
            }
        }
        Cow::Owned(shown)
    }

    /// The same with names that are kept as they are, such as what a person called the room.
    pub fn in_words_but<'w>(self, words: &'w str, kept: &[&str]) -> Cow<'w, str> {
        let name = kept.iter().copied().filter(|name| name.contains('.')).find(|name| words.contains(name));
        match name.and_then(|name| Some((name, words.split_once(name)?))) {
            Some((name, (before, after))) => {
                let [before, after] = [before, after].map(|part| self.in_words_but(part, kept));
                Cow::Owned(format!("{before}{name}{after}"))
            }
            None => self.in_words(words),
        }
    }
}

fn with_comma(words: &str, shown: &mut String) {
    let mut rest = words;
    let mut of_document = false;
    while let Some(start) = rest.find(|letter: char| letter.is_ascii_digit()) {
        let (before, from) = rest.split_at(start);
        shown.push_str(before);
        let length = from
            .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | THIN_SPACE)))
            .unwrap_or(from.len());
        let (run, after) = from.split_at(length);
        let number = run.trim_end_matches(['.', THIN_SPACE]);
        let tail = run.get(number.len()..).unwrap_or_default();
        // `plasterboard-12.5` is the name of an entry, `room-1.5.toml` that of a file.
        let of_name = before
            .ends_with(|letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_'))
            || (tail == "." && after.starts_with(|letter: char| letter.is_ascii_lowercase()));
        of_document = follows_a_document(before) || (of_document && GOES_ON.contains(&before));
        // The number of a heading such as 1.2.3 is none.
        if number.matches('.').count() == 1 && !of_name && !of_document {
            shown.push_str(&number.replace('.', ","));
        } else {
            shown.push_str(number);
        }
        shown.push_str(tail);
        rest = after;
    }
    shown.push_str(rest);
}

/// Whether the number after these words is that of a clause, a table and the like.
fn follows_a_document(before: &str) -> bool {
    let before = before.trim_end_matches(['(', ' ', '\u{a0}']);
    let word = before.rsplit([' ', '\u{a0}', '(']).next().unwrap_or_default();
    OF_A_DOCUMENT.iter().any(|known| word.eq_ignore_ascii_case(known))
}

/// In which order a day is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DayOrder {
    /// `2026-03-14`, ISO 8601.
    #[default]
    YearMonthDay,
    /// `14.03.2026`
    DayMonthYearPoints,
    /// `14/03/2026`
    DayMonthYearStrokes,
    /// `03/14/2026`
    MonthDayYear,
}

impl DayOrder {
    /// A day as it was written, put into this order; words that are no day stay.
    pub fn of_day(self, written: &str) -> Cow<'_, str> {
        let digits =
            |part: &str, count: usize| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
        let parts: Vec<&str> = written.trim().split('-').collect();
        match parts[..] {
            [year, month, day] if digits(year, 4) && digits(month, 2) && digits(day, 2) => match self {
                Self::YearMonthDay => Cow::Borrowed(written),
                Self::DayMonthYearPoints => Cow::Owned(format!("{day}.{month}.{year}")),
                Self::DayMonthYearStrokes => Cow::Owned(format!("{day}/{month}/{year}")),
                Self::MonthDayYear => Cow::Owned(format!("{month}/{day}/{year}")),
            },
            _ => Cow::Borrowed(written),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_get_their_comma_and_nothing_else_does() {
        for (words, comma) in [
            ("2\u{202f}545.5\u{a0}mm, 1.5\u{a0}dB.", "2\u{202f}545,5\u{a0}mm, 1,5\u{a0}dB."),
            ("ISO 717-1. Chapter 1.2.3", "ISO 717-1. Chapter 1.2.3"),
            (
                "EN 1990:2002 eq. (6.10), table 4.2, clause 5.2",
                "EN 1990:2002 eq. (6.10), table 4.2, clause 5.2",
            ),
            ("Tables 3.1, 3.2 and 3.3, of 4.5 mm", "Tables 3.1, 3.2 and 3.3, of 4,5 mm"),
            ("polyethylene sheet 0.25 mm", "polyethylene sheet 0,25 mm"),
            ("write `drop_mm = 27.5`, not 27.4", "write `drop_mm = 27.5`, not 27,4"),
            ("plasterboard-12.5 of 12.5 mm", "plasterboard-12.5 of 12,5 mm"),
            ("room-1.5.toml and 2.5.toml", "room-1.5.toml and 2.5.toml"),
            ("−0.4 to 1.5–2.5", "−0,4 to 1,5–2,5"),
            ("14.03.2026", "14.03.2026"),
            ("no number. None", "no number. None"),
        ] {
            assert_eq!(Decimals::Comma.in_words(words), comma);
            assert_eq!(Decimals::Comma.in_words(comma), comma, "twice is once");
            assert_eq!(Decimals::Point.in_words(words), words);
        }
        assert_eq!(Decimals::Comma.in_words_but("Room 2.5, 2.5 m", &["Room 2.5"]), "Room 2.5, 2,5 m");
    }

    #[test]
    fn a_day_is_put_into_its_order_and_other_words_stay() {
        use DayOrder::{DayMonthYearPoints, DayMonthYearStrokes, MonthDayYear, YearMonthDay};
        let orders = [YearMonthDay, DayMonthYearPoints, DayMonthYearStrokes, MonthDayYear];
        assert_eq!(
            orders.map(|order| order.of_day("2026-03-14")),
            ["2026-03-14", "14.03.2026", "14/03/2026", "03/14/2026"]
        );
        for words in ["", "spring 2026", "2026-3-14", "2026-03", "14.03.2026", "20260314", "aaaa-bb-cc"] {
            assert!(orders.iter().all(|order| order.of_day(words) == words), "{words}");
        }
    }
}
