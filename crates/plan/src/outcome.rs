//! Everything worked out: the plan of one room.
//!
//! A sheet never computes. If a drawing needs a number, it stands here, beside where it came from.

use bands::{Band, Ratings, Spectrum};
use serde::Serialize;
use setout::{BarTie, Layout, NogginHold, check::Breach, lining::LiningLayout};
use sound::{predict::Prediction, share::Heard};
use survey::{
    Survey,
    true_opening::{Batten, TrueOpening},
};

use quantities::format::with_unit;

use crate::project::{Limits, PenetrationKind, Title};

mod as_built;
mod fabric;
pub mod heard_words;
mod hold;
mod names;
pub mod proof;
mod wall_gap;

pub use self::as_built::{AsBuiltOutcome, FoundBar, SkippedClip};
pub use self::hold::HoldLimit;
pub use self::names::product_names;
use self::proof::ProofOutcome;
pub use self::wall_gap::WallGap;

pub use self::fabric::{
    BeamOutcome, DeadLoad, FabricOutcome, FanDuty, JoistOpeningOutcome, PlanModes, VentOutcome, WallFabric,
    WarmAlternative,
};

/// The whole plan of one room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Version of this shape of JSON.
    pub format: u32,
    /// What stands in the title block.
    pub title: Title,
    /// What must not be exceeded, as the person stated it.
    pub limits: Limits,
    /// The verdict strip: the single worst number of each concern.
    pub verdicts: Vec<Verdict>,
    /// What is told to the person beside the numbers, worst first.
    pub findings: Vec<Finding>,
    /// The adjusted room.
    pub survey: Survey,
    /// Windows, doors, hatches and air paths in the walls.
    pub openings: Vec<OpeningOutcome>,
    /// The height budget.
    pub heights: Option<Heights>,
    /// Every build-up, drawn in section.
    pub buildups: Vec<BuildupOutcome>,
    /// Bars, clips and boards.
    pub ceiling: CeilingOutcome,
    /// Linings of walls, set out.
    pub linings: Vec<LiningOutcome>,
    /// Battens to walls that bow.
    pub battens: Vec<Batten>,
    /// Every element of the shell, as the sound sees it.
    pub elements: Vec<ElementOutcome>,
    /// What goes through the elements, or is let into them.
    pub penetrations: Vec<PenetrationOutcome>,
    /// The sources as taken.
    pub sources: Vec<SourceOutcome>,
    /// What is heard at each receiver of the loudest source, in the order of the file.
    pub heard: Vec<HeardOutcome>,
    /// Timber, fixings, heat, damp, air and the room inside.
    pub fabric: FabricOutcome,
    /// What was measured, and which fault explains it; none where nothing was measured.
    pub proof: Option<ProofOutcome>,
    /// What to buy.
    pub order: Order,
    /// The build, step by step.
    pub steps: Vec<Step>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Something that goes through a wall, as it is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OpeningOutcome {
    /// Its name.
    pub name: String,
    /// Window, door, hatch or air path.
    pub kind: &'static str,
    /// The wall, by its place in the ring.
    pub wall: usize,
    /// From the wall's first corner to its near edge, mm.
    pub from_corner_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// Lower edge above the floor, mm.
    pub sill_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// How it is brought true; none where no side was read with level or plumb line.
    pub brought_true: Option<TrueOpening>,
}

/// The lining of one wall, or why it is not set out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LiningOutcome {
    /// The wall.
    pub wall: String,
    /// Depth from the wall to the finished face, mm.
    pub depth_mm: f64,
    /// Whether it stands before the ceiling is hung, which then ends at its face.
    pub before_ceiling: bool,
    /// The layout.
    pub layout: Option<LiningLayout>,
    /// What it was set out from.
    #[serde(skip)]
    pub given: Option<setout::lining::Lining>,
    /// Why there is none.
    pub not_planned: Option<String>,
    /// How far the wall behind its clips is from straight, mm, minus where it bulges; `None` where it is straight enough or no clip is on it.
    pub bow_mm: Option<f64>,
}

impl LiningOutcome {
    /// The packer behind a clip at a place from the left corner, mm; `None` where the wall is straight enough.
    ///
    /// The wall is taken for one arc from corner to corner as deep as the reading: `g·4x(l − x)/l²` where it is hollow, the rest of `g`
    /// where it bulges. The clips then start in one plane, that of the corners or of the crown of the bulge.
    pub fn clip_packer_mm(&self, from_left_mm: f64) -> Option<f64> {
        let bow_mm = self.bow_mm?;
        let length_mm = self.layout.as_ref()?.size_mm[0];
        let x = from_left_mm.clamp(0.0, length_mm);
        let arc = bow_mm.abs() * 4.0 * x * (length_mm - x) / (length_mm * length_mm);
        Some(if bow_mm > 0.0 { arc } else { -bow_mm - arc })
    }
}

