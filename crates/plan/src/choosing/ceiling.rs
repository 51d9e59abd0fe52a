//! What the ceiling could be: what hangs below the joists, and the fibre between them.

use catalogue::{Bar, Clip, Fill, find};
use survey::Survey;

use crate::{
    assemble::{
        ceiling::{hangs_on_clips, hung_boards},
        element::ClipPattern,
        material::{fibre, solid},
    },
    choosing::{
        boards::{Stack, heaviest_of_layers_kg, stacks},
        prices::{Cost, Prices},
        proposal::{Change, Proposal},
    },
    project::{
        Bridge, BridgeKind, Cavity, CavityTimbers, ElementId, ElementSpec, FillGaps, FillId, Layer,
        ProductId, Project, RoofKind,
    },
};

/// Boards that a ceiling is commonly made of, entries of the catalogue.
const BOARDS: [&str; 8] = [
    "plasterboard-12.5",
    "plasterboard-15",
    "dense-plasterboard-12.5",
    "dense-plasterboard-15",
    "gypsum-fibreboard-12.5",
    "sand-filled-board-15",
    "osb-18",
    "cement-particleboard-18",
];
/// Clips, entries of the catalogue.
const CLIPS: [&str; 4] = ["resilient-clip-low", "resilient-clip", "resilient-clip-soft", "rubber-hanger"];
/// Fibres between the joists beside the one that is there.
const FIBRES: [&str; 2] = ["mineral-wool-33kg", "mineral-wool-60kg"];
/// The bar on the clips.
const BAR: &str = "furring-bar-22";
/// The springy channel without clips.
const CHANNEL: &str = "resilient-channel-16";
/// Mass of bars and clips, kg/m² (typical of bars at 600 mm, no source).
pub(super) const METAL_KG_M2: f64 = 1.2;
/// Most layers of board.
const MOST_LAYERS: usize = 3;

/// How the boards are carried.
#[derive(Clone, Copy)]
enum Carried {
    Clips(&'static Clip),
    Channels,
    Joists,
}

/// Everything the ceiling could be, what the file says first.
pub(super) fn proposals(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    prices: &Prices<'_>,
) -> Vec<Proposal> {
    let Some(buildup) = project.buildup_of(ElementId::Ceiling) else { return Vec::new() };
    let spec = &buildup.element;
    let area_m2 = survey.area_mm2 * 1e-6;
    let today = today(project, spec, (area_m2, clips), prices);
    let Some(outer) = above_the_boards(project, spec).filter(|_| spec.measured.is_none()) else {
        return vec![today];
    };
    let pattern = clips.unwrap_or(ClipPattern { per_m2: 2.0, bar_spacing_m: 0.6 });
    let mut all = vec![today];
    for fill in fills(project, &outer, prices) {
        for carried in CLIPS
            .iter()
            .filter_map(|id| find::<Clip>(id))
            .map(Carried::Clips)
            .chain([Carried::Channels, Carried::Joists])
        {
            for stack in stacks(&BOARDS, MOST_LAYERS) {
                all.push(proposal(project, (spec, &fill, carried, &stack), (area_m2, pattern), prices));
            }
        }
    }
    all
}

fn today(
    project: &Project,
    spec: &ElementSpec,
    (area_m2, clips): (f64, Option<ClipPattern>),
    prices: &Prices<'_>,
) -> Proposal {
    let boards = hung_boards(spec);
    let mass: f64 = boards.iter().map(|leaf| solid(leaf).mass_kg_m2()).sum();
    let depth: f64 = boards.iter().map(|leaf| solid(leaf).depth_m() * 1000.0).sum();
    let on_clips = hangs_on_clips(spec);
    let mut cost = boards
        .iter()
        .map(|leaf| prices.board_m2(&solid(leaf).id).times(f64::from(leaf.sheets)))
        .fold(Cost::default(), std::ops::Add::add);
    if let (true, Some(pattern)) = (on_clips, clips) {
        cost = cost + metal_m2(pattern, prices);
    }
    for layer in &spec.layers {
        if let Layer::Cavity(cavity) = layer
            && let Some(fibre) = fibre(cavity)
        {
            cost = cost + prices.fibre_m2(fibre.thickness_m * 1000.0, fibre.density_kg_m3);
        }
    }
    let cost = if project.choosing.ceiling_is_built { Cost::default() } else { cost.times(area_m2) };
    let work = if project.choosing.ceiling_is_built {
        Vec::new()
    } else {
        work(on_clips, boards.iter().map(|leaf| leaf.sheets as usize).sum())
    };
    Proposal {
        cost: cost.amount,
        guessed: cost.guessed,
        drop_mm: if boards.is_empty() { 0.0 } else { own_cavity_mm(project, spec) + depth },
        hung_kg_m2: mass + fill_kg_m2(&spec.layers) + if on_clips { METAL_KG_M2 } else { 0.0 },
        fibre_kg_m2: fill_kg_m2(&spec.layers),
        on_clips,
        // What is built already is not lifted again.
        lift_kg: if project.choosing.ceiling_is_built {
            0.0
        } else {
            heaviest_of_layers_kg(project, &boards)
        },
        ..Proposal::new("as the file has it".to_owned(), Change::default(), work)
    }
}

/// Depth of the cavity below the joists, or of what hangs below them of the one they cross, mm.
pub(super) fn own_cavity_mm(project: &Project, spec: &ElementSpec) -> f64 {
    let last = spec.layers.iter().rev().find_map(|layer| match layer {
        Layer::Cavity(cavity) => Some(cavity),
        Layer::Leaf(_) => None,
    });
    last.map_or(0.0, |cavity| below_joists_mm(project, cavity))
}

/// How much of a cavity hangs below the joists, mm.
fn below_joists_mm(project: &Project, cavity: &Cavity) -> f64 {
    let crossed = cavity.timbers == Some(CavityTimbers::Joists);
    let left_mm = project.joists.as_ref().map_or(0.0, |joists| joists.left_below_mm(cavity));
    match crossed {
        // All of it is told where it is no deeper than the joists.
        true if left_mm < cavity.depth_mm => left_mm,
        true => 0.0,
        false => cavity.depth_mm,
    }
}

fn work(on_clips: bool, layers: usize) -> Vec<&'static str> {
    let mut work = vec!["lay the fibre between the joists"];
    if on_clips {
        work.extend(["fix the clips", "hang the bars level"]);
    } else {
        work.push("bring the joists to one level");
    }
    work.extend(std::iter::repeat_n("fix a layer of board, joints staggered, edges sealed", layers));
    work
}

