//! The search: the best choices of each layer, put together so that the layers' joints keep apart, then worked out to
//! bars and clips.
//!
//! The family it ranges over is [`FAMILY`]; the quick search takes end joints turn and turn about, the deep one shifts every
//! strip for itself. The bound on boards of [`crate::bound`] holds for the whole family.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::bound::OriginBound;
use crate::draft::{Draft, Failed, Site};
use crate::error::SetoutError;
use crate::found::{Found, better};
use crate::room::Room;
use crate::strips::{self, Choice, LayerFamily};
use crate::{Aim, Budget, Ceiling, Rules, relax, shifts};

/// The layouts the bound and the search range over, in words.
pub(crate) const FAMILY: &str = "boards with their long edges square to the bars, in strips one board wide and not turned; long joints from either side of the room, its middle in {steps} parts of a board, or a corner; in each strip whole boards one after another from an end joint at either end of the room, its middle in as many parts of a board, or a corner, every strip shifted for itself; each layer cut from its own boards";

/// Grids of origins tried, as parts of a board: the finer ones only when the coarser gives nothing. Of three hundred invented rooms of the
/// tests 26 stay without a layout, most of them convex with every corner at an odd angle.
const ORIGIN_STEPS: [u32; 3] = [24, 36, 60];
/// Combinations kept for working out; in rooms with sharp corners most of the best have a joint no bar can hold.
const KEPT: usize = 1500;
/// Combinations worked out after the first that stands; more find fewer bars, each costs some tenth of a millisecond.
const AFTER_FIRST: u64 = 300;
/// Choices of one layer looked at, best first.
const MOST_CHOICES: usize = 6000;
/// Ways of shifting every strip for itself that are tried before a ceiling is refused: as many as a deep search tries, some seconds. With
/// a tenth of them twice as many of the invented rooms are refused.
const RESCUE_SHIFTS: u64 = 4_000;
/// Combinations a relaxation of the bars' limits is tried on.
const EASE_TRIES: usize = 60;
/// How many ways of laying the boards are looked at for the least rating of a clip, the best first: each takes a few milliseconds.
const RATING_TRIES: usize = 6;
/// Bar gaps tried, as shares of the limit, when the clips' load does not allow the whole.
const CLOSER_BARS: [f64; 5] = [1.0, 0.85, 0.7, 0.55, 0.4];

/// The layout with the least [`crate::Worth`] within the budget.
///
/// A deep search also has what the quick one finds, and where the quick one finds nothing every strip is shifted for itself before a
/// ceiling is refused. Where `stop` is set, the best found by then is the answer; with none found yet the search goes on to the first.
pub(crate) fn search(site: &Site, budget: Budget, stop: &AtomicBool) -> Result<Found, SetoutError> {
    let quick = over_origins(site, Budget { shifts: 0, ..budget }, &ORIGIN_STEPS, stop);
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
    };
    match (quick, deep) {
        (Ok(quick), Ok(deep)) => Ok(better(&site.ceiling.rules, quick, deep)),
        (Ok(found), Err(_)) | (Err(_), Ok(found)) => Ok(found),
        (Err(quick), Err(_)) => Err(quick),
    }
}

fn over_origins(
    site: &Site,
    budget: Budget,
    origin_steps: &[u32],
    stop: &AtomicBool,
) -> Result<Found, SetoutError> {
    let mut last = Err(SetoutError::input("layers", "there are none"));
    for (at, &steps) in origin_steps.iter().enumerate() {
        match search_on(site, budget, steps, stop) {
            Ok(found) => return Ok(found),
            // The sentence of the coarsest grid is that of the room.
            Err(error) if at == 0 => last = Err(error),
            Err(_) => {}
        }
    }
    last
}

