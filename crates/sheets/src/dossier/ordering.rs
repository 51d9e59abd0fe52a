//! The lists a person carries: marks, bars, clips, packers, and the order.

use paper::{
    Extent, Ink,
    flow::{Flow, FlowArea, FlowPage},
    table::{Cell, Column, Table, Width},
    wrap::Span,
};
use plan::{Plan, outcome::OrderLine};
use quantities::format::{number, with_unit};
use setout::{Layout, Support};

use super::{calculations::counted, pages};
use crate::ceiling_words::{self, printed};

/// Width of a column of running dimensions, mm of paper: feet and inches are longer.
fn figures_mm(plan: &Plan) -> f64 {
    if plan.lengths().in_feet() { 21.0 } else { 12.0 }
}

/// What stands above running dimensions.
fn at(plan: &Plan) -> &'static str {
    if plan.lengths().in_feet() { "at" } else { "mm" }
}

/// Marks along each wall, bars, cuts of bars, clips with packers.
pub(super) fn marks(plan: &Plan, area: Extent) -> Vec<FlowPage> {
    let Some(layout) = &plan.ceiling.layout else { return Vec::new() };
    let flow_at = |count: usize| {
        let width = FlowArea::columns(area, count).column_width_mm();
        let mut flow = Flow::new();
        stamp(plan, &mut flow);
        as_built(plan, &mut flow);
        brought_true(plan, &mut flow);
        wall_marks(plan, layout, &mut flow, width);
        joist_marks(plan, &mut flow, width);
        bars(plan, layout, &mut flow);
        clips(plan, layout, &mut flow);
        flow
    };
    // Five narrower columns where they save a sheet.
    let [few, more] = [4, 5].map(|count| pages::as_on_a3(count, area));
    let [wide, narrow] = [few, more].map(|count| pages::columns(plan, &flow_at(count), area, count));
    if narrow.len() < wide.len() { narrow } else { wide }
}

/// The stamp of the layout, and why readings are not counted.
fn stamp(plan: &Plan, flow: &mut Flow) {
    if let Some(stamp) = &plan.ceiling.stamp {
        flow.paragraph(format!(
            "Stamp of this layout: {stamp}. Write it down with whatever you read off the ceiling, as stamp under [as_built]."
        ));
    }
    if let Some(mended) = &plan.ceiling.mended_stamp {
        flow.paragraph(format!(
            "These sheets are mended round what is fixed and have a stamp of their own, {mended}: put away every set that does not carry it. \
             Readings keep the stamp above."
        ));
    }
    if let Some(refused) = &plan.ceiling.as_built_refused {
        flow.heading(1, "As built");
        flow.paragraph(format!("{}.", crate::drawings::capital(refused)));
    }
}

/// What changes for the parts that are fixed.
fn as_built(plan: &Plan, flow: &mut Flow) {
    let Some(found) = &plan.ceiling.as_built else { return };
    flow.heading(1, "As built");
    flow.paragraph(format!(
        "{}; of the {} marks that remain {} stay. The marks below are those to go on with.",
        found.stays_words(),
        found.difference.marks_to_keep,
        found.difference.marks_kept
    ));
    for sentence in ceiling_words::changes(found) {
        flow.paragraph(format!("{}.", crate::drawings::capital(sentence)));
    }
}

/// Openings out of plumb or level, and walls that bow.
fn brought_true(plan: &Plan, flow: &mut Flow) {
    let words = crate::drawings::true_words(plan);
    if words.is_empty() {
        return;
    }
    flow.heading(1, "Openings and walls brought true");
    for sentence in words {
        flow.paragraph(sentence);
    }
}

fn wall_marks(plan: &Plan, layout: &Layout, flow: &mut Flow, width: f64) {
    flow.heading(1, "Marks");
    flow.paragraph(
        "Running dimensions, each wall from the corner named. Hook the tape once; never add gap to gap.",
    );
    for wall in layout.marks.iter().filter(|wall| !wall.marks.is_empty()) {
        flow.heading(
            3,
            format!(
                "Wall {}, from {} ({})",
                printed(&wall.wall),
                ceiling_words::origin(plan, wall),
                plan.lengths().with_unit(wall.length_mm, 0)
            ),
        );
        let mut table = Table::new(vec![
            Column::right(at(plan)).with_width(Width::Fixed(figures_mm(plan))),
            Column::wide("what"),
        ]);
        for mark in &wall.marks {
            table.row([
                Cell::from(plan.lengths().figure(mark.at_mm, 0)).semibold(),
                ceiling_words::mark_words(plan, mark).into(),
            ]);
        }
        // A wall's marks stay in one piece as far as a column holds them.
        if table.rows.len() < 34 {
            pages::small_table(plan, flow, &table, width);
        } else {
            flow.table(table);
        }
    }
}

