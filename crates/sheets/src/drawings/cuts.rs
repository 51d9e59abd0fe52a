//! How each sheet is cut: its pieces as they lie on it, every corner dimensioned from the sheet's own edges, the cuts in order.

use geometry::Point as SheetPoint;
use paper::{
    Dash, Extent, Group, Hatch, Ink, Item, Path, Pen, Point, Scale, Scene, Text, Weight, dxf::ModelSpace,
    font, hatch, mark, point::Direction, region::Region, wrap::wrap,
};
use plan::Plan;
use setout::{BoardLayer, EdgeMade, Layer, Layout, Piece, Sheet, cut_from};

mod edge_marks;
mod head;
mod lining;
mod order;

use edge_marks::{Edge, inside_dots, inside_figures, run, snapped};
use head::{head, head_height, heading};
use order::{SawCut, order};

pub(super) use lining::drawings as lining_drawings;

use super::{
    Drawing, is_small,
    labels::{Candidate, Labels, block},
    room_on,
    room_plan::{FIGURE_MM, printed},
};

/// The scales a sheet may be drawn at.
const SCALES: [f64; 4] = [10.0, 20.0, 25.0, 50.0];
/// So many cut sheets should find room on one page before a larger scale is taken; on a small one, so many.
const WISHED_ON_A_PAGE: usize = 6;
const WISHED_ON_A_SMALL_ONE: usize = 2;
/// Between one sheet's drawing and the next, mm.
const BETWEEN_MM: f64 = 6.0;
/// Hatch of what is left over.
const WASTE: Hatch = Hatch::Lines { angle_deg: 45.0, apart_mm: 2.4 };
/// A cut edge.
const CUT: Pen = Pen::BOLD;
/// A cut edge that wants tape.
const TAPED: Pen = Pen::new(0.9);
/// A cut that is made when a later layer goes up.
const LATER: Pen = Pen::THIN.dashed(Dash::Dashed);

/// The ring round the number of a cut, mm of paper.
const RING_MM: f64 = 2.4;
/// What it costs that a number may be taken for that of another cut.
const MISTAKEN: f64 = 12.0;

/// A sheet that is cut, and the others cut the same way.
struct CutSheet<'a> {
    sheet: &'a Sheet,
    pieces: Vec<&'a Piece>,
    alike: Vec<(&'a Sheet, Vec<&'a Piece>)>,
}

/// What all the sheets of a layer have in common.
struct Cutting<'a> {
    plan: &'a Plan,
    face: &'a Face,
    /// All layers of the face.
    layers: &'a [Layer],
    layer: &'a Layer,
    board: &'a BoardLayer,
    kerf_mm: f64,
    scale: Scale,
}

/// What the boards are for.
struct Face {
    /// Begins the names of its drawings: `cut`, `cut-lining-a-b`.
    id: String,
    /// Ends their titles: nothing, or ` of the lining of wall A–B`.
    of: String,
    /// How its sheets are seen, and what is taken off them already, in sentences.
    seen: String,
    taken_off: String,
    /// Which way the arrows point, in the plane of the outlines, and in words.
    across: SheetPoint,
    towards: Option<String>,
}

impl Face {
    fn ceiling(plan: &Plan, layout: &Layout) -> Self {
        Self {
            id: "cut".to_owned(),
            of: String::new(),
            seen: "Each sheet is seen on the face that will be seen from the room: the mirror image of the floor plan."
                .to_owned(),
            taken_off: format!("The gap to the walls is taken off: {}.", plan.ceiling.gap_words()),
            across: layout.frame.across,
            towards: far_wall(plan, layout).map(|wall| format!("this way lies towards wall {wall}")),
        }
    }
}

/// The pages of every layer that has sheets to cut: `cut-layer-1`, and `cut-layer-1-b` and so on where one page is not
/// enough.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let (Some(layout), Some(given)) = (&plan.ceiling.layout, &plan.ceiling.given) else { return Vec::new() };
    let face = Face::ceiling(plan, layout);
    let layers = layout.layers.iter().zip(&given.layers);
    let cutting = |(layer, board)| Cutting {
        plan,
        face: &face,
        layers: &layout.layers,
        layer,
        board,
        kerf_mm: given.rules.kerf_mm,
        scale: Scale::one_to(10.0),
    };
    layers.map(cutting).flat_map(pages).collect()
}

