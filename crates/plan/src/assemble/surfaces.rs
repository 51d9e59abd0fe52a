//! What the room's surfaces absorb, by what they are really built of.

use bands::{BAND_COUNT, Band};
use fabric::room::RoomSurface;
use quantities::math;
use survey::Survey;

use crate::{
    assemble::material::{fibre, solid},
    project::{ElementId, ElementSpec, Layer, LeafKind, OpeningKind, Project, WallId},
};

/// Octave absorption coefficients 63 Hz to 8 kHz of a kind of surface (typical, no source).
pub(crate) type Octaves = [f64; 8];
pub(crate) const PLASTERED_WALL: Octaves = [0.01, 0.01, 0.02, 0.02, 0.03, 0.04, 0.05, 0.05];
const BARE_MASONRY: Octaves = [0.02, 0.03, 0.03, 0.03, 0.04, 0.05, 0.07, 0.07];
const FLOOR: Octaves = [0.02, 0.02, 0.03, 0.03, 0.04, 0.05, 0.06, 0.06];
const GLAZING: Octaves = [0.20, 0.15, 0.08, 0.05, 0.04, 0.03, 0.02, 0.02];
const DOOR: Octaves = [0.14, 0.12, 0.08, 0.06, 0.06, 0.06, 0.06, 0.06];
/// Face of a painted board, without what it absorbs as a panel.
const BOARD_FACE: f64 = 0.05;
/// What a panel absorbs where it rings on its cavity, and how broad that is (typical, no source: two layers of board over a
/// cavity with fibre, read from published coefficients).
const PANEL_PEAK: f64 = 0.5;
const PANEL_SHARPNESS: f64 = 0.7;
/// Resonance of a panel of m kg/m² before d metres of air, Hz √(kg/m): 60 over √(m d), 50 with fibre in the cavity.
const PANEL_ON_AIR: f64 = 60.0;
const PANEL_ON_FIBRE: f64 = 50.0;

/// Coefficients for every third octave from octave values, straight between octave middles, flat beyond them.
pub(crate) fn thirds(octaves: &Octaves) -> [f64; BAND_COUNT] {
    let mut values = [0.0; BAND_COUNT];
    for (slot, band) in values.iter_mut().zip(Band::all()) {
        let place = math::log2(band.centre_hz() / 63.0).clamp(0.0, 7.0);
        let low = (place.floor() as usize).min(6);
        let part = place - low as f64;
        *slot = octaves[low] * (1.0 - part) + octaves[low + 1] * part;
    }
    values
}

/// Ceiling, floor, each wall and opening with its area and what it absorbs.
pub(crate) fn surfaces(project: &Project, survey: &Survey, height_m: f64) -> Vec<RoomSurface> {
    let floor_m2 = survey.area_mm2 * 1e-6;
    let mut list = Vec::new();
    let ceiling = project.buildup_of(ElementId::Ceiling).map(|buildup| inner_face(&buildup.element));
    let (words, absorption) = ceiling.unwrap_or(("boards", thirds(&DOOR)));
    list.push(RoomSurface { name: format!("ceiling, {words}"), area_m2: floor_m2, absorption });
    list.push(RoomSurface { name: "floor".to_owned(), area_m2: floor_m2, absorption: thirds(&FLOOR) });
    for index in 0..survey.corners.len() {
        let wall = WallId(index);
        let mut area_m2 = wall_run_m(survey, index) * height_m;
        for opening in project.openings.iter().filter(|opening| opening.wall == wall) {
            let opening_m2 = opening.width_mm * opening.height_mm * 1e-6;
            area_m2 -= opening_m2;
            let octaves = if opening.kind == OpeningKind::Window { &GLAZING } else { &DOOR };
            list.push(RoomSurface {
                name: opening.name.clone(),
                area_m2: opening_m2,
                absorption: thirds(octaves),
            });
        }
        let (words, absorption) = project
            .buildup_of(ElementId::Wall(wall))
            .map_or(("plastered", thirds(&PLASTERED_WALL)), |buildup| inner_face(&buildup.element));
        list.push(RoomSurface {
            name: format!("wall {}, {words}", project.element_name(ElementId::Wall(wall))),
            area_m2: area_m2.max(LEAST_AREA_M2),
            absorption,
        });
    }
    list
}

/// Length of a wall of the room, m.
pub(crate) fn wall_run_m(survey: &Survey, index: usize) -> f64 {
    let corners =
        survey.corners.get(index).zip(survey.corners.get((index + 1) % survey.corners.len().max(1)));
    corners.map_or(0.0, |(from, to)| from.at.distance_mm(to.at)) / 1000.0
}

