//! The examples read without a word of complaint, and mean what they say.

use plan::{
    project::{CornerId, Place, WallId},
    read::{Attached, read_element},
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

#[test]
fn the_demo_reads_without_a_word_of_complaint() {
    let (project, found) = plan::read(DEMO, "room.toml");
    let said: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert!(said.is_empty(), "{}", said.join("\n"));
    let project = project.expect("no diagnostic, so a project");
    let walls: Vec<String> = (0..5).map(|wall| project.survey.wall_name(WallId(wall))).collect();
    assert_eq!(walls, ["A-B", "B-C", "C-D", "D-E", "E-A"]);
    assert!(project.walls.iter().enumerate().all(|(place, wall)| wall.between == WallId(place)));
    assert_eq!((project.survey.tape[0].from, project.survey.tape[0].to), (CornerId(0), CornerId(1)));
    let joists = project.joists.as_ref().expect("joists");
    assert_eq!((joists.each.len(), joists.width_mm(), joists.grade.as_ref()), (12, 88.0, None));
    assert_eq!((joists.each[0].to_wall, joists.each[2].to_wall), (WallId(3), WallId(2)));
    assert!(matches!(project.receivers[0].place, Place::Outside { wall: WallId(1), .. }));
    assert!(matches!(project.receivers[2].place, Place::NextDoor(_)));
    assert_eq!(project.receivers[3].place, Place::Inside);
}

#[test]
fn the_example_elements_read_without_a_word_of_complaint() {
    for text in [
        include_str!("../../../examples/elements/own-data.toml"),
        include_str!("../../../examples/elements/stud-wall.toml"),
    ] {
        let (element, found) = read_element(text, "element.toml", &Attached::new());
        assert!(element.is_some() && found.is_empty(), "{found:?}");
    }
}
