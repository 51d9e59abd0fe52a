//! Everything that is chosen from, from the project to the problem.

use bands::BAND_COUNT;
use choose::{Candidate, Demand, Element, Limit, Linears, Problem, undominated};
use quantities::format::with_unit;
use rayon::prelude::*;
use sound::draws::DRAWS;

use crate::{
    assemble::{
        air_path,
        ceiling::NO_CLIPS,
        element::ClipPattern,
        room_air, shell, timber,
        verdicts::capital,
        ways::{self, Way},
    },
    choosing::{
        limits::{Shared, limits, rule_out},
        offers::offers,
        predicting::{is_shared, sound, sound_again},
        prices::Prices,
        proposal::{Proposal, Slot},
        ringing::{Areas, Ringing, absorb},
        settling::Room,
        sounding::{Care, Known, Soundings, deciding_bands, energies, loudest_first, soundings},
        strength,
        watch::Work,
    },
    memory::{Memory, Recalling},
    outcome::Plan,
    project::{ElementId, Project},
};

/// How far the rows of the bound are loosened to begin with, dB.
const LEAN_DB: f64 = 0.2;
/// After so many nodes a search gives up its proof.
const MOST_NODES: u64 = 1_200_000;
/// Shares of what is allowed that are not told apart when candidates are held against each other: in one band, and in one draw of a whole
/// row. Over a dozen elements the second changes no margin by more than 0.15 dB; what is chosen is planned
/// whole all the same.
const BAND_STEP: f64 = 2e-3;
const ROW_STEP: f64 = 3e-3;

/// An element with what it could be.
pub(super) struct Choosable {
    pub(super) slot: Slot,
    pub(super) name: String,
    pub(super) proposals: Vec<Offer>,
}

/// A proposal and what became of it.
pub(super) struct Offer {
    pub(super) proposal: Proposal,
    pub(super) soundings: Soundings,
    /// What it adds to what the room absorbs as the file has it, m².
    pub(super) absorbs: Areas,
    /// Why it is out of the question as the limits stand.
    pub(super) left_out: Option<String>,
    /// Whether it is out of the question whatever the limits.
    pub(super) out: bool,
    pub(super) kept: bool,
}

/// Everything that is chosen from.
pub(super) struct Field {
    pub(super) elements: Vec<Choosable>,
    pub(super) ways: Vec<Way>,
    pub(super) limits: Vec<Shared>,
    /// Place of the headroom among the limits.
    pub(super) headroom: Option<usize>,
    pub(super) problem: Problem,
    /// What was worked out for questions to it.
    pub(super) kept: Linears,
    /// For each element the proposal behind each candidate of the problem.
    pub(super) places: Vec<Vec<usize>>,
    /// Whether a candidate of the problem has been predicted in full.
    pub(super) full: Vec<Vec<bool>>,
    clips: Option<ClipPattern>,
    /// For each sound at each receiver whether it asks anything.
    asking: Vec<bool>,
    pub(super) in_money: bool,
    pub(super) notes: Vec<String>,
    /// What whole plans found to be overloaded, a sentence each.
    pub(super) overloaded: Vec<String>,
}

/// By how much what a whole plan finds overloaded is put over its limit, as a part: enough to be told apart from rounding.
const JUST_OVER: f64 = 1e-3;
/// What a candidate costs that cannot be built, more than any room.
const NEVER: f64 = 1e9;

