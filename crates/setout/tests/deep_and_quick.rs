//! The deep search has what the quick one finds: it never gives a layout that is worse by what was asked for.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

#[path = "rooms/mod.rs"]
mod rooms;

use setout::{Aim, Budget, set_out};

/// Whatever counts first: boards, bars, clips or pieces.
#[test]
fn deep_is_never_worse_than_quick() {
    let deep = Budget { steps: 4_000, shifts: 200 };
    for aims in [vec![], vec![Aim::Clips], vec![Aim::Bars], vec![Aim::Pieces]] {
        for mut ceiling in [rooms::percussion_room(), rooms::ell_room(), rooms::random_room(3)] {
            ceiling.rules.prefer.clone_from(&aims);
            let order = Aim::order(&aims);
            let quick = set_out(&ceiling, &Budget::default()).unwrap();
            let found = set_out(&ceiling, &deep).unwrap();
            assert!(
                found.worth.rank(&order) <= quick.worth.rank(&order)
                    || (aims.is_empty() && found.worth.bars <= quick.worth.bars),
                "{aims:?}: {:?} against {:?}",
                found.worth,
                quick.worth
            );
            assert_eq!(found.breaches, []);
        }
    }
}

/// As many boards and slivers: a few pieces fewer buy no twelve bars and seventy clips.
#[test]
fn pieces_alone_buy_no_bars() {
    let ceiling = rooms::percussion_room();
    let quick = set_out(&ceiling, &Budget::default()).unwrap().worth;
    let deep = set_out(&ceiling, &Budget::deep()).unwrap().worth;
    if (quick.boards, quick.slivers) == (deep.boards, deep.slivers) {
        assert!(deep.bars <= quick.bars || deep.clips <= quick.clips, "{deep:?} against {quick:?}");
    } else {
        assert!((deep.boards, deep.slivers) < (quick.boards, quick.slivers), "{deep:?} against {quick:?}");
    }
}
