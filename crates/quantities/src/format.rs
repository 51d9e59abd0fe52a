//! How a number is written: a narrow no-break space in thousands, a no-break space before the unit, a true
//! minus sign. No locale, no clock: the same text everywhere.

/// Narrow no-break space between thousands.
pub const THIN_SPACE: char = '\u{202F}';
/// No-break space between a number and its unit.
pub const NO_BREAK_SPACE: char = '\u{00A0}';

/// A number with `decimals` decimals, thousands set apart from 10 000 upwards, minus as `−`.
///
/// Not-a-number and infinities are written `–`.
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let plain = format!("{:.*}", decimals, value.abs());
    let negative = value < 0.0 && plain.bytes().any(|b| (b'1'..=b'9').contains(&b));
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut text = String::with_capacity(plain.len() + 6);
    if negative {
        text.push('−');
    }
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && whole.len() > 4 && (whole.len() - at).is_multiple_of(3) {
            text.push(THIN_SPACE);
        }
        text.push(digit);
    }
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

/// A number with its unit, joined by a no-break space: `2 214 mm`.
pub fn with_unit(value: f64, decimals: usize, unit: &str) -> String {
    format!("{}{NO_BREAK_SPACE}{unit}", number(value, decimals))
}

/// Rounds to a number of decimals, half away from zero, never giving minus zero.
pub fn round_to(value: f64, decimals: u32) -> f64 {
    let scale = crate::math::powi(10.0, decimals.cast_signed());
    let rounded = (value * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_apart_and_minus_is_true() {
        assert_eq!(number(17_321_650.0, 0), "17\u{202F}321\u{202F}650");
        assert_eq!(number(2214.0, 0), "2214");
        assert_eq!(number(-3.25, 1), "−3.2");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(number(f64::NAN, 1), "–");
    }

    #[test]
    fn rounding_never_gives_minus_zero() {
        assert!(round_to(-0.001, 1).is_sign_positive());
        assert!((round_to(2.345, 2) - 2.35).abs() < 1e-12);
    }
}
