//! What the time of choosing for the demo goes into, each part beside its goal: the middle of several runs, by the clock. The solver alone is
//! held against another one in the benches of `choose`.

#![allow(clippy::print_stdout, reason = "a bench prints what it measured")]

use std::{sync::OnceLock, time::Instant};

use plan::choosing::{Watch, Work, choose_watched};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

/// How many runs there are.
const RUNS: usize = 5;

/// What a part is called, and its goal on two cores.
fn words(work: Work) -> (&'static str, Option<u64>) {
    match work {
        Work::Standing => ("the room planned as it stands", None),
        Work::Predicting => ("every way of building predicted", Some(1000)),
        Work::Sifting => ("left out what another beats, errors drawn", None),
        Work::Optimum => ("the first optimum with its certificate", Some(200)),
        Work::Spreads => ("what is chosen built 64 times over", None),
        Work::Whole => ("sets planned whole", None),
        Work::Rooms => ("their rooms taken over", None),
        Work::Settling => ("the optimum again in each of those rooms", None),
        Work::Fronts => ("both fronts", Some(1000)),
        Work::Telling => ("next steps, what stands in the way", None),
    }
}

/// µs by the clock.
fn clock_us() -> u64 {
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    u64::try_from(BEGAN.get_or_init(Instant::now).elapsed().as_micros()).unwrap_or(u64::MAX)
}

/// µs of processor time of all threads so far, where the system tells it; else 0.
fn processor_us() -> u64 {
    let threads = std::fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let of = |path: std::path::PathBuf| -> Option<u64> {
        std::fs::read_to_string(path.join("schedstat")).ok()?.split_whitespace().next()?.parse().ok()
    };
    threads.filter_map(|thread| of(thread.path())).sum::<u64>() / 1000
}

/// For each part, and last for all, the middle of some runs, ms; how often each was done; and how many candidates there are.
fn runs(count: usize, clock: fn() -> u64) -> Option<(Vec<f64>, Vec<u64>, usize)> {
    let project = plan::read(DEMO, "room.toml").0?;
    let mut spent: Vec<Vec<u64>> = vec![Vec::new(); Work::ALL.len() + 1];
    let (mut candidates, mut times) = (0, Vec::new());
    for _ in 0..count {
        let (watch, began) = (Watch::by_the_clock(clock), clock());
        candidates = choose_watched(&project, &watch).ok()??.candidates;
        times = Work::ALL.map(|work| watch.times(work)).into_iter().chain([1]).collect();
        let all =
            Work::ALL.map(|work| watch.spent_us(work)).into_iter().chain([clock().saturating_sub(began)]);
        for (of, took) in spent.iter_mut().zip(all) {
            of.push(took);
        }
    }
    let middle = |mut of: Vec<u64>| {
        of.sort_unstable();
        of.get(of.len() / 2).map_or(0.0, |us| *us as f64 / 1000.0)
    };
    Some((spent.into_iter().map(middle).collect(), times, candidates))
}

fn main() {
    // Run as a test it is only tried.
    let count = if std::env::args().any(|word| word == "--test") { 1 } else { RUNS };
    let (Some((by_clock, times, candidates)), Some((processor, ..))) =
        (runs(count, clock_us), runs(count, processor_us))
    else {
        return;
    };
    println!("{candidates} candidates over all elements; the middle of {count} runs");
    println!("{:<48}{:>6}{:>11}{:>15}", "", "times", "clock, ms", "processor, ms");
    let names = Work::ALL.map(words).into_iter().chain([("all of it", None)]);
    for (((words, goal), times), (clock, processor)) in
        names.zip(times).zip(by_clock.into_iter().zip(processor))
    {
        let goal =
            goal.map_or_else(String::new, |goal: u64| format!("  goal {goal} ms by the clock, each time"));
        println!("{words:<48}{times:>6}{clock:>11.0}{processor:>15.0}{goal}");
    }
}
