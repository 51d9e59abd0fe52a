//! Faults of bars, laps, stock and marks, each told by as much as it was put in by.

use geometry::{Polygon, Segment};
use setout::check::Rule;
use setout::{Bar, BarReason, Layout, MarkFor, Point};

use super::{by, laid, none, one, rooms, sound, sound_and_square, sound_with_hatch, told, worst};

/// The bars that run from wall to wall, with their distance across from the frame's corner, nearest first.
fn across(layout: &Layout) -> Vec<(usize, f64)> {
    let mut all: Vec<(usize, f64)> = (0..layout.bars.len())
        .filter(|&i| layout.bars[i].wall.is_none())
        .map(|i| (i, layout.frame.frame_from_room(layout.bars[i].from).y_mm))
        .collect();
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    all
}

fn moved(bar: &mut Bar, by: Point) {
    bar.from = bar.from + by;
    bar.to = bar.to + by;
}

/// A rectangle in the frame, in the room.
fn ring(layout: &Layout, (low_u, low_v): (f64, f64), (high_u, high_v): (f64, f64)) -> Vec<Point> {
    [(low_u, low_v), (high_u, low_v), (high_u, high_v), (low_u, high_v)]
        .map(|(u, v)| layout.frame.room_from_frame(u, v))
        .to_vec()
}

#[test]
fn a_frame_that_is_not_square_is_found() {
    let (_, layout) = sound();
    let (along, across) = (layout.frame.along, layout.frame.across);
    for (new_along, new_across) in
        [(along * 1.001, across), (along, across * 1.001), (along, across + along * 0.001)]
    {
        let found =
            told(sound(), Rule::Clear, |_, l| (l.frame.along, l.frame.across) = (new_along, new_across));
        assert_eq!(one(&found, "the frame of the layout is not square").what, "frame");
    }
    none(&told(sound(), Rule::Clear, |_, l| l.frame.along = along * (1.0 + 2e-7)), "not square");
}

#[test]
fn a_joist_nearly_along_the_bars_is_found() {
    let with_joist = |share: f64| {
        told(sound(), Rule::ClipOnTimber, |c, l| {
            let dir = l.frame.along * share + l.frame.across * (1.0 - share * share).sqrt();
            let mut joist = c.joists[0].clone();
            (joist.from, joist.to) = (Point::new(1000.0, 1000.0), Point::new(1000.0, 1000.0) + dir * 500.0);
            joist.undersides.clear();
            c.joists.push(joist);
        })
    };
    by(one(&with_joist(0.5), "run nearly along joist J1"), 0.5, 1e-9);
    assert_eq!(with_joist(0.5)[0].what, "joist 12");
    by(one(&with_joist(-0.5), "run nearly along joist J1"), 0.5, 1e-9);
    assert_eq!(with_joist(0.43), []);
}

#[test]
fn a_bar_without_length_is_found() {
    let short =
        |mm: f64| told(sound(), Rule::BarGap, |_, l| l.bars[2].to = l.bars[2].from + l.frame.along * mm);
    assert_eq!(one(&short(0.9), "bar 3 has no length").what, "bar 3");
    none(&short(1.1), "has no length");
}

/// The widest gap lies between two bars; it is told with its excess over the limit and where it is.
#[test]
fn the_widest_gap_is_told_where_it_is() {
    let (_, layout) = sound();
    let lines = across(&layout);
    let widest = lines.windows(2).map(|w| w[1].1 - w[0].1).fold(0.0, f64::max);
    let found = told(sound(), Rule::BarGap, |c, _| c.rules.bar_gap_mm = widest - 10.0);
    let gap = one(&found, "a gap between bars is");
    by(gap, 10.0, 0.01);
    let words = format!("a gap between bars is {widest:.0} mm, the limit is {:.0}", widest - 10.0);
    assert_eq!(gap.sentence, words);
    let v = layout.frame.frame_from_room(gap.at).y_mm;
    let beside = lines.windows(2).find(|w| (w[0].1..w[1].1).contains(&v)).unwrap();
    assert!((beside[1].1 - beside[0].1 - widest).abs() < 0.01);
    assert_eq!(told(sound(), Rule::BarGap, |c, _| c.rules.bar_gap_mm = widest - 0.5), []);
    // What comes through the ceiling breaks the gap off: nothing is to be held there.
    let over = |share: (f64, f64)| {
        told(sound(), Rule::BarGap, |c, _| {
            c.rules.bar_gap_mm = widest - 10.0;
            for w in lines.windows(2).filter(|w| w[1].1 - w[0].1 > widest - 10.0) {
                let at = |t: f64| w[0].1 + t * (w[1].1 - w[0].1);
                c.obstructions.push(ring(&layout, (-500.0, at(share.0)), (7000.0, at(share.1))));
            }
        })
        .into_iter()
        .any(|breach| breach.sentence.contains("a gap between bars"))
    };
    assert!(!over((0.4, 0.6)) && !over((0.01, 0.5)) && !over((0.5, 0.99)));
    assert!(over((0.995, 0.999)) && over((0.001, 0.005)));
}

