//! The mend: what is not fixed yet laid out again round what is.

use serde::Serialize;

use super::difference::{self, Difference};
use super::joints::{self, Ground, Way};
use super::mended_strips::{self, Strip};
use super::{AsBuilt, BoardReading, Readings, check_as_built, cutting, hung_joints, mended_bars, moves};
use crate::bars::FrameBar;
use crate::draft::{self, Draft, DraftLayer, FrameJoint, Site};
use crate::error::SetoutError;
use crate::found::Found;
use crate::layout::{JointKind, Layer, Layout, Piece};
use crate::ring::{self, Axis};
use crate::room::Room;
use crate::strips::Part;
use crate::worth::Worth;
use crate::{Ceiling, Point, assemble, check, marks};

/// Rounds in which strips make way for each other.
const ROUNDS: usize = 6;
/// A bar this near its marks is on them \[mm\].
pub(super) const ON_MARK_MM: f64 = 0.5;
/// Pieces whose sizes differ less are the same \[mm\].
pub(super) const SAME_SIZE_MM: f64 = 0.05;

/// A fixed bar to move towards its marks: nothing that is still free makes up for where it is; or one that may be moved, since only more
/// bars, clips or boards make up for it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MovedBar {
    /// Number of the bar.
    pub bar: usize,
    /// How far it stands from its marks at the worse end, across the bars \[mm\]; minus towards the frame's corner.
    pub off_mm: f64,
    /// How far it has to move back there, in whole millimetres; all of it where that is what it takes \[mm\].
    pub by_mm: f64,
    /// Whether no way of going on keeps the rules without it; else it only spares more bars, clips or boards.
    pub needed: bool,
    /// In words.
    pub sentence: String,
    /// What to do, in words, the boards to take down first with it.
    #[serde(skip)]
    pub(super) to_do: String,
}

/// The ceiling as built and the layout that mends it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mended {
    /// What was found.
    pub built: AsBuilt,
    /// The layout to go on with: all that is fixed where it is. Bars keep their numbers, pieces their names, clips theirs;
    /// what is new is numbered on. Its breaches are those no mend was found for.
    pub layout: Layout,
    /// Fixed bars that are to move back all the same: nothing else mends the rule they break.
    pub move_back: Vec<MovedBar>,
    /// Fixed bars that stay in the layout, but moved back a little would spare bars, clips or boards.
    pub could_move: Vec<MovedBar>,
    /// What changes against the plan.
    pub difference: Difference,
}

impl Mended {
    /// How far a bar of the plan stands from its marks at its worse end, across the bars \[mm\]; minus towards the frame's corner.
    pub fn off_mm(&self, plan: &Layout, bar: usize) -> f64 {
        off_marks(plan, &self.built, bar)
    }
}

/// Mends a layout round what is fixed: joints move to where their bars really are, free bars shift or bars are added where a gap is
/// over the limit, clips where a load or gap is. All that is fixed stays, and of the remaining marks as many as the mend
/// finds a way to keep; it looks strip by strip and bar by bar, so a mend with fewer changes may exist. A fixed bar moves back, by as
/// few whole millimetres as do, only where no mend keeps the rules; where loosening its clips costs less than the bars, clips and
/// boards the mend adds, that is told beside ([`Mended::could_move`]) and the layout leaves it where it is.
///
/// # Errors
/// As [`crate::set_out`], for a ceiling that makes no sense.
pub fn mend(ceiling: &Ceiling, plan: &Layout, readings: &Readings) -> Result<Mended, SetoutError> {
    let room = Room::new(ceiling)?;
    let site = Site::new(ceiling, &room);
    let built = check_as_built(ceiling, plan, readings);
    let moves::Cheapest { layout, move_back, could_move } = moves::cheapest(&site, plan, readings, &built);
    let difference = difference::difference(ceiling, &room, plan, &built, &layout, &move_back);
    let mended = Mended { built, layout, move_back, could_move, difference };
    Ok(hung_again(&site, plan, readings, &mended).unwrap_or(mended))
}

