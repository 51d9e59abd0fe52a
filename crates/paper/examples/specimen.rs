//! Writes a specimen of everything this crate draws, as PDF, SVG and DXF, into a folder given:
//! `cargo run -p paper --example specimen -- FOLDER`. All numbers on it are invented.

use paper::axis::band_words;
use paper::chart::{
    Breach, ChartLine, Criterion, MeasuredPoints, PlainChart, PlainLimit, PlainLine, SpectrumChart,
    UncertaintyBand,
};
use paper::dimension::{
    Chain, ChainLabels, Dimension, Link, RunningDimension, RunningMark, Side, chain, dimension,
    running_dimension,
};
use paper::flow::{Flow, FlowArea};
use paper::ink::Tone;
use paper::leader::{Note, NoteColumn, note_column};
use paper::point::Direction;
use paper::share_bars::{Part, ShareBars};
use paper::svg::Svg;
use paper::table::{Cell, Column, Table};
use paper::title_block::{BlockStyle, Revision, TitleBlock, blank_sheet};
use paper::wrap::Span;
use paper::{
    Circle, Dash, Document, DocumentPage, Extent, Format, Group, Hatch, Ink, Item, Path, Pen, Point, Scale,
    Scene, Text, View, dxf, hatch, mark, pdf, svg,
};
use quantities::lengths::Lengths;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("give a folder to write into")?;
    let folder = std::path::Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let mut document = Document::new("Specimen of everything that can be drawn");
    "Stillroom".clone_into(&mut document.creator);
    "Pens, hatches, dimensions, charts, tables".clone_into(&mut document.subject);
    let scenes = [("plan", plan()), ("section", section()), ("charts", charts()), ("swatches", swatches())];
    for (name, scene) in &scenes {
        std::fs::write(folder.join(format!("{name}.svg")), svg::write_file(scene))?;
        let dark = svg::write_with(scene, &Svg { tone: Tone::Dark, ..Svg::FILE });
        std::fs::write(folder.join(format!("{name}-dark.svg")), dark)?;
        document.add(scene.clone(), *name);
    }
    document.pages.extend(lists());
    for (at, page) in document.pages.iter().enumerate() {
        let faults = paper::proof_reading::faults(&page.scene, None);
        if !faults.is_empty() {
            return Err(format!("page {}: {faults:#?}", at + 1).into());
        }
    }
    std::fs::write(folder.join("specimen.pdf"), pdf::write(&document)?)?;
    let (drawing, view) = ceiling();
    let mut scene = Scene::new(420.0, 297.0);
    scene.add(drawing);
    std::fs::write(folder.join("plan.dxf"), dxf::write(&scene, &dxf::ModelSpace::of(&view)))?;
    Ok(())
}

fn block(title: &str, number: usize, scale: &str) -> TitleBlock {
    TitleBlock {
        project: "Practice room in a brick workshop".to_owned(),
        sheet_title: title.to_owned(),
        number,
        of: 6,
        scale: scale.to_owned(),
        date: "14 March 2026".to_owned(),
        revision: "C, bars 1–3 as built".to_owned(),
        survey: "11 tapes, corners ±\u{A0}3\u{A0}mm".to_owned(),
        caution: "A guide, not a structural design. Have the joists and the fixings confirmed by a structural engineer; \
                  follow the maker’s figures and local rules."
            .to_owned(),
    }
}

fn revisions() -> Vec<Revision> {
    [
        ("A", "2 March 2026", "first issue"),
        ("B", "9 March 2026", "bar 2 moved back 46 mm"),
        ("C", "14 March 2026", "bars 1–3 as built"),
    ]
    .into_iter()
    .map(|(letter, date, words)| Revision {
        letter: letter.to_owned(),
        date: date.to_owned(),
        words: words.to_owned(),
    })
    .collect()
}

const CORNERS: [[f64; 2]; 5] =
    [[0.0, 0.0], [4580.0, -20.0], [4615.0, 3545.0], [1160.0, 3590.0], [38.0, 2640.0]];

