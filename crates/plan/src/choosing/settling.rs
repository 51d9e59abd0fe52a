//! The choice made, planned whole, and made again in the room as that plan has it, until it stays or a few rooms were tried.

use choose::{
    Asked, Certificate, Front, Objective, Solved, advice::why_not_together_with, question::MOST_NODES,
    solve_with,
};
use quantities::format::with_unit;

use crate::{
    choosing::{
        field::Field,
        fronts::{Fronts, fronts},
        outcome::Verified,
        watch::{Watch, Work},
        whole::{Wholes, verified},
    },
    memory::Memory,
    outcome::Plan,
    project::Project,
};

/// How often a choice is predicted in full and chosen again before it is taken as it is.
const MOST_ROUNDS: usize = 8;
/// How often a choice is planned whole and made again in that room.
const MOST_ROOMS: usize = 4;
/// How many sets that look better in the room of the best are planned whole beside it.
const MOST_CHALLENGES: usize = 6;
/// Where nothing holds, it is looked for each of at most so many receivers whether its limit can be kept all the same, with so many nodes each.
const MOST_KEPT: usize = 12;
const KEPT_NODES: u64 = 5_000;
/// How far it is settled what is chosen: nodes of each search, and rounds of choosing and predicting in full. A short one is for the least costly
/// set that keeps more: what it finds is planned whole, and what is proved of it is asked for itself.
const TO_THE_END: (u64, usize) = (MOST_NODES, MOST_ROUNDS);
const SHORT: (u64, usize) = (20_000, 4);
/// By so much more each further set is to keep in the room of the best while none was found that holds in its own, dB (judgement).
const MORE_EACH_DB: f64 = 0.25;
/// How finely it is known by how much all limits of sound must give, dB; a hair more is given, so that rounding spoils nothing.
const HAIR_DB: f64 = 1e-6;
/// The least costly sets that miss the limits by so much at most in the room of the best are planned whole too, dB: sets differ by some tenths
/// from room to room.
const NEAR_MISSES_DB: [f64; 3] = [0.03, 0.1, 0.3];
/// A margin of the whole plan that is missed by less is a matter of rounding, dB.
const ROUNDING_DB: f64 = 1e-6;
/// So much nearer a set must come to be taken instead, dB (judgement: nobody hears it).
const NEARER_DB: f64 = 0.1;
/// Costs that differ by less are the same, as a part.
const SAME_COST: f64 = 1e-9;
/// From so far on the whole plan's margin is told to differ, dB (judgement).
const OFF_DB: f64 = 0.1;

/// What is chosen for.
pub(super) struct Room<'a> {
    /// As the file has it.
    pub(super) file: &'a Project,
    /// With its allowances and lined walls, as it is planned.
    pub(super) lined: &'a Project,
    pub(super) plan: &'a Plan,
    pub(super) memory: &'a Memory,
    pub(super) watch: &'a Watch,
}

/// A choice that was planned whole.
pub(super) struct Found {
    pub(super) selection: Option<Vec<usize>>,
    pub(super) holds: bool,
    /// What every demand was asked to have to spare, dB.
    pub(super) spare_db: f64,
    /// Where nothing holds: by how much all demands must give, dB.
    pub(super) give_db: Option<f64>,
    /// Whether it is proved that nothing holds, where nothing was found; and that nothing comes nearer.
    pub(super) none_proved: bool,
    pub(super) nearest_proved: bool,
    pub(super) certificate: Certificate,
    pub(super) verified: Option<Verified>,
    pub(super) fronts: Fronts,
}

/// A set planned whole, in its own room.
#[derive(Clone)]
pub(super) struct Tried {
    pub(super) selection: Vec<usize>,
    pub(super) cost: f64,
    /// The smallest margin in its own room, dB.
    pub(super) margin_db: f64,
    /// All margins there, dB.
    margins_db: Vec<f64>,
    /// Whether its plan overloads joists or clips after all, or its ceiling cannot be set out.
    unfit: bool,
}

impl Tried {
    pub(super) fn is_unfit(&self) -> bool {
        self.unfit
    }

    fn short_db(&self, spare_db: f64) -> f64 {
        (spare_db - self.margin_db).max(0.0)
    }

    /// By how much each margin falls short, the worst first, dB.
    fn shorts_db(&self, spare_db: f64) -> Vec<f64> {
        let mut shorts: Vec<f64> =
            self.margins_db.iter().map(|margin| (spare_db - margin).max(0.0)).collect();
        shorts.sort_by(|a, b| b.total_cmp(a));
        shorts
    }

