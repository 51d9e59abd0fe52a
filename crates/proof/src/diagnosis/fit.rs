//! Likelihood, evidence and sizes of the explanations.

use quantities::math;

use super::{
    AS_PLANNED_PRIOR, COMMON_MEASUREMENT_VARIANCE, Candidate, Case, Diagnosis, Explanation, FITS_NOTHING,
    HELD_TOGETHER, Observed, Predicted, Size, TELL_APART,
};
use crate::covariance::{Factored, chi_square_above, log_normal_share};

/// Steps between two tabled sizes over which likelihood and size are interpolated.
const REFINED: usize = 8;

/// Ranks the explanations of a case; the same case always gives the same ranking.
///
/// Observations or tables of unequal length, and numbers that are none, are left out rather than guessed at.
pub fn diagnose(case: &Case) -> Diagnosis {
    let kept: Vec<usize> = (0..case.observed.len())
        .filter(|&at| {
            let known = |one: &Predicted| one.difference_db.get(at).is_some_and(|value| value.is_finite());
            case.observed.get(at).is_some_and(|one| one.difference_db.is_finite() && one.deviation_db > 0.0)
                && known(&case.as_planned)
                && case.candidates.iter().flat_map(Candidate::tables).flatten().all(known)
        })
        .collect();
    let exact: Vec<usize> = kept.iter().copied().filter(|at| !is_limit(case, *at)).collect();
    let limits: Vec<usize> = kept.iter().copied().filter(|at| is_limit(case, *at)).collect();
    let judge = Judge { case, exact: &exact, limits: &limits };

    let planned = judge.weigh(&case.as_planned);
    let mut explanations = vec![Explanation {
        candidate: None,
        name: "as planned".to_owned(),
        probability: AS_PLANNED_PRIOR,
        size: None,
        log_evidence: 0.0,
        fit: planned.fit(exact.len()),
        like_the_first: false,
    }];
    let whole: f64 = case.candidates.iter().map(|one| one.weight.max(0.0)).sum();
    for (index, candidate) in case.candidates.iter().enumerate() {
        if let Some(found) = judge.integrate(candidate) {
            explanations.push(Explanation {
                candidate: Some(index),
                name: candidate.name.clone(),
                probability: (1.0 - AS_PLANNED_PRIOR) * candidate.weight.max(0.0) / whole.max(1e-300),
                size: Some(found.size),
                log_evidence: found.log_evidence - planned.log_likelihood,
                fit: found.best.fit(exact.len().saturating_sub(1)),
                like_the_first: false,
            });
        }
    }
    rank(&mut explanations);
    Diagnosis {
        fits_nothing: explanations.first().is_some_and(|first| first.fit < FITS_NOTHING),
        explanations,
        observations: kept.len(),
        limits: limits.len(),
    }
}

fn is_limit(case: &Case, at: usize) -> bool {
    case.observed.get(at).is_some_and(|one| one.at_least)
}

/// From priors to probabilities, the likeliest first, and which cannot be told from it.
fn rank(explanations: &mut [Explanation]) {
    let most = explanations.iter().map(|one| one.log_evidence).fold(f64::NEG_INFINITY, f64::max);
    let mut sum = 0.0;
    for one in explanations.iter_mut() {
        one.probability *= math::exp(one.log_evidence - most);
        sum += one.probability;
    }
    for one in explanations.iter_mut() {
        one.probability /= sum.max(f64::MIN_POSITIVE);
    }
    explanations.sort_by(|a, b| b.probability.total_cmp(&a.probability).then(a.candidate.cmp(&b.candidate)));
    let first = explanations.first().map_or(0.0, |one| one.probability);
    let mut before = 0.0;
    for one in explanations.iter_mut() {
        one.like_the_first = one.probability * TELL_APART >= first || before < HELD_TOGETHER;
        before += one.probability;
    }
}

/// How well one prediction explains the observations.
#[derive(Clone, Copy, Debug)]
struct Weighed {
    log_likelihood: f64,
    square_distance: f64,
}

impl Weighed {
    fn fit(&self, freedom: usize) -> f64 {
        chi_square_above(self.square_distance, freedom as f64)
    }
}

struct Integrated {
    log_evidence: f64,
    size: Size,
    best: Weighed,
}

