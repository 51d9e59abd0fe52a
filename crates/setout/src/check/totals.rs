//! Totals against the lists they are the totals of.

use super::{Checked, Rule};

pub(super) fn check(checked: &mut Checked) {
    let layout = checked.layout;
    let totals = &layout.take_off;
    let at = layout.frame.origin;
    let metres: f64 =
        layout.bars.iter().flat_map(|b| &b.lengths).map(|l| l.to_mm - l.from_mm).sum::<f64>() / 1e3;
    let boards: f64 = layout.layers.iter().flat_map(|l| &l.pieces).map(|p| p.mass_kg).sum();
    let screws: usize = layout.layers.iter().flat_map(|l| &l.pieces).map(|p| p.screws).sum();
    let packers = layout.clips.iter().filter(|c| c.packer_mm.is_some_and(|p| p > 0.0)).count();
    let pairs: Vec<(&str, f64, f64)> = vec![
        ("bars", totals.bars as f64, layout.bars.len() as f64),
        ("clips", totals.clips as f64, layout.clips.len() as f64),
        ("noggins", totals.noggins as f64, layout.noggins.len() as f64),
        ("stock bars", totals.stock_bars as f64, layout.bar_cutting.len() as f64),
        ("screws", totals.screws as f64, screws as f64),
        ("packers", totals.packers.iter().map(|p| p.count).sum::<usize>() as f64, packers as f64),
        ("length of bars", totals.bar_length_m, metres),
        ("area", totals.area_m2, checked.outline.area_mm2() / 1e6),
        ("perimeter", totals.perimeter_m, checked.outline.perimeter_mm() / 1e3),
        ("mass", totals.mass_kg, boards + metres * checked.ceiling.bar.mass_kg_m),
    ];
    for (what, listed, counted) in pairs {
        if (listed - counted).abs() > 1e-4 * counted.abs().max(1.0) {
            let sentence = format!("{what}: {listed:.3} in the take-off, {counted:.3} in the lists");
            checked.breach(Rule::TakeOff, what, at, (listed - counted).abs(), sentence);
        }
    }
    for (count, layer) in totals.boards.iter().zip(&layout.layers) {
        let bought = layer.sheets.iter().filter(|sheet| sheet.begun.is_none()).count();
        if count.sheets != bought || count.pieces != layer.pieces.len() {
            let sentence =
                format!("layer {}: the take-off counts other sheets or pieces than the layer", layer.number);
            checked.breach(Rule::TakeOff, format!("layer {}", layer.number), at, 0.0, sentence);
        }
    }
}
