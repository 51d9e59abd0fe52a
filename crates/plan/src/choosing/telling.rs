//! The problem solved, the answer planned whole, and put into words.

use choose::{
    Asked, Front, Objective, Problem, Solved, advice::why_not_together, cost_front, next_steps, solve,
    use_front, why_not,
};
use quantities::format::with_unit;
use rayon::prelude::*;

use crate::{
    choosing::{
        field::Field,
        outcome::{
            Built, CandidateRow, Choice, ElementCandidates, FrontRow, MarginRow, NextStep, Pick, Sensitivity,
            ShareRow, Used, Verified, WhyNot,
        },
    },
    outcome::{Plan, Standing},
    project::Project,
};

/// How often a choice is predicted in full and chosen again before it is taken as it is.
const MOST_ROUNDS: usize = 8;
/// How often a choice that the whole plan finds a little too loud is chosen again with that much more to spare.
const MOST_TIGHTENED: usize = 3;
/// Margins of the front closer than this are not told apart, dB.
const FRONT_STEP_DB: f64 = 0.5;
/// Most points of a front.
const FRONT_POINTS: usize = 40;
/// Steps that are told.
const STEPS: usize = 8;
/// A margin of the whole plan that is missed by less is a matter of rounding, dB.
const ROUNDING_DB: f64 = 0.02;

/// Chooses, verifies and tells.
pub(super) fn tell(project: &Project, plan: &Plan, mut field: Field) -> Choice {
    let today = vec![0; field.problem.elements.len()];
    field.predict_in_full(project, plan, &today);
    let mut spare_db = project.choosing.spare_db;
    let mut notes = std::mem::take(&mut field.notes);
    let mut solved = settle(project, plan, &mut field, spare_db);
    let mut verified = None;
    for _ in 0..MOST_TIGHTENED {
        let Some(choice) = &solved.choice else { break };
        let whole = verify(project, plan, &field, &choice.selection);
        let short_db = whole.as_ref().map_or(0.0, |whole| {
            let least = whole.margins.iter().map(|row| row.margin_db).fold(f64::INFINITY, f64::min);
            project.choosing.spare_db - least
        });
        verified = whole;
        if short_db <= ROUNDING_DB || !short_db.is_finite() {
            break;
        }
        let tighter_db = spare_db + short_db;
        let again = settle(project, plan, &mut field, tighter_db);
        if again.choice.is_none() {
            notes.push(format!(
                "Planned whole, the choice misses by {}; with that much more to spare nothing is found.",
                with_unit(short_db, 1, "dB")
            ));
            break;
        }
        (spare_db, solved) = (tighter_db, again);
    }
    if spare_db > project.choosing.spare_db {
        notes.push(format!(
            "Planned whole, the first choice missed a limit by a little: it was chosen again with {} more to spare.",
            with_unit(spare_db - project.choosing.spare_db, 1, "dB")
        ));
    }
    let holds = solved.choice.is_some();
    let (why, all_give_db) = if holds { (Vec::new(), None) } else { reasons(&field, spare_db) };
    let mut selection = solved.choice.as_ref().map(|choice| choice.selection.clone());
    let mut certificate = solved.certificate;
    if let (None, Some(give_db)) = (&selection, all_give_db) {
        // Nothing holds: what comes nearest, at the least cost.
        let nearest = settle(project, plan, &mut field, spare_db - give_db);
        certificate = nearest.certificate;
        selection = nearest.choice.map(|choice| choice.selection);
        verified = selection.as_ref().and_then(|selection| verify(project, plan, &field, selection));
    }
    let (front, headroom_front) = fronts(&field);
    if project.receivers.is_empty() || field.ways.is_empty() {
        notes.push(
            "No receiver has a limit that can be worked out: everything is quiet enough, and nothing needs to be built. Give a [[receiver]] with `limit_dba`, `limit_nr` or a `background`."
                .to_owned(),
        );
    }
    notes.extend(standing_notes(project, &field, &certificate));
    let problem = &field.problem;
    let next = next_steps(problem, &today, spare_db, STEPS)
        .into_iter()
        .map(|step| NextStep {
            element: name(&field, step.element),
            becomes: candidate(&field, step.element, step.candidate),
            cost: step.cost,
            gain_db: step.gain_db,
            margin_db: step.margin_db,
        })
        .collect();
    let sensitivity = match (&selection, holds) {
        (Some(selection), true) => sensitivity(&field, selection, spare_db),
        _ => Vec::new(),
    };
    Choice {
        format: 1,
        room: project.title.name.clone(),
        currency: if field.in_money { project.limits.currency.clone() } else { String::new() },
        sure_percent: project.choosing.sure_percent,
        candidates: field.elements.iter().map(|element| element.proposals.len()).sum(),
        left: problem.elements.iter().map(|element| element.candidates.len()).sum(),
        elements: elements(&field),
        today: built(&field, &today),
        chosen: selection.as_ref().map(|selection| built(&field, selection)),
        holds,
        certificate,
        verified,
        knee: front.knee,
        front: rows(&field, &front),
        headroom_front: headroom_front.as_ref().map_or_else(Vec::new, |front| rows(&field, front)),
        next_steps: next,
        why_not: why,
        all_give_db,
        sensitivity,
        shares: selection.as_ref().map_or_else(Vec::new, |chosen| shares(&field, &today, chosen)),
        notes,
    }
}