fn ceiling() -> (Group, View) {
    let view = View::fitted([-80.0, -80.0], [4700.0, 3700.0], Extent::new(75.0, 45.0, 290.0, 250.0), false);
    let mut group = Group::on_layer("ceiling");
    let room = view.place_all(CORNERS);
    let region = paper::region::Region::inside(&room);
    let cut = |from: [f64; 2], to: [f64; 2], pen: Pen, layer: &str| {
        let mut group = Group::on_layer(layer);
        for [a, b] in region.cut_line(view.place(from[0], from[1]), view.place(to[0], to[1])) {
            group.add(Path::line(a, b, pen));
        }
        group
    };
    let joists = Pen::FINE.in_ink(Ink::Light).dashed(Dash::Dashed);
    for joist in 0..9 {
        for edge in [0.0, 80.0] {
            let x = 180.0 + f64::from(joist) * 498.0 + edge;
            group.add(cut([x, -100.0], [x, 3700.0], joists, "joists"));
        }
    }
    let bars = [95.0, 640.0, 1180.0, 1780.0, 2380.0, 2960.0, 3520.0];
    for y in bars {
        group.add(cut([-100.0, y], [4700.0, y], Pen::new(1.4).in_ink(Ink::Wash), "bars"));
        group.add(cut([-100.0, y], [4700.0, y], Pen::THIN.dashed(Dash::Chain), "bars"));
        for clip in 0..6 {
            let x = 240.0 + f64::from(clip) * 797.0;
            let at = view.place(x, y);
            if region.contains(at) {
                group.add(mark::cross(at, 0.8, Pen::MEDIUM));
            }
        }
    }
    for y in [1180.0, 2380.0] {
        group.add(cut([-100.0, y], [4700.0, y], Pen::MEDIUM, "board joints"));
    }
    for (x, from, to) in [
        (1570.0, -50.0, 1180.0),
        (3150.0, -50.0, 1180.0),
        (870.0, 1180.0, 2380.0),
        (2440.0, 1180.0, 2380.0),
        (4020.0, 1180.0, 2380.0),
        (1570.0, 2380.0, 3700.0),
        (3150.0, 2380.0, 3700.0),
    ] {
        group.add(cut([x, from], [x, to], Pen::MEDIUM, "board joints"));
    }
    let mut walls = Group::on_layer("walls").with_id("walls").with_title("Five walls as surveyed");
    walls.add(Path::closed(room, Pen::HEAVY));
    group.add(walls);
    for (number, x, y) in
        [("1", 780.0, 400.0), ("2", 2360.0, 400.0), ("5", 1650.0, 1500.0), ("10", 3850.0, 2700.0)]
    {
        group.add(mark::label(view.place(x, y), number, 3.6));
    }
    for (letter, x, y) in [
        ("A", -120.0, -110.0),
        ("B", 4700.0, -130.0),
        ("C", 4730.0, 3640.0),
        ("D", 1160.0, 3720.0),
        ("E", -90.0, 2680.0),
    ] {
        group.add(Text::new(view.place(x, y), letter, 3.6).semibold().centred().on(paper::Baseline::Middle));
    }
    let origin = view.place(-430.0, 0.0);
    group.add(running_dimension(&RunningDimension {
        origin,
        along: Direction::UP,
        labels: Side::Left,
        length_mm: view.length(3560.0),
        marks: bars
            .iter()
            .chain(&[1210.0, 1236.0])
            .map(|&bar| {
                let mark = RunningMark::new(view.length(bar), paper_number(bar)).reaching(10.0);
                if (bar - 640.0).abs() < 1.0 { mark.in_ink(Ink::Red) } else { mark }
            })
            .collect(),
        caption: "from corner A, along wall A–E".to_owned(),
        size_mm: 2.8,
    }));
    group.add(running_dimension(&RunningDimension {
        origin: view.place(0.0, -330.0),
        along: Direction::RIGHT,
        labels: Side::Right,
        length_mm: view.length(4580.0),
        marks: [180.0, 260.0, 678.0, 758.0, 1176.0, 1256.0, 4580.0]
            .iter()
            .map(|&joist| RunningMark::new(view.length(joist), paper_number(joist)))
            .collect(),
        caption: String::new(),
        size_mm: 2.8,
    }));
    let (c, d) = (view.place(4615.0, 3545.0), view.place(1160.0, 3590.0));
    group.add(dimension(&Dimension::new(d, c, 9.0, "3455")));
    let (d, e) = (view.place(1160.0, 3590.0), view.place(38.0, 2640.0));
    group.add(dimension(&Dimension { ink: Ink::Red, ..Dimension::new(e, d, 9.0, "1470 ±\u{A0}4") }));
    let (b, c) = (view.place(4580.0, -20.0), view.place(4615.0, 3545.0));
    group.add(dimension(&Dimension { side: Side::Right, ..Dimension::new(b, c, 9.0, "3565") }));
    group.add(mark::section_marker(view.place(5150.0, 1500.0), Direction::UP, "S"));
    (group, view)
}

