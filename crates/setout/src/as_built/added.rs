//! Bars that the plan does not have: added on site, entered by where they meet two walls.

use super::mended_bars::frame_bars;
use super::readings::{AddedBar, point_on_wall};
use crate::bars::{self, BarRules, FrameBar};
use crate::clips::{self, ClipRules, Hung, Spot};
use crate::laps::{self, Lengths};
use crate::layout::{Bar, BarCut, BarLength, BarReason, Clip, Lap, Layout, Noggin, StockBar, Support};
use crate::room::Room;
use crate::{Ceiling, Point, carry, pieces};

/// An added bar may turn against the others by this much from end to end \[mm\]; more is another bar's end.
const MOST_TURN_MM: f64 = 150.0;
/// Nearer together, its two readings say nothing of how it runs \[mm\].
const LEAST_RUN_MM: f64 = 300.0;
/// A clip given this near a joist's middle is meant to be on it \[mm\].
const ON_JOIST_MM: f64 = 100.0;

/// Puts the added bars after those of the plan, numbered on in the order given, with their clips; what cannot be one is said.
pub(super) fn put(ceiling: &Ceiling, layout: &mut Layout, given: &[AddedBar]) -> Vec<(String, String)> {
    let mut odd = Vec::new();
    let Ok(room) = Room::new(ceiling) else { return odd };
    let rules = BarRules::new(&ceiling.bar, &ceiling.rules);
    let mut clips_mm: Vec<(usize, &[f64])> = Vec::new();
    for (index, added) in given.iter().enumerate() {
        let what = format!("added bar {}", index + 1);
        match laid(ceiling, layout, &room, &rules, added) {
            Ok(bar) => {
                let at = layout.bars.len();
                clips_mm.push((at, &added.clips_mm));
                layout.bars.push(Bar {
                    number: at + 1,
                    reason: BarReason::Field,
                    wall: None,
                    from: pieces::to_room(&room, bar.from),
                    to: pieces::to_room(&room, bar.to),
                    length_mm: bar.length_mm(),
                    lengths: Vec::new(),
                    laps: Vec::new(),
                });
            }
            Err(sentence) => odd.push((what.clone(), format!("{what} {sentence}"))),
        }
    }
    if clips_mm.is_empty() {
        return odd;
    }
    make_up(ceiling, &room, layout, clips_mm[0].0);
    for &(at, given_mm) in &clips_mm {
        if let Some(sentence) = hang(ceiling, &room, &rules, layout, at, given_mm) {
            odd.push((format!("bar {}", at + 1), sentence));
        }
    }
    odd
}

/// The bar between its two readings, its ends clear of walls and of the bars along them.
fn laid(
    ceiling: &Ceiling,
    layout: &Layout,
    room: &Room,
    rules: &BarRules,
    added: &AddedBar,
) -> Result<FrameBar, String> {
    let mut ends = [Point::new(0.0, 0.0); 2];
    for (end, (wall, at_mm)) in ends.iter_mut().zip(&added.ends) {
        *end = layout.frame.frame_from_room(point_on_wall(ceiling, layout, wall, *at_mm)?);
    }
    let [p, q] = if ends[0].x_mm <= ends[1].x_mm { ends } else { [ends[1], ends[0]] };
    let run = q.x_mm - p.x_mm;
    let turn = (q.y_mm - p.y_mm).abs();
    if run < LEAST_RUN_MM || turn > MOST_TURN_MM {
        return Err(format!(
            "does not run along the others: between its two readings it goes {run:.0} mm along them and {turn:.0} mm across; give the two \
             walls that it runs up to"
        ));
    }
    let v = f64::midpoint(p.y_mm, q.y_mm);
    if !bars::passes_beside(room, rules, v) {
        return Err("runs through what comes through the ceiling; measure again".to_owned());
    }
    let line = bars::bars_on_line(room, rules, v, BarReason::Field);
    let over = |b: &FrameBar| b.to.x_mm.min(q.x_mm) - b.from.x_mm.max(p.x_mm);
    let stretch = line
        .iter()
        .max_by(|a, b| over(a).total_cmp(&over(b)))
        .filter(|b| over(b) > LEAST_RUN_MM)
        .ok_or("has no room between these places; measure again")?;
    let v_at = |u: f64| p.y_mm + (u - p.x_mm) / run * (q.y_mm - p.y_mm);
    let (from_u, to_u) = (stretch.from.x_mm, stretch.to.x_mm);
    Ok(FrameBar {
        from: Point::new(from_u, v_at(from_u)),
        to: Point::new(to_u, v_at(to_u)),
        wall: None,
        reason: BarReason::Field,
    })
}

