//! The plain facts that heights, order and steps are written from.

use catalogue::{Clip as ClipEntry, find};
use setout::{Ceiling, Level};
use survey::{
    Survey,
    true_opening::{Batten, Leans, TrueOpening, batten, bring_true},
};

use crate::{
    assemble::{
        ceiling::{above_clips_mm, hangs_on_clips, hung_boards},
        lined,
        material::{fibre, solid},
    },
    heights::HeightFacts,
    order::{BoardFacts, OrderFacts},
    outcome::{CeilingOutcome, OpeningOutcome, Order, PenetrationOutcome, WarmAlternative},
    project::{
        ElementId, GapShape, Layer, LeafKind, Opening, OpeningKind, PenetrationKind, Project, RoofKind,
        WallId,
    },
    steps::{LayerFacts, LeftFacts, StepFacts},
};

/// Mass of one clip, kg (for the weight delivered only; typical, no source).
const CLIP_KG: f64 = 0.12;
/// Sources louder than this in the room call for the hearing caution, dB(A) (lower action value of 2003/10/EC).
const LOUD_DBA: f64 = 80.0;

/// Length of the longest joist, m; 0 without joists.
pub(crate) fn longest_joist_m(survey: &Survey) -> f64 {
    survey.ceiling.as_ref().map_or(0.0, |ceiling| {
        ceiling.joists.iter().map(|joist| joist.line.from.distance_mm(joist.line.to)).fold(0.0, f64::max)
            / 1000.0
    })
}

/// Everything that goes through the walls, as it is drawn.
pub(crate) fn openings(project: &Project) -> Vec<OpeningOutcome> {
    let openings = project.openings.iter().map(|opening| OpeningOutcome {
        name: opening.name.clone(),
        kind: match opening.kind {
            OpeningKind::Window => "window",
            OpeningKind::Door => "door",
            OpeningKind::Hatch => "hatch",
        },
        wall: opening.wall.0,
        from_corner_mm: opening.from_corner_mm,
        width_mm: opening.width_mm,
        sill_mm: opening.sill_mm,
        height_mm: opening.height_mm,
        brought_true: brought_true(opening),
    });
    let vents = project.vents.iter().map(|vent| OpeningOutcome {
        name: vent.name.clone(),
        kind: "air path",
        wall: vent.wall.0,
        from_corner_mm: vent.from_corner_mm - vent.duct_width_mm / 2.0,
        width_mm: vent.duct_width_mm,
        sill_mm: vent.above_floor_mm - vent.duct_height_mm / 2.0,
        height_mm: vent.duct_height_mm,
        brought_true: None,
    });
    openings.chain(vents).collect()
}

/// The opening brought true by what was read on its sides.
fn brought_true(opening: &Opening) -> Option<TrueOpening> {
    let read = [opening.near_lean_mm, opening.far_lean_mm, opening.head_fall_mm, opening.sill_fall_mm];
    let [near_mm, far_mm, head_mm, sill_mm] = read.map(|reading| reading.unwrap_or(0.0));
    read.iter().any(Option::is_some).then_some(())?;
    bring_true(opening.width_mm, opening.height_mm, Leans { near_mm, far_mm, head_mm, sill_mm })
}

/// Battens to the walls that bow.
pub(crate) fn battens(project: &Project, survey: &Survey) -> Vec<Batten> {
    // The ceiling ends at the face of a lining built first, which is true.
    let bare = survey.walls.iter().filter(|wall| !lined::is_lined_first(project, WallId(wall.from)));
    bare.filter_map(|wall| batten(&wall.name, wall.length_mm, wall.bow_mm?)).collect()
}

