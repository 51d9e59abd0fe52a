//! The forward model: what the level differences would be with one part of the shell changed, everything else kept.

use bands::{Band, Spectrum};
use fabric::room::RoomResult;
use quantities::math;
use sound::{
    en_12354_3_2000::LevelPlace,
    en_12354_4_2000::InsideField,
    flanking::FLANKING_NAME,
    inwards::{paths_indoors, paths_next_door},
    outdoors::{Radiator, Receiver as ListeningPlace, Site, paths_outdoors},
    paths::{SoundPath, SoundPaths},
};
use survey::Survey;

use crate::{
    assemble::{
        element::ClipPattern,
        faults,
        heard::{self, Ground},
        radiators::radiators,
        shell::{BarePart, Shell, bare_parts},
    },
    project::{AsProved, ElementId, Fault, FoundFault, LeakShape, Place, Project, Receiver},
};

/// Standard deviation of a leak of stated size, dB: what the formulas for slits are off by (judgement).
const LEAK_MODEL_DB: f64 = 1.5;

/// What is known of the room once it is planned.
pub(crate) struct Known<'a> {
    /// The project.
    pub(crate) project: &'a Project,
    /// Its adjusted room.
    pub(crate) survey: &'a Survey,
    /// The clips as set out.
    pub(crate) clips: Option<ClipPattern>,
    /// The shell as planned.
    pub(crate) shell: &'a Shell,
    /// The room inside.
    pub(crate) room: Option<&'a RoomResult>,
    /// Its volume, m³.
    pub(crate) volume_m3: f64,
    /// Top of the roof above the ground, m.
    pub(crate) roof_top_m: f64,
}

/// Whose a path is.
#[derive(Clone, Debug, PartialEq)]
enum Owner {
    Element(ElementId),
    Vent,
    Flanking,
}

/// One receiver with every way to it.
struct Listener {
    name: String,
    paths: SoundPaths,
    owners: Vec<Owner>,
    /// What the median of the sample lies over the sum of the parts' own medians, dB.
    above_sum_db: Spectrum,
}

/// The forward model of a room.
pub(crate) struct Forward<'a> {
    /// The room.
    pub(crate) known: &'a Known<'a>,
    listeners: Vec<Listener>,
    groups: Vec<String>,
}

/// What one receiver would measure.
#[derive(Clone, Debug)]
pub(crate) struct Foreseen {
    /// Level difference, dB.
    pub(crate) difference_db: Spectrum,
    /// For each source of error by how much one standard deviation of it moves the difference, dB.
    pub(crate) moved_by_db: Vec<Spectrum>,
}

/// An error of the truth against the prediction, dB more level, of a part (name, group, its standard deviation) or of a way.
pub(crate) trait Errors {
    /// Of a part.
    fn of_part(&self, name: &str, group: &str, deviation_db: &Spectrum) -> Spectrum;
    /// Of the way to a receiver.
    fn of_way(&self, receiver: &str, deviation_db: f64) -> Spectrum;
}

/// What a fault changes.
enum Changed {
    Nothing,
    Parts(Vec<BarePart>),
    Vent(String, f64),
    Flanking(String, f64),
}

impl<'a> Forward<'a> {
    /// The ways to every receiver that has a prediction; an error where the site itself gives none.
    pub(crate) fn new(known: &'a Known<'a>) -> Result<Self, String> {
        let ground = Ground::new(known.project, known.survey, known.roof_top_m);
        let outside = heard::site(known.project, known.survey, &ground)
            .and_then(|site| Ok((site, radiators(known.project, known.survey, known.shell, &ground)?)));
        let listeners: Vec<Listener> = known
            .project
            .receivers
            .iter()
            .filter_map(|receiver| {
                let outside = outside.as_ref().ok();
                paths_to(known, &ground, receiver, outside)
                    .ok()
                    .map(|paths| Listener::new(known, receiver, paths))
            })
            .collect();
        let mut groups: Vec<String> = Vec::new();
        for path in listeners.iter().flat_map(|listener| &listener.paths.paths) {
            if !groups.contains(&path.group) {
                groups.push(path.group.clone());
            }
        }
        match outside {
            Err(sentence) if listeners.is_empty() => Err(sentence),
            _ => Ok(Self { known, listeners, groups }),
        }
    }

    /// Place of a receiver among the listeners.
    pub(crate) fn listener(&self, receiver: &str) -> Option<usize> {
        self.listeners.iter().position(|listener| listener.name == receiver)
    }

