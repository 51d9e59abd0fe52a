//! What windows and doors could be, how the air paths could be silenced, and how well joints are closed.

use catalogue::{Door, Glass, find};

use crate::{
    assemble::material::solid,
    choosing::{
        boards::leaf,
        ceiling::cavity,
        prices::{Cost, Prices},
        proposal::{Change, Proposal, SealChange},
    },
    project::{
        Bond, ElementSpec, GapFilling, GapShape, Layer, LeafKind, LiningId, Opening, OpeningKind, Project,
        SealId, Vent, VentKind,
    },
};

/// Panes for a second window inside, entries of the catalogue.
const PANES: [&str; 8] = [
    "glass-6",
    "glass-10",
    "laminated-glass-6.8",
    "laminated-glass-8.8",
    "laminated-glass-10.8",
    "laminated-glass-12.8",
    "acoustic-laminated-glass-8.8",
    "acoustic-laminated-glass-12.8",
];
/// Clear distances between the panes, mm.
const PANE_GAPS_MM: [f64; 5] = [60.0, 100.0, 120.0, 150.0, 200.0];
/// Door leaves, entries of the catalogue.
const LEAVES: [&str; 4] = ["solid-core-54", "laminated-flush-44", "hardwood-66", "steel-acoustic-100"];
/// Second leaves, entries of the catalogue, and clear distances to the first, mm.
const SECOND_LEAVES: [&str; 3] = ["solid-core-44", "solid-core-54", "hardwood-66"];
const BEHIND_MM: [f64; 3] = [100.0, 200.0, 400.0];
/// Depth of a lobby that one person stands in with both doors shut, mm, and how much wider than the door it is, m.
const LOBBY_MM: f64 = 900.0;
const LOBBY_WIDER_M: f64 = 0.2;
/// Seals with the rows of seal in each, entries of the catalogue.
const SEALS: [(&str, f64); 2] = [("compression-seal", 1.0), ("double-compression-seal", 2.0)];
/// The lining of a duct.
const LINING: &str = "mineral-wool-60kg";

/// Everything an opening could be, as it is first.
pub(super) fn proposals(opening: &Opening, spec: &ElementSpec, prices: &Prices<'_>) -> Vec<Proposal> {
    let mut all = vec![Proposal::as_it_is()];
    if spec.measured.is_some() {
        return all;
    }
    let (width_m, height_m) = (opening.width_mm / 1000.0, opening.height_mm / 1000.0);
    let size = (width_m * height_m, 2.0 * (width_m + height_m));
    let bodies = match opening.kind {
        OpeningKind::Window => windows(spec, size, prices),
        OpeningKind::Door => doors(spec, (width_m, height_m), prices),
        OpeningKind::Hatch => vec![(String::new(), spec.clone(), Cost::default(), Vec::new(), 0.0)],
    };
    for (name, body, body_cost, body_work, floor_m2) in bodies {
        let by_leaf =
            body.layers.iter().any(|layer| matches!(layer, Layer::Leaf(leaf) if leaf.seal.is_some()));
        let same = body == *spec;
        let seals = if by_leaf { &[][..] } else { &SEALS[..] };
        // With the seal there is, and with each other.
        let kept = (!same).then_some((None, Cost::default()));
        let others = seals
            .iter()
            .filter(|(id, _)| opening.seal.as_ref().is_none_or(|seal| seal.as_str() != *id))
            .map(|(id, rows)| (Some(*id), prices.seal(size.1, *rows)));
        for (seal, seal_cost) in kept.into_iter().chain(others) {
            let mut work = body_work.clone();
            work.extend(seal.map(|_| "fit and adjust the seals"));
            let words = match (name.as_str(), seal) {
                ("", Some(seal)) => seal_words(seal).to_owned(),
                (name, Some(seal)) => format!("{name}, {}", seal_words(seal)),
                (name, None) => name.to_owned(),
            };
            let cost = body_cost + seal_cost;
            let change = Change {
                buildup: (!same).then(|| body.clone()),
                seal: match (by_leaf, seal) {
                    (true, _) => SealChange::OfLeaves,
                    (false, Some(id)) => SealChange::Other(SealId(id.to_owned())),
                    (false, None) => SealChange::Stays,
                },
                ..Change::default()
            };
            all.push(Proposal {
                cost: cost.amount,
                guessed: cost.guessed,
                floor_m2,
                ..Proposal::new(words, change, work)
            });
        }
    }
    all
}

