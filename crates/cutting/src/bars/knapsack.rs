//! The dearest filling of one bar: a bounded knapsack in whole numbers, solved exactly.
//!
//! Lists of fillings no other beats both ways (G. L. Nemhauser and Z. Ullmann, *Discrete dynamic programming and capital allocation*,
//! Management Science 15, 1969), cut down by what the pieces still to come could add at most if the last could be cut short.

/// A length with its worth and how often it may be taken.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ware {
    /// Its place in the order.
    pub(crate) at: usize,
    pub(crate) length: i64,
    pub(crate) worth: i64,
    pub(crate) most: usize,
}

/// The dearest filling: its worth and how many of each ware (by `at`); nothing to take when none is worth more than the least asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Dearest {
    /// No filling is worth more.
    pub(crate) worth: i64,
    pub(crate) takes: Vec<(usize, usize)>,
}

/// Several pieces of one ware taken or left together: counts 1, 2, 4, … and the rest make up every count.
#[derive(Clone, Copy, Debug)]
struct Lot {
    at: usize,
    count: usize,
    length: i64,
    worth: i64,
}

/// A filling so far: the one it was made from and the lot added.
#[derive(Clone, Copy, Debug)]
struct Filling {
    length: i64,
    worth: i64,
    from: usize,
    lot: usize,
}

/// Fillings kept at once at most, for memory.
const MOST_AT_ONCE: usize = 4_000_000;

/// The filling of a bar that holds `room` worth the most, if that is more than `over`. `left` is how many fillings may
/// still be kept; `None` when they are used up.
pub(crate) fn dearest(wares: &[Ware], room: i64, over: i64, left: &mut usize) -> Option<Dearest> {
    let lots = lots(wares, room);
    let rest = Rest::of(&lots);
    let mut best = (over, None);
    let mut all: Vec<Filling> = vec![Filling { length: 0, worth: 0, from: 0, lot: usize::MAX }];
    let mut front: Vec<usize> = vec![0];
    // What the first filling grows to when lots are added until one does not fit.
    let (end, worth) = rest.whole(0, room);
    if worth > best.0 {
        best = (worth, Some((0, 0, end)));
    }
    for (next, lot) in lots.iter().enumerate() {
        let after = next + 1;
        let mut merged: Vec<usize> = Vec::with_capacity(front.len() * 2);
        let mut top = -1;
        let (mut stay, mut grow) = (0, 0);
        loop {
            let old = front.get(stay).map(|&at| (at, all[at].length, all[at].worth));
            let new = front
                .get(grow)
                .map(|&at| (at, all[at].length + lot.length, all[at].worth + lot.worth))
                .filter(|new| new.1 <= room);
            let takes_old = match (old, new) {
                (None, None) => break,
                (Some(_), None) => true,
                (None, Some(_)) => false,
                // Shorter first; of equal lengths the dearer.
                (Some(a), Some(b)) => (a.1, -a.2) <= (b.1, -b.2),
            };
            let Some((at, length, worth)) = (if takes_old { old } else { new }) else { break };
            if takes_old {
                stay += 1;
            } else {
                grow += 1;
            }
            if worth <= top {
                continue;
            }
            let (end, whole) = rest.whole(after, room - length);
            if !rest.can_reach(after, end, room - length, best.0 + 1 - worth - whole) {
                continue;
            }
            top = worth;
            let place = if takes_old {
                at
            } else {
                all.push(Filling { length, worth, from: at, lot: next });
                all.len() - 1
            };
            if worth + whole > best.0 {
                best = (worth + whole, Some((place, after, end)));
            }
            merged.push(place);
        }
        front = merged;
        if front.is_empty() {
            break;
        }
        *left = left.checked_sub(front.len())?;
        if all.len() > MOST_AT_ONCE {
            return None;
        }
    }
    let mut takes: Vec<(usize, usize)> = Vec::new();
    if let Some((mut place, from, to)) = best.1 {
        let mut add = |lot: &Lot| match takes.iter_mut().find(|(at, _)| *at == lot.at) {
            Some((_, count)) => *count += lot.count,
            None => takes.push((lot.at, lot.count)),
        };
        lots[from..to].iter().for_each(&mut add);
        while let Some(lot) = lots.get(all[place].lot) {
            add(lot);
            place = all[place].from;
        }
        takes.sort_unstable();
    }
    Some(Dearest { worth: best.0, takes })
}

