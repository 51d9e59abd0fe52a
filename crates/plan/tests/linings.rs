//! Linings, openings brought true and battens reach the plan by the room file.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at once")]

use plan::outcome::Standing;
use plan::{Plan, read};

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(text: &str) -> Plan {
    let (project, mistakes) = read(text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

const LINING: &str =
    "[[lining]]\nwall = \"B-C\"\n[[lining.layer]]\nmaterial = \"acoustic-plasterboard-15\"\nsheets = 2\n";

/// A board the demo buys in lengths of 2400 mm.
fn board_of(text: &str) -> String {
    let long = text.split("[[stock.board]]").skip(1).find(|board| board.contains("length_mm = 2400"));
    let material = long.and_then(|board| board.split("material = \"").nth(1)?.split('"').next());
    material.expect("the demo has one").to_owned()
}

#[test]
fn a_lining_leaves_the_window_free_as_it_is_brought_true() {
    let board = board_of(ROOM);
    let lining = LINING.replace("acoustic-plasterboard-15", &board);
    let text = ROOM.replacen("sill_mm = 1150\n", "sill_mm = 1150\nnear_lean_mm = 8\nhead_fall_mm = -5\n", 1);
    let plan = planned(&format!("{text}\n{lining}"));
    let window = plan.openings.iter().find(|o| o.name == "window").unwrap();
    let t = window.brought_true.unwrap();
    assert!((t.width_mm - (window.width_mm - 8.0)).abs() < 1e-9);
    assert!((t.head.second_mm - 5.0).abs() < 1e-9);
    let [lining] = plan.linings.as_slice() else { panic!("{:?}", plan.linings) };
    let layout = lining.layout.as_ref().unwrap_or_else(|| panic!("{:?}", lining.not_planned));
    assert_eq!(layout.breaches, []);
    // The demo's ring runs anticlockwise: seen from inside, wall B-C begins at the right.
    assert_eq!(layout.left_corner, "C");
    let from_the_right = layout.size_mm[0] - layout.openings[0].to_mm;
    assert!((from_the_right - (window.from_corner_mm + 8.0)).abs() < 1e-6);
    assert!(plan.findings.iter().any(|f| f.sentence.starts_with("Lining of wall B-C")));
    assert!(!plan.battens.is_empty(), "walls of the demo bow");
    let own: Vec<_> = plan.order.lines.iter().filter(|l| l.note.contains("lining of wall B-C")).collect();
    let boards: u32 = own.iter().filter(|l| l.sold_as.starts_with("board")).map(|l| l.buy).sum();
    assert_eq!(boards as usize, layout.boards);
    assert!(own.iter().any(|l| l.what.starts_with("studs")));
    let plain = planned(ROOM);
    let more: f64 = own.iter().filter_map(|l| l.price).sum();
    assert!((plan.order.price - plain.order.price - more).abs() < 1e-6 && more > 0.0);
}

#[test]
fn a_lining_that_cannot_be_says_why() {
    let lining = LINING
        .replace("acoustic-plasterboard-15", &board_of(ROOM))
        .replace("[[lining.layer]]", "stud_length_mm = 1500\n[[lining.layer]]");
    let plan = planned(&format!("{ROOM}\n{lining}"));
    let told = plan.findings.iter().find(|f| f.sentence.starts_with("Lining of wall B-C")).unwrap();
    assert_eq!(told.standing, Standing::Fails);
    assert!(told.sentence.contains("studs are sold 1500 mm long"), "{}", told.sentence);
}
