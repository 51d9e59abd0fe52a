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
/// Height of the strip of a band, mm.
const ROW_MM: f64 = 2.3;
/// Room above the highest band and below the lowest, mm.
const MARGINS_MM: (f64, f64) = (22.0, 14.0);
/// What lies further below the highest level is bare paper, dB.
const DEEPEST_DB: f64 = 80.0;
/// Most places along a strip; of more the loudest of each handful is drawn.
const MOST_POINTS: usize = 360;
/// A meter that was just switched on needs so long, s: the line begins after it.
const SETTLED_S: f64 = 0.5;
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
        .map(|(at, level)| ((at + 1) as f64 * step_s, level))
        .filter(|(time_s, _)| *time_s >= SETTLED_S || analysis.duration_s < 8.0 * SETTLED_S)
        .filter_map(|(time_s, level)| level.map(|level| [time_s / divided_by, level]))
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

/// A strip for each band, the darker the louder: what hums, what booms, what hisses, and when.
pub fn bands_over_time(analysis: &Analysis, name: &str) -> Scene {
    let columns = &analysis.spectrogram.columns;
    let rows: Vec<(f64, Vec<Option<f64>>)> = rows(columns);
    let levels = || rows.iter().flat_map(|(_, levels)| levels.iter().flatten().copied());
    let (low, high) =
        levels().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), l| (low.min(l), high.max(l)));
    let (top_mm, bottom_mm) = MARGINS_MM;
    let mut scene = Scene::new(WIDTH_MM, top_mm + ROW_MM * rows.len().max(4) as f64 + bottom_mm);
    scene.add(title(name, "every band over time"));
    if !high.is_finite() || high <= low || columns.len() < 2 {
        let words = "Too short, or too quiet, to be drawn.";
        scene.add(Text::new(Point::new(6.0, 24.0), words, 3.2).in_ink(Ink::Grey));
        return scene;
    }
    let steps = Steps::over(low, high);
    scene.add(steps.legend(&unit(analysis, "dB")));
    let (left_mm, right_mm) = (24.0, WIDTH_MM - 8.0);
    let width_mm = (right_mm - left_mm) / columns.len() as f64;
    let gathered = columns.len().div_ceil(MOST_POINTS).max(1);
    for (row, (nominal_hz, levels)) in rows.iter().enumerate() {
        let (head_mm, foot_mm) = (top_mm + ROW_MM * row as f64, top_mm + ROW_MM * (row as f64 + 1.0));
        let mut group = Group::on_layer("bands");
        let shades: Vec<usize> = levels
            .chunks(gathered)
            .map(|chunk| chunk.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max))
            .map(|level| steps.of(level))
            .collect();
        let mut at = 0;
        for run in shades.chunk_by(|a, b| a == b) {
            let place = |chunk: usize| (left_mm + width_mm * (chunk * gathered) as f64).min(right_mm);
            let (from, to) = (place(at), place(at + run.len()));
            at += run.len();
            if let Some(ink) = run.first().and_then(|shade| SHADES.get(*shade).copied().flatten()) {
                let corners = [(from, head_mm), (to, head_mm), (to, foot_mm), (from, foot_mm)];
                group.add(Path::filled(corners.map(|(x, y)| Point::new(x, y)).to_vec(), ink));
            }
        }
        if is_octave_middle(*nominal_hz) || row + 1 == rows.len() {
            let words = match nominal_hz / 1000.0 {
                kilo if kilo >= 1.0 => format!("{}\u{a0}kHz", number(kilo, 0)),
                _ => format!("{}\u{a0}Hz", band_words(*nominal_hz)),
            };
            let at = Point::new(left_mm - 2.0, 0.5 * (head_mm + foot_mm));
            group.add(Text::new(at, words, 2.8).anchored(Anchor::End).on(Baseline::Middle));
        }
        scene.add(group);
    }
    let foot_mm = top_mm + ROW_MM * rows.len() as f64;
    let frame = [(left_mm, top_mm), (right_mm, top_mm), (right_mm, foot_mm), (left_mm, foot_mm)];
    scene.add(Path::closed(frame.map(|(x, y)| Point::new(x, y)).to_vec(), Pen::THIN));
    let (divided_by, over) = time_unit(analysis.duration_s);
    let end = columns.len() as f64 * analysis.spectrogram.step_s / divided_by;
    let round = LinearAxis::round(0.0, end, 8.0, (left_mm, right_mm));
    if let Some(axis) = LinearAxis::exact(0.0, end, round.step, (left_mm, right_mm)) {
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

/// From quiet to loud: bare paper, then four inks.
const SHADES: [Option<Ink>; 5] = [None, Some(Ink::Wash), Some(Ink::Light), Some(Ink::Grey), Some(Ink::Ink)];

/// Steps of level that have a shade each; what is quieter than the first bound has the first, and so on.
struct Steps {
    first_db: f64,
    step_db: f64,
}

impl Steps {
    /// Round steps of which the darkest reaches the highest level, and that go down as far as the shades last.
    fn over(low: f64, high: f64) -> Self {
        let between = (SHADES.len() - 1) as f64;
        let wanted = (high - low.max(high - DEEPEST_DB)) / (between + 1.0);
        let step_db = [2.0, 5.0, 10.0, 15.0].into_iter().find(|step| *step >= wanted).unwrap_or(20.0);
        let top = (high / step_db).ceil() * step_db;
        Self { first_db: top - between * step_db, step_db }
    }

    fn of(&self, level: f64) -> usize {
        let over = ((level - self.first_db) / self.step_db).floor() + 1.0;
        over.clamp(0.0, (SHADES.len() - 1) as f64) as usize
    }

    fn legend(&self, unit: &str) -> Group {
        let mut group = Group::on_layer("legend");
        let mut x = 24.0;
        for (at, shade) in SHADES.iter().enumerate() {
            let bound = |at: usize| number(self.first_db + self.step_db * at as f64, 0);
            let words =
                if at == 0 { format!("under {}", bound(0)) } else { format!("from {}", bound(at - 1)) };
            let corners = [(x, 14.6), (x + 5.0, 14.6), (x + 5.0, 17.4), (x, 17.4)];
            let corners = corners.map(|(x, y)| Point::new(x, y)).to_vec();
            if let Some(ink) = shade {
                group.add(Path::filled(corners.clone(), *ink));
            }
            group.add(Path::closed(corners, Pen::THIN));
            group.add(Text::new(Point::new(x + 6.5, 17.0), words, 2.8));
            x += 27.0;
        }
        group.add(Text::new(Point::new(x, 17.0), unit, 2.8).in_ink(Ink::Grey));
        group
    }
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
