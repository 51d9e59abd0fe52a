//! An independent check of a lining: everything worked out again from the finished layout.

use geometry::Polygon;

use super::{JAMB_CLEAR_MM, LEVEL_STAGGER_MM, Lining, LiningLayout, LiningSupport, WallPiece};
use crate::check::{Breach, Rule};
use crate::{BoardLayer, Point};

const SLACK_MM: f64 = 0.6;
const AREA_M2: f64 = 1e-6;

/// Every rule a lining breaks; empty when it keeps them all.
pub fn check_lining(lining: &Lining, layout: &LiningLayout) -> Vec<Breach> {
    let mut out: Vec<Breach> = Vec::new();
    let mut say = |rule: Rule, what: String, at: (f64, f64), by: f64, sentence: String| {
        out.push(Breach { rule, what, at: Point::new(at.0, at.1), by, sentence });
    };
    let gap = lining.rules.perimeter_gap_mm;
    let (left, right, foot, head) = (gap, lining.length_mm - gap, gap, lining.height_mm - gap);
    let opened: f64 = lining
        .openings
        .iter()
        .map(|o| {
            (o.to_mm.min(right) - o.from_mm.max(left)) * (o.head_mm.min(head) - o.sill_mm.max(foot)) / 1e6
        })
        .sum();
    let wall = (right - left) * (head - foot) / 1e6 - opened;
    for (layer, board) in layout.layers.iter().zip(&lining.layers) {
        let name = format!("layer {}", layer.number);
        let covered: f64 = layer.pieces.iter().map(area_m2).sum();
        if (covered - wall).abs() > AREA_M2 {
            say(
                Rule::Cover,
                name.clone(),
                (left, foot),
                (covered - wall).abs() * 1e6,
                format!("the pieces of layer {} cover {covered:.4} m² of {wall:.4}", layer.number),
            );
        }
        for (index, a) in layer.pieces.iter().enumerate() {
            let (w, h) = (a.to_mm - a.from_mm, a.head_mm - a.foot_mm);
            let at = (a.from_mm, a.foot_mm);
            if w > board.width_mm + SLACK_MM || h > board.length_mm + SLACK_MM {
                let sentence = format!("piece {} is {w:.0} × {h:.0} mm, larger than its board", a.name);
                say(Rule::CutFromSheets, a.name.clone(), at, w.max(h), sentence);
            }
            if a.from_mm < left - SLACK_MM
                || a.to_mm > right + SLACK_MM
                || a.foot_mm < foot - SLACK_MM
                || a.head_mm > head + SLACK_MM
            {
                say(
                    Rule::Clear,
                    a.name.clone(),
                    at,
                    0.0,
                    format!("piece {} comes too near the edge of the wall", a.name),
                );
            }
            for b in layer.pieces.iter().skip(index + 1) {
                let over = (a.to_mm.min(b.to_mm) - a.from_mm.max(b.from_mm)).max(0.0)
                    * (a.head_mm.min(b.head_mm) - a.foot_mm.max(b.foot_mm)).max(0.0);
                if over > 1.0 {
                    let sentence = format!("pieces {} and {} overlap by {over:.0} mm²", a.name, b.name);
                    say(Rule::Cover, a.name.clone(), at, over, sentence);
                }
                let same_sheet = a.sheet == b.sheet;
                let (aw, bw) = (w, b.to_mm - b.from_mm);
                let (ah, bh) = (h, b.head_mm - b.foot_mm);
                let [ax, ay] = a.on_sheet_mm;
                let [bx, by] = b.on_sheet_mm;
                let apart_x = bx >= ax + aw - SLACK_MM || ax >= bx + bw - SLACK_MM;
                let apart_y = by >= ay + ah - SLACK_MM || ay >= by + bh - SLACK_MM;
                if same_sheet && !apart_x && !apart_y {
                    let sentence =
                        format!("pieces {} and {} are cut from one place of a board", a.name, b.name);
                    say(Rule::CutFromSheets, a.name.clone(), at, 0.0, sentence);
                }
            }
            let [x, y] = a.on_sheet_mm;
            if x < -SLACK_MM
                || y < -SLACK_MM
                || x + w > board.width_mm + SLACK_MM
                || y + h > board.length_mm + SLACK_MM
            {
                say(
                    Rule::CutFromSheets,
                    a.name.clone(),
                    at,
                    0.0,
                    format!("piece {} reaches past its board", a.name),
                );
            }
            let joint = |edge: f64| layer.upright_joints_mm.iter().any(|j| (j - edge).abs() < SLACK_MM);
            for edge in [a.from_mm, a.to_mm] {
                let near = lining.openings.iter().any(|o| {
                    [o.from_mm, o.to_mm]
                        .iter()
                        .any(|s| (s - edge).abs() < JAMB_CLEAR_MM - SLACK_MM && (s - edge).abs() > SLACK_MM)
                });
                if joint(edge) && near {
                    let sentence =
                        format!("a joint of piece {} stands too near the side of an opening", a.name);
                    say(Rule::Stagger, a.name.clone(), at, 0.0, sentence);
                }
            }
        }
        let tape_m = if board.tape_cut_edges {
            layer.pieces.iter().map(|p| sawn_mm(p, board)).sum::<f64>() / 1e3
        } else {
            0.0
        };
        if (tape_m - layer.tape_m).abs() > 0.001 {
            let sentence = format!(
                "layer {} has {tape_m:.2} m of cut edge to tape, listed as {:.2}",
                layer.number, layer.tape_m
            );
            say(Rule::TakeOff, name.clone(), (left, foot), (tape_m - layer.tape_m).abs() * 1e3, sentence);
        }
        let used = layer.pieces.iter().map(|p| p.sheet + 1).max().unwrap_or(0);
        let bought = layer.begun.iter().filter(|begun| begun.is_none()).count();
        if used != layer.begun.len() || bought != layer.sheets {
            let sentence = format!(
                "layer {} lists {} boards, {bought} of {} bought, and uses {used}",
                layer.number,
                layer.sheets,
                layer.begun.len()
            );
            say(Rule::TakeOff, name, (left, foot), 0.0, sentence);
        }
        for begun in layer.begun.iter().flatten() {
            let earlier =
                layout.layers.iter().zip(&lining.layers).find(|(other, _)| other.number == begun.layer);
            let there = earlier.is_some_and(|(other, of)| {
                let own = begun.sheet.checked_sub(1).and_then(|at| other.begun.get(at));
                begun.layer < layer.number && of == board && own.is_some_and(Option::is_none)
            });
            if !there {
                let sentence = format!(
                    "layer {} is cut from sheet {} of layer {}, which that layer does not buy",
                    layer.number, begun.sheet, begun.layer
                );
                say(Rule::CutFromSheets, format!("layer {}", layer.number), (left, foot), 0.0, sentence);
            }
        }
    }
    from_one_place(layout, &mut say);
    for pair in layout.layers.windows(2) {
        let [a, b] = pair else { continue };
        let closest = |p: &[f64], q: &[f64]| {
            p.iter().flat_map(|x| q.iter().map(move |y| (x - y).abs())).fold(f64::INFINITY, f64::min)
        };
        let upright = closest(&a.upright_joints_mm, &b.upright_joints_mm);
        let least = lining.rules.stagger_layers_mm.max(1.0);
        if upright < least - SLACK_MM {
            let sentence = format!(
                "upright joints of layers {} and {} are {upright:.0} mm apart, the least is {least:.0}",
                a.number, b.number
            );
            say(Rule::Stagger, format!("layer {}", b.number), (left, foot), least - upright, sentence);
        }
        let level = a
            .level_joints_mm
            .iter()
            .flat_map(|p| b.level_joints_mm.iter().map(move |q| closest(p, q)))
            .fold(f64::INFINITY, f64::min);
        if level < LEVEL_STAGGER_MM - SLACK_MM {
            let sentence = format!(
                "level joints of layers {} and {} are {level:.0} mm apart, the least is {LEVEL_STAGGER_MM:.0}",
                a.number, b.number
            );
            say(
                Rule::Stagger,
                format!("layer {}", b.number),
                (left, foot),
                LEVEL_STAGGER_MM - level,
                sentence,
            );
        }
    }
    match &lining.on {
        LiningSupport::Studs { face_mm, gap_mm, .. } => studs(lining, layout, *face_mm, *gap_mm, &mut say),
        LiningSupport::Bars { bar, clip_lines_mm } => {
            bars(lining, layout, bar.face_width_mm, clip_lines_mm, &mut say);
        }
    }
    out
}

