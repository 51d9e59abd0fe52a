//! What is heard where: from the room to the receivers outdoors, and from outdoors into the room.

use bands::{BAND_COUNT, Band, OctaveBand, Spectrum, noise_rating};
use catalogue::{
    Background, Entry, OutdoorSound as OutdoorEntry, Source as SourceEntry, SourceQuantity, find,
};
use fabric::room::RoomResult;
use rayon::prelude::*;
use sound::{
    absorption::Absorption,
    composite::Part,
    criterion::{Criterion, HearingThreshold},
    element::Mounting,
    en_12354_3_2000::{FacadeShape, LevelPlace},
    en_12354_4_2000::InsideField,
    flanking::FlankingAllowance,
    inwards::{BareElement, Facade, OutdoorSound, QuietRoom, heard_indoors, heard_next_door},
    iso_9613_1_1993::OutdoorAir,
    outdoors::{
        Building, Fence, Radiator, Receiver as ListeningPlace, Site, WaysOutdoors, heard_outdoors_each,
    },
    place::Point3,
    ranged::RangedSpectrum,
    share::Heard,
};
use survey::Survey;

use crate::{
    assemble::{
        element::{Setting, element},
        material::solid,
        radiators::radiators,
        shell::{Place as PartPlace, Shell, is_outside},
        ways::is_shared,
    },
    memory::Recalling,
    outcome::{HeardOutcome, SourceOutcome},
    project::{Dwelling, ElementId, ElementSpec, Layer, LeafKind, Place, Project, Receiver, WallId},
};

/// Spread of a level the person measured or stated, dB (judgement).
pub(super) const STATED_SPREAD_DB: f64 = 2.0;
/// Size at which a bare wall is taken for what goes round it, m (the usual test opening).
const BARE_SIZE_M: (f64, f64) = (4.0, 2.5);
/// Standard deviation of a flanking allowance nobody measured, dB (judgement).
pub(super) const FLANKING_SPREAD_DB: f64 = 4.0;
/// How far a fence is taken to run beyond the wall at both ends, m.
const FENCE_BEYOND_M: f64 = 30.0;
/// Distance at which speech at one metre is taken, m².
const ONE_METRE_M2: f64 = 1.0;

