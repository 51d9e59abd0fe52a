//! The sheets of a room that was measured.

#![allow(clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use paper::{Format, proof_reading::faults};
use plan::Plan;
use quantities::numerals::{DayOrder, Decimals};
use sheets::{dossier::dossier, drawings::drawings, files, terminal};

fn plan() -> Plan {
    let text = include_str!("../../../examples/percussion-room-proved/room.toml");
    let (project, found) = plan::read(text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{found:?}"))).expect("the tapes give a room")
}

#[test]
fn a_measured_room_has_a_sheet_for_every_receiver_and_its_lists() {
    let plan = plan();
    let drawings = drawings(&plan);
    let frame = Format::A3_LANDSCAPE.frame().inset(-0.4);
    let sheets: Vec<_> = drawings.iter().filter(|one| one.id.starts_with("proof-")).collect();
    assert_eq!(sheets.len(), 3);
    let dossier = dossier(&plan, &drawings);
    let mut seen = 0;
    for page in &dossier.pages {
        let title = page.bookmarks.first().map_or("", |mark| mark.words.as_str());
        if title.starts_with("Proof: ") {
            seen += 1;
            let found = faults(&page.scene, Some(Format::A3_LANDSCAPE.frame()));
            assert!(found.is_empty(), "{title}: {found:#?}");
            assert!(frame.holds(&page.scene.drawn_extent().expect("something is drawn")), "{title}");
        }
    }
    assert_eq!(seen, 3);
    let files = files(&plan).expect("all sheets");
    let list = |name: &str| {
        let file = files.iter().find(|file| file.path == format!("lists/{name}.csv")).expect(name);
        String::from_utf8(file.bytes.clone()).expect("text")
    };
    assert_eq!(list("measured").lines().count(), 1 + 3 * 21);
    assert!(list("faults").contains("the seal of the door does not close"));
    let said = terminal::proof_summary(
        &plan,
        terminal::Setting {
            width: 90,
            styled: false,
            decimals: Decimals::Point,
            day_order: DayOrder::YearMonthDay,
        },
    );
    assert!(
        said.contains("Mending it would gain") && said.lines().all(|line| line.chars().count() <= 90),
        "{said}"
    );
}
