//! Whatever room is planned, nothing panics and no number is lost: analytic limits and properties, not evidence.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use plan::{edit, plan, read};
use proptest::{prelude::*, test_runner::RngSeed};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

/// Numbers of the demo a person might change, with a range wider than the sensible one.
const KNOBS: [(&str, f64, f64); 16] = [
    ("survey.tape[0].ceiling_mm", 1500.0, 9000.0),
    ("survey.tape[6].ceiling_mm", 2000.0, 9000.0),
    ("joists.depth_mm", 60.0, 400.0),
    ("joists.member_width_mm", 25.0, 120.0),
    ("joist[4].from_mm", 300.0, 5000.0),
    ("limits.headroom_mm", 1600.0, 3500.0),
    ("roof.fall_mm_per_m", 0.0, 400.0),
    ("opening[0].width_mm", 100.0, 2400.0),
    ("receiver[0].distance_m", 0.3, 900.0),
    ("receiver[1].height_m", 0.0, 40.0),
    ("use.fresh_air_l_s", 1.0, 400.0),
    ("rules.bar_gap_mm", 250.0, 1100.0),
    ("rules.clip_gap_mm", 250.0, 2000.0),
    ("rules.perimeter_gap_mm", 1.0, 45.0),
    ("stock.clip.rated_load_kg", 1.0, 100.0),
    ("gap[0].width_mm", 0.01, 60.0),
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, rng_seed: RngSeed::Fixed(2026), ..ProptestConfig::default() })]

    #[test]
    fn any_room_that_reads_is_planned_or_refused_with_a_sentence(
        choices in prop::collection::vec((0..KNOBS.len(), 0.0..1.0_f64), 1..6)
    ) {
        let mut text = DEMO.to_owned();
        for (knob, part) in choices {
            let (path, low, high) = KNOBS[knob];
            let value = quantities::format::round_to(low + (high - low) * part, 1);
            text = edit::set(&text, path, value).unwrap();
        }
        let (project, found) = read(&text, "room.toml");
        prop_assert!(project.is_some() || !found.is_empty());
        let Some(project) = project else { return Ok(()) };
        match plan(&project) {
            Ok(plan) => {
                prop_assert!(!plan.verdicts.is_empty() && !plan.steps.is_empty());
                for verdict in &plan.verdicts {
                    prop_assert!(!verdict.figure.contains("NaN") && !verdict.figure.contains("inf"), "{verdict:?}");
                }
                for heard in &plan.heard {
                    prop_assert!(heard.heard.level_dba.median_db.is_finite());
                }
                if let Some(layout) = &plan.ceiling.layout {
                    prop_assert!(plan.ceiling.breaches.is_empty(), "{:?}", plan.ceiling.breaches);
                    prop_assert!(layout.take_off.mass_kg > 0.0);
                } else {
                    prop_assert!(plan.ceiling.not_planned.as_ref().is_some_and(|words| words.len() > 20));
                }
            }
            Err(error) => prop_assert!(error.to_string().len() > 20),
        }
    }
}
