//! The search: the best choices of each layer, put together so that the layers' joints keep apart, then worked out to
//! bars and clips.
//!
//! The family it ranges over is [`FAMILY`]; the quick search takes end joints turn and turn about, the deep one shifts every
//! strip for itself. The bound on boards of [`crate::bound`] holds for the whole family.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::bound::Depth;
use crate::bound_together::{self, Together};
use crate::combine::{Combination, KEPT, combine};
use crate::draft::{Draft, Failed, Site};
use crate::error::SetoutError;
use crate::found::{Found, better};
use crate::refused::{no_choice, no_draft, no_stagger};
use crate::strips::{Choice, LayerFamily};
use crate::{Aim, Budget, shared, shifts};

/// The layouts the bound and the search range over, in words.
pub(crate) const FAMILY: &str = "boards with their long edges square to the bars, in strips one board wide and not turned; long joints from either side of the room, its middle in {steps} parts of a board, or a corner; in each strip whole boards one after another from an end joint at either end of the room, its middle in as many parts of a board, or a corner, every strip shifted for itself; {sheets}";

/// Grids of origins tried, as parts of a board: the finer ones only when the coarser gives nothing. Of three hundred invented rooms of the
/// tests 26 stay without a layout, most of them convex with every corner at an odd angle.
pub(crate) const ORIGIN_STEPS: [u32; 3] = [24, 36, 60];
/// Boards bought over the bound that are left at that.
const SETTLED_WITHIN: usize = 1;
/// Combinations worked out after the first that stands; more find fewer bars, each costs some tenth of a millisecond.
const AFTER_FIRST: u64 = 300;
/// Ways of shifting every strip for itself that are tried before a ceiling is refused: as many as a deep search tries, some seconds. With
/// a tenth of them twice as many of the invented rooms are refused.
const RESCUE_SHIFTS: u64 = 4_000;
/// Bar gaps tried, as shares of the limit, when the clips' load does not allow the whole.
pub(crate) const CLOSER_BARS: [f64; 5] = [1.0, 0.85, 0.7, 0.55, 0.4];

/// The layout with the least [`crate::Worth`] within the budget.
///
/// A deep search also has what the quick one finds, and where the quick one finds nothing every strip is shifted for itself before a
/// ceiling is refused. Where `stop` is set, the best found by then is the answer; with none found yet the search goes on to the first.
pub(crate) fn search(site: &Site, budget: Budget, stop: &AtomicBool) -> Result<Found, SetoutError> {
    let in_turns = Budget { shifts: 0, ..budget };
    let quick = over_origins(site, in_turns, &ORIGIN_STEPS, stop).map(|(found, finer)| {
        let tried = if budget.shifts > 0 { finer.len() } else { usize::from(budget.steps > 1) };
        on_finer_grids(site, in_turns, found, finer.get(..tried).unwrap_or_default(), stop)
    });
    let asked = budget.shifts > 0;
    if !asked && (quick.is_ok() || budget.steps <= 1) {
        return quick;
    }
    if quick.is_ok() && stop.load(Ordering::Relaxed) {
        return quick;
    }
    let deep = if asked {
        over_origins(site, budget, &ORIGIN_STEPS, stop)
    } else {
        let rescue = Budget { shifts: RESCUE_SHIFTS, ..budget };
        over_origins(site, rescue, &ORIGIN_STEPS[..1], stop)
    }
    .map(|(found, _)| found);
    match (quick, deep) {
        (Ok(quick), Ok(deep)) => Ok(better(&site.ceiling.rules, quick, deep)),
        (Ok(found), Err(_)) | (Err(_), Ok(found)) => Ok(found),
        (Err(quick), Err(_)) => Err(quick),
    }
}

/// Where more than one board is not settled, finer grids are tried too: each has places for joints that the coarser has not. The quick
/// search takes the next; those after it take a second and more.
fn on_finer_grids(site: &Site, budget: Budget, mut found: Found, finer: &[u32], stop: &AtomicBool) -> Found {
    for &steps in finer {
        let open = found.draft.worth.boards.saturating_sub(found.least_together);
        if open <= SETTLED_WITHIN || stop.load(Ordering::Relaxed) {
            break;
        }
        if let Ok(finer) = search_on(site, budget, (steps, false), stop) {
            found = better(&site.ceiling.rules, found, finer);
        }
    }
    found
}

/// What the coarsest grid gives that gives anything, and the finer ones left.
fn over_origins<'a>(
    site: &Site,
    budget: Budget,
    origin_steps: &'a [u32],
    stop: &AtomicBool,
) -> Result<(Found, &'a [u32]), SetoutError> {
    let mut last = Err(SetoutError::input("layers", "there are none"));
    for (at, &steps) in origin_steps.iter().enumerate() {
        match search_on(site, budget, (steps, at == 0), stop) {
            Ok(found) => return Ok((found, &origin_steps[at + 1..])),
            // The sentence of the coarsest grid is that of the room.
            Err(Some(error)) => last = Err(error),
            Err(None) => {}
        }
    }
    last
}

