//! What comes out: every bar, clip, joint and piece, with the marks that put them there.

use geometry::Plane;
use quantities::format::with_unit;
use serde::Serialize;

use crate::check::Breach;
use crate::packing::TWIST_MM;
use crate::worth::Worth;
use crate::{Ceiling, Point};

/// A finished layout. Points are in the room's own millimetres.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Layout {
    /// How the bars lie in the room.
    pub frame: Frame,
    /// Edge of the boards: the room less the perimeter gap, anticlockwise.
    pub outline: Vec<Point>,
    /// Every bar, perimeter bars included, in order across the room.
    pub bars: Vec<Bar>,
    /// Every clip, bar by bar from its first end.
    pub clips: Vec<Clip>,
    /// Short timbers between joists, or walls, that carry a clip where no joist is near.
    pub noggins: Vec<Noggin>,
    /// The layers of board in the order they are fixed.
    pub layers: Vec<Layer>,
    /// Running dimensions along each wall.
    pub marks: Vec<WallMarks>,
    /// What the clips put on each joist.
    pub joist_loads: Vec<JoistLoad>,
    /// Stock bars and what is cut from each.
    pub bar_cutting: Vec<StockBar>,
    /// The plane of the bars and the packing; none without level readings.
    pub level: Option<Level>,
    /// What to buy and what it weighs.
    pub take_off: TakeOff,
    /// How good the layout is, for comparing layouts.
    pub worth: Worth,
    /// Fewest boards any layout of the family could need, layer by layer.
    pub least_boards: Vec<usize>,
    /// Fewest boards of all layers together that any layout of the family could need: the layers' long joints keep apart.
    pub least_boards_together: usize,
    /// The boards bought meet that bound: no layout of the family needs fewer.
    pub proved_fewest_boards: bool,
    /// The layouts the bound speaks of, in words.
    pub family: String,
    /// Whole layouts tried.
    pub steps: u64,
    /// What the person should know though no rule is broken.
    pub notes: Vec<String>,
    /// What the independent check found; empty in a sound layout.
    pub breaches: Vec<Breach>,
}

/// The frame of the layout: `u` runs along the bars, `v` across them, both from `origin`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Frame {
    /// Name of the corner the running dimensions start from.
    pub corner: String,
    /// Where `u` and `v` are zero.
    pub origin: Point,
    /// Unit vector along the bars.
    pub along: Point,
    /// Unit vector across the bars, a quarter turn anticlockwise from `along`.
    pub across: Point,
}

impl Frame {
    /// The room point at `u`, `v`.
    pub fn room_from_frame(&self, u_mm: f64, v_mm: f64) -> Point {
        Point::new(
            self.origin.x_mm + u_mm * self.along.x_mm + v_mm * self.across.x_mm,
            self.origin.y_mm + u_mm * self.along.y_mm + v_mm * self.across.y_mm,
        )
    }

    /// `u` and `v` of a room point, as a point.
    pub fn frame_from_room(&self, p: Point) -> Point {
        let (dx, dy) = (p.x_mm - self.origin.x_mm, p.y_mm - self.origin.y_mm);
        Point::new(dx * self.along.x_mm + dy * self.along.y_mm, dx * self.across.x_mm + dy * self.across.y_mm)
    }
}

/// Why a bar is where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BarReason {
    /// Along a wall.
    Perimeter,
    /// Under an end joint.
    Joint,
    /// Between others, so that no gap is over the limit.
    Field,
}

/// One bar from end to end, laps and all.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bar {
    /// Number in order across the room, from 1.
    pub number: usize,
    /// Why it is there.
    pub reason: BarReason,
    /// The wall it runs along (index of the wall's first corner), for a perimeter bar.
    pub wall: Option<usize>,
    /// One end of its middle line.
    pub from: Point,
    /// The other end of its middle line.
    pub to: Point,
    /// Length from end to end \[mm\].
    pub length_mm: f64,
    /// Lengths it is made of, in order from `from`.
    pub lengths: Vec<BarLength>,
    /// Laps, in order from `from`.
    pub laps: Vec<Lap>,
}

/// One length of bar, between an end or a lap and the next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BarLength {
    /// From the bar's first end \[mm\].
    pub from_mm: f64,
    /// From the bar's first end \[mm\].
    pub to_mm: f64,
    /// Index into [`Layout::bar_cutting`].
    pub stock: usize,
}

/// Where two lengths of one bar overlap.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Lap {
    /// From the bar's first end to the lap's beginning \[mm\].
    pub from_mm: f64,
    /// From the bar's first end to the lap's finish \[mm\].
    pub to_mm: f64,
    /// Middle of the lap.
    pub at: Point,
}

