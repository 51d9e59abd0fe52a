//! What the language of the environment changes, and what it does not.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::{fs, path::Path, process::Command};

#[test]
fn the_language_changes_the_terminal_and_never_the_paper() {
    let room = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/percussion-room/room.toml");
    let folder = std::env::temp_dir().join(format!("stillroom-locale-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    let planned = |language: &str| {
        let out = folder.join(language);
        let output = Command::new(env!("CARGO_BIN_EXE_stillroom"))
            .args(["plan", room.to_str().unwrap(), "--out", out.to_str().unwrap()])
            .env_remove("LC_NUMERIC")
            .env_remove("LC_TIME")
            .env_remove("LANG")
            .env("LC_ALL", language)
            .output()
            .unwrap();
        assert!(output.status.success());
        let said = String::from_utf8(output.stdout).unwrap();
        (said.split("\nWhere to look").next().unwrap().to_owned(), out)
    };
    let ((plain, points), (german, commas)) = (planned("C"), planned("de_DE.UTF-8"));
    assert!(plain.contains("2026-11-25") && german.contains("25.11.2026"), "{german}");
    assert_ne!(plain, german);
    let decimal = |text: &str, mark: char| {
        text.match_indices(mark).any(|(at, _)| {
            let digit = |at: usize| text.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
            at > 0 && digit(at - 1) && digit(at + 1)
        })
    };
    assert!(decimal(&plain, '.') && !decimal(&plain, ','), "{plain}");
    assert!(decimal(&german, ',') && !decimal(&german.replace("25.11.2026", ""), '.'), "{german}");
    for file in ["dossier.pdf", "plan.json", "lists/order.csv", "drawings/survey.svg", "site.html"] {
        assert!(fs::read(points.join(file)).unwrap() == fs::read(commas.join(file)).unwrap(), "{file}");
    }
    fs::remove_dir_all(&folder).unwrap();
}
