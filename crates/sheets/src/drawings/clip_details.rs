//! Two details full size: how a clip, a bar and the boards hang on a joist, and how the boards end at a wall.

use paper::{
    Circle, Extent, Group, Hatch, Ink, Path, Pen, Point, Text,
    dimension::{Dimension, Side, dimension},
    hatch,
    leader::{Note, NoteColumn, note_column},
};
use plan::{
    Plan,
    outcome::{BuildupOutcome, DrawnAs, SectionLayer},
};
use setout::Ceiling;

use super::layers::{self, Runs, WORDS_MM};

/// Part of a clip's drop that the bar takes, as common bars do; the plan knows the drop alone.
pub(super) const BAR_SHARE: f64 = 0.6;
/// Least distance a screw shows behind the bar's face, mm.
const SCREW_BEHIND_MM: f64 = 10.0;

/// The boards below the clips, from above to below.
fn boards(buildup: &BuildupOutcome) -> Vec<&SectionLayer> {
    let mut below: Vec<&SectionLayer> =
        buildup.layers.iter().rev().take_while(|layer| layer.drawn != DrawnAs::Air).collect();
    below.reverse();
    below
}

fn heading(group: &mut Group, room: Extent, words: &str) {
    group.add(Text::new(Point::new(room.left, room.top), words, 3.2).semibold());
    let note =
        Text::new(Point::new(room.left, room.top + 4.4), "1\u{202F}:\u{202F}1, cut across the bars", 2.6);
    group.add(note.in_ink(Ink::Grey));
}

/// Depth of the timber shown, mm.
const TIMBER_MM: f64 = 24.0;

struct Levels {
    joist_top: f64,
    joist: f64,
    bar_top: f64,
    face: f64,
    bottom: f64,
}

fn levels(buildup: &BuildupOutcome, ceiling: &Ceiling, top: f64) -> Levels {
    let drop = ceiling.clip.drop_mm.clamp(10.0, 80.0);
    let boards_mm: f64 = boards(buildup).iter().map(|layer| layer.thickness_mm).sum();
    let joist = top + TIMBER_MM;
    let face = joist + drop;
    Levels {
        joist_top: top,
        joist,
        bar_top: face - drop * BAR_SHARE,
        face,
        bottom: face + boards_mm.min(60.0),
    }
}

/// Draws boards between two ends and gives where each lies.
fn board_strips(group: &mut Group, buildup: &BuildupOutcome, at: &Levels, ends: (f64, f64)) -> Vec<Extent> {
    let mut top = at.face;
    boards(buildup)
        .into_iter()
        .map(|layer| {
            let place = Extent::new(ends.0, top, ends.1, top + layer.thickness_mm);
            layers::cut(group, layer.drawn, place, Runs::Down);
            top = place.bottom;
            place
        })
        .collect()
}

/// The bar cut across: a hat whose face carries the boards. Gives its half width at the flanges.
fn bar_cut(group: &mut Group, at: &Levels, centre: f64, face_mm: f64) -> f64 {
    let half = face_mm / 2.0;
    let flange = half + 9.0;
    let profile = [
        Point::new(centre - flange, at.bar_top + 0.6),
        Point::new(centre - half - 3.0, at.bar_top + 0.6),
        Point::new(centre - half, at.face - 0.5),
        Point::new(centre + half, at.face - 0.5),
        Point::new(centre + half + 3.0, at.bar_top + 0.6),
        Point::new(centre + flange, at.bar_top + 0.6),
    ];
    group.add(Path::open(profile, Pen::new(0.9)));
    flange
}

fn joist_long(group: &mut Group, at: &Levels, ends: (f64, f64)) {
    let timber = Extent::new(ends.0, at.joist_top, ends.1, at.joist);
    group.extend(hatch::fill(&timber.corners(), Hatch::TimberAlongGrain, Ink::Grey));
    group.add(Path::line(Point::new(ends.0, at.joist), Point::new(ends.1, at.joist), Pen::BOLD));
    group.add(Path::line(
        Point::new(ends.0, at.joist_top),
        Point::new(ends.1, at.joist_top),
        Pen::THIN.in_ink(Ink::Grey),
    ));
    layers::break_line(group, Point::new(ends.0, at.joist_top), Point::new(ends.0, at.joist));
}

