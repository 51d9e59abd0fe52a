//! Linings of walls: an independent row of studs, or bars on clips, boards upright, openings left free.
//!
//! Everything is seen from inside the room: `x` runs along the wall from the corner at the left, `y` up from the floor.
//! [`set_out_lining`] gives a [`LiningLayout`], which [`check::check_lining`], sharing no code with it, goes over again.

mod boards;
pub mod check;
mod supports;

use serde::Serialize;

use crate::ceiling::too_wide_for;
use crate::error::SetoutError;
use crate::layout::BegunSheet;
use crate::{BarStock, BoardLayer, Rules};

/// Least distance between the horizontal joints of two layers on a wall \[mm\] (NBS K10/612).
pub const LEVEL_STAGGER_MM: f64 = 600.0;
/// A vertical joint keeps this far from the side of an opening, so that no crack starts at its corner \[mm\] (common practice).
pub const JAMB_CLEAR_MM: f64 = 150.0;
/// Edges nearer than this are one \[mm\].
const EDGE_MM: f64 = 0.01;
/// Most openings of one wall.
const MOST_OPENINGS: usize = 20;

/// One wall to line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lining {
    /// The wall by its corners: `A-B`.
    pub wall: String,
    /// The corner at its left, seen from inside: every `x` counts from it.
    pub left_corner: String,
    /// Length at the face of the lining \[mm\], 500 to 50 000.
    pub length_mm: f64,
    /// Height from the floor to what is over it \[mm\], 1000 to 12 000.
    pub height_mm: f64,
    /// What is left free.
    pub openings: Vec<WallOpening>,
    /// Layers of board, the one on the supports first. One to four.
    pub layers: Vec<BoardLayer>,
    /// What the boards are screwed to.
    pub on: LiningSupport,
    /// The limits; of those of a ceiling the same are kept.
    pub rules: Rules,
}

/// A window, door or hatch in the wall: its clear sides as the lining ends at them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallOpening {
    /// Its name.
    pub name: String,
    /// Near side from the left corner \[mm\].
    pub from_mm: f64,
    /// Far side \[mm\].
    pub to_mm: f64,
    /// Lower edge above the floor \[mm\]; 0 for a door.
    pub sill_mm: f64,
    /// Upper edge above the floor \[mm\].
    pub head_mm: f64,
}

/// What carries the boards of a lining.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LiningSupport {
    /// An independent row of studs between floor and head track, touching the wall nowhere.
    Studs {
        /// Face of a stud the boards bear on \[mm\].
        face_mm: f64,
        /// Largest distance between studs \[mm\].
        gap_mm: f64,
        /// Length studs are sold in \[mm\].
        stock_length_mm: f64,
    },
    /// Bars across the wall on clips.
    Bars {
        /// The bar.
        bar: BarStock,
        /// Upright lines a clip can be screwed to, from the left corner \[mm\]: studs that are there. Empty: anywhere, as
        /// on masonry.
        clip_lines_mm: Vec<f64>,
    },
}

/// Why a support stands where it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SupportReason {
    /// At a corner of the room, the floor or the head.
    Edge,
    /// Under a joint.
    Joint,
    /// Between others.
    Field,
    /// Beside, above or below an opening.
    Opening,
}

/// A stud, or a bar.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SupportLine {
    /// Number, from 1: studs from the left corner, bars from the floor.
    pub number: usize,
    /// Why it is there.
    pub reason: SupportReason,
    /// Its middle: of a stud from the left corner, of a bar above the floor \[mm\].
    pub at_mm: f64,
    /// From: of a stud above the floor, of a bar from the left corner \[mm\].
    pub from_mm: f64,
    /// To \[mm\].
    pub to_mm: f64,
    /// Lengths it is made of, with their laps.
    pub lengths_mm: Vec<f64>,
    /// Clips of a bar, from the left corner \[mm\]; empty for a stud.
    pub clips_mm: Vec<f64>,
}

