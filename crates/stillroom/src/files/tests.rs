//! A program ended at any moment while it saves leaves a whole file, and none that it said was saved is lost.

use std::{
    io::{BufRead, BufReader},
    process::{Command, Stdio},
};

use super::*;

/// Set for the child, which then saves until it is ended.
const CHILD: &str = "STILLROOM_TEST_SAVES_TO";
/// How many saves are cut short; more with this variable.
const COUNT: &str = "STILLROOM_TEST_KILLS";
/// The test below that does the saving, as the test program knows it.
const SAVER: &str = "files::tests::saves_until_it_is_ended";

/// Text number n: as long as a large room file, every line naming its number, so that a mixture shows.
fn text(number: u64) -> String {
    let lines = 2000 + number % 977;
    (0..lines).fold(String::new(), |text, line| text + &format!("save {number} line {line} of {lines}\n"))
}

/// Which text a file holds, if it is one, whole.
fn number_of(found: &str) -> Option<u64> {
    let number = found.strip_prefix("save ")?.split(' ').next()?.parse().ok()?;
    (found == text(number)).then_some(number)
}

fn folder(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("stillroom-files-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

/// Does nothing by itself: the test below runs it in a process of its own.
#[test]
fn saves_until_it_is_ended() {
    let Some(path) = std::env::var_os(CHILD).map(PathBuf::from) else { return };
    let first = number_of(&fs::read_to_string(&path).unwrap()).unwrap();
    for number in first + 1.. {
        write_whole(&path, text(number).as_bytes()).unwrap();
        println!("saved {number}");
    }
}

#[cfg(unix)]
#[test]
fn a_save_ended_at_any_moment_leaves_a_whole_file_and_loses_none() {
    let kills: u64 = std::env::var(COUNT).ok().and_then(|count| count.parse().ok()).unwrap_or(25);
    let folder = folder("ended");
    let path = folder.join("room.toml");
    write_whole(&path, text(0).as_bytes()).unwrap();
    let (mut in_between, mut saved_in_all) = (0, 0);
    for kill in 0..kills {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", SAVER, "--nocapture", "--test-threads=1"])
            .env(CHILD, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap()).lines();
        let saved =
            |line: &str| line.rsplit_once("saved ").and_then(|(_, number)| number.parse::<u64>().ok());
        let mut last = said.by_ref().map_while(Result::ok).find_map(|line| saved(&line)).unwrap();
        // Spread over the moments of a save, which takes some milliseconds.
        std::thread::sleep(Duration::from_micros(kill.wrapping_mul(7919) % 9000));
        child.kill().unwrap();
        child.wait().unwrap();
        last = said.map_while(Result::ok).filter_map(|line| saved(&line)).last().unwrap_or(last);
        let found = fs::read_to_string(&path).unwrap();
        let number = number_of(&found);
        let number = number.unwrap_or_else(|| panic!("kill {kill}: the file is torn: {found:.200}"));
        assert!(
            number == last || number == last + 1,
            "kill {kill}: {number} on disk, {last} was said to be saved"
        );
        in_between += u64::from(fs::read_dir(&folder).unwrap().count() > 1);
        saved_in_all = number;
        for left in fs::read_dir(&folder).unwrap().flatten().filter(|left| left.path() != path) {
            fs::remove_file(left.path()).unwrap();
        }
    }
    println!("{kills} kills, {in_between} of them while a file was being written; {saved_in_all} saves");
    assert!(kills < 20 || in_between > 0, "no kill fell into a save: the test proves nothing");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn what_was_left_behind_long_ago_is_taken_away_and_nothing_else() {
    let folder = folder("left");
    let path = folder.join("room.toml");
    let long_ago = std::time::SystemTime::now() - 2 * LEFT_BEHIND;
    let names =
        ["room.toml.17.part", "room.toml.18.part", "room.toml.x.part", "other.toml.17.part", "room.toml.17"];
    for name in names {
        fs::write(folder.join(name), "half").unwrap();
        if name != "room.toml.18.part" {
            fs::File::options().write(true).open(folder.join(name)).unwrap().set_modified(long_ago).unwrap();
        }
    }
    write_whole(&path, b"whole").unwrap();
    let left: Vec<bool> = names.iter().map(|name| folder.join(name).exists()).collect();
    assert_eq!(left, [false, true, true, true, true]);
    fs::remove_dir_all(&folder).unwrap();
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_a_file_keeps_who_may_read_it() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = folder("link");
    let (real, link) = (folder.join("real.toml"), folder.join("room.toml"));
    fs::write(&real, "old").unwrap();
    fs::set_permissions(&real, fs::Permissions::from_mode(0o600)).unwrap();
    symlink(&real, &link).unwrap();
    write_own(&link, b"new").unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&real).unwrap(), "new");
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o600);
    fs::remove_dir_all(&folder).unwrap();
}

#[cfg(unix)]
#[test]
fn a_named_file_is_never_outside_the_folder() {
    use std::os::unix::fs::symlink;
    let around = folder("inside");
    let room = around.join("room");
    fs::create_dir_all(room.join("tables")).unwrap();
    fs::write(around.join("secret.csv"), "1").unwrap();
    fs::write(room.join("tables/own.csv"), "1").unwrap();
    symlink(around.join("secret.csv"), room.join("link.csv")).unwrap();
    symlink(&around, room.join("up")).unwrap();
    symlink(room.join("tables/own.csv"), room.join("alias.csv")).unwrap();
    for name in ["tables/own.csv", "alias.csv", "not-there.csv"] {
        assert!(inside(&room, name).is_ok(), "{name}");
    }
    let absolute = around.join("secret.csv");
    for name in
        ["../secret.csv", "tables/../../secret.csv", "link.csv", "up/secret.csv", absolute.to_str().unwrap()]
    {
        let sentence = inside(&room, name).unwrap_err().to_string();
        assert!(sentence.contains("leads out of the folder"), "{name}: {sentence}");
    }
    fs::remove_dir_all(&around).unwrap();
}
