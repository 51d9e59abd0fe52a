//! One whole layout in the frame, judged but not yet written out.

use rayon::prelude::*;

use crate::bars::{self, BarRules, FrameBar};
use crate::clips::{self, BarClips, ClipRules};
use crate::laps::{self, Lengths};
use crate::layout::{BarReason, JointKind, Piece};
use crate::ring::{self, Axis};
use crate::room::Room;
use crate::shared::{self, Begun};
use crate::sheets::Place;
use crate::strips::{Choice, LayerFamily, Part};
use crate::under_joints::joint_is_held;
use crate::worth::Worth;
use crate::{BoardLayer, Ceiling, Point};

/// A bar's end is held back by no more than this share of the first-bar limit, so that the board past it stays as well
/// held as past a perimeter bar.
const HELD_BACK_SHARE: f64 = 0.4;

/// A bar this little longer than the stock is cut down to it rather than lapped \[mm\]; half comes off at either end.
const SPARES_A_LAP_MM: f64 = 20.0;
/// A bar cut down to the stock is this much shorter at either end, so that the last digit does not lap it after all \[mm\].
const HAIR_MM: f64 = 1e-4;

/// Cut pieces of a layer the deeper search is tried on; with more it takes longer than all the rest.
const MOST_CUT_AGAIN: usize = 40;

/// A joint in the frame.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FrameJoint {
    pub(crate) kind: JointKind,
    pub(crate) from: Point,
    pub(crate) to: Point,
}

/// One layer of a draft.
#[derive(Clone, Debug)]
pub(crate) struct DraftLayer {
    pub(crate) parts: Vec<Part>,
    pub(crate) places: Vec<Place>,
    /// The sheets its pieces lie on; where an earlier layer of the same board began one, which.
    pub(crate) sheets: Vec<Option<Begun>>,
    pub(crate) joints: Vec<FrameJoint>,
    /// By piece, the boards that are up already, as they were cut; empty where nothing is.
    pub(crate) hung: Vec<Option<Piece>>,
    /// The numbers of its sheets where a plan has given them; empty where they are numbered through.
    pub(crate) numbers: Vec<usize>,
}

impl DraftLayer {
    /// The number of one of its sheets, from 1.
    pub(crate) fn number_of(&self, sheet: usize) -> usize {
        self.numbers.get(sheet).copied().unwrap_or(sheet + 1)
    }

    /// Sheets bought for this layer.
    pub(crate) fn bought(&self) -> usize {
        self.sheets.iter().filter(|begun| begun.is_none()).count()
    }
}

/// A whole layout in the frame.
#[derive(Clone, Debug)]
pub(crate) struct Draft {
    pub(crate) layers: Vec<DraftLayer>,
    pub(crate) bars: Vec<FrameBar>,
    pub(crate) lengths: Vec<Lengths>,
    pub(crate) clips: Vec<BarClips>,
    pub(crate) worth: Worth,
}

/// Why a draft came to nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Failed {
    /// A bar would run through an obstruction, or no bars close the gaps.
    Bars,
    /// A joint has no bar under it for too far.
    JointBare,
    /// No choice of clips keeps the load.
    Load,
    /// No place for a lap.
    Laps,
}

/// What is the same for every draft of one ceiling.
pub(crate) struct Site<'a> {
    pub(crate) ceiling: &'a Ceiling,
    pub(crate) room: &'a Room,
    pub(crate) bar_rules: BarRules,
    pub(crate) clip_rules: ClipRules,
    pub(crate) perimeter: Vec<FrameBar>,
}

impl<'a> Site<'a> {
    pub(crate) fn new(ceiling: &'a Ceiling, room: &'a Room) -> Self {
        let bar_rules = BarRules::new(&ceiling.bar, &ceiling.rules);
        let perimeter = bars::perimeter_bars(room, &bar_rules);
        Self { ceiling, room, bar_rules, clip_rules: ClipRules::new(ceiling), perimeter }
    }