fn area_m2(piece: &WallPiece) -> f64 {
    let holes: f64 = piece.cut_outs_mm.iter().map(|c| (c[2] - c[0]) * (c[3] - c[1])).sum();
    ((piece.to_mm - piece.from_mm) * (piece.head_mm - piece.foot_mm) - holes) / 1e6
}

/// Pieces of different layers that are cut from one place of a sheet both are cut from.
fn from_one_place(layout: &LiningLayout, say: &mut Say<'_>) {
    let all: Vec<_> = layout
        .layers
        .iter()
        .flat_map(|layer| layer.pieces.iter().map(move |piece| (layer.number, layer.sheet_of(piece), piece)))
        .collect();
    for (index, (layer, sheet, a)) in all.iter().enumerate() {
        for (_, _, b) in all[index + 1..].iter().filter(|(other, from, _)| other != layer && from == sheet) {
            let [ax, ay] = a.on_sheet_mm;
            let [bx, by] = b.on_sheet_mm;
            let size = |p: &WallPiece| (p.to_mm - p.from_mm, p.head_mm - p.foot_mm);
            let ((aw, ah), (bw, bh)) = (size(a), size(b));
            let apart = bx >= ax + aw - SLACK_MM
                || ax >= bx + bw - SLACK_MM
                || by >= ay + ah - SLACK_MM
                || ay >= by + bh - SLACK_MM;
            if !apart {
                let sentence = format!("pieces {} and {} are cut from one place of a board", a.name, b.name);
                say(Rule::CutFromSheets, a.name.clone(), (a.from_mm, a.foot_mm), 0.0, sentence);
            }
        }
    }
}

