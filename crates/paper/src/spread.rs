//! Labels that want to stand at places too close together, moved apart by as little as possible.

/// One label on a line: where it would like to be and how much room it takes, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Where its middle would like to be.
    pub at: f64,
    /// Its length along the line, its gap to the next included.
    pub room: f64,
}

/// Where the middles of the labels come to stand, in the order given.
///
/// Labels keep the order of their wishes (of equal wishes, the order given), none overlap, and the sum of squared
/// moves is the least possible (pooling of adjacent violators); then the row is pushed inside `low..=high`, and if
/// it is longer than that it begins at `low`.
pub fn spread(wishes: &[Wish], low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    let at =
        |index: usize| wishes.get(index).map_or(low, |wish| if wish.at.is_finite() { wish.at } else { low });
    order.sort_by(|&a, &b| at(a).total_cmp(&at(b)).then(a.cmp(&b)));
    let sorted: Vec<Wish> = order.iter().filter_map(|&index| wishes.get(index).copied()).collect();
    let mut places = vec![low; wishes.len()];
    for (&index, place) in order.iter().zip(spread_in_order(&sorted, low, high)) {
        if let Some(slot) = places.get_mut(index) {
            *slot = place;
        }
    }
    places
}

/// The same for labels whose order is settled, even against their wishes.
pub fn spread_in_order(wishes: &[Wish], low: f64, high: f64) -> Vec<f64> {
    struct Pool {
        members: usize,
        sum: f64,
        at: f64,
    }
    let clean = |wish: &Wish| Wish {
        at: if wish.at.is_finite() { wish.at } else { low },
        room: if wish.room.is_finite() { wish.room.max(0.0) } else { 0.0 },
    };
    // Measured from the first label's middle as if all stood shoulder to shoulder, the labels need only not decrease.
    let mut before = 0.0;
    let mut previous_room = None;
    let mut offsets = Vec::with_capacity(wishes.len());
    let mut pools: Vec<Pool> = Vec::new();
    for wish in wishes.iter().map(clean) {
        if let Some(room) = previous_room {
            before += f64::midpoint(room, wish.room);
        }
        offsets.push(before);
        previous_room = Some(wish.room);
        let at = wish.at - before;
        let mut pool = Pool { members: 1, sum: at, at };
        while let Some(last) = pools.pop_if(|last| last.at > pool.at) {
            let members = last.members + pool.members;
            let sum = last.sum + pool.sum;
            pool = Pool { members, sum, at: sum / members as f64 };
        }
        pools.push(pool);
    }

    let first_room = wishes.first().map_or(0.0, |wish| clean(wish).room);
    let last_room = previous_room.unwrap_or(0.0);
    let least = low + first_room / 2.0;
    let most = (high - last_room / 2.0 - before).max(least);
    pools
        .into_iter()
        .flat_map(|pool| std::iter::repeat_n(pool.at, pool.members))
        .zip(offsets)
        .map(|(at, offset)| at.clamp(least, most) + offset)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wishes(at: &[f64], room: f64) -> Vec<Wish> {
        at.iter().map(|&at| Wish { at, room }).collect()
    }

    #[test]
    fn labels_with_room_stay_where_they_wish() {
        assert_eq!(spread(&wishes(&[10.0, 20.0, 30.0], 5.0), 0.0, 100.0), [10.0, 20.0, 30.0]);
    }

    #[test]
    fn crowded_labels_move_apart_evenly() {
        assert_eq!(spread(&wishes(&[10.0, 10.0], 4.0), 0.0, 100.0), [8.0, 12.0]);
        assert_eq!(spread(&wishes(&[11.0, 10.0], 4.0), 0.0, 100.0), [12.5, 8.5]);
    }

    #[test]
    fn the_row_stays_inside_its_limits() {
        assert_eq!(spread(&wishes(&[0.0, 1.0], 4.0), 0.0, 100.0), [2.0, 6.0]);
        assert_eq!(spread(&wishes(&[99.0, 100.0], 4.0), 0.0, 100.0), [94.0, 98.0]);
    }

    #[test]
    fn wishes_that_are_no_numbers_do_no_harm() {
        assert!(spread(&wishes(&[f64::NAN, 3.0], 4.0), 0.0, 10.0).iter().all(|place| place.is_finite()));
    }
}
