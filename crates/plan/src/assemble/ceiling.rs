//! The room, its joists and the boards of its ceiling, handed to the setting out.

use std::sync::atomic::AtomicBool;

use catalogue::{Bar as BarEntry, Clip as ClipEntry, Sheet, find};
use setout::{
    Aim, BarStock, BoardLayer, Budget, Ceiling, ClipKind, Corner, Joist, Layout, Point, Rules, Underside,
};
use survey::Survey;

use crate::{
    assemble::{joist_opening, lined, material::solid},
    outcome::WallGap,
    project::{self, CavityTimbers, ElementSpec, Layer, LeafKind, LiningBuilt, Project, WallId},
};

/// A furring bar as commonly sold, where the project names none: face and mass (typical, no source).
const PLAIN_BAR: (&str, f64, f64, f64) = ("furring bar", 60.0, 0.55, 3600.0);

/// How many standard deviations of a wall's place the gap round the boards must take up, where the survey is poor.
const GAP_SDS: f64 = 2.0;
/// Walls that turn by less than this go on straight, degrees: the sine of it is a little over what the setting out takes for
/// straight.
const STRAIGHT_DEG: f64 = 3.0;
/// A gap of this much is left even after the survey's error, mm.
const LEAST_TRUE_GAP_MM: f64 = 3.0;

/// Why there is no ceiling to set out, or the sentence of what is missing.
pub(crate) type Nothing = String;

/// Said of a ceiling on channels or straight on the joists.
pub(crate) const NO_CLIPS: &str = "The ceiling does not hang on clips and bars: there is nothing to set out.";

/// Layers of the ceiling below its innermost cavity, from the joists down: the boards that hang.
pub(crate) fn hung_boards(spec: &ElementSpec) -> Vec<&project::Leaf> {
    let after_cavity = spec.layers.iter().rposition(|layer| matches!(layer, Layer::Cavity(_)));
    let Some(after_cavity) = after_cavity else { return Vec::new() };
    spec.layers
        .iter()
        .skip(after_cavity + 1)
        .filter_map(|layer| match layer {
            Layer::Leaf(leaf) if leaf.kind == LeafKind::Board => Some(leaf),
            _ => None,
        })
        .collect()
}

/// Whether the ceiling hangs on clips.
pub(crate) fn hangs_on_clips(spec: &ElementSpec) -> bool {
    spec.bridges.iter().any(|bridge| bridge.kind == project::BridgeKind::Clip)
}

/// Everything the setting out needs, or what is missing.
pub(crate) fn ceiling(project: &Project, survey: &Survey) -> Result<Ceiling, Nothing> {
    let spec = project
        .buildup_of(project::ElementId::Ceiling)
        .map(|buildup| &buildup.element)
        .ok_or("The ceiling has no build-up.")?;
    if !hangs_on_clips(spec) {
        return Err(NO_CLIPS.to_owned());
    }
    let joists = survey
        .ceiling
        .as_ref()
        .map(|ceiling| &ceiling.joists)
        .filter(|joists| joists.len() >= 2)
        .ok_or("Setting out the clips needs the joists: enter `joists` and at least two `[[joist]]`.")?;
    let layers = layers(project, spec)?;
    let edge = lined::faces(project, survey, |lining| lining.built == LiningBuilt::BeforeCeiling)?;
    let point = |p: geometry::Point| Point::new(p.x_mm, p.y_mm);
    let clip_product = project
        .stock
        .clip
        .as_ref()
        .map(|clip| clip.product.as_str())
        .or_else(|| {
            spec.bridges.iter().find_map(|bridge| bridge.product.as_ref().map(project::ProductId::as_str))
        })
        .unwrap_or_default();
    let clip = find::<ClipEntry>(clip_product);
    let drop_mm = spec
        .layers
        .iter()
        .rev()
        .find_map(|layer| if let Layer::Cavity(cavity) = layer { Some(cavity) } else { None })
        .map(|cavity| project.joists.as_ref().map_or(cavity.depth_mm, |joists| joists.left_below_mm(cavity)))
        .or(clip.map(|clip| clip.drop_mm))
        .unwrap_or(40.0);
    let drop_mm = drop_mm + above_clips_mm(spec);
    Ok(Ceiling {
        corners: survey
            .corners
            .iter()
            .zip(edge)
            .map(|(corner, at)| Corner { name: corner.name.clone(), at: point(at) })
            .collect(),
        joists: joists
            .iter()
            .map(|joist| Joist {
                name: joist.name.clone(),
                from: point(joist.line.from),
                to: point(joist.line.to),
                allowed_kg: None,
                width_mm: joist.width_mm,
                undersides: joist
                    .readings()
                    .map(|one| Underside { at: point(one.at), height_mm: one.above_floor_mm })
                    .collect(),
            })
            .collect(),
        layers,
        bar: bar(project),
        clip: ClipKind {
            product: clip.map_or_else(|| clip_product.to_owned(), |clip| clip.name.to_owned()),
            drop_mm,
            rated_load_kg: project.stock.clip.as_ref().and_then(|clip| clip.rated_load_kg),
        },
        rules: rules(project),
        shell: if lined::faces_stand_off(project, |lining| lining.built == LiningBuilt::BeforeCeiling) {
            survey.corners.iter().map(|corner| point(corner.at)).collect()
        } else {
            Vec::new()
        },
        gaps_mm: wall_gaps(project, survey).iter().map(|wall| wall.gap_mm).collect(),
        obstructions: joist_opening::holes(project, survey)
            .into_iter()
            .map(|ring| ring.into_iter().map(point).collect())
            .collect(),
    })
}

