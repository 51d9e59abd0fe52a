//! The choice made, planned whole, and made again in the room as that plan has it, until it stays.

use choose::{Asked, Certificate, Front, Solved, advice::why_not_together, solve};
use quantities::format::with_unit;

use crate::{
    assemble::{faults, lined},
    choosing::{
        field::Field,
        outcome::{MarginRow, Verified},
    },
    memory::Memory,
    outcome::{Plan, Standing},
    project::Project,
};

/// How often a choice is predicted in full and chosen again before it is taken as it is.
const MOST_ROUNDS: usize = 8;
/// How often a choice is planned whole and made again in that room.
const MOST_ROOMS: usize = 4;
/// How finely it is known by how much all limits of sound must give, dB; a hair more is given, so that rounding spoils nothing.
const HAIR_DB: f64 = 1e-6;
/// A margin of the whole plan that is missed by less is a matter of rounding, dB.
const ROUNDING_DB: f64 = 0.02;
/// So much nearer a set must come to be taken instead, dB.
const NEARER_DB: f64 = 0.05;

/// What is chosen for.
pub(super) struct Room<'a> {
    /// As the file has it.
    pub(super) file: &'a Project,
    /// With its allowances and lined walls, as it is planned.
    pub(super) lined: &'a Project,
    pub(super) plan: &'a Plan,
    pub(super) memory: &'a Memory,
}

/// A choice that was planned whole.
pub(super) struct Found {
    pub(super) selection: Option<Vec<usize>>,
    pub(super) holds: bool,
    /// What every demand was asked to have to spare, dB.
    pub(super) spare_db: f64,
    /// Where nothing holds: by how much all demands must give, dB, and whether that is proved.
    pub(super) give_db: Option<f64>,
    pub(super) nearest_proved: bool,
    pub(super) certificate: Certificate,
    pub(super) verified: Option<Verified>,
}

/// One answer in the room as the field has it.
struct Answer {
    solved: Solved,
    /// Whether it keeps all that was asked.
    holds: bool,
    nearest_proved: bool,
}

/// Chooses; where nothing holds, what comes nearest.
pub(super) fn find(room: &Room<'_>, field: &mut Field, notes: &mut Vec<String>) -> Found {
    let spare_db = room.file.choosing.spare_db;
    let short_of = |field: &Field, selection: &[usize]| {
        field.problem.sum(selection).margin_db().map_or(0.0, |margin| (spare_db - margin).max(0.0))
    };
    // Of the sets planned whole the best in its own room.
    let mut best: Option<(f64, f64, Vec<usize>)> = None;
    let mut last: Option<Vec<usize>> = None;
    let mut asked_db = spare_db;
    let mut answer = answer(room, field, (spare_db, None));
    for _ in 0..MOST_ROOMS {
        let Some(choice) = &answer.solved.choice else { break };
        if last.as_ref() == Some(&choice.selection) {
            break;
        }
        let (selection, held) = (choice.selection.clone(), answer.holds);
        adopt(room, field, &selection);
        let (short_db, cost) = (short_of(field, &selection), field.problem.sum(&selection).cost);
        if best.as_ref().is_none_or(|(short, known, _)| {
            let (here, before) = (short_db.max(ROUNDING_DB), short.max(ROUNDING_DB));
            here < before - NEARER_DB || here < before + NEARER_DB && cost < *known
        }) {
            best = Some((short_db, cost, selection.clone()));
        }
        if held && short_db > ROUNDING_DB {
            // It held in the room before and does not in its own: so much more is asked.
            asked_db += short_db;
        }
        last = Some(selection);
        answer = self::answer(room, field, (asked_db, last.clone()));
    }
    let Some((_, cost, selection)) = best else {
        return Found {
            selection: None,
            holds: false,
            spare_db,
            give_db: None,
            nearest_proved: false,
            certificate: answer.solved.certificate,
            verified: None,
        };
    };
    if last.as_ref() != Some(&selection) {
        adopt(room, field, &selection);
    }
    if last.as_ref() != Some(&selection) || asked_db > spare_db || !is(&answer, &selection) {
        answer = self::answer(room, field, (spare_db, Some(selection.clone())));
    }
    let mut certificate = answer.solved.certificate.clone();
    if !is(&answer, &selection) {
        certificate.proved = false;
        certificate.bound = certificate.bound.min(cost);
        (certificate.value, certificate.gap) = (Some(cost), Some(cost - certificate.bound));
        notes.push(
            "In the room of the chosen set another would cost less or keep more, but it changes the room and then does not: the chosen one is the best of those planned whole."
                .to_owned(),
        );
    }
    let short_db = short_of(field, &selection);
    let holds = short_db <= ROUNDING_DB;
    let verified = verify(room, field, &selection);
    if let Some(off_db) = verified.as_ref().map(|verified| verified.off_db).filter(|off| *off > 0.1) {
        notes.push(format!(
            "Planned whole, a margin differs from the one chosen by by {}: trust the whole plan's.",
            with_unit(off_db, 1, "dB")
        ));
    }
    Found {
        holds,
        spare_db,
        give_db: (!holds).then_some(short_db),
        nearest_proved: holds || answer.nearest_proved,
        selection: Some(selection),
        certificate,
        verified,
    }
}

