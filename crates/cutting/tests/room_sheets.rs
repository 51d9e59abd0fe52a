//! Orders of twenty rooms against a constraint solver's bounds and counts (`oracles/sheets_ortools.py`).

use cutting::sheets::{SheetOrder, SheetPiece, SheetStock, Sides, cut_sheets, verify_sheets};

/// Never fewer than the solver's bound, which holds for any cuts; as few as the solver found, or one more where its plan may
/// not be cut from edge to edge. How many are equal is counted.
#[test]
fn twenty_rooms_need_no_more_boards_than_a_constraint_solver_finds() {
    let (mut equal, mut rooms) = (0, 0);
    for line in include_str!("reference/room_sheets.csv").lines().filter(|l| !l.starts_with('#')).skip(1) {
        let fields: Vec<&str> = line.split(';').collect();
        let number = |at: usize| fields[at].parse::<f64>().unwrap();
        let (least, found): (usize, usize) = (fields[3].parse().unwrap(), fields[4].parse().unwrap());
        let pieces = fields[6]
            .split(',')
            .map(|size| size.split_once(' ').unwrap())
            .map(|(l, w)| SheetPiece {
                label: String::new(),
                length_mm: l.parse().unwrap(),
                width_mm: w.parse().unwrap(),
                may_turn: false,
                factory_edges: Sides::NONE,
            })
            .collect();
        let stock = SheetStock {
            name: "board".to_owned(),
            length_mm: number(1),
            width_mm: number(2),
            available: None,
            price: None,
            factory_edges: Sides::ALL,
        };
        let order = SheetOrder { pieces, stock: vec![stock], kerf_mm: 3.0 };
        let plan = cut_sheets(&order).unwrap();
        assert_eq!(verify_sheets(&order, &plan), Vec::<String>::new());
        let ours = plan.sheets.len();
        assert!(ours >= least, "room {}: {ours} boards, fewer than the bound {least}", fields[0]);
        assert!(ours <= found + 1, "room {}: {ours} boards, the solver needs {found}", fields[0]);
        if plan.proved_optimal && ours > found {
            // Proved for straight cuts only: the solver's plan has others.
            assert_eq!(ours, found + 1);
        }
        equal += usize::from(ours <= found);
        rooms += 1;
    }
    println!("{equal} of {rooms} as few as the solver");
    assert_eq!(rooms, 20);
    assert!(equal >= 20, "{equal} of {rooms}");
}
