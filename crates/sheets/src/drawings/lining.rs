//! Elevations of linings: studs or bars, boards upright, openings, seen from inside the room.

use paper::{
    Dash, Extent, Group, Ink, Path, Pen, Point, Scale, Scene, View,
    dimension::{RunningDimension, RunningMark, Side, running_dimension},
    dxf::ModelSpace,
    mark,
    point::Direction,
    table::{Column as TableColumn, Table},
};
use plan::{Plan, outcome::LiningOutcome};
use quantities::{format::with_unit, lengths::Lengths};
use setout::lining::{LiningLayout, SupportReason, WallLayer, WallPiece};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    column::Column,
    labels::{Labels, around},
    room_plan::{COLUMN_MM, FIGURE_MM, GUTTER_MM, capital},
};

const SCALES: [f64; 6] = [10.0, 20.0, 25.0, 50.0, 100.0, 200.0];
/// The line of dimensions lies so far outside the wall, mm of paper.
const OFFSET_MM: f64 = 5.0;
/// From the head of a wall up to the letters of its corners, mm of paper.
const CORNER_LETTER_MM: f64 = 5.0;
/// Clips at more places than this stand in the table only.
const MOST_CLIP_MARKS: usize = 28;
const UPRIGHT: Pen = Pen::THIN.dashed(Dash::Chain);

/// A sheet for the supports of each lining, and one for each layer of its boards.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all = Vec::new();
    for (lining, layout) in plan.linings.iter().filter_map(|one| Some((one, one.layout.as_ref()?))) {
        all.push(supports(plan, lining, layout));
        all.extend(layout.layers.iter().map(|layer| boards(plan, layout, layer)));
    }
    all
}

/// The view in which a wall fits beside the column.
fn view(layout: &LiningLayout, lengths: Lengths) -> View {
    let [_, height] = ROOM_FOR_DRAWING_MM;
    let [length_mm, height_mm] = layout.size_mm;
    // Figures beside the corner are longer in feet.
    let beside = if lengths.in_feet() { 24.0 } else { 0.0 };
    let room = [area().width() - 16.0 - beside, height - 34.0];
    let fits = |d: &f64| length_mm / d <= room[0] && height_mm / d <= room[1];
    let scale = SCALES.into_iter().find(fits).unwrap_or(200.0);
    View::new(
        Scale::one_to(scale),
        [length_mm / 2.0, height_mm / 2.0],
        area().centre().moved(beside / 2.0, -6.0),
    )
}

fn area() -> Extent {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    Extent::new(0.0, 0.0, width - COLUMN_MM - GUTTER_MM, height)
}

fn rectangle(view: &View, sides: [f64; 4]) -> [Point; 4] {
    let [left, foot, right, head] = sides;
    [view.place(left, foot), view.place(right, foot), view.place(right, head), view.place(left, head)]
}

fn outline(view: &View, layout: &LiningLayout) -> Group {
    let mut group = Group::on_layer("walls");
    let [length_mm, height_mm] = layout.size_mm;
    group.add(Path::closed(rectangle(view, [0.0, 0.0, length_mm, height_mm]), Pen::HEAVY));
    for o in &layout.openings {
        let corners = rectangle(view, [o.from_mm, o.sill_mm, o.to_mm, o.head_mm]);
        let [a, b, c, d] = corners;
        group.add(Path::closed(corners, Pen::MEDIUM).with_fill(Ink::Paper));
        group.add(Path::line(a, c, Pen::FINE.in_ink(Ink::Light)));
        group.add(Path::line(b, d, Pen::FINE.in_ink(Ink::Light)));
    }
    group
}

/// The letters of the corners at both ends of the wall, over it.
fn corner_letters(view: &View, layout: &LiningLayout) -> Group {
    let mut group = Group::on_layer("text");
    let [length_mm, height_mm] = layout.size_mm;
    let (first, second) = layout.wall.split_once('-').unwrap_or((&layout.wall, ""));
    let right = if layout.left_corner == first { second } else { first };
    for (letter, x) in [(layout.left_corner.as_str(), 0.0), (right, length_mm)] {
        let at = view.place(x, height_mm).moved(0.0, -CORNER_LETTER_MM);
        group.add(mark::label(at, letter, 4.4).semibold());
    }
    group
}

/// Where each opening ends, in words.
fn tell_openings(lengths: Lengths, layout: &LiningLayout, column: &mut Column<'_>) {
    for o in &layout.openings {
        column.note(&format!(
            "{}: {} to {} from corner {}, {} to {} above the floor.",
            capital(&o.name),
            lengths.figure(o.from_mm, 0),
            lengths.figure(o.to_mm, 0),
            layout.left_corner,
            lengths.figure(o.sill_mm, 0),
            lengths.figure(o.head_mm, 0)
        ));
    }
}

