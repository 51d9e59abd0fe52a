//! A step in the level of noise that was steady when it was played: automatic gain, or something moved.

/// A step from here on is told, dB (judgement): a little under 3 dB, so that 3 dB is.
const LEAST_STEP_DB: f64 = 2.7;
/// The level is steady for so long on either side, s (judgement).
const STEADY_S: f64 = 2.0;
/// Right at the step the levels differ by this part of the whole step; else it is a drift (judgement).
const AT_ONCE: f64 = 0.7;
/// Time a weighting F needs to follow, s.
const FOLLOWS_S: f64 = 0.5;

/// A lasting step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Step {
    /// When, s from the first level.
    pub(crate) at_s: f64,
    /// By how much, dB.
    pub(crate) by_db: f64,
}

/// The largest lasting step in levels, dB, of steady noise: every two seconds before it lie on one side of its middle, and every two
/// seconds after it on the other.
pub(crate) fn lasting_step(levels_db: &[f64], step_s: f64) -> Option<Step> {
    let edge = (STEADY_S / step_s).ceil() as usize;
    if step_s <= 0.0 || edge == 0 || levels_db.len() / 4 < edge {
        return None;
    }
    let count = levels_db.len() as f64;
    let whole: f64 = levels_db.iter().sum();
    let mut before = 0.0;
    let mut best: Option<(usize, f64)> = None;
    for (at, level) in levels_db.iter().enumerate() {
        if at >= edge && at + edge <= levels_db.len() {
            let (left, right) = (at as f64, count - at as f64);
            let apart = (whole - before) / right - before / left;
            let score = apart * apart * left * right;
            if best.is_none_or(|(_, most)| score > most) {
                best = Some((at, score));
            }
        }
        before += level;
    }
    let (at, _) = best?;
    let (early, late) = levels_db.split_at(at);
    let by_db = mean(late) - mean(early);
    let middle = f64::midpoint(mean(early), mean(late));
    let side = by_db.signum();
    let one_side = |part: &[f64], side: f64| part.windows(edge).all(|two| side * (mean(two) - middle) > 0.0);
    let follows = (FOLLOWS_S / step_s).ceil() as usize;
    let near_before =
        early.get(early.len().saturating_sub(edge + follows)..early.len().saturating_sub(follows))?;
    let near_after = late.get(follows..(follows + edge).min(late.len()))?;
    let at_once = side * (mean(near_after) - mean(near_before)) > AT_ONCE * by_db.abs();
    (by_db.abs() >= LEAST_STEP_DB && at_once && one_side(early, -side) && one_side(late, side))
        .then_some(Step { at_s: at as f64 * step_s, by_db })
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Levels every eighth of a second, ragged as those of pink noise.
    fn levels(of: impl Fn(f64) -> f64) -> Vec<f64> {
        crate::noise::White::new(3)
            .take(400)
            .enumerate()
            .map(|(n, white)| of(n as f64 * 0.125) + 0.5 * white)
            .collect()
    }

    #[test]
    fn a_lasting_step_is_found_with_its_time_and_size() {
        for by_db in [-6.0, -3.0, 3.0, 8.0] {
            let found =
                lasting_step(&levels(|time_s| if time_s < 12.0 { 60.0 } else { 60.0 + by_db }), 0.125);
            let found = found.unwrap();
            assert!((found.at_s - 12.0).abs() < 0.3 && (found.by_db - by_db).abs() < 0.2, "{found:?}");
        }
    }

    #[test]
    fn what_is_no_lasting_step_is_none() {
        assert_eq!(lasting_step(&levels(|_| 60.0), 0.125), None);
        // A bang, a drift, a hole.
        assert_eq!(
            lasting_step(&levels(|time_s| if (20.0..21.0).contains(&time_s) { 80.0 } else { 60.0 }), 0.125),
            None
        );
        assert_eq!(lasting_step(&levels(|time_s| 60.0 + 0.15 * time_s), 0.125), None);
        assert_eq!(
            lasting_step(&levels(|time_s| if (20.0..25.0).contains(&time_s) { 54.0 } else { 60.0 }), 0.125),
            None
        );
        assert_eq!(lasting_step(&[], 0.125), None);
        assert_eq!(lasting_step(&[60.0; 10], 0.0), None);
    }
}
