//! Apparent sound reduction indices R′ and R′45°, where the area and the decay times they need are known.

use bands::{
    Band, Readings,
    iso_717_1_2020::{Range, SoundSpectrum},
};
use proof::{
    BandLevels,
    difference::LevelDifference,
    iso_12999_1_2020::{Rating, rated},
    iso_16283_1_2014::{absorption_area_m2, apparent_reduction_db, energy_average},
    iso_16283_3_2016::apparent_reduction_45_db,
};

use crate::{
    assemble::proof::{Known, levels_of},
    outcome::proof::ProvedRating,
    project::{ElementId, Measured, Place, Project, Receiver, Stage, WallId},
};

/// Decay time measured in a receiver's room, the mean of its positions, s; of this room where the receiver is inside.
pub(super) fn decay_s(
    project: &Project,
    receiver: &Receiver,
    when: Stage,
) -> impl Fn(Band) -> Option<f64> + use<> {
    let inwards = receiver.place == Place::Inside;
    let decays: Vec<Readings> = project
        .measurements
        .iter()
        .enumerate()
        .filter(|(_, one)| one.what == Measured::Decay && one.when == when)
        .filter(|(_, one)| match &one.receiver {
            Some(name) => *name == receiver.name,
            None => inwards,
        })
        .filter_map(|(place, _)| project.decay_of(place).cloned())
        .collect();
    move |band| {
        let given: Vec<f64> = decays.iter().filter_map(|one| one.get(band)).collect();
        (!given.is_empty()).then(|| given.iter().sum::<f64>() / given.len() as f64)
    }
}

/// R′w of what a neighbour shares with the room, R′45°,w of a wall that was measured on its outer face; none where something is missing.
pub(super) fn apparent(
    known: &Known<'_>,
    receiver: usize,
    when: Stage,
    measured: &LevelDifference,
) -> Option<ProvedRating> {
    let receiver = known.project.receivers.get(receiver)?;
    let decay_s = decay_s(known.project, receiver, when);
    match receiver.place {
        Place::NextDoor(dwelling) => {
            let area_m2 = area_m2(known, dwelling.shared);
            let reduction = BandLevels::from_fn(|band| {
                let absorption_m2 = absorption_area_m2(dwelling.volume_m3, decay_s(band)?);
                Some(apparent_reduction_db(measured.difference_db.get(band)?, area_m2, absorption_m2))
            });
            rated_as("R′w", &reduction, measured)
        }
        Place::Inside => {
            let (wall, surface) = on_wall(known.project, when)?;
            let area_m2 = area_m2(known, ElementId::Wall(wall));
            let reduction = BandLevels::from_fn(|band| {
                let absorption_m2 = absorption_area_m2(known.volume_m3, decay_s(band)?);
                let received_db = measured.received_db.get(band)?;
                Some(apparent_reduction_45_db(surface.get(band)?, received_db, area_m2, absorption_m2))
            });
            rated_as("R′45°,w", &reduction, measured)
        }
        Place::Outside { .. } => None,
    }
}

/// The wall that was measured on its outer face, and the level there; none where there are several walls or none.
fn on_wall(project: &Project, when: Stage) -> Option<(WallId, BandLevels)> {
    let all: Vec<(WallId, BandLevels)> = project
        .measurements
        .iter()
        .enumerate()
        .filter(|(_, one)| one.when == when && one.what == Measured::Outside)
        .filter_map(|(place, one)| Some((one.on_wall?, levels_of(project, place, one)?.levels.bands)))
        .collect();
    let wall = all.first()?.0;
    let levels: Vec<BandLevels> = all.iter().map(|(_, levels)| *levels).collect();
    all.iter().all(|(other, _)| *other == wall).then(|| (wall, energy_average(&levels)))
}

/// Area of a wall or ceiling with the openings in it, m².
fn area_m2(known: &Known<'_>, element: ElementId) -> f64 {
    let of_it = |id: ElementId| match (id, element) {
        (ElementId::Opening(opening), ElementId::Wall(wall)) => {
            known.project.openings.get(opening.0).is_some_and(|opening| opening.wall == wall)
        }
        (id, element) => id == element,
    };
    let mut seen: Vec<ElementId> = Vec::new();
    let mut area = 0.0;
    // Of each element the first part is the element itself; the others are leaks in it.
    for part in &known.shell.parts {
        if let Some(id) = part.element.filter(|id| of_it(*id) && !seen.contains(id)) {
            seen.push(id);
            area += part.part.reference_area_m2();
        }
    }
    area.max(1e-3)
}

/// A curve over frequency rated by ISO 717-1, with the uncertainty of the level difference it comes from.
pub(super) fn rated_as(
    name: &'static str,
    curve: &BandLevels,
    measured: &LevelDifference,
) -> Option<ProvedRating> {
    let readings: Readings = curve.measured().collect();
    let uncertainty = |band: Band| measured.deviation_db.get(band).unwrap_or(0.0);
    let weighted = rated(&readings, uncertainty, Rating::Weighted)?;
    let with = |spectrum| {
        rated(&readings, uncertainty, Rating::Against(spectrum, Range::From100To3150)).map(|one| one.value_db)
    };
    Some(ProvedRating {
        name,
        value_db: weighted.value_db,
        uncorrelated_db: weighted.uncorrelated_db,
        correlated_db: weighted.correlated_db,
        with_c_db: with(SoundSpectrum::One),
        with_ctr_db: with(SoundSpectrum::Two),
    })
}
