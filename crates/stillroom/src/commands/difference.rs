//! The level difference of two recordings: of the sweep by its responses, of anything else by plain levels less the background.

use std::{fmt::Write as _, path::Path};

use anyhow::Result;
use bands::Band;
use proof::{
    BandLevels, Recording,
    difference::{LevelDifference, Side, level_difference},
    swept::{SweepError, SweepMeasurement, SweptDifference, measure_sweep, swept_difference},
};
use quantities::format::number;
use serde::Serialize;

use crate::files;

/// Most of a recording of the sweep that is read, s.
const LONGEST_S: f64 = 120.0;

/// The difference of the first recording and the second.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case", tag = "by")]
pub(crate) enum Difference {
    /// By the responses to the sweep.
    Sweep(Box<SweptDifference>),
    /// By plain levels.
    Levels(Box<LevelDifference>),
    /// There is none.
    Refused {
        /// Why.
        why: String,
    },
}

/// Whether a recording is of the sweep.
pub(crate) enum Heard {
    /// It is.
    Sweep(Box<SweepMeasurement>),
    /// It begins with a marker and ends before a sweep would.
    Cut,
    /// It ends with a sweep and its marker, and begins after the sweep did.
    Late,
    /// It is of something else.
    Other,
}

/// The sweep in a recording, where it holds one: a marker with a response behind it.
pub(crate) fn sweep_in(path: &Path, channel: usize) -> Result<Heard> {
    let recording = Recording::open(files::open_sound(path)?)?;
    let rate_hz = f64::from(recording.format().sample_rate_hz);
    let samples = recording.read_channel(channel, LONGEST_S)?;
    Ok(match measure_sweep(&samples, rate_hz) {
        Ok(sweep) => Heard::Sweep(Box::new(sweep)),
        Err(SweepError::TooShort) => Heard::Cut,
        Err(SweepError::BegunLate) => Heard::Late,
        Err(_) => Heard::Other,
    })
}

/// The difference of two recordings: of the sweep where both hold it.
pub(crate) fn difference(
    paths: [&Path; 2],
    levels: [&BandLevels; 2],
    background: Option<&BandLevels>,
    channel: usize,
) -> Result<Difference> {
    let [inside, outside] = paths;
    let name = |path: &Path| files::short_name(path);
    let refused = |why: String| Ok(Difference::Refused { why });
    match (sweep_in(inside, channel)?, sweep_in(outside, channel)?) {
        (Heard::Sweep(source), Heard::Sweep(receiving)) => {
            return Ok(Difference::Sweep(Box::new(swept_difference(&source.levels, &receiving.levels))));
        }
        // What begins with a marker and is short may be cut noise as well: beside a whole sweep it is a cut sweep.
        (Heard::Cut, Heard::Sweep(_)) => return refused(ends_early(&name(inside))),
        (Heard::Sweep(_), Heard::Cut) => return refused(ends_early(&name(outside))),
        (Heard::Late, Heard::Sweep(_)) => return refused(begins_late(&name(inside))),
        (Heard::Sweep(_), Heard::Late) => return refused(begins_late(&name(outside))),
        (Heard::Other | Heard::Cut | Heard::Late, Heard::Other | Heard::Cut | Heard::Late) => {}
        (Heard::Sweep(_), Heard::Other) => return refused(not_of_one(&name(inside), &name(outside))),
        (Heard::Other, Heard::Sweep(_)) => return refused(not_of_one(&name(outside), &name(inside))),
    }
    let side = |bands: &BandLevels| Side { positions: vec![*bands], ..Side::default() };
    let [source, receiving] = levels;
    let background: Vec<BandLevels> = background.into_iter().copied().collect();
    Ok(Difference::Levels(Box::new(level_difference(&side(source), &side(receiving), &background))))
}

fn ends_early(file: &str) -> String {
    format!(
        "{file} ends before the sweep does: the highest bands were never played in it. Record until after the two falling chirps at the end."
    )
}

fn begins_late(file: &str) -> String {
    format!(
        "{file} begins after the sweep did: its start marker and lowest bands are not in it. Start the recorder before the first chirp."
    )
}

fn not_of_one(swept: &str, other: &str) -> String {
    format!(
        "{swept} holds the signal `sweep`; in {other} it is not found. Two signals have no difference: record the same one at both places, and \
         play it louder where it drowns."
    )
}

