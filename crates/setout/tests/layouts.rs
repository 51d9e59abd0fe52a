//! Every layout of many invented rooms keeps the rules and covers its ceiling exactly.

mod rooms;

use setout::check::check;
use setout::{Budget, Layout, Point, SetoutError, set_out};

const SMALL: Budget = Budget { steps: 40 };

fn area_mm2(ring: &[Point]) -> f64 {
    let o = ring[0];
    ring.iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(a, b)| (a.x_mm - o.x_mm) * (b.y_mm - o.y_mm) - (b.x_mm - o.x_mm) * (a.y_mm - o.y_mm))
        .sum::<f64>()
        / 2.0
}

fn assert_sound(ceiling: &setout::Ceiling, layout: &Layout, which: &str) {
    let breaches = check(ceiling, layout);
    assert!(breaches.is_empty(), "{which}: {:#?}", breaches.iter().map(|b| &b.sentence).collect::<Vec<_>>());
    let outline = area_mm2(&layout.outline);
    for layer in &layout.layers {
        let pieces: f64 = layer.pieces.iter().map(|p| area_mm2(&p.outline)).sum();
        assert!((pieces - outline).abs() < 1.0, "{which}: {pieces} of {outline}");
        let sheets: f64 = layer.sheets.iter().map(|s| s.left_over_m2).sum();
        assert!(sheets >= 0.0, "{which}");
    }
    for (layer, least) in layout.layers.iter().zip(&layout.least_boards) {
        assert!(layer.sheets.len() >= *least, "{which}: fewer boards than the area");
    }
}

#[test]
fn the_percussion_room_is_set_out_soundly() {
    let ceiling = rooms::percussion_room();
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_sound(&ceiling, &layout, "percussion room");
    assert!(layout.worth.boards <= 38, "{:?}", layout.worth);
}

#[test]
fn the_ell_is_set_out_soundly() {
    let ceiling = rooms::ell_room();
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_sound(&ceiling, &layout, "ell");
}

#[test]
fn a_step_finds_a_valid_layout() {
    let ceiling = rooms::percussion_room();
    let layout = set_out(&ceiling, &Budget { steps: 1 }).unwrap();
    assert_sound(&ceiling, &layout, "first answer");
}

#[test]
fn hundreds_of_rooms_keep_every_rule() {
    let (mut refused, mut broken) = (Vec::new(), Vec::new());
    let mut done = 0;
    for seed in 1..=400 {
        let ceiling = rooms::random_room(seed);
        match set_out(&ceiling, &SMALL) {
            Ok(layout) => {
                for b in check(&ceiling, &layout) {
                    broken.push(format!("seed {seed}: {:?} {}", b.rule, b.sentence));
                }
                done += 1;
            }
            Err(SetoutError::NoLayout { sentence, .. }) => refused.push((seed, sentence)),
            Err(other) => broken.push(format!("seed {seed}: {other}")),
        }
    }
    assert!(broken.is_empty(), "{} {broken:#?}", broken.len());
    println!("{done} laid, refused {refused:#?}");
    assert!(refused.len() <= 20, "{} of 400 refused: {refused:#?}", refused.len());
}

#[test]
fn the_same_room_gives_the_same_layout() {
    let ceiling = rooms::percussion_room();
    let once = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(once, set_out(&ceiling, &Budget::default()).unwrap());
}
