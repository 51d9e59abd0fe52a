//! The candidate faults of a room, each tried over its sizes, and the ranking of them.

use bands::{Band, Spectrum};
use proof::diagnosis::{Candidate, Case, Diagnosis, Explanation, Observed, Predicted, diagnose};
use quantities::{format::round_to, math};
use rayon::prelude::*;
use sound::paths::error_correlation;

use crate::{
    assemble::{
        faults,
        heard::Listening,
        proof::{
            At, fault_words,
            forward::{Foreseen, Forward},
            governing_sound, judged_bands,
        },
    },
    outcome::proof::{FaultSize, MendGain, ProofDiagnosis, RankedFault},
    project::{ElementId, Fault, Layer, LeakShape, OpeningKind, Place, Project, WallId},
};

/// How many sizes of a fault are tried (judgement).
const SIZES: usize = 20;
/// Explanations less likely than this are only counted (judgement).
const LEAST_SHOWN: f64 = 0.01;
/// Larger gaps than this share of their part are no gaps (judgement).
const MOST_GAP_SHARE: f64 = 0.02;

/// Shifts of all bands that are tried, dB (judgement: less is within what a measurement scatters, more is noticed).
const LEAST_SHIFT_DB: f64 = 2.0;
const MOST_SHIFT_DB: f64 = 30.0;

/// A kind of fault at one place, its size left open.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Suspect {
    /// A gap; size in mm².
    Gap(ElementId),
    /// A seal; size in mm.
    Seal(ElementId),
    /// Bridged clips; size in clips.
    BridgedClips,
    /// Missing fibre; size in %.
    MissingFill(ElementId),
    /// Panes too near; size in mm.
    Panes(ElementId),
    /// A weak wall; size in dB.
    WeakWall(WallId),
    /// Flanking; size in dB.
    Flanking(String),
    /// An air path; size in dB.
    AirPath(String),
    /// A background that nobody measured, as loud at each of these places of what was measured; with their receivers. Size in dB(A).
    Background(Vec<usize>, Vec<String>),
    /// All bands were read too high, or too low, at each of these places of what was measured: a gain was changed, or the source. Size in dB.
    Shifted {
        /// The places.
        places: Vec<usize>,
        /// Their receivers.
        receivers: Vec<String>,
        /// Whether too high.
        louder: bool,
        /// Whether they were recorded without a calibrator's tone.
        recorded: bool,
    },
}

impl Suspect {
    /// Its weight among the candidates before anything is measured (judgement: a gain that was changed is one of the commoner mistakes of
    /// whoever records without a calibrator, and stands here once for each place and each way).
    fn weight(&self) -> f64 {
        match self {
            Self::Shifted { recorded: true, .. } => 0.5,
            Self::Shifted { recorded: false, .. } => 0.2,
            _ => 1.0,
        }
    }

    /// The fault at a size; none of a background or of a gain, which are no faults of the room.
    pub(crate) fn fault(&self, size: f64) -> Option<Fault> {
        Some(match self {
            Self::Gap(element) => Fault::Gap { element: *element, area_mm2: size },
            Self::Seal(element) => Fault::Seal { element: *element, open_mm: size },
            Self::BridgedClips => Fault::BridgedClips { count: size.round().max(1.0) as u32 },
            Self::MissingFill(element) => {
                Fault::MissingFill { element: *element, share: (size / 100.0).clamp(0.0, 1.0) }
            }
            Self::Panes(element) => Fault::Panes { element: *element, depth_mm: size },
            Self::WeakWall(wall) => Fault::WeakWall { wall: *wall, loss_db: size },
            Self::Flanking(receiver) => Fault::Flanking { receiver: receiver.clone(), loss_db: size },
            Self::AirPath(vent) => Fault::AirPath { vent: vent.clone(), loss_db: size },
            Self::Background(..) | Self::Shifted { .. } => return None,
        })
    }

