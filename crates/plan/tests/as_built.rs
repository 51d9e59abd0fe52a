//! What is fixed reaches the plan by the room file and comes back as a layout mended round it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::format_collect,
    reason = "a test stops at once"
)]

use plan::outcome::Standing;
use plan::{Plan, read};
use setout::MarkFor;

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

fn planned(more: &str) -> Plan {
    planned_of(&format!("{ROOM}\n{more}"))
}

fn planned_of(text: &str) -> Plan {
    let (project, mistakes) = read(text, "room.toml");
    plan::plan(&project.unwrap_or_else(|| panic!("{mistakes:?}"))).unwrap()
}

/// Every mark of a bar on the walls, `off` from it.
fn read_off(plan: &Plan, bar: usize, off: f64) -> String {
    let layout = plan.ceiling.layout.as_ref().unwrap();
    layout
        .marks
        .iter()
        .flat_map(|wall| wall.marks.iter().map(move |mark| (wall, mark)))
        .filter(|(_, mark)| mark.of == MarkFor::Bar(bar))
        .map(|(wall, mark)| {
            format!(
                "[[as_built.bar]]\nbar = {bar}\nwall = \"{}\"\nat_mm = {:.1}\n",
                wall.wall,
                mark.at_mm + off
            )
        })
        .collect()
}

#[test]
fn bars_on_their_marks_keep_the_plan() {
    let plain = planned("");
    assert!(plain.ceiling.as_built.is_none());
    let text: String = (2..=4).map(|bar| read_off(&plain, bar, 0.0)).collect();
    let plan = planned(&text);
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert_eq!(found.fixed_bars, [2, 3, 4]);
    assert_eq!(found.difference.sentences, Vec::<String>::new());
    assert_eq!(plan.ceiling.breaches, []);
    assert_eq!(found.difference.marks_kept, found.difference.marks_to_keep);
}

#[test]
fn a_bar_off_its_marks_is_told_and_mended() {
    let plain = planned("");
    let joint = plain.ceiling.layout.as_ref().unwrap().bars.iter();
    let joint = joint.clone().find(|b| b.reason == setout::BarReason::Joint).unwrap().number;
    let plan = planned(&read_off(&plain, joint, 25.0));
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert!(!found.breaches.is_empty());
    assert_eq!(plan.ceiling.breaches, []);
    assert!(!found.difference.sentences.is_empty());
    let told = plan.findings.iter().filter(|f| f.sentence.starts_with("As built"));
    assert!(told.clone().any(|f| f.standing == Standing::Close));
    let verdict = plan.verdicts.iter().find(|v| v.about == "ceiling").unwrap();
    assert_eq!(verdict.standing, Standing::Close);
    assert!(verdict.meaning.contains("mended"), "{}", verdict.meaning);
}

#[test]
fn readings_of_nothing_and_boards_that_are_up() {
    let plan = planned(
        "[[as_built.bar]]\nbar = 77\nwall = \"A-B\"\nat_mm = 100\n[[as_built.board]]\npiece = \"1-02\"\n[[as_built.clip]]\nclip = 900\nalong_mm = 3\n",
    );
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert_eq!(found.boards_up, ["1-02"]);
    let fails: Vec<&str> = plan
        .findings
        .iter()
        .filter(|f| f.standing == Standing::Open && f.sentence.starts_with("As built"))
        .map(|f| f.sentence.as_str())
        .collect();
    assert!(fails.iter().any(|s| s.contains("no bar 77")), "{fails:?}");
    assert!(fails.iter().any(|s| s.contains("no clip 900")), "{fails:?}");
    let verdict = plan.verdicts.iter().find(|v| v.about == "ceiling").unwrap();
    assert_eq!(verdict.standing, Standing::Open);
    assert!(verdict.meaning.contains("2 readings"), "{}", verdict.meaning);
}

