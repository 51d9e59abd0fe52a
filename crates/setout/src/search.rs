//! The search: the best choices of each layer, put together so that the layers' joints keep apart, then worked out to
//! bars and clips.
//!
//! The family it ranges over is [`FAMILY`]; the quick search takes end joints turn and turn about, the deep one shifts every
//! strip for itself. The bound on boards of [`crate::bound`] holds for the whole family.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::bound::{Depth, OriginBound};
use crate::bound_together::{self, Together};
use crate::combine::{Combination, combine};
use crate::draft::{Draft, Failed, Site};
use crate::error::SetoutError;
use crate::found::{Found, better};
use crate::refused;
use crate::strips::{Choice, LayerFamily};
use crate::{Aim, BoardLayer, Budget, shared, shifts};

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
/// Ways of laying the boards that are tried before it is said that none can be hung, however small the budget.
const MOST_BEFORE_FIRST: u64 = 6_000;
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
    let rescued = !asked && budget.steps > 1;
    match quick {
        Ok(quick) if !asked || stop.load(Ordering::Relaxed) => Ok(quick),
        Ok(quick) => Ok(match over_origins(site, budget, &ORIGIN_STEPS, stop) {
            Ok((deep, _)) => better(&site.ceiling.rules, quick, deep),
            Err(_) => quick,
        }),
        Err(_) if asked && let Ok((deep, _)) = over_origins(site, budget, &ORIGIN_STEPS, stop) => Ok(deep),
        Err(_) if rescued && let Some(found) = rescue(site, budget, stop) => Ok(found),
        // Why is looked for last: it takes longer than all the rest.
        Err(lacking) => Err(refused::why(site, lacking, budget)),
    }
}

/// Every strip shifted for itself, where joints turn and turn about lay nothing.
fn rescue(site: &Site, budget: Budget, stop: &AtomicBool) -> Option<Found> {
    let deep = Budget { shifts: RESCUE_SHIFTS, ..budget };
    over_origins(site, deep, &ORIGIN_STEPS[..1], stop).ok().map(|(found, _)| found)
}

/// Whether shifting every strip for itself lays the boards.
pub(crate) fn rescues(site: &Site) -> bool {
    let mut families = families(site, ORIGIN_STEPS[0]);
    let shares = shared::any(&shared::groups(&site.ceiling.layers));
    shift_every_strip(site, &mut families, RESCUE_SHIFTS, shares, &AtomicBool::new(false));
    any_hangs(site, &families)
}

/// Adds the ways in which every strip is shifted for itself; the bounds of the layers.
fn shift_every_strip(
    site: &Site,
    families: &mut [LayerFamily],
    shifts: u64,
    shares: bool,
    stop: &AtomicBool,
) -> Vec<Vec<Option<OriginBound>>> {
    let rules = &site.ceiling.rules;
    let with = |(family, layer): (&mut LayerFamily, &BoardLayer)| {
        let depth = Depth { deep: shifts > 0, shares };
        let mut bound = shifts::bounds(family, layer, rules, depth);
        if shifts > 0 {
            let more = shifts::fewest(family, &mut bound, layer, rules, shifts, stop);
            family.add_choices(more);
        }
        bound
    };
    families.iter_mut().zip(&site.ceiling.layers).map(with).collect()
}

/// What a search came to grief on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Lacking {
    /// There are no layers.
    Layers,
    /// A layer, by its index, can be laid in no way by itself.
    Choice(usize),
    /// The layers' joints cannot be kept apart.
    Stagger,
    /// No bars and clips were found for any way of laying the boards; what the drafts came to nothing by.
    Draft(Option<Failed>),
}

/// Where more than one board is not settled, finer grids are tried too: each has places for joints that the coarser has not. The quick
/// search takes the next; those after it take a second and more.
fn on_finer_grids(site: &Site, budget: Budget, mut found: Found, finer: &[u32], stop: &AtomicBool) -> Found {
    for &steps in finer {
        let open = found.draft.worth.boards.saturating_sub(found.least_together);
        if open <= SETTLED_WITHIN || stop.load(Ordering::Relaxed) {
            break;
        }
        if let Ok(finer) = search_on(site, budget, steps, stop) {
            found = better(&site.ceiling.rules, found, finer);
        }
    }
    found
}

