//! Loads of roof and ceiling on the joists, clips, bars and screws.

use fabric::{
    loads::{BarLoad, ClipLoad, FixingResult, ScrewLoad, check_bar, check_clip, check_screw},
    timber::{JoistCheck, JoistResult},
};
use geometry::Point;
use quantities::format::with_unit;
use rayon::prelude::*;
use setout::Layout;
use survey::Survey;

use crate::{
    assemble::{
        ceiling::hung_boards,
        joist_model::{deck_stiffness_nm2_m, joist_check, variable_loads},
        material::{fibre, solid},
    },
    memory::Recalling,
    outcome::DeadLoad,
    project::{CutKind, ElementId, Joists, Layer, Project, RoofKind},
};

/// Width of a firring piece, mm, and its density, kg/m³ (softwood; common practice).
const FIRRING: (f64, f64) = (47.0, 420.0);
/// Mass of bars and clips where nothing is set out yet, kg/m² (typical of bars at 600 mm, no source).
const PLAIN_METAL_KG_M2: f64 = 1.2;

/// The joists checked and the loads taken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Timber {
    /// Each joist.
    pub(crate) joists: Vec<JoistResult>,
    /// The one used most.
    pub(crate) governing: Option<usize>,
    /// Dead loads.
    pub(crate) dead: Vec<DeadLoad>,
    /// Loads that are not in the check, or that someone should confirm.
    pub(crate) loads_missing: Vec<String>,
    /// Timbers that are not checked, a sentence each.
    pub(crate) open: Vec<String>,
    /// What else could not be worked out.
    pub(crate) not_checked: Vec<String>,
}

/// Dead loads of the roof and the ceiling, from above to below.
pub(crate) fn dead_loads(
    project: &Project,
    layout: Option<&Layout>,
    spacing_mm: f64,
    run_m: f64,
) -> Vec<DeadLoad> {
    let mut dead = Vec::new();
    let Some(spec) = project.buildup_of(ElementId::Ceiling).map(|buildup| &buildup.element) else {
        return dead;
    };
    let hung = hung_boards(spec).len();
    let last_hung = spec.layers.len().saturating_sub(hung);
    for (index, layer) in spec.layers.iter().enumerate() {
        match layer {
            Layer::Leaf(leaf) => {
                let solid = solid(leaf);
                let on_clips = index >= last_hung && hung > 0;
                dead.push(DeadLoad { name: solid.name.clone(), mass_kg_m2: solid.mass_kg_m2(), on_clips });
            }
            Layer::Cavity(cavity) => {
                if let Some(fibre) = fibre(cavity) {
                    dead.push(DeadLoad {
                        name: fibre.name,
                        mass_kg_m2: fibre.density_kg_m3 * fibre.thickness_m,
                        on_clips: false,
                    });
                }
            }
        }
    }
    if let Some(roof) = &project.roof
        && spacing_mm > 0.0
    {
        let mean_mm = roof.firring_least_mm + roof.fall_mm_per_m * run_m / 2.0;
        if mean_mm > 0.0 {
            let (width_mm, density) = FIRRING;
            dead.push(DeadLoad {
                name: "firrings".to_owned(),
                mass_kg_m2: width_mm * mean_mm * 1e-6 * density / (spacing_mm / 1000.0),
                on_clips: false,
            });
        }
    }
    if hung > 0 {
        let boards: f64 = dead.iter().filter(|load| load.on_clips).map(|load| load.mass_kg_m2).sum();
        let metal = layout.map_or(PLAIN_METAL_KG_M2, |layout| (layout.take_off.mass_kg_m2 - boards).max(0.0));
        dead.push(DeadLoad { name: "bars".to_owned(), mass_kg_m2: metal, on_clips: true });
    }
    dead
}

