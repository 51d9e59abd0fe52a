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
    struct Pool {
        members: usize,
        sum: f64,
        at: f64,
    }
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    let wish = |index: usize| {
        let it = wishes.get(index).copied().unwrap_or(Wish { at: low, room: 0.0 });
        Wish {
            at: if it.at.is_finite() { it.at } else { low },
            room: if it.room.is_finite() { it.room.max(0.0) } else { 0.0 },
        }
    };
    order.sort_by(|&a, &b| wish(a).at.total_cmp(&wish(b).at).then(a.cmp(&b)));

    // Measured from the first label's middle as if all stood shoulder to shoulder, the labels need only not decrease.
    let mut before = 0.0;
    let mut previous_room = None;
    let mut offsets = Vec::with_capacity(order.len());
    for &index in &order {
        if let Some(room) = previous_room {
            before += f64::midpoint(room, wish(index).room);
        }
        offsets.push(before);
        previous_room = Some(wish(index).room);
    }
    let mut pools: Vec<Pool> = Vec::new();
    for (&index, &offset) in order.iter().zip(&offsets) {
        let at = wish(index).at - offset;
        let mut pool = Pool { members: 1, sum: at, at };
        while let Some(last) = pools.pop_if(|last| last.at > pool.at) {
            let members = last.members + pool.members;
            let sum = last.sum + pool.sum;
            pool = Pool { members, sum, at: sum / members as f64 };
        }
        pools.push(pool);
    }

    let first_room = order.first().map_or(0.0, |&index| wish(index).room);
    let last_room = order.last().map_or(0.0, |&index| wish(index).room);
    let least = low + first_room / 2.0;
    let most = (high - last_room / 2.0 - before).max(least);
    let mut places = vec![low; wishes.len()];
    let mut ranked = order.iter().zip(&offsets);
    for pool in pools {
        for (&index, &offset) in ranked.by_ref().take(pool.members) {
            if let Some(place) = places.get_mut(index) {
                *place = pool.at.clamp(least, most) + offset;
            }
        }
    }
    places
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