#[test]
fn readings_of_another_layout_are_not_counted() {
    let plain = planned("");
    let stamp = plain.ceiling.stamp.clone().unwrap();
    let read = read_off(&plain, 3, 25.0);
    let own = planned(&format!("[as_built]\nstamp = \"{stamp}\"\n{read}"));
    assert!(own.ceiling.as_built.as_ref().unwrap().stamped && own.ceiling.as_built_refused.is_none());
    assert_eq!(own.ceiling.stamp.as_ref(), Some(&stamp), "the stamp is the planned layout's");
    // Sheets of the mended layout are told apart from those of the planned one.
    let mended = own.ceiling.mended_stamp.clone().unwrap();
    assert_eq!(mended, own.ceiling.layout.as_ref().unwrap().stamp());
    assert_ne!(mended, stamp);
    let farther = planned(&read_off(&plain, 3, 35.0));
    assert_ne!(farther.ceiling.mended_stamp.as_ref(), Some(&mended));
    let on_its_marks = planned(&read_off(&plain, 3, 0.0));
    assert_eq!((&plain.ceiling.mended_stamp, &on_its_marks.ceiling.mended_stamp), (&None, &None));
    let other = planned(&format!("[as_built]\nstamp = \"AAAA-BBBB\"\n{read}"));
    assert_eq!(other.ceiling.as_built, None);
    assert_eq!(other.ceiling.layout, plain.ceiling.layout);
    let refused = other.ceiling.as_built_refused.as_ref().unwrap();
    assert!(refused.contains("AAAA-BBBB") && refused.contains(&stamp), "{refused}");
    let verdict = other.verdicts.iter().find(|v| v.about == "ceiling").unwrap();
    assert_eq!(verdict.standing, Standing::Open);
    let without = planned(&read);
    let told = without.findings.iter().filter(|f| f.sentence.contains("carry no stamp"));
    assert_eq!(told.count(), 1);
    assert!(own.findings.iter().all(|f| !f.sentence.contains("carry no stamp")));
}

#[test]
fn a_stamp_changes_with_what_is_marked_and_with_nothing_else() {
    let plain = planned("");
    let dearer = planned_of(&ROOM.replacen("price = 17.50", "price = 18.50", 1));
    assert_eq!(plain.ceiling.stamp, dearer.ceiling.stamp);
    let wider = planned_of(&ROOM.replacen("ceiling_mm = 5235", "ceiling_mm = 5243", 1));
    assert_ne!(plain.ceiling.stamp, wider.ceiling.stamp);
    // Asked for alone, whatever was read, it is the same.
    let (project, _) = read(&format!("{ROOM}\n{}", read_off(&plain, 3, 25.0)), "room.toml");
    assert_eq!(plan::layout_stamp(&project.unwrap()).unwrap(), plain.ceiling.stamp);
}

#[test]
fn a_board_that_is_up_holds_its_bars() {
    let plan = planned("[[as_built.board]]\npiece = \"2-02\"\n");
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert!(found.fixed_bars.len() > 1, "{:?}", found.fixed_bars);
    assert!(
        found.boards_up.len() > 1 && found.boards_up.iter().any(|name| name.starts_with("1-")),
        "{:?}",
        found.boards_up
    );
    let asks = found.asks.as_ref().unwrap();
    assert!(asks.contains("are under boards that are up"), "{asks}");
    assert!(
        plan.findings
            .iter()
            .any(|f| f.standing == Standing::Open && f.sentence.contains("under boards that are up"))
    );
    assert_eq!(plan.ceiling.breaches, []);
}

#[test]
fn a_clip_read_off_its_mark_is_told() {
    let plain = planned("");
    let clip = &plain.ceiling.layout.as_ref().unwrap().clips[4];
    let plan = planned(&format!(
        "[[as_built.clip]]\nclip = {}\nalong_mm = {:.1}\n",
        clip.number,
        clip.along_mm + 12.0
    ));
    let found = plan.ceiling.as_built.as_ref().unwrap();
    let told = format!("clip {} of bar {} stays where it is, 12 mm off its mark", clip.number, clip.bar + 1);
    assert!(found.difference.sentences.contains(&told), "{:?}", found.difference.sentences);
    assert_eq!(found.fixed_words(), "0\u{a0}bars, 1\u{a0}clip and 0\u{a0}boards");
}

