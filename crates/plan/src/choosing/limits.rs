//! What is shared among the elements and may not be exceeded.

use quantities::format::with_unit;

use crate::{
    assemble::verdicts::capital,
    choosing::{field::Choosable, proposal::Proposal, strength},
    outcome::Plan,
    project::Project,
};

/// What is over a limit by more than this is not even looked at to say what loosening it would bring (judgement).
const FAR_OVER: f64 = 1.3;
/// A part of a limit that is not told.
const ROUNDING: f64 = 0.005;

/// What the limit of money is called.
const MONEY: &str = "money";

/// Whether a whole plan finds a limit broken.
type Overloaded = fn(&Plan) -> bool;

/// A limit of the problem.
pub(super) struct Shared {
    pub(super) name: String,
    pub(super) unit: String,
    pub(super) most: f64,
    pub(super) of: fn(&Proposal) -> f64,
    /// Whether a whole plan finds it broken.
    overloaded: Option<Overloaded>,
    /// What is said of a candidate that is over it alone; none where the sum of all says enough.
    alone: Option<fn(f64, f64) -> String>,
}

impl Shared {
    /// What counts when one candidate is held against another: of a limit that is only ever loosened what is over it.
    pub(super) fn beyond(&self, proposal: &Proposal) -> f64 {
        let used = (self.of)(proposal);
        if self.alone.is_some() { (used - self.most).max(0.0) } else { used }
    }

    /// Whether a whole plan finds it broken where the estimate did not.
    pub(super) fn is_overloaded_in(&self, whole: &Plan) -> bool {
        self.overloaded.is_some_and(|overloaded| overloaded(whole))
    }

    /// Whether it is the limit of money.
    pub(super) fn is_of_cost(&self) -> bool {
        self.name == MONEY
    }

    /// Whether nobody would loosen it so far.
    fn is_far_over(&self, proposal: &Proposal) -> bool {
        self.alone.is_some() && (self.of)(proposal) > FAR_OVER * self.most
    }

    /// Why a candidate is out of the question while this limit stands.
    fn rules_out(&self, proposal: &Proposal) -> Option<String> {
        let used = (self.of)(proposal);
        self.alone.filter(|_| used > self.most + 1e-9).map(|words| words(used, self.most))
    }
}

/// All limits, and the place of the headroom among them.
pub(super) fn limits(
    project: &Project,
    plan: &Plan,
    (elements, in_money): (&[Choosable], bool),
    notes: &mut Vec<String>,
) -> (Vec<Shared>, Option<usize>) {
    let mut limits = Vec::new();
    let mut put = |name: &str, unit: &str, most: Option<f64>, of: fn(&Proposal) -> f64| {
        limits.extend(most.map(|most| Shared {
            name: name.to_owned(),
            unit: unit.to_owned(),
            most,
            of,
            overloaded: None,
            alone: None,
        }));
    };
    let today_mm = today_drop_mm(plan);
    let headroom = plan.heights.as_ref().and_then(|heights| Some(today_mm + heights.left_inside_mm?));
    put("headroom", "mm", headroom, |proposal| proposal.drop_mm);
    put("floor", "m²", project.choosing.floor_m2, |proposal| proposal.floor_m2);
    let money = project.limits.money.filter(|_| in_money);
    if project.limits.money.is_some() && !in_money {
        notes.push(
            "The limit of money is not in the choice: no board has a price. Write `price` in a [[stock.board]], or `board_price` in [choose]."
                .to_owned(),
        );
    }
    put(MONEY, &project.limits.currency, money, |proposal| proposal.cost);
    limits.extend(loads(project, plan, elements, notes));
    (limits, headroom.map(|_| 0))
}

/// What only the ceiling takes: a board too heavy to lift, more than joists or clips bear. What the file hangs is held to them too, but where
/// the plan itself finds that joists or clips bear it, that much is allowed: the plan looks closer than the estimate here.
fn loads(project: &Project, plan: &Plan, elements: &[Choosable], notes: &mut Vec<String>) -> Vec<Shared> {
    let joists = strength::joists_bear_kg_m2(project, &plan.survey);
    let clips = strength::clips_bear_kg_m2(project, plan.ceiling.layout.as_ref());
    if joists.is_none() {
        notes.push(
            "What the joists bear is not in the choice: it is not known, or they do not bear the roof alone."
                .to_owned(),
        );
    }
    let today = |of: fn(&Proposal) -> f64| {
        let each = elements.iter().filter_map(|element| element.proposals.first());
        each.map(|offer| of(&offer.proposal)).fold(0.0, f64::max)
    };
    let mut found = Vec::new();
    let mut put = |name: &str,
                   unit: &str,
                   (most, overloaded): (Option<f64>, Option<Overloaded>),
                   of: fn(&Proposal) -> f64,
                   alone: fn(f64, f64) -> String| {
        let Some(known) = most else { return };
        let now = today(of);
        let holds_today = overloaded.is_some_and(|overloaded| !overloaded(plan));
        let mut most = known;
        if now > known * (1.0 + ROUNDING) {
            let (now_words, known_words) = (with_unit(now, 0, unit), with_unit(known, 0, unit));
            notes.push(if holds_today {
                format!(
                    "{}: the plan finds that the {now_words} of the file hold, so that much is allowed; for another ceiling {known_words} would be reckoned.",
                    capital(name)
                )
            } else {
                format!(
                    "{}: the file has {now_words} where {known_words} are allowed. It is held to that as any other is: what the file has does not keep every limit.",
                    capital(name)
                )
            });
        }
        if holds_today {
            most = known.max(now);
        }
        found.push(Shared {
            name: name.to_owned(),
            unit: unit.to_owned(),
            most,
            of,
            overloaded,
            alone: Some(alone),
        });
    };
    put(
        "weight of a board to lift",
        "kg",
        (Some(project.limits.lift_kg), None),
        |one| one.lift_kg,
        |used, most| {
            let (heaviest, most) = (with_unit(used, 0, "kg"), with_unit(most, 0, "kg"));
            format!("its heaviest board of {heaviest} is over the {most} you will lift")
        },
    );
    put(
        "load on the joists",
        "kg/m²",
        (joists, Some(|plan| plan.fabric.joists.iter().any(|joist| joist.checked.fails()))),
        |one| one.hung_kg_m2,
        |_, most| format!("the joists bear no more than {}", with_unit(most, 0, "kg/m²")),
    );
    put(
        "load on the clips",
        "kg/m²",
        (clips, Some(|plan| plan.fabric.clip.as_ref().is_some_and(|clip| clip.checked.fails()))),
        |one| if one.on_clips { one.hung_kg_m2 - one.fibre_kg_m2 } else { 0.0 },
        |_, most| format!("the clips bear no more than {}", with_unit(most, 0, "kg/m²")),
    );
    found
}

/// Says of each candidate that is over a limit alone why it is out of the question.
pub(super) fn rule_out(elements: &mut [Choosable], limits: &[Shared]) {
    for offer in elements.iter_mut().flat_map(|element| element.proposals.iter_mut().skip(1)) {
        offer.left_out = limits.iter().find_map(|limit| limit.rules_out(&offer.proposal));
        offer.out = limits.iter().any(|limit| limit.is_far_over(&offer.proposal));
    }
}

/// How far the ceiling of the plan hangs below the lowest joist, mm.
fn today_drop_mm(plan: &Plan) -> f64 {
    plan.heights
        .as_ref()
        .map_or(0.0, |heights| heights.inside.iter().skip(1).map(|link| link.to_mm - link.from_mm).sum())
}
