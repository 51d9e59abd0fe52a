//! What a mend tells is all there is to tell: boards that come down, pieces that change, bars that stand clear.
#![allow(clippy::unwrap_used, missing_docs, reason = "a test stops at once")]

mod rooms;

use setout::as_built::{BarReading, BoardReading, ChangeKind, Mended, Readings, mend};
use setout::check::Rule;
use setout::{Budget, Ceiling, Layout, MarkFor, Piece, Point, set_out};

const SMALL: Budget = Budget { steps: 60, shifts: 0 };

/// Distance from a place to the nearest side of a piece, nothing inside it.
fn off_mm(piece: &Piece, at: Point) -> f64 {
    let shape = geometry::Polygon::new(&piece.outline).unwrap();
    if shape.contains(at) { 0.0 } else { shape.distance_to_boundary_mm(at) }
}

/// Rooms with some boards of the first layer up and off, and a clip skipped.
fn mended() -> impl Iterator<Item = (u64, Ceiling, Layout, Readings, Mended)> {
    (1..=24).filter_map(|seed| {
        let ceiling = match seed {
            1 => rooms::percussion_room(),
            seed if seed % 2 == 0 => rooms::random_room(seed),
            seed => rooms::any_room(seed),
        };
        let layout = set_out(&ceiling, &SMALL).ok()?;
        let mut s = rooms::Stream::new(seed + 400);
        let pieces = &layout.layers[0].pieces;
        let boards = pieces
            .iter()
            .filter(|_| s.between(0.0, 1.0) < 0.3)
            .map(|piece| BoardReading {
                piece: piece.name.clone(),
                off_along_mm: 0.0,
                off_across_mm: [0.0, 0.4, -0.4, 3.0, -7.0][(piece.strip + piece.name.len()) % 5],
            })
            .collect();
        let skipped = vec![layout.clips[layout.clips.len() / 2].number];
        // In every third room a bar under no board is off too.
        let bars = layout.marks.iter().flat_map(|wall| wall.marks.iter().map(move |mark| (wall, mark)));
        let last = layout.bars.iter().rev().find(|bar| bar.wall.is_none()).map_or(0, |bar| bar.number);
        let bars = bars
            .filter(|(_, mark)| seed % 3 == 0 && mark.of == MarkFor::Bar(last))
            .map(|(wall, mark)| BarReading { bar: last, wall: wall.wall.clone(), at_mm: mark.at_mm + 22.0 })
            .collect();
        let readings = Readings { bars, boards, skipped, ..Readings::default() };
        let mended = mend(&ceiling, &layout, &readings).unwrap();
        Some((seed, ceiling, layout, readings, mended))
    })
}

