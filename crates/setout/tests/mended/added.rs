//! Bars that were added on site.

use setout::as_built::{AddedBar, BarReading, ChangeKind, Readings, check_as_built, mend};
use setout::check::{Rule, check};
use setout::{BarReason, Ceiling, Layout, set_out};

use super::{SMALL, across, bar, of_bars, planned};

/// The two ends of a line across the room at the frame's height `v`, as running dimensions on the walls it meets.
fn on_walls(ceiling: &Ceiling, layout: &Layout, v: f64) -> [(String, f64); 2] {
    let mut found: Vec<(f64, String, f64)> = Vec::new();
    let n = ceiling.corners.len();
    for (at, corner) in ceiling.corners.iter().enumerate() {
        let next = &ceiling.corners[(at + 1) % n];
        let (a, b) = (layout.frame.frame_from_room(corner.at), layout.frame.frame_from_room(next.at));
        if (a.y_mm > v) == (b.y_mm > v) {
            continue;
        }
        let t = (v - a.y_mm) / (b.y_mm - a.y_mm);
        let (one, other) = (&corner.name, &next.name);
        let wall = layout
            .marks
            .iter()
            .find(|w| w.wall == format!("{one}-{other}") || w.wall == format!("{other}-{one}"))
            .unwrap();
        let from_here = wall.from_corner == *one;
        let at_mm = if from_here { t } else { 1.0 - t } * corner.at.distance_mm(next.at);
        found.push((a.x_mm + t * (b.x_mm - a.x_mm), wall.wall.clone(), at_mm));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ends: Vec<(String, f64)> = found.into_iter().map(|(_, wall, at)| (wall, at)).collect();
    [ends[0].clone(), ends[ends.len() - 1].clone()]
}

/// The bar that a mend asked for, once it hangs, is entered and the ceiling is whole: nothing else to do for the gap.
#[test]
fn a_bar_added_on_site_is_entered_and_counts() {
    let (ceiling, layout) = planned();
    let bars = layout.bars.len();
    let pair = (1..bars)
        .filter(|&n| layout.bars[n - 1].wall.is_none() && layout.bars[n].wall.is_none())
        .max_by(|a, b| {
            let gap = |n: usize| across(&layout, n + 1) - across(&layout, n);
            gap(*a).total_cmp(&gap(*b))
        })
        .unwrap();
    let v = f64::midpoint(across(&layout, pair), across(&layout, pair + 1)).round();
    for clips_mm in [vec![], vec![90.0]] {
        let added = AddedBar { ends: on_walls(&ceiling, &layout, v), clips_mm: clips_mm.clone() };
        let readings = Readings { added: vec![added], ..Readings::default() };
        let mended = mend(&ceiling, &layout, &readings).unwrap();
        assert_eq!(mended.built.added_bars, [bars + 1], "{:#?}", mended.built.breaches);
        assert_eq!(mended.layout.bars.len(), bars + 1);
        let now = &mended.layout.bars[bars];
        assert!((across(&mended.layout, bars + 1) - v).abs() < 0.01);
        assert!(now.length_mm > 2000.0, "{now:?}");
        assert_eq!(mended.layout.breaches, []);
        assert_eq!(check(&ceiling, &mended.layout), []);
        let clips = mended.layout.clips.iter().filter(|c| c.bar == bars).count();
        assert!(clips >= 3, "{clips}");
        let said = &mended.difference.sentences;
        assert!(said.iter().any(|s| s.contains("added on site, stays where it is")), "{said:#?}");
        let numbers: Vec<usize> = mended.layout.clips.iter().map(|c| c.number).collect();
        let mut once = numbers.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), numbers.len(), "every clip has a number of its own");
        if clips_mm.is_empty() {
            assert_eq!(mended.built.breaches, []);
        } else {
            // One clip alone does not hold it: the mend asks for the others.
            assert!(mended.built.breaches.iter().any(|b| b.rule == Rule::ClipGap));
            assert!(said.iter().any(|s| s.contains(&format!("add a clip to bar {}", bars + 1))), "{said:#?}");
        }
    }
}

/// A bar asked for by a mend closes the gap once it is entered.
#[test]
fn the_bar_a_mend_asked_for_ends_the_breach_once_it_hangs() {
    let (mut ceiling, _) = planned();
    ceiling.layers.remove(0);
    ceiling.rules.bar_gap_mm = 450.0;
    let layout = set_out(&ceiling, &SMALL).unwrap();
    let fields: Vec<usize> = (1..layout.bars.len())
        .filter(|&n| layout.bars[n - 1].reason == BarReason::Field && layout.bars[n].wall.is_none())
        .collect();
    let number = fields[fields.len() / 2];
    let off = 495.0 - (across(&layout, number + 1) - across(&layout, number));
    let mut bars = bar(&layout, number, [0.0; 2]);
    for reading in &mut bars {
        // Marks may count the other way along a wall.
        let farther = [reading.at_mm - off, reading.at_mm + off].map(|at_mm| {
            let moved = BarReading { at_mm, ..reading.clone() };
            let built = check_as_built(&ceiling, &layout, &of_bars(vec![moved]));
            (across(&built.layout, number), at_mm)
        });
        reading.at_mm = if farther[0].0 < farther[1].0 { farther[0].1 } else { farther[1].1 };
    }
    bars.extend(bar(&layout, number + 1, [0.0; 2]));
    let first = mend(&ceiling, &layout, &of_bars(bars.clone())).unwrap();
    let asked = first.difference.changes.iter().find(|c| c.kind == ChangeKind::BarAdded).unwrap();
    let v = layout.frame.frame_from_room(asked.from.toward(asked.to, 0.5)).y_mm;
    let added = vec![AddedBar { ends: on_walls(&ceiling, &layout, v), clips_mm: vec![] }];
    let second = mend(&ceiling, &layout, &Readings { bars, added, ..Readings::default() }).unwrap();
    assert_eq!(second.built.breaches, []);
    assert_eq!(second.layout.breaches, []);
    assert_eq!(check(&ceiling, &second.layout), []);
    assert!(second.difference.changes.iter().all(|c| c.kind != ChangeKind::BarAdded));
    assert_eq!(second.layout.bars.len(), first.layout.bars.len());
}