/// Whether a layout is found on one of the grids, joints turn and turn about.
pub(crate) fn lays(site: &Site, grids: &[u32]) -> bool {
    let stop = AtomicBool::new(false);
    let budget = Budget { steps: 1, shifts: 0 };
    grids.iter().any(|steps| search_on(site, budget, (*steps, false), &stop).is_ok())
}

/// The best on one grid; where there is none, why, if that is asked for: to find what would have to give takes longer than to find nothing.
fn search_on(
    site: &Site,
    budget: Budget,
    (origin_steps, say_why): (u32, bool),
    stop: &AtomicBool,
) -> Result<Found, Option<SetoutError>> {
    let ceiling = site.ceiling;
    let mut families: Vec<LayerFamily> = ceiling
        .layers
        .par_iter()
        .map(|l| LayerFamily::new(site.room, l, &ceiling.rules, origin_steps))
        .collect();
    let groups = shared::groups(&ceiling.layers);
    let shares = shared::any(&groups);
    let mut bounds = Vec::with_capacity(families.len());
    for (family, layer) in families.iter_mut().zip(&ceiling.layers) {
        let depth = Depth { deep: budget.shifts > 0, shares };
        let mut bound = shifts::bounds(family, layer, &ceiling.rules, depth);
        if budget.shifts > 0 {
            let more = shifts::fewest(family, &mut bound, layer, &ceiling.rules, budget.shifts, stop);
            family.add_choices(more);
        }
        bounds.push(bound);
    }
    for (index, family) in families.iter().enumerate() {
        if family.choices.is_empty() {
            return Err(say_why.then(|| no_choice(site, index)));
        }
    }
    let combinations = combine(site, &families, ceiling.rules.stagger_layers_mm, false);
    if combinations.is_empty() {
        return Err(say_why.then(|| no_stagger(site, &families)));
    }
    let mut steps = 0;
    let mut failed = None;
    let mut best = try_all(site, &families, &combinations, budget, (&mut steps, stop), &mut failed);
    if best.is_none() {
        let others = combine(site, &families, ceiling.rules.stagger_layers_mm, true);
        best = try_all(site, &families, &others, budget, (&mut steps, stop), &mut failed);
    }
    let least_boards = bounds.iter().map(|b| shifts::least(b).unwrap_or(1)).collect();
    let together = Together { families: &families, bounds: &bounds, groups: &groups };
    let least_together = bound_together::least(&together, ceiling.rules.stagger_layers_mm);
    let sheets = if shares {
        "layers of the same board share its sheets"
    } else {
        "each layer cut from its own boards"
    };
    let family = FAMILY.replace("{steps}", &origin_steps.to_string()).replace("{sheets}", sheets);
    best.map(|draft| Found { draft, steps, least_boards, least_together, family, note: None })
        .ok_or_else(|| say_why.then(|| no_draft(site, &families, &combinations, failed)))
}

fn try_all(
    site: &Site,
    families: &[LayerFamily],
    combinations: &[Combination],
    budget: Budget,
    (steps, stop): (&mut u64, &AtomicBool),
    failed: &mut Option<Failed>,
) -> Option<Draft> {
    let order = Aim::order(&site.ceiling.rules.prefer);
    // No combination after one that is worse by what is known for certain can be better.
    let certain = |aim: &Aim| matches!(aim, Aim::Boards | Aim::Slivers | Aim::Pieces);
    let known = order.iter().take_while(|aim| certain(aim)).count();
    let mut best: Option<Draft> = None;
    let mut first: Option<u64> = None;
    for share in CLOSER_BARS {
        let mut load_only = false;
        for combination in combinations {
            if best.is_some() && stop.load(Ordering::Relaxed) {
                break;
            }
            if first.is_some_and(|f| *steps > f + AFTER_FIRST) {
                break;
            }
            // The first answer is always looked for, however small the budget.
            if *steps >= budget.steps && (best.is_some() || *steps > budget.steps.saturating_add(KEPT as u64))
            {
                break;
            }
            // One that overloads a joist may still lose to another with more pieces.
            let sure = |b: &Draft| if b.worth.overload_kg > 0 { known.min(1) } else { known };
            if best
                .as_ref()
                .is_some_and(|b| combination.key(order)[..sure(b)] > b.worth.by(&order)[..sure(b)])
            {
                break;
            }
            *steps += 1;
            let choices: Vec<&Choice> =
                families.iter().zip(&combination.choices).filter_map(|(f, &c)| f.choices.get(c)).collect();
            match site.draft(families, &choices, site.bar_rules.gap_limit_mm * share) {
                Ok(draft) => {
                    first = first.or(Some(*steps));
                    if best.as_ref().is_none_or(|b| draft.worth.rank(&order) < b.worth.rank(&order)) {
                        best = Some(draft);
                    }
                }
                Err(reason) => {
                    load_only |= matches!(reason, Failed::Load);
                    note(failed, reason);
                }
            }
        }
        if best.is_some() || !load_only {
            break;
        }
    }
    best
}

fn note(failed: &mut Option<Failed>, reason: Failed) {
    if failed.is_none() || reason == Failed::Load {
        *failed = Some(reason);
    }
}
