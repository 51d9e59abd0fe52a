//! Which part of the catalogue a key takes its ids from.

use catalogue::Kind;

use crate::{
    project::{BridgeKind, GradeId, LeafKind},
    read::{
        field::{Field, Slot},
        nearest::nearest_few,
        reading::Reading,
        wording::{list_names, shown},
    },
    schema::Shape,
};

/// The word for timber without a stamp.
const UNKNOWN_GRADE: &str = "unknown";

/// Most ids offered for a wrong one.
const NEAR_NAMES: usize = 4;

/// A part of the catalogue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CatalogueList {
    /// Any solid layer.
    Material,
    /// Boards.
    Board,
    /// Boards and door leaves.
    BoardOrDoor,
    /// Masonry.
    Masonry,
    /// Panes.
    Glass,
    /// Membranes and roof coverings.
    Membrane,
    /// Fibre.
    Fill,
    /// Anything that bridges a cavity.
    Product,
    /// Bars and channels.
    Bar,
    /// Clips.
    Clip,
    /// Studs.
    Stud,
    /// Wall ties.
    Tie,
    /// Strength classes of timber.
    Grade,
    /// Sources in the room.
    Source,
    /// Sounds from outside.
    OutsideSound,
    /// Quiet backgrounds.
    Background,
    /// Seals.
    Seal,
    /// What people do.
    Activity,
}

impl CatalogueList {
    /// Its ids, in the order of the catalogue.
    pub fn ids(self) -> Vec<&'static str> {
        let unknown = (self == Self::Grade).then_some(UNKNOWN_GRADE);
        unknown.into_iter().chain(self.kinds().iter().flat_map(|kind| catalogue::ids(*kind))).collect()
    }

    /// What one of it is called in a sentence.
    pub fn word(self) -> &'static str {
        match self {
            Self::Material => "material",
            Self::Board => "board",
            Self::BoardOrDoor => "board or door leaf",
            Self::Masonry => "masonry",
            Self::Glass => "pane",
            Self::Membrane => "membrane or covering",
            Self::Fill => "fibre fill",
            Self::Product => "clip, bar, stud or tie",
            Self::Bar => "bar",
            Self::Clip => "clip",
            Self::Stud => "stud",
            Self::Tie => "wall tie",
            Self::Grade => "timber grade",
            Self::Source => "source of sound",
            Self::OutsideSound => "outdoor sound",
            Self::Background => "background",
            Self::Seal => "seal",
            Self::Activity => "activity",
        }
    }

    /// The list a leaf of some kind takes its material from.
    pub(crate) fn of_leaf(kind: LeafKind) -> Self {
        match kind {
            LeafKind::Board => Self::BoardOrDoor,
            LeafKind::Masonry => Self::Masonry,
            LeafKind::Glass => Self::Glass,
            LeafKind::Membrane => Self::Membrane,
        }
    }

    /// The list a bridge of some kind takes its product from, if there are any.
    pub(crate) fn of_bridge(kind: BridgeKind) -> Option<Self> {
        match kind {
            BridgeKind::TimberStud
            | BridgeKind::SteelStud
            | BridgeKind::StaggeredStuds
            | BridgeKind::DoubleStuds => Some(Self::Stud),
            BridgeKind::ResilientChannel => Some(Self::Bar),
            BridgeKind::Clip => Some(Self::Clip),
            BridgeKind::WallTie => Some(Self::Tie),
            BridgeKind::Dab | BridgeKind::RigidPoint | BridgeKind::CommonFrame | BridgeKind::None => None,
        }
    }

    /// Reads an id of this list and returns it as the catalogue writes it.
    pub(crate) fn decode(self, slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<String> {
        let typed =
            slot.text(reading, &format!("the id of a {} in the catalogue, in quotes", self.word()))?;
        self.resolve(typed, &slot.path, reading)
    }

    /// The id as the catalogue writes it; reports an unknown one.
    pub(crate) fn resolve(self, typed: &str, path: &str, reading: &mut Reading<'_>) -> Option<String> {
        let ids = self.ids();
        if let Some(id) = ids.iter().find(|id| id.eq_ignore_ascii_case(typed.trim())) {
            return Some((*id).to_owned());
        }
        let near = near_names(typed, &ids);
        let other =
            catalogue::kind_of(typed).map(|kind| format!(" That id is of another kind: {}.", kind.word()));
        let of_other_kind = other.is_some();
        let known = format!("Known are {}.", list_names(ids.iter().copied(), 16));
        reading
            .error(
                "unknown-catalogue-id",
                path,
                format!(
                    "The catalogue has no {} `{}`.{}",
                    self.word(),
                    shown(typed),
                    other.unwrap_or_default()
                ),
            )
            .here("not in the catalogue")
            .help(match (near, of_other_kind) {
                (Some(names), _) => format!("Did you mean {names}?"),
                (None, true) => format!("Choose a {}, or check the `kind` beside it.", self.word()),
                (None, false) => known,
            });
        None
    }

    fn kinds(self) -> &'static [Kind] {
        match self {
            Self::Material => {
                &[Kind::Sheet, Kind::Door, Kind::Masonry, Kind::Glass, Kind::Membrane, Kind::Covering]
            }
            Self::Board => &[Kind::Sheet],
            Self::BoardOrDoor => &[Kind::Sheet, Kind::Door],
            Self::Masonry => &[Kind::Masonry],
            Self::Glass => &[Kind::Glass],
            Self::Membrane => &[Kind::Membrane, Kind::Covering],
            Self::Fill => &[Kind::Fill],
            Self::Product => &[Kind::Clip, Kind::Bar, Kind::Stud, Kind::Tie],
            Self::Bar => &[Kind::Bar],
            Self::Clip => &[Kind::Clip],
            Self::Stud => &[Kind::Stud],
            Self::Tie => &[Kind::Tie],
            Self::Grade => &[Kind::TimberGrade],
            Self::Source => &[Kind::Source],
            Self::OutsideSound => &[Kind::OutdoorSound],
            Self::Background => &[Kind::Background],
            Self::Seal => &[Kind::Seal],
            Self::Activity => &[Kind::Activity],
        }
    }
}

