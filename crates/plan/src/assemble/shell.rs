//! The shell of the room as parts that let sound through: ceiling, walls, openings, gaps, air paths.

use bands::{Band, Ratings, Spectrum};
use fabric::duct::AirPathResult;
use quantities::math;
use rayon::prelude::*;
use sound::{
    composite::Part,
    element::{self as acoustic, Element, Leak, Mounting},
    predict::{Limit, Prediction},
    ranged::RangedSpectrum,
};
use survey::Survey;

use crate::{
    assemble::{
        element::{ClipPattern, Setting, element},
        faults::{self, Afterwards},
        leaks,
    },
    memory::Recalling,
    outcome::ElementOutcome,
    project::{ElementId, Faces, Layer, OpeningKind, Project, RoofKind, SealId, WallId},
};

/// An area smaller than this is not worth a part, m².
const LEAST_AREA_M2: f64 = 1e-3;
/// How well a lined duct's loss is known, dB (Sabine's formula against measurements; typical, no source).
pub(crate) const DUCT_SPREAD_DB: f64 = 3.0;

/// Where a part sits in the shell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Place {
    /// The ceiling with the roof.
    Roof,
    /// All of a wall but its openings.
    Wall(WallId),
    /// A rectangle in a wall: from the first corner, sill, width, height, mm.
    InWall {
        /// The wall.
        wall: WallId,
        /// From the wall's first corner to its near edge.
        from_mm: f64,
        /// Its lower edge above the floor.
        sill_mm: f64,
        /// Its width.
        width_mm: f64,
        /// Its height.
        height_mm: f64,
    },
}

/// A part of the shell with its place.
#[derive(Clone, Debug)]
pub(crate) struct ShellPart {
    /// What it insulates.
    pub(crate) part: Part,
    /// Where it sits.
    pub(crate) place: Place,
    /// The element it is or is in; none of an air path.
    pub(crate) element: Option<ElementId>,
}

/// The shell: parts for the sum, elements for the sheets.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shell {
    /// Parts.
    pub(crate) parts: Vec<ShellPart>,
    /// Elements.
    pub(crate) elements: Vec<ElementOutcome>,
    /// What could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

impl Shell {
    /// The name, or the name with a number where a part has it already: shares are told apart by name.
    fn free_name(&self, name: &str) -> String {
        let taken = |name: &str| self.parts.iter().any(|part| part.part.name() == name);
        if !taken(name) {
            return name.to_owned();
        }
        let numbered = |number: usize| format!("{name} ({number})");
        (2..=self.parts.len() + 2).map(numbered).find(|name| !taken(name)).unwrap_or_default()
    }
}

/// An element to be predicted.
pub(crate) struct Job {
    id: ElementId,
    /// Where it sits.
    pub(crate) place: Place,
    faces: Faces,
    /// The build-up's name.
    pub(crate) buildup: String,
    /// Its area, m².
    pub(crate) area_m2: f64,
    /// What is predicted.
    pub(crate) element: Element,
    /// What goes straight through it: gaps and what goes through it in the order of the file, then its seal.
    pub(crate) leaks: Vec<Leak>,
    /// What faults change once it is predicted.
    afterwards: Afterwards,
    /// Whether it is a window, whose cavities must stay clear.
    seen_through: bool,
}

/// Elements with their predictions, not yet put together.
pub(crate) struct Predicted {
    jobs: Vec<Job>,
    results: Vec<Result<Prediction, String>>,
}

impl Predicted {
    fn of(jobs: Vec<Job>, memory: &Recalling<'_>) -> Self {
        let results = jobs.par_iter().map(|job| memory.predicted(&job.element)).collect();
        Self { jobs, results }
    }
}

/// Predicts walls and openings; they do not wait for the ceiling to be set out.
pub(crate) fn walls_and_openings(project: &Project, survey: &Survey, memory: &Recalling<'_>) -> Predicted {
    Predicted::of(jobs(project, survey, None, 0, &|id| id != ElementId::Ceiling), memory)
}

/// Predicts the ceiling with the clips as they were set out.
pub(crate) fn roof(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    bridged_clips: u32,
    memory: &Recalling<'_>,
) -> Predicted {
    Predicted::of(jobs(project, survey, clips, bridged_clips, &|id| id == ElementId::Ceiling), memory)
}

