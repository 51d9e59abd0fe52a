//! Faults of pieces and sheets, each told by as much as it was put in by.

use geometry::{Point, Polygon, Segment};
use setout::check::{Breach, Rule, check_round};
use setout::{BegunSheet, Ceiling, EdgeMade, EdgeMeets, Layout, Piece};

use super::{by, none, one, sound, sound_with_hatch, told, worst};

fn move_piece(piece: &mut Piece, by: Point) {
    for p in &mut piece.outline {
        *p = *p + by;
    }
}

fn area(piece: &Piece) -> f64 {
    Polygon::new(&piece.outline).unwrap().area_mm2()
}

/// The first piece of a layer with an end joint on both ends and a long joint on both sides, by its place: it touches no wall.
fn inner(layout: &Layout, layer: usize) -> usize {
    let all = |piece: &Piece| piece.edges.iter().all(|edge| edge.meets != EdgeMeets::Wall);
    layout.layers[layer].pieces.iter().position(all).unwrap()
}

/// Least and most of a piece along and across the bars.
fn extent(layout: &Layout, piece: &Piece) -> [f64; 4] {
    piece.outline.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |e, p| {
        let p = layout.frame.frame_from_room(*p);
        [e[0].min(p.x_mm), e[1].min(p.y_mm), e[2].max(p.x_mm), e[3].max(p.y_mm)]
    })
}

#[test]
fn a_piece_missing_is_told_by_its_area() {
    let (_, layout) = sound();
    let missing = area(&layout.layers[1].pieces[3]);
    let found = told(sound(), Rule::Cover, |_, l| drop(l.layers[1].pieces.remove(3)));
    by(one(&found, "the pieces of layer 2 cover"), missing, 1.0);
    assert_eq!(one(&found, "the pieces of layer 2 cover").what, "layer 2");
    let layer = told(sound(), Rule::Cover, |c, _| c.layers.push(c.layers[0].clone()));
    assert_eq!(one(&layer, "a layer is missing").what, "layers");
    let shapeless = told(sound(), Rule::Cover, |_, l| l.layers[1].pieces[3].outline.truncate(2));
    by(one(&shapeless, "has no shape"), 0.0, 0.0);
    // A square millimetre is noticed, a tenth is not.
    let corner = |mm2: f64| {
        told(sound(), Rule::Cover, |_, l| {
            let piece = &mut l.layers[0].pieces[0];
            let (a, b) = (piece.outline[0], piece.outline[1]);
            // A triangle on the first side: half of its length by its height.
            let aside = (b - a).unit().unwrap().left() * (2.0 * mm2 / a.distance_mm(b));
            piece.outline[1] = piece.outline[1] + aside;
        })
    };
    none(&corner(0.1), "the pieces of layer 1 cover");
    one(&corner(2.5), "the pieces of layer 1 cover");
    one(&corner(-2.5), "the pieces of layer 1 cover");
}

#[test]
fn pieces_that_overlap_are_told_by_how_much() {
    let (_, layout) = sound();
    let at = inner(&layout, 0);
    let piece = &layout.layers[0].pieces[at];
    let [low_u, low_v, high_u, high_v] = extent(&layout, piece);
    let (along, across) = (layout.frame.along, layout.frame.across);
    let moved = |by: Point| {
        told(sound(), Rule::Cover, |_, l| move_piece(&mut l.layers[0].pieces[at], by))
            .into_iter()
            .filter(|breach| breach.sentence.contains(&piece.name) && breach.sentence.contains("overlap"))
            .map(|breach| breach.by)
            .sum::<f64>()
    };
    for sign in [-1.0, 1.0] {
        let along_mm2 = moved(along * (sign * 5.0));
        assert!((along_mm2 - 5.0 * (high_v - low_v)).abs() < 30.0, "{along_mm2}");
        let across_mm2 = moved(across * (sign * 5.0));
        assert!((across_mm2 - 5.0 * (high_u - low_u)).abs() < 30.0, "{across_mm2}");
        assert!(moved(along * (sign * 0.004)) < 1e-9);
    }
}

