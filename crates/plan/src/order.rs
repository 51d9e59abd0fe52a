//! What to buy, in packs, with weights and prices where the person gave them.

use catalogue::{Sheet, find};
use quantities::format::{round_to, with_unit};
use setout::TakeOff;

use crate::{
    outcome::{Finding, Order, OrderLine, Standing},
    project::{ItemKind, SaleUnit, Stock},
};

/// Spare for screws that strip or fall (common practice, no source).
pub(crate) const SPARE_SCREWS: f64 = 1.10;
/// Spare for sealant left in the nozzle and on the glove (common practice, no source).
pub(crate) const SPARE_SEALANT: f64 = 1.20;
/// Sealant for the hole of one cable or pipe, both faces, litres (common practice, no source).
const SEALANT_A_HOLE_L: f64 = 0.05;
/// Mass of acoustic sealant, kg/l (typical, no source).
pub(crate) const SEALANT_KG_L: f64 = 1.6;
/// Overlaps and waste of membrane and fibre (common practice, no source).
const SPARE_SHEET: f64 = 1.15;
/// Paste for the joints of the face layer, kg per metre of joint and screw line (common practice, no source).
const FILLER_KG_M: f64 = 0.3;
/// A self-drilling screw must show this much behind the bar (common practice: three threads), mm.
const SCREW_BEHIND_MM: f64 = 10.0;
/// Lengths screws are sold in, mm.
const SCREW_LENGTHS_MM: [f64; 9] = [25.0, 35.0, 45.0, 55.0, 70.0, 90.0, 100.0, 120.0, 150.0];
/// Mass of one drywall screw, kg (for the weight delivered only).
pub(crate) const SCREW_KG: f64 = 0.0018;

/// Boards that differ by less are as thick as each other, mm.
const SAME_THICKNESS_MM: f64 = 0.05;
/// Said of a line that has no price.
const NO_PRICE: &str = "no price given";

/// What the order is drawn up from.
#[derive(Clone, Debug)]
pub struct OrderFacts<'a> {
    /// What the ceiling takes.
    pub take_off: &'a TakeOff,
    /// What can be bought, with prices.
    pub stock: &'a Stock,
    /// Board names by layer, as printed, with length, width and thickness in mm.
    pub boards: Vec<BoardFacts>,
    /// Name of the bar and its mass, kg/m.
    pub bar: (String, f64),
    /// Name of the clip and the mass of one, kg.
    pub clip: (String, f64),
    /// Gap round the boards, mm.
    pub perimeter_gap_mm: f64,
    /// Joints of the face layer, m.
    pub face_joints_m: f64,
    /// Fibre between the joists: name, thickness mm, area m², density kg/m³.
    pub fibre: Option<(String, f64, f64, f64)>,
    /// Membrane under the joists: name, area m², mass kg/m².
    pub membrane: Option<(String, f64, f64)>,
    /// Length of timber for noggins, m.
    pub noggin_m: f64,
    /// Seals of openings: name and length, m.
    pub seals: Vec<(String, f64)>,
    /// Putty pads for boxes let into a leaf.
    pub pads: u32,
    /// Hoods for lamps let into a leaf.
    pub hoods: u32,
    /// Holes of cables and pipes to close with sealant.
    pub sealed_holes: u32,
    /// What the job needs that is bought by its makers' own lists: `window`, `air path`.
    pub bought_apart: Vec<String>,
    /// Money sign.
    pub currency: String,
    /// The most the person wants to spend.
    pub money: Option<f64>,
}

/// One board format as bought.
#[derive(Clone, Debug)]
pub struct BoardFacts {
    /// Name as printed.
    pub name: String,
    /// Catalogue id, to find its price.
    pub id: String,
    /// Length, mm.
    pub length_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// Thickness, mm.
    pub thickness_mm: f64,
}

/// Draws up the order.
pub fn order(facts: &OrderFacts) -> Order {
    let mut lines = Vec::new();
    board_lines(facts, &mut lines);
    metal_lines(facts, &mut lines);
    screw_lines(facts, &mut lines);
    sealing_lines(facts, &mut lines);
    roof_lines(facts, &mut lines);
    Order {
        mass_kg: lines.iter().map(|line| line.mass_kg).sum(),
        price: lines.iter().filter_map(|line| line.price).sum(),
        lines_without_price: lines.iter().filter(|line| line.price.is_none()).count(),
        left_out: (!facts.bought_apart.is_empty()).then(|| {
            format!(
                "Not in this order, nor in its sum: {}. Buy them by their makers' lists.",
                facts.bought_apart.join(", ")
            )
        }),
        lines,
        currency: facts.currency.clone(),
        money: facts.money,
    }
}

