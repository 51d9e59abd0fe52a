//! What the person knows and wants: the validated model of a room file.
//!
//! Names of walls, build-ups and openings are resolved to places in the lists of the [`Project`], catalogue ids
//! are known to exist, and every number lies in the range its doc comment states. The key of a field in
//! `room.toml` is the field's own name unless its comment says otherwise.

mod air;
mod as_built;
mod as_proved;
mod buildup;
mod choosing;
mod lining;
mod measurement;
mod names;
mod openings;
mod penetration;
mod rules;
mod sound;
mod stock;
mod structure;
mod survey;
mod title;

pub use air::{Climate, HumidityClass, IndoorClimate, RoomUse};
pub use as_built::{AddedBar, AsBuilt, DoneStep, FixedBar, FixedBoard, FixedClip, HeldPoint, Withdrawn};
pub use as_proved::{AsProved, Fault, FaultKind, FoundFault};
pub use buildup::{
    Bond, Bridge, BridgeKind, Buildup, Cavity, CavityTimbers, ElementFile, ElementGap, ElementSpec, FillGaps,
    Layer, Leaf, LeafKind, Mounting, OwnSheet,
};
pub use choosing::{Choosing, OwnOption};
pub use lining::{Lining, LiningBuilt, LiningKind, LiningLayer};
pub use measurement::{DecayOf, Measured, Measurement, Recorded, RecordedDecay, Stage};
pub use names::{
    ActivityId, BackgroundId, BarId, BoardId, BuildupId, ClipId, CornerId, ElementId, FillId, GradeId,
    LiningId, MaterialId, OpeningId, OutsideSoundId, ProductId, SealId, SourceKindId, WallId,
};
pub use openings::{
    Ceiling, Faces, Gap, GapFilling, GapShape, Opening, OpeningKind, Vent, VentKind, VentWay, Wall,
};
pub use penetration::{Penetrating, Penetration, PenetrationKind};
pub use rules::{Prefer, Rules, SearchDepth};
pub use sound::{Dwelling, Fence, OutsideSound, Place, Receiver, Site, Source};
pub use stock::{Bar, Board, ClipStock, Item, ItemKind, SaleUnit, Stock};
pub use structure::{
    AnnexName, Beam, CutKind, Joist, JoistCut, JoistLoad, JoistOpening, Joists, Roof, RoofKind, Sister,
};
pub use survey::{Bow, Survey, Tape, Tie, TieHeight, Turn};
pub use title::{DatesIn, LengthsIn, Limits, NumbersIn, Paper, Title};

use bands::Readings;
use serde::Serialize;

/// A whole room file, read and checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Project {
    /// Version of the file format; 1.
    pub format: u32,
    /// What stands in the title block, key `project`.
    pub title: Title,
    /// What must not be exceeded.
    pub limits: Limits,
    /// Tapes and levels taken in the room.
    pub survey: Survey,
    /// The roof over the ceiling, if the ceiling is under one.
    pub roof: Option<Roof>,
    /// The timbers over the ceiling, keys `joists` and `joist`.
    pub joists: Option<Joists>,
    /// Every build-up, in the order of the file, key `buildup`.
    pub buildups: Vec<Buildup>,
    /// What the ceiling is built of.
    pub ceiling: Ceiling,
    /// One wall for each side of the ring, in the order of the ring, key `wall`.
    pub walls: Vec<Wall>,
    /// Windows, doors and hatches, key `opening`.
    pub openings: Vec<Opening>,
    /// Linings of walls to set out, key `lining`.
    pub linings: Vec<Lining>,
    /// Air paths through walls, key `vent`.
    pub vents: Vec<Vent>,
    /// Slits and holes that stay after sealing, key `gap`.
    pub gaps: Vec<Gap>,
    /// What goes through elements, or is let into them.
    pub penetrations: Vec<Penetration>,
    /// What is played in the room, key `source`.
    pub sources: Vec<Source>,
    /// Where it must be quiet, key `receiver`.
    pub receivers: Vec<Receiver>,
    /// A fence or wall outside that screens.
    pub fence: Option<Fence>,
    /// Ground and air outside.
    pub site: Site,
    /// What comes in from outside, key `outside_sound`.
    pub outside_sounds: Vec<OutsideSound>,
    /// People and fresh air, key `use`.
    pub room_use: Option<RoomUse>,
    /// Monthly means outside.
    pub climate: Option<Climate>,
    /// Monthly means inside, where they were measured.
    pub indoor_climate: Option<IndoorClimate>,
    /// Rules the setting-out obeys.
    pub rules: Rules,
    /// What can be bought.
    pub stock: Stock,
    /// What is already fixed, as it was found.
    pub as_built: Option<AsBuilt>,
    /// What was measured, key `measurement`.
    pub measurements: Vec<Measurement>,
    /// Levels worked out from the recordings that measurements name; see [`Project::with_levels`].
    pub recorded: Vec<Recorded>,
    /// Decay times worked out from the recordings that measurements name; see [`Project::with_decays`].
    pub recorded_decays: Vec<RecordedDecay>,
    /// What the size of a leak that is tried does not tell.
    #[serde(skip)]
    pub leak_shape: LeakShape,
    /// Faults that measuring has found.
    pub as_proved: Option<AsProved>,
    /// What may be chosen, key `choose`.
    pub choosing: Choosing,
    /// The person's own options, key `option`.
    pub options: Vec<OwnOption>,
}