fn metal_m2(pattern: ClipPattern, prices: &Prices<'_>) -> Cost {
    prices.clip().times(pattern.per_m2) + prices.bar_m().times(1.1 / pattern.bar_spacing_m.max(0.1))
}

/// The layers from the roof down to the last before the ceiling's own cavity and boards, the joists' cavity without what hangs below them;
/// none where no joists are in the build-up.
fn above_the_boards(project: &Project, spec: &ElementSpec) -> Option<Vec<Layer>> {
    let joists = spec.layers.iter().position(
        |layer| matches!(layer, Layer::Cavity(cavity) if cavity.timbers == Some(CavityTimbers::Joists)),
    )?;
    let own = spec.layers.iter().rposition(|layer| matches!(layer, Layer::Cavity(_)))?;
    let boards = spec.layers.len() - hung_boards(spec).len();
    let end = if own > joists { own } else { boards };
    let mut outer = spec.layers.get(..end)?.to_vec();
    if let Some(Layer::Cavity(cavity)) = outer.last_mut() {
        cavity.depth_mm -= below_joists_mm(project, cavity);
        cavity.fill_mm = cavity.fill_mm.min(cavity.depth_mm);
    }
    Some(outer)
}

/// The layers above with each fibre, and what that costs a square metre.
fn fills(project: &Project, outer: &[Layer], prices: &Prices<'_>) -> Vec<(String, Vec<Layer>, Cost)> {
    let roof = project.roof.as_ref();
    let gap_mm = roof.filter(|roof| roof.kind == RoofKind::ColdFlat).map_or(0.0, |roof| roof.vent_gap_mm);
    let mut ways = vec![None];
    ways.extend(FIBRES.map(Some));
    ways.into_iter()
        .filter_map(|way| {
            let mut layers = outer.to_vec();
            let cavity = layers.iter_mut().find_map(|layer| match layer {
                Layer::Cavity(cavity) if cavity.timbers == Some(CavityTimbers::Joists) => Some(cavity),
                _ => None,
            })?;
            let mut words = String::new();
            if let Some(id) = way {
                let most_mm = cavity.depth_mm - if cavity.vented { gap_mm } else { 0.0 };
                // Sold in steps of 10 mm.
                let fill_mm = (most_mm / 10.0).floor() * 10.0;
                if fill_mm < 40.0 || cavity.fill.as_ref().is_some_and(|fill| fill.as_str() == id) {
                    return None;
                }
                words = format!(", {} {fill_mm:.0} mm", find::<Fill>(id)?.name);
                set_fibre(cavity, id, fill_mm);
            }
            let cost = fibre(cavity).map_or_else(Cost::default, |fibre| {
                prices.fibre_m2(fibre.thickness_m * 1000.0, fibre.density_kg_m3)
            });
            Some((words, layers, cost))
        })
        .collect()
}

pub(super) fn set_fibre(cavity: &mut Cavity, id: &str, fill_mm: f64) {
    cavity.fill = Some(FillId(id.to_owned()));
    cavity.fill_mm = fill_mm.min(cavity.depth_mm);
    (cavity.flow_resistivity_pa_s_m2, cavity.density_kg_m3, cavity.dynamic_stiffness_mn_m3) =
        (None, None, None);
}

