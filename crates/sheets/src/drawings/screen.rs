//! The drawings as a page shows them: narrower than on paper, so that the smallest words can be read, and without the column
//! of words beside them, which the page sets itself.

use paper::{
    Extent, Group, Item, Point, Scale, Scene, View,
    chart::SpectrumChart,
    dimension::Side,
    leader::{NoteColumn, note_column},
    share_bars::ShareBars,
};
use plan::{
    Plan,
    outcome::{BuildupOutcome, HeardOutcome, proof::ProvedDifference},
};

use crate::ceiling_words;

use super::{
    Drawing, as_built, bars, boards, cuts, heights, layers::WORDS_MM, moisture, room_plan::compose_alone,
    section, spectrum, survey,
};

/// Width and height of a drawing of the room on the page, mm at the size its words are made for.
pub const ROOM_MM: [f64; 2] = [196.0, 150.0];
/// Width of a section or chart on the page, mm.
const WIDTH_MM: f64 = 200.0;
/// Deepest a section is drawn, mm.
const SECTION_MM: f64 = 76.0;
/// Height of a spectrum, and of the bars below it, mm.
const CHARTS_MM: [f64; 2] = [82.0, 58.0];
/// Height of a measured level difference, mm.
const PROOF_MM: f64 = 104.0;

/// A drawing of the room with the view that lays the room on it.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomDrawing {
    /// The drawing.
    pub scene: Scene,
    /// From the room's millimetres to the drawing's.
    pub view: View,
}

/// The room as taped. Corners, walls and tapes are named `corner-A`, `wall-A-B`, `tape-A-C`.
pub fn room(plan: &Plan) -> Option<RoomDrawing> {
    compose_alone(plan, ROOM_MM, survey::draw).map(|(scene, view)| RoomDrawing { scene, view })
}

/// Bars and clips, named `bar-3`, `clip-12`, `noggin-1`; none without a layout.
pub fn bars_and_clips(plan: &Plan) -> Option<RoomDrawing> {
    let layout = plan.ceiling.layout.as_ref()?;
    compose_alone(plan, ROOM_MM, |room| bars::draw(room, layout))
        .map(|(scene, view)| RoomDrawing { scene, view })
}

/// What was found of a ceiling that hangs in part, and how to go on.
#[derive(Clone, Debug, PartialEq)]
pub struct AsBuiltOnScreen {
    /// What was found.
    pub found: RoomDrawing,
    /// What would break a rule if the rest went on as planned, a sentence each.
    pub breaches: Vec<String>,
    /// How to go on.
    pub after: RoomDrawing,
    /// What to do, a sentence each without a full stop.
    pub changes: Vec<String>,
}

/// What was found and how to go on; none where nothing is fixed.
pub fn as_built(plan: &Plan) -> Option<AsBuiltOnScreen> {
    let (layout, found) = (plan.ceiling.layout.as_ref()?, plan.ceiling.as_built.as_ref()?);
    let drawn = |(scene, view)| RoomDrawing { scene, view };
    Some(AsBuiltOnScreen {
        found: compose_alone(plan, ROOM_MM, |room| as_built::draw_found(room, layout, found)).map(drawn)?,
        breaches: found.breaches.iter().map(|breach| plan.shown(&breach.sentence)).collect(),
        after: compose_alone(plan, ROOM_MM, |room| as_built::draw(room, layout, found)).map(drawn)?,
        changes: ceiling_words::changes(found).into_iter().map(|words| plan.shown(words)).collect(),
    })
}

/// One layer of board by its number from 1, its pieces named `piece-1-07`; none without it.
pub fn boards_of_layer(plan: &Plan, number: usize) -> Option<RoomDrawing> {
    let layout = plan.ceiling.layout.as_ref()?;
    let layer = layout.layers.iter().find(|layer| layer.number == number)?;
    compose_alone(plan, ROOM_MM, |room| boards::draw(room, layout, layer))
        .map(|(scene, view)| RoomDrawing { scene, view })
}

/// Length of a whole sheet on a phone, mm: the figures beside it are then about as large as the page's words.
const CUT_SHEET_MM: f64 = 58.0;

pub use super::cuts::CutAlone;

/// Every cut sheet by itself, small enough for a phone held upright.
pub fn cut_sheets(plan: &Plan) -> Vec<CutAlone> {
    cuts::alone(plan, CUT_SHEET_MM)
}

/// A build-up in section with its layers named by their place in the file, `layer-0` from outside; what is drawn apart of one layer is
/// `layer-2`, `layer-2-1` and so on; none where there is none by that number or it is empty.
pub fn section_of(plan: &Plan, index: usize) -> Option<(Scene, Scale)> {
    let buildup = plan.buildups.get(index).filter(|buildup| !buildup.layers.is_empty())?;
    if buildup.lies_flat {
        // Wide enough for two joists to stand in it.
        let spacing_mm =
            buildup.layers.iter().find_map(|layer| layer.timbers_mm).map_or(0.0, |timbers| timbers.1);
        let (left, right) = (16.0, WIDTH_MM - 78.0);
        let scale = (buildup.depth_mm / SECTION_MM).max(spacing_mm * 1.35 / (right - left)).max(0.5);
        let scale = Scale::one_to(scale);
        let strip = Extent::new(left, 10.0, right, 10.0 + scale.on_paper_mm(buildup.depth_mm));
        let mut groups = vec![section::flat_strip(plan, buildup, scale, strip)];
        groups.push(note_column(&NoteColumn {
            notes: section::flat_notes(plan, buildup, scale, strip),
            side: Side::Right,
            edge_mm: strip.right + 12.0,
            top_mm: 2.0,
            bottom_mm: strip.bottom + 16.0,
            width_mm: WIDTH_MM - strip.right - 14.0,
            size_mm: WORDS_MM,
        }));
        name_by_file(&mut groups, buildup);
        return cropped(groups).map(|scene| (scene, scale));
    }
    let scale = Scale::one_to((buildup.depth_mm / SECTION_MM).max(1.0));
    let mut group = section::wall(plan, buildup, scale, Extent::new(2.0, 0.0, WIDTH_MM - 2.0, 108.0));
    unname_buildup(&mut group, &buildup.id);
    let mut groups = vec![group];
    name_by_file(&mut groups, buildup);
    cropped(groups).map(|scene| (scene, scale))
}

