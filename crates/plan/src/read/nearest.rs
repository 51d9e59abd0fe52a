//! The nearest known name to a mistyped one.

/// Steps between two names: letters put in, left out, changed or swapped with their neighbour
/// (restricted Damerau-Levenshtein distance). Case counts nothing.
pub(crate) fn steps_between(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().flat_map(char::to_lowercase).take(64).collect();
    let b: Vec<char> = b.chars().flat_map(char::to_lowercase).take(64).collect();
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for (i, from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            let above = cell(&rows, i, j + 1);
            let left = row.get(j).copied().unwrap_or(0);
            let mut best = (above + 1).min(left + 1).min(cell(&rows, i, j) + usize::from(from != to));
            let swapped = i > 0 && j > 0 && a.get(i - 1) == Some(to) && b.get(j - 1) == Some(from);
            if swapped {
                best = best.min(cell(&rows, i - 1, j - 1) + 1);
            }
            row.push(best);
        }
        rows.push(row);
    }
    cell(&rows, a.len(), b.len())
}

fn cell(rows: &[Vec<usize>], i: usize, j: usize) -> usize {
    rows.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0)
}

/// The known name nearest to a wrong one, if one is near enough to be meant.
///
/// Near is: at most a third of its letters differ, or one name continues the other (`width` and `width_mm`), or both
/// are made of the same words.
pub(crate) fn nearest<'n>(wrong: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    known
        .into_iter()
        .filter_map(|name| {
            let steps = distance(wrong, name)?;
            Some(((steps, other_letters(wrong, name), apart(wrong, name)), name))
        })
        .min_by_key(|(away, _)| *away)
        .map(|(_, name)| name)
}

/// The known names near to a wrong one, the nearest first, at most so many.
pub fn nearest_few<'n>(wrong: &str, known: impl IntoIterator<Item = &'n str>, most: usize) -> Vec<&'n str> {
    let mut near: Vec<_> = known
        .into_iter()
        .filter_map(|name| {
            let steps = distance(wrong, name)?;
            // One that goes on where the wrong one ends is what was meant more often than one with a letter changed.
            let goes_on = name.strip_prefix(wrong).is_some_and(|rest| rest.starts_with(['.', '-']));
            Some(((!goes_on, steps, other_letters(wrong, name), apart(wrong, name)), name))
        })
        .collect();
    near.sort_by_key(|(away, _)| *away);
    near.into_iter().map(|(_, name)| name).take(most).collect()
}

fn distance(wrong: &str, name: &str) -> Option<usize> {
    let steps = steps_between(wrong, name);
    let longest = wrong.chars().count().max(name.chars().count());
    if steps * 3 <= longest.max(3) {
        return Some(steps * 10);
    }
    let long_enough = wrong.len() >= 3 && name.len() >= 3;
    if long_enough && (name.starts_with(wrong) || wrong.starts_with(name)) {
        return Some(40 + steps);
    }
    let words = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric()).filter(|w| w.len() > 2).map(str::to_lowercase).collect()
    };
    let (ours, theirs) = (words(wrong), words(name));
    let shared = ours.iter().filter(|word| theirs.contains(word)).count();
    (shared > 0 && shared * 2 >= ours.len()).then(|| 60 + steps)
}

/// How many letters of either name the other lacks: 0 where only their order differs.
fn other_letters(a: &str, b: &str) -> usize {
    let lacking = |a: &str, b: &str| {
        let mut rest: Vec<char> = b.chars().collect();
        let mut lacking = 0;
        for letter in a.chars() {
            match rest.iter().position(|other| *other == letter) {
                Some(at) => {
                    rest.swap_remove(at);
                }
                None => lacking += 1,
            }
        }
        lacking
    };
    lacking(a, b) + lacking(b, a)
}

/// How far the numbers in two names lie apart.
fn apart(a: &str, b: &str) -> u64 {
    let number = |text: &str| -> u64 {
        let digits: String = text.chars().filter(char::is_ascii_digit).take(9).collect();
        digits.parse().unwrap_or(0)
    };
    number(a).abs_diff(number(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_finger_is_recognised() {
        assert_eq!(nearest("headrom_mm", ["headroom_mm", "lift_kg"]), Some("headroom_mm"));
        assert_eq!(nearest("width", ["height_mm", "width_mm"]), Some("width_mm"));
        assert_eq!(
            nearest("board-plasterboard-15", ["osb-18", "dense-plasterboard-15"]),
            Some("dense-plasterboard-15")
        );
        assert_eq!(nearest("osb-81", ["osb-11", "osb-18"]), Some("osb-18"));
        assert_eq!(nearest("C17", ["c14", "c16", "c24"]), Some("c16"));
        assert_eq!(nearest("zzz", ["height_mm", "width_mm"]), None);
        let boards = ["plasterboard-15", "plasterboard-19", "plasterboard-12.5", "osb-18", "plasterboard-10"];
        assert_eq!(
            nearest_few("plasterboard-12", boards, 3),
            ["plasterboard-12.5", "plasterboard-10", "plasterboard-15"]
        );
        assert!(nearest_few("zzz", boards, 3).is_empty());
        assert_eq!(steps_between("from", "form"), 1);
        assert_eq!(steps_between("", "abc"), 3);
    }
}
