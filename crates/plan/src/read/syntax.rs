//! Errors of TOML itself, in words for someone who has never heard of TOML.

use std::ops::Range;

use toml::de::Error;

use crate::read::{reading::Reading, wording::shown};

/// Reports the errors of syntax, one a line.
pub(crate) fn report(errors: &[Error], text: &str, reading: &mut Reading<'_>) {
    let mut lines: Vec<usize> = Vec::new();
    let mut mixed: Vec<String> = Vec::new();
    for error in errors {
        reading.broken_syntax = true;
        let span = visible(error.span().unwrap_or(0..0), text);
        let (line, _) = reading.line_and_column(span.start);
        if lines.contains(&line) {
            continue;
        }
        lines.push(line);
        if let Some((name, single)) = mixed_header(error.message(), line_at(text, span.start), text) {
            if !mixed.contains(&name) {
                let single = reading.line_and_column(single).0;
                reading
                    .error_at("syntax", span, None, format!("[[{name}]] stands here, but line {single} has [{name}]."))
                    .here("double brackets")
                    .help("Write the header with the same brackets everywhere: double ones where there can be several.");
                mixed.push(name);
            }
            continue;
        }
        let said = error.message().lines().next().unwrap_or_default();
        let (message, help) =
            explain(said, line_at(text, span.start), text.get(span.clone()).unwrap_or_default());
        reading.error_at("syntax", span, None, message).here("here").help(help);
    }
}

/// The name of a header in double brackets that stands elsewhere in single ones, and where.
fn mixed_header(said: &str, line: &str, text: &str) -> Option<(String, usize)> {
    let name = line.trim().strip_prefix("[[")?.split("]]").next()?.trim();
    let duplicate = said.starts_with("duplicate key") || said.starts_with("cannot extend");
    let header = format!("[{name}]");
    let mut at = 0;
    for other in text.split_inclusive('\n') {
        if duplicate && other.trim_start().starts_with(&header) {
            return Some((name.to_owned(), at));
        }
        at += other.len();
    }
    None
}

/// A place a person can see: never beyond the end of the line it belongs to, and at least one letter where there is one.
fn visible(span: Range<usize>, text: &str) -> Range<usize> {
    let mut start = span.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let before = text.get(..start).unwrap_or_default();
    let at_line_end = text.get(start..).is_some_and(|rest| rest.is_empty() || rest.starts_with(['\n', '\r']));
    if at_line_end && span.end <= start + 1 {
        let width = before.chars().next_back().filter(|c| *c != '\n').map_or(0, char::len_utf8);
        return start - width..start;
    }
    start..span.end.max(start)
}

fn line_at(text: &str, byte: usize) -> &str {
    let start = text.get(..byte).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default()
}

/// A sentence and what to do, from what the parser said and the line it said it about.
fn explain(said: &str, line: &str, at: &str) -> (String, String) {
    let plain_line = line.trim();
    let (key, value) =
        plain_line.split_once('=').map_or((plain_line, ""), |(key, value)| (key.trim(), value.trim()));
    let value_text = value.split('#').next().unwrap_or_default().trim();
    let sentence = |message: &str, help: &str| (message.to_owned(), help.to_owned());
    if said == "duplicate key" {
        return if plain_line.starts_with('[') {
            (
                format!("The table {} stands here a second time.", shown(plain_line.split('#').next().unwrap_or_default().trim())),
                "Put all its keys under one header. Tables of which there can be several have double brackets.".to_owned(),
            )
        } else {
            (
                format!("The key `{}` stands here a second time in the same table.", shown(at)),
                "Keep one of them.".to_owned(),
            )
        };
    }
    if line.contains(['“', '”', '„', '‘', '’']) {
        return sentence("These quotes are curly.", "Write straight quotes: \"…\".");
    }
    if plain_line.starts_with("//") || plain_line.starts_with("/*") || plain_line.starts_with("--") {
        return sentence("A comment starts with #.", "Write # before it.");
    }
    if let Some((whole, decimals)) = value_text.split_once(',')
        && is_digits(whole.trim_start_matches(['-', '+']))
        && is_digits(decimals)
    {
        // Three digits after it are thousands, of millimetres and of most else.
        let help = if decimals.len() == 3 && whole != "0" {
            format!(
                "Write no comma within a number: {key} = {whole}{decimals}; decimals stand after a point."
            )
        } else {
            format!("Write decimals with a point: {key} = {whole}.{decimals}")
        };
        return (format!("`{}` is no number.", shown(value_text)), help);
    }
    if value_text.starts_with(|c: char| c.is_ascii_digit()) {
        let number: String = value_text.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
        let rest = value_text.get(number.len()..).unwrap_or_default().trim();
        if rest.starts_with(|c: char| c.is_alphabetic()) && !rest.starts_with(['e', 'E']) {
            return (
                format!("`{}` is no number.", shown(value_text)),
                format!(
                    "Write the number alone, `{key} = {number}`: the unit stands in the name of the key."
                ),
            );
        }
        if rest.starts_with(|c: char| c.is_ascii_digit()) {
            return (
                format!("`{}` is no number.", shown(value_text)),
                format!("Write it without spaces: {key} = {number}{rest}"),
            );
        }
    }
    if plain_line.starts_with('[') && !plain_line.contains('=') {
        return sentence(
            "This header is not closed as it was opened.",
            "A header has single brackets, [roof], or double ones, [[joist]], on both sides.",
        );
    }
    if !plain_line.contains('=') {
        let uncommented = plain_line.split('#').next().unwrap_or_default();
        if let Some((key, value)) = uncommented.split_once(':') {
            return (
                "Between a key and its value stands an equals sign.".to_owned(),
                format!("Write {} = {}", shown(key.trim()), shown(value.trim())),
            );
        }
        return sentence(
            "This line is neither a header nor a key with a value.",
            "Write key = value, [table] or # comment.",
        );
    }
    if value_text.is_empty() {
        return (
            format!("The key `{}` has no value.", shown(key)),
            "Write a value after the equals sign, or take the line away.".to_owned(),
        );
    }
    if value_text.starts_with('[') {
        return if value_text.ends_with(']') {
            sentence(
                "A comma or a quote sign is missing in this list.",
                "Separate the values with commas: [1138, 1133, 1146]",
            )
        } else {
            sentence("This list is not closed.", "Close it with a square bracket: ]")
        };
    }
    if value_text.starts_with(char::is_alphabetic) {
        return (
            format!("The text {} needs quotes.", shown(value_text)),
            format!(
                "Write {} = \"{}\"; a number in digits, without quotes.",
                shown(key),
                shown(value_text.trim_matches('"'))
            ),
        );
    }
    match said {
        "unclosed array" => sentence("This list is not closed.", "Close it with a square bracket: ]"),
        "missing comma between array elements" => sentence(
            "A comma is missing in this list.",
            "Separate the values with commas: [1138, 1133, 1146]",
        ),
        "unclosed inline table" => sentence("This { is not closed.", "Close it with }, in the same line."),
        "unexpected leading zero" => sentence("A number cannot start with 0.", "Leave the zero away."),
        _ if said.contains("string") || value_text.matches('"').count() % 2 == 1 => {
            sentence("This text is not closed.", "Close it with a quote sign in the same line: \"…\"")
        }
        _ => (
            format!("This line cannot be read: {said}."),
            "Write key = value; text in quotes, lists in square brackets, comments after #.".to_owned(),
        ),
    }
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}
