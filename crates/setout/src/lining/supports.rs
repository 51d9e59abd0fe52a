//! Studs or bars behind the boards of a lining, and the layout written out.

use super::boards::{Best, Laid};
use super::{CrossPiece, Lining, LiningLayout, LiningSupport, SupportLine, SupportReason, WallLayer, edges};
use crate::bars::FrameBar;
use crate::layout::{BarReason, BegunSheet};
use crate::screws::screws_along;
use crate::{BarStock, Point, laps, sheets};

/// A stud shorter than this is left out \[mm\].
const STUB_MM: f64 = 100.0;
/// The stud ends this far below the head track, so that what is over it may sag (common practice) \[mm\].
const HEAD_PLAY_MM: f64 = 10.0;
/// A joint this near the middle of a support lies on it \[mm\].
const ON_MM: f64 = 0.5;
/// From the end of a bar to its first clip, where it may be chosen \[mm\].
const CLIP_END_MM: f64 = 75.0;

pub(super) fn assemble(lining: &Lining, best: Best) -> LiningLayout {
    let (mut supports, cross_pieces, on_clips) = match &lining.on {
        LiningSupport::Studs { face_mm, gap_mm, stock_length_mm } => {
            let lines = studs(lining, &best, *face_mm, *gap_mm);
            let cross = cross_pieces(lining, &best.layers, *face_mm);
            let _ = stock_length_mm;
            (lines, cross, false)
        }
        LiningSupport::Bars { bar, clip_lines_mm } => {
            (bars(lining, &best.layers, bar, clip_lines_mm), Vec::new(), true)
        }
    };
    for (index, line) in supports.iter_mut().enumerate() {
        line.number = index + 1;
    }
    let (stock_mm, face_mm) = match &lining.on {
        LiningSupport::Studs { stock_length_mm, face_mm, .. } => (*stock_length_mm, *face_mm),
        LiningSupport::Bars { bar, .. } => (bar.stock_length_mm, bar.face_width_mm),
    };
    let lengths: Vec<f64> = supports.iter().flat_map(|s| s.lengths_mm.iter().copied()).collect();
    let stock_lengths = sheets::cut_lengths(&lengths, stock_mm, lining.rules.kerf_mm).1;
    let clips = supports.iter().map(|s| s.clips_mm.len()).sum();
    let count = best.layers.len();
    let layers: Vec<WallLayer> = best
        .layers
        .into_iter()
        .zip(&lining.layers)
        .enumerate()
        .map(|(index, (laid, board))| WallLayer {
            number: index + 1,
            material: board.material.clone(),
            screws: screws(lining, &laid, &supports, on_clips, face_mm, (index + 1, count)),
            screws_told: screws_told(on_clips, (index + 1, count)),
            tape_m: if board.tape_cut_edges {
                laid.pieces.iter().map(|piece| piece.cut_mm(board)).sum::<f64>() / 1e3
            } else {
                0.0
            },
            pieces: laid.pieces,
            upright_joints_mm: laid.uprights,
            level_joints_mm: laid.levels,
            sheets: laid.sheets,
            begun: laid
                .begun
                .iter()
                .map(|begun| begun.map(|(layer, sheet)| BegunSheet { layer: layer + 1, sheet: sheet + 1 }))
                .collect(),
        })
        .collect();
    let boards = layers.iter().map(|l| l.sheets).sum();
    let mass_kg: f64 = layers
        .iter()
        .zip(&lining.layers)
        .map(|(l, b)| l.pieces.iter().map(|p| p.area_m2).sum::<f64>() * b.mass_kg_m2)
        .sum();
    let heaviest_clip_kg = on_clips.then(|| heaviest_clip(lining, &supports));
    let mut notes = Vec::new();
    if boards > best.least {
        notes.push(format!(
            "{boards} boards; no layout of the family can do with fewer than {}, by the area of the cut pieces: whether one can be saved is not settled",
            best.least
        ));
    }
    if on_clips {
        notes
            .push("the clips carry the boards in shear: ask their maker for the figure on a wall".to_owned());
    } else {
        notes.push(format!(
            "studs are cut {HEAD_PLAY_MM:.0} mm short under the head track; they touch the wall behind nowhere"
        ));
    }
    LiningLayout {
        wall: lining.wall.clone(),
        left_corner: lining.left_corner.clone(),
        size_mm: [lining.length_mm, lining.height_mm],
        boards_mm: edges(lining),
        openings: lining.openings.clone(),
        supports,
        on_clips,
        cross_pieces,
        layers,
        boards,
        least_boards: best.least,
        proved_fewest_boards: boards == best.least,
        family: best.family,
        stock_lengths,
        clips,
        mass_kg,
        heaviest_clip_kg,
        breaches: Vec::new(),
        notes,
    }
}

