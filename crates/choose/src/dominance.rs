//! Candidates that another beats, or equals, in everything.

/// Indices of the vectors that no other is at most equal to in every number; of equal ones the first. Less is better; vectors of
/// different lengths never beat each other, nor does one with a number that is none.
///
/// ```
/// let vectors = [vec![1.0, 2.0], vec![2.0, 2.0], vec![2.0, 1.0], vec![1.0, 2.0]];
/// assert_eq!(choose::undominated(&vectors), [0, 2]);
/// ```
pub fn undominated<V: AsRef<[f64]>>(vectors: &[V]) -> Vec<usize> {
    let sums: Vec<f64> = vectors.iter().map(|vector| vector.as_ref().iter().sum()).collect();
    let mut order: Vec<usize> = (0..vectors.len()).collect();
    // Whatever beats a vector has no larger sum: each need only be held against those before it.
    order.sort_by(|a, b| match (sums.get(*a), sums.get(*b)) {
        (Some(first), Some(second)) => first.total_cmp(second).then(a.cmp(b)),
        _ => a.cmp(b),
    });
    let mut kept: Vec<usize> = Vec::new();
    for at in order {
        let Some(vector) = vectors.get(at).map(AsRef::as_ref) else { continue };
        let beaten = kept
            .iter()
            .filter_map(|other| vectors.get(*other).map(AsRef::as_ref))
            .any(|other| beats(other, vector));
        if !beaten {
            // Rounding of the sums may put an equal or better one later.
            kept.retain(|other| {
                vectors.get(*other).is_none_or(|other| !(beats(vector, other.as_ref()) && at < vectors.len()))
            });
            kept.push(at);
        }
    }
    kept.sort_unstable();
    kept
}

fn beats(one: &[f64], other: &[f64]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(a, b)| a <= b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        /// Every vector that is left out is beaten by one that is kept, and no kept one is beaten by another kept one.
        #[test]
        fn what_is_left_out_is_beaten(vectors in prop::collection::vec(prop::collection::vec(0_u8..4, 3), 0..12)) {
            let vectors: Vec<Vec<f64>> =
                vectors.iter().map(|v| v.iter().map(|n| f64::from(*n)).collect()).collect();
            let kept = undominated(&vectors);
            for (at, vector) in vectors.iter().enumerate() {
                let by_kept = kept.iter().any(|k| *k != at && beats(&vectors[*k], vector));
                prop_assert_eq!(kept.contains(&at), !by_kept, "{} of {:?}", at, vectors);
            }
        }
    }
}
