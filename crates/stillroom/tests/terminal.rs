//! The program on a terminal and in a pipe: completions, manual pages, version, what `--quiet` and `NO_COLOR` leave out.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at the first thing that is missing, and says what it left out"
)]

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/percussion-room/room.toml")
}

fn folder(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("stillroom-terminal-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

fn stillroom(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_stillroom")).args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Every command as `--help` lists it.
fn commands() -> BTreeSet<String> {
    let help = text(&stillroom(&["--help"]).stdout);
    let list = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next()).unwrap();
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    names
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_shell_gets_completions_of_every_command() {
    let commands = commands();
    assert!(commands.len() > 15, "{commands:?}");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let output = stillroom(&["completions", shell]);
        assert!(output.status.success(), "{shell}");
        let script = text(&output.stdout);
        for name in &commands {
            assert!(script.contains(name.as_str()), "{shell} lacks {name}");
        }
        assert!(script.contains("paper"), "{shell}");
    }
    let bash = folder("bash").join("stillroom.bash");
    fs::write(&bash, stillroom(&["completions", "bash"]).stdout).unwrap();
    if let Ok(read) = Command::new("bash").arg("-n").arg(&bash).output() {
        assert!(read.status.success(), "bash cannot read it: {}", text(&read.stderr));
    }
}

#[test]
fn every_command_has_a_manual_page_and_the_pages_never_change_by_themselves() {
    let (one, two) = (folder("man-one"), folder("man-two"));
    for dir in [&one, &two] {
        assert!(stillroom(&["manual", dir.to_str().unwrap()]).status.success());
    }
    let names: BTreeSet<String> =
        fs::read_dir(&one).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    let mut expected: BTreeSet<String> =
        commands().iter().map(|name| format!("stillroom-{name}.1")).collect();
    expected.insert("stillroom.1".to_owned());
    assert_eq!(names, expected);
    for name in &names {
        let page = fs::read_to_string(one.join(name)).unwrap();
        assert!(page.contains(".TH ") && page.contains(".SH NAME"), "{name}");
        assert_eq!(page, fs::read_to_string(two.join(name)).unwrap(), "{name}");
    }
    let plan = fs::read_to_string(one.join("stillroom-plan.1")).unwrap();
    for words in ["\\-\\-paper", "\\-\\-json", "\\-\\-quiet", "The room file"] {
        assert!(plan.contains(words), "{words}");
    }
}

#[test]
fn the_version_names_commit_and_data() {
    let said = text(&stillroom(&["--version"]).stdout);
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], format!("stillroom {}", env!("CARGO_PKG_VERSION")));
    let commit = lines[1].strip_prefix("commit ").unwrap();
    assert!(
        commit == "unknown" || commit.len() >= 7 && commit.bytes().all(|byte| byte.is_ascii_alphanumeric())
    );
    assert_eq!(lines[2], format!("data edition {}", catalogue::edition()));
}

#[test]
fn quiet_leaves_remarks_out_and_nothing_else() {
    let folder = folder("quiet");
    let room = folder.join("room.toml");
    fs::copy(demo(), &room).unwrap();
    let into = folder.to_str().unwrap();
    let loud = stillroom(&["demo", "--into", into]);
    assert!(text(&loud.stderr).contains("is there already"));
    assert!(text(&loud.stdout).contains("Where to look"));
    let quiet = stillroom(&["--quiet", "demo", "--into", into]);
    assert!(quiet.status.success() && quiet.stderr.is_empty(), "{}", text(&quiet.stderr));
    let summary = text(&quiet.stdout);
    assert!(summary.contains("garden fence") && !summary.contains("Where to look"));
    assert!(text(&loud.stdout).starts_with(summary.trim_end()));
    // An error is no remark.
    let wrong = stillroom(&["plan", folder.join("none.toml").to_str().unwrap(), "-q"]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(text(&wrong.stderr).contains("There is no file"));
}

#[test]
fn nothing_of_a_terminal_gets_into_a_pipe() {
    let output = stillroom(&["plan", demo().to_str().unwrap()]);
    for bytes in [&output.stdout, &output.stderr] {
        assert!(!bytes.contains(&0x1b) && !bytes.contains(&b'\r'), "{}", text(bytes));
    }
}

/// What the program writes where standard output and standard error are a terminal; none without the program that makes one.
fn on_a_terminal(set: &[(&str, &str)], arguments: &str) -> Option<String> {
    let line = format!("{} {arguments}", env!("CARGO_BIN_EXE_stillroom"));
    let mut script = Command::new("script");
    script.args(["--quiet", "--return", "--command", &line, "/dev/null"]);
    script.env_remove("NO_COLOR").env("TERM", "xterm").envs(set.iter().copied());
    let output = script.stdin(std::process::Stdio::null()).output();
    let made = output.ok().filter(|output| output.status.success() || !output.stdout.is_empty());
    if made.is_none() {
        println!("skipped: no `script` here to make a terminal");
    }
    made.map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Whether there is an escape code that sets a colour or a weight: ESC [ numbers m.
fn has_style(text: &str) -> bool {
    text.split("\u{1b}[").skip(1).any(|after| {
        after.trim_start_matches(|letter: char| letter.is_ascii_digit() || letter == ';').starts_with('m')
    })
}

#[test]
fn a_terminal_has_style_and_no_color_takes_it_away() {
    let room = demo();
    let plan = format!("plan '{}'", room.display());
    let Some(plain) = on_a_terminal(&[], &plan) else { return };
    assert!(has_style(&plain), "{plain}");
    // The convention counts only where the variable is not empty.
    assert!(on_a_terminal(&[("NO_COLOR", "")], &plan).is_some_and(|said| has_style(&said)));
    for set in [("NO_COLOR", "1"), ("TERM", "dumb")] {
        let said = on_a_terminal(&[set], &plan).unwrap();
        assert!(!has_style(&said) && said.contains("garden fence"), "{set:?}: {said}");
    }
    let help = on_a_terminal(&[("NO_COLOR", "1")], "plan --help").unwrap();
    assert!(!has_style(&help), "{help}");
    let quiet = on_a_terminal(&[("NO_COLOR", "1")], &format!("--quiet {plan}")).unwrap();
    assert!(!quiet.contains('\u{1b}'), "no bar, no colour: {quiet}");
}

#[test]
fn the_paper_of_the_dossier_can_be_named() {
    let folder = folder("paper");
    let room = demo();
    let sizes = |option: &[&str]| {
        let out = folder.join("sheets");
        let mut arguments = vec!["plan", room.to_str().unwrap(), "--out", out.to_str().unwrap()];
        arguments.extend(option);
        let output = stillroom(&arguments);
        assert!(output.status.success(), "{}", text(&output.stderr));
        fs::read(out.join("dossier.pdf")).unwrap()
    };
    let plain = sizes(&[]);
    assert!(plain == sizes(&["--paper", "A3"]) && plain == sizes(&["--paper", "a3"]));
    let small = sizes(&["--paper", "letter"]);
    assert!(small.starts_with(b"%PDF") && small != plain);
    let wrong = stillroom(&["plan", room.to_str().unwrap(), "--paper", "foolscap"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains("tabloid"));
}
