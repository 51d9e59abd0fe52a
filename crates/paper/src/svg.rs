//! SVG: for the web page (inks as CSS variables, so that the page can lay the drawing on dark paper) and as a file
//! that stands alone.

use crate::exporter::{Exporter, PaperError};
use crate::font::{self, Weight};
use crate::ink::{Dash, Ink, Pen, Tone};
use crate::page::Document;
use crate::point::Point;
use crate::scene::{Anchor, Arc, Circle, Dots, Group, Item, Path, Scene, Strokes, Text};
use std::fmt::Write as _;

/// How an SVG is written.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(clippy::struct_excessive_bools, reason = "four things a page may leave to itself, each on its own")]
pub struct Svg {
    /// The colours an ink has where the page sets none.
    pub tone: Tone,
    /// Whether the paper is painted.
    pub paints_paper: bool,
    /// Whether the faces are embedded (84 kB), so that the file looks the same where they are not installed.
    pub embeds_faces: bool,
    /// Whether the size is written in millimetres; else the drawing takes the width of what holds it.
    pub has_size: bool,
    /// Whether the rules of its inks stand in it; else the page has them, [`ink_rules_css`].
    pub has_rules: bool,
}

impl Svg {
    /// For a web page that brings the faces and the rules of the inks itself: no size, no paper, no style within.
    pub const INLINE: Self = Self {
        tone: Tone::Warm,
        paints_paper: false,
        embeds_faces: false,
        has_size: false,
        has_rules: false,
    };
    /// A file that stands alone on warm paper.
    pub const FILE: Self =
        Self { tone: Tone::Warm, paints_paper: true, embeds_faces: true, has_size: true, has_rules: true };
}

impl Exporter for Svg {
    fn ending(&self) -> &'static str {
        "svg"
    }

    fn export(&self, scene: &Scene) -> Result<Vec<u8>, PaperError> {
        Document::page_size_mm(scene, 1)?;
        Ok(write_with(scene, self).into_bytes())
    }
}

/// A scene for a web page, [`Svg::INLINE`].
///
/// Inks are `var(--paper-ink, #…)` and so on (names of [`Ink::name`]); lengths are millimetres with at most three
/// decimals.
pub fn write(scene: &Scene) -> String {
    write_with(scene, &Svg::INLINE)
}

/// A scene as a file that stands alone, [`Svg::FILE`].
pub fn write_file(scene: &Scene) -> String {
    write_with(scene, &Svg::FILE)
}

/// The two faces as CSS `@font-face` rules with the files inside, for a page that shows inline drawings.
pub fn font_face_css() -> String {
    let mut css = String::new();
    for weight in [Weight::Regular, Weight::Semibold] {
        let _ = write!(
            css,
            "@font-face{{font-family:\"{}\";font-weight:{};src:url(data:font/ttf;base64,{}) format(\"truetype\")}}",
            font::FAMILY,
            weight.css(),
            base64(weight.file())
        );
    }
    css
}

/// The CSS variables of the inks on one tone of paper: `--paper-ink:#1c2433;…`.
pub fn ink_variables_css(tone: Tone) -> String {
    Ink::ALL.iter().fold(String::new(), |mut css, &ink| {
        let _ = write!(css, "--paper-{}:{};", ink.name(), hex(tone, ink));
        css
    })
}

/// The rules that give the classes of a drawing their ink: the CSS variable, or the colour on one tone of paper where the page
/// sets none. The plain attribute beside a class serves readers without variables.
pub fn ink_rules_css(tone: Tone) -> String {
    Ink::ALL.iter().fold(String::new(), |mut css, &ink| {
        let (name, colour) = (ink.name(), hex(tone, ink));
        let _ = write!(
            css,
            ".s-{name}{{stroke:var(--paper-{name},{colour})}}.f-{name}{{fill:var(--paper-{name},{colour})}}"
        );
        css
    })
}

