//! Bars and clips round those that are fixed.

use super::AsBuilt;
use super::mend::ON_MARK_MM;
use crate::bars::{self, BarRules, FrameBar};
use crate::clips::{self, BarClips, ClipRules, Hung, Spot};
use crate::draft::Site;
use crate::laps::{self, Lengths};
use crate::layout::{BarReason, Layout, Support};
use crate::room::Room;
use crate::{Ceiling, Point, carry, ring, take_off};

/// Places a bar may be shifted to in search of one clear of the fixed ones: steps and how many \[mm\].
const SHIFT_STEP_MM: f64 = 5.0;
const SHIFTS: u32 = 60;
/// Most that is taken off a bar's end \[mm\].
const MOST_TRIM_MM: u32 = 40;
/// What is left of a bar that is cut, at least \[mm\].
const LEAST_LEFT_MM: f64 = 300.0;
/// A free bar is shifted under a joint from no farther away \[mm\].
const MOST_SHIFT_MM: f64 = 300.0;
/// More bars than any mend needs.
const MOST_ADDED: usize = 40;

/// A bar of the mend.
#[derive(Clone, Debug)]
pub(super) struct Now {
    pub(super) bar: FrameBar,
    pub(super) fixed: bool,
    /// Its index in the plan; none for a bar that is added.
    pub(super) planned: Option<usize>,
    /// Not where the plan has it, though it is not fixed.
    pub(super) moved: bool,
}

/// A bar of a layout in the frame, its end of lesser `u` first.
fn frame_bar(layout: &Layout, index: usize) -> Option<FrameBar> {
    let bar = layout.bars.get(index)?;
    let (a, b) = (layout.frame.frame_from_room(bar.from), layout.frame.frame_from_room(bar.to));
    Some(FrameBar { from: a, to: b, wall: bar.wall, reason: bar.reason })
}

/// The bars of the layout with the walls counted as the frame's room does.
pub(super) fn frame_bars(room: &Room, layout: &Layout) -> Vec<FrameBar> {
    let n = room.corner.len();
    (0..layout.bars.len())
        .filter_map(|i| frame_bar(layout, i))
        .map(|mut bar| {
            bar.wall = bar.wall.and_then(|given| {
                (0..n).find(|&w| {
                    let (a, b) = (room.corner[w], room.corner[(w + 1) % n]);
                    (if (a + 1) % n == b { a } else { b }) == given
                })
            });
            bar
        })
        .collect()
}

