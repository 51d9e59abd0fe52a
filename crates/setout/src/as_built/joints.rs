//! End joints round the bars and boards that are fixed: each strip's by dynamic programming, changing as few as it can.

use super::mended_bars::{Now, too_near};
use super::mended_strips::{SAME_MM, Strip, parts};
use crate::bars::{self, BarRules, FrameBar};
use crate::draft::Site;
use crate::layout::BarReason;
use crate::ring::{self, Axis};
use crate::strips::Part;
use crate::under_joints::{joint_is_held, lies_under};
use crate::{BoardLayer, Rules};

/// Price of a joint that is not in the plan, of one that leaves the plan, of one that only shifts, and of each millimetre a joint moves.
const NEW_JOINT: f64 = 1.0;
const LOST_JOINT: f64 = 0.5;
const SHIFTED_JOINT: f64 = 0.1;
const PER_MM: f64 = 1e-4;
/// A joint that moves no farther than this only shifts: its pieces are cut a little longer or shorter \[mm\].
const SHIFTED_MM: f64 = 20.0;
/// Price of a joint on a line that has no bar yet: a bar and all its clips against a few cuts; or only new marks, where a bar not fixed
/// yet stands so near that it can be shifted under it.
const NEW_BAR: f64 = 3.0;
const MOVED_BAR: f64 = 0.3;
const NEAR_BAR_MM: f64 = 60.0;
/// A bearing may fall this much short, which no tape can tell \[mm\]; the check allows a little more.
const PLAY_MM: f64 = 0.04;

/// So much less than asked for joints may keep apart beside boards that are up \[mm\] (judgement, no source); the check allows a little more.
const LESS_APART_MM: f64 = 9.9;

/// What gives way first in a mend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Joints shift a little; bars not fixed yet stay where they are as far as joints can lie on them.
    JointsShift,
    /// Bars not fixed yet follow the joints that shift.
    BarsFollow,
    /// As few joints as can be leave their places, whatever bars that takes.
    FewJoints,
}

impl Way {
    /// In the order they are tried in.
    pub(super) const ALL: [Self; 3] = [Self::JointsShift, Self::BarsFollow, Self::FewJoints];

    /// Price of a joint that moves by so much.
    fn joint(self, off_mm: f64) -> f64 {
        if off_mm <= self.shifts_mm() { SHIFTED_JOINT } else { NEW_JOINT }
    }

    /// How far a joint may move and still be the one of the plan.
    fn shifts_mm(self) -> f64 {
        if self == Self::FewJoints { SAME_MM } else { SHIFTED_MM }
    }

    /// Price of a bar where there is none, by how far from the next that is not fixed.
    fn bar(self, off_mm: f64) -> f64 {
        if self == Self::FewJoints || off_mm < NEAR_BAR_MM { MOVED_BAR } else { NEW_BAR }
    }
}

/// What the joints lie on: bars that are fixed or stand along a wall, and every line on which a bar could still be put.
pub(super) struct Ground<'a> {
    site: &'a Site<'a>,
    /// Bars that stay, those along the walls with them.
    stay: Vec<FrameBar>,
    /// Bars not fixed yet, away from the walls.
    free: Vec<FrameBar>,
    /// Those of them that stand where the plan has them, where joints may lie on them off their middle.
    in_place: Vec<FrameBar>,
    rules: BarRules,
    way: Way,
}

impl<'a> Ground<'a> {
    pub(super) fn new(site: &'a Site<'a>, bars: &[Now], way: Way) -> Self {
        let in_place = way == Way::JointsShift;
        let stays = |n: &&Now| n.fixed || n.bar.wall.is_some();
        let free = || bars.iter().filter(|n| !stays(n));
        let own = |n: &Now| n.bar.clone();
        let bearing_mm = (site.bar_rules.bearing_mm - PLAY_MM).max(0.0);
        Self {
            site,
            rules: BarRules { bearing_mm, ..site.bar_rules },
            way,
            stay: bars.iter().filter(stays).map(own).collect(),
            free: free().map(own).collect(),
            in_place: free().filter(|n| in_place && n.planned.is_some() && !n.moved).map(own).collect(),
        }
    }

    fn rules(&self) -> &Rules {
        &self.site.ceiling.rules
    }