/// The edges of what a piece is once its openings are cut out, less those that lie on its sheet's own.
fn sawn_mm(piece: &WallPiece, board: &BoardLayer) -> f64 {
    let rectangle = |[from, foot, to, head]: [f64; 4]| {
        Polygon::rectangle(Point::new(from, foot), Point::new(to, head)).ok()
    };
    let whole = rectangle([piece.from_mm, piece.foot_mm, piece.to_mm, piece.head_mm]);
    let cut: Vec<Polygon> = piece.cut_outs_mm.iter().filter_map(|cut| rectangle(*cut)).collect();
    let [x, y] = piece.on_sheet_mm;
    let on_sheet = |p: Point| Point::new(p.x_mm - piece.from_mm + x, p.y_mm - piece.foot_mm + y);
    let is_factory = |a: Point, b: Point| {
        let on = |p: f64, q: f64, at: f64| (p - at).abs() < 0.01 && (q - at).abs() < 0.01;
        on(a.x_mm, b.x_mm, 0.0)
            || on(a.x_mm, b.x_mm, board.width_mm)
            || on(a.y_mm, b.y_mm, 0.0)
            || on(a.y_mm, b.y_mm, board.length_mm)
    };
    let mut sawn = 0.0;
    for region in whole.iter().flat_map(|whole| whole.difference_with_holes(&cut)) {
        for ring in std::iter::once(&region.outer).chain(&region.holes) {
            sawn += ring
                .edges()
                .filter(|edge| !is_factory(on_sheet(edge.from), on_sheet(edge.to)))
                .map(geometry::Segment::length_mm)
                .sum::<f64>();
        }
    }
    sawn
}

type Say<'a> = dyn FnMut(Rule, String, (f64, f64), f64, String) + 'a;

/// At heights close together: no gap between the studs there over the limit, a stud under every joint and beside every opening.
fn studs(lining: &Lining, layout: &LiningLayout, face: f64, limit: f64, say: &mut Say<'_>) {
    let mut y = 150.0;
    let mut worst: Option<(f64, f64, f64)> = None;
    while y < lining.height_mm - 60.0 {
        let mut at: Vec<f64> =
            layout.supports.iter().filter(|s| s.from_mm <= y && y <= s.to_mm).map(|s| s.at_mm).collect();
        at.sort_by(f64::total_cmp);
        for pair in at.windows(2) {
            let inside_opening = lining.openings.iter().any(|o| {
                o.sill_mm - face < y
                    && y < o.head_mm + face
                    && o.from_mm - face <= pair[0]
                    && pair[1] <= o.to_mm + face
            });
            let over = pair[1] - pair[0] - limit;
            if !inside_opening && over > SLACK_MM && worst.is_none_or(|w| over > w.0) {
                worst = Some((over, pair[0], y));
            }
        }
        y += 25.0;
    }
    if let Some((over, x, y)) = worst {
        say(
            Rule::BarGap,
            "studs".into(),
            (x, y),
            over,
            format!("a gap between studs is {:.0} mm, the limit is {limit:.0}", limit + over),
        );
    }
    let slack = face / 2.0 - lining.rules.edge_bearing_mm;
    for layer in &layout.layers {
        for &x in &layer.upright_joints_mm {
            if !layout.supports.iter().any(|s| (s.at_mm - x).abs() <= slack + SLACK_MM) {
                let sentence = format!("an upright joint of layer {} has no stud under it", layer.number);
                say(Rule::EndsOnBars, format!("layer {}", layer.number), (x, 0.0), 0.0, sentence);
            }
        }
    }
    for o in &lining.openings {
        for x in [o.from_mm, o.to_mm] {
            let tall = layout.supports.iter().any(|s| {
                (s.at_mm - x).abs() <= face
                    && s.from_mm <= o.sill_mm + SLACK_MM
                    && s.to_mm >= o.head_mm - SLACK_MM
            });
            if !tall && x > face && x < lining.length_mm - face {
                let sentence = format!("no stud stands beside the {}", o.name);
                say(Rule::EndsOnBars, o.name.clone(), (x, o.sill_mm), 0.0, sentence);
            }
        }
    }
}