/// Takes off what of the fixed bars' ends comes too near a wall or another bar: a bar shifted aside is laid so that its ends
/// are clear, or cut a little. Where nothing shifted, ends are as the plan has them.
pub(super) fn trim_ends(ceiling: &Ceiling, plan: &Layout, layout: &mut Layout, fixed: &[usize]) {
    let Ok(room) = Room::new(ceiling) else { return };
    let bars = frame_bars(&room, layout);
    let shifted: Vec<bool> = layout
        .bars
        .iter()
        .enumerate()
        .map(|(i, bar)| {
            let moved = |was: Point, now: Point| ring::distance(was, now) > ON_MARK_MM;
            plan.bars.get(i).is_none_or(|was| moved(was.from, bar.from) || moved(was.to, bar.to))
        })
        .collect();
    let is_shifted = |bar: usize| shifted.get(bar).copied().unwrap_or(true);
    let (half, gap) = (ceiling.bar.face_width_mm / 2.0, ceiling.rules.bar_end_gap_mm - 0.5);
    for &number in fixed {
        let Some(bar) = bars.get(number.wrapping_sub(1)) else { continue };
        let near = |along: f64| {
            let (middle, dir) = (bar.at(along), bar.dir());
            [half, -half].iter().any(|h| {
                let p = Point::new(middle.x_mm - h * dir.y_mm, middle.y_mm + h * dir.x_mm);
                let own = is_shifted(number - 1);
                let wall =
                    own && ring::sides(&room.ring).any(|(a, b)| ring::distance_to_segment(p, a, b) < gap);
                wall || bars.iter().enumerate().any(|(i, o)| {
                    i + 1 != number
                        && (own || is_shifted(i))
                        && ring::distance_to_segment(p, o.from, o.to) < gap + half
                })
            })
        };
        let length = bar.length_mm();
        let cut = |from: f64, sign: f64| {
            (0..=MOST_TRIM_MM).map(f64::from).find(|t| !near(from + sign * t)).unwrap_or(0.0)
        };
        let (start, end) = (cut(0.0, 1.0), cut(length, -1.0));
        if start + end == 0.0 || length - start - end < LEAST_LEFT_MM {
            continue;
        }
        let (from, to) = (bar.at(start), bar.at(length - end));
        let frame = layout.frame.clone();
        let Some(own) = layout.bars.get_mut(number - 1) else { continue };
        own.from = frame.room_from_frame(from.x_mm, from.y_mm);
        own.to = frame.room_from_frame(to.x_mm, to.y_mm);
        own.length_mm = length - start - end;
        for l in &mut own.lengths {
            l.from_mm = (l.from_mm - start).max(0.0);
            l.to_mm -= start;
        }
        if let Some(last) = own.lengths.last_mut() {
            last.to_mm = own.length_mm;
        }
        for clip in layout.clips.iter_mut().filter(|c| c.bar + 1 == number) {
            clip.along_mm = (clip.along_mm - start).max(0.0);
        }
    }
}

/// Puts what each clip carries into the layout, its bars and clips being where they are.
pub(super) fn weigh_again(ceiling: &Ceiling, layout: &mut Layout) {
    let Ok(room) = Room::new(ceiling) else { return };
    let rules = BarRules::new(&ceiling.bar, &ceiling.rules);
    let clip_rules = ClipRules::new(ceiling);
    let bars = frame_bars(&room, layout);
    let shares = carry::shares(&room, &rules, &bars);
    for (index, (bar, share)) in bars.iter().zip(&shares).enumerate() {
        let lengths: Lengths = lengths_of(layout, index, bar);
        let hung = Hung::new(share, bar, &lengths, &clip_rules);
        let mut own: Vec<usize> = (0..layout.clips.len())
            .filter(|&c| layout.clips.get(c).is_some_and(|c| c.bar == index))
            .collect();
        let along = |c: &usize| layout.clips.get(*c).map_or(0.0, |c| c.along_mm);
        own.sort_by(|a, b| along(a).total_cmp(&along(b)));
        let spots: Vec<Spot> = own.iter().map(|c| Spot { along_mm: along(c), joist: None }).collect();
        if spots.is_empty() {
            continue;
        }
        let weighed = clips::as_they_are(&hung, &spots);
        for ((c, kg), mm2) in own.iter().zip(&weighed.loads_kg).zip(&weighed.areas_mm2) {
            if let Some(clip) = layout.clips.get_mut(*c) {
                clip.load_kg = *kg;
                clip.area_m2 = mm2 / 1e6;
            }
        }
    }
    layout.joist_loads = take_off::joist_loads(ceiling, &layout.clips, &layout.noggins);
    layout.take_off.heaviest_clip_kg = layout.clips.iter().map(|c| c.load_kg).fold(0.0, f64::max);
}

/// The lengths a bar of a layout is made of, its last brought to the bar's real end.
fn lengths_of(layout: &Layout, index: usize, bar: &FrameBar) -> Lengths {
    let length = bar.length_mm();
    let mut own: Lengths = layout
        .bars
        .get(index)
        .map_or_else(Vec::new, |b| b.lengths.iter().map(|l| (l.from_mm, l.to_mm)).collect());
    match own.last_mut() {
        Some(last) if last.0 < length => last.1 = length,
        _ => own = vec![(0.0, length)],
    }
    own
}