/// The same with the boards that have to come down on their marks, as they are to be hung again; none where they hang there, or need not come down
/// then.
fn hung_again(site: &Site, plan: &Layout, readings: &Readings, first: &Mended) -> Option<Mended> {
    let comes_down = |piece: &str| first.difference.take_down.iter().any(|name| name == piece);
    let off = |one: &BoardReading| one.off_along_mm.abs().max(one.off_across_mm.abs()) > ON_MARK_MM;
    let mut again = readings.clone();
    let mut names = Vec::new();
    for one in again.boards.iter_mut().filter(|one| comes_down(&one.piece) && off(one)) {
        (one.off_along_mm, one.off_across_mm) = (0.0, 0.0);
        names.push(one.piece.clone());
    }
    if names.is_empty() {
        return None;
    }
    let built = check_as_built(site.ceiling, plan, &again);
    let moves::Cheapest { layout, move_back, could_move } = moves::cheapest(site, plan, &again, &built);
    let difference = difference::difference(site.ceiling, site.room, plan, &built, &layout, &move_back);
    let all_come_down = names.iter().all(|name| difference.take_down.contains(name));
    // What was found stays what was found.
    all_come_down.then(|| Mended { built: first.built.clone(), layout, move_back, could_move, difference })
}

/// How far a bar stands from its marks at its worse end \[mm\].
pub(super) fn off_marks(plan: &Layout, built: &AsBuilt, number: usize) -> f64 {
    let index = number.wrapping_sub(1);
    let (Some(planned), Some(real)) = (plan.bars.get(index), built.layout.bars.get(index)) else {
        return 0.0;
    };
    // Across from the planned end to the line the bar hangs on: an end that is cut shorter is not off.
    let (from, to) = (plan.frame.frame_from_room(real.from), plan.frame.frame_from_room(real.to));
    let run = to.x_mm - from.x_mm;
    let off = |planned: Point, end: Point| {
        let p = plan.frame.frame_from_room(planned);
        let on_line = if run.abs() < 1.0 {
            end.y_mm
        } else {
            from.y_mm + (p.x_mm - from.x_mm) * (to.y_mm - from.y_mm) / run
        };
        on_line - p.y_mm
    };
    let (first, second) = (off(planned.from, from), off(planned.to, to));
    if second.abs() > first.abs() { second } else { first }
}