fn line(reason: SupportReason, at_mm: f64, from_mm: f64, to_mm: f64) -> SupportLine {
    SupportLine {
        number: 0,
        reason,
        at_mm,
        from_mm,
        to_mm,
        lengths_mm: vec![to_mm - from_mm],
        clips_mm: Vec::new(),
    }
}

/// Studs on the grid of the joints, at both ends and beside openings; those over and under openings are cut short.
fn studs(lining: &Lining, best: &Best, face: f64, gap_mm: f64) -> Vec<SupportLine> {
    let [left, _, right, _] = edges(lining);
    let clear = lining.rules.bar_end_gap_mm;
    let joints: Vec<f64> = best.layers.iter().flat_map(|l| l.uprights.iter().copied()).collect();
    let on_joint = |x: f64| joints.iter().any(|j| (j - x).abs() < ON_MM);
    let mut at: Vec<(f64, SupportReason)> = vec![
        (clear + face / 2.0, SupportReason::Edge),
        (lining.length_mm - clear - face / 2.0, SupportReason::Edge),
    ];
    for o in &lining.openings {
        at.extend([
            (o.from_mm - face / 2.0, SupportReason::Opening),
            (o.to_mm + face / 2.0, SupportReason::Opening),
        ]);
    }
    let fixed: Vec<f64> = at.iter().map(|a| a.0).collect();
    if let Some((origin, step)) = best.grid {
        let mut x = origin + ((left - origin) / step).floor() * step;
        while x < right {
            let free = fixed.iter().all(|f| (f - x).abs() >= face + 5.0);
            if x > left && (free || on_joint(x)) {
                at.push((x, if on_joint(x) { SupportReason::Joint } else { SupportReason::Field }));
            }
            x += step;
        }
    }
    at.retain(|a| a.0 > clear && a.0 < lining.length_mm - clear);
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    // What the openings' own studs displaced may leave a gap over the limit.
    let mut more = Vec::new();
    for pair in at.windows(2) {
        let gap = pair[1].0 - pair[0].0;
        let parts = (gap / gap_mm - 1e-9).ceil().max(1.0);
        for k in 1..(parts as u32) {
            more.push(((pair[0].0 + gap * f64::from(k) / parts).round(), SupportReason::Field));
        }
    }
    at.extend(more);
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    let top = lining.height_mm - HEAD_PLAY_MM;
    let mut out = Vec::new();
    for (x, reason) in at {
        let mut free = vec![(0.0, top)];
        for o in lining
            .openings
            .iter()
            .filter(|o| o.from_mm - face / 2.0 + ON_MM < x && x < o.to_mm + face / 2.0 - ON_MM)
        {
            free = free
                .into_iter()
                .flat_map(|(a, b): (f64, f64)| [(a, b.min(o.sill_mm - face)), (a.max(o.head_mm + face), b)])
                .filter(|(a, b)| b - a >= STUB_MM)
                .collect();
        }
        out.extend(free.into_iter().map(|(a, b)| line(reason, x, a, b)));
    }
    out
}

/// Tracks, heads and sills of openings, noggins behind level joints.
fn cross_pieces(lining: &Lining, layers: &[Laid], face: f64) -> Vec<CrossPiece> {
    let gap = lining.rules.bar_end_gap_mm;
    let doors: Vec<(f64, f64)> =
        lining.openings.iter().filter(|o| o.sill_mm < STUB_MM).map(|o| (o.from_mm, o.to_mm)).collect();
    let mut floor = vec![(gap, lining.length_mm - gap)];
    for d in doors {
        floor = floor
            .into_iter()
            .flat_map(|(a, b): (f64, f64)| [(a, b.min(d.0)), (a.max(d.1), b)])
            .filter(|(a, b)| b > a)
            .collect();
    }
    let piece =
        |what: String, at_mm: f64, from_mm: f64, to_mm: f64| CrossPiece { what, at_mm, from_mm, to_mm };
    let mut out: Vec<CrossPiece> =
        floor.into_iter().map(|(a, b)| piece("floor track".into(), 0.0, a, b)).collect();
    out.push(piece("head track".into(), lining.height_mm, gap, lining.length_mm - gap));
    for o in &lining.openings {
        if lining.height_mm - o.head_mm > STUB_MM {
            out.push(piece(format!("head over the {}", o.name), o.head_mm + face / 2.0, o.from_mm, o.to_mm));
        }
        if o.sill_mm >= STUB_MM {
            out.push(piece(format!("sill under the {}", o.name), o.sill_mm - face / 2.0, o.from_mm, o.to_mm));
        }
    }
    let [left, _, right, _] = edges(lining);
    for layer in layers {
        let sides: Vec<f64> =
            [left].into_iter().chain(layer.uprights.iter().copied()).chain([right]).collect();
        for (column, pair) in sides.windows(2).enumerate() {
            for &y in &layer.levels[column % 2] {
                let closed = lining
                    .openings
                    .iter()
                    .any(|o| o.from_mm <= pair[0] && o.to_mm >= pair[1] && o.sill_mm < y && y < o.head_mm);
                if !closed {
                    out.push(piece("noggins behind a level joint".into(), y, pair[0], pair[1]));
                }
            }
        }
    }
    out
}

