//! What was found already fixed.

use serde::Serialize;
use setout::{
    Point,
    as_built::{Difference, MovedBar},
    check::{Breach, Rule},
};

/// What was found already fixed, held against the plan, and what the mend changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsBuiltOutcome {
    /// Whether the readings carry the stamp of their layout.
    pub stamped: bool,
    /// Numbers of the bars that are fixed: those read, and those under boards that are up.
    pub fixed_bars: Vec<usize>,
    /// Numbers of the bars added on site, which the plan does not have; they are among the fixed ones.
    pub added_bars: Vec<usize>,
    /// Every bar of the plan and every added one, where it was found or still has to go.
    pub found_bars: Vec<FoundBar>,
    /// What should still be read, in words without a full stop; none where nothing is taken on trust.
    pub asks: Option<String>,
    /// Numbers of the clips that were read.
    pub fixed_clips: Vec<usize>,
    /// Clips that were skipped: nothing hangs there.
    pub skipped_clips: Vec<SkippedClip>,
    /// Names of the boards that are up.
    pub boards_up: Vec<String>,
    /// Rules the fixed parts would break if the rest went on as planned, and readings that fit nothing.
    pub breaches: Vec<Breach>,
    /// Fixed bars that are to move back all the same: nothing else mends the rule they break.
    pub move_back: Vec<MovedBar>,
    /// Fixed bars that stay in the layout, but moved back a little would spare bars, clips or boards.
    pub could_move: Vec<MovedBar>,
    /// What changes against the plan.
    pub difference: Difference,
}

/// A clip of the plan that was not fixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct SkippedClip {
    /// Its number.
    pub clip: usize,
    /// The number of its bar.
    pub bar: usize,
}

/// A bar before anything is mended.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FoundBar {
    /// Its number.
    pub bar: usize,
    /// One end of its middle line, as read or else as planned, mm.
    pub from: Point,
    /// The other end, mm.
    pub to: Point,
    /// Where the plan has its two ends, mm; none for a bar added on site.
    pub planned: Option<[Point; 2]>,
    /// How far it stands from its marks at the worse end, mm, without a sign; none where it is not fixed or was added.
    pub off_mm: Option<f64>,
}

impl AsBuiltOutcome {
    /// `3 bars, 1 clip and 2 boards`.
    pub fn fixed_words(&self) -> String {
        self.count_words(self.fixed_bars.len())
    }

    /// What of it stays where it is, in the same words: bars that are to move back do not.
    pub fn stays_words(&self) -> String {
        let moves = |bar: &usize| self.move_back.iter().any(|moved| moved.bar == *bar);
        let bars = self.fixed_bars.iter().filter(|bar| !moves(bar)).count();
        let words = self.count_words(bars);
        match self.fixed_bars.len() - bars {
            0 => format!("What is fixed ({words}) stays"),
            1 => format!("{words} that are fixed stay, one bar moves back"),
            more => format!("{words} that are fixed stay, {more} bars move back"),
        }
    }

    fn count_words(&self, bars: usize) -> String {
        let count =
            |n: usize, one: &str, many: &str| format!("{n}\u{00A0}{}", if n == 1 { one } else { many });
        format!(
            "{}, {} and {}",
            count(bars, "bar", "bars"),
            count(self.fixed_clips.len(), "clip", "clips"),
            count(self.boards_up.len(), "board", "boards")
        )
    }

    /// Readings that fit nothing in the layout.
    pub fn refused_readings(&self) -> usize {
        self.breaches.iter().filter(|breach| breach.rule == Rule::Reading).count()
    }
}