fn search_on(
    site: &Site,
    budget: Budget,
    origin_steps: u32,
    stop: &AtomicBool,
) -> Result<Found, SetoutError> {
    let ceiling = site.ceiling;
    let mut families: Vec<LayerFamily> = ceiling
        .layers
        .par_iter()
        .map(|l| LayerFamily::new(site.room, l, &ceiling.rules, origin_steps))
        .collect();
    let mut bounds = Vec::with_capacity(families.len());
    for (family, layer) in families.iter_mut().zip(&ceiling.layers) {
        let mut bound = shifts::bounds(family, layer, &ceiling.rules, budget.shifts > 0);
        if budget.shifts > 0 {
            let more = shifts::fewest(family, &mut bound, layer, &ceiling.rules, budget.shifts, stop);
            family.add_choices(more);
        }
        bounds.push(bound);
    }
    for (index, family) in families.iter().enumerate() {
        if family.choices.is_empty() {
            return Err(no_choice(site, index));
        }
    }
    let combinations = combine(site, &families, ceiling.rules.stagger_layers_mm, false);
    if combinations.is_empty() {
        return Err(no_stagger(site, &families));
    }
    let mut steps = 0;
    let mut failed = None;
    let mut best = try_all(site, &families, &combinations, budget, (&mut steps, stop), &mut failed);
    if best.is_none() {
        let others = combine(site, &families, ceiling.rules.stagger_layers_mm, true);
        best = try_all(site, &families, &others, budget, (&mut steps, stop), &mut failed);
    }
    let least_boards = bounds.iter().map(|b| shifts::least(b).unwrap_or(1)).collect();
    let least_together = least_together(&families, &bounds, ceiling.rules.stagger_layers_mm);
    let family = FAMILY.replace("{steps}", &origin_steps.to_string());
    best.map(|draft| Found { draft, steps, least_boards, least_together, family, note: None })
        .ok_or_else(|| no_draft(site, &families, &combinations, failed))
}

