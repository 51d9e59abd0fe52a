//! The moisture profile of the governing month over the section, the layers as its abscissa.

use fabric::moisture::{MONTH_NAMES, MoistureResult, Verdict};
use paper::{
    Anchor, Baseline, Dash, Extent, Group, Ink, Path, Pen, Point, Scale, Scene, Text,
    axis::LinearAxis,
    dimension::{Chain, ChainLabels, Link, Side, chain},
    mark,
    point::Direction,
    table::{Cell, Column as TableColumn, Table},
};
use plan::{Plan, outcome::BuildupOutcome};
use quantities::format::{number, with_unit};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM, damp_and_air,
    layers::{self, Runs, WORDS_MM, caption},
    section::{drawing_area, word_column},
};

/// Profile of the roof, of each wall where moisture gathers or a layer is vapour-tight, then year and session.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all = Vec::new();
    if let Some(moisture) = &plan.fabric.moisture {
        let roof = plan.buildups.iter().find(|buildup| buildup.name == moisture.name);
        if let Some(roof) = roof.or_else(|| plan.buildups.iter().find(|buildup| buildup.lies_flat)) {
            all.extend(profile(
                plan,
                moisture,
                roof,
                ("damp-profile".to_owned(), "Damp in the roof".to_owned()),
            ));
        }
    }
    for (index, wall) in plan.fabric.walls.iter().enumerate() {
        let Some(moisture) = &wall.moisture else { continue };
        if moisture.planes.is_empty() && moisture.vapour_tight.is_empty() {
            continue;
        }
        if let Some(buildup) = plan.buildups.iter().find(|buildup| buildup.name == wall.buildup) {
            let walls = wall.walls.join(", ").replace('-', "–");
            let named = (format!("damp-wall-{}", index + 1), format!("Damp in wall {walls}"));
            all.extend(profile(plan, moisture, buildup, named));
        }
    }
    all.extend(damp_and_air::drawings(plan));
    all
}

pub(super) fn month(number: u8) -> &'static str {
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

fn profile(
    plan: &Plan,
    moisture: &MoistureResult,
    roof: &BuildupOutcome,
    (id, title): (String, String),
) -> Option<Drawing> {
    let at = &moisture.profile;
    let counted_mm = at.x_m.last()? * 1000.0;
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let room = area.width() - 34.0;
    let denominator = SCALES.into_iter().find(|n| roof.depth_mm / n <= room).unwrap_or(20.0);
    let scale = Scale::one_to(denominator);
    let strip_left = 14.0;
    let strip = Extent::new(strip_left, 30.0, strip_left + scale.on_paper_mm(roof.depth_mm), 74.0);
    // What is counted ends at the inner face; what lies outside the ventilated gap is not.
    let outer_mm = (roof.depth_mm - counted_mm).max(0.0);
    let x_of = |x_m: f64| strip.left + scale.on_paper_mm(outer_mm + x_m * 1000.0);

    let mut scene = Scene::new(width, height);
    scene.add(turned_section(plan, roof, scale, strip));
    let plot = |top: f64, bottom: f64| Extent::new(strip.left, top, strip.right, bottom);
    // Thicknesses in feet and inches are led out to a second row more often.
    let ends_mm = if plan.lengths().in_feet() { (138.0, 95.0) } else { (136.0, 90.0) };
    let temperature =
        LinearAxis::round(least(&at.temperature_c).min(0.0), most(&at.temperature_c), 5.0, ends_mm);
    let pressure = LinearAxis::round(0.0, most(&at.saturation_pa), 6.0, (height - 8.0, 150.0));
    let mut curves = Group::on_layer("profile");
    for (axis, words) in [(&temperature, "temperature, °C"), (&pressure, "vapour pressure, Pa")] {
        let frame = plot(axis.high_mm, axis.low_mm);
        axes(&mut curves, axis, frame, words);
        for &x_m in faces(at).iter().filter_map(|&index| at.x_m.get(index)) {
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
        for (row, line) in
            paper::wrap::wrap(words, WORDS_MM, paper::Weight::Regular, 19.0).into_iter().enumerate()
        {
            let y = y + row as f64 * WORDS_MM * 1.2;
            curves.add(Text::new(Point::new(strip.right + 1.6, y), line, WORDS_MM).on(Baseline::Middle));
        }
    }
    for plane in &moisture.planes {
        let x = x_of(plane.depth_m);
        curves.add(mark::cross(Point::new(x, pressure.low_mm - 4.0), 2.0, Pen::BOLD.in_ink(Ink::Red)));
        let words = format!("condenses, {} at the most", with_unit(plane.peak_g_m2, 0, "g/m²"));
        let text = Text::new(Point::new(x + 3.0, pressure.low_mm - 3.0), words, WORDS_MM).in_ink(Ink::Red);
        curves.add(text.knocked_out());
    }
    scene.add(curves);

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
    let mut column = word_column(plan);
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
    Some(Drawing { id, title, subtitle, scene, scale: Some(scale), model: None })
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

fn turned_section(plan: &Plan, roof: &BuildupOutcome, scale: Scale, strip: Extent) -> Group {
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
        .map(|layer| Link::new(scale.on_paper_mm(layer.thickness_mm), layers::thickness(plan, layer)))
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

/// Outer surface and the inner face of every layer; the method cuts thick layers up, which helps no reader.
fn faces(at: &fabric::moisture::Profile) -> Vec<usize> {
    (0..at.layer.len())
        .filter(|&index| index == 0 || at.layer.get(index) != at.layer.get(index + 1))
        .collect()
}

fn profile_table(moisture: &MoistureResult) -> Table {
    let at = &moisture.profile;
    let mut table = Table::new(vec![
        TableColumn::wide("inner face of"),
        TableColumn::right("°C"),
        TableColumn::right("most, Pa"),
        TableColumn::right("there, Pa"),
    ]);
    let value = |list: &[f64], index: usize| list.get(index).copied().unwrap_or(f64::NAN);
    for index in faces(at) {
        let layer = at.layer.get(index).map_or("", String::as_str);
        let (temperature, saturation, vapour) =
            (value(&at.temperature_c, index), value(&at.saturation_pa, index), value(&at.vapour_pa, index));
        let there = Cell::from(number(vapour, 0));
        table.row([
            Cell::from(if layer.is_empty() { "outer surface" } else { layer }),
            number(temperature, 1).into(),
            number(saturation, 0).into(),
            if vapour >= saturation - 0.5 { there.red() } else { there },
        ]);
    }
    table
}