    /// How near two bars may lie beside each other.
    fn clear_mm(&self) -> f64 {
        self.site.bar_rules.face_mm + self.site.bar_rules.end_gap_mm
    }

    /// Whether the joint of a strip at `v` stands all along on bars that stay, or are left in place.
    pub(super) fn bears(&self, strip: &Strip, v: f64) -> bool {
        if self.is_held(strip, v, &self.stay) {
            return true;
        }
        !self.in_place.is_empty() && {
            let under = self.in_place.iter().filter(|bar| lies_under(&self.rules, bar, v));
            let mut all: Vec<FrameBar> = under.cloned().collect();
            !all.is_empty() && {
                all.extend(self.stay.iter().cloned());
                self.is_held(strip, v, &all)
            }
        }
    }

    /// Lines of the bars left in place that the joint of a strip at `v` needs.
    pub(super) fn pinned(&self, strip: &Strip, v: f64) -> Vec<f64> {
        if self.in_place.is_empty() || self.is_held(strip, v, &self.stay) {
            return Vec::new();
        }
        let under = self.in_place.iter().filter(|bar| lies_under(&self.rules, bar, v));
        under.map(|bar| bar.from.y_mm).collect()
    }

    /// Whether a bar not fixed yet can lie under the joint of a strip at `v`.
    pub(super) fn can_have_bar(&self, strip: &Strip, v: f64) -> bool {
        let (room, rules) = (self.site.room, &self.site.bar_rules);
        let mut line = bars::bars_on_line(room, rules, v, BarReason::Joint);
        if line.iter().any(|b| self.stay.iter().any(|o| too_near(b, o, rules))) {
            return false;
        }
        line.extend(self.stay.iter().cloned());
        self.is_held(strip, v, &line)
    }

    fn is_held(&self, strip: &Strip, v: f64, on: &[FrameBar]) -> bool {
        let chords = strip.rings.iter().flat_map(|r| ring::chords(r, Axis::V, v));
        chords.into_iter().all(|(a, b)| joint_is_held(self.site.room, &self.rules, on, v, a, b))
    }

    fn holds(&self, strip: &Strip, v: f64) -> bool {
        self.bears(strip, v) || self.can_have_bar(strip, v)
    }

    /// Places where a joint of the group might go: on bars, one board on from those, and where the plan has them.
    fn places(&self, group: &[&Strip], all: &[Strip], board_mm: f64) -> Vec<f64> {
        let slack = self.rules.face_mm / 2.0 - self.rules.bearing_mm;
        let planned: Vec<f64> = group.iter().flat_map(|s| s.planned.iter().copied()).collect();
        let mut found: Vec<f64> = Vec::new();
        let mut shifts: Vec<f64> = Vec::new();
        let (low_u, high_u) = group
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s.low_u), h.max(s.high_u)));
        for bar in &self.stay {
            let (a, b) = (low_u.max(bar.from.x_mm), high_u.min(bar.to.x_mm));
            if b <= a {
                continue;
            }
            let (p, q) = (bar.v_at(a), bar.v_at(b));
            let (low, high) = (p.max(q) - slack, p.min(q) + slack);
            if low > high {
                continue;
            }
            found.push(f64::midpoint(low, high));
            let far = |v: &f64| (v - v.clamp(low, high)).abs();
            if let Some(wanted) = planned.iter().min_by(|x, y| far(x).total_cmp(&far(y)))
                && far(wanted) < 3.0 * self.site.bar_rules.face_mm
            {
                // A little inside the slack, so that pencil and saw have some of it; or as little as does, where others have no more.
                let inside = if high - low > 4.1 { 1.0 } else { 0.0 };
                for place in [wanted.clamp(low + inside, high - inside), wanted.clamp(low, high)] {
                    found.push(place);
                    shifts.push(place - wanted);
                }
                shifts.push(low.min(p.min(q)) - self.clear_mm() - wanted);
                shifts.push(p.max(q) + self.clear_mm() - wanted);
            }
        }
        shifts.extend(group.iter().flat_map(|s| {
            s.held.iter().map(|h| {
                let off = |p: &f64| h - p;
                planned.iter().map(off).min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0)
            })
        }));
        for shift in shifts {
            found.extend(planned.iter().map(|p| p + shift));
        }
        let mut chained: Vec<f64> = Vec::new();
        for &from in found.iter().chain(group.iter().flat_map(|s| &s.held)) {
            chained.extend([from - board_mm, from + board_mm]);
        }
        found.extend(chained);
        found.extend(planned);
        found.extend(self.free.iter().map(|b| b.from.y_mm));
        for other in all {
            let least = group.iter().filter_map(|s| least_apart(self.rules(), s, other)).fold(0.0, f64::max);
            for &w in &other.joints {
                found.push(w);
                if least > 0.0 {
                    // Just far enough from it, with a millimetre for the pencil.
                    found.extend([w - least - 1.0, w + least + 1.0]);
                }
            }
        }
        found
    }
}

