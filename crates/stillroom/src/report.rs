//! What is said on standard output and standard error.

use std::io::{IsTerminal, Write};

use anyhow::Result;
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource, Severity};
use quantities::numerals::Decimals;

use crate::{locale, progress};

/// Places further apart than this are not shown in one excerpt, lines.
const MOST_LINES_BETWEEN: usize = 6;

/// Writes to standard output; colours are dropped where it is no terminal.
pub(crate) fn say(text: &str) -> Result<()> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes())?;
    if !text.ends_with('\n') {
        out.write_all(b"\n")?;
    }
    out.flush()?;
    Ok(())
}

/// Writes figures for a reader to standard output, decimals set apart as the room file says or else as the reader's language does.
pub(crate) fn say_figures(text: &str, said: Option<Decimals>) -> Result<()> {
    say(&said.unwrap_or_else(locale::decimals).in_words(text))
}

/// A path as one types it after a command: in quotes where it has spaces.
pub(crate) fn typed(path: &std::path::Path) -> String {
    let shown = path.display().to_string();
    if shown.contains(char::is_whitespace) { format!("\"{shown}\"") } else { shown }
}

/// Writes to standard error, where a failure to write is nobody's business any more.
pub(crate) fn warn(text: &str) {
    let mut err = anstream::stderr().lock();
    let _ = writeln!(err, "{text}");
}

/// Writes a remark to standard error: something worth knowing that is no error. Not with `--quiet`.
pub(crate) fn remark(text: &str) {
    if !progress::is_quiet() {
        warn(text);
    }
}

/// Whether colours may be used on a terminal: not with `NO_COLOR` set to anything, nor where the terminal knows none.
pub(crate) fn colour_wanted() -> bool {
    let set = |name| std::env::var_os(name).filter(|value| !value.is_empty());
    set("NO_COLOR").is_none() && set("TERM").is_none_or(|term| term != "dumb")
}

/// Tells a failure with its causes.
pub(crate) fn failure(error: &anyhow::Error) {
    let causes: Vec<String> = causes(error).map(|cause| format!("\n  because: {cause}")).collect();
    warn(&format!("stillroom: {error}{}", causes.concat()));
}

/// A failure with its causes in one line, for what goes on without the thing that failed.
pub(crate) fn in_a_line(error: &anyhow::Error) -> String {
    causes(error).fold(error.to_string(), |text, cause| {
        // After a full stop a sentence begins.
        let cause = if text.ends_with('.') { with_capital(&cause) } else { cause };
        format!("{text} {cause}")
    })
}

/// Words with a capital to begin them.
fn with_capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What lies behind a failure, without the numbers of the operating system. That a file is not there is said by the sentence before.
fn causes(error: &anyhow::Error) -> impl Iterator<Item = String> + '_ {
    error
        .chain()
        .skip(1)
        .filter(|cause| {
            let kind = cause.downcast_ref::<std::io::Error>().map(std::io::Error::kind);
            kind != Some(std::io::ErrorKind::NotFound)
        })
        .map(ToString::to_string)
        .map(|words| words.split(" (os error").next().unwrap_or_default().to_owned())
}

/// Whether the reader of our output has gone away, which is no failure.
pub(crate) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        cause.downcast_ref::<std::io::Error>().is_some_and(|e| e.kind() == std::io::ErrorKind::BrokenPipe)
    })
}

/// The findings in a file, each with its place; errors last, so that they stand at the bottom of the screen.
pub(crate) fn diagnostics(file_name: &str, text: &str, found: &[plan::Diagnostic]) -> String {
    let colour = std::io::stderr().is_terminal() && colour_wanted();
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(100).with_context_lines(1);
    let mut sorted: Vec<&plan::Diagnostic> = found.iter().collect();
    sorted.sort_by_key(|one| (one.severity, one.line, one.column));
    let mut report = String::new();
    for one in sorted {
        let mut shown = MietteDiagnostic::new(one.message.clone()).with_code(one.code).with_severity(
            match one.severity {
                plan::Severity::Error => Severity::Error,
                plan::Severity::Warning => Severity::Warning,
            },
        );
        if let Some(help) = &one.help {
            shown = shown.with_help(help.clone());
        }
        let line_of =
            |byte: usize| text.as_bytes().iter().take(byte).filter(|&&letter| letter == b'\n').count() + 1;
        let mut elsewhere = Vec::new();
        for label in &one.labels {
            let line = line_of(label.span.start);
            // Two labels in one excerpt would show everything that stands between them.
            if line.abs_diff(one.line) > MOST_LINES_BETWEEN {
                let shown = text.lines().nth(line - 1).unwrap_or_default().trim();
                let what = if label.text.is_empty() { "also" } else { label.text.as_str() };
                let said = one.help.as_ref().is_some_and(|help| help.contains(&format!(" in line {line}.")));
                if !said {
                    elsewhere.push(format!("{what} stands in line {line}: {shown}"));
                }
                continue;
            }
            let within = label.span.start.min(text.len())..label.span.end.min(text.len());
            shown = shown.and_label(LabeledSpan::new(
                Some(label.text.clone()).filter(|text| !text.is_empty()),
                within.start,
                within.len(),
            ));
        }
        if !elsewhere.is_empty() {
            let help = one.help.iter().cloned().chain(elsewhere).collect::<Vec<_>>().join("\n");
            shown = shown.with_help(help);
        }
        let source = NamedSource::new(file_name, text.to_owned());
        let full = miette::Report::new(shown).with_source_code(source);
        if handler.render_report(&mut report, full.as_ref()).is_err() {
            report.push_str(&one.to_string());
        }
        report.push('\n');
    }
    let count = |severity| found.iter().filter(|one| one.severity == severity).count();
    let plural = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let (errors, warnings) = (count(plan::Severity::Error), count(plan::Severity::Warning));
    let sum = match (errors, warnings) {
        (0, 0) => format!("{file_name}: no mistake in the writing."),
        (0, some) => format!("{file_name}: {}.", plural(some, "warning")),
        (some, 0) => format!("{file_name}: {}.", plural(some, "error")),
        (some, more) => format!("{file_name}: {}, {}.", plural(some, "error"), plural(more, "warning")),
    };
    report + &sum
}
