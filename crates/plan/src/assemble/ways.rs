//! The ways from the room to each receiver, and from outdoors into it, apart from what the elements insulate: for choosing among many
//! build-ups of the same elements in the same places.

use std::collections::BTreeMap;

use bands::{BAND_COUNT, Band, OctaveBand, Spectrum, iec_61672_1::a_weighting_db, iso_389_7, noise_rating};
use catalogue::{OutdoorSound, find};
use fabric::room::RoomResult;
use quantities::math;
use sound::{
    absorption::Absorption,
    criterion::{Criterion, HearingThreshold},
    draws,
    en_12354_3_2000::{FacadeShape, LevelPlace, indoor_level_db},
    en_12354_4_2000::{InsideField, radiated_power_db},
    inwards::{FACADE_DEVIATION_DB, PARTITION_DEVIATION_DB},
    outdoors::{attenuation_db, way_deviation_db},
    place::Point3,
    ranged::RangedSpectrum,
};
use survey::Survey;

use crate::{
    assemble::{
        heard::{self, FLANKING_SPREAD_DB, Ground, Listening, STATED_SPREAD_DB},
        radiators::radiators,
        shell::{Place as PartPlace, Shell, ShellPart, is_outside},
    },
    project::{Dwelling, ElementId, Place, Project, Receiver},
};

/// One sound at one receiver under one criterion.
pub(crate) struct Way {
    /// The receiver.
    pub(crate) receiver: String,
    /// The sound.
    pub(crate) source: String,
    /// The criterion in a few words.
    pub(crate) criterion: String,
    /// For each row that must hold the weight of each band: over what is allowed.
    pub(crate) rows: Vec<[f64; BAND_COUNT]>,
    /// Level of the source with its errors and those of the way, as energy: for each band all draws.
    pub(crate) common: Vec<Vec<f64>>,
    /// What nine in ten of those draws stay under, for each band.
    pub(crate) loud: Vec<f64>,
    /// For each place from which it is heard the level of one square metre that insulates nothing, below the source, dB.
    places: Vec<(PartPlace, Spectrum)>,
    /// Which kind of error each group of parts has.
    kinds: BTreeMap<String, usize>,
    /// What goes round, next door.
    pub(crate) flanking: Option<Flanking>,
    /// In which bands the more sound arrives the less the room absorbs.
    pub(crate) rings: [bool; BAND_COUNT],
    /// In which order its draws are looked at; empty as they were drawn.
    pub(crate) order: Vec<usize>,
}

/// What goes round a shared element.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flanking {
    /// The shared element.
    pub(crate) shared: ElementId,
    /// Energy that goes round over that which goes straight through the bare element.
    pub(crate) extra: f64,
    /// Its standard deviation, dB.
    pub(crate) deviation_db: f64,
    /// Whether the shared element is lined as the room stands: then its bare leaf alone decides what goes round, and nothing in it adds to that.
    pub(crate) by_bare_leaf: bool,
}

impl Way {
    /// The level of a square metre at a place; none where it is not heard from there.
    pub(crate) fn transfer_db(&self, place: PartPlace) -> Option<&Spectrum> {
        self.places.iter().find(|(other, _)| *other == place).map(|(_, transfer)| transfer)
    }

    /// What was drawn, in the order in which its draws are looked at.
    pub(crate) fn ordered(&self, drawn: Vec<f64>) -> Vec<f64> {
        if self.order.is_empty() {
            return drawn;
        }
        self.order.iter().map(|at| drawn.get(*at).copied().unwrap_or(0.0)).collect()
    }

    /// The kind of error of a group of parts; of one that is not there one of the element's own, `element` counting from 0.
    pub(crate) fn kind(&self, group: &str, element: usize) -> usize {
        draws::FIRST_GROUP + self.kinds.get(group).copied().unwrap_or(self.kinds.len() + element)
    }

    /// Whether this one is louder than another at the same receiver in every draw, whatever is built.
    pub(crate) fn drowns(&self, other: &Self) -> bool {
        let louder = |(mine, theirs): (&Vec<f64>, &Vec<f64>)| mine.iter().zip(theirs).all(|(a, b)| a >= b);
        self.receiver == other.receiver
            && (&self.rows, &self.places, &self.kinds) == (&other.rows, &other.places, &other.kinds)
            && self.common.iter().zip(&other.common).all(louder)
    }
}

