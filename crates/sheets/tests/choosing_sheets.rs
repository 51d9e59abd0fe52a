//! What was chosen, as the dossier and the lists show it.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

mod gathered;

use std::sync::LazyLock;

use gathered::texts;
use paper::{Document, Format, pdf, proof_reading};
use plan::{Choice, Plan};
use quantities::format::number;
use sheets::{choosing, dossier::dossier_with, drawings::drawings};

static ROOM: LazyLock<(Plan, Choice)> = LazyLock::new(|| {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    // Most is left as it is, so that choosing takes a test no longer than it must.
    let leave = "\n[choose]\nleave = [\"B-C\", \"C-D\", \"D-E\", \"E-A\", \"window\"]\n";
    let (project, found) = plan::read(&format!("{demo}{leave}"), "room.toml");
    let project = project.unwrap_or_else(|| unreachable!("{found:?}"));
    let plan = plan::plan(&project).expect("the demo's tapes give a room");
    let choice = plan::choose(&project).expect("the demo's tapes give a room");
    (plan, choice)
});

fn document() -> Document {
    let (plan, choice) = &*ROOM;
    let mut all = drawings(plan);
    all.push(choosing::drawing(choice, plan.lengths()));
    dossier_with(plan, &all, Some(choice))
}

fn words_of(document: &Document, title: &str) -> Vec<String> {
    let pages = document
        .pages
        .iter()
        .filter(|page| page.bookmarks.first().is_some_and(|mark| mark.words.starts_with(title)));
    let mut all = Vec::new();
    for page in pages {
        texts(&page.scene.items, &mut all);
    }
    all.into_iter().map(|text| text.words.clone()).collect()
}

/// Both fronts with the knee and the chosen set, every share before and after, the set, the steps: as the choice has them.
#[test]
fn the_dossier_holds_the_choice() {
    let (plan, choice) = &*ROOM;
    let document = document();
    let drawn = words_of(&document, "What each decibel costs");
    assert!(choice.front.len() > 2 && choice.knee.is_some(), "{:?}", choice.front);
    for words in ["knee", if choice.holds { "chosen" } else { "nearest" }] {
        assert!(drawn.iter().any(|one| one.contains(words)), "no {words}: {drawn:?}");
    }
    let mut shares = 0;
    for row in choice.shares.iter().filter(|row| row.today.max(row.chosen) >= 0.03) {
        let words = format!("{} → {}", number(row.today * 100.0, 0), number(row.chosen * 100.0, 0));
        assert!(drawn.contains(&words) && drawn.contains(&row.element), "{row:?}");
        shares += 1;
    }
    assert!(shares > 8, "{shares}");
    let told = words_of(&document, "What to build").join(" ");
    let chosen = choice.chosen.as_ref().expect("something comes nearest");
    for pick in chosen.picks.iter().filter(|pick| pick.candidate != 0) {
        let first = pick.name.split_whitespace().next().expect("a name");
        assert!(told.contains(&pick.element) && told.contains(first), "{}: {told}", pick.name);
        assert!(told.contains(&choosing::money(choice, pick.cost)), "{}", pick.cost);
    }
    for step in &choice.next_steps {
        assert!(told.contains(&number(step.gain_db, 1)), "{step:?}");
    }
    for heading in ["What each decibel takes of the headroom", "The next best steps from what is in the file"]
    {
        assert!(told.contains(heading), "{heading}");
    }
    // Without a choice nothing of it is there.
    let without = dossier_with(plan, &drawings(plan), None);
    assert!(
        words_of(&without, "What to build").is_empty() && without.pages.len() + 2 <= document.pages.len()
    );
}

#[test]
fn its_sheets_can_be_read_and_its_lists_go_with_them() {
    let (plan, choice) = &*ROOM;
    let document = document();
    for page in &document.pages {
        let title = page.bookmarks.first().map_or("", |mark| mark.words.as_str());
        if title.starts_with("What ") {
            let faults = proof_reading::faults(&page.scene, Some(Format::A3_LANDSCAPE.frame()));
            assert!(faults.is_empty(), "{title}: {faults:#?}");
        }
    }
    assert!(pdf::write(&document).is_ok());
    let files = sheets::files_with(plan, Some(choice)).expect("a PDF");
    let bare = sheets::files(plan).expect("a PDF");
    for path in ["drawings/what-to-build.svg", "lists/front-cost.csv", "lists/shares.csv", "choice.json"] {
        assert!(files.iter().any(|file| file.path == path), "{path}");
        assert!(bare.iter().all(|file| file.path != path), "{path}");
    }
}

/// On smaller paper the sheets are broken or shrunk, and stay inside their frames.
#[test]
fn it_goes_on_small_paper_too() {
    let (plan, choice) = &*ROOM;
    let mut plan = plan.clone();
    plan.title.paper = plan::project::Paper::A4;
    let mut all = drawings(&plan);
    all.push(choosing::drawing(choice, plan.lengths()));
    let document = dossier_with(&plan, &all, Some(choice));
    assert!(!words_of(&document, "What to build").is_empty());
    assert!(pdf::write(&document).is_ok());
}

/// What fails planned whole is in the heading and under it, whether it is new or fails today.
#[test]
fn a_choice_that_leaves_something_failing_says_so() {
    let mut choice = ROOM.1.clone();
    choice.holds = true;
    let verified = choice.verified.as_mut().expect("planned whole");
    (verified.newly_failing, verified.still_failing) = (Vec::new(), Vec::new());
    assert_eq!(choosing::head(&choice), "Least cost found that keeps every limit");
    let fails = "J5 governs: final deflection at 395 %.".to_owned();
    for still in [false, true] {
        let verified = choice.verified.as_mut().expect("planned whole");
        let (new, old) = if still { (vec![], vec![fails.clone()]) } else { (vec![fails.clone()], vec![]) };
        (verified.newly_failing, verified.still_failing) = (new, old);
        assert!(choosing::head(&choice).ends_with("planned whole something fails"));
        let told = choosing::summary(&choice, 1000, ROOM.0.lengths());
        let before = if still { choosing::STILL_FAILS } else { "Planned whole it fails:" };
        assert!(told.contains(&format!("{before} {fails}")), "{told}");
    }
}
