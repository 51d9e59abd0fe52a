//! What each element insulates, alone: one small chart an element, all on the same axes, with its resonances and critical
//! frequencies, and what the other paths would let through.

use bands::Band;
use paper::{
    Anchor, Dash, Group, Ink, Path, Pen, Point, Scene, Text, Weight,
    axis::BandAxis,
    chart::{ChartLine, SpectrumChart, UncertaintyBand},
    font,
    wrap::wrap,
};
use plan::{Plan, outcome::ElementOutcome, project::Paper};
use quantities::{
    format::{number, with_unit},
    math,
};

use super::{
    Drawing, is_small, room_on,
    spectrum::{bands_hz, capital, values},
};

/// Charts beside and below each other; on small paper, so many.
const CHARTS: [usize; 2] = [4, 3];
const CHARTS_ON_SMALL: [usize; 2] = [2, 5];
/// Room for the heading of the sheet, mm.
const HEAD_MM: f64 = 16.0;
/// Room for the two lines over each chart, mm.
const NAME_MM: f64 = 9.0;
const SIZE_MM: f64 = 2.6;

/// One chart of the sheet.
enum Small<'a> {
    Element(&'a ElementOutcome),
    AirPath(&'a fabric::duct::AirPathResult),
}

/// As many sheets as the elements and air paths need.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all: Vec<Small<'_>> = plan.elements.iter().map(Small::Element).collect();
    all.extend(plan.fabric.air_paths.iter().map(Small::AirPath));
    let highest = plan
        .elements
        .iter()
        .flat_map(|element| element.prediction.upper_db.iter().map(|(_, value)| value))
        .fold(60.0, f64::max);
    let top = ((highest / 10.0).ceil() * 10.0).clamp(60.0, 100.0);
    let paper = plan.title.paper;
    let [columns, rows] = if is_small(paper) { CHARTS_ON_SMALL } else { CHARTS };
    let sheets: Vec<&[Small<'_>]> = all.chunks(columns * rows).collect();
    let count = sheets.len();
    sheets
        .into_iter()
        .enumerate()
        .map(|(index, some)| {
            sheet(some, top, &if count > 1 { format!("-{}", index + 1) } else { String::new() }, paper)
        })
        .collect()
}

fn sheet(some: &[Small<'_>], top_db: f64, suffix: &str, paper: Paper) -> Drawing {
    let [width, height] = room_on(paper);
    let small = is_small(paper);
    let [columns, most_rows] = if small { CHARTS_ON_SMALL } else { CHARTS };
    // The legend stands beside the title, or below the words where the paper is small.
    let (legend_mm, head_mm) = if small { (16.0, HEAD_MM + 8.0) } else { (4.0, HEAD_MM) };
    let mut scene = Scene::new(width, height);
    let title = "What each element insulates".to_owned();
    let subtitle = "Sound reduction index R in dB over third-octave bands, each element alone and without its gaps and seals. \
                    Hatched: four times in five it lies in here."
        .to_owned();
    let mut head = Group::on_layer("notes");
    head.add(Text::new(Point::new(0.0, 4.0), title.clone(), 4.6).semibold());
    for (row, line) in wrap(&subtitle, 2.7, Weight::Regular, width).into_iter().enumerate() {
        let at = Point::new(0.0, 9.0 + row as f64 * 2.7 * font::LINE_SPACING);
        head.add(Text::new(at, line, 2.7).in_ink(Ink::Grey));
    }
    scene.add(head);
    let mut key = legend(width, some);
    key.shift(0.0, legend_mm - 4.0);
    scene.add(key);
    let rows = some.len().div_ceil(columns).clamp(1, most_rows) as f64;
    let highest = if small { 60.0 } else { 90.0 };
    let cell = (width / columns as f64, ((height - head_mm) / rows).min(highest));
    for (index, small) in some.iter().enumerate() {
        let left = cell.0 * (index % columns) as f64;
        let top = head_mm + cell.1 * (index / columns) as f64;
        scene.add(small_chart(small, Point::new(left, top), (cell.0 - 4.0, cell.1 - 5.0), top_db));
    }
    Drawing { id: format!("elements{suffix}"), title, subtitle, scene, scale: None, model: None }
}

fn legend(width: f64, some: &[Small<'_>]) -> Group {
    let mut group = Group::on_layer("notes");
    let mut right = width;
    let any = |has: fn(&sound::predict::Paths) -> bool| {
        some.iter().any(|small| matches!(small, Small::Element(element) if has(&element.prediction.paths_db)))
    };
    let (bridges, leaks) = (any(|paths| paths.bridge_db.is_some()), any(|paths| paths.leak_db.is_some()));
    let shown = [
        (leaks, "its leaks alone", LEAK),
        (bridges, "its bridges alone", BRIDGE),
        (bridges || leaks, "its leaves and cavities alone", AIR),
        (true, "R", Pen::BOLD),
    ];
    for (_, words, pen) in shown.into_iter().filter(|(shown, ..)| *shown) {
        let text = Text::new(Point::new(right, 4.0), words, SIZE_MM).anchored(Anchor::End);
        let left = right - text.width_mm() - 2.0;
        group.add(text);
        group.add(Path::line(Point::new(left - 9.0, 3.1), Point::new(left, 3.1), pen));
        right = left - 15.0;
    }
    group
}

const AIR: Pen = Pen::THIN;
const BRIDGE: Pen = Pen::THIN.dashed(Dash::Chain);
const LEAK: Pen = Pen::THIN.dashed(Dash::Dotted);

fn small_chart(small: &Small<'_>, corner: Point, (width, height): (f64, f64), top_db: f64) -> Group {
    let mut group = Group::on_layer("chart");
    let (name, words) = match small {
        Small::Element(element) => (capital(&element.name), element_words(element)),
        Small::AirPath(path) => (
            capital(&path.name),
            format!("insertion loss; {} in its narrowest section", with_unit(path.velocity_m_s, 1, "m/s")),
        ),
    };
    group.add(Text::new(corner.moved(1.0, 3.0), name, 3.1).semibold());
    for (row, line) in wrap(&words, SIZE_MM, Weight::Regular, width - 2.0).into_iter().take(1).enumerate() {
        let at = corner.moved(1.0, 6.9 + row as f64 * SIZE_MM * font::LINE_SPACING);
        group.add(Text::new(at, line, SIZE_MM).in_ink(Ink::Grey));
    }
    let (lines, uncertainty) = match small {
        Small::Element(element) => element_lines(element),
        Small::AirPath(path) => (
            vec![ChartLine { name: String::new(), values: values(&path.insertion_loss_db), pen: Pen::BOLD }],
            None,
        ),
    };
    let chart = SpectrumChart {
        width_mm: width,
        height_mm: height - NAME_MM,
        name_room_mm: 5.0,
        quantity: String::new(),
        bands_hz: bands_hz(),
        range: Some([0.0, top_db]),
        lines,
        uncertainty,
        ..SpectrumChart::default()
    };
    // The words over the axis are left out: the room they would take is given to the marks.
    let place = corner.moved(0.0, NAME_MM);
    group.add(chart.draw(place));
    if let Small::Element(element) = small {
        group.add(frequency_marks(element, &chart, place));
    }
    group
}

fn element_words(element: &ElementOutcome) -> String {
    let rating = element
        .ratings
        .as_ref()
        .map_or_else(|| "no rating".to_owned(), |ratings| format!("Rw (C; Ctr) {}", ratings.rw_c_ctr()));
    format!(
        "{rating}, {}, {}",
        with_unit(element.area_m2, 1, "m²"),
        with_unit(element.prediction.mass_kg_m2, 0, "kg/m²")
    )
}

fn element_lines(element: &ElementOutcome) -> (Vec<ChartLine>, Option<UncertaintyBand>) {
    let prediction = &element.prediction;
    let mut lines = Vec::new();
    let mut put = |spectrum: &bands::Spectrum, pen: Pen| {
        lines.push(ChartLine { name: String::new(), values: values(spectrum), pen });
    };
    // A path that is the only one is the result itself.
    if prediction.paths_db.bridge_db.is_some() || prediction.paths_db.leak_db.is_some() {
        put(&prediction.paths_db.air_db, AIR);
    }
    if let Some(bridge) = &prediction.paths_db.bridge_db {
        put(bridge, BRIDGE);
    }
    if let Some(leak) = &prediction.paths_db.leak_db {
        put(leak, LEAK);
    }
    put(&prediction.r_db, Pen::BOLD);
    let uncertainty =
        UncertaintyBand { low: values(&prediction.lower_db), high: values(&prediction.upper_db) };
    (lines, Some(uncertainty))
}

/// Where a frequency lies on an axis of bands, mm; `None` outside it.
fn place_of(frequency_hz: f64, axis: &BandAxis) -> Option<f64> {
    let first = Band::at(0)?.centre_hz();
    let index = 10.0 * math::log10(frequency_hz / first);
    let x = axis.left_mm + (index + 0.5) * axis.band_mm();
    (x.is_finite() && x >= axis.left_mm && x <= axis.right_mm).then_some(x)
}

/// f0 and fc as ticks from the top of the plot, with their figures over it.
fn frequency_marks(element: &ElementOutcome, chart: &SpectrumChart, corner: Point) -> Group {
    let mut group = Group::on_layer("chart");
    let plot = chart.plot(corner);
    let axis = BandAxis { left_mm: plot.left, right_mm: plot.right, count: chart.bands_hz.len() };
    let mut marks: Vec<(f64, String)> = Vec::new();
    for resonance in &element.prediction.resonances {
        if let Some(x) = place_of(resonance.frequency_hz, &axis) {
            marks.push((x, format!("f0 {}", number(resonance.frequency_hz, 0))));
        }
    }
    for critical in &element.prediction.critical_frequencies {
        if let Some(x) = place_of(critical.fc_hz, &axis) {
            marks.push((x, format!("fc {}", number(critical.fc_hz, 0))));
        }
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let widths: Vec<f64> =
        marks.iter().map(|(_, words)| font::width_mm(words, SIZE_MM, paper::Weight::Regular) + 1.4).collect();
    let wishes: Vec<paper::spread::Wish> =
        marks.iter().zip(&widths).map(|((x, _), &room)| paper::spread::Wish { at: *x, room }).collect();
    let places = paper::spread::spread(&wishes, plot.left - 4.0, plot.right + 3.0);
    for ((x, words), place) in marks.iter().zip(places) {
        let pen = Pen::THIN.in_ink(Ink::Grey);
        group.add(Path::open(
            [Point::new(place, plot.top - 1.6), Point::new(*x, plot.top), Point::new(*x, plot.bottom)],
            pen.dashed(Dash::Short),
        ));
        group.add(Text::new(Point::new(place, plot.top - 2.4), words.as_str(), SIZE_MM).centred());
    }
    group
}
