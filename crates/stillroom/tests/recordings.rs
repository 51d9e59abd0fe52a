//! The commands for recordings as a person types them.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

mod folder;

use std::fs;

use folder::{Folder, text};

/// A calibrator's tone of 1 kHz as a WAV of 16 bits.
fn tone(seconds: u32) -> Vec<u8> {
    let mut data = Vec::new();
    for n in 0..seconds * 48 {
        for at in 0..1000_u32 {
            // One period of 48 samples from the parabola of Bhaskara: close enough to a sine for a calibrator.
            let phase = f64::from((n * 1000 + at) % 48) / 24.0;
            let (half, sign) = if phase < 1.0 { (phase, 1.0) } else { (phase - 1.0, -1.0) };
            let x = 16.0 * half * (1.0 - half) / (5.0 - 4.0 * half * (1.0 - half));
            data.extend(((sign * x * 8000.0) as i16).to_le_bytes());
        }
    }
    let mut file = b"RIFF".to_vec();
    file.extend((data.len() as u32 + 36).to_le_bytes());
    file.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0\x80\xBB\0\0\0\x77\x01\0\x02\0\x10\0data");
    file.extend((data.len() as u32).to_le_bytes());
    file.extend(data);
    file
}

#[test]
fn signals_are_written_and_their_levels_read_back() {
    let folder = Folder::new("signals");
    let output = folder.run(&["signals", "play", "--level", "-26"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(fs::read_to_string(folder.0.join("play/how-to-measure.txt")).unwrap().contains("ear protectors"));
    assert_eq!(fs::read_dir(folder.0.join("play")).unwrap().count(), 8);
    let output = folder.run(&["levels", "play/pink-loop.wav", "play/white-loop.wav", "--out", "drawings"]);
    let said = text(&output.stdout);
    assert!(output.status.success(), "{said}{}", text(&output.stderr));
    assert!(said.contains("re full scale") && said.contains("Nothing is wrong"), "{said}");
    for drawing in ["pink-loop-level.svg", "pink-loop-bands.svg", "white-loop-bands.svg"] {
        assert!(fs::read_to_string(folder.0.join("drawings").join(drawing)).unwrap().contains("</svg>"));
    }
    let output = folder.run(&["levels", "play/pink-minute.wav", "--json"]);
    assert!(output.status.success(), "{}", text(&output.stdout));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!((json["recordings"][0]["taken_s"][0].as_f64().unwrap() - 4.5).abs() < 1e-3);
    assert!((json["recordings"][0]["duration_s"].as_f64().unwrap() - 51.0).abs() < 1e-3);
    let output = folder.run(&["signals", "play", "--level", "-3"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("12 dB above"), "{}", text(&output.stderr));
}

#[test]
fn a_calibrated_recording_reads_in_decibels_of_sound_pressure() {
    let folder = Folder::new("calibrated");
    fs::write(folder.0.join("calibrator.wav"), tone(16)).unwrap();
    let arguments = [
        "levels",
        "calibrator.wav",
        "--calibration",
        "calibrator.wav",
        "--calibration-level",
        "94",
        "--json",
    ];
    let output = folder.run(&arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let recording = &json["recordings"][0];
    assert_eq!(recording["reference"], "sound-pressure");
    assert!((recording["total"]["laeq_db"].as_f64().unwrap() - 94.0).abs() < 0.1);
    assert!((json["calibration"]["frequency_hz"].as_f64().unwrap() - 1000.0).abs() < 0.5);
    let output = folder.run(&["levels", "calibrator.wav", "--calibration", "calibrator.wav"]);
    assert!(!output.status.success(), "a calibration needs its level");
}

#[test]
fn bursts_and_sweeps_give_decay_times_or_say_why_not() {
    let folder = Folder::new("decay");
    assert!(folder.run(&["signals", "."]).status.success());
    // Played into nothing, the sweep is its own response: no decay but that of the filters.
    let output = folder.run(&["decay", "sweep.wav"]);
    assert!(text(&output.stdout).contains("a sweep"), "{}{}", text(&output.stdout), text(&output.stderr));
    let output = folder.run(&["decay", "pink-loop.wav"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("no drum stroke"), "{}", text(&output.stderr));
}

#[test]
fn the_chirps_are_left_out_of_the_levels_of_a_sweep() {
    let folder = Folder::new("chirps");
    assert!(folder.run(&["signals", "."]).status.success());
    let output = folder.run(&["levels", "sweep.wav"]);
    let said = text(&output.stdout);
    assert!(
        output.status.success() && said.contains("only the sweep between the markers was taken"),
        "{said}"
    );
    assert!(!said.contains("stays there"), "a sweep is not steady: {said}");
    let output = folder.run(&["levels", "sweep.wav", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let band = |at: usize| json["recordings"][0]["bands"][at].as_f64().unwrap();
    // An exponential sweep has the same energy in every third octave; the chirps lie between 150 Hz and 3 kHz.
    for at in 2..27 {
        assert!((band(at) - band(3)).abs() < 0.4, "place {at}: {} and {}", band(at), band(3));
    }
}

#[test]
fn a_calibrator_s_tone_of_ten_seconds_is_long_enough() {
    let folder = Folder::new("ten-seconds");
    fs::write(folder.0.join("calibrator.wav"), tone(10)).unwrap();
    let output = folder.run(&["levels", "calibrator.wav"]);
    let said = text(&output.stdout);
    assert!(output.status.success() && !said.contains("too short"), "{said}");
    assert!(said.contains("as a calibrator gives"), "{said}");
}

#[test]
fn what_is_no_recording_is_said_with_its_name() {
    let folder = Folder::new("bad");
    fs::write(folder.0.join("notes.wav"), "the neighbour hums\n").unwrap();
    fs::write(folder.0.join("empty.wav"), "").unwrap();
    for (arguments, words) in [
        (["levels", "notes.wav"], "notes.wav"),
        (["levels", "empty.wav"], "empty"),
        (["levels", "nowhere.wav"], "nowhere.wav"),
        (["decay", "notes.wav"], "text, not a recording"),
    ] {
        let output = folder.run(&arguments);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert!(text(&output.stderr).contains(words), "{}", text(&output.stderr));
    }
}
