//! What a mend changes against the plan, and names that stay.

use serde::Serialize;

use super::mend::MovedBar;
use super::to_fill::{ToFill, to_fill};
use super::{AsBuilt, changed_bars, held, hung_joints};
use crate::check::{Breach, Rule};
use crate::layout::{Clip, JointKind, Layer, Layout, Mark, MarkFor, Piece, Support, WallMarks};
use crate::ring;
use crate::room::Room;
use crate::{Ceiling, Point, marks};

/// Marks nearer than this are the same \[mm\].
pub(super) const SAME_MARK_MM: f64 = 0.5;
/// A clip this near its place is on the same timber \[mm\].
const SAME_CLIP_MM: f64 = 60.0;
/// A joint farther than this from any of the plan is a new one \[mm\].
const NEW_JOINT_MM: f64 = 300.0;
/// A board this near to where a joint lies badly is one of the joint's \[mm\].
const BESIDE_MM: f64 = 5.0;
/// A corner of a piece that lies otherwise by less is cut alike \[mm\].
const SAME_SHAPE_MM: f64 = 1.0;
/// Sizes that differ less are cut alike, as are those that read alike in whole millimetres \[mm\].
const SAME_CUT_MM: f64 = 0.5;

/// What changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChangeKind {
    /// A fixed bar, where it really is; nothing to do.
    BarFixed,
    /// A fixed bar that has to move back to its marks.
    BarBack,
    /// A bar not fixed yet that takes another place.
    BarMoved,
    /// A bar that is added.
    BarAdded,
    /// A fixed clip off its mark, where it really is; nothing to do.
    ClipFixed,
    /// A clip that is added.
    ClipAdded,
    /// A clip not fixed yet that is left out.
    ClipLeftOut,
    /// An end joint at a new place.
    Joint,
    /// A long joint at a new place.
    LongJoint,
    /// A piece that is cut to another size.
    Piece,
}

/// One change.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// What changes.
    pub kind: ChangeKind,
    /// Layer of a joint or piece, from 1.
    pub layer: Option<usize>,
    /// One end now; a clip's place; a piece's middle.
    pub from: Point,
    /// The other end now.
    pub to: Point,
    /// The two ends in the plan, where it was there.
    pub was: Option<[Point; 2]>,
    /// In words.
    pub sentence: String,
}

/// The mend against the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// Marks on the walls of the plan that are not of fixed bars.
    pub marks_to_keep: usize,
    /// How many of them stay.
    pub marks_kept: usize,
    /// Boards to buy more than the plan; minus: fewer.
    pub more_boards: i64,
    /// Every change, bars first.
    pub changes: Vec<Change>,
    /// The same in words, joints that shift alike in one sentence; gaps and joints to fill with them.
    pub sentences: Vec<String>,
    /// Gaps at walls that boards which are up leave other than planned, and joints they leave open.
    pub to_fill: Vec<ToFill>,
    /// What is still to fix.
    pub left: LeftToDo,
    /// Boards that are up and have to come down first: bars or clips behind them are added or move.
    pub take_down: Vec<String>,
}

/// What of a mended ceiling is still to fix; boards apart, they have names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LeftToDo {
    /// Bars, those to move back with them.
    pub bars: usize,
    /// Clips.
    pub clips: usize,
    /// Noggins under those clips.
    pub noggins: usize,
    /// Laps in those bars.
    pub laps: usize,
}

