//! Drawings of a recording: its level over time, and every band over time.

use bands::Band;
use paper::{
    Anchor, Baseline, Dash, Group, Ink, Path, Pen, Point, Scene, Text,
    axis::{LinearAxis, band_words, is_octave_middle},
    chart::{PlainChart, PlainLimit, PlainLine},
    svg,
};
use proof::{Analysis, BandLevels, Reference};
use quantities::format::number;

use crate::SheetFile;

/// Width of a drawing, mm.
const WIDTH_MM: f64 = 190.0;
/// Height of the drawing of the level, mm.
const HEIGHT_MM: f64 = 90.0;
/// Distance of the base lines of two bands, mm.
const ROW_MM: f64 = 5.5;
/// Rows that the whole range of levels takes.
const RANGE_ROWS: f64 = 4.0;
/// Room above the highest band and below the lowest, mm.
const MARGINS_MM: (f64, f64) = (34.0, 16.0);
/// What lies further below the highest level is drawn on the base line, dB.
const DEEPEST_DB: f64 = 80.0;
/// Most points along a line; of more the loudest of each handful is drawn.
const MOST_POINTS: usize = 360;
/// From this length on time is written in minutes, s.
const IN_MINUTES_S: f64 = 180.0;

/// Both drawings as SVG, named after the recording.
pub fn files(analysis: &Analysis, name: &str) -> Vec<SheetFile> {
    vec![
        SheetFile::text(format!("{name}-level.svg"), svg::write_file(&level_over_time(analysis, name))),
        SheetFile::text(format!("{name}-bands.svg"), svg::write_file(&bands_over_time(analysis, name))),
    ]
}

/// The A-weighted level over time with what is exceeded in 10 % and in 90 % of it.
pub fn level_over_time(analysis: &Analysis, name: &str) -> Scene {
    let mut scene = Scene::new(WIDTH_MM, HEIGHT_MM);
    scene.add(title(name, "level over time"));
    let (divided_by, over) = time_unit(analysis.duration_s);
    let step_s = analysis.history.step_s;
    let points: Vec<[f64; 2]> = analysis
        .history
        .laf_db
        .iter()
        .enumerate()
        .filter_map(|(at, level)| level.map(|level| [(at + 1) as f64 * step_s / divided_by, level]))
        .collect();
    if points.len() < 2 {
        let words = "Too short, or too quiet, for a line.";
        scene.add(Text::new(Point::new(6.0, 24.0), words, 3.2).in_ink(Ink::Grey));
        return scene;
    }
    let limit = |name: &str, value: Option<f64>| {
        let pen = Pen::THIN.dashed(Dash::Dashed);
        value.map(|value| PlainLimit { name: format!("{name} {}", number(value, 1)), value, pen })
    };
    let chart = PlainChart {
        width_mm: WIDTH_MM - 8.0,
        height_mm: HEIGHT_MM - 18.0,
        name_room_mm: 24.0,
        quantity: format!("LAF, {}", unit(analysis, "dB(A)")),
        over: over.to_owned(),
        lines: vec![PlainLine { name: "LAF".to_owned(), points, pen: Pen::MEDIUM, marked: false }],
        limits: [("LA10", analysis.total.la10_db), ("LA90", analysis.total.la90_db)]
            .into_iter()
            .filter_map(|(name, value)| limit(name, value))
            .collect(),
        ..PlainChart::default()
    };
    scene.add(chart.draw(Point::new(4.0, 14.0)));
    scene
}