#[test]
fn a_piece_past_its_edge_is_told_by_how_far() {
    let (ceiling, layout) = sound();
    let outline = Polygon::new(&layout.outline).unwrap();
    // A piece at one wall only, pushed towards it.
    let (at, side) = layout.layers[0]
        .pieces
        .iter()
        .enumerate()
        .find_map(|(at, piece)| {
            let walls: Vec<usize> =
                (0..piece.edges.len()).filter(|&e| piece.edges[e].meets == EdgeMeets::Wall).collect();
            (walls.len() == 1).then(|| (at, walls[0]))
        })
        .unwrap();
    let piece = &layout.layers[0].pieces[at];
    let (a, b) = (piece.outline[side], piece.outline[(side + 1) % piece.outline.len()]);
    let middle = Segment { from: a, to: b }.middle();
    let normal = (b - a).unit().unwrap().left();
    let out = if outline.contains(middle + normal) { normal * -1.0 } else { normal };
    let pushed =
        |mm: f64| told(sound(), Rule::Clear, |_, l| move_piece(&mut l.layers[0].pieces[at], out * mm));
    let found = pushed(5.0);
    let past = one(&found, "reaches 5 mm past the edge of the ceiling");
    assert_eq!(past.what, format!("piece {}", piece.name));
    assert!((past.by - 5.0 * a.distance_mm(b)).abs() < 60.0, "{past:?}");
    // And each of its two corners there is too near the wall.
    let near: Vec<&Breach> =
        found.iter().filter(|breach| breach.sentence.contains("comes within 3 mm of the wall")).collect();
    assert_eq!(near.len(), 2, "{found:#?}");
    assert!(near.iter().all(|breach| (breach.by - 5.0).abs() < 0.05));
    assert_eq!(pushed(0.005), []);
    assert_eq!(pushed(-2.0), []);
    assert!(
        pushed(ceiling.rules.perimeter_gap_mm + 3.0).iter().any(|b| b.sentence.contains("comes within 3 mm"))
    );
}

#[test]
fn a_wall_that_asks_for_more_gap_is_told_by_how_much() {
    let (ceiling, _) = sound();
    for wall in 0..ceiling.corners.len() {
        let found = told(sound(), Rule::Clear, |c, _| {
            c.gaps_mm = vec![c.rules.perimeter_gap_mm; c.corners.len()];
            c.gaps_mm[wall] += 2.0;
        });
        let near: Vec<&Breach> =
            found.iter().filter(|breach| breach.sentence.contains("the gap there is 10 mm")).collect();
        // Each corner of a piece there, those in the corners of the room too.
        let (_, layout) = sound();
        let n = ceiling.corners.len();
        let side = Segment { from: ceiling.corners[wall].at, to: ceiling.corners[(wall + 1) % n].at };
        let points = layout.layers.iter().flat_map(|layer| &layer.pieces).flat_map(|piece| &piece.outline);
        let along = points.filter(|p| side.distance_mm(**p) < 8.05).count();
        assert_eq!(near.len(), along, "wall {wall}");
        assert!(near.iter().all(|breach| (breach.by - 2.0).abs() < 0.05), "{near:#?}");
    }
    // Given for each wall as it is, nothing is wrong.
    let same = told(sound(), Rule::Clear, |c, _| c.gaps_mm = vec![c.rules.perimeter_gap_mm; c.corners.len()]);
    assert_eq!(same, []);
}