/// One part of an element as it is now, without its uncertainty: name, R in dB, area in m².
#[derive(Clone, Debug)]
pub(crate) struct BarePart {
    /// Its name.
    pub(crate) name: String,
    /// The element it is or is in.
    pub(crate) element: ElementId,
    /// Sound reduction index, dB.
    pub(crate) r_db: Spectrum,
    /// Area, m².
    pub(crate) area_m2: f64,
}

/// Some elements with the leaks in them, best estimates only: what trying a fault needs.
pub(crate) fn bare_parts(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    wanted: &dyn Fn(ElementId) -> bool,
) -> Result<Vec<BarePart>, String> {
    let mut parts = Vec::new();
    for job in jobs(project, survey, clips, project.ceiling.bridged_clips, wanted) {
        let transmission = sound::predict::transmission(&job.element).map_err(|error| error.to_string())?;
        let r_db = job.afterwards.reduction_db(&transmission.reduction_index())?;
        let (element, area_m2) = (job.id, job.area_m2);
        parts.push(BarePart { name: job.element.name.clone(), element, r_db, area_m2 });
        for leak in &job.leaks {
            let r_db = leak_r_db(&job.element, leak, job.area_m2)?;
            parts.push(BarePart { name: leak.name.clone(), element, r_db, area_m2 });
        }
    }
    Ok(parts)
}

/// Puts the shell together: elements in the order given, then the air paths.
pub(crate) fn shell(
    project: &Project,
    predicted: impl IntoIterator<Item = Predicted>,
    air_paths: &[AirPathResult],
    memory: &Recalling<'_>,
) -> Shell {
    let mut shell = Shell::default();
    for (job, prediction) in predicted.into_iter().flat_map(|one| one.jobs.into_iter().zip(one.results)) {
        match prediction {
            Ok(prediction) => put(&mut shell, job, prediction, memory),
            Err(sentence) => shell.not_checked.push(sentence),
        }
    }
    for (vent, path) in project
        .vents
        .iter()
        .filter_map(|vent| air_paths.iter().find(|path| path.name == vent.name).map(|path| (vent, path)))
    {
        let loss_db = faults::air_path_loss_db(project, &vent.name);
        let dn_e = path.normalised_level_difference_db().shifted(-loss_db);
        let place = Place::InWall {
            wall: vent.wall,
            from_mm: vent.from_corner_mm - vent.duct_width_mm / 2.0,
            sill_mm: vent.above_floor_mm - vent.duct_height_mm / 2.0,
            width_mm: vent.duct_width_mm,
            height_mm: vent.duct_height_mm,
        };
        let name = shell.free_name(&vent.name);
        match RangedSpectrum::with_deviation(&name, dn_e, &Spectrum::flat(DUCT_SPREAD_DB)) {
            Ok(ranged) => {
                shell.parts.push(ShellPart {
                    part: Part::small(&name, "air path", ranged),
                    place,
                    element: None,
                });
            }
            Err(error) => shell.not_checked.push(error.to_string()),
        }
    }
    shell
}

/// For each element what one build of it insulates more than the nominal one, dB, and its kind.
#[cfg(test)]
pub(crate) fn sampled_builds(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    build: usize,
) -> Vec<(String, Spectrum, sound::model_spread::Kind)> {
    jobs(project, survey, clips, project.ceiling.bridged_clips, &|_| true)
        .iter()
        .filter_map(|job| {
            let nominal = sound::predict::transmission(&job.element).ok()?.reduction_index();
            let built = sound::spread::sampled_reduction_index(&job.element, build).ok()?;
            let kind = sound::model_spread::Kind::of(&job.element);
            Some((job.element.name.clone(), built.minus(&nominal), kind))
        })
        .collect()
}

