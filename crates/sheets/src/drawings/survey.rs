//! The room as taped: walls, corners and how well they are known, tapes across, joists and their undersides.

use paper::{
    Arc, Dash, Group, Ink, Path, Pen, Point,
    dimension::{Dimension, Side, dimension},
    mark,
    point::Direction,
    table::{Cell, Column as TableColumn, Table},
};
use plan::Plan;
use quantities::{format::number, math};
use survey::{Height, Reading};

use super::{
    Drawing,
    column::{Column, Sample},
    labels::{self, Candidate, Labels},
    openings,
    room_plan::{FIGURE_MM, Heading, RoomPlan, compose, dot, printed, put_along},
};

/// How long the longer half axis of the largest ellipse should be on paper, mm.
const WISHED_ELLIPSE_MM: f64 = 4.2;
/// From a wall to its dimension, mm.
const WALL_OFFSET_MM: f64 = 10.0;
/// Radius of the arc of an angle, mm.
const ANGLE_MM: f64 = 7.0;

/// The drawing of the survey.
pub(super) fn drawing(plan: &Plan) -> Drawing {
    let heading = Heading {
        id: "survey".to_owned(),
        title: "The room as taped".to_owned(),
        subtitle:
            "Seen from above. Lengths are those of the adjusted room, mm; ± holds nineteen times in twenty."
                .to_owned(),
    };
    compose(plan, heading, draw, write)
}

pub(super) fn draw(room: &RoomPlan<'_>) -> Vec<Group> {
    let mut lines = vec![room.joists(), tapes(room)];
    lines.push(ellipses(room));
    lines.push(walls_taped(room));
    let (readings, lowest) = undersides(room);
    lines.push(readings);
    lines.push(angles(room));
    lines.push(room.walls());
    lines.push(openings::openings(room));
    let mut labels = Labels::on_layer("text");
    for group in &lines {
        labels.watch(group);
    }
    room.corner_names(&mut labels);
    wall_figures(room, &mut labels);
    if let Some((at, words)) = lowest {
        let mut ways = labels::around(at, &words, FIGURE_MM + 0.2, &[2.6, 4.0, 5.5, 7.0, 9.0]);
        for way in &mut ways {
            way.texts = way.texts.drain(..).map(paper::Text::semibold).collect();
        }
        labels.put(ways);
    }
    angle_figures(room, &mut labels);
    openings::names(room, &mut labels);
    joist_names(room, &mut labels);
    underside_figures(room, &mut labels);
    tape_figures(room, &mut labels);
    lines.push(labels.finish());
    lines
}

/// Readings between corners that are no neighbours: thin lines; red for one that must be taken again.
fn tapes(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("tapes");
    for (reading, from, to) in across(room) {
        let pen = if is_suspect(room, reading) {
            Pen::MEDIUM.in_ink(Ink::Red).dashed(Dash::Dashed)
        } else {
            Pen::THIN.in_ink(Ink::Grey)
        };
        let mut one = Group::default().with_id(format!("tape-{}", reading.name));
        one.add(Path::line(from, to, pen));
        group.add(one);
    }
    for (tie, from, to, corner, foot) in ties(room) {
        let ink = if is_suspect(room, tie) { Ink::Red } else { Ink::Grey };
        group.add(Path::line(from, to, Pen::THIN.in_ink(Ink::Grey).dashed(Dash::Chain)));
        group.add(Path::line(corner, foot, Pen::THIN.in_ink(ink)));
        group.add(dot(foot, 0.4));
    }
    if let Some(next) = &room.plan.survey.next_tape
        && let (Some(from), Some(to)) =
            (room.plan.survey.corners.get(next.from), room.plan.survey.corners.get(next.to))
    {
        group.add(Path::line(
            room.at(from.at),
            room.at(to.at),
            Pen::THIN.in_ink(Ink::Red).dashed(Dash::Dashed),
        ));
    }
    group
}

