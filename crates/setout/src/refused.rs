//! Why a ceiling cannot be set out, and the smallest relaxation found that lets it.

use rayon::prelude::*;

use crate::combine::{Combination, combine};
use crate::draft::{Draft, Failed, Site};
use crate::error::SetoutError;
use crate::room::Room;
use crate::search::{self, CLOSER_BARS, Lacking, ORIGIN_STEPS, chosen};
use crate::strips::LayerFamily;
use crate::{Budget, Ceiling, Rules, relax};

/// Combinations the load of a clip is tried on.
const EASE_TRIES: usize = 60;
/// How many ways of laying the boards are looked at for the least rating of a clip, the best first: each takes a few milliseconds.
const RATING_TRIES: usize = 6;

/// Values between a limit and the nearest the quick search lays at which every strip is shifted for itself: each may take a second.
const RESCUES: u32 = 4;
/// Halvings after the first of them that lays the room.
const RESCUE_HALVINGS: u32 = 2;

/// Why a search found nothing, and what would have to give.
pub(crate) fn why(site: &Site, lacking: Lacking, budget: Budget) -> SetoutError {
    let nearest = Nearest::new(site.ceiling, budget);
    match lacking {
        Lacking::Layers => SetoutError::input("layers", "there are none"),
        Lacking::Choice(layer) => no_choice(site, layer, &nearest),
        Lacking::Stagger => no_stagger(site, &nearest),
        Lacking::Draft(failed) => no_draft(site, failed, &nearest),
    }
}

/// How near to what a limit is it may stay.
struct Nearest<'a> {
    ceiling: &'a Ceiling,
    /// Whether the search shifts every strip for itself before it gives up.
    deep: bool,
}

impl<'a> Nearest<'a> {
    fn new(ceiling: &'a Ceiling, budget: Budget) -> Self {
        Self { ceiling, deep: budget.shifts > 0 || budget.steps > 1 }
    }

    /// Whether the quick search lays the ceiling on one of the grids with a limit at a value.
    fn quick(&self, limit: &str, value: f64, grids: &[u32]) -> bool {
        eased(self.ceiling, limit, value).is_some_and(|eased| lays(&eased, grids))
    }

    /// Whether shifting every strip for itself does.
    fn by_shifts(&self, limit: &str, value: f64) -> bool {
        let rescued =
            |eased: Ceiling| Room::new(&eased).is_ok_and(|room| search::rescues(&Site::new(&eased, &room)));
        self.deep && eased(self.ceiling, limit, value).is_some_and(rescued)
    }

    /// Whether the search lays the ceiling.
    fn lays(&self, limit: &str, value: f64) -> bool {
        self.quick(limit, value, &ORIGIN_STEPS) || self.by_shifts(limit, value)
    }

    /// A relaxation that lays the ceiling, brought as near to a value that does not as the search finds.
    fn brought(&self, limit: &str, no: f64, yes: f64) -> f64 {
        let yes = nearest_that_works(no, yes, |value| self.quick(limit, value, &ORIGIN_STEPS));
        self.brought_by_shifts(limit, no, yes)
    }

    /// The same by shifting every strip for itself.
    fn brought_by_shifts(&self, limit: &str, no: f64, yes: f64) -> f64 {
        if !self.deep {
            return yes;
        }
        let mut last = no;
        for part in 1..RESCUES {
            let at = (no + (yes - no) * f64::from(part) / f64::from(RESCUES)).round();
            if (at - last).abs() < 0.5 || (at - yes).abs() < 0.5 {
                continue;
            }
            if self.by_shifts(limit, at) {
                let mut left = RESCUE_HALVINGS;
                return nearest_that_works(last, at, |value| {
                    let tried = left > 0;
                    left = left.saturating_sub(1);
                    tried && self.by_shifts(limit, value)
                });
            }
            last = at;
        }
        yes
    }
}