fn paper_number(value: f64) -> String {
    quantities::format::number(value, 0)
}

fn plan() -> Scene {
    let sheet = blank_sheet(
        Format::A3_LANDSCAPE,
        &block("Bars, clips and face layer, seen from below", 4, "1\u{202F}:\u{202F}25 on A3"),
        &revisions(),
        BlockStyle::Full,
    );
    let mut scene = sheet.scene;
    let corner = Point::new(sheet.area.left + 2.0, sheet.area.top + 6.0);
    scene.add(Text::new(corner, "Bars, clips and face layer, seen from below", 5.6).semibold());
    let facts = "10 boards from 9 sheets, proved least · 7 bars · 41 clips · joints 200\u{A0}mm or more from the first layer’s";
    scene.add(Text::new(corner.moved(0.0, 6.0), facts, 3.1).in_ink(Ink::Grey));
    let (group, view) = ceiling();
    scene.add(group);
    scene.add(mark::scale_bar(
        Point::new(sheet.beside.left + 4.0, sheet.beside.bottom - 4.0),
        view.scale,
        80.0,
        Lengths::Millimetres,
    ));
    scene.add(mark::north_point(
        Point::new(sheet.beside.right - 14.0, sheet.beside.bottom - 12.0),
        24.0,
        6.5,
    ));
    let mut table = Table::new(vec![
        Column::right("from corner A"),
        Column::wide("what"),
        Column::right("fixed at"),
        Column::right("gap"),
    ]);
    table.row(["95", "perimeter bar", "96", "–"]).id = Some("mark-1".to_owned());
    let red = ["640", "bar 2", "742", "646"].map(|words| Cell::from(words).red());
    table.row(red);
    table.row(["1180", "bar 3, board joint", "1181", "439"]);
    table.row(["1780", "bar 4", "", "599"]);
    table.row(["2380", "bar 5, board joint", "", "600"]);
    table.row(["2960", "bar 6", "", "580"]);
    table.row(["3520", "perimeter bar", "", "560"]);
    let left = 316.0;
    scene.add(Text::new(Point::new(left, 50.0), "Marks on wall plate A–E", 4.0).semibold());
    let (drawn, height) = table.draw(Point::new(left, 53.0), sheet.area.right - left);
    scene.add(drawn);
    let mut flow = Flow::new();
    flow.warning("Bar 2 stands 646\u{A0}mm from bar 1; the limit is 600. Add one bar at 420, or move bar 2 back 46\u{A0}mm. Nothing else changes.");
    flow.heading(3, "Next on site");
    flow.numbered(
        "1",
        vec![
            Span::semibold("Trial fit, "),
            Span::new("4 clips and 2 offcuts: block 37\u{A0}mm passes everywhere."),
        ],
    );
    flow.numbered("2", vec![Span::new("Bars 4 to 7: 2 people, goggles for the saw.")]);
    let below = Extent::new(left, 56.0 + height, sheet.area.right, sheet.area.bottom);
    for page in flow.pages(FlowArea::single(below)) {
        scene.add(page.group);
    }
    scene
}

