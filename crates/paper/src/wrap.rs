//! Words into lines of a given width.

use crate::font::{self, Weight};
use crate::ink::Ink;

/// A run of words of one weight and ink.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Span {
    /// The words, spaces included.
    pub words: String,
    /// Their weight.
    pub weight: Weight,
    /// Their ink.
    pub ink: Ink,
}

impl Span {
    /// Regular words in drawing ink.
    pub fn new(words: impl Into<String>) -> Self {
        Self { words: words.into(), weight: Weight::Regular, ink: Ink::Ink }
    }

    /// Semibold words in drawing ink.
    pub fn semibold(words: impl Into<String>) -> Self {
        Self { words: words.into(), weight: Weight::Semibold, ink: Ink::Ink }
    }

    /// The same words in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}

/// One line of spans.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Line {
    /// The spans in order, without white space at either end.
    pub spans: Vec<Span>,
    /// Its measured width in mm.
    pub width_mm: f64,
}

/// Plain words wrapped to a width in mm; at least one line, an empty one for no words.
///
/// Lines break at ordinary spaces, thin spaces excepted, and after `-`, `–` and `/` between letters; a line feed
/// always breaks. A word wider than the line is broken inside, so that nothing is ever clipped.
pub fn wrap(words: &str, size_mm: f64, weight: Weight, width_mm: f64) -> Vec<String> {
    wrap_spans(&[Span { words: words.to_owned(), weight, ink: Ink::Ink }], size_mm, width_mm)
        .into_iter()
        .map(|line| line.spans.into_iter().map(|span| span.words).collect())
        .collect()
}

/// Spans wrapped to a width in mm; at least one line.
pub fn wrap_spans(spans: &[Span], size_mm: f64, width_mm: f64) -> Vec<Line> {
    let size_mm = font::drawn_size_mm(size_mm);
    let width_mm = if width_mm.is_finite() { width_mm.max(size_mm) } else { f64::MAX };
    let mut lines = vec![Line::default()];
    let mut pending_space: Option<Span> = None;
    // Pieces between two break points, of one span or of several without a break point between.
    for chunk in chunks(spans) {
        match chunk {
            Chunk::LineFeed => {
                pending_space = None;
                lines.push(Line::default());
            }
            Chunk::Space(space) => pending_space = Some(space),
            Chunk::Solid(pieces) => {
                let width: f64 = pieces.iter().map(|piece| measured(piece, size_mm)).sum();
                let space_width = pending_space.as_ref().map_or(0.0, |space| measured(space, size_mm));
                let used = lines.last().map_or(0.0, |line| line.width_mm);
                if used > 0.0 && used + space_width + width > width_mm + 1e-9 {
                    lines.push(Line::default());
                    pending_space = None;
                }
                let line = lines.last_mut().filter(|line| line.width_mm > 0.0);
                if let (Some(line), Some(space)) = (line, pending_space.take()) {
                    push(line, space, size_mm);
                }
                for piece in pieces {
                    push_broken(&mut lines, piece, size_mm, width_mm);
                }
            }
        }
    }
    lines
}

enum Chunk {
    LineFeed,
    Space(Span),
    Solid(Vec<Span>),
}

/// Splits spans into what may not be broken, the spaces between, and line feeds.
fn chunks(spans: &[Span]) -> Vec<Chunk> {
    let mut all: Vec<Chunk> = Vec::new();
    let mut joined = false;
    for span in spans {
        let one = |words: String| Span { words, weight: span.weight, ink: span.ink };
        let mut solid = String::new();
        let mut previous = ' ';
        let finish = |solid: &mut String, joined: bool, all: &mut Vec<Chunk>| {
            if solid.is_empty() {
                return;
            }
            let piece = one(std::mem::take(solid));
            match all.last_mut() {
                Some(Chunk::Solid(pieces)) if joined => pieces.push(piece),
                _ => all.push(Chunk::Solid(vec![piece])),
            }
        };
        let mut letters = span.words.chars().peekable();
        while let Some(letter) = letters.next() {
            if letter == '\n' || letter == ' ' || letter == '\t' {
                finish(&mut solid, joined, &mut all);
                joined = false;
                if letter == '\n' {
                    all.push(Chunk::LineFeed);
                } else if !matches!(all.last(), Some(Chunk::Space(_))) {
                    all.push(Chunk::Space(one(" ".to_owned())));
                }
            } else if !letter.is_control() {
                solid.push(letter);
                let next_is_letter = letters.peek().is_some_and(|next| next.is_alphabetic());
                if matches!(letter, '-' | '–' | '/') && previous.is_alphabetic() && next_is_letter {
                    finish(&mut solid, joined, &mut all);
                    joined = false;
                }
            }
            previous = letter;
        }
        let anything = !solid.is_empty();
        finish(&mut solid, joined, &mut all);
        joined = joined || anything;
    }
    all
}

