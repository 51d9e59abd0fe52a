//! Words of the sheet that chooses what to build.

use std::fmt::Write as _;

pub(crate) const HOW: &str = "Out of every way of building each element, the least costly set that keeps every limit. Costs here are of what is chosen between; sealant, screws and what else the order lists come on top. Nothing in the file changes until you adopt one.";
pub(crate) const BEGIN: &str = "choose";
pub(crate) const AGAIN: &str = "choose again";
pub(crate) const STOP: &str = "stop";
pub(crate) const STOPPED_SHORT: &str = "Choosing stopped in the middle of its work. The file is as it was.";
pub(crate) const OLDER: &str =
    "The room has changed since this was chosen: choose again before you adopt anything.";
pub(crate) const ADOPTED: &str =
    "Adopted: the file has it now. Undo takes it back; to choose from here on, choose again.";
pub(crate) const TODAY: &str = "As the file has it";
pub(crate) const ADOPT: &str = "adopt";
pub(crate) const ADOPT_THIS: &str = "adopt this choice";
pub(crate) const UNCHANGED: &str = "The file has it so already.";
pub(crate) const FRONT: &str = "What each decibel costs";
pub(crate) const COST: &str = "cost";
pub(crate) const MARGIN: &str = "smallest margin, dB";
pub(crate) const CHANGES: &str = "what changes";
pub(crate) const PLACE: &str = "place";
pub(crate) const SOUND: &str = "sound";
pub(crate) const SPARE: &str = "to spare, dB";
pub(crate) const NEXT: &str = "The next best steps from what is in the file";
pub(crate) const ELEMENT: &str = "element";
pub(crate) const BECOMES: &str = "becomes";
pub(crate) const GAIN: &str = "gains, dB";
pub(crate) const WHY_NOT: &str = "Why not";
pub(crate) const HEADROOM: &str = "What each decibel takes of the headroom";
pub(crate) const DEPTH: &str = "below the joists";
pub(crate) const UNPROVED: &str = "not proved the least";
pub(crate) const IF: &str = "If";
pub(crate) const IF_HOW: &str = "Reckoned in the room as the chosen set leaves it.";
pub(crate) const KNOW: &str = "To know";
pub(crate) const IN_DOSSIER: &str = "the dossier with this choice in it";
pub(crate) const NOTHING: &str = "nothing";
pub(crate) const KNEE: &str = "beyond it a decibel grows dear";
pub(crate) const NO_CHOICE: &str = "There is no choice to adopt any more. Choose again.";

/// How far it has come.
pub(crate) fn under_way(stage: usize, for_s: u64) -> String {
    let mut words = String::from("Being chosen");
    if let Some(what) = plan::choosing::STAGES.get(stage) {
        let _ = write!(words, ", part {} of {}: {what}", stage + 1, plan::choosing::STAGES.len());
    }
    let _ = write!(words, " ({for_s}\u{a0}s).");
    words
}

/// How these margins differ from the verdicts above.
pub(crate) fn sure(percent: f64) -> String {
    format!(
        "Margins here are kept in {percent:.0} of 100 draws of source, way and insulation; the verdicts above tell the middle of those draws, as often missed \
         as kept, with their spread beside it. So a place can be short here and have some to spare there."
    )
}

/// By how much all limits of sound would have to give together.
pub(crate) fn all_give(by: &str) -> String {
    format!("All limits of sound together would have to give {by}.")
}
