//! What ceiling the joists and clips bear, and whether it stays dry.

use fabric::timber::check_joist;
use rayon::prelude::*;
use setout::Layout;
use survey::Survey;

use crate::{
    assemble::{damp, joist_model::joist_check, timber},
    choosing::proposal::{Proposal, Slot},
    outcome::DeadLoad,
    project::{ElementId, Project},
};

/// The heaviest ceiling that is looked for, kg/m², and how finely.
const MOST_KG_M2: f64 = 200.0;
const STEP_KG_M2: f64 = 0.25;

/// The most that boards, bars and fibre together may weigh so that every joist holds, kg/m²; none where the joists are not known or do not
/// even hold the roof.
pub(super) fn joists_bear_kg_m2(project: &Project, survey: &Survey) -> Option<f64> {
    let count = survey.ceiling.as_ref()?.joists.len();
    project.joists.as_ref()?;
    let widths_mm = timber::tributary_widths_mm(survey);
    let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
    let run_m = crate::assemble::facts::longest_joist_m(survey);
    let mut dead: Vec<DeadLoad> = timber::dead_loads(project, None, mean_mm, run_m);
    let fibre = fibre_names(project);
    dead.retain(|load| !load.on_clips && !fibre.contains(&load.name));
    let holds = |mass_kg_m2: f64| {
        let mut loads = dead.clone();
        loads.push(DeadLoad { name: "ceiling".to_owned(), mass_kg_m2, on_clips: true });
        (0..count).into_par_iter().all(|index| {
            joist_check(project, survey, None, (&loads, index))
                .and_then(|check| check_joist(&check).ok())
                .is_none_or(|result| result.governing.utilisation <= 1.0)
        })
    };
    if !holds(0.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, MOST_KG_M2);
    while high - low > STEP_KG_M2 {
        let middle = f64::midpoint(low, high);
        if holds(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

fn fibre_names(project: &Project) -> Vec<String> {
    use crate::{assemble::material::fibre, project::Layer};
    let Some(buildup) = project.buildup_of(ElementId::Ceiling) else { return Vec::new() };
    let layers = buildup.element.layers.iter();
    layers
        .filter_map(|layer| if let Layer::Cavity(cavity) = layer { fibre(cavity) } else { None })
        .map(|fibre| fibre.name)
        .collect()
}

/// The most the clips bear as they were set out, kg/m²; none without a rated load or a layout.
pub(super) fn clips_bear_kg_m2(project: &Project, layout: Option<&Layout>) -> Option<f64> {
    let rated_kg = project.stock.clip.as_ref()?.rated_load_kg?;
    let layout = layout?;
    let worst_kg = layout.clips.iter().map(|clip| clip.load_kg).fold(0.0, f64::max);
    (worst_kg > 0.0).then(|| layout.take_off.mass_kg_m2 * rated_kg / worst_kg)
}

/// Whether the roof stays dry with a ceiling; none where damp is not checked.
pub(super) fn stays_dry(project: &Project, proposal: &Proposal, joist_fraction: f64) -> Option<bool> {
    let mut changed = project.clone();
    proposal.change.put_into(&mut changed, Slot::Element(ElementId::Ceiling));
    damp::ceiling_stays_dry(&changed, joist_fraction)
}
