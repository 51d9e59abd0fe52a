//! Measured against planned: differences at the receivers, and the fault that explains them.

mod compare;
mod decays;
mod fault_words;
mod forward;
pub(crate) mod proof_verdict;
mod reduction;
mod single;
mod suspects;
#[cfg(test)]
mod trial;

use bands::{Band, Spectrum};
use proof::{
    BandLevels, MeasuredLevels,
    difference::{LevelDifference, Side, level_difference},
    iso_16283_1_2014::{SMALL_ROOM_M3, energy_average},
    iso_18233_2006::SweptLevels,
};

use quantities::format::with_unit;

use crate::{
    assemble::{heard::Listening, verdicts::capital},
    outcome::{
        heard_words::at_place,
        proof::{ProofOutcome, RecordingOverTime},
    },
    project::{Measured, Measurement, Place, Project, Stage},
};

pub(crate) use forward::{Forward, Known};

/// Everything a proof hangs on, to be kept under: prices, what is bought and what stands in the title are not in it.
pub(crate) fn hangs_on<'a>(known: &'a Known<'_>) -> impl std::fmt::Debug + 'a {
    let project = known.project;
    (
        (
            &project.survey,
            &project.roof,
            &project.joists,
            &project.buildups,
            &project.ceiling,
            &project.walls,
        ),
        (&project.openings, &project.linings, &project.vents, &project.gaps, &project.penetrations),
        (&project.sources, &project.receivers, &project.fence, &project.site, &project.outside_sounds),
        (&project.room_use, &project.climate, &project.indoor_climate, &project.as_built),
        (measured_in(project), &project.as_proved),
        (known.survey, known.clips, known.room, known.volume_m3, known.roof_top_m),
    )
}

/// What was measured, and where.
pub(crate) fn measured_in(project: &Project) -> impl std::fmt::Debug + '_ {
    // The history of a recording is only drawn.
    let recorded: Vec<_> =
        project.recorded.iter().map(|one| (one.measurement, &one.levels, &one.swept)).collect();
    let receivers: Vec<&str> = project.receivers.iter().map(|one| one.name.as_str()).collect();
    (&project.measurements, recorded, &project.recorded_decays, receivers)
}

/// Stands where what was measured is still being judged.
pub(crate) fn not_judged_yet(project: &Project) -> ProofOutcome {
    ProofOutcome {
        differences: Vec::new(),
        single: Vec::new(),
        decays: Vec::new(),
        diagnosis: None,
        as_proved: project.faults().map(|fault| fault_words::kept_sentence(project, &fault)).collect(),
        not_judged: vec!["What was measured is being judged.".to_owned()],
        recordings: over_time(project),
    }
}

