//! Materials, products, timber grades and sounds, each with its source or marked *typical, no source*.
//!
//! Tables only: nothing is parsed or computed when the program runs. Every kind of thing is a type that implements
//! [`Entry`]; every entry has an id made of plain trade words, unique in the whole catalogue, and a [`Basis`].
//!
//! ```
//! let board = catalogue::sheet("dense-plasterboard-15").unwrap();
//! assert!(board.mass_kg_m2() > 12.0);
//! assert!(catalogue::sheets().iter().all(|sheet| sheet.thickness_mm > 0.0));
//! ```

mod activity;
mod covering;
mod door;
mod edition;
mod entry;
mod fill;
mod glass;
mod lookup;
mod masonry;
mod membrane;
mod outdoor_table;
mod sheet;
mod sheet_material;
mod sheet_table;
mod sound;
mod source_table;
mod support;
mod timber_grade;

pub use activity::Activity;
pub use covering::Covering;
pub use door::{Door, Seal, SealPlace};
pub use edition::edition;
pub use entry::{Basis, Entry, Kind, PlateSpread, Vapour};
pub use fill::{Fill, FillFamily};
pub use glass::Glass;
pub use lookup::{find, ids, kind_of, names, nearest_id, unknown_id_sentence};
pub use masonry::{Masonry, MasonryFamily, MasonrySpread};
pub use membrane::{Membrane, MembraneJob};
pub use sheet::{Edge, Format, Sheet, SheetFamily};
pub use sound::{Background, OutdoorSound, Source, SourceQuantity};
pub use support::{Bar, BarFamily, Clip, Stud, StudMaterial, Tie};
pub use timber_grade::TimberGrade;

/// Makes the two functions of a kind: one entry by its id, and all of them.
macro_rules! lookups {
    ($($one:ident, $all:ident: $entry:ident, $what:literal;)*) => {$(
        #[doc = concat!("The ", $what, " of an id, if there is one.")]
        pub fn $one(id: &str) -> Option<&'static $entry> {
            find(id)
        }

        #[doc = concat!("Every ", $what, ", in the order of its table.")]
        pub fn $all() -> &'static [$entry] {
            <$entry as Entry>::all()
        }
    )*};
}

lookups! {
    sheet, sheets: Sheet, "board or other sheet";
    masonry, all_masonry: Masonry, "masonry layer";
    fill, fills: Fill, "fill";
    membrane, membranes: Membrane, "membrane";
    glass, panes: Glass, "pane of glass";
    door, doors: Door, "door leaf";
    seal, seals: Seal, "seal";
    stud, studs: Stud, "stud";
    clip, clips: Clip, "clip";
    bar, bars: Bar, "bar";
    tie, ties: Tie, "wall tie";
    timber_grade, timber_grades: TimberGrade, "timber grade";
    covering, coverings: Covering, "covering";
    source, sources: Source, "source of sound";
    outdoor_sound, outdoor_sounds: OutdoorSound, "outdoor sound";
    background, backgrounds: Background, "background sound";
    activity, activities: Activity, "activity";
}
