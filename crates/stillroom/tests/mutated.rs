//! Files spoilt at random, byte by byte and piece by piece, in every format that is read: never a panic, never a number that is none.
//!
//! The mutations follow from a number alone, so that what is found can be found again. `STILLROOM_MUTATE_SECONDS` lets each format run for so
//! long, from `STILLROOM_MUTATE_SEED` on; without it there are a few hundred rounds.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at the first thing that is wrong"
)]

use std::{
    fs,
    io::Cursor,
    panic::{AssertUnwindSafe, catch_unwind},
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use proof::Recording;

/// Marsaglia (2003), Xorshift RNGs, the 64-bit triple 13, 7, 17.
struct Dice(u64);

impl Dice {
    fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        for _ in 0..8 {
            dice.roll();
        }
        dice
    }

    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, count: usize) -> usize {
        if count == 0 { 0 } else { (self.roll() % count as u64) as usize }
    }
}

/// What breaks readers: edges of numbers, brackets, quotes, marks of files.
const SCRAPS: [&[u8]; 40] = [
    b"\0",
    b"\xff",
    b"\xff\xff\xff\xff",
    b"\x7f\xff\xff\xff",
    b"\x80\0\0\0",
    b"\0\0\0\0",
    b"-",
    b"0",
    b"1e999",
    b"-1e999",
    b"nan",
    b"inf",
    b"9223372036854775808",
    b"1e-320",
    b"[",
    b"]",
    b"[[",
    b"]]",
    b"{",
    b"}",
    b"\"",
    b"'",
    b"\"\"\"",
    b"=",
    b".",
    b",",
    b"#",
    b"\n",
    b"\r\n",
    b"\xef\xbb\xbf",
    b"\xc3",
    b"true",
    b"data",
    b"fmt ",
    b"RIFF",
    b"COMM",
    b"[[joist]]\n",
    b"[[survey.tape]]\n",
    b"-0.0",
    b"1979-05-27",
];

fn spoil(dice: &mut Dice, corpus: &[Vec<u8>], at: usize) -> Vec<u8> {
    let mut bytes = corpus[at].clone();
    for _ in 0..=dice.below(6) {
        let from = dice.below(bytes.len());
        let to = (from + dice.below(40)).min(bytes.len());
        match dice.below(9) {
            0 if from < bytes.len() => bytes[from] ^= 1 << dice.below(8),
            1 if from < bytes.len() => bytes[from] = dice.roll() as u8,
            2 => drop(bytes.drain(from..to)),
            3 => {
                let copy = bytes[from..to].to_vec();
                let place = dice.below(bytes.len());
                drop(bytes.splice(place..place, copy));
            }
            4 => {
                let other = &corpus[dice.below(corpus.len())];
                let start = dice.below(other.len());
                let end = (start + dice.below(400)).min(other.len());
                drop(bytes.splice(from..to, other[start..end].iter().copied()));
            }
            5 => bytes.truncate(from),
            6 => digits(dice, &mut bytes),
            7 => lines(dice, &mut bytes),
            _ => drop(bytes.splice(from..from, SCRAPS[dice.below(SCRAPS.len())].iter().copied())),
        }
    }
    bytes
}

/// Another number in place of one.
fn digits(dice: &mut Dice, bytes: &mut Vec<u8>) {
    let from = dice.below(bytes.len());
    let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit).map(|at| from + at) else { return };
    let end = start + bytes[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    let new = match dice.below(6) {
        0 => "0".to_owned(),
        1 => dice.roll().to_string(),
        2 => format!("{}e{}", dice.below(1000), dice.below(400)),
        3 => format!("-{}", dice.below(10_000)),
        4 => format!("0.{:05}", dice.below(100_000)),
        _ => dice.below(100_000).to_string(),
    };
    drop(bytes.splice(start..end, new.into_bytes()));
}

/// A line lost, doubled or moved.
fn lines(dice: &mut Dice, bytes: &mut Vec<u8>) {
    let mut all: Vec<Vec<u8>> = bytes.split_inclusive(|&byte| byte == b'\n').map(<[u8]>::to_vec).collect();
    let (from, to) = (dice.below(all.len()), dice.below(all.len()));
    if all.is_empty() {
        return;
    }
    let line = if dice.below(2) == 0 { all.remove(from) } else { all[from].clone() };
    if dice.below(3) > 0 {
        all.insert(to.min(all.len()), line);
    }
    *bytes = all.concat();
}

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|value| value.parse().ok())
}