/// A build-up with its layers, from outside to inside.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BuildupOutcome {
    /// Its id in the file.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether it lies flat (a roof or ceiling) and is drawn from top to bottom.
    pub lies_flat: bool,
    /// Layers from outside to inside.
    pub layers: Vec<SectionLayer>,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Mass without timbers and bars, kg/m².
    pub mass_kg_m2: f64,
    /// Whether resilient clips hang its inner boards.
    pub on_clips: bool,
}

/// How a layer is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawnAs {
    /// Brick or block.
    Masonry,
    /// Plaster, render.
    Plaster,
    /// Gypsum board.
    Plasterboard,
    /// Board filled with sand.
    SandFilled,
    /// Timber or wood-based board.
    Wood,
    /// Glass.
    Glass,
    /// Felt, foil, film.
    Membrane,
    /// Fibre.
    Fibre,
    /// Empty air.
    Air,
    /// Anything else.
    Other,
}

/// One layer in a section.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SectionLayer {
    /// Its name.
    pub name: String,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Mass, kg/m².
    pub mass_kg_m2: f64,
    /// How it is drawn.
    pub drawn: DrawnAs,
    /// Whether timbers cross it (joists, studs): their width and spacing, mm.
    pub timbers_mm: Option<(f64, f64)>,
    /// Where its figures come from.
    pub basis: String,
    /// Place among the layers of the file, from 0: plaster, sheets and the parts of a cavity are drawn apart.
    #[serde(skip)]
    pub of: usize,
}

/// The ceiling set out, or why it is not.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CeilingOutcome {
    /// What was handed to the setting out: joists, boards, rules.
    pub given: Option<setout::Ceiling>,
    /// The layout.
    pub layout: Option<Layout>,
    /// What the independent check found; empty when every rule is kept.
    pub breaches: Vec<Breach>,
    /// Why there is no layout.
    pub not_planned: Option<String>,
    /// What was found already fixed, and what changes for it; `layout` is then the mended one, to go on with.
    pub as_built: Option<AsBuiltOutcome>,
    /// Why the readings of what is fixed are not counted: they belong to another layout. `layout` is then the planned one.
    pub as_built_refused: Option<String>,
    /// Stamp of the planned layout, such as `7KQ2-M4RA`: bars, clips, joints and boards to the millimetre. Readings of what is fixed name it.
    pub stamp: Option<String>,
    /// Stamp of the layout mended round what is fixed, where it differs from the planned one: sheets with another stamp are out of date.
    pub mended_stamp: Option<String>,
    /// What holds the ends of each noggin of the layout.
    pub noggin_holds: Vec<NogginHold>,
    /// Marks of bars on joists, where no wall marks an end.
    pub bar_ties: Vec<BarTie>,
    /// The gap between boards and each wall, in the order of the walls.
    pub wall_gaps: Vec<WallGap>,
    /// Clips taken as bridged by a screw.
    pub bridged_clips: u32,
    /// Why no clip is taken as bridged though some are given so: there are not as many.
    pub bridged_clips_refused: Option<String>,
}

impl CeilingOutcome {
    /// The gap at the walls, `8 mm`, or `8 mm, but 13 mm at wall B–C (…)` where a wall asks for more.
    pub fn gap_words(&self) -> String {
        let least_mm = self.wall_gaps.iter().map(|wall| wall.gap_mm).fold(f64::INFINITY, f64::min);
        if !least_mm.is_finite() {
            return "none".to_owned();
        }
        let wider: Vec<String> =
            self.wall_gaps.iter().filter(|wall| wall.gap_mm > least_mm + 0.5).map(WallGap::words).collect();
        let least = with_unit(least_mm, 0, "mm");
        if wider.is_empty() { least } else { format!("{least}, but {}", wider.join(", ")) }
    }

    /// That clips are bridged, in a sentence without a full stop; none where none are.
    pub fn bridged_words(&self) -> Option<String> {
        let verb = match self.bridged_clips {
            0 => return None,
            1 => "clip is",
            _ => "clips are",
        };
        Some(format!(
            "{}\u{00A0}{verb} bridged by a screw: a fault that is tried here, not built; the numbers of the ceiling have it in them \
             until the room file's bridged_clips is 0",
            self.bridged_clips
        ))
    }
}