#[test]
fn more_bridged_clips_than_there_are_is_refused() {
    let plan = planned_of(&ROOM.replacen("[ceiling]\n", "[ceiling]\nbridged_clips = 900\n", 1));
    assert_eq!(plan.ceiling.bridged_clips, 0);
    let refused = plan.ceiling.bridged_clips_refused.as_ref().unwrap();
    assert!(refused.starts_with("900 clips are given as bridged, but the ceiling has"), "{refused}");
    assert!(plan.findings.iter().any(|f| f.sentence.contains("900 clips")));
}

#[test]
fn a_bar_added_on_site_is_entered_in_the_room_file() {
    let plain = planned("");
    let layout = plain.ceiling.layout.as_ref().unwrap();
    // Half-way between the marks of bars 3 and 4, on the two walls both run up to.
    let at = |bar: usize, wall: &str| {
        let wall = layout.marks.iter().find(|w| w.wall == wall)?;
        wall.marks.iter().find(|m| m.of == MarkFor::Bar(bar)).map(|m| m.at_mm)
    };
    let walls: Vec<(String, f64)> = layout
        .marks
        .iter()
        .filter_map(|w| Some((w.wall.clone(), f64::midpoint(at(3, &w.wall)?, at(4, &w.wall)?))))
        .collect();
    let [(one, from_mm), (two, to_mm)] = walls.as_slice() else { panic!("{walls:?}") };
    let text = format!(
        "[[as_built.added_bar]]\nfrom_wall = \"{one}\"\nfrom_mm = {from_mm:.1}\nto_wall = \"{two}\"\nto_mm = {to_mm:.1}\n"
    );
    let plan = planned(&text);
    let found = plan.ceiling.as_built.as_ref().unwrap();
    let bars = layout.bars.len();
    assert_eq!(found.added_bars, [bars + 1], "{:?}", found.breaches);
    assert_eq!(found.found_bars.len(), bars + 1);
    assert!(found.found_bars[bars].planned.is_none());
    assert_eq!(plan.ceiling.breaches, []);
    assert_eq!(plan.ceiling.layout.as_ref().unwrap().bars.len(), bars + 1);
    assert!(found.difference.sentences.iter().any(|s| s.contains("added on site")), "{found:?}");
    let taken = plan::take_in::take_in(ROOM, &text).unwrap();
    assert_eq!((taken.added, taken.known), (1, 0));
}

/// The one reading of a bar at a wall that reaches the setting out, by how far off it is told to be.
fn off_told(plan: &Plan, bar: usize) -> Option<String> {
    let found = plan.ceiling.as_built.as_ref().unwrap();
    found.difference.sentences.iter().find(|s| s.starts_with(&format!("bar {bar} "))).cloned()
}

#[test]
fn a_corrected_reading_takes_the_place_of_the_one_before_it() {
    let plain = planned("");
    let (wrong, right) = (read_off(&plain, 3, 40.0), read_off(&plain, 3, 12.0));
    let alone = planned(&right);
    assert!(off_told(&alone, 3).unwrap().contains("12 mm"), "{:?}", off_told(&alone, 3));
    let corrected = planned(&format!("{wrong}{right}"));
    assert_eq!(corrected.ceiling.as_built, alone.ceiling.as_built);
    assert_eq!(corrected.ceiling.layout, alone.ceiling.layout);
    // Taken back, the correction leaves the first reading.
    let named = right.replace("at_mm", "read = \"K-2\"\nat_mm");
    let back = planned(&format!("{wrong}{named}[[as_built.withdrawn]]\nread = \"K-2\"\n"));
    assert_eq!(back.ceiling.as_built, planned(&wrong).ceiling.as_built);
}

