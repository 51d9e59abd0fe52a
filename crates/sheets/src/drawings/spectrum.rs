//! What is heard at a receiver: its spectrum against the criterion, and below it who lets the sound through.

use bands::{Band, Spectrum, iso_389_7};
use paper::{
    Dash, Group, Ink, Path, Pen, Point, Scene, Text,
    axis::BandAxis,
    chart::{Breach, ChartLine, Criterion, SpectrumChart, UncertaintyBand},
    share_bars::{Part, ShareBars},
    table::{Cell, Column as TableColumn, Table},
};
use plan::{
    Plan,
    outcome::{
        HeardOutcome,
        heard_words::{self, part_name, to_spare},
    },
};
use quantities::format::{number, with_unit};
use sound::share::{Heard, Share};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    column::Column,
    element_spectra,
    section::{drawing_area, word_column},
};

/// Room for the names at the right of the charts, mm.
pub(super) const NAMES_MM: f64 = 42.0;
/// Height of the spectrum, mm.
const CHART_MM: f64 = 122.0;
/// Most parts told apart in the bars; the others are put together.
const MOST_PARTS: usize = 8;

/// A sheet for every receiver's governing sound, then the elements alone.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all: Vec<Drawing> = plan
        .heard
        .iter()
        .filter(|heard| heard.governs)
        .enumerate()
        .map(|(index, outcome)| heard(plan, outcome, index + 1))
        .collect();
    all.extend(element_spectra::drawings(plan));
    all
}

/// Every band's nominal frequency, Hz.
pub(super) fn bands_hz() -> Vec<f64> {
    Band::all().map(Band::nominal_hz).collect()
}

/// A spectrum as values for a chart.
pub(super) fn values(spectrum: &Spectrum) -> Vec<Option<f64>> {
    spectrum.iter().map(|(_, value)| Some(value)).collect()
}

fn heard(plan: &Plan, outcome: &HeardOutcome, number_of_sheet: usize) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let chart = chart(outcome, area.width());
    let mut scene = Scene::new(width, height);
    let bars_top = CHART_MM + 3.0;
    let (parts, left_out) = parts(plan, &outcome.heard);
    let bars = ShareBars {
        width_mm: area.width(),
        height_mm: height - bars_top,
        name_room_mm: NAMES_MM,
        quantity: "who lets it through, % of the energy in each band".to_owned(),
        bands_hz: bands_hz(),
        parts,
        deciding: outcome.heard.verdict.as_ref().and_then(|verdict| verdict.deciding_band).map(Band::index),
    };
    if let Some(group) = deciding_mark(outcome, &chart) {
        scene.add(group);
    }
    scene.add(chart.draw(Point::new(0.0, 0.0)));
    scene.add(bars.draw(Point::new(0.0, bars_top)));
    let title = format!("Heard: {}", outcome.receiver);
    let place = match (outcome.distance_m, &outcome.behind) {
        (Some(distance), _) => format!("{} from the wall", with_unit(distance, 1, "m")),
        (None, Some(shared)) => format!("behind the {shared}"),
        (None, None) => "inside the room".to_owned(),
    };
    let subtitle = format!(
        "{}, {place}. Third-octave bands; hatched: four times in five it lies in here.",
        capital(&outcome.source)
    );
    let mut column = word_column(plan);
    column.title(&title, &subtitle);
    numbers(outcome, &mut column);
    column.heading("Who lets it through");
    column.table(share_table(outcome), "Smaller parts stand in the calculations.", 46.0);
    if left_out > 0 {
        column.note(&format!("In the bars {left_out} smaller parts are put together."));
    }
    for note in &outcome.heard.notes {
        column.note(&format!("{}.", capital(note.trim_end_matches('.'))));
    }
    column.note(heard_words::NOT_THE_SUM);
    column.note("Below 50 Hz and above 5 kHz no laboratory data stand behind the prediction.");
    scene.add(column.finish());
    Drawing { id: format!("heard-{number_of_sheet}"), title, subtitle, scene, scale: None, model: None }
}

