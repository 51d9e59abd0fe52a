//! The guide speaks of what is there: its pages, its pictures, the commands and the keys it names.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
    process::Command,
};

/// Endings that make a dotted word the name of a file, not of a key.
const FILE_ENDS: [&str; 10] = ["toml", "rs", "md", "csv", "svg", "pdf", "json", "dxf", "py", "txt"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn source() -> PathBuf {
    root().join("docs/guide/src")
}

fn read(path: &Path) -> String {
    fs::read_to_string(path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()))
        .replace("\r\n", "\n")
}

/// Every page of the guide, by its path from the source folder with `/`.
fn pages() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open = vec![String::new()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(source().join(&folder)).unwrap() {
            let entry = entry.unwrap();
            let name = format!("{folder}{}", entry.file_name().to_str().unwrap());
            if entry.file_type().unwrap().is_dir() {
                open.push(format!("{name}/"));
            } else if Path::new(&name).extension().is_some_and(|end| end == "md") && name != "SUMMARY.md" {
                found.insert(name);
            }
        }
    }
    found
}

/// What `](` … `)` leads to.
fn links(text: &str) -> impl Iterator<Item = &str> {
    text.split("](").skip(1).filter_map(|rest| rest.split_once(')')).map(|(target, _)| target)
}

/// A line of a fenced block with the language of the block, or a piece in backticks with none.
struct Code<'a> {
    language: Option<&'a str>,
    text: &'a str,
    opens_block: bool,
}

fn code(text: &str) -> Vec<Code<'_>> {
    let mut pieces = Vec::new();
    let (mut language, mut opens_block) = (None, false);
    for line in text.lines() {
        if let Some(named) = line.trim_start().strip_prefix("```") {
            language = if language.is_some() { None } else { Some(named.trim()) };
            opens_block = language.is_some();
        } else if language.is_some() {
            pieces.push(Code { language, text: line.trim(), opens_block });
            opens_block = false;
        } else {
            let inline = line.split('`').skip(1).step_by(2);
            pieces.extend(inline.map(|text| Code { language: None, text, opens_block: false }));
        }
    }
    pieces
}

/// The guide and the front page, each with its name.
fn texts() -> Vec<(String, String)> {
    let guide = pages().into_iter().map(|page| {
        let text = read(&source().join(&page));
        (page, text)
    });
    guide.chain([("../../../README.md".to_owned(), read(&root().join("README.md")))]).collect()
}

fn help(arguments: &[&str]) -> Option<String> {
    let output = Command::new(env!("CARGO_BIN_EXE_stillroom")).args(arguments).output().unwrap();
    output.status.success().then(|| String::from_utf8(output.stdout).unwrap())
}

/// The tables of the room file in their brackets, and the keys of each by the name inside them.
struct Keys {
    tables: BTreeSet<String>,
    of_table: BTreeMap<String, BTreeSet<String>>,
}

impl Keys {
    fn of_the_reference() -> Self {
        let mut keys = Self { tables: BTreeSet::new(), of_table: BTreeMap::new() };
        let mut table = String::new();
        for line in read(&root().join("docs/room-file.md")).lines() {
            if let Some(heading) = line.strip_prefix("### `").and_then(|rest| rest.strip_suffix('`')) {
                keys.tables.insert(heading.to_owned());
                heading.trim_matches(['[', ']']).clone_into(&mut table);
            } else if line.starts_with("## ") {
                table.clear();
            } else if let Some((key, _)) = line.strip_prefix("| `").and_then(|rest| rest.split_once('`')) {
                keys.of_table.entry(table.clone()).or_default().insert(key.to_owned());
            }
        }
        keys
    }

    fn has(&self, table: &str, key: &str) -> bool {
        self.of_table.get(table).is_some_and(|keys| keys.contains(key))
    }

    /// What a piece in backticks names that is not in the reference.
    fn missing(&self, text: &str) -> bool {
        let plain = |part: &str| {
            part.starts_with(|c: char| c.is_ascii_lowercase())
                && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
        };
        if let Some(name) = table_name(text) {
            return name.split('.').all(plain) && !self.tables.contains(text);
        }
        match text.rsplit_once('.') {
            Some((table, key)) if plain(key) && table.split('.').all(plain) && !FILE_ENDS.contains(&key) => {
                !self.has(table, key)
            }
            _ => false,
        }
    }
}

/// `survey.tape` of `[[survey.tape]]`.
fn table_name(text: &str) -> Option<&str> {
    let inner = text.strip_prefix('[')?.strip_suffix(']')?;
    Some(inner.strip_prefix('[').and_then(|name| name.strip_suffix(']')).unwrap_or(inner))
}

