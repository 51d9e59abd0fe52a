//! Damp and fresh air: the moisture profile over the section, and the year and the session in charts.

use fabric::moisture::{MONTH_NAMES, MoistureResult, Verdict};
use paper::{
    Anchor, Baseline, Dash, Extent, Group, Ink, Path, Pen, Point, Scale, Scene, Text,
    axis::LinearAxis,
    chart::{PlainChart, PlainLimit, PlainLine},
    dimension::{Chain, ChainLabels, Link, Side, chain},
    mark,
    point::Direction,
    table::{Cell, Column as TableColumn, Table},
};
use plan::{Plan, outcome::BuildupOutcome};
use quantities::format::{number, with_unit};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    layers::{self, Runs, WORDS_MM, caption},
    section::{drawing_area, word_column},
};

/// Profile, then year and session.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all = Vec::new();
    if let Some(moisture) = &plan.fabric.moisture {
        let roof = plan.buildups.iter().find(|buildup| buildup.name == moisture.name);
        if let Some(roof) = roof.or_else(|| plan.buildups.iter().find(|buildup| buildup.lies_flat)) {
            all.extend(profile(moisture, roof));
        }
    }
    all.extend(year_and_session(plan));
    all
}

fn month(number: u8) -> &'static str {
    usize::from(number).checked_sub(1).and_then(|index| MONTH_NAMES.get(index)).copied().unwrap_or("–")
}

/// How the year of damp ends, in a sentence.
pub(super) fn verdict_words(moisture: &MoistureResult) -> String {
    match moisture.verdict {
        Verdict::Dry => "No month condenses inside the build-up.".to_owned(),
        Verdict::DriesOut => format!(
            "It condenses in winter, at most {}, and is dry again within the year.",
            with_unit(moisture.peak_g_m2, 0, "g/m²")
        ),
        Verdict::StaysWet => {
            format!("It grows wetter year by year, {} at the most.", with_unit(moisture.peak_g_m2, 0, "g/m²"))
        }
    }
}

const SCALES: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];