    /// Works one choice per layer out to bars and clips. `bar_gap_mm` may be less than the rule allows, to spare clips.
    pub(crate) fn draft(
        &self,
        families: &[LayerFamily],
        choices: &[&Choice],
        bar_gap_mm: f64,
    ) -> Result<Draft, Failed> {
        let mut joint_lines: Vec<f64> = Vec::new();
        let mut joints_by_layer = Vec::with_capacity(families.len());
        for (family, choice) in families.iter().zip(choices) {
            let joints = self.joints(family, choice);
            for joint in joints.iter().filter(|j| j.kind == JointKind::End) {
                if !joint_lines.iter().any(|v| (v - joint.from.y_mm).abs() < 1e-6) {
                    joint_lines.push(joint.from.y_mm);
                }
            }
            joints_by_layer.push(joints);
        }
        joint_lines.sort_by(f64::total_cmp);
        let bar_rules = BarRules { gap_limit_mm: bar_gap_mm, ..self.bar_rules };
        let clear = bar_rules.face_mm + bar_rules.end_gap_mm;
        if joint_lines.windows(2).any(|w| w[1] - w[0] < clear) {
            return Err(Failed::Bars);
        }
        let mut bars =
            bars::lay_bars(self.room, &bar_rules, &self.perimeter, &joint_lines).ok_or(Failed::Bars)?;
        for joints_too in [true, false] {
            let mut held_back = bars.clone();
            for bar in held_back.iter_mut().filter(|bar| joints_too || bar.reason != BarReason::Joint) {
                self.hold_back_ends(bar);
            }
            if self.joints_are_held(&bar_rules, &held_back, &joints_by_layer)
                && bars::widest_gap(self.room, &bar_rules, &held_back).is_none()
            {
                bars = held_back;
                break;
            }
        }
        self.spare_laps(&mut bars, &bar_rules, &joints_by_layer);
        if bars::any_too_near(&bars, &bar_rules) {
            return Err(Failed::Bars);
        }
        if !self.joints_are_held(&bar_rules, &bars, &joints_by_layer) {
            return Err(Failed::JointBare);
        }
        let lengths = laps::lap_bars(&bars, self.ceiling.bar.stock_length_mm, &self.ceiling.rules)
            .ok_or(Failed::Laps)?;
        let clips = self.clips(&bars, &lengths)?;
        let mut layers: Vec<DraftLayer> = families
            .iter()
            .zip(choices)
            .zip(joints_by_layer)
            .zip(&self.ceiling.layers)
            .map(|(((family, choice), joints), board)| {
                let parts = family.parts(choice);
                let needs: Vec<_> = parts.iter().map(crate::strips::need).collect();
                let (places, sheets) = shared::sheet_size(board, &self.ceiling.rules).place(&needs);
                DraftLayer {
                    parts,
                    places,
                    sheets: vec![None; sheets],
                    joints,
                    hung: Vec::new(),
                    numbers: Vec::new(),
                }
            })
            .collect();
        shared::share(&mut layers, &self.ceiling.layers, &self.ceiling.rules);
        shared::spare_cuts(&mut layers, &self.ceiling.layers);
        let cut_mm: f64 =
            layers.iter().zip(&self.ceiling.layers).map(|(layer, board)| cut_length(layer, board)).sum();
        let worth = Worth {
            boards: layers.iter().map(DraftLayer::bought).sum(),
            overload_kg: self.overload_kg(&bars, &clips),
            slivers: choices.iter().map(|c| c.slivers).sum(),
            pieces: choices.iter().map(|c| c.pieces).sum(),
            cut_half_metres: (cut_mm / 500.0).ceil() as usize,
            bars: bars.len(),
            clips: clips
                .iter()
                .map(|c| c.spots.len() + c.spots.iter().filter(|s| s.joist.is_none()).count())
                .sum(),
        };
        Ok(Draft { layers, bars, lengths, clips, worth })
    }