fn measured(span: &Span, size_mm: f64) -> f64 {
    font::width_mm(&span.words, size_mm, span.weight)
}

fn push(line: &mut Line, span: Span, size_mm: f64) {
    line.width_mm += measured(&span, size_mm);
    match line.spans.last_mut() {
        Some(last) if last.weight == span.weight && last.ink == span.ink => last.words.push_str(&span.words),
        _ => line.spans.push(span),
    }
}

/// Adds a piece to the last line, breaking inside it only if it is wider than a whole line.
fn push_broken(lines: &mut Vec<Line>, piece: Span, size_mm: f64, width_mm: f64) {
    let used = lines.last().map_or(0.0, |line| line.width_mm);
    if used + measured(&piece, size_mm) <= width_mm + 1e-9 {
        if let Some(line) = lines.last_mut() {
            push(line, piece, size_mm);
        }
        return;
    }
    let mut part = Span { words: String::new(), ..piece.clone() };
    let mut width = used;
    for letter in piece.words.chars() {
        let advance = font::width_mm(letter.encode_utf8(&mut [0; 4]), size_mm, piece.weight);
        if width > 0.0 && width + advance > width_mm + 1e-9 {
            if let Some(line) = lines.last_mut().filter(|_| !part.words.is_empty()) {
                push(
                    line,
                    std::mem::replace(&mut part, Span { words: String::new(), ..piece.clone() }),
                    size_mm,
                );
            }
            lines.push(Line::default());
            width = 0.0;
        }
        part.words.push(letter);
        width += advance;
    }
    if let Some(line) = lines.last_mut().filter(|_| !part.words.is_empty()) {
        push(line, part, size_mm);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_asked_and_no_letter_is_lost() {
        let words = "Bar 2 stands 646\u{A0}mm from bar 1; the limit is 600\u{A0}mm. Unbreakablylongwordofthetradeindeed.";
        for width in [12.0, 20.0, 33.0, 80.0] {
            let lines = wrap(words, 3.0, Weight::Regular, width);
            for line in &lines {
                assert!(font::width_mm(line, 3.0, Weight::Regular) <= width + 1e-6, "{line} at {width}");
            }
            let squeeze = |text: &str| text.replace(' ', "");
            assert_eq!(squeeze(&lines.concat()), squeeze(words));
        }
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let lines = wrap("it is 2\u{202F}214\u{A0}mm", 3.0, Weight::Regular, 16.0);
        assert_eq!(lines, ["it is", "2\u{202F}214\u{A0}mm"]);
    }

    #[test]
    fn a_bold_word_glued_to_a_comma_does_not_part_from_it() {
        let spans = [Span::new("wear "), Span::semibold("goggles"), Span::new(", always")];
        let lines = wrap_spans(&spans, 3.0, 18.0);
        let texts: Vec<String> =
            lines.iter().map(|line| line.spans.iter().map(|s| s.words.as_str()).collect()).collect();
        assert_eq!(texts, ["wear", "goggles,", "always"]);
    }

    #[test]
    fn no_words_are_one_empty_line() {
        assert_eq!(wrap("", 3.0, Weight::Regular, 10.0), [""]);
        assert_eq!(wrap("a\nb", 3.0, Weight::Regular, 50.0), ["a", "b"]);
    }
}
