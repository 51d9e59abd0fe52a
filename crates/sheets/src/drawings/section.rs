//! Every build-up in section, to scale: the roof with its joists, clips and details on a sheet of its own, the walls and
//! openings side by side.

use paper::{
    Dash, Extent, Group, Ink, Path, Pen, Point, Scale, Scene, Text,
    dimension::{Dimension, Side, dimension},
    leader::{Note, NoteColumn, note_column},
    mark,
    table::{Cell, Column as TableColumn, Table},
};
use plan::{
    Plan,
    outcome::{BuildupOutcome, DrawnAs},
};
use quantities::format::{number, with_unit};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM, clip_details,
    column::{Column, Sample},
    is_small,
    layers::{self, Runs, WORDS_MM, caption, layer_words},
    room_on,
};

/// Width of the column of words, mm.
pub(super) const COLUMN_MM: f64 = 100.0;
/// Scales a section is drawn at.
const SCALES: [f64; 5] = [2.0, 5.0, 10.0, 20.0, 50.0];

/// A sheet for every roof or ceiling, then sheets of four for the others.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all: Vec<Drawing> = plan
        .buildups
        .iter()
        .filter(|buildup| buildup.lies_flat && !buildup.layers.is_empty())
        .map(|buildup| flat(plan, buildup))
        .collect();
    let upright: Vec<&BuildupOutcome> =
        plan.buildups.iter().filter(|buildup| !buildup.lies_flat && !buildup.layers.is_empty()).collect();
    let on_a_sheet = if is_small(plan.title.paper) { 2 } else { 4 };
    let sheets = upright.chunks(on_a_sheet).count();
    for (index, some) in upright.chunks(on_a_sheet).enumerate() {
        all.push(walls(plan, some, if sheets > 1 { Some(index + 1) } else { None }));
    }
    all
}

/// The free room left of the column.
pub(super) fn drawing_area() -> Extent {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    Extent::new(0.0, 0.0, width - COLUMN_MM - 8.0, height)
}

/// The column at the right of a sheet.
pub(super) fn word_column(plan: &Plan) -> Column<'_> {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    Column::new(plan, Extent::new(width - COLUMN_MM, 0.0, width, height))
}

/// The largest of the scales at which a depth fits; the last if none does.
fn fitting(depth_mm: f64, room_mm: f64) -> Scale {
    let denominator = SCALES.into_iter().find(|n| *n >= 5.0 && depth_mm / n <= room_mm).unwrap_or(50.0);
    Scale::one_to(denominator)
}

fn flat(plan: &Plan, buildup: &BuildupOutcome) -> Drawing {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let hung = plan.ceiling.given.as_ref().filter(|_| buildup.on_clips);
    let scale = fitting(buildup.depth_mm, if hung.is_some() { 62.0 } else { 150.0 });
    let mut scene = Scene::new(width, height);
    let strip = Extent::new(18.0, 14.0, area.right - 78.0, 14.0 + scale.on_paper_mm(buildup.depth_mm));
    scene.add(flat_strip(plan, buildup, scale, strip));
    let notes = flat_notes(plan, buildup, scale, strip);
    scene.add(note_column(&NoteColumn {
        notes,
        side: Side::Right,
        edge_mm: strip.right + 12.0,
        top_mm: 4.0,
        bottom_mm: strip.bottom + 16.0,
        width_mm: area.right - strip.right - 12.0,
        size_mm: WORDS_MM,
    }));
    if let Some(given) = hung {
        let top = (strip.bottom + 26.0).max(94.0);
        scene.add(clip_details::clip(plan, buildup, given, Extent::new(area.left, top, 140.0, height)));
        scene.add(clip_details::edge(plan, buildup, given, Extent::new(150.0, top, area.right, height)));
    }
    let title = format!("Section: {}", lower_first(&buildup.name));
    let subtitle = if hung.is_some() {
        format!(
            "Across the joists {}; the details full size. Depths to scale, clip and bar schematic.",
            scale.words()
        )
    } else {
        "Depths to scale, from outside at the top to inside.".to_owned()
    };
    let mut column = word_column(plan);
    column.title(&title, &subtitle);
    column.table(layer_table(plan, buildup), "", 40.0);
    flat_words(plan, buildup, &mut column);
    scene.add(column.finish());
    Drawing { id: format!("section-{}", buildup.id), title, subtitle, scene, scale: Some(scale), model: None }
}