/// Least distance this joint keeps from those of other strips; none where it is free of them. Beside boards that are up it may be a little
/// less.
fn least_apart(rules: &Rules, a: &Strip, b: &Strip) -> Option<f64> {
    let overlap = a.high_u.min(b.high_u) - a.low_u.max(b.low_u);
    let least = if a.layer == b.layer {
        (a.index.abs_diff(b.index) == 1).then_some(rules.stagger_rows_mm)
    } else {
        (a.layer.abs_diff(b.layer) == 1 && overlap > SAME_MM).then_some(rules.stagger_layers_mm)
    };
    let less = if a.has_boards_up() || b.has_boards_up() { LESS_APART_MM } else { 0.0 };
    least.map(|least| (least - less).max(1.0))
}

/// Whether every joint of the strip is held and keeps its distance from the others', and its boards come out of their sheets.
pub(super) fn is_sound(ground: &Ground, strip: &Strip, all: &[Strip]) -> bool {
    let longest = ground.site.ceiling.layers.get(strip.layer).map_or(f64::INFINITY, |b| b.length_mm);
    // Between boards that are up a board may have got too long.
    let too_long =
        |p: &Part| p.length_mm() > longest + SAME_MM && !strip.hangs_between(p.low.y_mm, p.high.y_mm);
    if strip.has_boards_up() && parts(strip).iter().any(too_long) {
        return false;
    }
    strip.joints.iter().all(|&v| ground.holds(strip, v) && !clashes(ground, strip, v, all, &|_| true))
}

/// A joint at `v` comes too near one of another strip, or their bars would lie in each other.
fn clashes(ground: &Ground, strip: &Strip, v: f64, all: &[Strip], with: &dyn Fn(&Strip) -> bool) -> bool {
    let bars_apart = ground.clear_mm() - 0.5;
    let mut own_bar: Option<bool> = None;
    all.iter().filter(|o| (o.layer, o.index) != (strip.layer, strip.index) && with(o)).any(|o| {
        let least = least_apart(ground.rules(), strip, o);
        o.joints.iter().any(|w| {
            let apart = (w - v).abs();
            if least.is_some_and(|least| apart < least - 1e-6) {
                return true;
            }
            if apart <= 0.5 || apart >= bars_apart {
                return false;
            }
            let own = *own_bar.get_or_insert_with(|| ground.bears(strip, v));
            !own && !ground.bears(o, *w)
        })
    })
}