/// Running dimensions along the floor, from the wall's first corner; their figures stand below it.
fn along_floor(view: &View, layout: &LiningLayout, marks: &[(f64, String)]) -> Group {
    let [length_mm, _] = layout.size_mm;
    running(view, (view.place(0.0, 0.0), view.place(length_mm, 0.0)), length_mm, marks, Side::Right)
}

/// Running dimensions up the first corner, from the floor; their figures stand beside it.
fn up_the_corner(view: &View, layout: &LiningLayout, marks: &[(f64, String)]) -> Group {
    let [_, height_mm] = layout.size_mm;
    running(view, (view.place(0.0, 0.0), view.place(0.0, height_mm)), height_mm, marks, Side::Left)
}

fn running(
    view: &View,
    (from, to): (Point, Point),
    length_mm: f64,
    marks: &[(f64, String)],
    labels: Side,
) -> Group {
    let along = Direction::between(from, to);
    let marks = marks.iter().map(|(at, words)| RunningMark::new(view.length(*at), words.clone())).collect();
    running_dimension(&RunningDimension {
        origin: from.along(labels.away(along), OFFSET_MM),
        along,
        labels,
        length_mm: view.length(length_mm),
        marks,
        caption: String::new(),
        size_mm: FIGURE_MM,
    })
}

fn supports(plan: &Plan, lining: &LiningOutcome, layout: &LiningLayout) -> Drawing {
    let view = view(layout, plan.lengths());
    let mut groups = vec![outline(&view, layout), corner_letters(&view, layout)];
    let mut lines = Group::on_layer("supports");
    let mut labels = Labels::on_layer("text");
    for support in &layout.supports {
        let (a, b) = if layout.on_clips {
            (view.place(support.from_mm, support.at_mm), view.place(support.to_mm, support.at_mm))
        } else {
            (view.place(support.at_mm, support.from_mm), view.place(support.at_mm, support.to_mm))
        };
        let pen = if support.reason == SupportReason::Joint { Pen::MEDIUM } else { Pen::THIN };
        lines.add(Path::line(a, b, pen));
        for clip in &support.clips_mm {
            lines.add(mark::cross(view.place(*clip, support.at_mm), 0.95, Pen::MEDIUM));
        }
    }
    for piece in &layout.cross_pieces {
        lines.add(Path::line(
            view.place(piece.from_mm, piece.at_mm),
            view.place(piece.to_mm, piece.at_mm),
            Pen::MEDIUM,
        ));
    }
    groups.push(lines);
    let marks = support_marks(plan.lengths(), layout);
    if layout.on_clips {
        groups.push(up_the_corner(&view, layout, &marks));
        let clips = clip_marks(plan.lengths(), layout);
        if !clips.is_empty() && clips.len() <= MOST_CLIP_MARKS {
            groups.push(along_floor(&view, layout, &clips));
        }
    } else {
        groups.push(along_floor(&view, layout, &marks));
    }
    for group in &groups {
        labels.watch(group);
    }
    for o in &layout.openings {
        let at = view.place(f64::midpoint(o.from_mm, o.to_mm), f64::midpoint(o.sill_mm, o.head_mm));
        labels.put(around(at, &o.name, FIGURE_MM, &[0.0, 3.0]));
    }
    groups.push(labels.finish());
    let what = if layout.on_clips { "bars and clips" } else { "studs" };
    let subtitle = format!(
        "Seen from inside the room. Dimensions in mm {}, to the middle of each {}.",
        if layout.on_clips {
            format!(
                "along the floor from corner {}, at the left, to each row of clips, and up from the floor",
                layout.left_corner
            )
        } else {
            format!("from corner {}, at the left", layout.left_corner)
        },
        if layout.on_clips { "bar" } else { "stud" }
    );
    finish(
        plan,
        format!("lining-{}-{}", id(layout), what.replace(' ', "-")),
        format!("Lining of wall {}: {what}", printed(&layout.wall)),
        &subtitle,
        view,
        groups,
        |column| {
            write_supports(plan.lengths(), lining, layout, column);
        },
    )
}

fn support_marks(lengths: Lengths, layout: &LiningLayout) -> Vec<(f64, String)> {
    let mut marks: Vec<(f64, String)> = Vec::new();
    for support in &layout.supports {
        if marks.iter().all(|(at, _)| (at - support.at_mm).abs() > 0.5) {
            marks.push((support.at_mm, lengths.figure(support.at_mm, 0)));
        }
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    marks
}

/// Where clips are along the wall, each place once.
fn clip_marks(lengths: Lengths, layout: &LiningLayout) -> Vec<(f64, String)> {
    let mut places: Vec<f64> = layout.supports.iter().flat_map(|bar| bar.clips_mm.iter().copied()).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 0.5);
    places.into_iter().map(|at| (at, lengths.figure(at, 0))).collect()
}

