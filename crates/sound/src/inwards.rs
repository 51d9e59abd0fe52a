//! From outdoors, or from the room next door, into a room.
//!
//! Outdoor sound by EN 12354-3:2000: every element of every façade that is exposed, in each band. Sound to an
//! adjoining dwelling by the separating element with a stated allowance for flanking.

use bands::{Band, Spectrum};
use quantities::math;
use serde::Serialize;

use crate::{
    absorption::Absorption,
    composite::{Part, total_area_m2},
    criterion::Criterion,
    en_12354_3_2000::{FacadeShape, LevelPlace, indoor_level_db},
    flanking::FlankingAllowance,
    paths::SoundPaths,
    ranged::RangedSpectrum,
    room_error::RoomError,
    sampled::{Contribution, Listening, hear},
    share::Heard,
};

/// Standard deviation of EN 12354-3 predictions from good element data, dB (clause 5: about 1.5 dB in the single
/// number; value from memory).
pub const FACADE_DEVIATION_DB: f64 = 1.5;
/// Standard deviation of a prediction between rooms, dB (EN 12354-1:2000, clause 5: 1.5 to 2.5 dB; value from memory).
pub const PARTITION_DEVIATION_DB: f64 = 2.0;

/// Sound outdoors: traffic, aircraft, a neighbour.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutdoorSound {
    /// What makes it.
    pub name: String,
    /// Level with its spread, dB.
    pub level: RangedSpectrum,
    /// Where that level holds.
    pub place: LevelPlace,
}

/// One side of the building with the elements and leaks in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Facade {
    name: String,
    parts: Vec<Part>,
    shape: FacadeShape,
    sheltered_db: f64,
}

impl Facade {
    /// From its parts, its shape and how much less sound reaches it than the stated level, dB (0 for the side that
    /// faces the source; −10 to 60).
    ///
    /// No parts, or an impossible shelter, give a sentence.
    pub fn new(
        name: &str,
        parts: Vec<Part>,
        shape: FacadeShape,
        sheltered_db: f64,
    ) -> Result<Self, RoomError> {
        RoomError::in_range(name, "the shelter", sheltered_db, "dB", (-10.0, 60.0))?;
        if parts.is_empty() {
            return Err(RoomError::NothingLetsThrough { what: name.to_owned() });
        }
        Ok(Self { name: name.to_owned(), parts, shape, sheltered_db })
    }

    /// Its parts.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }
}

/// A room that must be quiet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuietRoom {
    /// Its name.
    pub name: String,
    /// Its absorption.
    pub absorption: Absorption,
    /// What its level is held against.
    pub criterion: Option<Criterion>,
}

/// What is heard in a room of a sound outdoors, over all façades given.
///
/// Each part adds `L1,2m − R − ΔLfs + 10 lg(S/A)`, a small element `L1,2m − Dn,e − ΔLfs + 10 lg(A0/A)`. No façade,
/// or two parts of one name, give a sentence.
pub fn heard_indoors(facades: &[Facade], sound: &OutdoorSound, room: &QuietRoom) -> Result<Heard, RoomError> {
    let contributions = indoor_contributions(facades, sound.place, room);
    let listening = Listening {
        receiver: &room.name,
        way_deviation_db: FACADE_DEVIATION_DB,
        contributions: &contributions,
        notes: vec![
            "diffuse field in the room; sound along the structure from one façade to the next is not in it"
                .to_owned(),
        ],
    };
    hear(&listening, &sound.level, room.criterion.as_ref())
}

/// By which ways a sound outdoors reaches a room, and how sure that is: [`heard_indoors`] without a sound. The same errors.
pub fn paths_indoors(
    facades: &[Facade],
    place: LevelPlace,
    room: &QuietRoom,
) -> Result<SoundPaths, RoomError> {
    SoundPaths::of(&room.name, &indoor_contributions(facades, place, room), FACADE_DEVIATION_DB)
}

