//! Parts that stand beside their whole add up as they are told, and walls of a notch have their running dimensions drawn.

#![allow(clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use paper::Item;
use plan::Plan;
use quantities::feet_inches;
use sheets::{drawings::drawings, lists::lists};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const GARAGE: &str = include_str!("../../../examples/garage/room.toml");

fn planned(text: &str, keys: &str) -> Plan {
    let text = text.replacen("[project]\n", &format!("[project]\n{keys}"), 1);
    let (project, found) = plan::read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{found:?}"))).expect("the tapes give a room")
}

#[test]
fn the_ends_of_a_noggin_add_up_to_its_length() {
    let mut held = 0;
    for keys in ["", "lengths = \"feet and inches\"\n"] {
        let plan = planned(DEMO, keys);
        let list = lists(&plan).into_iter().find(|list| list.name == "noggins").expect("a list of noggins");
        let csv = list.to_csv();
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().expect("a table");
        let sixteenths = |words: &str| {
            let mm = feet_inches::parse_mm(words).or_else(|| words.parse().ok()).expect("a length");
            if keys.is_empty() { mm } else { (mm / 25.4 * 16.0).round() }
        };
        for pair in rows.chunks(2) {
            let [left, right] = pair else { panic!("two ends each") };
            let (length, parts) = (sixteenths(&left[1]), sixteenths(&left[6]) + sixteenths(&right[6]));
            assert!((length - parts).abs() < 1e-6, "{left:?} {right:?}");
            held += 1;
        }
    }
    assert!(held >= 4, "{held}");
}

fn gather(items: &[Item], words: &mut Vec<String>) {
    for item in items {
        match item {
            Item::Group(group) => gather(&group.items, words),
            Item::Text(text) => words.push(text.words.clone()),
            _ => {}
        }
    }
}

#[test]
fn the_walls_of_a_notch_have_their_figures() {
    let plan = planned(GARAGE, "");
    for drawing in drawings(&plan) {
        if !drawing.id.starts_with("bars") && !drawing.id.starts_with("boards") {
            continue;
        }
        let mut words = Vec::new();
        gather(&drawing.scene.items, &mut words);
        let said = words.join(" ");
        assert!(!said.contains("figures of walls"), "{}: one wall at most is left to the list", drawing.id);
    }
}
