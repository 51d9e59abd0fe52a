//! The JSON Schema says the same as the reader: it takes what is right and refuses what the reader refuses.

use plan::schema::{element_schema, room_schema};
use serde_json::{Value, json};

const ROOM: &str = include_str!("rooms/workshop.toml");
const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn json_of(text: &str) -> Value {
    toml::from_str(text).unwrap_or(Value::Null)
}

#[test]
fn the_rooms_and_the_starter_satisfy_the_schema() {
    let schema = room_schema();
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    for text in [ROOM, DEMO, plan::starter::starter_text()] {
        let errors: Vec<String> =
            validator.iter_errors(&json_of(text)).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{}", errors.join("\n"));
    }
}

#[test]
fn the_schema_is_one_of_draft_2020_12() {
    for schema in [room_schema(), element_schema()] {
        assert!(jsonschema::meta::is_valid(&schema));
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let schema = room_schema();
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let changes: [(&str, Value); 12] = [
        ("/limits/headroom_mm", json!("2250")),
        ("/limits/headroom_mm", json!(100)),
        ("/limits/headrom_mm", json!(2250)),
        ("/roof/kind", json!("hot")),
        ("/survey/corners", json!("ABC")),
        ("/climate/temperature_c", json!([1, 2, 3])),
        ("/use/people", json!(2.5)),
        ("/buildup/0/layer/1/material", json!("chocolate")),
        ("/buildup/0/layer/2/vented", json!(1)),
        ("/buildup/0/layer/2/thickness_mm", json!(10)),
        ("/receiver/0/distance_m", json!(-1)),
        ("/stock/bar/price", json!(-5)),
    ];
    for (path, value) in changes {
        let mut room = json_of(ROOM);
        let (table, key) = path.rsplit_once('/').expect("a path");
        room.pointer_mut(table)
            .and_then(Value::as_object_mut)
            .expect(table)
            .insert(key.to_owned(), value.clone());
        assert!(!validator.is_valid(&room), "{path} = {value} must be refused");
        let text = toml::to_string(&room).expect("TOML");
        let (project, found) = plan::read(&text, "room.toml");
        assert!(project.is_none() && !found.is_empty(), "{path} = {value} must be refused by the reader too");
    }
}

/// Every key with a range: its ends are taken, just beyond is refused, by the reader.
#[test]
fn ends_of_ranges_are_what_the_schema_says() {
    let schema = room_schema();
    let mut checked = 0;
    for table in ["limits", "roof", "rules", "site", "use"] {
        let properties = schema["properties"][table]["properties"].as_object().expect(table);
        for (key, property) in properties {
            let (Some(least), Some(most)) = (property["minimum"].as_f64(), property["maximum"].as_f64())
            else {
                continue;
            };
            for (value, good) in [(least, true), (most, true), (least - 1.0, false), (most + 1.0, false)] {
                let path = format!("{table}.{key}");
                let text = plan::edit::set(ROOM, &path, value).expect("the room can be changed");
                let (_, found) = plan::read(&text, "room.toml");
                let refused =
                    found.iter().any(|d| d.code == "out-of-range" && d.key.as_deref() == Some(&path));
                assert_eq!(refused, !good, "{path} = {value}");
                checked += 1;
            }
        }
    }
    assert!(checked > 100, "{checked}");
}

/// A length in feet and inches: the schema takes what the reader takes and nothing else.
#[test]
fn feet_and_inches_are_to_the_schema_what_they_are_to_the_reader() {
    let schema = room_schema();
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    for (typed, right) in [
        ("7' 4 3/16\"", true),
        ("7ft 4 3/16in", true),
        ("7 ft. 4-1/2 in.", true),
        ("7\u{2032} 4\u{bd}\u{2033}", true),
        ("7\u{2019} 6\u{201d}", true),
        ("88\"", true),
        ("88,5\"", true),
        ("88.125 inches", true),
        ("7.5 feet", true),
        ("7 Foot", true),
        ("7' - 4''", true),
        ("not yet", false),
        ("n't", false),
        ("1,200\"", false),
        ("1,200' 3\"", false),
        ("88", false),
        ("7' 4", false),
        ("88\" 7'", false),
        ("t", false),
    ] {
        let mut room = json_of(ROOM);
        room["limits"]["headroom_mm"] = json!(typed);
        assert_eq!(validator.is_valid(&room), right, "{typed}");
        let (project, found) = plan::read(&toml::to_string(&room).expect("TOML"), "room.toml");
        assert_eq!(project.is_some(), right, "{typed}: {found:?}");
    }
}
