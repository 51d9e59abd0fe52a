//! What the language of the reader asks for: what sets decimals apart, and in which order a day is written.
//!
//! A room file may say both itself; only what it leaves open follows the language, and never on paper.

use std::env;

use quantities::numerals::{DayOrder, Decimals};

/// Languages that write a decimal comma, by their first letters (from memory; a field takes both).
const COMMA: [&str; 33] = [
    "bg", "ca", "cs", "da", "de", "el", "es", "et", "eu", "fi", "fr", "hr", "hu", "id", "is", "it", "lt",
    "lv", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl", "sr", "sv", "tr", "uk", "vi",
];
/// Regions that write a decimal point although their language does not elsewhere (from memory).
const POINT: [&str; 6] = ["es-419", "es-mx", "es-us", "de-ch", "de-li", "it-ch"];
/// Languages and regions that put the day first and points between (from memory).
const DAY_FIRST_POINTS: [&str; 20] = [
    "bg", "cs", "da", "de", "et", "fi", "hr", "is", "lv", "nb", "nn", "no", "pl", "ro", "ru", "sk", "sl",
    "sr", "tr", "uk",
];
/// Languages and regions that put the day first and strokes between (from memory).
const DAY_FIRST_STROKES: [&str; 13] =
    ["ca", "el", "en-au", "en-gb", "en-ie", "en-in", "en-nz", "en-za", "es", "fr", "it", "pt", "vi"];
/// Regions that put the month first (from memory).
const MONTH_FIRST: [&str; 1] = ["en-us"];

/// What sets decimals apart in a language: `de-DE` of a browser, `de_DE.UTF-8` of a terminal.
pub(crate) fn decimals_of(language: &str) -> Decimals {
    let (tag, first) = parts(language);
    if COMMA.contains(&first.as_str()) && !POINT.contains(&tag.as_str()) {
        Decimals::Comma
    } else {
        Decimals::Point
    }
}

/// In which order a language writes a day; year-month-day where that is not known.
pub(crate) fn day_order_of(language: &str) -> DayOrder {
    let (tag, first) = parts(language);
    let among = |known: &[&str]| known.contains(&tag.as_str()) || known.contains(&first.as_str());
    if among(&DAY_FIRST_POINTS) {
        DayOrder::DayMonthYearPoints
    } else if among(&DAY_FIRST_STROKES) {
        DayOrder::DayMonthYearStrokes
    } else if among(&MONTH_FIRST) {
        DayOrder::MonthDayYear
    } else {
        DayOrder::YearMonthDay
    }
}

/// What sets decimals apart in the terminal: `LC_ALL`, else `LC_NUMERIC`, else `LANG`.
pub(crate) fn decimals() -> Decimals {
    decimals_of(&language("LC_NUMERIC"))
}

/// In which order the terminal writes a day: `LC_ALL`, else `LC_TIME`, else `LANG`.
pub(crate) fn day_order() -> DayOrder {
    day_order_of(&language("LC_TIME"))
}

fn language(category: &str) -> String {
    ["LC_ALL", category, "LANG"]
        .into_iter()
        .filter_map(|name| env::var(name).ok())
        .find(|value| !value.is_empty())
        .unwrap_or_default()
}

/// Language with its region, and the language alone.
fn parts(language: &str) -> (String, String) {
    let tag = language.split(['.', '@', ',', ';']).next().unwrap_or_default();
    let tag = tag.trim().to_lowercase().replace('_', "-");
    let first = tag.split('-').next().unwrap_or_default().to_owned();
    (tag, first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_language_says_how_numbers_and_days_are_written() {
        use DayOrder::{DayMonthYearPoints, DayMonthYearStrokes, MonthDayYear, YearMonthDay};
        for (language, comma, order) in [
            ("de_DE.UTF-8", true, DayMonthYearPoints),
            ("de-CH", false, DayMonthYearPoints),
            ("fr_FR@euro", true, DayMonthYearStrokes),
            ("en_GB.UTF-8", false, DayMonthYearStrokes),
            ("en_US.UTF-8", false, MonthDayYear),
            ("sv_SE", true, YearMonthDay),
            ("es_MX", false, DayMonthYearStrokes),
            ("C.UTF-8", false, YearMonthDay),
            ("POSIX", false, YearMonthDay),
            ("", false, YearMonthDay),
        ] {
            assert_eq!(
                (decimals_of(language).is_comma(), day_order_of(language)),
                (comma, order),
                "{language}"
            );
        }
    }
}
