//! Boards in strips: where the long joints and the end joints of one layer may run, and what each choice costs.

use rayon::prelude::*;

use crate::ring::{self, Axis};
use crate::room::Room;
use crate::sheets::{Bench, Need, SheetSize};
use crate::{BoardLayer, Point, Rules};

/// Lines nearer than this to one already tried are the same line \[mm\].
const SAME_LINE_MM: f64 = 0.5;
/// Corners of the room tried as origins: those nearest to the middle of the room, which a mirrored room has too.
const MOST_CORNERS: usize = 8;
/// Lines this near the edge of the boards make no joint \[mm\].
const NO_JOINT_MM: f64 = 1e-6;

/// An opening that reaches into a piece by less than this only nicks it \[mm\]; counted as a sliver.
const NICK_MM: f64 = 25.0;

/// Squares of areas that differ by less are one, whichever way the room is turned \[mm⁴\].
const STAMP_MM4: f64 = 1e4;

/// A piece of board in the frame.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) strip: usize,
    pub(crate) ring: Vec<Point>,
    pub(crate) low: Point,
    pub(crate) high: Point,
    pub(crate) area_mm2: f64,
}

impl Part {
    pub(crate) fn new(strip: usize, ring: Vec<Point>) -> Self {
        let (low, high) = ring::extent(&ring);
        let area_mm2 = ring::area(&ring);
        Self { strip, ring, low, high, area_mm2 }
    }

    pub(crate) fn width_mm(&self) -> f64 {
        self.high.x_mm - self.low.x_mm
    }

    pub(crate) fn length_mm(&self) -> f64 {
        self.high.y_mm - self.low.y_mm
    }

    /// What an opening leaves of the part beside it: nothing to speak of, or no less than the narrowest strip.
    fn keeps_its_strips(&self, opening: &[Point], rules: &Rules) -> bool {
        self.beside(opening).is_none_or(|(left, _)| {
            left.iter().all(|mm| *mm <= NO_JOINT_MM || *mm >= rules.min_strip_mm - 1e-9)
        })
    }

    /// The opening takes so little off the part that a saw hardly can.
    fn is_nicked(&self, opening: &[Point]) -> bool {
        self.beside(opening).is_some_and(|(_, taken)| taken.iter().any(|mm| *mm < NICK_MM))
    }

    /// What is left of the part at the four sides of an opening in it, nothing or less where the opening runs on past it; and how far the
    /// opening reaches into it along and across. None where it does not.
    fn beside(&self, opening: &[Point]) -> Option<([f64; 4], [f64; 2])> {
        let (low, high) = ring::extent(opening);
        let taken = [
            high.x_mm.min(self.high.x_mm) - low.x_mm.max(self.low.x_mm),
            high.y_mm.min(self.high.y_mm) - low.y_mm.max(self.low.y_mm),
        ];
        let left = [
            low.x_mm - self.low.x_mm,
            self.high.x_mm - high.x_mm,
            low.y_mm - self.low.y_mm,
            self.high.y_mm - high.y_mm,
        ];
        taken.iter().all(|mm| *mm > NO_JOINT_MM).then_some((left, taken))
    }

    pub(crate) fn is_sliver(&self, rules: &Rules) -> bool {
        self.area_mm2 < rules.min_strip_mm * self.length_mm()
            || self.area_mm2 < rules.min_piece_mm * self.width_mm()
    }
}

/// One strip cut at one phase.
#[derive(Clone, Debug)]
struct StripCut {
    parts: Vec<Part>,
    needs: Vec<Need>,
    whole: usize,
    slivers: usize,
    stamp: i64,
}

/// One set of long joints and every way its strips can be cut.
#[derive(Clone, Debug)]
struct Strips {
    lines: Vec<f64>,
    /// By strip, by phase; none where a piece would be under the minimum.
    cuts: Vec<Vec<Option<StripCut>>>,
}

/// How one layer is laid: which long joints, and which phases the strips take, turn and turn about when there are fewer
/// phases than strips.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Choice {
    pub(crate) origin: usize,
    pub(crate) phases: Vec<usize>,
    pub(crate) boards: usize,
    pub(crate) slivers: usize,
    pub(crate) pieces: usize,
    /// Squares of the areas of its pieces, summed: tells choices of equal worth apart by something a mirrored or turned room has too.
    pub(crate) stamp: i64,
}

impl Choice {
    /// Phase of a strip.
    pub(crate) fn phase(&self, strip: usize) -> usize {
        self.phases.get(strip % self.phases.len().max(1)).copied().unwrap_or(0)
    }
}

