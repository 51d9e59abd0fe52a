//! `stillroom decay`: recordings to decay times.

use std::{fmt::Write as _, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use proof::{
    BandDecay, Decay, DecayFlag, DecayMethod, Recording,
    decay::{Averaged, average, interrupted_noise, strokes},
    swept::{SweepError, measure_sweep},
};
use quantities::format::{number, with_unit};
use serde::Serialize;

use crate::{commands::levels::from_one, files, progress::Progress, report};

/// Most of a recording that is used, s: it is held in memory with all its bands.
const LONGEST_S: f64 = 120.0;

#[derive(Serialize)]
struct Output {
    recordings: Vec<Named>,
    average: Decay,
}

#[derive(Serialize)]
struct Named {
    file: String,
    cut_off: bool,
    #[serde(flatten)]
    decay: Decay,
}

/// Takes the decay times of each recording and their average over places.
pub(crate) fn run(paths: &[PathBuf], channel: usize, json: bool) -> Result<ExitCode> {
    let channel = from_one(Some(channel))?.unwrap_or(0);
    let mut recordings = Vec::new();
    let progress = Progress::of_parts("Reading recordings", paths.len());
    for path in paths {
        let file = files::short_name(path);
        let one = files::open_sound(path)
            .and_then(|reader| of_recording(Recording::open(reader)?, channel))
            .with_context(|| format!("{file} gives no decay time."))?;
        recordings.push(Named { file, decay: one.0, cut_off: one.1 });
        progress.part();
    }
    drop(progress);
    let decays: Vec<Decay> = recordings.iter().map(|one| one.decay.clone()).collect();
    let Some(average) = average(&decays, Averaged::Positions) else { bail!("Name at least one recording.") };
    let any = average.iter().any(|(_, decay)| decay.t_s.is_some());
    if json {
        report::say(&serde_json::to_string_pretty(&Output { recordings, average })?)?;
    } else {
        report::say(&in_words(&recordings, &average))?;
    }
    Ok(if any { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// What the recording is, is heard: a sweep by its marker, noise by its being switched off, else strokes.
fn of_recording(recording: Recording, channel: usize) -> Result<(Decay, bool)> {
    let rate_hz = f64::from(recording.format().sample_rate_hz);
    let cut_off = recording.format().duration_s().is_some_and(|duration_s| duration_s > LONGEST_S);
    let samples = recording.read_channel(channel, LONGEST_S)?;
    let cut_sweep = match measure_sweep(&samples, rate_hz) {
        Ok(measured) => return Ok((measured.decay, cut_off)),
        // Loud noise can look like a marker: a decay that is there says more than a sweep that is not.
        Err(error @ SweepError::TooShort) => Some(error),
        Err(SweepError::NoMarker) => None,
    };
    let heard = interrupted_noise(&samples, rate_hz).or_else(|| strokes(&samples, rate_hz));
    match (heard, cut_sweep) {
        (Some(decay), _) => Ok((decay, cut_off)),
        (None, Some(error)) => bail!(error),
        (None, None) => bail!(
            "there is no drum stroke, no switched-off noise and no sweep in it that stands clear of the background. Hit harder, 3 s \
             apart, with the recorder running before the first."
        ),
    }
}

fn in_words(recordings: &[Named], average: &Decay) -> String {
    let mut text = String::new();
    for one in recordings {
        let how = match one.decay.method {
            DecayMethod::InterruptedNoise if one.decay.decays == 1 => "noise switched off once".to_owned(),
            DecayMethod::InterruptedNoise => format!("noise switched off {} times", one.decay.decays),
            DecayMethod::Impulse if one.decay.decays == 1 => "one stroke".to_owned(),
            DecayMethod::Impulse => format!("{} strokes", one.decay.decays),
            DecayMethod::Sweep => "a sweep".to_owned(),
        };
        let _ = writeln!(text, "{}: {how}", one.file);
        if one.cut_off {
            let _ = writeln!(text, "  Only its first {} were used.", with_unit(LONGEST_S, 0, "s"));
        }
    }
    let _ = writeln!(
        text,
        "\n  {:>9}{:>9}{:>9}{:>9}{:>10}{:>10}",
        "Hz", "EDT s", "T20 s", "T30 s", "± s", "range dB"
    );
    let mut remarks: Vec<(String, Vec<String>)> = Vec::new();
    for (band, decay) in average.iter() {
        line(&mut text, band.nominal(), decay);
        for flag in &decay.flags {
            note(&mut remarks, flag, band.nominal());
        }
    }
    text.push('\n');
    line(&mut text, "octave 63", &average.octave_63);
    if !remarks.is_empty() {
        text.push_str("\nTo be taken with care\n");
        for (sentence, bands) in &remarks {
            let _ = writeln!(text, "  {} Hz: {sentence}", bands.join(", "));
        }
    }
    text.push_str("\n± is one standard deviation by ISO 3382-2; a room differs more from place to place.\n");
    text
}

fn line(text: &mut String, label: &str, decay: &BandDecay) {
    let words =
        |value: Option<f64>, decimals| value.map_or_else(|| "–".to_owned(), |value| number(value, decimals));
    let _ = writeln!(
        text,
        "  {label:>9}{:>9}{:>9}{:>9}{:>10}{:>10}",
        words(decay.edt_s, 2),
        words(decay.t20_s, 2),
        words(decay.t30_s, 2),
        words(decay.deviation_s, 2),
        words(decay.range_db, 0)
    );
}

/// Bands with the same kind of remark stand together, under the words of the first of them.
fn note(remarks: &mut Vec<(String, Vec<String>)>, flag: &DecayFlag, band: &str) {
    let sentence = flag.to_string();
    let kind = |sentence: &str| sentence.chars().take(18).collect::<String>();
    match remarks.iter_mut().find(|(known, _)| kind(known) == kind(&sentence)) {
        Some((_, bands)) => bands.push(band.to_owned()),
        None => remarks.push((sentence, vec![band.to_owned()])),
    }
}
