//! What was really fixed, held against the plan: which rules it breaks, and the mend that keeps all that is fixed.
//!
//! Readings may cover some bars only, at one or both ends, single clips, and boards already up. A bar that was read counts
//! as fixed, its clips with it. [`check_as_built`] puts everything where it is and asks the independent check; [`mend`]
//! lays out again what is not yet fixed, around what is, with as few changed marks as it finds.

mod added;
mod boards;
mod changed_bars;
mod cutting;
mod difference;
mod held;
mod hung_joints;
mod joints;
mod mend;
mod mended_bars;
mod mended_strips;
mod moves;
mod readings;
mod to_fill;

use serde::Serialize;

pub use difference::{Change, ChangeKind, Difference, LeftToDo};
pub use mend::{Mended, MovedBar, mend};
pub use readings::{AddedBar, BarReading, BoardReading, ClipReading, Readings};
pub use to_fill::ToFill;

use crate::Ceiling;
use crate::check::{self, Breach, Rule};
use crate::layout::Layout;

/// What a reading with a tape leaves open \[mm\].
const READING_MM: f64 = 0.5;

/// The ceiling as built.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsBuilt {
    /// The layout with its bars, clips and boards where they really are. Marks are those of the plan.
    pub layout: Layout,
    /// Rules broken by what is really there, and readings that fit nothing.
    pub breaches: Vec<Breach>,
    /// Numbers of the bars that are fixed: those read, and those that boards which are up are screwed to.
    pub fixed_bars: Vec<usize>,
    /// Those of them that were not read: they are taken to lie on their marks.
    pub held_bars: Vec<usize>,
    /// Numbers of the bars added on site, which the plan does not have.
    pub added_bars: Vec<usize>,
    /// Numbers of the clips that were read; the other clips of a fixed bar are taken to be on their joists.
    pub fixed_clips: Vec<usize>,
    /// Numbers of the clips that were skipped: nothing hangs there, their neighbours carry what they would have carried.
    pub skipped_clips: Vec<usize>,
    /// Names of the boards that are up, those behind them with them.
    pub boards_up: Vec<String>,
    /// Those of them that were not read: they lie behind others and are taken to hang at their places.
    #[serde(skip)]
    pub boards_behind: Vec<String>,
}

impl AsBuilt {
    /// What should still be read, in words: bars and boards that are taken to be where they were planned because boards are up over them.
    pub fn asks(&self) -> Option<String> {
        let bars: Vec<String> = self.held_bars.iter().map(usize::to_string).collect();
        let of_bars = asked("bar", &bars).map(|(which, are, were, them)| {
            format!(
                "{which} {are} under boards that are up and {were} not read: taken to lie on the marks; read {them} at the walls to be sure"
            )
        });
        let of_boards = asked("board", &self.boards_behind).map(|(which, are, were, them)| {
            format!(
                "{which} {are} behind boards that are up and {were} not read: taken to hang where planned; read {them} at the edges to be sure"
            )
        });
        let said: Vec<String> = of_bars.into_iter().chain(of_boards).collect();
        (!said.is_empty()).then(|| said.join("; "))
    }
}

/// `bars 3 and 5`, `are`, `were`, `them`; none of nothing.
fn asked(what: &str, names: &[String]) -> Option<(String, &'static str, &'static str, &'static str)> {
    let (last, others) = names.split_last()?;
    if others.is_empty() {
        return Some((format!("{what} {last}"), "is", "was", "it"));
    }
    Some((format!("{what}s {} and {last}", others.join(", ")), "are", "were", "them"))
}

/// A gap between neighbouring bars that is over the limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WideGap {
    /// Index of the gap, from 0.
    pub gap: usize,
    /// How much it is over \[mm\].
    pub over_mm: f64,
    /// Bars to add inside it.
    pub bars_to_add: usize,
}

/// Gaps over the limit in a row of bars.
///
/// Bars fixed at gaps 545, 480, 640, 510: the third is 40 over a limit of 600; one more bar mends it (common practice).
pub fn wide_gaps(gaps_mm: &[f64], limit_mm: f64) -> Vec<WideGap> {
    let mut found = Vec::new();
    for (gap, &width) in gaps_mm.iter().enumerate() {
        if limit_mm > 0.0 && width.is_finite() && width > limit_mm {
            let bars_to_add = ((width / limit_mm).ceil() as usize).saturating_sub(1);
            found.push(WideGap { gap, over_mm: width - limit_mm, bars_to_add });
        }
    }
    found
}

/// Puts bars, clips and boards where the readings found them, adds up what each clip carries now, and checks the rules again.
///
/// A bar read at one end only is taken to have shifted without turning; with two readings it lies on the line through
/// both. Clips stay on their joists unless they were read. A reading that names nothing in the layout, or lies farther than
/// half a metre from its mark, is listed as a breach and left out.
pub fn check_as_built(ceiling: &Ceiling, layout: &Layout, readings: &Readings) -> AsBuilt {
    let mut built = readings::put(ceiling, layout, readings);
    mended_bars::trim_ends(ceiling, layout, &mut built.layout, &built.fixed_bars);
    added::cut_again(ceiling, &mut built.layout, layout.bars.len());
    mended_bars::weigh_again(ceiling, &mut built.layout);
    let of_fixed = [
        Rule::EndsOnBars,
        Rule::BarGap,
        Rule::Clear,
        Rule::ClipGap,
        Rule::ClipLoad,
        Rule::ClipOnTimber,
        Rule::Stagger,
        Rule::Laps,
    ];
    let found = check::check_round(ceiling, &built.layout, &built.boards_up);
    // Half a millimetre is within the reading itself.
    let shows = |b: &Breach| b.rule != Rule::EndsOnBars || b.by >= READING_MM;
    built.breaches.extend(found.into_iter().filter(|b| of_fixed.contains(&b.rule) && shows(b)));
    built.breaches.extend(boards::joint_breaches(layout, &built));
    built
}
