//! Linings, openings brought true and battens reach the plan by the room file.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at once")]

use plan::outcome::Standing;
use plan::{Plan, read};

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(text: &str) -> Plan {
    let (project, mistakes) = read(text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

const LINING: &str =
    "[[lining]]\nwall = \"B-C\"\n[[lining.layer]]\nmaterial = \"acoustic-plasterboard-15\"\nsheets = 2\n";

/// A board the demo buys in lengths of 2400 mm.
fn board_of(text: &str) -> String {
    let long = text.split("[[stock.board]]").skip(1).find(|board| board.contains("length_mm = 2400"));
    let material = long.and_then(|board| board.split("material = \"").nth(1)?.split('"').next());
    material.expect("the demo has one").to_owned()
}

#[test]
fn a_lining_leaves_the_window_free_as_it_is_brought_true() {
    let board = board_of(ROOM);
    let lining = LINING.replace("acoustic-plasterboard-15", &board);
    let text = ROOM.replacen("sill_mm = 1150\n", "sill_mm = 1150\nnear_lean_mm = 8\nhead_fall_mm = -5\n", 1);
    let plan = planned(&format!("{text}\n{lining}"));
    let window = plan.openings.iter().find(|o| o.name == "window").unwrap();
    let t = window.brought_true.unwrap();
    assert!((t.width_mm - (window.width_mm - 8.0)).abs() < 1e-9);
    assert!((t.head.second_mm - 5.0).abs() < 1e-9);
    let [lining] = plan.linings.as_slice() else { panic!("{:?}", plan.linings) };
    let layout = lining.layout.as_ref().unwrap_or_else(|| panic!("{:?}", lining.not_planned));
    assert_eq!(layout.breaches, []);
    // The demo's ring runs anticlockwise: seen from inside, wall B-C begins at the right.
    assert_eq!(layout.left_corner, "C");
    // The corner of the face lies a little in from the wall's own: the room is not square.
    let from_the_right = layout.size_mm[0] - layout.openings[0].to_mm;
    assert!((from_the_right - (window.from_corner_mm + 8.0)).abs() < 3.0);
    assert!(plan.findings.iter().any(|f| f.sentence.starts_with("Lining of wall B-C")));
    assert!(!plan.battens.is_empty(), "walls of the demo bow");
    let own: Vec<_> = plan.order.lines.iter().filter(|l| l.note.contains("lining of wall B-C")).collect();
    let boards: u32 = own.iter().filter(|l| l.sold_as.starts_with("board")).map(|l| l.buy).sum();
    assert_eq!(boards as usize, layout.boards);
    assert!(own.iter().any(|l| l.what.starts_with("studs")));
    let more: f64 = own.iter().filter_map(|l| l.price).sum();
    let all: f64 = plan.order.lines.iter().filter_map(|l| l.price).sum();
    assert!((plan.order.price - all).abs() < 1e-6 && more > 0.0);
}

#[test]
fn a_lining_that_cannot_be_says_why() {
    let lining = LINING
        .replace("acoustic-plasterboard-15", &board_of(ROOM))
        .replace("[[lining.layer]]", "stud_length_mm = 1500\n[[lining.layer]]");
    let plan = planned(&format!("{ROOM}\n{lining}"));
    let told = plan.findings.iter().find(|f| f.sentence.starts_with("Lining of wall B-C")).unwrap();
    assert_eq!(told.sentence.to_lowercase().matches("lining of wall").count(), 1, "{}", told.sentence);
    assert_eq!(told.standing, Standing::Fails);
    assert!(told.sentence.contains("studs are sold 1500 mm long"), "{}", told.sentence);
}

/// A lining built first takes its depth from the ceiling, enters the sound of its wall, the order and the steps.
#[test]
fn a_lining_takes_its_depth_and_enters_sound_and_steps() {
    let board = board_of(ROOM);
    let lining = LINING.replace("acoustic-plasterboard-15", &board);
    let keys = "cavity_mm = 70\nfill = \"mineral-wool-20kg\"\nfill_mm = 50\n";
    let with_keys = lining.replacen("[[lining.layer]]", &format!("{keys}[[lining.layer]]"), 1);
    let plain = planned(ROOM);
    let lined = planned(&format!("{ROOM}\n{with_keys}"));
    // Measured from where the wall comes nearest: B-C bulges 4 mm.
    let depth_mm = 70.0 + 2.0 * 15.0 + 4.0;
    let corner = |plan: &Plan, name: &str| {
        let given = plan.ceiling.given.as_ref().unwrap();
        given.corners.iter().find(|corner| corner.name == name).unwrap().at
    };
    for name in ["B", "C"] {
        let moved = corner(&plain, name).distance_mm(corner(&lined, name));
        assert!((moved - depth_mm).abs() < 3.0, "{name}: {moved}");
    }
    assert!(corner(&plain, "D").distance_mm(corner(&lined, "D")) < 1e-6);
    assert_eq!(lined.ceiling.breaches, []);
    assert!(
        lined.ceiling.layout.as_ref().unwrap().take_off.area_m2
            < plain.ceiling.layout.as_ref().unwrap().take_off.area_m2
    );
    let wall = |plan: &Plan| plan.elements.iter().find(|e| e.name == "wall B-C").unwrap().clone();
    assert!(wall(&lined).buildup.contains("lined on B-C"), "{}", wall(&lined).buildup);
    assert!(wall(&lined).ratings.unwrap().rw_db > wall(&plain).ratings.unwrap().rw_db + 3);
    let titles: Vec<&str> = lined.steps.iter().map(|step| step.title.as_str()).collect();
    let own = titles.iter().position(|t| t.starts_with("Lining of wall B–C: studs")).unwrap();
    let ceiling = titles.iter().position(|t| t.starts_with("Mark out")).unwrap();
    assert!(own < ceiling, "{titles:?}");
    assert!(lined.order.lines.iter().any(|l| l.note.contains("lining of wall B-C") && l.sold_as == "m²"));

    let after = with_keys.replacen("cavity_mm", "built = \"after-ceiling\"\ncavity_mm", 1);
    let after = planned(&format!("{ROOM}\n{after}"));
    assert_eq!(corner(&plain, "B"), corner(&after, "B"));
    let height = |plan: &Plan| plan.linings[0].layout.as_ref().unwrap().size_mm[1];
    // Before: as high as the wall. After: the lowest joist of the demo lies 1200 + 1133 above the floor, 37 of clip and bar and 30 of boards
    // hang under it.
    assert!((height(&lined) - 2340.0).abs() < 0.5, "{}", height(&lined));
    assert!((height(&after) - (1200.0 + 1133.0 - 37.0 - 30.0)).abs() < 0.5, "{}", height(&after));
    let titles: Vec<&str> = after.steps.iter().map(|step| step.title.as_str()).collect();
    let own = titles.iter().position(|t| t.starts_with("Lining of wall B–C: studs")).unwrap();
    assert!(own > titles.iter().position(|t| t.starts_with("Mark out")).unwrap(), "{titles:?}");
}

/// A wall whose build-up has the lining's boards in it already is not lined twice for sound.
#[test]
fn a_build_up_that_has_the_lining_is_left_alone() {
    let board = board_of(ROOM);
    let more = format!(
        "[[buildup]]\nid = \"lined\"\nname = \"Lined\"\n[[buildup.layer]]\nkind = \"masonry\"\nmaterial = \"brick-215\"\n[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = 70\n[[buildup.layer]]\nkind = \"board\"\nmaterial = \"{board}\"\n"
    );
    let text = ROOM.replacen(
        "between = \"B-C\"\nbuildup = \"cavity-wall\"",
        "between = \"B-C\"\nbuildup = \"lined\"",
        1,
    );
    let lining = LINING.replace("acoustic-plasterboard-15", &board).replace("sheets = 2", "sheets = 1");
    let plan = planned(&format!("{text}\n{more}\n{lining}"));
    let wall = plan.elements.iter().find(|e| e.name == "wall B-C").unwrap();
    assert_eq!(wall.buildup, "Lined");
}

/// The lining of boards the demo buys, two of 15 mm.
fn lining() -> String {
    LINING.replace("acoustic-plasterboard-15", &board_of(ROOM))
}

fn step<'a>(plan: &'a Plan, title: &str) -> &'a plan::outcome::Step {
    plan.steps.iter().find(|step| step.title.contains(title)).unwrap_or_else(|| panic!("no step {title}"))
}

