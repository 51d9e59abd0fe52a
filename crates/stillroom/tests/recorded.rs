//! Recordings that a room file names, from WAV files as a recorder writes them to what is said of the room.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

mod folder;

use std::{
    fs,
    path::{Path, PathBuf},
    process::Output,
};

use folder::{Folder, text};
use proof::{
    noise::{Pinking, White},
    pcm_wav,
    signals::Signal,
};
use quantities::math;

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

impl Folder {
    fn wav(&self, name: &str, rate_hz: u32, samples: impl IntoIterator<Item = f64>) {
        let samples: Vec<i32> = samples.into_iter().map(|x| (x * 8_388_608.0).round() as i32).collect();
        fs::write(self.0.join(name), pcm_wav::write(&samples, rate_hz, &[]).unwrap()).unwrap();
    }

    fn room(&self, measurements: &str) {
        fs::write(self.0.join("room.toml"), format!("{DEMO}\n{measurements}")).unwrap();
    }

    fn proof(&self) -> (serde_json::Value, String) {
        let output = self.run(&["proof", "room.toml", "--json"]);
        let said = text(&output.stderr);
        (serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {said}")), said)
    }
}

/// Pink noise of about −26 dB re full scale times a gain.
fn pink(rate_hz: u32, seconds: u32, gain: f64) -> impl Iterator<Item = f64> {
    let mut pinking = Pinking::new(f64::from(rate_hz));
    White::new(5).take((rate_hz * seconds) as usize).map(move |x| 0.01 * gain * pinking.next(x))
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.flat_map(|path| if path.is_dir() { walk(&path) } else { vec![path] }).collect()
}

fn entry(what: &str, keys: &str) -> String {
    format!("[[measurement]]\nwhat = \"{what}\"\n{keys}\n\n")
}

const FENCE: &str = "receiver = \"garden fence\"\n";

/// Two recordings of one chain, 40 dB apart: every band of the difference says so, at one rate and at two.
#[test]
fn recordings_of_one_chain_give_their_difference() {
    let folder = Folder::new("chain");
    folder.wav("in.wav", 48_000, pink(48_000, 16, 1.0));
    folder.wav("out.wav", 48_000, pink(48_000, 16, 0.01));
    // The same noise in fewer samples a second is the denser for it.
    folder.wav("out 44.wav", 44_100, pink(44_100, 16, 0.01 * (44.1_f64 / 48.0).sqrt()));
    for (out, within) in [("out.wav", 0.1), ("out 44.wav", 2.0)] {
        folder.room(
            &[
                entry("inside", "file = \"in.wav\"\nchain = \"phone\""),
                entry("receiver", &format!("{FENCE}file = \"{out}\"\nchain = \"phone\"")),
            ]
            .concat(),
        );
        let (proof, said) = folder.proof();
        let bands = proof["differences"][0]["bands"].as_array().unwrap_or_else(|| panic!("{proof} {said}"));
        assert!(bands.len() >= 21, "{}", bands.len());
        let mut mean = 0.0;
        for band in bands {
            let found = band["difference_db"].as_f64().unwrap();
            assert!((found - 40.0).abs() < within, "{out} {} Hz: {found}", band["band"]);
            mean += found / bands.len() as f64;
        }
        assert!((mean - 40.0).abs() < 0.1, "{mean}");
        assert_eq!(proof["differences"][0]["background_unknown"], true);
    }
    // Both recordings are drawn, and the dossier holds them.
    assert!(folder.run(&["plan", "room.toml", "--out", "sheets"]).status.success());
    let drawing = |name: &str| {
        let found = walk(&folder.0.join("sheets")).into_iter().find(|path| path.ends_with(name));
        found.map(|path| fs::read_to_string(path).unwrap())
    };
    let svg = drawing("recordings-1.svg").unwrap_or_else(|| panic!("no sheet of recordings"));
    for name in ["in", "out 44"] {
        assert!(svg.contains(&format!("{name}: every band over time")), "{name}");
    }
    // The same through the command for recordings, with a background 3 dB under the second.
    folder.wav("quiet.wav", 48_000, pink(48_000, 16, 0.00708));
    let output = folder.run(&["levels", "in.wav", "out.wav", "--background", "quiet.wav", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let one = json["difference"]["difference_db"][17].as_f64().unwrap();
    assert!((one - 41.3).abs() < 0.1, "{one}");
    assert!(json["difference"]["at_least"].as_array().unwrap().len() > 20);
    let said = text(&folder.run(&["levels", "in.wav", "out.wav", "--background", "quiet.wav"]).stdout);
    assert!(said.contains("≥ 41.3") && said.contains("less than 6 dB over the background"), "{said}");
    let output = folder.run(&["levels", "in.wav", "--background", "quiet.wav"]);
    assert!(text(&output.stderr).contains("name two"), "{}", text(&output.stderr));
}

/// A calibrator's tone makes levels of sound pressure: held against typed levels.
#[test]
fn a_calibrated_recording_is_compared_with_a_meter() {
    let folder = Folder::new("calibrated");
    folder.wav("in.wav", 48_000, pink(48_000, 16, 1.0));
    let tone = (0..480_000).map(|n| 0.1 * math::sin(f64::from(n % 48) / 48.0 * math::TAU));
    folder.wav("tone.wav", 48_000, tone);
    let levels: Vec<String> =
        bands::Band::range(50.0, 5000.0).map(|band| format!("\"{}\" = 40.0", band.nominal())).collect();
    folder.room(
        &[
            entry("inside", "file = \"in.wav\"\ncalibration_file = \"tone.wav\"\ncalibration_db = 94"),
            entry("receiver", &format!("{FENCE}levels = {{ {} }}", levels.join(", "))),
        ]
        .concat(),
    );
    let (proof, said) = folder.proof();
    let band = &proof["differences"][0]["bands"][13];
    // The tone's −23.0 dB re full scale is 94 dB.
    let analysis = proof::analyse(fs::File::open(folder.0.join("in.wav")).unwrap()).unwrap();
    let level = analysis.bands.get(bands::Band::from_nominal_hz(1000.0).unwrap()).unwrap() + 94.0 + 23.01;
    assert!((band["source_db"].as_f64().unwrap() - level).abs() < 0.05, "{band} {level} {said}");
}

/// Decay times worked out from a recording of strokes next door make a rating.
#[test]
fn a_recorded_decay_makes_a_rating() {
    let folder = Folder::new("decay");
    let mut samples: Vec<f64> = White::new(3).take(24_000).map(|x| 1e-6 * x).collect();
    for seed in 0..4 {
        samples.extend(
            White::new(40 + seed)
                .zip(0..96_000)
                .map(|(x, n)| 0.2 * x * math::energy_of_db(-30.0 * f64::from(n) / 48_000.0 / 0.8) + 1e-6),
        );
    }
    folder.wav("strokes.wav", 48_000, samples);
    let levels = |level: f64| {
        let all: Vec<String> = bands::Band::range(50.0, 5000.0)
            .map(|band| format!("\"{}\" = {level}", band.nominal()))
            .collect();
        format!("levels = {{ {} }}", all.join(", "))
    };
    let next = "receiver = \"front workshop\"\n";
    folder.room(
        &[
            entry("inside", &levels(100.0)),
            entry("receiver", &format!("{next}{}", levels(50.0))),
            entry("decay", &format!("{next}file = \"strokes.wav\"")),
        ]
        .concat(),
    );
    let (proof, said) = folder.proof();
    let one = &proof["differences"][0];
    // A flat 50 dB over the reference curve, and 10 lg(0.8/0.5) = 2 dB of decay.
    assert_eq!(one["rating"]["name"], "DnT,w", "{proof} {said}");
    assert_eq!(one["reduction"]["name"], "R′w");
    let plain = one["rating"]["value_db"].as_f64().unwrap();
    assert!((52.0..=54.0).contains(&plain), "{plain}");
}

/// What cannot be used is told in a sentence with its file, and nothing else is lost.
#[test]
fn recordings_that_cannot_be_used_are_told() {
    let folder = Folder::new("unusable");
    folder.wav("in.wav", 48_000, pink(48_000, 16, 1.0));
    folder.wav("short.wav", 48_000, pink(48_000, 2, 0.01));
    folder.wav("clipped.wav", 48_000, pink(48_000, 16, 60.0).map(|x| x.clamp(-1.0, 0.9999)));
    folder.wav("silent.wav", 48_000, std::iter::repeat_n(0.0, 800_000));
    fs::write(folder.0.join("notes.wav"), "it hums at night\n").unwrap();
    for (file, words) in [
        ("nowhere.wav", "There is no file"),
        ("notes.wav", "This is text, not a recording"),
        ("short.wav", "too short"),
        ("clipped.wav", "clipped"),
        ("silent.wav", "silent"),
    ] {
        folder.room(
            &[
                entry("inside", "file = \"in.wav\"\nchain = \"phone\""),
                entry("receiver", &format!("{FENCE}file = \"{file}\"\nchain = \"phone\"")),
            ]
            .concat(),
        );
        let (proof, said) = folder.proof();
        assert!(said.contains(file) && said.contains(words), "{file}: {said}");
        assert!(said.contains("1 of 2 recordings gave nothing"), "{said}");
        assert_eq!(folder.run(&["proof", "room.toml"]).status.code(), Some(1), "{file}");
        // What cannot even be opened is found by looking through the file.
        let opens = !["nowhere.wav", "notes.wav"].contains(&file);
        let check = folder.run(&["check", "room.toml"]);
        assert_eq!(check.status.success(), opens, "{file}: {}", text(&check.stderr));
        let told = text(&check.stderr).to_lowercase();
        assert!(opens || told.contains(&words.to_lowercase()), "{told}");
        assert!(text(&check.stdout).contains("Recordings:"), "{}", text(&check.stdout));
        assert!(!said.contains("os error"), "{said}");
        assert_eq!(proof["differences"].as_array().unwrap().len(), 0);
        let told = proof["not_judged"].to_string();
        assert!(told.contains("has not been worked out"), "{told}");
    }
    // On its own: the reason first, and no table of what means nothing.
    let output = folder.run(&["levels", "clipped.wav"]);
    let said = text(&output.stdout);
    assert!(output.status.code() == Some(1) && said.starts_with("clipped.wav gives no levels"), "{said}");
    assert!(!said.contains("LAeq"), "{said}");
}

/// Two recordings of the sweep: the difference by responses.
#[test]
fn two_sweeps_give_their_difference() {
    let folder = Folder::new("sweeps");
    let played = Signal::Sweep.samples(48_000, -20.0).unwrap();
    folder.wav("in.wav", 48_000, played.iter().copied());
    folder.wav("out.wav", 48_000, played.iter().zip(White::new(9)).map(|(x, noise)| 0.01 * x + 2e-4 * noise));
    let output = folder.run(&["levels", "in.wav", "out.wav", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["difference"]["by"], "sweep", "{}", text(&output.stderr));
    for band in 4..24 {
        let found = json["difference"]["difference_db"][band].as_f64().unwrap();
        assert!((found - 40.0).abs() < 0.3, "{band}: {found}");
        assert!(json["difference"]["won_db"][band].as_f64().unwrap() > 10.0);
    }
    let said = text(&folder.run(&["levels", "in.wav", "out.wav"]).stdout);
    assert!(said.contains("sweep won") && said.contains("clear by"), "{said}");
}

/// What is kept is said as on the screen, and every comment stays where it is.
#[test]
fn keeping_a_fault_moves_no_comment() {
    let folder = Folder::new("keep");
    let proved = include_str!("../../../examples/percussion-room-proved/room.toml");
    let before = format!("{proved}\n[as_proved]\n# what we found in March\n");
    fs::write(folder.0.join("room.toml"), &before).unwrap();
    let output = folder.run(&["proof", "room.toml", "--keep"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let after = fs::read_to_string(folder.0.join("room.toml")).unwrap();
    assert!(after.starts_with(&before), "{}", &after[before.len() - 200..]);
    let added = &after[before.len()..];
    assert!(added.contains("[[as_proved.fault]]") && !added.contains("100 %"), "{added}");
}

/// A room's proof takes recordings of the sweep by their responses: under noise in which plain levels drown, with nothing said of a background.
#[test]
fn the_proof_takes_the_sweep_by_its_response() {
    let folder = Folder::new("sweep-proof");
    let played = Signal::Sweep.samples(48_000, -20.0).unwrap();
    folder.wav("in.wav", 48_000, played.iter().copied());
    folder.wav(
        "out.wav",
        48_000,
        played.iter().zip(White::new(9)).map(|(x, noise)| 0.002 * x + 3e-4 * noise),
    );
    folder.wav("pink.wav", 48_000, pink(48_000, 16, 0.01));
    let room = |out: &str| {
        folder.room(
            &[
                entry("inside", "file = \"in.wav\"\nchain = \"phone\""),
                entry("receiver", &format!("{FENCE}file = \"{out}\"\nchain = \"phone\"")),
            ]
            .concat(),
        );
        folder.proof()
    };
    let (proof, said) = room("out.wav");
    let one = &proof["differences"][0];
    assert_eq!(one["background_unknown"], false, "{proof} {said}");
    let bands = one["bands"].as_array().unwrap();
    assert!(bands.len() >= 21);
    for band in bands {
        let found = band["difference_db"].as_f64().unwrap();
        let limit = band["at_least"] == true;
        assert!((limit && found < 54.0) || (found - 53.98).abs() < 1.0, "{band}");
    }
    // Two signals have no difference, in the proof and for the command.
    let (proof, _) = room("pink.wav");
    assert!(proof["differences"].as_array().unwrap().is_empty());
    assert!(proof["not_judged"].to_string().contains("two signals"), "{proof}");
    let output = folder.run(&["levels", "in.wav", "pink.wav"]);
    let said = text(&output.stdout);
    assert!(output.status.code() == Some(1) && said.contains("Two signals have no difference"), "{said}");
}

/// Two calibrated recorders of different gain record the sweep: the difference is that of the wall, not of the gains.
#[test]
fn sweeps_of_two_calibrated_recorders_are_compared() {
    let folder = Folder::new("two-recorders");
    let played = Signal::Sweep.samples(48_000, -20.0).unwrap();
    let tone = |gain: f64| (0..480_000).map(move |n| gain * math::sin(f64::from(n % 48) / 48.0 * math::TAU));
    // The second recorder has 20 dB more gain; the wall takes 40 dB away.
    folder.wav("tone in.wav", 48_000, tone(0.02));
    folder.wav("tone out.wav", 48_000, tone(0.2));
    folder.wav("in.wav", 48_000, played.iter().copied());
    folder.wav("out.wav", 48_000, played.iter().map(|x| 0.1 * x));
    let calibrated = |side: &str| {
        format!("file = \"{side}.wav\"\ncalibration_file = \"tone {side}.wav\"\ncalibration_db = 94")
    };
    folder.room(
        &[entry("inside", &calibrated("in")), entry("receiver", &format!("{FENCE}{}", calibrated("out")))]
            .concat(),
    );
    let (proof, said) = folder.proof();
    let bands = proof["differences"][0]["bands"].as_array().unwrap_or_else(|| panic!("{proof} {said}"));
    for band in bands {
        let found = band["difference_db"].as_f64().unwrap();
        assert!((found - 40.0).abs() < 0.1, "{band}");
    }
    // One of the two without its tone: a level re 20 µPa and one re full scale have no difference, of one chain or not.
    folder.room(
        &[
            entry("inside", &format!("{}\nchain = \"phone\"", calibrated("in"))),
            entry("receiver", &format!("{FENCE}file = \"out.wav\"\nchain = \"phone\"")),
        ]
        .concat(),
    );
    let (proof, _) = folder.proof();
    assert!(proof["differences"].as_array().unwrap().is_empty());
    assert!(proof["not_judged"].to_string().contains("is not calibrated. Give both"), "{proof}");
}

/// A recording that can be taken for two things says when, and how the room file says which; said so, it gives a rating. What was used of a
/// long one is told.
#[test]
fn what_a_recording_of_decays_is_of_can_be_said_in_the_file() {
    let folder = Folder::new("decay-of");
    let dying = |seed: u64, seconds: u32| {
        White::new(seed)
            .zip(0..48_000 * seconds)
            .map(|(x, n)| 0.2 * x * math::energy_of_db(-30.0 * f64::from(n) / 48_000.0 / 0.5) + 2e-6 * x)
    };
    let mut samples: Vec<f64> = White::new(3).take(48_000).map(|x| 1e-6 * x).collect();
    for seed in 0..3 {
        samples.extend(dying(40 + seed, 3));
    }
    for seed in 0..2 {
        samples.extend(White::new(60 + seed).take(96_000).map(|x| 0.15 * x));
        samples.extend(dying(70 + seed, 3));
    }
    folder.wav("both.wav", 48_000, samples.iter().copied());
    samples.extend(White::new(9).take(48_000 * 110).map(|x| 1e-6 * x));
    folder.wav("long.wav", 48_000, samples);
    let told = |keys: &str| {
        folder.room(&entry("decay", &format!("receiver = \"front workshop\"\n{keys}")));
        folder.proof().1
    };
    let unclear = told("file = \"both.wav\"");
    assert!(
        unclear.contains("a stroke after") && unclear.contains("switched off after"),
        "the times are told: {unclear}"
    );
    assert!(unclear.contains("`decay_of = \"strokes\"`") && !unclear.contains("--kind"), "{unclear}");
    for of in ["strokes", "noise"] {
        let said = told(&format!("file = \"both.wav\"\ndecay_of = \"{of}\""));
        assert!(!said.contains("no decay time"), "{of}: {said}");
    }
    let said = told("file = \"both.wav\"\ndecay_of = \"sweep\"");
    assert!(said.contains("no decay time") && said.contains("sweep"), "{said}");
    let said = told("file = \"long.wav\"\ndecay_of = \"strokes\"");
    assert!(said.contains("long.wav: Only its first 120"), "{said}");
    // The command has its own way to say it.
    let output = folder.run(&["decay", "both.wav"]);
    assert!(text(&output.stderr).contains("`--kind strokes`"), "{}", text(&output.stderr));
}

/// Recordings that were stopped early or begun late are told, and a sweep without its end gives no difference.
#[test]
fn a_cut_recording_is_told() {
    let folder = Folder::new("cut");
    let sweep = Signal::Sweep.samples(48_000, -20.0).unwrap();
    folder.wav("in.wav", 48_000, sweep.iter().copied());
    folder.wav("cut.wav", 48_000, sweep.iter().copied().take(sweep.len() / 2).map(|x| 0.1 * x));
    let minute = Signal::PinkMinute.samples(48_000, -26.0).unwrap();
    folder.wav("early.wav", 48_000, minute.iter().copied().take(30 * 48_000));
    folder.wav("late.wav", 48_000, minute.iter().copied().skip(20 * 48_000));
    let said = |arguments: &[&str]| text(&folder.run(arguments).stdout);
    let cut = said(&["levels", "in.wav", "cut.wav"]);
    assert!(
        cut.contains("cut.wav ends before the sweep does") && cut.contains("end marker is missing"),
        "{cut}"
    );
    let early = said(&["levels", "early.wav"]);
    assert!(early.contains("The end marker is missing") && !early.contains("Nothing is wrong"), "{early}");
    let late = said(&["levels", "late.wav"]);
    assert!(late.contains("The start marker is missing"), "{late}");
    // One and the same twice, and the two the wrong way round.
    assert!(said(&["levels", "early.wav", "early.wav"]).contains("one and the same recording"));
    folder.wav("quiet.wav", 48_000, minute.iter().take(30 * 48_000).map(|x| 0.01 * x));
    assert!(said(&["levels", "quiet.wav", "early.wav"]).contains("look swapped"));
}

/// Clipped recordings give no decay time and nothing to listen to; the time that is told counts from the beginning of the file.
#[test]
fn clipping_is_told_by_every_command() {
    let folder = Folder::new("clipped");
    let minute = Signal::PinkMinute.samples(48_000, -26.0).unwrap();
    let clipped =
        std::iter::repeat_n(0.0, 4 * 48_000).chain(minute.iter().map(|x| (8.0 * x).clamp(-0.5, 0.5)));
    folder.wav("clip.wav", 48_000, clipped);
    let told = |output: Output| text(&output.stdout) + &text(&output.stderr);
    let levels = told(folder.run(&["levels", "clip.wav"]));
    assert!(levels.contains("is clipped") && !levels.contains("first after 0"), "{levels}");
    let decay = folder.run(&["decay", "clip.wav"]);
    assert_eq!(decay.status.code(), Some(1));
    assert!(told(decay).contains("is clipped"));
    folder.room("");
    let heard = folder.run(&["hear", "room.toml", "--from", "clip.wav", "--out", "heard"]);
    assert!(!heard.status.success());
    assert!(told(heard).contains("is clipped"));
}
