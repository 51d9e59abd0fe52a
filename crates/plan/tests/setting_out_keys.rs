//! Keys of the setting out reach the plan and the sheets' words.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at once")]

use plan::{Plan, read};

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

/// The example with a line put under one of its tables.
fn planned(table: &str, more: &str) -> Plan {
    let text = if ROOM.contains(table) {
        ROOM.replacen(table, &format!("{table}\n{more}"), 1)
    } else {
        format!("{ROOM}\n{table}\n{more}\n")
    };
    let (project, mistakes) = read(&text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

#[test]
fn a_band_and_a_fall_save_packers_and_move_the_headroom() {
    let plain = planned("[rules]", "");
    let level = plain.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    let band = planned("[rules]", "flatness_mm = 3");
    let banded = band.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    assert!(
        banded.packing_mm < level.packing_mm
            && (banded.spacer_block_mm - level.spacer_block_mm + 3.0).abs() < 1e-9
    );
    assert_eq!(band.ceiling.breaches, []);
    assert_eq!(band.heights, plain.heights);
    let fall = planned("[rules]", "fall_mm_per_m = 2");
    let falling = fall.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    assert!(falling.packing_mm < level.packing_mm && falling.fall_mm_per_m > 0.0);
    assert_eq!(fall.ceiling.breaches, []);
    let heights = fall.heights.unwrap();
    assert!((heights.headroom_mm - falling.face_mm).abs() < 1e-6);
    assert!(heights.headroom_mm < plain.heights.unwrap().headroom_mm);
    assert!(heights.inside[0].note.contains("falls lowest"), "{}", heights.inside[0].note);
    let words = falling.sentence("J1");
    assert!(words.contains("mm/m") && words.contains("Spacer block"), "{words}");
}

#[test]
fn a_preference_is_followed_and_told() {
    let plain = planned("[rules]", "");
    let bars = planned("[rules]", "prefer = [\"bars\", \"clips\"]");
    let (plain, bars) = (plain.ceiling.layout.unwrap(), bars.ceiling.layout.unwrap());
    assert!(bars.worth.bars <= plain.worth.bars);
    assert!(bars.notes.iter().any(|n| n.contains("fewest bars, clips, boards")), "{:?}", bars.notes);
    let (_, mistakes) = read(&ROOM.replacen("[rules]", "[rules]\nprefer = [\"bar\"]", 1), "room.toml");
    let text = format!("{mistakes:?}");
    assert!(!ROOM.contains("[rules]") || text.contains("prefer"), "{text}");
}

#[test]
fn a_wall_that_bulges_sets_its_own_gap_only() {
    let text = ROOM.replacen("gap_mm = -4", "gap_mm = -9", 1);
    let (project, mistakes) = read(&text, "room.toml");
    let plan = plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap();
    let gap = |wall: &str| plan.ceiling.wall_gaps.iter().find(|w| w.wall == wall).unwrap();
    let bulging = gap("B-C");
    assert!((bulging.bulge_mm - 9.0).abs() < 1e-9 && bulging.gap_mm > 12.0, "{bulging:?}");
    assert!((bulging.gap_mm - (3.0 + 2.0 * bulging.sd_mm + 9.0).ceil()).abs() < 1e-9, "{bulging:?}");
    assert!((gap("A-B").gap_mm - 8.0).abs() < 1e-9, "{:?}", gap("A-B"));
    assert_eq!(plan.ceiling.breaches, []);
    let told: Vec<_> =
        plan.findings.iter().filter(|f| f.sentence.starts_with("The gap round the boards")).collect();
    assert!(told.iter().any(|f| f.sentence.contains("at wall B–C (it bulges 9\u{a0}mm")), "{told:?}");
    let words = plan.ceiling.gap_words();
    assert!(words.starts_with("8\u{a0}mm, but "), "{words}");
    assert!(plan.steps.iter().any(|step| step.text.iter().any(|t| t.contains("at wall B–C"))));
}

#[test]
fn no_ceiling_holds_on_a_survey_that_failed() {
    let text = ROOM.replacen("ceiling_mm = 6546", "ceiling_mm = 6596", 1);
    let (project, mistakes) = read(&text, "room.toml");
    let plan = plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap();
    assert!(!plan.survey.global_test.passed);
    let verdict = plan.verdicts.iter().find(|v| v.about == "ceiling").unwrap();
    assert_ne!(verdict.standing, plan::outcome::Standing::Holds, "{verdict:?}");
    assert_ne!(verdict.standing, plan::outcome::Standing::Close, "{verdict:?}");
}

#[test]
fn a_tie_reaches_the_survey_and_its_redundancy() {
    let plain = planned("[rules]", "");
    let tie = "[[survey.tie]]\ncorner = \"D\"\nfrom = \"A\"\nto = \"B\"\nalong_mm = 1055\noffset_mm = 3925\n";
    let tied = planned("[[survey.tie]]", &tie.replacen("[[survey.tie]]\n", "", 1));
    assert_eq!(tied.survey.global_test.redundancy, plain.survey.global_test.redundancy + 2);
    let names: Vec<&str> = tied.survey.readings.iter().rev().take(2).map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["D off A-B", "D along A-B"]);
    assert!(tied.survey.quality.contains("readings"), "{}", tied.survey.quality);
}

/// A board that lies above the clips, or clips with nothing left to hang in, never pass without a word.
#[test]
fn boards_above_the_clips_and_clips_between_the_joists_are_told() {
    let clips = "[[buildup.layer]]\nkind = \"cavity\"          # the clip's drop of 15 and the bar's 22\ndepth_mm = 37\n\n";
    let dense = "[[buildup.layer]]\nkind = \"board\"\nmaterial = \"dense-plasterboard-15\"\n\n";
    assert!(ROOM.contains(clips) && ROOM.contains(dense));
    let above = ROOM.replacen(dense, "", 1).replacen(clips, &format!("{dense}{clips}"), 1);
    let (project, said) = read(&above, "room.toml");
    let told = said.iter().find(|one| one.code == "above-the-clips").unwrap_or_else(|| panic!("{said:?}"));
    assert!(project.is_some() && told.message.contains("`dense-plasterboard-15` lies above"), "{told:?}");
    let (project, said) = read(&ROOM.replacen(clips, "", 1), "room.toml");
    assert!(project.is_none() && said.iter().any(|one| one.code == "clips-between-joists"), "{said:?}");
    let help = said.iter().find_map(|one| one.help.clone()).unwrap();
    assert!(help.contains("depth_mm = 37"), "{help}");
}