/// Used readings that are no walls, with their ends on paper.
fn across<'a>(room: &'a RoomPlan<'_>) -> Vec<(&'a Reading, Point, Point)> {
    let survey = &room.plan.survey;
    let count = survey.corners.len();
    survey
        .readings
        .iter()
        .filter(|reading| {
            let apart = reading.from.abs_diff(reading.to);
            reading.used && reading.tied.is_none() && apart != 1 && apart + 1 != count
        })
        .filter_map(|reading| {
            let (from, to) = (survey.corners.get(reading.from)?, survey.corners.get(reading.to)?);
            Some((reading, room.at(from.at), room.at(to.at)))
        })
        .collect()
}

/// Used ties: the reading, the ends of its line, the corner tied and the foot of its square, on paper. One of a pair.
fn ties<'a>(room: &'a RoomPlan<'_>) -> Vec<(&'a Reading, Point, Point, Point, Point)> {
    let survey = &room.plan.survey;
    survey
        .readings
        .iter()
        .filter(|reading| reading.used)
        .filter_map(|reading| {
            let tied = reading.tied?;
            let at = |corner: usize| survey.corners.get(corner).map(|corner| corner.at);
            let (from, to, corner) = (at(reading.from)?, at(reading.to)?, at(tied.corner)?);
            let line = geometry::Segment { from, to };
            let foot = line.point_at(line.running_mm(corner));
            Some((reading, room.at(from), room.at(to), room.at(corner), room.at(foot)))
        })
        .collect()
}

fn is_suspect(room: &RoomPlan<'_>, reading: &Reading) -> bool {
    let survey = &room.plan.survey;
    survey
        .suspect
        .as_ref()
        .and_then(|suspect| survey.readings.get(suspect.reading))
        .is_some_and(|suspect| suspect == reading)
}

fn tape_figures(room: &RoomPlan<'_>, labels: &mut Labels) {
    for (reading, from, to) in across(room) {
        let words = format!(
            "{} {} ({})",
            printed(&reading.name),
            room.plan.lengths().figure(reading.reading_mm, 0),
            signed(room, reading.residual_mm)
        );
        let ink = if is_suspect(room, reading) { Ink::Red } else { Ink::Grey };
        put_along(labels, from, to, &words, ink);
    }
}

/// A residual with its sign, to a tenth.
fn signed(room: &RoomPlan<'_>, value: f64) -> String {
    let words = room.plan.lengths().fine(value, 1);
    let nothing = words.chars().all(|letter| matches!(letter, '0' | '.' | '"'));
    if value > 0.0 && !nothing { format!("+{words}") } else { words }
}

/// A fall with its sign: millimetres in a metre to a tenth, or what it is in ten feet.
fn fall_words(room: &RoomPlan<'_>, mm_per_m: f64) -> String {
    let words = room.plan.lengths().fall(mm_per_m, 1);
    let nothing = words.chars().all(|letter| matches!(letter, '0' | '.' | '"'));
    if mm_per_m > 0.0 && !nothing { format!("+{words}") } else { words }
}

/// How many times larger than life the ellipses are drawn: a round number.
/// Of how many standard deviations the half axes of a corner's ellipse are, and every ± of a length.
const DEVIATIONS: f64 = 2.0;