/// What is heard, the sources as taken, and what could not be worked out.
#[derive(Clone, Debug, Default)]
pub(crate) struct Listening {
    /// At each receiver.
    pub(crate) heard: Vec<HeardOutcome>,
    /// Sources.
    pub(crate) sources: Vec<SourceOutcome>,
    /// What could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

/// One source with its level in the room.
pub(super) struct InRoom {
    pub(super) name: String,
    pub(super) level: RangedSpectrum,
    /// In which bands the level hangs on what the room absorbs.
    pub(super) rings: [bool; BAND_COUNT],
}

/// Works out what is heard at every receiver.
pub(crate) fn listening(
    project: &Project,
    survey: &Survey,
    shell: &Shell,
    (room, roof_top_m): (Option<&RoomResult>, f64),
    memory: &Recalling<'_>,
) -> Listening {
    let mut listening = Listening::default();
    let sources = sources(project, room, &mut listening);
    let ground = Ground::new(project, survey, roof_top_m);
    let mut jobs: Vec<(&Receiver, Job)> = Vec::new();
    let outside = site(project, survey, &ground).and_then(|site| {
        let radiators = radiators(project, survey, shell, &ground)?;
        Ok((site, radiators))
    });
    let outside = match outside {
        Ok(outside) => Some(outside),
        Err(error) => {
            listening.not_checked.push(error);
            None
        }
    };
    for receiver in &project.receivers {
        let criteria = match criteria(receiver) {
            Ok(criteria) => criteria,
            Err(error) => {
                listening.not_checked.push(error);
                continue;
            }
        };
        if criteria.is_empty() {
            listening.not_checked.push(format!(
                "`{}` has no limit: give `limit_dba`, `limit_nr` or a `background`, or the plan cannot say whether it is \
                 quiet enough.",
                receiver.name
            ));
        }
        if let Place::Outside { .. } = receiver.place {
            if !criteria.is_empty() {
                jobs.push((receiver, Job::Outwards(criteria)));
            }
            continue;
        }
        let sounds =
            if receiver.place == Place::Inside { project.outside_sounds.len() } else { sources.len() };
        for sound in 0..sounds {
            for criterion in &criteria {
                let job = match receiver.place {
                    Place::NextDoor(dwelling) => Job::NextDoor(sound, dwelling, criterion.clone()),
                    Place::Inside | Place::Outside { .. } => Job::Inwards(sound, criterion.clone()),
                };
                jobs.push((receiver, job));
            }
        }
    }
    let results: Vec<Result<Vec<HeardOutcome>, String>> = jobs
        .par_iter()
        .map(|(receiver, job)| match (job, &outside) {
            (Job::Outwards(criteria), Some((site, radiators))) => {
                outwards((survey, &ground), &sources, receiver, criteria, (site, radiators), memory)
            }
            (Job::Inwards(at, criterion), _) => {
                inwards((project, shell, room), *at, receiver, criterion, memory).map(|one| vec![one])
            }
            (Job::NextDoor(at, dwelling, criterion), _) => {
                next_door((project, shell), &sources[*at], *dwelling, (receiver, criterion), memory)
                    .map(|one| vec![one])
            }
            (Job::Outwards(_), None) => Err(String::new()),
        })
        .collect();
    for result in results {
        match result {
            Ok(outcomes) => listening.heard.extend(outcomes),
            Err(sentence) if sentence.is_empty() => {}
            Err(sentence) => listening.not_checked.push(sentence),
        }
    }
    listening.not_checked.dedup();
    mark_governing(project, &mut listening.heard);
    listening
}

enum Job {
    /// Every source, held against each of these.
    Outwards(Vec<Criterion>),
    Inwards(usize, Criterion),
    NextDoor(usize, Dwelling, Criterion),
}

/// For each receiver the sound and criterion with the least to spare governs; of several criteria for one sound only
/// the hardest is kept.
fn mark_governing(project: &Project, heard: &mut Vec<HeardOutcome>) {
    let margin = |outcome: &HeardOutcome| {
        outcome.heard.verdict.as_ref().map_or(f64::INFINITY, |verdict| verdict.margin.median_db)
    };
    let mut kept: Vec<HeardOutcome> = Vec::new();
    for outcome in heard.drain(..) {
        match kept.iter_mut().find(|one| one.receiver == outcome.receiver && one.source == outcome.source) {
            Some(one) if margin(&outcome) < margin(one) => *one = outcome,
            Some(_) => {}
            None => kept.push(outcome),
        }
    }
    *heard = kept;
    for receiver in &project.receivers {
        let hardest = (0..heard.len())
            .filter(|index| heard[*index].receiver == receiver.name)
            .min_by(|a, b| margin(&heard[*a]).total_cmp(&margin(&heard[*b])));
        if let Some(index) = hardest {
            heard[index].governs = true;
        }
    }
}

/// A wall on the site: first corner, directions along and out of it, metres.
pub(super) struct WallLine {
    pub(super) start: (f64, f64),
    pub(super) along: (f64, f64),
    pub(super) out: (f64, f64),
    pub(super) length_m: f64,
}

/// The frame of the site in metres: the room's own plan, heights above the ground outside.
pub(super) struct Ground {
    pub(super) floor_m: f64,
    pub(super) roof_top_m: f64,
    /// +1 where the ring runs anticlockwise.
    turn: f64,
}

impl Ground {
    pub(super) fn new(project: &Project, survey: &Survey, roof_top_m: f64) -> Self {
        let points: Vec<(f64, f64)> =
            survey.corners.iter().map(|corner| (corner.at.x_mm, corner.at.y_mm)).collect();
        let doubled: f64 =
            points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
        let floor_m = project.roof.as_ref().map_or(0.0, |roof| roof.floor_above_ground_mm / 1000.0);
        Self { floor_m, roof_top_m, turn: if doubled < 0.0 { -1.0 } else { 1.0 } }
    }