/// Without the bar at a wall the gap runs from the next bar to the edge of the boards.
#[test]
fn the_gap_at_a_wall_without_its_bar_runs_to_the_edge() {
    let (_, layout) = sound_and_square();
    let of_v = |p: Point| layout.frame.frame_from_room(p).y_mm;
    let edges = layout.outline.iter().map(|p| of_v(*p));
    let (low, high) = edges.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let lines = across(&layout);
    for far in [false, true] {
        let (edge, next) = if far { (high, lines[lines.len() - 1].1) } else { (low, lines[0].1) };
        let kept = |bar: &Bar| bar.wall.is_none() || (of_v(bar.from) - edge).abs() > (edge - next).abs();
        let mut at: Vec<f64> = layout.bars.iter().filter(|bar| kept(bar)).map(|bar| of_v(bar.from)).collect();
        at.extend([low, high]);
        at.sort_by(f64::total_cmp);
        let widest = at.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
        let found = told(sound_and_square(), Rule::BarGap, |c, l| {
            c.rules.bar_gap_mm = widest - 25.0;
            l.bars.retain(kept);
        });
        by(&found[0], 25.0, 0.01);
        let at_the_wall = told(sound_and_square(), Rule::BarGap, |c, l| {
            c.rules.bar_gap_mm = 100.0;
            // Nothing is left but the bar next to that wall's: the widest gap is on its other side, else to the edge.
            l.bars.retain(|bar| (of_v(bar.from) - next).abs() < 1.0);
        });
        by(&at_the_wall[0], (next - low).max(high - next) - 100.0, 0.01);
    }
}

/// A bar that ends short still holds the board as far as twice the first-bar limit; farther back the gap is that of its neighbours.
#[test]
fn a_bar_pulled_back_opens_a_gap_beyond_its_reach() {
    let (ceiling, layout) = sound();
    let lines = across(&layout);
    let at = lines.len() / 2;
    let (low, index, high) = (lines[at - 1].1, lines[at].0, lines[at + 1].1);
    let along = layout.frame.along;
    let pulled =
        |mm: f64| told(sound(), Rule::BarGap, |_, l| l.bars[index].to = l.bars[index].to + along * -mm);
    assert_eq!(pulled(2.0 * ceiling.rules.first_bar_mm - 40.0), []);
    by(one(&pulled(1000.0), "a gap between bars"), high - low - ceiling.rules.bar_gap_mm, 0.01);
    let from = told(sound(), Rule::BarGap, |_, l| l.bars[index].from = l.bars[index].from + along * 1000.0);
    by(one(&from, "a gap between bars"), high - low - ceiling.rules.bar_gap_mm, 0.01);
}

/// Ten millimetres off the limit are ten more over it.
#[test]
fn a_wall_without_its_bar_is_told_by_how_much() {
    for room in [sound as fn() -> _, sound_with_hatch] {
        let (_, layout) = room();
        let near: Vec<f64> = layout
            .bars
            .iter()
            .filter(|bar| bar.reason == BarReason::Perimeter)
            .map(|bar| {
                let outline = Polygon::new(&layout.outline).unwrap();
                outline.distance_to_boundary_mm(bar.from.toward(bar.to, 0.5))
            })
            .collect();
        let most = near.iter().copied().fold(0.0, f64::max);
        let over = |first_bar_mm: f64| {
            told(room(), Rule::EndsOnBars, |c, _| c.rules.first_bar_mm = first_bar_mm)
                .into_iter()
                .filter(|breach| breach.what == "perimeter bar")
                .collect::<Vec<_>>()
        };
        assert_eq!(over(most + 25.0), []);
        let (twenty, thirty) = (worst(&over(20.0)), worst(&over(30.0)));
        assert!((twenty - thirty - 10.0).abs() < 1e-6, "{twenty} {thirty}");
        // Along a slanting wall the bar may be farther at one end.
        assert!(twenty + 20.0 >= most - 1.0 && twenty + 20.0 < most + 25.0, "{twenty} {most}");
    }
}