/// What the height budget is made from; none without joist levels.
pub(crate) fn height_facts<'a>(
    project: &'a Project,
    survey: &'a Survey,
    set_out: &CeilingOutcome,
    warm_roof: Option<&'a WarmAlternative>,
) -> Option<HeightFacts<'a>> {
    let ceiling = survey.ceiling.as_ref()?;
    let (lowest, highest) = (ceiling.lowest?, ceiling.highest?);
    let joist_name = |joist: usize| ceiling.joists.get(joist).map_or("", |joist| joist.name.as_str());
    let joists = project.joists.as_ref()?;
    let spec = &project.buildup_of(ElementId::Ceiling)?.element;
    let fill_mm = spec
        .layers
        .iter()
        .find_map(|layer| match layer {
            Layer::Cavity(cavity) if cavity.fill_mm > 0.0 => Some(cavity.fill_mm.min(joists.depth_mm)),
            _ => None,
        })
        .unwrap_or(0.0);
    // Solids outside the first cavity lie on the joists; they are printed from below to above.
    let mut above: Vec<(String, f64)> = spec
        .layers
        .iter()
        .take_while(|layer| matches!(layer, Layer::Leaf(_)))
        .filter_map(|layer| if let Layer::Leaf(leaf) = layer { Some(solid(leaf)) } else { None })
        .map(|solid| (solid.name.clone(), solid.depth_m() * 1000.0))
        .collect();
    above.reverse();
    let mut below = Vec::new();
    let level = set_out.layout.as_ref().and_then(|layout| layout.level.as_ref());
    let mut lowest_at = joist_name(lowest.joist);
    let mut falls = false;
    if let Some(given) = &set_out.given {
        let boards_mm: f64 = given.layers.iter().map(|layer| layer.thickness_mm).sum();
        // A ceiling that falls is lowest at a corner, not under the lowest joist.
        let fall_mm = level.filter(|level| level.fall_mm_per_m > 0.0).map_or(0.0, |level| {
            (lowest.above_floor_mm - given.clip.drop_mm - boards_mm - level.face_mm).max(0.0)
        });
        falls = fall_mm > 0.0;
        if falls {
            below.push(("clip, bar and the ceiling's fall".to_owned(), given.clip.drop_mm + fall_mm));
            lowest_at = level.map_or(lowest_at, |level| near_lowest_corner(survey, level));
        } else {
            let above_mm = above_clips_mm(spec);
            if above_mm > 0.0 {
                below.push(("what lies between joists and clips".to_owned(), above_mm));
            }
            below.push(("clip and bar".to_owned(), given.clip.drop_mm - above_mm));
        }
        below.extend(given.layers.iter().map(|layer| (layer.material.clone(), layer.thickness_mm)));
    } else {
        below.extend(hung_boards(spec).into_iter().map(|leaf| {
            let solid = solid(leaf);
            (solid.name.clone(), solid.depth_m() * 1000.0)
        }));
    }
    let roof = project.roof.as_ref();
    let rise_mm = roof.map_or(0.0, |roof| roof.fall_mm_per_m) * longest_joist_m(survey);
    Some(HeightFacts {
        lowest_underside: (lowest.above_floor_mm, lowest_at),
        falls,
        highest_underside: (highest.above_floor_mm, joist_name(highest.joist)),
        joist_depth_mm: joists.depth_mm,
        fill_mm,
        firring_mm: (roof.map_or(0.0, |roof| roof.firring_least_mm), rise_mm),
        above,
        below,
        floor_above_ground_mm: roof.map_or(0.0, |roof| roof.floor_above_ground_mm),
        // Without a roof in the file nothing is known of what stands on the joists.
        limit_above_ground_mm: roof.and(project.limits.height_above_ground_mm),
        least_headroom_mm: project.limits.headroom_mm,
        warm_roof,
    })
}

/// The joist nearest to the corner where a falling ceiling is lowest.
fn near_lowest_corner<'a>(survey: &'a Survey, level: &Level) -> &'a str {
    let corners = survey.corners.iter().map(|corner| corner.at);
    let lowest = corners.min_by(|a, b| level.plane.height_mm(*a).total_cmp(&level.plane.height_mm(*b)));
    let joists = survey.ceiling.iter().flat_map(|ceiling| &ceiling.joists);
    joists
        .zip(lowest.into_iter().cycle())
        .min_by(|(a, at), (b, _)| a.line.distance_mm(*at).total_cmp(&b.line.distance_mm(*at)))
        .map_or("", |(joist, _)| joist.name.as_str())
}

