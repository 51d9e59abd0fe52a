//! The state of one reading: the text, where each key stands, the names known so far, and what was found.

use std::{collections::BTreeMap, ops::Range};

use crate::{
    diagnostic::{Diagnostic, Label, Severity},
    read::Attached,
};

/// Names that other keys refer to, gathered before anything is decoded.
#[derive(Debug, Default)]
pub(crate) struct Names {
    /// Corners in the order of the ring; empty while the ring itself is wrong.
    pub(crate) corners: Vec<String>,
    /// Corners as they stand in the file, whether they make a ring or not.
    pub(crate) written_corners: Vec<String>,
    /// Ids of the build-ups, in the order of the file.
    pub(crate) buildups: Vec<String>,
    /// Names of the openings, in the order of the file.
    pub(crate) openings: Vec<String>,
}

impl Names {
    /// Names of the walls in the order of the ring.
    pub(crate) fn walls(&self) -> Vec<String> {
        let next = self.corners.iter().cycle().skip(1);
        self.corners.iter().zip(next).map(|(from, to)| format!("{from}-{to}")).collect()
    }
}

#[derive(Debug)]
struct Standing {
    key: Range<usize>,
    value: Range<usize>,
}

#[derive(Debug)]
struct Kept {
    indices: Vec<usize>,
    total: usize,
}

/// The state of one reading.
pub(crate) struct Reading<'t> {
    text: &'t str,
    file: &'t str,
    line_starts: Vec<usize>,
    standing: BTreeMap<String, Standing>,
    kept: BTreeMap<String, Kept>,
    found: Vec<Diagnostic>,
    suggested: Vec<String>,
    /// Whether the text has errors of syntax, so that keys may be missing without the person's doing.
    pub(crate) broken_syntax: bool,
    /// Names that other keys refer to.
    pub(crate) names: Names,
    /// Texts of files named in this one.
    pub(crate) attached: &'t Attached,
}