/// Two bars lie nearer to each other than they may.
pub(super) fn too_near(a: &FrameBar, b: &FrameBar, rules: &BarRules) -> bool {
    bars::any_too_near(&[a.clone(), b.clone()], rules)
}

/// A bar still to fix that ends too near a fixed one, cut a little shorter where that is enough: a saw cut is less than a bar elsewhere.
fn cut_clear(bar: &FrameBar, others: &[Now], rules: &BarRules) -> Option<FrameBar> {
    let clear = |bar: &FrameBar| !others.iter().any(|o| o.fixed && too_near(bar, &o.bar, rules));
    let length = bar.length_mm();
    let cut = |start: f64, end: f64| {
        (length - start - end >= LEAST_LEFT_MM).then(|| FrameBar {
            from: bar.at(start),
            to: bar.at(length - end),
            ..bar.clone()
        })
    };
    (1..=MOST_TRIM_MM)
        .map(f64::from)
        .flat_map(|t| [cut(t, 0.0), cut(0.0, t), cut(t, t)])
        .flatten()
        .find(|bar| clear(bar))
}

/// The real bars and the planned ones that are not fixed yet; these give way where a fixed bar is too near.
pub(super) fn start(site: &Site, plan: &Layout, built: &AsBuilt) -> Vec<Now> {
    let planned = frame_bars(site.room, plan);
    let real = frame_bars(site.room, &built.layout);
    let mut all: Vec<Now> = real
        .into_iter()
        .enumerate()
        .map(|(i, bar)| {
            let fixed = built.fixed_bars.contains(&(i + 1));
            Now { bar, fixed, planned: Some(i), moved: false }
        })
        .collect();
    let rules = &site.bar_rules;
    for index in 0..all.len() {
        let Some(bar) = planned.get(index).filter(|_| !all[index].fixed) else { continue };
        let near = |bar: &FrameBar, all: &[Now]| {
            all.iter()
                .enumerate()
                .any(|(i, o)| i != index && (o.fixed || i < index) && too_near(bar, &o.bar, rules))
        };
        let stands_in_the_way = all.iter().any(|o| o.fixed && too_near(bar, &o.bar, rules));
        if !stands_in_the_way {
            continue;
        }
        if let Some(cut) = cut_clear(bar, &all, rules) {
            all[index].bar = cut;
            continue;
        }
        if bar.wall.is_some() {
            continue;
        }
        let shifted = (1..=SHIFTS).flat_map(|k| [f64::from(k), -f64::from(k)]).find_map(|k| {
            let v = bar.from.y_mm + k * SHIFT_STEP_MM;
            let new = one_on_line(site, v, BarReason::Field, bar)?;
            (!near(&new, &all)).then_some(new)
        });
        if let Some(new) = shifted {
            all[index].bar = new;
            all[index].moved = true;
        }
    }
    all
}

/// The stretch of bar on line `v` that lies most over another.
fn one_on_line(site: &Site, v: f64, reason: BarReason, like: &FrameBar) -> Option<FrameBar> {
    let over = |b: &FrameBar| b.to.x_mm.min(like.to.x_mm) - b.from.x_mm.max(like.from.x_mm);
    bars::bars_on_line(site.room, &site.bar_rules, v, reason)
        .into_iter()
        .max_by(|a, b| over(a).total_cmp(&over(b)))
        .filter(|b| over(b) > 0.0)
}