/// One mend round all that is fixed, checked.
pub(super) fn attempt(site: &Site, plan: &Layout, built: &AsBuilt, way: Way) -> Layout {
    let (ceiling, room) = (site.ceiling, site.room);
    let mut bars = mended_bars::start(site, plan, built);
    let laid = mended_strips::strips(&room.outline, ceiling, plan, built);
    let mut strips: Vec<Strip> = laid.iter().flat_map(|(_, s)| s.iter().cloned()).collect();
    let ground = Ground::new(site, &bars, way);
    move_joints(&ground, site, &mut strips);
    let lines = lines_wanted(site, &ground, &strips);
    mended_bars::lay_under(site, &mut bars, &lines);
    mended_bars::close_gaps(site, &mut bars, &lines);
    let lengths = mended_bars::lengths(site, built, &bars)
        .unwrap_or_else(|| bars.iter().map(|n| vec![(0.0, n.bar.length_mm())]).collect());
    let clips = mended_bars::clips(site, plan, built, &bars, &lengths);
    let mut names: Vec<Vec<Option<usize>>> = Vec::new();
    let mut layers = Vec::with_capacity(laid.len());
    for (index, (lines, _)) in laid.iter().enumerate() {
        let (Some(was), Some(real)) = (plan.layers.get(index), built.layout.layers.get(index)) else {
            continue;
        };
        let own: Vec<&Strip> = strips.iter().filter(|s| s.layer == index).collect();
        let mut parts: Vec<Part> = own.iter().flat_map(|s| mended_strips::parts(s)).collect();
        let planned: Vec<Option<usize>> = matched(plan, &was.pieces, &parts);
        // Boards that are up stay as they were cut, where they hang.
        let hangs = |k: &usize| real.pieces.get(*k).filter(|p| built.boards_up.contains(&p.name)).cloned();
        let hung: Vec<Option<Piece>> = planned.iter().map(|k| k.as_ref().and_then(hangs)).collect();
        for (part, piece) in parts.iter_mut().zip(&hung) {
            if let Some(piece) = piece {
                let ring = piece.outline.iter().map(|p| plan.frame.frame_from_room(*p)).collect();
                *part = Part::new(part.strip, ring);
            }
        }
        layers.push(DraftLayer {
            joints: frame_joints(&room.outline, lines, &own),
            parts,
            places: Vec::new(),
            sheets: Vec::new(),
            numbers: Vec::new(),
            hung,
        });
        names.push(planned);
    }
    cutting::cut(ceiling, plan, &names, &mut layers);
    let cut_mm: f64 = layers.iter().zip(&ceiling.layers).map(|(l, b)| draft::cut_length(l, b)).sum();
    let frame_bars: Vec<FrameBar> = bars.iter().map(|n| n.bar.clone()).collect();
    let worth = Worth {
        boards: layers.iter().map(DraftLayer::bought).sum(),
        overload_kg: site.overload_kg(&frame_bars, &clips),
        slivers: layers.iter().flat_map(|l| &l.parts).filter(|p| p.is_sliver(&ceiling.rules)).count(),
        pieces: layers.iter().map(|l| l.parts.len()).sum(),
        cut_half_metres: (cut_mm / 500.0).ceil() as usize,
        bars: bars.len(),
        clips: clips
            .iter()
            .map(|c| c.spots.len() + c.spots.iter().filter(|s| s.joist.is_none()).count())
            .sum(),
    };
    let found = Found {
        draft: Draft { layers, bars: frame_bars, lengths, clips, worth },
        steps: plan.steps,
        least_boards: plan.least_boards.clone(),
        least_together: plan.least_boards_together,
        family: plan.family.clone(),
        note: None,
    };
    let mut layout = assemble::assemble(site, &found, plan.level.as_ref().map(|l| l.plane));
    difference::keep_names(plan, built, &mut layout, &names);
    let is_up = |layer: &Layer| layer.pieces.iter().any(|piece| built.boards_up.contains(&piece.name));
    if layout.layers.iter().any(is_up) {
        let frame = &layout.frame;
        for layer in layout.layers.iter_mut().filter(|layer| is_up(layer)) {
            layer.joints = hung_joints::joints(frame, layer, &built.boards_up);
        }
        layout.marks = marks::marks(ceiling, room, &layout.bars, &layout.clips, &layout.layers);
    }
    layout.notes.clear();
    layout.proved_fewest_boards = false;
    layout.breaches = check::check_round(ceiling, &layout, &built.boards_up);
    layout
}

/// Lays strips again whose joints miss their bars or come too near others'; those that no way is found for stay as planned.
fn move_joints(ground: &Ground, site: &Site, strips: &mut [Strip]) {
    let before: Vec<Vec<f64>> = strips.iter().map(|s| s.joints.clone()).collect();
    let groups = joints::groups(strips);
    let mut settled = vec![false; strips.len()];
    for _ in 0..ROUNDS {
        let mut any = false;
        for group in &groups {
            if group.iter().all(|&i| joints::is_sound(ground, &strips[i], strips)) {
                continue;
            }
            let Some(board) = group.first().and_then(|&i| site.ceiling.layers.get(strips[i].layer)) else {
                continue;
            };
            any = true;
            let own: Vec<&Strip> = group.iter().map(|&i| &strips[i]).collect();
            let place = |s: &Strip| strips.iter().position(|o| (o.layer, o.index) == (s.layer, s.index));
            let is_settled = |s: &Strip| {
                s.has_boards_up() || place(s).is_some_and(|i| settled.get(i).copied().unwrap_or(false))
            };
            let together = joints::lay(ground, board, &own, strips, &|_| true)
                .or_else(|| joints::lay(ground, board, &own, strips, &is_settled));
            let new: Vec<Option<Vec<f64>>> = match together {
                Some(joints) => vec![Some(joints); own.len()],
                None => own
                    .iter()
                    .map(|s| {
                        joints::lay(ground, board, &[*s], strips, &|_| true)
                            .or_else(|| joints::lay(ground, board, &[*s], strips, &Strip::has_boards_up))
                    })
                    .collect(),
            };
            for (&i, joints) in group.iter().zip(new) {
                if let Some(joints) = joints {
                    strips[i].joints = joints;
                    settled[i] = true;
                }
            }
        }
        if !any {
            return;
        }
    }
    for i in 0..strips.len() {
        if !joints::is_sound(ground, &strips[i], strips) {
            strips[i].joints.clone_from(&before[i]);
        }
    }
}