#[test]
fn pieces_too_small_or_too_large_are_told_by_how_much() {
    let (_, layout) = sound();
    let pieces = || layout.layers.iter().flat_map(|layer| &layer.pieces);
    let narrowest = pieces().map(|p| p.width_mm).fold(f64::INFINITY, f64::min);
    let shortest = pieces().map(|p| p.length_mm).fold(f64::INFINITY, f64::min);
    let strip = |mm: f64| told(sound(), Rule::CutFromSheets, |c, _| c.rules.min_strip_mm = mm);
    let least = |mm: f64| told(sound(), Rule::CutFromSheets, |c, _| c.rules.min_piece_mm = mm);
    assert!((worst(&strip(narrowest + 4.0)) - 4.0).abs() < 0.01);
    assert!(strip(narrowest + 4.0)[0].sentence.contains("wide, the least is"));
    assert_eq!(strip(narrowest + 0.005), []);
    assert!((worst(&least(shortest + 4.0)) - 4.0).abs() < 0.01);
    assert!(least(shortest + 4.0)[0].sentence.contains("long, the least is"));
    assert_eq!(least(shortest + 0.005), []);
    let board = |layer: usize, change: fn(&mut setout::BoardLayer)| {
        told(sound(), Rule::CutFromSheets, |c, _| change(&mut c.layers[layer]))
            .into_iter()
            .filter(|breach| breach.sentence.contains("the board"))
            .collect::<Vec<_>>()
    };
    assert!((worst(&board(0, |b| b.width_mm -= 7.0)) - 7.0).abs() < 0.01);
    assert!((worst(&board(1, |b| b.length_mm -= 7.0)) - 7.0).abs() < 0.01);
    assert_eq!(board(1, |b| b.length_mm -= 0.005), []);
}

#[test]
fn what_a_piece_keeps_beside_an_opening_is_told_by_how_much_it_lacks() {
    let (ceiling, layout) = sound();
    let least = ceiling.rules.min_strip_mm;
    let at = inner(&layout, 1);
    let piece = &layout.layers[1].pieces[at];
    let e = extent(&layout, piece);
    let words = format!("piece {} keeps", piece.name);
    // A small opening so far in from one side of the piece, in the middle of the other way.
    let beside = |side: usize, keeps: f64| {
        let (u, v) = (f64::midpoint(e[0], e[2]), f64::midpoint(e[1], e[3]));
        let ring = match side {
            0 => [e[0] + keeps, v, e[0] + keeps + 20.0, v + 20.0],
            1 => [e[2] - keeps - 20.0, v, e[2] - keeps, v + 20.0],
            2 => [u, e[1] + keeps, u + 20.0, e[1] + keeps + 20.0],
            _ => [u, e[3] - keeps - 20.0, u + 20.0, e[3] - keeps],
        };
        told(sound(), Rule::CutFromSheets, |c, l| {
            let corners = [(ring[0], ring[1]), (ring[2], ring[1]), (ring[2], ring[3]), (ring[0], ring[3])];
            c.obstructions.push(corners.map(|(u, v)| l.frame.room_from_frame(u, v)).to_vec());
        })
    };
    for side in 0..4 {
        let found = beside(side, 60.0);
        by(one(&found, &words), least - 60.0, 0.01);
        assert_eq!(one(&found, &words).what, format!("piece {}", piece.name));
        none(&beside(side, least), &words);
        // Flush with the side nothing is kept there.
        none(&beside(side, 0.0), &words);
        // Quite outside the piece.
        none(&beside(side, -21.0), &words);
    }
}

#[test]
fn listed_areas_and_masses_are_held_to_the_shape() {
    let (_, layout) = sound();
    let piece = |change: &dyn Fn(&mut Piece)| {
        told(sound(), Rule::TakeOff, |_, l| change(&mut l.layers[1].pieces[2]))
            .into_iter()
            .filter(|breach| breach.what.starts_with("piece"))
            .collect::<Vec<_>>()
    };
    let name = format!("piece {}", layout.layers[1].pieces[2].name);
    for sign in [-1.0, 1.0] {
        let found = piece(&|p| p.area_m2 += sign * 0.001);
        by(one(&found, "m², listed as"), 0.001, 1e-6);
        assert_eq!(found[0].what, name);
        one(&piece(&|p| p.mass_kg += sign * 0.01), "m², listed as");
        assert_eq!(piece(&|p| p.mass_kg += sign * 0.0005), []);
    }
    // A cut-out of a hundred by a hundred millimetres is missing in the area.
    let hole = [(0., 0.), (100., 0.), (100., 100.), (0., 100.)].map(|(x, y)| Point::new(x, y)).to_vec();
    by(one(&piece(&|p| p.cut_outs.push(hole.clone())), "listed as"), 0.01, 1e-6);
}