fn seal_words(id: &str) -> &'static str {
    if id == "double-compression-seal" { "two rows of seals all round" } else { "one row of seals all round" }
}

/// Name, build-up, cost, work, and floor that it takes, m².
type Body = (String, ElementSpec, Cost, Vec<&'static str>, f64);

fn windows(spec: &ElementSpec, (area_m2, edge_m): (f64, f64), prices: &Prices<'_>) -> Vec<Body> {
    let mut all = vec![(String::new(), spec.clone(), Cost::default(), Vec::new(), 0.0)];
    let Some(Layer::Leaf(outer)) = spec
        .layers
        .first()
        .filter(|layer| matches!(layer, Layer::Leaf(leaf) if leaf.kind == LeafKind::Glass))
    else {
        return all;
    };
    for id in PANES {
        for gap_mm in PANE_GAPS_MM {
            let mut between = cavity(gap_mm);
            between.lined_reveals = true;
            let name =
                format!("second pane {} at {gap_mm:.0} mm", find::<Glass>(id).map_or(id, |pane| pane.name));
            let layers = vec![
                Layer::Leaf(outer.clone()),
                Layer::Cavity(between),
                Layer::Leaf(leaf(id, LeafKind::Glass)),
            ];
            let body = ElementSpec {
                name: name.clone(),
                layers,
                bridges: Vec::new(),
                measured: None,
                measured_uncertainty_db: None,
            };
            if body.layers == spec.layers {
                continue;
            }
            let cost = prices.pane(id, area_m2, edge_m);
            all.push((
                name,
                body,
                cost,
                vec!["line the reveals", "set the second pane in its own frame"],
                0.0,
            ));
        }
    }
    all
}

fn doors(spec: &ElementSpec, (width_m, height_m): (f64, f64), prices: &Prices<'_>) -> Vec<Body> {
    let (area_m2, edge_m) = (width_m * height_m, 2.0 * (width_m + height_m));
    let mut all = vec![(String::new(), spec.clone(), Cost::default(), Vec::new(), 0.0)];
    let mut firsts: Vec<(String, Leaf, Cost)> = Vec::new();
    if let [Layer::Leaf(only)] = spec.layers.as_slice() {
        firsts.push((String::new(), only.clone(), Cost::default()));
    } else {
        // A lobby that is there already is left to the person's own options.
        return all;
    }
    for id in LEAVES {
        let name = find::<Door>(id).map_or(id, |door| door.name);
        if firsts.iter().any(|(_, leaf, _)| solid(leaf).id == id) {
            continue;
        }
        firsts.push((name.to_owned(), leaf(id, LeafKind::Board), prices.door(id, area_m2, true)));
    }
    for (name, first, cost) in firsts {
        let bare = |layers: Vec<Layer>, name: &str| ElementSpec {
            name: name.to_owned(),
            layers,
            bridges: Vec::new(),
            measured: None,
            measured_uncertainty_db: None,
        };
        if !name.is_empty() {
            all.push((
                name.clone(),
                bare(vec![Layer::Leaf(first.clone())], &name),
                cost,
                vec!["hang the new door"],
                0.0,
            ));
        }
        for id in SECOND_LEAVES {
            for gap_mm in BEHIND_MM.into_iter().chain([LOBBY_MM]) {
                let is_lobby = gap_mm >= LOBBY_MM;
                for (seal, rows) in SEALS {
                    let mut lobby = cavity(gap_mm);
                    lobby.lined_reveals = true;
                    let with_seal = |leaf: Leaf| {
                        Layer::Leaf(Leaf { seal: Some(SealId(seal.to_owned())), bond: Bond::Screwed, ..leaf })
                    };
                    let layers = vec![
                        with_seal(first.clone()),
                        Layer::Cavity(lobby),
                        with_seal(leaf(id, LeafKind::Board)),
                    ];
                    let second = find::<Door>(id).map_or(id, |door| door.name);
                    let begun = if name.is_empty() { String::new() } else { format!("{name}, ") };
                    let how = if is_lobby {
                        format!("lobby {gap_mm:.0} mm deep with a second door {second}")
                    } else {
                        format!("second leaf {second} {gap_mm:.0} mm behind it")
                    };
                    let words = format!("{begun}{how}, {}", seal_words(seal));
                    let mut cost = cost + prices.door(id, area_m2, true) + prices.seal(2.0 * edge_m, rows);
                    let mut work =
                        vec!["hang a second door", "line the lobby", "fit and adjust the seals of both"];
                    let mut floor_m2 = 0.0;
                    if is_lobby {
                        // Two sides and a lid, a frame with two boards on each face.
                        let depth_m = gap_mm / 1000.0;
                        let walls_m2 = depth_m * (2.0 * height_m + width_m);
                        let boards = prices.board_m2("plasterboard-12.5").times(4.0);
                        cost = cost + (prices.frame_m2() + boards).times(walls_m2);
                        work.insert(0, "build the two sides and the lid of the lobby");
                        floor_m2 = depth_m * (width_m + LOBBY_WIDER_M);
                    }
                    all.push((words.clone(), bare(layers, &words), cost, work, floor_m2));
                }
            }
        }
    }
    all
}

use crate::project::Leaf;

/// Everything an air path could be, as it is first.
pub(super) fn vents(vent: &Vent, prices: &Prices<'_>) -> Vec<Proposal> {
    let mut all = vec![Proposal::as_it_is()];
    let mut put = |name: String, changed: Vent, cost: Cost| {
        if changed == *vent {
            return;
        }
        let change = Change { vent: Some(changed), ..Change::default() };
        all.push(Proposal {
            cost: cost.amount,
            guessed: cost.guessed,
            ..Proposal::new(name, change, vec!["build the lined air path"])
        });
    };
    match vent.kind {
        VentKind::Duct => {
            for longer_m in [0.0, 0.6, 1.2, 1.8, 2.4] {
                for lining_mm in [25.0, 50.0] {
                    let length_mm = vent.lined_length_mm + longer_m * 1000.0;
                    if vent.lining.is_some() && lining_mm < vent.lining_mm {
                        continue;
                    }
                    let changed = Vent {
                        lined_length_mm: length_mm,
                        lining: Some(LiningId(LINING.to_owned())),
                        lining_mm,
                        ..vent.clone()
                    };
                    // What is lined as before only grows.
                    let same_lining = vent.lining.is_some() && (vent.lining_mm - lining_mm).abs() < 0.5;
                    let new_m = if same_lining { longer_m } else { length_mm / 1000.0 };
                    let name = format!("{:.1} m of duct lined {lining_mm:.0} mm", length_mm / 1000.0);
                    put(name, changed, prices.duct_m(lining_mm).times(new_m));
                }
            }
        }
        VentKind::BaffleBox => {
            let sizes = [vent.box_length_mm, vent.box_width_mm, vent.box_height_mm];
            let [Some(length), Some(width), Some(height)] = sizes else { return all };
            for (longer, wider) in
                [(1.0, 1.0), (1.25, 1.0), (1.0, 1.25), (1.25, 1.25), (1.5, 1.25), (1.5, 1.5)]
            {
                for lining_mm in [50.0, 100.0] {
                    let changed = Vent {
                        box_length_mm: Some((length * longer).min(6000.0)),
                        box_width_mm: Some((width * wider).min(3000.0)),
                        lining: Some(LiningId(LINING.to_owned())),
                        lining_mm,
                        ..vent.clone()
                    };
                    let name = format!(
                        "box {:.0} × {:.0} × {height:.0} mm lined {lining_mm:.0} mm",
                        length * longer,
                        width * wider
                    );
                    let volume = length * longer * width * wider * height * 1e-9;
                    put(name, changed, prices.lined_box(volume * (0.8 + lining_mm / 250.0)));
                }
            }
        }
    }
    all
}

/// Joints and holes as they are, and all of them closed.
pub(super) fn gaps(project: &Project, prices: &Prices<'_>) -> Vec<Proposal> {
    let mut all = vec![Proposal::as_it_is()];
    if project.gaps.iter().any(|gap| gap.filling != GapFilling::Sealant) {
        let length_m: f64 = project
            .gaps
            .iter()
            .filter(|gap| gap.filling != GapFilling::Sealant)
            .map(|gap| match gap.shape {
                GapShape::Slit { length_m, .. } => length_m,
                GapShape::Hole { diameter_mm } => diameter_mm / 1000.0 * 3.0,
            })
            .sum();
        let cost = prices.joint_m().times(length_m.max(1.0));
        let change = Change { close_gaps: true, ..Change::default() };
        all.push(Proposal {
            cost: cost.amount,
            guessed: cost.guessed,
            ..Proposal::new(
                "every joint and hole closed to its full depth".to_owned(),
                change,
                vec!["rake out and seal"],
            )
        });
    }
    all
}
