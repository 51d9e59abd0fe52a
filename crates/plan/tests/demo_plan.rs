//! The demo's plan read as a builder and an engineer would read it: do the dimensions add up, does everything land where
//! it must, are weights and levels what rules of thumb say?
//!
//! Rules of thumb here are common practice without a source unless a test names one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use plan::{Plan, outcome::Standing, plan, read};

fn demo_text() -> &'static str {
    include_str!("../../../examples/percussion-room/room.toml")
}

fn demo() -> Plan {
    let (project, found) = read(demo_text(), "room.toml");
    assert!(found.iter().all(|one| one.severity != plan::Severity::Error), "{found:?}");
    plan(&project.unwrap()).unwrap()
}

fn planned(edit: impl Fn(&str) -> String) -> Plan {
    let text = edit(demo_text());
    let (project, found) = read(&text, "room.toml");
    plan(&project.unwrap_or_else(|| panic!("{found:?}"))).unwrap()
}

#[test]
fn every_part_of_the_plan_is_there() {
    let plan = demo();
    assert_eq!(plan.survey.walls.len(), 5);
    assert!(plan.ceiling.layout.is_some(), "{:?}", plan.ceiling.not_planned);
    assert!(plan.ceiling.breaches.is_empty(), "{:?}", plan.ceiling.breaches);
    assert_eq!(plan.fabric.joists.len(), 12);
    assert_eq!(plan.elements.len(), 8);
    assert!(plan.heights.is_some() && plan.fabric.moisture.is_some() && plan.fabric.air.is_some());
    assert!(plan.fabric.u_value.is_some() && plan.fabric.room.is_some() && !plan.fabric.air_paths.is_empty());
    for receiver in ["garden fence", "bedroom window", "inside the room"] {
        assert!(plan.heard.iter().any(|heard| heard.receiver == receiver && heard.governs), "{receiver}");
    }
    assert!(plan.steps.len() > 10 && plan.order.lines.len() > 8 && plan.basis.len() > 10);
    assert!(plan.fabric.not_checked.is_empty(), "{:?}", plan.fabric.not_checked);
}

#[test]
fn no_number_of_the_plan_is_lost() {
    // serde_json writes a number that is not finite as null; the plan's own options are null only where the keys below say so.
    let json = serde_json::to_value(demo()).unwrap();
    let mut open = vec![(String::new(), &json)];
    let mut numbers = 0;
    while let Some((path, value)) = open.pop() {
        match value {
            serde_json::Value::Object(map) => {
                open.extend(map.iter().map(|(key, value)| (format!("{path}.{key}"), value)));
            }
            serde_json::Value::Array(list) => open.extend(list.iter().map(|value| (path.clone(), value))),
            serde_json::Value::Number(_) => numbers += 1,
            serde_json::Value::Null => assert!(
                !path.ends_with("_db")
                    || path.contains("c50")
                    || path.contains("if_perfect")
                    || path.contains("criterion_db")
                    || path.contains("background_db")
                    || path.contains("bridge_db")
                    || path.contains("leak_db"),
                "{path} is null"
            ),
            _ => {}
        }
    }
    assert!(numbers > 5000, "{numbers}");
}

#[test]
fn dimensions_add_up_to_the_polygon() {
    let plan = demo();
    let layout = plan.ceiling.layout.as_ref().unwrap();
    let outline = geometry::Polygon::new(&layout.outline).unwrap();
    for layer in &layout.layers {
        let pieces: f64 = layer.pieces.iter().map(|piece| piece.area_m2).sum();
        assert!((pieces - outline.area_mm2() * 1e-6).abs() < 1e-3, "layer {}: {pieces}", layer.number);
    }
    let room_m2 = plan.survey.area_mm2 * 1e-6;
    let gap_m2 = room_m2 - outline.area_mm2() * 1e-6;
    let given = plan.ceiling.given.as_ref().unwrap();
    let expected = plan.survey.perimeter_mm * given.mean_gap_mm() * 1e-6;
    assert!((gap_m2 - expected).abs() < 0.02 * expected, "gap {gap_m2} m², about {expected} m²");
    for wall in &layout.marks {
        let length = plan.survey.wall(&wall.wall).unwrap().length_mm;
        assert!((wall.length_mm - length).abs() < 0.5, "{}", wall.wall);
        assert!(
            wall.marks.iter().all(|mark| mark.at_mm >= 0.0 && mark.at_mm <= length + 0.5),
            "{}",
            wall.wall
        );
        assert!(wall.marks.windows(2).all(|pair| pair[0].at_mm <= pair[1].at_mm), "{}", wall.wall);
    }
}

