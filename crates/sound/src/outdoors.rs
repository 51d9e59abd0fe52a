//! From the room to a point outdoors.
//!
//! Every element and every leak is a radiator (EN 12354-4:2000). Its face is cut into patches small against the
//! distance, so that a receiver three metres away is right too; each patch sends its part of the power into the half
//! space in front of the face, over the ground (ISO 9613-2 Table 3 with the share of the reflection reduced where its
//! way is much longer than the straight one), through the air (ISO 9613-1), past the edges of the building itself
//! and past one fence (ISO 9613-2 Dz). Reflections from other buildings, and from the wall a receiver stands in front
//! of, are not in it.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::{format::with_unit, math};
use rayon::prelude::*;
use serde::Serialize;

use crate::{
    absorption::Absorption,
    composite::Part,
    criterion::Criterion,
    en_12354_4_2000::{InsideField, radiated_power_db},
    iso_9613_1_1993::{OutdoorAir, attenuation_db_per_m},
    iso_9613_2_1996::{
        ACCURACY_HIGH_NEAR_DB, ACCURACY_LOW_DB, DiffractedPath, GroundFactors, GroundPath,
        SPEED_OF_SOUND_M_S, divergence_db, ground_attenuation_db, screening_db,
    },
    patches::{Face, Patch, distance_to_line, line_patches},
    paths::SoundPaths,
    place::{Direction, Point3},
    ranged::{DEVIATIONS_TO_90TH, RangedSpectrum},
    room_error::RoomError,
    sampled::{Contribution, Listening, hear_each},
    screening::{Obstacles, Way},
    share::Heard,
};

pub use crate::screening::{Building, Fence};

/// Least distance from a receiver to any radiating element, m: nearer than this a face is not the even source it is
/// taken for.
pub const LEAST_DISTANCE_M: f64 = 0.25;

/// The standard's ± is read as the range that holds nine results in ten: 1.645 standard deviations (the standard
/// does not say; our reading).
const ACCURACY_IN_DEVIATIONS: f64 = 1.645;

/// The sound inside.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomSound {
    /// What makes it.
    pub name: String,
    /// Level in the room, dB, with its spread.
    pub level: RangedSpectrum,
    /// The field in front of the elements.
    pub field: InsideField,
}

impl RoomSound {
    /// A level given for the room.
    pub fn from_level(name: &str, level: RangedSpectrum, field: InsideField) -> Self {
        Self { name: name.to_owned(), level, field }
    }

    /// The diffuse level that a sound power makes in a room of this absorption.
    pub fn from_power(
        name: &str,
        power: &RangedSpectrum,
        absorption: &Absorption,
        field: InsideField,
    ) -> Self {
        Self::from_level(name, absorption.level_of_power(power), field)
    }
}

/// Where an element or leak is and which way it faces.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// A flat face by its corners in order round the edge, either way round.
    Face {
        /// Corners, m.
        corners: Vec<Point3>,
    },
    /// A joint or slot by the points it runs through.
    Line {
        /// Points, m.
        points: Vec<Point3>,
    },
    /// A hole or small vent.
    Spot {
        /// Its middle, m.
        at: Point3,
    },
}

/// An element or leak that sound leaves the room by.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Radiator {
    part: Part,
    shape: Shape,
    outward: Direction,
    #[serde(skip)]
    face: Option<Face>,
}

impl Radiator {
    /// A part of the room's shell with its place. `outward` points away from the building, square to a face within
    /// 10°.
    ///
    /// The power is that of the part's own area (for a wall: less its openings), spread evenly over the shape. A face
    /// of no area, out of flat by more than 50 mm or crossing itself, a line of one point, and coordinates that are
    /// no numbers give a sentence.
    pub fn new(part: Part, shape: Shape, outward: Direction) -> Result<Self, RoomError> {
        let name = part.name().to_owned();
        let mut faced = outward;
        let mut face = None;
        match &shape {
            Shape::Face { corners } => {
                let flat = Face::new(&name, corners, outward)?;
                faced = flat.outward;
                face = Some(flat);
            }
            Shape::Line { points } => {
                if points.len() < 2 {
                    return Err(RoomError::TooFewCorners { what: name, given: points.len(), needed: 2 });
                }
                for point in points {
                    point.checked(&name)?;
                }
                let length: f64 =
                    points.iter().zip(points.iter().skip(1)).map(|(a, b)| a.distance_m(*b)).sum();
                if length < 1e-4 {
                    return Err(RoomError::NoSize { what: name });
                }
            }
            Shape::Spot { at } => {
                at.checked(&name)?;
            }
        }
        Ok(Self { part, shape, outward: faced, face })
    }