/// Puts a bar under every line: one that lies there, else the nearest free one no line needs, else a new one. Free bars give
/// way where a line comes too near.
pub(super) fn lay_under(site: &Site, all: &mut Vec<Now>, lines: &[f64]) {
    let is_free = |n: &Now| !n.fixed && n.bar.wall.is_none();
    let on = |n: &Now, v: f64| is_free(n) && (n.bar.from.y_mm - v).abs() < 0.5;
    for &v in lines {
        if all.iter().any(|n| on(n, v)) {
            continue;
        }
        let new = bars::bars_on_line(site.room, &site.bar_rules, v, BarReason::Joint);
        let mut taken: Vec<usize> = Vec::new();
        // Beside a bar that hangs there is no place for another: what that leaves bare is told.
        let beside_fixed = |bar: &FrameBar, all: &[Now]| {
            all.iter().any(|n| n.fixed && too_near(bar, &n.bar, &site.bar_rules))
        };
        for bar in new {
            let bar = if beside_fixed(&bar, all) {
                let Some(cut) = cut_clear(&bar, all, &site.bar_rules) else { continue };
                cut
            } else {
                bar
            };
            let unneeded = |(i, n): &(usize, &Now)| {
                is_free(n)
                    && n.planned.is_some()
                    && !taken.contains(i)
                    && !lines.iter().any(|l| on(n, *l))
                    && (n.bar.from.y_mm - v).abs() < MOST_SHIFT_MM
                    && bar.to.x_mm.min(n.bar.to.x_mm) > bar.from.x_mm.max(n.bar.from.x_mm)
            };
            let nearest = all
                .iter()
                .enumerate()
                .filter(unneeded)
                .min_by(|(_, a), (_, b)| {
                    let far = |n: &Now| (n.bar.from.y_mm - v).abs();
                    far(a).total_cmp(&far(b))
                })
                .map(|(i, _)| i);
            if let Some(i) = nearest {
                taken.push(i);
                all[i].bar = FrameBar { reason: BarReason::Joint, ..bar };
                all[i].moved = true;
            } else {
                taken.push(all.len());
                all.push(Now { bar, fixed: false, planned: None, moved: false });
            }
        }
    }
    for index in 0..all.len() {
        let now = &all[index];
        let needed = lines.iter().any(|l| on(now, *l));
        let crowded = |bar: &FrameBar, all: &[Now]| {
            all.iter().enumerate().any(|(i, o)| i != index && too_near(bar, &o.bar, &site.bar_rules))
        };
        if needed || !is_free(now) || !crowded(&now.bar, all) {
            continue;
        }
        let shifted = (1..=SHIFTS).flat_map(|k| [f64::from(k), -f64::from(k)]).find_map(|k| {
            let new = one_on_line(site, now.bar.from.y_mm + k * SHIFT_STEP_MM, BarReason::Field, &now.bar)?;
            (!crowded(&new, all)).then_some(new)
        });
        if let Some(new) = shifted {
            all[index].bar = new;
            all[index].moved = true;
        }
    }
}

/// Shifts free bars, or adds one, until no gap is over the limit. Bars under `lines` stay.
pub(super) fn close_gaps(site: &Site, all: &mut Vec<Now>, lines: &[f64]) {
    let limit_mm = site.ceiling.rules.bar_gap_mm;
    let limit = BarRules { gap_limit_mm: limit_mm, ..site.bar_rules };
    for _ in 0..MOST_ADDED {
        let Some(gap) = widest(site, &limit, all) else { return };
        let spare = site.ceiling.rules.bar_gap_spare_mm;
        let mut best: Option<(usize, f64, Vec<Now>)> = None;
        for reach in [limit_mm - spare, limit_mm] {
            for upwards in [true, false] {
                let Some((count, far, tried)) = pushed(site, all, lines, &gap, (reach, upwards)) else {
                    continue;
                };
                let closed = widest(site, &limit, &tried).is_none_or(|left| {
                    let elsewhere = left.high_v <= gap.low_v + 1.0 || left.low_v >= gap.high_v - 1.0;
                    elsewhere && left.over_mm <= gap.over_mm
                });
                if closed && best.as_ref().is_none_or(|b| (count, far) < (b.0, b.1)) {
                    best = Some((count, far, tried));
                }
            }
        }
        if let Some((_, _, tried)) = best {
            *all = tried;
            continue;
        }
        let lines: Vec<f64> = all.iter().flat_map(|n| [n.bar.from.y_mm, n.bar.to.y_mm]).collect();
        let wanted = f64::midpoint(gap.low_v, gap.high_v).round();
        let Some((_, new)) = bars::nearest_free_line(site.room, &limit, &lines, wanted, &gap) else { return };
        all.extend(new.into_iter().map(|bar| Now { bar, fixed: false, planned: None, moved: false }));
    }
}