fn flat_words(plan: &Plan, buildup: &BuildupOutcome, column: &mut Column<'_>) {
    if let Some(u) = plan.fabric.u_value.as_ref().filter(|_| buildup.lies_flat) {
        column.note(&format!("Heat: U {}.", with_unit(u.u_w_m2k, 2, "W/(m²\u{00A0}K)")));
    }
    if let Some(element) = plan.elements.iter().find(|element| element.buildup == buildup.name)
        && let Some(ratings) = &element.ratings
    {
        column.note(&format!("Sound: Rw (C; Ctr) {}, predicted.", ratings.rw_c_ctr()));
    }
    let Some(layout) = plan.ceiling.layout.as_ref().filter(|_| buildup.on_clips) else { return };
    column.heading("Mind");
    if let Some(level) = &layout.level {
        column.note(&format!(
            "A spacer block of {} just passes between {} joist and the back of the boards; clips on higher joists are packed, up to {}.",
            plan.lengths().with_unit(level.spacer_block_mm, 0),
            if level.flatness_mm > 0.0 { "any" } else { "the lowest" },
            plan.lengths().with_unit(level.thickest_packer_mm, 0)
        ));
    }
    column.note(&format!(
        "{} clips carry the boards; nothing else may touch joist and board at once. A screw that reaches a joist, a board that \
         touches a wall, or a pipe through both undoes them.",
        layout.take_off.clips
    ));
    if buildup.layers.iter().any(|layer| layer.drawn == DrawnAs::Membrane) {
        column.note("The membrane is lapped, taped and sealed to the walls before the first clip goes up.");
    }
}

fn layer_table(plan: &Plan, buildup: &BuildupOutcome) -> Table {
    let mut table = Table::new(vec![
        TableColumn::wide("from outside to inside"),
        TableColumn::right("mm"),
        TableColumn::right("kg/m²"),
    ]);
    for layer in &buildup.layers {
        let mass = if layer.mass_kg_m2 > 0.0 { number(layer.mass_kg_m2, 1) } else { "–".to_owned() };
        table.row([layer.name.clone(), layers::thickness(plan, layer), mass]);
    }
    table.total([
        "together, without timbers and bars".to_owned(),
        plan.lengths().figure(buildup.depth_mm, 0),
        number(buildup.mass_kg_m2, 1),
    ]);
    table
}

/// Joists at their spacing with the middle of a bay in the middle of the strip.
fn joist_places(buildup: &BuildupOutcome, scale: Scale, strip: Extent) -> Vec<(f64, f64)> {
    let Some((width_mm, spacing_mm)) = buildup.layers.iter().find_map(|layer| layer.timbers_mm) else {
        return Vec::new();
    };
    let (width, spacing) = (scale.on_paper_mm(width_mm), scale.on_paper_mm(spacing_mm).max(5.0));
    let middle = f64::midpoint(strip.left, strip.right);
    (-12..12)
        .map(|step| middle + (f64::from(step) + 0.5) * spacing)
        .map(|centre| (centre - width / 2.0, centre + width / 2.0))
        .filter(|(left, right)| *left > strip.left + 1.0 && *right < strip.right - 1.0)
        .collect()
}

