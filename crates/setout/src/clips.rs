//! Which joists each bar is clipped to: the fewest clips that keep the gap, the bar ends and the load.

use crate::bars::FrameBar;
use crate::carry::Share;
use crate::laps::{Lengths, run_up_to};
use crate::noggins;
use crate::ring;
use crate::room::Room;
use crate::{Ceiling, Point};

/// Least distance of a clip's middle from the end of its bar \[mm\]; half a clip's foot.
pub(crate) const CLIP_END_MM: f64 = 25.0;
/// A joist's surveyed end may fall this short of the wall it bears on \[mm\].
const JOIST_END_MM: f64 = 20.0;
/// No second clip goes nearer than this to one that stays \[mm\].
const BESIDE_MM: f64 = 60.0;
/// More places for a clip on one bar than any ceiling has, to bound the work.
const MOST_SPOTS: usize = 120;

/// A place a clip can go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub(crate) along_mm: f64,
    /// The joist it is on; none for a noggin.
    pub(crate) joist: Option<usize>,
}

/// What is fixed may pass a limit by this much, which is less than can be read \[mm\]; the check allows a little more.
const AS_READ_MM: f64 = 0.4;

/// What one clip may do.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ClipRules {
    pub(crate) gap_mm: f64,
    pub(crate) end_mm: f64,
    pub(crate) rated_kg: Option<f64>,
    /// Boards by area \[kg/mm²\].
    pub(crate) boards_kg_mm2: f64,
    pub(crate) bar_kg_m: f64,
    pub(crate) stagger: bool,
}

impl ClipRules {
    pub(crate) fn new(ceiling: &Ceiling) -> Self {
        Self {
            gap_mm: ceiling.rules.clip_gap_mm,
            end_mm: ceiling.rules.end_clip_mm,
            rated_kg: ceiling.clip.rated_load_kg,
            boards_kg_mm2: ceiling.layers.iter().map(|l| l.mass_kg_m2).sum::<f64>() / 1e6,
            bar_kg_m: ceiling.bar.mass_kg_m,
            stagger: ceiling.rules.stagger_clips,
        }
    }
}

impl ClipRules {
    /// As [`Self::new`], for a bar that is fixed: no tape tells 200.001 mm from a limit of 200.
    pub(crate) fn of_fixed(ceiling: &Ceiling) -> Self {
        let rules = Self::new(ceiling);
        Self { gap_mm: rules.gap_mm + AS_READ_MM, end_mm: rules.end_mm + AS_READ_MM, ..rules }
    }
}

/// The clips of one bar with their loads.
#[derive(Clone, Debug)]
pub(crate) struct BarClips {
    pub(crate) spots: Vec<Spot>,
    pub(crate) areas_mm2: Vec<f64>,
    pub(crate) loads_kg: Vec<f64>,
}

/// Where the joists cross a bar.
pub(crate) fn joist_spots(room: &Room, bar: &FrameBar) -> Vec<Spot> {
    let length = bar.length_mm();
    let mut spots: Vec<Spot> = Vec::new();
    for (index, joist) in room.joists.iter().enumerate() {
        let run = ring::distance(joist.from, joist.to);
        if let Some((t, s)) = ring::crossing(bar.from, bar.to, joist.from, joist.to) {
            let along_mm = t * length;
            let past = (-s).max(s - 1.0) * run;
            if past <= JOIST_END_MM && along_mm >= CLIP_END_MM && along_mm <= length - CLIP_END_MM {
                spots.push(Spot { along_mm, joist: Some(index) });
            }
        }
    }
    spots.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm).then(a.joist.cmp(&b.joist)));
    spots.dedup_by(|a, b| (a.along_mm - b.along_mm).abs() < 1.0);
    spots
}

/// Chooses the clips of a bar: fewest noggins, then fewest clips, then off the joists of the bar before, then evenly.
///
/// None when no choice keeps the load.
pub(crate) fn choose(hung: &Hung, joists: &[Spot], before: &[usize], rules: &ClipRules) -> Option<BarClips> {
    choose_round(hung, joists, (&[], &[]), before, rules)
}

/// As [`choose`], round clips that must stay where they are, no noggin within the stretches that are `taken`.
pub(crate) fn choose_round(
    hung: &Hung,
    joists: &[Spot],
    (stay, taken): (&[Spot], &[(f64, f64)]),
    before: &[usize],
    rules: &ClipRules,
) -> Option<BarClips> {
    let free = |s: &Spot| {
        stay.iter().all(|k| {
            (k.along_mm - s.along_mm).abs() >= BESIDE_MM && (k.joist.is_none() || k.joist != s.joist)
        })
    };
    let mut open: Vec<Spot> = joists.iter().copied().filter(free).chain(stay.iter().copied()).collect();
    open.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm).then(a.joist.cmp(&b.joist)));
    let try_with = |closer: bool| {
        let spots = beside_taken(with_noggins(&open, hung.length_mm, rules, closer), taken, hung.length_mm);
        let stays: Vec<bool> = spots.iter().map(|s| stay.contains(s)).collect();
        Places::new(spots, stays, hung, rules).best(before, &[])
    };
    try_with(false).or_else(|| try_with(true))
}

