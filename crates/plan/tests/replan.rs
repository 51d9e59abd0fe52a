//! A plan made with a memory equals a fresh one bit for bit, whatever was planned before.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "a test stops at what it did not expect"
)]

use std::{sync::atomic::AtomicBool, time::Instant};

use plan::{CeilingState, Memory, Project, Unknown, edit, plan, read, replan, tried};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn project(text: &str) -> Project {
    let (project, found) = read(text, "room.toml");
    project.unwrap_or_else(|| panic!("{found:?}"))
}

/// One edit of each sort a page makes, each on the demo as it stands.
fn edited() -> Vec<(&'static str, String)> {
    let set = |path: &str, value: f64| edit::set(DEMO, path, value).unwrap();
    let word = |path: &str, value: &str| edit::set(DEMO, path, value).unwrap();
    vec![
        ("a tape", set("survey.tape[2].ceiling_mm", 4236.0)),
        ("a joist level", set("joist[3].up_from_laser_mm[1]", 1140.0)),
        ("a cavity deeper", set("buildup[0].layer[4].depth_mm", 50.0)),
        ("fibre thicker", set("buildup[0].layer[2].fill_mm", 80.0)),
        ("a board swapped", word("buildup[0].layer[6].material", "plasterboard-15")),
        ("a door leaf", word("buildup[4].layer[0].material", "hardwood-66")),
        ("a seal", word("opening[1].seal", "double-compression-seal")),
        ("a source louder", set("source[0].level_dba", 108.0)),
        ("a limit", set("receiver[0].limit_dba", 42.0)),
        ("people", set("use.people", 4.0)),
        ("a price", set("stock.clip.price", 3.3)),
        ("a rule", set("rules.bar_gap_mm", 580.0)),
    ]
}

#[test]
fn a_remembered_plan_equals_a_fresh_one() {
    let memory = Memory::new();
    let go_on = AtomicBool::new(false);
    let full = |project: &Project| replan(project, &memory, Unknown::SetOut(&go_on)).unwrap();
    let first = full(&project(DEMO));
    assert_eq!(first.ceiling, CeilingState::SetOut);
    assert_eq!(first.plan, plan(&project(DEMO)).unwrap());
    let mut ranges_stood_in = 0;
    for (what, text) in edited() {
        let (found, said) = read(&text, "room.toml");
        let Some(project) = found else { panic!("{what}: {said:?}") };
        let fresh = plan(&project).unwrap();
        let quick = replan(&project, &memory, Unknown::StandIn).unwrap();
        // What nothing but the order and the verdicts hang on sets no ceiling out again.
        assert!(quick.is_settled() || !["a price", "a limit"].contains(&what), "{what}");
        if quick.is_settled() {
            assert_eq!(quick.plan, fresh, "{what}, at once");
        } else if quick.ceiling == CeilingState::SetOut {
            // Only the ranges are still those of before the edit.
            let best = |plan: &plan::Plan| -> Vec<_> {
                plan.elements
                    .iter()
                    .map(|element| (element.prediction.r_db, element.ratings.clone()))
                    .collect()
            };
            assert_eq!(best(&quick.plan), best(&fresh), "{what}, at once");
            ranges_stood_in += 1;
        }
        let whole = full(&project);
        assert_eq!(format!("{:?}", whole.plan), format!("{fresh:?}"), "{what}");
        let again = replan(&project, &memory, Unknown::StandIn).unwrap();
        assert!(again.is_settled(), "{what}");
        assert_eq!(format!("{:?}", again.plan), format!("{fresh:?}"), "{what}, remembered");
    }
    assert!(ranges_stood_in > 0, "no edit tried a range that stands in");
    assert_eq!(full(&project(DEMO)).plan, first.plan, "and back again");
}

