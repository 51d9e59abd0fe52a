//! Readings taken on site, added to a room file: nothing that stands there is changed or taken away.

use quantities::reader::Reader;
use thiserror::Error;

use crate::{
    edit::{self, Contents, EditError, NewValue},
    outcome::{HoldLimit, Plan},
};

/// Why a file of readings was not taken in; the room file is as it was.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum TakeInError {
    /// The readings are no TOML, or the room file is none.
    #[error("{0} holds no readings that can be read: {1}")]
    Unreadable(&'static str, EditError),
    /// There is nothing to take in.
    #[error(
        "The file has no reading in it. A reading is a [[as_built.bar]], [[as_built.clip]], [[as_built.added_bar]] or [[as_built.board]]; steps, hold points and \
         readings taken back may stand beside them."
    )]
    Empty,
    /// One reading lacks something.
    #[error("Reading {number} of [[as_built.{list}]] has no usable `{key}`.")]
    Missing {
        /// Which reading, from 1.
        number: usize,
        /// `bar`, `clip`, `added_bar`, `board` and so on.
        list: &'static str,
        /// The key.
        key: &'static str,
    },
    /// They were taken in another room.
    #[error("{}", other_room(.theirs, .ours, Reader::Terminal))]
    OtherRoom {
        /// Name of the room of the readings.
        theirs: String,
        /// Name of the room of the file.
        ours: String,
    },
    /// They name another layout.
    #[error("{}", other_layout(.theirs, .ours, Reader::Terminal))]
    OtherLayout {
        /// Stamp of the readings.
        theirs: String,
        /// Stamp of today's layout.
        ours: String,
    },
    /// They name no layout.
    #[error("{}", no_stamp(.ours, Reader::Terminal))]
    NoStamp {
        /// Stamp of today's layout.
        ours: String,
    },
    /// The room file's own readings are of another layout than today's.
    #[error(
        "The room file already holds readings of the layout with the stamp {theirs}, and today it gives {ours}: the two cannot stand side \
         by side. Nothing was taken in. Take survey, rules and stock back to what they were, or take the old readings out of [as_built] and \
         write stamp = \"{ours}\" there."
    )]
    RoomOfOther {
        /// Stamp under `[as_built]`.
        theirs: String,
        /// Stamp of today's layout.
        ours: String,
    },
    /// Today's file gives no layout to hold them against.
    #[error("{}", no_layout(Reader::Terminal))]
    NoLayout,
    /// A hold point that asks for a figure was given words.
    #[error(
        "The hold point of \u{201c}{step}\u{201d} was read as \u{201c}{measured}\u{201d}, which is no figure; it asks for {figure} in {unit}, {limit}. Nothing \
         was taken in. Take that entry back on the page, read it again with a figure, and save the file anew."
    )]
    NoFigure {
        /// Title of the step.
        step: String,
        /// What stands there instead.
        measured: String,
        /// Which figure is asked for.
        figure: String,
        /// In which unit.
        unit: String,
        /// What it may be.
        limit: String,
    },
    /// The file is of a later format.
    #[error(
        "The file of readings is of format {0}; this program reads up to {latest}. Use the program that wrote the page.",
        latest = FORMAT
    )]
    LaterFormat(String),
}

impl TakeInError {
    /// The sentence in the words of who reads it. `Display` gives that of a terminal.
    #[must_use]
    pub fn told(&self, reader: Reader) -> String {
        match self {
            Self::OtherRoom { theirs, ours } => other_room(theirs, ours, reader),
            Self::OtherLayout { theirs, ours } => other_layout(theirs, ours, reader),
            Self::NoStamp { ours } => no_stamp(ours, reader),
            Self::NoLayout => no_layout(reader),
            Self::Unreadable(..)
            | Self::Empty
            | Self::Missing { .. }
            | Self::RoomOfOther { .. }
            | Self::NoFigure { .. }
            | Self::LaterFormat(_) => self.to_string(),
        }
    }
}