/// All ways, and what could not be worked out.
pub(crate) fn ways(
    project: &Project,
    survey: &Survey,
    shell: &Shell,
    room: Option<&RoomResult>,
    roof_top_m: f64,
) -> (Vec<Way>, Vec<String>) {
    let mut listening = Listening::default();
    let sources = heard::sources(project, room, &mut listening);
    let mut missing = listening.not_checked;
    let ground = Ground::new(project, survey, roof_top_m);
    let mut ways = Vec::new();
    for receiver in &project.receivers {
        let criteria = match heard::criteria(receiver) {
            Ok(criteria) => criteria,
            Err(sentence) => {
                missing.push(sentence);
                continue;
            }
        };
        for criterion in criteria {
            let found = match receiver.place {
                Place::Outside { .. } => outwards(project, survey, (shell, &ground), &sources, receiver),
                Place::Inside => inwards(project, shell, room),
                Place::NextDoor(dwelling) => next_door((project, shell), &sources, dwelling, receiver),
            };
            match found {
                Ok(found) => {
                    ways.extend(found.into_iter().map(
                        |(source, (common, rings), places, kinds, flanking)| Way {
                            receiver: receiver.name.clone(),
                            source,
                            criterion: criterion.label(),
                            rows: rows(&criterion),
                            loud: common.iter().map(|draws| nine_in_ten(draws)).collect(),
                            common,
                            places,
                            kinds,
                            flanking,
                            rings,
                            order: Vec::new(),
                        },
                    ));
                }
                Err(sentence) => missing.push(sentence),
            }
        }
    }
    missing.dedup();
    (ways, missing)
}

fn nine_in_ten(draws: &[f64]) -> f64 {
    let mut sorted = draws.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() * 9 / 10).copied().unwrap_or(0.0)
}

type Places = Vec<(PartPlace, Spectrum)>;
/// A level in all draws, and in which bands it hangs on what the room absorbs.
type Common = (Vec<Vec<f64>>, [bool; BAND_COUNT]);
type Found = (String, Common, Places, BTreeMap<String, usize>, Option<Flanking>);

fn outwards(
    project: &Project,
    survey: &Survey,
    (shell, ground): (&Shell, &Ground),
    sources: &[heard::InRoom],
    receiver: &Receiver,
) -> Result<Vec<Found>, String> {
    let Place::Outside { wall, along_mm, distance_m, height_m } = receiver.place else {
        return Ok(Vec::new());
    };
    let line = ground
        .wall(survey, wall)
        .ok_or_else(|| format!("`{}` stands before a wall that is not there.", receiver.name))?;
    let run_m = along_mm / 1000.0;
    let at = Point3::new(
        line.start.0 + line.along.0 * run_m + line.out.0 * distance_m,
        line.start.1 + line.along.1 * run_m + line.out.1 * distance_m,
        height_m,
    );
    let site = heard::site(project, survey, ground)?;
    let radiators = radiators(project, survey, shell, ground)?;
    let outside: Vec<&ShellPart> =
        shell.parts.iter().filter(|part| is_outside(project, part.place)).collect();
    let cd_db = InsideField::DiffuseReflecting.cd_db();
    let mut places: Places = Vec::new();
    for (part, radiator) in outside.iter().zip(&radiators) {
        if places.iter().all(|(place, _)| *place != part.place) {
            let attenuation = attenuation_db(radiator, &site, at);
            places.push((
                part.place,
                Spectrum::from_fn(|band| radiated_power_db(0.0, cd_db, 0.0, 1.0) - attenuation.get(band)),
            ));
        }
    }
    let kinds = kinds(&outside);
    let deviation_db = way_deviation_db(&radiators, at);
    let each = sources.iter().map(|source| {
        let common = (common(&source.level, deviation_db), source.rings);
        (source.name.clone(), common, places.clone(), kinds.clone(), None)
    });
    Ok(each.collect())
}

fn inwards(project: &Project, shell: &Shell, room: Option<&RoomResult>) -> Result<Vec<Found>, String> {
    let area_m2 = |band: Band| room.map_or(10.0, |room| heard::absorption_m2(room, band));
    let shift_db = LevelPlace::TwoMetresInFront.to_two_metres_db();
    let shape_db = FacadeShape::Plane.level_difference_db();
    let transfer = Spectrum::from_fn(|band| indoor_level_db(shift_db, 0.0, shape_db, 1.0, area_m2(band)));
    let mut found = Vec::new();
    for given in &project.outside_sounds {
        let entry = find::<OutdoorSound>(given.kind.as_str())
            .ok_or_else(|| format!("The catalogue has no outdoor sound `{}`.", given.kind.as_str()))?;
        let level = RangedSpectrum::with_deviation(
            &given.name,
            entry.spectrum_at(given.level_dba),
            &Spectrum::flat(STATED_SPREAD_DB),
        )
        .map_err(|error| error.to_string())?;
        // In the order in which the façades are summed, wall by wall and the roof last.
        let mut parts: Vec<&ShellPart> = Vec::new();
        for wall in &given.walls {
            parts.extend(shell.parts.iter().filter(|part| match part.place {
                PartPlace::Wall(id) | PartPlace::InWall { wall: id, .. } => {
                    id == *wall && is_outside(project, part.place)
                }
                PartPlace::Roof => false,
            }));
        }
        parts.extend(
            shell
                .parts
                .iter()
                .filter(|part| part.place == PartPlace::Roof && is_outside(project, part.place)),
        );
        let places = once(&parts).into_iter().map(|place| (place, transfer)).collect();
        let common = (common(&level, FACADE_DEVIATION_DB), [true; BAND_COUNT]);
        found.push((given.name.clone(), common, places, kinds(&parts), None));
    }
    Ok(found)
}