/// What a clip is screwed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Support {
    /// Index into the ceiling's joists.
    Joist(usize),
    /// Index into [`Layout::noggins`].
    Noggin(usize),
}

/// One clip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Clip {
    /// Number, from 1.
    pub number: usize,
    /// Index into [`Layout::bars`].
    pub bar: usize,
    /// From the bar's first end \[mm\].
    pub along_mm: f64,
    /// Where it is.
    pub at: Point,
    /// What it is screwed to.
    pub on: Support,
    /// Boards and bar it carries, by its own share of the ceiling \[kg\].
    pub load_kg: f64,
    /// Ceiling it carries \[m²\].
    pub area_m2: f64,
    /// Packing between timber and clip \[mm\]; none without level readings.
    pub packer_mm: Option<f64>,
}

impl Clip {
    /// Its packer at the low and at the high edge of a twisted joist \[mm\]; `None` where one thickness does.
    pub fn packer_edges_mm(&self, ceiling: &Ceiling) -> Option<[f64; 2]> {
        let Support::Joist(joist) = self.on else { return None };
        let rise_mm = ceiling.joists.get(joist)?.cross_rise_mm(self.at).abs();
        let middle_mm = self.packer_mm?;
        let edge = |sign: f64| (middle_mm + sign * rise_mm / 2.0).max(0.0);
        (rise_mm >= TWIST_MM).then(|| [edge(-1.0), edge(1.0)])
    }
}

/// A short timber between two joists, between a joist and a wall, or between two walls near each other, level with the joists' undersides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Noggin {
    /// Number, from 1.
    pub number: usize,
    /// Middle of the clip it carries.
    pub at: Point,
    /// Joists (index) it is fixed to: one when the other end is at a wall, none when both are.
    pub joists: Vec<usize>,
    /// Length to cut, clear between the joists or to the wall \[mm\].
    pub length_mm: f64,
    /// Why it is needed.
    pub why: String,
}

/// Which way a joint runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum JointKind {
    /// Ends of two boards meet on a bar.
    End,
    /// Bound edges of two boards meet, across the bars.
    Long,
}

/// A joint between two pieces of one layer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Joint {
    /// Which way it runs.
    pub kind: JointKind,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Both boards beside it are up already: nothing is marked for it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub hung: bool,
}

/// One laid layer of board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Layer {
    /// 1 for the layer fixed first.
    pub number: usize,
    /// Material of the boards.
    pub material: String,
    /// Pieces, strip by strip.
    pub pieces: Vec<Piece>,
    /// Joints.
    pub joints: Vec<Joint>,
    /// Sheets its pieces are cut from.
    pub sheets: Vec<Sheet>,
    /// All cuts at a piece's edge \[mm\].
    pub cut_length_mm: f64,
}

/// A sheet and the pieces of one layer that are cut from it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// Number within the layer, from 1.
    pub number: usize,
    /// Indices into the layer's pieces.
    pub pieces: Vec<usize>,
    /// The sheet of an earlier layer of the same board that these pieces are cut from: bought and counted there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub begun: Option<BegunSheet>,
    /// Area no layer uses \[m²\]; 0 for a sheet that an earlier layer began, it is told there.
    pub left_over_m2: f64,
}

/// A sheet of an earlier layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct BegunSheet {
    /// Number of that layer, from 1.
    pub layer: usize,
    /// Number of the sheet in that layer, from 1.
    pub sheet: usize,
}

impl Layer {
    /// The sheet a piece is cut from: the number of the layer that buys it, and its number in that layer.
    pub fn sheet_of(&self, piece: &Piece) -> Option<BegunSheet> {
        let sheet = self.sheets.get(piece.sheet)?;
        Some(sheet.begun.unwrap_or(BegunSheet { layer: self.number, sheet: sheet.number }))
    }
    /// Names of its pieces that are cut from one of its sheets: `2-03, 2-04`.
    pub fn names_on(&self, sheet: &Sheet) -> String {
        let pieces = sheet.pieces.iter().filter_map(|&at| self.pieces.get(at));
        pieces.map(|piece| piece.name.as_str()).collect::<Vec<_>>().join(", ")
    }

    /// Sheets bought for this layer: those of its pieces that no earlier layer began.
    pub fn bought(&self) -> usize {
        self.sheets.iter().filter(|sheet| sheet.begun.is_none()).count()
    }
}