/// Gives pieces, clips of the mend the names they have in the plan; what is new is numbered on.
pub(super) fn keep_names(plan: &Layout, built: &AsBuilt, layout: &mut Layout, of: &[Vec<Option<usize>>]) {
    for ((layer, was), own) in layout.layers.iter_mut().zip(&plan.layers).zip(of) {
        let mut next = was.pieces.len();
        for (piece, planned) in layer.pieces.iter_mut().zip(own) {
            piece.name = planned.and_then(|k| was.pieces.get(k)).map_or_else(
                || {
                    next += 1;
                    format!("{}-{next:02}", layer.number)
                },
                |p| p.name.clone(),
            );
        }
    }
    let all = built.layout.clips.iter().chain(&plan.clips);
    let mut next = all.map(|c| c.number).max().unwrap_or(0);
    let mut taken = vec![false; built.layout.clips.len()];
    let last = built.layout.noggins.iter().chain(&plan.noggins).map(|n| n.number).max().unwrap_or(0);
    let mut noggins = vec![None; layout.noggins.len()];
    // Noggins stand in another order once one before them is gone: where they are tells which they are.
    let alike = |was: Support, now: Support| {
        was == now || matches!((was, now), (Support::Noggin(_), Support::Noggin(_)))
    };
    for clip in &mut layout.clips {
        // Where they really are: a clip that was read may sit far from its mark.
        let same = built.layout.clips.iter().enumerate().position(|(i, c)| {
            !taken.get(i).copied().unwrap_or(true)
                && c.bar == clip.bar
                && alike(c.on, clip.on)
                && (c.along_mm - clip.along_mm).abs() < SAME_CLIP_MM
        });
        if let (Some(Support::Noggin(was)), Support::Noggin(now)) =
            (same.and_then(|i| built.layout.clips.get(i)).map(|c| c.on), clip.on)
            && let (Some(was), Some(slot)) = (built.layout.noggins.get(was), noggins.get_mut(now))
        {
            *slot = Some(was.number);
        }
        clip.number = if let Some(i) = same {
            if let Some(taken) = taken.get_mut(i) {
                *taken = true;
            }
            built.layout.clips.get(i).map_or(0, |c| c.number)
        } else {
            next += 1;
            next
        };
    }
    let mut added = last + 1..;
    for (noggin, known) in layout.noggins.iter_mut().zip(noggins) {
        noggin.number = known.or_else(|| added.next()).unwrap_or(noggin.number);
    }
}

/// Everything that changes.
pub(super) fn difference(
    ceiling: &Ceiling,
    room: &Room,
    plan: &Layout,
    built: &AsBuilt,
    mended: &Layout,
    moves: &[MovedBar],
) -> Difference {
    let released: Vec<usize> = moves.iter().map(|moved| moved.bar).collect();
    let fixed = |number: usize| built.fixed_bars.contains(&number);
    let mut changes = changed_bars::bars(ceiling, room, plan, built, mended, moves);
    changes.extend(fixed_clips(plan, built, &released));
    changes.extend(clips(plan, built, mended, |number| fixed(number) && !released.contains(&number)));
    let take_down = behind_boards(ceiling, built, mended, &mut changes);
    let mut sentences: Vec<String> = changes.iter().map(|c| c.sentence.clone()).collect();
    let (moved, in_words) = joints(ceiling, room, plan, mended);
    changes.extend(moved);
    sentences.extend(in_words);
    let cut = pieces(ceiling, plan, built, mended);
    sentences.extend(cut.iter().map(|c| c.sentence.clone()));
    changes.extend(cut);
    let to_fill = to_fill(ceiling, room, built, mended);
    sentences.extend(to_fill.iter().map(|one| one.sentence.clone()));
    sentences
        .extend(mended.breaches.iter().filter_map(|breach| no_way_round(mended, &built.boards_up, breach)));
    let done = DoneMarks::new(ceiling, room, plan, built);
    let mut to_keep = 0;
    let mut kept = 0;
    for (wall, (was, now)) in plan.marks.iter().zip(&mended.marks).enumerate() {
        for mark in &was.marks {
            if matches!(mark.of, MarkFor::Bar(n) if fixed(n)) {
                continue;
            }
            let mut open = mark.what.split(", ").filter(|what| !done.has(wall, mark.at_mm, what)).peekable();
            if open.peek().is_none() {
                continue;
            }
            to_keep += 1;
            let stays = open.all(|what| {
                now.marks.iter().any(|m| {
                    (m.at_mm - mark.at_mm).abs() < SAME_MARK_MM && m.what.split(", ").any(|w| w == what)
                })
            });
            kept += usize::from(stays);
        }
    }
    let count = |boards: usize| i64::try_from(boards).unwrap_or(i64::MAX);
    Difference {
        marks_to_keep: to_keep,
        marks_kept: kept,
        more_boards: count(mended.worth.boards) - count(plan.worth.boards),
        changes,
        sentences,
        to_fill,
        left: left_to_do(built, mended, &released),
        take_down,
    }
}

/// What to do about a rule that no mend keeps; none where the breach says it itself.
fn no_way_round(mended: &Layout, up: &[String], breach: &Breach) -> Option<String> {
    let hangs_there = || {
        let pieces = mended.layers.iter().flat_map(|layer| &layer.pieces);
        pieces.filter(|piece| up.contains(&piece.name)).any(|piece| is_over(piece, breach.at, BESIDE_MM))
    };
    let what_to_do = match breach.rule {
        Rule::EndsOnBars if hangs_there() => {
            "no mend was found: take down what hangs off its marks there and hang it again on them"
        }
        Rule::ClipOnTimber => {
            "take it out, and fix a clip under the nearest joist instead or a noggin over it"
        }
        _ => return None,
    };
    Some(format!("{}: {what_to_do}", breach.sentence))
}