/// What measuring has shown; none where nothing was measured and no fault is kept.
pub(crate) fn proof(known: &Known<'_>, listening: &Listening) -> Option<ProofOutcome> {
    let project = known.project;
    let as_proved: Vec<String> =
        project.faults().map(|fault| fault_words::kept_sentence(project, &fault)).collect();
    if project.measurements.is_empty() {
        return (!as_proved.is_empty()).then(|| ProofOutcome {
            differences: Vec::new(),
            single: Vec::new(),
            decays: Vec::new(),
            diagnosis: None,
            as_proved,
            not_judged: Vec::new(),
            recordings: Vec::new(),
        });
    }
    let mut not_judged: Vec<String> = project
        .recordings()
        .filter(|(place, _)| project.recorded.iter().all(|one| one.measurement != *place))
        .filter(|(place, _)| project.recorded_decays.iter().all(|one| one.measurement != *place))
        .filter_map(|(_, one)| one.file.as_ref())
        .map(|file| format!("The recording `{file}` has not been worked out: nothing is judged by it."))
        .collect();
    let forward = match Forward::new(known) {
        Ok(forward) => Some(forward),
        Err(sentence) => {
            not_judged.push(sentence);
            None
        }
    };
    let mut differences = Vec::new();
    let mut single = Vec::new();
    let mut diagnosis = None;
    // Where a difference by bands says more than single readings could.
    let mut by_bands: Vec<(usize, Stage)> = Vec::new();
    if let Some(forward) = &forward {
        let measured: Vec<At> = project
            .receivers
            .iter()
            .enumerate()
            .filter_map(|(place, receiver)| {
                let after = measured_at(known, place, Stage::After, &mut not_judged);
                let before = measured_at(known, place, Stage::Before, &mut not_judged);
                let listener = forward.listener(&receiver.name);
                if listener.is_none() && (after.is_some() || before.is_some()) {
                    not_judged.push(format!(
                        "What was measured {} is held against no prediction, because there is none for it.",
                        at_place(&receiver.name)
                    ));
                }
                let gain_unknown = gain_unknown(project, &receiver.name);
                Some(At { receiver: place, listener: listener?, after, before, gain_unknown })
            })
            .filter(|at| at.after.is_some() || at.before.is_some())
            .collect();
        differences = measured
            .iter()
            .filter_map(|at| compare::compared(known, forward, listening, at, &mut not_judged))
            .collect();
        diagnosis = suspects::diagnosis(forward, listening, &measured);
        by_bands = measured
            .iter()
            .flat_map(|at| {
                let of = |one: &Option<LevelDifference>, stage| one.as_ref().map(|_| (at.receiver, stage));
                of(&at.before, Stage::Before).into_iter().chain(of(&at.after, Stage::After))
            })
            .collect();
        single = single::readings(known, forward, listening, &by_bands, &mut not_judged);
    }
    for (place, receiver) in project.receivers.iter().enumerate() {
        for stage in
            [Stage::Before, Stage::After].into_iter().filter(|stage| !by_bands.contains(&(place, *stage)))
        {
            let about = format!("{} {} the level", capital(&at_place(&receiver.name)), stage_words(stage));
            let told = not_judged.iter().any(|one| one.starts_with(&about));
            if !told && single::below_background(project, &receiver.name, stage) {
                not_judged.push(format!(
                    "{about} with the source on is lower than the background: that cannot be. The two look swapped, or the background was \
                     measured at a louder time. The reading is not judged."
                ));
            }
        }
    }
    not_judged.dedup();
    not_judged.extend(decays::unlike_stated(project));
    let decays = decays::of_this_room(known);
    if differences.is_empty() && single.is_empty() && decays.is_empty() && not_judged.is_empty() {
        not_judged.push(nothing_judged(project));
    }
    Some(ProofOutcome {
        differences,
        single,
        decays,
        diagnosis,
        as_proved,
        not_judged,
        recordings: over_time(project),
    })
}

/// Every recording that was worked out, to be drawn.
fn over_time(project: &Project) -> Vec<RecordingOverTime> {
    let of = |recorded: &crate::project::Recorded| {
        let given = project.measurements.get(recorded.measurement)?;
        Some(RecordingOverTime {
            file: given.file.clone()?,
            words: format!("{}, {}", position_words(given), stage_words(given.when)),
            analysis: recorded.analysis.clone()?,
        })
    };
    project.recorded.iter().filter_map(of).collect()
}

/// What is missing where nothing that was measured could be judged.
fn nothing_judged(project: &Project) -> String {
    if project.measurements.iter().any(|one| one.what == Measured::Receiver) {
        return "What was measured at a receiver is held against nothing: the plan has no prediction for it."
            .to_owned();
    }
    let mut kinds: Vec<String> = Vec::new();
    for one in &project.measurements {
        let word = format!("\"{}\"", one.what.word());
        if !kinds.contains(&word) {
            kinds.push(word);
        }
    }
    format!(
        "Only {} {} measured, and no level at a receiver with the source on: there is no difference to hold against the plan. Measure \
         that too, at the place itself.",
        kinds.join(" and "),
        if kinds.len() == 1 { "was" } else { "were" }
    )
}

/// What was measured at one receiver.
pub(crate) struct At {
    /// Its place among the receivers of the project.
    pub(crate) receiver: usize,
    /// Its place among the listeners of the forward model.
    pub(crate) listener: usize,
    /// After the work.
    pub(crate) after: Option<LevelDifference>,
    /// Before it.
    pub(crate) before: Option<LevelDifference>,
    /// Whether the levels after the work come from recordings without a calibrator's tone: their gain may have been changed in between.
    pub(crate) gain_unknown: bool,
}

/// Whether a level at a receiver after the work comes from a recording without a calibrator's tone.
fn gain_unknown(project: &Project, receiver: &str) -> bool {
    taken_of(project, Stage::After).any(|taken| {
        !taken.levels.calibrated
            && taken.given.what == Measured::Receiver
            && taken.given.receiver.as_deref() == Some(receiver)
    })
}