fn joist_marks(plan: &Plan, flow: &mut Flow, width: f64) {
    if plan.ceiling.bar_ties.is_empty() {
        return;
    }
    flow.heading(3, "On joists, where no wall marks the end of a bar".to_owned());
    let mut table = Table::new(vec![
        Column::right(at(plan)).with_width(Width::Fixed(figures_mm(plan))),
        Column::wide("what, and from where"),
    ]);
    for tie in &plan.ceiling.bar_ties {
        let what = format!(
            "bar {}: under {}, along it from wall {}",
            tie.bar,
            ceiling_words::joist_name(plan, tie.joist),
            printed(&tie.from_wall)
        );
        table.row([Cell::from(plan.lengths().figure(tie.along_mm, 0)).semibold(), what.into()]);
    }
    pages::small_table(plan, flow, &table, width);
}

fn bars(plan: &Plan, layout: &Layout, flow: &mut Flow) {
    flow.heading(1, "Bars");
    let mut table = Table::new(vec![
        Column::right("bar"),
        Column::right("length, mm"),
        Column::wide("why; laps, mm from its first end"),
    ]);
    for bar in &layout.bars {
        let why = match bar.reason {
            setout::BarReason::Perimeter => "perimeter",
            setout::BarReason::Joint => "under a joint",
            setout::BarReason::Field => "between",
        };
        let laps: Vec<String> = bar
            .laps
            .iter()
            .map(|lap| plan.lengths().figure(f64::midpoint(lap.from_mm, lap.to_mm), 0))
            .collect();
        let words =
            if laps.is_empty() { why.to_owned() } else { format!("{why}; lap at {}", laps.join(", ")) };
        table.row([
            Cell::from(bar.number.to_string()).semibold(),
            plan.lengths().figure(bar.length_mm, 0).into(),
            words.into(),
        ]);
    }
    flow.table(table);
    flow.heading(2, "Cutting the bars");
    let mut table = Table::new(vec![
        Column::right("length"),
        Column::wide("cut, mm (for bar)"),
        Column::right("left, mm"),
    ]);
    for stock in &layout.bar_cutting {
        let cuts: Vec<String> = stock
            .cuts
            .iter()
            .map(|cut| format!("{}\u{00A0}({})", plan.lengths().figure(cut.length_mm, 0), cut.bar))
            .collect();
        table.row([stock.number.to_string(), cuts.join(", "), plan.lengths().figure(stock.left_over_mm, 0)]);
    }
    flow.table(table);
}