impl<'t> Reading<'t> {
    pub(crate) fn new(text: &'t str, file: &'t str, attached: &'t Attached) -> Self {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self {
            text,
            file,
            line_starts,
            standing: BTreeMap::new(),
            kept: BTreeMap::new(),
            found: Vec::new(),
            suggested: Vec::new(),
            broken_syntax: false,
            names: Names::default(),
            attached,
        }
    }

    /// Remembers where a key and its value stand.
    pub(crate) fn note_standing(&mut self, path: &str, key: Range<usize>, value: Range<usize>) {
        self.standing.insert(path.to_owned(), Standing { key, value });
    }

    /// Remembers which entries of a list were understood.
    pub(crate) fn note_kept(&mut self, path: &str, indices: Vec<usize>, total: usize) {
        self.kept.insert(path.to_owned(), Kept { indices, total });
    }

    /// Whether an entry of a list could not be understood.
    pub(crate) fn lost_entries(&self, list: &str) -> bool {
        self.kept.get(list).is_some_and(|kept| kept.indices.len() < kept.total)
    }

    /// Path of the entry of a list that became number `index` of the project's list.
    pub(crate) fn entry(&self, list: &str, index: usize) -> String {
        let place = self.kept.get(list).and_then(|kept| kept.indices.get(index)).copied().unwrap_or(index);
        format!("{list}[{place}]")
    }

    /// Whether the file has a key.
    pub(crate) fn has(&self, path: &str) -> bool {
        self.standing.contains_key(path)
    }

    /// Where the value of a key stands; where the key is missing, its table.
    pub(crate) fn value_span(&self, path: &str) -> Range<usize> {
        self.find_standing(path).map_or(0..0, |s| s.value.clone())
    }

    /// Where a key stands; where the key is missing, its table.
    pub(crate) fn key_span(&self, path: &str) -> Range<usize> {
        self.find_standing(path).map_or(0..0, |s| s.key.clone())
    }

    fn find_standing(&self, path: &str) -> Option<&Standing> {
        let mut path = path;
        loop {
            if let Some(standing) = self.standing.get(path) {
                return Some(standing);
            }
            path = path.get(..path.rfind(['.', '['])?)?;
        }
    }

    /// Remembers that a mistyped key was taken for the one at `path`, which then is not called missing as well.
    pub(crate) fn note_suggested(&mut self, path: String) {
        self.suggested.push(path);
    }

    /// Whether a mistyped key was taken for the one at `path`.
    pub(crate) fn was_suggested(&self, path: &str) -> bool {
        self.suggested.iter().any(|suggested| suggested == path)
    }

    /// Whether something at this very key has been reported.
    pub(crate) fn complained_about(&self, path: &str) -> bool {
        self.found.iter().any(|d| d.key.as_deref() == Some(path))
    }

    /// Reports an error at the value of a key.
    pub(crate) fn error(
        &mut self,
        code: &'static str,
        path: &str,
        message: impl Into<String>,
    ) -> &mut Diagnostic {
        let span = self.value_span(path);
        self.report(Severity::Error, code, Some(path), span, message.into())
    }

    /// Reports a warning at the value of a key.
    pub(crate) fn warning(
        &mut self,
        code: &'static str,
        path: &str,
        message: impl Into<String>,
    ) -> &mut Diagnostic {
        let span = self.value_span(path);
        self.report(Severity::Warning, code, Some(path), span, message.into())
    }

    /// Reports an error at any place of the text.
    pub(crate) fn error_at(
        &mut self,
        code: &'static str,
        span: Range<usize>,
        path: Option<&str>,
        message: impl Into<String>,
    ) -> &mut Diagnostic {
        self.report(Severity::Error, code, path, span, message.into())
    }

    fn report(
        &mut self,
        severity: Severity,
        code: &'static str,
        path: Option<&str>,
        span: Range<usize>,
        message: String,
    ) -> &mut Diagnostic {
        let span = self.within_text(span);
        let (line, column) = self.line_and_column(span.start);
        let key = path.filter(|p| !p.is_empty()).map(str::to_owned);
        let at = self.found.len();
        self.found.push(Diagnostic {
            code,
            severity,
            message,
            labels: vec![Label { span, text: String::new() }],
            help: None,
            line,
            column,
            key,
            file: self.file.to_owned(),
            range: None,
        });
        &mut self.found[at]
    }

    /// The place of another key as a label.
    pub(crate) fn label(&self, path: &str, text: impl Into<String>) -> Label {
        Label { span: self.within_text(self.value_span(path)), text: text.into() }
    }

    /// The line a key stands in, 1 first.
    pub(crate) fn line_of(&self, path: &str) -> usize {
        self.line_and_column(self.key_span(path).start).0
    }

    /// Line and column of a byte of the text, both 1 first, the column in characters.
    pub(crate) fn line_and_column(&self, byte: usize) -> (usize, usize) {
        let line = self.line_starts.partition_point(|&start| start <= byte).max(1);
        let start = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let column = self.text.get(start..byte).map_or(0, |before| before.chars().count());
        (line, column + 1)
    }

    fn within_text(&self, span: Range<usize>) -> Range<usize> {
        let floor = |byte: usize| {
            let mut byte = byte.min(self.text.len());
            while !self.text.is_char_boundary(byte) {
                byte -= 1;
            }
            byte
        };
        let (start, end) = (floor(span.start), floor(span.end));
        start..end.max(start)
    }

    /// Whether anything found so far is an error.
    pub(crate) fn has_errors(&self) -> bool {
        self.found.iter().any(|d| d.severity == Severity::Error)
    }

    /// How many errors were found so far.
    pub(crate) fn count_of_errors(&self) -> usize {
        self.found.iter().filter(|d| d.severity == Severity::Error).count()
    }

    /// Everything found, in the order of the text.
    ///
    /// Where the syntax is broken, what follows from it is left away: keys that seem missing, and other findings in a
    /// line that could not be read.
    pub(crate) fn finish(mut self) -> Vec<Diagnostic> {
        if self.broken_syntax {
            let broken: Vec<usize> =
                self.found.iter().filter(|d| d.code == "syntax").map(|d| d.line).collect();
            self.found.retain(|d| {
                d.code == "syntax" || (!d.code.starts_with("missing") && !broken.contains(&d.line))
            });
        }
        let foreign: Vec<Option<String>> =
            self.found.iter().filter(|d| d.code == "key-of-another-kind").map(|d| d.key.clone()).collect();
        self.found.retain(|d| d.code != "unknown-key" || !foreign.contains(&d.key));
        self.found
            .sort_by_key(|d| (d.labels.first().map_or(0, |l| l.span.start), std::cmp::Reverse(d.severity)));
        self.found.dedup_by(|b, a| a.message == b.message && a.line == b.line && a.column == b.column);
        self.found
    }
}

/// Path of a key in the table at `path`; the file itself has the empty path.
pub(crate) fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

/// How a person names the table a path lies in: `[roof]`, `[[survey.tape]]`.
pub(crate) fn table_title(path: &str) -> String {
    if path.is_empty() {
        return "the file".to_owned();
    }
    let mut plain = String::new();
    let mut inside = false;
    for letter in path.chars() {
        match letter {
            '[' => inside = true,
            ']' => inside = false,
            _ if !inside => plain.push(letter),
            _ => {}
        }
    }
    if path.ends_with(']') { format!("[[{plain}]]") } else { format!("[{plain}]") }
}