/// One line for each band, low bands in front: what hums, what booms, what hisses, and when.
pub fn bands_over_time(analysis: &Analysis, name: &str) -> Scene {
    let columns = &analysis.spectrogram.columns;
    let rows: Vec<(f64, Vec<Option<f64>>)> = rows(columns);
    let levels = || rows.iter().flat_map(|(_, levels)| levels.iter().flatten().copied());
    let (low, high) =
        levels().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), l| (low.min(l), high.max(l)));
    let low = low.max(high - DEEPEST_DB);
    let (top_mm, bottom_mm) = MARGINS_MM;
    let mut scene = Scene::new(WIDTH_MM, top_mm + ROW_MM * rows.len().max(4) as f64 + bottom_mm);
    scene.add(title(name, "every band over time"));
    if !high.is_finite() || high <= low || columns.len() < 2 {
        let words = "Too short, or too quiet, for lines.";
        scene.add(Text::new(Point::new(6.0, 24.0), words, 3.2).in_ink(Ink::Grey));
        return scene;
    }
    // A round number of decibels from one base line to the next.
    let row_db =
        [2.0, 5.0, 10.0, 20.0, 40.0].into_iter().find(|&db| db * RANGE_ROWS >= high - low).unwrap_or(80.0);
    let (left_mm, right_mm) = (24.0, WIDTH_MM - 8.0);
    let words = format!(
        "From one base line to the next: {} dB. Base lines at {} {}.",
        number(row_db, 0),
        number(low, 0),
        unit(analysis, "dB")
    );
    scene.add(Text::new(Point::new(6.0, 16.0), words, 2.8).in_ink(Ink::Grey));
    let width_mm = (right_mm - left_mm) / columns.len() as f64;
    let gathered = columns.len().div_ceil(MOST_POINTS).max(1);
    for (row, (nominal_hz, levels)) in rows.iter().enumerate() {
        let base_mm = top_mm + ROW_MM * (row as f64 + 1.0);
        let mut group = Group::on_layer("bands");
        let points: Vec<Point> = levels
            .chunks(gathered)
            .enumerate()
            .map(|(at, chunk)| {
                let level = chunk.iter().flatten().copied().fold(low, f64::max);
                let x = left_mm + width_mm * ((at * gathered) as f64 + 0.5 * chunk.len() as f64);
                Point::new(x, base_mm - (level - low) / row_db * ROW_MM)
            })
            .collect();
        let mut filled = points.clone();
        let ends = (points.first().map_or(left_mm, |p| p.x), points.last().map_or(right_mm, |p| p.x));
        filled.extend([Point::new(ends.1, base_mm), Point::new(ends.0, base_mm)]);
        group.add(Path::filled(filled, Ink::Paper));
        let octave = is_octave_middle(*nominal_hz);
        group.add(Path::open(points, if octave { Pen::MEDIUM } else { Pen::THIN }));
        if octave || row + 1 == rows.len() {
            let words = match nominal_hz / 1000.0 {
                kilo if kilo >= 1.0 => format!("{}\u{a0}kHz", number(kilo, 0)),
                _ => format!("{}\u{a0}Hz", band_words(*nominal_hz)),
            };
            let at = Point::new(left_mm - 2.0, base_mm);
            group.add(Text::new(at, words, 2.8).anchored(Anchor::End).on(Baseline::Foot));
        }
        scene.add(group);
    }
    let (divided_by, over) = time_unit(analysis.duration_s);
    let end = columns.len() as f64 * analysis.spectrogram.step_s / divided_by;
    let foot_mm = top_mm + ROW_MM * rows.len() as f64 + 2.0;
    let round = LinearAxis::round(0.0, end, 8.0, (left_mm, right_mm));
    if let Some(axis) = LinearAxis::exact(0.0, end, round.step, (left_mm, right_mm)) {
        scene.add(Path::line(Point::new(left_mm, foot_mm), Point::new(right_mm, foot_mm), Pen::THIN));
        for value in axis.figures() {
            let x = axis.place_mm(value);
            scene.add(Path::line(Point::new(x, foot_mm), Point::new(x, foot_mm + 1.2), Pen::THIN));
            scene.add(Text::new(Point::new(x, foot_mm + 4.6), axis.words(value), 2.8).centred());
        }
    }
    let middle = Point::new(0.5 * (left_mm + right_mm), foot_mm + 9.5);
    scene.add(Text::new(middle, over, 2.8).centred().in_ink(Ink::Grey));
    scene
}

/// Nominal frequency and level over time of each band that was measured, highest band first.
fn rows(columns: &[BandLevels]) -> Vec<(f64, Vec<Option<f64>>)> {
    let measured = |level: &dyn Fn(&BandLevels) -> Option<f64>| -> Option<Vec<Option<f64>>> {
        let levels: Vec<Option<f64>> = columns.iter().map(level).collect();
        levels.iter().any(Option::is_some).then_some(levels)
    };
    Band::all()
        .rev()
        .filter_map(|band| measured(&|column| column.get(band)).map(|levels| (band.nominal_hz(), levels)))
        .chain(measured(&|column| column.at_20_hz()).map(|levels| (20.0, levels)))
        .collect()
}

fn title(name: &str, what: &str) -> Text {
    Text::new(Point::new(6.0, 9.0), format!("{name}: {what}"), 4.2).semibold()
}

fn time_unit(duration_s: f64) -> (f64, &'static str) {
    if duration_s > IN_MINUTES_S { (60.0, "minutes") } else { (1.0, "seconds") }
}

fn unit(analysis: &Analysis, unit: &str) -> String {
    match analysis.reference {
        Reference::SoundPressure => unit.to_owned(),
        Reference::FullScale => format!("{unit} re full scale"),
    }
}
