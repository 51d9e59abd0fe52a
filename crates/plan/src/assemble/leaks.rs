//! Seals, gaps, pores and what goes through an element, as leaks of the sound model.

use std::f64::consts::PI;

use bands::{Band, Readings, Spectrum};
use catalogue::{Seal, SealPlace, find};
use sound::element::{Leak, LeakKind, SealClass, SealGap};

use crate::{
    assemble::material::solid,
    project::{
        ElementId, ElementSpec, GapFilling, GapShape, Layer, Leaf, LeafKind, Penetrating, PenetrationKind,
    },
};

/// The catalogue's word for a leaf or sash as usually hung.
pub(crate) const NO_SEAL: &str = "unsealed";
/// Airflow resistivity of a joint filled with sealant or mortar, Pa s/m² (nearly airtight; typical, no source).
const SEALED_PA_S_M2: f64 = 1.0e6;
/// Of one packed with mineral fibre, Pa s/m² (pressed to about 60 kg/m³; typical, no source).
const FIBRE_PA_S_M2: f64 = 20_000.0;
/// Share of the width of a foamed joint that shrinks and cracks leave open, and the least they do, mm (typical, no source).
const FOAM_OPEN_SHARE: f64 = 0.04;
const FOAM_CRACK_MM: f64 = 0.35;
/// How far sizes of gaps vary, natural logarithm.
const GAP_SPREAD: f64 = 0.5;
/// Share of a louvre's face that is open (common practice).
const LOUVRE_OPEN_SHARE: f64 = 0.45;
/// Nothing in the way, kg/m².
const NO_MASS_KG_M2: f64 = 0.0;
/// Mass of the back of a plastic box, of the can of a lamp, of a plain lid, and of a hood or pad behind a box or lamp, kg/m² (typical,
/// no source).
const BOX_KG_M2: f64 = 2.2;
const LAMP_KG_M2: f64 = 1.3;
const LID_KG_M2: f64 = 8.5;
const HOOD_KG_M2: f64 = 12.0;
/// Gap round a box or lamp let into a board, m.
const ROUND_A_BOX_M: f64 = 0.001;
/// Share of a wall of one leaf that is left behind a box let into it.
const LEFT_BEHIND: f64 = 0.5;

/// The seal all round an opening of `size_m` (width, height).
pub(crate) fn of_seal(id: &str, size_m: (f64, f64)) -> Option<Leak> {
    let seal = find::<Seal>(id)?;
    let length_m = 2.0 * (size_m.0 + size_m.1);
    let (width_m, depth_m) = (seal.slit_width_mm / 1000.0, seal.depth_mm / 1000.0);
    let kind = match seal.place {
        SealPlace::Opening => {
            LeakKind::Seal { length_m, gap: SealGap { width_m, depth_m, lip: id != NO_SEAL } }
        }
        SealPlace::Fixed => {
            LeakKind::Slit { length_m, width_m, depth_m, filling_pa_s_m2: None, at_edge: false }
        }
    };
    (seal.slit_width_mm > 0.0).then(|| Leak {
        name: seal.name.to_owned(),
        leaf: None,
        kind,
        size_spread: seal.width_spread,
    })
}

/// A gap or hole the person listed.
pub(crate) fn of_gap(name: &str, shape: GapShape, depth_mm: f64, filling: GapFilling) -> Leak {
    let filling_pa_s_m2 = match filling {
        GapFilling::Nothing | GapFilling::Foam => None,
        GapFilling::Fibre => Some(FIBRE_PA_S_M2),
        GapFilling::Sealant => Some(SEALED_PA_S_M2),
    };
    let open_mm = |whole_mm: f64| match filling {
        GapFilling::Foam => (FOAM_OPEN_SHARE * whole_mm).max(FOAM_CRACK_MM).min(whole_mm),
        _ => whole_mm,
    };
    let depth_m = depth_mm / 1000.0;
    let kind = match shape {
        GapShape::Slit { length_m, width_mm } => LeakKind::Slit {
            length_m,
            width_m: open_mm(width_mm) / 1000.0,
            depth_m,
            filling_pa_s_m2,
            at_edge: true,
        },
        // A crack round the foam opens what a slit of its girth does.
        GapShape::Hole { diameter_mm } if filling == GapFilling::Foam => LeakKind::Slit {
            length_m: PI * diameter_mm / 1000.0,
            width_m: open_mm(diameter_mm / 2.0) / 1000.0,
            depth_m,
            filling_pa_s_m2,
            at_edge: false,
        },
        GapShape::Hole { diameter_mm } => {
            LeakKind::Hole { diameter_m: diameter_mm / 1000.0, depth_m, count: 1.0, filling_pa_s_m2 }
        }
    };
    Leak { name: name.to_owned(), leaf: None, kind, size_spread: GAP_SPREAD }
}