/// The clips of a bar from the left corner, each with its packer in brackets where the wall bows.
fn clip_words(lengths: Lengths, lining: &LiningOutcome, clips_mm: &[f64]) -> String {
    let words = clips_mm.iter().map(|clip| {
        let at = lengths.figure(*clip, 0);
        match lining.clip_packer_mm(*clip) {
            Some(packer) => format!("{at}\u{a0}({})", lengths.figure(packer, 0)),
            None => at,
        }
    });
    words.collect::<Vec<_>>().join(", ")
}

fn write_supports(lengths: Lengths, lining: &LiningOutcome, layout: &LiningLayout, column: &mut Column<'_>) {
    let columns = if layout.on_clips {
        let head = ["bar", "height", "from", "to"].map(TableColumn::right);
        let clips = if lining.bow_mm.is_some() { "clips (packer)" } else { "clips" };
        head.into_iter().chain([TableColumn::wide(format!("{clips}, from {}", layout.left_corner))]).collect()
    } else {
        ["stud", "at", "foot", "head", "why"].map(TableColumn::right).into()
    };
    let mut table = Table::new(columns);
    for support in &layout.supports {
        let why = match support.reason {
            SupportReason::Edge => "end",
            SupportReason::Joint => "joint",
            SupportReason::Field => "field",
            SupportReason::Opening => "opening",
        };
        table.row([
            support.number.to_string(),
            lengths.figure(support.at_mm, 0),
            lengths.figure(support.from_mm, 0),
            lengths.figure(support.to_mm, 0),
            if layout.on_clips { clip_words(lengths, lining, &support.clips_mm) } else { why.to_owned() },
        ]);
    }
    column.table(table, "the rest stand in the list of linings", 60.0);
    column.note(&format!(
        "{} {} of stock length{}.",
        layout.stock_lengths,
        if layout.on_clips { "bars" } else { "studs" },
        if layout.on_clips { format!(", {} clips", layout.clips) } else { String::new() }
    ));
    if let Some(bow_mm) = lining.bow_mm {
        let way = if bow_mm < 0.0 { "bulges into the room by" } else { "is hollow by" };
        column.note(&format!(
            "The wall {way} {}: packers behind the clips bring the bars into one plane. They take it for one arc from corner to corner; \
             hold a straightedge to the bars before the first board.",
            lengths.with_unit(bow_mm.abs(), 0)
        ));
    }
    tell_openings(lengths, layout, column);
    for piece in layout.cross_pieces.iter().filter(|piece| piece.what.contains(' ')) {
        column.note(&format!(
            "{} at {}, from {} to {}.",
            capital(&piece.what),
            lengths.figure(piece.at_mm, 0),
            lengths.figure(piece.from_mm, 0),
            lengths.figure(piece.to_mm, 0)
        ));
    }
    if let Some(kg) = layout.heaviest_clip_kg {
        column.note(&format!("The clip that carries most has {} in shear.", with_unit(kg, 1, "kg")));
    }
    tell(layout, column);
}

fn tell(layout: &LiningLayout, column: &mut Column<'_>) {
    for breach in layout.breaches_told() {
        column.warning(&format!("{}.", capital(&breach)));
    }
    for note in &layout.notes {
        column.note(&format!("{}.", capital(note)));
    }
}