/// One cut sheet drawn by itself, for a narrow screen.
#[derive(Clone, Debug, PartialEq)]
pub struct CutAlone {
    /// Layer, from 1.
    pub layer: usize,
    /// `Sheet 3: 1-04, 1-05`, with the sheets cut the same way.
    pub title: String,
    /// The wall the arrows point to.
    pub towards: Option<String>,
    /// The drawing, without its title.
    pub scene: Scene,
}

/// Every cut sheet of every layer by itself, a whole sheet `sheet_mm` long.
pub(super) fn alone(plan: &Plan, sheet_mm: f64) -> Vec<CutAlone> {
    let (Some(layout), Some(given)) = (&plan.ceiling.layout, &plan.ceiling.given) else { return Vec::new() };
    let face = Face::ceiling(plan, layout);
    let mut all = Vec::new();
    for (layer, board) in layout.layers.iter().zip(&given.layers) {
        let scale = Scale::one_to((board.length_mm / sheet_mm).max(1.0));
        let (layers, kerf_mm) = (layout.layers.as_slice(), given.rules.kerf_mm);
        let cutting = Cutting { plan, face: &face, layers, layer, board, kerf_mm, scale };
        for cut in cut_sheets(&cutting) {
            let mut group = drawn(&cutting, &cut);
            let Some(extent) = group.drawn_extent() else { continue };
            group.shift(1.0 - extent.left, 1.0 - extent.top);
            let mut scene = Scene::new(extent.width() + 2.0, extent.height() + 2.0);
            scene.add(group);
            all.push(CutAlone {
                layer: layer.number,
                title: title(&cut),
                towards: far_wall(plan, layout),
                scene,
            });
        }
    }
    all
}

fn pages(mut cutting: Cutting<'_>) -> Vec<Drawing> {
    let sheets = cut_sheets(&cutting);
    if sheets.is_empty() {
        return Vec::new();
    }
    let paper = cutting.plan.title.paper;
    let [width, height] = room_on(paper);
    let wished = if is_small(paper) { WISHED_ON_A_SMALL_ONE } else { WISHED_ON_A_PAGE };
    let allowed = sheets.len().div_ceil(wished);
    let mut laid: Vec<Vec<Group>> = Vec::new();
    let area = Extent::new(1.0, head_height(&cutting) + 4.0, width - 1.0, height - 1.0);
    for denominator in SCALES {
        cutting.scale = Scale::one_to(denominator);
        laid = lay_out(sheets.iter().map(|sheet| cell(&cutting, sheet)).collect(), area);
        let fits = laid.iter().flatten().filter_map(Group::drawn_extent).all(|extent| area.holds(&extent));
        if fits && laid.len() <= allowed {
            break;
        }
    }
    let count = laid.len();
    laid.into_iter()
        .enumerate()
        .map(|(at, groups)| {
            let letter = u8::try_from(at).ok().filter(|at| *at < 26).map_or('z', |at| char::from(b'a' + at));
            let mut scene = Scene::new(width, height);
            let (title, subtitle) = heading(&cutting, sheets.len(), (at, count));
            scene.add(head(&cutting, &title, &subtitle));
            scene.extend(groups.into_iter().map(Item::Group));
            Drawing {
                id: if at == 0 {
                    format!("{}-layer-{}", cutting.face.id, cutting.layer.number)
                } else {
                    format!("{}-layer-{}-{letter}", cutting.face.id, cutting.layer.number)
                },
                title,
                subtitle,
                model: Some(ModelSpace { scale: cutting.scale, ..ModelSpace::paper(&scene) }),
                scene,
                scale: Some(cutting.scale),
            }
        })
        .collect()
}

/// The sheets that are cut, equal ones together.
fn cut_sheets<'a>(cutting: &Cutting<'a>) -> Vec<CutSheet<'a>> {
    let (layer, board) = (cutting.layer, cutting.board);
    let mut all: Vec<CutSheet<'_>> = Vec::new();
    for sheet in &layer.sheets {
        let pieces = cut_from(cutting.layers, layer, sheet);
        // A piece larger than its sheet cannot be cut: it stands among the breaches, never in a drawing to saw by.
        let whole = |piece: &&Piece| piece.whole || all_but_whole(piece, board);
        // What is up was cut long ago.
        let up = |piece: &&Piece| {
            let found = cutting.plan.ceiling.as_built.as_ref().filter(|_| cutting.face.id == "cut");
            found.is_some_and(|found| found.boards_up.contains(&piece.name))
        };
        let done = pieces.iter().all(|piece| up(piece) || whole(piece));
        if pieces.is_empty() || done || pieces.iter().any(|p| p.too_large) {
            continue;
        }
        match all.iter_mut().find(|other| same_cuts(&other.pieces, &pieces)) {
            Some(other) => other.alike.push((sheet, pieces)),
            None => all.push(CutSheet { sheet, pieces, alike: Vec::new() }),
        }
    }
    all
}