    /// Shapes it may have whatever its size; the usual one is not among them. How deep a crack goes and whether it lies in a corner nobody
    /// can see; its first resonance hangs on the one, twice as much or half on the other (judgement: from a board to a thick door).
    fn shapes(&self) -> Vec<LeakShape> {
        let shape = |depth_m, free, plain| LeakShape { depth_m, free, plain };
        match self {
            Self::Gap(_) => vec![
                shape(Some(0.015), false, false),
                shape(Some(0.03), false, false),
                shape(Some(0.015), true, false),
                shape(Some(0.03), true, false),
                shape(None, true, false),
            ],
            Self::Seal(_) => vec![
                shape(Some(0.015), false, true),
                shape(Some(0.03), false, true),
                shape(None, false, true),
                shape(Some(0.015), true, true),
                shape(Some(0.03), true, true),
                shape(None, true, true),
            ],
            _ => Vec::new(),
        }
    }

    /// Unit of its size and decimals worth printing.
    pub(crate) fn unit(&self) -> (&'static str, usize) {
        match self {
            Self::Gap(_) => ("mm²", 0),
            Self::Seal(_) => ("mm", 1),
            Self::BridgedClips => ("clips", 0),
            Self::MissingFill(_) => ("%", 0),
            Self::Panes(_) => ("mm", 0),
            Self::WeakWall(_) | Self::Flanking(_) | Self::AirPath(_) | Self::Shifted { .. } => ("dB", 0),
            Self::Background(..) => ("dB(A)", 0),
        }
    }
}

/// A suspect with the sizes it is tried at.
#[derive(Clone, Debug)]
pub(crate) struct Tried {
    pub(crate) suspect: Suspect,
    pub(crate) sizes: Vec<f64>,
}

/// Sizes in even steps of their logarithm.
fn spread(least: f64, most: f64) -> Vec<f64> {
    let step = math::ln(most / least) / (SIZES - 1) as f64;
    (0..SIZES).map(|at| least * math::exp(step * at as f64)).collect()
}

/// Every suspect that could be heard at the places that were measured.
pub(crate) fn suspects(forward: &Forward<'_>, listeners: &[usize]) -> Vec<Tried> {
    let project = forward.known.project;
    let mut all = Vec::new();
    let mut put = |suspect: Suspect, sizes: Vec<f64>| {
        if sizes.len() > 1 {
            all.push(Tried { suspect, sizes });
        }
    };
    let mut walls_done: Vec<WallId> = Vec::new();
    for id in forward.elements_heard(listeners) {
        let area_m2 = forward
            .known
            .shell
            .parts
            .iter()
            .find(|part| part.element == Some(id))
            .map_or(1.0, |part| part.part.reference_area_m2());
        put(Suspect::Gap(id), spread(10.0, (MOST_GAP_SHARE * area_m2 * 1e6).clamp(100.0, 20_000.0)));
        let Some(buildup) = project.buildup_of(id) else { continue };
        if has_fibre(&buildup.element.layers) {
            put(Suspect::MissingFill(id), spread(5.0, 100.0));
        }
        match id {
            ElementId::Ceiling => {
                let clips = forward.known.clips.map_or(0.0, |clips| clips.per_m2 * area_m2).round();
                if has_clips(project) && clips >= 4.0 {
                    let mut counts: Vec<f64> = spread(1.0, clips).iter().map(|count| count.round()).collect();
                    counts.dedup();
                    put(Suspect::BridgedClips, counts);
                }
            }
            ElementId::Wall(wall) => {
                if !walls_done.iter().any(|done| faults::same_walls(project, *done, id)) {
                    walls_done.push(wall);
                    put(Suspect::WeakWall(wall), spread(2.0, 25.0));
                }
            }
            ElementId::Opening(opening) => {
                let Some(opening) = project.openings.get(opening.0) else { continue };
                let open_mm = opening
                    .seal
                    .as_ref()
                    .and_then(|seal| catalogue::find::<catalogue::Seal>(seal.as_str()))
                    .map_or(0.3, |seal| seal.slit_width_mm.max(0.05));
                put(Suspect::Seal(id), spread(1.5 * open_mm, (10.0 * open_mm).max(5.0)));
                let depth_mm = faults::widest_cavity_mm(&buildup.element);
                if let (OpeningKind::Window, Some(depth_mm)) = (opening.kind, depth_mm) {
                    put(Suspect::Panes(id), spread((0.08 * depth_mm).max(1.0), 0.7 * depth_mm));
                }
            }
        }
    }
    for vent in project.vents.iter().filter(|vent| forward.hears(listeners, &vent.name)) {
        put(Suspect::AirPath(vent.name.clone()), spread(2.0, 30.0));
    }
    for listener in listeners {
        let Some(name) = forward.names().nth(*listener) else { continue };
        let place = project.receivers.iter().find(|one| one.name == name).map(|one| one.place);
        if let Some(Place::NextDoor(dwelling)) = place
            && dwelling.flanking_db > 0.0
        {
            put(Suspect::Flanking(name.to_owned()), spread(dwelling.flanking_db + 1.5, 40.0));
        }
    }
    all
}

