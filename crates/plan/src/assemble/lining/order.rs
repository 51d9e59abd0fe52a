//! What the linings add to the order.

use catalogue::{Fill, find};

use super::{board, fill_mm};
use crate::{
    assemble::{ceiling, lined},
    order,
    outcome::{LiningOutcome, Order, OrderLine},
    project::{self, ItemKind, Project},
};

/// Studs of an independent row keep this far off the wall, mm (common practice).
const CLEAR_OF_THE_WALL_MM: f64 = 20.0;
/// The least depth a stud is sold in, mm (common practice, no source: planed framing timber laid flat).
const THINNEST_STUD_MM: f64 = 38.0;
/// Mean density of softwood of class C24, kg/m³ (EN 338:2016, table 1).
const TIMBER_KG_M3: f64 = 420.0;
/// A screw must show this much behind a bar, and go this deep into a stud that may be timber, mm (common practice).
const INTO_BARS_MM: f64 = 10.0;
const INTO_STUDS_MM: f64 = 25.0;

/// Catalogue entries of the layers, the one on the supports first.
fn ids_of(given: &project::Lining) -> impl Iterator<Item = &str> {
    given.layer.iter().flat_map(|layer| (0..layer.sheets).map(|_| layer.material.as_str()))
}

/// Puts what the linings take at the end of the order.
pub(crate) fn add_to_order(project: &Project, linings: &[LiningOutcome], order: &mut Order) {
    let mut lines: Vec<OrderLine> = Vec::new();
    for (given, outcome) in project.linings.iter().zip(linings) {
        let Some(layout) = &outcome.layout else { continue };
        let note = format!("for the lining of wall {}", outcome.wall);
        for (id, layer) in ids_of(given).zip(&layout.layers) {
            let Ok(board) = board(project, id) else { continue };
            let each_kg = board.length_mm * board.width_mm / 1e6 * board.mass_kg_m2;
            let stocked = project.stock.board.iter().find(|b| b.material.as_str() == id);
            let area_m2: f64 = layer.pieces.iter().map(|piece| piece.area_m2).sum();
            let size = format!("{:.0} × {:.0}", board.length_mm, board.width_mm);
            lines.push(line(
                (layer.material.clone(), size.clone(), format!("board {size}")),
                (area_m2, "m²"),
                layer.sheets,
                each_kg,
                stocked.map(|board| board.price),
                &note,
            ));
        }
        let length_m: f64 = layout.supports.iter().flat_map(|s| &s.lengths_mm).sum::<f64>() / 1e3;
        if layout.on_clips {
            let bar = ceiling::bar(project);
            let size = format!("{:.0} mm", bar.stock_length_mm);
            lines.push(line(
                (bar.product.clone(), size.clone(), format!("length of {size}")),
                (length_m, "m"),
                layout.stock_lengths,
                bar.mass_kg_m * bar.stock_length_mm / 1e3,
                project.stock.bar.as_ref().map(|bar| bar.price),
                &note,
            ));
            lines.push(line(
                ("clips".to_owned(), "for a wall".to_owned(), "piece".to_owned()),
                (layout.clips as f64, "pieces"),
                layout.clips,
                0.0,
                None,
                &note,
            ));
        } else {
            let size = format!("{:.0} mm", given.stud_length_mm);
            let tracks_m: f64 =
                layout.cross_pieces.iter().map(|piece| (piece.to_mm - piece.from_mm) / 1e3).sum();
            let depth_mm = (lined::cavity_mm(project, given) - CLEAR_OF_THE_WALL_MM).max(0.0);
            let each_kg = given.stud_face_mm * depth_mm * 1e-6 * TIMBER_KG_M3 * given.stud_length_mm / 1000.0;
            let deep = if depth_mm < THINNEST_STUD_MM {
                format!(
                    "none sold is so thin that it stands clear of the wall: raise cavity_mm to {:.0}",
                    THINNEST_STUD_MM + CLEAR_OF_THE_WALL_MM
                )
            } else {
                format!(
                    "steel, or dry planed timber at most {depth_mm:.0} mm deep; deep enough for {:.0} mm of height by its maker's table",
                    layout.size_mm[1]
                )
            };
            lines.push(line(
                (
                    format!("studs, face {:.0} mm", given.stud_face_mm),
                    format!("{size}; {deep}; weighed as timber"),
                    format!("length of {size}"),
                ),
                (length_m, "m"),
                layout.stock_lengths,
                each_kg,
                None,
                &note,
            ));
            let tracks = (tracks_m * 1e3 / given.stud_length_mm).ceil().max(1.0) as usize;
            lines.push(line(
                (
                    "tracks, heads and sills".to_owned(),
                    format!(
                        "{size}; to fit the studs, {:.0} mm and at most {depth_mm:.0} mm; weighed as timber",
                        given.stud_face_mm
                    ),
                    format!("length of {size}"),
                ),
                (tracks_m, "m"),
                tracks,
                each_kg,
                None,
                &note,
            ));
        }
        if let Some(fill) = given.fill.as_ref().and_then(|fill| find::<Fill>(fill.as_str())) {
            let open_mm2: f64 =
                layout.openings.iter().map(|o| (o.to_mm - o.from_mm) * (o.head_mm - o.sill_mm)).sum();
            let area_m2 = (layout.size_mm[0] * layout.size_mm[1] - open_mm2).max(0.0) * 1e-6;
            let depth_mm = fill_mm(project, given);
            lines.push(line(
                (fill.name.to_owned(), format!("{depth_mm:.0} mm"), "m²".to_owned()),
                (area_m2, "m²"),
                area_m2.ceil() as usize,
                fill.density_kg_m3 * depth_mm / 1000.0,
                None,
                &note,
            ));
        }
        let into_mm = if layout.on_clips { INTO_BARS_MM } else { INTO_STUDS_MM };
        let mut thick_mm = 0.0;
        for (id, layer) in ids_of(given).zip(&layout.layers) {
            let Ok(board) = board(project, id) else { continue };
            thick_mm += board.thickness_mm;
            let long =
                format!("{:.0} mm, layer {}", order::screw_length_mm(thick_mm + into_mm), layer.number);
            let name =
                if layout.on_clips { "screws for boards into bars" } else { "screws for boards into studs" };
            let mut one = order::packed(
                &project.stock,
                ItemKind::Screws,
                name,
                (layer.screws as f64 * order::SPARE_SCREWS).ceil(),
                "pieces",
            );
            one.detail = format!("{long}: {} and a tenth spare", layer.screws);
            one.mass_kg = one.needed * order::SCREW_KG;
            note.clone_into(&mut one.note);
            lines.push(one);
        }
        let tape_m: f64 = layout.layers.iter().map(|layer| layer.tape_m).sum();
        if tape_m > 0.0 {
            let name = "Tape for cut edges of filled boards";
            let mut tape = order::packed(&project.stock, ItemKind::Tape, name, tape_m, "m");
            "every cut edge, at once".clone_into(&mut tape.detail);
            note.clone_into(&mut tape.note);
            lines.push(tape);
        }
        let [left, foot, right, head] = layout.boards_mm;
        let round_openings_mm: f64 =
            layout.openings.iter().map(|o| 2.0 * (o.to_mm - o.from_mm + o.head_mm - o.sill_mm)).sum();
        let edge_m = (2.0 * (right - left + head - foot) + round_openings_mm) / 1000.0;
        let gap_mm = left.max(project.rules.perimeter_gap_mm);
        let litres = edge_m * gap_mm * thick_mm / 1000.0 * order::SPARE_SEALANT;
        let mut sealant =
            order::packed(&project.stock, ItemKind::Sealant, "Acoustic sealant, stays soft", litres, "l");
        sealant.detail =
            format!("{edge_m:.1} m of edge, {gap_mm:.0} mm wide, {thick_mm:.0} mm deep, a fifth spare");
        sealant.mass_kg = litres * order::SEALANT_KG_L;
        note.clone_into(&mut sealant.note);
        lines.push(sealant);
    }
    order.mass_kg += lines.iter().map(|line| line.mass_kg).sum::<f64>();
    order.price += lines.iter().filter_map(|line| line.price).sum::<f64>();
    order.lines_without_price += lines.iter().filter(|line| line.price.is_none()).count();
    order.lines.extend(lines);
}

/// A line of a lining; `stocked` is the price its entry in the stock gives, where it has one.
#[allow(clippy::option_option, reason = "an entry may be there without its price")]
fn line(
    (what, detail, sold_as): (String, String, String),
    (needed, unit): (f64, &'static str),
    buy: usize,
    each_kg: f64,
    stocked: Option<Option<f64>>,
    note: &str,
) -> OrderLine {
    let price_each = stocked.flatten();
    OrderLine {
        what,
        detail,
        needed,
        unit,
        buy: u32::try_from(buy).unwrap_or(u32::MAX),
        sold_as,
        mass_kg: each_kg * buy as f64,
        heaviest_kg: each_kg,
        price_each,
        price: price_each.map(|price| price * buy as f64),
        note: note.to_owned(),
        priced_in_stock: stocked.is_some(),
    }
}