pub(super) fn flat_strip(plan: &Plan, buildup: &BuildupOutcome, scale: Scale, strip: Extent) -> Group {
    let mut group = Group::on_layer("section");
    let places = layers::places(buildup, scale, strip, Runs::Down);
    for (index, (layer, place)) in buildup.layers.iter().zip(&places).enumerate() {
        group.add(layers::named_cut(plan, layer, index, *place, Runs::Down));
    }
    let joists = joist_places(buildup, scale, strip);
    let timbered: Vec<&Extent> = buildup
        .layers
        .iter()
        .zip(&places)
        .filter(|(layer, _)| layer.timbers_mm.is_some())
        .map(|(_, place)| place)
        .collect();
    if let (Some(first), Some(last)) = (timbered.first(), timbered.last()) {
        for &(left, right) in &joists {
            layers::end_grain(&mut group, Extent::new(left, first.top, right, last.bottom));
        }
    }
    if let Some(cavity) = hung_cavity(buildup, &places).filter(|_| plan.ceiling.given.is_some()) {
        bar_along(&mut group, &joists, cavity);
    }
    for (layer, place) in buildup.layers.iter().zip(&places) {
        if layer.name.contains("vented") && place.height() > 4.0 {
            air_signs(&mut group, &joists, *place);
        }
    }
    for x in [strip.left, strip.right] {
        layers::break_line(&mut group, Point::new(x, strip.top), Point::new(x, strip.bottom));
    }
    let middle = f64::midpoint(strip.left, strip.right);
    group.add(caption(Point::new(middle, strip.top - 4.0), "outside"));
    group.add(caption(Point::new(middle, strip.bottom + 5.5), "inside the room"));
    group.add(dimension(&Dimension {
        side: Side::Right,
        ..Dimension::new(
            Point::new(strip.left - 2.0, strip.bottom),
            Point::new(strip.left - 2.0, strip.top),
            -7.0,
            plan.lengths().figure(buildup.depth_mm, 0),
        )
    }));
    if let [first, second, ..] = joists.as_slice() {
        let y = strip.bottom + 10.0;
        let spacing =
            buildup.layers.iter().find_map(|layer| layer.timbers_mm).map_or(0.0, |(_, spacing)| spacing);
        group.add(dimension(&Dimension::new(
            Point::new(f64::midpoint(first.0, first.1), y),
            Point::new(f64::midpoint(second.0, second.1), y),
            0.0,
            format!("{} on average", plan.lengths().figure(spacing, 0)),
        )));
    }
    group
}

/// The cavity the clips hang in: the innermost air that no timber crosses.
pub(super) fn hung_cavity(buildup: &BuildupOutcome, places: &[Extent]) -> Option<Extent> {
    if !buildup.on_clips {
        return None;
    }
    buildup
        .layers
        .iter()
        .zip(places)
        .rev()
        .find(|(layer, _)| layer.drawn == DrawnAs::Air && layer.timbers_mm.is_none())
        .map(|(_, place)| *place)
}

/// A bar seen along its length, with a clip under every joist.
fn bar_along(group: &mut Group, joists: &[(f64, f64)], cavity: Extent) {
    let top = cavity.bottom - cavity.height() * clip_details::BAR_SHARE;
    let bar = Extent { top, ..cavity };
    group.add(Path::filled(bar.corners(), Ink::Wash));
    group.add(Path::open([Point::new(bar.left, bar.top), Point::new(bar.right, bar.top)], Pen::THIN));
    let axis = bar.centre().y;
    group.add(Path::line(
        Point::new(bar.left, axis),
        Point::new(bar.right, axis),
        Pen::THIN.dashed(Dash::Chain),
    ));
    for (left, right) in joists {
        let centre = f64::midpoint(*left, *right);
        let half = ((right - left) * 0.3).clamp(1.5, 6.0);
        let pad = Extent::new(centre - half, cavity.top, centre + half, top);
        group.add(Path::rectangle(pad, Pen::MEDIUM).with_fill(Ink::Light));
        group.add(mark::cross(Point::new(centre, axis), 1.4, Pen::MEDIUM));
    }
}

/// Air that moves along the bays, away from the reader: a ring with a cross in every bay.
fn air_signs(group: &mut Group, joists: &[(f64, f64)], place: Extent) {
    for pair in joists.windows(2) {
        let [first, second] = pair else { continue };
        let centre = Point::new(f64::midpoint(first.1, second.0), place.centre().y);
        let radius = (place.height() * 0.26).clamp(1.2, 2.2);
        group.add(paper::Circle {
            centre,
            radius_mm: radius,
            pen: Some(Pen::MEDIUM),
            fill: Some(Ink::Paper),
        });
        group.add(mark::cross(centre, radius * 0.7, Pen::MEDIUM));
    }
}

