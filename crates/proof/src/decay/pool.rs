//! Decay times of several strokes or places put together.

use super::{Averaged, BandDecay, DecayFlag};
use crate::iso_3382_2_2008 as iso;

/// A time is far off the others where it is longer or shorter than their median by this factor …
const FAR_OFF: f64 = 1.6;
/// … and by more than so many standard deviations (judgement both).
const FAR_OFF_DEVIATIONS: f64 = 5.0;
/// From so many on it can be told which one is far off.
const LEAST_TO_TELL: usize = 3;

/// A mean with its deviation.
#[derive(Clone, Copy, Debug, Default)]
struct Pooled {
    mean_s: Option<f64>,
    deviation_s: Option<f64>,
}

/// One band of all of them.
pub(super) fn merge(all: &[&BandDecay], what: Averaged) -> BandDecay {
    let mean = |of: &dyn Fn(&BandDecay) -> Option<f64>| {
        let values: Vec<f64> = all.iter().filter_map(|one| of(one)).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    };
    let mut flags: Vec<DecayFlag> = Vec::new();
    // Where one stroke or place gives a time, another that gives none is no reason to doubt it.
    let usable = all.iter().any(|one| one.t_s.is_some());
    let judged: Vec<&BandDecay> = all.iter().copied().filter(|one| one.t_s.is_some() == usable).collect();
    for flag in judged.iter().flat_map(|one| &one.flags) {
        match flags.iter_mut().find(|kept| std::mem::discriminant(*kept) == std::mem::discriminant(flag)) {
            Some(kept) if flag.badness() > kept.badness() => kept.clone_from(flag),
            Some(_) => {}
            None => flags.push(flag.clone()),
        }
    }
    // A bend that fewer than half of them show is chance: it is in their ±, and not in the mean.
    flags.retain(|flag| {
        let kind = std::mem::discriminant(flag);
        let shown =
            judged.iter().filter(|one| one.flags.iter().any(|f| std::mem::discriminant(f) == kind)).count();
        !matches!(flag, DecayFlag::Curved { .. } | DecayFlag::NotStraight { .. }) || 2 * shown >= judged.len()
    });
    let (curvature_percent, non_linearity) =
        (mean(&|one| one.curvature_percent), mean(&|one| one.non_linearity));
    flags.retain(|flag| match flag {
        DecayFlag::Curved { .. } => curvature_percent.is_none_or(|c| c.abs() > iso::MOST_CURVATURE_PERCENT),
        _ => true,
    });
    for flag in &mut flags {
        match flag {
            DecayFlag::Curved { percent } => *percent = curvature_percent.unwrap_or(*percent),
            DecayFlag::NotStraight { non_linearity: shown } => *shown = non_linearity.unwrap_or(*shown),
            _ => {}
        }
    }
    let edt = pooled(all, |one| (one.edt_s, one.edt_deviation_s), what, &mut flags);
    let t20 = pooled(all, |one| (one.t20_s, one.deviation_s), what, &mut flags);
    let t30 = pooled(all, |one| (one.t30_s, one.t30_deviation_s), what, &mut flags);
    BandDecay {
        edt_s: edt.mean_s,
        t20_s: t20.mean_s,
        t30_s: t30.mean_s,
        t_s: t20.mean_s,
        edt_deviation_s: edt.deviation_s,
        deviation_s: t20.deviation_s,
        t30_deviation_s: t30.deviation_s,
        range_db: mean(&|one| one.range_db),
        curvature_percent,
        non_linearity,
        flags,
    }
}

