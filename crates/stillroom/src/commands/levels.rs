//! `stillroom levels`: recordings to levels.

use std::{
    fmt::Write as _,
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result, bail};
use bands::Band;
use proof::{
    Analysis, AnalysisSettings, BandLevels, Fault, Recording, Reference, Sensitivity, analyse_recording,
    calibration::{CalibrationTone, calibration_tone},
    marker::{Found, clock_ratio, find_both},
    signals::{
        NOISE_AFTER_MARKER_S, NOISE_LENGTH_S, NOISE_MARKERS_APART_S, SWEEP_AFTER_MARKER_S, SWEEP_LENGTH_S,
        SWEEP_MARKERS_APART_S,
    },
};
use quantities::format::{number, with_unit};
use serde::Serialize;

use crate::{
    commands::difference::{Difference, Heard, difference, sweep_in},
    files,
    progress::Progress,
    report,
};

/// Recordings side by side in one table.
const MOST_COLUMNS: usize = 6;

/// What was asked for.
pub(crate) struct Asked {
    pub(crate) files: Vec<PathBuf>,
    /// Recording of a calibrator and its level, dB.
    pub(crate) calibration: Option<(PathBuf, f64)>,
    /// Recording of the background at the second of two places.
    pub(crate) background: Option<PathBuf>,
    /// The one channel, counted from 1.
    pub(crate) channel: Option<usize>,
    pub(crate) out: Option<PathBuf>,
    pub(crate) json: bool,
}

#[derive(Serialize)]
struct Output {
    calibration: Option<CalibrationTone>,
    recordings: Vec<Named>,
    background: Option<Named>,
    /// First recording less second, where there are two that can be compared.
    difference: Option<Difference>,
}

#[derive(Serialize)]
struct Named {
    file: String,
    /// The stretch that was taken, s, where it is the noise or the sweep between markers.
    taken_s: Option<(f64, f64)>,
    /// Whether that is noise; else the sweep.
    steady: bool,
    /// The tone, where a short recording is of a calibrator.
    tone: Option<CalibrationTone>,
    /// What is said where only one of the two markers is in it.
    cut: Option<&'static str>,
    /// Harmonics of the loudspeaker, as a share of the amplitude, where it is of the sweep.
    distortion: Option<f64>,
    /// What is said where there are too many of them.
    overdriven: Option<String>,
    #[serde(flatten)]
    analysis: Analysis,
}