    /// Every end joint stands on bars.
    fn joints_are_held(&self, rules: &BarRules, bars: &[FrameBar], joints: &[Vec<FrameJoint>]) -> bool {
        joints
            .iter()
            .flatten()
            .filter(|j| j.kind == JointKind::End)
            .all(|j| joint_is_held(self.room, rules, bars, j.from.y_mm, j.from.x_mm, j.to.x_mm))
    }

    /// Cuts a finished draft again with the cutting room's deeper search, layers of the same board together, and keeps what takes fewer
    /// sheets.
    pub(crate) fn cut_again(&self, draft: &mut Draft) {
        let boards = &self.ceiling.layers;
        // Where layers that share no sheet have too many pieces together, each is cut again by itself.
        let tries: Vec<Vec<usize>> = shared::groups(boards)
            .into_iter()
            .flat_map(|members| {
                let own: Vec<&DraftLayer> = members.iter().filter_map(|&m| draft.layers.get(m)).collect();
                let many = own.iter().map(|layer| layer.parts.len()).sum::<usize>() > MOST_CUT_AGAIN;
                let alone = own.iter().all(|layer| layer.sheets.iter().all(Option::is_none));
                if many && alone { members.into_iter().map(|m| vec![m]).collect() } else { vec![members] }
            })
            .collect();
        let better = |layers: &[DraftLayer], members: &[usize]| {
            let board = members.first().and_then(|&m| boards.get(m))?;
            let (cut, whole) = shared::cut_pieces(layers, members, board);
            let parts = cut.iter().filter_map(|&(l, p)| layers.get(l)?.parts.get(p));
            let area: f64 = parts.map(|part| part.width_mm() * part.length_mm()).sum();
            let least = whole + (area / (board.width_mm * board.length_mm) - 1e-9).ceil() as usize;
            let now = shared::bought(layers, members);
            if cut.len() > MOST_CUT_AGAIN || now <= least {
                return None;
            }
            let needs = shared::bounds(layers, &cut);
            let sheet = shared::sheet_size(board, &self.ceiling.rules);
            Some((cut, sheet.place_better(&needs, now - whole)?.0))
        };
        let found: Vec<_> = tries.par_iter().map(|members| better(&draft.layers, members)).collect();
        for (members, found) in tries.iter().zip(found) {
            if let Some((cut, places)) = found
                && let Some(board) = members.first().and_then(|&m| boards.get(m))
            {
                shared::lay(&mut draft.layers, members, board, &cut, &places);
            }
        }
        shared::spare_cuts(&mut draft.layers, boards);
        draft.worth.boards = draft.layers.iter().map(DraftLayer::bought).sum();
    }

    /// Cuts a bar that is a little longer than the stock down to it, where the ceiling holds as well without its ends: a wider gap at
    /// the wall instead of a lap.
    fn spare_laps(&self, bars: &mut [FrameBar], rules: &BarRules, joints: &[Vec<FrameJoint>]) {
        let stock_mm = self.ceiling.bar.stock_length_mm;
        for index in 0..bars.len() {
            let kept = bars[index].clone();
            let over_mm = kept.length_mm() - stock_mm;
            if over_mm <= 0.0 || over_mm > SPARES_A_LAP_MM {
                continue;
            }
            (bars[index].from, bars[index].to) =
                (kept.at(over_mm / 2.0 + HAIR_MM), kept.at(over_mm / 2.0 + stock_mm - HAIR_MM));
            let held = self.joints_are_held(rules, bars, joints);
            // The next bar may stand clear of what was its end.
            if !held || bars::widest_gap(self.room, rules, bars).is_some() {
                bars[index] = kept;
            }
        }
    }

