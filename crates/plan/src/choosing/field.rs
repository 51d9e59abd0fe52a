//! Everything that is chosen from, from the project to the problem.

use bands::BAND_COUNT;
use choose::{Candidate, Demand, Element, Limit, Problem, undominated};
use quantities::format::with_unit;
use rayon::prelude::*;
use sound::draws::DRAWS;

use crate::{
    assemble::{
        air_path,
        element::ClipPattern,
        room_air, shell, timber,
        ways::{self, Way},
    },
    choosing::{
        boards, ceiling, openings,
        prices::Prices,
        proposal::{Change, Proposal, SealChange, Slot},
        sounding::{Care, Soundings, soundings},
        strength, walls,
    },
    memory::Memory,
    outcome::Plan,
    project::{ElementId, Faces, OpeningId, Project, WallId},
};

/// How far the rows of the bound are loosened to begin with, dB.
const LEAN_DB: f64 = 0.1;
/// After so many nodes a search gives up its proof.
const MOST_NODES: u64 = 30_000;
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
    pub(super) left_out: Option<String>,
    pub(super) kept: bool,
}

/// A limit of the problem.
pub(super) struct Shared {
    pub(super) name: String,
    pub(super) unit: String,
    pub(super) most: f64,
    pub(super) of: fn(&Proposal) -> f64,
}

/// Everything that is chosen from.
pub(super) struct Field {
    pub(super) elements: Vec<Choosable>,
    pub(super) ways: Vec<Way>,
    pub(super) limits: Vec<Shared>,
    /// Place of the headroom among the limits.
    pub(super) headroom: Option<usize>,
    pub(super) problem: Problem,
    /// For each element the proposal behind each candidate of the problem.
    pub(super) places: Vec<Vec<usize>>,
    /// Whether a candidate of the problem has been predicted in full.
    pub(super) full: Vec<Vec<bool>>,
    pub(super) clips: Option<ClipPattern>,
    pub(super) in_money: bool,
    pub(super) notes: Vec<String>,
}