#[test]
fn a_second_tape_is_averaged_with_the_first_and_only_when_it_says_so() {
    let plain = planned("");
    let again = read_off(&plain, 3, 14.0).replace("at_mm", "again = true\nat_mm");
    let third = read_off(&plain, 3, 15.0).replace("at_mm", "again = true\nat_mm");
    // 10, 14 and 15 make 13; a correction before them is left behind.
    let wrong = read_off(&plain, 3, 40.0);
    let plan = planned(&format!("{wrong}{}{again}{third}", read_off(&plain, 3, 10.0)));
    assert!(off_told(&plan, 3).unwrap().contains("13 mm"), "{:?}", off_told(&plan, 3));
}

#[test]
fn a_board_read_twice_hangs_once_off_its_place() {
    let board = |off: i32| format!("[[as_built.board]]\npiece = \"1-02\"\noff_along_mm = {off}\n");
    let twice = planned(&format!("{}{}", board(3), board(2)));
    assert_eq!(twice.ceiling.as_built, planned(&board(2)).ceiling.as_built);
}

#[test]
fn clips_on_their_marks_and_clips_that_were_skipped() {
    let plan = planned(
        "[[as_built.clip]]\nclip = 4\n[[as_built.clip]]\nclip = 5\nskipped = true\nwhy = \"a pipe\"\n[[as_built.clip]]\nclip = 901\nskipped = true\n",
    );
    let found = plan.ceiling.as_built.as_ref().unwrap();
    assert_eq!(found.fixed_clips, [4]);
    let skipped = plan::outcome::SkippedClip { clip: 5, bar: 1 };
    assert_eq!(found.skipped_clips, [skipped]);
    // What hangs there is passed on: the gap it leaves is told, and closed by the mend.
    assert!(found.breaches.iter().all(|breach| breach.what == "bar 1"), "{:?}", found.breaches);
    assert!(!found.breaches.is_empty() && plan.ceiling.breaches.is_empty());
    assert!(found.difference.sentences.iter().any(|s| s.starts_with("add a clip to bar 1")));
    let told = |standing: Standing, words: &str| {
        let mut all = plan.findings.iter().filter(|f| f.standing == standing);
        all.any(|f| f.sentence.contains(words))
    };
    assert!(
        told(Standing::Holds, "Clip 5 of bar") && told(Standing::Holds, "(a pipe)"),
        "{:?}",
        plan.findings
    );
    assert!(told(Standing::Open, "the layout has no clip 901"));
}

#[test]
fn hold_points_and_steps_come_home() {
    let plain = planned("");
    let with_hold: Vec<&str> =
        plain.steps.iter().filter(|s| s.hold_point.is_some()).map(|s| s.title.as_str()).take(2).collect();
    let [one, two] = with_hold.as_slice() else { panic!("{with_hold:?}") };
    let hold = |step: &str, within: bool| {
        format!("[[as_built.hold]]\nstep = \"{step}\"\nmeasured = \"5 mm\"\nwithin = {within}\n")
    };
    let step = format!("[[as_built.step]]\nstep = \"{one}\"\n");
    let plan = planned(&format!("{}{}{}{step}", hold(one, true), hold(two, false), hold("Dig a moat", true)));
    let say = |standing: Standing, words: &str| {
        plan.findings.iter().any(|f| f.standing == standing && f.sentence.contains(words))
    };
    assert!(
        say(Standing::Fails, &format!("\u{201c}{two}\u{201d} is out: 5 mm was measured")),
        "{:?}",
        plan.findings
    );
    assert!(say(Standing::Open, "Dig a moat"));
    assert!(say(Standing::Holds, "On site: 1 of"));
    let mended = planned(&format!("{}{}", hold(two, false), hold(two, true)));
    assert!(mended.findings.iter().all(|f| !f.sentence.contains("is out: 5 mm")));
}

