//! Sizes in words, with as many decimals as they need.

/// A size and its limit \[mm\], with as many decimals as tell the two apart, two at most: `600.3` and `600`.
pub(super) fn told_apart(is_mm: f64, limit_mm: f64) -> [String; 2] {
    let words = |decimals: usize| [is_mm, limit_mm].map(|mm| plain(mm, decimals));
    (0..2).map(words).find(|[is, limit]| is != limit).unwrap_or_else(|| words(2))
}

/// A size \[mm\] that is never told as nothing: whole from a millimetre, else with the decimals that show it, two at most.
pub(super) fn size(mm: f64) -> String {
    plain(mm, if mm.abs() >= 0.95 { 0 } else { 1 + usize::from(mm.abs() < 0.05) })
}

/// Without zeros at the end.
fn plain(mm: f64, decimals: usize) -> String {
    let words = format!("{mm:.decimals$}");
    if decimals == 0 { words } else { words.trim_end_matches('0').trim_end_matches('.').to_owned() }
}

#[cfg(test)]
mod tests {
    use super::{size, told_apart};

    #[test]
    fn a_breach_of_tenths_does_not_read_as_none() {
        assert_eq!(told_apart(600.3, 600.0), ["600.3", "600"]);
        assert_eq!(told_apart(600.04, 600.0), ["600.04", "600"]);
        assert_eq!(told_apart(640.4, 600.0), ["640", "600"]);
        assert_eq!(told_apart(99.6, 100.0), ["99.6", "100"]);
        assert_eq!([size(0.3), size(0.02), size(12.4)], ["0.3", "0.02", "12"]);
    }
}
