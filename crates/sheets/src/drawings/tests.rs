//! What every drawing of the demo keeps.

use std::sync::LazyLock;

use paper::{Dash, Extent, Group, Ink, Item, Path, Point, Text};
use plan::Plan;

use super::{
    Drawing, ROOM_FOR_DRAWING_MM, drawings,
    labels::{line_meets, quads_meet},
};

static PLAN: LazyLock<Plan> = LazyLock::new(|| {
    let demo = include_str!("../../../../examples/percussion-room/room.toml");
    let (project, _) = plan::read(demo, "room.toml");
    plan::plan(&project.expect("the demo reads")).expect("the demo's tapes give a room")
});

static DRAWINGS: LazyLock<Vec<Drawing>> = LazyLock::new(|| drawings(&PLAN));

/// Drawings of the room and its sheets seen in plan.
fn plans() -> impl Iterator<Item = &'static Drawing> {
    let kinds = ["survey", "bars-and-clips", "boards-layer-", "cut-layer-"];
    DRAWINGS.iter().filter(move |drawing| kinds.iter().any(|kind| drawing.id.starts_with(kind)))
}

fn texts<'a>(items: &'a [Item], all: &mut Vec<&'a Text>) {
    for item in items {
        match item {
            Item::Group(group) => texts(&group.items, all),
            Item::Text(text) if !text.words.is_empty() => all.push(text),
            _ => {}
        }
    }
}

fn texts_of(drawing: &Drawing) -> Vec<&Text> {
    let mut all = Vec::new();
    texts(&drawing.scene.items, &mut all);
    all
}

fn group_with_id<'a>(items: &'a [Item], id: &str) -> Option<&'a Group> {
    items.iter().find_map(|item| match item {
        Item::Group(group) if group.id.as_deref() == Some(id) => Some(group),
        Item::Group(group) => group_with_id(&group.items, id),
        _ => None,
    })
}

fn paths(group: &Group) -> Vec<&Path> {
    group
        .items
        .iter()
        .filter_map(|item| if let Item::Path(path) = item { Some(path) } else { None })
        .collect()
}

#[test]
fn the_demo_has_these_plan_drawings() {
    let ids: Vec<&str> = plans().map(|drawing| drawing.id.as_str()).collect();
    let without_pages: Vec<&str> = ids
        .iter()
        .copied()
        .filter(|id| !(id.starts_with("cut-layer-") && id.len() > "cut-layer-1".len()))
        .collect();
    assert_eq!(
        without_pages,
        ["survey", "bars-and-clips", "boards-layer-1", "boards-layer-2", "cut-layer-1", "cut-layer-2"]
    );
    let mut all: Vec<&str> = DRAWINGS.iter().map(|drawing| drawing.id.as_str()).collect();
    let count = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), count, "two drawings of one name");
}

#[test]
fn nothing_is_drawn_outside_its_scene() {
    for drawing in plans() {
        let [width, height] = ROOM_FOR_DRAWING_MM;
        assert!(drawing.scene.width_mm <= width && drawing.scene.height_mm <= height, "{}", drawing.id);
        let room = Extent::new(0.0, 0.0, drawing.scene.width_mm, drawing.scene.height_mm);
        let drawn = drawing.scene.drawn_extent().expect("something is drawn");
        assert!(room.holds(&drawn), "{}: {drawn:?}", drawing.id);
    }
}

#[test]
fn no_words_are_smaller_than_a_hand_can_read() {
    for drawing in plans() {
        for text in texts_of(drawing) {
            assert!(text.size_mm >= 2.5, "{}: {}", drawing.id, text.words);
        }
    }
}

#[test]
fn no_words_stand_on_words() {
    for drawing in plans() {
        let texts = texts_of(drawing);
        for (at, one) in texts.iter().enumerate() {
            for other in texts.iter().skip(at + 1) {
                assert!(
                    !quads_meet(&one.corners(0.0), &other.corners(0.0)),
                    "{}: “{}” on “{}” at {:?}",
                    drawing.id,
                    one.words,
                    other.words,
                    one.at
                );
            }
        }
    }
}

/// Straight parts of every line drawn in full ink, unbroken.
fn strong_lines(items: &[Item], all: &mut Vec<(Point, Point)>) {
    for item in items {
        match item {
            Item::Group(group) => strong_lines(&group.items, all),
            Item::Path(path) => {
                let Some(pen) = path.pen else { continue };
                if pen.ink == Ink::Ink && pen.dash == Dash::Solid {
                    all.extend(path.points.windows(2).map(|pair| (pair[0], pair[1])));
                    if path.closed {
                        all.extend(path.points.last().copied().zip(path.points.first().copied()));
                    }
                }
            }
            _ => {}
        }
    }
}

/// Words in a ring filled with paper, which hides what it stands on.
fn ringed(items: &[Item], all: &mut Vec<Point>) {
    let is_ring = |item: &Item| matches!(item, Item::Circle(circle) if circle.fill == Some(Ink::Paper));
    let has_ring = items.iter().any(is_ring);
    for item in items {
        match item {
            Item::Group(group) => ringed(&group.items, all),
            Item::Text(text) if has_ring && items.len() == 2 => all.push(text.at),
            _ => {}
        }
    }
}

