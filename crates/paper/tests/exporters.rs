//! One scene through every exporter.

use paper::dimension::{RunningDimension, RunningMark, Side, running_dimension};
use paper::dxf::{Dxf, ModelSpace};
use paper::pdf::Pdf;
use paper::point::Direction;
use paper::svg::Svg;
use paper::{
    Arc, Circle, Dash, Document, DocumentPage, Exporter, Extent, Group, Hatch, Ink, PaperError, Path, Pen,
    Point, Scale, Scene, Text, View, dxf, hatch, pdf, svg,
};

/// A room of 4000 × 3000 mm at 1 : 25 with a bit of everything, and things no exporter may draw.
fn fixture() -> (Scene, View) {
    let view = View::new(Scale::one_to(25.0), [0.0, 0.0], Point::new(40.0, 150.0));
    let mut scene = Scene::new(297.0, 210.0);
    let walls = view.place_all([[0.0, 0.0], [4000.0, 0.0], [4000.0, 3000.0], [0.0, 3000.0]]);
    let mut group =
        Group::on_layer("walls & door").with_id("walls").with_title("Walls <as surveyed> & \"door\"");
    group.add(Path::closed(walls, Pen::HEAVY));
    group.add(Arc {
        centre: view.place(1000.0, 0.0),
        radius_mm: 32.0,
        from_deg: 0.0,
        sweep_deg: 90.0,
        pen: Pen::THIN.dashed(Dash::Dashed),
    });
    scene.add(group);
    let board = Extent::new(60.0, 60.0, 90.0, 70.0).corners();
    let mut boards = Group::on_layer("boards");
    boards.extend(hatch::fill(&board, Hatch::SandFilled, Ink::Ink));
    boards.extend(hatch::fill(&board, Hatch::Masonry, Ink::Grey));
    boards.add(Path::closed(board, Pen::MEDIUM.in_ink(Ink::Red)).with_fill(Ink::Wash));
    boards.add(Circle {
        centre: Point::new(75.0, 65.0),
        radius_mm: 2.0,
        pen: Some(Pen::THIN),
        fill: Some(Ink::Paper),
    });
    scene.add(boards);
    scene.add(running_dimension(&RunningDimension {
        origin: view.place(-200.0, 0.0),
        along: Direction::UP,
        labels: Side::Left,
        length_mm: 120.0,
        marks: vec![RunningMark::new(24.0, "600"), RunningMark::new(120.0, "3\u{202F}000").in_ink(Ink::Red)],
        caption: "from corner A".to_owned(),
        size_mm: 2.8,
    }));
    scene.add(Text::new(Point::new(100.0, 30.0), "λ < 8 & Ø ²", 1.0).semibold().turned(30.0).knocked_out());
    scene.add(Text::new(Point::new(f64::NAN, 30.0), "nowhere", 3.0));
    scene.add(Path::line(Point::new(0.0, 0.0), Point::new(f64::INFINITY, 0.0), Pen::BOLD));
    scene.add(Text::new(Point::new(10.0, 10.0), "bell\u{7}\u{0} and\nline", 3.0));
    (scene, view)
}

#[test]
fn every_exporter_gives_the_same_bytes_twice() {
    let (scene, _) = fixture();
    let exporters: [&dyn Exporter; 4] = [&Svg::INLINE, &Svg::FILE, &Pdf::default(), &Dxf::default()];
    let endings: Vec<&str> = exporters.iter().map(|exporter| exporter.ending()).collect();
    assert_eq!(endings, ["svg", "svg", "pdf", "dxf"]);
    for exporter in exporters {
        let once = exporter.export(&scene).unwrap();
        assert_eq!(once, exporter.export(&scene).unwrap(), "{}", exporter.ending());
        let text = String::from_utf8_lossy(&once);
        assert!(!text.contains("NaN") && !text.contains("inf\n"), "{}", exporter.ending());
    }
}

#[test]
fn a_scene_without_a_size_is_refused_with_a_sentence() {
    for scene in [Scene::new(0.0, 100.0), Scene::new(100.0, f64::NAN), Scene::new(1e9, 10.0)] {
        for exporter in [&Svg::FILE as &dyn Exporter, &Pdf::default(), &Dxf::default()] {
            let error = exporter.export(&scene).unwrap_err();
            assert!(error.to_string().contains("must be between 1 and 5000 mm"), "{error}");
        }
    }
    assert_eq!(pdf::write(&Document::new("nothing")), Err(PaperError::NoPage));
}

