//! ISO 3382-2:2008, *Reverberation time in ordinary rooms*: times from a decay curve, and when they hold.
//!
//! Clause numbers and the constants of the standard deviations are from memory.

use quantities::math;

use crate::lundeby_1995::Line;

/// Evaluation range of T20, dB below the beginning (clause 3.4).
pub const T20_RANGE_DB: (f64, f64) = (-5.0, -25.0);
/// Evaluation range of T30, dB below the beginning (clause 3.4).
pub const T30_RANGE_DB: (f64, f64) = (-5.0, -35.0);
/// Evaluation range of the early decay time, dB below the beginning (ISO 3382-1:2009).
pub const EDT_RANGE_DB: (f64, f64) = (0.0, -10.0);
/// How far noise must lie below the lower end of a range, dB (clause 5.3.3).
pub const NOISE_BELOW_DB: f64 = 10.0;
/// Curvature beyond which a decay is far from one straight line, % (Annex B.3).
pub const MOST_CURVATURE_PERCENT: f64 = 10.0;
/// Non-linearity beyond which a decay is far from straight, ‰ (Annex B.2).
pub const MOST_NON_LINEARITY: f64 = 10.0;
/// Least product of bandwidth and reverberation time for a filter run backwards in time (clause 7.3).
pub const LEAST_BT_REVERSED: f64 = 4.0;
/// Bandwidth of a third octave as a part of its mid-band frequency.
pub const THIRD_OCTAVE_BANDWIDTH: f64 = 0.231;

/// A reverberation time from one range.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Evaluated {
    /// Time for 60 dB, extrapolated, s.
    pub t_s: f64,
    /// Non-linearity `ξ = 1000 (1 − r²)`, ‰ (Annex B.2).
    pub non_linearity: f64,
}

/// Least-squares line through the part of a decay curve within a range: `T = 60 dB / slope`.
///
/// `levels_db` are equally spaced, begin at 0 dB and should fall; the range begins where the curve first lies below its upper
/// end and ends before it first lies below its lower end. None where the curve does not reach so far.
pub fn evaluate(levels_db: &[f64], step_s: f64, range_db: (f64, f64)) -> Option<Evaluated> {
    let (upper, lower) = range_db;
    let from = levels_db.iter().position(|&level| level <= upper)?;
    let to = levels_db.iter().position(|&level| level < lower)?;
    let part = levels_db.get(from..to)?;
    let line = Line::through(part.iter().enumerate().map(|(at, &level)| (at as f64 * step_s, level)))?;
    (line.slope < 0.0 && part.len() > 2)
        .then(|| Evaluated { t_s: -60.0 / line.slope, non_linearity: 1000.0 * (1.0 - line.r2).max(0.0) })
}

/// The same for energies that go up and down, as those of noise do that was switched off: relative to the beginning, equally spaced, the background
/// taken off (single ones may so fall below zero).
///
/// The range is laid along the fitted line, and not to where a single low value first falls under its end, which would make every time too short. The
/// line is that of greatest likelihood for energies with a spread in proportion to their mean (gamma distributed, logarithmic link), found by weighted
/// least squares again and again (McCullagh and Nelder, *Generalized linear models*): logarithms would give single low values too much say.
pub fn evaluate_ragged(energies: &[f64], step_s: f64, range_db: (f64, f64)) -> Option<Evaluated> {
    let (upper, lower) = range_db;
    let calm = calmed(energies);
    let from = calm.iter().position(|&energy| energy <= math::energy_of_db(upper))?;
    let to = calm.iter().position(|&energy| energy < math::energy_of_db(lower))?;
    let slope = (lower - upper) / ((to - from).max(1) as f64 * step_s);
    let mut line = Line { start: upper - slope * from as f64 * step_s, slope, r2: 1.0 };
    for _ in 0..MOST_ROUNDS {
        let at =
            |level: f64| (line.reaches(level) / step_s).clamp(0.0, energies.len() as f64).round() as usize;
        let (from, to) = (at(upper), at(lower));
        let part = energies.get(from..to).filter(|part| part.len() > 2)?;
        let points = part.iter().enumerate().map(|(n, energy)| {
            let time_s = (from + n) as f64 * step_s;
            let fitted = line.at(time_s);
            let off = (energy / math::energy_of_db(fitted) - 1.0).clamp(-1.5, 8.0);
            (time_s, fitted + 10.0 / math::LN_10 * off)
        });
        let next = Line::through(points).filter(|line| line.slope < 0.0)?;
        let rests = (next.slope / line.slope - 1.0).abs() < 1e-4;
        line = next;
        if rests {
            break;
        }
    }
    Some(Evaluated { t_s: -60.0 / line.slope, non_linearity: 1000.0 * (1.0 - line.r2).max(0.0) })
}

/// Means over nine neighbours.
fn calmed(energies: &[f64]) -> Vec<f64> {
    (0..energies.len())
        .map(|at| {
            let part = energies.get(at.saturating_sub(4)..(at + 5).min(energies.len())).unwrap_or_default();
            part.iter().sum::<f64>() / part.len().max(1) as f64
        })
        .collect()
}

/// Rounds in which a range is laid along its own line.
const MOST_ROUNDS: usize = 20;

