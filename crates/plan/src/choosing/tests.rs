//! The choice's own reckoning against whole plans.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test stops at what it did not expect"
)]

use super::{
    field::Field,
    plan_whole,
    proposal::{Change, Slot},
    settling::Room,
    watch::Watch,
    whole::{Wholes, verified},
    writing::Changes,
};
use crate::{
    assemble::{faults, lined},
    memory::Memory,
    project::ElementId,
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
    let watch = Watch::default();
    let room = Room { file: &project, lined: &lined, plan: &plan, memory: &memory, watch: &watch };
    let mut field = Field::new(&room);
    let mut state = 20_261_129_u64;
    let mut compared = 0;
    let (mut off_db, mut off_without_db) = (0.0, 0.0);
    let ceiling =
        field.elements.iter().position(|one| one.slot == Slot::Element(ElementId::Ceiling)).unwrap();
    for draw in 0..6 {
        let mut selection: Vec<usize> = field
            .problem
            .elements
            .iter()
            .map(|element| {
                // Knuth's linear congruence, upper bits.
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 33) as usize % element.candidates.len()
            })
            .collect();
        // Few ceilings drawn at random can be set out: every other set has the one of the file.
        if draw % 2 == 1 {
            selection[ceiling] = 0;
        }
        field.predict_in_full(&lined, &plan, &selection, &memory);
        let whole = Wholes::default().of(&room, &field, &selection).unwrap();
        // One whose ceiling cannot be set out has no clips to judge it by: it is never chosen.
        if whole.plan.ceiling.layout.is_none() {
            continue;
        }
        let own = field.in_own_room(&lined, (&whole.lined, &whole.plan, &selection), &memory).unwrap();
        // What is reckoned of it in another's room, with what it absorbs there and without.
        let inside = field.ways.iter().position(|way| way.receiver == "inside the room").unwrap();
        let with_db = field.problem.sum(&selection).margins_db[inside];
        let mut deaf = field.problem.clone();
        deaf.elements.iter_mut().flat_map(|one| &mut one.candidates).for_each(|one| one.allows.clear());
        let without_db = deaf.sum(&selection).margins_db[inside];
        field.adopt(&lined, (&whole.lined, &whole.plan, &selection), &memory);
        let verified = verified(&room, &field, (&selection, &whole.plan));
        let of_plan = verified.margins.iter().find(|row| row.receiver == "inside the room").unwrap();
        off_db += (with_db - of_plan.margin_db).abs();
        off_without_db += (without_db - of_plan.margin_db).abs();
        // What is reckoned for it alone is what the whole field says once it has that room.
        let there = field.problem.sum(&selection).margins_db;
        assert_eq!(own.len(), there.len());
        assert!(own.iter().zip(&there).all(|(own, there)| (own - there).abs() < 1e-6), "{own:?} {there:?}");
        assert!(verified.off_db < 0.1, "{selection:?}: {} dB, {verified:?}", verified.off_db);
        compared += verified.margins.len();
    }
    assert!(compared >= 12, "{compared}");
    println!("in another's room off by {off_db:.2} dB in all, {off_without_db:.2} without");
    assert!(off_db < 0.35 * off_without_db, "{off_db} {off_without_db}");
}

/// A joint in a wall shared with a room next door, the wall lined: what goes round is decided by the bare wall, so the joint adds nothing to
/// it. In the room of the lined set every margin is that of the whole plan; bare it is too.
#[test]
fn a_joint_in_a_lined_shared_wall_does_not_go_round_it() {
    let joint = "\n[[gap]]\nwhere = \"joint of the party wall\"\nelement = \"A-B\"\nlength_m = 4\nwidth_mm = 3\ndepth_mm = 215\nfilling = \"nothing\"\n";
    let leave =
        "\n[choose]\nleave = [\"ceiling\", \"B-C\", \"C-D\", \"D-E\", \"E-A\", \"window\", \"door\"]\n";
    let (project, found) = crate::read(&format!("{DEMO}{joint}{leave}"), "room.toml");
    let project = project.unwrap_or_else(|| panic!("{found:?}"));
    let memory = Memory::new();
    let plan = plan_whole(&project, &memory).unwrap();
    let lined = super::as_planned(&project);
    let watch = Watch::default();
    let room = Room { file: &project, lined: &lined, plan: &plan, memory: &memory, watch: &watch };
    let mut field = Field::new(&room);
    let wall = field.elements.iter().position(|element| element.name == "wall A-B").unwrap();
    let mut tried = 0;
    let count = field.problem.elements[wall].candidates.len();
    for at in [0, count / 2, count - 1] {
        let mut selection = vec![0; field.problem.elements.len()];
        selection[wall] = at;
        field.predict_in_full(&lined, &plan, &selection, &memory);
        let whole = Wholes::default().of(&room, &field, &selection).unwrap();
        field.adopt(&lined, (&whole.lined, &whole.plan, &selection), &memory);
        let verified = verified(&room, &field, (&selection, &whole.plan));
        assert!(verified.off_db < 0.1, "{at}: {} dB, {verified:?}", verified.off_db);
        tried += usize::from(verified.margins.iter().any(|row| row.receiver == "front workshop"));
    }
    assert_eq!(tried, 3);
}

