//! What each proposal absorbs, and by how much that lets every row of sound reach higher: the room rings less with it.

use bands::{BAND_COUNT, Band};
use fabric::room::RoomResult;
use rayon::prelude::*;

use crate::{
    assemble::{
        heard, room_air,
        surfaces::{inner_absorption, surfaces, wall_run_m},
        ways::Way,
    },
    choosing::{
        field::{Choosable, Offer},
        proposal::{Proposal, Slot},
    },
    outcome::Plan,
    project::{ElementId, Project},
};

/// Parts of what is allowed that are not told apart when proposals are held against each other: 0.04 dB.
const STEP: f64 = 0.01;

/// Absorbing area by band, m², 25 Hz first.
pub(super) type Areas = [f64; BAND_COUNT];

/// What each proposal of an element adds to what the room absorbs as the file has it, the room otherwise as it is.
pub(super) fn absorb(project: &Project, plan: &Plan, element: &mut Choosable) {
    let Slot::Element(id) = element.slot else { return };
    let Some(today) = project.buildup_of(id).map(|buildup| inner_absorption(&buildup.element)) else {
        return;
    };
    let headroom_mm = plan.heights.as_ref().map(|heights| heights.headroom_mm);
    let height_m = room_air::clear_height_m(project, headroom_mm);
    let listed = surfaces(project, &plan.survey, height_m);
    // What a metre of the room's height absorbs.
    let mut round = [0.0; BAND_COUNT];
    for wall in 0..plan.survey.corners.len() {
        let id = ElementId::Wall(crate::project::WallId(wall));
        let Some(buildup) = project.buildup_of(id) else { continue };
        let run_m = wall_run_m(&plan.survey, wall);
        for (sum, own) in round.iter_mut().zip(inner_absorption(&buildup.element)) {
            *sum += run_m * own;
        }
    }
    let area_m2 = match id {
        ElementId::Ceiling => plan.survey.area_mm2 * 1e-6,
        ElementId::Wall(_) => {
            let named = format!("wall {}, ", project.element_name(id));
            listed.iter().find(|surface| surface.name.starts_with(&named)).map_or(0.0, |one| one.area_m2)
        }
        ElementId::Opening(_) => return,
    };
    let today_mm = element.proposals.first().map_or(0.0, |offer| offer.proposal.drop_mm);
    let more = |proposal: &Proposal| -> Option<Areas> {
        let own = proposal.change.buildup.as_ref().map(inner_absorption)?;
        let lower_m = match (id, headroom_mm) {
            (ElementId::Ceiling, Some(_)) => (proposal.drop_mm - today_mm) / 1000.0,
            _ => 0.0,
        };
        let mut areas = [0.0; BAND_COUNT];
        for band in Band::all() {
            let at = band.index();
            areas[at] = area_m2 * (own[at] - today[at]);
            if lower_m != 0.0 {
                areas[at] -= lower_m * round[at];
            }
        }
        Some(areas)
    };
    element.proposals.par_iter_mut().for_each(|offer| {
        offer.absorbs = more(&offer.proposal).unwrap_or([0.0; BAND_COUNT]);
    });
}

/// For each row of every way by which part it may reach higher for a square metre more that is absorbed in each band, round the room as it is.
pub(super) struct Ringing {
    rows: Vec<Areas>,
}

impl Ringing {
    /// `bands` are, for each row of the ways, the energies of its bands that decide; `room` is the room they are heard in.
    pub(super) fn new(ways: &[Way], room: Option<&RoomResult>, bands: &[Areas]) -> Self {
        let rings = ways.iter().flat_map(|way| std::iter::repeat_n(&way.rings, way.rows.len()));
        let rows = rings
            .zip(bands)
            .map(|(rings, energies)| {
                let mut row = [0.0; BAND_COUNT];
                let total: f64 = energies.iter().sum();
                let Some(room) = room.filter(|_| total > 0.0) else { return row };
                for band in Band::all().filter(|band| rings[band.index()]) {
                    let at = band.index();
                    row[at] = energies[at] / total / heard::absorption_m2(room, band);
                }
                row
            })
            .collect();
        Self { rows }
    }

    /// By which part a proposal lets each row reach higher than `standing`, the one that stands in that room.
    pub(super) fn allows(&self, offer: &Offer, standing: &Areas) -> Vec<f64> {
        let of = |row: &Areas| -> f64 {
            row.iter()
                .zip(&offer.absorbs)
                .zip(standing)
                .map(|((part, own), other)| part * (own - other))
                .sum()
        };
        self.rows.iter().map(of).collect()
    }

    /// The same against what the file has, as numbers by which one proposal beats another: less is better, in whole steps.
    pub(super) fn numbers(&self, offer: &Offer) -> impl Iterator<Item = f64> {
        let allows = self.allows(offer, &[0.0; BAND_COUNT]);
        let rings: Vec<bool> = self.rows.iter().map(|row| row.iter().any(|part| *part > 0.0)).collect();
        allows.into_iter().zip(rings).filter(|(_, rings)| *rings).map(|(allows, _)| -(allows / STEP).floor())
    }
}