/// How many times larger than they are the ellipses are drawn.
fn exaggeration(room: &RoomPlan<'_>) -> f64 {
    let largest = room.plan.survey.corners.iter().map(|corner| corner.ellipse.major_mm).fold(0.0, f64::max);
    let wished = WISHED_ELLIPSE_MM / room.view.length(DEVIATIONS * largest).max(1e-6);
    [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .rev()
        .find(|&step| step <= wished)
        .unwrap_or(1.0)
}

fn ellipses(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("corner uncertainty");
    let factor = DEVIATIONS * exaggeration(room);
    for corner in &room.plan.survey.corners {
        let centre = room.at(corner.at);
        let (sine, cosine) = math::sin_cos(corner.ellipse.direction_deg * math::PI / 180.0);
        let (major, minor) = (
            room.view.length(corner.ellipse.major_mm) * factor,
            room.view.length(corner.ellipse.minor_mm) * factor,
        );
        let points = (0..48_u32).map(|step| {
            let (s, c) = math::sin_cos(f64::from(step) * math::PI / 24.0);
            let (along, aside) = (major * c, minor * s);
            centre.moved(along * cosine - aside * sine, -(along * sine + aside * cosine))
        });
        let mut one = Group::default().with_id(format!("corner-{}", corner.name)).with_title(format!(
            "corner {}, known to ±\u{00A0}{}",
            corner.name,
            room.plan.lengths().fine_with_unit(DEVIATIONS * corner.sd_mm, 1)
        ));
        one.add(Path::closed(points, Pen::THIN).with_fill(Ink::Wash));
        group.add(one);
    }
    group
}

/// The length of every wall outside it.
fn walls_taped(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("dimensions");
    for wall in &room.plan.survey.walls {
        let corners = (room.plan.survey.corners.get(wall.from), room.plan.survey.corners.get(wall.to));
        let (Some(from), Some(to)) = corners else { continue };
        let (from, to) = (room.at(from.at), room.at(to.at));
        let away = room.outwards(from, to);
        let left = Direction::between(from, to).left();
        let side = if (away.x() - left.x()).abs() + (away.y() - left.y()).abs() < 1e-6 {
            Side::Left
        } else {
            Side::Right
        };
        let line = dimension(&Dimension { side, ..Dimension::new(from, to, WALL_OFFSET_MM, "") });
        group.add(line.with_id(format!("wall-{}", wall.name)));
    }
    group
}

/// The figures of the walls: beyond their dimension, turned so that those of nearly upright walls are all read from the right; in a
/// narrow bay farther along or nearer, and left to the table where there is no place.
fn wall_figures(room: &RoomPlan<'_>, labels: &mut Labels) {
    for wall in &room.plan.survey.walls {
        let corners = (room.plan.survey.corners.get(wall.from), room.plan.survey.corners.get(wall.to));
        let (Some(from), Some(to)) = corners else { continue };
        let (from, to) = (room.at(from.at), room.at(to.at));
        let away = room.outwards(from, to);
        let along = Direction::between(from, to);
        let turn = labels::reading_turn_deg(along);
        let label = format!(
            "{}\u{A0}±\u{A0}{}",
            room.plan.lengths().figure(wall.length_mm, 0),
            room.plan.lengths().fine(DEVIATIONS * wall.sd_mm, 1)
        );
        let mut ways = Vec::new();
        for (step, reach_mm) in [2.4, -2.4, 5.6, 8.8].into_iter().enumerate() {
            for (shift, share) in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].into_iter().enumerate() {
                let at =
                    from.along(along, from.distance_to(to) * share).along(away, WALL_OFFSET_MM + reach_mm);
                ways.push(Candidate {
                    texts: vec![mark::label(at, label.as_str(), 3.0).turned(turn)],
                    cost: step as f64 * 0.5 + shift as f64 * 0.05,
                    ..Candidate::default()
                });
            }
        }
        // Beside a short wall's dimension, in its line.
        let beside_mm = mark::label(from, label.as_str(), 3.0).width_mm() / 2.0 + 2.0;
        for (step, further_mm) in [0.0, 4.0, 8.0, 12.0].into_iter().enumerate() {
            for (end, on) in [(to, along), (from, along.back())] {
                for reach_mm in [0.0, 2.4, 5.6] {
                    let at = end.along(on, beside_mm + further_mm).along(away, WALL_OFFSET_MM + reach_mm);
                    ways.push(Candidate {
                        texts: vec![mark::label(at, label.as_str(), 3.0).turned(turn)],
                        cost: 2.5 + step as f64 * 0.5 + reach_mm * 0.05,
                        ..Candidate::default()
                    });
                }
            }
        }
        labels.put_off_words(ways);
    }
}

