//! Build-ups as they are drawn in section.

use catalogue::{Door, Entry, Sheet, SheetFamily, find};

use crate::{
    assemble::{
        ceiling::hangs_on_clips,
        material::{Solid, fibre, plaster, solid},
    },
    outcome::{BuildupOutcome, DrawnAs, SectionLayer},
    project::{Buildup, CavityTimbers, Layer, LeafKind, Project},
};

/// A build-up with its layers from outside to inside.
pub(crate) fn section(project: &Project, index: usize, buildup: &Buildup) -> BuildupOutcome {
    let mut layers = Vec::new();
    for (of, layer) in buildup.element.layers.iter().enumerate() {
        match layer {
            Layer::Leaf(leaf) => {
                layers.extend(
                    plaster(leaf.plaster_outside_mm)
                        .as_ref()
                        .map(|coat| drawn_layer(coat, coat.depth_m(), of)),
                );
                let solid = solid(leaf);
                for _ in 0..solid.sheets {
                    layers.push(drawn_layer(&solid, solid.thickness_m, of));
                }
                layers.extend(
                    plaster(leaf.plaster_inside_mm)
                        .as_ref()
                        .map(|coat| drawn_layer(coat, coat.depth_m(), of)),
                );
            }
            Layer::Cavity(cavity) => {
                let timbers_mm = cavity.timbers.map(|kind| match (kind, &project.joists) {
                    (CavityTimbers::Joists, Some(joists)) => (joists.width_mm(), joist_spacing_mm(project)),
                    _ => (45.0, 600.0),
                });
                let fibre = fibre(cavity);
                let all_air_mm =
                    cavity.depth_mm - fibre.as_ref().map_or(0.0, |fibre| fibre.thickness_m * 1000.0);
                let below_mm = match (&project.joists, cavity.timbers) {
                    (Some(joists), Some(CavityTimbers::Joists))
                        if cavity.depth_mm > joists.depth_mm + 0.5 =>
                    {
                        joists.left_below_mm(cavity).min(all_air_mm)
                    }
                    _ => 0.0,
                };
                let air_mm = all_air_mm - below_mm;
                if air_mm > 0.5 {
                    layers.push(SectionLayer {
                        name: if cavity.vented { "air, vented" } else { "air" }.to_owned(),
                        thickness_mm: air_mm,
                        mass_kg_m2: 0.0,
                        drawn: DrawnAs::Air,
                        timbers_mm,
                        basis: String::new(),
                        of,
                    });
                }
                if let Some(fibre) = fibre {
                    layers.push(SectionLayer {
                        thickness_mm: fibre.thickness_m * 1000.0,
                        mass_kg_m2: fibre.density_kg_m3 * fibre.thickness_m,
                        name: fibre.name,
                        drawn: DrawnAs::Fibre,
                        timbers_mm,
                        basis: String::new(),
                        of,
                    });
                }
                if below_mm > 0.5 {
                    layers.push(SectionLayer {
                        name: "air".to_owned(),
                        thickness_mm: below_mm,
                        mass_kg_m2: 0.0,
                        drawn: DrawnAs::Air,
                        timbers_mm: None,
                        basis: String::new(),
                        of,
                    });
                }
            }
        }
    }
    BuildupOutcome {
        id: buildup.id.clone(),
        name: buildup.element.name.clone(),
        lies_flat: project.ceiling.buildup.0 == index,
        depth_mm: layers.iter().map(|layer| layer.thickness_mm).sum(),
        mass_kg_m2: layers.iter().map(|layer| layer.mass_kg_m2).sum(),
        layers,
        on_clips: hangs_on_clips(&buildup.element),
    }
}

/// Mean distance of the joists by their running dimensions, mm; 600 where there are none.
pub(crate) fn joist_spacing_mm(project: &Project) -> f64 {
    let Some(joists) = &project.joists else { return 600.0 };
    let mut places: Vec<f64> = joists.each.iter().map(|joist| joist.from_mm).collect();
    places.sort_by(f64::total_cmp);
    match (places.first(), places.last()) {
        (Some(first), Some(last)) if places.len() > 1 && last > first => {
            (last - first) / (places.len() - 1) as f64
        }
        _ => 600.0,
    }
}

fn drawn_layer(solid: &Solid, thickness_m: f64, of: usize) -> SectionLayer {
    SectionLayer {
        name: solid.name.clone(),
        thickness_mm: thickness_m * 1000.0,
        mass_kg_m2: solid.density_kg_m3 * thickness_m,
        drawn: drawn_as(solid),
        timbers_mm: None,
        basis: solid.basis.clone(),
        of,
    }
}

fn drawn_as(solid: &Solid) -> DrawnAs {
    if solid.id == "plaster" {
        return DrawnAs::Plaster;
    }
    match solid.kind {
        LeafKind::Masonry => DrawnAs::Masonry,
        LeafKind::Glass => DrawnAs::Glass,
        LeafKind::Membrane => DrawnAs::Membrane,
        LeafKind::Board => match find::<Sheet>(&solid.id).map(|sheet| sheet.family) {
            Some(SheetFamily::Gypsum) => DrawnAs::Plasterboard,
            Some(SheetFamily::SandFilled) => DrawnAs::SandFilled,
            Some(SheetFamily::Wood | SheetFamily::SoftFibre) => DrawnAs::Wood,
            Some(_) => DrawnAs::Other,
            None => {
                if find::<Door>(&solid.id).map(Entry::id).is_some() {
                    DrawnAs::Wood
                } else {
                    DrawnAs::Other
                }
            }
        },
    }
}