    /// What it insulates.
    pub fn part(&self) -> &Part {
        &self.part
    }

    /// Its name, where it is and which way it faces: all that [`WaysOutdoors`] depends on.
    pub fn place(&self) -> (&str, &Shape, Direction) {
        (self.part.name(), &self.shape, self.outward)
    }

    /// Distance from a point to its nearest part, m.
    pub fn distance_m(&self, point: Point3) -> f64 {
        match (&self.shape, &self.face) {
            (_, Some(face)) => face.distance_m(point),
            (Shape::Line { points } | Shape::Face { corners: points }, None) => {
                distance_to_line(point, points)
            }
            (Shape::Spot { at }, None) => at.distance_m(point),
        }
    }

    /// Area of its outline, m²; none for a line or a spot.
    pub fn outline_area_m2(&self) -> Option<f64> {
        self.face.as_ref().map(|face| face.area_m2)
    }

    fn patches(&self, receiver: Point3) -> Vec<Patch> {
        match (&self.shape, &self.face) {
            (_, Some(face)) => face.patches(receiver),
            (Shape::Line { points } | Shape::Face { corners: points }, None) => {
                line_patches(points, receiver)
            }
            (Shape::Spot { at }, None) => vec![Patch { at: *at, weight: 1.0 }],
        }
    }
}

/// Ground, air and screens round the building.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Site {
    ground: GroundFactors,
    air: OutdoorAir,
    building: Option<Building>,
    fence: Option<Fence>,
    ground_as_written: bool,
}

impl Site {
    /// Ground factor G from 0 (paved, water) to 1 (lawn, earth, ISO 9613-2:1996, 7.3.1) and the air.
    pub fn new(ground_factor: f64, air: OutdoorAir) -> Result<Self, RoomError> {
        Self::with_regions(GroundFactors::even(ground_factor), air)
    }

    /// Ground of different kinds near the building, between, and near the receiver.
    pub fn with_regions(ground: GroundFactors, air: OutdoorAir) -> Result<Self, RoomError> {
        for factor in [ground.source, ground.middle, ground.receiver] {
            RoomError::in_range("site", "the ground factor", factor, "", (0.0, 1.0))?;
        }
        Ok(Self { ground, air, building: None, fence: None, ground_as_written: false })
    }

    /// The same site with the building as its own screen. Without one, elements that face away from a receiver are
    /// taken as if seen along their plane, which overrates them.
    #[must_use]
    pub fn with_building(self, building: Building) -> Self {
        Self { building: Some(building), ..self }
    }

    /// The same site with a fence.
    #[must_use]
    pub fn with_fence(self, fence: Fence) -> Self {
        Self { fence: Some(fence), ..self }
    }

    /// The same site with the ground effect exactly as ISO 9613-2 prints it, close to the building too, where it counts
    /// the reflection on hard ground as strong as the straight sound. For comparison with other work.
    #[must_use]
    pub fn with_ground_as_written(self) -> Self {
        Self { ground_as_written: true, ..self }
    }
}

/// A place where it must be quiet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Receiver {
    /// Its name.
    pub name: String,
    /// Where it is; outdoors, in the free field.
    pub at: Point3,
    /// What its level is held against.
    pub criterion: Option<Criterion>,
}

/// What a receiver outdoors hears of the sound in the room.
///
/// Errors, a sentence each: no radiator, two of one name, a receiver in the building, below ground or within
/// [`LEAST_DISTANCE_M`] of a radiator.
pub fn heard_outdoors(
    radiators: &[Radiator],
    sound: &RoomSound,
    site: &Site,
    receiver: &Receiver,
) -> Result<Heard, RoomError> {
    let criteria: Vec<&Criterion> = receiver.criterion.iter().collect();
    let ways = WaysOutdoors::new(radiators, site, receiver)?;
    let heard =
        heard_outdoors_each(radiators, &[&sound.level], sound.field, (site, receiver, &ways), &criteria)?;
    // One sound, and one criterion at most: there is one result.
    let nothing = || RoomError::NothingLetsThrough { what: receiver.name.clone() };
    heard.into_iter().flatten().next().ok_or_else(nothing)
}

