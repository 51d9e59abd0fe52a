//! The answer put into words and numbers.

use choose::{Asked, Front, Objective, Problem, next_steps, solve_with, why_not_with};
use quantities::format::{number, with_unit};
use rayon::prelude::*;

use crate::{
    choosing::{
        field::Field,
        outcome::{
            Built, CandidateRow, Choice, ElementCandidates, FrontRow, MarginRow, NextStep, Pick, Sensitivity,
            ShareRow, Used, WhyNot,
        },
        proposal::{Change, Slot},
        settling::{Found, Room, find},
        watch::Work,
        writing::Changes,
    },
    project::Project,
};

/// Steps that are told.
const STEPS: usize = 8;

/// Chooses and tells.
pub(super) fn tell(room: &Room<'_>, mut field: Field) -> (Choice, Changes) {
    let project = room.file;
    let today = vec![0; field.problem.elements.len()];
    let (stands, next) = room.watch.timed(Work::Telling, || {
        let Room { lined, plan, memory, watch, .. } = *room;
        watch.timed(Work::Spreads, || field.predict_in_full(lined, plan, &today, memory));
        (built(&field, &today), steps(&field, &today, project.choosing.spare_db))
    });
    let mut notes = std::mem::take(&mut field.notes);
    let found = find(room, &mut field, &mut notes);
    if project.receivers.is_empty() || field.ways.is_empty() {
        notes.push(
            "No receiver has a limit that can be worked out: everything is quiet enough, and nothing needs to be built. Give a [[receiver]] with `limit_dba`, `limit_nr` or a `background`."
                .to_owned(),
        );
    }
    notes.extend(silent(project));
    notes.extend(standing_notes(project, &field));
    let spare_db = found.spare_db;
    let (why, sensitivity) = room.watch.timed(Work::Telling, || match (&found.selection, found.holds) {
        (_, false) => (reasons(&field, spare_db), Vec::new()),
        (Some(selection), true) => (Vec::new(), sensitivity(&field, selection, spare_db)),
        (None, true) => (Vec::new(), Vec::new()),
    });
    let problem = &field.problem;
    let chosen = found.selection.as_ref();
    let changes = Changes { each: chosen.map_or_else(Vec::new, |chosen| changes(&field, chosen)) };
    let choice = Choice {
        format: 1,
        room: project.title.name.clone(),
        currency: if field.in_money { project.limits.currency.clone() } else { String::new() },
        sure_percent: project.choosing.sure_percent,
        candidates: field.elements.iter().map(|element| element.proposals.len()).sum(),
        left: problem.elements.iter().map(|element| element.candidates.len()).sum(),
        elements: elements(&field),
        today: stands,
        chosen: chosen.map(|selection| built(&field, selection)),
        holds: found.holds,
        proof: proof(&field, project, &found),
        none_holds_proved: found.none_proved,
        knee: found.fronts.cost.knee,
        front: rows(&field, &found.fronts.cost),
        headroom_front: rows(&field, &found.fronts.headroom),
        next_steps: next,
        why_not: why,
        all_give_db: found.give_db,
        sensitivity,
        shares: chosen.map_or_else(Vec::new, |chosen| shares(&field, &today, chosen)),
        notes,
        certificate: found.certificate,
        verified: found.verified,
    };
    (choice, changes)
}

fn changes(field: &Field, selection: &[usize]) -> Vec<(Slot, Change)> {
    let each = selection.iter().zip(&field.elements).enumerate();
    each.filter_map(|(element, (at, choosable))| {
        let (_, offer) = field.offer(element, *at)?;
        let change = &offer.proposal.change;
        (*change != Change::default()).then(|| (choosable.slot, change.clone()))
    })
    .collect()
}

/// A limit below this is one nobody can hear being kept, dB(A): the quietest bedrooms at night have more (from memory).
const SILENCE_DBA: f64 = 10.0;

/// The noise-rating curve that comes to about as much: some five below the level in dB(A) (common practice, no source).
const SILENCE_NR: f64 = 5.0;

/// Limits that ask for less than can be heard, each with what is enough.
pub(super) fn silent(project: &Project) -> impl Iterator<Item = String> {
    let told = |asked: String, at: &str, enough: String| {
        format!(
            "{asked} at {at} is quieter than anyone hears in a quiet night: {enough} is enough, and costs less."
        )
    };
    project.receivers.iter().flat_map(move |receiver| {
        let level = receiver.limit_dba.filter(|limit| *limit < SILENCE_DBA).map(|limit| {
            let [asked, enough] = [limit, SILENCE_DBA].map(|level| with_unit(level, 0, "dB(A)"));
            told(asked, &receiver.name, enough)
        });
        let curve = receiver.limit_nr.filter(|limit| *limit < SILENCE_NR).map(|limit| {
            let [asked, enough] = [limit, SILENCE_NR].map(|curve| format!("NR {}", number(curve, 0)));
            told(asked, &receiver.name, enough)
        });
        let below = receiver.background_dba.zip(receiver.margin_db).and_then(|(quiet_dba, margin_db)| {
            let most_db = quiet_dba - SILENCE_DBA;
            (margin_db > most_db.max(0.0)).then(|| {
                let [asked, enough] = [margin_db, most_db.max(0.0)].map(|below| {
                    format!(
                        "{} below a quiet of {}",
                        with_unit(below, 0, "dB"),
                        with_unit(quiet_dba, 0, "dB(A)")
                    )
                });
                told(asked, &receiver.name, enough)
            })
        });
        level.into_iter().chain(curve).chain(below)
    })
}