    /// Stops a bar a little farther from the wall where that brings its end within reach of its last joist: a saw cut
    /// instead of a noggin.
    fn hold_back_ends(&self, bar: &mut FrameBar) {
        let spots = clips::joist_spots(self.room, bar);
        let (Some(first), Some(last)) = (spots.first(), spots.last()) else { return };
        let length = bar.length_mm();
        let reach = self.clip_rules.end_mm;
        let (start, end) = ((first.along_mm - reach).max(0.0), (last.along_mm + reach).min(length));
        let (from, to) = (bar.at(start), bar.at(end));
        let most = self.bar_rules.first_bar_mm * HELD_BACK_SHARE;
        if start > 0.0 && start <= most {
            bar.from = from;
        }
        if end < length && length - end <= most {
            bar.to = to;
        }
    }

    /// Every joint of one layer.
    fn joints(&self, family: &LayerFamily, choice: &Choice) -> Vec<FrameJoint> {
        let outline = &self.room.outline;
        let (low, high) = ring::extent(outline);
        let long = family.long_lines(choice);
        let mut joints = Vec::new();
        for &u in long {
            for (a, b) in ring::chords(outline, Axis::U, u) {
                joints.push(FrameJoint {
                    kind: JointKind::Long,
                    from: Point::new(u, a),
                    to: Point::new(u, b),
                });
            }
        }
        for strip in 0..=long.len() {
            let from = strip.checked_sub(1).and_then(|s| long.get(s)).copied().unwrap_or(low.x_mm);
            let to = long.get(strip).copied().unwrap_or(high.x_mm);
            let Some(lines) = family.phase_lines.get(choice.phase(strip)) else { continue };
            for &v in lines {
                for (a, b) in ring::chords(outline, Axis::V, v) {
                    let (a, b) = (a.max(from), b.min(to));
                    if b - a > 1e-6 {
                        joints.push(FrameJoint {
                            kind: JointKind::End,
                            from: Point::new(a, v),
                            to: Point::new(b, v),
                        });
                    }
                }
            }
        }
        joints
    }
}

/// Cuts of one layer: every edge of a piece that is not a factory edge of its sheet, each piece turned by half a turn where that saves
/// sawing \[mm\].
pub(crate) fn cut_length(layer: &DraftLayer, board: &BoardLayer) -> f64 {
    let parts = layer.parts.iter().zip(&layer.places);
    parts.map(|(part, place)| ring::perimeter(&part.ring) - spared(part, place, board)[0]).sum()
}

/// What of a piece's edges lies on edges of its sheet, the better way round: as it is placed, and with the whole sheet laid out the other way
/// across its width \[mm\].
pub(crate) fn spared(part: &Part, place: &Place, board: &BoardLayer) -> [f64; 2] {
    let on_sheet = [
        place.at.x_mm < 1e-6,
        place.at.x_mm + part.width_mm() > board.width_mm - 1e-6,
        place.at.y_mm < 1e-6,
        place.at.y_mm + part.length_mm() > board.length_mm - 1e-6,
    ];
    let edges = [
        edge_on(&part.ring, part.low.x_mm, true),
        edge_on(&part.ring, part.high.x_mm, true),
        edge_on(&part.ring, part.low.y_mm, false),
        edge_on(&part.ring, part.high.y_mm, false),
    ];
    let kept = |sides: [usize; 4]| -> f64 {
        edges.iter().zip(sides).filter(|(_, side)| on_sheet[*side]).map(|(edge, _)| edge).sum()
    };
    let plain = kept([0, 1, 2, 3]).max(kept([1, 0, 3, 2]));
    let other = kept([1, 0, 2, 3]).max(kept([0, 1, 3, 2]));
    [plain, other]
}

fn edge_on(ring_points: &[Point], at: f64, is_u: bool) -> f64 {
    ring::sides(ring_points)
        .filter(|(a, b)| {
            let (p, q) = if is_u { (a.x_mm, b.x_mm) } else { (a.y_mm, b.y_mm) };
            (p - at).abs() < 1e-6 && (q - at).abs() < 1e-6
        })
        .map(|(a, b)| ring::distance(a, b))
        .sum()
}
