//! The recordings that measurements of a room file name, worked out to levels.

use std::{collections::BTreeMap, path::Path};

use anyhow::{Context, Result};
use plan::{
    Project,
    project::{Measurement, Recorded},
};
use proof::{AnalysisSettings, MeasuredLevels, Recording, Sensitivity, analyse_recording};

use crate::{
    commands::levels::{calibrate, noise_between_markers},
    files,
    progress::Progress,
    report,
};

/// A project with the levels of its recordings. What is wrong with one is printed, and that measurement stays without levels.
pub(crate) fn with_recordings(project: Project, room: &Path) -> Project {
    let folder = room.parent().unwrap_or_else(|| Path::new("."));
    let mut calibrations: BTreeMap<String, Option<Sensitivity>> = BTreeMap::new();
    let mut recorded = Vec::new();
    let progress = Progress::of("Reading recordings");
    for (measurement, one) in project.recordings() {
        let Some(file) = &one.file else { continue };
        let sensitivity = sensitivity(one, folder, &mut calibrations, &progress);
        match files::inside(folder, file).and_then(|path| levels(&path, sensitivity)) {
            Ok((bands, said)) => {
                if !said.is_empty() {
                    progress.aside(|| report::remark(&format!("{file}: {}", said.join(" "))));
                }
                let levels =
                    MeasuredLevels { bands, calibrated: sensitivity.is_some(), chain: one.chain.clone() };
                recorded.push(Recorded { measurement, levels });
            }
            Err(error) => progress.aside(|| report::warn(&format!("{error:#}"))),
        }
    }
    project.with_levels(recorded)
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
                progress.aside(|| report::warn(&format!("{error:#}")));
                None
            }
        }
    })
}

/// Levels of the noise between the markers, or of the whole recording where there are none; with what is wrong with it.
fn levels(path: &Path, sensitivity: Option<Sensitivity>) -> Result<(proof::BandLevels, Vec<String>)> {
    let name = files::short_name(path);
    let found = files::open_sound(path).and_then(|reader| {
        let recording = Recording::open(reader)?;
        let stretch_s = noise_between_markers(path, 0)?;
        Ok(analyse_recording(recording, &AnalysisSettings { sensitivity, channel: None, stretch_s })?)
    });
    let analysis = found.with_context(|| format!("{name} gives no levels."))?;
    let said: Vec<String> = analysis.faults.iter().map(ToString::to_string).collect();
    anyhow::ensure!(analysis.is_usable(), "{name} gives no levels. {}", said.join(" "));
    Ok((analysis.bands, said))
}
