//! The recordings that measurements of a room file name, worked out to levels and decay times.

use std::{
    collections::{BTreeMap, btree_map::Entry},
    path::Path,
};

use anyhow::{Context, Result};
use bands::{Band, Readings};
use plan::{
    Project,
    project::{DecayOf, Measured, Measurement, Recorded, RecordedDecay},
};
use proof::{
    Analysis, AnalysisSettings, DecayMethod, MeasuredLevels, Recording, Sensitivity, analyse_recording,
    iso_18233_2006::SweptLevels,
};

use crate::{
    commands::decay::{cut_off_words, of_recording, saying_which},
    commands::difference::{Heard, sweep_in},
    commands::levels::{between_markers, calibrate, unlike_rates},
    files,
    progress::Progress,
    report,
};

/// A project with the levels of its recordings. What is wrong with one is printed, and that measurement stays without levels.
pub(crate) fn with_recordings(project: Project, room: &Path) -> Project {
    let folder = room.parent().unwrap_or_else(|| Path::new("."));
    let mut calibrations: BTreeMap<String, Option<Sensitivity>> = BTreeMap::new();
    let mut recorded = Vec::new();
    let mut decays = Vec::new();
    // By chain, its first recording and at which rate that is.
    let mut rates: BTreeMap<String, (String, u32)> = BTreeMap::new();
    let progress = Progress::of("Reading recordings");
    for (measurement, one) in project.recordings() {
        let Some(file) = &one.file else { continue };
        if one.what == Measured::Decay {
            match files::inside(folder, file).and_then(|path| decay(&path, one.decay_of, SAY_IN_FILE)) {
                Ok((decay_s, said)) => {
                    if let Some(said) = said {
                        progress.aside(|| report::remark(&format!("{file}: {said}")));
                    }
                    decays.push(RecordedDecay { measurement, decay_s });
                }
                Err(error) => progress.aside(|| report::warn(&report::in_a_line(&error))),
            }
            continue;
        }
        let sensitivity = sensitivity(one, folder, &mut calibrations, &progress);
        match files::inside(folder, file).and_then(|path| levels(&path, sensitivity)) {
            Ok((analysis, said)) => {
                if !said.is_empty() {
                    progress.aside(|| report::remark(&format!("{file}: {}", said.join(" "))));
                }
                let levels = MeasuredLevels {
                    bands: analysis.bands,
                    calibrated: sensitivity.is_some(),
                    chain: one.chain.clone(),
                };
                let found = files::inside(folder, file).ok().and_then(|path| swept(&path, sensitivity));
                let (swept, overdriven) = found.unzip();
                if let Some(said) = overdriven.flatten() {
                    progress.aside(|| report::remark(&format!("{file}: {said}")));
                }
                let own_hz = analysis.sample_rate_hz;
                // Without a chain nothing is compared.
                match levels.chain.clone().map(|chain| rates.entry(chain)) {
                    Some(Entry::Vacant(first)) => {
                        first.insert((file.clone(), own_hz));
                    }
                    Some(Entry::Occupied(first)) if first.get().1 != own_hz && sensitivity.is_none() => {
                        let (other, hz) = first.get();
                        let said = unlike_rates([other, file], [*hz, own_hz].map(f64::from));
                        progress.aside(|| report::remark(&said));
                    }
                    _ => {}
                }
                recorded.push(Recorded { measurement, levels, swept, analysis: Some(analysis) });
            }
            Err(error) => progress.aside(|| report::warn(&report::in_a_line(&error))),
        }
    }
    project.with_levels(recorded).with_decays(decays)
}

/// Gains by the sweep, where the recording is of it, with the recorder's own gain taken out where that is known; and what is said where the
/// loudspeaker was overdriven.
pub(crate) fn swept(path: &Path, sensitivity: Option<Sensitivity>) -> Option<(SweptLevels, Option<String>)> {
    match sweep_in(path, 0).ok()? {
        Heard::Sweep(sweep) => {
            let overdriven = sweep.overdriven();
            let levels = match sensitivity {
                Some(sensitivity) => sweep.levels.calibrated_by(sensitivity),
                None => sweep.levels,
            };
            Some((levels, overdriven))
        }
        Heard::Cut | Heard::Late | Heard::Other => None,
    }
}

/// How one who writes the room file says what a recording of a decay is of.
const SAY_IN_FILE: &str = "`decay_of = \"strokes\"` or `decay_of = \"noise\"`";

/// Decay times of a recording, where they can be relied on, with what is to be said of it. `say_which` is how its reader says what it is of.
pub(crate) fn decay(path: &Path, of: Option<DecayOf>, say_which: &str) -> Result<(Readings, Option<String>)> {
    let name = files::short_name(path);
    let method = of.map(|of| match of {
        DecayOf::Strokes => DecayMethod::Impulse,
        DecayOf::Noise => DecayMethod::InterruptedNoise,
        DecayOf::Sweep => DecayMethod::Sweep,
    });
    let (found, cut_off) = files::open_sound(path)
        .and_then(|reader| of_recording(Recording::open(reader)?, 0, method))
        .map_err(|error| saying_which(error, say_which))
        .with_context(|| format!("{name} gives no decay time."))?;
    let times: Readings = Band::all().filter_map(|band| Some((band, found.t_s(band)?))).collect();
    anyhow::ensure!(
        !times.is_empty(),
        "{name} gives no decay time: in no band does the sound stand 35 dB over the background."
    );
    let said: Vec<String> =
        found.left_out.iter().map(ToString::to_string).chain(cut_off.then(cut_off_words)).collect();
    Ok((times, (!said.is_empty()).then(|| said.join(" "))))
}

fn sensitivity(
    one: &Measurement,
    folder: &Path,
    known: &mut BTreeMap<String, Option<Sensitivity>>,
    progress: &Progress,
) -> Option<Sensitivity> {
    let (file, stated_db) = (one.calibration_file.as_ref()?, one.calibration_db?);
    *known.entry(format!("{file} {stated_db}")).or_insert_with(|| {
        match files::inside(folder, file).and_then(|path| calibrate(&path, stated_db, 0)) {
            Ok((_, sensitivity)) => Some(sensitivity),
            Err(error) => {
                progress.aside(|| report::warn(&report::in_a_line(&error)));
                None
            }
        }
    })
}

/// Levels of the noise between the markers, or of the whole recording where there are none; with what is wrong with it.
pub(crate) fn levels(path: &Path, sensitivity: Option<Sensitivity>) -> Result<(Analysis, Vec<String>)> {
    let name = files::short_name(path);
    let found = files::open_sound(path).and_then(|reader| {
        let recording = Recording::open(reader)?;
        let stretch = between_markers(path, 0)?;
        let settings = AnalysisSettings {
            sensitivity,
            channel: None,
            stretch_s: stretch.taken_s,
            steady: stretch.steady,
        };
        Ok((analyse_recording(recording, &settings)?, stretch.cut))
    });
    let (analysis, cut) = found.with_context(|| format!("{name} gives no levels."))?;
    let said: Vec<String> =
        analysis.faults.iter().map(ToString::to_string).chain(cut.map(str::to_owned)).collect();
    anyhow::ensure!(analysis.is_usable(), "{name} gives no levels. {}", said.join(" "));
    Ok((analysis, said))
}
