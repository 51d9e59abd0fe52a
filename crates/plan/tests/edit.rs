//! Changing a room by program keeps every comment and every other line.

use plan::edit::{NewValue, add_entry, remove, set};

const ROOM: &str = include_str!("rooms/workshop.toml");

fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.find('#').map(|at| &line[at..])).collect()
}

#[test]
fn setting_a_value_changes_its_line_only() {
    let changes: [(&str, plan::edit::NewValue); 8] = [
        ("limits.headroom_mm", 2300.0.into()),
        ("project.revision", "B".into()),
        ("joist[3].up_from_laser_mm", vec![1140.0, 1141.0, 1142.5].into()),
        ("survey.tape[0].floor_mm", 5232.0.into()),
        ("buildup[0].layer[2].fill_mm", 90.0.into()),
        ("stock.clip.rated_load_kg", 18.0.into()),
        ("use.people", 2.0.into()),
        ("gap[1].filling", "nothing".into()),
    ];
    for (path, value) in changes {
        let changed = set(ROOM, path, value).expect(path);
        let differing: Vec<(&str, &str)> =
            ROOM.lines().zip(changed.lines()).filter(|(a, b)| a != b).collect();
        assert_eq!(differing.len(), 1, "{path}: {differing:?}");
        assert_eq!(ROOM.lines().count(), changed.lines().count());
        assert_eq!(comments(ROOM), comments(&changed), "{path}");
        assert!(plan::read(&changed, "room.toml").0.is_some(), "{path}");
    }
}

#[test]
fn adding_keeps_every_line() {
    let added = add_entry(
        ROOM,
        "survey.tape",
        &[("from", "B".into()), ("to", "D".into()), ("floor_mm", 5741.0.into())],
    )
    .expect("a tape more");
    let kept: Vec<&str> = added.lines().filter(|line| ROOM.lines().any(|old| old == *line)).collect();
    assert!(kept.len() >= ROOM.lines().count());
    assert_eq!(comments(ROOM), comments(&added));
    let (project, _) = plan::read(&added, "room.toml");
    assert_eq!(project.map(|p| p.survey.tape.len()), Some(11));
    let with_money = set(ROOM, "limits.spare", 1.0).expect("a key more");
    assert_eq!(comments(ROOM), comments(&with_money));
}

#[test]
fn removing_keeps_the_comments_above() {
    let removed = remove(ROOM, "outside_sound[0]").expect("the street goes");
    assert!(
        removed.contains(
            "# ---------------------------------------------------------------- use, air and climate"
        )
    );
    let without_source = remove(ROOM, "source[0]").expect("the drums go");
    assert!(
        without_source.contains("# ---------------------------------------------------------------- sound")
    );
    assert!(without_source.find("- sound").unwrap() < without_source.find("[[source]]").unwrap());
    let without_buildup = remove(ROOM, "buildup[0]").expect("the roof goes");
    assert!(
        without_buildup
            .contains("# ---------------------------------------------------------------- build-ups")
    );
    assert_eq!(without_buildup.matches("[[buildup]]").count(), ROOM.matches("[[buildup]]").count() - 1);
}

#[test]
fn values_by_band_are_written_in_braces() {
    let keys = NewValue::Keys(vec![("31.5".to_owned(), 90.25.into()), ("100".to_owned(), 97.0.into())]);
    let added = add_entry(ROOM, "measurement", &[("what", "inside".into()), ("levels", keys)])
        .expect("a measurement more");
    assert!(
        added.ends_with("[[measurement]]\nwhat = \"inside\"\nlevels = { \"31.5\" = 90.25, 100 = 97 }\n"),
        "{added}"
    );
    let (project, found) = plan::read(&added, "room.toml");
    let project = project.unwrap_or_else(|| panic!("{found:?}"));
    let levels = project.measurements.first().and_then(|one| one.levels.as_ref());
    assert_eq!(levels.and_then(|levels| levels.get(bands::Band::from_nominal_hz(31.5)?)), Some(90.25));
}

#[test]
fn a_length_may_be_written_as_it_was_taped() {
    let typed = set(ROOM, "survey.tape[0].floor_mm", "17ft 1 15/16in").expect("a tape in inches");
    let (project, found) = plan::read(&typed, "room.toml");
    let project = project.unwrap_or_else(|| panic!("{found:?}"));
    // 17 ft 1 15/16 in by definition of the inch.
    let taped_mm = project.survey.tape.first().and_then(|tape| tape.floor_mm).unwrap_or_default();
    assert!((taped_mm - 25.4 * (17.0 * 12.0 + 1.0 + 15.0 / 16.0)).abs() < 1e-9, "{taped_mm}");
    // Only lengths: there is no weight in inches, and no length without its mark.
    for (key, typed) in [("limits.lift_kg", "40in"), ("survey.tape[0].floor_mm", "17 1")] {
        let text = set(ROOM, key, typed).expect("a text");
        let (project, found) = plan::read(&text, "room.toml");
        assert!(
            project.is_none() && found.iter().any(|one| one.key.as_deref() == Some(key)),
            "{key}: {found:?}"
        );
    }
}
