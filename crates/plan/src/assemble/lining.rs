//! Linings of walls handed to the setting out.

use catalogue::{Sheet, find};
use setout::{
    BoardLayer,
    lining::{Lining, LiningSupport, WallLayer, WallOpening, set_out_lining},
};
use survey::{Survey, true_opening::BOW_LEFT_MM};

use crate::{
    assemble::{ceiling, lined},
    outcome::{CeilingOutcome, LiningOutcome, OpeningOutcome, Standing},
    project::{self, LiningBuilt, LiningKind, Project},
    steps::LiningFacts,
};

mod height;
mod order;
pub(crate) use order::add_to_order;

/// Every lining of the file set out, or the sentence of why it is not.
pub(crate) fn linings(
    project: &Project,
    survey: &Survey,
    set_out: &CeilingOutcome,
    openings: &[OpeningOutcome],
) -> Vec<LiningOutcome> {
    project
        .linings
        .iter()
        .map(|given| {
            let wall = project.survey.wall_name(given.wall);
            let laid = asked(project, survey, set_out, openings, given).and_then(|(lining, lowered)| {
                let mut layout = set_out_lining(&lining)
                    .map_err(|error| ceiling::in_keys_of_the_file(&error.to_string()))?;
                layout.notes.extend(lowered);
                Ok((layout, lining))
            });
            let (layout, given_lining, not_planned) = match laid {
                Ok((layout, lining)) => (Some(layout), Some(lining), None),
                Err(sentence) => (None, None, Some(without_its_name(&wall, &sentence))),
            };
            LiningOutcome {
                wall,
                depth_mm: lined::depth_mm(project, given),
                before_ceiling: given.built == LiningBuilt::BeforeCeiling,
                layout,
                given: given_lining,
                not_planned,
                bow_mm: survey
                    .walls
                    .get(given.wall.0)
                    .and_then(|wall| wall.bow_mm)
                    .filter(|bow| given.kind == LiningKind::Clips && bow.abs() >= BOW_LEFT_MM),
            }
        })
        .collect()
}

/// A sentence of a lining without the words that stand before it wherever it is told.
fn without_its_name(wall: &str, sentence: &str) -> String {
    let rest = sentence.strip_prefix("lining of wall ").and_then(|rest| rest.strip_prefix(wall));
    let rest = rest.and_then(|rest| rest.strip_prefix(": ").or_else(|| rest.strip_prefix(", ")));
    rest.unwrap_or(sentence).to_owned()
}

fn asked(
    project: &Project,
    survey: &Survey,
    set_out: &CeilingOutcome,
    openings: &[OpeningOutcome],
    given: &project::Lining,
) -> Result<(Lining, Option<String>), String> {
    let name = project.survey.wall_name(given.wall);
    let wall = survey.walls.get(given.wall.0).ok_or_else(|| format!("Wall {name} is not in the survey."))?;
    let (length_mm, first_in_mm) = face_of(project, survey, wall)?;
    let (height_mm, lowered) = height::height(project, survey, set_out, given)?;
    let mut layers = Vec::new();
    for layer in &given.layer {
        let one = board(project, layer.material.as_str())?;
        layers.extend((0..layer.sheets).map(|_| one.clone()));
    }
    let on = match given.kind {
        LiningKind::Studs => LiningSupport::Studs {
            face_mm: given.stud_face_mm,
            gap_mm: given.stud_gap_mm,
            stock_length_mm: given.stud_length_mm,
        },
        LiningKind::Clips => LiningSupport::Bars {
            bar: ceiling::bar(project),
            clip_lines_mm: clip_lines(survey, given, (length_mm, first_in_mm)),
        },
    };
    let turned = is_anticlockwise(survey);
    let openings = openings
        .iter()
        .filter(|opening| opening.wall == given.wall.0)
        .map(|opening| {
            let (left, up, width_mm, high_mm) =
                opening.brought_true.map_or((0.0, 0.0, opening.width_mm, opening.height_mm), |t| {
                    (t.in_from_near_mm, t.up_from_sill_mm, t.width_mm, t.height_mm)
                });
            // Running dimensions of the wall count from its own corner, those of the lining from the corner of its face.
            let (from_mm, sill_mm) = (opening.from_corner_mm - first_in_mm + left, opening.sill_mm + up);
            // Seen from inside, a wall of a ring that runs anticlockwise begins at the right.
            let from_mm = if turned { length_mm - from_mm - width_mm } else { from_mm };
            WallOpening {
                name: opening.name.clone(),
                from_mm,
                to_mm: from_mm + width_mm,
                sill_mm,
                head_mm: sill_mm + high_mm,
            }
        })
        .collect();
    let mut rules = ceiling::rules(project);
    // Its ends stand off the walls at its sides by the gaps these ask for.
    let gaps = ceiling::wall_gaps(project, survey);
    let n = gaps.len().max(1);
    for beside in [given.wall.0 + n - 1, given.wall.0 + 1] {
        rules.perimeter_gap_mm =
            gaps.get(beside % n).map_or(0.0, |gap| gap.gap_mm).max(rules.perimeter_gap_mm);
    }
    let (first, second) = name.split_once('-').unwrap_or(("", ""));
    let left_corner = if turned { second } else { first }.to_owned();
    Ok((Lining { wall: name, left_corner, length_mm, height_mm, openings, layers, on, rules }, lowered))
}