fn section() -> Scene {
    let sheet = blank_sheet(
        Format::A3_LANDSCAPE,
        &block("Section S through roof and wall head", 5, "1\u{202F}:\u{202F}5 on A3"),
        &[],
        BlockStyle::Full,
    );
    let mut scene = sheet.scene;
    scene.add(Text::new(Point::new(18.0, 22.0), "Section S through roof and wall head", 5.6).semibold());
    let layer =
        |top: f64, bottom: f64, left: f64, right: f64| Extent::new(left, top, right, bottom).corners();
    let mut hatched = |ring: [Point; 4], hatch_kind: Hatch| {
        scene.extend(hatch::fill(&ring, hatch_kind, Ink::Ink));
        scene.add(Path::closed(ring, Pen::MEDIUM));
    };
    let right = 262.0;
    hatched(layer(86.0, 235.0, 92.0, 114.0), Hatch::Masonry);
    hatched(layer(86.0, 235.0, 124.0, 146.0), Hatch::Masonry);
    hatched(layer(86.0, 235.0, 114.0, 124.0), Hatch::MineralFibre);
    hatched(layer(76.0, 86.0, 92.0, 146.0), Hatch::TimberEndGrain);
    hatched(layer(48.0, 50.4, 86.0, right), Hatch::Steel);
    hatched(layer(50.4, 54.8, 86.0, right), Hatch::TimberAlongGrain);
    hatched(layer(54.8, 76.0, 86.0, 92.0), Hatch::TimberEndGrain);
    for left in [170.0, 228.0] {
        hatched(layer(66.0, 102.0, left, left + 9.0), Hatch::TimberEndGrain);
        hatched(layer(66.0, 102.0, left + 9.0, left + 18.0), Hatch::TimberEndGrain);
    }
    hatched(layer(74.0, 102.0, 188.0, 228.0), Hatch::MineralFibre);
    hatched(layer(74.0, 102.0, 148.0, 170.0), Hatch::MineralFibre);
    hatched(layer(108.0, 109.2, 150.0, right), Hatch::Steel);
    hatched(layer(109.2, 112.2, 150.0, right), Hatch::SandFilled);
    hatched(layer(112.2, 114.7, 150.0, right), Hatch::Plasterboard);
    hatched(layer(114.7, 122.0, 146.0, 147.6), Hatch::RigidInsulation);
    scene.add(note_column(&NoteColumn {
        notes: vec![
            Note::new(Point::new(200.0, 49.0), "roof covering, two layers of felt").headed("8"),
            Note::new(Point::new(205.0, 52.6), "boards, tongued and grooved").headed("22"),
            Note::new(Point::new(210.0, 60.0), "ventilated gap kept clear; inlet and outlet at both eaves")
                .headed("50"),
            Note::new(Point::new(212.0, 90.0), "mineral fibre between joists, 35\u{A0}kg/m³").headed("140"),
            Note::new(Point::new(240.0, 85.0), "joists doubled, 2\u{202F}×\u{202F}45\u{202F}×\u{202F}180")
                .headed("C24"),
            Note::new(Point::new(222.0, 105.0), "clip drop, air").headed("30"),
            Note::new(Point::new(226.0, 110.7), "sand-filled board, first layer").headed("15"),
            Note::new(Point::new(230.0, 113.5), "dense plasterboard, face layer, joints staggered")
                .headed("12.5"),
            Note::new(
                Point::new(146.8, 118.0),
                "perimeter gap 5\u{A0}mm, sealed with acrylic; do not fill hard",
            )
            .in_ink(Ink::Red),
        ],
        side: Side::Right,
        edge_mm: 290.0,
        top_mm: 34.0,
        bottom_mm: 200.0,
        width_mm: 70.0,
        size_mm: 2.9,
    }));
    scene.add(chain(&Chain {
        start: Point::new(60.0, 235.0),
        along: Direction::UP,
        side: Side::Left,
        labels: ChainLabels::Square,
        links: [
            (120.3, "2214 headroom ±\u{A0}4", Ink::Red),
            (2.5, "12.5 face layer", Ink::Ink),
            (3.0, "15 first layer", Ink::Ink),
            (1.2, "6 bar", Ink::Ink),
            (6.0, "30 clip drop", Ink::Ink),
            (36.0, "180 joist", Ink::Ink),
            (11.2, "56 vent gap", Ink::Ink),
            (4.4, "22 deck", Ink::Ink),
            (2.4, "8 covering", Ink::Ink),
        ]
        .into_iter()
        .map(|(length, label, ink)| Link::new(length, label).in_ink(ink))
        .collect(),
        reach_mm: 24.0,
        size_mm: 2.8,
    }));
    scene.add(chain(&Chain {
        start: Point::new(92.0, 243.0),
        along: Direction::RIGHT,
        side: Side::Right,
        labels: ChainLabels::Along,
        links: [(22.0, "110"), (10.0, "50"), (22.0, "110"), (4.0, "20"), (24.0, "clear")]
            .into_iter()
            .map(|(length, label)| Link::new(length, label))
            .collect(),
        reach_mm: 8.0,
        size_mm: 2.8,
    }));
    scene.add(mark::scale_bar(Point::new(22.0, 280.0), Scale::one_to(5.0), 60.0, Lengths::Millimetres));
    scene
}