    /// Names of all listeners.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.listeners.iter().map(|listener| listener.name.as_str())
    }

    /// Planned difference at a listener with its 10th and 90th percentile, dB.
    pub(crate) fn planned(&self, listener: usize) -> Option<(Spectrum, Spectrum, Spectrum)> {
        let transfer = &self.listeners.get(listener)?.paths.transfer_db;
        let turned = |spectrum: &Spectrum| spectrum.map(|_, level| -level);
        Some((turned(transfer.median_db()), turned(transfer.upper_db()), turned(transfer.lower_db())))
    }

    /// Elements that bring sound to some of the listeners.
    pub(crate) fn elements_heard(&self, listeners: &[usize]) -> Vec<ElementId> {
        let mut found = Vec::new();
        for listener in listeners.iter().filter_map(|at| self.listeners.get(*at)) {
            for owner in &listener.owners {
                if let Owner::Element(id) = owner
                    && !found.contains(id)
                {
                    found.push(*id);
                }
            }
        }
        found.sort();
        found
    }

    /// Whether some of the listeners hear a part of this name.
    pub(crate) fn hears(&self, listeners: &[usize], name: &str) -> bool {
        listeners
            .iter()
            .filter_map(|at| self.listeners.get(*at))
            .any(|listener| listener.paths.paths.iter().any(|path| path.name == name))
    }

    /// What every listener would measure with a fault on top of what is planned.
    pub(crate) fn foreseen(&self, fault: Option<&Fault>) -> Result<Vec<Foreseen>, String> {
        self.with_errors(fault, None)
    }

    /// The same where a leak has another shape than the usual one.
    pub(crate) fn foreseen_shaped(&self, fault: &Fault, shape: LeakShape) -> Result<Vec<Foreseen>, String> {
        let changed = self.changed(fault, shape)?;
        Ok(self.everywhere(&changed, None))
    }

    /// The same with the truth off the prediction.
    pub(crate) fn with_errors(
        &self,
        fault: Option<&Fault>,
        errors: Option<&dyn Errors>,
    ) -> Result<Vec<Foreseen>, String> {
        let changed = match fault {
            Some(fault) => self.changed(fault, LeakShape::default())?,
            None => Changed::Nothing,
        };
        Ok(self.everywhere(&changed, errors))
    }

    fn everywhere(&self, changed: &Changed, errors: Option<&dyn Errors>) -> Vec<Foreseen> {
        let all = self.listeners.iter().enumerate();
        all.map(|(place, listener)| self.at(place, listener, changed, errors)).collect()
    }

    fn changed(&self, fault: &Fault, shape: LeakShape) -> Result<Changed, String> {
        match fault {
            Fault::Flanking { receiver, loss_db } => Ok(Changed::Flanking(receiver.clone(), *loss_db)),
            Fault::AirPath { vent, loss_db } => Ok(Changed::Vent(vent.clone(), *loss_db)),
            _ => {
                let project = Project { leak_shape: shape, ..with_fault(self.known.project, fault) };
                let wanted = |id: ElementId| match fault {
                    Fault::WeakWall { wall, .. } => faults::same_walls(&project, *wall, id),
                    _ => fault.element() == Some(id),
                };
                bare_parts(&project, self.known.survey, self.known.clips, &wanted).map(Changed::Parts)
            }
        }
    }

    fn at(
        &self,
        place: usize,
        listener: &Listener,
        changed: &Changed,
        errors: Option<&dyn Errors>,
    ) -> Foreseen {
        let mut energies: Vec<(Energy, Option<usize>)> = Vec::new();
        let error = |name: &str, group: &str, deviation_db: &Spectrum| {
            errors.map_or(Spectrum::flat(0.0), |errors| errors.of_part(name, group, deviation_db))
        };
        let group_of = |group: &str| self.groups.iter().position(|one| one == group);
        for (path, owner) in listener.paths.paths.iter().zip(&listener.owners) {
            let shift_db = match (changed, owner) {
                (Changed::Parts(parts), Owner::Element(id))
                    if parts.iter().any(|part| part.element == *id) =>
                {
                    continue;
                }
                (Changed::Vent(vent, loss_db), Owner::Vent) if *vent == path.name => *loss_db,
                (Changed::Flanking(receiver, loss_db), Owner::Flanking) if *receiver == listener.name => {
                    self.flanking_shift_db(receiver, *loss_db)
                }
                _ => 0.0,
            };
            let off = error(&path.name, &path.group, &path.deviation_db);
            energies.push((
                Energy {
                    level_db: path.transfer_db.plus_correction(&off).shifted(shift_db),
                    deviation_db: path.deviation_db,
                },
                group_of(&path.group),
            ));
        }
        if let Changed::Parts(parts) = changed {
            for part in parts {
                let Some(base) = listener.base(part.element) else { continue };
                let planned = listener.paths.paths.iter().find(|path| path.name == part.name);
                let deviation_db = planned.map_or(Spectrum::flat(LEAK_MODEL_DB), |path| path.deviation_db);
                let group = planned.map_or(part.name.as_str(), |path| path.group.as_str());
                let off = error(&part.name, group, &deviation_db);
                let area_db = math::db_of_energy(part.area_m2);
                energies.push((
                    Energy {
                        level_db: base
                            .open_m2_db
                            .map(|band, open| open + area_db - part.r_db.get(band) + off.get(band)),
                        deviation_db,
                    },
                    group_of(group),
                ));
            }
        }
        let way = errors.map_or(Spectrum::flat(0.0), |errors| {
            errors.of_way(&listener.name, listener.paths.way_deviation_db)
        });
        // A sample of errors has its middle over the sum of the middles; where the truth itself is off there is nothing to add.
        self.summed(place, listener, &energies, &way, errors.is_none())
    }

    fn summed(
        &self,
        place: usize,
        listener: &Listener,
        energies: &[(Energy, Option<usize>)],
        way: &Spectrum,
        median: bool,
    ) -> Foreseen {
        // One more source for what is new, then the way to each listener.
        let new = self.groups.len();
        let mut moved = vec![Spectrum::flat(0.0); new + 1 + self.listeners.len()];
        let mut difference_db = Spectrum::flat(0.0);
        for band in Band::all() {
            let parts: Vec<f64> =
                energies.iter().map(|(energy, _)| math::energy_of_db(energy.level_db.get(band))).collect();
            let total: f64 = parts.iter().sum::<f64>().max(1e-30);
            let planned = math::energy_of_db(listener.planned_sum_db(band)).max(1e-30);
            let above =
                if median { listener.above_sum_db.get(band) * (planned / total).min(1.0) } else { 0.0 };
            difference_db.set(band, -(math::db_of_energy(total) + above + way.get(band)));
            for (energy, (ranged, group)) in parts.iter().zip(energies) {
                if let Some(slot) = moved.get_mut(group.unwrap_or(new)) {
                    slot.set(band, slot.get(band) + energy / total * ranged.deviation_db.get(band));
                }
            }
        }
        if let Some(slot) = moved.get_mut(new + 1 + place) {
            *slot = Spectrum::flat(listener.paths.way_deviation_db);
        }
        Foreseen { difference_db, moved_by_db: moved }
    }

    /// By how much louder flanking becomes where its allowance grows, dB.
    fn flanking_shift_db(&self, receiver: &str, loss_db: f64) -> f64 {
        let extra = |loss_db: f64| (math::energy_of_db(loss_db) - 1.0).max(1e-9);
        let planned = self.known.project.receivers.iter().find(|one| one.name == receiver);
        match planned.map(|one| one.place) {
            Some(Place::NextDoor(dwelling)) => {
                math::db_of_energy(extra(loss_db) / extra(dwelling.flanking_db))
            }
            _ => 0.0,
        }
    }
}