impl Field {
    pub(super) fn new(room: &Room<'_>) -> Self {
        let Room { lined: project, plan, memory, watch, .. } = *room;
        let prices = Prices::new(project);
        let clips = pattern(plan);
        let (mut ways, mut notes) = ways_of(project, plan, memory);
        let mut elements = offers(project, plan, clips, &prices, &mut notes);
        notes.extend(prices.beside_the_order(plan));
        let (limits, headroom) = limits(project, plan, (&elements, prices.in_money), &mut notes);
        rule_out(&mut elements, &limits);
        let asking = asking(&ways);
        retain(&mut ways, &asking);
        watch.timed(Work::Predicting, || {
            for element in &mut elements {
                sound(project, plan, (&ways, clips), element);
                absorb(project, plan, element);
            }
        });
        let mut field = Self {
            elements,
            ways,
            limits,
            headroom,
            problem: Problem {
                elements: Vec::new(),
                limits: Vec::new(),
                demands: Vec::new(),
                draws: DRAWS,
                may_fail: ((1.0 - project.choosing.sure_percent / 100.0) * DRAWS as f64 + 1e-9) as usize,
                lean_db: LEAN_DB,
                most_nodes: MOST_NODES,
            },
            kept: Linears::default(),
            places: Vec::new(),
            full: Vec::new(),
            clips,
            asking,
            in_money: prices.in_money,
            notes,
            overloaded: Vec::new(),
        };
        watch.timed(Work::Sifting, || {
            let standing: Vec<usize> = vec![0; field.elements.len()];
            field.order_draws(&standing);
            let ringing = field.ringing(plan, &standing);
            field.sift(project, plan, &ringing);
            field.pose(&ringing);
        });
        field
    }

    /// Has the draws that are loudest with a selection of proposals looked at first; what is drawn before is in another order.
    fn order_draws(&mut self, standing: &[usize]) {
        loudest_first(&selected(&self.elements, standing), &mut self.ways);
    }

    /// How the room of a plan rings with a selection of proposals, and what it allows that another rings less.
    fn ringing(&self, plan: &Plan, standing: &[usize]) -> Ringing {
        let bands = deciding_bands(&selected(&self.elements, standing), &self.ways, self.problem.may_fail);
        Ringing::new(&self.ways, plan.fabric.room.as_ref(), &bands)
    }

    /// Marks what no other beats, and, of the ceiling, what stays dry.
    fn sift(&mut self, project: &Project, plan: &Plan, ringing: &Ringing) {
        let ways = &self.ways;
        let widths_mm = timber::tributary_widths_mm(&plan.survey);
        let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
        let joist_fraction = match &project.joists {
            Some(joists) if mean_mm > 0.0 => joists.width_mm() / mean_mm,
            _ => 0.0,
        };
        let limits = &self.limits;
        self.elements.par_iter_mut().for_each(|element| {
            let parts = element.proposals.iter().map(|offer| offer.soundings.count()).max().unwrap_or(0);
            let weights =
                element.proposals.first().map_or([0.0; BAND_COUNT], |offer| offer.soundings.weights(ways));
            let is_ceiling = element.slot == Slot::Element(ElementId::Ceiling);
            loop {
                let open: Vec<usize> = (0..element.proposals.len())
                    .filter(|at| element.proposals.get(*at).is_some_and(|offer| !offer.out))
                    .collect();
                let vectors: Vec<Vec<f64>> = open
                    .iter()
                    .filter_map(|at| element.proposals.get(*at))
                    .map(|offer| {
                        let mut numbers = vec![offer.proposal.cost];
                        numbers.extend(limits.iter().map(|limit| limit.beyond(&offer.proposal)));
                        numbers.extend(offer.soundings.ends(&weights, parts, BAND_STEP));
                        numbers.extend(ringing.numbers(offer));
                        numbers
                    })
                    .collect();
                let kept: Vec<usize> =
                    undominated(&vectors).into_iter().filter_map(|at| open.get(at).copied()).collect();
                let wet: Vec<usize> = if is_ceiling {
                    kept.par_iter()
                        .filter(|at| **at != 0)
                        .filter(|at| {
                            element.proposals.get(**at).is_some_and(|offer| {
                                !offer.kept
                                    && strength::stays_dry(project, &offer.proposal, joist_fraction)
                                        == Some(false)
                            })
                        })
                        .copied()
                        .collect()
                } else {
                    Vec::new()
                };
                for at in &kept {
                    if let Some(offer) = element.proposals.get_mut(*at) {
                        offer.kept = true;
                    }
                }
                for at in &wet {
                    if let Some(offer) = element.proposals.get_mut(*at) {
                        offer.kept = false;
                        offer.out = true;
                        offer.left_out = Some("the roof would not stay dry with it".to_owned());
                    }
                }
                if wet.is_empty() {
                    break;
                }
                // What a wet one beat may be needed after all.
            }
        });
    }