fn changed(project: &Project, field: &Field, selection: &[usize]) -> Project {
    let mut changed = project.clone();
    for (element, at) in selection.iter().enumerate() {
        if let (Some(choosable), Some((_, offer))) = (field.elements.get(element), field.offer(element, *at))
        {
            offer.proposal.change.put_into(&mut changed, choosable.slot);
        }
    }
    changed
}

/// Chooses, predicts what is chosen in full, and chooses again until every candidate of the choice is predicted in full.
fn settle(project: &Project, plan: &Plan, field: &mut Field, margin_db: f64) -> Solved {
    let mut near = None;
    let mut rounds = 0;
    loop {
        let solved = solve(&field.problem, &Asked { margin_db, near, ..Asked::default() });
        rounds += 1;
        let Some(choice) = &solved.choice else { return solved };
        if !field.predict_in_full(project, plan, &choice.selection) || rounds >= MOST_ROUNDS {
            return solved;
        }
        near = Some(choice.selection.clone());
    }
}

fn verify(project: &Project, plan: &Plan, field: &Field, selection: &[usize]) -> Option<Verified> {
    let whole = crate::plan(&changed(project, field, selection)).ok()?;
    let own = field.problem.sum(selection).margins_db;
    let mut off_db: f64 = 0.0;
    let margins = field
        .ways
        .iter()
        .zip(own)
        .filter_map(|(way, own_db)| {
            let heard = whole.heard.iter().find(|heard| {
                heard.receiver == way.receiver
                    && heard.source == way.source
                    && heard
                        .heard
                        .verdict
                        .as_ref()
                        .is_some_and(|verdict| verdict.criterion.label() == way.criterion)
            })?;
            let verdict = heard.heard.verdict.as_ref()?;
            // The plan tells the tenth percentile; at another confidence the likelihood decides.
            let margin_db = if (project.choosing.sure_percent - 90.0).abs() < 1e-6 {
                off_db = off_db.max((verdict.margin.lower_db - own_db).abs());
                verdict.margin.lower_db
            } else if verdict.confidence * 100.0 >= project.choosing.sure_percent {
                own_db.max(0.0)
            } else {
                own_db.min(verdict.margin.lower_db)
            };
            Some(row(way, margin_db))
        })
        .collect();
    let failing = |plan: &Plan| -> Vec<String> {
        plan.findings
            .iter()
            .filter(|finding| finding.standing == Standing::Fails && finding.chapter != "sound")
            .map(|finding| finding.sentence.clone())
            .collect()
    };
    let before = failing(plan);
    let newly_failing = failing(&whole).into_iter().filter(|sentence| !before.contains(sentence)).collect();
    Some(Verified { margins, newly_failing, off_db })
}

fn row(way: &crate::assemble::ways::Way, margin_db: f64) -> MarginRow {
    MarginRow {
        receiver: way.receiver.clone(),
        source: way.source.clone(),
        criterion: way.criterion.clone(),
        margin_db,
    }
}

