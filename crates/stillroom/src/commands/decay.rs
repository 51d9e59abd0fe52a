//! `stillroom decay`: recordings to decay times.

use std::{fmt::Write as _, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use bands::Band;
use proof::{
    BandDecay, Decay, DecayFlag, DecayMethod, Recording,
    decay::{Averaged, DecayError, average, measure},
};
use quantities::format::{number, with_unit};
use serde::Serialize;

use crate::{commands::levels::from_one, files, progress::Progress, report};

/// Most of a recording that is used, s: it is held in memory with all its bands.
const LONGEST_S: f64 = 120.0;

/// What the recordings are of.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(crate) enum Kind {
    /// The signal `sweep`
    Sweep,
    /// Noise that is switched off, such as the signal `pink-bursts`
    Noise,
    /// Drum strokes, balloons, boards clapped
    Strokes,
}

impl From<Kind> for DecayMethod {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Sweep => Self::Sweep,
            Kind::Noise => Self::InterruptedNoise,
            Kind::Strokes => Self::Impulse,
        }
    }
}

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
pub(crate) fn run(paths: &[PathBuf], kind: Option<Kind>, channel: usize, json: bool) -> Result<ExitCode> {
    let channel = from_one(Some(channel))?.unwrap_or(0);
    let mut recordings = Vec::new();
    let progress = Progress::of_parts("Reading recordings", paths.len());
    for path in paths {
        let file = files::short_name(path);
        let one = files::open_sound(path)
            .and_then(|reader| of_recording(Recording::open(reader)?, channel, kind.map(DecayMethod::from)))
            .map_err(|error| saying_which(error, "`--kind strokes` or `--kind noise`"))
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
        report::say_figures(&in_words(&recordings, &average), None)?;
    }
    Ok(if any { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// Decay times of one recording, of the kind given or else the kind it is heard to be, and whether only its beginning was used.
pub(crate) fn of_recording(
    recording: Recording,
    channel: usize,
    kind: Option<DecayMethod>,
) -> Result<(Decay, bool)> {
    let rate_hz = f64::from(recording.format().sample_rate_hz);
    let cut_off = recording.format().duration_s().is_some_and(|duration_s| duration_s > LONGEST_S);
    let samples = recording.read_channel(channel, LONGEST_S)?;
    if let Some(fault) = proof::faults::clipped(&samples, rate_hz, channel + 1) {
        bail!("{fault}");
    }
    Ok((measure(&samples, rate_hz, kind)?, cut_off))
}

/// An error that asks which of two things a recording is, with how that is said here.
pub(crate) fn saying_which(error: anyhow::Error, how: &str) -> anyhow::Error {
    match error.downcast_ref() {
        Some(DecayError::Unclear { .. }) => {
            let sentence = error.to_string();
            anyhow::anyhow!("{}: {how}.", sentence.trim_end_matches('.'))
        }
        _ => error,
    }
}

/// What is said of a recording of which only the beginning was used.
pub(crate) fn cut_off_words() -> String {
    format!("Only its first {} were used.", with_unit(LONGEST_S, 0, "s"))
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
        let strokes = one.decay.decays + one.decay.left_out.len();
        let of = if one.decay.left_out.is_empty() { String::new() } else { format!(" counted of {strokes}") };
        let _ = writeln!(text, "{}: {how}{of}", one.file);
        for left_out in &one.decay.left_out {
            let _ = writeln!(text, "  {left_out}");
        }
        if one.cut_off {
            let _ = writeln!(text, "  {}", cut_off_words());
        }
    }
    let _ = writeln!(text, "\n  {:>9}{:>14}{:>14}{:>14}{:>10}", "Hz", "EDT s", "T20 s", "T30 s", "range dB");
    let mut remarks: Vec<(DecayFlag, Vec<Band>)> = Vec::new();
    for (band, decay) in average.iter() {
        line(&mut text, band.nominal(), decay);
        for flag in &decay.flags {
            note(&mut remarks, flag, band);
        }
    }
    text.push('\n');
    line(&mut text, "octave 63", &average.octave_63);
    if !remarks.is_empty() {
        text.push_str("\nTo be taken with care\n");
        for (flag, bands) in &remarks {
            let worst = if bands.len() > 1 && *flag != DecayFlag::NoDecay { " at worst:" } else { "" };
            let _ = writeln!(text, "  {} Hz:{worst} {flag}", runs(bands));
        }
    }
    if recordings.iter().any(|one| one.decay.method == DecayMethod::InterruptedNoise) {
        text.push_str("\nNoise that is switched off gives no early decay time: over 10 dB it scatters too far. Strokes and the sweep give one.\n");
    }
    text.push_str(
        "\n± holds nineteen times in twenty: two standard deviations by ISO 3382-2, or more where strokes or places scatter more or the decay bends. A \
         room differs more from place to place.\n",
    );
    text
}

/// Two standard deviations: nineteen in twenty lie within.
const NINETEEN_IN_TWENTY: f64 = 2.0;

fn line(text: &mut String, label: &str, decay: &BandDecay) {
    let time = |value: Option<f64>, deviation: Option<f64>| match (value, deviation) {
        (Some(value), Some(deviation)) => {
            format!("{} ± {}", number(value, 2), number(NINETEEN_IN_TWENTY * deviation, 2))
        }
        (Some(value), None) => number(value, 2),
        _ => "–".to_owned(),
    };
    let _ = writeln!(
        text,
        "  {label:>9}{:>14}{:>14}{:>14}{:>10}",
        time(decay.edt_s, decay.edt_deviation_s),
        time(decay.t20_s, decay.deviation_s),
        time(decay.t30_s, decay.t30_deviation_s),
        decay.range_db.map_or_else(|| "–".to_owned(), |range| number(range, 0))
    );
}

/// Bands with the same kind of remark stand together, under the words of the worst of them.
fn note(remarks: &mut Vec<(DecayFlag, Vec<Band>)>, flag: &DecayFlag, band: Band) {
    let kind = std::mem::discriminant(flag);
    match remarks.iter_mut().find(|(known, _)| std::mem::discriminant(known) == kind) {
        Some((known, bands)) => {
            bands.push(band);
            if flag.badness() > known.badness() {
                known.clone_from(flag);
            }
        }
        None => remarks.push((flag.clone(), vec![band])),
    }
}

/// `25 to 63, 125`: bands in a row as one.
fn runs(bands: &[Band]) -> String {
    let mut runs: Vec<(Band, Band)> = Vec::new();
    for &band in bands {
        match runs.last_mut() {
            Some((_, last)) if last.index() + 1 == band.index() => *last = band,
            _ => runs.push((band, band)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|(first, last)| match last.index() - first.index() {
            0 => first.nominal().to_owned(),
            1 => format!("{}, {}", first.nominal(), last.nominal()),
            _ => format!("{} to {}", first.nominal(), last.nominal()),
        })
        .collect();
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_of_one_kind_stand_together_under_the_worst() {
        let band = |hz: f64| Band::all().find(|band| (band.nominal_hz() - hz).abs() < 0.01);
        let mut remarks = Vec::new();
        for (hz, flag) in [
            (63.0, DecayFlag::FilterRings { shortest_s: 0.27 }),
            (80.0, DecayFlag::FilterRings { shortest_s: 0.22 }),
            (80.0, DecayFlag::NoiseTooNear { range_db: 31.0 }),
            (100.0, DecayFlag::NoiseTooNear { range_db: 12.0 }),
            (100.0, DecayFlag::Curved { percent: 12.0 }),
            (125.0, DecayFlag::Curved { percent: -40.0 }),
        ] {
            if let Some(band) = band(hz) {
                note(&mut remarks, &flag, band);
            }
        }
        let said: Vec<(String, DecayFlag)> =
            remarks.into_iter().map(|(flag, bands)| (runs(&bands), flag)).collect();
        assert_eq!(
            said,
            [
                ("63, 80".to_owned(), DecayFlag::FilterRings { shortest_s: 0.27 }),
                ("80, 100".to_owned(), DecayFlag::NoiseTooNear { range_db: 12.0 }),
                ("100, 125".to_owned(), DecayFlag::Curved { percent: -40.0 }),
            ]
        );
    }
}
