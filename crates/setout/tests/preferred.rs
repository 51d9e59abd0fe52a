//! What the person prefers comes first, and the rest follows as it stands.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops at once")]

mod rooms;

use setout::check::check;
use setout::{Aim, Budget, set_out};

#[test]
fn the_order_asked_for_comes_first_and_the_rest_keep_theirs() {
    assert_eq!(Aim::order(&[]), Aim::ALL);
    let asked = [Aim::Bars, Aim::Clips, Aim::Bars];
    let order = [Aim::Bars, Aim::Clips, Aim::Boards, Aim::Slivers, Aim::Pieces, Aim::Cuts];
    assert_eq!(Aim::order(&asked), order);
}

#[test]
fn each_preference_is_no_worse_by_its_own_measure() {
    for plain in [rooms::percussion_room(), rooms::ell_room()] {
        let usual = set_out(&plain, &Budget::default()).unwrap();
        let mut gained = false;
        for aim in Aim::ALL {
            let mut ceiling = plain.clone();
            ceiling.rules.prefer = vec![aim];
            let layout = set_out(&ceiling, &Budget::default()).unwrap();
            assert!(check(&ceiling, &layout).is_empty(), "{aim:?}");
            let order = Aim::order(&[aim]);
            let (found, before) = (layout.worth.by(&order), usual.worth.by(&order));
            assert!(found[0] <= before[0], "{aim:?}: {:?} against {:?}", layout.worth, usual.worth);
            gained |= found[0] < before[0];
            if aim == Aim::Boards {
                assert_eq!(layout.worth, usual.worth);
            }
        }
        assert!(gained, "no preference changes anything: {:?}", usual.worth);
    }
}

/// A joist that the plain layout overloads is spared: clips go to its neighbours, in a layout of as many boards.
#[test]
fn a_layout_that_overloads_a_joist_loses_to_one_that_does_not() {
    let mut spared = 0;
    for plain in [rooms::percussion_room(), rooms::ell_room(), rooms::random_room(5), rooms::random_room(12)]
    {
        let usual = set_out(&plain, &Budget::default()).unwrap();
        let mut carried = vec![0.0; plain.joists.len()];
        for load in &usual.joist_loads {
            carried[load.joist] += load.load_kg;
        }
        let most = (0..carried.len()).max_by(|a, b| carried[*a].total_cmp(&carried[*b])).unwrap();
        let mut weak = plain.clone();
        for (joist, carried) in weak.joists.iter_mut().zip(&carried) {
            joist.allowed_kg = Some(carried + 200.0);
        }
        weak.joists[most].allowed_kg = Some(carried[most] - 4.0);
        let layout = set_out(&weak, &Budget::default()).unwrap();
        assert!(check(&weak, &layout).is_empty());
        assert_eq!(layout.worth.boards, usual.worth.boards);
        println!("{:?} where {:?} overloads by 4 kg", layout.worth, usual.worth);
        assert!(layout.worth.overload_kg <= 4, "{:?}", layout.worth);
        let now: f64 = layout.joist_loads.iter().filter(|l| l.joist == most).map(|l| l.load_kg).sum();
        if layout.worth.overload_kg == 0 {
            spared += 1;
            assert!(now <= carried[most] - 4.0 + 1e-6, "{now} of {}", carried[most]);
        }
    }
    assert!(spared == 4, "{spared} of 4 rooms");
}