#[test]
fn steps_of_a_lining_measure_to_the_face_they_look_at() {
    let plan = planned(&format!(
        "{ROOM}\n{}",
        lining().replace(
            "[[lining.layer]]",
            "cavity_mm = 80\nfill = \"mineral-wool-33kg\"\nfill_mm = 50\n[[lining.layer]]"
        )
    ));
    let studs = step(&plan, "Lining of wall B–C: studs");
    // Two boards of 15: the studs' face stands 80 off the wall, the finished one 110.
    let hold = studs.hold_point.as_ref().unwrap();
    assert!(hold.tolerance.contains("80\u{A0}mm") && !hold.tolerance.contains("110"), "{hold:?}");
    assert!(studs.text[0].contains("110\u{A0}mm") && studs.text[0].contains("joists"), "{:?}", studs.text);
    let fibre = studs.text.iter().find(|text| text.contains("fibre")).unwrap();
    assert!(
        fibre.contains("50\u{A0}mm") && fibre.contains("30\u{A0}mm") && !fibre.contains("full"),
        "{fibre}"
    );
    let boards = step(&plan, "Lining of wall B–C: boards");
    assert!(boards.cautions.iter().all(|caution| !caution.contains("overhead")), "{:?}", boards.cautions);
}

#[test]
fn a_lining_after_the_ceiling_ends_under_its_face() {
    let text = format!(
        "{ROOM}\n{}",
        lining().replace("[[lining.layer]]", "built = \"after-ceiling\"\n[[lining.layer]]")
    );
    let plan = planned(&text);
    let layout = plan.linings[0].layout.as_ref().unwrap();
    let level = plan.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    // The demo hangs dead level: its face is as high everywhere.
    assert!(level.fall_mm_per_m.abs() < 1e-9);
    assert!(layout.size_mm[1] <= level.face_mm + 1e-6, "{} under {}", layout.size_mm[1], level.face_mm);
    assert!(layout.supports.iter().all(|stud| stud.to_mm < level.face_mm));
    assert!(step(&plan, "Lining of wall B–C: studs").text[0].contains("ceiling"));
}