fn board_lines(facts: &OrderFacts, lines: &mut Vec<OrderLine>) {
    for (count, board) in facts.take_off.boards.iter().zip(&facts.boards) {
        let stocked = facts.stock.board.iter().find(|stocked| stocked.material.as_str() == board.id);
        // A price is that of the board as it is sold: of another thickness it is another board.
        let sold_mm = find::<Sheet>(&board.id).map(|sheet| sheet.thickness_mm);
        let other = sold_mm.filter(|mm| (mm - board.thickness_mm).abs() > SAME_THICKNESS_MM);
        let price_each = stocked.and_then(|stocked| stocked.price).filter(|_| other.is_none());
        let note = other.map_or_else(
            || "store flat and dry; one board spare is cheap if the journey is long".to_owned(),
            |mm| {
                format!(
                    "the board is sold {} thick: ask whether it is made in {}, and for its price",
                    with_unit(mm, 1, "mm"),
                    with_unit(board.thickness_mm, 1, "mm")
                )
            },
        );
        let buy = count.sheets as u32;
        lines.push(OrderLine {
            what: board.name.clone(),
            detail: format!("layer {}, {} pieces", count.layer, count.pieces),
            needed: count.sheets as f64,
            unit: "boards",
            buy,
            sold_as: format!(
                "{:.0} × {:.0} × {} mm",
                board.length_mm,
                board.width_mm,
                round_to(board.thickness_mm, 1)
            ),
            mass_kg: f64::from(buy) * count.sheet_mass_kg,
            heaviest_kg: count.sheet_mass_kg,
            price_each,
            price: price_each.map(|price| price * f64::from(buy)),
            note,
            priced_in_stock: stocked.is_some() && other.is_none(),
        });
    }
}

fn metal_lines(facts: &OrderFacts, lines: &mut Vec<OrderLine>) {
    let take_off = facts.take_off;
    let (bar, bar_kg_m) = &facts.bar;
    let stock_bar = facts.stock.bar.as_ref();
    let length_mm = stock_bar.map_or(3600.0, |bar| bar.length_mm);
    let price_each = stock_bar.and_then(|bar| bar.price);
    let buy = take_off.stock_bars as u32;
    let each_kg = bar_kg_m * length_mm / 1000.0;
    lines.push(OrderLine {
        what: bar.clone(),
        detail: format!("{:.1} m in {} bars", take_off.bar_length_m, take_off.bars),
        needed: take_off.stock_bars as f64,
        unit: "lengths",
        buy,
        sold_as: format!("{length_mm:.0} mm"),
        mass_kg: each_kg * f64::from(buy),
        heaviest_kg: each_kg,
        price_each,
        price: price_each.map(|price| price * f64::from(buy)),
        note: String::new(),
        priced_in_stock: stock_bar.is_some(),
    });
    let (clip, clip_kg) = &facts.clip;
    let stock_clip = facts.stock.clip.as_ref();
    let pack = stock_clip.map_or(1, |clip| clip.pack.max(1));
    // Four clips and two offcuts go into the trial fit and come out again; none is lost.
    let packs = (take_off.clips as u32).div_ceil(pack);
    let price_each = stock_clip.and_then(|clip| clip.price).map(|price| price * f64::from(pack));
    lines.push(OrderLine {
        what: clip.clone(),
        detail: String::new(),
        needed: take_off.clips as f64,
        unit: "clips",
        buy: packs,
        sold_as: if pack == 1 { "singly".to_owned() } else { format!("pack of {pack}") },
        mass_kg: f64::from(packs * pack) * clip_kg,
        heaviest_kg: f64::from(pack) * clip_kg,
        price_each,
        price: price_each.map(|price| price * f64::from(packs)),
        note: "the maker's own, with the maker's load figure in writing".to_owned(),
        priced_in_stock: stock_clip.is_some(),
    });
    let packers: usize =
        take_off.packers.iter().filter(|packer| packer.thickness_mm > 0.0).map(|packer| packer.count).sum();
    if packers > 0 {
        let list: Vec<String> = take_off
            .packers
            .iter()
            .filter(|packer| packer.thickness_mm > 0.0)
            .map(|packer| format!("{} of {:.0} mm", packer.count, packer.thickness_mm))
            .collect();
        lines.push(
            packed(facts.stock, ItemKind::Packers, "Packers", packers as f64, "pieces")
                .with_detail(list.join(", ")),
        );
    }
    if facts.noggin_m > 0.0 {
        lines.push(
            loose("Timber for noggins", facts.noggin_m, "m")
                .with_detail(format!("{} noggins", take_off.noggins)),
        );
    }
}

