//! Layers of the same board are cut from the same sheets where that takes fewer.

#![allow(clippy::unwrap_used, missing_docs, reason = "a test stops at once")]

mod rooms;

use setout::as_built::{BarReading, Readings, mend};
use setout::check::{Rule, check};
use setout::{BegunSheet, Budget, Ceiling, Layout, set_out};

/// A room with two layers of one board.
fn of_one_board(mut ceiling: Ceiling) -> Ceiling {
    ceiling.layers = vec![rooms::dense_plasterboard(), rooms::dense_plasterboard()];
    ceiling
}

/// The same room as if its layers were of two boards, so that neither serves the other.
fn of_two(ceiling: &Ceiling) -> Ceiling {
    let mut two = ceiling.clone();
    two.layers[1].material.push_str(" of another make");
    two
}

fn begun(layout: &Layout) -> usize {
    layout.layers.iter().flat_map(|l| &l.sheets).filter(|s| s.begun.is_some()).count()
}

fn sheet_area_m2(ceiling: &Ceiling) -> f64 {
    ceiling.layers[0].width_mm * ceiling.layers[0].length_mm / 1e6
}

#[test]
fn layers_of_one_board_share_its_sheets_and_need_fewer() {
    let (mut laid, mut shared, mut saved) = (0, 0, 0);
    for seed in 1..=24 {
        let ceiling = of_one_board(rooms::any_room(seed));
        let budget = Budget { steps: 400, shifts: 0 };
        let (Ok(one), Ok(two)) = (set_out(&ceiling, &budget), set_out(&of_two(&ceiling), &budget)) else {
            continue;
        };
        laid += 1;
        assert!(check(&ceiling, &one).is_empty(), "seed {seed}: {:?}", check(&ceiling, &one));
        assert_eq!(begun(&two), 0, "seed {seed}");
        assert!(one.worth.boards <= two.worth.boards, "seed {seed}: {:?} {:?}", one.worth, two.worth);
        assert!(one.worth.boards >= one.least_boards_together, "seed {seed}");
        assert!(one.least_boards_together <= two.least_boards_together, "seed {seed}");
        // What is bought is what is used and what is left.
        let bought: usize = one.layers.iter().map(setout::Layer::bought).sum();
        assert_eq!(bought, one.worth.boards, "seed {seed}");
        assert_eq!(one.take_off.boards.iter().map(|b| b.sheets).sum::<usize>(), bought, "seed {seed}");
        let used: f64 = one.layers.iter().flat_map(|l| &l.pieces).map(|p| p.area_m2).sum();
        let left: f64 = one.layers.iter().flat_map(|l| &l.sheets).map(|s| s.left_over_m2).sum();
        if ceiling.obstructions.is_empty() {
            let whole = bought as f64 * sheet_area_m2(&ceiling);
            assert!((used + left - whole).abs() < 1e-6, "seed {seed}: {used} + {left} of {whole}");
        }
        shared += usize::from(begun(&one) > 0);
        saved += two.worth.boards - one.worth.boards;
    }
    assert!(laid > 15 && shared > 5 && saved > 5, "{laid} laid, {shared} share, {saved} boards saved");
}

/// Every piece is cut from one sheet, told once: with the layer that buys it.
#[test]
fn every_piece_is_told_with_one_sheet_bought() {
    let ceiling = of_one_board(rooms::percussion_room());
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    let told = layout.layers.iter().flat_map(|l| l.sheets.iter().map(move |s| (l, s)));
    let mut names: Vec<&str> = told
        .flat_map(|(layer, sheet)| layout.cut_from(layer, sheet))
        .map(|piece| piece.name.as_str())
        .collect();
    names.sort_unstable();
    let mut all: Vec<&str> =
        layout.layers.iter().flat_map(|l| &l.pieces).map(|piece| piece.name.as_str()).collect();
    all.sort_unstable();
    assert_eq!(names, all);
}

#[test]
fn the_check_finds_a_sheet_shared_wrongly() {
    let (ceiling, layout) = (1..40)
        .map(|seed| of_one_board(rooms::any_room(seed)))
        .filter_map(|c| set_out(&c, &Budget { steps: 200, shifts: 0 }).ok().map(|l| (c, l)))
        .find(|(_, layout)| begun(layout) > 0)
        .unwrap();
    let at = layout.layers[1].sheets.iter().position(|s| s.begun.is_some()).unwrap();
    let broken = |change: &dyn Fn(&mut Layout, &mut Ceiling)| {
        let (mut layout, mut ceiling) = (layout.clone(), ceiling.clone());
        change(&mut layout, &mut ceiling);
        check(&ceiling, &layout).iter().any(|b| b.rule == Rule::CutFromSheets)
    };
    assert!(!broken(&|_, _| {}));
    // A sheet the first layer has not.
    assert!(broken(&|l, _| l.layers[1].sheets[at].begun = Some(BegunSheet { layer: 1, sheet: 999 })));
    // One that a later layer buys.
    assert!(broken(&|l, _| l.layers[1].sheets[at].begun = Some(BegunSheet { layer: 2, sheet: 1 })));
    // Another board.
    assert!(broken(&|_, c| c.layers[1].material.push_str(" else")));
    // The pieces of both layers lie over each other.
    let onto = |l: &mut Layout| {
        let begun = l.layers[1].sheets[at].begun.unwrap();
        let (of, to) = (l.layers[1].sheets[at].pieces[0], l.layers[0].sheets[begun.sheet - 1].pieces[0]);
        let corner = |p: &setout::Piece| {
            p.on_sheet.iter().fold((f64::MAX, f64::MAX), |m, q| (m.0.min(q.x_mm), m.1.min(q.y_mm)))
        };
        let (from, to) = (corner(&l.layers[1].pieces[of]), corner(&l.layers[0].pieces[to]));
        for p in &mut l.layers[1].pieces[of].on_sheet {
            p.x_mm += to.0 - from.0;
            p.y_mm += to.1 - from.1;
        }
    };
    assert!(broken(&|l, _| onto(l)));
}

/// A mend keeps a shared sheet shared as long as both layers have pieces of it.
#[test]
fn a_mend_keeps_shared_sheets_in_order() {
    let mut kept = 0;
    for seed in 1..=30 {
        let ceiling = of_one_board(rooms::any_room(seed));
        let Ok(layout) = set_out(&ceiling, &Budget { steps: 200, shifts: 0 }) else { continue };
        if begun(&layout) == 0 {
            continue;
        }
        let Some((wall, mark)) = layout
            .marks
            .iter()
            .find_map(|w| w.marks.iter().find(|m| matches!(m.of, setout::MarkFor::Bar(2))).map(|m| (w, m)))
        else {
            continue;
        };
        let reading = BarReading { bar: 2, wall: wall.wall.clone(), at_mm: mark.at_mm + 6.0 };
        let mended =
            mend(&ceiling, &layout, &Readings { bars: vec![reading], ..Readings::default() }).unwrap();
        let cut: Vec<_> = mended.layout.breaches.iter().filter(|b| b.rule == Rule::CutFromSheets).collect();
        assert!(cut.is_empty(), "seed {seed}: {cut:?}");
        let bought: usize = mended.layout.layers.iter().map(setout::Layer::bought).sum();
        assert_eq!(bought, mended.layout.worth.boards, "seed {seed}");
        kept += usize::from(begun(&mended.layout) > 0);
    }
    assert!(kept > 3, "{kept}");
}
