//! Measurements and the faults found by them, each with all it needs.

use crate::{
    project::{ElementId, FaultKind, FoundFault, Measured, Measurement, Place},
    read::{checks::Draft, reading::Reading, wording::shown},
};

/// Keys of which a fault has only those of its kind.
const KEYS: [&str; 9] =
    ["element", "vent", "receiver", "area_mm2", "open_mm", "count", "share_percent", "depth_mm", "loss_db"];

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    for (index, measurement) in draft.file.measurement.iter().enumerate() {
        let entry = reading.entry("measurement", index);
        values(measurement, &entry, reading);
        recording(measurement, &entry, reading);
        at_receiver(draft, measurement, &entry, reading);
    }
    let faults = draft.file.as_proved.iter().flat_map(|proved| &proved.fault);
    for (index, fault) in faults.enumerate() {
        let entry = reading.entry("as_proved.fault", index);
        found_fault(draft, fault, &entry, reading);
    }
}

/// A measurement has levels, one level, decay times or a recording, and only what belongs to it.
fn values(given: &Measurement, entry: &str, reading: &mut Reading<'_>) {
    let path = |key: &str| format!("{entry}.{key}");
    let own: &[&str] = if given.what == Measured::Decay { &["decay_s"] } else { &["levels", "level_dba"] };
    let stray = ["levels", "level_dba", "decay_s"]
        .into_iter()
        .find(|key| !own.contains(key) && reading.has(&path(key)));
    if let Some(stray) = stray {
        let (what, typed) = (given.what.word(), own.first().copied().unwrap_or_default());
        reading
            .error("wrong-values", &path(stray), format!("A measurement of \"{what}\" has no `{stray}`."))
            .help(format!("Write `{typed}`, or another word at `what`."));
        return;
    }
    if given.what != Measured::Outside && reading.has(&path("on_wall")) {
        reading
            .error("on-wall", &path("on_wall"), "Only a level outside is measured on a wall.")
            .help("Take `on_wall` away, or write `what = \"outside\"`.");
    }
    let of_decays = given.what == Measured::Decay && reading.has(&path("file"));
    if reading.has(&path("decay_of")) && !of_decays {
        reading
            .error(
                "decay-of",
                &path("decay_of"),
                "`decay_of` says what a recording of decays is of, and here is none.",
            )
            .help("Take `decay_of` away, or name the recording: `what = \"decay\"` with its `file`.");
    }
    let there: Vec<&str> =
        own.iter().copied().chain(["file"]).filter(|key| reading.has(&path(key))).collect();
    match there.as_slice() {
        [] => {
            let typed = own.first().copied().unwrap_or_default();
            reading.error("missing-levels", entry, "The measurement has no values.").help(format!(
                "Write `{typed} = {{ \"100\" = 72.5, \"125\" = 70.0 }}`{}, or `file = \"inside.wav\"`.",
                if own.len() > 1 { ", `level_dba = 71.5` where the meter shows no bands" } else { "" }
            ));
        }
        [_] => {}
        [first, second, ..] => {
            reading
                .error("either-or", &path(second), format!("`{first}` and `{second}` both stand here."))
                .help("Keep one of them: the values as typed, or the recording they are worked out from.");
        }
    }
}

/// A recording is calibrated, or its chain has a name.
fn recording(given: &Measurement, entry: &str, reading: &mut Reading<'_>) {
    let path = |key: &str| format!("{entry}.{key}");
    match (reading.has(&path("calibration_file")), reading.has(&path("calibration_db"))) {
        (true, false) => {
            reading
                .error(
                    "missing-key",
                    &path("calibration_file"),
                    "The calibrator's tone needs its level, `calibration_db`.",
                )
                .help("Write what the calibrator says, usually `calibration_db = 94`.");
        }
        (false, true) => {
            reading
                .error(
                    "missing-key",
                    &path("calibration_db"),
                    "`calibration_db` is the level of a calibrator's tone, but `calibration_file` is missing.",
                )
                .help("Name the recording of the tone, or take `calibration_db` away.");
        }
        _ => {}
    }
    let uncalibrated = reading.has(&path("file"))
        && !reading.has(&path("levels"))
        && !reading.has(&path("calibration_file"));
    if uncalibrated && given.chain.is_none() && given.what != Measured::Decay && !reading.has(&path("chain"))
    {
        reading
            .error(
                "unknown-chain",
                &path("file"),
                "A recording without calibration can only be compared with others of the same chain and gain.",
            )
            .help("Write `chain = \"…\"` with one name for all recordings made with this gain, or give `calibration_file` and `calibration_db`.");
    }
}