#[test]
fn weights_are_what_the_boards_weigh() {
    let plan = demo();
    let layout = plan.ceiling.layout.as_ref().unwrap();
    let clips: f64 = layout.clips.iter().map(|clip| clip.load_kg).sum();
    assert!(
        (clips - layout.take_off.mass_kg).abs() < 1.0,
        "clips carry {clips} of {}",
        layout.take_off.mass_kg
    );
    let on_joists: f64 = layout.joist_loads.iter().map(|load| load.load_kg).sum();
    assert!(on_joists <= clips + 1e-6 && on_joists > 0.97 * clips, "joists carry {on_joists} of {clips}");
    // Two layers of 18 and 12 to 13 kg/m², with bars: 30 to 34 kg/m².
    assert!((30.0..34.0).contains(&layout.take_off.mass_kg_m2), "{}", layout.take_off.mass_kg_m2);
    assert!(plan.order.mass_kg > layout.take_off.mass_kg);
    let boards: Vec<f64> = plan.order.lines.iter().take(2).map(|line| line.heaviest_kg).collect();
    assert!((12.0..14.5).contains(&boards[0]) && (34.0..40.0).contains(&boards[1]), "{boards:?}");
}

#[test]
fn levels_are_what_rules_of_thumb_say() {
    let plan = demo();
    let at = |receiver: &str, source: &str| {
        let heard = plan.heard.iter().find(|one| one.receiver == receiver && one.source == source).unwrap();
        heard.heard.level_dba.median_db
    };
    let fence = at("garden fence", "drum kit");
    // 106 dB(A) inside, some 20 m² of shell with a composite R of 45 to 50 dB(A): L − 6 − R + 10 lg S − 20 lg r − 8 + 3.
    assert!((35.0..50.0).contains(&fence), "{fence}");
    let bedroom = at("bedroom window", "drum kit");
    // 14 m against 6 m: 7 dB less, give or take the fence in the way.
    assert!((3.0..12.0).contains(&(fence - bedroom)), "{fence} and {bedroom}");
    assert!(at("garden fence", "speech") < fence - 15.0);
    let street = at("inside the room", "street");
    assert!((10.0..35.0).contains(&street), "58 dB(A) at the wall, {street} inside");
    for heard in &plan.heard {
        let sum: f64 = heard.heard.shares.iter().map(|share| share.share_dba).sum();
        assert!((sum - 1.0).abs() < 1e-6, "{}: shares sum to {sum}", heard.receiver);
    }
}

#[test]
fn what_is_missing_is_open_and_never_passed() {
    let plan = demo();
    let strip = |about: &str| plan.verdicts.iter().find(|verdict| verdict.about == about).unwrap().standing;
    assert_eq!(strip("clips and bars"), Standing::Open, "the bar's figure is not in the file");
    let without = planned(|text| text.replace("rated_load_kg = 16\n", ""));
    let clip = without.verdicts.iter().find(|verdict| verdict.about == "clips and bars").unwrap();
    assert_eq!(clip.standing, Standing::Open);
    assert!(clip.meaning.contains("maker"), "{}", clip.meaning);
}

#[test]
fn a_heavier_ceiling_never_loads_less_and_a_lower_limit_never_leaves_more() {
    let usual = demo();
    let heavier = planned(|text| {
        text.replace(
            "material = \"dense-plasterboard-15\"\nlength_mm",
            "material = \"dense-plasterboard-15\"\nmass_kg = 60\nlength_mm",
        )
    });
    let worst = |plan: &Plan| {
        plan.fabric.governing_joist.map(|at| plan.fabric.joists[at].governing.utilisation).unwrap()
    };
    assert!(worst(&heavier) > worst(&usual));
    let lower = planned(|text| text.replace("headroom_mm = 2250", "headroom_mm = 2300"));
    let left = |plan: &Plan| plan.heights.as_ref().unwrap().left_inside_mm.unwrap();
    assert!((left(&usual) - left(&lower) - 50.0).abs() < 1e-9);
    assert_eq!(
        lower.verdicts.iter().find(|verdict| verdict.about == "headroom").unwrap().standing,
        Standing::Fails
    );
}

