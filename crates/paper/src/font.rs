//! The two faces every drawing is set in, and how wide a line of them is.
//!
//! The files are a renamed subset of an open-licence sans with tabular figures (`fonts/OFL.txt`), without kerning or
//! ligatures, so the width of a line is the sum of its advances, here as in every exporter.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use std::sync::LazyLock;

/// The family name to ask for in CSS and DXF.
pub const FAMILY: &str = "Stillroom Sans";
/// The smallest font size on paper, mm.
pub const SMALLEST_TEXT_MM: f64 = 2.5;
/// Height of a capital as a part of the font size.
pub const CAP_HEIGHT: f64 = 0.698;
/// Height of a small x as a part of the font size.
pub const X_HEIGHT: f64 = 0.516;
/// Depth of descenders as a part of the font size.
pub const DESCENT: f64 = 0.21;
/// Distance from line to line as a part of the font size.
pub const LINE_SPACING: f64 = 1.35;

/// Weight of the letters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Regular, 400.
    #[default]
    Regular,
    /// Semibold, 600.
    Semibold,
}

impl Weight {
    /// The embedded TrueType file.
    pub const fn file(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../fonts/stillroom-sans-regular.ttf"),
            Self::Semibold => include_bytes!("../fonts/stillroom-sans-semibold.ttf"),
        }
    }

    /// The weight as CSS counts it.
    pub const fn css(self) -> u16 {
        match self {
            Self::Regular => 400,
            Self::Semibold => 600,
        }
    }
}

/// Width of one line of text in mm at a font size in mm.
///
/// Control characters take no room; a character the face lacks takes the room of the empty box drawn for it.
pub fn width_mm(words: &str, size_mm: f64, weight: Weight) -> f64 {
    let thousandths: f64 = glyphs(words, weight).map(|glyph| glyph.advance_em).sum();
    thousandths * size_mm
}

/// A size as it is drawn: at least [`SMALLEST_TEXT_MM`], and that too for what is not an ordinary number.
pub fn drawn_size_mm(size_mm: f64) -> f64 {
    if size_mm.is_finite() { size_mm.clamp(SMALLEST_TEXT_MM, 200.0) } else { SMALLEST_TEXT_MM }
}

/// Whether a face has a shape for a character.
pub fn has(character: char, weight: Weight) -> bool {
    face(weight).is_some_and(|face| face.glyph_of(character).is_some())
}

/// One glyph of a line.
pub(crate) struct Glyph {
    /// Its number in the face.
    pub(crate) id: u32,
    /// Its advance as a part of the font size.
    pub(crate) advance_em: f64,
    /// Where its character begins in the text, bytes.
    pub(crate) begins: usize,
    /// Where its character ends in the text, bytes.
    pub(crate) ends: usize,
}

/// The glyphs of a line in order; control characters are left out.
pub(crate) fn glyphs(words: &str, weight: Weight) -> impl Iterator<Item = Glyph> + '_ {
    let face = face(weight);
    words.char_indices().filter(|(_, c)| !c.is_control()).map(move |(begins, character)| {
        let (id, advance_em) =
            face.map_or((0, 0.6), |face| face.glyph_of(character).unwrap_or((0, face.missing_advance_em)));
        Glyph { id, advance_em, begins, ends: begins + character.len_utf8() }
    })
}

/// Advances of a face by character, sorted, read once.
struct Face {
    by_character: Vec<(char, u32, f64)>,
    missing_advance_em: f64,
}

impl Face {
    fn read(weight: Weight) -> Option<Self> {
        let font = FontRef::new(weight.file()).ok()?;
        let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let units = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em).max(1.0);
        let advance = |id: GlyphId| f64::from(metrics.advance_width(id).unwrap_or_default()) / units;
        let mut by_character: Vec<(char, u32, f64)> = font
            .charmap()
            .mappings()
            .filter_map(|(code, id)| Some((char::from_u32(code)?, id.to_u32(), advance(id))))
            .collect();
        by_character.sort_by_key(|entry| entry.0);
        Some(Self { by_character, missing_advance_em: advance(GlyphId::new(0)) })
    }

    fn glyph_of(&self, character: char) -> Option<(u32, f64)> {
        let at = self.by_character.binary_search_by_key(&character, |entry| entry.0).ok()?;
        self.by_character.get(at).map(|&(_, id, advance)| (id, advance))
    }
}

fn face(weight: Weight) -> Option<&'static Face> {
    static REGULAR: LazyLock<Option<Face>> = LazyLock::new(|| Face::read(Weight::Regular));
    static SEMIBOLD: LazyLock<Option<Face>> = LazyLock::new(|| Face::read(Weight::Semibold));
    match weight {
        Weight::Regular => REGULAR.as_ref(),
        Weight::Semibold => SEMIBOLD.as_ref(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_tabular_in_both_weights() {
        for weight in [Weight::Regular, Weight::Semibold] {
            for digit in '0'..='9' {
                let width = width_mm(&digit.to_string(), 10.0, weight);
                assert!((width - 6.0).abs() < 1e-9, "{digit} is {width} mm wide");
            }
        }
    }

    #[test]
    fn every_character_of_the_trade_has_a_shape() {
        let wanted = "AZaz09äöüßÄÖÜéñ–—×°Øø²³·±≤≥✓→←↑↓−′″λησθφΔραβγμτψ₀₁₂₃₄₅₆₇₈₉\u{202F}\u{A0}\u{2009}µΩ½¼…";
        for weight in [Weight::Regular, Weight::Semibold] {
            for character in wanted.chars() {
                assert!(has(character, weight), "{character} (U+{:04X})", character as u32);
            }
        }
    }

    #[test]
    fn control_characters_take_no_room() {
        let width = |words| width_mm(words, 5.0, Weight::Regular);
        assert!((width("a\u{0}b") - width("ab")).abs() < 1e-12);
    }
}
