//! A whole room in feet and inches: nothing is left in millimetres but what is meant to be, nothing stands on anything else, and what is
//! meant for other programs stays in millimetres.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

use std::sync::LazyLock;

use paper::{
    Circle, Document, Group, Ink, Item, Scene, Text,
    proof_reading::{self, Fault},
};
use plan::{Plan, project::Paper};
use quantities::numerals::{DayOrder, Decimals};
use sheets::{
    dossier::{dossier, format},
    drawings::{Drawing, drawings, screen},
    terminal::{Setting, summary},
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");
const BOOTH: &str = include_str!("../../../examples/voice-booth/room.toml");
const GARAGE: &str = include_str!("../../../examples/garage/room.toml");
const PAPERS: [Paper; 4] = [Paper::A3, Paper::A4, Paper::Letter, Paper::Tabloid];
/// What keeps its millimetres, and why. Names of products and of the room file, and where the data of a material come from, are told by the
/// plan itself.
const MEANT: [(&str, &str); 0] = [];

fn in_feet(text: &str) -> Plan {
    let text = text.replacen("[project]\n", "[project]\nlengths = \"feet and inches\"\n", 1);
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_some(), "{found:?}");
    plan::plan(&project.expect("the file reads")).expect("the tapes give a room")
}

static PLAN: LazyLock<Plan> = LazyLock::new(|| in_feet(DEMO));
static DRAWINGS: LazyLock<Vec<Drawing>> = LazyLock::new(|| drawings(&PLAN));
static OTHERS: LazyLock<Vec<Plan>> =
    LazyLock::new(|| [PROVED, BOOTH, GARAGE, &lined()].iter().map(|text| in_feet(text)).collect());

/// The demo with two walls lined, one on studs and one on clips.
fn lined() -> String {
    let board = "[[lining.layer]]\nmaterial = \"dense-plasterboard-15\"\n";
    format!(
        "{DEMO}\n[[lining]]\nwall = \"B-C\"\n{board}sheets = 2\n\n[[lining]]\nwall = \"A-B\"\nkind = \"clips\"\n{board}"
    )
}

fn plans() -> impl Iterator<Item = &'static Plan> {
    std::iter::once(&*PLAN).chain(OTHERS.iter())
}

fn on(plan: &Plan, paper: Paper) -> (Plan, Document) {
    let mut plan = plan.clone();
    plan.title.paper = paper;
    let document = dossier(&plan, &drawings(&plan));
    (plan, document)
}

fn gather<'a>(items: &'a [Item], texts: &mut Vec<&'a Text>, titles: &mut Vec<&'a str>) {
    for item in items {
        match item {
            Item::Group(group) => {
                titles.extend(group.title.as_deref());
                gather(&group.items, texts, titles);
            }
            Item::Text(text) => texts.push(text),
            _ => {}
        }
    }
}

/// All that is read in a scene: its words line by line joined as they follow each other, so that a name broken over lines is whole; and what
/// is told when one points at a part.
fn words(scene: &Scene) -> Vec<String> {
    let (mut texts, mut titles) = (Vec::new(), Vec::new());
    gather(&scene.items, &mut texts, &mut titles);
    let joined = texts.iter().map(|text| text.words.as_str()).collect::<Vec<_>>().join(" ");
    std::iter::once(joined).chain(titles.into_iter().map(str::to_owned)).collect()
}

/// Words without a name, wherever lines break in it.
fn without(words: &str, name: &str) -> String {
    let letters: Vec<char> = words.chars().collect();
    let name: Vec<char> = name.chars().filter(|letter| !letter.is_whitespace()).collect();
    let mut kept = String::new();
    let mut at = 0;
    while let Some(letter) = letters.get(at) {
        let mut end = at;
        let mut matched = 0;
        while matched < name.len() && end < letters.len() {
            if letters[end] == name[matched] {
                matched += 1;
            } else if matched == 0 || !letters[end].is_whitespace() {
                break;
            }
            end += 1;
        }
        if matched == name.len() && !name.is_empty() {
            kept.push('…');
            at = end;
        } else {
            kept.push(*letter);
            at += 1;
        }
    }
    kept
}

/// Whatever is left in millimetres, each with the words round it.
fn left_in_mm(plan: &Plan, words: &str) -> Vec<String> {
    if !words.contains("mm") {
        return Vec::new();
    }
    let mut words = words.to_owned();
    for name in
        plan.names_with_lengths().iter().map(AsRef::as_ref).chain(MEANT.iter().map(|(words, _)| *words))
    {
        words = without(&words, name);
    }
    let letters: Vec<char> = words.chars().collect();
    let is_word =
        |at: Option<&char>| at.is_some_and(|letter| letter.is_alphanumeric() || matches!(letter, '²' | '³'));
    (0..letters.len().saturating_sub(1))
        .filter(|&at| letters.get(at..at + 2) == Some(&['m', 'm']))
        .filter(|&at| {
            !is_word(at.checked_sub(1).and_then(|before| letters.get(before)))
                && !is_word(letters.get(at + 2))
        })
        .map(|at| letters.iter().skip(at.saturating_sub(50)).take(70).collect())
        .collect()
}

