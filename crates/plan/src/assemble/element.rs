//! A build-up as the sound sees it.

use catalogue::{Clip as ClipEntry, Stud, Tie, find};
use sound::element::{self as acoustic, Bridge, BridgeKind, Element, Leak, Mounting, Part};

use crate::{
    assemble::{
        leaks,
        material::{Solid, fibre, plaster, solid},
    },
    project::{self, Bond, ElementSpec, Layer, LeafKind},
};

/// A membrane lighter than this between two cavities does not part them for sound, kg/m².
pub(crate) const LIGHT_MEMBRANE_KG_M2: f64 = 1.0;
/// Edge absorption of a cavity whose reveals are lined, 0 to 1 (typical of 25 mm fibre above 250 Hz, no source).
const LINED_REVEALS: f64 = 0.6;
/// Loss factor of sheets joined by a damping compound where none is given (typical, no source).
const DAMPED_LOSS: f64 = 0.15;
/// Where nothing is stated, studs stand this far apart, m (common practice).
const STUD_SPACING_M: f64 = 0.6;
/// Where nothing is stated, bars and channels stand this far apart, m (common practice).
const BAR_SPACING_M: f64 = 0.6;
/// Where nothing is stated, clips stand this far apart along a bar, m (common practice).
const CLIP_SPACING_M: f64 = 0.9;

/// Steel of light and of load-bearing studs where nothing is stated, mm, and the compliance of the catalogue's studs that
/// tells them apart, m²/N.
const LIGHT_STEEL_MM: f64 = 0.55;
const HEAVY_STEEL_MM: f64 = 1.5;
const HEAVY_STUD_M2_N: f64 = 5.0e-7;

/// Stiffness of a metre of the edge of a pane where nothing is stated, N/m² (gasket; the one the published windows were fitted with).
const FRAME_STIFFNESS_N_M2: f64 = 1.0e7;

/// How the clips really lie, once the ceiling is set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ClipPattern {
    /// Clips per square metre.
    pub(crate) per_m2: f64,
    /// Mean distance of the bars, m.
    pub(crate) bar_spacing_m: f64,
}

/// Size, surroundings and leaks of an element.
#[derive(Clone, Debug)]
pub(crate) struct Setting {
    /// Name.
    pub(crate) name: String,
    /// Width, m.
    pub(crate) width_m: f64,
    /// Height, m.
    pub(crate) height_m: f64,
    /// How its edges are held.
    pub(crate) mounting: Mounting,
    /// Its leaks.
    pub(crate) leaks: Vec<Leak>,
    /// The real pattern of clips, where known.
    pub(crate) clips: Option<ClipPattern>,
    /// How many clips are bridged by a screw that goes straight through.
    pub(crate) bridged_clips: Option<u32>,
}

/// A build-up as an element of a certain size with its leaks.
pub(crate) fn element(spec: &ElementSpec, setting: Setting) -> Element {
    let (parts, place_of_cavity) = parts(spec);
    let mut all_leaks = setting.leaks;
    all_leaks.extend(leaks::of_leaves(spec, (setting.width_m, setting.height_m)));
    let mut bridges: Vec<Bridge> = spec
        .bridges
        .iter()
        .filter_map(|bridge| {
            let leaf = place_of_cavity.get(bridge.cavity).copied().flatten()?;
            let depth_m = cavity_depth_m(&parts, leaf);
            let (name, kind, spread) =
                bridge_kind(bridge, depth_m, (setting.width_m, setting.height_m), setting.clips)?;
            Some(Bridge { name, leaves: (leaf, leaf + 1), kind, stiffness_spread: spread })
        })
        .collect();
    bridges.extend(panes_in_one_opening(spec, &parts, &bridges, (setting.width_m, setting.height_m)));
    bridges.extend(setting.bridged_clips.and_then(|count| bridged_clips(&bridges, count)));
    Element {
        name: setting.name,
        width_m: setting.width_m,
        height_m: setting.height_m,
        parts,
        bridges,
        leaks: all_leaks,
        mounting: setting.mounting,
        measured: spec.measured.clone().map(|readings| acoustic::Measured {
            readings,
            standard_uncertainty_db: spec.measured_uncertainty_db,
        }),
    }
}