fn has_fibre(layers: &[Layer]) -> bool {
    layers.iter().any(|layer| matches!(layer, Layer::Cavity(cavity) if cavity.fill_mm > 0.0))
}

fn has_clips(project: &Project) -> bool {
    project.buildup_of(ElementId::Ceiling).is_some_and(|buildup| {
        buildup.element.bridges.iter().any(|bridge| bridge.kind == crate::project::BridgeKind::Clip)
    })
}

/// One observed band: the place among what was measured, the listener, the band.
struct Point {
    at: usize,
    listener: usize,
    band: Band,
}

/// Diagnoses what was measured after the work; none where nothing was.
pub(crate) fn diagnosis(
    forward: &Forward<'_>,
    listening: &Listening,
    measured: &[At],
) -> Option<ProofDiagnosis> {
    let (points, observed) = observations(measured);
    let listeners: Vec<usize> =
        measured.iter().filter(|at| at.after.is_some()).map(|at| at.listener).collect();
    if observed.is_empty() {
        return None;
    }
    let mut tried = suspects(forward, &listeners);
    tried.extend(unknown_backgrounds(forward, measured));
    tried.extend(shifted_levels(forward, measured));
    let planned = forward.foreseen(None).ok()?;
    // Every size in the usual shape, then in each of the others.
    let jobs: Vec<(usize, f64, Option<LeakShape>)> = tried
        .iter()
        .enumerate()
        .flat_map(|(place, one)| {
            let shapes = std::iter::once(None).chain(one.suspect.shapes().into_iter().map(Some));
            shapes.flat_map(move |shape| one.sizes.iter().map(move |size| (place, *size, shape)))
        })
        .collect();
    let results: Vec<Option<Predicted>> = jobs
        .par_iter()
        .map(|(place, size, shape)| {
            let suspect = &tried.get(*place)?.suspect;
            match (suspect, suspect.fault(*size)) {
                (Suspect::Background(at, _), _) => {
                    Some(under_background(&planned, &points, measured, (at, *size)))
                }
                (Suspect::Shifted { places, louder, .. }, _) => Some(shifted(
                    predicted(&planned, &points),
                    &points,
                    places,
                    if *louder { -*size } else { *size },
                )),
                (_, Some(fault)) => {
                    let foreseen = match shape {
                        Some(shape) => forward.foreseen_shaped(&fault, *shape),
                        None => forward.foreseen(Some(&fault)),
                    };
                    Some(predicted(&foreseen.ok()?, &points))
                }
                _ => None,
            }
        })
        .collect();
    let mut results = results.into_iter();
    let mut candidates = Vec::new();
    let mut kept: Vec<Tried> = Vec::new();
    for one in tried {
        let mut table = || -> Option<Vec<Predicted>> {
            let rows: Vec<Option<Predicted>> = results.by_ref().take(one.sizes.len()).collect();
            rows.into_iter().collect()
        };
        let usual = table();
        let otherwise: Vec<Vec<Predicted>> = one.suspect.shapes().iter().filter_map(|_| table()).collect();
        if let Some(predicted) = usual {
            candidates.push(Candidate {
                name: fault_words::name(forward.known.project, &one.suspect),
                sizes: one.sizes.clone(),
                predicted,
                otherwise,
                weight: one.suspect.weight(),
            });
            kept.push(one);
        }
    }
    let case = Case {
        observed,
        as_planned: predicted(&planned, &points),
        candidates,
        band_correlation: error_correlation(),
    };
    let found = diagnose(&case);
    Some(told(forward, listening, measured, &kept, &found))
}

