//! What is done with a file that may be spoilt, one function a format: each reads it, goes on with what it holds, and stops the program
//! where a sentence is missing or a number is none. Tests with mutated files and the fuzzers under `fuzz/` call the same functions.

#![allow(
    clippy::missing_panics_doc,
    clippy::panic,
    clippy::unwrap_used,
    reason = "each stops at the first thing that is wrong: that is what it is for"
)]

use std::io::Cursor;

use plan::read::{Attached, read_element, read_spectrum};
use proof::{AnalysisSettings, Block, Recording, analyse_recording};

/// Blocks of a recording that are read at most.
const MOST_BLOCKS: usize = 200;

fn as_text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Every `null` of the JSON stands for something left out; a number that is none would be one more.
fn finite(what: &impl std::fmt::Debug) {
    let printed = format!("{what:?}");
    for word in ["NaN", "inf"] {
        for (at, _) in printed.match_indices(word) {
            let before = printed[..at].chars().next_back();
            let after = printed[at + word.len()..].chars().next();
            let stands_alone =
                before.is_none_or(|c| " -([".contains(c)) && after.is_none_or(|c| ",)] }".contains(c));
            let in_words = before == Some(' ') && after == Some(' ') && word == "inf";
            assert!(
                !stands_alone || in_words,
                "{}",
                printed.get(at.saturating_sub(120)..at + 10).unwrap_or(word)
            );
        }
    }
}

/// A room file: refused with sentences whose places lie in it, or a project.
pub fn room(bytes: &[u8]) {
    let text = as_text(bytes);
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_some() || !found.is_empty());
    for one in &found {
        assert!(one.labels.iter().all(|label| text.get(label.span.clone()).is_some()), "{one}");
    }
    let _ = plan::read::attachments(&text);
    let _ = plan::edit::Contents::open(&text).map(|contents| contents.count("survey.tape"));
}

/// A room file that is planned, if it can be read: every number of the plan a number, every sheet drawn.
pub fn planned(bytes: &[u8]) {
    let Some(project) = plan::read(&as_text(bytes), "room.toml").0 else { return };
    match plan::plan(&project) {
        Ok(plan) => {
            finite(&plan);
            assert!(serde_json::to_string(&plan).is_ok());
            assert!(!sheets::files(&plan).unwrap().is_empty());
        }
        Err(error) => assert!(error.to_string().len() > 15),
    }
}

/// A file of one build-up.
pub fn element(bytes: &[u8]) {
    let (element, _) = read_element(&as_text(bytes), "element.toml", &Attached::new());
    if let Some(element) = element
        && let Ok(report) = plan::plan_element(&element)
    {
        finite(&report);
    }
}

/// A typed spectrum.
pub fn spectrum(bytes: &[u8]) {
    let (readings, found) = read_spectrum(&as_text(bytes), "typed.csv");
    assert!(readings.is_some() || !found.is_empty());
}

/// A file of readings, taken into a room: nothing of the room is lost.
pub fn readings(room: &str, bytes: &[u8]) {
    if let Ok(taken) = plan::take_in::take_in(room, &as_text(bytes)) {
        assert!(taken.text.len() >= room.len());
        let _ = plan::read(&taken.text, "room.toml");
    }
}

/// Something typed where a path of keys, a name or a stamp belongs.
pub fn edit(room: &str, bytes: &[u8]) {
    let typed = as_text(bytes);
    let _ = plan::read(&format!("{room}\n[as_built]\nstamp = {typed:?}\n"), "room.toml");
    let _ = plan::edit::set(room, &typed, 3.5);
    let _ = plan::edit::set(room, "project.name", typed.as_str());
    let _ = plan::edit::remove(room, &typed);
    let _ = plan::edit::move_entry(room, &typed, bytes.len(), 0);
    let _ = catalogue::kind_of(&typed);
    let _ = catalogue::nearest_id(catalogue::Kind::Sheet, &typed);
}

/// A recording in any format: decoded, analysed, one channel of it read.
pub fn recording(bytes: &[u8]) {
    let open = || Recording::open(Cursor::new(bytes.to_vec()));
    if let Ok(mut recording) = open() {
        let mut block = Block::default();
        for _ in 0..MOST_BLOCKS {
            if !recording.next_block(&mut block).unwrap_or(false) {
                break;
            }
        }
    }
    if let Ok(recording) = open()
        && let Ok(analysis) = analyse_recording(recording, &AnalysisSettings::default())
    {
        let _ = serde_json::to_string(&analysis).unwrap();
    }
    if let Ok(recording) = open() {
        let _ = recording.read_channel(0, 2.0);
    }
}
