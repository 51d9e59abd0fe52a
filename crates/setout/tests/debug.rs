//! x
mod rooms;
use std::time::Instant;
#[test]
fn debug() {
    let (mut a, mut b) = (0.0, 0.0);
    let mut worst = (0.0, 0);
    for seed in 1..=100 {
        let c = rooms::random_room(seed);
        let t = Instant::now();
        let l = setout::set_out(&c, &setout::Budget { steps: 40 });
        let d = t.elapsed().as_secs_f64();
        if d > worst.0 {
            worst = (d, seed);
        }
        a += d;
        let t = Instant::now();
        if let Ok(l) = l {
            setout::check::check(&c, &l);
        }
        b += t.elapsed().as_secs_f64();
    }
    println!("search {a} check {b} worst {worst:?}");
    let c = rooms::percussion_room();
    for steps in [1, 100, 400, 4000] {
        let t = Instant::now();
        let l = setout::set_out(&c, &setout::Budget { steps }).unwrap();
        println!("demo {steps} {:?} {:?} {}", t.elapsed(), l.worth, l.steps);
    }
}