#[test]
fn what_a_mend_tells_is_complete() {
    let (mut came_down, mut hung_again, mut reshaped, mut bare) = (0, 0, 0, 0);
    for (seed, ceiling, plan, readings, mended) in mended() {
        let told = &mended.difference.sentences;
        let says = |name: &str, words: &str| told.iter().any(|one| one.contains(name) && one.contains(words));
        let up = |piece: &&Piece| mended.built.boards_up.contains(&piece.name);
        // Every board over a clip that is added comes down, by the width of what lies behind it.
        for change in mended.difference.changes.iter().filter(|c| c.kind == ChangeKind::ClipAdded) {
            let over = mended.layout.layers.iter().flat_map(|layer| &layer.pieces).filter(up);
            for piece in
                over.filter(|piece| off_mm(piece, change.from) < ceiling.bar.face_width_mm / 2.0 - 0.1)
            {
                assert!(mended.difference.take_down.contains(&piece.name), "seed {seed}: {}", piece.name);
                assert!(change.sentence.contains(&piece.name), "seed {seed}: {}", change.sentence);
                came_down += 1;
            }
        }
        // What comes down is planned to hang on its marks again, unless it need not come down then.
        let off = readings.boards.iter().filter(|one| one.off_across_mm.abs() > 0.5);
        let down: Vec<_> = off.filter(|one| mended.difference.take_down.contains(&one.piece)).collect();
        for one in &down {
            let of = |layout: &Layout| {
                let piece = layout.layers[0].pieces.iter().find(|piece| piece.name == one.piece).unwrap();
                piece.outline[0]
            };
            hung_again += usize::from(of(&plan).distance_mm(of(&mended.layout)) < 1e-6);
        }
        for (was, now) in plan.layers.iter().zip(&mended.layout.layers) {
            for piece in now.pieces.iter().filter(|piece| !up(piece)) {
                let Some(old) = was.pieces.iter().find(|old| old.name == piece.name) else { continue };
                let area = |piece: &Piece| geometry::Polygon::new(&piece.outline).unwrap().area_mm2();
                // More than a millimetre all along its longer side.
                if (area(old) - area(piece)).abs() > 2.0 * piece.length_mm.max(piece.width_mm) {
                    assert!(says(&piece.name, "cut piece"), "seed {seed}: {} {told:?}", piece.name);
                    reshaped += 1;
                }
            }
        }
        // No bar is put on another.
        let clear =
            |breach: &&setout::check::Breach| breach.rule == Rule::Clear && breach.what.starts_with("bar ");
        assert_eq!(
            mended.layout.breaches.iter().filter(clear).collect::<Vec<_>>(),
            Vec::<&setout::check::Breach>::new(),
            "seed {seed}"
        );
        // What no mend mends at a board that hangs says what to do.
        for breach in mended.layout.breaches.iter().filter(|b| b.rule == Rule::EndsOnBars) {
            let hangs = mended.layout.layers.iter().flat_map(|l| &l.pieces).filter(up);
            if hangs.into_iter().any(|piece| off_mm(piece, breach.at) < 4.0) {
                assert!(says(&breach.sentence, "hang it again on them"), "seed {seed}: {told:?}");
                bare += 1;
            }
        }
    }
    assert!(
        came_down > 0 && hung_again > 0 && reshaped > 0 && bare > 0,
        "{came_down} {hung_again} {reshaped} {bare}"
    );
}

/// A bar along a wall hangs a few millimetres into the room: bars still to fix that end beside it are cut shorter, said by how much at which
/// end, where nothing else is needed; each is really so much shorter, on its line, and keeps clear.
#[test]
fn bars_that_end_beside_one_that_is_off_are_cut_shorter() {
    let mut cut = 0;
    for ceiling in [rooms::percussion_room(), rooms::any_room(4), rooms::any_room(6)] {
        let Ok(plan) = set_out(&ceiling, &SMALL) else { continue };
        for bar in plan.bars.iter().filter(|bar| bar.wall.is_some()) {
            for off in [-4.0, 4.0] {
                let marks =
                    plan.marks.iter().flat_map(|wall| wall.marks.iter().map(move |mark| (wall, mark)));
                let bars: Vec<BarReading> = marks
                    .filter(|(_, mark)| mark.of == MarkFor::Bar(bar.number))
                    .map(|(wall, mark)| BarReading {
                        bar: bar.number,
                        wall: wall.wall.clone(),
                        at_mm: mark.at_mm + off,
                    })
                    .collect();
                if bars.is_empty() {
                    continue;
                }
                let Ok(mended) = mend(&ceiling, &plan, &Readings { bars, ..Readings::default() }) else {
                    continue;
                };
                for words in mended.difference.sentences.iter().filter(|words| words.starts_with("cut bar "))
                {
                    let mut figures = words.split(' ').filter_map(|word| word.parse::<f64>().ok());
                    let number = figures.next().unwrap() as usize;
                    let by: f64 = figures.sum();
                    let (was, now) = (&plan.bars[number - 1], &mended.layout.bars[number - 1]);
                    assert!(
                        (was.length_mm - now.length_mm - by).abs() < 0.6,
                        "{words}: {} {}",
                        was.length_mm,
                        now.length_mm
                    );
                    let near = |b: &&setout::check::Breach| b.sentence.contains(&format!("bar {number} is"));
                    assert_eq!(mended.layout.breaches.iter().find(near).map(|b| &b.sentence), None);
                    cut += 1;
                }
            }
        }
    }
    assert!(cut > 2, "{cut}");
}