/// Length and width of a board overhead, mm: of the one that is bought; else of the first size sold that may be lifted, or of the lightest where
/// none may. None where no size is known.
pub(crate) fn board_size_mm(project: &Project, id: &str, kg_m2: f64) -> Option<(f64, f64)> {
    if let Some(board) = project.stock.board.iter().find(|board| board.material.as_str() == id) {
        return Some((board.length_mm, board.width_mm));
    }
    let sold = find::<Sheet>(id)?.formats.iter().map(|format| (format.length_mm, format.width_mm));
    let weighs_kg = |(length_mm, width_mm): &(f64, f64)| length_mm * width_mm * 1e-6 * kg_m2;
    let lifted = sold.clone().find(|size| weighs_kg(size) <= project.limits.lift_kg);
    lifted.or_else(|| sold.min_by(|a, b| weighs_kg(a).total_cmp(&weighs_kg(b))))
}

fn layers(project: &Project, spec: &ElementSpec) -> Result<Vec<BoardLayer>, Nothing> {
    let mut layers = Vec::new();
    for leaf in hung_boards(spec) {
        let solid = solid(leaf);
        let stocked = project.stock.board.iter().find(|board| board.material.as_str() == solid.id);
        let sheet_kg_m2 = solid.density_kg_m3 * solid.thickness_m;
        let Some((length_mm, width_mm)) = board_size_mm(project, &solid.id, sheet_kg_m2) else {
            return Err(format!(
                "No size is known for the board `{}` of the ceiling: enter it as a `[[stock.board]]`.",
                solid.name
            ));
        };
        let given_kg_m2 =
            stocked.and_then(|board| board.mass_kg).map(|mass_kg| mass_kg / (length_mm * width_mm) * 1e6);
        for _ in 0..solid.sheets {
            layers.push(BoardLayer {
                material: solid.name.clone(),
                length_mm,
                width_mm,
                thickness_mm: solid.thickness_m * 1000.0,
                mass_kg_m2: given_kg_m2.unwrap_or(solid.density_kg_m3 * solid.thickness_m),
                tape_cut_edges: solid.tape_cut_edges,
            });
        }
    }
    if layers.is_empty() {
        return Err("No board hangs under the clips: add the boards to the ceiling's build-up.".to_owned());
    }
    Ok(layers)
}

pub(crate) fn bar(project: &Project) -> BarStock {
    let (name, face_width_mm, mass_kg_m, length_mm) = PLAIN_BAR;
    let stocked = project.stock.bar.as_ref();
    let entry = stocked.and_then(|bar| find::<BarEntry>(bar.product.as_str()));
    BarStock {
        product: entry.map_or_else(|| name.to_owned(), |bar| bar.name.to_owned()),
        face_width_mm: entry.map_or(face_width_mm, |bar| bar.width_mm),
        mass_kg_m: entry.map_or(mass_kg_m, |bar| bar.mass_kg_m),
        stock_length_mm: stocked.map_or(length_mm, |bar| bar.length_mm),
    }
}

/// The gap each wall asks for: as the rule has it, or what the uncertainty of the wall's own ends and its own bulge leave of
/// a gap, whichever is more. Walls that go on nearly straight share the larger.
pub(crate) fn wall_gaps(project: &Project, survey: &Survey) -> Vec<WallGap> {
    let mut gaps: Vec<WallGap> = survey
        .walls
        .iter()
        .map(|wall| {
            let sd_mm = wall.end_offset_sd_mm.into_iter().fold(wall.offset_sd_mm, f64::max);
            // The face of a lining is built true.
            let bulge_mm = if lined::is_lined_first(project, WallId(wall.from)) {
                0.0
            } else {
                wall.bow_mm.map_or(0.0, |bow| (-bow).max(0.0))
            };
            let asked_mm = (LEAST_TRUE_GAP_MM + GAP_SDS * sd_mm + bulge_mm).ceil();
            let gap_mm = project.rules.perimeter_gap_mm.max(asked_mm);
            WallGap { wall: wall.name.clone(), gap_mm, sd_mm, bulge_mm }
        })
        .collect();
    let n = gaps.len();
    for _ in 0..n {
        for at in 0..n {
            let next = (at + 1) % n;
            let direction = |wall: usize| survey.walls.get(wall).map_or(0.0, |wall| wall.direction_deg);
            let turn = (direction(next) - direction(at)).rem_euclid(360.0);
            if turn.min(360.0 - turn) < STRAIGHT_DEG {
                let widest = [at, next]
                    .iter()
                    .filter_map(|&wall| gaps.get(wall))
                    .map(|g| g.gap_mm)
                    .fold(0.0, f64::max);
                for wall in [at, next] {
                    if let Some(gap) = gaps.get_mut(wall) {
                        gap.gap_mm = widest;
                    }
                }
            }
        }
    }
    gaps
}