#[test]
fn a_stand_in_is_never_taken_for_the_ceilings_own() {
    let memory = Memory::new();
    let asked = project(&edit::set(DEMO, "rules.bar_gap_mm", 560.0).unwrap());
    let nothing_yet = replan(&asked, &memory, Unknown::StandIn).unwrap();
    assert_eq!(nothing_yet.ceiling, CeilingState::StandsIn);
    assert!(nothing_yet.plan.ceiling.layout.is_none());
    replan(&project(DEMO), &memory, Unknown::SetOut(&AtomicBool::new(false))).unwrap();
    let stands_in = replan(&asked, &memory, Unknown::StandIn).unwrap();
    assert_eq!(stands_in.ceiling, CeilingState::StandsIn);
    assert!(stands_in.plan.ceiling.layout.is_some());
    // A search that is told to stop is not remembered as a finished one.
    let stopped = replan(&asked, &memory, Unknown::SetOut(&AtomicBool::new(true))).unwrap();
    assert_eq!(stopped.ceiling, CeilingState::EndedEarly);
    assert_eq!(replan(&asked, &memory, Unknown::StandIn).unwrap().ceiling, CeilingState::StandsIn);
}

#[test]
fn a_stand_in_refuses_bridged_clips_by_the_edit_and_not_by_the_earlier_ceiling() {
    let memory = Memory::new();
    let go_on = AtomicBool::new(false);
    let many = edit::set(DEMO, "ceiling.bridged_clips", 900.0).unwrap();
    let few = edit::set(DEMO, "ceiling.bridged_clips", 2.0).unwrap();
    let refused = |text: &str, unknown| {
        let replanned = replan(&project(text), &memory, unknown).unwrap();
        (
            replanned.ceiling,
            replanned.plan.ceiling.bridged_clips,
            replanned.plan.ceiling.bridged_clips_refused,
        )
    };
    let (_, clips, said) = refused(&many, Unknown::SetOut(&go_on));
    assert_eq!(clips, 0);
    assert!(said.is_some_and(|said| said.starts_with("900 clips")));
    assert_eq!(refused(&few, Unknown::StandIn), (CeilingState::StandsIn, 2, None));
    let more = edit::set(DEMO, "ceiling.bridged_clips", 800.0).unwrap();
    let (state, clips, said) = refused(&more, Unknown::StandIn);
    assert_eq!((state, clips), (CeilingState::StandsIn, 0));
    assert!(said.is_some_and(|said| said.starts_with("800 clips")));
}

#[test]
fn what_was_measured_waits_for_its_judgement_and_then_equals_a_fresh_one() {
    const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");
    let memory = Memory::new();
    let go_on = AtomicBool::new(false);
    let said = |plan: &plan::Plan| format!("{:?}", plan.proof);
    let unjudged = replan(&project(PROVED), &memory, Unknown::StandIn).unwrap();
    assert!(unjudged.proof_stands_in);
    let proof = unjudged.plan.proof.unwrap();
    assert_eq!((proof.differences.len(), proof.diagnosis), (0, None));
    assert_eq!(proof.not_judged, ["What was measured is being judged."]);
    let first = replan(&project(PROVED), &memory, Unknown::SetOut(&go_on)).unwrap();
    assert!(first.is_settled());
    assert_eq!(said(&first.plan), said(&plan(&project(PROVED)).unwrap()));
    for (path, value, waits) in
        [("stock.clip.price", 3.3, false), ("buildup[0].layer[2].fill_mm", 80.0, true)]
    {
        let text = edit::set(PROVED, path, value).unwrap();
        let fresh = plan(&project(&text)).unwrap();
        let quick = replan(&project(&text), &memory, Unknown::StandIn).unwrap();
        assert_eq!(quick.proof_stands_in, waits, "{path}");
        assert_eq!(said(&quick.plan) == said(&fresh), !waits, "{path}, at once");
        assert_eq!(said(&quick.plan), said(&first.plan), "{path}, at once");
        let whole = replan(&project(&text), &memory, Unknown::SetOut(&go_on)).unwrap();
        assert!(whole.is_settled());
        assert_eq!(format!("{:?}", whole.plan), format!("{fresh:?}"), "{path}");
    }
}