/// Lines for clips from the left corner.
fn clip_lines(survey: &Survey, given: &project::Lining, (length_mm, first_in_mm): (f64, f64)) -> Vec<f64> {
    let turned = is_anticlockwise(survey);
    let on_face = given.clip_lines_mm.iter().map(|x| x - first_in_mm);
    on_face
        .map(|x| if turned { length_mm - x } else { x })
        .filter(|x| (0.0..=length_mm).contains(x))
        .collect()
}

/// Length of the face of a lining, and how far its first corner lies in from that of the wall, mm.
fn face_of(project: &Project, survey: &Survey, wall: &survey::Wall) -> Result<(f64, f64), String> {
    let corners = lined::faces(project, survey, |_| true)?;
    let (Some(&from), Some(&to)) = (corners.get(wall.from), corners.get(wall.to)) else {
        return Ok((wall.length_mm, 0.0));
    };
    let own = survey.corners.get(wall.from).zip(survey.corners.get(wall.to));
    let in_mm = own.map_or(0.0, |(a, b)| geometry::Segment { from: a.at, to: b.at }.running_mm(from));
    Ok((from.distance_mm(to), in_mm))
}

/// What the steps say of every lining that is set out.
pub(crate) fn step_facts(project: &Project, linings: &[LiningOutcome]) -> Vec<LiningFacts> {
    let each = project.linings.iter().zip(linings).filter_map(|(given, outcome)| {
        let layout = outcome.layout.as_ref()?;
        Some(LiningFacts {
            wall: outcome.wall.clone(),
            before_ceiling: given.built == LiningBuilt::BeforeCeiling,
            on_clips: layout.on_clips,
            supports: layout.supports.len(),
            clips: layout.clips,
            cavity_mm: lined::cavity_mm(project, given),
            depth_mm: lined::depth_mm(project, given),
            fill_mm: fill_mm(project, given),
            packed: outcome.bow_mm.is_some(),
            pieces: layout.layers.iter().map(|layer| layer.pieces.len()).sum(),
            screws: layout.layers.iter().map(|layer| layer.screws).sum(),
            shared: layout.layers.iter().flat_map(shared_sheets).collect(),
            tape_m: layout.layers.iter().map(|layer| layer.tape_m).sum(),
            area_m2: layout.size_mm[0] * layout.size_mm[1] * 1e-6,
        })
    });
    each.collect()
}

/// Sheets that earlier layers buy and a layer is cut from, with its pieces.
fn shared_sheets(layer: &WallLayer) -> Vec<String> {
    let begun = layer.begun.iter().enumerate().filter_map(|(at, begun)| Some((at, (*begun)?)));
    begun
        .map(|(at, begun)| {
            let own = layer.pieces.iter().filter(|piece| piece.sheet == at);
            let names: Vec<&str> = own.map(|piece| piece.name.as_str()).collect();
            format!("sheet {} of layer {} ({})", begun.sheet, begun.layer, names.join(", "))
        })
        .collect()
}

/// Thickness of the fibre behind the boards, mm; 0 for none.
fn fill_mm(project: &Project, given: &project::Lining) -> f64 {
    let depth_mm = lined::cavity_mm(project, given);
    given.fill.as_ref().map_or(0.0, |_| given.fill_mm.unwrap_or(depth_mm).min(depth_mm))
}

/// Whether the ring of corners runs against the hands of a clock, seen from above.
fn is_anticlockwise(survey: &Survey) -> bool {
    let corners = &survey.corners;
    let doubled: f64 = corners
        .iter()
        .zip(corners.iter().cycle().skip(1))
        .map(|(a, b)| a.at.x_mm * b.at.y_mm - b.at.x_mm * a.at.y_mm)
        .sum();
    doubled > 0.0
}

fn board(project: &Project, id: &str) -> Result<BoardLayer, String> {
    let entry = find::<Sheet>(id).ok_or_else(|| format!("The catalogue has no board `{id}`."))?;
    let stocked = project.stock.board.iter().find(|board| board.material.as_str() == id);
    let (length_mm, width_mm) = stocked
        .map(|board| (board.length_mm, board.width_mm))
        .or_else(|| entry.formats.first().map(|format| (format.length_mm, format.width_mm)))
        .ok_or_else(|| format!("No size is known for the board `{id}`: enter it as a [[stock.board]]."))?;
    let given_kg_m2 = stocked.and_then(|b| b.mass_kg).map(|kg| kg / (length_mm * width_mm) * 1e6);
    Ok(BoardLayer {
        material: entry.name.to_owned(),
        length_mm,
        width_mm,
        thickness_mm: entry.thickness_mm,
        mass_kg_m2: given_kg_m2.unwrap_or(entry.density_kg_m3 * entry.thickness_mm / 1000.0),
        tape_cut_edges: entry.tape_cut_edges,
    })
}

/// What the linings come to, a sentence each.
pub(super) fn findings(linings: &[LiningOutcome], put: &mut impl FnMut(Standing, &'static str, String)) {
    for lining in linings {
        if let Some(sentence) = &lining.not_planned {
            put(Standing::Fails, "ceiling", format!("Lining of wall {}: {sentence}.", lining.wall));
        }
        let Some(layout) = &lining.layout else { continue };
        for breach in layout.breaches_told() {
            put(Standing::Fails, "ceiling", format!("Lining of wall {}: {breach}.", lining.wall));
        }
        for note in &layout.notes {
            put(Standing::Holds, "ceiling", format!("Lining of wall {}: {note}.", lining.wall));
        }
    }
}