/// What the order is drawn up from; none without a layout.
pub(crate) fn order_facts<'a>(
    project: &'a Project,
    survey: &Survey,
    ceiling: &'a CeilingOutcome,
) -> Option<OrderFacts<'a>> {
    let (given, layout) = (ceiling.given.as_ref()?, ceiling.layout.as_ref()?);
    let spec = &project.buildup_of(ElementId::Ceiling)?.element;
    let boards_on_clips = hung_boards(spec);
    let ids = boards_on_clips.iter().flat_map(|leaf| {
        let solid = solid(leaf);
        std::iter::repeat_n(solid.id.clone(), solid.sheets as usize)
    });
    let boards = given
        .layers
        .iter()
        .zip(ids)
        .map(|(layer, id)| BoardFacts {
            name: layer.material.clone(),
            id,
            length_mm: layer.length_mm,
            width_mm: layer.width_mm,
            thickness_mm: layer.thickness_mm,
        })
        .collect();
    let area_m2 = survey.area_mm2 * 1e-6;
    let joists_m2: f64 = project.joists.as_ref().map_or(0.0, |joists| {
        survey.ceiling.as_ref().map_or(0.0, |ceiling| {
            ceiling.joists.iter().map(|joist| joist.line.from.distance_mm(joist.line.to)).sum::<f64>()
                * joists.width_mm()
                * 1e-6
        })
    });
    let fibre = spec.layers.iter().find_map(|layer| match layer {
        Layer::Cavity(cavity) => fibre(cavity),
        Layer::Leaf(_) => None,
    });
    let membrane =
        spec.layers.iter().skip_while(|layer| matches!(layer, Layer::Leaf(_))).find_map(
            |layer| match layer {
                Layer::Leaf(leaf) if leaf.kind == LeafKind::Membrane => Some(solid(leaf)),
                _ => None,
            },
        );
    let face_joints_mm: f64 = layout
        .layers
        .last()
        .map_or(0.0, |layer| layer.joints.iter().map(|joint| joint.from.distance_mm(joint.to)).sum());
    Some(OrderFacts {
        take_off: &layout.take_off,
        stock: &project.stock,
        boards,
        bar: (given.bar.product.clone(), given.bar.mass_kg_m),
        clip: (clip_name(project, given), CLIP_KG),
        perimeter_gap_mm: given.mean_gap_mm(),
        face_joints_m: face_joints_mm / 1000.0,
        fibre: fibre.map(|fibre| {
            (fibre.name, fibre.thickness_m * 1000.0, (area_m2 - joists_m2).max(0.0), fibre.density_kg_m3)
        }),
        membrane: membrane.map(|solid| {
            let mass_kg_m2 = solid.mass_kg_m2();
            (solid.name, area_m2, mass_kg_m2)
        }),
        noggin_m: layout.noggins.iter().map(|noggin| noggin.length_mm).sum::<f64>() / 1000.0,
        seals: Vec::new(),
        pads: closed(project, &[PenetrationKind::SocketBox]),
        hoods: closed(project, &[PenetrationKind::Lamp]),
        sealed_holes: closed(project, &[PenetrationKind::Cable, PenetrationKind::Pipe]),
        bought_apart: bought_apart(project),
        currency: project.limits.currency.clone(),
        money: project.limits.money,
    })
}

/// What goes through the elements, in the order of the file.
pub(crate) fn penetrations(project: &Project) -> Vec<PenetrationOutcome> {
    let all = project.penetrations.iter().map(|one| PenetrationOutcome {
        element: match one.element {
            ElementId::Wall(_) => format!("wall {}", project.element_name(one.element)),
            _ => project.element_name(one.element),
        },
        place: one.what.place.clone(),
        kind: one.what.kind,
        count: one.what.count,
        sealed: one.what.sealed,
    });
    all.collect()
}

/// How many of the kinds are to be closed.
fn closed(project: &Project, kinds: &[PenetrationKind]) -> u32 {
    let meant = project.penetrations.iter().filter(|one| one.what.sealed && kinds.contains(&one.what.kind));
    meant.fold(0, |sum, one| sum.saturating_add(one.what.count))
}