/// Something that goes through an element, or is let into it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PenetrationOutcome {
    /// The element it is in, as in [`ElementOutcome::name`].
    pub element: String,
    /// Where it is, in the words of the file.
    pub place: String,
    /// What it is.
    pub kind: PenetrationKind,
    /// How many alike.
    pub count: u32,
    /// Whether it is closed tightly.
    pub sealed: bool,
}

impl PenetrationOutcome {
    /// `2 lamps, over the kit`.
    pub fn what(&self) -> String {
        let (one, many) = match self.kind {
            PenetrationKind::Cable => ("cable", "cables"),
            PenetrationKind::Pipe => ("pipe", "pipes"),
            PenetrationKind::SocketBox => ("socket box", "socket boxes"),
            PenetrationKind::Lamp => ("lamp", "lamps"),
            PenetrationKind::Hatch => ("hatch", "hatches"),
            PenetrationKind::Louvre => ("louvre", "louvres"),
        };
        if self.count == 1 && self.place.to_lowercase().starts_with(one) {
            return self.place.clone();
        }
        let what = if self.count == 1 { one.to_owned() } else { format!("{} {many}", self.count) };
        format!("{what}, {}", self.place)
    }

    /// `2 lamps, over the kit, sealed`.
    pub fn words(&self) -> String {
        format!("{}, {}", self.what(), if self.sealed { "sealed" } else { "left open" })
    }

    /// How it is closed, as an order to the person who does it.
    pub fn how_closed(&self) -> &'static str {
        match self.kind {
            PenetrationKind::Cable | PenetrationKind::Pipe => {
                "soft acoustic sealant all round, on both faces"
            }
            PenetrationKind::SocketBox => "a putty pad round the whole box, its cable sealed",
            PenetrationKind::Lamp => {
                "a closed hood of the maker's over it, rated for the lamp's heat, its edge and cable sealed"
            }
            PenetrationKind::Hatch => "a seal all round the lid, and catches that press it on",
            PenetrationKind::Louvre => "nothing closes it: give it a lined way, or take it out",
        }
    }
}

/// What one receiver hears of one sound.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeardOutcome {
    /// The receiver.
    pub receiver: String,
    /// The source that is heard there.
    pub source: String,
    /// Distance from the nearest wall, m; none indoors.
    pub distance_m: Option<f64>,
    /// The wall or ceiling that the receiver's room shares with this one; none outdoors and in the room itself.
    pub behind: Option<String>,
    /// The result with the share of each element.
    pub heard: Heard,
    /// The criterion by band, dB, where it has one by band (a background less its margin, a noise-rating curve).
    pub criterion_db: Option<Spectrum>,
    /// Level of the background by band, dB, where one is given.
    pub background_db: Option<Spectrum>,
    /// Whether this is the sound the receiver's verdict is taken from.
    pub governs: bool,
}

/// How a check came out. Only these four words are ever used for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The limit is kept, with the uncertainty on the safe side.
    Holds,
    /// The limit lies within the uncertainty of the number.
    Close,
    /// The limit is broken.
    Fails,
    /// Not checked: something is missing, and the verdict says what.
    Open,
}

impl Standing {
    /// The word itself.
    pub fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Close => "close",
            Self::Fails => "fails",
            Self::Open => "open",
        }
    }

    /// What the word means.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Holds => "the limit is kept, with the uncertainty on the safe side",
            Self::Close => "the limit lies within the uncertainty of the number",
            Self::Fails => "the limit is broken",
            Self::Open => "not checked: something is missing, and the line says what",
        }
    }

    /// What stands behind the ± of a verdict.
    pub const RANGES: &'static str =
        "\u{b1} in a verdict: a level is within it four times in five, a length nineteen times in twenty";

    /// All of them, the best first.
    pub const ALL: [Self; 4] = [Self::Holds, Self::Close, Self::Fails, Self::Open];
}

/// One cell of the verdict strip: the single worst number of one concern.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// What it is about, such as `garden fence` or `joists`.
    pub about: String,
    /// The number with its unit, ready to print; `not checked` where open.
    pub figure: String,
    /// The uncertainty, such as `± 3`, where the number is predicted or measured.
    pub uncertainty: Option<String>,
    /// One line of meaning.
    pub meaning: String,
    /// How the check came out.
    pub standing: Standing,
    /// The chapter of the plan that says why: `survey`, `sound`, `ceiling`, `fabric`, `order`.
    pub chapter: &'static str,
}

/// One link of the vertical chain of dimensions, from its lower to its upper level.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeightLink {
    /// What lies between the two levels.
    pub name: String,
    /// Lower level above the floor inside, mm.
    pub from_mm: f64,
    /// Upper level above the floor inside, mm.
    pub to_mm: f64,
    /// Where the number comes from.
    pub note: String,
}