/// The shortest screw sold that is at least so long, mm.
pub(crate) fn screw_length_mm(least_mm: f64) -> f64 {
    SCREW_LENGTHS_MM.iter().copied().find(|length| *length >= least_mm).unwrap_or(least_mm.ceil())
}

fn screw_lines(facts: &OrderFacts, lines: &mut Vec<OrderLine>) {
    let mut depth_mm = 0.0;
    for (count, board) in facts.take_off.boards.iter().zip(&facts.boards) {
        depth_mm += board.thickness_mm;
        let length_mm = screw_length_mm(depth_mm + SCREW_BEHIND_MM);
        let needed = (count.screws as f64 * SPARE_SCREWS).ceil();
        let mut line = packed(facts.stock, ItemKind::Screws, "Screws for boards into bars", needed, "pieces")
            .with_detail(format!(
                "{length_mm:.0} mm, layer {}: {} and a tenth spare",
                count.layer, count.screws
            ));
        line.mass_kg = needed * SCREW_KG;
        lines.push(line);
    }
    let needed = (facts.take_off.clips as f64 * SPARE_SCREWS).ceil();
    let mut line =
        packed(facts.stock, ItemKind::ClipScrews, "Screws for clips into timber", needed, "pieces")
            .with_detail("the maker's screw, one a clip, and a tenth spare; longer by the packer".to_owned());
    line.mass_kg = needed * 0.012;
    lines.push(line);
}

fn sealing_lines(facts: &OrderFacts, lines: &mut Vec<OrderLine>) {
    let depth_mm: f64 = facts.boards.iter().map(|board| board.thickness_mm).sum();
    let litres = facts.take_off.perimeter_m * facts.perimeter_gap_mm * depth_mm / 1000.0 * SPARE_SEALANT;
    let litres = litres + f64::from(facts.sealed_holes) * SEALANT_A_HOLE_L;
    let holes = match facts.sealed_holes {
        0 => String::new(),
        1 => "; round one cable or pipe".to_owned(),
        some => format!("; round {some} cables or pipes"),
    };
    let mut line = packed(facts.stock, ItemKind::Sealant, "Acoustic sealant, stays soft", litres, "l")
        .with_detail(format!(
            "{:.1} m of edge, {:.0} mm wide, {:.0} mm deep, a fifth spare{holes}",
            facts.take_off.perimeter_m, facts.perimeter_gap_mm, depth_mm
        ));
    line.mass_kg = litres * SEALANT_KG_L;
    lines.push(line);
    if facts.take_off.tape_m > 0.0 {
        lines.push(
            packed(
                facts.stock,
                ItemKind::Tape,
                "Tape for cut edges of filled boards",
                facts.take_off.tape_m,
                "m",
            )
            .with_detail("every cut edge, at once".to_owned()),
        );
    }
    let filler_kg = facts.face_joints_m * FILLER_KG_M;
    if filler_kg > 0.0 {
        let mut line = packed(
            facts.stock,
            ItemKind::JointFiller,
            "Joint filler and paper for the face",
            filler_kg,
            "kg",
        )
        .with_detail(format!("{:.1} m of joints", facts.face_joints_m));
        line.mass_kg = filler_kg;
        lines.push(line);
    }
    for (count, what, detail) in [
        (facts.pads, "Putty pads for socket boxes", "one a box, round its back and sides"),
        (facts.hoods, "Hoods for lamps", "one a lamp, rated by its maker for the lamp's heat"),
    ] {
        if count > 0 {
            lines.push(loose(what, f64::from(count), "pieces").with_detail(detail.to_owned()));
        }
    }
    for (name, length_m) in &facts.seals {
        lines.push(loose(name, *length_m, "m"));
    }
}