/// Openings and air paths with their seals and linings, and the bolts of joists of several members.
fn bought_apart(project: &Project) -> Vec<String> {
    let mut apart: Vec<String> = project
        .openings
        .iter()
        .map(|opening| format!("{} with its seals and frame", opening.name))
        .chain(project.vents.iter().map(|vent| format!("{} with duct, lining and grille", vent.name)))
        .collect();
    if !project.vents.is_empty() {
        apart.push("a fan".to_owned());
    }
    if project.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::ColdFlat) {
        apart.push("mesh for the vent slots".to_owned());
    }
    apart
}

fn clip_name(project: &Project, given: &Ceiling) -> String {
    project
        .stock
        .clip
        .as_ref()
        .and_then(|clip| find::<ClipEntry>(clip.product.as_str()))
        .map_or_else(|| given.clip.product.clone(), |clip| clip.name.to_owned())
}

/// An order with nothing in it.
pub(crate) fn empty_order(project: &Project) -> Order {
    Order {
        lines: Vec::new(),
        mass_kg: 0.0,
        price: 0.0,
        lines_without_price: 0,
        left_out: None,
        currency: project.limits.currency.clone(),
        money: project.limits.money,
    }
}

/// Noggins with an end at a wall: `N1 at wall D–E`.
fn noggins_at_walls(ceiling: &CeilingOutcome) -> Vec<String> {
    let ends =
        ceiling.noggin_holds.iter().flat_map(|hold| hold.ends.iter().map(move |end| (hold.number, end)));
    ends.filter_map(|(number, end)| {
        Some(format!("N{number} at wall {}", end.at_wall.as_ref()?.replace('-', "–")))
    })
    .collect()
}

/// Sheets of a layer whose rest a later one is cut from, with its pieces.
fn kept_for_later(layout: &setout::Layout, layer: &setout::Layer, up: &[String]) -> Vec<String> {
    let others = |sheet: &setout::Sheet| {
        let pieces = layout.cut_from(layer, sheet).into_iter();
        let pieces = pieces.filter(|piece| piece.layer != layer.number && !up.contains(&piece.name));
        pieces.map(|piece| piece.name.clone()).collect::<Vec<_>>()
    };
    let kept = layer.sheets.iter().map(|sheet| (sheet.number, others(sheet)));
    kept.filter(|(_, names)| !names.is_empty())
        .map(|(number, names)| format!("sheet {number} ({})", names.join(", ")))
        .collect()
}

/// Sheets that earlier layers began and a layer is cut from, with its pieces.
fn begun_before(layer: &setout::Layer, up: &[String]) -> Vec<String> {
    let named = |sheet: &setout::Sheet| {
        let begun = sheet.begun?;
        let open = sheet.pieces.iter().filter_map(|piece| layer.pieces.get(*piece));
        let open: Vec<&str> =
            open.map(|piece| piece.name.as_str()).filter(|name| !up.iter().any(|up| up == name)).collect();
        (!open.is_empty())
            .then(|| format!("sheet {} of layer {} ({})", begun.sheet, begun.layer, open.join(", ")))
    };
    layer.sheets.iter().filter_map(named).collect()
}