/// Spoils and tries until the rounds, or the seconds asked for, are over; says what was spoilt where it fails.
fn run(format: &str, corpus: &[Vec<u8>], rounds: u64, try_one: impl Fn(&[u8])) {
    assert!(!corpus.is_empty(), "{format}: nothing to spoil");
    for whole in corpus {
        try_one(whole);
    }
    let seconds = number("STILLROOM_MUTATE_SECONDS");
    let first = number("STILLROOM_MUTATE_SEED").unwrap_or(1);
    let until = seconds.map(|seconds| Instant::now() + Duration::from_secs(seconds));
    let (mut seed, mut slowest) = (first, (Duration::ZERO, 0));
    while until.map_or(seed < first + rounds, |until| Instant::now() < until) {
        let mut dice = Dice::new(seed);
        let at = dice.below(corpus.len());
        let spoilt = spoil(&mut dice, corpus, at);
        let began = Instant::now();
        if catch_unwind(AssertUnwindSafe(|| try_one(&spoilt))).is_err() {
            let file = std::env::temp_dir().join(format!("stillroom-spoilt-{format}-{seed}"));
            fs::write(&file, &spoilt).unwrap();
            panic!("{format}: seed {seed} fails; what it began from is in {}", file.display());
        }
        slowest = slowest.max((began.elapsed(), seed));
        seed += 1;
    }
    if seconds.is_some() {
        println!(
            "{format}: {} rounds from seed {first}, slowest {:?} at seed {}",
            seed - first,
            slowest.0,
            slowest.1
        );
    }
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Files with an ending in some folders of the repository.
fn files(folders: &[&str], ending: &str) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| fs::read_dir(root().join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == ending))
        .collect();
    paths.sort();
    paths.iter().map(|path| fs::read(path).unwrap()).collect()
}

fn rooms() -> Vec<Vec<u8>> {
    let mut rooms = files(
        &[
            "examples/percussion-room",
            "examples/percussion-room-proved",
            "examples/garage",
            "examples/voice-booth",
            "crates/plan/tests/rooms",
        ],
        "toml",
    );
    rooms.push(plan::starter::starter_text().as_bytes().to_vec());
    rooms
}

fn as_text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn room_files() {
    run("room", &rooms(), 300, spoil::room);
}

#[test]
fn rooms_that_can_be_read_are_planned() {
    // Most spoilt files are refused: here only numbers and lines change, so that many are planned.
    let corpus = rooms();
    run("plan", &corpus, 12, |bytes| {
        let mut dice =
            Dice::new(bytes.len() as u64 * 31 + bytes.iter().map(|&byte| u64::from(byte)).sum::<u64>());
        let mut room = corpus[dice.below(corpus.len())].clone();
        for _ in 0..=dice.below(3) {
            if dice.below(4) == 0 { lines(&mut dice, &mut room) } else { digits(&mut dice, &mut room) }
        }
        spoil::planned(&room);
    });
}

#[test]
fn element_files() {
    run("element", &files(&["examples/elements"], "toml"), 200, spoil::element);
}

#[test]
fn spectra() {
    run("spectrum", &files(&["examples/spectra"], "csv"), 400, spoil::spectrum);
}

const READINGS: &str = "# Readings of a room, revision A\nformat = 1\n\n[as_built]\nstamp = \"7KQ2-M4RA\"\n\n[[as_built.bar]]\nbar = 2\nwall = \
                        \"A-B\"\nat_mm = 742\n\n[[as_built.clip]]\nclip = 14\nalong_mm = 310.5\n\n[[as_built.board]]\npiece = \
                        \"1-07\"\noff_along_mm = -3\n";

#[test]
fn files_of_readings() {
    let rooms: Vec<String> = rooms().iter().map(|room| as_text(room)).collect();
    run("readings", &[READINGS.as_bytes().to_vec()], 300, |bytes| {
        for room in rooms.iter().map(String::as_str).chain(["", "as_built = 3\n", "[as_built]\nbar = {}\n"]) {
            spoil::readings(room, bytes);
        }
    });
}

