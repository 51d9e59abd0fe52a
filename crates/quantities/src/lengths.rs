//! How lengths are shown: in millimetres, or in feet, inches and sixteenths. Here alone a length is put into words for a reader.

use crate::feet_inches;
use crate::format::{NO_BREAK_SPACE, THIN_SPACE, number, round_to, with_unit};

/// Millimetres of an inch, and of ten feet.
const INCH_MM: f64 = 25.4;
const TEN_FEET_M: f64 = 3.048;
/// A sixteenth of an inch, mm. What is told to parts of a millimetre and smaller than two of them is told in parts of an inch.
const SIXTEENTH_MM: f64 = 25.4 / 16.0;
/// What may stand between two lengths of which only the second bears its unit.
const JOINS: [&str; 13] = [
    " × ",
    "\u{a0}×\u{a0}",
    "\u{202f}×\u{202f}",
    "×",
    "\u{a0}× ",
    " to ",
    " and ",
    " or ",
    "–",
    " – ",
    "; ",
    " – about ",
    " … ",
];
/// Words after which a number is a length although it bears no unit, as the length before it in the sentence does.
const AFTER: [&str; 10] = [
    "limit of ",
    "the limit is ",
    "the least is ",
    "it must stay ",
    "they must stay ",
    "from its mark at ",
    "listed as ",
    "taped ",
    "the board ",
    "on the sheet ",
];

/// How lengths are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lengths {
    /// Millimetres.
    #[default]
    Millimetres,
    /// Feet, inches and sixteenths of an inch.
    FeetAndInches,
}

impl Lengths {
    /// Whether in feet and inches.
    pub const fn in_feet(self) -> bool {
        matches!(self, Self::FeetAndInches)
    }

    /// A length where no unit is written: `2545`, or `8' 4 3/16"`. What would be shown as nothing though it is something is told in
    /// parts of an inch, `0.01"`.
    pub fn figure(self, length_mm: f64, decimals: usize) -> String {
        if !self.in_feet() || !length_mm.is_finite() {
            return number(length_mm, decimals);
        }
        let nothing = round_to(length_mm, u32::try_from(decimals).unwrap_or(0)) == 0.0;
        if !nothing && length_mm.abs() < SIXTEENTH_MM / 2.0 {
            return parts(length_mm);
        }
        feet_inches::of_mm(if nothing { 0.0 } else { length_mm }).replace(' ', "\u{a0}")
    }

    /// A length with its unit: `2545 mm`, or `8' 4 3/16"`.
    pub fn with_unit(self, length_mm: f64, decimals: usize) -> String {
        if self.in_feet() { self.figure(length_mm, decimals) } else { with_unit(length_mm, decimals, "mm") }
    }

    /// A length that nobody measures, such as a standard deviation or a sag, where no unit is written: `0.53`, or `0.021"`.
    pub fn fine(self, length_mm: f64, decimals: usize) -> String {
        if !self.in_feet() || !length_mm.is_finite() {
            return number(length_mm, decimals);
        }
        format!("{}\"", number(length_mm / INCH_MM, decimals + 1))
    }

    /// The same with its unit.
    pub fn fine_with_unit(self, length_mm: f64, decimals: usize) -> String {
        if self.in_feet() { self.fine(length_mm, decimals) } else { with_unit(length_mm, decimals, "mm") }
    }

    /// A fall, where no unit is written: `2.1` mm in a metre, or `1/4"` in ten feet.
    pub fn fall(self, mm_per_m: f64, decimals: usize) -> String {
        if self.in_feet() { self.figure(mm_per_m * TEN_FEET_M, decimals) } else { number(mm_per_m, decimals) }
    }

    /// To what a figure is written to: whole millimetres, or sixteenths of an inch. Figures of a chain add up where their ends are rounded.
    pub fn rounded(self, length_mm: f64) -> f64 {
        if self.in_feet() { (length_mm / SIXTEENTH_MM).round() * SIXTEENTH_MM } else { length_mm.round() }
    }

    /// The sides of something, `2400 × 1200 mm`, or `7' 10 1/2" × 3' 11 1/4"`.
    pub fn size(self, sides_mm: &[f64]) -> String {
        let sides: Vec<String> = sides_mm.iter().map(|side| self.figure(*side, 0)).collect();
        format!("{}{}", sides.join(" × "), if self.in_feet() { "" } else { " mm" })
    }