#[test]
fn a_lining_ends_under_the_lowest_joist_over_it_and_says_so() {
    let text = format!(
        "{ROOM}\n{}",
        lining()
            .replace("\"B-C\"", "\"A-B\"")
            .replace("[[lining.layer]]", "height_mm = 2600\n[[lining.layer]]")
    );
    // Higher than any joist, but not higher than what the file says of the wall.
    let text =
        text.replace("height_mm = 2340", "height_mm = 2640").replace("height_mm = 2345", "height_mm = 2640");
    let plan = planned(&text);
    let layout = plan.linings[0].layout.as_ref().unwrap_or_else(|| panic!("{:?}", plan.linings[0]));
    let joists = &plan.survey.ceiling.as_ref().unwrap().joists;
    // All joists of the demo start at wall A-B: the lowest of their undersides there is over the lining.
    let at_wall = joists
        .iter()
        .flat_map(|joist| [joist.line.from, joist.line.to].map(|end| (joist, end)))
        .filter(|(_, end)| end.y_mm.abs() < 60.0)
        .filter_map(|(joist, end)| joist.underside_mm(end))
        .fold(f64::INFINITY, f64::min);
    assert!(at_wall.is_finite());
    assert!(layout.size_mm[1] <= at_wall + 1e-6, "{} under {at_wall}", layout.size_mm[1]);
    assert!(layout.notes.iter().any(|note| note.contains("joist J")), "{:?}", layout.notes);
}

#[test]
fn a_lining_can_be_bought_from_its_order() {
    let plan = planned(&format!("{ROOM}\n{}", lining()));
    let own: Vec<_> = plan.order.lines.iter().filter(|l| l.note.contains("lining of wall B-C")).collect();
    let layout = plan.linings[0].layout.as_ref().unwrap();
    let studs = own.iter().find(|line| line.what.starts_with("studs")).unwrap();
    assert!(studs.mass_kg > 0.0 && studs.detail.contains("50 mm deep"), "{studs:?}");
    let screws: Vec<_> = own.iter().filter(|line| line.what.starts_with("screws")).collect();
    assert_eq!(screws.len(), layout.layers.len());
    // Boards of 15 mm, 25 mm into a stud: 40 asks for 45, 55 for 55.
    assert!(screws[0].detail.starts_with("45 mm") && screws[1].detail.starts_with("55 mm"), "{screws:?}");
    let sealant = own.iter().find(|line| line.what.contains("sealant")).unwrap();
    assert!(sealant.needed > 0.5 && sealant.unit == "l", "{sealant:?}");
}

/// Fibre that does not go into the depth there is by itself is ordered as thick as that depth.
#[test]
fn no_more_fibre_is_ordered_than_goes_in() {
    let lining = LINING.replace("acoustic-plasterboard-15", &board_of(ROOM));
    let keys = "fill = \"mineral-wool-20kg\"\nfill_mm = 90\n";
    let plan = planned(&format!(
        "{ROOM}\n{}",
        lining.replacen("[[lining.layer]]", &format!("{keys}[[lining.layer]]"), 1)
    ));
    let fibre = plan
        .order
        .lines
        .iter()
        .find(|l| l.note.contains("lining of wall B-C") && l.unit == "m²" && l.sold_as == "m²");
    assert_eq!(fibre.unwrap().detail, "70 mm");
}

