//! A hatch through the joists stands on the sheet of bars and in the list of marks, and the joists cut for it are drawn cut.
#![allow(clippy::expect_used, reason = "a test stops where it fails")]

use paper::{Group, Item, Path};
use plan::Plan;
use sheets::{drawings::drawings, files};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn with_hatch() -> Plan {
    let text = DEMO.replacen(
        "[[joist]]",
        "[[joists.opening]]\nname = \"loft hatch\"\ncut = [\"J6\", \"J7\"]\nfrom_mm = 1300\nlength_mm = 700\ntrimmer_members = 2\n\
         trimming_members = 2\n\n[[joist]]",
        1,
    );
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_some(), "{found:?}");
    plan::plan(&project.expect("the file reads")).expect("the tapes give a room")
}

fn groups<'a>(items: &'a [Item], all: &mut Vec<&'a Group>) {
    for item in items {
        if let Item::Group(group) = item {
            all.push(group);
            groups(&group.items, all);
        }
    }
}

fn paths<'a>(items: &'a [Item], all: &mut Vec<&'a Path>) {
    for item in items {
        match item {
            Item::Group(group) => paths(&group.items, all),
            Item::Path(path) => all.push(path),
            _ => {}
        }
    }
}

#[test]
fn the_hatch_is_drawn_named_and_marked() {
    let plan = with_hatch();
    let opening = plan.fabric.joist_openings.first().expect("the opening is worked out");
    assert_eq!(opening.cut, ["J6", "J7"]);
    assert!(plan.ceiling.layout.is_some() && plan.ceiling.breaches.is_empty(), "{:?}", plan.ceiling.breaches);
    let all = drawings(&plan);
    let drawing = all.iter().find(|drawing| drawing.id == "bars-and-clips").expect("drawn");
    let mut drawn = Vec::new();
    groups(&drawing.scene.items, &mut drawn);
    let hole =
        drawn.iter().find(|group| group.title.as_deref() == Some("loft hatch")).expect("the hole is drawn");
    // Two trimmers, the hole, its diagonals.
    assert_eq!(hole.items.len(), 5);
    let mut lines = Vec::new();
    paths(&hole.items, &mut lines);
    let outline = lines.iter().filter(|path| path.closed).nth(2).expect("the hole is closed");
    let inside = |x: f64, y: f64| {
        let xs = || outline.points.iter().map(|p| p.x);
        let ys = || outline.points.iter().map(|p| p.y);
        let within = |low: f64, at: f64, high: f64| low + 2.0 < at && at < high - 2.0;
        within(xs().fold(f64::MAX, f64::min), x, xs().fold(f64::MIN, f64::max))
            && within(ys().fold(f64::MAX, f64::min), y, ys().fold(f64::MIN, f64::max))
    };
    for joists in drawn.iter().filter(|group| group.layer == "joists") {
        let mut edges = Vec::new();
        paths(&joists.items, &mut edges);
        for edge in edges {
            for step in 0..=50 {
                let t = f64::from(step) / 50.0;
                let (a, b) = (edge.points[0], edge.points[1]);
                let (x, y) = (a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t);
                assert!(!inside(x, y), "a joist runs through the hatch");
            }
        }
    }
    let list = files(&plan)
        .expect("written")
        .into_iter()
        .find(|file| file.path.ends_with("marks.csv"))
        .expect("marks are listed");
    let listed = String::from_utf8(list.bytes).expect("text");
    let sides = listed.lines().filter(|line| line.contains("side of loft hatch")).count();
    assert!(sides >= 6, "{sides} marks: {listed}");
}
