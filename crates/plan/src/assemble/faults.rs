//! What a fault that was found, or is tried, does to the shell of the room.

use std::borrow::Cow;

use bands::{Band, Spectrum};
use quantities::math;
use sound::{
    element::{Element, Leak, LeakKind, Part, SealClass, SealGap},
    predict::Prediction,
};

use crate::project::{BuildupId, ElementId, ElementSpec, Fault, Layer, Project};

/// Width of a gap as long as it is shorter than [`GAP_LENGTH_M`], m (judgement).
const GAP_WIDTH_M: f64 = 0.001;
/// Length from which on a gap is wider, not longer, m (judgement: a door's threshold, a board's edge). What a slit lets through grows with the
/// square of its width and with its length only once: a crack three times as long is found at six tenths of its area.
const GAP_LENGTH_M: f64 = 1.0;
/// Depth of a gap round the boards of a ceiling, m.
const BOARD_GAP_DEPTH_M: f64 = 0.03;
/// Depths a straight gap is taken to have, m: from a board to a thick wall.
const GAP_DEPTH_M: (f64, f64) = (0.03, 0.35);
/// How far the size of a fault that was measured varies, natural logarithm.
const FOUND_SPREAD: f64 = 0.3;

/// The build-up of a part as its faults leave it.
pub(crate) fn altered<'a>(project: &Project, id: ElementId, spec: &'a ElementSpec) -> Cow<'a, ElementSpec> {
    let depth_mm = project.faults().find_map(|fault| match fault {
        Fault::Panes { element, depth_mm } if element == id => Some(depth_mm),
        _ => None,
    });
    let Some(depth_mm) = depth_mm else { return Cow::Borrowed(spec) };
    let mut altered = spec.clone();
    if let Some(cavity) = widest_cavity(&mut altered) {
        cavity.depth_mm = depth_mm.min(cavity.depth_mm);
        cavity.fill_mm = cavity.fill_mm.min(cavity.depth_mm);
    }
    Cow::Owned(altered)
}

fn widest_cavity(spec: &mut ElementSpec) -> Option<&mut crate::project::Cavity> {
    spec.layers
        .iter_mut()
        .filter_map(|layer| if let Layer::Cavity(cavity) = layer { Some(cavity) } else { None })
        .max_by(|a, b| a.depth_mm.total_cmp(&b.depth_mm))
}

/// Clear depth of the widest cavity of a build-up, mm.
pub(crate) fn widest_cavity_mm(spec: &ElementSpec) -> Option<f64> {
    widest_cavity(&mut spec.clone()).map(|cavity| cavity.depth_mm)
}

/// Clips bridged on top of those the file states.
pub(crate) fn bridged_clips(project: &Project) -> u32 {
    project.faults().map(|fault| if let Fault::BridgedClips { count } = fault { count } else { 0 }).sum()
}

/// Gaps in a part. `around_m` is its outline; `inner` the number of its innermost leaf where it has several and is a ceiling, whose gaps
/// open into the space above.
pub(crate) fn gaps(
    project: &Project,
    id: ElementId,
    around_m: f64,
    depth_m: f64,
    inner: Option<usize>,
) -> Vec<Leak> {
    project
        .faults()
        .filter_map(|fault| match fault {
            Fault::Gap { element, area_mm2 } if element == id => Some(area_mm2 * 1e-6),
            _ => None,
        })
        .map(|area_m2| {
            let length_m = (area_m2 / GAP_WIDTH_M).min(around_m).clamp(0.005, GAP_LENGTH_M);
            Leak {
                name: format!("gap found at {}", project.element_name(id)),
                leaf: inner,
                kind: LeakKind::Slit {
                    length_m,
                    width_m: area_m2 / length_m,
                    depth_m: project.leak_shape.depth_m.unwrap_or(if inner.is_some() {
                        BOARD_GAP_DEPTH_M
                    } else {
                        depth_m.clamp(GAP_DEPTH_M.0, GAP_DEPTH_M.1)
                    }),
                    filling_pa_s_m2: None,
                    at_edge: !project.leak_shape.free,
                },
                size_spread: FOUND_SPREAD,
            }
        })
        .collect()
}

/// The seal of an opening as its fault leaves it.
pub(crate) fn seal(project: &Project, id: ElementId, planned: Option<Leak>, around_m: f64) -> Option<Leak> {
    let open_m = project.faults().find_map(|fault| match fault {
        Fault::Seal { element, open_mm } if element == id => Some(open_mm / 1000.0),
        _ => None,
    });
    let Some(open_m) = open_m else { return planned };
    let shape = project.leak_shape;
    let gap = SealGap { width_m: open_m, ..SealClass::Compression.gap() };
    let depth_m = shape.depth_m.unwrap_or(gap.depth_m);
    if shape.plain {
        let (name, leaf) = planned.map_or((String::new(), None), |planned| (planned.name, planned.leaf));
        let kind = LeakKind::Slit {
            length_m: around_m,
            width_m: open_m,
            depth_m,
            filling_pa_s_m2: None,
            at_edge: !shape.free,
        };
        return Some(Leak { name, leaf, kind, size_spread: FOUND_SPREAD });
    }
    let gap = SealGap { depth_m, ..gap };
    Some(match planned {
        Some(Leak { kind: LeakKind::Seal { length_m, gap }, name, leaf, .. }) => Leak {
            name,
            leaf,
            kind: LeakKind::Seal {
                length_m,
                gap: SealGap { width_m: open_m, depth_m: shape.depth_m.unwrap_or(gap.depth_m), ..gap },
            },
            size_spread: FOUND_SPREAD,
        },
        Some(Leak { name, leaf, .. }) => {
            Leak { name, leaf, kind: LeakKind::Seal { length_m: around_m, gap }, size_spread: FOUND_SPREAD }
        }
        None => Leak {
            name: String::new(),
            leaf: None,
            kind: LeakKind::Seal { length_m: around_m, gap },
            size_spread: FOUND_SPREAD,
        },
    })
}

