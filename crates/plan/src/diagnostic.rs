//! What is wrong in a file: where, why, and what to do.

use std::ops::Range;

use serde::Serialize;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Possible, but look again.
    Warning,
    /// The file cannot be used until it is put right.
    Error,
}

/// A place in the file with a short note.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Label {
    /// Bytes of the text, always within it and on character boundaries.
    pub span: Range<usize>,
    /// What is there.
    pub text: String,
}

/// One finding in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Short lasting name of the rule, such as `unknown-key`.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// A sentence: what is wrong.
    pub message: String,
    /// Places in the file, the main one first.
    pub labels: Vec<Label>,
    /// What to do.
    pub help: Option<String>,
    /// Line of the main place, 1 first.
    pub line: usize,
    /// Column of the main place in characters, 1 first.
    pub column: usize,
    /// Dotted path of the key, such as `opening[1].width_mm`, where there is one.
    pub key: Option<String>,
    /// Name of the file.
    pub file: String,
    /// The parts of the sentence, where a number lies out of its range: a page says it with the name of its own field instead of the key.
    #[serde(skip)]
    pub range: Option<OutOfRange>,
}

/// A number that lies out of its range, in the parts its sentence is put together from; numbers as they are printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutOfRange {
    /// The number with its unit; none where it is no usable number at all.
    pub number: Option<String>,
    /// The least that is taken.
    pub least: String,
    /// The most that is taken, with its unit.
    pub most: String,
    /// What it may have been meant in, and the same in the unit that is wanted: `metres`, `4232`.
    pub meant: Option<(&'static str, String)>,
    /// What the value is.
    pub about: String,
}

impl OutOfRange {
    /// What is wrong, with what the value is called where it is read.
    #[must_use]
    pub fn told(&self, called: &str) -> String {
        let said = match &self.number {
            Some(number) => format!("{called} cannot be {number}"),
            None => format!("{called} is no usable number"),
        };
        format!("{said}: it must lie from {} to {}.", self.least, self.most)
    }
}

impl std::fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.message)?;
        if let Some(help) = &self.help {
            write!(f, " {help}")?;
        }
        Ok(())
    }
}

impl Diagnostic {
    /// Says what to do.
    pub(crate) fn help(&mut self, help: impl Into<String>) -> &mut Self {
        self.help = Some(help.into());
        self
    }

    /// Says what to do, if there is something to say.
    pub(crate) fn help_if(&mut self, help: Option<String>) -> &mut Self {
        if help.is_some() {
            self.help = help;
        }
        self
    }

    /// Names what stands at the main place.
    pub(crate) fn here(&mut self, text: impl Into<String>) -> &mut Self {
        if let Some(label) = self.labels.first_mut() {
            label.text = text.into();
        }
        self
    }

    /// Points at a second place.
    pub(crate) fn also(&mut self, label: Label) -> &mut Self {
        self.labels.push(label);
        self
    }
}
