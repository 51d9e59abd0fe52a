//! The instances the oracle solved, each beside the oracle's own time for it on the same kind of machine (two threads there, one here).

#[path = "../tests/invented/mod.rs"]
mod invented;

use choose::{Asked, solve};
use criterion::{Criterion, criterion_group, criterion_main};

fn instances(c: &mut Criterion) {
    for case in invented::cases() {
        let problem = invented::problem(&case);
        let name = format!(
            "{} elements of {} candidates, {} draws, CP-SAT {:.0} ms",
            case.elements,
            case.candidates,
            case.draws,
            case.oracle_seconds * 1000.0
        );
        c.bench_function(&name, |b| {
            b.iter(|| solve(&problem, &Asked { nodes: 400_000_000, ..Asked::default() }));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = instances
}
criterion_main!(benches);
