//! The year of damp and the session's air in charts.

use fabric::moisture::{MONTH_NAMES, MoistureResult};
use paper::{
    Dash, Ink, Pen, Point, Scene,
    chart::{PlainChart, PlainLimit, PlainLine},
    table::{Column as TableColumn, Table},
};
use plan::Plan;
use quantities::format::{number, with_unit};

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    moisture::{month, verdict_words},
    section::{drawing_area, word_column},
};

/// The sheet, if there is anything to show.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let mut scene = Scene::new(width, height);
    let mut column = word_column(plan);
    let moisture = plan.fabric.moisture.as_ref();
    let air = plan.fabric.air.as_ref();
    let title = match (moisture.is_some(), air.is_some()) {
        (true, true) => "Damp and air",
        (true, false) => "Damp through the year",
        (false, true) => "Air through a session",
        (false, false) => return Vec::new(),
    }
    .to_owned();
    let subtitle = "Air through a session, damp through a year of monthly means.".to_owned();
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
        limits: limit(air).into_iter().collect(),
        includes: Some(0.0),
        ..PlainChart::default()
    }
}

/// The limit, read where the sealed room passes it.
fn limit(air: &fabric::air::AirResult) -> Option<PlainLimit> {
    let minute = air.sealed_passes_limit_min?;
    let (before, after) = air
        .course
        .iter()
        .zip(air.course.iter().skip(1))
        .find(|(before, after)| before.minute <= minute && minute <= after.minute)?;
    let part = (minute - before.minute) / (after.minute - before.minute).max(1e-9);
    let value = before.sealed_ppm + part * (after.sealed_ppm - before.sealed_ppm);
    let pen = Pen::MEDIUM.in_ink(Ink::Red).dashed(Dash::Dashed);
    Some(PlainLimit { name: format!("limit {}", number((value / 10.0).round() * 10.0, 0)), value, pen })
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
        ..PlainChart::default()
    };
    if moisture.peak_g_m2 > 0.5 {
        return PlainChart {
            quantity: "gathered in the build-up at the end of the month, g/m²".to_owned(),
            includes: Some(0.0),
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