pub(super) fn chart(outcome: &HeardOutcome, width_mm: f64) -> SpectrumChart {
    let level = &outcome.heard.level;
    let median = level.median_db();
    let threshold = iso_389_7::free_field();
    let mut lines = vec![ChartLine {
        name: "threshold of hearing".to_owned(),
        values: values(&threshold),
        pen: Pen::new(0.25).dashed(Dash::Short).in_ink(Ink::Grey),
    }];
    if let Some(background) = &outcome.background_db {
        lines.push(ChartLine {
            name: "background".to_owned(),
            values: values(background),
            pen: Pen::MEDIUM.dashed(Dash::DoubleChain).in_ink(Ink::Grey),
        });
    }
    if outcome.criterion_db.is_none() {
        lines.push(ChartLine {
            name: "as dB(A) counts it".to_owned(),
            values: values(&median.a_weighted()),
            pen: Pen::MEDIUM.dashed(Dash::Dashed),
        });
    }
    lines.push(ChartLine { name: "predicted".to_owned(), values: values(median), pen: Pen::BOLD });
    let highest = level
        .upper_db()
        .iter()
        .chain(outcome.criterion_db.iter().flat_map(Spectrum::iter))
        .chain(outcome.background_db.iter().flat_map(Spectrum::iter))
        .map(|(_, value)| value)
        .fold(30.0, f64::max);
    SpectrumChart {
        width_mm,
        height_mm: CHART_MM,
        name_room_mm: NAMES_MM,
        quantity: format!("level {}, dB", place_words(outcome)),
        bands_hz: bands_hz(),
        // What lies below 0 dB nobody hears.
        range: Some([0.0, ((highest + 1.0) / 10.0).ceil() * 10.0]),
        uncertainty: Some(UncertaintyBand { low: values(level.lower_db()), high: values(level.upper_db()) }),
        criterion: outcome.criterion_db.as_ref().map(|criterion| Criterion {
            name: criterion_name(&outcome.heard),
            values: values(criterion),
            held_against: values(median),
            breach: Breach::Above,
        }),
        measured: Vec::new(),
        lines,
    }
}

fn place_words(outcome: &HeardOutcome) -> String {
    if outcome.distance_m.is_some() || outcome.behind.is_some() {
        format!("at the {}", outcome.receiver)
    } else {
        outcome.receiver.clone()
    }
}

fn criterion_name(heard: &Heard) -> String {
    heard.verdict.as_ref().map_or_else(|| "criterion".to_owned(), |verdict| verdict.criterion.label())
}

/// A pale band in the chart where the band or octave lies that decides.
pub(super) fn deciding_mark(outcome: &HeardOutcome, chart: &SpectrumChart) -> Option<Group> {
    let verdict = outcome.heard.verdict.as_ref()?;
    let band = verdict.deciding_band?;
    let octave = matches!(verdict.criterion, sound::criterion::Criterion::NoiseRating { .. });
    let plot = chart.plot(Point::new(0.0, 0.0));
    let axis = BandAxis { left_mm: plot.left, right_mm: plot.right, count: chart.bands_hz.len() };
    let (first, last, words) = if octave {
        let words = format!("the octave of {} Hz decides", band.nominal());
        (band.index().saturating_sub(1), (band.index() + 2).min(axis.count), words)
    } else {
        (band.index(), band.index() + 1, format!("{} Hz decides", band.nominal()))
    };
    let (left, right) = (axis.edge_mm(first), axis.edge_mm(last));
    let mut group = Group::on_layer("deciding band");
    let corners = paper::Extent::new(left, plot.top, right, plot.bottom).corners();
    group.add(Path::filled(corners, Ink::Wash));
    let half = paper::font::width_mm(&words, 2.7, paper::Weight::Semibold) / 2.0;
    // Clear of the words over the axis at the left.
    let middle = f64::midpoint(left, right).clamp(plot.left + half, plot.right - half);
    group.add(Text::new(Point::new(middle, plot.top - 1.0), words, 2.7).semibold().centred());
    Some(group)
}

/// How much a part matters for what is heard.
fn weight(share: &Share) -> f64 {
    share.share_dba + 0.5 * share.share.values().copied().fold(0.0, f64::max)
}

/// The places of the parts that matter most, those first.
fn told_apart(heard: &Heard) -> Vec<usize> {
    let mut order: Vec<usize> = (0..heard.shares.len()).collect();
    let of = |index: usize| heard.shares.get(index).map_or(0.0, weight);
    order.sort_by(|&a, &b| of(b).total_cmp(&of(a)).then(a.cmp(&b)));
    order.truncate(MOST_PARTS);
    order
}

/// The hatch of each part, the same at every receiver as far as hatches go round.
fn hatches(plan: &Plan) -> Vec<(&str, usize)> {
    let sheets: Vec<Vec<(&str, f64)>> = plan
        .heard
        .iter()
        .map(|heard| {
            let shares =
                told_apart(&heard.heard).into_iter().filter_map(|index| heard.heard.shares.get(index));
            shares.map(|share| (share.name.as_str(), weight(share))).collect()
        })
        .collect();
    let mut parts: Vec<(&str, f64)> = sheets.iter().flatten().copied().collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
    let mut given: Vec<(&str, usize)> = Vec::new();
    for (name, _) in parts {
        if given.iter().any(|(other, _)| *other == name) {
            continue;
        }
        let beside = |other: &str| {
            sheets.iter().any(|sheet| [name, other].iter().all(|one| sheet.iter().any(|(own, _)| own == one)))
        };
        let taken: Vec<usize> =
            given.iter().filter(|(other, _)| beside(other)).map(|(_, hatch)| *hatch).collect();
        let free = (0..MOST_PARTS).find(|hatch| !taken.contains(hatch));
        given.push((name, free.unwrap_or(given.len() % MOST_PARTS)));
    }
    given
}