/// A scene written as asked.
pub fn write_with(scene: &Scene, how: &Svg) -> String {
    let mut out = Writer { text: String::new(), tone: how.tone };
    let (width, height) = (number(scene.width_mm), number(scene.height_mm));
    let _ = write!(
        out.text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" viewBox=\"0 0 {width} {height}\""
    );
    if how.has_size {
        let _ = write!(out.text, " width=\"{width}mm\" height=\"{height}mm\"");
    }
    out.text
        .push_str(" font-family=\"'Stillroom Sans', sans-serif\" fill=\"none\" stroke-linejoin=\"round\" ");
    out.text.push_str("font-kerning=\"none\" xml:space=\"preserve\">\n");
    if how.embeds_faces || how.has_rules {
        out.text.push_str("<style>");
        if how.embeds_faces {
            out.text.push_str(&font_face_css());
        }
        if how.has_rules {
            out.text.push_str(&ink_rules_css(how.tone));
        }
        out.text.push_str("</style>\n");
    }
    if how.paints_paper {
        let _ = writeln!(
            out.text,
            "<rect width=\"{width}\" height=\"{height}\" class=\"f-paper\" fill=\"{}\"/>",
            hex(how.tone, Ink::Paper)
        );
    }
    out.items(&scene.items);
    out.text.push_str("</svg>\n");
    out.text
}

struct Writer {
    text: String,
    tone: Tone,
}

impl Writer {
    fn items(&mut self, items: &[Item]) {
        for item in items.iter().filter(|item| item.is_drawable()) {
            match item {
                Item::Group(group) => self.group(group),
                Item::Path(path) => self.path(path),
                Item::Strokes(strokes) => self.strokes(strokes),
                Item::Dots(dots) => self.dots(dots),
                Item::Circle(circle) => self.circle(circle),
                Item::Arc(arc) => self.arc(arc),
                Item::Text(text) => self.line_of_text(text),
            }
        }
    }

    fn group(&mut self, group: &Group) {
        self.text.push_str("<g");
        if let Some(id) = &group.id {
            let _ = write!(self.text, " id=\"{}\"", escaped(id));
        }
        if !group.layer.is_empty() {
            let _ = write!(self.text, " data-layer=\"{}\"", escaped(&group.layer));
        }
        self.text.push('>');
        if let Some(title) = &group.title {
            let _ = write!(self.text, "<title>{}</title>", escaped(title));
        }
        self.text.push('\n');
        self.items(&group.items);
        self.text.push_str("</g>\n");
    }

    fn path(&mut self, path: &Path) {
        if path.pen.is_none() && path.fill.is_none() {
            return;
        }
        let mut d = String::new();
        trace(&mut d, &path.points, path.closed);
        let _ = write!(self.text, "<path d=\"{d}\"");
        if path.closed {
            self.text.push_str(" stroke-linejoin=\"miter\"");
        }
        self.ink_attributes(path.pen.as_ref(), path.fill);
        self.text.push_str("/>\n");
    }

    fn strokes(&mut self, strokes: &Strokes) {
        let mut d = String::new();
        for line in strokes.lines.iter().filter(|line| line.len() > 1) {
            trace(&mut d, line, false);
        }
        if d.is_empty() {
            return;
        }
        let _ = write!(self.text, "<path d=\"{d}\"");
        self.ink_attributes(Some(&strokes.pen), None);
        self.text.push_str("/>\n");
    }

    /// Dots are strokes of no length with round ends: one element for thousands of them.
    fn dots(&mut self, dots: &Dots) {
        if dots.centres.is_empty() {
            return;
        }
        self.text.push_str("<path d=\"");
        for centre in &dots.centres {
            let _ = write!(self.text, "M{} {}h0", number(centre.x), number(centre.y));
        }
        self.text.push_str("\" stroke-linecap=\"round\"");
        let pen = Pen { width_mm: dots.diameter_mm, dash: Dash::Solid, ink: dots.ink };
        self.ink_attributes(Some(&pen), None);
        self.text.push_str("/>\n");
    }

    fn circle(&mut self, circle: &Circle) {
        let (x, y, r) = (number(circle.centre.x), number(circle.centre.y), number(circle.radius_mm));
        let _ = write!(self.text, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"");
        self.ink_attributes(circle.pen.as_ref(), circle.fill);
        self.text.push_str("/>\n");
    }