#[test]
fn svg_is_well_formed_and_carries_ids_titles_and_variables() {
    let (scene, _) = fixture();
    for text in [svg::write(&scene), svg::write_file(&scene)] {
        let document = roxmltree::Document::parse(&text).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("viewBox"), Some("0 0 297 210"));
        let walls = document.descendants().find(|node| node.attribute("id") == Some("walls")).unwrap();
        assert_eq!(walls.first_element_child().unwrap().text(), Some("Walls <as surveyed> & \"door\""));
        let words: Vec<&str> = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter_map(|node| node.text())
            .collect();
        assert!(words.contains(&"λ < 8 & Ø ²") && words.contains(&"bell and line"), "{words:?}");
        assert!(!words.contains(&"nowhere"));
        let sizes = document.descendants().filter_map(|node| node.attribute("font-size"));
        assert!(sizes.into_iter().all(|size| size.parse::<f64>().unwrap() >= 2.5));
    }
    assert!(svg::write_file(&scene).contains("var(--paper-red,#be3626)"));
    assert!(svg::ink_rules_css(paper::ink::Tone::Dark).contains(".s-red{stroke:var(--paper-red,#f07a64)}"));
    // A page whose style sheets are its own files allows none within.
    assert!(!svg::write(&scene).contains("<style"));
    assert!(svg::write_file(&scene).contains("data:font/ttf;base64,AAEAAAA"));
    assert!(!svg::write(&scene).contains("font-face"));
}

#[test]
fn pdf_begins_and_ends_as_one_and_knows_its_pages() {
    let (scene, _) = fixture();
    let mut document = Document::new("Dossier");
    document.add(scene.clone(), "Walls");
    let mut second = DocumentPage::new(scene, "Lists");
    second.bookmarks.push(paper::page::Bookmark { words: "Order".to_owned(), level: 2, top_mm: 40.0 });
    document.pages.push(second);
    let bytes = pdf::write(&document).unwrap();
    assert!(bytes.starts_with(b"%PDF-1."));
    assert!(bytes.trim_ascii_end().ends_with(b"%%EOF"));
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("/Count 2"));
    assert!(text.contains("StillroomSans-Regular") && text.contains("StillroomSans-SemiBold"));
    assert!(text.contains("(Walls)") && text.contains("(Order)") && text.contains("/Outlines"));
    assert!(!text.contains("CreationDate"));
    assert_eq!(bytes, pdf::write(&document).unwrap());
}

/// The pairs of a DXF: group code and value.
fn pairs(text: &str) -> Vec<(u16, &str)> {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0, "codes and values come in pairs");
    lines.chunks(2).map(|pair| (pair[0].trim().parse().unwrap_or(u16::MAX), pair[1])).collect()
}

#[test]
fn dxf_is_in_real_millimetres_with_plain_layers() {
    let (scene, view) = fixture();
    let text = dxf::write(&scene, &ModelSpace::of(&view));
    assert!(text.is_ascii());
    let pairs = pairs(&text);
    assert_eq!(pairs[0], (999, "1 unit = 1 mm"));
    assert!(pairs.contains(&(1, "AC1009")));
    assert_eq!(pairs.last(), Some(&(0, "EOF")));
    let sections = pairs.iter().filter(|pair| **pair == (0, "SECTION")).count();
    assert_eq!(sections, 4);
    assert_eq!(sections, pairs.iter().filter(|pair| **pair == (0, "ENDSEC")).count());
    assert!(pairs.contains(&(2, "WALLS___DOOR")) && pairs.contains(&(2, "BOARDS")));

    // The walls are the first polyline: closed, its corners the corners of the room.
    let at = pairs.iter().position(|pair| *pair == (0, "POLYLINE")).unwrap();
    assert_eq!(pairs[at + 1], (8, "WALLS___DOOR"));
    assert!(pairs[at..at + 8].contains(&(70, "1")));
    let corners: Vec<(&str, &str)> = pairs[at..]
        .split(|pair| *pair == (0, "SEQEND"))
        .next()
        .unwrap()
        .windows(5)
        .filter(|five| five[0] == (0, "VERTEX"))
        .map(|five| (five[2].1, five[3].1))
        .collect();
    assert_eq!(corners, [("0.0", "0.0"), ("4000.0", "0.0"), ("4000.0", "3000.0"), ("0.0", "3000.0")]);
    // The door's arc: 800 mm radius, a quarter.
    let arc = pairs.iter().position(|pair| *pair == (0, "ARC")).unwrap();
    let arc = &pairs[arc..arc + 9];
    assert!(
        arc.contains(&(40, "800.0")) && arc.contains(&(50, "0.0")) && arc.contains(&(51, "90.0")),
        "{arc:?}"
    );
    assert!(pairs.iter().any(|(code, words)| *code == 1 && *words == "\\U+03BB < 8 & \\U+00D8 \\U+00B2"));
}

/// Writes the fixture where `oracles/dxf_ezdxf.py` can audit it, if asked to by the environment.
#[test]
fn dxf_for_an_outside_audit() {
    let (scene, view) = fixture();
    if let Some(path) = std::env::var_os("DXF_AUDIT_FILE") {
        std::fs::write(path, dxf::write(&scene, &ModelSpace::of(&view))).unwrap();
    }
}
