//! The cheapest stock that holds a total: a bound for bars by length and for sheets by area.

/// A stock as the bound sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Holder {
    pub(crate) holds: i64,
    pub(crate) cost: i64,
    pub(crate) available: Option<usize>,
}

/// Most combinations of counts looked through; beyond it the bound is the fractional one.
const MOST_COMBINATIONS: u64 = 200_000;

/// The least cost of stock that holds `total` in all, as if pieces could be cut up and joined; `None` when the stock at hand
/// does not hold it.
pub(crate) fn least_cost(holders: &[Holder], total: i64) -> Option<i64> {
    if total <= 0 {
        return Some(0);
    }
    let mut order: Vec<Holder> = holders.iter().copied().filter(|h| h.holds > 0).collect();
    // Cheapest for what it holds first: a/b < c/d as a d < c b.
    order.sort_by(|a, b| {
        (i128::from(a.cost) * i128::from(b.holds)).cmp(&(i128::from(b.cost) * i128::from(a.holds)))
    });
    let counts = |h: &Holder| {
        let needed = (total + h.holds - 1) / h.holds;
        h.available.map_or(needed, |most| needed.min(i64::try_from(most).unwrap_or(i64::MAX)))
    };
    let combinations = order
        .iter()
        .take(order.len().saturating_sub(1))
        .fold(1_u64, |product, h| product.saturating_mul(counts(h).unsigned_abs().saturating_add(1)));
    if combinations <= MOST_COMBINATIONS {
        return cheapest_counts(&order, total, &counts);
    }
    fractional(&order, total)
}

fn cheapest_counts(order: &[Holder], total: i64, counts: &impl Fn(&Holder) -> i64) -> Option<i64> {
    if total <= 0 {
        return Some(0);
    }
    let (first, rest) = order.split_first()?;
    if rest.is_empty() {
        let needed = (total + first.holds - 1) / first.holds;
        return (needed <= counts(first)).then_some(needed * first.cost);
    }
    (0..=counts(first))
        .filter_map(|count| {
            cheapest_counts(rest, total - count * first.holds, counts).map(|cost| cost + count * first.cost)
        })
        .min()
}

fn fractional(order: &[Holder], total: i64) -> Option<i64> {
    let mut left = i128::from(total);
    let mut cost = 0_i128;
    for holder in order {
        let all =
            holder.available.map_or(i128::MAX, |most| i128::from(holder.holds).saturating_mul(most as i128));
        let take = left.min(all);
        cost += take * i128::from(holder.cost) / i128::from(holder.holds);
        left -= take;
        if left <= 0 {
            return i64::try_from(cost).ok();
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cheapest_mix_is_found() {
        let long = Holder { holds: 36, cost: 640, available: None };
        let short = Holder { holds: 24, cost: 400, available: None };
        assert_eq!(least_cost(&[long], 37), Some(1280));
        assert_eq!(least_cost(&[long, short], 60), Some(1040));
        assert_eq!(least_cost(&[long, short], 48), Some(800));
        let offcut = Holder { holds: 20, cost: 0, available: Some(1) };
        assert_eq!(least_cost(&[long, short, offcut], 44), Some(400));
        assert_eq!(least_cost(&[offcut], 21), None);
        assert_eq!(least_cost(&[], 0), Some(0));
    }
}