pub(super) fn flat_notes(plan: &Plan, buildup: &BuildupOutcome, scale: Scale, strip: Extent) -> Vec<Note> {
    let places = layers::places(buildup, scale, strip, Runs::Down);
    let joists = joist_places(buildup, scale, strip);
    let last = joists.last().map_or(strip.right - 20.0, |joist| joist.1);
    let mut notes: Vec<Note> = buildup
        .layers
        .iter()
        .zip(&places)
        .enumerate()
        .map(|(index, (layer, place))| {
            // Beyond the last joist, each a little further in than the one above, so that no leader runs along another.
            let x = (strip.right - 3.0 - 1.6 * index as f64).max(last + 1.5).min(strip.right - 2.0);
            let words = if layer.name.contains("vented") {
                format!("{}; the ringed cross: it moves along the bays", layer_words(plan, layer))
            } else {
                layer_words(plan, layer)
            };
            let hung = hung_cavity(buildup, &places) == Some(*place);
            let at = if hung {
                Point::new(x, place.top + place.height() * 0.2)
            } else {
                Point::new(x, place.centre().y)
            };
            Note::new(at, if hung { format!("{words}: clip and bar") } else { words })
        })
        .collect();
    if let (Some(joist), Some((width, _))) =
        (joists.last(), buildup.layers.iter().find_map(|layer| layer.timbers_mm))
        && let Some(place) = buildup.layers.iter().zip(&places).find(|(layer, _)| layer.timbers_mm.is_some())
    {
        let at = Point::new(joist.1 - 2.0, place.1.bottom - 1.5);
        notes.push(Note::new(at, format!("joist, {} wide", plan.lengths().with_unit(width, 0))));
    }
    notes
}

/// Build-ups two beside each other with the words in a column; on small paper one below the other, the words at the foot.
fn walls(plan: &Plan, four: &[&BuildupOutcome], sheet: Option<usize>) -> Drawing {
    let small = is_small(plan.title.paper);
    let [width, height] = room_on(plan.title.paper);
    let across = if small { 1 } else { 2 };
    let area = if small { Extent::new(0.0, 0.0, width, height) } else { drawing_area() };
    let deepest = four.iter().map(|buildup| buildup.depth_mm).fold(0.0, f64::max);
    let scale = fitting(deepest, 64.0);
    let mut scene = Scene::new(width, height);
    let (cell_width, cell_height) = match (small, four.len()) {
        (true, _) => (area.width(), 80.0),
        (false, 0..=2) => (area.width() / 2.0, 130.0),
        (false, _) => (area.width() / 2.0, 108.0),
    };
    for (index, buildup) in four.iter().enumerate() {
        let left = cell_width * (index % across) as f64;
        let top = cell_height * (index / across) as f64;
        let cell = Extent::new(left, top, left + cell_width - 6.0, top + cell_height - 8.0);
        scene.add(wall(plan, buildup, scale, cell));
    }
    let number_words = sheet.map_or_else(String::new, |number| format!(", {number}"));
    let title = format!("Sections: walls and openings{number_words}");
    let subtitle = format!("{}, outside at the left.", scale.words());
    let mut column = if small {
        Column::new(plan, Extent { top: cell_height * four.len() as f64 + 6.0, ..area })
    } else {
        word_column(plan)
    };
    column.title(&title, &subtitle);
    let mut table = Table::new(vec![
        TableColumn::wide("build-up, and where"),
        TableColumn::right("mm"),
        TableColumn::right("kg/m²"),
        TableColumn::right("Rw (C; Ctr), dB"),
    ]);
    for buildup in four {
        let used: Vec<_> = plan.elements.iter().filter(|element| element.buildup == buildup.name).collect();
        let rating = used.iter().find_map(|element| element.ratings.as_ref()).map_or_else(
            || "–".to_owned(),
            |ratings| ratings.rw_c_ctr().replace("\u{00A0}dB", "").replace(" dB", ""),
        );
        let names: Vec<&str> = used.iter().map(|element| element.name.as_str()).collect();
        let words = if names.is_empty() {
            buildup.name.clone()
        } else {
            format!("{}: {}", buildup.name, names.join(", "))
        };
        table.row([
            Cell::from(words),
            plan.lengths().figure(buildup.depth_mm, 0).into(),
            number(buildup.mass_kg_m2, 0).into(),
            rating.into(),
        ]);
    }
    column.table(table, "", 0.0);
    column.note("Rw is of the first element named, alone, without the gaps and seals round it.");
    hatch_key(plan, &mut column);
    scene.add(column.finish());
    let id = sheet.map_or_else(|| "sections-walls".to_owned(), |number| format!("sections-walls-{number}"));
    Drawing { id, title, subtitle, scene, scale: Some(scale), model: None }
}