/// Lines that bars not fixed yet have to lie on: those of joints nothing else bears, and those of bars left in place under joints.
fn lines_wanted(site: &Site, ground: &Ground, strips: &[Strip]) -> Vec<f64> {
    let mut lines: Vec<f64> = Vec::new();
    for strip in strips {
        for &v in &strip.joints {
            if ground.bears(strip, v) {
                lines.extend(ground.pinned(strip, v));
            } else {
                lines.push(v);
            }
        }
    }
    lines.sort_by(f64::total_cmp);
    // Two bars cannot stand so near: one goes between the lines and bears what it can.
    let clear_mm = site.bar_rules.face_mm + site.bar_rules.end_gap_mm;
    let mut together: Vec<(f64, f64)> = Vec::new();
    for v in lines {
        match together.last_mut() {
            Some((first, last)) if v - *first < clear_mm => *last = v,
            _ => together.push((v, v)),
        }
    }
    together.into_iter().map(|(first, last)| f64::midpoint(first, last)).collect()
}

/// The planned piece each part is, by where it lies most; each planned piece once.
fn matched(plan: &Layout, pieces: &[Piece], parts: &[Part]) -> Vec<Option<usize>> {
    let boxes: Vec<(Point, Point)> = pieces
        .iter()
        .map(|p| {
            let frame: Vec<Point> = p.outline.iter().map(|q| plan.frame.frame_from_room(*q)).collect();
            ring::extent(&frame)
        })
        .collect();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        for (k, (low, high)) in boxes.iter().enumerate() {
            let w = part.high.x_mm.min(high.x_mm) - part.low.x_mm.max(low.x_mm);
            let h = part.high.y_mm.min(high.y_mm) - part.low.y_mm.max(low.y_mm);
            if w > 1.0 && h > 1.0 {
                pairs.push((w * h, i, k));
            }
        }
    }
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut of: Vec<Option<usize>> = vec![None; parts.len()];
    let mut taken = vec![false; pieces.len()];
    for (_, i, k) in pairs {
        if of[i].is_none() && !taken[k] {
            of[i] = Some(k);
            taken[k] = true;
        }
    }
    of
}

/// Every joint of a layer, each strip's for itself.
fn frame_joints(outline: &[Point], lines: &[f64], strips: &[&Strip]) -> Vec<FrameJoint> {
    let mut out = Vec::new();
    for &u in lines {
        for (a, b) in ring::chords(outline, Axis::U, u) {
            out.push(FrameJoint { kind: JointKind::Long, from: Point::new(u, a), to: Point::new(u, b) });
        }
    }
    for strip in strips {
        for &v in &strip.joints {
            for (a, b) in ring::chords(outline, Axis::V, v) {
                let (a, b) = (a.max(strip.low_u), b.min(strip.high_u));
                if b - a > 1e-6 {
                    out.push(FrameJoint {
                        kind: JointKind::End,
                        from: Point::new(a, v),
                        to: Point::new(b, v),
                    });
                }
            }
        }
    }
    out
}
