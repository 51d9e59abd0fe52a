//! What a wall could be: as it is, plastered, with a lining of its own frame, or with one on clips.

use catalogue::{Bar, Clip, Fill, find};

use crate::{
    assemble::element::ClipPattern,
    choosing::{
        boards::{Stack, stacks},
        ceiling::{bridge, cavity, set_fibre},
        prices::{Cost, Prices},
        proposal::{Change, Proposal},
    },
    project::{BridgeKind, ElementSpec, Layer, LeafKind, Project},
};

/// Boards that a lining is commonly made of, entries of the catalogue.
const BOARDS: [&str; 5] =
    ["plasterboard-12.5", "plasterboard-15", "dense-plasterboard-15", "gypsum-fibreboard-12.5", "osb-18"];
/// Clear depths behind a lining on its own frame, mm.
const FRAME_DEPTHS_MM: [f64; 4] = [60.0, 85.0, 110.0, 145.0];
/// Clips on a wall, entries of the catalogue.
const CLIPS: [&str; 2] = ["resilient-clip-low", "resilient-clip"];
/// The fibre behind a lining, and the least air left before it, mm.
const FIBRE: &str = "mineral-wool-33kg";
const AIR_MM: f64 = 10.0;
/// Clips on a wall, and distance of their bars.
const PATTERN: ClipPattern = ClipPattern { per_m2: 2.2, bar_spacing_m: 0.6 };
/// Thickness of a coat of plaster, mm.
const PLASTER_MM: f64 = 13.0;

/// Everything a wall could be, as it is first. `length_m` is its length, `area_m2` its face without openings.
pub(super) fn proposals(
    project: &Project,
    spec: &ElementSpec,
    (length_m, area_m2): (f64, f64),
    prices: &Prices<'_>,
) -> Vec<Proposal> {
    let mut all = vec![Proposal::as_it_is()];
    let Some(Layer::Leaf(inner)) = spec.layers.last() else { return all };
    if inner.kind != LeafKind::Masonry || spec.measured.is_some() {
        // A wall that is lined already, or framed, is left to the person's own options.
        return all;
    }
    if inner.plaster_inside_mm <= 0.0 {
        let mut plastered = spec.clone();
        if let Some(Layer::Leaf(leaf)) = plastered.layers.last_mut() {
            leaf.plaster_inside_mm = PLASTER_MM;
        }
        let cost = prices.plaster_m2().times(area_m2);
        all.push(Proposal {
            cost: cost.amount,
            guessed: cost.guessed,
            floor_m2: length_m * PLASTER_MM / 1000.0,
            ..Proposal::new(
                format!("plastered {PLASTER_MM:.0} mm"),
                Change { buildup: Some(plastered), ..Change::default() },
                vec!["plaster the wall"],
            )
        });
    }
    let fibre_kg_m3 = find::<Fill>(FIBRE).map_or(33.0, |fill| fill.density_kg_m3);
    for stack in stacks(&BOARDS, 2) {
        for depth_mm in FRAME_DEPTHS_MM {
            let carried = prices.frame_m2() + prices.fibre_m2(depth_mm - AIR_MM, fibre_kg_m3);
            let how = format!("on its own frame {depth_mm:.0} mm off the wall");
            all.push(lining(spec, (&stack, depth_mm, None), (length_m, area_m2), (carried, how), prices));
        }
        for clip in CLIPS.iter().filter_map(|id| find::<Clip>(id)) {
            let depth_mm = clip.drop_mm + find::<Bar>("furring-bar-22").map_or(22.0, |bar| bar.depth_mm);
            let carried = prices.clip().times(PATTERN.per_m2)
                + prices.bar_m().times(1.1 / PATTERN.bar_spacing_m)
                + prices.fibre_m2(depth_mm - AIR_MM, fibre_kg_m3);
            let how = format!("on {} and bars", clip.name);
            all.push(lining(
                spec,
                (&stack, depth_mm, Some(clip)),
                (length_m, area_m2),
                (carried, how),
                prices,
            ));
        }
    }
    all.retain(|one| one.floor_m2 <= length_m * project.choosing.lining_mm / 1000.0 + 1e-9);
    all
}

fn lining(
    spec: &ElementSpec,
    (stack, depth_mm, clip): (&Stack, f64, Option<&'static Clip>),
    (length_m, area_m2): (f64, f64),
    (carried, how): (Cost, String),
    prices: &Prices<'_>,
) -> Proposal {
    let mut lined = spec.clone();
    let mut behind = cavity(depth_mm);
    set_fibre(&mut behind, FIBRE, depth_mm - AIR_MM);
    let place = lined.layers.iter().filter(|layer| matches!(layer, Layer::Cavity(_))).count();
    lined.layers.push(Layer::Cavity(behind));
    lined.layers.extend(stack.layers());
    lined.bridges.push(match clip {
        Some(clip) => {
            let mut clips = bridge(BridgeKind::Clip, place, Some(clip.id));
            clips.per_m2 = Some(PATTERN.per_m2);
            clips.bar_spacing_mm = Some(PATTERN.bar_spacing_m * 1000.0);
            clips
        }
        None => bridge(BridgeKind::None, place, None),
    });
    let name = format!("{}, {how}", stack.words());
    lined.name = format!("{}; lining of {name}", spec.name);
    let cost = (stack.cost_m2(prices) + carried).times(area_m2);
    let mut work = vec![if clip.is_some() {
        "fix clips and bars to the wall"
    } else {
        "set up a frame free of the wall"
    }];
    work.push("fill with fibre");
    work.extend(std::iter::repeat_n("fix a layer of board, edges sealed", stack.ids.len()));
    Proposal {
        cost: cost.amount,
        guessed: cost.guessed,
        floor_m2: length_m * (depth_mm + stack.thickness_mm()) / 1000.0,
        ..Proposal::new(name, Change { buildup: Some(lined), ..Change::default() }, work)
    }
}