fn widest(site: &Site, limit: &BarRules, all: &[Now]) -> Option<bars::Gap> {
    let bars: Vec<FrameBar> = all.iter().map(|n| n.bar.clone()).collect();
    bars::widest_gap(site.room, limit, &bars)
}

/// The bars with those at one side of a gap moved into it, each only as far as it must, and those behind them after: how many
/// moved, how far in all. None where one that stays is in the way.
fn pushed(
    site: &Site,
    all: &[Now],
    lines: &[f64],
    gap: &bars::Gap,
    (reach_mm, upwards): (f64, bool),
) -> Option<(usize, f64, Vec<Now>)> {
    // Seen from the side that stays: up from the gap's low side, or down from its high one.
    let (sign, stays) = if upwards { (1.0, gap.low_v) } else { (-1.0, gap.high_v) };
    let start = if upwards { gap.high_v } else { gap.low_v };
    let mut tried = all.to_vec();
    let mut order: Vec<usize> = (0..all.len())
        .filter(|&i| (all[i].bar.from.y_mm - start) * sign > -1.0 && all[i].bar.wall.is_none())
        .collect();
    order.sort_by(|&a, &b| (all[a].bar.from.y_mm * sign).total_cmp(&(all[b].bar.from.y_mm * sign)));
    let (mut count, mut far, mut last) = (0, 0.0, stays);
    for index in order {
        let now = &all[index];
        let v = now.bar.from.y_mm;
        let target = last + sign * reach_mm;
        if (v - target) * sign <= 1e-6 {
            break;
        }
        let free = !now.fixed && now.planned.is_some() && !now.moved;
        if !free || lines.iter().any(|l| (l - v).abs() < 0.5) {
            return None;
        }
        let new = one_on_line(site, target, BarReason::Field, &now.bar)?;
        if tried.iter().enumerate().any(|(i, o)| i != index && too_near(&new, &o.bar, &site.bar_rules)) {
            return None;
        }
        tried[index].bar = new;
        tried[index].moved = true;
        count += 1;
        far += (target - v).abs();
        last = target;
    }
    (count > 0).then_some((count, far, tried))
}

/// Lengths of every bar: those of bars that stay are kept. None when no place is left for a lap.
pub(super) fn lengths(site: &Site, built: &AsBuilt, all: &[Now]) -> Option<Vec<Lengths>> {
    let bars: Vec<FrameBar> = all.iter().map(|n| n.bar.clone()).collect();
    let kept: Vec<Option<Lengths>> = all
        .iter()
        .map(|n| {
            let index = n.planned?;
            let own = lengths_of(&built.layout, index, &n.bar);
            let fits =
                own.iter().all(|l| l.1 - l.0 <= site.ceiling.bar.stock_length_mm + 1e-6 && l.1 - l.0 > 100.0);
            (n.fixed || fits).then_some(own)
        })
        .collect();
    laps::lap_bars_round(&bars, &kept, site.ceiling.bar.stock_length_mm, &site.ceiling.rules)
}

/// Room that a clip on a noggin needs beside a joist, and beside where one was skipped \[mm\] (judgement, no source).
const BESIDE_JOIST_MM: f64 = 30.0;
const BESIDE_SKIPPED_MM: f64 = 60.0;