/// The last bits of a wall at its corners, twice the first-bar limit long, need no bar of their own.
#[test]
fn a_bar_along_a_wall_may_stop_short_of_the_corners() {
    let (ceiling, layout) = sound_and_square();
    let index = layout.bars.iter().position(|bar| bar.reason == BarReason::Perimeter).unwrap();
    let margin = 2.0 * ceiling.rules.first_bar_mm;
    let stops = |mm: f64| {
        told(sound_and_square(), Rule::EndsOnBars, |_, l| {
            l.bars[index].to = l.bars[index].to + l.frame.along * -mm;
        })
        .into_iter()
        .filter(|breach| breach.what == "perimeter bar")
        .collect::<Vec<_>>()
    };
    assert_eq!(stops(margin - 60.0), []);
    // Farther back, the last point that needs it is farthest from its end.
    let bar = &layout.bars[index];
    let left = Segment { from: bar.from, to: bar.to + layout.frame.along * (-2.0 * margin) };
    let outline = Polygon::new(&layout.outline).unwrap();
    let near = |edge: &Segment| left.distance_mm(edge.middle());
    let edge = outline.edges().min_by(|a, b| near(a).total_cmp(&near(b))).unwrap();
    let ends = [margin, edge.length_mm() - margin].map(|at| left.distance_mm(edge.point_at(at)));
    let found = stops(2.0 * margin);
    by(one(&found, "the first bar is"), ends[0].max(ends[1]) - ceiling.rules.first_bar_mm, 0.01);
}

#[test]
fn an_opening_without_a_bar_at_its_side_is_told_by_how_much() {
    let over = |first_bar_mm: f64| {
        told(sound_with_hatch(), Rule::BarGap, |c, _| c.rules.first_bar_mm = first_bar_mm)
            .into_iter()
            .filter(|breach| breach.what == "opening")
            .collect::<Vec<_>>()
    };
    let (_, layout) = sound_with_hatch();
    let (ceiling, _) = sound_with_hatch();
    let hatch = &ceiling.obstructions[0];
    // The sides along the bars: the farthest any of seven places on them is from a bar.
    let mut most: f64 = 0.0;
    for (a, b) in hatch.iter().zip(hatch.iter().cycle().skip(1)) {
        if (*b - *a).unit().unwrap().dot(layout.frame.along).abs() > 0.9 {
            for k in 1..8 {
                let p = a.toward(*b, f64::from(k) / 8.0);
                let lines =
                    layout.bars.iter().map(|bar| Segment { from: bar.from, to: bar.to }.distance_mm(p));
                most = most.max(lines.fold(f64::INFINITY, f64::min));
            }
        }
    }
    assert!(most > 20.0);
    assert!((worst(&over(most - 7.0)) - 7.0).abs() < 0.01);
    assert!(over(most - 7.0)[0].sentence.contains("from the side of an opening"));
    assert_eq!(over(most - 0.5), []);
    // Where boards end at the side, nothing is to be held.
    let small = |u: f64| {
        let found = told(sound(), Rule::BarGap, |c, l| {
            let lines = across(l);
            let (low, high) = (lines[2].1 + 100.0, lines[2].1 + 110.0);
            c.rules.first_bar_mm = 60.0;
            c.obstructions.push(ring(l, (u, low), (u + 10.0, high)));
        });
        found.iter().filter(|breach| breach.what == "opening").count()
    };
    assert_eq!((small(20.0), small(3000.0)), (0, 2));
}