/// A screw from the underside of the boards into the bar's face.
fn screw(group: &mut Group, at: &Levels, x: f64, head_y: f64) {
    let tip = at.face - SCREW_BEHIND_MM;
    group.add(Path::line(Point::new(x, head_y), Point::new(x, tip + 2.0), Pen::new(0.9)));
    group.add(Path::open(
        [Point::new(x - 0.5, tip + 2.4), Point::new(x, tip), Point::new(x + 0.5, tip + 2.4)],
        Pen::MEDIUM,
    ));
    group.add(Path::filled(
        [
            Point::new(x - 2.2, head_y),
            Point::new(x + 2.2, head_y),
            Point::new(x + 0.6, head_y - 2.4),
            Point::new(x - 0.6, head_y - 2.4),
        ],
        Ink::Ink,
    ));
}

/// Clip, bar, boards and screws under a joist, full size.
pub(super) fn clip(plan: &Plan, buildup: &BuildupOutcome, ceiling: &Ceiling, room: Extent) -> Group {
    let mut group = Group::on_layer("detail");
    heading(&mut group, room, "Clip and bar under a joist");
    let at = levels(buildup, ceiling, room.top + 10.0);
    let ends = (room.left + 14.0, room.left + 90.0);
    let centre = f64::midpoint(ends.0, ends.1);
    joist_long(&mut group, &at, ends);
    layers::break_line(&mut group, Point::new(ends.1, at.joist_top), Point::new(ends.1, at.joist));
    let places = board_strips(&mut group, buildup, &at, ends);
    let flange = bar_cut(&mut group, &at, centre, ceiling.bar.face_width_mm.clamp(15.0, 60.0));
    // The clip: a bracket that holds the flanges, a rubber pad between it and the joist, one screw through it.
    let bracket = [
        Point::new(centre - flange - 1.4, at.bar_top + 2.6),
        Point::new(centre - flange - 1.4, at.bar_top - 1.2),
        Point::new(centre + flange + 1.4, at.bar_top - 1.2),
        Point::new(centre + flange + 1.4, at.bar_top + 2.6),
    ];
    group.add(Path::open(bracket, Pen::new(0.7)));
    let pad = Extent::new(centre - 12.0, at.joist, centre + 12.0, at.bar_top - 1.6);
    group.add(Path::rectangle(pad, Pen::MEDIUM).with_fill(Ink::Wash));
    group.extend(hatch::fill(&pad.corners(), Hatch::Crossed { angle_deg: 45.0, apart_mm: 1.6 }, Ink::Ink));
    group.add(Path::line(
        Point::new(centre, at.joist - 20.0),
        Point::new(centre, at.bar_top - 0.8),
        Pen::new(1.1).in_ink(Ink::Paper),
    ));
    group.add(Path::line(
        Point::new(centre, at.joist - 20.0),
        Point::new(centre, at.bar_top - 0.8),
        Pen::new(0.8),
    ));
    group.add(Path::line(
        Point::new(centre - 2.6, at.bar_top - 0.2),
        Point::new(centre + 2.6, at.bar_top - 0.2),
        Pen::new(1.2),
    ));
    if let Some(first) = places.first() {
        screw(&mut group, &at, centre - 10.0, first.bottom);
    }
    screw(&mut group, &at, centre + 9.0, at.bottom);
    group.add(dimension(&Dimension {
        side: Side::Left,
        ..Dimension::new(
            Point::new(ends.0, at.face),
            Point::new(ends.0, at.joist),
            8.0,
            plan.lengths().figure(ceiling.clip.drop_mm, 0),
        )
    }));
    group.add(dimension(&Dimension {
        side: Side::Right,
        ..Dimension::new(
            Point::new(centre - ceiling.bar.face_width_mm / 2.0, at.bottom + 1.0),
            Point::new(centre + ceiling.bar.face_width_mm / 2.0, at.bottom + 1.0),
            5.0,
            plan.lengths().figure(ceiling.bar.face_width_mm, 0),
        )
    }));
    let mut notes = vec![
        Note::new(Point::new(ends.1 - 4.0, at.joist - 8.0), "joist, along its grain"),
        Note::new(
            Point::new(centre + 9.5, f64::midpoint(at.joist, at.bar_top - 1.6)),
            "rubber of the clip; the maker's screw into the middle of the joist",
        ),
        Note::new(
            Point::new(centre + flange - 3.0, at.bar_top + 0.6),
            format!("bar: {}", ceiling.bar.product.replace(" mm", "\u{00A0}mm")),
        ),
        Note::new(Point::new(centre + 9.0, at.face - 5.0), "board screw ends in the bar, clear of the joist"),
    ];
    for (layer, place) in boards(buildup).iter().zip(&places) {
        notes.push(Note::new(Point::new(ends.1 - 6.0, place.centre().y), layer.name.clone()));
    }
    group.add(note_column(&NoteColumn {
        notes,
        side: Side::Right,
        edge_mm: ends.1 + 10.0,
        top_mm: at.joist_top,
        bottom_mm: at.bottom + 6.0,
        width_mm: (room.right - ends.1 - 10.0).max(25.0),
        size_mm: WORDS_MM,
    }));
    group
}