/// What the coarsest grid gives that gives anything, and the finer ones left; else what the coarsest came to grief on.
fn over_origins<'a>(
    site: &Site,
    budget: Budget,
    origin_steps: &'a [u32],
    stop: &AtomicBool,
) -> Result<(Found, &'a [u32]), Lacking> {
    let mut lacking = None;
    for (at, &steps) in origin_steps.iter().enumerate() {
        match search_on(site, budget, steps, stop) {
            Ok(found) => return Ok((found, &origin_steps[at + 1..])),
            Err(own) => lacking = lacking.or(Some(own)),
        }
    }
    Err(lacking.unwrap_or(Lacking::Layers))
}

/// The ways of laying each layer by itself, on one grid.
pub(crate) fn families(site: &Site, origin_steps: u32) -> Vec<LayerFamily> {
    let ceiling = site.ceiling;
    ceiling
        .layers
        .par_iter()
        .map(|layer| LayerFamily::new(site.room, layer, &ceiling.rules, origin_steps))
        .collect()
}

/// Whether the quick search finds a layout on one of the grids.
pub(crate) fn lays(site: &Site, grids: &[u32]) -> bool {
    grids.iter().any(|steps| any_hangs(site, &families(site, *steps)))
}

/// Whether any of the ways of laying the layers can be hung.
fn any_hangs(site: &Site, families: &[LayerFamily]) -> bool {
    let mut left = usize::try_from(MOST_BEFORE_FIRST).unwrap_or(usize::MAX);
    families.iter().all(|family| !family.choices.is_empty())
        && [false, true].into_iter().any(|spread| {
            let ways = combine(site, families, site.ceiling.rules.stagger_layers_mm, spread);
            any_stands(site, families, &ways, &mut left)
        })
}

/// Whether any of the combinations can be hung, in the order and as many of them as [`try_all`] looks at for its first.
fn any_stands(site: &Site, families: &[LayerFamily], combinations: &[Combination], left: &mut usize) -> bool {
    for share in CLOSER_BARS {
        let looked_at = &combinations[..combinations.len().min(*left)];
        *left -= looked_at.len();
        let overloads = AtomicBool::new(false);
        let stands = looked_at.par_iter().any(|combination| {
            let drafted =
                site.draft(families, &chosen(families, combination), site.bar_rules.gap_limit_mm * share);
            if matches!(drafted, Err(Failed::Load)) {
                overloads.store(true, Ordering::Relaxed);
            }
            drafted.is_ok()
        });
        if stands || !overloads.into_inner() {
            return stands;
        }
    }
    false
}

/// The choice of every layer.
pub(crate) fn chosen<'a>(families: &'a [LayerFamily], combination: &Combination) -> Vec<&'a Choice> {
    families.iter().zip(&combination.choices).filter_map(|(f, &c)| f.choices.get(c)).collect()
}

/// The best on one grid.
fn search_on(site: &Site, budget: Budget, origin_steps: u32, stop: &AtomicBool) -> Result<Found, Lacking> {
    let ceiling = site.ceiling;
    let mut families = families(site, origin_steps);
    let groups = shared::groups(&ceiling.layers);
    let shares = shared::any(&groups);
    let bounds = shift_every_strip(site, &mut families, budget.shifts, shares, stop);
    if let Some(index) = families.iter().position(|family| family.choices.is_empty()) {
        return Err(Lacking::Choice(index));
    }
    let combinations = combine(site, &families, ceiling.rules.stagger_layers_mm, false);
    if combinations.is_empty() {
        return Err(Lacking::Stagger);
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
        .ok_or(Lacking::Draft(failed))
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
            if *steps >= budget.steps && (best.is_some() || *steps >= MOST_BEFORE_FIRST) {
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
            match site.draft(families, &chosen(families, combination), site.bar_rules.gap_limit_mm * share) {
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
