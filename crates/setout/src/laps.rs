//! Lengths and laps of bars longer than the stock.

use crate::bars::FrameBar;
use crate::ring;
use crate::{Point, Rules};

/// Steps in which a lap is moved when both ends of its range clash with the neighbour's \[mm\].
const LAP_STEP_MM: f64 = 50.0;

/// The lengths of one bar: from and to, along the bar.
pub(crate) type Lengths = Vec<(f64, f64)>;

/// Cuts every bar into lengths of stock. Laps lie turn and turn about towards either end, so that neighbours are never
/// lapped in line. None when no place is left for a lap.
pub(crate) fn lap_bars(bars: &[FrameBar], stock_mm: f64, rules: &Rules) -> Option<Vec<Lengths>> {
    lap_bars_round(bars, &[], stock_mm, rules)
}

/// As [`lap_bars`]; bars already lapped keep the lengths given for them.
pub(crate) fn lap_bars_round(
    bars: &[FrameBar],
    kept: &[Option<Lengths>],
    stock_mm: f64,
    rules: &Rules,
) -> Option<Vec<Lengths>> {
    let mut done: Vec<Lengths> = Vec::with_capacity(bars.len());
    // Middles of the laps so far, with their bars: of the bars that have lengths already, and of each that gets them.
    let mut lapped: Vec<(usize, (f64, f64))> = Vec::new();
    let mut turn = false;
    for (index, bar) in bars.iter().enumerate() {
        let length = bar.length_mm();
        let lengths = if let Some(Some(own)) = kept.get(index) {
            own.clone()
        } else if length <= stock_mm {
            vec![(0.0, length)]
        } else {
            let in_line = |q: (f64, f64)| {
                lapped.iter().any(|&(other, p)| {
                    (p.0 - q.0).abs() < rules.lap_stagger_mm
                        && (p.1 - q.1).abs() <= rules.bar_gap_mm + 1.0
                        && !bar_between(bars, [index, other], p, q)
                })
            };
            let fits = |lengths: &Lengths| !lap_middles(bar, lengths).any(in_line);
            let lengths = ways(length, stock_mm, rules.min_lap_mm, turn).find(fits)?;
            turn = !turn;
            lengths
        };
        lapped.extend(lap_middles(bar, &lengths).map(|middle| (index, middle)));
        done.push(lengths);
    }
    Some(done)
}

/// Length of bar between its first end and `along_mm`, laps counted twice \[mm\].
pub(crate) fn run_up_to(lengths: &Lengths, along_mm: f64) -> f64 {
    lengths.iter().map(|l| (along_mm.min(l.1) - l.0).max(0.0)).sum()
}

/// Some third bar runs between two places, so that their bars are no neighbours there.
fn bar_between(bars: &[FrameBar], own: [usize; 2], p: (f64, f64), q: (f64, f64)) -> bool {
    let (p, q) = (Point::new(p.0, p.1), Point::new(q.0, q.1));
    bars.iter().enumerate().filter(|(i, _)| !own.contains(i)).any(|(_, bar)| {
        ring::crossing(p, q, bar.from, bar.to)
            .is_some_and(|(t, s)| (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s))
    })
}

fn lap_middles(bar: &FrameBar, lengths: &Lengths) -> impl Iterator<Item = (f64, f64)> {
    lengths
        .windows(2)
        .filter_map(|pair| if let [a, b] = pair { Some(bar.at(f64::midpoint(b.0, a.1))) } else { None })
        .map(|p| (p.x_mm, p.y_mm))
}

/// Ways to make up a length with the fewest stock bars: whole stock from one end, from the other, then shifted.
fn ways(length: f64, stock: f64, lap: f64, from_far_end: bool) -> impl Iterator<Item = Lengths> {
    let gain = stock - lap;
    let count = ((length - lap) / gain).ceil().max(2.0);
    // The first length may be this short when all the others are whole.
    let least = (length - (count - 1.0) * gain).max(2.0 * lap);
    let mut firsts = vec![stock, least];
    if from_far_end {
        firsts.swap(0, 1);
    }
    // Shorter than `least` takes one length more than the fewest; better that than two laps in line.
    let mut others: Vec<f64> = Vec::new();
    let mut at = stock - LAP_STEP_MM;
    while at > 2.0 * lap {
        others.push(at);
        at -= LAP_STEP_MM;
    }
    others.sort_by(|a, b| (*a < least).cmp(&(*b < least)).then(b.total_cmp(a)));
    firsts.extend(others);
    firsts.into_iter().map(move |first| from_first(length, stock, lap, first))
}

fn from_first(length: f64, stock: f64, lap: f64, first: f64) -> Lengths {
    let mut out = vec![(0.0, first.min(length))];
    let mut end = first;
    while end < length - 1e-9 {
        let start = end - lap;
        let finish = (start + stock).min(length);
        // A last length shorter than two laps is lengthened backwards, which only makes its lap longer.
        let start = start.min(length - 2.0 * lap).max(0.0);
        out.push((start, finish));
        end = finish;
        if out.len() > 200 {
            break;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lap_weighs_twice_where_it_lies() {
        let lengths = vec![(0.0, 3600.0), (3450.0, 5230.0)];
        assert!((run_up_to(&lengths, 3400.0) - 3400.0).abs() < 1e-9);
        assert!((run_up_to(&lengths, 3500.0) - 3550.0).abs() < 1e-9);
        assert!((run_up_to(&lengths, 5230.0) - 5380.0).abs() < 1e-9);
    }

    #[test]
    fn a_long_bar_is_made_up_with_the_least_lap() {
        let ways: Vec<Lengths> = ways(5230.0, 3600.0, 150.0, false).collect();
        assert_eq!(ways[0], vec![(0.0, 3600.0), (3450.0, 5230.0)]);
        assert_eq!(ways[1], vec![(0.0, 1780.0), (1630.0, 5230.0)]);
        for way in &ways {
            assert!(way.windows(2).all(|p| p[0].1 - p[1].0 >= 150.0 - 1e-9), "{way:?}");
            assert!(way.iter().all(|l| l.1 - l.0 <= 3600.0 + 1e-9), "{way:?}");
        }
    }
}
