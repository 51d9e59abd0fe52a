//! What a search found, and the better of two.

use crate::draft::Draft;
use crate::{Aim, Rules};

/// What the search found.
pub(crate) struct Found {
    pub(crate) draft: Draft,
    pub(crate) steps: u64,
    /// Fewest boards of each layer in the family.
    pub(crate) least_boards: Vec<usize>,
    /// Fewest boards of all layers together, their long joints kept apart.
    pub(crate) least_together: usize,
    /// The family in words.
    pub(crate) family: String,
    /// What another search found that may count for more.
    pub(crate) note: Option<String>,
}

/// The better of what both searches found; a few pieces fewer are not worth more bars and clips unless the person said so. Where both
/// ranged over one family the deep one's bound, the sharper, holds for either; else each layout keeps its own.
pub(crate) fn better(rules: &Rules, quick: Found, deep: Found) -> Found {
    let order = Aim::order(&rules.prefer);
    let (q, d) = (quick.draft.worth, deep.draft.worth);
    let as_good = (q.overload_kg, q.boards, q.slivers) == (d.overload_kg, d.boards, d.slivers);
    let lighter = rules.prefer.is_empty() && as_good && q.bars <= d.bars && q.clips <= d.clips;
    let steps = quick.steps + deep.steps;
    if lighter || q.rank(&order) <= d.rank(&order) {
        if quick.family == deep.family {
            return Found { draft: quick.draft, steps, ..deep };
        }
        return Found { steps, ..quick };
    }
    let note = (d.bars > q.bars && d.clips > q.clips).then(|| {
        format!(
            "the quick search finds a layout with {} boards, {} bars and {} clips; this one has {}, {} and {}: compare what both cost, or name what counts first in rules.prefer",
            q.boards, q.bars, q.clips, d.boards, d.bars, d.clips
        )
    });
    Found { steps, note, ..deep }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worth::Worth;

    fn found(family: &str, boards: usize, least: usize) -> Found {
        let worth =
            Worth { boards, overload_kg: 0, slivers: 0, pieces: 9, cut_half_metres: 4, bars: 8, clips: 40 };
        let draft =
            Draft { layers: Vec::new(), bars: Vec::new(), lengths: Vec::new(), clips: Vec::new(), worth };
        Found {
            draft,
            steps: 1,
            least_boards: vec![least],
            least_together: least,
            family: family.to_owned(),
            note: None,
        }
    }

    #[test]
    fn a_bound_goes_with_the_family_it_holds_for() {
        // The coarse grid needs nine boards at least; a layout of eight on the fine one does not prove that wrong.
        let kept = better(&Rules::default(), found("in 36 parts", 8, 7), found("in 24 parts", 10, 9));
        assert_eq!((kept.draft.worth.boards, kept.least_together, kept.steps), (8, 7, 2));
        assert_eq!((kept.family.as_str(), kept.least_boards), ("in 36 parts", vec![7]));
        let kept = better(&Rules::default(), found("in 36 parts", 10, 7), found("in 24 parts", 9, 9));
        assert_eq!(
            (kept.draft.worth.boards, kept.least_together, kept.family.as_str()),
            (9, 9, "in 24 parts")
        );
        let kept = better(&Rules::default(), found("in 24 parts", 8, 7), found("in 24 parts", 8, 8));
        assert_eq!((kept.draft.worth.boards, kept.least_together, kept.steps), (8, 8, 2));
    }
}