/// Every piece cut from a sheet of a layer, the layer's own first, then those of later layers; none where an earlier layer began it.
pub fn cut_from<'a>(layers: &'a [Layer], layer: &'a Layer, sheet: &'a Sheet) -> Vec<&'a Piece> {
    if sheet.begun.is_some() {
        return Vec::new();
    }
    let this = BegunSheet { layer: layer.number, sheet: sheet.number };
    let own = sheet.pieces.iter().filter_map(|&at| layer.pieces.get(at));
    let shared = layers.iter().flat_map(|other| {
        let sheets = other.sheets.iter().filter(|s| s.begun == Some(this));
        sheets.flat_map(|s| &s.pieces).filter_map(|&at| other.pieces.get(at))
    });
    own.chain(shared).collect()
}

impl Layout {
    /// As [`cut_from`], of this layout's layers.
    pub fn cut_from<'a>(&'a self, layer: &'a Layer, sheet: &'a Sheet) -> Vec<&'a Piece> {
        cut_from(&self.layers, layer, sheet)
    }
}

/// How a piece's edge came to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeMade {
    /// Edge of the sheet as it left the factory.
    Factory,
    /// Cut on site.
    Cut,
}

/// What a piece's edge meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeMeets {
    /// The perimeter gap at a wall.
    Wall,
    /// The end of the next piece in the strip, on a bar.
    EndJoint,
    /// The next strip.
    LongJoint,
}

/// One edge of a piece, from a corner to the next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Edge {
    /// Length \[mm\].
    pub length_mm: f64,
    /// Factory or cut.
    pub made: EdgeMade,
    /// What it meets.
    pub meets: EdgeMeets,
}

/// One piece of board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Piece {
    /// Layer and number: `1-07`.
    pub name: String,
    /// Layer, from 1.
    pub layer: usize,
    /// Strip it lies in, from 1.
    pub strip: usize,
    /// Outline in the room, anticlockwise.
    pub outline: Vec<Point>,
    /// Edges: the first runs from the first point of the outline to the second.
    pub edges: Vec<Edge>,
    /// Cut-outs for what comes through the ceiling, in the room.
    pub cut_outs: Vec<Vec<Point>>,
    /// Greatest size across the sheet \[mm\].
    pub width_mm: f64,
    /// Greatest size along the sheet \[mm\].
    pub length_mm: f64,
    /// A whole sheet, uncut.
    pub whole: bool,
    /// Larger than its sheet: it cannot be cut. Only beside what is fixed out of place; it stands in the breaches.
    pub too_large: bool,
    /// Index into the layer's sheets.
    pub sheet: usize,
    /// Corners on the sheet: x across its width, y along its length, from one of its factory corners, seen from the
    /// face as it hangs \[mm\]. The same order as `outline`.
    pub on_sheet: Vec<Point>,
    /// Area \[m²\].
    pub area_m2: f64,
    /// Mass \[kg\].
    pub mass_kg: f64,
    /// Cuts that make it \[mm\].
    pub cut_length_mm: f64,
    /// Cut edges to tape \[mm\]; 0 where the board needs none.
    pub tape_mm: f64,
    /// Screws.
    pub screws: usize,
}

/// What a mark stands for.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkFor {
    /// Middle of a bar (its number).
    Bar(usize),
    /// Row of clips on a joist (its index), where the joist's line meets the wall.
    ClipRow(usize),
    /// Long joint of a layer (from 1).
    LongJoint(usize),
    /// End joint of a layer (from 1).
    EndJoint(usize),
    /// Side of what comes through the ceiling (from 1, in the order given), drawn on to the wall.
    Opening(usize),
}

/// One mark on a wall plate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// Running dimension along the wall from the named corner \[mm\].
    pub at_mm: f64,
    /// What it stands for.
    pub of: MarkFor,
    /// In words: `bar 3, end joint of layer 2`.
    pub what: String,
}

impl Mark {
    /// Numbers of the bars marked here, the one the mark is snapped for first; more than one where two bars meet the wall at one place.
    pub fn bars(&self) -> impl Iterator<Item = usize> {
        self.what.split(", ").filter_map(|word| word.strip_prefix("bar ")?.parse().ok())
    }

    /// Whether a bar is marked here, alone or with something else.
    pub fn is_of_bar(&self, number: usize) -> bool {
        self.of == MarkFor::Bar(number) || self.bars().any(|bar| bar == number)
    }
}

/// The marks of one wall, all measured from one corner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallMarks {
    /// The wall by its corners: `A-B`.
    pub wall: String,
    /// The corner every dimension starts from.
    pub from_corner: String,
    /// Length of the wall \[mm\].
    pub length_mm: f64,
    /// Marks in rising order.
    pub marks: Vec<Mark>,
}

/// One point load on a joist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct JoistLoad {
    /// Index into the ceiling's joists.
    pub joist: usize,
    /// From the joist's first end \[mm\].
    pub at_mm: f64,
    /// Load of the clip, or the share of a noggin's clip \[kg\].
    pub load_kg: f64,
}