/// The parts of the bars, those that matter most; the others put together, and how many these are.
pub(super) fn parts(plan: &Plan, heard: &Heard) -> (Vec<Part>, usize) {
    let kept = told_apart(heard);
    let hatches = hatches(plan);
    let mut taken: Vec<usize> = Vec::new();
    // Where they do not go round, no two of one sheet are alike all the same.
    let mut hatch_of = |name: &str| {
        let own = hatches.iter().find(|(own, _)| *own == name).map(|(_, hatch)| *hatch);
        let free = own.into_iter().chain(0..MOST_PARTS).find(|hatch| !taken.contains(hatch));
        taken.extend(free);
        free.unwrap_or(0)
    };
    let by_band = |share: &Share| -> Vec<f64> {
        Band::all().map(|band| share.share.get(&band).copied().unwrap_or(0.0)).collect()
    };
    let mut parts = Vec::new();
    let mut rest = vec![0.0; bands::BAND_COUNT];
    let mut left_out = 0;
    for (index, share) in heard.shares.iter().enumerate() {
        if kept.contains(&index) {
            parts.push(Part {
                name: part_name(&share.name).to_owned(),
                shares: by_band(share),
                hatch: hatch_of(&share.name),
            });
        } else {
            left_out += 1;
            for (sum, value) in rest.iter_mut().zip(by_band(share)) {
                *sum += value;
            }
        }
    }
    if left_out > 0 {
        parts.push(Part { name: "all else".to_owned(), shares: rest, hatch: MOST_PARTS });
    }
    (parts, left_out)
}

fn numbers(outcome: &HeardOutcome, column: &mut Column<'_>) {
    let level = &outcome.heard.level_dba;
    let mut table = Table::new(vec![TableColumn::wide(""), TableColumn::right("")]);
    let mut row = |what: &str, figure: String| {
        table.row([Cell::from(what), Cell::from(figure).semibold()]);
    };
    row("level, median", with_unit(level.median_db, 0, "dB(A)"));
    row(
        "four times in five between",
        format!("{} and {}", number(level.lower_db, 0), with_unit(level.upper_db, 0, "dB(A)")),
    );
    if let Some(verdict) = &outcome.heard.verdict {
        row("must stay under", verdict.criterion.label());
        row("the median has", to_spare(verdict.margin.median_db));
        row(
            "four times in five between",
            format!("{} and {}", to_spare(verdict.margin.lower_db), to_spare(verdict.margin.upper_db)),
        );
        row("it holds with a likelihood of", format!("{}\u{00A0}%", number(verdict.confidence * 100.0, 0)));
    }
    column.table(table, "", 0.0);
}

fn share_table(outcome: &HeardOutcome) -> Table {
    let deciding = outcome.heard.verdict.as_ref().and_then(|verdict| verdict.deciding_band);
    let mut columns =
        vec![TableColumn::wide("part"), TableColumn::right("dB(A) alone"), TableColumn::right("share")];
    if let Some(band) = deciding {
        columns.push(TableColumn::right(format!("at {} Hz", band.nominal())));
    }
    columns.push(TableColumn::right("perfect gains"));
    let mut table = Table::new(columns);
    let percent = |share: f64| format!("{}\u{00A0}%", number(share * 100.0, 0));
    let matters = |share: &&Share| share.share_dba >= 0.005;
    for share in outcome.heard.shares.iter().filter(matters).take(12) {
        let mut cells: Vec<Cell> = vec![
            part_name(&share.name).into(),
            number(share.level_dba.median_db, 0).into(),
            percent(share.share_dba).into(),
        ];
        if let Some(band) = deciding {
            cells.push(percent(share.share.get(&band).copied().unwrap_or(0.0)).into());
        }
        let gain = share.gain_if_perfect_dba(&outcome.heard);
        cells.push(gain.map_or_else(|| "–".to_owned(), |gain| with_unit(gain, 1, "dB(A)")).into());
        table.row(cells);
    }
    table
}

/// The same words with a capital at the beginning.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");

    /// A part looks the same at every receiver, and no two of one sheet look alike.
    #[test]
    fn a_part_has_one_hatch_on_every_sheet() {
        let plan = plan::read(DEMO, "room.toml").0.and_then(|project| plan::plan(&project).ok());
        let plan = plan.unwrap_or_else(|| unreachable!("the demo's tapes give a room"));
        let mut known: Vec<(String, usize)> = Vec::new();
        let mut again = 0;
        for outcome in plan.heard.iter().filter(|outcome| outcome.governs) {
            let (parts, _) = parts(&plan, &outcome.heard);
            let mut own: Vec<usize> = parts.iter().map(|part| part.hatch).collect();
            own.sort_unstable();
            own.dedup();
            assert_eq!(own.len(), parts.len(), "{}", outcome.receiver);
            for part in parts {
                match known.iter().find(|(name, _)| *name == part.name) {
                    Some((_, hatch)) => {
                        assert_eq!(*hatch, part.hatch, "{} at {}", part.name, outcome.receiver);
                        again += 1;
                    }
                    None => known.push((part.name, part.hatch)),
                }
            }
        }
        assert!(again > 8, "{again}");
    }
}