/// Every way of laying one layer that the search looks at.
#[derive(Clone, Debug)]
pub(crate) struct LayerFamily {
    origins: Vec<Strips>,
    /// End-joint lines by phase, those inside the room only.
    pub(crate) phase_lines: Vec<Vec<f64>>,
    /// Phases neighbouring strips may have.
    pub(crate) apart: Vec<Vec<bool>>,
    /// Choices that keep the limits within the layer, best first.
    pub(crate) choices: Vec<Choice>,
}

impl LayerFamily {
    /// `origin_steps`: the grid of origins, as parts of a board.
    pub(crate) fn new(room: &Room, layer: &BoardLayer, rules: &Rules, origin_steps: u32) -> Self {
        let (low, high) = ring::extent(&room.outline);
        let corners = |axis: Axis| -> Vec<f64> {
            room.outline.iter().map(|p| if axis == Axis::U { p.x_mm } else { p.y_mm }).collect()
        };
        let u_origins = origins(low.x_mm, high.x_mm, layer.width_mm, &corners(Axis::U), origin_steps);
        let v_origins = origins(low.y_mm, high.y_mm, layer.length_mm, &corners(Axis::V), origin_steps);
        let phase_lines: Vec<Vec<f64>> =
            v_origins.iter().map(|&o| lines(o, layer.length_mm, low.y_mm, high.y_mm)).collect();
        let origins: Vec<Strips> = u_origins
            .par_iter()
            .filter_map(|&o| {
                Strips::new(room, layer, rules, lines(o, layer.width_mm, low.x_mm, high.x_mm), &phase_lines)
            })
            .collect();
        let apart = stagger_table(&phase_lines, &phase_lines, rules.stagger_rows_mm);
        let mut family = Self { origins, phase_lines, apart, choices: Vec::new() };
        family.choose(layer, rules);
        family
    }

    /// Long-joint lines of a choice.
    pub(crate) fn long_lines(&self, choice: &Choice) -> &[f64] {
        self.origins.get(choice.origin).map_or(&[], |o| &o.lines)
    }

    pub(crate) fn origin_count(&self) -> usize {
        self.origins.len()
    }

    /// Long-joint lines of an origin.
    pub(crate) fn origin_lines(&self, origin: usize) -> &[f64] {
        self.origins.get(origin).map_or(&[], |o| &o.lines)
    }

    /// The pieces of a choice, strip by strip.
    pub(crate) fn parts(&self, choice: &Choice) -> Vec<Part> {
        let Some(strips) = self.origins.get(choice.origin) else { return Vec::new() };
        strips
            .cuts
            .iter()
            .enumerate()
            .filter_map(|(i, phases)| phases.get(choice.phase(i))?.as_ref())
            .flat_map(|cut| cut.parts.iter().cloned())
            .collect()
    }

    pub(crate) fn strip_count(&self, origin: usize) -> usize {
        self.origins.get(origin).map_or(0, |o| o.cuts.len())
    }

    /// The pieces of every strip at every phase; none where the strip cannot be cut so.
    pub(crate) fn strips(&self, origin: usize) -> Vec<Vec<Option<&[Part]>>> {
        let Some(strips) = self.origins.get(origin) else { return Vec::new() };
        strips
            .cuts
            .iter()
            .map(|s| s.iter().map(|c| c.as_ref().map(|c| c.parts.as_slice())).collect())
            .collect()
    }

    /// Every piece has a long joint at one side, so it takes a bound edge of its sheet.
    pub(crate) fn all_meet_long_joints(&self, origin: usize) -> bool {
        let Some(strips) = self.origins.get(origin) else { return false };
        let on_line = |u: f64| strips.lines.iter().any(|l| (l - u).abs() < NO_JOINT_MM);
        let meets = |part: &Part| {
            ring::sides(&part.ring).any(|(a, b)| (a.x_mm - b.x_mm).abs() < NO_JOINT_MM && on_line(a.x_mm))
        };
        strips.cuts.iter().flatten().flatten().flat_map(|c| &c.parts).all(meets)
    }

    /// A choice as far as it is known before its cut pieces share sheets: `needs` gets those, `boards` counts the whole.
    pub(crate) fn choice(&self, origin: usize, phases: &[usize], needs: &mut Vec<Need>) -> Option<Choice> {
        needs.clear();
        let mut choice =
            Choice { origin, phases: phases.to_vec(), boards: 0, slivers: 0, pieces: 0, stamp: 0 };
        for (i, cuts) in self.origins.get(origin)?.cuts.iter().enumerate() {
            let cut = cuts.get(choice.phase(i))?.as_ref()?;
            needs.extend_from_slice(&cut.needs);
            choice.boards += cut.whole;
            choice.slivers += cut.slivers;
            choice.pieces += cut.parts.len();
            choice.stamp += cut.stamp;
        }
        Some(choice)
    }