/// What is heard: the spectrum, and below it who lets the sound through.
pub fn heard(plan: &Plan, outcome: &HeardOutcome) -> Scene {
    let [chart_mm, bars_mm] = CHARTS_MM;
    let chart = SpectrumChart { height_mm: chart_mm, ..spectrum::chart(outcome, WIDTH_MM) };
    let (parts, _) = spectrum::parts(plan, &outcome.heard);
    let bars_top = chart_mm + 1.0;
    let bars = ShareBars {
        deciding: outcome
            .heard
            .verdict
            .as_ref()
            .and_then(|verdict| verdict.deciding_band)
            .map(bands::Band::index),
        width_mm: WIDTH_MM,
        height_mm: bars_mm,
        name_room_mm: spectrum::NAMES_MM,
        quantity: "who lets it through, % of the energy in each band".to_owned(),
        bands_hz: spectrum::bands_hz(),
        parts,
    };
    let mut groups: Vec<Group> = spectrum::deciding_mark(outcome, &chart).into_iter().collect();
    groups.push(chart.draw(Point::new(0.0, 0.0)));
    groups.push(bars.draw(Point::new(0.0, bars_top)));
    cropped(groups).unwrap_or_else(|| Scene::new(WIDTH_MM, bars_top + bars_mm))
}

/// What was measured at a receiver, as a level difference, in the hatched band of the planned one.
pub fn proof(difference: &ProvedDifference) -> Scene {
    let group = super::proof::chart(difference, (WIDTH_MM, PROOF_MM)).draw(Point::new(0.0, 0.0));
    cropped(vec![group]).unwrap_or_else(|| Scene::new(WIDTH_MM, PROOF_MM))
}

/// The chain of heights as on paper, without its column; none without heights.
pub fn heights_chain(plan: &Plan) -> Option<Scene> {
    heights::drawings(plan).into_iter().next().and_then(without_column)
}

/// Damp in the roof and walls, the year and the session as on paper, each with its title and without its column.
pub fn damp(plan: &Plan) -> Vec<(String, Scene)> {
    moisture::drawings(plan)
        .into_iter()
        .filter_map(|drawing| {
            let title = drawing.title.clone();
            without_column(drawing).map(|scene| (title, scene))
        })
        .collect()
}

fn without_column(drawing: Drawing) -> Option<Scene> {
    let groups = drawing
        .scene
        .items
        .into_iter()
        .filter_map(|item| match item {
            Item::Group(group) => (group.layer != "notes").then_some(group),
            other => {
                let mut group = Group::default();
                group.add(other);
                Some(group)
            }
        })
        .collect();
    cropped(groups)
}

/// On a page of one section a layer needs no build-up before its name.
fn unname_buildup(group: &mut Group, buildup: &str) {
    for item in &mut group.items {
        if let Item::Group(inner) = item {
            if let Some(short) = inner.id.as_ref().and_then(|id| id.strip_prefix(&format!("{buildup}-"))) {
                inner.id = Some(short.to_owned());
            }
            unname_buildup(inner, buildup);
        }
    }
}

/// Names what is drawn of a layer by the layer's place in the file.
fn name_by_file(groups: &mut [Group], buildup: &BuildupOutcome) {
    for group in groups {
        let drawn = group.id.as_ref().and_then(|id| id.strip_prefix("layer-")?.parse::<usize>().ok());
        if let Some((index, layer)) = drawn.and_then(|index| Some((index, buildup.layers.get(index)?))) {
            let part = buildup.layers.iter().take(index).filter(|before| before.of == layer.of).count();
            let of = layer.of;
            group.id = Some(if part == 0 { format!("layer-{of}") } else { format!("layer-{of}-{part}") });
        } else {
            for item in &mut group.items {
                if let Item::Group(inner) = item {
                    name_by_file(std::slice::from_mut(inner), buildup);
                }
            }
        }
    }
}

/// A scene just large enough for what is drawn.
fn cropped(mut groups: Vec<Group>) -> Option<Scene> {
    let extent = groups.iter().filter_map(Group::drawn_extent).reduce(|all, one| all.with(one))?;
    for group in &mut groups {
        group.shift(1.0 - extent.left, 1.0 - extent.top);
    }
    let mut scene = Scene::new(extent.width() + 2.0, extent.height() + 2.0);
    scene.extend(groups.into_iter().map(Item::Group));
    Some(scene)
}