/// Bars at floor and head, behind level joints, above and below openings, and between; clips along each.
fn bars(lining: &Lining, layers: &[Laid], bar: &BarStock, clip_lines: &[f64]) -> Vec<SupportLine> {
    let [_, foot, _, head] = edges(lining);
    let rules = &lining.rules;
    let (face, clear) = (bar.face_width_mm, bar.face_width_mm + rules.bar_end_gap_mm);
    let near_edge = rules.first_bar_mm.min(75.0).max(face / 2.0);
    let mut at: Vec<(f64, SupportReason)> =
        vec![(foot + near_edge, SupportReason::Edge), (head - near_edge, SupportReason::Edge)];
    let mut put = |y: f64, reason: SupportReason| {
        if foot < y && y < head && at.iter().all(|a| (a.0 - y).abs() >= clear) {
            at.push((y, reason));
        }
    };
    for y in layers.iter().flat_map(|l| l.levels.iter().flatten().copied()) {
        put(y, SupportReason::Joint);
    }
    for o in &lining.openings {
        put(o.head_mm + near_edge, SupportReason::Opening);
        put(o.sill_mm - near_edge, SupportReason::Opening);
    }
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    let limit = (rules.bar_gap_mm - rules.bar_gap_spare_mm).max(rules.bar_gap_mm / 2.0);
    let mut more = Vec::new();
    for pair in at.windows(2) {
        let gap = pair[1].0 - pair[0].0;
        let parts = (gap / limit - 1e-9).ceil().max(1.0);
        for k in 1..(parts as u32) {
            more.push(((pair[0].0 + gap * f64::from(k) / parts).round(), SupportReason::Field));
        }
    }
    at.extend(more);
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    let end = rules.bar_end_gap_mm;
    let mut lines: Vec<SupportLine> = Vec::new();
    for (y, reason) in at {
        let mut free = vec![(end, lining.length_mm - end)];
        for o in &lining.openings {
            if o.sill_mm - face / 2.0 < y && y < o.head_mm + face / 2.0 {
                free = free
                    .into_iter()
                    .flat_map(|(a, b): (f64, f64)| [(a, b.min(o.from_mm - end)), (a.max(o.to_mm + end), b)])
                    .filter(|(a, b)| b - a >= 2.0 * STUB_MM)
                    .collect();
            }
        }
        lines.extend(free.into_iter().map(|(a, b)| line(reason, y, a, b)));
    }
    let frames: Vec<FrameBar> = lines
        .iter()
        .map(|l| FrameBar {
            from: Point::new(l.from_mm, l.at_mm),
            to: Point::new(l.to_mm, l.at_mm),
            wall: None,
            reason: BarReason::Field,
        })
        .collect();
    let lapped = laps::lap_bars(&frames, bar.stock_length_mm, rules);
    for (index, line) in lines.iter_mut().enumerate() {
        if let Some(own) = lapped.as_ref().and_then(|l| l.get(index)) {
            line.lengths_mm = own.iter().map(|l| l.1 - l.0).collect();
        }
        line.clips_mm = clips(lining, line.from_mm, line.to_mm, clip_lines);
    }
    lines
}

