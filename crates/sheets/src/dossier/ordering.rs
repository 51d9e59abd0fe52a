//! The lists a person carries: marks, bars, clips, packers, and the order.

use paper::{
    flow::Flow,
    table::{Cell, Column, Table, Width},
};
use plan::Plan;
use quantities::format::{number, with_unit};

/// Marks along each wall, bars, cuts of bars, clips with packers.
pub(super) fn marks(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    let Some(layout) = &plan.ceiling.layout else { return flow };
    flow.heading(1, "Marks");
    flow.paragraph(
        "Running dimensions, each wall from its own named corner. Hook the tape once; never add gap to gap.",
    );
    for wall in &layout.marks {
        if wall.marks.is_empty() {
            continue;
        }
        flow.heading(
            3,
            format!("Wall {}, from {} ({})", wall.wall, wall.from_corner, with_unit(wall.length_mm, 0, "mm")),
        );
        let mut table =
            Table::new(vec![Column::right("mm").with_width(Width::Fixed(14.0)), Column::wide("what")]);
        for mark in &wall.marks {
            table.row([number(mark.at_mm, 0), mark.what.clone()]);
        }
        flow.table(table);
    }
    flow.heading(1, "Bars");
    let mut table = Table::new(vec![
        Column::right("bar"),
        Column::right("length, mm"),
        Column::wide("why, and laps at mm from its first end"),
    ]);
    for bar in &layout.bars {
        let why = match bar.reason {
            setout::BarReason::Perimeter => "perimeter",
            setout::BarReason::Joint => "under a joint",
            setout::BarReason::Field => "between",
        };
        let laps: Vec<String> =
            bar.laps.iter().map(|lap| number((lap.from_mm + lap.to_mm) / 2.0, 0)).collect();
        let words =
            if laps.is_empty() { why.to_owned() } else { format!("{why}; lap at {}", laps.join(", ")) };
        table.row([bar.number.to_string(), number(bar.length_mm, 0), words]);
    }
    flow.table(table);
    flow.heading(3, "Cutting the bars");
    let mut table = Table::new(vec![
        Column::right("stock"),
        Column::wide("cut, mm (for bar)"),
        Column::right("left, mm"),
    ]);
    for stock in &layout.bar_cutting {
        let cuts: Vec<String> =
            stock.cuts.iter().map(|cut| format!("{} ({})", number(cut.length_mm, 0), cut.bar)).collect();
        table.row([stock.number.to_string(), cuts.join(", "), number(stock.left_over_mm, 0)]);
    }
    flow.table(table);
    clips(plan, layout, &mut flow);
    flow
}

fn clips(plan: &Plan, layout: &setout::Layout, flow: &mut Flow) {
    flow.heading(1, "Clips and packers");
    if let Some(level) = &layout.level {
        flow.paragraph(format!(
            "All bars hang in one level plane, its face {} above the floor. The spacer block is {} long: it passes between joist \
             and bar at the lowest joist.",
            with_unit(level.face_mm, 0, "mm"),
            with_unit(level.spacer_block_mm, 0, "mm")
        ));
    }
    let mut table = Table::new(vec![
        Column::right("clip"),
        Column::right("bar"),
        Column::left("on"),
        Column::right("along, mm"),
        Column::right("kg"),
        Column::right("packer"),
    ]);
    for clip in &layout.clips {
        let on = match clip.on {
            setout::Support::Joist(index) => plan
                .ceiling
                .given
                .as_ref()
                .and_then(|given| given.joists.get(index))
                .map_or_else(String::new, |joist| joist.name.clone()),
            setout::Support::Noggin(index) => layout
                .noggins
                .get(index)
                .map_or_else(String::new, |noggin| format!("noggin {}", noggin.number)),
        };
        table.row([
            clip.number.to_string(),
            layout.bars.get(clip.bar).map_or_else(String::new, |bar| bar.number.to_string()),
            on,
            number(clip.along_mm, 0),
            number(clip.load_kg, 1),
            clip.packer_mm.map_or_else(|| "–".to_owned(), |packer| number(packer, 0)),
        ]);
    }
    flow.table(table);
    if !layout.noggins.is_empty() {
        flow.heading(3, "Noggins");
        let mut table =
            Table::new(vec![Column::right("no."), Column::right("length, mm"), Column::wide("why")]);
        for noggin in &layout.noggins {
            table.row([noggin.number.to_string(), number(noggin.length_mm, 0), noggin.why.clone()]);
        }
        flow.table(table);
    }
}

/// The order.
pub(super) fn order(plan: &Plan) -> Flow {
    let mut flow = Flow::new();
    if plan.order.lines.is_empty() {
        return flow;
    }
    let order = &plan.order;
    let money = |value: f64| format!("{}{}", order.currency, number(value, 2));
    flow.heading(1, "Order");
    flow.paragraph("Once, and for the whole job. Prices are yours; a line without one is not in the sum.");
    let mut table = Table::new(vec![
        Column::left("what"),
        Column::wide("for what"),
        Column::right("needed"),
        Column::left("sold as"),
        Column::right("buy"),
        Column::right("mass, kg"),
        Column::right("heaviest, kg"),
        Column::right("each"),
        Column::right("sum"),
    ]);
    for line in &order.lines {
        let needed = format!(
            "{}\u{00A0}{}",
            number(line.needed, if line.needed.fract().abs() < 1e-9 { 0 } else { 1 }),
            line.unit
        );
        let weight = |kg: f64| if kg > 0.0 { number(kg, 1) } else { "–".to_owned() };
        let price = |value: Option<f64>| {
            value.map_or_else(|| Cell::from("no price").grey(), |price| money(price).into())
        };
        table.row([
            Cell::from(line.what.clone()),
            line.detail.clone().into(),
            needed.into(),
            line.sold_as.clone().into(),
            line.buy.to_string().into(),
            weight(line.mass_kg).into(),
            weight(line.heaviest_kg).into(),
            price(line.price_each),
            price(line.price),
        ]);
    }
    table.total([
        "together".to_owned(),
        String::new(),
        String::new(),
        String::new(),
        String::new(),
        number(order.mass_kg, 0),
        String::new(),
        String::new(),
        money(order.price),
    ]);
    flow.table(table);
    for line in order.lines.iter().filter(|line| !line.note.is_empty() && line.price.is_some()) {
        flow.point(format!("{}: {}.", line.what, line.note));
    }
    flow
}