pub(crate) fn rules(project: &Project) -> Rules {
    let given = &project.rules;
    Rules {
        bar_gap_mm: given.bar_gap_mm,
        bar_gap_spare_mm: given.bar_gap_spare_mm,
        clip_gap_mm: given.clip_gap_mm,
        first_bar_mm: given.first_bar_mm,
        end_clip_mm: given.bar_end_clip_mm,
        bar_end_gap_mm: given.bar_end_gap_mm,
        perimeter_gap_mm: given.perimeter_gap_mm,
        min_strip_mm: given.least_strip_mm,
        stagger_rows_mm: given.stagger_rows_mm,
        stagger_layers_mm: given.stagger_layers_mm,
        edge_bearing_mm: given.edge_bearing_mm,
        screw_gap_mm: given.screw_gap_mm,
        screw_gap_edge_mm: given.screw_gap_edges_mm,
        min_piece_mm: given.least_piece_mm,
        screw_edge_mm: given.screw_edge_mm,
        min_lap_mm: given.least_lap_mm,
        lap_stagger_mm: given.lap_stagger_mm,
        packer_step_mm: given.packer_step_mm,
        flatness_mm: given.flatness_mm,
        fall_mm_per_m: given.fall_mm_per_m,
        stagger_clips: given.stagger_clips,
        kerf_mm: given.kerf_mm,
        prefer: given
            .prefer
            .iter()
            .map(|prefer| match prefer {
                project::Prefer::Boards => Aim::Boards,
                project::Prefer::Slivers => Aim::Slivers,
                project::Prefer::Pieces => Aim::Pieces,
                project::Prefer::Cuts => Aim::Cuts,
                project::Prefer::Bars => Aim::Bars,
                project::Prefer::Clips => Aim::Clips,
            })
            .collect(),
        way_in_mm: project.limits.door_lets_through_mm,
    }
}

/// Sets the ceiling out with the budget asked for, or ends soon after `stop` is set.
pub(crate) fn layout(project: &Project, ceiling: &Ceiling, stop: &AtomicBool) -> Result<Layout, Nothing> {
    let budget = match project.rules.search {
        project::SearchDepth::Quick => Budget::default(),
        project::SearchDepth::Deep => Budget::deep(),
    };
    setout::set_out_until(ceiling, &budget, stop).map_err(|error| in_keys_of_the_file(&error.to_string()))
}

/// The setting-out's own names of rules as the keys of the room file.
pub(crate) fn in_keys_of_the_file(sentence: &str) -> String {
    [
        ("min_strip_mm", "least_strip_mm"),
        ("min_piece_mm", "least_piece_mm"),
        ("min_lap_mm", "least_lap_mm"),
        ("rules.end_clip_mm", "rules.bar_end_clip_mm"),
        ("screw_gap_edge_mm", "screw_gap_edges_mm"),
    ]
    .into_iter()
    .fold(sentence.to_owned(), |words, (own, key)| words.replace(own, key))
}

/// Depth of what lies between the joists and the cavity of the clips, as it counts as there already: an old ceiling, battens \[mm\]. The
/// heights of the joists are taken to the joists themselves.
pub(crate) fn above_clips_mm(spec: &ElementSpec) -> f64 {
    let is_cavity = |layer: &Layer| matches!(layer, Layer::Cavity(_));
    let is_joists = |layer: &Layer| matches!(layer, Layer::Cavity(cavity) if cavity.timbers == Some(CavityTimbers::Joists));
    let (Some(joists), Some(clips)) =
        (spec.layers.iter().position(is_joists), spec.layers.iter().rposition(is_cavity))
    else {
        return 0.0;
    };
    let between = spec.layers.iter().take(clips).skip(joists + 1);
    between
        .map(|layer| match layer {
            Layer::Cavity(cavity) => cavity.depth_mm,
            Layer::Leaf(leaf) if leaf.kind == LeafKind::Membrane => 0.0,
            Layer::Leaf(leaf) => solid(leaf).depth_m() * 1000.0,
        })
        .sum()
}
