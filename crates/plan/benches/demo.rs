//! How long the demo takes: reading, the whole plan, the plan on one thread. The goal stands beside each name.

use criterion::{Criterion, criterion_group, criterion_main};
use plan::{choose, plan, read};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

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

criterion_group! { name = benches; config = Criterion::default().sample_size(10); targets = demo }
criterion_main!(benches);