/// Along lines close together: no gap between the bars over the limit, level joints on bars, clips and their gaps.
fn bars(lining: &Lining, layout: &LiningLayout, face: f64, clip_lines: &[f64], say: &mut Say<'_>) {
    let rules = &lining.rules;
    let gap = rules.perimeter_gap_mm;
    let mut x = gap + 50.0;
    let mut worst: Option<(f64, f64, f64)> = None;
    while x < lining.length_mm - gap - 50.0 {
        let mut at: Vec<f64> = layout
            .supports
            .iter()
            .filter(|s| s.from_mm - rules.first_bar_mm <= x && x <= s.to_mm + rules.first_bar_mm)
            .map(|s| s.at_mm)
            .collect();
        at.extend([gap, lining.height_mm - gap]);
        for o in lining.openings.iter().filter(|o| o.from_mm < x && x < o.to_mm) {
            at.extend([o.sill_mm, o.head_mm]);
        }
        at.sort_by(f64::total_cmp);
        for pair in at.windows(2) {
            let open = lining.openings.iter().any(|o| {
                o.from_mm < x
                    && x < o.to_mm
                    && o.sill_mm <= pair[0] + SLACK_MM
                    && pair[1] <= o.head_mm + SLACK_MM
            });
            let over = pair[1] - pair[0] - rules.bar_gap_mm;
            if !open && over > SLACK_MM && worst.is_none_or(|w| over > w.0) {
                worst = Some((over, x, pair[0]));
            }
        }
        x += 25.0;
    }
    if let Some((over, x, y)) = worst {
        let limit = rules.bar_gap_mm;
        say(
            Rule::BarGap,
            "bars".into(),
            (x, y),
            over,
            format!("a gap between bars is {:.0} mm, the limit is {limit:.0}", limit + over),
        );
    }
    for layer in &layout.layers {
        for &y in layer.level_joints_mm.iter().flatten() {
            if !layout
                .supports
                .iter()
                .any(|s| (s.at_mm - y).abs() <= face / 2.0 - rules.edge_bearing_mm + SLACK_MM)
            {
                let sentence = format!("a level joint of layer {} has no bar behind it", layer.number);
                say(Rule::EndsOnBars, format!("layer {}", layer.number), (0.0, y), 0.0, sentence);
            }
        }
    }
    for bar in &layout.supports {
        let name = format!("bar {}", bar.number);
        let (Some(first), Some(last)) = (bar.clips_mm.first(), bar.clips_mm.last()) else {
            say(Rule::ClipGap, name.clone(), (bar.from_mm, bar.at_mm), 0.0, format!("{name} has no clip"));
            continue;
        };
        let end = (first - bar.from_mm).max(bar.to_mm - last);
        if end > rules.end_clip_mm + 1.0 {
            let (from, to) = if bar.to_mm - last > first - bar.from_mm {
                (bar.to_mm - rules.end_clip_mm, bar.to_mm)
            } else {
                (bar.from_mm, bar.from_mm + rules.end_clip_mm)
            };
            let sentence = format!(
                "{name} runs {end:.0} mm past its last clip, the limit is {:.0}: a timber to clip to is wanted between {from:.0} and {to:.0} mm from \
                 corner {}",
                rules.end_clip_mm, layout.left_corner
            );
            say(Rule::ClipGap, name.clone(), (bar.from_mm, bar.at_mm), end - rules.end_clip_mm, sentence);
        }
        for pair in bar.clips_mm.windows(2) {
            let wide = pair[1] - pair[0];
            if wide > rules.clip_gap_mm + 1.0 {
                let sentence =
                    format!("a clip gap of {name} is {wide:.0} mm, the limit is {:.0}", rules.clip_gap_mm);
                say(Rule::ClipGap, name.clone(), (pair[0], bar.at_mm), wide - rules.clip_gap_mm, sentence);
            }
        }
        for clip in &bar.clips_mm {
            if !clip_lines.is_empty() && clip_lines.iter().all(|l| (l - clip).abs() > SLACK_MM) {
                say(
                    Rule::ClipOnTimber,
                    name.clone(),
                    (*clip, bar.at_mm),
                    0.0,
                    format!("a clip of {name} is on no stud"),
                );
            }
        }
    }
}
