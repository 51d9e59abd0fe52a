//! The rooms under `examples/`: each is read without a word to say about it and planned to the end.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use fabric::moisture::Verdict;
use plan::{
    outcome::{Plan, Standing},
    plan as plan_room, read,
};

const BOOTH: &str = include_str!("../../../examples/voice-booth/room.toml");
const GARAGE: &str = include_str!("../../../examples/garage/room.toml");
const PERCUSSION: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(text: &str) -> Plan {
    let (project, said) = read(text, "room.toml");
    assert!(said.is_empty(), "{said:?}");
    plan_room(&project.unwrap()).unwrap()
}

fn standing(plan: &Plan, of: &str) -> Standing {
    plan.verdicts.iter().find(|verdict| verdict.about == of).unwrap().standing
}

#[test]
fn a_booth_under_a_dwelling_is_planned_with_the_drop_below_the_joists() {
    let plan = planned(BOOTH);
    assert_eq!(standing(&plan, "ceiling"), Standing::Holds);
    // Joists 2208 mm above the floor at the lowest, 37 of clip and bar, two boards of 15: what stands between is packers.
    let heights = plan.heights.as_ref().unwrap();
    let headroom_mm = heights.headroom_mm;
    assert!((2130.0..2150.0).contains(&headroom_mm), "{headroom_mm}");
    let layout = plan.ceiling.layout.as_ref().unwrap();
    assert!((layout.level.as_ref().unwrap().spacer_block_mm - 37.0).abs() < 1e-9);
}

#[test]
fn vapour_has_no_cold_side_to_go_to_under_a_heated_storey() {
    let plan = planned(BOOTH);
    let moisture = plan.fabric.moisture.unwrap();
    assert_eq!(moisture.verdict, Verdict::Dry);
    assert!(moisture.mould_safe);
    // The same ceiling under a loft would stand against winter air, and condense.
    let loft = BOOTH
        .replace("kind = \"floor\"", "kind = \"loft\"")
        .replace("behind = \"ceiling\"", "behind = \"A-B\"");
    let (project, _) = read(&loft, "room.toml");
    let under_a_loft = plan_room(&project.unwrap()).unwrap();
    assert!(under_a_loft.fabric.moisture.unwrap().peak_g_m2 > 100.0);
}

#[test]
fn an_l_shaped_garage_with_a_beam_is_planned() {
    let plan = planned(GARAGE);
    for of in ["ceiling", "joists", "headroom", "survey", "damp", "fresh air"] {
        assert_eq!(standing(&plan, of), Standing::Holds, "{of}");
    }
}

/// What a dry-liner's second thoughts found: offcuts of the first layer serve the second in the booth, and joints on a finer grid
/// spare three boards in the garage. No layout can do with fewer than the bound, which is far from the garage's.
#[test]
fn boards_bought_for_the_examples() {
    for (text, most, least) in [(BOOTH, 19, 18), (GARAGE, 34, 30)] {
        let plan = planned(text);
        let layout = plan.ceiling.layout.as_ref().unwrap();
        assert!(layout.worth.boards <= most, "{:?}", layout.worth);
        assert!(layout.least_boards_together >= least, "{}", layout.least_boards_together);
        assert!(layout.breaches.is_empty());
        // The order buys what is bought, each sheet once.
        let bought: usize = layout.take_off.boards.iter().map(|b| b.sheets).sum();
        assert_eq!(bought, layout.worth.boards);
    }
}

/// A tape is pulled inside the room: an example that tapes through masonry would teach what cannot be done.
#[test]
fn every_tape_of_an_example_can_be_pulled() {
    for text in [BOOTH, GARAGE, PERCUSSION] {
        let plan = planned(text);
        let survey = &plan.survey;
        for reading in survey.readings.iter().filter(|reading| reading.tied.is_none()) {
            let (a, b) = (survey.corners[reading.from].at, survey.corners[reading.to].at);
            let beside = reading.from.abs_diff(reading.to);
            if beside == 1 || beside + 1 == survey.corners.len() {
                continue;
            }
            let inside_mm: f64 = survey.polygon.clip_line(a, b).iter().map(|(p, q)| p.distance_mm(*q)).sum();
            assert!(inside_mm > a.distance_mm(b) - 1.0, "{}: {inside_mm:.0} mm inside", reading.name);
        }
    }
}
