//! Why a ceiling cannot be set out, and the smallest relaxation found that lets it.

use crate::combine::{Combination, combine};
use crate::draft::{Draft, Failed, Site};
use crate::error::SetoutError;
use crate::room::Room;
use crate::search::{self, CLOSER_BARS, ORIGIN_STEPS};
use crate::strips::{Choice, LayerFamily};
use crate::{Ceiling, Rules, relax};

/// Combinations a relaxation of the bars' limits is tried on.
const EASE_TRIES: usize = 60;
/// How many ways of laying the boards are looked at for the least rating of a clip, the best first: each takes a few milliseconds.
const RATING_TRIES: usize = 6;

/// A limit that no layout can meet by the sizes of board and bar alone was named by `error`: with it eased so far, whether the room can be laid;
/// else how far it must give in this room, or what else is in the way.
pub(crate) fn beyond_what_fits(ceiling: &Ceiling, error: SetoutError) -> SetoutError {
    let SetoutError::NoLayout { limit, relax_to_mm: Some(most), sentence } = &error else { return error };
    let with = |value: f64| eased(ceiling, limit, value);
    let Some(at_most) = with(*most) else { return error };
    if lays(&at_most, &ORIGIN_STEPS) {
        return error;
    }
    let works = |grids: &[u32], value: f64| with(value).is_some_and(|eased| lays(&eased, grids));
    let coarse = |value: f64| works(&ORIGIN_STEPS[..1], value);
    let found = if is_raised(limit) {
        relax::lowest_that_works(*most, 4.0 * most, coarse)
    } else {
        relax::highest_that_works(0.0, *most, coarse)
    };
    let (relax_to_mm, more) = if let Some(to) = found {
        let to = nearest_that_works(*most, to, |value| works(&ORIGIN_STEPS, value));
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
fn nearest_that_works(no: f64, yes: f64, works: impl Fn(f64) -> bool) -> f64 {
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

/// A relaxation that was found on the first grid, brought as near to what the limit was as the quick search finds.
fn nearer(site: &Site, limit: &str, has: f64, to: f64) -> f64 {
    nearest_that_works(has, to, |value| {
        eased(site.ceiling, limit, value).is_some_and(|eased| lays(&eased, &ORIGIN_STEPS))
    })
}

/// A limit, what it is, and how it is set.
type EaseRule = (&'static str, f64, fn(&mut Rules, f64));

/// Finds the smallest relaxation that lets the layer be laid: of one limit alone, else of both on pieces together.
pub(crate) fn no_choice(site: &Site, layer: usize) -> SetoutError {
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
        let to = nearer(site, limit, has, to);
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

/// From this part of a limit on that it would have to give, others are tried.
const MOST_OF_IT: f64 = 0.3;

/// Of the limits on pieces the one that lets the room be laid and gives less of itself than `share`, what it is, and how far.
fn gives_less(site: &Site, share: f64) -> Option<(&'static str, f64, f64)> {
    let rules = &site.ceiling.rules;
    let limits = [
        ("min_strip_mm", rules.min_strip_mm),
        ("min_piece_mm", rules.min_piece_mm),
        ("stagger_rows_mm", rules.stagger_rows_mm),
    ];
    let found = limits.into_iter().filter_map(|(limit, has)| {
        let works = |value: f64| {
            eased(site.ceiling, limit, value).is_some_and(|eased| lays(&eased, &ORIGIN_STEPS[..1]))
        };
        let to = relax::highest_that_works(has * (1.0 - share), has, works)?;
        Some((limit, has, to))
    });
    found.min_by(|a, b| ((a.1 - a.2) / a.1).total_cmp(&((b.1 - b.2) / b.1)))
}

pub(crate) fn no_stagger(site: &Site, families: &[LayerFamily]) -> SetoutError {
    let limit = site.ceiling.rules.stagger_layers_mm;
    let relax = relax::highest_that_works(0.0, limit, |at| !combine(site, families, at, false).is_empty());
    let relax = relax.map(|to| nearer(site, "stagger_layers_mm", limit, to));
    // Where the layers would have to give up most of it, another limit may have to give less.
    let share = relax.map_or(1.0, |to| (limit - to) / limit.max(1.0));
    if share > MOST_OF_IT
        && let Some((other, has, to)) = gives_less(site, share)
    {
        let to = nearer(site, other, has, to);
        return SetoutError::NoLayout {
            limit: other.to_owned(),
            relax_to_mm: Some(to),
            sentence: format!(
                "the joints of layers that lie on each other cannot be kept {limit:.0} mm apart in this room with rules.{other} = {has:.0}: the smallest relaxation found is to lower that to {to:.0}, or change the format of one layer's boards"
            ),
        };
    }
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

/// Limits on bars and laps, each eased by itself: the one that has to give least, and how far.
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
    // The one that gives least of itself; the first named where two give as much.
    let found = eases.into_iter().filter_map(|(limit, has, end, set)| {
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
    });
    found.min_by(|a, b| {
        let share = |(_, has, to): &(&str, f64, f64)| (to - has).abs() / has.max(1.0);
        share(a).total_cmp(&share(b))
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

pub(crate) fn no_draft(
    site: &Site,
    families: &[LayerFamily],
    combinations: &[Combination],
    failed: Option<Failed>,
) -> SetoutError {
    let ceiling = site.ceiling;
    if !matches!(failed, Some(Failed::Load))
        && let Some((limit, has, to)) = ease_bars(site, families, combinations)
    {
        let to = nearer(site, limit, has, to);
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