fn charts() -> Scene {
    let sheet = blank_sheet(
        Format::A3_LANDSCAPE,
        &block("Heard at the bedroom window", 3, "–"),
        &[],
        BlockStyle::Full,
    );
    let mut scene = sheet.scene;
    scene.add(Text::new(Point::new(18.0, 22.0), "Heard at the bedroom window, drum kit", 5.6).semibold());
    let bands = vec![
        50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0, 1000.0,
        1250.0, 1600.0, 2000.0, 2500.0, 3150.0,
    ];
    let level = [
        44.0, 46.5, 42.0, 39.0, 36.0, 33.5, 30.0, 27.5, 26.0, 24.0, 23.0, 21.0, 20.5, 18.0, 16.0, 17.0, 15.0,
        12.0, 9.0,
    ];
    let limit = [
        47.0, 44.0, 42.0, 40.0, 38.0, 36.0, 34.0, 32.0, 31.0, 30.0, 29.0, 28.0, 27.0, 26.0, 25.0, 24.0, 24.0,
        23.0, 23.0,
    ];
    let some = |values: &[f64], add: f64| values.iter().map(|value| Some(value + add)).collect::<Vec<_>>();
    let measured: Vec<Option<f64>> = level
        .iter()
        .enumerate()
        .map(|(at, value)| (at < 12).then_some(value + [1.5, -2.0, 0.8][at % 3]))
        .collect();
    let chart = SpectrumChart {
        width_mm: 240.0,
        height_mm: 112.0,
        name_room_mm: 42.0,
        quantity: "level at the window, dB".to_owned(),
        bands_hz: bands.clone(),
        range: None,
        lines: vec![
            ChartLine {
                name: "as it is today".to_owned(),
                values: some(&level, 14.0),
                pen: Pen::THIN.dashed(Dash::Dashed),
            },
            ChartLine { name: "predicted, all layers".to_owned(), values: some(&level, 0.0), pen: Pen::BOLD },
        ],
        uncertainty: Some(UncertaintyBand { low: some(&level, -4.0), high: some(&level, 4.0) }),
        criterion: Some(Criterion {
            name: "quiet at night, NR\u{A0}25 + 5".to_owned(),
            values: some(&limit, 0.0),
            held_against: some(&level, 0.0),
            breach: Breach::Above,
        }),
        measured: vec![MeasuredPoints {
            name: "measured, 3 positions".to_owned(),
            half_bars: measured.iter().map(|value| value.map(|_| 1.8)).collect(),
            at_least: Vec::new(),
            values: measured,
        }],
    };
    scene.add(chart.draw(Point::new(18.0, 30.0)));
    let shares = |parts: [f64; 4]| parts;
    let per_band: Vec<[f64; 4]> = (0..bands.len())
        .map(|at| {
            let high = at as f64 / 18.0;
            shares([0.55 - 0.45 * high, 0.20 - 0.1 * high, 0.13, 0.12 + 0.59 * high * high])
        })
        .collect();
    let bars = ShareBars {
        deciding: None,
        width_mm: 240.0,
        height_mm: 60.0,
        name_room_mm: 42.0,
        quantity: "who lets it through, % of the energy".to_owned(),
        bands_hz: bands.clone(),
        parts: ["roof and ceiling", "cavity walls", "window", "door seal"]
            .into_iter()
            .enumerate()
            .map(|(at, name)| Part {
                name: name.to_owned(),
                shares: per_band.iter().map(|parts| parts[at]).collect(),
                hatch: at,
            })
            .collect(),
    };
    scene.add(bars.draw(Point::new(18.0, 150.0)));
    let carbon = |vented: bool| {
        (0..=24)
            .map(|step| {
                let minutes = f64::from(step) * 5.0;
                let rise = if vented {
                    700.0 * (1.0 - quantities::math::exp(-minutes / 32.0))
                } else {
                    24.0 * minutes
                };
                [minutes, 480.0 + rise]
            })
            .collect::<Vec<_>>()
    };
    let air = PlainChart {
        width_mm: 136.0,
        height_mm: 84.0,
        name_room_mm: 32.0,
        quantity: "carbon dioxide, ppm".to_owned(),
        over: "minutes from the start".to_owned(),
        step_words: Vec::new(),
        lines: vec![
            PlainLine {
                name: "no air let in".to_owned(),
                points: carbon(false),
                pen: Pen::MEDIUM.dashed(Dash::Dashed).in_ink(Ink::Red),
                marked: false,
            },
            PlainLine {
                name: "fan at 90\u{A0}m³/h".to_owned(),
                points: carbon(true),
                pen: Pen::BOLD,
                marked: false,
            },
        ],
        limits: vec![PlainLimit {
            name: "open a window".to_owned(),
            value: 1400.0,
            pen: Pen::THIN.in_ink(Ink::Grey).dashed(Dash::Short),
        }],
        marks: Vec::new(),
        includes: Some(0.0),
    };
    scene.add(air.draw(Point::new(268.0, 30.0)));
    let months = PlainChart {
        width_mm: 136.0,
        height_mm: 70.0,
        name_room_mm: 32.0,
        quantity: "water in the deck, g/m²".to_owned(),
        over: String::new(),
        step_words: ["O", "N", "D", "J", "F", "M", "A", "M", "J", "J", "A", "S"].map(str::to_owned).to_vec(),
        lines: vec![PlainLine {
            name: "deck, worst at the eaves".to_owned(),
            points: [0.0, 22.0, 61.0, 96.0, 104.0, 71.0, 20.0, 0.0, 0.0, 0.0, 0.0, 0.0]
                .into_iter()
                .enumerate()
                .map(|(at, value)| [at as f64, value])
                .collect(),
            pen: Pen::BOLD,
            marked: true,
        }],
        limits: Vec::new(),
        marks: Vec::new(),
        includes: Some(0.0),
    };
    scene.add(months.draw(Point::new(268.0, 122.0)));
    debug_assert_eq!(band_words(1000.0), "1k");
    scene
}

