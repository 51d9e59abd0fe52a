//! Lengths in feet, inches and sixteenths: `8' 4 3/16"`. An inch is 25.4 mm exactly (ISO 31-1:1992, annex A).

/// Millimetres of an inch and of a foot.
const INCH_MM: f64 = 25.4;
const FOOT_MM: f64 = 304.8;
/// Parts of an inch that are told apart.
const PARTS: u64 = 16;

/// A length to the nearest sixteenth of an inch, `8' 4 3/16"`; minus as `−`. Half a sixteenth goes up. `–` where it is no length.
pub fn of_mm(length_mm: f64) -> String {
    if !length_mm.is_finite() || length_mm.abs() > 1e9 {
        return "–".to_owned();
    }
    let parts = (length_mm.abs() / INCH_MM * PARTS as f64).round() as u64;
    let (inches, rest) = (parts / PARTS, parts % PARTS);
    let (feet, inches) = (inches / 12, inches % 12);
    let fraction = (rest > 0).then(|| {
        let common = [8, 4, 2, 1].into_iter().find(|by| rest.is_multiple_of(*by)).unwrap_or(1);
        format!("{}/{}", rest / common, PARTS / common)
    });
    let mut words = Vec::new();
    if feet > 0 {
        words.push(format!("{feet}'"));
    }
    let after_feet = match (inches, fraction) {
        (0, None) if feet > 0 => None,
        (0, Some(fraction)) if feet == 0 => Some(fraction),
        (inches, None) => Some(inches.to_string()),
        (inches, Some(fraction)) => Some(format!("{inches} {fraction}")),
    };
    words.extend(after_feet.map(|inches| format!("{inches}\"")));
    let minus = if length_mm < 0.0 && parts > 0 { "−" } else { "" };
    format!("{minus}{}", words.join(" "))
}

/// Millimetres of a length typed in feet and inches: `8' 4 3/16"`, `8ft 4in`, `4-1/2"`, `3/8"`, `8′`, `5½"`, `4,5"`. None where it bears no mark
/// of feet or inches, or is no such length: a dozen inches or more after feet, parts of a foot before inches, parts no tape has; nor where a comma may group thousands (`1,200"`).
pub fn parse_mm(typed: &str) -> Option<f64> {
    let mut plain = typed.trim().to_lowercase();
    for (from, to) in [
        ("feet", "'"),
        ("foot", "'"),
        ("ft.", "'"),
        ("ft", "'"),
        ("inches", "\""),
        ("inch", "\""),
        ("in.", "\""),
        ("in", "\""),
        ("''", "\""),
        ("\u{2032}\u{2032}", "\""),
        ("\u{2033}", "\""),
        ("\u{201d}", "\""),
        ("\u{2032}", "'"),
        ("\u{2019}", "'"),
        ("\u{2044}", "/"),
        ("\u{bd}", " 1/2"),
        ("\u{bc}", " 1/4"),
        ("\u{be}", " 3/4"),
        ("\u{215b}", " 1/8"),
        ("\u{215c}", " 3/8"),
        ("\u{215d}", " 5/8"),
        ("\u{215e}", " 7/8"),
        ("\u{2212}", "-"),
        ("\u{a0}", " "),
        ("\u{202f}", " "),
    ] {
        plain = plain.replace(from, to);
    }
    if groups_thousands(&plain) {
        return None;
    }
    plain = plain.replace(',', ".");
    let (sign, rest) = match plain.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim()),
        None => (1.0, plain.trim()),
    };
    if !rest.contains(['\'', '"']) {
        return None;
    }
    // Another minus is no sign.
    if rest.starts_with('-') {
        return None;
    }
    let (feet, inches) = match rest.split_once('\'') {
        Some((feet, inches)) => (number(feet)?, inches.trim()),
        None => (0.0, rest),
    };
    let inches = match inches.trim_start_matches('-').trim() {
        "" => 0.0,
        marked => {
            let inches = mixed(marked.strip_suffix('"')?)?;
            // After feet a dozen inches would be another foot, and parts of a foot are inches already: a slip.
            if rest.contains('\'') && (inches >= 12.0 || feet.fract() != 0.0) {
                return None;
            }
            inches
        }
    };
    let length_mm = sign * (feet * FOOT_MM + inches * INCH_MM);
    length_mm.is_finite().then_some(length_mm)
}

