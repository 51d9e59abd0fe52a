//! The versions of a room one can listen to: as it is today, as planned, and with a door, a window or what lets most through done as well.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::math;
use serde::Serialize;
use sound::flanking::FLANKING_NAME;

use crate::{
    assemble::proof::measured_background,
    outcome::{HeardOutcome, Plan, heard_words::part_name, proof::ProvedBand},
    plan_room::plan,
    project::{BridgeKind, ElementId, Layer, Opening, OpeningId, Place, Project, Stage},
};

/// A version that gains less than this is not worth listening to, dB(A).
const LEAST_GAIN_DB: f64 = 0.3;

/// What can be listened to at one receiver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ListenAt {
    /// The receiver.
    pub receiver: String,
    /// The sound that governs there.
    pub source: String,
    /// Whether it comes from outdoors into the room; else from the room to the receiver.
    pub inwards: bool,
    /// Its level on its own side, in the room or outdoors, by band, dB.
    pub source_level_db: Spectrum,
    /// The same, dB(A).
    pub source_level_dba: f64,
    /// The versions, the loudest room first.
    pub versions: Vec<Version>,
    /// Background at the receiver, dB: the measured one, else the one the file names; none where there is neither.
    pub background_db: Option<Spectrum>,
}

/// One version of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Version {
    /// Short, for a file's name: `before`, `today`, `planned`, `better`, or an opening's name and `done`.
    pub id: String,
    /// What it is.
    pub name: String,
    /// Level of the source less level at the receiver, dB.
    pub difference_db: Spectrum,
    /// Level at the receiver without the background, dB(A): the middle of what the plan predicts.
    pub level_dba: f64,
}

