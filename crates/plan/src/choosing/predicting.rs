//! Every way of building an element, predicted.

use rayon::prelude::*;

use crate::{
    assemble::{element::ClipPattern, ways::Way},
    choosing::{
        field::{Choosable, Offer},
        proposal::Slot,
        sounding::{Care, Known, Soundings, soundings},
    },
    memory::Memory,
    outcome::Plan,
    project::{ElementId, Project},
};

/// Whether sound goes round an element into a room next door.
pub(super) fn is_shared(ways: &[Way], slot: Slot) -> bool {
    ways.iter().any(|way| way.flanking.is_some_and(|flanking| slot == Slot::Element(flanking.shared)))
}

/// Predicts everything an element could be; what only differs in its seals once.
pub(super) fn sound(
    project: &Project,
    plan: &Plan,
    (ways, clips): (&[Way], Option<ClipPattern>),
    element: &mut Choosable,
) {
    let (slot, shared) = (element.slot, is_shared(ways, element.slot));
    let of = |offer: &Offer, r_db| {
        let which = (slot, &offer.proposal);
        soundings(project, &plan.survey, clips, which, (Care::ByFamily, Known { shared, r_db }))
    };
    let build = |at: usize| element.proposals.get(at).map(|offer| &offer.proposal.change.buildup);
    let alike: Vec<usize> = (0..element.proposals.len())
        .map(|at| match slot {
            Slot::Element(ElementId::Opening(_)) => {
                (0..at).find(|other| build(*other) == build(at)).unwrap_or(at)
            }
            _ => at,
        })
        .collect();
    let first: Vec<Option<Result<Soundings, String>>> = element
        .proposals
        .par_iter()
        .enumerate()
        .map(|(at, offer)| (alike.get(at) == Some(&at) && !offer.out).then(|| of(offer, None)))
        .collect();
    let known = |at: usize| first.get(at)?.as_ref()?.as_ref().ok()?.r_db();
    let found: Vec<Option<Result<Soundings, String>>> = element
        .proposals
        .par_iter()
        .zip(&alike)
        .enumerate()
        .map(|(at, (offer, other))| {
            if *other == at || offer.out {
                first.get(at).cloned().flatten()
            } else {
                Some(of(offer, known(*other)))
            }
        })
        .collect();
    for (offer, found) in element.proposals.iter_mut().zip(found) {
        match found {
            Some(Ok(found)) => offer.soundings = found,
            Some(Err(sentence)) => (offer.left_out, offer.out) = (Some(sentence), true),
            None => {}
        }
    }
}

/// Predicts the candidates of the ceiling again under other clips, with the care they had.
pub(super) fn sound_again(
    project: &Project,
    plan: &Plan,
    (ways, clips): (&[Way], Option<ClipPattern>),
    element: &mut Choosable,
    (places, full, memory): (&[usize], &[bool], &Memory),
) {
    let (slot, shared) = (element.slot, is_shared(ways, element.slot));
    let found: Vec<Option<Soundings>> = places
        .par_iter()
        .zip(full)
        .map(|(at, full)| {
            let which = (slot, &element.proposals.get(*at)?.proposal);
            let care = if *full { Care::Full(memory) } else { Care::ByFamily };
            soundings(project, &plan.survey, clips, which, (care, Known { shared, r_db: None })).ok()
        })
        .collect();
    for (at, found) in places.iter().zip(found) {
        if let (Some(offer), Some(found)) = (element.proposals.get_mut(*at), found) {
            offer.soundings = found;
        }
    }
}
