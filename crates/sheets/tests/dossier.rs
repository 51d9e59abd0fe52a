//! The dossier of the demo as a reader sees it: nothing on anything else, nothing outside the frame, the plan's numbers on it.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

mod gathered;

use std::{collections::BTreeSet, sync::LazyLock};

use gathered::texts;
use paper::{
    Circle, Document, Format, Ink, Item, Scene, Text, Weight, font, pdf,
    proof_reading::{self, Fault},
    svg,
};
use plan::Plan;
use quantities::format::number;
use sheets::{
    dossier::dossier,
    drawings::{Drawing, drawings},
};

static PLAN: LazyLock<Plan> = LazyLock::new(|| {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let (project, _) = plan::read(demo, "room.toml");
    plan::plan(&project.expect("the demo reads")).expect("the demo's tapes give a room")
});
static DRAWINGS: LazyLock<Vec<Drawing>> = LazyLock::new(|| drawings(&PLAN));
static DOSSIER: LazyLock<Document> = LazyLock::new(|| dossier(&PLAN, &DRAWINGS));

fn texts_of(items: &[Item]) -> Vec<&Text> {
    let mut all = Vec::new();
    texts(items, &mut all);
    all
}

fn rings<'a>(items: &'a [Item], all: &mut Vec<&'a Circle>) {
    for item in items {
        match item {
            Item::Group(group) => rings(&group.items, all),
            Item::Circle(circle) if circle.fill == Some(Ink::Paper) => all.push(circle),
            _ => {}
        }
    }
}

/// What a reader would see; a number in a ring filled with paper lies on no line.
fn faults(scene: &Scene) -> Vec<Fault> {
    let mut filled = Vec::new();
    rings(&scene.items, &mut filled);
    let in_ring = |fault: &Fault| match fault {
        Fault::LineThroughWords { at, .. } => {
            filled.iter().any(|ring| ring.centre.distance_to(*at) < ring.radius_mm / 2.0)
        }
        _ => false,
    };
    let mut found = proof_reading::faults(scene, Some(Format::A3_LANDSCAPE.frame()));
    found.retain(|fault| !in_ring(fault));
    found
}

#[test]
fn no_sheet_has_words_on_words_or_on_lines_or_outside_its_frame() {
    let mut all = Vec::new();
    for (index, page) in DOSSIER.pages.iter().enumerate() {
        let title = page.bookmarks.first().map_or("", |mark| mark.words.as_str());
        all.extend(faults(&page.scene).into_iter().map(|fault| (index + 1, title, fault)));
    }
    assert!(all.is_empty(), "{} faults: {all:#?}", all.len());
}

#[test]
fn everything_drawn_stays_inside_the_frame() {
    // Half the pen of the frame itself.
    let frame = Format::A3_LANDSCAPE.frame().inset(-0.4);
    for (index, page) in DOSSIER.pages.iter().enumerate() {
        let drawn = page.scene.drawn_extent().expect("something is drawn");
        assert!(frame.holds(&drawn), "sheet {}: {drawn:?}", index + 1);
    }
}

#[test]
fn every_drawing_keeps_to_the_room_it_has() {
    for drawing in DRAWINGS.iter() {
        let [width, height] = sheets::drawings::ROOM_FOR_DRAWING_MM;
        assert!(drawing.scene.width_mm <= width && drawing.scene.height_mm <= height, "{}", drawing.id);
    }
}

#[test]
fn every_letter_has_a_shape_and_is_large_enough_to_read() {
    for (index, page) in DOSSIER.pages.iter().enumerate() {
        for text in texts_of(&page.scene.items) {
            assert!(text.drawn_size_mm() >= font::SMALLEST_TEXT_MM);
            for letter in text.drawn_words().chars() {
                assert!(
                    font::has(letter, text.weight),
                    "sheet {}: {letter:?} in {:?}",
                    index + 1,
                    text.words
                );
            }
        }
    }
    assert!(font::has('²', Weight::Regular));
}

#[test]
fn the_outline_names_every_sheet_once() {
    assert!(DOSSIER.pages.len() > 10, "{} sheets", DOSSIER.pages.len());
    let mut seen = BTreeSet::new();
    for mark in DOSSIER.pages.iter().flat_map(|page| &page.bookmarks) {
        assert!(seen.insert(mark.words.as_str()), "{:?} stands twice in the outline", mark.words);
    }
    for page in &DOSSIER.pages {
        assert_eq!(page.bookmarks.first().map(|mark| mark.level), Some(1));
    }
}