fn boards(plan: &Plan, layout: &LiningLayout, layer: &WallLayer) -> Drawing {
    let lengths = plan.lengths();
    let view = view(layout, plan.lengths());
    let mut groups = vec![outline(&view, layout), corner_letters(&view, layout)];
    let mut pieces = Group::on_layer("boards");
    for piece in &layer.pieces {
        let sides = [piece.from_mm, piece.foot_mm, piece.to_mm, piece.head_mm];
        let fill = if piece.whole { Ink::Wash } else { Ink::Paper };
        pieces.add(Path::closed(rectangle(&view, sides), Pen::MEDIUM).with_fill(fill));
    }
    for support in &layout.supports {
        let (a, b) = if layout.on_clips {
            (view.place(support.from_mm, support.at_mm), view.place(support.to_mm, support.at_mm))
        } else {
            (view.place(support.at_mm, support.from_mm), view.place(support.at_mm, support.to_mm))
        };
        pieces.add(Path::line(a, b, UPRIGHT.in_ink(Ink::Light)));
    }
    groups.insert(0, pieces);
    let [length_mm, _] = layout.size_mm;
    let mut marks: Vec<(f64, String)> =
        layer.upright_joints_mm.iter().map(|at| (*at, lengths.figure(*at, 0))).collect();
    marks.push((length_mm, lengths.figure(length_mm, 0)));
    groups.push(along_floor(&view, layout, &marks));
    let mut labels = Labels::on_layer("text");
    for group in groups.iter().skip(1) {
        labels.watch(group);
    }
    for piece in &layer.pieces {
        // The middle of the piece, or of what is left of it below, above or beside its cut-outs.
        let (x, y) = (f64::midpoint(piece.from_mm, piece.to_mm), f64::midpoint(piece.foot_mm, piece.head_mm));
        let low = piece.cut_outs_mm.iter().map(|c| c[1]).fold(f64::INFINITY, f64::min);
        let high = piece.cut_outs_mm.iter().map(|c| c[3]).fold(f64::NEG_INFINITY, f64::max);
        let y = match (low - piece.foot_mm, piece.head_mm - high) {
            _ if piece.cut_outs_mm.is_empty() => y,
            (below, above) if below >= above => f64::midpoint(piece.foot_mm, low),
            _ => f64::midpoint(high, piece.head_mm),
        };
        let at = view.place(x, y);
        labels.put(around(at, &piece.name, FIGURE_MM, &[0.0, 3.0, 6.0, 9.0, 14.0]));
    }
    groups.push(labels.finish());
    let subtitle = format!(
        "Seen from inside the room. {}; {} boards, {} screws, {}. Grey: whole boards. Dimensions in mm from corner {}, at \
         the left, to each upright joint.",
        capital(&layer.material),
        layer.sheets,
        layer.screws,
        layer.screws_told,
        layout.left_corner
    );
    let title = format!("Lining of wall {}: layer {}", printed(&layout.wall), layer.number);
    finish(
        plan,
        format!("lining-{}-layer-{}", id(layout), layer.number),
        title,
        &subtitle,
        view,
        groups,
        |column| {
            let mut table = Table::new(vec![
                TableColumn::left("piece"),
                TableColumn::right("wide"),
                TableColumn::right("high"),
                TableColumn::right("board"),
                TableColumn::left("cut out: from left, from foot, wide, high"),
            ]);
            for piece in &layer.pieces {
                let holes: Vec<String> = piece
                    .cut_outs_mm
                    .iter()
                    .map(|c| {
                        format!(
                            "{}, {}, {}, {}",
                            lengths.figure(c[0] - piece.from_mm, 0),
                            lengths.figure(c[1] - piece.foot_mm, 0),
                            lengths.figure(c[2] - c[0], 0),
                            lengths.figure(c[3] - c[1], 0)
                        )
                    })
                    .collect();
                table.row([
                    piece.name.clone(),
                    lengths.figure(piece.to_mm - piece.from_mm, 0),
                    lengths.figure(piece.head_mm - piece.foot_mm, 0),
                    sheet_words(layer, piece),
                    holes.join("; "),
                ]);
            }
            column.table(table, "the rest stand in the list of linings", 40.0);
            tell_openings(lengths, layout, column);
            column.note(&format!(
                "{} boards for all layers; {}.",
                layout.boards,
                if layout.proved_fewest_boards {
                    "no layout of the family looked at needs fewer".to_owned()
                } else {
                    format!("none of the family looked at needs fewer than {}", layout.least_boards)
                }
            ));
            column.note(&format!("The family: {}.", layout.family));
        },
    )
}

/// The sheet a piece is cut from: `3`, or `3 of layer 1` where an earlier layer buys it.
fn sheet_words(layer: &WallLayer, piece: &WallPiece) -> String {
    let from = layer.sheet_of(piece);
    if from.layer == layer.number {
        from.sheet.to_string()
    } else {
        format!("{} of layer {}", from.sheet, from.layer)
    }
}

fn finish(
    plan: &Plan,
    id: String,
    title: String,
    subtitle: &str,
    view: View,
    groups: Vec<Group>,
    write: impl FnOnce(&mut Column<'_>),
) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let mut scene = Scene::new(width, height);
    scene.extend(groups.into_iter().map(paper::Item::Group));
    let mut column = Column::new(plan, Extent::new(width - COLUMN_MM, 1.0, width - 0.5, height - 0.5));
    let subtitle = plan.shown(subtitle);
    column.title(&title, &subtitle);
    write(&mut column);
    scene.add(column.finish());
    Drawing { id, title, subtitle, scene, scale: Some(view.scale), model: Some(ModelSpace::of(&view)) }
}

fn id(layout: &LiningLayout) -> String {
    layout.wall.to_lowercase()
}

fn printed(name: &str) -> String {
    name.replace('-', "–")
}