/// A dot at every level reading; the lowest ringed, with its words.
fn undersides(room: &RoomPlan<'_>) -> (Group, Option<(Point, String)>) {
    let mut group = Group::on_layer("levels");
    let Some(ceiling) = &room.plan.survey.ceiling else { return (group, None) };
    for underside in ceiling.joists.iter().flat_map(survey::Joist::readings) {
        group.add(dot(room.at(underside.at), 0.55));
    }
    let lowest = ceiling.lowest.map(|lowest| {
        let at = room.at(lowest.at);
        group.add(paper::Circle { centre: at, radius_mm: 2.0, pen: Some(Pen::MEDIUM), fill: None });
        (at, format!("lowest {}", room.plan.lengths().figure(lowest.above_floor_mm, 0)))
    });
    (group, lowest)
}

/// Half a wall's line and the paper beside it, mm.
const WALL_MM: f64 = 0.6;

fn underside_figures(room: &RoomPlan<'_>, labels: &mut Labels) {
    let Some(ceiling) = &room.plan.survey.ceiling else { return };
    for joist in &ceiling.joists {
        let turn = Direction::between(room.at(joist.line.from), room.at(joist.line.to)).reading_angle_deg();
        let along = Direction::between(room.at(joist.line.from), room.at(joist.line.to));
        let twisted = !joist.other_edge.is_empty();
        for underside in joist.readings() {
            // The figures of an edge stand on its own side.
            let own_left = joist.line.left_of_mm(underside.at) > 0.0;
            if ceiling.lowest == Some(*underside) {
                continue;
            }
            let at = room.at(underside.at);
            let words = room.plan.lengths().figure(underside.above_floor_mm, 0);
            // Far enough along for the whole of the figure: in feet it is twice as long.
            let long_mm = mark::label(at, words.as_str(), FIGURE_MM).width_mm();
            let ways = (0..108_u32).map(|step| {
                let reach = 2.2 + f64::from(step / 36) * 1.4;
                let shift = f64::from(step % 36 / 4) * (long_mm / 5.0);
                let (aside, forward) = [
                    (along.left(), along),
                    (along.right(), along),
                    (along.left(), along.back()),
                    (along.right(), along.back()),
                ]
                .get(step as usize % 4)
                .copied()
                .unwrap_or((along.left(), along));
                let place = at.along(aside, reach).along(forward, shift);
                let text = mark::label(place, words.as_str(), FIGURE_MM).turned(turn);
                // What is knocked out round it must leave the walls alone.
                let outside = text.corners(WALL_MM).into_iter().filter(|end| !room.is_inside(*end)).count();
                let across = twisted && own_left != (step % 2 == 0);
                Candidate {
                    texts: vec![text],
                    sign: None,
                    leader: None,
                    cost: f64::from(step) * 0.02 + 30.0 * outside as f64 + if across { 50.0 } else { 0.0 },
                }
            });
            labels.put_off_words(ways);
        }
    }
}

fn joist_names(room: &RoomPlan<'_>, labels: &mut Labels) {
    for joist in room.plan.survey.ceiling.iter().flat_map(|ceiling| &ceiling.joists) {
        let (from, to) = (room.at(joist.line.from), room.at(joist.line.to));
        let along = Direction::between(from, to);
        let ways = (0..16_u32).map(|step| {
            let at = from.along(along, 16.0 + f64::from(step) * 2.0);
            let text = mark::label(at, joist.name.as_str(), FIGURE_MM).in_ink(Ink::Grey);
            Candidate { texts: vec![text], sign: None, leader: None, cost: f64::from(step) * 0.02 }
        });
        labels.put(ways);
    }
}