impl Field {
    pub(super) fn new(project: &Project, plan: &Plan) -> Self {
        let prices = Prices::new(project);
        let clips = clip_pattern(plan);
        let (ways, missing) = ways_of(project, plan, clips);
        let mut notes = missing;
        let mut elements = offers(project, plan, clips, &prices, &mut notes);
        let (limits, headroom) = limits(project, plan, prices.in_money, &mut notes);
        leave_out(project, plan, &mut elements, &mut notes);
        elements
            .par_iter_mut()
            .flat_map(|element| {
                let slot = element.slot;
                element.proposals.par_iter_mut().map(move |offer| (slot, offer))
            })
            .for_each(|(slot, offer)| {
                match soundings(project, &plan.survey, clips, (slot, &offer.proposal), Care::ByFamily) {
                    Ok(found) => offer.soundings = found,
                    Err(sentence) => offer.left_out = offer.left_out.take().or(Some(sentence)),
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
            places: Vec::new(),
            full: Vec::new(),
            clips,
            in_money: prices.in_money,
            notes,
        };
        field.sift(project, plan);
        field.pose();
        field
    }

    /// Marks what no other beats, and, of the ceiling, what stays dry.
    fn sift(&mut self, project: &Project, plan: &Plan) {
        let ways = &self.ways;
        let widths_mm = timber::tributary_widths_mm(&plan.survey);
        let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
        let joist_fraction = match &project.joists {
            Some(joists) if mean_mm > 0.0 => joists.width_mm() / mean_mm,
            _ => 0.0,
        };
        let limits: Vec<fn(&Proposal) -> f64> = self.limits.iter().map(|limit| limit.of).collect();
        self.elements.par_iter_mut().for_each(|element| {
            let parts = element.proposals.iter().map(|offer| offer.soundings.count()).max().unwrap_or(0);
            let weights =
                element.proposals.first().map_or([0.0; BAND_COUNT], |offer| offer.soundings.weights(ways));
            let is_ceiling = element.slot == Slot::Element(ElementId::Ceiling);
            loop {
                let open: Vec<usize> = (0..element.proposals.len())
                    .filter(|at| element.proposals.get(*at).is_some_and(|offer| offer.left_out.is_none()))
                    .collect();
                let vectors: Vec<Vec<f64>> = open
                    .iter()
                    .filter_map(|at| element.proposals.get(*at))
                    .map(|offer| {
                        let mut numbers = vec![offer.proposal.cost];
                        numbers.extend(limits.iter().map(|of| of(&offer.proposal)));
                        numbers.extend(offer.soundings.ends(&weights, parts, BAND_STEP));
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
    fn pose(&mut self) {
        let drawn: Vec<Vec<(usize, Vec<f64>)>> = self
            .elements
            .iter()
            .map(|element| {
                let kept: Vec<usize> = (0..element.proposals.len())
                    .filter(|at| {
                        // What stands today is never lost sight of.
                        *at == 0 || element.proposals.get(*at).is_some_and(|offer| offer.kept)
                    })
                    .collect();
                kept.into_par_iter()
                    .filter_map(|at| {
                        let offer = element.proposals.get(at)?;
                        Some((at, offer.soundings.energy(&self.ways)))
                    })
                    .collect()
            })
            .collect();
        self.drop_quieter_ways(&drawn);
        let spans = self.row_spans();
        let kept_rows = |energy: &[f64]| -> Vec<f64> {
            spans
                .iter()
                .filter(|(kept, _, _)| *kept)
                .flat_map(|(_, from, to)| energy.get(from * DRAWS..to * DRAWS).unwrap_or(&[]).iter().copied())
                .collect()
        };
        for (element, drawn) in self.elements.iter().zip(drawn) {
            let drawn: Vec<(usize, Vec<f64>)> =
                drawn.into_iter().map(|(at, energy)| (at, kept_rows(&energy))).collect();
            let left = self.unbeaten(element, &drawn);
            let mut candidates = Vec::new();
            let mut places = Vec::new();
            for (_, (at, energy)) in drawn.into_iter().enumerate().filter(|(place, _)| left.contains(place)) {
                let Some(offer) = element.proposals.get(at) else { continue };
                candidates.push(Candidate {
                    name: offer.proposal.name.clone(),
                    cost: offer.proposal.cost,
                    steps: offer.proposal.steps,
                    uses: self.limits.iter().map(|limit| (limit.of)(&offer.proposal)).collect(),
                    energy,
                });
                places.push(at);
            }
            self.full.push(vec![false; candidates.len()]);
            self.places.push(places);
            self.problem.elements.push(Element { name: element.name.clone(), candidates, today: Some(0) });
        }
        let mut kept = spans.iter().map(|(kept, _, _)| *kept);
        self.ways.retain(|_| kept.next().unwrap_or(true));
        self.problem.demands = self
            .ways
            .iter()
            .map(|way| Demand {
                name: format!("{} at {}, {}", way.criterion, way.receiver, way.source),
                rows: way.rows.len(),
            })
            .collect();
        self.problem.limits =
            self.limits.iter().map(|limit| Limit { name: limit.name.clone(), most: limit.most }).collect();
    }

    /// Places among the drawn candidates of what no other beats in every draw at every receiver; what stands today stays.
    fn unbeaten(&self, element: &Choosable, drawn: &[(usize, Vec<f64>)]) -> Vec<usize> {
        let vectors: Vec<Vec<f64>> = drawn
            .iter()
            .filter_map(|(at, energy)| {
                let proposal = &element.proposals.get(*at)?.proposal;
                let mut numbers = vec![proposal.cost];
                numbers.extend(self.limits.iter().map(|limit| (limit.of)(proposal)));
                numbers.extend(energy.iter().map(|share| (share / ROW_STEP).ceil()));
                Some(numbers)
            })
            .collect();
        let mut left = undominated(&vectors);
        if left.first() != Some(&0) {
            left.insert(0, 0);
        }
        left
    }

    /// For each way whether it is kept, and its first row and the row after its last.
    fn row_spans(&self) -> Vec<(bool, usize, usize)> {
        let mut row = 0;
        self.ways
            .iter()
            .map(|way| {
                row += way.rows.len();
                (!way.rows.is_empty() && !way.idle, row - way.rows.len(), row)
            })
            .collect()
    }

    /// A sound that is quieter than another at the same receiver in every draw of every candidate asks nothing.
    fn drop_quieter_ways(&mut self, drawn: &[Vec<(usize, Vec<f64>)>]) {
        let spans = self.row_spans();
        for quiet in 0..self.ways.len() {
            let beaten = (0..self.ways.len()).any(|loud| {
                let (Some(a), Some(b)) = (self.ways.get(quiet), self.ways.get(loud)) else { return false };
                if quiet == loud || a.receiver != b.receiver || a.rows.len() != b.rows.len() || b.idle {
                    return false;
                }
                let (Some((_, from_a, to_a)), Some((_, from_b, to_b))) = (spans.get(quiet), spans.get(loud))
                else {
                    return false;
                };
                drawn.iter().flatten().all(|(_, energy)| {
                    let row = |from: usize, to: usize| energy.get(from * DRAWS..to * DRAWS).unwrap_or(&[]);
                    row(*from_a, *to_a).iter().zip(row(*from_b, *to_b)).all(|(a, b)| a <= b)
                })
            });
            if beaten && let Some(way) = self.ways.get_mut(quiet) {
                way.idle = true;
            }
        }
    }

    /// Predicts the candidates of a selection in full where they were not yet; whether any was new.
    pub(super) fn predict_in_full(&mut self, project: &Project, plan: &Plan, selection: &[usize]) -> bool {
        let wanted: Vec<(usize, usize)> = selection
            .iter()
            .enumerate()
            .map(|(element, at)| (element, *at))
            .filter(|(element, at)| self.full.get(*element).and_then(|full| full.get(*at)) == Some(&false))
            .collect();
        let energies: Vec<Option<Vec<f64>>> = wanted
            .par_iter()
            .map(|&(element, at)| {
                let choosable = self.elements.get(element)?;
                let offer = choosable.proposals.get(*self.places.get(element)?.get(at)?)?;
                let full = soundings(
                    project,
                    &plan.survey,
                    self.clips,
                    (choosable.slot, &offer.proposal),
                    Care::Full,
                )
                .ok()?;
                Some(full.energy(&self.ways))
            })
            .collect();
        let any = !wanted.is_empty();
        for ((element, at), energy) in wanted.into_iter().zip(energies) {
            if let Some(full) = self.full.get_mut(element).and_then(|full| full.get_mut(at)) {
                *full = true;
            }
            let candidate =
                self.problem.elements.get_mut(element).and_then(|element| element.candidates.get_mut(at));
            if let (Some(candidate), Some(energy)) = (candidate, energy) {
                candidate.energy = energy;
            }
        }
        any
    }

    /// The proposal behind a candidate of the problem.
    pub(super) fn offer(&self, element: usize, candidate: usize) -> Option<(usize, &Offer)> {
        let at = *self.places.get(element)?.get(candidate)?;
        Some((at, self.elements.get(element)?.proposals.get(at)?))
    }
}

fn ways_of(project: &Project, plan: &Plan, clips: Option<ClipPattern>) -> (Vec<Way>, Vec<String>) {
    let air_paths: Vec<_> = air_path::air_paths(project).into_iter().filter_map(Result::ok).collect();
    let memory = Memory::forgetful();
    let predicted = [
        shell::roof(project, &plan.survey, clips, plan.ceiling.bridged_clips, &memory),
        shell::walls_and_openings(project, &plan.survey, &memory),
    ];
    let shell = shell::shell(project, predicted, &air_paths, &memory);
    let heights = plan.heights.as_ref();
    let clear_m = room_air::clear_height_m(project, heights.map(|heights| heights.headroom_mm));
    let roof_top_m = heights.map_or(clear_m + 0.3, |heights| heights.roof_top_above_ground_mm / 1000.0);
    ways::ways(project, &plan.survey, &shell, plan.fabric.room.as_ref(), roof_top_m)
}

fn clip_pattern(plan: &Plan) -> Option<ClipPattern> {
    plan.ceiling.layout.as_ref().map(|layout| ClipPattern {
        per_m2: layout.clips.len() as f64 / layout.take_off.area_m2.max(0.1),
        bar_spacing_m: layout.take_off.area_m2.max(0.1) / layout.take_off.bar_length_m.max(0.1),
    })
}

/// Everything that can be chosen from, without what it is good for.
pub(super) fn offered(project: &Project, plan: &Plan) -> Vec<Choosable> {
    offers(project, plan, clip_pattern(plan), &Prices::new(project), &mut Vec::new())
}

fn offers(
    project: &Project,
    plan: &Plan,
    clips: Option<ClipPattern>,
    prices: &Prices<'_>,
    notes: &mut Vec<String>,
) -> Vec<Choosable> {
    let mut found: Vec<(Slot, Vec<Proposal>)> = Vec::new();
    let left = |id: ElementId| project.choosing.leave.contains(&id);
    let mut put = |slot: Slot, proposals: Vec<Proposal>| {
        let stays = matches!(slot, Slot::Element(id) if left(id));
        let most = if stays { 1 } else { proposals.len() };
        found.push((slot, proposals.into_iter().take(most).collect()));
    };
    if project.buildup_of(ElementId::Ceiling).is_some() {
        put(Slot::Element(ElementId::Ceiling), ceiling::proposals(project, &plan.survey, clips, prices));
    }
    for (index, wall) in project.walls.iter().enumerate() {
        let id = ElementId::Wall(WallId(index));
        let Some(buildup) = project.buildup_of(id) else { continue };
        let length_m = plan.survey.walls.get(index).map_or(1.0, |wall| wall.length_mm) / 1000.0;
        let openings_m2: f64 = project
            .openings
            .iter()
            .filter(|opening| opening.wall == WallId(index))
            .map(|opening| opening.width_mm * opening.height_mm * 1e-6)
            .sum();
        let area_m2 = (length_m * wall.height_mm / 1000.0 - openings_m2).max(0.0);
        let proposals = if wall.faces == Faces::Ground {
            vec![Proposal::as_it_is()]
        } else {
            walls::proposals(project, &buildup.element, (length_m, area_m2), prices)
        };
        put(Slot::Element(id), proposals);
    }
    for (index, opening) in project.openings.iter().enumerate() {
        let id = ElementId::Opening(OpeningId(index));
        if let Some(buildup) = project.buildup_of(id) {
            put(Slot::Element(id), openings::proposals(opening, &buildup.element, prices));
        }
    }
    for (index, vent) in project.vents.iter().enumerate() {
        put(Slot::Vent(index), openings::vents(vent, prices));
    }
    if !project.gaps.is_empty() {
        put(Slot::Gaps, openings::gaps(project, prices));
    }
    own_options(project, &mut found, notes);
    found
        .into_iter()
        .map(|(slot, proposals)| Choosable {
            slot,
            name: slot.name(project),
            proposals: proposals
                .into_iter()
                .map(|proposal| Offer {
                    proposal,
                    soundings: Soundings::default(),
                    left_out: None,
                    kept: false,
                })
                .collect(),
        })
        .collect()
}

/// The person's own options, each at the end of its element.
fn own_options(project: &Project, found: &mut [(Slot, Vec<Proposal>)], notes: &mut Vec<String>) {
    for option in &project.options {
        let slot = Slot::Element(option.element);
        let Some(buildup) = project.buildups.get(option.buildup.0) else { continue };
        let name = buildup.element.name.clone();
        let Some(price) = option.price else {
            notes.push(format!(
                "The option \"{name}\" for {} has no price and is left out: write `price` in its [[option]].",
                slot.name(project)
            ));
            continue;
        };
        if let Some((_, proposals)) = found.iter_mut().find(|(other, _)| *other == slot) {
            let hung = crate::assemble::ceiling::hung_boards(&buildup.element);
            let is_ceiling = option.element == ElementId::Ceiling;
            let solids = hung.iter().map(|leaf| crate::assemble::material::solid(leaf));
            let (mass, depth) = solids.fold((0.0, 0.0), |(mass, depth), solid| {
                (mass + solid.mass_kg_m2(), depth + solid.depth_m() * 1000.0)
            });
            proposals.push(Proposal {
                cost: price,
                steps: option.steps,
                drop_mm: if is_ceiling { depth + ceiling::own_cavity_mm(&buildup.element) } else { 0.0 },
                hung_kg_m2: if is_ceiling { mass } else { 0.0 },
                lift_kg: if is_ceiling { boards::heaviest_of_layers_kg(project, &hung) } else { 0.0 },
                ..Proposal::new(
                    name,
                    Change {
                        buildup: Some(buildup.element.clone()),
                        seal: option.seal.clone().map_or(SealChange::Stays, SealChange::Other),
                        ..Change::default()
                    },
                    vec!["build the option of your own"],
                )
            });
        }
    }
}

/// What only the ceiling takes is no shared limit: a board too heavy to lift, a ceiling heavier than joists or clips bear.
fn leave_out(project: &Project, plan: &Plan, elements: &mut [Choosable], notes: &mut Vec<String>) {
    let lift_kg = project.limits.lift_kg;
    let joists = strength::joists_bear_kg_m2(project, &plan.survey);
    let clips = strength::clips_bear_kg_m2(project, plan.ceiling.layout.as_ref());
    if joists.is_none() {
        notes.push(
            "What the joists bear is not in the choice: it is not known, or they do not bear the roof alone."
                .to_owned(),
        );
    }
    for offer in elements.iter_mut().flat_map(|element| element.proposals.iter_mut().skip(1)) {
        let one = &offer.proposal;
        let over = |most: Option<f64>| most.is_some_and(|most| one.hung_kg_m2 > most);
        offer.left_out = if one.lift_kg > lift_kg {
            let heaviest = with_unit(one.lift_kg, 0, "kg");
            Some(format!(
                "its heaviest board of {heaviest} is over the {} you will lift",
                with_unit(lift_kg, 0, "kg")
            ))
        } else if over(joists) {
            Some(format!("the joists bear no more than {}", with_unit(joists.unwrap_or(0.0), 0, "kg/m²")))
        } else if over(clips) {
            Some(format!("the clips bear no more than {}", with_unit(clips.unwrap_or(0.0), 0, "kg/m²")))
        } else {
            None
        };
    }
}

fn limits(
    project: &Project,
    plan: &Plan,
    in_money: bool,
    notes: &mut Vec<String>,
) -> (Vec<Shared>, Option<usize>) {
    let mut limits = Vec::new();
    let mut put = |name: &str, unit: &str, most: Option<f64>, of: fn(&Proposal) -> f64| {
        limits.extend(most.map(|most| Shared { name: name.to_owned(), unit: unit.to_owned(), most, of }));
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
    put("money", &project.limits.currency, money, |proposal| proposal.cost);
    (limits, headroom.map(|_| 0))
}

/// How far the ceiling of the plan hangs below the lowest joist, mm.
fn today_drop_mm(plan: &Plan) -> f64 {
    plan.heights
        .as_ref()
        .map_or(0.0, |heights| heights.inside.iter().skip(1).map(|link| link.to_mm - link.from_mm).sum())
}