/// Clips of every bar: those of fixed bars and those read stay, the others stay where that keeps the limits.
/// Where one was skipped none is tried again.
pub(super) fn clips(
    site: &Site,
    plan: &Layout,
    built: &AsBuilt,
    all: &[Now],
    lengths: &[Lengths],
) -> Vec<BarClips> {
    let bars: Vec<FrameBar> = all.iter().map(|n| n.bar.clone()).collect();
    let shares = carry::shares(site.room, &site.bar_rules, &bars);
    let rules = &ClipRules::of_fixed(site.ceiling);
    let mut out: Vec<BarClips> = Vec::with_capacity(all.len());
    for ((now, share), own) in all.iter().zip(&shares).zip(lengths) {
        let hung = Hung::new(share, &now.bar, own, rules);
        let length = now.bar.length_mm();
        let mut joists = clips::joist_spots(site.room, &now.bar);
        let skipped = plan.clips.iter().filter(|c| built.skipped_clips.contains(&c.number));
        let mut taken: Vec<(f64, f64)> = Vec::new();
        for clip in skipped.filter(|c| Some(c.bar) == now.planned) {
            // A noggin lies between joists: none of their undersides is one.
            if taken.is_empty() {
                // A bar that slants meets a joist over a longer stretch.
                let slant = length / (now.bar.to.x_mm - now.bar.from.x_mm).abs().max(1.0);
                let width = |spot: &Spot| site.ceiling.joists.get(spot.joist?).map(|joist| joist.width_mm);
                let under = joists.iter().filter_map(|spot| {
                    let half = (width(spot)? / 2.0 + BESIDE_JOIST_MM) * slant;
                    Some((spot.along_mm - half, spot.along_mm + half))
                });
                taken.extend(under);
            }
            taken.push((clip.along_mm - BESIDE_SKIPPED_MM, clip.along_mm + BESIDE_SKIPPED_MM));
            joists.retain(|s| match clip.on {
                Support::Joist(joist) => s.joist != Some(joist),
                Support::Noggin(_) => true,
            });
        }
        let was = now.planned.map_or_else(Vec::new, |i| spots_of(&built.layout, i));
        let read = now.planned.map_or_else(Vec::new, |i| {
            let mut spots = Vec::new();
            for clip in
                built.layout.clips.iter().filter(|c| c.bar == i && built.fixed_clips.contains(&c.number))
            {
                spots.push(spot(clip.along_mm, clip.on));
            }
            spots
        });
        let stay = if now.fixed { was.clone() } else { read.clone() };
        let kept = clips::as_they_are(&hung, &was);
        let unmoved = now.planned.is_some() && !now.moved;
        let chosen = if unmoved && clips::keep_limits(&kept, length, rules) {
            Some(kept)
        } else {
            let on_same_joists: Vec<Spot> = if unmoved {
                was.clone()
            } else {
                let used = |s: &&Spot| was.iter().any(|w| w.joist == s.joist);
                joists.iter().filter(used).copied().collect()
            };
            [&on_same_joists, &stay]
                .into_iter()
                .find_map(|keep| clips::choose_round(&hung, &joists, (keep, &taken), &[], rules))
        };
        let fallback = || {
            let free = ClipRules { rated_kg: None, ..*rules };
            clips::choose_round(&hung, &joists, (&stay, &taken), &[], &free)
        };
        let empty = BarClips { spots: Vec::new(), areas_mm2: Vec::new(), loads_kg: Vec::new() };
        out.push(chosen.or_else(fallback).unwrap_or(empty));
    }
    out
}

fn spot(along_mm: f64, on: Support) -> Spot {
    let joist = if let Support::Joist(j) = on { Some(j) } else { None };
    Spot { along_mm, joist }
}

fn spots_of(layout: &Layout, bar: usize) -> Vec<Spot> {
    let mut spots: Vec<Spot> =
        layout.clips.iter().filter(|c| c.bar == bar).map(|c| spot(c.along_mm, c.on)).collect();
    spots.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm));
    spots
}