fn profile(moisture: &MoistureResult, roof: &BuildupOutcome) -> Option<Drawing> {
    let at = &moisture.profile;
    let counted_mm = at.x_m.last()? * 1000.0;
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let room = area.width() - 44.0;
    let denominator = SCALES.into_iter().find(|n| roof.depth_mm / n <= room).unwrap_or(20.0);
    let scale = Scale::one_to(denominator);
    let strip_left = 18.0;
    let strip = Extent::new(strip_left, 30.0, strip_left + scale.on_paper_mm(roof.depth_mm), 74.0);
    // What is counted ends at the inner face; what lies outside the ventilated gap is not.
    let outer_mm = (roof.depth_mm - counted_mm).max(0.0);
    let x_of = |x_m: f64| strip.left + scale.on_paper_mm(outer_mm + x_m * 1000.0);

    let mut scene = Scene::new(width, height);
    scene.add(turned_section(roof, scale, strip));
    let plot = |top: f64, bottom: f64| Extent::new(strip.left, top, strip.right, bottom);
    let temperature =
        LinearAxis::round(least(&at.temperature_c).min(0.0), most(&at.temperature_c), 5.0, (136.0, 90.0));
    let pressure = LinearAxis::round(0.0, most(&at.saturation_pa), 6.0, (height - 8.0, 150.0));
    let mut curves = Group::on_layer("profile");
    for (axis, words) in [(&temperature, "temperature, °C"), (&pressure, "vapour pressure, Pa")] {
        let frame = plot(axis.high_mm, axis.low_mm);
        axes(&mut curves, axis, frame, words);
        for &x_m in &at.x_m {
            let x = x_of(x_m);
            curves.add(Path::line(
                Point::new(x, frame.top),
                Point::new(x, frame.bottom),
                Pen::FINE.in_ink(Ink::Light),
            ));
        }
        if outer_mm > 0.5 {
            let outer = Extent { right: x_of(0.0), ..frame };
            curves.add(Path::filled(outer.corners(), Ink::Wash));
            let words = if outer.width() > 40.0 { "taken as outdoor air" } else { "outdoor air" };
            if outer.width() > 22.0 {
                curves.add(caption(outer.centre(), words).on(Baseline::Middle));
            }
        }
    }
    let line = |values: &[f64], axis: &LinearAxis, pen: Pen| {
        let points =
            at.x_m.iter().zip(values).map(|(&x_m, &value)| Point::new(x_of(x_m), axis.place_mm(value)));
        Path::open(points.collect::<Vec<_>>(), pen)
    };
    curves.add(line(&at.temperature_c, &temperature, Pen::BOLD));
    curves.add(line(&at.saturation_pa, &pressure, Pen::MEDIUM.dashed(Dash::Dashed)));
    curves.add(line(&at.vapour_pa, &pressure, Pen::BOLD));
    let end = |values: &[f64], axis: &LinearAxis| axis.place_mm(values.last().copied().unwrap_or(0.0));
    let names = [
        ("temperature", end(&at.temperature_c, &temperature)),
        ("most it could hold", end(&at.saturation_pa, &pressure)),
        ("vapour pressure", end(&at.vapour_pa, &pressure)),
    ];
    for (words, y) in names {
        curves.add(Text::new(Point::new(strip.right + 2.0, y), words, WORDS_MM).on(Baseline::Middle));
    }
    for plane in &moisture.planes {
        let x = x_of(plane.depth_m);
        curves.add(mark::cross(Point::new(x, pressure.low_mm - 4.0), 2.0, Pen::BOLD.in_ink(Ink::Red)));
        let words = format!("condenses, {} at the most", with_unit(plane.peak_g_m2, 0, "g/m²"));
        let text = Text::new(Point::new(x + 3.0, pressure.low_mm - 3.0), words, WORDS_MM).in_ink(Ink::Red);
        curves.add(text.knocked_out());
    }
    scene.add(curves);

    let title = "Damp in the roof".to_owned();
    let subtitle = format!(
        "{}, the month {}. The section is turned: outside at the left, {}.",
        month(at.month),
        if moisture.verdict == Verdict::Dry {
            "that comes nearest to condensing"
        } else {
            "that condenses most"
        },
        scale.words()
    );
    let mut column = word_column();
    column.title(&title, &subtitle);
    column.note(&verdict_words(moisture));
    column.note("Where the vapour pressure would touch the dashed line, water falls out.");
    let mut key = Table::new(vec![TableColumn::right("no."), TableColumn::wide("layer, from outside")]);
    for (index, layer) in roof.layers.iter().enumerate() {
        key.row([(index + 1).to_string(), layer.name.clone()]);
    }
    column.table(key, "", 0.0);
    column.table(profile_table(moisture), "", 50.0);
    for tight in &moisture.vapour_tight {
        column.note(&format!(
            "{}: as tight as {} of air; {}\u{00A0}% of the insulation lies on its warm side.",
            tight.layer,
            with_unit(tight.sd_m, 0, "m"),
            number(tight.warm_share * 100.0, 0)
        ));
    }
    for note in &moisture.notes {
        column.note(note);
    }
    scene.add(column.finish());
    Some(Drawing { id: "damp-profile".to_owned(), title, subtitle, scene, scale: Some(scale), model: None })
}

fn least(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::INFINITY, f64::min)
}

