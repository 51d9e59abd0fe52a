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
    iso_18233_2006::SweptLevels,
};

use crate::{
    assemble::proof::{Known, Taken, stage_words, taken_of, unlike},
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
    not_judged: &mut Vec<String>,
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
            let (wall, surface) = match on_wall(known.project, &receiver.name, when)? {
                Ok(found) => found,
                Err(why) => {
                    not_judged.push(why);
                    return None;
                }
            };
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

/// The wall that was measured on its outer face, and the level there; nothing where there is none, and a sentence where the level on it cannot
/// be held against that at the receiver.
fn on_wall(project: &Project, receiver: &str, when: Stage) -> Option<Result<(WallId, BandLevels), String>> {
    let all: Vec<Taken<'_>> = taken_of(project, when).collect();
    let faces: Vec<(WallId, &Taken<'_>)> = all
        .iter()
        .filter(|taken| taken.given.what == Measured::Outside)
        .filter_map(|taken| Some((taken.given.on_wall?, taken)))
        .collect();
    let (wall, first) = *faces.first()?;
    let refused = |why: String| {
        Some(Err(format!(
            "There is no R′45° of wall {} {}: {why}",
            project.survey.wall_name(wall),
            stage_words(when)
        )))
    };
    if let Some((other, _)) = faces.iter().find(|(other, _)| *other != wall) {
        return refused(format!(
            "the faces of several walls were measured, {} too, and the level in the room is that of all of them. Play to one wall only.",
            project.survey.wall_name(*other)
        ));
    }
    let received = all.iter().filter(|taken| taken.given.what == Measured::Receiver);
    let received = received.filter(|taken| taken.given.receiver.as_deref() == Some(receiver));
    let both: Vec<&Taken<'_>> = faces.iter().map(|(_, taken)| *taken).chain(received).collect();
    if let Some(other) = both.iter().find(|other| !other.levels.comparable_with(&first.levels)) {
        return refused(unlike(first, other));
    }
    let swept = both.iter().filter(|taken| taken.swept.is_some()).count();
    if swept > 0 && swept < both.len() {
        return refused(
            "one side holds the signal `sweep` and the other does not. Record the same signal on the wall and in the room.".to_owned(),
        );
    }
    let levels: Vec<BandLevels> = faces
        .iter()
        .map(|(_, taken)| taken.swept.map_or(taken.levels.bands, SweptLevels::clear_gains))
        .collect();
    Some(Ok((wall, energy_average(&levels))))
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

/// How much more a band that is only a limit may hold, dB.
const HIDDEN_DB: f64 = 60.0;
/// A rating that would become more by so much is a limit itself, dB.
const TOLD_DB: f64 = 0.05;

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
    // Whether more in the bands that are only limits would make it more.
    let more: Readings = curve
        .measured()
        .map(|(band, value)| {
            (band, if measured.at_least.contains(&band) { value + HIDDEN_DB } else { value })
        })
        .collect();
    let unhidden = rated(&more, uncertainty, Rating::Weighted)?;
    Some(ProvedRating {
        name,
        at_least: unhidden.value_db > weighted.value_db + TOLD_DB,
        value_db: weighted.value_db,
        uncorrelated_db: weighted.uncorrelated_db,
        correlated_db: weighted.correlated_db,
        with_c_db: with(SoundSpectrum::One),
        with_ctr_db: with(SoundSpectrum::Two),
    })
}