/// Checks every joist with the point loads its clips really make.
pub(crate) fn timber(
    project: &Project,
    survey: &Survey,
    layout: Option<&Layout>,
    memory: &Recalling<'_>,
) -> Timber {
    let mut timber = Timber::default();
    let (Some(joists), Some(ceiling)) = (&project.joists, &survey.ceiling) else {
        timber.not_checked.push(
            "The joists are not checked: enter `joists` and each `[[joist]]` with its running dimensions."
                .to_owned(),
        );
        return timber;
    };
    let widths_mm = tributary_widths_mm(survey);
    let run_m =
        ceiling.joists.iter().map(|joist| joist.line.from.distance_mm(joist.line.to)).fold(0.0, f64::max)
            / 1000.0;
    let mean_mm = widths_mm.iter().sum::<f64>() / widths_mm.len().max(1) as f64;
    timber.dead = dead_loads(project, layout, mean_mm, run_m);
    match variable_loads(project) {
        Ok((_, missing)) => timber.loads_missing = missing,
        Err(sentence) => timber.loads_missing.push(sentence),
    }
    if timber.dead.is_empty() {
        timber.loads_missing.push(
            "What roof and ceiling weigh is not known: write the layers of the ceiling's build-up."
                .to_owned(),
        );
    }
    timber.not_checked.extend(timber.loads_missing.iter().cloned());
    let is_floor = project.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::Floor);
    if is_floor && deck_stiffness_nm2_m(project).is_none() {
        timber.open.push(
            "Vibration of the floor is not checked: write the boards that lie on the joists as layers of the build-up, outside the cavity between the joists."
                .to_owned(),
        );
    }
    let checked: Vec<Option<Result<JoistResult, String>>> = (0..ceiling.joists.len())
        .into_par_iter()
        .map(|index| {
            let check = joist_check(project, survey, layout, (&timber.dead, index))?;
            let off = support_off_the_joist(&check);
            Some(off.map_or_else(|| memory.checked(&check), Err))
        })
        .collect();
    for result in checked.into_iter().flatten() {
        match result {
            Ok(mut result) => {
                name_cuts(&mut result, joists);
                let name = &result.name;
                for opening in joists.openings.iter().filter(|opening| opening.cut.contains(name)) {
                    result.notes.push(format!(
                        "It is cut for {}: checked here as if it were whole, which its pieces bear more easily.",
                        opening.name
                    ));
                }
                timber.joists.push(result);
            }
            Err(sentence) => timber.open.push(sentence),
        }
    }
    timber.governing = (0..timber.joists.len()).max_by(|a, b| {
        timber.joists[*a].governing.utilisation.total_cmp(&timber.joists[*b].governing.utilisation)
    });
    timber
}

impl Timber {
    /// Utilisation of the worst joist; 0 without any.
    pub(crate) fn worst(&self) -> f64 {
        self.joists.iter().map(|joist| joist.governing.utilisation).fold(0.0, f64::max)
    }
}

/// What clips may hang on each joist, kg: what they hang on it now and what the check leaves to spare over the width it carries; of an
/// overloaded one the share that would use it fully if nothing but the clips loaded it, which is more than it bears.
pub(crate) fn allowed_kg(timber: &Timber, survey: &Survey, layout: &Layout) -> Vec<Option<f64>> {
    let Some(ceiling) = &survey.ceiling else { return Vec::new() };
    let widths_mm = tributary_widths_mm(survey);
    let each = ceiling.joists.iter().zip(widths_mm).enumerate().map(|(index, (joist, width_mm))| {
        let result = timber.joists.iter().find(|result| result.name == joist.name)?;
        let own = layout.joist_loads.iter().filter(|load| load.joist == index);
        let now_kg: f64 = own.map(|load| load.load_kg).sum();
        let used = result.governing.utilisation;
        if used > 1.0 {
            return Some(now_kg / used);
        }
        let area_m2 = width_mm * joist.line.from.distance_mm(joist.line.to) * 1e-6;
        Some(now_kg + result.to_spare.mass_kg_m2 * area_m2)
    });
    each.collect()
}