#[test]
fn no_words_stand_on_a_strong_line() {
    for drawing in plans() {
        let mut lines = Vec::new();
        strong_lines(&drawing.scene.items, &mut lines);
        let mut in_rings = Vec::new();
        ringed(&drawing.scene.items, &mut in_rings);
        for text in texts_of(drawing).into_iter().filter(|text| !in_rings.contains(&text.at)) {
            let quad = text.corners(0.0);
            let on = lines.iter().find(|(from, to)| line_meets(*from, *to, &quad));
            assert!(on.is_none(), "{}: “{}” at {:?} on {on:?}", drawing.id, text.words, text.at);
        }
    }
}

#[test]
fn pieces_are_drawn_where_the_plan_has_them() {
    let layout = PLAN.ceiling.layout.as_ref().expect("the demo's ceiling is set out");
    for layer in &layout.layers {
        let id = format!("boards-layer-{}", layer.number);
        let drawing = plans().find(|drawing| drawing.id == id).expect("each layer has its drawing");
        let model = drawing.model.expect("a plan has a model");
        for piece in &layer.pieces {
            let group = group_with_id(&drawing.scene.items, &format!("piece-{}", piece.name)).expect("drawn");
            let outline = paths(group)[0];
            assert_eq!(outline.points.len(), piece.outline.len());
            for (drawn, real) in outline.points.iter().zip(&piece.outline) {
                let x = model.in_model_mm[0] + model.scale.real_mm(drawn.x - model.on_paper.x);
                let y = model.in_model_mm[1] + model.scale.real_mm(model.on_paper.y - drawn.y);
                assert!(
                    (x - real.x_mm).abs() < 1e-6 && (y - real.y_mm).abs() < 1e-6,
                    "{} {x} {y} {real:?}",
                    piece.name
                );
            }
        }
    }
}

#[test]
fn every_cut_piece_is_on_a_cutting_page_once_at_its_size() {
    let layout = PLAN.ceiling.layout.as_ref().expect("the demo's ceiling is set out");
    for layer in &layout.layers {
        let pages: Vec<&Drawing> = plans()
            .filter(|drawing| drawing.id.starts_with(&format!("cut-layer-{}", layer.number)))
            .collect();
        for piece in layer.pieces.iter().filter(|piece| !piece.whole) {
            let id = format!("cut-{}", piece.name);
            let drawn: Vec<(&Group, f64)> = pages
                .iter()
                .filter_map(|page| {
                    Some((
                        group_with_id(&page.scene.items, &id)?,
                        page.scale.expect("drawn to scale").denominator(),
                    ))
                })
                .collect();
            // Pieces of sheets cut alike are named in the title of one drawing.
            let named =
                pages.iter().any(|page| texts_of(page).iter().any(|text| text.words.contains(&piece.name)));
            assert!(named, "{} is on no page", piece.name);
            let [(group, denominator)] = drawn.as_slice() else { continue };
            let lengths: Vec<f64> = paths(group)
                .iter()
                .map(|path| path.points[0].distance_to(path.points[1]) * denominator)
                .collect();
            assert_eq!(lengths.len(), piece.edges.len());
            for (length, edge) in lengths.iter().zip(&piece.edges) {
                assert!((length - edge.length_mm).abs() < 1e-3, "{} {length} {}", piece.name, edge.length_mm);
            }
        }
    }
}

/// A corner of a cut piece is told where it is: on an edge of the sheet by that edge's figure, inside it by both.
#[test]
fn every_corner_of_a_cut_piece_is_told_at_its_own_place() {
    let layout = PLAN.ceiling.layout.as_ref().expect("the demo's ceiling is set out");
    let given = PLAN.ceiling.given.as_ref().expect("the demo's ceiling is given");
    let figure = |mm: f64| quantities::format::number(mm, 0);
    let (mut on_edges, mut inside) = (0, 0);
    for (layer, board) in layout.layers.iter().zip(&given.layers) {
        for sheet in &layer.sheets {
            let id = format!("sheet-{}-{}", layer.number, sheet.number);
            let Some(group) = plans().find_map(|page| group_with_id(&page.scene.items, &id)) else {
                continue;
            };
            let mut all = Vec::new();
            texts(&group.items, &mut all);
            let pieces = sheet.pieces.iter().map(|&at| &layer.pieces[at]);
            for corner in pieces.flat_map(|piece| &piece.on_sheet) {
                let aside = |at: f64, whole: f64| at.min(whole - at);
                let (x, y) = (aside(corner.x_mm, board.width_mm), aside(corner.y_mm, board.length_mm));
                let told = |words: &str| all.iter().any(|text| text.words.contains(words));
                if x > 1.5 && y > 1.5 {
                    inside += 1;
                    let (along, down) =
                        (format!("→{}", figure(corner.y_mm)), format!("↓{}", figure(corner.x_mm)));
                    let one_line = told(&format!("{along} {down}"));
                    let exactly = |words: &String| all.iter().any(|text| text.words == *words);
                    let two_lines = exactly(&along) && exactly(&down);
                    assert!(one_line || two_lines, "{id}: {along} {down}");
                } else if x < 0.4 && y > 1.5 {
                    on_edges += 1;
                    assert!(told(&figure(corner.y_mm)), "{id}: {corner:?}");
                } else if y < 0.4 && x > 1.5 {
                    on_edges += 1;
                    assert!(told(&figure(corner.x_mm)), "{id}: {corner:?}");
                }
            }
            let cut = all.iter().any(|text| text.words == "1");
            assert!(cut, "{id}: no cut is numbered");
        }
    }
    assert!(on_edges > 10 && inside > 0, "{on_edges} {inside}");
}

