//! How lengths and numbers are shown to the one who looks: millimetres or feet and inches, with a decimal point or comma.
//!
//! Everything is drawn in millimetres with points; what goes out is put into the reader's manner last, in the words of the page and never in
//! its tags.

use axum::http::{HeaderMap, header};
use quantities::feet_inches;

use super::fields::number_of;

/// Cookie that keeps the unit of lengths.
const COOKIE: &str = "stillroom-lengths";
/// Languages that write a decimal comma, by their first letters (from memory; a field takes both).
const COMMA: [&str; 33] = [
    "bg", "ca", "cs", "da", "de", "el", "es", "et", "eu", "fi", "fr", "hr", "hu", "id", "is", "it", "lt",
    "lv", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl", "sr", "sv", "tr", "uk", "vi",
];
/// Regions that write a decimal point although their language does not elsewhere (from memory).
const POINT: [&str; 6] = ["es-419", "es-mx", "es-us", "de-ch", "de-li", "it-ch"];

/// How lengths and numbers are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Manner {
    /// Feet, inches and sixteenths in place of millimetres.
    pub(crate) feet: bool,
    /// A decimal comma.
    pub(crate) comma: bool,
}

impl Manner {
    /// What a browser asks for.
    pub(crate) fn of(headers: &HeaderMap) -> Self {
        let text = |name| headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default();
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let feet = cookies.flat_map(|all| all.split(';')).any(|one| one.trim() == format!("{COOKIE}=feet"));
        let first =
            text(header::ACCEPT_LANGUAGE).split([',', ';']).next().unwrap_or_default().trim().to_lowercase();
        let language = first.split('-').next().unwrap_or_default();
        Self { feet, comma: COMMA.contains(&language) && !POINT.contains(&first.as_str()) }
    }

    /// The cookie that keeps the other unit.
    pub(crate) fn other_unit(self) -> String {
        format!(
            "{COOKIE}={}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict",
            if self.feet { "mm" } else { "feet" }
        )
    }

    /// A length for a table.
    pub(crate) fn length(self, length_mm: f64, decimals: usize) -> String {
        if self.feet {
            feet_inches::of_mm(length_mm)
        } else {
            quantities::format::number(length_mm, decimals)
        }
    }

    /// A length that may go either way, for a table.
    pub(crate) fn signed(self, length_mm: f64, decimals: usize) -> String {
        let words = self.length(length_mm, decimals);
        let nothing = words.chars().all(|letter| matches!(letter, '0' | '.' | '"'));
        if length_mm > 0.0 && !nothing { format!("+{words}") } else { words }
    }

    /// What stands above lengths: without its unit where they bear their own.
    pub(crate) fn heading(self, words: &str) -> &str {
        if self.feet {
            words.strip_suffix(", mm").unwrap_or(if words == "mm" { "" } else { words })
        } else {
            words
        }
    }

    /// What the file says, as a field shows it.
    pub(crate) fn field(self, path: &str, typed: &str) -> String {
        match typed.parse::<f64>() {
            Ok(length_mm) if self.feet && is_length(path) => feet_inches::of_mm(length_mm).replace('−', "-"),
            Ok(_) if self.comma => typed.replace('.', ","),
            _ => typed.to_owned(),
        }
    }

    /// A page put into this manner: lengths with their unit, and decimals, in what is read and not in the tags. What stands in a text
    /// field stays as it is.
    pub(crate) fn put_on(self, page: String) -> String {
        if !self.feet && !self.comma {
            return page;
        }
        let mut shown = String::with_capacity(page.len() + page.len() / 16);
        let mut rest = page.as_str();
        let mut verbatim = false;
        while let Some(start) = rest.find('<') {
            let (words, tag_on) = rest.split_at(start);
            if verbatim {
                shown.push_str(words);
            } else {
                self.words(words, &mut shown);
            }
            let end = tag_on.find('>').map_or(tag_on.len(), |end| end + 1);
            let (tag, after) = tag_on.split_at(end);
            for element in ["textarea", "script", "code"] {
                verbatim |= tag.strip_prefix('<').is_some_and(|tag| tag.starts_with(element));
                verbatim &= !tag.strip_prefix("</").is_some_and(|tag| tag.starts_with(element));
            }
            shown.push_str(tag);
            rest = after;
        }
        self.words(rest, &mut shown);
        shown
    }