#[test]
fn no_page_and_no_drawing_is_left_in_millimetres() {
    let mut left = Vec::new();
    for plan in plans() {
        // The words of the other rooms wrap otherwise on other paper, but are the same.
        let papers = if plan.title.name == PLAN.title.name { &PAPERS[..] } else { &PAPERS[..1] };
        for &paper in papers {
            let (plan, document) = on(plan, paper);
            for (index, page) in document.pages.iter().enumerate() {
                let windows = page.windows.iter().map(|window| &window.scene);
                for scene in std::iter::once(&page.scene).chain(windows) {
                    let found = words(scene).into_iter().flat_map(|words| left_in_mm(&plan, &words));
                    left.extend(found.map(|words| format!("{paper:?}, sheet {}: {words}", index + 1)));
                }
            }
            if paper != Paper::A3 {
                continue;
            }
            for drawing in drawings(&plan) {
                let said = words(&drawing.scene).into_iter().chain([drawing.title, drawing.subtitle]);
                left.extend(
                    said.flat_map(|words| left_in_mm(&plan, &words))
                        .map(|words| format!("{}: {words}", drawing.id)),
                );
            }
        }
    }
    left.sort_unstable();
    left.dedup();
    assert!(left.is_empty(), "{} left: {left:#?}", left.len());
}

/// Figures beside a dimension line bear the marks of feet or inches.
#[test]
fn every_figure_of_a_dimension_is_in_feet_and_inches() {
    fn figures<'a>(group: &'a Group, within: bool, all: &mut Vec<&'a str>) {
        let within = within || matches!(group.layer.as_str(), "dimensions" | "running dimensions");
        for item in &group.items {
            match item {
                Item::Group(inner) => figures(inner, within, all),
                Item::Text(text) if within => all.push(&text.words),
                _ => {}
            }
        }
    }
    let mut count = 0;
    for plan in plans() {
        for drawing in drawings(plan) {
            let mut all = Vec::new();
            for item in &drawing.scene.items {
                if let Item::Group(group) = item {
                    figures(group, false, &mut all);
                }
            }
            for words in all.into_iter().filter(|words| words.chars().any(|letter| letter.is_ascii_digit())) {
                assert!(words.contains(['\'', '"']), "{}: {words}", drawing.id);
                count += 1;
            }
        }
    }
    assert!(count > 400, "{count} figures");
}