fn other_room(theirs: &str, ours: &str, reader: Reader) -> String {
    let all_the_same = reader.either("say so with --anyway", "tick the box below");
    format!(
        "These readings were taken in the room \u{201c}{theirs}\u{201d}; this room file is of \u{201c}{ours}\u{201d}. Nothing was taken in. Give \
         the room file they belong to; if it is the same room under a new name, {all_the_same}."
    )
}

fn other_layout(theirs: &str, ours: &str, reader: Reader) -> String {
    let all_the_same = reader.either("say so with --anyway", "tick the box below");
    format!(
        "These readings belong to the layout with the stamp {theirs}; today this room file gives {ours}: bars, clips and boards may have \
         other places or numbers now. Nothing was taken in. Take survey, rules and stock back to what they were when that page was made, \
         or read anew on a page of today's plan. To count them for today's layout all the same, {all_the_same}."
    )
}

fn no_stamp(ours: &str, reader: Reader) -> String {
    let they_fit = reader.either("say with --anyway that they fit", "say with the box below that they fit");
    format!(
        "These readings carry no stamp, so nobody can tell whether they belong to today's layout, {ours}. Nothing was taken in. Hold them \
         against today's sheet of marks and write stamp = \"{ours}\" at the top of the file, or {they_fit}."
    )
}

fn no_layout(reader: Reader) -> String {
    let what_is_missing =
        reader.either("`stillroom plan` says what is missing", "The sheet Ceiling says what is missing");
    format!(
        "Today this room file gives no ceiling that is set out, so there is nothing to hold the readings against. Nothing was taken in. \
         {what_is_missing}."
    )
}

/// The newest format of a file of readings this program reads.
pub const FORMAT: u32 = 2;

/// The room a file of readings is held against.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Today {
    /// Name of the room.
    pub room: String,
    /// Stamp of the layout its file gives today ([`layout_stamp`](crate::layout_stamp)).
    pub stamp: Option<String>,
}

/// A room file with the readings added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenIn {
    /// Its new text.
    pub text: String,
    /// How many entries were added.
    pub added: usize,
    /// How many stood there already and were not added again.
    pub known: usize,
    /// What the person should be told beside the count, a sentence each.
    pub notes: Vec<String>,
}

/// What an entry of each list says.
const LISTS: [(&str, &[(&str, Sort)]); 7] = [
    (
        "bar",
        &[
            ("bar", Sort::Number),
            ("wall", Sort::Text),
            ("at_mm", Sort::Number),
            ("again", Sort::MaybeYes),
            ("read", Sort::MaybeText),
        ],
    ),
    (
        "clip",
        &[
            ("clip", Sort::Number),
            ("along_mm", Sort::MaybeNumber),
            ("skipped", Sort::MaybeYes),
            ("why", Sort::MaybeText),
            ("read", Sort::MaybeText),
        ],
    ),
    (
        "added_bar",
        &[
            ("from_wall", Sort::Text),
            ("from_mm", Sort::Number),
            ("to_wall", Sort::Text),
            ("to_mm", Sort::Number),
            ("clips_mm", Sort::MaybeNumbers),
        ],
    ),
    (
        "board",
        &[
            ("piece", Sort::Text),
            ("off_along_mm", Sort::MaybeNumber),
            ("off_across_mm", Sort::MaybeNumber),
            ("read", Sort::MaybeText),
        ],
    ),
    ("step", &[("step", Sort::Text), ("done", Sort::MaybeYes), ("read", Sort::MaybeText)]),
    (
        "hold",
        &[
            ("step", Sort::Text),
            ("measured", Sort::Text),
            ("within", Sort::MaybeYes),
            ("read", Sort::MaybeText),
        ],
    ),
    ("withdrawn", &[("read", Sort::Text)]),
];

#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    Number,
    Text,
    MaybeNumber,
    MaybeNumbers,
    MaybeText,
    MaybeYes,
}

impl Sort {
    fn needed(self) -> bool {
        matches!(self, Self::Number | Self::Text)
    }

    fn value(self, words: &str) -> Option<NewValue> {
        match self {
            Self::Text | Self::MaybeText => Some(NewValue::from(words)),
            Self::Number | Self::MaybeNumber => number(words).map(NewValue::from),
            Self::MaybeNumbers => numbers(words).map(NewValue::from),
            Self::MaybeYes => words.parse::<bool>().ok().map(NewValue::from),
        }
    }
}