/// Two panes in one opening are joined at their edges, by the frame they share or by the reveal, unless the file says otherwise: every
/// published double window shows it.
fn panes_in_one_opening(
    spec: &ElementSpec,
    parts: &[Part],
    given: &[Bridge],
    (width_m, height_m): (f64, f64),
) -> Vec<Bridge> {
    let all_glass = spec.layers.iter().all(|layer| match layer {
        Layer::Leaf(leaf) => leaf.kind == LeafKind::Glass,
        Layer::Cavity(_) => true,
    });
    let gaps = parts.iter().filter(|part| matches!(part, Part::Cavity(_))).count();
    let said = |gap: usize| {
        given.iter().any(|bridge| bridge.leaves.0 == gap)
            || spec.bridges.iter().any(|bridge| bridge.cavity == gap)
    };
    (0..gaps)
        .filter(|gap| all_glass && !said(*gap))
        .map(|gap| Bridge {
            name: "edges of the panes".to_owned(),
            leaves: (gap, gap + 1),
            kind: BridgeKind::CommonFrame {
                length_m: 2.0 * (width_m + height_m),
                stiffness_n_m2: FRAME_STIFFNESS_N_M2,
            },
            stiffness_spread: 0.5,
        })
        .collect()
}

/// Clips bridged by a screw, across the cavity the clips cross.
fn bridged_clips(bridges: &[Bridge], count: u32) -> Option<Bridge> {
    let clips = bridges.iter().find(|bridge| matches!(bridge.kind, BridgeKind::Clip { .. }))?;
    (count > 0).then(|| Bridge {
        name: "bridged clips".to_owned(),
        leaves: clips.leaves,
        kind: BridgeKind::RigidPoint { count: f64::from(count) },
        stiffness_spread: 0.0,
    })
}

/// Leaves and cavities in turn, and for each cavity of the build-up the leaf just outside of it.
fn parts(spec: &ElementSpec) -> (Vec<Part>, Vec<Option<usize>>) {
    let mut parts: Vec<Part> = Vec::new();
    let mut place_of_cavity = Vec::new();
    let mut leaves = 0_usize;
    for (index, layer) in spec.layers.iter().enumerate() {
        match layer {
            Layer::Leaf(leaf) => {
                let solid = solid(leaf);
                let between_cavities = matches!(parts.last(), Some(Part::Cavity(_)))
                    && matches!(spec.layers.get(index + 1), Some(Layer::Cavity(_)));
                if leaf.kind == LeafKind::Membrane
                    && between_cavities
                    && solid.mass_kg_m2() < LIGHT_MEMBRANE_KG_M2
                {
                    continue;
                }
                let sheets = sheets_of(leaf, &solid);
                let bond = bond_of(leaf, &solid);
                if let Some(Part::Leaf(before)) = parts.last_mut() {
                    before.name = format!("{}, {}", before.name, solid.name);
                    before.sheets.extend(sheets);
                    if leaf.bond != Bond::Screwed {
                        before.bond = bond;
                    }
                    // A skin on a board moves with it: the board says how the leaf bends.
                    if before.kind == acoustic::LeafKind::Limp {
                        before.kind = kind_of(&solid);
                    }
                    if kind_of(&solid) == acoustic::LeafKind::Masonry {
                        before.kind = acoustic::LeafKind::Masonry;
                        before.bond = acoustic::Bond::Glued;
                    }
                } else {
                    leaves += 1;
                    parts.push(Part::Leaf(acoustic::Leaf {
                        name: solid.name.clone(),
                        sheets,
                        bond,
                        kind: kind_of(&solid),
                    }));
                }
            }
            Layer::Cavity(cavity) => {
                place_of_cavity.push(leaves.checked_sub(1));
                let fills = fibre(cavity).map(|fibre| acoustic::Fill {
                    name: fibre.name,
                    thickness_m: fibre.thickness_m,
                    flow_resistivity_pa_s_m2: fibre.flow_resistivity_pa_s_m2,
                    density_kg_m3: fibre.density_kg_m3,
                    dynamic_stiffness_n_m3: cavity.dynamic_stiffness_mn_m3.map(|mn| mn * 1e6).or_else(|| {
                        fibre.modulus_mpa.map(|modulus| modulus * 1e6 / fibre.thickness_m.max(1e-3))
                    }),
                    flow_resistivity_spread: fibre.spread,
                });
                let edge_absorption = cavity.lined_reveals.then_some(LINED_REVEALS);
                if let Some(Part::Cavity(before)) = parts.last_mut() {
                    before.depth_m += cavity.depth_mm / 1000.0;
                    before.fills.extend(fills);
                    before.vented |= cavity.vented;
                    before.edge_absorption = before.edge_absorption.or(edge_absorption);
                } else {
                    parts.push(Part::Cavity(acoustic::Cavity {
                        depth_m: cavity.depth_mm / 1000.0,
                        fills: fills.into_iter().collect(),
                        vented: cavity.vented,
                        edge_absorption,
                    }));
                }
            }
        }
    }
    (parts, place_of_cavity)
}

