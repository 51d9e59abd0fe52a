//! Finding an entry by its id, and the nearest id to a mistyped one.

use crate::{
    Activity, Background, Bar, Clip, Covering, Door, Entry, Fill, Glass, Kind, Masonry, Membrane,
    OutdoorSound, Seal, Sheet, Source, Stud, Tie, TimberGrade,
};

/// The entry of an id, upper or lower case.
///
/// ```
/// use catalogue::{Sheet, find};
/// assert_eq!(find::<Sheet>("plasterboard-12.5").map(|board| board.thickness_mm), Some(12.5));
/// ```
pub fn find<E: Entry>(id: &str) -> Option<&'static E> {
    E::all().iter().find(|entry| entry.id().eq_ignore_ascii_case(id))
}

/// Every id of a kind, in the order of its table.
pub fn ids(kind: Kind) -> Vec<&'static str> {
    fn of<E: Entry>() -> Vec<&'static str> {
        E::all().iter().map(Entry::id).collect()
    }
    match kind {
        Kind::Sheet => of::<Sheet>(),
        Kind::Masonry => of::<Masonry>(),
        Kind::Fill => of::<Fill>(),
        Kind::Membrane => of::<Membrane>(),
        Kind::Glass => of::<Glass>(),
        Kind::Door => of::<Door>(),
        Kind::Seal => of::<Seal>(),
        Kind::Stud => of::<Stud>(),
        Kind::Clip => of::<Clip>(),
        Kind::Bar => of::<Bar>(),
        Kind::Tie => of::<Tie>(),
        Kind::TimberGrade => of::<TimberGrade>(),
        Kind::Covering => of::<Covering>(),
        Kind::Source => of::<Source>(),
        Kind::OutdoorSound => of::<OutdoorSound>(),
        Kind::Background => of::<Background>(),
        Kind::Activity => of::<Activity>(),
    }
}

/// The name of every entry, kind by kind.
pub fn names() -> Vec<&'static str> {
    fn of<E: Entry>(names: &mut Vec<&'static str>) {
        names.extend(E::all().iter().map(Entry::name));
    }
    let mut names = Vec::new();
    of::<Sheet>(&mut names);
    of::<Masonry>(&mut names);
    of::<Fill>(&mut names);
    of::<Membrane>(&mut names);
    of::<Glass>(&mut names);
    of::<Door>(&mut names);
    of::<Seal>(&mut names);
    of::<Stud>(&mut names);
    of::<Clip>(&mut names);
    of::<Bar>(&mut names);
    of::<Tie>(&mut names);
    of::<TimberGrade>(&mut names);
    of::<Covering>(&mut names);
    of::<Source>(&mut names);
    of::<OutdoorSound>(&mut names);
    of::<Background>(&mut names);
    of::<Activity>(&mut names);
    names
}

/// The id of a kind nearest to what was typed, or none where nothing is near.
///
/// ```
/// use catalogue::{Kind, nearest_id};
/// assert_eq!(nearest_id(Kind::Sheet, "plasterbord 12.5"), Some("plasterboard-12.5"));
/// assert_eq!(nearest_id(Kind::Sheet, "chocolate"), None);
/// ```
pub fn nearest_id(kind: Kind, typed: &str) -> Option<&'static str> {
    let wanted: Vec<char> = typed.trim().to_ascii_lowercase().chars().take(LONGEST_TYPED).collect();
    let mut nearest: Option<(usize, &'static str)> = None;
    for id in ids(kind) {
        let letters: Vec<char> = id.chars().collect();
        let changes = changes_between(&wanted, &letters);
        let allowed = letters.len().max(wanted.len()) / 3;
        if changes <= allowed && nearest.is_none_or(|(fewest, _)| changes < fewest) {
            nearest = Some((changes, id));
        }
    }
    nearest.map(|(_, id)| id)
}

/// The kind of an id, whatever it is: to tell a person that `brick-102` is masonry, not a board.
pub fn kind_of(id: &str) -> Option<Kind> {
    Kind::ALL.into_iter().find(|&kind| ids(kind).iter().any(|known| known.eq_ignore_ascii_case(id)))
}

/// The sentence for an id that is not in the catalogue.
///
/// ```
/// use catalogue::{Kind, unknown_id_sentence};
/// assert_eq!(
///     unknown_id_sentence(Kind::Sheet, "osb18"),
///     "The catalogue has no board `osb18`. Did you mean `osb-18`?"
/// );
/// assert_eq!(
///     unknown_id_sentence(Kind::Sheet, "brick-102"),
///     "The catalogue has no board `brick-102`: that is masonry."
/// );
/// ```
pub fn unknown_id_sentence(kind: Kind, typed: &str) -> String {
    let shown: String = typed.chars().take(LONGEST_TYPED).collect();
    let opening = format!("The catalogue has no {} `{shown}`", kind.word());
    match kind_of(typed) {
        Some(Kind::Masonry) if kind != Kind::Masonry => format!("{opening}: that is masonry."),
        Some(other) if other != kind => format!("{opening}: that is a {}.", other.word()),
        _ => match nearest_id(kind, typed) {
            Some(id) => format!("{opening}. Did you mean `{id}`?"),
            None => format!("{opening}. It has: {}.", ids(kind).join(", ")),
        },
    }
}

/// Longer than any id; the rest of what was typed cannot matter.
const LONGEST_TYPED: usize = 64;

/// Fewest letters to change, add, drop or swap with a neighbour (optimal string alignment distance).
fn changes_between(from: &[char], to: &[char]) -> usize {
    let width = to.len() + 1;
    let mut before_last: Vec<usize> = vec![0; width];
    let mut last: Vec<usize> = (0..width).collect();
    for (row, &letter) in from.iter().enumerate() {
        let mut current = vec![row + 1; width];
        for (column, &wanted) in to.iter().enumerate() {
            let changed = last[column] + usize::from(letter != wanted);
            let mut fewest = changed.min(last[column + 1] + 1).min(current[column] + 1);
            if row > 0 && column > 0 && letter == to[column - 1] && from[row - 1] == wanted {
                fewest = fewest.min(before_last[column - 1] + 1);
            }
            current[column + 1] = fewest;
        }
        before_last = last;
        last = current;
    }
    last[width - 1]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changes(from: &str, to: &str) -> usize {
        changes_between(&from.chars().collect::<Vec<_>>(), &to.chars().collect::<Vec<_>>())
    }

    #[test]
    fn every_entry_has_its_name_in_the_list() {
        assert_eq!(names().len(), Kind::ALL.into_iter().map(|kind| ids(kind).len()).sum::<usize>());
    }

    #[test]
    fn changes_are_counted() {
        assert_eq!(changes("", "abc"), 3);
        assert_eq!(changes("abc", ""), 3);
        assert_eq!(changes("osb-81", "osb-18"), 1);
        assert_eq!(changes("kitten", "sitting"), 3);
    }

    #[test]
    fn any_text_is_answered() {
        for typed in ["", "   ", "§§§", &"x".repeat(10_000), "OSB-18"] {
            let sentence = unknown_id_sentence(Kind::Sheet, typed);
            assert!(sentence.starts_with("The catalogue has no board"), "{sentence}");
        }
        assert_eq!(find::<Sheet>("OSB-18").map(Entry::id), Some("osb-18"));
    }
}
