//! Checks of the tables against each other. Each module holds those of one subject.

mod air;
mod buildups;
mod linings;
mod measurements;
mod openings;
mod penetrations;
mod sound;
mod stock;
mod structure;
mod survey;
mod walls;

use crate::{
    project::{Joists, Survey, WallId},
    read::{reading::Reading, room_file::RoomFile, wording::shown},
};

pub(crate) use survey::ring_is_sound;

/// What was understood of a room file, with or without errors elsewhere.
pub(crate) struct Draft<'a> {
    /// The tables of the file.
    pub(crate) file: &'a RoomFile,
    /// The joists, each with its walls.
    pub(crate) joists: Option<&'a Joists>,
}

impl Draft<'_> {
    fn survey(&self) -> Option<&Survey> {
        self.file.survey.0.as_ref()
    }

    fn wall_name(&self, wall: WallId) -> String {
        self.survey().map_or_else(String::new, |survey| survey.wall_name(wall))
    }

    /// Length of a wall by its own tape, mm: the mean of floor and ceiling.
    fn wall_length_mm(&self, wall: WallId) -> Option<f64> {
        let survey = self.survey()?;
        let (a, b) = survey.wall_corners(wall);
        let tapes = survey
            .tape
            .iter()
            .filter(|tape| (tape.from, tape.to) == (a, b) || (tape.from, tape.to) == (b, a));
        let readings: Vec<f64> = tapes.flat_map(|tape| [tape.floor_mm, tape.ceiling_mm]).flatten().collect();
        (!readings.is_empty()).then(|| readings.iter().sum::<f64>() / readings.len() as f64)
    }

    /// Height of a wall, mm.
    fn wall_height_mm(&self, wall: WallId) -> Option<f64> {
        self.file.wall.iter().find(|entry| entry.between == wall).map(|entry| entry.height_mm)
    }
}

/// Runs every check.
pub(crate) fn run(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    survey::check(draft, reading);
    walls::check(draft, reading);
    buildups::check(draft, reading);
    openings::check(draft, reading);
    linings::check(draft, reading);
    penetrations::check(draft, reading);
    structure::check(draft, reading);
    sound::check(draft, reading);
    air::check(draft, reading);
    stock::check(draft, reading);
    measurements::check(draft, reading);
}

/// Reports names that stand twice in a list of tables.
fn report_repeated_names<'n>(
    list: &str,
    key: &str,
    names: impl Iterator<Item = &'n str>,
    reading: &mut Reading<'_>,
) {
    let placed: Vec<(String, &str)> = names
        .enumerate()
        .map(|(index, name)| (format!("{}.{key}", reading.entry(list, index)), name))
        .collect();
    report_repeated(list, key, &placed, reading);
}

/// Reports names that stand twice, each with the path of its key.
fn report_repeated(list: &str, key: &str, placed: &[(String, &str)], reading: &mut Reading<'_>) {
    for (at, (here, name)) in placed.iter().enumerate() {
        if let Some((there, _)) = placed.iter().take(at).find(|(_, earlier)| earlier == name) {
            let label = reading.label(there, "the first");
            let line = reading.line_of(there);
            reading
                .error(
                    "repeated",
                    here,
                    format!("There are two [[{list}]] with the {key} \"{}\".", shown(name)),
                )
                .here("the second")
                .also(label)
                .help(format!("The first stands in line {line}. Give each its own {key}."));
        }
    }
}
