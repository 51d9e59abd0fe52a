//! The plan as JSON against its schema: every key is there, documented, and nothing else is.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use serde_json::Value;

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");

fn schema() -> Value {
    serde_json::from_str(plan::schema::plan_schema()).unwrap()
}

fn planned(text: &str) -> Value {
    let (project, _) = plan::read(text, "room.toml");
    serde_json::to_value(plan::plan(&project.unwrap()).unwrap()).unwrap()
}

fn demo() -> Value {
    planned(DEMO)
}

#[test]
fn the_demos_plan_is_what_the_schema_says() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let mut plan = demo();
    for one in [&plan, &planned(PROVED)] {
        let complaints: Vec<String> =
            validator.iter_errors(one).map(|error| format!("{}: {error}", error.instance_path())).collect();
        assert!(
            complaints.is_empty(),
            "write the schema anew with `python3 oracles/plan_schema.py`:\n{}",
            complaints.join("\n")
        );
    }
    plan.as_object_mut().unwrap().remove("verdicts");
    assert!(!validator.is_valid(&plan));
    plan["verdicts"] = "none".into();
    assert!(!validator.is_valid(&plan));
}

#[test]
fn every_key_of_the_plan_is_documented() {
    fn undocumented(path: &str, value: &Value, found: &mut Vec<String>) {
        if let Some(properties) = value.get("properties").and_then(Value::as_object) {
            for (key, property) in properties {
                if property.get("description").is_none() && property.get("const").is_none() {
                    found.push(format!("{path}.{key}"));
                }
            }
        }
        if let Some(map) = value.as_object() {
            for (key, inner) in map {
                undocumented(&format!("{path}/{key}"), inner, found);
            }
        }
        for inner in value.as_array().into_iter().flatten() {
            undocumented(path, inner, found);
        }
    }
    let mut found = Vec::new();
    undocumented("", &schema(), &mut found);
    assert!(found.is_empty(), "{found:?}");
}