struct Judge<'a> {
    case: &'a Case,
    exact: &'a [usize],
    limits: &'a [usize],
}

impl Judge<'_> {
    fn observed(&self, at: usize) -> Option<&Observed> {
        self.case.observed.get(at)
    }

    fn variance(&self, predicted: &Predicted, a: usize, b: usize) -> f64 {
        let (Some(one), Some(other)) = (self.observed(a), self.observed(b)) else { return 0.0 };
        let correlation = self
            .case
            .band_correlation
            .get(one.band.index())
            .and_then(|row| row.get(other.band.index()))
            .copied()
            .unwrap_or(0.0);
        let model: f64 = predicted
            .moved_by_db
            .iter()
            .map(|source| match (source.get(a), source.get(b)) {
                (Some(here), Some(there)) => here * there,
                _ => 0.0,
            })
            .sum();
        let measured = if a == b {
            one.deviation_db * one.deviation_db
        } else if one.place == other.place {
            COMMON_MEASUREMENT_VARIANCE * correlation * one.deviation_db * other.deviation_db
        } else {
            0.0
        };
        correlation * model + measured
    }

    /// Log likelihood, without the constant that all explanations share.
    fn weigh(&self, predicted: &Predicted) -> Weighed {
        let place = |list: &[usize], at: usize| list.get(at).copied().unwrap_or(0);
        let factored = Factored::new(self.exact.len(), |a, b| {
            self.variance(predicted, place(self.exact, a), place(self.exact, b))
        });
        let residual = |at: usize| {
            let measured = self.observed(at).map_or(0.0, |one| one.difference_db);
            measured - predicted.difference_db.get(at).copied().unwrap_or(measured)
        };
        let residuals: Vec<f64> = self.exact.iter().map(|at| residual(*at)).collect();
        let square_distance = factored.square_distance(&residuals);
        // A limit says only that the difference is no smaller; errors of neighbouring limits are one, so the hardest one speaks for all.
        let limit = self
            .limits
            .iter()
            .map(|&at| log_normal_share(-residual(at) / self.variance(predicted, at, at).max(0.01).sqrt()))
            .fold(0.0, f64::min);
        Weighed {
            log_likelihood: -0.5 * (square_distance + factored.log_determinant()) + limit,
            square_distance,
        }
    }

    /// Evidence over the prior of the size, and the size itself.
    fn integrate(&self, candidate: &Candidate) -> Option<Integrated> {
        let sizes: Vec<f64> =
            candidate.sizes.iter().copied().filter(|size| *size > 0.0 && size.is_finite()).collect();
        let rising = sizes.windows(2).all(|pair| matches!(pair, [a, b] if a < b));
        let tabled = candidate.tables().all(|table| table.len() == sizes.len());
        if !tabled || sizes.len() < 2 || !rising {
            return None;
        }
        let logs: Vec<f64> = sizes.iter().map(|size| math::ln(*size)).collect();
        let weighed: Vec<Vec<Weighed>> =
            candidate.tables().map(|table| table.iter().map(|one| self.weigh(one)).collect()).collect();
        let curves: Vec<Vec<(f64, f64)>> = weighed
            .iter()
            .map(|row| refined(&logs, &row.iter().map(|one| one.log_likelihood).collect::<Vec<f64>>()))
            .collect();
        let fine = averaged(&curves);
        let peak = fine.iter().map(|(_, height)| *height).fold(f64::NEG_INFINITY, f64::max);
        let mut cumulated = vec![0.0];
        let mut area = 0.0;
        for pair in fine.windows(2) {
            if let [(from, low), (to, high)] = pair {
                area += 0.5 * (to - from) * (math::exp(low - peak) + math::exp(high - peak));
                cumulated.push(area);
            }
        }
        let width = logs.last()? - logs.first()?;
        let quantile = |share: f64| {
            let wanted = share * area;
            let at = cumulated.iter().position(|sum| *sum >= wanted).unwrap_or(cumulated.len() - 1);
            let (Some((to, _)), Some((from, _))) = (fine.get(at), fine.get(at.saturating_sub(1))) else {
                return 0.0;
            };
            let (below, above) = (
                cumulated.get(at.saturating_sub(1)).copied().unwrap_or(0.0),
                cumulated.get(at).copied().unwrap_or(0.0),
            );
            let part = if above > below { (wanted - below) / (above - below) } else { 1.0 };
            math::exp(from + (to - from) * part.clamp(0.0, 1.0))
        };
        let best = weighed
            .iter()
            .flat_map(|row| row.iter().copied().enumerate())
            .max_by(|a, b| a.1.log_likelihood.total_cmp(&b.1.log_likelihood))?;
        Some(Integrated {
            log_evidence: peak + math::ln((area / width).max(1e-300)),
            size: Size {
                median: quantile(0.5),
                lower: quantile(0.1),
                upper: quantile(0.9),
                at_the_end: best.0 == 0 || best.0 + 1 == sizes.len(),
            },
            best: best.1,
        })
    }
}