/// What the steps are written from.
pub(crate) fn step_facts(project: &Project, survey: &Survey, ceiling: &CeilingOutcome) -> StepFacts {
    let spec = project.buildup_of(ElementId::Ceiling).map(|buildup| &buildup.element);
    let layout = ceiling.layout.as_ref();
    let given = ceiling.given.as_ref();
    let rules = &project.rules;
    let roof = project.roof.as_ref().filter(|roof| roof.kind == RoofKind::ColdFlat);
    let mut depth_mm = 0.0;
    let found = ceiling.as_built.as_ref();
    // What has to come down goes up again.
    let up: Vec<String> = found.map_or_else(Vec::new, |found| {
        let down = &found.difference.take_down;
        found.boards_up.iter().filter(|board| !down.contains(board)).cloned().collect()
    });
    let up = up.as_slice();
    let layers = match (layout, given) {
        (Some(layout), Some(given)) => layout
            .layers
            .iter()
            .zip(&given.layers)
            .map(|(layer, board)| {
                depth_mm += board.thickness_mm;
                let open = || layer.pieces.iter().filter(|piece| !up.contains(&piece.name));
                let own_up = layer.pieces.iter().filter(|piece| up.contains(&piece.name));
                let to_fill = found.into_iter().flat_map(|found| &found.difference.to_fill);
                LayerFacts {
                    board: board.material.clone(),
                    pieces: layer.pieces.len(),
                    up: own_up.map(|piece| piece.name.clone()).collect(),
                    to_fill: to_fill
                        .filter(|one| one.layer == layer.number)
                        .map(|one| one.sentence.clone())
                        .collect(),
                    heaviest_kg: open().map(|piece| piece.mass_kg).fold(0.0, f64::max),
                    screws: open().map(|piece| piece.screws).sum(),
                    tape_m: open().map(|piece| piece.tape_mm).sum::<f64>() / 1e3,
                    depth_mm,
                    kept: kept_for_later(layout, layer, up),
                    begun: begun_before(layer, up),
                }
            })
            .collect(),
        _ => Vec::new(),
    };
    let first_corner = survey.corners.first().map_or("A", |corner| corner.name.as_str());
    StepFacts {
        // What the rule needs, where the file has less: a step must not pass what the plan finds failing.
        vented_roof_mm: roof.map(|roof| {
            let [gap_mm, opening_mm] = fabric::cold_roof::least_mm(longest_joist_m(survey));
            (roof.vent_gap_mm.max(gap_mm), roof.vent_opening_mm.max(opening_mm))
        }),
        ceiling_m2: survey.area_mm2 * 1e-6,
        fill_mm: spec.map_or(0.0, |spec| {
            spec.layers
                .iter()
                .find_map(|layer| match layer {
                    Layer::Cavity(cavity) if cavity.fill_mm > 0.0 => Some(cavity.fill_mm),
                    _ => None,
                })
                .unwrap_or(0.0)
        }),
        vapour_layer: spec.is_some_and(|spec| {
            spec.layers
                .iter()
                .skip_while(|layer| matches!(layer, Layer::Leaf(_)))
                .any(|layer| matches!(layer, Layer::Leaf(leaf) if leaf.kind == LeafKind::Membrane))
        }),
        hung: spec.is_some_and(hangs_on_clips) && layout.is_some(),
        origin: layout.map_or(first_corner, |layout| layout.frame.corner.as_str()).to_owned(),
        bars: layout.map_or(0, |layout| layout.bars.len()),
        laps: layout.map_or(0, |layout| layout.bars.iter().map(|bar| bar.laps.len()).sum()),
        clips: layout.map_or(0, |layout| layout.clips.len()),
        noggins: layout.map_or(0, |layout| layout.noggins.len()),
        left: found.map(|found| LeftFacts {
            counts: found.difference.left,
            bars_back: found.move_back.iter().map(|moved| moved.sentence.clone()).collect(),
            take_down: found.difference.take_down.clone(),
        }),
        noggins_at_walls: noggins_at_walls(ceiling),
        bar_ties: ceiling.bar_ties.len(),
        thickest_packer_mm: layout
            .and_then(|layout| layout.level.as_ref())
            .map_or(0.0, |level| level.thickest_packer_mm),
        drop_mm: given.map_or(0.0, |given| given.clip.drop_mm),
        limits_mm: (rules.bar_gap_mm, rules.clip_gap_mm),
        bearing_mm: (rules.edge_bearing_mm, given.map_or(60.0, |given| given.bar.face_width_mm)),
        gap_words: ceiling.gap_words(),
        perimeter_m: layout.map_or(survey.perimeter_mm / 1000.0, |layout| layout.take_off.perimeter_m),
        layers,
        screws_mm: (rules.screw_gap_mm, rules.screw_gap_edges_mm),
        openings: project.openings.iter().map(|opening| opening.name.clone()).collect(),
        air_path: !project.vents.is_empty(),
        penetrations: penetrations(project)
            .iter()
            .map(|one| {
                let open = if one.sealed { "" } else { " (taken as left open in the numbers)" };
                format!("{}, {}{open}: {}.", one.element, one.what(), one.how_closed())
            })
            .collect(),
        gaps: project
            .gaps
            .iter()
            .filter(|gap| matches!(gap.shape, GapShape::Hole { .. }))
            .map(|gap| gap.place.clone())
            .collect(),
        linings: Vec::new(),
        loud: project.sources.iter().any(|source| source.level_dba.is_none_or(|level| level > LOUD_DBA)),
    }
}
