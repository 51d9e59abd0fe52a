//! What is known before anything is set out: the room, its joists, the boards, bars and clips, and the rules.

use geometry::Segment;
use quantities::math;
use serde::Serialize;

use crate::Point;

/// Everything the setting out of one ceiling needs.
///
/// Lengths in millimetres in the plane of the ceiling, seen as on the plan. The ring of corners may run either way round.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ceiling {
    /// The corners of the room at ceiling height, in order round the ring; 3 to 40 of them.
    pub corners: Vec<Corner>,
    /// The joists the clips are screwed to. Two at least, all running roughly the same way.
    pub joists: Vec<Joist>,
    /// The layers of board in the order they are fixed: the first is screwed first, the last is seen. One or more.
    pub layers: Vec<BoardLayer>,
    /// The furring bar.
    pub bar: BarStock,
    /// The resilient clip that carries the bars.
    pub clip: ClipKind,
    /// The limits every answer keeps.
    pub rules: Rules,
    /// What comes through the ceiling and keeps the bars away (a hatch, a duct): rings of points. Bars stop at
    /// them and run along either side, boards get a cut-out.
    pub obstructions: Vec<Vec<Point>>,
    /// Gap between the boards and each wall \[mm\], wall by wall from the first corner on; a wall without one keeps
    /// [`Rules::perimeter_gap_mm`]. Walls that go on nearly straight must have the same.
    pub gaps_mm: Vec<f64>,
    /// The corners of the walls themselves, in the order of `corners`, where linings stand before some of them; empty where `corners`
    /// are those of the walls. Joists and noggins reach this far, bars and boards only as far as `corners`.
    pub shell: Vec<Point>,
}

impl Ceiling {
    /// Gap between the boards and a wall, by the place of its first corner \[mm\].
    pub fn gap_mm(&self, wall: usize) -> f64 {
        self.gaps_mm.get(wall).copied().unwrap_or(self.rules.perimeter_gap_mm)
    }

    /// A wall by its corners, from the place of its first one: `A-B`.
    pub fn wall_name(&self, wall: usize) -> String {
        let name =
            |at: usize| self.corners.get(at % self.corners.len().max(1)).map_or("", |c| c.name.as_str());
        format!("{}-{}", name(wall), name(wall + 1))
    }

    /// Gap all round in the mean, each wall by its length \[mm\].
    pub fn mean_gap_mm(&self) -> f64 {
        let ends = self.corners.iter().zip(self.corners.iter().cycle().skip(1));
        let (mut sum, mut whole) = (0.0, 0.0);
        for (wall, (from, to)) in ends.enumerate() {
            let length_mm = from.at.distance_mm(to.at);
            sum += length_mm * self.gap_mm(wall);
            whole += length_mm;
        }
        if whole > 0.0 { sum / whole } else { self.rules.perimeter_gap_mm }
    }
}

/// A named corner of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Corner {
    /// The name written on the wall: `A`.
    pub name: String,
    /// Where it is.
    pub at: Point,
}

/// One joist, or two or three bolted side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Joist {
    /// The name chalked on it: `J4`.
    pub name: String,
    /// One end of its middle line.
    pub from: Point,
    /// The other end of its middle line.
    pub to: Point,
    /// All that clips may hang on it \[kg\]; `None` where that is not known. Of layouts that are otherwise as good as each other in what
    /// is asked for first, one that hangs more on a joist loses.
    pub allowed_kg: Option<f64>,
    /// Width of the whole underside a clip can be screwed to \[mm\], above 0.
    pub width_mm: f64,
    /// Height of the underside at points along it; empty when no level was taken. Between points the height is
    /// interpolated, beyond the first and last it is kept. Points off the middle line are readings of an edge: where there are
    /// some on both sides, the underside is straight from edge to edge.
    pub undersides: Vec<Underside>,
}