#[test]
fn the_summary_names_every_page_and_no_other() {
    let summary = read(&source().join("SUMMARY.md"));
    let named: Vec<&str> = links(&summary).collect();
    let once: BTreeSet<String> = named.iter().map(|&page| page.to_owned()).collect();
    assert_eq!(named.len(), once.len(), "a page stands twice in SUMMARY.md");
    assert!(once.len() > 20, "{once:?}");
    assert_eq!(once, pages());
}

#[test]
fn links_and_pictures_lead_somewhere() {
    let drawn = read(&root().join("docs/guide/pictures.sh"));
    let list = drawn.split("<<'LIST'\n").nth(1).and_then(|rest| rest.split("\nLIST").next()).unwrap();
    let drawn: BTreeSet<String> = list.lines().map(|line| line.replace(' ', "-") + ".svg").collect();
    let mut shown = BTreeSet::new();
    for (page, text) in texts() {
        let folder = source().join(&page).parent().unwrap().to_path_buf();
        for target in links(&text).filter(|target| !target.starts_with("http")) {
            let file = target.split('#').next().unwrap();
            if let Some((_, picture)) = file.split_once("pictures/") {
                assert!(drawn.contains(picture), "{page} shows {picture}, which pictures.sh does not draw");
                shown.insert(picture.to_owned());
            } else {
                assert!(file.is_empty() || folder.join(file).exists(), "{page} links to {target}");
            }
        }
    }
    assert!(shown.len() > 10, "{shown:?}");
    let idle: Vec<_> = drawn.difference(&shown).collect();
    assert!(idle.is_empty(), "pictures.sh draws what no page shows: {idle:?}");
}

#[test]
fn the_commands_it_names_exist_with_their_options() {
    let mut helps: BTreeMap<String, String> = BTreeMap::new();
    for (page, text) in texts() {
        for piece in code(&text) {
            let called = ["stillroom ", "cargo run --release -- "].into_iter().find_map(|program| {
                let at = piece.text.find(program)?;
                let before = piece.text.get(..at)?.chars().last();
                let rest = piece.text.get(at + program.len()..)?;
                before.is_none_or(char::is_whitespace).then_some(rest)
            });
            let mut words = called.unwrap_or_default().split_whitespace();
            let Some(command) =
                words.next().filter(|word| word.starts_with(|c: char| c.is_ascii_lowercase()))
            else {
                continue;
            };
            if !helps.contains_key(command) {
                let said = help(&[command, "--help"]);
                let said = said.unwrap_or_else(|| panic!("{page}: there is no command `{command}`"));
                helps.insert(command.to_owned(), said);
            }
            for option in
                words.map(|word| word.trim_matches(['[', ']'])).filter(|word| word.starts_with("--"))
            {
                let known = helps.get(command).is_some_and(|said| said.contains(option));
                assert!(known, "{page}: `stillroom {command}` has no option {option}");
            }
        }
    }
    assert!(helps.len() >= 5, "{:?}", helps.keys());
}

#[test]
fn the_keys_it_names_are_in_the_reference() {
    let keys = Keys::of_the_reference();
    assert!(
        keys.has("survey.tape", "from") && !keys.missing("[[survey.tape]]") && keys.missing("[survey.tape]")
    );
    assert!(keys.missing("survey.tapes") && !keys.missing("room.toml") && !keys.missing("rules.bar_gap_mm"));
    let mut wrong = Vec::new();
    for page in pages() {
        let mut table = None;
        let text = read(&source().join(&page));
        for piece in code(&text) {
            if piece.opens_block {
                table = None;
            }
            match piece.language {
                None if keys.missing(piece.text) => wrong.push(format!("{page}: `{}`", piece.text)),
                Some("toml") if piece.text.starts_with('[') => {
                    table = table_name(piece.text).map(str::to_owned);
                    if !keys.tables.contains(piece.text) {
                        wrong.push(format!("{page}: {}", piece.text));
                    }
                }
                Some("toml") => {
                    let key = piece.text.split_once('=').map(|(key, _)| key.trim());
                    let known =
                        key.is_none_or(|key| table.as_ref().is_some_and(|table| keys.has(table, key)));
                    if !known {
                        wrong.push(format!("{page}: {} under {table:?}", piece.text));
                    }
                }
                _ => {}
            }
        }
    }
    assert!(wrong.is_empty(), "not in docs/room-file.md:\n{}", wrong.join("\n"));
}