/// A track, a head over an opening, a sill under one, or a noggin behind a horizontal joint.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CrossPiece {
    /// What it is.
    pub what: String,
    /// Its middle above the floor \[mm\].
    pub at_mm: f64,
    /// From, from the left corner \[mm\].
    pub from_mm: f64,
    /// To \[mm\].
    pub to_mm: f64,
}

/// A piece of board upright on the wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallPiece {
    /// Layer and number: `1-03`.
    pub name: String,
    /// Left side from the left corner \[mm\].
    pub from_mm: f64,
    /// Right side \[mm\].
    pub to_mm: f64,
    /// Lower edge above the floor \[mm\].
    pub foot_mm: f64,
    /// Upper edge \[mm\].
    pub head_mm: f64,
    /// What is cut out of it for openings: from, foot, to, head on the wall \[mm\].
    pub cut_outs_mm: Vec<[f64; 4]>,
    /// A whole board.
    pub whole: bool,
    /// Index into the layer's sheets.
    pub sheet: usize,
    /// Left side of its box on the sheet, and its foot \[mm\].
    pub on_sheet_mm: [f64; 2],
    /// Area \[m²\].
    pub area_m2: f64,
}

/// One layer of board on a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallLayer {
    /// 1 for the layer on the supports.
    pub number: usize,
    /// Material.
    pub material: String,
    /// Pieces from the left corner, from the floor up.
    pub pieces: Vec<WallPiece>,
    /// Upright joints from the left corner \[mm\].
    pub upright_joints_mm: Vec<f64>,
    /// Level joints above the floor, of odd and of even boards \[mm\].
    pub level_joints_mm: [Vec<f64>; 2],
    /// Boards to buy.
    pub sheets: usize,
    /// Every sheet its pieces lie on; where an earlier layer of the same board began one, which.
    pub begun: Vec<Option<BegunSheet>>,
    /// Screws.
    pub screws: usize,
    /// How far apart they go: `300 mm apart at most along every bar`.
    pub screws_told: String,
    /// Length of cut edges to tape \[m\]; 0 for boards that need none.
    pub tape_m: f64,
}

impl WallPiece {
    /// Length of its edges that are sawn, round what is cut out of it with them \[mm\].
    pub fn cut_mm(&self, board: &BoardLayer) -> f64 {
        let (wide, high) = (self.to_mm - self.from_mm, self.head_mm - self.foot_mm);
        let [x, y] = self.on_sheet_mm;
        let at = |a: f64, b: f64| (a - b).abs() < EDGE_MM;
        // Left, foot, right, head: where each lies on the wall, its length, and whether it is an edge of the sheet.
        let sides = [
            (self.from_mm, high, at(x, 0.0)),
            (self.foot_mm, wide, at(y, 0.0)),
            (self.to_mm, high, at(x + wide, board.width_mm)),
            (self.head_mm, wide, at(y + high, board.length_mm)),
        ];
        // Opposite sides change over where a piece is turned end for end: their lengths are alike.
        let mut sawn_mm: f64 = sides.iter().filter(|side| !side.2).map(|side| side.1).sum();
        for cut in &self.cut_outs_mm {
            for (k, (own, (side, _, factory))) in cut.iter().zip(sides).enumerate() {
                let length_mm = if k % 2 == 0 { cut[3] - cut[1] } else { cut[2] - cut[0] };
                if !at(*own, side) {
                    sawn_mm += length_mm;
                } else if !factory {
                    sawn_mm -= length_mm;
                }
            }
        }
        sawn_mm
    }
}

