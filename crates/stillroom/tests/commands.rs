//! The commands as a person types them: what they print, what they write, how they end.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A fresh folder for one test, removed at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("stillroom-test-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn stillroom(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_stillroom"))
        .args(arguments)
        .env_remove("RAYON_NUM_THREADS")
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn the_demo_writes_every_sheet_and_says_where_to_look() {
    let folder = Folder::new("demo");
    let into = folder.0.join("ein Übungsraum");
    let output = stillroom(&["demo", "--into", into.to_str().unwrap()]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    for words in ["Percussion room", "garden fence", "bedroom window", "joists", "headroom", "dossier.pdf"] {
        assert!(said.contains(words), "{words} missing in:\n{said}");
    }
    assert!(!said.contains('\u{1b}'), "no escape codes where the output is no terminal");
    let sheets = into.join("sheets");
    assert!(fs::read(sheets.join("dossier.pdf")).unwrap().starts_with(b"%PDF"));
    for list in ["marks", "pieces", "order", "steps", "clips", "bars"] {
        let rows = fs::read_to_string(sheets.join(format!("lists/{list}.csv"))).unwrap();
        assert!(rows.lines().count() > 3, "{list}");
    }
    assert!(fs::read_dir(sheets.join("drawings")).unwrap().count() > 4);
    let json: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(sheets.join("plan.json")).unwrap()).unwrap();
    assert_eq!(json["title"]["name"], "Percussion room");
}

#[test]
fn the_demo_keeps_a_room_file_that_is_there() {
    let folder = Folder::new("keep");
    let room = folder.0.join("room.toml");
    let mine = fs::read_to_string(root().join("examples/percussion-room/room.toml"))
        .unwrap()
        .replace("Percussion room\"", "My own room\"");
    fs::write(&room, &mine).unwrap();
    let output = stillroom(&["demo", "--into", folder.0.to_str().unwrap()]);
    assert!(output.status.success());
    assert_eq!(fs::read_to_string(&room).unwrap(), mine);
    assert!(text(&output.stdout).contains("My own room"));
}

#[test]
fn the_plan_as_json_is_the_same_twice_and_on_any_number_of_threads() {
    let room = root().join("examples/percussion-room/room.toml");
    let run = |threads: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_stillroom"))
            .args(["plan", room.to_str().unwrap(), "--json"])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert!(output.status.success());
        output.stdout
    };
    let one = run("1");
    assert!(one.starts_with(b"{"), "JSON and nothing else");
    assert!(serde_json::from_slice::<serde_json::Value>(&one).is_ok());
    assert!(one == run("1") && one == run("2"));
}