    /// First corner, direction along and direction out of a wall, in metres.
    pub(super) fn wall(&self, survey: &Survey, wall: WallId) -> Option<WallLine> {
        let wall = survey.walls.get(wall.0)?;
        let from = survey.corners.get(wall.from)?.at;
        let to = survey.corners.get(wall.to)?.at;
        let along = (to - from).unit()?;
        let out = (along.y_mm * self.turn, -along.x_mm * self.turn);
        let start = (from.x_mm / 1000.0, from.y_mm / 1000.0);
        Some(WallLine { start, along: (along.x_mm, along.y_mm), out, length_m: wall.length_mm / 1000.0 })
    }
}

pub(super) fn sources(
    project: &Project,
    room: Option<&RoomResult>,
    listening: &mut Listening,
) -> Vec<InRoom> {
    let mut sources = Vec::new();
    for source in &project.sources {
        let Some(entry) = find::<SourceEntry>(source.kind.as_str()) else { continue };
        let mut spectrum = source.level_dba.map_or(entry.spectrum, |level| entry.spectrum_at(level));
        let mut spread_db = if source.level_dba.is_some() { STATED_SPREAD_DB } else { entry.level_spread_db };
        let stated = source.level_dba.is_some() || entry.quantity == SourceQuantity::LevelInRoom;
        if !stated {
            let Some(room) = room else {
                listening
                    .not_checked
                    .push(format!("The level of `{}` in the room needs the room's absorption.", source.name));
                continue;
            };
            // Power, or level at one metre in the open (4π of it around), to the diffuse level of this room.
            let to_power_db =
                if entry.quantity == SourceQuantity::LevelAtOneMetre { level_to_power_db() } else { 0.0 };
            spectrum = Spectrum::from_fn(|band| {
                let area_m2 = absorption_m2(room, band);
                spectrum.get(band) + to_power_db + quantities::math::db_of_energy(4.0 / area_m2)
            });
        }
        let mut rings = [!stated; BAND_COUNT];
        if let Some(measured) = &source.measured {
            for (band, level) in measured.iter() {
                spectrum.set(band, level);
                rings[band.index()] = false;
            }
            spread_db = STATED_SPREAD_DB;
        }
        match RangedSpectrum::with_deviation(&source.name, spectrum, &Spectrum::flat(spread_db)) {
            Ok(level) => {
                listening.sources.push(SourceOutcome {
                    name: source.name.clone(),
                    level_in_room_db: spectrum,
                    level_in_room_dba: spectrum.total_a_db(),
                    basis: format!("{}: {}", entry.name(), entry.basis().text()),
                });
                sources.push(InRoom { name: source.name.clone(), level, rings });
            }
            Err(error) => listening.not_checked.push(error.to_string()),
        }
    }
    sources
}

fn level_to_power_db() -> f64 {
    quantities::math::db_of_energy(4.0 * quantities::math::PI * ONE_METRE_M2)
}

pub(crate) fn absorption_m2(room: &RoomResult, band: Band) -> f64 {
    room.decay.iter().find(|decay| decay.band == band).map_or(10.0, |decay| decay.area_m2).max(0.5)
}

pub(super) fn site(project: &Project, survey: &Survey, ground: &Ground) -> Result<Site, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    let given = &project.site;
    let air = OutdoorAir::new(given.temperature_c, given.humidity_percent.max(10.0)).map_err(sentence)?;
    let outline: Vec<(f64, f64)> =
        survey.corners.iter().map(|corner| (corner.at.x_mm / 1000.0, corner.at.y_mm / 1000.0)).collect();
    let building = Building::new(&outline, ground.roof_top_m.max(0.6)).map_err(sentence)?;
    let mut site = Site::new(given.ground_factor, air).map_err(sentence)?.with_building(building);
    if let Some(fence) = &project.fence
        && let Some(WallLine { start, along, out, length_m }) = ground.wall(survey, fence.wall)
    {
        let at = |run_m: f64| {
            (
                start.0 + along.0 * run_m + out.0 * fence.distance_m,
                start.1 + along.1 * run_m + out.1 * fence.distance_m,
            )
        };
        let fence = Fence::new(at(-FENCE_BEYOND_M), at(length_m + FENCE_BEYOND_M), fence.height_m)
            .map_err(sentence)?;
        site = site.with_fence(fence);
    }
    Ok(site)
}