impl Candidate {
    /// What its sizes predict, and what they predict otherwise.
    fn tables(&self) -> impl Iterator<Item = &Vec<Predicted>> {
        std::iter::once(&self.predicted).chain(&self.otherwise)
    }
}

/// The logarithm of the mean of likelihoods whose logarithms stand at the same places: half of it the first, half the mean of the others.
fn averaged(curves: &[Vec<(f64, f64)>]) -> Vec<(f64, f64)> {
    let Some((first, more)) = curves.split_first() else { return Vec::new() };
    if more.is_empty() {
        return first.clone();
    }
    let at = |(point, &(place, usual)): (usize, &(f64, f64))| {
        let others = || more.iter().filter_map(move |curve| curve.get(point)).map(|(_, height)| *height);
        let most = others().fold(usual, f64::max);
        let sum: f64 = others().map(|height| math::exp(height - most)).sum();
        (place, most + math::ln(0.5 * (math::exp(usual - most) + sum / more.len() as f64)))
    };
    first.iter().enumerate().map(at).collect()
}

/// A curve with steps between its points, by cubic Hermite pieces (Catmull-Rom slopes), its ends kept.
fn refined(places: &[f64], heights: &[f64]) -> Vec<(f64, f64)> {
    let slope = |at: usize| -> f64 {
        let before = at.saturating_sub(1);
        let after = (at + 1).min(places.len().saturating_sub(1));
        match (places.get(before), places.get(after), heights.get(before), heights.get(after)) {
            (Some(a), Some(b), Some(low), Some(high)) if b > a => (high - low) / (b - a),
            _ => 0.0,
        }
    };
    let mut fine = Vec::new();
    for (at, (pair, ends)) in places.windows(2).zip(heights.windows(2)).enumerate() {
        let ([from, to], [low, high]) = (pair, ends) else { continue };
        let width = to - from;
        let (start, end) = (slope(at) * width, slope(at + 1) * width);
        for step in 0..REFINED {
            let t = step as f64 / REFINED as f64;
            let (t2, t3) = (t * t, t * t * t);
            let height = (2.0 * t3 - 3.0 * t2 + 1.0) * low
                + (t3 - 2.0 * t2 + t) * start
                + (3.0 * t2 - 2.0 * t3) * high
                + (t3 - t2) * end;
            // A spline may swing over its points; a likelihood that was not computed is not believed.
            fine.push((from + width * t, height.min(low.max(*high) + 1.0)));
        }
    }
    if let (Some(place), Some(height)) = (places.last(), heights.last()) {
        fine.push((*place, *height));
    }
    fine
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test stops at what it did not expect")]

    use bands::{BAND_COUNT, Band};

    use super::*;

    /// Two faults of different colour, a straight line and a slope, in 15 bands at one place.
    fn case(true_size: f64, of: usize, deviation_db: f64) -> Case {
        let bands: Vec<Band> = Band::range(125.0, 3150.0).collect();
        let loss = |fault: usize, size: f64, at: usize| match fault {
            0 => size,
            1 => size * at as f64 / 7.0,
            _ => size * 0.98,
        };
        let observed = bands
            .iter()
            .enumerate()
            .map(|(at, band)| Observed {
                place: 0,
                band: *band,
                difference_db: 45.0 - loss(of, true_size, at),
                deviation_db,
                at_least: false,
            })
            .collect();
        let sizes: Vec<f64> = (0..20).map(|step| 0.5 * math::powf(1.25, f64::from(step))).collect();
        let of_loss = |fault: usize, size: f64| Predicted {
            difference_db: (0..bands.len()).map(|at| 45.0 - loss(fault, size, at)).collect(),
            moved_by_db: vec![vec![1.0; bands.len()]],
        };
        let candidates = [0, 1, 2]
            .map(|fault| Candidate {
                name: format!("fault {fault}"),
                predicted: sizes.iter().map(|size| of_loss(fault, *size)).collect(),
                otherwise: Vec::new(),
                sizes: sizes.clone(),
                weight: 1.0,
            })
            .to_vec();
        let mut band_correlation = [[0.0; BAND_COUNT]; BAND_COUNT];
        for (a, row) in band_correlation.iter_mut().enumerate() {
            for (b, value) in row.iter_mut().enumerate() {
                *value = math::powf(0.9, a.abs_diff(b) as f64);
            }
        }
        Case { observed, as_planned: of_loss(0, 0.0), candidates, band_correlation }
    }

    #[test]
    fn the_fault_that_was_put_in_comes_first_with_its_size() {
        let found = diagnose(&case(6.0, 1, 1.0));
        let first = &found.explanations[0];
        assert_eq!(first.candidate, Some(1));
        assert!(!found.cannot_tell() && !found.fits_nothing);
        let size = first.size.unwrap();
        assert!(size.lower < 6.0 && size.upper > 6.0 && (size.median / 6.0 - 1.0).abs() < 0.1, "{size:?}");
        let sum: f64 = found.explanations.iter().map(|one| one.probability).sum();
        assert!((sum - 1.0).abs() < 1e-9);
    }

    #[test]
    fn faults_that_look_alike_are_not_told_apart() {
        let found = diagnose(&case(8.0, 0, 1.0));
        let leading: Vec<_> = found.leading().map(|one| one.candidate).collect();
        assert!(leading.contains(&Some(0)) && leading.contains(&Some(2)), "{leading:?}");
        assert!(!leading.contains(&Some(1)) && !leading.contains(&None));
    }

    #[test]
    fn nothing_wrong_is_found_as_planned() {
        let found = diagnose(&case(0.0, 0, 1.0));
        assert_eq!(found.explanations[0].candidate, None);
    }

    /// Under a limit that says at least 45 dB a fault that takes 8 dB away is not believed.
    #[test]
    fn a_limit_speaks_against_what_would_lie_under_it() {
        let mut limited = case(0.0, 0, 1.0);
        for one in &mut limited.observed {
            one.at_least = true;
        }
        let found = diagnose(&limited);
        assert_eq!(found.limits, 15);
        let flat = found.explanations.iter().find(|one| one.candidate == Some(0)).unwrap();
        assert!(flat.log_evidence < -0.3, "{flat:?}");
    }

    /// A fault whose shape is not known is averaged over its shapes: the size of the shape that is true is among the likely ones, and what is
    /// seen speaks half as much for it as if the true shape had been known alone.
    #[test]
    fn a_shape_that_is_not_known_is_averaged_over() {
        let known = case(6.0, 1, 1.0);
        let mut open = known.clone();
        let [flat, sloped, _] = &known.candidates[..] else { panic!("three candidates") };
        open.candidates = vec![Candidate { otherwise: vec![sloped.predicted.clone()], ..flat.clone() }];
        let alone = Case { candidates: vec![sloped.clone()], ..known.clone() };
        let (open, alone) = (diagnose(&open), diagnose(&alone));
        let of = |found: &Diagnosis| found.explanations.iter().find(|one| one.candidate == Some(0)).cloned();
        let (open, alone) = (of(&open).unwrap(), of(&alone).unwrap());
        assert!(
            (open.log_evidence - (alone.log_evidence - math::ln(2.0))).abs() < 0.01,
            "{open:?} {alone:?}"
        );
        assert!((open.size.unwrap().median - alone.size.unwrap().median).abs() < 0.01);
        assert!((open.fit - alone.fit).abs() < 1e-9);
    }

    #[test]
    fn numbers_that_are_none_and_tables_of_unequal_length_do_no_harm() {
        let mut broken = case(6.0, 1, 1.0);
        broken.observed[3].difference_db = f64::NAN;
        broken.candidates[0].sizes.pop();
        let found = diagnose(&broken);
        assert_eq!((found.observations, found.explanations[0].candidate), (14, Some(1)));
        assert!(found.explanations.iter().all(|one| one.probability.is_finite()));
    }
}