/// What is said of differences that no wall gives.
fn remark(differences: &BandLevels, [inside, outside]: [&str; 2]) -> String {
    /// Two recordings that differ by less are one and the same, dB.
    const SAME_DB: f64 = 0.05;
    let mut all = differences.measured().peekable();
    if all.peek().is_none() {
        return String::new();
    }
    let values: Vec<f64> = all.map(|(_, difference)| difference).collect();
    let louder = values.iter().filter(|difference| **difference < 0.0).count();
    if values.iter().all(|difference| difference.abs() < SAME_DB) {
        format!(
            "\n{inside} and {outside} do not differ in any band: they look like one and the same recording.\n"
        )
    } else if 2 * louder > values.len() {
        format!(
            "\n{outside} is louder than {inside} in {louder} of {} bands: the two look swapped. Name the recording at the source first.\n",
            values.len()
        )
    } else {
        String::new()
    }
}

impl Difference {
    /// The table and what must be known of it.
    pub(crate) fn in_words(&self, names: [&str; 2]) -> String {
        match self {
            Self::Sweep(swept) => of_sweeps(swept, names) + &remark(&swept.difference_db, names),
            Self::Levels(levels) => of_levels(levels, names) + &remark(&levels.difference_db, names),
            Self::Refused { why } => format!("\nNo level difference: {why}\n"),
        }
    }
}

fn cell(value: Option<f64>, limit: bool) -> String {
    value.map_or_else(
        || "–".to_owned(),
        |value| format!("{}{}", if limit { "≥ " } else { "" }, number(value, 1)),
    )
}

fn of_sweeps(swept: &SweptDifference, [inside, outside]: [&str; 2]) -> String {
    let mut text = format!("\nLevel difference, {inside} less {outside}, from the sweep in both, dB\n\n");
    let _ = writeln!(
        text,
        "  {:>9}{:>14}{:>14}{:>14}{:>14}",
        "Hz", "difference", "clear by", "noise would", "sweep won"
    );
    for band in Band::all().filter(|band| swept.difference_db.get(*band).is_some()) {
        let _ = writeln!(
            text,
            "  {:>9}{:>14}{:>14}{:>14}{:>14}",
            band.nominal(),
            cell(swept.difference_db.get(band), swept.at_least.contains(&band)),
            cell(swept.clear_by_db.get(band), false),
            cell(swept.plain_db.get(band), false),
            cell(swept.won_db.get(band), false)
        );
    }
    let _ = writeln!(
        text,
        "\nClear by: the response in {outside} over the noise left in it. Noise would: what noise as loud as the sweep would have stood over \
         the background there; below 6 it could not have been measured. It holds for the same level of the loudspeaker and the same gain of \
         the recorder in both."
    );
    if !swept.at_least.is_empty() {
        text.push_str(
            "≥: the response is less than 6 dB over its noise, or not to be seen in it: the difference is at least this, by the noise left.\n",
        );
    }
    if !swept.source_hidden.is_empty() {
        let bands: Vec<&str> = swept.source_hidden.iter().map(|band| band.nominal()).collect();
        let _ = writeln!(
            text,
            "Not given at {} Hz: the sweep does not stand clear of the noise in {inside}.",
            bands.join(", ")
        );
    }
    text
}

fn of_levels(levels: &LevelDifference, [inside, outside]: [&str; 2]) -> String {
    let mut text = format!("\nLevel difference, {inside} less {outside}, dB\n\n");
    let with_background = !levels.background_unknown;
    let _ = write!(text, "  {:>9}{:>14}", "Hz", "difference");
    if with_background {
        let _ = write!(text, "{:>14}{:>14}", "background", "corrected");
    }
    text.push('\n');
    for band in Band::all().filter(|band| levels.difference_db.get(*band).is_some()) {
        let limit = levels.at_least.contains(&band);
        let _ = write!(text, "  {:>9}{:>14}", band.nominal(), cell(levels.difference_db.get(band), limit));
        if with_background {
            let _ = write!(
                text,
                "{:>14}{:>14}",
                cell(levels.background_db.get(band), false),
                cell(levels.received_db.get(band), false)
            );
        }
        text.push('\n');
    }
    if with_background {
        let _ = writeln!(
            text,
            "\nCorrected: {outside} less the background, where it lies 6 to {} dB over it (ISO 16283-1).",
            number(proof::iso_16283_1_2014::NO_CORRECTION_FROM_DB, 0)
        );
        if !levels.at_least.is_empty() {
            text.push_str(
                "≥: less than 6 dB over the background: corrected by 1.3 dB, and the true difference is at least this.\n",
            );
        }
    } else {
        text.push_str(
            "\nThe background is not taken off: record a minute of it at the second place and name it with `--background`.\n",
        );
    }
    text
}
