//! A tie with the wrong sign is named with its key and line, and the sign that fits.
#![allow(clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "a test stops at once")]

use plan::read;

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");
const BOW: &str = "[[survey.bow]]           # largest";

fn with_tie(tie: &str) -> String {
    assert!(ROOM.contains(BOW));
    ROOM.replacen(BOW, &format!("[[survey.tie]]\n{tie}\n\n{BOW}"), 1)
}

#[test]
fn a_tie_on_the_wrong_side_is_named_with_key_and_line() {
    let right = "corner = \"D\"\nfrom = \"A\"\nto = \"C\"\noffset_mm = 2560";
    let (project, found) = read(&with_tie(right), "room.toml");
    assert!(project.is_some(), "{found:?}");
    let text = with_tie(&right.replace("2560", "-2560"));
    let (project, found) = read(&text, "room.toml");
    assert!(project.is_none());
    let one = found.iter().find(|d| d.code == "wrong-sign").expect("the sign is told");
    println!("{one}");
    assert_eq!(one.key.as_deref(), Some("survey.tie[0].offset_mm"));
    let line = text.lines().position(|line| line == "offset_mm = -2560").expect("it stands there") + 1;
    assert_eq!(one.line, line);
    assert!(one.message.contains("D off A-C") && one.message.contains("on the left"), "{}", one.message);
    assert_eq!(one.help.as_deref(), Some("Write `offset_mm = 2560`."));
}

#[test]
fn a_running_dimension_behind_its_start_is_named_too() {
    let text = with_tie("corner = \"D\"\nfrom = \"A\"\nto = \"C\"\nalong_mm = -3157");
    let (_, found) = read(&text, "room.toml");
    let one = found.iter().find(|d| d.code == "wrong-sign").unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(one.key.as_deref(), Some("survey.tie[0].along_mm"));
    assert_eq!(one.help.as_deref(), Some("Write `along_mm = 3157`."));
}