struct Energy {
    level_db: Spectrum,
    deviation_db: Spectrum,
}

impl Listener {
    fn new(known: &Known<'_>, receiver: &Receiver, paths: SoundPaths) -> Self {
        let owners = paths
            .paths
            .iter()
            .map(|path| {
                if path.name == FLANKING_NAME {
                    return Owner::Flanking;
                }
                let part = known.shell.parts.iter().find(|part| part.part.name() == path.name);
                part.and_then(|part| part.element).map_or(Owner::Vent, Owner::Element)
            })
            .collect();
        let mut listener =
            Self { name: receiver.name.clone(), owners, above_sum_db: Spectrum::flat(0.0), paths };
        listener.above_sum_db = Spectrum::from_fn(|band| {
            listener.paths.transfer_db.median_db().get(band) - listener.planned_sum_db(band)
        });
        listener
    }

    fn base(&self, element: ElementId) -> Option<&SoundPath> {
        let place = self.owners.iter().position(|owner| *owner == Owner::Element(element))?;
        self.paths.paths.get(place)
    }

    fn planned_sum_db(&self, band: Band) -> f64 {
        let energy: f64 =
            self.paths.paths.iter().map(|path| math::energy_of_db(path.transfer_db.get(band))).sum();
        math::db_of_energy(energy.max(1e-30))
    }
}

/// The project with one more fault, before those it has.
pub(crate) fn with_fault(project: &Project, fault: &Fault) -> Project {
    let mut changed = project.clone();
    let proved = changed.as_proved.get_or_insert_with(|| AsProved { fault: Vec::new() });
    proved.fault.insert(0, FoundFault::of(fault, None));
    changed
}

fn paths_to(
    known: &Known<'_>,
    ground: &Ground,
    receiver: &Receiver,
    outside: Option<&(Site, Vec<Radiator>)>,
) -> Result<SoundPaths, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    match receiver.place {
        Place::Outside { .. } => {
            let (site, radiators) = outside.ok_or_else(String::new)?;
            let at = heard::outdoor_point(known.survey, ground, receiver)?;
            let place = ListeningPlace { name: receiver.name.clone(), at, criterion: None };
            paths_outdoors(radiators, InsideField::DiffuseReflecting, site, &place).map_err(sentence)
        }
        Place::NextDoor(dwelling) => {
            let parts = heard::shared_parts(known.shell, dwelling);
            let bare = heard::bare(known.project, known.shell, dwelling.shared);
            let room = heard::next_door_room(dwelling, receiver)?;
            paths_next_door(&parts, &heard::flanking(dwelling)?, bare.as_ref(), &room).map_err(sentence)
        }
        Place::Inside => {
            let sound = known.project.outside_sounds.first().ok_or_else(String::new)?;
            let facades = heard::facades(known.project, known.shell, &sound.walls)?;
            let room = heard::this_room(known.room, receiver)?;
            paths_indoors(&facades, LevelPlace::TwoMetresInFront, &room).map_err(sentence)
        }
    }
}