/// An empty, closed cavity.
pub(super) fn cavity(depth_mm: f64) -> Cavity {
    Cavity {
        depth_mm,
        vented: false,
        openings_mm2: None,
        fill_gaps: FillGaps::None,
        fill: None,
        fill_mm: 0.0,
        flow_resistivity_pa_s_m2: None,
        density_kg_m3: None,
        dynamic_stiffness_mn_m3: None,
        timbers: None,
        lined_reveals: false,
    }
}

/// A bridge of a kind across a cavity, with nothing of its own.
pub(super) fn bridge(kind: BridgeKind, cavity: usize, product: Option<&str>) -> Bridge {
    Bridge {
        kind,
        cavity,
        product: product.map(|id| ProductId(id.to_owned())),
        spacing_mm: None,
        per_m2: None,
        count: None,
        bar_spacing_mm: None,
        steel_mm: None,
        steel_studs: false,
        frame_length_m: None,
        dab_area_m2: None,
        stiffness_mn_m: None,
        frame_stiffness_mn_m2: None,
        compliance_m2_n: None,
        loss_factor: None,
    }
}

fn proposal(
    project: &Project,
    (today, fill, carried, stack): (&ElementSpec, &(String, Vec<Layer>, Cost), Carried, &Stack),
    (area_m2, pattern): (f64, ClipPattern),
    prices: &Prices<'_>,
) -> Proposal {
    let (fill_words, outer, fill_cost) = fill;
    let mut layers = outer.clone();
    let cavities = layers.iter().filter(|layer| matches!(layer, Layer::Cavity(_))).count();
    // What hangs below joists that nothing closes off is one cavity with theirs.
    let open_below = matches!(layers.last(), Some(Layer::Cavity(_)));
    let own = if open_below { cavities.saturating_sub(1) } else { cavities };
    // What else crosses the cavities above stays.
    let mut bridges: Vec<Bridge> =
        today.bridges.iter().filter(|bridge| bridge.cavity + 1 < cavities).cloned().collect();
    let spacing_mm = project.joists.as_ref().map_or(600.0, |joists| {
        // Clear bays of common joists; the exact pattern is set out when the choice is planned whole.
        (450.0_f64).max(joists.width_mm() * 3.0)
    });
    let (how, gap_mm, metal, hung) = match carried {
        Carried::Clips(clip) => {
            let bar_mm = find::<Bar>(BAR).map_or(22.0, |bar| bar.depth_mm);
            bridges.push(bridge(BridgeKind::Clip, own, Some(clip.id)));
            (format!("{} and bars", clip.name), clip.drop_mm + bar_mm, metal_m2(pattern, prices), METAL_KG_M2)
        }
        Carried::Channels => {
            let depth_mm = find::<Bar>(CHANNEL).map_or(16.0, |bar| bar.depth_mm);
            let mut channel = bridge(BridgeKind::ResilientChannel, own, Some(CHANNEL));
            (channel.spacing_mm, channel.bar_spacing_mm) = (Some(spacing_mm), Some(400.0));
            bridges.push(channel);
            ("springy channels".to_owned(), depth_mm, prices.bar_m().times(1.1 / 0.4), 1.0)
        }
        Carried::Joists => {
            let joists = cavities.saturating_sub(1);
            bridges.retain(|bridge| bridge.cavity != joists);
            let mut timber = bridge(BridgeKind::TimberStud, joists, None);
            timber.spacing_mm = Some(spacing_mm);
            bridges.push(timber);
            ("straight to the joists".to_owned(), 0.0, Cost::default(), 0.0)
        }
    };
    match layers.last_mut() {
        Some(Layer::Cavity(cavity)) => cavity.depth_mm += gap_mm,
        _ if gap_mm > 0.0 => layers.push(Layer::Cavity(cavity(gap_mm))),
        _ => {}
    }
    layers.extend(stack.layers());
    let name = format!("{}, {how}{fill_words}", stack.words());
    let fibre_kg_m2 = fill_kg_m2(&layers);
    let hung_kg_m2 = stack.mass_kg_m2() + hung + fibre_kg_m2;
    let spec =
        ElementSpec { name: name.clone(), layers, bridges, measured: None, measured_uncertainty_db: None };
    let cost = (stack.cost_m2(prices) + metal + *fill_cost).times(area_m2);
    let on_clips = matches!(carried, Carried::Clips(_) | Carried::Channels);
    Proposal {
        cost: cost.amount,
        guessed: cost.guessed,
        drop_mm: gap_mm + stack.thickness_mm(),
        hung_kg_m2,
        fibre_kg_m2,
        on_clips: matches!(carried, Carried::Clips(_)),
        lift_kg: stack.heaviest_kg(project),
        ..Proposal::new(
            name,
            Change { buildup: Some(spec), ..Change::default() },
            work(on_clips, stack.ids.len()),
        )
    }
}

pub(super) fn fill_kg_m2(layers: &[Layer]) -> f64 {
    layers
        .iter()
        .filter_map(|layer| if let Layer::Cavity(cavity) = layer { fibre(cavity) } else { None })
        .map(|fibre| fibre.density_kg_m3 * fibre.thickness_m)
        .sum()
}
