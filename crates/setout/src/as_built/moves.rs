//! Fixed bars moved a little, where that is the cheapest mend: what it would cost against bars, clips and boards to add.

use rayon::prelude::*;

use super::joints::Way;
use super::mend::{MovedBar, ON_MARK_MM, attempt, off_marks};
use super::readings::wall_mark;
use super::{AsBuilt, Readings, check_as_built, held};
use crate::draft::Site;
use crate::layout::Layout;

/// Bars asked to move back, one after another, at most before the mend is given up as it is.
const MOST_MOVED: usize = 4;
/// Bars of which it is told what moving them would spare; the first spare most, and each takes as long to find as all before it.
const MOST_SPARING: usize = 2;
/// A bar is moved to spare material by no more than this \[mm\]: farther, its clips come off their joists' old holes.
const REACH_MM: f64 = 25.0;
/// What things cost against each other, in clips screwed on: a clip to add, one to loosen and fix again, a bar, a board, a board to take
/// down (common practice, no source).
const CLIP: f64 = 1.0;
const LOOSENED: f64 = 0.5;
const BAR: f64 = 4.0;
const BOARD: f64 = 10.0;
const BOARD_DOWN: f64 = 8.0;

/// What a mend breaks, then what it takes beyond what hangs and what was bought.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Price {
    breaches: usize,
    cost: f64,
}

impl Price {
    fn is_less_than(self, other: Self) -> bool {
        (self.breaches, self.cost + 1e-6) < (other.breaches, other.cost)
    }
}

/// A mend with some of the fixed bars moved.
struct Try {
    readings: Readings,
    /// The bars moved, each by how much.
    moves: Vec<(usize, f64)>,
    layout: Layout,
    price: Price,
}

/// The cheapest mend found.
pub(super) struct Cheapest {
    pub(super) layout: Layout,
    /// Bars that move for it, since no mend keeps the rules without.
    pub(super) move_back: Vec<MovedBar>,
    /// Bars that stay in it, but would spare material if they moved.
    pub(super) could_move: Vec<MovedBar>,
}

/// The cheapest mend found that moves no fixed bar it need not.
pub(super) fn cheapest(site: &Site, plan: &Layout, readings: &Readings, built: &AsBuilt) -> Cheapest {
    let (layout, price) = tried(site, plan, built, (built, &[]));
    let first = (layout.clone(), price);
    let mut best = Try { readings: readings.clone(), moves: Vec::new(), layout, price };
    let mut said: Vec<MovedBar> = Vec::new();
    let mut sparing: Vec<MovedBar> = Vec::new();
    let mut kept: Option<Layout> = None;
    while best.moves.len() < MOST_MOVED && sparing.len() < MOST_SPARING {
        let spent: f64 = best.moves.iter().map(|(bar, _)| loosened(site, built, *bar)).sum();
        if best.price.breaches == 0 && best.price.cost - spent < CLIP {
            break;
        }
        let open: Vec<(usize, f64)> = built
            .fixed_bars
            .iter()
            .filter(|bar| !best.moves.iter().any(|(moved, _)| moved == *bar))
            .map(|&bar| (bar, off_marks(plan, built, bar).abs()))
            .filter(|(_, off)| *off >= ON_MARK_MM)
            .collect();
        let tries: Vec<Try> = open
            .par_iter()
            .filter_map(|&(bar, off)| least_move(site, plan, built, &best, (bar, off)))
            .collect();
        let mut better: Option<Try> = None;
        for one in tries {
            if one.price.is_less_than(better.as_ref().map_or(best.price, |b| b.price)) {
                better = Some(one);
            }
        }
        // No bar alone: some may do it together.
        let better = match better {
            None if best.price.breaches > 0 && open.len() > 1 => {
                moved_together(site, plan, built, (&best, &open))
            }
            other => other,
        };
        let Some(better) = better else { break };
        let needed = better.price.breaches < best.price.breaches;
        if !needed && best.price.breaches > 0 {
            break;
        }
        for &(bar, by_mm) in better.moves.iter().skip(best.moves.len()) {
            let to = moved_to(&better.readings, bar);
            let with: Vec<usize> = sparing.iter().map(|moved| moved.bar).collect();
            let what = (bar, by_mm, needed, to.as_str());
            let told = told(site, plan, built, (what, &with), (&best.layout, &better.layout));
            if needed {
                said.push(told);
            } else {
                // From here on it is only told what would be spared: the layout keeps these bars where they are.
                kept.get_or_insert_with(|| best.layout.clone());
                sparing.push(told);
            }
        }
        best = better;
    }
    // Moves that all come to nothing are not asked for.
    if best.price.breaches > 0 && best.price.breaches >= first.1.breaches {
        return Cheapest { layout: first.0, move_back: Vec::new(), could_move: Vec::new() };
    }
    said.sort_by_key(|moved| moved.bar);
    sparing.sort_by_key(|moved| moved.bar);
    Cheapest { layout: kept.unwrap_or(best.layout), move_back: said, could_move: sparing }
}