/// Degree of curvature `C = 100 (T30/T20 − 1)`, % (Annex B.3).
pub fn curvature_percent(t20_s: f64, t30_s: f64) -> f64 {
    100.0 * (t30_s / t20_s - 1.0)
}

/// Standard deviation of T20 by interrupted noise, `0.88 T √[(1 + 1.90/n)/(N B T)]` s, with n decays at each of N positions
/// and the bandwidth B (clause 7.2). Integrated impulse responses count as n = 10.
pub fn t20_deviation_s(t_s: f64, bandwidth_hz: f64, decays: f64, positions: f64) -> f64 {
    0.88 * t_s * ((1.0 + 1.90 / decays) / (positions * bandwidth_hz * t_s)).sqrt()
}

/// Standard deviation of T30, `0.55 T √[(1 + 1.52/n)/(N B T)]` s; see [`t20_deviation_s`].
pub fn t30_deviation_s(t_s: f64, bandwidth_hz: f64, decays: f64, positions: f64) -> f64 {
    0.55 * t_s * ((1.0 + 1.52 / decays) / (positions * bandwidth_hz * t_s)).sqrt()
}

/// Standard deviation of the early decay time in the form of [`t20_deviation_s`]: `2.3 T √[(1 + 1.90/n)/(N B T)]` s. The standard gives none; the
/// factor is that of trials with constructed decays.
pub fn edt_deviation_s(t_s: f64, bandwidth_hz: f64, decays: f64, positions: f64) -> f64 {
    2.3 / 0.88 * t20_deviation_s(t_s, bandwidth_hz, decays, positions)
}

/// Least energy of a curve, re its beginning: what is left of noise taken off may fall below nothing.
const LEAST_ENERGY: f64 = 1e-12;

/// Decay curve by backward integration of a squared response that begins with its sound (clause 3.2, after Schroeder 1965):
/// `L(t) = 10 lg [(∫ from t to t₁ of p² + C) / (∫ from 0 to t₁ of p² + C)]` dB, t₁ the crossing with the noise and C the
/// energy of the decay that the noise hides. The mean square of the noise is taken off what is integrated (after Chu 1978): left in, it makes the
/// late part of the curve too high.
pub fn backward_integrated(squares: &[f64], end: usize, beyond: f64, noise: f64) -> Vec<f64> {
    let kept = squares.get(..end.min(squares.len())).unwrap_or_default();
    let mut sum = beyond;
    let mut energies: Vec<f64> = kept
        .iter()
        .rev()
        .map(|square| {
            sum += square - noise;
            sum
        })
        .collect();
    energies.reverse();
    let whole = sum;
    if whole.is_nan() || whole <= 0.0 {
        return Vec::new();
    }
    energies.iter().map(|energy| math::db_of_energy((energy / whole).max(LEAST_ENERGY))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_decay_gives_its_time_from_every_range() {
        let curve: Vec<f64> = (0..2000).map(|n| -60.0 * f64::from(n) * 0.001 / 0.7).collect();
        for range in [EDT_RANGE_DB, T20_RANGE_DB, T30_RANGE_DB] {
            let found = evaluate(&curve, 0.001, range).unwrap();
            assert!((found.t_s - 0.7).abs() < 1e-9 && found.non_linearity < 1e-6);
        }
        assert_eq!(evaluate(&curve[..300], 0.001, T30_RANGE_DB), None);
        assert_eq!(evaluate(&[], 0.001, T20_RANGE_DB), None);
        assert!((curvature_percent(0.5, 0.6) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn a_ragged_decay_gives_its_time_without_being_too_short() {
        let (mut sum, mut count) = (0.0, 0.0);
        for seed in 0..200 {
            // Two degrees of freedom: energies with a spread as large as their mean.
            let mut white = crate::noise::White::new(seed);
            let energies: Vec<f64> = (0..400)
                .map(|n| {
                    let (a, b) = (white.next().unwrap(), white.next().unwrap());
                    math::energy_of_db(-60.0 * f64::from(n) * 0.005 / 0.9) * 0.5 * (a * a + b * b)
                })
                .collect();
            sum += evaluate_ragged(&energies, 0.005, T20_RANGE_DB).unwrap().t_s;
            count += 1.0;
        }
        assert!((sum / count - 0.9).abs() < 0.015, "{}", sum / count);
        assert_eq!(evaluate_ragged(&[], 0.005, T20_RANGE_DB), None);
        assert_eq!(evaluate_ragged(&[1.0; 100], 0.005, T20_RANGE_DB), None);
    }

    #[test]
    fn energy_beyond_the_end_keeps_the_curve_straight() {
        let squares: Vec<f64> =
            (0..4000).map(|n| math::energy_of_db(-60.0 * f64::from(n) / 1000.0)).collect();
        let fall = 1.0 - math::energy_of_db(-0.06);
        let beyond = squares[400] / fall;
        let curve = backward_integrated(&squares, 400, beyond, 0.0);
        for (n, level) in curve.iter().enumerate() {
            assert!((level + 0.06 * n as f64).abs() < 1e-9);
        }
        assert!(backward_integrated(&[0.0; 10], 10, 0.0, 0.0).is_empty());
    }
}