fn reasons(field: &Field, spare_db: f64) -> (Vec<WhyNot>, Option<f64>) {
    let problem = &field.problem;
    let told = why_not(problem, spare_db)
        .into_iter()
        .enumerate()
        .map(|(at, one)| {
            let unit = if one.is_demand {
                "dB".to_owned()
            } else {
                field.limits.get(at - problem.demands.len()).map_or_else(String::new, |l| l.unit.clone())
            };
            let sentence = match one.by {
                Some(by) if by > 0.0 => {
                    format!(
                        "{}: would have to give {}, the rest as it is.",
                        one.name,
                        with_unit(by, 1, &unit)
                    )
                }
                Some(_) => format!("{}: does not bind.", one.name),
                None => format!("{}: giving alone was not found to be enough.", one.name),
            };
            WhyNot { limit: one.name, by: one.by, unit, sentence }
        })
        .collect();
    (told, why_not_together(problem, spare_db, &[]).map(|(by, _)| by))
}

/// Both fronts, with the spread that each candidate has so far.
fn fronts(field: &Field) -> (Front, Option<Front>) {
    if field.problem.demands.is_empty() {
        return (Front::default(), None);
    }
    let headroom = field.headroom;
    rayon::join(
        || cost_front(&field.problem, FRONT_STEP_DB, FRONT_POINTS),
        || headroom.map(|at| use_front(&field.problem, at, 2.0 * FRONT_STEP_DB, FRONT_POINTS)),
    )
}

fn name(field: &Field, element: usize) -> String {
    field.elements.get(element).map_or_else(String::new, |element| element.name.clone())
}

fn candidate(field: &Field, element: usize, at: usize) -> String {
    field.offer(element, at).map_or_else(String::new, |(_, offer)| offer.proposal.name.clone())
}

fn elements(field: &Field) -> Vec<ElementCandidates> {
    let each = field.elements.iter().map(|element| ElementCandidates {
        name: element.name.clone(),
        candidates: element
            .proposals
            .iter()
            .map(|offer| {
                let one = &offer.proposal;
                CandidateRow {
                    name: one.name.clone(),
                    cost: one.cost,
                    cost_guessed: one.guessed,
                    work: one.work.clone(),
                    drop_mm: one.drop_mm,
                    floor_m2: one.floor_m2,
                    hung_kg_m2: one.hung_kg_m2,
                    lift_kg: one.lift_kg,
                    left_out: offer.left_out.clone(),
                    kept: offer.kept,
                }
            })
            .collect(),
    });
    each.collect()
}

fn built(field: &Field, selection: &[usize]) -> Built {
    let sum = field.problem.sum(selection);
    let offers = || selection.iter().enumerate().filter_map(|(element, at)| field.offer(element, *at));
    Built {
        picks: selection
            .iter()
            .enumerate()
            .filter_map(|(element, at)| {
                let (place, offer) = field.offer(element, *at)?;
                Some(Pick {
                    element: name(field, element),
                    candidate: place,
                    name: offer.proposal.name.clone(),
                    cost: offer.proposal.cost,
                    work: offer.proposal.work.clone(),
                })
            })
            .collect(),
        cost: sum.cost,
        cost_guessed: offers().any(|(_, offer)| offer.proposal.guessed),
        uses: field
            .limits
            .iter()
            .zip(&sum.uses)
            .map(|(limit, used)| Used {
                name: limit.name.clone(),
                unit: limit.unit.clone(),
                used: *used,
                most: limit.most,
            })
            .collect(),
        margins: field.ways.iter().zip(&sum.margins_db).map(|(way, margin)| row(way, *margin)).collect(),
    }
}

/// What differs from the file, `element: candidate`.
fn differences(field: &Field, from: &[usize], to: &[usize]) -> Vec<String> {
    let pairs = from.iter().zip(to).enumerate();
    pairs
        .filter(|(_, (from, to))| from != to)
        .map(|(element, (_, to))| format!("{}: {}", name(field, element), candidate(field, element, *to)))
        .collect()
}

fn rows(field: &Field, front: &Front) -> Vec<FrontRow> {
    let today = vec![0; field.problem.elements.len()];
    let each = front.points.iter().map(|point| {
        let selection = &point.choice.selection;
        let drop_mm = selection
            .iter()
            .enumerate()
            .filter_map(|(element, at)| field.offer(element, *at))
            .map(|(_, offer)| offer.proposal.drop_mm)
            .sum();
        FrontRow {
            cost: point.choice.sum.cost,
            drop_mm,
            margin_db: point.margin_db,
            changes: differences(field, &today, selection),
            proved: point.proved,
        }
    });
    each.collect()
}

