//! Bars moved back by the figures that are told, and bars that hang on their marks.
#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod rooms;

use setout::as_built::{BarReading, Mended, Readings, mend};
use setout::{Budget, Ceiling, Layout, MarkFor, set_out};

fn of_bar(plan: &Layout, bar: usize, off_mm: f64) -> Vec<BarReading> {
    let mut found = Vec::new();
    for wall in &plan.marks {
        for mark in wall.marks.iter().filter(|mark| mark.of == MarkFor::Bar(bar)) {
            found.push(BarReading { bar, wall: wall.wall.clone(), at_mm: mark.at_mm + off_mm });
        }
    }
    found
}

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
                let first = mended(&ceiling, &plan, of_bar(&plan, bar, off_mm));
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
                let found = mended(&ceiling, &plan, of_bar(&plan, bar, off_mm));
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