#[test]
fn a_wrong_tape_is_named() {
    let plan = planned(|text| text.replace("ceiling_mm = 5743", "ceiling_mm = 5783"));
    let suspect = plan.survey.suspect.as_ref().unwrap();
    assert_eq!(suspect.name, "B-D");
    assert!((suspect.should_be_mm - 5743.0).abs() < 6.0, "{}", suspect.should_be_mm);
}

#[test]
fn a_better_seal_is_never_louder() {
    let worse = planned(|text| text.replacen("seal = \"compression-seal\"", "seal = \"unsealed\"", 1));
    let usual = demo();
    let fence = |plan: &Plan| {
        plan.heard.iter().find(|one| one.receiver == "garden fence").unwrap().heard.level_dba.median_db
    };
    assert!(fence(&worse) > fence(&usual));
}

/// While prices are missing no sum is told to be left; a board of half millimetres is ordered as it is sold.
#[test]
fn the_budget_waits_for_every_price_and_boards_keep_their_half_millimetre() {
    let half = "dense-plasterboard-15";
    let plan = planned(|text| text.replace(half, "plasterboard-12.5"));
    let cost = plan.verdicts.iter().find(|one| one.about == "cost of the ceiling").unwrap();
    assert!(plan.order.lines_without_price > 0 && plan.order.money.is_some());
    assert_eq!(cost.standing, Standing::Open);
    assert!(cost.figure.ends_with(" and more") && !cost.meaning.contains("left"), "{cost:?}");
    let sold = |line: &&plan::outcome::OrderLine| line.sold_as == "2400 × 1200 × 12.5 mm";
    assert_eq!(plan.order.lines.iter().filter(sold).count(), 1);
}

/// What is there above the clips hangs under the joists, whose heights are taped: a board of 15 mm and 50 mm more of air take 65 mm.
#[test]
fn what_lies_above_the_clips_takes_headroom() {
    let layer = "[[buildup.layer]]\nkind = \"board\"\nmaterial = \"sand-filled-board-15\"\n";
    let with = planned(|text| {
        text.replacen(layer, &format!("{layer}\n[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = 50\n"), 1)
    });
    let headroom = |plan: &Plan| plan.heights.as_ref().unwrap().headroom_mm;
    // 37 of air and 15 of board stay, the clips hang 50 below them, one board below those.
    assert!((headroom(&demo()) - headroom(&with) - 50.0).abs() < 1e-6, "{}", headroom(&with));
}

/// Three people in a sealed room pass the limit: that is no open question.
#[test]
fn people_without_fresh_air_fail() {
    let sealed = planned(|text| text.replacen("fresh_air_l_s = 30", "fresh_air_l_s = 0", 1));
    let air = sealed.verdicts.iter().find(|verdict| verdict.about == "fresh air").unwrap();
    assert_eq!((air.standing, air.figure.replace('\u{a0}', " ").as_str()), (Standing::Fails, "0 l/s"));
}

/// Fibre and membrane go round the noggins, so these come first; a bar's mark names every joint on it.
#[test]
fn noggins_come_before_what_goes_round_them() {
    let plan = demo();
    let step = |title: &str| plan.steps.iter().position(|step| step.title == title).unwrap();
    assert!(
        step("Noggins") < step("Fill between the joists") && step("Noggins") < step("Vapour control layer")
    );
    let marks: Vec<&str> = plan
        .ceiling
        .layout
        .iter()
        .flat_map(|layout| &layout.marks)
        .flat_map(|wall| wall.marks.iter().map(|mark| mark.what.as_str()))
        .collect();
    for bar in [3, 9] {
        assert!(marks.contains(&format!("bar {bar}, end joint of layer 2").as_str()), "{marks:?}");
    }
}