    fn choose(&mut self, layer: &BoardLayer, rules: &Rules) {
        let count = self.phase_lines.len();
        let sheet =
            SheetSize { width_mm: layer.width_mm, length_mm: layer.length_mm, kerf_mm: rules.kerf_mm };
        // Each origin for itself, taken together in order: any number of threads gives the same choices.
        let choices: Vec<Choice> = self
            .origins
            .par_iter()
            .enumerate()
            .flat_map_iter(|(origin, strips)| {
                let mut needs: Vec<Need> = Vec::new();
                let mut bench = Bench::default();
                let mut own: Vec<Choice> = Vec::new();
                let usable: Vec<bool> = (0..count)
                    .map(|p| strips.cuts.iter().any(|s| s.get(p).is_some_and(Option::is_some)))
                    .collect();
                for a in (0..count).filter(|&a| usable[a]) {
                    for b in (0..count).filter(|&b| usable[b]) {
                        if self.apart[a][b]
                            && let Some(mut choice) = self.choice(origin, &[a, b], &mut needs)
                        {
                            choice.boards += sheet.count(&needs, &mut bench);
                            own.push(choice);
                        }
                    }
                }
                own
            })
            .collect();
        self.choices = choices;
        self.sort_choices();
    }

    /// Takes in more choices.
    pub(crate) fn add_choices(&mut self, more: Vec<Choice>) {
        self.choices.extend(more);
        self.sort_choices();
    }

    fn sort_choices(&mut self) {
        self.choices.sort_by(|a, b| {
            let key = |c: &Choice| (c.boards, c.slivers, c.pieces, c.stamp, c.origin);
            key(a).cmp(&key(b)).then_with(|| a.phases.cmp(&b.phases))
        });
    }
}

/// Even or odd strips of the layer under, even or odd ones of the layer over, and whether any of them overlap.
pub(crate) type Turns = [(usize, usize, bool); 4];

/// Which strips of two layers overlap, as far as turn and turn about goes.
pub(crate) fn turns_over(under: &[f64], over: &[f64]) -> Turns {
    let mut turns = [(0, 0, false), (0, 1, false), (1, 0, false), (1, 1, false)];
    for i in 0..=under.len() {
        let (low, high) = edges(under, i);
        for j in 0..=over.len() {
            let (from, to) = edges(over, j);
            turns[2 * (i % 2) + j % 2].2 |= high.min(to) - low.max(from) > NO_JOINT_MM;
        }
    }
    turns
}

/// Long joints at either side of a strip; without end past the last.
fn edges(lines: &[f64], strip: usize) -> (f64, f64) {
    let low = strip.checked_sub(1).and_then(|s| lines.get(s)).copied().unwrap_or(f64::NEG_INFINITY);
    (low, lines.get(strip).copied().unwrap_or(f64::INFINITY))
}

/// End joints of two layers keep apart wherever their strips overlap.
pub(crate) fn ends_apart(under: (&[f64], &Choice), over: (&[f64], &Choice), table: &[Vec<bool>]) -> bool {
    (0..=under.0.len()).all(|i| {
        let (low, high) = edges(under.0, i);
        (0..=over.0.len()).all(|j| {
            let (from, to) = edges(over.0, j);
            high.min(to) - low.max(from) <= NO_JOINT_MM || table[under.1.phase(i)][over.1.phase(j)]
        })
    })
}

/// `table[a][b]`: every line of phase `a` keeps the distance from every line of phase `b`.
pub(crate) fn stagger_table(a: &[Vec<f64>], b: &[Vec<f64>], least_mm: f64) -> Vec<Vec<bool>> {
    a.iter().map(|p| b.iter().map(|q| lines_apart(p, q, least_mm)).collect()).collect()
}

/// Every line of one set keeps the distance from every line of the other.
pub(crate) fn lines_apart(a: &[f64], b: &[f64], least_mm: f64) -> bool {
    // Even with no stagger asked for, joints never meet: four corners in one point leak.
    let least = least_mm.max(1.0);
    a.iter().all(|x| b.iter().all(|y| (x - y).abs() >= least - 1e-9))
}