/// What can be listened to at every receiver, and why there is nothing at the others, a sentence each. The room of today is the one measured
/// after the work where it was measured, beside the room of before; else the one measured before the work, or the planned one without its hung ceiling, where it has one. Of every opening there is a version
/// in which nothing comes through it any more.
pub fn listen_at(project: &Project, planned: &Plan) -> (Vec<ListenAt>, Vec<String>) {
    let today = without_hung_ceiling(project).and_then(|bare| plan(&bare).ok());
    let mut places = Vec::new();
    let mut left_out = Vec::new();
    for receiver in &project.receivers {
        let heard = planned.heard.iter().find(|heard| heard.governs && heard.receiver == receiver.name);
        match heard.and_then(|heard| at_receiver(project, planned, heard, today.as_ref())) {
            Some(place) => places.push(place),
            None => left_out
                .push(format!("Nothing is heard at \"{}\": no sound of the file reaches it.", receiver.name)),
        }
    }
    (places, left_out)
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

/// The sound that governs at a receiver: its level on its own side, dB.
fn source_level(project: &Project, planned: &Plan, heard: &HeardOutcome) -> Option<(Spectrum, bool)> {
    let inwards =
        project.receivers.iter().any(|one| one.name == heard.receiver && one.place == Place::Inside);
    if inwards {
        let given = project.outside_sounds.iter().find(|one| one.name == heard.source)?;
        let sound = catalogue::find::<catalogue::OutdoorSound>(given.kind.as_str())?;
        return Some((sound.spectrum_at(given.level_dba), true));
    }
    let source = planned.sources.iter().find(|source| source.name == heard.source)?;
    Some((source.level_in_room_db, false))
}

fn at_receiver(
    project: &Project,
    planned: &Plan,
    heard: &HeardOutcome,
    today: Option<&Plan>,
) -> Option<ListenAt> {
    let (level, inwards) = source_level(project, planned, heard)?;
    // The middle of a sum is not the sum of the middles of its bands: what is heard has the level that the plan names.
    let version = |id: String, name: String, at_receiver: &Spectrum, level_dba: f64| {
        let at_receiver = at_receiver.shifted(level_dba - at_receiver.total_a_db());
        Version { id, name, difference_db: level.minus(&at_receiver), level_dba }
    };
    let mut versions = Vec::new();
    let as_planned = *heard.heard.level.median_db();
    let planned_dba = heard.heard.level_dba.median_db;
    let off_db = planned_dba - as_planned.total_a_db();
    // Once the built room has been measured, that one is today's.
    let built = measured(planned, &heard.receiver, &level.minus(&as_planned), Stage::After);
    let before_id = || if built.is_some() { "before" } else { "today" }.to_owned();
    if let Some(before) = measured(planned, &heard.receiver, &level.minus(&as_planned), Stage::Before) {
        let there = level.minus(&before);
        let words = "the room as measured before the work".to_owned();
        versions.push(version(before_id(), words, &there, there.total_a_db()));
    } else if let Some(now) = today.and_then(|today| {
        today.heard.iter().find(|one| one.receiver == heard.receiver && one.source == heard.source)
    }) {
        let (median, dba) = (now.heard.level.median_db(), now.heard.level_dba.median_db);
        versions.push(version(before_id(), "the room without its new ceiling".to_owned(), median, dba));
    }
    if let Some(built) = &built {
        let there = level.minus(built);
        let words = "the room as measured after the work".to_owned();
        versions.push(version("today".to_owned(), words, &there, there.total_a_db()));
    }
    let faulty = project.faults().next().is_some();
    let words = if faulty { "the room as planned, with the faults kept" } else { "the room as planned" };
    versions.push(version("planned".to_owned(), words.to_owned(), &as_planned, planned_dba));
    let mut one_better = Vec::new();
    for opening in project.openings.iter().enumerate().map(|(at, one)| (OpeningId(at), one)) {
        let without = without_opening(project, heard, opening, &as_planned);
        let Some(without) =
            without.filter(|left| left.total_a_db() < as_planned.total_a_db() - LEAST_GAIN_DB)
        else {
            continue;
        };
        let name = format!("as planned, and nothing through the {} any more", opening.1.name);
        let dba = without.total_a_db() + off_db;
        one_better.push(version(format!("{}-done", opening.1.name), name, &without, dba));
    }
    // Flanking is assumed, not built: nobody can make it perfect.
    let first = heard
        .heard
        .shares
        .iter()
        .filter(|share| share.name != FLANKING_NAME)
        .find(|share| !project.openings.iter().any(|opening| is_of_opening(&share.name, &opening.name)))
        .and_then(|share| Some((share, share.if_perfect_db?, share.if_perfect_dba?)));
    if let Some((share, better, dba)) = first.filter(|(.., dba)| *dba < planned_dba - LEAST_GAIN_DB) {
        let name =
            format!("as planned, and the {} made perfect", part_name(&share.name).trim_start_matches("the "));
        one_better.push(version("better".to_owned(), name, &better, dba));
    }
    one_better.sort_by(|a, b| b.level_dba.total_cmp(&a.level_dba));
    versions.extend(one_better);
    Some(ListenAt {
        receiver: heard.receiver.clone(),
        source: heard.source.clone(),
        inwards,
        source_level_dba: level.total_a_db(),
        source_level_db: level,
        versions,
        background_db: measured_background(project, &heard.receiver).or(heard.background_db),
    })
}

/// The level at a receiver if nothing came through an opening, its seal and the gaps round it; none where nothing else would be left.
fn without_opening(
    project: &Project,
    heard: &HeardOutcome,
    (id, opening): (OpeningId, &Opening),
    as_planned: &Spectrum,
) -> Option<Spectrum> {
    let gaps = || project.gaps.iter().filter(|gap| gap.element == ElementId::Opening(id));
    let of_it =
        |name: &str| is_of_opening(name, &opening.name) || gaps().any(|gap| is_of_opening(name, &gap.place));
    let parts: Vec<_> = heard.heard.shares.iter().filter(|share| of_it(&share.name)).collect();
    if parts.is_empty() || parts.len() == heard.heard.shares.len() {
        return None;
    }
    Some(as_planned.map(|band, level| {
        let gone: f64 = parts.iter().filter_map(|share| share.share.get(&band)).sum();
        level + math::db_of_energy((1.0 - gone).clamp(1e-6, 1.0))
    }))
}

/// Whether a part is an opening or its seal.
fn is_of_opening(part: &str, opening: &str) -> bool {
    part.strip_prefix(opening).is_some_and(|rest| rest.is_empty() || rest.starts_with(" seal"))
}

/// The difference before or after the work, the bands that were not measured as otherwise; none where it was not measured.
fn measured(planned: &Plan, receiver: &str, otherwise: &Spectrum, stage: Stage) -> Option<Spectrum> {
    let proved = planned.proof.as_ref()?.differences.iter().find(|one| one.receiver == receiver)?;
    let then = |of: &ProvedBand| {
        let own = (proved.when == stage).then_some(of.difference_db);
        own.or_else(|| of.before_db.filter(|_| stage == Stage::Before))
    };
    let at = |band: Band| proved.bands.iter().find(|one| one.band == band).and_then(then);
    let any = proved.bands.iter().any(|one| then(one).is_some());
    any.then(|| otherwise.map(|band, value| at(band).unwrap_or(value)))
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
