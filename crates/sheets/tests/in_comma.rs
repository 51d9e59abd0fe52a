//! A room whose file asks for decimal commas and another order of days: all that is read on paper has them, and what programs read has not.

#![allow(clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use paper::{Item, Scene, proof_reading};
use plan::Plan;
use quantities::numerals::{DayOrder, Decimals};
use sheets::{
    dossier::{dossier, format},
    drawings::drawings,
    files,
    terminal::{Setting, summary},
};

const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");

fn planned(keys: &str) -> Plan {
    let text = PROVED.replacen("[project]\n", &format!("[project]\n{keys}"), 1);
    let (project, found) = plan::read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{found:?}"))).expect("the tapes give a room")
}

fn gather(items: &[Item], words: &mut Vec<String>) {
    for item in items {
        match item {
            Item::Group(group) => {
                words.extend(group.title.clone());
                gather(&group.items, words);
            }
            Item::Text(text) => words.push(text.words.clone()),
            _ => {}
        }
    }
}

fn read(scenes: &[&Scene]) -> Vec<String> {
    let mut words = Vec::new();
    for scene in scenes {
        gather(&scene.items, &mut words);
    }
    words
}

/// Numbers with one point between digits, with what stands before them.
fn with_a_point(words: &str) -> Option<&str> {
    let bytes = words.as_bytes();
    let at = (1..bytes.len().saturating_sub(1))
        .find(|&at| bytes[at] == b'.' && bytes[at - 1].is_ascii_digit() && bytes[at + 1].is_ascii_digit())?;
    words.get(
        words.floor_char_boundary(at.saturating_sub(24))..words.ceil_char_boundary((at + 8).min(words.len())),
    )
}

#[test]
fn decimals_and_days_on_paper_are_those_of_the_file() {
    let (points, commas) =
        (planned(""), planned("numbers = \"decimal comma\"\ndates = \"day.month.year\"\n"));
    let (plain, drawn) = (drawings(&points), drawings(&commas));
    let (pointed, after) = (dossier(&points, &plain), dossier(&commas, &drawn));
    let pages = |document: &paper::Document| {
        let scenes: Vec<&Scene> = document
            .pages
            .iter()
            .flat_map(|page| {
                std::iter::once(&page.scene).chain(page.windows.iter().map(|window| &window.scene))
            })
            .collect();
        read(&scenes)
    };
    let (before, words) = (pages(&pointed), pages(&after));
    assert_eq!(before.len(), words.len(), "nothing else is drawn");
    let put = before.iter().zip(&words).filter(|(before, after)| before != after).count();
    assert!(put > 300, "{put} texts were put otherwise");
    // Places of documents, names of entries and files keep their point.
    let meant = ["eq. (", "clause ", "Table ", "Tables ", "ANSI S", "`", "room.toml", "version "];
    let left: Vec<&str> = words
        .iter()
        .filter_map(|words| with_a_point(words))
        .filter(|found| !meant.iter().any(|one| found.contains(one)) && found.matches('.').count() == 1)
        .collect();
    assert!(left.is_empty(), "{left:#?}");
    assert!(
        words.iter().any(|words| words.contains("25.11.2026"))
            && !words.iter().any(|words| words.contains("2026-11-25"))
    );
    // Numbers in rings stand on their lines, with points and with commas.
    for (page, pointed) in after.pages.iter().zip(&pointed.pages) {
        let title = page.bookmarks.first().map_or("", |mark| mark.words.as_str());
        let frame = format(commas.title.paper).frame();
        let [known, mut found] = [pointed, page].map(|page| proof_reading::faults(&page.scene, Some(frame)));
        found.retain(|fault| !known.iter().any(|one| format!("{one:?}") == format!("{fault:?}")));
        assert!(found.is_empty(), "{title}: {found:#?}");
    }
}

#[test]
fn what_programs_read_keeps_its_points_and_the_terminal_follows_the_file_first() {
    let (points, commas) =
        (planned(""), planned("numbers = \"decimal comma\"\ndates = \"day.month.year\"\n"));
    let written = |plan: &Plan| files(plan).expect("all sheets");
    for (before, after) in written(&points).into_iter().zip(written(&commas)) {
        assert_eq!(before.path, after.path);
        if before.path.starts_with("lists/") {
            assert!(before.bytes == after.bytes, "{}", after.path);
        }
    }
    assert!(written(&commas) == written(&commas), "the same room gives the same bytes");
    let setting = |decimals, day_order| Setting { width: 100, styled: false, decimals, day_order };
    let plain = setting(Decimals::Point, DayOrder::YearMonthDay);
    let german = setting(Decimals::Comma, DayOrder::DayMonthYearPoints);
    let said = summary(&points, plain);
    assert!(with_a_point(&said).is_some() && said.contains("2026-11-25"), "{said}");
    // A language without a word of the file, and the file whatever the language.
    for (plan, setting) in [(&points, german), (&commas, plain), (&commas, german)] {
        let said = summary(plan, setting);
        assert!(
            said.contains("25.11.2026") && with_a_point(&said.replace("25.11.2026", "")).is_none(),
            "{said}"
        );
    }
}