/// The cheapest of the ways to mend round what is fixed, the first that adds nothing; priced against what `against` was built, with the
/// bars it moves.
fn tried(
    site: &Site,
    plan: &Layout,
    round: &AsBuilt,
    (against, moves): (&AsBuilt, &[(usize, f64)]),
) -> (Layout, Price) {
    let spent: f64 = moves.iter().map(|(bar, _)| loosened(site, against, *bar)).sum();
    let by = |way: Way| {
        let layout = attempt(site, plan, round, way);
        let price = priced(site, plan, against, &layout, moves);
        (layout, price)
    };
    let [first, others @ ..] = Way::ALL;
    let mut best = by(first);
    for way in others {
        if best.1.breaches == 0 && best.1.cost - spent < CLIP {
            break;
        }
        let other = by(way);
        if other.1.is_less_than(best.1) {
            best = other;
        }
    }
    best
}

/// The mend with one more bar moved back, by as few whole millimetres as give the same price as the whole way.
fn least_move(
    site: &Site,
    plan: &Layout,
    built: &AsBuilt,
    from: &Try,
    (bar, off_mm): (usize, f64),
) -> Option<Try> {
    let moved = |by_mm: f64| {
        let readings = with_moved(plan, &from.readings, bar, by_mm / off_mm);
        let mut moves = from.moves.clone();
        moves.push((bar, by_mm));
        let round = check_as_built(site.ceiling, plan, &readings);
        let (layout, price) = tried(site, plan, &round, (built, &moves));
        Try { readings, moves, layout, price }
    };
    // Farther than its reach only where that mends a breach.
    let mut reach = if from.price.breaches > 0 { off_mm } else { off_mm.min(REACH_MM) };
    let mut best = moved(reach);
    if best.price.breaches >= from.price.breaches && reach > REACH_MM {
        reach = REACH_MM;
        best = moved(reach);
    }
    if !best.price.is_less_than(from.price) {
        return None;
    }
    let (mut short, mut enough) = (0.0, reach.ceil());
    while enough - short > 1.5 {
        let middle = f64::midpoint(short, enough).floor();
        let tried = moved(middle);
        if best.price.is_less_than(tried.price) {
            short = middle;
        } else {
            enough = middle;
            best = tried;
        }
    }
    Some(best)
}

/// The mend with several bars moved back where no single one mends anything: all that are off their marks go back, then each stays that need
/// not, the farthest off tried last, and the others go by as few whole millimetres as do.
fn moved_together(
    site: &Site,
    plan: &Layout,
    built: &AsBuilt,
    (from, open): (&Try, &[(usize, f64)]),
) -> Option<Try> {
    let moved = |bars: &[(usize, f64, f64)]| {
        let mut readings = from.readings.clone();
        let mut moves = from.moves.clone();
        for &(bar, off_mm, by_mm) in bars {
            readings = with_moved(plan, &readings, bar, by_mm / off_mm);
            moves.push((bar, by_mm));
        }
        let round = check_as_built(site.ceiling, plan, &readings);
        let (layout, price) = tried(site, plan, &round, (built, &moves));
        Try { readings, moves, layout, price }
    };
    let mut bars: Vec<(usize, f64, f64)> = open.iter().map(|&(bar, off)| (bar, off, off)).collect();
    bars.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let mut best = moved(&bars);
    if best.price.breaches >= from.price.breaches {
        return None;
    }
    let mut at = 0;
    while at < bars.len() && bars.len() > 1 {
        let mut fewer = bars.clone();
        fewer.remove(at);
        let tried = moved(&fewer);
        if tried.price.breaches <= best.price.breaches {
            (bars, best) = (fewer, tried);
        } else {
            at += 1;
        }
    }
    for at in 0..bars.len() {
        let Some(&(_, off_mm, _)) = bars.get(at) else { break };
        let (mut short, mut enough) = (0.0, off_mm.ceil());
        while enough - short > 1.5 {
            let middle = f64::midpoint(short, enough).floor();
            let mut less = bars.clone();
            if let Some(bar) = less.get_mut(at) {
                bar.2 = middle;
            }
            let tried = moved(&less);
            if best.price.is_less_than(tried.price) {
                short = middle;
            } else {
                (enough, bars, best) = (middle, less, tried);
            }
        }
    }
    Some(best)
}

