//! The dossier of the demo on every size of paper: nothing beyond the frame, nothing left out, the scale said.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

use std::sync::LazyLock;

use paper::{
    Circle, Document, Extent, Ink, Item, Scene, Text,
    proof_reading::{self, Fault},
};
use plan::{Plan, project::Paper};
use sheets::{
    dossier::{dossier, format},
    drawings::{Drawing, drawings},
};

const ALL: [(Paper, [f64; 2]); 4] = [
    (Paper::A3, [420.0, 297.0]),
    (Paper::A4, [210.0, 297.0]),
    (Paper::Letter, [8.5 * 25.4, 11.0 * 25.4]),
    (Paper::Tabloid, [17.0 * 25.4, 11.0 * 25.4]),
];
/// Half the pen of the frame itself, mm.
const PEN_MM: f64 = 0.4;

static PLAN: LazyLock<Plan> = LazyLock::new(|| {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let (project, _) = plan::read(demo, "room.toml");
    plan::plan(&project.expect("the demo reads")).expect("the demo's tapes give a room")
});
/// By paper: what can be laid out anew is drawn for it.
static DRAWINGS: LazyLock<Vec<Vec<Drawing>>> =
    LazyLock::new(|| ALL.iter().map(|&(paper, _)| drawings(&on(paper))).collect());
static DOSSIERS: LazyLock<Vec<Document>> = LazyLock::new(|| {
    ALL.iter().zip(DRAWINGS.iter()).map(|(&(paper, _), drawings)| dossier(&on(paper), drawings)).collect()
});

fn on(paper: Paper) -> Plan {
    let mut plan = PLAN.clone();
    plan.title.paper = paper;
    plan
}

fn drawn_for(paper: Paper) -> &'static [Drawing] {
    let at = ALL.iter().position(|(one, _)| *one == paper).expect("every paper is drawn for");
    &DRAWINGS[at]
}

fn dossiers() -> impl Iterator<Item = (Paper, [f64; 2], &'static Document)> {
    ALL.iter().zip(DOSSIERS.iter()).map(|(&(paper, size), document)| (paper, size, document))
}

fn gather<'a>(items: &'a [Item], texts: &mut Vec<&'a Text>, rings: &mut Vec<&'a Circle>) {
    for item in items {
        match item {
            Item::Group(group) => gather(&group.items, texts, rings),
            Item::Text(text) => texts.push(text),
            Item::Circle(circle) if circle.fill == Some(Ink::Paper) => rings.push(circle),
            _ => {}
        }
    }
}

fn words(scene: &Scene) -> String {
    let mut texts = Vec::new();
    gather(&scene.items, &mut texts, &mut Vec::new());
    texts.iter().map(|text| text.words.replace(['\u{202F}', '\u{A0}'], " ")).collect::<Vec<_>>().join("\n")
}

/// Whether a page lies because its chart was made smaller.
fn lies(paper: Paper, page: &paper::DocumentPage) -> bool {
    matches!(paper, Paper::A4 | Paper::Letter)
        && page.windows.iter().any(|window| (window.scale - 1.0).abs() > 1e-9)
}

fn frame_of(paper: Paper, page: &paper::DocumentPage) -> Extent {
    let standing = format(paper);
    let orientation = if lies(paper, page) { paper::Orientation::Landscape } else { standing.orientation };
    paper::Format { orientation, ..standing }.frame()
}

#[test]
fn every_page_has_the_size_of_its_paper_and_nothing_passes_the_frame() {
    for (paper, [width, height], document) in dossiers() {
        for (index, page) in document.pages.iter().enumerate() {
            let at = format!("{paper:?}, sheet {}", index + 1);
            // Charts that are made smaller lie.
            let [width, height] = if lies(paper, page) { [height, width] } else { [width, height] };
            assert!((page.scene.width_mm - width).abs() < 1e-9, "{at}");
            assert!((page.scene.height_mm - height).abs() < 1e-9, "{at}");
            let frame = frame_of(paper, page).inset(-PEN_MM);
            let drawn = page.scene.drawn_extent().expect("something is drawn");
            assert!(frame.holds(&drawn), "{at}: {drawn:?}");
            for window in &page.windows {
                assert!(frame.holds(&window.on_page()), "{at}: {:?}", window.on_page());
            }
        }
    }
}

#[test]
fn no_words_stand_on_words_or_on_lines() {
    for (paper, _, document) in dossiers() {
        for (index, page) in document.pages.iter().enumerate() {
            let mut rings = Vec::new();
            gather(&page.scene.items, &mut Vec::new(), &mut rings);
            let mut faults = proof_reading::faults(&page.scene, Some(frame_of(paper, page)));
            faults.retain(|fault| match fault {
                Fault::LineThroughWords { at, .. } => {
                    !rings.iter().any(|ring| ring.centre.distance_to(*at) < ring.radius_mm / 2.0)
                }
                _ => true,
            });
            assert!(faults.is_empty(), "{paper:?}, sheet {}: {faults:#?}", index + 1);
        }
    }
}

/// From where to where everything that is drawn reaches across a drawing.
fn reaches(items: &[paper::Item]) -> Vec<(f64, f64)> {
    items
        .iter()
        .flat_map(|item| match item {
            paper::Item::Group(group) => reaches(&group.items),
            other => other.drawn_extent().map(|extent| (extent.left, extent.right)).into_iter().collect(),
        })
        .collect()
}

