//! Words of the sheet that holds what was measured against what was planned.

/// Stands for the form where a sentence belongs to it as a whole.
pub(crate) const FORM: &str = "measured";
pub(crate) const CANNOT_LISTEN: &str =
    "This file could not be listened to. Save the recording as WAV (PCM, 24 bits) and try again.";
pub(crate) const BROKEN_OFF: &str = "The form did not arrive whole, so nothing was stored. Send it again.";
pub(crate) const TOO_MANY: &str =
    "That is more at once than is taken: send at most 24 recordings. Nothing was stored.";
pub(crate) const WHAT_AND_WHEN: &str = "Say what was measured, and whether before or after the work.";
pub(crate) const WHICH_PLACE: &str = "Say at which place it was measured.";
pub(crate) const NOTHING_GIVEN: &str = "Choose a recording, or type the levels the meter showed.";
pub(crate) const CALIBRATOR_LEVEL: &str = "Type the level that is printed on the calibrator, such as 94.";
pub(crate) const NOTHING_YET: &str = "Nothing was measured yet. Record the room and each place with the same device at the same gain, or type what a meter shows.";
/// How to go about it, where nothing was measured yet.
pub(crate) const FIRST: [&str; 4] = [
    "Write what is to be played: the command stillroom signals makes pink-minute.wav for levels and sweep.wav for decay times.",
    "Before the work play pink-minute.wav loud in the room, ears protected and doors shut. Record it in the room, then at each place, and never touch the gain. Add each here as before the work.",
    "After the work do the same with the same things in the same spots. Add each as after the work.",
    "This sheet then tells band by band what gets through, how that stands beside what was planned, and what most likely leaks.",
];
pub(crate) const EXPLAINS: &str = "What explains it";
pub(crate) const EXPLANATION: &str = "explanation";
pub(crate) const SIZE: &str = "size";
pub(crate) const LIKELY: &str = "likely";
pub(crate) const NEAREST: &str = "nearest, not well";
pub(crate) const KEEP: &str = "plan with this fault until it is mended";
pub(crate) const KEPT: &str = "Planned with";
pub(crate) const MENDED: &str = "it is mended";
pub(crate) const MEASURED: &str = "Measured so far";
pub(crate) const WHAT: &str = "what";
pub(crate) const WHEN: &str = "when";
pub(crate) const PLACE: &str = "place";
pub(crate) const POSITION: &str = "microphone";
pub(crate) const FROM: &str = "from";
pub(crate) const TYPED: &str = "typed";
pub(crate) const LISTENED_TO: &str = "The recordings are being listened to.";
pub(crate) const FORGET: &str = "take out of the file";
pub(crate) const ADD: &str = "Add what was measured";
pub(crate) const ADD_HOW: &str = "Recordings are kept beside the room file, in the folder recordings. WAV, FLAC or AIFF, at most 200 MB each.";
pub(crate) const DROP: &str = "Drop recordings here, or choose them:";
pub(crate) const TYPE: &str = "Or type what the meter shows, in dB (decay: seconds)";
pub(crate) const SOURCE: &str = "sound that was on";
pub(crate) const CORNER: &str = "in a corner of a small room";
pub(crate) const CHAIN: &str = "device and gain";
pub(crate) const NEEDS_CHAIN: &str = "Fill in \u{201c}device and gain\u{201d}, the same words for all recordings of one device at one gain, or add the recording of a calibrator: without either, a recording can be compared with nothing.";
pub(crate) const CHAIN_HOW: &str = "needed without a calibrator; such as: phone, gain fixed. Without a calibrator, only recordings of one device at one gain are compared.";
pub(crate) const CALIBRATOR: &str = "recording of a calibrator, where there is one";
pub(crate) const CALIBRATOR_DB: &str = "its level, dB";
pub(crate) const DATE: &str = "day";
pub(crate) const STORE: &str = "store and compare";
pub(crate) const HATCHED: &str = "Hatched: four times in five the planned difference lies in here. Bars: the measured one, four times in five.";
pub(crate) const BAND_HZ: &str = "Hz";
pub(crate) const AGAINST_LIMIT: &str = "against the limit";
pub(crate) const NUMBERS: &str = "The same in numbers";
pub(crate) const MEASURED_DB: &str = "measured, dB";
pub(crate) const PLANNED_DB: &str = "planned, dB";
pub(crate) const BETWEEN: &str = "planned between";

/// What can be measured: the word of the file, and what it is called.
pub(crate) const WHATS: [(&str, &str); 5] = [
    ("inside", "the level in the room, its source on"),
    ("receiver", "the level at a place, the source on"),
    ("background", "the level there, the source off"),
    ("outside", "a sound outdoors, 2 m in front of the wall"),
    ("decay", "decay: strokes, or noise switched off"),
];
/// What a decay is of, where it is not found out: the word of the file, and what it is called.
pub(crate) const DECAYS: [(&str, &str); 4] = [
    ("", "found out by itself"),
    ("strokes", "strokes on a drum"),
    ("noise", "noise switched off"),
    ("sweep", "the sweep"),
];
pub(crate) const DECAY_OF: &str = "a decay is of";
/// How one says on the page what a recording of a decay is of.
pub(crate) const SAY_WHICH: &str =
    "take it out of the file, choose strokes or noise under \u{201c}a decay is of\u{201d} and send it again";
/// The place of a decay that is the planned room's own.
pub(crate) const THIS_ROOM: &str = "this room itself";
/// Before the work or after it.
pub(crate) const WHENS: [(&str, &str); 2] = [("after", "after the work"), ("before", "before the work")];

/// A recording cannot be stored.
pub(crate) fn not_stored(why: &std::io::Error) -> String {
    format!(
        "The recording could not be stored beside the room file ({why}). Is the folder write-protected or the disk full? The room file is as it was."
    )
}

/// A recording is too large.
pub(crate) fn too_large(called: &str) -> String {
    format!(
        "\u{2018}{called}\u{2019} is larger than 200 MB: cut out the minute that matters. Nothing was stored."
    )
}

/// A recording that was named before.
pub(crate) const IT: &str = "it";

/// What a recording was called where it came from.
pub(crate) fn came_as(called: &str) -> String {
    format!("came as {called}")
}

/// A recording is not what it should be.
pub(crate) fn of_recording(called: &str, why: &str) -> String {
    format!("\u{2018}{called}\u{2019} was not taken: {why}")
}