fn cavity_depth_m(parts: &[Part], leaf: usize) -> f64 {
    parts
        .iter()
        .filter_map(|part| if let Part::Cavity(cavity) = part { Some(cavity.depth_m) } else { None })
        .nth(leaf)
        .unwrap_or(0.1)
}

fn sheets_of(leaf: &project::Leaf, solid: &Solid) -> Vec<acoustic::Sheet> {
    let sheet = |solid: &Solid| acoustic::Sheet {
        name: solid.name.clone(),
        thickness_m: solid.thickness_m,
        density_kg_m3: solid.density_kg_m3,
        youngs_modulus_pa: solid.youngs_modulus_pa,
        along_over_across: if solid.ribbed { 1.0 } else { solid.along_over_across },
        poisson: solid.poisson,
        loss_factor: solid.loss_factor,
        spreads: solid.spreads,
    };
    let mut sheets = Vec::new();
    sheets.extend(plaster(leaf.plaster_outside_mm).as_ref().map(sheet));
    sheets.extend(std::iter::repeat_n(sheet(solid), solid.sheets as usize));
    sheets.extend(plaster(leaf.plaster_inside_mm).as_ref().map(sheet));
    sheets
}

fn bond_of(leaf: &project::Leaf, solid: &Solid) -> acoustic::Bond {
    if solid.kind == LeafKind::Masonry {
        return acoustic::Bond::Glued;
    }
    match leaf.bond {
        Bond::Screwed => acoustic::Bond::Loose,
        Bond::Glued => acoustic::Bond::Glued,
        Bond::Damped => acoustic::Bond::Damped { loss_factor: leaf.own.loss_factor.unwrap_or(DAMPED_LOSS) },
    }
}

fn kind_of(solid: &Solid) -> acoustic::LeafKind {
    match solid.kind {
        LeafKind::Board if solid.ribbed => {
            acoustic::LeafKind::Orthotropic { stiffness_ratio: solid.along_over_across.max(1.0) }
        }
        LeafKind::Masonry => acoustic::LeafKind::Masonry,
        LeafKind::Membrane => acoustic::LeafKind::Limp,
        LeafKind::Board | LeafKind::Glass => acoustic::LeafKind::Thin,
    }
}

