//! Gaps, boxes and holes against the part they are in, and bridged clips against the clips there are.

use crate::{
    project::{Buildup, BuildupId, ElementId, GapShape, Layer, Penetrating, PenetrationKind},
    read::{
        checks::Draft,
        reading::Reading,
        wording::{plain, shown},
    },
};

/// Most of a face that what goes through it may take: past it the part is hardly there.
const MOST_SHARE: f64 = 0.5;

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let file = draft.file;
    for (index, gap) in file.gap.iter().enumerate() {
        let entry = reading.entry("gap", index);
        let Some(face) = face(draft, gap.element) else { continue };
        let area_m2 = match gap.shape {
            GapShape::Slit { length_m, width_mm } => length_m * width_mm / 1000.0,
            GapShape::Hole { diameter_mm } => std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm * 1e-6,
        };
        report(&gap.place, area_m2, face, &entry, reading);
    }
    for (index, penetration) in file.penetration.iter().enumerate() {
        let entry = reading.entry("penetration", index);
        let what = &penetration.what;
        if let Some(face) = face(draft, penetration.element) {
            report(&what.place, area_m2(what), face, &entry, reading);
        }
        let glass = buildup(draft, penetration.element).is_some_and(|buildup| {
            buildup.element.layers.iter().all(|layer| match layer {
                Layer::Leaf(leaf) => leaf.kind == crate::project::LeafKind::Glass,
                Layer::Cavity(_) => true,
            })
        });
        let let_in =
            matches!(what.kind, PenetrationKind::SocketBox | PenetrationKind::Lamp | PenetrationKind::Hatch);
        if glass && let_in {
            reading
                .error(
                    "let-into-glass",
                    &format!("{entry}.element"),
                    format!("A {} cannot be let into glass.", what.kind.word()),
                )
                .help("Name the wall or the ceiling it is in.");
        }
    }
    let clips = file.ceiling.0.as_ref().filter(|ceiling| ceiling.bridged_clips > 0);
    if let Some(ceiling) = clips {
        let has_clips = file.buildup.get(ceiling.buildup.0).is_none_or(|buildup| {
            buildup.element.bridges.iter().any(|bridge| bridge.kind == crate::project::BridgeKind::Clip)
        });
        if !has_clips {
            reading
                .error(
                    "no-clips-to-bridge",
                    "ceiling.bridged_clips",
                    "The ceiling has no clips that could be bridged.",
                )
                .help("Take `bridged_clips` away, or write the clips as a [[buildup.bridge]].");
        }
    }
}

fn report(place: &str, area_m2: f64, face_m2: f64, entry: &str, reading: &mut Reading<'_>) {
    if area_m2 > MOST_SHARE * face_m2 {
        reading
            .error(
                "larger-than-its-part",
                entry,
                format!(
                    "\"{}\" takes {} m² of a part that has {} m².",
                    shown(place),
                    plain(quantities::format::round_to(area_m2, 2)),
                    plain(quantities::format::round_to(face_m2, 2))
                ),
            )
            .help("Check how many there are and how large.");
    }
}

/// What goes through takes of the face, m².
fn area_m2(what: &Penetrating) -> f64 {
    let usual = match what.kind {
        PenetrationKind::Cable => 10.0,
        PenetrationKind::Pipe => 32.0,
        PenetrationKind::SocketBox | PenetrationKind::Lamp => 75.0,
        PenetrationKind::Hatch => 600.0,
        PenetrationKind::Louvre => 200.0,
    };
    let width = what.size_mm.unwrap_or(usual);
    f64::from(what.count) * width * what.height_mm.unwrap_or(width) * 1e-6
}

fn buildup<'a>(draft: &Draft<'a>, element: ElementId) -> Option<&'a Buildup> {
    let file = draft.file;
    let BuildupId(place) = match element {
        ElementId::Ceiling => file.ceiling.0.as_ref()?.buildup,
        ElementId::Wall(wall) => file.wall.iter().find(|given| given.between == wall)?.buildup,
        ElementId::Opening(opening) => file.opening.get(opening.0)?.buildup,
    };
    file.buildup.get(place)
}

/// Face of a part as far as the file tells it, m²: walls by their taped length, the ceiling by its two longest walls.
fn face(draft: &Draft<'_>, element: ElementId) -> Option<f64> {
    let file = draft.file;
    let survey = file.survey.0.as_ref()?;
    let corners = survey.corners.len();
    let length_mm = |wall: usize| {
        survey.tape.iter().find_map(|tape| {
            let (a, b) = (tape.from.0, tape.to.0);
            let along = (a == wall && b == (wall + 1) % corners) || (b == wall && a == (wall + 1) % corners);
            tape.ceiling_mm.or(tape.floor_mm).filter(|_| along)
        })
    };
    match element {
        ElementId::Opening(opening) => {
            file.opening.get(opening.0).map(|opening| opening.width_mm * opening.height_mm * 1e-6)
        }
        ElementId::Wall(wall) => {
            let given = file.wall.iter().find(|given| given.between == wall)?;
            Some(length_mm(wall.0)? * given.height_mm * 1e-6)
        }
        ElementId::Ceiling => {
            let mut lengths: Vec<f64> = (0..corners).filter_map(length_mm).collect();
            lengths.sort_by(f64::total_cmp);
            match lengths.as_slice() {
                [.., second, first] => Some(first * second * 1e-6),
                _ => None,
            }
        }
    }
}