/// The clips given, with what each carries.
pub(crate) fn as_they_are(hung: &Hung, spots: &[Spot]) -> BarClips {
    let all: Vec<usize> = (0..spots.len()).collect();
    weigh(&all, spots, hung)
}

/// Whether clips keep gap, ends and load.
pub(crate) fn keep_limits(clips: &BarClips, length_mm: f64, rules: &ClipRules) -> bool {
    let (Some(first), Some(last)) = (clips.spots.first(), clips.spots.last()) else { return false };
    clips.spots.len() >= 2
        && first.along_mm <= rules.end_mm + 1e-6
        && length_mm - last.along_mm <= rules.end_mm + 1e-6
        && clips.spots.windows(2).all(|w| w[1].along_mm - w[0].along_mm <= rules.gap_mm + 1e-6)
        && rules.rated_kg.is_none_or(|rated| clips.loads_kg.iter().all(|kg| *kg <= rated))
}

/// What hangs on one bar: its share of the boards and its own lengths, each lap with the mass of both where it lies.
pub(crate) struct Hung<'a> {
    share: &'a Share,
    lengths: &'a Lengths,
    length_mm: f64,
    boards_kg_mm2: f64,
    bar_kg_mm: f64,
}

impl<'a> Hung<'a> {
    pub(crate) fn new(share: &'a Share, bar: &FrameBar, lengths: &'a Lengths, rules: &ClipRules) -> Self {
        Self {
            share,
            lengths,
            length_mm: bar.length_mm(),
            boards_kg_mm2: rules.boards_kg_mm2,
            bar_kg_mm: rules.bar_kg_m / 1e3,
        }
    }

    /// Mass between the bar's first end, what overhangs it included, and `along_mm` \[kg\].
    fn up_to(&self, along_mm: f64) -> f64 {
        self.share.up_to(along_mm) * self.boards_kg_mm2 + run_up_to(self.lengths, along_mm) * self.bar_kg_mm
    }

    fn whole(&self) -> f64 {
        self.share.whole() * self.boards_kg_mm2 + run_up_to(self.lengths, self.length_mm) * self.bar_kg_mm
    }
}

/// Adds noggins where the joists leave a gap over the limit or an end bare; half-way between all when `closer`.
fn with_noggins(joists: &[Spot], length: f64, rules: &ClipRules, closer: bool) -> Vec<Spot> {
    let mut spots = joists.to_vec();
    let noggin = |along_mm: f64| Spot { along_mm, joist: None };
    let at_end = (rules.end_mm * 0.75).min(length / 4.0).max(CLIP_END_MM).round();
    if spots.first().is_none_or(|s| s.along_mm > rules.end_mm) {
        spots.insert(0, noggin(at_end));
    }
    if spots.len() < 2 || spots.last().is_none_or(|s| s.along_mm < length - rules.end_mm) {
        spots.push(noggin(length - at_end));
    }
    spots.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm));
    let mut all: Vec<Spot> = Vec::with_capacity(spots.len() * 2);
    for spot in spots {
        if let Some(last) = all.last().copied() {
            let gap = spot.along_mm - last.along_mm;
            let parts = (gap / rules.gap_mm - 1e-9).ceil().max(if closer && gap > 200.0 { 2.0 } else { 1.0 })
                as usize;
            for k in 1..parts {
                all.push(noggin((last.along_mm + gap * k as f64 / parts as f64).round()));
            }
        }
        all.push(spot);
    }
    all.truncate(MOST_SPOTS);
    all
}

/// Noggins that would come to lie where no clip can be brought beside that, to either side.
fn beside_taken(spots: Vec<Spot>, taken: &[(f64, f64)], length: f64) -> Vec<Spot> {
    if taken.is_empty() {
        return spots;
    }
    let free = |at: f64| taken.iter().all(|(from, to)| at <= *from || at >= *to);
    let mut all: Vec<Spot> = Vec::with_capacity(spots.len());
    for spot in spots {
        if spot.joist.is_some() || free(spot.along_mm) {
            all.push(spot);
            continue;
        }
        let ends = taken.iter().flat_map(|(from, to)| [from.floor(), to.ceil()]);
        let near = |sign: f64| {
            let there = ends.clone().filter(|at| (at - spot.along_mm) * sign > 0.0 && free(*at));
            there.min_by(|a, b| (a - spot.along_mm).abs().total_cmp(&(b - spot.along_mm).abs()))
        };
        let places = [near(-1.0), near(1.0)].into_iter().flatten();
        let inside = places.filter(|at| *at > CLIP_END_MM / 2.0 && *at < length - CLIP_END_MM / 2.0);
        all.extend(inside.map(|along_mm| Spot { along_mm, joist: None }));
    }
    all.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm));
    all.dedup_by(|a, b| (a.along_mm - b.along_mm).abs() < 1.0 && a.joist == b.joist);
    all.truncate(MOST_SPOTS);
    all
}

