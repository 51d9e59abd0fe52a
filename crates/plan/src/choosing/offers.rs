//! What each element could be built as: what the program proposes, and the person's own options.

use catalogue::{Seal, find};

use crate::{
    assemble::{
        ceiling::{hangs_on_clips, hung_boards},
        element::ClipPattern,
        material::solid,
    },
    choosing::{
        boards, ceiling,
        field::{Choosable, Offer},
        openings,
        prices::Prices,
        proposal::{Change, Proposal, SealChange, Slot},
        sounding::Soundings,
        walls,
    },
    outcome::Plan,
    project::{ElementId, Faces, OpeningId, Project, WallId},
};

/// Every element with what it could be, as it is first.
pub(super) fn offers(
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
    for (_, proposals) in &mut found {
        tell_apart(proposals);
    }
    let bare: Vec<String> = found
        .iter()
        .filter(|(slot, proposals)| {
            let stays = matches!(slot, Slot::Element(id) if left(*id));
            proposals.len() < 2 && !stays && matches!(slot, Slot::Element(_))
        })
        .map(|(slot, _)| slot.name(project))
        .collect();
    if !bare.is_empty() {
        notes.push(format!(
            "Nothing but what is there is proposed for {}: write an [[option]] for what you would build there.",
            bare.join(", ")
        ));
    }
    let mut all: Vec<Choosable> = Vec::with_capacity(found.len());
    for (slot, proposals) in found {
        let own = slot.name(project);
        // An air path may be called as an opening is.
        let taken = all.iter().filter(|other| other.name == own).count();
        all.push(Choosable {
            slot,
            name: if taken == 0 { own } else { format!("{own}, air path") },
            proposals: proposals
                .into_iter()
                .map(|proposal| Offer {
                    proposal,
                    soundings: Soundings::default(),
                    absorbs: [0.0; bands::BAND_COUNT],
                    left_out: None,
                    out: false,
                    kept: false,
                })
                .collect(),
        });
    }
    all
}

/// Gives no two proposals of an element one name: a choice is adopted by it.
fn tell_apart(proposals: &mut [Proposal]) {
    let mut taken: Vec<String> = Vec::with_capacity(proposals.len());
    for proposal in proposals {
        let own = proposal.name.clone();
        let mut number = 1;
        while taken.contains(&proposal.name) {
            number += 1;
            proposal.name = format!("{own} ({number})");
        }
        taken.push(proposal.name.clone());
    }
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
            // Of two options of one build-up the seal tells which is meant.
            let name = match &option.seal {
                Some(seal) => {
                    format!("{name}, {}", find::<Seal>(seal.as_str()).map_or(seal.as_str(), |seal| seal.name))
                }
                None => name,
            };
            let hung = hung_boards(&buildup.element);
            let is_ceiling = option.element == ElementId::Ceiling;
            let solids = hung.iter().map(|leaf| solid(leaf));
            let (mass, depth) = solids.fold((0.0, 0.0), |(mass, depth), solid| {
                (mass + solid.mass_kg_m2(), depth + solid.depth_m() * 1000.0)
            });
            let on_clips = is_ceiling && hangs_on_clips(&buildup.element);
            let fibre_kg_m2 = if is_ceiling { ceiling::fill_kg_m2(&buildup.element.layers) } else { 0.0 };
            let metal_kg_m2 = if on_clips { ceiling::METAL_KG_M2 } else { 0.0 };
            proposals.push(Proposal {
                cost: price,
                steps: option.steps,
                drop_mm: if is_ceiling {
                    depth + ceiling::own_cavity_mm(project, &buildup.element)
                } else {
                    0.0
                },
                hung_kg_m2: if is_ceiling { mass + fibre_kg_m2 + metal_kg_m2 } else { 0.0 },
                fibre_kg_m2,
                on_clips,
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