/// An arc in every corner that is not square.
fn angles(room: &RoomPlan<'_>) -> Group {
    let mut group = Group::on_layer("angles");
    let corners = room.corners();
    let count = corners.len();
    for (index, corner) in room.plan.survey.corners.iter().enumerate() {
        let (Some(&before), Some(&here), Some(&after)) =
            (corners.get((index + count - 1) % count), corners.get(index), corners.get((index + 1) % count))
        else {
            continue;
        };
        let (one, two) = (Direction::between(here, before), Direction::between(here, after));
        // The arc runs anticlockwise from whichever arm leaves the inside of the room on that side.
        let first = [two, one].into_iter().find(|arm| {
            let turned = arm.angle_deg() + corner.angle_deg / 2.0;
            let (sine, cosine) = math::sin_cos(turned * math::PI / 180.0);
            room.is_inside(here.moved(cosine * 0.5, -sine * 0.5))
        });
        if let Some(first) = first {
            let arc = Arc {
                centre: here,
                radius_mm: ANGLE_MM,
                from_deg: first.angle_deg(),
                sweep_deg: corner.angle_deg,
                pen: Pen::THIN.in_ink(Ink::Grey),
            };
            // As a line, so that figures keep clear of the arc and not of the box round it.
            let steps = 24_u32;
            let points = (0..=steps)
                .map(|step| arc.point_at(arc.from_deg + arc.sweep_deg * f64::from(step) / f64::from(steps)));
            group.add(Path::open(points, arc.pen));
        }
    }
    group
}

fn angle_figures(room: &RoomPlan<'_>, labels: &mut Labels) {
    let corners = room.corners();
    let count = corners.len();
    for (index, corner) in room.plan.survey.corners.iter().enumerate() {
        let (Some(&before), Some(&here), Some(&after)) =
            (corners.get((index + count - 1) % count), corners.get(index), corners.get((index + 1) % count))
        else {
            continue;
        };
        let (one, two) = (Direction::between(here, before), Direction::between(here, after));
        let words = format!("{}°", number(corner.angle_deg, 1));
        let ways = (0..40_u32).map(|step| {
            let reach = ANGLE_MM + 3.6 + f64::from(step / 8) * 1.4;
            let share =
                [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1].get(step as usize % 8).copied().unwrap_or(0.5);
            // Between the two arms, on the inside of the room.
            let mut turn = two.angle_deg() - one.angle_deg();
            if turn > 180.0 {
                turn -= 360.0;
            }
            if turn < -180.0 {
                turn += 360.0;
            }
            if corner.angle_deg > 180.0 {
                turn = if turn > 0.0 { turn - 360.0 } else { turn + 360.0 };
            }
            let (sine, cosine) = math::sin_cos((one.angle_deg() + turn * share) * math::PI / 180.0);
            let at = here.moved(reach * 1.1 * cosine, -reach * sine);
            Candidate {
                texts: vec![mark::label(at, words.as_str(), FIGURE_MM)],
                sign: None,
                leader: None,
                cost: f64::from(step) * 0.02,
            }
        });
        labels.put_off_words(ways);
    }
}

/// Heights in the column: a heading with the head of its table, a row, the notes at the end; and the most that is kept for what
/// follows the tapes, mm.
const HEAD_OF_A_TABLE_MM: f64 = 15.0;
const ROW_MM: f64 = 5.4;
const NOTES_MM: f64 = 13.0;
const MOST_KEPT_MM: f64 = 130.0;