fn is(answer: &Answer, selection: &[usize]) -> bool {
    answer.solved.choice.as_ref().is_some_and(|choice| choice.selection == selection)
}

impl Found {
    /// Takes a set of the fronts that comes nearer, where there is one; whether there was.
    pub(super) fn is_beaten_by(&mut self, room: &Room<'_>, field: &mut Field, fronts: &[&Front]) -> bool {
        let nearest = fronts
            .iter()
            .flat_map(|front| &front.points)
            .max_by(|a, b| a.margin_db.total_cmp(&b.margin_db))
            .map(|point| point.choice.selection.clone());
        let Some(selection) = nearest else { return false };
        field.predict_in_full(room.lined, room.plan, &selection);
        let margin_db = |selection: &[usize]| field.problem.sum(selection).margin_db().unwrap_or(0.0);
        let here_db = self.selection.as_ref().map_or(f64::NEG_INFINITY, |own| margin_db(own));
        if margin_db(&selection) < here_db + NEARER_DB {
            return false;
        }
        adopt(room, field, &selection);
        let sum = field.problem.sum(&selection);
        self.give_db = sum.margin_db().map(|margin| (self.spare_db - margin).max(0.0));
        self.certificate.proved = false;
        self.certificate.bound = self.certificate.bound.min(sum.cost);
        (self.certificate.value, self.certificate.gap) =
            (Some(sum.cost), Some(sum.cost - self.certificate.bound));
        self.nearest_proved = false;
        self.verified = verify(room, field, &selection);
        self.selection = Some(selection);
        true
    }
}

/// The least costly set that holds, or the least costly of those that come nearest.
fn answer(room: &Room<'_>, field: &mut Field, (spare_db, near): (f64, Option<Vec<usize>>)) -> Answer {
    let mut solved = settle(room, field, (spare_db, near.clone()));
    let proved = solved.certificate.proved;
    if solved.choice.is_some() {
        return Answer { solved, holds: true, nearest_proved: true };
    }
    let mut given = false;
    for _ in 0..MOST_ROUNDS {
        let known: Vec<Vec<usize>> = near.iter().cloned().collect();
        let Some((db, choice)) = why_not_together(&field.problem, spare_db, &known) else { break };
        let begin = Some(choice.selection);
        solved = settle(room, field, (spare_db - db - HAIR_DB, begin));
        given = true;
        // Predicted in full it may need a little more.
        if solved.choice.is_some() {
            break;
        }
    }
    Answer { solved, holds: false, nearest_proved: proved && given }
}

/// Chooses, predicts what is chosen in full, and chooses again until every candidate of the choice is predicted in full. What is not
/// predicted in full has too narrow a spread at most: it is never passed over for it.
fn settle(room: &Room<'_>, field: &mut Field, (margin_db, mut near): (f64, Option<Vec<usize>>)) -> Solved {
    let mut rounds = 0;
    loop {
        let solved = solve(&field.problem, &Asked { margin_db, near, ..Asked::default() });
        rounds += 1;
        let Some(choice) = &solved.choice else { return solved };
        if !field.predict_in_full(room.lined, room.plan, &choice.selection) || rounds >= MOST_ROUNDS {
            return solved;
        }
        near = Some(choice.selection.clone());
    }
}

fn changed(room: &Room<'_>, field: &Field, selection: &[usize]) -> Project {
    let mut changed = room.file.clone();
    for (element, at) in selection.iter().enumerate() {
        if let (Some(choosable), Some((_, offer))) = (field.elements.get(element), field.offer(element, *at))
        {
            offer.proposal.change.put_into(&mut changed, choosable.slot);
        }
    }
    changed
}

/// Takes the room as it is with a selection.
pub(super) fn adopt(room: &Room<'_>, field: &mut Field, selection: &[usize]) {
    let changed = changed(room, field, selection);
    let Ok(whole) = super::plan_whole(&changed, room.memory) else { return };
    let allowed = faults::with_allowances(&changed);
    let lined = lined::with_linings(&allowed);
    field.adopt(room.lined, (&lined, &whole, selection), room.memory);
}

pub(super) fn verify(room: &Room<'_>, field: &Field, selection: &[usize]) -> Option<Verified> {
    let whole = super::plan_whole(&changed(room, field, selection), room.memory).ok()?;
    let own = field.problem.sum(selection).margins_db;
    let sure_percent = room.file.choosing.sure_percent;
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
            let margin_db = if (sure_percent - 90.0).abs() < 1e-6 {
                off_db = off_db.max((verdict.margin.lower_db - own_db).abs());
                verdict.margin.lower_db
            } else if verdict.confidence * 100.0 >= sure_percent {
                own_db.max(0.0)
            } else {
                own_db.min(verdict.margin.lower_db)
            };
            Some(MarginRow {
                receiver: way.receiver.clone(),
                source: way.source.clone(),
                criterion: way.criterion.clone(),
                margin_db,
            })
        })
        .collect();
    let failing = |plan: &Plan| -> Vec<String> {
        plan.findings
            .iter()
            .filter(|finding| finding.standing == Standing::Fails && finding.chapter != "sound")
            .map(|finding| finding.sentence.clone())
            .collect()
    };
    let before = failing(room.plan);
    let newly_failing = failing(&whole).into_iter().filter(|sentence| !before.contains(sentence)).collect();
    Some(Verified { margins, newly_failing, off_db })
}