    fn holds(&self, spare_db: f64) -> bool {
        !self.unfit && self.short_db(spare_db) <= ROUNDING_DB
    }

    /// Whether it is to be taken rather than another: what holds before what does not, of those the cheaper, of the others the nearer: where the
    /// worst margins come out alike, by the next.
    fn is_better(&self, other: &Self, spare_db: f64) -> bool {
        let cheaper = self.cost < other.cost * (1.0 - SAME_COST);
        match (self.holds(spare_db), other.holds(spare_db)) {
            (true, true) => return cheaper,
            (holds, held) if holds != held => return holds,
            _ => {}
        }
        if self.unfit != other.unfit {
            return other.unfit;
        }
        let (here, there) = (self.shorts_db(spare_db), other.shorts_db(spare_db));
        let apart = here.iter().zip(&there).find(|(here, there)| (*here - *there).abs() > NEARER_DB);
        apart.map_or(cheaper, |(here, there)| here < there)
    }
}

/// One answer in the room as the field has it.
#[derive(Clone)]
struct Answer {
    solved: Solved,
    /// Whether it keeps all that was asked.
    holds: bool,
    none_proved: bool,
    nearest_proved: bool,
}

impl Answer {
    fn selection(&self) -> Option<&Vec<usize>> {
        self.solved.choice.as_ref().map(|choice| &choice.selection)
    }
}

/// What is known while a choice settles.
struct Settling<'a, 'r> {
    room: &'a Room<'r>,
    field: &'a mut Field,
    wholes: Wholes,
    tried: Vec<Tried>,
    /// The set in whose room the field is.
    current: Option<Vec<usize>>,
    /// The last answer, and what was asked in which room.
    last: Option<(Asking, Answer)>,
}

/// What every demand is to have to spare, dB, in whose room, and how many overloads were known.
type Asking = (f64, Option<Vec<usize>>, usize);

/// Chooses; where nothing holds, what comes nearest.
pub(super) fn find(room: &Room<'_>, field: &mut Field, notes: &mut Vec<String>) -> Found {
    let spare_db = room.file.choosing.spare_db;
    let mut settling =
        Settling { room, field, wholes: Wholes::default(), tried: Vec::new(), current: None, last: None };
    let first = settling.rooms(spare_db);
    let Some(mut best) = settling.best(spare_db) else {
        return nothing(&first, spare_db);
    };
    let (answer, fronts) = settling.challenged(&mut best, spare_db);
    let holds = best.holds(spare_db);
    let short_db = best.short_db(spare_db);
    // What keeps more may come a hair less near than what comes nearest.
    let best_is_nearest = answer.selection().is_some_and(|nearest| {
        let margin_db =
            |selection: &[usize]| settling.field.problem.sum(selection).margin_db().unwrap_or(f64::INFINITY);
        margin_db(&best.selection) >= margin_db(nearest) - NEARER_DB - HAIR_DB
    });
    let certificate = room.watch.timed(Work::Settling, || settling.certificate(&best, &answer, spare_db));
    if certificate.gap.is_some_and(|gap| gap > SAME_COST * best.cost) && certificate.proved {
        notes.push(
            "In the room of the chosen set another would cost less, but it changes the room and then keeps less: the chosen one is the best of those planned whole."
                .to_owned(),
        );
    }
    let Settling { field, mut wholes, tried, .. } = settling;
    let whole = wholes.of(room, field, &best.selection);
    let verified = whole.map(|whole| verified(room, field, (&best.selection, &whole.plan)));
    if let Some(off_db) = verified.as_ref().map(|verified| verified.off_db).filter(|off| *off > OFF_DB) {
        notes.push(format!(
            "Planned whole, a margin differs from the one chosen by by {}: trust the whole plan's.",
            with_unit(off_db, 1, "dB")
        ));
    }
    notes.append(&mut field.overloaded);
    Found {
        holds,
        spare_db,
        give_db: (!holds).then_some(short_db),
        none_proved: !holds && answer.none_proved,
        nearest_proved: holds || answer.nearest_proved && best_is_nearest,
        fronts: fronts.told(field, &tried, (&best, holds, certificate.gap.is_some_and(|gap| gap <= 0.0))),
        selection: Some(best.selection),
        certificate,
        verified,
    }
}

/// Nothing keeps the limits, however loud.
fn nothing(answer: &Answer, spare_db: f64) -> Found {
    Found {
        selection: None,
        holds: false,
        spare_db,
        give_db: None,
        none_proved: answer.none_proved,
        nearest_proved: false,
        // A bound on the cost of nothing is none.
        certificate: Certificate { value: None, bound: 0.0, gap: None, ..answer.solved.certificate.clone() },
        verified: None,
        fronts: Fronts::default(),
    }
}

