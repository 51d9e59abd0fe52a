//! What the person prefers comes first, and the rest follows as it stands.
#![allow(clippy::unwrap_used, reason = "a test stops at once")]

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