/// Attenuation from each radiator to a receiver, dB: all that geometry, ground, air and edges do, whatever the radiators insulate.
#[derive(Clone, Debug, PartialEq)]
pub struct WaysOutdoors {
    attenuations_db: Vec<Spectrum>,
}

impl WaysOutdoors {
    /// Errors, as [`heard_outdoors`].
    pub fn new(radiators: &[Radiator], site: &Site, receiver: &Receiver) -> Result<Self, RoomError> {
        check_receiver(radiators, site, receiver)?;
        Ok(Self { attenuations_db: attenuations_db(radiators, site, receiver.at) })
    }
}

/// What a receiver outdoors hears of each of several sounds in one field, held against each of several criteria (the receiver's own is not
/// looked at), by ways known beforehand: for each sound a result for each criterion, or one without a verdict where there is none. The same
/// numbers as [`heard_outdoors`] of each, in a fraction of the time.
///
/// Errors, a sentence each: no radiator, two of one name. The ways must be those of the same radiators to the same receiver, which
/// [`WaysOutdoors::new`] has checked.
pub fn heard_outdoors_each(
    radiators: &[Radiator],
    levels: &[&RangedSpectrum],
    field: InsideField,
    (site, receiver, ways): (&Site, &Receiver, &WaysOutdoors),
    criteria: &[&Criterion],
) -> Result<Vec<Vec<Heard>>, RoomError> {
    let contributions = contributions(radiators, field, &ways.attenuations_db);
    let listening = Listening {
        receiver: &receiver.name,
        way_deviation_db: way_deviation_db(radiators, receiver.at),
        contributions: &contributions,
        notes: notes(radiators, site, receiver),
    };
    hear_each(&listening, levels, criteria)
}

/// By which ways the sound in the room reaches a receiver outdoors, and how sure that is: [`heard_outdoors`] without a source.
///
/// The same errors.
pub fn paths_outdoors(
    radiators: &[Radiator],
    field: InsideField,
    site: &Site,
    receiver: &Receiver,
) -> Result<SoundPaths, RoomError> {
    check_receiver(radiators, site, receiver)?;
    let attenuations_db = attenuations_db(radiators, site, receiver.at);
    let contributions = contributions(radiators, field, &attenuations_db);
    SoundPaths::of(&receiver.name, &contributions, way_deviation_db(radiators, receiver.at))
}

fn contributions<'a>(
    radiators: &'a [Radiator],
    field: InsideField,
    attenuations_db: &[Spectrum],
) -> Vec<Contribution<'a>> {
    let cd_db = field.cd_db();
    radiators
        .iter()
        .zip(attenuations_db)
        .map(|(radiator, attenuation)| {
            let transfer_db = Spectrum::from_fn(|band| {
                let reduction = radiator.part.ranged().median_db().get(band);
                let power = radiated_power_db(0.0, cd_db, reduction, radiator.part.reference_area_m2());
                power - attenuation.get(band)
            });
            Contribution { part: &radiator.part, transfer_db }
        })
        .collect()
}

/// [`attenuation_db`] of each radiator; the joints of an element lie in its face, so many are the same.
fn attenuations_db(radiators: &[Radiator], site: &Site, receiver: Point3) -> Vec<Spectrum> {
    let same = |a: &Radiator, b: &Radiator| a.shape == b.shape && a.outward == b.outward;
    let first: Vec<usize> = radiators
        .iter()
        .enumerate()
        .map(|(at, radiator)| radiators.iter().position(|other| same(other, radiator)).unwrap_or(at))
        .collect();
    let of_first: Vec<Option<Spectrum>> = radiators
        .par_iter()
        .enumerate()
        .map(|(at, radiator)| (first[at] == at).then(|| attenuation_db(radiator, site, receiver)))
        .collect();
    first.iter().map(|at| of_first[*at].unwrap_or_else(|| Spectrum::flat(0.0))).collect()
}