fn number(words: &str) -> Option<f64> {
    words.replace('_', "").parse::<f64>().ok().filter(|n| n.is_finite())
}

/// The numbers of a list, as [`Contents::typed`] gives it; empty for an empty list.
fn numbers(words: &str) -> Option<Vec<f64>> {
    words.split(',').map(str::trim).filter(|word| !word.is_empty()).map(number).collect()
}

/// Adds the readings of a file to the text of a room file once it is sure that they were taken in that room on today's layout, or
/// `anyway`. The stamp is written under `[as_built]` where the file had no readings before.
///
/// # Errors
/// Where the readings are of another room or layout or do not say of which, and as [`take_in`].
pub fn take_in_of(room: &str, readings: &str, today: &Today, anyway: bool) -> Result<TakenIn, TakeInError> {
    let found = Contents::open(readings).map_err(|error| TakeInError::Unreadable("The file", error))?;
    let here = Contents::open(room).map_err(|error| TakeInError::Unreadable("The room file", error))?;
    if let Some(format) = found.typed("format").filter(|f| f.parse::<u32>().is_ok_and(|f| f > FORMAT)) {
        return Err(TakeInError::LaterFormat(format));
    }
    let ours = today.stamp.clone().ok_or(TakeInError::NoLayout)?;
    let trimmed = |words: String| words.trim().to_owned();
    let given = found.typed("stamp").or_else(|| found.typed("as_built.stamp")).map(trimmed);
    let mut notes = Vec::new();
    match found.typed("room").map(trimmed) {
        Some(theirs) if theirs != today.room.trim() => {
            if !anyway {
                return Err(TakeInError::OtherRoom { theirs, ours: today.room.clone() });
            }
            notes.push(format!(
                "They were taken in the room \u{201c}{theirs}\u{201d}; you said they are of this one."
            ));
        }
        _ => {}
    }
    match given {
        Some(theirs) if theirs != ours => {
            if !anyway {
                return Err(TakeInError::OtherLayout { theirs, ours });
            }
            notes.push(format!(
                "They belong to the layout {theirs}; you said they fit today's, {ours}. Hold one bar and one board against today's sheets \
                 before you go on."
            ));
        }
        None if !anyway => return Err(TakeInError::NoStamp { ours }),
        _ => {}
    }
    let stands = here.typed("as_built.stamp").map(trimmed);
    if let Some(theirs) = stands.clone().filter(|stamp| *stamp != ours) {
        return Err(TakeInError::RoomOfOther { theirs, ours });
    }
    let had =
        ["bar", "clip", "board", "added_bar"].iter().any(|list| here.count(&format!("as_built.{list}")) > 0);
    let stamped = if stands.is_none() && !had {
        edit::set(room, "as_built.stamp", ours.as_str())
            .map_err(|error| TakeInError::Unreadable("The room file", error))?
    } else {
        room.to_owned()
    };
    let mut taken = take_in(&stamped, readings)?;
    notes.append(&mut taken.notes);
    taken.notes = notes;
    Ok(taken)
}

/// Adds the readings of a file to the text of a room file. Taken in twice, a file adds nothing the second time: an entry is known by the
/// name the page gave it, one without a name by what it says.
///
/// # Errors
/// Where either text is no TOML, there is no reading, or one lacks a value. Whether the values can be used, the reader of the room file says.
pub fn take_in(room: &str, readings: &str) -> Result<TakenIn, TakeInError> {
    let found = Contents::open(readings).map_err(|error| TakeInError::Unreadable("The file", error))?;
    let mut taken = TakenIn { text: room.to_owned(), added: 0, known: 0, notes: Vec::new() };
    for (list, keys) in LISTS {
        let path = format!("as_built.{list}");
        for at in 0..found.count(&path) {
            let mut entry: Vec<(&str, NewValue)> = Vec::new();
            let mut typed: Vec<(&str, Option<String>)> = Vec::new();
            for &(key, sort) in keys {
                let words = found.typed(&format!("{path}[{at}].{key}"));
                match words.as_deref().map(|words| sort.value(words)) {
                    Some(Some(value)) => entry.push((key, value)),
                    None if !sort.needed() => {}
                    _ => return Err(TakeInError::Missing { number: at + 1, list, key }),
                }
                typed.push((key, words));
            }
            let here = Contents::open(&taken.text)
                .map_err(|error| TakeInError::Unreadable("The room file", error))?;
            if (0..here.count(&path)).any(|old| stands_already(&here, &format!("{path}[{old}]"), &typed)) {
                taken.known += 1;
                continue;
            }
            taken.text = edit::add_entry(&taken.text, &path, &entry)
                .map_err(|error| TakeInError::Unreadable("The room file", error))?;
            taken.added += 1;
        }
    }
    if taken.added + taken.known == 0 {
        return Err(TakeInError::Empty);
    }
    taken.notes = skipped_clips(&found);
    Ok(taken)
}