pub(super) fn wall(plan: &Plan, buildup: &BuildupOutcome, scale: Scale, cell: Extent) -> Group {
    let mut group = Group::on_layer("section");
    group.add(Text::new(Point::new(cell.left, cell.top + 3.0), buildup.name.clone(), 3.2).semibold());
    let left = cell.left + 6.0;
    let strip =
        Extent::new(left, cell.top + 20.0, left + scale.on_paper_mm(buildup.depth_mm), cell.bottom - 8.0);
    let places = layers::places(buildup, scale, strip, Runs::Right);
    let count = places.len().max(2) as f64;
    let mut notes = Vec::new();
    for (index, (layer, place)) in buildup.layers.iter().zip(&places).enumerate() {
        let mut named = layers::named_cut(plan, layer, index, *place, Runs::Right);
        // Four build-ups stand on one sheet: a layer's number alone names none of them.
        named.id = Some(format!("{}-layer-{index}", buildup.id));
        group.add(named);
        let y = strip.top + strip.height() * (0.12 + 0.72 * index as f64 / (count - 1.0));
        if let Some((width_mm, spacing_mm)) = layer.timbers_mm {
            let stud = scale.on_paper_mm(width_mm);
            let middle = strip.top + strip.height() * 0.5;
            let spacing = scale.on_paper_mm(spacing_mm);
            for centre in [middle, middle - spacing, middle + spacing] {
                if centre - stud / 2.0 > strip.top && centre + stud / 2.0 < strip.bottom {
                    let timber = Extent { top: centre - stud / 2.0, bottom: centre + stud / 2.0, ..*place };
                    layers::end_grain(&mut group, timber);
                }
            }
        }
        notes.push(Note::new(Point::new(place.centre().x, y), layer_words(plan, layer)));
    }
    for (top, y) in [(true, strip.top), (false, strip.bottom)] {
        let end = if top { y - 1.2 } else { y + 1.2 };
        group.add(Path::line(
            Point::new(strip.left - 2.0, end),
            Point::new(strip.right + 2.0, end),
            Pen::THIN.in_ink(Ink::Grey).dashed(Dash::DoubleChain),
        ));
    }
    let sides = Point::new(strip.left - 1.0, strip.bottom + 6.5);
    group.add(Text::new(sides, "outside", WORDS_MM).in_ink(Ink::Grey));
    if strip.width() > 24.0 {
        let at = Point::new(strip.right + 1.0, strip.bottom + 6.5);
        group.add(Text::new(at, "inside", WORDS_MM).anchored(paper::Anchor::End).in_ink(Ink::Grey));
    } else {
        let at = Point::new(strip.right + 4.0, strip.bottom + 6.5);
        group.add(Text::new(at, "inside", WORDS_MM).in_ink(Ink::Grey));
    }
    group.add(dimension(&Dimension::new(
        Point::new(strip.left, strip.top - 2.0),
        Point::new(strip.right, strip.top - 2.0),
        5.0,
        plan.lengths().figure(buildup.depth_mm, usize::from(buildup.depth_mm.fract().abs() > 1e-6)),
    )));
    let edge = strip.right + 12.0;
    group.add(note_column(&NoteColumn {
        notes,
        side: Side::Right,
        edge_mm: edge,
        top_mm: strip.top,
        bottom_mm: strip.bottom,
        width_mm: (cell.right - edge).max(30.0),
        size_mm: WORDS_MM,
    }));
    group
}

fn lower_first(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_lowercase().collect::<String>() + letters.as_str())
}

/// What each hatch of the plan's sections stands for.
fn hatch_key(plan: &Plan, column: &mut Column<'_>) {
    let kinds = [
        (DrawnAs::Masonry, "brick, block"),
        (DrawnAs::Plaster, "plaster, render"),
        (DrawnAs::Plasterboard, "plasterboard"),
        (DrawnAs::SandFilled, "sand-filled board"),
        (DrawnAs::Wood, "timber, board of wood"),
        (DrawnAs::Glass, "glass"),
        (DrawnAs::Membrane, "felt, foil, film"),
        (DrawnAs::Fibre, "fibre"),
        (DrawnAs::Other, "other"),
    ];
    let drawn = |kind: DrawnAs| {
        plan.buildups.iter().any(|buildup| buildup.layers.iter().any(|layer| layer.drawn == kind))
    };
    column.heading("Hatches");
    for (kind, words) in kinds.into_iter().filter(|(kind, _)| drawn(*kind)) {
        let edge = if kind == DrawnAs::Masonry { Pen::BOLD } else { Pen::THIN };
        column.legend(&Sample::Surface { edge, hatch: layers::hatch_of(kind), ink: Ink::Ink }, words);
    }
}