#[test]
fn a_bar_too_near_a_wall_is_told_by_how_much() {
    let (ceiling, layout) = sound();
    let gap = ceiling.rules.bar_end_gap_mm;
    let index = across(&layout)[2].0;
    let room: Vec<Point> = ceiling.corners.iter().map(|c| c.at).collect();
    let room = Polygon::new(&room).unwrap();
    // The corners of the bar's face, and how near the nearest is to a wall.
    let (bar, half) = (&layout.bars[index], layout.frame.across * (ceiling.bar.face_width_mm / 2.0));
    let near = |to: Point| {
        [to + half, to + half * -1.0]
            .map(|p| room.distance_to_boundary_mm(p))
            .iter()
            .copied()
            .fold(1e9, f64::min)
    };
    let spare = near(bar.to) - gap;
    let longer = |mm: f64| {
        let along = layout.frame.along;
        told(sound(), Rule::Clear, |_, l| l.bars[index].to = l.bars[index].to + along * (spare + mm))
    };
    let words = format!("bar {} is", index + 1);
    assert_eq!(longer(0.3), []);
    for mm in [3.0, 7.0] {
        let found = longer(mm);
        let breach = one(&found, &words);
        by(breach, mm, 0.2);
        assert_eq!(breach.what, format!("bar {}", index + 1));
    }
    by(one(&longer(200.0), &words), gap, 0.01);
}

#[test]
fn a_bar_past_a_corner_that_stands_in_is_told_by_how_near_its_side_comes() {
    let (ceiling, layout) = laid(rooms::ell_room());
    let half = ceiling.bar.face_width_mm / 2.0;
    let corner = ceiling.corners[3].at;
    let (out, along) =
        (Point::new(-0.5_f64.sqrt(), -0.5_f64.sqrt()), Point::new(0.5_f64.sqrt(), -0.5_f64.sqrt()));
    let past = |clear: f64| {
        told((ceiling.clone(), layout.clone()), Rule::Clear, |_, l| {
            let middle = corner + out * (half + clear);
            (l.bars[0].from, l.bars[0].to) = (middle + along * -300.0, middle + along * 300.0);
        })
        .into_iter()
        .find(|breach| breach.what == "bar 1" && breach.sentence.contains("from a wall"))
    };
    assert_eq!(past(11.0), None);
    by(&past(2.0).unwrap(), ceiling.rules.bar_end_gap_mm - 2.0, 1e-6);
}

#[test]
fn bars_too_near_each_other_are_told_by_how_much() {
    let (ceiling, layout) = sound();
    let (gap, width) = (ceiling.rules.bar_end_gap_mm, ceiling.bar.face_width_mm);
    let last = layout.bars.len() + 1;
    let beside = |move_mm: Point| {
        told(sound(), Rule::Clear, |_, l| {
            let index = across(l)[3].0;
            let (from, to) = (
                l.bars[index].from.toward(l.bars[index].to, 0.3),
                l.bars[index].from.toward(l.bars[index].to, 0.6),
            );
            let mut bar = Bar { from, to, number: last, ..l.bars[index].clone() };
            moved(&mut bar, move_mm);
            l.bars.push(bar);
        })
        .into_iter()
        .filter(|breach| breach.sentence.contains(&format!("mm from bar {last}")))
        .collect::<Vec<_>>()
    };
    let (along, across) = (layout.frame.along, layout.frame.across);
    for sign in [-1.0, 1.0] {
        by(one(&beside(across * (sign * (width + 2.0))), "must stay 10 clear"), gap - 2.0, 0.01);
        by(one(&beside(across * (sign * 10.0)), "must stay 10 clear"), gap, 1e-9);
        assert_eq!(beside(across * (sign * (width + gap + 0.1))), []);
    }
    by(one(&beside(along * 20.0), "must stay 10 clear"), gap, 1e-9);
    // Behind each other in one line, end to end.
    let (from, to) = (layout.bars[3].from, layout.bars[3].to);
    let in_line = told(sound(), Rule::Clear, |_, l| {
        l.bars[3].to = from.toward(to, 0.5);
        let rest = l.bars[3].to + l.frame.along * 4.0;
        l.bars.push(Bar { from: rest, to, number: last, ..l.bars[3].clone() });
    });
    by(one(&in_line, &format!("from bar {last}")), gap - 4.0, 0.01);
}

