//! A lower bound for bin packing: S. Martello and P. Toth, *Knapsack Problems*, Wiley 1990, section 8.3.

/// L₂ = max over K of |J₁| + |J₂| + max(0, ⌈(Σ_{J₃} w − (|J₂| c − Σ_{J₂} w)) / c⌉), with J₁: w > c − K, J₂: c/2 < w ≤ c − K,
/// J₃: K ≤ w ≤ c/2. Lengths longest first; all must fit.
pub(crate) fn l2(lengths: &[i64], capacity: i64) -> i64 {
    let mut best = bound_at(lengths, capacity, 0);
    let mut last = 0;
    for &length in lengths.iter().rev().take_while(|length| 2 * **length <= capacity) {
        if length != last {
            best = best.max(bound_at(lengths, capacity, length));
            last = length;
        }
    }
    best
}

fn bound_at(lengths: &[i64], capacity: i64, k: i64) -> i64 {
    let (mut alone, mut large, mut large_sum, mut small_sum) = (0, 0, 0, 0);
    for &w in lengths {
        if w > capacity - k {
            alone += 1;
        } else if 2 * w > capacity {
            large += 1;
            large_sum += w;
        } else if w >= k {
            small_sum += w;
        }
    }
    let over = small_sum - (large * capacity - large_sum);
    alone + large + if over > 0 { (over + capacity - 1) / capacity } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_than_the_sum_says() {
        assert_eq!(l2(&[60, 60, 60], 100), 3);
        assert_eq!(l2(&[70, 60, 50, 33, 33, 33, 11, 7, 3], 100), 4, "the book's example, value from memory");
        assert_eq!(l2(&[], 100), 0);
    }
}
