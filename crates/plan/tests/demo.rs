//! The demo room reads without a word of complaint.

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

#[test]
fn the_demo_reads_without_a_word_of_complaint() {
    let (project, found) = plan::read(DEMO, "room.toml");
    let said: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert!(said.is_empty(), "{}", said.join("\n"));
    let project = project.expect("no diagnostic, so a project");
    assert_eq!(project.walls.len(), 5);
}