/// Clips of one bar: evenly where they can go anywhere, else on the fewest of the lines there are.
fn clips(lining: &Lining, from: f64, to: f64, lines: &[f64]) -> Vec<f64> {
    let rules = &lining.rules;
    let end = CLIP_END_MM.min(rules.end_clip_mm).min((to - from) / 4.0);
    let (first, last) = (from + end, to - end);
    if lines.is_empty() {
        let parts = ((last - first) / rules.clip_gap_mm - 1e-9).ceil().max(1.0);
        return (0..=parts as u32).map(|k| (first + (last - first) * f64::from(k) / parts).round()).collect();
    }
    let mut own: Vec<f64> = lines.iter().copied().filter(|x| from + 20.0 < *x && *x < to - 20.0).collect();
    own.sort_by(f64::total_cmp);
    // The farthest line within reach, again and again: the fewest clips that keep the gap.
    let mut out: Vec<f64> = Vec::new();
    let mut reach = from + rules.end_clip_mm;
    for (index, &x) in own.iter().enumerate() {
        let next = own.get(index + 1).copied().unwrap_or(f64::INFINITY);
        if (out.is_empty() && x > reach) || next > reach {
            out.push(x);
            reach = x + rules.clip_gap_mm;
        }
    }
    out
}

/// Each clip carries the boards half-way to the next clips and bars \[kg\].
fn heaviest_clip(lining: &Lining, lines: &[SupportLine]) -> f64 {
    let boards: f64 = lining.layers.iter().map(|l| l.mass_kg_m2).sum();
    let mut heaviest: f64 = 0.0;
    for (index, own) in lines.iter().enumerate() {
        let neighbour = |below: bool| {
            lines
                .iter()
                .enumerate()
                .filter(|(i, o)| {
                    *i != index
                        && o.to_mm.min(own.to_mm) > o.from_mm.max(own.from_mm)
                        && if below { o.at_mm < own.at_mm } else { o.at_mm > own.at_mm }
                })
                .map(|(_, o)| (o.at_mm - own.at_mm).abs())
                .fold(f64::INFINITY, f64::min)
        };
        let [_, foot, _, head] = edges(lining);
        let up = (neighbour(false) / 2.0).min(head - own.at_mm);
        let down = (neighbour(true) / 2.0).min(own.at_mm - foot);
        for (k, &clip) in own.clips_mm.iter().enumerate() {
            let before = k
                .checked_sub(1)
                .and_then(|k| own.clips_mm.get(k))
                .map_or(own.from_mm, |c| f64::midpoint(*c, clip));
            let after = own.clips_mm.get(k + 1).map_or(own.to_mm, |c| f64::midpoint(*c, clip));
            let area_m2 = (after - before) * (up + down) / 1e6;
            let bar = if let LiningSupport::Bars { bar, .. } = &lining.on { bar.mass_kg_m } else { 0.0 };
            heaviest = heaviest.max(area_m2 * boards + (after - before) / 1e3 * bar);
        }
    }
    heaviest
}

/// Widest gap of screws on a wall \[mm\]: NBS K10/590, a face layer 300 mm, the earlier ones 300 mm round their edges.
const SCREW_GAP_MM: f64 = 300.0;
/// Screws of an inner layer on each support between its edges: they only hold it until the next.
const FIELD_SCREWS: usize = 2;

/// How far apart the screws of a layer go.
fn screws_told(on_clips: bool, (number, of): (usize, usize)) -> String {
    let support = if on_clips { "bar" } else { "stud" };
    if number < of {
        format!(
            "{SCREW_GAP_MM:.0} mm apart at most on the {support}s along its edges, {FIELD_SCREWS} on each {support} between"
        )
    } else {
        format!("{SCREW_GAP_MM:.0} mm apart at most along every {support}")
    }
}

/// Screws of one layer: along every support under each piece.
fn screws(
    lining: &Lining,
    laid: &Laid,
    lines: &[SupportLine],
    on_clips: bool,
    face_mm: f64,
    (number, of): (usize, usize),
) -> usize {
    let edge = lining.rules.screw_edge_mm;
    let inner_only_edges = number < of;
    let mut count = 0;
    for piece in &laid.pieces {
        let ([low, high], [from, to]) = if on_clips {
            ([piece.foot_mm, piece.head_mm], [piece.from_mm, piece.to_mm])
        } else {
            ([piece.from_mm, piece.to_mm], [piece.foot_mm, piece.head_mm])
        };
        for line in lines.iter().filter(|l| low - face_mm / 2.0 < l.at_mm && l.at_mm < high + face_mm / 2.0) {
            let at_edge = (line.at_mm - low).abs() < face_mm || (line.at_mm - high).abs() < face_mm;
            if inner_only_edges && !at_edge {
                count += FIELD_SCREWS;
                continue;
            }
            count += screws_along(line.to_mm.min(to) - line.from_mm.max(from), edge, SCREW_GAP_MM);
        }
    }
    count
}