/// A wall lining set out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LiningLayout {
    /// The wall.
    pub wall: String,
    /// The corner at its left, seen from inside: every dimension along the wall counts from it.
    pub left_corner: String,
    /// Length and height \[mm\].
    pub size_mm: [f64; 2],
    /// Where the boards end: left, foot, right, head \[mm\].
    pub boards_mm: [f64; 4],
    /// Openings.
    pub openings: Vec<WallOpening>,
    /// Studs or bars.
    pub supports: Vec<SupportLine>,
    /// Whether the supports are bars on clips.
    pub on_clips: bool,
    /// Tracks, heads, sills, noggins.
    pub cross_pieces: Vec<CrossPiece>,
    /// Layers of board.
    pub layers: Vec<WallLayer>,
    /// Boards to buy, all layers.
    pub boards: usize,
    /// Fewest boards any layout of the family could need.
    pub least_boards: usize,
    /// No layout of the family needs fewer boards.
    pub proved_fewest_boards: bool,
    /// The layouts looked at, in words.
    pub family: String,
    /// Studs or bars to buy, at their stock length.
    pub stock_lengths: usize,
    /// Clips.
    pub clips: usize,
    /// Mass of the boards \[kg\].
    pub mass_kg: f64,
    /// Mass of boards and bars on the clip that carries most \[kg\]; none on studs.
    pub heaviest_clip_kg: Option<f64>,
    /// What the independent check found.
    pub breaches: Vec<crate::check::Breach>,
    /// What the person should know.
    pub notes: Vec<String>,
}

impl WallLayer {
    /// The sheet a piece is cut from: the layer that buys it, and its number there, from 1.
    pub fn sheet_of(&self, piece: &WallPiece) -> BegunSheet {
        let begun = self.begun.get(piece.sheet).copied().flatten();
        begun.unwrap_or(BegunSheet { layer: self.number, sheet: piece.sheet + 1 })
    }
}

impl LiningLayout {
    /// What the check found, in sentences without a full stop: what several parts break alike once, with the names of the others.
    pub fn breaches_told(&self) -> Vec<String> {
        let mut told: Vec<(String, &str, Vec<&str>)> = Vec::new();
        for breach in &self.breaches {
            let rest = breach.sentence.replacen(&breach.what, "", 1);
            match told.iter_mut().find(|(known, ..)| *known == rest) {
                Some((.., others)) => others.push(&breach.what),
                None => told.push((rest, &breach.sentence, Vec::new())),
            }
        }
        let sentence = |(_, first, others): (String, &str, Vec<&str>)| match others.as_slice() {
            [] => first.to_owned(),
            others => format!("{first}; the same of {}", others.join(", ")),
        };
        told.into_iter().map(sentence).collect()
    }
}

/// Sets out the lining of one wall: the fewest boards in the family looked at, all of it looked at, then fewest pieces, then
/// least cut.
///
/// # Errors
/// An input that makes no sense, or limits that no layout meets; the sentence says which and what to do.
pub fn set_out_lining(lining: &Lining) -> Result<LiningLayout, SetoutError> {
    check_input(lining)?;
    let laid = boards::best(lining)?;
    let mut layout = supports::assemble(lining, laid);
    layout.breaches = check::check_lining(lining, &layout);
    Ok(layout)
}

/// Where the boards end: left, foot, right, head \[mm\].
fn edges(lining: &Lining) -> [f64; 4] {
    let gap = lining.rules.perimeter_gap_mm;
    [gap, gap, lining.length_mm - gap, lining.height_mm - gap]
}

