//! Looking on while something is chosen: which part is under way, and what the time went into.

use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};

/// The parts of choosing, in their order.
pub const STAGES: [&str; 3] = [
    "planning the room as it stands",
    "predicting every way of building",
    "choosing, and planning the choice whole",
];

/// What the time of choosing goes into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Planning the room as it stands.
    Standing,
    /// Predicting every way of building.
    Predicting,
    /// Leaving out what another beats, and drawing the errors of the rest.
    Sifting,
    /// The first answer with its certificate, in the room as it stands.
    Optimum,
    /// Building sixty-four times over what was chosen, for its full spread.
    Spreads,
    /// Planning sets whole.
    Whole,
    /// Taking over the rooms of those plans.
    Rooms,
    /// The answers in those rooms, with their certificates.
    Settling,
    /// The fronts.
    Fronts,
    /// The next best steps, what stands in the way, what the choice hangs on.
    Telling,
}

impl Work {
    /// All of it, in the order in which it begins.
    pub const ALL: [Self; 10] = [
        Self::Standing,
        Self::Predicting,
        Self::Sifting,
        Self::Optimum,
        Self::Spreads,
        Self::Whole,
        Self::Rooms,
        Self::Settling,
        Self::Fronts,
        Self::Telling,
    ];

    fn place(self) -> usize {
        self as usize
    }
}

/// Looks on while something is chosen, and may stop it. What it tells of time changes no answer.
#[derive(Debug, Default)]
pub struct Watch {
    /// Set from outside: nothing further is begun.
    pub stop: AtomicBool,
    /// Which of [`STAGES`] is under way, from 0.
    pub stage: AtomicUsize,
    /// Reads a clock, µs; none: nobody asks how long anything takes.
    clock: Option<fn() -> u64>,
    /// For each [`Work`] how long it took so far, µs.
    spent_us: [AtomicU64; Work::ALL.len()],
    /// All of it so far, µs.
    all_us: AtomicU64,
    /// And how often each was done.
    times: [AtomicU64; Work::ALL.len()],
}

impl Watch {
    /// One that also tells how long each [`Work`] takes, by a clock that gives µs since whenever.
    pub fn by_the_clock(clock: fn() -> u64) -> Self {
        Self { clock: Some(clock), ..Self::default() }
    }

    /// How long something took so far, µs, without what else was done meanwhile; 0 without a clock.
    pub fn spent_us(&self, work: Work) -> u64 {
        self.spent_us.get(work.place()).map_or(0, |spent| spent.load(Ordering::Relaxed))
    }

    /// How often something was done so far.
    pub fn times(&self, work: Work) -> u64 {
        self.times.get(work.place()).map_or(0, |times| times.load(Ordering::Relaxed))
    }

    pub(super) fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    pub(super) fn begins(&self, stage: usize) {
        self.stage.store(stage, Ordering::Relaxed);
    }

    /// Does something and adds how long it took.
    pub(super) fn timed<T>(&self, work: Work, done: impl FnOnce() -> T) -> T {
        let (began, before_us) = (self.clock.map(|clock| clock()), self.all_us.load(Ordering::Relaxed));
        let made = done();
        if let Some(times) = self.times.get(work.place()) {
            times.fetch_add(1, Ordering::Relaxed);
        }
        if let (Some(began), Some(clock), Some(spent)) = (began, self.clock, self.spent_us.get(work.place()))
        {
            let took_us = clock().saturating_sub(began);
            // What was done within is counted there.
            let within_us = self.all_us.load(Ordering::Relaxed).saturating_sub(before_us);
            spent.fetch_add(took_us.saturating_sub(within_us), Ordering::Relaxed);
            self.all_us.store(before_us + took_us, Ordering::Relaxed);
        }
        made
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A clock that goes on by one each time it is read.
    fn clock() -> u64 {
        static READ: AtomicU64 = AtomicU64::new(0);
        READ.fetch_add(1, Ordering::Relaxed)
    }

    #[test]
    fn what_is_done_within_is_counted_once() {
        let watch = Watch::by_the_clock(clock);
        let inner = || watch.timed(Work::Spreads, || ());
        watch.timed(Work::Optimum, || {
            inner();
            inner();
        });
        // Read six times: five steps in all, one in each of the inner.
        assert_eq!((watch.spent_us(Work::Spreads), watch.spent_us(Work::Optimum)), (2, 3));
        assert_eq!((watch.times(Work::Spreads), watch.times(Work::Optimum)), (2, 1));
        // Without a clock only the times are counted.
        let plain = Watch::default();
        assert_eq!(plain.timed(Work::Fronts, || 7), 7);
        assert_eq!((plain.spent_us(Work::Fronts), plain.times(Work::Fronts)), (0, 1));
    }
}