#[test]
fn the_figure_of_a_hold_point_is_held_against_what_it_may_be() {
    use plan::take_in::{TakeInError, figures_where_asked};

    let plain = planned("");
    let asks = |s: &&plan::outcome::Step| {
        s.hold_point
            .as_ref()
            .is_some_and(|hold| hold.limit.as_ref().is_some_and(|limit| limit.most.is_some()))
    };
    let step = plain.steps.iter().find(asks).unwrap();
    let most = step.hold_point.as_ref().and_then(|hold| hold.limit.as_ref()?.most).unwrap();
    let hold = |measured: &str, name: &str| {
        format!(
            "[[as_built.hold]]\nstep = \"{}\"\nmeasured = \"{measured}\"\nwithin = true\nread = \"{name}\"\n",
            step.title
        )
    };
    let out = |measured: &str| {
        planned(&hold(measured, "K-1")).findings.iter().any(|f| f.sentence.contains("\u{201d} is out: "))
    };
    assert!(!out(&most.to_string()) && out(&(most + 0.5).to_string()) && out("abc"));

    let refused = figures_where_asked(&hold("abc", "K-1"), &plain).unwrap_err();
    assert!(matches!(&refused, TakeInError::NoFigure { measured, .. } if measured == "abc"), "{refused}");
    let back = format!("{}[[as_built.withdrawn]]\nread = \"K-1\"\n", hold("abc", "K-1"));
    let mended = format!("{}{}", hold("abc", "K-1"), hold("14", "K-2"));
    for text in [back, mended, hold("14", "K-1")] {
        figures_where_asked(&text, &plain).unwrap();
    }
}

/// The steps speak of what is still to do: boards that are up are named, and what they leave open is told where it is filled.
#[test]
fn the_steps_speak_of_what_is_left() {
    let plain = planned("");
    let layout = plain.ceiling.layout.as_ref().unwrap();
    let first = &layout.layers[0];
    let text: String = first
        .pieces
        .iter()
        .map(|piece| format!("[[as_built.board]]\npiece = \"{}\"\noff_along_mm = 2\n", piece.name))
        .chain([format!("[[as_built.board]]\npiece = \"{}\"\n", layout.layers[1].pieces[0].name)])
        .collect();
    let plan = planned(&text);
    let step = |plan: &Plan, title: &str| {
        let step = plan.steps.iter().find(|step| step.title.starts_with(title));
        step.unwrap_or_else(|| panic!("{title}")).clone()
    };
    let titles = |plan: &Plan| plan.steps.iter().map(|s| s.title.clone()).collect::<Vec<_>>();
    assert_eq!(titles(&plain), titles(&plan));
    let one = step(&plan, "Boards, layer 1");
    assert_eq!(one.text[0], format!("All {}\u{a0}pieces are up.", first.pieces.len()));
    assert!(
        one.text[1].contains("the gap is wider than planned at wall E-A by up to 2 mm"),
        "{:?}",
        one.text
    );
    let two = step(&plan, "Boards, layer 2");
    let count = layout.layers[1].pieces.len();
    let rest = format!("{}\u{a0}pieces, the rest of {count} (2-01 is up already)", count - 1);
    assert!(two.text[0].contains(&rest), "{:?}", two.text);
    let screws = |step: &plan::outcome::Step| {
        let text = step.text.iter().find(|t| t.contains("screws into the bars")).unwrap();
        text.split(' ').next().unwrap().replace('\u{202f}', "").parse::<usize>().unwrap()
    };
    let on_first = layout.layers[1].pieces[0].screws;
    assert_eq!(screws(&step(&plain, "Boards, layer 2")) - screws(&two), on_first);
    assert!(two.hours < step(&plain, "Boards, layer 2").hours);
    // Bars under boards that are up hang, with their clips.
    assert!(
        step(&plan, "Bars").text[0].starts_with("All ") && step(&plan, "Clips").text[0].starts_with("All ")
    );
    assert!(step(&plan, "Bars").hours < step(&plain, "Bars").hours);
}
