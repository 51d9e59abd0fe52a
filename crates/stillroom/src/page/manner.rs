//! How lengths and numbers are shown to the one who looks: millimetres or feet and inches, with a decimal point or comma.
//!
//! The room file says which unit, and the switch of the page which instead. Everything is worked out in millimetres with points; what goes out
//! is put into the reader's manner last, in the words of the page and never in its tags.

use std::borrow::Cow;

use axum::http::{HeaderMap, header};
use plan::{Plan, project::LengthsIn};
use quantities::{feet_inches, lengths::Lengths, numerals::Decimals};

use super::fields::number_of;
use crate::locale::decimals_of;

/// Cookie that keeps the unit of lengths.
const COOKIE: &str = "stillroom-lengths";
/// How lengths and numbers are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Manner {
    /// What the switch of the page was set to; the room file's own where it was not.
    pub(crate) chosen: Option<Lengths>,
    /// Millimetres, or feet and inches.
    pub(crate) lengths: Lengths,
    /// A decimal comma.
    pub(crate) comma: bool,
}

impl Manner {
    /// What a browser asks for.
    pub(crate) fn of(headers: &HeaderMap) -> Self {
        let text = |name| headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default();
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let chosen = cookies
            .flat_map(|all| all.split(';'))
            .filter_map(|one| one.trim().strip_prefix(COOKIE)?.strip_prefix('='))
            .find_map(|unit| match unit {
                "feet" => Some(Lengths::FeetAndInches),
                "mm" => Some(Lengths::Millimetres),
                _ => None,
            });
        Self {
            chosen,
            lengths: chosen.unwrap_or_default(),
            comma: decimals_of(text(header::ACCEPT_LANGUAGE)).is_comma(),
        }
    }

    /// The same where the room file is known, which says the unit where the switch does not, and may say what sets decimals apart.
    pub(crate) fn in_room(self, plan: Option<&Plan>) -> Self {
        let lengths = self.chosen.or(plan.map(Plan::lengths)).unwrap_or_default();
        let comma = plan.and_then(Plan::decimals).map_or(self.comma, Decimals::is_comma);
        Self { lengths, comma, ..self }
    }

    /// The cookie that keeps the other unit than one sees now.
    pub(crate) fn other_unit(self) -> String {
        format!(
            "{COOKIE}={}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict",
            if self.lengths.in_feet() { "mm" } else { "feet" }
        )
    }

    /// The plan to draw from: its drawings are in the unit of the page.
    pub(crate) fn plan(self, plan: &Plan) -> Cow<'_, Plan> {
        if plan.lengths() == self.lengths {
            return Cow::Borrowed(plan);
        }
        let mut shown = plan.clone();
        shown.title.lengths =
            if self.lengths.in_feet() { LengthsIn::FeetAndInches } else { LengthsIn::Millimetres };
        Cow::Owned(shown)
    }

    /// A length for a table.
    pub(crate) fn length(self, length_mm: f64, decimals: usize) -> String {
        self.lengths.figure(length_mm, decimals)
    }

    /// A length that nobody measures, such as a standard deviation, for a table.
    pub(crate) fn fine(self, length_mm: f64, decimals: usize) -> String {
        self.lengths.fine(length_mm, decimals)
    }

    /// The same that may go either way.
    pub(crate) fn signed(self, length_mm: f64, decimals: usize) -> String {
        with_sign(length_mm, self.lengths.fine(length_mm, decimals))
    }

    /// A fall, which may go either way.
    pub(crate) fn fall(self, mm_per_m: f64) -> String {
        with_sign(mm_per_m, self.lengths.fall(mm_per_m, 1))
    }

    /// What sets decimals apart.
    fn decimals(self) -> Decimals {
        if self.comma { Decimals::Comma } else { Decimals::Point }
    }

    /// What stands above lengths: without its unit where they bear their own.
    pub(crate) fn heading(self, words: &str) -> String {
        self.lengths.heading(words)
    }

    /// What the file says, as a field shows it.
    pub(crate) fn field(self, path: &str, typed: &str) -> String {
        match typed.parse::<f64>() {
            Ok(length_mm) if self.lengths.in_feet() && is_length(path) => {
                feet_inches::of_mm(length_mm).replace('−', "-")
            }
            Ok(_) if self.comma => typed.replace('.', ","),
            _ => typed.to_owned(),
        }
    }

    /// A page put into this manner: lengths with their unit, and decimals, in what is read and not in the tags. What stands in a text
    /// field stays as it is, and so do names with a length in them.
    /// `typed` is what a person typed that is quoted in it.
    pub(crate) fn put_on(self, page: String, plan: Option<&Plan>, typed: Option<&str>) -> String {
        if !self.lengths.in_feet() && !self.comma {
            return page;
        }
        let mut names = plan.map(Plan::names_with_lengths).unwrap_or_default();
        names.extend(typed.map(|typed| Cow::Owned(typed.trim().to_owned())));
        sheets::shown::in_html(&page, &mut |words, shown| {
            let words = self.lengths.in_words(words, &names);
            shown.push_str(&self.decimals().in_words(&words));
        })
    }
}