/// The wares as lots, the dearest for their length first.
fn lots(wares: &[Ware], room: i64) -> Vec<Lot> {
    let mut order: Vec<&Ware> =
        wares.iter().filter(|w| w.worth > 0 && w.length > 0 && w.length <= room).collect();
    order.sort_by(|a, b| {
        (i128::from(b.worth) * i128::from(a.length))
            .cmp(&(i128::from(a.worth) * i128::from(b.length)))
            .then(a.at.cmp(&b.at))
    });
    let mut lots = Vec::new();
    for ware in order {
        let mut left = ware.most.min(usize::try_from(room / ware.length).unwrap_or(0));
        let mut size = 1;
        while left > 0 {
            let count = size.min(left);
            let times = count.cast_signed() as i64;
            lots.push(Lot { at: ware.at, count, length: ware.length * times, worth: ware.worth * times });
            left -= count;
            size *= 2;
        }
    }
    lots
}

/// What lots still to come can add: sums from the first lot on.
struct Rest<'a> {
    lots: &'a [Lot],
    length: Vec<i64>,
    worth: Vec<i64>,
}

impl<'a> Rest<'a> {
    fn of(lots: &'a [Lot]) -> Self {
        let (mut length, mut worth) = (vec![0], vec![0]);
        for (at, lot) in lots.iter().enumerate() {
            length.push(length[at] + lot.length);
            worth.push(worth[at] + lot.worth);
        }
        Self { lots, length, worth }
    }

    /// The lots from `from` on that fit whole one after another: the place after the last, and their worth.
    fn whole(&self, from: usize, room: i64) -> (usize, i64) {
        let most = self.length[from] + room;
        // Mostly a few: looked through one by one before halves are.
        let mut end = from;
        while end < self.lots.len() && end < from + LOOKED_THROUGH && self.length[end + 1] <= most {
            end += 1;
        }
        if end == from + LOOKED_THROUGH {
            end = self.length.partition_point(|sum| *sum <= most) - 1;
        }
        (end, self.worth[end] - self.worth[from])
    }

    /// Whether a part of the lot at `end`, the first that does not fit whole, could be worth `more`.
    fn can_reach(&self, from: usize, end: usize, room: i64, more: i64) -> bool {
        let left = room - (self.length[end] - self.length[from]);
        more <= 0
            || self.lots.get(end).is_some_and(|lot| {
                i128::from(lot.worth) * i128::from(left) >= i128::from(more) * i128::from(lot.length)
            })
    }
}

/// Lots looked through one by one.
const LOOKED_THROUGH: usize = 8;

#[cfg(test)]
mod tests {
    use super::*;

    fn by_trying_all(wares: &[Ware], room: i64) -> i64 {
        let Some((first, rest)) = wares.split_first() else { return 0 };
        (0..=first.most.cast_signed() as i64)
            .take_while(|count| count * first.length <= room)
            .map(|count| count * first.worth + by_trying_all(rest, room - count * first.length))
            .max()
            .unwrap_or(0)
    }

    #[test]
    fn no_filling_is_worth_more() {
        let mut state = 7_u64;
        let mut next = |below: i64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            1 + (state >> 33).cast_signed() % below
        };
        for _ in 0..400 {
            let wares: Vec<Ware> = (0..7)
                .map(|at| Ware { at, length: next(40), worth: next(60), most: next(3) as usize })
                .collect();
            let room = next(120);
            let found = dearest(&wares, room, 0, &mut 1_000_000);
            let taken = |dearest: &Dearest| {
                let sum = |each: fn(&Ware) -> i64| -> i64 {
                    dearest
                        .takes
                        .iter()
                        .map(|(at, count)| each(&wares[*at]) * count.cast_signed() as i64)
                        .sum()
                };
                assert!(dearest.takes.iter().all(|(at, count)| *count <= wares[*at].most), "too many of one");
                (sum(|w| w.length), sum(|w| w.worth))
            };
            let most = by_trying_all(&wares, room);
            assert_eq!(found.as_ref().map(|d| d.worth), Some(most));
            if let Some(found) = found {
                let (length, worth) = taken(&found);
                assert!(length <= room, "{length} in {room}");
                assert_eq!(worth, most);
            }
            assert_eq!(
                dearest(&wares, room, most, &mut 1_000_000).map(|d| d.takes.len()),
                Some(0),
                "none is worth more than the most"
            );
        }
    }
}