fn indoor_contributions<'a>(
    facades: &'a [Facade],
    place: LevelPlace,
    room: &QuietRoom,
) -> Vec<Contribution<'a>> {
    facades
        .iter()
        .flat_map(|facade| facade.parts.iter().map(move |part| (facade, part)))
        .map(|(facade, part)| {
            let shift = place.to_two_metres_db() - facade.sheltered_db;
            let transfer_db = Spectrum::from_fn(|band| {
                indoor_level_db(
                    shift,
                    part.ranged().median_db().get(band),
                    facade.shape.level_difference_db(),
                    part.reference_area_m2(),
                    room.absorption.area_m2(band),
                )
            });
            Contribution { part, transfer_db }
        })
        .collect()
}

/// A shared element before it was lined: what goes round it is worked out from this.
#[derive(Clone, Debug, PartialEq)]
pub struct BareElement {
    /// Its R, dB.
    pub r_db: Spectrum,
    /// Its own area, m²: without openings, and without the joints and holes in it, whose R is referred to the same area once more.
    pub area_m2: f64,
}

/// What is heard next door through a shared wall or floor: `L2 = L1 − R + 10 lg(S/A)` for each part, and flanking as
/// a further part by the allowance.
///
/// `flanking` is the stated loss of insulation, until it is measured; `bare` is the shared element before it was lined, where it was: a lining
/// does not quieten what goes round. None: the parts as they are. No part, or two of one name, give a
/// sentence.
pub fn heard_next_door(
    parts: &[Part],
    level: &RangedSpectrum,
    flanking: &FlankingAllowance,
    bare: Option<&BareElement>,
    room: &QuietRoom,
) -> Result<Heard, RoomError> {
    crate::composite::check_parts(&room.name, parts)?;
    let path = path_round(parts, flanking, bare, room)?;
    let contributions = next_door_contributions(parts.iter().chain(&path), room);
    let listening = Listening {
        receiver: &room.name,
        way_deviation_db: PARTITION_DEVIATION_DB,
        contributions: &contributions,
        notes: vec![flanking.note()],
    };
    hear(&listening, level, room.criterion.as_ref())
}

/// By which ways the sound in the room reaches the room next door, and how sure that is: [`heard_next_door`] without a source.
/// The same errors.
pub fn paths_next_door(
    parts: &[Part],
    flanking: &FlankingAllowance,
    bare: Option<&BareElement>,
    room: &QuietRoom,
) -> Result<SoundPaths, RoomError> {
    crate::composite::check_parts(&room.name, parts)?;
    let path = path_round(parts, flanking, bare, room)?;
    SoundPaths::of(
        &room.name,
        &next_door_contributions(parts.iter().chain(&path), room),
        PARTITION_DEVIATION_DB,
    )
}

/// What goes round as a part of its own.
fn path_round(
    parts: &[Part],
    flanking: &FlankingAllowance,
    bare: Option<&BareElement>,
    room: &QuietRoom,
) -> Result<Option<Part>, RoomError> {
    if let Some(bare) = bare {
        return flanking.path(&room.name, &bare.r_db, bare.area_m2);
    }
    // Of all parts together: whatever area their R is referred to falls out again.
    let area_m2 = total_area_m2(parts).max(1e-3);
    let direct = crate::composite::composite_reduction(&room.name, parts, area_m2)?;
    flanking.path(&room.name, &direct, area_m2)
}

fn next_door_contributions<'a>(
    parts: impl Iterator<Item = &'a Part>,
    room: &QuietRoom,
) -> Vec<Contribution<'a>> {
    parts
        .map(|part| Contribution {
            part,
            transfer_db: Spectrum::from_fn(|band| transfer_db(part, band, &room.absorption)),
        })
        .collect()
}

fn transfer_db(part: &Part, band: Band, absorption: &Absorption) -> f64 {
    math::db_of_energy(part.reference_area_m2() / absorption.area_m2(band))
        - part.ranged().median_db().get(band)
}