/// What is left to change once an element is predicted.
#[derive(Clone, Debug, Default)]
pub(crate) struct Afterwards {
    /// Share of the face without fibre, and the element without it.
    unfilled: Option<(f64, Element)>,
    /// By how much less it insulates, dB.
    weaker_db: f64,
}

impl Afterwards {
    /// For one part.
    pub(crate) fn of(project: &Project, id: ElementId, element: &Element) -> Self {
        let mut afterwards = Self::default();
        for fault in project.faults() {
            match fault {
                Fault::MissingFill { element: part, share } if part == id => {
                    afterwards.unfilled = Some((share.clamp(0.0, 1.0), without_fibre(element)));
                }
                Fault::WeakWall { wall, loss_db } if same_walls(project, wall, id) => {
                    afterwards.weaker_db += loss_db;
                }
                _ => {}
            }
        }
        afterwards
    }

    /// R as the faults leave it, dB.
    pub(crate) fn reduction_db(&self, planned: &Spectrum) -> Result<Spectrum, String> {
        let bare = match &self.unfilled {
            Some((share, element)) => {
                let transmission =
                    sound::predict::transmission(element).map_err(|error| error.to_string())?;
                Some((*share, transmission.reduction_index()))
            }
            None => None,
        };
        Ok(planned.map(|band, r| self.one_band(band, r, bare.as_ref())))
    }

    fn one_band(&self, band: Band, planned_db: f64, bare: Option<&(f64, Spectrum)>) -> f64 {
        let mixed = bare.map_or(planned_db, |(share, bare)| {
            let tau =
                (1.0 - share) * math::energy_of_db(-planned_db) + share * math::energy_of_db(-bare.get(band));
            -math::db_of_energy(tau.max(1e-30))
        });
        mixed - self.weaker_db
    }

    /// A prediction as the faults leave it: best estimate and both ends of its range move together.
    pub(crate) fn change(&self, prediction: &mut Prediction) -> Result<(), String> {
        if self.unfilled.is_none() && self.weaker_db == 0.0 {
            return Ok(());
        }
        let changed = self.reduction_db(&prediction.r_db)?;
        let step = changed.minus(&prediction.r_db);
        prediction.r_db = changed;
        prediction.lower_db = prediction.lower_db.plus_correction(&step);
        prediction.upper_db = prediction.upper_db.plus_correction(&step);
        let ratings = bands::rate_spectrum(&prediction.r_db).map_err(|error| error.to_string())?;
        let moved = ratings.rw_exact_db - prediction.ratings.rw_exact_db;
        prediction.rw_lower_db += moved;
        prediction.rw_upper_db += moved;
        prediction.ratings = ratings;
        Ok(())
    }
}

/// Whether a part is a wall of the same build-up as another: they are built by the same hands.
pub(crate) fn same_walls(project: &Project, wall: crate::project::WallId, id: ElementId) -> bool {
    let buildup = |at: usize| -> Option<BuildupId> { project.walls.get(at).map(|wall| wall.buildup) };
    match id {
        ElementId::Wall(other) => buildup(other.0).is_some() && buildup(other.0) == buildup(wall.0),
        ElementId::Ceiling | ElementId::Opening(_) => false,
    }
}

fn without_fibre(element: &Element) -> Element {
    let mut bare = element.clone();
    for part in &mut bare.parts {
        if let Part::Cavity(cavity) = part {
            cavity.fills.clear();
        }
    }
    bare
}

/// The allowances for flanking and the losses of air paths as faults leave them.
pub(crate) fn with_allowances(project: &Project) -> Cow<'_, Project> {
    let mut changed = Cow::Borrowed(project);
    for fault in project.faults() {
        if let Fault::Flanking { receiver, loss_db } = fault {
            for one in changed.to_mut().receivers.iter_mut().filter(|one| one.name == receiver) {
                if let crate::project::Place::NextDoor(dwelling) = &mut one.place {
                    dwelling.flanking_db = loss_db;
                }
            }
        }
    }
    changed
}

/// By how much less an air path quietens, dB.
pub(crate) fn air_path_loss_db(project: &Project, vent: &str) -> f64 {
    project
        .faults()
        .map(|fault| match fault {
            Fault::AirPath { vent: name, loss_db } if name == vent => loss_db,
            _ => 0.0,
        })
        .sum()
}