/// The readings with one bar a share of the way back at its marks, each to a whole millimetre on their side: as it is told.
fn with_moved(plan: &Layout, readings: &Readings, bar: usize, share: f64) -> Readings {
    let mut moved = readings.clone();
    for reading in moved.bars.iter_mut().filter(|reading| reading.bar == bar) {
        if let Ok((_, mark_mm)) = wall_mark(plan, reading) {
            let to = reading.at_mm + share * (mark_mm - reading.at_mm);
            reading.at_mm =
                if mark_mm < reading.at_mm { to.floor().max(mark_mm) } else { to.ceil().min(mark_mm) };
        }
    }
    moved
}

fn priced(site: &Site, plan: &Layout, built: &AsBuilt, layout: &Layout, moves: &[(usize, f64)]) -> Price {
    let more = |now: usize, was: usize| now.saturating_sub(was) as f64;
    let moved: f64 = moves.iter().map(|(bar, _)| loosened(site, built, *bar)).sum();
    Price {
        breaches: layout.breaches.len(),
        cost: BOARD * more(layout.worth.boards, plan.worth.boards)
            + BAR * more(layout.bars.len(), built.layout.bars.len())
            + CLIP * more(layout.clips.len(), built.layout.clips.len())
            + moved,
    }
}

/// What it costs to move a bar that hangs: every clip of it loosened, every board over it taken down.
fn loosened(site: &Site, built: &AsBuilt, bar: usize) -> f64 {
    let clips = built.layout.clips.iter().filter(|clip| clip.bar + 1 == bar).count() as f64;
    LOOSENED * clips + BOARD_DOWN * boards_over(site, built, bar).len() as f64
}

fn boards_over<'a>(site: &Site, built: &'a AsBuilt, bar: usize) -> Vec<&'a str> {
    held::boards_over(&built.layout, &built.boards_up, bar, site.ceiling.bar.face_width_mm)
}

fn told(
    site: &Site,
    plan: &Layout,
    built: &AsBuilt,
    ((bar, by_mm, needed, to), with): ((usize, f64, bool, &str), &[usize]),
    (before, after): (&Layout, &Layout),
) -> MovedBar {
    let off_mm = off_marks(plan, built, bar);
    let whole_way = by_mm > off_mm.abs() - ON_MARK_MM;
    let over = boards_over(site, built, bar);
    let down = match over.as_slice() {
        [] => String::new(),
        [one] => format!("take board {one} down, then "),
        [some @ .., last] => format!("take boards {} and {last} down, then ", some.join(", ")),
    };
    let off_words = format!("bar {bar} stands {:.0} mm off its marks", off_mm.abs());
    let sentence = if needed {
        let back = if whole_way { "move it back".to_owned() } else { format!("move it back to {to}") };
        format!("{off_words}, and no way of going on round it that keeps the rules was found: {down}{back}")
    } else {
        let back = if whole_way { "moved back".to_owned() } else { format!("moved back to {to}") };
        let over = if over.is_empty() { String::new() } else { format!(" ({down}then up again)") };
        // It was tried with those that spare more back already.
        let once = match with {
            [] => String::new(),
            [one] => format!(", once bar {one} is back too"),
            several => {
                let names: Vec<String> = several.iter().map(usize::to_string).collect();
                format!(", once bars {} are back too", names.join(" and "))
            }
        };
        format!("{off_words} and can stay there; {back}{over} it would spare {}{once}", spared(before, after))
    };
    let back = if whole_way {
        format!("move bar {bar} back to its marks, {:.0} mm", off_mm.abs())
    } else {
        format!("move bar {bar} {by_mm:.0} mm back towards its marks, to {to}")
    };
    let by_mm = if whole_way { off_mm.abs() } else { by_mm };
    MovedBar { bar, off_mm, by_mm, needed, sentence, to_do: format!("{down}{back}") }
}

/// Where a bar's ends come to stand, each as it was read: an end may move by less than the other.
fn moved_to(readings: &Readings, bar: usize) -> String {
    let ends: Vec<String> = readings
        .bars
        .iter()
        .filter(|reading| reading.bar == bar)
        .map(|reading| format!("{:.0} mm at wall {}", reading.at_mm, reading.wall))
        .collect();
    ends.join(" and ")
}

/// What a layout has more than another, in words.
fn spared(before: &Layout, after: &Layout) -> String {
    let counts = [
        (before.bars.len(), after.bars.len(), "bar", "bars"),
        (before.clips.len(), after.clips.len(), "clip", "clips"),
        (before.worth.boards, after.worth.boards, "board", "boards"),
    ];
    let mut words: Vec<String> = counts
        .iter()
        .filter(|(was, now, _, _)| was > now)
        .map(|(was, now, one, many)| match was - now {
            1 => format!("1 {one}"),
            n => format!("{n} {many}"),
        })
        .collect();
    match words.pop() {
        None => "work".to_owned(),
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} and {last}", words.join(", ")),
    }
}