/// Lengths of the added bars, from `first` on: where they are longer than the stock they are taken to be lapped apart from their
/// neighbours.
fn make_up(ceiling: &Ceiling, room: &Room, layout: &mut Layout, first: usize) {
    let bars = frame_bars(room, layout);
    let kept: Vec<Option<Lengths>> = layout
        .bars
        .iter()
        .enumerate()
        .map(|(at, bar)| (at < first).then(|| bar.lengths.iter().map(|l| (l.from_mm, l.to_mm)).collect()))
        .collect();
    let all = laps::lap_bars_round(&bars, &kept, ceiling.bar.stock_length_mm, &ceiling.rules);
    for (at, (own, bar)) in layout.bars.iter_mut().zip(&bars).enumerate().skip(first) {
        let lengths =
            all.as_ref().and_then(|all| all.get(at).cloned()).unwrap_or_else(|| vec![(0.0, bar.length_mm())]);
        own.laps = lengths
            .windows(2)
            .filter_map(|pair| {
                let [a, b] = pair else { return None };
                let at = pieces::to_room(room, bar.at(f64::midpoint(b.0, a.1)));
                Some(Lap { from_mm: b.0, to_mm: a.1, at })
            })
            .collect();
        own.lengths = lengths.iter().map(|l| BarLength { from_mm: l.0, to_mm: l.1, stock: 0 }).collect();
    }
}

/// The list of stock bars brought to the lengths that hang: those of trimmed bars shortened, those of added ones from a stock bar each.
pub(super) fn cut_again(ceiling: &Ceiling, layout: &mut Layout, planned: usize) {
    let stock_mm = ceiling.bar.stock_length_mm;
    for (at, bar) in layout.bars.iter_mut().enumerate() {
        let mut taken: Vec<(usize, usize)> = Vec::new();
        for length in &mut bar.lengths {
            let length_mm = length.to_mm - length.from_mm;
            if at >= planned {
                length.stock = layout.bar_cutting.len();
                layout.bar_cutting.push(StockBar {
                    number: length.stock + 1,
                    cuts: vec![BarCut { bar: bar.number, length_mm }],
                    left_over_mm: (stock_mm - length_mm).max(0.0),
                });
                continue;
            }
            let Some(stock) = layout.bar_cutting.get_mut(length.stock) else { continue };
            let own = stock.cuts.iter_mut().enumerate();
            let next = own
                .filter(|(_, cut)| cut.bar == bar.number)
                .find(|(i, _)| !taken.contains(&(length.stock, *i)));
            if let Some((i, cut)) = next {
                taken.push((length.stock, i));
                stock.left_over_mm += cut.length_mm - length_mm;
                cut.length_mm = length_mm;
            }
        }
    }
}

/// Its clips: where they were read, else where the setting out would have put them. A sentence where one cannot be.
fn hang(
    ceiling: &Ceiling,
    room: &Room,
    rules: &BarRules,
    layout: &mut Layout,
    at: usize,
    given_mm: &[f64],
) -> Option<String> {
    let bars = frame_bars(room, layout);
    let shares = carry::shares(room, rules, &bars);
    let (bar, share) = (bars.get(at)?, shares.get(at)?);
    let own: Lengths = layout.bars.get(at)?.lengths.iter().map(|l| (l.from_mm, l.to_mm)).collect();
    let clip_rules = ClipRules::of_fixed(ceiling);
    let hung = Hung::new(share, bar, &own, &clip_rules);
    let joists = clips::joist_spots(room, bar);
    let spots: Vec<Spot> = if given_mm.is_empty() {
        let free = ClipRules { rated_kg: None, ..clip_rules };
        clips::choose(&hung, &joists, &[], &clip_rules)
            .or_else(|| clips::choose(&hung, &joists, &[], &free))
            .map_or_else(Vec::new, |chosen| chosen.spots)
    } else {
        if let Some(wrong) =
            given_mm.iter().find(|mm| !mm.is_finite() || **mm < 0.0 || **mm > bar.length_mm())
        {
            return Some(format!(
                "a clip of added bar {} was read at {wrong:.0} mm from its left end, but the bar is {:.0} mm long; measure again",
                at + 1,
                bar.length_mm()
            ));
        }
        let mut given: Vec<f64> = given_mm.to_vec();
        given.sort_by(f64::total_cmp);
        let nearest = |mm: f64| {
            let off = |s: &Spot| (s.along_mm - mm).abs();
            joists.iter().min_by(|a, b| off(a).total_cmp(&off(b))).filter(|s| off(s) < ON_JOIST_MM)
        };
        given.iter().map(|&mm| Spot { along_mm: mm, joist: nearest(mm).and_then(|s| s.joist) }).collect()
    };
    for spot in spots {
        let in_frame = bar.at(spot.along_mm);
        let place = pieces::to_room(room, in_frame);
        let on = if let Some(joist) = spot.joist {
            Support::Joist(joist)
        } else {
            let (joists, length_mm) = clips::noggin_between(room, ceiling, in_frame);
            let number = layout.noggins.len() + 1;
            let why = format!("no joist at a clip of the bar added on site (bar {})", at + 1);
            layout.noggins.push(Noggin { number, at: place, joists, length_mm, why });
            Support::Noggin(number - 1)
        };
        let number = layout.clips.iter().map(|c| c.number).max().unwrap_or(0) + 1;
        layout.clips.push(Clip {
            number,
            bar: at,
            along_mm: spot.along_mm,
            at: place,
            on,
            load_kg: 0.0,
            area_m2: 0.0,
            packer_mm: None,
        });
    }
    None
}