fn swatches() -> Scene {
    let sheet = blank_sheet(Format::A3_LANDSCAPE, &block("Pens and hatches", 1, "–"), &[], BlockStyle::Full);
    let mut scene = sheet.scene;
    scene.add(Text::new(Point::new(18.0, 22.0), "Pens", 5.6).semibold());
    let pens = [
        ("heavy", Pen::HEAVY),
        ("bold", Pen::BOLD),
        ("medium", Pen::MEDIUM),
        ("thin", Pen::THIN),
        ("fine", Pen::FINE),
    ];
    for (row, (name, pen)) in pens.into_iter().enumerate() {
        let y = 30.0 + row as f64 * 8.0;
        scene.add(Text::new(Point::new(18.0, y + 1.0), name, 2.8));
        for (column, dash) in Dash::ALL.into_iter().enumerate() {
            let left = Point::new(36.0 + column as f64 * 44.0, y);
            scene.add(mark::line_sample(left, 38.0, pen.dashed(dash)));
        }
    }
    for (column, ink) in Ink::ALL.into_iter().enumerate() {
        let left = 310.0 + column as f64 * 13.5;
        let cell = Extent::new(left, 28.0, left + 11.0, 46.0);
        scene.add(Path::rectangle(cell, Pen::FINE).with_fill(ink));
        scene.add(Text::new(Point::new(left + 5.5, 50.5), ink.name(), 2.6).centred());
        scene.add(mark::line_sample(Point::new(left, 56.0), 11.0, Pen::BOLD.in_ink(ink)));
        scene.add(Circle {
            centre: Point::new(left + 5.5, 62.0),
            radius_mm: 2.0,
            pen: Some(Pen::THIN.in_ink(ink)),
            fill: None,
        });
    }
    scene.add(Text::new(Point::new(18.0, 80.0), "Hatches", 5.6).semibold());
    let hatches = [
        ("masonry", Hatch::Masonry),
        ("brick courses", Hatch::BrickCourses),
        ("concrete", Hatch::Concrete),
        ("timber, end grain", Hatch::TimberEndGrain),
        ("timber, along", Hatch::TimberAlongGrain),
        ("mineral fibre", Hatch::MineralFibre),
        ("rigid insulation", Hatch::RigidInsulation),
        ("sand-filled board", Hatch::SandFilled),
        ("plasterboard", Hatch::Plasterboard),
        ("earth", Hatch::Earth),
        ("steel", Hatch::Steel),
        ("glass", Hatch::Glass),
        ("air", Hatch::Air),
    ];
    let swatch = |scene: &mut Scene, index: usize, name: &str, kind: Hatch, top: f64| {
        let left = 18.0 + (index % 9) as f64 * 43.0;
        let top = top + (index / 9) as f64 * 42.0;
        let ring = [
            Point::new(left, top),
            Point::new(left + 36.0, top),
            Point::new(left + 36.0, top + 20.0),
            Point::new(left + 4.0, top + 24.0),
        ];
        let thin = Extent::new(left, top + 26.5, left + 36.0, top + 29.5).corners();
        for ring in [ring, thin] {
            let mut group = Group::on_layer(name).with_title(name);
            group.extend(hatch::fill(&ring, kind, Ink::Ink));
            group.add(Path::closed(ring, Pen::MEDIUM));
            scene.add(Item::Group(group));
        }
        scene.add(Text::new(Point::new(left, top + 34.0), name, 2.8));
    };
    for (index, (name, kind)) in hatches.into_iter().enumerate() {
        swatch(&mut scene, index, name, kind, 86.0);
    }
    scene.add(Text::new(Point::new(18.0, 184.0), "Parts of a bar", 5.6).semibold());
    for (index, kind) in Hatch::PARTS.into_iter().enumerate() {
        swatch(&mut scene, index, &format!("part {}", index + 1), kind, 190.0);
    }
    scene.add(mark::ringed(Point::new(30.0, 262.0), "7", 3.2, Ink::Ink));
    scene.add(mark::ringed(Point::new(42.0, 262.0), "12a", 3.2, Ink::Red));
    scene.add(mark::label(Point::new(104.0, 262.0), "0123456789 ± ≤ ≥ ✓ → λ η σ R′ m² f₀", 3.6));
    scene
}