fn sensitivity(field: &Field, selection: &[usize], spare_db: f64) -> Vec<Sensitivity> {
    let problem: &Problem = &field.problem;
    let mut questions: Vec<(String, Asked)> = Vec::new();
    let near = Some(selection.to_vec());
    let nodes = problem.most_nodes / 8;
    let base = Asked { objective: Objective::Cost, margin_db: spare_db, near, nodes, ..Asked::default() };
    for (element, at) in selection.iter().enumerate() {
        if field.offer(element, *at).is_none_or(|(_, offer)| offer.proposal.cost <= 0.0) {
            continue;
        }
        for (factor, words) in [(1.2, "20 % dearer"), (0.8, "20 % cheaper")] {
            let mut cost_factor = vec![1.0; problem.elements.len()];
            if let Some(slot) = cost_factor.get_mut(element) {
                *slot = factor;
            }
            let asked = Asked { cost_factor, ..base.clone() };
            questions.push((format!("everything for {} were {words}", name(field, element)), asked));
        }
    }
    questions.push((
        "every limit were to have 1 dB more to spare".to_owned(),
        Asked { margin_db: spare_db + 1.0, ..base.clone() },
    ));
    if let Some(at) = field.headroom {
        for (more_mm, words) in [(10.0, "10 mm more"), (-10.0, "10 mm less")] {
            let mut more = vec![0.0; problem.limits.len()];
            if let Some(slot) = more.get_mut(at) {
                *slot = more_mm;
            }
            questions.push((format!("there were {words} of headroom"), Asked { more, ..base.clone() }));
        }
    }
    questions
        .into_par_iter()
        .map(|(if_so, asked)| {
            let choice = solve(problem, &asked).choice;
            Sensitivity {
                if_so,
                cost: choice.as_ref().map(|choice| choice.sum.cost),
                changes: choice
                    .map_or_else(Vec::new, |choice| differences(field, selection, &choice.selection)),
            }
        })
        .collect()
}

fn shares(field: &Field, today: &[usize], chosen: &[usize]) -> Vec<ShareRow> {
    let of = |selection: &[usize]| -> Vec<Vec<f64>> {
        // For each way the mean share of each element in what counts there.
        let draws = field.problem.draws;
        let mut from = 0;
        field
            .ways
            .iter()
            .map(|way| {
                let span = from * draws..(from + way.rows.len()) * draws;
                from += way.rows.len();
                let sums: Vec<f64> = field
                    .problem
                    .chosen(selection)
                    .map(|one| one.energy.get(span.clone()).unwrap_or(&[]).iter().sum())
                    .collect();
                let total: f64 = sums.iter().sum();
                sums.into_iter().map(|sum| if total > 0.0 { sum / total } else { 0.0 }).collect()
            })
            .collect()
    };
    let (before, after) = (of(today), of(chosen));
    let mut rows = Vec::new();
    for (way, (before, after)) in field.ways.iter().zip(before.iter().zip(&after)) {
        for (element, (before, after)) in field.elements.iter().zip(before.iter().zip(after)) {
            rows.push(ShareRow {
                receiver: way.receiver.clone(),
                source: way.source.clone(),
                element: element.name.clone(),
                today: *before,
                chosen: *after,
            });
        }
    }
    rows
}

fn standing_notes(project: &Project, field: &Field, certificate: &choose::Certificate) -> Vec<String> {
    let mut notes = vec![format!(
        "A limit counts as kept if it holds in {:.0} of 100 of the draws of source, way and insulation that the plan itself is judged by.",
        project.choosing.sure_percent
    )];
    let guessed =
        field.elements.iter().flat_map(|element| &element.proposals).any(|offer| offer.proposal.guessed);
    if guessed {
        notes.push(if field.in_money {
            "Where the file gives no price, costs follow a scale in proportion to its boards (common practice, no source): ask for prices before you buy."
                .to_owned()
        } else {
            "No price is known: costs count in square metres of common plasterboard of 12.5 mm (common practice, no source). Write `board_price` in [choose] to have them in money."
                .to_owned()
        });
    }
    if !certificate.proved {
        notes.push(format!(
            "The search was broken off after {} nodes, so that nothing better is proved impossible: what is named holds, but a less costly set, or one that keeps more, may exist.",
            certificate.nodes
        ));
    } else if certificate.departure_db > certificate.lean_db {
        notes.push(
            "A set departed further from the bound than it was loosened: a less costly one may exist."
                .to_owned(),
        );
    }
    notes.push("What a lower ceiling does to the sound in the room itself is left out of the choice; the whole plan of it has it in.".to_owned());
    notes
}
