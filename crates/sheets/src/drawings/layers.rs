//! The layers of a build-up as cut surfaces: hatches of the trade, timbers across, words beside them.

use paper::{Extent, Group, Hatch, Ink, Path, Pen, Point, Scale, Text, hatch};
use plan::{
    Plan,
    outcome::{BuildupOutcome, DrawnAs, SectionLayer},
};
use quantities::format::with_unit;

/// Size of words beside a drawing, mm.
pub(super) const WORDS_MM: f64 = 2.7;

/// Which way a build-up runs from outside to inside on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Runs {
    /// From top to bottom: roofs and ceilings.
    Down,
    /// From left to right: walls, and anything turned for a profile.
    Right,
}

/// The hatch of a cut surface.
pub(super) fn hatch_of(drawn: DrawnAs) -> Hatch {
    match drawn {
        DrawnAs::Masonry => Hatch::Masonry,
        DrawnAs::Plaster => Hatch::Dotted { apart_mm: 1.1 },
        DrawnAs::Plasterboard => Hatch::Plasterboard,
        DrawnAs::SandFilled => Hatch::SandFilled,
        DrawnAs::Wood => Hatch::TimberAlongGrain,
        DrawnAs::Glass => Hatch::Glass,
        DrawnAs::Membrane => Hatch::Steel,
        DrawnAs::Fibre => Hatch::MineralFibre,
        DrawnAs::Air => Hatch::Air,
        DrawnAs::Other => Hatch::Lines { angle_deg: 45.0, apart_mm: 1.2 },
    }
}

/// Thinner than this on paper a layer is a line, mm.
const LINE_MM: f64 = 0.5;

/// Where every layer lies when the build-up is laid into `area`, which it fills from its outer edge.
pub(super) fn places(buildup: &BuildupOutcome, scale: Scale, area: Extent, runs: Runs) -> Vec<Extent> {
    let mut depth = 0.0;
    buildup
        .layers
        .iter()
        .map(|layer| {
            let from = scale.on_paper_mm(depth);
            depth += layer.thickness_mm;
            let to = scale.on_paper_mm(depth);
            match runs {
                Runs::Down => Extent { top: area.top + from, bottom: area.top + to, ..area },
                Runs::Right => Extent { left: area.left + from, right: area.left + to, ..area },
            }
        })
        .collect()
}

/// Draws one layer as a cut surface.
pub(super) fn cut(group: &mut Group, drawn: DrawnAs, place: Extent, runs: Runs) {
    let thickness = match runs {
        Runs::Down => place.height(),
        Runs::Right => place.width(),
    };
    let centre = place.centre();
    let line = match runs {
        Runs::Down => [Point::new(place.left, centre.y), Point::new(place.right, centre.y)],
        Runs::Right => [Point::new(centre.x, place.top), Point::new(centre.x, place.bottom)],
    };
    if thickness < LINE_MM {
        if drawn != DrawnAs::Air {
            group.add(Path::open(line, Pen::new(0.45)));
        }
        return;
    }
    group.extend(hatch::fill(&place.corners(), hatch_of(drawn), Ink::Ink));
    let pen = match drawn {
        DrawnAs::Air => return,
        DrawnAs::Masonry => Pen::BOLD,
        DrawnAs::Fibre => Pen::THIN,
        _ => Pen::MEDIUM,
    };
    let [a, b] = match runs {
        Runs::Down => [
            [Point::new(place.left, place.top), Point::new(place.right, place.top)],
            [Point::new(place.left, place.bottom), Point::new(place.right, place.bottom)],
        ],
        Runs::Right => [
            [Point::new(place.left, place.top), Point::new(place.left, place.bottom)],
            [Point::new(place.right, place.top), Point::new(place.right, place.bottom)],
        ],
    };
    group.add(Path::open(a, pen));
    group.add(Path::open(b, pen));
}

/// A layer as a cut surface that a page can find, by its place from outside.
pub(super) fn named_cut(plan: &Plan, layer: &SectionLayer, index: usize, place: Extent, runs: Runs) -> Group {
    let mut group = Group::default().with_id(format!("layer-{index}")).with_title(layer_words(plan, layer));
    cut(&mut group, layer.drawn, place, runs);
    group
}

/// A timber cut across its grain.
pub(super) fn end_grain(group: &mut Group, place: Extent) {
    group.add(Path::filled(place.corners(), Ink::Paper));
    group.extend(hatch::fill(&place.corners(), Hatch::TimberEndGrain, Ink::Grey));
    group.add(Path::rectangle(place, Pen::BOLD));
}

/// What is said of a layer beside its leader: name, thickness where the name does not say it, mass.
pub(super) fn layer_words(plan: &Plan, layer: &SectionLayer) -> String {
    let decimals = if layer.thickness_mm < 10.0 && (layer.thickness_mm * 10.0).fract().abs() > 1e-6 {
        2
    } else {
        usize::from(layer.thickness_mm.fract().abs() > 1e-6)
    };
    let mut words = layer.name.clone();
    let thickness = plan.lengths().with_unit(layer.thickness_mm, decimals);
    let said = words.replace('\u{00A0}', " ").contains(&thickness.replace('\u{00A0}', " "));
    if !said {
        words = format!("{words}, {thickness}");
    }
    if layer.mass_kg_m2 > 0.0 {
        words = format!("{words}, {}", with_unit(layer.mass_kg_m2, 1, "kg/m²"));
    }
    words
}

/// A thickness as a table writes it.
pub(super) fn thickness(plan: &Plan, layer: &SectionLayer) -> String {
    let decimals =
        if layer.thickness_mm < 1.0 { 2 } else { usize::from(layer.thickness_mm.fract().abs() > 1e-6) };
    plan.lengths().figure(layer.thickness_mm, decimals)
}

/// Plain words in grey, their middle at a point.
pub(super) fn caption(at: Point, words: impl Into<String>) -> Text {
    Text::new(at, words, WORDS_MM).centred().in_ink(Ink::Grey)
}

/// A wavy line where a drawing breaks off, between two points that stand above each other.
pub(super) fn break_line(group: &mut Group, top: Point, bottom: Point) {
    let height = bottom.y - top.y;
    let middle = f64::midpoint(top.y, bottom.y);
    let kink = (height * 0.05).clamp(0.8, 2.0);
    group.add(Path::open(
        [
            top.moved(0.0, -1.5),
            Point::new(top.x, middle - kink),
            Point::new(top.x - kink, middle - kink * 0.4),
            Point::new(top.x + kink, middle + kink * 0.4),
            Point::new(top.x, middle + kink),
            bottom.moved(0.0, 1.5),
        ],
        Pen::THIN.in_ink(Ink::Grey),
    ));
}
