//! Bars to move back: by the figures that are told, together where no single one mends anything, and not where they hang on their marks.
#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod rooms;

use setout::as_built::{BarReading, Mended, Readings, mend};
use setout::{Budget, Ceiling, Layout, set_out};

fn mended(ceiling: &Ceiling, plan: &Layout, bars: Vec<BarReading>) -> Mended {
    mend(ceiling, plan, &Readings { bars, ..Readings::default() }).unwrap()
}

/// `966 mm at wall B-C and 963 mm at wall E-A`, as it stands in a sentence.
fn told(bar: usize, sentence: &str) -> Option<Vec<BarReading>> {
    let words = sentence.split("back to ").nth(1)?.split(" it would spare").next()?;
    let ends = words.split(" and ").map(|end| {
        let (at, wall) = end.split_once(" mm at wall ")?;
        Some(BarReading { bar, wall: wall.to_owned(), at_mm: at.parse().ok()? })
    });
    ends.collect()
}

fn rooms() -> [Ceiling; 2] {
    [rooms::percussion_room(), rooms::skewed_with_hatch()]
}

#[test]
fn a_bar_moved_to_the_figures_told_spares_what_is_told() {
    let mut tried = 0;
    for ceiling in rooms() {
        let plan = set_out(&ceiling, &Budget::default()).unwrap();
        for bar in 1..=plan.bars.len() {
            for off_mm in [-19.3, -8.7, 9.4, 14.6] {
                let first = mended(&ceiling, &plan, rooms::off_marks(&plan, bar, off_mm));
                for moved in first.could_move.iter().chain(&first.move_back) {
                    let Some(bars) = told(bar, &moved.sentence) else { continue };
                    assert!(!bars.is_empty(), "{}", moved.sentence);
                    let again = mended(&ceiling, &plan, bars);
                    assert!(again.layout.breaches.len() <= first.layout.breaches.len(), "{}", moved.sentence);
                    let counts = |mended: &Mended| {
                        let layout = &mended.layout;
                        [layout.bars.len(), layout.clips.len(), layout.worth.boards]
                    };
                    let (before, after) = (counts(&first), counts(&again));
                    for ((before, after), what) in before.into_iter().zip(after).zip(["bar", "clip", "board"])
                    {
                        let spared = before.saturating_sub(after);
                        let words = format!("{spared} {what}{}", if spared == 1 { "" } else { "s" });
                        let is_told = moved.sentence.contains(&words);
                        assert!(moved.needed || spared == 0 || is_told, "{words}: {}", moved.sentence);
                    }
                    assert!(moved.needed || before != after, "nothing spared: {}", moved.sentence);
                    assert!(again.move_back.is_empty(), "{:?}", again.move_back);
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 4, "{tried}");
}

#[test]
fn a_bar_on_its_marks_is_not_off_and_not_cut() {
    for ceiling in rooms() {
        let plan = set_out(&ceiling, &Budget::default()).unwrap();
        for bar in 1..=plan.bars.len() {
            for off_mm in [0.0, 1e-9, 0.3] {
                let found = mended(&ceiling, &plan, rooms::off_marks(&plan, bar, off_mm));
                assert!(
                    found.off_mm(&plan, bar).abs() <= off_mm + 0.05,
                    "bar {bar}: {}",
                    found.off_mm(&plan, bar)
                );
                let (was, now) = (&plan.bars[bar - 1], &found.built.layout.bars[bar - 1]);
                assert!((was.length_mm - now.length_mm).abs() < 2.0, "bar {bar}: {}", now.length_mm);
                let offs = found.difference.sentences.iter().filter(|one| one.contains("off its marks"));
                assert_eq!(offs.count(), 0, "{:?}", found.difference.sentences);
            }
        }
    }
}

#[test]
fn bars_move_back_together_where_no_single_one_does() {
    let ceiling = rooms::skewed_with_hatch();
    let plan = set_out(&ceiling, &Budget::default()).unwrap();
    for (one, one_mm, other, other_mm) in
        [(1, 7.0, 2, -9.0), (1, 11.0, 2, -9.0), (5, 7.0, 6, -9.0), (5, 11.0, 6, -9.0)]
    {
        let mut bars = rooms::off_marks(&plan, one, one_mm);
        bars.extend(rooms::off_marks(&plan, other, other_mm));
        let first = mended(&ceiling, &plan, bars);
        assert_eq!(first.layout.breaches, [], "bars {one} and {other}");
        let moved: Vec<usize> = first.move_back.iter().map(|moved| moved.bar).collect();
        assert_eq!(moved, [one, other], "{:?}", first.move_back);
        let off_mm = |bar: usize| if bar == one { one_mm } else { other_mm };
        let mut told_places = Vec::new();
        for moved in &first.move_back {
            let on_marks = || rooms::off_marks(&plan, moved.bar, 0.0);
            let back = told(moved.bar, &moved.sentence).unwrap_or_else(on_marks);
            // Only this one back: the other still has to move.
            let left = if moved.bar == one { other } else { one };
            let mut bars = rooms::off_marks(&plan, left, off_mm(left));
            bars.extend(back.clone());
            assert!(!mended(&ceiling, &plan, bars).move_back.is_empty(), "bar {} alone", moved.bar);
            told_places.extend(back);
        }
        let again = mended(&ceiling, &plan, told_places);
        assert_eq!(again.layout.breaches, [], "bars {one} and {other} moved as told");
        assert!(again.move_back.is_empty(), "{:?}", again.move_back);
    }
}
