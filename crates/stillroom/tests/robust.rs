//! What a machine and its owner do to a program: ended in the middle, no room on the disk, no right to write, odd clocks, languages and names.

#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at the first thing that is missing, and says what it left out"
)]

use std::{
    fs,
    os::unix::fs::symlink,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
    time::{Duration, Instant, SystemTime},
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
/// How many appends are cut short; more with this variable.
const COUNT: &str = "STILLROOM_TEST_KILLS";

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("stillroom-robust-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, content).unwrap();
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillroom"));
    command.stdin(Stdio::null());
    command
}

fn run(arguments: &[&dyn AsRef<std::ffi::OsStr>]) -> Output {
    let mut command = program();
    for argument in arguments {
        command.arg(argument.as_ref());
    }
    command.output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn reading(number: u64) -> String {
    format!("[[as_built.bar]]\nbar = 3\nwall = \"A-B\"\nat_mm = {number}\n")
}

/// Readings of a room file by their number.
fn readings(room: &Path) -> Vec<u64> {
    let text = fs::read_to_string(room).unwrap();
    assert!(text.starts_with(DEMO), "what stood there before still stands there, to the letter");
    let (_, found) = plan::read(&text, "room.toml");
    let errors: Vec<_> = found.iter().filter(|one| one.severity == plan::Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    text[DEMO.len()..].lines().filter_map(|line| line.strip_prefix("at_mm = ")?.parse().ok()).collect()
}

#[test]
fn readings_taken_in_are_never_lost_whenever_the_program_is_ended() {
    let kills: u64 = std::env::var(COUNT).ok().and_then(|count| count.parse().ok()).unwrap_or(40);
    let folder = Folder::new("appends");
    let room = folder.file("room.toml", DEMO);
    let new = folder.0.join("new.toml");
    let mut kept: Vec<u64> = Vec::new();
    let (mut told, mut ended, mut in_between) = (0_u64, 0_u64, 0_u64);
    let began = Instant::now();
    fs::write(&new, reading(0)).unwrap();
    assert!(run(&[&"take-in", &"--anyway", &room, &new]).status.success());
    let usual = began.elapsed();
    kept.push(0);
    for number in 1..=kills {
        fs::write(&new, reading(number)).unwrap();
        let mut child = program()
            .args(["take-in", "--anyway"])
            .args([&room, &new])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Every third one is let go to its end; the others are ended about when the writing is due.
        if !number.is_multiple_of(3) {
            std::thread::sleep(usual.mul_f64(0.4 + 0.7 * (number.wrapping_mul(7919) % 1000) as f64 / 1000.0));
            child.kill().unwrap();
        }
        let output = child.wait_with_output().unwrap();
        let said = text(&output.stdout).contains("1 reading taken in");
        told += u64::from(said);
        ended += u64::from(!output.status.success());
        let now = readings(&room);
        let with_new = [kept.as_slice(), &[number]].concat();
        assert!(now == with_new || (now == kept && !said), "{number}: {kept:?} became {now:?}, told: {said}");
        kept = now;
        for left in fs::read_dir(&folder.0).unwrap().flatten() {
            if left.path().extension().is_some_and(|end| end == "part") {
                in_between += 1;
                fs::remove_file(left.path()).unwrap();
            }
        }
    }
    println!(
        "{kills} appends, {ended} ended early, {in_between} of them while writing, {told} told, {} kept",
        kept.len()
    );
    assert!(told >= kills / 3 && ended + told >= kills && kept.len() as u64 >= told);
}

/// Runs the program in a shell of its own that first sets up something: `$1` is the program, `$2` the folder.
fn after(setting: &str, unshared: bool, folder: &Path, arguments: &str) -> Output {
    let script = format!("set -e; {setting}; set +e; \"$1\" {arguments}");
    let mut command = if unshared { Command::new("unshare") } else { Command::new("sh") };
    if unshared {
        command.args(["--mount", "sh"]);
    }
    command.args(["-c", &script, "sh", env!("CARGO_BIN_EXE_stillroom")]).arg(folder).stdin(Stdio::null());
    command.output().unwrap()
}

/// Whether this machine lets a test have disks of its own.
fn own_disks() -> bool {
    let able = Command::new("unshare")
        .args(["--mount", "sh", "-c", "mount -t tmpfs none /tmp"])
        .output()
        .is_ok_and(|output| output.status.success());
    if !able {
        println!("skipped in part: no right to mount a disk of its own here");
    }
    able
}

#[test]
fn a_file_that_may_not_grow_stays_as_it_was() {
    let folder = Folder::new("limit");
    let room = folder.file("room.toml", DEMO);
    folder.file("new.toml", reading(7));
    // Files of this shell may have 4 blocks: less than the room file has.
    let output = after(
        "trap '' XFSZ; ulimit -f 4",
        false,
        &folder.0,
        "take-in --anyway \"$2/room.toml\" \"$2/new.toml\"",
    );
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stderr).contains("cannot be written"), "{}", text(&output.stderr));
    assert_eq!(fs::read_to_string(&room).unwrap(), DEMO);
    let left = fs::read_dir(&folder.0).unwrap().count();
    assert_eq!(left, 2, "no half-written file is left");
}

#[test]
fn a_full_disk_is_said_and_the_room_file_is_whole() {
    if !own_disks() {
        return;
    }
    let folder = Folder::new("full");
    let disk = folder.0.join("disk");
    fs::create_dir(&disk).unwrap();
    folder.file("room.toml", DEMO);
    folder.file("new.toml", reading(7));
    let full = "mount -t tmpfs -o size=64k none \"$2/disk\"; cp \"$2/room.toml\" \"$2/disk/\"; \
                dd if=/dev/zero of=\"$2/disk/fill\" bs=1k 2>/dev/null || true";
    let then = "; code=$?; cmp \"$2/room.toml\" \"$2/disk/room.toml\" && ls \"$2/disk\"; exit $code";
    for command in [
        "take-in --anyway \"$2/disk/room.toml\" \"$2/new.toml\"",
        "plan \"$2/room.toml\" --out \"$2/disk/sheets\"",
    ] {
        let output = after(full, true, &folder.0, &format!("{command}{then}"));
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{command}: {said}");
        assert!(said.contains("full") && said.contains("cannot be"), "{command}: {said}");
        let there = text(&output.stdout);
        assert!(there.contains("room.toml") && !there.contains(".part"), "{command}: {there}");
    }
}

#[test]
fn a_folder_that_may_not_be_written_is_said() {
    if !own_disks() {
        return;
    }
    let folder = Folder::new("read-only");
    let disk = folder.0.join("disk");
    fs::create_dir(&disk).unwrap();
    folder.file("room.toml", DEMO);
    folder.file("new.toml", reading(7));
    let locked =
        "mount -t tmpfs none \"$2/disk\"; cp \"$2/room.toml\" \"$2/disk/\"; mount -o remount,ro \"$2/disk\"";
    for command in [
        "take-in --anyway \"$2/disk/room.toml\" \"$2/new.toml\"",
        "plan \"$2/disk/room.toml\" --out \"$2/disk/sheets\"",
        "new \"$2/disk/own\"",
        "signals \"$2/disk/signals\"",
        "manual \"$2/disk/pages\"",
    ] {
        let output = after(locked, true, &folder.0, command);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{command}: {said}");
        let place =
            said.contains("disk/") && (said.contains("cannot be made") || said.contains("cannot be written"));
        assert!(place && !said.contains("panicked"), "{command}: {said}");
    }
    // Reading needs no right to write.
    let output = after(locked, true, &folder.0, "plan \"$2/disk/room.toml\"");
    assert!(output.status.success(), "{}", text(&output.stderr));
}

/// The plan as JSON of a room file.
fn planned(room: &Path, set: &[(&str, &str)]) -> Vec<u8> {
    let output = program().arg("plan").arg(room).arg("--json").envs(set.iter().copied()).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    output.stdout
}

#[test]
fn clock_language_time_zone_line_ends_and_byte_order_mark_change_no_plan() {
    let folder = Folder::new("same");
    let room = folder.file("room.toml", DEMO);
    let usual = planned(&room, &[]);
    // A file from tomorrow, or from before there were computers, as after a clock was set back.
    for changed in [SystemTime::now() + Duration::from_hours(87_600), SystemTime::UNIX_EPOCH] {
        fs::File::options().write(true).open(&room).unwrap().set_modified(changed).unwrap();
        assert!(planned(&room, &[]) == usual);
        assert!(
            run(&[&"take-in", &"--anyway", &room, &folder.file("new.toml", reading(5))]).status.success()
        );
        fs::write(&room, DEMO).unwrap();
    }
    let odd =
        [("LC_ALL", "tr_TR.UTF-8"), ("LANG", "de_DE@euro"), ("TZ", "Pacific/Kiritimati"), ("LANGUAGE", "xx")];
    assert!(planned(&room, &odd) == usual);
    assert!(planned(&room, &[("LC_ALL", "no such language"), ("TZ", ":/no/such/zone")]) == usual);
    let windows = DEMO.replace('\n', "\r\n");
    for other in [windows.clone(), format!("\u{feff}{DEMO}"), format!("\u{feff}{windows}")] {
        let room = folder.file("other.toml", &other);
        assert!(planned(&room, &[]) == usual);
        // What is added leaves every letter that stood there, line ends too.
        let output = run(&[
            &"take-in",
            &"--anyway",
            &room,
            &folder.file("new.toml", reading(5).replace('\n', "\r\n")),
        ]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let after = fs::read_to_string(&room).unwrap();
        assert!(after.starts_with(&other) && after.contains("at_mm = 5"));
        assert!(run(&[&"check", &room]).status.success());
    }
}

#[test]
fn names_with_spaces_and_letters_of_any_script_are_names() {
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::new("names");
    for name in ["my own room", "Übungsraum №1", "練習室", "غرفة", "-q", "a'b\"c $HOME"] {
        let place = folder.0.join(name);
        assert!(run(&[&"new", &place]).status.success(), "{name}");
        let room = place.join("room.toml");
        assert!(run(&[&"check", &room]).status.success(), "{name}");
        let output = run(&[&"plan", &room, &"--out", &place.join("Zeichnungen 図")]);
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
        assert!(place.join("Zeichnungen 図/dossier.pdf").exists());
        fs::write(&room, DEMO).unwrap();
        let output = run(&[&"take-in", &"--anyway", &room, &folder.file("new readings.toml", reading(9))]);
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
        assert_eq!(readings(&room), [9]);
    }
    // A name that is no text at all.
    let bytes = folder.0.join(std::ffi::OsStr::from_bytes(b"caf\xe9"));
    assert!(run(&[&"new", &bytes]).status.success());
    assert!(run(&[&"check", &bytes.join("room.toml")]).status.success());
}

#[test]
fn what_is_no_room_file_gets_a_sentence() {
    let folder = Folder::new("wrong");
    let long = "x".repeat(300);
    for (path, sentence) in [
        (PathBuf::from("/dev/zero"), "larger than 16 MB"),
        (folder.0.clone(), "is a folder"),
        (folder.0.join("none.toml"), "There is no file"),
        (folder.0.join(&long), "There is no file"),
        (folder.file("latin.toml", b"name = \"caf\xe9\"\n"), "UTF-8"),
        (folder.file("wide.toml", b"\xff\xfe[\0p\0r\0o\0j\0"), "UTF-8"),
    ] {
        let output = run(&[&"plan", &path]);
        assert_eq!(output.status.code(), Some(1), "{}", path.display());
        let said = text(&output.stderr);
        assert!(said.contains(sentence) && !said.contains("panicked"), "{}: {said}", path.display());
    }
}

#[test]
fn a_table_or_recording_outside_the_folder_is_not_read() {
    let folder = Folder::new("outside");
    let inner = folder.0.join("room");
    fs::create_dir(&inner).unwrap();
    let table = include_str!("../../../examples/spectra/typed.csv");
    folder.file("secret.csv", table);
    symlink(folder.0.join("secret.csv"), inner.join("link.csv")).unwrap();
    let element = |name: &str| {
        let path = inner.join("element.toml");
        let text = format!("name = \"Bought door\"\nmeasured_csv = \"{name}\"\n");
        fs::write(&path, text).unwrap();
        run(&[&"element", &path])
    };
    fs::write(inner.join("own.csv"), table).unwrap();
    let own = element("own.csv");
    assert!(own.status.success(), "{}", text(&own.stderr));
    for name in ["../secret.csv", "link.csv", "/etc/hostname"] {
        let output = element(name);
        assert!(!output.status.success(), "{name} was read");
        let said = text(&output.stderr);
        assert!(said.contains("measured_csv") && !said.contains("panicked"), "{name}: {said}");
    }
}