fn pooled(
    all: &[&BandDecay],
    of: fn(&BandDecay) -> (Option<f64>, Option<f64>),
    what: Averaged,
    flags: &mut Vec<DecayFlag>,
) -> Pooled {
    let given: Vec<(f64, f64)> =
        all.iter().filter_map(|one| Some((of(one).0?, of(one).1.unwrap_or(0.0)))).collect();
    if given.is_empty() {
        return Pooled::default();
    }
    let (kept, off) = without_outliers(&given);
    let count = kept.len() as f64;
    let mean_s = kept.iter().map(|(time, _)| time).sum::<f64>() / count;
    if let Some(&left_out_s) = off.first() {
        let told = DecayFlag::OneLeftOut { left_out_s, others_s: mean_s, of: given.len(), left: off.len() };
        match flags.iter_mut().find(|kept| std::mem::discriminant(*kept) == std::mem::discriminant(&told)) {
            Some(before) if told.badness() > before.badness() => *before = told,
            Some(_) => {}
            None => flags.push(told),
        }
    }
    // The same place again has the same room between: what is random in its response is not averaged out.
    let apart = if what == Averaged::Positions { count.sqrt() } else { 1.0 };
    let stated_s = kept.iter().map(|(_, deviation)| deviation).sum::<f64>() / count / apart;
    // Where they scatter more than that, the scatter counts: a small room differs from place to place.
    let scatter_s = if kept.len() > 1 {
        let squares: f64 = kept.iter().map(|(time, _)| (time - mean_s) * (time - mean_s)).sum();
        (squares / (count - 1.0) / count).sqrt()
    } else {
        0.0
    };
    Pooled { mean_s: Some(mean_s), deviation_s: Some(stated_s.max(scatter_s)) }
}

/// The values that stand together, and the times of those far off.
fn without_outliers(given: &[(f64, f64)]) -> (Vec<(f64, f64)>, Vec<f64>) {
    let middle = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        let at = values.len() / 2;
        let upper = values.get(at).copied().unwrap_or(0.0);
        let lower = at.checked_sub(1).and_then(|below| values.get(below)).copied().unwrap_or(upper);
        if values.len() % 2 == 1 { upper } else { f64::midpoint(lower, upper) }
    };
    let median_s = middle(given.iter().map(|(time, _)| *time).collect());
    // By what the others scatter, not by its own wide uncertainty.
    let deviation_s = middle(given.iter().map(|(_, deviation)| *deviation).collect());
    let is_off = |time_s: f64| {
        given.len() >= LEAST_TO_TELL
            && (time_s / median_s).max(median_s / time_s) > FAR_OFF
            && (time_s - median_s).abs() > FAR_OFF_DEVIATIONS * deviation_s
    };
    let kept: Vec<(f64, f64)> = given.iter().copied().filter(|(time, _)| !is_off(*time)).collect();
    let off: Vec<f64> = given.iter().map(|(time, _)| *time).filter(|time| is_off(*time)).collect();
    // Where many are off there is no telling which are right: all are kept, and their scatter is the uncertainty.
    if 3 * off.len() > given.len() {
        return (given.to_vec(), Vec::new());
    }
    (kept, off)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(t_s: f64, deviation_s: f64) -> BandDecay {
        BandDecay { t20_s: Some(t_s), t_s: Some(t_s), deviation_s: Some(deviation_s), ..BandDecay::default() }
    }

    #[test]
    fn one_time_far_off_is_left_out_and_named() {
        let places = [with(0.78, 0.10), with(3.72, 0.38), with(0.72, 0.10)];
        let merged = merge(&places.iter().collect::<Vec<_>>(), Averaged::Positions);
        assert!((merged.t_s.unwrap() - 0.75).abs() < 1e-9, "{merged:?}");
        assert!(matches!(merged.flags[..], [DecayFlag::OneLeftOut { of: 3, left: 1, .. }]), "{merged:?}");
        assert!(merged.flags[0].to_string().contains("3.72"), "{}", merged.flags[0]);
    }

    #[test]
    fn of_two_that_contradict_both_are_kept_and_the_uncertainty_opened() {
        let places = [with(0.7, 0.05), with(1.9, 0.08)];
        let merged = merge(&places.iter().collect::<Vec<_>>(), Averaged::Positions);
        assert!((merged.t_s.unwrap() - 1.3).abs() < 1e-9);
        assert!((merged.deviation_s.unwrap() - 0.6).abs() < 1e-9, "{merged:?}");
        let alike = [with(1.0, 0.1), with(1.02, 0.1), with(0.98, 0.1), with(1.0, 0.1)];
        let merged = merge(&alike.iter().collect::<Vec<_>>(), Averaged::Positions);
        assert!((merged.deviation_s.unwrap() - 0.05).abs() < 1e-9, "{merged:?}");
    }
}