fn clips(plan: &Plan, layout: &Layout, flow: &mut Flow) {
    flow.new_column();
    flow.heading(1, "Clips and packers");
    if let Some(level) = layout.level.as_ref().filter(|level| level.flatness_mm + level.fall_mm_per_m > 0.0) {
        let joists = plan.ceiling.given.as_ref().map_or(&[][..], |given| &given.joists);
        let joist = joists.get(level.lowest_joist).map_or("the lowest joist", |joist| &joist.name);
        flow.paragraph(format!(
            "{} The face is {} above the floor at its lowest corner.",
            level.sentence(joist),
            plan.lengths().with_unit(level.face_mm, 0)
        ));
    } else if let Some(level) = &layout.level {
        flow.paragraph(format!(
            "All bars hang in one level plane, its face {} above the floor. The spacer block is {} long: it just passes \
             between the lowest joist and the back of the boards.",
            plan.lengths().with_unit(level.face_mm, 0),
            plan.lengths().with_unit(level.spacer_block_mm, 0)
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
    let mut last_bar = None;
    for clip in &layout.clips {
        let on = match clip.on {
            Support::Joist(index) => plan
                .ceiling
                .given
                .as_ref()
                .and_then(|given| given.joists.get(index))
                .map_or_else(String::new, |joist| joist.name.clone()),
            Support::Noggin(index) => layout
                .noggins
                .get(index)
                .map_or_else(String::new, |noggin| format!("noggin {}", noggin.number)),
        };
        let bar = layout.bars.get(clip.bar).map_or_else(String::new, |bar| bar.number.to_string());
        // The bar's number once, where its clips begin.
        let first = last_bar.replace(clip.bar) != Some(clip.bar);
        table.row([
            Cell::from(clip.number.to_string()).semibold(),
            if first { Cell::from(bar).semibold() } else { Cell::from(bar).grey() },
            on.into(),
            plan.lengths().figure(clip.along_mm, 0).into(),
            number(clip.load_kg, 1).into(),
            ceiling_words::packer(plan, clip).unwrap_or_else(|| "–".to_owned()).into(),
        ]);
    }
    flow.table(table);
    if !layout.noggins.is_empty() {
        flow.heading(2, "Noggins");
        let mut table = Table::new(vec![
            Column::right("no."),
            Column::right("length, mm"),
            Column::left("from – to"),
            Column::wide("its middle; why"),
        ]);
        for noggin in &layout.noggins {
            let words = ceiling_words::noggin(plan, noggin);
            let place = words.place_and(&noggin.why);
            table.row([
                noggin.number.to_string(),
                plan.lengths().figure(noggin.length_mm, 0),
                words.between,
                place,
            ]);
        }
        flow.table(table);
    }
}

/// The order, and below it what goes with it.
pub(super) fn order(plan: &Plan, area: Extent) -> Vec<FlowPage> {
    if plan.order.lines.is_empty() {
        return Vec::new();
    }
    let mut top = Flow::new();
    let narrow = area.width() < NARROW_MM;
    order_table(plan, &mut top, narrow);
    let mut below = Flow::new();
    to_mind(plan, &mut below);
    packers(plan, &mut below);
    pages::above(plan, &top, &below, area, pages::as_on_a3(3, area))
}

/// One wide table, or two on a narrow sheet: what to order, and what each line of it is for.
fn order_table(plan: &Plan, flow: &mut Flow, narrow: bool) {
    let order = &plan.order;
    let money = |value: f64| format!("{}{}", order.currency, number(value, 2));
    flow.heading(1, "Order");
    flow.paragraph("Once, for the whole ceiling. Prices are your own; a line without one is not in the sum.");
    if let Some(left_out) = &order.left_out {
        flow.paragraph(left_out.clone());
    }
    let columns = [
        Column::right(""),
        if narrow { Column::wide("what") } else { Column::left("what") },
        Column::wide("for what"),
        Column::right("needed"),
        Column::right("buy"),
        Column::left("sold as"),
        Column::right("heaviest, kg"),
        Column::right("all, kg"),
        Column::right("each"),
        Column::right("sum"),
        Column::left("ordered").with_width(Width::Fixed(13.0)),
        Column::left("here").with_width(Width::Fixed(13.0)),
    ];
    let first = |column: usize| !narrow || !FOR_WHAT.contains(&column);
    let second = |column: usize| column < 2 || FOR_WHAT.contains(&column);
    let table_of = |some: &dyn Fn(usize) -> bool| {
        let mut table = Table::new(only(columns.iter().cloned(), some));
        table.size_mm = 3.2;
        table
    };
    let (mut table, mut beside) = (table_of(&first), table_of(&second));
    for (index, line) in order.lines.iter().enumerate() {
        let needed = format!(
            "{}\u{00A0}{}",
            number(line.needed, usize::from(line.needed.fract().abs() > 1e-9)),
            line.unit
        );
        let weight = |kg: f64| if kg > 0.0 { number(kg, 1) } else { "–".to_owned() };
        let price =
            |value: Option<f64>| value.map_or_else(|| Cell::from("–").grey(), |price| money(price).into());
        let row = [
            Cell::from((index + 1).to_string()).grey(),
            Cell::from(line.what.clone()).semibold(),
            detail(plan, line),
            needed.into(),
            Cell::from(line.buy.to_string()).semibold(),
            sold_as(line).into(),
            weight(line.heaviest_kg).into(),
            weight(line.mass_kg).into(),
            price(line.price_each),
            price(line.price),
            // Empty, to be ticked with a pencil.
            Cell::default(),
            Cell::default(),
        ];
        beside.row(only(row.iter().cloned(), &second));
        table.row(only(row, &first));
    }
    let together = [
        String::new(),
        "together".to_owned(),
        match order.lines_without_price {
            0 => String::new(),
            1 => "without the one line that has no price".to_owned(),
            some => format!("without the {some} lines that have no price"),
        },
        String::new(),
        String::new(),
        String::new(),
        String::new(),
        number(order.mass_kg, 0),
        String::new(),
        money(order.price),
    ];
    table.total(only(together, &first));
    flow.table(table);
    if narrow {
        flow.heading(2, "What each line is for");
        flow.table(beside);
    }
}

/// A sheet with less room across has the order in two tables, mm.
const NARROW_MM: f64 = 260.0;
/// Columns of the order that stand in a table of their own on a narrow sheet: for what, the heaviest piece, the price of one.
const FOR_WHAT: [usize; 3] = [2, 6, 8];

fn only<T>(all: impl IntoIterator<Item = T>, some: &dyn Fn(usize) -> bool) -> Vec<T> {
    all.into_iter().enumerate().filter_map(|(at, one)| some(at).then_some(one)).collect()
}

/// What a line is for, with what to mind in grey; a list of packers stands below instead.
fn detail(plan: &Plan, line: &OrderLine) -> Cell {
    let packers: Vec<_> = plan
        .ceiling
        .layout
        .iter()
        .flat_map(|layout| &layout.take_off.packers)
        .filter(|packer| packer.thickness_mm > 0.0)
        .collect();
    let words = match (packers.first(), packers.last()) {
        (Some(first), Some(last)) if line.what == "Packers" => format!(
            "{} to {} thick, by thickness below",
            plan.lengths().figure(first.thickness_mm, 0),
            plan.lengths().with_unit(last.thickness_mm, 0)
        ),
        _ => line.detail.clone(),
    };
    let no_news = line.note.is_empty() || line.note == "no price given";
    let mut spans = vec![Span::new(words.clone())];
    if !no_news {
        let joint = if words.is_empty() { "" } else { "; " };
        spans.push(Span::new(format!("{joint}{}", line.note)).in_ink(Ink::Grey));
    }
    Cell::from(spans)
}

/// A pack by its size; what is sold loose by its unit.
fn sold_as(line: &OrderLine) -> String {
    if line.sold_as != line.unit {
        return line.sold_as.clone();
    }
    match line.unit {
        "pieces" => "singly".to_owned(),
        "m" => "by the metre".to_owned(),
        "m²" => "by the square metre".to_owned(),
        "kg" => "by the kilogram".to_owned(),
        "l" => "by the litre".to_owned(),
        unit => format!("by the {unit}"),
    }
}

fn to_mind(plan: &Plan, flow: &mut Flow) {
    flow.heading(2, "Getting it here");
    let heaviest = plan.order.lines.iter().max_by(|a, b| a.heaviest_kg.total_cmp(&b.heaviest_kg));
    if let Some(line) = heaviest.filter(|line| line.heaviest_kg > 0.0) {
        flow.point(format!(
            "Heaviest single thing: {}, {}. You are happy to lift {}.",
            line.what,
            with_unit(line.heaviest_kg, 1, "kg"),
            with_unit(plan.limits.lift_kg, 0, "kg")
        ));
    }
    flow.point(format!(
        "{} come in all. Spread the boards flat on the ground floor, dry and off the slab, not in one stack.",
        with_unit(plan.order.mass_kg, 0, "kg")
    ));
    if let Some([height, width]) = plan.limits.door_lets_through_mm {
        flow.point(format!(
            "The way in is {} high and {} wide in the clear: carry long boards on edge.",
            plan.lengths().figure(height, 0),
            plan.lengths().with_unit(width, 0)
        ));
    }
    let Some(layout) = &plan.ceiling.layout else { return };
    flow.new_column();
    flow.heading(2, "Boards and bars");
    for count in &layout.take_off.boards {
        let tape = if count.tape_m > 0.0 {
            format!(", {} of cut edge to tape", with_unit(count.tape_m, 1, "m"))
        } else {
            String::new()
        };
        flow.point(format!(
            "Layer {}: {} of {} give {} pieces, {} screws{tape}.",
            count.layer,
            counted(count.sheets, "board"),
            count.material,
            count.pieces,
            count.screws
        ));
    }
    flow.point(format!(
        "{} of bar in {}, cut from {}.",
        with_unit(layout.take_off.bar_length_m, 1, "m"),
        counted(layout.take_off.bars, "run"),
        counted(layout.take_off.stock_bars, "length")
    ));
    if layout.proved_fewest_boards {
        flow.point(
            "No layout of the family searched needs fewer boards: proved. The calculations say which family.",
        );
    }
}

/// Thickness and count of the packers, three pairs side by side.
fn packers(plan: &Plan, flow: &mut Flow) {
    let Some(layout) = &plan.ceiling.layout else { return };
    let packers: Vec<_> = layout.take_off.packers.iter().filter(|packer| packer.thickness_mm > 0.0).collect();
    if packers.is_empty() {
        return;
    }
    flow.new_column();
    flow.heading(2, "Packers by thickness");
    let mut table = Table::new(vec![
        Column::right("mm"),
        Column::right("pieces"),
        Column::right("mm"),
        Column::right("pieces"),
        Column::right("mm"),
        Column::right("pieces"),
    ]);
    let told = ceiling_words::packers(plan, packers);
    let rows = told.len().div_ceil(3);
    for row in 0..rows {
        let mut cells = Vec::new();
        for column in 0..3 {
            match told.get(column * rows + row) {
                Some((figure, count)) => {
                    cells.push(Cell::from(figure.as_str()).semibold());
                    cells.push(count.to_string().into());
                }
                None => cells.extend([Cell::default(), Cell::default()]),
            }
        }
        table.row(cells);
    }
    flow.table(table);
    flow.remark("A packer covers the whole back of its clip: timber or plywood, never anything soft.");
}