fn with_sign(value: f64, words: String) -> String {
    let nothing = words.chars().all(|letter| matches!(letter, '0' | '.' | '"'));
    if value > 0.0 && !nothing { format!("+{words}") } else { words }
}

/// Whether a key of the file takes a length in millimetres.
pub(crate) fn is_length(path: &str) -> bool {
    let key = path.rsplit('.').next().unwrap_or_default();
    key.split('[').next().unwrap_or_default().ends_with("_mm")
}

/// A length as typed: millimetres with or without their mark, centimetres and metres with it, or feet and inches with theirs, mm.
pub(crate) fn length_of(typed: &str) -> Option<f64> {
    if feet_inches::groups_thousands(typed) {
        // `1,200` may be twelve hundred or one and a fifth.
        return None;
    }
    let metric = || {
        let plain = typed.trim();
        let (number, factor) = [("mm", 1.0), ("cm", 10.0), ("m", 1000.0)]
            .into_iter()
            .find_map(|(unit, factor)| Some((plain.strip_suffix(unit)?, factor)))?;
        Some(number_of(number)? * factor)
    };
    feet_inches::parse_mm(typed).or_else(|| number_of(typed)).or_else(metric)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(name: &'static str, value: &'static str) -> Manner {
        let mut headers = HeaderMap::new();
        headers.insert(name, value.parse().unwrap());
        Manner::of(&headers)
    }

    #[test]
    fn a_browser_says_how_it_reads() {
        assert!(with("accept-language", "de-DE,de;q=0.9,en;q=0.8").comma);
        assert!(with("accept-language", "fr").comma);
        for point in ["en-GB,de;q=0.5", "de-CH", "ja", "", "*"] {
            assert!(!with("accept-language", point).comma, "{point}");
        }
        assert!(with("cookie", "a=b; stillroom-lengths=feet").lengths.in_feet());
        assert_eq!(with("cookie", "stillroom-lengths=mm").chosen, Some(Lengths::Millimetres));
        assert_eq!(with("cookie", "stillroom-lengths=ells").chosen, None);
        assert_eq!(Manner::of(&HeaderMap::new()), Manner::default());
    }

    #[test]
    fn words_are_put_into_the_manner_and_tags_are_not() {
        let page = "<p data-x=\"1.5\u{a0}mm\">2\u{202f}545.5\u{a0}mm, 1.5\u{a0}dB, 32.2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2.5";
        let feet = Manner { lengths: Lengths::FeetAndInches, ..Manner::default() };
        assert_eq!(
            feet.put_on(page.to_owned(), None, None),
            "<p data-x=\"1.5\u{a0}mm\">8'\u{a0}4\u{a0}3/16\", 1.5\u{a0}dB, 32.2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2.5"
        );
        let comma = Manner { comma: true, ..Manner::default() };
        assert_eq!(
            comma.put_on(page.to_owned(), None, None),
            "<p data-x=\"1.5\u{a0}mm\">2\u{202f}545,5\u{a0}mm, 1,5\u{a0}dB, 32,2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2,5"
        );
        assert_eq!(Manner::default().put_on(page.to_owned(), None, None), page);
        assert_eq!(feet.put_on("<p".to_owned(), None, None), "<p");
    }

    #[test]
    fn fields_of_lengths_show_feet_and_others_stay() {
        let feet = Manner { lengths: Lengths::FeetAndInches, ..Manner::default() };
        assert_eq!(feet.field("survey.tape[2].ceiling_mm", "2545"), "8' 4 3/16\"");
        assert_eq!(feet.field("joist[1].up_from_laser_mm[2]", "-25.4"), "-1\"");
        assert_eq!(feet.field("limits.lift_kg", "40"), "40");
        let comma = Manner { comma: true, ..Manner::default() };
        assert_eq!(comma.field("limits.lift_kg", "40.5"), "40,5");
        assert_eq!(comma.field("receiver[0].name", "no. 1.5 b"), "no. 1.5 b");
        assert_eq!(
            [feet.heading("width, mm"), feet.heading("mm"), comma.heading("mm")],
            ["width", "length", "mm"]
        );
    }
}
