//! Errors of TOML itself, in words for someone who has never heard of TOML.

use toml::de::Error;

use crate::read::reading::Reading;

/// Reports an error of syntax.
pub(crate) fn report(error: &Error, text: &str, reading: &mut Reading<'_>) {
    reading.broken_syntax = true;
    let span = error.span().unwrap_or(0..0);
    let said = error.message().lines().next().unwrap_or_default();
    reading.error_at("syntax", span.clone(), None, format!("This cannot be read: {said}.")).help("");
    let _ = text;
}