/// What is to be predicted of the elements that are wanted.
pub(crate) fn jobs(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    bridged_clips: u32,
    wanted: &dyn Fn(ElementId) -> bool,
) -> Vec<Job> {
    let mut jobs = Vec::new();
    let mut put =
        |id: ElementId, place: Place, faces: Faces, area_m2: f64, size_m: (f64, f64), leaks: Vec<Leak>| {
            let Some(buildup) = project.buildup_of(id).filter(|_| wanted(id)) else { return };
            let spec = faults::altered(project, id, &buildup.element);
            let name = match id {
                ElementId::Wall(_) => format!("wall {}", project.element_name(id)),
                _ => project.element_name(id),
            };
            // What leaks through one leaf of several into the cavity is part of the element; what goes straight through is a part of its own.
            let around_m = 2.0 * (size_m.0 + size_m.1);
            let found =
                faults::gaps(project, id, around_m, leaks::depth_m(&spec), leaks::inner_leaf(&spec, id));
            let several = spec.layers.iter().any(|layer| matches!(layer, Layer::Cavity(_)));
            let (own, leaks) =
                leaks.into_iter().chain(found).partition(|leak: &Leak| several && leak.leaf.is_some());
            let setting = Setting {
                name,
                width_m: size_m.0,
                height_m: size_m.1,
                mounting: Mounting::InSitu,
                leaks: own,
                clips: if id == ElementId::Ceiling { clips } else { None },
                bridged_clips: (id == ElementId::Ceiling)
                    .then(|| bridged_clips.saturating_add(faults::bridged_clips(project))),
            };
            let element = element(&spec, setting);
            jobs.push(Job {
                id,
                place,
                faces,
                buildup: buildup.element.name.clone(),
                area_m2,
                afterwards: Afterwards::of(project, id, &element),
                element,
                leaks,
                seen_through: matches!(id, ElementId::Opening(at)
                    if project.openings.get(at.0).is_some_and(|opening| opening.kind == OpeningKind::Window)),
            });
        };
    let gaps_of = |id: ElementId| {
        project
            .gaps
            .iter()
            .filter(|gap| gap.element == id)
            .map(|gap| leaks::of_gap(&gap.place, gap.shape, gap.depth_mm, gap.filling))
            .chain(
                project
                    .penetrations
                    .iter()
                    .filter(|penetration| penetration.element == id)
                    .filter_map(|penetration| Some((penetration, project.buildup_of(id)?)))
                    .flat_map(|(penetration, buildup)| {
                        leaks::of_penetration(&penetration.what, &buildup.element)
                    }),
            )
            .collect::<Vec<_>>()
    };
    let floor_m2 = survey.area_mm2 * 1e-6;
    let side_m = floor_m2.sqrt();
    put(
        ElementId::Ceiling,
        Place::Roof,
        Faces::Outside,
        floor_m2,
        (side_m, side_m),
        gaps_of(ElementId::Ceiling),
    );
    for (index, wall) in project.walls.iter().enumerate() {
        let id = WallId(index);
        let length_m = survey.walls.get(index).map_or(1.0, |wall| wall.length_mm) / 1000.0;
        let height_m = wall.height_mm / 1000.0;
        let openings_m2: f64 = project
            .openings
            .iter()
            .filter(|opening| opening.wall == id)
            .map(|opening| opening.width_mm * opening.height_mm * 1e-6)
            .sum();
        let area_m2 = length_m * height_m - openings_m2;
        if area_m2 > LEAST_AREA_M2 {
            let element = ElementId::Wall(id);
            put(element, Place::Wall(id), wall.faces, area_m2, (length_m, height_m), gaps_of(element));
        }
    }
    for (index, opening) in project.openings.iter().enumerate() {
        let id = ElementId::Opening(crate::project::OpeningId(index));
        let (width_m, height_m) = (opening.width_mm / 1000.0, opening.height_mm / 1000.0);
        let faces = project.walls.get(opening.wall.0).map_or(Faces::Outside, |wall| wall.faces);
        let mut leaks = gaps_of(id);
        // Whoever names no seal, of the opening or of its leaves, has none.
        let by_leaf = project.buildup_of(id).is_some_and(|buildup| leaks::has_leaf_seal(&buildup.element));
        let none = (!by_leaf).then_some(leaks::NO_SEAL);
        let seal = opening.seal.as_ref().map(SealId::as_str).or(none);
        let planned = seal.and_then(|seal| leaks::of_seal(seal, (width_m, height_m)));
        let seal = faults::seal(project, id, planned, 2.0 * (width_m + height_m));
        leaks.extend(seal.map(|mut leak| {
            leak.name = format!("{} seal", opening.name);
            leak
        }));
        let place = Place::InWall {
            wall: opening.wall,
            from_mm: opening.from_corner_mm,
            sill_mm: opening.sill_mm,
            width_mm: opening.width_mm,
            height_mm: opening.height_mm,
        };
        put(id, place, faces, width_m * height_m, (width_m, height_m), leaks);
    }
    jobs
}

/// Advice for a cavity one looks through: its reveals can absorb, fibre cannot be put into it.
fn seen_through(advice: &str) -> String {
    advice
        .replace(" Fill the cavity with soft fibre.", " Line the reveals with something absorbent.")
        .replace(
            "Soft fibre in it, or absorbent edges where it must stay clear, takes it out.",
            "Absorbent reveals all round take it out.",
        )
}