impl Settling<'_, '_> {
    /// Chooses, plans the choice whole and chooses again in its room; the first answer.
    fn rooms(&mut self, spare_db: f64) -> Answer {
        let mut asked_db = spare_db;
        let watch = self.room.watch;
        let mut answer = watch.timed(Work::Optimum, || self.answer((asked_db, None)));
        for _ in 0..MOST_ROOMS {
            let Some(selection) = answer.selection().cloned() else { break };
            if self.is_tried(&selection) {
                break;
            }
            let held = answer.holds;
            let Some(tried) = self.try_whole(&selection) else { break };
            if held && !tried.unfit && tried.short_db(spare_db) > ROUNDING_DB {
                // It held in the room before and does not in its own: so much more is asked.
                asked_db += tried.short_db(spare_db);
            }
            self.adopt(&selection);
            answer = watch.timed(Work::Settling, || self.answer((asked_db, Some(selection))));
        }
        answer
    }

    /// Tries what looks better than the best in the best one's room, each in its own room. The answer and the fronts in the room of what is
    /// best in the end.
    fn challenged(&mut self, best: &mut Tried, spare_db: f64) -> (Answer, Fronts) {
        let mut left = MOST_CHALLENGES;
        let mut more_db = 0.0;
        loop {
            self.adopt(&best.selection);
            let watch = self.room.watch;
            let answer =
                watch.timed(Work::Settling, || self.answer((spare_db, Some(best.selection.clone()))));
            if left > 0
                && let Some(selection) = answer.selection().filter(|one| !self.is_tried(one)).cloned()
            {
                left -= 1;
                self.challenge(&selection, best, spare_db);
                continue;
            }
            if left > 0
                && !best.holds(spare_db)
                && let Some(selection) = watch.timed(Work::Settling, || self.keeping_more(best, spare_db))
                && !self.is_tried(&selection)
            {
                left -= 1;
                self.challenge(&selection, best, spare_db);
                continue;
            }
            let fronts = watch.timed(Work::Fronts, || fronts(self.field, best, best.holds(spare_db)));
            let standing = best.selection.clone();
            for slack_db in NEAR_MISSES_DB {
                if left == 0 || best.selection != standing || !best.holds(spare_db) {
                    break;
                }
                let asked = Asked {
                    margin_db: spare_db - slack_db,
                    near: Some(standing.clone()),
                    nodes: KEPT_NODES,
                    ..Asked::default()
                };
                let found =
                    watch.timed(Work::Settling, || solve_with(&self.field.problem, &asked, &self.field.kept));
                let cheaper = found.choice.filter(|one| {
                    one.sum.cost < best.cost * (1.0 - SAME_COST) && !self.is_tried(&one.selection)
                });
                if let Some(choice) = cheaper {
                    left -= 1;
                    self.challenge(&choice.selection, best, spare_db);
                }
            }
            while left > 0
                && best.selection == standing
                && let Some(selection) = self.better_of(&fronts, best, (spare_db, more_db))
            {
                left -= 1;
                self.challenge(&selection, best, spare_db);
                more_db += MORE_EACH_DB;
            }
            if best.selection == standing {
                return (answer, fronts);
            }
        }
    }

    fn challenge(&mut self, selection: &[usize], best: &mut Tried, spare_db: f64) {
        if let Some(tried) = self.try_whole(selection)
            && tried.is_better(best, spare_db)
        {
            *best = tried;
        }
    }

    /// A point of the fronts that was not tried yet and looks better in the room as it is: of those that hold the cheapest, else the nearest.
    fn better_of(
        &self,
        fronts: &Fronts,
        best: &Tried,
        (spare_db, more_db): (f64, f64),
    ) -> Option<Vec<usize>> {
        let more_db = if best.holds(spare_db) { 0.0 } else { more_db };
        let points = || {
            [&fronts.cost, &fronts.headroom]
                .into_iter()
                .flat_map(|front: &Front| &front.points)
                .filter(|point| !self.is_tried(&point.choice.selection))
        };
        let cheapest = points()
            .filter(|point| point.margin_db >= spare_db + more_db - ROUNDING_DB)
            .filter(|point| !best.holds(spare_db) || point.choice.sum.cost < best.cost * (1.0 - SAME_COST))
            .min_by(|a, b| a.choice.sum.cost.total_cmp(&b.choice.sum.cost));
        let nearest = points()
            .filter(|point| !best.holds(spare_db) && point.margin_db > best.margin_db + NEARER_DB)
            .max_by(|a, b| a.margin_db.total_cmp(&b.margin_db));
        cheapest.or(nearest).map(|point| point.choice.selection.clone())
    }