/// What a noggin costs beside its clip, and a clip, where joists are spared; against each other and against a kilogram over a joist's
/// limit weighed by how dear it is (judgement, no source).
const NOGGIN_WORK: f64 = 3.0;
const CLIP_WORK: f64 = 1.0;

/// Less is better: the work of sparing joists (nothing where none is dear), noggins, clips, clips on a joist of the bar before,
/// unevenness.
#[derive(Clone, Copy)]
struct Cost {
    work: f64,
    noggins: usize,
    clips: usize,
    same: usize,
    uneven: f64,
}

impl Cost {
    fn less(self, b: Self) -> bool {
        let whole = |c: Self| (c.noggins, c.clips, c.same);
        let (mine, theirs) = (whole(self), whole(b));
        self.work < b.work - 1e-9
            || (self.work <= b.work + 1e-9 && (mine < theirs || (mine == theirs && self.uneven < b.uneven)))
    }

    fn and(self, b: Self, gap: f64) -> Self {
        Self {
            work: self.work + b.work,
            noggins: self.noggins + b.noggins,
            clips: self.clips + b.clips,
            same: self.same + b.same,
            uneven: self.uneven + b.uneven + gap * gap,
        }
    }

    fn and_work(self, work: f64) -> Self {
        Self { work: self.work + work, ..self }
    }
}

/// Places for the clips of one bar, with what hangs up to half-way between any two that may be neighbours.
pub(crate) struct Places<'a> {
    hung: &'a Hung<'a>,
    rules: &'a ClipRules,
    spots: Vec<Spot>,
    /// Which of them stay where they are.
    stays: Vec<bool>,
    /// Of each, how many after it lie within the gap.
    after: Vec<usize>,
    /// Most of these and one: pairs are kept in a band so wide.
    width: usize,
    /// Of each pair in the band, what hangs up to its middle \[kg\].
    carried_kg: Vec<f64>,
}

impl<'a> Places<'a> {
    /// Every joist, and noggins where they leave a gap; half-way between all when `closer`.
    pub(crate) fn on(joists: &[Spot], hung: &'a Hung, rules: &'a ClipRules, closer: bool) -> Self {
        let spots = with_noggins(joists, hung.length_mm, rules, closer);
        let stays = vec![false; spots.len()];
        Self::new(spots, stays, hung, rules)
    }

    fn new(spots: Vec<Spot>, stays: Vec<bool>, hung: &'a Hung, rules: &'a ClipRules) -> Self {
        let after = |i: usize| {
            let near = |spot: &&Spot| spot.along_mm - spots[i].along_mm <= rules.gap_mm + 1e-9;
            spots.iter().skip(i + 1).take_while(near).count()
        };
        let after: Vec<usize> = (0..spots.len()).map(after).collect();
        let width = after.iter().copied().max().unwrap_or(0) + 1;
        let mut carried_kg = vec![0.0; spots.len() * width];
        for (i, &after) in after.iter().enumerate() {
            for more in 0..=after {
                let middle = f64::midpoint(spots[i].along_mm, spots[i + more].along_mm);
                carried_kg[i * width + more] = hung.up_to(middle);
            }
        }
        Self { hung, rules, spots, stays, after, width, carried_kg }
    }

    pub(crate) fn spots(&self) -> &[Spot] {
        &self.spots
    }