/// A stud is never ordered deeper than the space it stands in.
#[test]
fn studs_that_do_not_fit_are_told() {
    let lining = LINING.replace("acoustic-plasterboard-15", &board_of(ROOM));
    let studs = |cavity_mm: u32| {
        let keyed =
            lining.replacen("[[lining.layer]]", &format!("cavity_mm = {cavity_mm}\n[[lining.layer]]"), 1);
        let plan = planned(&format!("{ROOM}\n{keyed}"));
        plan.order.lines.iter().find(|l| l.what.starts_with("studs")).unwrap().detail.clone()
    };
    assert!(studs(70).contains("at most 50 mm deep"), "{}", studs(70));
    assert!(studs(40).contains("raise cavity_mm to 58"), "{}", studs(40));
}

/// A wall on clips that bulges 12 mm: its face and with it the ceiling's edge stand 12 mm farther in; the clips are packed to one plane, by
/// hand 12·(1 − 4x(l − x)/l²); and no batten is ordered for a wall that is lined.
#[test]
fn clips_on_a_wall_that_bulges_are_packed_to_one_plane() {
    let lining = LINING.replace("acoustic-plasterboard-15", &board_of(ROOM));
    let lining = lining.replace("wall = \"B-C\"\n", "wall = \"B-C\"\nkind = \"clips\"\n");
    let bow = "wall = \"B-C\"\ngap_mm = -4\n";
    assert!(ROOM.contains(bow));
    let text = |mm: &str| format!("{}\n{lining}", ROOM.replacen(bow, &bow.replace("-4", mm), 1));
    let straight = planned(&text("0"));
    let bulging = planned(&text("-12"));
    let wall = bulging.survey.walls.iter().find(|wall| wall.name == "B-C").unwrap();
    let own = geometry::Segment {
        from: bulging.survey.corners[wall.from].at,
        to: bulging.survey.corners[wall.to].at,
    };
    let face = |plan: &Plan| {
        let corner = plan.ceiling.given.as_ref().unwrap().corners[wall.from].at;
        own.left_of_mm(geometry::Point::new(corner.x_mm, corner.y_mm))
    };
    assert!((face(&bulging) - face(&straight) - 12.0).abs() < 0.01, "{} {}", face(&bulging), face(&straight));
    let outcome = &bulging.linings[0];
    let layout = outcome.layout.as_ref().unwrap_or_else(|| panic!("{:?}", outcome.not_planned));
    let l = layout.size_mm[0];
    for clip in layout.supports.iter().flat_map(|bar| &bar.clips_mm) {
        let by_hand = 12.0 * (1.0 - 4.0 * clip * (l - clip) / (l * l));
        assert!((outcome.clip_packer_mm(*clip).unwrap() - by_hand).abs() < 1e-9);
    }
    assert!(outcome.clip_packer_mm(l / 2.0).unwrap().abs() < 1e-9);
    assert!((outcome.clip_packer_mm(0.0).unwrap() - 12.0).abs() < 1e-9);
    assert!(straight.linings[0].clip_packer_mm(100.0).is_none());
    assert!(bulging.battens.iter().all(|batten| batten.wall != "B-C"));
    let told = &layout.layers;
    assert!(told[0].screws_told.contains("2 on each bar") && told[1].screws_told.starts_with("300 mm"));
}

/// Filled boards are taped at every sawn edge: the tape is in the order and in the steps.
#[test]
fn tape_for_the_boards_of_a_lining_is_ordered() {
    let taped = catalogue::sheets().iter().find(|sheet| sheet.tape_cut_edges).unwrap();
    let plan = planned(&format!(
        "{ROOM}\n{}",
        LINING.replace("acoustic-plasterboard-15", taped.id).replace("sheets = 2", "sheets = 1")
    ));
    let outcome = &plan.linings[0];
    let layout = outcome.layout.as_ref().unwrap_or_else(|| panic!("{:?}", outcome.not_planned));
    let tape_m: f64 = layout.layers.iter().map(|layer| layer.tape_m).sum();
    assert!(tape_m > 1.0);
    let own = plan.order.lines.iter().filter(|l| l.note.contains("lining of wall B-C"));
    let tape = own.clone().find(|line| line.what.starts_with("Tape")).unwrap();
    assert!((tape.needed - tape_m).abs() < 1e-9 && tape.unit == "m", "{tape:?}");
    let step = plan.steps.iter().find(|step| step.title == "Lining of wall B–C: boards").unwrap();
    assert!(step.text.iter().any(|text| text.starts_with("Tape every cut edge")), "{:?}", step.text);
}