/// What the file hangs is held to the limits too, and it is said; a ceiling that is built is not lifted again; what joists and clips bear is
/// loosened only where the plan finds that they bear it.
#[test]
fn what_the_file_has_is_held_to_the_limits_too() {
    let of = |edit: &dyn Fn(&str) -> String| {
        let (project, found) = crate::read(&edit(DEMO), "room.toml");
        let project = project.unwrap_or_else(|| panic!("{found:?}"));
        let plan = crate::plan(&project).unwrap();
        let lined = super::as_planned(&project);
        let prices = super::prices::Prices::new(&lined);
        let mut notes = Vec::new();
        let elements =
            super::offers::offers(&lined, &plan, super::field::pattern(&plan), &prices, &mut notes);
        let (limits, _) = super::limits::limits(&lined, &plan, (&elements, true), &mut notes);
        let used = |name: &str| {
            let limit = limits.iter().find(|limit| limit.name == name).unwrap();
            let today = elements.iter().map(|element| (limit.of)(&element.proposals[0].proposal));
            (today.fold(0.0, f64::max), limit.most)
        };
        let overloaded = plan.fabric.joists.iter().any(|joist| joist.checked.fails());
        let each = ["weight of a board to lift", "load on the joists", "load on the clips"].map(used);
        (each, overloaded, notes)
    };
    let said = |notes: &[String], what: &str| notes.iter().any(|note| note.contains(what));
    let ([lift, joists, clips], overloaded, notes) = of(&|text| text.to_owned());
    assert!(lift.0 <= lift.1 && joists.0 <= joists.1 && clips.0 <= clips.1 && !overloaded, "{notes:?}");
    assert!(!said(&notes, "the file has"), "{notes:?}");
    // A board that is too heavy stays so, and is told.
    let ([lift, ..], _, notes) = of(&|text| text.replace("lift_kg = 40", "lift_kg = 20"));
    assert!(
        lift.0 > 20.0
            && (lift.1 - 20.0).abs() < 1e-9
            && said(&notes, "Weight of a board to lift: the file has")
    );
    let built = "\n[choose]\nceiling_is_built = true\n";
    let ([lift, ..], _, notes) = of(&|text| text.replace("lift_kg = 40", "lift_kg = 20") + built);
    assert!(lift.0 < 1e-9 && !said(&notes, "to lift: the file has"), "{notes:?}");
    // Under a heavy roof the plan itself finds the joists overloaded: no more is allowed for that.
    let ([_, joists, _], overloaded, notes) =
        of(&|text| text.replace("imposed_kn_m2 = 0.6", "imposed_kn_m2 = 1.0"));
    assert!(overloaded && joists.0 > joists.1, "{joists:?} {notes:?}");
    assert!(said(&notes, "Load on the joists: the file has"), "{notes:?}");
}

/// Whatever is proposed can be written into the room file and reads as it was meant; every comment of the file is still there.
#[test]
fn whatever_is_proposed_can_be_written_into_the_file() {
    let (project, _) = crate::read(DEMO, "room.toml");
    let project = project.unwrap();
    let memory = Memory::new();
    let plan = plan_whole(&project, &memory).unwrap();
    let watch = Watch::default();
    let room = Room { file: &project, lined: &project, plan: &plan, memory: &memory, watch: &watch };
    let field = Field::new(&room);
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

/// Levels, noise ratings and margins under a quiet that nobody could hear being kept, each with what is enough; what can be heard is not told of.
#[test]
fn targets_below_hearing_are_told_with_what_is_enough() {
    let of = |edit: &dyn Fn(&str) -> String| -> Vec<String> {
        let (project, found) = crate::read(&edit(DEMO), "room.toml");
        super::telling::silent(&project.unwrap_or_else(|| panic!("{found:?}"))).collect()
    };
    assert!(of(&|text| text.to_owned()).is_empty());
    let fence = "limit_dba = 45\n";
    let quiet = "background = \"rural-night\"\nbackground_dba = 22\n";
    for (from, to, words) in [
        (fence, "limit_dba = 9\n".to_owned(), "9\u{a0}dB(A) at garden fence is quieter than anyone hears"),
        ("limit_nr = 25", "limit_nr = 4".to_owned(), "NR 4 at inside the room"),
        ("limit_nr = 25", "limit_nr = 4".to_owned(), "NR 5 is enough"),
        (
            fence,
            format!("{quiet}margin_db = 15\n"),
            "15\u{a0}dB below a quiet of 22\u{a0}dB(A) at garden fence",
        ),
        (fence, format!("{quiet}margin_db = 15\n"), "12\u{a0}dB below a quiet of 22\u{a0}dB(A) is enough"),
    ] {
        let told = of(&|text| text.replacen(from, &to, 1));
        assert!(told.len() == 1 && told[0].contains(words), "{words}: {told:?}");
    }
    for (from, to) in [
        (fence, "limit_dba = 10\n".to_owned()),
        ("limit_nr = 25", "limit_nr = 5".to_owned()),
        (fence, format!("{quiet}margin_db = 12\n")),
    ] {
        assert!(of(&|text| text.replacen(from, &to, 1)).is_empty(), "{to}");
    }
}
