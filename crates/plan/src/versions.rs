//! The versions of a room one can listen to: as it is today, as planned, and with what lets most through done as well.

use bands::{BAND_COUNT, Band, Spectrum};
use serde::Serialize;
use sound::flanking::FLANKING_NAME;

use crate::{
    outcome::{HeardOutcome, Plan, heard_words::part_name},
    plan_room::plan,
    project::{BridgeKind, ElementId, Layer, Project},
};

/// What can be listened to at one receiver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ListenAt {
    /// The receiver.
    pub receiver: String,
    /// The sound that governs there.
    pub source: String,
    /// Its level in the room, dB(A).
    pub level_in_room_dba: f64,
    /// The versions, the loudest room first.
    pub versions: Vec<Version>,
    /// Background at the receiver, dB; none where the file names none.
    pub background_db: Option<Spectrum>,
}

/// One version of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Version {
    /// Short, for a file's name: `today`, `planned`, `better`.
    pub id: &'static str,
    /// What it is.
    pub name: String,
    /// Level in the room less level at the receiver, dB.
    pub difference_db: Spectrum,
    /// Level at the receiver, dB(A).
    pub level_dba: f64,
}

/// What can be listened to at every receiver that hears the room. The room of today is the one measured before the work where it was
/// measured; else the planned one without its hung ceiling, where it has one.
pub fn listen_at(project: &Project, planned: &Plan) -> Vec<ListenAt> {
    let today = without_hung_ceiling(project).and_then(|bare| plan(&bare).ok());
    planned
        .heard
        .iter()
        .filter(|heard| heard.governs)
        .filter_map(|heard| at_receiver(planned, heard, today.as_ref()))
        .collect()
}

/// Decay time of the room by band, s; none where its surfaces are not known.
pub fn decay_s(planned: &Plan) -> Option<[f64; BAND_COUNT]> {
    let room = planned.fabric.room.as_ref()?;
    let mut seconds = [room.middle_s; BAND_COUNT];
    for decay in &room.decay {
        if let Some(slot) = seconds.get_mut(decay.band.index()) {
            *slot = decay.eyring_s;
        }
    }
    Some(seconds)
}

fn at_receiver(planned: &Plan, heard: &HeardOutcome, today: Option<&Plan>) -> Option<ListenAt> {
    let source = planned.sources.iter().find(|source| source.name == heard.source)?;
    let level = source.level_in_room_db;
    let version = |id: &'static str, name: String, at_receiver: &Spectrum| Version {
        id,
        name,
        difference_db: level.minus(at_receiver),
        level_dba: at_receiver.total_a_db(),
    };
    let mut versions = Vec::new();
    let as_planned = *heard.heard.level.median_db();
    if let Some(before) = measured_before(planned, &heard.receiver, &level.minus(&as_planned)) {
        versions.push(version(
            "today",
            "the room as measured before the work".to_owned(),
            &level.minus(&before),
        ));
    } else if let Some(now) = today.and_then(|today| {
        today.heard.iter().find(|one| one.receiver == heard.receiver && one.source == heard.source)
    }) {
        let median = now.heard.level.median_db();
        versions.push(version("today", "the room without its new ceiling".to_owned(), median));
    }
    versions.push(version("planned", "the room as planned".to_owned(), &as_planned));
    // Flanking is assumed, not built: nobody can make it perfect.
    let first =
        heard.heard.shares.iter().find(|share| share.if_perfect_db.is_some() && share.name != FLANKING_NAME);
    if let Some((share, better)) = first.and_then(|share| Some((share, share.if_perfect_db?))) {
        let name =
            format!("as planned, and the {} made perfect", part_name(&share.name).trim_start_matches("the "));
        versions.push(version("better", name, &better));
    }
    Some(ListenAt {
        receiver: heard.receiver.clone(),
        source: heard.source.clone(),
        level_in_room_dba: source.level_in_room_dba,
        versions,
        background_db: heard.background_db,
    })
}

/// The difference before the work, the bands that were not measured as planned; none where it was not measured.
fn measured_before(planned: &Plan, receiver: &str, otherwise: &Spectrum) -> Option<Spectrum> {
    let proved = planned.proof.as_ref()?.differences.iter().find(|one| one.receiver == receiver)?;
    let before = |band: Band| proved.bands.iter().find(|one| one.band == band).and_then(|one| one.before_db);
    let any = proved.bands.iter().any(|one| one.before_db.is_some());
    any.then(|| otherwise.map(|band, value| before(band).unwrap_or(value)))
}

/// The project with the boards that hang on clips taken off its ceiling; none where none hang.
fn without_hung_ceiling(project: &Project) -> Option<Project> {
    let id = project.ceiling.buildup;
    let buildup = project.buildup_of(ElementId::Ceiling)?;
    let cavity = buildup.element.bridges.iter().find(|bridge| bridge.kind == BridgeKind::Clip)?.cavity;
    let place = buildup
        .element
        .layers
        .iter()
        .enumerate()
        .filter(|(_, layer)| matches!(layer, Layer::Cavity(_)))
        .nth(cavity)?
        .0;
    let mut bare = project.clone();
    let element = &mut bare.buildups.get_mut(id.0)?.element;
    element.layers.truncate(place);
    // What ends in a cavity or a film over nothing has no inner leaf: the deck alone is left.
    while let Some(last) = element.layers.last() {
        let film = matches!(last, Layer::Leaf(leaf) if leaf.kind == crate::project::LeafKind::Membrane);
        if film && element.layers.len() > 1 || matches!(last, Layer::Cavity(_)) {
            element.layers.pop();
        } else {
            break;
        }
    }
    let cavities = element.layers.iter().filter(|layer| matches!(layer, Layer::Cavity(_))).count();
    element.bridges.retain(|bridge| bridge.cavity < cavities);
    bare.ceiling.bridged_clips = 0;
    bare.as_built = None;
    bare.as_proved = None;
    (!element.layers.is_empty()).then_some(bare)
}
