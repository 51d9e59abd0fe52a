//! Keys of the setting out reach the plan and the sheets' words.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at once")]

use plan::{Plan, read};

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

/// The example with a line put under one of its tables.
fn planned(table: &str, more: &str) -> Plan {
    let text = if ROOM.contains(table) {
        ROOM.replacen(table, &format!("{table}\n{more}"), 1)
    } else {
        format!("{ROOM}\n{table}\n{more}\n")
    };
    let (project, mistakes) = read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

#[test]
fn a_band_and_a_fall_save_packers_and_move_the_headroom() {
    let plain = planned("[rules]", "");
    let level = plain.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    let band = planned("[rules]", "flatness_mm = 3");
    let banded = band.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    assert!(
        banded.packing_mm < level.packing_mm
            && (banded.spacer_block_mm - level.spacer_block_mm + 3.0).abs() < 1e-9
    );
    assert_eq!(band.ceiling.breaches, []);
    assert_eq!(band.heights, plain.heights);
    let fall = planned("[rules]", "fall_mm_per_m = 2");
    let falling = fall.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    assert!(falling.packing_mm < level.packing_mm && falling.fall_mm_per_m > 0.0);
    assert_eq!(fall.ceiling.breaches, []);
    let heights = fall.heights.unwrap();
    assert!((heights.headroom_mm - falling.face_mm).abs() < 1e-6);
    assert!(heights.headroom_mm < plain.heights.unwrap().headroom_mm);
    assert!(heights.inside[0].note.contains("falls lowest"), "{}", heights.inside[0].note);
    let words = falling.sentence("J1");
    assert!(words.contains("mm/m") && words.contains("Spacer block"), "{words}");
}

#[test]
fn a_preference_is_followed_and_told() {
    let plain = planned("[rules]", "");
    let bars = planned("[rules]", "prefer = [\"bars\", \"clips\"]");
    let (plain, bars) = (plain.ceiling.layout.unwrap(), bars.ceiling.layout.unwrap());
    assert!(bars.worth.bars <= plain.worth.bars);
    assert!(bars.notes.iter().any(|n| n.contains("fewest bars, clips, boards")), "{:?}", bars.notes);
    let (_, mistakes) = read(&ROOM.replacen("[rules]", "[rules]\nprefer = [\"bar\"]", 1), "room.toml");
    let text = format!("{mistakes:?}");
    assert!(!ROOM.contains("[rules]") || text.contains("prefer"), "{text}");
}
