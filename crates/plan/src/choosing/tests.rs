//! The choice's own reckoning against whole plans.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use super::{
    field::Field,
    plan_whole,
    proposal::Change,
    settling::Room,
    whole::{Wholes, verified},
    writing::Changes,
};
use crate::{
    assemble::{faults, lined},
    memory::Memory,
};

const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");

/// Sets drawn at random, each planned whole: in the room of that plan every margin the choice reckons is that of the plan.
#[test]
fn any_set_is_judged_as_its_whole_plan_judges_it() {
    let (project, found) = crate::read(DEMO, "room.toml");
    let project = project.unwrap_or_else(|| panic!("{found:?}"));
    let memory = Memory::new();
    let plan = plan_whole(&project, &memory).unwrap();
    let allowed = faults::with_allowances(&project);
    let lined = lined::with_linings(&allowed);
    let mut field = Field::new(&lined, &plan, &memory);
    let room = Room { file: &project, lined: &lined, plan: &plan, memory: &memory };
    let mut state = 20_261_129_u64;
    let mut compared = 0;
    for _ in 0..4 {
        let selection: Vec<usize> = field
            .problem
            .elements
            .iter()
            .map(|element| {
                // Knuth's linear congruence, upper bits.
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 33) as usize % element.candidates.len()
            })
            .collect();
        field.predict_in_full(&lined, &plan, &selection);
        let whole = Wholes::default().of(&room, &field, &selection).unwrap();
        let own = field.in_own_room(&lined, (&whole.lined, &whole.plan, &selection), &memory).unwrap();
        field.adopt(&lined, (&whole.lined, &whole.plan, &selection), &memory);
        let verified = verified(&room, &field, (&selection, &whole.plan));
        // What is reckoned for it alone is what the whole field says once it has that room.
        let there = field.problem.sum(&selection).margin_db();
        assert!((own.unwrap() - there.unwrap()).abs() < 1e-6, "{own:?} {there:?}");
        assert!(verified.off_db < 0.1, "{selection:?}: {} dB, {verified:?}", verified.off_db);
        compared += verified.margins.len();
    }
    assert!(compared >= 12, "{compared}");
}

/// Whatever is proposed can be written into the room file and reads as it was meant; every comment of the file is still there.
#[test]
fn whatever_is_proposed_can_be_written_into_the_file() {
    let (project, _) = crate::read(DEMO, "room.toml");
    let project = project.unwrap();
    let memory = Memory::new();
    let plan = plan_whole(&project, &memory).unwrap();
    let field = Field::new(&project, &plan, &memory);
    let comments = |text: &str| text.lines().filter(|line| line.contains('#')).count();
    let mut written = 0;
    for element in &field.elements {
        // Of some hundred ceilings every seventh will do.
        let step = if element.proposals.len() > 200 { 97 } else { 7 };
        for offer in
            element.proposals.iter().step_by(step).filter(|offer| offer.proposal.change != Change::default())
        {
            let changes = Changes { each: vec![(element.slot, offer.proposal.change.clone())] };
            let text = changes
                .written(DEMO, &project)
                .unwrap_or_else(|error| panic!("{}: {error}", offer.proposal.name));
            assert_eq!(comments(&text), comments(DEMO), "{}", offer.proposal.name);
            written += 1;
        }
    }
    assert!(written > 100, "{written}");
}