/// Calls each cut by its place as the person measured it: from the face of the wall the joist starts from.
fn name_cuts(result: &mut JoistResult, joists: &Joists) {
    let own = joists.each.iter().find(|own| own.name == result.name);
    for (cut, as_written) in result.cuts.iter_mut().zip(own.iter().flat_map(|own| &own.cuts)) {
        let what = match as_written.kind {
            CutKind::TopNotch => "notch in the top edge, deep",
            CutKind::BottomNotch => "notch in the bottom edge, deep",
            CutKind::Hole => "hole of",
        };
        cut.name = format!(
            "{what} {}, {} from the wall's face",
            with_unit(as_written.size_mm, 0, "mm"),
            with_unit(as_written.at_mm, 0, "mm")
        );
    }
}

/// A sentence where a support between the walls lies beyond the joist's end or on its bearing.
fn support_off_the_joist(check: &JoistCheck) -> Option<String> {
    let last_m = check.spans_m.last()?;
    (check.spans_m.len() > 1 && *last_m < LEAST_BAY_M).then(|| {
        let whole_m: f64 = check.spans_m.iter().sum();
        format!(
            "The joist {} is not checked: a support of it (`support_mm`) lies {} from its start, but it is only {} from bearing to bearing.",
            check.name,
            with_unit((whole_m - last_m) * 1000.0, 0, "mm"),
            with_unit(whole_m * 1000.0, 0, "mm")
        )
    })
}

/// Supports closer than this are one, m.
const LEAST_BAY_M: f64 = 0.1;

/// Width of roof each joist carries, mm: half way to its neighbours at mid-span, and to the wall at the ends.
pub(crate) fn tributary_widths_mm(survey: &Survey) -> Vec<f64> {
    let Some(ceiling) = &survey.ceiling else { return Vec::new() };
    let lines: Vec<(Point, Point)> =
        ceiling.joists.iter().map(|joist| (joist.line.from, joist.line.to)).collect();
    let Some((from, to)) = lines.first() else { return Vec::new() };
    let Some(along) = (*to - *from).unit() else { return vec![0.0; lines.len()] };
    let across = along.left();
    let place = |(from, to): &(Point, Point)| (*from + (*to - *from) * 0.5).dot(across);
    let corners: Vec<f64> = survey.corners.iter().map(|corner| corner.at.dot(across)).collect();
    let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
    let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let places: Vec<f64> = lines.iter().map(place).collect();
    places
        .iter()
        .map(|&here| {
            let below = places.iter().copied().filter(|&p| p < here - 1.0).fold(f64::NEG_INFINITY, f64::max);
            let above = places.iter().copied().filter(|&p| p > here + 1.0).fold(f64::INFINITY, f64::min);
            let left = if below.is_finite() { (here - below) / 2.0 } else { (here - low).max(0.0) };
            let right = if above.is_finite() { (above - here) / 2.0 } else { (high - here).max(0.0) };
            left + right
        })
        .collect()
}