#[test]
fn check_ends_with_one_where_there_is_an_error_and_says_where() {
    let folder = Folder::new("check");
    let good = root().join("examples/percussion-room/room.toml");
    assert_eq!(stillroom(&["check", good.to_str().unwrap()]).status.code(), Some(0));
    let bad = folder.0.join("room.toml");
    let broken = fs::read_to_string(good).unwrap().replace("headroom_mm = 2250", "hedroom_mm = 2250");
    fs::write(&bad, broken).unwrap();
    let output = stillroom(&["check", bad.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stdout);
    assert!(said.contains("hedroom_mm") && said.contains("headroom_mm"), "{said}");
    let output = stillroom(&["plan", bad.to_str().unwrap(), "--json"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(output.stdout.is_empty());
}

/// A joist that does not fit is no fault of the tapes, and is told once.
#[test]
fn a_joist_that_does_not_fit_is_told_once_and_not_blamed_on_the_tapes() {
    let folder = Folder::new("joist");
    let good = fs::read_to_string(root().join("examples/percussion-room/room.toml")).unwrap();
    let (before, after) = good.split_once("laser_above_floor_mm = ").unwrap();
    let after = after.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let low = format!("{before}laser_above_floor_mm = 300{after}")
        .replace("[1138, 1143, 1141]", "[-400, 1143, 1141]");
    let room = folder.0.join("room.toml");
    fs::write(&room, low).unwrap();
    let planned = text(&stillroom(&["plan", room.to_str().unwrap()]).stderr);
    assert_eq!(planned.matches("because:").count(), 1, "{planned}");
    assert!(planned.contains("level reading 1 of joist J3"), "{planned}");
    let checked = text(&stillroom(&["check", room.to_str().unwrap()]).stdout);
    assert!(
        checked.contains("The joists do not fit") && !checked.contains("tapes give no room"),
        "{checked}"
    );
}

#[test]
fn a_new_room_reads_and_plans_without_an_error() {
    let folder = Folder::new("new");
    let dir = folder.0.join("room");
    assert!(stillroom(&["new", dir.to_str().unwrap()]).status.success());
    let room = dir.join("room.toml");
    assert_eq!(stillroom(&["check", room.to_str().unwrap()]).status.code(), Some(0));
    let output = stillroom(&["plan", room.to_str().unwrap()]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(!stillroom(&["new", dir.to_str().unwrap()]).status.success(), "it never overwrites");
}

#[test]
fn rate_gives_the_printed_ratings_of_the_worked_example() {
    let file = root().join("examples/spectra/typed.csv");
    let output = stillroom(&["rate", file.to_str().unwrap(), "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    // ISO 717-1:2020 Annex C: Rw(C;Ctr;C50-5000;Ctr,50-5000) = 30(-2;-3;-2;-4).
    assert_eq!(
        [&json["rw_db"], &json["c_db"], &json["ctr_db"], &json["c50_5000_db"], &json["ctr50_5000_db"]],
        [30, -2, -3, -2, -4]
    );
    assert_eq!(json["spectrum_db"]["125"], 16.3);
}

#[test]
fn element_predicts_the_examples() {
    for name in ["stud-wall", "own-data"] {
        let file = root().join(format!("examples/elements/{name}.toml"));
        let output = stillroom(&["element", file.to_str().unwrap(), "--json"]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let r = json["r_db"].as_object().unwrap();
        assert_eq!(r.len(), 27);
        assert!(json["rw_db"].as_i64().unwrap() > 25, "{name}");
        assert!(json["lower_db"]["500"].as_f64() < json["upper_db"]["500"].as_f64());
    }
}

#[test]
fn a_file_that_is_not_there_gets_a_sentence() {
    for command in ["plan", "check", "element", "rate"] {
        let output = stillroom(&[command, "no such file.toml"]);
        assert_eq!(output.status.code(), Some(1), "{command}");
        assert!(text(&output.stderr).contains("There is no file `no such file.toml`"), "{command}");
    }
    let output = stillroom(&["plan", root().to_str().unwrap()]);
    assert!(text(&output.stderr).contains("is a folder"));
}

/// Nobody chooses for a dossier that is not written.
#[test]
fn choosing_for_the_dossier_needs_a_folder() {
    let room = root().join("examples/percussion-room/room.toml");
    let output = stillroom(&["plan", room.to_str().unwrap(), "--choose"]);
    assert!(!output.status.success() && text(&output.stderr).contains("--out"), "{}", text(&output.stderr));
}

#[test]
fn the_schemas_are_json() {
    for format in ["room", "element", "plan"] {
        let output = stillroom(&["schema", format]);
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(json["$schema"].as_str().unwrap().contains("2020-12"), "{format}");
    }
}

#[test]
fn the_catalogue_lists_ids_with_their_sources() {
    let kinds = text(&stillroom(&["catalogue"]).stdout);
    assert!(kinds.contains("board") && kinds.contains("wall-tie"));
    let seals = text(&stillroom(&["catalogue", "seal"]).stdout);
    assert!(seals.contains("compression-seal") && seals.contains("no source"));
    let output = stillroom(&["catalogue", "chocolate"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("no kind `chocolate`"));
}

#[test]
fn a_file_of_the_other_format_names_its_command() {
    let [room, element] = ["examples/percussion-room/room.toml", "examples/elements/stud-wall.toml"]
        .map(|path| root().join(path).display().to_string());
    for (command, file, says) in [
        ("element", &room, "is a room file: use `stillroom plan`"),
        ("plan", &element, "is an element file, one build-up alone: use `stillroom element`"),
        ("check", &element, "use `stillroom element`"),
    ] {
        let output = stillroom(&[command, file]);
        let said = text(&output.stderr);
        assert!(!output.status.success() && said.contains(says) && said.lines().count() == 1, "{said}");
    }
}

#[test]
fn another_word_for_a_kind_is_understood() {
    for (typed, meant) in
        [("door", "door-leaf"), ("seals", "seal"), ("glass", "pane"), ("masonrry", "masonry")]
    {
        let said = text(&stillroom(&["catalogue", typed]).stderr);
        assert!(said.contains(&format!("Did you mean `stillroom catalogue {meant}`?")), "{typed}: {said}");
    }
    assert!(text(&stillroom(&["catalogue", "lamp"]).stderr).contains("[[penetration]]"));
}

#[test]
fn proof_names_the_fault_and_keeps_it_with_every_comment() {
    let folder = Folder::new("proof");
    let room = folder.0.join("room.toml");
    let before = fs::read_to_string(root().join("examples/percussion-room-proved/room.toml")).unwrap();
    fs::write(&room, &before).unwrap();
    let output = stillroom(&["proof", room.to_str().unwrap()]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    for words in ["Measured", "What explains it", "seal of the door", "where to look", "garden fence"] {
        assert!(said.contains(words), "{words} missing in:\n{said}");
    }
    assert_eq!(fs::read_to_string(&room).unwrap(), before, "nothing is written unless asked for");
    assert!(stillroom(&["proof", room.to_str().unwrap(), "--keep"]).status.success());
    let after = fs::read_to_string(&room).unwrap();
    assert!(after.starts_with(before.trim_end()), "everything that stood there stands there still");
    assert!(after.contains("[[as_proved.fault]]") && after.contains("kind = \"seal\""));
    let output = stillroom(&["proof", room.to_str().unwrap(), "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["diagnosis"]["explanations"][0]["name"], "as planned");
    assert_eq!(json["as_proved"].as_array().unwrap().len(), 1);
    let again = stillroom(&["proof", room.to_str().unwrap(), "--keep"]);
    assert!(!again.status.success() && text(&again.stderr).contains("nothing is kept"));
}

#[test]
fn proof_without_a_measurement_says_what_to_measure() {
    let demo = root().join("examples/percussion-room/room.toml");
    let output = stillroom(&["proof", demo.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("holds no measurement. Write one [[measurement]]"));
}

#[test]
fn sounds_are_written_for_every_receiver_that_hears_the_room() {
    let folder = Folder::new("hear");
    let demo = root().join("examples/percussion-room/room.toml");
    let out = folder.0.join("sounds");
    let output = stillroom(&["hear", demo.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    assert!(said.contains("Set the volume once") && said.contains("Full scale"), "{said}");
    assert!(fs::read_to_string(out.join("read-me-first.txt")).unwrap().contains("Set the volume once"));
    let mut lengths = Vec::new();
    for line in said.lines().filter(|line| line.contains("dB(A)") && line.starts_with("  ")) {
        let (name, words) = line.trim().split_once("  ").unwrap();
        let wav = fs::read(out.join(format!("{name}.wav"))).unwrap();
        assert!(wav.starts_with(b"RIFF") && wav.windows(4).any(|window| window == b"ICMT"), "{name}");
        assert_eq!(wav[20..22], [1, 0], "the plain header");
        assert!(fs::read(out.join(format!("{name}.flac"))).unwrap().starts_with(b"fLaC"), "{name}");
        // What is printed is what the program's own meter reads in the file, against the phrase of 60 dB(A).
        let printed: f64 = words
            .split_once("\u{00A0}dB(A)")
            .and_then(|(before, _)| before.rsplit([' ', ':']).next()?.parse().ok())
            .unwrap_or_else(|| panic!("{words}"));
        let level = |wav: Vec<u8>| {
            let analysis = proof::analyse(std::io::Cursor::new(wav)).unwrap();
            (analysis.total.laeq_db.unwrap(), analysis.duration_s)
        };
        let (read_db, duration_s) = level(wav);
        let phrase = fs::read(out.join("0-phrase-to-set-the-volume.wav")).unwrap();
        let off = read_db - level(phrase).0 + 60.0 - printed;
        assert!(off.abs() < 0.5, "{name}: {off:.2} dB off {printed}");
        lengths.push((name.to_owned(), duration_s));
    }
    let has = |name: &str| lengths.iter().any(|(one, _)| one.contains(name));
    for name in ["garden-fence-1-today", "-planned", "door-done", "window-done", "inside-the-room-1"] {
        assert!(has(name), "{name}: {lengths:?}");
    }
    let fence: Vec<f64> = lengths
        .iter()
        .filter(|(name, _)| name.starts_with("garden-fence"))
        .map(|(_, length)| *length)
        .collect();
    assert!(fence.len() > 3 && fence.windows(2).all(|pair| (pair[0] - pair[1]).abs() < 1e-9), "{fence:?}");
    let text_file = folder.0.join("my.wav");
    fs::write(&text_file, "no sound at all").unwrap();
    let output = stillroom(&[
        "hear",
        demo.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--from",
        text_file.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("this is text, not a recording"), "{}", text(&output.stderr));
}