/// What the size of a leak that measuring has found does not tell: the diagnosis tries several, plans have the usual one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LeakShape {
    /// How deep it goes, m; none: as deep as its part is thick, or a seal's rebate.
    pub depth_m: Option<f64>,
    /// Whether it lies clear of every corner and edge.
    pub free: bool,
    /// Whether a seal that is open is a plain slit, without a rebate or a lip.
    pub plain: bool,
}

impl Project {
    /// The same project with the levels of its recordings, which whoever may open files has worked out.
    #[must_use]
    pub fn with_levels(self, recorded: Vec<Recorded>) -> Self {
        Self { recorded, ..self }
    }

    /// The same project with the decay times of its recordings.
    #[must_use]
    pub fn with_decays(self, recorded_decays: Vec<RecordedDecay>) -> Self {
        Self { recorded_decays, ..self }
    }

    /// Decay times of a measurement, typed or worked out from its recording.
    pub fn decay_of(&self, place: usize) -> Option<&Readings> {
        let typed = self.measurements.get(place).and_then(|one| one.decay_s.as_ref());
        let recorded = || self.recorded_decays.iter().find(|one| one.measurement == place);
        typed.or_else(|| recorded().map(|one| &one.decay_s))
    }

    /// Whether the recording of a measurement gave levels or decay times.
    pub fn is_heard(&self, place: usize) -> bool {
        self.recorded.iter().any(|one| one.measurement == place)
            || self.recorded_decays.iter().any(|one| one.measurement == place)
    }

    /// The recordings that measurements name: place of the measurement, and the measurement.
    pub fn recordings(&self) -> impl Iterator<Item = (usize, &Measurement)> {
        self.measurements.iter().enumerate().filter(|(_, one)| one.file.is_some())
    }

    /// The faults it is planned with.
    pub fn faults(&self) -> impl Iterator<Item = Fault> + '_ {
        self.as_proved.iter().flat_map(|proved| &proved.fault).filter_map(FoundFault::fault)
    }

    /// The build-up of an element of the room.
    pub fn buildup_of(&self, element: ElementId) -> Option<&Buildup> {
        let id = match element {
            ElementId::Ceiling => self.ceiling.buildup,
            ElementId::Wall(wall) => self.walls.get(wall.0)?.buildup,
            ElementId::Opening(opening) => self.openings.get(opening.0)?.buildup,
        };
        self.buildups.get(id.0)
    }

    /// What a person calls an element: `ceiling`, `A-B`, or the opening's own name.
    pub fn element_name(&self, element: ElementId) -> String {
        match element {
            ElementId::Ceiling => "ceiling".to_owned(),
            ElementId::Wall(wall) => self.survey.wall_name(wall),
            ElementId::Opening(opening) => {
                self.openings.get(opening.0).map_or_else(String::new, |o| o.name.clone())
            }
        }
    }
}