fn bridge_kind(
    bridge: &project::Bridge,
    depth_m: f64,
    size_m: (f64, f64),
    clips: Option<ClipPattern>,
) -> Option<(String, BridgeKind, f64)> {
    use project::BridgeKind as Given;
    let spacing_m = bridge.spacing_mm.map(|mm| mm / 1000.0);
    let stud_spacing_m = spacing_m.unwrap_or(STUD_SPACING_M);
    let bar_spacing_m = bridge.bar_spacing_mm.map_or(BAR_SPACING_M, |mm| mm / 1000.0);
    let product = bridge.product.as_ref().map_or("", |id| id.as_str());
    let heavy = find::<Stud>(product).is_some_and(|stud| stud.compliance_m2_n < HEAVY_STUD_M2_N);
    let (name, kind, spread) = match bridge.kind {
        Given::TimberStud => ("timber studs", BridgeKind::TimberStud { spacing_m: stud_spacing_m }, 0.25),
        Given::StaggeredStuds => {
            ("staggered studs", BridgeKind::StaggeredStud { spacing_m: stud_spacing_m }, 0.25)
        }
        Given::DoubleStuds => ("double studs", BridgeKind::DoubleStud { spacing_m: stud_spacing_m }, 0.25),
        Given::SteelStud => (
            "steel studs",
            BridgeKind::SteelStud {
                spacing_m: stud_spacing_m,
                steel_thickness_m: bridge.steel_mm.unwrap_or(if heavy {
                    HEAVY_STEEL_MM
                } else {
                    LIGHT_STEEL_MM
                }) / 1000.0,
                web_depth_m: depth_m,
                // Gauge and depth decide, as fitted on published walls, unless the person measured the stud.
                compliance_m2_n: bridge.compliance_m2_n,
            },
            0.25,
        ),
        Given::ResilientChannel => (
            "resilient channels",
            BridgeKind::ResilientChannel {
                stud_spacing_m,
                channel_spacing_m: bar_spacing_m,
                steel_studs: bridge.steel_studs,
            },
            0.4,
        ),
        Given::Clip => {
            let clip = find::<ClipEntry>(product);
            let stiffness_n_m =
                bridge.stiffness_mn_m.map(|mn| mn * 1e6).or(clip.map(|clip| clip.stiffness_n_m))?;
            let pattern = clips.unwrap_or(ClipPattern {
                per_m2: bridge
                    .per_m2
                    .unwrap_or_else(|| 1.0 / (bar_spacing_m * spacing_m.unwrap_or(CLIP_SPACING_M))),
                bar_spacing_m,
            });
            (
                "resilient clips",
                BridgeKind::Clip {
                    stiffness_n_m,
                    loss_factor: bridge.loss_factor.or(clip.map(|clip| clip.loss_factor)).unwrap_or(0.1),
                    per_m2: pattern.per_m2,
                    bar_spacing_m: pattern.bar_spacing_m,
                },
                clip.map_or(0.3, |clip| clip.stiffness_spread),
            )
        }
        Given::WallTie => {
            let tie = find::<Tie>(product);
            (
                "wall ties",
                BridgeKind::Tie {
                    stiffness_n_m: bridge
                        .stiffness_mn_m
                        .map(|mn| mn * 1e6)
                        .or(tie.map(|tie| tie.stiffness_n_m))
                        .unwrap_or(5.0e6),
                    per_m2: bridge.per_m2.or(tie.map(|tie| tie.number_per_m2)).unwrap_or(2.5),
                },
                tie.map_or(0.4, |tie| tie.stiffness_spread),
            )
        }
        Given::Dab => (
            "adhesive dabs",
            BridgeKind::Dab {
                per_m2: bridge.per_m2.unwrap_or(5.0),
                area_m2: bridge.dab_area_m2.unwrap_or(0.02),
            },
            0.3,
        ),
        Given::RigidPoint => (
            "screws straight through",
            BridgeKind::RigidPoint {
                count: match (bridge.count, bridge.per_m2) {
                    (None, Some(per_m2)) => per_m2 * size_m.0 * size_m.1,
                    (count, _) => f64::from(count.unwrap_or(1)),
                },
            },
            0.0,
        ),
        Given::CommonFrame => (
            "common frame",
            BridgeKind::CommonFrame {
                length_m: bridge.frame_length_m.unwrap_or(2.0 * (size_m.0 + size_m.1)),
                stiffness_n_m2: bridge.frame_stiffness_mn_m2.map_or(FRAME_STIFFNESS_N_M2, |mn| mn * 1e6),
            },
            0.5,
        ),
        Given::None => return None,
    };
    Some((name.to_owned(), kind, spread))
}

/// An element file as the sound sees it.
pub(crate) fn element_of_file(file: &project::ElementFile) -> Element {
    let size_m = (file.width_m, file.height_m);
    let mut leaks: Vec<Leak> =
        file.gaps.iter().map(|gap| leaks::of_gap(&gap.place, gap.shape, gap.depth_mm, gap.filling)).collect();
    leaks.extend(file.seal.as_ref().and_then(|seal| leaks::of_seal(seal.as_str(), size_m)));
    for what in &file.penetrations {
        leaks.extend(leaks::of_penetration(what, &file.element));
    }
    element(
        &file.element,
        Setting {
            name: file.element.name.clone(),
            width_m: file.width_m,
            height_m: file.height_m,
            mounting: match file.mounting {
                project::Mounting::Laboratory => Mounting::Laboratory,
                project::Mounting::Building => Mounting::InSitu,
            },
            leaks,
            clips: None,
            bridged_clips: None,
        },
    )
}