/// The windows of one drawing on all sheets, side by side, show the whole of it, neighbours with enough to glue.
#[test]
fn the_parts_of_a_drawing_show_all_of_it() {
    let mut laid_anew = 0;
    for (paper, _, document) in dossiers() {
        let small = matches!(paper, Paper::A4 | Paper::Letter);
        for drawing in drawn_for(paper) {
            let parts: Vec<Extent> = document
                .pages
                .iter()
                .flat_map(|page| &page.windows)
                .filter(|window| window.scene == drawing.scene)
                .map(|window| window.seen)
                .collect();
            assert_eq!(parts.is_empty(), !small, "{paper:?} {}", drawing.id);
            for window in document.pages.iter().flat_map(|page| &page.windows) {
                // What has a scale keeps it; a chart stays large enough to be read.
                let full = window.scene != drawing.scene
                    || drawing.scale.is_none()
                    || (window.scale - 1.0).abs() < 1e-9;
                assert!(full && window.scale > 0.6, "{paper:?} {}: {}", drawing.id, window.scale);
            }
            let Some((first, last)) = parts.first().zip(parts.last()) else { continue };
            let whole = drawing.scene.drawn_extent().expect("something is drawn");
            assert!(first.left <= whole.left && whole.right <= last.right, "{paper:?} {}", drawing.id);
            for part in &parts {
                assert!(part.top <= whole.top && whole.bottom <= part.bottom, "{paper:?} {}", drawing.id);
            }
            for pair in parts.windows(2) {
                let (ends, begins) = (pair[0].right, pair[1].left);
                if ends - begins >= 7.0 - 1e-6 {
                    continue;
                }
                // Parted where nothing is drawn: nothing lies across, and neither part touches its frame.
                let across = reaches(&drawing.scene.items)
                    .into_iter()
                    .find(|(left, right)| *right > ends + 1e-6 && *left < begins - 1e-6);
                assert!(ends <= begins + 0.5 && across.is_none(), "{paper:?} {}: {across:?}", drawing.id);
                for part in pair {
                    assert!(part.width() <= format(paper).frame().width() - 5.0, "{paper:?} {}", drawing.id);
                }
            }
            assert!(parts.len() <= 2, "{paper:?} {} in {} parts", drawing.id, parts.len());
            // No column of words touches the frame.
            for page in &document.pages {
                let Some(window) = page.windows.iter().find(|window| window.scene == drawing.scene) else {
                    continue;
                };
                if window.seen.right + 1e-6 < whole.right {
                    continue;
                }
                let ends = window.corner.x + (whole.right - window.seen.left) * window.scale;
                let free_mm = frame_of(paper, page).right - ends;
                assert!(free_mm > 1.5, "{paper:?} {}: {free_mm} mm to the frame", drawing.id);
            }
            // What is many drawings on one sheet is laid out for the paper: no saw line is cut through, no chart made smaller.
            let many =
                ["cut-", "elements", "sections-walls"].iter().any(|begin| drawing.id.starts_with(begin));
            let whole = parts.len() == 1
                && document
                    .pages
                    .iter()
                    .flat_map(|page| &page.windows)
                    .all(|window| window.scene != drawing.scene || (window.scale - 1.0).abs() < 1e-9);
            assert!(!many || whole, "{paper:?} {}", drawing.id);
            laid_anew += usize::from(many);
        }
    }
    assert!(laid_anew > 6, "{laid_anew}");
}

/// Drawn to scale, a sheet says at which and on what paper.
#[test]
fn the_scale_is_said_on_every_sheet_with_a_drawing() {
    for (paper, _, document) in dossiers() {
        let on = format(paper).words();
        for drawing in drawn_for(paper) {
            let sheets: Vec<_> = document
                .pages
                .iter()
                .filter(|page| {
                    page.bookmarks.first().is_some_and(|mark| {
                        let title = drawing.title.split(", page ").next().unwrap_or_default();
                        mark.words == drawing.title || mark.words.starts_with(&format!("{title}, "))
                    })
                })
                .collect();
            assert!(!sheets.is_empty(), "{paper:?} {}", drawing.id);
            let expected = drawing
                .scale
                .map_or_else(|| "none".to_owned(), |scale| format!("{} on {on}", scale.words()))
                .replace('\u{202F}', " ");
            let said = sheets.iter().all(|page| {
                let words = words(&page.scene);
                words.lines().any(|line| line == expected) || words.replace('\n', " ").contains(&expected)
            });
            assert!(said, "{paper:?} {}: {expected}", drawing.id);
        }
    }
}

#[test]
fn every_finding_stands_on_every_paper() {
    let squeeze = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (paper, _, document) in dossiers() {
        let all: Vec<String> = document.pages.iter().map(|page| squeeze(&words(&page.scene))).collect();
        for finding in &PLAN.findings {
            let sentence = squeeze(&finding.sentence.replace(['\u{202F}', '\u{A0}'], " "));
            assert!(all.iter().any(|page| page.contains(&sentence)), "{paper:?}: {sentence}");
        }
    }
}