/// What a square metre of a build-up's inner face absorbs.
pub(crate) fn inner_absorption(spec: &ElementSpec) -> [f64; BAND_COUNT] {
    inner_face(spec).1
}

/// A wall that is all opening still has its edges, m².
const LEAST_AREA_M2: f64 = 0.01;

/// What one sees and what it absorbs: masonry bare or plastered, glass, or boards ringing on the cavity behind them.
fn inner_face(spec: &ElementSpec) -> (&'static str, [f64; BAND_COUNT]) {
    let Some(Layer::Leaf(last)) = spec.layers.iter().rfind(|layer| matches!(layer, Layer::Leaf(_))) else {
        return ("plastered", thirds(&PLASTERED_WALL));
    };
    match last.kind {
        LeafKind::Glass => return ("glass", thirds(&GLAZING)),
        LeafKind::Masonry if last.plaster_inside_mm > 0.0 => return ("plastered", thirds(&PLASTERED_WALL)),
        LeafKind::Masonry => return ("bare masonry", thirds(&BARE_MASONRY)),
        LeafKind::Board | LeafKind::Membrane => {}
    }
    let Some((resonance_hz, on_clips)) = panel(spec) else {
        return ("boards", [BOARD_FACE; BAND_COUNT]);
    };
    let mut values = [0.0; BAND_COUNT];
    for (slot, band) in values.iter_mut().zip(Band::all()) {
        let ratio = band.centre_hz() / resonance_hz;
        let off = PANEL_SHARPNESS * (ratio - 1.0 / ratio);
        *slot = BOARD_FACE + (PANEL_PEAK - BOARD_FACE) / (1.0 + off * off);
    }
    (if on_clips { "boards on clips" } else { "boards before a cavity" }, values)
}

/// Resonance of the boards inside the innermost cavity, Hz, and whether clips carry them. The cavity ends at the next solid that is
/// heavier than a film.
fn panel(spec: &ElementSpec) -> Option<(f64, bool)> {
    let cavity = spec.layers.iter().rposition(|layer| matches!(layer, Layer::Cavity(_)))?;
    let mass_kg_m2: f64 = spec
        .layers
        .iter()
        .skip(cavity + 1)
        .map(|layer| if let Layer::Leaf(leaf) = layer { solid(leaf).mass_kg_m2() } else { 0.0 })
        .sum();
    let mut depth_m = 0.0;
    let mut filled = false;
    for layer in spec.layers.iter().take(cavity + 1).rev() {
        match layer {
            Layer::Cavity(air) => {
                depth_m += air.depth_mm / 1000.0;
                filled |= fibre(air).is_some();
            }
            Layer::Leaf(leaf) if solid(leaf).mass_kg_m2() < FILM_KG_M2 => {}
            Layer::Leaf(_) => break,
        }
    }
    let on_clips = spec.bridges.iter().any(|bridge| bridge.kind == crate::project::BridgeKind::Clip);
    let product = mass_kg_m2 * depth_m;
    (product > 0.0).then(|| (if filled { PANEL_ON_FIBRE } else { PANEL_ON_AIR } / product.sqrt(), on_clips))
}

/// A film lighter than this moves with the air, kg/m².
const FILM_KG_M2: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Two boards of 12.5 kg/m² each before 0.1 m with fibre ring at 50/√(25 · 0.1) = 31.6 Hz: they absorb half there and little in the middle.
    #[test]
    fn boards_before_a_cavity_absorb_low() {
        let text = "name = \"lining\"\n[[layer]]\nkind = \"board\"\nmaterial = \"osb-18\"\n[[layer]]\nkind = \"cavity\"\ndepth_mm = 100\n\
                    fill = \"mineral-wool-20kg\"\nfill_mm = 50\n[[layer]]\nkind = \"board\"\nmaterial = \"dense-plasterboard-15\"\nsheets = 2\n";
        let file = crate::read_element(text, "lining.toml", &std::collections::BTreeMap::new()).0.unwrap();
        let (resonance_hz, on_clips) = panel(&file.element).unwrap();
        let mass =
            2.0 * catalogue::find::<catalogue::Sheet>("dense-plasterboard-15").unwrap().density_kg_m3 * 0.015;
        assert!((resonance_hz - 50.0 / (mass * 0.1).sqrt()).abs() < 1e-9);
        assert!(!on_clips);
        let (words, values) = inner_face(&file.element);
        assert_eq!(words, "boards before a cavity");
        let at = |hz: f64| values[Band::from_nominal_hz(hz).unwrap().index()];
        assert!(at(31.5) > 0.4 && at(31.5) > at(63.0) && at(63.0) > at(125.0) && at(1000.0) < 0.06);
    }
}
