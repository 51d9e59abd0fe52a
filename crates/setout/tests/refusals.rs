//! Inputs that make no sense and limits no layout can meet: a sentence that says which and what to do.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at once"
)]

mod rooms;

use setout::{Budget, Ceiling, Point, SetoutError, set_out};

#[track_caller]
fn refused(spoil: impl Fn(&mut Ceiling), words: &[&str]) -> SetoutError {
    let mut ceiling = rooms::percussion_room();
    spoil(&mut ceiling);
    let error = set_out(&ceiling, &Budget { steps: 5, shifts: 0 }).expect_err("must be refused");
    let sentence = error.to_string();
    for word in words {
        assert!(sentence.contains(word), "{word:?} not in {sentence:?}");
    }
    error
}

#[test]
fn a_ring_that_crosses_itself() {
    refused(|c| c.corners.swap(1, 2), &["corners", "order"]);
}

#[test]
fn two_corners_only() {
    refused(|c| c.corners.truncate(2), &["corners", "3"]);
}

#[test]
fn a_corner_that_is_no_number() {
    refused(|c| c.corners[1].at = Point::new(f64::NAN, 0.0), &["corner B"]);
}

#[test]
fn a_joist_outside_the_room() {
    refused(
        |c| {
            c.joists[3].from = Point::new(9000.0, 0.0);
            c.joists[3].to = Point::new(9000.0, 3900.0);
        },
        &["joist J4", "outside the room"],
    );
}

#[test]
fn a_joist_across_the_others() {
    refused(
        |c| {
            c.joists[3].from = Point::new(0.0, 2000.0);
            c.joists[3].to = Point::new(3000.0, 2000.0);
        },
        &["joist J4", "one way"],
    );
}

#[test]
fn no_joists() {
    refused(|c| c.joists.clear(), &["joists"]);
}

#[test]
fn a_board_larger_than_the_way_in() {
    // On the slant 1067 mm pass an opening of 900 by 600, of a sheet 15 mm thick (found below by trying every slant).
    refused(|c| c.rules.way_in_mm = Some([900.0, 600.0]), &["layer 2", "1200", "1067", "slant"]);
    let [height, width, thickness] = [900.0_f64, 600.0, 15.0];
    let passes = |wide: f64| {
        (1..9000).any(|step| {
            let (sine, cosine) = quantities::math::sin_cos((f64::from(step) / 100.0).to_radians());
            wide * cosine + thickness * sine <= width && wide * sine + thickness * cosine <= height
        })
    };
    assert!(passes(1067.0) && !passes(1068.0));
}

/// 1195 by 700 lets 1200 mm through on the slant: its diagonal is 1385.
#[test]
fn a_board_that_passes_on_the_slant_is_not_refused() {
    let mut ceiling = rooms::percussion_room();
    ceiling.rules.way_in_mm = Some([1195.0, 700.0]);
    assert!(set_out(&ceiling, &Budget { steps: 20, shifts: 0 }).is_ok());
}

/// The least rating told is one that works, and one kilogram less does not.
#[test]
fn a_clip_too_weak_is_told_the_rating_that_does() {
    let mut ceiling = rooms::percussion_room();
    ceiling.clip.rated_load_kg = Some(2.0);
    let error = set_out(&ceiling, &Budget { steps: 20, shifts: 0 }).unwrap_err().to_string();
    assert!(!error.contains("inf"), "{error}");
    let (_, after) = error.split_once("take a clip rated ").unwrap();
    let kg: f64 = after.split(' ').next().unwrap().parse().unwrap();
    for (rated, works) in [(kg, true), (kg - 1.0, false)] {
        ceiling.clip.rated_load_kg = Some(rated);
        assert_eq!(set_out(&ceiling, &Budget { steps: 20, shifts: 0 }).is_ok(), works, "{rated}");
    }
}

#[test]
fn a_clip_too_near_the_end_is_told_alone() {
    let error = refused(|c| c.rules.end_clip_mm = 30.0, &["end_clip_mm", "30", "50"]).to_string();
    assert!(!error.contains("screw") && !error.contains("bars"), "{error}");
}

#[test]
fn a_bar_too_short_for_its_laps() {
    refused(|c| c.bar.stock_length_mm = 400.0, &["bar.stock_length_mm", "600"]);
}

#[test]
fn a_bar_too_narrow_for_two_bearings() {
    let error = refused(|c| c.bar.face_width_mm = 36.0, &["edge_bearing_mm", "18"]);
    assert!(matches!(error, SetoutError::NoLayout { relax_to_mm: Some(r), .. } if (r - 18.0).abs() < 1e-9));
}

#[test]
fn staggers_beyond_half_a_board() {
    refused(|c| c.rules.stagger_rows_mm = 700.0, &["layer 1", "stagger_rows_mm", "600"]);
    refused(|c| c.rules.stagger_layers_mm = 400.0, &["stagger_layers_mm", "300"]);
}

#[test]
fn clips_too_weak_for_the_ceiling() {
    refused(|c| c.clip.rated_load_kg = Some(1.0), &["rated 1.0 kg", "kg or more"]);
}