    fn is_tried(&self, selection: &[usize]) -> bool {
        self.tried.iter().any(|tried| tried.selection == selection)
    }

    fn best(&self, spare_db: f64) -> Option<Tried> {
        self.tried.iter().fold(None, |best: Option<Tried>, one| match best {
            Some(best) if !one.is_better(&best, spare_db) => Some(best),
            _ => Some(one.clone()),
        })
    }

    /// Plans a set whole and judges it in its own room; none where that room cannot be planned.
    fn try_whole(&mut self, selection: &[usize]) -> Option<Tried> {
        let Room { lined, plan, memory, watch, .. } = *self.room;
        watch.timed(Work::Spreads, || self.field.predict_in_full(lined, plan, selection, memory));
        let whole = self.wholes.of(self.room, self.field, selection)?;
        let taken = (&whole.lined, &whole.plan, selection);
        let own = watch.timed(Work::Rooms, || self.field.in_own_room(lined, taken, memory));
        let sum = self.field.problem.sum(selection);
        let overloads = self.field.exclude_overloads(self.room.plan, &whole.plan, selection);
        let unlaid = self.field.exclude_unlaid(&whole.plan, selection);
        let margins_db = own.unwrap_or(sum.margins_db);
        let tried = Tried {
            selection: selection.to_vec(),
            cost: sum.cost,
            margin_db: margins_db.iter().copied().reduce(f64::min).unwrap_or(f64::INFINITY),
            margins_db,
            unfit: overloads || unlaid,
        };
        self.tried.push(tried.clone());
        Some(tried)
    }

    /// Takes the room as it is with a selection.
    fn adopt(&mut self, selection: &[usize]) {
        if self.current.as_deref() == Some(selection) {
            return;
        }
        let Some(whole) = self.wholes.of(self.room, self.field, selection) else { return };
        let taken = (&whole.lined, &whole.plan, selection);
        let Room { lined, memory, watch, .. } = *self.room;
        watch.timed(Work::Rooms, || self.field.adopt(lined, taken, memory));
        self.current = Some(selection.to_vec());
    }

    /// What is proved of the best set in its own room: that none costs less and keeps as much. `answer` is the one in that room.
    fn certificate(&mut self, best: &Tried, answer: &Answer, spare_db: f64) -> Certificate {
        // The answer was to this very question if it holds, or if it is the nearest set itself.
        let same = answer.holds && best.holds(spare_db) || answer.selection() == Some(&best.selection);
        let mut certificate = if same {
            answer.solved.certificate.clone()
        } else {
            // Of those that come as near and keep what this one keeps.
            let give_db = self.field.problem.sum(&best.selection).margins_db;
            let give_db = give_db.iter().map(|own_db| (spare_db - own_db).max(0.0) + HAIR_DB).collect();
            self.settle((spare_db, give_db), Some(best.selection.clone()), TO_THE_END).certificate
        };
        let bound = if certificate.value.is_some() { certificate.bound.max(0.0) } else { 0.0 };
        certificate.bound = bound.min(best.cost);
        if certificate.proved && certificate.bound > best.cost * (1.0 - SAME_COST) - SAME_COST {
            // But for the steps of work, which count a hair.
            certificate.bound = best.cost;
        }
        (certificate.value, certificate.gap) = (Some(best.cost), Some(best.cost - certificate.bound));
        certificate
    }

    /// The least costly set that holds, or the least costly of those that come nearest.
    fn answer(&mut self, (spare_db, near): (f64, Option<Vec<usize>>)) -> Answer {
        let asking = (spare_db, self.current.clone(), self.field.overloaded.len());
        if let Some((_, answer)) = self.last.as_ref().filter(|(asked, _)| *asked == asking) {
            return answer.clone();
        }
        let answer = self.asked(spare_db, near.as_ref());
        self.last = Some((asking, answer.clone()));
        answer
    }