    /// What stands above lengths: `length, mm`, or `length` where each bears its own unit.
    pub fn heading(self, words: &str) -> String {
        if !self.in_feet() {
            return words.to_owned();
        }
        if words == "mm" {
            return "length".to_owned();
        }
        let plain = words
            .replace(", mm/m", " in 10'")
            .replace(", mm per m", " in 10'")
            .replace(", mm (", " (")
            .replace(", mm.", ".")
            .replace(", mm;", ";")
            .replace(", mm ", ", ")
            .replace("± mm", "±");
        plain.strip_suffix(", mm").unwrap_or(&plain).to_owned()
    }

    /// Words as they were written for millimetres, every length in them put into this manner. `kept` are names that hold a length, such as
    /// the name of a product sold by it: they stay as they are.
    pub fn in_words<S: AsRef<str>>(self, words: &str, kept: &[S]) -> String {
        if !self.in_feet() || !holds_length(words) {
            return words.to_owned();
        }
        let mut shown = String::with_capacity(words.len());
        let mut rest = words;
        while !rest.is_empty() {
            let name = kept
                .iter()
                .map(AsRef::as_ref)
                .filter(|name| !name.is_empty())
                .filter_map(|name| rest.find(name).map(|at| (at, name)))
                .min_by_key(|(at, name)| (*at, usize::MAX - name.len()));
            let (own, name) = match name {
                Some((at, name)) => (rest.get(..at).unwrap_or_default(), name),
                None => (rest, ""),
            };
            self.plain_words(own, &mut shown);
            shown.push_str(name);
            rest = rest.get(own.len() + name.len()..).unwrap_or_default();
        }
        shown
    }

    /// Words that hold no name.
    fn plain_words(self, words: &str, shown: &mut String) {
        let mut rest = words;
        let mut after_length = false;
        while let Some(start) = rest.find(|letter: char| letter.is_ascii_digit()) {
            let (before, from) = rest.split_at(start);
            put_unit_words(before, shown);
            let (run, after) = number_at(from);
            // `A2`, `1.2.3` and the digits of a word are no numbers.
            let of_word =
                before.chars().next_back().is_some_and(|letter| letter.is_alphanumeric() || letter == '/');
            let read = if of_word { None } else { run.replace(THIN_SPACE, "").parse::<f64>().ok() };
            let decimals = run.split_once('.').map_or(0, |(_, fraction)| fraction.len());
            let unit = unit_after(after);
            let tail = match (read, unit) {
                (Some(mm), Some(Unit::Mm(tail))) => {
                    after_length = true;
                    shown.push_str(&self.told(mm, decimals));
                    tail
                }
                (Some(fall), Some(Unit::MmPerM(tail))) => {
                    shown.push_str(&self.fall(fall, decimals));
                    shown.push_str("\u{a0}in\u{a0}10'");
                    tail
                }
                (Some(metres), Some(Unit::M(tail))) => {
                    shown.push_str(&self.told_of_metres(metres, decimals));
                    tail
                }
                (Some(metres), None) if joined(after) == Some(Joined::M) => {
                    shown.push_str(&self.told_of_metres(metres, decimals));
                    after
                }
                (Some(mm), None)
                    if joined(after) == Some(Joined::Mm)
                        || (after_length
                            && AFTER.iter().any(|words| before.ends_with(words))
                            && !has_unit(after)) =>
                {
                    shown.push_str(&self.told(mm, decimals));
                    after
                }
                _ => {
                    shown.push_str(run);
                    after
                }
            };
            rest = tail;
        }
        put_unit_words(rest, shown);
    }

    /// A number of a sentence with so many decimals.
    fn told(self, length_mm: f64, decimals: usize) -> String {
        if decimals > 0 && length_mm.abs() < 2.0 * SIXTEENTH_MM && length_mm != 0.0 {
            parts(length_mm)
        } else {
            self.figure(length_mm, decimals)
        }
    }
}

impl Lengths {
    /// Metres of a sentence with so many decimals: to whole inches where they are told to a tenth or less.
    fn told_of_metres(self, metres: f64, decimals: usize) -> String {
        let length_mm = metres * 1000.0;
        let told_mm = if decimals <= 1 { (length_mm / INCH_MM).round() * INCH_MM } else { length_mm };
        self.figure(told_mm, 0)
    }
}

/// Whether words may hold a length: millimetres in any place, or a number of metres.
pub fn holds_length(words: &str) -> bool {
    let metres = |(at, _): (usize, &str)| {
        let before = words.get(..at).unwrap_or_default();
        let number = before.strip_suffix([' ', NO_BREAK_SPACE, THIN_SPACE]);
        number.is_some_and(|number| number.ends_with(|letter: char| letter.is_ascii_digit()))
    };
    words.contains("mm") || words.match_indices('m').any(metres)
}