/// What is told of one piece's cut drawing.
fn drawn(layer: usize, at: usize, change: impl Fn(&mut Piece)) -> Vec<Breach> {
    told(sound(), Rule::CutFromSheets, |_, l| change(&mut l.layers[layer].pieces[at]))
}

#[test]
fn a_cut_drawing_that_is_not_its_piece_is_found() {
    let (ceiling, layout) = sound();
    let board = ceiling.layers[1].clone();
    let at = layout.layers[1].pieces.iter().position(|p| !p.whole && p.outline.len() == 4).unwrap();
    let words = |what: &str| format!("piece {}: {what}", layout.layers[1].pieces[at].name);
    let found = drawn(1, at, |p| p.on_sheet.truncate(3));
    by(one(&found, &words("its drawing has other corners")), 0.0, 0.0);
    one(&drawn(1, at, |p| p.edges.truncate(3)), &words("its drawing has other corners"));
    // Seen from the back: mirrored across the sheet, the edges' corners kept.
    let mirrored = drawn(1, at, |p| {
        for q in &mut p.on_sheet {
            q.x_mm = board.width_mm - q.x_mm;
        }
    });
    assert!(
        mirrored.iter().any(|breach| breach.sentence.contains("not its shape seen from the face")
            || breach.sentence.contains("not made as listed")),
        "{mirrored:#?}"
    );
    one(&drawn(1, at, |p| p.on_sheet.reverse()), "piece");
    // Corner 1 drawn 3 mm nearer to corner 2.
    let nearer = drawn(1, at, |p| {
        p.on_sheet[0] = p.on_sheet[0].toward(p.on_sheet[1], 3.0 / p.on_sheet[0].distance_mm(p.on_sheet[1]));
    });
    assert_eq!(nearer.iter().filter(|b| b.sentence.starts_with(&words(""))).count(), 1);
    let off_sheet = |dx: f64, dy: f64| {
        drawn(1, at, |p| {
            // Nothing of it on an edge of the sheet, so that no edge is a factory edge.
            for q in &mut p.on_sheet {
                *q = *q + Point::new(dx, dy);
            }
            for edge in &mut p.edges {
                (edge.made, edge.meets) = (EdgeMade::Cut, EdgeMeets::Wall);
            }
            p.cut_length_mm = Polygon::new(&p.on_sheet).unwrap().perimeter_mm();
        })
    };
    let (width, length) = (board.width_mm + 50.0, board.length_mm + 50.0);
    for (dx, dy) in [(-width, 7.0), (width, 7.0), (7.0, -length), (7.0, length)] {
        one(&off_sheet(dx, dy), &words("it does not lie on its sheet"));
    }
}

#[test]
fn edges_not_made_as_listed_are_found() {
    let (_, layout) = sound();
    let pieces = &layout.layers[1].pieces;
    let (mut factory, mut cut, mut long) = (0, 0, 0);
    for (at, piece) in pieces.iter().enumerate() {
        for (e, edge) in piece.edges.iter().enumerate() {
            let words = format!("piece {}: edge {} is not made as listed", piece.name, e + 1);
            let other = match edge.made {
                EdgeMade::Factory => EdgeMade::Cut,
                EdgeMade::Cut => EdgeMade::Factory,
            };
            let found = drawn(1, at, |p| p.edges[e].made = other);
            if edge.made == EdgeMade::Factory {
                factory += 1;
            } else {
                cut += 1;
            }
            by(one(&found, &words), 0.0, 0.0);
            if edge.made == EdgeMade::Cut && edge.meets != EdgeMeets::LongJoint {
                let found = drawn(1, at, |p| p.edges[e].meets = EdgeMeets::LongJoint);
                one(
                    &found,
                    &format!("piece {}: edge {} meets the next strip with a cut edge", piece.name, e + 1),
                );
                long += 1;
            }
        }
    }
    assert!(factory > 10 && cut > 10 && long > 5, "{factory} {cut} {long}");
}