#[test]
fn stamps_and_edits() {
    let room = as_text(&rooms()[0]);
    let corpus: Vec<Vec<u8>> = [
        "7KQ2-M4RA",
        "survey.tape[2].ceiling_mm",
        "buildup[0].layer[3].depth_mm",
        "limits.headroom_mm",
        "as_built.stamp",
    ]
    .map(|path| path.as_bytes().to_vec())
    .to_vec();
    run("edit", &corpus, 300, |bytes| spoil::edit(&room, bytes));
}

/// A short recording: a header of some kind before a tone with a strange end.
fn wav(bits: u16, float: bool, channels: u16) -> Vec<u8> {
    let frames = 4800_u32;
    let block = channels * bits / 8;
    let data: Vec<u8> = (0..frames * u32::from(block)).map(|at| (at * 37 % 251) as u8).collect();
    let mut bytes = Vec::new();
    let kind: u16 = if float { 3 } else { 1 };
    bytes.extend(b"RIFF");
    bytes.extend((36 + data.len() as u32).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    for half in [kind, channels] {
        bytes.extend(half.to_le_bytes());
    }
    bytes.extend(48_000_u32.to_le_bytes());
    bytes.extend((48_000 * u32::from(block)).to_le_bytes());
    for half in [block, bits] {
        bytes.extend(half.to_le_bytes());
    }
    bytes.extend(b"data");
    bytes.extend((data.len() as u32).to_le_bytes());
    bytes.extend(data);
    bytes
}

/// 80-bit numbers and the other end first, as in an AIFF file.
fn aiff() -> Vec<u8> {
    let data: Vec<u8> = (0..4800_u32).map(|at| (at * 41 % 249) as u8).collect();
    let mut bytes = b"FORM".to_vec();
    bytes.extend((46 + data.len() as u32).to_be_bytes());
    bytes.extend(b"AIFFCOMM\0\0\0\x12\0\x01");
    bytes.extend((data.len() as u32 / 2).to_be_bytes());
    bytes.extend(b"\0\x10\x40\x0e\xbb\x80\0\0\0\0\0\0SSND");
    bytes.extend((8 + data.len() as u32).to_be_bytes());
    bytes.extend([0; 8]);
    bytes.extend(data);
    bytes
}

fn flac() -> Vec<u8> {
    let samples: Vec<i32> = (0..4800).map(|at| (at * 7919) % 30_000 - 15_000).collect();
    let about = proof::hear::About { title: "tone".to_owned(), comment: String::new() };
    proof::hear::flac::write(&samples, 48_000, &about).unwrap()
}

#[test]
fn recordings() {
    let corpus =
        vec![wav(16, false, 1), wav(24, false, 2), wav(32, true, 1), wav(8, false, 4), aiff(), flac()];
    for whole in &corpus {
        assert!(Recording::open(Cursor::new(whole.clone())).is_ok(), "{:?}", &whole[..4]);
    }
    // Found by this test: more channels than the decoding library can multiply with the bits of a sample.
    let mut wide = aiff();
    wide[20] = 0xc9;
    let refused = Recording::open(Cursor::new(wide)).err().unwrap().to_string();
    assert!(refused.contains("channels"), "{refused}");
    run("recording", &corpus, 200, spoil::recording);
}

/// What the fuzzers under `fuzz/` found worth keeping, each once.
#[test]
fn what_the_fuzzers_kept() {
    let room = as_text(&rooms()[0]);
    let mut tried = 0;
    for (format, try_one) in [
        ("room", &spoil::room as &dyn Fn(&[u8])),
        ("planned", &spoil::planned),
        ("element", &spoil::element),
        ("readings", &|bytes| spoil::readings(&room, bytes)),
        ("edit", &|bytes| spoil::edit(&room, bytes)),
        ("recording", &spoil::recording),
    ] {
        let Ok(folder) = fs::read_dir(root().join("fuzz/corpus").join(format)) else { continue };
        for entry in folder {
            try_one(&fs::read(entry.unwrap().path()).unwrap());
            tried += 1;
        }
    }
    assert!(tried > 0, "nothing is kept under fuzz/corpus");
}