    fn asked(&mut self, spare_db: f64, near: Option<&Vec<usize>>) -> Answer {
        let mut solved = self.settle((spare_db, Vec::new()), near.cloned(), TO_THE_END);
        let none_proved = solved.certificate.proved;
        if solved.choice.is_some() {
            return Answer { solved, holds: true, none_proved: false, nearest_proved: true };
        }
        let mut nearest_proved = false;
        for _ in 0..MOST_ROUNDS {
            let known: Vec<Vec<usize>> = near.into_iter().cloned().collect();
            let kept = (known.as_slice(), &self.field.kept);
            let Some(nearest) = why_not_together_with(&self.field.problem, spare_db, kept) else { break };
            nearest_proved = none_proved && nearest.proved;
            let margin_db = spare_db - nearest.by_db - HAIR_DB;
            solved = self.settle((margin_db, Vec::new()), Some(nearest.choice.selection), TO_THE_END);
            // Predicted in full it may need a little more.
            if solved.choice.is_some() {
                break;
            }
        }
        Answer { solved, holds: false, none_proved, nearest_proved }
    }

    /// Where the best set does not hold: the least costly in its room that comes as near, but for a hair that nobody hears, keeps what it keeps and
    /// one receiver's limit more at least; none where none is found.
    fn keeping_more(&mut self, best: &Tried, spare_db: f64) -> Option<Vec<usize>> {
        let problem = &self.field.problem;
        let short_db: Vec<f64> =
            problem.sum(&best.selection).margins_db.iter().map(|own| (spare_db - own).max(0.0)).collect();
        let worst_db = short_db.iter().copied().fold(0.0, f64::max);
        if !(2..=MOST_KEPT).contains(&short_db.len()) || worst_db <= NEARER_DB {
            return None;
        }
        let mut give_db: Vec<f64> = short_db
            .iter()
            .map(|short| if *short > ROUNDING_DB { worst_db + NEARER_DB } else { HAIR_DB })
            .collect();
        let mut near = best.selection.clone();
        let mut more = false;
        for (at, short) in short_db.iter().enumerate() {
            if *short <= NEARER_DB || worst_db - short <= NEARER_DB {
                continue;
            }
            let mut kept = give_db.clone();
            if let Some(own) = kept.get_mut(at) {
                *own = 0.0;
            }
            let asked = Asked {
                objective: Objective::Any,
                margin_db: spare_db,
                give_db: kept.clone(),
                near: Some(near.clone()),
                nodes: KEPT_NODES,
                ..Asked::default()
            };
            if let Some(choice) = solve_with(problem, &asked, &self.field.kept).choice {
                (give_db, near, more) = (kept, choice.selection, true);
            }
        }
        if !more {
            return None;
        }
        self.settle((spare_db, give_db), Some(near), SHORT).choice.map(|choice| choice.selection)
    }

    /// Chooses, predicts what is chosen in full, and chooses again until every candidate of the choice is predicted in full. What is not
    /// predicted in full has too narrow a spread at most: it is never passed over for it.
    fn settle(
        &mut self,
        (margin_db, give_db): (f64, Vec<f64>),
        mut near: Option<Vec<usize>>,
        (nodes, most_rounds): (u64, usize),
    ) -> Solved {
        let mut rounds = 0;
        loop {
            let asked = Asked { margin_db, give_db: give_db.clone(), near, nodes, ..Asked::default() };
            let solved = solve_with(&self.field.problem, &asked, &self.field.kept);
            rounds += 1;
            let Some(choice) = &solved.choice else { return solved };
            let Room { lined, plan, memory, watch, .. } = *self.room;
            let new = watch
                .timed(Work::Spreads, || self.field.predict_in_full(lined, plan, &choice.selection, memory));
            if !new || rounds >= most_rounds {
                return solved;
            }
            near = Some(choice.selection.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_holds_is_taken_before_what_is_cheaper_or_only_near() {
        let tried = |cost: f64, margin_db: f64, unfit: bool| Tried {
            selection: Vec::new(),
            cost,
            margin_db,
            margins_db: vec![margin_db],
            unfit,
        };
        let holds = tried(1400.0, 0.0, false);
        for worse in [tried(1300.0, -0.027, false), tried(1500.0, 3.0, false), tried(900.0, 2.0, true)] {
            assert!(holds.is_better(&worse, 0.0) && !worse.is_better(&holds, 0.0), "{}", worse.cost);
        }
        let (near, far) = (tried(1300.0, -0.03, false), tried(1200.0, -0.5, false));
        assert!(near.is_better(&far, 0.0) && !far.is_better(&near, 0.0));
        // Of two whose worst receivers come out alike, the one that keeps the others.
        let both = |cost: f64, margins_db: [f64; 2]| Tried {
            margins_db: margins_db.to_vec(),
            ..tried(cost, -5.2, false)
        };
        let (keeps, breaks) = (both(1400.0, [-5.2, 2.8]), both(1300.0, [-5.12, -2.4]));
        assert!(keeps.is_better(&breaks, 0.0) && !breaks.is_better(&keeps, 0.0));
    }
}