    /// Words without tags.
    fn words(self, words: &str, shown: &mut String) {
        let mut rest = words;
        while let Some(start) = rest.find(|letter: char| letter.is_ascii_digit()) {
            let (before, from) = rest.split_at(start);
            shown.push_str(before);
            let length = from
                .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | '\u{202f}')))
                .unwrap_or(from.len());
            let (run, after) = from.split_at(length);
            let number = run.trim_end_matches(['.', '\u{202f}']);
            let tail = run.get(number.len()..).unwrap_or_default();
            let unit = after.strip_prefix("\u{a0}mm").filter(|next| {
                tail.is_empty()
                    && !next.starts_with(|letter: char| {
                        letter.is_alphanumeric() || matches!(letter, '²' | '/' | '³')
                    })
            });
            match (unit, number_of(number)) {
                (Some(next), Some(length_mm)) if self.feet => {
                    shown.push_str(&feet_inches::of_mm(length_mm).replace(' ', "\u{a0}"));
                    rest = next;
                }
                _ => {
                    // A number of a heading such as 1.2.3 is none.
                    let decimal = self.comma && number.matches('.').count() == 1;
                    if decimal {
                        shown.push_str(&number.replace('.', ","));
                    } else {
                        shown.push_str(number);
                    }
                    shown.push_str(tail);
                    rest = after;
                }
            }
        }
        shown.push_str(rest);
    }
}

/// Whether a key of the file takes a length in millimetres.
pub(crate) fn is_length(path: &str) -> bool {
    let key = path.rsplit('.').next().unwrap_or_default();
    key.split('[').next().unwrap_or_default().ends_with("_mm")
}

/// A length as typed: millimetres, or feet and inches with their marks.
pub(crate) fn length_of(typed: &str) -> Option<f64> {
    if feet_inches::groups_thousands(typed) {
        // `1,200` may be twelve hundred or one and a fifth.
        return None;
    }
    feet_inches::parse_mm(typed).or_else(|| number_of(typed))
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
        assert!(with("cookie", "a=b; stillroom-lengths=feet").feet);
        assert!(!with("cookie", "stillroom-lengths=mm").feet);
        assert_eq!(Manner::of(&HeaderMap::new()), Manner::default());
    }

    #[test]
    fn words_are_put_into_the_manner_and_tags_are_not() {
        let page = "<p data-x=\"1.5\u{a0}mm\">2\u{202f}545.5\u{a0}mm, 1.5\u{a0}dB, 32.2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2.5";
        let feet = Manner { feet: true, comma: false };
        assert_eq!(
            feet.put_on(page.to_owned()),
            "<p data-x=\"1.5\u{a0}mm\">8'\u{a0}4\u{a0}3/16\", 1.5\u{a0}dB, 32.2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2.5"
        );
        let comma = Manner { feet: false, comma: true };
        assert_eq!(
            comma.put_on(page.to_owned()),
            "<p data-x=\"1.5\u{a0}mm\">2\u{202f}545,5\u{a0}mm, 1,5\u{a0}dB, 32,2\u{a0}mm², ISO 717-1. Chapter 1.2.3</p><textarea>1.5</textarea> 2,5"
        );
        assert_eq!(Manner::default().put_on(page.to_owned()), page);
        assert_eq!(feet.put_on("<p".to_owned()), "<p");
    }

    #[test]
    fn fields_of_lengths_show_feet_and_others_stay() {
        let feet = Manner { feet: true, comma: false };
        assert_eq!(feet.field("survey.tape[2].ceiling_mm", "2545"), "8' 4 3/16\"");
        assert_eq!(feet.field("joist[1].up_from_laser_mm[2]", "-25.4"), "-1\"");
        assert_eq!(feet.field("limits.lift_kg", "40"), "40");
        let comma = Manner { feet: false, comma: true };
        assert_eq!(comma.field("limits.lift_kg", "40.5"), "40,5");
        assert_eq!(comma.field("receiver[0].name", "no. 1.5 b"), "no. 1.5 b");
        assert_eq!((feet.heading("wide, mm"), feet.heading("mm"), comma.heading("mm")), ("wide", "", "mm"));
    }
}