/// A measurement with its levels.
struct Taken<'a> {
    given: &'a Measurement,
    levels: MeasuredLevels,
    swept: Option<&'a SweptLevels>,
}

/// The levels of a measurement, typed or worked out from its recording.
fn levels_of<'a>(project: &'a Project, place: usize, given: &'a Measurement) -> Option<Taken<'a>> {
    let recorded = || project.recorded.iter().find(|one| one.measurement == place);
    let levels = match &given.levels {
        Some(typed) => MeasuredLevels {
            bands: BandLevels::from_fn(|band| typed.get(band)),
            calibrated: true,
            chain: given.chain.clone(),
        },
        None if given.level_dba.is_some() => return None,
        None => recorded()?.levels.clone(),
    };
    let swept = recorded().filter(|_| given.levels.is_none()).and_then(|one| one.swept.as_ref());
    Some(Taken { given, levels, swept })
}

/// All measurements of a stage that have levels by bands.
fn taken_of(project: &Project, stage: Stage) -> impl Iterator<Item = Taken<'_>> {
    let all = project.measurements.iter().enumerate();
    all.filter(move |(_, one)| one.when == stage).filter_map(|(place, one)| levels_of(project, place, one))
}

/// Why a difference of two levels means nothing.
fn unlike(one: &Taken<'_>, other: &Taken<'_>) -> String {
    let (first, second) = (position_words(one.given), position_words(other.given));
    if one.levels.calibrated == other.levels.calibrated {
        format!("{first} and {second} are not calibrated and of different chains or gains.")
    } else {
        let (known, unknown) = if one.levels.calibrated { (first, second) } else { (second, first) };
        format!(
            "{known} counts from 20 µPa and {unknown} is not calibrated. Give both the recording of a calibrator's tone, `calibration_file` and \
             `calibration_db`."
        )
    }
}

/// The background at a receiver that was measured with its level known, dB: after the work where it was measured then. Below and above the
/// bands that were measured it falls by 4 dB an octave, as in quiet places; a single reading in dB(A) gives its level alone.
pub(crate) fn measured_background(project: &Project, receiver: &str) -> Option<Spectrum> {
    let at = |stage: Stage| {
        let given: Vec<(usize, &Measurement)> = project
            .measurements
            .iter()
            .enumerate()
            .filter(|(_, one)| one.what == Measured::Background && one.when == stage)
            .filter(|(_, one)| one.receiver.as_deref().is_none_or(|name| name == receiver))
            .collect();
        let levels: Vec<BandLevels> = given
            .iter()
            .filter_map(|(place, one)| levels_of(project, *place, one))
            .filter(|taken| taken.levels.calibrated)
            .map(|taken| taken.levels.bands)
            .collect();
        let shape = suspects::quiet_place();
        let bands = proof::iso_16283_1_2014::energy_average(&levels);
        let measured: Vec<(Band, f64)> = bands.measured().collect();
        if let (Some((lowest, _)), Some((highest, _))) = (measured.first(), measured.last()) {
            return Some(shape.map(|band, own| {
                let next = if band.index() < lowest.index() { *lowest } else { *highest };
                let nearest = measured.iter().rev().find(|(other, _)| other.index() <= band.index());
                let beyond = band.index() < lowest.index() || band.index() > highest.index();
                let known = if beyond { bands.get(next) } else { nearest.map(|(_, level)| *level) };
                let from = if beyond { next } else { nearest.map_or(band, |(other, _)| *other) };
                known.map_or(own, |level| level + own - shape.get(from))
            }));
        }
        let single = bands::energy_average_db(given.iter().filter_map(|(_, one)| one.level_dba))?;
        Some(shape.shifted(single - shape.total_a_db()))
    };
    at(Stage::After).or_else(|| at(Stage::Before))
}

