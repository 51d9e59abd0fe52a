//! Measured against planned: the difference at each receiver by band, and what explains it.

use bands::Band;
use paper::{
    Dash, Ink, Pen, Point, Scene, Text,
    chart::{ChartLine, MeasuredPoints, SpectrumChart, UncertaintyBand},
    table::{Cell, Column as TableColumn, Table},
};
use plan::{
    Plan,
    outcome::proof::{ProofDiagnosis, ProvedBand, ProvedDifference, RecordingOverTime},
};
use quantities::lengths::Lengths;

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    section::{drawing_area, word_column},
    spectrum::{bands_hz, capital},
};
use crate::proof_words::{gains_line, likely, rating_lines, size_words};

/// Room for the names at the right of the chart, mm.
const NAMES_MM: f64 = 42.0;
/// Height of the chart, mm.
const CHART_MM: f64 = 205.0;
/// Most recordings that are drawn.
const MOST_RECORDINGS: usize = 12;
/// Recordings on a sheet, one above the other.
const ON_A_SHEET: usize = 2;
/// Room for the words at the foot of such a sheet, mm.
const FOOT_MM: f64 = 10.0;
/// From the top of a recording to what it is of, mm.
const UNDER_LEVEL_MM: f64 = 98.0;
/// Most explanations in the table.
const MOST_ROWS: usize = 6;

/// A sheet for every receiver that was measured.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let Some(proof) = &plan.proof else { return Vec::new() };
    let receivers =
        proof.differences.iter().enumerate().map(|(index, one)| {
            drawing(plan, one, proof.diagnosis.as_ref().filter(|_| index == 0), index + 1)
        });
    let drawn = proof.recordings.get(..proof.recordings.len().min(MOST_RECORDINGS)).unwrap_or_default();
    let recordings = drawn
        .chunks(ON_A_SHEET)
        .enumerate()
        .map(|(index, some)| recordings(some, index + 1, (drawn.len(), proof.recordings.len())));
    receivers.chain(recordings).collect()
}

/// A recording's name without its folder and what it is written as.
fn name(file: &str) -> &str {
    let name = file.rsplit_once('/').map_or(file, |(_, name)| name);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

/// A sheet of some recordings: of each its level over time on the left, every band over time on the right.
fn recordings(some: &[RecordingOverTime], number_of_sheet: usize, (drawn, of): (usize, usize)) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let mut scene = Scene::new(width, height);
    let row_mm = (height - FOOT_MM) / ON_A_SHEET as f64;
    let names: Vec<&str> = some.iter().map(|one| name(&one.file)).collect();
    for (row, (one, name)) in some.iter().zip(&names).enumerate() {
        let top = row_mm * row as f64;
        scene.add(crate::recorded::level_over_time(&one.analysis, name).placed(0.0, top));
        scene.add(crate::recorded::bands_over_time(&one.analysis, name).placed(0.5 * width, top));
        let words = capital(&one.words) + ".";
        let under = Point::new(6.0, top + UNDER_LEVEL_MM);
        scene.add(Text::new(under, words, 2.8).in_ink(Ink::Grey));
    }
    let last = number_of_sheet * ON_A_SHEET >= drawn;
    let more = if last && of > drawn {
        format!(" {} more recordings are not drawn.", of - drawn)
    } else {
        String::new()
    };
    let subtitle =
        format!("A door, a car or a voice in it shows as a peak; a level that is to be used is even.{more}");
    let foot = Text::new(Point::new(6.0, height - 6.0), subtitle.clone(), 2.8).in_ink(Ink::Grey);
    scene.add(foot);
    Drawing {
        id: format!("recordings-{number_of_sheet}"),
        title: format!("Recorded: {}", names.join(", ")),
        subtitle,
        scene,
        scale: None,
        model: None,
    }
}

fn drawing(
    plan: &Plan,
    one: &ProvedDifference,
    diagnosis: Option<&ProofDiagnosis>,
    number_of_sheet: usize,
) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let mut scene = Scene::new(width, height);
    scene.add(chart(one, (drawing_area().width(), CHART_MM)).draw(Point::new(0.0, 0.0)));
    let title = format!("Proof: {}", one.receiver);
    let subtitle = "Level difference from one side to the other, third-octave bands. Hatched: four times in five the planned one \
                    lies in here; bars: the measured one, four times in five."
        .to_owned();
    let mut column = word_column(plan);
    column.title(&title, &subtitle);
    column.note(&one.sentence);
    let limited: Vec<&str> =
        one.bands.iter().filter(|band| band.at_least).map(|band| band.band.nominal()).collect();
    if !limited.is_empty() {
        column.note(&format!(
            "Arrows, at {} Hz: the background hides the rest, and the difference is at least what is drawn.",
            limited.join(", ")
        ));
    }
    for line in rating_lines(one) {
        column.note(&line);
    }
    if let Some(level) = &one.level {
        column.heading("Against the limit");
        let mut table = Table::new(vec![TableColumn::wide(""), TableColumn::right("")]);
        table.row([
            Cell::from(format!("{}, as loud as stated", level.sound).as_str()),
            Cell::from(level.figure()).semibold(),
        ]);
        table.row([Cell::from("must stay under"), Cell::from(level.limit.clone()).semibold()]);
        table.row([Cell::from("measured"), Cell::from(level.outcome_words()).semibold()]);
        column.table(table, "", 0.0);
        if let Some(words) = level.missing_words() {
            column.note(&words);
        }
    }
    if let Some(diagnosis) = diagnosis {
        column.heading("What explains it");
        column.note(&diagnosis.sentence);
        column.table(explanations(diagnosis, plan.lengths()), "", 40.0);
        for one in diagnosis.advised() {
            column.note(&one.look_words());
            column.note(&one.tell_words());
            if let Some(words) = gains_line(one) {
                column.note(&words);
            }
        }
    }
    scene.add(column.finish());
    Drawing {
        id: format!("proof-{number_of_sheet}"),
        title: capital(&title),
        subtitle,
        scene,
        scale: None,
        model: None,
    }
}