/// Whether a leaf of an element has a seal of its own.
pub(crate) fn has_leaf_seal(spec: &ElementSpec) -> bool {
    solids(spec).iter().any(|(leaf, _)| leaf.seal.is_some())
}

/// Leaks of single leaves: seals of doors and sashes behind each other, and the pores of bare blocks.
pub(crate) fn of_leaves(spec: &ElementSpec, size_m: (f64, f64)) -> Vec<Leak> {
    let mut leaks = Vec::new();
    for (leaf, place) in solids(spec) {
        if let Some(seal) = leaf.seal.as_ref().and_then(|id| of_seal(id.as_str(), size_m)) {
            leaks.push(Leak { leaf: Some(place), ..seal });
        }
        let bare = leaf.plaster_outside_mm <= 0.0 && leaf.plaster_inside_mm <= 0.0;
        let solid = solid(leaf);
        let depth_m = solid.depth_m().max(1e-3);
        let porous = leaf
            .own
            .flow_resistance_pa_s_m
            .map(|resistance| resistance / depth_m)
            .or_else(|| solid.porous_bare.filter(|_| bare));
        if let Some(flow_resistivity_pa_s_m2) = porous {
            leaks.push(Leak {
                name: format!("pores of {}", solid.name),
                leaf: Some(place),
                kind: LeakKind::Pores { flow_resistivity_pa_s_m2, depth_m },
                size_spread: 0.7,
            });
        }
    }
    leaks
}

/// The solid layers, each with the number of the acoustic leaf it is part of: layers that touch are one leaf.
fn solids(spec: &ElementSpec) -> Vec<(&Leaf, usize)> {
    let mut place = 0;
    let mut found = Vec::new();
    for layer in &spec.layers {
        match layer {
            Layer::Leaf(leaf) => found.push((leaf, place)),
            Layer::Cavity(_) => place += 1,
        }
    }
    // A light skin between two cavities is no leaf of its own; cavities beside it count once.
    let mut merged = Vec::new();
    let mut less = 0;
    for (leaf, place) in found.iter().copied() {
        let alone = found.iter().filter(|other| other.1 == place).count() == 1;
        let last = found.iter().map(|other| other.1).max().unwrap_or(0);
        let between = place > 0 && place < last;
        let skin = leaf.kind == LeafKind::Membrane
            && alone
            && between
            && solid(leaf).mass_kg_m2() < super::element::LIGHT_MEMBRANE_KG_M2;
        if skin {
            less += 1;
        } else {
            merged.push((leaf, place - less.min(place)));
        }
    }
    merged
}

/// Depth over all layers, m.
pub(crate) fn depth_m(spec: &ElementSpec) -> f64 {
    spec.layers
        .iter()
        .map(|layer| match layer {
            Layer::Leaf(leaf) => solid(leaf).depth_m(),
            Layer::Cavity(cavity) => cavity.depth_mm / 1000.0,
        })
        .sum::<f64>()
        .max(0.01)
}

/// The innermost leaf of a ceiling of several: a gap round its boards opens into the space above, not into the open.
pub(crate) fn inner_leaf(spec: &ElementSpec, id: ElementId) -> Option<usize> {
    let inner = solids(spec).iter().map(|solid| solid.1).max()?;
    (id == ElementId::Ceiling && inner > 0).then_some(inner)
}

