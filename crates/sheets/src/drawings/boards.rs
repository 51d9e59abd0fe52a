//! One drawing for each layer of board: pieces by name, joints with their running dimensions.

use paper::{
    Dash, Extent, Group, Hatch, Ink, Path, Pen, Point, hatch,
    point::Direction,
    region::Region,
    table::{Column as TableColumn, Table},
};
use plan::Plan;
use quantities::{
    format::{number, with_unit},
    lengths::Lengths,
};
use setout::{BoardCount, JointKind, Layer, Layout, MarkFor, Piece};

use crate::ceiling_words;

use super::{
    Drawing,
    bars::bar_of,
    column::{Column, Sample},
    labels::{Candidate, Labels, block, reading_turn_deg},
    room_plan::{FIGURE_MM, Heading, RoomPlan, WIDE_SPACE, capital, compose},
    runs::Runs,
};

/// Hatch of a piece that is cut.
const CUT: Hatch = Hatch::Lines { angle_deg: 45.0, apart_mm: 2.2 };
/// A bar behind the boards.
const BAR_BEHIND: Pen = Pen::FINE.in_ink(Ink::Light).dashed(Dash::Chain);
/// A joint of another layer.
const OTHER_JOINT: Pen = Pen::THIN.in_ink(Ink::Light).dashed(Dash::Dashed);
/// A joint this near a bar's middle line lies on it, mm.
const ON_BAR_MM: f64 = 1.0;

/// A drawing for each layer, in the order they are fixed.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let Some(layout) = &plan.ceiling.layout else { return Vec::new() };
    layout
        .layers
        .iter()
        .map(|layer| {
            let heading = Heading {
                id: format!("boards-layer-{}", layer.number),
                title: format!("Boards, layer {} of {}", layer.number, layout.layers.len()),
                subtitle: format!(
                    "{}. Seen from above, as the floor plan lies: left here is left on the floor. \
                     Dimensions in mm from the ringed corner of each wall to the joint.",
                    capital(&layer.material)
                ),
            };
            compose(
                plan,
                heading,
                |room| draw(room, layout, layer),
                |room, column| write(room, layout, layer, column),
            )
        })
        .collect()
}