/// Attenuation from the sound power of a radiator to a point, dB: `Lp = LW − A`, the sum over its patches and over all
/// ways of each, its half space (DΩ = 3 dB) included.
///
/// The point is not checked: use [`heard_outdoors`] for a receiver of unknown place.
pub fn attenuation_db(radiator: &Radiator, site: &Site, receiver: Point3) -> Spectrum {
    let air_db_per_m: [f64; BAND_COUNT] =
        *Spectrum::from_fn(|band| attenuation_db_per_m(band.centre_hz(), &site.air)).values_db();
    let obstacles = Obstacles { building: site.building.as_ref(), fence: site.fence.as_ref() };
    let facing = radiator.outward.arrow();
    let level = math::hypot(facing.x, facing.y);
    // Steeper than 45° is a roof: its edges, not its corners, hide it.
    let outward = (facing.z.abs() < level).then(|| (facing.x / level, facing.y / level));

    let mut energy = [0.0; BAND_COUNT];
    for patch in radiator.patches(receiver) {
        let behind = (receiver - patch.at).dot(facing) < 0.0;
        let span = Span::new(patch.at, receiver, site);
        let mut ways = obstacles.ways(patch.at, outward, receiver);
        if behind && ways.first().is_some_and(Way::in_sight) {
            ways = vec![Way::OverTop(along_the_plane(&span))];
        }
        let mut ground_db = 0.0;
        for band in Band::all() {
            // The ground's table has a row an octave, beginning with its lowest band.
            if band.index().is_multiple_of(BANDS_IN_OCTAVE) {
                ground_db = span.ground_db(band);
            }
            let loss = span.loss_db(band, air_db_per_m[band.index()], ground_db, &ways);
            energy[band.index()] += patch.weight * math::energy_of_db(HALF_SPACE_DB - loss);
        }
    }
    Spectrum::from_fn(|band| -math::db_of_energy(energy[band.index()].max(f64::MIN_POSITIVE)))
}

/// Solid-angle index DΩ of a source in front of a large wall, dB (EN 12354-4:2000, 4.3: radiation into a half
/// space).
const HALF_SPACE_DB: f64 = 3.010_299_956_639_812;

/// Bands of an octave.
const BANDS_IN_OCTAVE: usize = 3;

/// Straight line and reflection on the ground between a patch and a receiver.
struct Span {
    direct_m: f64,
    plan_m: f64,
    source_height_m: f64,
    receiver_height_m: f64,
    ground: GroundFactors,
    as_written: bool,
}

impl Span {
    fn new(source: Point3, receiver: Point3, site: &Site) -> Self {
        Self {
            direct_m: source.distance_m(receiver).max(1e-3),
            plan_m: source.plan_distance_m(receiver),
            source_height_m: source.z_m.max(0.0),
            receiver_height_m: receiver.z_m.max(0.0),
            ground: site.ground,
            as_written: site.ground_as_written,
        }
    }

    /// All losses from the patch to the receiver, dB: `A = Adiv + Aatm + Agr + Abar` (ISO 9613-2:1996, equation 4).
    ///
    /// Over a top edge `Abar = Dz − Agr`, but a gain by the ground stays; round a side `Abar = Dz` (equations 12 and
    /// 13); the ways add up in energy, never to more than without a screen (ISO/TR 17534-3:2015, clause 5, by its
    /// worked cases).
    fn loss_db(&self, band: Band, air_db_per_m: f64, ground: f64, ways: &[Way]) -> f64 {
        let wavelength_m = SPEED_OF_SOUND_M_S / band.nominal_hz();
        let screen = |path: &DiffractedPath| screening_db(wavelength_m, path);
        let barrier = |way: &Way| match way {
            Way::Clear => 0.0,
            Way::OverTop(path) => (screen(path) - ground.max(0.0)).max(0.0),
            Way::RoundSide { path, fence } => screen(path) + fence.as_ref().map_or(0.0, screen),
        };
        let passed = match ways.split_first() {
            Some((first, others)) => {
                // Past an edge in sight the other ways come in by degrees, as Dz itself does, so that no step is left
                // where the edge begins to hide the receiver.
                let nearest = barrier(first);
                let entering = if first.in_sight() { (nearest / AT_THE_EDGE_DB).min(1.0) } else { 1.0 };
                let round: f64 = others.iter().map(|way| math::energy_of_db(-barrier(way))).sum();
                math::energy_of_db(-nearest) + entering * round
            }
            None => 1.0,
        };
        let barrier = -math::db_of_energy(passed.min(1.0));
        divergence_db(self.direct_m) + air_db_per_m * self.direct_m + ground + barrier
    }