#[test]
fn lengths_of_cuts_and_tape_are_held_to_the_edges() {
    let (_, layout) = sound();
    // The first layer's cut edges are taped, the second's are not.
    assert!(layout.layers[0].pieces.iter().any(|p| p.tape_mm > 100.0));
    assert!(layout.layers[1].pieces.iter().all(|p| p.tape_mm == 0.0));
    for layer in [0, 1] {
        let at = layout.layers[layer].pieces.iter().position(|p| p.cut_length_mm > 100.0).unwrap();
        let words = format!("piece {}: its cuts are", layout.layers[layer].pieces[at].name);
        for mm in [-1.0, 1.0] {
            one(&drawn(layer, at, |p| p.cut_length_mm += mm), &words);
            one(&drawn(layer, at, |p| p.tape_mm += mm), &words);
            none(&drawn(layer, at, |p| p.tape_mm += mm * 0.05), &words);
            none(&drawn(layer, at, |p| p.cut_length_mm += mm * 0.05), &words);
        }
        let hole = [(0., 0.), (100., 0.), (100., 100.), (0., 100.)].map(|(x, y)| Point::new(x, y)).to_vec();
        one(&drawn(layer, at, |p| p.cut_outs.push(hole.clone())), &words);
        none(
            &drawn(layer, at, |p| {
                p.cut_outs.push(hole.clone());
                p.cut_length_mm += 400.0;
                p.tape_mm += if layer == 0 { 400.0 } else { 0.0 };
            }),
            &words,
        );
    }
}

#[test]
fn pieces_listed_on_no_sheet_or_on_two_are_found() {
    let (_, layout) = sound();
    let name = |p: usize| layout.layers[0].pieces[p].name.clone();
    let first = layout.layers[0].sheets[0].pieces[0];
    let found = told(sound(), Rule::CutFromSheets, |_, l| l.layers[0].sheets[0].pieces.push(999));
    assert_eq!(one(&found, "lists a piece that is not there").what, "sheet 1");
    let found = told(sound(), Rule::CutFromSheets, |_, l| l.layers[0].pieces[first].sheet = 3);
    assert_eq!(
        one(&found, &format!("piece {} is listed on two sheets", name(first))).what,
        format!("piece {}", name(first))
    );
    let found =
        told(sound(), Rule::CutFromSheets, |_, l| l.layers[0].sheets[0].pieces.retain(|p| *p != first));
    one(&found, &format!("piece {} is cut 0 times", name(first)));
    let found = told(sound(), Rule::CutFromSheets, |_, l| l.layers[0].sheets[0].pieces.push(first));
    one(&found, &format!("piece {} is cut 2 times", name(first)));
}

/// Boxes on one sheet, by their low and high corners: what is told of them.
fn cut_out(boxes: &[[f64; 4]], kerf_mm: f64) -> bool {
    let (_, layout) = sound();
    let found = told(sound(), Rule::CutFromSheets, |c, l| {
        c.rules.kerf_mm = kerf_mm;
        let layer = &mut l.layers[1];
        layer.sheets[0].pieces = (0..boxes.len()).collect();
        for (piece, b) in layer.pieces.iter_mut().zip(boxes) {
            piece.on_sheet = [(b[0], b[1]), (b[2], b[1]), (b[2], b[3]), (b[0], b[3])]
                .map(|(x, y)| Point::new(x, y))
                .to_vec();
        }
    });
    let words =
        format!("the pieces of sheet {} of layer 2 cannot be cut out", layout.layers[1].sheets[0].number);
    !found.iter().any(|breach| breach.sentence.contains(&words))
}