fn roof_lines(facts: &OrderFacts, lines: &mut Vec<OrderLine>) {
    if let Some((name, thickness_mm, area_m2, density_kg_m3)) = &facts.fibre {
        let needed = area_m2 * SPARE_SHEET;
        let mut line = packed(facts.stock, ItemKind::Fibre, name, needed, "m²")
            .with_detail(format!("{thickness_mm:.0} mm between the joists"));
        line.mass_kg = needed * thickness_mm / 1000.0 * density_kg_m3;
        lines.push(line);
    }
    if let Some((name, area_m2, mass_kg_m2)) = &facts.membrane {
        let needed = area_m2 * SPARE_SHEET;
        let mut line = packed(facts.stock, ItemKind::Membrane, name, needed, "m²")
            .with_detail("laps 100 mm on timber, turned down at the walls".to_owned());
        line.mass_kg = needed * mass_kg_m2;
        lines.push(line);
        // A lap every metre and a half or so, the edge all round, and a patch at every clip.
        let tape_m = area_m2 / 1.4 + facts.take_off.perimeter_m + facts.take_off.clips as f64 * 0.15;
        lines.push(
            loose("Sealing tape for the vapour control layer", tape_m.ceil(), "m")
                .with_detail("laps, edges, and a patch at every clip".to_owned()),
        );
    }
}

/// A line for something sold in packs; without an entry in the stock it is bought loose and has no price.
pub(crate) fn packed(
    stock: &Stock,
    kind: ItemKind,
    what: &str,
    needed: f64,
    unit: &'static str,
) -> OrderLine {
    let Some(item) = stock.item.iter().find(|item| item.what == kind && unit_name(item.unit) == unit) else {
        return loose(what, needed, unit);
    };
    let in_one = item.pack_size * f64::from(item.pack);
    let buy = (needed / in_one - 1e-9).ceil().max(1.0) as u32;
    let price_each = item.price.map(|price| price * f64::from(item.pack));
    OrderLine {
        what: what.to_owned(),
        detail: String::new(),
        needed,
        unit,
        buy,
        sold_as: format!("{} {unit}", trimmed(in_one)),
        mass_kg: 0.0,
        heaviest_kg: 0.0,
        price_each,
        price: price_each.map(|price| price * f64::from(buy)),
        note: String::new(),
        priced_in_stock: true,
    }
}

fn loose(what: &str, needed: f64, unit: &'static str) -> OrderLine {
    OrderLine {
        what: what.to_owned(),
        detail: String::new(),
        needed,
        unit,
        buy: needed.ceil().max(1.0) as u32,
        sold_as: unit.to_owned(),
        mass_kg: 0.0,
        heaviest_kg: 0.0,
        price_each: None,
        price: None,
        note: NO_PRICE.to_owned(),
        priced_in_stock: false,
    }
}

/// Gives lines without a price the one that stands under their own name in the file; names no line has are told.
pub(crate) fn price_by_name(stock: &Stock, order: &mut Order) -> Vec<Finding> {
    for line in order.lines.iter_mut().filter(|line| line.price.is_none()) {
        let Some(given) = stock.price.iter().find(|given| given.of == line.what) else { continue };
        let price = given.price * f64::from(line.buy);
        line.price_each = Some(given.price);
        line.price = Some(price);
        if line.note == NO_PRICE {
            line.note.clear();
        }
        order.price += price;
        order.lines_without_price = order.lines_without_price.saturating_sub(1);
    }
    let unknown = |of: &str| !order.lines.is_empty() && order.lines.iter().all(|line| line.what != of);
    stock
        .price
        .iter()
        .filter(|given| unknown(&given.of))
        .map(|given| Finding {
            chapter: "order",
            standing: Standing::Open,
            sentence: format!(
                "The file gives a price of \u{201c}{}\u{201d}, and the order has no line of that name: it counts nowhere. Write the name as it stands \
                 in the order.",
                given.of
            ),
        })
        .collect()
}

fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn unit_name(unit: SaleUnit) -> &'static str {
    match unit {
        SaleUnit::Litres => "l",
        SaleUnit::Pieces => "pieces",
        SaleUnit::Metres => "m",
        SaleUnit::SquareMetres => "m²",
        SaleUnit::Kilograms => "kg",
    }
}

impl OrderLine {
    fn with_detail(mut self, detail: String) -> Self {
        self.detail = detail;
        self
    }
}
