//! A room of ten corners with a breast, a re-entrant corner and a lined wall, as a person measured it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at once")]

use std::sync::LazyLock;

use plan::outcome::Standing;
use plan::{Plan, Project, read, survey_of};

const ROOM: &str = include_str!("rooms/drum_garage.toml");

static PLAN: LazyLock<Plan> = LazyLock::new(|| planned(ROOM));

fn project(text: &str) -> Project {
    let (project, mistakes) = read(text, "room.toml");
    project.unwrap_or_else(|| panic!("{mistakes:?}"))
}

fn planned(text: &str) -> Plan {
    plan::plan(&project(text)).unwrap()
}

/// The room with one tape read otherwise.
fn with_tape(from: &str, to: &str, add_mm: i64) -> String {
    let head = format!("from = \"{from}\"\nto = \"{to}\"\nceiling_mm = ");
    let (before, after) = ROOM.split_once(&head).expect("the tape is there");
    let (reading, rest) = after.split_once('\n').unwrap();
    format!("{before}{head}{}\n{rest}", reading.parse::<i64>().unwrap() + add_mm)
}

#[test]
fn noggins_reach_the_joist_behind_the_lining() {
    let given = PLAN.ceiling.given.as_ref().unwrap();
    let layout = PLAN.ceiling.layout.as_ref().unwrap();
    assert_eq!(PLAN.ceiling.breaches, []);
    let holds = &PLAN.ceiling.noggin_holds;
    assert_eq!(holds.len(), layout.noggins.len());
    let j15 = given.joists.iter().position(|joist| joist.name == "J15").unwrap();
    let beside: Vec<_> = layout.noggins.iter().filter(|n| n.joists.first() == Some(&j15)).collect();
    assert!(!beside.is_empty());
    for noggin in beside {
        // From J15's face to J16's, both 50 wide and 325 to 330 apart between their middles.
        assert_eq!(noggin.joists.len(), 2, "{noggin:?}");
        assert!((275.0..281.0).contains(&noggin.length_mm), "{noggin:?}");
    }
    for hold in holds {
        for end in &hold.ends {
            assert!(end.joist.is_some() != end.at_wall.is_some(), "{hold:?}");
            assert_ne!(end.at_wall.as_deref(), Some("B-C"));
        }
        assert!(hold.ends.iter().any(|end| end.along_mm.is_some()), "{hold:?}");
    }
}

#[test]
fn a_joist_behind_a_deep_lining_stays_in_the_plan() {
    let plan = planned(&ROOM.replace("cavity_mm = 80\n", "cavity_mm = 150\n"));
    assert_eq!(plan.ceiling.not_planned, None);
    assert!(plan.fabric.joists.iter().any(|joist| joist.name == "J16"));
}

#[test]
fn only_lines_a_tape_can_take_are_asked_for() {
    let mut asked = 0;
    let mut texts: Vec<String> = Vec::new();
    for (from, to) in [("E", "F"), ("G", "H"), ("A", "C"), ("B", "C"), ("D", "H"), ("F", "G")] {
        texts.extend([30, -30].map(|add| with_tape(from, to, add)));
    }
    texts.push(ROOM.to_owned());
    for text in texts {
        let Ok(survey) = survey_of(&project(&text)) else { continue };
        let Some(next) = survey.next_tape.as_ref().filter(|next| !next.again) else { continue };
        asked += 1;
        let (a, b) = (survey.corners[next.from].at, survey.corners[next.to].at);
        for step in 1..400 {
            let at = a.toward(b, f64::from(step) / 400.0);
            let inside = survey.polygon.contains(at) || survey.polygon.distance_to_boundary_mm(at) < 2.0;
            assert!(inside, "{} runs through a wall", next.name);
        }
    }
    assert!(asked > 0);
}

#[test]
fn every_bar_is_marked_twice() {
    let layout = PLAN.ceiling.layout.as_ref().unwrap();
    for bar in &layout.bars {
        let own = format!("bar {}", bar.number);
        let on_walls = layout
            .marks
            .iter()
            .flat_map(|wall| &wall.marks)
            .filter(|mark| mark.what.split(", ").any(|what| what == own))
            .count();
        let on_joists = PLAN.ceiling.bar_ties.iter().filter(|tie| tie.bar == bar.number).count();
        assert!(on_walls + on_joists >= 2, "{own}: {on_walls} on walls, {on_joists} on joists");
    }
}

#[test]
fn no_bar_is_lapped_for_a_few_millimetres() {
    for bar in &PLAN.ceiling.layout.as_ref().unwrap().bars {
        assert!(bar.laps.is_empty() || bar.length_mm > 3620.0, "{bar:?}");
    }
}

#[test]
fn damp_names_what_fails_with_its_figure() {
    let damp = PLAN.verdicts.iter().find(|verdict| verdict.about == "damp").unwrap();
    assert_eq!(damp.standing, Standing::Fails);
    let worst = PLAN
        .fabric
        .walls
        .iter()
        .filter_map(|wall| Some((wall.moisture.as_ref()?.peak_g_m2, wall)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap();
    assert!(worst.0 > 1000.0);
    let digits: String = damp.figure.chars().filter(char::is_ascii_digit).collect();
    assert_eq!(digits, format!("{:.0}", worst.0), "{damp:?}");
    let (gathers, _) = damp.meaning.split_once(';').unwrap_or((&damp.meaning, ""));
    assert!(gathers.starts_with("damp gathers in wall") && gathers.contains(&worst.1.walls[0]), "{damp:?}");
}

#[test]
fn a_board_of_a_lining_is_no_stray_entry() {
    let (_, found) = read(ROOM, "room.toml");
    assert!(found.iter().all(|one| !format!("{one:?}").contains("has a layer of")), "{found:?}");
}

#[test]
fn height_and_width_of_the_way_in_swapped_are_told() {
    let text = ROOM.replace("door_lets_through_mm = [2000, 800]", "door_lets_through_mm = [800, 2000]");
    let (_, found) = read(&text, "room.toml");
    assert!(found.iter().any(|one| format!("{one:?}").contains("odd-way-in")), "{found:?}");
}

#[test]
fn boards_of_a_lining_keep_to_the_way_in() {
    let text = ROOM.replace("door_lets_through_mm = [2000, 800]", "door_lets_through_mm = [800, 700]");
    let plan = planned(&text);
    let told = plan.linings[0].not_planned.as_deref().unwrap();
    assert!(told.contains("1200") && told.contains("800"), "{told}");
    assert!(plan.order.lines.iter().all(|line| !line.note.contains("lining")));
}

#[test]
fn a_reveal_far_out_of_plumb_is_asked_about() {
    let told = |text: &str| {
        let (_, found) = read(text, "room.toml");
        found.iter().filter(|one| format!("{one:?}").contains("far-out-of-true")).count()
    };
    assert_eq!(told(ROOM), 0);
    assert_eq!(told(&ROOM.replace("near_lean_mm = 9\n", "near_lean_mm = 90\n")), 1);
}