pub(super) fn criteria(receiver: &Receiver) -> Result<Vec<Criterion>, String> {
    let sentence = |error: sound::room_error::RoomError| format!("{}: {error}", receiver.name);
    let mut criteria = Vec::new();
    if let Some(limit) = receiver.limit_dba {
        criteria.push(Criterion::limit_dba(limit).map_err(sentence)?);
    }
    if let Some(limit) = receiver.limit_nr {
        criteria.push(Criterion::noise_rating(limit).map_err(sentence)?);
    }
    if let Some(background) = background(receiver) {
        let margin = receiver.margin_db.unwrap_or(0.0);
        criteria.push(
            Criterion::under_background(background, margin, HearingThreshold::AlsoHides).map_err(sentence)?,
        );
    }
    Ok(criteria)
}

pub(super) fn background(receiver: &Receiver) -> Option<Spectrum> {
    let entry = find::<Background>(receiver.background.as_ref()?.as_str())?;
    Some(receiver.background_dba.map_or(entry.spectrum, |level| entry.spectrum_at(level)))
}

fn outwards(
    (survey, ground): (&Survey, &Ground),
    sources: &[InRoom],
    receiver: &Receiver,
    criteria: &[Criterion],
    (site, radiators): (&Site, &[Radiator]),
    memory: &Recalling<'_>,
) -> Result<Vec<HeardOutcome>, String> {
    let Place::Outside { distance_m, .. } = receiver.place else {
        return Err(String::new());
    };
    let at = outdoor_point(survey, ground, receiver)?;
    let field = InsideField::DiffuseReflecting;
    let place = ListeningPlace { name: receiver.name.clone(), at, criterion: None };
    let levels: Vec<&RangedSpectrum> = sources.iter().map(|source| &source.level).collect();
    let held: Vec<&Criterion> = criteria.iter().collect();
    let names: Vec<&str> = sources.iter().map(|source| source.name.as_str()).collect();
    let through: Vec<&str> = radiators.iter().map(|radiator| radiator.part().name()).collect();
    let heard = memory
        .heard(
            &memory.outdoors,
            &(&receiver.name, names, through, criteria),
            &(radiators, &levels, site, &place, criteria),
            || {
                let shapes: Vec<_> = radiators.iter().map(Radiator::place).collect();
                let ways = memory.recall(&memory.ways, &(shapes, site, &place), || {
                    WaysOutdoors::new(radiators, site, &place)
                })?;
                heard_outdoors_each(radiators, &levels, field, (site, &place, &ways), &held)
            },
        )
        .map_err(|error| error.to_string())?;
    let outcomes = sources.iter().zip(heard).flat_map(|(source, heard)| {
        criteria
            .iter()
            .zip(heard)
            .map(|(criterion, heard)| outcome(receiver, &source.name, Some(distance_m), criterion, heard))
    });
    Ok(outcomes.collect())
}

/// Where a receiver outdoors stands.
pub(super) fn outdoor_point(survey: &Survey, ground: &Ground, receiver: &Receiver) -> Result<Point3, String> {
    let Place::Outside { wall, along_mm, distance_m, height_m } = receiver.place else {
        return Err(String::new());
    };
    let WallLine { start, along, out, .. } = ground
        .wall(survey, wall)
        .ok_or_else(|| format!("`{}` stands before a wall that is not there.", receiver.name))?;
    let run_m = along_mm / 1000.0;
    Ok(Point3::new(
        start.0 + along.0 * run_m + out.0 * distance_m,
        start.1 + along.1 * run_m + out.1 * distance_m,
        height_m,
    ))
}