/// A limit that no layout can meet by the sizes of board and bar alone was named by `error`: with it eased so far, whether the room can be laid;
/// else how far it must give in this room, or what else is in the way.
pub(crate) fn beyond_what_fits(ceiling: &Ceiling, error: SetoutError, budget: Budget) -> SetoutError {
    let SetoutError::NoLayout { limit, relax_to_mm: Some(most), sentence } = &error else { return error };
    let Some(at_most) = eased(ceiling, limit, *most) else { return error };
    let nearest = Nearest::new(ceiling, budget);
    if nearest.lays(limit, *most) {
        return error;
    }
    let coarse = |value: f64| nearest.quick(limit, value, &ORIGIN_STEPS[..1]);
    let found = if is_raised(limit) {
        relax::lowest_that_works(*most, 4.0 * most, coarse)
    } else {
        relax::highest_that_works(0.0, *most, coarse)
    };
    let (relax_to_mm, more) = if let Some(to) = found {
        let to = nearest.brought(limit, *most, to);
        (Some(to), format!("; in this room to {to:.0}, the smallest relaxation found"))
    } else {
        let then = match Room::new(&at_most) {
            Err(other) => other.to_string(),
            Ok(_) => "no way of laying the boards was found either".to_owned(),
        };
        (Some(*most), format!("; and then: {then}"))
    };
    SetoutError::NoLayout { limit: limit.clone(), relax_to_mm, sentence: format!("{sentence}{more}") }
}

/// The ceiling with one of its limits at another value; none for a limit of another kind.
fn eased(ceiling: &Ceiling, limit: &str, value: f64) -> Option<Ceiling> {
    let mut eased = ceiling.clone();
    let rules = &mut eased.rules;
    let own = match limit {
        "min_strip_mm" => &mut rules.min_strip_mm,
        "min_piece_mm" => &mut rules.min_piece_mm,
        "stagger_rows_mm" => &mut rules.stagger_rows_mm,
        "stagger_layers_mm" => &mut rules.stagger_layers_mm,
        "lap_stagger_mm" => &mut rules.lap_stagger_mm,
        "first_bar_mm" => &mut rules.first_bar_mm,
        "bar_gap_mm" => &mut rules.bar_gap_mm,
        "edge_bearing_mm" => &mut rules.edge_bearing_mm,
        _ => return None,
    };
    *own = value;
    Some(eased)
}

/// Whether a limit gives way upwards.
fn is_raised(limit: &str) -> bool {
    matches!(limit, "first_bar_mm" | "bar_gap_mm")
}

/// Whether the quick search lays a ceiling on one of the grids.
fn lays(ceiling: &Ceiling, grids: &[u32]) -> bool {
    Room::new(ceiling).is_ok_and(|room| search::lays(&Site::new(ceiling, &room), grids))
}

/// Between a value that does not work and one that was found to, the one nearest to the first that the quick search finds by halving, to the
/// millimetre: the finer grids may have places the first look had not.
fn nearest_that_works(no: f64, yes: f64, mut works: impl FnMut(f64) -> bool) -> f64 {
    let (mut no, mut yes) = (no, yes);
    while (no - yes).abs() > 1.0 {
        let middle = f64::midpoint(no, yes).round();
        if (middle - no).abs() < 0.5 || (middle - yes).abs() < 0.5 {
            break;
        }
        if works(middle) { yes = middle } else { no = middle }
    }
    yes
}