#[test]
fn only_straight_cuts_from_edge_to_edge_are_taken() {
    // Four round a fifth, as the sails of a mill: no straight cut parts them.
    let mill = [
        [0., 0., 600., 300.],
        [603., 0., 1000., 700.],
        [403., 703., 1000., 1000.],
        [0., 303., 400., 1000.],
        [403., 303., 600., 700.],
    ];
    assert!(!cut_out(&mill, 3.0) && !cut_out(&mill, 0.0));
    // Without one of the sails they are parted.
    assert!(cut_out(&mill[1..], 3.0));
    // Three side by side, each twice cut across; the saw takes three millimetres either way.
    let grid: Vec<[f64; 4]> = (0..3)
        .flat_map(|i| (0..2).map(move |j| (303.0 * f64::from(i), 503.0 * f64::from(j))))
        .map(|(x, y)| [x, y, x + 300.0, y + 500.0])
        .collect();
    assert!(cut_out(&grid, 3.0) && cut_out(&grid, 3.005));
    assert!(!cut_out(&grid, 3.05));
    // Nearer one way only.
    for squeezed in [[0., 0., 300., 500.], [302., 0., 600., 500.]].windows(2) {
        assert!(!cut_out(squeezed, 3.0) && cut_out(squeezed, 2.0));
    }
    for squeezed in [[0., 0., 500., 300.], [0., 302., 500., 600.]].windows(2) {
        assert!(!cut_out(squeezed, 3.0) && cut_out(squeezed, 2.0));
    }
    assert!(!cut_out(&[[0., 0., 500., 300.], [100., 100., 400., 200.]], 3.0), "one on the other");
    assert!(cut_out(&grid[..1], 3.0) && cut_out(&[], 3.0));
}

#[test]
fn a_sheet_begun_in_another_layer_is_one_it_has() {
    let (ceiling, layout) = sound_with_hatch();
    let at = layout.layers[1].sheets.iter().position(|sheet| sheet.begun.is_some()).expect("a shared sheet");
    let begun = layout.layers[1].sheets[at].begun.unwrap();
    let words =
        format!("sheet {} of layer 2 is said to be begun in layer", layout.layers[1].sheets[at].number);
    let changed = |change: &dyn Fn(&mut Ceiling, &mut Layout)| {
        let found = told((ceiling.clone(), layout.clone()), Rule::CutFromSheets, change);
        found.iter().any(|breach| breach.sentence.contains(&words) && breach.what.starts_with("sheet"))
    };
    assert!(!changed(&|_, _| {}));
    for other in [
        BegunSheet { sheet: 999, ..begun },
        BegunSheet { layer: 9, ..begun },
        BegunSheet { layer: 0, ..begun },
        // Its own sheets are not begun before it.
        BegunSheet { layer: 2, sheet: 1 },
    ] {
        assert!(changed(&|_, l| l.layers[1].sheets[at].begun = Some(other)), "{other:?}");
    }
    // Another board, by any of what tells boards apart.
    for change in [
        (|b: &mut setout::BoardLayer| b.material.push_str(" else")) as fn(&mut setout::BoardLayer),
        |b| b.width_mm += 1.0,
        |b| b.length_mm += 1.0,
        |b| b.thickness_mm += 1.0,
    ] {
        assert!(changed(&|c, _| change(&mut c.layers[1])));
    }
    // One that the first layer itself took over.
    assert!(changed(&|_, l| {
        let sheet = l.layers[0].sheets.iter_mut().find(|sheet| sheet.number == begun.sheet).unwrap();
        sheet.begun = Some(BegunSheet { layer: 1, sheet: 1 });
    }));
    // Pieces of both layers on one place of it.
    let onto = told((ceiling.clone(), layout.clone()), Rule::CutFromSheets, |_, l| {
        let first = l.layers[0].sheets.iter().find(|sheet| sheet.number == begun.sheet).unwrap().pieces[0];
        let second = l.layers[1].sheets[at].pieces[0];
        l.layers[1].pieces[second].on_sheet = l.layers[0].pieces[first].on_sheet.clone();
    });
    one(&onto, &format!("the pieces of sheet {} of layer 1 cannot be cut out", begun.sheet));
}

/// The breaches of a layout where some boards hang already.
fn round(up: &[String], spoil: impl FnOnce(&mut Ceiling, &mut Layout)) -> Vec<Breach> {
    let (mut ceiling, mut layout) = sound();
    spoil(&mut ceiling, &mut layout);
    check_round(&ceiling, &layout, up)
}