    /// Draws the energies of what is kept, and poses the problem.
    fn pose(&mut self, ringing: &Ringing) {
        let standing = [0.0; BAND_COUNT];
        for (number, element) in self.elements.iter().enumerate() {
            // What stands today is never lost sight of.
            let kept: Vec<usize> = (0..element.proposals.len())
                .filter(|at| *at == 0 || element.proposals.get(*at).is_some_and(|offer| offer.kept))
                .collect();
            let offers: Vec<&Offer> = kept.iter().filter_map(|at| element.proposals.get(*at)).collect();
            let sounding: Vec<&Soundings> = offers.iter().map(|offer| &offer.soundings).collect();
            let drawn = energies(&sounding, &self.ways, number);
            let left = self.unbeaten(&offers, &drawn, ringing);
            let mut candidates = Vec::new();
            let mut places = Vec::new();
            for (place, ((at, offer), energy)) in kept.into_iter().zip(offers).zip(drawn).enumerate() {
                if !left.contains(&place) {
                    continue;
                }
                candidates.push(Candidate {
                    name: offer.proposal.name.clone(),
                    cost: offer.proposal.cost,
                    steps: offer.proposal.steps,
                    uses: self.limits.iter().map(|limit| (limit.of)(&offer.proposal)).collect(),
                    energy,
                    allows: ringing.allows(offer, &standing),
                });
                places.push(at);
            }
            self.full.push(vec![false; candidates.len()]);
            self.places.push(places);
            self.problem.elements.push(Element { name: element.name.clone(), candidates, today: Some(0) });
        }
        self.problem.demands = self
            .ways
            .iter()
            .map(|way| Demand {
                name: format!("{} at {}, {}", way.criterion, way.receiver, way.source),
                rows: way.rows.len(),
            })
            .collect();
        self.problem.limits = self
            .limits
            .iter()
            .map(|limit| Limit { name: limit.name.clone(), most: limit.most, of_cost: limit.is_of_cost() })
            .collect();
    }

    /// Places among the drawn candidates of what no other beats in every draw at every receiver; what stands today stays.
    fn unbeaten(&self, offers: &[&Offer], drawn: &[Vec<f64>], ringing: &Ringing) -> Vec<usize> {
        let vectors: Vec<Vec<f64>> = offers
            .par_iter()
            .zip(drawn)
            .map(|(offer, energy)| {
                let mut numbers = vec![offer.proposal.cost];
                numbers.extend(self.limits.iter().map(|limit| limit.beyond(&offer.proposal)));
                numbers.extend(ringing.numbers(offer));
                let steps: Vec<f64> = energy.iter().map(|share| (share / ROW_STEP).ceil()).collect();
                // What beats another in every draw does so in their sums: most are told apart by these.
                numbers.extend(steps.chunks(DRAWS).map(|row| row.iter().sum::<f64>()));
                numbers.extend(steps);
                numbers
            })
            .collect();
        let mut left = undominated(&vectors);
        if left.first() != Some(&0) {
            left.insert(0, 0);
        }
        left
    }