fn explanations(diagnosis: &ProofDiagnosis, lengths: Lengths) -> Table {
    let mut table = Table::new(vec![
        TableColumn::wide("explanation"),
        TableColumn::left("size"),
        TableColumn::right("likely"),
    ]);
    for one in diagnosis.explanations.iter().take(MOST_ROWS) {
        let likely = Cell::from(likely(one.probability));
        table.row([
            Cell::from(one.name.as_str()),
            Cell::from(one.size.as_ref().map_or_else(|| "–".to_owned(), |size| size_words(size, lengths))),
            if one.leads { likely.semibold() } else { likely },
        ]);
    }
    table
}

pub(super) fn chart(one: &ProvedDifference, (width_mm, height_mm): (f64, f64)) -> SpectrumChart {
    let by_band = |of: &dyn Fn(&ProvedBand) -> Option<f64>| -> Vec<Option<f64>> {
        Band::all().map(|band| one.bands.iter().find(|found| found.band == band).and_then(of)).collect()
    };
    let mut lines = Vec::new();
    let before = by_band(&|band| band.before_db);
    if before.iter().any(Option::is_some) {
        lines.push(ChartLine {
            name: "before the work".to_owned(),
            values: before,
            pen: Pen::MEDIUM.dashed(Dash::Dashed).in_ink(Ink::Grey),
        });
    }
    lines.push(ChartLine {
        name: "planned".to_owned(),
        values: by_band(&|band| Some(band.planned_db)),
        pen: Pen::MEDIUM,
    });
    let highest = one
        .bands
        .iter()
        .map(|band| band.planned_upper_db.max(band.difference_db + band.half_db()))
        .fold(30.0, f64::max);
    SpectrumChart {
        width_mm,
        height_mm,
        name_room_mm: NAMES_MM,
        quantity: format!("level difference {}, dB", one.quantity),
        bands_hz: bands_hz(),
        range: Some([0.0, ((highest + 1.0) / 10.0).ceil() * 10.0]),
        uncertainty: Some(UncertaintyBand {
            low: by_band(&|band| Some(band.planned_lower_db)),
            high: by_band(&|band| Some(band.planned_upper_db)),
        }),
        criterion: None,
        measured: vec![MeasuredPoints {
            name: "measured".to_owned(),
            values: by_band(&|band| Some(band.difference_db)),
            half_bars: by_band(&|band| Some(band.half_db())),
            at_least: Band::all()
                .enumerate()
                .filter(|(_, band)| one.bands.iter().any(|found| found.band == *band && found.at_least))
                .map(|(index, _)| index)
                .collect(),
        }],
        lines,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

    use super::*;

    /// The demo measured at the fence, 40 dB there in every band, with a background of 38 dB up to 500 Hz and 10 dB above.
    fn plan() -> Plan {
        let by_band = |level: &dyn Fn(f64) -> f64| {
            let all: Vec<String> = Band::range(50.0, 5000.0)
                .map(|band| format!("\"{}\" = {}", band.nominal(), level(band.nominal_hz())))
                .collect();
            format!("levels = {{ {} }}\n", all.join(", "))
        };
        let fence = "receiver = \"garden fence\"";
        let text = format!(
            "{}\n[[measurement]]\nwhat = \"inside\"\n{}\n[[measurement]]\nwhat = \"receiver\"\n{fence}\n{}\n[[measurement]]\nwhat = \
             \"background\"\n{fence}\n{}\n",
            include_str!("../../../../examples/percussion-room/room.toml"),
            by_band(&|_| 95.0),
            by_band(&|_| 40.0),
            by_band(&|hz| if hz < 510.0 { 38.0 } else { 10.0 })
        );
        let (project, found) = plan::read(&text, "room.toml");
        plan::plan(&project.unwrap_or_else(|| panic!("{found:?}"))).expect("the tapes give a room")
    }

    /// The bands that the background leaves open upwards, and no others, get arrows, and the sheet says what they are.
    #[test]
    fn limits_are_drawn_with_arrows() {
        let plan = plan();
        let proof = plan.proof.as_ref().expect("something was measured");
        let one = proof.differences.first().expect("at the fence");
        let chart = chart(one, (200.0, 100.0));
        let arrows = chart.measured.first().map(|points| points.at_least.clone()).unwrap_or_default();
        let limited: Vec<usize> = Band::range(50.0, 500.0).map(Band::index).collect();
        assert_eq!(arrows, limited);
        let sheet =
            drawings(&plan).into_iter().find(|one| one.id == "proof-1").expect("a sheet of the proof");
        let drawn = paper::svg::write(&sheet.scene);
        assert!(drawn.contains("Arrows, at 50"), "the words beside the chart");
    }
}