#[test]
fn pieces_larger_than_the_room_allows_say_how_far_to_ease() {
    let ease = |c: &mut Ceiling| {
        c.rules.min_piece_mm = 600.0;
        c.rules.min_strip_mm = 300.0;
        c.rules.stagger_rows_mm = 600.0;
    };
    let error = refused(ease, &["lower"]);
    let SetoutError::NoLayout { limit, relax_to_mm: Some(to), .. } = error else { panic!("{error:?}") };
    let mut ceiling = rooms::percussion_room();
    ease(&mut ceiling);
    match limit.as_str() {
        "min_piece_mm" => ceiling.rules.min_piece_mm = to,
        "min_strip_mm" => ceiling.rules.min_strip_mm = to,
        "stagger_layers_mm" => ceiling.rules.stagger_layers_mm = to,
        other => panic!("{other}"),
    }
    set_out(&ceiling, &Budget { steps: 5, shifts: 0 }).expect("the eased limit is far enough");
}

#[test]
fn nonsense_in_any_number_is_refused_not_a_panic() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 1e12] {
        refused(|c| c.layers[0].length_mm = bad, &["layer 1"]);
        refused(|c| c.rules.bar_gap_mm = bad, &["bar_gap_mm"]);
        refused(|c| c.rules.perimeter_gap_mm = bad, &["perimeter_gap_mm"]);
        refused(|c| c.rules.kerf_mm = bad, &["kerf_mm"]);
        refused(|c| c.clip.rated_load_kg = Some(bad), &["rated_load_kg"]);
        refused(|c| c.bar.face_width_mm = bad, &["face_width_mm"]);
    }
}

type Limit = (&'static str, fn(&mut setout::Rules) -> &mut f64);

const LIMITS: [Limit; 8] = [
    ("min_strip_mm", |r| &mut r.min_strip_mm),
    ("min_piece_mm", |r| &mut r.min_piece_mm),
    ("stagger_rows_mm", |r| &mut r.stagger_rows_mm),
    ("stagger_layers_mm", |r| &mut r.stagger_layers_mm),
    ("lap_stagger_mm", |r| &mut r.lap_stagger_mm),
    ("first_bar_mm", |r| &mut r.first_bar_mm),
    ("bar_gap_mm", |r| &mut r.bar_gap_mm),
    ("edge_bearing_mm", |r| &mut r.edge_bearing_mm),
];

/// Limits no layout can meet, in the percussion room and in an invented one: with the relaxation that is told the room can be laid, and at
/// two values nearer to the limit asked for it cannot (at eight, in four rooms, once by hand: none of 28 could).
#[test]
fn the_relaxation_told_is_the_smallest() {
    const QUICK: Budget = Budget { steps: 1, shifts: 0 };
    let asked: [(&str, &[f64]); 6] = [
        ("min_strip_mm", &[420.0, 590.0]),
        ("min_piece_mm", &[400.0, 750.0]),
        ("stagger_rows_mm", &[600.0, 795.0]),
        ("stagger_layers_mm", &[300.0, 450.0]),
        ("lap_stagger_mm", &[1600.0, 2000.0]),
        ("first_bar_mm", &[30.0, 60.0, 70.0]),
    ];
    let rooms =
        [rooms::percussion_room(), rooms::random_room(2), rooms::random_room(4), rooms::random_room(6)];
    let own = |limit: &str| LIMITS.iter().find(|(name, _)| *name == limit).unwrap().1;
    let (mut tried, mut open) = (0, 0);
    for (room, (limit, values)) in rooms.iter().flat_map(|room| asked.iter().map(move |asked| (room, asked)))
    {
        for value in *values {
            let mut ceiling = room.clone();
            *own(limit)(&mut ceiling.rules) = *value;
            let Err(error) = set_out(&ceiling, &QUICK) else { continue };
            let sentence = error.to_string();
            let SetoutError::NoLayout { limit: named, relax_to_mm: Some(to), .. } = error else {
                panic!("{sentence}")
            };
            let has = *own(&named)(&mut ceiling.rules);
            let lays = |value: f64| {
                let mut eased = ceiling.clone();
                *own(&named)(&mut eased.rules) = value;
                set_out(&eased, &QUICK).is_ok()
            };
            tried += 1;
            if sentence.contains("and then:") || sentence.contains("together") {
                open += 1;
                println!("{sentence}");
                continue;
            }
            assert!(sentence.contains(&format!("{to:.0}")), "{sentence}");
            assert!(lays(to), "{sentence}");
            for part in [0.5, 0.9] {
                let nearer = has + (to - has) * part;
                assert!(!lays(nearer), "{nearer} does: {sentence}");
            }
        }
    }
    println!("{tried} refused, {open} of them by more than one limit");
    assert!(tried > 10 && open <= 2, "{tried}, {open}");
}

/// Where the search shifts every strip for itself before it gives up, what is told is what that finds: in this room joints turn and turn
/// about would have the least piece lowered to less than 400.
#[test]
fn a_relaxation_counts_on_strips_shifted_for_themselves() {
    let mut ceiling = rooms::any_room(1);
    ceiling.rules.min_piece_mm = 900.0;
    let told = |budget: &Budget| match set_out(&ceiling, budget) {
        Err(SetoutError::NoLayout { limit, relax_to_mm: Some(to), .. }) if limit == "min_piece_mm" => to,
        other => panic!("{other:?}"),
    };
    let quick = told(&Budget { steps: 1, shifts: 0 });
    let to = told(&Budget::default());
    assert!(quick < 400.0 && to > 500.0, "{quick} {to}");
    let mut eased = ceiling.clone();
    eased.rules.min_piece_mm = to;
    let layout = set_out(&eased, &Budget::default()).unwrap();
    assert!(layout.breaches.is_empty(), "{:?}", layout.breaches);
}
