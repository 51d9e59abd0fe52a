//! How numbers, names and examples are put into sentences.

use crate::{
    read::{field::KeyText, reading::Reading},
    schema::Shape,
};

/// A line to write, such as `For example: width_mm = 1200`.
pub(crate) fn example(shape: &Shape, key: &KeyText, reading: &Reading<'_>) -> String {
    let value = match shape {
        Shape::Table(table) => {
            let first = table.keys.iter().find(|k| k.required).or(table.keys.first()).map_or("", |k| k.name);
            return format!("Write a header [{}] and its keys under it, such as `{first}`.", key.name);
        }
        Shape::List(of, _) if matches!(**of, Shape::Table(_) | Shape::Kinds(_)) => {
            return format!("Write a header [[{}]] for each.", key.name);
        }
        _ => example_value(shape, key.range, reading),
    };
    format!("For example: `{} = {value}`.", key.name)
}

fn example_value(shape: &Shape, range: Option<(f64, f64)>, reading: &Reading<'_>) -> String {
    let names = &reading.names;
    let quoted =
        |text: Option<&String>, instead: &str| format!("\"{}\"", text.map_or(instead, String::as_str));
    match shape {
        Shape::Number | Shape::Whole => plain(example_number(range)),
        Shape::YesNo => "true".to_owned(),
        Shape::Words(words) => format!("\"{}\"", words.first().map_or("", |(word, _)| *word)),
        Shape::Corner => quoted(names.corners.first(), "A"),
        Shape::Wall => quoted(names.walls().first(), "A-B"),
        Shape::Buildup => quoted(names.buildups.first(), "my-wall"),
        Shape::Element => "\"ceiling\"".to_owned(),
        Shape::Catalogue(list) => format!("\"{}\"", list.ids().first().copied().unwrap_or("")),
        Shape::Spectrum => "{ \"100\" = 25.0, \"125\" = 27.5 }".to_owned(),
        Shape::List(of, count) => {
            let one = example_value(of, range, reading);
            format!("[{}]", vec![one; count.unwrap_or(3)].join(", "))
        }
        Shape::Text | Shape::Table(_) | Shape::Kinds(_) => "\"my own words\"".to_owned(),
    }
}

/// A plausible number of a range: round, and in the middle of what is usual.
fn example_number(range: Option<(f64, f64)>) -> f64 {
    const USUAL: [f64; 5] = [1000.0, 100.0, 10.0, 1.0, 0.1];
    let Some((least, most)) = range else { return 1.0 };
    if least <= 0.0 {
        return USUAL.into_iter().find(|number| number * 10.0 <= most).unwrap_or(most);
    }
    let middle = (least * most).sqrt();
    let mut step = 1.0;
    while step * 10.0 <= middle {
        step *= 10.0;
    }
    while step > middle {
        step /= 10.0;
    }
    ((middle / step).round() * step).clamp(least, most)
}

/// A number as a person would type it.
pub(crate) fn plain(number: f64) -> String {
    let rounded = quantities::format::round_to(number, 6);
    if number.abs() < 1e15 && rounded.is_finite() { format!("{rounded}") } else { format!("{number:e}") }
}

/// Text of the file made safe to print: one line, not too long.
pub(crate) fn shown(text: &str) -> String {
    let mut line: String = text.chars().take(60).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(60).is_some() {
        line.push('…');
    }
    line
}

/// Names in a row: `a`, `b`, `c`; the rest counted.
pub(crate) fn list_names<'n>(names: impl IntoIterator<Item = &'n str>, most: usize) -> String {
    let all: Vec<&str> = names.into_iter().collect();
    let mut text: Vec<String> = all.iter().take(most).map(|name| format!("`{name}`")).collect();
    if all.len() > most {
        text.push(format!("and {} more", all.len() - most));
    }
    text.join(", ")
}

pub(crate) fn list_words(words: &[(&'static str, &'static str)]) -> String {
    let all: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
    match all.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => all.join(""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn examples_are_round_and_within_their_range() {
        assert_eq!(plain(example_number(Some((1.0, 2000.0)))), "40");
        assert_eq!(plain(example_number(Some((50.0, 10_000.0)))), "700");
        assert_eq!(plain(example_number(Some((1.0, 1.0)))), "1");
        assert_eq!(plain(example_number(Some((0.0001, 1.0)))), "0.01");
        assert_eq!(plain(example_number(Some((0.0, 50_000.0)))), "1000");
        assert_eq!(plain(example_number(Some((-50.0, 50.0)))), "1");
        assert_eq!(plain(example_number(None)), "1");
    }

    #[test]
    fn text_is_shown_in_one_short_line() {
        assert_eq!(shown("a\nb\u{7}"), "a b ");
        assert_eq!(shown(&"x".repeat(100)).chars().count(), 61);
        assert_eq!(plain(f64::NAN), "NaN");
        assert_eq!(plain(5233.0), "5233");
        assert_eq!(list_names(["a", "b", "c"], 2), "`a`, `b`, and 1 more");
    }
}