    /// The cheapest choice, clips on the joists of the bar `before` dearer; `dear` says what a kilogram costs at each place, in clips, or
    /// nothing. None when no choice keeps the load.
    pub(crate) fn best(&self, before: &[usize], dear: &[f64]) -> Option<BarClips> {
        let Self { hung, rules, spots, stays, after, width, carried_kg } = self;
        let n = spots.len();
        if n < 2 {
            return None;
        }
        // None that stays lies between two clips chosen one after the other, before the first or after the last.
        let first_stay = stays.iter().position(|s| *s).unwrap_or(n);
        let last_stay = stays.iter().rposition(|s| *s).unwrap_or(0);
        let skips = |i: usize, j: usize| stays.iter().take(j).skip(i + 1).any(|s| *s);
        let length = hung.length_mm;
        let at = |i: usize, j: usize| i * width + (j - i);
        let neighbours_before =
            |j: usize| (j.saturating_sub(width - 1)..j).filter(move |&i| i + after[i] >= j);
        let total = hung.whole();
        let holds = |kg: f64| rules.rated_kg.is_none_or(|r| kg <= r);
        let price = |s: &Spot| -> Cost {
            let same = rules.stagger && s.joist.is_some_and(|j| before.contains(&j));
            let noggins = usize::from(s.joist.is_none());
            let work = if dear.is_empty() { 0.0 } else { CLIP_WORK + NOGGIN_WORK * noggins as f64 };
            Cost { work, noggins, clips: 1, same: usize::from(same), uneven: 0.0 }
        };
        let prices: Vec<Cost> = spots.iter().map(price).collect();
        let weighs = |at: usize, kg: f64| dear.get(at).map_or(0.0, |each| each * kg);
        // Of two neighbours i and j: the cheapest choice whose last two clips they are, and the clip before them.
        let mut state: Vec<Option<(Cost, usize)>> = vec![None; n * width];
        for i in 0..n {
            if spots[i].along_mm > rules.end_mm + 1e-9 || i > first_stay {
                break;
            }
            for j in i + 1..=i + after[i] {
                if skips(i, j) {
                    break;
                }
                let kg = carried_kg[at(i, j)];
                if holds(kg) {
                    let gap = spots[j].along_mm - spots[i].along_mm;
                    let cost = prices[i].and(prices[j], gap).and_work(weighs(i, kg));
                    state[at(i, j)] = Some((cost, usize::MAX));
                }
            }
        }
        for j in 1..n {
            for i in neighbours_before(j) {
                let Some((cost, _)) = state[at(i, j)] else { continue };
                for k in j + 1..=j + after[j] {
                    if skips(j, k) {
                        break;
                    }
                    let own_kg = carried_kg[at(j, k)] - carried_kg[at(i, j)];
                    if !holds(own_kg) {
                        continue;
                    }
                    let gap = spots[k].along_mm - spots[j].along_mm;
                    let next = cost.and(prices[k], gap).and_work(weighs(j, own_kg));
                    if state[at(j, k)].is_none_or(|(c, _)| next.less(c)) {
                        state[at(j, k)] = Some((next, i));
                    }
                }
            }
        }
        let mut found: Option<(Cost, usize, usize)> = None;
        for j in 1..n {
            if spots[j].along_mm < length - rules.end_mm - 1e-9 || j < last_stay {
                continue;
            }
            for i in neighbours_before(j) {
                if let Some((cost, _)) = state[at(i, j)]
                    && holds(total - carried_kg[at(i, j)])
                {
                    let cost = cost.and_work(weighs(j, total - carried_kg[at(i, j)]));
                    if found.is_none_or(|(c, _, _)| cost.less(c)) {
                        found = Some((cost, i, j));
                    }
                }
            }
        }
        let (_, mut i, mut j) = found?;
        let mut picked = vec![j, i];
        while let Some((_, h)) = state[at(i, j)] {
            if h == usize::MAX {
                break;
            }
            picked.push(h);
            (i, j) = (h, i);
        }
        picked.reverse();
        Some(weigh(&picked, spots, hung))
    }
}

fn weigh(picked: &[usize], spots: &[Spot], hung: &Hung) -> BarClips {
    let chosen: Vec<Spot> = picked.iter().map(|&i| spots[i]).collect();
    // Area and mass up to half-way between each clip and the next.
    let mut edges: Vec<(f64, f64)> = vec![(0.0, 0.0)];
    for pair in chosen.windows(2) {
        if let [a, b] = pair {
            let middle = f64::midpoint(a.along_mm, b.along_mm);
            edges.push((hung.share.up_to(middle), hung.up_to(middle)));
        }
    }
    edges.push((hung.share.whole(), hung.whole()));
    let mut areas_mm2 = Vec::with_capacity(chosen.len());
    let mut loads_kg = Vec::with_capacity(chosen.len());
    for pair in edges.windows(2) {
        if let [a, b] = pair {
            areas_mm2.push(b.0 - a.0);
            loads_kg.push(b.1 - a.1);
        }
    }
    BarClips { spots: chosen, areas_mm2, loads_kg }
}

/// The timber a noggin needs: the joists it is fixed to and its length.
pub(crate) fn noggin_between(room: &Room, ceiling: &Ceiling, at: Point) -> (Vec<usize>, f64) {
    let span = noggins::span(room, ceiling, at);
    (
        span.ends.iter().filter_map(|end| end.joist).collect(),
        (span.ends[1].at_u - span.ends[0].at_u).max(0.0).round(),
    )
}