    /// Takes the room as the plan of a selection has it: what its surfaces absorb, which parts err together, and how the clips of its ceiling
    /// stand. Other ceilings keep the clips they were judged with.
    pub(super) fn adopt(
        &mut self,
        project: &Project,
        (changed, whole, selection): (&Project, &Plan, &[usize]),
        memory: &Memory,
    ) {
        let (mut ways, _) = ways_of(changed, whole, memory);
        retain(&mut ways, &self.asking);
        if ways.len() != self.ways.len() {
            return;
        }
        self.ways = ways;
        let standing: Vec<usize> = selection
            .iter()
            .zip(&self.places)
            .map(|(at, places)| places.get(*at).copied().unwrap_or(0))
            .collect();
        self.order_draws(&standing);
        let clips = pattern(whole).or(self.clips);
        self.clips = clips;
        for (number, element) in self.elements.iter_mut().enumerate() {
            let places = self.places.get(number).map_or(&[][..], Vec::as_slice);
            if element.slot == Slot::Element(ElementId::Ceiling)
                && let Some(at) = selection.get(number)
            {
                let here = *at..at + 1;
                let full = self.full.get(number).and_then(|full| full.get(here.clone())).unwrap_or(&[]);
                let places = places.get(here).unwrap_or(&[]);
                sound_again(project, whole, (&self.ways, clips), element, (places, full, memory));
            }
            let sounding: Vec<&Soundings> = places
                .iter()
                .filter_map(|at| element.proposals.get(*at))
                .map(|offer| &offer.soundings)
                .collect();
            let drawn = energies(&sounding, &self.ways, number);
            let candidates = self.problem.elements.get_mut(number).map(|element| &mut element.candidates);
            for (candidate, energy) in candidates.into_iter().flatten().zip(drawn) {
                candidate.energy = energy;
            }
        }
        self.kept = Linears::default();
        let ringing = self.ringing(whole, &standing);
        for (number, at) in standing.into_iter().enumerate() {
            let Some(element) = self.elements.get(number) else { continue };
            let own = element.proposals.get(at).map_or([0.0; BAND_COUNT], |offer| offer.absorbs);
            let places = self.places.get(number).into_iter().flatten();
            let candidates = self.problem.elements.get_mut(number).map(|element| &mut element.candidates);
            for (candidate, place) in candidates.into_iter().flatten().zip(places) {
                if let Some(offer) = element.proposals.get(*place) {
                    candidate.allows = ringing.allows(offer, &own);
                }
            }
        }
    }

    /// The margins of a selection, predicted in full, in the room of its own plan, dB; none where that room has other receivers to answer for.
    pub(super) fn in_own_room(
        &self,
        project: &Project,
        (changed, whole, selection): (&Project, &Plan, &[usize]),
        memory: &Memory,
    ) -> Option<Vec<f64>> {
        let (mut ways, _) = ways_of(changed, whole, memory);
        retain(&mut ways, &self.asking);
        if ways.len() != self.ways.len() {
            return None;
        }
        let clips = pattern(whole).or(self.clips);
        let elements: Vec<Element> = self
            .elements
            .par_iter()
            .enumerate()
            .map(|(number, element)| {
                let (_, offer) = self.offer(number, *selection.get(number)?)?;
                let is_ceiling = element.slot == Slot::Element(ElementId::Ceiling);
                let own = is_ceiling.then(|| {
                    let known = Known { shared: is_shared(&ways, element.slot), r_db: None };
                    let which = (element.slot, &offer.proposal);
                    soundings(project, &whole.survey, clips, which, (Care::Full(memory), known)).ok()
                });
                let sounding = own.flatten().unwrap_or_else(|| offer.soundings.clone());
                let energy = energies(&[&sounding], &ways, number).into_iter().next()?;
                let candidate = Candidate {
                    name: String::new(),
                    cost: 0.0,
                    steps: 0,
                    uses: Vec::new(),
                    energy,
                    allows: Vec::new(),
                };
                Some(Element { name: String::new(), candidates: vec![candidate], today: None })
            })
            .collect::<Option<_>>()?;
        let nothing_else = vec![0; elements.len()];
        let alone = Problem { elements, limits: Vec::new(), ..self.without_candidates() };
        Some(alone.sum(&nothing_else).margins_db)
    }