#[test]
fn bars_and_clips_are_drawn_as_many_as_there_are() {
    let layout = PLAN.ceiling.layout.as_ref().expect("the demo's ceiling is set out");
    let drawing = plans().find(|drawing| drawing.id == "bars-and-clips").expect("drawn");
    for bar in &layout.bars {
        assert!(group_with_id(&drawing.scene.items, &format!("bar-{}", bar.number)).is_some());
    }
    for clip in &layout.clips {
        let group = group_with_id(&drawing.scene.items, &format!("clip-{}", clip.number)).expect("drawn");
        let centre = group.drawn_extent().expect("a cross").centre();
        let model = drawing.model.expect("a plan has a model");
        let x = model.in_model_mm[0] + model.scale.real_mm(centre.x - model.on_paper.x);
        assert!((x - clip.at.x_mm).abs() < 1e-6);
    }
}

/// A joist that no clip is on is named in the room itself: noggins are measured along it.
#[test]
fn every_joist_is_named_on_the_sheet_of_bars() {
    let mut plan = PLAN.clone();
    let layout = plan.ceiling.layout.as_mut().expect("the demo's ceiling is set out");
    for wall in &mut layout.marks {
        wall.marks.retain(|mark| !matches!(mark.of, setout::MarkFor::ClipRow(_)));
    }
    let drawing = super::bars::drawing(&plan).expect("drawn");
    let texts = texts_of(&drawing);
    let given = plan.ceiling.given.as_ref().expect("given");
    for joist in &given.joists {
        assert!(texts.iter().any(|text| text.words == joist.name), "{}", joist.name);
    }
}

/// Where clips and noggins crowd, a figure without a place is left to the list: two on each other read as a third.
#[test]
fn packers_never_stand_on_each_other_however_clips_crowd() {
    let mut plan = PLAN.clone();
    let layout = plan.ceiling.layout.as_mut().expect("the demo's ceiling is set out");
    let at = layout.clips[0].at;
    for clip in &mut layout.clips {
        clip.at = at;
    }
    let drawing = super::bars::drawing(&plan).expect("drawn");
    let texts = texts_of(&drawing);
    for (at, one) in texts.iter().enumerate() {
        for other in texts.iter().skip(at + 1) {
            assert!(!quads_meet(&one.corners(0.0), &other.corners(0.0)), "{} on {}", one.words, other.words);
        }
    }
}

/// What the first column has no room for stands in the second, every row of it.
#[test]
fn a_table_goes_on_in_the_second_column() {
    let words = |second: bool| {
        let mut column = super::column::Column::new(&PLAN, Extent::new(200.0, 0.0, 300.0, 60.0));
        if second {
            column.go_on_in(Extent::new(90.0, 0.0, 190.0, 200.0));
        }
        let mut table = paper::table::Table::new(vec![paper::table::Column::left("bar")]);
        for row in 0..25 {
            table.row([format!("row {row}")]);
        }
        column.heading("Bars");
        column.table(table, "the rest stand in the list of bars", 20.0);
        assert_eq!(column.went_on(), second);
        let mut all = Vec::new();
        let group = [column.finish()];
        texts(&group, &mut all);
        all.iter().map(|text| text.words.clone()).collect::<Vec<_>>()
    };
    let all = words(true);
    assert!((0..25).all(|row| all.contains(&format!("row {row}"))), "{all:?}");
    let cut = words(false);
    assert!(
        !cut.contains(&"row 24".to_owned()) && cut.iter().any(|one| one.contains("list of bars")),
        "{cut:?}"
    );
}

/// The figures along a wall are those of its marks: each mark's figure stands on the drawing.
#[test]
fn running_figures_are_those_of_the_marks() {
    let layout = PLAN.ceiling.layout.as_ref().expect("the demo's ceiling is set out");
    let drawing = plans().find(|drawing| drawing.id == "bars-and-clips").expect("drawn");
    let texts = texts_of(drawing);
    for wall in &layout.marks {
        for mark in &wall.marks {
            let Some(bar) = super::bars::bar_of(&mark.what) else { continue };
            let (figures, words) = (quantities::format::number(mark.at_mm, 0), format!("bar {bar}"));
            let found = texts.iter().any(|text| text.words.contains(&figures) && text.words.contains(&words));
            assert!(found, "wall {}: {figures} {words}", wall.wall);
        }
    }
}
