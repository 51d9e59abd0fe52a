//! How long a ceiling takes to set out; the goal stands beside each name. A whole layout has no oracle of its own; the boards of twenty
//! rooms stand beside a constraint solver's seconds in the reference data of the crate that cuts them.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, reason = "a bench stops at once")]

#[path = "../tests/rooms/mod.rs"]
mod rooms;

use criterion::{Criterion, criterion_group, criterion_main};
use setout::as_built::{BarReading, Readings, mend};
use setout::{Budget, MarkFor, set_out};

fn setting_out(c: &mut Criterion) {
    let ceiling = rooms::percussion_room();
    let mut group = c.benchmark_group("setting out");
    group.sample_size(10);
    group.bench_function("first answer (goal 50 ms)", |b| {
        b.iter(|| set_out(&ceiling, &Budget { steps: 1, shifts: 0 }));
    });
    group.bench_function("quick (goal 100 ms)", |b| b.iter(|| set_out(&ceiling, &Budget::default())));
    group.bench_function("deep (goal 5 s)", |b| b.iter(|| set_out(&ceiling, &Budget::deep())));
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    let wall = layout.marks.iter().find(|w| w.marks.iter().any(|m| matches!(m.of, MarkFor::Bar(_)))).unwrap();
    let readings: Vec<BarReading> = wall
        .marks
        .iter()
        .filter_map(|m| {
            let MarkFor::Bar(bar) = m.of else { return None };
            Some(BarReading { bar, wall: wall.wall.clone(), at_mm: m.at_mm + 12.0 })
        })
        .collect();
    let readings = Readings { bars: readings, ..Readings::default() };
    group.bench_function("readings of every bar mended (goal 200 ms)", |b| {
        b.iter(|| mend(&ceiling, &layout, &readings));
    });
    // The first half of the bars fixed, each off its marks by another amount: joints move, bars are added.
    let half: Vec<BarReading> = readings
        .bars
        .iter()
        .take(readings.bars.len() / 2)
        .enumerate()
        .map(|(at, r)| BarReading {
            at_mm: r.at_mm - 12.0 + [2.0, -14.0, 9.0, -18.0, 25.0][at % 5],
            ..r.clone()
        })
        .collect();
    let half = Readings { bars: half, ..Readings::default() };
    group.bench_function("half the bars off and mended (goal 200 ms)", |b| {
        b.iter(|| mend(&ceiling, &layout, &half));
    });
    group.finish();
}

fn twelve_walls(c: &mut Criterion) {
    let ceiling = rooms::twelve_walls();
    let mut group = c.benchmark_group("twelve walls");
    group.sample_size(10);
    group.bench_function("deep (goal 20 s)", |b| b.iter(|| set_out(&ceiling, &Budget::deep())));
    group.finish();
}

criterion_group!(benches, setting_out, twelve_walls);
criterion_main!(benches);
