//! A build-up as the sound sees it.

use catalogue::{Clip as ClipEntry, Seal, Stud, Tie, find};
use sound::element::{self as acoustic, Bridge, BridgeKind, Element, Leak, LeakKind, Mounting, Part};

use crate::{
    assemble::material::{Solid, fibre, plaster, solid},
    project::{self, Bond, ElementSpec, GapShape, Layer, LeafKind},
};

/// A membrane lighter than this between two cavities does not part them for sound, kg/m².
const LIGHT_MEMBRANE_KG_M2: f64 = 1.0;
/// Edge absorption of a cavity whose reveals are lined, 0 to 1 (typical of 25 mm fibre above 250 Hz, no source).
const LINED_REVEALS: f64 = 0.6;
/// Loss factor of sheets joined by a damping compound where none is given (typical, no source).
const DAMPED_LOSS: f64 = 0.15;
/// Airflow resistivity of a joint filled with sealant or mortar, Pa s/m² (nearly airtight; typical, no source).
const SEALED_PA_S_M2: f64 = 1.0e6;
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

/// Length and stiffness of a common frame where nothing is stated, m and N/m² (putty or gasket; typical, no source).
const FRAME_LENGTH_M: f64 = 5.0;
const FRAME_STIFFNESS_N_M2: f64 = 5.0e7;

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
}

/// A build-up as an element of a certain size with its leaks.
pub(crate) fn element(spec: &ElementSpec, setting: Setting) -> Element {
    let (parts, place_of_cavity) = parts(spec);
    let bridges = spec
        .bridges
        .iter()
        .filter_map(|bridge| {
            let leaf = place_of_cavity.get(bridge.cavity).copied().flatten()?;
            let depth_m = cavity_depth_m(&parts, leaf);
            let (name, kind, spread) = bridge_kind(bridge, depth_m, setting.clips)?;
            Some(Bridge { name, leaves: (leaf, leaf + 1), kind, stiffness_spread: spread })
        })
        .collect();
    Element {
        name: setting.name,
        width_m: setting.width_m,
        height_m: setting.height_m,
        parts,
        bridges,
        leaks: setting.leaks,
        mounting: setting.mounting,
        measured: spec.measured.clone().map(|readings| acoustic::Measured {
            readings,
            standard_uncertainty_db: spec.measured_uncertainty_db,
        }),
    }
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
                    dynamic_stiffness_n_m3: None,
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
        LeafKind::Masonry => acoustic::LeafKind::Masonry,
        LeafKind::Membrane => acoustic::LeafKind::Limp,
        LeafKind::Board | LeafKind::Glass => acoustic::LeafKind::Thin,
    }
}

fn bridge_kind(
    bridge: &project::Bridge,
    depth_m: f64,
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
            BridgeKind::RigidPoint { count: f64::from(bridge.count.unwrap_or(1)) },
            0.0,
        ),
        Given::CommonFrame => (
            "common frame",
            BridgeKind::CommonFrame {
                length_m: bridge.frame_length_m.unwrap_or(FRAME_LENGTH_M),
                stiffness_n_m2: bridge.frame_stiffness_mn_m2.map_or(FRAME_STIFFNESS_N_M2, |mn| mn * 1e6),
            },
            0.5,
        ),
        Given::None => return None,
    };
    Some((name.to_owned(), kind, spread))
}

/// The seal all round an opening, as a leak.
pub(crate) fn seal_leak(id: &str, width_m: f64, height_m: f64) -> Option<Leak> {
    let seal = find::<Seal>(id)?;
    (seal.slit_width_mm > 0.0).then(|| Leak {
        name: seal.name.to_owned(),
        kind: LeakKind::Slit {
            length_m: 2.0 * (width_m + height_m),
            width_m: seal.slit_width_mm / 1000.0,
            depth_m: seal.depth_mm / 1000.0,
            filling_pa_s_m2: None,
            at_edge: false,
        },
        size_spread: seal.width_spread,
    })
}

/// A gap or hole the person listed, as a leak.
pub(crate) fn gap_leak(name: &str, shape: GapShape, depth_mm: f64, filled: bool) -> Leak {
    let filling_pa_s_m2 = filled.then_some(SEALED_PA_S_M2);
    let depth_m = depth_mm / 1000.0;
    let kind = match shape {
        GapShape::Slit { length_m, width_mm } => {
            LeakKind::Slit { length_m, width_m: width_mm / 1000.0, depth_m, filling_pa_s_m2, at_edge: true }
        }
        GapShape::Hole { diameter_mm } => {
            LeakKind::Hole { diameter_m: diameter_mm / 1000.0, depth_m, count: 1.0, filling_pa_s_m2 }
        }
    };
    Leak { name: name.to_owned(), kind, size_spread: 0.5 }
}

/// An element file as the sound sees it.
pub(crate) fn element_of_file(file: &project::ElementFile) -> Element {
    let leaks =
        file.gaps.iter().map(|gap| gap_leak(&gap.place, gap.shape, gap.depth_mm, gap.filled)).collect();
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
        },
    )
}