/// The height budget: from the ground outside through the roof, and from the floor to the new ceiling.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Heights {
    /// From the ground up, at the highest point of the roof.
    pub outside: Vec<HeightLink>,
    /// From the floor up, at the lowest joist.
    pub inside: Vec<HeightLink>,
    /// Highest point of the roof above the ground, mm.
    pub roof_top_above_ground_mm: f64,
    /// The height the person may not exceed, mm above the ground.
    pub limit_above_ground_mm: Option<f64>,
    /// What is left under that limit, mm.
    pub left_outside_mm: Option<f64>,
    /// Headroom under the finished ceiling at its lowest, mm.
    pub headroom_mm: f64,
    /// Standard uncertainty of the headroom, mm.
    pub headroom_sd_mm: f64,
    /// The joist whose underside is lowest.
    pub lowest_joist: String,
    /// The least headroom the person accepts, mm.
    pub least_headroom_mm: Option<f64>,
    /// What is left of the headroom, mm.
    pub left_inside_mm: Option<f64>,
    /// What a warm roof (insulation above the deck) would add to the outside, mm, and whether it would fit.
    pub warm_roof: Option<String>,
}

/// One line of the order.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OrderLine {
    /// What to ask for.
    pub what: String,
    /// Size or kind.
    pub detail: String,
    /// How much is used, in `unit`.
    pub needed: f64,
    /// Unit of `needed`.
    pub unit: &'static str,
    /// How many to buy (packs, boards, lengths).
    pub buy: u32,
    /// What one bought thing is, such as `board 2400 × 1200` or `pack of 25`.
    pub sold_as: String,
    /// Mass of all that is bought, kg.
    pub mass_kg: f64,
    /// Mass of the heaviest single thing to carry, kg.
    pub heaviest_kg: f64,
    /// Price of one, if given.
    pub price_each: Option<f64>,
    /// Price of all, if given.
    pub price: Option<f64>,
    /// What to mind.
    pub note: String,
    /// Whether the file has an entry under `[stock]` that takes its price.
    #[serde(skip)]
    pub priced_in_stock: bool,
}

/// The order with its totals.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    /// The lines, in the order they are used.
    pub lines: Vec<OrderLine>,
    /// Mass delivered, kg.
    pub mass_kg: f64,
    /// Sum of all prices given.
    pub price: f64,
    /// How many lines have no price.
    pub lines_without_price: usize,
    /// What the job needs beside this order, in a sentence; none where the order is all of it.
    pub left_out: Option<String>,
    /// Money sign.
    pub currency: String,
    /// The most the person wants to spend.
    pub money: Option<f64>,
}

/// Something to measure before going on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoldPoint {
    /// What to measure.
    pub measure: String,
    /// With what.
    pub with: String,
    /// Within which tolerance.
    pub tolerance: String,
    /// What to do if it is out.
    pub otherwise: String,
    /// The figure it asks for, where one decides.
    pub limit: Option<HoldLimit>,
}

/// One step of the build.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Place in the order, from 1.
    pub number: usize,
    /// What is done.
    pub title: String,
    /// How, in short sentences.
    pub text: Vec<String>,
    /// People needed.
    pub people: u32,
    /// Rough hours for them together at the work (common practice, no source).
    pub hours: f64,
    /// What must be right before the next step.
    pub hold_point: Option<HoldPoint>,
    /// Cautions that belong here.
    pub cautions: Vec<&'static str>,
}

/// One element of the room's shell as the sound sees it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ElementOutcome {
    /// Its name: `ceiling`, `wall B-C`, `window`.
    pub name: String,
    /// The build-up it is made of.
    pub buildup: String,
    /// Area, m².
    pub area_m2: f64,
    /// What lies behind it, as the file says.
    pub faces: &'static str,
    /// The prediction.
    pub prediction: Prediction,
    /// Its single-number ratings.
    pub ratings: Option<Ratings>,
    /// What limits it in each band, in a word, for a table.
    pub limited_by: Vec<(Band, &'static str)>,
}

/// What is told to the person beside the numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// How much it matters.
    pub standing: Standing,
    /// The chapter it belongs to.
    pub chapter: &'static str,
    /// What is so, and what to do.
    pub sentence: String,
}

/// Where a number comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Basis {
    /// What was worked out.
    pub what: String,
    /// By which method and source.
    pub source: String,
}

/// A source of sound as the plan takes it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SourceOutcome {
    /// Its name.
    pub name: String,
    /// Energy-average level in the room, dB.
    pub level_in_room_db: Spectrum,
    /// The same, A-weighted.
    pub level_in_room_dba: f64,
    /// Where the spectrum comes from.
    pub basis: String,
}