fn observations(measured: &[At]) -> (Vec<Point>, Vec<Observed>) {
    let mut points = Vec::new();
    let mut observed = Vec::new();
    for (place, at) in measured.iter().enumerate() {
        let Some(after) = &at.after else { continue };
        for band in judged_bands() {
            if let (Some(difference_db), Some(deviation_db)) =
                (after.difference_db.get(band), after.deviation_db.get(band))
            {
                points.push(Point { at: place, listener: at.listener, band });
                let at_least = after.at_least.contains(&band);
                observed.push(Observed { place, band, difference_db, deviation_db, at_least });
            }
        }
    }
    (points, observed)
}

fn predicted(foreseen: &[Foreseen], points: &[Point]) -> Predicted {
    let of = |point: &Point| foreseen.get(point.listener);
    let sources = foreseen.first().map_or(0, |one| one.moved_by_db.len());
    Predicted {
        difference_db: points
            .iter()
            .map(|point| of(point).map_or(f64::NAN, |one| one.difference_db.get(point.band)))
            .collect(),
        moved_by_db: (0..sources)
            .map(|source| {
                points
                    .iter()
                    .map(|point| {
                        let moved = of(point).and_then(|one| one.moved_by_db.get(source));
                        moved.map_or(0.0, |moved| moved.get(point.band))
                    })
                    .collect()
            })
            .collect(),
    }
}

/// Other sound at each place alone whose background was not measured, and, where there are several, the same at all of them: a road or the
/// wind is heard at every one.
fn unknown_backgrounds(forward: &Forward<'_>, measured: &[At]) -> Vec<Tried> {
    let unknown = |at: &At| at.after.as_ref().is_some_and(|after| after.background_unknown);
    alone_and_together(forward, measured, unknown)
        .into_iter()
        .map(|(places, names)| Tried {
            suspect: Suspect::Background(places, names),
            sizes: spread(15.0, 65.0),
        })
        .collect()
}

/// Levels that were all read too high or too low at one place, or, where there are several, at all of them alike: that is the recording inside.
fn shifted_levels(forward: &Forward<'_>, measured: &[At]) -> Vec<Tried> {
    let mut all = Vec::new();
    for (places, receivers) in alone_and_together(forward, measured, |at| at.after.is_some()) {
        let recorded = places.iter().filter_map(|place| measured.get(*place)).any(|at| at.gain_unknown);
        for louder in [true, false] {
            all.push(Tried {
                suspect: Suspect::Shifted {
                    places: places.clone(),
                    receivers: receivers.clone(),
                    louder,
                    recorded,
                },
                sizes: spread(LEAST_SHIFT_DB, MOST_SHIFT_DB),
            });
        }
    }
    all
}

/// Each of the places that are wanted by itself, and all of them where there are several; with the names of their receivers.
fn alone_and_together(
    forward: &Forward<'_>,
    measured: &[At],
    wanted: impl Fn(&At) -> bool,
) -> Vec<(Vec<usize>, Vec<String>)> {
    let (places, names): (Vec<usize>, Vec<String>) = measured
        .iter()
        .enumerate()
        .filter(|(_, at)| wanted(at))
        .map(|(place, at)| (place, forward.names().nth(at.listener).unwrap_or_default().to_owned()))
        .unzip();
    let alone = places.iter().zip(&names).map(|(place, name)| (vec![*place], vec![name.clone()]));
    let together = (places.len() > 1).then(|| (places.clone(), names.clone()));
    alone.chain(together).collect()
}

/// A prediction with the same added to every band at some places, dB.
fn shifted(mut planned: Predicted, points: &[Point], places: &[usize], by_db: f64) -> Predicted {
    for (difference, point) in planned.difference_db.iter_mut().zip(points) {
        if places.contains(&point.at) {
            *difference += by_db;
        }
    }
    planned
}

/// Shape of the background of quiet places: falling by 4 dB an octave, 0 dB at 1 kHz.
pub(super) fn quiet_place() -> Spectrum {
    Spectrum::from_fn(|band| -4.0 * math::log10(band.centre_hz() / 1000.0) / math::log10(2.0))
}

