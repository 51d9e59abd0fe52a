//! Where a lining is built before the ceiling, the tape is hooked at its face: drawn and told so, and the figures count from there.
#![allow(clippy::expect_used, reason = "a test stops where it fails")]

mod gathered;

use gathered::texts;
use paper::{Circle, Ink, Item};
use plan::Plan;
use sheets::{
    drawings::{Drawing, drawings},
    files,
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn lined_demo() -> Plan {
    let text = format!(
        "{DEMO}\n[[lining]]\nwall = \"E-A\"\n[[lining.layer]]\nmaterial = \"dense-plasterboard-15\"\nsheets = 2\n"
    );
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_some(), "{found:?}");
    plan::plan(&project.expect("the file reads")).expect("the tapes give a room")
}

fn circles<'a>(items: &'a [Item], all: &mut Vec<&'a Circle>) {
    for item in items {
        match item {
            Item::Group(group) => circles(&group.items, all),
            Item::Circle(circle) if circle.fill == Some(Ink::Paper) => all.push(circle),
            _ => {}
        }
    }
}

/// Distances of the rings outside a wall along it, from a point on its line, mm.
fn rings_along(drawing: &Drawing, from: geometry::Point, to: geometry::Point) -> Vec<f64> {
    let model = drawing.model.expect("a plan has a model");
    let along = (to - from).unit().expect("a wall has a length");
    let mut rings = Vec::new();
    circles(&drawing.scene.items, &mut rings);
    let real = rings.into_iter().map(|ring| {
        let x_mm = model.in_model_mm[0] + model.scale.real_mm(ring.centre.x - model.on_paper.x);
        let y_mm = model.in_model_mm[1] + model.scale.real_mm(model.on_paper.y - ring.centre.y);
        geometry::Point::new(x_mm, y_mm) - from
    });
    // The corners run anticlockwise or clockwise; a ring of a running dimension stands off its wall either way.
    let off_mm = |paper_mm: f64| model.scale.real_mm(paper_mm);
    real.filter(|p| (off_mm(6.0)..off_mm(60.0)).contains(&p.cross(along).abs()))
        .map(|p| p.dot(along))
        .collect()
}

#[test]
fn the_ring_lies_at_the_face_of_the_lining() {
    let plan = lined_demo();
    let given = plan.ceiling.given.as_ref().expect("the ceiling is set out");
    let layout = plan.ceiling.layout.as_ref().expect("the ceiling is set out");
    let at = |name: &str| given.corners.iter().find(|c| c.name == name).expect("the corner is there").at;
    let bare = |name: &str| plan.survey.corner(name).expect("the corner is there").at;
    let all = drawings(&plan);
    let marks = files(&plan)
        .expect("written")
        .into_iter()
        .find(|file| file.path.ends_with("marks.csv"))
        .expect("marks are listed");
    let listed = String::from_utf8(marks.bytes).expect("text");
    let mut seen = 0;
    for wall in layout.marks.iter().filter(|wall| !wall.marks.is_empty()) {
        let (first, second) = wall.wall.split_once('-').expect("two corners");
        let from = wall.from_corner.as_str();
        let other = if from == first { second } else { first };
        let along = (at(other) - at(from)).unit().expect("a length");
        let face_mm = (at(from) - bare(from)).dot(along);
        let told = listed.lines().any(|line| line.contains(&wall.wall) && line.contains("lining's face"));
        assert_eq!(told, face_mm.abs() >= 1.0, "{}", wall.wall);
        if face_mm.abs() < 1.0 {
            continue;
        }
        seen += 1;
        for id in ["bars-and-clips", "boards-layer-1"] {
            let drawing = all.iter().find(|drawing| drawing.id == id).expect("drawn");
            let rings = rings_along(drawing, at(from), at(other));
            assert!(rings.iter().any(|mm| mm.abs() < 0.5), "{id}, {}: {rings:?}", wall.wall);
            assert!(!rings.iter().any(|mm| (mm + face_mm).abs() < 0.5), "{id}, {}: {rings:?}", wall.wall);
        }
    }
    assert!(seen > 0, "no wall counts from the lining");
    // The figures of the lined wall itself stand outside the wall, not in its lining.
    let lined =
        layout.marks.iter().find(|wall| wall.wall == "E-A" || wall.wall == "A-E").expect("it has marks");
    let line = geometry::Segment { from: bare("E"), to: bare("A") };
    for id in ["bars-and-clips", "boards-layer-1"] {
        let drawing = all.iter().find(|drawing| drawing.id == id).expect("drawn");
        let model = drawing.model.expect("a plan has a model");
        let mut words = Vec::new();
        texts(&drawing.scene.items, &mut words);
        let from = words.iter().filter(|text| text.words.starts_with(&format!("from {}", lined.from_corner)));
        let off_paper_mm = from.map(|text| {
            let x_mm = model.in_model_mm[0] + model.scale.real_mm(text.at.x - model.on_paper.x);
            let y_mm = model.in_model_mm[1] + model.scale.real_mm(model.on_paper.y - text.at.y);
            let p = geometry::Point::new(x_mm, y_mm);
            let side = if line.left_of_mm(bare("B")) > 0.0 { -1.0 } else { 1.0 };
            line.left_of_mm(p) * side / model.scale.real_mm(1.0)
        });
        assert!(off_paper_mm.into_iter().any(|mm| (1.5..12.0).contains(&mm)), "{id}");
    }
}
