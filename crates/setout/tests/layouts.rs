//! Every layout of many invented rooms keeps the rules and covers its ceiling exactly.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at once")]

mod rooms;

use setout::check::check;
use setout::{Budget, Layout, Point, SetoutError, set_out};

const SMALL: Budget = Budget { steps: 40, shifts: 0 };

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
    let layout = set_out(&ceiling, &Budget { steps: 1, shifts: 0 }).unwrap();
    assert_sound(&ceiling, &layout, "first answer");
}

/// Each wall has a gap of its own: every rule is kept, and the area left free is that of the gaps.
#[test]
fn walls_keep_gaps_of_their_own() {
    let mut laid = 0;
    for seed in 1..=60 {
        let mut ceiling = rooms::random_room(seed);
        let mut stream = rooms::Stream::new(seed + 400);
        ceiling.gaps_mm = (0..ceiling.corners.len()).map(|_| stream.between(5.0, 25.0).round()).collect();
        match set_out(&ceiling, &SMALL) {
            Ok(layout) => {
                laid += 1;
                assert_sound(&ceiling, &layout, &format!("seed {seed}"));
                let room: Vec<Point> = ceiling.corners.iter().map(|c| c.at).collect();
                let free = area_mm2(&room).abs() - area_mm2(&layout.outline);
                let perimeter: f64 =
                    room.iter().zip(room.iter().cycle().skip(1)).map(|(a, b)| a.distance_mm(*b)).sum();
                let expected = perimeter * ceiling.mean_gap_mm();
                assert!((free - expected).abs() < 0.05 * expected, "seed {seed}: {free} of {expected}");
            }
            Err(SetoutError::NoLayout { .. }) => {}
            Err(other) => assert!(other.to_string().contains("nearly straight"), "seed {seed}: {other}"),
        }
    }
    assert!(laid > 50, "{laid}");
}

#[test]
fn bars_pass_beside_what_comes_through_the_ceiling() {
    let mut ceiling = rooms::percussion_room();
    let hole = [(2300., 1700.), (2550., 1700.), (2550., 1950.), (2300., 1950.)];
    ceiling.obstructions.push(hole.iter().map(|&(x, y)| Point::new(x, y)).collect());
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    let breaches = check(&ceiling, &layout);
    assert!(breaches.is_empty(), "{breaches:#?}");
    for layer in &layout.layers {
        let holes: f64 = layer.pieces.iter().flat_map(|p| &p.cut_outs).map(|c| area_mm2(c)).sum();
        assert!((holes - 62_500.0).abs() < 1.0, "{holes}");
    }
}

#[test]
fn one_layer_alone_needs_fewer_bars() {
    let mut ceiling = rooms::percussion_room();
    let both = set_out(&ceiling, &Budget::default()).unwrap();
    ceiling.layers.remove(0);
    let one = set_out(&ceiling, &Budget::default()).unwrap();
    assert_sound(&ceiling, &one, "one layer");
    assert!(one.worth.bars < both.worth.bars);
}

#[test]
fn the_same_room_gives_the_same_layout() {
    let ceiling = rooms::percussion_room();
    let once = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(once, set_out(&ceiling, &Budget::default()).unwrap());
}

#[test]
fn shifting_every_strip_for_itself_comes_within_a_board_of_the_bound() {
    let ceiling = rooms::percussion_room();
    let layout = set_out(&ceiling, &Budget::deep()).unwrap();
    assert_sound(&ceiling, &layout, "percussion room, deep");
    assert!(layout.least_boards_together >= 37, "{}", layout.least_boards_together);
    assert!(layout.worth.boards <= layout.least_boards_together + 1, "{:?}", layout.worth);
    assert!(layout.proved_fewest_boards || layout.notes.iter().any(|n| n.contains("one board can be saved")));
}

#[test]
fn the_deep_search_saves_boards_and_is_never_under_the_bound() {
    let mut saved = 0;
    for seed in [3, 5, 9, 12, 36] {
        let ceiling = rooms::random_room(seed);
        let quick = set_out(&ceiling, &Budget::default()).unwrap();
        let deep = set_out(&ceiling, &Budget::deep()).unwrap();
        assert_sound(&ceiling, &deep, &format!("seed {seed}, deep"));
        for layout in [&quick, &deep] {
            assert!(layout.worth.boards >= layout.least_boards_together, "seed {seed}");
            assert!(layout.least_boards_together >= layout.least_boards.iter().sum(), "seed {seed}");
        }
        assert!(deep.worth.boards <= quick.worth.boards, "seed {seed}: {:?} {:?}", deep.worth, quick.worth);
        saved += quick.worth.boards - deep.worth.boards;
    }
    assert!(saved > 0);
}

#[test]
fn any_number_of_threads_gives_the_same_layout() {
    let ceiling = rooms::random_room(9);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| set_out(&ceiling, &Budget::deep()).unwrap())
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn an_interrupted_search_keeps_a_sound_layout() {
    let ceiling = rooms::percussion_room();
    let stop = std::sync::atomic::AtomicBool::new(true);
    let layout = setout::set_out_until(&ceiling, &Budget::deep(), &stop).unwrap();
    assert_sound(&ceiling, &layout, "interrupted");
}

#[test]
fn a_room_whose_fewest_boards_are_proved() {
    let layout = set_out(&rooms::random_room(5), &Budget::deep()).unwrap();
    assert!(layout.proved_fewest_boards, "{} of {}", layout.worth.boards, layout.least_boards_together);
}

#[test]
fn a_room_of_twelve_walls_is_set_out_soundly() {
    let ceiling = rooms::twelve_walls();
    let layout = set_out(&ceiling, &Budget::deep()).unwrap();
    assert_sound(&ceiling, &layout, "twelve walls");
}

#[test]
fn bars_that_run_on_past_the_boards_carry_nothing_there() {
    let ceiling = rooms::wide_gap_room();
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_sound(&ceiling, &layout, "wide gap");
}

#[test]
fn gaps_to_the_walls_of_any_width_keep_every_rule() {
    let mut laid = 0;
    for (of, room) in [("percussion room", rooms::percussion_room()), ("wide gap", rooms::wide_gap_room())] {
        for gap_mm in (8..=80).step_by(3) {
            let mut ceiling = room.clone();
            ceiling.rules.perimeter_gap_mm = f64::from(gap_mm);
            if let Ok(layout) = set_out(&ceiling, &SMALL) {
                assert_sound(&ceiling, &layout, &format!("{of}, {gap_mm} mm"));
                laid += 1;
            }
        }
    }
    assert!(laid >= 40, "{laid} of 50");
}