#[test]
fn what_is_heard_waits_after_a_tape_and_then_equals_a_fresh_one() {
    let memory = Memory::new();
    let go_on = AtomicBool::new(false);
    let first = replan(&project(DEMO), &memory, Unknown::SetOut(&go_on)).unwrap();
    let heard = |plan: &plan::Plan| format!("{:?}", plan.heard);
    let with = |text: &str, path: &str, value: f64| edit::set(text, path, value).unwrap();
    let tape = with(DEMO, "survey.tape[2].ceiling_mm", 4240.0);
    let fresh = plan(&project(&tape)).unwrap();
    assert_ne!(heard(&fresh), heard(&first.plan), "another room sounds otherwise");
    let quick = replan(&project(&tape), &memory, Unknown::StandIn).unwrap();
    assert!(quick.heard_stands_in && quick.ranges_stand_in && !quick.is_settled());
    assert_eq!(heard(&quick.plan), heard(&first.plan), "what was heard before stands in");
    assert_eq!(quick.plan.survey, fresh.survey, "the room is its own at once");
    // A limit is judged at once, though what is held against it still waits.
    let both = with(&tape, "receiver[0].limit_dba", 42.0);
    let quick = replan(&project(&both), &memory, Unknown::StandIn).unwrap();
    assert!(quick.plan.heard.iter().any(|one| {
        one.heard.verdict.as_ref().is_some_and(|verdict| verdict.criterion.label().contains("42"))
    }));
    let whole = replan(&project(&tape), &memory, Unknown::SetOut(&go_on)).unwrap();
    assert!(whole.is_settled());
    assert_eq!(format!("{:?}", whole.plan), format!("{fresh:?}"));
    // In a room that is known nothing of it waits: a door leaf is heard at once.
    let leaf = edit::set(&tape, "buildup[4].layer[0].material", "hardwood-66").unwrap();
    let quick = replan(&project(&leaf), &memory, Unknown::StandIn).unwrap();
    assert!(!quick.heard_stands_in);
    assert_ne!(heard(&quick.plan), heard(&fresh));
}

#[test]
fn a_bar_off_its_mark_breaks_the_gap() {
    let plan = plan(&project(DEMO)).unwrap();
    let layout = plan.ceiling.layout.as_ref().unwrap();
    let middle = layout.bars.len() / 2;
    let still = tried::bar(&plan, middle, 0.0).unwrap();
    assert!(still.breaches.is_empty(), "{:?}", still.breaches);
    let moved = tried::bar(&plan, middle, 200.0).unwrap();
    assert!(!moved.breaches.is_empty());
    assert!(moved.readings.iter().all(|(_, at_mm)| at_mm.is_finite()));
    let opened = moved.gap_before_mm.unwrap() - still.gap_before_mm.unwrap();
    assert!((opened - 200.0).abs() < 0.5, "{opened}");
    assert!(tried::bar(&plan, 99, 0.0).unwrap_err().contains("no bar 99"));
    assert!(tried::bar(&plan, 1, f64::NAN).is_err());
}

/// Not a test of speed: it prints what each edit costs, for whoever asks (`--nocapture`).
#[test]
fn what_each_edit_costs() {
    let memory = Memory::new();
    let base = project(DEMO);
    replan(&base, &memory, Unknown::SetOut(&AtomicBool::new(false))).unwrap();
    for (what, text) in edited() {
        let begin = Instant::now();
        let project = project(&text);
        let read_ms = begin.elapsed().as_secs_f64() * 1e3;
        let quick = replan(&project, &memory, Unknown::StandIn).unwrap();
        eprintln!(
            "{what:20} read {read_ms:6.1} ms, in all {:6.1} ms, ceiling {:?}",
            begin.elapsed().as_secs_f64() * 1e3,
            quick.ceiling
        );
    }
}