/// Boards, gap and sealant at a wall, full size.
pub(super) fn edge(plan: &Plan, buildup: &BuildupOutcome, ceiling: &Ceiling, room: Extent) -> Group {
    let mut group = Group::on_layer("detail");
    heading(&mut group, room, "Edge at a wall");
    let at = levels(buildup, ceiling, room.top + 10.0);
    let wall = Extent::new(room.left + 2.0, at.joist_top, room.left + 22.0, at.bottom + 14.0);
    group.extend(hatch::fill(&wall.corners(), Hatch::Masonry, Ink::Ink));
    group.add(Path::line(Point::new(wall.right, wall.top), Point::new(wall.right, wall.bottom), Pen::HEAVY));
    layers::break_line(&mut group, Point::new(wall.left, wall.top), Point::new(wall.left, wall.bottom));
    let gap = ceiling.rules.perimeter_gap_mm.clamp(2.0, 25.0);
    let ends = (wall.right + gap, room.left + 78.0);
    joist_long(&mut group, &at, (wall.right + 14.0, ends.1));
    let places = board_strips(&mut group, buildup, &at, ends);
    let half = ceiling.bar.face_width_mm.clamp(15.0, 60.0) / 2.0;
    let centre = wall.right + gap + half + 8.0;
    bar_cut(&mut group, &at, centre, half * 2.0);
    for place in &places {
        group.add(Path::line(
            Point::new(place.left, place.top),
            Point::new(place.left, place.bottom),
            Pen::MEDIUM,
        ));
    }
    // Sealant to the full depth of the boards.
    let seal = Extent::new(wall.right, at.face, ends.0, at.bottom);
    group.extend(hatch::fill(&seal.corners(), Hatch::Crossed { angle_deg: 45.0, apart_mm: 1.1 }, Ink::Ink));
    group.add(Path::rectangle(seal, Pen::MEDIUM));
    let membrane =
        buildup.layers.iter().any(|layer| layer.drawn == DrawnAs::Membrane && layer.thickness_mm < 2.0);
    if membrane {
        group.add(Path::open(
            [
                Point::new(ends.1, at.joist + 0.6),
                Point::new(wall.right + 0.7, at.joist + 0.6),
                Point::new(wall.right + 0.7, at.joist + 16.0),
            ],
            Pen::new(0.45),
        ));
        let bead = Point::new(wall.right + 1.5, at.joist + 14.0);
        group.add(Circle { centre: bead, radius_mm: 1.3, pen: None, fill: Some(Ink::Ink) });
    }
    screw(&mut group, &at, centre + half * 0.4, at.bottom);
    group.add(dimension(&Dimension {
        side: Side::Right,
        ..Dimension::new(
            Point::new(wall.right, at.bottom + 1.0),
            Point::new(ends.0, at.bottom + 1.0),
            5.0,
            format!("gap {}", plan.lengths().figure(ceiling.rules.perimeter_gap_mm, 0)),
        )
    }));
    let mut notes = vec![
        Note::new(
            Point::new(f64::midpoint(seal.left, seal.right), seal.bottom - 3.0),
            "soft sealant, the full depth of the boards, layer by layer",
        ),
        Note::new(
            Point::new(centre + half * 0.8, at.face - 0.5),
            "perimeter bar, its ends clear of the walls",
        ),
    ];
    if membrane {
        let at = Point::new(wall.right + 20.0, at.joist + 0.6);
        notes.push(Note::new(at, "membrane, turned down and sealed to the wall"));
    }
    group.add(note_column(&NoteColumn {
        notes,
        side: Side::Right,
        edge_mm: ends.1 + 10.0,
        top_mm: at.joist_top,
        bottom_mm: at.bottom + 8.0,
        width_mm: (room.right - ends.1 - 10.0).max(25.0),
        size_mm: WORDS_MM,
    }));
    group
}