/// The widest sheet of a thickness that passes an opening of this height and width \[mm\]: upright, lying, or on the slant.
///
/// On the slant its four corners touch the four sides: w cos a + t sin a = width and w sin a + t cos a = height.
pub fn widest_through_mm([height_mm, width_mm]: [f64; 2], thickness_mm: f64) -> f64 {
    let upright_mm = height_mm.max(width_mm);
    let (mut low, mut high) = (0.0, math::PI / 2.0);
    let between_mm = |angle: f64| {
        let (sine, cosine) = math::sin_cos(angle);
        [
            (width_mm - thickness_mm * sine) / cosine.max(1e-9),
            (height_mm - thickness_mm * cosine) / sine.max(1e-9),
        ]
    };
    // What the width allows grows with the slant, what the height allows falls.
    for _ in 0..60 {
        let angle = f64::midpoint(low, high);
        let [across, up] = between_mm(angle);
        if across < up { low = angle } else { high = angle }
    }
    let [across, up] = between_mm(low);
    upright_mm.max(across.min(up))
}

/// That a sheet does not pass the way in, and what to do; `None` where it does.
pub(crate) fn too_wide_for(way_in_mm: Option<[f64; 2]>, width_mm: f64, thickness_mm: f64) -> Option<String> {
    let [height, width] = way_in_mm?;
    let passes_mm = widest_through_mm([height, width], thickness_mm).floor();
    (width_mm > passes_mm).then(|| {
        format!(
            "a sheet {width_mm:.0} mm wide does not pass a way in of {height:.0} × {width:.0} mm, nor on the slant; cut it to {passes_mm:.0} mm or \
             less before it comes in and enter that as its width, or widen limits.door_lets_through_mm"
        )
    })
}

impl Joist {
    /// Heights of the edge to the left of the middle line, seen from its start, and of the right one beside a point \[mm\]; the same
    /// twice where one line was read, `None` where none was.
    pub fn edges_mm(&self, at: Point) -> Option<[f64; 2]> {
        let line = Segment { from: self.from, to: self.to };
        let side = |reading: &&Underside, sign: f64| line.left_of_mm(reading.at) * sign > OFF_MIDDLE_MM;
        let left: Vec<&Underside> = self.undersides.iter().filter(|r| side(r, 1.0)).collect();
        let right: Vec<&Underside> = self.undersides.iter().filter(|r| side(r, -1.0)).collect();
        if left.is_empty() || right.is_empty() {
            let all: Vec<&Underside> = self.undersides.iter().collect();
            return height_along(line, &all, at).map(|height| [height; 2]);
        }
        Some([height_along(line, &left, at)?, height_along(line, &right, at)?])
    }

    /// Height of the middle of the underside beside a point \[mm\].
    pub fn underside_mm(&self, at: Point) -> Option<f64> {
        self.edges_mm(at).map(|[left, right]| f64::midpoint(left, right))
    }

    /// How much the right edge is higher than the left one beside a point \[mm\], minus lower; 0 where one line was read.
    pub fn cross_rise_mm(&self, at: Point) -> f64 {
        self.edges_mm(at).map_or(0.0, |[left, right]| right - left)
    }
}

/// A reading this far off the middle line is one of an edge \[mm\]: far more than rounding, far less than half a joist.
const OFF_MIDDLE_MM: f64 = 1.0;

/// Height of a line of readings beside a point: between them in proportion, beyond them kept \[mm\].
fn height_along(line: Segment, readings: &[&Underside], at: Point) -> Option<f64> {
    let mut readings: Vec<(f64, f64)> =
        readings.iter().map(|r| (line.running_mm(r.at), r.height_mm)).collect();
    readings.sort_by(|a, b| a.0.total_cmp(&b.0));
    let here = line.running_mm(at);
    let first = readings.first()?;
    if here <= first.0 {
        return Some(first.1);
    }
    for pair in readings.windows(2) {
        if let [a, b] = pair
            && here <= b.0
        {
            let t = if b.0 - a.0 < 1e-9 { 1.0 } else { (here - a.0) / (b.0 - a.0) };
            return Some(a.1 + t * (b.1 - a.1));
        }
    }
    readings.last().map(|r| r.1)
}