    /// Agr of Table 3, dB, where it is an amplification less by what the longer way of the reflection takes.
    ///
    /// Table 3 holds for distances much larger than the heights: hard ground there doubles the energy. Close by, the
    /// reflected way is longer than the straight one and adds less, by the ratio of the squares as in equation 11.
    fn ground_db(&self, band: Band) -> f64 {
        let path = GroundPath {
            source_height_m: self.source_height_m,
            receiver_height_m: self.receiver_height_m,
            plan_distance_m: self.plan_m,
            ground: self.ground,
        };
        let far = ground_attenuation_db(band, &path);
        if far >= 0.0 || self.as_written {
            return far;
        }
        let (hs, hr) = (self.source_height_m, self.receiver_height_m);
        let straight = self.plan_m * self.plan_m + (hs - hr) * (hs - hr);
        let reflected = self.plan_m * self.plan_m + (hs + hr) * (hs + hr);
        let reach = if reflected > 0.0 { straight / reflected } else { 1.0 };
        -math::db_of_energy(1.0 + (math::energy_of_db(-far) - 1.0) * reach)
    }
}

/// Dz at the line of sight, dB: 10 lg 3.
const AT_THE_EDGE_DB: f64 = 4.771_212_547_196_624;

/// Where nothing is known of the edges an element hides behind: as if the receiver were just at the line of sight.
fn along_the_plane(span: &Span) -> DiffractedPath {
    DiffractedPath {
        direct_m: span.direct_m,
        source_to_edge_m: 0.0,
        edge_to_receiver_m: span.direct_m,
        between_edges_m: 0.0,
        round_the_side: false,
        in_sight: false,
    }
}

fn check_receiver(radiators: &[Radiator], site: &Site, receiver: &Receiver) -> Result<(), RoomError> {
    let at = receiver.at.checked(&format!("receiver {}", receiver.name))?;
    if at.z_m < 0.0 {
        return Err(RoomError::ReceiverBelowGround { receiver: receiver.name.clone(), below_m: -at.z_m });
    }
    if site.building.as_ref().is_some_and(|building| building.holds(at)) {
        return Err(RoomError::ReceiverInBuilding { receiver: receiver.name.clone() });
    }
    for radiator in radiators {
        let distance_m = radiator.distance_m(at);
        if distance_m < LEAST_DISTANCE_M {
            return Err(RoomError::ReceiverTooClose {
                receiver: receiver.name.clone(),
                element: radiator.part.name().to_owned(),
                distance_m,
                least_m: LEAST_DISTANCE_M,
            });
        }
    }
    Ok(())
}

/// Standard deviation of the way outdoors, dB, by Table 5 of ISO 9613-2 for the nearest radiator.
pub fn way_deviation_db(radiators: &[Radiator], receiver: Point3) -> f64 {
    let near = nearest_m(radiators, receiver) < 100.0;
    // Heights of a low garden building: the mean height follows the receiver's.
    let high = 0.5 * (receiver.z_m + TYPICAL_SOURCE_HEIGHT_M) > 5.0;
    let accuracy = if near && high { ACCURACY_HIGH_NEAR_DB } else { ACCURACY_LOW_DB };
    accuracy / ACCURACY_IN_DEVIATIONS
}

/// Middle height of the walls of a single-storey building, m.
const TYPICAL_SOURCE_HEIGHT_M: f64 = 1.5;
/// Farthest distance for which the standard states an accuracy, m (Table 5).
const FARTHEST_STATED_M: f64 = 1000.0;

fn nearest_m(radiators: &[Radiator], receiver: Point3) -> f64 {
    radiators.iter().map(|radiator| radiator.distance_m(receiver)).fold(f64::INFINITY, f64::min)
}

fn notes(radiators: &[Radiator], site: &Site, receiver: &Receiver) -> Vec<String> {
    let mut notes = vec![format!(
        "free field, light wind from the building: nearest element {} away, way outdoors ± {} (ISO 9613-2 Table 5); a wall behind the receiver adds up to {}",
        with_unit(nearest_m(radiators, receiver.at), 1, "m"),
        with_unit(way_deviation_db(radiators, receiver.at) * DEVIATIONS_TO_90TH, 1, "dB"),
        with_unit(3.0, 0, "dB"),
    )];
    if nearest_m(radiators, receiver.at) > FARTHEST_STATED_M {
        notes
            .push(format!("beyond {} the standard states no accuracy", with_unit(FARTHEST_STATED_M, 0, "m")));
    }
    if site.building.is_none() {
        notes.push(
            "no outline of the building was given: elements that face away are rated as if seen along their plane"
                .to_owned(),
        );
    }
    notes
}
