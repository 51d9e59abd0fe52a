//! Where a decay ends in noise, after A. Lundeby, T. E. Vigran, H. Bietz and M. Vorländer, *Uncertainties of measurements in
//! room acoustics*, Acustica 81 (1995), 344–355.
//!
//! The squared response is averaged in short intervals; noise, late slope and the point where the two cross are estimated in
//! turn until the point rests. What lies beyond it is replaced by the decay that goes on.

use quantities::math;

/// Rounds of estimation at most; the paper finds five enough.
const MOST_ROUNDS: usize = 6;
/// First averaging interval, s (the paper: 10 ms to 50 ms).
const FIRST_INTERVAL_S: f64 = 0.02;
/// Intervals for each 10 dB of decay afterwards (the paper: 3 to 10).
const INTERVALS_PER_10_DB: f64 = 6.0;
/// The late slope begins this far above the noise, dB (the paper: 5 to 10).
const ABOVE_NOISE_DB: f64 = 10.0;
/// The late slope is taken over this range, dB (the paper: 10 to 20).
const SLOPE_RANGE_DB: f64 = 20.0;
/// Noise is estimated from where the decay would lie this far below the crossing, dB (the paper: 5 to 10).
const BEYOND_CROSSING_DB: f64 = 8.0;
/// Noise is estimated over at least this part of the response.
const LEAST_NOISE_PART: f64 = 0.1;

/// A decay and its noise.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Crossing {
    /// Time from the beginning to the point where decay and noise cross, s.
    pub at_s: f64,
    /// Mean square of the noise.
    pub noise: f64,
    /// Late slope, dB/s; negative.
    pub slope_db_s: f64,
    /// Energy (sum of squares at the response's sampling rate) of the decay beyond the crossing.
    pub beyond: f64,
    /// Level of the loudest interval over the noise, dB.
    pub range_db: f64,
    /// Whether the response reaches on beyond the decay, so that the noise alone is seen.
    pub noise_seen: bool,
}

impl Crossing {
    /// Mean square to take off the decay: none where the response ends before the noise alone is seen, and its end is decay too.
    pub fn taken_off(&self) -> f64 {
        if self.noise_seen { self.noise } else { 0.0 }
    }
}

/// Finds the crossing in a squared response that begins with its peak; none where there is no decay of at least 10 dB over the
/// noise.
pub fn crossing(squares: &[f64], sample_rate_hz: f64) -> Option<Crossing> {
    let length_s = squares.len() as f64 / sample_rate_hz;
    let mut noise = mean(squares.get(tail_from(squares.len())..)?)?;
    let coarse = intervals(squares, (FIRST_INTERVAL_S * sample_rate_hz) as usize);
    let first_s = interval_s((FIRST_INTERVAL_S * sample_rate_hz) as usize, sample_rate_hz);
    let peak = coarse.iter().copied().fold(0.0, f64::max);
    if peak.is_nan() || peak <= 0.0 {
        return None;
    }
    let mut line = late_line(&coarse, first_s, noise, None)?;
    let mut at_s = line.reaches(math::db_of_energy(noise.max(peak * 1e-14)));
    for _ in 0..MOST_ROUNDS {
        let samples = (10.0 / (-line.slope * INTERVALS_PER_10_DB) * sample_rate_hz) as usize;
        let fine_s = interval_s(samples, sample_rate_hz);
        let fine = intervals(squares, samples);
        let noise_from_s =
            (at_s + BEYOND_CROSSING_DB / -line.slope).clamp(0.0, length_s * (1.0 - LEAST_NOISE_PART));
        noise = mean(squares.get((noise_from_s * sample_rate_hz) as usize..)?)?;
        let Some(next) = late_line(&fine, fine_s, noise, Some(SLOPE_RANGE_DB)) else { break };
        line = next;
        let next_s = line.reaches(math::db_of_energy(noise.max(peak * 1e-14)));
        let rests = (next_s - at_s).abs() < 0.001;
        at_s = next_s;
        if rests {
            break;
        }
    }
    let noise_seen = at_s + BEYOND_CROSSING_DB / -line.slope <= length_s * (1.0 - LEAST_NOISE_PART);
    // The same line once more with the noise taken off, which flattens it where it is taken down to 10 dB over it.
    if noise_seen {
        let samples = (10.0 / (-line.slope * INTERVALS_PER_10_DB) * sample_rate_hz) as usize;
        let own: Vec<f64> = intervals(squares, samples).iter().map(|mean| (mean - noise).max(0.0)).collect();
        if let Some(next) = late_line(&own, interval_s(samples, sample_rate_hz), noise, Some(SLOPE_RANGE_DB))
        {
            line = next;
            at_s = line.reaches(math::db_of_energy(noise.max(peak * 1e-14)));
        }
    }
    let at_s = at_s.clamp(0.0, length_s);
    // Σ of a falling exponential from the crossing on: level there, divided by the fall in one sample.
    let per_sample = 1.0 - math::energy_of_db(line.slope / sample_rate_hz);
    let beyond = math::energy_of_db(line.at(at_s)) / per_sample;
    Some(Crossing {
        at_s,
        noise,
        slope_db_s: line.slope,
        beyond: if beyond.is_finite() { beyond } else { 0.0 },
        range_db: math::db_of_energy(peak / noise.max(peak * 1e-14)),
        noise_seen,
    })
}

