//! What each joist carries, and the totals.

use crate::Ceiling;
use crate::layout::{
    Bar, BoardCount, Clip, JoistLoad, Layer, Noggin, PackerCount, StockBar, Support, TakeOff,
};
use crate::ring;
use crate::room::Room;

/// Point loads on the joists; a noggin's clip is shared by its joists, in equal parts.
pub(crate) fn joist_loads(ceiling: &Ceiling, clips: &[Clip], noggins: &[Noggin]) -> Vec<JoistLoad> {
    let mut loads = Vec::new();
    for clip in clips {
        let joists: Vec<usize> = match clip.on {
            Support::Joist(j) => vec![j],
            Support::Noggin(n) => noggins.get(n).map_or_else(Vec::new, |n| n.joists.clone()),
        };
        for &index in &joists {
            let Some(joist) = ceiling.joists.get(index) else { continue };
            let length = ring::distance(joist.from, joist.to).max(1e-9);
            let along = ((clip.at.x_mm - joist.from.x_mm) * (joist.to.x_mm - joist.from.x_mm)
                + (clip.at.y_mm - joist.from.y_mm) * (joist.to.y_mm - joist.from.y_mm))
                / length;
            loads.push(JoistLoad {
                joist: index,
                at_mm: along.clamp(0.0, length),
                load_kg: clip.load_kg / joists.len() as f64,
            });
        }
    }
    loads.sort_by(|a, b| a.joist.cmp(&b.joist).then(a.at_mm.total_cmp(&b.at_mm)));
    loads
}

/// The totals.
pub(crate) fn take_off(
    ceiling: &Ceiling,
    room: &Room,
    layers: &[Layer],
    bars: &[Bar],
    clips: &[Clip],
    noggins: &[Noggin],
    stock: &[StockBar],
) -> TakeOff {
    let boards: Vec<BoardCount> = layers
        .iter()
        .zip(&ceiling.layers)
        .map(|(laid, board)| BoardCount {
            layer: laid.number,
            material: laid.material.clone(),
            sheets: laid.bought(),
            pieces: laid.pieces.len(),
            screws: laid.pieces.iter().map(|p| p.screws).sum(),
            sheet_mass_kg: board.width_mm * board.length_mm / 1e6 * board.mass_kg_m2,
            mass_kg: laid.pieces.iter().map(|p| p.mass_kg).sum(),
            tape_m: laid.pieces.iter().map(|p| p.tape_mm).sum::<f64>() / 1e3,
        })
        .collect();
    let bar_length_m = bars.iter().flat_map(|b| &b.lengths).map(|l| l.to_mm - l.from_mm).sum::<f64>() / 1e3;
    let mut packers: Vec<PackerCount> = Vec::new();
    let mut thicknesses: Vec<f64> = clips.iter().filter_map(|c| c.packer_mm).filter(|t| *t > 0.0).collect();
    thicknesses.sort_by(f64::total_cmp);
    for thickness_mm in thicknesses {
        match packers.last_mut() {
            Some(last) if (last.thickness_mm - thickness_mm).abs() < 1e-9 => last.count += 1,
            _ => packers.push(PackerCount { thickness_mm, count: 1 }),
        }
    }
    let area_m2 = room.area_mm2 / 1e6;
    let mass_kg = boards.iter().map(|b| b.mass_kg).sum::<f64>() + bar_length_m * ceiling.bar.mass_kg_m;
    TakeOff {
        bars: bars.len(),
        bar_length_m,
        stock_bars: stock.len(),
        clips: clips.len(),
        noggins: noggins.len(),
        screws: boards.iter().map(|b| b.screws).sum(),
        perimeter_m: ring::perimeter(&room.outline) / 1e3,
        tape_m: boards.iter().map(|b| b.tape_m).sum(),
        boards,
        packers,
        area_m2,
        mass_kg,
        mass_kg_m2: mass_kg / area_m2,
        heaviest_clip_kg: clips.iter().map(|c| c.load_kg).fold(0.0, f64::max),
    }
}
