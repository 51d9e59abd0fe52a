//! What was really fixed, read off in the room.

use crate::{project::WallId, read::keyed::keyed};

keyed! {
    /// What is already fixed, as it was really found; the plan is mended round it. Numbers and names are those of the plan made
    /// without this table, from the same survey, rules and stock.
    pub struct AsBuilt {
        /// Stamp of the layout the readings belong to, from its sheet of marks. With it, readings are never taken for those of another
        /// layout.
        stamp: Option<String>,
        /// Bars that are fixed, their clips with them.
        bar: Vec<FixedBar>,
        /// Clips that were read one by one.
        clip: Vec<FixedClip>,
        /// Boards that are up.
        board: Vec<FixedBoard>,
        /// Bars that hang though the plan has none there; they are numbered on from those of the plan, in this order.
        added_bar: Vec<AddedBar>,
        /// Readings that were taken back: they stay in the file and do not count.
        withdrawn: Vec<Withdrawn>,
        /// Steps of the build that are done.
        step: Vec<DoneStep>,
        /// What hold points came to.
        hold: Vec<HeldPoint>,
    }
}

keyed! {
    /// A reading of a fixed bar at one wall; give two, at the two walls it runs up to, where it may have turned. Of several at the same
    /// wall the last one counts: it corrects those before it.
    pub struct FixedBar {
        /// Number of the bar in the plan.
        bar: u32 [1.0, 999.0],
        /// The wall the running dimension was taken along.
        wall: WallId,
        /// To the middle of the bar, from the corner the marks of that wall start from (ringed on the sheet of bars).
        at_mm: f64 [0.0, 50_000.0],
        /// A second tape of the same place: averaged with the one before it, not put in its place.
        again: bool = false,
        /// Name the page for the site gave the reading; by it a reading is taken in once, and taken back.
        read: Option<String>,
    }
}

keyed! {
    /// A clip that is fixed or was skipped. Of several tables for one clip the last one counts.
    pub struct FixedClip {
        /// Number of the clip in the plan.
        clip: u32 [1.0, 9999.0],
        /// From the left end of its bar, as the list of clips counts, to its middle; without it the clip sits on its mark.
        along_mm: Option<f64> [0.0, 50_000.0],
        /// The clip was not fixed: no timber, something in the way. Its neighbours carry what it would have carried, and the mend adds what that takes.
        skipped: bool = false,
        /// Why it was skipped or moved.
        why: Option<String>,
        /// Name the page for the site gave the reading.
        read: Option<String>,
    }
}

keyed! {
    /// A board that is up, with how far it hangs from its place. Of several tables for one piece the last one counts.
    pub struct FixedBoard {
        /// Name of the piece in the plan, such as "1-07".
        piece: String,
        /// Off its place along the bars; plus away from the corner the layout starts from.
        off_along_mm: f64 [-500.0, 500.0] = 0.0,
        /// Off its place across the bars; plus away from the corner the layout starts from.
        off_across_mm: f64 [-500.0, 500.0] = 0.0,
        /// Name the page for the site gave the reading.
        read: Option<String>,
    }
}

keyed! {
    /// A bar that was added on site, by where its middle line meets the two walls it runs up to; the running dimensions count from the
    /// corner the marks of each wall start from (ringed on the sheet of bars).
    pub struct AddedBar {
        /// The wall at its one end.
        from_wall: WallId,
        /// Running dimension to its middle there.
        from_mm: f64 [0.0, 50_000.0],
        /// The wall at its other end.
        to_wall: WallId,
        /// Running dimension to its middle there.
        to_mm: f64 [0.0, 50_000.0],
        /// Middles of its clips, from its left end; without them it is taken to be clipped where the plan would clip it.
        clips_mm: Vec<f64> [0.0, 50_000.0] = Vec::new(),
    }
}

keyed! {
    /// A reading that was taken back on the page for the site.
    pub struct Withdrawn {
        /// Name the page gave that reading.
        read: String,
    }
}

keyed! {
    /// A step of the build, ticked off on site. Of several tables for one step the last one counts.
    pub struct DoneStep {
        /// Its title, as on the sheet of steps.
        step: String,
        /// Whether it is done.
        done: bool = true,
        /// Name the page for the site gave the entry.
        read: Option<String>,
    }
}

keyed! {
    /// What the hold point of a step came to. Of several tables for one step the last one counts.
    pub struct HeldPoint {
        /// Title of the step, as on the sheet of steps.
        step: String,
        /// What was measured, in words or figures.
        measured: String,
        /// Whether it is within what the step allows.
        within: bool = true,
        /// Name the page for the site gave the reading.
        read: Option<String>,
    }
}

impl AsBuilt {
    /// What counts: readings that were taken back left out, of several of one place the last one, second tapes averaged with the
    /// one they repeat. In the order the places were first read in.
    #[must_use]
    pub fn counted(&self) -> Self {
        let stands = |read: &Option<String>| {
            !read.iter().any(|name| self.withdrawn.iter().any(|one| one.read == *name))
        };
        let mut bars: Vec<(FixedBar, f64)> = Vec::new();
        for one in self.bar.iter().filter(|one| stands(&one.read)) {
            match bars.iter_mut().find(|(known, _)| (known.bar, known.wall) == (one.bar, one.wall)) {
                Some((known, tapes)) if one.again => {
                    known.at_mm += (one.at_mm - known.at_mm) / (*tapes + 1.0);
                    *tapes += 1.0;
                }
                Some(known) => *known = (one.clone(), 1.0),
                None => bars.push((one.clone(), 1.0)),
            }
        }
        Self {
            bar: bars.into_iter().map(|(bar, _)| bar).collect(),
            clip: last_of(self.clip.iter().filter(|one| stands(&one.read)), |one| one.clip),
            board: last_of(self.board.iter().filter(|one| stands(&one.read)), |one| one.piece.clone()),
            withdrawn: Vec::new(),
            step: last_of(self.step.iter().filter(|one| stands(&one.read)), |one| one.step.clone()),
            hold: last_of(self.hold.iter().filter(|one| stands(&one.read)), |one| one.step.clone()),
            ..self.clone()
        }
    }
}

/// The last entry of each key, at the place of the first.
fn last_of<'a, T: Clone + 'a, K: PartialEq>(
    entries: impl Iterator<Item = &'a T>,
    key: impl Fn(&T) -> K,
) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    for one in entries {
        match kept.iter_mut().find(|known| key(known) == key(one)) {
            Some(known) => *known = one.clone(),
            None => kept.push(one.clone()),
        }
    }
    kept
}