/// Analyses the recordings. Exit code 1 where one of them cannot be used for levels.
pub(crate) fn run(asked: &Asked) -> Result<ExitCode> {
    let channel = from_one(asked.channel)?;
    let calibration = asked
        .calibration
        .as_ref()
        .map(|(file, stated_db)| calibrate(file, *stated_db, channel.unwrap_or(0)))
        .transpose()?;
    let sensitivity = calibration.map(|(_, sensitivity)| sensitivity);
    if asked.background.is_some() && asked.files.len() != 2 {
        bail!(
            "A background is taken off the second of two recordings: name two, the room first, and `--background FILE`."
        );
    }
    let progress = Progress::of_parts("Reading recordings", asked.files.len());
    let of = |path: &Path| named(path, sensitivity, channel).inspect(|_| progress.part());
    let recordings: Vec<Named> = asked.files.iter().map(|path| of(path)).collect::<Result<_>>()?;
    let background = asked.background.as_deref().map(of).transpose()?;
    drop(progress);
    if let Some(folder) = &asked.out {
        write_drawings(folder, &recordings)?;
    }
    let usable = recordings.iter().chain(&background).all(|recording| recording.analysis.is_usable());
    let difference = match (asked.files.as_slice(), recordings.as_slice()) {
        ([inside, outside], [first, second]) if usable => Some(difference(
            [inside, outside],
            [&first.analysis.bands, &second.analysis.bands],
            background.as_ref().map(|background| &background.analysis.bands),
            channel.unwrap_or(0),
        )?),
        _ => None,
    };
    let tone = calibration.map(|(tone, _)| tone);
    let output = Output { calibration: tone, recordings, background, difference };
    if asked.json {
        report::say(&serde_json::to_string_pretty(&output)?)?;
    } else {
        report::say_figures(&in_words(&output, asked.out.as_deref()), None)?;
    }
    let refused = matches!(output.difference, Some(Difference::Refused { .. }));
    Ok(if usable && !refused { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn named(path: &Path, sensitivity: Option<Sensitivity>, channel: Option<usize>) -> Result<Named> {
    let file = files::short_name(path);
    let found = files::open_sound(path).and_then(|reader| {
        let recording = Recording::open(reader)?;
        let stretch = between_markers(path, channel.unwrap_or(0))?;
        let settings =
            AnalysisSettings { sensitivity, channel, stretch_s: stretch.taken_s, steady: stretch.steady };
        Ok((analyse_recording(recording, &settings)?, stretch))
    });
    let (mut analysis, stretch) = found.with_context(|| format!("{file} gives no levels."))?;
    let too_short = |fault: &Fault| matches!(fault, Fault::TooShort { .. });
    let mut tone = None;
    if analysis.faults.iter().any(too_short) {
        tone = calibration_tone(files::open_sound(path)?, channel.unwrap_or(0)).ok();
    }
    if tone.is_some() {
        // A calibrator's tone needs no quarter of a minute: it is as steady after three seconds.
        analysis.faults.retain(|fault| !too_short(fault));
    }
    let Stretch { taken_s, steady, cut } = stretch;
    let (mut distortion, mut overdriven) = (None, None);
    if taken_s.is_some()
        && !steady
        && let Heard::Sweep(sweep) = sweep_in(path, channel.unwrap_or(0))?
    {
        (distortion, overdriven) = (sweep.distortion(), sweep.overdriven());
    }
    Ok(Named { file, taken_s, steady, tone, cut, distortion, overdriven, analysis })
}

/// What is said of a recording that ends before the signal does.
const STOPPED_EARLY: &str = "The end marker is missing: the recording was stopped early, or the two falling chirps drowned. Pauses are not cut \
     off, so levels of noise are too low or of other sound: record again until after the end marker.";
/// What is said of one that begins within it.
const BEGUN_LATE: &str = "The start marker is missing: the recording was begun late, or the two rising chirps drowned. Pauses are not cut off, \
     so levels of noise are too low or of other sound: record again from before the start marker.";

/// What of a recording is the signal, and what is said of one that lacks a marker.
pub(crate) struct Stretch {
    /// Where the noise or the sweep lies, s; none where the recording is of something else.
    pub(crate) taken_s: Option<(f64, f64)>,
    /// Whether it is noise.
    pub(crate) steady: bool,
    /// Said where only one of the markers is in it.
    pub(crate) cut: Option<&'static str>,
}

/// The noise of a one-minute signal, or the sweep, in a recording of it, without its markers.
pub(crate) fn between_markers(path: &Path, channel: usize) -> Result<Stretch> {
    let (start, finish) = find_both(files::open_sound(path)?, channel)?;
    let ratio =
        |played_s: f64| start.zip(finish).and_then(|(start, finish)| clock_ratio(start, finish, played_s));
    let (noise_apart, sweep_apart) = (ratio(NOISE_MARKERS_APART_S), ratio(SWEEP_MARKERS_APART_S));
    let apart = noise_apart.or(sweep_apart);
    // Of two that do not belong together, one that is far less clear is another sound.
    let stands = |one: Option<Found>, other: Option<Found>| {
        one.filter(|one| apart.is_some() || other.is_none_or(|other| 2.0 * one.clearness > other.clearness))
    };
    let cut = match (stands(start, finish), stands(finish, start)) {
        (Some(_), None) => Some(STOPPED_EARLY),
        (None, Some(_)) => Some(BEGUN_LATE),
        _ => None,
    };
    // The first and the last half second are left to the room to fill and to settle.
    let noise = start.filter(|_| noise_apart.is_some()).map(|start| {
        let from_s = start.at_s + NOISE_AFTER_MARKER_S;
        (from_s + 0.5, from_s + NOISE_LENGTH_S - 0.5)
    });
    // The sweep with the second in which the room dies away after it.
    let sweep = start.filter(|_| sweep_apart.is_some()).map(|start| {
        let from_s = start.at_s + SWEEP_AFTER_MARKER_S;
        (from_s, from_s + SWEEP_LENGTH_S + 1.0)
    });
    Ok(Stretch { taken_s: noise.or(sweep), steady: noise.is_some(), cut })
}

/// A channel counted from 1 as one counted from 0.
pub(crate) fn from_one(channel: Option<usize>) -> Result<Option<usize>> {
    match channel {
        Some(0) => bail!("Channels count from 1: there is no channel 0."),
        Some(channel) => Ok(Some(channel - 1)),
        None => Ok(None),
    }
}

pub(crate) fn calibrate(
    file: &Path,
    stated_db: f64,
    channel: usize,
) -> Result<(CalibrationTone, Sensitivity)> {
    let name = files::short_name(file);
    let found = files::open_sound(file).and_then(|reader| {
        let tone = calibration_tone(reader, channel)?;
        Ok((tone, tone.sensitivity(stated_db)?))
    });
    found.with_context(|| format!("{name} gives no calibration."))
}

fn write_drawings(folder: &Path, recordings: &[Named]) -> Result<()> {
    for (at, recording) in recordings.iter().enumerate() {
        let stem = Path::new(&recording.file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        // Two recordings of one name in different folders keep both drawings.
        let twice = recordings.iter().take(at).any(|other| other.file == recording.file);
        let name = if twice { format!("{stem}-{}", at + 1) } else { stem };
        for sheet in sheets::recorded::files(&recording.analysis, &name) {
            files::write_whole(&folder.join(&sheet.path), &sheet.bytes)?;
        }
    }
    Ok(())
}

fn in_words(output: &Output, out: Option<&Path>) -> String {
    let mut text = String::new();
    if let Some(tone) = output.calibration {
        let _ = writeln!(text, "{}\n", tone.sentence());
    }
    let all = || output.recordings.iter().chain(&output.background);
    let spoilt: Vec<&Named> = all().filter(|one| !one.analysis.is_usable()).collect();
    for one in &spoilt {
        let _ = writeln!(text, "{} gives no levels:", one.file);
        for fault in &one.analysis.faults {
            let _ = writeln!(text, "  {fault}");
        }
    }
    let good: Vec<&Named> = all().filter(|one| one.analysis.is_usable()).collect();
    if !spoilt.is_empty() && !good.is_empty() {
        text.push('\n');
    }
    match good.as_slice() {
        [] => {}
        [one] => {
            let a = &one.analysis;
            let _ = writeln!(text, "{}, {}, {}\n", one.file, with_unit(a.duration_s, 1, "s"), unit(a));
            let columns =
                [("Leq", a.bands), ("L10", a.l10), ("L50", a.l50), ("L90", a.l90), ("LFmax", a.lmax_fast)];
            table(&mut text, &columns.map(|(name, levels)| (name.to_owned(), levels)));
            totals(&mut text, &[one]);
        }
        several => {
            for group in several.chunks(MOST_COLUMNS) {
                let columns: Vec<(String, BandLevels)> =
                    group.iter().map(|one| (shortened(&one.file), one.analysis.bands)).collect();
                let unit = group.first().map_or("dB", |one| unit(&one.analysis));
                let _ = writeln!(text, "Leq, {unit}\n");
                table(&mut text, &columns);
                totals(&mut text, group);
            }
        }
    }
    if let (Some(difference), [first, second]) = (&output.difference, output.recordings.as_slice()) {
        text.push_str(&difference.in_words([&first.file, &second.file]));
    }
    for one in &good {
        if let Some((from_s, to_s)) = one.taken_s {
            let _ = writeln!(
                text,
                "\n{}: only the {} between the markers was taken, {} to {}.",
                one.file,
                if one.steady { "noise" } else { "sweep" },
                with_unit(from_s, 1, "s"),
                with_unit(to_s, 1, "s")
            );
            if let Some(share) = one.distortion {
                let _ = writeln!(
                    text,
                    "{}: the loudspeaker added harmonics of {} % of the sound.",
                    one.file,
                    number(100.0 * share, 1)
                );
            }
        }
    }
    for one in &good {
        if let Some(tone) = one.tone {
            let _ = writeln!(
                text,
                "\n{} is a steady tone of {}, as a calibrator gives. To use it: `--calibration {} --calibration-level` and the level printed on \
                 the calibrator.",
                one.file,
                with_unit(tone.frequency_hz, 0, "Hz"),
                one.file
            );
        }
    }
    if good.iter().any(|one| one.analysis.reference == Reference::FullScale) {
        text.push_str(
            "\nNo calibration: these levels are re full scale. Only differences between recordings of the same recorder at the \
             same gain mean anything.\n",
        );
    }
    let mut faults = String::new();
    for one in &good {
        for fault in &one.analysis.faults {
            let _ = writeln!(faults, "  {}: {fault}", one.file);
        }
        if let Some(said) = one.cut.or(one.overdriven.as_deref()) {
            let _ = writeln!(faults, "  {}: {said}", one.file);
        }
    }
    if let [first, others @ ..] = good.as_slice()
        && let Some(other) =
            others.iter().find(|other| other.analysis.sample_rate_hz != first.analysis.sample_rate_hz)
    {
        let rates = [first, other].map(|one| f64::from(one.analysis.sample_rate_hz));
        let _ = writeln!(faults, "  {}", unlike_rates([&first.file, &other.file], rates));
    }
    if !faults.is_empty() {
        let _ = write!(text, "\nWhat is wrong\n{faults}");
    } else if spoilt.is_empty() && !matches!(output.difference, Some(Difference::Refused { .. })) {
        text.push_str("\nNothing is wrong with the recording as far as its samples tell.\n");
    }
    if let Some(folder) = out {
        let _ = writeln!(text, "\nDrawings: {}", folder.display());
    }
    text
}

/// What is said of two recordings at different rates that are to be compared.
pub(crate) fn unlike_rates([one, other]: [&str; 2], [one_hz, other_hz]: [f64; 2]) -> String {
    let khz = |hz: f64| with_unit(hz / 1000.0, usize::from((hz / 1000.0).fract() != 0.0), "kHz");
    format!(
        "{one} was recorded at {} and {other} at {}: the recorder's settings were changed between them. Their levels are compared as if its gain \
         was not; be sure of that, or record both alike.",
        khz(one_hz),
        khz(other_hz)
    )
}

fn unit(analysis: &Analysis) -> &'static str {
    match analysis.reference {
        Reference::SoundPressure => "dB re 20 µPa",
        Reference::FullScale => "dB re full scale",
    }
}

fn table(text: &mut String, columns: &[(String, BandLevels)]) {
    let _ = write!(text, "  {:>9}", "Hz");
    for (name, _) in columns {
        let _ = write!(text, "{name:>14}");
    }
    text.push('\n');
    let mut row = |label: &str, level: &dyn Fn(&BandLevels) -> Option<f64>| {
        let _ = write!(text, "  {label:>9}");
        for (_, levels) in columns {
            let _ = write!(text, "{:>14}", level(levels).map_or_else(|| "–".to_owned(), |db| number(db, 1)));
        }
        text.push('\n');
    };
    row("20", &BandLevels::at_20_hz);
    for band in Band::all() {
        row(band.nominal(), &|levels: &BandLevels| levels.get(band));
    }
}

fn totals(text: &mut String, recordings: &[&Named]) {
    text.push('\n');
    let mut row = |label: &str, of: &dyn Fn(&Analysis) -> Option<f64>| {
        let _ = write!(text, "  {label:>9}");
        for one in recordings {
            let _ =
                write!(text, "{:>14}", of(&one.analysis).map_or_else(|| "–".to_owned(), |db| number(db, 1)));
        }
        text.push('\n');
    };
    row("LAeq", &|a| a.total.laeq_db);
    row("LCeq", &|a| a.total.lceq_db);
    row("LAFmax", &|a| a.total.lafmax_db);
    row("LASmax", &|a| a.total.lasmax_db);
    row("LA10", &|a| a.total.la10_db);
    row("LA90", &|a| a.total.la90_db);
}

/// A file name that fits its column: its beginning, without the ending.
pub(crate) fn shortened(file: &str) -> String {
    let stem = Path::new(file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
    if stem.chars().count() <= 12 { stem } else { stem.chars().take(11).chain(['…']).collect() }
}