fn most(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

fn axes(group: &mut Group, axis: &LinearAxis, frame: Extent, words: &str) {
    for value in axis.figures() {
        let y = axis.place_mm(value);
        group.add(Path::line(
            Point::new(frame.left, y),
            Point::new(frame.right, y),
            Pen::FINE.in_ink(Ink::Light),
        ));
        let text = Text::new(Point::new(frame.left - 1.6, y), axis.words(value), 2.6);
        group.add(text.anchored(Anchor::End).on(Baseline::Middle));
    }
    group.add(Path::line(Point::new(frame.left, frame.top), Point::new(frame.left, frame.bottom), Pen::THIN));
    group.add(Path::line(
        Point::new(frame.left, frame.bottom),
        Point::new(frame.right, frame.bottom),
        Pen::THIN,
    ));
    let at = Point::new(frame.left - 10.0, frame.top - 3.4);
    group.add(Text::new(at, words, 2.6).in_ink(Ink::Grey));
}

fn turned_section(roof: &BuildupOutcome, scale: Scale, strip: Extent) -> Group {
    let mut group = Group::on_layer("section");
    let places = layers::places(roof, scale, strip, Runs::Right);
    for (layer, place) in roof.layers.iter().zip(&places) {
        layers::cut(&mut group, layer.drawn, *place, Runs::Right);
    }
    for y in [strip.top, strip.bottom] {
        group.add(Path::line(
            Point::new(strip.left - 2.0, y),
            Point::new(strip.right + 2.0, y),
            Pen::THIN.in_ink(Ink::Grey).dashed(Dash::DoubleChain),
        ));
    }
    group.add(
        Text::new(Point::new(strip.left - 2.0, f64::midpoint(strip.top, strip.bottom)), "outside", WORDS_MM)
            .turned(90.0)
            .centred()
            .in_ink(Ink::Grey),
    );
    group.add(
        Text::new(Point::new(strip.right + 3.0, f64::midpoint(strip.top, strip.bottom)), "inside", WORDS_MM)
            .on(Baseline::Middle)
            .in_ink(Ink::Grey),
    );
    group.add(numbers_above(&places, strip));
    let chain_links: Vec<Link> = roof
        .layers
        .iter()
        .map(|layer| Link::new(scale.on_paper_mm(layer.thickness_mm), layers::thickness(layer)))
        .collect();
    group.add(chain(&Chain {
        start: Point::new(strip.left, strip.bottom + 5.5),
        along: Direction::RIGHT,
        side: Side::Right,
        labels: ChainLabels::Along,
        links: chain_links,
        reach_mm: 4.0,
        size_mm: WORDS_MM,
    }));
    group
}

/// Numbers over the layers, as the key names them.
fn numbers_above(places: &[Extent], strip: Extent) -> Group {
    let mut group = Group::on_layer("notes");
    let wishes: Vec<paper::spread::Wish> =
        places.iter().map(|place| paper::spread::Wish { at: place.centre().x, room: 5.0 }).collect();
    let at = paper::spread::spread(&wishes, strip.left, strip.right + 20.0);
    for ((index, place), x) in places.iter().enumerate().zip(at) {
        let ring = Point::new(x, strip.top - 8.0);
        group.add(Path::open(
            [
                ring.moved(0.0, 1.8),
                Point::new(place.centre().x, strip.top - 2.0),
                Point::new(place.centre().x, strip.top + 1.2),
            ],
            Pen::THIN.in_ink(Ink::Grey),
        ));
        group.add(mark::ringed(ring, &(index + 1).to_string(), 2.6, Ink::Ink));
    }
    group
}

fn profile_table(moisture: &MoistureResult) -> Table {
    let at = &moisture.profile;
    let mut table = Table::new(vec![
        TableColumn::wide("inner face of"),
        TableColumn::right("°C"),
        TableColumn::right("most, Pa"),
        TableColumn::right("there, Pa"),
    ]);
    let rows = at.layer.iter().zip(&at.temperature_c).zip(at.saturation_pa.iter().zip(&at.vapour_pa));
    for ((layer, &temperature), (&saturation, &vapour)) in rows {
        let there = Cell::from(number(vapour, 0));
        table.row([
            Cell::from(if layer.is_empty() { "outer surface".to_owned() } else { layer.clone() }),
            number(temperature, 1).into(),
            number(saturation, 0).into(),
            if vapour >= saturation - 0.5 { there.red() } else { there },
        ]);
    }
    table
}

fn year_and_session(plan: &Plan) -> Vec<Drawing> {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let mut scene = Scene::new(width, height);
    let mut column = word_column();
    let moisture = plan.fabric.moisture.as_ref();
    let air = plan.fabric.air.as_ref();
    let title = match (moisture.is_some(), air.is_some()) {
        (true, true) => "Damp through the year, air through a session",
        (true, false) => "Damp through the year",
        (false, true) => "Air through a session",
        (false, false) => return Vec::new(),
    }
    .to_owned();
    let subtitle = "Carbon dioxide by mass balance, damp by monthly means.".to_owned();
    column.title(&title, &subtitle);
    let charts = f64::from(u8::from(air.is_some()) + u8::from(moisture.is_some()));
    let each = height / charts;
    let mut top = 0.0;
    if let Some(air) = air {
        scene.add(session(air, (area.width(), each - 6.0)).draw(Point::new(0.0, top)));
        top += each;
        column.heading("Air");
        let mut table = Table::new(vec![TableColumn::wide(""), TableColumn::right("")]);
        table.row(["highest with the planned air".to_owned(), with_unit(air.peak_ppm, 0, "ppm")]);
        table.row(["end of the session, room sealed".to_owned(), with_unit(air.sealed_end_ppm, 0, "ppm")]);
        if let Some(minute) = air.sealed_passes_limit_min {
            table.row(["sealed it passes the limit after".to_owned(), with_unit(minute, 0, "min")]);
        }
        table.row(["air that keeps to the limit".to_owned(), with_unit(air.needed_l_s, 0, "l/s")]);
        table.row(["air changes in an hour".to_owned(), number(air.air_changes_per_h, 1)]);
        table.row(["heat of people and equipment".to_owned(), with_unit(air.heat_w, 0, "W")]);
        column.table(table, "", 90.0);
        for note in &air.notes {
            column.note(note);
        }
    }
    if let Some(moisture) = moisture {
        scene.add(year(moisture, (area.width(), each - 4.0)).draw(Point::new(0.0, top)));
        column.heading("Damp");
        column.note(&verdict_words(moisture));
        column.table(month_table(moisture), "", 4.0);
    }
    scene.add(column.finish());
    vec![Drawing { id: "damp-and-air".to_owned(), title, subtitle, scene, scale: None, model: None }]
}

fn session(air: &fabric::air::AirResult, (width_mm, height_mm): (f64, f64)) -> PlainChart {
    let course = |value: fn(&fabric::air::AirAt) -> f64| -> Vec<[f64; 2]> {
        air.course.iter().map(|at| [at.minute, value(at)]).collect()
    };
    PlainChart {
        width_mm,
        height_mm,
        name_room_mm: 40.0,
        quantity: "carbon dioxide, ppm".to_owned(),
        over: "minutes into the session".to_owned(),
        lines: vec![
            PlainLine {
                name: "room sealed".to_owned(),
                points: course(|at| at.sealed_ppm),
                pen: Pen::MEDIUM.dashed(Dash::Dashed),
                marked: false,
            },
            PlainLine {
                name: "with the planned air".to_owned(),
                points: course(|at| at.ventilated_ppm),
                pen: Pen::BOLD,
                marked: false,
            },
        ],
        limits: Vec::new(),
        includes: Some(0.0),
        ..PlainChart::default()
    }
}

/// Moisture that gathers where any does; else how damp the air is at the inner surface, which is where mould begins.
fn year(moisture: &MoistureResult, (width_mm, height_mm): (f64, f64)) -> PlainChart {
    let course = |value: fn(&fabric::moisture::MonthResult) -> f64| -> Vec<[f64; 2]> {
        moisture.months.iter().enumerate().map(|(index, one)| [index as f64, value(one)]).collect()
    };
    let chart = PlainChart {
        width_mm,
        height_mm,
        name_room_mm: 40.0,
        step_words: MONTH_NAMES.iter().map(|name| name.chars().take(3).collect()).collect(),
        includes: Some(0.0),
        ..PlainChart::default()
    };
    if moisture.peak_g_m2 > 0.5 {
        return PlainChart {
            quantity: "gathered in the build-up at the end of the month, g/m²".to_owned(),
            lines: vec![PlainLine {
                name: "gathered".to_owned(),
                points: course(|one| one.gathered_g_m2),
                pen: Pen::BOLD,
                marked: true,
            }],
            ..chart
        };
    }
    PlainChart {
        quantity: "relative humidity, %".to_owned(),
        lines: vec![
            PlainLine {
                name: "air inside".to_owned(),
                points: course(|one| one.indoor_percent),
                pen: Pen::MEDIUM.dashed(Dash::Short),
                marked: false,
            },
            PlainLine {
                name: "at the inner surface".to_owned(),
                points: course(|one| one.surface_percent),
                pen: Pen::BOLD,
                marked: true,
            },
        ],
        limits: vec![PlainLimit {
            name: "80 %: mould begins".to_owned(),
            value: 80.0,
            pen: Pen::MEDIUM.in_ink(Ink::Red).dashed(Dash::Dashed),
        }],
        ..chart
    }
}

fn month_table(moisture: &MoistureResult) -> Table {
    let mut table = Table::new(vec![
        TableColumn::wide("month"),
        TableColumn::right("out °C"),
        TableColumn::right("out Pa"),
        TableColumn::right("in Pa"),
        TableColumn::right("surface %"),
        TableColumn::right("gathered g/m²"),
    ]);
    for one in &moisture.months {
        table.row([
            month(one.month).to_owned(),
            number(one.outdoor_c, 1),
            number(one.outdoor_pa, 0),
            number(one.indoor_pa, 0),
            number(one.surface_percent, 0),
            number(one.gathered_g_m2, 0),
        ]);
    }
    table.size_mm = 2.6;
    table
}