#[test]
fn a_bar_too_near_what_comes_through_is_told_by_how_much() {
    let (ceiling, layout) = sound();
    let gap = ceiling.rules.bar_end_gap_mm;
    let half = ceiling.bar.face_width_mm / 2.0;
    let (index, v) = across(&layout)[3];
    let pipe = |clear: f64| {
        let low = v + half + clear;
        told(sound(), Rule::Clear, |c, l| c.obstructions.push(ring(l, (2000.0, low), (2050.0, low + 50.0))))
    };
    let found = pipe(3.0);
    let breach = one(&found, "runs into what comes through the ceiling");
    by(breach, gap - 3.0, 0.01);
    assert_eq!(breach.what, format!("bar {}", index + 1));
    assert_eq!(pipe(gap + 0.1), []);
    // A pipe quite under the bar.
    let under = told(sound(), Rule::Clear, |c, l| {
        c.obstructions.push(ring(l, (2000.0, v - 5.0), (2010.0, v + 5.0)));
    });
    by(one(&under, "runs into what comes through"), gap, 1e-9);
}

/// A bar of two lengths, the first or the last of them shorter than the stock.
fn lapped(layout: &Layout, short_first: bool) -> usize {
    let short = |bar: &Bar| {
        let own = if short_first { bar.lengths.first() } else { bar.lengths.last() };
        own.is_some_and(|length| length.to_mm - length.from_mm < 3000.0)
    };
    layout.bars.iter().position(|bar| bar.lengths.len() == 2 && short(bar)).unwrap()
}

#[test]
fn lengths_that_do_not_make_up_their_bar_are_found() {
    let (_, layout) = sound();
    for short_first in [false, true] {
        let at = lapped(&layout, short_first);
        let number = layout.bars[at].number;
        let words = format!("the lengths of bar {number} do not make it up");
        let changed = |change: &dyn Fn(&mut Bar)| told(sound(), Rule::Laps, |_, l| change(&mut l.bars[at]));
        let at_the_end = |mm: f64| {
            changed(&|b| {
                if short_first {
                    b.lengths[0].from_mm -= mm;
                } else {
                    b.lengths[1].to_mm += mm;
                }
            })
        };
        assert_eq!(one(&at_the_end(0.5), &words).what, format!("bar {}", at + 1));
        one(&at_the_end(-0.5), &words);
        none(&at_the_end(0.05), &words);
        none(&at_the_end(-0.05), &words);
        for mm in [-0.5, 0.5] {
            one(&changed(&|b| b.length_mm += mm), &words);
            none(&changed(&|b| b.length_mm += mm / 10.0), &words);
        }
        let unlisted = format!("the laps of bar {number} are not all listed");
        one(&changed(&|b| b.lengths.clear()), &unlisted);
        one(&changed(&|b| b.laps.truncate(0)), &unlisted);
    }
}

#[test]
fn lengths_over_the_stock_and_laps_too_short_are_told_by_how_much() {
    let (ceiling, layout) = sound();
    let longest =
        layout.bars.iter().flat_map(|b| &b.lengths).map(|l| l.to_mm - l.from_mm).fold(0.0, f64::max);
    let over = |by: f64| told(sound(), Rule::Laps, |c, _| c.bar.stock_length_mm = longest - by);
    let found = over(80.0);
    assert!(
        found.iter().any(|b| b.sentence.contains("is 80 mm over the stock") && (b.by - 80.0).abs() < 1e-6)
    );
    none(&over(0.005), "over the stock");
    let shortest = layout
        .bars
        .iter()
        .flat_map(|b| b.lengths.windows(2).map(|p| p[0].to_mm - p[1].from_mm))
        .fold(f64::INFINITY, f64::min);
    assert!(shortest >= ceiling.rules.min_lap_mm - 1e-6);
    let least = |mm: f64| told(sound(), Rule::Laps, |c, _| c.rules.min_lap_mm = mm);
    assert!((worst(&least(shortest + 12.0)) - 12.0).abs() < 1e-6);
    assert!(least(shortest + 12.0)[0].sentence.contains("a lap of bar"));
    assert_eq!(least(shortest + 0.005), []);
}