/// Whether a comma may stand for thousands, as in `1,200`: read as a decimal comma it would be a thousand times too short.
pub fn groups_thousands(typed: &str) -> bool {
    typed.split(',').skip(1).any(|after| {
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        digits == 3
    }) || typed.matches(',').count() > 1
}

/// `4`, `4 3/16`, `4-3/16`, `3/16`, `4.25`.
fn mixed(typed: &str) -> Option<f64> {
    let words: Vec<&str> = typed.split([' ', '-']).filter(|word| !word.is_empty()).collect();
    let fraction = |word: &str| {
        let (above, below) = word.split_once('/')?;
        // Tapes are marked in halves of halves.
        let whole = |digits: &str| digits.trim().parse::<u32>().ok();
        let (above, below) = (whole(above)?, whole(below)?);
        (below.is_power_of_two() && below <= 64 && above < below).then(|| f64::from(above) / f64::from(below))
    };
    match words.as_slice() {
        [one] if one.contains('/') => fraction(one),
        [one] => number(one),
        [whole, part] => Some(number(whole)? + fraction(part)?),
        _ => None,
    }
}

fn number(typed: &str) -> Option<f64> {
    let typed = typed.trim();
    let plain = !typed.is_empty() && typed.chars().all(|letter| letter.is_ascii_digit() || letter == '.');
    plain.then(|| typed.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By definition: 1 in = 25.4 mm, 12 in = 1 ft.
    #[test]
    fn a_length_is_written_to_the_nearest_sixteenth() {
        for (mm, words) in [
            (0.0, "0\""),
            (25.4, "1\""),
            (304.8, "1'"),
            (2544.7625, "8' 4 3/16\""),
            (12.7, "1/2\""),
            (317.5, "1' 0 1/2\""),
            (1.5875, "1/16\""),
            (-19.05, "−3/4\""),
            (-0.3, "0\""),
            (0.79, "0\""),
            (0.8, "1/16\""),
            (304.6, "1'"),
            (f64::NAN, "–"),
        ] {
            assert_eq!(of_mm(mm), words, "{mm}");
        }
    }

    #[test]
    fn lengths_as_people_type_them() {
        for typed in [
            "8' 4 3/16\"",
            "8'4-3/16\"",
            "8 ft 4 3/16 in",
            "8′ 4 3/16″",
            "8’ 4 3/16”",
            "100 3/16\"",
            "8' - 4 3/16''",
        ] {
            let mm = parse_mm(typed).unwrap_or(0.0);
            assert!((mm - 2544.7625).abs() < 1e-9, "{typed}: {mm}");
        }
        for (typed, mm) in [
            ("8'", 2438.4),
            ("5½\"", 139.7),
            ("4.25\"", 107.95),
            ("−1/2\"", -12.7),
            ("1/2 in.", 12.7),
            ("0.5'", 152.4),
            ("4,25\"", 107.95),
            ("0,5'", 152.4),
            ("4.125\"", 104.775),
        ] {
            assert!(parse_mm(typed).is_some_and(|read| (read - mm).abs() < 1e-9), "{typed}");
        }
        for typed in [
            "",
            "8",
            "8 4",
            "'",
            "\"",
            "8' 4",
            "8\" 4'",
            "4/0\"",
            "17/16\"",
            "1 2 3\"",
            "x'",
            "8'' 4\"",
            "--1\"",
            "1e3\"",
            "1,200\"",
            "1,200' 3\"",
            "1,2,3\"",
            "1,000,000\"",
            "1.200,5\"",
            "13' 14\"",
            "13' 12\"",
            "13.5' 6\"",
            "13' 10 5/7\"",
            "13' 10 5/16.5\"",
            "1/100\"",
        ] {
            assert_eq!(parse_mm(typed), None, "{typed}");
        }
    }

    #[test]
    fn what_is_written_reads_back_within_half_a_sixteenth() {
        for tenth in -50_000..50_000 {
            let mm = f64::from(tenth) * 0.73;
            let read = parse_mm(&of_mm(mm)).unwrap_or(f64::NAN);
            assert!((read - mm).abs() <= 25.4 / 32.0 + 1e-9, "{mm}: {} {read}", of_mm(mm));
        }
    }
}