/// Whether a file of readings reads a hold point at all: only then is there something to hold against the steps of a plan.
#[must_use]
pub fn reads_hold_points(readings: &str) -> bool {
    Contents::open(readings).is_ok_and(|found| found.count("as_built.hold") > 0)
}

/// Looks whether every hold point that asks for a figure was given one. Entries that were taken back, or replaced by a later one of the same
/// step, are left alone.
///
/// # Errors
/// The first that was given words.
pub fn figures_where_asked(readings: &str, plan: &Plan) -> Result<(), TakeInError> {
    let found = Contents::open(readings).map_err(|error| TakeInError::Unreadable("The file", error))?;
    let back: Vec<String> = (0..found.count("as_built.withdrawn"))
        .filter_map(|at| found.typed(&format!("as_built.withdrawn[{at}].read")))
        .collect();
    let held: Vec<(String, String)> = (0..found.count("as_built.hold"))
        .filter(|at| {
            !found.typed(&format!("as_built.hold[{at}].read")).is_some_and(|name| back.contains(&name))
        })
        .filter_map(|at| {
            let of = |key: &str| found.typed(&format!("as_built.hold[{at}].{key}"));
            Some((of("step")?, of("measured")?))
        })
        .collect();
    for (at, (title, measured)) in held.iter().enumerate() {
        let replaced = held.iter().skip(at + 1).any(|(later, _)| later == title);
        let step = plan.steps.iter().find(|step| step.title == *title);
        let limit = step.and_then(|step| step.hold_point.as_ref()?.limit.as_ref());
        if let Some(limit) = limit.filter(|_| !replaced && HoldLimit::read(measured).is_none()) {
            return Err(TakeInError::NoFigure {
                step: title.clone(),
                measured: measured.clone(),
                figure: limit.figure.clone(),
                unit: limit.unit.clone(),
                limit: limit.words(),
            });
        }
    }
    Ok(())
}

fn stands_already(here: &Contents, path: &str, typed: &[(&str, Option<String>)]) -> bool {
    let stands = |key: &str| here.typed(&format!("{path}.{key}"));
    if let Some((_, Some(name))) = typed.iter().find(|(key, _)| *key == "read") {
        return stands("read").as_ref() == Some(name);
    }
    typed.iter().all(|(key, new)| {
        let old = stands(key);
        let same_numbers = || {
            let bits = |words: &Option<String>| {
                let all = words.as_deref().and_then(numbers)?;
                Some(all.into_iter().map(f64::to_bits).collect::<Vec<u64>>())
            };
            bits(&old).is_some() && bits(&old) == bits(new)
        };
        old == *new || same_numbers()
    })
}

/// Clips whose last entry, of those not taken back, says that they were skipped.
fn skipped_clips(found: &Contents) -> Vec<String> {
    let back: Vec<String> = (0..found.count("as_built.withdrawn"))
        .filter_map(|at| found.typed(&format!("as_built.withdrawn[{at}].read")))
        .collect();
    let mut last: Vec<(String, bool)> = Vec::new();
    for at in 0..found.count("as_built.clip") {
        let of = |key: &str| found.typed(&format!("as_built.clip[{at}].{key}"));
        let Some(clip) = of("clip").filter(|_| !of("read").is_some_and(|name| back.contains(&name))) else {
            continue;
        };
        last.retain(|(known, _)| *known != clip);
        last.push((clip, of("skipped").as_deref() == Some("true")));
    }
    let names: Vec<String> = last.into_iter().filter(|(_, skipped)| *skipped).map(|(clip, _)| clip).collect();
    let (clips, were) = if names.len() == 1 { ("Clip", "was") } else { ("Clips", "were") };
    let sentence = format!(
        "{clips} {} {were} skipped on site: the neighbours carry what hangs there; the sheet As built says what to add where that is too \
         much.",
        names.join(", ")
    );
    if names.is_empty() { Vec::new() } else { vec![sentence] }
}

