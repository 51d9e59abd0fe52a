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