/// One stock bar and what is cut from it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StockBar {
    /// Number, from 1.
    pub number: usize,
    /// Lengths to cut, with the number of the bar they belong to.
    pub cuts: Vec<BarCut>,
    /// Left over \[mm\].
    pub left_over_mm: f64,
}

/// One length cut from a stock bar.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BarCut {
    /// Number of the bar.
    pub bar: usize,
    /// Length \[mm\].
    pub length_mm: f64,
}

/// The plane the packers bring the bars to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Level {
    /// Lowest underside of a joist over the room \[mm\].
    pub lowest_underside_mm: f64,
    /// Joist (index) the plane touches: the lowest, where the plane is level.
    pub lowest_joist: usize,
    /// The plane no clip starts below, in the heights and the plan of the ceiling.
    pub plane: Plane,
    /// Its steepest fall \[mm/m\]; 0 where it is level.
    pub fall_mm_per_m: f64,
    /// Clips start in it or up to this much above \[mm\].
    pub flatness_mm: f64,
    /// Length of the block that just passes between any joist and the back of the boards \[mm\].
    pub spacer_block_mm: f64,
    /// Height of the finished face at its lowest corner \[mm\].
    pub face_mm: f64,
    /// Thickest packing \[mm\].
    pub thickest_packer_mm: f64,
    /// All packers together \[mm\].
    pub packing_mm: f64,
    /// What they would come to in one plane dead level \[mm\].
    pub packing_dead_level_mm: f64,
}

impl Level {
    /// How the bars hang, in a sentence; `joist` is the name of the one the plane touches.
    pub fn sentence(&self, joist: &str) -> String {
        let block = with_unit(self.spacer_block_mm, 0, "mm");
        let (band, fall) = (self.flatness_mm > 0.0, self.fall_mm_per_m > 0.0);
        if !band && !fall {
            return format!(
                "Spacer block {block}: it just passes between the lowest joist ({joist}) and the back of the boards."
            );
        }
        let plane = match (band, fall) {
            (true, true) => format!(
                "Clips start in a plane that falls {} or up to {} above it",
                with_unit(self.fall_mm_per_m, 1, "mm/m"),
                with_unit(self.flatness_mm, 1, "mm")
            ),
            (true, false) => {
                format!(
                    "Clips start in one level plane or up to {} above it",
                    with_unit(self.flatness_mm, 1, "mm")
                )
            }
            _ => format!("Clips start in one plane that falls {}", with_unit(self.fall_mm_per_m, 1, "mm/m")),
        };
        format!(
            "{plane}, under {joist} nearest: packers of {} in all, where a plane dead level takes {}. Spacer block {block}: it passes \
             between every joist and the back of the boards.",
            with_unit(self.packing_mm, 0, "mm"),
            with_unit(self.packing_dead_level_mm, 0, "mm")
        )
    }
}

/// Count of one thickness of packer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PackerCount {
    /// Thickness \[mm\].
    pub thickness_mm: f64,
    /// How many.
    pub count: usize,
}

/// Boards of one layer to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardCount {
    /// Layer, from 1.
    pub layer: usize,
    /// Material.
    pub material: String,
    /// Sheets to buy.
    pub sheets: usize,
    /// Pieces they make.
    pub pieces: usize,
    /// Screws of this layer.
    pub screws: usize,
    /// Mass of one whole sheet \[kg\].
    pub sheet_mass_kg: f64,
    /// Mass hung \[kg\].
    pub mass_kg: f64,
    /// Cut edges to tape \[m\].
    pub tape_m: f64,
}

/// What to buy and what hangs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TakeOff {
    /// Boards by layer.
    pub boards: Vec<BoardCount>,
    /// Bars from end to end.
    pub bars: usize,
    /// Length of all bars, laps counted twice \[m\].
    pub bar_length_m: f64,
    /// Stock bars to buy.
    pub stock_bars: usize,
    /// Clips.
    pub clips: usize,
    /// Noggins.
    pub noggins: usize,
    /// Screws of all layers.
    pub screws: usize,
    /// Perimeter of the boards, to seal for every layer \[m\].
    pub perimeter_m: f64,
    /// Tape for cut edges \[m\].
    pub tape_m: f64,
    /// Packers, thinnest first.
    pub packers: Vec<PackerCount>,
    /// Area of the ceiling to the edge of the boards \[m²\].
    pub area_m2: f64,
    /// Boards and bars that hang from the clips \[kg\].
    pub mass_kg: f64,
    /// The same by area \[kg/m²\].
    pub mass_kg_m2: f64,
    /// Heaviest clip \[kg\].
    pub heaviest_clip_kg: f64,
}