/// `a`, `b` or `c`: the ids that may be meant. One letter wrong has one answer; a size that is not sold has several.
fn near_names(typed: &str, ids: &[&str]) -> Option<String> {
    let near = nearest_few(typed, ids.iter().copied(), NEAR_NAMES);
    let (first, rest) = near.split_first()?;
    let letters = |id: &str| {
        let mut letters: Vec<char> = id.chars().collect();
        letters.sort_unstable();
        letters
    };
    // Only swapped: no other size was meant.
    if letters(first) == letters(typed) {
        return Some(format!("`{first}`"));
    }
    let without_size = |id: &str| id.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').to_owned();
    let sizes: Vec<String> = rest
        .iter()
        .filter(|_| without_size(first) == without_size(typed) && typed != without_size(typed))
        .filter(|id| without_size(id) == without_size(first))
        .map(|id| format!("`{id}`"))
        .collect();
    Some(match sizes.split_last() {
        None => format!("`{first}`"),
        Some((last, [])) => format!("`{first}` or {last}"),
        Some((last, between)) => format!("`{first}`, {} or {last}", between.join(", ")),
    })
}

/// An id as typed, to be looked up once the kind beside it is known.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct TypedMaterial(pub(crate) String);

impl Field for TypedMaterial {
    fn shape() -> Shape {
        Shape::Catalogue(CatalogueList::Material)
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        slot.text(reading, "the id of a material in the catalogue, in quotes")
            .map(|text| Self(text.to_owned()))
    }
}

/// An id as typed, to be looked up once the kind beside it is known.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct TypedProduct(pub(crate) String);

impl Field for TypedProduct {
    fn shape() -> Shape {
        Shape::Catalogue(CatalogueList::Product)
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        slot.text(reading, "the id of a product in the catalogue, in quotes")
            .map(|text| Self(text.to_owned()))
    }
}

/// A strength class, or none for timber without a stamp.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct GradeOrUnknown(pub(crate) Option<GradeId>);

impl Field for GradeOrUnknown {
    fn shape() -> Shape {
        Shape::Catalogue(CatalogueList::Grade)
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let id = CatalogueList::Grade.decode(slot, reading)?;
        Some(Self((id != UNKNOWN_GRADE).then_some(GradeId(id))))
    }
}