#[test]
fn no_words_stand_on_words_or_lines_or_pass_the_frame_on_any_paper() {
    let mut wrong = Vec::new();
    let all = PAPERS.iter().map(|paper| (&*PLAN, *paper)).chain(OTHERS.iter().map(|plan| (plan, Paper::A3)));
    for (plan, paper) in all {
        let (_, document) = on(plan, paper);
        for (index, page) in document.pages.iter().enumerate() {
            // Some lie though the others stand.
            let sheet = paper::Extent::new(0.0, 0.0, page.scene.width_mm, page.scene.height_mm);
            let frame = sheet.inset(format(paper).size.margin_mm());
            let drawn = page.scene.drawn_extent().expect("something is drawn");
            if !frame.inset(-0.4).holds(&drawn) {
                wrong.push(format!("{}, {paper:?}, sheet {}: {drawn:?}", plan.title.name, index + 1));
            }
            let mut rings = Vec::new();
            ringed(&page.scene.items, &mut rings);
            let mut faults = proof_reading::faults(&page.scene, Some(frame));
            faults.retain(|fault| match fault {
                Fault::LineThroughWords { at, .. } => {
                    !rings.iter().any(|ring| ring.centre.distance_to(*at) < ring.radius_mm / 2.0)
                }
                _ => true,
            });
            wrong.extend(
                faults
                    .into_iter()
                    .map(|fault| format!("{}, {paper:?}, sheet {}: {fault:?}", plan.title.name, index + 1)),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    for drawing in DRAWINGS.iter() {
        let room = paper::Extent::new(0.0, 0.0, drawing.scene.width_mm, drawing.scene.height_mm);
        let drawn = drawing.scene.drawn_extent().expect("something is drawn");
        assert!(room.holds(&drawn), "{}: {drawn:?}", drawing.id);
    }
}

fn ringed<'a>(items: &'a [Item], rings: &mut Vec<&'a Circle>) {
    for item in items {
        match item {
            Item::Group(group) => ringed(&group.items, rings),
            Item::Circle(circle) if circle.fill == Some(Ink::Paper) => rings.push(circle),
            _ => {}
        }
    }
}

#[test]
fn drawings_on_the_screen_are_in_feet_too() {
    for plan in plans() {
        let mut scenes: Vec<Scene> = [screen::room(plan), screen::bars_and_clips(plan)]
            .into_iter()
            .chain(
                plan.ceiling
                    .layout
                    .iter()
                    .flat_map(|layout| &layout.layers)
                    .map(|layer| screen::boards_of_layer(plan, layer.number)),
            )
            .flatten()
            .map(|drawing| drawing.scene)
            .collect();
        scenes.extend(screen::cut_sheets(plan).into_iter().map(|cut| cut.scene));
        scenes.extend(
            (0..plan.buildups.len())
                .filter_map(|index| screen::section_of(plan, index))
                .map(|(scene, _)| scene),
        );
        scenes.extend(screen::heights_chain(plan));
        scenes.extend(screen::damp(plan).into_iter().map(|(_, scene)| scene));
        let left: Vec<String> =
            scenes.iter().flat_map(words).flat_map(|words| left_in_mm(plan, &words)).collect();
        assert!(left.is_empty(), "{left:#?}");
    }
}

#[test]
fn lists_and_what_is_printed_are_in_feet() {
    for plan in plans() {
        for list in sheets::lists::lists(plan) {
            let (head, rows) = list.rows.split_first().expect("a head");
            assert!(
                head.iter().all(|word| !word.contains("_mm") || word.ends_with("mm2")),
                "{}: {head:?}",
                list.name
            );
            let left: Vec<String> = rows.iter().flatten().flat_map(|cell| left_in_mm(plan, cell)).collect();
            assert!(left.is_empty(), "{}: {left:#?}", list.name);
        }
        let printed = summary(
            plan,
            Setting {
                width: 200,
                styled: false,
                decimals: Decimals::Point,
                day_order: DayOrder::YearMonthDay,
            },
        );
        assert!(left_in_mm(plan, &printed).is_empty(), "{:#?}", left_in_mm(plan, &printed));
    }
    let marks = sheets::lists::lists(&PLAN).into_iter().find(|list| list.name == "marks").expect("marks");
    let mark = &PLAN.ceiling.layout.as_ref().expect("a ceiling").marks[0].marks[0];
    assert_eq!(marks.rows[0][2], "at");
    assert_eq!(marks.rows[1][2], quantities::feet_inches::of_mm(mark.at_mm));
    assert!(marks.to_csv().contains("\"\"\""), "a mark of inches is quoted");
}

/// JSON, and the geometry of a DXF, are for other programs.
#[test]
fn what_other_programs_read_stays_in_millimetres() {
    let (project, _) = plan::read(DEMO, "room.toml");
    let in_mm = plan::plan(&project.expect("the demo reads")).expect("a room");
    let json =
        |plan: &Plan| serde_json::to_string(plan).expect("written").replace("feet and inches", "millimetres");
    assert_eq!(json(&in_mm), json(&PLAN));
    // Every wall of the survey is as long in the drawing program as it is, in millimetres, and its figures are in feet.
    let drawing = DRAWINGS.iter().find(|drawing| drawing.id == "survey").expect("the survey is drawn");
    let model = drawing.model.expect("a plan has a model");
    let mut drawn = Vec::new();
    walls(&drawing.scene.items, &mut drawn);
    let ring = drawn.first().expect("the walls");
    let longest = |lengths: &mut dyn Iterator<Item = f64>| lengths.fold(0.0, f64::max);
    let on_paper = longest(&mut ring.points.windows(2).map(|pair| pair[0].distance_to(pair[1])));
    let real = longest(&mut PLAN.survey.walls.iter().map(|wall| wall.length_mm));
    assert!((model.scale.real_mm(on_paper) - real).abs() < 1e-6, "{on_paper} {real}");
    let dxf = paper::dxf::write(&drawing.scene, &model);
    assert!(
        dxf.contains(&quantities::feet_inches::of_mm(real).replace(' ', "\u{a0}"))
            || dxf.contains(&quantities::feet_inches::of_mm(real)),
        "{real}"
    );
}

fn walls<'a>(items: &'a [Item], all: &mut Vec<&'a paper::Path>) {
    for item in items {
        let Item::Group(group) = item else { continue };
        if group.layer == "walls" {
            all.extend(
                group
                    .items
                    .iter()
                    .filter_map(|item| if let Item::Path(path) = item { Some(path) } else { None }),
            );
        } else {
            walls(&group.items, all);
        }
    }
}