#[cfg(test)]
mod tests {
    use super::*;

    const READINGS: &str = "format = 1\n\n[[as_built.bar]]\nbar = 2\nwall = \"A-B\"\nat_mm = 742\n\n[[as_built.board]]\npiece = \"1-07\"\n";

    #[test]
    fn readings_are_added_once_and_nothing_is_lost() {
        let room = "# my room\n[limits]\nlift_kg = 40 # two\n\n[[as_built.bar]]\nbar = 1\nwall = \"A-B\"\nat_mm = 96.5\n";
        let taken = take_in(room, READINGS).unwrap();
        assert_eq!((taken.added, taken.known), (2, 0));
        assert!(taken.text.starts_with(room));
        assert!(taken.text.contains("bar = 2\nwall = \"A-B\"\nat_mm = 742\n"));
        let again = take_in(&taken.text, READINGS).unwrap();
        assert_eq!((again.added, again.known), (0, 2));
        assert_eq!(again.text, taken.text);
    }

    #[test]
    fn what_cannot_be_taken_in_is_said() {
        let said = |readings: &str| take_in("[limits]\n", readings).unwrap_err().to_string();
        assert!(said("bar = ").contains("holds no readings"));
        assert!(said("format = 1\n").contains("no reading in it"));
        let missing = said("[[as_built.bar]]\nbar = 1\nwall = \"A-B\"\n");
        assert_eq!(missing, "Reading 1 of [[as_built.bar]] has no usable `at_mm`.");
        assert!(said("[[as_built.clip]]\nclip = 1\nalong_mm = \"far\"\n").contains("`along_mm`"));
    }

    fn today() -> Today {
        Today { room: "Drum garage".to_owned(), stamp: Some("7KQ2-M4RA".to_owned()) }
    }

    fn file(room: &str, stamp: &str, rest: &str) -> String {
        format!("format = 2\nroom = \"{room}\"\nstamp = \"{stamp}\"\n{rest}")
    }

    const BAR: &str = "\n[[as_built.bar]]\nbar = 8\nwall = \"H-I\"\nat_mm = 78\nread = \"K3F9-1\"\n";

    #[test]
    fn readings_of_another_room_or_layout_are_refused_and_may_be_taken_knowingly() {
        let said = |text: &str| take_in_of("[limits]\n", text, &today(), false).unwrap_err();
        let other_room = file("Cellar", "7KQ2-M4RA", BAR);
        assert!(matches!(said(&other_room), TakeInError::OtherRoom { .. }));
        let other = file("Drum garage", "AAAA-BBBB", BAR);
        let words = said(&other).to_string();
        assert!(
            words.contains("AAAA-BBBB") && words.contains("7KQ2-M4RA") && words.contains("--anyway"),
            "{words}"
        );
        assert!(matches!(said(READINGS), TakeInError::NoStamp { .. }));
        assert!(matches!(said("format = 9\n"), TakeInError::LaterFormat(_)));
        for text in [other_room.as_str(), other.as_str(), READINGS] {
            let taken = take_in_of("[limits]\n", text, &today(), true).unwrap();
            assert!(taken.added > 0 && taken.text.contains("stamp = \"7KQ2-M4RA\""), "{}", taken.text);
        }
        let none = Today { stamp: None, ..today() };
        let refused = take_in_of("[limits]\n", &other, &none, true);
        assert_eq!(refused.unwrap_err(), TakeInError::NoLayout);
        // Readings of two layouts never stand in one file, whatever is said.
        let old = "[as_built]\nstamp = \"AAAA-BBBB\"\n";
        let own = file("Drum garage", "7KQ2-M4RA", BAR);
        assert!(matches!(take_in_of(old, &own, &today(), true), Err(TakeInError::RoomOfOther { .. })));
    }

