//! The rules of the house that a compiler does not hold: which crate may know which, how long a file may be,
//! what may not be written in the sources.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

/// The crates from the ground floor up; each may know only those before it.
const FLOORS: [&str; 15] = [
    "quantities",
    "geometry",
    "bands",
    "catalogue",
    "sound",
    "survey",
    "cutting",
    "setout",
    "fabric",
    "proof",
    "choose",
    "plan",
    "paper",
    "sheets",
    "stillroom",
];

/// Pairs that would be possible by the order of floors but are forbidden by what a crate must never know.
const NEVER: [(&str, &str); 24] = [
    ("bands", "geometry"),
    ("sound", "geometry"),
    ("survey", "sound"),
    ("survey", "bands"),
    ("cutting", "sound"),
    ("cutting", "survey"),
    ("setout", "sound"),
    ("setout", "bands"),
    ("setout", "survey"),
    ("fabric", "setout"),
    ("fabric", "sound"),
    ("fabric", "survey"),
    ("paper", "plan"),
    ("catalogue", "geometry"),
    ("proof", "geometry"),
    ("proof", "catalogue"),
    ("proof", "sound"),
    ("proof", "survey"),
    ("proof", "setout"),
    ("proof", "fabric"),
    ("choose", "sound"),
    ("choose", "setout"),
    ("choose", "fabric"),
    ("choose", "proof"),
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn dependencies(crate_name: &str) -> BTreeSet<String> {
    let manifest = fs::read_to_string(root().join("crates").join(crate_name).join("Cargo.toml")).unwrap();
    let mut inside = false;
    let mut found = BTreeSet::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line == "[dependencies]";
        } else if inside && let Some((name, _)) = line.split_once(['.', '=', ' ']) {
            found.insert(name.trim().to_owned());
        }
    }
    found
}

fn sources() -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root().join("crates")];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|end| end == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

#[test]
fn every_crate_knows_only_the_floors_below_it() {
    for (floor, name) in FLOORS.iter().enumerate() {
        let known = dependencies(name);
        for above in &FLOORS[floor..] {
            assert!(!known.contains(*above), "{name} must not know {above}");
        }
        for (who, whom) in NEVER {
            assert!(who != *name || !known.contains(whom), "{who} must not know {whom}");
        }
    }
}

#[test]
fn the_pure_crates_touch_no_files_no_clock_and_no_network() {
    for path in sources() {
        let name = path.strip_prefix(root().join("crates")).unwrap().to_string_lossy().into_owned();
        let pure = !name.starts_with("stillroom/") && name.contains("/src/");
        if pure {
            let text = fs::read_to_string(&path).unwrap();
            for word in ["std::fs", "std::time", "std::net", "std::env", "std::process", "HashMap", "HashSet"]
            {
                assert!(!text.contains(word), "{name} uses {word}");
            }
        }
    }
}

#[test]
fn no_source_file_has_two_subjects() {
    // A specimen of everything is one subject, however long.
    for path in
        sources().into_iter().filter(|path| !path.components().any(|part| part.as_os_str() == "examples"))
    {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= 600, "{} has {lines} lines: split it by subject", path.display());
    }
}

#[test]
fn every_crate_takes_the_lints_of_the_workspace() {
    for name in FLOORS {
        let manifest = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
        assert!(manifest.contains("[lints]\nworkspace = true"), "{name}");
    }
}