/// A level reading brought to a height.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Underside {
    /// Where on the plan.
    pub at: Point,
    /// Height of the underside above whatever all heights are counted from, usually the floor \[mm\].
    pub height_mm: f64,
}

/// A layer of board and the sheet it is cut from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardLayer {
    /// The material's name in the catalogue.
    pub material: String,
    /// Length of a sheet along its bound (long) edges \[mm\].
    pub length_mm: f64,
    /// Width of a sheet \[mm\].
    pub width_mm: f64,
    /// Thickness \[mm\].
    pub thickness_mm: f64,
    /// Mass per area \[kg/m²\].
    pub mass_kg_m2: f64,
    /// Every cut edge must be taped, as sand-filled boards need.
    pub tape_cut_edges: bool,
}

/// The furring bar as sold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarStock {
    /// The product's name in the catalogue.
    pub product: String,
    /// Width of the face the boards bear on \[mm\].
    pub face_width_mm: f64,
    /// Mass per length \[kg/m\].
    pub mass_kg_m: f64,
    /// Length it is sold in \[mm\].
    pub stock_length_mm: f64,
}

/// The resilient clip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClipKind {
    /// The product's name in the catalogue.
    pub product: String,
    /// From the underside of the joist to the back of the first board \[mm\].
    pub drop_mm: f64,
    /// Load the maker allows on one clip \[kg\]; none when the maker's figure is not to hand.
    pub rated_load_kg: Option<f64>,
}

/// One thing a layout had better have few of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Aim {
    /// Sheets bought.
    Boards,
    /// Narrow tapering pieces.
    Slivers,
    /// Pieces.
    Pieces,
    /// Length of cuts.
    Cuts,
    /// Bars.
    Bars,
    /// Clips and noggins.
    Clips,
}

impl Aim {
    /// The order in which layouts are compared where nobody asks for another.
    pub const ALL: [Self; 6] =
        [Self::Boards, Self::Slivers, Self::Pieces, Self::Cuts, Self::Bars, Self::Clips];

    /// In words: `cuts`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Boards => "boards",
            Self::Slivers => "slivers",
            Self::Pieces => "pieces",
            Self::Cuts => "cuts",
            Self::Bars => "bars",
            Self::Clips => "clips",
        }
    }

    /// The whole order: what is asked for first, each once, then the rest as they come in [`Self::ALL`].
    pub fn order(first: &[Self]) -> [Self; 6] {
        let rank = |aim: &Self| first.iter().position(|f| f == aim).unwrap_or(first.len());
        let mut order = Self::ALL;
        order.sort_by_key(rank);
        order
    }
}