    #[test]
    fn the_stamp_goes_with_the_first_readings_and_with_no_older_ones() {
        let own = file("Drum garage", "7KQ2-M4RA", BAR);
        let taken = take_in_of("[limits]\nlift_kg = 40\n", &own, &today(), false).unwrap();
        assert_eq!(
            Contents::open(&taken.text).unwrap().typed("as_built.stamp").as_deref(),
            Some("7KQ2-M4RA")
        );
        let unstamped = "[[as_built.bar]]\nbar = 1\nwall = \"A-B\"\nat_mm = 96.5\n";
        let taken = take_in_of(unstamped, &own, &today(), false).unwrap();
        assert!(!taken.text.contains("stamp"), "{}", taken.text);
    }

    #[test]
    fn an_added_bar_keeps_its_clips_and_is_known_again() {
        let bar = "\n[[as_built.added_bar]]\nfrom_wall = \"E-A\"\nfrom_mm = 1413\nto_wall = \"B-C\"\nto_mm = 1416\nclips_mm = [150, 610.5, 1_200.0]\n";
        let taken = take_in("", bar).unwrap();
        let clips = Contents::open(&taken.text).unwrap().typed("as_built.added_bar[0].clips_mm");
        assert_eq!(clips.as_deref(), Some("150, 610.5, 1200"));
        let again = take_in(&taken.text, bar).unwrap();
        assert_eq!((again.added, again.known), (0, 1));
        let wrong = bar.replace("610.5", "\"half-way\"");
        assert!(take_in("", &wrong).unwrap_err().to_string().contains("`clips_mm`"));
    }

    #[test]
    fn a_room_with_nothing_but_an_added_bar_has_readings() {
        // Of which layout that bar is nobody knows: the stamp of the new readings must not be written over it.
        let had =
            "[[as_built.added_bar]]\nfrom_wall = \"E-A\"\nfrom_mm = 1413\nto_wall = \"B-C\"\nto_mm = 1416\n";
        let taken = take_in_of(had, &file("Drum garage", "7KQ2-M4RA", BAR), &today(), false).unwrap();
        assert!(!taken.text.contains("stamp"), "{}", taken.text);
    }

    #[test]
    fn a_figure_that_comes_back_is_a_reading_of_its_own() {
        let log = |name: &str, mm: u32| {
            format!("\n[[as_built.bar]]\nbar = 8\nwall = \"H-I\"\nat_mm = {mm}\nread = \"{name}\"\n")
        };
        let text = file(
            "Drum garage",
            "7KQ2-M4RA",
            &format!("{}{}{}", log("K-1", 78), log("K-2", 75), log("K-3", 78)),
        );
        let taken = take_in("", &text).unwrap();
        assert_eq!((taken.added, taken.known), (3, 0));
        let more = format!("{text}{}\n[[as_built.withdrawn]]\nread = \"K-3\"\n", log("K-4", 76));
        let again = take_in(&taken.text, &more).unwrap();
        assert_eq!((again.added, again.known), (2, 3));
    }

    #[test]
    fn skipped_clips_are_told() {
        let text = "[[as_built.clip]]\nclip = 4\nskipped = true\nread = \"K-1\"\n[[as_built.clip]]\nclip = 5\nskipped = true\nwhy = \"no joist\"\n\
                    [[as_built.clip]]\nclip = 6\nskipped = true\n[[as_built.clip]]\nclip = 6\n[[as_built.withdrawn]]\nread = \"K-1\"\n\
                    [[as_built.hold]]\nstep = \"Bars\"\nmeasured = \"5 mm\"\nwithin = false\n[[as_built.step]]\nstep = \"Bars\"\n";
        let taken = take_in("", text).unwrap();
        assert_eq!(taken.added, 7);
        assert_eq!(taken.notes.len(), 1);
        assert!(taken.notes[0].starts_with("Clip 5 was skipped"), "{:?}", taken.notes);
    }
}
