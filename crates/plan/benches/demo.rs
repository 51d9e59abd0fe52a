//! How long the demo takes: reading, the whole plan, the plan on one thread. The goal stands beside each name.

use std::sync::atomic::AtomicBool;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use plan::{Memory, Unknown, choose, edit, plan, read, replan};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");

fn demo(criterion: &mut Criterion) {
    let (project, _) = read(DEMO, "room.toml");
    let Some(project) = project else { return };
    criterion.bench_function("read the demo (goal 5 ms)", |bench| bench.iter(|| read(DEMO, "room.toml")));
    criterion.bench_function("plan the demo (goal 300 ms)", |bench| bench.iter(|| plan(&project)));
    criterion.bench_function("choose for the demo (goal 2.2 s with the plans of it)", |bench| {
        bench.iter(|| choose(&project));
    });
    let Ok(one) = rayon::ThreadPoolBuilder::new().num_threads(1).build() else { return };
    criterion.bench_function("plan the demo on one thread (reference)", |bench| {
        bench.iter(|| one.install(|| plan(&project)));
    });
}

/// What was measured, diagnosed: the plan of the room that was measured at three receivers, and the same room without its measurements; the
/// difference is the diagnosis, some forty faults at twenty sizes each.
fn diagnosis(criterion: &mut Criterion) {
    let (Some(measured), _) = read(PROVED, "room.toml") else { return };
    let mut bare = measured.clone();
    bare.measurements.clear();
    criterion.bench_function("plan and diagnose the room that was measured (goal 1 s)", |bench| {
        bench.iter(|| plan(&measured));
    });
    criterion
        .bench_function("plan it without what was measured (reference)", |bench| bench.iter(|| plan(&bare)));
}

/// An edit planned with what the plan before left behind; what needs a layout of its own shows the one before.
fn edits(criterion: &mut Criterion) {
    let project = |text: &str| read(text, "room.toml").0;
    let Some(before) = project(DEMO) else { return };
    let edited = [
        ("a tape", edit::set(DEMO, "survey.tape[2].ceiling_mm", 4236.0).ok()),
        ("fibre thicker", edit::set(DEMO, "buildup[0].layer[2].fill_mm", 80.0).ok()),
        ("a door leaf", edit::set(DEMO, "buildup[4].layer[0].material", "hardwood-66").ok()),
        ("a limit", edit::set(DEMO, "receiver[0].limit_dba", 42.0).ok()),
        ("a price", edit::set(DEMO, "stock.clip.price", 3.3).ok()),
    ]
    .map(|(what, text): (&str, Option<String>)| (what, text.as_deref().and_then(project)));
    for (what, after) in &edited {
        let Some(after) = after else { continue };
        criterion.bench_function(&format!("{what} changed (goal 50 ms)"), |bench| {
            bench.iter_batched(
                || {
                    let memory = Memory::new();
                    let _ = replan(&before, &memory, Unknown::SetOut(&AtomicBool::new(false)));
                    memory
                },
                |memory| replan(after, &memory, Unknown::StandIn),
                BatchSize::PerIteration,
            );
        });
    }
}

criterion_group! { name = benches; config = Criterion::default().sample_size(10); targets = demo, diagnosis, edits }
criterion_main!(benches);