fn write(room: &RoomPlan<'_>, column: &mut Column<'_>) {
    let survey = &room.plan.survey;
    let factor = exaggeration(room);
    column.legend(&Sample::Line(Pen::HEAVY), "wall, at the height of the ceiling");
    column.legend(&Sample::Line(Pen::THIN.in_ink(Ink::Grey)), "tape across, with what it missed by, mm");
    column.legend(
        &Sample::Sign(Box::new(|at| {
            let mut group = Group::default();
            group.add(
                Path::closed(
                    (0..32_u32).map(|step| {
                        let (s, c) = math::sin_cos(f64::from(step) * math::PI / 16.0);
                        at.moved(2.6 * c, 1.1 * s)
                    }),
                    Pen::THIN,
                )
                .with_fill(Ink::Wash),
            );
            group
        })),
        &format!(
            "how well the corner is known (half axes of two standard deviations), drawn {} times larger",
            number(factor, 0)
        ),
    );
    if survey.readings.iter().any(|reading| reading.tied.is_some()) {
        column.legend(
            &Sample::Line(Pen::THIN.in_ink(Ink::Grey).dashed(Dash::Chain)),
            "line a corner is tied to, with the square from it",
        );
    }
    if survey.ceiling.is_some() {
        column.legend(&Sample::Line(Pen::FINE.in_ink(Ink::Light).dashed(Dash::Dashed)), "joist above");
        column.legend(
            &Sample::Sign(Box::new(|at| {
                let mut group = Group::default();
                group.add(dot(at, 0.55));
                group
            })),
            "level taken here; the figure is the underside above the floor, mm (two in a row: both edges)",
        );
    }
    if let Some(suspect) = &survey.suspect {
        column.warning(&suspect.sentence);
    }
    if let Some(next) = &survey.next_tape {
        column.warning(&next.sentence);
    }
    if let Some(other) = &survey.other_shape {
        column.warning(&other.tell_apart.sentence);
    }
    column.note(&survey.quality);
    column.heading("Tapes");
    let mut table = Table::new(vec![
        TableColumn::left("line"),
        TableColumn::right("read"),
        TableColumn::decimal("adjusted"),
        TableColumn::decimal("missed by"),
        TableColumn::left(""),
    ]);
    for reading in &survey.readings {
        let at = match (reading.height, reading.used) {
            (_, false) => "floor, not used",
            (Height::Floor, true) => "floor",
            (Height::Ceiling, true) => "",
        };
        let cells: Vec<Cell> = vec![
            printed(&reading.name).into(),
            room.plan.lengths().figure(reading.reading_mm, 0).into(),
            room.plan.lengths().figure(reading.adjusted_mm, 1).into(),
            signed(room, reading.residual_mm).into(),
            at.into(),
        ];
        let red = is_suspect(room, reading);
        let grey = !reading.used;
        table.row(cells.into_iter().map(|cell| {
            if red {
                cell.red()
            } else if grey {
                cell.grey()
            } else {
                cell
            }
        }));
    }
    let openings = openings::table(room);
    // Corners and openings stand in no other drawing: tapes give way, whose figures stand on the lines.
    let rows_mm = |rows: usize| HEAD_OF_A_TABLE_MM + ROW_MM * rows as f64;
    let openings_mm = openings.as_ref().map_or(0.0, |table| rows_mm(table.rows.len()));
    let keep_mm = (rows_mm(survey.corners.len()) + openings_mm + NOTES_MM).min(MOST_KEPT_MM);
    column.table(table, "the rest stand in the list of tapes", keep_mm);
    column.heading("Corners");
    let mut table = Table::new(vec![
        TableColumn::left("corner"),
        TableColumn::decimal("± mm"),
        TableColumn::decimal("angle °"),
        TableColumn::decimal("out of square, mm per m"),
    ]);
    for corner in &survey.corners {
        table.row([
            corner.name.clone(),
            room.plan.lengths().fine(DEVIATIONS * corner.sd_mm, 1),
            number(corner.angle_deg, 1),
            corner.out_of_square_mm_per_m.map_or_else(|| "–".to_owned(), |fall| fall_words(room, fall)),
        ]);
    }
    column.table(table, "the rest stand in the list of corners", openings_mm + NOTES_MM);
    if let Some(table) = openings {
        column.heading("Openings");
        column.table(table, "the rest stand in the list of openings", 13.0);
    }
    for wall in &survey.walls {
        if let Some(bow) = wall.bow_mm {
            let way = if bow < 0.0 { "bulges into the room by" } else { "is hollow by" };
            column.note(&format!(
                "Wall {} {way} {}.",
                printed(&wall.name),
                room.plan.lengths().with_unit(bow.abs(), 0)
            ));
        }
    }
}