/// Whether a piece covers a place, or ends nearer to it than so much.
fn is_over(piece: &Piece, at: Point, beside_mm: f64) -> bool {
    ring::contains(&piece.outline, at)
        || ring::sides(&piece.outline).any(|(a, b)| ring::distance_to_segment(at, a, b) < beside_mm)
}

/// Boards that are up over bars and clips which are added or move, said beside the change.
fn behind_boards(ceiling: &Ceiling, built: &AsBuilt, mended: &Layout, changes: &mut [Change]) -> Vec<String> {
    let up = || {
        let pieces = mended.layers.iter().flat_map(|layer| &layer.pieces);
        pieces.filter(|piece| built.boards_up.contains(&piece.name))
    };
    let mut all: Vec<String> = Vec::new();
    for change in changes {
        let over: Vec<&str> = match change.kind {
            // A clip is wider than the point it hangs at: both boards of a joint are over it.
            ChangeKind::ClipAdded => up()
                .filter(|piece| is_over(piece, change.from, ceiling.bar.face_width_mm / 2.0))
                .map(|piece| piece.name.as_str())
                .collect(),
            ChangeKind::BarAdded | ChangeKind::BarMoved | ChangeKind::BarBack => {
                let bar = mended.bars.iter().find(|bar| bar.from == change.from && bar.to == change.to);
                let face_mm = ceiling.bar.face_width_mm;
                bar.map_or_else(Vec::new, |bar| {
                    held::boards_over(mended, &built.boards_up, bar.number, face_mm)
                })
            }
            _ => continue,
        };
        all.extend(over.iter().map(|name| (*name).to_owned()));
        if over.is_empty() {
            continue;
        }
        let (boards, are, them) =
            if over.len() == 1 { ("board", "is", "it") } else { ("boards", "are", "them") };
        change.sentence = format!(
            "{}; {boards} {} {are} up over it: take {them} down first, and hang {them} again on the marks",
            change.sentence,
            over.join(", ")
        );
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// What is still to fix: bars that hang have their clips.
fn left_to_do(built: &AsBuilt, mended: &Layout, released: &[usize]) -> LeftToDo {
    let hangs = |bar: usize| built.fixed_bars.contains(&bar) && !released.contains(&bar);
    let known = |number: usize| built.layout.clips.iter().any(|clip| clip.number == number);
    let open = || mended.bars.iter().filter(|bar| !hangs(bar.number));
    let clips: Vec<_> = mended
        .clips
        .iter()
        .filter(|clip| !built.fixed_clips.contains(&clip.number))
        .filter(|clip| !(hangs(clip.bar + 1) && known(clip.number)))
        .collect();
    LeftToDo {
        bars: open().count(),
        clips: clips.len(),
        noggins: clips.iter().filter(|clip| matches!(clip.on, Support::Noggin(_))).count(),
        laps: open().map(|bar| bar.laps.len()).sum(),
    }
}

/// Marks of the plan that nobody needs any more: of joints between boards that are up.
struct DoneMarks {
    done: Vec<WallMarks>,
    open: Vec<WallMarks>,
}

impl DoneMarks {
    fn new(ceiling: &Ceiling, room: &Room, plan: &Layout, built: &AsBuilt) -> Self {
        let layers: Vec<Layer> = plan
            .layers
            .iter()
            .map(|layer| {
                let joints = hung_joints::joints(&plan.frame, layer, &built.boards_up);
                Layer { joints, ..layer.clone() }
            })
            .collect();
        let only = |hung: bool| {
            let layers: Vec<Layer> = layers.iter().map(|layer| hung_joints::only(layer, hung)).collect();
            marks::marks(ceiling, room, &[], &[], &layers)
        };
        Self { done: only(true), open: only(false) }
    }

    fn has(&self, wall: usize, at_mm: f64, what: &str) -> bool {
        let on = |marks: &[WallMarks]| {
            marks.get(wall).is_some_and(|wall| {
                let here = |mark: &&Mark| (mark.at_mm - at_mm).abs() < SAME_MARK_MM;
                wall.marks.iter().filter(here).any(|mark| mark.what.split(", ").any(|one| one == what))
            })
        };
        on(&self.done) && !on(&self.open)
    }
}

/// Clips that were read off their marks: they stay, but for those of bars that are to move.
fn fixed_clips(plan: &Layout, built: &AsBuilt, released: &[usize]) -> Vec<Change> {
    plan.clips
        .iter()
        .filter_map(|was| Some((was, built.layout.clips.iter().find(|now| now.number == was.number)?)))
        .filter(|(was, _)| built.fixed_clips.contains(&was.number) && !released.contains(&(was.bar + 1)))
        .filter_map(|(was, now)| {
            let off = now.along_mm - was.along_mm;
            (off.abs() >= SAME_MARK_MM).then(|| Change {
                kind: ChangeKind::ClipFixed,
                layer: None,
                from: now.at,
                to: now.at,
                was: Some([was.at, was.at]),
                sentence: format!(
                    "clip {} of bar {} stays where it is, {:.0} mm off its mark",
                    was.number,
                    was.bar + 1,
                    off.abs()
                ),
            })
        })
        .collect()
}

fn clips(plan: &Layout, built: &AsBuilt, mended: &Layout, fixed: impl Fn(usize) -> bool) -> Vec<Change> {
    let mut out = Vec::new();
    let skipped = |number: usize| built.skipped_clips.contains(&number);
    let near = |list: &Layout, bar: usize, along: f64| {
        let mut there = list.clips.iter().filter(|c| !skipped(c.number));
        there.any(|c| c.bar == bar && (c.along_mm - along).abs() < SAME_CLIP_MM)
    };
    for clip in &mended.clips {
        // The clips of an added bar go with it, unless it hangs already.
        let was_read = built.fixed_clips.contains(&clip.number);
        let before = if clip.bar < plan.bars.len() { plan } else { &built.layout };
        if clip.bar < built.layout.bars.len() && !was_read && !near(before, clip.bar, clip.along_mm) {
            out.push(Change {
                kind: ChangeKind::ClipAdded,
                layer: None,
                from: clip.at,
                to: clip.at,
                was: None,
                sentence: format!(
                    "add a clip to bar {} at {:.0} mm from its left end",
                    clip.bar + 1,
                    clip.along_mm
                ),
            });
        }
    }
    let open = |c: &&Clip| !fixed(c.bar + 1) && !built.fixed_clips.contains(&c.number) && !skipped(c.number);
    for clip in plan.clips.iter().filter(open) {
        if !near(mended, clip.bar, clip.along_mm) {
            out.push(Change {
                kind: ChangeKind::ClipLeftOut,
                layer: None,
                from: clip.at,
                to: clip.at,
                was: Some([clip.at, clip.at]),
                sentence: format!("leave out clip {} of bar {}", clip.number, clip.bar + 1),
            });
        }
    }
    out
}

/// Joints at a new place, and sentences for those that shift alike.
fn joints(ceiling: &Ceiling, room: &Room, plan: &Layout, mended: &Layout) -> (Vec<Change>, Vec<String>) {
    let mut out = Vec::new();
    let mut alike: Vec<(String, Vec<String>, usize)> = Vec::new();
    let frame = &plan.frame;
    for (was, now) in plan.layers.iter().zip(&mended.layers) {
        for joint in now.joints.iter().filter(|joint| !joint.hung) {
            let line = |p: Point| {
                let f = frame.frame_from_room(p);
                if joint.kind == JointKind::End { (f.y_mm, f.x_mm) } else { (f.x_mm, f.y_mm) }
            };
            let (at, a) = line(joint.from);
            let b = line(joint.to).1;
            // Where a corner only just passes a line there is nothing to mark.
            if (a - b).abs() <= 1.0 {
                continue;
            }
            // The planned joint nearest to it that runs beside it.
            let nearest = was
                .joints
                .iter()
                .filter(|j| j.kind == joint.kind)
                .filter(|j| {
                    let (p, q) = (line(j.from).1, line(j.to).1);
                    a.max(b).min(p.max(q)) - a.min(b).max(p.min(q)) > 1.0
                })
                .min_by(|x, y| (line(x.from).0 - at).abs().total_cmp(&(line(y.from).0 - at).abs()));
            let off = nearest.map_or(f64::INFINITY, |j| at - line(j.from).0);
            if off.abs() < SAME_MARK_MM {
                continue;
            }
            let (kind, word) = match joint.kind {
                JointKind::End => (ChangeKind::Joint, "end"),
                JointKind::Long => (ChangeKind::LongJoint, "long"),
            };
            let nearest = nearest.filter(|_| off.abs() < NEW_JOINT_MM);
            let way = if nearest.is_none() {
                "where the plan has none".to_owned()
            } else if off > 0.0 {
                format!("{off:.0} mm farther from corner {}", frame.corner)
            } else {
                format!("{:.0} mm nearer to corner {}", -off, frame.corner)
            };
            let ends = (frame.frame_from_room(joint.from), frame.frame_from_room(joint.to));
            let walls = marks::along_walls(ceiling, room, ends.0, ends.1);
            let sentence = format!("layer {}: {word} joint {way}", now.number);
            match alike.iter_mut().find(|(words, _, _)| *words == sentence) {
                Some((_, places, count)) => {
                    places.extend(walls);
                    *count += 1;
                }
                None => alike.push((sentence.clone(), walls, 1)),
            }
            out.push(Change {
                kind,
                layer: Some(now.number),
                from: joint.from,
                to: joint.to,
                was: nearest.map(|j| [j.from, j.to]),
                sentence,
            });
        }
    }
    let sentences = alike
        .into_iter()
        .map(|(words, mut places, count)| {
            places.dedup();
            let words = if count == 1 {
                words
            } else {
                words.replacen(" joint ", " joints ", 1).replacen(": ", &format!(": {count} "), 1)
            };
            if places.is_empty() { words } else { format!("{words}; new marks {}", places.join(", ")) }
        })
        .collect();
    (out, sentences)
}

fn pieces(ceiling: &Ceiling, plan: &Layout, built: &AsBuilt, mended: &Layout) -> Vec<Change> {
    let mut out = Vec::new();
    for ((was, now), board) in plan.layers.iter().zip(&mended.layers).zip(&ceiling.layers) {
        for piece in &now.pieces {
            // What is up was cut long ago.
            if built.boards_up.contains(&piece.name) {
                continue;
            }
            let old = was.pieces.iter().find(|p| p.name == piece.name);
            let alike =
                |a: f64, b: f64| (a - b).abs() < SAME_CUT_MM || (a.round() - b.round()).abs() < SAME_CUT_MM;
            let same = old.filter(|p| {
                !piece.too_large && alike(p.width_mm, piece.width_mm) && alike(p.length_mm, piece.length_mm)
            });
            if same.is_some_and(|p| cut_alike(p, piece)) {
                continue;
            }
            let at = middle(piece);
            let size = format!("{:.0} × {:.0}", piece.length_mm, piece.width_mm);
            let sentence = if same.is_some() {
                format!(
                    "cut piece {} anew: as long and wide as before, but a slant or a cut-out of it changes",
                    piece.name
                )
            } else if piece.too_large {
                format!(
                    "do not cut piece {}: beside what is fixed it would have to be {size}, more than its sheet of {:.0} × {:.0}; take the board beside it down, or move the bar of its joint",
                    piece.name, board.length_mm, board.width_mm
                )
            } else {
                old.map_or_else(
                    || format!("cut one more piece, {}, {size}", piece.name),
                    |p| {
                        format!(
                            "cut piece {} {size} instead of {:.0} × {:.0}",
                            piece.name, p.length_mm, p.width_mm
                        )
                    },
                )
            };
            let was = old.map(|p| [middle(p), middle(p)]);
            out.push(Change {
                kind: ChangeKind::Piece,
                layer: Some(now.number),
                from: at,
                to: at,
                was,
                sentence,
            });
        }
        for gone in was.pieces.iter().filter(|p| !now.pieces.iter().any(|piece| piece.name == p.name)) {
            let at = middle(gone);
            out.push(Change {
                kind: ChangeKind::Piece,
                layer: Some(now.number),
                from: at,
                to: at,
                was: Some([at, at]),
                sentence: format!("piece {} is not needed any more", gone.name),
            });
        }
    }
    out
}

/// Whether a saw makes both alike: the same corners and cut-outs, wherever the pieces lie in the room.
fn cut_alike(one: &Piece, other: &Piece) -> bool {
    let [here, there] = [one, other].map(|piece| ring::extent(&piece.outline).0);
    let alike = |a: &[Point], b: &[Point]| {
        let meets = |p: &Point| b.iter().any(|q| ((*p - here) - (*q - there)).length_mm() < SAME_SHAPE_MM);
        a.len() == b.len() && a.iter().all(meets)
    };
    alike(&one.outline, &other.outline)
        && one.cut_outs.len() == other.cut_outs.len()
        && one.cut_outs.iter().all(|hole| other.cut_outs.iter().any(|there| alike(hole, there)))
}

fn middle(piece: &Piece) -> Point {
    let n = piece.outline.len().max(1) as f64;
    let sum = piece.outline.iter().fold((0.0, 0.0), |s, p| (s.0 + p.x_mm, s.1 + p.y_mm));
    Point::new(sum.0 / n, sum.1 / n)
}
