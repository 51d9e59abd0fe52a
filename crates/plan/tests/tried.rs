//! A corner moved on the drawing and its tapes rewritten lands where it was put.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use plan::{edit, read, survey_of, tried};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

#[test]
fn tapes_rewritten_to_a_corner_put_it_there() {
    let project = read(DEMO, "room.toml").0.unwrap();
    let survey = survey_of(&project).unwrap();
    let moved = tried::corner(&project, &survey, "C", (-30.0, 20.0)).unwrap();
    assert_eq!(moved.readings.len(), 5, "{:?}", moved.readings);
    let text = moved
        .readings
        .iter()
        .fold(DEMO.to_owned(), |text, (path, _, read_mm)| edit::set(&text, path, *read_mm).unwrap());
    let again = survey_of(&read(&text, "room.toml").0.unwrap()).unwrap();
    let (was, now) = (survey.corner("C").unwrap().at, again.corner("C").unwrap().at);
    let off = (now.x_mm - was.x_mm + 30.0, now.y_mm - was.y_mm - 20.0);
    assert!(off.0.abs() < 3.0 && off.1.abs() < 3.0, "{off:?}");
}

/// Limits no layout can meet are no open question: ceiling, clips and bars fail, and the sentence says what to do.
#[test]
fn a_ceiling_no_layout_can_meet_fails() {
    let text = DEMO.replacen("edge_bearing_mm = 15", "edge_bearing_mm = 40", 1);
    assert_ne!(text, DEMO);
    let plan = plan::plan(&read(&text, "room.toml").0.unwrap()).unwrap();
    for about in ["ceiling", "clips and bars"] {
        let verdict = plan.verdicts.iter().find(|verdict| verdict.about == about).unwrap();
        assert_eq!(verdict.standing, plan::outcome::Standing::Fails, "{verdict:?}");
        assert_ne!(verdict.figure, "not checked");
    }
    assert!(plan.ceiling.not_planned.unwrap().contains("lower rules.edge_bearing_mm"));
}

#[test]
fn what_cannot_be_tried_is_said() {
    let project = read(DEMO, "room.toml").0.unwrap();
    let survey = survey_of(&project).unwrap();
    let said = |name: &str, way: (f64, f64)| tried::corner(&project, &survey, name, way).unwrap_err();
    assert_eq!(said("Z", (0.0, 0.0)), "The room has no corner Z.");
    assert!(said("A", (f64::NAN, 0.0)).contains("up to 2"));
    assert!(said("A", (0.0, 1e9)).contains("up to 2"));
}
