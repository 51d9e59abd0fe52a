//! The head of a page of cut sheets: its title, what holds for all of them, the legend.

use paper::{
    Baseline, Extent, Group, Ink, Item, Path, Pen, Point, Text, Weight, font, hatch, mark, point::Direction,
    wrap::wrap,
};
use setout::Layer;

use super::edge_marks::{UNCUT_MM, dot};
use super::{CUT, Cutting, LATER, TAPED, WASTE, all_but_whole, arrow};
use crate::drawings::{
    is_small, room_on,
    room_plan::{FIGURE_MM, capital},
};

/// The title of a page and what is said under it.
pub(super) fn heading(cutting: &Cutting<'_>, count: usize, (at, pages): (usize, usize)) -> (String, String) {
    let layer = cutting.layer;
    let page = if pages > 1 { format!(", page {} of {pages}", at + 1) } else { String::new() };
    let title = format!("Cutting the sheets of layer {}{}{page}", layer.number, cutting.face.of);
    let whole = layer
        .sheets
        .iter()
        .filter(|sheet| sheet.pieces.iter().filter_map(|&at| layer.pieces.get(at)).any(|piece| piece.whole))
        .count();
    let nearly: Vec<&str> = layer
        .pieces
        .iter()
        .filter(|piece| all_but_whole(piece, cutting.board))
        .map(|piece| piece.name.as_str())
        .collect();
    let up_whole = match whole + nearly.len() {
        0 => "none goes up whole".to_owned(),
        1 => "1 goes up whole".to_owned(),
        more => format!("{more} go up whole"),
    };
    let nearly = if nearly.is_empty() {
        String::new()
    } else {
        format!(" ({}: less than {UNCUT_MM:.0} mm too large, not cut)", nearly.join(", "))
    };
    let ways = if count == 1 { "1 way" } else { &format!("{count} ways") };
    let lengths = cutting.plan.lengths();
    // A place on the tape one reads at a glance, 400 mm or 16 inches.
    let edge_mm = if lengths.in_feet() { 406.4 } else { 400.0 };
    let from_others = from_earlier_layers(layer);
    let later = if keeps_for_later(cutting) {
        " What is cut dashed is cut when its layer goes up: until then put it aside whole, its names on it."
    } else {
        ""
    };
    let subtitle = format!(
        "{}, sheets {}: {up_whole}{nearly}, {ways} of cutting the others{from_others}. {} Dimensions in mm from the ringed corner of the \
         sheet to the edge of the piece; {}–{} is a saw cut between two pieces. Cut in the order of the numbers, each cut from edge to \
         edge of what is left; those of a notch end in its corner, cut-outs come last.{later} {}",
        capital(&layer.material),
        lengths.size(&[cutting.board.length_mm, cutting.board.width_mm]),
        cutting.face.seen,
        lengths.figure(edge_mm, 0),
        lengths.figure(edge_mm + cutting.kerf_mm, 0),
        cutting.face.taken_off
    );
    (title, cutting.plan.shown(&subtitle))
}

/// Whether pieces of later layers are cut from sheets of this one.
fn keeps_for_later(cutting: &Cutting<'_>) -> bool {
    let own = cutting.layer.number;
    let sheets = cutting.layers.iter().flat_map(|layer| &layer.sheets);
    sheets.filter_map(|sheet| sheet.begun).any(|begun| begun.layer == own)
}

/// Pieces cut from sheets that layers below began.
fn from_earlier_layers(layer: &Layer) -> String {
    let mut words = String::new();
    for sheet in &layer.sheets {
        let Some(begun) = sheet.begun else { continue };
        words =
            format!("{words}; {} from sheet {} of layer {}", layer.names_on(sheet), begun.sheet, begun.layer);
    }
    if words.is_empty() { words } else { format!("{words} (drawn there)") }
}

/// Room for the words of a head with the legend beside them, mm.
const HEAD_WORDS_MM: f64 = 236.0;
/// From one column of the legend to the next, mm, and its rows.
const LEGEND_COLUMN_MM: f64 = 72.0;
const LEGEND_ROWS: usize = 3;
const LEGEND_ROW_MM: f64 = 4.6;

fn legend_rows(cutting: &Cutting<'_>) -> usize {
    LEGEND_ROWS + usize::from(keeps_for_later(cutting))
}