fn inwards(
    (project, shell, room): (&Project, &Shell, Option<&RoomResult>),
    at: usize,
    receiver: &Receiver,
    criterion: &Criterion,
    memory: &Recalling<'_>,
) -> Result<HeardOutcome, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    let given = project.outside_sounds.get(at).ok_or_else(String::new)?;
    let entry = find::<OutdoorEntry>(given.kind.as_str())
        .ok_or_else(|| format!("The catalogue has no outdoor sound `{}`.", given.kind.as_str()))?;
    let spectrum = entry.spectrum_at(given.level_dba);
    let level = RangedSpectrum::with_deviation(&given.name, spectrum, &Spectrum::flat(STATED_SPREAD_DB))
        .map_err(sentence)?;
    let facades = facades(project, shell, &given.walls)?;
    let quiet = QuietRoom { criterion: Some(criterion.clone()), ..this_room(room, receiver)? };
    let sound = OutdoorSound { name: given.name.clone(), level, place: LevelPlace::TwoMetresInFront };
    let heard = memory
        .heard(
            &memory.levels,
            &(&receiver.name, &given.name, part_names(shell), criterion),
            &(&facades, &sound, &quiet),
            || heard_indoors(&facades, &sound, &quiet),
        )
        .map_err(sentence)?;
    Ok(outcome(receiver, &given.name, None, criterion, heard))
}

fn part_names(shell: &Shell) -> Vec<&str> {
    shell.parts.iter().map(|part| part.part.name()).collect()
}

/// The sides of the building a sound outdoors falls on, the roof with them.
pub(super) fn facades(project: &Project, shell: &Shell, walls: &[WallId]) -> Result<Vec<Facade>, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    let mut facades = Vec::new();
    let mut add = |name: String, places: &dyn Fn(PartPlace) -> bool| -> Result<(), String> {
        let parts: Vec<Part> = shell
            .parts
            .iter()
            .filter(|part| is_outside(project, part.place) && places(part.place))
            .map(|part| part.part.clone())
            .collect();
        if !parts.is_empty() {
            facades.push(Facade::new(&name, parts, FacadeShape::Plane, 0.0).map_err(sentence)?);
        }
        Ok(())
    };
    for wall in walls {
        add(project.survey.wall_name(*wall), &|place| match place {
            PartPlace::Wall(id) | PartPlace::InWall { wall: id, .. } => id == *wall,
            PartPlace::Roof => false,
        })?;
    }
    add("roof".to_owned(), &|place| place == PartPlace::Roof)?;
    Ok(facades)
}

/// This room as one that must be quiet.
pub(super) fn this_room(room: Option<&RoomResult>, receiver: &Receiver) -> Result<QuietRoom, String> {
    let areas: [f64; BAND_COUNT] =
        *Spectrum::from_fn(|band| room.map_or(10.0, |room| absorption_m2(room, band))).values_db();
    Ok(QuietRoom {
        name: receiver.name.clone(),
        absorption: Absorption::from_areas(&receiver.name, areas).map_err(|error| error.to_string())?,
        criterion: None,
    })
}

/// R of the heavy leaf of a lined element alone, as it stands in the building, dB; none where there is no such leaf or nothing lines it.
pub(crate) fn bare_of(project: &Project, shared: ElementId) -> Option<Spectrum> {
    let buildup = project.buildup_of(shared)?;
    let heavy = buildup
        .element
        .layers
        .iter()
        .filter_map(|layer| if let Layer::Leaf(leaf) = layer { Some(leaf) } else { None })
        .filter(|leaf| leaf.kind == LeafKind::Masonry)
        .max_by(|a, b| solid(a).mass_kg_m2().total_cmp(&solid(b).mass_kg_m2()))?;
    let lined = buildup.element.layers.iter().any(|layer| matches!(layer, Layer::Cavity(_)));
    let spec = ElementSpec {
        layers: vec![Layer::Leaf(heavy.clone())],
        bridges: Vec::new(),
        measured: None,
        ..buildup.element.clone()
    };
    let setting = Setting {
        name: spec.name.clone(),
        width_m: BARE_SIZE_M.0,
        height_m: BARE_SIZE_M.1,
        mounting: Mounting::InSitu,
        leaks: Vec::new(),
        clips: None,
        bridged_clips: None,
    };
    let bare = sound::Prepared::new(&element(&spec, setting)).ok()?;
    lined.then(|| bare.transmission().reduction_index())
}