    fn without_candidates(&self) -> Problem {
        let of = &self.problem;
        Problem {
            elements: Vec::new(),
            limits: of.limits.clone(),
            demands: of.demands.clone(),
            draws: of.draws,
            may_fail: of.may_fail,
            lean_db: of.lean_db,
            most_nodes: of.most_nodes,
        }
    }

    /// Where the whole plan of a selection finds joists or clips overloaded, puts every candidate that hangs as much or more over that limit,
    /// but what the file has if its own plan holds. Whether there was such a limit.
    pub(super) fn exclude_overloads(&mut self, today: &Plan, whole: &Plan, selection: &[usize]) -> bool {
        let mut any = false;
        for (at, limit) in self.limits.iter().enumerate().filter(|(_, limit)| limit.is_overloaded_in(whole)) {
            let used = self.problem.sum(selection).uses.get(at).copied().unwrap_or(0.0);
            any = true;
            let holds_today = !limit.is_overloaded_in(today);
            let over = limit.most * (1.0 + JUST_OVER) + JUST_OVER;
            for element in &mut self.problem.elements {
                for candidate in element.candidates.iter_mut().skip(usize::from(holds_today)) {
                    if let Some(own) = candidate.uses.get_mut(at).filter(|own| **own > 0.0 && **own >= used) {
                        *own = own.max(over);
                    }
                }
            }
            self.overloaded.push(format!(
                "{}: a ceiling of {} was planned whole and found to be too heavy, so none as heavy is chosen.",
                capital(&limit.name),
                with_unit(used, 0, &limit.unit)
            ));
        }
        any
    }

    /// Takes the ceiling of a selection out of what may be chosen where its whole plan found no way of setting it out; whether it did.
    pub(super) fn exclude_unlaid(&mut self, whole: &Plan, selection: &[usize]) -> bool {
        let Some(why) = whole.ceiling.not_planned.as_ref().filter(|why| *why != NO_CLIPS) else {
            return false;
        };
        let ceiling = Slot::Element(ElementId::Ceiling);
        let Some(at) = self.elements.iter().position(|element| element.slot == ceiling) else { return false };
        // What the file has stays, whatever is wrong with it.
        let Some(&taken) = selection.get(at).filter(|taken| **taken > 0) else { return false };
        if let Some(candidate) =
            self.problem.elements.get_mut(at).and_then(|one| one.candidates.get_mut(taken))
        {
            candidate.cost = NEVER;
            for (own, limit) in candidate.uses.iter_mut().zip(&self.problem.limits) {
                *own = own.max(limit.most * (1.0 + JUST_OVER) + JUST_OVER);
            }
        }
        let name = self.offer(at, taken).map_or_else(String::new, |(_, offer)| offer.proposal.name.clone());
        self.overloaded.push(format!(
            "Ceiling, {name}: planned whole it could not be set out, so it is not chosen ({}).",
            why.trim_end_matches('.')
        ));
        true
    }