/// A limit, what it is, and how it is set.
type EaseRule = (&'static str, f64, fn(&mut Rules, f64));

/// Finds the smallest relaxation that lets the layer be laid: of one limit alone, else of both on pieces together.
fn no_choice(site: &Site, layer: usize, nearest: &Nearest) -> SetoutError {
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
    if let Some((limit, has, alone)) = best {
        // So far the layer by itself: with the others over it, it may have to give more.
        let (whole, then) = if nearest.lays(limit, alone) {
            (alone, "")
        } else {
            let coarse = |value: f64| nearest.quick(limit, value, &ORIGIN_STEPS[..1]);
            match relax::highest_that_works(0.0, alone, coarse) {
                Some(to) => (to, ""),
                None => (
                    alone,
                    "; and then its joints against those of the other layers, or the bars, are still in the way",
                ),
            }
        };
        let to = if then.is_empty() { nearest.brought(limit, has, whole) } else { whole };
        return SetoutError::NoLayout {
            limit: limit.to_owned(),
            relax_to_mm: Some(to),
            sentence: format!(
                "{who}: no way of laying it was found that keeps rules.{limit} = {has:.0}; the smallest relaxation found is to lower that to {to:.0}, or take another size of board{then}"
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

/// From this part of a limit on that it would have to give, others are tried.
const MOST_OF_IT: f64 = 0.1;

/// Of the limits on pieces the one that lets the room be laid and gives less of itself than `share`, what it is, and how far.
fn gives_less(site: &Site, share: f64, nearest: &Nearest) -> Option<(&'static str, f64, f64)> {
    let rules = &site.ceiling.rules;
    let limits = [
        ("min_strip_mm", rules.min_strip_mm),
        ("min_piece_mm", rules.min_piece_mm),
        ("stagger_rows_mm", rules.stagger_rows_mm),
    ];
    let found = limits.into_iter().filter_map(|(limit, has)| {
        let works = |value: f64| nearest.quick(limit, value, &ORIGIN_STEPS[..1]);
        let to = relax::highest_that_works(has * (1.0 - share), has, works)?;
        Some((limit, has, to))
    });
    found.min_by(|a, b| ((a.1 - a.2) / a.1).total_cmp(&((b.1 - b.2) / b.1)))
}

fn no_stagger(site: &Site, nearest: &Nearest) -> SetoutError {
    let families = search::families(site, ORIGIN_STEPS[0]);
    let limit = site.ceiling.rules.stagger_layers_mm;
    let relax = relax::highest_that_works(0.0, limit, |at| !combine(site, &families, at, false).is_empty());
    // Where the layers would have to give up most of it, another limit may have to give less.
    let share = relax.map_or(1.0, |to| (limit - to) / limit.max(1.0));
    if share > MOST_OF_IT
        && let Some((other, has, to)) = gives_less(site, share, nearest)
    {
        let to = nearest.brought(other, has, to);
        return SetoutError::NoLayout {
            limit: other.to_owned(),
            relax_to_mm: Some(to),
            sentence: format!(
                "the joints of layers that lie on each other cannot be kept {limit:.0} mm apart in this room with rules.{other} = {has:.0}: the smallest relaxation found is to lower that to {to:.0}, or change the format of one layer's boards"
            ),
        };
    }
    let relax = relax.map(|to| nearest.brought("stagger_layers_mm", limit, to));
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

/// A limit on bars and laps, and the end of what is looked at when it is eased.
type BarLimit = (&'static str, f64, f64);

/// Limits on bars and laps, each eased by itself: the one that has to give least of itself, and how far.
fn ease_bars(site: &Site, nearest: &Nearest) -> Option<(&'static str, f64, f64)> {
    let rules = &site.ceiling.rules;
    let limits: [BarLimit; 4] = [
        ("lap_stagger_mm", rules.lap_stagger_mm, 0.0),
        ("first_bar_mm", rules.first_bar_mm, 3.0 * rules.first_bar_mm),
        ("bar_gap_mm", rules.bar_gap_mm, 1.5 * rules.bar_gap_mm),
        ("edge_bearing_mm", rules.edge_bearing_mm, 0.0),
    ];
    let mut least: Option<(BarLimit, f64)> = None;
    // Every limit on the coarsest grid; on the finer ones, and on ways from all over, the one that gave least.
    for (steps, spread) in ORIGIN_STEPS.into_iter().flat_map(|steps| [(steps, false), (steps, true)]) {
        let first = (steps, spread) == (ORIGIN_STEPS[0], false);
        let only = least.map(|((limit, ..), _)| limit).filter(|_| !first);
        for limit in limits.into_iter().filter(|(name, ..)| only.is_none_or(|only| only == *name)) {
            let (_, has, end) = limit;
            let least_share =
                least.map_or(f64::INFINITY, |((_, has, _), to)| (to - has).abs() / has.max(1.0));
            // It has to give less of itself than the least found.
            let most = (least_share * has.max(1.0)).min((end - has).abs());
            let mut from = has + (end - has).signum() * most;
            while let Some(to) = nearest_hung(site.ceiling, limit, (from, least.is_some()), (steps, spread)) {
                (least, from) = (Some((limit, to)), to);
                // With these the bars along the walls move, and with them where joints may lie: once more from there.
                if !matches!(limit.0, "first_bar_mm" | "bar_gap_mm") {
                    break;
                }
            }
        }
    }
    let ((limit, has, end), to) = least?;
    // With the limit eased other ways may come first in the search: what is told is what the search finds.
    let works = |value: f64| nearest.quick(limit, value, &ORIGIN_STEPS);
    let told =
        if works(to) { to } else { nearest_that_works(has, Some(end).filter(|end| works(*end))?, works) };
    let told = nearest.brought_by_shifts(limit, has, told);
    Some((limit, has, told))
}

/// The value of a limit nearest to what it is, to the millimetre, with which one of the ways of laying the boards on a grid can be hung; none
/// where none can at `from`, or nearer than that where `from` itself would be no gain. A way is asked only whether it does nearer than the
/// best so far: most are done with after one draft.
fn nearest_hung(
    ceiling: &Ceiling,
    (limit, has, _): BarLimit,
    (from, nearer): (f64, bool),
    (steps, spread): (u32, bool),
) -> Option<f64> {
    let step = (has - from).signum();
    let mut wanted = if nearer { (from + step).round() } else { from };
    let mut at_hand = eased(ceiling, limit, wanted)?;
    let mut room = Room::new(&at_hand).ok()?;
    let site = Site::new(&at_hand, &room);
    let families = search::families(&site, steps);
    let ways = combine(&site, &families, ceiling.rules.stagger_layers_mm, spread);
    let hangs = |way: &Combination, value: f64| {
        let Some(eased) = eased(ceiling, limit, value) else { return false };
        Room::new(&eased).is_ok_and(|room| stands(&Site::new(&eased, &room), &families, way))
    };
    let (mut found, mut left) = (None, ways.as_slice());
    while (wanted - has) * step < 0.0 {
        let site = Site::new(&at_hand, &room);
        let Some(at) = left.par_iter().position_first(|way| stands(&site, &families, way)) else { break };
        let to = nearest_that_works(has, wanted, |value| left.get(at).is_some_and(|way| hangs(way, value)));
        found = Some(to);
        left = left.get(at + 1..).unwrap_or_default();
        wanted = (to + step).round();
        let Some(next) = eased(ceiling, limit, wanted) else { break };
        let Ok(its_room) = Room::new(&next) else { break };
        (at_hand, room) = (next, its_room);
    }
    found
}

/// Whether the boards laid in one way can be hung, with bars closer together where the clips' load asks for it.
fn stands(site: &Site, families: &[LayerFamily], way: &Combination) -> bool {
    let choices = chosen(families, way);
    CLOSER_BARS
        .iter()
        .map(|share| site.draft(families, &choices, site.bar_rules.gap_limit_mm * share))
        .find(|drafted| !matches!(drafted, Err(Failed::Load)))
        .is_some_and(|drafted| drafted.is_ok())
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
            site.draft(families, &chosen(families, combination), site.bar_rules.gap_limit_mm * share).ok()
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

fn no_draft(site: &Site, failed: Option<Failed>, nearest: &Nearest) -> SetoutError {
    let ceiling = site.ceiling;
    if !matches!(failed, Some(Failed::Load))
        && let Some((limit, has, to)) = ease_bars(site, nearest)
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
            let families = search::families(site, ORIGIN_STEPS[0]);
            let combinations = combine(site, &families, ceiling.rules.stagger_layers_mm, false);
            let way = least_rating_kg(site, &families, &combinations, rated).map_or_else(
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