/// The receiver is there, and the measurement belongs to it.
fn at_receiver(draft: &Draft<'_>, given: &Measurement, entry: &str, reading: &mut Reading<'_>) {
    let path = format!("{entry}.receiver");
    let needs = matches!(given.what, Measured::Receiver | Measured::Background);
    let Some(name) = &given.receiver else {
        if needs && !reading.has(&path) {
            reading
                .error(
                    "missing-key",
                    entry,
                    format!("A measurement of \"{}\" needs its `receiver`.", given.what.word()),
                )
                .help("Write the name of the [[receiver]] it was measured at.");
        }
        return;
    };
    let Some(receiver) = known_receiver(draft, name, &path, reading) else { return };
    if given.what == Measured::Inside {
        reading
            .error("inside-or-receiver", &path, "The level in the room itself has no `receiver`.")
            .help("Take `receiver` away, or write `what = \"receiver\"`.");
    }
    if given.what == Measured::Decay && matches!(receiver, Place::Outside { .. }) {
        reading
            .error("decay-outdoors", &path, format!("\"{}\" lies outdoors: there is no decay.", shown(name)))
            .help("Take `receiver` away for the decay of this room.");
    }
}

fn known_receiver(draft: &Draft<'_>, name: &str, path: &str, reading: &mut Reading<'_>) -> Option<Place> {
    let receivers = &draft.file.receiver;
    let found = receivers.iter().find(|receiver| receiver.name == name);
    if found.is_none() && !reading.lost_entries("receiver") {
        let known = crate::read::wording::list_names(receivers.iter().map(|one| one.name.as_str()), 16);
        reading.error("unknown-receiver", path, format!("There is no receiver \"{}\".", shown(name))).help(
            if known.is_empty() {
                "Write a [[receiver]] of this name.".to_owned()
            } else {
                format!("The receivers are {known}.")
            },
        );
    }
    found.map(|receiver| receiver.place)
}

/// A fault has the part and the size of its kind, and the part can have it.
fn found_fault(draft: &Draft<'_>, fault: &FoundFault, entry: &str, reading: &mut Reading<'_>) {
    let path = |key: &str| format!("{entry}.{key}");
    let (part, size) = fault.kind.needs();
    let kind = fault.kind.word();
    if let Some(key) = part.into_iter().chain([size]).find(|key| !reading.has(&path(key))) {
        reading
            .error("missing-key", entry, format!("A fault of the kind \"{kind}\" needs the key `{key}`."))
            .help(format!("Write `{key}`; `stillroom proof ROOM.toml --keep` writes the whole table."));
        return;
    }
    let stray = KEYS.into_iter().find(|key| *key != size && Some(*key) != part && reading.has(&path(key)));
    if let Some(key) = stray {
        reading
            .error("stray-key", &path(key), format!("A fault of the kind \"{kind}\" has no `{key}`."))
            .help(format!("Take `{key}` away."));
        return;
    }
    let element = fault.element;
    let fits = match (fault.kind, element) {
        (FaultKind::Seal | FaultKind::Panes, Some(element)) => matches!(element, ElementId::Opening(_)),
        (FaultKind::WeakWall, Some(element)) => matches!(element, ElementId::Wall(_)),
        _ => true,
    };
    if !fits {
        let (wanted, such) =
            if fault.kind == FaultKind::WeakWall { ("a wall", "A-B") } else { ("a window or door", "door") };
        reading
            .error("wrong-part", &path("element"), format!("A fault of the kind \"{kind}\" is in {wanted}."))
            .help(format!("Name {wanted}, such as `element = \"{such}\"`."));
    }
    if let Some(name) = &fault.vent
        && !draft.file.vent.iter().any(|vent| vent.name == *name)
        && !reading.lost_entries("vent")
    {
        reading
            .error("unknown-vent", &path("vent"), format!("There is no vent \"{}\".", shown(name)))
            .help("Write the name of a [[vent]].");
    }
    if let Some(name) = &fault.receiver
        && let Some(place) = known_receiver(draft, name, &path("receiver"), reading)
        && !matches!(place, Place::NextDoor(_))
    {
        reading
            .error(
                "no-flanking",
                &path("receiver"),
                format!("\"{}\" is in no room next door: nothing goes round to it.", shown(name)),
            )
            .help("Name a receiver with `behind`.");
    }
}