#[test]
fn beside_a_board_that_is_up_a_joint_may_stand_open_by_three_millimetres() {
    let (_, layout) = sound();
    let at = inner(&layout, 1);
    let name = layout.layers[1].pieces[at].name.clone();
    let (along, across) = (layout.frame.along, layout.frame.across);
    // One board pushed aside lies over its neighbour: the whole row from it on is moved.
    let row_moved = |mm: f64, up: &[String]| {
        let strip = layout.layers[1].pieces[at].strip;
        round(up, |_, l| {
            for piece in l.layers[1].pieces.iter_mut().filter(|p| p.strip >= strip) {
                move_piece(piece, along * mm);
            }
        })
    };
    let up: Vec<String> = layout.layers[1]
        .pieces
        .iter()
        .filter(|p| p.strip >= layout.layers[1].pieces[at].strip)
        .map(|p| p.name.clone())
        .collect();
    let words = "leave a place bare that is wider than";
    // Of the gap at the wall half must be left: 4 of 8 mm.
    none(&row_moved(2.5, &up), words);
    none(&row_moved(2.5, &up), "less than half of the gap");
    one(&row_moved(3.5, &up), "leave a place bare that is wider than 3 mm");
    assert!(
        row_moved(4.5, &up).iter().any(|b| b.sentence.contains("leaves less than half of the gap at a wall"))
    );
    assert!(row_moved(2.5, &[]).iter().any(|b| b.sentence.contains("comes within 6 mm of the wall")));
    // Lying over one that is up by what no tape tells it is pushed up to it; by more it overlaps.
    let over = |mm: f64, up: &[String]| {
        round(up, |_, l| move_piece(&mut l.layers[1].pieces[at], across * mm))
            .iter()
            .filter(|b| b.sentence.contains("overlap"))
            .count()
    };
    assert_eq!((over(0.9, std::slice::from_ref(&name)), over(1.5, std::slice::from_ref(&name))), (0, 1));
    assert_eq!(over(0.9, &[]), 1);
    // Two that hang over each other are no matter of the layout.
    let all: Vec<String> = layout.layers[1].pieces.iter().map(|p| p.name.clone()).collect();
    assert_eq!(over(5.0, &all), 0);
}

#[test]
fn the_gap_at_a_wall_may_be_ten_millimetres_wider_in_a_layer_with_boards_up() {
    let (_, layout) = sound();
    let up = vec![layout.layers[1].pieces[inner(&layout, 1)].name.clone()];
    // Every corner of the boards at walls drawn in.
    let drawn_in = |mm: f64, up: &[String]| {
        let outline = Polygon::new(&layout.outline).unwrap();
        round(up, |_, l| {
            let middle = outline.centroid();
            for p in l.layers[1].pieces.iter_mut().flat_map(|piece| &mut piece.outline) {
                if outline.distance_to_boundary_mm(*p) < 0.1 {
                    *p = p.toward(middle, mm / p.distance_mm(middle));
                }
            }
        })
    };
    none(&drawn_in(8.0, &up), "leave a place bare");
    one(&drawn_in(16.0, &up), "leave a place bare that is wider than 10 mm");
    one(&drawn_in(8.0, &[]), "the pieces of layer 2 cover");
}

#[test]
fn a_board_that_is_up_keeps_what_was_cut_beside_an_opening() {
    let (_, layout) = sound();
    let piece = &layout.layers[1].pieces[inner(&layout, 1)];
    let e = extent(&layout, piece);
    let told = |up: &[String]| {
        round(up, |c, l| {
            let (u, v) = (f64::midpoint(e[0], e[2]), e[1] + 60.0);
            let corners = [(u, v), (u + 20.0, v), (u + 20.0, v + 20.0), (u, v + 20.0)];
            c.obstructions.push(corners.map(|(u, v)| l.frame.room_from_frame(u, v)).to_vec());
        })
    };
    let words = format!("piece {} keeps", piece.name);
    one(&told(&[]), &words);
    none(&told(std::slice::from_ref(&piece.name)), &words);
}