fn lists() -> Vec<DocumentPage> {
    let mut flow = Flow::new();
    flow.heading(1, "Order");
    flow.paragraph(
        "Weights are of the goods as delivered; prices as given by the person, without delivery. One sheet in ten of the \
         face layer is spare: a broken corner on site should not stop the work.",
    );
    let mut order = Table::new(vec![
        Column::wide("what"),
        Column::right("pieces"),
        Column::decimal("each, kg"),
        Column::decimal("together, kg"),
        Column::decimal("price"),
    ]);
    order.heading("Boards");
    order.row(["sand-filled board 15\u{A0}mm, 1250\u{202F}×\u{202F}600", "22", "16.9", "371.8", "1012.00"]);
    order.row([
        "dense plasterboard 12.5\u{A0}mm, 2400\u{202F}×\u{202F}1200, tapered edges",
        "9",
        "36",
        "324",
        "171.45",
    ]);
    order.heading("Bars and clips");
    order.row(["resilient clip", "41", "0.11", "4.5", "200.90"]);
    order.row(["furring bar 3.0\u{A0}m", "12", "2.1", "25.2", "83.40"]);
    for length in 0..40 {
        order.row([
            format!("screw {} mm, box of 200", 25 + length * 5),
            "1".into(),
            "0.6".into(),
            "0.6".into(),
            "9.95".into(),
        ]);
    }
    order.total(["all", "", "", "749.5", "1865.65"]);
    flow.table(order);
    flow.heading(1, "Steps");
    for step in 1..=9 {
        flow.heading(2, format!("Step {step}: first layer, boards {} to {}", step * 3, step * 3 + 2));
        flow.paragraph_of(vec![
            Span::semibold("Two people, one hour. "),
            Span::new("Lift with a board lifter, hold the perimeter gap of 5\u{A0}mm with offcuts, drive the screws every 200\u{A0}mm, 15 from a cut edge and 10 from a bound one; do not break the paper."),
        ]);
        flow.numbered(
            "✓",
            vec![
                Span::semibold("Hold point. "),
                Span::new("The gap is between 4 and 7\u{A0}mm all round: feeler or offcut."),
            ],
        );
        if step % 3 == 0 {
            flow.warning("Work overhead: 27\u{A0}kg a board. Nobody stands below while it is lifted.");
        }
    }
    flow.remark("Hours are common practice, not measured.");
    let first = blank_sheet(Format::A4_PORTRAIT, &block("Order and steps", 6, ""), &[], BlockStyle::Strip);
    flow.pages(FlowArea::single(first.area))
        .into_iter()
        .map(|page| {
            let sheet =
                blank_sheet(Format::A4_PORTRAIT, &block("Order and steps", 6, ""), &[], BlockStyle::Strip);
            let mut scene = sheet.scene;
            scene.add(page.group);
            DocumentPage { bookmarks: page.headings, ..DocumentPage::new(scene, "") }
        })
        .collect()
}