/// The limits of a layout. [`Rules::default`] is common practice; take the makers' figures where there are any.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rules {
    /// Widest gap between middles of neighbouring bars \[mm\].
    pub bar_gap_mm: f64,
    /// Bars are set out this much closer than the limit, so that one fixed a little off its mark still keeps it \[mm\]; 0 to
    /// half the limit. Bars already fixed are judged by the limit itself.
    pub bar_gap_spare_mm: f64,
    /// Widest gap between neighbouring clips along a bar \[mm\].
    pub clip_gap_mm: f64,
    /// Farthest the middle of a perimeter bar may stand from the edge of the boards at its wall, or at an opening; and the most that an
    /// end joint may run bare from a bar's end to the next bar or the edge of the boards \[mm\].
    pub first_bar_mm: f64,
    /// Farthest the last clip of a bar may stand from the bar's end \[mm\].
    pub end_clip_mm: f64,
    /// Clear space between the end of a bar and the wall, or the next bar \[mm\].
    pub bar_end_gap_mm: f64,
    /// Gap between the boards and the wall, for flexible sealant \[mm\]. The survey may ask for more.
    pub perimeter_gap_mm: f64,
    /// Narrowest strip of board, measured where the strip is widest \[mm\].
    pub min_strip_mm: f64,
    /// Shortest piece in a strip, measured where it is longest \[mm\].
    pub min_piece_mm: f64,
    /// Least distance between the end joints of neighbouring strips \[mm\].
    pub stagger_rows_mm: f64,
    /// Least distance between parallel joints of one layer and the next \[mm\].
    pub stagger_layers_mm: f64,
    /// Least bearing of a board's end on its bar \[mm\].
    pub edge_bearing_mm: f64,
    /// Widest gap of screws along a bar in the field of a board \[mm\].
    pub screw_gap_mm: f64,
    /// Widest gap of screws at the ends of a board and at the perimeter \[mm\].
    pub screw_gap_edge_mm: f64,
    /// Least distance of a screw from a board's edge \[mm\].
    pub screw_edge_mm: f64,
    /// Least lap of two bars \[mm\].
    pub min_lap_mm: f64,
    /// Least distance along the bars between the laps of neighbouring bars \[mm\].
    pub lap_stagger_mm: f64,
    /// Lost at each cut of a board \[mm\].
    pub kerf_mm: f64,
    /// Step of the packers' thicknesses \[mm\].
    pub packer_step_mm: f64,
    /// The clips may start up to this much above one plane \[mm\], to save packers; 0 brings all into the plane.
    pub flatness_mm: f64,
    /// The plane may fall this steeply \[mm/m\] where that saves packers; 0 is dead level.
    pub fall_mm_per_m: f64,
    /// Clips of neighbouring bars go on different joists where that costs no clip.
    pub stagger_clips: bool,
    /// What layouts are compared by first; the rest follow in the order of [`Aim::ALL`].
    pub prefer: Vec<Aim>,
    /// Height and width of the way in that a sheet must pass \[mm\], if it is tight.
    pub way_in_mm: Option<[f64; 2]>,
}

impl Default for Rules {
    /// Common practice for a heavy resilient ceiling: bars 600, clips 1000, screws 230 and 150 (NBS K10/590), ends
    /// staggered, 8 mm round the edge.
    fn default() -> Self {
        Self {
            bar_gap_mm: 600.0,
            bar_gap_spare_mm: 10.0,
            clip_gap_mm: 1000.0,
            first_bar_mm: 150.0,
            end_clip_mm: 200.0,
            bar_end_gap_mm: 10.0,
            perimeter_gap_mm: 8.0,
            min_strip_mm: 150.0,
            min_piece_mm: 300.0,
            stagger_rows_mm: 300.0,
            stagger_layers_mm: 200.0,
            edge_bearing_mm: 20.0,
            screw_gap_mm: 230.0,
            screw_gap_edge_mm: 150.0,
            screw_edge_mm: 10.0,
            min_lap_mm: 150.0,
            lap_stagger_mm: 300.0,
            kerf_mm: 3.0,
            packer_step_mm: 1.0,
            flatness_mm: 0.0,
            fall_mm_per_m: 0.0,
            stagger_clips: true,
            prefer: Vec::new(),
            way_in_mm: None,
        }
    }
}

/// How long the search may go on. Steps are counted, never seconds: the same budget gives the same layout everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Budget {
    /// Whole layouts tried at most.
    pub steps: u64,
    /// Ways of shifting every strip for itself tried at most, for each place of the long joints of a layer and each count of boards;
    /// 0 leaves the end joints turn and turn about.
    pub shifts: u64,
}

impl Default for Budget {
    /// Some tenth of a second on an ordinary machine for a room of 20 m².
    fn default() -> Self {
        Self { steps: 4_000, shifts: 0 }
    }
}

impl Budget {
    /// Some seconds: every strip shifted for itself, to meet the bound on boards.
    pub fn deep() -> Self {
        Self { steps: 4_000, shifts: 4_000 }
    }
}