/// A straight line through levels, dB over s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) start: f64,
    pub(crate) slope: f64,
    /// Squared correlation coefficient.
    pub(crate) r2: f64,
}

impl Line {
    /// Least squares through points of time and level; none through fewer than two times.
    pub(crate) fn through(points: impl Iterator<Item = (f64, f64)> + Clone) -> Option<Self> {
        let count = points.clone().count() as f64;
        let (sum_t, sum_l) = points.clone().fold((0.0, 0.0), |(t, l), point| (t + point.0, l + point.1));
        let (mean_t, mean_l) = (sum_t / count, sum_l / count);
        let (mut tt, mut tl, mut ll) = (0.0, 0.0, 0.0);
        for (time, level) in points {
            tt += (time - mean_t) * (time - mean_t);
            tl += (time - mean_t) * (level - mean_l);
            ll += (level - mean_l) * (level - mean_l);
        }
        if !(tt > 0.0 && ll > 0.0) {
            return None;
        }
        let slope = tl / tt;
        Some(Self { start: mean_l - slope * mean_t, slope, r2: tl * tl / (tt * ll) })
    }

    pub(crate) fn at(&self, time_s: f64) -> f64 {
        self.start + self.slope * time_s
    }

    pub(crate) fn reaches(&self, level_db: f64) -> f64 {
        (level_db - self.start) / self.slope
    }
}

/// The line from the loudest interval, or from a range above the end, down to a little above the noise.
fn late_line(averages: &[f64], interval_s: f64, noise: f64, range_db: Option<f64>) -> Option<Line> {
    let (peak_at, peak) = averages
        .iter()
        .copied()
        .enumerate()
        .fold((0, 0.0), |best, (at, value)| if value > best.1 { (at, value) } else { best });
    let end_db = math::db_of_energy(noise.max(peak * 1e-14)) + ABOVE_NOISE_DB;
    let begin_db =
        range_db.map_or(math::db_of_energy(peak), |range| (end_db + range).min(math::db_of_energy(peak)));
    if begin_db - end_db < 3.0 {
        return None;
    }
    let falling =
        averages.iter().enumerate().skip(peak_at).map(|(at, &value)| {
            ((at as f64 + 0.5) * interval_s, math::db_of_energy(value.max(peak * 1e-16)))
        });
    let from = falling.clone().take_while(|&(_, level)| level > begin_db).count();
    let points = falling.skip(from).take_while(|&(_, level)| level >= end_db);
    Line::through(points).filter(|line| line.slope < -0.1)
}

fn intervals(squares: &[f64], samples: usize) -> Vec<f64> {
    squares.chunks_exact(samples.max(1)).filter_map(mean).collect()
}

fn interval_s(samples: usize, sample_rate_hz: f64) -> f64 {
    samples.max(1) as f64 / sample_rate_hz
}

fn tail_from(length: usize) -> usize {
    length - (length as f64 * LEAST_NOISE_PART) as usize
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::noise::White;

    #[test]
    fn the_crossing_of_a_known_decay_is_found() {
        let rate = 8000.0;
        for (decay_s, noise_db) in [(0.5, -40.0), (1.0, -30.0), (0.3, -55.0)] {
            let count = 20;
            let (mut at, mut noise, mut slope) = (0.0, 0.0, 0.0);
            for seed in 0..count {
                let (mut a, mut b) = (White::new(31 * seed), White::new(31 * seed + 4000));
                let squares: Vec<f64> = (0..24_000)
                    .map(|n| {
                        let fall = math::energy_of_db(-30.0 * f64::from(n) / rate / decay_s);
                        let floor = math::energy_of_db(noise_db / 2.0);
                        let sample = a.next().unwrap() * fall + b.next().unwrap() * floor;
                        sample * sample
                    })
                    .collect();
                let found = crossing(&squares, rate).unwrap();
                at += found.at_s / count as f64;
                noise += math::db_of_energy(found.noise) / count as f64;
                slope += found.slope_db_s / count as f64;
            }
            let expected_s = -noise_db / 60.0 * decay_s;
            assert!((at / expected_s - 1.0).abs() < 0.02, "{at} s for {expected_s} s");
            assert!((noise - noise_db).abs() < 0.1, "{noise} dB for {noise_db} dB");
            assert!((slope * decay_s / -60.0 - 1.0).abs() < 0.02, "{slope} dB/s for {decay_s} s");
        }
    }

    #[test]
    fn no_decay_no_crossing() {
        let flat: Vec<f64> = White::new(9).take(20_000).map(|x| x * x).collect();
        assert_eq!(crossing(&flat, 8000.0), None);
        assert_eq!(crossing(&[], 8000.0), None);
        assert_eq!(crossing(&[0.0; 1000], 8000.0), None);
        assert!(crossing(&[1.0, 0.0, 0.0], 8000.0).is_none_or(|found| found.beyond.is_finite()));
    }
}