/// The difference measured at one receiver at one stage; none where a side is missing.
fn measured_at(
    known: &Known<'_>,
    receiver: usize,
    stage: Stage,
    not_judged: &mut Vec<String>,
) -> Option<LevelDifference> {
    let project = known.project;
    let receiver = project.receivers.get(receiver)?;
    let name = receiver.name.as_str();
    let inwards = receiver.place == Place::Inside;
    let taken: Vec<Taken<'_>> =
        taken_of(project, stage).filter(|taken| taken.given.on_wall.is_none()).collect();
    let here = |what: Measured| -> Vec<&Taken<'_>> {
        taken
            .iter()
            .filter(|one| one.given.what == what)
            .filter(|one| one.given.receiver.as_deref().is_none_or(|place| place == name))
            .collect()
    };
    let received = here(Measured::Receiver);
    if received.is_empty() {
        return None;
    }
    let side = if inwards { Measured::Outside } else { Measured::Inside };
    let sources = here(side);
    let single = |one: &Measurement| one.what == side && one.when == stage && one.level_dba.is_some();
    if sources.is_empty() && project.measurements.iter().any(single) {
        return None;
    }
    if sources.is_empty() {
        let missing = if inwards { "outside" } else { "inside" };
        not_judged.push(format!(
            "{} something was measured {}, but nothing on the side of the source: measure there too, `what = \"{missing}\"`.",
            capital(&at_place(name)),
            stage_words(stage)
        ));
        return None;
    }
    let mut all = sources.iter().chain(&received);
    let first = all.next()?;
    if let Some(other) = all.find(|one| !one.levels.comparable_with(&first.levels)) {
        not_judged.push(format!(
            "What was measured {} {} cannot be compared: {}",
            at_place(name),
            stage_words(stage),
            unlike(first, other)
        ));
        return None;
    }
    let (behind, other): (Vec<&Taken<'_>>, Vec<&Taken<'_>>) =
        here(Measured::Background).into_iter().partition(|one| one.levels.comparable_with(&first.levels));
    let background: Vec<BandLevels> = behind.iter().map(|one| one.levels.bands).collect();
    let side = |list: &[&Taken<'_>], volume_m3: Option<f64>| Side {
        positions: list.iter().filter(|one| !one.given.corner).map(|one| one.levels.bands).collect(),
        corners: list.iter().filter(|one| one.given.corner).map(|one| one.levels.bands).collect(),
        volume_m3,
    };
    // Corners count below 100 Hz in a room under 25 m³, whichever side it is on; outdoors there are none.
    let volumes = match receiver.place {
        Place::NextDoor(dwelling) => (Some(known.volume_m3), Some(dwelling.volume_m3)),
        Place::Outside { .. } => (Some(known.volume_m3), None),
        Place::Inside => (None, Some(known.volume_m3)),
    };
    for (side, volume_m3) in [(&sources, volumes.0), (&received, volumes.1)] {
        let large = volume_m3.is_none_or(|volume_m3| volume_m3 >= SMALL_ROOM_M3);
        if large && side.iter().any(|one| one.given.corner) {
            let small = with_unit(SMALL_ROOM_M3, 0, "m³");
            not_judged.push(format!(
                "What was measured in corners {} {} counts in a room under {small} only (ISO 16283-1, 8.2): it is left out here.",
                at_place(name),
                stage_words(stage)
            ));
        }
    }
    let sweeps = sources.iter().chain(&received).filter(|one| one.swept.is_some()).count();
    let difference = if sweeps == sources.len() + received.len() {
        of_sweeps(&sources, &received, volumes)
    } else if sweeps > 0 {
        not_judged.push(format!(
            "{} {} one side holds the signal `sweep` and the other does not: there is no difference between two signals. Record the same one on both sides.",
            capital(&at_place(name)),
            stage_words(stage)
        ));
        return None;
    } else {
        if let Some(other) = other.first() {
            not_judged.push(format!(
                "A background {} {} is left out: {}",
                at_place(name),
                stage_words(stage),
                unlike(first, other)
            ));
        }
        if let Some(bands) = below_background(&received, &background) {
            not_judged.push(format!(
                "{} {} the level with the source on is lower than the background in {bands} bands: that cannot be. The two look swapped, or the background was measured at a louder time; measure it right before or after. Nothing is judged by them.",
                capital(&at_place(name)),
                stage_words(stage)
            ));
            return None;
        }
        level_difference(&side(&sources, volumes.0), &side(&received, volumes.1), &background)
    };
    if difference.difference_db.measured().next().is_none() {
        not_judged.push(format!(
            "What was measured {} {} has no band in common on both sides.",
            at_place(name),
            stage_words(stage)
        ));
        return None;
    }
    if swapped(&difference) {
        let (here, there) = if inwards { ("in the room", "outside") } else { ("there", "in the room") };
        not_judged.push(format!(
            "{} {} more was measured {here} than {there}: the two look swapped. Nothing is judged by them; put `what` right.",
            capital(&at_place(name)),
            stage_words(stage)
        ));
        return None;
    }
    Some(difference)
}

