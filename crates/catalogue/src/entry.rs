//! What every entry of the catalogue has: an id, a name and where its numbers come from.

use serde::Serialize;

/// Where the numbers of an entry come from.
///
/// Written out as one line of text, see [`Basis::text`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The acoustical, thermal or mechanical data stand in this publication; numbers that do not are named in the
    /// same line.
    Published(&'static str),
    /// Typical of the trade, no source for this entry; the line says what the numbers lean on.
    Typical(&'static str),
}

impl Basis {
    /// The line a sheet prints: the publication, or `typical, no source` with what it leans on.
    ///
    /// ```
    /// use catalogue::Basis;
    /// assert_eq!(Basis::Typical("from memory").text(), "typical, no source: from memory");
    /// ```
    pub fn text(self) -> String {
        match self {
            Self::Published(source) => source.to_owned(),
            Self::Typical("") => "typical, no source".to_owned(),
            Self::Typical(note) => format!("typical, no source: {note}"),
        }
    }

    /// Whether there is a publication behind the entry.
    pub fn is_published(self) -> bool {
        matches!(self, Self::Published(_))
    }
}

impl Serialize for Basis {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text())
    }
}

/// One kind of thing in the catalogue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Boards and other leaf materials that come by the sheet.
    Sheet,
    /// Bricks, blocks, concrete, plaster, render, screed.
    Masonry,
    /// Cavity fills and insulation.
    Fill,
    /// Felts, foils, sheets that count for vapour and weight, not for sound.
    Membrane,
    /// Single panes of glass.
    Glass,
    /// Door leaves.
    Door,
    /// Perimeter gaps and their seals.
    Seal,
    /// Studs.
    Stud,
    /// Resilient clips and hangers.
    Clip,
    /// Furring bars, resilient channels, battens.
    Bar,
    /// Wall ties.
    Tie,
    /// Strength classes of timber.
    TimberGrade,
    /// Roof coverings and other finishes as a load.
    Covering,
    /// Sources of sound in the room.
    Source,
    /// Sounds from outside.
    OutdoorSound,
    /// Background sound outdoors.
    Background,
    /// What people do in the room, for air and moisture.
    Activity,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Self; 17] = [
        Self::Sheet,
        Self::Masonry,
        Self::Fill,
        Self::Membrane,
        Self::Glass,
        Self::Door,
        Self::Seal,
        Self::Stud,
        Self::Clip,
        Self::Bar,
        Self::Tie,
        Self::TimberGrade,
        Self::Covering,
        Self::Source,
        Self::OutdoorSound,
        Self::Background,
        Self::Activity,
    ];

    /// The trade word for one of this kind, as used in sentences: `board`, `pane`, `wall tie`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheet => "board",
            Self::Masonry => "masonry",
            Self::Fill => "fill",
            Self::Membrane => "membrane",
            Self::Glass => "pane",
            Self::Door => "door leaf",
            Self::Seal => "seal",
            Self::Stud => "stud",
            Self::Clip => "clip",
            Self::Bar => "bar",
            Self::Tie => "wall tie",
            Self::TimberGrade => "timber grade",
            Self::Covering => "covering",
            Self::Source => "source of sound",
            Self::OutdoorSound => "outdoor sound",
            Self::Background => "background",
            Self::Activity => "activity",
        }
    }
}

/// What every entry can tell about itself.
pub trait Entry: Sized + Sync + 'static {
    /// The kind of this entry.
    const KIND: Kind;

    /// Plain kebab-case trade words, unique in the whole catalogue.
    fn id(&self) -> &'static str;

    /// A plain name for sheets and sentences.
    fn name(&self) -> &'static str;

    /// Where the numbers come from.
    fn basis(&self) -> Basis;

    /// Every entry of this kind, in the order of the table.
    fn all() -> &'static [Self];
}

/// Makes a table the list of entries of its type.
macro_rules! entries {
    ($table:ident: $entry:ident) => {
        impl crate::Entry for $entry {
            const KIND: crate::Kind = crate::Kind::$entry;

            fn id(&self) -> &'static str {
                self.id
            }

            fn name(&self) -> &'static str {
                self.name
            }

            fn basis(&self) -> crate::Basis {
                self.basis
            }

            fn all() -> &'static [Self] {
                $table
            }
        }
    };
}

pub(crate) use entries;

/// How a material lets water vapour through (EN ISO 10456, EN ISO 12572).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Vapour {
    /// Water vapour resistance factor μ of a material, dry-cup and wet-cup.
    Factor {
        /// μ dry (dry cup): for the heated side of insulated constructions.
        dry: f64,
        /// μ wet (wet cup): for places that stay damp.
        wet: f64,
    },
    /// Equivalent air layer thickness of a thin product as it comes, m.
    AirLayer {
        /// s_d, m.
        sd_m: f64,
    },
}

impl Vapour {
    /// Equivalent air layer thickness `s_d = μ d` with μ dry, m. Thickness in millimetres.
    ///
    /// ```
    /// use catalogue::Vapour;
    /// assert_eq!(Vapour::Factor { dry: 10.0, wet: 4.0 }.sd_dry_m(12.5), 0.125);
    /// ```
    pub fn sd_dry_m(self, thickness_mm: f64) -> f64 {
        match self {
            Self::Factor { dry, .. } => dry * thickness_mm / 1000.0,
            Self::AirLayer { sd_m } => sd_m,
        }
    }

    /// Equivalent air layer thickness `s_d = μ d` with μ wet, m. Thickness in millimetres.
    pub fn sd_wet_m(self, thickness_mm: f64) -> f64 {
        match self {
            Self::Factor { wet, .. } => wet * thickness_mm / 1000.0,
            Self::AirLayer { sd_m } => sd_m,
        }
    }
}

/// How far a plate's properties vary from batch to batch and with the reading one trusts: relative standard
/// uncertainties (0.1 is 10 %).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlateSpread {
    /// Of the density, and so of the mass.
    pub density: f64,
    /// Of Young's modulus.
    pub youngs_modulus: f64,
    /// Of the loss factor.
    pub loss_factor: f64,
}