pub(super) fn draw(room: &RoomPlan<'_>, layout: &Layout, layer: &Layer) -> Vec<Group> {
    let mut groups = vec![pieces(room, layer), bars_behind(room, layout), other_joints(room, layout, layer)];
    groups.push(joints(room, layer));
    groups.push(room.walls());
    let runs = runs(room, layout, layer);
    groups.extend(runs.groups());
    let mut labels = Labels::on_layer("text");
    for group in &groups {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    runs.say_origins(&mut labels);
    // The smallest first: they have the least choice.
    let mut order: Vec<&Piece> = layer.pieces.iter().collect();
    order.sort_by(|a, b| a.area_m2.total_cmp(&b.area_m2));
    for piece in order {
        piece_label(room, piece, &mut labels);
    }
    groups.push(labels.finish());
    groups
}

fn runs(room: &RoomPlan<'_>, layout: &Layout, layer: &Layer) -> Runs {
    let long = format!("long joint of layer {}", layer.number);
    let end = format!("end joint of layer {}", layer.number);
    let with_joint: Vec<String> = bars_with_joint(layout, layer).iter().map(ToString::to_string).collect();
    Runs::place(room, &layout.marks, |mark| {
        let says = |words: &str| mark.what.split(", ").any(|part| part == words);
        match bar_of(&mark.what) {
            Some(bar) if with_joint.iter().any(|one| one == bar) => Some(format!("bar {bar}")),
            _ if says(&long) || says(&end) => Some(String::new()),
            _ if matches!(mark.of, MarkFor::LongJoint(number) if number == layer.number) => {
                Some(String::new())
            }
            _ => None,
        }
    })
}

/// Whether a board hangs already, by what was read on site.
fn is_up(room: &RoomPlan<'_>, piece: &Piece) -> bool {
    room.plan.ceiling.as_built.as_ref().is_some_and(|found| found.boards_up.contains(&piece.name))
}

fn pieces(room: &RoomPlan<'_>, layer: &Layer) -> Group {
    let mut group = Group::on_layer(format!("boards layer {}", layer.number));
    for piece in &layer.pieces {
        let outline = room.all(&piece.outline);
        let mut one = Group::default().with_id(format!("piece-{}", piece.name)).with_title(format!(
            "{}, {}, {}",
            piece.name,
            room.plan.lengths().size(&[piece.length_mm, piece.width_mm]),
            with_unit(piece.mass_kg, 1, "kg")
        ));
        if is_up(room, piece) {
            one.add(Path::filled(outline.clone(), Ink::Wash));
        } else if !piece.whole {
            let mut rings = vec![outline.clone()];
            rings.extend(piece.cut_outs.iter().map(|ring| room.all(ring)));
            one.extend(hatch::fill_rings(&rings, CUT, Ink::Light));
        }
        one.add(Path::closed(outline, Pen::MEDIUM));
        for ring in &piece.cut_outs {
            one.add(Path::closed(room.all(ring), Pen::MEDIUM));
        }
        group.add(one);
    }
    group
}

fn joints(room: &RoomPlan<'_>, layer: &Layer) -> Group {
    let mut group = Group::on_layer("joints");
    for joint in &layer.joints {
        group.add(Path::line(room.at(joint.from), room.at(joint.to), Pen::MEDIUM));
    }
    group
}

fn bars_behind(room: &RoomPlan<'_>, layout: &Layout) -> Group {
    let mut group = Group::on_layer("bars");
    for bar in &layout.bars {
        group.add(Path::line(room.at(bar.from), room.at(bar.to), BAR_BEHIND));
    }
    group
}

fn other_joints(room: &RoomPlan<'_>, layout: &Layout, layer: &Layer) -> Group {
    let mut group = Group::on_layer("joints of other layers");
    for joint in
        layout.layers.iter().filter(|other| other.number != layer.number).flat_map(|other| &other.joints)
    {
        group.add(Path::line(room.at(joint.from), room.at(joint.to), OTHER_JOINT));
    }
    group
}

/// Numbers of the bars an end joint of the layer lies on.
fn bars_with_joint(layout: &Layout, layer: &Layer) -> Vec<usize> {
    layout
        .bars
        .iter()
        .filter(|bar| {
            let line = geometry::Segment { from: bar.from, to: bar.to };
            layer.joints.iter().any(|joint| {
                joint.kind == JointKind::End && line.distance_mm(joint.from.toward(joint.to, 0.5)) < ON_BAR_MM
            })
        })
        .map(|bar| bar.number)
        .collect()
}

/// The piece's name, what is cut, what it weighs: upright or along the piece, fewer words where there is less room.
fn piece_label(room: &RoomPlan<'_>, piece: &Piece, labels: &mut Labels) {
    let outline = room.all(&piece.outline);
    let Some(extent) = Extent::round(outline.iter().copied()) else { return };
    let region = Region::inside(&outline);
    let size = if is_up(room, piece) {
        "up".to_owned()
    } else if piece.whole {
        "whole".to_owned()
    } else {
        format!(
            "{}\u{202F}×\u{202F}{}",
            room.plan.lengths().figure(piece.length_mm, 0),
            room.plan.lengths().figure(piece.width_mm, 0)
        )
    };
    let mass = with_unit(piece.mass_kg, 1, "kg");
    let longest = outline
        .iter()
        .zip(outline.iter().cycle().skip(1))
        .max_by(|a, b| a.0.distance_to(*a.1).total_cmp(&b.0.distance_to(*b.1)));
    let turn = longest.map_or(0.0, |(from, to)| reading_turn_deg(Direction::between(*from, *to)));
    let turns = if turn.abs() < 10.0 { vec![0.0] } else { vec![0.0, turn] };
    let one_line = format!("{}{WIDE_SPACE}{size}", piece.name);
    let writings = [
        (vec![piece.name.as_str(), size.as_str(), mass.as_str()], 0.0),
        (vec![piece.name.as_str(), size.as_str()], 0.7),
        (vec![one_line.as_str()], 1.6),
        (vec![piece.name.as_str()], 4.0),
    ];
    let mut ways = Vec::new();
    for (rows, words_cost) in &writings {
        for (turned, &turn_deg) in turns.iter().enumerate() {
            for place in places(extent) {
                if !region.contains(place.0) {
                    continue;
                }
                let texts = block(place.0, rows, FIGURE_MM + 0.1, turn_deg);
                let cost = words_cost + place.1 + 0.6 * turned as f64;
                let outside = texts
                    .iter()
                    .flat_map(|text| text.corners(0.3))
                    .filter(|corner| !region.contains(*corner))
                    .count();
                ways.push(Candidate { texts, sign: None, leader: None, cost: cost + 4.0 * outside as f64 });
            }
        }
    }
    ways.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    labels.put(ways);
}

/// Places in a rectangle, its middle first, each with what its distance from the middle costs.
fn places(extent: Extent) -> Vec<(Point, f64)> {
    let centre = extent.centre();
    let steps = [0.0, 0.08, -0.08, 0.16, -0.16, 0.24, -0.24, 0.32, -0.32];
    steps
        .iter()
        .flat_map(|across| steps.iter().map(move |down| (*across, *down)))
        .map(|(across, down)| {
            let place = centre.moved(across * extent.width(), down * extent.height());
            (place, (across.abs() + down.abs()) * 0.5)
        })
        .collect()
}

fn cut_pieces(lengths: Lengths, pieces: &[&Piece]) -> Table {
    let mut table = Table::new(vec![
        TableColumn::left("piece"),
        TableColumn::right("size, mm"),
        TableColumn::right("kg"),
    ]);
    for piece in pieces {
        let size = format!(
            "{}\u{202F}×\u{202F}{}",
            lengths.figure(piece.length_mm, 0),
            lengths.figure(piece.width_mm, 0)
        );
        table.row([piece.name.clone(), size, number(piece.mass_kg, 1)]);
    }
    table
}

fn write(room: &RoomPlan<'_>, layout: &Layout, layer: &Layer, column: &mut Column<'_>) {
    let plain = Sample::Surface { edge: Pen::MEDIUM, hatch: Hatch::Air, ink: Ink::Light };
    column.legend(&plain, "whole sheet, uncut");
    column.legend(&Sample::Surface { edge: Pen::MEDIUM, hatch: CUT, ink: Ink::Light }, "piece to cut");
    if layer.pieces.iter().any(|piece| is_up(room, piece)) {
        let up = Sample::Band { edge: Pen::MEDIUM, fill: Ink::Wash, middle: None };
        column.legend(&up, "board that is up");
    }
    column.legend(&Sample::Line(BAR_BEHIND), "bar above");
    if layout.layers.len() > 1 {
        let other =
            if layout.layers.len() == 2 { "joint of the other layer" } else { "joint of another layer" };
        column.legend(&Sample::Line(OTHER_JOINT), other);
    }
    let count = layout.take_off.boards.iter().find(|count| count.layer == layer.number);
    column.heading("This layer");
    column.table(totals(layer, count), "", 0.0);
    let to_go_up: Vec<&Piece> = layer.pieces.iter().filter(|piece| !is_up(room, piece)).collect();
    let cut: Vec<&Piece> = to_go_up.iter().copied().filter(|piece| !piece.whole).collect();
    if !cut.is_empty() {
        column.heading("Cut pieces, length × width");
        column.table(cut_pieces(room.plan.lengths(), &cut), "the rest stand in the list of pieces", 60.0);
    }
    column.heading("Putting it up");
    column.note(&format!(
        "The pieces go up in the order of their numbers: {} first, {} last. Size is length × width on the sheet, the \
         largest of each, mm.",
        to_go_up.first().map_or("none", |piece| piece.name.as_str()),
        to_go_up.last().map_or("none", |piece| piece.name.as_str())
    ));
    column.note(if to_go_up.len() == layer.pieces.len() {
        "A joint dimensioned with a bar lies on the middle of that bar."
    } else {
        "A joint dimensioned with a bar lies on the middle of that bar; beside a board that is up it lies along its edge."
    });
    for words in ceiling_words::linings_in_the_way(room.plan) {
        column.note(&words);
    }
    runs(room, layout, layer).tell(column);
    if let Some(given) = &room.plan.ceiling.given {
        let rules = &given.rules;
        column.note(&format!(
            "Keep clear of the walls for the sealant: {}. No board touches a wall.",
            room.plan.ceiling.gap_words()
        ));
        column.note(&format!(
            "Screws into bars only: every {} at board ends and along walls, every {} elsewhere, at least {} from \
             any edge.",
            room.plan.lengths().with_unit(rules.screw_gap_edge_mm, 0),
            room.plan.lengths().with_unit(rules.screw_gap_mm, 0),
            room.plan.lengths().with_unit(rules.screw_edge_mm, 0)
        ));
        let tape = given.layers.get(layer.number.saturating_sub(1)).is_some_and(|board| board.tape_cut_edges);
        if tape {
            column.note("Tape every cut edge before the piece goes up, or the filling runs out.");
        }
        let heaviest = heaviest(layer);
        if let Some(piece) = heaviest.filter(|piece| piece.mass_kg > room.plan.limits.lift_kg) {
            column.warning(&format!(
                "Piece {} weighs {}, more than the {} two people will lift: use a board lifter.",
                piece.name,
                with_unit(piece.mass_kg, 1, "kg"),
                with_unit(room.plan.limits.lift_kg, 0, "kg")
            ));
        }
    }
}

fn heaviest(layer: &Layer) -> Option<&Piece> {
    layer.pieces.iter().rev().max_by(|a, b| a.mass_kg.total_cmp(&b.mass_kg))
}

fn totals(layer: &Layer, count: Option<&BoardCount>) -> Table {
    let mut table = Table::new(vec![TableColumn::left(""), TableColumn::right("")]);
    let whole = layer.pieces.iter().filter(|piece| piece.whole).count();
    table.row(["pieces".to_owned(), layer.pieces.len().to_string()]);
    table.row(["of them whole".to_owned(), whole.to_string()]);
    table.row(["sheets".to_owned(), layer.bought().to_string()]);
    let shared = layer.sheets.len() - layer.bought();
    if shared > 0 {
        table.row(["begun in earlier layers".to_owned(), shared.to_string()]);
    }
    if let Some(count) = count {
        table.row(["mass hung".to_owned(), with_unit(count.mass_kg, 0, "kg")]);
        table.row(["one whole sheet".to_owned(), with_unit(count.sheet_mass_kg, 1, "kg")]);
    }
    if let Some(piece) = heaviest(layer) {
        table.row([format!("heaviest piece, {}", piece.name), with_unit(piece.mass_kg, 1, "kg")]);
    }
    if let Some(count) = count {
        table.row(["screws".to_owned(), count.screws.to_string()]);
        if count.tape_m > 0.0 {
            table.row(["tape on cut edges".to_owned(), with_unit(count.tape_m, 1, "m")]);
        }
    }
    table
}