fn steps(field: &Field, today: &[usize], spare_db: f64) -> Vec<NextStep> {
    next_steps(&field.problem, today, spare_db, STEPS)
        .into_iter()
        .map(|step| NextStep {
            element: name(field, step.element),
            becomes: candidate(field, step.element, step.candidate),
            cost: step.cost,
            gain_db: step.gain_db,
            margin_db: step.margin_db,
        })
        .collect()
}

/// An amount of money, or of the scale.
fn money(field: &Field, project: &Project, cost: f64) -> String {
    if field.in_money {
        format!("{}{}", project.limits.currency, number(cost, 0))
    } else {
        with_unit(cost, 0, "m² of board")
    }
}

/// A gap of less than half a unit of money is none, nor one of less than this part.
const NO_GAP: f64 = 0.005;

/// What is proved of the choice, and what remains open, in plain words.
fn proof(field: &Field, project: &Project, found: &Found) -> String {
    let certificate = &found.certificate;
    let Some(value) = certificate.value.filter(|_| found.selection.is_some()) else {
        return if found.none_proved {
            "Proved: nothing can be built that keeps the limits of size, load and money, however loud."
                .to_owned()
        } else {
            "Nothing was found that keeps the limits of size, load and money, however loud; the search for it was ended early, so that this is not proved."
                .to_owned()
        };
    };
    let mut told: Vec<String> = Vec::new();
    if !found.holds {
        told.push(match (found.none_proved, found.nearest_proved) {
            (true, true) => "Proved, in the room as this set leaves it: of everything looked at, nothing keeps every limit, and nothing comes nearer by a fifth of a decibel.".to_owned(),
            (true, false) => "Proved, in the room as this set leaves it: of everything looked at, nothing keeps every limit. That nothing comes nearer is not proved: the search for it was ended early.".to_owned(),
            (false, _) => "That nothing keeps every limit is not proved, nor that nothing comes nearer: the search was ended early.".to_owned(),
        });
    }
    let keeps = if found.holds { "keeps every limit" } else { "comes as near" };
    let measured = certificate.departure_db <= certificate.lean_db;
    told.push(if certificate.gap.is_some_and(|gap| gap <= 0.5_f64.min(NO_GAP * value)) && measured {
        format!("Proved, in the room as this set leaves it: of everything looked at, no other set {keeps} for less.")
    } else if !measured {
        format!("Not proved to be the least: the bound was found to be off for one set, so one that {keeps} for less may exist.")
    } else {
        format!(
            "Not proved to be the least. In the room as this set leaves it no set {keeps} for less than {}; between that and {} one may exist, {} less at most.",
            money(field, project, certificate.bound.max(0.0)),
            money(field, project, value),
            money(field, project, (value - certificate.bound.max(0.0)).max(0.0))
        )
    });
    told.join(" ")
}

fn row(way: &crate::assemble::ways::Way, margin_db: f64) -> MarginRow {
    MarginRow {
        receiver: way.receiver.clone(),
        source: way.source.clone(),
        criterion: way.criterion.clone(),
        margin_db,
    }
}

fn reasons(field: &Field, spare_db: f64) -> Vec<WhyNot> {
    let problem = &field.problem;
    why_not_with(problem, spare_db, &field.kept)
        .into_iter()
        .enumerate()
        .map(|(at, one)| {
            let unit = if one.is_demand {
                "dB".to_owned()
            } else {
                field.limits.get(at - problem.demands.len()).map_or_else(String::new, |l| l.unit.clone())
            };
            let places = usize::from(matches!(unit.as_str(), "dB" | "m²" | "kg/m²" | "kg"));
            let sentence = match one.by {
                Some(by) if by > 0.0 => format!(
                    "{}: with {} more allowed, and all else as it is, every limit could be kept.",
                    one.name,
                    // Rounded up: what is told is enough.
                    with_unit(rounded_up(by, places), places, &unit)
                ),
                Some(_) => format!("{}: does not stand in the way.", one.name),
                None if one.proved => {
                    format!("{}: loosening it alone would not do: others stand in the way too.", one.name)
                }
                None => format!(
                    "{}: loosening it alone was not found to do; the search for it was ended early.",
                    one.name
                ),
            };
            WhyNot { limit: one.name, by: one.by, unit, sentence }
        })
        .collect()
}

/// A number rounded up to whole ones, or to tenths where any place is printed.
fn rounded_up(by: f64, places: usize) -> f64 {
    let step = if places == 0 { 1.0 } else { 10.0 };
    (by * step - 1e-6).ceil() / step
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
    let base = Asked { objective: Objective::Cost, margin_db: spare_db, near, ..Asked::default() };
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
            let solved = solve_with(problem, &asked, &field.kept);
            let choice = solved.choice;
            Sensitivity {
                if_so,
                // At the prices asked about.
                cost: choice.as_ref().map(|choice| asked.cost(problem, &choice.selection)),
                proved: solved.certificate.proved,
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

fn standing_notes(project: &Project, field: &Field) -> Vec<String> {
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
    notes.push(
        "Every set is judged with what its own surfaces absorb, but with the clips, and the parts that err together, of the chosen one: planned whole it may be some tenths of a decibel louder or quieter."
            .to_owned(),
    );
    notes
}
