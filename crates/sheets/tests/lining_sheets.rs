//! A lining on clips as its sheets show it: all that is needed to mark it on the wall.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

use paper::Item;
use plan::Plan;
use sheets::drawings::{Drawing, drawings};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(bow_mm: &str) -> Plan {
    let bow = "wall = \"B-C\"\ngap_mm = -4\n";
    assert!(DEMO.contains(bow));
    let lining = "[[lining]]\nwall = \"B-C\"\nkind = \"clips\"\n[[lining.layer]]\nmaterial = \"dense-plasterboard-15\"\nsheets = 2\n";
    let board = "[[stock.board]]\nmaterial = \"dense-plasterboard-15\"\nlength_mm = 2400\nwidth_mm = 1200\n";
    let stocked = DEMO.contains("material = \"dense-plasterboard-15\"\nlength_mm");
    let text = DEMO.replacen(bow, &bow.replace("-4", bow_mm), 1);
    let text = format!("{text}\n{lining}{}", if stocked { "" } else { board });
    let (project, found) = plan::read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| unreachable!("{found:?}"))).expect("the demo's tapes give a room")
}

fn words(drawing: &Drawing) -> Vec<String> {
    fn gather(items: &[Item], all: &mut Vec<String>) {
        for item in items {
            match item {
                Item::Group(group) => gather(&group.items, all),
                Item::Text(text) => all.push(text.words.clone()),
                _ => {}
            }
        }
    }
    let mut all = Vec::new();
    gather(&drawing.scene.items, &mut all);
    all
}

fn sheet<'a>(all: &'a [Drawing], id: &str) -> &'a Drawing {
    all.iter().find(|drawing| drawing.id == id).expect("the lining has this sheet")
}

#[test]
fn clips_corners_packers_and_screws_are_told() {
    let plan = planned("-12");
    let outcome = &plan.linings[0];
    let layout = outcome.layout.as_ref().expect("the lining is set out");
    let all = drawings(&plan);
    let told = words(sheet(&all, "lining-b-c-bars-and-clips"));
    let whole = told.join(" ");
    let figure = |mm: f64| quantities::format::number(mm, 0);
    for corner in ["B", "C"] {
        assert!(told.iter().any(|one| one == corner), "{corner}: {told:?}");
    }
    for bar in &layout.supports {
        assert!(told.contains(&figure(bar.at_mm)), "height of bar {}", bar.number);
        for clip in &bar.clips_mm {
            assert!(told.contains(&figure(*clip)), "clip at {clip}");
            let packer = outcome.clip_packer_mm(*clip).expect("the wall bulges");
            assert!(
                whole.contains(&format!("{}\u{a0}({})", figure(*clip), figure(packer))),
                "{clip} {packer}"
            );
        }
    }
    for opening in &layout.openings {
        let ends = format!(
            "{} to {} from corner {}",
            figure(opening.from_mm),
            figure(opening.to_mm),
            layout.left_corner
        );
        assert!(whole.contains(&ends), "{ends}");
    }
    for layer in 1..=2 {
        let drawing = sheet(&all, &format!("lining-b-c-layer-{layer}"));
        assert!(drawing.subtitle.contains("300\u{a0}mm apart") || drawing.subtitle.contains("300 mm apart"));
    }
}

#[test]
fn a_straight_wall_has_no_packers() {
    let plan = planned("0");
    let all = drawings(&plan);
    let told = words(sheet(&all, "lining-b-c-bars-and-clips")).join(" ");
    assert!(!told.contains("packer"), "{told}");
}

/// Every board of the lining that is cut is on a page of cuts once, with its size, and so is every corner of what is cut out of it.
#[test]
fn every_cut_board_of_a_lining_is_drawn_to_saw_by() {
    let plan = planned("-12");
    let layout = plan.linings[0].layout.as_ref().expect("the lining is set out");
    let all = drawings(&plan);
    let mut cut_outs = 0;
    let of = |begins: &str| -> Vec<String> {
        all.iter().filter(|drawing| drawing.id.starts_with(begins)).flat_map(words).collect()
    };
    // A piece of a later layer that comes from a sheet of an earlier one is drawn there.
    let told = of("cut-lining-b-c-layer-");
    for layer in &layout.layers {
        let title = of(&format!("cut-lining-b-c-layer-{}", layer.number)).join(" ");
        let cuts = layer.pieces.iter().any(|p| !p.whole && layer.sheet_of(p).layer == layer.number);
        assert!(
            !cuts || title.contains("of the lining of wall B–C") && title.contains("this way is up"),
            "{title}"
        );
        for piece in layer.pieces.iter().filter(|piece| !piece.whole) {
            let named = told.iter().filter(|one| **one == piece.name).count();
            let alike = told.iter().any(|one| one.contains("the same") && one.contains(&piece.name));
            assert!(named == 1 || alike, "{}: {named}", piece.name);
            if named == 1 {
                let size = [piece.head_mm - piece.foot_mm, piece.to_mm - piece.from_mm]
                    .map(|mm| quantities::format::number(mm, 0))
                    .join("\u{202f}×\u{202f}");
                assert!(told.contains(&size), "{}: {size}", piece.name);
            }
            cut_outs += piece.cut_outs_mm.len();
        }
    }
    assert!(cut_outs > 0, "the window stands in some board");
    let shared = layout.layers[1].begun.iter().flatten().count();
    assert!(shared > 0, "the layers of this lining share a sheet");
    let kept = told.iter().filter(|words| words.contains("keep") && words.contains("2-")).count();
    assert_eq!(kept, shared, "{told:?}");
    let step =
        plan.steps.iter().find(|step| step.title == "Lining of wall B–C: boards").expect("its boards go up");
    assert!(step.text.iter().any(|text| text.contains("serve a later layer too")), "{:?}", step.text);
}