/// The least sum of the layers' bounds over places of their long joints that keep apart from layer to layer.
fn least_together(families: &[LayerFamily], bounds: &[Vec<Option<OriginBound>>], stagger_mm: f64) -> usize {
    let mut sums: Vec<Option<usize>> = Vec::new();
    for (layer, (family, own)) in families.iter().zip(bounds).enumerate() {
        let under = layer.checked_sub(1).and_then(|l| families.get(l));
        sums = own
            .iter()
            .enumerate()
            .map(|(origin, bound)| {
                let least = bound.as_ref()?.least;
                let Some(under) = under else { return Some(least) };
                let lines = family.origin_lines(origin);
                let apart = |o: usize| strips::lines_apart(under.origin_lines(o), lines, stagger_mm);
                let before = sums.iter().enumerate().filter(|(o, _)| apart(*o)).filter_map(|(_, s)| *s);
                before.min().map(|sum| sum + least)
            })
            .collect();
    }
    sums.into_iter().flatten().min().unwrap_or(families.len())
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

/// One choice per layer, with what is known of it before bars are laid.
#[derive(Clone, Debug)]
struct Combination {
    boards: usize,
    slivers: usize,
    pieces: usize,
    bars: usize,
    choices: Vec<usize>,
}

impl Combination {
    /// What is known before bars are laid, in the order asked for; what is not stands as 0.
    fn key(&self, order: [Aim; 6]) -> [usize; 6] {
        order.map(|aim| match aim {
            Aim::Boards => self.boards,
            Aim::Slivers => self.slivers,
            Aim::Pieces => self.pieces,
            Aim::Bars => self.bars,
            Aim::Cuts | Aim::Clips => 0,
        })
    }
}

/// The best combinations whose layers keep their joints apart; `spread` takes them from all over instead, for rooms
/// where the best cannot be built.
fn combine(site: &Site, families: &[LayerFamily], stagger_mm: f64, spread: bool) -> Vec<Combination> {
    let Some(first) = families.first() else { return Vec::new() };
    let order = Aim::order(&site.ceiling.rules.prefer);
    let (boards_first, plain) = (order[0] == Aim::Boards, order[..3] == Aim::ALL[..3]);
    let stride = |count: usize| if spread { (count / 150).max(1) } else { 1 };
    let mut kept: Vec<Combination> = first
        .choices
        .iter()
        .enumerate()
        .step_by(stride(first.choices.len()))
        .take(MOST_CHOICES)
        .map(|(i, c)| Combination {
            boards: c.boards,
            slivers: c.slivers,
            pieces: c.pieces,
            bars: 0,
            choices: vec![i],
        })
        .collect();
    for (layer, family) in families.iter().enumerate().skip(1) {
        let Some(under) = families.get(layer - 1) else { continue };
        let ends = strips::stagger_table(&under.phase_lines, &family.phase_lines, stagger_mm);
        let longs: Vec<Vec<bool>> = (0..under.origin_count())
            .map(|a| {
                (0..family.origin_count())
                    .map(|b| strips::lines_apart(under.origin_lines(a), family.origin_lines(b), stagger_mm))
                    .collect()
            })
            .collect();
        let turns: Vec<Vec<strips::Turns>> = (0..under.origin_count())
            .map(|a| {
                (0..family.origin_count())
                    .map(|b| strips::turns_over(under.origin_lines(a), family.origin_lines(b)))
                    .collect()
            })
            .collect();
        let apart = |a: &Choice, b: &Choice| {
            longs[a.origin][b.origin]
                && match (a.phases.as_slice(), b.phases.as_slice()) {
                    // Turn and turn about: at most four pairs of phases lie over each other.
                    (&[_, _], &[_, _]) => turns[a.origin][b.origin]
                        .iter()
                        .all(|&(i, j, over)| !over || ends[a.phases[i]][b.phases[j]]),
                    _ => strips::ends_apart((under.long_lines(a), a), (family.long_lines(b), b), &ends),
                }
        };
        let mut next: Vec<Combination> = Vec::new();
        let mut limit: Option<Combination> = None;
        for combination in &kept {
            let Some(a) = combination.choices.last().and_then(|&i| under.choices.get(i)) else { continue };
            for (i, b) in
                family.choices.iter().enumerate().step_by(stride(family.choices.len())).take(MOST_CHOICES)
            {
                let boards = combination.boards + b.boards;
                if boards_first && limit.as_ref().is_some_and(|l| boards > l.boards) {
                    break;
                }
                let (slivers, pieces) = (combination.slivers + b.slivers, combination.pieces + b.pieces);
                let over = |l: &Combination| (boards, slivers, pieces) > (l.boards, l.slivers, l.pieces);
                if (plain && limit.as_ref().is_some_and(over)) || !apart(a, b) {
                    continue;
                }
                let mut choices = combination.choices.clone();
                choices.push(i);
                let bars = bars_guess(site, families, &choices);
                let new = Combination { boards, slivers, pieces, bars, choices };
                if limit.as_ref().is_none_or(|l| new.key(order) < l.key(order)) {
                    next.push(new);
                }
                if next.len() >= 4 * KEPT {
                    shorten(&mut next, KEPT, spread, order);
                    if !spread {
                        limit = next.last().cloned();
                    }
                }
            }
        }
        shorten(&mut next, KEPT, spread, order);
        kept = next;
    }
    if families.len() == 1 {
        for c in &mut kept {
            c.bars = bars_guess(site, families, &c.choices);
        }
        shorten(&mut kept, KEPT, spread, order);
    }
    kept
}

fn shorten(list: &mut Vec<Combination>, to: usize, spread: bool, order: [Aim; 6]) {
    list.sort_by(|a, b| a.key(order).cmp(&b.key(order)).then_with(|| a.choices.cmp(&b.choices)));
    if spread && list.len() > to {
        let stride = list.len().div_ceil(to);
        let mut index = 0;
        list.retain(|_| {
            index += 1;
            (index - 1) % stride == 0
        });
    } else {
        list.truncate(to);
    }
}

/// Bars across a plain room with these joints: enough to rank by.
fn bars_guess(site: &Site, families: &[LayerFamily], choices: &[usize]) -> usize {
    let mut lines: Vec<f64> = Vec::with_capacity(16);
    for (family, &choice) in families.iter().zip(choices) {
        let Some(choice) = family.choices.get(choice) else { continue };
        for &phase in &choice.phases {
            if let Some(l) = family.phase_lines.get(phase) {
                lines.extend_from_slice(l);
            }
        }
    }
    let (low, high) = crate::ring::extent(&site.room.outline);
    lines.extend([low.y_mm + 75.0, high.y_mm - 75.0]);
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let between: f64 = lines
        .windows(2)
        .map(|w| ((w[1] - w[0]) / site.bar_rules.gap_limit_mm - 1e-9).ceil() - 1.0)
        .map(|n| n.max(0.0))
        .sum();
    lines.len() + between as usize
}

/// A limit, what it is, and how it is set.
type EaseRule = (&'static str, f64, fn(&mut Rules, f64));

/// Finds the smallest relaxation that lets the layer be laid: of one limit alone, else of both on pieces together.
fn no_choice(site: &Site, layer: usize) -> SetoutError {
    let rules = &site.ceiling.rules;
    let Some(board) = site.ceiling.layers.get(layer) else {
        return SetoutError::input("layers", "there are none");
    };
    let who = format!("layer {} ({})", layer + 1, board.material);
    let can_lay =
        |eased: &Rules| !LayerFamily::new(site.room, board, eased, ORIGIN_STEPS[0]).choices.is_empty();
    let alone: [EaseRule; 3] = [
        ("min_strip_mm", rules.min_strip_mm, |r, v| r.min_strip_mm = v),
        ("min_piece_mm", rules.min_piece_mm, |r, v| r.min_piece_mm = v),
        ("stagger_rows_mm", rules.stagger_rows_mm, |r, v| r.stagger_rows_mm = v),
    ];
    let mut best: Option<(&'static str, f64, f64)> = None;
    for (limit, has, set) in alone {
        let works = |value: f64| {
            let mut eased = rules.clone();
            set(&mut eased, value);
            can_lay(&eased)
        };
        if let Some(to) = relax::highest_that_works(0.0, has, works)
            && best.is_none_or(|(_, from, at)| (has - to) / has < (from - at) / from)
        {
            best = Some((limit, has, to));
        }
    }
    if let Some((limit, has, to)) = best {
        return SetoutError::NoLayout {
            limit: limit.to_owned(),
            relax_to_mm: Some(to),
            sentence: format!(
                "{who}: no way of laying it was found that keeps rules.{limit} = {has:.0}; the smallest relaxation found is to lower that to {to:.0}, or take another size of board"
            ),
        };
    }
    let together = |share: f64| Rules {
        min_strip_mm: (rules.min_strip_mm * share).floor(),
        min_piece_mm: (rules.min_piece_mm * share).floor(),
        stagger_rows_mm: (rules.stagger_rows_mm * share).floor(),
        ..rules.clone()
    };
    for percent in (0..100).rev().step_by(5) {
        let eased = together(f64::from(percent) / 100.0);
        if can_lay(&eased) {
            return SetoutError::NoLayout {
                limit: "min_strip_mm".into(),
                relax_to_mm: Some(eased.min_strip_mm),
                sentence: format!(
                    "{who}: no one limit lowered by itself lets it be laid; lower rules.min_strip_mm, rules.min_piece_mm and rules.stagger_rows_mm together to {:.0}, {:.0} and {:.0}, or take another size of board",
                    eased.min_strip_mm, eased.min_piece_mm, eased.stagger_rows_mm
                ),
            };
        }
    }
    SetoutError::NoLayout {
        limit: "layers".into(),
        relax_to_mm: None,
        sentence: format!("{who}: no limit lowered lets it be laid in this room; take another size of board"),
    }
}

fn no_stagger(site: &Site, families: &[LayerFamily]) -> SetoutError {
    let limit = site.ceiling.rules.stagger_layers_mm;
    let relax = relax::highest_that_works(0.0, limit, |at| !combine(site, families, at, true).is_empty());
    let advice = relax.map_or_else(
        || "no lower limit helps either; change the format of one layer's boards".to_owned(),
        |r| format!("the smallest relaxation found is to lower rules.stagger_layers_mm from {limit:.0} to {r:.0}, or change the format of one layer's boards"),
    );
    SetoutError::NoLayout {
        limit: "stagger_layers_mm".into(),
        relax_to_mm: relax,
        sentence: format!(
            "the joints of {} cannot be kept {limit:.0} mm apart in this room: {advice}",
            if families.len() == 2 { "the two layers" } else { "layers that lie on each other" }
        ),
    }
}

/// Limits on bars and laps eased one after the other, to say which, and how far.
fn ease_bars(
    site: &Site,
    families: &[LayerFamily],
    combinations: &[Combination],
) -> Option<(&'static str, f64, f64)> {
    type Ease = (&'static str, f64, f64, fn(&mut Ceiling, f64));
    let ceiling = site.ceiling;
    let rules = &ceiling.rules;
    let eases: [Ease; 4] = [
        ("lap_stagger_mm", rules.lap_stagger_mm, 0.0, |c, v| c.rules.lap_stagger_mm = v),
        ("first_bar_mm", rules.first_bar_mm, 2.0 * rules.first_bar_mm, |c, v| c.rules.first_bar_mm = v),
        ("bar_gap_mm", rules.bar_gap_mm, 1.5 * rules.bar_gap_mm, |c, v| c.rules.bar_gap_mm = v),
        ("edge_bearing_mm", rules.edge_bearing_mm, 0.0, |c, v| c.rules.edge_bearing_mm = v),
    ];
    eases.into_iter().find_map(|(limit, has, end, set)| {
        let works = |value: f64| {
            let mut eased = ceiling.clone();
            set(&mut eased, value);
            eased_draft(&eased, families, combinations, &[1.0]).is_some()
        };
        let to = if end < has {
            relax::highest_that_works(end, has, works)
        } else {
            relax::lowest_that_works(has, end, works)
        }?;
        Some((limit, has, to))
    })
}

/// The first draft of an eased ceiling, its bars at each of the shares of their widest gap in turn.
fn eased_draft(
    eased: &Ceiling,
    families: &[LayerFamily],
    combinations: &[Combination],
    shares: &[f64],
) -> Option<Draft> {
    let room = Room::new(eased).ok()?;
    let site = Site::new(eased, &room);
    shares.iter().find_map(|share| {
        combinations.iter().step_by((combinations.len() / EASE_TRIES).max(1)).find_map(|combination| {
            let choices: Vec<&Choice> =
                families.iter().zip(&combination.choices).filter_map(|(f, &c)| f.choices.get(c)).collect();
            site.draft(families, &choices, site.bar_rules.gap_limit_mm * share).ok()
        })
    })
}

/// The least rating of a clip found with which the ceiling can be hung, in whole kilograms above the one it has.
fn least_rating_kg(
    site: &Site,
    families: &[LayerFamily],
    combinations: &[Combination],
    rated_kg: f64,
) -> Option<f64> {
    let mut ceiling = site.ceiling.clone();
    ceiling.clip.rated_load_kg = None;
    let any = eased_draft(&ceiling, families, combinations, &[1.0])?;
    // With this rating that draft stands; the least lies between.
    let enough_kg = any.clips.iter().flat_map(|bar| &bar.loads_kg).copied().fold(rated_kg, f64::max).ceil();
    let few = &combinations[..combinations.len().min(RATING_TRIES)];
    let mut works = |kg: f64| {
        ceiling.clip.rated_load_kg = Some(kg);
        eased_draft(&ceiling, families, few, &CLOSER_BARS).is_some()
    };
    // Halved between a rating that does not do and one that does: what carries less carries no more.
    let (mut no, mut yes) = (rated_kg.floor(), enough_kg);
    while yes - no > 1.5 {
        let middle = f64::midpoint(no, yes).floor();
        if works(middle) { yes = middle } else { no = middle }
    }
    Some(yes)
}

fn no_draft(
    site: &Site,
    families: &[LayerFamily],
    combinations: &[Combination],
    failed: Option<Failed>,
) -> SetoutError {
    let ceiling = site.ceiling;
    if !matches!(failed, Some(Failed::Load))
        && let Some((limit, has, to)) = ease_bars(site, families, combinations)
    {
        let way = if to > has { "raise" } else { "lower" };
        return SetoutError::NoLayout {
            limit: limit.to_owned(),
            relax_to_mm: Some(to),
            sentence: format!(
                "no way of laying bars and boards keeps every limit; the smallest relaxation found is to {way} rules.{limit} from {has:.0} to {to:.0}"
            ),
        };
    }
    match failed {
        Some(Failed::Load) => {
            let rated = ceiling.clip.rated_load_kg.unwrap_or(0.0);
            let way = least_rating_kg(site, families, combinations, rated).map_or_else(
                || "take a stronger clip".to_owned(),
                |kg| format!("take a clip rated {kg:.0} kg or more, the least found that carries it"),
            );
            SetoutError::NoLayout {
                limit: "rated_load_kg".into(),
                relax_to_mm: None,
                sentence: format!(
                    "a clip rated {rated:.1} kg is overloaded wherever the clips go: {way}, lower rules.bar_gap_mm, or hang lighter boards"
                ),
            }
        }
        Some(Failed::Laps) => SetoutError::NoLayout {
            limit: "lap_stagger_mm".into(),
            relax_to_mm: Some((ceiling.rules.lap_stagger_mm / 2.0).floor()),
            sentence: format!(
                "the bars cannot be lapped without two neighbouring laps within {:.0} mm; lower rules.lap_stagger_mm or take longer bars than {:.0} mm",
                ceiling.rules.lap_stagger_mm, ceiling.bar.stock_length_mm
            ),
        },
        Some(Failed::Bars | Failed::JointBare) | None => SetoutError::NoLayout {
            limit: "bar_gap_mm".into(),
            relax_to_mm: None,
            sentence: format!(
                "no way of laying the boards has a bar under every end joint with bars {:.0} mm apart at most; raise rules.first_bar_mm or rules.bar_gap_mm, or leave out what comes through the ceiling",
                ceiling.rules.bar_gap_mm
            ),
        },
    }
}