/// A small length in parts of an inch, `0.04"`, `0.004"`.
fn parts(length_mm: f64) -> String {
    let inches = length_mm / INCH_MM;
    format!("{}\"", number(inches, if inches.abs() < 0.01 { 3 } else { 2 }))
}

/// The digits some words begin with, and what comes after.
fn number_at(words: &str) -> (&str, &str) {
    let length = words
        .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | THIN_SPACE)))
        .unwrap_or(words.len());
    let run = words.get(..length).unwrap_or_default().trim_end_matches(['.', THIN_SPACE]);
    words.split_at(run.len())
}

enum Unit<'a> {
    /// A length, and what comes after its unit.
    Mm(&'a str),
    /// A length in metres.
    M(&'a str),
    /// A fall.
    MmPerM(&'a str),
}

/// In which unit a list of lengths goes on.
#[derive(PartialEq, Eq)]
enum Joined {
    Mm,
    M,
}

/// The unit some words begin with.
fn unit_after(words: &str) -> Option<Unit<'_>> {
    let words = words.strip_prefix([' ', NO_BREAK_SPACE, THIN_SPACE])?;
    let goes_on = |letter: char| letter.is_alphanumeric() || matches!(letter, '²' | '³' | '/' | '·');
    let Some(tail) = words.strip_prefix("mm") else {
        let tail = words.strip_prefix('m')?;
        return (!tail.starts_with(goes_on)).then_some(Unit::M(tail));
    };
    if let Some(tail) = tail.strip_prefix("/m").or_else(|| tail.strip_prefix(" per m")) {
        let ends = !tail.starts_with(|letter: char| letter.is_alphanumeric() || matches!(letter, '²' | '³'));
        return ends.then_some(Unit::MmPerM(tail));
    }
    (!tail.starts_with(goes_on)).then_some(Unit::Mm(tail))
}

/// The unit of a list of lengths whose rest words begin with, and whose last bears it: ` × 1200 × 12.5 mm`, ` to 2.5 m`.
fn joined(words: &str) -> Option<Joined> {
    let next = JOINS.iter().filter_map(|join| words.strip_prefix(join));
    next.map(number_at).filter(|(run, _)| !run.is_empty()).find_map(|(_, after)| match unit_after(after) {
        Some(Unit::Mm(_)) => Some(Joined::Mm),
        Some(Unit::M(_)) => Some(Joined::M),
        Some(Unit::MmPerM(_)) => None,
        None => joined(after),
    })
}

/// Whether another unit follows, or the number goes on as a word.
fn has_unit(words: &str) -> bool {
    words.starts_with([NO_BREAK_SPACE, '%', '/', '°']) || words.starts_with(char::is_alphanumeric)
}

/// What stands between numbers, where it names the unit of those that bear none.
fn put_unit_words(words: &str, shown: &mut String) {
    let mut rest = words;
    while let Some(at) = rest.find(" in mm") {
        let (before, from) = rest.split_at(at);
        shown.push_str(before);
        let after = from.get(" in mm".len()..).unwrap_or_default();
        let ends =
            !after.starts_with(|letter: char| letter.is_alphanumeric() || matches!(letter, '²' | '³' | '/'));
        shown.push_str(if ends { " in feet and inches" } else { " in mm" });
        rest = after;
    }
    shown.push_str(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: Lengths = Lengths::Millimetres;
    const FEET: Lengths = Lengths::FeetAndInches;
    const NONE: [&str; 0] = [];

    #[test]
    fn a_length_is_shown_in_one_manner_or_the_other() {
        assert_eq!(
            (MM.figure(2544.76, 0).as_str(), MM.with_unit(2544.76, 1).as_str()),
            ("2545", "2544.8\u{a0}mm")
        );
        assert_eq!(FEET.figure(2544.76, 0), "8'\u{a0}4\u{a0}3/16\"");
        assert_eq!(FEET.with_unit(-12.7, 0), "−1/2\"");
        assert_eq!((MM.figure(f64::NAN, 0), FEET.figure(f64::NAN, 0)), ("–".to_owned(), "–".to_owned()));
        // Nothing is nothing, and what is something is never shown as nothing.
        assert_eq!((FEET.figure(0.04, 1).as_str(), FEET.figure(0.3, 0).as_str()), ("0\"", "0\""));
        assert_eq!((FEET.figure(0.3, 1).as_str(), FEET.figure(-0.12, 2).as_str()), ("0.01\"", "−0.005\""));
        assert_eq!((MM.fine(0.534, 2).as_str(), FEET.fine(0.534, 2).as_str()), ("0.53", "0.021\""));
        assert_eq!((MM.fall(2.14, 1).as_str(), FEET.fall(2.14, 1).as_str()), ("2.1", "1/4\""));
    }

    #[test]
    fn headings_lose_the_unit_where_each_length_bears_its_own() {
        for (words, feet) in [
            ("length, mm", "length"),
            ("mm", "length"),
            ("cut, mm (for bar)", "cut (for bar)"),
            ("laps, mm from its first end", "laps, from its first end"),
            ("out of square, mm/m", "out of square in 10'"),
            ("± mm", "±"),
            ("Lengths are those of the room, mm; ± is one.", "Lengths are those of the room; ± is one."),
            ("hours", "hours"),
        ] {
            assert_eq!((MM.heading(words).as_str(), FEET.heading(words).as_str()), (words, feet));
        }
    }

    #[test]
    fn lengths_of_a_sentence_are_put_into_feet_and_nothing_else_is() {
        for (words, feet) in [
            ("a gap of 8\u{a0}mm", "a gap of 5/16\""),
            (
                "2400 × 1200 × 12.5 mm, 40 pieces",
                "7'\u{a0}10\u{a0}1/2\" × 3'\u{a0}11\u{a0}1/4\" × 1/2\", 40 pieces",
            ),
            (
                "600\u{202f}×\u{202f}1200\u{a0}mm",
                "1'\u{a0}11\u{a0}5/8\"\u{202f}×\u{202f}3'\u{a0}11\u{a0}1/4\"",
            ),
            ("10\u{202f}000\u{a0}mm.", "32'\u{a0}9\u{a0}11/16\"."),
            ("8 to 12 mm", "5/16\" to 1/2\""),
            ("± 3 mm", "± 1/8\""),
            ("sure to 0.5 mm", "sure to 0.02\""),
            ("free 25 000 mm², 3 mm²", "free 25 000 mm², 3 mm²"),
            ("falls 2.1\u{a0}mm/m", "falls 1/4\"\u{a0}in\u{a0}10'"),
            ("45\u{a0}mm under the limit of 2500", "1\u{a0}3/4\" under the limit of 8'\u{a0}2\u{a0}7/16\""),
            ("45\u{a0}mm, the limit of 20\u{a0}kg", "1\u{a0}3/4\", the limit of 20\u{a0}kg"),
            ("Dimensions in mm from the corner", "Dimensions in feet and inches from the corner"),
            ("layer 2 of 12.5 mm, 3 %", "layer 2 of 1/2\", 3 %"),
            ("ISO 717-1, 1.2.3 mm", "ISO 717-1, 1.2.3 mm"),
            ("A4 mm", "A4 mm"),
            ("58.7 m in 12 bars", "192'\u{a0}7\" in 12 bars"),
            ("6.0\u{a0}m from the wall", "19'\u{a0}8\" from the wall"),
            ("Span 4.02 m (2.27 m clear).", "Span 13'\u{a0}2\u{a0}1/4\" (7'\u{a0}5\u{a0}3/8\" clear)."),
            ("a 1 m straightedge, 0.6 m", "a 3'\u{a0}3\" straightedge, 2'"),
            ("1.5 to 2.5 m off", "4'\u{a0}11\" to 8'\u{a0}2\" off"),
            (
                "11.5 m², 32.2\u{a0}kg/m², 3 m/s, 2\u{a0}m³, 1.5 dB/m, 20 m2, 4 min, 2 m·K",
                "11.5 m², 32.2\u{a0}kg/m², 3 m/s, 2\u{a0}m³, 1.5 dB/m, 20 m2, 4 min, 2 m·K",
            ),
            ("stud 38 × 63 mm at 600 mm", "stud 38 × 63 mm at 1'\u{a0}11\u{a0}5/8\""),
        ] {
            assert_eq!(FEET.in_words(words, &["stud 38 × 63 mm"]), feet);
            assert_eq!(MM.in_words(words, &["stud 38 × 63 mm"]), words);
        }
        assert_eq!(FEET.in_words("no length, 3 dB", &NONE), "no length, 3 dB");
    }

    #[test]
    fn any_words_are_taken() {
        for words in ["mm", " mm", "3 mm", "3. mm", "\u{202f}mm 4\u{202f} mm", "4\u{a0}", "×4 × mm", "²3 mm³"]
        {
            assert!(!FEET.in_words(words, &NONE).is_empty(), "{words}");
        }
    }
}