/// Where the words of a head and its legend stand.
struct Places {
    /// Width of the words, mm.
    words_mm: f64,
    /// Height of title and words, mm.
    words_high_mm: f64,
    /// The legend's left and top, and from one of its columns to the next, mm.
    legend: (f64, f64, f64),
}

impl Places {
    /// The legend beside the words, or below them where the paper is small.
    fn of(cutting: &Cutting<'_>, subtitle: &str) -> Self {
        let paper = cutting.plan.title.paper;
        let [width, _] = room_on(paper);
        let words_mm = if is_small(paper) { width } else { HEAD_WORDS_MM };
        let lines = wrap(subtitle, SIZE_MM, Weight::Regular, words_mm).len();
        let words_high_mm = TITLE_MM * font::LINE_SPACING + lines as f64 * SIZE_MM * font::LINE_SPACING + 2.0;
        let legend = if is_small(paper) {
            (0.0, words_high_mm, width / 2.0)
        } else {
            (HEAD_WORDS_MM + 8.0, 0.0, LEGEND_COLUMN_MM)
        };
        Self { words_mm, words_high_mm, legend }
    }
}

/// Size of the title, and of the words, mm.
const TITLE_MM: f64 = 4.6;
const SIZE_MM: f64 = FIGURE_MM + 0.1;

/// What the head of a page takes \[mm\].
pub(super) fn head_height(cutting: &Cutting<'_>) -> f64 {
    let (_, subtitle) = heading(cutting, 99, (0, 9));
    let places = Places::of(cutting, &subtitle);
    places.words_high_mm.max(places.legend.1 + 3.0 + LEGEND_ROW_MM * legend_rows(cutting) as f64)
}

/// Title, words and legend.
pub(super) fn head(cutting: &Cutting<'_>, title: &str, subtitle: &str) -> Group {
    let places = Places::of(cutting, subtitle);
    let mut group = Group::on_layer("notes");
    let mut top = 1.0 + TITLE_MM * font::LINE_SPACING / 2.0;
    group.add(Text::new(Point::new(0.0, top), title, TITLE_MM).semibold().on(Baseline::Middle));
    let size = SIZE_MM;
    top += TITLE_MM * font::LINE_SPACING / 2.0 + size * font::LINE_SPACING / 2.0;
    for line in wrap(subtitle, size, Weight::Regular, places.words_mm) {
        group.add(Text::new(Point::new(0.0, top), line, size).in_ink(Ink::Grey).on(Baseline::Middle));
        top += size * font::LINE_SPACING;
    }
    let rows = legend_rows(cutting);
    let mut count: usize = 0;
    let mut sample = |draw: &dyn Fn(Extent) -> Vec<Item>, words: &str| {
        let (left, top, step) = places.legend;
        let left = left + step * (count / rows) as f64;
        let row = top + 3.0 + LEGEND_ROW_MM * (count % rows) as f64;
        let box_ = Extent::new(left, row - 1.4, left + 9.0, row + 1.4);
        group.extend(draw(box_));
        group.add(Text::new(Point::new(left + 11.0, row), words, size).on(Baseline::Middle));
        count += 1;
    };
    let line = |at: Extent, pen: Pen| {
        let middle = at.centre().y;
        vec![Item::Path(Path::line(Point::new(at.left, middle), Point::new(at.right, middle), pen))]
    };
    sample(
        &|at| {
            let mut items = hatch::fill(&at.corners(), WASTE, Ink::Light);
            items.push(Item::Path(Path::rectangle(at, Pen::FINE)));
            items
        },
        "left over",
    );
    if cutting.board.tape_cut_edges {
        sample(&|at| line(at, TAPED), "cut edge: tape it before it goes up");
    } else {
        sample(&|at| line(at, CUT), "cut edge of a piece");
    }
    if keeps_for_later(cutting) {
        sample(&|at| line(at, LATER), "cut when a later layer goes up");
    }
    sample(&|at| line(at, Pen::THIN), "edge from the factory");
    sample(
        &|at| vec![Item::Group(mark::ringed(at.centre(), "1", FIGURE_MM, Ink::Grey))],
        "cut, in this order",
    );
    sample(&|at| vec![Item::Circle(dot(at.centre()))], "inside the sheet: → from its left, ↓ from its top");
    if let Some(words) = &cutting.face.towards {
        sample(&|at| vec![Item::Group(arrow(at.centre(), Direction::RIGHT, 3.4))], words);
    }
    group
}