impl Strips {
    fn new(
        room: &Room,
        layer: &BoardLayer,
        rules: &Rules,
        lines: Vec<f64>,
        phase_lines: &[Vec<f64>],
    ) -> Option<Self> {
        let mut cuts = Vec::with_capacity(lines.len() + 1);
        let mut rest = vec![room.outline.clone()];
        for strip in 0..=lines.len() {
            let mut here = Vec::new();
            if let Some(&line) = lines.get(strip) {
                let mut beyond = Vec::new();
                for part in &rest {
                    here.extend(ring::keep_side(part, Axis::U, line, true));
                    beyond.extend(ring::keep_side(part, Axis::U, line, false));
                }
                rest = beyond;
            } else {
                here = std::mem::take(&mut rest);
            }
            let by_phase: Vec<Option<StripCut>> = phase_lines
                .iter()
                .map(|phase| StripCut::new(room, strip, &here, phase, (layer, rules)))
                .collect();
            if by_phase.iter().all(Option::is_none) {
                return None;
            }
            cuts.push(by_phase);
        }
        Some(Self { lines, cuts })
    }
}

impl StripCut {
    fn new(
        room: &Room,
        strip: usize,
        rings: &[Vec<Point>],
        phase: &[f64],
        (layer, rules): (&BoardLayer, &Rules),
    ) -> Option<Self> {
        let mut parts = Vec::new();
        for ring in rings {
            for piece in ring::cut_along(ring, Axis::V, phase) {
                parts.push(Part::new(strip, piece));
            }
        }
        let width = parts.iter().map(Part::width_mm).fold(f64::INFINITY, f64::min);
        let length = parts.iter().map(Part::length_mm).fold(f64::INFINITY, f64::min);
        if width < rules.min_strip_mm - 1e-9 || length < rules.min_piece_mm - 1e-9 {
            return None;
        }
        if parts.iter().any(|part| !room.obstructions.iter().all(|o| part.keeps_its_strips(o, rules))) {
            return None;
        }
        let (mut needs, mut whole, mut slivers) = (Vec::new(), 0, 0);
        for part in &parts {
            if part.is_sliver(rules) || room.obstructions.iter().any(|o| part.is_nicked(o)) {
                slivers += 1;
            }
            if part.width_mm() > layer.width_mm - 1e-6 && part.length_mm() > layer.length_mm - 1e-6 {
                whole += 1;
            } else {
                needs.push(need(part));
            }
        }
        let squared: f64 = parts.iter().map(|part| part.area_mm2 * part.area_mm2).sum();
        Some(Self { parts, needs, whole, slivers, stamp: (squared / STAMP_MM4).round() as i64 })
    }
}

/// What a sheet must give for a piece. Every piece but one wall to wall has a long joint on one side.
pub(crate) fn need(part: &Part) -> Need {
    Need { width_mm: part.width_mm(), length_mm: part.length_mm(), bound_edge: true }
}

/// Lines at whole boards from an origin that fall inside `low..high`.
fn lines(origin: f64, step: f64, low: f64, high: f64) -> Vec<f64> {
    let mut at = origin + ((low - origin) / step).floor() * step;
    let mut out = Vec::new();
    while at < high - NO_JOINT_MM {
        if at > low + NO_JOINT_MM {
            out.push(at);
        }
        at += step;
    }
    out
}

/// Origins worth trying: whole boards from either end, even cuts at both ends, a joint at a corner of the room, and a
/// coarse grid about the middle, so that a mirrored room has the mirrored choices.
fn origins(low: f64, high: f64, step: f64, corners: &[f64], grid: u32) -> Vec<f64> {
    let middle = f64::midpoint(low, high);
    let mut tried: Vec<f64> = Vec::new();
    let mut add = |at: f64| {
        let wrapped = at - ((at - low) / step).floor() * step;
        let near = |o: &f64| {
            let d = (o - wrapped).abs();
            d.min(step - d) < SAME_LINE_MM
        };
        if !tried.iter().any(near) {
            tried.push(wrapped);
        }
    };
    add(low);
    add(high);
    for i in 0..grid {
        add(middle + step * f64::from(i) / f64::from(grid));
    }
    let mut off_middle: Vec<f64> = corners.iter().map(|c| (c - middle).abs()).collect();
    off_middle.sort_by(f64::total_cmp);
    let farthest = off_middle.get(MOST_CORNERS - 1).map_or(f64::INFINITY, |off| off + SAME_LINE_MM);
    for &c in corners.iter().filter(|c| (*c - middle).abs() <= farthest) {
        add(c);
    }
    tried
}