    /// Predicts the candidates of a selection in full where they were not yet; whether any was new.
    pub(super) fn predict_in_full(
        &mut self,
        project: &Project,
        plan: &Plan,
        selection: &[usize],
        memory: &Memory,
    ) -> bool {
        let wanted: Vec<(usize, usize)> = selection
            .iter()
            .enumerate()
            .map(|(element, at)| (element, *at))
            .filter(|(element, at)| self.full.get(*element).and_then(|full| full.get(*at)) == Some(&false))
            .collect();
        let found: Vec<Option<(Soundings, Vec<f64>)>> = wanted
            .par_iter()
            .map(|&(element, at)| {
                let choosable = self.elements.get(element)?;
                let offer = choosable.proposals.get(*self.places.get(element)?.get(at)?)?;
                let known = Known { shared: is_shared(&self.ways, choosable.slot), r_db: None };
                let which = (choosable.slot, &offer.proposal);
                let full =
                    soundings(project, &plan.survey, self.clips, which, (Care::Full(memory), known)).ok()?;
                let energy = energies(&[&full], &self.ways, element).into_iter().next()?;
                Some((full, energy))
            })
            .collect();
        let any = !wanted.is_empty();
        for (&(element, at), found) in wanted.iter().zip(found) {
            if let Some(full) = self.full.get_mut(element).and_then(|full| full.get_mut(at)) {
                *full = true;
            }
            let Some((full, energy)) = found else { continue };
            let place = self.places.get(element).and_then(|places| places.get(at)).copied();
            let offers = self.elements.get_mut(element).map(|element| &mut element.proposals);
            if let Some(offer) = offers.zip(place).and_then(|(offers, place)| offers.get_mut(place)) {
                offer.soundings = full;
            }
            let candidates = self.problem.elements.get_mut(element).map(|element| &mut element.candidates);
            if let Some(candidate) = candidates.and_then(|candidates| candidates.get_mut(at)) {
                candidate.energy = energy;
            }
        }
        if any {
            self.kept.changed(&self.problem, &wanted);
        }
        any
    }

    /// The proposal behind a candidate of the problem.
    pub(super) fn offer(&self, element: usize, candidate: usize) -> Option<(usize, &Offer)> {
        let at = *self.places.get(element)?.get(candidate)?;
        Some((at, self.elements.get(element)?.proposals.get(at)?))
    }
}

/// What a selection of proposals lets through.
fn selected<'e>(elements: &'e [Choosable], standing: &[usize]) -> Vec<&'e Soundings> {
    let each = elements.iter().zip(standing);
    each.filter_map(|(element, at)| element.proposals.get(*at).map(|offer| &offer.soundings)).collect()
}

/// The clips as they were set out.
pub(super) fn pattern(plan: &Plan) -> Option<ClipPattern> {
    let layout = plan.ceiling.layout.as_ref()?;
    Some(ClipPattern {
        per_m2: layout.clips.len() as f64 / layout.take_off.area_m2.max(0.1),
        bar_spacing_m: layout.take_off.area_m2.max(0.1) / layout.take_off.bar_length_m.max(0.1),
    })
}

/// Of each sound at each receiver whether it asks anything: not where it has no limit, or another is louder in every draw.
fn asking(ways: &[Way]) -> Vec<bool> {
    let mut asking: Vec<bool> = ways.iter().map(|way| !way.rows.is_empty()).collect();
    for quiet in 0..ways.len() {
        let drowned = ways.iter().enumerate().any(|(loud, way)| {
            loud != quiet
                && asking.get(loud) == Some(&true)
                && ways.get(quiet).is_some_and(|quiet| way.drowns(quiet))
        });
        if let (true, Some(slot)) = (drowned, asking.get_mut(quiet)) {
            *slot = false;
        }
    }
    asking
}

fn retain(ways: &mut Vec<Way>, asking: &[bool]) {
    let mut asking = asking.iter().copied();
    ways.retain(|_| asking.next().unwrap_or(true));
}

fn ways_of(project: &Project, plan: &Plan, memory: &Memory) -> (Vec<Way>, Vec<String>) {
    let memory = &Recalling::exact(memory);
    let air_paths: Vec<_> = air_path::air_paths(project).into_iter().filter_map(Result::ok).collect();
    let predicted = [
        shell::roof(project, &plan.survey, pattern(plan), plan.ceiling.bridged_clips, memory),
        shell::walls_and_openings(project, &plan.survey, memory),
    ];
    let shell = shell::shell(project, predicted, &air_paths, memory);
    let heights = plan.heights.as_ref();
    let clear_m = room_air::clear_height_m(project, heights.map(|heights| heights.headroom_mm));
    let roof_top_m = heights.map_or(clear_m + 0.3, |heights| heights.roof_top_above_ground_mm / 1000.0);
    ways::ways(project, &plan.survey, &shell, plan.fabric.room.as_ref(), roof_top_m)
}