#[test]
fn the_contents_say_where_each_drawing_is() {
    let cover: Vec<&str> =
        texts_of(&DOSSIER.pages[0].scene.items).iter().map(|text| text.words.as_str()).collect();
    for drawing in DRAWINGS.iter() {
        let sheet = DOSSIER
            .pages
            .iter()
            .position(|page| page.bookmarks.first().is_some_and(|mark| mark.words == drawing.title))
            .expect("a sheet of its own");
        assert!(cover.contains(&drawing.title.as_str()), "{}", drawing.title);
        assert!(cover.contains(&(sheet + 1).to_string().as_str()), "{}", drawing.title);
    }
}

#[test]
fn the_cover_says_what_its_words_mean() {
    let words: Vec<&str> =
        texts_of(&DOSSIER.pages[0].scene.items).iter().map(|text| text.words.as_str()).collect();
    let all = words.join(" ");
    for standing in plan::outcome::Standing::ALL {
        assert!(all.contains(&format!("{}: {}", standing.word(), standing.meaning())), "{all}");
    }
    assert!(all.contains(plan::outcome::Standing::RANGES), "{all}");
}

#[test]
fn the_same_plan_gives_the_same_file() {
    let first = pdf::write(&DOSSIER).expect("a PDF");
    let again = pdf::write(&dossier(&PLAN, &drawings(&PLAN))).expect("a PDF");
    assert!(first == again, "two PDFs of one plan differ");
}

#[test]
fn the_drawings_carry_the_plans_own_numbers() {
    let svg_of = |id: &str| {
        let drawing =
            DRAWINGS.iter().find(|drawing| drawing.id == id).unwrap_or_else(|| panic!("no drawing {id}"));
        svg::write(&drawing.scene)
    };
    let heights = PLAN.heights.as_ref().expect("heights");
    let drawn = svg_of("heights");
    for figure in [
        heights.headroom_mm,
        heights.roof_top_above_ground_mm,
        heights.limit_above_ground_mm.expect("a limit"),
    ] {
        assert!(drawn.contains(&number(figure, 0)), "{figure} is not on the sheet of heights");
    }
    let layout = PLAN.ceiling.layout.as_ref().expect("a layout");
    assert!(svg_of("section-roof").contains(&format!("{} clips", layout.take_off.clips)));
    let heard = PLAN.heard.iter().find(|heard| heard.governs).expect("a receiver");
    assert!(
        svg_of("heard-1").contains(&format!("{}\u{A0}dB(A)", number(heard.heard.level_dba.median_db, 0)))
    );
    let air = PLAN.fabric.air.as_ref().expect("air");
    assert!(svg_of("damp-and-air").contains(&number(air.peak_ppm, 0)));
}

#[test]
fn the_chain_of_heights_adds_up_as_written() {
    let heights = PLAN.heights.as_ref().expect("heights");
    let links: f64 = heights.outside.iter().map(|link| link.to_mm.round() - link.from_mm.round()).sum();
    let top = heights.outside.last().expect("links").to_mm.round() - heights.outside[0].from_mm.round();
    assert!((links - top).abs() < 1e-9);
    assert!((top - heights.roof_top_above_ground_mm).abs() < 1.0);
}

/// The starter file, and the same with whole chapters taken away.
#[test]
fn rooms_with_less_in_them_give_a_dossier_too() {
    let starter = plan::starter::starter_text();
    let without = |heads: &[&str]| -> String {
        let mut kept = true;
        let lines: Vec<&str> = starter
            .lines()
            .filter(|line| {
                if line.starts_with('[') {
                    kept = !heads.iter().any(|head| line.starts_with(head));
                }
                kept
            })
            .collect();
        lines.join("\n") + "\n"
    };
    let rooms = [
        ("the starter", starter.to_owned()),
        ("nothing to hear", without(&["[[receiver]]", "[fence]", "[[source]]"])),
        (
            "no air, climate or limits",
            without(&["[air", "[[air", "[[vent", "[climate", "[[climate", "[use", "[limits]"]),
        ),
    ];
    let mut planned = 0;
    for (name, text) in rooms {
        let Some(project) = plan::read(&text, "room.toml").0 else { continue };
        let Ok(plan) = plan::plan(&project) else { continue };
        planned += 1;
        let document = dossier(&plan, &drawings(&plan));
        assert!(pdf::write(&document).is_ok(), "{name}");
        for (index, page) in document.pages.iter().enumerate() {
            let found = faults(&page.scene);
            assert!(found.is_empty(), "{name}, sheet {}: {found:#?}", index + 1);
        }
    }
    assert!(planned >= 1, "only {planned} of the rooms could be planned");
}
