//! What is fixed reaches the plan by the room file and comes back as a layout mended round it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::format_collect,
    reason = "a test stops at once"
)]

use plan::outcome::Standing;
use plan::{Plan, read};
use setout::MarkFor;

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(more: &str) -> Plan {
    let text = format!("{ROOM}\n{more}");
    let (project, mistakes) = read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

/// Every mark of a bar on the walls, `off` from it.
fn read_off(plan: &Plan, bar: usize, off: f64) -> String {
    let layout = plan.ceiling.layout.as_ref().unwrap();
    layout
        .marks
        .iter()
        .flat_map(|wall| wall.marks.iter().map(move |mark| (wall, mark)))
        .filter(|(_, mark)| mark.of == MarkFor::Bar(bar))
        .map(|(wall, mark)| {
            format!(
                "[[as_built.bar]]\nbar = {bar}\nwall = \"{}\"\nat_mm = {:.1}\n",
                wall.wall,
                mark.at_mm + off
            )
        })
        .collect()
}

#[test]
fn bars_on_their_marks_keep_the_plan() {
    let plain = planned("");
    assert!(plain.ceiling.as_built.is_none());
    let text: String = (2..=4).map(|bar| read_off(&plain, bar, 0.0)).collect();
    let plan = planned(&text);
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert_eq!(found.fixed_bars, [2, 3, 4]);
    assert_eq!(found.difference.sentences, Vec::<String>::new());
    assert_eq!(plan.ceiling.breaches, []);
    assert_eq!(found.difference.marks_kept, found.difference.marks_to_keep);
}

#[test]
fn a_bar_off_its_marks_is_told_and_mended() {
    let plain = planned("");
    let joint = plain.ceiling.layout.as_ref().unwrap().bars.iter();
    let joint = joint.clone().find(|b| b.reason == setout::BarReason::Joint).unwrap().number;
    let plan = planned(&read_off(&plain, joint, 25.0));
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert!(!found.breaches.is_empty());
    assert_eq!(plan.ceiling.breaches, []);
    assert!(!found.difference.sentences.is_empty());
    let told = plan.findings.iter().filter(|f| f.sentence.starts_with("As built"));
    assert!(told.clone().any(|f| f.standing == Standing::Close));
    let verdict = plan.verdicts.iter().find(|v| v.about == "ceiling").unwrap();
    assert_eq!(verdict.standing, Standing::Close);
    assert!(verdict.meaning.contains("mended"), "{}", verdict.meaning);
}

#[test]
fn readings_of_nothing_and_boards_that_are_up() {
    let plan = planned(
        "[[as_built.bar]]\nbar = 77\nwall = \"A-B\"\nat_mm = 100\n[[as_built.board]]\npiece = \"1-02\"\n[[as_built.clip]]\nclip = 900\nalong_mm = 3\n",
    );
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert_eq!(found.boards_up, ["1-02"]);
    let fails: Vec<&str> = plan
        .findings
        .iter()
        .filter(|f| f.standing == Standing::Fails && f.sentence.starts_with("As built"))
        .map(|f| f.sentence.as_str())
        .collect();
    assert!(fails.iter().any(|s| s.contains("no bar 77")), "{fails:?}");
    assert!(fails.iter().any(|s| s.contains("no clip 900")), "{fails:?}");
}
