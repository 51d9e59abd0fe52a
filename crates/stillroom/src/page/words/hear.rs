//! Words of listening to the room.

pub(crate) const TITLE: &str = "Hear it";
pub(crate) const HOW: &str = "The same sound inside and at this place: as it is today, as planned, and one step further. Switching does not interrupt it, and all are at their true levels to each other.";
pub(crate) const START: &str = "make the sounds";
pub(crate) const MAKING: &str = "The sounds are being made.";
pub(crate) const STOP_MAKING: &str = "stop making them";
pub(crate) const HOW_FAR: &str = "How far the sounds have come";
pub(crate) const INSIDE: &str = "inside the room";
pub(crate) const OUTSIDE: &str = "outside, in the open";
pub(crate) const PHRASE: &str = "a voice at one metre";
pub(crate) const CAUTION: &str = "Before the first sound";
pub(crate) const PLAY_PHRASE: &str = "play the voice";
pub(crate) const VOLUME_IS_SET: &str = "the volume is set";
pub(crate) const PLAY: &str = "play";
pub(crate) const STOP: &str = "stop";
pub(crate) const WHICH: &str = "What is heard";
pub(crate) const NOT_MADE: &str = "The sounds could not be made.";
pub(crate) const NO_SOUND: &str = "The plan has changed, and its sounds with it: make them again.";
pub(crate) const NOBODY: &str = "No place hears a source in the room: nothing can be played.";
pub(crate) const NEEDS_SCRIPT: &str =
    "Listening here needs scripts; `stillroom hear` writes the same sounds as files.";

/// How far the sounds have come.
pub(crate) fn under_way(done: usize, of: usize) -> String {
    if of == 0 { String::new() } else { format!("{done} of {of} parts are done.") }
}
