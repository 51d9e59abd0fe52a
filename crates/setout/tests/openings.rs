//! Hatches and the like: bars are cut by them, boards keep their strips beside them, and the check sees to both.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops where it fails")]

mod rooms;

use setout::check::{Rule, check};
use setout::{Budget, Ceiling, Layout, MarkFor, Point, set_out};

/// A plain room with a hatch between two joists that two others are cut for, `length_mm` along the joists.
fn plain_room(from_mm: f64, length_mm: f64) -> Ceiling {
    let ring = rooms::corners(&[(0.0, 0.0), (4199.7, 0.0), (4200.0, 3394.8), (18.3, 3390.8)]);
    let feet = [250.0, 670.0, 1230.0, 1560.0, 2120.0, 2450.0, 2830.0, 3390.0, 3990.0];
    let tops = [277.0, 714.0, 1281.0, 1576.0, 2149.0, 2505.0, 2880.0, 3432.0, 4070.0];
    let joists = feet
        .iter()
        .zip(tops)
        .enumerate()
        .map(|(i, (foot, top))| rooms::joist(i + 1, (*foot, 0.0), (top, 3391.0), [2340.0; 3]))
        .collect();
    let at = |v: f64, foot: f64, top: f64, aside: f64| {
        Point::new(foot + (top - foot) * v / 3391.0 + aside, v + 9.0 * (2450.0 - foot) / 1220.0)
    };
    let (low, high) = (from_mm, from_mm + length_mm);
    let mut ceiling = rooms::ceiling(ring, joists);
    ceiling.obstructions = vec![vec![
        at(low, 2450.0, 2505.0, -63.0),
        at(low, 1230.0, 1281.0, 63.0),
        at(high, 1230.0, 1281.0, 63.0),
        at(high, 2450.0, 2505.0, -63.0),
    ]];
    rooms::boarded_for_hatch(ceiling)
}

/// Extent of points in the frame: least u and v, most u and v.
fn extent(layout: &Layout, ring: &[Point]) -> [f64; 4] {
    ring.iter()
        .map(|p| layout.frame.frame_from_room(*p))
        .fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |e, p| {
            [e[0].min(p.x_mm), e[1].min(p.y_mm), e[2].max(p.x_mm), e[3].max(p.y_mm)]
        })
}

#[test]
fn a_hatch_of_any_length_is_laid_round() {
    let lengths = [300.0, 400.0, 560.0, 760.0, 1000.0, 1400.0];
    let mut ceilings: Vec<(String, Ceiling)> = lengths
        .iter()
        .flat_map(|length| [300.0, 800.0, 1200.0].map(|from| (from, *length)))
        .map(|(from, length)| (format!("{length} mm from {from}"), plain_room(from, length)))
        .collect();
    ceilings.push(("skewed".to_owned(), rooms::skewed_with_hatch()));
    let mut cut = 0;
    for (name, ceiling) in &ceilings {
        let layout = set_out(ceiling, &Budget::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        let words: Vec<&str> = layout.breaches.iter().map(|b| b.sentence.as_str()).collect();
        assert!(words.is_empty(), "{name}: {words:#?}");
        let hatch = extent(&layout, &ceiling.obstructions[0]);
        for bar in &layout.bars {
            let own = extent(&layout, &[bar.from, bar.to]);
            let across = own[1] < hatch[3] && own[3] > hatch[1];
            assert!(
                !across || own[2] < hatch[0] - 9.0 || own[0] > hatch[2] + 9.0,
                "{name}: bar {}",
                bar.number
            );
            cut += usize::from(across && bar.wall.is_none());
        }
        for piece in layout.layers.iter().flat_map(|l| &l.pieces).filter(|p| !p.cut_outs.is_empty()) {
            let own = extent(&layout, &piece.outline);
            let left = [hatch[0] - own[0], own[2] - hatch[2], hatch[1] - own[1], own[3] - hatch[3]];
            let narrow = left.iter().any(|mm| *mm > 0.1 && *mm < ceiling.rules.min_strip_mm - 0.1);
            assert!(!narrow, "{name}: piece {} keeps {left:?}", piece.name);
        }
    }
    assert!(cut > 20, "{cut} bars cut by hatches");
}

#[test]
fn the_check_sees_a_bar_left_out_beside_a_hatch() {
    let ceiling = plain_room(1200.0, 760.0);
    let sound = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(check(&ceiling, &sound), []);
    let hatch = extent(&sound, &ceiling.obstructions[0]);
    let (mut gaps, mut sides) = (0, 0);
    for at in 0..sound.bars.len() {
        let own = extent(&sound, &[sound.bars[at].from, sound.bars[at].to]);
        if sound.bars[at].wall.is_some() {
            continue;
        }
        let mut layout = sound.clone();
        layout.bars.remove(at);
        let told = check(&ceiling, &layout);
        if own[1] > hatch[1] && own[3] < hatch[3] {
            assert!(told.iter().any(|b| matches!(b.rule, Rule::BarGap | Rule::EndsOnBars)), "bar {}", at + 1);
            gaps += 1;
        }
        sides += usize::from(told.iter().any(|b| b.what == "opening"));
    }
    assert!(gaps >= 2 && sides >= 2, "{gaps} {sides}");
}

#[test]
fn the_check_sees_a_narrow_strip_beside_a_hatch() {
    let mut ceiling = plain_room(1200.0, 400.0);
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    let piece = layout.layers[0].pieces.iter().find(|p| !p.cut_outs.is_empty()).unwrap();
    let (own, hatch) = (extent(&layout, &piece.outline), extent(&layout, &ceiling.obstructions[0]));
    let left = [hatch[0] - own[0], own[2] - hatch[2], hatch[1] - own[1], own[3] - hatch[3]];
    let widest = left.into_iter().filter(|mm| *mm > 0.0).fold(f64::INFINITY, f64::min);
    ceiling.rules.min_strip_mm = widest + 5.0;
    let told = check(&ceiling, &layout);
    assert!(
        told.iter().any(|b| b.rule == Rule::CutFromSheets && b.sentence.contains("opening")),
        "{told:#?}"
    );
}

/// Each side of a hatch is marked on the walls it points at, by a running dimension that leads back to it.
#[test]
fn the_sides_of_a_hatch_are_marked_on_the_walls() {
    let ceiling = plain_room(1200.0, 400.0);
    let layout = set_out(&ceiling, &Budget { steps: 1, shifts: 0 }).unwrap();
    let corner = |name: &str| ceiling.corners.iter().find(|c| c.name == name).unwrap().at;
    let ring = &ceiling.obstructions[0];
    let mut marked = [0; 4];
    for wall in &layout.marks {
        let (first, second) = wall.wall.split_once('-').unwrap();
        let other = if wall.from_corner == first { second } else { first };
        let (from, to) = (corner(&wall.from_corner), corner(other));
        for mark in wall.marks.iter().filter(|m| m.of == MarkFor::Opening(1)) {
            let at = from.toward(to, mark.at_mm / from.distance_mm(to));
            for (side, marked) in marked.iter_mut().enumerate() {
                let line = geometry::Segment { from: ring[side], to: ring[(side + 1) % 4] };
                *marked += usize::from(line.left_of_mm(at).abs() < 0.5);
            }
            assert!(mark.what.contains("side of opening 1"), "{}", mark.what);
        }
    }
    assert_eq!(marked, [2; 4]);
}
