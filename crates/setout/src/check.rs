//! An independent check of a finished layout.
//!
//! It takes the finished layout and the ceiling and works everything out again from the points alone. It shares no
//! code with the search, so that a slip there cannot hide here.

use geometry::{Polygon, Segment};
use serde::Serialize;

use crate::layout::{Layer, Piece};
use crate::{Ceiling, Layout, Point};

mod bars;
mod boards;
mod clips;
mod joints;
mod loads;
mod sizes;
mod totals;

/// Widest joint beside boards that are up \[mm\] (NBS K10/612: what filler bridges).
const OPEN_JOINT_MM: f64 = 3.0;
/// In a layer with boards that are up the gap at a wall may be so much wider than planned \[mm\], so much of it must be left, as a share, and
/// joints may keep so much less apart \[mm\] (judgement, no source).
const WIDER_GAP_MM: f64 = 10.0;
const GAP_LEFT: f64 = 0.5;
const LESS_APART_MM: f64 = 10.0;
/// Boards that would lie over one that is up by less are pushed up to it \[mm\]: so unsure is a reading (judgement).
const TAPE_MM: f64 = 1.0;

/// A rule a layout keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// Board ends along the bars lie on a bar over their whole length, with the bearing both sides; the perimeter has its bar.
    EndsOnBars,
    /// No bar gap over the limit.
    BarGap,
    /// No clip gap over the limit, no bar end too far from its clip.
    ClipGap,
    /// No clip over its load, and the loads add up.
    ClipLoad,
    /// Every clip on a timber.
    ClipOnTimber,
    /// Nothing touches a wall, nothing runs into another bar or an obstruction.
    Clear,
    /// Joints of neighbouring strips and of layers that lie on each other keep their distance.
    Stagger,
    /// Pieces cover the ceiling once, without gaps.
    Cover,
    /// Pieces are no smaller than the minimum and come out of the sheets bought.
    CutFromSheets,
    /// Laps long enough and never in line; lengths within the stock.
    Laps,
    /// Packers bring the bars to one plane.
    Packing,
    /// Counts and masses agree with the pieces.
    TakeOff,
    /// Running dimensions lead to the bars.
    Marks,
    /// A reading that fits nothing in the layout.
    Reading,
}

/// A rule broken.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Breach {
    /// The rule.
    pub rule: Rule,
    /// What breaks it: `bar 3`, `piece 2-04`.
    pub what: String,
    /// Where, in the room.
    pub at: Point,
    /// By how much \[mm\], or \[kg\] for a clip's load.
    pub by: f64,
    /// In words.
    pub sentence: String,
}

/// Every breach of the rules in a layout; empty when it keeps them all.
///
/// A layout whose frame or outline is broken gives the breaches found up to there.
pub fn check(ceiling: &Ceiling, layout: &Layout) -> Vec<Breach> {
    check_round(ceiling, layout, &[])
}

/// As [`check`], for a layout round boards that are `up` already, by their names: they hang where they hang. Joints beside them may stand
/// open by what filler bridges (3 mm, NBS K10/612); in their layer the gap at a wall may be up to 10 mm wider than planned, which sealant
/// fills, and narrower down to half of itself, and staggers up to 10 mm less (judgement, no source). Boards that are up and overlap each
/// other by the readings are no matter of the layout: the readings are.
pub fn check_round(ceiling: &Ceiling, layout: &Layout, up: &[String]) -> Vec<Breach> {
    let corners: Vec<Point> = ceiling.corners.iter().map(|c| c.at).collect();
    let Ok(room) = Polygon::new(&corners) else {
        return vec![Breach {
            rule: Rule::Cover,
            what: "room".into(),
            at: layout.frame.origin,
            by: 0.0,
            sentence: "the room is no polygon".into(),
        }];
    };
    let gaps: Vec<f64> = room.edges().map(|side| wall_gap(ceiling, side)).collect();
    let gap = gaps.iter().copied().fold(0.0, f64::max);
    let mut insets = room.inset_each(&gaps);
    insets.sort_by(|a, b| b.area_mm2().total_cmp(&a.area_mm2()));
    let Some(outline) = insets.into_iter().next() else {
        return vec![Breach {
            rule: Rule::Cover,
            what: "outline".into(),
            at: layout.frame.origin,
            by: gap,
            sentence: "the perimeter gap leaves nothing of the room".into(),
        }];
    };
    let mut checked = Checked { ceiling, layout, up, room, outline, breaches: Vec::new() };
    boards::check(&mut checked);
    joints::check(&mut checked);
    bars::check(&mut checked);
    clips::check(&mut checked);
    loads::check(&mut checked);
    totals::check(&mut checked);
    checked.breaches
}

/// The gap that the wall along a side of the room asks for.
fn wall_gap(ceiling: &Ceiling, side: Segment) -> f64 {
    let n = ceiling.corners.len();
    let near = |corner: usize, p: Point| ceiling.corners[corner % n].at.distance_mm(p) < 1e-6;
    let along = |wall: &usize| {
        (near(*wall, side.from) && near(wall + 1, side.to))
            || (near(*wall, side.to) && near(wall + 1, side.from))
    };
    (0..n).find(along).map_or(ceiling.rules.perimeter_gap_mm, |wall| ceiling.gap_mm(wall))
}

/// What the rooms of the check share: the inputs, the shapes worked out again, and what was found.
struct Checked<'a> {
    ceiling: &'a Ceiling,
    layout: &'a Layout,
    /// Names of the boards that are up.
    up: &'a [String],
    room: Polygon,
    outline: Polygon,
    breaches: Vec<Breach>,
}

impl Checked<'_> {
    fn breach(&mut self, rule: Rule, what: impl Into<String>, at: Point, by: f64, sentence: String) {
        self.breaches.push(Breach { rule, what: what.into(), at, by, sentence });
    }

    /// Distance along the bars.
    fn u(&self, p: Point) -> f64 {
        (p - self.layout.frame.origin).dot(self.layout.frame.along)
    }

    /// Distance across the bars.
    fn v(&self, p: Point) -> f64 {
        (p - self.layout.frame.origin).dot(self.layout.frame.across)
    }

    /// Whether a board is up already.
    fn is_up(&self, piece: &Piece) -> bool {
        self.up.contains(&piece.name)
    }

    /// Whether boards of a layer are up already.
    fn has_boards_up(&self, layer: &Layer) -> bool {
        layer.pieces.iter().any(|piece| self.is_up(piece))
    }

    /// Middle line of each bar.
    fn middles(&self) -> Vec<Segment> {
        self.layout.bars.iter().map(|b| Segment { from: b.from, to: b.to }).collect()
    }
}