    fn arc(&mut self, arc: &Arc) {
        if arc.sweep_deg > 359.99 {
            let whole =
                Circle { centre: arc.centre, radius_mm: arc.radius_mm, pen: Some(arc.pen), fill: None };
            return self.circle(&whole);
        }
        let (from, to) = (arc.point_at(arc.from_deg), arc.point_at(arc.from_deg + arc.sweep_deg));
        let radius = number(arc.radius_mm);
        let large = u8::from(arc.sweep_deg > 180.0);
        let _ = write!(
            self.text,
            "<path d=\"M{} {}A{radius} {radius} 0 {large} 0 {} {}\"",
            number(from.x),
            number(from.y),
            number(to.x),
            number(to.y)
        );
        self.ink_attributes(Some(&arc.pen), None);
        self.text.push_str("/>\n");
    }

    fn line_of_text(&mut self, text: &Text) {
        if text.knock_out {
            let mut d = String::new();
            trace(&mut d, &text.corners(KNOCK_OUT_MARGIN_MM), true);
            let _ = write!(self.text, "<path d=\"{d}\"");
            self.ink_attributes(None, Some(Ink::Paper));
            self.text.push_str("/>\n");
        }
        let _ = write!(
            self.text,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"",
            number(text.at.x),
            number(text.start().y),
            number(text.drawn_size_mm())
        );
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.text.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.text.push_str(" text-anchor=\"end\""),
        }
        if text.weight != Weight::Regular {
            let _ = write!(self.text, " font-weight=\"{}\"", text.weight.css());
        }
        if number(text.turn_deg) != "0" {
            let (turn, x, y) = (number(-text.turn_deg), number(text.at.x), number(text.at.y));
            let _ = write!(self.text, " transform=\"rotate({turn} {x} {y})\"");
        }
        self.ink_attributes(None, Some(text.ink));
        let _ = writeln!(self.text, ">{}</text>", escaped(&text.drawn_words()));
    }

    fn ink_attributes(&mut self, pen: Option<&Pen>, fill: Option<Ink>) {
        let classes: Vec<String> = pen
            .map(|pen| format!("s-{}", pen.ink.name()))
            .into_iter()
            .chain(fill.map(|ink| format!("f-{}", ink.name())))
            .collect();
        let _ = write!(self.text, " class=\"{}\"", classes.join(" "));
        if let Some(pen) = pen {
            let (colour, width) = (hex(self.tone, pen.ink), number(pen.drawn_width_mm()));
            let _ = write!(self.text, " stroke=\"{colour}\" stroke-width=\"{width}\"");
            let lengths: Vec<String> = pen.dash.lengths_mm().iter().map(|&length| number(length)).collect();
            if !lengths.is_empty() {
                let _ = write!(self.text, " stroke-dasharray=\"{}\"", lengths.join(" "));
            }
            if pen.dash == Dash::Dotted {
                self.text.push_str(" stroke-linecap=\"round\"");
            }
        }
        if let Some(ink) = fill {
            let _ = write!(self.text, " fill=\"{}\"", hex(self.tone, ink));
        }
    }
}

/// How far the paper reaches round knocked-out text, mm.
pub(crate) const KNOCK_OUT_MARGIN_MM: f64 = 0.4;

fn trace(d: &mut String, points: &[Point], closed: bool) {
    for (at, point) in points.iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{letter}{} {}", number(point.x), number(point.y));
    }
    if closed {
        d.push('Z');
    }
}

/// At most three decimals, no trailing zeros, never minus zero.
fn number(value: f64) -> String {
    let fixed = format!("{value:.3}");
    let short = fixed.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" || !value.is_finite() { "0".to_owned() } else { short.to_owned() }
}

fn hex(tone: Tone, ink: Ink) -> String {
    let [red, green, blue] = tone.colour(ink);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\'' => text.push_str("&#39;"),
            // XML has no place for other control characters, nor for these two.
            '\u{FFFE}' | '\u{FFFF}' => {}
            letter if letter.is_control() && letter != '\n' => {}
            letter => text.push(letter),
        }
    }
    text
}

/// RFC 4648 base 64 with padding.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits =
            three.iter().fold(0_u32, |bits, &byte| bits << 8 | u32::from(byte)) << (8 * (3 - three.len()));
        for place in 0..4_usize {
            let six = (bits >> (18 - 6 * place)) & 63;
            let letter = LETTERS.get(six as usize).copied().unwrap_or(b'=');
            text.push(if place <= three.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_as_rfc_4648_section_10_prints_it() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        assert_eq!(number(12.3456), "12.346");
        assert_eq!(number(-0.0001), "0");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(f64::NAN), "0");
    }
}