/// Clip, bar and screws against the makers' figures.
pub(crate) fn fixings(
    project: &Project,
    layout: &Layout,
) -> (Option<FixingResult>, Option<FixingResult>, Vec<FixingResult>, Vec<String>) {
    let mut not_checked = Vec::new();
    let mut keep = |result: Result<FixingResult, fabric::FabricError>| match result {
        Ok(result) => Some(result),
        Err(error) => {
            not_checked.push(error.to_string());
            None
        }
    };
    let worst = layout.clips.iter().max_by(|a, b| a.load_kg.total_cmp(&b.load_kg));
    let clip = worst.and_then(|clip| {
        keep(check_clip(&ClipLoad {
            name: format!("clip {}", clip.number),
            area_m2: clip.area_m2,
            ceiling_kg_m2: if clip.area_m2 > 0.0 { clip.load_kg / clip.area_m2 } else { 0.0 },
            rated_kg: project.stock.clip.as_ref().and_then(|clip| clip.rated_load_kg),
        }))
    });
    let bar = widest_bar(layout).and_then(|(number, span_m, tributary_m)| {
        keep(check_bar(&BarLoad {
            name: format!("bar {number}"),
            span_m,
            tributary_m,
            ceiling_kg_m2: layout.take_off.mass_kg_m2,
            rated_kg_m: project.stock.bar.as_ref().and_then(|bar| bar.capacity_kg_m),
        }))
    });
    // The screws of every layer reach the bars, so each layer hangs on its own.
    let bar_gap_m = widest_bar(layout).map_or(0.0, |(_, _, tributary_m)| tributary_m);
    let rated_kg = project.stock.bar.as_ref().and_then(|bar| bar.screw_capacity_kg);
    let screws = layout
        .layers
        .iter()
        .filter_map(|layer| screw_of(layer, bar_gap_m * project.rules.screw_gap_mm / 1000.0, rated_kg))
        .filter_map(|screw| keep(check_screw(&screw)))
        .collect();
    (clip, bar, screws, not_checked)
}

/// The screw of a layer with the largest share: one in the middle of a board, between two bars and two screws, or one of a piece that has few for
/// its size.
fn screw_of(layer: &setout::Layer, field_m2: f64, rated_kg: Option<f64>) -> Option<ScrewLoad> {
    let area_m2: f64 = layer.pieces.iter().map(|piece| piece.area_m2).sum();
    let mass_kg: f64 = layer.pieces.iter().map(|piece| piece.mass_kg).sum();
    let few = layer
        .pieces
        .iter()
        .map(|piece| (piece.area_m2 / piece.screws.max(1) as f64, piece.name.as_str()))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let (share_m2, name) = if few.0 > field_m2 {
        (few.0, format!("screws of layer {}, piece {}", layer.number, few.1))
    } else {
        (field_m2, format!("screws of layer {}", layer.number))
    };
    (area_m2 > 0.0).then(|| ScrewLoad { name, area_m2: share_m2, layer_kg_m2: mass_kg / area_m2, rated_kg })
}

/// The bar that carries most per metre: its number, its longest clip gap and the width it carries, m.
fn widest_bar(layout: &Layout) -> Option<(usize, f64, f64)> {
    let frame = &layout.frame;
    let mut places: Vec<(usize, f64)> = layout
        .bars
        .iter()
        .map(|bar| {
            let middle = bar.from + (bar.to - bar.from) * 0.5;
            (bar.number, frame.frame_from_room(middle).y_mm)
        })
        .collect();
    places.sort_by(|a, b| a.1.total_cmp(&b.1));
    let edges: Vec<f64> = layout.outline.iter().map(|&corner| frame.frame_from_room(corner).y_mm).collect();
    let lowest = edges.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = edges.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut widest: Option<(usize, f64)> = None;
    for &(number, here) in &places {
        // Bars that lie in one line are one here; beyond the outermost the boards reach to the wall.
        let below = places.iter().map(|place| place.1).rfind(|y| *y < here - 1.0);
        let above = places.iter().map(|place| place.1).find(|y| *y > here + 1.0);
        let before = below.map_or((here - lowest).max(0.0), |y| (here - y) / 2.0);
        let after = above.map_or((highest - here).max(0.0), |y| (y - here) / 2.0);
        if widest.is_none_or(|(_, width)| before + after > width) {
            widest = Some((number, before + after));
        }
    }
    let (number, width_mm) = widest?;
    let bar = layout.bars.iter().position(|bar| bar.number == number)?;
    let mut along: Vec<f64> =
        layout.clips.iter().filter(|clip| clip.bar == bar).map(|clip| clip.along_mm).collect();
    along.sort_by(f64::total_cmp);
    let span_mm = along.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    Some((number, span_mm / 1000.0, width_mm / 1000.0))
}
