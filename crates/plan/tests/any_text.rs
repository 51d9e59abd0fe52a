//! Whatever the text: no panic, every finding has its place in the text, and a project only where nothing is wrong.

use plan::{
    Severity,
    read::{Attached, read_element, read_spectrum},
};
use proptest::prelude::*;

const ROOM: &str = include_str!("rooms/workshop.toml");

fn check(text: &str) {
    let (project, found) = plan::read(text, "room.toml");
    let any_error = found.iter().any(|d| d.severity == Severity::Error);
    assert_eq!(project.is_some(), !any_error);
    for diagnostic in &found {
        assert!(diagnostic.line >= 1 && diagnostic.column >= 1);
        assert!(diagnostic.line <= text.matches('\n').count() + 1);
        assert!(diagnostic.message.ends_with(['.', '?']), "{}", diagnostic.message);
        assert!(diagnostic.help.is_some(), "{}", diagnostic.message);
        assert!(!diagnostic.labels.is_empty());
        for label in &diagnostic.labels {
            assert!(text.get(label.span.clone()).is_some(), "{:?} in {diagnostic}", label.span);
        }
    }
}

#[test]
fn odd_texts_are_answered() {
    for text in [
        "",
        "\u{feff}",
        "\n",
        "format",
        "format = 1",
        "format = \"1\"",
        "format = 99999999999999999999999999",
        "[[[",
        "= 1",
        "\"\" = 1",
        "survey = 3\nwall = 4\nbuildup = [1, 2]\nopening = [[]]",
        "[survey]\ncorners = [1, 2, 3]",
        "[survey]\ncorners = []",
        "[survey]\ncorners = [\"A\", \"Ä\", \"\u{1F941}\"]",
        "a.b.c.d = 1\na.b = 2",
        "x = {a = {b = {c = [[[[1]]]]}}}",
        "use = 1979-05-27",
        "\0\u{1}\u{7f}",
        "\r\r\n\r",
    ] {
        check(text);
        read_element(text, "e.toml", &Attached::new());
        read_spectrum(text, "s.csv");
    }
    check(&"[".repeat(20_000));
    check(&format!("a = {}1{}", "[".repeat(5000), "]".repeat(5000)));
    check(&format!("name = \"{}\"", "ü".repeat(20_000)));
}

#[test]
fn line_ends_and_byte_order_mark_change_nothing() {
    let broken = ROOM.replacen("headroom_mm", "headrom_mm", 1);
    let (_, plain) = plan::read(&broken, "room.toml");
    for text in [
        broken.replace('\n', "\r\n"),
        format!("\u{feff}{broken}"),
        format!("\u{feff}{}", broken.replace('\n', "\r\n")),
    ] {
        let (_, found) = plan::read(&text, "room.toml");
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].line, found[0].column), (plain[0].line, plain[0].column));
        assert_eq!(&text[found[0].labels[0].span.clone()], "headrom_mm");
        check(&text);
    }
    let (project, found) = plan::read(&ROOM.replace('\n', "\r\n"), "room.toml");
    assert!(found.is_empty());
    assert_eq!(project, plan::read(ROOM, "room.toml").0);
}

#[test]
fn reading_twice_gives_the_same() {
    assert_eq!(plan::read(ROOM, "room.toml"), plan::read(ROOM, "room.toml"));
}

/// What a person's slip or a broken editor may leave in the text.
const SCRAPS: [&str; 24] = [
    "",
    "\"",
    "[",
    "]",
    "[[",
    "]]",
    "=",
    "#",
    "\n",
    "\r",
    ",",
    "{",
    "}",
    "-",
    "nan",
    "1e999",
    "true",
    "'",
    "\"\"\"",
    "0x",
    "wall",
    "ü",
    "\u{feff}",
    "[[wall]]\n",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn any_text_at_all(text in any::<String>()) {
        check(&text);
        read_element(&text, "e.toml", &Attached::new());
        read_spectrum(&text, "s.csv");
        let _ = plan::edit::set(&text, "limits.headroom_mm", 1.0);
    }

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        check(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn scraps_put_into_a_room(
        places in proptest::collection::vec((any::<prop::sample::Index>(), 0..SCRAPS.len(), 0_usize..12), 1..5)
    ) {
        let mut text = ROOM.to_owned();
        for (place, scrap, length) in places {
            let starts: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
            let first = place.index(starts.len());
            let start = starts[first];
            let end = starts.get(first + length).copied().unwrap_or(text.len());
            text.replace_range(start..end, SCRAPS[scrap]);
        }
        check(&text);
    }

    #[test]
    fn lines_of_a_room_lost_doubled_or_moved(
        moves in proptest::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..3), 1..8)
    ) {
        let mut lines: Vec<&str> = ROOM.lines().collect();
        for (from, to, what) in moves {
            let line = lines[from.index(lines.len())];
            match what {
                0 => { lines.remove(from.index(lines.len())); }
                1 => lines.insert(to.index(lines.len()), line),
                _ => { lines.remove(from.index(lines.len())); lines.insert(to.index(lines.len()), line); }
            }
        }
        check(&lines.join("\n"));
    }

    #[test]
    fn numbers_of_a_room_changed(place in any::<prop::sample::Index>(), value in prop_oneof![any::<f64>(), -1e4..1e4_f64]) {
        let numbers: Vec<(usize, &str)> = ROOM
            .lines()
            .scan(0, |at, line| { let start = *at; *at += line.len() + 1; Some((start, line)) })
            .filter(|(_, line)| line.split_once("= ").is_some_and(|(_, v)| v.starts_with(|c: char| c.is_ascii_digit())))
            .collect();
        let (start, line) = numbers[place.index(numbers.len())];
        let key = line.split('=').next().unwrap_or_default();
        let mut text = ROOM.to_owned();
        text.replace_range(start..start + line.len(), &format!("{key}= {value:?}"));
        check(&text.replace("NaN", "nan"));
    }
}
