//! The choice with everything told about it.

use choose::Certificate;
use serde::Serialize;

/// What to build, what each decibel costs, and what to do next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// Version of this shape of JSON.
    pub format: u32,
    /// The room.
    pub room: String,
    /// Sign or short name of the currency; empty where costs count in square metres of common board.
    pub currency: String,
    /// How sure each limit is to be kept, in a hundred.
    pub sure_percent: f64,
    /// How many ways of building were looked at, over all elements.
    pub candidates: usize,
    /// How many of them no other beats in everything.
    pub left: usize,
    /// The elements with all their candidates.
    pub elements: Vec<ElementCandidates>,
    /// What stands in the file.
    pub today: Built,
    /// The least costly set that keeps every limit; where nothing does, the one that comes nearest at the least cost.
    pub chosen: Option<Built>,
    /// Whether `chosen` keeps every limit; if not, `why_not` says what would have to give.
    pub holds: bool,
    /// Where nothing was found that keeps every limit: whether it is proved that nothing looked at does, in the room as `chosen` leaves it.
    pub none_holds_proved: bool,
    /// What is proved of it, in numbers: of the question whether another set keeps as much for less, in the room as `chosen` leaves it.
    pub certificate: Certificate,
    /// What is proved of it and what remains open, in a sentence or two.
    pub proof: String,
    /// `chosen` planned whole.
    pub verified: Option<Verified>,
    /// The least cost for every margin.
    pub front: Vec<FrontRow>,
    /// Place of the knee in `front`.
    pub knee: Option<usize>,
    /// The least depth below the joists for every margin.
    pub headroom_front: Vec<FrontRow>,
    /// What to do next, one change after another from what stands in the file.
    pub next_steps: Vec<NextStep>,
    /// Where nothing keeps every limit: what each would have to give alone.
    pub why_not: Vec<WhyNot>,
    /// By how much all receivers' limits together would have to give, dB; none where something keeps them.
    pub all_give_db: Option<f64>,
    /// What the choice hangs on.
    pub sensitivity: Vec<Sensitivity>,
    /// Each element's share of the sound at each receiver, before and after.
    pub shares: Vec<ShareRow>,
    /// What to know of all this, a sentence each.
    pub notes: Vec<String>,
}

/// An element and what it could be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ElementCandidates {
    /// Its name.
    pub name: String,
    /// What it could be, as it is first.
    pub candidates: Vec<CandidateRow>,
}

/// One thing an element could be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CandidateRow {
    /// In a few words.
    pub name: String,
    /// What it costs.
    pub cost: f64,
    /// Whether some of that follows the scale rather than a price.
    pub cost_guessed: bool,
    /// The work, a step each.
    pub work: Vec<&'static str>,
    /// How far it hangs below the joists, mm.
    pub drop_mm: f64,
    /// Floor it takes, m².
    pub floor_m2: f64,
    /// What it hangs from the joists, kg/m².
    pub hung_kg_m2: f64,
    /// Heaviest board to be lifted overhead, kg.
    pub lift_kg: f64,
    /// Why it is out of the question; none where it is not.
    pub left_out: Option<String>,
    /// Whether no other beats it in everything.
    pub kept: bool,
}

/// One candidate of each element.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Built {
    /// Element and candidate, in the order of `elements`.
    pub picks: Vec<Pick>,
    /// What it costs.
    pub cost: f64,
    /// Whether some of that follows the scale rather than a price.
    pub cost_guessed: bool,
    /// What it takes of each limit.
    pub uses: Vec<Used>,
    /// What is to spare at each receiver.
    pub margins: Vec<MarginRow>,
}

/// A candidate of an element.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pick {
    /// The element.
    pub element: String,
    /// Place of the candidate among those of the element.
    pub candidate: usize,
    /// Its name.
    pub name: String,
    /// What it costs.
    pub cost: f64,
    /// The work, a step each.
    pub work: Vec<&'static str>,
}

/// What is used of a limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Used {
    /// The limit.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Used.
    pub used: f64,
    /// Allowed.
    pub most: f64,
}

/// What is to spare at a receiver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MarginRow {
    /// The receiver.
    pub receiver: String,
    /// The sound.
    pub source: String,
    /// The criterion.
    pub criterion: String,
    /// To spare as surely as asked, dB; minus: missing.
    pub margin_db: f64,
}

/// A choice planned whole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verified {
    /// What the whole plan has to spare at each receiver.
    pub margins: Vec<MarginRow>,
    /// Concerns the whole plan finds failing that the plan of today does not, a sentence each.
    pub newly_failing: Vec<String>,
    /// Concerns both plans find failing, a sentence each.
    pub still_failing: Vec<String>,
    /// Largest difference between the margins of the choice and those of the whole plan, dB.
    pub off_db: f64,
}

/// A point of a front.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrontRow {
    /// What it costs.
    pub cost: f64,
    /// Depth below the joists, mm.
    pub drop_mm: f64,
    /// The smallest margin, dB.
    pub margin_db: f64,
    /// What changes against the file, `element: candidate`.
    pub changes: Vec<String>,
    /// Whether it is proved.
    pub proved: bool,
}

/// One change.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextStep {
    /// The element.
    pub element: String,
    /// What it becomes.
    pub becomes: String,
    /// What that costs; minus: it saves.
    pub cost: f64,
    /// How much the smallest margin grows, dB.
    pub gain_db: f64,
    /// The smallest margin after it, dB.
    pub margin_db: f64,
}

/// What a limit would have to give.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WhyNot {
    /// The limit.
    pub limit: String,
    /// By how much; none: it alone is not enough.
    pub by: Option<f64>,
    /// Unit of that.
    pub unit: String,
    /// In a sentence.
    pub sentence: String,
}

/// What changes if something else were so.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sensitivity {
    /// If what.
    pub if_so: String,
    /// What the choice then costs, at the prices there are then; none: nothing was found that holds then.
    pub cost: Option<f64>,
    /// Whether that is proved to be the least, or that nothing holds.
    pub proved: bool,
    /// What changes in the choice, `element: candidate`.
    pub changes: Vec<String>,
}

/// The share of an element in what is heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShareRow {
    /// The receiver.
    pub receiver: String,
    /// The sound.
    pub source: String,
    /// The element.
    pub element: String,
    /// Its share of what stands in the file, 0 to 1.
    pub today: f64,
    /// Its share of what is chosen, 0 to 1.
    pub chosen: f64,
}