/// What is measured where a background of a level in dB(A) lies under it: as much in each octave as quiet places have, falling by 4 dB an octave
/// (typical of distant traffic, no source).
fn under_background(
    planned: &[Foreseen],
    points: &[Point],
    measured: &[At],
    (places, level_dba): (&[usize], f64),
) -> Predicted {
    let shape = quiet_place();
    let background = shape.shifted(level_dba - shape.total_a_db());
    let mut under = predicted(planned, points);
    for (at, point) in points.iter().enumerate().filter(|(_, point)| places.contains(&point.at)) {
        let source = measured
            .get(point.at)
            .and_then(|at| at.after.as_ref())
            .and_then(|after| after.source_db.get(point.band));
        let (Some(source_db), Some(difference)) = (source, under.difference_db.get_mut(at)) else { continue };
        let own = math::energy_of_db(source_db - *difference);
        let total = own + math::energy_of_db(background.get(point.band));
        *difference = source_db - math::db_of_energy(total.max(1e-30));
        for source in &mut under.moved_by_db {
            if let Some(moved) = source.get_mut(at) {
                *moved *= own / total.max(1e-30);
            }
        }
    }
    under
}

fn told(
    forward: &Forward<'_>,
    listening: &Listening,
    measured: &[At],
    tried: &[Tried],
    found: &Diagnosis,
) -> ProofDiagnosis {
    let project = forward.known.project;
    let shown = |one: &&Explanation| one.probability >= LEAST_SHOWN || one.like_the_first;
    let explanations: Vec<RankedFault> =
        found.explanations.iter().filter(shown).map(|one| ranked(forward, listening, tried, one)).collect();
    let mut told = ProofDiagnosis {
        sentence: String::new(),
        observations: found.observations,
        limits: found.limits,
        fits_nothing: found.fits_nothing,
        unlikely: found.explanations.len() - explanations.len(),
        explanations,
    };
    told.sentence = fault_words::verdict(project, &told, measured.len());
    told
}

fn ranked(forward: &Forward<'_>, listening: &Listening, tried: &[Tried], one: &Explanation) -> RankedFault {
    let project = forward.known.project;
    let tried = one.candidate.and_then(|place| tried.get(place));
    let size = tried.zip(one.size).map(|(tried, size)| {
        let (unit, decimals) = tried.suspect.unit();
        FaultSize {
            median: size.median,
            lower: size.lower,
            upper: size.upper,
            unit,
            decimals,
            at_the_end: size.at_the_end,
        }
    });
    let fault = tried.zip(one.size).and_then(|(tried, size)| {
        let (_, decimals) = tried.suspect.unit();
        tried.suspect.fault(round_to(size.median, decimals as u32 + 1))
    });
    let gains = fault.as_ref().map_or_else(Vec::new, |fault| gains(forward, listening, fault));
    let (look, tell) = match tried {
        Some(tried) => fault_words::look_and_tell(project, &tried.suspect),
        None => (String::new(), String::new()),
    };
    RankedFault {
        name: one.name.clone(),
        probability: one.probability,
        leads: one.like_the_first,
        size,
        fault,
        fit: one.fit,
        look,
        tell,
        gains,
    }
}

/// What mending a fault would gain at every receiver, by the sound that governs there.
fn gains(forward: &Forward<'_>, listening: &Listening, fault: &Fault) -> Vec<MendGain> {
    let (Ok(planned), Ok(with)) = (forward.foreseen(None), forward.foreseen(Some(fault))) else {
        return Vec::new();
    };
    forward
        .names()
        .zip(planned.iter().zip(&with))
        .filter_map(|(name, (planned, with))| {
            let place = forward.known.project.receivers.iter().position(|one| one.name == name)?;
            let (_, level) = governing_sound(forward.known, listening, place)?;
            let heard = |one: &Foreseen| level.minus(&one.difference_db).total_a_db();
            Some(MendGain { receiver: name.to_owned(), gain_dba: heard(with) - heard(planned) })
        })
        .collect()
}