/// New end joints for strips that are laid alike: nearest to the plan, every board no longer than a sheet and no shorter
/// than the limit, every joint on a bar or where one can be put, and apart from those of the strips in `against`. None
/// where there is no way.
pub(super) fn lay(
    ground: &Ground,
    board: &BoardLayer,
    group: &[&Strip],
    all: &[Strip],
    against: &dyn Fn(&Strip) -> bool,
) -> Option<Vec<f64>> {
    let rules = ground.rules();
    let (low, high) =
        group.iter().flat_map(|s| &s.rings).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), r| {
            let (a, b) = ring::extent(r);
            (l.min(a.y_mm), h.max(b.y_mm))
        });
    let held: Vec<f64> = group.iter().flat_map(|s| s.held.iter().copied()).collect();
    let planned: Vec<f64> = group.first().map_or_else(Vec::new, |s| s.planned.clone());
    let is_held = |v: f64| held.iter().any(|h| (h - v).abs() < SAME_MM);
    let inside_up =
        |v: f64| group.iter().any(|s| s.up.iter().any(|(a, b)| a + SAME_MM < v && v < b - SAME_MM));
    let mut places = ground.places(group, all, board.length_mm);
    places.retain(|&v| low + 1.0 < v && v < high - 1.0 && !inside_up(v) && !is_held(v));
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let others = |s: &Strip| against(s) && !group.iter().any(|g| (g.layer, g.index) == (s.layer, s.index));
    places.retain(|&v| group.iter().all(|s| ground.holds(s, v) && !clashes(ground, s, v, all, &others)));
    places.extend(held.iter().copied());
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let bar_price = |v: f64| {
        let nearest = ground.free.iter().map(|b| (b.from.y_mm - v).abs()).fold(f64::INFINITY, f64::min);
        let has_bar = nearest < 0.5 || group.first().is_some_and(|s| ground.bears(s, v));
        if has_bar { 0.0 } else { ground.way.bar(nearest) }
    };
    let price = |v: f64| {
        let nearest = planned.iter().map(|p| (p - v).abs()).fold(f64::INFINITY, f64::min);
        if nearest < SAME_MM || is_held(v) {
            0.0
        } else {
            ground.way.joint(nearest) + nearest.min(600.0) * PER_MM + bar_price(v)
        }
    };
    let shifts_mm = ground.way.shifts_mm();
    // Ends of boards: the low end of the strips, every place, the high end.
    let n = places.len();
    let prices: Vec<f64> = places.iter().map(|v| price(*v)).collect();
    let mut best: Vec<Option<(f64, usize)>> = vec![None; n + 2];
    best[0] = Some((0.0, 0));
    let at = |i: usize| {
        if i == 0 {
            low - 1.0
        } else if i == n + 1 {
            high + 1.0
        } else {
            places[i - 1]
        }
    };
    for j in 1..=n + 1 {
        for i in (0..j).rev() {
            let (a, b) = (at(i), at(j));
            if held.iter().any(|h| a + SAME_MM < *h && *h < b - SAME_MM) || b - a > board.length_mm + 2.1 {
                break;
            }
            let Some((cost, _)) = best[i] else { continue };
            let lost = planned.iter().filter(|p| a < **p - shifts_mm && **p + shifts_mm < b).count();
            let new = cost + LOST_JOINT * lost as f64 + prices.get(j - 1).copied().unwrap_or(0.0);
            if best[j].is_some_and(|(c, _)| c <= new + 1e-12) {
                continue;
            }
            if group.iter().all(|s| cut_is_sound(rules, board, s, a, b)) {
                best[j] = Some((new, i));
            }
        }
    }
    best[n + 1]?;
    let mut joints = Vec::new();
    let mut j = n + 1;
    while let Some((_, i)) = best[j] {
        if i == 0 {
            break;
        }
        joints.push(places[i - 1]);
        j = i;
    }
    joints.reverse();
    Some(joints)
}

/// Strips laid alike, by their places in the list: one layer, the same joints, no board up or each for itself.
pub(super) fn groups(strips: &[Strip]) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = Vec::new();
    for (index, strip) in strips.iter().enumerate() {
        let alike = |o: &Strip| {
            o.layer == strip.layer
                && o.up.is_empty()
                && strip.up.is_empty()
                && o.planned.len() == strip.planned.len()
                && o.planned.iter().zip(&strip.planned).all(|(a, b)| (a - b).abs() < SAME_MM)
        };
        match out.iter_mut().find(|g| g.first().is_some_and(|&f| alike(&strips[f]))) {
            Some(group) => group.push(index),
            None => out.push(vec![index]),
        }
    }
    out
}

/// The boards of a strip between two lines come out of a sheet and are no smaller than the limits.
fn cut_is_sound(rules: &Rules, board: &BoardLayer, strip: &Strip, from: f64, to: f64) -> bool {
    strip.hangs_between(from, to)
        || strip.stands_open(from, to)
        || pieces_between(strip, from, to).iter().all(|p| {
            p.length_mm() <= board.length_mm + 1e-6
                && p.width_mm() <= board.width_mm + 1e-6
                && p.length_mm() >= rules.min_piece_mm - 1e-6
                && p.width_mm() >= rules.min_strip_mm - 1e-6
        })
}

/// The boards of a strip between two lines across it.
fn pieces_between(strip: &Strip, from: f64, to: f64) -> Vec<Part> {
    strip
        .rings
        .iter()
        .flat_map(|r| ring::keep_side(r, Axis::V, from, false))
        .flat_map(|r| ring::keep_side(&r, Axis::V, to, true))
        .map(|r| Part::new(strip.index, r))
        .collect()
}