/// The difference of recordings of the sweep on both sides: by their responses, whose own noise sets the limits (ISO 18233).
fn of_sweeps(
    sources: &[&Taken<'_>],
    received: &[&Taken<'_>],
    volumes_m3: (Option<f64>, Option<f64>),
) -> LevelDifference {
    let mut at_least: Vec<Band> = Vec::new();
    let mut side = |list: &[&Taken<'_>], volume_m3: Option<f64>, receiving: bool| {
        let mut side = Side { volume_m3, ..Side::default() };
        for (given, swept) in list.iter().filter_map(|one| Some((one.given, one.swept?))) {
            let gains = if receiving {
                let (gains, limits) = swept.gains_or_limits();
                at_least.extend(limits);
                gains
            } else {
                swept.clear_gains()
            };
            if given.corner { side.corners.push(gains) } else { side.positions.push(gains) }
        }
        side
    };
    let (from, to) = (side(sources, volumes_m3.0, false), side(received, volumes_m3.1, true));
    let mut difference = level_difference(&from, &to, &[]);
    at_least.sort_by_key(|band| band.index());
    at_least.dedup();
    at_least.retain(|band| difference.difference_db.get(*band).is_some());
    difference.at_least = at_least;
    // The noise in the response is known from the recording itself.
    difference.background_unknown = false;
    difference
}

/// A level with the source on this much below the background is a mistake, dB (judgement: what two readings scatter).
const BELOW_BACKGROUND_DB: f64 = 3.0;

/// In how many bands the level at a receiver is lower than its own background, where that is more than half of them.
fn below_background(received: &[&Taken<'_>], background: &[BandLevels]) -> Option<usize> {
    let levels: Vec<BandLevels> = received.iter().map(|one| one.levels.bands).collect();
    let over = energy_average(&levels).zip_with(&energy_average(background), |level, behind| level - behind);
    let below = over.measured().filter(|(_, over)| *over < -BELOW_BACKGROUND_DB).count();
    (2 * below > over.measured().count()).then_some(below)
}

/// Whether more than half of the bands are louder on the receiving side: no wall does that.
fn swapped(difference: &LevelDifference) -> bool {
    let bands = difference.difference_db.measured().count();
    let louder = difference.difference_db.measured().filter(|(_, difference)| *difference < 0.0).count();
    2 * louder > bands
}

pub(crate) fn stage_words(stage: Stage) -> &'static str {
    match stage {
        Stage::Before => "before the work",
        Stage::After => "after the work",
    }
}

fn position_words(given: &Measurement) -> String {
    match (&given.position, &given.receiver) {
        (Some(position), _) => format!("\"{position}\""),
        (None, Some(receiver)) => format!("the level {}", at_place(receiver)),
        (None, None) => format!("the level {}", given.what.word()),
    }
}

/// A spectrum from bands that were measured; the others as they are in another.
pub(crate) fn filled(measured: &BandLevels, otherwise: &Spectrum) -> Spectrum {
    otherwise.map(|band, value| measured.get(band).unwrap_or(value))
}

/// The sound a receiver's verdict is taken from: its name and its level on the side of the source, dB.
pub(crate) fn governing_sound(
    known: &Known<'_>,
    listening: &Listening,
    receiver: usize,
) -> Option<(String, Spectrum)> {
    let receiver = known.project.receivers.get(receiver)?;
    let heard = listening.heard.iter().find(|one| one.receiver == receiver.name && one.governs)?;
    let level = if receiver.place == Place::Inside {
        let given = known.project.outside_sounds.iter().find(|one| one.name == heard.source)?;
        catalogue::find::<catalogue::OutdoorSound>(given.kind.as_str())?.spectrum_at(given.level_dba)
    } else {
        listening.sources.iter().find(|one| one.name == heard.source)?.level_in_room_db
    };
    Some((heard.source.clone(), level))
}

/// Bands that are judged: those the uncertainties are known for.
pub(crate) fn judged_bands() -> impl Iterator<Item = Band> {
    Band::range(50.0, 5000.0)
}

/// The diagnosis alone, for a trial with made-up measurements.
#[cfg(test)]
fn diagnosed(
    forward: &Forward<'_>,
    listening: &Listening,
    measured: &[At],
) -> Option<crate::outcome::proof::ProofDiagnosis> {
    suspects::diagnosis(forward, listening, measured)
}