fn check_input(lining: &Lining) -> Result<(), SetoutError> {
    let within = |what: &str, value: f64, low: f64, high: f64| {
        if value.is_finite() && (low..=high).contains(&value) {
            Ok(())
        } else {
            Err(SetoutError::input(
                format!("lining of wall {}, {what}", lining.wall),
                format!("{value} is out of range; give {low} to {high} mm"),
            ))
        }
    };
    within("length", lining.length_mm, 500.0, 50_000.0)?;
    within("height", lining.height_mm, 1000.0, 12_000.0)?;
    let rules = &lining.rules;
    for (what, value) in [
        ("rules.perimeter_gap_mm", rules.perimeter_gap_mm),
        ("rules.min_strip_mm", rules.min_strip_mm),
        ("rules.min_piece_mm", rules.min_piece_mm),
        ("rules.stagger_rows_mm", rules.stagger_rows_mm),
        ("rules.stagger_layers_mm", rules.stagger_layers_mm),
        ("rules.kerf_mm", rules.kerf_mm),
        ("rules.bar_end_gap_mm", rules.bar_end_gap_mm),
    ] {
        within(what, value, 0.0, 3000.0)?;
    }
    for (what, value) in [
        ("rules.bar_gap_mm", rules.bar_gap_mm),
        ("rules.clip_gap_mm", rules.clip_gap_mm),
        ("rules.first_bar_mm", rules.first_bar_mm),
        ("rules.end_clip_mm", rules.end_clip_mm),
        ("rules.screw_gap_mm", rules.screw_gap_mm),
        ("rules.min_lap_mm", rules.min_lap_mm),
    ] {
        within(what, value, 10.0, 5000.0)?;
    }
    if lining.layers.is_empty() || lining.layers.len() > 4 {
        return Err(SetoutError::input(
            format!("lining of wall {}", lining.wall),
            "give one to four layers of board",
        ));
    }
    for layer in &lining.layers {
        within("width of a board", layer.width_mm, 300.0, 3000.0)?;
        within("length of a board", layer.length_mm, layer.width_mm, 6000.0)?;
        if let Some(sentence) = too_wide_for(rules.way_in_mm, layer.width_mm, layer.thickness_mm) {
            return Err(SetoutError::input(format!("lining of wall {}", lining.wall), sentence));
        }
        if !(layer.mass_kg_m2.is_finite() && layer.mass_kg_m2 >= 0.0) {
            return Err(SetoutError::input("mass of a board", "it is no number of kg/m²"));
        }
    }
    if lining.openings.len() > MOST_OPENINGS {
        return Err(SetoutError::input(
            format!("lining of wall {}", lining.wall),
            "it has too many openings",
        ));
    }
    for opening in &lining.openings {
        let fits = opening.from_mm >= 0.0
            && opening.to_mm > opening.from_mm
            && opening.to_mm <= lining.length_mm
            && opening.sill_mm >= 0.0
            && opening.head_mm > opening.sill_mm
            && opening.head_mm <= lining.height_mm;
        if !fits {
            return Err(SetoutError::input(
                format!("opening {}", opening.name),
                format!(
                    "it does not lie within wall {} of {:.0} × {:.0} mm; check its place and size",
                    lining.wall, lining.length_mm, lining.height_mm
                ),
            ));
        }
    }
    match &lining.on {
        LiningSupport::Studs { face_mm, gap_mm, stock_length_mm } => {
            within("face of a stud", *face_mm, 20.0, 200.0)?;
            within("distance between studs", *gap_mm, 200.0, 900.0)?;
            within("length of a stud as sold", *stock_length_mm, 1000.0, 12_000.0)?;
            if *stock_length_mm < lining.height_mm {
                return Err(SetoutError::NoLayout {
                    limit: "stock_length_mm".into(),
                    relax_to_mm: Some(lining.height_mm.ceil()),
                    sentence: format!(
                        "wall {} is {:.0} mm high and studs are sold {stock_length_mm:.0} mm long; take studs of {:.0} mm or more, they are not joined",
                        lining.wall,
                        lining.height_mm,
                        lining.height_mm.ceil()
                    ),
                });
            }
            if face_mm / 2.0 < rules.edge_bearing_mm {
                return Err(SetoutError::NoLayout {
                    limit: "edge_bearing_mm".into(),
                    relax_to_mm: Some((face_mm / 2.0).floor()),
                    sentence: format!(
                        "two boards that meet on a stud {face_mm:.0} mm wide bear {:.0} mm each, the limit is {:.0}; take wider studs or lower rules.edge_bearing_mm to {:.0}",
                        face_mm / 2.0,
                        rules.edge_bearing_mm,
                        (face_mm / 2.0).floor()
                    ),
                });
            }
        }
        LiningSupport::Bars { bar, clip_lines_mm } => {
            within("face of a bar", bar.face_width_mm, 20.0, 200.0)?;
            within("length of a bar as sold", bar.stock_length_mm, 2.0 * rules.min_lap_mm + 300.0, 12_000.0)?;
            if clip_lines_mm.iter().any(|x| !x.is_finite()) {
                return Err(SetoutError::input("lines for clips", "one of them is no number of mm"));
            }
        }
    }
    Ok(())
}
