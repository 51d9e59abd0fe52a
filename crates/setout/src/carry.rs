//! How much ceiling each bar carries, place by place along it.
//!
//! Boards span from bar to bar, so each bar takes the ceiling half-way to its neighbours; at the edges it takes all of
//! it to the wall. The shares add up to the whole ceiling.

use crate::bars::{self, BarRules, FrameBar};
use crate::ring::{self, Axis};
use crate::room::Room;

/// Steps in which ceiling that no bar holds is given to the nearest end of a bar \[mm\].
const BARE_STEP_MM: f64 = 4.0;

/// A stretch of one bar and the width of ceiling it carries at its two ends.
#[derive(Clone, Copy, Debug)]
#[expect(clippy::struct_field_names, reason = "the unit belongs to each name")]
struct Stretch {
    from_mm: f64,
    to_mm: f64,
    /// Ceiling per length of bar \[mm\] at the two ends; linear between.
    from_width_mm: f64,
    to_width_mm: f64,
}

/// The ceiling one bar carries.
#[derive(Clone, Debug, Default)]
pub(crate) struct Share {
    stretches: Vec<Stretch>,
    before_mm2: f64,
    after_mm2: f64,
}

impl Share {
    /// Ceiling carried between the bar's first end, what overhangs it included, and `along_mm` \[mm²\].
    pub(crate) fn up_to(&self, along_mm: f64) -> f64 {
        let mut area = self.before_mm2;
        for s in &self.stretches {
            let length = s.to_mm - s.from_mm;
            if length <= 0.0 || along_mm <= s.from_mm {
                continue;
            }
            let run = along_mm.min(s.to_mm) - s.from_mm;
            let width = s.from_width_mm + (s.to_width_mm - s.from_width_mm) * run / length;
            area += run * f64::midpoint(s.from_width_mm, width);
        }
        area
    }

    /// All the ceiling the bar carries \[mm²\].
    pub(crate) fn whole(&self) -> f64 {
        // A stretch may run on past the bar's end by the little that slices are merged by.
        self.up_to(f64::INFINITY) + self.after_mm2
    }
}

/// The share of every bar.
pub(crate) fn shares(room: &Room, rules: &BarRules, bars: &[FrameBar]) -> Vec<Share> {
    let mut shares = vec![Share::default(); bars.len()];
    let holds = bars::holds(room, bars, rules.reach_mm());
    let mut edges = bars::slice_edges(room, bars, &holds);
    for (i, (a, held_a)) in bars.iter().zip(&holds).enumerate() {
        for (b, held_b) in bars.iter().zip(&holds).skip(i + 1) {
            // Two bars drawn on past their ends may cross; beyond it they are neighbours the other way round.
            if let Some((t, _)) = ring::crossing(a.from, a.to, b.from, b.to) {
                let u = a.from.x_mm + t * (a.to.x_mm - a.from.x_mm);
                if held_a.from_u.max(held_b.from_u) < u && u < held_a.to_u.min(held_b.to_u) {
                    edges.push(u);
                }
            }
        }
    }
    edges.extend(leavings(room, bars, &holds));
    edges.sort_by(f64::total_cmp);
    for pair in edges.windows(2) {
        let [a, b] = *pair else { continue };
        // Widths are linear within the slice: taken as far inside both its ends, they give its area all the same.
        let inside = bars::INSIDE_MM.min((b - a) / 4.0);
        let (ua, ub, um) = (a + inside, b - inside, f64::midpoint(a, b));
        let cm = ring::chords(&room.outline, Axis::U, um);
        // At a corner of the outline a chord may split or vanish. The sides are straight within the slice, so its middle
        // chord gives the same area.
        let beside = |u: f64| {
            let chords = ring::chords(&room.outline, Axis::U, u);
            if chords.len() == cm.len() { chords } else { cm.clone() }
        };
        let (ca, cb) = (beside(ua), beside(ub));
        for ((chord_a, chord_b), chord_m) in ca.iter().zip(&cb).zip(&cm) {
            let found = bars::crossings(bars, &holds, um, *chord_m);
            if found.is_empty() {
                // Which end is nearest may change within the slice.
                let parts = ((b - a) / BARE_STEP_MM).ceil().max(1.0);
                for k in 0..(parts as u32) {
                    let t = (f64::from(k) + 0.5) / parts;
                    let between = |from: f64, to: f64| from + (to - from) * t;
                    let (low, high) = (between(chord_a.0, chord_b.0), between(chord_a.1, chord_b.1));
                    let area = (b - a) / parts * (high - low);
                    give_to_nearest_end(bars, &mut shares, between(a, b), f64::midpoint(low, high), area);
                }
                continue;
            }
            let at = |index: usize, u: f64| bars[index].v_at(u);
            for (order, &(index, _)) in found.iter().enumerate() {
                let below = order.checked_sub(1).and_then(|o| found.get(o));
                let above = found.get(order + 1);
                let low = |u: f64, chord: &(f64, f64)| {
                    below.map_or(chord.0, |b| f64::midpoint(at(b.0, u), at(index, u)))
                };
                let high = |u: f64, chord: &(f64, f64)| {
                    above.map_or(chord.1, |b| f64::midpoint(at(b.0, u), at(index, u)))
                };
                let wa = (high(a, chord_a) - low(a, chord_a)).max(0.0);
                let wb = (high(b, chord_b) - low(b, chord_b)).max(0.0);
                let bar = &bars[index];
                let share = &mut shares[index];
                if b <= bar.from.x_mm + 1e-6 {
                    share.before_mm2 += (b - a) * f64::midpoint(wa, wb);
                } else if a >= bar.to.x_mm - 1e-6 {
                    share.after_mm2 += (b - a) * f64::midpoint(wa, wb);
                } else {
                    let cos = bar.dir().x_mm;
                    share.stretches.push(Stretch {
                        from_mm: (a - bar.from.x_mm) / cos,
                        to_mm: (b - bar.from.x_mm) / cos,
                        from_width_mm: wa * cos,
                        to_width_mm: wb * cos,
                    });
                }
            }
        }
    }
    shares
}

/// The `u` where a bar passes under the edge of the boards.
///
/// Where the gap to the wall is wide, a bar may run on past the boards: there it carries nothing, its neighbours all.
fn leavings(room: &Room, bars: &[FrameBar], holds: &[bars::Holds]) -> Vec<f64> {
    let mut at = Vec::new();
    for (bar, held) in bars.iter().zip(holds) {
        for (p, q) in ring::sides(&room.outline) {
            if let Some((t, s)) = ring::crossing(bar.from, bar.to, p, q) {
                let u = bar.from.x_mm + t * (bar.to.x_mm - bar.from.x_mm);
                if (0.0..=1.0).contains(&s) && held.from_u < u && u < held.to_u {
                    at.push(u);
                }
            }
        }
    }
    at
}

fn give_to_nearest_end(bars: &[FrameBar], shares: &mut [Share], u: f64, v: f64, area: f64) {
    let here = crate::Point::new(u, v);
    let nearest = bars
        .iter()
        .enumerate()
        .flat_map(|(i, b)| [(ring::distance(here, b.from), i, true), (ring::distance(here, b.to), i, false)])
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    if let Some((_, index, start)) = nearest {
        let share = &mut shares[index];
        if start {
            share.before_mm2 += area;
        } else {
            share.after_mm2 += area;
        }
    }
}