fn next_door(
    (project, shell): (&Project, &Shell),
    sources: &[heard::InRoom],
    dwelling: Dwelling,
    receiver: &Receiver,
) -> Result<Vec<Found>, String> {
    let parts: Vec<&ShellPart> = shell.parts.iter().filter(|part| is_shared(dwelling, part.place)).collect();
    let absorption =
        Absorption::from_decay(&receiver.name, dwelling.volume_m3, [dwelling.decay_s; BAND_COUNT])
            .map_err(|error| error.to_string())?;
    let transfer = Spectrum::from_fn(|band| -math::db_of_energy(absorption.area_m2(band)));
    let places: Places = once(&parts).into_iter().map(|place| (place, transfer)).collect();
    let kinds = kinds(&parts);
    let flanking = Flanking {
        shared: dwelling.shared,
        extra: math::energy_of_db(dwelling.flanking_db) - 1.0,
        deviation_db: FLANKING_SPREAD_DB,
        by_bare_leaf: heard::bare(project, shell, dwelling.shared).is_some(),
    };
    let each = sources.iter().map(|source| {
        let common = (common(&source.level, PARTITION_DEVIATION_DB), source.rings);
        (source.name.clone(), common, places.clone(), kinds.clone(), Some(flanking))
    });
    Ok(each.collect())
}

fn once(parts: &[&ShellPart]) -> Vec<PartPlace> {
    let mut places = Vec::new();
    for part in parts {
        if !places.contains(&part.place) {
            places.push(part.place);
        }
    }
    places
}

/// Whether a part of the shell is shared with a dwelling next door.
pub(crate) fn is_shared(dwelling: Dwelling, place: PartPlace) -> bool {
    match (dwelling.shared, place) {
        (ElementId::Ceiling, PartPlace::Roof) => true,
        (ElementId::Wall(wall), PartPlace::Wall(id) | PartPlace::InWall { wall: id, .. }) => id == wall,
        _ => false,
    }
}

/// Groups are told apart in the order in which their first part comes, as where a level is predicted.
fn kinds(parts: &[&ShellPart]) -> BTreeMap<String, usize> {
    let mut kinds = BTreeMap::new();
    for part in parts {
        let next = kinds.len();
        kinds.entry(part.part.group().to_owned()).or_insert(next);
    }
    kinds
}

fn common(level: &RangedSpectrum, way_deviation_db: f64) -> Vec<Vec<f64>> {
    Band::all()
        .map(|band| {
            let spread = level.deviations_db(band);
            let errors = draws::errors(draws::SOURCE, band).iter().zip(draws::errors(draws::WAY, band));
            errors
                .map(|(&source, &way)| {
                    let level_db =
                        level.median_db().get(band) + draws::scaled(source, spread) + way * way_deviation_db;
                    math::energy_of_db(level_db)
                })
                .collect()
        })
        .collect()
}

/// What a criterion allows, as weights of the bands in rows whose sums may reach 1.
fn rows(criterion: &Criterion) -> Vec<[f64; BAND_COUNT]> {
    let only = |band: Band, allowed_db: f64| {
        let mut row = [0.0; BAND_COUNT];
        row[band.index()] = math::energy_of_db(-allowed_db);
        row
    };
    match criterion {
        Criterion::LimitDba { limit_dba } => {
            let mut row = [0.0; BAND_COUNT];
            for band in Band::all() {
                row[band.index()] = math::energy_of_db(a_weighting_db(band) - limit_dba);
            }
            vec![row]
        }
        Criterion::NoiseRating { number } => OctaveBand::all()
            .map(|octave| {
                let mut row = [0.0; BAND_COUNT];
                for band in octave.thirds() {
                    row[band.index()] = math::energy_of_db(-noise_rating::curve_db(*number, octave));
                }
                row
            })
            .collect(),
        Criterion::UnderBackground { background_db, margin_db, threshold } => Band::all()
            .map(|band| {
                let masked = background_db.get(band) - margin_db;
                let unheard = iso_389_7::free_field_db(band);
                only(
                    band,
                    match threshold {
                        HearingThreshold::NotUsed => masked,
                        HearingThreshold::AlsoHides => masked.max(unheard),
                        HearingThreshold::MustAlsoHold => masked.min(unheard),
                    },
                )
            })
            .collect(),
    }
}