/// The shared element as it was before it was lined, where it was.
pub(super) fn bare(project: &Project, shell: &Shell, shared: ElementId) -> Option<BareElement> {
    let own = shell.parts.iter().find(|part| part.element == Some(shared))?;
    Some(BareElement { r_db: bare_of(project, shared)?, area_m2: own.part.reference_area_m2() })
}

/// The parts of the shell a room next door shares with this one.
pub(super) fn shared_parts(shell: &Shell, dwelling: Dwelling) -> Vec<Part> {
    shell.parts.iter().filter(|part| is_shared(dwelling, part.place)).map(|part| part.part.clone()).collect()
}

/// The room next door.
pub(super) fn next_door_room(dwelling: Dwelling, receiver: &Receiver) -> Result<QuietRoom, String> {
    Ok(QuietRoom {
        name: receiver.name.clone(),
        absorption: Absorption::from_decay(
            &receiver.name,
            dwelling.volume_m3,
            [dwelling.decay_s; BAND_COUNT],
        )
        .map_err(|error| error.to_string())?,
        criterion: None,
    })
}

/// The stated allowance for what goes round the shared element.
pub(super) fn flanking(dwelling: Dwelling) -> Result<FlankingAllowance, String> {
    FlankingAllowance::new(dwelling.flanking_db, FLANKING_SPREAD_DB).map_err(|error| error.to_string())
}

/// Through a shared wall or the ceiling into the next room; flanking is the stated allowance.
fn next_door(
    (project, shell): (&Project, &Shell),
    source: &InRoom,
    dwelling: Dwelling,
    (receiver, criterion): (&Receiver, &Criterion),
    memory: &Recalling<'_>,
) -> Result<HeardOutcome, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    let (parts, quiet) = (shared_parts(shell, dwelling), next_door_room(dwelling, receiver)?);
    let quiet = QuietRoom { criterion: Some(criterion.clone()), ..quiet };
    let (flanking, bare) = (flanking(dwelling)?, bare(project, shell, dwelling.shared));
    let heard = memory
        .heard(
            &memory.levels,
            &(&receiver.name, &source.name, part_names(shell), criterion),
            &(&parts, &source.level, &flanking, &bare, &quiet),
            || heard_next_door(&parts, &source.level, &flanking, bare.as_ref(), &quiet),
        )
        .map_err(sentence)?;
    let behind = match dwelling.shared {
        ElementId::Wall(_) => format!("wall {}", project.element_name(dwelling.shared)),
        ElementId::Ceiling | ElementId::Opening(_) => project.element_name(dwelling.shared),
    };
    Ok(HeardOutcome { behind: Some(behind), ..outcome(receiver, &source.name, None, criterion, heard) })
}

fn outcome(
    receiver: &Receiver,
    source: &str,
    distance_m: Option<f64>,
    criterion: &Criterion,
    heard: Heard,
) -> HeardOutcome {
    let criterion_db = match criterion {
        Criterion::LimitDba { .. } => None,
        Criterion::NoiseRating { number } => {
            let curve = noise_rating::curve(*number);
            // A third octave may carry a third of its octave's energy.
            Some(Spectrum::from_fn(|band| {
                curve.get(OctaveBand::of(band)) - quantities::math::db_of_energy(3.0)
            }))
        }
        Criterion::UnderBackground { background_db, margin_db, .. } => {
            Some(background_db.shifted(-margin_db))
        }
    };
    HeardOutcome {
        receiver: receiver.name.clone(),
        source: source.to_owned(),
        distance_m,
        behind: None,
        heard,
        criterion_db,
        background_db: background(receiver),
        governs: false,
    }
}