/// Adds an element and, each as a part of its own, the leaks in it.
fn put(shell: &mut Shell, job: Job, mut prediction: Prediction, memory: &Recalling<'_>) {
    if job.seen_through {
        for sentence in &mut prediction.advice {
            *sentence = seen_through(sentence);
        }
    }
    if let Err(sentence) = job.afterwards.change(&mut prediction) {
        shell.not_checked.push(sentence);
    }
    let name = shell.free_name(&job.element.name);
    let ratings: Option<Ratings> = bands::rate_spectrum(&prediction.r_db).ok();
    let part = RangedSpectrum::new(&name, prediction.r_db, prediction.lower_db, prediction.upper_db)
        .and_then(|ranged| Part::with_area(&name, &job.buildup, ranged, job.area_m2));
    match part {
        Ok(part) => shell.parts.push(ShellPart { part, place: job.place, element: Some(job.id) }),
        Err(error) => shell.not_checked.push(error.to_string()),
    }
    for leak in job.leaks {
        let leak = Leak { name: shell.free_name(&leak.name), ..leak };
        let part = memory.recall(&memory.leaks, &(&job.element, &leak, job.area_m2), || {
            leak_part(&job.element, &leak, job.area_m2)
        });
        match part {
            Ok(part) => shell.parts.push(ShellPart { part, place: job.place, element: Some(job.id) }),
            Err(sentence) => shell.not_checked.push(sentence),
        }
    }
    shell.elements.push(ElementOutcome {
        name: match job.id {
            ElementId::Ceiling => "ceiling and roof".to_owned(),
            _ => name,
        },
        buildup: job.buildup,
        area_m2: job.area_m2,
        faces: match job.faces {
            Faces::Outside => "outside",
            Faces::Building => "building",
            Faces::Neighbour => "neighbour",
            Faces::Ground => "ground",
        },
        limited_by: prediction.limits.iter().map(|limit| (limit.band, limit_word(limit.what))).collect(),
        prediction,
        ratings,
    });
}

pub(crate) fn leak_part(element: &Element, leak: &Leak, area_m2: f64) -> Result<Part, String> {
    let r_db = leak_r_db(element, leak, area_m2)?;
    // A size spread of s in the natural logarithm is 4.34 s dB in what gets through.
    let deviation_db = 10.0 / math::LN_10 * leak.size_spread;
    RangedSpectrum::with_deviation(&leak.name, r_db, &Spectrum::flat(deviation_db))
        .and_then(|ranged| Part::with_area(&leak.name, &leak.name, ranged, area_m2))
        .map_err(|error| error.to_string())
}

/// R of a leak alone, referred to the area that is left of its element, dB.
fn leak_r_db(element: &Element, leak: &Leak, area_m2: f64) -> Result<Spectrum, String> {
    // What goes straight through does so whatever the element is made of: one sheet is enough to stand for it.
    let alone = Element {
        name: element.name.clone(),
        width_m: element.width_m,
        height_m: element.height_m,
        parts: vec![acoustic::Part::Leaf(acoustic::Leaf::thin(
            "",
            vec![acoustic::Sheet::from_wave_speed("", 0.01, 1000.0, 2000.0)],
        ))],
        leaks: vec![Leak { leaf: None, ..leak.clone() }],
        ..Element::default()
    };
    let transmission = sound::Prepared::new(&alone).map_err(|error| error.to_string())?.transmission();
    // The prepared element refers the leak to the element's own face.
    let scale = element.area_m2() / area_m2;
    Ok(Spectrum::from_fn(|band: Band| {
        -math::db_of_energy((transmission.leak[band.index()] * scale).clamp(1e-20, 1e3))
    }))
}

fn limit_word(limit: Limit) -> &'static str {
    match limit {
        Limit::Mass => "mass",
        Limit::Stiffness => "stiffness",
        Limit::Resonance => "resonance",
        Limit::Cavity => "cavity",
        Limit::Bridge => "bridge",
        Limit::Coincidence => "coincidence",
        Limit::Leak => "leak",
        Limit::Measured => "measured",
    }
}

/// Whether a part of the shell is in the open air.
pub(crate) fn is_outside(project: &Project, place: Place) -> bool {
    match place {
        // Under another storey the ceiling faces no open air.
        Place::Roof => project.roof.as_ref().is_some_and(|roof| roof.kind != RoofKind::Floor),
        Place::Wall(wall) | Place::InWall { wall, .. } => {
            project.walls.get(wall.0).is_some_and(|wall| wall.faces == Faces::Outside)
        }
    }
}
