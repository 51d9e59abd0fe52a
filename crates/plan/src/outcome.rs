//! Everything worked out: the plan of one room.
//!
//! A sheet never computes. If a drawing needs a number, it stands here, beside where it came from.

use serde::Serialize;

use bands::Spectrum;

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
    /// The prediction.
    pub prediction: sound::element::Prediction,
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
