//! Places in the lists of a project, and names of catalogue entries known to exist.

use serde::Serialize;

use crate::{
    read::{
        catalogue_names::CatalogueList,
        field::{Field, Slot},
        reading::Reading,
    },
    schema::Shape,
};

macro_rules! place {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        pub struct $name(pub usize);
    };
}

place!(
    /// A corner by its place in [`Survey::corners`](super::Survey::corners), 0 first.
    CornerId
);
place!(
    /// A wall by its place in the ring: wall *i* runs from corner *i* to the next one. Also its place in
    /// [`Project::walls`](super::Project::walls).
    WallId
);
place!(
    /// A build-up by its place in [`Project::buildups`](super::Project::buildups).
    BuildupId
);
place!(
    /// An opening by its place in [`Project::openings`](super::Project::openings).
    OpeningId
);

/// A part of the room's shell that sound goes through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ElementId {
    /// The ceiling and all that is over it.
    Ceiling,
    /// One wall of the ring.
    Wall(WallId),
    /// A window, door or hatch.
    Opening(OpeningId),
}

macro_rules! catalogue_name {
    ($(#[$doc:meta])* $name:ident from $list:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[serde(transparent)]
        pub struct $name(pub(crate) String);

        impl $name {
            /// The id as the catalogue writes it.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl Field for $name {
            fn shape() -> Shape {
                Shape::Catalogue(CatalogueList::$list)
            }

            fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
                CatalogueList::$list.decode(slot, reading).map(Self)
            }
        }
    };
}

catalogue_name!(
    /// A board, door leaf, pane, masonry or membrane of the catalogue.
    MaterialId from Material
);
catalogue_name!(
    /// A board of the catalogue.
    BoardId from Board
);
impl BoardId {
    /// The same entry as a material of a layer.
    pub(crate) fn material(&self) -> MaterialId {
        MaterialId(self.0.clone())
    }
}

impl ClipId {
    /// The same entry as a product of a bridge.
    pub(crate) fn product(&self) -> ProductId {
        ProductId(self.0.clone())
    }
}

catalogue_name!(
    /// A fibre fill of the catalogue.
    FillId from Fill
);
catalogue_name!(
    /// A clip, bar, stud or tie of the catalogue.
    ProductId from Product
);
catalogue_name!(
    /// A furring bar of the catalogue.
    BarId from Bar
);
catalogue_name!(
    /// A clip of the catalogue.
    ClipId from Clip
);
catalogue_name!(
    /// A strength class of timber of the catalogue.
    GradeId from Grade
);
catalogue_name!(
    /// A sound source of the catalogue.
    SourceKindId from Source
);
catalogue_name!(
    /// The spectrum of a sound from outside, of the catalogue.
    OutsideSoundId from OutsideSound
);
catalogue_name!(
    /// The spectrum of a quiet background, of the catalogue.
    BackgroundId from Background
);
catalogue_name!(
    /// A seal round an opening, of the catalogue.
    SealId from Seal
);
catalogue_name!(
    /// A lining of a duct, of the catalogue.
    LiningId from Fill
);
catalogue_name!(
    /// What people do in the room, of the catalogue.
    ActivityId from Activity
);