/// Laps of neighbours must lie apart by what they do, and not by more; those with a bar between them may lie in line.
#[test]
fn laps_in_line_are_told_by_how_much() {
    let (_, layout) = sound();
    let middles = |bar: &Bar| -> Vec<f64> {
        let line = Segment { from: bar.from, to: bar.to };
        let at = |p: Point| layout.frame.frame_from_room(p).x_mm;
        bar.lengths.windows(2).map(|p| at(line.point_at(f64::midpoint(p[0].to_mm, p[1].from_mm)))).collect()
    };
    let lines = across(&layout);
    let mut nearest = f64::INFINITY;
    let mut of_any = f64::INFINITY;
    for (at, (i, _)) in lines.iter().enumerate() {
        for (other, (j, _)) in lines.iter().enumerate().skip(at + 1) {
            for p in middles(&layout.bars[*i]) {
                for q in middles(&layout.bars[*j]) {
                    of_any = of_any.min((p - q).abs());
                    if other == at + 1 {
                        nearest = nearest.min((p - q).abs());
                    }
                }
            }
        }
    }
    assert!(of_any < 50.0 && nearest > 300.0, "{of_any} {nearest}: some in line, none of neighbours");
    let apart = |mm: f64| told(sound(), Rule::Laps, |c, _| c.rules.lap_stagger_mm = mm);
    assert_eq!(apart(nearest - 0.01), []);
    assert!((worst(&apart(nearest + 20.0)) - 20.0).abs() < 0.01);
    assert!(apart(nearest + 20.0)[0].sentence.contains("are neighbours and lapped within"));
}

#[test]
fn stock_bars_too_long_and_lengths_in_none_are_found() {
    let (ceiling, layout) = sound();
    let at = layout.bar_cutting.iter().position(|s| s.cuts.len() == 2).unwrap();
    let (length, kerf) = (ceiling.bar.stock_length_mm, ceiling.rules.kerf_mm);
    let number = layout.bar_cutting[at].number;
    let words = format!("stock bar {number} would have to be");
    let cut_to = |each: f64| {
        told(sound(), Rule::Laps, |_, l| {
            for cut in &mut l.bar_cutting[at].cuts {
                cut.length_mm = each;
            }
        })
    };
    none(&cut_to((length - kerf) / 2.0), &words);
    let over = cut_to((length - kerf) / 2.0 + 2.0);
    by(one(&over, &words), 4.0, 1e-6);
    assert_eq!(one(&over, &words).what, format!("stock bar {number}"));
    // The cuts belong to lengths of bars: to each of them, to a hundredth of a millimetre.
    let cut = layout.bar_cutting[at].cuts[0];
    let words = format!("a length of bar {} is in no stock bar", cut.bar);
    let shorter = |mm: f64| {
        told(sound(), Rule::Laps, |_, l| l.bar_cutting[at].cuts[0].length_mm -= mm)
            .into_iter()
            .filter(|b| b.sentence == words)
            .count()
    };
    assert_eq!((shorter(0.02), shorter(0.005)), (1, 0));
    let of_another = told(sound(), Rule::Laps, |_, l| l.bar_cutting[at].cuts[0].bar = 99);
    assert_eq!(one(&of_another, &words).what, format!("bar {}", cut.bar));
    let elsewhere = told(sound(), Rule::Laps, |_, l| l.bars[0].lengths[0].stock = 999);
    one(&elsewhere, "a length of bar 1 is in no stock bar");
}

#[test]
fn a_mark_is_told_by_how_far_off_its_line_it_is() {
    let (_, layout) = sound();
    let (wall, mark) = layout
        .marks
        .iter()
        .enumerate()
        .find_map(|(w, wall)| Some((w, wall.marks.iter().position(|m| matches!(m.of, MarkFor::Bar(_)))?)))
        .unwrap();
    let off = |mm: f64| told(sound(), Rule::Marks, |_, l| l.marks[wall].marks[mark].at_mm += mm);
    let found = off(4.0);
    // Walls that cross the bars are not square to them.
    by(one(&found, "mm off its line"), 4.0, 0.3);
    assert_eq!(off(0.8), []);
    let missing = told(sound(), Rule::Marks, |_, l| l.marks[wall].marks[mark].of = MarkFor::Bar(99));
    by(one(&missing, "the mark of bar 99 on wall"), 1e6, 0.0);
    // Measured from the other corner they lead elsewhere.
    let turned = told(sound(), Rule::Marks, |_, l| {
        let (a, b) = l.marks[wall].wall.split_once('-').map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
        let from = &mut l.marks[wall].from_corner;
        *from = if *from == a { b } else { a };
    });
    assert!(!turned.is_empty());
}