/// A whole board but for less than a saw takes off.
fn all_but_whole(piece: &Piece, board: &BoardLayer) -> bool {
    let on_edge = |p: &SheetPoint| {
        let near = |at: f64, whole: f64| at.abs() < 1e-6 || (at - whole).abs() < 1e-6;
        near(p.x_mm, board.width_mm) && near(p.y_mm, board.length_mm)
    };
    !piece.whole && piece.cut_outs.is_empty() && snapped(board, &piece.on_sheet).iter().all(on_edge)
}

/// Whether the pieces of two sheets have the same corners, to half a millimetre.
fn same_cuts(one: &[&Piece], other: &[&Piece]) -> bool {
    one.len() == other.len()
        && one.iter().zip(other).all(|(a, b)| {
            a.layer == b.layer
                && a.cut_outs.is_empty()
                && b.cut_outs.is_empty()
                && a.on_sheet.len() == b.on_sheet.len()
                && a.on_sheet.iter().zip(&b.on_sheet).all(|(p, q)| p.distance_mm(*q) < 0.5)
        })
}

/// The wall that lies across the bars from the middle of the room: what the arrows point to.
fn far_wall(plan: &Plan, layout: &Layout) -> Option<String> {
    let survey = &plan.survey;
    let middle = survey.polygon.centroid();
    let ray = geometry::Segment { from: middle, to: middle + layout.frame.across * 1e5 };
    survey
        .walls
        .iter()
        .filter_map(|wall| {
            let side = geometry::Segment {
                from: survey.corners.get(wall.from)?.at,
                to: survey.corners.get(wall.to)?.at,
            };
            Some((ray.meets(side)?.distance_mm(middle), &wall.name))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| printed(name))
}

fn arrow(at: Point, towards: Direction, length: f64) -> Group {
    let mut group = Group::default();
    let (tail, tip) = (at.along(towards.back(), length / 2.0), at.along(towards, length / 2.0));
    let neck = tip.along(towards.back(), 1.5);
    group.add(Path::line(tail, neck, Pen::THIN));
    group.add(Path::filled(
        [tip, neck.along(towards.left(), 0.65), neck.along(towards.right(), 0.65)],
        Ink::Ink,
    ));
    group
}

/// Rows of drawings of sheets, as many in a row and on a page as have room; each row as high as its highest.
fn lay_out(cells: Vec<Group>, area: Extent) -> Vec<Vec<Group>> {
    let sizes: Vec<Extent> = cells.iter().map(|cell| cell.drawn_extent().unwrap_or_default()).collect();
    let widest = sizes.iter().map(Extent::width).fold(1.0, f64::max);
    let columns = (((area.width() + BETWEEN_MM) / (widest + BETWEEN_MM)).floor() as usize).max(1);
    let step = (area.width() - widest) / (columns.max(2) - 1) as f64;
    let step = step.min(widest + BETWEEN_MM * 3.0);
    let mut rows: Vec<(Vec<(Group, Extent)>, f64)> = Vec::new();
    let mut cells = cells.into_iter().zip(sizes).peekable();
    while cells.peek().is_some() {
        let row: Vec<(Group, Extent)> = cells.by_ref().take(columns).collect();
        let height = row.iter().map(|(_, size)| size.height()).fold(0.0, f64::max);
        rows.push((row, height));
    }
    let mut pages: Vec<Vec<Group>> = Vec::new();
    let mut rows = rows.into_iter().peekable();
    while rows.peek().is_some() {
        let mut on_page = Vec::new();
        let mut used = 0.0;
        while let Some((_, height)) = rows.peek()
            && (on_page.is_empty() || used + BETWEEN_MM + height <= area.height() + 0.01)
        {
            used += height + if on_page.is_empty() { 0.0 } else { BETWEEN_MM };
            on_page.extend(rows.next());
        }
        // What room is left is shared out between the rows, within reason.
        let spare = ((area.height() - used) / on_page.len() as f64).clamp(0.0, 14.0);
        let mut top = area.top;
        let mut page = Vec::new();
        for (row, height) in on_page {
            for (at, (mut group, size)) in row.into_iter().enumerate() {
                group.shift(area.left + step * at as f64 - size.left, top - size.top);
                page.push(group);
            }
            top += height + BETWEEN_MM + spare;
        }
        pages.push(page);
    }
    pages
}

/// One sheet lying: its length runs to the right, its width down, its first factory corner at zero.
struct OnPaper {
    scale: Scale,
}

impl OnPaper {
    fn at(&self, point: SheetPoint) -> Point {
        Point::new(self.scale.on_paper_mm(point.y_mm), self.scale.on_paper_mm(point.x_mm))
    }

    fn all(&self, points: &[SheetPoint]) -> Vec<Point> {
        points.iter().map(|point| self.at(*point)).collect()
    }
}

fn cell(cutting: &Cutting<'_>, cut: &CutSheet<'_>) -> Group {
    let mut group = drawn(cutting, cut);
    let extent = group.drawn_extent().unwrap_or_default();
    let mut words = Group::on_layer("text");
    let at = Point::new(extent.left, extent.top - 2.0);
    let name = title(cut);
    let lines = wrap(&name, 3.0, Weight::Semibold, extent.width().max(60.0));
    let count = lines.len();
    for (row, line) in lines.into_iter().enumerate() {
        let up = (count - 1 - row) as f64 * 3.0 * font::LINE_SPACING;
        words.add(Text::new(at.moved(0.0, -up), line, 3.0).semibold());
    }
    group.add(words);
    group
}

/// A sheet with its pieces and dimensions.
fn drawn(cutting: &Cutting<'_>, cut: &CutSheet<'_>) -> Group {
    let on = OnPaper { scale: cutting.scale };
    let board = cutting.board;
    let far = on.at(SheetPoint::new(board.width_mm, board.length_mm));
    let sheet = Extent::new(0.0, 0.0, far.x, far.y);
    let mut group = Group::default().with_id(format!(
        "{}sheet-{}-{}",
        cutting.face.id.trim_start_matches("cut").trim_start_matches('-'),
        cutting.layer.number,
        cut.sheet.number
    ));

    let outlines: Vec<Vec<Point>> = cut.pieces.iter().map(|piece| on.all(&piece.on_sheet)).collect();
    let cut_outs: Vec<Vec<Point>> =
        cut.pieces.iter().flat_map(|piece| cut_outs_on_sheet(piece)).map(|ring| on.all(&ring)).collect();
    let mut rings = vec![sheet.corners().to_vec()];
    rings.extend(outlines.iter().cloned());
    rings.extend(cut_outs.iter().cloned());
    let mut waste = Group::on_layer("left over");
    waste.extend(hatch::fill_rings(&rings, WASTE, Ink::Light));
    group.add(waste);

    let mut lines = Group::on_layer("sheets");
    lines.add(Path::rectangle(sheet, Pen::THIN));
    for (piece, outline) in cut.pieces.iter().zip(&outlines) {
        lines.add(piece_lines(cutting.board, piece, outline, piece.layer != cutting.layer.number));
    }
    for ring in &cut_outs {
        lines.add(Path::closed(ring.iter().copied(), CUT));
    }
    let as_cut: Vec<Vec<SheetPoint>> =
        cut.pieces.iter().map(|piece| snapped(board, &piece.on_sheet)).collect();
    let now = cut.pieces.iter().filter(|piece| piece.layer == cutting.layer.number).count();
    let cuts = order([board.width_mm, board.length_mm], cutting.kerf_mm, &as_cut, now);
    let mut saw = Group::on_layer("sheets");
    for cut in cuts.iter().filter(|cut| cut.through) {
        let pen = if cut.later { LATER } else { Pen::THIN };
        saw.add(Path::line(on.at(cut.from), on.at(cut.to), pen));
    }
    lines.add(saw);
    lines.add(inside_dots(&on, board, cut));
    let mut runs = Group::on_layer("dimensions");
    for edge in Edge::ALL {
        runs.items.extend(run(&on, (board, cut), edge, cutting.plan.lengths()).map(Item::Group));
    }
    let mut labels = Labels::on_layer("text");
    labels.watch(&lines);
    labels.watch(&runs);
    // A piece's name has to stand in it, a cut's number by its line; figures may go anywhere round their corner.
    for (piece, outline) in cut.pieces.iter().zip(&outlines) {
        piece_label(cutting, piece, outline, &mut labels);
    }
    for at in 0..cuts.len() {
        number_cut(&on, at, &cuts, &mut labels);
    }
    inside_figures(&on, (board, cut), cutting.plan.lengths(), &mut labels);
    group.add(runs);
    group.add(lines);
    group.add(labels.finish());
    group
}

/// The number of a cut on its line, or led to it where it is short: never where another cut might be meant.
fn number_cut(on: &OnPaper, number: usize, cuts: &[SawCut], labels: &mut Labels) {
    let line = |cut: &SawCut| (on.at(cut.from), on.at(cut.to));
    let Some((from, to)) = cuts.get(number).map(line) else { return };
    let others: Vec<(Point, Point)> =
        cuts.iter().enumerate().filter(|(at, _)| *at != number).map(|(_, cut)| line(cut)).collect();
    let (along, length) = (Direction::between(from, to), from.distance_to(to));
    let words = (number + 1).to_string();
    let sign = |at: Point| Some(mark::ringed(at, &words, FIGURE_MM, Ink::Grey));
    // Between the foot and the ring's far side runs another cut's line.
    let may_be_of_another = |foot: Point, reach: Point| {
        let between = SheetPoint::new(foot.x, foot.y).toward(SheetPoint::new(reach.x, reach.y), 0.5);
        let half = foot.distance_to(reach) / 2.0;
        others.iter().any(|(a, b)| {
            let other = geometry::Segment { from: SheetPoint::new(a.x, a.y), to: SheetPoint::new(b.x, b.y) };
            other.distance_mm(between) < half
        })
    };
    let on_line =
        [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88].into_iter().enumerate().map(|(step, share)| {
            let at = from.along(along, length * share);
            let ends = [along.left(), along.right()].map(|away| at.along(away, RING_MM));
            let cost = if may_be_of_another(ends[0], ends[1]) { MISTAKEN } else { 0.0 };
            Candidate { sign: sign(at), cost: cost + step as f64 * 0.05, ..Candidate::default() }
        });
    let beside = (0..176_u32).map(|step| {
        let shares = [0.5, 0.42, 0.58, 0.35, 0.65, 0.28, 0.72, 0.2, 0.8, 0.08, 0.92];
        let share = shares.get((step / 2) as usize % shares.len()).copied().unwrap_or(0.5);
        let foot = from.along(along, length * share);
        let away = if step % 2 == 0 { along.left() } else { along.right() };
        let reach = 5.0 + f64::from(step / 22) * 1.5;
        let at = foot.along(away, reach);
        let leader = Some([foot, foot.along(away, reach - RING_MM)]);
        let mistaken = if may_be_of_another(foot, at) { MISTAKEN } else { 0.0 };
        let cost = 3.0 + mistaken + f64::from(step) * 0.02;
        Candidate { sign: sign(at), leader, cost, ..Candidate::default() }
    });
    labels.put(on_line.chain(beside));
}

fn title(cut: &CutSheet<'_>) -> String {
    let own = cut.pieces.first().map_or(0, |piece| piece.layer);
    let names = |pieces: &[&Piece]| {
        let mut layers: Vec<usize> = pieces.iter().map(|piece| piece.layer).collect();
        layers.dedup();
        let of = |layer: usize| {
            let some = pieces.iter().filter(|piece| piece.layer == layer);
            some.map(|piece| piece.name.as_str()).collect::<Vec<_>>().join(", ")
        };
        let later = layers.iter().filter(|layer| **layer != own);
        later
            .fold(of(own), |words, layer| format!("{words}; keep the rest for layer {layer}: {}", of(*layer)))
    };
    let mut words = format!("Sheet {}: {}", cut.sheet.number, names(&cut.pieces));
    for (sheet, pieces) in &cut.alike {
        words = format!("{words}; the same, sheet {}: {}", sheet.number, names(pieces));
    }
    words
}

/// Every edge of a piece: thin where it is the sheet's own, bold where it is cut, heavy where it is taped too, dashed where it is cut later.
fn piece_lines(board: &BoardLayer, piece: &Piece, outline: &[Point], later: bool) -> Group {
    let mut group = Group::default().with_id(format!("cut-{}", piece.name));
    let cut_pen = match (later, piece.tape_mm > 0.0) {
        (true, _) => LATER,
        (false, true) => TAPED,
        (false, false) => CUT,
    };
    let spared = |a: SheetPoint, b: SheetPoint| {
        let on = |p: f64, q: f64, at: f64| (p - at).abs().max((q - at).abs()) <= order::SPARED_MM;
        on(a.x_mm, b.x_mm, 0.0)
            || on(a.x_mm, b.x_mm, board.width_mm)
            || on(a.y_mm, b.y_mm, 0.0)
            || on(a.y_mm, b.y_mm, board.length_mm)
    };
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    let lying = piece.on_sheet.iter().zip(piece.on_sheet.iter().cycle().skip(1));
    for (((from, to), (a, b)), edge) in ends.zip(lying).zip(&piece.edges) {
        let pen = if edge.made == EdgeMade::Cut && !spared(*a, *b) { cut_pen } else { Pen::THIN };
        group.add(Path::line(*from, *to, pen));
    }
    group
}

/// Room points laid on the sheet the way the piece's outline is; `None` for an outline of no area.
fn on_sheet(piece: &Piece, point: SheetPoint) -> Option<SheetPoint> {
    let (start, rest) = piece.outline.split_first()?;
    let (sheet_start, sheet_rest) = piece.on_sheet.split_first()?;
    let (one, two) = (*rest.first()? - *start, *rest.last()? - *start);
    let (sheet_one, sheet_two) = (*sheet_rest.first()? - *sheet_start, *sheet_rest.last()? - *sheet_start);
    let whole = one.cross(two);
    if whole.abs() < 1e-6 {
        return None;
    }
    let step = point - *start;
    Some(*sheet_start + sheet_one * (step.cross(two) / whole) + sheet_two * (one.cross(step) / whole))
}

fn cut_outs_on_sheet(piece: &Piece) -> Vec<Vec<SheetPoint>> {
    piece
        .cut_outs
        .iter()
        .map(|ring| ring.iter().filter_map(|point| on_sheet(piece, *point)).collect())
        .collect()
}

fn piece_label(cutting: &Cutting<'_>, piece: &Piece, outline: &[Point], labels: &mut Labels) {
    let Some(extent) = Extent::round(outline.iter().copied()) else { return };
    let region = Region::inside(outline);
    let size = format!(
        "{}\u{202F}×\u{202F}{}",
        cutting.plan.lengths().figure(piece.length_mm, 0),
        cutting.plan.lengths().figure(piece.width_mm, 0)
    );
    // Which way the wall lies, on the sheet.
    let start = piece.outline.first().copied().unwrap_or_default();
    let towards = on_sheet(piece, start)
        .zip(on_sheet(piece, start + cutting.face.across * 100.0))
        .map(|(from, to)| Direction::between(Point::new(from.y_mm, from.x_mm), Point::new(to.y_mm, to.x_mm)));
    let all = [piece.name.as_str(), size.as_str()];
    let mut ways = Vec::new();
    for (rows, words_cost) in [(2, 0.0), (1, 0.5)] {
        for (turn_deg, turn_cost) in [(0.0, 0.0), (90.0, 0.3)] {
            for across in [0.0, 0.08, -0.08, 0.16, -0.16, 0.24, -0.24, 0.32, -0.32_f64] {
                for down in [0.0, 0.08, -0.08, 0.16, -0.16, 0.24, -0.24, 0.32, -0.32_f64] {
                    let middle = extent.centre().moved(across * extent.width(), down * extent.height());
                    let texts = block(middle, all.get(..rows).unwrap_or(&all), FIGURE_MM, turn_deg);
                    let reach = texts.iter().map(Text::width_mm).fold(0.0, f64::max) / 2.0 + 3.4;
                    let beside = Direction::between(
                        Point::default(),
                        if turn_deg > 45.0 { Point::new(0.0, 1.0) } else { Point::new(-1.0, 0.0) },
                    );
                    let sign = towards.map(|towards| arrow(middle.along(beside, reach), towards, 3.4));
                    let outside = texts
                        .iter()
                        .flat_map(|text| text.corners(0.3))
                        .chain(
                            sign.as_ref()
                                .and_then(Group::drawn_extent)
                                .into_iter()
                                .flat_map(|extent| extent.corners()),
                        )
                        .filter(|corner| !region.contains(*corner))
                        .count();
                    let cost =
                        words_cost + turn_cost + (across.abs() + down.abs()) * 0.5 + 3.0 * outside as f64;
                    ways.push(Candidate { texts, sign, leader: None, cost });
                }
            }
        }
    }
    ways.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    labels.put(ways);
}