/// What goes through an element, or is let into the leaf inside.
pub(crate) fn of_penetration(what: &Penetrating, spec: &ElementSpec) -> Vec<Leak> {
    let count = f64::from(what.count);
    let leak = |name: &str, leaf: Option<usize>, kind: LeakKind| Leak {
        name: name.to_owned(),
        leaf,
        kind,
        size_spread: GAP_SPREAD,
    };
    if let Some(given) = &what.dn_e {
        return vec![leak(&what.place, None, LeakKind::Device { dn_e_db: filled_up(given), count })];
    }
    let solids = solids(spec);
    let inner = solids.iter().map(|solid| solid.1).max();
    let depth_m = depth_m(spec);
    let filling_pa_s_m2 = what.sealed.then_some(SEALED_PA_S_M2);
    let size = |usual: f64| what.size_mm.unwrap_or(usual) / 1000.0;
    let face = |usual: f64| {
        let width = size(usual);
        (width, what.height_mm.map_or(width, |mm| mm / 1000.0))
    };
    // What is let into a single leaf leaves part of it standing.
    let behind = |own: f64| {
        let mass: f64 = solids.iter().map(|(leaf, _)| solid(leaf).mass_kg_m2()).sum();
        if inner == Some(0) { own.max(LEFT_BEHIND * mass) } else { own }
    };
    let cover = |own: f64| if what.sealed { HOOD_KG_M2 } else { own };
    let round = |length_m: f64| LeakKind::Slit {
        length_m: count * length_m,
        width_m: ROUND_A_BOX_M,
        depth_m: 0.02,
        filling_pa_s_m2,
        at_edge: false,
    };
    let panel = |area_m2: f64, mass_kg_m2: f64| LeakKind::Panel { area_m2, mass_kg_m2, count };
    let edge = format!("{} edge", what.place);
    match what.kind {
        PenetrationKind::Cable => {
            let kind = LeakKind::Hole { diameter_m: size(10.0), depth_m, count, filling_pa_s_m2 };
            vec![leak(&what.place, None, kind)]
        }
        PenetrationKind::Pipe => {
            let gap_m = 0.005;
            let kind = LeakKind::Slit {
                length_m: count * PI * (size(32.0) + gap_m),
                width_m: gap_m,
                depth_m,
                filling_pa_s_m2,
                at_edge: false,
            };
            vec![leak(&what.place, None, kind)]
        }
        PenetrationKind::SocketBox => {
            let (width, height) = face(75.0);
            let mut leaks = vec![leak(&what.place, inner, panel(width * height, behind(cover(BOX_KG_M2))))];
            if inner != Some(0) {
                leaks.push(leak(&edge, inner, round(2.0 * (width + height))));
            }
            leaks
        }
        PenetrationKind::Lamp => {
            let across = size(75.0);
            let area = PI * across * across / 4.0;
            let mut leaks = vec![leak(&what.place, inner, panel(area, behind(cover(LAMP_KG_M2))))];
            if inner != Some(0) {
                leaks.push(leak(&edge, inner, round(PI * across)));
            }
            leaks
        }
        PenetrationKind::Hatch => {
            let (width, height) = face(600.0);
            let class = if what.sealed { SealClass::Compression } else { SealClass::None };
            let seal = LeakKind::Seal { length_m: count * 2.0 * (width + height), gap: class.gap() };
            vec![leak(&what.place, inner, panel(width * height, LID_KG_M2)), leak(&edge, inner, seal)]
        }
        PenetrationKind::Louvre => {
            let (width, height) = face(200.0);
            let open = LOUVRE_OPEN_SHARE * width * height;
            let mass = if what.sealed { LID_KG_M2 } else { NO_MASS_KG_M2 };
            vec![leak(&what.place, None, panel(open, mass))]
        }
    }
}

/// A measured level difference in all bands: beyond its ends the last value holds.
fn filled_up(given: &Readings) -> Spectrum {
    let known: Vec<(Band, f64)> = given.iter().collect();
    Spectrum::from_fn(|band| {
        let nearest = known.iter().min_by_key(|(other, _)| other.index().abs_diff(band.index()));
        nearest.map_or(0.0, |(_, value)| *value)
    })
}
